"""Fixtures of the file: what stands there and is no part."""

from __future__ import annotations

from shopbins import units
from shopbins.shop import footprint
from shopbins.shop.fields import Fields
from shopbins.shop.keys import FIXTURE, names
from shopbins.shop.model import Fixture
from shopbins.shop.rooms import Rooms
from shopbins.shop.ways import Placed


def read_fixtures(root: Fields, rooms: Rooms, placed: list[Placed]) -> dict[str, Fixture]:
    """Return the fixtures; their outlines are added to `placed`."""
    found = {}
    for key, fields in root.each("fixtures", names(FIXTURE), "fixture"):
        room = rooms.named(fields, "room")
        place = footprint.footprint(fields)
        base, height = fields.length("base", zero=True) or 0.0, fields.length("height")
        made = Fixture(
            key=key,
            name=fields.text("name", key),
            room=room or "",
            outline=() if place is None else place.outline,
            base_mm=base,
            top_mm=None if height is None else base + height,
            movable=fields.flag("movable"),
            mass_kg=fields.mass("mass"),
            hot=fields.flag("hot"),
            fire_barrier=fields.flag("fire barrier"),
            load_kg=fields.quantity("load", units.parse_bearing, "a mass or a force"),
            load_class=fields.text("class"),
            note=fields.note(),
            was=fields.texts("was"),
            at=fields.spot,
        )
        if room is not None and place is not None:
            found[key] = made
            placed.append(Placed(fields, room, made.outline, in_floor=made.is_cover))
    return found
