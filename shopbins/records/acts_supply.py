"""Acts about matched sets and connections.

Pure functions from the state to a draft, as in acts.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.model import Group
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import NOTE_LIMIT, clean_text
from shopbins.records.acts import known, subject
from shopbins.strip.connections import ends_of

# -- sets, connections


def add_set(state: State, group_ids: Sequence[str], name: str, seats: Sequence[str] = ()) -> Draft:
    """Record groups as a matched set (bearing and cap, valve and seat), each with its seat where given."""
    ids = list(dict.fromkeys(group_ids))
    if not ids:
        raise BadValue("a matched set has at least one group (of several pieces) in it")
    groups = [known(state, each) for each in ids]
    if len(ids) == 1 and groups[0].qty < 2:
        raise BadValue("a matched set has at least two pieces")
    if seats and len(seats) != len(ids):
        raise BadValue(f"{len(seats)} seats were given for {len(ids)} groups")
    doc: dict[str, Any] = {"name": clean_text(name, "the set's name"), "positions": _seats(groups)}
    if not doc["name"]:
        raise BadValue("a matched set needs a name")
    doc["matched"] = [each.id for each in groups if each.brought] or None
    if seats:
        doc["seats"] = [clean_text(each, "a seat") for each in seats]
    again = next(
        (k for k, old in state.docs("set").items() if old["name"].casefold() == doc["name"].casefold()), ""
    )
    if again:  # matched anew: what was bought for it belongs to it now
        old = state.docs("set")[again]
        more = [p for p in old["positions"] if p not in doc["positions"]]
        doc["positions"] += more
        if old.get("seats") and not seats:
            doc["seats"] = [s for _, s in sorted(zip(old["positions"], old["seats"], strict=False),
                            key=lambda pair: doc["positions"].index(pair[0]))]  # fmt: skip
    return Draft("match", {f"set:{again or new_id()}": doc}, tuple(map(subject, ids)))


def _seats(groups: Sequence[Group]) -> list[str]:
    return [position for group in groups for position in group.positions]


def drop_set(state: State, key: str) -> Draft:
    """Have a matched set no longer be one."""
    if key not in state.docs("set"):
        raise Refused("there is no such matched set any more")
    return Draft("no longer matched", {f"set:{key}": None})


def connect(
    state: State, name: str, kind: str, end_a: str, end_b: str, machine: str = "", note: str = ""
) -> Draft:
    """Record a wire, hose or pipe by its two ends; numbers for its flag tags are given out in order."""
    from shopbins.strip.connections import KINDS, next_number

    if kind not in KINDS:
        raise BadValue(f"a connection is no {kind[:20]!r} (one of: {', '.join(KINDS)})")
    ends = clean_text(end_a, "end A"), clean_text(end_b, "end B")
    if not all(ends):
        raise BadValue("a connection has two ends: say where each goes")
    doc = {
        "name": clean_text(name, "the name") or None,
        "kind": kind,
        "number": next_number(state, kind),
        "a": ends[0],
        "b": ends[1],
        "machine": clean_text(machine, "the machine") or None,
        "note": clean_text(note, "the note", NOTE_LIMIT, lines=True) or None,
    }
    return Draft("connect", {f"connection:{new_id()}": {k: v for k, v in doc.items() if v is not None}})


def _ends(state: State, key: str, ends: Mapping[str, Any]) -> dict[str, Any]:
    """Return which ends of a connection are joined then, each with its day (True: not known which)."""
    known = ends_of(state.docs("connection")[key])
    for end, joined in ends.items():
        if end not in ("a", "b"):
            raise BadValue(f"a connection has an end A and an end B, no {end[:10]!r}")
        known[end] = joined
    return {
        "joined": None,
        "ends": {end: day for end, day in known.items() if day} or None,
    }


def set_connection(state: State, key: str, **fields: Any) -> Draft:
    """Change a connection: name, a, b, note, `ends` ({'a' or 'b': the day it was joined, None: apart}),
    `joined` (both ends), `tagged` (flags printed)."""
    if key not in state.docs("connection"):
        raise Refused("there is no such connection any more")
    doc: dict[str, Any] = {}
    for name, value in fields.items():
        if name == "tagged":
            doc[name] = bool(value) or None
        elif name == "joined":  # both ends at once
            doc |= _ends(state, key, {"a": value, "b": value})
        elif name == "ends":
            doc |= _ends(state, key, value)
        elif name in ("name", "a", "b", "note"):
            doc[name] = clean_text(value, f"a connection's {name}", NOTE_LIMIT, lines=name == "note") or None
        else:
            raise BadValue(f"a connection has no {name!r} that could be set")
    if not doc or any(doc.get(end, "") is None for end in ("a", "b")):
        raise BadValue("a connection has two ends: say where each goes")
    return Draft("set connection", {f"connection:{key}": doc})
