"""Where in a place a thing may end up: all of it within the place, its gear clear of everything."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.geometry.shapes import FloorProblem, Outline, Pose
from shopbins.moves.route import Ground
from shopbins.shop.model import Zone


def goal_turns(zone: Zone, turn_deg: float | None) -> list[float]:
    """Return the turns to try, in the shop frame: the one asked for, else along the place's own sides."""
    if turn_deg is not None:
        return [turn_deg % 360.0]
    own = zone.frame.turn_deg
    if zone.size_mm is None:
        edges = zip(zone.outline, (*zone.outline[1:], zone.outline[0]), strict=True)
        a, b = max(edges, key=lambda e: math.dist(*e))
        own = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return [(own + quarter) % 360.0 for quarter in (0.0, 180.0, 90.0, 270.0)]


def goal_poses(
    ground: Ground,
    zone: Zone,
    thing: Outline,
    hull: Outline,
    turns: Sequence[float],
    gap_mm: float,
    *,
    more: bool = False,
) -> Iterator[Pose]:
    """Go through poses in the place, the roomiest at each turn; with `more` others instead, well apart.

    First all turns among everything that stands there, then with what can be shifted gone.
    """
    for things in (ground.loose, ()) if ground.loose else ((),):
        for turn in turns:
            yield from _poses(ground, zone, thing, hull, turn, things, gap_mm, more)


def _poses(
    ground: Ground,
    zone: Zone,
    thing: Outline,
    hull: Outline,
    turn_deg: float,
    things: Sequence[Outline],
    gap_mm: float,
    more: bool,
) -> Iterator[Pose]:
    import shapely

    from shopbins.kernel.ground import floor_polygon
    from shopbins.kernel.overlay import polygonal
    from shopbins.kernel.slices import free_slice

    obstacles = [*ground.holes, *things]
    floor = floor_polygon(list(ground.outlines))
    for gap in (gap_mm, 0.05):
        try:
            inside = free_slice(shapely.Polygon(zone.outline), (), thing, turn_deg, -0.001)
            clear = free_slice(floor, obstacles, hull, turn_deg, gap)
        except FloorProblem:
            return
        places = polygonal(shapely.intersection(inside, clear))
        if places.is_empty:
            continue
        points = list(_apart(places)) if more else [_roomiest(places)]
        for x, y in points:
            near = round(x, 1), round(y, 1)
            yield Pose(*near, turn_deg) if _holds(places, *near) else Pose(x, y, turn_deg)
        return


GRID = 4
"""So many spots along each side of what is free are looked at besides the roomiest."""


def _apart(places: Any) -> Iterator[tuple[float, float]]:
    """Go through points of the free places in a grid, nearest to the edges of the place first."""
    x0, y0, x1, y1 = places.bounds
    points = [
        (x0 + (x1 - x0) * i / GRID, y0 + (y1 - y0) * j / GRID)
        for i in range(GRID + 1)
        for j in range(GRID + 1)
    ]
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    points.sort(key=lambda p: -math.dist(p, middle))
    yield from (p for p in points if _holds(places, *p))


def _roomiest(places: Any) -> tuple[float, float]:
    """Return an inner point of the largest part, as far from its edge as it gets."""
    import shapely

    from shopbins.kernel.overlay import as_parts

    part = max(as_parts(places), key=lambda p: p.area)
    line = shapely.maximum_inscribed_circle(part, 1.0)
    x, y = shapely.get_coordinates(line)[0]
    return float(x), float(y)


def _holds(places: Any, x: float, y: float) -> bool:
    import shapely

    return bool(shapely.intersects_xy(places, x, y))
