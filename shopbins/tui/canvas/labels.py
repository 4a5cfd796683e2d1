"""The words on the plan: each where it fits and nothing else stands, or not at all."""

from __future__ import annotations

from collections.abc import Iterable

from rich.cells import cell_len, set_cell_size

from shopbins.geometry.shapes import centroid, contains
from shopbins.shop.model import Door, Outline, Zone
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.fullness import FULL_FROM, Fullness, fullness_glyph
from shopbins.tui.canvas.inks import Ink
from shopbins.tui.canvas.picture import Picture
from shopbins.tui.canvas.projection import Projection
from shopbins.tui.canvas.strips import away


def write_labels(canvas: Canvas, view: Projection, picture: Picture) -> None:
    """Write what fits: exits, things, zones with fullness, fixtures, rooms; the earlier ones win."""
    for door in picture.shop.doors.values():
        if door.exit:
            _exit_label(canvas, view, door)
    for body in reversed(picture.bodies):
        word_inside(canvas, view, body.outline, body.name, Ink.LABEL)
    for zone in picture.zones:
        _zone_label(canvas, view, zone, picture.fullness.get(zone.key))
    for fixture in picture.fixtures:
        word_inside(canvas, view, fixture.outline, fixture.name, Ink.FIXTURE, whole=False)
    for room in picture.shop.rooms.values():
        _room_label(canvas, view, room.outline, room.name)


def _exit_label(canvas: Canvas, view: Projection, door: Door) -> None:
    (x0, y0), (x1, y1) = door.jambs
    mid = (x0 + x1) / 2, (y0 + y1) / 2
    dx, dy = (0.0, 0.0)
    for point in door.passage:
        nx, ny = away(point, *door.jambs)
        if nx * nx + ny * ny > dx * dx + dy * dy:
            dx, dy = nx, ny
    col, row = view.cell(mid)
    if abs(dx) > abs(dy):
        places = [(col + (1 if dx > 0 else -4), row)]
    else:
        places = [(col - 2, row + (1 if dy < 0 else -1))]
    for place in (*places, (col - 2, row)):
        if _on_grid(canvas, *place, 4):
            canvas.word(*place, "exit", Ink.EXIT)
            return


def _on_grid(canvas: Canvas, col: int, row: int, width: int) -> bool:
    return 0 <= row < canvas.rows and col >= 0 and col + width <= canvas.cols


def _zone_label(canvas: Canvas, view: Projection, zone: Zone, full: Fullness | None) -> None:
    ink = Ink.ZONE_FULL if full is not None and (full.over or full.share >= FULL_FROM) else Ink.ZONE
    mark = fullness_glyph(full)
    for text in (f"{zone.name} {mark}".strip(), f"{zone.key} {mark}".strip(), zone.key, mark):
        if text and _word_on_free(canvas, view, zone.outline, text, ink):
            return
    for text in (f"{zone.name} {mark}".strip(), f"{zone.key} {mark}".strip(), zone.key, mark):
        if text and word_inside(canvas, view, zone.outline, text, ink, cut=False):
            return
    if mark:
        _mark_near(canvas, *view.cell(centroid(zone.outline)), mark, ink)


def _mark_near(canvas: Canvas, col: int, row: int, mark: str, ink: Ink) -> None:
    """Write a mark in a cell, or, where a wall runs through it as by a shallow rack, in the one beside it."""
    for to_col, to_row in ((col, row), (col, row + 1), (col, row - 1), (col + 1, row), (col - 1, row)):
        if canvas.clear_words(to_col, to_row, 1):
            canvas.word(to_col, to_row, mark, ink)
            return


def _word_on_free(canvas: Canvas, view: Projection, outline: Outline, text: str, ink: Ink) -> bool:
    """Write a word on a row of an outline where nothing else stands, the middle rows first."""
    ys = [view.cells(p)[1] for p in outline]
    first, last = max(0, int(min(ys))), min(view.rows - 1, int(max(ys)))
    middle = view.cell(centroid(outline))[1]
    width = cell_len(text)
    for row in sorted(range(first, last + 1), key=lambda r: (abs(r - middle), r)):
        ends = sorted(view.cells((x, 0.0))[0] for x in _level_crossings(outline, view.middle(0, row)[1]))
        for left, right in zip(ends[::2], ends[1::2], strict=False):
            start, room = int(left) + 1, int(right) - int(left) - 1
            col = start + (room - width) // 2
            if (
                width <= room
                and _on_grid(canvas, col - 1, row, width + 2)
                and _blank(canvas, col, row, width)
            ):
                canvas.word(col, row, text, ink)
                return True
    return False


def _blank(canvas: Canvas, col: int, row: int, width: int) -> bool:
    return all(canvas.look(c, row)[0] in " ·" for c in range(col, col + width))


def _room_label(canvas: Canvas, view: Projection, outline: Outline, name: str) -> None:
    """Write a room's name in the first row from the top that has free floor for it."""
    xs = [view.cells(p)[0] for p in outline]
    ys = [view.cells(p)[1] for p in outline]
    width = cell_len(name)
    for row in range(max(0, int(min(ys)) + 1), min(view.rows, int(max(ys)))):
        for col in range(max(0, int(min(xs)) + 2), min(view.cols, int(max(xs))) - width):
            ends = (view.middle(col - 1, row), view.middle(col + width, row))
            if all(contains(outline, p) for p in ends) and _floor(canvas, col, row, width):
                canvas.word(col, row, name, Ink.LABEL)
                return


def _floor(canvas: Canvas, col: int, row: int, width: int) -> bool:
    return all(
        canvas.look(c, row)[0] == " " and not canvas.ground[row * canvas.cols + c]
        for c in range(col, col + width)
    )


def word_inside(
    canvas: Canvas,
    view: Projection,
    outline: Outline,
    text: str,
    ink: Ink,
    *,
    cut: bool = True,
    whole: bool = False,
) -> bool:
    """Write a word in the middle of an outline if it, or at least four cells of it, fits there."""
    x, y = centroid(outline)
    row = view.cell((x, y))[1]
    if not 0 <= row < view.rows:
        return False
    middle_mm = view.middle(0, row)[1]
    crossings = sorted(view.cells((cx, middle_mm))[0] for cx in _level_crossings(outline, middle_mm))
    at = view.cells((x, y))[0]
    for left, right in zip(crossings[::2], crossings[1::2], strict=False):
        if left <= at <= right:
            first, last = max(0, int(left) + 1), min(view.cols, int(right))
            room = last - first
            want = cell_len(text)
            if want > room and (whole or not cut or room < 4):
                return False
            shown = text if want <= room else set_cell_size(text, room).rstrip()
            if cell_len(shown) != len(shown):
                shown = "".join(c for c in shown if cell_len(c) == 1)
            col = first + (room - len(shown)) // 2
            if room < 1 or not canvas.clear_words(col, row, len(shown)):
                return False
            canvas.word(col, row, shown, ink)
            return True
    return False


def _level_crossings(outline: Outline, y: float) -> Iterable[float]:
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        if (y0 > y) != (y1 > y):
            yield (x1 - x0) * (y - y0) / (y1 - y0) + x0
        x0, y0 = x1, y1
