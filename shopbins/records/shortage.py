"""Something to be bought, made or borrowed: what is recorded of it. Its dates are `strip/shortages.py`."""

from __future__ import annotations

from datetime import date
from typing import Any

from shopbins.parts import acts_refit
from shopbins.parts.acts import known, subject, take
from shopbins.parts.acts_strip import known_milestone, known_position
from shopbins.parts.events import Draft
from shopbins.parts.model import Whereabouts
from shopbins.parts.problems import BadValue, Refused
from shopbins.parts.state import State
from shopbins.parts.strip.order import Order
from shopbins.parts.strip.shortages import STATES, shortages
from shopbins.records import kinds
from shopbins.records.record import Act, Field, Question, Record, Values

_UNITS = "m|metres|litres|l|sheets?|tubes?|sets?|pairs?|box(?:es)?|rolls?|cans?"
_MONEY = r"[£$€]|\d\s*(?:EUR|GBP|USD|CHF|SEK|NOK|DKK|CAD|AUD|NZD)\b"


def _settle(state: State, new: dict[str, Any]) -> dict[str, Any]:
    for each in new.get("positions") or ():
        known_position(state, each)
    if new.get("milestone"):
        new["milestone"] = known_milestone(state, new["milestone"])
    for stage in ("asked", "promised"):
        if new.get(stage):
            new["state"] = stage
    return new


def _groups(state: State, doc: Values) -> tuple[str, ...]:
    places = (known_position(state, each) for each in doc.get("positions") or ())
    return tuple(subject(group) for place in places for group in place.groups)


SHORTAGE = Record(
    "shortage",
    "a shortage",
    "big-end shells, 3 pairs, +0.25 mm, 10-20 days, of Hansen, 84 EUR, for crankshaft",
    (
        Field("name", kinds.TEXT, "what is lacking"),
        Field("positions", kinds.POSITIONS, "a part that waits for it", "--for", many=True, said="for {}"),
        Field("milestone", kinds.MILESTONE, "the milestone that waits for it", "--milestone",
              said="before {}"),
        Field("qty", kinds.COUNT, "how many", "--qty", said="x{}"),
        Field("unit", kinds.TEXT, "of what: m, litres, sheets", "--unit", said=" {}"),
        Field("spec", kinds.TEXT, "what exactly: size, material, part number", "--spec"),
        Field("ask_of", kinds.TEXT, "whom it is asked of", "--of", "WHOM", said="of {}"),
        Field("price", kinds.TEXT, "what it costs", "--price", said="price {}"),
        Field("days", kinds.SPAN, "how long it takes to come, as 10 or 10-20", "--days",
              said="takes {:g} to {:g} days", unsaid="how long it takes is not known"),
        Field("asked", kinds.DATE, "asked for on this day", "--asked", said="asked {}"),
        Field("promised", kinds.DUE, "promised for this day", "--promised", said="promised {}"),
        Field("note", kinds.NOTE, "anything else worth knowing", "--note"),
        Field("state", kinds.one_of(*STATES), said="", default="to ask"),
        Field("replaces", kinds.TEXT, said=""),
    ),
    (
        r"for\s+(?P<positions>.+)",
        r"before\s+(?P<milestone>.+)",
        r"(?:of|from)\s+(?P<ask_of>.+)",
        r"price\s+(?P<price>.+)",
        r"note\s+(?P<note>.+)",
        r"spec\s+(?P<spec>.+)",
        r"x?\s*(?P<qty>\d{1,6})\s*(?:x|off|pcs|pieces)?",
        rf"(?P<qty>\d{{1,6}})\s*(?P<unit>{_UNITS})",
        r"(?:takes\s+)?(?P<days>\d{1,4}(?:\s*(?:-|to)\s*\d{1,4})?\s*(?:days?|d|weeks?|w))",
        r"asked(?:\s+for)?(?P<asked>|\s.*)",
        r"promised(?:\s+for)?(?P<promised>|\s.*)",
        rf"(?P<price>.*(?:{_MONEY}).*)",
        r"(?P<spec>.+)",
    ),
    settle=_settle,
    about=_groups,
)  # fmt: skip
ADD, SET = SHORTAGE.acts(kinds.SHORTAGE)


