"""A way cut into legs: one heading on one room's floor, with every pose on it and what downhill is there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from shopbins.geometry.shapes import Pose, between, turn_between
from shopbins.moves.route import room_at
from shopbins.moves.tipping import Arc
from shopbins.scene.scene import Scene
from shopbins.shop.model import Room, Slope

STEP_MM, STEP_DEG = 100.0, 5.0
SAME_WAY_DEG = 15.0


@dataclass(frozen=True, slots=True)
class Leg:
    """Poses of one heading over one room's floor. `heading_deg` None: it turns where it stands.

    `fall` is how much the floor falls per mm run along the heading, below 0: it rises. `turned_deg` are
    the least and the greatest turn of the thing on it, unwound, as the way has them.
    """

    room: Room
    heading_deg: float | None
    poses: tuple[Pose, ...]

    @property
    def slope(self) -> Slope | None:
        """How the floor falls there, None where level or not told."""
        return self.room.slope if self.room.slope is not None and self.room.slope.fall > 0 else None

    @property
    def length_mm(self) -> float:
        """How far it goes."""
        return sum(math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) for a, b in itertools.pairwise(self.poses))

    @property
    def fall(self) -> float:
        """How much the floor falls along it per mm run, below 0 where it rises."""
        slope = self.slope
        if slope is None or self.heading_deg is None:
            return 0.0
        along = slope.fall * math.cos(math.radians(slope.towards_deg - self.heading_deg))
        return 0.0 if abs(along) < 1e-12 else along

    @property
    def way(self) -> Literal["down", "level", "up"]:
        """Whether it goes down, on the level (or across a slope), or up."""
        return "down" if self.fall > 0 else "up" if self.fall < 0 else "level"

    @property
    def turned_deg(self) -> tuple[float, float]:
        """The least and the greatest turn of the thing on it."""
        turns = [p.turn_deg for p in self.poses]
        return min(turns), max(turns)

    @property
    def downhill(self) -> Arc:
        """The directions that downhill takes in the thing's own frame."""
        slope = self.slope
        if slope is None:
            return 0.0, 0.0
        least, most = self.turned_deg
        return slope.towards_deg - most, slope.towards_deg - least

    @property
    def words(self) -> str:
        """Say which way it goes: 'up 1 in 25', 'level', 'turning'."""
        from shopbins.units import show_slope

        if self.heading_deg is None:
            return "turning"
        if not self.fall:
            return "level" if self.slope is None else f"across {show_slope(self.slope.fall)}"
        return f"{self.way} {show_slope(abs(self.fall))}"


@dataclass(frozen=True, slots=True)
class Turn:
    """A turn where it stands, over all its poses; `at` is the place of its first leg on the way."""

    poses: tuple[Pose, ...]
    at: int

    @property
    def pose(self) -> Pose:
        """The pose after it."""
        return self.poses[-1]

    @property
    def by_deg(self) -> float:
        """By how much it turns, either way."""
        return self.poses[-1].turn_deg - self.poses[0].turn_deg


def turns_of(legs: Sequence[Leg]) -> tuple[Turn, ...]:
    """Return the turns of a way where it stands, in order."""
    found = []
    for turning, some in itertools.groupby(enumerate(legs), key=lambda each: each[1].heading_deg is None):
        alike = list(some)
        if turning:
            found.append(Turn(tuple(pose for _, leg in alike for pose in leg.poses), alike[0][0]))
    return tuple(turn for turn in found if abs(turn.by_deg) >= LEAST_TURN_DEG)


LEAST_TURN_DEG = 1.0
"""Less than this is no turn, but how well gear is set: own figure."""


def legs_of(scene: Scene, path: Sequence[Pose], rooms: Sequence[str]) -> tuple[Leg, ...]:
    """Return the legs of a way, in order; what lies in a doorway belongs to the room before it."""
    found: list[tuple[Room, float | None, list[Pose]]] = []
    room = None
    for a, b, heading in _pieces(path):
        middle = between(a, b, 0.5)
        room = room_at(scene.shop, (middle.x_mm, middle.y_mm), rooms) or room
        if room is None:
            room = scene.shop.rooms[rooms[0]]
        if found and found[-1][0] is room and _same(found[-1][1], heading):
            found[-1][2].append(b)
        else:
            found.append((room, heading, [a, b]))
    return tuple(Leg(where, heading, tuple(poses)) for where, heading, poses in found)


def _same(a: float | None, b: float | None) -> bool:
    if a is None or b is None:
        return a is b
    return abs(turn_between(a, b)) <= SAME_WAY_DEG


def _pieces(path: Sequence[Pose]) -> Iterator[tuple[Pose, Pose, float | None]]:
    """Go through a way in pieces of 100 mm or 5 degrees at most, each with its heading."""
    for a, b in itertools.pairwise(path):
        far = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        turn = abs(b.turn_deg - a.turn_deg)
        if far < 1.0 and turn < 0.01:
            continue
        heading = None if far < 1.0 else math.degrees(math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm))
        steps = max(1, math.ceil(far / STEP_MM), math.ceil(turn / STEP_DEG))
        cut = [between(a, b, k / steps) for k in range(steps + 1)]
        yield from ((p, q, heading) for p, q in itertools.pairwise(cut))
