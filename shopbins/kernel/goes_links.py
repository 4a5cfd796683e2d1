"""Motions that carry a body from a piece of one slice into a piece of another, checked as they are found."""

from __future__ import annotations

import heapq
from collections.abc import Iterator

import numpy as np
import shapely

from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Point, Pose, cos_sin
from shopbins.kernel.goes_cells import Piece, deep_points, triangles_of
from shopbins.kernel.overlay import as_parts, common
from shopbins.kernel.sweep import Sweep

TRIES, HALVINGS = 4, 5
FEW_TRIES, FEW_HALVINGS = 2, 2
"""How many places are tried, how often a motion is halved: at first; and in cells, which get narrower."""


def link(
    sweep: Sweep, centre: Point, a: Piece, a_deg: float, b: Piece, b_deg: float, *, briefly: bool = False
) -> tuple[Point, Point] | None:
    """Return where a checked motion leaves piece a (at turn a_deg) and enters b (at b_deg), if one is found.

    Places are those of the body's centre, which lies at `centre` from its reference point.
    """
    tries, halvings = (FEW_TRIES, FEW_HALVINGS) if briefly else (TRIES, HALVINGS)
    for p, q in _candidates(a, b, tries):
        if sweep.clear(pose_of(p, a_deg, centre), pose_of(q, b_deg, centre), depth=halvings):
            return p, q
    return None


def pose_of(place: Point, turn_deg: float, centre: Point) -> Pose:
    """Return the pose of the reference point when the body's centre is at a place."""
    c, s = cos_sin(turn_deg)
    return Pose(place[0] - centre[0] * c + centre[1] * s, place[1] - centre[0] * s - centre[1] * c, turn_deg)


def place_of(pose: Pose, centre: Point) -> Point:
    """Return where the body's centre is at a pose."""
    c, s = cos_sin(pose.turn_deg)
    return pose.x_mm + centre[0] * c - centre[1] * s, pose.y_mm + centre[0] * s + centre[1] * c


def _candidates(a: Piece, b: Piece, tries: int) -> Iterator[tuple[Point, Point]]:
    """Yield promising pairs of places: turning on the spot first, then short straight motions."""
    both = _shared(a, b)
    for x, y in both[:tries]:
        yield (x, y), (x, y)
    if not both:
        for x, y in _overlap(a, b)[:2]:
            yield (x, y), (x, y)
    yield from _near_pairs(a, b, tries)


def _shared(a: Piece, b: Piece) -> list[Point]:
    """Return deep points of either piece that lie in the other, deepest first."""
    found: list[tuple[float, Point]] = []
    for mine, other in ((a, b), (b, a)):
        points, radii = mine.deep
        shapely.prepare(other.polygon)
        inside = shapely.contains_xy(other.polygon, points[:, 0], points[:, 1])
        found += [
            (-float(r), (float(p[0]), float(p[1])))
            for p, r, i in zip(points, radii, inside, strict=True)
            if i
        ]
    return [p for _, p in sorted(found)]


def _overlap(a: Piece, b: Piece) -> list[Point]:
    """Return deep points of what two pieces share."""
    shared = as_parts(common(a.polygon, b.polygon))
    if not shared:
        return []
    points, _ = deep_points(triangles_of(max(shared, key=lambda g: g.area)), 2)
    return [(float(x), float(y)) for x, y in points]


def _near_pairs(a: Piece, b: Piece, tries: int) -> Iterator[tuple[Point, Point]]:
    """Yield the nearest pairs among the deepest points of two pieces."""
    pa, pb = a.deep[0][:8], b.deep[0][:8]
    away = np.hypot(*np.moveaxis(pa[:, None] - pb[None], -1, 0))
    for place in np.argsort(away, axis=None)[:tries]:
        i, j = divmod(int(place), len(pb))
        yield (float(pa[i][0]), float(pa[i][1])), (float(pb[j][0]), float(pb[j][1]))


def within(piece: Piece, start: Point, goal: Point) -> list[Point]:
    """Return a way from start to goal inside a piece, keeping to wide passages; both ends included.

    The way crosses the triangles of the piece at the middles of their shared sides, so it stays inside.
    """
    triangles = piece.corner_triangles()
    first, last = _triangle_at(triangles, start), _triangle_at(triangles, goal)
    if first == last:
        return [start, goal]
    doors = _doors(triangles)
    came = _cheapest(doors, first, last, start)
    if came is None:
        return [start, goal]
    way: list[Point] = [goal]
    at = last
    while at != first:
        at, point = came[at]
        way.append(point)
    way.append(start)
    return way[::-1]


def _cheapest(
    doors: dict[int, list[tuple[int, Point, float]]], first: int, last: int, start: Point
) -> dict[int, tuple[int, Point]] | None:
    """Return for each triangle on the way the one before it and the point between (Dijkstra)."""
    queue: list[tuple[float, int, Point]] = [(0.0, first, start)]
    best: dict[int, float] = {first: 0.0}
    came: dict[int, tuple[int, Point]] = {}
    while queue:
        cost, at, here = heapq.heappop(queue)
        if at == last:
            return came
        if cost > best[at]:
            continue
        for other, point, width in doors.get(at, ()):
            step = float(np.hypot(point[0] - here[0], point[1] - here[1])) + 2e4 / (width + 1e-3)
            if cost + step < best.get(other, np.inf):
                best[other] = cost + step
                came[other] = (at, point)
                heapq.heappush(queue, (cost + step, other, point))
    return None


def _doors(triangles: Array) -> dict[int, list[tuple[int, Point, float]]]:
    """Return for each triangle its neighbours, each with the middle and length of the shared side."""
    owner: dict[tuple[Point, Point], int] = {}
    doors: dict[int, list[tuple[int, Point, float]]] = {}
    for i, triangle in enumerate(triangles.tolist()):
        for k in range(3):
            p, q = tuple(triangle[k]), tuple(triangle[(k + 1) % 3])
            key = (p, q) if p <= q else (q, p)
            j = owner.setdefault(key, i)
            if j != i:
                point = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
                width = float(np.hypot(p[0] - q[0], p[1] - q[1]))
                doors.setdefault(i, []).append((j, point, width))
                doors.setdefault(j, []).append((i, point, width))
    return doors


def _triangle_at(triangles: Array, point: Point) -> int:
    """Return the triangle a point lies in, or lies least outside of."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    p = np.asarray(point)

    def side(u: Array, v: Array) -> Array:
        d, e = v - u, p - u
        length = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-300)
        signed: Array = (d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]) / length
        return signed

    s = np.stack((side(a, b), side(b, c), side(c, a)))
    clockwise = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) < 0
    s[:, clockwise] *= -1
    return int(s.min(axis=0).argmax())
