"""What stands in the way of a disc, as named convex features, and the gaps between them.

A feature is a wall edge (two points) or a convex part of a thing. Its gaps to others are worked out only as
far as somebody asks, box by box, and kept. Plain Python.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shopbins.geometry.convex import convex_parts
from shopbins.geometry.segments import along, corner_gap, edges, meet, segment_gap, segments_gap
from shopbins.geometry.shapes import Box, Outline, Point, bounds, contains, signed_area_mm2

FEW = 24
JUST_MM = 1e-5
"""So far out of an edge it is asked whether another outline goes on there."""


@dataclass(frozen=True, slots=True)
class Feature:
    """A convex obstacle: name, points (two for a wall edge), upright box and a circle round it."""

    name: str
    points: Outline
    box: Box
    middle: Point
    radius_mm: float


class Link(NamedTuple):
    """The gap between two features, by their places, with the nearest point of each."""

    width_mm: float
    first: int
    second: int
    point_a: Point
    point_b: Point


def wall_features(
    floor: Sequence[Outline],
    holes: Sequence[Outline] = (),
    names: Sequence[str] = (),
    *,
    apart: int = 0,
) -> list[Feature]:
    """Return the wall edges of outlines that are open to each other where they overlap, and of holes in them.

    Rooms and passages are given as simple outlines overlapping by a millimetre or so, which are united: an
    edge just outside of which another outline lies is no wall. Between the first that stand `apart` there is
    one, however thin. Holes are named `hole 0` and so on. `names` gives each outline's walls a name of their
    own.
    """
    called = list(names) or ["wall"] * len(floor)
    found = []
    for i, outline in enumerate(floor):
        others = [o for k, o in enumerate(floor) if k != i and not (i < apart and k < apart)]
        found += [feature(called[i], piece) for piece in _outside(outline, others)]
    for k, hole in enumerate(holes):
        found += [feature(f"hole {k}", edge) for edge in edges(hole)]
    return found


def thing_features(things: Iterable[tuple[str, Outline]]) -> list[Feature]:
    """Return the convex parts of named simple outlines; two points make a wall."""
    found = []
    for name, outline in things:
        parts = (tuple(outline),) if len(outline) == 2 else convex_parts(outline)
        found += [feature(name, part) for part in parts]
    return found


def feature(name: str, points: Sequence[Point]) -> Feature:
    """Return a convex feature with its box and circle."""
    box = bounds(points)
    middle = box.middle
    return Feature(name, tuple(points), box, middle, max(math.dist(middle, p) for p in points))


def _outside(outline: Outline, others: Sequence[Outline]) -> Iterator[tuple[Point, Point]]:
    """Yield the pieces of an outline's edges just outside of which none of the others lies."""
    out_mm = math.copysign(JUST_MM, signed_area_mm2(outline))
    for p, q in edges(outline):
        if p == q:
            continue
        box = bounds((p, q)).grown(JUST_MM)
        near = [o for o in others if box.touches(bounds(o))]
        cuts = sorted({0.0, 1.0} | {t for o in near for t in _crossings(p, q, o)})
        away = out_mm / math.dist(p, q)
        for t0, t1 in itertools.pairwise(cuts):
            x, y = along(p, q, (t0 + t1) / 2)
            outside = (x + (q[1] - p[1]) * away, y - (q[0] - p[0]) * away)
            if not any(contains(o, outside) for o in near):
                yield along(p, q, t0), along(p, q, t1)


def _crossings(p: Point, q: Point, outline: Outline) -> Iterator[float]:
    dx, dy = q[0] - p[0], q[1] - p[1]
    square = dx * dx + dy * dy
    for u, v in edges(outline):
        at = meet(p, q, u, v)
        if at is not None:
            yield min(max(((at[0] - p[0]) * dx + (at[1] - p[1]) * dy) / square, 0.0), 1.0)


