"""What is the least to shift so that it goes? An implicit hitting set, certified from both sides.

Cuts (sets of which at least one thing must go) come from chains of things that shut off a disc as wide as
the body (`shift_chains`, one flow), from relaxed maps in ever narrower bands of turns (`shift_maps`), and
from the exact planner, whose every `does not go` is checked. It is asked about few things at a time, those
that bar the way on a sketch, which is taught the way past them where there is one. A linear programme over
all cuts (`shift_cover`) bounds the cost from below; what it leaves of each cost tells which places lie on no
cheaper way, so finer maps are made only where it matters. A set with a checked path bounds it from above.
When the two meet, the set is the least.
"""

from __future__ import annotations

import functools
import itertools
import math
import operator
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import FloorProblem, Outline, Point, Pose, WayEnd, between
from shopbins.geometry.simple import simple
from shopbins.kernel.bits import bits, members
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, TOO_CLOSE, Answer, Probe
from shopbins.kernel.goes_check import Refused, Shut
from shopbins.kernel.goes_ends import beside_both, from_end_to_end
from shopbins.kernel.goes_links import place_of
from shopbins.kernel.goes_search import Stop, Stopped
from shopbins.kernel.ground import Crowd, convex_pieces
from shopbins.kernel.overlay import GRID_MM
from shopbins.kernel.planner import HAIR_MM, Planner
from shopbins.kernel.shift_chains import Chains
from shopbins.kernel.shift_cover import Cover, NoCover
from shopbins.kernel.shift_maps import Bands, Field, Map, Worth, relaxed
from shopbins.kernel.steering import ON_THE_SPOT

