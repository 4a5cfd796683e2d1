"""A relaxed map of what must go for a body to pass: never stricter than the truth, so its least is a bound.

For each band of turns the plane is cut by the outlines of all things and walls grown by the body's core. A
face is passed at no less than the things that cover it. Faces that share an edge in one band, or overlap in
two bands that follow each other, are joined. The library proposes the faces; `shift_check` shows by plain
numbers that none is missing, that each is covered by what it is said to be, and that all that may meet are
joined.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array, Shapes
from shopbins.geometry.shapes import Point
from shopbins.kernel.goes_check import Refused, core
from shopbins.kernel.goes_search import Stop, Stopped
from shopbins.kernel.overlay import GRID_MM, union
from shopbins.kernel.shift_check import Rings, Solids, hold, holding, not_apart, residue, sharing, tiles
from shopbins.kernel.shift_graph import Pairs, components, contracted

WORKERS = 2
MARGIN_MM = 10.0
EDGE_MM = 1e-5

Band = tuple[float, float]
Bands = Sequence[Band]
Ends = tuple[tuple[float, Point], tuple[float, Point]]


@dataclass(frozen=True, slots=True)
class Worth:
    """Which covers are worth passing: those that cost less than a limit."""

    costs: Array
    limit: float

    def of(self, count: int, covers: Pairs) -> Any:
        """Return for each of `count` faces, paired with the things that cover it, whether it is worth it."""
        return np.bincount(covers[0], weights=self.costs[covers[1]], minlength=count) < self.limit


@dataclass(frozen=True, slots=True)
class Faces:
    """One band's faces: polygons, the pairs (2, n) of a face and a thing that covers it, and the pairs (n, 2)
    that share an edge.
    """

    polygons: Shapes
    covers: Pairs
    beside: Pairs


class Region:
    """The faces of one band as a region: asked what lies in it, and for its edge. Threads share it."""

    def __init__(self, polygons: Shapes) -> None:
        """Take the faces."""
        self.tree = shapely.STRtree(polygons)
        self.edge = residue(rings_of(polygons))
        edges: Any = shapely.linestrings(self.edge)
        self.edge_tree = shapely.STRtree(edges)
        self.lines = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(edges)))

    def near(self, lines: Shapes) -> Any:
        """Tell which lines or points meet it, or lie at its edge but for rounding."""
        found = np.zeros(len(lines), dtype=bool)
        found[self.tree.query(lines, predicate="dwithin", distance=EDGE_MM)[0]] = True
        return found

    def edge_at(self, edges: Array) -> Any:
        """Return for each edge (n, 2, 2) the place in `edge` of the one it seems to run along."""
        return self.edge_tree.nearest(shapely.points(edges.mean(axis=1)))


class Field:
    """All that blocks one body on one floor: things and walls as convex pieces, and the body's shapes.

    `body` are its convex pieces as the map takes them, `checked` those a hair larger that covers are checked
    with, both about its centre.
    """

    def __init__(
        self, things: Sequence[Sequence[Array]], walls: Array, body: Sequence[Array], checked: Sequence[Array]
    ) -> None:
        """Take the convex pieces of each thing, and walls as lines (n, 2, 2)."""
        self.pieces = [p for pieces in things for p in pieces] + list(walls)
        owner = [i for i, pieces in enumerate(things) for _ in pieces] + [-1] * len(walls)
        self.solids = Solids(self.pieces, owner)
        self.body, self.checked = list(body), list(checked)
        every = np.concatenate(self.pieces)
        low, high = every.min(axis=0) - MARGIN_MM, every.max(axis=0) + MARGIN_MM
        self.frame = shapely.box(*low.tolist(), *high.tolist())

    @cached_property
    def whole(self) -> Region:
        """Return the whole floor, walls and all, as a region."""
        return Region(np.array([self.frame], dtype=object))

    def shapes(self, band: Band) -> tuple[list[Array], list[Array]]:
        """Return the body's cores over a band, and those to check with."""
        a, b = band
        told = [minkowski.core_of(p, a, b) for p in self.body]
        sure = [core(p, a, b) for p in self.checked]
        both = [(t, s) for t, s in zip(told, sure, strict=True) if t is not None and s is not None]
        return [t for t, _ in both], [s for _, s in both]


