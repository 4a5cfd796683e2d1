"""What somebody let through: a stop, a to-fix, a dismissed note, a condition of a move.

One record in the table 'accepted', under the id of what it is about: `kind` (what was accepted), `text`,
`by`, `why`, `since` (the day), `for_now`, `measured` and `limit` (the figures it was accepted at), and of a
condition of a move `rests`, a word for what it rested on: the table 'rests' has its `figures` under that
word. Older ledgers have 'override:<finding id>' instead, which is read as accepted. Who may accept what, and
whether an acceptance still holds, is judged by `shopbins.rules.accepting`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import Any, Literal

from shopbins.answer import Accepted
from shopbins.ledger.events import Draft
from shopbins.ledger.model import Doc
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records.record import Act, together

Figures = Mapping[str, Mapping[str, Any]]
"""What something rests on: figures by their names, by what they are of."""
FOR_NOW = "for now"
RESTS = "rests"
"""The table of what conditions rest on."""
NOBODY = "somebody"
"""Who works here where neither a name nor a login is known: good for a record, never for accepting."""
AcceptableKind = Literal["stop", "correct", "note", "condition"]


@dataclass(frozen=True, slots=True)
class Acceptable:
    """What may be accepted: a finding (its kind is its grade) or a condition of a move, and at what figures.

    `only_for_now`: whatever reason is given, it is asked about again. `rests` is what a condition rests on,
    as one word: it is accepted for that and nothing else; `figures` are what the word stands for.
    """

    id: str
    kind: AcceptableKind
    text: str = ""
    measured: float | None = None
    limit: float | None = None
    only_for_now: bool = False
    rests: str = ""
    figures: Figures = field(default_factory=dict, compare=False)


@dataclass(frozen=True, slots=True)
class Acceptance:
    """One record: what was accepted, by whom, why, the limit of that day, and what a condition rested on."""

    id: str
    kind: str
    text: str
    accepted: Accepted
    limit: float | None = None
    old: bool = False
    rests: str = ""

    def as_json(self) -> dict[str, Any]:
        """Return it as `shopbins accept` lists it."""
        return {"id": self.id, "kind": self.kind, "text": self.text, **self.accepted.as_json()}


def accepted_doc(what: Acceptable, why: str, *, by: str, day: date, for_now: bool = False) -> dict[str, Any]:
    """Write one acceptance; the reason 'for now' is one that is asked about again."""
    text, by = _named(reason_text(why), by)
    if not text:
        raise BadValue(f"a reason is needed, or '{FOR_NOW}'")
    if not by.strip() or by.strip() == NOBODY:
        raise BadValue("who accepts it? (--by NAME)")
    doc = {
        "kind": what.kind,
        "text": what.text[:500],
        "by": by.strip(),
        "why": text,
        "since": day.isoformat(),
        "for_now": for_now or what.only_for_now or text.lower() == FOR_NOW or None,
        "measured": what.measured,
        "limit": what.limit,
        "rests": what.rests or None,
    }
    return {name: value for name, value in doc.items() if value is not None}


def _named(why: str, by: str) -> tuple[str, str]:
    """Take 'for now: Anselm' apart: the reason, and who it is that answers for it (else `by`)."""
    head, colon, name = why.partition(":")
    named = bool(colon) and head.strip().lower() == FOR_NOW and bool(name.strip())
    return (FOR_NOW, name.strip()) if named else (why, by)


def accept(state: State, what: Acceptable, why: str, *, by: str, day: date, for_now: bool = False) -> Draft:
    """Let something through, or dismiss a note."""
    key = clean_text(what.id, "an id", 500)
    doc = accepted_doc(what, why, by=by, day=day, for_now=for_now)
    after: dict[str, Any] = {f"accepted:{key}": doc}
    before = state.docs("accepted").get(key)
    if before:
        after[f"accepted:{key}"] = {**dict.fromkeys(before), **doc}
    if key in state.docs("override"):
        after[f"override:{key}"] = None
    after |= unused(state, [key], but=what.rests)
    if what.rests and what.rests not in state.docs(RESTS):
        after[f"{RESTS}:{what.rests}"] = {"figures": what.figures}
    return Draft("accept", after)


def accept_each(
    state: State, every: Iterable[Acceptable], why: str, *, by: str, day: date, for_now: bool = False
) -> Draft:
    """Let several through for one reason as one event, each on record by itself."""
    works = (partial(accept, what=what, why=why, by=by, day=day, for_now=for_now) for what in every)
    return together(state, works)


def unused(state: State, gone: Collection[str], *, but: str = "") -> dict[str, None]:
    """Return what is taken off the record with some acceptances: the figures that no other rests on."""
    every = state.docs("accepted")
    words = {every[key].get("rests", "") for key in gone if key in every}
    held = {doc.get("rests", "") for key, doc in every.items() if key not in gone} | {but}
    return {f"{RESTS}:{word}": None for word in sorted(words - held) if word in state.docs(RESTS)}


def take_back(state: State, key: str) -> Draft:
    """Let it count again."""
    tables = [table for table in ("accepted", "override") if key in state.docs(table)]
    if not tables:
        raise Refused(f"nothing is accepted under '{key}'")
    if state.docs("accepted").get(key, {}).get("group"):
        raise Refused("that was one act, and stays told in the count (take the part off again instead)")
    after = {f"{table}:{key}": None for table in tables}
    return Draft("no longer accept", after | unused(state, [key]))


def acceptances(state: State) -> dict[str, Acceptance]:
    """Return every acceptance on record, by id."""
    found = {key: _from(key, doc, old=True) for key, doc in state.docs("override").items()}
    found.update((key, _from(key, doc)) for key, doc in state.docs("accepted").items())
    return found


def acceptance(state: State, key: str) -> Acceptance | None:
    """Return what is on record about one id."""
    doc = state.docs("accepted").get(key)
    if doc is not None:
        return _from(key, doc)
    doc = state.docs("override").get(key)
    return None if doc is None else _from(key, doc, old=True)


def _from(key: str, doc: Doc, *, old: bool = False) -> Acceptance:
    accepted = Accepted(
        by=str(doc.get("by", "")),
        why=str(doc.get("why") or doc.get("reason") or FOR_NOW),
        since=_day(doc.get("since")),
        measured=doc.get("measured"),
        for_now=bool(doc.get("for_now")),
    )
    kind = str(doc.get("kind") or "stop")
    rests = str(doc.get("rests", ""))
    return Acceptance(key, kind, str(doc.get("text", "")), accepted, doc.get("limit"), old, rests)


def _day(text: Any) -> date | None:
    try:
        return date.fromisoformat(str(text)[:10]) if text else None
    except ValueError:
        return None


TAKE_BACK = Act("no longer accept", "no longer accepts:", take_back, "accepted")
