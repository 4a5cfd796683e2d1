"""How far it is to walk from a spot to the exits, or to anything, from door to door through the rooms."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from shopbins.geometry.segments import along
from shopbins.geometry.shapes import Point
from shopbins.scene.doorway import Doorway
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches
from shopbins.scene.walking import Walk, Walkable
from shopbins.scene.waysout import doorways, exits_from, kept_for, unless_changed
from shopbins.shop.model import Door, Shop

MOST_CORNERS = 60
"""Of more things than fit here only the room's own corners are looked at as far spots."""


@dataclass(frozen=True, slots=True)
class Far:
    """A walk: how long, through which doors, round which things, and where from."""

    length_mm: float
    straight_mm: float
    doors: tuple[str, ...]
    round: tuple[Standing, ...]
    spot: Point


Node = tuple[str, Point]
"""A room and the place in it where it was come into through a door; ('', place): out by an exit there."""


@dataclass(frozen=True, slots=True)
class _Step:
    """The shortest way on from somewhere: how far in all, to which node, through which door, walked how."""

    far_mm: float
    to: Node
    door: str
    walk: Walk


@dataclass(frozen=True, slots=True)
class _Map:
    """The way on to one goal from every door: what each room leads to, and the step from each node."""

    onward: dict[str, list[tuple[Node, str]]]
    steps: dict[Node, _Step | None]

    def far(self, node: Node) -> float:
        """Return how far it is from a node; infinitely where no way leads on."""
        step = self.steps.get(node)
        return step.far_mm if step is not None else 0.0 if node in self.steps else math.inf


def exits_beyond(shop: Shop, room: str, door: Door) -> frozenset[str]:
    """Return the exits that who leaves a room by a door can reach without coming back into the room."""
    kept = kept_for(shop)
    key = ("beyond", room, door.key)
    found = kept.get(key)
    if not isinstance(found, frozenset):
        found = kept[key] = frozenset(_beyond(shop, room, door))
    return found


def _beyond(shop: Shop, room: str, door: Door) -> Iterator[str]:
    if shop.leads_out(door, room):
        yield door.key
        return
    seen, todo = {room}, [door.beyond(room)] if not door.exit else []
    while todo:
        here = todo.pop()
        if here in seen or here not in shop.rooms:
            continue
        seen.add(here)
        for each in shop.doors.values():
            if here not in (each.room, each.to):
                continue
            if shop.leads_out(each, here):
                yield each.key
            elif not each.exit:
                todo.append(each.beyond(here))


def ways_from(shop: Shop, room: str) -> list[Door]:
    """Return the doors of a room that lead to an exit."""
    there = (door for door in shop.doors.values() if room in (door.room, door.to))
    return [door for door in there if exits_beyond(shop, room, door)]


def _come_to(way: Doorway, room: str) -> Point:
    """Return the place in a doorway where one comes to it from a room."""
    return way.middle(0.0 if way.door.room == room else way.through_mm)


STRIDE_MM = 1000.0


