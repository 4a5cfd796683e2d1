"""Reading quantities as people write them: ASCII text with a decimal point."""

from __future__ import annotations

import math
import re
from functools import lru_cache

from shopbins.units.quantities import (
    ALL,
    ANGLE,
    AREA_LOAD,
    ASCII_FOR,
    FORCE,
    GAS_VOLUME,
    GRAVITY_M_S2,
    LENGTH,
    LONGEST_TEXT,
    MASS,
    MEANT,
    SHARE,
    SIGNS,
    VOLUME,
    Amount,
    Measured,
    Quantity,
    Ratio,
    SizeAmount,
    UnitError,
)

_NUMBER = r"(?:\d+[ \t]+\d+/\d+|\d+-\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+)"
# A 2 that ends a unit (m2) must not be the number that begins the next piece (6ft2in).
_UNIT = r"[A-Za-z]+(?:[/.][A-Za-z]+)?(?:\^?[23](?![0-9./]*[ \t]*[A-Za-z]))?|%|[\"']{1,2}"
_PIECE = re.compile(rf"[ \t]*({_NUMBER})[ \t]*({_UNIT})?[ \t]*")
_EXPONENT = re.compile(r"(\d+\.?\d*|\.\d+)[eE][-+]?\d+")
_NO_NUMBER = re.compile(r"[-+.]*(nan|inf|infinity)\b", re.IGNORECASE)


def _shown(text: str) -> str:
    return repr(text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 3] + "...")


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
        plain = "".join(ASCII_FOR.get(c, c) for c in text)
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


def _unit_of(written: str, kind: Quantity, text: str) -> str:
    """Return the unit's own spelling, or say what is wrong with it."""
    written = SIGNS.get(written, written)
    for unit in kind.factors:
        if written == unit or written.lower() == unit.lower():
            return unit
    hint = kind.units
    meant = MEANT.get(written.lower())
    if meant is not None and any(meant.startswith(u) for u in kind.factors):
        raise UnitError(f"{_shown(text)}: unknown unit {_shown(written)}", f"write {meant}")
    for other in ALL:
        if any(written.lower() == unit.lower() for unit in other.factors):
            raise UnitError(f"{_shown(text)} is {other.a}, where {kind.a} is meant", hint)
    if re.fullmatch("[eE][A-Za-z0-9]*", written):
        raise UnitError(f"{_shown(text)} is no {kind.noun}", f"like {kind.example}")
    raise UnitError(f"{_shown(text)}: unknown unit {_shown(written)}", hint)


def _pieces(text: str, kind: Quantity) -> list[tuple[Ratio, str | None]]:
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


def _unreadable(text: str, kind: Quantity) -> UnitError:
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


@lru_cache(maxsize=4096)
def _read(text: str, kind: Quantity, *, zero: bool = True, signed: bool = False) -> float:
    """Read one quantity in the unit we keep it in; a shop says the same heights and loads again and again."""
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


def _total(pieces: list[tuple[Ratio, str | None]], kind: Quantity, text: str) -> float:
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


