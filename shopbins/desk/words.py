"""Groups, places and deeds in a rebuilder's words; the screen, the command line and reports say the same."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from shopbins.ledger.docs import where_from
from shopbins.ledger.model import Away, Fitted, Group, How, InGroup, InZone, Whereabouts
from shopbins.search.search import Row

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.ledger.state import State


def place(zone: str, level: str = "") -> str:
    """Say a place: 'rack a/3', or just the zone where it has one level."""
    return f"{zone}/{level}" if level else zone


def ordinal(number: int) -> str:
    """Say 1st, 2nd, 3rd, 11th ..."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"


def origin(parts: tuple[str, ...]) -> str:
    """Say where on the machine something came from, the nearest assembly first: 'cylinder head 2, engine'."""
    return ", ".join(reversed(parts))


HOW_WORDS: dict[How, str] = {"in": "in", "on": "on", "fitted": "fitted to", "tried": "on trial on"}


def whereabouts(state: State, where: Whereabouts) -> str:
    """Say where something is: 'rack a/3, in tub 7', 'unplaced', 'away at the grinder until 2026-12-24'."""
    chain: list[str] = []
    seen: set[str] = set()
    while isinstance(where, InGroup):
        if where.group in seen or not state.has_group(where.group):
            return ", ".join(
                ["nowhere (in itself)" if where.group in seen else "in a part that is gone", *chain]
            )
        seen.add(where.group)
        holder = state.group(where.group)
        chain.insert(0, f"{HOW_WORDS[where.how]} {holder.shown}")
        where = holder.where
    return ", ".join([_end(where), *chain])


def _end(where: InZone | Away | Fitted | None) -> str:
    if where is None:
        return "waiting"
    if isinstance(where, Fitted):
        return "on the machine, on trial" if where.trial else "on the machine"
    if isinstance(where, InZone):
        return place(where.zone, where.level)
    until = f" until {where.until}" if where.until else ""
    return f"away at {where.to}{until}"


def introduce(state: State, group: Group) -> str:
    """Introduce a group: 'valve springs, inlet · 41st off, from cylinder head 2 · rack a/3, in tub 7'."""
    came = []
    if group.order is not None:
        came.append(f"{ordinal(group.order)} off")
    if group.origin:
        came.append(f"from {group.origin[-1]}")
    name = f"{group.shown} x{group.qty}" if group.qty > 1 else group.shown
    return " · ".join(part for part in (name, ", ".join(came), whereabouts(state, group.where)) if part)


def row(state: State, group: Group) -> Row:
    """Return what is searched of a group."""
    other = (
        group.code,
        *group.also_codes,
        *group.origin,
        group.container if group.container != "bare" else "",
        group.disposition if group.disposition != "undecided" else "",
        whereabouts(state, group.where),
        *group.cautions,
        group.note,
    )
    return Row(group.id, group.name, " ".join(part for part in other if part))


def deed(state: State, event: Event, about: str | None = None) -> str:
    """Say what an event did, in one sentence without time and person."""
    from shopbins.records.registry import ACTS

    said = []
    for kind in event.kind.split(" + "):
        act = ACTS.get(kind)
        own = (each for each in event.subjects if act is not None and each.partition(":")[0] == act.table)
        first = next(own, event.subjects[0] if event.subjects else "")
        verb = act.did if act is not None else _VERBS.get(kind, kind)
        said.append(_deed(state, event, kind, verb, first if about is None else f"group:{about}"))
    return " and ".join(said)


def _deed(state: State, event: Event, kind: str, verb: str, subject: str) -> str:
    after: Any = event.after.get(subject)
    before: Any = event.before.get(subject)
    name = _name(state, subject, after, before)
    more = len(event.subjects) - 1
    if kind == "change":
        more = sum(each.startswith("group:") for each in event.subjects) - 1
    others = f" and {more} more" if more > 0 and kind in _COUNTED else ""
    where = ""
    if isinstance(after, dict) and "where" in after:
        where = f": {whereabouts(state, where_from(after['where']))}" if after["where"] else ": waiting"
    changed = ""
    if kind == "change" and isinstance(after, dict):
        changed = f" ({', '.join(after)})"
    if kind == "inspect":
        docs = [doc for each, doc in event.after.items() if each.startswith("inspection:") and doc]
        measured = (f"{d.get('what', '')} {d.get('measured', '')}: {d.get('verdict', '')}" for d in docs)
        changed = "".join(f" ({each})" for each in measured)
    return f"{verb} {name}{others}{changed}{where}".strip()


_COUNTED = ("add photos", "issue blanks", "mark tagged", "merge", "import", "rename assembly", "change")

_VERBS = {
    "drew": "drew in the shop file",
    "rescue": "rescued the ledger",
    "take": "took off",
    "lay": "put down",
    "put in": "put",
    "put on": "put",
    "undo": "undid:",
    "redo": "did again:",
    "issue blanks": "gave out blank labels",
    "issue place codes": "gave out place codes",
    "mark tagged": "printed labels of",
    "move thing": "shifted",
    "accept": "accepted:",
    "override": "accepted",
    "clear override": "let count again",
    "part off": "took a part off",
    "part on": "put a part back on",
    "plan": "planned to move",
    "tick": "ticked a step of moving",
    "unplan": "no longer planned to move",
    "import": "imported",
    "add photos": "added photographs:",
}


_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}")
"""What only the program calls a thing by."""


def _other_name(state: State, table: str, key: str, after: Any, before: Any) -> str:
    """Return what something that is no group is called: by its own name, a relation by what it holds."""
    if table == "before":
        first, _, then = key.partition("|")
        return f"{_position_name(state, then)} ({_position_name(state, first)})"
    for doc in (state.docs(table).get(key), after, before):
        if doc is not None and doc.get("name"):
            return str(doc["name"])
    if table == "part":
        return _position_name(state, key)
    for doc in (state.docs(table).get(key), after, before):  # of a group: an inspection, a correction
        if doc is not None and (doc.get("text") or doc.get("group")):
            group = doc.get("group", "")
            return str(doc.get("text") or _name(state, f"group:{group}", None, None))
    return "" if _ID.fullmatch(key) else key


def _position_name(state: State, key: str) -> str:
    """Return what a position is called."""
    from shopbins.strip.tree import listed

    doc = listed(state).get(key, {})
    if doc.get("name"):
        return str(doc["name"])
    return state.group(key).shown if state.has_group(key) else "a part since merged"


def _name(state: State, subject: str, after: Any, before: Any) -> str:
    table, _, key = subject.partition(":")
    if table not in ("group", "plan"):  # a planned move goes by the group it moves
        return _other_name(state, table, key, after, before)
    if state.has_group(key):
        return state.group(key).shown
    for doc in (after, before):
        if isinstance(doc, dict) and doc.get("name"):
            return str(doc["name"])
    return "a part since gone"


def day_of(at: str) -> str:
    """Return the day here of a time in UTC, as documents have it."""
    from datetime import datetime

    return datetime.fromisoformat(at).astimezone().date().isoformat()
