"""Sets of small whole numbers as the bits of one."""

from __future__ import annotations

from collections.abc import Iterable


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
