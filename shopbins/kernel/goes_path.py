"""From checked motions to a path of poses, shorter where that costs no clearance, and its tightest place."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence

from shopbins.geometry.shapes import Point, Pose
from shopbins.kernel.goes_cells import Piece
from shopbins.kernel.goes_links import pose_of, within
from shopbins.kernel.goes_search import Motion
from shopbins.kernel.sweep import ENOUGH_MM, Sweep, middle

ROOMY_MM = 50.0
SHARE = 0.01
FINE_MM = 0.005
FINE_DEG = 6.0
LEAPS = 80


def assembled(
    way: Sequence[tuple[Piece, Motion | None]], start: Pose, first: Point, last: Point, centre: Point
) -> list[Pose]:
    """Return the poses of a way: slides within pieces and turning motions between, never reduced."""
    poses = [start]
    at, turn = first, start.turn_deg
    for piece, motion in way:
        target = motion.leaves if motion is not None else last
        poses += [pose_of(p, turn, centre) for p in within(piece, at, target)[1:]]
        if motion is not None:
            turn += motion.turns_deg
            at = motion.enters
            poses.append(pose_of(at, turn, centre))
    return _without_repeats(poses)


def _without_repeats(poses: Sequence[Pose]) -> list[Pose]:
    kept = [poses[0]]
    for p in poses[1:]:
        q = kept[-1]
        if abs(p.x_mm - q.x_mm) + abs(p.y_mm - q.y_mm) + abs(p.turn_deg - q.turn_deg) > 1e-9:
            kept.append(p)
    if len(kept) > 1:
        kept[-1] = poses[-1]
    return kept


def all_clear(sweep: Sweep, poses: Sequence[Pose], need_mm: float = ENOUGH_MM) -> bool:
    """Tell whether every leg of a path surely keeps more than a distance."""
    return len(poses) < 2 or sweep.all_clear(poses, need_mm, 8)


def shortened(sweep: Sweep, poses: Sequence[Pose], roomy_mm: float = ROOMY_MM) -> list[Pose]:
    """Return a path with fewer poses, no leg nearer than those it stands for (beyond roomy is all one)."""
    bounds = [_leg_bound(sweep, a, b, roomy_mm) for a, b in itertools.pairwise(poses)]
    kept = [poses[0]]
    at, leaps = 0, LEAPS
    while at < len(poses) - 1:
        reach, leap = at + 1, 2
        while leaps > 0:
            to = min(at + leap, len(poses) - 1)
            if to <= reach:
                break
            leaps -= 1
            least = min(bounds[at:to])
            need = roomy_mm if least >= roomy_mm else least * 0.98
            if need <= ENOUGH_MM or not sweep.clear(poses[at], poses[to], need, 3):
                break
            reach, leap = to, leap * 2
        kept.append(poses[reach])
        at = reach
    return kept


def _leg_bound(sweep: Sweep, a: Pose, b: Pose, roomy_mm: float, depth: int = 4) -> float:
    """Return a clearance the leg surely keeps, at most a little over what is roomy."""
    bound = min(sweep.bound(a, b, sweep.near(a, b, 2 * roomy_mm)), 2 * roomy_mm)
    if bound >= roomy_mm or depth == 0 or (bound > ENOUGH_MM and abs(b.turn_deg - a.turn_deg) < FINE_DEG):
        return bound
    m = middle(a, b)
    return min(_leg_bound(sweep, a, m, roomy_mm, depth - 1), _leg_bound(sweep, m, b, roomy_mm, depth - 1))


def tightest(sweep: Sweep, poses: Sequence[Pose], most: int = 4000) -> tuple[float, Pose, Sweep]:
    """Return a clearance the whole path surely keeps, a pose where it is (nearly) that, and what moves there.

    Branch and bound over the legs: the surest bound is within 1 % or 5 um of the distance at the pose.
    """
    tie = itertools.count()
    best, where, there = math.inf, poses[0], sweep
    queue: list[tuple[float, int, Pose, Pose]] = []

    def look(a: Pose, b: Pose) -> None:
        nonlocal best, where, there
        moving = sweep.on(a, b)
        bound = moving.bound(a, b, moving.near(a, b, best + 1.0))
        if bound < best:  # else nothing on it is nearer
            m = middle(a, b)
            seen = moving.nearest(m).distance_mm
            if seen < best:
                best, where, there = seen, m, moving
        heapq.heappush(queue, (bound, next(tie), a, b))

    for pose in (poses[0], poses[-1]):
        seen = sweep.nearest(pose).distance_mm
        if seen < best:
            best, where = seen, pose
    for a, b in itertools.pairwise(poses):
        look(a, b)
    while queue and most > 0:
        bound, _, a, b = queue[0]
        if bound >= best - max(FINE_MM, SHARE * best):
            return max(0.0, min(bound, best)), where, there
        heapq.heappop(queue)
        m = middle(a, b)
        look(a, m)
        look(m, b)
        most -= 1
    return (max(0.0, min(queue[0][0], best)) if queue else best), where, there
