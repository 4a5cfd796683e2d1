"""What is carried on Draw: where from, where to, how far turned, and the step it becomes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shopbins.geometry.shapes import Outline, Point, bounds
from shopbins.shop.editing import steps
from shopbins.shop.editing.splice import Edit, Put
from shopbins.shop.editing.steps import Move, moved
from shopbins.shop.model import Shop
from shopbins.tui.draw.things import Thing, clear, things

RIGHT, LEFT, UP, DOWN = (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)
SIDES = (RIGHT, LEFT, UP, DOWN)
WAYS = {"left": LEFT, "right": RIGHT, "up": UP, "down": DOWN}
STEPS_MM = (100.0, 10.0, 1.0, 1000.0)


@dataclass(frozen=True, slots=True)
class Held:
    """A thing in hand: shifted and turned about its middle from where the file has it.

    `new` are the values of a thing not yet in the file; `copy`: enter puts a copy, the thing itself stays.
    `pulled` are how far its right, left, upper and lower edges were pulled.
    """

    thing: Thing
    dx_mm: float = 0.0
    dy_mm: float = 0.0
    turn_deg: float = 0.0
    new: tuple[tuple[str, str], ...] | None = None
    copy: bool = False
    pulling: bool = False
    pulled: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)

    @property
    def move(self) -> Move:
        """How a point of the thing goes along."""
        return moved(self.dx_mm, self.dy_mm, self.turn_deg, self.thing.middle)

    @property
    def outline(self) -> Outline:
        """Where it now is."""
        if any(self.pulled):
            left, bottom, right, top = bounds(self.thing.outline)
            r, l_, u, d = self.pulled
            left, bottom, right, top = left - l_, bottom - d, right + r, top + u
            return (left, bottom), (right, bottom), (right, top), (left, top)
        return tuple(self.move(point) for point in self.thing.outline)

    @property
    def at(self) -> Point:
        """The middle of where it now is."""
        left, bottom, right, top = bounds(self.outline)
        return (left + right) / 2, (bottom + top) / 2

    @property
    def changed(self) -> bool:
        """Whether it is elsewhere than the file has it."""
        return bool(self.new is not None or self.dx_mm or self.dy_mm or self.turn_deg or any(self.pulled))

    def shifted(self, shop: Shop, dx_mm: float, dy_mm: float) -> Held:
        """Return it a step further; a door only along its wall."""
        if self.thing.section == "doors":
            a, b = shop.doors[self.thing.key].jambs
            length = math.dist(a, b)
            ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
            along = dx_mm * ux + dy_mm * uy
            dx_mm, dy_mm = along * ux, along * uy
        return replace(self, dx_mm=self.dx_mm + dx_mm, dy_mm=self.dy_mm + dy_mm)

    def pulled_by(self, way: Point, mm: float) -> Held:
        """Return it with one edge pulled out (or pushed in), never thinner than 50 mm."""
        r, l_, u, d = (
            each + (mm if side == way else 0.0) for side, each in zip(SIDES, self.pulled, strict=True)
        )
        found = replace(self, pulled=(r, l_, u, d))
        left, bottom, right, top = bounds(found.outline)
        return found if min(right - left, top - bottom) >= 50.0 and _is_upright(self.thing) else self

    def turned(self, by_deg: float) -> Held:
        """Return it turned further; a door does not turn."""
        if self.thing.section == "doors":
            return self
        return replace(self, turn_deg=(self.turn_deg + by_deg) % 360.0)

    # -- what it is near

    def obstacles(self, shop: Shop) -> list[Outline]:
        """Return what its clear distances are measured to: its room's walls and what else stands there."""
        found = things(shop)
        rooms = [shop.rooms[self.thing.room].outline] if self.thing.room in shop.rooms else []
        beside = [
            each.outline
            for each in found
            if each.room == self.thing.room
            and each.section in ("zones", "fixtures")
            and (each.section, each.key) != (self.thing.section, self.thing.key)
        ]
        if self.thing.section == "rooms":
            return [room.outline for key, room in shop.rooms.items() if key != self.thing.key]
        return rooms + beside

    def clear(self, shop: Shop, way: Point) -> float | None:
        """Return the clear distance in a direction."""
        return clear(self.outline, self.obstacles(shop), way)

    def stepped(self, shop: Shop, way: Point, step_mm: float) -> Held:
        """Return it a step on, flush where something is nearer; never on through its room's wall."""
        free = self.clear(shop, way)
        if free is not None and free <= 0.5 and self._at_wall(shop, way):
            return self
        step = free if free is not None and 0.5 < free < step_mm else step_mm
        if self.pulling:
            return self.pulled_by(way, step)
        return self.shifted(shop, way[0] * step, way[1] * step)

    def _at_wall(self, shop: Shop, way: Point) -> bool:
        room = shop.rooms.get(self.thing.room)
        if room is None or self.thing.section in ("rooms", "doors"):
            return False
        free = clear(self.outline, [room.outline], way)
        return free is not None and free <= 0.5

    def leaving(self, shop: Shop, way: Point, mm: float) -> Held | None:
        """Return it so far from what is in a direction; None where nothing is."""
        free = self.clear(shop, way)
        if free is None:
            return None
        if self.pulling:
            return self.pulled_by(way, free - mm)
        return self.shifted(shop, way[0] * (free - mm), way[1] * (free - mm))

    # -- what it becomes

    def edits(self, text: str, shop: Shop) -> list[Edit]:
        """Return the step that puts it where it is held."""
        section, key = self.thing.section, self.thing.key
        if self.new is not None:
            return steps.added(shop, section, key, dict(self.new) | self._new_place())
        if any(self.pulled):
            return self._resized(text)
        if self.copy:
            return steps.copied(text, shop, section, key, self.move, self.turn_deg)
        return steps.carried(text, shop, section, key, self.move, self.turn_deg)

    def along(self, shop: Shop) -> dict[str, Move]:
        """Return how what lies there goes along, where its places count in the shop's frame."""
        if self.new is not None or self.copy or self.thing.section not in ("zones", "rooms"):
            return {}
        if any(self.pulled):
            return {self.thing.key: lambda point: point}  # the parts stay where they lie
        zone = shop.zones.get(self.thing.key)
        found: dict[str, Move] = {} if zone is not None and zone.size_mm else {self.thing.key: self.move}
        if self.thing.section == "rooms":
            inside = (each for each in shop.zones.values() if each.room == self.thing.key)
            found |= {each.key: self.move for each in inside if not each.size_mm}
        return found

    def _new_place(self) -> dict[str, str]:
        at = steps.point_text(self.move(self.thing.outline[0]))
        turn = f"{self.turn_deg:g}"
        return {"at": at} | ({"turn": turn} if self.turn_deg else {})

    def _resized(self, text: str) -> list[Edit]:
        section, key = self.thing.section, self.thing.key
        outline = self.outline
        written = steps.written(text, section, key)
        if "at" not in written:
            return [Put((section, key, "outline"), steps.points_text(outline))]
        turn = round(float(written.get("turn", "0").split()[0]) / 90) % 4
        left, bottom, right, top = bounds(outline)
        corners = ((left, bottom), (right, bottom), (right, top), (left, top))
        wide, deep = right - left, top - bottom
        length, depth = (wide, deep) if turn % 2 == 0 else (deep, wide)
        return [
            Put((section, key, "at"), steps.point_text(corners[turn])),
            Put((section, key, "size"), steps.point_text((length, depth))),
        ]


def _is_upright(thing: Thing) -> bool:
    """Tell whether it is a rectangle along x and y."""
    xs, ys = {round(x) for x, _ in thing.outline}, {round(y) for _, y in thing.outline}
    return len(thing.outline) == 4 and len(xs) == len(ys) == 2


def new_thing(section: str, key: str, room: str, at: Point, size: Point) -> Thing:
    """Return a thing that is not in the file yet, its middle at a point, in whole 10 mm."""
    x, y = (round((at[i] - size[i] / 2) / 10) * 10 for i in (0, 1))
    outline = ((x, y), (x + size[0], y), (x + size[0], y + size[1]), (x, y + size[1]))
    return Thing(section, key, tuple((float(a), float(b)) for a, b in outline), room)
