"""A doorway as a way out goes through it: as wide as it is clear, and how far it leads. Plain Python."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Point, contains, counter_clockwise
from shopbins.shop.model import Door, Shop

OVERLAP_MM = 1.0


@dataclass(frozen=True, slots=True)
class Doorway:
    """A door's opening in a frame of its own: along the wall from `corner`, and outward from its room.

    It is open from `low_mm` to `high_mm` along the wall, and `through_mm` deep, a millimetre into what is
    beyond it included.
    """

    door: Door
    corner: Point
    along: Point
    outward: Point
    low_mm: float
    high_mm: float
    through_mm: float

    @property
    def width_mm(self) -> float:
        """The width that can be gone through: an open leaf may stand in the opening."""
        return self.high_mm - self.low_mm

    def at(self, along_mm: float, out_mm: float) -> Point:
        """Return a point of the doorway's own frame in the shop frame."""
        return (
            self.corner[0] + self.along[0] * along_mm + self.outward[0] * out_mm,
            self.corner[1] + self.along[1] * along_mm + self.outward[1] * out_mm,
        )

    def middle(self, out_mm: float) -> Point:
        """Return the middle of the opening, so far out."""
        return self.at((self.low_mm + self.high_mm) / 2, out_mm)

    def floor(self, from_mm: float, to_mm: float) -> Outline:
        """Return the floor of the opening between two distances out."""
        ends = ((self.low_mm, from_mm), (self.low_mm, to_mm), (self.high_mm, to_mm), (self.high_mm, from_mm))
        return counter_clockwise(tuple(self.at(u, v) for u, v in ends))

    @property
    def middle_line(self) -> tuple[Point, Point]:
        """The line across the opening, half way through the wall."""
        return self.at(self.low_mm, self.half_mm), self.at(self.high_mm, self.half_mm)

    @property
    def half_mm(self) -> float:
        """How far out the middle of the wall is."""
        return (self.through_mm - OVERLAP_MM) / 2

    def along_of(self, point: Point) -> float:
        """Return how far along the wall a point lies."""
        dx, dy = point[0] - self.corner[0], point[1] - self.corner[1]
        return dx * self.along[0] + dy * self.along[1]

    def out_of(self, point: Point) -> float:
        """Return how far out a point lies."""
        dx, dy = point[0] - self.corner[0], point[1] - self.corner[1]
        return dx * self.outward[0] + dy * self.outward[1]


def doorway(door: Door, shop: Shop) -> Doorway | None:
    """Return a door's opening; None of one that nothing goes through or whose room is not in the shop."""
    room = shop.rooms.get(door.room)
    (ax, ay), (bx, by) = door.jambs
    span = math.dist(*door.jambs)
    clear = min(door.clear_width_mm, span)
    if room is None or clear < 1.0:
        return None
    along = ((bx - ax) / span, (by - ay) / span)
    outward = (along[1], -along[0])
    middle = ((ax + bx) / 2 + outward[0], (ay + by) / 2 + outward[1])
    if contains(room.outline, middle):
        outward = (-outward[0], -outward[1])
    low = _hinge_side(door, along, outward) * (span - clear)
    through = max(
        ((x - ax) * outward[0] + (y - ay) * outward[1] for x, y in door.passage), default=OVERLAP_MM
    )
    return Doorway(door, door.jambs[0], along, outward, low, low + clear, max(through, OVERLAP_MM))


def _hinge_side(door: Door, along: Point, outward: Point) -> float:
    """Return the share of what is not clear that lies at the first jamb: all, none, or half if not known."""
    if door.opens != "hinged" or door.hand is None:
        return 0.5
    into = outward if door.swings_into not in (None, door.room) else (-outward[0], -outward[1])
    left = (into[1], -into[0])  # left of somebody in the room it swings into who faces the door
    second_is_left = along[0] * left[0] + along[1] * left[1] > 0
    return 0.0 if second_is_left == (door.hand == "left") else 1.0
