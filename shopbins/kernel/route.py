"""A way for the widest disc: along the lines that keep most clear of everything, then drawn straighter.

Loads numpy and scipy, so import it lazily. The way is found among samples of the obstacles' edges and is
meant to be drawn; its least clearance is measured exactly afterwards and told.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import dijkstra
from scipy.spatial import Voronoi, cKDTree

from shopbins.geometry.features import Feature, Gaps
from shopbins.geometry.segments import edges, segments_gap
from shopbins.geometry.shapes import Point, contains

Array = npt.NDArray[np.float64]
COARSEST_MM = 40.0
FINEST_MM = 4.0
MOST_SAMPLES = 60_000
JOGGLED = "Qbb Qc QJ"
"""Samples are moved by a hair: Qhull takes minutes over long straight rows. What is drawn is measured."""


@dataclass(frozen=True, slots=True)
class Route:
    """Points from start to goal and the width of the disc that can be led along the straight lines."""

    points: tuple[Point, ...]
    width_mm: float


def route(
    gaps: Gaps, start: Point, goal: Point, width_mm: float, stop: Callable[[], bool] = lambda: False
) -> Route | None:
    """Return a short way for a disc all but as wide as the pinch found; None where there is none.

    The disc led along it is at least 97 % as wide, or else no way is returned. Raises TimeoutError when
    `stop` says so.
    """
    if width_mm <= 0:
        return None
    radius = width_mm / 2
    near = _Near(gaps.features, 0.97 * radius, stop)
    if near.clear(start, goal) >= near.least:
        return Route((start, goal), 2 * near.clear(start, goal))
    step = min(max(width_mm / 4, FINEST_MM), COARSEST_MM)
    samples = _samples(gaps.features, step)
    if len(samples) < 4:
        return None
    _go_on(stop)
    nodes, pairs, weights = _skeleton(samples, radius * 0.999)
    if len(nodes) == 0:
        return None
    _go_on(stop)
    ways = _walk(nodes, pairs, weights, near, start, goal)
    if ways is None:
        return None
    points = _straighter(ways, near)
    return Route(points, 2 * min(near.clear(p, q) for p, q in itertools.pairwise(points)))


def _go_on(stop: Callable[[], bool]) -> None:
    if stop():
        raise TimeoutError("no way was drawn in the time")


def _samples(features: Sequence[Feature], step_mm: float) -> Array:
    """Return points along every edge, no further apart than a step."""
    found: list[Array] = []
    total = sum(math.dist(p, q) for f in features for p, q in edges(f.points))
    step_mm = max(step_mm, total / MOST_SAMPLES)
    for f in features:
        for p, q in list(edges(f.points))[: 1 if len(f.points) == 2 else None]:
            count = max(1, math.ceil(math.dist(p, q) / step_mm))
            t = np.linspace(0.0, 1.0, count + 1)[:, None]
            found.append(np.asarray(p) * (1 - t) + np.asarray(q) * t)
    return np.unique(np.concatenate(found), axis=0) if found else np.empty((0, 2))


def _skeleton(samples: Array, radius: float) -> tuple[Array, npt.NDArray[np.int64], Array]:
    """Return the Voronoi corners, the ridges a disc can follow among the samples, and the ridges' lengths."""
    voronoi = Voronoi(samples, qhull_options=JOGGLED)
    ridge = np.asarray(voronoi.ridge_vertices)
    cells = np.asarray(voronoi.ridge_points)
    inner = (ridge >= 0).all(axis=1)
    ridge, cells = ridge[inner], cells[inner]
    a, b = voronoi.vertices[ridge[:, 0]], voronoi.vertices[ridge[:, 1]]
    p, q = samples[cells[:, 0]], samples[cells[:, 1]]
    least = np.minimum(np.hypot(*(a - p).T), np.hypot(*(b - p).T))
    along = q - p
    middle = (p + q) / 2
    opposite = (
        np.sum((a - middle) * _across(along), axis=1) * np.sum((b - middle) * _across(along), axis=1) < 0
    )
    least = np.where(opposite, np.hypot(*along.T) / 2, least)
    fits = least >= radius
    return voronoi.vertices, ridge[fits], np.hypot(*(a - b).T)[fits]


