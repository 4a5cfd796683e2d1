"""Corrections: any recorded value put right, with reason, name and day; the old value is kept for ever."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from shopbins.ledger.events import Changes, Draft, split_subject
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records import kinds
from shopbins.records.acts import correction, known
from shopbins.records.care import CARE, HOURS, checked_hours
from shopbins.records.how import CAME_OFF, DAYS
from shopbins.records.inspection import INSPECTION, check_no_wider
from shopbins.records.matched import MATCHED, checked_set
from shopbins.records.position import known_position, name_of, shown_in
from shopbins.records.record import Act, Field
from shopbins.records.relation import before, key_of
from shopbins.strip.how import TEXTS, checked_how, how_lines
from shopbins.strip.work import judge, length_mm

HOW = (*TEXTS, "tighten_nm", "source", "angle_deg", "breakaway_nm", "left_hand", "shims")
MEASURED = ("measured", "low", "high", "instrument")


def _shim(text: str, _today: date) -> tuple[int, int, float, str]:
    """Read which shim on record is another: '1: 2,0.05mm,front' (the first is two of 0.05 mm)."""
    found = re.fullmatch(r"\s*(\d{1,3})\s*[:=]\s*(\d{1,4})\s*,([^,]+)(?:,(.*))?", text)
    if found is None:
        raise BadValue(f"{text.strip()[:30]!r} is no shim on record (write it as '1: 2,0.05mm,front')")
    return int(found[1]), int(found[2]), length_mm(found[3]), (found[4] or "").strip()


SHIM = kinds.Kind("N: SHIM", lambda value, _what: value, _shim)
HAND = kinds.Kind("yes|no", lambda value, _what: value, lambda text, _today: text.strip().lower() == "yes")

FIELDS = (
    *(CAME_OFF.field(name) for name in HOW if name not in ("left_hand", "shims")),
    Field("left_hand", HAND, "whether its thread is left-hand", "--left-hand"),
    Field("shims", SHIM, "which shim on record is another, as '1: 2,0.05mm,front'", "--shim", many=True),
    *DAYS.fields,
    Field("after", kinds.POSITION, "what it came off after (may be repeated; '' for nothing)", "--after",
          many=True),
    Field("measured", kinds.TEXT, "an inspection's value", "--measured", "VALUE"),
    *(INSPECTION.field(name) for name in ("low", "high", "instrument")),
    Field("a", kinds.TEXT, "where end A of a hose, wire or pipe goes", "--end-a", "PLACE"),
    Field("b", kinds.TEXT, "where end B goes", "--end-b", "PLACE"),
    Field("groups", kinds.GROUP, "what belongs to a matched set (may be repeated)", "--piece", many=True),
    MATCHED.field("seats"),
    Field("codes", kinds.GROUP, "the part a photograph shows (may be repeated)", "--shows", many=True),
    *(each for each in HOURS.fields if each.name == "hours"),
)  # fmt: skip


class Fixed(NamedTuple):
    """What a correction comes to: the documents it sets, its old and new values, what it is of.

    `about` are further subjects whose history shows it, `said` its old values where they are ids.
    """

    after: Changes
    old: Mapping[str, Any]
    new: Mapping[str, Any]
    name: str
    about: Sequence[str] = ()
    said: str = ""


def fix(
    state: State, subject: str, fields: Mapping[str, Any], reason: str, *, by: str = "", on: str | None = None
) -> Draft:
    """Correct fields of one document; BadValue where they are not of it, Refused where nothing changes."""
    why = reason_text(reason)
    if not why:
        raise BadValue("say why it is corrected")
    table, key = split_subject(subject)
    names, work = _OF.get("before" if "after" in fields else table, ((), None))
    if work is None or not set(fields) <= set(names):
        raise BadValue(f"{', '.join(fields)} cannot be corrected together")
    old = state.docs(table).get(key, {})
    found = work(state, key, old, fields)
    if found.old == found.new:
        raise Refused("it is recorded so already")
    kept = correction(
        table, key, f"{found.name}: {found.said or _said(found)} corrected", why, by=by, on=on,
        field=", ".join(fields), old=dict(found.old), new=dict(found.new), group=old.get("group"),
    )  # fmt: skip
    about = (f"group:{old['group']}",) if old.get("group") else tuple(found.about)
    return Draft("fix", {**found.after, **kept}, about)


def _said(found: Fixed) -> str:
    """Say the values that were wrong: 'measured 9.00mm, low 9.50mm'."""
    told = []
    for name, value in found.old.items():
        if name == "how":
            was, now = value or {}, found.new.get("how") or {}
            told += [_how_said(n, was.get(n)) for n in {**was, **now} if was.get(n) != now.get(n)]
        elif found.new.get(name) != value:
            shown = ", ".join(map(str, value)) if isinstance(value, list | tuple) else value
            label = name.replace("_", " ")
            told.append(f"{label} {'nothing' if value in (None, []) else shown}")
    return ", ".join(told)


def _how_said(name: str, value: Any) -> str:
    if name in ("shims", "left_hand") and value:
        return ", ".join(how_lines({name: value}))
    label = name.removesuffix("_nm").removesuffix("_deg").replace("_", " ")
    return f"{label} {'nothing' if value is None else 'no' if value is False else value}"


def _of_doc(table: str, key: str, old: Mapping[str, Any], after: Mapping[str, Any], name: str) -> Fixed:
    """Return a correction of one document's own fields."""
    return Fixed({f"{table}:{key}": dict(after)}, {field: old.get(field) for field in after}, after, name)


