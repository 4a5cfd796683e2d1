"""Outlines, poses and the small exact predicates every other floor module builds on.

An outline is a tuple of (x, y) points in mm, counter-clockwise, not closed. Everything here is plain
Python so that drawing and the command line need no heavy import.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import NamedTuple

Point = tuple[float, float]
"""x and y in mm: a plain pair, as outlines are of very many: a named one takes eight times as long."""
Outline = tuple[Point, ...]


class Box(NamedTuple):
    """An upright box, in mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def middle(self) -> Point:
        """The point in its middle."""
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2

    @property
    def wide_mm(self) -> float:
        """How far it reaches along x."""
        return self.right - self.left

    @property
    def deep_mm(self) -> float:
        """How far it reaches along y."""
        return self.top - self.bottom

    def grown(self, by_mm: float) -> Box:
        """Return it larger by so much on every side."""
        return Box(self.left - by_mm, self.bottom - by_mm, self.right + by_mm, self.top + by_mm)

    def touches(self, other: Box) -> bool:
        """Tell whether two boxes overlap or touch."""
        return (
            self.left <= other.right
            and other.left <= self.right
            and self.bottom <= other.top
            and other.bottom <= self.top
        )

    def gap_mm(self, other: Box) -> float:
        """Return the distance between two boxes: never more than between what they hold."""
        left, bottom, right, top = self
        x0, y0, x1, y1 = other
        return math.hypot(max(left - x1, x0 - right, 0.0), max(bottom - y1, y0 - top, 0.0))


class Pose(NamedTuple):
    """Where a body stands: its reference point in mm and its turn in degrees counter-clockwise.

    As a frame: where its origin lies in the shop's, and how it is turned.
    """

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


def turn_between(deg: float, from_deg: float) -> float:
    """Return by how much one direction is turned from another, in degrees from -180 to below 180."""
    return (deg - from_deg + 180.0) % 360.0 - 180.0


def placed(outline: Sequence[Point], pose: Pose) -> Outline:
    """Return an outline, given about its reference point, as it stands at a pose."""
    c, s = cos_sin(pose.turn_deg)
    return tuple((pose.x_mm + x * c - y * s, pose.y_mm + x * s + y * c) for x, y in outline)


def between(a: Pose, b: Pose, t: float) -> Pose:
    """Return the pose that part of the way from a to b, moving straight while turning evenly."""
    return Pose(
        a.x_mm + (b.x_mm - a.x_mm) * t,
        a.y_mm + (b.y_mm - a.y_mm) * t,
        a.turn_deg + (b.turn_deg - a.turn_deg) * t,
    )


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
    """Return the upright box about points."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


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


TOUCHING_MM = 0.001
"""What reaches no deeper into another than this touches it: so deep may cut what fits and what is offered."""
ROUNDING_MM = 1e-6
"""Nearer than this is the same: a thousand times what sums of doubles err by on floors up to a kilometre."""


class FloorProblem(ValueError):  # noqa: N818 - the house word is problem
    """Input that cannot be judged; the message is one clear line."""


class WayEnd(StrEnum):
    """One of the two ends of a way."""

    START = "start"
    GOAL = "goal"


class NoRoomAt(FloorProblem):
    """A body cannot stand at an end of its way: `end` says which, `why` what is against it.

    `by` names what it overlaps as the kernel counts it ('hole 0', 'thing 3', 'wall'), '' off the floor.
    """

    def __init__(self, end: WayEnd, why: str, by: str = "") -> None:
        """Take which end it is and what is against it."""
        super().__init__(f"{end}: {why}")
        self.end, self.why, self.by = end, why, by


def checked_pose(pose: Pose, name: str) -> Pose:
    """Return the pose, or raise FloorProblem when one of its numbers is not finite."""
    if not all(math.isfinite(v) for v in (pose.x_mm, pose.y_mm, pose.turn_deg)):
        raise FloorProblem(f"{name}: a number of the pose is not finite")
    return pose
