"""How a body is steered: what its gear lets it do, and ways of arcs and straights of a smallest radius.

Turning on the spot is skates, rollers on plates, or hanging. A gear of fixed and swivelling wheels turns
about points of its fixed axle's line, no nearer than a smallest radius: its reference point then runs along
the body's own x axis with a curvature of at most 1 / radius, forwards or back. The shortest such ways without
backing are L. E. Dubins', American Journal of Mathematics 79 (1957) 497-516 (from memory). Fixed wheels alone
only roll along that axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shopbins.geometry.shapes import FloorProblem, Pose, cos_sin


@dataclass(frozen=True, slots=True)
class Steering:
    """What a gear allows: any turn (radius 0), curves of a least radius, or no turn at all (infinite)."""

    least_radius_mm: float

    def __post_init__(self) -> None:
        """Refuse a radius that is no radius."""
        if math.isnan(self.least_radius_mm) or self.least_radius_mm < 0:
            raise FloorProblem("steering: the smallest turning radius is not a number of at least 0")

    def __str__(self) -> str:
        """Say it in words."""
        if self.least_radius_mm == 0:
            return "turns on the spot"
        if math.isinf(self.least_radius_mm):
            return "only rolls along its own axis"
        return f"turns on a radius of at least {self.least_radius_mm:g} mm, along its own axis"


ON_THE_SPOT = Steering(0.0)
OWN_AXIS = Steering(math.inf)


@dataclass(frozen=True, slots=True)
class Bit:
    """A piece of a steered way: how far along the axis (back where negative) and how far it turns."""

    along_mm: float
    turn_deg: float


def after(pose: Pose, bit: Bit) -> Pose:
    """Return where a bit of way leads: a straight, or an arc about a point of the axle's line."""
    c, s = cos_sin(pose.turn_deg)
    if bit.turn_deg == 0.0:
        return Pose(pose.x_mm + bit.along_mm * c, pose.y_mm + bit.along_mm * s, pose.turn_deg)
    radius = bit.along_mm / math.radians(bit.turn_deg)
    c1, s1 = cos_sin(pose.turn_deg + bit.turn_deg)
    return Pose(pose.x_mm + radius * (s1 - s), pose.y_mm - radius * (c1 - c), pose.turn_deg + bit.turn_deg)


def parts_of(pose: Pose, bit: Bit, count: int, which: Iterable[int] = ()) -> list[Pose]:
    """Return the poses after each of so many equal parts of a bit, or after `which` of them, the first 1."""
    c, s = cos_sin(pose.turn_deg)
    which = which or range(1, count + 1)
    if bit.turn_deg == 0.0:
        ways = (bit.along_mm * k / count for k in which)
        return [Pose(pose.x_mm + way * c, pose.y_mm + way * s, pose.turn_deg) for way in ways]
    radius = bit.along_mm / math.radians(bit.turn_deg)
    x, y, turn = pose.x_mm - radius * s, pose.y_mm + radius * c, bit.turn_deg / count
    found = []
    for k in which:
        c1, s1 = cos_sin(pose.turn_deg + k * turn)
        found.append(Pose(x + radius * s1, y - radius * c1, pose.turn_deg + k * turn))
    return found


def dubins(start: Pose, goal: Pose, radius_mm: float) -> Iterator[tuple[Bit, ...]]:
    """Yield the arc, straight, arc ways that lead forwards from a pose to another, shortest first.

    Of Dubins' six words the four with a straight; the two of three arcs only help very near the goal.
    """
    found = []
    for first in (1.0, -1.0):
        for last in (1.0, -1.0):
            bits = _word(start, goal, radius_mm, first, last)
            if bits is not None:
                found.append((sum(abs(b.along_mm) for b in bits), bits))
    yield from (bits for _, bits in sorted(found, key=lambda f: f[0]))


def dubins_back(start: Pose, goal: Pose, radius_mm: float) -> Iterator[tuple[Bit, ...]]:
    """Yield the same for going backwards all the way."""
    for bits in dubins(goal, start, radius_mm):
        yield tuple(Bit(-b.along_mm, -b.turn_deg) for b in reversed(bits))


def _word(start: Pose, goal: Pose, radius_mm: float, first: float, last: float) -> tuple[Bit, ...] | None:
    """Return arc, straight, arc with the given hands (1 left, -1 right), if they are tangent to one line."""
    x0, y0 = _centre(start, first * radius_mm)
    x1, y1 = _centre(goal, last * radius_mm)
    dx, dy = x1 - x0, y1 - y0
    apart = math.hypot(dx, dy)
    if first == last:
        straight, heading = apart, math.atan2(dy, dx) if apart > 1e-9 else math.radians(start.turn_deg)
    elif apart >= 2 * radius_mm:
        straight = math.sqrt(max(0.0, apart * apart - 4 * radius_mm * radius_mm))
        heading = math.atan2(dy, dx) + first * math.atan2(2 * radius_mm, straight)
    else:
        return None
    turned_first = _turn(first * (heading - math.radians(start.turn_deg)))
    turned_last = _turn(last * (math.radians(goal.turn_deg) - heading))
    return (
        Bit(turned_first * radius_mm, first * math.degrees(turned_first)),
        Bit(straight, 0.0),
        Bit(turned_last * radius_mm, last * math.degrees(turned_last)),
    )


def _centre(pose: Pose, left_mm: float) -> tuple[float, float]:
    c, s = cos_sin(pose.turn_deg)
    return pose.x_mm - left_mm * s, pose.y_mm + left_mm * c


def _turn(angle: float) -> float:
    """Return an angle within a whole turn, tiny leftovers of rounding as none."""
    angle %= 2 * math.pi
    return 0.0 if 2 * math.pi - angle < 1e-9 else angle
