"""A floor, what stands on it, and the free slices of one body on it, remembered from question to question.

A slice is keyed by everything it depends on: the floor and body (one `Slicer` each), the range of turns and
the set of things. When few things differ from the remembered set only their surroundings are done again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.convex import HAIR, is_convex
from shopbins.geometry.minkowski import Array, Shapes
from shopbins.geometry.shapes import FloorProblem, Outline, counter_clockwise
from shopbins.geometry.simple import simple
from shopbins.kernel.body import Body
from shopbins.kernel.overlay import GRID_MM, as_parts, common, less, parts, polygonal, union

WINDOW_MM = 1.0
FEW = 10
MOST_GROWN = 2000
"""How many grown things a slice remembers, standing or not."""


def rooms_of(floor: Any) -> list[Outline]:
    """Return a floor, one outline or several, as simple outlines. Raises FloorProblem."""
    if len(floor) == 0:
        raise FloorProblem("floor outline: none given")
    if _is_point(floor[0]):
        return [simple(floor, "floor outline")]
    return [simple(o, f"floor outline {i}") for i, o in enumerate(floor)]


def holes_of(holes: Iterable[Outline]) -> list[Outline]:
    """Return fixed obstacles as simple outlines. Raises FloorProblem."""
    return [simple(h, f"hole {i}") for i, h in enumerate(holes)]


def floor_polygon(rooms: Sequence[Outline], holes: Sequence[Outline] = ()) -> Any:
    """Return the free floor as a shapely polygon (or several).

    `rooms` are simple outlines, which are united (rooms and the passages that join them, overlapping a
    little); `holes` are fixed obstacles, simple too. Raises FloorProblem.
    """
    floors = [shapely.Polygon(o) for o in rooms]
    ground = union(floors, GRID_MM) if len(floors) > 1 else floors[0]
    if holes:
        ground = less(ground, [shapely.Polygon(h) for h in holes], GRID_MM)
    ground = polygonal(ground)
    if ground.is_empty:
        raise FloorProblem("floor outline: the holes leave no floor")
    return ground


def _is_point(value: Any) -> bool:
    return len(value) == 2 and not hasattr(value[0], "__len__")


class Crowd:
    """The things of one question: convex pieces for growing, edges for measuring, names for telling."""

    def __init__(self, things: Sequence[Outline]) -> None:
        """Take cleaned outlines; convex ones stay whole, others are cut into triangles."""
        self.outlines = tuple(things)
        self.distinct = frozenset(self.outlines)

    @cached_property
    def edges(self) -> tuple[Array, Any]:
        """Return all edges (n, 2, 2) and the place in `outlines` each belongs to (n,)."""
        if not self.outlines:
            return np.empty((0, 2, 2)), np.empty(0, dtype=np.int64)
        arrays = [minkowski.corners_of(o) for o in self.outlines]
        edges = np.concatenate([np.stack((a, np.roll(a, -1, axis=0)), axis=1) for a in arrays])
        return edges, np.repeat(np.arange(len(arrays)), [len(a) for a in arrays])

    @cached_property
    def boxes(self) -> Array:
        """Return the box of each thing: least x, least y, greatest x, greatest y (n, 4)."""
        return np.array([(*np.min(o, axis=0), *np.max(o, axis=0)) for o in self.outlines]).reshape(-1, 4)


def convex_pieces(outline: Outline) -> list[Array]:
    """Return an outline as convex pieces that cover it: itself, or triangles."""
    if is_convex(outline, HAIR):
        return [minkowski.corners_of(outline)]
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(outline)))
    return [
        minkowski.corners_of(counter_clockwise(shapely.get_coordinates(t)[:-1].tolist()))
        for t in triangles
        if t.area > 0
    ]


@dataclass(slots=True)
class _Kept:
    """One remembered slice: what it holds, each thing grown, the floor less the walls, and what is free."""

    distinct: frozenset[Outline]
    outlines: list[Outline]
    shapes: Shapes
    boxes: Array
    open_floor: Any
    free: Any


class Slicer:
    """Free slices of one body, a little smaller (or larger) than told, on one floor."""

    def __init__(self, ground: Any, body: Body, outset_mm: float, grid_mm: float = 0.0) -> None:
        """Take the floor polygon, the body and the grid to overlay on (0: none)."""
        self.grid_mm = grid_mm
        self.ground = ground
        self.body = body.pieces(outset_mm)
        self.walls = minkowski.segments_of(as_parts(ground))
        self.reach_mm = max(float(np.hypot(*piece.T).max()) for piece in self.body)
        self._kept: dict[tuple[float, float], _Kept] = {}
        self._pieces: dict[Outline, list[Array]] = {}
        self._shapes: dict[tuple[float, float], list[Array]] = {}
        self._grown: dict[tuple[float, float], dict[Outline, Any]] = {}

    def shapes(self, from_deg: float, to_deg: float) -> list[Array]:
        """Return the body's pieces at one turn, or those of their cores over a band that there are."""
        found = self._shapes.get((from_deg, to_deg))
        if found is None:
            if from_deg == to_deg:
                found = [minkowski.turn(piece, from_deg) for piece in self.body]
            else:
                cores = (minkowski.core_of(piece, from_deg, to_deg) for piece in self.body)
                found = [c for c in cores if c is not None]
            self._shapes[from_deg, to_deg] = found
        return found

    def free(self, from_deg: float, to_deg: float, crowd: Crowd) -> Any:
        """Return where the body (or its core over a band) is free, reusing what did not change."""
        key = (from_deg, to_deg)
        kept = self._kept.get(key)
        if kept is None:
            kept = self._fresh(key, crowd, None)
        elif kept.distinct != crowd.distinct:
            gone, come = kept.distinct - crowd.distinct, crowd.distinct - kept.distinct
            if len(gone) + len(come) > FEW:
                kept = self._fresh(key, crowd, kept)
            else:
                kept = self._changed(key, kept, crowd, gone, come)
        self._kept[key] = kept
        return kept.free

    def _fresh(self, key: tuple[float, float], crowd: Crowd, kept: _Kept | None) -> _Kept:
        open_floor = self.open_floor(self.shapes(*key)) if kept is None else kept.open_floor
        outlines = list(crowd.distinct)
        shapes = self._grown_for(key, outlines)
        free = less(open_floor, shapes, self.grid_mm)
        return _Kept(
            crowd.distinct, outlines, shapes, shapely.bounds(shapes).reshape(-1, 4), open_floor, free
        )

    def _changed(
        self,
        key: tuple[float, float],
        kept: _Kept,
        crowd: Crowd,
        gone: frozenset[Outline],
        come: frozenset[Outline],
    ) -> _Kept:
        stays = np.array([o not in gone for o in kept.outlines], dtype=bool)
        left, boxes = kept.shapes[stays], kept.boxes[stays]
        free = kept.free
        if gone:
            opened = [self._opened(s, left, boxes, kept.open_floor) for s in kept.shapes[~stays]]
            free = polygonal(union([free, *opened], self.grid_mm))
        new = list(come)
        shapes = self._grown_for(key, new)
        free = less(free, shapes, self.grid_mm)
        outlines = [o for o, s in zip(kept.outlines, stays, strict=True) if s] + new
        return _Kept(
            crowd.distinct,
            outlines,
            np.concatenate((left, shapes)),
            np.concatenate((boxes, shapely.bounds(shapes).reshape(-1, 4))),
            kept.open_floor,
            free,
        )

    def _grown_for(self, key: tuple[float, float], outlines: Sequence[Outline]) -> Shapes:
        """Return outlines grown by the body (or its core over a band), remembered."""
        known = self._grown.setdefault(key, {})
        if len(known) > MOST_GROWN:
            known.clear()
        new = [o for o in outlines if o not in known]
        known |= zip(new, self.grow(new, self.shapes(*key)), strict=True)
        return np.array([known[o] for o in outlines], dtype=object)

    def _opened(self, shape: Any, left: Shapes, boxes: Array, open_floor: Any) -> Any:
        """Return what is free around a grown thing that went, a little beyond its edge so that it joins."""
        window = shapely.buffer(shape, WINDOW_MM)
        near = left[_overlapping(boxes, shapely.bounds(window))]
        return less(common(window, open_floor, self.grid_mm), near, self.grid_mm)

    def open_floor(self, shapes: Sequence[Array]) -> Any:
        """Return where shapes of the body are clear of the walls."""
        return less(
            self.ground, [g for s in shapes for g in minkowski.grown_batch(self.walls, s)], self.grid_mm
        )

    def grow(self, outlines: Sequence[Outline], shapes: Sequence[Array]) -> Shapes:
        """Return each outline grown by the body's shapes, as one geometry."""
        pieces = [self.pieces(o) for o in outlines]
        if len(shapes) == 1:
            whole = minkowski.grown([p[0] for p in pieces], shapes[0])
        else:
            whole = np.full(len(outlines), shapely.Polygon(), dtype=object)
        for i, several in enumerate(pieces):
            if len(several) > 1 or len(shapes) > 1:
                parts_grown = [g for s in shapes for g in minkowski.grown(several, s)]
                whole[i] = union(parts_grown, self.grid_mm)
        return whole

    def pieces(self, outline: Outline) -> list[Array]:
        """Return the convex pieces of a thing, remembered."""
        found = self._pieces.get(outline)
        if found is None:
            found = self._pieces[outline] = convex_pieces(outline)
        return found


