"""Where a tape finds a point: Pythagoras, and a point mirrored at its wall lies outside the room."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.moves.taped import axes_said, origin_near, taped
from tests.moves.weir import shop_text


@pytest.mark.parametrize(
    ("point", "said"),
    [
        # 300-400-500: 400 before the wall with the door, 300 beside its jamb at 1500, 4000 - 1500 - 300 up
        ((4600, 1200), "500 mm from the lower jamb of mid, 1260 mm from the lower right corner of a"),
        ((10400, 2000), "at the wall, 600 mm from the upper jamb of out, 1800 mm from the lower jamb of out"),
        ((5000, 1502), "at the lower jamb of mid"),
        # 190 of the wall of b, 500 and 650 along it: 535 and 677
        ((5210, 2000), "in mid, 540 mm from the lower jamb of mid, 680 mm from the upper jamb of mid"),
        ((0, 4000), "at the upper left corner of a"),
    ],
)
def test_a_point_is_said_from_two_marks_on_one_wall(
    tmp_path: Path, point: tuple[float, float], said: str
) -> None:
    (tmp_path / "shop.yaml").write_text(shop_text())
    assert taped(Desk.open(tmp_path / "shop.yaml", by="x").shop, point) == said


def test_a_tape_goes_through_no_wall(tmp_path: Path) -> None:
    """Of a room round a corner the upper left corner is not in sight of the lower right end."""
    text = (
        "shop: Ell\nprefix: EL\nrooms:\n"
        "  ell: {outline: [[0, 0], [6000, 0], [6000, 2000], [2000, 2000], [2000, 6000], [0, 6000]]}\n"
    )
    (tmp_path / "shop.yaml").write_text(text)
    said = taped(Desk.open(tmp_path / "shop.yaml", by="x").shop, (5500.0, 1500.0))
    assert said == "1580 mm from the lower right corner of ell, 5700 mm from the lower left corner of ell"


def test_where_points_are_counted_from_is_said_by_a_corner_of_the_rooms_passed(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text(shop_text())
    whole = Desk.open(tmp_path / "shop.yaml", by="x").shop
    assert axes_said(origin_near(whole, ["b", "a"])) == (
        "x to the right, y up the plan, in mm from 0,0, the lower left corner of a"
    )
    assert axes_said(origin_near(whole, ["b"])).endswith("0,0; the lower left corner of b is 5400,0")
