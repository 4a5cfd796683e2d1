"""Lengths, masses, loads, forces, slopes and angles: reading what people write, and showing it.

Inside, everything is in mm, kg, mm2, kN/m2, kN and degrees. Text is ASCII with a decimal point. A number is
read as a ratio of whole numbers and multiplied by an exact factor, so '28 in' is the float nearest to
711.2 mm. Whatever cannot be read raises `UnitError`, which says what is wrong and what to write instead.

Factors: inch 25.4 mm, pound 0.45359237 kg (international yard and pound agreement of 1959); standard
gravity 9.80665 m/s2 (3rd CGPM, 1901). The bounds on absurd values are our own.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

Ratio = tuple[int, int]

LONGEST_TEXT = 60
LONGEST_MM = 1_000_000.0
HEAVIEST_KG = 1_000_000.0
MM_PER_IN = 25.4
KG_PER_LB = 0.45359237
GRAVITY_M_S2 = 9.80665
KN_PER_LBF = 0.0044482216152605
KN_M2_PER_PSF = KN_PER_LBF / 0.3048**2


class UnitError(ValueError):
    """A quantity that cannot be read: `what` is wrong with it and, as a `hint`, what to write."""

    def __init__(self, what: str, hint: str = "") -> None:
        super().__init__(f"{what} ({hint})" if hint else what)
        self.what = what
        self.hint = hint


class Amount(NamedTuple):
    """A value and whether it is only about right ('about 4 kg', '~4 kg')."""

    value: float
    about: bool


class SizeAmount(NamedTuple):
    """The two or three numbers of a size in mm, and whether they are only about right."""

    mm: tuple[float, ...]
    about: bool


class Measured(NamedTuple):
    """A length in mm and how well it was measured ('2400 +- 10 mm'); None where the text does not say."""

    mm: float
    within_mm: float | None


@dataclass(frozen=True, slots=True)
class _Quantity:
    """What may be written for one kind of quantity; `bare` is the unit of a number without one."""

    noun: str
    bare: str | None
    factors: Mapping[str, Ratio]
    most: float
    most_shown: str
    example: str
    after: Mapping[str, str] = field(default_factory=dict)

    @property
    def a(self) -> str:
        """The noun with its article."""
        return f"{'an' if self.noun[0] in 'aeiou' else 'a'} {self.noun}"

    @property
    def units(self) -> str:
        """The units to choose from, for a hint."""
        names = list(self.factors)
        return ", ".join(names[:-1]) + (" or " if len(names) > 1 else "") + names[-1]


_LENGTH = _Quantity(
    noun="length",
    bare="mm",
    factors={
        "mm": (1, 1),
        "cm": (10, 1),
        "m": (1000, 1),
        "in": (254, 10),
        "ft": (3048, 10),
        "thou": (254, 10_000),
        "um": (1, 1000),
    },
    most=LONGEST_MM,
    most_shown="1000 m",
    example="300 mm, 1.2 m, 4 ft 6 in",
    after={"ft": "in"},
)
_MASS = _Quantity(
    noun="mass",
    bare="kg",
    factors={
        "kg": (1, 1),
        "g": (1, 1000),
        "t": (1000, 1),
        "lb": (45_359_237, 100_000_000),
        "oz": (45_359_237, 1_600_000_000),
    },
    most=HEAVIEST_KG,
    most_shown="1000 t",
    example="4 kg, 1.6 t, 12 lb",
    after={"lb": "oz"},
)
# lbf in N = lb in kg x 9.80665; kept as whole numbers so that nothing is rounded twice.
_LBF_N: Ratio = (45_359_237 * 980_665, 100_000_000 * 100_000)
_FORCE = _Quantity(
    noun="force",
    bare=None,
    factors={"kN": (1, 1), "N": (1, 1000), "lbf": (_LBF_N[0], _LBF_N[1] * 1000)},
    most=100_000.0,
    most_shown="100000 kN",
    example="4.5 kN, 1000 lbf",
)
_AREA_LOAD = _Quantity(
    noun="floor load",
    bare=None,
    factors={
        "kN/m2": (1, 1),
        "kPa": (1, 1),
        "psf": (_LBF_N[0] * 10**8, _LBF_N[1] * 1000 * 3048**2),
        "kg/m2": (980_665, 100_000_000),
    },
    most=1000.0,
    most_shown="1000 kN/m2",
    example="5 kN/m2, 125 psf, 500 kg/m2",
)
_ANGLE = _Quantity(
    noun="angle", bare="deg", factors={"deg": (1, 1)}, most=360.0, most_shown="360 deg", example="90, 15 deg"
)
_SHARE = _Quantity(
    noun="share", bare=None, factors={"%": (1, 100)}, most=1.0, most_shown="100 %", example="85 %"
)
_ALL = (_LENGTH, _MASS, _FORCE, _AREA_LOAD, _ANGLE, _SHARE)

# Other ways people write units, and what to write here.
_MEANT = {
    '"': "in", "''": "in", "inch": "in", "inches": "in", "ins": "in", "'": "ft", "foot": "ft", "feet": "ft",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m", "mil": "thou", "mils": "thou",
    "micron": "um", "microns": "um", "mms": "mm", "millimetres": "mm", "kgs": "kg", "kilo": "kg",
    "kilos": "kg", "lbs": "lb", "pound": "lb", "pounds": "lb", "gram": "g", "grams": "g", "gr": "g",
    "tonne": "t", "tonnes": "t", "ton": "t (1000 kg), or lb", "tons": "t (1000 kg), or lb", "ounce": "oz",
    "kn/m^2": "kN/m2", "kn/sqm": "kN/m2", "kg/m^2": "kg/m2", "lb/ft2": "psf", "lbf/ft2": "psf",
    "lbs/ft2": "psf", "kg/sqm": "kg/m2", "newton": "N", "kgf": "kN or N", "degree": "deg", "degrees": "deg",
    "percent": "%", "pct": "%",
}  # fmt: skip
_ASCII_FOR = {
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅜": " 3/8", "⅝": " 5/8", "⅛": " 1/8", "⅞": " 7/8", "×": "x",
    "µ": "u", "μ": "u", "²": "2", "°": " deg", "±": "+-", "−": "-", "–": "-", "—": "-", "′": " ft",
    "″": " in", "’": " ft", "”": " in", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
}  # fmt: skip

_NUMBER = r"(?:\d+[ \t]+\d+/\d+|\d+-\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+)"
# A 2 that ends a unit (m2) must not be the number that begins the next piece (6ft2in).
_UNIT = r"[A-Za-z]+(?:[/.][A-Za-z]+)?(?:\^?[23](?![0-9./]*[ \t]*[A-Za-z]))?|%|[\"']{1,2}"
_PIECE = re.compile(rf"[ \t]*({_NUMBER})[ \t]*({_UNIT})?[ \t]*")
_EXPONENT = re.compile(r"(\d+\.?\d*|\.\d+)[eE][-+]?\d+")
_NO_NUMBER = re.compile(r"[-+.]*(nan|inf|infinity)\b", re.IGNORECASE)


def _shown(text: str) -> str:
    return ascii(text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 3] + "...")


def _prepare(text: str, noun: str, example: str) -> str:
    """Return the text stripped, refusing what no quantity can look like."""
    if not isinstance(text, str):
        raise UnitError(f"{text!r} is no {noun}", f"like {example}")
    text = text.strip().replace("\t", " ")
    if not text:
        raise UnitError(f"no {noun} given", f"like {example}")
    if len(text) > LONGEST_TEXT:
        raise UnitError(f"{_shown(text)} is too long for a {noun}", f"like {example}")
    if not text.isascii():
        plain = "".join(_ASCII_FOR.get(c, c) for c in text)
        readable = plain.isascii() and plain.isprintable()
        hint = f"write {' '.join(plain.split())}" if readable else f"plain letters only, like {example}"
        raise UnitError(f"{_shown(text)} has a sign that is not ASCII", hint)
    if not text.isprintable():
        raise UnitError(f"{_shown(text)} has a hidden character", "take it out")
    if _NO_NUMBER.match(text):
        raise UnitError(f"{_shown(text)} is no number", f"like {example}")
    found = _EXPONENT.search(text)
    if found:
        raise UnitError(f"{_shown(text)} has an exponent", f"write {_plain(found.group())}")
    return text


def _plain(exponent: str) -> str:
    """Write a number with an exponent as a plain one, where that is short enough."""
    mantissa, power = re.split("[eE]", exponent, maxsplit=1)
    if abs(int(power[:6])) > 15:
        return "the number out"
    return f"{float(mantissa) * 10.0 ** int(power):.15f}".rstrip("0").rstrip(".")


def _ratio(number: str) -> Ratio:
    """Return a number as written ('12', '.5', '3/8', '1 3/8', '1-3/8') as a ratio of whole numbers."""
    parts = re.split(r"[ \t-]+", number)
    if "/" in parts[-1]:
        top, bottom = (int(each) for each in parts[-1].split("/"))
        if bottom == 0:
            raise UnitError(f"{_shown(number)} divides by nothing", "write a fraction like 3/8")
        whole = int(parts[0]) if len(parts) > 1 else 0
        return whole * bottom + top, bottom
    before, _, behind = number.partition(".")
    return int((before + behind) or "0"), 10 ** len(behind)


def _unit_of(written: str, kind: _Quantity, text: str) -> str:
    """Return the unit's own spelling, or say what is wrong with it."""
    for unit in kind.factors:
        if written == unit or written.lower() == unit.lower():
            return unit
    hint = kind.units
    meant = _MEANT.get(written.lower())
    if meant is not None and any(meant.startswith(u) for u in kind.factors):
        raise UnitError(f"{_shown(text)}: unknown unit {_shown(written)}", f"write {meant}")
    for other in _ALL:
        if any(written.lower() == unit.lower() for unit in other.factors):
            raise UnitError(f"{_shown(text)} is {other.a}, where {kind.a} is meant", hint)
    if re.fullmatch("[eE][A-Za-z0-9]*", written):
        raise UnitError(f"{_shown(text)} is no {kind.noun}", f"like {kind.example}")
    raise UnitError(f"{_shown(text)}: unknown unit {_shown(written)}", hint)


