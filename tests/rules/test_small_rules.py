"""Rules at their smallest: space at switchgear, the team of the best colour, what was looked at."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest
from building import Pile, box, of, shop, zone

from shopbins.geometry.shapes import Box, Pose, placed, rectangle
from shopbins.ledger.model import InZone
from shopbins.placing.judging import judge
from shopbins.rules import limits
from shopbins.rules.apart import _barrier
from shopbins.rules.coverage import CoverageRow, groups_of, lines, one_line
from shopbins.rules.covers import TESTED_KN
from shopbins.rules.doors import FRONT
from shopbins.rules.electrical import depth_limit, rectangle_sides, sides_of
from shopbins.rules.extinguishers import _too_far, _wanted
from shopbins.rules.fit import _say_overlap
from shopbins.rules.floorload import Bearer, _feet, _shared, _stand_floor, _stand_point, _weighs
from shopbins.rules.handling import mac_team
from shopbins.rules.loose import folded
from shopbins.rules.poses import Site, _candidates, free_poses, in_zone
from shopbins.rules.say import mm_pair
from shopbins.rules.shuffling import _Question
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Limits, Mounted, Room

FT, INCH = 304.8, 25.4


@pytest.mark.parametrize(("volts", "a", "b", "c"), [
    (0, 3, 3, 3), (150, 3, 3, 3), (151, 3, 3.5, 4), (600, 3, 3.5, 4), (600.1, None, None, None),
])  # fmt: skip
def test_how_deep_the_space_in_front_of_switchgear_is(
    volts: float, a: float | None, b: float | None, c: float | None
) -> None:
    """29 CFR 1910.303, Table S-1: conditions A (nothing opposite), B (grounded) and C (live), in feet."""
    found = [depth_limit(volts, opposite, None) for opposite in ("nothing", "grounded", "live")]
    assert [each and each.figure for each in found] == [feet and feet * FT for feet in (a, b, c)]


@pytest.mark.parametrize(("volts", "opposite", "installed", "least"), [
    (150, "nothing", date(1981, 4, 15), 30 * INCH), (480, "nothing", date(1981, 4, 15), 30 * INCH),
    (150, "grounded", date(1981, 4, 15), 30 * INCH), (151, "grounded", date(1981, 4, 15), 3.5 * FT),
    (120, "live", date(1981, 4, 15), 3 * FT), (480, "live", date(1981, 4, 15), 4 * FT),
    (150, "nothing", date(1981, 4, 16), 3 * FT), (480, "nothing", date(1981, 4, 16), 3 * FT),
])  # fmt: skip
def test_what_was_built_before_16_april_1981_may_be_30_inches_deep(
    volts: float, opposite: str, installed: date, least: float
) -> None:
    """29 CFR 1910.303, Table S-1, note 3 (from memory): not with live parts opposite, nor B above 150 V."""
    found = depth_limit(volts, opposite, installed)
    assert found is not None and found.figure == pytest.approx(least)


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 211.0])
def test_the_sides_of_a_rectangle_are_the_same_at_any_turn_and_another_outline_has_none(turn: float) -> None:
    def turned(*corners: tuple[float, float]) -> tuple[float, float] | None:
        return rectangle_sides(placed(corners, Pose(700.0, -300.0, turn)))

    assert turned(*box(0, 0, 1200, 900)) == pytest.approx((900, 1200))
    assert turned(*box(0, 0, 900, 1200)) == pytest.approx((900, 1200))
    assert turned((0, 0), (1200, 0), (1200, 900)) is None
    assert turned((0, 0), (1200, 0), (1300, 900), (100, 900)) is None, "a parallelogram"
    assert turned((0, 0), (1200, 0), (1200, 900), (0, 901)) is None
    assert turned((0, 0), (1200, 0), (1200, 900), (600, 1200), (0, 900)) is None


@pytest.mark.parametrize(("deep", "wide", "found"), [
    (1000, 800, (1200, 900)), (800, 1000, (900, 1200)), (900, 1200, (900, 1200)), (1300, 700, (1200, 900)),
])  # fmt: skip
def test_of_a_space_nobody_said_the_front_of_the_better_reading_counts(
    deep: float, wide: float, found: tuple[float, float]
) -> None:
    assert sides_of(box(0, 0, 900, 1200), deep, wide) == found
    assert sides_of(box(0, 0, 1200, 900), deep, wide) == found


@pytest.mark.parametrize(("kg", "people", "colour"), [
    (35, 2, "green"), (35.1, 3, "green"), (40, 3, "green"), (40.1, 2, "amber"), (50, 2, "amber"),
    (50.1, 3, "amber"), (75, 3, "amber"), (75.1, 3, "red"), (85, 3, "red"), (125, 3, "red"),
    (125.1, 3, "purple"),
])  # fmt: skip
def test_the_team_of_the_best_colour_is_taken_the_smaller_of_two_alike(
    kg: float, people: int, colour: str
) -> None:
    """HSE, Manual handling assessment charts (INDG383), team handling operations: the bands of the load."""
    assert mac_team(kg) == (people, colour)


ROWS = [
    CoverageRow("ways", "judged", 3, 3), CoverageRow("exits", "judged", 1, 1),
    CoverageRow("floor", "partly", 5, 4, "1 part not weighed"),
    CoverageRow("lift", "not judged", 2, 0, "no figure for it", no_figure=True),
    CoverageRow("fit", "not judged", 2, 0, "height not told"),
    CoverageRow("gas", "not applicable", 0, 0, "no cylinder recorded"),
]  # fmt: skip


def test_each_check_is_told_once_in_the_group_of_what_came_of_it() -> None:
    told = groups_of(ROWS)
    assert {key: [row.check for row in rows] for key, rows in told.items()} == {
        "checked": ["ways", "exits"], "partly": ["floor"], "no figure": ["lift"], "not told": ["fit"],
        "none": ["gas"],
    }  # fmt: skip
    there = shop(rules="us")
    line = one_line(ROWS, there)
    assert line.startswith("2 checked, 1 partly, 1 without a figure for ")
    assert line.endswith(", 1 not told, 1 do not apply")
    assert one_line([], there) == "0 checked", "that nothing was checked is said too"
    said = lines(ROWS, there)
    assert said[1:-1] == [
        "  checked: ways (3), exits (1)", "  partly: floor, 4 of 5: 1 part not weighed",
        "  no figure: lift, 0 of 2: no figure for it", "  not told: fit, 0 of 2: height not told",
        "  does not apply: gas (no cylinder recorded)",
    ]  # fmt: skip
    assert said[-1].startswith("  never looked at: ")


@pytest.mark.parametrize(("top_ft", "wanted"), [(3.5, []), (3.6, ["mass"]), (5.0, ["mass"]), (5.1, [])])
def test_the_mass_of_an_extinguisher_is_asked_only_where_it_decides(top_ft: float, wanted: list[str]) -> None:
    """NFPA 10, 6.1.3.8 (from memory): to 40 lb its top is at most 5 ft up, heavier ones' at most 3 1/2 ft."""
    assert _wanted(Mounted(top_mm=top_ft * FT, bottom_mm=200.0), "us") == wanted
    assert _wanted(Mounted(top_mm=top_ft * FT, bottom_mm=200.0, mass_kg=5.0), "us") == []


