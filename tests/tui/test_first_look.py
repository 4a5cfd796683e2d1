"""The app opens on the Plan and the three places show what is there."""

from __future__ import annotations

import pytest

SIZES = [(80, 24), (120, 40), (200, 60)]


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
async def test_plan(bench, settled, compare, size):
    """The Plan: walls, doors with swings, walkway, zones with fullness, the block as its turned outline."""
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        compare(app, f"plan-{size[0]}x{size[1]}")