def _pieces(text: str, kind: _Quantity) -> list[tuple[Ratio, str | None]]:
    """Cut the text into numbers and their units ('4 ft 6 in' is two)."""
    found: list[tuple[Ratio, str | None]] = []
    at = 0
    while at < len(text):
        match = _PIECE.match(text, at)
        if match is None or (found and match.group(2) is None):
            raise _unreadable(text, kind)
        unit = match.group(2)
        found.append((_ratio(match.group(1)), None if unit is None else _unit_of(unit, kind, text)))
        at = match.end()
    return found


def _unreadable(text: str, kind: _Quantity) -> UnitError:
    """Say why a text is no quantity: a decimal comma, a missing number, or something else."""
    if re.search(r"\d,\d", text):
        if re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?\D*", text):
            joined = text.replace(",", "")
            either = f" or {text.replace(',', '.')}" if text.count(",") == 1 and "." not in text else ""
            return UnitError(f"{_shown(text)} has a comma in the number", f"write {joined}{either}")
        if re.match(r"\d{1,3}(\.\d{3})+,\d", text):
            return UnitError(
                f"{_shown(text)} has a decimal comma", f"write {text.replace('.', '').replace(',', '.')}"
            )
        pointed = re.sub(r"(?<=\d),(?=\d)", ".", text)
        return UnitError(f"{_shown(text)} has a decimal comma", f"write {pointed}")
    if re.search(r"\d_\d", text):
        return UnitError(f"{_shown(text)} has an underscore in the number", f"write {text.replace('_', '')}")
    return UnitError(f"{_shown(text)} is no {kind.noun}", f"like {kind.example}")


