"""Corrections: any recorded value put right, with reason, name and day; the old value is kept for ever."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shopbins.ledger.events import Draft, new_id, split_subject
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records import kinds
from shopbins.records.acts_refit import day_of
from shopbins.records.inspection import check_no_wider
from shopbins.records.position import known_position
from shopbins.records.record import Act, Field
from shopbins.strip.how import TEXTS, checked_how
from shopbins.strip.release import is_within
from shopbins.strip.work import judge

HOW = (*TEXTS, "tighten_nm", "source", "angle_deg", "breakaway_nm")
INSPECTION = ("measured", "low", "high", "instrument")
ENDS = ("a", "b")

FIELDS = (
    *(Field(name, kinds.TEXT, f"how it came off: {said}", f"--{name}") for name, said in TEXTS.items()),
    Field("tighten_nm", kinds.TORQUE, "what it is tightened to, as '65 N.m'", "--tighten"),
    Field("source", kinds.TEXT, "what says so", "--source"),
    Field("angle_deg", kinds.ANGLE, "and then by how many degrees", "--angle"),
    Field("breakaway_nm", kinds.TORQUE, "what it broke away at", "--breakaway"),
    Field("days", kinds.SPAN, "how many days putting it back takes", "--days"),
    Field("measured", kinds.TEXT, "an inspection's value", "--measured", "VALUE"),
    Field("low", kinds.TEXT, "its least", "--min", "LIMIT"),
    Field("high", kinds.TEXT, "its most", "--max", "LIMIT"),
    Field("instrument", kinds.TEXT, "what it was measured with", "--instrument"),
    Field("a", kinds.TEXT, "where end A of a hose, wire or pipe goes", "--end-a", "PLACE"),
    Field("b", kinds.TEXT, "where end B goes", "--end-b", "PLACE"),
)


def fix(
    state: State, subject: str, fields: Mapping[str, Any], reason: str, *, by: str = "", on: str | None = None
) -> Draft:
    """Correct fields of one document; BadValue where they are not of it, Refused where nothing changes."""
    why = reason_text(reason)
    if not why:
        raise BadValue("say why it is corrected")
    table, key = split_subject(subject)
    old = state.docs(table).get(key, {})
    if table == "part":
        after, name = _part(state, key, old, fields)
    elif table == "inspection":
        after, name = _inspection(old, fields), old["what"]
    elif table == "connection" and set(fields) <= set(ENDS):
        after, name = {end: _text(value) for end, value in fields.items()}, old.get("name", old["kind"])
    else:
        raise BadValue(f"{', '.join(fields)} cannot be corrected together")
    was = {field: old.get(field) for field in after}
    if was == after:
        raise Refused("it is recorded so already")
    doc = {
        "table": table, "key": key, "field": ", ".join(fields), "old": was, "new": after, "why": why,
        "by": by or None, "on": day_of(on).isoformat(), "text": f"{name}: {_said(was, fields)} corrected",
        "group": old.get("group"),
    }  # fmt: skip
    kept = {name: value for name, value in doc.items() if value is not None}
    about = (f"group:{old['group']}",) if old.get("group") else ()
    return Draft("fix", {subject: after, f"correction:{new_id()}": kept}, about)


def _text(value: Any) -> str:
    text = clean_text(str(value), "the place")
    if not text:
        raise BadValue("a connection has two ends: say where each goes")
    return text


def _said(was: Mapping[str, Any], fields: Mapping[str, Any]) -> str:
    old = [str(was.get(name, was.get("how", {}).get(name) if was.get("how") else None)) for name in fields]
    return ", ".join(f"{name} {value}" for name, value in zip(fields, old, strict=True))


def _part(state: State, position: str, old: Any, fields: Mapping[str, Any]) -> tuple[dict[str, Any], str]:
    place = known_position(state, position)
    if not set(fields) <= {*HOW, "days"}:
        raise BadValue(f"{', '.join(fields)} cannot be corrected together")
    after: dict[str, Any] = {}
    how = {name: value for name, value in fields.items() if name in HOW}
    if how:
        kept = {**old.get("how", {}), **checked_how(how)}
        after["how"] = {
            name: value for name, value in kept.items() if value not in (None, "", [], False)
        } or None
    if "days" in fields:
        after["days"] = kinds.SPAN.check(fields["days"], "days")
    return after, place.name


def _inspection(old: Any, fields: Mapping[str, Any]) -> dict[str, Any]:
    new = {**{n: old.get(n, "") for n in INSPECTION}, **fields}
    found = judge(new["measured"], new["low"] or "", new["high"] or "")
    if is_within(old) is False and found.verdict != "beyond" and new["measured"] == old.get("measured"):
        check_no_wider(old["what"], old, found.doc)
    names = ("measured", "low", "high", "measured_mm", "low_mm", "high_mm")
    after = {name: found.doc.get(name) for name in names} | {"verdict": found.verdict}
    if "instrument" in fields:
        after["instrument"] = clean_text(fields["instrument"], "the instrument") or None
    return {name: value for name, value in after.items() if old.get(name) != value}


FIX = Act(
    "fix", "corrected", fix, "correction",
    (Field("reason", kinds.TEXT, "why"), Field("on", kinds.DATE, "on which day")), signed=True,
)  # fmt: skip
