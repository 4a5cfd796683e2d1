"""What a position waits for besides what goes on before it: work, shortages, what is away, milestones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from shopbins.ledger.events import Change
from shopbins.ledger.model import Away, Doc, Group, InGroup
from shopbins.ledger.state import State
from shopbins.strip.book import Book, Look, holders
from shopbins.strip.care import overdue
from shopbins.strip.release import OLD_DECISION, VERIFY, release

if TYPE_CHECKING:
    from shopbins.strip.tree import Position

WaitKind = Literal["part", "work", "shortage", "unfilled", "away", "milestone", "unknown", "rejected"]

WORK_WORDS: Mapping[str, str] = {
    "clean": "cleaning",
    "inspect": "inspection",
    "repair": "repair",
    "remachine": "remachining",
}
"""Dispositions that are work before refit, and how that is said."""


@dataclass(frozen=True, slots=True)
class Wait:
    """One thing waited for, in words; `subject` is what it is about ('group:<id>', 'shortage:<id>', ...)."""

    kind: WaitKind
    text: str
    subject: str = ""

    @property
    def said(self) -> str:
        """Say it as a line: 'waits for ...', or what keeps it back for good."""
        return self.text if self.kind == "rejected" else f"waits for {self.text}"


def open_work(group: Group) -> list[str]:
    """Return the points of a group's short list not yet done, its disposition's own among them."""
    left = [each.what for each in group.work if each.done is None and each.what != OLD_DECISION]
    verb = group.disposition
    if verb in WORK_WORDS and all(each.what != verb for each in group.work):
        left.append(verb)
    return left


def to_inspect(group: Group) -> str | None:
    """Return of what a value is waited for, '' where nobody said of what; None where of nothing."""
    waited = (each for each in open_work(group) if each == "inspect" or each.startswith(VERIFY))
    named = [each.removeprefix(VERIFY) if each != "inspect" else "" for each in waited]
    return max(named, default=None)


class Awaited:
    """Every position's shortages still to come, and the groups that are on for now: follows a state."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._of: dict[str, dict[str, Doc]] | None = None
        self._for_now: set[str] | None = None

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        for each in changes:
            if each.table == "shortage":
                self._of = None
            elif each.table == "accepted":
                self._for_now = None

    def of(self, position: str) -> Mapping[str, Doc]:
        """Return the shortages of a position, by id. Not to be changed."""
        if self._of is None:
            self._of = {}
            for key, doc in self._state.docs("shortage").items():
                for each in doc.get("positions", ()) if is_to_come(doc) else ():
                    self._of.setdefault(each, {})[key] = doc
        return self._of.get(position, {})

    @property
    def for_now(self) -> Set[str]:
        """The groups that were let through only for now. Not to be changed."""
        if self._for_now is None:
            docs = self._state.docs("accepted").values()
            self._for_now = {
                doc["group"]
                for doc in docs
                if doc.get("kind") == "fit" and doc.get("for_now") and "group" in doc
            }
        return self._for_now


def held_back(state: State, group_id: str, today: date) -> dict[str, str]:
    """Return what a group is not released for that a named person may accept, and how it is said.

    By the inspection or point of work that is open, the shortage of its place ('shortage:<id>') or care of it
    that is overdue ('care:<id>'); 'used' for what is of one use and was on.
    """
    let = release(state, group_id, today)
    found = dict.fromkeys(let.asked, let.why) if let.asked else {}
    if let.state == "used":
        found["used"] = let.why
    group = state.group(group_id)
    work = [each for each in open_work(group) if each != "inspect"]
    found |= {each: work_words(each) for each in work if not each.startswith(VERIFY)}
    awaited = state.follower(Awaited)
    for seat in (seat for seat, n in group.seats.items() if n):
        found |= {f"shortage:{key}": shortage_words(doc) for key, doc in awaited.of(seat).items()}
        found |= {f"care:{each.key}": each.sentence for each in overdue(state, seat, today)}
    return found


