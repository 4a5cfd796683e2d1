"""The search that joins start and goal by checked motions, or shows that no cells join them."""

from __future__ import annotations

import heapq
import itertools
import math
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import shapely

from shopbins.geometry.shapes import Point
from shopbins.kernel.goes_cells import NARROWEST_DEG, Cell, Piece, Space
from shopbins.kernel.goes_links import link
from shopbins.kernel.sweep import Sweep

STUCK = 1e6
WORKERS = 2
FEW = 50
"""Among fewer things the slices are not worth threads: two that take turns cost more than they bring."""
DETOURS = 2

Node = tuple[int, int]  # number of a piece, lap


class Stopped(Exception):  # noqa: N818 - not an error: the caller's time is up
    """The time limit passed or the caller cancelled."""


class Stop:
    """Asked now and then: is time up, or did the caller give up? And how long is left?

    `most_steps` ends a search after so many askings, on a slow machine where it does on a quick one.
    """

    def __init__(
        self,
        limit_s: float | None = None,
        cancelled: Callable[[], bool] | None = None,
        most_steps: int | None = None,
    ) -> None:
        """Begin the time now."""
        self.steps, self.most_steps = 0, most_steps
        self.began = time.perf_counter()
        self.until = math.inf if limit_s is None else self.began + limit_s
        self.cancelled = cancelled

    def __call__(self) -> bool:
        """Tell whether to stop before the next step."""
        self.steps += 1
        return (self.most_steps is not None and self.steps > self.most_steps) or self.late()

    def late(self) -> bool:
        """Tell whether time is up or the caller gave up; no step is counted."""
        return self.left_s() < 0 or (self.cancelled is not None and self.cancelled())

    def left_s(self) -> float:
        """Return how many seconds are left, negative where time is up."""
        return self.until - time.perf_counter()

    def spent_s(self) -> float:
        """Return how many seconds are gone."""
        return time.perf_counter() - self.began


@dataclass(frozen=True, slots=True)
class Motion:
    """A checked motion between two pieces: where it leaves and enters, and how far it turns."""

    leaves: Point
    enters: Point
    turns_deg: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a way: from piece to piece, laps on, by a checked motion or (with a cell) perhaps."""

    a: Node
    b: Node
    lap: int
    cell: Cell | None


@dataclass(frozen=True, slots=True)
class End:
    """Start or goal: its piece, lap and place of the body's centre."""

    piece: Piece
    lap: int
    place: Point


