"""Care that comes round again: what is recorded of it. What is due is `strip/care.py`."""

from __future__ import annotations

from datetime import date
from typing import Any

from shopbins.ledger.events import Draft
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records import kinds
from shopbins.records.position import known_position, name_of
from shopbins.records.record import About, Act, Field, Question, Record, Values, Wanted
from shopbins.strip.book import Book
from shopbins.strip.care import care


def _lacks(doc: Values) -> str:
    often = doc.get("every_days") or doc.get("every_hours")
    return "" if often else "say how often: 'every 365 days', 'every 5 years', 'every 250 hours'"


def _settle(state: State, new: dict[str, Any], old: Values) -> dict[str, Any]:
    machine = new.get("machine", old.get("machine"))
    if position := new.get("position", old.get("position")):
        place = known_position(state, position)
        own = state.follower(Book).home(position)
        if "machine" in new and own not in ("", machine):
            raise BadValue(f"{place.name} is of {own}, not of {machine}: the hours are those of its machine")
        if not machine and own:  # its hours count
            machine = new["machine"] = own
    read = state.docs("hours").get(machine or "", {}).get("hours")
    done = new.get("done_hours")
    if done is not None and read is not None and done > read:
        raise BadValue(f"the counter of {machine} read {read:g} h: nothing was done at {done:g} h yet")
    return new


CARE = Record(
    "care",
    "care",
    "renew fuel hoses, every 5 years, done 2024-03-01, engine",
    (
        Field("name", kinds.TEXT, "what is to be done"),
        Field("machine", kinds.MACHINE, "of which machine", "--machine"),
        Field("position", kinds.POSITION, "of which part", "--for", said="for {}", label="part"),
        Field("every_days", kinds.PERIOD, "how often: 365d (days) or 250h (running hours)", "--every",
              said="every {:g} days", label="every so many days"),
        Field("every_hours", kinds.EACH_HOURS, "", "--every", said="every {:g} hours",
              label="every so many hours"),
        Field("done", kinds.PAST, "when it was last done", "--done", said="done {}", label="last done"),
        Field("done_hours", kinds.HOURS, "what the hour counter read when it was last done", "--at-hours",
              said="at {:g} hours", label="at so many hours"),
        Field("gone", kinds.TEXT, "what its procedure names and is no longer to be had", "--gone", "WHAT",
              said="gone {}"),
        Field("instead", kinds.TEXT, "what is used instead", "--instead", "WHAT", said="instead {}"),
        Field("why", kinds.TEXT, "why that may be used", "--why", said="because {}"),
        Field("note", kinds.NOTE, "anything else worth knowing", "--note", said="note {}"),
    ),
    (
        r"every\s+(?P<every_hours>[\d.]+)\s*(?:hours?|h)",
        r"every\s+(?P<every_days>[\d.]+\s*(?:days?|d|weeks?|w|months?|years?|y))",
        r"done(?P<done>|\s.*)",
        r"at\s+(?P<done_hours>[\d.]+)\s*(?:hours?|h)",
        r"for\s+(?P<position>.+)",
        r"gone\s+(?P<gone>.+)",
        r"instead\s+(?P<instead>.+)",
        r"because\s+(?P<why>.+)",
        r"note\s+(?P<note>.+)",
        r"(?P<machine>.+)",
    ),
    _lacks,
    _settle,
)  # fmt: skip


def tell(state: State, key: str, **values: Any) -> Draft:
    """Say more of one; how often, and what it is of, is not written over but corrected, with a reason."""
    old = CARE.known(state, key)
    draft = CARE.change(state, key, **values)
    new = draft.after[f"care:{key}"] or {}
    for name in ("machine", "position", "every_days", "every_hours"):
        if name in new and old.get(name) not in (None, new[name]):
            was = name_of(state, old[name]) if name == "position" else old[name]
            raise Refused(
                f"{old['name']}: {CARE.field(name).said.format(was)} is recorded already: "
                "correct it, with a reason"
            )
    if "done" in new and (new["done"] or "") < old.get("done", ""):
        raise Refused(f"{old['name']} was done {old['done']} already: correct it, with a reason")
    if "done" not in new and "done_hours" not in new:
        return draft
    point, ended = (
        f"care:{key}",
        dict[str, Any](),
    )  # what was accepted, it being overdue, was of the time before
    for each, doc in state.docs("accepted").items():
        if any(point in those for those in (doc.get("open") or {}).values()):
            left = {group: [p for p in those if p != point] for group, those in doc["open"].items()}
            ended[f"accepted:{each}"] = {"open": left}
    return draft._replace(after={**draft.after, **ended})


ADD, _ = CARE.acts(kinds.CARE, "recurring care:")
SET = Act("set care", "changed recurring care:", tell, "care", CARE.fields, kinds.CARE)


def set_hours(state: State, machine: str | None, hours: float, on: str) -> Draft:
    """Draft what a machine's hour counter reads: it never runs backwards."""
    if not (key := kinds.MACHINE.check(machine, "the machine")):
        raise BadValue("say which machine")
    doc = {"hours": checked_hours(state, key, hours), "on": kinds.DATE.check(on, "the date")}
    old = state.docs("hours").get(key)
    if old is not None and doc["on"] < old["on"]:
        raise BadValue(f"the counter of {key} was read on {old['on']} already, as {old['hours']:g} h")
    if old is not None and doc["hours"] < old["hours"]:
        raise BadValue(
            f"the counter of {key} read {old['hours']:g} h on {old['on']}: {hours:g} h is less "
            f"(misread: correct {key} --hours H --reason WHY)"
        )
    return Draft("set hours", {f"hours:{key}": doc})


def checked_hours(state: State, machine: str, hours: float) -> float:
    """Check a reading of a machine's counter: not below the hours at which something was done."""
    found: float = kinds.HOURS.check(hours, "hours")
    for each in state.docs("care").values():
        if each.get("machine") == machine and each.get("done_hours", 0.0) > found:
            done = f"{each['name']} was done at {each['done_hours']:g} h"
            raise BadValue(f"{done}: the counter of {machine} does not read {found:g} h")
    return found


HOURS = Act(
    "set hours", "noted the hours of", set_hours, "hours",
    (
        CARE.field("machine"),
        Field("hours", kinds.HOURS, "what --machine's hour counter reads now", "--hours"),
        Field("on", kinds.PAST, "on which day"),
    ),
)  # fmt: skip


def _done(it: About, _text: str) -> Wanted:
    now = it.state.docs("hours").get(it.doc.get("machine", ""), {}).get("hours")
    known = {} if now is None or not it.doc.get("every_hours") else {"done_hours": now}
    return SET(it.key, done=it.day, **known)


def _hours(it: About, text: str) -> Wanted:
    return HOURS(machine=it.doc.get("machine"), hours=kinds.HOURS.read(text, it.today), on=it.day)


def _gone(it: About, text: str) -> Wanted:
    return SET(it.key, **CARE.read_fields(text, it.today, "gone", "instead", "why"))


QUESTIONS = (
    Question("done today", _done),
    Question("what the hour counter reads", _hours, title="What does its hour counter read?"),
    Question("something is no longer to be had", _gone, "what is used instead, and why",
             "What is no longer to be had; what is used instead; why that may be used?",
             "red lead putty; jointing compound; the maker's bulletin allows it",
             lambda it: "; ".join(str(it.doc[n]) for n in ("gone", "instead", "why") if it.doc.get(n))),
)  # fmt: skip
"""What may be said of one, in the order of the digits that pick it."""


def sentence(state: State, key: str, today: date) -> str:
    """Say when one is due."""
    return next(each.sentence for each in care(state, today) if each.key == key)
