"""How much clear width remains along a walkway, and the two things (or edges of it) that leave no more.

The walkway is a strip about a line. What lies in the strip stands between its left and its right edge: the
widest passage is the greatest width such that no chain of gaps narrower than it leads across from edge to
edge. So gaps are closed from the narrowest on until left and right are joined; the last one closed is the
answer, a distance between two outlines, exact to rounding. Plain Python.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.floor.exact import overlap
from shopbins.floor.features import Feature, Gaps, Link, feature, thing_features
from shopbins.floor.shapes import FloorProblem, Outline, Point

LONGEST_MITRE = 3.0


@dataclass(frozen=True, slots=True)
class ClearWidth:
    """The clear width left, where, and the two obstacles it lies between (None: an edge of the walkway)."""

    width_mm: float
    at: Point
    between: tuple[int | None, int | None]
    points: tuple[Point, Point]


def clear_width(line: Sequence[Point], width_mm: float, obstacles: Sequence[Outline]) -> ClearWidth:
    """Return the least clear width along a walkway of a full width about a line of points.

    `obstacles` are simple outlines (or two points, a wall) near the walkway; those that reach no deeper into
    it than 0.001 mm do not count. 0 mm: something bars it. Never more than the walkway's own width.
    Raises FloorProblem where the line or the width is none.
    """
    pts = _way(line, width_mm)
    left, right = _edges_of(pts, width_mm / 2)
    strip = [
        (right[i], right[i + 1], left[i + 1], left[i]) for i in range(len(pts) - 1) if pts[i] != pts[i + 1]
    ]
    within = [k for k, o in enumerate(obstacles) if _reaches(o, strip)]
    features = [feature("left", left[i : i + 2]) for i in range(len(left) - 1)]
    features += [feature("right", right[i : i + 2]) for i in range(len(right) - 1)]
    features += thing_features((str(k), obstacles[k]) for k in within)
    link = _bridge(features, width_mm)
    if link is None:
        middle = pts[len(pts) // 2 - 1], pts[len(pts) // 2]
        at = ((middle[0][0] + middle[1][0]) / 2, (middle[0][1] + middle[1][1]) / 2)
        return ClearWidth(width_mm, at, (None, None), (at, at))
    a, b = link.point_a, link.point_b
    names = (_place(features[link.first].name), _place(features[link.second].name))
    return ClearWidth(link.width_mm, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), names, (a, b))


def _way(line: Sequence[Point], width_mm: float) -> list[Point]:
    if not (math.isfinite(width_mm) and width_mm > 0):
        raise FloorProblem(f"walkway: {width_mm:g} mm is no width")
    pts: list[Point] = []
    for p in line:
        if not (math.isfinite(p[0]) and math.isfinite(p[1])):
            raise FloorProblem("walkway: a coordinate is not a finite number")
        if not pts or math.dist(p, pts[-1]) > 1e-6:
            pts.append(p)
    if len(pts) < 2:
        raise FloorProblem("walkway: the line needs two different points")
    return pts


def _edges_of(pts: Sequence[Point], half_mm: float) -> tuple[list[Point], list[Point]]:
    """Return the strip's left and right edge, mitred at bends, one point for each of the line's."""
    left, right = [], []
    for i, p in enumerate(pts):
        before = _unit(pts[max(i - 1, 0)], pts[max(i, 1)])
        after = _unit(pts[min(i, len(pts) - 2)], pts[min(i + 1, len(pts) - 1)])
        nx, ny = -before[1] - after[1], before[0] + after[0]
        # Half the sum of the two normals, divided by its square length, lies on both edges.
        square = (nx * nx + ny * ny) / 4
        scale = min(1 / square, LONGEST_MITRE) / 2 if square > 0 else 0.0
        left.append((p[0] + half_mm * nx * scale, p[1] + half_mm * ny * scale))
        right.append((p[0] - half_mm * nx * scale, p[1] - half_mm * ny * scale))
    return left, right


def _unit(p: Point, q: Point) -> Point:
    length = math.dist(p, q)
    return (q[0] - p[0]) / length, (q[1] - p[1]) / length


def _reaches(outline: Outline, strip: Sequence[Outline]) -> bool:
    """Tell whether an obstacle reaches into the strip."""
    if len(outline) == 2:
        return any(_crosses(outline, quad) for quad in strip)
    return any(overlap(outline, quad) for quad in strip)


def _crosses(wall: Outline, quad: Outline) -> bool:
    """Tell whether a wall edge gets more than rounding inside a convex quad: clip it by the quad's edges."""
    (x0, y0), (x1, y1) = wall
    t0, t1 = 0.0, 1.0
    for i in range(4):
        (ax, ay), (bx, by) = quad[i - 1], quad[i]
        length = math.hypot(bx - ax, by - ay)
        if length == 0.0:
            continue
        s0 = ((bx - ax) * (y0 - ay) - (by - ay) * (x0 - ax)) / length - 0.001
        s1 = ((bx - ax) * (y1 - ay) - (by - ay) * (x1 - ax)) / length - 0.001
        if s0 < 0 and s1 < 0:
            return False
        if s0 < 0:
            t0 = max(t0, s0 / (s0 - s1))
        elif s1 < 0:
            t1 = min(t1, s0 / (s0 - s1))
    return t0 < t1


def _place(name: str) -> int | None:
    return None if name in ("left", "right") else int(name)


def _bridge(features: Sequence[Feature], width_mm: float) -> Link | None:
    """Return the gap whose closing first joins left and right through an obstacle, narrowest gaps first."""
    parent = list(range(len(features)))

    def root(k: int) -> int:
        while parent[k] != k:
            parent[k] = parent[parent[k]]
            k = parent[k]
        return k

    sides = {"left": -1, "right": -1}
    for k, f in enumerate(features):
        if f.name in sides:
            if sides[f.name] >= 0:
                parent[k] = sides[f.name]
            else:
                sides[f.name] = k
    for link in Gaps(features).upto(width_mm):
        if link.width_mm >= width_mm:
            break
        names = {features[link.first].name, features[link.second].name}
        if names <= {"left", "right"}:
            continue  # the bare strip is as wide as it is said to be
        i, j = root(link.first), root(link.second)
        if i != j:
            parent[j] = i
            if root(sides["left"]) == root(sides["right"]):
                return link
    return None
