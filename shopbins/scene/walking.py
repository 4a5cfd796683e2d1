"""How far it is to walk in a room, round what stands there.

The way is the shortest of a point: straight, or bent at corners of outlines. It is found lazily: the
shortest way round the outlines met so far is looked at against all of them, and those it meets are added; a
way that is shortest round some and meets none of the others is the shortest of all.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from shopbins.geometry.shapes import Outline, Point

HAIR_MM = 0.05
MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Walk:
    """A way: its length, its corners, and which of the outlines it goes round (their places in the list)."""

    length_mm: float
    points: tuple[Point, ...]
    round: tuple[int, ...]


class Ground:
    """The floor of a room with what stands on it, ready to be asked for ways."""

    def __init__(self, room: Outline, outlines: Sequence[Outline]) -> None:
        """Take the room's outline and those of what stands there."""
        import shapely

        self._shapely = shapely
        self.room, self.outlines = room, outlines
        self._floor = shapely.Polygon(room).buffer(HAIR_MM / 5)
        shapely.prepare(self._floor)
        plain = [shapely.Polygon(each) for each in outlines]
        # Grown by a hair, so that nobody walks between what touches; gone round a hair further out.
        self._things = [each.buffer(HAIR_MM, join_style="mitre") for each in plain]
        self._corners = [list(self._ring(each)) for each in plain]
        self._of = {p: k for k, corners in enumerate(self._corners) for p in corners}
        self._tree = shapely.STRtree(self._things)
        self._walls = _inner_corners(room)
        self._kept: dict[Hashable, Walk | None] = {}

    def _ring(self, thing: Any) -> Iterator[Point]:
        """Go through the corners to go round a thing by that are in the room."""
        for x, y in thing.buffer(2 * HAIR_MM, join_style="mitre").exterior.coords[:-1]:
            if self._holds((x, y)):
                yield x, y

    def _holds(self, p: Point) -> bool:
        return bool(self._floor.covers(self._shapely.Point(p)))

    def corners(self) -> list[Point]:
        """Return spots at the corners of what stands there that nothing else stands over."""
        return [p for corners in self._corners for p in corners if self.free(p)]

    def walk(self, start: Point, goal: Point) -> Walk | None:
        """Return the shortest way; None where there is none. What holds an end is not in the way."""
        key = (start, goal)
        if key not in self._kept:
            self._kept[key] = self._walk(start, goal)
        return self._kept[key]

    def free(self, p: Point) -> bool:
        """Tell whether nothing stands over a point."""
        return len(self._holding(p)) == 0

    def _holding(self, p: Point) -> set[int]:
        found = self._tree.query(self._shapely.Point(p), predicate="intersects")
        return {int(each) for each in found}

    def _meets(self, p: Point, q: Point, among: set[int] | None, ends: set[int]) -> set[int]:
        line = self._shapely.LineString((p, q))
        found = {int(each) for each in self._tree.query(line, predicate="intersects")} - ends
        return found if among is None else found & among

    def _walk(self, start: Point, goal: Point) -> Walk | None:
        ends = self._holding(start) | self._holding(goal)
        known: set[int] = set()
        for _ in range(MOST_ROUNDS):
            path = self._round(start, goal, known, ends)
            if path is None:
                return None
            new = {k for p, q in pairwise(path) for k in self._meets(p, q, None, ends)} - known
            if not new:
                length = sum(math.dist(p, q) for p, q in pairwise(path))
                bends = {self._of[p] for p in path[1:-1] if p in self._of}
                return Walk(length, tuple(path), tuple(sorted(bends)))
            known |= new
        return None

    def _round(self, start: Point, goal: Point, known: set[int], ends: set[int]) -> list[Point] | None:
        """Return the shortest way round the known outlines (A*: straight distance to the goal)."""
        nodes = [start, goal, *self._walls, *(p for k in sorted(known) for p in self._corners[k])]
        best: dict[Point, float] = {start: 0.0}
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
                if not self._inside(here, to) or self._meets(here, to, known, ends):
                    continue
                best[to], came[to] = longer, here
                heapq.heappush(heap, (longer + math.dist(to, goal), longer, to))
        return None

    def _inside(self, p: Point, q: Point) -> bool:
        if not self._walls:
            return True  # a room without an inner corner holds every line between its points
        line: Any = self._shapely.LineString((p, q))
        return bool(self._floor.covers(line))


def _inner_corners(room: Outline) -> list[Point]:
    """Return the corners of an outline (counter-clockwise) that stand out into it."""
    found = []
    for i, b in enumerate(room):
        a, c = room[i - 1], room[(i + 1) % len(room)]
        if (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) < -1e-6:
            found.append(b)
    return found