class Walks:
    """The floors of a scene, for walking round whatever gets lower than a head."""

    def __init__(self, scene: Scene, high_mm: float) -> None:
        self.scene, self.high_mm = scene, high_mm
        self._kept = kept_for(scene.shop)
        self._grounds: dict[str, tuple[Walkable, list[Standing]]] = {}
        self._maps: dict[Node | None, _Map] = {}
        self._farthest: dict[str, Far | None] = {}
        self._of_room: dict[str, list[Doorway]] = {}
        for way in doorways(scene.shop):
            for each in {way.door.room, way.door.to}:
                self._of_room.setdefault(each, []).append(way)

    def ground(self, room: str) -> tuple[Walkable, list[Standing]]:
        """Return a room's floor and what stands on it, in the same order."""
        if room not in self._grounds:
            key = ("ground", self.high_mm, room)
            self._grounds[room] = unless_changed(self.scene, (room,), key, lambda: self._ground_of(room))
        return self._grounds[room]

    def _ground_of(self, room: str) -> tuple[Walkable, list[Standing]]:
        bodies = [
            b
            for b in self.scene.standing(room)
            if reaches(b, 0.0, self.high_mm) is not False and b.base_mm < self.high_mm
        ]
        bodies.sort(key=lambda b: b.subject)
        return Walkable(self.scene.shop.rooms[room].outline, [b.outline for b in bodies]), bodies

    def farthest(self, room: str) -> Far | None:
        """Return the longest of the shortest walks to an exit from a room; None where nobody gets out."""
        if room not in self._farthest:
            there, ground = self._map(None), self.ground(room)[0]
            beyond = [(node, there.far(node)) for node, _ in there.onward[room]]
            key = ("farthest", self.high_mm, room)
            kept, spots = self._kept.get(key), self.far_spots(room)
            if isinstance(kept, tuple) and kept[0] is ground and kept[1] == beyond:
                spots = [kept[2]]  # nothing it hangs on is another
            steps = [(step, p) for p in spots if (step := self._first(there, room, p))]
            far = None
            if steps:
                step, spot = max(steps, key=lambda each: each[0].far_mm)
                far = self._told(there, room, spot, step)
                self._kept[key] = ground, beyond, spot
            self._farthest[room] = far
        return self._farthest[room]

    def one_way(self, room: str, apart_deg: float, *, everywhere: bool) -> float | None:
        """Return how far one walks in one direction only, the worst of a room; None where nobody gets out.

        It ends where the straight lines to two doors, which lead to two exits, lie `apart_deg` or more apart;
        where they never do it is the whole way. `everywhere` False: from the farthest spot only.
        """
        far = self.farthest(room)
        if far is None:
            return None
        if len(exits_from(self.scene.shop, room)) < 2:
            return far.length_mm
        there = self._map(None)
        spots = self.far_spots(room) if everywhere else [far.spot]
        steps = [step for spot in spots if (step := self._first(there, room, spot)) is not None]
        worst = 0.0
        for step in sorted(steps, key=lambda each: -each.far_mm):
            if step.far_mm <= worst:
                break
            worst = max(worst, self._alone(room, step, apart_deg))
        return worst

    def _alone(self, room: str, first: _Step, apart_deg: float) -> float:
        """Follow the shortest way from a spot to where it may branch."""
        walked, here, came = 0.0, room, ""
        step: _Step | None = first
        while step is not None:
            doors = [
                (_come_to(way, here), beyond)
                for way in self._of_room.get(here, ())
                if way.door.key != came and (beyond := exits_beyond(self.scene.shop, here, way.door))
            ]
            pairs = [(a[0], b[0]) for a, b in combinations(doors, 2) if len(a[1] | b[1]) > 1]
            found = _branches(step.walk.points, pairs, apart_deg) if pairs else None
            if found is not None:
                return walked + found
            walked += step.walk.length_mm
            came, here = step.door, step.to[0]
            step = self._map(None).steps[step.to]
        return walked

    def to(self, room: str, spot: Point, goal_room: str, goal: Point) -> Far | None:
        """Return the shortest walk from a spot to another; None where there is none."""
        there = self._map((goal_room, goal))
        step = self._first(there, room, spot)
        return None if step is None else self._told(there, room, spot, step)

    def _map(self, goal: Node | None) -> _Map:
        """Return the shortest ways from every door to a goal (None: any exit), by Dijkstra from there."""
        found = self._maps.get(goal)
        if found is not None:
            return found
        onward = {room: list(self._onward(room, goal)) for room in self.scene.shop.rooms}
        inside: dict[str, dict[Node, None]] = {}
        before: dict[Node, list[tuple[str, str]]] = {}
        for room, doors in onward.items():
            for node, door in doors:
                inside.setdefault(node[0], {})[node] = None
                before.setdefault(node, []).append((room, door))
        ends = [node for node in before if node == goal or not node[0]]
        steps: dict[Node, _Step | None] = dict.fromkeys(ends)
        heap = [(0.0, node) for node in ends]
        done: set[Node] = set()
        while heap:
            far, node = heapq.heappop(heap)
            if node in done:
                continue
            done.add(node)
            for room, door in before[node]:
                for other in inside.get(room, ()):
                    if other in done:
                        continue
                    step = self._step(room, other[1], far, node, door, steps.get(other))
                    if step is not None:
                        steps[other] = step
                        heapq.heappush(heap, (step.far_mm, other))
        found = self._maps[goal] = _Map(onward, steps)
        return found

    def _step(
        self, room: str, place: Point, far: float, node: Node, door: str, best: _Step | None
    ) -> _Step | None:
        """Return the step from a place to a node so far from the goal, where it is the shortest yet."""
        most = math.inf if best is None else best.far_mm
        if far + math.dist(place, node[1]) >= most:
            return None
        walk = self.ground(room)[0].walk(place, node[1])
        if walk is None or far + walk.length_mm >= most:
            return None
        return _Step(far + walk.length_mm, node, door, walk)

    def _first(self, there: _Map, room: str, spot: Point) -> _Step | None:
        """Return the first step of the shortest way from a spot."""
        best: _Step | None = None
        for node, door in there.onward[room]:
            best = self._step(room, spot, there.far(node), node, door, best) or best
        return best

    def _onward(self, room: str, goal: Node | None) -> Iterator[tuple[Node, str]]:
        """Go through the doors of a room: what is beyond, come to at the place in the opening."""
        if goal is not None and goal[0] == room:
            yield goal, ""
        for way in self._of_room.get(room, ()):
            door, place = way.door, _come_to(way, room)
            if goal is None and self.scene.shop.leads_out(door, room):
                yield ("", place), door.key
            elif door.to in self.scene.shop.rooms:
                yield (door.beyond(room), place), door.key

    def _told(self, there: _Map, room: str, spot: Point, first: _Step) -> Far:
        doors: list[str] = []
        around: list[Standing] = []
        here, end = room, first.to
        step: _Step | None = first
        while step is not None:
            bodies = self.ground(here)[1]
            doors += [step.door] if step.door else []
            around += [bodies[k] for k in step.walk.round]
            end = step.to
            here, step = end[0], there.steps[end]
        return Far(first.far_mm, math.dist(spot, end[1]), tuple(doors), tuple(around), spot)

    def far_spots(self, room: str) -> list[Point]:
        """Return spots of free floor that may be the farthest: corners of the room and of what is there."""
        ground, bodies = self.ground(room)
        return ground.corners(own=len(bodies) > MOST_CORNERS)


