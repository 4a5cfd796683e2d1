"""The scene: shop and ledger joined, so that rules and screens can ask what stands where.

A `Scene` never changes. What it knows of a room or a zone is worked out when first asked for and kept;
`with_group_at` gives a scene with one group elsewhere that shares all the rest, so a step while carrying
costs no more than the neighbourhood of the thing carried.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from shopbins.geometry.shapes import Box, Outline, placed, signed_area_mm2
from shopbins.ledger.model import Group, InGroup, InZone, ThingPlace, Whereabouts
from shopbins.scene.contents import Contents, Share, total
from shopbins.scene.frames import shifted_fixture, shifted_zone, to_shop
from shopbins.scene.grid import Grid
from shopbins.scene.standing import Standing, of_fixture, of_group, of_zone, with_gear
from shopbins.shop.model import Fixture, Shop, Zone, open_floor

if TYPE_CHECKING:
    from shopbins.ledger.events import Change
    from shopbins.ledger.state import State


def build(shop: Shop, state: State) -> Scene:
    """Join a shop and a state of its ledger. Nothing is worked out yet, so this costs nothing."""
    return Scene(_Shared(shop, state), {})


class Scene:
    """What stands where, in the shop frame, with at most a few groups held elsewhere than the ledger has.

    `memo` is for what others work out of it once.
    """

    __slots__ = ("_dirty", "_held", "_held_bodies", "_shared", "memo")

    def __init__(self, shared: _Shared, held: Mapping[str, Group]) -> None:
        self._shared = shared
        self._held = held
        self._dirty = shared.touched(held)
        self._held_bodies: dict[str, Standing | None] = {}
        self.memo: dict[Hashable, Any] = {}

    @property
    def shop(self) -> Shop:
        """The shop as its file describes it."""
        return self._shared.shop

    @property
    def state(self) -> State:
        """The state of the ledger the scene was built from."""
        return self._shared.state

    # --- the same scene with one thing elsewhere ----------------------------------------------------------

    def with_group_at(self, group_id: str, where: Whereabouts) -> Scene:
        """Return the scene with a group (and all in and on it) elsewhere; everything else is shared."""
        return self.with_group(self.group(group_id)._replace(where=where))

    def with_group(self, group: Group) -> Scene:
        """Return the scene with a group as given here: new, elsewhere, or of another size or mass."""
        return Scene(self._shared, {**self._held, group.id: group})

    def with_thing_at(self, place: ThingPlace) -> Scene:
        """Return the scene with a movable fixture, or a bench and all that lies on it, shifted."""
        shared = self._shared
        key = self.shop.renamed.get(place.key, place.key)
        return Scene(_Shared(shared.shop, shared.state, {**shared.things, key: place}), self._held)

    def take_over(self, before: Scene, changed: Collection[str]) -> None:
        """Take over what a scene before some change worked out of the rooms that have not changed.

        Only of the same shop, its movable things where they were, and with no group held elsewhere.
        """
        if not self._held and not before._held:
            self._shared.take_over(before._shared, changed)

    @property
    def shifted(self) -> Mapping[str, ThingPlace]:
        """The movable things that do not stand where the shop file puts them."""
        return self._shared.things

    # --- groups -------------------------------------------------------------------------------------------

    def group(self, group_id: str) -> Group:
        """Return a group as this scene has it; KeyError where there is none."""
        held = self._held.get(group_id)
        return held if held is not None else self.state.group(group_id)

    def groups(self) -> Iterator[Group]:
        """Go through all groups as this scene has them."""
        known = set()
        for group in self.state.groups():
            known.add(group.id)
            yield self._held.get(group.id, group)
        yield from (group for key, group in self._held.items() if key not in known)

    def children(self, group_id: str) -> list[str]:
        """Return the ids of the groups directly in or on a group, by their codes."""
        if not self._held:
            return self.state.children(group_id)
        held = (
            key
            for key, group in self._held.items()
            if isinstance(group.where, InGroup) and group.where.group == group_id
        )
        return self._with_held(self.state.children(group_id), held)

    def _with_held(self, ids: list[str], held: Iterable[str]) -> list[str]:
        """Return groups by their codes: those the ledger has there but for the held ones, and those held."""
        here = [*held]
        found = [each for each in ids if each not in self._held] + here
        return sorted(found, key=lambda each: (self.group(each).code, each)) if here else found

    def part_on(self, part_id: str, host_id: str) -> Group | None:
        """Return a part of a group while it is directly in or on it; None elsewhere, and where it is none."""
        if part_id not in self._held and not self.state.has_group(part_id):
            return None
        part = self.group(part_id)
        return part if isinstance(part.where, InGroup) and part.where.group == host_id else None

    def under(self, group_id: str) -> Iterator[str]:
        """Go through the ids of all groups in and on a group, at any depth (each once, even in a circle)."""
        first = self.children(group_id)
        seen, todo = {group_id}, [first] if first else []
        while todo:
            for child in todo.pop():
                if child not in seen:
                    seen.add(child)
                    todo.append(self.children(child))
                    yield child

    def top_of(self, group_id: str) -> Group | None:
        """Return the outermost group this one is in or on (itself if in none); None in a circle or lost."""
        seen: set[str] = set()
        group = self.group(group_id)
        while isinstance(group.where, InGroup):
            if group.id in seen:
                return None
            seen.add(group.id)
            try:
                group = self.group(group.where.group)
            except KeyError:
                return None
        return group

    def share(self, group_id: str) -> Share:
        """Return what a group brings to the surface it lies on, with all that is in and on it."""
        if group_id in self._dirty:
            return self._work_out_share(group_id)
        shares = self._shared.shares
        found = shares.get(group_id)
        if found is None:
            found = shares[group_id] = self._work_out_share(group_id)
        return found

    def _work_out_share(self, group_id: str) -> Share:
        group = self.group(group_id)
        if not self.children(group_id):
            mass, size = group.mass, group.known_size
            height = None if size is None else size.height_mm
            return (
                Share(unweighed=1, height_mm=height) if mass is None
                else Share(mass.kg, about=mass.about, height_mm=height)
            )  # fmt: skip
        below = [self.group(c) for c in self.under(group_id)]
        every = [group, *below]
        masses = [g.mass for g in every]
        return Share(
            mass_kg=sum(m.kg for m in masses if m is not None),
            unweighed=sum(1 for m in masses if m is None),
            about=any(m is not None and m.about for m in masses),
            nested=len(below),
            height_mm=self._stack_height(group, frozenset()),
        )

    def _stack_height(self, group: Group, seen: frozenset[str]) -> float | None:
        """Return the height of a group with what stands on it; None where one of them is not known."""
        if group.id in seen or group.known_size is None:
            return None
        highest = 0.0
        for child in map(self.group, self.children(group.id)):
            if isinstance(child.where, InGroup) and child.where.how == "on":
                above = self._stack_height(child, seen | {group.id})
                if above is None:
                    return None
                highest = max(highest, above)
        return group.known_size.height_mm + highest

    # --- zones and what lies in them ----------------------------------------------------------------------

    def zone(self, key: str) -> Zone | None:
        """Return a zone (or a room's open floor) as it now stands, moved benches at their ledger place."""
        return self._shared.zone(key)

    def zones_in(self, room: str) -> list[Zone]:
        """Return the zones of a room as they now stand, its open floor last."""
        return self._shared.zones_in(room)

    def zones(self) -> Iterator[Zone]:
        """Go through every zone as it now stands, each room's open floor after the others."""
        for zone in self.shop.zones.values():
            yield self._shared.zones[zone.key]
        for room in self.shop.rooms:
            yield self._shared.floor(room)

    def ids_in(self, zone: Zone, level: str | None) -> list[str]:
        """Return the ids of the groups directly on a level ('' too: in the zone, no level said), or
        (level None) anywhere in the zone, levels the file does not have included; by their codes.
        """
        if not self._held:
            return self._shared.ids_in(zone, level)
        held = (
            key
            for key, group in self._held.items()
            if isinstance(group.where, InZone) and self._shared.same_place(group.where, zone, level)
        )
        return self._with_held(self._shared.ids_in(zone, level), held)

    def contents(self, zone_key: str, level: str | None = None) -> Contents:
        """Return what lies on one level of a zone, or in all of it; KeyError where there is no such zone."""
        zone = self.zone(zone_key)
        if zone is None:
            raise KeyError(zone_key)
        if self._untouched(zone, level):
            return self._kept_contents(zone, level)
        return self._add_up(zone, level, self.ids_in(zone, level))

    def _changed_places(self) -> Iterator[InZone]:
        """Go through the places the held groups left and those they are held at."""
        for key, group in self._held.items():
            was = self._shared.where(key)
            for where in (was, group.where):
                if isinstance(where, InZone):
                    yield where

    def _untouched(self, zone: Zone, level: str | None) -> bool:
        """Tell whether nothing that lies here is held, nor has a held group in or on it."""
        if any(self._shared.same_place(w, zone, level) for w in self._changed_places()):
            return False
        for key in self._dirty:
            where = self._shared.where(key)
            if isinstance(where, InZone) and self._shared.same_place(where, zone, level):
                return False
        return True

    def _kept_contents(self, zone: Zone, level: str | None) -> Contents:
        kept = self._shared.contents
        found = kept.get((zone.key, level))
        if found is None:
            found = self._add_up(zone, level, self._shared.ids_in(zone, level))
            kept[(zone.key, level)] = found
        return found

    def _add_up(self, zone: Zone, level: str | None, ids: list[str]) -> Contents:
        limit, surface = self._limits_of(zone, level)
        return total(zone.key, level, ((self.group(g), self.share(g)) for g in ids), limit, surface)

    def _limits_of(self, zone: Zone, level: str | None) -> tuple[float | None, float]:
        surface = abs(signed_area_mm2(zone.outline))
        if level is None:
            return zone.load_kg, surface * max(1, len(zone.levels))
        found = zone.level(level)
        limits = [None if found is None else found.load_kg, zone.load_kg if len(zone.levels) == 1 else None]
        return min((each for each in limits if each is not None), default=None), surface

    # --- bodies -------------------------------------------------------------------------------------------

    def body(self, group_id: str) -> Standing | None:
        """Return the body of a group that lies posed in a zone; None where pose or size is not known."""
        kept = self._held_bodies if group_id in self._dirty else self._shared.bodies
        if group_id not in kept:
            kept[group_id] = self._work_out_body(group_id)
        return kept[group_id]

    def _work_out_body(self, group_id: str) -> Standing | None:
        group = self.group(group_id)
        where = group.where
        if not isinstance(where, InZone) or not where.posed:
            return None
        zone = self.zone(where.zone)
        level = None if zone is None else zone.level(where.level)
        if zone is None or level is None:
            return None
        share = self.share(group_id)
        mass = share.mass_kg if share.unweighed == 0 else None
        body = of_group(group, zone, level, where, mass, share.height_mm)
        planned = group_id in self.state.docs("plan")
        if body is None or not planned or where != self._shared.where(group_id):
            return body
        from shopbins.records.acts_move import gear_under

        gear, outlines = gear_under(self.state, group_id)
        if not outlines or where.x_mm is None or where.y_mm is None:
            return body
        pose, told = to_shop(zone, where.x_mm, where.y_mm, where.turn_deg), self.shop.gear.get(gear)
        return with_gear(body, gear if told is None else told.name, [placed(o, pose) for o in outlines])

    def standing(self, room: str) -> list[Standing]:
        """Return every body in a room: fixtures, benches and shelves, posed groups."""
        found = [b for b in self._room(room)[0] if not self._replaced(b)]
        return found + [b for b in self._own_bodies() if b.room == room]

    def as_it_stands(self, room: str) -> object | None:
        """Return what is the same object for as long as nothing in a room changes; None with groups held."""
        return None if self._held else self._room(room)

    def near(self, room: str, box: Box) -> list[Standing]:
        """Return the bodies in a room whose boxes touch a box."""
        found = [b for b in self._room(room)[1].near(box) if not self._replaced(b)]
        return found + [b for b in self._own_bodies() if b.room == room and b.box.touches(box)]

    def _replaced(self, body: Standing) -> bool:
        return bool(self._dirty) and body.kind == "group" and body.key in self._dirty

    def _own_bodies(self) -> Iterator[Standing]:
        for key in sorted(self._dirty):
            body = self.body(key)
            if body is not None:
                yield body

    def _room(self, room: str) -> tuple[list[Standing], Grid[Standing]]:
        kept = self._shared.rooms
        found = kept.get(room)
        if found is None:
            plain = self if not self._held else Scene(self._shared, {})
            bodies = [*self._shared.fixed_bodies(room), *plain._posed_in(room)]
            found = kept[room] = (bodies, Grid(bodies))
        return found

    def _posed_in(self, room: str) -> Iterator[Standing]:
        for zone in self._shared.zones_in(room):
            for group_id in self._shared.ids_in(zone, None):
                body = self.body(group_id)
                if body is not None:
                    yield body

    def fixture(self, key: str) -> Fixture | None:
        """Return a fixture as it now stands."""
        return self._shared.fixtures.get(key)

    def room_outline(self, room: str) -> Outline:
        """Return a room's outline."""
        return self.shop.rooms[room].outline


class _Sums:
    """What groups bring to where they lie and what lies in places, kept from one change to the next."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._shop: Shop | None = None
        self.shares: dict[str, Share] = {}
        self.contents: dict[tuple[str, str | None], Contents] = {}
        self.ids: dict[tuple[str, str | None], list[str]] = {}

    def of(self, shop: Shop) -> _Sums:
        """Return it for a shop: places are added up anew where that is another."""
        if self._shop is not shop:
            self._shop = shop
            self.contents, self.ids = {}, {}  # a scene of the other shop keeps its own
        return self

    def update(self, changes: list[Change]) -> None:
        """Forget what the changed groups had a part in: whatever holds or held them, and its places."""
        zones: set[str] = set()
        for change in changes:
            if change.table == "thing":
                self.contents.clear()
            if change.table != "group":
                continue
            self.shares.pop(change.key, None)
            for doc in (change.old, change.new):
                where, seen = (doc or {}).get("where") or {}, {change.key}
                while (holder := where.get("group")) is not None and holder not in seen:
                    seen.add(holder)
                    self.shares.pop(holder, None)
                    where = self._state.docs("group").get(holder, {}).get("where") or {}
                if "zone" in where:
                    zones.add(where["zone"])
        if self._shop is not None:
            zones = {self._shop.renamed.get(zone, zone) for zone in zones}
        for kept in (self.contents, self.ids):
            for place in [place for place in kept if place[0] in zones]:
                del kept[place]


class _Shared:
    """What scenes that differ only in a few held groups share; filled as it is asked for."""

    __slots__ = (
        "_by_room",
        "aliases",
        "bodies",
        "contents",
        "fixtures",
        "floors",
        "ids",
        "rooms",
        "shares",
        "shop",
        "state",
        "things",
        "zones",
    )

    def __init__(self, shop: Shop, state: State, things: Mapping[str, ThingPlace] | None = None) -> None:
        self.shop = shop
        self.state = state
        sums = state.follower(_Sums).of(shop) if things is None else _Sums(state)
        self.shares, self.contents, self.ids = sums.shares, sums.contents, sums.ids
        self.bodies: dict[str, Standing | None] = {}
        self.floors: dict[str, Zone] = {}
        self.rooms: dict[str, tuple[list[Standing], Grid[Standing]]] = {}
        self._by_room: dict[str, list[Zone]] | None = None
        self.aliases: dict[str, list[str]] = {}
        for old, new in shop.renamed.items():
            self.aliases.setdefault(new, []).append(old)
        if things is None:
            things = {self._now(key): place for key, place in state.things().items()}
        self.things: Mapping[str, ThingPlace] = things
        self.zones: dict[str, Zone] = {
            key: shifted_zone(zone, things[key]) if key in things else zone
            for key, zone in shop.zones.items()
        }
        self.fixtures: dict[str, Fixture] = {
            key: shifted_fixture(each, things[key]) if key in things else each
            for key, each in shop.fixtures.items()
        }

    def take_over(self, before: _Shared, changed: Collection[str]) -> None:
        self.rooms.update((room, there) for room, there in before.rooms.items() if room not in changed)
        bodies = before.bodies.items()
        self.bodies.update((key, b) for key, b in bodies if b is not None and b.room not in changed)
        for place, contents in before.contents.items():
            zone = self.zone(place[0])
            if zone is not None and zone.room not in changed:
                self.contents[place] = contents

    def _now(self, key: str) -> str:
        return self.shop.renamed.get(key, key)

    def zone(self, key: str) -> Zone | None:
        key = self._now(key)
        found = self.zones.get(key)
        if found is not None:
            return found
        return self.floor(key) if key in self.shop.rooms else None

    def floor(self, room: str) -> Zone:
        found = self.floors.get(room)
        if found is None:
            found = self.floors[room] = open_floor(self.shop.rooms[room])
        return found

    def zones_in(self, room: str) -> list[Zone]:
        if self._by_room is None:
            self._by_room = {}
            for zone in self.zones.values():
                self._by_room.setdefault(zone.room, []).append(zone)
            for each in self.shop.rooms:
                self._by_room.setdefault(each, []).append(self.floor(each))
        return self._by_room.get(room, [])

    def fixed_bodies(self, room: str) -> Iterator[Standing]:
        here = self.shop.rooms.get(room)
        roofed = here is None or not here.outdoor
        yield from (of_fixture(each, roofed=roofed) for each in self.fixtures.values() if each.room == room)
        for zone in self.zones_in(room):
            body = of_zone(zone)
            if body is not None:
                yield body

    def where(self, group_id: str) -> Whereabouts:
        try:
            return self.state.group(group_id).where
        except KeyError:
            return None

    def same_place(self, where: InZone, zone: Zone, level: str | None) -> bool:
        """Tell whether a place is on this level of the zone (level None: anywhere in it)."""
        if self._now(where.zone) != zone.key:
            return False
        return level is None or where.level == level or where.level in _level_names(zone, level)

    def ids_in(self, zone: Zone, level: str | None) -> list[str]:
        found = self.ids.get((zone.key, level))
        if found is None:
            keys = (zone.key, *self.aliases.get(zone.key, ()))
            names = (None,) if level is None else _level_names(zone, level)
            parts = [there for key in keys for name in names if (there := self.state.in_zone(key, name))]
            found = [each for part in parts for each in part]
            if len(parts) > 1:
                found.sort(key=lambda each: (self.state.group(each).code, each))
            self.ids[(zone.key, level)] = found
        return found

    def touched(self, held: Mapping[str, Group]) -> frozenset[str]:
        """Return the held groups and all that hold or held them: their sums are not the kept ones."""
        found = set(held)
        for key, group in held.items():
            for where in (self.where(key), group.where):
                while isinstance(where, InGroup) and where.group not in found:
                    if where.group not in held and not self.state.has_group(where.group):
                        break
                    found.add(where.group)
                    above = held.get(where.group)
                    where = self.where(where.group) if above is None else above.where
        return frozenset(found)


def _level_names(zone: Zone, level: str) -> tuple[str, ...]:
    """Return the names a level goes by: the only level of a zone need not be named."""
    if len(zone.levels) == 1 and level in ("", zone.levels[0].key):
        return tuple(dict.fromkeys(("", zone.levels[0].key)))
    found = zone.level(level)
    return (level,) if found is None else (found.key, *found.was)
