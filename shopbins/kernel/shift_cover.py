"""The least set that meets every cut: a small integer programme, and the cuts a relaxed map gives."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from shopbins.kernel.shift_graph import Relaxed


class NoCover(Exception):  # noqa: N818 - an answer, not an error
    """Some cut is empty: nothing that may go opens the way."""


class Cuts:
    """Cuts found so far (bits of things, each of which must lose one at least), and what each thing costs."""

    def __init__(self, costs: Sequence[float], cuts: Iterable[int] = ()) -> None:
        """Begin with cuts already known."""
        self.costs = costs
        self.cuts: list[int] = []
        self._times = [0] * len(costs)
        for cut in cuts:
            self.add(cut)

    def add(self, cut: int) -> None:
        """Keep a cut, dropping those it makes needless."""
        if cut == 0:
            raise NoCover
        if any(c & ~cut == 0 for c in self.cuts):
            return
        self._count([c for c in self.cuts if not cut & ~c], -1)
        self.cuts = [c for c in self.cuts if cut & ~c]
        self.cuts.append(cut)
        self._count([cut], 1)

    def _count(self, cuts: Iterable[int], by: int) -> None:
        for cut in cuts:
            for thing in members(cut):
                self._times[thing] += by

    def cost(self, shifted: int) -> float:
        """Return what a set costs."""
        return sum(self.costs[i] for i in members(shifted))

    def price(self, thing: int) -> float:
        """Return what a thing costs for each cut it meets (and the next)."""
        return self.costs[thing] / (1 + self._times[thing])

    def least(self) -> int:
        """Return a least set that meets every cut, certified by the solver's closed gap."""
        if not self.cuts:
            return 0
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        used = sorted(set().union(*(members(c) for c in self.cuts)))
        place = {thing: i for i, thing in enumerate(used)}
        rows = np.zeros((len(self.cuts), len(used)))
        for i, cut in enumerate(self.cuts):
            rows[i, [place[t] for t in members(cut)]] = 1
        found = milp(
            [self.costs[t] for t in used],
            constraints=LinearConstraint(rows, lb=1),
            integrality=np.ones(len(used), dtype=np.int64),
            bounds=Bounds(0, 1),
            options={"mip_rel_gap": 0.0},
        )
        if found.x is None or found.status != 0:
            raise RuntimeError(f"the integer programme was not solved: {found.message}")
        return bits(used[i] for i in np.flatnonzero(found.x > 0.5))


def solve(graph: Relaxed, known: Cuts, stop: Callable[[], bool]) -> tuple[int, bool]:
    """Return a least set that opens the relaxed map and meets all cuts, adding the cuts found to `known`.

    With False the time ran out and the set is only a bound from below. Between two programmes a set is grown
    greedily, each step giving a cut; taking whole cuts away at once made the programmes 100 times slower.
    Raises NoCover.
    """
    order = sorted(range(len(known.costs)), key=lambda i: (known.costs[i], i))
    while True:
        least = known.least()
        if graph.passes(least):
            return least, True
        if stop():
            return least, False
        shifted = least
        while (cut := graph.cut(shifted, order)) is not None:
            known.add(cut)
            shifted |= 1 << min(members(cut), key=known.price)
            if stop():
                return known.least(), False


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
