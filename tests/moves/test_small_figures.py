"""Figures of moves worked out by one small function each, against the same by hand."""

from __future__ import annotations

import itertools
import math
import time
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from building import Pile, box, shop

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Point, placed
from shopbins.geometry.shapes import Pose as At
from shopbins.moves import (
    bedding,
    crests,
    empty,
    floorline,
    force,
    lifting,
    lines,
    overedges,
    pivot,
    ramps,
    route,
    running,
    shiftlist,
    steered,
    steps,
    taped,
    tolerance,
)
from shopbins.moves.forks import Foot
from shopbins.moves.load import Load
from shopbins.moves.margin import Margin
from shopbins.moves.route import Route
from shopbins.shop.figures import OWN
from shopbins.shop.model import Door, Fixture, Gear, Slope


def like(**told: Any) -> Any:
    return SimpleNamespace(**told)


# --- what is left -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("left", "verdict"), [
    (8.1, Verdict.YES), (8.0, Verdict.AGAIN), (0.0, Verdict.AGAIN), (-8.0, Verdict.AGAIN), (-8.1, Verdict.NO),
])  # fmt: skip
def test_more_left_than_all_may_be_off_together_passes(left: float, verdict: Verdict) -> None:
    margin = Margin(left, (("the door", 5.0), ("the thing", 3.0)))
    assert (margin.within, margin.verdict) == (8.0, verdict)


def test_what_is_to_be_measured_again_is_named_the_largest_share_first() -> None:
    margin = Margin(1.0, (("the thing", 2.0), ("the door", 6.0)), "kg")
    assert margin.measure == ("the door (+- 6 of 8 kg)", "the thing (+- 2 of 8 kg)")
    assert Margin(1.0, (("the door", 6.0),)).measure == ("the door",)
    assert margin.as_json() == [
        {"what": "the door", "within": 6.0, "unit": "kg", "share": 0.75},
        {"what": "the thing", "within": 2.0, "unit": "kg", "share": 0.25},
    ]
    assert Margin(1.0, (("the door", 0.0),)).as_json()[0]["share"] == 0.0


# --- a hoist on its way, empty ----------------------------------------------------------------------------


@pytest.mark.parametrize(("tall", "wide", "said"), [
    (1990, 890, ""), (2000, 900, ""), (2011, 900, "2011 mm high, 2000 mm under the gate"),
    (2000, 911, "911 mm wide, 900 mm at the gate"), (None, 911, "911 mm wide, 900 mm at the gate"),
    (2011, None, "2011 mm high, 2000 mm under the gate"), (None, None, ""),
])  # fmt: skip
def test_an_empty_hoist_is_too_tall_or_too_wide_by_more_than_both_are_measured_to(
    tall: float | None, wide: float | None, said: str
) -> None:
    door = Door("gate", "the gate", "hall", "yard", ((0, 0), (0, 900)), 900, 2020, "open",
                box(-200, 0, 1, 900), threshold_mm=20)  # fmt: skip
    there = shop(doors=[door], measured_mm=5.0)
    size = None if wide is None else (1500.0, wide)
    gear: Any = Gear("crane", "the crane", "engine crane", size_mm=size, height_mm=tall)
    assert empty.too_tall_or_wide(there, gear, Route(("hall",), ("gate",), 0.0)) == said


@pytest.mark.parametrize(("tall", "said"), [(3010, ""), (3011, "3011 mm high, 3000 mm under the hall")])
def test_nor_does_it_go_under_a_ceiling_lower_than_it_is(tall: float, said: str) -> None:
    gear: Any = Gear("crane", "the crane", "engine crane", height_mm=tall)
    assert empty.too_tall_or_wide(shop(measured_mm=5.0), gear, Route(("hall",), (), 0.0)) == said


