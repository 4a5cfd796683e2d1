"""The way out of each room: from the middle of its largest free spot to an exit, and what is narrowest on it.

Exits are doors marked so; rooms are joined by their doors. Things that get lower than a stated height are in
the way, with their exact outlines. Nothing is sampled: widths are distances between outlines
(`kernel.pinch`). What was worked out of a cell is kept until something in it changes. Plain Python.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar, cast

from shopbins.geometry.exact import inside, line_gap
from shopbins.geometry.shapes import Point, bounds
from shopbins.scene.doorway import Doorway, doorway
from shopbins.scene.outcell import Cell, port
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches
from shopbins.shop.model import Door, Shop

Rooms = frozenset[str]
Leg = tuple[Rooms, Point, Point]
JAMB_MM = 3.0
MOST_SHOPS = 4
SPARE_CELLS = 12


@dataclass(frozen=True, slots=True)
class WayOut:
    """The way out of a room to one exit, how wide its narrowest place is, and the two things there.

    An end is a body, 'wall:<room>' or 'door:<key>' of the building, or 'spot' where the room's largest free
    spot is itself no wider; `points` are their nearest points. `far_mm` is how far off the exit is.
    """

    room: str
    exit: Door
    width_mm: float
    ends: tuple[Standing | str, Standing | str]
    points: tuple[Point, Point]
    far_mm: float


class WaysOut:
    """The cells of a scene and how they hang together at doors."""

    def __init__(self, scene: Scene, high_mm: float) -> None:
        """Take a scene; bodies that get lower than `high_mm` are in the way."""
        self.scene, self.high_mm = scene, high_mm
        self._kept = kept_for(scene.shop)
        ways = doorways(scene.shop)
        self.exits = [way for way in ways if way.door.exit]
        self.joined = [way for way in ways if way.door.to in scene.shop.rooms and not way.door.exit]
        self._of_room: dict[str, list[Doorway]] = {}
        for way in self.joined:
            for room in {way.door.room, way.door.to}:
                self._of_room.setdefault(room, []).append(way)
        self._rooms_of: dict[str, Rooms] = {}
        self._cells: dict[Rooms, Cell] = {}
        self._leads: dict[tuple[Rooms, str], list[tuple[Point, Rooms | None]]] = {}

    # --- what is asked ------------------------------------------------------------------------------------

    def spot(self, room: str) -> Point | None:
        """Return the middle of a room's largest free spot; None where nothing is free."""
        return self.cell(room).middle(room)

    def ways(self, room: str) -> Iterator[WayOut]:
        """Go through the ways out of a room, nearest exit first (straight from door to door).

        Each is worked out when it is asked for. There are none where no exit can be
        reached or nothing is free.
        """
        spot = self.spot(room)
        if spot is None:
            return
        exits = exits_from(self.scene.shop, room)
        reached = ((self._far(room, spot, way), way.door.key, way) for way in exits)
        for far, _, way in sorted(reached, key=lambda each: each[:2]):
            yield self._told(room, way.door, far, self._widest(room, spot, way))

    def _far(self, room: str, spot: Point, goal: Doorway) -> float:
        """Return how far an exit is, straight from door to door; the way round things may be longer."""
        beyond = self._far_from(goal)
        return min(
            (
                math.dist(spot, way.middle(way.half_mm)) + beyond[way.door.key]
                for way in (*self._at(room), *([goal] if self._leads_out(goal, room) else []))
                if way.door.key in beyond
            ),
            default=math.inf,
        )

    def _far_from(self, goal: Doorway) -> dict[str, float]:
        """Return how far an exit is from every door (Dijkstra, from the exit); worked out once a shop."""
        found = self._kept.get(("far from", goal.door.key))
        if isinstance(found, dict):
            return found
        far: dict[str, float] = {}
        heap: list[tuple[float, str, Doorway]] = [(0.0, goal.door.key, goal)]
        while heap:
            so_far, key, here = heapq.heappop(heap)
            if key in far:
                continue
            far[key] = so_far
            for room in (here.door.room, here.door.to):
                for way in self._at(room) if here is not goal or self._leads_out(goal, room) else ():
                    if way.door.key not in far:
                        longer = so_far + math.dist(here.middle(here.half_mm), way.middle(way.half_mm))
                        heapq.heappush(heap, (longer, way.door.key, way))
        self._kept[("far from", goal.door.key)] = far
        return far

    def _leads_out(self, way: Doorway, room: str) -> bool:
        return self.scene.shop.leads_out(way.door, room)

    def _at(self, room: str) -> list[Doorway]:
        """Return the doorways from a room to others."""
        return self._of_room.get(room, [])

    def _told(self, room: str, door: Door, far: float, legs: list[Leg]) -> WayOut:
        narrowest = min(legs, key=lambda leg: self._cells[leg[0]].pinch(leg[1], leg[2]).width_mm)
        cell = self._cells[narrowest[0]]
        pinch = cell.pinch(*narrowest[1:])
        first, second = ("spot" if n in ("start", "goal") else cell.bodies.get(n, n) for n in pinch.between)
        opening = self._opening(pinch.points)
        if opening and isinstance(first, str) and isinstance(second, str):
            first = second = opening
        return WayOut(room, door, pinch.width_mm, (first, second), pinch.points, far)

    def _opening(self, points: tuple[Point, Point]) -> str:
        """Return the doorway that two points are the sides of, walls ending there."""
        for way in (*self.joined, *self.exits):
            sides = sorted(way.along_of(p) for p in points)
            deep = [way.out_of(p) for p in points]
            if abs(sides[0] - way.low_mm) + abs(sides[1] - way.high_mm) < JAMB_MM and (
                min(deep) > -JAMB_MM and max(deep) < way.through_mm + JAMB_MM
            ):
                return f"door:{way.door.key}"
        return ""

    # --- over the doors -----------------------------------------------------------------------------------

    def _widest(self, room: str, spot: Point, goal: Doorway) -> list[Leg]:
        """Return the legs, one a cell, of the way to an exit along which the widest disc can go."""
        self.cell(room)
        start = (self._rooms_of[room], spot)
        best: dict[tuple[Rooms | None, Point], float] = {start: math.inf}
        came: dict[tuple[Rooms | None, Point], tuple[Rooms, Point]] = {}
        order = itertools.count()
        heap: list[tuple[float, int, Rooms | None, Point]] = [(-math.inf, next(order), *start)]
        while heap:
            narrow, _, rooms, place = heapq.heappop(heap)
            if rooms is None:
                return list(_legs(came, place))
            if -narrow < best[(rooms, place)]:
                continue
            for to, beyond in self._onward(rooms, goal):
                if to == place or best.get((beyond, to), -1.0) >= -narrow:
                    continue
                width = min(-narrow, self._cells[rooms].pinch(place, to).width_mm)
                if width > best.get((beyond, to), -1.0):
                    best[(beyond, to)] = width
                    came[(beyond, to)] = (rooms, place)
                    heapq.heappush(heap, (-width, next(order), beyond, to))
        raise KeyError(goal.door.key)

    def _onward(self, rooms: Rooms, goal: Doorway) -> list[tuple[Point, Rooms | None]]:
        """Return the doorways out of a cell: where each is, and the cell beyond (None: out)."""
        key = (rooms, goal.door.key)
        if key not in self._leads:
            self._leads[key] = list(self._doorways(rooms, goal))
        return self._leads[key]

    def _doorways(self, rooms: Rooms, goal: Doorway) -> Iterator[tuple[Point, Rooms | None]]:
        cell = self._cells[rooms]
        ways = dict.fromkeys(way for room in sorted(rooms) for way in self._at(room))
        for way in (*ways, goal):
            here = [room for room in (way.door.room, way.door.to) if room in rooms]
            if way is goal:
                out = [room for room in here if self._leads_out(way, room)]
                if out:
                    yield cell.ports[port(way, out[0])], None
            elif len(here) == 1:
                other = way.door.beyond(here[0])
                self.cell(other)
                yield cell.ports[port(way, here[0])], self._rooms_of[other]

    # --- cells --------------------------------------------------------------------------------------------

    def cell(self, room: str) -> Cell:
        """Return the cell a room is in: the kept one where nothing in it has changed."""
        rooms = self._rooms_of.get(room) or self._grown(room)
        found = self._cells.get(rooms)
        if found is None:
            key = ("cell", self.high_mm, rooms)
            found = unless_changed(self.scene, sorted(rooms), key, lambda: self._cell_of(rooms))
            self._cells[rooms] = found
        return found

    def _cell_of(self, rooms: Rooms) -> Cell:
        there = (b for each in sorted(rooms) for b in self._bodies(each))
        bodies = sorted(there, key=lambda b: b.subject)  # the same things make the same cell
        key = (self.high_mm, rooms, tuple((b.subject, b.outline) for b in bodies))
        kept = self._kept.get(key)
        found = kept if isinstance(kept, Cell) else self._built(rooms, bodies)
        found.now(bodies)
        self._kept.pop(key, None)  # the ones asked for last are kept longest
        self._kept[key] = found
        self._forget()
        return found

    def _forget(self) -> None:
        """Drop the cells that were asked for longest ago: those of a room of 500 things take 0.6 MB each."""
        cells = [key for key, value in list(self._kept.items()) if isinstance(value, Cell)]
        for key in cells[: max(0, len(cells) - SPARE_CELLS - 2 * len(self.scene.shop.rooms))]:
            self._kept.pop(key, None)

    def _grown(self, room: str) -> Rooms:
        """Return a room with those beyond crowded doorways, and theirs."""
        merged, todo = {room}, [room]
        while todo:
            here = todo.pop()
            for way in self._at(here):
                other = way.door.beyond(here)
                if other not in merged and self._crowded(way):
                    merged.add(other)
                    todo.append(other)
        found = frozenset(merged)
        self._rooms_of.update(dict.fromkeys(merged, found))
        return found

    def _crowded(self, way: Doorway) -> bool:
        """Tell whether a thing stands so near a doorway's middle line that a disc may not go along it."""
        key = ("crowded", self.high_mm, way.door.key)
        return unless_changed(self.scene, (way.door.room, way.door.to), key, lambda: self._stood_at(way))

    def _stood_at(self, way: Doorway) -> bool:
        line, half = way.middle_line, way.width_mm / 2
        near = bounds(line).grown(half)
        return any(
            self._stands(body) and line_gap(body.outline, line).distance_mm < half
            for room in (way.door.room, way.door.to)
            for body in self.scene.near(room, near)
        )

    def _stands(self, body: Standing) -> bool:
        return reaches(body, 0.0, self.high_mm) is not False

    def _bodies(self, room: str) -> list[Standing]:
        """Return what stands in the way in a room; what lies wholly on a bench adds nothing to it."""
        return [b for b in self.scene.standing(room) if self._stands(b) and not self._on_top(b)]

    def _on_top(self, body: Standing) -> bool:
        zone = self.scene.zone(body.zone) if body.kind == "group" and body.zone is not None else None
        if (
            zone is None
            or zone.kind not in ("bench", "shelf")
            or min(e.height_mm for e in zone.levels) > self.high_mm
        ):
            return False
        return inside(body.outline, zone.outline)

    def _built(self, rooms: Rooms, bodies: list[Standing]) -> Cell:
        outlines = {key: each.outline for key, each in self.scene.shop.rooms.items() if key in rooms}
        inner = [way for way in self.joined if way.door.room in rooms and way.door.to in rooms]
        ports = [
            (way, own)
            for way in (*self.joined, *self.exits)
            if way not in inner
            for own, room in ((True, way.door.room), (False, way.door.to))
            if room in rooms
        ]
        return Cell(outlines, inner, ports, bodies)


