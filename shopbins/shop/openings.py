"""Holes in floors and walls of the file, and what the walls between rooms are made of."""

from __future__ import annotations

import math
from typing import cast

from shopbins import units
from shopbins.geometry.shapes import Point
from shopbins.shop import footprint
from shopbins.shop.fields import Fields
from shopbins.shop.keys import OPENING, OPENING_KINDS, WALL, WALL_OF, names
from shopbins.shop.model import Opening, OpeningKind, Wall, WallOf
from shopbins.shop.rooms import Rooms
from shopbins.shop.ways import Placed


def read_openings(root: Fields, rooms: Rooms, placed: list[Placed]) -> dict[str, Opening]:
    """Return the openings; outlines of those in floors are added to `placed`."""
    found = {}
    for key, fields in root.each("openings", names(OPENING), "opening"):
        room = rooms.named(fields, "room")
        to = rooms.named(fields, "to", outside=True) if fields.has("to") else None
        fields.missing("kind", "hatch, pit, grating, drain, window or pipe hole")
        kind = cast(OpeningKind | None, fields.choice("kind", OPENING_KINDS))
        in_wall = fields.has("jambs")
        jambs = _jambs(fields) if in_wall else None
        place = None if in_wall else footprint.footprint(fields)
        made = Opening(
            key=key,
            name=fields.text("name", key),
            room=room or "",
            kind=kind,
            outline=() if place is None else place.outline,
            jambs=jambs,
            to=to,
            covered=fields.said("covered"),
            guarded=fields.said("guarded"),
            depth_mm=fields.length("depth"),
            load_kg=fields.quantity("load", units.parse_bearing, "a mass or a force"),
            load_class=fields.text("class"),
            note=fields.note(),
            was=fields.texts("was"),
            at=fields.spot,
        )
        if room is not None and kind is not None and (jambs or place is not None):
            found[key] = made
            if place is not None:
                placed.append(Placed(fields, room, made.outline, in_floor=True))
    return found


def _jambs(fields: Fields) -> tuple[Point, Point] | None:
    """Return the two edges of a hole in a wall."""
    read = fields.points("jambs")
    if read is None:
        return None
    if len(read) != 2 or math.dist(read[0][0], read[1][0]) < footprint.LEAST_SIDE_MM:
        fields.notes.add(fields.where("jambs"), f"{fields.called} needs two jambs", "the edges of the hole")
        return None
    return read[0][0], read[1][0]


def read_walls(root: Fields, rooms: Rooms) -> dict[str, Wall]:
    """Return what the walls between rooms are made of."""
    found = {}
    for key, fields in root.each("walls", names(WALL), "wall"):
        fields.missing("between", "[hall, store]")
        fields.missing("of", "metal or masonry")
        between, of = fields.texts("between"), fields.choice("of", WALL_OF)
        note = fields.note()
        unknown = [each for each in between if each not in rooms.written]
        if fields.has("between") and (len(between) != 2 or len(set(between)) != 2 or unknown):
            what = f"no room is called '{unknown[0]}'" if unknown else f"{fields.called} is between two rooms"
            fields.notes.add(fields.where("between"), what, "like between: [hall, store]")
        elif of is not None and len(between) == 2:
            found[key] = Wall(key, (between[0], between[1]), cast(WallOf, of), note, fields.spot)
    return found