class Local:
    """All obstacles of one question as convex pieces with boxes, to grow only those near a region."""

    def __init__(self, slicer: Slicer, crowd: Crowd) -> None:
        """Gather walls and things once."""
        self.slicer = slicer
        pieces = list(slicer.walls)
        for outline in crowd.distinct:
            pieces += slicer.pieces(outline)
        self.pieces = pieces
        self.boxes = np.array([(*p.min(axis=0), *p.max(axis=0)) for p in pieces]).reshape(-1, 4)

    def free(self, region: Any, from_deg: float, to_deg: float) -> list[Any]:
        """Return the parts of a region where the body (or its core over a band) is free."""
        r = self.slicer.reach_mm
        x0, y0, x1, y1 = region.bounds
        near = np.flatnonzero(_overlapping(self.boxes, (x0 - r, y0 - r, x1 + r, y1 + r)))
        obstacles = [self.pieces[i] for i in near]
        shapes = self.slicer.shapes(from_deg, to_deg)
        return parts(
            less(region, [g for s in shapes for g in minkowski.grown(obstacles, s)], self.slicer.grid_mm)
        )


def _overlapping(boxes: Array, box: Any) -> Any:
    return (
        (boxes[:, 0] <= box[2]) & (boxes[:, 2] >= box[0]) & (boxes[:, 1] <= box[3]) & (boxes[:, 3] >= box[1])
    )
