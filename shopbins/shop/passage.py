"""The geometry of a doorway: the wall it is in, the gap through the wall, the floor its leaf sweeps."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.exact import point_gap
from shopbins.geometry.segments import edges, segment_gap
from shopbins.geometry.shapes import Outline, Point, contains, cos_sin, counter_clockwise

THICKEST_WALL_MM = 1500.0
OVERLAP_MM = 1.0
SWING_STEP_DEG = 5.0


@dataclass(frozen=True, slots=True)
class Opening:
    """Two jambs on one wall, in the direction of the wall (the room on its left), and the way out."""

    jambs: tuple[Point, Point]
    outward: Point

    @property
    def width_mm(self) -> float:
        """The distance between the jambs."""
        return math.dist(*self.jambs)

    def beyond(self, first_mm: float, second_mm: float) -> tuple[Point, Point]:
        """Return the jambs pushed outward, each by its own distance."""
        (x0, y0), (x1, y1) = self.jambs
        nx, ny = self.outward
        return (x0 + nx * first_mm, y0 + ny * first_mm), (x1 + nx * second_mm, y1 + ny * second_mm)


@dataclass(frozen=True, slots=True)
class Passage:
    """The gap through a wall: its outline and the jambs on its far face."""

    outline: Outline
    far: tuple[Point, Point]


def opening_in(outline: Outline, jambs: tuple[Point, Point], tolerance_mm: float) -> Opening | None:
    """Return the opening that two points make in one wall of a room, laid exactly onto it; else None."""
    best: tuple[float, Opening] | None = None
    for a, b in _walls(outline):
        off = [segment_gap(jamb, a, b) for jamb in jambs]
        worst = max(distance for distance, _ in off)
        if worst <= tolerance_mm and (best is None or worst < best[0]):
            length = math.dist(a, b)
            dx, dy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
            on = (jamb if d < 1e-6 else foot for jamb, (d, foot) in zip(jambs, off, strict=True))
            feet = sorted(on, key=lambda p: p[0] * dx + p[1] * dy)
            best = worst, Opening((feet[0], feet[1]), (dy, -dx))
    return None if best is None else best[1]


def off_the_wall(outline: Outline, jambs: tuple[Point, Point]) -> tuple[int, float, Point]:
    """Return which jamb is further from any wall, by how much, and the wall's point nearest to it."""
    gaps = [point_gap(outline, jamb) for jamb in jambs]
    worst = max((0, 1), key=lambda i: abs(gaps[i].distance_mm))
    return worst, abs(gaps[worst].distance_mm), gaps[worst].point_a


def through_wall(opening: Opening, thickness_mm: float) -> Passage:
    """Return the passage through a wall of known thickness to outside."""
    return _passage(opening, thickness_mm, thickness_mm, 0.0)


def to_room(opening: Opening, other: Outline) -> tuple[Passage | None, float | None]:
    """Return the passage to the wall of another room opposite, and how far away that is.

    No passage where no wall is opposite both jambs (distance None) or it is further than 1.5 m.
    """
    (x0, y0), (x1, y1) = opening.jambs
    inset = min(OVERLAP_MM, opening.width_mm / 4) / opening.width_mm
    starts = (
        (x0 + (x1 - x0) * inset, y0 + (y1 - y0) * inset),
        (x1 + (x0 - x1) * inset, y1 + (y0 - y1) * inset),
    )
    hits = [_first_hit(start, opening.outward, other) for start in starts]
    first, second = hits
    if first is None or second is None:
        return None, None
    distance = max(first, second)
    if distance > THICKEST_WALL_MM:
        return None, distance
    return _passage(opening, max(first, 0.0), max(second, 0.0), OVERLAP_MM), distance


def _passage(opening: Opening, first_mm: float, second_mm: float, over_mm: float) -> Passage:
    near = opening.beyond(-OVERLAP_MM, -OVERLAP_MM)
    end = opening.beyond(first_mm + over_mm, second_mm + over_mm)
    outline = counter_clockwise((near[0], near[1], end[1], end[0]))
    return Passage(outline, opening.beyond(first_mm, second_mm))


