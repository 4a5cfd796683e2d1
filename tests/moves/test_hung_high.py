"""A part that a hoist takes off: how far it hangs high, and where that can lay it among the walls."""

from __future__ import annotations

import pytest
from building import box

from shopbins.geometry.shapes import Point
from shopbins.moves.partsoff import back_mm, stands_with_hook

ROOM = box(0, 0, 9000, 5000)
CRANE = box(-250, -650, 1550, 650)
"""Its mast at 0, the hook 900 out: its legs end 650 beyond that and are 650 to each side of it."""


@pytest.mark.parametrize(("at", "stands"), [
    ((250.0, 200.0), False), ((651.0, 651.0), True), ((640.0, 640.0), False), ((660.0, 660.0), True),
    ((4500.0, 640.0), False), ((4500.0, 660.0), True), ((4500.0, 2500.0), True),
])  # fmt: skip
def test_a_hook_comes_no_nearer_to_walls_than_its_legs(at: Point, stands: bool) -> None:
    """By hand: 1550 - 900 = 650 ahead, 1300 / 2 = 650 beside it; 1 mm is touching."""
    assert stands_with_hook(ROOM, CRANE, (900.0, 0.0), at) is stands


@pytest.mark.parametrize(("boom", "far"), [(0.0, 950.0), (180.0, 950.0), (90.0, 700.0), (45.0, 1166.73)])
def test_a_part_hangs_high_until_it_is_clear_of_the_thing(boom: float, far: float) -> None:
    """By hand: 1400 x 1000, the part 500 x 400 in its middle: 700 + 250 along it, 500 + 200 across; askew the
    sum of both times cos 45.
    """
    assert back_mm(box(-700, -500, 700, 500), box(-250, -200, 250, 200), boom) == pytest.approx(far, abs=0.05)
