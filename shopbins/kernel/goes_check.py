"""The second leg of every `no`: plain numbers and separating axes, nothing of the search and no overlay.

Every obstacle is a line: a wall, where just outside is no floor, or an edge of a hole or thing. A line blocks
a place when the body, standing there, overlaps it on every separating axis. A `does not go` gives regions by
bands of turns; shown is, for the body taken half as much smaller as the search took it:

* walls: every edge of every region is covered, end to end, by lines that block the core of its band;
* gates: at each turn where bands end or begin, one point of every free part of the slice (its edges run along
  edges of grown lines) lies in both or in neither of the regions below and those above, but for slivers;
* ends: the start is in a region, the goal in none.

A way from start to goal would have to leave the regions through a wall or a gate, so there is none. The whole
proof is in docs/floor.md. `nowhere` shows in the same way that a body can stand nowhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Band = tuple[float, float]

# Overlap asked beyond touching: a hundred times the rounding at 10 km, a thousandth of half the inset.
WITHIN_MM = 1e-6
JUST_OUTSIDE_MM = 1e-5
SAME_TURN_DEG = 1e-9
WIDEST_DEG = 90.0
# A place free for the body told leaves a disc of 0.001 mm free for the body taken: an edge of 0.00628 mm.
SLIVERS_MM = 0.006
FAR_MM = 2e7


class Refused(Exception):  # noqa: N818 - an outcome, not a fault
    """The certificate does not show what it should; the message says where it fails."""


# -- what stands in the way ----------------------------------------------------------------------------


def walls_of(rooms: Sequence[Any]) -> Array:
    """Return the parts (n, 2, 2) of the rooms' edges just outside of which no other room is."""
    arrays = [np.asarray(o, float) for o in rooms]
    arrays = [r if _area(r) > 0 else r[::-1] for r in arrays]
    found = [w for i, room in enumerate(arrays) for w in _walls(room, arrays[:i] + arrays[i + 1 :])]
    return _longer(np.concatenate(found))


def edges_of(outlines: Sequence[Any]) -> Array:
    """Return the edges (n, 2, 2) of outlines."""
    if not outlines:
        return np.empty((0, 2, 2))
    return _longer(np.concatenate([_edges(np.asarray(o, float)) for o in outlines]))


def _longer(lines: Array) -> Array:
    kept: Array = lines[np.hypot(*(lines[:, 1] - lines[:, 0]).T) > 1e-9]
    return kept


def _walls(room: Array, others: Sequence[Array]) -> list[Array]:
    edges = _edges(room)
    if not others:
        return [edges]
    found = []
    for a, b in _longer(edges):
        d = b - a
        out = np.array((d[1], -d[0])) / math.hypot(*d) * JUST_OUTSIDE_MM
        cuts = [0.0, 1.0]
        for other in others:
            for p, q in _edges(other):
                e = q - p
                det = d[0] * e[1] - d[1] * e[0]
                if det != 0.0:
                    w = p - (a + out)
                    t = (w[0] * e[1] - w[1] * e[0]) / det
                    if 0.0 < t < 1.0:
                        cuts.append(t)
        at = np.unique(cuts)
        middle = a + out + ((at[:-1] + at[1:]) / 2)[:, None] * d
        wall = ~np.any([inside([other], middle) for other in others], axis=0)
        found += [
            np.array([[a + t0 * d, a + t1 * d]]) for t0, t1, w in zip(at[:-1], at[1:], wall, strict=True) if w
        ]
    return found


# -- the body ------------------------------------------------------------------------------------------


def _cores(pieces: Sequence[Array], from_deg: float, to_deg: float) -> list[Array]:
    found = [core(piece, from_deg, to_deg) for piece in pieces]
    kept = [c for c in found if c is not None]
    if not kept:
        raise Refused("nothing is left of the body over a band")
    return kept