@pytest.mark.parametrize(("of_all", "of_room", "asked"), [
    (50, None, False), (51, None, True), (51, 10, False), (None, None, False),
])  # fmt: skip
def test_how_many_are_in_a_room_is_asked_where_the_whole_shop_is_more_than_its_door_may_swing_against(
    of_all: int | None, of_room: int | None, asked: bool
) -> None:
    """29 CFR 1910.36(e)(2): out of a room for more than 50 people a door swings the way people leave."""
    rooms = [
        Room("hall", "the hall", box(0, 0, 5000, 4000), headroom_mm=3000, people=of_room),
        Room("lobby", "the lobby", box(5200, 0, 9000, 4000), headroom_mm=3000, people=1),
    ]
    inner = Door("in", "in", "hall", "lobby", ((5000, 1000), (5000, 2000)), 1000, height_mm=2100, hand="left",
                 opens="hinged", swings_into="hall", passage=box(4999, 1000, 5201, 2000))  # fmt: skip
    out = Door("out", "out", "lobby", "outside", ((9000, 1000), (9000, 2000)), 1000, height_mm=2100,
               opens="open", passage=box(8999, 1000, 9200, 2000), exit=True)  # fmt: skip
    there = shop(rules="us", rooms=rooms, doors=[inner, out], limits=Limits(people=of_all))
    told = [f for f in of(there, "exit-door") if f.gap == "missing" and f.room == "hall"]
    assert bool(told) is asked


