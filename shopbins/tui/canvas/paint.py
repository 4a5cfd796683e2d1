"""Draw a shop on a canvas: rooms, doors, ways, zones with their fullness, things as they stand.

`paint` makes the picture that changes only with the state or the window; `paint_carried` and
`paint_marks` draw over a copy of it, so a step while carrying costs a copy and one outline.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise

from shopbins.geometry.shapes import Outline, Point, centroid
from shopbins.scene.standing import Standing
from shopbins.shop.model import Door, Fixture, Zone
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.doorlines import LEVEL_MM, between, passage_sides
from shopbins.tui.canvas.fullness import FULL_FROM, Fullness
from shopbins.tui.canvas.inks import GRADE_GLYPH, GRADE_INK, Behind, Ink
from shopbins.tui.canvas.labels import word_inside, write_labels
from shopbins.tui.canvas.overview import RING
from shopbins.tui.canvas.picture import Picture
from shopbins.tui.canvas.projection import Projection
from shopbins.tui.canvas.strips import strip_outline
from shopbins.tui.troubles import Trouble, marked


def paint(picture: Picture, view: Projection, troubles: Iterable[Trouble] = ()) -> Canvas:
    """Draw everything but the cursor and what is carried; no name is written over a trouble's mark."""
    canvas = Canvas(view.cols, view.rows)
    shop = picture.shop
    for way in shop.walkways.values():
        _way(canvas, view, way.line, way.width_mm)
    for zone in (z for z in picture.zones if z.kind == "floor"):
        _zone(canvas, view, zone, picture.fullness.get(zone.key))
    for keep in shop.keep_clear.values():
        canvas.fill(view.all_cells(keep.outline), "╱", Ink.KEEP_CLEAR, Behind.KEEP_CLEAR)
        canvas.outline(_dots(view, keep.outline), Ink.KEEP_CLEAR, every=3)
    for fixture in picture.fixtures:
        _fixture(canvas, view, fixture)
    for zone in (z for z in picture.zones if z.kind != "floor"):
        _zone(canvas, view, zone, picture.fullness.get(zone.key))
    for body in picture.bodies:
        if view.meets(body.box):
            _thing(canvas, view, body)
    for room in shop.rooms.values():
        _walls(canvas, view, room.outline)
    for door in shop.doors.values():
        _door(canvas, view, door)
    paint_troubles(canvas, view, troubles)
    write_labels(canvas, view, picture)
    return canvas


def paint_carried(canvas: Canvas, view: Projection, outline: Outline, stop: bool, name: str) -> None:
    """Draw the thing in hand over what stands there."""
    ink = Ink.CARRIED_STOP if stop else Ink.CARRIED
    cells = view.all_cells(outline)
    canvas.dark(cells)
    canvas.fill(cells, "▓" if stop else "▒", ink, Behind.CARRIED)
    canvas.outline(_dots(view, outline), ink)
    if not word_inside(canvas, view, outline, name, ink):
        canvas.word(*_beside_words(canvas, *view.cell(centroid(outline))), "✛", ink)


def paint_lit(canvas: Canvas, view: Projection, picture: Picture, keys: Collection[str]) -> None:
    """Draw the things at hand as such, over a picture that has them."""
    for body in picture.bodies:
        if body.key in keys:
            _thing(canvas, view, body, lit=True)


def paint_marks(canvas: Canvas, view: Projection, marks: Iterable[tuple[Point, str]]) -> None:
    """Draw a mark where each finding points, the worst last so that it stays on top."""
    order = {"note": 0, "correct": 1, "stop": 2}
    cells = [(_beside_words(canvas, *view.cell(at)), grade) for at, grade in marks]
    for cell, grade in sorted(cells, key=lambda m: order[m[1]]):
        canvas.word(*cell, GRADE_GLYPH[grade], GRADE_INK[grade])


def _beside_words(canvas: Canvas, col: int, row: int) -> tuple[int, int]:
    """Return the nearest cell that no name stands in or touches; the cell itself where none is near."""
    free = ((col + c, row + r) for c, r in RING if canvas.clear_words(col + c - 1, row + r, 3))
    return next(free, (col, row))


