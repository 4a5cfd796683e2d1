"""The list of milestones: what the work is towards, and what holds each up."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, NamedTuple

from shopbins.answer import Verdict
from shopbins.ledger.model import Doc
from shopbins.ledger.state import State
from shopbins.lists.listing import Column, List
from shopbins.strip.order import Order
from shopbins.strip.refit import chain
from shopbins.strip.shortages import HoldUp, hold_up


class Milestone(NamedTuple):
    """One milestone, with what holds it up and how many pieces are still to go on for it."""

    key: str
    doc: Doc
    held: HoldUp
    left: int | None


def milestones(state: State, today: date) -> list[Milestone]:
    """Return every milestone: those still to be reached by their date, then those reached."""
    table = state.docs("milestone")
    keys = sorted(table, key=lambda key: (bool(table[key].get("done")), table[key].get("by") or "9"))
    return [Milestone(key, table[key], hold_up(state, key, today), _left(state, key)) for key in keys]


def _left(state: State, key: str) -> int | None:
    if state.docs("milestone")[key].get("done"):
        return None
    wanted = set(chain(state, key))
    return sum(1 for each in state.follower(Order).open() if each in wanted)


def _doc(name: str, default: Any = None) -> Callable[[Milestone], Any]:
    return lambda each: each.doc.get(name, default)


MILESTONES: List[Milestone] = List(
    "Milestones",
    "no milestone is set",
    "",
    (
        Column("name", "name", _doc("name"), "milestone", 22, 0.6, 2.0),
        Column("move", "move", _doc("move", False)),
        Column("by", "by", _doc("by")),
        Column("done", "done", _doc("done")),
        Column("first", "first", lambda each: each.held.first),
        Column("last", "last", lambda each: each.held.last),
        Column("late_days", "late days", lambda each: each.held.late),
        Column("unknown", "not known", lambda each: list(each.held.unknown)),
        Column("", "to go", lambda each: each.left, "to go", 7, paper=0.7),
        Column("sentence", "what holds it up", lambda each: each.held.sentence, "what holds it up",
               40, 2.0, 5.0,
               text=lambda each: each.held.sentence.removeprefix(f"{each.doc['name']}: "),
               grade=lambda each: "stop" if each.held.answer.verdict is Verdict.NO else ""),
    ),
    lambda each: each.held.sentence,
)  # fmt: skip