# --- slings -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cg", "runs"), [
    (None, [(600, 600)]), ((300.0, 50.0), [(400, 800)]), ((900.0, 0.0), [(1000, 200)]),
    ((-500.0, 0.0), [(0, 1200)]),
])  # fmt: skip
def test_two_slings_run_to_where_the_centre_of_gravity_hangs(cg: Point | None, runs: Any) -> None:
    points = (Foot(-100, 0), Foot(1100, 0), Foot(500, 100))
    load = Load("bed", box(-200, -200, 1200, 200), 500.0, 800.0, cg_mm=cg, cg_height_mm=cg and 200.0,
                slinging=points)  # fmt: skip
    assert lifting._sling_runs(load, 1200.0) == [pytest.approx(each) for each in runs]
    assert lifting._sling_runs(load, 0.0) == [(0, 0)]


# --- what it costs to shift -------------------------------------------------------------------------------


def test_what_shifting_costs_is_its_mass_with_what_lies_on_it_and_20_for_each() -> None:
    # 20 and 60 kg: own figures
    pile = Pile()
    pile.add("crate", pile.at(1000, 1000), kg=35)
    pile.add("box", pile.at(3000, 1000), kg=None)
    scene = pile.scene(shop(fixtures=[Fixture("saw", "saw", "hall", box(5000, 0, 6000, 900), mass_kg=80)]))
    things = sorted(scene.standing("hall"), key=lambda each: each.subject)
    assert [each.subject for each in things] == ["fixture:saw", "group:box", "group:crate"]
    assert shiftlist.costs(scene, things) == [100, 80, 55]
    own = {"minutes shift": 5.0}
    some = [like(mass_kg=40.0), like(mass_kg=None)]
    assert shiftlist.shift_minutes(own, some) == 5 + 2 + 5 + 3


# --- ramps and plates -------------------------------------------------------------------------------------


def rolling(kind: str, *wheels: Point, **gear: Any) -> Any:
    told = {"over_forks_mm": None, "size_mm": None, **gear}
    return like(own=OWN, kind=kind, gear=like(axis_deg=0.0, wheels=wheels, gear=like(**told)))


def test_as_many_ramps_lie_side_by_side_as_carry_every_track() -> None:
    half = OWN["wheel half width"]
    four = ((0.0, -300.0), (900.0, -300.0), (0.0, 300.0), (900.0, 300.0))
    it = rolling("pallet truck", *four)
    assert ramps.over_all_mm(it) == 600 + 2 * half
    assert [ramps.abreast_square(it, w) for w in (2 * half, 599 + 2 * half, 600 + 2 * half)] == [2, 2, 1]
    assert ramps.abreast_square(it, 2 * half - 1) == 0
    assert (ramps.abreast_square(rolling("pallet truck"), 500), ramps.over_all_mm(rolling("skates"))) == (
        1,
        0,
    )
    assert ramps.over_all_mm(rolling("pallet truck", *four, over_forks_mm=540.0)) == 540
    wide = rolling("skates", *four, size_mm=(300.0, 400.0))
    assert (ramps.half_track_mm(wide), ramps.over_all_mm(wide)) == (200, 1000)
    assert ramps.half_track_mm(rolling("skates", *four, size_mm=(300.0, 1.0))) == half


def test_plates_of_two_places_lie_on_each_other_where_they_overlap_by_a_millimetre() -> None:
    def lies(x: float) -> Any:
        return like(pieces=[like(outline=box(x, 0, x + 500, 500)), like(outline=box(x, 600, x + 500, 900))])

    assert [bedding.on_each_other(lies(0), lies(x)) for x in (400, 498.5, 499.5, 700)] == [
        True,
        True,
        False,
        False,
    ]


@pytest.mark.parametrize(("x", "y", "level"), [
    (1.0, 300.0, True), (-1.0, 0.0, False), (399.0, -90.0, True), (401.0, 0.0, False),
])  # fmt: skip
@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 180.0])
def test_a_point_is_level_with_a_line_between_its_ends(
    x: float, y: float, level: bool, turn_deg: float
) -> None:
    p, a, b = placed(((x, y), (0.0, 0.0), (400.0, 0.0)), At(70.0, -30.0, turn_deg))
    assert bedding._level(p, a, b) is level


