"""A relaxed map of what must go for a body to pass: never stricter than the truth, so its least is a bound.

Places of the body's centre are cut into squares and turns into bands. A thing covers a square where all four
corners of it lie in the thing grown by the body's core over the band: grown convex pieces are convex, so the
body, at any turn of the band and anywhere in the square, meets the thing. A square is passed at no less than
the things that cover it; squares with a side in common are joined, and the same square in two bands that
follow each other. Nothing but half planes and whole numbers is used, so there is nothing to check again.

The squares of a row that a piece covers run from one column to another: all is reckoned from such runs, and
squares side by side in a row that the same runs cover are kept as one strip. A finer map is made only of what
a coarser one kept, for a smaller square and a narrower band are covered by all that covered the larger.
"""

from __future__ import annotations

import copy
import itertools
import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import csr_array, vstack
from scipy.sparse.csgraph import dijkstra

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Point
from shopbins.kernel.goes_check import WITHIN_MM, core
from shopbins.kernel.goes_search import Stop, Stopped
from shopbins.kernel.shift_graph import Pairs, Relaxed, components

Band = tuple[float, float]
Bands = Sequence[Band]
Ends = tuple[tuple[float, Point], tuple[float, Point]]
Numbers = Any  # whole numbers, (n,)

FLAT = 1e-14
MOST_AT_FIRST = 100_000
ROUNDING = 1e-7
PER_STEP = 1e-4
SAME_TURN_DEG = 1e-6
NEVER = 1e9
"""More than all things cost together, scaled as they are."""
AT_ONCE = 2048


@dataclass(frozen=True, slots=True)
class Worth:
    """Which covers are worth passing: those that cost less than a limit."""

    costs: Array
    limit: float


class Mistaken(Exception):  # noqa: N818 - to be drawn again
    """Two covers that are not the same have the same number."""


class Solids:
    """Convex pieces of things, and walls as lines: what each belongs to, a thing's place or -1."""

    def __init__(self, pieces: Sequence[Array], owner: Sequence[int]) -> None:
        """Take corners (m, 2) of each piece, two of a line."""
        self.owner = np.asarray(owner, dtype=np.int64)
        most = max(len(p) for p in pieces)
        self.corners = np.stack([np.concatenate((p, p[-1:].repeat(most - len(p), axis=0))) for p in pieces])
        along = np.roll(self.corners, -1, axis=1) - self.corners
        length = np.hypot(along[..., 0], along[..., 1])
        normals = np.stack((along[..., 1], -along[..., 0]), axis=-1) / np.maximum(length, 1e-300)[..., None]
        first = length.argmax(axis=1)  # a side that is there says nothing new where it is said again
        again = normals[np.arange(len(pieces)), first][:, None]
        self.normals = np.where((length > 1e-9)[..., None], normals, again)
        self.heights = np.einsum("nmj,nkj->nmk", self.normals, self.corners).max(axis=2)

    def planes(self, shape: Array) -> tuple[Array, Array]:
        """Return each piece grown by a mirrored convex shape, as half planes (n, k, 2) and (n, k)."""
        d = np.roll(shape, -1, axis=0) - shape
        n = -np.stack((d[:, 1], -d[:, 0]), axis=1) / np.hypot(d[:, 0], d[:, 1])[:, None]
        own = self.heights + (-self.normals @ shape.T).max(axis=2)
        other = (self.corners @ n.T).max(axis=1) + (-shape @ n.T).max(axis=0)
        normals = np.concatenate((self.normals, np.broadcast_to(n, (len(own), *n.shape))), axis=1)
        return normals, np.concatenate((own, other), axis=1)


@dataclass(frozen=True, slots=True)
class Squares:
    """Squares of one size: where the first begins, how wide they are, how many columns and rows."""

    x_mm: float
    y_mm: float
    step_mm: float
    columns: int
    rows: int

    def divided(self, parts: int) -> Squares:
        """Return the squares of which `parts` lie along each side of one of these."""
        return Squares(self.x_mm, self.y_mm, self.step_mm / parts, parts * self.columns, parts * self.rows)

    def at(self, place: Point) -> list[int]:
        """Return the squares that hold a place, or have it at their edge."""
        found = []
        u, v = (place[0] - self.x_mm) / self.step_mm, (place[1] - self.y_mm) / self.step_mm
        for row in {math.floor(v - WITHIN_MM), math.floor(v + WITHIN_MM)}:
            for column in {math.floor(u - WITHIN_MM), math.floor(u + WITHIN_MM)}:
                if 0 <= row < self.rows and 0 <= column < self.columns:
                    found.append(row * self.columns + column)
        return found


