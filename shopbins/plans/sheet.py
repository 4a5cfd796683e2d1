"""The measuring sheet: two pages a room to fill in with the tape, in the order `shopbins new` asks.

Every table's rows type straight in, its columns from left to right with commas between; of a walkway, which
is a row of doors and places by itself, what follows is asked one by one.
"""

from __future__ import annotations

import io
from typing import Any

from shopbins.plans.pdf import PAPERS
from shopbins.reports.pdf import write
from shopbins.tags.fonts import BOLD, PLAIN

MARGIN_MM = 14.0
ROW_MM = 6.5
GRID_MM = 5.0
Columns = tuple[tuple[str, float], ...]

WALLS: Columns = (("wall", 9), ("l r s", 11), ("length", 30), ("+-", 12))
DIAGONALS: Columns = (("corner", 14), ("corner", 14), ("length", 30))
DOORS: Columns = (
    *(("name", 20), ("wall", 9), ("from corner", 16), ("near edge", 16), ("width", 15), ("height", 15)),
    *(("h s u o", 11), ("l r", 7), ("in out", 10), ("to", 18), ("exit y n", 12), ("sill", 10)),
    *(("wall thick", 13), ("to edge", 10)),
)
PLACES: Columns = (
    *(("name", 32), ("b s f", 10), ("wall", 10), ("off it", 16), ("wall", 10), ("off it", 16)),
    *(("length", 17), ("depth", 17), ("heights, ; between", 34), ("load", 14)),
)
CLEAR: Columns = (
    *(("keep clear", 34), ("wall", 10), ("off it", 17), ("wall", 10), ("off it", 17), ("length", 18)),
    *(("depth", 18), ("why", 34), ("height", 18)),
)
FIXED: Columns = (
    *(("fixed", 34), ("wall", 10), ("off it", 17), ("wall", 10), ("off it", 17), ("length", 18)),
    *(("depth", 18), ("height", 26), ("base", 26)),
)
WAYS: Columns = (
    *(("doors and places in turn", 100), ("width", 24), ("stop below", 28)),
    ("way out y n", 30),
)


def sheet(paper: str) -> bytes:
    """Return the sheet as the bytes of a PDF of two pages."""
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    size = PAPERS[paper]
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(size[0] * mm, size[1] * mm), invariant=1)
    canvas.setTitle("Measuring sheet")
    for page in (_room, _things):
        canvas.scale(mm, mm)
        page(canvas, size)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _room(canvas: Any, size: tuple[float, float]) -> None:
    top = size[1] - MARGIN_MM
    columns = int((size[0] - 2 * MARGIN_MM) / GRID_MM)
    _head(canvas, size, "shop ________________  room ________________  tape mm cm m ft  measured +- ______")
    said = (
        "Start in a corner: that is corner 1. Walk with the wall on your right hand, one row a wall: l left,",
        "r right, s straight on. A corner that is not square: measure a diagonal, corner to corner, too.",
    )
    for n, line in enumerate(said):
        write(canvas, MARGIN_MM, top - 9 - 3.6 * n, line, PLAIN, 2.7)
    low = top - 18 - 100
    canvas.setLineWidth(0.1)
    for n in range(columns + 1):
        canvas.setStrokeGray(0.35 if n % 5 == 0 else 0.75)
        canvas.line(MARGIN_MM + n * GRID_MM, low, MARGIN_MM + n * GRID_MM, low + 100)
    for n in range(21):
        canvas.setStrokeGray(0.35 if n % 5 == 0 else 0.75)
        canvas.line(MARGIN_MM, low + n * GRID_MM, MARGIN_MM + columns * GRID_MM, low + n * GRID_MM)
    canvas.setStrokeGray(0)
    below = _table(canvas, MARGIN_MM, low - 7, WALLS, 8, "Walls", numbered=True)
    _table(canvas, MARGIN_MM + 72, low - 7, DIAGONALS, 5, "Diagonals, where a corner is not square")
    write(
        canvas, MARGIN_MM + 72, below + 8, "headroom ________  floor load ________  hot work y n", PLAIN, 2.7
    )
    write(canvas, MARGIN_MM + 72, below + 1, "floor falls 1 in ______ towards wall ____", PLAIN, 2.7)
    title = "Doors: h hinged, s sliding, u up-and-over, o open; hinges l r and in or out seen from this room"
    end = _table(canvas, MARGIN_MM, below - 9, DOORS, 5, title)
    write(
        canvas,
        MARGIN_MM,
        end - 4,
        "The last two only to a room not yet described: its wall, from its corner 1 to the door's edge.",
        PLAIN,
        2.7,
    )


def _things(canvas: Any, size: tuple[float, float]) -> None:
    _head(canvas, size, "room ________________")
    y = size[1] - MARGIN_MM - 12
    title = "Places for parts: b bench, s shelf, f floor spot; nearest corner by its distances from two walls"
    y = _table(canvas, MARGIN_MM, y, PLACES, 12, title) - 9
    y = _table(canvas, MARGIN_MM, y, CLEAR, 5, "What must stay clear") - 9
    y = _table(canvas, MARGIN_MM, y, FIXED, 5, "What stands fixed") - 9
    title = "Walkways to keep free, as 'gate, bench'; asked last, a line each: width, stop below, way out"
    _table(canvas, MARGIN_MM, y, WAYS, 3, title)


def _head(canvas: Any, size: tuple[float, float], text: str) -> None:
    write(canvas, MARGIN_MM, size[1] - MARGIN_MM - 3, text, BOLD, 3.4)


def _table(
    canvas: Any, x: float, y: float, columns: Columns, rows: int, title: str, *, numbered: bool = False
) -> float:
    """Draw an empty table below y; return where it ends."""
    write(canvas, x, y + 1.4, title, BOLD, 2.9)
    drawn = [column for column in columns if column[1]]
    whole = sum(wide for _, wide in drawn)
    canvas.setLineWidth(0.2)
    end = y - ROW_MM * (rows + 1)
    for row in range(rows + 2):
        canvas.line(x, y - ROW_MM * row, x + whole, y - ROW_MM * row)
    at = x
    for name, wide in drawn:
        canvas.line(at, y, at, end)
        write(canvas, at + 0.7, y - 4.3, name, PLAIN, 2.2)
        at += wide
    canvas.line(at, y, at, end)
    if numbered:
        for row in range(rows):
            write(canvas, x + 1, y - ROW_MM * (row + 2) + 2, str(row + 1), PLAIN, 2.6)
    return end