# --- doors ------------------------------------------------------------------------------------------------

GATE = Door("gate", "the gate", "hall", "yard", ((0, 0), (0, 900)), 900, 2000, "open", box(-200, 0, 1, 900))


def test_the_other_face_of_a_door_is_its_passage_less_what_overlaps_the_room_behind() -> None:
    deep = Door("d", "d", "hall", "den", ((0, 0), (0, 900)), 900, 2000, "open", box(-201, 0, 1, 900))
    there = route._far_face(deep)
    assert there is not None and sorted(there) == [(-200, 0), (-200, 900)]
    outside = Door("d", "d", "hall", "outside", ((0, 0), (0, 900)), 900, 2000, "open", box(-201, 0, 1, 900))
    assert sorted(route._far_face(outside) or ()) == [(-201, 0), (-201, 900)]
    bare = Door("d", "d", "hall", "den", ((0, 0), (0, 900)), 900, 2000, "open", ())
    assert route._far_face(bare) is None


@pytest.mark.parametrize("turn_deg", [0.0, 40.0, 270.0])
def test_into_a_room_is_away_from_the_middle_of_the_wall(turn_deg: float) -> None:
    pose = At(300.0, 500.0, turn_deg)
    jambs = placed(GATE.jambs, pose)
    door = Door("d", "d", "hall", "den", (jambs[0], jambs[1]), 900, 2000, "open", placed(GATE.passage, pose))
    near, far = placed(((0, 0), (0, 900)), pose), placed(((-200, 0), (-200, 900)), pose)
    ahead = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    for face in (near, near[::-1]):
        assert route._into(door, (face[0], face[1]), True) == pytest.approx(ahead)
    for face in (far, far[::-1]):
        assert route._into(door, (face[0], face[1]), False) == pytest.approx((-ahead[0], -ahead[1]))


# --- lines ------------------------------------------------------------------------------------------------


def test_where_a_floor_rises_along_a_line_it_is_level_before_and_behind() -> None:
    rising = Slope(0.1, 180.0)  # falls towards -x
    ramp, side = box(1000, 0, 3000, 2000), Slope(0.1, 90.0)
    floor = crests.Floor(((ramp, rising),))
    start, end = (0.0, 1000.0), (5000.0, 1000.0)
    rises = crests._rises(floor, start, end, {ramp: [(1000.0, 3000.0)]})
    assert rises == [(0, 1000, 0), (1000, 3000, pytest.approx(0.1)), (3000, 5000, 0)]
    assert [crests._risen(rises, at) for at in (500, 1000, 2000, 3000, 5000)] == pytest.approx(
        [0, 0, 100, 200, 200]
    )
    across = crests._rises(crests.Floor(((ramp, side),)), start, end, {ramp: [(1000.0, 3000.0)]})
    assert across[1] == (1000, 3000, pytest.approx(0))


@pytest.mark.parametrize(("way_deg", "spot"), [
    (0.0, (10_000, 4000)), (90.0, (5000, 8000)), (225.0, (1000, 0)), (180.0, None),  # by the gate
])  # fmt: skip
def test_ahead_is_the_wall_and_none_where_a_doorway_is(way_deg: float, spot: Point | None) -> None:
    door = Door("gate", "the gate", "hall", "outside", ((0, 3500), (0, 4500)), 1000, 2000, "open",
                box(-200, 3500, 1, 4500))  # fmt: skip
    it = like(scene=like(shop=shop(doors=[door])))
    found = running.spot_ahead(it, (5000.0, 4000.0), math.radians(way_deg))
    assert found == (spot and pytest.approx(spot, abs=lines.JOIN_MM + 1))


