"""Undo and redo: which event to take back, and whether it can be taken back cleanly."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import NamedTuple

from shopbins.ledger.events import Changes, Draft, Event, before_of, inverse, split_subject
from shopbins.ledger.problems import Conflict, Refused
from shopbins.ledger.state import State

DREW = "drew"
"""A saved step of drawing: it is taken back on Draw, in the shop file."""

NOT_TAKEN_BACK = (DREW, "rescue")


class Choice(NamedTuple):
    """The event to take back, and what others recorded since that still stands, newest first."""

    event: Event
    since: tuple[Event, ...]


def needle(subject: str) -> bytes:
    """Return the bytes by which a subject is found in the journal."""
    return json.dumps(subject, ensure_ascii=False).encode()


def told(event: Event) -> str:
    """Say an event in a few words: who, what, when, which number."""
    return f"{event.by} recorded '{event.kind}' at {event.at[:16].replace('T', ' ')} UTC (event {event.seq})"


def last_standing(newest_first: Iterable[Event], by: str) -> Choice:
    """Choose my last event that was not taken back; raises Refused if there is none."""
    walk = _Walk(by)
    for event in newest_first:
        if (
            walk.stands(event)
            and event.by == by
            and event.undoes is None
            and event.kind not in NOT_TAKEN_BACK
        ):
            return walk.choice(event)
    raise Refused(f"there is nothing of {by}'s to undo")


def last_undo(newest_first: Iterable[Event], by: str) -> Choice:
    """Choose my last undo that stands, unless something new of mine came after it; raises Refused."""
    walk = _Walk(by)
    for event in newest_first:
        if not walk.stands(event) or event.by != by:
            continue
        if event.kind == "undo":
            return walk.choice(event)
        if event.undoes is None:
            break
    raise Refused(f"there is no undo of {by}'s to take back")


class _Walk:
    """Going back through the events, keeping which were taken back and what others did."""

    def __init__(self, by: str) -> None:
        self.by = by
        self.taken_back: set[str] = set()
        self.since: dict[str, Event] = {}

    def stands(self, event: Event) -> bool:
        """Note an event, tell whether no later one took it back."""
        if event.id in self.taken_back:
            # It and what took it back cancel out: neither stands in the way.
            self.since.pop(event.id, None)
            return False
        if event.undoes is not None:
            self.taken_back.add(event.undoes)
        if event.by != self.by:
            self.since[event.undoes or event.id] = event
        return True

    def choice(self, event: Event) -> Choice:
        """Return the chosen event with what others did after it, newest first."""
        return Choice(event, tuple(self.since.values()))


def draft(state: State, choice: Choice, kind: str) -> Draft:
    """Return the change that takes the chosen event back; raises Conflict or Refused where it cannot be."""
    event, after = choice.event, inverse(choice.event)
    for later in choice.since:
        if after.keys() & set(later.subjects):
            raise Conflict(f"{told(event)} cannot be taken back: since then {told(later)}", later)
    if before_of(state.tables, after) != _as_left(event):
        raise Refused(f"{told(event)} cannot be taken back: what it changed is no longer as it left it")
    _check_whole(state, after)
    also = tuple(subject for subject in event.subjects if subject not in after)
    return Draft(kind, after, also, undoes=event.id)


def _as_left(event: Event) -> dict[str, object]:
    """Return the changed fields as the event left them, in the form `before_of` gives for its inverse."""
    left: dict[str, object] = {}
    for subject, fields in event.after.items():
        if event.before[subject] is None and fields is not None:
            left[subject] = {name: value for name, value in fields.items() if value is not None}
        else:
            left[subject] = fields
    return left


def _check_whole(state: State, after: Changes) -> None:
    """Refuse a change that would leave groups in a group that is gone, or in themselves."""
    parents: dict[str, str | None] = {}
    gone: set[str] = set()
    for subject, fields in after.items():
        table, key = split_subject(subject)
        if table != "group":
            continue
        if fields is None:
            gone.add(key)
        elif "where" in fields:
            parents[key] = (fields["where"] or {}).get("group")
    for key in gone:
        held = [child for child in state.children(key) if child not in gone and child not in parents]
        if held:
            raise Refused(
                f"{state.group(key).shown} cannot be taken back: {state.group(held[0]).shown} lies in it now"
            )
    inside = state.index.inside
    for key, parent in parents.items():
        seen = {key}
        while parent is not None:
            if parent in gone or not (state.has_group(parent) or f"group:{parent}" in after):
                raise Refused("it cannot be taken back: the part it lay in is gone")
            if parent in seen:
                raise Refused("it cannot be taken back: a part would come to lie in itself")
            seen.add(parent)
            parent = parents[parent] if parent in parents else inside.get(parent)
