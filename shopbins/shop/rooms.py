"""Rooms of the file, and finding the one another thing names."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import cast

from shopbins import units
from shopbins.shop import footprint
from shopbins.shop.fields import Fields
from shopbins.shop.keys import ANCHOR, HAZARDS, ROOM, SLOPE, names
from shopbins.shop.model import OUTSIDE, Anchor, FireHazard, Room, Slope
from shopbins.shop.nodes import Scalar
from shopbins.shop.problems import did_you_mean, listed, shown


@dataclass(slots=True)
class Rooms:
    """The rooms that could be read, and the keys of all that are written."""

    good: dict[str, Room] = field(default_factory=dict)
    written: list[str] = field(default_factory=list)

    def named(self, fields: Fields, key: str, *, outside: bool = False) -> str | None:
        """Return the room key that `fields` gives under `key`, noted where there is no such room."""
        name = fields.reference(key, "a room")
        if name is None:
            if not fields.has(key):
                fields.missing(key, self._example(outside))
            return None
        known = [*self.written, OUTSIDE] if outside else self.written
        if name in known:
            return name
        hint = did_you_mean(name, known, f"rooms are {listed(known)}" if known else "")
        fields.notes.add(fields.where(key), f"no room is called '{shown(name)}'", hint)
        return None

    def _example(self, outside: bool) -> str:
        return OUTSIDE if outside else self.written[0] if self.written else "a room"


def read_rooms(root: Fields) -> Rooms:
    """Return the rooms; at least one is needed."""
    rooms = Rooms()
    for key, fields in root.each("rooms", names(ROOM), "room"):
        rooms.written.append(key)
        if key == OUTSIDE:
            fields.notes.add(fields.at, "a room cannot be called 'outside'", "that is where exits lead")
        room = _room(key, fields)
        if room is not None:
            rooms.good[key] = room
    if not rooms.written and not (root.has("rooms") and len(root.notes)):
        example = "rooms: {shed: {at: [0, 0], size: [6000, 4000]}}"
        root.notes.add(root.where("rooms"), "the shop has no room", f"add {example}")
    return rooms


def _room(key: str, fields: Fields) -> Room | None:
    """Read one room; None where it has no good outline."""
    place = footprint.footprint(fields)
    room = Room(
        key=key,
        name=fields.text("name", key),
        outline=() if place is None else place.outline,
        headroom_mm=fields.length("headroom"),
        sprinklers_mm=fields.length("sprinklers"),
        floor_load_kn_m2=fields.quantity("floor load", units.parse_area_load, "a floor load"),
        point_load_kn=fields.quantity("point load", units.parse_force, "a force"),
        slope=_slope(fields),
        hot_work=fields.flag("hot work"),
        people=fields.whole("people", "a number of people", "a whole number, like 12"),
        fire_hazard=cast(FireHazard | None, fields.choice("fire hazard", HAZARDS)),
        outdoor=_outdoor(fields),
        below_ground=fields.said("below ground"),
        built=fields.year("built"),
        even=fields.said("even"),
        void=fields.said("void"),
        anchors=_anchors(fields),
        note=fields.note(),
        was=fields.texts("was"),
        at=fields.spot,
    )
    return None if place is None else room


def _anchors(fields: Fields) -> tuple[Anchor, ...]:
    """Read what a line may be made fast to: {ring: {at: [300, 2000], height: 400, load: 10 kN}}."""
    found = []
    for key, each in fields.each("anchors", names(ANCHOR), "anchor"):
        each.missing("at", "[300, 2000]")
        at = each.point("at")
        load = each.quantity("load", units.parse_force, "a force, like 10 kN")
        if at is not None:
            found.append(Anchor(key, at, each.length("height", zero=True), load))
    return tuple(found)


def _outdoor(fields: Fields) -> bool:
    """Tell whether the room is a yard, which has no ceiling."""
    outdoor = fields.flag("outdoor")
    if outdoor and fields.has("headroom"):
        what = f"{fields.called} is outdoor and has a headroom"
        fields.notes.add(fields.where("headroom"), what, "leave one of the two out")
    return outdoor


LEVEL = ("none", "level")


def _slope(fields: Fields) -> Slope | None:
    """Read how the floor falls, and towards where (degrees, 0 along x); 'none': it is told to be level."""
    if fields.has("slope") and isinstance(told := fields.where("slope"), Scalar) and told.text in LEVEL:
        fields.node("slope")
        return Slope(0.0, 0.0)
    slope = fields.sub("slope", names(SLOPE), "{fall: 1 in 25, towards: 270}")
    if slope is None:
        return None
    slope.missing("fall", "1 in 25")
    slope.missing("towards", "270")
    fall = slope.quantity("fall", units.parse_slope, "a slope, like 1 in 25")
    towards = slope.angle("towards")
    return None if fall is None or towards is None else Slope(fall, towards % 360.0)
