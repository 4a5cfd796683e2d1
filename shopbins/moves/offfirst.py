"""Which parts come off first: sets of projections, the cheapest first; and in which order they do."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence

from shopbins.geometry.shapes import bounds
from shopbins.moves.body import Projection
from shopbins.rules.hoisting import HOOK_OVER_MM

MOST_TOGETHER = 6
"""Of more projections only the cheapest six are tried in every combination, the rest all or none."""


def sets_of(parts: Sequence[Projection]) -> Iterator[tuple[Projection, ...]]:
    """Go through the sets of parts that may come off, nothing first, then by what they cost together; none
    without what rests on a part of it.
    """
    ordered = sorted(parts, key=lambda p: (p.cost, p.called))
    few, many = ordered[:MOST_TOGETHER], ordered[MOST_TOGETHER:]
    found = [each for size in range(len(few) + 1) for each in itertools.combinations(few, size)]
    found = list(dict.fromkeys(with_what_rests(parts, each) for each in found))
    found.sort(key=lambda each: (sum(p.cost for p in each), len(each), sorted(p.called for p in each)))
    yield from found
    if many and all(len(each) < len(ordered) for each in found):
        yield tuple(ordered)


def names(parts: Sequence[Projection]) -> frozenset[str]:
    """Return what a set of parts is called, as `body` takes it."""
    return frozenset(p.called for p in parts)


# --- one over the other -------------------------------------------------------------------------------------

TOUCHING_MM = 5.0
"""Parts told to share no more than this beside or over one another touch there: own figure."""


def _over_plan(a: Projection, b: Projection) -> bool:
    """Tell whether two parts overlap on plan, by the boxes round them, by more than they may touch."""
    p, q = bounds(a.outline), bounds(b.outline)
    shared = min(p[2], q[2]) - max(p[0], q[0]), min(p[3], q[3]) - max(p[1], q[1])
    return min(shared) > TOUCHING_MM


def is_over(a: Projection, b: Projection) -> bool:
    """Tell whether a part is over another: they overlap on plan, its underside at or above that one's top."""
    return b.to_mm is not None and a.from_mm >= b.to_mm - TOUCHING_MM and _over_plan(a, b)


def rests_on(a: Projection, b: Projection) -> bool:
    """Tell whether a part is over another, too near for a hook to come between: it counts as borne by it."""
    return is_over(a, b) and a.from_mm < (b.to_mm or 0.0) + HOOK_OVER_MM


def with_what_rests(parts: Sequence[Projection], off: Sequence[Projection]) -> tuple[Projection, ...]:
    """Return parts that come off with all of `parts` that rests on one of them."""
    found = list(off)
    for lower in found:
        found += [p for p in parts if p not in found and rests_on(p, lower)]
    return tuple(p for p in parts if p in found)


def top_first(
    parts: Sequence[Projection], sooner: Callable[[Projection], bool] = lambda _part: False
) -> list[Projection]:
    """Return parts in the order they come off: none before what is over it; else those `sooner`, then as
    they are.
    """
    left, found = sorted(parts, key=lambda p: not sooner(p)), list[Projection]()
    while left:
        free = (p for p in left if not any(is_over(q, p) for q in left))
        found.append(next(free, left[0]))
        left.remove(found[-1])
    return found


def mixed(parts: Sequence[Projection], off: Sequence[Projection]) -> list[tuple[Projection, Projection]]:
    """Return the pairs of parts, one of them off at least, that overlap on plan and share heights, or may:
    which of them is over the other does not follow.
    """
    return [
        (a, b)
        for a, b in itertools.combinations(parts, 2)
        if (a in off or b in off) and _over_plan(a, b) and not is_over(a, b) and not is_over(b, a)
    ]
