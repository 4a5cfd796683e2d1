"""The least set that meets every cut known: a linear programme, its bound, and what that leaves of each cost.

Of each cut at least one thing must go. For any y >= 0, one a cut, every set U that meets all cuts costs at
least sum(y) + sum over U of what y leaves of its things' costs; so the value of a linear programme and what
it leaves belong together (`packed`, `left`), prove a bound, and tell what no cheaper set can hold.
"""

from __future__ import annotations

import copy
import heapq
import itertools
import math
import time
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_array

from shopbins.geometry.lengths import meant
from shopbins.geometry.minkowski import Array

SURE = 1e-9
LARGEST = 1000.0
MOST_UNITS = 1e7


class NoCover(Exception):  # noqa: N818 - an answer, not an error
    """Some cut is empty: nothing that may go opens the way (cheaper than the best known)."""


class Cover:
    """Cuts known, what each thing costs (scaled, the dearest 1000), and what they prove of any set of things.

    What is proved holds of every set cheaper than `best`, the cost of the best checked set.
    """

    def __init__(self, paid: Sequence[float]) -> None:
        """Take what is paid for each thing, in any unit."""
        self.scale = max(paid, default=0.0) / LARGEST or 1.0
        self.costs: Array = np.array([c / self.scale for c in paid], dtype=float)
        self.unit = _unit(paid) / self.scale
        self.tiny = SURE * LARGEST
        self.rows: list[frozenset[int]] = []
        self.best = math.inf
        self.proved = 0.0
        self.packed = 0.0
        self.left = self.costs.copy()
        self.rest: Array = np.zeros(0)

    def add(self, cut: Iterable[int]) -> bool:
        """Keep a cut; False when it was known."""
        things = frozenset(cut)
        if not things:
            raise NoCover
        if things in self.rows:
            return False
        self.rows.append(things)
        return True

    def add_all(self, cuts: Iterable[Iterable[int]]) -> bool:
        """Keep all of some cuts; False when every one was known."""
        return sum(self.add(cut) for cut in cuts) > 0

    def apart(self) -> Cover:
        """Return a copy, to add cuts to that are only a guess."""
        found = copy.copy(self)
        found.rows = list(self.rows)
        return found

    def cost(self, things: Iterable[int]) -> float:
        """Return what a set costs."""
        return math.fsum(self.costs[i] for i in things)

    @property
    def bound(self) -> float:
        """Return what the least set costs at least: no set costs between two multiples of the unit."""
        return min(self.raised(self.proved), self.best)

    def raised(self, bound: float) -> float:
        """Return the least cost a set can have that is no less than a bound."""
        if self.unit == 0.0 or not math.isfinite(bound):
            return bound
        return math.ceil((bound - self.tiny) / self.unit - 1e-6) * self.unit

    def closed(self) -> bool:
        """Tell whether nothing cheaper than the best known is left."""
        return self.bound >= self.best - self.tiny

    def gap(self) -> float:
        """Return what the left costs of a cheaper set's things come to less than."""
        return self.best - self.packed - (0.999 * self.unit if self.unit else self.tiny)

    def stands(self) -> Any:
        """Tell of each thing whether it stands in every cheaper set."""
        return self.left >= self.gap()

    def pack(self, value: float, left: Array) -> None:
        """Note a packing: its value is a bound, and what it leaves prunes."""
        self.proved = max(self.proved, value)
        if value > self.packed:
            self.packed, self.left = value, np.maximum(0.0, left)

    def linear(self, seconds: float) -> Array | None:
        """Return a least fractional set, or None; its duals, checked by hand, raise the bound.

        Things that stand for good cost nothing where y asks too much of them: no cheaper set holds them.
        """
        if not self.rows:
            return np.zeros(len(self.costs))
        a, stands = _rows(self.rows, len(self.costs)), self.stands()
        high = np.where(stands, 0.0, 1.0)
        empty = a @ high == 0
        if empty.any():
            self.proved = math.inf
            self.rest = np.maximum(empty, np.pad(self.rest, (0, len(empty) - len(self.rest))))
            return None
        found = _solved(self.costs, a, 0 * high, high, seconds)
        if found is None:
            return None
        x, y = found
        self.rest = y
        left = self.costs - a.T @ y
        left[stands] = math.inf
        self.pack(float(y.sum() + np.minimum(0.0, left).sum()), left)
        return x

    def resting(self) -> list[frozenset[int]]:
        """Return the cuts the last linear programme's bound rests on, those it owes most to first."""
        return [self.rows[k] for k in np.argsort(-self.rest, kind="stable") if self.rest[k] > SURE]

    def whole(self, seconds: float) -> Any:
        """Return a least whole set cheaper than the best known (true where it goes), or None: there is none.

        Found by branching: any set costs at least sum(y) and what y leaves of the costs of its things, so in
        a branch at least what it leaves of those taken, and all of what is left below 0 of the others. The
        branch with the least such bound is parted first, so the bound rises however little time there is;
        where it is up, the set may be none of the least, or None.
        """
        if not self.rows:
            return np.zeros(len(self.costs), dtype=bool)
        until = time.perf_counter() + max(0.05, seconds)
        a, high = _needed(self.rows, ~self.stands())
        if a is None:
            self.proved = math.inf
            return None
        by_thing, number = a.T.tocsr(), itertools.count()
        goal, best = self.best - self.tiny, None
        branches = [(self.bound, next(number), 0 * high, high)]
        while branches and branches[0][0] < goal:
            bound, _, low, high = heapq.heappop(branches)
            found = _solved(self.costs, a, low, high, until - time.perf_counter())
            if found is None:
                return best
            x, y = found
            left = self.costs - a.T @ y
            least = y.sum() + left[low > 0].sum() + np.minimum(0.0, left[low < high]).sum()
            bound = max(bound, self.raised(float(least)))
            self.proved = max(self.proved, min([bound, goal, *(b[0] for b in branches[:1])]))
            things = _rounded(x, low, a, by_thing, self.costs)
            cost = self.cost(np.flatnonzero(things))
            if cost - self.tiny < goal:
                goal, best = cost - self.tiny, things
            high = np.where((low < high) & (left >= goal - least), 0.0, high)
            open_ = low < high
            if bound >= goal or not open_.any():
                continue
            thing = int(np.argmax(np.where(open_, np.minimum(x, 1 - x) * (1 + self.costs), -1.0)))
            for taken in (0.0, 1.0):
                lower, upper = low.copy(), high.copy()
                lower[thing] = upper[thing] = taken
                if (a @ upper).all():
                    heapq.heappush(branches, (bound, next(number), lower, upper))
            if time.perf_counter() > until:
                return best
        self.proved = max(self.proved, goal)
        return best


