"""How far it is to walk in a room, round what stands there. Plain Python.

The way is the shortest of a point: straight, or bent at corners of outlines. It is found lazily: the
shortest way round the outlines met so far is looked at against all of them, and those it meets are added; a
way that is shortest round some and meets none of the others is the shortest of all.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shopbins.geometry.shapes import Outline, Point, bounds, contains

HAIR_MM = 0.05
MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Walk:
    """A way: its length, its corners, and which of the outlines it goes round (their places in the list)."""

    length_mm: float
    points: tuple[Point, ...]
    round: tuple[int, ...]


class Walkable:
    """The floor of a room with what stands on it, ready to be asked for ways."""

    def __init__(self, room: Outline, outlines: Sequence[Outline]) -> None:
        """Take the room's outline and those of what stands there, all counter-clockwise."""
        self._outline = room
        self._over: dict[Point, set[int]] = {}
        self._free: dict[bool, list[Point]] = {}
        self._walls = _inner_corners(room)
        self._room = _grown(room, HAIR_MM / 5)
        # Grown by a hair, so that nobody walks between what touches; gone round a hair further out.
        self._things = [_grown(each, HAIR_MM) for each in outlines]
        self._boxes = [bounds(each) for each in self._things]
        self._corners = [
            [p for p in _grown(each, 2 * HAIR_MM) if contains(self._room, p)] for each in outlines
        ]
        self._of = {p: k for k, corners in enumerate(self._corners) for p in corners}
        self._kept: dict[Hashable, Walk | None] = {}

    def corners(self, *, own: bool) -> list[Point]:
        """Return the room's corners that are free, and (unless `own`) those of what stands there."""
        if own not in self._free:
            spots = list(self._outline) if own else [*self._outline, *(p for c in self._corners for p in c)]
            self._free[own] = list(dict.fromkeys(p for p in spots if self.free(p)))
        return self._free[own]

    def free(self, p: Point) -> bool:
        """Tell whether nothing stands over a point."""
        return not self._holding(p)

    def walk(self, start: Point, goal: Point) -> Walk | None:
        """Return the shortest way; None where there is none. What holds an end is not in the way."""
        key = (start, goal)
        if key not in self._kept:
            self._kept[key] = self._walk(start, goal)
        return self._kept[key]

    def _holding(self, p: Point) -> set[int]:
        """Return which things stand over a point."""
        if p not in self._over:
            x, y = p
            self._over[p] = {
                k
                for k, (x0, y0, x1, y1) in enumerate(self._boxes)
                if x0 <= x <= x1 and y0 <= y <= y1 and contains(self._things[k], p)
            }
        return self._over[p]

    def _meets(self, p: Point, q: Point, among: Iterable[int]) -> set[int]:
        """Return which things, of those named, a line runs into."""
        box = bounds((p, q))
        return {k for k in among if box.touches(self._boxes[k]) and _crosses(p, q, self._things[k])}

    def _walk(self, start: Point, goal: Point) -> Walk | None:
        ends = self._holding(start) | self._holding(goal)
        others = [k for k in range(len(self._things)) if k not in ends]
        known: set[int] = set()
        for _ in range(MOST_ROUNDS):
            path = self._round(start, goal, known)
            if path is None:
                return None
            new = {k for p, q in pairwise(path) for k in self._meets(p, q, others)} - known
            if not new:
                length = sum(math.dist(p, q) for p, q in pairwise(path))
                bends = {self._of[p] for p in path[1:-1] if p in self._of}
                return Walk(length, tuple(path), tuple(sorted(bends)))
            known |= new
        return None

    def _round(self, start: Point, goal: Point, known: set[int]) -> list[Point] | None:
        """Return the shortest way round the known outlines (A*: straight distance to the goal)."""
        nodes = [start, goal, *self._walls, *(p for k in sorted(known) for p in self._corners[k])]
        best: dict[Point, float] = {}
        came: dict[Point, Point] = {}
        heap: list[tuple[float, float, Point]] = [(math.dist(start, goal), 0.0, start)]
        done: set[Point] = set()
        while heap:
            _, far, here = heapq.heappop(heap)
            if here == goal:
                path = [goal]
                while path[-1] != start:
                    path.append(came[path[-1]])
                return path[::-1]
            if here in done:
                continue
            done.add(here)
            for to in nodes:
                longer = far + math.dist(here, to)
                if to in done or to == here or longer >= best.get(to, math.inf) - 1e-9:
                    continue
                if (self._walls and _crosses(here, to, self._room)) or self._meets(here, to, known):
                    continue
                best[to], came[to] = longer, here
                heapq.heappush(heap, (longer + math.dist(to, goal), longer, to))
        return None


def _grown(outline: Outline, by_mm: float) -> Outline:
    """Return an outline (counter-clockwise) with each side so much further out."""
    found = []
    for i, (x, y) in enumerate(outline):
        (ax, ay), (bx, by) = outline[i - 1], outline[(i + 1) % len(outline)]
        before, after = math.hypot(x - ax, y - ay), math.hypot(bx - x, by - y)
        if before == 0 or after == 0:
            found.append((x, y))
            continue
        n0 = (y - ay) / before, (ax - x) / before
        n1 = (by - y) / after, (x - bx) / after
        share = by_mm / max(0.05, 1 + n0[0] * n1[0] + n0[1] * n1[1])
        found.append((x + (n0[0] + n1[0]) * share, y + (n0[1] + n1[1]) * share))
    return tuple(found)


def _crosses(p: Point, q: Point, outline: Outline) -> bool:
    """Tell whether a line crosses the edge of an outline (or touches it)."""
    (px, py), (qx, qy) = p, q
    dx, dy = qx - px, qy - py
    ax, ay = outline[-1]
    side = dx * (ay - py) - dy * (ax - px)
    for bx, by in outline:
        other = dx * (by - py) - dy * (bx - px)
        if side * other <= 0 and (side != 0 or other != 0):
            ex, ey = bx - ax, by - ay
            if (ex * (py - ay) - ey * (px - ax)) * (ex * (qy - ay) - ey * (qx - ax)) <= 0:
                return True
        ax, ay, side = bx, by, other
    return False


def _inner_corners(room: Outline) -> list[Point]:
    """Return the corners of an outline (counter-clockwise) that stand out into it."""
    found = []
    for i, b in enumerate(room):
        a, c = room[i - 1], room[(i + 1) % len(room)]
        if (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) < -1e-6:
            found.append(b)
    return found