def _read(text: str, kind: _Quantity, *, zero: bool = True, signed: bool = False) -> float:
    """Read one quantity in the unit we keep it in."""
    text = _prepare(text, kind.noun, kind.example)
    sign, body = 1, text
    if text[0] in "+-":
        sign, body = (-1 if text[0] == "-" else 1), text[1:].lstrip()
        if body[:1] in ("", "+", "-"):
            raise _unreadable(text, kind)
        if sign < 0 and not signed:
            _read(body, kind)
            raise UnitError(f"{_shown(text)} is negative", f"{kind.a} is not below 0")
    value = _total(_pieces(body, kind), kind, text)
    if value > kind.most:
        raise UnitError(f"{_shown(text)} is over {kind.most_shown}", f"like {kind.example}")
    if value == 0 and not zero:
        raise UnitError(f"{kind.a} of 0", "leave it out where it is not known")
    return sign * value + 0.0


def _total(pieces: list[tuple[Ratio, str | None]], kind: _Quantity, text: str) -> float:
    """Add up the pieces; two only where the second is the smaller partner ('ft' then 'in')."""
    if not pieces:
        raise _unreadable(text, kind)
    units = [unit for _, unit in pieces]
    first = units[0]
    if len(pieces) > 2 or (len(pieces) == 2 and (first is None or kind.after.get(first) != units[1])):
        raise UnitError(f"{_shown(text)} is no {kind.noun}", f"one number and one unit, like {kind.example}")
    top, bottom = 0, 1
    for (n, d), unit in pieces:
        if unit is None and kind.bare is None:
            raise UnitError(f"{_shown(text)} says no unit", kind.units)
        fn, fd = kind.factors[unit or kind.bare or ""]
        top, bottom = top * d * fd + n * fn * bottom, bottom * d * fd
    return top / bottom


