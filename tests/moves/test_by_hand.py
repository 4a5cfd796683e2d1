"""What people lift above the shoulder, where the colour of the weight is no help; room for who carries.

HSE INDG143, lifting filter, from memory: 10 kg for a man from shoulder (about 1400 mm) to head, none above.
L23 paragraph 120: three lift half of their sum, 15 kg. L23, from memory: beyond about twice its figures, very
close scrutiny. MAC (INDG383), from memory: purple for three above 125 kg.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from building import box, shop

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.moves.body import Projection
from shopbins.moves.finding import row_of
from shopbins.moves.hands import LookedAt, looked_at
from shopbins.moves.hoisted import No
from shopbins.moves.lifting import parts_off
from shopbins.moves.room import room_to_push
from shopbins.moves.shiftlist import By, Shifted
from shopbins.moves.steps import _shift
from shopbins.rules.handling import Band
from shopbins.shop.model import Gear, Room
from tests.moves.weir import move, of, shop_text

SCENE: Any = SimpleNamespace(
    children=lambda _key: (),
    shop=shop(
        rooms=[Room("hall", "the hall", box(0, 0, 9000, 6000))],
        gear={"crew": Gear("crew", "crew", "by hand", people=2)},
    ),
)


@pytest.mark.parametrize(("kg", "high_mm", "people"), [
    (30.0, 1401.0, 3), (30.1, 1401.0, 0), (30.0, 2001.0, 0), (30.1, 1400.0, 2), (125.0, 1400.0, 3),
    (126.0, 1400.0, 0),
])  # fmt: skip
def test_above_the_shoulder_a_team_lifts_no_more_than_twice_its_guide(
    kg: float, high_mm: float, people: int
) -> None:
    team = looked_at(SCENE, kg, 0.0, high_mm)
    assert (0 if team is None else team.people) == people


@pytest.mark.parametrize(("kg", "verdict", "text"), [
    (30.0, Verdict.ASKED, "3 people (2 told) for head, guide 15 kg: looked at first"),
    (90.0, Verdict.NO, "does not go by hand"),
])  # fmt: skip
def test_a_part_taken_off_above_the_shoulder_asks_for_a_hoist(kg: float, verdict: Verdict, text: str) -> None:
    """A head from 1700 to 2100 mm is gripped at 1900."""
    head = Projection("head", "", "", rectangle(500, 600), 1700.0, 2100.0, Mass(kg), 30.0)
    lifts = {"head": No("it does not reach", ends="a hoist of at least 90 kg")}
    it: Any = SimpleNamespace(
        scene=SCENE, subjects=("group:X",), body=SimpleNamespace(off=(head,), parts=(), room="hall"),
        attempt=SimpleNamespace(lifts=lifts, resting={}), parts_off=(head,),
    )  # fmt: skip
    (found,) = (part for part in parts_off(it) if row_of(part).finding.rule == "move-part-off")
    assert found.verdict is verdict
    if verdict is Verdict.ASKED:
        assert found.text == text and "green" not in row_of(found).finding.text
    else:
        assert row_of(found).ends == ("a hoist of at least 90 kg",) and row_of(found).finding.limit == 30.0


def carried(
    people: int, size: tuple[float, float], floor: tuple[float, float], at: Pose
) -> list[tuple[Verdict, str]]:
    """What is said of the room for who carries a thing of that size, at one place of a floor from 0, 0."""
    ground = SimpleNamespace(outlines=(box(0, 0, *floor),), holes=(), loose=())
    it: Any = SimpleNamespace(
        kind="by hand", gear=SimpleNamespace(gear=Gear("crew", "crew", "by hand", people=people)), name="P",
        load=SimpleNamespace(outline=rectangle(*size)), own={"person": 500.0}, subjects=("group:X",),
        attempt=SimpleNamespace(then=None, ground=ground), legs=[SimpleNamespace(poses=[at, at])],
    )  # fmt: skip
    return [(part.verdict, part.text) for part in room_to_push(it)]


@pytest.mark.parametrize(("people", "floor", "x", "room"), [
    (2, (6000, 1000), 1402, True), (2, (6000, 1000), 1400, False),  # at its ends: 900 + 500
    (2, (1800, 1602), 900, True), (2, (1800, 1600), 900, False),  # beside it: 2 x (300 + 500)
    (3, (6000, 1000), 1402, True), (3, (6000, 998), 1402, False),  # two side by side at one end
    (1, (2302, 600), 900, True), (1, (2300, 600), 900, False),  # before it
])  # fmt: skip
def test_who_carries_has_room_across_from_one_another(
    people: int, floor: tuple[float, float], x: float, room: bool
) -> None:
    """ISO 13854: 500 mm for the body; 1 mm between it and the thing."""
    (found,) = carried(people, (1800, 600), floor, Pose(x, floor[1] / 2))
    assert (found[0] is Verdict.YES) is room
    at = f"{x},{floor[1] / 2:.0f}"
    assert room or found == (Verdict.ASKED, f"room for {people} who carry looked at, {at}")


@pytest.mark.parametrize(("long", "said"), [(999, True), (1000, False)])
def test_three_find_hold_where_one_side_is_long_enough_for_two(long: float, said: bool) -> None:
    """2 x 500 mm (ISO 13854)."""
    found = carried(3, (long, 400), (6000, 6000), Pose(3000, 3000))
    assert [text for verdict, text in found if verdict is Verdict.ASKED] == [
        "3 people find hold on P: looked at"
    ] * said


@pytest.mark.parametrize(("kg", "by", "who"), [
    (85.0, By("team", 3), ", 3 people (2 told), red by MAC: looked at first"),
    (37.0, By("hands", 3), ", 3 people (2 told)"), (33.0, By("hands", 2), ", 2 people"),
    (20.0, By("hands", 1), ""), (300.0, By("gear", gear="truck"), ", on truck"), (5.0, None, ""),
])  # fmt: skip
def test_the_step_that_shifts_a_thing_says_who(kg: float, by: By | None, who: str) -> None:
    """MAC (INDG383), from memory: 85 kg is red for three."""
    step = _shift(SCENE, Shifted("group:P", "", "P", "rack", "1", None, kg, 0, InZone("rack", "1"), by=by))
    assert step["title"] == f"shift P ({kg:.0f} kg) to rack/1{who}"


@pytest.mark.parametrize("colour", ["green", "amber", "red"])
def test_no_reason_calls_a_weight_green_that_is_beyond_the_guide(colour: Band) -> None:
    """Beyond the guide at that height: green is of hands at a good height (HSE MAC, from memory)."""
    team = LookedAt(2, colour)
    assert (colour in team.said) == (colour in team.beyond(15.0)) == (colour != "green")
    assert "looked at first" in team.said


def test_what_stands_on_its_own_wheels_is_not_refused_by_hand(tmp_path: Path) -> None:
    """140 kg are beyond two people to carry; rolled, 2 % is 27 N: that was not looked at."""
    gear = {"two": "{kind: by hand, people: 2}"}
    for container, verdict in (("own wheels", Verdict.OPEN), ("bare", Verdict.NO)):
        (tmp_path / container).mkdir()
        (tmp_path / container / "shop.yaml").write_text(shop_text(gear=gear))
        with Desk.open(tmp_path / container / "shop.yaml", by="x") as desk:
            key = desk.take("press", container=container, size=Size(900, 600, 800), mass=Mass(140)).id
            desk.put(key, "a", x_mm=1800, y_mm=2000, override="x")
            (held,) = of(move(desk), "gear-holds")
            assert held.verdict is verdict and ("own wheels" in held.text) == (verdict is Verdict.OPEN)