@pytest.mark.parametrize(("measured", "limit", "alike"), [
    (699.6, 700.0, False), (699.96, 700.0, False), (699.9998, 700.0, True), (700.0, 700.0, True),
    (700.0, 699.9998, True),
])  # fmt: skip
def test_two_lengths_look_different_where_they_differ_by_more_than_rounding(
    measured: float, limit: float, alike: bool
) -> None:
    first, second = mm_pair(measured, limit)
    assert (first == second) is alike and second == "700 mm"


def test_a_thing_may_stand_on_every_side_of_another_as_close_as_measuring_allows() -> None:
    there = Site(zone("floor", (0, 0), (10_000, 8000)), [("it", box(4000, 3000, 6000, 4000))], [], 10.0)
    found = [(pose.x_mm, pose.y_mm) for pose in free_poses(there, rectangle(1000, 600), [0.0])]
    assert {x for x, y in found if 2400 < y < 4600} >= {4000 - 500 - 10, 6000 + 500 + 10}
    assert {y for x, y in found if 3500 < x < 6500} >= {3000 - 300 - 10, 4000 + 300 + 10}
    assert all(not (3490 < x < 6510 and 2690 < y < 4310) for x, y in found)
    assert {(500.0, 300.0), (9500.0, 300.0), (500.0, 7700.0), (9500.0, 7700.0)} <= set(found)


@pytest.mark.parametrize(("unit", "shown"), [
    ("mm", 0.123), ("kg", 0.123), ("times", 0.123), ("mm/mm", 0.12346), ("kN", 0.1235), ("kN/m2", 0.1235),
    ("L", 0.1235), ("%", 0.1),
])  # fmt: skip
def test_what_is_measured_has_as_many_places_as_its_unit_needs_and_a_limit_all_that_it_was_given(
    unit: str, shown: float
) -> None:
    found = FRONT.found("note", ("shop",), "", measured=0.123456, limit=0.473176, unit=unit)
    assert (found.measured, found.limit) == (shown, 0.473176)
    found = FRONT.found("note", ("shop",), "", measured=711.9999999, limit=28 * INCH, unit=unit)
    assert repr((found.measured, found.limit)) == "(712, 711.2)", "whole figures are whole"


def test_places_looked_at_are_at_the_walls_and_in_the_middle_and_beside_what_lies_there() -> None:
    there = zone("floor", (0, 0), (3000, 2000))
    outline = box(-200, -150, 200, 150)
    empty = {(p.x_mm, p.y_mm) for *_, p in _candidates(Site(there, (), (), 0.0), outline, 0.0)}
    assert empty == {(x, y) for x in (200, 2800, 1500) for y in (150, 1850, 1000)}
    block = Site(there, [("block", box(1000, 800, 1600, 1200))], (), 5.0)
    beside = {(p.x_mm, p.y_mm) for *_, p in _candidates(block, outline, 0.0)} - empty
    xs, ys = (1000 - 205, 1600 + 205), (800 - 155, 1200 + 155)
    assert beside == {
        *((x, y) for x in xs for y in (950, 1050, 150, 1850)),
        *((x, y) for y in ys for x in (1200, 1400, 200, 2800)),
    }
    assert {p.turn_deg for *_, p in _candidates(block, outline, 0.0)} == {0.0}


