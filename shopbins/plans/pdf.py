"""The plan as PDF: to scale over as many sheets as it takes, what is found listed on the last.

Neighbouring sheets overlap by 10 mm, to be laid or glued over each other.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from shopbins.geometry.shapes import Point
from shopbins.plans.names import Label, labels
from shopbins.plans.picture import Layer, Mark, Picture, Shape, scale_that_fits
from shopbins.reports.pdf import broken, write
from shopbins.reports.plain import plain
from shopbins.tags.fonts import BOLD, PLAIN, printable, width

PAPERS = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4)}
MARGIN_MM, HEAD_MM, FOOT_MM, OVERLAP_MM = 10.0, 8.0, 14.0, 10.0
MOST_SHEETS = 60
_LINES: dict[Layer, tuple[float, tuple[float, ...]]] = {
    "walls": (0.6, ()),
    "ways": (0.18, (2.0, 1.0)),
    "keep-clear": (0.18, (1.0, 0.6)),
    "swings": (0.18, (0.6, 0.6)),
    "openings": (0.18, (0.3, 0.5)),
    "parts": (0.3, ()),
}
_GREYS: dict[Layer, float] = {"zones": 0.9, "fixtures": 0.8, "parts": 1.0, "doors": 1.0}


class TooManySheets(ValueError):  # noqa: N818 - it is an answer
    """A scale that would take more sheets than anybody wants."""


@dataclass(frozen=True, slots=True)
class Sheets:
    """How a plan is cut: paper in mm as it lies, columns and rows of sheets, 1 to `scale`."""

    paper: tuple[float, float]
    columns: int
    rows: int
    scale: int

    @property
    def room(self) -> tuple[float, float]:
        """What of a sheet is for the plan."""
        return self.paper[0] - 2 * MARGIN_MM, self.paper[1] - 2 * MARGIN_MM - HEAD_MM - FOOT_MM


def sheets(plan: Picture, paper: str, scale: int | None) -> Sheets:
    """Return the fewest sheets, upright or across; without a scale the largest that fits on one."""
    upright = PAPERS[paper]
    ways = []
    for lies in (upright, upright[::-1]):
        room = Sheets(lies, 1, 1, 1).room
        used = scale or scale_that_fits(plan, *room)
        wide, high = (side / used for side in plan.size_mm)
        ways.append(Sheets(lies, _count(wide, room[0]), _count(high, room[1]), used))
    best = min(ways, key=lambda cut: (cut.columns * cut.rows, cut.scale))
    if best.columns * best.rows > MOST_SHEETS:
        raise TooManySheets(f"1:{best.scale} takes {best.columns * best.rows} sheets: choose a smaller scale")
    return best


def _count(side: float, room: float) -> int:
    return max(1, math.ceil((side - OVERLAP_MM) / (room - OVERLAP_MM) - 1e-9))


def pdf(plan: Picture, cut: Sheets) -> bytes:
    """Return the plan as the bytes of a PDF; the same plan gives the same bytes."""
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(cut.paper[0] * mm, cut.paper[1] * mm), invariant=1)
    canvas.setTitle(printable(plan.title).text)
    for row in range(cut.rows):
        for column in range(cut.columns):
            canvas.scale(mm, mm)
            _sheet(canvas, plan, cut, column, row)
            canvas.showPage()
    wide, high = _list_paper(cut)
    canvas.setPageSize((wide * mm, high * mm))
    _list(canvas, plan, cut, mm)
    canvas.save()
    return out.getvalue()


def _sheet(canvas: Any, plan: Picture, cut: Sheets, column: int, row: int) -> None:
    """Draw one sheet; row 0 is the top one."""
    room_x, room_y = cut.room
    high = plan.size_mm[1] / cut.scale
    left = MARGIN_MM - column * (room_x - OVERLAP_MM)
    top = MARGIN_MM + FOOT_MM + room_y + row * (room_y - OVERLAP_MM)

    def spot(point: Point) -> Point:
        x, y = (point[0] - plan.box[0]) / cut.scale, (point[1] - plan.box[1]) / cut.scale
        return left + x, top - high + y

    canvas.saveState()
    window = canvas.beginPath()
    window.rect(MARGIN_MM, MARGIN_MM + FOOT_MM, room_x, room_y)
    canvas.clipPath(window, stroke=0, fill=0)
    for shape in plan.shapes:
        _shape(canvas, shape, [spot(point) for point in shape.points])
    for label in _labels(plan, cut.scale)[0]:
        font = BOLD if label.bold else PLAIN
        text = _clean(label.text)
        x, y = left + label.x - _width(text, label.size) / 2, top - high + label.y - label.size * 0.36
        write(canvas, x, y, text, font, label.size)
    for mark in plan.marks:
        if mark.at_mm is not None:
            _mark(canvas, mark, spot(mark.at_mm))
    canvas.restoreState()
    name = f"{chr(65 + column % 26)}{row + 1}"
    told = f"sheet {name} of {cut.columns} x {cut.rows}" if cut.columns * cut.rows > 1 else ""
    write(canvas, MARGIN_MM, cut.paper[1] - MARGIN_MM - 4, _clean(plan.title), BOLD, 4.0)
    _right(canvas, cut.paper[0] - MARGIN_MM, cut.paper[1] - MARGIN_MM - 4, f"1:{cut.scale}   {told}", 3.2)
    _foot(canvas, plan, cut)


@lru_cache(maxsize=4)
def _labels(plan: Picture, scale: int) -> tuple[list[Label], list[str]]:
    return labels(plan, scale, lambda text, size: _width(_clean(text), size))


def _width(text: str, size: float) -> float:
    return width(text, BOLD, size)  # never less than in the plain face


def _shape(canvas: Any, shape: Shape, points: list[Point]) -> None:
    thick, dashes = _LINES.get(shape.layer, (0.18, ()))
    canvas.setLineWidth(thick)
    canvas.setDash(*dashes) if dashes else canvas.setDash()
    grey = _GREYS.get(shape.layer)
    if grey is not None:
        canvas.setFillGray(grey)
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    if not shape.open:
        path.close()
    canvas.drawPath(path, stroke=1, fill=int(grey is not None))
    canvas.setDash()
    canvas.setFillGray(0)


def _mark(canvas: Any, mark: Mark, at: Point) -> None:
    """Draw a number in a disk: black for a stop, white for what is to fix, dashed where it is accepted."""
    stop = mark.sign == "stop"
    canvas.setLineWidth(0.4)
    canvas.setFillGray(0 if stop else 1)
    if mark.sign == "accepted":
        canvas.setDash(0.6, 0.6)
    canvas.circle(at[0], at[1], 2.4, stroke=1, fill=1)
    canvas.setDash()
    canvas.setFillGray(1 if stop else 0)
    text = str(mark.number)
    write(canvas, at[0] - width(text, BOLD, 2.8) / 2, at[1] - 1, text, BOLD, 2.8)
    canvas.setFillGray(0)


def _foot(canvas: Any, plan: Picture, cut: Sheets) -> None:
    """Draw the scale bar, the line to lay a ruler on, what the lines mean."""
    step, count, unit = (3048.0, 2, "10 ft") if plan.us else (1000.0, 5, "m")
    while count > 1 and count * step / cut.scale > cut.paper[0] - 2 * MARGIN_MM - 105:
        count -= 1
    y = MARGIN_MM + 8
    canvas.setLineWidth(0.3)
    for n in range(count + 1):
        x = MARGIN_MM + n * step / cut.scale
        canvas.line(x, y, x, y + 1.2)
    canvas.line(MARGIN_MM, y, MARGIN_MM + count * step / cut.scale, y)
    shown = f"{count * 10} ft" if plan.us else f"{count} {unit}"
    write(canvas, MARGIN_MM, y - 3, shown, PLAIN, 2.2)
    right = cut.paper[0] - MARGIN_MM
    canvas.line(right - 100, y, right, y)
    _right(canvas, right, y - 3, "if this line is not 100 mm, the scale is wrong", 2.2)
    said = (
        "thick: walls · dashed: ways, keep clear, leaves · grey: places, darker: fixed · white: parts"
        " · black number: stop, white: to fix, dashed: accepted"
    )
    write(canvas, MARGIN_MM, MARGIN_MM, said, PLAIN, 2.1)


def _list_paper(cut: Sheets) -> tuple[float, float]:
    """Return what the list is written on: letter under a plan on letter, else A4."""
    return PAPERS["letter" if max(cut.paper) == max(PAPERS["letter"]) else "a4"]


def _list(canvas: Any, plan: Picture, cut: Sheets, mm: float) -> None:
    """Write the findings and what is to be known, on as many pages as it takes."""
    top = _list_paper(cut)[1] - MARGIN_MM - 6
    y = 0.0
    for line, font, indent in _lines(plan, cut):
        if y < MARGIN_MM + 6:
            if y:
                canvas.showPage()
            canvas.scale(mm, mm)
            y = top
        write(canvas, MARGIN_MM + indent, y, line, font, 3.0)
        y -= 4.2
    canvas.showPage()


def _lines(plan: Picture, cut: Sheets) -> Iterator[tuple[str, str, float]]:
    room = _list_paper(cut)[0] - 2 * MARGIN_MM
    yield f"{_clean(plan.title)}   1:{cut.scale}", BOLD, 0.0
    yield ("" if plan.marks else "Nothing is against a rule by the checks made."), PLAIN, 0.0
    for mark in plan.marks:
        for line in broken(mark.line, BOLD, 3.0, room):
            yield line, BOLD, 0.0
        for said in (f"Fix: {mark.remedy}" if mark.remedy else "", mark.accepted):
            for line in broken(said, PLAIN, 3.0, room - 6) if said else ():
                yield line, PLAIN, 6.0
    yield "", PLAIN, 0.0
    key = _labels(plan, cut.scale)[1]
    for words in [*([f"Letters on the plan: {'; '.join(key)}"] if key else []), *plan.words]:
        for line in broken(words, PLAIN, 3.0, room):
            yield line, PLAIN, 0.0


def _right(canvas: Any, x: float, y: float, text: str, size: float) -> None:
    write(canvas, x - width(text, PLAIN, size), y, text, PLAIN, size)


def _clean(text: str) -> str:
    return printable(plain(text)).text