# --- forces -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("fall", "drive", "back", "start", "words"), [
    # 1000 kg: m g = 9810 N; 2 and 10 % on the level (HSE L23); 1 in 10 pulls m g sin(5.71 deg) = 976.1 N
    (0.0, (196.2, 981.0), 0.0, 981.0, "push 196 N to 981 N (20 to 100 kgf)"),
    (-0.1, (1171.4, 1952.3), 0.0, 1952.3, "push 1.17 kN to 1.95 kN (119 to 199 kgf)"),
    (0.11, None, 1072.6, 0.0, "hold back 1.07 kN (109 kgf)"),
    (0.05, (0.0, 489.9), 489.9, 489.9, "hold back 490 N (49.9 kgf), push 0 N to 490 N (0 to 49.9 kgf)"),
    (0.2, None, 1923.9, 0.0, "hold back 1.92 kN (196 kgf)"),
])  # fmt: skip
def test_what_drives_a_tonne_and_what_holds_it_back(
    fall: float, drive: Any, back: float, start: float, words: str
) -> None:
    found = force.push(1000.0, fall)
    drives = found.push and (found.push.least_n, found.push.most_n)
    assert drives == (drive and pytest.approx(drive, abs=0.1))
    assert (found.hold_back, found.start_n) == pytest.approx((back, start), abs=0.1)
    assert found.words == words
    assert force.push(1000.0, fall, at_least=True).words == f"at least: {words}"
    assert found.greatest_n == pytest.approx(max(back, drive[1] if drive else 0.0), abs=0.1)
    assert found.steady_n == pytest.approx(max(back, drive[0] if drive else 0.0), abs=0.1)


@pytest.mark.parametrize(("start", "keep", "people"), [
    (0.0, 0.0, 1), (100.0, 100.0, 1), (101.0, 50.0, 1), (200.0, 0.0, 1), (201.0, 0.0, 2), (401.0, 0.0, 3),
])  # fmt: skip
def test_how_many_it_takes_is_by_the_worse_of_starting_and_keeping(
    start: float, keep: float, people: int
) -> None:
    assert force.pushers(max(start, keep), 200.0, 1e9) == people
    assert force.men_for(keep or 1.0) == 1
    assert [force.men_for(n) for n in (100, 100.1, 200, 201, 1000)] == [1, 2, 2, 3, 10]


# --- outlines along a direction ---------------------------------------------------------------------------


@pytest.mark.parametrize(("away", "wide"), [((1.0, 0.0), 400), ((0.0, -2.0), 300), ((1.0, 1.0), 0)])
def test_how_wide_an_outline_is_where_it_is_narrowest(away: Point, wide: float) -> None:
    assert ramps.across_mm(box(100, 100, 500, 400), away) == pytest.approx(abs(wide) or 100 / math.sqrt(2))


def test_a_trapezium_is_as_wide_as_between_its_nearest_corners() -> None:
    outline = ((0.0, 0.0), (500.0, 0.0), (400.0, 300.0), (100.0, 300.0))
    assert (ramps.across_mm(outline, (1.0, 0.0)), ramps.across_mm(outline, (0.0, 1.0))) == (300, 300)


def test_the_floor_over_a_bare_edge_goes_up_it_and_down_again() -> None:
    edge: Any = like(outline=box(0, 0, 900, 200), height_mm=30.0)
    assert floorline._bare(edge, 90.0) == (
        (-1, 0), (0, 0), (0, 30), pytest.approx((200, 30)), pytest.approx((200, 0)), pytest.approx((201, 0))
    )  # fmt: skip