def test_where_the_height_of_one_of_two_things_is_not_known_that_one_is_to_be_measured() -> None:
    pile = Pile()
    pile.add("crate", pile.at(1000, 1000), size=(400, 300, 200))
    scene = pile.scene(shop())
    known = scene.body("crate")
    assert known is not None
    other = replace(known, subject="group:o", tag="group:O", name="bale", top_mm=None, top_known=False)
    for a, b in ((known, other), (other, known)):
        assert _say_overlap(a, b, False).remedy == "measure the height of bale"
    roofed = replace(other, name="mast", top_known=True)  # up to the ceiling, which is known
    assert _say_overlap(roofed, other, False).remedy == "measure the height of bale"


def test_what_is_to_be_weighed_is_counted_with_its_places_in_one_line() -> None:
    pile = Pile()
    for name, place, kg in (
        ("a", "rack", None),
        ("b", "rack", None),
        ("c", "bench", None),
        ("d", "bench", 5),
    ):
        pile.add(name, InZone(place), kg=kg, size=(300, 200, 100))
    there = shop(
        zones=[zone("rack", (0, 0), (1800, 500), kind="shelf"), zone("bench", (4000, 0), (2000, 700))]
    )
    said = [what for what, _ in folded(pile.scene(there))]
    assert [each for each in said if "in 2 places" in each] == said[:1] and "3 parts" in said[0]


def test_what_is_shifted_presses_on_the_floor_and_a_part_is_judged_where_it_is_laid() -> None:
    # 20 t on 1 m2 are 196 kN/m2, 49 kN on each of four feet
    firm = Room(
        "hall", "the hall", box(0, 0, 9000, 8000), headroom_mm=3000, floor_load_kn_m2=5, point_load_kn=5
    )
    press = Fixture("press", "the press", "hall", box(0, 0, 1000, 1000), top_mm=2000, mass_kg=20_000)
    pile = Pile()
    pile.add("crate", pile.at(4000, 4000), size=(1000, 1000, 900), kg=20_000)
    scene = pile.scene(shop(rooms=[firm], fixtures=[press]))
    for stands in (_stand_floor, _stand_point):
        found = {body.tag: [f.grade for f in stands(scene, body)] for body in scene.standing("hall")}
        assert found == {"fixture:press": ["stop"], "group:CRATE": []}


@pytest.mark.parametrize(("window", "share"), [
    ((0, 0, 400, 100), 1), ((-50, -50, 100, 50), 1 / 8), ((300, 0, 900, 100), 1 / 4), ((400, 0, 900, 100), 0),
    ((0, 101, 400, 200), 0),
])  # fmt: skip
def test_of_a_thing_beside_the_share_that_lies_in_the_square_metre_counts(window: Any, share: float) -> None:
    assert _shared(Box(0, 0, 400, 100), Box(*window)) == pytest.approx(share)


@pytest.mark.parametrize(("one_person", "kg", "high", "found"), [
    (20, 10.0, 1600, []), (20, 10.1, 1600, [1600]), (20, 30.0, 1500, []), (None, 12.5, 1600, []),
    (None, 12.6, 1600, [1600]),
])  # fmt: skip
def test_half_of_what_one_person_lifts_is_heavy_high_up(
    one_person: float | None, kg: float, high: float, found: list[float]
) -> None:
    # half, and 25 kg where nobody told: own figures
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", high)])
    pile = Pile()
    pile.add("pump", kg=kg)
    there = shop(zones=[rack], limits=Limits(one_person_kg=one_person, lift_height_mm=1500))
    told = judge(pile.scene(there), "pump", InZone("rack", "1"))
    assert [f.measured for f in told if f.rule == "lift-height"] == found


def test_what_covers_are_tested_with() -> None:
    # EN 124-1:2015, from memory; A15 is for people on foot and bears no wheel
    assert TESTED_KN == {"B125": 125, "C250": 250, "D400": 400, "E600": 600, "F900": 900}