@dataclass(frozen=True, slots=True)
class Runs:
    """Squares of one row each, from one place up to another (counted row by row), and what covers them."""

    owner: Numbers
    first: Numbers
    end: Numbers


@dataclass(frozen=True, slots=True)
class Strips:
    """Squares side by side, from one place up to another (counted row by row): sorted, none in two."""

    first: Numbers
    end: Numbers

    def __len__(self) -> int:
        return len(self.first)

    def holding(self, square: int) -> int | None:
        """Return which one holds a square."""
        k = int(np.searchsorted(self.first, square, side="right")) - 1
        return k if k >= 0 and square < self.end[k] else None

    def before(self, count: int) -> Numbers:
        """Return how many of their squares lie before each place, of 0 up to `count`."""
        ends = np.zeros(count + 1, dtype=np.int32)
        ends[self.first] += 1
        ends[self.end] -= 1
        return np.concatenate(([0], np.cumsum(np.cumsum(ends[:-1]))))

    def common(self, others: Strips, away: int = 0) -> Pairs:
        """Return pairs (one of these, one of others) that have a square in common, these moved on a while."""
        low = np.searchsorted(others.end, self.first + away, side="right")
        sizes = np.searchsorted(others.first, self.end + away) - low
        mine = np.repeat(np.arange(len(self), dtype=np.int32), sizes)
        return np.stack((mine, _each(low, sizes).astype(np.int32)), axis=1)


def _each(low: Numbers, sizes: Numbers) -> Numbers:
    """Return so many numbers on from each of some, one after the other."""
    return np.arange(int(sizes.sum())) + np.repeat(low - np.cumsum(sizes) + sizes, sizes)


class Field:
    """All that blocks a body; the body is given as its convex pieces about its centre."""

    def __init__(
        self, things: Sequence[Sequence[Array]], walls: Array, body: Sequence[Array], *, sketch: bool = False
    ) -> None:
        """Take the convex pieces of each thing, and walls as lines (n, 2, 2).

        For a `sketch` the body stands in the middle of a square and of a band: near the truth, and no bound.
        """
        self.sketch = sketch
        pieces = [p for pieces in things for p in pieces] + list(walls)
        self.solids = Solids(pieces, [i for i, ps in enumerate(things) for _ in ps] + [-1] * len(walls))
        self.several = len(body) > 1 or len(pieces) > len(things) + len(walls)
        self.body = list(body)
        corners = walls.reshape(-1, 2)
        self.low: Array = np.asarray(corners.min(axis=0))
        self.high: Array = np.asarray(corners.max(axis=0))

    def squares(self, step_mm: float) -> Squares:
        """Return squares over the whole floor, no narrower than a step and not too many."""
        wide, high = (self.high - self.low).tolist()
        step = max(step_mm, math.sqrt(wide * high / MOST_AT_FIRST))
        columns, rows = (max(1, math.ceil(d / step)) for d in (wide, high))
        return Squares(float(self.low[0]), float(self.low[1]), step, columns, rows)

    def runs(self, squares: Squares, band: Band, within: Strips | None = None) -> Runs:
        """Return which squares each thing (and a wall: -1) surely covers at every turn of a band.

        Those that cover none of a choice of squares are left out.
        """
        found = []
        before = None if within is None else within.before(squares.rows * squares.columns)
        middle = (band[0] + band[1]) / 2
        for piece in self.body:
            shape = minkowski.turn(piece, middle) if self.sketch else core(piece, *band)
            if shape is not None:
                found.append(_runs(self.solids, shape, squares, before, in_the_middle=self.sketch))
        if not found:
            return Runs(*(np.empty(0, dtype=np.int64) for _ in range(3)))
        owner, first, end = (np.concatenate(each) for each in zip(*found, strict=True))
        return _merged(owner, first, end) if self.several else Runs(owner, first, end)


