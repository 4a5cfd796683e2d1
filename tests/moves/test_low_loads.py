"""A low load whose centre of gravity nobody told: taken a tenth of its sides off its middle, not asked."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.ledger.model import Mass
from shopbins.moves.finding import row_of
from tests.moves.weir import FOUR, OUTLINE, SKATES, TRUCK, move, of, shop, shop_text

WIDE = TRUCK.replace("over forks: 400, between forks: 120", "over forks: 540, between forks: 220")
FORKED = (OUTLINE, "opening=560mm", "under=110mm")


@pytest.mark.parametrize(("high", "verdict"), [(300, Verdict.ASKED), (700, Verdict.OPEN)])
def test_on_a_truck_it_is_judged_at_its_top_and_a_tenth_off_its_middle(
    tmp_path: Path, high: int, verdict: Verdict
) -> None:
    """Rollers +-190 at 975 from the heel, steering at -100: half width 190 x 500 / 1075 at 400, 70 aside.

    Square to that edge 18.1 mm are left: 3.3 deg under 310 mm, 1.5 deg at 691 mm (statics: atan(d / H)).
    """
    known = (*FORKED, f"height={high}mm")
    plan = move(shop(tmp_path, shop_text(gear={"truck": WIDE}), known, Mass(400)))
    (tips,) = of(plan, "move-tips")
    inside = (190.0 * 500.0 / 1075.0 - 70.0) * math.cos(math.atan2(190.0, 1075.0))
    left = math.degrees(math.atan2(inside, high + 10.0))
    assert row_of(tips).finding.measured == pytest.approx(left, abs=0.01)
    assert tips.verdict is verdict
    assert [p.text for p in of(plan, "move-centre")] == (
        ["centre of gravity within 100 x 70 mm of middle"] if verdict is Verdict.ASKED else []
    )


@pytest.mark.parametrize(("high", "asked"), [(870, False), (880, True)])
def test_it_is_low_to_one_and_a_quarter_of_its_shorter_side(tmp_path: Path, high: int, asked: bool) -> None:
    """700 mm is its shorter side: to 875 mm (own figure); on four skates it has tilt enough."""
    known = (OUTLINE, "under=110mm", *FOUR, f"height={high}mm")
    plan = move(shop(tmp_path, shop_text(gear={"skates": SKATES}), known, Mass(400)))
    assert any("centre of gravity" in p.text for p in plan.asks) is asked
    assert bool(of(plan, "move-centre")) is not asked
    assert bool(of(plan, "move-tips-jacked")) is not asked


@pytest.mark.parametrize(
    ("board", "goes"),
    [
        ("at: [3200, 0], size: [600, 4000], height: 850", False),  # right across the way
        ("at: [3200, 0], size: [600, 4000], height: 1950", True),  # people walk upright under it: 1900
        ("at: [1000, 1000], size: [1600, 2000], height: 850", True),  # it stands under this one
    ],
)
def test_nothing_goes_through_under_a_bench_but_out_from_where_it_stands(
    tmp_path: Path, board: str, goes: bool
) -> None:
    """300 mm high under a board at 800 mm: what carries it is not told (common practice, no source)."""
    text = shop_text(gear={"truck": WIDE}).replace(
        "zones:\n", f"zones:\n  board: {{room: a, kind: bench, {board}}}\n"
    )
    plan = move(shop(tmp_path, text, (*FORKED, "height=300mm"), Mass(400)))
    assert (plan.answer.verdict is not Verdict.NO) is goes
