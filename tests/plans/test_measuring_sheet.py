"""The measuring sheet: every heading inside its column, every table inside the narrowest paper."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from shopbins.plans import sheet
from shopbins.plans.pdf import PAPERS
from shopbins.tags.fonts import PLAIN, width


@pytest.mark.parametrize("name", ["WALLS", "DIAGONALS", "DOORS", "PLACES", "CLEAR", "FIXED", "WAYS"])
def test_headings_keep_to_their_columns_and_tables_to_the_paper(name: str) -> None:
    table: sheet.Columns = getattr(sheet, name)
    too_wide = [head for head, wide in table if 0.7 + width(head, PLAIN, 2.2) > wide]
    assert not too_wide
    assert sum(wide for _, wide in table) <= PAPERS["a4"][0] - 2 * sheet.MARGIN_MM


def test_the_grid_to_draw_on_is_closed_on_all_sides() -> None:
    with pdfplumber.open(io.BytesIO(sheet.sheet("a4"))) as read:
        grid = [line for line in read.pages[0].lines if line["linewidth"] < 0.4]  # 0.1 mm; tables have 0.2
    across = [line for line in grid if line["top"] == line["bottom"]]
    down = [line for line in grid if line["x0"] == line["x1"]]
    assert max(line["x1"] for line in across) == pytest.approx(max(line["x1"] for line in down), abs=0.01)