def _connection(_state: State, key: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    after = {end: clean_text(str(value or ""), "the place") for end, value in fields.items()}
    if not all(after.values()):
        raise BadValue("a connection has two ends: say where each goes")
    return _of_doc("connection", key, old, after, old.get("name", old["kind"]))


def _part(state: State, position: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    place = known_position(state, position)
    after: dict[str, Any] = {}
    how = {name: value for name, value in fields.items() if name in HOW}
    if how:
        if "shims" in how:
            how["shims"] = _shims(place.name, old.get("how", {}).get("shims", ()), how["shims"])
        kept = {**old.get("how", {}), **checked_how(how)}
        after["how"] = {
            name: value for name, value in kept.items() if value not in (None, "", [], False)
        } or None
    if "days" in fields:
        after["days"] = kinds.SPAN.check(fields["days"], "days") if fields["days"] else None
    return _of_doc("part", position, old, after, place.name)


def _shims(name: str, old: Sequence[Any], given: Sequence[Any]) -> list[Any]:
    """Return the shims on record with those that are others, each by its number (1 first)."""
    shims = [list(each) for each in old]
    for n, *shim in given:
        if not 1 <= n <= len(shims):
            raise Refused(f"{name} has no shim {n} on record")
        shims[n - 1] = shim
    return shims


def _relation(state: State, position: str, _old: Any, fields: Mapping[str, Any]) -> Fixed:
    """Correct what a position came off after: what was said and is not so goes, what was not comes."""
    name = known_position(state, position).name
    was = [doc["a"] for doc in state.docs("before").values() if doc["b"] == position]
    now = list(dict.fromkeys(fields["after"] or ()))
    gone: dict[str, Any] = {key_of(each, position): None for each in was if each not in now}
    ahead = state.copy()
    ahead.apply(gone, state.seq)
    more = [each for each in now if each not in was]
    told = before(ahead, position, more).after if more else {}
    names = [[name_of(state, each) for each in which] for which in (was, now)]
    about = tuple(shown_in(state, (position, *was, *now)))
    return Fixed({**gone, **told}, {"after": names[0]}, {"after": names[1]}, name, about)


def _inspection(_state: State, key: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    new = {**{n: old.get(n, "") for n in MEASURED}, **fields}
    found = judge(new["measured"], new["low"] or "", new["high"] or "")
    check_no_wider(old["what"], old, found.doc)
    names = ("measured", "low", "high", "measured_mm", "low_mm", "high_mm")
    after = {name: found.doc.get(name) for name in names} | {"verdict": found.verdict}
    if "instrument" in fields:
        after["instrument"] = clean_text(fields["instrument"] or "", "the instrument") or None
    changed = {name: value for name, value in after.items() if old.get(name) != value}
    done = _of_doc("inspection", key, old, changed, old["what"])
    told = {name: value for name, value in done.old.items() if name in MEASURED}
    return done._replace(old=told, new={name: changed[name] for name in told})


def _matched(state: State, key: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    groups = fields.get("groups")
    matched = None if groups is None else [known(state, each) for each in groups]
    after = checked_set(old, matched, fields.get("seats"))
    told = [f"pieces {', '.join(name_of(state, each) for each in old['positions'])}"] if groups else []
    told += [f"seats {', '.join(old.get('seats') or ('nothing',))}"] if "seats" in after else []
    return _of_doc("set", key, old, after, old["name"])._replace(said=", ".join(told))


def _photo(state: State, key: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    groups = [known(state, each) for each in fields["codes"] or ()]
    after = {"codes": [each.code for each in groups]}
    of = [state.resolve_code(code) for code in old["codes"]]
    about = [f"group:{each[1]}" for each in of if each is not None and each[0] == "group"]
    about += [f"group:{each.id}" for each in groups]
    return _of_doc("photo", key, old, after, old["name"])._replace(about=tuple(dict.fromkeys(about)))


def _care(state: State, key: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    after = CARE.change(state, key, **fields).after[f"care:{key}"] or {}
    return _of_doc("care", key, old, after, old["name"])


def _hours(state: State, machine: str, old: Any, fields: Mapping[str, Any]) -> Fixed:
    if not old:
        raise Refused(f"nobody said yet what the counter of {machine} reads")
    after = {"hours": checked_hours(state, machine, fields["hours"])}
    return _of_doc("hours", machine, old, after, machine)


_OF: Mapping[str, tuple[Sequence[str], Callable[[State, str, Any, Mapping[str, Any]], Fixed]]] = {
    "part": ((*HOW, "days"), _part),
    "before": (("after",), _relation),
    "inspection": (MEASURED, _inspection),
    "connection": (("a", "b"), _connection),
    "set": (("groups", "seats"), _matched),
    "photo": (("codes",), _photo),
    "care": (tuple(each.name for each in CARE.fields if each.option), _care),
    "hours": (("hours",), _hours),
}
"""Which fields of which documents are corrected, and how."""


def table_of(fields: Mapping[str, Any]) -> str:
    """Return the table of the document these fields are of, '' where they are of several."""
    for table, (names, _) in _OF.items():
        if set(fields) <= set(names):
            return "part" if table == "before" else table
    return ""


FIX = Act(
    "fix", "corrected", fix, "correction",
    (*FIELDS, Field("reason", kinds.TEXT, "why; it is kept", "--reason", "WHY"),
     Field("on", kinds.PAST, "on which day")),
    signed=True,
)  # fmt: skip
