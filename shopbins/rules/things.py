"""What the checks are about, kind by kind: one walk for the audit and for the count of what was looked at."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline
from shopbins.ledger.model import Group, InGroup, InZone
from shopbins.ledger.whereabouts import place_said
from shopbins.records.moving import moving_of
from shopbins.rules import hazards
from shopbins.rules.partcautions import ASBESTOS_BEFORE, FIRST
from shopbins.rules.say import zone_subject
from shopbins.rules.ways import floor_of
from shopbins.scene.scene import Scene
from shopbins.scene.walkout import ways_from
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Opening, Room, Shop, Walkway, Zone

SWITCH_WORDS = (
    r"switch|electric|panel|distribution|breaker|fuse|load cent|consumer unit|disconnect|isolator|mcc\b|mcb\b"
    r"|motor control|motor starter|transformer|inverter|bus ?bar|service entrance"
)
SWITCHGEAR = re.compile(rf"\b({SWITCH_WORDS})", re.IGNORECASE)
EXTINGUISHER = re.compile(r"\bextinguish", re.IGNORECASE)

ON_POINTS = ("bare", "own wheels")
"""Containers whose weight comes down on a few points; the others spread it (own judgement)."""

MOST_SUPPORTS = 4
"""The heaviest of n supports bears at least an n-th of the weight; more than four rarely share it."""

Walk = Iterator[tuple[str, Any]]
"""Each thing with its subject, as findings name it."""


# --- of the shop file -------------------------------------------------------------------------------------


def exit_routes(shop: Shop) -> list[Walkway]:
    """Return the walkways that are exit routes."""
    return [way for way in shop.walkways.values() if way.exit_route]


def exit_doors(shop: Shop) -> list[Door]:
    """Return exits, and the doors an exit route goes through."""
    return [
        door
        for door in shop.doors.values()
        if door.exit
        or any(overlap(piece, door.passage) for way in exit_routes(shop) for piece in floor_of(way).pieces)
    ]


def is_switchgear(clear: KeepClear) -> bool:
    """Tell whether an area is the working space at electrical equipment."""
    return clear.volts is not None or clear.equipment is not None or bool(SWITCHGEAR.search(clear.why))


def is_extinguisher(clear: KeepClear) -> bool:
    """Tell whether an area is that before an extinguisher."""
    return clear.mounted is not None or bool(clear.for_classes) or bool(EXTINGUISHER.search(clear.why))


def people_in(shop: Shop, room: str) -> int | None:
    """Return how many people a room's ways out are for; None where the file does not say."""
    there = shop.rooms.get(room)
    return shop.limits.people if there is None or there.people is None else there.people


def _shop(scene: Scene) -> Walk:
    yield "shop", scene.shop


def _rooms(scene: Scene) -> Walk:
    for key, room in scene.shop.rooms.items():
        yield f"room:{key}", room


def _sprinkled(scene: Scene) -> Walk:
    for subject, room in _rooms(scene):
        if room.sprinklers_mm is not None:
            yield subject, room


def _sloping(scene: Scene) -> Walk:
    for subject, room in _rooms(scene):
        if room.slope is not None:
            yield subject, room


def _escape(scene: Scene) -> Walk:
    """Rooms of a shop that has an exit."""
    if any(door.exit for door in scene.shop.doors.values()):
        yield from _rooms(scene)


def _escape_indoors(scene: Scene) -> Walk:
    """Those of them that are indoors: a yard is where one gets to."""
    for subject, room in _escape(scene):
        if not room.outdoor:
            yield subject, room


def _doors(scene: Scene) -> Walk:
    for key, door in scene.shop.doors.items():
        yield f"door:{key}", door


def _sills(scene: Scene) -> Walk:
    for subject, door in _doors(scene):
        if door.threshold_mm:
            yield subject, door


def _exit_doors(scene: Scene) -> Walk:
    for door in exit_doors(scene.shop):
        yield f"door:{door.key}", door


def _walkways(scene: Scene) -> Walk:
    for key, way in scene.shop.walkways.items():
        yield f"walkway:{key}", way


def _aisles(scene: Scene) -> Walk:
    """Walkways that are no exit route."""
    for subject, way in _walkways(scene):
        if not way.exit_route:
            yield subject, way


