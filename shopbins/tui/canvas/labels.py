"""The words on the plan: each where it fits and nothing else stands, or not at all."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.cells import cell_len

from shopbins.geometry.shapes import Outline, bounds, centroid, contains
from shopbins.shop.model import Door, Zone
from shopbins.tui.canvas.cells import Canvas, crossings
from shopbins.tui.canvas.fullness import FULL_FROM, Fullness, fullness_bar, fullness_glyph
from shopbins.tui.canvas.gaps import write_gaps
from shopbins.tui.canvas.inks import Ink
from shopbins.tui.canvas.names import ways_to_write
from shopbins.tui.canvas.picture import Picture
from shopbins.tui.canvas.projection import Projection
from shopbins.tui.canvas.strips import away
from shopbins.units import show_length


def write_labels(canvas: Canvas, view: Projection, picture: Picture) -> None:
    """Write what fits: exits, things, places with levels, doors, fixtures, gaps, rooms; first ones win."""
    for door in picture.shop.doors.values():
        if door.exit:
            _exit_label(canvas, view, door)
    for body in reversed(picture.bodies):
        if view.meets(body.box):
            word_inside(canvas, view, body.outline, body.name, Ink.LABEL)
    for zone in picture.zones:
        _zone_label(canvas, view, zone, picture.fullness.get(zone.key))
    for door in picture.shop.doors.values():
        _door_widths(canvas, view, door)
    for fixture in picture.fixtures:
        word_inside(canvas, view, fixture.outline, fixture.name, Ink.FIXTURE)
    write_gaps(canvas, view, picture)
    for room in picture.shop.rooms.values():
        _room_label(canvas, view, room.outline, room.name)


def _exit_label(canvas: Canvas, view: Projection, door: Door) -> None:
    mid = bounds(door.jambs).middle
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
    """Write a place's name with a bar for each level and what it carries, as much of it as has room."""
    ink = Ink.ZONE_FULL if full is not None and (full.over or full.share >= FULL_FROM) else Ink.ZONE
    for lines in _ways_to_tell(zone, full):
        if _lines_on_free(canvas, view, zone.outline, lines, ink):
            return
    bar = "" if full is None else fullness_bar(full, 4)
    if any(
        word_inside(canvas, view, zone.outline, t, ink) for t in (f"{zone.name} {bar}".strip(), zone.name)
    ):
        return
    if mark := fullness_glyph(full):
        _mark_near(canvas, *view.cell(centroid(zone.outline)), mark, ink)


def _ways_to_tell(zone: Zone, full: Fullness | None) -> Iterator[list[str]]:
    if full is not None and zone.kind != "floor":
        many = len(zone.levels) > 1
        short = [
            f"{f'/{each.key} ' if many else ''}{fullness_bar(each, 4)}{' over' if each.over else ''}"
            for each in reversed(full.levels)
        ]
        whole = [f"{bar} {each.said}" for bar, each in zip(short, reversed(full.levels), strict=True)]
        for rows in (whole, short):
            yield [zone.name, *rows]
            yield [f"{zone.name} {'  '.join(rows)}"]
        for k in range(2, len(short)):
            yield [zone.name, *("  ".join(short[at : at + k]) for at in range(0, len(short), k))]
        yield [f"{zone.name} {fullness_bar(full, 4)}{' over' if full.over else ''}"]
    yield [zone.name]


def _lines_on_free(canvas: Canvas, view: Projection, outline: Outline, lines: list[str], ink: Ink) -> bool:
    """Write lines under each other where nothing else stands in an outline, the middle rows first."""
    ys = [view.cells(p)[1] for p in outline]
    first, last = max(0, int(min(ys))), min(view.rows - 1, int(max(ys)))
    middle = view.cell(centroid(outline))[1] - (len(lines) - 1) // 2
    wide = max(map(cell_len, lines))
    for top in sorted(range(first, last - len(lines) + 2), key=lambda r: (abs(r - middle), r)):
        spans = [_span(view, outline, row) for row in range(top, top + len(lines))]
        if not all(spans):
            continue
        left, right = max(s[0] for s in spans if s), min(s[1] for s in spans if s)
        col = left + (right - left - wide) // 2
        if right - left < wide or not all(
            _on_grid(canvas, col - 1, row, wide + 2) and canvas.is_open(col, row, wide)
            for row in range(top, top + len(lines))
        ):
            continue
        for row, line in enumerate(lines, top):
            canvas.word(col, row, line, ink)
        return True
    return False


def _span(view: Projection, outline: Outline, row: int) -> tuple[int, int] | None:
    """Return the first column inside an outline in a row and that after the last one, its edges left out."""
    ends = sorted(view.cells((x, 0.0))[0] for x in crossings(outline, view.middle(0, row)[1]))
    return (int(ends[0]) + 1, int(ends[1])) if len(ends) >= 2 else None


def _door_widths(canvas: Canvas, view: Projection, door: Door) -> None:
    """Write how wide a door is clear beside it on free floor."""
    said = show_length(door.clear_width_mm)
    col, row = view.cell(bounds(door.jambs).middle)
    level = abs(door.jambs[0][1] - door.jambs[1][1]) < abs(door.jambs[0][0] - door.jambs[1][0])
    beside = (
        [(col - len(said) // 2, row + d) for d in (1, -1, 2, -2)]
        if level
        else [(col + 2, row), (col - 1 - len(said), row), (col + 3, row), (col - 2 - len(said), row)]
    )
    for at in beside:
        if _on_grid(canvas, at[0] - 1, at[1], len(said) + 2) and canvas.is_open(*at, len(said)):
            canvas.word(*at, said, Ink.DOOR)
            return


def _mark_near(canvas: Canvas, col: int, row: int, mark: str, ink: Ink) -> None:
    """Write a mark in a cell, or, where a wall runs through it as by a shallow rack, in the one beside it."""
    for to_col, to_row in ((col, row), (col, row + 1), (col, row - 1), (col + 1, row), (col - 1, row)):
        if canvas.clear_words(to_col, to_row, 1):
            canvas.word(to_col, to_row, mark, ink)
            return


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


def word_inside(canvas: Canvas, view: Projection, outline: Outline, text: str, ink: Ink) -> bool:
    """Write a name in the middle of an outline: whole, on two lines, or without its tail; never cut."""
    shown = "".join(c for c in text if cell_len(c) in (1, 2))
    return any(_lines_inside(canvas, view, outline, lines, ink) for lines in ways_to_write(shown))


def _lines_inside(canvas: Canvas, view: Projection, outline: Outline, lines: list[str], ink: Ink) -> bool:
    """Write lines under each other about the middle of an outline, if each has its cells there."""
    x, y = view.cells(centroid(outline))
    first_row = math.floor(y) - (len(lines) - 1) // 2
    put: list[tuple[int, int, str]] = []
    for row, line in enumerate(lines, first_row):
        ends = sorted(view.cells((cx, 0.0))[0] for cx in crossings(outline, view.middle(0, row)[1]))
        span = next(((a, b) for a, b in zip(ends[::2], ends[1::2], strict=False) if a <= x <= b), None)
        if span is None:
            return False
        first, last = max(0, int(span[0]) + 1), min(view.cols, int(span[1]))
        wide = cell_len(line)
        col = first + (last - first - wide) // 2
        if not line or wide > last - first or not canvas.clear_words(col, row, wide):
            return False
        put.append((col, row, line))
    for col, row, line in put:
        canvas.word(col, row, line, ink)
    return True