def _about(text: str) -> tuple[str, bool]:
    """Take a leading 'about' or '~' off."""
    stripped = text.strip() if isinstance(text, str) else text
    if isinstance(stripped, str):
        if stripped.startswith("~"):
            return stripped[1:], True
        if re.match(r"about\b", stripped, re.IGNORECASE):
            return stripped[5:], True
    return text, False


def parse_length(text: str, *, zero: bool = True) -> float:
    """Read a length in mm: '300mm', '1.2 m', '1 3/8 in', '4 ft 6 in', '3 thou'; a bare number is mm."""
    return _read(text, _LENGTH, zero=zero)


def parse_coordinate(text: str) -> float:
    """Read a length in mm that may be negative."""
    return _read(text, _LENGTH, signed=True)


def parse_measured(text: str, *, signed: bool = False, zero: bool = True) -> Measured:
    """Read a length with how well it was measured: '2400 +- 10 mm', '8 ft +- 1/2 in', '2400'."""
    value, plus_minus, within = text.partition("+-") if isinstance(text, str) else (text, "", "")
    if not plus_minus:
        return Measured(_read(text, _LENGTH, signed=signed, zero=zero), None)
    mm = _read(value, _LENGTH, signed=signed, zero=zero)
    spread = _read(within, _LENGTH)
    bare_value = value.strip().strip("-+").replace(".", "").isdigit()
    bare_within = within.strip().replace(".", "").isdigit()
    if bare_value != bare_within and not (bare_value and within.strip().lower().endswith("mm")):
        raise UnitError(f"{_shown(text)} says one unit for two numbers", "write 2400 mm +- 1 cm")
    return Measured(mm, spread)


def parse_length_about(text: str) -> Amount:
    """Read a length in mm that may be 'about' right."""
    rest, about = _about(text)
    return Amount(parse_length(rest), about)


def parse_mass(text: str) -> float:
    """Read a mass in kg: '4kg', '250 g', '1.6 t', '12 lb', '3 lb 4 oz'; a bare number is kg. 0 is refused."""
    return _read(text, _MASS, zero=False)


def parse_mass_about(text: str) -> Amount:
    """Read a mass in kg that may be 'about' right."""
    rest, about = _about(text)
    return Amount(parse_mass(rest), about)


