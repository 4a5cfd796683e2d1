"""A grid of cells to draw a plan on: fills, box lines that join, braille lines, words; then runs of one look.

Every glyph is one cell wide but the letters of a word that take two: the second cell holds `BEHIND`, which
stands in no run. Inks and grounds are small numbers given by `paint`; the widget turns a pair
of them into a style once a frame, so no style is built for a cell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from rich.cells import cell_len

from shopbins.geometry.shapes import Point

Run = tuple[str, int, int]

UP, RIGHT, DOWN, LEFT = 1, 2, 4, 8
LIGHT = " ╵╶└╷│┌├╴┘─┴┐┤┬┼"
HEAVY = " ╹╺┗╻┃┏┣╸┛━┻┓┫┳╋"
_BRAILLE = 0x2800
BEHIND = "\0"
"""The second cell of a letter of two columns."""
_OPEN = frozenset(" ·")
_DOT = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))


LAYERS = (
    "_fill", "_fill_ink", "_arms", "_arms_ink", "_heavy", "_dots", "_dots_ink", "_word", "_word_ink",
    "ground",
)  # fmt: skip
"""What a cell is made of."""


class Canvas:
    """Cells in layers; the higher layer hides the lower: fill, light lines, dots, heavy lines, words."""

    __slots__ = (*LAYERS, "cols", "rows")

    def __init__(self, cols: int, rows: int) -> None:
        self.cols, self.rows = cols, rows
        n = cols * rows
        self._fill, self._fill_ink = [" "] * n, bytearray(n)
        self._arms, self._arms_ink, self._heavy = bytearray(n), bytearray(n), bytearray(n)
        self._dots, self._dots_ink = bytearray(n), bytearray(n)
        self._word: list[str] = [""] * n
        self._word_ink = bytearray(n)
        self.ground = bytearray(n)

    def copy(self) -> Canvas:
        """Return a canvas with the same cells, to draw over."""
        other = Canvas.__new__(Canvas)
        other.cols, other.rows = self.cols, self.rows
        for name in LAYERS:
            setattr(other, name, getattr(self, name)[:])
        return other

    def fill(self, outline: Sequence[Point], glyph: str, ink: int, ground: int = 0) -> None:
        """Fill the cells whose middle lies in an outline given in cells; glyph '' only grounds them."""
        for row, first, last in self.spans(outline):
            at = row * self.cols
            for i in range(at + first, at + last):
                if glyph:
                    self._fill[i], self._fill_ink[i] = glyph, ink
                if ground:
                    self.ground[i] = ground

    def spans(self, outline: Sequence[Point]) -> Iterable[tuple[int, int, int]]:
        """Go through (row, first column, column after the last) inside an outline."""
        top = max(0, math.floor(min(p[1] for p in outline)))
        bottom = min(self.rows - 1, math.ceil(max(p[1] for p in outline)))
        for row in range(top, bottom + 1):
            y = row + 0.5
            ends = sorted(crossings(outline, y))
            for a, b in zip(ends[::2], ends[1::2], strict=False):
                first, last = max(0, math.ceil(a - 0.5)), min(self.cols, math.ceil(b - 0.5))
                if first < last:
                    yield row, first, last

    def line(self, start: tuple[int, int], end: tuple[int, int], ink: int, heavy: bool = False) -> None:
        """Draw a level or upright box line from cell to cell; lines that meet are joined."""
        (c0, r0), (c1, r1) = sorted((start, end))
        if r0 == r1:
            for col in range(max(c0, -1), min(c1, self.cols) + 1):
                self._arm(col, r0, (RIGHT if col < c1 else 0) | (LEFT if col > c0 else 0), ink, heavy)
            return
        for row in range(max(min(r0, r1), -1), min(max(r0, r1), self.rows) + 1):
            arms = (DOWN if row < max(r0, r1) else 0) | (UP if row > min(r0, r1) else 0)
            self._arm(c0, row, arms, ink, heavy)

    def _arm(self, col: int, row: int, arms: int, ink: int, heavy: bool) -> None:
        if not (0 <= col < self.cols and 0 <= row < self.rows):
            return
        i = row * self.cols + col
        if heavy:
            self._heavy[i] |= arms
            self._arms_ink[i] = ink
        elif not self._heavy[i]:
            self._arms[i] |= arms
            self._arms_ink[i] = ink

    def cut(self, col: int, row: int) -> None:
        """Open a line at a cell, as a door does a wall."""
        if 0 <= col < self.cols and 0 <= row < self.rows:
            i = row * self.cols + col
            self._arms[i] = self._heavy[i] = 0

    def dotted(self, start: Point, end: Point, ink: int, every: int = 1) -> None:
        """Draw a line of braille dots between two points in dots; one dot in `every`."""
        clipped = _clip(start, end, self.cols * 2 - 0.01, self.rows * 4 - 0.01)
        if clipped is None:
            return
        (x0, y0), (x1, y1) = clipped
        steps = max(1, math.ceil(max(abs(x1 - x0), abs(y1 - y0))))
        dx, dy = (x1 - x0) / steps, (y1 - y0) / steps
        for k in range(0, steps + 1, every):
            x, y = int(x0 + dx * k), int(y0 + dy * k)
            i = (y >> 2) * self.cols + (x >> 1)
            self._dots[i] |= _DOT[x & 1][y & 3]
            self._dots_ink[i] = ink

    def outline(self, points: Sequence[Point], ink: int, every: int = 1) -> None:
        """Draw a closed outline of braille dots, points in dots."""
        before = points[-1]
        for point in points:
            self.dotted(before, point, ink, every)
            before = point

    def dark(self, points: Sequence[Point]) -> None:
        """Take away the dots in an outline given in cells, so that a thing on top hides what is under it."""
        for row, first, last in self.spans(points):
            at = row * self.cols
            for i in range(at + first, at + last):
                self._dots[i] = 0

    def word(self, col: int, row: int, text: str, ink: int) -> None:
        """Write a word from a cell on; what falls outside is cut."""
        if not 0 <= row < self.rows:
            return
        for glyph in text:
            wide = 1 if glyph.isascii() else cell_len(glyph)
            if col >= 0 and col + wide <= self.cols and wide:
                i = row * self.cols + col
                if self._word[i] == BEHIND:  # half a letter is none
                    self._word[i - 1] = " "
                if col + wide < self.cols and self._word[i + wide] == BEHIND:
                    self._word[i + wide] = " "
                self._word[i], self._word_ink[i] = glyph, ink
                if wide > 1:
                    self._word[i + 1], self._word_ink[i + 1] = BEHIND, ink
            col += wide

    def ink(self, col: int, row: int, ink: int) -> None:
        """Give what is written in a cell another ink."""
        self._word_ink[row * self.cols + col] = ink

    def unsay(self, col: int, row: int) -> None:
        """Take a written letter away again."""
        self._word[row * self.cols + col] = ""

    def sign(self, col: int, row: int, text: str, ink: int, ground: int) -> None:
        """Write a word on a ground of its own."""
        self.word(col, row, text, ink)
        if ground and 0 <= row < self.rows:
            for c in range(max(0, col), min(self.cols, col + cell_len(text))):
                self.ground[row * self.cols + c] = ground

    def paint(self, i: int, glyph: str, ink: int, ground: int) -> None:
        """Set the fill of one cell, given by its number; '' and 0 leave what is there."""
        if glyph:
            self._fill[i], self._fill_ink[i] = glyph, ink
        if ground:
            self.ground[i] = ground

    def is_wall(self, i: int) -> bool:
        """Tell whether a heavy line runs through a cell, given by its number."""
        return bool(self._heavy[i])

    def walls(self) -> set[int]:
        """Return the numbers of the cells a heavy line runs through."""
        return {i for i, heavy in enumerate(self._heavy) if heavy}

    def blank(self, row: int) -> list[bool]:
        """Tell of each cell of a row whether nothing at all is drawn in it."""
        cells = slice(row * self.cols, (row + 1) * self.cols)
        layers = (self._word, self._heavy, self._dots, self._arms, self.ground, self._fill)
        return [
            (word or fill) == " " and not (heavy or dots or arms or ground)
            for word, heavy, dots, arms, ground, fill in zip(*(each[cells] for each in layers), strict=True)
        ]

    def clear_words(self, col: int, row: int, width: int) -> bool:
        """Tell whether no word or wall stands in `width` cells from here, all of them on the grid."""
        if not (0 <= row < self.rows and col >= 0 and col + width <= self.cols):
            return False
        at = row * self.cols + col
        return not any(self._word[at : at + width]) and not any(self._heavy[at : at + width])

    def is_open(self, col: int, row: int, width: int) -> bool:
        """Tell whether bare floor, or a way's dots, is all that is seen in `width` cells from here."""
        return all(self.look(c, row)[0] in _OPEN for c in range(col, col + width))

    def look(self, col: int, row: int) -> tuple[str, int]:
        """Return the glyph shown in a cell and its ink."""
        i = row * self.cols + col
        if self._word[i]:
            return self._word[i].rstrip(BEHIND), self._word_ink[i]
        if self._heavy[i]:
            return HEAVY[self._heavy[i]], self._arms_ink[i]
        if self._dots[i]:
            return chr(_BRAILLE + self._dots[i]), self._dots_ink[i]
        if self._arms[i]:
            return LIGHT[self._arms[i]], self._arms_ink[i]
        return self._fill[i], self._fill_ink[i]

    def runs(self, row: int) -> list[Run]:
        """Return a row as (text, ink, ground) with cells of one look merged."""
        out: list[Run] = []
        text: list[str] = []
        ink = ground = -1
        cells = slice(row * self.cols, (row + 1) * self.cols)
        for fill, fill_ink, arms, arms_ink, heavy, dots, dots_ink, word, word_ink, next_ground in zip(
            *(getattr(self, name)[cells] for name in LAYERS), strict=True
        ):
            if word == BEHIND:
                continue
            if word:
                glyph, next_ink = word, word_ink
            elif heavy:
                glyph, next_ink = HEAVY[heavy], arms_ink
            elif dots:
                glyph, next_ink = chr(_BRAILLE + dots), dots_ink
            elif arms:
                glyph, next_ink = LIGHT[arms], arms_ink
            else:
                glyph, next_ink = fill, fill_ink
            if glyph == " ":
                next_ink = ink if ink >= 0 else 0
            if next_ink != ink or next_ground != ground:
                if text:
                    out.append(("".join(text), ink, ground))
                text, ink, ground = [], next_ink, next_ground
            text.append(glyph)
        if text:
            out.append(("".join(text), ink, ground))
        return out

    def same_row(self, other: Canvas, row: int) -> bool:
        """Tell whether a row is the same as in a canvas of the same size."""
        cells = slice(row * self.cols, (row + 1) * self.cols)
        layers = (getattr(self, name)[cells] == getattr(other, name)[cells] for name in LAYERS)
        return all(layers)

    def text(self) -> str:
        """Return the whole grid as plain lines."""
        return "\n".join(
            "".join(self.look(col, row)[0] for col in range(self.cols)).rstrip() for row in range(self.rows)
        )


def crossings(outline: Sequence[Point], y: float) -> Iterable[float]:
    """Go through where the edges of an outline cross a level."""
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        if (y0 > y) != (y1 > y):
            yield (x1 - x0) * (y - y0) / (y1 - y0) + x0
        x0, y0 = x1, y1


def _clip(start: Point, end: Point, width: float, height: float) -> tuple[Point, Point] | None:
    """Return the part of a line inside 0..width x 0..height, or None (Liang and Barsky's way)."""
    (x0, y0), (x1, y1) = start, end
    dx, dy = x1 - x0, y1 - y0
    near, far = 0.0, 1.0
    for slope, room in ((-dx, x0), (dx, width - x0), (-dy, y0), (dy, height - y0)):
        if slope == 0:
            if room < 0:
                return None
        elif slope < 0:
            near = max(near, room / slope)
        else:
            far = min(far, room / slope)
    if near > far:
        return None
    return (x0 + near * dx, y0 + near * dy), (x0 + far * dx, y0 + far * dy)
