"""Wires, hoses and pipes by their two ends."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import NOTE_LIMIT, clean_text
from shopbins.records import kinds
from shopbins.records.record import Act, Field, Record
from shopbins.strip.connections import KINDS, ends_of, next_number, parts_of
from shopbins.strip.release import release


def connect(
    state: State,
    kind: str,
    a: str,
    b: str,
    name: str | None = None,
    machine: str | None = None,
    note: str | None = None,
) -> Draft:
    """Record a wire, hose or pipe by its two ends; numbers for its flag tags are given out in order."""
    if kind not in KINDS:
        raise BadValue(f"a connection is no {str(kind)[:20]!r} (one of: {', '.join(KINDS)})")
    ends = clean_text(a or "", "end A"), clean_text(b or "", "end B")
    if not all(ends):
        raise BadValue("a connection has two ends: say where each goes")
    doc = {
        "name": clean_text(name or "", "the name") or None,
        "kind": kind,
        "number": next_number(state, kind),
        "a": ends[0],
        "b": ends[1],
        "machine": clean_text(machine or "", "the machine") or None,
        "note": clean_text(note or "", "the note", NOTE_LIMIT, lines=True) or None,
    }
    return Draft("connect", {f"connection:{new_id()}": {k: v for k, v in doc.items() if v is not None}})


def _ends(state: State, key: str, ends: Mapping[str, Any]) -> dict[str, Any]:
    """Return which ends of a connection are joined then, each with its day (True: not known which)."""
    known = ends_of(state.docs("connection")[key])
    for end, joined in ends.items():
        if end not in ("a", "b"):
            raise BadValue(f"a connection has an end A and an end B, no {end[:10]!r}")
        if joined and not known.get(end):
            _check_released(state, state.docs("connection")[key])
        known[end] = joined
    return {"joined": None, "ends": {end: day for end, day in known.items() if day} or None}


def _check_released(state: State, doc: Mapping[str, Any]) -> None:
    """Refuse to join what is called as a part that may not go back on; of several one that may is enough."""
    against = {each: release(state, each, date.today()).why for each in parts_of(state, doc)}
    if against and all(against.values()):
        group, why = next(iter(against.items()))
        part, let = state.group(group), release(state, group, date.today())
        verb = "is" if let.nobody else "waits for"
        raise Refused(f"{part.shown} ({part.code}), the part of that name, {verb} {why}")


def change(state: State, key: str, **fields: Any) -> Draft:
    """Change a connection: name, a, b, note, `ends` ({'a' or 'b': the day it was joined, None: apart}),
    `joined` (both ends), `tagged` (flags printed).
    """
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


CONNECTION = Record(
    "connection",
    "a connection",
    "hose fuel feed, lift pump outlet, filter inlet",
    (
        Field("kind", kinds.one_of(*KINDS), "wire, hose or pipe"),
        Field("name", kinds.TEXT, "what it is", "--name", "NAME", said=" {}"),
        Field("a", kinds.TEXT, "where end A goes", label="end A"),
        Field("b", kinds.TEXT, "where end B goes", label="end B"),
        Field("machine", kinds.MACHINE, "which machine it is on", "--machine"),
        Field("note", kinds.NOTE, "anything else worth knowing", "--note", said="note {}"),
    ),
    (r"note\s+(?P<note>.+)", r"(?P<machine>.+)"),
    lambda doc: "" if doc.get("a") and doc.get("b") else "a connection has two ends: say where each goes",
    lead=(r"(?P<kind>\S+)(?:\s+(?P<name>.+))?", r"(?P<a>.+)", r"(?P<b>.+)"),
    begins="wire, hose or pipe first, then both ends",
)  # fmt: skip
CONNECT = Act("connect", "noted the connection", connect, "connection", CONNECTION.fields)
SET = Act("set connection", "changed the connection", change, "connection", thing=kinds.CONNECTION)
