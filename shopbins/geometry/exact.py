"""Overlap, gaps and containment of outlines in plain Python: what every key and the cold command line ask.

Outlines are simple, counter-clockwise, in mm. Float arithmetic on shops up to a kilometre errs by less than
1e-9 mm here; `ROUNDING_MM` is a thousand times that, and anything nearer to zero is called touching. Signs
that decide structure (convexity, cuts, self-crossing) are exact.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.convex import convex_parts
from shopbins.geometry.segments import along, corner_gap, edges, meet, segment_gap, segments_gap
from shopbins.geometry.shapes import (
    ROUNDING_MM,
    TOUCHING_MM,
    Outline,
    Point,
    bounds,
    contains,
    signed_area_mm2,
)


@dataclass(frozen=True, slots=True)
class Gap:
    """A distance in mm with the point of each side it lies between; negative where the two overlap."""

    distance_mm: float
    point_a: Point
    point_b: Point

    @property
    def apart_mm(self) -> float:
        """How far apart the two are: 0 where they touch or overlap."""
        return max(0.0, self.distance_mm)


def area_mm2(outline: Sequence[Point]) -> float:
    """Return the area of a simple outline."""
    return abs(signed_area_mm2(outline))


def overlap(a: Outline, b: Outline, tolerance_mm: float = TOUCHING_MM) -> bool:
    """Tell whether two simple outlines overlap deeper than the tolerance; touching is no overlap.

    Deep means: the shortest push that would part the two. Of outlines that are not convex, some pair of
    convex parts must be that deep in each other.
    """
    if _boxes_apart(a, b, tolerance_mm):
        return False
    parts_b = convex_parts(b)
    return any(_deeper(p, q, tolerance_mm) for p in convex_parts(a) for q in parts_b)


def gap(a: Outline, b: Outline) -> Gap:
    """Return the distance between two simple outlines and their nearest points.

    Touching is 0. Overlapping is negative: for convex outlines minus the shortest push that parts them
    (point_a is the deepest point of a or the edge point it came through, point_b its counterpart); else
    minus the deepest pair of convex parts, and parting them may take a longer push than that.
    """
    if not _boxes_apart(a, b, 0.0):
        deep = _deepest(convex_parts(a), convex_parts(b))
        if deep is not None and deep.distance_mm < -ROUNDING_MM:
            return deep
    return _boundary_gap(a, b)


def nearest(outline: Outline, others: Sequence[Outline]) -> tuple[int, Gap] | None:
    """Return the place in `others` of the nearest outline (or the deepest in) and the gap to it."""
    box = bounds(outline)
    order = sorted((box.gap_mm(bounds(other)), i) for i, other in enumerate(others))
    best: tuple[int, Gap] | None = None
    for least, i in order:
        if best is not None and least > max(best[1].distance_mm, 0.0):
            break
        found = gap(outline, others[i])
        if best is None or found.distance_mm < best[1].distance_mm:
            best = (i, found)
    return best


def point_gap(outline: Outline, point: Point) -> Gap:
    """Return the distance from an outline to a point; inside it is minus the distance to the edge."""
    distance, foot = _edge_gap(outline, point)
    if distance <= ROUNDING_MM:
        distance = 0.0
    elif contains(outline, point):
        distance = -distance
    return Gap(distance, foot, point)


def line_gap(outline: Outline, line: Sequence[Point]) -> Gap:
    """Return the distance from an outline to a line of points; 0 where the line touches or runs into it.

    A walkway w wide along the line is encroached by max(0, w/2 - distance).
    """
    for p in line:
        if contains(outline, p):
            return Gap(0.0, p, p)
    pieces = list(zip(line, line[1:] or line, strict=False))
    best = min(segments_gap(p0, p1, q0, q1) for p0, p1 in edges(outline) for q0, q1 in pieces)
    return _snapped(Gap(*best))


def inside(inner: Outline, outer: Outline, tolerance_mm: float = TOUCHING_MM) -> bool:
    """Tell whether no point of one outline is further than the tolerance outside another; edges may touch."""
    x0, y0, x1, y1 = bounds(inner)
    u0, v0, u1, v1 = bounds(outer)
    if x0 < u0 - tolerance_mm or y0 < v0 - tolerance_mm or x1 > u1 + tolerance_mm or y1 > v1 + tolerance_mm:
        return False
    return overhang_mm(inner, outer) <= tolerance_mm


def overhang_mm(inner: Outline, outer: Outline) -> float:
    """Return how far the edge of one simple outline gets outside another, to 0.001 mm; 0 where it does not.

    It is the greatest distance of any point of inner's edge from outer.
    """
    far = 0.0
    for p in inner:
        if not contains(outer, p):
            far = max(far, _edge_gap(outer, p)[0])
    if len(convex_parts(outer)) != 1:
        for p0, p1 in edges(inner):
            far = _edge_overhang(p0, p1, outer, far)
    return 0.0 if far <= ROUNDING_MM else far


# --- how it is done ---------------------------------------------------------------------------------------


def _boxes_apart(a: Outline, b: Outline, tolerance_mm: float) -> bool:
    """Tell whether the boxes about two outlines are apart, or no deeper in each other than the tolerance."""
    ax, ay = zip(*a, strict=True)
    bx, by = zip(*b, strict=True)
    apart: bool = (
        max(ax) <= min(bx) + tolerance_mm
        or max(bx) <= min(ax) + tolerance_mm
        or max(ay) <= min(by) + tolerance_mm
        or max(by) <= min(ay) + tolerance_mm
    )
    return apart


def _deeper(a: Outline, b: Outline, tolerance_mm: float) -> bool:
    """Tell whether no edge of either convex outline parts the two to within the tolerance."""
    return _part_edge(a, b, -tolerance_mm)[0] < -tolerance_mm and (
        _part_edge(b, a, -tolerance_mm)[0] < -tolerance_mm
    )


def _part_edge(a: Outline, b: Outline, enough: float = math.inf) -> tuple[float, Point, Point]:
    """Return the greatest distance of b beyond an edge line of a, that edge's outward unit normal, and a
    point of b nearest that line. Stops at the first edge reaching `enough`.
    """
    best, normal, point = -math.inf, (0.0, 0.0), b[0]
    for (ax, ay), (cx, cy) in edges(a):
        dx, dy = cx - ax, cy - ay
        length = math.hypot(dx, dy)
        if length == 0.0:
            continue
        nx, ny = dy / length, -dx / length
        least, at = math.inf, b[0]
        for p in b:
            d = (p[0] - ax) * nx + (p[1] - ay) * ny
            if d < least:
                least, at = d, p
        if least > best:
            best, normal, point = least, (nx, ny), at
            if best >= enough:
                break
    return best, normal, point


def _deepest(parts_a: Sequence[Outline], parts_b: Sequence[Outline]) -> Gap | None:
    """Return the gap of the convex parts that are deepest in each other."""
    best: Gap | None = None
    for a in parts_a:
        for b in parts_b:
            found = _push(a, b)
            if best is None or found.distance_mm < best.distance_mm:
                best = found
    return best


def _push(a: Outline, b: Outline) -> Gap:
    """Return the separation of two convex outlines along the edge normal that parts them best."""
    by_a, n, p = _part_edge(a, b)
    by_b, m, q = _part_edge(b, a)
    if by_a >= by_b:
        return Gap(by_a, (p[0] - n[0] * by_a, p[1] - n[1] * by_a), p)
    return Gap(by_b, q, (q[0] - m[0] * by_b, q[1] - m[1] * by_b))


def _snapped(found: Gap) -> Gap:
    return Gap(0.0, found.point_a, found.point_b) if found.distance_mm <= ROUNDING_MM else found


def _boundary_gap(a: Outline, b: Outline) -> Gap:
    """Return the least distance between two edges' points: a corner of one to an edge of the other."""
    square_ab, p_ab, foot_b = corner_gap(a, b)
    square_ba, p_ba, foot_a = corner_gap(b, a)
    if square_ab <= square_ba:
        return _snapped(Gap(math.sqrt(square_ab), p_ab, foot_b))
    return _snapped(Gap(math.sqrt(square_ba), foot_a, p_ba))