def parse_size(text: str) -> tuple[float, ...]:
    """Read two or three lengths in mm: '300x200x150mm', '1.2 x 0.8 m', '4 ft x 18 in'.

    A unit after the last number holds for those without one; all bare is mm.
    """
    text = _prepare(text, "size", "300x200x150 mm")
    parts = [part.strip() for part in re.split(r"[xX*]", text)]
    if len(parts) not in (2, 3) or not all(parts):
        if re.search(r"\d,\d", text):
            raise _unreadable(text, _LENGTH)
        raise UnitError(f"{_shown(text)} is no size", "two or three lengths, like 300x200x150 mm")
    last = re.search(r"[A-Za-z\"']+$", parts[-1])
    shared = last.group() if last else ""
    spelt = [f"{part} {shared}" if re.search(r"[\d.]$", part) else part for part in parts]
    return tuple(_read(part, _LENGTH, zero=False) for part in spelt)


def parse_size_about(text: str) -> SizeAmount:
    """Read a size in mm that may be 'about' right."""
    rest, about = _about(text)
    return SizeAmount(parse_size(rest), about)


def parse_force(text: str) -> float:
    """Read a force in kN: '4.5 kN', '350 N', '1000 lbf'. The unit must be there."""
    return _read(text, _FORCE)


def parse_area_load(text: str) -> float:
    """Read a load on a floor in kN/m2: '5 kN/m2', '125 psf', '500 kg/m2'. The unit must be there."""
    return _read(text, _AREA_LOAD)


def parse_angle(text: str) -> float:
    """Read an angle in degrees, -360 to 360: '90', '-15 deg'."""
    return _read(text, _ANGLE, signed=True)


def parse_share(text: str) -> float:
    """Read a share: '85 %' is 0.85."""
    return _read(text, _SHARE)


def parse_slope(text: str) -> float:
    """Read a slope as fall over run: '1 in 25', '4 %', '2.3 deg'. Steeper than 1 in 1 is refused."""
    text = _prepare(text, "slope", "1 in 25, 4 %, 2.3 deg")
    one_in = re.fullmatch(rf"({_NUMBER})[ \t]*in[ \t]*({_NUMBER})", text)
    if one_in:
        (a, b), (c, d) = _ratio(one_in.group(1)), _ratio(one_in.group(2))
        fall = math.inf if c == 0 else (a * d) / (b * c)
    elif text.endswith("%"):
        fall = _read(text, _SHARE)
    elif text.lower().endswith("deg"):
        angle = _read(text, _ANGLE)
        fall = 1.0 if angle == 45 else math.tan(math.radians(angle)) if angle < 90 else math.inf
    elif re.fullmatch(r"\d+\s*[:/]\s*\d+", text):
        spelt = re.sub(r"\s*[:/]\s*", " in ", text)
        raise UnitError(f"{_shown(text)} is no slope", f"write {spelt}")
    else:
        raise UnitError(f"{_shown(text)} is no slope", "write 1 in 25, 4 % or 2.3 deg")
    if fall > 1:
        raise UnitError(f"{_shown(text)} is steeper than 1 in 1", "write 1 in 25, 4 % or 2.3 deg")
    return fall


def parse_point(text: str) -> tuple[float, float]:
    """Read a point in mm: '1200,300', '1.2 m, -300'. Each number may carry its unit."""
    text = _prepare(text, "point", "1200,300")
    parts = text.split(",")
    if len(parts) != 2:
        raise UnitError(f"{_shown(text)} is no point", "two lengths with a comma between, like 1200,300")
    return parse_coordinate(parts[0]), parse_coordinate(parts[1])


# -- showing ------------------------------------------------------------------------------------------


