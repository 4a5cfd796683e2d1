"""The order in which somebody walks past the zones of a shop, to lay tags out as they are stuck on."""

from __future__ import annotations

from math import dist

from shopbins.geometry.shapes import Outline, Point
from shopbins.shop.model import OUTSIDE, Door, Room, Shop, Zone


def walking_order(shop: Shop) -> list[str]:
    """Return every zone's key in walking order: in at the first exit, nearest zone next, room after room.

    Within a room the next zone is the nearest by its middle, the room's open floor coming last; the next
    room is the one whose door is nearest of all doors seen so far. Rooms no door leads to come last.
    """
    order: list[str] = []
    left = dict(shop.rooms)
    here, room = _entrance(shop)
    while room is not None:
        del left[room.key]
        for zone in _past(shop, room, here):
            order.append(zone.key)
            here = _middle(zone.outline)
        order.append(room.key)
        here, room = _onward(shop, left, here)
    return order


def _entrance(shop: Shop) -> tuple[Point, Room | None]:
    """Return where the walk begins: at a door to outside, an exit for choice, else in the first room."""
    outer = [door for door in shop.doors.values() if door.to == OUTSIDE and door.room in shop.rooms]
    outer.sort(key=lambda door: not door.exit)
    if outer:
        return _middle(outer[0].jambs), shop.rooms[outer[0].room]
    first = next(iter(shop.rooms.values()), None)
    return ((0.0, 0.0) if first is None else _middle(first.outline)), first


def _past(shop: Shop, room: Room, here: Point) -> list[Zone]:
    """Return the room's zones, each the nearest to the one before."""
    left = [zone for zone in shop.zones.values() if zone.room == room.key]
    order: list[Zone] = []
    while left:
        nearest = min(left, key=lambda zone: dist(here, _middle(zone.outline)))
        left.remove(nearest)
        order.append(nearest)
        here = _middle(nearest.outline)
    return order


def _onward(shop: Shop, left: dict[str, Room], here: Point) -> tuple[Point, Room | None]:
    """Return the door gone through next and the room behind it."""
    open_now = [(door, key) for door in shop.doors.values() if (key := _unseen(door, left)) is not None]
    if open_now:
        door, key = min(open_now, key=lambda each: dist(here, _middle(each[0].jambs)))
        return _middle(door.jambs), left[key]
    room = next(iter(left.values()), None)
    return (here if room is None else _middle(room.outline)), room


def _unseen(door: Door, left: dict[str, Room]) -> str | None:
    """Return the one of the door's two rooms not yet walked through, if the other one has been."""
    near, far = door.room in left, door.to in left
    if near == far or OUTSIDE in (door.room, door.to):
        return None
    return door.room if near else door.to


def _middle(points: Outline | tuple[Point, Point]) -> Point:
    """Return the middle of the points' bounding box."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