def _edge_gap(outline: Outline, p: Point) -> tuple[float, Point]:
    return min(segment_gap(p, a, b) for a, b in edges(outline))


def _edge_overhang(p0: Point, p1: Point, outer: Outline, far: float) -> float:
    """Return the greatest distance from outer on the segment p0-p1, or `far` where that is greater."""
    cuts = _cuts(p0, p1, outer)
    heap: list[tuple[float, float, float]] = []
    for t0, t1 in itertools.pairwise(cuts):
        if not contains(outer, along(p0, p1, (t0 + t1) / 2)):
            heapq.heappush(heap, (-_most(p0, p1, t0, t1, outer), t0, t1))
    while heap and -heap[0][0] > far + 0.0005:
        _, t0, t1 = heapq.heappop(heap)
        mid = (t0 + t1) / 2
        far = max(far, _edge_gap(outer, along(p0, p1, mid))[0])
        for u0, u1 in ((t0, mid), (mid, t1)):
            most = _most(p0, p1, u0, u1, outer)
            if most > far + 0.0005:
                heapq.heappush(heap, (-most, u0, u1))
    return far


def _most(p0: Point, p1: Point, t0: float, t1: float, outer: Outline) -> float:
    """Bound the distance from outer on a piece: to one edge it is convex, so greatest at an end."""
    a, b = along(p0, p1, t0), along(p0, p1, t1)
    return min(max(segment_gap(a, u, v)[0], segment_gap(b, u, v)[0]) for u, v in edges(outer))


def _cuts(p0: Point, p1: Point, outer: Outline) -> list[float]:
    """Return where along p0-p1, from 0 to 1, it may pass in or out of outer."""
    dx, dy = p1[0] - p0[0], p1[1] - p0[1]
    square = dx * dx + dy * dy
    if square == 0.0:
        return []
    cuts = {0.0, 1.0}
    for u, v in edges(outer):
        at = meet(p0, p1, u, v)
        near = [at] if at is not None else []
        if segment_gap(v, p0, p1)[0] < 1.0:
            near.append(v)
        for p in near:
            cuts.add(min(max(((p[0] - p0[0]) * dx + (p[1] - p0[1]) * dy) / square, 0.0), 1.0))
    return sorted(cuts)
