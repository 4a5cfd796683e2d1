"""Quantities as people write them: exact factors, one clear line for everything else."""

from __future__ import annotations

import math
import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins import units
from shopbins.units import UnitError

# International yard and pound agreement, 1959; standard gravity, 3rd CGPM, 1901. Exact by definition.
INCH_MM = Fraction("25.4")
POUND_KG = Fraction("0.45359237")
GRAVITY = Fraction("9.80665")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("12", 12),
        ("300mm", 300),
        ("1.2 m", 1200),
        ("80 cm", 800),
        (".5 m", 500),
        ("5.", 5),
        ("+5", 5),
        ("250 um", Fraction(1, 4)),
        ("28 in", 28 * INCH_MM),
        ("1 3/8 in", Fraction(11, 8) * INCH_MM),
        ("1-3/8 in", Fraction(11, 8) * INCH_MM),
        ("3/8in", Fraction(3, 8) * INCH_MM),
        ("7 ft 6 in", 90 * INCH_MM),
        ("6ft8in", 80 * INCH_MM),
        ("4 ft 6 3/8 in", Fraction(435, 8) * INCH_MM),
        ("3.5 ft", 42 * INCH_MM),
        ("3 thou", Fraction(3, 1000) * INCH_MM),
        ("4 FT 6 IN", 54 * INCH_MM),
        ("  12 mm ", 12),
        ("0", 0),
    ],
)
def test_lengths_are_the_nearest_float_to_the_exact_value(text: str, mm: Fraction) -> None:
    assert units.parse_length(text) == float(mm)


@pytest.mark.parametrize(
    ("parse", "text", "value"),
    [
        (units.parse_mass, "4kg", Fraction(4)),
        (units.parse_mass, "1.6 t", Fraction(1600)),
        (units.parse_mass, "250 g", Fraction(1, 4)),
        (units.parse_mass, "12 lb", 12 * POUND_KG),
        (units.parse_mass, "3 lb 4 oz", Fraction(13, 4) * POUND_KG),
        (units.parse_force, "4.5 kN", Fraction("4.5")),
        (units.parse_force, "350 N", Fraction("0.35")),
        (units.parse_force, "1000 lbf", POUND_KG * GRAVITY),
        (units.parse_area_load, "5 kN/m2", Fraction(5)),
        (units.parse_area_load, "5 kPa", Fraction(5)),
        (units.parse_area_load, "500 kg/m2", 500 * GRAVITY / 1000),
        (units.parse_area_load, "125 psf", 125 * POUND_KG * GRAVITY / (12 * INCH_MM / 1000) ** 2 / 1000),
        (units.parse_share, "85 %", Fraction("0.85")),
        (units.parse_slope, "1 in 25", Fraction(1, 25)),
        (units.parse_slope, "4 %", Fraction(1, 25)),
        (units.parse_angle, "-15 deg", Fraction(-15)),
        (units.parse_angle, "90", Fraction(90)),
    ],
)
def test_other_quantities_are_exact_too(parse: object, text: str, value: Fraction) -> None:
    assert parse(text) == float(value)  # type: ignore[operator]


def test_published_figures_come_out() -> None:
    """29 CFR 1910.36(g) prints limits in both systems; ADA 2010, 405.2, a ramp of 1:12; ASCE 7, 125 psf."""
    assert units.parse_length("28 in") == 711.2
    assert units.parse_length("7 ft 6 in") == 2286.0
    assert units.parse_length("6 ft 8 in") == 2032.0
    assert math.degrees(math.atan(units.parse_slope("1 in 12"))) == pytest.approx(4.7636, abs=1e-4)
    assert units.parse_area_load("125 psf") / units.parse_area_load("1 kg/m2") == pytest.approx(
        610.30, abs=0.01
    )
    assert units.parse_area_load("1 kN/m2") / units.parse_area_load("1 kg/m2") == pytest.approx(
        101.97, abs=0.01
    )


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("300x200x150mm", (300, 200, 150)),
        ("1.2x0.8x0.3 m", (1200, 800, 300)),
        ("300 x 200", (300, 200)),
        ("4 ft x 18 in", (1219.2, 457.2)),
        ("4 ft 6 in X 18 in", (1371.6, 457.2)),
    ],
)
def test_sizes(text: str, mm: tuple[float, ...]) -> None:
    assert units.parse_size(text) == mm


