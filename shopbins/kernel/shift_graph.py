"""A relaxed map of what must go for a body to pass: never stricter than the truth, so its least is a bound.

For each band of turns the floor is cut by the outlines of all things grown by the body's core. A face is
passed at no less than the things that cover it. Faces that share an edge in one band, or overlap in two bands
that follow each other, are joined. Joined faces with the same cover become one node.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array, Shapes
from shopbins.geometry.shapes import Point
from shopbins.kernel.goes_search import Stop, Stopped
from shopbins.kernel.ground import Crowd, Slicer
from shopbins.kernel.overlay import GRID_MM, common, union

Pairs = Any  # whole numbers, (n, 2)
WORKERS = 2
HAIR_MM = 1e-5
LEEWAY_MM = 0.01


@dataclass(frozen=True, slots=True)
class Faces:
    """One band's faces: polygons, for each the bits of the things that cover it, and which share an edge."""

    polygons: Shapes
    masks: list[int]
    beside: Pairs


@dataclass(frozen=True, slots=True)
class Worth:
    """Which covers are worth passing: those that cost less than a limit."""

    costs: Array
    limit: float

    def of(self, count: int, pairs: Pairs) -> Any:
        """Return for each of `count` items, paired with the things that cover it, whether it is worth it."""
        return np.bincount(pairs[0], weights=self.costs[pairs[1]], minlength=count) < self.limit


class Relaxed:
    """Nodes with covers (bits of things) and neighbours; floods and cuts."""

    def __init__(self, masks: list[int], edges: Pairs, starts: set[int], goals: set[int]) -> None:
        """Take contracted nodes."""
        self.masks = masks
        self.starts = starts
        self.goals = goals
        self.beside: list[list[int]] = [[] for _ in masks]
        for i, j in edges.tolist():
            self.beside[i].append(j)
            self.beside[j].append(i)

    def cut(self, shifted: int, order: Sequence[int]) -> int | None:
        """Return bits of things of which at least one more must go, or None when the goal is reached.

        The set is made small: things are taken away in the given order as long as the goal stays out of
        reach. Bits are those of `masks`.
        """
        flood = _Flood(self, shifted)
        if flood.begin():
            return None
        for thing in order:
            if flood.holders.get(thing):
                flood.try_without(thing)
        missing = 0
        for blocks in flood.met.values():
            missing |= blocks
        return missing


class _Flood:
    """What is met from the start with some things gone: 0 where reached, else the bits that block it."""

    def __init__(self, graph: Relaxed, shifted: int) -> None:
        self.graph = graph
        self.shifted = shifted
        self.met: dict[int, int] = {}
        self.holders: dict[int, list[int]] = {}

    def begin(self) -> bool:
        """Reach on from the start; True when the goal is reached."""
        stack: list[int] = []
        at_goal = False
        for node in self.graph.starts:
            at_goal |= self._meet(node, stack, [])
        return at_goal or self.spread(stack, [])

    def spread(self, stack: list[int], journal: list[int]) -> bool:
        """Reach on from nodes already reached, noting what is newly met; True when the goal is reached."""
        beside, met = self.graph.beside, self.met
        while stack:
            for node in beside[stack.pop()]:
                if node not in met and self._meet(node, stack, journal):
                    return True
        return False

    def _meet(self, node: int, stack: list[int], journal: list[int]) -> bool:
        """Note a node as reached (and stack it) or blocked; True when it is a goal reached."""
        journal.append(node)
        blocks = self.met[node] = self.graph.masks[node] & ~self.shifted
        if blocks == 0:
            stack.append(node)
            return node in self.graph.goals
        holders = self.holders
        while blocks:
            low = blocks & -blocks
            holders.setdefault(low.bit_length() - 1, []).append(node)
            blocks ^= low
        return False

    def try_without(self, thing: int) -> None:
        """Take a thing away too unless that opens the way."""
        bit, met = 1 << thing, self.met
        held = [n for n in dict.fromkeys(self.holders[thing]) if met.get(n, 0) & bit]
        opened = [n for n in held if met[n] == bit]
        self.shifted |= bit
        for node in opened:
            met[node] = 0
        journal: list[int] = []
        if opened and (any(n in self.graph.goals for n in opened) or self.spread(list(opened), journal)):
            self.shifted &= ~bit
            for node in journal:
                del met[node]
            for node in opened:
                met[node] = bit
            return
        for node in held:
            met[node] &= ~bit