def _walls(outline: Outline) -> Iterator[tuple[Point, Point]]:
    """Go through the straight walls; corners that only lie along a wall do not cut it."""
    n = len(outline)
    corners = [i for i in range(n) if not _straight(outline[i - 1], outline[i], outline[(i + 1) % n])]
    for k, i in enumerate(corners):
        yield outline[i], outline[corners[(k + 1) % len(corners)]]


def _straight(a: Point, b: Point, c: Point) -> bool:
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    return abs(cross) <= 0.01 * max(math.dist(a, b), math.dist(b, c))


def _first_hit(start: Point, way: Point, outline: Outline) -> float | None:
    """Return how far along a unit vector an outline is first met (a shade behind the start counts)."""
    best: float | None = None
    for (ux, uy), (vx, vy) in edges(outline):
        ex, ey = vx - ux, vy - uy
        cross = way[0] * ey - way[1] * ex
        if abs(cross) <= 1e-9 * math.hypot(ex, ey):
            continue
        wx, wy = ux - start[0], uy - start[1]
        along = (wx * ey - wy * ex) / cross
        share = (wx * way[1] - wy * way[0]) / cross
        if 0.0 <= share <= 1.0 and along >= -OVERLAP_MM and (best is None or along < best):
            best = along
    return best


@dataclass(frozen=True, slots=True)
class Leaf:
    """A hinged leaf: its hinge, the unit vectors along it while shut and into the room, its sizes."""

    hinge: Point
    shut: Point
    into: Point
    width_mm: float
    thickness_mm: float
    opens_deg: float

    def at(self, angle_deg: float, radius_mm: float) -> Point:
        """Return the point at a radius along the leaf, opened to an angle."""
        c, s = cos_sin(angle_deg)
        return (
            self.hinge[0] + (self.shut[0] * c + self.into[0] * s) * radius_mm,
            self.hinge[1] + (self.shut[1] * c + self.into[1] * s) * radius_mm,
        )


def hung(face: tuple[Point, Point], into: Point, left: bool, thickness_mm: float, opens_deg: float) -> Leaf:
    """Return a leaf hung at one end of an opening's face.

    `into` is the unit vector into the room it swings into; left and right are seen from that room.
    """
    towards_left = (into[1], -into[0])  # left of somebody who faces the door
    first, second = sorted(face, key=lambda p: -(p[0] * towards_left[0] + p[1] * towards_left[1]))
    hinge, other = (first, second) if left else (second, first)
    width = math.dist(hinge, other)
    shut = ((other[0] - hinge[0]) / width, (other[1] - hinge[1]) / width)
    return Leaf(hinge, shut, into, width, thickness_mm, opens_deg)


def swing(leaf: Leaf) -> Outline:
    """Return the floor a leaf sweeps, as a polygon around the true sector (never less than it).

    The radius reaches to the far corner of the leaf's thickness.
    """
    radius = math.hypot(leaf.width_mm, leaf.thickness_mm)
    steps = max(1, math.ceil(leaf.opens_deg / SWING_STEP_DEG))
    step = leaf.opens_deg / steps
    around = radius / math.cos(math.radians(step / 2))
    rim = [leaf.at((i + 0.5) * step, around) for i in range(steps)]
    return counter_clockwise((leaf.hinge, leaf.at(0.0, radius), *rim, leaf.at(leaf.opens_deg, radius)))


def clear_width_mm(leaf: Leaf) -> float:
    """Return what an open leaf leaves of its opening (see `shop.doors` for the convention)."""
    c, s = cos_sin(leaf.opens_deg)
    return max(0.0, leaf.width_mm - max(0.0, leaf.width_mm * c) - leaf.thickness_mm * s)


def hits_wall(leaf: Leaf, room: Outline, tolerance_mm: float) -> float | None:
    """Return the angle at which a leaf meets a wall of the room it swings into, or None."""
    reach = leaf.width_mm - 2 * tolerance_mm
    angle = SWING_STEP_DEG
    while angle <= min(leaf.opens_deg, 175.0):
        if _outside(room, [leaf.at(angle, reach), leaf.at(angle, reach / 2)], tolerance_mm):
            return angle
        angle += SWING_STEP_DEG
    return None


def _outside(room: Outline, points: Sequence[Point], tolerance_mm: float) -> bool:
    return any(not contains(room, p) and point_gap(room, p).distance_mm > tolerance_mm for p in points)
