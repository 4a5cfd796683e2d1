"""Catching up: what is not named, weighed, labelled or decided, in one counted line a zone; stale tags."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from shopbins.ledger.model import Group
from shopbins.ledger.printed import changed
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import listed
from shopbins.scene.contents import area_of
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.units import counted

FIRST = 3

HOW = {
    "weigh": "weigh and record it: shopbins set {code} --mass 4kg",
    "name": "say what it is: shopbins set {code} --name 'valve springs'",
    "measure": "three numbers are enough: shopbins set {code} --size 300x200x150mm",
    "label": "print its label and stick it on: shopbins tags {code}",
    "give an origin to": "say where it came off: shopbins set {code} --origin 'engine > pump'",
    "decide on": "say what happens to it: shopbins set {code} --disposition refit",
}


@dataclass(slots=True)
class _Count:
    """What is missing in one zone."""

    unnamed: list[Group] = field(default_factory=list)
    unweighed: list[Group] = field(default_factory=list)
    unsized: list[Group] = field(default_factory=list)
    untagged: list[Group] = field(default_factory=list)
    no_origin: list[Group] = field(default_factory=list)
    undecided: list[Group] = field(default_factory=list)

    def add(self, group: Group) -> None:
        if not group.name:
            self.unnamed.append(group)
        if group.mass is None:
            self.unweighed.append(group)
        if group.known_size is None and group.outline is None:
            self.unsized.append(group)
        if not group.tagged:
            self.untagged.append(group)
        if not group.origin:
            self.no_origin.append(group)
        if group.disposition == "undecided":
            self.undecided.append(group)

    def parts(self) -> list[str]:
        """Say each count, the most pressing first."""
        named = (
            (self.unnamed, "unnamed"),
            (self.unweighed, "not weighed"),
            (self.unsized, "not measured"),
            (self.untagged, "not labelled"),
            (self.no_origin, "origin not known"),
            (self.undecided, "undecided"),
        )
        return [f"{len(groups)} {words}" for groups, words in named if groups]

    def total(self) -> int:
        """Count everything missing."""
        lists = (
            self.unnamed,
            self.unweighed,
            self.unsized,
            self.untagged,
            self.no_origin,
            self.undecided,
        )
        return sum(len(each) for each in lists)


def lacking(scene: Scene) -> dict[str, list[str]]:
    """Return for each kind of work on the records the ids of the parts put away that wait for it."""
    count = _Count()
    for zone in scene.zones():
        _count_in(scene, zone, count)
    kinds = {
        "weigh": count.unweighed,
        "label": count.untagged,
        "name": count.unnamed,
        "measure": count.unsized,
        "origin not known": count.no_origin,
        "undecided": count.undecided,
    }
    return {kind: [group.id for group in groups] for kind, groups in kinds.items() if groups}


def _count_in(scene: Scene, zone: Zone, count: _Count) -> None:
    for group_id in scene.ids_in(zone, None):
        count.add(scene.group(group_id))
        for inner in scene.under(group_id):
            count.add(scene.group(inner))


def _look_loose(scene: Scene, zone: Zone) -> Iterator[Finding]:
    count = _Count()
    _count_in(scene, zone, count)
    if count.total():
        yield _say(scene, zone, count)


def folded(scene: Scene) -> list[tuple[str, str]]:
    """Return what is to be completed over the whole shop, a line for each kind, and what to do first."""
    whole, places = _Count(), dict[str, set[str]]()
    for zone in scene.zones():
        for group_id in scene.ids_in(zone, None):
            for each in (group_id, *scene.under(group_id)):
                before = {name: len(getattr(whole, name)) for name in _KINDS}
                whole.add(scene.group(each))
                for name, many in before.items():
                    if len(getattr(whole, name)) > many:
                        places.setdefault(name, set()).add(zone.key)
    said = []
    for name, (words, verb) in _KINDS.items():
        groups: list[Group] = getattr(whole, name)
        if groups:
            where = f" in {counted(len(places[name]), 'place')}" if name == "unweighed" else ""
            said.append(
                (words.format(counted(len(groups), "part")) + where, HOW[verb].format(code=groups[0].code))
            )
    return said


_KINDS = {
    "unweighed": ("weigh {}", "weigh"),
    "unnamed": ("name {}", "name"),
    "unsized": ("measure {}", "measure"),
    "untagged": ("label {}", "label"),
    "no_origin": ("find out where {} came from", "give an origin to"),
    "undecided": ("decide what happens to {}", "decide on"),
}
"""Each kind of record to complete, said in a line, and what is done about it."""


def _say(scene: Scene, zone: Zone, count: _Count) -> Finding:
    first, verb = _do_first(scene, zone, count)
    words = f"; {verb} {'this' if len(first) == 1 else f'these {len(first)}'} first: " if first else ""
    words += listed((f"{g.shown} ({g.code})" if g.name else g.code for g in first), FIRST)
    name = f"floor of {zone.name}" if zone.kind == "room" else zone.name
    return LOOSE.found(
        "correct",
        (f"zone:{zone.key}", *(f"group:{g.code}" for g in first)),
        f"{name}: {', '.join(count.parts())}{words}",
        room=zone.room,
        at_mm=None,
        measured=count.total(),
        limit=0,
        unit="count",
        remedy=HOW[verb].format(code=first[0].code) if first else "",
    )


def _do_first(scene: Scene, zone: Zone, count: _Count) -> tuple[list[Group], str]:
    """Choose the three that matter most, and what to do with them."""
    for groups, verb in (
        (count.unweighed, "weigh"),
        (count.unnamed, "name"),
        (count.unsized, "measure"),
        (count.untagged, "label"),
        (count.no_origin, "give an origin to"),
        (count.undecided, "decide on"),
    ):
        if groups:
            return sorted(groups, key=lambda g: _matters(scene, zone, g), reverse=True)[:FIRST], verb
    return [], ""


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
    stale: list[tuple[Group, tuple[str, ...]]] = []
    for group_id in scene.ids_in(zone, None):
        for each in (group_id, *scene.under(group_id)):
            if why := changed(scene.group(each)):
                stale.append((scene.group(each), why))
    if stale:
        named = listed((f"{group.shown} ({', '.join(why)})" for group, why in stale), FIRST)
        name = f"floor of {zone.name}" if zone.kind == "room" else zone.name
        says = "1 label says" if len(stale) == 1 else f"{len(stale)} labels say"
        yield STALE.found(
            "note",
            (f"zone:{zone.key}",),
            f"{name}: {says} what has changed since: {named}",
            room=zone.room,
            at_mm=None,
            measured=len(stale),
            limit=0,
            unit="count",
        )


STALE = Rule(
    key="stale tags",
    title="Labels are out of date",
    text="In each place counts parts whose name, origin, count, mass or cautions have changed since their "
    "label was printed. What was written by hand on a blank label is not known and not counted.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="print them again, in walking order: shopbins tags --stale -o stale.pdf",
    look=_look_stale,
    per="zone",
    each="group",
)

RULES = (LOOSE, STALE)
