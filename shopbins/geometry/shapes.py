"""Outlines, poses and the small exact predicates every other floor module builds on.

An outline is a tuple of (x, y) points in mm, counter-clockwise, not closed. Everything here is plain
Python so that drawing and the command line need no heavy import.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float]
Outline = tuple[Point, ...]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a body stands: its reference point in mm and its turn in degrees counter-clockwise."""

    x_mm: float
    y_mm: float
    turn_deg: float = 0.0


def rectangle(length_mm: float, width_mm: float) -> Outline:
    """Return a rectangle centred on the origin, its length along x."""
    a, b = length_mm / 2, width_mm / 2
    return ((-a, -b), (a, -b), (a, b), (-a, b))


def turned(outline: Sequence[Point], turn_deg: float) -> Outline:
    """Turn an outline about the origin; quarter turns are exact."""
    c, s = cos_sin(turn_deg)
    return tuple((x * c - y * s, x * s + y * c) for x, y in outline)


def cos_sin(turn_deg: float) -> tuple[float, float]:
    """Return cosine and sine of a turn in degrees, exact at quarter turns."""
    quarter, rest = divmod(turn_deg, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    a = math.radians(turn_deg)
    return math.cos(a), math.sin(a)


def placed(outline: Sequence[Point], pose: Pose) -> Outline:
    """Return an outline, given about its reference point, as it stands at a pose."""
    c, s = cos_sin(pose.turn_deg)
    return tuple((pose.x_mm + x * c - y * s, pose.y_mm + x * s + y * c) for x, y in outline)


def signed_area_mm2(outline: Sequence[Point]) -> float:
    """Return the signed area: positive when the points run counter-clockwise."""
    total = 0.0
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        total += x0 * y1 - x1 * y0
        x0, y0 = x1, y1
    return total / 2


def counter_clockwise(outline: Sequence[Point]) -> Outline:
    """Return the outline with its points counter-clockwise."""
    pts = tuple(outline)
    return pts if signed_area_mm2(pts) >= 0 else pts[::-1]


def bounds(points: Iterable[Point]) -> Box:
    """Return (min x, min y, max x, max y)."""
    pts = list(points)
    xs = [p[0] for p in pts]
    ys = [p[1] for p in pts]
    return min(xs), min(ys), max(xs), max(ys)


def centroid(outline: Sequence[Point]) -> Point:
    """Return the centre of area; of the points' mean where the area is zero."""
    area = signed_area_mm2(outline)
    if area == 0:
        n = len(outline)
        return sum(p[0] for p in outline) / n, sum(p[1] for p in outline) / n
    cx = cy = 0.0
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        k = x0 * y1 - x1 * y0
        cx += (x0 + x1) * k
        cy += (y0 + y1) * k
        x0, y0 = x1, y1
    return cx / (6 * area), cy / (6 * area)


def contains(outline: Sequence[Point], point: Point) -> bool:
    """Tell whether a point lies inside an outline (on the edge counts either way)."""
    x, y = point
    inside = False
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        if (y0 > y) != (y1 > y) and x < (x1 - x0) * (y - y0) / (y1 - y0) + x0:
            inside = not inside
        x0, y0 = x1, y1
    return inside


class FloorProblem(ValueError):  # noqa: N818 - the house word is problem
    """Input that cannot be judged; the message is one clear line."""


class WayEnd(StrEnum):
    """One of the two ends of a way."""

    START = "start"
    GOAL = "goal"


class NoRoomAt(FloorProblem):
    """A body cannot stand at an end of its way: `end` says which, `why` what is against it."""

    def __init__(self, end: WayEnd, why: str) -> None:
        """Take which end it is and what is against it."""
        super().__init__(f"{end}: {why}")
        self.end, self.why = end, why


SAME_POINT_MM = 1e-6


def cleaned(outline: Sequence[Point], name: str = "outline") -> Outline:
    """Return a checked outline, counter-clockwise, without repeated points.

    Raises FloorProblem, with `name` in its line, for fewer than three different points, a coordinate
    that is not a finite number, no area, or edges that cross or touch.
    """
    pts = _distinct(outline, name)
    if len(pts) < 3:
        raise FloorProblem(f"{name}: fewer than three different points")
    if _crosses_itself(pts):
        raise FloorProblem(f"{name}: the outline crosses or touches itself")
    x0, y0, x1, y1 = bounds(pts)
    if abs(signed_area_mm2(pts)) <= 1e-6 * max(x1 - x0, y1 - y0):
        raise FloorProblem(f"{name}: the outline has no area")
    return counter_clockwise(pts)


def checked_pose(pose: Pose, name: str) -> Pose:
    """Return the pose, or raise FloorProblem when one of its numbers is not finite."""
    if not all(math.isfinite(v) for v in (pose.x_mm, pose.y_mm, pose.turn_deg)):
        raise FloorProblem(f"{name}: a number of the pose is not finite")
    return pose


def is_convex(outline: Sequence[Point]) -> bool:
    """Tell whether a counter-clockwise outline turns left (or not at all) at every corner."""
    n = len(outline)
    for i in range(n):
        (ax, ay), (bx, by), (cx, cy) = outline[i - 1], outline[i], outline[(i + 1) % n]
        ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
        if ux * vy - uy * vx < -1e-9 * math.hypot(ux, uy) * math.hypot(vx, vy):
            return False
    return True


def _distinct(outline: Sequence[Point], name: str) -> list[Point]:
    """Return the points as floats, dropping one that repeats its forerunner."""
    pts: list[Point] = []
    for raw in outline:
        try:
            x, y = float(raw[0]), float(raw[1])
        except (TypeError, ValueError, IndexError):
            raise FloorProblem(f"{name}: a point is not a pair of numbers") from None
        if not (math.isfinite(x) and math.isfinite(y)):
            raise FloorProblem(f"{name}: a coordinate is not a finite number")
        if abs(x) > 1e7 or abs(y) > 1e7:
            raise FloorProblem(f"{name}: a coordinate lies more than 10 km from the origin")
        if not pts or math.hypot(x - pts[-1][0], y - pts[-1][1]) > SAME_POINT_MM:
            pts.append((x, y))
    while len(pts) > 1 and math.hypot(pts[0][0] - pts[-1][0], pts[0][1] - pts[-1][1]) <= SAME_POINT_MM:
        pts.pop()
    return pts


def _crosses_itself(pts: Sequence[Point]) -> bool:
    """Tell whether two edges that are not neighbours meet, or two neighbours fold back."""
    n = len(pts)
    if n == 3:
        return False
    for i in range(n):
        a, b = pts[i], pts[(i + 1) % n]
        for j in range(i + 2, n):
            if i == 0 and j == n - 1:
                continue
            if _meet(a, b, pts[j], pts[(j + 1) % n]):
                return True
    return False


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Tell whether segments ab and cd share a point."""
    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    s, t = _side(a, b, c), _side(a, b, d)
    u, v = _side(c, d, a), _side(c, d, b)
    return (s > 0) != (t > 0) and (u > 0) != (v > 0) if s * t * u * v != 0 else s * t <= 0 and u * v <= 0


def _side(a: Point, b: Point, p: Point) -> float:
    """Return twice the signed area of triangle a, b, p."""
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
