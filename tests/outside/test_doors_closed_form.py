"""Bodies through doors: what decides is the clear width, and beside the wall the room to turn (derived).

A strip w wide, kept at angle p to the normal of a wall t thick, passes a clear width d when
w <= d cos p - t sin p (derived: the jambs' opposite corners).
"""

from __future__ import annotations

import math

import pytest
import shapely
from floor_checker import World, path_problem

from shopbins.geometry.shapes import Outline, Pose, placed, rectangle, turned
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, Answer
from shopbins.kernel.slices import free_slice


def doorway(clear: float, thick: float, left: float, right: float, high: float) -> list[Outline]:
    """Return two rooms `left` and `right` deep with a door at mid height, as outlines overlapping by 1 mm."""
    low, top = (high - clear) / 2, (high + clear) / 2
    return [
        ((-left, 0.0), (0.0, 0.0), (0.0, high), (-left, high)),
        ((thick, 0.0), (thick + right, 0.0), (thick + right, high), (thick, high)),
        ((-1.0, low), (thick + 1.0, low), (thick + 1.0, top), (-1.0, top)),
    ]


def laid(outlines: list[Outline], by: Pose) -> list[Outline]:
    return [placed(o, by) for o in outlines]


def pose_at(x: float, y: float, turn_deg: float, by: Pose) -> Pose:
    ((u, v),) = turned([(x, y)], by.turn_deg)
    return Pose(u + by.x_mm, v + by.y_mm, turn_deg + by.turn_deg)


def through(clear: float, thick: float, length: float, width: float, wall_deg: float) -> Answer:
    """Ask whether a rectangle goes straight through a door in a wall at an odd angle."""
    by = Pose(812.5, -333.25, wall_deg)
    floor = laid(doorway(clear, thick, 3000, 3000, 3500), by)
    start, goal = pose_at(-1500, 1750, 0, by), pose_at(thick + 1500, 1750, 0, by)
    return goes(floor, [], [], rectangle(length, width), start, goal)


@pytest.mark.parametrize("wall_deg", [0.0, 11.3, 30.0, 47.9, 90.0, 203.7])
@pytest.mark.parametrize(("clear", "thick"), [(900.0, 150.0), (1200.0, 24.0), (1000.0, 600.0)])
def test_the_clear_width_decides(clear: float, thick: float, wall_deg: float) -> None:
    length = clear + 500
    assert through(clear, thick, length, clear - 0.2, wall_deg).answer == GOES
    assert through(clear, thick, length, clear + 0.2, wall_deg).answer == DOES_NOT_GO


def test_a_door_exactly_as_wide_is_never_certain() -> None:
    for wall_deg in (0.0, 90.0, 180.0):
        answer = through(900.0, 150.0, 1400.0, 900.0, wall_deg)
        assert (
            answer.answer == "too close to call" and answer.within_mm is not None and answer.within_mm <= 0.1
        )


@pytest.mark.parametrize(
    ("clear", "thick", "angle"), [(900, 150, 10), (1200, 300, 20), (800, 24, 35), (1000, 100, 0)]
)
def test_a_strip_kept_at_an_angle(clear: float, thick: float, angle: float) -> None:
    widest = clear * math.cos(math.radians(angle)) - thick * math.sin(math.radians(angle))
    if (clear, thick, angle) == (900, 150, 10):
        assert widest == pytest.approx(860.28, abs=0.01)
    floor = shapely.union_all([shapely.Polygon(o) for o in doorway(clear, thick, 5000, 5000, 9000)])
    for spare, joined in ((0.01, True), (-0.01, False)):
        free = free_slice(floor, [], rectangle(2600, widest - spare), angle)
        at = [
            [p.contains(shapely.Point(x, 4500)) for p in shapely.get_parts(free)].index(True)
            for x in (-2000, 2300)
        ]
        assert (at[0] == at[1]) is joined, spare


def test_a_way_in_at_a_slant() -> None:
    # 0.2 mm too long to slide through as it lies, and too long to turn into the door, it yet goes: slanted by
    # 45 degrees a strip 1199.8 cos 45 - 150 sin 45 = 742 mm wide passes
    floor = doorway(1199.8, 150.0, 705.0, 3000, 6000)
    answer = goes(floor, [], [], rectangle(1200, 700), Pose(-352.5, 1000, 90), Pose(1650, 3000, 90))
    assert answer.answer == GOES and answer.clearance_mm is not None
    path = [(p.x_mm, p.y_mm, p.turn_deg) for p in answer.path]
    assert path_problem(World(floor, [], [], rectangle(1200, 700)), path, answer.clearance_mm) is None


def half_turn_bound(a: float, thick: float, clear: float, width: float) -> float:
    """Return the longest rectangle that turns from a passage `a` wide into a door, by a fine scan.

    The corner formula holds while the leading end has not reached the jamb beyond (L sin t <= a + thick).
    """
    low, high = width, 1e5
    for _ in range(60):
        mid = (low + high) / 2
        steps = (math.radians(k / 100) for k in range(1, 9000))
        tight = any(
            mid * math.sin(t) <= a + thick
            and mid * math.sin(t) * math.cos(t) > a * math.cos(t) + clear * math.sin(t) - width
            for t in steps
        )
        low, high = (low, mid) if tight else (mid, high)
    return low


@pytest.mark.parametrize("spare", [0.2, -0.2, 20.0, -20.0])
def test_turning_into_a_door_from_a_passage(spare: float) -> None:
    # passage 1200 wide along a thin wall, door 1000, body 700 wide; the published corner formula, restricted
    a, clear, thick, width = 1200.0, 1000.0, 100.0, 700.0
    critical = half_turn_bound(a, thick, clear, width)
    assert critical == pytest.approx(1700.417, abs=0.05)
    length = critical - spare
    reach = 5000.0
    floor = [
        ((0.0, 0.0), (2 * reach, 0.0), (2 * reach, a), (0.0, a)),
        ((reach, a - 1), (reach + clear, a - 1), (reach + clear, a + thick + 1), (reach, a + thick + 1)),
        (
            (reach - 3000, a + thick),
            (reach + 4000, a + thick),
            (reach + 4000, 6000.0),
            (reach - 3000, 6000.0),
        ),
    ]
    start, goal = Pose(1500.0, a / 2, 0.0), Pose(reach + clear / 2, 4500.0, 90.0)
    assert goes(floor, [], [], rectangle(length, width), start, goal).answer == (
        GOES if spare > 0 else DOES_NOT_GO
    )
