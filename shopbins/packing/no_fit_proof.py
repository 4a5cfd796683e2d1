"""Proofs that rectangles cannot all lie on a surface: dual feasible functions.

A function f of whole lengths 0..C is dual feasible when lengths with a sum of at most C never have values
with a sum above f(C). Apply one to all lengths and another to all widths: rectangles that fit the surface
have transformed areas that fit the transformed surface (Fekete and Schepers, "A general framework for bounds
for higher-dimensional orthogonal packing problems", 2004). A piece that may be turned counts with the lesser
of its two values, whichever way it lies. Blocked parts count as pieces that lie fixed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial

Sides = tuple[int, int]
Function = Callable[[int], int]
MOST_THRESHOLDS = 14


def whole(x: int) -> int:
    """Leave a length as it is: the plain area bound."""
    return x


def dropped(capacity: int, k: int, x: int) -> int:
    """Count lengths above C - k as all of C, lengths below k as nothing (0 < k <= C/2)."""
    return capacity if x > capacity - k else x if x >= k else 0


def stepped(capacity: int, k: int, x: int) -> int:
    """Count how many k a length holds, and more kindly above half (Carlier, Clautiaux and Moukrim, 2007)."""
    if 2 * x > capacity:
        return 2 * (capacity // k - (capacity - x) // k)
    return capacity // k if 2 * x == capacity else 2 * (x // k)


def functions(capacity: int, lengths: Iterable[int]) -> list[tuple[str, Function]]:
    """Return named dual feasible functions for a capacity, thresholds taken from the lengths at hand."""
    marks = {m for x in lengths for m in (x, capacity - x, capacity - x + 1) if 0 < 2 * m <= capacity}
    marks |= {(capacity + 1) // 2} if capacity % 2 == 0 else set()
    chosen = sorted(marks, reverse=True)
    step = max(1, -(-len(chosen) // MOST_THRESHOLDS))
    found: list[tuple[str, Function]] = [("area", whole)]
    for k in chosen[::step]:
        found.append((f"below {k} dropped", partial(dropped, capacity, k)))
        found.append((f"steps of {k}", partial(stepped, capacity, k)))
    return found


def proof(surface: Sides, pieces: Sequence[Sides], may_turn: Sequence[bool], fixed: Sequence[Sides]) -> str:
    """Return a proof that the pieces and the fixed parts cannot lie on the surface, or an empty string."""
    lengths = {s for piece in (*pieces, *fixed) for s in piece}
    along = [(name, f, f(surface[0])) for name, f in functions(surface[0], lengths)]
    across = [(name, g, g(surface[1])) for name, g in functions(surface[1], lengths)]
    f_of = [{s: f(s) for s in lengths if s <= surface[0]} for _, f, _ in along]
    g_of = [{s: g(s) for s in lengths if s <= surface[1]} for _, g, _ in across]
    never = surface[0] * surface[1] * 16
    for (f_name, _, f_all), fs in zip(along, f_of, strict=True):
        for (g_name, _, g_all), gs in zip(across, g_of, strict=True):
            total = sum(fs[a] * gs[b] for a, b in fixed)
            for (a, b), turns in zip(pieces, may_turn, strict=True):
                value = fs.get(a, never) * gs.get(b, never)
                total += min(value, fs.get(b, never) * gs.get(a, never)) if turns else value
            if total > f_all * g_all:
                share = 100 * total / (f_all * g_all) if f_all * g_all else float("inf")
                return f"along: {f_name}; across: {g_name}; needs {share:.1f} % of the surface so measured"
    return ""
