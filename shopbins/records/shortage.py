"""Something to be bought, made or borrowed: what is recorded of it. Its dates are `strip/shortages.py`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.lots import share_fields
from shopbins.ledger.model import Whereabouts
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records import fitting, kinds
from shopbins.records.acts import day_of, known, split, subject, take
from shopbins.records.milestone import known_milestone
from shopbins.records.position import known_position, less_empty
from shopbins.records.record import Act, Field, Question, Record, Values
from shopbins.strip.book import Book
from shopbins.strip.order import Order
from shopbins.strip.shortages import STATES, shortages
from shopbins.strip.tree import as_known

_UNITS = "m|metres|litres|l|sheets?|tubes?|sets?|pairs?|box(?:es)?|rolls?|cans?"
_NAME = (
    r"(?:(?P<qty>\d{1,6})(?:\s*(?:x|off|pcs|pieces)\s+"
    r"|\s+(?!(?:mm|inch|litres?|metres?|volts?)\b)(?=[^\W\d]{2,}(?:\s+[^\W\d]{2,})?s\b)))?(?P<name>.+)"
)
"""The name, with how many before it: '2 x gasket', '2 roller bearings'; '4 mm bolts' are no 4 of them."""
_MONEY = r"[£$€]|\d\s*(?:EUR|GBP|USD|CHF|SEK|NOK|DKK|CAD|AUD|NZD)\b"


def _settle(state: State, new: dict[str, Any], old: Values) -> dict[str, Any]:
    for each in new.get("positions") or ():
        known_position(state, each)
    if "positions" in new and old.get("positions"):  # what waits for it is let go by a strike, with a reason
        new["positions"] = list(dict.fromkeys((*old["positions"], *(new["positions"] or ()))))
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
        Field("positions", kinds.POSITIONS, "a part that waits for it", "--for", many=True, said="for {}",
              label="needed for"),
        Field("milestone", kinds.MILESTONE, "the milestone that waits for it", "--milestone",
              said="before {}", label="needed before"),
        Field("qty", kinds.COUNT, "how many", "--qty", said="x{}", label="quantity"),
        Field("unit", kinds.TEXT, "of what: m, litres, sheets", "--unit", said=" {}"),
        Field("spec", kinds.TEXT, "what exactly: size, material, part number", "--spec",
              label="specification"),
        Field("ask_of", kinds.TEXT, "whom it is asked of", "--of", "WHOM", said="of {}", label="ask whom"),
        Field("price", kinds.TEXT, "what it costs", "--price", said="price {}"),
        Field("days", kinds.SPAN, "how long it takes to come, as 10 or 10-20", "--days",
              said="takes {:g} to {:g} days", unsaid="how long it takes is not known", label="takes"),
        Field("asked", kinds.PAST, "asked for on this day", "--asked", said="asked {}", label="asked on"),
        Field("promised", kinds.DUE, "promised for this day", "--promised", said="promised {}",
              label="promised for"),
        Field("note", kinds.NOTE, "anything else worth knowing", "--note", said="note {}"),
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
        rf"x?\s*(?P<qty>\d{{1,6}})\s*(?P<unit>{_UNITS})",
        r"(?:takes\s+)?(?P<days>\d{1,4}(?:\s*(?:-|to)\s*\d{1,4})?\s*(?:days?|d|weeks?|w))",
        r"asked(?:\s+for)?(?P<asked>|\s.*)",
        r"promised(?:\s+for)?(?P<promised>|\s.*)",
        r"by\s+(?P<promised>.+)",
        rf"(?P<price>.*(?:{_MONEY}).*)",
        r"(?P<price>(?:about\s+)?\d[\d.]*\s*(?:each|apiece|a piece|per piece|in all))",
        r"(?P<spec>.+)",
    ),
    settle=_settle,
    about=_groups,
    lead=(_NAME,),
)  # fmt: skip
ADD, SET = SHORTAGE.acts(kinds.SHORTAGE)


def strike(state: State, key: str, reason: str, *, by: str = "", on: str | None = None) -> Draft:
    """Let a shortage be: it is not needed after all, with the reason; the count tells it of what waited."""
    SHORTAGE.known(state, key)
    if not (text := kinds.TEXT.check(reason, "the reason")):
        raise BadValue("say why it is not needed")
    signed = {"struck_by": by or None, "struck_on": day_of(on).isoformat()}
    return Draft("strike shortage", {f"shortage:{key}": {"state": "struck", "struck": text, **signed}})


def arrive(
    state: State,
    key: str,
    on: str,
    where: Whereabouts = None,
    *,
    container: str = "bare",
    code: str = "",
    qty: int | None = None,
    new: Sequence[str] = (),
) -> Draft:
    """Have a shortage here, or `qty` pieces of it: the rest of the order stays open.

    What is for a place on the machine that lacks pieces, replaces a group, or is called as what is there
    becomes a group, tagged like others (left over where nothing lacks); it inherits the cautions of what it
    replaces, and whether that was of one use. `new` is the origin
    of a place that had none before ('machine > assembly'). Anything else (sealant, a borrowed tool) only
    counts as here; `where` is then of no account.
    """
    doc = SHORTAGE.known(state, key)
    if doc.get("state") == "here":
        raise Refused(f"{doc['name']} is here already")
    values.checked({"container": container})
    ordered, came = doc.get("qty", 1), doc.get("came", 0)
    n = ordered - came if qty is None else kinds.COUNT.check(qty, "how many came")
    if n > ordered - came:
        raise Refused(f"{ordered - came} of {doc['name']} are still to come: {n} are more than that")
    day = kinds.DATE.check(on, "the date")
    more = {"came": came + n} if came + n < ordered else {"state": "here", "here": day}
    after: dict[str, Any] = {f"shortage:{key}": more}
    order = state.follower(Order)
    seats = [p for p in doc.get("positions", ()) if p in order.graph.number]
    shares: dict[str, int] = {}
    if new:
        origin = as_known(state, _origin(new))
        seat = new_id()
        after[f"part:{seat}"] = {"name": doc["name"], "origin": list(origin), "qty": n, "new": True}
        after[f"shortage:{key}"] = {**more, "positions": [*doc.get("positions", ()), seat]}
        shares = {seat: n}
    elif takes_a_place(state, key):
        origin = order.graph.places[seats[0]].origin
        left = n
        for each in seats:
            shares[each] = min(left, order.look(each).lacking)
            left -= shares[each]
        shares[seats[0]] += left
    else:
        return Draft("shortage here", after, _groups(state, doc))
    old = [state.group(each) for each in _replaced(state, doc, seats)]
    draft = take(
        state, doc["name"], origin=origin, container=container, qty=n, code=code, where=where,
        ordered=False, disposition="refit", brought=True,
        cautions=tuple(dict.fromkeys(c for group in old for c in group.cautions))[:20],
        one_use=any(group.one_use for group in old) or _was_one_use(state, seats),
    )  # fmt: skip
    first = draft.subjects[0]
    fields = share_fields({seat: n for seat, n in shares.items() if n}, first.partition(":")[2])
    taken = {**(draft.after[first] or {}), **{k: v for k, v in fields.items() if v is not None}}
    after |= less_empty(state, shares)
    return Draft("shortage here", {**draft.after, first: taken, **after}, draft.also)


def takes_a_place(state: State, key: str) -> bool:
    """Tell whether it becomes a group when it comes: it replaces one, fills a lack, or is called so.

    What comes by the litre, metre or sheet is no piece of a place.
    """
    doc = SHORTAGE.known(state, key)
    if doc.get("unit"):
        return False
    order = state.follower(Order)
    seats = [p for p in doc.get("positions", ()) if p in order.graph.number]
    names = {order.graph.places[seat].name.casefold() for seat in seats}
    lacking = any(order.look(seat).lacking for seat in seats)
    return bool(seats) and (lacking or bool(doc.get("replaces")) or doc["name"].casefold() in names)


def _origin(text: Sequence[str]) -> Sequence[str]:
    """Check an origin: a machine, and whatever is below it."""
    found: Sequence[str] = values.checked({"origin": text})["origin"]
    if not found:
        raise BadValue("say which machine it is for: 'machine > assembly'")
    return found


def _replaced(state: State, doc: Values, seats: Sequence[str]) -> list[str]:
    """Return the groups whose place something takes: the one it was ordered for, else what came off there."""
    if state.has_group(doc.get("replaces", "")):
        return [doc["replaces"]]
    places = state.follower(Order).graph.places
    return [g for seat in seats for g in places[seat].groups if not state.group(g).brought]


def _was_one_use(state: State, seats: Sequence[str]) -> bool:
    """Tell whether what lay at positions, there or not any more, was of one use: that is of the place."""
    book = state.follower(Book)
    there = (state.group(each) for seat in seats for each in book.groups(seat))
    left = (doc for seat in seats for doc in book.postings(seat).values())
    return any(group.one_use for group in there) or any(
        doc["kind"] == "consumed" or doc.get("whole", {}).get("one_use") for doc in left
    )


def renew(
    state: State,
    group_id: str,
    name: str = "",
    *,
    also: Mapping[str, Any] | None = None,
    qty: int | None = None,
    **fields: Any,
) -> Draft:
    """Have a group renewed, or `qty` pieces of it: they leave the refit order, a shortage takes their place.

    `also` are further changes of the group.
    """
    group = known(state, group_id)
    if qty is not None and qty != group.qty:
        return fitting.then(
            state, split(state, group_id, qty), lambda s, new: renew(s, new, name, **fields), "renew"
        )
    gone = fitting.dispose(state, group_id, "renew", **(also or {}))
    if group.disposition == "renew" or group.counted == "never":
        return gone
    given = {"qty": group.qty, "positions": tuple(group.seats), "replaces": group_id, **fields}
    short = SHORTAGE.add(state, name or group.shown, **given)
    return Draft("renew", {**gone.after, **short.after}, short.also)


STRIKE = Act(
    "strike shortage", "not needed after all:", strike, "shortage", thing=kinds.SHORTAGE, signed=True
)
ARRIVE = Act(
    "shortage here", "has come:", arrive, "shortage",
    (Field("on", kinds.PAST, "on which day"), Field("qty", kinds.COUNT, "how many came", "--qty")),
    kinds.SHORTAGE,
)  # fmt: skip
RENEW = Act("renew", "to be renewed:", renew, "group", SHORTAGE.fields, kinds.GROUP)
QUESTIONS = (
    Question("asked for today", lambda it, _: SET(it.key, asked=it.day)),
    Question("promised for a date", lambda it, text: SET(it.key, promised=kinds.DATE.read(text, it.today)),
             title="For when is {name} promised?", example="2026-12-24",
             now=lambda it: str(it.doc.get("promised", ""))),
    Question("it is here", lambda it, _: ARRIVE(it.key, on=it.day), "and put down"),
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
