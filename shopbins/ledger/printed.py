"""What a group's tag said when it was printed, as short digests, and what has changed since."""

from __future__ import annotations

from zlib import crc32

from shopbins.ledger.model import Group

FIELDS = ("name", "origin", "count", "mass", "cautions")
"""What makes a tag stale, in the digest's order. Container and disposition change from day to day."""


def _values(group: Group) -> tuple[object, ...]:
    mass = group.mass
    return (
        group.name,
        group.origin,
        group.qty,
        None if mass is None else (float(mass.kg), mass.about),
        group.cautions,
    )


def digest(group: Group) -> str:
    """Return the digests of what a tag of the group says now: eight hexadecimal digits a field."""
    return "".join(f"{crc32(repr(each).encode()):08x}" for each in _values(group))


def changed(group: Group) -> tuple[str, ...]:
    """Return which of FIELDS are no longer what the group's tag says; empty where that is not known.

    Not known is: no tag printed, a blank tag written on by hand, one printed before digests were kept.
    """
    if not group.printed or not group.tagged:
        return ()
    now = digest(group)
    if now == group.printed:
        return ()
    return tuple(
        field
        for at, field in enumerate(FIELDS)
        if now[8 * at : 8 * at + 8] != group.printed[8 * at : 8 * at + 8]
    )
