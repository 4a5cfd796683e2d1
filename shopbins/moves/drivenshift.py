"""The least to shift for gear that is driven over a lattice: an implicit hitting set over its regions.

Places next to one another where the gear meets the same things are one region. With some things shifted, what
is reached from the start is shut in by regions that meet things still standing: of those that bar it one at
least must go, whatever else does. A least set that meets all such cuts and leads to the goal is the least.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from shopbins.kernel.bits import bits, members

FEW_CUTS, MOST_CUTS, MOST_BRANCHES, MOST_LOOKS = 40, 400, 20_000, 40_000_000
"""So many cuts are looked for, by how many regions each may have to look at, and so many branches for what
meets them; then the best so far is taken.
"""

GOAL = -1
"""No region: beyond the last leg."""
Leg = tuple[int, int]
"""A first or last leg of a way: its node of the lattice, and the things it meets as bits."""


@dataclass(frozen=True, slots=True)
class Regions:
    """Regions of a lattice: the things met in each as bits, those next to each, and where the legs end."""

    bars: list[int]
    beside: list[list[int]]
    begin: list[tuple[int, int]]
    ends: dict[int, list[int]]

    def reached(self, gone: int) -> tuple[bool, set[int]]:
        """Tell whether the goal is reached with some things gone, and what bars each region at the rim."""
        rim = set[int]()
        todo = []
        for region, meets in self.begin:
            if meets & ~gone:
                rim.add(meets & ~gone)
            else:
                todo.append(region)
        seen = set[int]()
        while todo:
            region = todo.pop()
            if region in seen:
                continue
            seen.add(region)
            if barred := self.bars[region] & ~gone:
                rim.add(barred)
                continue
            for meets in self.ends.get(region, ()):
                if not meets & ~gone:
                    return True, rim
                rim.add(meets & ~gone)
            todo += self.beside[region]
        return False, rim


def regions(
    free: Any, a: Any, b: Any, met: Sequence[Any], begin: Iterable[Leg], ends: Iterable[Leg]
) -> Regions:
    """Return the regions of a lattice: its free nodes, its edges from `a` to `b`, and the nodes at which each
    thing is met.
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    there = np.flatnonzero(free)
    number = np.full(free.size, -1, dtype=np.int64)
    number[there] = np.arange(len(there))
    signs = np.random.default_rng(1).integers(1, 2**63, size=len(met), dtype=np.int64)
    alike = np.zeros(len(there), dtype=np.int64)  # of nodes that meet the same things the same
    nodes = [number[each][number[each] >= 0] for each in met]
    for each, sign in zip(nodes, signs, strict=True):
        alike[each] ^= sign
    a, b = number[a], number[b]
    same = alike[a] == alike[b]
    joined = coo_matrix((np.ones(same.sum(), dtype=bool), (a[same], b[same])), shape=(len(there),) * 2)
    count, region = connected_components(joined, directed=False)
    bars = [0] * count
    for thing, each in enumerate(nodes):
        for n in np.unique(region[each]).tolist():
            bars[n] |= 1 << thing
    beside: list[list[int]] = [[] for _ in range(count)]
    for pair in np.unique(region[a[~same]].astype(np.int64) * count + region[b[~same]]).tolist():
        one, other = divmod(pair, count)
        beside[one].append(other)
        beside[other].append(one)
    leads: dict[int, list[int]] = {}
    for node, meets in ends:
        leads.setdefault(int(region[number[node]]), []).append(meets)
    return Regions(bars, beside, [(int(region[number[n]]), meets) for n, meets in begin], leads)


def least(it: Regions, costs: Sequence[float], stop: Callable[[], bool]) -> tuple[int, ...] | None:
    """Return the things of least cost to shift so that the goal is reached; None where no shifting does.

    Cut off by `stop`, or after so many cuts, it is the best set found so far: that of the cheapest way first.
    """
    cuts, best = list[int](), _on_the_way(it, costs)
    if best is None:
        return None

    def paid(shift: int) -> float:
        return math.fsum(costs[thing] for thing in members(shift))

    most = max(FEW_CUTS, min(MOST_CUTS, MOST_LOOKS // len(it.bars)))
    while not stop() and len(cuts) < most:
        gone = _cheapest(cuts, costs)
        if paid(gone) >= paid(best):
            break
        there, rim = it.reached(gone)
        while not there and paid(gone) < paid(best):  # on to a set that leads there, a cut at each step
            cuts.append(_cut(rim))
            gone |= 1 << min(members(cuts[-1]), key=lambda thing: costs[thing])
            there, rim = it.reached(gone)
        if there and paid(gone) < paid(best):
            best = gone
    return tuple(members(best))


def _on_the_way(it: Regions, costs: Sequence[float]) -> int | None:
    """Return the things, as bits, on the way that meets the cheapest ones, each paid where it is first met on
    it; None where there is none. Not certain to be the least: a dearer start may spare more later on.
    """
    queue, seen = list[tuple[float, int, int]](), set[int]()

    def on(cost: float, met: int, region: int, meets: int) -> None:
        more = math.fsum(costs[thing] for thing in members(meets & ~met))
        heapq.heappush(queue, (cost + more, region, met | meets))

    for region, meets in it.begin:
        on(0.0, 0, region, meets | it.bars[region])
    while queue:
        cost, region, met = heapq.heappop(queue)
        if region == GOAL:
            return met
        if region in seen:
            continue
        seen.add(region)
        for meets in it.ends.get(region, ()):
            on(cost, met, GOAL, meets)
        for other in it.beside[region]:
            if other not in seen:
                on(cost, met, other, it.bars[other])
    return None


def _cheapest(cuts: Sequence[int], costs: Sequence[float]) -> int:
    """Return a set of things of least cost that has one of each cut, all as bits: by branching on the cut of
    fewest things, those looked at before left out.

    After so many branches it is the best set found so far.
    """
    best, paid, branches = bits(range(len(costs))), math.inf, 0

    def least_of(cuts: Sequence[int]) -> float:
        """Return what cuts cost at least: those that share no thing are each paid."""
        seen, total = 0, 0.0
        for cut in cuts:
            if not cut & seen:
                seen |= cut
                total += min(costs[thing] for thing in members(cut))
        return total

    def branch(cuts: Sequence[int], taken: int, cost: float) -> None:
        nonlocal best, paid, branches
        branches += 1
        if not cuts:
            best, paid = (taken, cost) if cost < paid else (best, paid)
            return
        out = 0
        for thing in sorted(members(cuts[0]), key=lambda thing: costs[thing]):
            left = sorted((c & ~out for c in cuts if not c >> thing & 1), key=int.bit_count)
            if all(left) and cost + costs[thing] + least_of(left) < paid and branches < MOST_BRANCHES:
                branch(left, taken | 1 << thing, cost + costs[thing])
            out |= 1 << thing

    branch(sorted(cuts, key=int.bit_count), 0, 0.0)
    return best


def _cut(rim: Iterable[int]) -> int:
    """Return few things that bar every region at the rim, as bits."""
    left, cut = list(rim), 0
    while left:
        every = [thing for meets in left for thing in members(meets)]
        most = max(dict.fromkeys(sorted(every)), key=every.count)
        cut |= 1 << most
        left = [meets for meets in left if not meets >> most & 1]
    return cut
