"""What stands on a cover and on its feet: shares by moments, classes by EN 124, hoists by their plates.

Shares on three supports are barycentric coordinates of the centre of gravity (statics of a rigid body);
weights are masses times the standard gravity 9.80665 m/s2 (ISO 80000-3).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from building import Pile, box, of, shop, zone

from shopbins.geometry.shapes import Outline
from shopbins.ledger.model import InGroup, Mass
from shopbins.records.moving import FIELD, At, ComesOff, Moving, moving_doc
from shopbins.rules.covers import Cover, bears_kn, stood_on
from shopbins.rules.hoisting import HOOK_OVER_MM, capacity_at, hook_at, lifted_onto, lifts_at, most_kg
from shopbins.shop.model import Fixture, Gear, Level, Opening, Room, Slope

G = 9.80665e-3
THREE = (At(-600, -400), At(600, -400), At(0, 800))
"""Feet whose middle is the thing's own: each carries a third."""


def cover(outline: Outline, load_kg: float | None = None, klass: str = "") -> Cover:
    return Cover("fixture:duct", "the duct", "hall", outline, load_kg, klass)


# --- what a cover takes -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("klass", "tested"), [
    ("B125", 125), ("c 250", 250), ("D400", 400), ("E 600", 600), ("f900", 900),
])  # fmt: skip
def test_a_class_is_known_by_its_test_load(klass: str, tested: float) -> None:
    # EN 124-1:2015, table of classes: test loads in kN
    assert bears_kn(cover((), klass=klass), 0.25) == (tested / 4, tested)


def test_a_load_comes_before_a_class_and_a15_before_both() -> None:
    assert bears_kn(cover((), 300.0, "B125"), 0.25) == pytest.approx((300 * G, 300 * G))
    light = (1.5, 1.5)  # 150 kg, what a floor takes wherever it stands: own figure
    assert bears_kn(cover((), 300.0, "a 15"), 0.25) == light
    assert bears_kn(cover(()), 0.25) is None and bears_kn(cover((), klass="K"), 0.25) is None


# --- how much of a thing stands on it ---------------------------------------------------------------------

BODY = box(0, 0, 1000, 1000)


@pytest.mark.parametrize(("at", "told"), [
    (box(-100, -100, 1100, 1100), (1.0, 1.0, "all of it")), (box(999.5, 0, 2000, 1000), None),
    (box(500, 0, 2000, 1000), (0.0, 1.0, "some of it")),
    (box(998, 0, 2000, 1000), (0.0, 1.0, "some of it")),
])  # fmt: skip
@pytest.mark.parametrize("feet", [[], [((500.0, 500.0), 0.0)] * 2])
def test_without_three_feet_all_of_it_may_stand_on_what_it_touches(at: Outline, told: Any, feet: Any) -> None:
    found = list(stood_on([cover(at)], BODY, feet, (500.0, 500.0)))
    assert [(it.least, it.most, it.what) for it in found] == ([] if told is None else [told])


FEET = [((0.0, 0.0), 50.0), ((1000.0, 0.0), 50.0), ((0.0, 1000.0), 50.0)]
CG = (200.0, 300.0)
"""Shares by barycentric coordinates: 0.5, 0.2 and 0.3."""


@pytest.mark.parametrize(("at", "least", "most", "what"), [
    (box(900, -100, 1100, 100), 0.2, 0.2, "1 of its 3 feet"),
    (box(-100, -100, 100, 1100), 0.8, 0.8, "2 of its 3 feet"),
    (box(-100, -100, 1100, 1100), 1.0, 1.0, "all of its feet"),
    (box(-100, -100, 960, 100), 0.5, 0.7, "1 of its 3 feet and 1 at its rim"),
    (box(-100, -100, 950, 100), 0.5, 0.5, "1 of its 3 feet"), (box(100, 100, 300, 300), 0, 0, ""),
])  # fmt: skip
def test_of_three_feet_a_cover_takes_what_moments_give_those_on_it(
    at: Outline, least: float, most: float, what: str
) -> None:
    found = list(stood_on([cover(at)], BODY, FEET, CG))
    assert [it.what for it in found] == [what] * bool(what)
    assert [(it.least, it.most) for it in found] == [pytest.approx((least, most))] * bool(what)