def _solved(costs: Array, a: Any, low: Array, high: Array, seconds: float) -> tuple[Array, Array] | None:
    """Return a least fractional set that meets all rows within bounds, and y >= 0, one a row; or None."""
    solve: Any = linprog
    found = solve(
        costs,
        A_ub=-a,
        b_ub=-np.ones(a.shape[0]),
        bounds=np.stack((low, high), axis=1),
        options={"time_limit": max(0.05, seconds)},
    )
    if found.x is None or found.ineqlin is None or found.ineqlin.marginals is None:
        return None
    return np.clip(np.asarray(found.x), 0.0, 1.0), np.maximum(0.0, -found.ineqlin.marginals)


def _needed(cuts: Sequence[frozenset[int]], may_go: Any) -> tuple[Any, Array]:
    """Return cuts with only what may go, none that holds all of another; None where one is empty."""
    kept: list[frozenset[int]] = []
    may = frozenset(np.flatnonzero(may_go).tolist())
    for row in sorted({may & cut for cut in cuts}, key=len):
        if not row:
            return None, np.zeros(len(may_go))
        if not any(k <= row for k in kept):
            kept.append(row)
    return _rows(kept, len(may_go)), np.where(may_go, 1.0, 0.0)


def _rounded(x: Array, low: Array, a: Any, by_thing: Any, costs: Array) -> Any:
    """Return a whole set that meets all rows: what is taken in part at least, without what is not needed."""
    things = (x > SURE) | (low > 0)
    met = a @ things.astype(float)
    for thing in np.flatnonzero(things)[np.argsort((x / (costs + SURE))[things], kind="stable")].tolist():
        rows = by_thing.indices[by_thing.indptr[thing] : by_thing.indptr[thing + 1]]
        if (met[rows] > 1.5).all():
            met[rows] -= 1
            things[thing] = False
    return things


def _rows(rows: Sequence[frozenset[int]], wide: int) -> Any:
    """Return sets as the rows of a matrix of ones."""
    ends = np.cumsum([0, *(len(r) for r in rows)])
    things = np.fromiter((t for r in rows for t in r), dtype=np.int64, count=int(ends[-1]))
    return csr_array((np.ones(len(things)), things, ends), shape=(len(rows), wide))


def _unit(paid: Sequence[float]) -> float:
    """Return what all costs are whole multiples of, or 0 where that is too little to help."""
    exact = [f for f in map(meant, paid) if f]
    if not exact or len(exact) < sum(c != 0 for c in paid):
        return 0.0
    parts = math.lcm(*(f.denominator for f in exact))
    unit = math.gcd(*(int(f * parts) for f in exact)) / parts
    return unit if sum(paid) / unit < MOST_UNITS else 0.0
