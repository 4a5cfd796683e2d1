"""What the work is towards: a date, what must be on by then, what goes on only after it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.events import Draft
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records import kinds
from shopbins.records.acts import correction
from shopbins.records.position import known_position, shown_in
from shopbins.records.record import About, Act, Field, Question, Record, together
from shopbins.strip.order import Order


def set_milestone(
    state: State,
    name: str,
    *,
    needs: Sequence[kinds.Key] | None = None,
    by: str | None = None,
    move: bool | None = None,
    reason: str = "",
) -> Draft:
    """Draft a milestone, or add to one: what it needs back on, its date, and whether it is a move.

    What it needs are positions by their key, or assemblies by their path. A later date for one that is
    overdue wants a `reason`, which is kept.
    """
    clean = clean_text(name, "a milestone's name", 80)
    if not clean:
        raise BadValue("a milestone needs a name")
    key = clean.casefold()
    old = state.docs("milestone").get(key, {})
    positions = [each for each in needs or () if isinstance(each, str)]
    paths = [each for each in needs or () if not isinstance(each, str)]
    for each in positions:
        known_position(state, each)
    doc: dict[str, Any] = {"name": old.get("name", clean)}
    more: dict[str, Any] = {}
    if positions:
        doc["positions"] = list(dict.fromkeys((*old.get("positions", ()), *positions)))
    if paths:
        known = map(tuple, old.get("paths", ()))
        doc["paths"] = [list(path) for path in dict.fromkeys((*known, *map(tuple, paths)))]
    if by is not None:
        doc["by"] = values.checked_date(by, "the date")
        was = old.get("by") or ""
        if was and not old.get("done") and was < date.today().isoformat() and doc["by"] > was:
            why = reason_text(reason)
            if not why:
                raise BadValue(f"{doc['name']} was due {was}: say why it is {doc['by']} now (--reason)")
            more = correction("milestone", key, f"{doc['name']}: due {was} put off to {doc['by']}", why)
    if move is not None:
        doc["move"] = move or None
    return Draft("milestone", {f"milestone:{key}": doc, **more})


def known_milestone(state: State, name: str) -> str:
    """Return a milestone's key; Refused where there is none."""
    key = name.strip().casefold()
    if key not in state.docs("milestone"):
        raise Refused(f"no milestone is called '{name.strip()}'")
    return key


def reached(state: State, name: str, on: str | None, reason: str = "", *, by: str = "") -> Draft:
    """Record that a milestone (a move above all) was reached, on a date; None takes that back.

    Refused while something it needs is off or rejected, unless a `reason` says why it is reached so.
    """
    from shopbins.strip.refit import not_met

    key = known_milestone(state, name)
    after: dict[str, Any] = {f"milestone:{key}": {"done": values.checked_date(on, "the date")}}
    shown = state.docs("milestone")[key]["name"]
    if on is not None and (left := not_met(state, key, date.today())):
        why = reason_text(reason)
        if not why:
            more = f" and {len(left) - 3} more" if len(left) > 3 else ""
            raise Refused(
                f"{shown} needs {', '.join(left[:3])}{more}: say why it is reached anyway (--reason)"
            )
        said = f"{shown}: reached without {', '.join(left)}"[:500]
        after |= correction("milestone", key, said, why, by=by, on=on)
    return Draft("milestone reached", after)


def drop(state: State, name: str, reason: str = "", *, by: str = "", on: str | None = None) -> Draft:
    """Forget a milestone; what was to go on after it no longer waits for it.

    One overdue, or that a part still waits for, only for a reason.
    """
    key = known_milestone(state, name)
    after: dict[str, Any] = {f"milestone:{key}": None}
    old = state.docs("milestone")[key]
    why = reason_text(reason)
    if (said := _kept_for(state, key, date.today())) and not why:
        raise BadValue(f"{said}: say why it is forgotten (--reason)")
    if why:
        after |= correction("milestone", key, f"{old['name']}: forgotten", why, by=by, on=on)
    for position, doc in state.docs("part").items():
        if key in doc.get("after", ()):
            after[f"part:{position}"] = {"after": [each for each in doc["after"] if each != key] or None}
    return Draft("drop milestone", after)


def _kept_for(state: State, key: str, today: date) -> str:
    """Say why a milestone is not just forgotten: overdue, or waited for; '' where it may be."""
    old = state.docs("milestone")[key]
    if old.get("done"):
        return ""
    if (old.get("by") or "9") < today.isoformat():
        return f"{old['name']} was due {old['by']}"
    order = state.follower(Order)
    waiting = [p.name for p in order.graph.places.values() if key in p.after and not order.look(p.id).done]
    return f"{', '.join(waiting)} waits for {old['name']}" if waiting else ""


