"""Scanning: what one read of a tag does, given what was read before.

1. A place. What is in hand is laid there; the place is 'here' and stays it until another place is read, so
   that ten bags are ten scans.
2. A group (or a blank tag) while a place is 'here': it is laid there. A container read twice in a row is
   opened: what is read next goes into it, ten bags again ten scans, until a place is read, or the container
   itself, which is then in hand to be put away.
3. A group with nothing set: it is in hand. A place read next takes it. A second group read next: the larger
   kind of container takes the other (pallet before tub before box and tray before bag before bare things),
   whichever was read first, and stays open. Two of one kind: which is meant cannot be told, so nothing is
   changed; reading one of them twice opens it.

A code that is misread, unknown or of another shop changes nothing, and says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from shopbins.desk.problems import DeskError
from shopbins.ledger.codes import CodeProblem, parse_code
from shopbins.ledger.whereabouts import place_said
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.desk.desk import Desk
    from shopbins.ledger.model import Group
    from shopbins.placing.recording import Laid, Reasons
    from shopbins.rules.finding import Finding

Word = Literal[
    "HERE",
    "HELD",
    "LAID",
    "NEW",
    "IN",
    "OPEN",
    "STOP",
    "REFUSED",
    "WHICH",
    "MISREAD",
    "UNKNOWN",
    "OTHER SHOP",
]
RECORDED: frozenset[Word] = frozenset(("LAID", "NEW", "IN"))
"""The results that changed something in the ledger."""

RANK = {"bag": 1, "box": 2, "tray": 2, "tub": 3, "pallet": 4}
"""Which kind of container takes which: the higher the lower. What is not named holds nothing."""


class Scanned(NamedTuple):
    """What a scan did: one large word, one plain sentence, and what to look at.

    `ok` False means nothing was changed. `held` is the id of the group now in hand or the code of a blank
    tag, `here` the place set, `into` the id of the container that is open.
    """

    word: Word
    text: str
    ok: bool
    here: tuple[str, str] | None = None
    held: str | None = None
    group: str | None = None
    findings: tuple[Finding, ...] = ()
    into: str | None = None


class ScanState(NamedTuple):
    """What earlier scans left: the place set as 'here', what is in hand, the container that is open, and the
    container read last.
    """

    here: tuple[str, str] | None = None
    held: str | None = None
    into: str | None = None
    last: str | None = None


ScanAnswer = tuple[ScanState, Scanned]


def scan(desk: Desk, before: ScanState, text: str, *, override: Reasons = None) -> ScanAnswer:
    """Act on one scanned code; return what is set afterwards and what happened.

    With `override`, a stop is laid down all the same, with that reason on record.
    """
    before = _still_there(desk, before)
    try:
        parse_code(text, desk.shop.prefix)
        kind, subject = desk.names.code(text)
    except CodeProblem as problem:
        words: dict[str, Word] = {"wrong check": "MISREAD", "other shop": "OTHER SHOP"}
        return before, _said(before, words.get(problem.kind, "UNKNOWN"), str(problem), ok=False)
    except DeskError as problem:
        return before, _said(before, "UNKNOWN", str(problem), ok=False)
    if kind == "place":
        return _place_read(desk, before, subject, override)
    return _group_read(desk, before, subject, override)


def _said(after: ScanState, word: Word, text: str, *, ok: bool, group: str | None = None) -> Scanned:
    return Scanned(word, text, ok, after.here, after.held, group, (), after.into)


def _still_there(desk: Desk, before: ScanState) -> ScanState:
    """Forget an open container that somebody has since undone or merged."""
    if before.into is not None and not desk.state.has_group(before.into):
        return before._replace(into=None)
    return before


def place_meant(desk: Desk, place: str) -> tuple[str, str] | None:
    """Return (zone, level) of a place's tag, None where the shop file has no such place any more."""
    from shopbins.tags.labels import place_of

    found = place_of(desk.shop, place)
    if found is None:
        return None
    zone, level = found
    return zone.key, level or (zone.levels[0].key if len(zone.levels) == 1 else "")


def _place_read(desk: Desk, before: ScanState, place: str, override: Reasons) -> ScanAnswer:
    here = place_meant(desk, place)
    if here is None:
        text = f"{place} is no place of the shop file any more"
        return before, _said(before, "REFUSED", text, ok=False)
    after = ScanState(here)
    if before.held is None:
        return after, _said(after, "HERE", f"here is {place_said(*here)}", ok=True)
    return _lay(desk, after, before.held, here, override)


