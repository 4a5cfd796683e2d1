"""Zones of the file: benches, shelves with levels, floor spots."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from shopbins.shop import footprint
from shopbins.shop.fields import Fields
from shopbins.shop.keys import CABINETS, LEVEL, WORK, ZONE, ZONE_KINDS, names
from shopbins.shop.model import Level, Room, WorkKind, Zone, ZoneKind
from shopbins.shop.problems import shown
from shopbins.shop.rooms import Rooms
from shopbins.shop.ways import Placed
from shopbins.units import show_length


def read_zones(root: Fields, rooms: Rooms, placed: list[Placed]) -> dict[str, Zone]:
    """Return the zones; their outlines are added to `placed`."""
    found = {}
    for key, fields in root.each("zones", names(ZONE), "zone"):
        zone = _zone(key, fields, rooms)
        if zone is not None:
            found[key] = zone
            placed.append(Placed(fields, zone.room, zone.outline))
    return found


def _zone(key: str, fields: Fields, rooms: Rooms) -> Zone | None:
    room = rooms.named(fields, "room")
    fields.missing("kind", "bench, shelf or floor")
    kind = fields.choice("kind", ZONE_KINDS)
    place = footprint.footprint(fields)
    load = fields.mass("load")
    levels = _levels(fields, kind, load, rooms.good.get(room or ""))
    name, movable, mass = fields.text("name", key), fields.flag("movable"), fields.mass("mass")
    work = cast(WorkKind | None, fields.choice("work", WORK))
    fixed_back, fixed_floor = fields.said("fixed back"), fields.said("fixed floor")
    total, cautions = fields.length("total height"), fields.texts("cautions", 80)
    cabinet, for_truck = fields.choice("cabinet", CABINETS), fields.flag("for truck")
    load_sign, quarantine = fields.said("load sign"), fields.flag("quarantine")
    if total is not None and levels and total < max(level.height_mm for level in levels):
        what = f"total height {show_length(total)}, but its top level is higher"
        fields.notes.add(fields.where("total height"), what, "from the floor to the top of the uprights")
    note, was = fields.note(), fields.texts("was")
    if room is None or kind is None or place is None or not levels:
        return None
    return Zone(
        key=key,
        name=name,
        room=room,
        kind=cast(ZoneKind, kind),
        outline=place.outline,
        levels=levels,
        frame=place.frame,
        size_mm=place.size_mm,
        load_kg=load,
        movable=movable,
        mass_kg=mass,
        fixed_back=fixed_back,
        fixed_floor=fixed_floor,
        total_height_mm=total,
        cabinet=cabinet is not None,
        for_truck=for_truck,
        load_sign=load_sign,
        quarantine=quarantine,
        work=work,
        cautions=cautions,
        note=note,
        was=was,
        at=fields.spot,
    )


def _levels(fields: Fields, kind: str | None, load: float | None, room: Room | None) -> tuple[Level, ...]:
    """Return the zone's levels: those written, else the single one keyed ''."""
    ceiling = None if room is None else room.headroom_mm
    if fields.has("levels"):
        for key in ("height", "headroom"):
            if fields.has(key):
                what = f"{fields.called} has levels and a '{key}' of its own"
                fields.notes.add(fields.where(key), what, f"each level has its {key}; leave this one out")
        if kind == "floor":
            fields.notes.add(
                fields.where("levels"), "a floor spot has no levels", "kind: shelf, or leave them out"
            )
        return _written_levels(fields, ceiling)
    height, headroom = fields.length("height", zero=True), fields.length("headroom")
    if height is None:
        if kind in ("bench", "shelf") and not fields.has("height"):
            also = "" if kind == "bench" else ", or levels: {1: {height: 100 mm}}"
            fields.missing("height", f"900 mm{also}")
            return ()
        if kind != "floor" or fields.has("height"):
            return ()
        height = 0.0
    if headroom is None and ceiling is not None and ceiling > height:
        headroom = ceiling - height
    return (Level(key="", height_mm=height, headroom_mm=headroom, load_kg=load, at=fields.spot),)


def _written_levels(fields: Fields, ceiling: float | None) -> tuple[Level, ...]:
    """Read the levels; headroom that is not said reaches to the next level, or to the ceiling."""
    read: list[tuple[Fields, Level]] = []
    for key, level in fields.each("levels", names(LEVEL), "level"):
        level.missing("height", "100 mm")
        height, headroom = level.length("height", zero=True), level.length("headroom")
        load = level.mass("load")
        if height is not None:
            read.append((level, Level(key, height, headroom, load, level.spot, level.texts("was"))))
    if not read and not len(fields.notes):
        fields.notes.add(
            fields.where("levels"), f"{fields.called} has no level", "like {1: {height: 100 mm}}"
        )
    heights = sorted(each.height_mm for _, each in read)
    return tuple(_under(level, where, heights, ceiling) for where, level in read)


def _under(level: Level, where: Fields, heights: list[float], ceiling: float | None) -> Level:
    """Return a level with its headroom, noting one that is higher than the next level allows."""
    if heights.count(level.height_mm) > 1:
        what = f"level '{shown(level.key)}' is as high as another, {show_length(level.height_mm)}"
        where.notes.add(where.where("height"), what, "each level has its own height")
        return level
    above = [h for h in heights if h > level.height_mm]
    top = above[0] if above else ceiling
    room = None if top is None else top - level.height_mm
    if level.headroom_mm is None:
        if room is None or room <= 0:
            return level
        return replace(level, headroom_mm=room)
    if above and room is not None and level.headroom_mm > room:
        what = f"headroom {show_length(level.headroom_mm)}, but the next level is {show_length(room)} higher"
        where.notes.add(where.where("headroom"), what, "measure from board to the underside above it")
    return level