_DECIMAL_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d+)(?=\s*[a-z\"'*])", re.IGNORECASE)


def pointed(text: str) -> str:
    """Write a decimal comma as a point: '4,5 kg', '2,5x1,2x0,9 m'.

    Only before a unit or the next length, and where it cannot part thousands ('1,200 kg' stays and is asked
    about). Not for a line or a file that commas divide.
    """

    def point(found: re.Match[str]) -> str:
        whole, rest = found.groups()
        return found.group() if len(rest) == 3 and whole.strip("0") else f"{whole}.{rest}"

    return _DECIMAL_COMMA.sub(point, text)


def parse_length(text: str, *, zero: bool = True) -> float:
    """Read a length in mm: '300mm', '1.2 m', '1 3/8 in', '4 ft 6 in', '3 thou'; a bare number is mm."""
    return _read(text, LENGTH, zero=zero)


def parse_coordinate(text: str) -> float:
    """Read a length in mm that may be negative."""
    return _read(text, LENGTH, signed=True)


def parse_measured(text: str, *, signed: bool = False, zero: bool = True) -> Measured:
    """Read a length with how well it was measured: '2400 +- 10 mm', '8 ft +- 1/2 in', '2400'."""
    value, plus_minus, within = text.partition("+-") if isinstance(text, str) else (text, "", "")
    if not plus_minus:
        return Measured(_read(text, LENGTH, signed=signed, zero=zero), None)
    mm = _read(value, LENGTH, signed=signed, zero=zero)
    spread = _read(within, LENGTH)
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
    return _read(text, MASS, zero=False)


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
            raise _unreadable(text, LENGTH)
        raise UnitError(f"{_shown(text)} is no size", "two or three lengths, like 300x200x150 mm")
    last = re.search(r"[A-Za-z\"']+$", parts[-1])
    shared = last.group() if last else ""
    spelt = [f"{part} {shared}" if re.search(r"[\d.]$", part) else part for part in parts]
    return tuple(_read(part, LENGTH, zero=False) for part in spelt)


def parse_size_about(text: str) -> SizeAmount:
    """Read a size in mm that may be 'about' right."""
    rest, about = _about(text)
    return SizeAmount(parse_size(rest), about)


def parse_volume(text: str) -> float:
    """Read a volume in litres: '20 L', '500 mL', '5 gal' (US gallon, 3.785411784 L); a bare number is L."""
    return _read(text, VOLUME, zero=False)


def parse_gas_volume(text: str) -> float:
    """Read a volume of gas in litres: '145 cu ft', '4.1 m3'; a bare number could be either and is refused."""
    return _read(re.sub(r"(?i)cu\.? ?ft|cubic (?:feet|foot)", "ft3", text), GAS_VOLUME, zero=False)


def parse_bearing(text: str) -> float:
    """Read what a cover bears, a mass or a force, in kg: '1.5 t', '15 kN'."""
    try:
        return parse_mass(text)
    except UnitError as not_mass:
        try:
            return _read(text, FORCE, zero=False) * 1000.0 / GRAVITY_M_S2
        except UnitError:
            raise not_mass from None


_TEMPERATURE = re.compile(r"(-?\d{1,3}(?:\.\d{1,2})?) ?(?:deg ?)?([CcFf])?")


def parse_temperature(text: str) -> float:
    """Read a temperature in degrees Celsius: '40', '40 C', '104 F'."""
    text = _prepare(text, "temperature", "40 C, 104 F")
    found = _TEMPERATURE.fullmatch(text)
    if found is None:
        raise UnitError(f"{_shown(text)} is no temperature", "like 40 C, 104 F")
    value = float(found.group(1))
    return (value - 32.0) / 1.8 if (found.group(2) or "C").upper() == "F" else value


def parse_force(text: str) -> float:
    """Read a force in kN: '4.5 kN', '350 N', '1000 lbf'. The unit must be there."""
    return _read(text, FORCE)


def parse_area_load(text: str) -> float:
    """Read a load on a floor in kN/m2: '5 kN/m2', '125 psf', '500 kg/m2'. The unit must be there."""
    return _read(text, AREA_LOAD)


def parse_angle(text: str) -> float:
    """Read an angle in degrees, -360 to 360: '90', '-15 deg'."""
    return _read(text, ANGLE, signed=True)


def parse_share(text: str) -> float:
    """Read a share: '85 %' is 0.85."""
    return _read(text, SHARE)


def parse_slope(text: str) -> float:
    """Read a slope as fall over run: '1 in 25', '4 %', '2.3 deg'. Steeper than 1 in 1 is refused."""
    text = _prepare(text, "slope", "1 in 25, 4 %, 2.3 deg")
    one_in = re.fullmatch(rf"({_NUMBER})[ \t]*in[ \t]*({_NUMBER})", text)
    if one_in:
        (a, b), (c, d) = _ratio(one_in.group(1)), _ratio(one_in.group(2))
        fall = math.inf if c == 0 else (a * d) / (b * c)
    elif text.endswith("%"):
        fall = _read(text, SHARE)
    elif text.lower().endswith("deg"):
        angle = _read(text, ANGLE)
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
