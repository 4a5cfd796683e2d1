"""Showing quantities, metric or US, rounded so that a person reads them at a glance."""

from __future__ import annotations

import math
from collections.abc import Iterable

from shopbins.units.quantities import KG_PER_LB, KN_M2_PER_PSF, KN_PER_LBF, MM_PER_IN

_SHOWN = {"us": False}


def show_in(units: str) -> None:
    """Show lengths and masses from now on in 'us' or 'metric' units, where a call does not say which.

    A program shows one shop at a time; whoever opens a shop says this.
    """
    _SHOWN["us"] = units == "us"


def shown_in_us() -> bool:
    """Tell whether US units are shown where a call does not say which."""
    return _SHOWN["us"]


def _us(us: bool | None) -> bool:
    return _SHOWN["us"] if us is None else us


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


def show_length(mm: float | None, *, us: bool | None = None) -> str:
    """Show a length: '2400 mm', '12.4 m' from 10 m on; in US units '7 ft 10 1/2 in' to a sixteenth."""
    if mm is None:
        return "not measured"
    if _us(us):
        return _feet_inches(mm)
    if abs(mm) >= 10_000:
        return f"{_rounded(mm / 1000, 2)} m"
    size = abs(mm)
    return f"{_rounded(mm, 0 if size >= 99.95 else 1 if size >= 1 else 3)} mm"


def show_lengths(a_mm: float, b_mm: float) -> tuple[str, str]:
    """Show a measured length and its limit so that they look different where they differ.

    '699.6 mm' and '700 mm' rather than '700 mm' twice; in US units '27.9 in' rather than the same twice.
    """
    if _SHOWN["us"]:
        pair = _feet_inches(a_mm), _feet_inches(b_mm)
        for places in range(1, 7):
            if pair[0] != pair[1] or a_mm == b_mm:
                break
            pair = f"{_rounded(a_mm / MM_PER_IN, places)} in", f"{_rounded(b_mm / MM_PER_IN, places)} in"
        return pair
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


def counted(number: int, one: str, many: str = "") -> str:
    """Say a number of things: '1 stop', '3 stops'."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def show_size(mm: Iterable[float], *, about: bool = False, us: bool | None = None) -> str:
    """Show a size: '300 x 200 x 150 mm'."""
    lead = "about " if about else ""
    if _us(us):
        return lead + " x ".join(_feet_inches(each) for each in mm)
    return lead + " x ".join(_rounded(each, 0 if each >= 99.95 else 1) for each in mm) + " mm"


def show_mass(kg: float | None, *, about: bool = False, us: bool | None = None) -> str:
    """Show a mass: '4.2 kg', '250 g', '1.62 t'; 'not weighed' where it is not known."""
    if kg is None:
        return "not weighed"
    lead = "about " if about else ""
    if _us(us):
        lb = kg / KG_PER_LB
        return lead + (f"{_three(lb * 16)} oz" if 0 < abs(lb) < 1 else f"{_three(lb)} lb")
    if 0 < abs(kg) < 0.9995:
        return f"{lead}{_three(kg * 1000)} g"
    return lead + (f"{_rounded(kg / 1000, 2)} t" if abs(kg) >= 999.5 else f"{_three(kg)} kg")


def show_rating(kg: float, *, us: bool | None = None) -> str:
    """Show what something has to hold: as a mass of three figures, never rounded down, a kg at the least."""
    unit = KG_PER_LB if _us(us) else 1.0
    value = max(1.0, kg) / unit
    step = 10.0 ** (math.floor(math.log10(value)) - 2)
    return show_mass(math.ceil(value / step - 1e-9) * step * unit, us=us)


def show_volume(litres: float | None, *, us: bool | None = None) -> str:
    """Show a volume: '20 L', '500 mL', '5.28 gal', '1 pt' (US gallons and pints)."""
    if litres is None:
        return "not known"
    if _us(us):
        gallons = litres / 3.785411784
        return f"{_three(gallons * 8)} pt" if 0 < gallons < 0.9995 else f"{_three(gallons)} gal"
    return f"{_three(litres * 1000)} mL" if 0 < abs(litres) < 0.9995 else f"{_three(litres)} L"


def show_area(mm2: float | None, *, us: bool | None = None) -> str:
    """Show an area: '1.25 m2', '13.5 ft2'."""
    if mm2 is None:
        return "not measured"
    return f"{_three(mm2 / 304.8**2)} ft2" if _us(us) else f"{_three(mm2 / 1e6)} m2"


def show_area_load(kn_m2: float | None, *, us: bool | None = None) -> str:
    """Show a floor load: '5 kN/m2', '104 psf'."""
    if kn_m2 is None:
        return "not known"
    return f"{_three(kn_m2 / KN_M2_PER_PSF)} psf" if _us(us) else f"{_three(kn_m2)} kN/m2"


def show_force(kn: float | None, *, us: bool | None = None) -> str:
    """Show a force: '4.5 kN', '350 N', '1010 lbf'."""
    if kn is None:
        return "not known"
    if _us(us):
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
