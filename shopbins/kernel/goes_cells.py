"""The space of poses cut into cells: places free over a band of turns, joined through exact slices.

A `Piece` is one connected part of the exact free slice at one turn, a `Cell` one connected part of where the
body's core is free over a band. Every free pose of a band lies in a cell, and a body that turns from one band
into the next passes through a piece of the slice between them. So when start and goal are not joined through
cells and pieces, the body does not go. Cells only ever get smaller by splitting.

Turns are kept within one period of the body's symmetry; a lap counts the periods.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely

from shopbins.geometry.minkowski import Array
from shopbins.kernel.ground import Crowd, Local, Slicer
from shopbins.kernel.overlay import parts

SAME_TURN_DEG = 1e-7
NARROWEST_DEG = 2e-3


class Piece:
    """A connected part of an exact slice."""

    __slots__ = ("_deep", "_inner", "cells", "number", "polygon", "triangles", "turn_deg")

    def __init__(self, number: int, turn_deg: float, polygon: Any) -> None:
        """Keep the polygon; deep points are found when asked for."""
        self.number = number
        self.turn_deg = turn_deg
        self.polygon = polygon
        self.cells: list[tuple[Cell, int]] = []
        self._deep: tuple[Array, Array] | None = None
        self._inner: Any = None
        self.triangles: Any = None

    @property
    def inner(self) -> Any:
        """Return a point inside, well away from rounding."""
        if self._inner is None:
            self._inner = shapely.point_on_surface(self.polygon)
        return self._inner

    @property
    def deep(self) -> tuple[Array, Array]:
        """Return a few points far from the edge (n, 2), deepest first, and the radius each is sure of."""
        if self._deep is None:
            self._deep = deep_points(self.corner_triangles())
        return self._deep

    def corner_triangles(self) -> Array:
        """Return the polygon as triangles (n, 3, 2) that use only its own corners."""
        if self.triangles is None:
            self.triangles = triangles_of(self.polygon)
        found: Array = self.triangles
        return found


class Cell:
    """A connected part of where the core is free over a band; members are pieces at its two ends."""

    __slots__ = ("depth", "from_deg", "members", "number", "polygon", "to_deg")

    def __init__(self, number: int, from_deg: float, to_deg: float, polygon: Any, depth: int) -> None:
        """Begin without members."""
        self.number = number
        self.from_deg = from_deg
        self.to_deg = to_deg
        self.polygon = polygon
        self.depth = depth
        self.members: list[tuple[Piece, int]] = []

    @property
    def width_deg(self) -> float:
        """Return the width of the band."""
        return self.to_deg - self.from_deg


def triangles_of(polygon: Any) -> Array:
    """Return a triangulation (n, 3, 2) of a polygon."""
    found = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    corners: Array = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3]
    return corners


def deep_points(triangles: Array, most: int = 24) -> tuple[Array, Array]:
    """Return the inscribed circles' centres and radii of the roomiest triangles."""
    sides = np.hypot(*np.moveaxis(np.roll(triangles, -1, axis=1) - np.roll(triangles, -2, axis=1), -1, 0))
    round_mm = np.maximum(sides.sum(axis=1), 1e-300)
    centres = (triangles * sides[..., None]).sum(axis=1) / round_mm[:, None]
    u, v = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    radii = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / round_mm
    order = np.argsort(-radii)[:most]
    return centres[order], radii[order]


