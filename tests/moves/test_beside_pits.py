"""People who walk beside a load past an open pit: 500 mm for the body (ISO 13854)."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from building import box, shop

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.moves.finding import row_of
from shopbins.moves.pressing import beside_pits
from shopbins.shop.model import Opening, Room


@pytest.mark.parametrize(("y", "covered", "guarded", "found"), [
    (1799.0, False, False, [499.0]), (1801.0, False, False, []), (1799.0, None, None, [499.0]),
    (1799.0, False, True, []), (1799.0, True, False, []), (1000.0, False, False, [0.0]),
])  # fmt: skip
def test_an_open_pit_beside_the_way_is_covered_or_railed(
    y: float, covered: bool | None, guarded: bool | None, found: list[float]
) -> None:
    """600 wide along y 1000, its side at 1300: whoever goes there has what is left to the edge."""
    pit = Opening(
        "pit", "the pit", "hall", "hatch", box(3000, y, 3600, y + 600), covered=covered, guarded=guarded
    )
    hall = Room("hall", "hall", box(0, 0, 9000, 6000))
    there = shop(rooms=[hall], openings={"pit": pit})
    it: Any = SimpleNamespace(
        scene=SimpleNamespace(shop=there), floors=(hall.outline,), own={"person": 500.0}, name="motor",
        subjects=("group:X",), path=(Pose(1000, 1000), Pose(6000, 1000)),
        attempt=SimpleNamespace(moving=rectangle(1000, 600)),
    )  # fmt: skip
    parts = list(beside_pits(it))
    assert [row_of(part).finding.measured for part in parts] == pytest.approx(found, abs=0.5)
    assert all(part.verdict is Verdict.ASKED for part in parts)
