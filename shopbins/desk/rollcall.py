"""Roll-call of a place: everything that lies there is scanned; what is missing, misplaced or new is listed.

A container stands for what is recorded in it: reading the tub is enough, reading a bag in it does no harm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from shopbins.desk.problems import DeskError
from shopbins.ledger.codes import CodeProblem, parse_code
from shopbins.ledger.model import InZone
from shopbins.ledger.whereabouts import place_said, whereabouts
from shopbins.records.group import LIFT_OFF

if TYPE_CHECKING:
    from shopbins.desk.desk import Desk
    from shopbins.placing.recording import Laid, Reasons

OutcomeKind = Literal["missing", "misplaced", "unexpected", "present"]
Word = Literal["HERE", "NOT HERE", "NEW", "AGAIN", "MISREAD", "UNKNOWN", "OTHER SHOP", "PLACE"]
REMEDY = {
    "missing": "it is not there: take it off the record, waiting",
    "misplaced": "it lies here: put it down here",
    "unexpected": "it lies here: put it down here",
    "present": "",
}
"""What putting right does with each kind, in words."""


@dataclass(frozen=True, slots=True)
class RollCall:
    """A roll-call going on: of which place, and what was read so far (ids, codes of blank tags), in order."""

    zone: str
    level: str = ""
    read: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Called:
    """What one read of a roll-call said."""

    word: Word
    text: str
    ok: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """One line of the result: the thing (id, or code of a blank tag), its kind, what it is, where it is said
    to be.
    """

    kind: OutcomeKind
    who: str
    shown: str
    where: str


def expected(desk: Desk, call: RollCall) -> list[str]:
    """Return the ids of what the record says lies there by itself, not in or on another group."""
    return desk.state.in_zone(call.zone, call.level or None)


def read(desk: Desk, call: RollCall, text: str) -> tuple[RollCall, Called]:
    """Take one read; nothing is recorded."""
    try:
        parse_code(text, desk.shop.prefix)
        kind, subject = desk.names.code(text)
    except CodeProblem as problem:
        words: dict[str, Word] = {"wrong check": "MISREAD", "other shop": "OTHER SHOP"}
        return call, Called(words.get(problem.kind, "UNKNOWN"), str(problem), False)
    except DeskError as problem:
        return call, Called("UNKNOWN", str(problem), False)
    if kind == "place":
        return _place_read(desk, call, subject)
    if subject in call.read:
        return call, Called("AGAIN", f"{_shown(desk, subject)}: read before", True)
    after = replace(call, read=(*call.read, subject))
    row = _row(desk, call, subject)
    if row.kind == "present":
        return after, Called("HERE", f"{row.shown}: here, as recorded", True)
    if row.kind == "unexpected":
        return after, Called("NEW", f"{row.shown}: not on record as lying anywhere", False)
    return after, Called("NOT HERE", f"{row.shown}: on record in {row.where}", False)


def _place_read(desk: Desk, call: RollCall, place: str) -> tuple[RollCall, Called]:
    """Say which place is being called; another one is called instead where nothing was read yet."""
    from shopbins.desk.scan import place_meant

    meant = place_meant(desk, place)
    if meant is None:
        return call, Called("UNKNOWN", f"{place} is no place of the shop file any more", False)
    if meant == (call.zone, call.level):
        return call, Called("PLACE", f"{place_said(*meant)}: scan what lies there", True)
    if call.read:
        said = f"this is the roll-call of {place_said(call.zone, call.level)}: end it first"
        return call, Called("PLACE", said, False)
    return RollCall(*meant), Called("PLACE", f"{place_said(*meant)}: scan what lies there", True)


def rows(desk: Desk, call: RollCall) -> list[Outcome]:
    """Return what is to be put right, then what is as recorded: misplaced, unexpected, missing, present."""
    found = [_row(desk, call, who) for who in call.read if _known(desk, who)]
    missing = [
        Outcome("missing", who, _shown(desk, who), place_said(call.zone, call.level))
        for who in expected(desk, call)
        if who not in call.read
    ]
    order: dict[OutcomeKind, int] = {"misplaced": 0, "unexpected": 1, "missing": 2, "present": 3}
    return sorted([*found, *missing], key=lambda row: order[row.kind])


def _row(desk: Desk, call: RollCall, who: str) -> Outcome:
    if not desk.state.has_group(who):
        return Outcome("unexpected", who, f"blank label {who}", "")
    group = desk.state.group(who)
    top, where = desk.state.top_of(who)
    here = isinstance(where, InZone) and _same(desk, call, where)
    kind: OutcomeKind = "present" if here else "unexpected" if where is None and top == who else "misplaced"
    return Outcome(kind, who, _shown(desk, who), whereabouts(desk.state, group.where))


def _same(desk: Desk, call: RollCall, where: InZone) -> bool:
    zone = desk.shop.renamed.get(where.zone, where.zone)
    return zone == call.zone and (not call.level or where.level == call.level)


def _shown(desk: Desk, who: str) -> str:
    if not desk.state.has_group(who):
        return f"blank label {who}"
    group = desk.state.group(who)
    return f"{group.shown} ({group.code})" if group.name else group.code


def _known(desk: Desk, who: str) -> bool:
    """Tell whether something read is still there, as a group or an unused blank tag."""
    return desk.state.has_group(who) or desk.state.resolve_code(who) is not None


def put_right(
    desk: Desk, call: RollCall, row: Outcome, *, override: Reasons = None
) -> tuple[RollCall, Laid | None]:
    """Bring the record in line with the roll-call in one row; the Laid of what was laid down here.

    A missing thing becomes unplaced (None is returned); anything else is laid down here, judged as always.
    Raises DeskError where that is refused.
    """
    if row.kind == "missing":
        desk.do(LIFT_OFF(row.who))
        return call, None
    laid = desk.put(row.who, call.zone, call.level, override=override)
    if laid.done and laid.was_blank and laid.group is not None:
        call = replace(call, read=tuple(laid.group if each == row.who else each for each in call.read))
    return call, laid