@pytest.mark.parametrize(("more", "stands"), [
    ({}, True), ({"room": "yard"}, False), ({"base_mm": 1.0}, False), ({"top_mm": None}, True),
    ({"top_mm": 1524.0}, True), ({"top_mm": 1523.0}, False), ({"fire_barrier": False}, False),
    ({"outline": box(1900, 1100, 2000, 2000)}, False), ({"outline": box(1900, 1000, 2000, 2000)}, True),
])  # fmt: skip
def test_a_barrier_stands_across_the_line_between_two_things(more: dict[str, Any], stands: bool) -> None:
    # 29 CFR 1910.253(b)(4)(iii): 5 ft
    wall = Fixture("w", "the wall", "hall", box(1900, 500, 2000, 1500), top_mm=1600, fire_barrier=True)
    there: Any = SimpleNamespace(zone=SimpleNamespace(room="hall"), outline=box(900, 900, 1100, 1100))
    beyond: Any = SimpleNamespace(zone=there.zone, outline=box(2900, 900, 3100, 1100))
    scene = Pile().scene(shop(fixtures=[replace(wall, **more)]))
    assert _barrier(scene, there, beyond, 1524.0) is stands


@pytest.mark.parametrize(("kg", "lacks", "said"), [
    (12.0, "", "12 kg"), (0.0, "is not weighed", "not weighed"),
    (12.0, "2 parts not weighed", "12 kg, 2 parts not weighed"),
])  # fmt: skip
def test_what_is_known_of_a_weight_and_what_is_not(kg: float, lacks: str, said: str) -> None:
    assert _weighs(Bearer("t", "it", Room("hall", "the hall", ()), None, kg, lacks)) == said


def test_a_walk_that_is_too_far_is_said_with_what_is_gone_round() -> None:
    # 29 CFR 1910.157(d)(2): 75 ft for class A
    by = limits.known("extinguisher-travel", "us", "A")
    clear = KeepClear("e", "the extinguisher", "hall", box(0, 0, 9, 9), "extinguisher")
    for names, said in ((("crate", "crate", "saw"), ", round crate and saw, "), ((), "the extinguisher, ")):
        far: Any = SimpleNamespace(length_mm=30_000.0, round=[SimpleNamespace(name=each) for each in names])
        found = _too_far(by, 22_860.0, "room:hall", "hall", "the hall", far, clear)
        assert f"{said}22860 mm at most" in found.text and (found.measured, found.limit) == (30_000, 22_860)


def test_places_chosen_are_told_to_a_thousandth_of_a_millimetre() -> None:
    bench = zone("bench", (1000, 500), (2000, 700), kind="bench", turn=90)
    at = in_zone(bench, bench.levels[0], Pose(900.00044, 700.00051, 450.0000004))
    assert at == InZone("bench", "", 200.001, 100.0, 0.0)
    question: Any = SimpleNamespace(zone=bench, level=bench.levels[0], pieces=["piece"])
    middle = SimpleNamespace(box=lambda piece: SimpleNamespace(middle=(100.00049, 50.00051)), turned=False)
    turned_by = [_Question._where(question, 0, middle, turn) for turn in (0.0, 90.0, 180.0, 270.0)]  # type: ignore[arg-type]
    assert [(at.x_mm, at.y_mm) for at in turned_by] == [(100.0, 50.001)] * 4
    assert [at.turn_deg for at in turned_by] == [0, 180, 180, 0], "a spot that is not turned has half turns"
    middle.turned = True
    turned_by = [_Question._where(question, 0, middle, turn) for turn in (0.0, 90.0, 180.0, 270.0)]  # type: ignore[arg-type]
    assert [at.turn_deg for at in turned_by] == [90, 90, 270, 270]


@pytest.mark.parametrize(("long", "feet"), [(800, 4), (1500, 4), (1501, 6), (3000, 6), (3001, 8), (4500, 8)])
@pytest.mark.parametrize("turn", [0.0, 90.0])
def test_a_rack_stands_on_a_pair_of_feet_at_least_every_metre_and_a_half(
    long: float, feet: int, turn: float
) -> None:
    # 1.5 m: own figure; four at least
    rack = zone("rack", (7000, 5000), (long, 500), kind="shelf", levels=[Level("1", 100)], turn=turn)
    drawn = replace(rack, size_mm=None)
    assert (_feet(rack), _feet(drawn)) == (feet, feet)