def goes_on_after(state: State, position: str, milestone: str, yes: bool = True) -> Draft:
    """Record that a position goes back only after a milestone, such as a move (feet, guards)."""
    from shopbins.strip.refit import chain

    place, key = known_position(state, position), known_milestone(state, milestone)
    if yes and position in chain(state, key, usual=False):
        name = state.docs("milestone")[key]["name"]
        raise Refused(f"that would be a circle: {name} needs {place.name}, which is to go on after {name}")
    kept = [each for each in place.after if each != key]
    doc = {"after": [*kept, key] if yes else kept or None}
    return Draft("goes on after", {f"part:{position}": doc}, tuple(shown_in(state, [position])))


def all_after(state: State, milestone: str, parts: Sequence[str]) -> Draft:
    """Record that positions go back only after a milestone."""
    if not parts:
        raise BadValue("say which part goes on only after it")
    return together(state, [partial(goes_on_after, position=each, milestone=milestone) for each in parts])


MILESTONE = Record(
    "milestone",
    "a milestone",
    "engine closed, 2027-03-20, cylinder head 1, sump (a move: to the test bed, move)",
    (
        Field("name", kinds.TEXT, "the milestone"),
        Field("needs", kinds.NEEDED, "a part or assembly that must be back on (may be repeated)", "--needs",
              many=True, label="needs back on"),
        Field("by", kinds.DATE, "when it is to be reached, as 2026-12-24", "--due", said="by {}"),
        Field("move", kinds.YES, "it is a move of the machine", "--move", said="move"),
    ),
    (r"(?:by\s+)?(?P<by>\d{4}-\d\d-\d\d)", r"(?P<move>move)", r"(?P<needs>.+)"),
)  # fmt: skip
_WHY = Field(
    "reason", kinds.TEXT, "why it is reached though something is off, put off, or forgotten; it is kept",
    "--reason", "WHY",
)  # fmt: skip
SET = Act("milestone", "set milestone", set_milestone, "milestone", (*MILESTONE.fields, _WHY))
REACHED = Act(
    "milestone reached", "reached milestone", reached, "milestone", (Field("on", kinds.PAST),), signed=True
)
DROP = Act("drop milestone", "dropped milestone", drop, "milestone", signed=True)
AFTER = Act(
    "goes on after", "noted what it goes on after:", all_after, "part",
    (Field("parts", kinds.POSITIONS, "a part that goes on only after it", "--then", "PART", many=True),),
)  # fmt: skip


def _is_overdue(it: About) -> bool:
    return not it.doc.get("done") and (it.doc.get("by") or "9") < it.day


def _why_reached(it: About, _text: str) -> str:
    from shopbins.strip.refit import not_met

    left = not_met(it.state, it.key, it.today)
    return f"{it.doc['name']} needs {', '.join(left[:3])}: why is it reached anyway?" if left else ""


def _why_later(it: About, text: str) -> str:
    day = kinds.DATE.read(text, it.today)
    late = _is_overdue(it) and day > it.doc["by"]
    return f"{it.doc['name']} was due {it.doc['by']}: why is it {day} now?" if late else ""


def _why_dropped(it: About, _text: str) -> str:
    said = _kept_for(it.state, it.key, it.today)
    return f"{said}: why is it forgotten?" if said else ""


def _names(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


PARTS = "crankshaft, cylinder head 2, engine > cooling"
QUESTIONS = (
    Question("it is reached", lambda it, _: REACHED(it.key, on=it.day), done="{name}: reached",
             when=lambda it: not it.doc.get("done"), why=_why_reached),
    Question("not reached after all", lambda it, _: REACHED(it.key, on=None), done="{name}: not reached",
             when=lambda it: bool(it.doc.get("done"))),
    Question("give it a date", lambda it, text: SET(name=it.key, by=kinds.DATE.read(text, it.today)), "{by}",
             "By when is {name} to be reached?", "2027-03-20", lambda it: it.doc.get("by") or "",
             why=_why_later),
    Question("say what it needs", lambda it, text: SET(name=it.key, needs=_names(text)),
             "parts or assemblies", "What does {name} need back on?", PARTS),
    Question("say what goes on only after it", lambda it, text: AFTER(it.key, parts=_names(text)),
             "feet and guards after a move", "What goes on only after {name}?", PARTS),
    Question("it is a move of the machine", lambda it, _: SET(name=it.key, move=True),
             when=lambda it: not it.doc.get("move")),
    Question("it is no move after all", lambda it, _: SET(name=it.key, move=False),
             when=lambda it: bool(it.doc.get("move"))),
    Question("forget it", lambda it, _: DROP(it.key), done="{name}: forgotten", why=_why_dropped),
)  # fmt: skip
"""What may be said of one, in the order of the digits that pick it."""