class Search:
    """One question on one space; `run` answers True (joined), False (surely apart) or None (too fine)."""

    def __init__(
        self,
        space: Space,
        sweep: Sweep,
        centre: Point,
        ends: tuple[End, End],
        laps: int,
        coarse: Sequence[int],
        stop: Stop,
    ) -> None:
        """Take the prepared ends; `coarse` slices are tried alone first; `stop` is asked between steps."""
        self.space = space
        self.sweep = sweep
        self.centre = centre
        self.start, self.goal = ends
        self.stop = stop
        self.laps = laps
        self.coarse = coarse
        self.known: dict[int, Piece] = {}
        self.motions: dict[tuple[int, int, int], Motion | None] = {}
        self.joins: dict[int, list[tuple[int, int]]] = {}
        self.reached: list[tuple[Cell, int]] = []
        self.rounds = 0

    def run(self, *, doubtful: bool = False) -> bool | None:
        """Decide; raises Stopped. Where it is `doubtful`, no quick way is looked for first."""
        everything = range(len(self.space.turns_deg))
        if not doubtful and (self._quick(self.coarse) or self._quick(everything)):
            return True
        self._fill()
        while True:
            self._check_time()
            self.rounds += 1
            way = self._cheapest()
            if way is None:
                return False
            unsure = [s for s in way if s.cell is not None]
            if not unsure:
                return True
            failed = [s.cell for s in unsure if s.cell is not None and not self._try(s)]
            if any(c.width_deg < NARROWEST_DEG for c in failed):
                return None
            self._split(list(dict.fromkeys(failed)))

    def motions_on_way(self) -> list[tuple[Piece, Motion | None]]:
        """Return the pieces from start to goal, each with the motion that leaves it (None at the last)."""
        way = self._cheapest(only_checked=True)
        if way is None:
            raise AssertionError("asked for the way before one was found")
        found: list[tuple[Piece, Motion | None]] = []
        for step in way:
            found.append((self.known[step.a[0]], self.motions[step.a[0], step.b[0], step.lap]))
        found.append((self.goal.piece, None))
        return found

    def reached_from_goal(self) -> list[tuple[Cell, int]]:
        """Return the cells, each with its lap, that the goal reaches, as `reached` does of the start."""
        stack: list[Any] = [(self.goal.piece.number, self.goal.lap)]
        seen = set(stack)
        self._know(self.goal.piece)
        while stack:
            onward = {other for other, _, _ in self._onward(stack.pop(), only_checked=False)} - seen
            seen |= onward
            stack += onward
        return [node for node in seen if isinstance(node[0], Cell)]

    def _check_time(self) -> None:
        if self.stop():
            raise Stopped

    # -- the quick way: neighbouring slices only, nothing proved --------------------------------------------

    def _quick(self, places: Sequence[int]) -> bool:
        """Join start and goal through overlapping pieces of neighbouring slices, nearest turn first."""
        space = self.space
        count = len(places)
        place_of: dict[float, int] = {space.turns_deg[place]: i for i, place in enumerate(places)}
        goal_node = (self.goal.piece.number, self.goal.lap)
        self._know(self.goal.piece)
        self._know(self.start.piece)
        goal_at = place_of[self.goal.piece.turn_deg] + count * self.goal.lap
        total = count * self.laps

        def left(piece: Piece, lap: int) -> int:
            away: int = abs(place_of[piece.turn_deg] + count * lap - goal_at) % total
            return min(away, total - away)

        tie = itertools.count()
        queue = [(left(self.start.piece, self.start.lap), next(tie), 0, self.start.piece, self.start.lap)]
        seen = {(self.start.piece.number, self.start.lap)}
        while queue:
            _, _, steps, piece, lap = heapq.heappop(queue)
            if (piece.number, lap) == goal_node:
                return True
            self._check_time()
            for other, step in self._beside(piece, place_of[piece.turn_deg], places):
                node = (other.number, (lap + step) % self.laps)
                if node in seen or not self._join(piece, other, step):
                    continue
                seen.add(node)
                heapq.heappush(
                    queue, (steps + 1 + left(other, node[1]), next(tie), steps + 1, other, node[1])
                )
        return False

    def _beside(self, piece: Piece, at: int, places: Sequence[int]) -> Iterator[tuple[Piece, int]]:
        """Yield the pieces of the slices on either side that overlap this one, with the lap step."""
        for step in (1, -1):
            to = (at + step) % len(places)
            lap = 1 if step == 1 and to <= at else -1 if step == -1 and to >= at else 0
            beside = self.space.pieces_at(places[to])
            if beside:
                shapely.prepare(piece.polygon)
                for other, meets in zip(beside, _meeting(piece, beside), strict=True):
                    if meets and other is not piece:
                        yield other, lap

    # -- the thorough way: cells --------------------------------------------------------------------------

    def _fill(self) -> None:
        """Compute all base slices and bands, two at a time where that is much work, then join them."""
        space = self.space
        count = len(space.turns_deg)

        def compute(place: int) -> None:
            if not self.stop.late():
                space.slicer.free(space.turns_deg[place], space.turns_deg[place], space.crowd)
                space.slicer.free(*space.band(place)[:2], space.crowd)

        if len(space.crowd.outlines) < FEW:
            for place in range(count):
                compute(place)
        else:
            with ThreadPoolExecutor(WORKERS) as pool:
                list(pool.map(compute, range(count)))
        self._check_time()
        for place in range(count):
            space.make_cells(place)

    def _split(self, cells: Sequence[Cell]) -> None:
        space = self.space
        _ = space.local  # made once, before the threads ask for it
        if len(cells) == 1 or len(space.crowd.outlines) < FEW:
            for cell in cells:
                space.split(cell, space.cut(cell))
            return
        with ThreadPoolExecutor(WORKERS) as pool:
            cuts = list(pool.map(space.cut, cells))
        for cell, cut in zip(cells, cuts, strict=True):
            space.split(cell, cut)

    def _cheapest(self, only_checked: bool = False) -> list[Step] | None:
        """Return the steps of the cheapest way; each a checked motion, or a passage through a cell."""
        first, last = (self.start.piece.number, self.start.lap), (self.goal.piece.number, self.goal.lap)
        self._know(self.start.piece)
        best: dict[Any, float] = {first: 0.0}
        came: dict[Any, tuple[Any, int]] = {}
        tie = itertools.count()
        queue: list[tuple[float, int, Any]] = [(0.0, next(tie), first)]
        while queue:
            cost, _, node = heapq.heappop(queue)
            if cost > best[node]:
                continue
            if node == last:
                return _steps(came, first, last)
            for other, lap, more in self._onward(node, only_checked):
                if cost + more < best.get(other, math.inf):
                    best[other] = cost + more
                    came[other] = (node, lap)
                    heapq.heappush(queue, (cost + more, next(tie), other))
        self.reached = [(n[0], n[1]) for n in best if isinstance(n[0], Cell)]
        return None

    def _onward(self, node: Any, only_checked: bool) -> Iterator[tuple[Any, int, float]]:
        """Yield what a piece or cell leads to, the laps that adds, and the price."""
        if isinstance(node[0], Cell):
            cell, lap = node
            price = STUCK if cell.width_deg < NARROWEST_DEG else 1.0 + cell.depth
            for piece, step in cell.members:
                self._know(piece)
                yield (piece.number, (lap + step) % self.laps), step, price
            return
        number, lap = node
        for other, step in self.joins.get(number, ()):
            yield (other, (lap + step) % self.laps), step, 1e-3
        if not only_checked:
            for cell, step in self.known[number].cells:
                yield (cell, (lap - step) % self.laps), -step, 0.0

    # -- joining -------------------------------------------------------------------------------------------

    def _know(self, piece: Piece) -> None:
        self.known.setdefault(piece.number, piece)

    def _try(self, step: Step) -> bool:
        """Try a motion through a cell between two of its members.

        Two members at the same end of the band may be one at its other end, so go there and come back.
        """
        a, b = self.known[step.a[0]], self.known[step.b[0]]
        if a is b or step.cell is None:
            return False
        if b.turn_deg + step.lap * self.space.period_deg != a.turn_deg:
            return self._join(a, b, step.lap, briefly=True)
        own = next(lap for p, lap in step.cell.members if p is a)
        here = a.turn_deg + own * self.space.period_deg
        across = [
            (p, lap) for p, lap in step.cell.members if p.turn_deg + lap * self.space.period_deg != here
        ]
        across.sort(key=lambda m: -m[0].polygon.area)
        return any(
            self._join(a, p, lap - own, briefly=True) and self._join(p, b, own - lap, briefly=True)
            for p, lap in across[:DETOURS]
        )

    def _join(self, a: Piece, b: Piece, lap: int, *, briefly: bool = False) -> bool:
        """Check a motion from a to b (b a number of laps on), remembering the outcome both ways."""
        key = (a.number, b.number, lap)
        if key in self.motions:
            return self.motions[key] is not None
        self._know(a)
        self._know(b)
        end_deg = b.turn_deg + lap * self.space.period_deg
        found = None
        if end_deg != a.turn_deg:
            found = link(self.sweep, self.centre, a, a.turn_deg, b, end_deg, briefly=briefly)
        back = (b.number, a.number, -lap)
        if found is None:
            self.motions[key] = self.motions[back] = None
            return False
        turns = end_deg - a.turn_deg
        self.motions[key] = Motion(found[0], found[1], turns)
        self.motions[back] = Motion(found[1], found[0], -turns)
        self.joins.setdefault(a.number, []).append((b.number, lap))
        self.joins.setdefault(b.number, []).append((a.number, -lap))
        return True


def _meeting(piece: Piece, others: Sequence[Piece]) -> Any:
    return shapely.intersects(piece.polygon, [o.polygon for o in others])


def _steps(came: dict[Any, tuple[Any, int]], first: Any, last: Any) -> list[Step]:
    """Return the steps that lead to the last node, in order."""
    steps: list[Step] = []
    at = last
    while at != first:
        before, lap = came[at]
        cell = None
        if isinstance(before[0], Cell):
            cell = before[0]
            before, more = came[before]
            lap += more
        steps.append(Step(before, at, lap, cell))
        at = before
    return steps[::-1]
