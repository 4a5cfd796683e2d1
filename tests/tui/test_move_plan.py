"""What lies in and on the floor of a way is drawn on the Move screen as on paper."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from building import box

from shopbins.geometry.shapes import Pose
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.projection import Projection
from shopbins.tui.move import progress
from shopbins.tui.move.picture import PIT, MovePlan
from shopbins.tui.move.progress import Lying, lying_on
from tests.moves.test_covers import SHEETS, _over_pit


@pytest.mark.parametrize(("cols", "rows"), [(50, 9), (110, 30)])
def test_pit_cover_plate_and_leaf_are_drawn_where_they_lie(
    monkeypatch: pytest.MonkeyPatch, cols: int, rows: int
) -> None:
    """A floor of 10 m by 4 m over the whole plan (its scale)."""
    plan = MovePlan()
    monkeypatch.setattr(MovePlan, "_changed", lambda _plan: None)
    plan.view = Projection(0, 4000, 10000 / cols, cols, rows)
    lying = (
        Lying(box(4000, 0, 5000, 4000), "pit, open", is_open=True),
        Lying(box(6000, 1000, 7500, 3000), "duct"),
        Lying(box(3800, 1500, 5200, 2500), "sheet", is_laid=True),
        Lying(box(9000, 500, 9060, 1500), ""),
    )
    plan.show_way((Pose(500, 2000, 0), Pose(9500, 2000, 0)), box(-400, -400, 400, 400), (), lying)
    canvas, bare = Canvas(cols, rows), Canvas(cols, rows)
    plan._draw_over(canvas)
    plan.show_way((Pose(500, 2000, 0), Pose(9500, 2000, 0)), box(-400, -400, 400, 400))
    plan._draw_over(bare)
    with_all, without = canvas.text().splitlines(), bare.text().splitlines()
    assert PIT in with_all[1][int(0.4 * cols) : int(0.5 * cols) + 1] and PIT not in "".join(without)
    for left, right in ((3.8, 5.2), (6.0, 7.5), (8.9, 9.2)):
        part = slice(int(left * cols / 10), int(right * cols / 10) + 1)
        assert [row[part] for row in with_all] != [row[part] for row in without]
    if cols > 100:
        assert "duct" in "".join(with_all)


def test_what_the_sheet_draws_is_drawn_on_the_screen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An open pit 600 wide right across b, the sheets told of that carry it there, and an open leaf."""
    it, leaf = _over_pit(tmp_path, f"{SHEETS}2 t}}"), box(5400, 2650, 5460, 3800)
    monkeypatch.setattr(progress, "situation", lambda _scene, _plan: it)
    ground = SimpleNamespace(outlines=it.floors, leaves=(("mid", leaf),))
    plan: Any = SimpleNamespace(attempt=SimpleNamespace(ground=ground))
    found = lying_on(it.scene, plan)
    assert [(each.name, each.is_open, each.is_laid) for each in found] == [
        ("pit, open", True, False),
        ("", False, False),
        ("sheet", False, True),
        ("sheet", False, True),
    ]
    assert found[1].outline == leaf
    assert [each.outline for each in found[2:]] == [p.outline for lies in it.laid for p in lies.pieces]