def _runs(
    solids: Solids, shape: Array, squares: Squares, before: Numbers | None, *, in_the_middle: bool
) -> tuple[Numbers, Numbers, Numbers]:
    """Return the runs of squares all of whose corners (or whose middle) lie in each solid grown by a shape.

    The shape is mirrored first. Rows in which a solid's box holds no square that is wanted, told by how many
    are `before` each place, are not looked at.
    """
    normals, heights = solids.planes(shape)
    step, wide = squares.step_mm, squares.columns
    low = solids.corners[..., 1].min(axis=1) - shape[:, 1].max() - squares.y_mm
    high = solids.corners[..., 1].max(axis=1) - shape[:, 1].min() - squares.y_mm
    top = np.clip(np.floor(low / step), 0, squares.rows).astype(np.int64)
    tall = np.clip(np.floor(high / step), 0, squares.rows).astype(np.int64) - top + 1
    solid, row = np.repeat(np.arange(len(top)), tall), _each(top, tall)
    if before is not None:
        x0 = solids.corners[..., 0].min(axis=1) - shape[:, 0].max() - squares.x_mm
        x1 = solids.corners[..., 0].max(axis=1) - shape[:, 0].min() - squares.x_mm
        a, b = (np.clip(x, 0, wide).astype(np.int64) for x in (np.floor(x0 / step), np.ceil(x1 / step)))
        wanted = np.zeros(len(row), dtype=bool)
        for down in (
            (0,) if in_the_middle else (0, 1)
        ):  # a line is the lower side of a row and the upper of one
            at = np.clip(row - down, 0, squares.rows - 1) * wide
            wanted |= before[at + b[solid]] > before[at + a[solid]]
        solid, row = solid[wanted], row[wanted]
    y = squares.y_mm + (row + 0.5 if in_the_middle else row) * step
    nx, rest = normals[solid, :, 0], heights[solid] - WITHIN_MM - normals[solid, :, 1] * y[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        x = rest / nx
    level = np.abs(nx) <= FLAT
    x[level] = np.where(rest[level] >= 0, np.inf, -np.inf)
    to_right = nx >= -FLAT
    right = np.where(to_right, x, np.inf).min(axis=1)
    left = np.where(to_right, -np.inf, x).max(axis=1)
    if in_the_middle:
        a = np.clip(np.ceil((left - squares.x_mm) / step - 0.5), 0, wide)
        b = np.clip(np.floor((right - squares.x_mm) / step + 0.5), 0, wide)
        b[row >= squares.rows] = 0
    else:
        begins = np.clip(np.ceil((left - squares.x_mm) / step), 0, wide + 1)
        ends = np.clip(np.floor((right - squares.x_mm) / step), -1, wide)
        a, b = np.maximum(begins[:-1], begins[1:]), np.minimum(ends[:-1], ends[1:])
        b[(solid[:-1] != solid[1:]) | (row[:-1] + 1 != row[1:])] = -1
    at = np.flatnonzero(b > a)
    first, end = (row[at] * wide + c[at].astype(np.int64) for c in (a, b))
    if before is not None:
        met = before[end] > before[first]
        at, first, end = at[met], first[met], end[met]
    return solids.owner[solid[at]], first, end


def _merged(owner: Numbers, first: Numbers, end: Numbers) -> Runs:
    """Return runs of which no two of one thing overlap or touch."""
    far = int(end.max(initial=0)) + 2
    order = np.lexsort((first, owner))
    owner = owner[order]
    first, end = first[order] + (owner + 1) * far, end[order] + (owner + 1) * far
    reach = np.maximum.accumulate(end)
    begins = np.flatnonzero(np.append(True, first[1:] > reach[:-1])) if len(first) else first
    lasts = np.append(begins[1:], len(first)) - 1 if len(first) else first
    shift = (owner[begins] + 1) * far
    return Runs(owner[begins], first[begins] - shift, reach[lasts] - shift)


@dataclass(frozen=True, slots=True)
class Layer:
    """The strips of one band worth passing, each of one row, a number for each one's cover, and the runs."""

    strips: Strips
    cover: Numbers
    runs: Runs
    things: int


def layer(
    field: Field, squares: Squares, band: Band, worth: Worth, within: Strips | None, names: Numbers
) -> Layer:
    """Return the strips of one band worth passing: of all squares, or within a choice of them.

    `names` are random numbers, one a thing, that sum up to the number of a cover.
    """
    every = field.runs(squares, band, within)
    walls = every.owner < 0
    runs = Runs(every.owner[~walls], every.first[~walls], every.end[~walls])
    rows = np.arange(squares.rows + 1) * squares.columns
    begin, end = (rows[:1], rows[-1:]) if within is None else (within.first, within.end)
    shuts = (every.first[walls], every.end[walls], begin, end)
    places = np.concatenate((runs.first, runs.end, *shuts, rows)).astype(np.int32)
    order = np.argsort(places, kind="stable")
    places = places[order]
    last = np.flatnonzero(places[1:] != places[:-1])  # of what begins or ends at one place

    def summed(there: Numbers, *more: Numbers) -> Numbers:
        """Return the sum that holds from each place on, of what begins and ends at runs, and elsewhere."""
        none = np.zeros(len(places) - 2 * len(there) - sum(map(len, more)), dtype=there.dtype)
        return np.cumsum(np.concatenate((there, -there, *more, none))[order], dtype=there.dtype)[last]

    ones = [np.full(len(p), by, dtype=np.int32) for p, by in zip(shuts, (1, -1, -1, 1), strict=True)]
    keep = summed(np.zeros(len(runs.first), dtype=np.int32), *ones) == -1
    if math.isfinite(worth.limit):
        price = np.minimum(worth.costs, max(worth.limit, 0.0) + 1.0)
        keep &= summed(price[runs.owner]) < worth.limit + ROUNDING
    cover = summed(names[runs.owner])
    return Layer(Strips(places[last][keep], places[last + 1][keep]), cover[keep], runs, len(names))


class Map:
    """A relaxed map over consecutive bands that close the period: nodes are joined strips of one cover.

    `covers` has a row a node and a column a thing, 1 where the thing covers it; `edges` are pairs of nodes.
    """

    def __init__(
        self,
        squares: Squares,
        bands: Bands,
        layers: Sequence[Layer],
        ends: Ends,
        period_deg: float,
        *,
        exactly: bool,
    ) -> None:
        """Take the strips of each band. Where a proof hangs on it, covers are compared `exactly`.

        Raises Mistaken where two that are not the same have the same number.
        """
        self.squares, self.bands = squares, bands
        self.strips = [each.strips for each in layers]
        self.offsets = np.concatenate(([0], np.cumsum([len(s) for s in self.strips])))
        parts = [_parted(each, squares.columns, exactly=exactly) for each in layers]
        first = np.concatenate(([0], np.cumsum([len(p.heads) for p in parts])))
        names = np.concatenate([each.cover[p.heads] for each, p in zip(layers, parts, strict=True)])
        unlike, alike = [p.edges + low for p, low in zip(parts, first[:-1], strict=True)], []
        for k, pairs in self._turning(parts):
            pairs = pairs + first[[k, (k + 1) % len(parts)]]
            same = names[pairs[:, 0]] == names[pairs[:, 1]]
            alike.append(pairs[same])
            unlike.append(pairs[~same])
        count, label = components(int(first[-1]), np.concatenate([*alike, np.empty((0, 2), dtype=np.int64)]))
        self.node_of = np.concatenate([label[p.part + low] for p, low in zip(parts, first[:-1], strict=True)])
        self.edges = _distinct(np.concatenate([label[e] for e in unlike]), count)
        self.count = count
        first_of = np.unique(label, return_index=True)[1]
        held = [_held(each, p.heads) for each, p in zip(layers, parts, strict=True)]
        covers = vstack(held, format="csr")
        del held
        self.covers = covers[first_of]
        if exactly and (covers - self.covers[label]).nnz:
            raise Mistaken
        self.ends = tuple(self.nodes_at(turn_deg, place, period_deg) for turn_deg, place in ends)
        self._forget()

    def _forget(self) -> None:
        """Forget what was made of the nodes as they were."""
        self._graph: Relaxed | None = None
        self._steps: Any = None

    def _turning(self, parts: Sequence[Parts]) -> Iterator[tuple[int, Pairs]]:
        """Yield for each band the pairs of its parts and of the next one's that have a square in common."""
        for k, mine in enumerate(self.strips):
            after = (k + 1) % len(parts)
            if after == k or len(mine) == 0 or len(self.strips[after]) == 0:
                continue
            i, j = mine.common(self.strips[after]).T
            wide = len(parts[after].heads)
            keys = _once(parts[k].part[i].astype(np.int64) * wide + parts[after].part[j])
            yield k, np.stack(np.divmod(keys, wide), axis=1)

    def nodes_at(self, turn_deg: float, place: Point, period_deg: float) -> set[int]:
        """Return the nodes a pose lies in, at the edge of a band in those of both."""
        found: set[int] = set()
        for k, (a, b) in enumerate(self.bands):
            turn = a + (turn_deg - a) % period_deg
            if turn > b + SAME_TURN_DEG and turn - period_deg < a - SAME_TURN_DEG:
                continue
            for square in self.squares.at(place):
                at = self.strips[k].holding(square)
                if at is not None:
                    found.add(int(self.node_of[self.offsets[k] + at]))
        return found - {-1}

    @property
    def masks(self) -> list[int]:
        """Return for each node the bits of what covers it."""
        masks: list[int] = []
        for low in range(0, self.count, AT_ONCE):
            held = np.packbits(self.covers[low : low + AT_ONCE].toarray() > 0, axis=1, bitorder="little")
            masks += [int.from_bytes(row.tobytes(), "little") for row in held]
        return masks

    @property
    def graph(self) -> Relaxed:
        """Return its nodes as a graph to flood and cut."""
        if self._graph is None:
            self._graph = Relaxed(self.masks, self.edges, *self.ends)
        return self._graph

    def way(self, price: Array) -> list[int] | None:
        """Return the things on a cheap way from end to end, None where there is none.

        A step pays for what covers its end and not its beginning: a thing left and met again is paid twice.
        Things whose price is infinite are not passed.
        """
        starts, goals = (sorted(end) for end in self.ends)
        if not starts or not goals:
            return None
        if self._steps is None:
            self._steps = self._met_by_steps()
        rise, fall, arcs = self._steps
        paid = np.minimum(price, NEVER)[: self.covers.shape[1]]
        weights = np.concatenate((rise @ paid, fall @ paid)) + PER_STEP
        graph = csr_array((weights[arcs.data], arcs.indices, arcs.indptr), shape=arcs.shape)
        nearest: Any = dijkstra
        away, before, _ = nearest(graph, indices=starts, return_predecessors=True, min_only=True)
        at = min(goals, key=lambda n: away[n])
        if away[at] >= NEVER:
            return None
        passed = []
        while at >= 0:
            passed.append(at)
            at = int(before[at])
        things: list[int] = np.unique(self.covers[passed].indices).tolist()
        return things

    def _met_by_steps(self) -> tuple[Any, Any, Any]:
        """Return what covers the second node of each edge and not the first, the other way round, and arcs.

        The arcs are numbered from 0, those back after those there.
        """
        a, b = self.edges.T
        rise, fall = [], []
        for low in range(0, len(a) or 1, AT_ONCE):
            change = self.covers[b[low : low + AT_ONCE]] - self.covers[a[low : low + AT_ONCE]]
            rise.append(change.maximum(0))
            fall.append((-change).maximum(0))
        number = np.arange(2 * len(a), dtype=np.int32)
        ends = (np.concatenate((a, b)), np.concatenate((b, a)))
        arcs = csr_array((number, ends), shape=(self.count, self.count))
        return vstack(rise, format="csr"), vstack(fall, format="csr"), arcs

    def choice(self, turn_deg: float, squares: Squares) -> Strips:
        """Return the squares, as wide or half as wide, in what is kept of the band a turn lies in."""
        k = next(i for i, (a, b) in enumerate(self.bands) if a <= turn_deg <= b)
        kept = np.flatnonzero(self.node_of[self.offsets[k] : self.offsets[k + 1]] >= 0)
        first, end = self.strips[k].first[kept], self.strips[k].end[kept]
        if squares.columns != self.squares.columns:
            row, column = np.divmod(first, self.squares.columns)
            corner = 2 * row * squares.columns + 2 * column
            both = np.concatenate((corner, corner + squares.columns))
            order = np.argsort(both)
            first, end = both[order], (both + np.tile(2 * (end - first), 2))[order]
        begins = np.append(True, first[1:] != end[:-1])[: len(first)]
        lasts = np.append(begins[1:], True)[: len(first)]
        return Strips(first[begins], end[lasts])

    def kept(self) -> int:
        """Return how many strips are kept."""
        return int((self.node_of >= 0).sum())

    def pruned(self, worth: Worth) -> Map:
        """Return the map without what is not, or no longer, worth passing, or not joined with both ends."""
        paid = self.covers @ np.minimum(worth.costs, NEVER)[: self.covers.shape[1]]
        keep = paid < worth.limit
        joined = self.edges[keep[self.edges].all(axis=1)]
        _, part = components(self.count, joined)
        starts, goals = ({int(part[n]) for n in end if keep[n]} for end in self.ends)
        keep &= np.isin(part, list(starts & goals))
        if keep.all():
            return self
        number = np.where(keep, np.cumsum(keep, dtype=np.int32) - 1, np.int32(-1))
        found = copy.copy(self)
        found.node_of = np.where(self.node_of < 0, np.int32(-1), number[self.node_of])
        found.edges = number[self.edges[keep[self.edges].all(axis=1)]]
        found.covers = self.covers[np.flatnonzero(keep)]
        found.count = int(keep.sum())
        found.ends = tuple({int(number[n]) for n in end if keep[n]} for end in self.ends)
        found._forget()
        return found


@dataclass(frozen=True, slots=True)
class Parts:
    """Joined strips of one cover in one band: the part of each strip, one strip of each part, and pairs of
    unlike parts that meet."""

    part: Numbers
    heads: Numbers
    edges: Pairs


def _held(each: Layer, strips: Numbers) -> Any:
    """Return what covers some strips of a band: a row a strip."""
    places = each.strips.first[strips]
    order = np.argsort(places).astype(np.int32)
    low = np.searchsorted(places[order], each.runs.first)
    sizes = np.searchsorted(places[order], each.runs.end) - low
    at, thing = _each(low, sizes), np.repeat(each.runs.owner, sizes)
    ones = np.ones(len(at), dtype=np.float32)
    return csr_array((ones, (order[at], thing.astype(np.int32))), shape=(len(places), each.things))


def _parted(each: Layer, wide: int, *, exactly: bool) -> Parts:
    """Return the parts of one band. Raises Mistaken."""
    strips, cover = each.strips, each.cover
    beside = np.flatnonzero((strips.first[1:] == strips.end[:-1]) & (strips.first[1:] % wide != 0))
    along = np.stack((beside, beside + 1), axis=1)
    pairs = np.concatenate((along.astype(np.int32), strips.common(strips, wide)))
    same = cover[pairs[:, 0]] == cover[pairs[:, 1]]
    count, label = components(len(strips), pairs[same])
    heads = np.unique(label, return_index=True)[1]
    if exactly:
        held = _held(each, np.arange(len(strips)))
        if (held - held[heads][label]).nnz:
            raise Mistaken
    return Parts(label, heads, _distinct(label[pairs[~same]], count))


def _once(keys: Numbers) -> Numbers:
    """Return whole numbers sorted, each once: quicker here than by a table of them."""
    keys = np.sort(keys)
    return keys[np.append(True, keys[1:] != keys[:-1])[: len(keys)]]


def _distinct(pairs: Pairs, count: int) -> Pairs:
    """Return each pair of whole numbers below `count` once, the lower first."""
    pairs = np.sort(pairs, axis=1).astype(np.int64)
    keys = _once(pairs[:, 0] * count + pairs[:, 1])
    return np.stack(np.divmod(keys, max(count, 1)), axis=1).astype(np.int32)


def relaxed(
    field: Field,
    bands: Bands,
    ends: Ends,
    period_deg: float,
    worth: Worth,
    stop: Stop,
    *,
    step_mm: float,
    coarser: Map | None = None,
    halved: bool = False,
) -> Map:
    """Return the relaxed map over consecutive bands that close the period.

    Squares are `step_mm` wide, or as wide (or half as wide) as those of a `coarser` map, and only made in
    what that kept. What is not worth passing is left out. Raises Stopped.
    """
    squares = coarser.squares.divided(2 if halved else 1) if coarser else field.squares(step_mm)
    count = int(field.solids.owner.max(initial=-1)) + 1
    for seed in itertools.count(1):  # drawn again where two covers were mistaken for one: all but never
        names = np.random.default_rng(seed).integers(2**64, size=count, dtype=np.uint64)
        layers = []
        for band in bands:
            if stop():
                raise Stopped
            within = None if coarser is None else coarser.choice((band[0] + band[1]) / 2, squares)
            layers.append(layer(field, squares, band, worth, within, names))
        with suppress(Mistaken):
            found = Map(squares, bands, layers, ends, period_deg, exactly=not field.sketch)
            return found.pruned(worth)
    raise AssertionError