class Gaps:
    """Gaps between features, worked out one by one as they are asked for, and kept."""

    def __init__(self, features: Sequence[Feature]) -> None:
        """Take the features; nothing is worked out yet."""
        self.features = list(features)
        self._known_mm = -1.0
        self._pairs: list[tuple[float, int, int]] = []
        self._links: dict[tuple[int, int], Link] = {}
        self._grid: tuple[dict[tuple[int, int], list[int]], float] | None = None

    def pairs(self, upto_mm: float) -> list[tuple[float, int, int]]:
        """Return pairs of places by the distance of their boxes, which no gap is less than, to a distance.

        Pairs a little further apart may follow.
        """
        if upto_mm > self._known_mm:
            self._pairs = sorted([*self._pairs, *self._near(upto_mm, self._known_mm)])
            self._known_mm = upto_mm
        return self._pairs

    def link(self, first: int, second: int) -> Link:
        """Return the gap between two features (first < second)."""
        found = self._links.get((first, second))
        if found is None:
            found = self._links[(first, second)] = _link(self.features, first, second)
        return found

    def upto(self, width_mm: float) -> list[Link]:
        """Return every link up to a width, sorted."""
        near = (self.link(i, j) for lower, i, j in self.pairs(width_mm) if lower <= width_mm)
        return sorted(link for link in near if link.width_mm <= width_mm)

    def _near(self, upto_mm: float, beyond_mm: float) -> Iterator[tuple[float, int, int]]:
        """Yield pairs whose boxes lie apart by more than one width and at most another, by way of a grid."""
        feats = self.features
        if not feats:
            return
        sizes = sorted(max(f.box.wide_mm, f.box.deep_mm) for f in feats)
        cell = max(upto_mm, sizes[len(sizes) // 2], 1.0)
        grid: dict[tuple[int, int], list[int]] = {}
        for k, f in enumerate(feats):
            x0, y0, x1, y1 = f.box
            near: set[int] = set()
            for u in range(int((x0 - upto_mm) // cell), int((x1 + upto_mm) // cell) + 1):
                for v in range(int((y0 - upto_mm) // cell), int((y1 + upto_mm) // cell) + 1):
                    near.update(grid.get((u, v), ()))
            for m in near:
                u0, v0, u1, v1 = feats[m].box
                dx, dy = max(x0 - u1, u0 - x1, 0.0), max(v0 - y1, y0 - v1, 0.0)
                if dx > upto_mm or dy > upto_mm:
                    continue
                far = math.hypot(dx, dy)
                if beyond_mm < far <= upto_mm:
                    yield far, m, k
            for u in range(int(x0 // cell), int(x1 // cell) + 1):
                for v in range(int(y0 // cell), int(y1 // cell) + 1):
                    grid.setdefault((u, v), []).append(k)

    def clearance(self, p: Point) -> tuple[float, int, Point]:
        """Return the distance from a point to the nearest feature, its place and its nearest point."""
        if len(self.features) <= FEW:
            return self._nearest_of(range(len(self.features)), p)
        grid, cell = self._cells()
        (u, v), reach = (int(p[0] // cell), int(p[1] // cell)), 1
        while (2 * reach + 1) ** 2 < 4 * len(grid):
            square = itertools.product(range(u - reach, u + reach + 1), range(v - reach, v + reach + 1))
            near = sorted({k for each in square for k in grid.get(each, ())})
            found = self._nearest_of(near, p)
            if found[0] <= reach * cell:
                return found
            reach *= 2
        return self._nearest_of(range(len(self.features)), p)

    def _cells(self) -> tuple[dict[tuple[int, int], list[int]], float]:
        """Return which features lie near which square of the floor, and how large the squares are."""
        if self._grid is None:
            x0, y0, x1, y1 = bounds(p for f in self.features for p in (f.box[:2], f.box[2:]))
            cell = max(math.sqrt((x1 - x0) * (y1 - y0) / len(self.features)), (x1 - x0 + y1 - y0) / 400, 1.0)
            grid: dict[tuple[int, int], list[int]] = {}
            for k, f in enumerate(self.features):
                for u in range(int(f.box[0] // cell), int(f.box[2] // cell) + 1):
                    for v in range(int(f.box[1] // cell), int(f.box[3] // cell) + 1):
                        grid.setdefault((u, v), []).append(k)
            self._grid = (grid, cell)
        return self._grid

    def _nearest_of(self, places: Iterable[int], p: Point) -> tuple[float, int, Point]:
        best, (x, y) = (math.inf, -1, p), p
        for k in places:
            f = self.features[k]
            x0, y0, x1, y1 = f.box
            dx = x0 - x if x < x0 else x - x1 if x > x1 else 0.0
            dy = y0 - y if y < y0 else y - y1 if y > y1 else 0.0
            if dx >= best[0] or dy >= best[0] or math.hypot(dx, dy) >= best[0]:
                continue
            if len(f.points) > 2 and contains(f.points, p):
                return 0.0, k, p
            distance, at = min(segment_gap(p, u, v) for u, v in edges(f.points))
            if distance < best[0]:
                best = (distance, k, at)
        return best

    def depth(self, p: Point) -> float:
        """Return how deep a point lies in the thing it is deepest in; 0 where it lies in none."""
        deep = 0.0
        for f in self.features:
            x0, y0, x1, y1 = f.box
            if x0 < p[0] < x1 and y0 < p[1] < y1 and len(f.points) > 2 and contains(f.points, p):
                deep = max(deep, min(segment_gap(p, u, v)[0] for u, v in edges(f.points)))
        return deep


def _link(features: Sequence[Feature], i: int, j: int) -> Link:
    a, b = features[i].points, features[j].points
    if features[i].box.touches(features[j].box):
        at = _common(a, b)
        if at is not None:
            return Link(0.0, i, j, at, at)
    distance, p, q = _nearest(a, b)
    return Link(distance, i, j, p, q)


def _common(a: Outline, b: Outline) -> Point | None:
    """Return a point that two convex features share, or None."""
    for p in a:
        if contains(b, p):
            return p
    for p in b:
        if contains(a, p):
            return p
    for p, q in edges(a):
        for u, v in edges(b):
            at = meet(p, q, u, v)
            if at is not None:
                return at
    return None


def _nearest(a: Outline, b: Outline) -> tuple[float, Point, Point]:
    """Return the distance of two features that do not meet and their nearest points."""
    if len(a) == 2 and len(b) == 2:
        return segments_gap(a[0], a[1], b[0], b[1])
    best, p_best, q_best = corner_gap(a, b)
    other, q_other, p_other = corner_gap(b, a)
    if other < best:
        return math.sqrt(other), p_other, q_other
    return math.sqrt(best), p_best, q_best