def rings_of(polygons: Shapes) -> Rings:
    """Return faces as rings of plain numbers."""
    rings, face = shapely.get_rings(polygons, return_index=True)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    return Rings(xy, ring, face, np.append(False, face[1:] == face[:-1])[: len(face)])


def faces(field: Field, band: Band, worth: Worth, within: Region | None) -> Faces:
    """Return the faces of one band worth passing, in a region or everywhere. Raises Refused."""
    region = field.whole if within is None else within
    if len(region.edge) == 0:
        return Faces(np.empty(0, dtype=object), np.empty((2, 0), dtype=np.int64), _none())
    told, sure = field.shapes(band)
    grown = np.concatenate([minkowski.grown(field.pieces, s) for s in told])
    lines = shapely.boundary(grown)
    if within is not None:
        lines = lines[within.near(lines)]
    noded = union(np.append(lines, region.lines), GRID_MM)
    found = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    points = shapely.point_on_surface(found)
    inside = region.near(points)
    found, points = found[inside], points[inside]
    rings = rings_of(found)
    if not tiles(rings, region.edge, region.edge_at):
        raise Refused(f"a map lost a face at turns {band[0]:g} to {band[1]:g}")
    face, solid = shapely.STRtree(grown).query(points, predicate="intersects")
    number, shape = solid % len(field.pieces), solid // len(field.pieces)
    held = np.zeros(len(face), dtype=bool)
    for k, each in enumerate(sure):
        mine = np.flatnonzero(shape == k)
        held[mine] = hold(field.solids.planes(each), rings, face[mine], number[mine])
    face, owner = face[held], field.solids.owner[number[held]]
    walled = np.bincount(face[owner < 0], minlength=len(found)) > 0
    covers = np.unique(np.stack((face, owner))[:, owner >= 0], axis=1)
    keep = worth.of(len(found), covers) & ~walled
    covers = covers[:, keep[covers[0]]]
    found = found[keep]
    return Faces(found, np.stack((np.cumsum(keep)[covers[0]] - 1, covers[1])), sharing(rings_of(found)))


def _none() -> Pairs:
    return np.empty((0, 2), dtype=np.int64)


def _bits(count: int, covers: Pairs) -> list[int]:
    """Return for each of `count` faces the bits of what covers it."""
    masks = [0] * count
    for face, thing in zip(*covers.tolist(), strict=True):
        masks[face] |= 1 << thing
    return masks


class Map:
    """A relaxed map: the faces of consecutive bands that close the period, and which are joined.

    `beside` are pairs (n, 2) of faces, numbered through all bands; `ends` those start and goal lie in.
    """

    def __init__(
        self, bands: Bands, layers: Sequence[Faces], beside: Pairs, ends: tuple[set[int], set[int]]
    ) -> None:
        """Take the faces of each band."""
        self.bands, self.layers, self.beside, self.ends = bands, layers, beside, ends
        masks = [m for f in layers for m in _bits(len(f.polygons), f.covers)]
        self.graph = contracted(masks, beside, *ends)
        self._regions: list[Region | None] = [None] * len(bands)

    def region(self, turn_deg: float) -> Region:
        """Return the region of the band a turn lies in, in which alone a finer map need be made."""
        k = next(i for i, (a, b) in enumerate(self.bands) if a <= turn_deg <= b)
        found = self._regions[k]
        if found is None:
            found = self._regions[k] = Region(self.layers[k].polygons)
        return found

    def pruned(self, worth: Worth) -> Map:
        """Return the map without what is not, or no longer, worth passing, or not joined with both ends."""
        count = sum(len(f.polygons) for f in self.layers)
        keep = np.concatenate([worth.of(len(f.polygons), f.covers) for f in self.layers])
        joined = self.beside[keep[self.beside].all(axis=1)]
        _, part = components(count, joined)
        at_both = {int(part[f]) for f in self.ends[0]} & {int(part[f]) for f in self.ends[1]}
        keep &= np.isin(part, list(at_both))
        if keep.all() or not at_both:
            return self
        number = np.cumsum(keep) - 1
        layers, first = [], 0
        for f in self.layers:
            mine = keep[first : first + len(f.polygons)]
            own = np.cumsum(mine) - 1
            covers = f.covers[:, mine[f.covers[0]]]
            layers.append(
                Faces(
                    f.polygons[mine],
                    np.stack((own[covers[0]], covers[1])),
                    own[f.beside[mine[f.beside].all(axis=1)]],
                )
            )
            first += len(mine)
        ends = tuple({int(number[f]) for f in end if keep[f]} for end in self.ends)
        beside = number[self.beside[keep[self.beside].all(axis=1)]]
        return Map(self.bands, layers, beside, (ends[0], ends[1]))


