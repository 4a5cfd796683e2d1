"""From the shop's mm to the terminal's cells and back. Pure: knows numbers only.

A cell is about twice as high as wide, so a row shows twice the mm of a column and the 2 x 4 dots of a
braille cell are square. Columns run right as x does; rows run down while y runs up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from shopbins.geometry.shapes import Box, Point, bounds

STEPS_MM = (
    5,
    8,
    10,
    15,
    20,
    30,
    40,
    50,
    75,
    100,
    150,
    200,
    300,
    400,
    500,
    750,
    1000,
    1500,
    2000,
    5000,
    10000,
)
"""How many mm a column may show, from closest to widest."""

MARGIN_CELLS = 1


class Projection(NamedTuple):
    """A window on the shop: its top left corner in mm, the mm one column shows, its size in cells."""

    left_mm: float
    top_mm: float
    mm_per_col: float
    cols: int
    rows: int

    @property
    def mm_per_row(self) -> float:
        """Return the mm one row shows."""
        return self.mm_per_col * 2

    def cell(self, point: Point) -> tuple[int, int]:
        """Return (column, row) of the cell that shows a point; it may lie outside the window."""
        x, y = self.cells(point)
        return math.floor(x), math.floor(y)

    def cells(self, point: Point) -> Point:
        """Return a point in cells from the top left corner, with fractions."""
        return (point[0] - self.left_mm) / self.mm_per_col, (self.top_mm - point[1]) / self.mm_per_row

    def all_cells(self, points: Iterable[Point]) -> list[Point]:
        """Return points in cells, each as `cells` does."""
        left, top, across, down = self.left_mm, self.top_mm, self.mm_per_col, self.mm_per_row
        return [((x - left) / across, (top - y) / down) for x, y in points]

    def dots(self, point: Point) -> Point:
        """Return a point in braille dots from the top left corner: two a column, four a row."""
        dot = self.mm_per_col / 2
        return (point[0] - self.left_mm) / dot, (self.top_mm - point[1]) / dot

    def middle(self, col: int, row: int) -> Point:
        """Return the point in mm in the middle of a cell."""
        return self.left_mm + (col + 0.5) * self.mm_per_col, self.top_mm - (row + 0.5) * self.mm_per_row

    def shows(self, point: Point) -> bool:
        """Tell whether a point lies in the window."""
        col, row = self.cell(point)
        return 0 <= col < self.cols and 0 <= row < self.rows

    def meets(self, box: Box) -> bool:
        """Tell whether a box in mm lies in the window, at least in part."""
        right, bottom = self.left_mm + self.cols * self.mm_per_col, self.top_mm - self.rows * self.mm_per_row
        return box[0] <= right and box[2] >= self.left_mm and box[1] <= self.top_mm and box[3] >= bottom

    @property
    def centre(self) -> Point:
        """Return the point in mm in the middle of the window."""
        return self.left_mm + self.cols * self.mm_per_col / 2, self.top_mm - self.rows * self.mm_per_row / 2

    def centred(self, point: Point) -> Projection:
        """Return the window moved so that a point is in its middle, whole cells from where it was."""
        col, row = self.cell(point)
        return self.panned(col - self.cols // 2, row - self.rows // 2)

    def panned(self, cols: int, rows: int) -> Projection:
        """Return the window moved by whole cells, right and down."""
        return self._replace(
            left_mm=self.left_mm + cols * self.mm_per_col,
            top_mm=self.top_mm - rows * self.mm_per_row,
        )

    def scaled(self, mm_per_col: float, about: Point) -> Projection:
        """Return the window at another scale, a point staying where it is on the screen."""
        x, y = self.cells(about)
        return self._replace(
            left_mm=about[0] - x * mm_per_col,
            top_mm=about[1] + y * mm_per_col * 2,
            mm_per_col=mm_per_col,
        )

    def zoomed(self, closer: bool, about: Point) -> Projection:
        """Return the window one step closer or wider about a point."""
        steps = [
            s for s in STEPS_MM if (s < self.mm_per_col * 0.99 if closer else s > self.mm_per_col * 1.01)
        ]
        if not steps:
            return self
        return self.scaled(float(steps[-1] if closer else steps[0]), about)

    def sized(self, cols: int, rows: int) -> Projection:
        """Return the window with another size in cells about the same middle."""
        x, y = self.centre
        return Projection(
            x - cols * self.mm_per_col / 2, y + rows * self.mm_per_col, self.mm_per_col, cols, rows
        )

    def reached(self, point: Point, border: int = 3) -> Projection:
        """Return the window moved just far enough to show a point `border` cells from its edge."""
        col, row = self.cell(point)
        across = _short_of(col, self.cols, min(border * 2, self.cols // 4))
        down = _short_of(row, self.rows, min(border, self.rows // 4))
        return self.panned(across, down) if across or down else self


def _short_of(at: int, size: int, border: int) -> int:
    """Return how many cells to move so that `at` lies inside the border."""
    if at < border:
        return at - border
    return max(0, at - (size - 1 - border))


def fit(box: Box, cols: int, rows: int) -> Projection:
    """Return the closest window of cols x rows that shows a box in mm."""
    cols, rows = max(1, cols), max(1, rows)
    width, height = max(1.0, box.wide_mm), max(1.0, box.deep_mm)
    across = max(1, cols - 2 * MARGIN_CELLS)
    down = max(1, rows - MARGIN_CELLS)
    scale = math.ceil(max(width / across, height / down / 2))
    x, y = box.middle
    return Projection(x - cols * scale / 2, y + rows * scale, float(scale), cols, rows)


def scale_bar(mm_per_col: float) -> str:
    """Return a bar of at least five columns and the round length it stands for: '├───┤ 1 m'."""
    length = next(n * 10.0**k for k in range(9) for n in (1, 2, 5) if n * 10.0**k >= 4.5 * mm_per_col)
    bar = "─" * (round(length / mm_per_col) - 2)
    said = f"{length / 1000:g} m" if length >= 1000 else f"{length:g} mm"
    return f"├{bar}┤ {said}"


def box_of(outlines: Sequence[Sequence[Point]]) -> Box:
    """Return the box round every outline; a metre square where there is none."""
    points = [p for outline in outlines for p in outline]
    return bounds(points) if points else Box(0.0, 0.0, 1000.0, 1000.0)