def _exit_ways(scene: Scene) -> Walk:
    """Exit routes, then the doors they and exits are."""
    for way in exit_routes(scene.shop):
        yield f"walkway:{way.key}", way
    yield from _exit_doors(scene)


def _on_the_way_out(scene: Scene) -> Walk:
    """Exit routes, every door a way out leads through, and the rooms it leads through."""
    for way in exit_routes(scene.shop):
        yield f"walkway:{way.key}", way
    leads = {door.key for room in scene.shop.rooms for door in ways_from(scene.shop, room)}
    leads |= {door.key for door in exit_doors(scene.shop)}
    yield from ((subject, door) for subject, door in _doors(scene) if door.key in leads)
    yield from ((subject, room) for subject, room in _rooms(scene) if ways_from(scene.shop, room.key))


def _room_doors(scene: Scene) -> Walk:
    """Exits and the doors of an exit route; in 'us' every door a way out leads through."""
    if scene.shop.rules != "us":
        yield from _exit_doors(scene)
        return
    yield from ((subject, each) for subject, each in _on_the_way_out(scene) if isinstance(each, Door))


def _clears(scene: Scene) -> Walk:
    for key, clear in scene.shop.keep_clear.items():
        yield f"keep clear:{key}", clear


def _switchgear(scene: Scene) -> Walk:
    for subject, clear in _clears(scene):
        if is_switchgear(clear):
            yield subject, clear


def _extinguishers(scene: Scene) -> Walk:
    for subject, clear in _clears(scene):
        if is_extinguisher(clear):
            yield subject, clear


def _zones(scene: Scene) -> Walk:
    for zone in scene.zones():
        yield f"zone:{zone.key}", zone


def _shelves(scene: Scene) -> Walk:
    for subject, zone in _zones(scene):
        lowest, high = (
            (f(level.height_mm for level in zone.levels) for f in (min, max)) if zone.levels else (0, 0)
        )
        if zone.kind == "shelf" and zone.size_mm is not None and lowest <= high / 2:
            yield subject, zone  # one that begins high up hangs on a wall


def _cabinets(scene: Scene) -> Walk:
    for subject, zone in _zones(scene):
        if zone.cabinet:
            yield subject, zone


def _worked_on(scene: Scene) -> Walk:
    for subject, zone in _zones(scene):
        if zone.kind == "bench" and zone.work is not None:
            yield subject, zone


def _pits(scene: Scene) -> Walk:
    for key, opening in scene.shop.openings.items():
        if opening.outline:
            yield f"opening:{key}", opening


def _overhead(scene: Scene) -> Walk:
    """Fixtures over the floor that are not standing on it."""
    for key in scene.shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is not None and fixture.base_mm > 0:
            yield f"fixture:{key}", fixture


# --- of the ledger ----------------------------------------------------------------------------------------


def _groups(scene: Scene, zone: Zone) -> Walk:
    for group_id in scene.ids_in(zone, None):
        group = scene.group(group_id)
        yield f"group:{group.code}", (zone, group)


def stands(thing: Zone | Fixture) -> bool:
    """Tell whether a bench, rack or fixture stands on the floor; a shelf that begins high up hangs."""
    if isinstance(thing, Fixture):
        building = thing.top_mm is None and thing.mass_kg is None  # to the ceiling: a column
        return thing.base_mm <= 0 and thing.load_kg is None and not building  # with a load: a covered drain
    if thing.kind == "bench":
        return True
    heights = [level.height_mm for level in thing.levels]
    return thing.kind == "shelf" and bool(heights) and (len(heights) == 1 or min(heights) <= max(heights) / 2)


def on_floor(scene: Scene, room: str) -> Iterator[tuple[Zone, Group] | Zone | Fixture]:
    """Go through all that stands on a room's floor: parts, laden benches and racks, fixtures."""
    for zone in scene.zones_in(room):
        for _, thing in _on_floor(scene, zone):
            yield thing
    for _, fixture in _standing(scene):
        if fixture.room == room:
            yield fixture