class Space:
    """Pieces and cells of one question, split on demand."""

    def __init__(self, slicer: Slicer, crowd: Crowd, turns_deg: Sequence[float], period_deg: float) -> None:
        """Take sorted base turns within [0, period); nothing is computed yet."""
        self.slicer = slicer
        self.crowd = crowd
        self.turns_deg = list(turns_deg)
        self.period_deg = period_deg
        self.pieces: dict[float, list[Piece]] = {}
        self._counter = itertools.count()
        self._local: Local | None = None

    @property
    def local(self) -> Local:
        """Return the obstacles for redoing a region."""
        if self._local is None:
            self._local = Local(self.slicer, self.crowd)
        return self._local

    def pieces_at(self, place: int) -> list[Piece]:
        """Return the pieces of a base slice, computed once."""
        turn_deg = self.turns_deg[place]
        found = self.pieces.get(turn_deg)
        if found is None:
            free = parts(self.slicer.free(turn_deg, turn_deg, self.crowd))
            found = self.pieces[turn_deg] = [Piece(next(self._counter), turn_deg, p) for p in free]
        return found

    def band(self, place: int) -> tuple[float, float, int, int]:
        """Return a base band: its turns, the place of the slice that ends it and the laps that adds."""
        following = (place + 1) % len(self.turns_deg)
        lap = 1 if following <= place else 0
        return self.turns_deg[place], self.turns_deg[following] + lap * self.period_deg, following, lap

    def make_cells(self, place: int) -> None:
        """Compute the cells of a base band and join them to the slices at its ends."""
        from_deg, to_deg, following, lap = self.band(place)
        free = parts(self.slicer.free(from_deg, to_deg, self.crowd))
        made = [Cell(next(self._counter), from_deg, to_deg, p, 0) for p in free]
        attach(made, self.pieces_at(place), 0)
        attach(made, self.pieces_at(following), lap)

    def cut(self, cell: Cell) -> tuple[list[Any], list[Any], list[Any]]:
        """Return the free parts of a cell exactly at its middle, and by the cores of its two halves."""
        middle = (cell.from_deg + cell.to_deg) / 2
        return (
            self.local.free(cell.polygon, middle, middle),
            self.local.free(cell.polygon, cell.from_deg, middle),
            self.local.free(cell.polygon, middle, cell.to_deg),
        )

    def split(self, cell: Cell, cut: tuple[list[Any], list[Any], list[Any]]) -> None:
        """Replace a cell by exact pieces at the middle of its band and the cells below and above."""
        middle = (cell.from_deg + cell.to_deg) / 2
        low = [(p, lap) for p, lap in cell.members if p.turn_deg + lap * self.period_deg < middle]
        high = [(p, lap) for p, lap in cell.members if p.turn_deg + lap * self.period_deg > middle]
        for piece, _ in cell.members:
            piece.cells = [(c, lap) for c, lap in piece.cells if c is not cell]
        between = [Piece(next(self._counter), middle, p) for p in cut[0]]
        below = [Cell(next(self._counter), cell.from_deg, middle, p, cell.depth + 1) for p in cut[1]]
        above = [Cell(next(self._counter), middle, cell.to_deg, p, cell.depth + 1) for p in cut[2]]
        attach_members(below, low)
        attach(below, between, 0)
        attach(above, between, 0)
        attach_members(above, high)


def attach_members(cells: Sequence[Cell], members: Iterable[tuple[Piece, int]]) -> None:
    """Join pieces, each with its own lap, to the cells that hold them."""
    for lap, group in itertools.groupby(
        sorted(members, key=lambda m: (m[1], m[0].number)), key=lambda m: m[1]
    ):
        attach(cells, [p for p, _ in group], lap)


def attach(cells: Sequence[Cell], pieces: Sequence[Piece], lap: int) -> None:
    """Join each piece to the cell it lies in; one point tells, as a piece lies wholly in one cell."""
    if not cells or not pieces:
        return
    points = np.array([p.inner for p in pieces], dtype=object)
    tree = shapely.STRtree([c.polygon for c in cells])
    at, cell_at = tree.query(points, predicate="intersects")
    home = dict(zip(at.tolist(), cell_at.tolist(), strict=True))
    for i, piece in enumerate(pieces):
        if i not in home:  # rounding at a speck's edge: join to the nearest, which can only join too much
            home[i] = int(tree.nearest(points[i]))
        cell = cells[home[i]]
        cell.members.append((piece, lap))
        piece.cells.append((cell, lap))