def relaxed(
    field: Field,
    bands: Bands,
    ends: Ends,
    period_deg: float,
    worth: Worth,
    stop: Stop,
    *,
    coarser: Map | None = None,
    step_s: float = 0.0,
) -> Map:
    """Return the relaxed map over consecutive bands that close the period.

    Faces whose cover is not worth passing are left out. A finer map is made only in what a `coarser` one
    kept, for a finer band's core holds the coarser one's: what was not worth passing there is not here.
    Raises Stopped when `stop` says so, or when the next band would take longer than is left
    (`step_s` to begin with); Refused where the faces are not what they should be.
    """
    longest = step_s

    def make(band: tuple[float, float]) -> Faces:
        nonlocal longest
        if stop() or stop.left_s() < longest:
            raise Stopped
        began = time.perf_counter()
        middle = (band[0] + band[1]) / 2
        within = None if coarser is None else coarser.region(middle)
        found = faces(field, band, worth, within)
        longest = max(longest, time.perf_counter() - began)
        return found

    def between(i: int) -> Pairs:
        if stop() or stop.left_s() < longest:
            raise Stopped
        return _overlaps(layers[i - 1], layers[i], rings[i - 1], rings[i])

    with ThreadPoolExecutor(WORKERS) as pool:
        layers = list(pool.map(make, bands))
        rings = [rings_of(f.polygons) for f in layers]
        across = list(pool.map(between, range(len(layers))))
    offsets = np.concatenate(([0], np.cumsum([len(f.polygons) for f in layers])))
    joins = [f.beside + offsets[i] for i, f in enumerate(layers)]
    for i, pairs in enumerate(across):
        joins.append(pairs + np.array((offsets[i - 1 if i else len(layers) - 1], offsets[i])))
    at = [_faces_at(rings, offsets, bands, turn_deg, place, period_deg) for turn_deg, place in ends]
    return Map(bands, layers, np.concatenate(joins), (at[0], at[1])).pruned(worth)


def _overlaps(first: Faces, second: Faces, rings: Rings, rings2: Rings) -> Pairs:
    """Return pairs of faces of two bands that meet."""
    pairs = shapely.STRtree(second.polygons).query(first.polygons, predicate="intersects")
    return not_apart(rings, rings2, pairs.T)


def _faces_at(
    rings: Sequence[Rings],
    offsets: Array,
    bands: Bands,
    turn_deg: float,
    place: Point,
    period_deg: float,
) -> set[int]:
    """Return the faces a pose lies in, at the edge of a band in those of both."""
    found: set[int] = set()
    for i, (a, b) in enumerate(bands):
        turn = a + (turn_deg - a) % period_deg
        if turn > b + 1e-6 and turn - period_deg < a - 1e-6:
            continue
        found.update(n + int(offsets[i]) for n in holding(rings[i], place))
    return found
