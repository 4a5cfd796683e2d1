"""Which parts come off first: sets of projections, the cheapest first."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from shopbins.moves.body import Projection

MOST_TOGETHER = 6
"""Of more projections only the cheapest six are tried in every combination, the rest all or none."""


def sets_of(parts: Sequence[Projection]) -> Iterator[tuple[Projection, ...]]:
    """Go through the sets of parts that may come off, nothing first, then by what they cost together."""
    ordered = sorted(parts, key=lambda p: (p.cost, p.called))
    few, many = ordered[:MOST_TOGETHER], ordered[MOST_TOGETHER:]
    found = [each for size in range(len(few) + 1) for each in itertools.combinations(few, size)]
    found.sort(key=lambda each: (sum(p.cost for p in each), len(each), [p.called for p in each]))
    yield from found
    if many:
        yield tuple(ordered)


def names(parts: Sequence[Projection]) -> frozenset[str]:
    """Return what a set of parts is called, as `body` takes it."""
    return frozenset(p.called for p in parts)