Bands = Sequence[tuple[float, float]]
Ends = tuple[tuple[float, Point], tuple[float, Point]]


@dataclass(frozen=True, slots=True)
class Map:
    """A relaxed map with, for each band, the region its faces leave a finer map to be made in."""

    graph: Relaxed
    bands: Bands
    regions: tuple[Any, ...]

    def region(self, turn_deg: float) -> Any:
        """Return the region of the band a turn lies in."""
        return next(r for (a, b), r in zip(self.bands, self.regions, strict=True) if a <= turn_deg <= b)


def relaxed(
    slicer: Slicer,
    crowd: Crowd,
    bands: Bands,
    ends: Ends,
    period_deg: float,
    worth: Worth,
    stop: Stop,
    *,
    coarser: Map | None = None,
    step_s: float = 0.0,
    exact_middle: bool = False,
) -> Map:
    """Return the relaxed map over consecutive bands that close the period.

    Faces whose cover is not worth passing are left out. A finer map is made only in what a `coarser` one
    kept, for a finer band's core holds the coarser one's: what was not worth passing there is not here.
    `exact_middle` takes the body as it stands in the middle of each band instead of its core: a good guess,
    not a bound. Raises Stopped when `stop` says so, or when the next band would take longer than is left
    (`step_s` to begin with).
    """
    longest = step_s

    def make(band: tuple[float, float]) -> Faces:
        nonlocal longest
        if stop() or stop.left_s() < longest:
            raise Stopped
        began = time.perf_counter()
        middle = (band[0] + band[1]) / 2
        within = None if coarser is None else coarser.region(middle)
        found = faces(slicer, crowd, (middle, middle) if exact_middle else band, worth, within)
        longest = max(longest, time.perf_counter() - began)
        return found

    with ThreadPoolExecutor(WORKERS) as pool:
        layers = list(pool.map(make, bands))
        between = list(pool.map(lambda i: _overlaps(layers[i - 1], layers[i]), range(len(layers))))
    offsets = np.concatenate(([0], np.cumsum([len(f.masks) for f in layers])))
    masks = [m for f in layers for m in f.masks]
    joins = [f.beside + offsets[i] for i, f in enumerate(layers)]
    for i, pairs in enumerate(between):
        joins.append(
            np.stack((pairs[0] + offsets[i - 1 if i else len(layers) - 1], pairs[1] + offsets[i]), axis=1)
        )
    at = [_nodes_at(layers, offsets, bands, turn_deg, place, period_deg) for turn_deg, place in ends]
    graph = _contracted(masks, np.concatenate(joins), at[0], at[1])
    return Map(graph, bands, tuple(_united(f.polygons) for f in layers))


def _united(polygons: Shapes) -> Any:
    """Return all faces as one, a little larger: a finer map loses nothing by room to spare."""
    return shapely.buffer(union(polygons, GRID_MM), LEEWAY_MM, join_style="mitre")


def faces(slicer: Slicer, crowd: Crowd, band: tuple[float, float], worth: Worth, within: Any = None) -> Faces:
    """Return the faces of one band, in a region or everywhere.

    The region is shared by threads, so it is never prepared.
    """
    shapes = slicer.shapes(*band)
    grown = slicer.grow(crowd.outlines, shapes)
    floor = slicer.open_floor(shapes)
    lines = np.append(shapely.boundary(grown), shapely.boundary(floor))
    if within is not None:
        lines = lines[shapely.intersects(within, lines)]
        lines = np.append(common(lines, within), shapely.boundary(within))
    shrunk = slicer.grow(crowd.outlines, [minkowski.mitred(s, -HAIR_MM) for s in shapes])
    noded = union(lines, GRID_MM)
    found = shapely.get_parts(shapely.polygonize(_worthy_edges(noded, shrunk, worth)))
    if len(found) == 0:
        return Faces(found, [], np.empty((0, 2), dtype=np.int64))
    points = shapely.point_on_surface(found)
    shapely.prepare(floor)
    inside = shapely.intersects(floor, points)
    if within is not None:
        inside &= shapely.intersects(within, points)
    found, points = found[inside], points[inside]
    pairs = shapely.STRtree(grown).query(points, predicate="intersects")
    keep = worth.of(len(found), pairs)
    masks = np.array(_bits(len(found), pairs[:, keep[pairs[0]]]), dtype=object)
    found = found[keep]
    return Faces(found, masks[keep].tolist(), _sharing_edges(found))


