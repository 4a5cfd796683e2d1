"""Where a door is in the walls it goes through, in mm and in cells."""

from __future__ import annotations

from collections.abc import Iterable

from shopbins.geometry.shapes import Point
from shopbins.shop.model import Door
from shopbins.tui.canvas.projection import Projection
from shopbins.tui.canvas.strips import away

LEVEL_MM = 1.0
"""How far two ends of a wall may differ and still be drawn as a level or upright line."""


def passage_sides(door: Door) -> list[tuple[Point, Point]]:
    """Return the door's line in each wall face it goes through."""
    sides = [door.jambs]
    if len(door.passage) == 4:
        a, b = door.jambs
        deep = max(door.passage, key=lambda p: _from_line(p, a, b))
        if _from_line(deep, a, b) > LEVEL_MM:
            nx, ny = away(deep, a, b)
            sides.append(((a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny)))
    return sides


def _from_line(p: Point, a: Point, b: Point) -> float:
    nx, ny = away(p, a, b)
    return float((nx * nx + ny * ny) ** 0.5)


def between(view: Projection, a: Point, b: Point) -> Iterable[tuple[int, int]]:
    """Go through the cells whose middle lies between two jambs; at least one."""
    (x0, y0), (x1, y1) = view.cells(a), view.cells(b)
    if abs(x1 - x0) >= abs(y1 - y0):
        row = view.cell(a)[1] if abs(y1 - y0) < 1 else None
        for col in _whole(x0, x1):
            yield col, row if row is not None else int(y0 + (y1 - y0) * (col + 0.5 - x0) / (x1 - x0))
        return
    column = view.cell(a)[0] if abs(x1 - x0) < 1 else None
    for each in _whole(y0, y1):
        yield (column if column is not None else int(x0 + (x1 - x0) * (each + 0.5 - y0) / (y1 - y0))), each


def _whole(a: float, b: float) -> range:
    first, last = round(min(a, b)), round(max(a, b))
    return range(first, max(last, first + 1))
