"""Groups that are nowhere, overdue, in a place the shop file does not have, or in themselves."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from shopbins.ledger.model import Away, Group, InGroup
from shopbins.ledger.whereabouts import place_said
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import listed
from shopbins.scene.scene import Scene
from shopbins.units import counted

NAMED = 12
"""At most so many groups are subjects of one counted finding; the text has the full number."""


def tags(groups: list[Group]) -> tuple[str, ...]:
    """Return groups as subjects of a counted finding."""
    return tuple(f"group:{g.code}" for g in groups[:NAMED])


def _audit_unplaced(scene: Scene, _today: date) -> Iterator[Finding]:
    groups = sorted((scene.group(g) for g in scene.state.unplaced()), key=lambda group: group.code)
    if groups:
        names = listed(g.shown for g in groups)
        yield UNPLACED.found(
            "correct",
            tags(groups),
            f"{counted(len(groups), 'part')} waiting: {names}",
            measured=len(groups),
            limit=0,
            unit="count",
        )


UNPLACED = Rule(
    key="unplaced",
    title="Taken off and not put down",
    text="Every part lies somewhere or is away. To fix, counted in one line.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="put it down: scan it, then its place",
    audit=_audit_unplaced,
    each="part",
)


def _audit_overdue(scene: Scene, today: date) -> Iterator[Finding]:
    open_ended: list[Group] = []
    for group_id in scene.state.away():
        group = scene.group(group_id)
        if not isinstance(group.where, Away):
            continue
        until = _date(group.where.until)
        if until is None:
            open_ended.append(group)
        elif until < today:
            days = (today - until).days
            yield OVERDUE.found(
                "correct",
                (f"group:{group.code}",),
                f"{group.shown} was due back from {group.where.to} on {until.isoformat()}, "
                f"{counted(days, 'day')} ago",
                measured=days,
                limit=0,
                unit="days",
                remedy=f"ask {group.where.to}, or set a new date",
            )
    open_ended.sort(key=lambda group: group.code)
    if open_ended:
        yield OVERDUE.found(
            "note",
            tags(open_ended),
            f"{counted(len(open_ended), 'part')} away with no date to be back: "
            f"{listed(g.shown for g in open_ended)}",
            measured=len(open_ended),
            limit=0,
            unit="count",
            remedy="agree on a date",
        )


def _date(text: str | None) -> date | None:
    try:
        return None if not text else date.fromisoformat(text[:10])
    except ValueError:
        return None


OVERDUE = Rule(
    key="away-overdue",
    title="Away longer than agreed",
    text="What is away is back by its date: the day itself still counts. To fix; a note of what is away "
    "without a date.",
    limit="the date agreed",
    source="the ledger",
    mark="own",
    remedy="ask there, or set a new date",
    audit=_audit_overdue,
    each="part away",
)


def _audit_gone(scene: Scene, _today: date) -> Iterator[Finding]:
    for key, level in scene.state.places():
        zone = scene.zone(key)
        known = zone is not None and (level == "" or zone.level(level) is not None)
        if known:
            continue
        groups = [scene.group(g) for g in scene.state.in_zone(key, level)]
        where = place_said(key, level)
        what = f"a level {level} of {key}" if zone is not None else f"a place called {where}"
        yield GONE.found(
            "correct",
            (f"zone:{where}", *tags(groups)),
            f"{counted(len(groups), 'group')} recorded in {where}, but the shop file no longer has {what}: "
            f"{listed(g.shown for g in groups)}",
            room=None if zone is None else zone.room,
            measured=len(groups),
            limit=0,
            unit="count",
        )


GONE = Rule(
    key="gone-place",
    title="In a place the shop file no longer has",
    text="Every place in the ledger is in the shop file. To fix, counted for each place.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="put them down anew, or give the place back with `was: [old key]` in the shop file",
    audit=_audit_gone,
    each="place",
)


def _audit_circle(scene: Scene, _today: date) -> Iterator[Finding]:
    for ring in scene.state.circles():
        groups = [scene.group(g) for g in ring]
        if len(groups) == 1:
            text = f"{groups[0].shown} is recorded in itself"
        else:
            text = f"{listed(g.shown for g in groups)} are recorded in each other, in a circle"
        yield CIRCLE.found(
            "correct",
            tags(sorted(groups, key=lambda g: g.code)),
            text,
            measured=len(groups),
            limit=0,
            unit="count",
        )
    adrift = [scene.group(g) for g in scene.state.adrift()]
    for group in adrift:
        parent = group.where.group if isinstance(group.where, InGroup) else ""
        yield CIRCLE.found(
            "correct",
            (f"group:{group.code}",),
            f"{group.shown} is recorded in a part that is gone ({parent})",
        )


CIRCLE = Rule(
    key="in-circle",
    title="In itself, or in what is gone",
    text="No part is in or on itself, directly or in a circle, nor in one that is gone. To fix.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="put one of them in its true place",
    audit=_audit_circle,
    each="part",
)

RULES = (UNPLACED, OVERDUE, GONE, CIRCLE)
