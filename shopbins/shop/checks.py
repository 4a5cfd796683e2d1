"""Checks over the whole shop: what lies outside its room, over something else, or in nobody's way.

Each check is a function that notes what it finds and goes on.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from shopbins.geometry.exact import overhang_mm, overlap, point_gap
from shopbins.geometry.segments import along, edges, meet
from shopbins.geometry.shapes import Outline, Point, bounds, contains
from shopbins.shop.fields import Fields
from shopbins.shop.model import OUTSIDE, Door, Fixture, Gear, KeepClear, Opening, Room, Spot, Walkway, Zone
from shopbins.shop.problems import Notes, shown
from shopbins.shop.rooms import Rooms
from shopbins.shop.ways import Placed
from shopbins.units import show_length, show_point, show_size

ROUNDING_MM = 1.0
"""How far things written in whole mm may stray over a wall or over each other."""

Thing = Room | Door | Walkway | KeepClear | Zone | Fixture | Opening | Gear
Named = tuple[str, Thing]
"""What it is ('room', 'door', ...) and the thing itself."""


LEAST_ROOM_MM, MOST_ROOM_MM, LEAST_DOOR_MM = 500.0, 200_000.0, 400.0
"""Beyond these a length was most likely meant in another unit (our own figures)."""


def sizes(rooms: Rooms, doors: Mapping[str, Door], notes: Notes) -> None:
    """Note rooms and doors of a size nobody builds: metres or feet written where mm are read."""
    for room in rooms.good.values():
        x0, y0, x1, y1 = bounds(room.outline)
        sides = (x1 - x0, y1 - y0)
        if min(sides) < LEAST_ROOM_MM or max(sides) > MOST_ROOM_MM:
            what = f"room '{shown(room.key)}' is {show_size(sides)}"
            notes.add(_spot(room), what, _meant(min(sides) if min(sides) < LEAST_ROOM_MM else max(sides)))
    for door in doors.values():
        width = math.dist(*door.jambs)
        if width < LEAST_DOOR_MM:
            what = f"the jambs of door '{shown(door.key)}' are {show_length(width)} apart"
            notes.add(_spot(door), what, f"{_meant(width)}; nobody passes a door under 400 mm")


def _meant(mm: float) -> str:
    """Return in which unit a length too small or too large was probably meant."""
    if mm > MOST_ROOM_MM:
        return "a number without a unit is in mm, and this is over 200 m"
    return f"did you mean {mm:g} {'m' if mm < 30 else 'cm'}? A number without a unit is in mm"


def rooms_apart(rooms: Rooms, notes: Notes) -> None:
    """Note rooms that overlap."""
    for a, b in itertools.combinations(rooms.good.values(), 2):
        if overlap(a.outline, b.outline, ROUNDING_MM):
            what = f"room '{shown(b.key)}' overlaps room '{shown(a.key)}'"
            notes.add(_spot(b), what, "outlines are the inner faces of the walls")


def inside_rooms(placed: Iterable[Placed], rooms: Rooms, doors: Mapping[str, Door], notes: Notes) -> None:
    """Note what gets outside the room it is said to be in; what is in the floor may go on in a doorway."""
    for each in placed:
        room = rooms.good.get(each.room)
        if room is None:
            continue
        out = overhang_mm(each.outline, room.outline)
        if out <= ROUNDING_MM or (each.in_floor and _through_doorways(each, rooms, doors)):
            continue
        key = "outline" if each.fields.has("outline") else "at"
        what = f"{each.fields.called} is {show_length(out)} outside its room '{room.key}'"
        notes.add(each.fields.where(key), what, _where_then(each.outline, room, rooms))


def _through_doorways(each: Placed, rooms: Rooms, doors: Mapping[str, Door]) -> bool:
    """Tell whether an outline lies on the floor of its room, its doorways and the rooms beyond them."""
    near, far = [rooms.good[each.room].outline], list[Outline]()
    for door in doors.values():
        if each.room in (door.room, door.to) and door.passage:
            near.append(door.passage)
            beyond = rooms.good.get(door.beyond(each.room))
            far += [] if beyond is None else [beyond.outline]
    points = [along(a, b, k / ALONG_EDGES) for a, b in edges(each.outline) for k in range(ALONG_EDGES)]
    off = [p for p in points if not any(contains(floor, p) for floor in near)]
    return len(off) < len(points) and all(any(contains(floor, p) for floor in far) for p in off)


ALONG_EDGES = 40
"""So many points of each edge are looked at."""


def _where_then(outline: Outline, room: Room, rooms: Rooms) -> str:
    """Say in which room an outline does lie, else what the room's bounds are."""
    for other in rooms.good.values():
        if other is not room and overhang_mm(outline, other.outline) <= ROUNDING_MM:
            return f"it lies in '{other.key}': write room: {other.key}"
    x0, y0, x1, y1 = bounds(room.outline)
    return f"the room lies between {show_point(x0, y0)} and {show_point(x1, y1)}"


def zones_apart(zones: Sequence[Zone], placed: Sequence[Placed], notes: Notes) -> None:
    """Note zones that lie over each other at the same height; swept from left to right.

    `placed` says for each zone, in the same order, where it is written.
    """
    boxes = sorted((bounds(zone.outline), order) for order, zone in enumerate(zones))
    alive: list[tuple[tuple[float, float, float, float], int]] = []
    for box, order in boxes:
        alive = [each for each in alive if each[0][2] > box[0]]
        for other_box, other in alive:
            if other_box[1] < box[3] and box[1] < other_box[3]:
                first, second = min(order, other), max(order, other)
                _note_meeting(zones[first], zones[second], placed[second].fields, notes)
        alive.append((box, order))