def _on_floor(scene: Scene, zone: Zone) -> Walk:
    if zone.kind in ("floor", "room"):
        yield from _groups(scene, zone)
    elif stands(zone) and (zone.mass_kg is not None or scene.contents(zone.key).groups):
        yield f"zone:{zone.key}", zone


def _standing(scene: Scene) -> Walk:
    for key in scene.shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is not None and stands(fixture):
            yield f"fixture:{key}", fixture


def _bearing(scene: Scene, zone: Zone) -> Walk:
    """What stands in a place, or the place itself; with the room's open floor its fixtures."""
    yield from _on_floor(scene, zone)
    if zone.kind == "room":
        yield from ((subject, each) for subject, each in _standing(scene) if each.room == zone.room)


def points_under(group: Group) -> int:
    """Return on how many points a part bears: the feet told of, else those of what stands bare; 0: spread."""
    feet = len(moving_of(group).feet)
    if feet >= 3:
        return feet
    return MOST_SUPPORTS if group.container in ON_POINTS else 0


def _on_feet(scene: Scene, zone: Zone) -> Walk:
    for subject, thing in _bearing(scene, zone):
        if not isinstance(thing, tuple) or points_under(thing[1]):
            yield subject, thing


def _laden(scene: Scene) -> Walk:
    for subject, room in _rooms(scene):
        if next(on_floor(scene, room.key), None) is not None:
            yield subject, room


def _levels(scene: Scene, zone: Zone) -> Walk:
    """Levels of the file's zones on which anything lies."""
    if zone.kind != "room":
        for level in zone.levels:
            if scene.contents(zone.key, level.key).groups:
                yield zone_subject(zone, level.key), (zone, level)


def _bearing_levels(scene: Scene, zone: Zone) -> Walk:
    """Levels that bear by themselves: of benches and shelves, and what the file gives a load."""
    for subject, (_, level) in _levels(scene, zone):
        if zone.kind in ("bench", "shelf") or level.load_kg is not None or zone.load_kg is not None:
            yield subject, (zone, level)


def _placed(scene: Scene, zone: Zone) -> Walk:
    """Parts that have an exact spot, or stand on a floor and ought to have one."""
    for subject, (_, group) in _groups(scene, zone):
        if zone.kind in ("floor", "room") or (isinstance(group.where, InZone) and group.where.posed):
            yield subject, (zone, group)


def _unposed(scene: Scene, zone: Zone) -> Walk:
    """Parts without an exact spot on benches, shelves and floor spots."""
    for subject, (_, group) in _groups(scene, zone) if zone.kind != "room" else ():
        if isinstance(group.where, InZone) and not group.where.posed:
            yield subject, (zone, group)


def _racks(scene: Scene, zone: Zone) -> Walk:
    if zone.kind != "room" and len(zone.levels) > 1 and scene.contents(zone.key).groups:
        yield f"zone:{zone.key}", zone


def _stacks(scene: Scene, zone: Zone) -> Walk:
    for group_id in scene.ids_in(zone, None):
        if any(scene.group(each).where for each in scene.children(group_id)):
            on_it = (scene.group(each).where for each in scene.under(group_id))
            if any(isinstance(where, InGroup) and where.how == "on" for where in on_it):
                group = scene.group(group_id)
                yield f"group:{group.code}", group


def _hot(scene: Scene) -> Walk:
    for key, room in scene.shop.rooms.items():
        if room.hot_work:
            yield f"room:{key}", room
    for key in scene.shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is not None and fixture.hot:
            yield f"fixture:{key}", fixture


def _hot_by_metal(scene: Scene) -> Walk:
    metal = {room for wall in scene.shop.walls.values() if wall.of == "metal" for room in wall.between}
    for subject, hot in _hot(scene):
        if (hot.key if isinstance(hot, Room) else hot.room) in metal:
            yield subject, hot


def outdoors(scene: Scene, zone: Zone) -> bool:
    """Tell whether a place is in a yard, with nothing over it."""
    room = scene.shop.rooms.get(zone.room)
    return room is not None and room.outdoor


def outline_of(scene: Scene, zone: Zone, top: Group) -> Outline:
    """Return where a part is taken to be: as it stands, else anywhere in its place."""
    body = scene.body(top.id)
    return zone.outline if body is None else body.outline