def test_a_point_beside_a_cover_is_not_on_it_and_without_a_centre_one_foot_may_carry_all() -> None:
    beside = box(1000.5, -100, 2000, 100)
    bare = [(p, 0.0) for p, _ in FEET]
    assert list(stood_on([cover(beside)], BODY, bare, CG)) == []
    (it,) = stood_on([cover(box(900, -100, 1100, 100))], BODY, bare, None)
    assert (it.least, it.most) == (0.0, 1.0)
    (it,) = stood_on([cover(box(-100, -100, 1100, 1100))], BODY, bare, None)
    assert (it.least, it.most) == (1.0, 1.0)


# --- as the audit says it ---------------------------------------------------------------------------------

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000, floor_load_kn_m2=500.0)
ON_ONE = box(3500, 2500, 3700, 2700)
"""Under the second of three feet of what stands in the middle of (3000, 3000)."""


def on_feet(kg: float | None, feet: tuple[At, ...] = THREE, **more: Any) -> Pile:
    pile = Pile()
    pile.add("lathe", pile.at(3000, 3000), size=(1400, 2000, 900), kg=kg, container="bare")
    told = moving_doc(Moving(cg_mm=(0.0, 0.0), feet=feet, **more))
    assert told is not None
    pile.groups["lathe"][FIELD] = told
    return pile


def over(outline: Outline = ON_ONE, load_kg: float | None = None, klass: str = "") -> Any:
    duct = Fixture("duct", "the duct", "hall", outline, top_mm=5.0, load_kg=load_kg, load_class=klass)
    return shop(rooms=[HALL], fixtures=[duct])


def said(there: Any, pile: Pile) -> list[Any]:
    return [f for f in of(there, "floor-load", pile) if "fixture:duct" in f.subjects[1:]]


@pytest.mark.parametrize(("kg", "found"), [(600.0, []), (600.1, ["stop"])])
def test_a_third_of_a_thing_on_three_feet_stands_on_the_cover_under_one(kg: float, found: list[str]) -> None:
    told = said(over(load_kg=200.0), on_feet(kg))
    assert [f.grade for f in told] == found
    if told:
        assert told[0].measured == pytest.approx(kg / 3 * G, abs=1e-4)
        assert told[0].limit == pytest.approx(200 * G) and "it takes 1.96 kN" in told[0].text
        assert "1 of its 3 feet" in told[0].text and "own figure" not in told[0].text


# A third of the test load of B125 (own figure): 41.25 kN; a third of 12,619 kg is 41.25 kN.
@pytest.mark.parametrize(("kg", "found"), [
    (12_618.0, []), (12_620.0, ["correct"]), (38_238.0, ["correct"]), (38_241.0, ["stop"]),
])  # fmt: skip
def test_over_a_share_of_a_test_load_is_to_fix_and_over_the_test_load_a_stop(
    kg: float, found: list[str]
) -> None:
    told = said(over(klass="B125"), on_feet(kg))
    assert [f.grade for f in told] == found
    assert [f.limit for f in told] == (
        [pytest.approx(41.25 if found == ["correct"] else 125)] if told else []
    )
    assert all("own figure" in f.text and ("up to" in f.text) is (f.grade == "correct") for f in told)


@pytest.mark.parametrize(("kg", "gap"), [
    (None, ["missing"]), (152.9, []), (153.1, ["keeps"]), (299.0, ["keeps"]), (300.0, ["missing"]),
])  # fmt: skip
def test_a_cover_nobody_told_of_is_asked_for_under_what_is_heavy(kg: float | None, gap: list[str]) -> None:
    told = said(over(), on_feet(kg))
    assert [f.gap for f in told] == gap and all("not told" in f.text for f in told)
    assert all(f.remedy == "write fixtures: duct: {load: 10 kN}" for f in told)


@pytest.mark.parametrize(("load", "gap"), [(300.0, ["missing"]), (30_000.0, [])])
def test_under_a_thing_not_weighed_a_cover_is_checked_only_for_solid_steel(
    load: float, gap: list[str]
) -> None:
    # 1.4 x 2 x 0.9 m of steel at 7850 kg/m3 (EN 1991-1-1 Annex A, from memory) are 19.8 t
    assert [f.gap for f in said(over(load_kg=load), on_feet(None))] == gap