@pytest.mark.parametrize(("steering", "wheels", "turn_deg", "tracks"), [
    ("axis", ((0, -300), (0, 300)), 0.0, [(-345, -255), (255, 345)]),
    ("axis", ((0, -300), (0, 300)), 180.0, [(255, 345), (-345, -255)]),
    ("turned", ((0, -300), (0, 300)), 0.0, [(-345, 345)]), ("axis", (), 0.0, [(-545, 445)]),
])  # fmt: skip
def test_wheels_take_a_track_each_across_a_doorway_or_all_between(
    steering: str, wheels: Any, turn_deg: float, tracks: Any
) -> None:
    """Half a wheel 40 mm, measured to 5."""
    it = like(
        path=(At(0, 100, turn_deg), At(3000, 100, turn_deg)), hull=box(-100, -500, 100, 400), measured_mm=5.0,
        own={"wheel half width": 40.0}, kind="pallet truck",
        gear=like(steering=steering, wheels=wheels, gear=like(size_mm=None)),
        at=lambda pose, points: placed(points, pose),
    )  # fmt: skip
    edge: Any = like(middle=(1500.0, 100.0))
    assert overedges._tracks_through(it, edge, 0.0) == [pytest.approx(each) for each in tracks]


# --- where a gear turns about -----------------------------------------------------------------------------


@pytest.mark.parametrize("towards_deg", [0.0, 90.0, 250.0])
def test_a_pose_of_an_axle_and_the_things_own_are_each_others_inverse(towards_deg: float) -> None:
    axle, pose = steered.Axle((300.0, -200.0), towards_deg, 500.0), At(1000.0, 2000.0, 30.0)
    seen = steered.to_axle(axle, pose)
    (at,) = placed((axle.at,), pose)
    assert (seen.x_mm, seen.y_mm, seen.turn_deg) == pytest.approx((*at, 30.0 + towards_deg))
    assert steered.from_axle(axle, seen) == pytest.approx(pose)
    outline = box(-100, -100, 900, 300)
    again = placed(steered.about(axle, outline), seen)
    assert [pytest.approx(p) for p in placed(outline, pose)] == list(again)


def test_turns_of_a_way_are_cut_to_a_degree_or_so() -> None:
    poses = [At(0, 0, 0), At(900, 0, 0), At(900, 0, 45), At(0, 0, 44)]
    fine = steered.fine(poses)
    assert [p for p in fine if p in poses] == poses and len(fine) == 2 + 45 / steered.FINE_DEG + 1
    turns = [abs(b.turn_deg - a.turn_deg) for a, b in itertools.pairwise(fine)]
    assert max(turns) == pytest.approx(steered.FINE_DEG)


# --- tapes ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("a", "b", "deg"), [
    ((1000, 0), (0, 1000), 90), ((0, 1000), (1000, 0), 90), ((1000, 0), (-1000, 0), 180),
    ((-1000, 1), (-1000, -1), 0.1146), ((1000, 0), (2000, 0), 0),
])  # fmt: skip
def test_at_which_angle_two_tapes_meet(a: Point, b: Point, deg: float) -> None:
    here = (300.0, -500.0)
    marks = [taped.Mark("m", (here[0] + x, here[1] + y)) for x, y in (a, b)]
    assert taped._between_deg(here, *marks) == pytest.approx(deg, abs=0.001)


def test_how_far_a_point_is_from_a_mark_is_said_to_ten_millimetres() -> None:
    assert taped._far((0.0, 0.0), taped.Mark("m", (300.0, 404.0))) == "500 mm"
    assert taped._far((0.0, 0.0), taped.Mark("m", (300.0, 408.0))) == "510 mm"


# --- edges of a lattice -----------------------------------------------------------------------------------


def test_edges_that_do_not_hold_are_left_out_whichever_way_they_are_told() -> None:
    a, b = np.array([0, 3, 5, 2, 7]), np.array([1, 2, 4, 9, 8])
    edges = pivot._Edges(a, b, *(np.arange(5) for _ in range(4)))
    left = pivot._without(edges, [(2, 3), (5, 4), (8, 9)], 10)
    assert left.price.tolist() == [0, 3, 4] and left.a.tolist() == [0, 2, 7]