def core(piece: Array, from_deg: float, to_deg: float) -> Array | None:
    """Return the corners of a convex shape inside a convex piece at every turn of a band, if there is one.

    The piece turns about the origin. A side the origin lies within is cut off by its tangents at both ends of
    the band and the chord between; of a side the origin lies beyond, an end of the band is always innermost.
    """
    half = math.radians(to_deg - from_deg) / 2
    middle = math.radians((from_deg + to_deg) / 2)
    n = _normals(piece)
    h = (n * piece).sum(axis=1)
    if half == 0.0:
        normals, heights = _turned(n, middle), h
    else:
        within = h > 0
        normals = np.concatenate(
            (_turned(n, middle - half), _turned(n[within], middle), _turned(n, middle + half))
        )
        heights = np.concatenate((h, h[within] * math.cos(half), h))
    i, j = _pairs(len(normals))
    det = normals[i, 0] * normals[j, 1] - normals[i, 1] * normals[j, 0]
    i, j, det = i[det != 0], j[det != 0], det[det != 0]
    x = (heights[i] * normals[j, 1] - heights[j] * normals[i, 1]) / det
    y = (heights[j] * normals[i, 0] - heights[i] * normals[j, 0]) / det
    corners = np.stack((x, y), axis=1)
    corners = corners[np.hypot(x, y) < FAR_MM]
    return hull(corners[(corners @ normals.T <= heights + 1e-9).all(axis=1)])


