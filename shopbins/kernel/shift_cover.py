"""The least set that meets every cut known: a linear programme, its bound, and what that leaves of each cost.

Of each cut at least one thing must go. For any y >= 0, one a cut, every set U that meets all cuts costs at
least sum(y) + sum over U of what y leaves of its things' costs; so the value of a linear programme and what
it leaves belong together (`packed`, `left`), prove a bound, and tell what no cheaper set can hold.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
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

    def add(self, cut: Iterable[int]) -> bool:
        """Keep a cut; False when it was known."""
        things = frozenset(cut)
        if not things:
            raise NoCover
        if things in self.rows:
            return False
        self.rows.append(things)
        return True

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
        a = self._matrix()
        stands = self.stands()
        high = np.where(stands, 0.0, 1.0)
        solve: Any = linprog
        found = solve(
            self.costs,
            A_ub=-a,
            b_ub=-np.ones(a.shape[0]),
            bounds=np.stack((0 * high, high), axis=1),
            options={"time_limit": max(0.05, seconds)},
        )
        if found.status == 2:
            self.proved = math.inf
        if found.x is None:
            return None
        y = np.maximum(0.0, -found.ineqlin.marginals)
        left = self.costs - a.T @ y
        left[stands] = math.inf
        self.pack(float(y.sum() + np.minimum(0.0, left).sum()), left)
        x: Array = np.clip(np.asarray(found.x), 0.0, 1.0)
        return x

    def whole(self, seconds: float) -> Any:
        """Return a least whole set (true where it goes) as far as time allows; its bound is kept."""
        if not self.rows:
            return np.zeros(len(self.costs), dtype=bool)
        found = milp(
            self.costs,
            constraints=LinearConstraint(self._matrix(), lb=1),
            integrality=np.ones(len(self.costs), dtype=np.int64),
            bounds=Bounds(0, np.where(self.stands(), 0.0, 1.0)),
            options={"mip_rel_gap": 0.0, "time_limit": max(0.05, seconds)},
        )
        if found.status == 2:
            self.proved = math.inf
            return None
        if found.mip_dual_bound is not None:
            self.proved = max(self.proved, float(found.mip_dual_bound) - self.tiny)
        return None if found.x is None else np.asarray(found.x) > 0.5

    def _matrix(self) -> Any:
        ends = np.cumsum([0, *(len(r) for r in self.rows)])
        things = np.fromiter((t for r in self.rows for t in r), dtype=np.int64, count=int(ends[-1]))
        return csr_array((np.ones(len(things)), things, ends), shape=(len(self.rows), len(self.costs)))


def _unit(paid: Sequence[float]) -> float:
    """Return what all costs are whole multiples of, or 0 where that is too little to help."""
    exact = [f for f in map(meant, paid) if f]
    if not exact or len(exact) < sum(c != 0 for c in paid):
        return 0.0
    parts = math.lcm(*(f.denominator for f in exact))
    unit = math.gcd(*(int(f * parts) for f in exact)) / parts
    return unit if sum(paid) / unit < MOST_UNITS else 0.0


def members(shifted: int) -> list[int]:
    """Return the places of the bits that are set."""
    found = []
    while shifted:
        low = shifted & -shifted
        found.append(low.bit_length() - 1)
        shifted ^= low
    return found


def bits(things: Iterable[int]) -> int:
    """Return places as bits."""
    mask = 0
    for thing in things:
        mask |= 1 << int(thing)
    return mask
