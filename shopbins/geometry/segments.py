"""Edges and segments: where they meet, decided by exact signs, and how far apart they are."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from shopbins.geometry.convex import convex_hull, turn_sign
from shopbins.geometry.shapes import Outline, Point


def segment_gap(p: Point, a: Point, b: Point) -> tuple[float, Point]:
    """Return the distance from a point to the segment a-b and the nearest point on it."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    t = 0.0
    if square > 0.0:
        t = min(max(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square, 0.0), 1.0)
    foot = b if t == 1.0 else (a[0] + t * dx, a[1] + t * dy)
    return math.hypot(p[0] - foot[0], p[1] - foot[1]), foot


def inside_mm(a: Point, b: Point, p: Point) -> float:
    """Return how far a point lies left of the line from a to b, below 0 right of it."""
    return ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / math.dist(a, b)


def edges(outline: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Yield the edges of an outline, the closing one first."""
    p0 = outline[-1]
    for p1 in outline:
        yield p0, p1
        p0 = p1


def least_width_mm(outline: Sequence[Point]) -> float:
    """Return how wide a straight passage must be for an outline's hull, 0 where it has no area.

    The least width of a convex outline is square to one of its edges (Houle and Toussaint 1988, from memory).
    """
    hull = convex_hull(outline)
    if len(hull) < 3:
        return 0.0
    return min(max(inside_mm(a, b, p) for p in hull) for a, b in edges(hull))


def along(p: Point, q: Point, t: float) -> Point:
    """Return the point that share of the way from p to q; the ends exactly."""
    return q if t == 1.0 else (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))


def segments_gap(p0: Point, p1: Point, q0: Point, q1: Point) -> tuple[float, Point, Point]:
    """Return the distance of two segments and their nearest points."""
    at = meet(p0, p1, q0, q1)
    if at is not None:
        return 0.0, at, at
    found = []
    for p in (p0, p1):
        d, foot = segment_gap(p, q0, q1)
        found.append((d, p, foot))
    for q in (q0, q1):
        d, foot = segment_gap(q, p0, p1)
        found.append((d, foot, q))
    return min(found)


def meet(p0: Point, p1: Point, q0: Point, q1: Point) -> Point | None:
    """Return a point that two segments have in common, found by exact signs, or None."""
    if (
        max(p0[0], p1[0]) < min(q0[0], q1[0])
        or max(q0[0], q1[0]) < min(p0[0], p1[0])
        or max(p0[1], p1[1]) < min(q0[1], q1[1])
        or max(q0[1], q1[1]) < min(p0[1], p1[1])
    ):
        return None
    s0, s1 = turn_sign(q0, q1, p0), turn_sign(q0, q1, p1)
    t0, t1 = turn_sign(p0, p1, q0), turn_sign(p0, p1, q1)
    if s0 * s1 > 0 or t0 * t1 > 0:
        return None
    for sign, p, a, b in ((s0, p0, q0, q1), (s1, p1, q0, q1), (t0, q0, p0, p1), (t1, q1, p0, p1)):
        if sign == 0 and _in_box(p, a, b):
            return p
    if 0 in (s0, s1, t0, t1):
        return None
    dx, dy = p1[0] - p0[0], p1[1] - p0[1]
    ex, ey = q1[0] - q0[0], q1[1] - q0[1]
    across = dx * ey - dy * ex
    if abs(across) <= 1e-9 * (abs(dx * ey) + abs(dy * ex)):
        return _meet_exactly(p0, p1, q0, q1)
    t = ((q0[0] - p0[0]) * ey - (q0[1] - p0[1]) * ex) / across
    return p0[0] + t * dx, p0[1] + t * dy


def _meet_exactly(p0: Point, p1: Point, q0: Point, q1: Point) -> Point:
    """Return where two segments cross that are so nearly parallel that floats cannot tell."""
    px, py, qx, qy = map(Fraction, (*p0, *q0))
    dx, dy, ex, ey = Fraction(p1[0]) - px, Fraction(p1[1]) - py, Fraction(q1[0]) - qx, Fraction(q1[1]) - qy
    t = ((qx - px) * ey - (qy - py) * ex) / (dx * ey - dy * ex)
    return float(px + t * dx), float(py + t * dy)


def _in_box(p: Point, a: Point, b: Point) -> bool:
    return min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])


def corner_gap(a: Outline, b: Outline) -> tuple[float, Point, Point]:
    """Return the least square distance from a corner of a to an edge of b, the corner and the foot."""
    best, corner, foot = math.inf, a[0], b[0]
    for (ux, uy), (vx, vy) in edges(b):
        dx, dy = vx - ux, vy - uy
        square = dx * dx + dy * dy
        for p in a:
            px, py = p[0] - ux, p[1] - uy
            t = (px * dx + py * dy) / square if square else 0.0
            t = 0.0 if t < 0.0 else 1.0 if t > 1.0 else t
            ex, ey = px - t * dx, py - t * dy
            d = ex * ex + ey * ey
            if d < best:
                best, corner, foot = d, p, (ux + t * dx, uy + t * dy)
    return best, corner, foot
