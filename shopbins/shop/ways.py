"""Walkways and keep-clears of the file."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from typing import cast

from shopbins.geometry.shapes import Point
from shopbins.shop import footprint
from shopbins.shop.fields import Fields
from shopbins.shop.keys import EQUIPMENT, FIRE_CLASSES, KEEP_CLEAR, MOUNTED, OPPOSITE, WALKWAY, names
from shopbins.shop.model import Equipment, KeepClear, Mounted, Opposite, Walkway
from shopbins.shop.problems import shown
from shopbins.shop.rooms import Rooms
from shopbins.units import UnitError, show_length

MOST_AMPS = 100_000.0
MOST_VOLTS = 100_000.0


@dataclass(frozen=True, slots=True)
class Placed:
    """Something with an outline that belongs into a room, and where in the file it says so.

    `in_floor`: a cover, pit or hatch, which may reach through a doorway.
    """

    fields: Fields
    room: str
    outline: tuple[Point, ...]
    in_floor: bool = False


def read_walkways(root: Fields) -> dict[str, tuple[Walkway, Fields]]:
    """Return the walkways that could be read, each with where it is written."""
    found = {}
    for key, fields in root.each("walkways", names(WALKWAY), "walkway"):
        walkway = _walkway(key, fields)
        if walkway is not None:
            found[key] = (walkway, fields)
    return found


def _walkway(key: str, fields: Fields) -> Walkway | None:
    line = _line(fields)
    fields.missing("width", "800 mm")
    width, least = fields.length("width"), fields.length("least")
    if width is not None and least is not None and least > width:
        what = f"the least width {show_length(least)} is more than the width {show_length(width)}"
        fields.notes.add(fields.where("least"), what, "least is what must be left at the tightest place")
    name, exit_route = fields.text("name", key), fields.flag("exit route")
    note, was = fields.note(), fields.texts("was")
    if line is None or width is None:
        return None
    return Walkway(
        key=key,
        name=name,
        line=line,
        width_mm=width,
        least_mm=least,
        exit_route=exit_route,
        note=note,
        was=was,
        at=fields.spot,
    )


def _line(fields: Fields) -> tuple[Point, ...] | None:
    """Return the centre line."""
    fields.missing("line", "[[500, 500], [5000, 500]]")
    read = fields.points("line")
    if read is None:
        return None
    if len(read) < 2:
        what = f"a line needs two points, this has {len(read)}"
        fields.notes.add(fields.where("line"), what, "the middle of the way, from end to end")
        return None
    for n, ((a, _), (b, node)) in enumerate(itertools.pairwise(read), 1):
        if math.dist(a, b) < footprint.LEAST_SIDE_MM:
            fields.notes.add(node, f"points {n} and {n + 1} are less than 1 mm apart", "leave one out")
            return None
    return tuple(point for point, _ in read)


def _volts(text: str) -> float:
    """Read volts to ground: '230', '230 V'."""
    found = re.fullmatch(r"(\d{1,6}(?:\.\d{1,3})?) ?V?", text.strip(), re.ASCII)
    if found is None or not 0 < float(found.group(1)) <= MOST_VOLTS:
        raise UnitError(f"'{shown(text)}' is no voltage", "volts to ground, like 230 or 230 V")
    return float(found.group(1))


def _mounted(fields: Fields) -> Mounted | None:
    """Return how an extinguisher hangs."""
    hung = fields.sub("mounted", names(MOUNTED), "{top: 1.4 m, bottom: 900 mm, mass: 12 kg}")
    if hung is None:
        return None
    top, bottom = hung.length("top"), hung.length("bottom", zero=True)
    if top is not None and bottom is not None and bottom >= top:
        hint = "both are counted from the floor"
        hung.notes.add(hung.where("bottom"), "the lower edge is not below the top", hint)
    return Mounted(top, bottom, hung.mass("mass"), hung.length("handle"), hung.flag("wheeled"))


def _equipment(fields: Fields) -> Equipment | None:
    """Return the electrical equipment the space is kept clear for."""
    said = fields.sub("equipment", names(EQUIPMENT), "{width: 900 mm, height: 1.8 m}")
    if said is None:
        return None
    return Equipment(
        said.length("width"),
        said.length("height"),
        said.length("door width"),
        said.quantity("amps", _amps, "amps, like 200"),
    )


def _amps(text: str) -> float:
    """Read amps: '200', '200 A'."""
    found = re.fullmatch(r"(\d{1,6}(?:\.\d{1,3})?) ?A?", text.strip(), re.ASCII)
    if found is None or not 0 < float(found.group(1)) <= MOST_AMPS:
        raise UnitError(f"'{shown(text)}' is no current", "amps, like 200 or 200 A")
    return float(found.group(1))


def _classes(fields: Fields) -> tuple[str, ...]:
    """Return which classes of fire an extinguisher is for."""
    given = fields.texts("for")
    for each in given:
        if each.upper() not in FIRE_CLASSES:
            what = f"'{shown(each)}' is no class of fire"
            fields.notes.add(fields.where("for"), what, f"some of {', '.join(FIRE_CLASSES)}, like [A, B]")
    return tuple(dict.fromkeys(each.upper() for each in given if each.upper() in FIRE_CLASSES))


def read_keep_clears(root: Fields, rooms: Rooms, placed: list[Placed]) -> dict[str, KeepClear]:
    """Return the areas that must stay free; their outlines are added to `placed`."""
    found = {}
    for key, fields in root.each("keep clear", names(KEEP_CLEAR), "keep-clear"):
        room = rooms.named(fields, "room")
        place = footprint.footprint(fields)
        fields.missing("why", "switchgear, extinguisher, valve, stairs ...")
        made = KeepClear(
            key=key,
            name=fields.text("name", key),
            room=room or "",
            outline=() if place is None else place.outline,
            why=fields.text("why"),
            height_mm=fields.length("height"),
            volts=fields.quantity("volts", _volts, "volts to ground, like 230"),
            opposite=cast(Opposite | None, fields.choice("opposite", OPPOSITE)),
            mounted=_mounted(fields),
            equipment=_equipment(fields),
            installed=fields.date("installed"),
            worked_on_live=fields.said("worked on live"),
            entrances=fields.whole("entrances", "a number of entrances", "a whole number, like 2", 1, 99),
            for_classes=_classes(fields),
            sign=fields.said("sign"),
            note=fields.note(),
            was=fields.texts("was"),
            at=fields.spot,
        )
        if room is not None and place is not None:
            found[key] = made
            placed.append(Placed(fields, room, made.outline))
    return found
