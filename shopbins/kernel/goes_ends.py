"""Does it go from or to where it touches: off the wall first, and up to the wall last.

What touches at an end has no clearance there, and the search behind `goes` calls it too close. But a straight
slide off what is touched is exact to judge: a convex body covers a convex area on it. So the body is slid off
(a little, or as far as it takes to leave a niche as wide as itself), the way between is searched as usual,
and the slides are put before and after. An end may cut into what it stands at as deep as a place that `stand`
offers, and on its slide the body cuts no deeper anywhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import ROUNDING_MM, TOUCHING_MM, Outline, Pose
from shopbins.geometry.simple import simple
from shopbins.kernel.goes_answer import GOES, Answer, Tightest
from shopbins.kernel.goes_search import Stop
from shopbins.kernel.ground import Crowd
from shopbins.kernel.planner import Planner
from shopbins.kernel.sweep import Sweep

OFF_MM = (20.0, 2.0, 0.2, *(20.0 * 1.5**k for k in range(2, 16)))
CLEAR_MM = 1.0
WAYS = (16, 72)


def goes_from_touching(
    planner: Planner,
    things: Sequence[Outline],
    start: Pose,
    goal: Pose,
    *,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Answer | None:
    """Answer `goes` where a way leads from beside what touches at the start to beside what does at the goal.

    None where neither end touches anything or no such way is found: that says nothing. `clearance_mm` is 0.
    """
    stop = Stop(time_limit_s, cancelled)
    crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
    free = beside_both(planner, crowd, start, goal)
    if free is None:
        return None
    found = planner.goes_in(crowd, *free, stop)
    if found.answer != GOES:
        return None
    path = from_end_to_end(found.path, start, goal, free)
    touching = start if free[0] != start else goal
    near = planner.sweep(crowd).nearest(touching)
    name = planner.name_of(near.edge, crowd)
    tightest = Tightest(touching, name, (near.on_body, near.on_obstacle))
    return replace(
        found,
        path=path,
        clearance_mm=0.0,
        tightest=tightest,
        reason="it touches where it stands; the rest of the way is clear",
        seconds=stop.spent_s(),
    )


def beside_both(planner: Planner, crowd: Crowd, start: Pose, goal: Pose) -> tuple[Pose, Pose] | None:
    """Return poses beside start and goal that touch nothing and that a straight slide frees from there.

    An end that touches nothing is its own; None where neither touches anything or one cannot be freed.
    """
    first = _beside(planner, crowd, start)
    last = None if first is None else _beside(planner, crowd, goal)
    if first is None or last is None or (first, last) == (start, goal):
        return None
    return first, last


def from_end_to_end(
    path: Sequence[Pose], start: Pose, goal: Pose, free: tuple[Pose, Pose]
) -> tuple[Pose, ...]:
    """Return a path between freed poses with the slides from the start and to the goal put to it."""
    arrived = Pose(goal.x_mm, goal.y_mm, path[-1].turn_deg)  # the goal's own turn up to whole periods
    before = (start,) if free[0] != start else ()
    return (*before, *path, *((arrived,) if free[1] != goal else ()))


def _beside(planner: Planner, crowd: Crowd, pose: Pose) -> Pose | None:
    """Return the pose if it is free, else one that a straight slide frees; None where none is found."""
    if planner.sweep(crowd).nearest(pose).distance_mm > TOUCHING_MM:
        return pose
    for ways in WAYS:
        found = _slid(planner, crowd, pose, ways)
        if found is not None:
            return found
    return None


def _slid(planner: Planner, crowd: Crowd, pose: Pose, ways: int) -> Pose | None:
    """Return where a straight slide frees a pose; longer ones are tried only where the shorter are open."""
    sweep = planner.sweep(crowd)
    open_ = list(_ways_off(pose, ways))
    for off in OFF_MM:
        best, most = None, min(off / 40, CLEAR_MM)
        passed = []
        for x, y in open_:
            moved = pose._replace(x_mm=pose.x_mm + off * x, y_mm=pose.y_mm + off * y)
            # What surrounds the whole slide is not entered, so the place slid to is not either.
            if _covered(planner, crowd, pose, moved).overlapped(Pose(0.0, 0.0, 0.0)) is not None:
                continue
            passed.append((x, y))
            clear = sweep.nearest(moved).distance_mm
            if clear > most:
                best, most = moved, clear
        if best is not None:
            return best
        if off > OFF_MM[0]:
            open_ = passed
    return None


def _ways_off(pose: Pose, ways: int) -> Iterator[tuple[float, float]]:
    """Go through directions all round, along and across the body among them."""
    for k in range(ways):
        turn = math.radians(pose.turn_deg + 360.0 * k / ways)
        yield math.cos(turn), math.sin(turn)


def _covered(planner: Planner, crowd: Crowd, a: Pose, b: Pose) -> Sweep:
    """Return what a body, a touch smaller, covers on a straight slide, among all obstacle edges."""
    still = planner.sweep(crowd, -TOUCHING_MM - ROUNDING_MM)
    corners = np.concatenate((still.corners(a), still.corners(b)))
    hull = np.asarray(convex_hull([(float(x), float(y)) for x, y in corners]))
    return Sweep(hull, still.edges)
