"""What the first frame waits for: no record, no refit order, no second drawing."""

from __future__ import annotations

import subprocess
import sys

import pytest

from shopbins.tui.widgets.floorplan import FloorPlan


def test_opening_the_app_imports_nothing_of_strip_and_records_that_reading_does_not():
    code = (
        "import sys\nfrom shopbins.desk import Desk\nbefore = set(sys.modules)\n"
        "from shopbins.tui import app\nprint('\\n'.join(set(sys.modules) - before))"
    )
    out = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout
    assert "shopbins.tui.plan.screen" in out
    heavy = ("shopbins.strip", "shopbins.records", "shopbins.moves", "shopbins.placing", "rapidfuzz")
    named = {"shopbins.strip.told"}  # what a part is called on the first frame, of what reading needs anyhow
    assert {name for name in out.split() if name.startswith(heavy)} <= named


@pytest.fixture
def drawn(monkeypatch):
    """The views that the plan was painted in, as often as it was."""
    views, paint = [], FloorPlan._painted
    monkeypatch.setattr(
        FloorPlan, "_painted", lambda self, picture: (views.append(self.view), paint(self, picture))[1]
    )
    return views


async def test_the_plan_is_drawn_once_for_the_first_frame(bench, drawn, drawing_at_once):
    app = bench.app()
    app.judge_soon = lambda: None
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        assert len(drawn) == 1


async def test_a_thing_gone_to_and_a_window_seen_before_are_not_painted_anew(bench, settled, drawn):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        before = len(drawn)
        await pilot.press("tab", "tab", "tab")
        assert len(drawn) == before
        await pilot.press("plus", "minus", "plus", "minus")
        assert len(drawn) <= before + 2