FIRST = (-0.075, 0.0, 0.075, 0.15)
"""How much larger the body is taken to find a first set, as a part of how thin it is."""
FIRST_TURNS = 24
"""How many turns the first sketch has."""
SKETCHED, MOST_TURNS = 12, 144
"""How many turns sketches have at least and at most."""
BOLD = (0.5, 0.15, -0.2)
"""How much smaller the body is taken for sketches, as a part of how wide the squares are."""
STRICT = 0.25
"""The same for the sketch that tells what bars the way."""
STRETCH_MM, STRETCH_DEG = 200.0, 5.0
"""How long the stretches of a way are that a sketch is taught."""
BRIEFLY_S = 3.0
"""How long cuts of a sketch are gathered, and then those the bound rests on asked about and checked."""
MOST_SKETCHED = 700_000
"""How many squares the first sketch has at most, floor or not."""
MANY = 20_000
"""How many nodes of a map are many: then the next is smaller, and of twice as many no cuts are made."""
SMALL = 3000
"""Of fewer nodes cuts come at once: then a sketch and the planner are asked before a finer map is made."""
TRIES, TRYING_S = 16, 0.7
"""How many ways over a sketch are tried, and how long it is worked on."""
LADDER = ((8, 1), (24, 1), (24, 2), (72, 2), (72, 4), (144, 4), (144, 8))
"""How many bands the maps have, one after the other, and how many of their squares make up one side."""
MOST_NODES = 80_000
"""How many nodes a sketch has at most: each holds a list and a long number."""
MOST_STRIPS = 1_500_000  # one takes about 80 bytes while a map is made
SQUARE = 0.15
"""How wide the squares of the first map are, as a part of how thin the body is."""
CROWD = 250
"""Among how many things a finer map, where it is not too large, is a sooner proof than cuts of a sketch."""
FEW = 4
PROVED = 2
"""How many cuts of a sketch that a whole set does not meet are asked about before the next set."""
LEVELS = (1.0, 0.6, 0.35, 0.15)
NOISES = (0.0, 0.05, 0.1, 0.2, 0.4)
FRACTION = 1e-6
SOLVE_S, MOST_SOLVE_S = 1.0, 200.0  # a solver cannot be broken off, so it is given little time, then more
CUTTING_S = 0.3
SEARCHING = 0.95  # the share of the time to search in; the rest is for the steps that cannot be broken off


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far a search has come: a cost no set can undercut, and the best set known (None: none yet)."""

    cost_at_least: float
    shift: tuple[int, ...] | None


Told = Callable[[SoFar], None]


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
    told: Told | None = None,
) -> Shift:
    """Return the things of least total cost whose removal lets the body go, certified or as an interval.

    `costs` are one a thing, finite and not negative (default 1 each, so the count). See `goes` for the rest.
    When time runs out `cost` is what a checked path needs and `cost_at_least` what is proved; `told` hears of
    both on the way. Raises FloorProblem.
    """
    planner = Planner(floor, holes, body, either_way=either_way)
    return shift_with(
        planner, things, start, goal, costs, time_limit_s=time_limit_s, cancelled=cancelled, told=told
    )


def shift_with(
    planner: Planner,
    things: Sequence[Outline],
    start: Pose,
    goal: Pose,
    costs: Sequence[float] | None = None,
    *,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
    told: Told | None = None,
    unproved: bool = False,
) -> Shift:
    """Answer `least_shift` with a planner that keeps its slices.

    `unproved`: it is a set to start from. Its cuts are taken unchecked, but for one that shuts the way
    whatever is shifted; the cost is no certain bound then, and its path not shortened.
    """
    stop = Stop(None if time_limit_s is None else SEARCHING * time_limit_s, cancelled)
    crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
    paid = _checked_costs(costs, len(things))
    planner.check_end(Crowd([]), start, WayEnd.START)
    planner.check_end(Crowd([]), goal, WayEnd.GOAL)
    found = _Quest(planner, crowd, start, goal, paid, stop, told, unproved=unproved).run()
    if found.shift is None and found.reason == TOO_CLOSE:
        found = _from_touching(planner, crowd, start, goal, paid, stop, told, found, unproved=unproved)
    return replace(found, seconds=stop.spent_s())


def _from_touching(
    planner: Planner,
    crowd: Crowd,
    start: Pose,
    goal: Pose,
    paid: list[float],
    stop: Stop,
    told: Told | None,
    found: Shift,
    *,
    unproved: bool,
) -> Shift:
    """Ask again from beside what is touched at an end; what was proved of the whole way still holds."""
    free = beside_both(planner, crowd, start, goal)
    if free is None:
        return found
    again = _Quest(planner, crowd, *free, paid, stop, told, unproved=unproved).run()
    if again.shift is None or again.cost is None:
        return found
    optimal = found.cost_at_least >= again.cost
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


@dataclass(frozen=True, slots=True)
class _Claim:
    """That some things (bits) bar the way with nothing else standing, to be checked."""

    standing: int
    shut: Shut


@dataclass(frozen=True, slots=True)
class _Way:
    """A way past some things: its poses, and bits of the things met from each to the next, and in all."""

    poses: list[Pose]
    masks: list[int]
    hits: int


class _Quest:
    """One search for the least to shift."""

    def __init__(
        self,
        planner: Planner,
        crowd: Crowd,
        start: Pose,
        goal: Pose,
        paid: list[float],
        stop: Stop,
        told: Told | None,
        *,
        unproved: bool = False,
    ) -> None:
        self.planner = planner
        self.crowd = crowd
        self.start, self.goal = start, goal
        self.paid = paid
        self.stop = stop
        self.told = told
        self.unproved = unproved
        self.cover = Cover(paid)
        self.best: int | None = None
        self.path: list[Pose] = []
        self.asked: dict[int, bool | None] = {}
        self.must = 0
        self.shut = False
        self.map: Map | None = None
        self.ways: list[_Way] = []
        self.solve_s = SOLVE_S
        self.x: Array = np.zeros(len(paid))

    def run(self) -> Shift:
        """Search until the bounds meet, time is up or nothing more can be proved."""
        reason = ""
        try:
            self._close()
        except NoCover:
            if self.shut:
                reason = "the way is shut whatever is shifted"
                return Shift(DOES_NOT_GO, None, None, math.inf, True, reason=reason)
            if self.best is not None:
                self.cover.proved = math.inf
        except Stopped:
            reason = "time was up"
        return self._result(reason)

    def _result(self, reason: str) -> Shift:
        cover = self.cover
        if self.best is None:
            proved = cover.bound * cover.scale
            return Shift("not decided", None, None, proved, False, reason=reason or TOO_CLOSE)
        answer = self._finished()
        shift = tuple(members(self.best))
        cost = math.fsum(self.paid[i] for i in shift)
        optimal = cover.closed()
        return Shift(
            GOES,
            shift,
            cost,
            cost if optimal else min(cost, cover.bound * cover.scale),
            optimal,
            answer.path,
            answer.clearance_mm,
            reason="" if optimal else reason or "too close to call in places",
        )

    def _finished(self) -> Answer:
        """Return the best set's path, shortened and measured."""
        assert self.best is not None
        if self.unproved:
            return Answer(GOES, path=tuple(self.path))
        return self.planner.told(self._left(self.best), self.path)

    def _say(self) -> None:
        """Tell how far it is; stop where there is no time left."""
        if self.told is not None:
            best = None if self.best is None else tuple(members(self.best))
            self.told(SoFar(self.cover.bound * self.cover.scale, best))
        if self.stop():
            raise Stopped

    # -- the two bounds ----------------------------------------------------------------------------------

    def _close(self) -> None:
        """Work the two bounds towards each other."""
        cover = self.cover
        for thing in self._underfoot():
            cover.add([thing])
            self.must |= 1 << thing
        ends = [place for _, place in self._ends()]
        slicer = self.planner.slicer(-HAIR_MM)
        self.chains = Chains(slicer, self.crowd, ends[0], ends[1], cover.costs)
        if self.chains.shut:
            self._ask(range(len(self.paid)))
        else:
            cover.pack(*self.chains.packed())
        self._say()
        if not self.paid:  # it goes, is shut, or is too close to call
            if self._ask(()):
                cover.proved = cover.best
            return
        x = self._chain_cuts(np.zeros(len(self.paid)))
        self.x = self.x if x is None else x
        self._first_set()
        for bands, parts in LADDER:
            if not self._climb(bands, parts):
                return
        while self._ask_least(press=True):
            pass

    def _climb(self, bands: int, parts: int) -> bool:
        """Raise the bound by one map and ask for its least sets; tell whether more may be proved."""
        self._say()
        if self.cover.closed():
            return False
        found = self._map(bands, parts)
        while found is None:  # too large as yet: go on with the map there is until less of it is kept
            if not self._ask_least(press=True):
                return False
            found = self._map(bands, parts)
        self.map = found
        large = found.count >= SMALL
        if found.count > MANY or (large and self._rough()):  # first a better set, that less of it is kept
            self._better()
        self._map_cuts()
        if self.cover.closed():
            return False
        if large and self._rough():
            return True
        return self._ask_least(press=len(self.paid) < CROWD) or self._rough()

    def _ask_least(self, *, press: bool) -> bool:
        """Ask for some least sets that open the map; tell whether more may be proved.

        Where it is to `press` on, what a strict sketch says bars the way of a set is looked at first, with
        nothing else standing: few things are sooner asked about than all, and few are a cut that proves more.
        Else what does not open the sketch is not asked: a finer map is sooner made.
        """
        cover = self.cover
        assert self.map is not None
        sketch = self._sketched(STRICT)
        if sketch is not None:
            if not press or sketch.count >= SMALL:
                self._ask_cheap(sketch)
            if press:
                sketch = self._sketch_cuts(sketch)
                self._ask_cheap(sketch)
        for _ in range(FEW):
            self._say()
            self.map = self.map.pruned(self._worth())
            least = None if cover.closed() else self._least()
            if least is None:  # closed, or it was too hard to tell in the time given to it
                self.solve_s *= 2
                return not cover.closed() and self.solve_s < MOST_SOLVE_S
            if not press and (sketch is None or sketch.graph.cut(bits(least), ()) is not None):
                return True
            if sketch is not None and press:
                gone = np.isin(np.arange(len(self.paid)), least).astype(float)
                if sum(self._bars(cut, sketch) for cut in _doubted(sketch, cover, gone, PROVED)):
                    continue
            if self._ask(least, sketch if press else None) is None:
                return not press
        return True

    def _ask_cheap(self, sketch: Map) -> None:
        """Ask for a cheap set that opens a sketch, where it would be better."""
        if sketch.count < SMALL:
            things = self._least_of_sketch(sketch)
        else:
            things = self._cheap(sketch, self.cover.costs * (1.02 - self.x))
        if things is not None and self.cover.cost(things) < self.cover.best - self.cover.tiny:
            self._ask(things)

    def _sketch_cuts(self, sketch: Map) -> Map:
        """Raise the bound by those cuts of a sketch that bar the way indeed; return what is left of it.

        Nearly all do, and to ask takes far longer than to find them: so only those the bound comes to rest on
        are asked about and checked, those it owes most to first.
        """
        cover, guesses = self.cover, list[frozenset[int]]()
        x: Array | None = self.x
        taught: Map | None = None
        while x is not None and not cover.closed():
            sketch = sketch.pruned(self._worth())
            if sketch is not taught:
                stands = self._stands()
                for way in self.ways:
                    if not stands & way.hits:
                        self._teach(way, sketch)
                taught = sketch
            hints, until, before = cover.apart(), self._briefly(), cover.bound
            hints.add_all(guesses)
            while x is not None and not until() and not hints.closed():
                if not hints.add_all([*_doubted(sketch, hints, x), *self.chains.unmet(x)]):
                    break
                x = hints.linear(self._solving_s())
            known, until = set(cover.rows), self._briefly()
            new = (cut for cut in hints.resting() if cut not in known)
            asked = {cut: self._held(cut, sketch) and self._bars(cut, sketch) for cut in new if not until()}
            guesses = [cut for cut in hints.rows if cut not in known and asked.get(cut, True)]
            x = self._chain_cuts(cover.linear(self._solving_s()), 3)
            self.x = self.x if x is None else x
            self._say()
            if not asked or (until() and cover.bound <= before):
                break
        return sketch

    def _briefly(self) -> Stop:
        """Return when to tell what is found so far."""
        return Stop(min(BRIEFLY_S, self.stop.left_s() / 2), self.stop.cancelled)

    def _stands(self) -> int:
        """Return bits of the things that surely stand in every cheaper set."""
        return bits(np.flatnonzero(self.cover.stands()))

    def _held(self, cut: frozenset[int], sketch: Map) -> bool:
        """Tell whether a sketch, by what it was taught since, still says that things bar the way."""
        return sketch.graph.cut(~(bits(cut) | self._stands()), ()) is not None

    def _bars(self, cut: frozenset[int], sketch: Map) -> bool:
        """Tell whether things bar the way with nothing else standing; keep them as a cut then."""
        claim = self._barred(cut, sketch)
        return claim is not None and self._checked(claim) and self.cover.add(cut)

    def _barred(self, cut: frozenset[int], sketch: Map) -> _Claim | None:
        """Return a claim that things bar the way with nothing else standing but what surely does, or None.

        They are asked about alone first, then with what surely stands beside them, for few things are soon
        asked about. A way past all that stands is taught the sketch.
        """
        alone = bits(cut)
        every = alone | self._stands()
        beside = alone | (every & bits(np.flatnonzero(self._beside[sorted(cut)].any(axis=0))))
        for standing in dict.fromkeys((alone, beside, every)):
            if any(not standing & way.hits for way in self.ways):
                continue
            left = self._left(~standing)
            probe = self.planner.probe(left, self.start, self.goal, self.stop, doubtful=True)
            if probe.joined is False:
                return _Claim(standing, self.planner.claimed(probe.run))
            if probe.poses is None:
                continue
            way = self._met(_stretches(probe.poses))
            self.ways.append(way)
            if not every & way.hits:
                self._teach(way, sketch)
            if self.cover.cost(members(way.hits)) < 2 * self.cover.best:
                self._keep(probe.poses, ~standing)
        return None

    def _checked(self, claim: _Claim) -> bool:
        """Tell whether it stands the check that things bar the way; where none is proved, it does."""
        if self.unproved:
            return True
        try:
            self.planner.prove(claim.shut, self._left(~claim.standing).outlines, self.stop)
        except Refused:
            return False
        return True

    def _met(self, poses: list[Pose]) -> _Way:
        """Return a way with the things met on each short stretch."""
        own = minkowski.corners_of(self.planner.outline)
        corners = np.array([minkowski.turn(own, p.turn_deg) + np.array((p.x_mm, p.y_mm)) for p in poses])
        areas: Any = shapely.convex_hull(
            shapely.multipoints(np.concatenate((corners[:-1], corners[1:]), axis=1))
        )
        masks = [0] * len(areas)
        for stretch, thing in self._tree.query(areas, predicate="intersects").T.tolist():
            masks[stretch] |= 1 << thing
        return _Way(poses, masks, functools.reduce(operator.or_, masks, 0))

    def _teach(self, way: _Way, sketch: Map) -> None:
        """Join a way to a sketch as nodes of its own, one a short stretch."""
        period, centre = self.planner.whole_turn_deg, self.planner.centre
        beside = [sketch.nodes_at(p.turn_deg, place_of(p, centre), period) for p in way.poses]
        sketch.graph.join(way.masks, beside)

    def _narrowed(self, cut: Sequence[int], sketch: Map) -> bool:
        """Keep as a cut as few of some things as surely bar the way; tell whether that is shown of any.

        They are left out in the order of a sketch, by halves; only the fewest of which it is claimed are
        checked, more where that fails.
        """
        order = sorted(cut, key=lambda i: (-self.x[i], self.cover.costs[i]))
        needed = sketch.graph.cut(~bits(cut), order)
        out = [i for i in order if not (needed or 0) >> i & 1]
        low, high, asked = 0, len(out), len(out)
        claims: list[tuple[frozenset[int], _Claim]] = []
        while low < high:
            fewer = frozenset(cut) - set(out[:asked])
            claim = self._barred(fewer, sketch)
            if claim is None:
                high = asked - 1
            else:
                low = asked
                claims.append((fewer, claim))
            asked = (low + high + 1) // 2
        return any(self._checked(claim) and self.cover.add(fewer) for fewer, claim in claims[::-1])

    def _sketched(self, bold: float) -> Map | None:
        """Return a sketch in what the map kept, where it would not be too large.

        It has more turns than the map, and squares half as wide as the first map's.
        """
        assert self.map is not None
        self.map = self.map.pruned(self._worth())
        bands, inset_mm = len(self.map.bands), bold * self.map.squares.step_mm
        finer = min(MOST_TURNS, 3 * bands if self.map.count < MANY else 3 * bands // 2)
        most = min(_most_strips(self.map) / max(1, self.map.kept()), MOST_NODES / max(1, self.map.count))
        count = min(finer, int(most * bands))
        if count < SKETCHED or inset_mm >= self.planner.thin_mm:
            return None
        room = 2 * count * self.map.kept() < bands * _most_strips(self.map)
        halved = room and count == finer and self.map.squares.step_mm > 0.75 * self._first_mm
        return self._sketch(count // 4 * 4, -inset_mm, halved=halved)

    def _chain_cuts(self, x: Array | None, rounds: int = 1000) -> Array | None:
        """Add chains a fractional set does not meet, and solve again, until it meets them all."""
        for _ in range(rounds):
            if x is None or not self.cover.add_all(self.chains.unmet(x)):
                return x
            self._say()
            x = self.cover.linear(self._solving_s())
        return x

    def _map_cuts(self) -> None:
        """Raise the bound by cuts of the map, for a while or until there are none."""
        cover, stop = self.cover, Stop(CUTTING_S + self.stop.spent_s() / 4, self.stop.cancelled)
        assert self.map is not None
        x = cover.linear(self.stop.left_s())
        while x is not None and not cover.closed() and not stop():
            self.x, self.map = x, self.map.pruned(self._worth())
            if not cover.add_all(_cuts(self.map, cover, x)):
                return
            self._say()
            x = self._chain_cuts(cover.linear(self._solving_s()), 3)
        self.x = self.x if x is None else x

    def _least(self) -> list[int] | None:
        """Return a least whole set that meets all cuts and opens the map, or None."""
        assert self.map is not None
        cover, stop = self.cover, Stop(self._solving_s(), self.stop.cancelled)
        while not cover.closed() and not stop():
            gone = cover.whole(stop.left_s())
            if gone is None or cover.cost(np.flatnonzero(gone)) >= cover.best - cover.tiny:
                return None
            x = gone.astype(float)
            new = self.chains.unmet(x) or _cuts(self.map, cover, x, 40)
            if not cover.add_all(new):
                return [int(i) for i in np.flatnonzero(gone)]
        if stop() and self.stop():
            raise Stopped
        return None

    # -- better sets -------------------------------------------------------------------------------------

    def _first_set(self) -> None:
        """Find some set that goes: a cheap way over sketches for a body made larger, as large as need be."""
        for larger in FIRST:
            self._say()
            sketch = self._sketch(FIRST_TURNS, larger * self.planner.thin_mm)
            things = self._cheap(sketch, self.cover.costs * (1.02 - self.x))
            if things is not None and self._ask(things):
                return
        self._ask(range(len(self.paid)))

    def _better(self) -> None:
        """Ask for better sets that open sketches, bold ones first, until one goes."""
        for bold in BOLD[1:] if self._rough() else BOLD:
            self._say()
            sketch = self._sketched(bold)
            if sketch is None or self.cover.closed():
                return
            things = self._least_of_sketch(sketch)
            if things is None or self.cover.cost(things) >= self.cover.best - self.cover.tiny:
                return
            if self._ask(things) is not False:
                return

    def _rough(self) -> bool:
        """Tell whether the map is still the first, of which much is kept that a soon better set shuts."""
        return self.map is None or len(self.map.bands) < SKETCHED

    def _solving_s(self) -> float:
        return min(self.solve_s, self.stop.left_s())

    def _trying_s(self) -> float:
        return min(TRYING_S / (4 if self._rough() else 1), self.stop.left_s())

    def _least_of_sketch(self, sketch: Map) -> list[int] | None:
        """Return a cheap set that opens a sketch, the least if that is soon found; None where none is better.

        Cuts of a sketch are no proof, so they are kept apart.
        """
        hints = self.cover.apart()
        best = self._cheap(sketch, hints.costs * (1.02 - self.x))
        if best is not None:
            hints.best = min(hints.best, hints.cost(best))
        if sketch.count > 2 * MANY:
            return best  # cuts of so large a sketch take too long
        stop = Stop(self._trying_s(), self.stop.cancelled)
        try:
            x: Array | None = self.x
            while x is not None and not stop() and not hints.closed():
                if not hints.add_all(_cuts(sketch, hints, x)):
                    break
                x = hints.linear(stop.left_s())
            if x is not None and not hints.closed():
                again = self._cheap(sketch, hints.costs * (1.02 - x))
                if again is not None and hints.cost(again) < hints.best:
                    best, hints.best = again, hints.cost(again)
            stop = Stop(self._trying_s(), self.stop.cancelled)
            while not stop() and not hints.closed():
                gone = hints.whole(stop.left_s())
                if gone is None or hints.cost(np.flatnonzero(gone)) >= hints.best - hints.tiny:
                    break
                if not hints.add_all(_cuts(sketch, hints, gone.astype(float), 40)):
                    return [int(i) for i in np.flatnonzero(gone)]
        except NoCover:
            pass  # nothing cheaper opens it
        return best

    def _cheap(self, sketch: Map, price: Array) -> list[int] | None:
        """Return a cheap set that opens a sketch and meets all cuts known: the best of many ways tried."""
        cover = self.cover
        rng = np.random.default_rng(len(cover.rows))
        best: list[int] | None = None
        cost, left_out = math.inf, set[int]()
        stop = Stop(self._trying_s(), self.stop.cancelled)
        for tries in range(TRIES):
            if stop() and tries:
                break
            paid = price * np.exp(0.3 * rng.standard_normal(len(price))) if tries else price.copy()
            if best is not None and tries % 2:  # what is in the best set is cheap, but for one thing of it
                paid[best] *= 0.5
                rest = [i for i in best if i not in left_out]
                if rest:
                    out = max(rest, key=lambda i: cover.costs[i] * rng.random())
                    left_out.add(out)
                    paid[out] = math.inf
            found = sketch.way(paid)
            things = None if found is None else self._meeting_all(found, price)
            if things is not None and cover.cost(things) < cost - cover.tiny:
                best, cost, left_out = things, cover.cost(things), set()
        return best

    def _meeting_all(self, things: list[int], price: Array) -> list[int]:
        """Return a set with one more thing for each cut known that it does not meet."""
        found = set(things) | set(members(self.must))
        for row in self.cover.rows:
            if found.isdisjoint(row):
                found.add(min(row, key=lambda i: price[i]))
        return sorted(found)

    def _sketch(self, count: int, outset_mm: float, *, halved: bool = False) -> Map:
        """Return a map of the body in the middle of squares and bands, in what the last map kept."""
        pieces = self.planner.body.pieces(outset_mm)
        field = Field(self._things, self.planner.lines(()), pieces, sketch=True)
        step_mm, bands = SQUARE * self.planner.thin_mm, self._bands_about(count)
        if self.map is None:  # a quick one will do for a first set
            (x0, y0), (x1, y1) = field.low, field.high
            step_mm = max(step_mm, math.sqrt((x1 - x0) * (y1 - y0) * len(bands) / MOST_SKETCHED))
        return self._relaxed(field, bands, step_mm, halved=halved)

    # -- asking the exact planner ------------------------------------------------------------------------

    def _ask(self, things: Iterable[int], sketch: Map | None = None) -> bool | None:
        """Tell whether it goes with these gone: if so the best set is kept, else the cut that shuts the way.

        None where the planner cannot tell. A cut is checked by numbers alone with nothing else standing;
        where that fails, the planner is asked once more with its overlays on a grid. With a sketch, fewer of
        the things that bar the way are looked for first.
        """
        shifted = bits(things) | self.must
        if shifted not in self.asked:
            self.asked[shifted] = self._asked(shifted, sketch)
        return self.asked[shifted]

    def _asked(self, shifted: int, sketch: Map | None) -> bool | None:
        for grid_mm in (0.0, GRID_MM):
            probe = self.planner.probe(self._left(shifted), self.start, self.goal, self.stop, grid_mm)
            if probe.poses is not None:
                self._keep(probe.poses, shifted)
                return True
            if probe.joined is not False:
                return None
            cut = self._blockers(probe, shifted)
            if sketch is not None and self._narrowed(cut, sketch):
                return False
            try:
                if not self.unproved or not cut:
                    standing = [self.crowd.outlines[i] for i in cut]
                    self.planner.checked(probe.run, self.stop, standing)
            except Refused:
                continue
            self.shut = self.shut or not cut
            self.cover.add(cut)
            return False
        return None

    def _keep(self, poses: list[Pose], shifted: int) -> None:
        needed = self._in_the_way(poses, shifted)
        cost = self.cover.cost(needed)
        if cost < self.cover.best:
            self.best, self.cover.best, self.path = bits(needed), cost, poses

    def _left(self, shifted: int) -> Crowd:
        return Crowd([o for i, o in enumerate(self.crowd.outlines) if not shifted >> i & 1])

    def _underfoot(self) -> list[int]:
        """Return the things that stand where the body starts or ends, which must go whatever else does."""
        own = minkowski.corners_of(self.planner.outline)
        found = set()
        for pose, end in ((self.start, WayEnd.START), (self.goal, WayEnd.GOAL)):
            stands = minkowski.turn(own, pose.turn_deg) + np.array((pose.x_mm, pose.y_mm))
            for i in self._tree.query(shapely.box(*stands.min(axis=0), *stands.max(axis=0))).tolist():
                try:
                    self.planner.check_end(Crowd([self.crowd.outlines[i]]), pose, end)
                except FloorProblem:
                    found.add(i)
        return sorted(found)

    def _in_the_way(self, poses: Sequence[Pose], shifted: int) -> list[int]:
        """Return those of the shifted things that the checked path does not surely miss.

        A thing is asked about on the stretch of legs that come as near it as the body reaches.
        """
        poses = [*poses, *poses[:1]] if len(poses) == 1 else poses
        track = np.array([(p.x_mm, p.y_mm) for p in poses])
        reach_mm = self._reach_mm + 1.0
        low, high = np.minimum(track[:-1], track[1:]) - reach_mm, np.maximum(track[:-1], track[1:]) + reach_mm
        found = []
        for i in members(shifted & (1 << len(self.paid)) - 1):
            box = self.crowd.boxes[i]
            near = np.flatnonzero(((low <= box[2:]) & (high >= box[:2])).all(axis=1))
            if len(near) and not self.planner.misses(self.crowd.outlines[i], poses[near[0] : near[-1] + 2]):
                found.append(i)
        return found

    def _blockers(self, probe: Probe, shifted: int) -> list[int]:
        """Return the things, still standing, that touch what the body can reach: a cut.

        Touching is judged by the whole body at both ends of each band: what blocks only the exact slice there
        blocks the way as well, though the core of the band passes it.
        """
        slicer = self.planner.slicer(probe.slice_mm)
        boxes = self.crowd.boxes
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
                grown = slicer.grow(near_things, slicer.shapes(turn_deg, turn_deg))
                touches = shapely.dwithin(polygon, grown, 1e-5)
                cut |= bits(i for i, t in zip(asked, touches.tolist(), strict=True) if t)
        return members(cut)

    # -- maps --------------------------------------------------------------------------------------------

    def _map(self, count: int, parts: int) -> Map | None:
        """Return the relaxed map, leaving out what is on no way cheaper than the best set known.

        None where it would be too large.
        """
        step_mm, halved = self._first_mm, False
        if self.map is not None:
            self.map = self.map.pruned(self._worth())
            halved = step_mm / parts < 0.75 * self.map.squares.step_mm
            more = (2 if halved else 1) * count / len(self.map.bands)
            if self.map.kept() * more > _most_strips(self.map):
                return None
        return self._relaxed(self._field, self._bands(count), step_mm, halved=halved)

    @cached_property
    def _first_mm(self) -> float:
        """Return how wide the squares of the first map are."""
        return self._field.squares(SQUARE * self.planner.thin_mm).step_mm

    def _relaxed(self, field: Field, bands: Bands, step_mm: float, *, halved: bool = False) -> Map:
        """Return a map of what the last one kept, in its squares or their quarters; the first by a step."""
        return relaxed(
            field,
            bands,
            self._ends(),
            self.planner.whole_turn_deg,
            self._worth(),
            self.stop,
            step_mm=step_mm,
            coarser=self.map,
            halved=halved,
        )

    def _bands(self, count: int) -> list[tuple[float, float]]:
        """Return bands as wide as each other, but for those cut in two at the turns of start and goal."""
        period = self.planner.whole_turn_deg
        turns = {round(k * period / count, 9) for k in range(count)}
        turns |= {self.start.turn_deg % period, self.goal.turn_deg % period}
        ordered = [t for i, t in enumerate(sorted(turns)) if i == 0 or t - sorted(turns)[i - 1] > 1e-6]
        return list(zip(ordered, [*ordered[1:], ordered[0] + period], strict=True))

    def _bands_about(self, count: int) -> list[tuple[float, float]]:
        """Return bands as wide as each other for a sketch, one about the turn that lies along most lines.

        A body that just passes between two of them passes at no other turn.
        """
        period, wide = self.planner.whole_turn_deg, self.planner.whole_turn_deg / count
        middles = sorted((self._along_deg + k * wide) % period for k in range(count))
        return [(m - wide / 2, m + wide / 2) for m in middles]

    @cached_property
    def _along_deg(self) -> float:
        """Return the turn, below a quarter, of most walls and sides of things by their length."""
        x, y = np.diff(self.planner.lines(self.crowd.outlines), axis=1)[:, 0].T
        turns = np.round(np.degrees(np.arctan2(y, x)), 1) % 90.0
        kinds, kind = np.unique(turns, return_inverse=True)
        return float(kinds[np.bincount(kind, np.hypot(x, y)).argmax()])

    @cached_property
    def _tree(self) -> Any:
        """Return a tree of the things, to ask what meets an area."""
        return shapely.STRtree([shapely.Polygon(o) for o in self.crowd.outlines])

    @cached_property
    def _reach_mm(self) -> float:
        """Return how far the body reaches from the place it is led by."""
        return max(math.hypot(x, y) for x, y in self.planner.outline)

    @cached_property
    def _beside(self) -> Array:
        """Tell of every two things whether the body, about as it lies between them, may touch both (n, n)."""
        low, high = self.crowd.boxes[:, :2], self.crowd.boxes[:, 2:]
        apart = np.maximum(low[:, None] - high, low - high[:, None]).clip(min=0.0)
        near: Array = np.hypot(apart[..., 0], apart[..., 1]) <= 1.5 * self._reach_mm
        return near

    @cached_property
    def _things(self) -> list[list[Array]]:
        """Return the convex pieces of each thing."""
        return [convex_pieces(o) for o in self.crowd.outlines]

    @cached_property
    def _field(self) -> Field:
        """Return all that blocks the body, by plain arithmetic."""
        return Field(self._things, self.planner.lines(()), self.planner.body.plainly(-HAIR_MM / 2, -HAIR_MM))

    def _worth(self) -> Worth:
        return Worth(self.cover.left, self.cover.gap())

    def _ends(self) -> tuple[tuple[float, Point], tuple[float, Point]]:
        """Return the turn and the place of the body's centre at start and goal."""
        first, last = ((p.turn_deg, place_of(p, self.planner.centre)) for p in (self.start, self.goal))
        return first, last


def _stretches(poses: Sequence[Pose]) -> list[Pose]:
    """Return a way's poses with more between, so that no stretch is longer or turns further."""
    way = list(poses[:1])
    for a, b in itertools.pairwise(poses):
        far = math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) / STRETCH_MM
        steps = math.ceil(max(far, abs(b.turn_deg - a.turn_deg) / STRETCH_DEG, 1.0))
        way += [between(a, b, (k + 1) / steps) for k in range(steps)]
    return way


def _most_strips(last: Map) -> int:
    """Return how many strips the next map may have: fewer where each brings many covers with it."""
    return MOST_STRIPS // 4 if last.count > MANY else MOST_STRIPS


def _doubted(sketch: Map, cover: Cover, x: Array, most: int = 12) -> list[frozenset[int]]:
    """Return cuts of a sketch; none where nothing opens it, which proves nothing."""
    try:
        return _cuts(sketch, cover, x, most)
    except NoCover:
        return []


def _cuts(found: Map, cover: Cover, x: Array, most: int = 12) -> list[frozenset[int]]:
    """Return cuts of a map that a fractional set does not meet. Raises NoCover where nothing opens it."""
    rng = np.random.default_rng(len(cover.rows))
    cuts: list[frozenset[int]] = []
    for noise in NOISES:
        for level in LEVELS:
            taken = x + noise * rng.random(len(x))
            shifted = bits(np.flatnonzero(x >= level - FRACTION))
            while len(cuts) < most:
                order = np.lexsort((rng.random(len(x)) * cover.costs, -np.round(taken, 6)))
                cut = found.graph.cut(shifted, order.tolist())
                if cut is None:
                    break
                things = members(cut)
                if not things:
                    raise NoCover
                if x[things].sum() > 1 - FRACTION:
                    break
                cuts.append(frozenset(things))
                shifted |= 1 << max(things, key=lambda t: x[t] + 1e-3 * rng.random())
        if cuts:
            break
    return cuts
