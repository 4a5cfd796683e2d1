"""How far things stand apart, written between them where the plan is near enough to have room for it.

Each gap is the least distance between two outlines, or between one and a wall: what passes between them is
narrower. A figure stands only on free floor, so that what lies behind something else is not told.
"""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.geometry.exact import gap, line_gap
from shopbins.geometry.segments import edges
from shopbins.geometry.shapes import Outline, Point, bounds, contains
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.inks import Ink
from shopbins.tui.canvas.picture import ON_THE_FLOOR_MM, Picture
from shopbins.tui.canvas.projection import Projection
from shopbins.units import show_length

GAPS_TO_MM = 40.0
"""Up to this many mm a column gaps are written."""
LEAST_MM, MOST_MM = 20.0, 2500.0
"""What touches has no gap, and of what is farther apart than this nobody asks."""


def write_gaps(canvas: Canvas, view: Projection, picture: Picture) -> None:
    """Write the gaps round everything on the floor in the window, the smallest first."""
    if view.mm_per_col > GAPS_TO_MM:
        return
    found = sorted(_gaps(view, picture), key=lambda each: each[0])
    for distance_mm, a, b in found:
        _write(canvas, view, show_length(round(distance_mm)), a, b)


def _gaps(view: Projection, picture: Picture) -> Iterator[tuple[float, Point, Point]]:
    bodies = [b.outline for b in picture.bodies if b.base_mm < ON_THE_FLOOR_MM and view.meets(b.box)]
    fixed = [f.outline for f in picture.fixtures] + [z.outline for z in picture.zones if z.kind != "floor"]
    fixed = [each for each in fixed if view.meets(bounds(each))]
    rooms = [room.outline for room in picture.shop.rooms.values() if view.meets(bounds(room.outline))]
    for number, body in enumerate(bodies):
        for other in (*bodies[number + 1 :], *fixed):
            yield from _between(body, other)
        room = next((each for each in rooms if contains(each, body[0])), None)
        for wall in edges(room) if room is not None else ():
            found = line_gap(body, wall)
            if LEAST_MM <= found.distance_mm <= MOST_MM:
                yield found.distance_mm, *_facing(body, wall, found.point_a, found.point_b)


def _between(a: Outline, b: Outline) -> Iterator[tuple[float, Point, Point]]:
    (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = bounds(a), bounds(b)
    if max(bx0 - ax1, ax0 - bx1, by0 - ay1, ay0 - by1) > MOST_MM:
        return
    found = gap(a, b)
    if LEAST_MM <= found.distance_mm <= MOST_MM:
        yield found.distance_mm, *_facing(a, b, found.point_a, found.point_b)


def _facing(a: Outline, b: Outline | tuple[Point, Point], at_a: Point, at_b: Point) -> tuple[Point, Point]:
    """Return the ends of a gap; between level or upright sides in the middle of what they share."""
    (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = bounds(a), bounds(b)
    if abs(at_a[1] - at_b[1]) < 1.0 and min(ay1, by1) > max(ay0, by0):
        y = (min(ay1, by1) + max(ay0, by0)) / 2
        return (at_a[0], y), (at_b[0], y)
    if abs(at_a[0] - at_b[0]) < 1.0 and min(ax1, bx1) > max(ax0, bx0):
        x = (min(ax1, bx1) + max(ax0, bx0)) / 2
        return (x, at_a[1]), (x, at_b[1])
    return at_a, at_b


def _write(canvas: Canvas, view: Projection, said: str, a: Point, b: Point) -> None:
    """Write a gap between its ends, if there is free floor for it and between it and them."""
    (col_a, row_a), (col_b, row_b) = view.cell(a), view.cell(b)
    level = row_a == row_b
    text = f"├ {said} ┤" if level and abs(col_a - col_b) - 1 >= len(said) + 4 else said
    col = (col_a + col_b + 1) // 2 - len(text) // 2
    row = (row_a + row_b) // 2
    if not (0 <= row < canvas.rows and col > 0 and col + len(text) < canvas.cols):
        return
    if level and abs(col_a - col_b) - 1 < len(text):
        return
    ways = range(min(row_a, row_b) + 1, max(row_a, row_b))
    middle = (col_a + col_b) // 2
    air = int(not level)
    open_way = level or (row in ways and all(canvas.is_open(middle, r, 1) for r in ways))
    if open_way and canvas.is_open(col - air, row, len(text) + 2 * air):
        canvas.word(col, row, text, Ink.DOOR)