def _group_read(desk: Desk, before: ScanState, who: str, override: Reasons) -> ScanAnswer:
    if before.into is not None:
        if who == before.into:
            return _hold(desk, who)
        return _put_in(desk, ScanState(into=before.into), before, who, before.into, override)
    if before.here is not None:
        if who == before.last:
            return _open(desk, who)
        after = ScanState(before.here, last=who if _rank(desk, who) else None)
        return _lay(desk, after, who, before.here, override)
    if before.held is None:
        return _hold(desk, who)
    if before.held == who:
        return _open(desk, who) if _rank(desk, who) else _hold(desk, who)
    return _two(desk, before, before.held, who, override)


def _hold(desk: Desk, who: str) -> ScanAnswer:
    known = desk.state.has_group(who)
    said = introduce(desk.state, who) if known else f"{who}, a blank label"
    after = ScanState(held=who)
    return after, _said(after, "HELD", f"{said}: now scan its place", ok=True, group=who if known else None)


def _open(desk: Desk, who: str) -> ScanAnswer:
    after = ScanState(into=who)
    text = f"{desk.state.group(who).shown} is open: what is scanned now goes into it"
    return after, _said(after, "OPEN", text, ok=True, group=who)


def _two(desk: Desk, before: ScanState, held: str, who: str, override: Reasons) -> ScanAnswer:
    """Put the smaller of two things read one after the other into the larger container."""
    first, second = _rank(desk, held), _rank(desk, who)
    if first == second:
        kind = f"both are {_kind(desk, who)}" if first else "neither is a container"
        text = f"which goes into which? {kind}: scan the one that holds twice, then the other"
        return before, _said(before, "WHICH", text, ok=False)
    inner, outer = (who, held) if first > second else (held, who)
    return _put_in(desk, ScanState(into=outer), before, inner, outer, override)


def _rank(desk: Desk, who: str) -> int:
    """Return how large a kind of container something is, 0 for what holds nothing (and for blank tags)."""
    return RANK.get(desk.state.group(who).container, 0) if desk.state.has_group(who) else 0


def _kind(desk: Desk, who: str) -> str:
    container = desk.state.group(who).container
    return {"box": "boxes"}.get(container, f"{container}s")


def _put_in(
    desk: Desk, after: ScanState, before: ScanState, who: str, outer: str, override: Reasons
) -> ScanAnswer:
    """Put a group or blank tag into a container, which stays open."""
    holder: Group = desk.state.group(outer)
    how: Literal["in", "on"] = "on" if holder.container == "pallet" else "in"
    if _rank(desk, who) > _rank(desk, outer):
        text = f"a {desk.state.group(who).container} does not go {how} {holder.shown}: scan a place first"
        return before, _said(before, "WHICH", text, ok=False)
    try:
        laid = desk.put_blank_into(who, outer, how) if _blank(desk, who) else None
        laid = laid or desk.put_into(who, outer, how, override=override)
    except DeskError as problem:
        return before, _said(before, "REFUSED", str(problem), ok=False, group=who)
    if not laid.done:
        return before, _stopped(after, laid, who)._replace(here=before.here, held=before.held)
    said = introduce(desk.state, laid.group) if laid.group else who
    word: Word = "NEW" if laid.was_blank else "IN"
    found = Scanned(
        word, f"{said}: put {how} {holder.shown}", True, None, None, laid.group, laid.findings, outer
    )
    return after, found


def _blank(desk: Desk, who: str) -> bool:
    return not desk.state.has_group(who)


def _stopped(after: ScanState, laid: Laid, who: str) -> Scanned:
    why = next((f.text for f in laid.findings if f.grade == "stop"), "refused")
    return Scanned("STOP", f"not put down: {why}", False, after.here, None, who, laid.findings, after.into)


def _lay(desk: Desk, after: ScanState, who: str, here: tuple[str, str], override: Reasons) -> ScanAnswer:
    try:
        laid = desk.put(who, *here, override=override)
    except DeskError as problem:
        return after, _said(after, "REFUSED", str(problem), ok=False, group=who)
    where = place_said(*here)
    if not laid.done:
        return after, _stopped(after, laid, who)
    said = introduce(desk.state, laid.group) if laid.group else who
    word: Word = "NEW" if laid.was_blank else "LAID"
    return after, Scanned(word, f"{said}: laid on {where}", True, here, None, laid.group, laid.findings)
