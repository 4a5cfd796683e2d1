"""What the shop file asks of a part before it goes back on (`release`), seen to as anything is recorded."""

from __future__ import annotations

from typing import Any

from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import Draft, split_subject
from shopbins.ledger.model import Doc, WorkPoint
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.shop.model import Asked
from shopbins.strip.release import VERIFY, Tests, is_within, points


def as_asked(state: State, draft: Draft, asked: Asked) -> Draft:
    """Return a draft with what the shop file asks for; Refused where it asks for another person.

    What came by a shortage, or is called as what two persons see, is to be inspected; a value within of the
    latter leaves its inspection open until another person has one too. Who measured a value beyond its limit
    does not concede it.
    """
    after: dict[str, Any] = dict(draft.after)
    kinds = draft.kind.split(" + ")
    for subject, fields in draft.after.items():
        table, key = split_subject(subject)
        if fields is None or key in state.docs(table):
            continue
        if table == "group" and {"take", "shortage here"} & {*kinds}:
            came = "shortage here" in kinds and asked.look_at_what_comes
            if (came or _by_two(asked, fields)) and fields.get("counted") != "never":
                after[subject] = {**fields, **_open(fields, "inspect")}
        elif table == "inspection" and "inspect" in kinds and is_within(fields):
            group = f"group:{fields['group']}"
            doc = {**state.docs("group").get(fields["group"], {}), **(after.get(group) or {})}
            if _by_two(asked, doc) and not _seen_by_another(state, fields):
                after[group] = {
                    **(after.get(group) or {}),
                    **_open(doc, f"{VERIFY}{fields['what'].lower()}"[:80]),
                }
        elif table == "concession" and asked.concede_by_another:
            _check_another(state, fields)
    return draft._replace(after=after)


def _by_two(asked: Asked, doc: Doc) -> bool:
    return any(word.casefold() in doc.get("name", "").casefold() for word in asked.two_persons)


def _open(doc: Doc, what: str) -> dict[str, Any]:
    """Return a group's fields with a point of work open."""
    known = {each: WorkPoint(each, None) for each, done in points(doc) if not done}
    ticked = {
        each[0]: WorkPoint(each[0], each[1]) for each in doc.get("work", ()) if len(each) > 1 and each[1]
    }
    work = group_fields({"work": tuple(({**ticked, **known, what: WorkPoint(what)}).values())})["work"]
    return {"work": work}


def _seen_by_another(state: State, doc: Doc) -> bool:
    tests = state.follower(Tests).of("inspection", doc["group"])
    return any(
        each.get("by") != doc.get("by") and is_within(each) and "reworked" not in each
        for _, each in tests
        if each["what"].casefold() == doc["what"].casefold()
    )


def _check_another(state: State, concession: Doc) -> None:
    for _, doc in state.follower(Tests).of("inspection", concession["group"]):
        same = doc["what"].casefold() == concession["what"].casefold()
        if same and doc.get("measured") == concession.get("value") and doc.get("by") == concession.get("by"):
            raise Refused(
                f"{doc['what']} {doc['measured']} was found by {doc['by']}: the shop file asks for another "
                "person to concede it (release: concede by another)"
            )
