"""Where in a place a thing may end up: all of it within the place, its gear clear of everything."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.geometry.convex import convex_parts
from shopbins.geometry.shapes import Box, FloorProblem, Outline, Point, Pose, bounds
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
    kept: dict[Any, Any] | None = None,
    in_line: Point | None = None,
) -> Iterator[Pose]:
    """Go through poses in the place, the roomiest at each turn; with `more` others instead, well apart.

    First all turns among everything that stands there, then with what can be shifted gone. `kept` holds
    the places found so far, by all they rest on. The row and the column of `in_line` come first, where there
    is room: with `more` several spots on them, the nearest to it first.
    """
    work = _Places(ground, zone, thing, hull, {} if kept is None else kept)
    for things in (ground.loose, ()) if ground.loose else ((),):
        for turn in turns:
            places = work.at(turn, things, gap_mm)
            if places is None:
                continue
            points = list(_apart(places, in_line)) if more else [_roomiest(places)]
            if in_line is not None and not more:
                (x, y), (column, row) = points[0], in_line
                points = [*(p for p in ((x, row), (column, y)) if _holds(places, *p)), *points]
            for x, y in points:
                near = round(x, 1), round(y, 1)
                yield Pose(*near, turn) if _holds(places, *near) else Pose(x, y, turn)


def larger_by_mm(zone: Zone, thing: Outline, turn_deg: float | None) -> float:
    """Return by how much a thing is larger than a place of a length and a depth, at its best turn; else 0."""
    if zone.size_mm is None:
        return 0.0
    over = []
    for turn in goal_turns(zone, turn_deg):
        along = math.radians(turn - zone.frame.turn_deg)
        c, s = math.cos(along), math.sin(along)
        x0, y0, x1, y1 = bounds([(x * c - y * s, x * s + y * c) for x, y in thing])
        over.append(max(x1 - x0 - zone.size_mm[0], y1 - y0 - zone.size_mm[1], 0.0))
    return min(over)


LEAST_GAP_MM = 0.05


@dataclass(frozen=True, slots=True)
class _Places:
    """Where a thing and its gear find room in a place, at each turn."""

    ground: Ground
    zone: Zone
    thing: Outline
    hull: Outline
    kept: dict[Any, Any]

    def at(self, turn_deg: float, things: Sequence[Outline], gap_mm: float) -> Any:
        """Return the free places with that gap round it, else with next to none; None where there are none.

        Where there is none with nothing loose about, what stands there is not looked at.
        """
        if things and self._free(turn_deg, (), LEAST_GAP_MM).is_empty:
            return None
        for gap in (gap_mm, LEAST_GAP_MM):
            places = self._free(turn_deg, tuple(things), gap)
            if not places.is_empty:
                return places
        return None

    def _free(self, turn_deg: float, things: tuple[Outline, ...], gap: float) -> Any:
        it = self.ground
        key = (
            "places",
            it.outlines,
            it.holes,
            things,
            self.zone.outline,
            self.thing,
            self.hull,
            turn_deg,
            gap,
        )
        if key not in self.kept:
            self.kept[key] = self._found(turn_deg, things, gap)
        return self.kept[key]

    def _floor(self) -> Any:
        """Return the whole floor; only what is near the place is looked at."""
        from shopbins.kernel.ground import floor_polygon

        key = "floor", self.ground.outlines
        if key not in self.kept:
            self.kept[key] = floor_polygon(list(self.ground.outlines))
        return self.kept[key]

    def _found(self, turn_deg: float, things: tuple[Outline, ...], gap: float) -> Any:
        import shapely

        from shopbins.kernel.overlay import polygonal
        from shopbins.kernel.slices import free_slice

        try:
            inside = free_slice(shapely.Polygon(self.zone.outline), (), self.thing, turn_deg, -0.001)
            if inside.is_empty:
                return inside
            far = max(math.hypot(x, y) for x, y in self.hull) + gap
            about = Box(*inside.bounds).grown(far)
            floor = polygonal(shapely.intersection(self._floor(), shapely.box(*about.grown(far))))
            near = [o for o in (*self.ground.holes, *things) if bounds(o).touches(about)]
            every = [free_slice(floor, near, part, turn_deg, gap) for part in convex_parts(self.hull)]
            clear = shapely.intersection_all(every)
        except FloorProblem:
            return shapely.Polygon()
        return polygonal(shapely.intersection(inside, clear))


GRID = 4
"""So many spots along each side of what is free are looked at besides the roomiest."""


def _apart(places: Any, in_line: Point | None) -> Iterator[Point]:
    """Go through points of the free places: on the row and column of `in_line`, nearest to it first, then in
    a grid, nearest to the edges of the place first.
    """
    x0, y0, x1, y1 = places.bounds
    along = [x0 + (x1 - x0) * i / GRID for i in range(GRID + 1)]
    up = [y0 + (y1 - y0) * j / GRID for j in range(GRID + 1)]
    straight: list[Point] = []
    if in_line is not None:
        column, row = in_line
        straight = [*((x, row) for x in along), *((column, y) for y in up)]
        straight.sort(key=lambda p: math.dist(p, in_line))
    middle = Box(*places.bounds).middle
    grid = sorted(itertools.product(along, up), key=lambda p: -math.dist(p, middle))
    yield from (p for p in (*straight, *grid) if _holds(places, *p))


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