Warned = tuple[Zone, Group, Group]
"""What has cautions or details: its zone, the outermost group it is in, and itself."""


def groups_in(scene: Scene, zone: Zone) -> Iterator[Group]:
    """Go through what lies in a zone, with what is in or on it."""
    for top in scene.ids_in(zone, None):
        for each in (top, *scene.under(top)):
            yield scene.group(each)


def warned(scene: Scene, zone: Zone) -> list[Warned]:
    """Return what has cautions or details in a zone; looked for once a scene."""
    found = scene.memo.get(("warned", zone.key))
    if found is None:
        found = []
        for top_id in scene.ids_in(zone, None):
            for each in (top_id, *scene.under(top_id)):
                group = scene.group(each)
                if group.cautions or group.details:
                    found.append((zone, scene.group(top_id), group))
        scene.memo[("warned", zone.key)] = found
    return found


ThingWanted = Callable[[hazards.Hazard], bool]


def unknown_words(scene: Scene, room: str) -> int:
    """Count the cautions in a room that are in no list: of them nobody knows what they ask for."""
    return len({word for zone in scene.zones_in(room) for word in _unknown(scene, zone)})


def _unknown(scene: Scene, zone: Zone) -> set[str]:
    found: set[str] | None = scene.memo.get(("unknown", zone.key))
    if found is None:
        us = scene.shop.rules == "us"
        found = set(hazards.unknown(zone.cautions, us))
        for _, _, group in warned(scene, zone):
            found |= set(hazards.unknown(group.cautions, us))
        scene.memo[("unknown", zone.key)] = found
    return found


def _hazards(scene: Scene, zone: Zone, wanted: ThingWanted) -> Walk:
    us = scene.shop.rules == "us"
    for _, top, group in warned(scene, zone):
        if any(wanted(each) for each in hazards.of(group.cautions, us)):
            yield f"group:{group.code}", (zone, top, group)


WANTED: dict[str, ThingWanted] = {
    "liquid": lambda each: each.kind in hazards.LIQUIDS,
    "petrol at home": lambda each: each.word in hazards.PETROL,
    "rags": lambda each: each.kind == "self-heating",
    "fuel gas": lambda each: each.kind == "flammable gas",
    "cylinder": lambda each: each.kind in ("flammable gas", "gas") or each.word in hazards.FEEDS,
    "oxygen": lambda each: each.word in hazards.FEEDS,
    "dangerous part": lambda each: each.kind not in ("handling", "part", "combustible"),
    "part that harms": lambda each: each.word in FIRST,
}
"""Kinds of part that are told by their hazards."""


def _hazardous(kind: str) -> Callable[[Scene, Zone], Walk]:
    return lambda scene, zone: _hazards(scene, zone, WANTED[kind])


def _petrol_at_home(scene: Scene, zone: Zone) -> Walk:
    if scene.shop.premises == "home":
        yield from _hazards(scene, zone, WANTED["petrol at home"])


OLD = (
    "lagging", "brake shoe", "brake lining", "brake pad", "brake band", "clutch lining", "clutch disc",
    "clutch plate", "arc chute", "rope seal", "rope gasket", "insulation board", "fire rope", "stove rope",
    "heat shield",
)  # fmt: skip
"""Words of names that were often asbestos (own judgement, after the list of part cautions)."""


def _old_parts(scene: Scene, zone: Zone) -> Walk:
    """Parts of before asbestos was given up whose name may tell of it, with the year; once a scene."""
    found = scene.memo.get(("old", zone.key))
    if found is None:
        room = scene.shop.rooms.get(zone.room)
        built = scene.shop.built if room is None or room.built is None else room.built
        found = []
        for group in groups_in(scene, zone):
            year = group.details.get("made", built)
            if not group.name or not isinstance(year, int) or year >= ASBESTOS_BEFORE:
                continue
            name = f" {group.name.casefold()} "
            marked = any(h.word == "asbestos" for h in hazards.of(group.cautions))
            if not marked and "asbestos" not in name and any(word in name for word in OLD):
                found.append((f"group:{group.code}", (group, year)))
        scene.memo[("old", zone.key)] = found
    yield from found


