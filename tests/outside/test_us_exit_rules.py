"""Published limits of ways out, electrical working space, hot work, ramps and floors, against their sources.

Each figure was read in the source or a page quoting it, unless marked 'from memory' beside it. Values are
entered in the source's own units and converted here by hand, not by the program's constants.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from types import MappingProxyType

import pytest
from building import Pile, box, shop, zone

from shopbins.geometry.shapes import Pose, placed
from shopbins.ledger.model import InGroup
from shopbins.placing.judging import judge
from shopbins.rules import limits
from shopbins.rules.auditing import audit
from shopbins.rules.electrical import depth_limit
from shopbins.rules.exits import least_width
from shopbins.rules.finding import Finding
from shopbins.rules.floorload import area_load_kn_m2
from shopbins.shop.model import (
    Door,
    Fixture,
    KeepClear,
    Level,
    Limits,
    Mounted,
    Opposite,
    Room,
    RuleSet,
    Shop,
    Slope,
    Walkway,
    WorkKind,
)

TODAY = date(2026, 3, 1)


def exit_route(width_mm: float, rules: RuleSet, *, headroom_mm: float = 3000.0) -> Shop:
    way = Walkway(
        "out", "the way out", ((0, 4000), (10_000, 4000)), width_mm, exit_route=True, rooms=("hall",)
    )
    return shop(
        rooms=[Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=headroom_mm)],
        walkways=[way],
        rules=rules,
    )


def by_rule(there: Shop, key: str, pile: Pile | None = None) -> list[Finding]:
    return [f for f in audit((pile or Pile()).scene(there), TODAY) if f.rule == key]


# 29 CFR 1910.36(g)(2): "an exit access must be at least 28 inches (71.1 cm) wide at all points". The two
# figures differ by 0.2 mm: nothing between 711.0 and 711.2 mm is tested.
@pytest.mark.parametrize(("inches", "broken"), [(28.0, False), (27.9, True)])
def test_an_exit_route_is_28_inches_wide(inches: float, broken: bool) -> None:
    found = by_rule(exit_route(inches * 25.4, "us"), "exit-width")
    assert [f.grade for f in found] == (["stop"] if broken else [])


# 29 CFR 1910.36(g)(4): objects that project into the exit may not reduce its width below the minimum.
@pytest.mark.parametrize(("left_in", "broken"), [(28.0, False), (27.9, True)])
def test_what_stands_in_an_exit_route_leaves_28_inches(left_in: float, broken: bool) -> None:
    there = exit_route(1000, "us")
    pile = Pile()
    depth = 1000 - left_in * 25.4
    pile.add("crate", pile.at(5000, 4500 - depth / 2), size=(800, depth, 500))
    where = pile.at(5000, 4500 - depth / 2)
    judged = [f for f in judge(pile.scene(there), "crate", where) if f.rule == "exit-width"]
    audited = by_rule(there, "exit-width", pile)
    assert [f.grade for f in judged] == [f.grade for f in audited] == (["stop"] if broken else [])


def test_the_published_width_is_advice_with_its_source_under_own_rules() -> None:
    for rules in ("own", "eu"):
        (found,) = by_rule(exit_route(700, rules), "exit-width")  # type: ignore[arg-type]
        assert (found.grade, found.judged, found.source, found.limit) == ("note", False, "", None)
        assert "29 CFR 1910.36(g)(2), (4)" in found.text and found.gap == "breaks"


def test_an_exit_door_is_measured_too() -> None:
    door = Door(
        "d",
        "the door",
        "hall",
        "outside",
        ((0, 0), (0, 700)),
        700,
        2000,
        "open",
        box(-200, 0, 1, 700),
        exit=True,
    )
    (found,) = by_rule(shop(doors=[door], rules="us"), "exit-width")
    assert found.subjects == ("door:d",)
    assert found.measured == 700


# Approved Document B (England): 750 mm for up to 60 people (table number from memory).
@pytest.mark.parametrize(("width", "broken"), [(750, False), (749, True)])
def test_a_uk_escape_route_is_750_mm_wide(width: float, broken: bool) -> None:
    found = by_rule(exit_route(width, "uk"), "exit-width")
    assert [f.grade for f in found if f.judged] == (["stop"] if broken else [])
    assert [f.gap for f in found if not f.judged] == ([] if broken else ["missing"])  # how many people?


# 29 CFR 1910.36(g)(1): ceiling at least 7 ft 6 in: 7.5 x 304.8 = 2286 mm.
@pytest.mark.parametrize(("headroom", "broken"), [(2286, False), (2285, True)])
def test_the_ceiling_of_an_exit_route_is_7_ft_6(headroom: float, broken: bool) -> None:
    assert bool(by_rule(exit_route(1000, "us", headroom_mm=headroom), "exit-height")) is broken


# 29 CFR 1910.36(g)(1): a projection at least 6 ft 8 in above the floor: 2032 mm.
@pytest.mark.parametrize(("bottom", "in_the_way"), [(2032, False), (2031, True)])
def test_what_hangs_over_a_way_counts_below_6_ft_8(bottom: float, in_the_way: bool) -> None:
    there = exit_route(1000, "us")
    lamp = Fixture("lamp", "the lamp", "hall", box(4900, 3900, 5100, 4100), base_mm=bottom, top_mm=2900)
    found = by_rule(
        shop(
            rooms=list(there.rooms.values()),
            walkways=list(there.walkways.values()),
            fixtures=[lamp],
            rules="us",
        ),
        "walkway",
    )
    assert bool(found) is in_the_way


# The same, where the way beside it stays wide enough: 29 CFR 1910.36(g)(1) asks it of every projection, and
# the shop file's own lower headroom does not change that.
@pytest.mark.parametrize(("bottom", "low"), [(2032, False), (2031, True)])
@pytest.mark.parametrize("own_headroom", [None, 1900])
def test_what_hangs_over_a_wide_way_is_told_by_its_height(
    bottom: float, low: bool, own_headroom: float | None
) -> None:
    lamp = Fixture("lamp", "the lamp", "hall", box(4950, 4400, 5050, 4600), base_mm=bottom, top_mm=2900)
    beside = Fixture("hook", "the hook", "hall", box(4950, 4500, 5050, 4600), base_mm=1500, top_mm=2900)
    there = replace(
        exit_route(1000, "us"),
        fixtures=MappingProxyType({"lamp": lamp, "hook": beside}),
        limits=Limits(headroom_mm=own_headroom),
    )
    found = by_rule(there, "exit-height")
    assert [(f.subjects, f.grade, f.measured) for f in found] == (
        [(("fixture:lamp",), "correct", 2031)] if low else []
    )


# An up-and-over door's leaf hangs below its opening: what counts is the lower of the two.
@pytest.mark.parametrize(("hang", "low"), [(2032, False), (2031, True)])
def test_an_open_leaf_that_hangs_over_an_exit_counts(hang: float, low: bool) -> None:
    jambs, gap = ((0, 0), (0, 2000)), box(-200, 0, 1, 2000)
    door = Door(
        "d", "the door", "hall", "outside", jambs, 2000, 2300, "up-and-over", gap, hang_mm=hang, exit=True
    )
    assert [f.measured for f in by_rule(shop(doors=[door], rules="us"), "exit-height")] == (
        [hang] if low else []
    )


# Approved Document B (England): 750 mm to 60 people, 850 to 110, 1050 to 220, 5 mm a person above (table
# number from memory).
@pytest.mark.parametrize(
    ("people", "least"),
    [(1, 750), (60, 750), (61, 850), (110, 850), (111, 1050), (220, 1050), (221, 1105), (240, 1200)],
)
def test_a_uk_escape_route_is_as_wide_as_its_people_need(people: int, least: float) -> None:
    for width, broken in ((least, False), (least - 1, True)):
        there = replace(exit_route(width, "uk"), limits=Limits(people=people))
        assert [(f.grade, f.limit) for f in by_rule(there, "exit-width")] == (
            [("stop", least)] if broken else []
        )


# Approved Document B (England), with more than one exit: the largest is taken to be shut by the fire and the
# others take everybody (from memory).
@pytest.mark.parametrize(
    ("people", "exits", "least"),
    [
        (120, 1, 1050),
        (120, 2, 1050),
        (120, 3, 750),
        (121, 3, 850),
        (440, 3, 1050),
        (441, 3, 1105),
        (None, 3, 750),
    ],
)
def test_the_largest_of_the_uk_exits_is_left_out(people: int | None, exits: int, least: float) -> None:
    found = least_width("uk", people, exits)
    assert found is not None and found[1] == least


# 29 CFR 1910.303(g)(1): 3 ft deep at 120 V, 30 in wide, 6 ft 6 in high; each is said by itself.
def test_all_that_a_working_space_lacks_is_said() -> None:
    room = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=1900)
    space = KeepClear("p", "the panel", "hall", box(0, 0, 700, 900), "switchgear", volts=120)
    there = shop(rooms=[room], keep_clear=[space], rules="us")
    for key, measured, least in (
        ("electrical-depth", 900, 914.4), ("electrical-width", 700, 762), ("electrical-height", 1900, 1981.2),
    ):  # fmt: skip
        (found,) = by_rule(there, key)
        assert (found.grade, found.measured, found.limit) == ("correct", measured, pytest.approx(least))


# NFPA 10: up to 40 lb the top at most 5 ft (60 in) above the floor, above 40 lb 3.5 ft (42 in); the bottom at
# least 4 in. 1 in = 25.4 mm, 1 lb = 0.45359237 kg.
@pytest.mark.parametrize(
    ("pounds", "top_in", "bottom_in", "broken"),
    [
        (30, 60, 30, 0),
        (30, 61, 30, 1),
        (40, 60, 4, 0),
        (41, 42, 4, 0),
        (41, 43, 4, 1),
        (30, 60, 3.9, 1),
        (41, 43, 3.9, 1),  # one finding says both
    ],
)
def test_how_high_an_extinguisher_hangs(pounds: float, top_in: float, bottom_in: float, broken: int) -> None:
    hung = Mounted(top_in * 25.4, bottom_in * 25.4, pounds * 0.45359237)
    clear = KeepClear("e", "the extinguisher", "hall", box(0, 0, 600, 600), "extinguisher", mounted=hung)
    found = by_rule(shop(keep_clear=[clear], rules="us"), "extinguisher")
    assert [f.grade for f in found] == ["correct"] * broken
    for rules in ("own", "eu"):
        (found,) = by_rule(shop(keep_clear=[clear], rules=rules), "extinguisher")
        assert not found.judged and (found.gap == "breaks") is bool(broken)


@pytest.mark.parametrize(
    ("hung", "said"),
    [
        (Mounted(45 * 25.4, 500, None), "mass"),
        (Mounted(None, 500, 5), "top"),
        (Mounted(1000, None, None), "bottom"),
    ],
)
def test_what_is_not_known_of_an_extinguisher_is_not_judged(hung: Mounted, said: str) -> None:
    clear = KeepClear("e", "the extinguisher", "hall", box(0, 0, 600, 600), "extinguisher", mounted=hung)
    (found,) = by_rule(shop(keep_clear=[clear], rules="us"), "extinguisher")
    assert found.grade == "note" and not found.judged and said in found.text


# 29 CFR 1910.303(g)(1) Table S-1, in feet: 0-150 V to ground 3 ft; 151-600 V 3 / 3.5 / 4 ft for A / B / C.
@pytest.mark.parametrize(
    ("volts", "condition", "feet"),
    [
        (120, "A", 3),
        (120, "B", 3),
        (120, "C", 3),
        (150, "C", 3),
        (151, "A", 3),
        (277, "B", 3.5),  # a brick wall opposite counts as grounded
        (480, "C", 4),
        (600, "C", 4),
    ],
)
def test_working_space_at_electrical_equipment(volts: float, condition: str, feet: float) -> None:
    opposite = {"A": "nothing", "B": "grounded", "C": "live"}[condition]
    by = depth_limit(volts, opposite, None)
    assert by is not None and by.figure == pytest.approx(feet * 304.8)


def test_above_600_volts_another_table_applies() -> None:
    assert depth_limit(601, "nothing", None) is None


# ADA 405.2: 1:12, that is 8.3333 % or 4.7636 degrees (atan).
@pytest.mark.parametrize(("fall", "broken"), [(1 / 12, False), (1 / 11.9, True)])
def test_a_ramp_is_no_steeper_than_1_in_12(fall: float, broken: bool) -> None:
    room = Room("slip", "the slip", box(0, 0, 5000, 5000), slope=Slope(fall, 90))
    assert bool(by_rule(shop(rooms=[room], rules="us"), "ramp")) is broken
    assert math.degrees(math.atan(limits.figure("ramp", "us"))) == pytest.approx(4.7636, abs=1e-3)


# A mean floor load: 1200 kg on 1.2 x 0.8 m is 12.26 kPa, over 5 kN/m2 (a usual workshop value); 1 kN/m2
# bears 101.97 kg a square metre at standard gravity.
def test_a_heavy_pallet_on_a_workshop_floor() -> None:
    assert area_load_kn_m2(1200, 1200 * 800) == pytest.approx(12.26, abs=0.01)
    assert area_load_kn_m2(101.97, 1e6) == pytest.approx(1.0, abs=1e-4)
    pile = Pile()
    pile.add("block", pile.at(2000, 2000), size=(1200, 800, 700), kg=1200, container="pallet")
    room = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000, floor_load_kn_m2=5)
    (found,) = by_rule(shop(rooms=[room]), "floor-load", pile)
    assert found.grade == "stop"
    assert found.measured == pytest.approx(12.26, abs=0.01)


# 125 psf (ASCE 7, light manufacturing; from memory) is 5.985 kN/m2, that is 610.30 kg/m2.
@pytest.mark.parametrize(("kg", "broken"), [(610.2, False), (610.4, True)])
def test_a_floor_of_125_psf_bears_610_kg_a_square_metre(kg: float, broken: bool) -> None:
    from shopbins.units import parse_area_load

    pile = Pile()
    pile.add("block", pile.at(2000, 2000), size=(1000, 1000, 700), kg=kg, container="pallet")
    limit = parse_area_load("125 psf")
    room = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000, floor_load_kn_m2=limit)
    assert bool(by_rule(shop(rooms=[room]), "floor-load", pile)) is broken


# 29 CFR 1910.303(g)(1): a 120 V panel's working space is 3 ft (914.4 mm) deep, 30 in (762 mm) wide (a 500 mm
# panel is less) and 6 ft 6 in (1981.2 mm) high; (g)(1)(ii): never for storage.
PANEL = KeepClear(
    "panel",
    "the panel's space",
    "hall",
    box(2000, 0, 2762, 914.4),
    "electrical panel",
    height_mm=1981.2,
    volts=120,
)


@pytest.mark.parametrize(("over", "broken"), [(-1, False), (0, False), (1, True)])
def test_a_crate_corner_in_the_panels_working_space(over: float, broken: bool) -> None:
    pile = Pile()
    at = pile.at(2762 + 200 - over, 914.4 + 150 - over)
    pile.add("crate", at, size=(400, 300, 500))
    scene = pile.scene(shop(keep_clear=[PANEL], rules="us"))
    found = [f for f in judge(scene, "crate", at) if f.rule == "keep-clear" and f.grade == "stop"]
    assert bool(found) is broken


@pytest.mark.parametrize(
    ("volts", "opposite", "feet"),
    [(120, None, 3), (277, "grounded", 3.5), (480, "live", 4), (480, None, 4), (277, "nothing", 3)],
)
def test_a_working_space_drawn_too_shallow(volts: float, opposite: Opposite | None, feet: float) -> None:
    for short, broken in ((0.0, False), (1.0, True)):
        outline = placed(box(0, 0, 762, feet * 304.8 - short), Pose(3000, 3000, 20))
        space = KeepClear("p", "p", "hall", outline, "panel", volts=volts, opposite=opposite)
        found = by_rule(shop(keep_clear=[space], rules="us"), "electrical-depth")
        assert [f.grade for f in found] == (["correct"] if broken else [])


@pytest.mark.parametrize(("width", "height", "broken"), [(762, 1981.2, 0), (761, 1981.2, 1), (762, 1900, 1)])
def test_a_working_space_drawn_too_narrow_or_low(width: float, height: float, broken: int) -> None:
    space = KeepClear("p", "p", "hall", box(0, 0, width, 2000), "panel", height_mm=height, volts=120)
    there = shop(keep_clear=[space], rules="us")
    found = [*by_rule(there, "electrical-width"), *by_rule(there, "electrical-height")]
    assert len([f for f in found if f.judged]) == broken


# 29 CFR 1910.252(a)(2)(vii) (paragraph from memory): combustibles 35 ft (10,668 mm) from hot work.
@pytest.mark.parametrize(("feet", "broken"), [(35, False), (34, True)])
def test_what_burns_stands_35_ft_from_hot_work(feet: float, broken: bool) -> None:
    stove = Fixture("forge", "the forge", "hall", box(0, 0, 1000, 1000), top_mm=900, hot=True)
    room = Room("hall", "the hall", box(0, 0, 20_000, 8000), headroom_mm=3000)
    pile = Pile()
    tub = pile.add("tub", pile.at(1000 + feet * 304.8 + 200, 500), size=(400, 300, 200))
    there = shop(rooms=[room], fixtures=[stove], rules="us")
    assert by_rule(there, "hot-work", pile) == [], "nothing is guessed from a name"
    pile.add("thinners", InGroup(tub), cautions=["flammable"])
    assert [f.grade for f in by_rule(there, "hot-work", pile)] == (["correct"] if broken else [])


# Working heights for 90 % of workers (Pheasant, as quoted): precision 1020-1320, light 870-1170, heavy
# 720-1120 mm.
@pytest.mark.parametrize(
    ("work", "height", "suited"),
    [
        ("light", 950, True),
        ("heavy", 950, True),
        ("precision", 950, False),
        ("heavy", 720, True),
        ("heavy", 719, False),
        ("heavy", 1121, False),
        ("light", 869, False),
        ("precision", 1020, True),
    ],
)
def test_a_bench_suits_its_work(work: WorkKind, height: float, suited: bool) -> None:
    bench = zone("b", (0, 0), (2000, 700), kind="bench", levels=[Level("", height)], work=work)
    assert bool(by_rule(shop(zones=[bench]), "bench-height")) is not suited


# Free stacks no higher than three times their least base: common practice, no source.
@pytest.mark.parametrize(("height", "broken"), [(700, 0), (701, 1)])
def test_a_free_stack_and_its_base(height: float, broken: int) -> None:
    pile = Pile()
    pile.add("base", pile.at(2000, 2000), size=(400, 300, 200))
    pile.add("top", InGroup("base", "on"), size=(400, 300, height))
    assert len(by_rule(shop(), "tall-stack", pile)) == broken
