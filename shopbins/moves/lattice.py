"""The lattice that gear which turns about its own axle and drives straight on is looked for on: places of the
axle's middle, and headings (those that lead from place to place).

Whether the gear is free at each is read off exact sums: it meets a wall or a thing where its axle is within
that grown by the mirrored body. Row by row of the lattice each such sum, convex, is one run of places.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Outline, Pose, placed, turn_between
from shopbins.kernel.ground import convex_pieces
from shopbins.kernel.overlay import as_parts
from shopbins.kernel.slices import centred_body
from shopbins.moves.route import Step

GRIDS_MM = (100.0, 50.0)
ROOMY_MM = 80.0
TURN_PRICE_MM, SET_ROUND_MM = 500.0, 8000.0
"""What a turn of 60 deg costs, of gear that turns by itself and of gear jacked for it: own figures."""
BELOW_DEG, DEAR_BELOW = 55.0, 30.0
"""Who steers is below the load this near to straight downhill; what a way so costs: own figures."""
SLIGHT_DEG, NO_TURN_DEG = 15.0, 1.0
"""Less than this is no turning on a slope: of gear that turns by itself, of gear jacked for it: own."""
SWING_DEG = 15.0
AT_ONCE = 64
"""Of so many pieces of walls and things the runs of places are worked out at once."""

Beside = tuple[Any, Sequence[Outline], Outline]
"""A floor, obstacles there and one more outline of the same body, about its axle, that meets those alone."""
Slope = tuple[Any, float]
"""An area (shapely) that slopes, and the direction downhill in degrees."""
_FIRST = ((1, 0), (3, 1), (2, 1), (1, 1), (1, 2), (1, 3))
STEPS = tuple(
    step
    for quarter in range(4)
    for step in (
        (i, j) if quarter == 0 else (-j, i) if quarter == 1 else (-i, -j) if quarter == 2 else (j, -i)
        for i, j in _FIRST
    )
)
"""Lattice steps by heading, counter-clockwise: 24 of them."""
HEADINGS = tuple(math.degrees(math.atan2(j, i)) % 360.0 for i, j in STEPS)


@dataclass(slots=True)
class Lattice:
    """The free places of a gear's axle at each heading, on a grid through its start.

    `free_turned` are those free of what it takes where it is turned, if that is more; `met` and `met_turned`
    are the nodes where each thing apart is met. `sloping` are those where it is not turned, at each heading:
    its axle is on a slope, or of gear jacked for it any of `stands`, what then touches the floor. `slopes`
    are those areas (shapely). `at_step` are those with a wheel at a sill, `askew` those where it would go
    over it askew, `on_slope` those with a wheel still on a slope or in a doorway beside it. `edges` is what
    leads from place to place, `parts` what hangs together so, once they were asked for.
    """

    grid_mm: float
    origin: tuple[float, float]
    shape: tuple[int, int]
    free: Any
    free_turned: Any
    roomy: Any
    dear: Any
    sloping: Any
    at_step: Any
    askew: Any
    on_slope: Any
    turn_mm: float
    slopes: Sequence[Any] = ()
    stands: Outline = ()
    met: Sequence[Any] = ()
    met_turned: Sequence[Any] = ()
    edges: Any = None
    parts: Any = None

    @property
    def slight_deg(self) -> float:
        """Less than this is no turn on a slope."""
        return NO_TURN_DEG if self.stands else SLIGHT_DEG

    def at(self, cell: int) -> tuple[float, float]:
        """Return where a cell is."""
        j, i = divmod(cell, self.shape[1])
        return self.origin[0] + i * self.grid_mm, self.origin[1] + j * self.grid_mm

    def cell(self, at: Pose) -> int:
        """Return the cell nearest to a pose."""
        i, j = (round((p - o) / self.grid_mm) for p, o in zip((at.x_mm, at.y_mm), self.origin, strict=True))
        ny, nx = self.shape
        return min(max(j, 0), ny - 1) * nx + min(max(i, 0), nx - 1)

    def level(self, at: Pose, to_deg: float) -> bool:
        """Tell whether it may be turned at a pose to another heading: all the while off every slope."""
        if not self.stands:
            return not any(shapely.intersects_xy(area, at.x_mm, at.y_mm) for area in self.slopes)
        n = max(1, math.ceil(abs(to_deg - at.turn_deg) / SWING_DEG))
        turned = (at.turn_deg + (to_deg - at.turn_deg) * k / n for k in range(n + 1))
        every = [shapely.Polygon(placed(self.stands, Pose(at.x_mm, at.y_mm, deg))) for deg in turned]
        near_mm = _bulge_mm(self.stands)
        return not any(shapely.dwithin(area, each, near_mm) for area in self.slopes for each in every)


def lattice(
    floor: Any,
    obstacles: Sequence[Outline],
    body: Outline,
    start: Pose,
    need_mm: float,
    grid_mm: float,
    slopes: Sequence[Slope] = (),
    kept: dict[Any, Any] | None = None,
    beside: Sequence[Beside] = (),
    turned: Outline = (),
    handled: bool = True,
    turn_mm: float = TURN_PRICE_MM,
    stands: Outline = (),
    steps: Sequence[Step] = (),
    wheels: Outline = (),
    apart: Sequence[Outline] = (),
) -> Lattice:
    """Return where a body (about its axle) is free at every heading, clear of all by more than `need_mm`.

    `kept` holds what was read off for this floor, body, start, slopes and outlines `beside`, for other
    lattices, and the latest of them.
    `turned` is what the body takes where it is turned, () for no more.
    `beside` are more outlines that move with the body, each on a floor and among obstacles of its own.
    `handled`: somebody steers it by a handle behind it; `turn_mm` is what a turn of 60 deg costs; `stands`
    what touches the floor where it is jacked to be turned, `wheels` (convex) what does as it rolls. Things
    `apart` leave all places free: where they are met is told by themselves.
    """
    kept = {} if kept is None else kept
    x0, y0, x1, y1 = floor.bounds
    left, down = math.ceil((start.x_mm - x0) / grid_mm), math.ceil((start.y_mm - y0) / grid_mm)
    origin = start.x_mm - left * grid_mm, start.y_mm - down * grid_mm
    nx, ny = int((x1 - origin[0]) // grid_mm) + 1, int((y1 - origin[1]) // grid_mm) + 1
    grid = _Grid(origin[0] + np.arange(nx) * grid_mm, origin[1] + np.arange(ny) * grid_mm)
    gx, gy = grid.points
    key = grid_mm, need_mm
    others = [(tuple(its_obstacles), outline) for _, its_obstacles, outline in beside]
    asked = *key, *map(tuple, (obstacles, apart, others, steps)), turned, handled, turn_mm, stands, wheels
    if LATEST in kept and kept[LATEST][0] == asked:
        latest: Lattice = kept[LATEST][1]
        return latest
    free, met = _free(floor, obstacles, apart, body, need_mm, grid, kept, key)
    free_turned, met_turned = free, list[Any]()
    if turned:
        free_turned, met_turned = _free(
            floor, obstacles, apart, turned, need_mm, grid, kept, (*key, "turned")
        )
    for n, (its_floor, its_obstacles, outline) in enumerate(beside):
        its = *key, n, tuple(its_obstacles)
        if its not in kept:
            kept[its] = list(_clear(its_floor, its_obstacles, outline, need_mm, grid))
        for open_there, held in zip(free, kept[its], strict=True):
            open_there &= held
    roomy = [_roomy(each.reshape(ny, nx), round(ROOMY_MM / grid_mm) or 1).ravel() for each in free]
    dear, sloping = np.ones((len(HEADINGS), len(gx))), np.zeros((len(HEADINGS), len(gx)), dtype=bool)
    for area, towards_deg in slopes:
        inside = shapely.intersects_xy(area, gx, gy)  # the very edge is on the slope
        sloping |= _reaching(area, stands, grid) if stands else inside
        below = [handled and abs(turn_between(h + 180.0, towards_deg)) < BELOW_DEG for h in HEADINGS]
        dear[np.ix_(np.array(below), inside)] = DEAR_BELOW
    areas = tuple(area for area, _ in slopes)
    there = grid_mm, tuple(steps), wheels
    if there not in kept:
        kept[there] = _at_steps(steps, wheels, grid)
    at_step, askew, on_slope = kept[there]
    every = np.array(free), np.array(free_turned), np.array(roomy), dear, sloping, at_step, askew, on_slope
    made = Lattice(grid_mm, origin, (ny, nx), *every, turn_mm, areas, stands, met, met_turned)
    kept[LATEST] = asked, made
    return made


def _free(
    floor: Any,
    obstacles: Sequence[Outline],
    apart: Sequence[Outline],
    body: Outline,
    need_mm: float,
    grid: _Grid,
    kept: dict[Any, Any],
    key: tuple[Any, ...],
) -> tuple[list[Any], list[Any]]:
    """Return the places, at each heading, where a body is clear of walls and obstacles by more than
    `need_mm`, and of each thing `apart` the nodes where it is met. `kept` holds both, by `key` and outline.
    """
    if key not in kept:
        kept[key] = list(_clear(floor, (), body, need_mm, grid))
    free = [each.copy() for each in kept[key]]
    new = [it for it in dict.fromkeys((*obstacles, *apart)) if (*key, it) not in kept]
    kept |= {(*key, it): [] for it in new}
    for shut in _met(new, body, need_mm, grid) if new else ():
        for it, cells in zip(new, shut, strict=True):
            kept[*key, it].append(cells)
    for it in obstacles:
        for open_there, shut in zip(free, kept[*key, it], strict=True):
            open_there[shut] = False
    far = len(grid.xs) * len(grid.ys)
    met = [np.concatenate([h * far + cells for h, cells in enumerate(kept[*key, it])]) for it in apart]
    return free, met


LATEST = "latest"
"""What the latest lattice is kept by, for the next goal."""


class _Grid(NamedTuple):
    """The columns and the rows of a lattice; its places are counted row by row."""

    xs: Array
    ys: Array

    @property
    def points(self) -> tuple[Array, Array]:
        """Where every place is."""
        gx, gy = np.meshgrid(self.xs, self.ys)
        return gx.ravel(), gy.ravel()


def _clear(
    floor: Any, obstacles: Sequence[Outline], body: Outline, need_mm: float, grid: _Grid
) -> Iterator[Any]:
    """Tell at each heading of each place whether a body is on the floor, clear of its walls and obstacles."""
    walls = minkowski.segments_of(as_parts(floor))
    pieces = [*walls, *(piece for outline in obstacles for piece in convex_pieces(outline))]
    for (x, y), runs in _runs(pieces, body, need_mm, grid):
        free = _within(walls, grid.xs + x, grid.ys + y)
        free[_cells(*runs)] = False
        yield free


def _within(walls: Array, xs: Array, ys: Array) -> Any:
    """Tell of each place, row by row, whether an odd number of walls (n, 2, 2) is to its left."""
    (x, y), (to_x, to_y) = walls[:, 0].T, walls[:, 1].T
    row, wall = np.nonzero((y > ys[:, None]) != (to_y > ys[:, None]))
    share = (ys[row] - y[wall]) / (to_y[wall] - y[wall])
    column = np.searchsorted(xs, x[wall] + share * (to_x[wall] - x[wall]))
    to_left = np.zeros((len(ys), len(xs) + 1), dtype=np.int64)
    np.add.at(to_left, (row, column), 1)
    return (to_left.cumsum(axis=1)[:, :-1] % 2 == 1).ravel()


def _met(outlines: Sequence[Outline], body: Outline, need_mm: float, grid: _Grid) -> Iterator[list[Any]]:
    """Return at each heading, of each outline, the places where a body is not clear of it."""
    split = [convex_pieces(outline) for outline in outlines]
    ends = np.cumsum([0, *map(len, split)])
    for _, (first, last) in _runs([piece for pieces in split for piece in pieces], body, need_mm, grid):
        yield [_cells(first[a:b], last[a:b]) for a, b in itertools.pairwise(ends)]


def _runs(
    pieces: Sequence[Array], body: Outline, need_mm: float, grid: _Grid
) -> Iterator[tuple[tuple[float, float], tuple[Any, Any]]]:
    """Go through the headings: where the body's centre then is from its axle, and of each convex piece, in
    each row, the first place where the body comes within `need_mm` of it and the first beyond.

    Both are counted through all rows. Raises FloorProblem where the body is not convex.
    """
    middle, centre = centred_body(body)
    larger = minkowski.offset(middle, need_mm)
    most = max(map(len, pieces))
    batch = np.array([np.concatenate((piece, *[piece[-1:]] * (most - len(piece)))) for piece in pieces])
    rows = np.arange(len(grid.ys)) * len(grid.xs)
    for heading in HEADINGS:
        shape, (at,) = minkowski.turn(larger, heading), minkowski.turn(np.array([centre]), heading)
        found = [
            _spans(minkowski.minus_body(batch[n : n + AT_ONCE], shape), grid.xs + at[0], grid.ys + at[1])
            for n in range(0, len(batch), AT_ONCE)
        ]
        first, last = (np.concatenate(each) for each in zip(*found, strict=True))
        yield (float(at[0]), float(at[1])), (first + rows, np.maximum(last, first) + rows)


def _spans(sums: Array, xs: Array, ys: Array) -> tuple[Any, Any]:
    """Return of each convex outline (n, corners, 2), at each y, the first of the xs in it and the first
    beyond: (n, ys) each.
    """
    x, y = sums[..., 0, None], sums[..., 1, None]
    to_x, to_y = np.roll(x, -1, axis=1), np.roll(y, -1, axis=1)
    crossed = (np.minimum(y, to_y) <= ys) & (ys <= np.maximum(y, to_y)) & (y != to_y)
    at = x + (to_x - x) * ((ys - y) / np.where(y == to_y, 1.0, to_y - y))
    left = np.where(crossed, at, np.inf).min(axis=1)
    right = np.where(crossed, at, -np.inf).max(axis=1)
    return np.searchsorted(xs, left), np.searchsorted(xs, right, "right")


def _cells(first: Any, last: Any) -> Any:
    """Return all places of runs, from the first of each to before its last."""
    first, long = first.ravel(), (last - first).ravel()
    before = np.cumsum(long) - long
    return np.repeat(first - before, long) + np.arange(long.sum())


def _at_steps(steps: Sequence[Step], wheels: Outline, grid: _Grid) -> tuple[Any, Any, Any]:
    """Return at each heading the places with a wheel at a sill, those where it would go over it askew, and
    those with a wheel on a slope.
    """
    at_step = np.zeros((len(HEADINGS), len(grid.xs) * len(grid.ys)), dtype=bool)
    askew, on_slope = at_step.copy(), at_step.copy()
    if not steps or not wheels:
        return at_step, askew, on_slope
    every = _met([step.outline for step in steps], wheels, _bulge_mm(wheels), grid)
    for h, met in enumerate(every):
        for step, cells in zip(steps, met, strict=True):
            (on_slope if step.along_deg is None else at_step)[h][cells] = True
            if not step.square(HEADINGS[h]):
                askew[h][cells] = True
    return at_step, askew, on_slope


def _reaching(area: Any, stands: Outline, grid: _Grid) -> Any:
    """Return at each heading the places where an outline meets an area."""
    rim = tuple((float(x), float(y)) for x, y in area.exterior.coords[:-1])
    found = np.zeros((len(HEADINGS), len(grid.xs) * len(grid.ys)), dtype=bool)
    for here, (cells,) in zip(found, _met([rim], stands, _bulge_mm(stands), grid), strict=True):
        here[cells] = True
    return found


def _bulge_mm(outline: Outline) -> float:
    """Return how far an outline reaches at most, between two headings, beyond where it is at both."""
    return max(math.hypot(*p) for p in outline) * (1.0 - math.cos(math.radians(MOST_APART_DEG / 2)))


MOST_APART_DEG = math.degrees(math.atan2(1, 3)) + 0.1
"""Headings next to one another are no farther apart."""


def _roomy(free: Any, cells: int) -> Any:
    """Return the places whose neighbours, so many cells away on each side, are free as well."""
    found = free
    for _ in range(cells):
        inner = np.zeros_like(found)
        inner[1:-1, 1:-1] = found[1:-1, 1:-1] & found[:-2, 1:-1] & found[2:, 1:-1]
        inner[1:-1, 1:-1] &= found[1:-1, :-2] & found[1:-1, 2:]
        found = inner
    return found
