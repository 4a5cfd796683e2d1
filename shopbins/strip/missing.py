"""A missing part: where it was last seen, by which event, and what was moved from there afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.ledger.docs import where_from
from shopbins.ledger.events import Event
from shopbins.ledger.model import Whereabouts


@dataclass(frozen=True, slots=True)
class Moved:
    """What left the place afterwards: an event and the id of the group, and where it went."""

    event: Event
    group: str
    to: Whereabouts


@dataclass(frozen=True, slots=True)
class LastSeen:
    """Where a group was last known to be: since which event, and (`lost`) by which it was lost from there.

    `event` None: it was never laid down. `moved` are the groups that left the same place since, latest
    first: it may have gone with one of them.
    """

    where: Whereabouts
    event: Event | None
    lost: Event | None
    moved: tuple[Moved, ...]


def last_seen(events: Sequence[Event], group_id: str) -> LastSeen:
    """Search a group in all events, oldest first; what was taken back counts as what it was, a deed."""
    wheres: dict[str, Any] = {}
    seen: Event | None = None
    lost: Event | None = None
    place: Any = None
    moved: list[Moved] = []
    for event in events:
        for subject, fields in event.after.items():
            table, _, key = subject.partition(":")
            if table != "group":
                continue
            if fields is not None and "where" not in fields:
                continue
            new = None if fields is None else fields["where"]
            old = wheres.get(key)
            if key == group_id:
                if new:
                    seen, lost, place, moved = event, None, new, []
                elif place is not None and lost is None:
                    lost = event
            elif place is not None and old and _same(old, place) and not _same(new, place):
                moved.append(Moved(event, key, where_from(new)))
            wheres[key] = new
    return LastSeen(where_from(place), seen, lost, tuple(reversed(moved)))


def _same(one: Any, other: Any) -> bool:
    """Tell whether two whereabouts are the same place: zone and level, or the same holder."""
    if not one or not other:
        return False
    if "zone" in one:
        return (one["zone"], one.get("level", "")) == (other.get("zone"), other.get("level", ""))
    if "group" in one:
        return bool(one["group"] == other.get("group"))
    same: bool = one.get("to") == other.get("to")
    return same and bool(one.get("to"))
