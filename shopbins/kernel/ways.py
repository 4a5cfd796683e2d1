"""How much of a walkway is left beside what stands in it, and between which two things.

The walkway is a strip about a line; what stands in it is clipped to it, and the clear width is that of the
widest disc that can still pass along: the least, over every chain of things from one edge of the strip to the
other, of the chain's widest gap. Two boxes opposite each other pinch, two far apart along the way do not.
Every width is a distance between two outlines, exact to rounding. Plain Python.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.convex import convex_parts
from shopbins.geometry.corridor import TOLERANCE_MM, Corridor, clipped, within
from shopbins.geometry.exact import area_mm2, overlap
from shopbins.geometry.features import Feature, Gaps, Link, feature
from shopbins.geometry.segments import segment_gap
from shopbins.geometry.shapes import Outline, Point, bounds, contains


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What is left of a way at one place, where, and the places of the things of the chain that narrows it.

    `between` are the two the gap lies between (None: an edge of the way) with their nearest `points`.
    """

    clear_mm: float
    at_mm: Point
    chain: tuple[int, ...]
    between: tuple[int | None, int | None]
    points: tuple[Point, Point]


def reaching(way: Corridor, outlines: Sequence[Outline]) -> list[int]:
    """Return the places of the outlines that reach into a way by more than rounding."""
    return [k for k, outline in enumerate(outlines) if _reaches(way, outline)]


def _reaches(way: Corridor, outline: Outline) -> bool:
    if len(outline) == 2:
        spans = (within(outline[0], outline[1], piece) for piece in way.pieces)
        return any(high > low for low, high in spans)
    return any(overlap(outline, piece, TOLERANCE_MM) for piece in way.pieces)


def narrowings(way: Corridor, outlines: Sequence[Outline]) -> list[Narrowing]:
    """Return one narrowing for each chain of things that narrows the way, narrowest first."""
    web = _Web(way, outlines, reaching(way, outlines))
    found: dict[frozenset[int], Narrowing] = {}
    for k in web.there:
        each = web.through(k)
        if each is not None:
            found.setdefault(frozenset(each.chain), each)
    return sorted(found.values(), key=lambda n: (n.clear_mm, n.at_mm))


def past(way: Corridor, outlines: Sequence[Outline]) -> Narrowing | None:
    """Return what is left past the first outline, with the others there; None if it is not in the way."""
    if not outlines or not _reaches(way, outlines[0]):
        return None
    box = bounds(outlines[0])
    near = [k for k, o in enumerate(outlines) if k == 0 or bounds(o).gap_mm(box) < way.width_mm]
    there = [k for k in near if k == 0 or _reaches(way, outlines[k])]
    return _Web(way, outlines, there).through(0)


def at_most_past(way: Corridor, outline: Outline) -> float:
    """Return what is left past an outline at the most, by its corners in the way alone; infinite where none
    is.

    That is quick; its edges, and whatever else stands there, leave as much or less.
    """
    there = [p for p in outline if any(contains(piece, p) for piece in way.pieces)]
    if not (there and way.left and way.right):
        return math.inf
    return max(min(segment_gap(p, a, b)[0] for p in there for a, b in edge) for edge in (way.left, way.right))


class _Web:
    """The clipped pieces of what stands in a way, the way's edges, and the gaps between them."""

    def __init__(self, way: Corridor, outlines: Sequence[Outline], there: Sequence[int]) -> None:
        self.way = way
        self.there = there
        self.owner: list[int] = []
        found: list[Feature] = []
        for k in there:
            for cut in _cuts(outlines[k], way):
                self.owner.append(k)
                found.append(feature("", cut))
        self.count = len(found)
        self.sides: list[int] = []  # of the edges' features: 0 left, 1 right
        for side, edge in enumerate((way.left, way.right)):
            self.sides += [side] * len(edge)
            found += [feature("", each) for each in edge]
        self.gaps = Gaps(found)

    def through(self, thing: int) -> Narrowing | None:
        """Return the narrowest chain of things that holds this one, from edge to edge."""
        mine = [k for k, owner in enumerate(self.owner) if owner == thing]
        if not mine:
            return None
        ways = [self._widest_gap(mine, side) for side in (0, 1)]
        worst = max((link for link, _ in ways), key=lambda link: link.width_mm)
        # The chain's things on the side that is shut anyway add nothing: the gap's own two ends matter.
        chain = dict.fromkeys((thing, *(self.owner[k] for _, by in ways for k in by)))
        (ax, ay), (bx, by) = worst.point_a, worst.point_b
        ends = sorted((worst.first, worst.second), key=lambda k: (k < self.count, k))
        points = (worst.point_a, worst.point_b) if ends[0] == worst.first else (worst.point_b, worst.point_a)
        between = (self._name(ends[0]), self._name(ends[1]))
        at = ((ax + bx) / 2, (ay + by) / 2)
        return Narrowing(worst.width_mm, at, tuple(chain), between, points)

    def _name(self, k: int) -> int | None:
        return self.owner[k] if k < self.count else None

    def _widest_gap(self, start: Sequence[int], side: int) -> tuple[Link, list[int]]:
        """Return the least possible widest gap on a chain from the start pieces to an edge, and the chain."""
        edge = [self.count + i for i, each in enumerate(self.sides) if each == side]
        if not edge:  # a way that turns back on itself: nothing bounds it here
            at = self.gaps.features[start[0]].points[0]
            return Link(self.way.width_mm, start[0], start[0], at, at), []
        goal, limit = -1, math.inf
        best: dict[int, float] = dict.fromkeys(start, -math.inf)
        came: dict[int, int] = {}
        worst: dict[int, Link] = {}
        heap = [(-math.inf, k) for k in start]
        boxes = self.gaps.features
        while heap:
            so_far, k = heapq.heappop(heap)
            if k == goal:
                break
            if so_far > best[k]:
                continue
            for other in (*edge, *range(self.count)):
                if other == k or boxes[k].box.gap_mm(boxes[other].box) >= limit:
                    continue
                link = self.gaps.link(min(k, other), max(k, other))
                to = goal if other >= self.count else other
                widest = max(so_far, link.width_mm)
                if widest < best.get(to, math.inf):
                    best[to], came[to] = widest, k
                    before = worst.get(k)
                    worst[to] = link if before is None or link.width_mm >= before.width_mm else before
                    heapq.heappush(heap, (widest, to))
                    if to == goal:
                        limit = widest
        chain, k = [], goal
        while k in came:
            k = came[k]
            chain.append(k)
        return worst[goal], chain


def _cuts(outline: Outline, way: Corridor) -> list[Outline]:
    """Return the convex parts of an outline (or of a wall of two points) that lie in the way."""
    found: list[Outline] = []
    if len(outline) == 2:
        (ax, ay), (bx, by) = outline
        for piece in way.pieces:
            low, high = within(outline[0], outline[1], piece)
            if high > low:
                found.append(tuple((ax + t * (bx - ax), ay + t * (by - ay)) for t in (low, high)))
        return found
    for part, floor in itertools.product(convex_parts(outline), way.pieces):
        cut = clipped(part, floor)
        if len(cut) >= 3 and area_mm2(cut) > 0.0:
            found.append(cut)
    return found
