"""A group introduced in one line, the same everywhere; what is rejected says so first."""

from __future__ import annotations

from datetime import date

from shopbins.ledger.state import State
from shopbins.ledger.whereabouts import ordinal, whereabouts
from shopbins.strip.release import rejected

REJECTED = "REJECTED"


def introduce(state: State, group_id: str) -> str:
    """Introduce a group: 'valve springs, inlet · 41st off, from cylinder head 2 · rack a/3, in tub 7'."""
    group = state.group(group_id)
    came = []
    if group.order is not None:
        came.append(f"{ordinal(group.order)} off")
    if group.origin:
        came.append(f"from {group.origin[-1]}")
    name = f"{group.shown} x{group.qty}" if group.qty > 1 else group.shown
    told = (marked(state, group_id, name), ", ".join(came), whereabouts(state, group.where))
    return " · ".join(part for part in told if part)


def marked(state: State, group_id: str, name: str) -> str:
    """Return what a group is called in a list, REJECTED first where nobody may let it through."""
    return f"{REJECTED} {name}" if rejected(state, group_id, date.today()) else name
