"""A quick guess of what to shift: the cheapest way over a grid of places at a few turns.

Entering a grid point pays for the things that cover it and did not cover the point before, so the length of a
way is what its things cost, if none is left and entered again. It proves nothing; the exact planner tries it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Point
from shopbins.kernel.ground import Crowd, Slicer

TURNS = 6
POINTS = 16000
PER_POINT = 1e-4
SIDES = ((0, 0, 1), (0, 1, 0), (1, 0, 0))


def guessed(
    slicer: Slicer,
    crowd: Crowd,
    costs: Sequence[float],
    ends: tuple[tuple[float, Point], tuple[float, Point]],
    period_deg: float,
) -> list[int] | None:
    """Return the places of things on a cheap way from end to end, or None when the walls shut every one."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import dijkstra

    grid = _Grid(slicer, ends[0][0], period_deg)
    covers = [grid.covers(slicer, crowd, layer) for layer in range(TURNS)]
    small = PER_POINT * (sum(costs) / max(1, len(costs)) + 1e-9)
    size = grid.open.size
    number = np.arange(size).reshape(grid.open.shape)
    rows, columns, weights = [], [], []
    for side, entry in zip(SIDES, _entries(covers, np.asarray(costs), grid.open.shape), strict=True):
        there = np.roll(number, [-s for s in side], axis=(0, 1, 2))
        joined = grid.open & np.roll(grid.open, [-s for s in side], axis=(0, 1, 2))
        if side[0] == 0:
            edge = (slice(None), slice(-1, None)) if side[1] else (slice(None), slice(None), slice(-1, None))
            joined[edge] = False
        for a, b, pay in ((number, there, entry[0]), (there, number, entry[1])):
            rows.append(a[joined])
            columns.append(b[joined])
            weights.append(pay[joined] + small)
    graph: Any = csr_array(
        (np.concatenate(weights), (np.concatenate(rows), np.concatenate(columns))), shape=(size, size)
    )
    first, last = (grid.nearest(turn_deg, place) for turn_deg, place in ends)
    if first is None or last is None:
        return None
    ways = dijkstra(graph, indices=np.array([first]), return_predecessors=True)
    away, before = ways[0][0], ways[1][0]
    if not math.isfinite(away[last]):
        return None
    way = [last]
    while way[-1] != first:
        way.append(int(before[way[-1]]))
    on_way = np.zeros(size, dtype=bool)
    on_way[way] = True
    found = set()
    for layer, things in enumerate(covers):
        here = on_way.reshape(grid.open.shape)[layer]
        found |= {thing for thing, (window, mask) in enumerate(things) if np.any(here[window] & mask)}
    return sorted(found)


class _Grid:
    """Grid points over the floor at a few turns; `open` (turns, rows, columns) where the walls allow."""

    def __init__(self, slicer: Slicer, first_deg: float, period_deg: float) -> None:
        x0, y0, x1, y1 = slicer.ground.bounds
        self.step_mm = math.sqrt((x1 - x0) * (y1 - y0) / POINTS)
        self.xs = np.arange(x0 + self.step_mm / 2, x1, self.step_mm)
        self.ys = np.arange(y0 + self.step_mm / 2, y1, self.step_mm)
        self.period_deg = period_deg
        self.turns_deg = [first_deg + k * period_deg / TURNS for k in range(TURNS)]
        x, y = np.meshgrid(self.xs, self.ys)
        layers = []
        for turn_deg in self.turns_deg:
            floor = slicer.open_floor(slicer.shapes(turn_deg, turn_deg))
            shapely.prepare(floor)
            layers.append(shapely.contains_xy(floor, x, y))
        self.open = np.stack(layers)

    def covers(self, slicer: Slicer, crowd: Crowd, layer: int) -> list[tuple[Any, Any]]:
        """Return for each thing the window of grid points around it and which of them it covers."""
        turn_deg = self.turns_deg[layer]
        found = []
        for shape in slicer.grow(crowd.outlines, slicer.shapes(turn_deg, turn_deg)):
            x0, y0, x1, y1 = shape.bounds
            columns = slice(int(np.searchsorted(self.xs, x0)), int(np.searchsorted(self.xs, x1)))
            rows = slice(int(np.searchsorted(self.ys, y0)), int(np.searchsorted(self.ys, y1)))
            x, y = np.meshgrid(self.xs[columns], self.ys[rows])
            found.append(((rows, columns), shapely.contains_xy(shape, x, y)))
        return found

    def nearest(self, turn_deg: float, place: Point) -> int | None:
        """Return the open grid point nearest to a pose."""
        part = self.period_deg / TURNS
        layer = round((turn_deg - self.turns_deg[0]) / part) % TURNS
        rows, columns = np.nonzero(self.open[layer])
        if len(rows) == 0:
            return None
        at = int(np.argmin(np.hypot(self.xs[columns] - place[0], self.ys[rows] - place[1])))
        return int(np.ravel_multi_index((layer, rows[at], columns[at]), self.open.shape))


def _entries(
    covers: Sequence[Sequence[tuple[Any, Any]]], costs: Array, shape: tuple[int, ...]
) -> list[tuple[Array, Array]]:
    """Return for steps to the next column, row and turn what the step pays, forwards and back."""
    forth = [np.zeros(shape) for _ in SIDES]
    back = [np.zeros(shape) for _ in SIDES]
    _, high, wide = shape
    for layer, things in enumerate(covers):
        for thing, ((rows, columns), mask) in enumerate(things):
            r0, r1 = max(rows.start - 1, 0), min(rows.stop + 1, high)
            c0, c1 = max(columns.start - 1, 0), min(columns.stop + 1, wide)
            near = np.zeros((r1 - r0, c1 - c0), dtype=bool)
            near[rows.start - r0 : rows.stop - r0, columns.start - c0 : columns.stop - c0] = mask
            cost = costs[thing]
            left, right = near[:, :-1], near[:, 1:]
            forth[0][layer, r0:r1, c0 : c1 - 1] += cost * (right & ~left)
            back[0][layer, r0:r1, c0 : c1 - 1] += cost * (left & ~right)
            low, up = near[:-1], near[1:]
            forth[1][layer, r0 : r1 - 1, c0:c1] += cost * (up & ~low)
            back[1][layer, r0 : r1 - 1, c0:c1] += cost * (low & ~up)
            _turned(forth[2], back[2], layer, cost, things[thing], covers[(layer + 1) % len(covers)][thing])
    return list(zip(forth, back, strict=True))


def _turned(
    forth: Array, back: Array, layer: int, cost: float, here: tuple[Any, Any], there: tuple[Any, Any]
) -> None:
    """Add what turning to the next layer (and back from it) pays for one thing."""
    (rows, columns), mask = here
    (rows2, columns2), mask2 = there
    r0, r1 = min(rows.start, rows2.start), max(rows.stop, rows2.stop)
    c0, c1 = min(columns.start, columns2.start), max(columns.stop, columns2.stop)
    near, then = np.zeros((2, max(r1 - r0, 0), max(c1 - c0, 0)), dtype=bool)
    near[rows.start - r0 : rows.stop - r0, columns.start - c0 : columns.stop - c0] = mask
    then[rows2.start - r0 : rows2.stop - r0, columns2.start - c0 : columns2.stop - c0] = mask2
    forth[layer, r0:r1, c0:c1] += cost * (then & ~near)
    back[layer, r0:r1, c0:c1] += cost * (near & ~then)
