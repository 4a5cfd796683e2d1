"""Gears: fixed wheels exactly, a turning radius by ways checked again, and what they never may say."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from floor_checker import World, path_problem

from shopbins.geometry.shapes import FloorProblem, Outline, Pose, placed, rectangle
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, NOT_DECIDED
from shopbins.kernel.goes_links import place_of, pose_of
from shopbins.kernel.steering import OWN_AXIS, Bit, Steering, after, dubins, dubins_back


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


CORRIDORS: Outline = ((0, 0), (9000, 0), (9000, 2000), (2000, 2000), (2000, 9000), (0, 9000))


def test_fixed_wheels_roll_along_their_own_axis_only() -> None:
    room, body = box(0, 0, 6000, 3000), rectangle(1000, 600)
    a = Pose(1000, 1500, 0)
    assert goes(room, [], [], body, a, Pose(5000, 1500, 0), steering=OWN_AXIS).answer == GOES
    assert goes(room, [], [], body, a, Pose(5000, 1500, 180), steering=OWN_AXIS).answer == GOES
    assert (
        goes(room, [], [], body, a, Pose(5000, 1500, 180), steering=OWN_AXIS, either_way=False).answer
        == DOES_NOT_GO
    )
    assert goes(room, [], [], body, a, Pose(5000, 1501, 0), steering=OWN_AXIS).answer == DOES_NOT_GO
    for turn in (10, 1e-5):
        assert goes(room, [], [], body, a, Pose(5000, 1500, turn), steering=OWN_AXIS).answer == DOES_NOT_GO
    hall = box(0, 0, 6000, 6000)  # along its own axis whichever way that lies, and only there
    for turn, goal, other in ((90, (2000, 5000), (2100, 5000)), (45, (5000, 5000), (5000, 4900))):
        b = Pose(2000, 2000, turn)
        assert goes(hall, [], [], body, b, Pose(*goal, turn), steering=OWN_AXIS).answer == GOES
        assert goes(hall, [], [], body, b, Pose(*other, turn), steering=OWN_AXIS).answer == DOES_NOT_GO
    blocked = [box(3000, 1700, 3100, 2900)]
    answer = goes(room, [], blocked, body, a, Pose(5000, 1500, 0), steering=OWN_AXIS)
    assert answer.answer == DOES_NOT_GO and answer.steering == "only rolls along its own axis"
    beside = goes(room, [], [box(3000, 1850, 3100, 2900)], body, a, Pose(5000, 1500, 0), steering=OWN_AXIS)
    assert beside.answer == GOES and beside.clearance_mm == pytest.approx(50, abs=0.01)


def test_arcs_are_arcs() -> None:
    # a quarter to the left on radius 1000 from the origin ends at (1000, 1000) heading 90
    end = after(Pose(0, 0, 0), Bit(1000 * math.pi / 2, 90))
    assert (end.x_mm, end.y_mm, end.turn_deg) == pytest.approx((1000, 1000, 90))
    back = after(end, Bit(-1000 * math.pi / 2, -90))
    assert (back.x_mm, back.y_mm, back.turn_deg) == pytest.approx((0, 0, 0), abs=1e-9)


def test_the_place_of_a_body_and_the_pose_it_has_there_are_one_motion() -> None:
    rng = random.Random(8)
    for _ in range(50):
        centre = rng.uniform(-900, 900), rng.uniform(-900, 900)
        pose = Pose(rng.uniform(-9e3, 9e3), rng.uniform(-9e3, 9e3), rng.uniform(0, 360))
        place = place_of(pose, centre)
        assert place == pytest.approx(placed((centre,), pose)[0])
        assert pose_of(place, pose.turn_deg, centre) == pytest.approx(pose)


def test_the_curves_lead_to_the_goal_no_tighter_than_told() -> None:
    rng = random.Random(5)
    shots = 0
    for n in range(200):
        far = 5e3 if n else 0.3  # the first goal a hair beside the start
        a = Pose(rng.uniform(-5e3, 5e3), rng.uniform(-5e3, 5e3), rng.uniform(-180, 540))
        b = Pose(
            a.x_mm + rng.uniform(-far, far), a.y_mm + rng.uniform(-far, far),
            rng.uniform(-180, 540) if n else a.turn_deg,
        )  # fmt: skip
        for bits in itertools.chain(dubins(a, b, 1200.0), dubins_back(a, b, 1200.0)):
            at = a
            for bit in bits:
                assert abs(bit.along_mm) + 1e-6 >= abs(math.radians(bit.turn_deg)) * 1200
                at = after(at, bit)
            off = (at.turn_deg - b.turn_deg + 180) % 360 - 180
            assert math.hypot(at.x_mm - b.x_mm, at.y_mm - b.y_mm) < 1e-5 and abs(off) < 1e-6
            shots += 1
    assert shots > 1000


@pytest.mark.parametrize("radius_mm", [800.0, 1500.0])
def test_a_gear_round_a_corner(radius_mm: float) -> None:
    body, start, goal = rectangle(1400, 800), Pose(7000, 1000, 180), Pose(1000, 7000, 90)
    answer = goes(CORRIDORS, [], [], body, start, goal, steering=Steering(radius_mm), time_limit_s=300)
    assert answer.answer == GOES and answer.clearance_mm is not None
    path = [(p.x_mm, p.y_mm, p.turn_deg) for p in answer.path]
    assert path_problem(World([CORRIDORS], [], [], body), path, answer.clearance_mm) is None
    for a, b in itertools.pairwise(answer.path):
        # an arc's chord points half way between its two headings, and is no shorter than the radius allows
        turn = math.radians(b.turn_deg - a.turn_deg)
        chord = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        assert chord >= 2 * radius_mm * abs(math.sin(turn / 2)) - 1e-6
        heading = math.radians((a.turn_deg + b.turn_deg) / 2)
        aside = -(b.x_mm - a.x_mm) * math.sin(heading) + (b.y_mm - a.y_mm) * math.cos(heading)
        assert abs(aside) < 1e-6


@pytest.mark.parametrize("side", [1, -1], ids=["left", "right"])
def test_a_gear_backs_round_bends_where_it_cannot_turn_about(side: int) -> None:
    spiral = [
        (0, 0),
        (4000, 0),
        (4000, 4000),
        (1200, 4000),
        (1200, 2400),
        (2600, 2400),
        (2600, 1600),
        (0, 1600),
    ]
    room: Outline = tuple((x, side * y) for x, y in spiral)
    answer = goes(
        room, [], [], rectangle(600, 400), Pose(500, side * 800, 180), Pose(1600, side * 3200, 0),
        steering=Steering(400), either_way=False, time_limit_s=300,
    )  # fmt: skip
    assert answer.answer == GOES
    last, end = answer.path[-2:]
    heading = math.radians(end.turn_deg)
    along = (end.x_mm - last.x_mm) * math.cos(heading) + (end.y_mm - last.y_mm) * math.sin(heading)
    assert along < 0, "it comes in backwards, as the goal asks"


def test_into_a_bay_no_arc_leads_into_it_goes_straight() -> None:
    room: Outline = (
        (0, 0),
        (5000, 0),
        (5000, 1590),
        (6500, 1590),
        (6500, 2410),
        (5000, 2410),
        (5000, 4000),
        (0, 4000),
    )
    body, start, goal = rectangle(1400, 800), Pose(1000, 1000, 90), Pose(5750, 2000, 0)
    answer = goes(room, [], [], body, start, goal, steering=Steering(1000), either_way=False)
    assert answer.answer == GOES
    inside = [pose for pose in answer.path if pose.x_mm > 4700]
    assert inside and all((p.y_mm, p.turn_deg) == pytest.approx((2000, 0), abs=0.5) for p in inside)


def test_what_does_not_go_on_the_spot_goes_on_no_gear() -> None:
    narrow = [box(0, 0, 3000, 3000), box(3100, 0, 6000, 3000), box(2999, 1000, 3101, 1700)]
    body = rectangle(1400, 800)
    for steering in (Steering(900), OWN_AXIS):
        answer = goes(narrow, [], [], body, Pose(1000, 1350), Pose(5000, 1350), steering=steering)
        assert answer.answer == DOES_NOT_GO


def test_a_radius_too_large_for_the_corner_is_not_called_certain() -> None:
    tight: Outline = ((0, 0), (5000, 0), (5000, 1300), (1300, 1300), (1300, 5000), (0, 5000))
    body, start, goal = rectangle(1200, 700), Pose(3800, 650, 180), Pose(650, 3800, 90)
    answer = goes(tight, [], [], body, start, goal, steering=Steering(4000), time_limit_s=2)
    assert answer.answer == NOT_DECIDED and "on the spot" in answer.reason


@pytest.mark.parametrize("radius_mm", [-1.0, float("nan")])
def test_a_radius_that_is_none(radius_mm: float) -> None:
    with pytest.raises(FloorProblem, match="radius"):
        Steering(radius_mm)
