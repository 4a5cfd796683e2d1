"""Figures met exactly, and the small geometry of rules: pits, doors' fronts, edges of surfaces."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from building import Pile, box, gaps, grades, of, shop, zone

from shopbins.geometry.shapes import Pose, bounds, placed
from shopbins.ledger.model import InZone
from shopbins.placing.judging import judge
from shopbins.rules import hazards
from shopbins.rules.doors import fronts
from shopbins.rules.shuffling import _edge, _near, _Question, is_rectangle
from shopbins.shop.model import Door, KeepClear, Level, Limits, Mounted, Opening, Room, Walkway

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
WAY = Walkway("w", "the way", ((0, 4000), (9000, 4000)), 1000, rooms=("hall",))


@pytest.mark.parametrize(("kg", "found"), [(20.0, []), (20.001, ["note"]), (19.0, [])])
def test_what_one_person_lifts_here_may_be_lifted(kg: float, found: list[str]) -> None:
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", 750)])
    pile = Pile()
    pile.add("pump", size=(400, 300, 200), kg=kg)
    whole = shop(zones=[rack], limits=Limits(one_person_kg=20))
    told = judge(pile.scene(whole), "pump", InZone("rack", "1"))
    assert [f.grade for f in told if f.rule == "one-person"] == found


# --- pits -------------------------------------------------------------------------------------------------

TRIP, SERVICE, UNTOLD = "may trip into it", "service or assembly pit", "depth is not told"


@pytest.mark.parametrize(("kind", "deep", "said", "not_said"), [
    ("pit", 1219.0, [TRIP], [SERVICE]), ("pit", 1219.3, [SERVICE], [TRIP, UNTOLD]),
    ("pit", 3047.9, [SERVICE], [TRIP]), ("pit", 3048.1, [], [TRIP, SERVICE, UNTOLD]),
    ("pit", None, [SERVICE, UNTOLD, "3048 mm"], [TRIP]), ("duct", 2000.0, [], [SERVICE, TRIP]),
    ("duct", None, [], [SERVICE, UNTOLD, TRIP]),
])  # fmt: skip
@pytest.mark.parametrize("y", [4000, 6000])
def test_an_open_pit_by_its_depth(
    kind: Any, deep: float | None, said: list[str], not_said: list[str], y: float
) -> None:
    # 29 CFR 1910.28(b)(3)(i): less than 4 ft (1219.2 mm); (b)(8): service pits less than 10 ft (3048 mm)
    pit = Opening("p", "the pit", "hall", kind, box(4000, y, 5000, y + 900), covered=False, depth_mm=deep)
    there = shop(rules="us", rooms=[HALL], walkways=[WAY], openings={"p": pit})
    (found,) = of(there, "pit")
    shallow = deep is not None and deep < 1219.2
    assert found.grade == ("stop" if y == 4000 else "note" if shallow else "correct")
    assert [s in found.text for s in said] == [True] * len(said)
    assert [s in found.text for s in not_said] == [False] * len(not_said)
    assert ("walkway:w" in found.subjects) is (y == 4000)
    for quiet in ({"covered": True}, {"guarded": True}, {"kind": "drain"}):
        assert of(shop(rules="us", openings={"p": replace(pit, **quiet)}), "pit") == []  # type: ignore[arg-type]


# --- the floor in front of a door -------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "deep"), [(800.0, 800.0), (1500.0, 900.0)])
@pytest.mark.parametrize("turn", [0.0, 40.0])
@pytest.mark.parametrize("other_way", [False, True])
def test_the_floor_in_front_lies_before_the_door_and_beyond_its_passage(
    width: float, deep: float, turn: float, other_way: bool
) -> None:
    """Of a door in the right wall at x = 5000 whose wall is 250 mm thick; 900 mm deep at most: own figure."""
    pose = Pose(300.0, 200.0, turn)
    jambs = ((5000.0, 1000.0), (5000.0, 1000.0 + width))
    laid = placed(jambs[::-1] if other_way else jambs, pose)
    through = placed(box(4999, 1000, 5251, 1000 + width), pose)
    it = Door("d", "d", "hall", "outside", (laid[0], laid[1]), width, 2000, "open", through)
    inner, outer = fronts(it, placed(box(0, 0, 5000, 5000), pose))
    for front, wanted in ((inner, (5000 - deep, 5000)), (outer, (5250, 5250 + deep))):
        corners = [p for piece in front.pieces for p in placed(piece, Pose(0, 0, -turn))]
        back = placed(((300.0, 200.0),), Pose(0, 0, -turn))[0]
        x0, y0, x1, y1 = bounds([(x - back[0], y - back[1]) for x, y in corners])
        assert (x0, x1) == pytest.approx(wanted, abs=1e-6)
        assert (y0, y1) == pytest.approx((1000, 1000 + width), abs=1e-6)


# --- surfaces ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("least", "wide", "clear", "found"), [
    (None, 1200, 600, ("correct", 1200)), (None, 1200, 599, ("stop", 1200)),  # less than half of it
    (None, 800, 500, ("correct", 800)), (None, 800, 499, ("stop", 500)),  # half of it, but no body goes
    (None, 480, 480, None), (None, 480, 479, ("stop", 480)),  # nobody asks more than the door has
    (450, 800, 500, ("correct", 800)), (450, 800, 499, ("stop", 500)), (450, 800, 449, ("stop", 500)),
    (700, 800, 499, ("stop", 700)), (700, 800, 700, ("correct", 800)),
])  # fmt: skip
def test_before_an_exit_a_body_goes_whatever_the_file_says(
    least: float | None, wide: float, clear: float, found: tuple[str, float] | None
) -> None:
    # half the door's width, and never less than 500 mm before an exit: own figures
    door = Door("gate", "the gate", "hall", "outside", ((0, 3000), (0, 3000 + wide)), wide,
                height_mm=2100, opens="open", passage=box(-200, 3000, 1, 3000 + wide), exit=True)  # fmt: skip
    pile = Pile()
    pile.add("crate", pile.at(400, 2750 + wide - clear), size=(600, 500, 500))
    told = of(shop(doors=[door], limits=Limits(exit_mm=least)), "door-front", pile)
    assert [(f.grade, f.limit) for f in told] == ([found] if found else [])


def test_edges_of_a_surface_within_a_millimetre() -> None:
    names = ("left", "right")
    assert [_edge(low, high, 100.0, names) for low, high in [
        (0.0, 50.0), (0.99, 50.0), (1.0, 50.0), (40.0, 99.0), (40.0, 99.01), (0.5, 99.9),
    ]] == ["left", "left", "", "", "right", "left"]  # fmt: skip
    here = InZone("z", "", 10.0, 20.0)
    assert [_near(here, InZone("z", "", *at)) for at in [
        (10.9, 20.9), (11.0, 20.0), (10.0, 21.0), (9.1, 19.1), (None, 20.0), (10.0, None),
    ]] == [True, False, False, True, False, False]  # fmt: skip
    assert not _near(InZone("z"), here)


def test_an_upright_rectangle_is_one_and_nothing_else_is() -> None:
    assert is_rectangle(box(0, 0, 5, 9)) and is_rectangle(box(0, 0, 5, 9)[::-1])
    for other in (((0, 0), (5, 0), (5, 9)), (*box(0, 0, 5, 9), (0, 5)), ((0, 0), (5, 1), (5, 9), (0, 9))):
        assert not is_rectangle(other)


@pytest.mark.parametrize(("outline", "less", "kept", "exact"), [
    (box(100, 100, 300, 200), 0.0, [(100, 100, 300, 200)], True),
    (box(100, 100, 300, 200), 10.0, [(110, 110, 290, 190)], True),
    (box(100, 100, 300, 120), 10.0, [(100, 100, 300, 120)], True),
    (box(100, 100, 300, 120.1), 10.0, [(110, 110, 290, 110.1)], True),
    (box(-50, -50, 60, 70), 0.0, [(0, 0, 60, 70)], True),
    (box(900, 400, 1200, 800), 0.0, [(900, 400, 1000, 500)], True),
    (box(1000, 0, 1200, 100), 0.0, [], True), (box(0, 500, 100, 600), 0.0, [], True),
    (((100, 100), (300, 100), (100, 200)), 0.0, [(100, 100, 300, 200)], False),
    (((200, 100), (300, 200), (200, 300), (100, 200)), 0.0, [(100, 100, 300, 300)], False),
])  # fmt: skip
def test_what_stands_on_a_surface_takes_its_upright_box_off(
    outline: Any, less: float, kept: list[tuple[float, ...]], exact: bool
) -> None:
    there = zone("spot", (0, 0), (1000, 500))
    question = _Question(there, there.levels[0], 5.0)
    if less:
        question.block(outline, less)
    else:
        question.block(outline)
    assert [tuple(each) for each in question.blocked] == [pytest.approx(each) for each in kept]
    assert question.exact is exact


# --- extinguishers ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("mass", "handle", "found"), [
    (4.0, 1500.0, []), (4.0, 1600.0, []), (4.0, 1601.0, ["note"]), (4.0, 1400.0, []),
    (4.0, 1399.0, ["note"]), (4.1, 1000.0, []), (4.1, 1100.0, []), (4.1, 1101.0, ["note"]),
    (4.1, 899.0, ["note"]),
])  # fmt: skip
def test_in_uk_the_handle_is_about_so_high(mass: float, handle: float, found: list[str]) -> None:
    # BS 5306-8:2012, 7.2: about 1.5 m to 4 kg, about 1 m above; 100 mm either way: own figure
    hung = Mounted(mass_kg=mass, handle_mm=handle)
    clear = KeepClear("e", "the ext", "hall", box(0, 0, 600, 600), "extinguisher", mounted=hung)
    assert grades(shop(rules="uk", keep_clear=[clear]), "extinguisher") == found
    (advice,) = of(shop(rules="eu", keep_clear=[clear]), "extinguisher")
    assert f"uk {'1500' if mass <= 4 else '1000'} mm handle" in advice.text
    for less in ({"mass_kg": None}, {"handle_mm": None}):
        untold = replace(clear, mounted=replace(hung, **less))  # type: ignore[arg-type]
        assert gaps(shop(rules="uk", keep_clear=[untold]), "extinguisher") == ["missing"]


# --- words -------------------------------------------------------------------------------------------------


def test_a_corrosive_acid_is_said_once_as_an_acid() -> None:
    assert {each.kind for each in hazards.read("corrosive acid").hazards} == {"acid"}
    assert {each.kind for each in hazards.read("corrosive").hazards} == {"corrosive"}
    assert {each.kind for each in hazards.read("corrosive lye").hazards} == {"alkali"}
