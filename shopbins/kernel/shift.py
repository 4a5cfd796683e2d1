"""What is the least to shift so that it goes? An implicit hitting set, certified from both sides.

A relaxed map (`shift_graph`) and the exact planner both give cuts: sets of which at least one thing must go.
A least set that meets every cut known bounds the cost from below; a set with which the exact planner finds a
checked path bounds it from above. When the least set itself goes, it is optimal.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from shopbins.geometry.shapes import FloorProblem, Outline, Point, Pose, cleaned
from shopbins.kernel.goes import DOES_NOT_GO, GOES, HAIR_MM, TOO_CLOSE, Answer, Planner, Probe, stopper
from shopbins.kernel.goes_ends import beside_both, from_end_to_end
from shopbins.kernel.goes_links import place_of
from shopbins.kernel.goes_search import Stopped
from shopbins.kernel.ground import Crowd, Slicer
from shopbins.kernel.shift_cover import Cuts, NoCover, bits, members, solve
from shopbins.kernel.shift_graph import Relaxed, Worth, relaxed
from shopbins.kernel.shift_guess import guessed
from shopbins.kernel.steering import ON_THE_SPOT
from shopbins.kernel.swept import swept

CERTAIN = 1e-9
GROW_CALLS = 8
GUESS_OUTSETS_MM = (-60.0, -30.0, -10.0, HAIR_MM, 30.0)
SKETCH_BANDS = 8
SKETCH_TRIES = 4
MANY = 150


@dataclass(frozen=True, slots=True)
class Shift:
    """The least to shift: places in `things`, its cost, and a cost that no set can undercut.

    `optimal` when the two are equal. `path` is checked with those things gone. `shift` is None when no set is
    known that opens the way; `answer` is then `does not go` (whatever is shifted) or `not decided`.
    """

    answer: str
    shift: tuple[int, ...] | None
    cost: float | None
    cost_at_least: float
    optimal: bool
    path: tuple[Pose, ...] = ()
    clearance_mm: float | None = None
    steering: str = str(ON_THE_SPOT)
    seconds: float = 0.0
    reason: str = ""


def least_shift(
    floor: Any,
    holes: Sequence[Outline],
    things: Sequence[Outline],
    body: Outline,
    start: Pose,
    goal: Pose,
    costs: Sequence[float] | None = None,
    *,
    either_way: bool = True,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Shift:
    """Return the things of least total cost whose removal lets the body go, certified or as an interval.

    `costs` are one a thing, finite and not negative (default 1 each, so the count). See `goes` for the rest.
    When time runs out `cost` is what a checked path needs and `cost_at_least` what is proved. Raises
    FloorProblem.
    """
    planner = Planner(floor, holes, body, either_way=either_way)
    return shift_with(planner, things, start, goal, costs, time_limit_s=time_limit_s, cancelled=cancelled)


def shift_with(
    planner: Planner,
    things: Sequence[Outline],
    start: Pose,
    goal: Pose,
    costs: Sequence[float] | None = None,
    *,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Shift:
    """Answer `least_shift` with a planner that keeps its slices."""
    began = time.perf_counter()
    crowd = Crowd([cleaned(t, f"thing {i}") for i, t in enumerate(things)])
    paid = _checked_costs(costs, len(things))
    planner.check_end(Crowd([]), start, "start")
    planner.check_end(Crowd([]), goal, "goal")
    stop = stopper(began, time_limit_s, cancelled)
    found = _Quest(planner, crowd, start, goal, paid, stop).run()
    if found.shift is None and found.reason == TOO_CLOSE:
        found = _from_touching(planner, crowd, start, goal, paid, stop, found)
    return replace(found, seconds=time.perf_counter() - began)


def _from_touching(
    planner: Planner,
    crowd: Crowd,
    start: Pose,
    goal: Pose,
    paid: list[float],
    stop: Callable[[], bool],
    found: Shift,
) -> Shift:
    """Ask again from beside what is touched at an end; what was proved of the whole way still holds."""
    free = beside_both(planner, crowd, start, goal)
    if free is None:
        return found
    again = _Quest(planner, crowd, *free, paid, stop).run()
    if again.shift is None or again.cost is None:
        return found
    optimal = found.cost_at_least >= again.cost - CERTAIN * max(1.0, again.cost)
    return replace(
        again,
        cost_at_least=again.cost if optimal else found.cost_at_least,
        optimal=optimal,
        path=from_end_to_end(again.path, start, goal, free),
        clearance_mm=0.0,
        reason="" if optimal else again.reason or "too close to call in places",
    )


def _checked_costs(costs: Sequence[float] | None, count: int) -> list[float]:
    if costs is None:
        return [1.0] * count
    if len(costs) != count:
        raise FloorProblem(f"costs: {len(costs)} given for {count} things")
    paid = [float(c) for c in costs]
    for i, cost in enumerate(paid):
        if not math.isfinite(cost) or cost < 0:
            raise FloorProblem(f"costs: that of thing {i} is not a finite number of at least 0")
    return paid


class _Quest:
    """One search for the least to shift."""

    def __init__(
        self,
        planner: Planner,
        crowd: Crowd,
        start: Pose,
        goal: Pose,
        costs: list[float],
        stop: Callable[[], bool],
    ) -> None:
        self.planner = planner
        self.crowd = crowd
        self.start, self.goal = start, goal
        self.stop = stop
        self.cuts = Cuts(costs)
        self.best: int | None = None
        self.best_cost = math.inf
        self.path: list[Pose] = []
        self.asked: dict[int, Probe | None] = {}
        self.proved = 0.0

    def run(self) -> Shift:
        """Search until the bounds meet, time is up or nothing more can be proved."""
        reason = ""
        try:
            for thing in self._underfoot():
                self.cuts.add(1 << thing)
            self._close()
        except NoCover:
            if self.best is None:
                reason = "the way is shut whatever is shifted"
                return Shift(DOES_NOT_GO, None, None, math.inf, True, reason=reason)
            self.proved = self.best_cost  # the map leaves out what costs as much as the best
        except Stopped:
            reason = "time was up"
        return self._result(reason)

    def _result(self, reason: str) -> Shift:
        if self.best is None:
            return Shift("not decided", None, None, self.proved, False, reason=reason or TOO_CLOSE)
        answer = self._finished()
        at_least = min(self.proved, self.best_cost)
        optimal = at_least >= self.best_cost - CERTAIN * max(1.0, self.best_cost)
        at_least = self.best_cost if optimal else at_least
        reason = "" if optimal else reason or "too close to call in places"
        shift = tuple(members(self.best))
        return Shift(
            GOES,
            shift,
            self.best_cost,
            at_least,
            optimal,
            answer.path,
            answer.clearance_mm,
            reason=reason,
        )

    def _finished(self) -> Answer:
        """Return the best set's path, shortened and measured."""
        assert self.best is not None
        return self.planner.told(self._left(self.best), self.path)

    def _close(self) -> None:
        """Work the two bounds towards each other."""
        if self._probe(bits(members(self.cuts.least()))) is None and self.best is not None:
            self.proved = self.best_cost
            return
        self._guess()
        if self.best is None:
            probe = self._probe((1 << len(self.crowd.outlines)) - 1)
            if probe is not None and probe.joined is False:
                raise NoCover
        for bands in self._ladder():
            if self._climb(self._map(bands), bands):
                return
            if bands == 1 and len(self.crowd.outlines) > MANY:
                self._sketch()

    def _ladder(self) -> tuple[int, ...]:
        """Return how many bands the maps have, one after the other; the cuts of a coarse one still hold."""
        count = len(self.crowd.outlines)
        return (1, 6, 24) if count <= MANY else (1, 8, 24)

    def _climb(self, graph: Relaxed, bands: int) -> bool:
        """Raise the bound by one map; True when nothing more can be done, False for a finer map."""
        last = bands == self._ladder()[-1]
        while True:
            least, complete = solve(graph, self.cuts, self.stop)
            self.proved = max(self.proved, self.cuts.cost(least))
            if self.proved >= self.best_cost - CERTAIN:
                return True
            if not complete or self.stop():
                raise Stopped
            probe = self._probe(least)
            if probe is None:
                return True
            if probe.joined is not False:
                return True
            if not last:
                return False
            self._cut(least, probe)

    def _underfoot(self) -> list[int]:
        """Return the things that stand where the body starts or ends, which must go whatever else does."""
        found = []
        for i, outline in enumerate(self.crowd.outlines):
            alone = Crowd([outline])
            try:
                self.planner.check_end(alone, self.start, "start")
                self.planner.check_end(alone, self.goal, "goal")
            except FloorProblem:
                found.append(i)
        return found

    def _left(self, shifted: int) -> Crowd:
        return Crowd([o for i, o in enumerate(self.crowd.outlines) if not shifted >> i & 1])

    def _probe(self, shifted: int) -> Probe | None:
        """Ask the exact planner; None when it goes (then the best is kept), else what it found."""
        for thing in self._must_go():
            shifted |= 1 << thing
        if shifted in self.asked:
            return self.asked[shifted]
        probe = self.planner.probe(self._left(shifted), self.start, self.goal, self.stop)
        self.asked[shifted] = probe if probe.poses is None else None
        if probe.poses is None:
            return probe
        needed = self._in_the_way(probe.poses, shifted)
        cost = self.cuts.cost(needed)
        if cost < self.best_cost:
            self.best, self.best_cost, self.path = needed, cost, probe.poses
        return None

    def _must_go(self) -> list[int]:
        return [c.bit_length() - 1 for c in self.cuts.cuts if c & (c - 1) == 0]

    def _in_the_way(self, poses: Sequence[Pose], shifted: int) -> int:
        """Return those of the shifted things that the checked path does not surely miss."""
        way = swept(self.planner.outline, poses)
        shapely.prepare(way)
        gone = members(shifted)
        meets = shapely.intersects(way, [shapely.Polygon(self.crowd.outlines[i]) for i in gone])
        near = [i for i, m in zip(gone, np.atleast_1d(meets).tolist(), strict=True) if m]
        return bits(i for i in near if not self.planner.misses(self.crowd.outlines[i], poses))

    def _guess(self) -> None:
        """Find a good set to begin with: cheap ways over a grid, for bodies made smaller (bold) to larger."""
        ends = self._ends()
        for outset_mm in GUESS_OUTSETS_MM:
            if self.stop():
                raise Stopped
            if -outset_mm >= self.planner.thin_mm:
                continue
            slicer = Slicer(self.planner.ground, self.planner.centred, outset_mm)
            guess = guessed(slicer, self.crowd, self.cuts.costs, ends, self._period())
            if guess is None or self._probe(bits(guess)) is None:
                return

    def _sketch(self) -> None:
        """Look for a better set: the least that opens exact slices, cut further where it is not enough."""
        graph = self._graph(self.planner.slicer(HAIR_MM), SKETCH_BANDS, self._cheaper(), exact_middle=True)
        cuts = Cuts(self.cuts.costs, self.cuts.cuts)
        try:
            for _ in range(SKETCH_TRIES):
                least, complete = solve(graph, cuts, self.stop)
                probe = self._probe(least) if complete else None
                if probe is None or probe.joined is not False:
                    return
                cuts.add(self._blockers(probe, least))
        except NoCover:
            return  # nothing cheaper in the sketch, which proves nothing

    def _map(self, bands: int) -> Relaxed:
        """Return the relaxed map, leaving out what costs no less than the best set known."""
        return self._graph(self.planner.slicer(-HAIR_MM), bands, self._cheaper())

    def _cheaper(self, most: int = 1 << 30) -> Worth:
        """Return the test of a cover: does it cost less than the best set known now?"""
        return Worth(np.asarray(self.cuts.costs), self.best_cost - CERTAIN, most)

    def _period(self) -> float:
        return self.planner.period_deg if self.planner.laps == 1 else 360.0

    def _ends(self) -> tuple[tuple[float, Point], tuple[float, Point]]:
        """Return the turn and the place of the body's centre at start and goal."""
        first, last = ((p.turn_deg, place_of(p, self.planner.centre)) for p in (self.start, self.goal))
        return first, last

    def _graph(self, slicer: Slicer, count: int, worth: Worth, exact_middle: bool = False) -> Relaxed:
        period = self._period()
        turns = {round(k * period / count, 9) for k in range(count)}
        if count > 1:
            turns |= {self.start.turn_deg % period, self.goal.turn_deg % period}
        ordered = [t for i, t in enumerate(sorted(turns)) if i == 0 or t - sorted(turns)[i - 1] > 1e-6]
        bands = list(zip(ordered, [*ordered[1:], ordered[0] + period], strict=True))
        return relaxed(
            slicer, self.crowd, bands, self._ends(), period, worth, self.stop, exact_middle=exact_middle
        )

    def _cut(self, shifted: int, probe: Probe) -> None:
        """Add the cut an exact `does not go` proves, made smaller by shifting more while it stays shut.

        First all but the best set known is shifted: either it stays shut, and the cut is within that set, or
        it goes, and mostly with a better set.
        """
        cut = self._blockers(probe, shifted)
        first = cut & ~(self.best or 0)
        chunk, done = len(members(cut)) // 2, 0
        for call in range(GROW_CALLS):
            ordered = sorted(members(cut & ~done), key=lambda i: (self.cuts.costs[i], i))
            taken = first if call == 0 else bits(ordered[:chunk])
            if not taken or taken == cut or self.stop():
                continue
            more = self._probe(shifted | taken)
            if more is not None and more.joined is False:
                shifted |= taken
                cut = self._blockers(more, shifted)
                chunk = max(1, min(chunk, len(members(cut)) // 2))
                continue
            if chunk == 1 and call:
                done |= taken
            chunk = max(1, chunk // 2)
        self.cuts.add(cut)

    def _blockers(self, probe: Probe, shifted: int) -> int:
        """Return the things, still standing, that touch what the body can reach: a cut.

        Touching is judged by the whole body at both ends of each band: what blocks only the exact slice there
        blocks the way as well, though the core of the band passes it.
        """
        slicer = self.planner.slicer(probe.slice_mm)
        boxes = np.array([(*np.min(o, axis=0), *np.max(o, axis=0)) for o in self.crowd.outlines])
        r = slicer.reach_mm + 1.0
        cut = 0
        for from_deg, to_deg, polygon in probe.reached:
            x0, y0, x1, y1 = polygon.bounds
            near = (boxes[:, 0] <= x1 + r) & (boxes[:, 2] >= x0 - r)
            near &= (boxes[:, 1] <= y1 + r) & (boxes[:, 3] >= y0 - r)
            asked = [i for i in np.flatnonzero(near).tolist() if not (shifted | cut) >> i & 1]
            if not asked:
                continue
            near_things = [self.crowd.outlines[i] for i in asked]
            shapely.prepare(polygon)
            for turn_deg in (from_deg, to_deg):
                grown = slicer.grow(near_things, slicer.shape(turn_deg, turn_deg))
                touches = shapely.dwithin(polygon, grown, 1e-5)
                cut |= bits(i for i, t in zip(asked, touches.tolist(), strict=True) if t)
        return cut
