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
from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.floor.convex import cached_parts
from shopbins.floor.exact import area_mm2, box_gap_mm, gap, line_gap, overlap
from shopbins.floor.shapes import Box, Outline, Point, bounds, contains
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


@dataclass(frozen=True, slots=True)
class Corridor:
    """A way's floor as convex pieces, with its two long edges."""

    line: tuple[Point, ...]
    width_mm: float
    pieces: tuple[Outline, ...]
    left: tuple[Point, ...]
    right: tuple[Point, ...]
    box: Box


def corridor(line: Sequence[Point], width_mm: float) -> Corridor:
    """Return the floor of a way: flat at its ends, mitred at its bends."""
    pts = tuple(p for i, p in enumerate(line) if i == 0 or math.dist(p, line[i - 1]) > TOLERANCE_MM)
    half = width_mm / 2
    left = tuple(_mitre(pts, i, half) for i in range(len(pts)))
    right = tuple(_mitre(pts, i, -half) for i in range(len(pts)))
    quads = ((right[i], right[i + 1], left[i + 1], left[i]) for i in range(len(pts) - 1))
    pieces = tuple(part for quad in quads for part in cached_parts(quad))
    return Corridor(pts, width_mm, pieces, left, right, bounds([*left, *right]))


def _mitre(pts: Sequence[Point], i: int, off: float) -> Point:
    """Return the point of an edge `off` to the left of the line at its i-th point."""
    normals = [_normal(pts[k], pts[k + 1]) for k in (i - 1, i) if 0 <= k < len(pts) - 1]
    nx, ny = normals[0]
    mx, my = normals[-1]
    # The two offset edges meet at n + m over (1 + n.m); a bend of more than 150 degrees is cut short.
    scale = 1.0 / max(1.0 + nx * mx + ny * my, 0.15)
    x, y = pts[i]
    return x + off * (nx + mx) * scale, y + off * (ny + my) * scale


def _normal(a: Point, b: Point) -> Point:
    length = math.dist(a, b)
    return (a[1] - b[1]) / length, (b[0] - a[0]) / length


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

    def _reach(self, k: int, edge: Sequence[Point]) -> float:
        return max(_line_distance(p, edge) for p in self.piece[k])

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
            between = line_gap(self.piece[b], edge)
        else:
            between = gap(self.piece[a], self.piece[b])
        (ax, ay), (bx, by) = between.point_a, between.point_b
        return max(0.0, between.distance_mm), ((ax + bx) / 2, (ay + by) / 2)


def _line_distance(p: Point, line: Sequence[Point]) -> float:
    from shopbins.floor.segments import segment_gap

    return min(segment_gap(p, a, b)[0] for a, b in itertools.pairwise(line))


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


def on_way(way: Corridor, point: Point) -> bool:
    """Tell whether a point lies on the way's floor."""
    return any(contains(piece, point) for piece in way.pieces)
