"""Straight skates roll set along the way, and take more where they are set round: any way about their middle.

Figures by plane geometry: a thing 900 by 800 on skates 300 by 100 under feet at +-400, +-350.
"""

from __future__ import annotations

import math
import time
from dataclasses import replace

import pytest
from building import box

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, Pose, bounds
from shopbins.moves.forks import Foot
from shopbins.moves.load import Load
from shopbins.moves.route import Ground, Route
from shopbins.moves.steered import Axle, least_driven, steer
from shopbins.moves.tolerance import Asker
from shopbins.moves.wheels import fit_skates
from shopbins.shop.model import Gear

SKATES = Gear("s", "skates", "skates", count=4, height_mm=110.0, size_mm=(300.0, 100.0), steering="axis")
THING = Load(
    "it", box(-450, -400, 450, 400), 900.0, feet=tuple(Foot(x, y) for x in (-400, 400) for y in (-350, 350))
)
STRAIGHT = Axle((0.0, 0.0), 0.0, 0.0, straight=True)


def asked(outline: Outline, start: Pose, goal: Pose, gear: Gear = SKATES, *, more: bool = True) -> Asker:
    """It on its skates over a floor with walls all round; not `more`: as if they took no more set round."""
    fitted = fit_skates(gear, THING)
    hull = convex_hull([p for part in fitted.parts for p in part])
    turned = convex_hull([*hull, *(p for pad in fitted.set_round for p in pad)]) if more else ()
    floor = Ground(Route(("a",), (), 0.0), (outline,), (), (), ())
    return Asker(floor, hull, start, goal, time.perf_counter() + 60, turned=turned)


@pytest.mark.parametrize(
    ("gear", "across", "wide"),
    [
        (SKATES, False, (1100.0, 800.0)),  # 2 x (400 + 150), and 2 x (350 + 50) under the thing's own 800
        (SKATES, True, (900.0, 1000.0)),  # 2 x (400 + 50) under its 900, 2 x (350 + 150)
        (replace(SKATES, steering="on the spot"), False, (1100.0, 1000.0)),  # each may point any way
    ],
)
def test_skates_that_roll_straight_on_lie_along_the_way(
    gear: Gear, across: bool, wide: tuple[float, float]
) -> None:
    box_ = bounds(p for part in fit_skates(gear, THING, across=across).parts for p in part)
    assert (box_.wide_mm, box_.deep_mm) == pytest.approx(wide)


def test_they_roll_down_a_lane_that_they_stand_across_in_no_more() -> None:
    """A lane of 840: 800 along; as squares of 300 they took 1000."""
    ask = asked(box(0, 0, 6000, 840), Pose(800, 420, 0), Pose(5000, 420, 0))
    assert steer(ask, STRAIGHT, (), 0.0).answer == "goes"


@pytest.mark.parametrize(
    ("side", "more", "goes"), [(1370, True, False), (1370, False, True), (1420, True, True)]
)
def test_room_is_kept_for_them_any_way_where_they_are_set_round(side: float, more: bool, goes: bool) -> None:
    """Turned in a square: set along their corners reach hypot(550, 400) = 680 mm, any way
    hypot(400, 350) + hypot(300, 100) / 2 = 690 mm.
    """
    ask = asked(box(0, 0, side, side), Pose(side / 2, side / 2, 0), Pose(side / 2, side / 2, 90), more=more)
    assert (steer(ask, STRAIGHT, (), 0.0).answer == "goes") is goes


@pytest.mark.parametrize(("more", "shift"), [(True, (0,)), (False, ())])
def test_what_stands_where_they_are_set_round_is_shifted(more: bool, shift: tuple[int, ...]) -> None:
    """A post 682 mm off, between the 680 of along and the 690 of any way."""
    x = y = 710 + 682 * 0.70711
    ask = asked(box(0, 0, 1420, 1420), Pose(710, 710, 0), Pose(710, 710, 90), more=more)
    assert least_driven(ask, STRAIGHT, [box(x, y, x + 20, y + 20)], 0.0, [1.0]) == shift


def test_how_near_it_comes_and_where_are_told_as_it_is_set_round() -> None:
    """Turned in a square of 1420 it comes as near as 710 - 690, not 710 - 680; what is told is that place."""
    ask = asked(box(0, 0, 1420, 1420), Pose(710, 710, 0), Pose(710, 710, 90))
    found = steer(ask, STRAIGHT, (), 0.0)
    assert found.clearance_mm == pytest.approx(20, abs=1)
    assert math.dist(*found.points) == pytest.approx(found.clearance_mm, rel=0.01)
    assert 30 < found.tightest.turn_deg % 90 < 60  # atan(350/400) or atan(400/350): a foot faces the wall
