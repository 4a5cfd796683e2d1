"""What is not undone without a reason (a verdict, an order of work, what goes for good, a point of work), and
what is not done again where it would not be done now.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from functools import partial
from typing import Any

from shopbins.ledger.docs import group_from
from shopbins.ledger.events import Draft, split_subject
from shopbins.ledger.model import Doc, Group
from shopbins.ledger.problems import ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records.acts import corrected, correction, order_left
from shopbins.records.work import drop_said
from shopbins.strip.book import OPEN, Book
from shopbins.strip.fitting import against_fit
from shopbins.strip.release import REWORK, VERIFY, is_within
from shopbins.strip.tree import is_fitted


def undone(state: State, draft: Draft, reason: str, *, by: str = "", on: str | None = None) -> Draft:
    """Return the draft of an undo; what would go with it unsaid wants a reason, which is kept with it.

    That is: a value beyond its limit, an order of work not done or a decision that it goes for good, an
    open point of a short list, and what else a part still waits for.
    """
    why = reason_text(reason)
    kept: dict[str, Any] = {}

    def keep(said: str, record: Callable[[], dict[str, Any]]) -> None:
        nonlocal kept
        if not why:
            raise ReasonWanted(said, "undo --reason WHY")
        kept |= record()

    for doc in _rejections(state, draft):
        name = state.group(doc["group"]).shown if state.has_group(doc["group"]) else ""
        text = f"{name}: {doc['what']} {doc['measured']} taken back"
        keep(
            "an inspection that rejects is not undone without a reason",
            partial(correction, "inspection", None, text, why, by=by, on=on, group=doc["group"], old=doc),
        )
    for group, was in _changed(state, draft):
        if said := order_left(group, was.disposition):
            text = f"disposition {group.disposition} taken back"
            old, new = group.disposition, was.disposition
            keep(said, partial(corrected, group, "disposition", old, new, text, why, by=by, on=on))
        if gone := _dropped(draft, group, was):
            text = f"work dropped: {', '.join(gone)}"
            points, before = ([each.what for each in it.work] for it in (group, was))
            keep(
                drop_said(group, gone),
                partial(corrected, group, "work", points, before, text, why, by=by, on=on),
            )
    for group, freed in _freed(state, draft):
        text = f"{group.shown} waits no more for {', '.join(freed)}"
        keep(
            f"{text}: say why",
            partial(correction, "group", group.id, text, why, by=by, on=on, group=group.id, field="waits"),
        )
    return draft._replace(after={**draft.after, **kept})


def _freed(state: State, draft: Draft) -> Iterable[tuple[Group, list[str]]]:
    """Go through the groups that would wait for less: what held them up is only taken back."""
    seats = dict.fromkeys(
        seat for subject, fields in draft.after.items() for seat in _held_up(state, subject, fields)
    )
    groups = [
        g for seat in seats for g in state.follower(Book).groups(seat) if f"group:{g}" not in draft.after
    ]
    if not groups:
        return
    ahead, today = state.copy(), date.today()
    ahead.apply(draft.after, state.seq)
    for each in dict.fromkeys(groups):
        if state.follower(Book).account(each) not in OPEN:
            continue
        now, then = (against_fit(it, it.group(each), today) for it in (state, ahead))
        freed = [wait for wait in now.waits if wait not in then.waits]
        if freed and len(then.waits) < len(now.waits):  # else it is only said in other words
            yield state.group(each), freed


def _held_up(state: State, subject: str, fields: Doc | None) -> Iterable[str]:
    """Go through the positions that a shortage, care, relation, milestone or matched set may hold up."""
    table, key = split_subject(subject)
    doc = state.docs(table).get(key, {})
    if table in ("shortage", "set"):
        yield from doc.get("positions", ())
    elif table == "care" and doc.get("position"):
        yield doc["position"]
    elif table == "before" and doc:
        yield doc["a"]
    elif table == "part" and doc.get("after") and (fields is None or "after" in fields):
        yield key
    elif table == "milestone":
        yield from (each for each, part in state.docs("part").items() if key in part.get("after", ()))


def redone(state: State, draft: Draft, today: date) -> Draft:
    """Return the draft of a redo; Refused where what it does would not be taken now.

    What goes back on is judged as it is put on, with what was accepted then and no more; a place is left
    empty of the pieces that were missing.
    """
    docs = [doc for subject, doc in draft.after.items() if subject.startswith("accepted:") and doc]
    accepted = {text for doc in docs for text in doc.get("waited_for", ())}
    for subject, fields in draft.after.items():
        table, key = split_subject(subject)
        old = state.docs(table).get(key, {})
        if table == "group" and fields and is_fitted(fields.get("where")) and not is_fitted(old.get("where")):
            group = state.group(key)
            found = against_fit(state, group, today, fields["where"].get("group"))
            if against := [
                *found.nobody,
                *(f"waits for {each}" for each in found.waits if each not in accepted),
            ]:
                raise Refused(f"not redone: {group.shown} {'; '.join(against)}")
        if table == "part" and fields and (fields.get("left_empty") or 0) > old.get("left_empty", 0):
            look = state.follower(Book).look(key)
            if fields["left_empty"] - old.get("left_empty", 0) != (look.lacking or look.short):
                raise Refused("not redone: it is another number of pieces that is missing there by now")
    return draft


def _rejections(state: State, draft: Draft) -> Iterable[Doc]:
    """Go through the values beyond their limit that would be gone; what a split copied is there still."""
    gone = {s for s, fields in draft.after.items() if fields is None}
    left = [doc for key, doc in state.docs("inspection").items() if f"inspection:{key}" not in gone]
    for subject, fields in draft.after.items():
        table, key = split_subject(subject)
        doc = state.docs("inspection").get(key) if table == "inspection" else None
        if doc is None or is_within(doc) is not False:
            continue
        if fields is None:
            if not any(_same(doc, each) for each in left):
                yield doc
        elif is_within({**doc, **fields}) is not False:
            yield doc


def _same(one: Doc, other: Doc) -> bool:
    return {k: v for k, v in one.items() if k != "group"} == {k: v for k, v in other.items() if k != "group"}


def _changed(state: State, draft: Draft) -> Iterable[tuple[Group, Group]]:
    """Go through the groups an undo changes: as each is, and as it was."""
    for subject, fields in draft.after.items():
        table, key = split_subject(subject)
        if table == "group" and fields is not None and state.has_group(key):
            doc = {k: v for k, v in {**state.docs("group")[key], **fields}.items() if v is not None}
            yield state.group(key), group_from(key, doc)


def _dropped(draft: Draft, group: Group, was: Group) -> list[str]:
    """Return the open points a group would lose; what a value or a rework asked for goes with that."""
    left = {each.what for each in was.work}
    gone = [each.what for each in group.work if each.done is None and each.what not in left]
    open_before = {each.what for each in was.work if each.done is None}
    rework_again = any(each.done and each.what in REWORK and each.what in open_before for each in group.work)
    of_values = any(each.startswith("inspection:") for each in draft.after)
    if rework_again or of_values:
        return [what for what in gone if what != "inspect" and not what.startswith(VERIFY)]
    return gone
