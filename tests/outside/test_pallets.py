"""Forks and pallets against the plans of ISO 6780 and the EUR pallet of UIC 435-2 / EN 13698-1.

EUR 1200 x 800: on the 800 side two openings of 227.5 mm beside a block of 145, on the 1200 side two of 382.5;
100 mm free (derived and from memory). A truck 685 over its forks does not enter the 800 side (read). Opening
against forks between feet: common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.moves.forks import EUR, ISO_PLANS_MM, PALLETS, between_feet, enter
from shopbins.moves.gear import judge_gear
from shopbins.moves.load import Load
from shopbins.shop.model import Gear

PLAN = ((-600.0, -400.0), (600.0, -400.0), (600.0, 400.0), (-600.0, 400.0))


def truck(over: float, fork: float = 160.0, **more) -> Gear:
    fields = {
        "capacity_kg": 2000.0,
        "over_forks_mm": over,
        "between_forks_mm": over - 2 * fork,
        "fork_width_mm": fork,
        "fork_length_mm": 1150.0,
        "lowered_mm": 85.0,
        "raised_mm": 200.0,
        "body_mm": 400.0,
        "turning_radius_mm": 1350.0,
    }
    return Gear("truck", "the truck", "pallet truck", **{**fields, **more})  # type: ignore[arg-type]


def crate(**more) -> Load:
    return Load("the crate", PLAN, 900.0, 800.0, cg_mm=(0.0, 0.0), **{"pallet": "EUR", **more})


def test_the_openings_add_up_to_the_sides() -> None:
    # 800 = 100 + 227.5 + 145 + 227.5 + 100 (outer blocks 100 wide); 1200 = 145 + 382.5 + 145 + 382.5 + 145.
    short, long = EUR.openings
    assert EUR.size_mm == (2 * 145 + 2 * 382.5 + 145, 2 * 100 + 2 * 227.5 + 145)
    assert [b - a for a, b in short.free] == [227.5, 227.5]
    assert [b - a for a, b in long.free] == [382.5, 382.5]
    assert short.free[1][0] - short.free[0][1] == long.free[1][0] - long.free[0][1] == 145
    assert EUR.height_mm == 144


def test_540_over_the_forks_enters_the_short_side() -> None:
    # The 220 mm between the forks take the 145 mm block; 540 fit within 600.
    way = enter(EUR.openings[0].free, 540, 220)
    assert way is not None
    assert way.play_mm == pytest.approx(min(220 - 145, 600 - 540))
    found = judge_gear(truck(540), crate(), opening=EUR.openings[0])
    assert (found.goes_under.answer, found.answer) == ("yes", "goes")


def test_685_over_the_forks_does_not_enter_the_short_side_but_the_long_one() -> None:
    found = judge_gear(truck(685), crate(), opening=EUR.openings[0])
    assert found.goes_under.answer == "no"
    assert found.answer == "does not go"
    assert found.margin_mm == pytest.approx(600 - 685)
    found = judge_gear(truck(685), crate())
    assert (found.goes_under.answer, found.opening) == ("yes", "the 1200 mm side")
    assert any("cross boards" in c for c in found.cautions)


@pytest.mark.parametrize("over", [450, 520, 540])
def test_the_usual_trucks_prefer_the_side_without_boards(over: float) -> None:
    # 450 over forks of 150 leave 150 for the block of 145: five millimetres.
    found = judge_gear(truck(over, 150), crate(), measured_mm=0)
    assert (found.goes_under.answer, found.opening) == ("yes", "the 800 mm side")


def test_of_other_plans_the_openings_are_to_be_measured() -> None:
    assert set(ISO_PLANS_MM) == {
        (1200, 1000),
        (1200, 800),
        (1219, 1016),
        (1140, 1140),
        (1100, 1100),
        (1067, 1067),
    }
    for key, pallet in PALLETS.items():
        if key != "EUR":
            found = judge_gear(truck(540), crate(pallet=key))
            assert found.goes_under.answer == "not known"
            assert "measure" in found.goes_under.why
            assert pallet.openings == ()


@pytest.mark.parametrize(("opening", "answer"), [(500, "no"), (539.9, "no"), (540, "yes"), (560, "yes")])
def test_540_over_the_forks_between_two_feet(opening: float, answer: str) -> None:
    found = judge_gear(truck(540), crate(pallet=None, openings=(between_feet(opening, 110.0),)))
    assert found.goes_under.answer == answer
    assert found.margin_mm == pytest.approx(opening - 540)


@settings(max_examples=150, deadline=None)
@given(
    cuts=st.lists(st.integers(-600, 600), min_size=2, max_size=8, unique=True),
    fork=st.integers(60, 200),
    gap=st.integers(0, 500),
)
def test_entering_agrees_with_trying_every_millimetre(cuts, fork, gap) -> None:
    edges = sorted(cuts)[: len(cuts) // 2 * 2]
    free = tuple(zip(edges[::2], edges[1::2], strict=True))
    over = 2 * fork + gap

    def at(left: int) -> bool:
        forks = ((left, left + fork), (left + fork + gap, left + over))
        return all(any(a <= p and q <= b for a, b in free) for p, q in forks)

    tried = [left for left in range(-700, 700) if at(left)]
    way = enter(free, over, gap)
    assert bool(tried) == (way is not None and way.play_mm >= 0)
    if way is not None and tried:
        runs = _longest_run(tried)
        assert way.play_mm == runs


def _longest_run(values: list[int]) -> int:
    best = now = 0
    for a, b in pairwise(values):
        now = now + 1 if b == a + 1 else 0
        best = max(best, now)
    return best
