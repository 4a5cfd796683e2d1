"""Is this a simple outline? The one place that says what is wrong with a list of points."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.segments import meet, segments_gap
from shopbins.geometry.shapes import (
    ROUNDING_MM,
    FloorProblem,
    Outline,
    Point,
    bounds,
    counter_clockwise,
    signed_area_mm2,
)

SAME_POINT_MM = 0.01
"""What people measure and draw: corners or edges nearer than this to each other are a slip of the pen."""
MOST_MM = 1e7


def simple(outline: Sequence[Sequence[float]], name: str = "outline") -> Outline:
    """Return a simple outline in mm, counter-clockwise, without points that repeat their forerunner.

    What was worked out may have short sides: only what is the same but for rounding is refused. Raises
    FloorProblem, with `name` in its line, for what is no list of pairs of numbers within 10 km of the origin,
    and for what `simple_problem` finds.
    """
    pts: list[Point] = []
    for raw in outline:
        try:
            x, y = float(raw[0]), float(raw[1])
        except (TypeError, ValueError, IndexError):
            raise FloorProblem(f"{name}: a point is not a pair of numbers") from None
        if not pts or not _same((x, y), pts[-1]):
            pts.append((x, y))
    while len(pts) > 1 and _same(pts[0], pts[-1]):
        pts.pop()
    problem = simple_problem(pts, ROUNDING_MM)
    if problem is not None:
        raise FloorProblem(f"{name}: {problem}")
    if any(abs(x) > MOST_MM or abs(y) > MOST_MM for x, y in pts):
        raise FloorProblem(f"{name}: a coordinate lies more than 10 km from the origin")
    return counter_clockwise(pts)


def simple_problem(outline: Sequence[Point], apart_mm: float = SAME_POINT_MM) -> str | None:
    """Return what keeps the points from being a simple outline with an area, or None.

    Corners that follow each other, and edges that do not, lie `apart_mm` apart at least; whether edges cross
    is told by exact signs. Either turning direction is accepted. Points and edges are numbered from 1; edge 1
    runs from point 1.
    """
    n = len(outline)
    if n < 3:
        return f"an outline needs three points, this has {n}"
    ends = list(zip(outline, (*outline[1:], outline[0]), strict=True))
    for i, (p, q) in enumerate(ends, 1):
        if not apart_mm <= math.dist(p, q) < math.inf:
            return _bad_point(outline) or f"points {i} and {i % n + 1} are the same: {_said(p)}"
    x0, y0, x1, y1 = bounds(outline)
    least = apart_mm * max(x1 - x0, y1 - y0)
    # An outline goes round no point more than n / 2 times: its hull has at least that share of its area.
    if abs(signed_area_mm2(outline)) <= n * least and abs(signed_area_mm2(convex_hull(outline))) <= least:
        return "the outline has no area"
    if _turns_once(ends, apart_mm):
        return None
    for a, b in _near(ends, apart_mm):
        told = _met(*ends[a], *ends[b], apart_mm)
        if told is not None:
            return f"edges {a + 1} and {b + 1} {told}"
    return None


def _same(p: Point, q: Point) -> bool:
    return math.dist(p, q) <= ROUNDING_MM


def _bad_point(outline: Sequence[Point]) -> str | None:
    for i, (x, y) in enumerate(outline, 1):
        if not (math.isfinite(x) and math.isfinite(y)):
            return f"point {i} is not finite: {_said((x, y))}"
    return None


def _said(p: Point) -> str:
    return f"({p[0]:.10g}, {p[1]:.10g})"


def _turns_once(ends: Sequence[tuple[Point, Point]], apart_mm: float) -> bool:
    """Tell whether edges turn one way, once round, each end of two that meet well off the other's line.

    Then all other corners are as far off every edge's line, and no two edges come near each other.
    """
    (ax, ay), (bx, by) = ends[-1]
    ux, uy = bx - ax, by - ay
    long = math.hypot(ux, uy)
    way, up, swings = 0.0, uy > 0.0, 0
    for (ax, ay), (bx, by) in ends:
        vx, vy = bx - ax, by - ay
        cross = ux * vy - uy * vx
        way = way or math.copysign(1.01 * apart_mm, cross)
        before, long = long, math.hypot(vx, vy)
        if cross / way < max(before, long):
            return False
        swings += up != (vy > 0.0)
        ux, uy, up = vx, vy, vy > 0.0
    return swings == 2


def _near(ends: Sequence[tuple[Point, Point]], apart_mm: float) -> Iterator[tuple[int, int]]:
    """Go through pairs of edges that share no point and may meet, swept by their least x.

    Neighbours share a point; where they fold back, one touches the edge after the other.
    """
    n = len(ends)
    alive: list[int] = []
    for x, i in sorted((min(p[0], q[0]), i) for i, (p, q) in enumerate(ends)):
        alive = [k for k in alive if max(ends[k][0][0], ends[k][1][0]) >= x - apart_mm]
        for k in alive:
            a, b = min(i, k), max(i, k)
            if b - a not in (1, n - 1):
                yield a, b
        alive.append(i)


def _met(p0: Point, p1: Point, q0: Point, q1: Point, apart_mm: float) -> str | None:
    """Look at two edges that share no point: they may not meet, nor all but touch."""
    if max(p0[1], p1[1]) + apart_mm < min(q0[1], q1[1]) or max(q0[1], q1[1]) + apart_mm < min(p0[1], p1[1]):
        return None
    if _beside(p0, p1, q0, q1, apart_mm) or _beside(q0, q1, p0, p1, apart_mm):
        return None
    at = meet(p0, p1, q0, q1)
    if at is not None:
        return f"cross or touch at {_said(at)}"
    distance, p, _ = segments_gap(p0, p1, q0, q1)
    return f"all but touch at {_said(p)}" if distance < apart_mm else None


def _beside(p0: Point, p1: Point, q0: Point, q1: Point, apart_mm: float) -> bool:
    """Tell whether an edge q lies on one side of the line of p, well farther off than that."""
    dx, dy = p1[0] - p0[0], p1[1] - p0[1]
    a = dx * (q0[1] - p0[1]) - dy * (q0[0] - p0[0])
    b = dx * (q1[1] - p0[1]) - dy * (q1[0] - p0[0])
    return (a > 0.0) == (b > 0.0) and min(abs(a), abs(b)) > 1.01 * apart_mm * math.hypot(dx, dy)