def on_unreleased(state: State, group_id: str, today: date) -> dict[str, str]:
    """Return what a group that is on was not released for, without what was accepted as it was put on.

    An older ledger does not say what was: then it is all there is, or (`lacks` not said) every shortage.
    """
    if group_id in state.follower(Awaited).for_now:
        return {"for now": "coming off again (it is on for now)"}
    found = held_back(state, group_id, today)
    if not found:
        return found
    around = {group_id, *(each for each, _ in holders(state, group_id))}
    for doc in state.docs("accepted").values():
        if doc.get("kind") != "fit":
            continue
        known = doc.get("open")
        if known is None and doc.get("group") in around:
            return {}
        if not doc.get("lacks") and doc.get("group") in around:
            found = {each: said for each, said in found.items() if not each.startswith("shortage:")}
        for each in (known or {}).get(group_id, ()):
            found.pop(each, None)
    return found


def put_on_below(state: State, top: str) -> Iterator[Group]:
    """Go through what is fitted to a group, or tried on it, at any depth through such ones only."""
    for each in state.descendants(top):
        at = inside = state.group(each)
        while isinstance(at.where, InGroup) and at.where.how in ("fitted", "tried"):
            if at.where.group == top:
                yield inside
                break
            at = state.group(at.where.group)


def is_to_come(shortage: Doc) -> bool:
    """Tell whether what is lacking is still to come: neither here nor struck out."""
    return shortage.get("state", "to ask") not in ("here", "struck")


def shortage_words(shortage: Doc) -> str:
    """Say a shortage as what is waited for."""
    return f"shortage: {shortage['name']} ({shortage_state(shortage)})"


def work_words(what: str) -> str:
    """Say a point of work as what is waited for."""
    return WORK_WORDS.get(what, what)


def own_waits(
    state: State, place: Position, look: Look, needs: Mapping[str, Doc], today: date
) -> tuple[Wait, ...]:
    """Return what a position waits for by itself; nothing where it is done."""
    if look.done:
        return ()
    waits = [
        wait for each in look.lying for wait in _group_waits(state, state.group(each), len(look.lying), today)
    ]
    coming = 0
    for key, doc in needs.items():
        if is_to_come(doc):
            coming += 1
            waits.append(Wait("shortage", shortage_words(doc), f"shortage:{key}"))
    if look.lacking and not coming:
        lack = f"{look.lacking} lacking" if look.lying else "nothing to put there"
        waits.append(Wait("unfilled", f"{lack}: add a shortage or strike it out", f"part:{place.id}"))
    if look.lying:
        waits += [Wait("work", each.sentence, f"care:{each.key}") for each in overdue(state, place.id, today)]
    for key in place.after:
        doc = state.docs("milestone").get(key, {})
        name = doc.get("name", key)
        if not doc.get("done"):
            waits.append(
                Wait("milestone", f"the move '{name}'" if doc.get("move") else name, f"milestone:{key}")
            )
    return tuple(waits)


def _group_waits(state: State, group: Group, of: int, today: date) -> list[Wait]:
    """Return what one of a position's groups waits for; named where there are several."""
    named = f" of {group.shown}" if of > 1 else ""
    subject = f"group:{group.id}"
    waits = []
    if not state.follower(Book).machine_of(group.id):
        waits.append(Wait("unknown", f"somebody who knows where it belongs{named}", subject))
    _, where = state.top_of(group.id)
    if isinstance(where, Away):
        until = f" until {where.until}" if where.until else ", no date agreed"
        waits.append(Wait("away", f"away at {where.to}{until}{named}", subject))
    let = release(state, group.id, today)
    if let.why:
        waits.append(Wait("rejected" if let.nobody else "work", f"{let.why}{named}", subject))
    waits += [
        Wait("work", f"{work_words(what)}{named}", subject)
        for what in open_work(group)
        if what != "inspect" and not what.startswith(VERIFY)
    ]
    for inside in put_on_below(state, group.id):
        let = release(state, inside.id, today)
        if let.nobody:
            waits.append(Wait("rejected", f"{inside.shown}, in it, is {let.why}", subject))
        waits += [
            Wait("work", f"{text} of {inside.shown}", subject)
            for text in held_back(state, inside.id, today).values()
        ]
    return waits


def stage(doc: Doc) -> str:
    """Return how far a shortage is; a promise stands until it is asked for anew after it."""
    state = str(doc.get("state", "to ask"))
    if state == "asked" and doc.get("promised", "") and doc["promised"] >= doc.get("asked", ""):
        return "promised"
    return state


def shortage_state(doc: Doc) -> str:
    """Say how far a shortage is: 'to ask', 'asked', 'promised for 2026-12-01'."""
    state = stage(doc)
    if state == "promised" and doc.get("promised"):
        return f"promised for {doc['promised']}"
    return state
