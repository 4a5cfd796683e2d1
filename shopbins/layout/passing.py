"""How much of a way is left beside what stands in it.

The way is a centre line and a width; what stands in it is clipped to it, and the clear width is that of the
widest disc that can still pass along: the least, over every chain of things from one edge of the way to the
other, of the chain's widest gap. Two boxes opposite each other pinch, two boxes far apart along the way do
not.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.floor.convex import cached_parts
from shopbins.floor.exact import area_mm2, box_gap_mm, gap, line_gap, overlap
from shopbins.floor.segments import segment_gap
from shopbins.floor.shapes import Box, Outline, Point, bounds, counter_clockwise
from shopbins.layout.standing import Standing

_LEFT, _RIGHT = -1, -2
TOLERANCE_MM = 0.001


@dataclass(frozen=True, slots=True)
class Pinch:
    """What is left of a way at one place: how wide, where, and the things of the chain that narrows it.

    `into_mm` is how far the thing asked about (else the chain's deepest) reaches into the way.
    """

    clear_mm: float
    at_mm: Point
    chain: tuple[Standing, ...]
    into_mm: float


Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Corridor:
    """A way's floor as convex pieces, and the pieces of its two long edges."""

    line: tuple[Point, ...]
    width_mm: float
    pieces: tuple[Outline, ...]
    left: tuple[Segment, ...]
    right: tuple[Segment, ...]
    box: Box


def corridor(line: Sequence[Point], width_mm: float) -> Corridor:
    """Return the floor of a way: flat at its ends, mitred at its bends.

    Each stretch is a rectangle, each bend has a wedge on its outer side; of their edges what lies inside
    another piece is no edge of the way, so short stretches in a bend do no harm.
    """
    pts = tuple(p for i, p in enumerate(line) if i == 0 or math.dist(p, line[i - 1]) > TOLERANCE_MM)
    half = width_mm / 2
    pieces: list[Outline] = []
    edges: dict[int, list[Segment]] = {_LEFT: [], _RIGHT: []}
    for a, b in itertools.pairwise(pts):
        left, right = (
            (_beside(a, b, a, half), _beside(a, b, b, half)),
            (_beside(a, b, a, -half), _beside(a, b, b, -half)),
        )
        pieces.append((right[0], right[1], left[1], left[0]))
        edges[_LEFT].append(left)
        edges[_RIGHT].append(right)
    for a, b, c in zip(pts, pts[1:], pts[2:], strict=False):
        side, wedge = _wedge(a, b, c, half)
        if len(wedge) >= 3:
            pieces.append(counter_clockwise(wedge))
            edges[side] += list(itertools.pairwise(wedge[1:]))
    kept = {side: tuple(_outside(each, pieces)) for side, each in edges.items()}
    box = bounds(p for piece in pieces for p in piece)
    return Corridor(pts, width_mm, tuple(pieces), kept[_LEFT], kept[_RIGHT], box)


def _beside(a: Point, b: Point, at: Point, off: float) -> Point:
    """Return the point `off` to the left of the stretch a-b, beside a point of it."""
    length = math.dist(a, b)
    return at[0] + off * (a[1] - b[1]) / length, at[1] + off * (b[0] - a[0]) / length


def _wedge(a: Point, b: Point, c: Point, half: float) -> tuple[int, Outline]:
    """Return the outer side of a bend and the floor there: the bend, and the edge from stretch to stretch.

    A bend of more than 120 degrees is cut straight across instead of running to a point.
    """
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    side, off = (_RIGHT, -half) if cross > 0 else (_LEFT, half)
    p, q = _beside(a, b, b, off), _beside(b, c, b, off)
    if math.dist(p, q) <= TOLERANCE_MM:
        return side, ()
    mx, my = p[0] + q[0] - 2 * b[0], p[1] + q[1] - 2 * b[1]
    square = mx * mx + my * my
    if square < half * half:
        return side, (b, p, q)
    scale = 2 * half * half / square
    return side, (b, p, (b[0] + mx * scale, b[1] + my * scale), q)


def _outside(segments: Sequence[Segment], pieces: Sequence[Outline]) -> Iterator[Segment]:
    """Go through the parts of edges that lie in no piece."""
    for a, b in segments:
        spans = [(0.0, 1.0)]
        for piece in pieces:
            low, high = _within(a, b, piece)
            if high - low > 1e-9:
                cut = (span for u, v in spans for span in ((u, min(v, low)), (max(u, high), v)))
                spans = [(u, v) for u, v in cut if v - u > 1e-9]
        for u, v in spans:
            yield (
                (a[0] + u * (b[0] - a[0]), a[1] + u * (b[1] - a[1])),
                (a[0] + v * (b[0] - a[0]), a[1] + v * (b[1] - a[1])),
            )


def _within(a: Point, b: Point, convex: Outline) -> tuple[float, float]:
    """Return from where to where, between 0 and 1, a-b runs inside a convex outline by more than rounding."""
    low, high = 0.0, 1.0
    for (ux, uy), (vx, vy) in zip(convex, (*convex[1:], convex[0]), strict=True):
        length = math.hypot(vx - ux, vy - uy)
        da = ((vx - ux) * (a[1] - uy) - (vy - uy) * (a[0] - ux)) / length - TOLERANCE_MM
        db = ((vx - ux) * (b[1] - uy) - (vy - uy) * (b[0] - ux)) / length - TOLERANCE_MM
        if da <= 0.0 and db <= 0.0:
            return 0.0, 0.0
        if da <= 0.0:
            low = max(low, da / (da - db))
        elif db <= 0.0:
            high = min(high, da / (da - db))
    return low, high


def standing_in(way: Corridor, bodies: Sequence[Standing]) -> list[Standing]:
    """Return the bodies that reach into a way by more than rounding."""
    return [b for b in bodies if any(overlap(b.outline, piece, TOLERANCE_MM) for piece in way.pieces)]


def narrowest(way: Corridor, bodies: Sequence[Standing]) -> list[Pinch]:
    """Return one pinch for each chain of things that narrows the way, narrowest first."""
    web = _Web(way, standing_in(way, bodies))
    found: dict[frozenset[str], Pinch] = {}
    for body in web.bodies:
        pinch = web.through(body)
        if pinch is None:
            continue
        key = frozenset(b.subject for b in pinch.chain)
        if key not in found:
            found[key] = pinch
    return sorted(found.values(), key=lambda p: (p.clear_mm, p.at_mm))


def left_beside(way: Corridor, body: Standing, others: Sequence[Standing]) -> Pinch | None:
    """Return what is left of the way past one thing, with the others there; None if it is not in the way."""
    if not standing_in(way, [body]):
        return None
    near = [o for o in others if box_gap_mm(o.box, body.box) < way.width_mm]
    return _Web(way, [body, *standing_in(way, near)]).through(body)


class _Web:
    """The clipped pieces of what stands in a way, the way's edges, and the gaps between them."""

    def __init__(self, way: Corridor, bodies: Sequence[Standing]) -> None:
        self.way = way
        self.bodies = list(bodies)
        self.owner: list[int] = []
        self.piece: list[Outline] = []
        self.boxes: list[Box] = []
        for i, body in enumerate(self.bodies):
            for part, floor in itertools.product(cached_parts(body.outline), way.pieces):
                cut = clipped(part, floor)
                if len(cut) >= 3 and area_mm2(cut) > 0.0:
                    self.owner.append(i)
                    self.piece.append(cut)
                    self.boxes.append(bounds(cut))
        self._gaps: dict[tuple[int, int], tuple[float, Point]] = {}

    def through(self, body: Standing) -> Pinch | None:
        """Return the narrowest chain of things that holds this body, from edge to edge."""
        mine = [k for k, i in enumerate(self.owner) if self.bodies[i] is body]
        if not mine:
            return None
        to_left, by_left = self._widest_gap(mine, _LEFT)
        to_right, by_right = self._widest_gap(mine, _RIGHT)
        gap_mm, at = max(to_left, to_right)
        chain = {body.subject: body}
        for k in (*by_left, *by_right):
            other = self.bodies[self.owner[k]]
            chain.setdefault(other.subject, other)
        # The chain's things on the side that is shut anyway add nothing: the gap's own two ends matter.
        return Pinch(max(0.0, gap_mm), at, tuple(chain.values()), self._into(mine))

    def _into(self, mine: Sequence[int]) -> float:
        """Return how far pieces reach in from the edge they come from."""
        deepest = [
            max(self._reach(k, self.way.left) for k in mine),
            max(self._reach(k, self.way.right) for k in mine),
        ]
        return min(self.way.width_mm, min(deepest))

    def _reach(self, k: int, edge: Sequence[Segment]) -> float:
        return max(min(segment_gap(p, a, b)[0] for a, b in edge) for p in self.piece[k]) if edge else math.inf

    def _widest_gap(self, start: Sequence[int], goal: int) -> tuple[tuple[float, Point], list[int]]:
        """Return the least possible widest gap on a chain from the start pieces to an edge, and the chain."""
        best: dict[int, float] = dict.fromkeys(start, -math.inf)
        came: dict[int, int] = {}
        worst: dict[int, tuple[float, Point]] = {k: (-math.inf, self.piece[k][0]) for k in start}
        heap = [(-math.inf, k) for k in start]
        limit = math.inf
        while heap:
            so_far, k = heapq.heappop(heap)
            if k == goal:
                break
            if so_far > best[k]:
                continue
            for other in (goal, *range(len(self.piece))):
                if other == k or (other >= 0 and box_gap_mm(self.boxes[k], self.boxes[other]) >= limit):
                    continue
                step = self._gap(k, other)
                widest = max(so_far, step[0])
                if widest < best.get(other, math.inf):
                    best[other] = widest
                    came[other] = k
                    worst[other] = max(worst[k], step)
                    heapq.heappush(heap, (widest, other))
                    if other == goal:
                        limit = widest
        chain, k = [], goal
        while k in came:
            k = came[k]
            chain.append(k)
        return worst[goal], chain

    def _gap(self, a: int, b: int) -> tuple[float, Point]:
        key = (a, b) if a < b else (b, a)
        found = self._gaps.get(key)
        if found is None:
            found = self._gaps[key] = self._work_out_gap(*key)
        return found

    def _work_out_gap(self, a: int, b: int) -> tuple[float, Point]:
        if a < 0:
            edge = self.way.left if a == _LEFT else self.way.right
            if not edge:  # a way that turns back on itself: nothing bounds it here
                return self.way.width_mm, self.piece[b][0]
            between = min((line_gap(self.piece[b], each) for each in edge), key=lambda g: g.distance_mm)
        else:
            between = gap(self.piece[a], self.piece[b])
        (ax, ay), (bx, by) = between.point_a, between.point_b
        return max(0.0, between.distance_mm), ((ax + bx) / 2, (ay + by) / 2)


def clipped(convex: Outline, by: Outline) -> Outline:
    """Return the part of one convex outline that lies in another (Sutherland and Hodgman, 1974)."""
    pts = list(convex)
    ax, ay = by[-1]
    for bx, by_ in by:
        if not pts:
            break
        kept: list[Point] = []
        sides = [(bx - ax) * (p[1] - ay) - (by_ - ay) * (p[0] - ax) for p in pts]
        for i, p in enumerate(pts):
            q, side, before = pts[i - 1], sides[i], sides[i - 1]
            if (side > 0) != (before > 0) and side != before:
                t = before / (before - side)
                kept.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
            if side > 0:
                kept.append(p)
        pts = kept
        ax, ay = bx, by_
    return tuple(pts)
