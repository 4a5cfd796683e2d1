"""Workshop floors with a fixed seed: rooms joined by doors, things strewn over them, an aisle kept or not."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Pose, placed, rectangle

BODY = rectangle(1400.0, 800.0)
DOOR_MM = 1200.0
WALL_MM = 150.0


@dataclass(frozen=True)
class Scene:
    """A floor (outlines to unite), its things with masses, and a way to ask for."""

    name: str
    floor: tuple[Outline, ...]
    things: tuple[Outline, ...]
    masses_kg: tuple[float, ...]
    start: Pose
    goal: Pose
    body: Outline = BODY


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    """Return an upright rectangle."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def two_rooms() -> tuple[tuple[Outline, ...], list[tuple[float, float]]]:
    """Return a 12 x 10 m shop of two rooms with one door, and the aisle through it."""
    m = 6000.0
    door = box(m - WALL_MM / 2 - 1, 4400.0, m + WALL_MM / 2 + 1, 4400.0 + DOOR_MM)
    rooms = (box(0, 0, m - WALL_MM / 2, 10000.0), box(m + WALL_MM / 2, 0, 12000.0, 10000.0), door)
    return rooms, [(1500.0, 1500.0), (3000.0, 5000.0), (9000.0, 5000.0), (10500.0, 8500.0)]


def four_rooms() -> tuple[tuple[Outline, ...], list[tuple[float, float]]]:
    """Return a 20 x 15 m shop of four rooms with three doors, and the aisle through them."""
    h, x, y, d = WALL_MM / 2, 10000.0, 7500.0, DOOR_MM
    rooms = (
        box(0, 0, x - h, y - h),
        box(x + h, 0, 20000.0, y - h),
        box(0, y + h, x - h, 15000.0),
        box(x + h, y + h, 20000.0, 15000.0),
        box(x - h - 1, 3000.0, x + h + 1, 3000.0 + d),
        box(14000.0, y - h - 1, 14000.0 + d, y + h + 1),
        box(x - h - 1, 11000.0, x + h + 1, 11000.0 + d),
    )
    aisle = [(1500.0, 1500.0), (5000.0, 3600.0), (14600.0, 3600.0), (14600.0, 11600.0), (2000.0, 11600.0)]
    return rooms, aisle


def strewn(rooms: int, count: int, seed: int, aisle_mm: float = 0.0) -> Scene:
    """Return a shop with `count` things; `aisle_mm` wide a way is kept free of them (0: none is)."""
    floor, aisle = two_rooms() if rooms == 2 else four_rooms()
    rng = random.Random(seed)
    wide, high = (12000.0, 10000.0) if rooms == 2 else (20000.0, 15000.0)
    area = wide * high / count
    largest = min(900.0, 0.75 * math.sqrt(area))
    ends = (aisle[0], aisle[-1])
    things: list[Outline] = []
    masses: list[float] = []
    while len(things) < count:
        length, width = rng.uniform(0.35, 1.0) * largest, rng.uniform(0.3, 0.8) * largest
        turn = rng.choice((0.0, 0.0, 90.0, rng.uniform(0.0, 180.0)))
        x, y = rng.uniform(0, wide), rng.uniform(0, high)
        thing = placed(rectangle(length, width), Pose(x, y, turn))
        r = math.hypot(length, width) / 2
        if any(math.hypot(x - ex, y - ey) < r + 850.0 for ex, ey in ends):
            continue
        if aisle_mm and _to_line((x, y), aisle) < r + aisle_mm / 2:
            continue
        if not any(_inside(thing, room) for room in floor):
            continue
        things.append(thing)
        masses.append(round(length * width * rng.uniform(40, 300) / 1e6, 1))
    kept = f"aisle {aisle_mm:.0f}" if aisle_mm else "no aisle"
    start, goal = Pose(*ends[0], 0.0), Pose(*ends[1], 0.0)
    return Scene(f"{rooms} rooms, {count} things, {kept}", floor, tuple(things), tuple(masses), start, goal)


def _inside(thing: Outline, room: Outline) -> bool:
    (x0, y0), (x1, y1) = room[0], room[2]
    return all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in thing)


def _to_line(point: tuple[float, float], line: list[tuple[float, float]]) -> float:
    """Return the distance of a point from a polyline."""
    best = math.inf
    for (ax, ay), (bx, by) in itertools.pairwise(line):
        dx, dy = bx - ax, by - ay
        t = max(0.0, min(1.0, ((point[0] - ax) * dx + (point[1] - ay) * dy) / (dx * dx + dy * dy)))
        best = min(best, math.hypot(point[0] - ax - t * dx, point[1] - ay - t * dy))
    return best
