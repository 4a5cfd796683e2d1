"""Walls that have no thickness: rooms of the shop file that touch each other are not open to each other.

A floor united from rooms and doorways would be open wherever two rooms touch, or overlap by what the shop
file lets pass. There is a wall; only its doorways are open.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from functools import lru_cache

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, bounds
from shopbins.shop.model import Door, Room

THIN_MM = 0.1
"""How thick such a wall is taken to be: half of it on either side."""


def thin_walls(
    rooms: Iterable[Room], doors: Iterable[tuple[Door, Outline]], within_mm: float = 0.0
) -> list[tuple[str, Outline]]:
    """Return, with a name each, the walls between rooms no further apart than a distance, less their doors.

    Each door comes with its passage, as wide as it is to be.
    """
    doorways = tuple(_lengthened(door, passage, within_mm + THIN_MM) for door, passage in doors if passage)
    found = []
    for a, b in itertools.combinations(rooms, 2):
        if bounds(a.outline).grown(within_mm + THIN_MM).touches(bounds(b.outline)):
            walls = _between(a.outline, b.outline, doorways, (within_mm + THIN_MM) / 2)
            found += [(f"the wall between {a.name} and {b.name}", wall) for wall in walls]
    return found


def _lengthened(door: Door, passage: Outline, by_mm: float) -> Outline:
    """Return a passage so much longer at both ends, and no wider."""
    (ax, ay), (bx, by) = door.jambs
    far = by_mm / math.dist(*door.jambs)
    x, y = (by - ay) * far, (ax - bx) * far
    return convex_hull([(px + k * x, py + k * y) for px, py in passage for k in (1, -1)])


@lru_cache(maxsize=64)
def _between(a: Outline, b: Outline, doorways: tuple[Outline, ...], half_mm: float) -> tuple[Outline, ...]:
    import shapely

    one, other = (shapely.Polygon(room).buffer(half_mm, join_style="mitre") for room in (a, b))
    wall = one.intersection(other).difference(shapely.union_all([shapely.Polygon(d) for d in doorways]))
    speck = 8 * half_mm**2  # where two only meet at a corner there is no way
    parts = (p for p in shapely.get_parts(wall) if p.geom_type == "Polygon" and p.area > speck)
    return tuple(tuple((float(x), float(y)) for x, y in p.exterior.coords[:-1]) for p in parts)