def _note_meeting(a: Zone, b: Zone, fields: Fields, notes: Notes) -> None:
    if a.room != b.room:
        return
    (low_a, high_a), (low_b, high_b) = height_span_mm(a), height_span_mm(b)
    low, high = max(low_a, low_b), min(high_a, high_b)
    if low >= high or not overlap(a.outline, b.outline, ROUNDING_MM):
        return
    lower, upper = (a, b) if low_a <= low_b else (b, a)
    to = "up" if math.isinf(high) else f"to {show_length(high)}"
    what = f"zone '{b.key}' overlaps zone '{a.key}' from {show_length(low)} {to} above the floor"
    gap = height_span_mm(upper)[0] - height_span_mm(lower)[0]
    hint = "move one"
    if gap > 0:
        hint += f", or give '{lower.key}' a headroom of at most {show_length(gap)}"
    notes.add(fields.where("outline" if fields.has("outline") else "at"), what, hint)


def height_span_mm(zone: Zone) -> tuple[float, float]:
    """Return from where to where above the floor things of a zone may be (to infinity if not said)."""
    low = min(level.height_mm for level in zone.levels)
    tops = (
        math.inf if level.headroom_mm is None else level.height_mm + level.headroom_mm
        for level in zone.levels
    )
    return low, max(tops)


def walkways_in_rooms(
    walkways: Mapping[str, tuple[Walkway, Fields]], rooms: Rooms, doors: Mapping[str, Door], notes: Notes
) -> dict[str, Walkway]:
    """Return the walkways with the rooms they run through; note those that leave the rooms."""
    found = {}
    for key, (walkway, fields) in walkways.items():
        along, lost = rooms_along(walkway, rooms, doors)
        if lost is not None and len(rooms.good) == len(rooms.written):
            what = f"{fields.called} leaves the rooms near {show_point(*lost)}"
            notes.add(fields.where("line"), what, "it may pass through doors; add the door or move the line")
        found[key] = replace(walkway, rooms=along)
    return found


def rooms_along(
    walkway: Walkway, rooms: Rooms, doors: Mapping[str, Door]
) -> tuple[tuple[str, ...], Point | None]:
    """Return the rooms a walkway runs through, in order, and a point where it leaves them all (or None).

    It may pass through doors, and begin or end outside beyond a door that leads there.
    """
    passages = [door.passage for door in doors.values()]
    exits = [door.passage for door in doors.values() if door.to == OUTSIDE]
    outlines = [room.outline for room in rooms.good.values()]
    spots = _middles(walkway.line, [*outlines, *passages])
    covered = [_held(spot, [*outlines, *passages]) for spot in spots]
    for ordered in (range(len(spots)), range(len(spots) - 1, -1, -1)):
        first = next((i for i in ordered if covered[i]), None)
        if first is not None and _held(spots[first], exits):
            for i in itertools.takewhile(lambda i: not covered[i], ordered):
                covered[i] = True
    found: dict[str, None] = {}
    for spot in spots:
        for room in rooms.good.values():
            if contains(room.outline, spot):
                found[room.key] = None
    return tuple(found), next((spot for spot, good in zip(spots, covered, strict=True) if not good), None)


def _middles(line: tuple[Point, ...], areas: list[Outline]) -> list[Point]:
    """Cut a line wherever it crosses an edge; return the middle of each piece of more than 1 mm."""
    spots: list[Point] = []
    for p, q in itertools.pairwise(line):
        length = math.dist(p, q)
        cuts = {0.0, length}
        for area in areas:
            for u, v in edges(area):
                at = meet(p, q, u, v)
                if at is not None:
                    cuts.add(math.dist(p, at))
        for t0, t1 in itertools.pairwise(sorted(cuts)):
            if t1 - t0 > ROUNDING_MM:
                share = (t0 + t1) / 2 / length
                spots.append((p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share))
    return spots


def _held(spot: Point, areas: list[Outline]) -> bool:
    return any(contains(area, spot) or point_gap(area, spot).distance_mm <= ROUNDING_MM for area in areas)


def names_apart(named: Sequence[Named], notes: Notes) -> None:
    """Note keys of rooms and zones that clash, keys that differ only in capitals, old keys still in use."""
    places: dict[str, Named] = {}
    folded: dict[tuple[str, str], str] = {}
    for what, thing in named:
        key = thing.key
        family = "place" if what in ("room", "zone") else what
        if family == "place":
            kind, same = places.setdefault(key, (what, thing))
            if same is not thing:
                hint = f"a room is a place too; the other is on line {_spot(same).line}"
                notes.add(_spot(thing), f"{what} '{shown(key)}' has the key of {kind} '{shown(key)}'", hint)
                continue
        twin = folded.setdefault((family, key.casefold()), key)
        if twin != key:
            trouble = f"'{shown(key)}' and '{shown(twin)}' differ only in capitals"
            notes.add(_spot(thing), trouble, "call one something else")
    _old_keys_free(named, notes)


def _old_keys_free(named: Sequence[Named], notes: Notes) -> None:
    keys = {thing.key for _, thing in named}
    taken: dict[str, str] = {}
    for what, thing in named:
        for old in thing.was:
            if old in keys:
                trouble = f"{what} '{shown(thing.key)}' was '{shown(old)}', but something is called that now"
                notes.add(_spot(thing), trouble, "take it out of 'was', or rename the other")
            elif taken.setdefault(old, thing.key) != thing.key:
                trouble = f"'{shown(thing.key)}' and '{shown(taken[old])}' both say they were '{shown(old)}'"
                notes.add(_spot(thing), trouble, "only one of them can be")


def _spot(thing: Thing) -> Spot:
    """Return where a thing of a file is written (all that is read from one has a place)."""
    return thing.at or Spot("", 1, 1)
