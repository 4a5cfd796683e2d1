"""What no gear told of carries is no line of a shift list: it is a move of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.moves.lifting import none_carries
from tests.moves.weir import PLAIN, TRUCK, shop, shop_text


@pytest.mark.parametrize(
    ("under", "capacity", "none"),
    [("110mm", "2.3 t", False), ("60mm", "2.3 t", True), ("110mm", "1 t", True)],
)
def test_what_no_gear_goes_under_or_holds_is_a_move_of_its_own(
    tmp_path: Path, under: str, capacity: str, none: bool
) -> None:
    """Forks 85 lowered under 60, or 1 t of truck for 1.2 t: no truck shifts it."""
    moving = tuple(f"under={under}" if each.startswith("under") else each for each in PLAIN)
    gear = {"narrow truck": TRUCK.replace("2.3 t", capacity)}
    desk = shop(tmp_path, shop_text(gear=gear), moving)
    key = next(g.id for g in desk.state.groups() if g.name == "press")
    assert none_carries(desk.scene(), f"group:{key}") is none