def _cautions(scene: Scene) -> Walk:
    """Every part with a caution, what waits to be put down too: its words are read all the same."""
    for zone in scene.zones():
        for _, _, group in warned(scene, zone):
            if group.cautions:
                yield f"group:{group.code}", group
    for group in waiting(scene):
        if group.cautions:
            yield f"group:{group.code}", group


def waiting(scene: Scene) -> Iterator[Group]:
    """Go through what was taken off and not put down, with what is in or on it."""
    for top in scene.state.unplaced():
        for each in (top, *scene.under(top)):
            yield scene.group(each)


def count_waiting(scene: Scene, kind: str) -> int:
    """Count the parts of a kind that wait: of what a place decides nothing can be said of them."""
    wanted = WANTED.get(kind)
    if wanted is None:
        return 0
    us = scene.shop.rules == "us"
    return sum(1 for each in waiting(scene) if any(wanted(h) for h in hazards.of(each.cautions, us)))


def _leaning(scene: Scene, zone: Zone) -> Walk:
    for _, top, group in warned(scene, zone):
        if group.details.get("stands") == "leaning":
            yield f"group:{group.code}", (zone, top, group)


def _taken_off(scene: Scene) -> Walk:
    for group in scene.groups():
        yield f"group:{group.code}", group


def _away(scene: Scene) -> Walk:
    for group_id in scene.state.away():
        yield f"group:{scene.group(group_id).code}", scene.group(group_id)


def _places(scene: Scene) -> Walk:
    for key, level in scene.state.places():
        yield f"zone:{place_said(key, level)}", (key, level)


def _accepted(scene: Scene) -> Walk:
    for table in ("accepted", "override"):
        for key in scene.state.docs(table):
            yield key, key


KINDS: dict[str, Callable[[Scene], Walk]] = {
    "shop": _shop,
    "room": _rooms,
    "laden room": _laden,
    "zone": _zones,
    "room with a way out": _escape,
    "room with sprinklers": _sprinkled,
    "indoor room with a way out": _escape_indoors,
    "sloping floor": _sloping,
    "door": _doors,
    "sill": _sills,
    "exit door": _exit_doors,
    "exit": _exit_ways,
    "thing on the way out": _on_the_way_out,
    "door on the way out": _room_doors,
    "walkway": _walkways,
    "aisle": _aisles,
    "keep clear": _clears,
    "switchgear": _switchgear,
    "extinguisher": _extinguishers,
    "shelf": _shelves,
    "cabinet": _cabinets,
    "bench": _worked_on,
    "pit": _pits,
    "fixture overhead": _overhead,
    "hot place": _hot,
    "hot place by a metal wall": _hot_by_metal,
    "part": _taken_off,
    "part away": _away,
    "place": _places,
    "acceptance": _accepted,
    "caution": _cautions,
}

IN_ZONES: dict[str, Callable[[Scene, Zone], Walk]] = {
    "level": _levels,
    "bearing level": _bearing_levels,
    "part on the plan": _placed,
    "part without a spot": _unposed,
    "rack": _racks,
    "group": _groups,
    "on the floor": _bearing,
    "on feet": _on_feet,
    "stack": _stacks,
    "liquid": _hazardous("liquid"),
    "petrol at home": _petrol_at_home,
    "rags": _hazardous("rags"),
    "fuel gas": _hazardous("fuel gas"),
    "cylinder": _hazardous("cylinder"),
    "oxygen": _hazardous("oxygen"),
    "dangerous part": _hazardous("dangerous part"),
    "leaning part": _leaning,
    "part that harms": _hazardous("part that harms"),
    "old part": _old_parts,
}
"""Kinds that are looked for place by place."""

RECORDED = frozenset((*IN_ZONES, "caution", "laden room", "part", "part away", "place", "acceptance"))
"""Kinds that the ledger tells of; of the others the shop file does."""

Thing = Room | Door | Walkway | KeepClear | Zone | Fixture | Opening | Level | Group


def walk(scene: Scene, kind: str) -> Walk:
    """Go through the things of a kind."""
    if kind in IN_ZONES:
        for zone in scene.zones():
            yield from IN_ZONES[kind](scene, zone)
    else:
        yield from KINDS[kind](scene)
