"""What can be taken hold of on Draw: everything the shop file describes, with its outline."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.geometry.shapes import Outline, Point, bounds, contains
from shopbins.shop.model import Shop

ORDER = ("doors", "fixtures", "openings", "zones", "keep clear", "walkways", "rooms")
"""What is under the cursor, uppermost first."""
CALLED: Mapping[str, str] = {
    "rooms": "room",
    "doors": "door",
    "walkways": "walkway",
    "keep clear": "keep-clear area",
    "zones": "place",
    "fixtures": "fixture",
    "openings": "opening",
}


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing of the shop file: `outline` to draw and to take hold of, `line` for a walkway's middle."""

    section: str
    key: str
    outline: Outline
    room: str
    line: tuple[Point, ...] = ()

    @property
    def middle(self) -> Point:
        """The middle of its box; of a way the point halfway along it, which a bend does not put beside it."""
        if self.line:
            return halfway(self.line)
        left, bottom, right, top = bounds(self.outline)
        return (left + right) / 2, (bottom + top) / 2


def halfway(line: Sequence[Point]) -> Point:
    """Return the point halfway along a line of legs."""
    left = sum(math.dist(a, b) for a, b in itertools.pairwise(line)) / 2
    for a, b in itertools.pairwise(line):
        leg = math.dist(a, b)
        if leg and left <= leg:
            return a[0] + (b[0] - a[0]) * left / leg, a[1] + (b[1] - a[1]) * left / leg
        left -= leg
    return line[-1]


def things(shop: Shop) -> list[Thing]:
    """Return everything that can be taken hold of, in file order within each section."""
    return list(_things(shop))


def _things(shop: Shop) -> Iterator[Thing]:
    for section in ORDER:
        for key, thing in of_section(shop, section).items():
            if section == "doors":
                yield Thing(section, key, thing.passage, thing.room)
            elif section == "walkways":
                yield Thing(section, key, band(thing.line, thing.width_mm), "", thing.line)
            elif section == "rooms":
                yield Thing(section, key, thing.outline, key)
            elif thing.outline:
                yield Thing(section, key, thing.outline, thing.room)


@dataclass(frozen=True, slots=True)
class Stop:
    """Where tab goes: the middle of a thing, or a corner of a room (counted from 1; 0: its middle)."""

    thing: Thing
    at: Point
    corner: int = 0

    @property
    def mark(self) -> tuple[str, str, int]:
        """What it is of, to find it again after a change."""
        return self.thing.section, self.thing.key, self.corner


def stops(shop: Shop) -> list[Stop]:
    """Return where tab goes in turn: room by room what is in it, row by row, then the room's corners."""
    rooms = list(shop.rooms)
    found = [Stop(thing, thing.middle) for thing in things(shop)]
    for stop in list(found):
        if stop.thing.section == "rooms":
            found += [Stop(stop.thing, at, n) for n, at in enumerate(stop.thing.outline, 1)]

    def turn(stop: Stop) -> tuple[int, int, int, float]:
        room = rooms.index(stop.thing.room) if stop.thing.room in rooms else -1
        return room, stop.corner, -round(stop.at[1] / 600), stop.at[0]

    return sorted(found, key=turn)


def caught(shop: Shop, at: Point, within_mm: float) -> Point:
    """Return where the point of a way goes: into the middle of a door near it, else to whole 10 mm."""
    middles = (thing.middle for thing in things(shop) if thing.section == "doors")
    near = min(middles, key=lambda middle: math.dist(middle, at), default=at)
    if near != at and math.dist(near, at) > within_mm:
        near = (round(at[0] / 10) * 10.0, round(at[1] / 10) * 10.0)
    return near


def of_section(shop: Shop, section: str) -> Mapping[str, Any]:
    """Return the things of a section of the file."""
    return getattr(shop, section.replace(" ", "_"))  # type: ignore[no-any-return]


def band(line: Sequence[Point], width_mm: float) -> Outline:
    """Return the floor the first leg of a way takes, to draw it in hand."""
    (ax, ay), (bx, by) = line[0], line[-1]
    length = math.dist((ax, ay), (bx, by)) or 1.0
    nx, ny = (ay - by) / length * width_mm / 2, (bx - ax) / length * width_mm / 2
    return (ax + nx, ay + ny), (ax - nx, ay - ny), (bx - nx, by - ny), (bx + nx, by + ny)


def under(found: Sequence[Thing], at: Point, within_mm: float) -> list[Thing]:
    """Return what is under a point, uppermost and smallest first; a way where its middle is near."""
    hits = [thing for thing in found if _is_under(thing, at, within_mm)]
    return sorted(hits, key=lambda thing: (ORDER.index(thing.section), _size(thing.outline)))


def _is_under(thing: Thing, at: Point, within_mm: float) -> bool:
    if thing.line:
        return any(_from_leg(at, a, b) <= within_mm for a, b in itertools.pairwise(thing.line))
    left, bottom, right, top = bounds(thing.outline)
    small = min(right - left, top - bottom) < 2 * within_mm and thing.section != "rooms"
    if (
        small
        and left - within_mm <= at[0] <= right + within_mm
        and bottom - within_mm <= at[1] <= top + within_mm
    ):
        return True
    return contains(thing.outline, at)


def _from_leg(at: Point, a: Point, b: Point) -> float:
    length = math.dist(a, b) or 1.0
    share = ((at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1])) / length**2
    share = min(max(share, 0.0), 1.0)
    return math.dist(at, (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share))


def _size(outline: Outline) -> float:
    left, bottom, right, top = bounds(outline)
    return (right - left) * (top - bottom)


# -- clear distances


def clear(outline: Outline, others: Sequence[Outline], way: Point) -> float | None:
    """Return how far an outline's box is from the nearest edge of others in a direction along x or y.

    None where there is nothing that way. What it already overlaps does not count.
    """
    axis = 0 if way[0] else 1
    sign = way[axis]
    box = bounds(outline)
    front = box[axis + 2] if sign > 0 else box[axis]
    low, high = box[1 - axis] + 0.5, box[3 - axis] - 0.5
    best: float | None = None
    for other in others:
        for a, b in zip(other, [*other[1:], other[0]], strict=True):
            crossing = _within(a, b, 1 - axis, low, high)
            if crossing is None:
                continue
            for point in crossing:
                off = (point[axis] - front) * sign
                if off > -0.5 and (best is None or off < best):
                    best = max(off, 0.0)
    return best


def _within(a: Point, b: Point, axis: int, low: float, high: float) -> tuple[Point, Point] | None:
    """Return the part of an edge whose coordinate on an axis lies between two values."""
    if a[axis] > b[axis]:
        a, b = b, a
    if b[axis] < low or a[axis] > high:
        return None
    return _at(a, b, axis, max(low, a[axis])), _at(a, b, axis, min(high, b[axis]))


def _at(a: Point, b: Point, axis: int, value: float) -> Point:
    length = b[axis] - a[axis]
    share = 0.0 if length == 0 else (value - a[axis]) / length
    return a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
