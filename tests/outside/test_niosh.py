"""The revised NIOSH lifting equation against DHHS (NIOSH) 94-110 and the formula worked by hand.

The equation, its limits and the frequency column up to one hour were read in a copy of the source; the other
two frequency columns are from memory. The printed tables round: HM at 22 in is .46 and at 23 in .44 there,
DM at 130 cm .86; the engine follows the formula, and a printed figure is met within its rounding.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.rules.niosh import (
    Hands,
    asymmetry,
    distance,
    frequency,
    horizontal,
    lift,
    reach_mm,
    vertical,
)
from shopbins.rules.niosh_tables import CONDITIONS, METRIC, SYSTEMS, US

LB = 0.45359237
IN = 25.4
CM = 10.0


def us(h: float, v: float, a: float = 0.0) -> Hands:
    return Hands(h * IN, v * IN, a)


def metric(h: float, v: float, a: float = 0.0) -> Hands:
    return Hands(h * CM, v * CM, a)


# --- worked examples ---------------------------------------------------------------------------------------


def test_the_punch_press_at_both_ends() -> None:
    # 94-110, example 1: 44 lb from H 23 in, V 15 in to H 23 in, V 63 in; printed 16.3 and 14.5 lb, which come
    # of the printed HM .44; the formula gives 16.031 and 14.308.
    found = lift(44 * LB, us(23, 15), us(23, 63), coupling="fair", system="us")
    assert found.origin is not None and found.destination is not None and found.rwl_kg is not None
    assert found.origin.rwl_kg / LB == pytest.approx(16.031, abs=0.01)
    assert found.destination.rwl_kg / LB == pytest.approx(14.308, abs=0.01)
    assert found.origin.rwl_kg / LB == pytest.approx(16.3, abs=0.35)
    assert found.destination.rwl_kg / LB == pytest.approx(14.5, abs=0.35)
    assert found.rwl_kg == found.destination.rwl_kg
    assert found.index == pytest.approx(44 / 14.308, abs=0.01)
    printed = {"hm": 0.44, "vm": 0.89, "dm": 0.86, "am": 1.0, "fm": 1.0, "cm": 0.95}
    assert 51 * math.prod(printed.values()) == pytest.approx(16.3, abs=0.05)
    for name, value in printed.items():
        assert getattr(found.origin, name) == pytest.approx(value, abs=0.0055)


def test_set_down_without_care_only_the_origin_counts() -> None:
    found = lift(44 * LB, us(23, 15), us(23, 63), coupling="fair", careful=False, system="us")
    assert found.destination is None
    assert found.rwl_kg is not None
    assert found.rwl_kg / LB == pytest.approx(16.031, abs=0.01)


def test_the_example_of_three_lifts_a_minute() -> None:
    # 94-110, example 4: H 10, V 22, D 37 in, 3 a minute below an hour, fair: 34.9 lb printed.
    found = lift(None, us(10, 22), us(10, 59), per_minute=3, careful=False, coupling="fair", system="us")
    assert found.rwl_kg is not None
    assert found.rwl_kg / LB == pytest.approx(34.814, abs=0.01)
    assert found.rwl_kg / LB == pytest.approx(34.9, abs=0.1)
    assert found.index is None and not found.undefined


# --- the load constants and the two sets --------------------------------------------------------------------


def test_the_best_lift_is_the_load_constant_of_its_own_set() -> None:
    best_us = lift(None, us(10, 30), us(10, 40), coupling="good", system="us")
    best = lift(None, metric(25, 75), metric(25, 100), coupling="good", careful=False)
    assert best_us.origin is not None and best.rwl_kg is not None
    assert best_us.origin.rwl_kg / LB == pytest.approx(51.0, abs=1e-9)
    assert best.rwl_kg == pytest.approx(23.0, abs=1e-9)
    assert abs(51 * LB - 23.0) > 0.13  # 51 lb are no 23 kg


def test_the_sets_are_not_mixed() -> None:
    # H 25.4 cm is 10 in exactly: 1 in US units, 25/25.4 in metric ones.
    assert horizontal(US, 254.0) == 1.0
    assert horizontal(METRIC, 254.0) == pytest.approx(25 / 25.4)
    # V 76.2 cm is 30 in: 1 in US units, 1 - .003 x 1.2 in metric ones.
    assert vertical(US, 762.0) == pytest.approx(1.0)
    assert vertical(METRIC, 762.0) == pytest.approx(1 - 0.003 * 1.2)
    # 30 in and 75 cm part fair couplings at different heights.
    between = Hands(250, 755)
    assert lift(None, between, coupling="fair").origin.cm == 1.0  # type: ignore[union-attr]
    assert lift(None, between, coupling="fair", system="us").origin.cm == 0.95  # type: ignore[union-attr]


# --- multipliers: limits and printed rows -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("h", "hm"),
    [(9, 1.0), (10, 1.0), (11, 10 / 11), (22, 10 / 22), (23, 10 / 23), (25, 0.4), (25.01, 0.0), (40, 0.0)],
)
def test_horizontal_in_inches(h: float, hm: float) -> None:
    assert horizontal(US, h * IN) == pytest.approx(hm, abs=1e-12)


@pytest.mark.parametrize(("h", "hm"), [(20, 1.0), (25, 1.0), (50, 0.5), (63, 25 / 63), (63.1, 0.0)])
def test_horizontal_in_cm(h: float, hm: float) -> None:
    assert horizontal(METRIC, h * CM) == pytest.approx(hm, abs=1e-12)


@pytest.mark.parametrize(("v", "vm"), [(0, 0.775), (30, 1.0), (70, 0.70), (70.01, 0.0)])
def test_vertical_in_inches(v: float, vm: float) -> None:
    assert vertical(US, v * IN) == pytest.approx(vm, abs=1e-12)


@pytest.mark.parametrize(("v", "vm"), [(0, 0.775), (75, 1.0), (175, 0.70), (175.1, 0.0)])
def test_vertical_in_cm(v: float, vm: float) -> None:
    assert vertical(METRIC, v * CM) == pytest.approx(vm, abs=1e-12)


@pytest.mark.parametrize(("d", "dm"), [(0, 1.0), (10, 1.0), (40, 0.865), (70, 0.82 + 1.8 / 70), (70.1, 0.0)])
def test_distance_in_inches(d: float, dm: float) -> None:
    assert distance(US, d * IN) == pytest.approx(dm, abs=1e-12)


@pytest.mark.parametrize(
    ("d", "dm"), [(0, 1.0), (25, 1.0), (130, 0.82 + 4.5 / 130), (175, 0.82 + 4.5 / 175), (176, 0.0)]
)
def test_distance_in_cm(d: float, dm: float) -> None:
    assert distance(METRIC, d * CM) == pytest.approx(dm, abs=1e-12)


def test_two_printed_rows_are_rounded_upwards() -> None:
    # HM .46 at 22 in, DM .86 at 130 cm: more than half a last place above the formula.
    assert horizontal(US, 22 * IN) == pytest.approx(0.4545, abs=1e-4)
    assert distance(METRIC, 130 * CM) == pytest.approx(0.8546, abs=1e-4)


@pytest.mark.parametrize(("a", "am"), [(0, 1.0), (30, 0.904), (90, 0.712), (135, 0.568), (136, 0.0)])
def test_asymmetry(a: float, am: float) -> None:
    assert asymmetry(a) == pytest.approx(am, abs=1e-12)


def test_turned_too_far_the_limit_is_0_and_the_index_undefined() -> None:
    found = lift(10.0, metric(30, 80, 136), metric(30, 90))
    assert found.rwl_kg == 0.0
    assert found.index is None
    assert "undefined" in found.undefined and "turned too far" in found.undefined


# --- frequency ----------------------------------------------------------------------------------------------

RATES = (0.2, 0.5, *range(1, 16))
PRINTED = {  # in hundredths
    "to 1 h": (100, 97, 94, 91, 88, 84, 80, 75, 70, 60, 52, 45, 41, 37, 34, 31, 28),
    "to 2 h": (95, 92, 88, 84, 79, 72, 60, 50, 42, 35, 30, 26, 23, 21, 0, 0, 0),
    "to 8 h": (85, 81, 75, 65, 55, 45, 35, 27, 22, 18, 15, 13, 0, 0, 0, 0, 0),
}
COLUMNS = {
    name: {rate: fm / 100 for rate, fm in zip(RATES, column, strict=True)} for name, column in PRINTED.items()
}
LOW_FROM = {"to 1 h": 13, "to 2 h": 11, "to 8 h": 9}


@pytest.mark.parametrize("duration", COLUMNS)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_frequency_rows(duration, system) -> None:
    constants = SYSTEMS[system]
    high, low = constants.v_level * constants.unit_mm, constants.v_level * constants.unit_mm - 0.1
    for rate, fm in COLUMNS[duration].items():
        assert frequency(constants, rate, duration, high) == pytest.approx(fm, abs=1e-12)
        below = 0.0 if rate >= LOW_FROM[duration] else fm
        assert frequency(constants, rate, duration, low) == pytest.approx(below, abs=1e-12)
    assert frequency(constants, 15.01, duration, high) == 0.0
    assert frequency(constants, 0.0, duration, high) == COLUMNS[duration][0.2]
    assert frequency(constants, 0.1, duration, high) == COLUMNS[duration][0.2]


def test_between_rows_the_frequency_goes_straight() -> None:
    assert frequency(US, 3.5, "to 1 h", 30 * IN) == pytest.approx(0.86)
    assert frequency(METRIC, 7.25, "to 2 h", 750) == pytest.approx(0.42 - 0.25 * 0.07)


def test_the_frequency_looks_at_the_origin_even_at_the_destination() -> None:
    # Origin below 75 cm, destination above: 13 a minute is 0 at both ends.
    found = lift(5.0, metric(30, 50), metric(30, 100), per_minute=13)
    assert found.destination is not None
    assert found.destination.fm == 0.0
    found = lift(5.0, metric(30, 100), metric(30, 50), per_minute=13)
    assert found.destination is not None
    assert found.destination.fm == pytest.approx(0.34)


# --- reach, scope, and what holds of any lift ---------------------------------------------------------------


@pytest.mark.parametrize(("v", "h"), [(25, 20 + 15), (75, 20 + 15), (24.9, 25 + 15), (0, 25 + 15)])
def test_reach_from_the_depth_of_a_load(v: float, h: float) -> None:
    assert reach_mm(METRIC, 300, v * CM) == pytest.approx(h * CM)


@pytest.mark.parametrize("condition", CONDITIONS)
def test_outside_its_scope_it_gives_no_answer(condition: str) -> None:
    found = lift(10.0, metric(30, 75), metric(30, 100), conditions=[condition])
    assert (found.rwl_kg, found.index, found.origin) == (None, None, None)
    assert found.refused == (f"the method does not cover {CONDITIONS[condition]}",)


def test_every_limit_of_its_scope_is_known() -> None:
    # 94-110, section 1.2.2: what the equation does not apply to; lifts by a team, as it assumes one lifter.
    for word in ("one hand", "8 hours", "seated", "kneeling", "restricted", "unstable", "carrying", "pushing",
                 "jerky", "footing", "hot or cold", "more than one person"):  # fmt: skip
        assert any(word in text for text in CONDITIONS.values()), word


@pytest.mark.parametrize("bad", [-1.0, math.inf, math.nan])
def test_figures_that_cannot_be(bad: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        lift(10.0, Hands(bad, 750))
    with pytest.raises(ValueError, match="finite"):
        lift(bad, Hands(300, 750))
    with pytest.raises(ValueError, match="none of"):
        lift(10.0, Hands(300, 750), conditions=["tired"])


lengths = st.floats(0, 800)
heights = st.floats(0, 1900)


@settings(max_examples=60, deadline=None)
@given(h=lengths, v=heights, v2=heights, a=st.floats(0, 150), f=st.floats(0, 16))
def test_no_lift_is_better_than_the_best_and_the_product_is_the_product(h, v, v2, a, f) -> None:
    found = lift(10.0, Hands(h, v, a), Hands(h, v2, a), per_minute=f, coupling="poor")
    assert found.origin is not None and found.destination is not None and found.rwl_kg is not None
    assert 0.0 <= found.rwl_kg <= 23.0 * 0.9
    for end in (found.origin, found.destination):
        assert end.rwl_kg == pytest.approx(23 * end.hm * end.vm * end.dm * end.am * end.fm * end.cm)
        assert bool(end.zero) == (end.rwl_kg == 0)
    assert found.rwl_kg == min(found.origin.rwl_kg, found.destination.rwl_kg)
    assert (found.index is None) == (found.rwl_kg == 0) == bool(found.undefined)
