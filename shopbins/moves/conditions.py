"""The conditions of a move, each with who accepted it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from shopbins.answer import Accepted, Part, Verdict
from shopbins.moves.finding import Row, row_of
from shopbins.moves.running import EVEN
from shopbins.moves.situation import Onto
from shopbins.records.accepted import Figures


def goal_subjects(place: str, onto: Onto | None) -> tuple[str, ...]:
    """Return what conditions of a move to a place, or onto a bench or shelf there, are about."""
    return (f"zone:{place}",) if onto is None else onto.subjects


def with_acceptance(
    part: Part,
    goal: tuple[str, ...],
    who: Callable[[Row], Accepted | None],
    rests: tuple[str, Figures] | None = None,
) -> Part:
    """Return a condition with who accepted it for this thing, gear and goal, if somebody did at this figure
    and all it `rests` on is as it was then; what is of a room alone was accepted for all moves.
    """
    if part.verdict not in (Verdict.ASKED, Verdict.ACCEPTED):
        return part
    row = row_of(part)
    of_room = row.finding.rule == EVEN.key
    goals = () if of_room else goal
    subjects = tuple(dict.fromkeys((*row.finding.subjects, *goals)))
    finding = replace(row.finding, subjects=subjects, accepted=None)
    word, figures = ("", {}) if of_room else rests or (row.rests, row.figures)
    asked = replace(row, finding=finding, rests=word, figures=figures)
    accepted = who(asked)
    kept = replace(asked, finding=replace(asked.finding, accepted=accepted))
    return Part(Verdict.ASKED if accepted is None else Verdict.ACCEPTED, part.text, subjects, accepted, kept)