def test_points_may_be_negative_and_carry_units() -> None:
    assert units.parse_point("1200,300") == (1200, 300)
    assert units.parse_point("-1.2 m, 1 in") == (-1200, 25.4)


def test_about_is_kept() -> None:
    assert units.parse_mass_about("about 4 kg") == (4.0, True)
    assert units.parse_mass_about("~4kg") == (4.0, True)
    assert units.parse_mass_about("4 kg") == (4.0, False)
    assert units.parse_size_about("about 300x200") == ((300, 200), True)
    assert units.parse_length_about("About 2 m") == (2000, True)


def test_how_well_a_length_was_measured_is_kept() -> None:
    assert units.parse_measured("2400 +- 10 mm") == (2400, 10)
    assert units.parse_measured("8 ft +- 1/2 in") == (2438.4, 12.7)
    assert units.parse_measured("2400") == (2400, None)
    assert units.parse_measured("-300 +- 5", signed=True) == (-300, 5)
    with pytest.raises(UnitError, match="one unit for two numbers"):
        units.parse_measured("2400 +- 1 cm")


@pytest.mark.parametrize(
    ("parse", "text", "what", "hint"),
    [
        (units.parse_length, "1,5 m", "decimal comma", "write 1.5 m"),
        (units.parse_length, "1.200,5", "decimal comma", "write 1200.5"),
        (units.parse_length, "1,200", "comma in the number", "write 1200 or 1.200"),
        (units.parse_length, "1,200,000 um", "comma in the number", "write 1200000 um"),
        (units.parse_length, "1_000", "underscore", "write 1000"),
        (units.parse_length, "1e3", "exponent", "write 1000"),
        (units.parse_length, "2.5E-1", "exponent", "write 0.25"),
        (units.parse_length, "1e999999999", "exponent", "write the number out"),
        (units.parse_length, "½ in", "not ASCII", "write 1/2 in"),
        (units.parse_length, "300 µm", "not ASCII", "write 300 um"),
        (units.parse_length, "12 ミリ", "not ASCII", "plain letters only"),
        (units.parse_length, "nan", "no number", "like 300 mm"),
        (units.parse_length, "-inf", "no number", "like 300 mm"),
        (units.parse_length, "-5 mm", "negative", "not below 0"),
        (units.parse_length, "--5", "no length", "like 300 mm"),
        (units.parse_length, "2000 m", "over 1000 m", "like 300 mm"),
        (units.parse_length, "2 km", "unknown unit 'km'", "mm, cm, m"),
        (units.parse_length, "12 inches", "unknown unit 'inches'", "write in"),
        (units.parse_length, "4 kg", "is a mass, where a length is meant", "mm, cm, m"),
        (units.parse_length, "5 m 3", "no length", "4 ft 6 in"),
        (units.parse_length, "1 m 20 cm", "no length", "one number and one unit"),
        (units.parse_length, "1/0 in", "divides by nothing", "3/8"),
        (units.parse_length, "12:30", "no length", "like 300 mm"),
        (units.parse_length, "", "no length given", "like 300 mm"),
        (units.parse_length, "9" * 100, "too long", "like 300 mm"),
        (units.parse_mass, "0 kg", "a mass of 0", "leave it out"),
        (units.parse_mass, "2 tons", "unknown unit 'tons'", "write t (1000 kg), or lb"),
        (units.parse_mass, "5 m", "is a length, where a mass is meant", "kg, g, t"),
        (units.parse_mass, "2000 t", "over 1000 t", "like 4 kg"),
        (units.parse_size, "3,5x4 m", "decimal comma", "write 3.5 m"),
        (units.parse_size, "1x2x3x4", "no size", "two or three"),
        (units.parse_size, "300x", "no size", "two or three"),
        (units.parse_size, "0x200", "a length of 0", "leave it out"),
        (units.parse_area_load, "5", "says no unit", "kN/m2"),
        (units.parse_area_load, "5 kN", "is a force, where a floor load is meant", "kN/m2"),
        (units.parse_force, "4.5 kN/m2", "is a floor load, where a force is meant", "kN, N"),
        (units.parse_slope, "1:25", "no slope", "write 1 in 25"),
        (units.parse_slope, "0.04", "no slope", "write 1 in 25, 4 % or 2.3 deg"),
        (units.parse_slope, "46 deg", "steeper than 1 in 1", "write 1 in 25"),
        (units.parse_slope, "1 in 0", "steeper than 1 in 1", "write 1 in 25"),
        (units.parse_share, "101 %", "over 100 %", "85 %"),
        (units.parse_angle, "400", "over 360 deg", "like 90"),
        (units.parse_point, "12", "no point", "1200,300"),
        (units.parse_point, "1,5,3", "no point", "1200,300"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_line(parse: object, text: str, what: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text)  # type: ignore[operator]
    assert what in caught.value.what
    assert hint in caught.value.hint
    assert str(caught.value) == f"{caught.value.what} ({caught.value.hint})"
    assert "\n" not in str(caught.value)


_PARSERS = [
    units.parse_length,
    units.parse_coordinate,
    units.parse_measured,
    units.parse_length_about,
    units.parse_mass,
    units.parse_mass_about,
    units.parse_size,
    units.parse_size_about,
    units.parse_force,
    units.parse_area_load,
    units.parse_angle,
    units.parse_share,
    units.parse_slope,
    units.parse_point,
]
_SCRAPS = st.lists(
    st.sampled_from(
        [*"0123456789.,-+/xX*:%~'\" eE_", "mm", "m", "in", "ft", "kg", "about", "+-", "deg", "nan"]
    )
).map("".join)


@pytest.mark.parametrize("parse", _PARSERS, ids=lambda p: p.__name__)
@given(text=st.one_of(st.text(), _SCRAPS))
def test_any_text_is_a_finite_value_or_one_clear_line(parse: object, text: str) -> None:
    try:
        found = parse(text)  # type: ignore[operator]
    except UnitError as error:
        assert error.what
        assert str(error).isprintable()
    else:
        for value in _numbers(found):
            assert math.isfinite(value)
            assert abs(value) <= 1_000_000


def _numbers(found: object) -> list[float]:
    if isinstance(found, tuple):
        return [number for each in found for number in _numbers(each)]
    return [] if found is None or isinstance(found, bool) else [found]  # type: ignore[list-item]


@given(
    whole=st.integers(0, 500),
    top=st.integers(0, 63),
    bottom=st.sampled_from([2, 4, 8, 16, 32, 64]),
    unit=st.sampled_from(["in", "ft", "mm", "m"]),
)
def test_fractions_are_exact(whole: int, top: int, bottom: int, unit: str) -> None:
    factor = {"in": INCH_MM, "ft": 12 * INCH_MM, "mm": Fraction(1), "m": Fraction(1000)}[unit]
    exact = (whole + Fraction(top, bottom)) * factor
    assert units.parse_length(f"{whole} {top}/{bottom} {unit}") == float(exact)


@given(st.decimals(0, 999, places=4))
def test_decimals_are_exact(number: Decimal) -> None:
    assert units.parse_length(f"{number} in") == float(Fraction(number) * INCH_MM)


@given(st.floats(0, 900_000))
def test_a_shown_length_reads_back_to_within_its_rounding(mm: float) -> None:
    for us, off in ((False, 5.0 if mm >= 9_999 else 0.5 if mm >= 99 else 0.05), (True, 25.4 / 32)):
        assert units.parse_length(units.show_length(mm, us=us)) == pytest.approx(mm, abs=off * 1.0001)


@given(st.floats(0.0011, 900_000))
def test_a_shown_mass_reads_back_to_within_its_rounding(kg: float) -> None:
    for us in (False, True):
        assert units.parse_mass(units.show_mass(kg, us=us)) == pytest.approx(
            kg, rel=0.006, abs=2e-4 if us else 5e-6
        )


@given(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5))
def test_a_shown_point_reads_back(x: float, y: float) -> None:
    assert units.parse_point(units.show_point(x, y)) == pytest.approx((x, y), abs=0.0501)


def test_a_measure_never_looks_like_the_limit_it_misses() -> None:
    assert units.show_lengths(699.6, 700) == ("699.6 mm", "700 mm")
    assert units.show_lengths(711.2, 711.0) == ("711.2 mm", "711 mm")
    assert units.show_lengths(640, 700) == ("640 mm", "700 mm")
    assert units.show_lengths(700, 700) == ("700 mm", "700 mm")


def test_showing() -> None:
    assert units.show_length(None) == "not measured"
    assert units.show_length(2400.4) == "2400 mm"
    assert units.show_length(3.25) == "3.2 mm"
    assert units.show_length(0.0762) == "0.076 mm"
    assert units.show_length(12_345) == "12.35 m"
    assert units.show_length(2400, us=True) == "7 ft 10 1/2 in"
    assert units.show_length(-0.001) == "-0.001 mm"
    assert units.show_mass(None) == "not weighed"
    assert units.show_mass(41.4) == "41.4 kg"
    assert units.show_mass(999.6) == "1 t"
    assert units.show_mass(1620, about=True) == "about 1.62 t"
    assert units.show_mass(0.25) == "250 g"
    assert units.show_mass(5.44310844, us=True) == "12 lb"
    assert units.show_area(1_250_000) == "1.25 m2"
    assert units.show_area(None) == "not measured"
    assert units.show_area_load(5) == "5 kN/m2"
    assert units.show_area_load(5.985032372541981, us=True) == "125 psf"
    assert units.show_force(4.5) == "4.5 kN"
    assert units.show_force(0.35) == "350 N"
    assert units.show_slope(0.04) == "1 in 25 (2.3 deg)"
    assert units.show_slope(0) == "level"
    assert units.show_size((300, 200, 150), about=True) == "about 300 x 200 x 150 mm"
    assert units.show_share(0.855) == "86 %"
    assert units.show_angle(89.96) == "90 deg"


def test_units_load_nothing_heavy() -> None:
    code = "import sys, shopbins.units; print(sorted(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    for heavy in ("numpy", "yaml", "shapely", "textual", "rich", "scipy", "fractions", "decimal", "difflib"):
        assert f"'{heavy}'" not in loaded


@pytest.mark.parametrize(
    ("text", "inches"),
    [("6'2\"", 74), ("6' 2\"", 74), ("6'", 72), ('4"', 4), ("6'2 3/8\"", Fraction(595, 8)), ("2''", 2)],
)
def test_feet_and_inches_by_their_signs(text: str, inches: int | Fraction) -> None:
    """International yard and pound agreement, 1959: an inch is 25.4 mm."""
    assert units.parse_length(text) == float(inches * INCH_MM)


@pytest.mark.parametrize("text", ["2\"6'", "6'2", "6'2\"3", "'", "6''2'"])
def test_feet_and_inches_the_wrong_way_round(text: str) -> None:
    with pytest.raises(units.UnitError):
        units.parse_length(text)


@pytest.mark.parametrize("us", [False, True])
def test_what_has_to_hold_something_is_never_shown_as_less_nor_as_much_more(us: bool) -> None:
    for n in range(1600):
        kg = 1.006**n
        shown = units.parse_mass(units.show_rating(kg, us=us))
        assert kg * (1 - 1e-9) <= shown <= kg * 1.0101, kg
    assert units.show_rating(1004.0, us=False) == "1.01 t" and units.show_mass(1004.0, us=False) == "1 t"
    assert [units.show_rating(kg, us=False) for kg in (1200, 300, 644, 643.2, 25)] == [
        "1.2 t", "300 kg", "644 kg", "644 kg", "25 kg",
    ]  # fmt: skip