def _worthy_edges(lines: Any, shrunk: Shapes, worth: Worth) -> Any:
    """Return the noded edges that can bound a face worth passing: what covers the edge covers its faces.

    The grown things are taken a hair smaller, so one whose own outline runs along the edge is not counted.
    """
    edges = shapely.get_parts(lines)
    middles = shapely.line_interpolate_point(edges, 0.5, normalized=True)
    pairs = shapely.STRtree(shrunk).query(middles, predicate="intersects")
    return edges[worth.of(len(edges), pairs)]


def _bits(count: int, pairs: Pairs) -> list[int]:
    """Return for each of `count` items the bits of what it is paired with."""
    masks = [0] * count
    for item, thing in zip(*pairs.tolist(), strict=True):
        masks[item] |= 1 << thing
    return masks


def _sharing_edges(polygons: Shapes) -> Pairs:
    """Return pairs of polygons of one noded cutting that share an edge."""
    xy, owner = shapely.get_coordinates(polygons, return_index=True)
    if len(xy) == 0:
        return np.empty((0, 2), dtype=np.int64)
    rings, ring_owner = shapely.get_rings(polygons, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    owner = ring_owner[ring]
    same = ring[1:] == ring[:-1]
    a, b, own = xy[:-1][same], xy[1:][same], owner[:-1][same]
    swap = (a[:, 0] > b[:, 0]) | ((a[:, 0] == b[:, 0]) & (a[:, 1] > b[:, 1]))
    low, high = np.where(swap[:, None], b, a), np.where(swap[:, None], a, b)
    keys = np.concatenate((low, high), axis=1)
    order = np.lexsort(keys.T)
    keys, own = keys[order], own[order]
    equal = np.all(keys[1:] == keys[:-1], axis=1)
    pairs = np.stack((own[:-1][equal], own[1:][equal]), axis=1)
    return pairs[pairs[:, 0] != pairs[:, 1]]


def _overlaps(first: Faces, second: Faces) -> Pairs:
    """Return pairs of faces of two bands that meet."""
    if not first.masks or not second.masks:
        return np.empty((2, 0), dtype=np.int64)
    return shapely.STRtree(second.polygons).query(first.polygons, predicate="intersects")


def _nodes_at(
    layers: Sequence[Faces],
    offsets: Array,
    bands: Bands,
    turn_deg: float,
    place: Point,
    period_deg: float,
) -> set[int]:
    """Return the faces a pose lies in, at the edge of a band in those of both."""
    point = shapely.points(place)
    found: set[int] = set()
    for i, (a, b) in enumerate(bands):
        turn = a + (turn_deg - a) % period_deg
        if turn > b + 1e-6 and turn - period_deg < a - 1e-6:
            continue
        if layers[i].masks:
            near = shapely.STRtree(layers[i].polygons).query(point, predicate="dwithin", distance=1e-6)
            found.update(int(n) + int(offsets[i]) for n in near)
    return found


def _contracted(masks: list[int], edges: Pairs, starts: set[int], goals: set[int]) -> Relaxed:
    """Return the map with joined faces of one cover made one node."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    number = {m: i for i, m in enumerate(dict.fromkeys(masks))}
    cover = np.array([number[m] for m in masks], dtype=np.int64)
    same = edges[cover[edges[:, 0]] == cover[edges[:, 1]]]
    size = len(masks)
    graph = coo_array((np.ones(len(same), dtype=np.int8), (same[:, 0], same[:, 1])), shape=(size, size))
    count, label = connected_components(graph, directed=False)
    node_masks = [0] * count
    for face, node in enumerate(label.tolist()):
        node_masks[node] = masks[face]
    pairs = np.sort(label[edges], axis=1)
    pairs = np.unique(pairs[pairs[:, 0] != pairs[:, 1]], axis=0)
    return Relaxed(node_masks, pairs, {int(label[s]) for s in starts}, {int(label[g]) for g in goals})
