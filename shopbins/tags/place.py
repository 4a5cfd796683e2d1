"""A label's faces put where they are printed: filled rectangles, signs, texts and lines in page coordinates.

The two ways to draw (PDF, PNG) take them from here, so that both show the same to the dot.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from shopbins.tags import qr
from shopbins.tags.design import Design
from shopbins.tags.drawn import Drawn
from shopbins.tags.fit import Text
from shopbins.tags.layout import MM_PER_INCH, Face, Layout
from shopbins.tags.signs import Shape, by_name

CUT_MARK_MM = 3.0
DASH_MM = 2.0
Rect = tuple[float, float, float, float]
Line = tuple[float, float, float, float]


@dataclass(slots=True)
class Placed:
    """What is drawn of one label, in mm from the page's left and bottom edge.

    `rects` are left, bottom, width, height, black; `shapes` black or white polygons, later ones on top;
    `texts` are (text, turn): the text's place is on the page, its turn counter-clockwise in degrees; `lines`
    from point to point, `holes` centre and diameter.
    """

    rects: list[Rect] = field(default_factory=list)
    shapes: list[tuple[bool, Shape]] = field(default_factory=list)
    texts: list[tuple[Text, int]] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    holes: list[tuple[float, float, float]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Spot:
    """From a face as one reads it to the page: `x_mm`, `y_mm` is where its left bottom corner lies."""

    x_mm: float
    y_mm: float
    turn_deg: int

    def point(self, x: float, y: float) -> tuple[float, float]:
        if self.turn_deg == 0:
            return self.x_mm + x, self.y_mm + y
        if self.turn_deg == 90:
            return self.x_mm - y, self.y_mm + x
        if self.turn_deg == 180:
            return self.x_mm - x, self.y_mm - y
        return self.x_mm + y, self.y_mm - x

    def rect(self, x: float, y: float, w: float, h: float) -> Rect:
        (x0, y0), (x1, y1) = self.point(x, y), self.point(x + w, y + h)
        return min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0)


def placed(drawn: Drawn, layout: Layout, left_mm: float, top_mm: float, page_height_mm: float) -> Placed:
    """Return what is drawn of a label whose left top corner is there on a page, symbols on whole dots."""
    made = Placed()
    for face, design in drawn.faces:
        _face(made, design, _spot(face, left_mm, page_height_mm - top_mm), layout, page_height_mm)
    bottom = page_height_mm - top_mm - layout.label_mm[1]
    _marks_for_hands(made, layout, left_mm, bottom, drawn.width_mm)
    return made


def _spot(face: Face, left_mm: float, top_from_below_mm: float) -> _Spot:
    x, top = left_mm + face.left_mm, top_from_below_mm - face.top_mm
    bottom = top - face.height_mm
    corner = {
        0: (x, bottom),
        90: (x + face.width_mm, bottom),
        180: (x + face.width_mm, top),
        270: (x, top),
    }
    return _Spot(*corner[face.turn_deg], face.turn_deg)


def _face(made: Placed, each: Design, spot: _Spot, layout: Layout, page_height_mm: float) -> None:
    dot = MM_PER_INCH / layout.dpi
    if each.pattern:
        made.rects += _on_dots(list(_bars(each)), spot, dot, page_height_mm)
    if each.qr is not None:
        made.rects += _on_dots(list(_modules(each, each.qr)), spot, dot, page_height_mm)
    for text in each.texts:
        x, y = spot.point(text.x_mm, text.y_mm)
        made.texts.append((Text(x, y, text.font, text.size_mm, text.text), spot.turn_deg))
    for mark in each.marks:
        for black, shape in by_name(mark.name).shapes:
            side = mark.side_mm
            outline = tuple(spot.point(mark.x_mm + x * side, mark.y_mm + y * side) for x, y in shape)
            made.shapes.append((black, outline))
    for begin, end, height in each.rules:
        made.lines.append((*spot.point(begin, height), *spot.point(end, height)))


def _bars(each: Design) -> Iterator[Rect]:
    module = each.module_mm
    left, bottom, height = each.bars_left_mm, each.bars_bottom_mm, each.bars_height_mm
    return ((left + first * module, bottom, count * module, height) for first, count in each.bars)


def _modules(each: Design, symbol: qr.Symbol) -> Iterator[Rect]:
    module, left = each.qr_module_mm, each.qr_left_mm
    top = each.qr_bottom_mm + (qr.SIZE - 1) * module
    return (
        (left + column * module, top - row * module, count * module, module)
        for row, column, count in symbol.runs()
    )


def _on_dots(rects: list[Rect], spot: _Spot, dot: float, page_height_mm: float) -> list[Rect]:
    """Return a symbol's rectangles on the page, shifted by less than a dot so that they begin on whole dots.

    Dots are counted from the page's left and top edge, as printers do.
    """
    if spot.turn_deg == 0:
        moved = [(spot.x_mm + x, spot.y_mm + y, w, h) for x, y, w, h in rects]
    else:
        moved = [spot.rect(*each) for each in rects]
    left = min(moved)[0]
    top = page_height_mm - max(y + h for _, y, _, h in moved)
    right = math.floor(left / dot + 0.5) * dot - left
    down = math.floor(top / dot + 0.5) * dot - top
    return [(x + right, y - down, w, h) for x, y, w, h in moved]


def _marks_for_hands(made: Placed, layout: Layout, left: float, bottom: float, width: float) -> None:
    """Add cut marks at the corners, dashed fold lines and the rims of holes."""
    height = layout.label_mm[1]
    right, top = left + width, bottom + height
    if layout.cut:
        for x, inward in ((left, CUT_MARK_MM), (right, -CUT_MARK_MM)):
            for y, into in ((bottom, CUT_MARK_MM), (top, -CUT_MARK_MM)):
                made.lines += [(x, y, x + inward, y), (x, y, x, y + into)]
    for fold in layout.fold_x_mm:
        made.lines += _dashed(left + fold, bottom, left + fold, top)
    for fold in layout.fold_y_mm:
        made.lines += _dashed(left, top - fold, right, top - fold)
    made.holes += [(left + x, top - y, across) for x, y, across in layout.holes]


def _dashed(x0: float, y0: float, x1: float, y1: float) -> Iterator[Line]:
    """Go through the dashes of a line, as long as the gaps between them, none at its very ends."""
    length = math.dist((x0, y0), (x1, y1))
    count = max(1, round(length / DASH_MM))
    step_x, step_y = (x1 - x0) / count, (y1 - y0) / count
    for at in range(1 - count % 2, count, 2):
        yield x0 + at * step_x, y0 + at * step_y, x0 + (at + 1) * step_x, y0 + (at + 1) * step_y
