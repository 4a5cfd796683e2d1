"""Trial fits: what is on only to be tried, and how often each was, and with what outcome."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shopbins.ledger.events import Event
from shopbins.ledger.model import Fitted, Group, InGroup
from shopbins.ledger.state import State


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial fit of a group: when it went on and when it came off (UTC, ISO), None while it is on."""

    on: str
    off: str | None


def on_trial(state: State) -> list[Group]:
    """Return the groups that are on only to be tried, by themselves (not what was tried with them)."""
    found = []
    for group in state.groups():
        where = group.where
        if (isinstance(where, Fitted) and where.trial) or (
            isinstance(where, InGroup) and where.how == "tried"
        ):
            found.append(group)
    return found


def trials(history: Iterable[Event], group_id: str) -> list[Trial]:
    """Return the trial fits among a group's events, oldest first; taken back ones do not count."""
    events = list(history)
    undone = {each.undoes for each in events if each.undoes}
    found: list[Trial] = []
    for event in events:
        fields = event.after.get(f"group:{group_id}")
        if event.id in undone or event.undoes or fields is None or "where" not in fields:
            continue
        where = fields["where"] or {}
        if where.get("trial") or where.get("how") == "tried":
            found.append(Trial(event.at, None))
        elif found and found[-1].off is None:
            found[-1] = Trial(found[-1].on, event.at)
    return found