Pairs = Sequence[tuple[Point, Point]]
"""The places of two doors that lead to two exits."""


def _branches(path: Sequence[Point], pairs: Pairs, apart_deg: float) -> float | None:
    """Return how far along a path two doors of a pair first lie so far apart; None: nowhere."""
    walked = 0.0
    for p, q in pairwise(path):
        length = math.dist(p, q)
        before = 0.0
        for n in range(math.ceil(length / STRIDE_MM) + 1):
            far = min(n * STRIDE_MM, length)
            if _two_ways(along(p, q, far / length if length else 0.0), pairs, apart_deg):
                return walked + _first_between(p, q, before, far, pairs, apart_deg)
            before = far
        walked += length
    return None


def _first_between(p: Point, q: Point, low: float, high: float, pairs: Pairs, apart_deg: float) -> float:
    """Return where between two distances along a line, of which the further has two ways, they begin."""
    length = math.dist(p, q)
    if high <= low or not length:
        return high
    for _ in range(24):
        half = (low + high) / 2
        if _two_ways(along(p, q, half / length), pairs, apart_deg):
            high = half
        else:
            low = half
    return high


def _two_ways(spot: Point, pairs: Pairs, apart_deg: float) -> bool:
    """Tell whether two doors of a pair lie so far apart or more from a spot that is at neither."""
    for a, b in pairs:
        ax, ay, bx, by = a[0] - spot[0], a[1] - spot[1], b[0] - spot[0], b[1] - spot[1]
        if math.hypot(ax, ay) < 1.0 or math.hypot(bx, by) < 1.0:
            continue
        if math.degrees(abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))) >= apart_deg - 1e-9:
            return True
    return False
