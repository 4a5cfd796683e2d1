"""Catching up: what is not named, weighed, labelled or decided, in one counted line a zone; stale tags."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from shopbins.ledger.model import Group
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import listed
from shopbins.rules.things import groups_in
from shopbins.scene.contents import area_of
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.strip.printed import changed
from shopbins.units import counted

FIRST = 3


class _Work(NamedTuple):
    """One kind of work on the records: whether a part waits for it, how that is counted, asked for, done.

    `waits` is what the plan calls it, `verb` what is done to the parts named, `how` the way with one of them.
    """

    lacks: Callable[[Group], bool]
    counted: str
    waits: str
    verb: str
    asked: str
    how: str


_WEIGH = _Work(
    lambda group: group.mass is None,
    "not weighed", "weigh", "weigh", "weigh {}",
    "weigh and record it: shopbins set {code} --mass 4kg",
)  # fmt: skip
_NAME = _Work(
    lambda group: not group.name,
    "unnamed", "name", "name", "name {}",
    "say what it is: shopbins set {code} --name 'valve springs'",
)  # fmt: skip
_MEASURE = _Work(
    lambda group: group.known_size is None and group.outline is None,
    "not measured", "measure", "measure", "measure {}",
    "three numbers are enough: shopbins set {code} --size 300x200x150mm",
)  # fmt: skip
_LABEL = _Work(
    lambda group: not group.tagged,
    "not labelled", "label", "label", "label {}",
    "print its label and stick it on: shopbins tags {code}",
)  # fmt: skip
_REST = (
    _Work(
        lambda group: not group.origin,
        "origin not known", "origin not known", "give an origin to", "find out where {} came from",
        "say where it came off: shopbins set {code} --origin 'engine > pump'",
    ),
    _Work(
        lambda group: group.disposition == "undecided",
        "undecided", "undecided", "decide on", "decide what happens to {}",
        "say what happens to it: shopbins set {code} --disposition refit",
    ),
)  # fmt: skip
_WORKS = (_WEIGH, _NAME, _MEASURE, _LABEL, *_REST)
"""Every kind of work on the records, in the order it is done."""


def lacking(scene: Scene) -> dict[str, list[str]]:
    """Return for each kind of work on the records the ids of the parts put away that wait for it."""
    there = [group for zone in scene.zones() for group in groups_in(scene, zone)]
    found = {
        work.waits: [group.id for group in there if work.lacks(group)]
        for work in (_WEIGH, _LABEL, _NAME, _MEASURE, *_REST)
    }
    return {waits: ids for waits, ids in found.items() if ids}


def folded(scene: Scene) -> list[tuple[str, str]]:
    """Return what is to be completed over the whole shop, a line for each kind, and what to do first."""
    there = [(zone, group) for zone in scene.zones() for group in groups_in(scene, zone)]
    said = []
    for work in _WORKS:
        if found := [(zone, group) for zone, group in there if work.lacks(group)]:
            places = {zone.key for zone, _ in found}
            where = f" in {counted(len(places), 'place')}" if work is _WEIGH else ""
            asked = work.asked.format(counted(len(found), "part"))
            said.append((asked + where, work.how.format(code=found[0][1].code)))
    return said


def _look_loose(scene: Scene, zone: Zone) -> Iterator[Finding]:
    there = list(groups_in(scene, zone))
    waiting = {work: [group for group in there if work.lacks(group)] for work in _WORKS}
    most = next((work for work in _WORKS if waiting[work]), None)
    if most is None:
        return
    first = sorted(waiting[most], key=lambda g: _matters(scene, zone, g), reverse=True)[:FIRST]
    counts = [
        f"{len(waiting[work])} {work.counted}"
        for work in (_NAME, _WEIGH, _MEASURE, _LABEL, *_REST)
        if waiting[work]
    ]
    named = listed((f"{g.shown} ({g.code})" if g.name else g.code for g in first), FIRST)
    yield LOOSE.found(
        "correct",
        (f"zone:{zone.key}", *(f"group:{g.code}" for g in first)),
        f"{_said(zone)}: {', '.join(counts)}; {most.verb} "
        f"{'this' if len(first) == 1 else f'these {len(first)}'} first: {named}",
        room=zone.room,
        measured=sum(map(len, waiting.values())),
        limit=0,
        unit="count",
        remedy=most.how.format(code=first[0].code),
    )


def _said(zone: Zone) -> str:
    return f"floor of {zone.name}" if zone.kind == "room" else zone.name


def _matters(scene: Scene, zone: Zone, group: Group) -> tuple[float, float, str]:
    """Weigh a group: how near its level is to its load, then how large it is (unknown size counts large)."""
    top = scene.top_of(group.id)
    level = zone.level(getattr(top.where, "level", "")) if top is not None else None
    nearness = 0.0
    if level is not None:
        contents = scene.contents(zone.key, level.key)
        if contents.limit_kg:
            nearness = contents.load_kg / contents.limit_kg
    size = group.known_size
    volume = (
        size.length_mm * size.width_mm * size.height_mm if size else (area_of(group) or 250_000.0) * 300.0
    )
    return (round(nearness, 1), volume, group.code)


LOOSE = Rule(
    key="loose",
    title="Not yet named, weighed, labelled or decided",
    text="In each place counts what is unnamed, not weighed, not measured, without label, origin not known, "
    "undecided, and names the three to do first: those on the level nearest its load, the largest before "
    "the others. To fix, one line a place.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="weigh and name a few each evening",
    look=_look_loose,
    per="zone",
    each="group",
)


def _look_stale(scene: Scene, zone: Zone) -> Iterator[Finding]:
    stale = [(group, why) for group in groups_in(scene, zone) if (why := changed(scene.state, group))]
    if stale:
        named = listed((f"{group.shown} ({', '.join(why)})" for group, why in stale), FIRST)
        says = "1 label says" if len(stale) == 1 else f"{len(stale)} labels say"
        yield STALE.found(
            "note",
            (f"zone:{zone.key}",),
            f"{_said(zone)}: {says} what has changed since: {named}",
            room=zone.room,
            measured=len(stale),
            limit=0,
            unit="count",
        )


STALE = Rule(
    key="stale tags",
    title="Labels are out of date",
    text="In each place counts parts whose name, origin, count, mass or cautions have changed, or that were "
    "rejected, since their label was printed. What was written by hand on a blank label is not known and "
    "not counted.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="print them again, in walking order: shopbins tags --stale -o stale.pdf",
    look=_look_stale,
    per="zone",
    each="group",
)

RULES = (LOOSE, STALE)
