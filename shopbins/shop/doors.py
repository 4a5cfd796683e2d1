"""Doors of the file: jambs on a wall, the passage through it, the floor a leaf sweeps.

Conventions (common practice, no source): the jambs are the two edges of the finished opening. A leaf is as
wide as the opening and hangs flush with the wall of the room it swings into, its thickness inside the
opening while shut. Stand in that room and face the door: hinges on your left make it left-handed. Standing
open at an angle it takes its thickness, and under 90 degrees part of its width, from the opening.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline, Point
from shopbins.shop import passage
from shopbins.shop.fields import Fields
from shopbins.shop.keys import DOOR, HANDS, KEPT, OPENS, names
from shopbins.shop.model import OUTSIDE, Door, Hand, Opens
from shopbins.shop.nodes import Scalar
from shopbins.shop.problems import listed
from shopbins.shop.rooms import Rooms
from shopbins.units import show_length, show_point

WALL_MM = 200.0
BEHIND_MM = 300.0
_ONLY = {"hand": "hinged", "swings into": "hinged", "opens to": "hinged", "hang": "up-and-over"}


@dataclass(frozen=True, slots=True)
class _Gap:
    """Where a door is: its opening and its passage."""

    opening: passage.Opening
    passage: passage.Passage


def read_doors(root: Fields, rooms: Rooms, measured_mm: float) -> dict[str, Door]:
    """Return the doors that could be read."""
    found = {}
    for key, fields in root.each("doors", names(DOOR), "door"):
        door = _door(key, fields, rooms, measured_mm)
        if door is not None:
            found[key] = door
    return found


def _door(key: str, fields: Fields, rooms: Rooms, measured_mm: float) -> Door | None:
    """Read one door; None where what it is or where it goes is not clear (noted)."""
    room = rooms.named(fields, "room")
    to = rooms.named(fields, "to", outside=True)
    if room is not None and room == to:
        fields.notes.add(
            fields.where("to"), f"{fields.called} leads from '{room}' to itself", "name the other"
        )
        to = None
    fields.missing("opens", "one of hinged, sliding, up-and-over, open")
    opens = cast("Opens | None", fields.choice("opens", OPENS))
    for only, way in _ONLY.items():
        if opens is not None and opens != way and fields.has(only):
            fields.notes.add(
                fields.where(only), f"'{only}' is for {way} doors, this is {opens}", "leave it out"
            )
    hand = cast("Hand | None", fields.choice("hand", HANDS))
    if opens == "hinged":
        fields.missing("hand", "left or right, seen from the room it swings into")
    given = _Given(fields)
    gap = _gap(fields, rooms, room, to, given.wall_mm, measured_mm)
    if gap is None or room is None or to is None or opens is None or (opens == "hinged" and hand is None):
        return None
    leaf = _leaf(fields, rooms, gap, (room, to), given, hand, measured_mm) if hand else None
    clear = _clear(fields, gap.opening.width_mm, given.clear_mm, leaf)
    return Door(
        key=key,
        name=given.name or key,
        room=room,
        to=to,
        jambs=gap.opening.jambs,
        clear_width_mm=clear,
        height_mm=given.height_mm,
        opens=opens,
        passage=gap.passage.outline,
        swing=() if leaf is None else passage.swing(leaf),
        hand=hand,
        swings_into=given.swings_into or room if leaf else None,
        opens_deg=given.opens_deg,
        leaf_mm=given.leaf_mm,
        leaf_kg=given.leaf_kg,
        threshold_mm=given.threshold_mm,
        hang_mm=given.hang_mm,
        exit=given.exit,
        emergency=given.emergency,
        kept_shut=given.kept_shut,
        note=given.note,
        was=given.was,
        at=fields.spot,
    )


def _is(fields: Fields, key: str, word: str) -> bool:
    pair = fields.table.pairs.get(key)
    return pair is not None and isinstance(pair[1], Scalar) and pair[1].text == word


class _Given:
    """The plain values of a door."""

    def __init__(self, fields: Fields) -> None:
        self.name = fields.text("name")
        self.clear_mm = fields.length("clear")
        self.height_mm = fields.length("height")
        self.hang_mm = fields.length("hang")
        self.wall_mm = fields.length("wall")
        self.threshold_mm = fields.length("threshold", zero=True)
        leaf = fields.length("leaf", zero=True)
        self.leaf_mm = 40.0 if leaf is None else leaf
        self.leaf_kg = fields.mass("leaf mass")
        self.opens_deg = self._angle(fields)
        self.swings_into = fields.reference("swings into", "a room")
        self.emergency = _is(fields, "exit", "emergency")
        self.exit = self.emergency or fields.flag("exit")
        kept = fields.choice("kept", KEPT)
        self.kept_shut = None if kept is None else kept == "shut"
        self.note = fields.note()
        self.was = fields.texts("was")

    @staticmethod
    def _angle(fields: Fields) -> float:
        angle = fields.angle("opens to")
        if angle is None:
            return 90.0
        if not 1 <= angle <= 180:
            what = f"{fields.called} opens to {angle:g} degrees"
            fields.notes.add(fields.where("opens to"), what, "from 1 to 180, 90 is square to the wall")
            return 90.0
        return angle


def _gap(
    fields: Fields, rooms: Rooms, room: str | None, to: str | None, wall_mm: float | None, measured_mm: float
) -> _Gap | None:
    """Return where the door is, or None after noting why it is nowhere."""
    jambs = _jambs(fields)
    here = rooms.good.get(room or "")
    if jambs is None or here is None:
        return None
    opening = passage.opening_in(here.outline, jambs, max(measured_mm, 1.0))
    if opening is None:
        _note_off_wall(fields, here.outline, here.key, jambs, measured_mm)
        return None
    if to is None:
        return None
    through = _through(fields, rooms, opening, to, wall_mm, measured_mm)
    if through is None:
        return None
    taken = through.outline
    if to == OUTSIDE:  # right behind the wall there is no room either
        taken = passage.through_wall(opening, (WALL_MM if wall_mm is None else wall_mm) + BEHIND_MM).outline
    for other in rooms.good.values():
        if other.key not in (here.key, to) and overlap(taken, other.outline, 2 * passage.OVERLAP_MM):
            what = f"{fields.called} runs into room '{other.key}' on its way to {_place(to)}"
            fields.notes.add(fields.where("to"), what, f"write to: {other.key}, or move the jambs")
            return None
    return _Gap(opening, through)


def _jambs(fields: Fields) -> tuple[Point, Point] | None:
    """Return the two edges of the opening."""
    fields.missing("jambs", "[[0, 1000], [0, 1900]]")
    read = fields.points("jambs")
    if read is None:
        return None
    where = fields.where("jambs")
    if len(read) != 2:
        fields.notes.add(where, f"{fields.called} has {len(read)} jambs", "two points, both on one wall")
        return None
    (first, _), (second, _) = read
    if math.dist(first, second) < 10.0:
        fields.notes.add(
            where, f"the jambs of {fields.called} are the same point", "the two edges of the opening"
        )
        return None
    return first, second


def _note_off_wall(
    fields: Fields, outline: Outline, room: str, jambs: tuple[Point, Point], measured_mm: float
) -> None:
    """Say which jamb is on no wall of the room, or that the two are on different walls."""
    which, off, foot = passage.off_the_wall(outline, jambs)
    where = fields.where("jambs")
    if off <= max(measured_mm, 1.0):
        what = f"the jambs of {fields.called} are on two different walls of '{room}'"
        fields.notes.add(where, what, "both on one straight wall")
        return
    what = (
        f"jamb {show_point(*jambs[which])} of {fields.called} is {show_length(off)} from any wall of '{room}'"
    )
    fields.notes.add(where, what, f"the nearest wall is at {show_point(*foot)}")


def _through(
    fields: Fields, rooms: Rooms, opening: passage.Opening, to: str, wall_mm: float | None, measured_mm: float
) -> passage.Passage | None:
    """Return the passage to the other room, or through the wall to outside."""
    if to == OUTSIDE:
        return passage.through_wall(opening, WALL_MM if wall_mm is None else wall_mm)
    other = rooms.good.get(to)
    if other is None:
        return None
    found, distance = passage.to_room(opening, other.outline)
    where = fields.where("jambs")
    if found is None:
        if distance is None:
            what = f"{fields.called} does not reach '{to}': no wall of it is opposite both jambs"
            fields.notes.add(where, what, "move the jambs or the room")
        else:
            what = f"{fields.called} does not reach '{to}': it is {show_length(distance)} away"
            fields.notes.add(where, what, f"walls may be up to {show_length(passage.THICKEST_WALL_MM)} thick")
        return None
    if wall_mm is not None and distance is not None and abs(wall_mm - distance) > 2 * measured_mm + 1:
        what = f"wall of {show_length(wall_mm)}, but '{to}' begins {show_length(distance)} away"
        fields.notes.add(fields.where("wall"), what, "between rooms the outlines say it; leave it out")
    return found


def _leaf(
    fields: Fields,
    rooms: Rooms,
    gap: _Gap,
    sides: tuple[str, str],
    given: _Given,
    hand: Hand,
    measured_mm: float,
) -> passage.Leaf | None:
    """Return a hinged leaf where it hangs; None (noted) where it cannot swing."""
    into = given.swings_into or sides[0]
    if into not in sides:
        what = (
            f"{fields.called} joins {_place(sides[0])} and {_place(sides[1])}, and cannot swing into '{into}'"
        )
        fields.notes.add(fields.where("swings into"), what, f"write {listed(sides)}")
        return None
    nx, ny = gap.opening.outward
    if into == sides[0]:
        leaf = passage.hung(gap.opening.jambs, (-nx, -ny), hand == "left", given.leaf_mm, given.opens_deg)
    else:
        leaf = passage.hung(gap.passage.far, (nx, ny), hand == "left", given.leaf_mm, given.opens_deg)
    room = rooms.good.get(into)
    angle = None if room is None else passage.hits_wall(leaf, room.outline, max(measured_mm, 1.0))
    if angle is not None:
        what = f"the leaf of {fields.called} meets a wall of '{into}' at {angle:g} degrees"
        where = fields.where("opens to") if fields.has("opens to") else fields.at
        fields.notes.add(where, what, "check hand, 'opens to' and 'swings into'")
    return leaf


def _clear(fields: Fields, width_mm: float, stated_mm: float | None, leaf: passage.Leaf | None) -> float:
    """Return the clear width: as stated, else what the leaf leaves of the opening."""
    if stated_mm is None:
        return width_mm if leaf is None else passage.clear_width_mm(leaf)
    if stated_mm > width_mm + 0.5:
        what = f"clear {show_length(stated_mm)}, but the jambs are {show_length(width_mm)} apart"
        fields.notes.add(fields.where("clear"), what, "measure again: clear is never more than the opening")
    return stated_mm


def _place(key: str) -> str:
    return key if key == OUTSIDE else f"'{key}'"
