"""A cell: one room, or several whose doorways are crowded, with the ways from its middle to its doors.

A way out is looked at cell by cell and put together at the doors. That is exact: where nothing stands within
half a doorway's width of the line across its middle, whatever disc goes through can as well go through the
middle; where something does, the rooms on both sides are one cell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache

from shopbins.geometry.exact import overlap
from shopbins.geometry.features import Feature, thing_features, wall_features
from shopbins.geometry.segments import meet
from shopbins.geometry.shapes import Outline, Point, bounds, counter_clockwise
from shopbins.kernel.pinch import Floor, Pinch
from shopbins.scene.doorway import OVERLAP_MM, Doorway
from shopbins.scene.standing import Standing

SPOT_MM = 50.0
"""How much less than the greatest the radius of a room's largest free spot may be."""

BEYOND_MM = 2000.0
"""How far beyond an exit it is looked whether something sticks out of it."""

Side = tuple[Doorway, bool]
"""A doorway seen from its own room (True) or from the room beyond it."""


class Cell:
    """The floor of a cell with what stands on it; answers are worked out when asked for, and kept."""

    def __init__(
        self,
        rooms: Mapping[str, Outline],
        inner: Iterable[Doorway],
        ports: Sequence[Side],
        bodies: Sequence[Standing],
    ) -> None:
        """Take the rooms' outlines, doorways open between them, doorways that lead out, and the bodies."""
        self.rooms = rooms
        self.bodies = {body.subject: body for body in bodies}
        self.ports: dict[str, Point] = {}
        names = [f"wall:{key}" for key in rooms]
        outlines = list(rooms.values())
        for way in inner:
            names.append(f"door:{way.door.key}")
            outlines.append(way.floor(-OVERLAP_MM, way.through_mm))
        ends: list[tuple[Doorway, float]] = []
        open_ports: list[str] = []
        for way, own in ports:
            chute, goal, open_at = _chute(way, own, bodies, outlines)
            self.ports[_port(way, own)] = goal
            names.append(f"door:{way.door.key}")
            outlines.append(chute)
            if open_at is not None:
                ends.append((way, open_at))
                open_ports.append(_port(way, own))
        walls = wall_features(outlines, names=names, apart=len(rooms))
        self._features: list[Feature] = [f for f in walls if not any(_is_end(f, *end) for end in ends)]
        self._features += thing_features((b.subject, b.outline) for b in bodies)
        self.floor = Floor(self._features)
        for key, (way, out_mm) in zip(open_ports, ends, strict=True):
            self.ports[key] = self._beyond(way, out_mm)
        self._middles: dict[str, Point | None] = {}
        self._pinches: dict[tuple[Point, Point], Pinch] = {}

    def _beyond(self, way: Doorway, out_mm: float) -> Point:
        """Return the place straight beyond an open end, half way to the wall that is come to next."""
        sign = 1.0 if out_mm > 0.0 else -1.0
        reach = way.width_mm + 2 * OVERLAP_MM
        near, far = way.middle(out_mm), way.middle(out_mm + sign * reach)
        walls = [f.points for f in self._features if len(f.points) == 2]
        hits = [math.dist(near, at) for p, q in walls if (at := meet(near, far, p, q)) is not None]
        return way.middle(out_mm + sign * min([reach, *hits]) / 2)

    def now(self, bodies: Sequence[Standing]) -> None:
        """Tell the same bodies as they are now called."""
        self.bodies = {body.subject: body for body in bodies}

    def middle(self, room: str) -> Point | None:
        """Return the middle of a room's largest free spot; None where nothing is free."""
        if room not in self._middles:
            outline = self.rooms[room]
            box = bounds(outline)
            near = tuple(f for f in self._features if f.box.touches(box))
            self._middles[room] = _roomiest(outline, near)
        return self._middles[room]

    def pinch(self, start: Point, goal: Point) -> Pinch:
        """Return the pinch between two places; 0 mm where one of them lies in a thing."""
        key = (start, goal) if start <= goal else (goal, start)
        found = self._pinches.get(key)
        if found is None:
            found = self._pinches[key] = self._work_out(*key)
        return found

    def _work_out(self, start: Point, goal: Point) -> Pinch:
        for p in (start, goal):
            clear, k, at = self.floor.gaps.clearance(p)
            if clear <= 0.0:
                name = self._features[k].name
                return Pinch(0.0, (name, name), (at, at))
        return self.floor.pinch(start, goal)


@lru_cache(maxsize=64)
def _roomiest(room: Outline, features: tuple[Feature, ...]) -> Point | None:
    """Return the middle of a room's largest free spot; the next door's things do not make it another."""
    return Floor(features).roomiest(room, SPOT_MM)


def _port(way: Doorway, own: bool) -> str:
    return f"{way.door.key}/{'in' if own else 'out'}"


def port(way: Doorway, room: str) -> str:
    """Return what a cell calls a doorway, seen from a room."""
    return _port(way, way.door.room == room)


def _chute(
    way: Doorway, own: bool, bodies: Sequence[Standing], taken: Sequence[Outline]
) -> tuple[Outline, Point, float | None]:
    """Return the floor of a doorway that leads out of the cell, closed at its end, and the place to reach.

    Of an exit the place is well beyond it, past whatever sticks out of it; of another door the middle of
    its wall. Where the floor would run into the cell's own again (a building round a narrow yard) it ends
    at the far side of the doorway, how far out is told, and that end is to be left open.
    """
    half, deep = way.width_mm / 2 + OVERLAP_MM, way.through_mm
    sign, near, far = (1.0, -OVERLAP_MM, deep) if own else (-1.0, deep, -OVERLAP_MM)
    goal = way.half_mm
    if way.door.exit:
        beyond = [sign * v for v in _sticking_out(way, bodies)]
        goal = sign * (max([sign * far, *beyond]) + half)
    end = goal + sign * half
    if sign * (end - far) > 0 and any(overlap(way.floor(far, end), other) for other in taken):
        return way.floor(near, far), way.middle(goal), far
    return way.floor(near, end), way.middle(goal), None


def _is_end(f: Feature, way: Doorway, out_mm: float) -> bool:
    """Tell whether a wall is the far end of a doorway."""
    return f.name == f"door:{way.door.key}" and all(abs(way.out_of(p) - out_mm) < 0.01 for p in f.points)


def _sticking_out(way: Doorway, bodies: Sequence[Standing]) -> Iterator[float]:
    """Go through how far out the corners of bodies are that stand in a doorway or beyond it."""
    half = way.width_mm / 2 + OVERLAP_MM
    ends = ((way.low_mm - half, -BEYOND_MM), (way.high_mm + half, way.through_mm + BEYOND_MM))
    around = tuple(
        way.at(u, v) for u, v in (ends[0], (ends[1][0], ends[0][1]), ends[1], (ends[0][0], ends[1][1]))
    )
    box = bounds(around)
    for body in bodies:
        if body.box.touches(box) and overlap(body.outline, counter_clockwise(around)):
            yield from (way.out_of(p) for p in body.outline)
