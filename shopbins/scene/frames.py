"""Poses between a zone's own frame and the shop's; things moved from where the file puts them."""

from __future__ import annotations

from dataclasses import replace

from shopbins.geometry.shapes import Point, Pose, bounds, cos_sin
from shopbins.ledger.model import ThingPlace
from shopbins.shop.model import Fixture, Zone


def to_shop(zone: Zone, x_mm: float, y_mm: float, turn_deg: float = 0.0) -> Pose:
    """Return a pose given in the zone's own frame as it is in the shop frame."""
    frame = zone.frame
    c, s = cos_sin(frame.turn_deg)
    return Pose(
        frame.x_mm + x_mm * c - y_mm * s,
        frame.y_mm + x_mm * s + y_mm * c,
        (frame.turn_deg + turn_deg) % 360.0,
    )


def to_zone(zone: Zone, x_mm: float, y_mm: float, turn_deg: float = 0.0) -> Pose:
    """Return a pose given in the shop frame as it is in the zone's own frame."""
    frame = zone.frame
    c, s = cos_sin(frame.turn_deg)
    dx, dy = x_mm - frame.x_mm, y_mm - frame.y_mm
    return Pose(dx * c + dy * s, dy * c - dx * s, (turn_deg - frame.turn_deg) % 360.0)


def moved_point(place: ThingPlace, about: Point, p: Point) -> Point:
    """Return where a point of a moved thing now is; `about` is its box's centre as the shop file has it."""
    c, s = cos_sin(place.turn_deg)
    dx, dy = p[0] - about[0], p[1] - about[1]
    return place.x_mm + dx * c - dy * s, place.y_mm + dx * s + dy * c


def shifted_fixture(fixture: Fixture, place: ThingPlace) -> Fixture:
    """Return the fixture as it stands at its place in the ledger; turns count from how the file puts it."""
    about = bounds(fixture.outline).middle
    outline = tuple(moved_point(place, about, p) for p in fixture.outline)
    return replace(fixture, outline=outline, room=place.room or fixture.room)


def shifted_zone(zone: Zone, place: ThingPlace) -> Zone:
    """Return the bench or shelf at its place in the ledger; its frame, and so all on it, goes along.

    A zone whose frame was the shop's gets one of its own, turned and shifted as the outline was.
    """
    about = bounds(zone.outline).middle
    outline = tuple(moved_point(place, about, p) for p in zone.outline)
    x, y = moved_point(place, about, (zone.frame.x_mm, zone.frame.y_mm))
    frame = Pose(x, y, (zone.frame.turn_deg + place.turn_deg) % 360.0)
    return replace(zone, outline=outline, frame=frame, room=place.room or zone.room)
