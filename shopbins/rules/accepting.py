"""Who may let what through, and whether an acceptance on record still covers what is found.

A stop or a to-fix is let through with a reason until it is worse than it was by more than the measuring
error; what is too much for a floor, shuts or narrows a way out, or stands in the keep-clear of switchgear or
an extinguisher only ever for now; a note is dismissed until the figure of its rule changes. What a move is
forbidden for is no finding of these rules and cannot be accepted at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from shopbins.answer import Accepted
from shopbins.ledger.state import State
from shopbins.records.accepted import Acceptable, Acceptance, acceptance, acceptances
from shopbins.rules.finding import Finding
from shopbins.rules.keepclear import is_urgent_gear
from shopbins.rules.rule import Rule
from shopbins.rules.say import listed
from shopbins.rules.things import exit_doors
from shopbins.shop.model import Door, Shop
from shopbins.units import counted

ALWAYS_FOR_NOW = frozenset({"floor-load", "floor-total", "point-load", "way-out", "exit-width", "pit"})
"""Rules whose stops are only ever let through for now: too much for a floor, a way out shut or narrow,
a fall in a walkway."""


def only_for_now(shop: Shop, finding: Finding) -> bool:
    """Tell whether a finding may be accepted only for now, whatever the reason."""
    if finding.grade != "stop":
        return False
    if finding.rule in ALWAYS_FOR_NOW:
        return True
    kind, _, key = (finding.subjects[0] if finding.subjects else "").partition(":")
    if kind == "door":
        door = shop.doors.get(key)
        return door is not None and _lets_out(shop, door)
    if kind == "walkway":
        way = shop.walkways.get(key)
        return way is not None and way.exit_route
    clear = shop.keep_clear.get(key) if kind == "keep clear" else None
    return clear is not None and is_urgent_gear(clear)


def _lets_out(shop: Shop, door: Door) -> bool:
    """Tell whether a way out goes through a door: an exit, on an exit route, or the only door of a room."""
    if door in exit_doors(shop):
        return True
    for room in (door.room, door.to):
        doors = [each for each in shop.doors.values() if room in (each.room, each.to)]
        if room in shop.rooms and doors == [door]:
            return True
    return False


def acceptable(shop: Shop, finding: Finding) -> Acceptable:
    """Return a finding as what may be accepted."""
    return Acceptable(
        finding.id, finding.grade, finding.text, finding.measured, finding.limit, only_for_now(shop, finding)
    )


def applied(state: State, findings: Iterable[Finding], slack_mm: float) -> list[Finding]:
    """Return the findings with who accepted them, where that still covers what is found."""
    known = acceptances(state)
    if not known:
        return list(findings)
    done = []
    for each in findings:
        on_record = known.get(each.id)
        if on_record is not None and _covers(on_record, each, slack_mm):
            each = replace(each, accepted=on_record.accepted)
        done.append(each)
    return done


def _covers(on_record: Acceptance, found: Finding, slack_mm: float) -> bool:
    if found.grade == "note" or on_record.kind == "note":
        # dismissed until the rule's own figure is another; a note that became worse is asked about anew
        return found.grade == on_record.kind == "note" and found.limit == on_record.limit
    if found.grade == "stop" and on_record.kind == "correct":
        return False
    return not _worse(found, on_record.accepted.measured, slack_mm if found.unit == "mm" else 1e-6)


def _worse(found: Finding, before: float | None, slack: float) -> bool:
    if before is None or found.measured is None or found.limit is None:
        return False
    return abs(found.measured - found.limit) > abs(before - found.limit) + slack


def covering(state: State, what: Acceptable, slack: float) -> Accepted | None:
    """Return who accepted a condition, if that was at this figure (in its own unit, within the slack) and all
    it rests on is as it was then.
    """
    on_record = acceptance(state, what.id)
    if on_record is None or on_record.kind != what.kind or on_record.limit != what.limit:
        return None
    if on_record.rests != what.rests:
        return None
    before, now = on_record.accepted.measured, what.measured
    if (before is None) != (now is None):
        return None
    if before is not None and now is not None and abs(before - now) > slack + 1e-9:
        return None
    return on_record.accepted


def for_now(state: State, findings: Iterable[Finding]) -> Iterator[Finding]:
    """Count what was accepted for now and still stands."""
    del state
    still = [f for f in findings if f.accepted is not None and f.accepted.for_now]
    if still:
        subjects = tuple(dict.fromkeys(s for f in still for s in f.subjects))[:12]
        yield ASK.found(
            "correct",
            subjects,
            f"{counted(len(still), 'stop')} accepted for now: {listed((f.text for f in still), 1)}",
            measured=len(still),
            limit=0,
            unit="count",
        )


ASK = Rule(
    key="for-now",
    title="Accepted for now",
    text="What was accepted 'for now' and still stands is counted, to be asked about when you quit. To fix. "
    "The stop itself stays in the audit, with who accepted it.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="put it right, or give the reason why it may stay",
    each="acceptance",
)

RULES = (ASK,)
