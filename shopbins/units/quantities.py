"""The kinds of quantity, their units with exact factors, and other ways people write them.

Factors: inch 25.4 mm, pound 0.45359237 kg (international yard and pound agreement of 1959); standard
gravity 9.80665 m/s2 (3rd CGPM, 1901). The bounds on absurd values are our own.
"""

from __future__ import annotations

from collections.abc import Mapping
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


@dataclass(frozen=True, slots=True, eq=False)  # each is one of its kind
class Quantity:
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


LENGTH = Quantity(
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
MASS = Quantity(
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
LBF_N: Ratio = (45_359_237 * 980_665, 100_000_000 * 100_000)
FORCE = Quantity(
    noun="force",
    bare=None,
    factors={"kN": (1, 1), "N": (1, 1000), "lbf": (LBF_N[0], LBF_N[1] * 1000)},
    most=100_000.0,
    most_shown="100000 kN",
    example="4.5 kN, 1000 lbf",
)
AREA_LOAD = Quantity(
    noun="floor load",
    bare=None,
    factors={
        "kN/m2": (1, 1),
        "kPa": (1, 1),
        "psf": (LBF_N[0] * 10**8, LBF_N[1] * 1000 * 3048**2),
        "kg/m2": (980_665, 100_000_000),
    },
    most=1000.0,
    most_shown="1000 kN/m2",
    example="5 kN/m2, 125 psf, 500 kg/m2",
)
VOLUME = Quantity(
    noun="volume",
    bare="L",
    factors={
        "L": (1, 1),
        "mL": (1, 1000),
        "cL": (1, 100),
        "gal": (3_785_411_784, 1_000_000_000),
        "qt": (946_352_946, 1_000_000_000),
        "pt": (473_176_473, 1_000_000_000),
    },
    most=1_000_000.0,
    most_shown="1000000 L",
    example="20 L, 5 gal (US)",
)
GAS_VOLUME = Quantity(
    noun="volume of gas",
    bare=None,
    factors={"m3": (1000, 1), "ft3": (28_316_846_592, 1_000_000_000)},
    most=1_000_000.0,
    most_shown="1000 m3",
    example="4.1 m3, 145 cu ft",
)
ANGLE = Quantity(
    noun="angle", bare="deg", factors={"deg": (1, 1)}, most=360.0, most_shown="360 deg", example="90, 15 deg"
)
SHARE = Quantity(
    noun="share", bare=None, factors={"%": (1, 100)}, most=1.0, most_shown="100 %", example="85 %"
)
ALL = (LENGTH, MASS, FORCE, AREA_LOAD, VOLUME, ANGLE, SHARE)

# Signs that are taken for a unit: 6'2" is 6 ft 2 in.
SIGNS = {"'": "ft", '"': "in", "''": "in"}
# Other ways people write units, and what to write here.
MEANT = {
    "inch": "in", "inches": "in", "ins": "in", "foot": "ft", "feet": "ft",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m", "mil": "thou", "mils": "thou",
    "micron": "um", "microns": "um", "mms": "mm", "millimetres": "mm", "kgs": "kg", "kilo": "kg",
    "kilos": "kg", "lbs": "lb", "pound": "lb", "pounds": "lb", "gram": "g", "grams": "g", "gr": "g",
    "tonne": "t", "tonnes": "t", "ton": "t (1000 kg), or lb", "tons": "t (1000 kg), or lb", "ounce": "oz",
    "kn/m^2": "kN/m2", "kn/sqm": "kN/m2", "kg/m^2": "kg/m2", "lb/ft2": "psf", "lbf/ft2": "psf",
    "lbs/ft2": "psf", "kg/sqm": "kg/m2", "newton": "N", "kgf": "kN or N", "degree": "deg", "degrees": "deg",
    "percent": "%", "pct": "%", "litre": "L", "litres": "L", "liter": "L", "liters": "L",
    "gallon": "gal (US)", "gallons": "gal (US)", "quart": "qt", "quarts": "qt", "pint": "pt", "pints": "pt",
}  # fmt: skip
ASCII_FOR = {
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅜": " 3/8", "⅝": " 5/8", "⅛": " 1/8", "⅞": " 7/8", "×": "x",
    "µ": "u", "μ": "u", "²": "2", "°": " deg", "±": "+-", "−": "-", "–": "-", "—": "-", "′": " ft",
    "″": " in", "’": " ft", "”": " in", "\u00a0": " ", "\u202f": " ", "\u2009": " ",
}  # fmt: skip
