"""An audit kept up to date: after a change only what it can have touched is judged anew.

Every unit of the audit (a rule at one thing, or at one place) is kept with the rooms it hangs on. A change of
some groups touches the rooms where they were and are; whatever hangs on the whole shop is judged every time.
The answer is that of `auditing.audit` on the same scene.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from shopbins.ledger.model import InZone
from shopbins.rules import accepting, sources
from shopbins.rules.auditing import Heard, go_on
from shopbins.rules.finding import Finding, once, worst_first
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Rule
from shopbins.rules.things import IN_ZONES, KINDS
from shopbins.scene.scene import Scene
from shopbins.scene.waysout import kept_for
from shopbins.shop.model import Door, Fixture, KeepClear, Opening, Room, Shop, Walkway, Zone

ACROSS = ("room with a way out", "indoor room with a way out")
"""Kinds that hang on every room that doors lead to."""

NEXT_TO = ("hot place", "hot place by a metal wall")
"""Kinds that hang on the rooms next to theirs too."""


BY_ZONE = ("warned", "named", "old", "unknown")
"""What the memo of a scene holds zone by zone, to be taken along where the zone is as it was."""


@dataclass(frozen=True, slots=True)
class _Unit:
    """One piece of the audit: its key, the rooms it hangs on, and how it is judged."""

    key: Hashable
    rooms: frozenset[str]
    judge: Callable[[], Iterable[Finding]]


class Auditor:
    """Audits one shop again and again."""

    def __init__(self) -> None:
        self._shop: Shop | None = None
        self._things: object = None
        self._scene: Scene | None = None
        self._found: dict[Hashable, tuple[Finding, ...]] = {}
        self._memo: dict[tuple[Any, ...], Any] = {}
        self._home: dict[str, str] = {}

    def audit(
        self, scene: Scene, today: date, subjects: Iterable[str] | None, heard: Heard | None = None
    ) -> list[Finding]:
        """Return what `auditing.audit` returns; `subjects` are those changed since the last time, None: any.

        Raises AuditStopped as it does; then the next time everything is judged.
        """
        touched = self._touched(scene, subjects)
        self._shop = None  # until it is done
        if touched is None:
            self._found, self._memo = {}, {}
        else:
            zones = {zone.key for room in touched for zone in scene.zones_in(room)}
            if self._scene is not None:
                scene.take_over(self._scene, touched)
            scene.memo.update({key: value for key, value in self._memo.items() if key[1] not in zones})
        found = self._units_judged(scene, today, touched, heard or (lambda _: True))
        self._shop, self._things, self._scene = scene.shop, dict(scene.shifted), scene
        self._memo = {k: v for k, v in scene.memo.items() if isinstance(k, tuple) and k[0] in BY_ZONE}
        self._remember_homes(scene, None if touched is None else subjects)
        findings = accepting.applied(scene.state, once(found), scene.shop.measured_mm)
        findings += accepting.for_now(scene.state, findings)
        return worst_first(findings)

    def _units_judged(
        self, scene: Scene, today: date, touched: frozenset[str] | None, heard: Heard
    ) -> list[Finding]:
        every: list[Finding] = []
        now: dict[Hashable, tuple[Finding, ...]] = {}
        for number, rule in enumerate(RULES):
            if rule.audit is not None:
                every += sources.in_force(scene.shop, rule.audit(scene, today))
            if rule.look is not None:
                for unit in _units(rule, scene):
                    kept = self._found.get(unit.key)
                    if kept is None or touched is None or unit.rooms & touched:
                        kept = tuple(sources.in_force(scene.shop, unit.judge()))
                    if kept:
                        every += kept
                    now[unit.key] = kept
                    go_on(heard, number / len(RULES))
            go_on(heard, (number + 1) / len(RULES))
        self._found = now
        return every

    # --- what a change touches ----------------------------------------------------------------------------

    def _touched(self, scene: Scene, subjects: Iterable[str] | None) -> frozenset[str] | None:
        """Return the rooms that changed groups were or are in; None where everything may have changed."""
        if subjects is None or self._shop is not scene.shop or self._things != dict(scene.shifted):
            return None
        zones: set[str] = set()
        for subject in subjects:
            table, _, key = subject.partition(":")
            if table not in ("group", "plan"):  # of a shifted thing `_things` tells
                continue
            if key in self._home:
                zones.add(self._home[key])
            there = _zone_of(scene, key)
            if there is not None:
                zones.add(there)
        rooms = set()
        for key in zones:
            zone = scene.zone(key)
            if zone is not None:
                rooms.add(zone.room)
        return frozenset(rooms)

    def _remember_homes(self, scene: Scene, subjects: Iterable[str] | None) -> None:
        if subjects is None:
            self._home = {}
            for zone in scene.zones():
                for top in scene.ids_in(zone, None):
                    self._home[top] = zone.key
                    self._home.update((each, zone.key) for each in scene.under(top))
            return
        for subject in subjects:
            table, _, key = subject.partition(":")
            if table != "group":
                continue
            there = _zone_of(scene, key)
            for each in (key, *(scene.under(key) if scene.state.has_group(key) else ())):
                if there is None:
                    self._home.pop(each, None)
                else:
                    self._home[each] = there


def _zone_of(scene: Scene, group_id: str) -> str | None:
    try:
        top = scene.top_of(group_id)
    except KeyError:
        return None
    if top is None or not isinstance(top.where, InZone):
        return None
    zone = scene.zone(top.where.zone)
    return None if zone is None else zone.key


def _units(rule: Rule, scene: Scene) -> Iterator[_Unit]:
    kind, look = rule.per or rule.each, rule.look
    assert look is not None
    if kind in IN_ZONES:
        walk = IN_ZONES[kind]
        for zone in scene.zones():

            def in_zone(zone: Zone = zone) -> Iterator[Finding]:
                for _, thing in walk(scene, zone):
                    yield from look(scene, thing)

            yield _Unit((rule.key, zone.key), frozenset((zone.room,)), in_zone)
        return
    for subject, thing in KINDS[kind](scene):
        rooms = _rooms_of(scene.shop, kind, thing)
        yield _Unit((rule.key, subject), rooms, partial(look, scene, thing))


def _rooms_of(shop: Shop, kind: str, thing: object) -> frozenset[str]:
    """Return the rooms whose contents a thing's findings may hang on."""
    if isinstance(thing, Door):
        return frozenset((thing.room, thing.to))
    if isinstance(thing, Walkway):
        return frozenset(thing.rooms or shop.rooms)
    if isinstance(thing, Room):
        here = thing.key
    elif isinstance(thing, (KeepClear, Zone, Fixture, Opening)):
        here = thing.room
    else:
        return frozenset(shop.rooms)
    if kind in ACROSS:
        return _joined(shop, here)
    if kind in NEXT_TO:
        return frozenset((here, *_next_to(shop, here)))
    return frozenset((here,))


def _next_to(shop: Shop, room: str) -> Iterator[str]:
    pairs = [(door.room, door.to) for door in shop.doors.values()]
    pairs += [(hole.room, hole.to or "") for hole in shop.openings.values()]
    pairs += [wall.between for wall in shop.walls.values()]
    for a, b in pairs:
        if room == a:
            yield b
        elif room == b:
            yield a


def _joined(shop: Shop, room: str) -> frozenset[str]:
    """Return the rooms that doors lead to from a room, itself included; looked for once a shop."""
    kept = kept_for(shop).setdefault("joined", {})
    assert isinstance(kept, dict)
    if room not in kept:
        there = _led_to(shop, room)
        kept.update(dict.fromkeys(there, there))
    found: frozenset[str] = kept[room]
    return found


def _led_to(shop: Shop, room: str) -> frozenset[str]:
    seen, todo = {room}, [room]
    while todo:
        here = todo.pop()
        for door in shop.doors.values():
            for a, b in ((door.room, door.to), (door.to, door.room)):
                if a == here and b in shop.rooms and b not in seen:
                    seen.add(b)
                    todo.append(b)
    return frozenset(seen)