@pytest.mark.parametrize(("kg", "found"), [(200.0, []), (200.1, ["stop"])])
@pytest.mark.parametrize("what", ["fixture", "zone"])
def test_a_fixture_and_a_rack_stand_on_covers_too(what: str, kg: float, found: list[str]) -> None:
    pit = Opening("pit", "the pit", "hall", "pit", box(900, 900, 2000, 2000), covered=True, load_kg=200.0)
    saw = Fixture("saw", "the saw", "hall", box(1000, 1000, 1800, 1500), top_mm=900, mass_kg=kg)
    rack = zone("rack", (1000, 1000), (800, 500), kind="shelf", levels=[Level("1", 100.0)], mass_kg=kg)
    there = shop(
        rooms=[HALL],
        openings={"pit": pit},
        **({"fixtures": [saw]} if what == "fixture" else {"zones": [rack]}),
    )
    assert [f.grade for f in of(there, "floor-load") if "opening:pit" in f.subjects] == found
    assert all(f.measured == pytest.approx(kg * G, abs=1e-4) for f in of(there, "floor-load") if f.judged)


# --- on its feet, with what comes off ---------------------------------------------------------------------

POINT = replace(HALL, point_load_kn=2.0)
ARM = box(500, -500, 700, -300)
"""A part whose middle is over the second foot."""


def heaviest(pile: Pile) -> float | None:
    """What the heaviest of its feet surely bears, in kg; None where that is not found too much."""
    told = [f for f in of(shop(rooms=[POINT]), "point-load", pile) if f.subjects[0] == "group:LATHE"]
    return next(
        ((f.measured or 0.0) / G for f in told if f.grade == "stop" and "one carries" in f.text), None
    )


def part(**more: Any) -> tuple[ComesOff, ...]:
    return (ComesOff("arm", ARM, **more),)


def test_the_weight_falls_where_the_thing_and_its_parts_have_it() -> None:
    # 900 kg: 300 kg on each of three. 300 of it in a part over the second foot: 600 / 3 + 300 there.
    assert heaviest(on_feet(900.0)) == pytest.approx(300, abs=0.1)
    assert heaviest(on_feet(900.0, comes_off=part(mass=Mass(300)))) == pytest.approx(500, abs=0.1)
    off = on_feet(900.0, comes_off=part(mass=Mass(300), off=True))
    assert heaviest(off) == pytest.approx(300, abs=0.1)
    assert heaviest(on_feet(900.0, comes_off=part())) is None  # where that weighs is not known


def test_a_part_with_a_tag_counts_while_it_is_on_and_what_lies_anywhere_leaves_it_open() -> None:
    pile = on_feet(600.0, comes_off=part(group="arm"))
    pile.add("arm", InGroup("lathe"), kg=300.0)
    assert heaviest(pile) == pytest.approx(500, abs=0.1)
    pile.add("bolts", InGroup("lathe"), kg=300.0)
    assert heaviest(pile) is None
    pile = on_feet(900.0, comes_off=part(group="arm"))
    pile.add("arm", pile.at(8000, 6000), kg=300.0)
    assert heaviest(pile) == pytest.approx(300, abs=0.1)
    pile.add("bolts", InGroup("lathe"), kg=3.0)
    assert heaviest(pile) is None


# --- sizes not told ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kg", "gap"), [(50.0, ["keeps"]), (None, ["keeps"]), (0.0, [])])
def test_what_has_no_size_is_said_not_to_be_checked_if_it_weighs_anything(
    kg: float | None, gap: list[str]
) -> None:
    pile = Pile()
    pile.add("bed", pile.at(3000, 3000), size=None, kg=kg)
    told = of(shop(rooms=[HALL]), "floor-load", pile)
    assert [f.gap for f in told] == gap and all("has no size" in f.text for f in told)


