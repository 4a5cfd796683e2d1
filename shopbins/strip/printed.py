"""What a group's label said when it was printed, as short digests, and what has changed since."""

from __future__ import annotations

from datetime import date
from zlib import crc32

from shopbins.ledger.model import Group
from shopbins.ledger.state import State
from shopbins.strip.release import rejected

FIELDS = ("name", "origin", "count", "mass", "cautions", "rejected")
"""What makes a label stale, in the digest's order. Container and disposition change from day to day."""


def digest(state: State, group: Group) -> str:
    """Return the digests of what a label of the group says now: eight hexadecimal digits a field.

    The last is there only while the group is rejected, as in no label of an older ledger.
    """
    mass, why = group.mass, rejected(state, group.id, date.today())
    values = (
        group.name,
        group.origin,
        group.qty,
        None if mass is None else (float(mass.kg), mass.about),
        group.cautions,
        *([why] if why else []),
    )
    return "".join(f"{crc32(repr(each).encode()):08x}" for each in values)


def changed(state: State, group: Group) -> tuple[str, ...]:
    """Return which of FIELDS are no longer what the group's label says; empty where that is not known.

    Not known is: no label printed, a blank one written on by hand, one printed before digests were kept.
    """
    if not group.printed or not group.tagged:
        return ()
    now = digest(state, group)
    if now == group.printed:
        return ()
    return tuple(
        field
        for at, field in enumerate(FIELDS)
        if now[8 * at : 8 * at + 8] != group.printed[8 * at : 8 * at + 8]
    )