def _legs(came: dict[tuple[Rooms | None, Point], tuple[Rooms, Point]], place: Point) -> Iterator[Leg]:
    """Go back over a way from its end, leg by leg."""
    here: tuple[Rooms | None, Point] = (None, place)
    while here in came:
        before = came[here]
        yield before[0], before[1], here[1]
        here = before


_KEPT: OrderedDict[int, tuple[Shop, dict[Hashable, object]]] = OrderedDict()


def kept_for(shop: Shop) -> dict[Hashable, object]:
    """Return what is kept for a shop from one question to the next."""
    found = _KEPT.get(id(shop))
    if found is None:
        found = _KEPT[id(shop)] = (shop, {})
        while len(_KEPT) > MOST_SHOPS:
            _KEPT.popitem(last=False)
    return found[1]


def doorways(shop: Shop) -> list[Doorway]:
    """Return the doorways of a shop, worked out once."""
    kept = kept_for(shop)
    found = kept.get("doorways")
    if not isinstance(found, list):
        made = (doorway(door, shop) for door in shop.doors.values())
        found = kept["doorways"] = [way for way in made if way is not None]
    return found


def exits_from(shop: Shop, room: str) -> list[Doorway]:
    """Return the exits that doors lead to from a room, blocked or not; looked for once a shop."""
    kept = kept_for(shop)
    found = kept.get(("exits from", room))
    if isinstance(found, list):
        return found
    ways = doorways(shop)
    seen, todo = {room}, [room]
    while todo:
        here = todo.pop()
        for way in ways:
            if way.door.exit or here not in (way.door.room, way.door.to):
                continue
            other = way.door.beyond(here)
            if other in shop.rooms and other not in seen:
                seen.add(other)
                todo.append(other)
    found = [way for way in ways if any(shop.leads_out(way.door, each) for each in seen)]
    kept.update((("exits from", each), found) for each in seen)
    return found


T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class _Kept:
    """Something worked out of some rooms, with how they stood."""

    rooms: list[object]
    value: Any


def unless_changed(scene: Scene, rooms: Sequence[str], key: Hashable, work_out: Callable[[], T]) -> T:
    """Return what is worked out of some rooms; anew only where something in one of them has changed."""
    kept, now = kept_for(scene.shop), [scene.as_it_stands(room) for room in rooms]
    found = kept.get(key)
    if isinstance(found, _Kept) and all(a is b for a, b in zip(found.rooms, now, strict=True)):
        return cast(T, found.value)
    value = work_out()
    if None not in now:  # with groups held it would never be found again
        kept[key] = _Kept(now, value)
    return value