# --- hoists -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("reach", "high"), [
    (899.0, None), (900.0, 1900.0), (1000.0, 1700.0), (1200.0, 1700.0), (1300.0, 1700.0), (1500.0, 2100.0),
    (1501.0, None),
])  # fmt: skip
def test_between_two_reaches_a_hook_goes_as_high_as_the_lower_one(reach: float, high: float | None) -> None:
    told = Gear("c", "c", "engine crane", hook_at=((900, 1900), (1200, 1700), (1500, 2100)), hook_mm=2100)
    assert hook_at(told, reach) == high
    assert (
        hook_at(replace(told, hook_at=()), reach)
        == hook_at(replace(told, kind="gantry crane"), reach)
        == 2100
    )


CRANE = Gear(
    "crane", "the crane", "engine crane", capacity_kg=800.0, hook_mm=2000.0, legs_mm=150.0,
    size_mm=(500.0, 900.0), reach=((900.0, 1000.0), (1200.0, 600.0)),
)  # fmt: skip


def test_a_crane_lifts_at_the_next_stated_reach_never_more_than_its_plate() -> None:
    assert [capacity_at(CRANE, far) for far in (0.0, 900.0, 900.1, 1200.0, 1200.1)] == [
        (900.0, 800.0), (900.0, 800.0), (1200.0, 600.0), (1200.0, 600.0), None,
    ]  # fmt: skip
    assert capacity_at(replace(CRANE, capacity_kg=None), 100.0) == (900.0, 1000.0)
    assert [most_kg(replace(CRANE, **more)) for more in ({}, {"capacity_kg": None}, {"reach": ()})] == [
        800.0, 1000.0, 800.0,
    ]  # fmt: skip
    assert most_kg(replace(CRANE, capacity_kg=None, reach=())) is None
    assert lifts_at(950.0, (1200.0, 600.0)) == "at a reach of 950 mm it lifts 600 kg at most"
    assert lifts_at(1300.0, None, ", far,") == "at a reach of 1300 mm, far, it lifts nothing"


def lifted(
    kg: float, high: float = 900.0, room: Room | None = None, free: float | None = None, **more: Any
) -> Any:
    """Lift 600 mm by 200 mm of height onto a bench so high."""
    bench = zone("bench", (0, 0), (2000, 700), kind="bench", levels=[Level("", high, headroom_mm=free)])
    rooms = {} if room is None else {"rooms": [room]}
    there = shop(zones=[bench], gear={"crane": replace(CRANE, **more)}, **rooms)
    return lifted_onto(there, bench, bench.levels[0], kg, 600.0, 200.0)


# Half of 600 mm over the bench's edge; its legs, 500 mm long, end before it where they do not go under.
@pytest.mark.parametrize(("kg", "more", "said"), [
    (800.0, {}, ""), (800.1, {}, "at a reach of 300 mm it lifts 800 kg at most"),
    (800.0, {"legs_mm": 849.9}, ""),
    (801.0, {"legs_mm": 850.0}, "800 mm, its legs ending before bench, it"),
    (600.0, {"legs_mm": None, "size_mm": (700.0, 900.0)}, ""),
    (600.1, {"legs_mm": None, "size_mm": (700.0, 900.0)}, "1000 mm, its legs ending before bench, it"),
    (10.0, {"legs_mm": None, "size_mm": (901.0, 900.0)}, "it lifts nothing"),
    (10.0, {"legs_mm": None, "size_mm": None}, "how far its legs stand out is not told"),
    (10.0, {"size_mm": None}, ""),
])  # fmt: skip
def test_a_crane_reaches_from_its_legs_under_a_bench_or_before_it(
    kg: float, more: dict[str, Any], said: str
) -> None:
    up = lifted(kg, **more)
    assert (up.gear is not None) is (not said) and said in up.said


@pytest.mark.parametrize(("fall", "free", "ends"), [
    (0.02, None, ""), (0.0201, None, "a place on a level floor"), (0.0, 200.0 + HOOK_OVER_MM, ""),
    (0.0, 199.0 + HOOK_OVER_MM, "a place with more over it"),
])  # fmt: skip
def test_no_hoist_lifts_on_a_slope_or_under_a_low_shelf(fall: float, free: float | None, ends: str) -> None:
    # 2 %: common practice, no source; what hook and slings take is an own figure
    up = lifted(10.0, room=replace(HALL, slope=Slope(fall, 90)), free=free)
    assert (up.gear is None, up.ends) == (bool(ends), ends)
    assert HOOK_OVER_MM == 300.0