def _across(v: Array) -> Array:
    return np.stack((-v[:, 1], v[:, 0]), axis=1)


def _walk(
    nodes: Array, pairs: npt.NDArray[np.int64], weights: Array, near: _Near, start: Point, goal: Point
) -> list[Point] | None:
    """Return the shortest way over the ridges between places seen from start and goal."""
    used = np.unique(pairs)
    tree = cKDTree(nodes[used])
    ends: list[list[tuple[int, float]]] = []
    for p in (start, goal):
        distance, at = tree.query(p, k=min(60, len(used)))
        seen = [
            (int(used[k]), float(d))
            for d, k in zip(np.atleast_1d(distance), np.atleast_1d(at), strict=True)
            if near.clear(p, (float(nodes[used[k]][0]), float(nodes[used[k]][1]))) >= near.least
        ]
        if not seen:
            return None
        ends.append(seen[:8])
    n = len(nodes)
    extra = [(n, k, d) for k, d in ends[0]] + [(n + 1, k, d) for k, d in ends[1]]
    rows = np.concatenate((pairs[:, 0], [e[0] for e in extra])).astype(np.int64)
    columns = np.concatenate((pairs[:, 1], [e[1] for e in extra])).astype(np.int64)
    values = np.concatenate((weights, [e[2] for e in extra])) + 1e-9
    graph: Any = coo_matrix((values, (rows, columns)), shape=(n + 2, n + 2)).tocsr()
    start_only = np.array([n])
    found: Any = dijkstra(graph, directed=False, indices=start_only, return_predecessors=True)
    far, before = found[0][0], found[1][0]
    if not np.isfinite(far[n + 1]):
        return None
    way, k = [goal], int(before[n + 1])
    while k != n:
        way.append((float(nodes[k][0]), float(nodes[k][1])))
        k = int(before[k])
    return [start, *reversed(way[1:]), goal]


def _straighter(way: list[Point], near: _Near) -> tuple[Point, ...]:
    """Leave out points wherever the straight line past them keeps the clearance; doubling, then halving."""
    kept, i = [way[0]], 0
    while i < len(way) - 1:
        reach = 1
        while i + 2 * reach < len(way) and near.clear(way[i], way[i + 2 * reach]) >= near.least:
            reach *= 2
        low, high = i + reach, min(i + 2 * reach, len(way) - 1)
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if near.clear(way[i], way[middle]) >= near.least else (low, middle - 1)
        kept.append(way[low])
        i = low
    return tuple(kept)


class _Near:
    """Exact clearance of straight lines, looking only at features whose boxes come near."""

    def __init__(self, features: Sequence[Feature], least_mm: float, stop: Callable[[], bool]) -> None:
        self.features, self.least, self.stop = features, least_mm, stop
        self.boxes = np.asarray([f.box for f in features], dtype=np.float64).reshape(-1, 4)

    def clear(self, p: Point, q: Point) -> float:
        """Return the least distance from a straight line to a feature, or one step above what is asked.

        Raises TimeoutError when `stop` says so.
        """
        _go_on(self.stop)
        x0, x1, y0, y1 = min(p[0], q[0]), max(p[0], q[0]), min(p[1], q[1]), max(p[1], q[1])
        b, m = self.boxes, 1.1 * self.least + 1.0
        hit = (b[:, 0] <= x1 + m) & (b[:, 2] >= x0 - m) & (b[:, 1] <= y1 + m) & (b[:, 3] >= y0 - m)
        best = m
        for k in np.flatnonzero(hit):
            points = self.features[int(k)].points
            if len(points) > 2 and contains(points, p):
                return 0.0
            best = min(best, *(segments_gap(p, q, u, v)[0] for u, v in edges(points)))
        return best