def hull(points: Array) -> Array | None:
    """Return the corners of the convex hull, counter-clockwise, less those within 1e-7 mm of an edge."""
    if len(points) < 3:
        return None
    pts = sorted({(round(float(x), 9), round(float(y), 9)) for x, y in points})  # no order by rounding alone

    def chain(run: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
        out: list[tuple[float, float]] = []
        for p in run:
            while len(out) > 1 and _left_of(out[-2], out[-1], p) <= 0:
                out.pop()
            out.append(p)
        return out[:-1]

    ring = chain(pts) + chain(reversed(pts))
    found: list[tuple[float, float]] = []
    for k, p in enumerate(ring):  # only now: a corner left out while there are more beyond it may be the last
        q, r = found[-1] if found else ring[-1], ring[(k + 1) % len(ring)]
        if _left_of(q, p, r) > 1e-7 * math.dist(q, r):
            found.append(p)
    return np.array(found) if len(found) > 2 else None


def _left_of(a: tuple[float, float], b: tuple[float, float], p: tuple[float, float]) -> float:
    """Return twice the area of the triangle, above 0 where p lies left of the way from a to b."""
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


class Grown:
    """Lines grown by mirrored convex shapes, as half planes: where a shape stands on a line."""

    def __init__(self, lines: Array, shapes: Sequence[Array]) -> None:
        """Take lines (n, 2, 2) and the corners (m, 2) of each shape."""
        self.lines, self.shapes = lines, shapes
        along = lines[:, 1] - lines[:, 0]
        self.side = _aside(along) / np.hypot(*along.T)[:, None]
        normals, heights, boxes = zip(*(self._grown(s) for s in shapes), strict=True)
        most = max(h.shape[1] for h in heights)  # half planes said twice change nothing
        self.normals = np.concatenate([_padded(n, most) for n in normals])
        self.heights = np.concatenate([_padded(h, most) for h in heights])
        self.boxes = np.concatenate(boxes)

    def _grown(self, shape: Array) -> tuple[Array, Array, Array]:
        lines, side = self.lines, self.side
        n = _mirrored(shape)
        own = np.einsum("nej,mj->nem", lines, n).max(axis=1) + (-shape @ n.T).max(axis=0)
        at_side = (lines[:, 0] * side).sum(axis=1)
        left, right = (-shape @ side.T).max(axis=0), (shape @ side.T).max(axis=0)
        normals = np.concatenate(
            (np.broadcast_to(n, (len(lines), len(n), 2)), side[:, None], -side[:, None]), axis=1
        )
        heights = np.concatenate((own, (at_side + left)[:, None], (right - at_side)[:, None]), axis=1)
        boxes = np.concatenate(
            (lines.min(axis=1) - shape.max(axis=0), lines.max(axis=1) - shape.min(axis=0)), axis=1
        )
        return normals, heights, boxes

    def edges(self, box: Array) -> Array:
        """Return lines (k, 2, 2) that hold every edge of every grown line that may reach into a box."""
        found = [edges for k, shape in enumerate(self.shapes) for edges in self._edges(k, shape, box)]
        edges = np.concatenate(found)
        boxes = np.concatenate((edges.min(axis=1), edges.max(axis=1)), axis=1)
        kept: Array = edges[_meet(boxes, box)]
        return kept

    def _edges(self, k: int, shape: Array, box: Array) -> Iterator[Array]:
        count = len(self.lines)
        near = _meet(self.boxes[k * count : (k + 1) * count], box)
        lines, side = self.lines[near], self.side[near]
        ends = np.einsum("nej,mj->nem", lines, _mirrored(shape))
        moved = -_edges(shape)
        for e in (0, 1):
            which, m = np.nonzero(ends[:, e] >= ends[:, 1 - e] - 1e-6)
            yield lines[which, e][:, None] + moved[m]
        for s in (side, -side):
            yield lines - shape[(-shape @ s.T).argmax(axis=0)][:, None]

    def uncovered(self, queries: Array) -> tuple[Array, Array]:
        """Return a point (n, 2) in each part of the query lines that no grown line covers, and its length."""
        q, o = self._near(queries)
        low, high = self._spans(queries, q, o)
        keep = low < high
        q, low, high = q[keep], low[keep], high[keep]
        whole = np.zeros(len(queries), bool)
        whole[q[(low <= 0.0) & (high >= 1.0)]] = True
        open_ = ~whole[q]
        q, low, high = q[open_], low[open_], high[open_]
        order = np.lexsort((low, q))
        q, low, high = q[order], low[order], high[order]
        reach, last = _reached(q, high), np.append(q[1:] != q[:-1], True)[: len(q)]
        before = np.where(np.append(True, last[:-1])[: len(q)], 0.0, np.roll(reach, 1))
        gaps, ends = np.flatnonzero(low > before), np.flatnonzero(last & (reach < 1.0))
        whole[q] = True
        bare = np.flatnonzero(~whole)
        at = np.concatenate((q[gaps], q[ends], bare))
        begin = np.concatenate((before[gaps], reach[ends], np.zeros(len(bare))))
        end = np.concatenate((low[gaps], np.ones(len(ends) + len(bare))))
        a, d = queries[at, 0], queries[at, 1] - queries[at, 0]
        return a + d * ((begin + end) / 2)[:, None], np.hypot(*d.T) * (end - begin)

    def holds(self, queries: Array) -> Any:
        """Tell for each query line (a point is one without length) whether a grown line holds part of it."""
        q, o = self._near(queries)
        low, high = self._spans(queries, q, o)
        found = np.zeros(len(queries), bool)
        found[q[low < high]] = True
        return found

    def _near(self, queries: Array) -> tuple[Any, Any]:
        """Return pairs of query lines and grown lines whose boxes meet."""
        boxes = np.concatenate((queries.min(axis=1), queries.max(axis=1)), axis=1)
        qs, os = [], []
        for first in range(0, len(queries), 512):
            some = boxes[first : first + 512, None]
            meet = (some[..., 0] <= self.boxes[:, 2]) & (some[..., 2] >= self.boxes[:, 0])
            meet &= (some[..., 1] <= self.boxes[:, 3]) & (some[..., 3] >= self.boxes[:, 1])
            q, o = np.nonzero(meet)
            qs.append(q + first)
            os.append(o)
        return np.concatenate(qs), np.concatenate(os)

    def _spans(self, queries: Array, q: Any, o: Any) -> tuple[Array, Array]:
        """Return from where to where, 0 to 1, each query runs inside each grown line, `WITHIN_MM` deep."""
        low, high = np.zeros(len(q)), np.ones(len(q))
        for first in range(0, len(q), 65536):
            part = slice(first, first + 65536)
            n, h = self.normals[o[part]], self.heights[o[part]] - WITHIN_MM
            a = np.einsum("pmj,pj->pm", n, queries[q[part], 0]) - h
            b = np.einsum("pmj,pj->pm", n, queries[q[part], 1]) - h
            with np.errstate(divide="ignore", invalid="ignore"):
                t = a / (a - b)
            low[part] = np.where((a > 0) & (b <= 0), t, np.where((a > 0) & (b > 0), 2.0, 0.0)).max(axis=1)
            high[part] = np.where((a <= 0) & (b > 0), t, 1.0).min(axis=1)
        return low, high


def _reached(q: Any, high: Array) -> Array:
    """Return of spans, sorted by their queries, the farthest end so far of each one's query."""
    if len(q) == 0:
        return high
    order = np.argsort(high, kind="stable")  # places of ends, not ends, are added to: nothing is rounded
    place = np.empty(len(q), dtype=np.int64)
    place[order] = np.arange(len(q))
    farthest: Array = high[order[np.maximum.accumulate(q * len(q) + place) - q * len(q)]]
    return farthest


def _mirrored(shape: Array) -> Array:
    """Return the outward normals of a shape mirrored through the origin."""
    return -_normals(shape)


def _padded(planes: Array, most: int) -> Array:
    """Return half planes (n, m, ...) with the last said again until there are `most` a line."""
    again = np.repeat(planes[:, -1:], most - planes.shape[1], axis=1)
    return np.concatenate((planes, again), axis=1)


# -- the checks ----------------------------------------------------------------------------------------


class Cell:
    """One band of turns and one region: rings (n, 2), outer and holes alike."""

    def __init__(self, from_deg: float, to_deg: float, rings: Sequence[Any]) -> None:
        """Keep the rings as arrays."""
        self.from_deg, self.to_deg = float(from_deg), float(to_deg)
        self.rings = [np.asarray(r, float) for r in rings]
        every = np.concatenate(self.rings)
        self.box = np.concatenate((every.min(axis=0), every.max(axis=0)))

    def holds(self, place: Any, turn_deg: float, period_deg: float) -> bool:
        """Tell whether a place of the body's centre, at a turn, lies in the region."""
        off = (turn_deg - self.from_deg + SAME_TURN_DEG * 1e3) % period_deg
        within = off <= self.to_deg - self.from_deg + SAME_TURN_DEG * 2e3
        return within and bool(inside(self.rings, np.asarray(place, float)[None])[0])


@dataclass(frozen=True, slots=True)
class Shut:
    """What is claimed: the body, convex pieces about its centre, stays in the cells from its start on.

    `start` and `goal` are turns and places of its centre.
    """

    pieces: Sequence[Array]
    period_deg: float
    cells: Sequence[Cell]
    start: tuple[float, tuple[float, float]]
    goal: tuple[float, tuple[float, float]]


def check(lines: Array, claim: Shut, stop: Callable[[], bool] = lambda: False) -> bool:
    """Show that a claim holds among these lines; raise Refused where it does not. False: stopped."""
    cells = claim.cells
    if not all(0 < c.to_deg - c.from_deg <= WIDEST_DEG for c in cells):
        raise Refused("a band is empty or too wide")
    if not any(c.holds(claim.start[1], claim.start[0], claim.period_deg) for c in cells):
        raise Refused("the start is in no region")
    if any(c.holds(claim.goal[1], claim.goal[0], claim.period_deg) for c in cells):
        raise Refused("the goal is in a region")
    for band, some in _by_band(cells).items():
        if stop():
            return False
        _check_walls(lines, _cores(claim.pieces, *band), some)
    for turn_deg, below, above in _gates(cells, claim.period_deg):
        if stop():
            return False
        _check_gate(lines, _cores(claim.pieces, turn_deg, turn_deg), turn_deg, below, above)
    return True


def nowhere(
    lines: Array, pieces: Sequence[Array], turn_deg: float, smaller_mm: float, taken: Callable[[Array], Any]
) -> bool:
    """Tell whether a body, convex pieces about its centre and so much smaller than told, stands nowhere.

    `taken` tells of points (n, 2) which lie off the floor or in something. Where the body stands clear of
    every line its centre tells where all of it is, and every part of such places has an edge to look at.
    """
    try:
        shapes = _cores(pieces, turn_deg, turn_deg)
    except Refused:
        return False
    every = np.array((-FAR_MM, -FAR_MM, FAR_MM, FAR_MM))
    grown = Grown(lines, shapes)
    points, lengths = grown.uncovered(grown.edges(every))
    return bool(lengths[~taken(points)].sum() < 6 * smaller_mm)  # a disc that small has a longer edge


def off_floor(rooms: Sequence[Any], solids: Sequence[Any]) -> Callable[[Array], Any]:
    """Return a function that tells which points lie in no room or in a solid."""
    floors = [np.asarray(o, float) for o in rooms]
    things = [np.asarray(o, float) for o in solids]

    def taken(points: Array) -> Any:
        on = np.zeros(len(points), bool)
        for room in floors:
            on |= inside([room], points)
        for thing in things:
            on &= ~inside([thing], points)
        return ~on

    return taken


def _by_band(cells: Iterable[Cell]) -> dict[Band, list[Cell]]:
    found: dict[Band, list[Cell]] = {}
    for c in cells:
        found.setdefault((c.from_deg, c.to_deg), []).append(c)
    return found


def _check_walls(lines: Array, shapes: Sequence[Array], cells: Sequence[Cell]) -> None:
    edges = np.concatenate([_edges(r) for c in cells for r in c.rings])
    points, _ = Grown(_near(lines, shapes, _box(cells)), shapes).uncovered(edges)
    if len(points):
        raise Refused(f"wall: free at turns {cells[0].from_deg:g} to {cells[0].to_deg:g} near {points[0]}")


def _gates(cells: Sequence[Cell], period: float) -> list[tuple[float, list[Cell], list[Cell]]]:
    """Return each turn where bands end or begin, the cells that end there and those that begin."""
    marks = sorted(
        [(c.to_deg % period, 0, i) for i, c in enumerate(cells)]
        + [(c.from_deg % period, 1, i) for i, c in enumerate(cells)]
    )
    groups: list[list[tuple[float, int, int]]] = []
    for mark in marks:
        if groups and mark[0] - groups[-1][0][0] <= SAME_TURN_DEG:
            groups[-1].append(mark)
        else:
            groups.append([mark])
    if len(groups) > 1 and groups[0][0][0] + period - groups[-1][0][0] <= SAME_TURN_DEG:
        groups[0] += groups.pop()
    return [
        (g[0][0], [cells[i] for _, k, i in g if k == 0], [cells[i] for _, k, i in g if k == 1])
        for g in groups
    ]


def _check_gate(
    lines: Array, shapes: Sequence[Array], turn_deg: float, below: list[Cell], above: list[Cell]
) -> None:
    box = _box([*below, *above])
    grown = Grown(_near(lines, shapes, box), shapes)
    points, lengths = grown.uncovered(grown.edges(box))
    differ = _in_any(below, points) != _in_any(above, points)
    if lengths[differ].sum() >= SLIVERS_MM:
        raise Refused(f"gate: free at turn {turn_deg:g} near {points[differ.argmax()]}, on one side only")


def _near(lines: Array, shapes: Sequence[Array], box: Array) -> Array:
    every = np.concatenate(shapes)
    boxes = np.concatenate(
        (lines.min(axis=1) - every.max(axis=0), lines.max(axis=1) - every.min(axis=0)), axis=1
    )
    kept: Array = lines[_meet(boxes, box)]
    return kept


# -- small things --------------------------------------------------------------------------------------


def inside(rings: Sequence[Array], points: Array) -> Any:
    """Tell for each point whether a way out of it crosses the rings an odd number of times."""
    odd = np.zeros(len(points), bool)
    for ring in rings:
        a, b = ring, _next(ring)
        for first in range(0, len(points), 2048):
            x, y = points[first : first + 2048, :1], points[first : first + 2048, 1:]
            spans = (a[:, 1] > y) != (b[:, 1] > y)
            with np.errstate(divide="ignore", invalid="ignore"):
                at = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
            odd[first : first + 2048] ^= (spans & (x < at)).sum(axis=1) % 2 == 1
    return odd


def _in_any(cells: Sequence[Cell], points: Array) -> Any:
    found = np.zeros(len(points), bool)
    for c in cells:
        near = np.flatnonzero(
            (points[:, 0] >= c.box[0])
            & (points[:, 0] <= c.box[2])
            & (points[:, 1] >= c.box[1])
            & (points[:, 1] <= c.box[3])
        )
        found[near] |= inside(c.rings, points[near])
    return found


def _edges(ring: Array) -> Array:
    edges = np.empty((len(ring), 2, 2))
    edges[:, 0], edges[:, 1] = ring, _next(ring)
    return edges


@cache
def _pairs(count: int) -> Any:
    """Return the places of the first and of the second of every two of so many."""
    return np.triu_indices(count, 1)


def _next(ring: Array) -> Array:
    """Return the corner after each."""
    return np.concatenate((ring[1:], ring[:1]))


def _normals(ring: Array) -> Array:
    """Return the outward normals of the sides."""
    d = _next(ring) - ring
    normals: Array = _aside(d) / np.hypot(d[:, 0], d[:, 1])[:, None]
    return normals


def _aside(ways: Array) -> Array:
    """Return ways (n, 2) turned a quarter to the right."""
    aside = np.empty((len(ways), 2))
    aside[:, 0], aside[:, 1] = ways[:, 1], -ways[:, 0]
    return aside


def _area(ring: Array) -> float:
    x, y = (ring - ring[0]).T
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2)


def _turned(points: Array, radians: float) -> Array:
    c, s = math.cos(radians), math.sin(radians)
    turned: Array = points @ np.array(((c, s), (-s, c)))
    return turned


def _box(cells: Sequence[Cell]) -> Array:
    boxes = np.array([c.box for c in cells])
    return np.concatenate((boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)))


def _meet(boxes: Array, box: Array) -> Any:
    return (
        (boxes[:, 0] <= box[2]) & (boxes[:, 2] >= box[0]) & (boxes[:, 1] <= box[3]) & (boxes[:, 3] >= box[1])
    )