def paint_troubles(canvas: Canvas, view: Projection, troubles: Iterable[Trouble]) -> None:
    """Write the number of each trouble at its spot, the worst last so that it stays on top."""
    for each in reversed(marked(tuple(troubles))):
        if each.at_mm is not None and view.shows(each.at_mm):
            canvas.sign(*view.cell(each.at_mm), each.sign, *each.look)


def _dots(view: Projection, outline: Iterable[Point]) -> list[Point]:
    return [view.dots(p) for p in outline]


def _way(canvas: Canvas, view: Projection, line: Sequence[Point], width_mm: float) -> None:
    """Strew a walkway with dots along its width, at least one cell wide."""
    half = max(width_mm / 2, view.mm_per_col * 0.75)
    for start, end in pairwise(line):
        band = strip_outline(start, end, half)
        if band:
            canvas.fill(view.all_cells(band), "·", Ink.WALKWAY, Behind.WALKWAY)


def _zone(canvas: Canvas, view: Projection, zone: Zone, full_of: Fullness | None) -> None:
    full = full_of is not None and (bool(full_of.over) or full_of.share >= FULL_FROM)
    ground = Behind.ZONE_FULL if full else Behind.ZONE
    canvas.fill(view.all_cells(zone.outline), " ", Ink.ZONE, ground)
    ink = Ink.ZONE_FULL if full else Ink.ZONE
    if zone.kind == "floor":
        canvas.outline(_dots(view, zone.outline), ink, every=2)
    else:
        _box(canvas, view, zone.outline, ink)


def _fixture(canvas: Canvas, view: Projection, fixture: Fixture) -> None:
    canvas.fill(view.all_cells(fixture.outline), "▚" if fixture.movable else "▒", Ink.FIXTURE, Behind.FIXTURE)
    _box(canvas, view, fixture.outline, Ink.FIXTURE)


def _thing(canvas: Canvas, view: Projection, body: Standing, lit: bool = False) -> None:
    cells = view.all_cells(body.outline)
    canvas.dark(cells)
    canvas.fill(cells, "░", Ink.SHADE, Behind.LIT if lit else Behind.THING)
    canvas.outline(_dots(view, body.outline), Ink.LIT if lit else Ink.THING)


def _box(canvas: Canvas, view: Projection, outline: Outline, ink: Ink, heavy: bool = False) -> None:
    """Draw an outline with box lines where it runs level or upright, with dots where it does not."""
    before = outline[-1]
    for point in outline:
        if _straight(before, point):
            canvas.line(*_ends(view, before, point), ink, heavy)
        else:
            canvas.dotted(view.dots(before), view.dots(point), ink)
        before = point


def _straight(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) <= LEVEL_MM or abs(a[1] - b[1]) <= LEVEL_MM


def _ends(view: Projection, a: Point, b: Point) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the end cells of a straight edge, made exactly level or upright."""
    (c0, r0), (c1, r1) = view.cell(a), view.cell(b)
    if abs(a[0] - b[0]) <= LEVEL_MM:
        return (c0, r0), (c0, r1)
    return (c0, r0), (c1, r0)


def _walls(canvas: Canvas, view: Projection, outline: Outline) -> None:
    _box(canvas, view, outline, Ink.WALL, heavy=True)


def _door(canvas: Canvas, view: Projection, door: Door) -> None:
    """Open the wall where the door is; show its leaf's swing, and an exit by a word where there is room."""
    ink = Ink.EXIT if door.exit else Ink.DOOR
    a, b = door.jambs
    level = abs(a[0] - b[0]) >= abs(a[1] - b[1])
    glyph = "╌" if level else "╎"
    if door.opens == "open":
        glyph = " "
    elif door.opens in ("sliding", "up-and-over"):
        glyph = "═" if level else "║"
    for near, far in passage_sides(door):
        for col, row in between(view, near, far):
            canvas.cut(col, row)
            canvas.word(col, row, glyph, ink)
    if door.swing:
        canvas.outline(_dots(view, door.swing), Ink.SWING)
