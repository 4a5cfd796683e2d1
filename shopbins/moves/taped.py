"""A point of the floor as a tape finds it: so far from two corners or jambs on one wall of its room.

Left, right, upper and lower are as the plan is drawn: x to the right, y up. Points in the shop frame, in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shopbins.geometry.segments import edges, segment_gap
from shopbins.geometry.shapes import Point, bounds, contains
from shopbins.moves.lines import joined
from shopbins.shop.model import Door, Room, Shop
from shopbins.units import show_length, show_point

ON_WALL_MM = 30.0
"""What is no farther from a wall is at it: own figure."""
CROSSING_DEG = (30.0, 150.0)
"""Two tapes that cross at less or more than this find a point poorly: own figures."""


class Mark(NamedTuple):
    """A corner or jamb that a tape is held to."""

    name: str
    at: Point


def taped(shop: Shop, point: Point) -> str:
    """Say where a point is: '1200 mm from the lower jamb of mid, 1830 mm from the upper left corner of b'; ''
    where no two corners or jambs of one wall are in sight of it that place it well.
    """
    import shapely

    here = shapely.Point(point)
    room = min(shop.rooms.values(), key=lambda room: shapely.Polygon(room.outline).distance(here))
    doors = _doors(shop, room)
    gap = next((door.name for door in shop.doors.values() if contains(door.passage, point)), "")
    floor = joined((room,), tuple(doors))
    found: list[tuple[float, str]] = []
    for wall in edges(room.outline):
        marks = [
            mark for mark in _marks(room, doors, wall) if floor.covers(shapely.LineString([point, mark.at]))
        ]
        at_wall = segment_gap(point, *wall)[0] <= ON_WALL_MM
        for mark in marks:
            if math.dist(point, mark.at) <= ON_WALL_MM:
                return f"at {mark.name}"
        for pair in itertools.combinations(marks, 2):
            if at_wall or CROSSING_DEG[0] <= _between_deg(point, *pair) <= CROSSING_DEG[1]:
                near = sorted(pair, key=lambda mark: math.dist(point, mark.at))
                said = ", ".join(f"{_far(point, mark)} from {mark.name}" for mark in near)
                total = sum(math.dist(point, mark.at) for mark in pair)
                where = f"in {gap}, " if gap else "at the wall, " if at_wall else ""
                found.append((total, f"{where}{said}"))
    return min(found)[1] if found else ""


def origin_near(shop: Shop, rooms: Sequence[str]) -> Mark:
    """Return the corner of some rooms nearest to 0,0, one with a name of its own where there is any."""
    named = [
        mark
        for key in rooms
        for wall in edges(shop.rooms[key].outline)
        for mark in _corners(shop.rooms[key], wall)
    ]
    bare = (Mark(f"a corner of {shop.rooms[key].name}", p) for key in rooms for p in shop.rooms[key].outline)
    return min(named or bare, key=lambda mark: math.hypot(*mark.at))


def axes_said(mark: Mark) -> str:
    """Say where points are counted from: 'x to the right, y up the plan, in mm from 0,0, the lower left
    corner of shop'.
    """
    where = show_point(*mark.at)
    from_it = f"0,0, {mark.name}" if where == "0,0" else f"0,0; {mark.name} is {where}"
    return f"x to the right, y up the plan, in mm from {from_it}"


def _far(point: Point, mark: Mark) -> str:
    return show_length(10 * round(math.dist(point, mark.at) / 10))


def _between_deg(point: Point, a: Mark, b: Mark) -> float:
    """Return at which angle two tapes to marks meet at a point."""
    ways = [math.atan2(m.at[1] - point[1], m.at[0] - point[0]) for m in (a, b)]
    return abs(math.degrees(math.remainder(ways[1] - ways[0], math.tau)))


def _doors(shop: Shop, room: Room) -> list[Door]:
    """Return the doors in the walls of a room."""
    return [door for door in shop.doors.values() if door.passage and room.key in (door.room, door.to)]


def _marks(room: Room, doors: Sequence[Door], wall: tuple[Point, Point]) -> Iterator[Mark]:
    """Go through the corners at both ends of a wall that have a name of their own, and the jambs in it."""
    yield from _corners(room, wall)
    for door in doors:
        jambs = [p for p in door.passage if segment_gap(p, *wall)[0] <= ON_WALL_MM]
        yield from (Mark(f"the {_of_two(p, jambs)} jamb of {door.name}", p) for p in jambs)


def _corners(room: Room, wall: tuple[Point, Point]) -> Iterator[Mark]:
    box = bounds(room.outline)
    for corner in wall:
        sides = _side(corner, (box.left, box.right), 0), _side(corner, (box.bottom, box.top), 1)
        if all(sides):
            yield Mark(f"the {sides[1]} {sides[0]} corner of {room.name}", corner)


def _side(corner: Point, ends: tuple[float, float], axis: int) -> str:
    """Say which side of a box a corner is at along x (0) or y (1); '' at neither."""
    named = NAMES[axis]
    return next((n for n, end in zip(named, ends, strict=True) if abs(corner[axis] - end) < 1.0), "")


def _of_two(p: Point, jambs: Sequence[Point]) -> str:
    """Say which of two jambs one is."""
    box = bounds(jambs)
    axis = int(box.top - box.bottom > box.right - box.left)
    middle = box.middle[axis]
    return NAMES[axis][p[axis] > middle]


NAMES = (("left", "right"), ("lower", "upper"))
