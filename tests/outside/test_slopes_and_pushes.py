"""Pushes and slopes against HSE's figures and plain trigonometry; rolling resistance times cos(angle).

HSE L23/INDG143: at least 2 % of the weight on good wheels and a good floor, 10 % on an uneven one; 200 N for
a man and 150 N for a woman to start or stop. Angles and the sine term are derived.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.moves.force import (
    G_M_S2,
    ONE_MAN_KEEP_N,
    ONE_MAN_N,
    ROLLING,
    Push,
    downhill_n,
    in_line,
    push,
    pushers,
    rolling_n,
    step_share,
)
from shopbins.rules.handling import filter_kg, passing_kg, team_kg
from shopbins.units import parse_slope


def people(found: Push) -> int:
    return pushers(found.steady_n, ONE_MAN_N, ONE_MAN_KEEP_N)


def test_400_kg_on_the_level_at_two_percent() -> None:
    assert rolling_n(400, 0.02) == pytest.approx(78.48, abs=0.01)
    assert rolling_n(400, 0.02) / G_M_S2 == pytest.approx(8.0, abs=0.01)


def test_400_kg_up_one_in_twelve_without_any_rolling_resistance() -> None:
    force = push(400, -1 / 12, rolling=(0.0, 0.0))
    assert force.push is not None
    assert force.push.most_n == pytest.approx(325.87, abs=0.01)
    assert force.push.most_n / G_M_S2 == pytest.approx(33.218, abs=0.01)
    assert force.greatest_n > 200  # the guideline for one man


@pytest.mark.parametrize(("run", "deg"), [(8, 7.125), (12, 4.764), (20, 2.862)])
def test_gradients_in_degrees(run: float, deg: float) -> None:
    assert math.degrees(math.atan(parse_slope(f"1 in {run}"))) == pytest.approx(deg, abs=1e-3)
    assert downhill_n(1000, 1 / run) == pytest.approx(9810 * math.sin(math.radians(deg)), rel=2e-4)


def test_a_ramp_of_one_in_twelve_in_degrees_and_percent() -> None:
    # ADA Standards 405.2: at most 1:12.
    assert math.degrees(math.atan(1 / 12)) == pytest.approx(4.7636, abs=1e-4)
    assert parse_slope("8.3333 %") == pytest.approx(1 / 12, abs=1e-6)


def test_a_two_tonne_machine_is_beyond_people_even_on_a_perfect_floor() -> None:
    level = push(2000)
    assert level.push is not None
    assert level.push.least_n == pytest.approx(392.4, abs=0.1)
    assert people(level) == 4
    up = push(2000, -1 / 12)
    assert up.push is not None
    t = math.atan(1 / 12)
    assert up.push.least_n == pytest.approx(2000 * 9.81 * (0.02 * math.cos(t) + math.sin(t)), rel=1e-9)
    assert 2000 <= up.push.least_n <= 2100  # 'about 2 kN' with the 2 % on top of 1630 N


@pytest.mark.parametrize(
    ("mass", "men", "women"), [(356, 1, 1), (357, 1, 2), (510, 2, 2), (1019, 2, 3), (1020, 3, 3)]
)
def test_how_many_people_by_the_guideline(mass: float, men, women) -> None:
    """HSE: 100 N (men) and 70 N (women) to keep a load going, 2 %: 509.7 and 356.8 kg each."""
    found = push(mass)
    by_women = pushers(found.steady_n, 150.0, 70.0)
    assert (people(found), by_women) == (men, women)
    assert (ONE_MAN_N, ONE_MAN_KEEP_N) == (200.0, 100.0)


def test_keeping_governs_where_it_takes_as_much_as_starting() -> None:
    """1970 kg: 386.5 N, two men by the 200 N for starting, four by the 100 N for keeping: four count."""
    force = rolling_n(1970, 0.02)
    assert force == pytest.approx(386.5, abs=0.05)
    assert pushers(force, 200, 1e9) == 2
    assert pushers(force, 200, 100) == 4


def test_two_tonnes_up_and_down_one_in_fifteen() -> None:
    """Slope part 1285.5 N, which is all that holds it back: nothing is taken off for what the wheels resist.

    Up it takes 2 % and 10 % of the weight square to the floor more (cos 3.814 deg = 0.99779).
    """
    up, down = push(1970, -1 / 15), push(1970, 1 / 15)
    assert downhill_n(1970, 1 / 15) == pytest.approx(1285.5, abs=0.05)
    assert up.push is not None
    assert (up.push.least_n, up.push.most_n) == pytest.approx((1671.2, 3213.8), abs=0.06)
    assert up.hold_back == 0.0
    assert down.hold_back == pytest.approx(1285.5, abs=0.05)
    assert down.push is not None
    assert down.push.most_n == pytest.approx(642.8, abs=0.06)


def test_across_a_slope_it_is_held_by_its_share_and_runs_straight_down() -> None:
    """45 degrees across 1 in 15: 1 in 21.2 along, 910.0 N; let go it runs straight down with 1285.5 N."""
    along = math.cos(math.radians(45)) / 15
    assert 1 / along == pytest.approx(21.2, abs=0.05)
    assert push(1970, along).hold_back == pytest.approx(910.0, abs=0.1)
    assert downhill_n(1970, 1 / 15) == pytest.approx(1285.5, abs=0.05)


def test_the_weight_square_to_the_slope_resists_not_all_of_it() -> None:
    """Plain trigonometry: 2000 kg on 1 in 8 at 10 %, and 400 kg up 1 in 12 at 2 %.

    Without the cosine they would be 471.56 and 404.35 N.
    """
    assert downhill_n(2000, 1 / 8) - rolling_n(2000, 0.10, 1 / 8) == pytest.approx(486.71, abs=0.01)
    up = push(400, -1 / 12, rolling=(0.02, 0.02)).push
    assert up is not None and up.least_n == pytest.approx(404.08, abs=0.01)


def test_a_chock_holds_what_lifts_a_wheel_over_it() -> None:
    """Wheel 85, chock 10: 0.843 of 790.35 kg are 6.53 kN; 867.1 N are needed for 1900 kg on 1 in 15."""
    share = step_share(85, 10)
    assert share is not None and share == pytest.approx(0.843, abs=0.001)
    assert share * 790.35 * 9.81 / 1000 == pytest.approx(6.53, abs=0.01)
    assert downhill_n(1900, 1 / 15) - rolling_n(1900, 0.02) == pytest.approx(867.1, abs=0.1)


@pytest.mark.parametrize(("wheel", "step", "share"), [(74, 18, 1.671), (200, 18, 0.698), (74, 5, 0.580)])
def test_wheels_over_steps(wheel: float, step: float, share: float) -> None:
    """Moments about the edge: sqrt(h (2r - h)) / (r - h)."""
    assert step_share(wheel, step) == pytest.approx(share, abs=0.001)
    assert step_share(74, 37) is None


def test_a_line_at_an_angle_pulls_more_and_drags_sideways() -> None:
    assert in_line(1000, 60) == pytest.approx((2000, 1732.05, 0), abs=0.01)


def test_a_line_that_rises_pulls_more_and_lifts() -> None:
    """1.9 kN along the way at 45 deg up: 1.9 / cos 45 = 2.687 kN, 1.9 tan 45 upwards; aside besides, 1.9 /
    (cos 60 cos 45) = 5.374 kN.
    """
    assert in_line(1900, 0, 45) == pytest.approx((2687.01, 0, 1900), abs=0.01)
    assert in_line(1900, 60, 45) == pytest.approx((5374.01, 3290.90, 3800), abs=0.01)


def test_holding_back_wherever_it_goes_down() -> None:
    down = push(1000, 1 / 12)
    t = math.atan(1 / 12)
    assert down.push is not None
    assert down.hold_back == pytest.approx(9810 * math.sin(t))
    assert down.push.most_n == pytest.approx(9810 * (0.10 * math.cos(t) - math.sin(t)))
    assert push(1000).hold_back == 0.0
    assert push(1000, 0.2).push is None
    assert "hold back 815 N" in down.words


@settings(max_examples=80, deadline=None)
@given(
    mass=st.floats(1, 5000),
    fall=st.floats(-0.3, 0.3),
    low=st.floats(0, 0.1),
    more=st.floats(0, 0.1),
)
def test_forces_balance_along_the_way(mass, fall, low, more) -> None:
    """Drive is what friction and weight leave, and there and back together only friction is left."""
    t = math.atan(fall)
    there, again = push(mass, fall, rolling=(low, low + more)), push(mass, -fall, rolling=(low, low + more))
    for found, sign in ((there, 1), (again, -1)):
        weight = sign * mass * 9.81 * math.sin(t)
        assert found.hold_back == pytest.approx(max(0.0, weight), abs=1e-6)
        most = mass * 9.81 * (low + more) * math.cos(t) - weight
        drive = 0.0 if found.push is None else found.push.most_n
        assert drive == pytest.approx(max(0.0, most), abs=1e-6)


def test_the_resistances_are_those_published() -> None:
    assert ROLLING == (0.02, 0.10)


# --- lifting by HSE's guides --------------------------------------------------------------------------------


def test_teams_lift_less_than_the_sum() -> None:
    # L23 paragraph 120: two people two thirds, three people half of the sum of what each lifts.
    assert team_kg([25, 25]) == pytest.approx(33.33, abs=0.01)
    assert team_kg([25, 16]) == pytest.approx(2 / 3 * 41)
    assert team_kg([25, 25, 25]) == pytest.approx(37.5)
    assert team_kg([25]) is None
    assert team_kg([25] * 4) is None  # nothing published at hand


def test_the_filter_between_knuckles_and_elbow() -> None:
    # INDG143: 25 kg men, 16 kg women, close to the body.
    for height in (721, 900, 1090):
        men, women = filter_kg(height), filter_kg(height, who="women")
        assert men is not None and women is not None
        assert (men.kg, women.kg, men.mark) == (25.0, 16.0, "published")


@pytest.mark.parametrize(
    ("height", "men", "women"), [(200, 10, 7), (500, 20, 13), (1200, 20, 13), (1600, 10, 7)]
)
def test_the_other_heights_of_the_filter_are_from_memory(height: float, men: float, women: float) -> None:
    found, other = filter_kg(height), filter_kg(height, who="women")
    assert found is not None and other is not None
    assert (found.kg, other.kg, found.mark) == (men, women, "from memory")


def test_above_the_head_and_below_the_floor_the_filter_gives_nothing() -> None:
    assert filter_kg(2000) is not None and filter_kg(2100) is None
    assert filter_kg(0) == filter_kg(0.5) == filter_kg(200) and filter_kg(-1) is None
    assert passing_kg(0, 900) == passing_kg(200, 900) is not None
    assert passing_kg(-1, 900) is None and passing_kg(0, 2100) is None
