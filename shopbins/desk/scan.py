"""Scanning: what one read of a tag does, given what was read before.

'Here' is the last place scanned and stays set until another is; a group scanned while 'here' is set goes
there, so ten bags are ten scans. A group scanned with no 'here' is held, and the next place scanned takes
it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from shopbins.desk.problems import DeskError

if TYPE_CHECKING:
    from shopbins.desk.desk import Desk
    from shopbins.rules.finding import Finding

Word = Literal["HERE", "HELD", "LAID", "STOP", "UNKNOWN", "NEW", "REFUSED", "ON"]


@dataclass(frozen=True, slots=True)
class Scanned:
    """What a scan did: one large word, one plain sentence, and what to look at.

    `ok` False means nothing was changed. `held` is the id of the group now in hand or the code of a blank
    tag, `here` the place set.
    """

    word: Word
    text: str
    ok: bool
    here: tuple[str, str] | None = None
    held: str | None = None
    group: str | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class ScanState:
    """What earlier scans left: the place set as 'here', and the group or blank tag in hand."""

    here: tuple[str, str] | None = None
    held: str | None = None


def scan(
    desk: Desk, before: ScanState, text: str, *, override: str | None = None
) -> tuple[ScanState, Scanned]:
    """Act on one scanned code; return what is set afterwards and what happened.

    With `override`, a stop is laid down all the same, with that reason on record.
    """
    try:
        kind, subject = desk.resolve_code(text)
    except DeskError as problem:
        return before, Scanned("UNKNOWN", str(problem), False, before.here, before.held)
    if kind == "place":
        zone, _, level = subject.partition("/")
        return _place_read(desk, before, (zone, level), override)
    return _group_read(desk, before, subject, override)


def _place_read(
    desk: Desk, before: ScanState, here: tuple[str, str], override: str | None
) -> tuple[ScanState, Scanned]:
    if before.held is None:
        after = ScanState(here, None)
        return after, Scanned("HERE", f"here is {desk.place_words(*here)}", True, here)
    return _lay(desk, ScanState(here, None), before.held, here, override)


def _group_read(desk: Desk, before: ScanState, who: str, override: str | None) -> tuple[ScanState, Scanned]:
    if before.here is not None:
        return _lay(desk, before, who, before.here, override)
    known = desk.state.has_group(who)
    said = desk.introduce(who) if known else f"{who}, a blank tag"
    said += "".join(f" · caution: {each}" for each in desk.state.group(who).cautions) if known else ""
    after = ScanState(None, who)
    return after, Scanned("HELD", f"{said}: now scan its place", True, None, who, who if known else None)


def _lay(
    desk: Desk, after: ScanState, who: str, here: tuple[str, str], override: str | None
) -> tuple[ScanState, Scanned]:
    try:
        laid = desk.put(who, *here, override=override)
    except DeskError as problem:
        return after, Scanned("REFUSED", str(problem), False, after.here, None, who)
    where = desk.place_words(*here)
    if not laid.done:
        why = next((f.text for f in laid.findings if f.grade == "stop"), "refused")
        return after, Scanned("STOP", f"not laid down: {why}", False, here, None, who, laid.findings)
    said = desk.introduce(laid.group) if laid.group else who
    word: Word = "NEW" if laid.was_blank else "LAID"
    return after, Scanned(word, f"{said}: laid on {where}", True, here, None, laid.group, laid.findings)