def test_what_was_asked_once_is_not_asked_again_but_where_time_cut_it_off() -> None:
    asked: list[int] = []
    found = [tolerance.Found("not decided"), tolerance.Found("not decided"), tolerance.Found("goes")]
    asker: Any = like(kept={}, cancelled=lambda: False, left_s=lambda: 0.0)

    def ask() -> Any:
        asked.append(1)
        return found[len(asked) - 1]

    assert tolerance.Asker.once(asker, ("a",), ask).reason == "time was up"
    asker.left_s = lambda: 1.0
    assert tolerance.Asker.once(asker, ("a",), ask).reason != "time was up"
    assert tolerance.Asker.once(asker, ("a",), ask).answer == "not decided" and len(asked) == 2
    assert tolerance.Asker.once(asker, ("b",), ask).answer == "goes"


@pytest.mark.parametrize(("told", "kg", "at_least"), [
    ({"mass_kg": 800.0}, 850, False), ({"mass_kg": 800.0, "about": True}, 1050, False),  # about: 1.25 times
    ({"mass_kg": 800.0, "not_weighed": 1}, 850, True),
    ({"mass_kg": 800.0, "about": True, "not_weighed": 1}, 850, True),
])  # fmt: skip
def test_what_may_roll_at_the_most_is_what_drives(told: dict[str, Any], kg: float, at_least: bool) -> None:
    leg: Any = like(heading_deg=0.0, length_mm=1000.0, fall=-0.05, room=like(even=None))
    gear: Any = like(kind="skates", mass_kg=50.0)
    thing = Load("bed", box(0, 0, 900, 600), **told)
    found = running.force_on(thing, gear, leg)
    assert found is not None
    wanted = force.push(kg, -0.05, rolling=running.rolling_on(leg.room), at_least=at_least)
    assert found == wanted
    assert running.force_on(thing, like(kind="skates", mass_kg=None), leg).at_least
    for nothing in ({"heading_deg": None}, {"length_mm": 0.9}):
        assert running.force_on(thing, gear, like(**{**vars(leg), **nothing})) is None
    assert running.force_on(thing, like(kind="by hand", mass_kg=0.0), leg) is None
    assert running.force_on(Load("bed", box(0, 0, 900, 600)), gear, leg) is None


@pytest.mark.parametrize(
    ("even", "rolling"), [(None, (0.02, 0.1)), (True, (0.02, 0.02)), (False, (0.1, 0.1))]
)
def test_a_floor_rolls_as_it_is_told_to_be_even_or_not(even: bool | None, rolling: Any) -> None:
    # HSE L23: 2 % of the weight on good wheels and floor, 10 % on an uneven one
    assert running.rolling_on(like(even=even)) == rolling


def test_no_time_is_left_once_it_is_over_and_never_less_than_none() -> None:
    now = time.perf_counter()
    assert tolerance.Asker.left_s(like(until=now - 5)) == 0
    assert 90 < tolerance.Asker.left_s(like(until=now + 100)) <= 100


def test_leaves_that_come_off_are_told_of_a_plan_that_got_as_far_as_a_floor() -> None:
    doors = [like(key="a"), like(key="b")]
    there = like(leaves_off=("b", "c"), ground=object())
    assert steps._leaves(like(attempt=there, doors=doors)) == [doors[1]]
    assert steps._leaves(like(attempt=like(leaves_off=("b",), ground=None), doors=doors)) == []
    assert steps._leaves(like(attempt=None, doors=doors)) == []


@pytest.mark.parametrize(("b", "c", "one"), [
    ((100, 50, 10), (300, 150, 10), True), ((100, 50, 10), (-100, -50, 10), False),
    ((100, 50, 10), (200, 101, 10), False),
    ((100, 50, 11), (300, 150, 11), False), ((100, 50, 10), (300, 150, 11), False),
    ((0, 0, 10), (300, 150, 10), False),
])  # fmt: skip
def test_three_poses_are_one_drive_where_it_goes_the_same_way_on(b: Any, c: Any, one: bool) -> None:
    assert pivot._straight(At(0, 0, 10), At(*b), At(*c)) is one
