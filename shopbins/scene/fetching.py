"""Fetching: where each of some groups lies, what lies on it or stands in front, and a short way round them.

Distances are walked: straight within a room, through the middles of doors between rooms. What stands in
front is what a strip 600 mm wide meets between the nearest way or door and the thing; a thing without a pose
in its zone is not judged (`in_front` None).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import pairwise
from math import dist, inf

from shopbins.geometry.corridor import corridor
from shopbins.geometry.shapes import Box, Point, bounds, contains
from shopbins.ledger.model import InGroup, InZone
from shopbins.scene.passing import standing_in
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import OUTSIDE, Shop, Zone

STRIP_MM = 600.0
"""How wide a way somebody needs to a thing: own figure, common practice, no source."""

REACH_MM = 500.0
"""What stands lower than this below a level is in the way of reaching it from the floor: own figure."""

MOST_SWAPPED = 80
"""Up to so many stops the way round is improved by turning parts of it about (2-opt, Croes 1958)."""


@dataclass(frozen=True, slots=True)
class Fetch:
    """One group to fetch. `on_top` and `in_front` are ids of groups to shift first; None: not judged.

    `place` None: it is not in the shop, or not laid down. `metres` is how far to walk from the stop before.
    """

    group: str
    place: InZone | None
    on_top: tuple[str, ...]
    in_front: tuple[str, ...] | None
    metres: float | None


def fetch_order(scene: Scene, group_ids: Sequence[str], start: Point | None = None) -> list[Fetch]:
    """Return the groups in an order of fetching with little walking, those that lie nowhere last.

    Begins at `start` (a point of the shop frame) if given. Short, not certainly the shortest.
    """
    walk = _Walk(scene.shop)
    stops: list[tuple[str, str, Point]] = []
    nowhere: list[str] = []
    for each in group_ids:
        spot = _spot(scene, each)
        if spot is None:
            nowhere.append(each)
        else:
            stops.append((each, *spot))
    line = _short_way(walk, stops, None if start is None else (_room_at(scene, start), start))
    found: list[Fetch] = []
    before: tuple[str, Point] | None = None if start is None else (_room_at(scene, start), start)
    for each, room, point in line:
        far = None if before is None else walk.mm(before, (room, point))
        metres = None if far is None or far == inf else far / 1000.0
        found.append(_fetch(scene, each, metres))
        before = (room, point)
    return [*found, *(_fetch(scene, each, None) for each in nowhere)]


def _fetch(scene: Scene, group_id: str, metres: float | None) -> Fetch:
    top = scene.top_of(group_id)
    where = None if top is None else top.where
    place = where if isinstance(where, InZone) else None
    return Fetch(group_id, place, on_top(scene, group_id), in_front(scene, group_id), metres)


def on_top(scene: Scene, group_id: str) -> tuple[str, ...]:
    """Return the groups that lie on a group, or on what it lies in or on (not those it stands on itself)."""
    found: list[str] = []
    inner: str | None = None
    here: str | None = group_id
    seen: set[str] = set()
    while here is not None and here not in seen:
        seen.add(here)
        where = scene.group(here).where
        for child in scene.children(here):
            how = scene.group(child).where
            beside = inner is not None and _lies_on(scene, inner)
            if child != inner and not beside and isinstance(how, InGroup) and how.how == "on":
                found.append(child)
        inner = here
        here = where.group if isinstance(where, InGroup) and scene.state.has_group(where.group) else None
    return tuple(found)


def _lies_on(scene: Scene, group_id: str) -> bool:
    """Tell whether a group lies on another: then what else lies there lies beside it."""
    where = scene.group(group_id).where
    return isinstance(where, InGroup) and where.how == "on"


def in_front(scene: Scene, group_id: str) -> tuple[str, ...] | None:
    """Return the groups that stand between the nearest way or door and a group; None: not judged."""
    top = scene.top_of(group_id)
    body = None if top is None else scene.body(top.id)
    if body is None:
        return None
    origin = _come_from(scene.shop, body)
    if origin is None or dist(origin, body.centre) < 1.0:
        return ()
    way = corridor((origin, body.centre), STRIP_MM)
    others = [
        each
        for each in scene.near(body.room, _box_of(origin, body))
        if each.kind == "group" and each.key != body.key and _is_before(each, body)
    ]
    return tuple(each.key for each in standing_in(way, others))


def _box_of(origin: Point, body: Standing) -> Box:
    return bounds((origin, *body.outline)).grown(STRIP_MM / 2)


def _is_before(other: Standing, body: Standing) -> bool:
    """Tell whether a body is in the way to another: on the floor, or on the same level of its zone."""
    same = other.zone == body.zone and other.level == body.level
    return same or other.base_mm < REACH_MM


def _come_from(shop: Shop, body: Standing) -> Point | None:
    """Return the nearest point of a walkway through the room, else the nearest door; None without either."""
    lines = [way.line for way in shop.walkways.values() if body.room in way.rooms]
    points = [_nearest(line, body.centre) for line in lines]
    points = points or [
        bounds(door.jambs).middle for door in shop.doors.values() if body.room in (door.room, door.to)
    ]
    return min(points, key=lambda each: dist(each, body.centre), default=None)


def _nearest(line: Sequence[Point], to: Point) -> Point:
    """Return the point of a line nearest to another."""
    best = line[0]
    for (ax, ay), (bx, by) in pairwise(line):
        square = (bx - ax) ** 2 + (by - ay) ** 2 or 1.0
        along = min(1.0, max(0.0, ((to[0] - ax) * (bx - ax) + (to[1] - ay) * (by - ay)) / square))
        point = (ax + along * (bx - ax), ay + along * (by - ay))
        if dist(point, to) < dist(best, to):
            best = point
    return best


# -- the way round


def _spot(scene: Scene, group_id: str) -> tuple[str, Point] | None:
    """Return the room and point a group is fetched from."""
    top = scene.top_of(group_id)
    if top is None or not isinstance(top.where, InZone):
        return None
    body = scene.body(top.id)
    if body is not None:
        return body.room, body.centre
    zone: Zone | None = scene.zone(top.where.zone)
    return None if zone is None else (zone.room, bounds(zone.outline).middle)


def _room_at(scene: Scene, point: Point) -> str:
    return next((room.key for room in scene.shop.rooms.values() if contains(room.outline, point)), "")


def _short_way(
    walk: _Walk, stops: list[tuple[str, str, Point]], start: tuple[str, Point] | None
) -> list[tuple[str, str, Point]]:
    """Return the stops, the nearest next, then parts of the way turned about while that shortens it."""
    left, line = list(stops), list[tuple[str, str, Point]]()
    here = start if start is not None or not left else (left[0][1], left[0][2])
    while left and here is not None:
        spot = here
        nearest = min(left, key=lambda each: walk.mm(spot, (each[1], each[2])))
        left.remove(nearest)
        line.append(nearest)
        here = (nearest[1], nearest[2])
    return _turned_about(walk, line, start) if len(line) <= MOST_SWAPPED else line


def _turned_about(
    walk: _Walk, line: list[tuple[str, str, Point]], start: tuple[str, Point] | None
) -> list[tuple[str, str, Point]]:
    places = [(room, point) for _, room, point in line]

    def far(i: int, j: int) -> float:
        if j >= len(places):
            return 0.0
        if i < 0:
            return 0.0 if start is None else walk.mm(start, places[j])
        return walk.mm(places[i], places[j])

    better = True
    while better:
        better = False
        for i in range(len(line) - 1):
            for j in range(i + 1, len(line)):
                now = far(i - 1, i) + far(j, j + 1)
                then = far(i - 1, j) + far(i, j + 1)
                if then < now - 1e-6:
                    line[i : j + 1] = line[i : j + 1][::-1]
                    places[i : j + 1] = places[i : j + 1][::-1]
                    better = True
    return line


class _Walk:
    """Distances to walk in a shop: straight within a room, door to door between rooms."""

    def __init__(self, shop: Shop) -> None:
        self._doors: dict[str, list[tuple[str, Point]]] = {}
        for door in shop.doors.values():
            middle = bounds(door.jambs).middle
            for room, other in ((door.room, door.to), (door.to, door.room)):
                if OUTSIDE not in (room, other):
                    self._doors.setdefault(room, []).append((other, middle))
        self._known: dict[tuple[tuple[str, Point], tuple[str, Point]], float] = {}

    def mm(self, a: tuple[str, Point], b: tuple[str, Point]) -> float:
        """Return how far it is from one (room, point) to another; infinite where no door leads."""
        if a[0] == b[0]:
            return dist(a[1], b[1])
        pair = (a, b) if a <= b else (b, a)
        found = self._known.get(pair)
        if found is None:
            found = self._known[pair] = self._search(*pair)
        return found

    def _search(self, a: tuple[str, Point], b: tuple[str, Point]) -> float:
        todo = [(0.0, a[0], a[1])]
        done: set[tuple[str, Point]] = set()
        best = inf
        while todo:
            far, room, point = heappop(todo)
            if far >= best:
                break
            if (room, point) in done:
                continue
            done.add((room, point))
            if room == b[0]:
                best = min(best, far + dist(point, b[1]))
                continue
            for other, middle in self._doors.get(room, ()):
                heappush(todo, (far + dist(point, middle), other, middle))
        return best
