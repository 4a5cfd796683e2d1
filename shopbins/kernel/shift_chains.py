"""Barriers as chains of things: what must go for a disc as wide as the body, by one maximum flow.

The body holds a disc about its centre at every turn, so a way for the body is one for the disc. A disc is
shut off from its goal just when things and walls, grown by it, form a closed chain of overlaps that crosses a
line from start to goal an odd number of times: one of the chain's things must go. In the double cover (thing,
parity) the chains through the wall are the ways from (wall, 0) to (wall, 1), and a flow with room for half a
thing's cost in each of its two copies packs them: its value is a bound, found in some hundredths of a second.
Overlaps and crossings are judged here by plain numbers: a point well inside both is all a chain needs.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra, maximum_flow

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Point, rectangle
from shopbins.kernel.goes_cells import Piece
from shopbins.kernel.goes_check import Grown
from shopbins.kernel.goes_links import within
from shopbins.kernel.ground import Crowd, Slicer
from shopbins.kernel.overlay import as_parts, beyond, common

DEEP_MM = 1e-3
MOST_FLOW = 1e9
ENDLESS = 2**31 - 1
NEXT_MM = 1e-9
NO_DISC = minkowski.corners_of(rectangle(1e-3, 1e-3))

Numbers = Any  # whole numbers, (n,)


class Chains:
    """The double cover of grown things that overlap, and the wall; `shut` where walls alone part the ends."""

    def __init__(self, slicer: Slicer, crowd: Crowd, start: Point, goal: Point, costs: Array) -> None:
        """Take the places of the body's centre at both ends and what each thing costs."""
        shapes = [s for s in slicer.shapes(0.0, 360.0) if minkowski.half_planes(s)[1].min() > 0]
        if not shapes:
            shapes = [NO_DISC]
        shape = max(shapes, key=_area)
        # A straight line within a thing must stay in it, so of a hollow one its largest convex part counts.
        convex = [max(slicer.pieces(o), key=_area) for o in crowd.outlines]
        self.things = minkowski.grown(convex, shape)
        self.count, self.costs = len(convex), costs
        floor = slicer.open_floor([shape])
        held = [p for p in as_parts(floor) if shapely.intersects_xy(p, *start)]
        held = [p for p in held if shapely.intersects_xy(p, *goal)]
        self.shut = not held
        none = np.empty(0, dtype=np.int64)
        self._arcs(none, none, none, none.reshape(0, 2))
        if self.shut or not convex:
            return
        line = np.array(within(Piece(0, 0.0, held[0]), start, goal))
        outer = minkowski.segments_of([shapely.Polygon(p.exterior) for p in as_parts(slicer.ground)])
        self.wall = Grown(outer, [shape])
        if self.wall.holds(np.stack((line[:-1], line[1:]), axis=1)).any():
            return  # not clear of the walls, as it should be: no chains
        underfoot = shapely.intersects_xy(self.things, *start) | shapely.intersects_xy(self.things, *goal)
        i, j, odd = self._overlaps(line)
        walls = self._at_wall(held[0], line)
        keep = ~(underfoot[i] | underfoot[j])
        self._arcs(i[keep], j[keep], odd[keep], walls[~underfoot[walls[:, 0]]])

    def _overlaps(self, line: Array) -> tuple[Numbers, Numbers, Numbers]:
        """Return pairs of things that overlap, and whether a line from middle to middle is crossed oddly."""
        things = self.things
        self.middles = shapely.get_coordinates(shapely.point_on_surface(things))
        i, j = shapely.STRtree(things).query(things, predicate="intersects")
        i, j = i[i < j], j[i < j]
        shared = common(things[i], things[j])
        real = shapely.area(shared) > DEEP_MM
        i, j, shared = i[real], j[real], shared[real]
        at = shapely.get_coordinates(shapely.point_on_surface(shared)).reshape(-1, 2)
        sure = self._deep(i, at) & self._deep(j, at)
        i, j, at = i[sure], j[sure], at[sure]
        odd = crossings(self.middles[i], at, line) + crossings(at, self.middles[j], line)
        return i, j, odd % 2

    def _deep(self, things: Numbers, points: Array) -> Any:
        """Tell by half planes whether points lie well inside grown things."""
        found = np.zeros(len(points), dtype=bool)
        for k, (thing, point) in enumerate(zip(things.tolist(), points, strict=True)):
            ring = shapely.get_coordinates(self.things[thing])
            d = ring[1:] - ring[:-1]
            length = np.hypot(d[:, 0], d[:, 1])
            side = d[:, 0] * (point[1] - ring[:-1, 1]) - d[:, 1] * (point[0] - ring[:-1, 0])
            found[k] = bool(np.all(side[length > NEXT_MM] > 1e-6 * length[length > NEXT_MM]))
        return found

    def _at_wall(self, floor: Any, line: Array) -> Any:
        """Return (thing, crossed oddly) for each part of a thing beyond the open floor's outer edge.

        Such a part must lie in the outer wall's own growth (a point tells). Pillars are not joined to the
        wall: leaving them out only loses chains.
        """
        outside = beyond(self.things, shapely.Polygon(floor.exterior))
        found = []
        for thing in np.flatnonzero(~shapely.is_empty(outside)).tolist():
            for part in as_parts(outside[thing]):
                p = shapely.get_coordinates(shapely.point_on_surface(part))
                if self.wall.holds(p[:, None].repeat(2, axis=1))[0] and self._deep(np.array([thing]), p)[0]:
                    found.append((thing, int(crossings(p, self.middles[thing][None], line)[0])))
        return np.unique(np.array(found, dtype=np.int64).reshape(-1, 2), axis=0)

    def _arcs(self, i: Numbers, j: Numbers, odd: Numbers, walls: Any) -> None:
        """Number the nodes (in: 4 i + 2 parity, out: one more; walls 4 n and 4 n + 1) and list the arcs."""
        n, (w, by) = self.count, walls.T
        tails, heads = [], []
        for parity in (0, 1):
            for a, b in ((i, j), (j, i)):
                tails.append(4 * a + 2 * parity + 1)
                heads.append(4 * b + 2 * (parity ^ odd))
        tails += [np.full(len(w), 4 * n), 4 * w + 2 * (by ^ 1) + 1]
        heads += [4 * w + 2 * by, np.full(len(w), 4 * n + 1)]
        self.own = np.arange(2 * n) * 2
        self.thing_of = np.arange(2 * n) // 2
        self.tails, self.heads = np.concatenate([*tails, self.own]), np.concatenate([*heads, self.own + 1])
        self.plain = len(self.tails) - 2 * n

    def _matrix(self, weights: Array, kind: Any) -> Any:
        size = 4 * self.count + 2
        return csr_array((weights.astype(kind), (self.tails, self.heads)), shape=(size, size))

    def packed(self) -> tuple[float, Array]:
        """Return the bound, and what it leaves of each thing's cost."""
        if not self.costs.any():
            return 0.0, self.costs
        units = MOST_FLOW / max(float(self.costs.sum()), 1e-300)
        half = np.floor(self.costs * units / 2)
        room = np.concatenate((np.full(self.plain, ENDLESS), half[self.thing_of]))
        flow = maximum_flow(self._matrix(room, np.int32), 4 * self.count, 4 * self.count + 1)
        used = np.asarray(flow.flow[self.own, self.own + 1]).ravel().reshape(-1, 2).sum(axis=1) / units
        return flow.flow_value / units, np.maximum(0.0, self.costs - used)

    def unmet(self, x: Array, most: int = 30) -> list[frozenset[int]]:
        """Return chains of which less than one thing is taken in a fractional set, the least met first."""
        weights = np.concatenate((np.full(self.plain, NEXT_MM), x[self.thing_of] + NEXT_MM))
        graph = self._matrix(weights, float)
        nearest: Any = dijkstra
        there, before = nearest(graph, indices=4 * self.count, return_predecessors=True)
        back, after = nearest(graph.T.tocsr(), indices=4 * self.count + 1, return_predecessors=True)
        through = there[self.own] + x[self.thing_of] + back[self.own + 1]
        found: dict[frozenset[int], None] = {}
        for k in np.argsort(through)[: 8 * most].tolist():
            if through[k] > 1 - 1e-6 or len(found) >= most:
                break
            chain = frozenset(self._walk(before, 2 * k) + self._walk(after, 2 * k + 1))
            if sum(x[t] for t in chain) < 1 - 1e-6:
                found[chain] = None
        return list(found)

    def _walk(self, link: Any, node: int) -> list[int]:
        chain = []
        while 0 <= node < 4 * self.count:
            chain.append(node // 4)
            node = int(link[node])
        return chain


def crossings(a: Array, b: Array, line: Array) -> Numbers:
    """Return for each segment a[i]-b[i] whether it crosses a polyline an odd number of times (0 or 1)."""

    def left(p: Array, q: Array, r: Array) -> Any:
        return (q - p)[..., 0] * (r - p)[..., 1] - (q - p)[..., 1] * (r - p)[..., 0] >= 0

    if len(a) == 0:
        return np.empty(0, dtype=np.int64)
    u, v, g, h = a[:, None], b[:, None], line[None, :-1], line[None, 1:]
    across = (left(u, v, g) != left(u, v, h)) & (left(g, h, u) != left(g, h, v))
    return across.sum(axis=1) % 2


def _area(corners: Array) -> float:
    x, y = corners.T
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())
