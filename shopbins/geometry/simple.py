"""Is this a simple outline? The one place that says what is wrong with a list of points."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.segments import meet, segments_gap
from shopbins.geometry.shapes import Point, bounds, signed_area_mm2

SAME_POINT_MM = 0.01


def simple_problem(outline: Sequence[Point]) -> str | None:
    """Return what keeps the points from being a simple outline with an area, or None.

    Either turning direction is accepted. Points and edges are numbered from 1; edge 1 runs from point 1.
    """
    if len(outline) < 3:
        return f"an outline needs three points, this has {len(outline)}"
    for i, (x, y) in enumerate(outline, 1):
        if not (math.isfinite(x) and math.isfinite(y)):
            return f"point {i} is not finite: {_said((x, y))}"
    n = len(outline)
    for i in range(n):
        j = (i + 1) % n
        if math.dist(outline[i], outline[j]) < SAME_POINT_MM:
            return f"points {i + 1} and {j + 1} are the same: {_said(outline[i])}"
    x0, y0, x1, y1 = bounds(outline)
    if abs(signed_area_mm2(convex_hull(outline))) <= SAME_POINT_MM * max(x1 - x0, y1 - y0):
        return "the outline has no area"
    return _crossing(outline)


def _said(p: Point) -> str:
    return f"({p[0]:.10g}, {p[1]:.10g})"


def _crossing(outline: Sequence[Point]) -> str | None:
    """Say which two edges meet where they should not; edges are swept by their least x."""
    n = len(outline)
    ends = [(outline[i], outline[(i + 1) % n]) for i in range(n)]
    alive: list[int] = []
    for x, i in sorted((min(p[0], q[0]), i) for i, (p, q) in enumerate(ends)):
        alive = [k for k in alive if max(ends[k][0][0], ends[k][1][0]) >= x - SAME_POINT_MM]
        for k in alive:
            a, b = min(i, k), max(i, k)
            # Neighbours share a point; where they fold back, one touches the edge after the other.
            told = None if b - a in (1, n - 1) else _apart(ends[a], ends[b])
            if told is not None:
                return f"edges {a + 1} and {b + 1} {told}"
        alive.append(i)
    return None


def _apart(one: tuple[Point, Point], two: tuple[Point, Point]) -> str | None:
    """Look at two edges that share no point: they may not meet, nor all but touch."""
    (p0, p1), (q0, q1) = one, two
    if max(p0[1], p1[1]) + SAME_POINT_MM < min(q0[1], q1[1]):
        return None
    if max(q0[1], q1[1]) + SAME_POINT_MM < min(p0[1], p1[1]):
        return None
    at = meet(p0, p1, q0, q1)
    if at is not None:
        return f"cross or touch at {_said(at)}"
    distance, p, _ = segments_gap(p0, p1, q0, q1)
    return f"all but touch at {_said(p)}" if distance < SAME_POINT_MM else None
