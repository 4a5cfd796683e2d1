"""What was done, in a rebuilder's words; and the words a group is found by."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.ledger.docs import where_from
from shopbins.ledger.model import Group
from shopbins.ledger.whereabouts import whereabouts
from shopbins.search.search import Indexed
from shopbins.strip.release import rejected

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.ledger.state import State


def row(state: State, group: Group) -> Indexed:
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
        rejected(state, group.id, date.today()),
    )
    return Indexed(group.id, group.name, " ".join(part for part in other if part))


def deed(state: State, event: Event, about: str | None = None) -> str:
    """Say what an event did, in one sentence without time and person."""
    from shopbins.records.registry import ACTS

    said = []
    for kind in event.kind.split(" + "):
        act = ACTS.get(kind)
        own = (each for each in event.subjects if act is not None and each.partition(":")[0] == act.table)
        plan = (f"group:{each.partition(':')[2]}" for each in event.subjects if each.startswith("plan:"))
        first = next(plan if kind == "tick" else own, event.subjects[0] if event.subjects else "")
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
    "base off": "took a base off",
    "part on": "put a part back on",
    "plan": "planned to move",
    "tick": "ticked a step of moving",
    "unplan": "no longer planned to move",
    "import": "imported",
    "add photos": "added photographs:",
}


_ID = r"[0-9a-f]{8}-[0-9a-f-]{27}"
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
    return "" if re.fullmatch(_ID, key) else key


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