def _rounded(value: float, places: int) -> str:
    """Round and drop trailing zeros, never showing '-0'."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _three(value: float) -> str:
    """Show about three figures."""
    size = abs(value)
    return _rounded(value, 0 if size >= 99.5 else 1 if size >= 9.95 else 2)


def show_length(mm: float | None, *, us: bool = False) -> str:
    """Show a length: '2400 mm', '12.4 m' from 10 m on; in US units '7 ft 10 1/2 in' to a sixteenth."""
    if mm is None:
        return "not measured"
    if us:
        return _feet_inches(mm)
    if abs(mm) >= 10_000:
        return f"{_rounded(mm / 1000, 2)} m"
    size = abs(mm)
    return f"{_rounded(mm, 0 if size >= 99.95 else 1 if size >= 1 else 3)} mm"


def show_lengths(a_mm: float, b_mm: float) -> tuple[str, str]:
    """Show a measured length and its limit so that they look different where they differ.

    '699.6 mm' and '700 mm' rather than '700 mm' twice.
    """
    for places in range(7):
        pair = f"{_rounded(a_mm, places)} mm", f"{_rounded(b_mm, places)} mm"
        if pair[0] != pair[1] or a_mm == b_mm:
            return pair
    return pair


def _feet_inches(mm: float) -> str:
    sixteenths = round(abs(mm) / MM_PER_IN * 16)
    sign = "-" if mm < 0 and sixteenths else ""
    inches, part = divmod(sixteenths, 16)
    feet, inches = divmod(inches, 12)
    words = [f"{feet} ft"] if feet else []
    number = str(inches) if inches else ""
    if part:
        over = math.gcd(part, 16)
        number = f"{number} {part // over}/{16 // over}".strip()
    if number or not words:
        words.append(f"{number or '0'} in")
    return sign + " ".join(words)


def show_size(mm: Iterable[float], *, about: bool = False, us: bool = False) -> str:
    """Show a size: '300 x 200 x 150 mm'."""
    lead = "about " if about else ""
    if us:
        return lead + " x ".join(_feet_inches(each) for each in mm)
    return lead + " x ".join(_rounded(each, 0 if each >= 99.95 else 1) for each in mm) + " mm"


def show_mass(kg: float | None, *, about: bool = False, us: bool = False) -> str:
    """Show a mass: '4.2 kg', '250 g', '1.62 t'; 'not weighed' where it is not known."""
    if kg is None:
        return "not weighed"
    lead = "about " if about else ""
    if us:
        lb = kg / KG_PER_LB
        return lead + (f"{_three(lb * 16)} oz" if 0 < abs(lb) < 1 else f"{_three(lb)} lb")
    if 0 < abs(kg) < 0.9995:
        return f"{lead}{_three(kg * 1000)} g"
    return lead + (f"{_rounded(kg / 1000, 2)} t" if abs(kg) >= 999.5 else f"{_three(kg)} kg")


def show_area(mm2: float | None, *, us: bool = False) -> str:
    """Show an area: '1.25 m2', '13.5 ft2'."""
    if mm2 is None:
        return "not measured"
    return f"{_three(mm2 / 304.8**2)} ft2" if us else f"{_three(mm2 / 1e6)} m2"


def show_area_load(kn_m2: float | None, *, us: bool = False) -> str:
    """Show a floor load: '5 kN/m2', '104 psf'."""
    if kn_m2 is None:
        return "not known"
    return f"{_three(kn_m2 / KN_M2_PER_PSF)} psf" if us else f"{_three(kn_m2)} kN/m2"


def show_force(kn: float | None, *, us: bool = False) -> str:
    """Show a force: '4.5 kN', '350 N', '1010 lbf'."""
    if kn is None:
        return "not known"
    if us:
        return f"{_three(kn / KN_PER_LBF)} lbf"
    return f"{_three(kn * 1000)} N" if 0 < abs(kn) < 0.9995 else f"{_three(kn)} kN"


def show_slope(fall: float) -> str:
    """Show a slope: '1 in 25 (2.3 deg)'; 'level' for none."""
    if fall <= 0:
        return "level"
    return f"1 in {_three(1 / fall)} ({_rounded(math.degrees(math.atan(fall)), 1)} deg)"


def show_angle(deg: float) -> str:
    """Show an angle: '90 deg'."""
    return f"{_rounded(deg, 1)} deg"


def show_share(share: float) -> str:
    """Show a share: '85 %'."""
    return f"{_rounded(share * 100, 0)} %"


def show_point(x_mm: float, y_mm: float) -> str:
    """Show a point as `parse_point` reads it: '1200,300'."""
    return f"{_rounded(x_mm, 1)},{_rounded(y_mm, 1)}"
