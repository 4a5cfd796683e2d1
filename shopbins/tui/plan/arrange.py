"""Where the Plan's list goes: beside the plan or under it, wherever the shop leaves more room. Pure."""

from __future__ import annotations

from typing import NamedTuple

from shopbins.geometry.shapes import Box
from shopbins.shop.model import Shop
from shopbins.tui.canvas.overview import fit_shop, rows_needed

BESIDE_COLS = 43
BELOW_ROWS, BELOW_FEW_ROWS, FEW_ROWS = 11, 5, 27
"""Rows of the list under the plan, and where the window has fewer than `FEW_ROWS` for both."""


class Arrangement(NamedTuple):
    """The list beside (columns of it) or under (rows of it) the plan."""

    beside: bool
    list_cells: int

    @property
    def few(self) -> bool:
        """Whether the list has but a few rows under the plan."""
        return not self.beside and self.list_cells < BELOW_ROWS


def arrange(shop: Shop, box: Box, cols: int, rows: int) -> Arrangement:
    """Choose what shows the whole shop larger in so many columns and rows."""
    low = BELOW_FEW_ROWS if rows < FEW_ROWS else BELOW_ROWS
    under = fit_shop(shop, box, cols, max(1, rows - low)).mm_per_col
    beside = fit_shop(shop, box, max(1, cols - BESIDE_COLS), rows).mm_per_col
    if beside < under and cols - BESIDE_COLS >= BESIDE_COLS:
        return Arrangement(True, BESIDE_COLS)
    needed = min(max(1, rows - low), rows_needed(shop, box, under))
    return Arrangement(False, rows - needed)