def strike(state: State, key: str, reason: str) -> Draft:
    """Let a shortage be: it is not needed after all, with the reason."""
    SHORTAGE.known(state, key)
    if not (text := kinds.TEXT.check(reason, "the reason")):
        raise BadValue("say why it is not needed")
    return Draft("strike shortage", {f"shortage:{key}": {"state": "struck", "struck": text}})


def arrive(
    state: State, key: str, on: str, where: Whereabouts = None, *, container: str = "bare", code: str = ""
) -> Draft:
    """Have a shortage here. Where it takes a place that lacks pieces it becomes a group, tagged like others.

    Anything else (sealant, a borrowed tool) only counts as here; `where` is then of no account.
    """
    doc = SHORTAGE.known(state, key)
    if doc.get("state") == "here":
        raise Refused(f"{doc['name']} is here already")
    after: dict[str, Any] = {f"shortage:{key}": {"state": "here", "here": kinds.DATE.check(on, "the date")}}
    order = state.follower(Order)
    lacking = [p for p in doc.get("positions", ()) if p in order.graph.number and order.look(p).lacking]
    if not lacking:
        return Draft("shortage here", after, _groups(state, doc))
    origin = order.graph.places[lacking[0]].origin
    draft = take(
        state, doc["name"], origin=origin, container=container, qty=doc.get("qty", 1), code=code, where=where,
        ordered=False, disposition="refit", parts=tuple(lacking), brought=True,
    )  # fmt: skip
    return Draft("shortage here", {**draft.after, **after}, draft.also)


def renew(state: State, group_id: str, name: str = "", **fields: Any) -> Draft:
    """Have a group renewed: it leaves the refit order, and a shortage takes its place."""
    group = known(state, group_id)
    gone = acts_refit.dispose(state, group_id, "renew")
    given = {"qty": group.qty, "positions": group.positions, "replaces": group_id, **fields}
    short = SHORTAGE.add(state, name or group.shown, **given)
    return Draft("renew", {**gone.after, **short.after}, short.also)


STRIKE = Act("strike shortage", "not needed after all:", strike, "shortage", thing=kinds.SHORTAGE)
ARRIVE = Act(
    "shortage here", "has come:", arrive, "shortage",
    (Field("on", kinds.DATE, "on which day"),), kinds.SHORTAGE,
)  # fmt: skip
RENEW = Act("renew", "to be renewed:", renew, "group", SHORTAGE.fields, kinds.GROUP)
QUESTIONS = (
    Question("asked for today", lambda it, _: SET(it.key, asked=it.day)),
    Question("promised for a date", lambda it, text: SET(it.key, promised=kinds.DATE.read(text, it.today)),
             title="For when is {name} promised?", example="2026-12-24",
             now=lambda it: str(it.doc.get("promised", ""))),
    Question("it is here", lambda it, _: ARRIVE(it.key, on=it.day), "and laid down"),
    Question("say more of it", lambda it, text: SET(it.key, **SHORTAGE.read_more(text, it.today)),
             "how long it takes, of whom, price, for which part",
             "What more is known of {name}?", "10-20 days, of Hansen, 84 EUR, for crankshaft"),
    Question("not needed after all", lambda it, text: STRIKE(it.key, reason=text), "with the reason",
             "Why is {name} not needed?", "the old one cleaned up"),
)  # fmt: skip
"""What may be said of one, in the order of the digits that pick it."""


def sentence(state: State, key: str, today: date) -> str:
    """Say how one stands."""
    found = next(each for each in shortages(state, today, all_of_them=True) if each.key == key)
    return f"{found.name}: {found.sentence}"
