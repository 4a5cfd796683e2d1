"""How far it is to walk from a spot to the exits, or to anything, from door to door through the rooms."""

from __future__ import annotations

import heapq
import math
from collections.abc import Hashable, Iterator
from dataclasses import dataclass

from shopbins.geometry.shapes import Point
from shopbins.scene.doorway import Doorway, doorway
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches
from shopbins.scene.walking import Ground
from shopbins.scene.waysout import kept_for
from shopbins.shop.model import Door

MOST_CORNERS = 60
"""Of more things than fit here only the room's own corners are looked at as far spots."""


@dataclass(frozen=True, slots=True)
class Far:
    """A walk: how long, through which doors, round which things, and how long until it could branch."""

    length_mm: float
    straight_mm: float
    doors: tuple[str, ...]
    round: tuple[Standing, ...]
    first_leg_mm: float


Came = dict[tuple[str, Point], tuple[tuple[str, Point], str, tuple[Standing, ...], float]]
"""From where each place was come to: the place before, the door, what was gone round, how far."""


def _ways(scene: Scene, kept: dict[Hashable, object]) -> list[Doorway]:
    """Return the doorways of a shop, worked out once."""
    found = kept.get("doorways")
    if not isinstance(found, list):
        made = (doorway(door, scene.shop) for door in scene.shop.doors.values())
        found = kept["doorways"] = [way for way in made if way is not None]
    return found


class Walks:
    """The floors of a scene, for walking round whatever gets lower than a head."""

    def __init__(self, scene: Scene, high_mm: float) -> None:
        self.scene, self.high_mm = scene, high_mm
        self._kept = kept_for(scene.shop)
        self._grounds: dict[str, tuple[Ground, list[Standing]]] = {}
        self.ways: list[Doorway] = _ways(scene, self._kept)
        self._of_room: dict[str, list[Doorway]] = {}
        for way in self.ways:
            for each in {way.door.room, way.door.to}:
                self._of_room.setdefault(each, []).append(way)

    def ground(self, room: str) -> tuple[Ground, list[Standing]]:
        """Return a room's floor and what stands on it, in the same order."""
        if room not in self._grounds:
            bodies = [
                b
                for b in self.scene.standing(room)
                if reaches(b, 0.0, self.high_mm) is not False and b.base_mm < self.high_mm
            ]
            bodies.sort(key=lambda b: b.subject)
            key = ("ground", self.high_mm, room, tuple(b.outline for b in bodies))
            kept = self._kept.get(key)
            if not isinstance(kept, Ground):
                kept = self._kept[key] = Ground(
                    self.scene.shop.rooms[room].outline, [b.outline for b in bodies]
                )
            self._grounds[room] = kept, bodies
        return self._grounds[room]

    def exits_of(self, room: str) -> list[Door]:
        """Return the exits that doors lead to from a room."""
        seen, todo = {room}, [room]
        while todo:
            here = todo.pop()
            for way in self._of_room.get(here, ()):
                if way.door.exit:
                    continue
                for a, b in ((way.door.room, way.door.to), (way.door.to, way.door.room)):
                    if a == here and b in self.scene.shop.rooms and b not in seen:
                        seen.add(b)
                        todo.append(b)
        there = {
            way.door.key: way.door
            for room in seen
            for way in self._of_room.get(room, ())
            if self.scene.shop.leads_out(way.door, room)
        }
        return list(there.values())

    def doors_of(self, room: str) -> int:
        """Count the doors of a room."""
        return len(self._of_room.get(room, ()))

    def to_exit(self, room: str, spot: Point) -> Far | None:
        """Return the shortest walk from a spot to an exit; None where none can be walked to."""
        return self._search(room, spot, None)

    def to(self, room: str, spot: Point, goal_room: str, goal: Point) -> Far | None:
        """Return the shortest walk from a spot to another."""
        return self._search(room, spot, (goal_room, goal))

    def _search(self, room: str, spot: Point, goal: tuple[str, Point] | None) -> Far | None:
        best: dict[tuple[str, Point], float] = {(room, spot): 0.0}
        came: Came = {}
        heap: list[tuple[float, str, Point]] = [(0.0, room, spot)]
        while heap:
            far, here, place = heapq.heappop(heap)
            if far > best[(here, place)]:
                continue
            if here == "" or (goal is not None and (here, place) == (goal[0], goal[1])):
                return self._told(far, (here, place), came, spot)
            if here not in self.scene.shop.rooms:
                continue
            ground, bodies = self.ground(here)
            onward: Iterator[tuple[str, Point, str]] = self._onward(here, goal)
            for to_room, to, door in onward:
                straight = math.dist(place, to)
                if far + straight >= best.get((to_room, to), math.inf):
                    continue
                walk = ground.walk(place, to)
                if walk is None or far + walk.length_mm >= best.get((to_room, to), math.inf):
                    continue
                best[(to_room, to)] = far + walk.length_mm
                round_them = tuple(bodies[k] for k in walk.round)
                came[(to_room, to)] = ((here, place), door, round_them, walk.length_mm)
                heapq.heappush(heap, (far + walk.length_mm, to_room, to))
        return None

    def _onward(self, room: str, goal: tuple[str, Point] | None) -> Iterator[tuple[str, Point, str]]:
        """Go through the doors of a room: what is beyond ('' is out), and the place in the opening."""
        if goal is not None and goal[0] == room:
            yield room, goal[1], ""
        for way in self._of_room.get(room, ()):
            door = way.door
            place = way.middle(0.0 if door.room == room else way.through_mm)
            if goal is None and self.scene.shop.leads_out(door, room):
                yield "", place, door.key
            elif door.to in self.scene.shop.rooms:
                yield (door.to if door.room == room else door.room), place, door.key

    def _told(
        self,
        far: float,
        end: tuple[str, Point],
        came: Came,
        spot: Point,
    ) -> Far:
        doors: list[str] = []
        around: list[Standing] = []
        first, here = 0.0, end
        while here in came:
            before, door, bodies, length = came[here]
            doors += [door] if door else []
            around = [*bodies, *around]
            first, here = length, before
        return Far(far, math.dist(spot, end[1]), tuple(reversed(doors)), tuple(around), first)

    def far_spots(self, room: str) -> list[Point]:
        """Return spots of free floor that may be the farthest: corners of the room and of what stands "
        "there."""
        ground, bodies = self.ground(room)
        outline = self.scene.shop.rooms[room].outline
        spots = [p for p in outline if ground.free(p)]
        if len(bodies) <= MOST_CORNERS:
            spots += ground.corners()
        return list(dict.fromkeys(spots))
