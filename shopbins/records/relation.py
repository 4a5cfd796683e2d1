"""What had to come off before what."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.ledger.events import Draft
from shopbins.ledger.problems import ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records import kinds
from shopbins.records.acts import correction
from shopbins.records.position import known_position, name_of, shown_in
from shopbins.records.record import Act, Field
from shopbins.strip.graph import told_way
from shopbins.strip.order import Order


def key_of(first: str, then: str) -> str:
    """Return the subject of 'first comes off before then'."""
    return f"before:{first}|{then}"


def before(state: State, then: str, firsts: Sequence[str], why: str | None = None) -> Draft:
    """Record everything that had to come off before a position; an empty answer is an answer too."""
    target = known_position(state, then)
    text = reason_text(why)
    relations = state.docs("before")
    after: dict[str, Any] = {}
    for first in dict.fromkeys(firsts):
        place = known_position(state, first)
        if first == then:
            raise Refused(f"{place.name} cannot come off before itself")
        way = told_way(relations.values(), then, first)
        if way is not None:
            ring = " before ".join(name_of(state, each) for each in (first, *way))
            raise Refused(f"that would be a circle: {ring}")
        subject = key_of(first, then)
        if subject.partition(":")[2] not in relations:
            after[subject] = {"a": first, "b": then, "why": text or None}
    if not target.asked:
        after[f"part:{then}"] = {"asked": True}
    elif not after:
        raise Refused("that is recorded already")
    return Draft("comes off before", after, tuple(shown_in(state, (*firsts, then))))


def not_before(
    state: State, then: str, first: str, why: str | None = None, *, by: str = "", on: str | None = None
) -> Draft:
    """Take a recorded relation back; while it holds something up only for a reason, which is kept."""
    subject = key_of(first, then)
    if subject.partition(":")[2] not in state.docs("before"):
        raise Refused(
            f"it is not recorded that {name_of(state, first)} comes off before {name_of(state, then)}"
        )
    text = reason_text(why)
    names = name_of(state, first), name_of(state, then)
    if not text and not state.follower(Order).look(then).done:
        raise ReasonWanted(f"{names[0]} waits for {names[1]}: say why it need not", "--why WHY")
    said = f"{names[0]} need not come off before {names[1]}"
    kept = correction("before", subject.partition(":")[2], said, text, by=by, on=on) if text else {}
    return Draft("no longer before", {subject: None, **kept}, tuple(shown_in(state, (first, then))))


BEFORE = Act(
    "comes off before", "noted what comes off before", before, "before",
    (
        Field("firsts", kinds.POSITIONS, "what came off first", many=True),
        Field("why", kinds.TEXT, "why: what hides or holds what", "--why"),
    ),
    kinds.POSITION,
)  # fmt: skip
NOT_BEFORE = Act(
    "no longer before", "undid a relation:", not_before, "before",
    (Field("first", kinds.POSITION, "what need not come off first"),
     Field("why", kinds.TEXT, "why it need not", "--why")),
    kinds.POSITION, signed=True,
)  # fmt: skip
