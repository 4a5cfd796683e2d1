"""Caution and handling signs by name, drawn by ourselves after what the standards show, always with words.

A sign is black on white: nothing is said by colour. Each is a list of filled shapes in a square of side 1, the
later ones over the earlier. They are simplified so that they stay clear at 4 mm; where a law asks for the
standard's own sign, use that.
"""

# ruff: noqa: E501  (the tables are read by rows)

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

Shape = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign: its name, the standard's number for it, the words that call it, and its shapes.

    `shapes` are (black, outline) with x to the right and y up, in a square of side 1.
    """

    name: str
    number: str
    words: tuple[str, ...]
    shapes: tuple[tuple[bool, Shape], ...]


def sign_of(caution: str) -> Sign:
    """Return the sign of a caution in words: by number or name at its beginning, else by a word in it."""
    lowered = " ".join(caution.casefold().split())
    for sign in SIGNS:
        heads = (sign.number.casefold(), sign.name)
        if any(head and re.match(rf"{re.escape(head)}\b", lowered) for head in heads):
            return sign
    return next((sign for sign in SIGNS if _called(sign).search(lowered)), SIGNS[-1])


@lru_cache(maxsize=64)
def _called(sign: Sign) -> re.Pattern[str]:
    every = "|".join(re.escape(each) for each in sign.words)
    return re.compile(rf"(?<!\w)(?:{every})" if every else r"(?!)")


def by_name(name: str) -> Sign:
    """Return the sign of a name."""
    return next(sign for sign in SIGNS if sign.name == name)


# -- drawing


def _polygon(*points: float) -> Shape:
    return tuple(zip(points[0::2], points[1::2], strict=True))


def _disc(x: float, y: float, radius: float) -> Shape:
    turns = [2 * math.pi * at / 24 for at in range(24)]
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns)


def _bar(x0: float, y0: float, x1: float, y1: float, thick: float) -> Shape:
    """Return a straight stroke from point to point."""
    length = math.hypot(x1 - x0, y1 - y0)
    across = (y0 - y1) / length * thick / 2, (x1 - x0) / length * thick / 2
    return (
        (x0 + across[0], y0 + across[1]),
        (x0 - across[0], y0 - across[1]),
        (x1 - across[0], y1 - across[1]),
        (x1 + across[0], y1 + across[1]),
    )


def _wave(x: float, low: float, high: float) -> list[tuple[bool, Shape]]:
    """Return a rising wave of three strokes, as over something hot."""
    step, sway = (high - low) / 3, 0.035
    at = [(x + (sway if n % 2 else -sway), low + n * step) for n in range(4)]
    return [(True, _bar(*a, *b, 0.05)) for a, b in pairwise(at)]


_TRIANGLE = [
    (True, _polygon(0.0, 0.03, 1.0, 0.03, 0.5, 0.9)),
    (False, _polygon(0.13, 0.105, 0.87, 0.105, 0.5, 0.75)),
]
_DIAMOND = [
    (True, _polygon(0.5, 0.0, 1.0, 0.5, 0.5, 1.0, 0.0, 0.5)),
    (False, _polygon(0.5, 0.09, 0.91, 0.5, 0.5, 0.91, 0.09, 0.5)),
]
_SQUARE = [
    (True, _polygon(0.0, 0.0, 1.0, 0.0, 1.0, 1.0, 0.0, 1.0)),
    (False, _polygon(0.06, 0.06, 0.94, 0.06, 0.94, 0.94, 0.06, 0.94)),
]
_MARK = [(True, _polygon(0.45, 0.6, 0.55, 0.6, 0.53, 0.29, 0.47, 0.29)), (True, _disc(0.5, 0.2, 0.05))]

_FLAME = [
    (True, _polygon(0.5, 0.78, 0.6, 0.6, 0.68, 0.64, 0.7, 0.45, 0.62, 0.3, 0.38, 0.3, 0.3, 0.45, 0.36, 0.58, 0.42, 0.54)),
    (False, _polygon(0.5, 0.52, 0.58, 0.4, 0.54, 0.32, 0.46, 0.32, 0.42, 0.4)),
    (True, _bar(0.3, 0.24, 0.7, 0.24, 0.05)),
]  # fmt: skip
_BOLT = [(True, _polygon(0.56, 0.62, 0.4, 0.36, 0.49, 0.36, 0.42, 0.14, 0.62, 0.42, 0.52, 0.42))]
_HOT = [
    *_wave(0.38, 0.27, 0.5), *_wave(0.5, 0.27, 0.56), *_wave(0.62, 0.27, 0.5), (True, _bar(0.25, 0.18, 0.75, 0.18, 0.07))
]  # fmt: skip
_SHARP = [
    (True, _polygon(0.26, 0.2, 0.62, 0.2, 0.5, 0.58, 0.46, 0.58)),
    (False, _polygon(0.34, 0.25, 0.5, 0.25, 0.47, 0.48)),
    (True, _polygon(0.64, 0.2, 0.74, 0.2, 0.62, 0.4)),
]
_CRUSH = [
    (True, _bar(0.3, 0.5, 0.7, 0.5, 0.08)),
    (True, _polygon(0.5, 0.3, 0.44, 0.42, 0.56, 0.42)),
    (True, _polygon(0.3, 0.24, 0.6, 0.3, 0.68, 0.24, 0.6, 0.2)),
    (True, _bar(0.22, 0.15, 0.78, 0.15, 0.06)),
]
_CYLINDER = [
    (True, _bar(0.22, 0.4, 0.66, 0.62, 0.18)),
    (True, _disc(0.66, 0.62, 0.09)),
    (True, _bar(0.66, 0.62, 0.78, 0.68, 0.06)),
]
_CORRODES = [
    (True, _bar(0.24, 0.66, 0.46, 0.74, 0.07)),
    (True, _bar(0.55, 0.74, 0.77, 0.66, 0.07)),
    (True, _disc(0.42, 0.58, 0.035)),
    (True, _disc(0.42, 0.48, 0.03)),
    (True, _disc(0.6, 0.58, 0.035)),
    (True, _disc(0.6, 0.48, 0.03)),
    (True, _bar(0.28, 0.33, 0.5, 0.33, 0.1)),
    (False, _disc(0.42, 0.39, 0.04)),
    (True, _bar(0.54, 0.31, 0.74, 0.36, 0.1)),
    (False, _disc(0.6, 0.39, 0.04)),
]
_SKULL = [
    (True, _disc(0.5, 0.58, 0.15)),
    (True, _polygon(0.43, 0.5, 0.57, 0.5, 0.56, 0.4, 0.44, 0.4)),
    (False, _disc(0.44, 0.58, 0.04)),
    (False, _disc(0.56, 0.58, 0.04)),
    (True, _bar(0.3, 0.36, 0.7, 0.24, 0.06)),
    (True, _bar(0.3, 0.24, 0.7, 0.36, 0.06)),
]
_HEALTH = [
    (True, _disc(0.5, 0.7, 0.09)),
    (True, _polygon(0.34, 0.25, 0.66, 0.25, 0.68, 0.52, 0.58, 0.6, 0.42, 0.6, 0.32, 0.52)),
    (False, _polygon(0.5, 0.56, 0.53, 0.47, 0.61, 0.45, 0.53, 0.41, 0.5, 0.3, 0.47, 0.41, 0.39, 0.45, 0.47, 0.47)),
]  # fmt: skip
_HARMFUL = [(True, _polygon(0.44, 0.8, 0.56, 0.8, 0.54, 0.42, 0.46, 0.42)), (True, _disc(0.5, 0.29, 0.065))]
_WATER = [
    (True, _bar(0.24, 0.34, 0.76, 0.34, 0.05)),
    (True, _bar(0.4, 0.36, 0.4, 0.66, 0.05)),
    (True, _bar(0.4, 0.52, 0.32, 0.62, 0.04)),
    (True, _bar(0.4, 0.56, 0.48, 0.66, 0.04)),
    (True, _polygon(0.52, 0.42, 0.66, 0.48, 0.74, 0.42, 0.66, 0.38)),
    (True, _polygon(0.74, 0.42, 0.8, 0.47, 0.8, 0.38)),
]
_WEIGHT = [
    (True, _polygon(0.16, 0.12, 0.84, 0.12, 0.7, 0.6, 0.3, 0.6)),
    (True, _disc(0.5, 0.7, 0.15)),
    (False, _disc(0.5, 0.7, 0.08)),
]
_GLASS = [
    (True, _polygon(0.3, 0.88, 0.7, 0.88, 0.64, 0.56, 0.54, 0.48, 0.54, 0.24, 0.68, 0.16, 0.32, 0.16, 0.46, 0.24, 0.46, 0.48, 0.36, 0.56)),
    (False, _polygon(0.5, 0.88, 0.54, 0.76, 0.48, 0.7, 0.53, 0.6, 0.56, 0.72, 0.52, 0.76, 0.58, 0.88)),
]  # fmt: skip
_UP = [
    (True, _bar(0.2, 0.2, 0.8, 0.2, 0.08)),
    (True, _bar(0.34, 0.24, 0.34, 0.6, 0.1)),
    (True, _polygon(0.2, 0.6, 0.48, 0.6, 0.34, 0.86)),
    (True, _bar(0.66, 0.24, 0.66, 0.6, 0.1)),
    (True, _polygon(0.52, 0.6, 0.8, 0.6, 0.66, 0.86)),
]
_DRY = [
    (True, _polygon(0.16, 0.5, 0.84, 0.5, 0.74, 0.68, 0.5, 0.76, 0.26, 0.68)),
    (True, _bar(0.5, 0.5, 0.5, 0.16, 0.05)),
    (True, _bar(0.48, 0.17, 0.6, 0.17, 0.05)),
    (True, _bar(0.3, 0.92, 0.27, 0.82, 0.04)),
    (True, _bar(0.52, 0.94, 0.49, 0.84, 0.04)),
    (True, _bar(0.74, 0.92, 0.71, 0.82, 0.04)),
]


def _sign(
    name: str, number: str, words: str, frame: list[tuple[bool, Shape]], figure: list[tuple[bool, Shape]]
) -> Sign:
    called = tuple(each.strip() for each in words.split(",") if each.strip())
    return Sign(name, number, called, (*frame, *figure))


# Numbers: W of ISO 7010, GHS of the UN's Globally Harmonized System, ISO 780 for handling; from memory. The
# first sign one of whose words a caution has is taken; the last is for all others.
SIGNS: tuple[Sign, ...] = (
    _sign("flammable", "GHS02", "flammable, petrol, gasoline, fuel, solvent, thinner, paraffin, spirit", _DIAMOND, _FLAME),
    _sign("health hazard", "GHS08", "asbestos, carcinogen, cancer, beryllium, cadmium, lead paint, white lead", _DIAMOND, _HEALTH),
    _sign("poison", "GHS06", "poison, toxic, cyanide", _DIAMOND, _SKULL),
    _sign("corrosive", "GHS05", "corrosive, acid, caustic, alkali, lye", _DIAMOND, _CORRODES),
    _sign("pressure", "GHS04", "under pressure, pressurised, pressurized, gas cylinder, gas bottle", _DIAMOND, _CYLINDER),
    _sign("harmful", "GHS07", "harmful, irritant, irritating, dermatitis", _DIAMOND, _HARMFUL),
    _sign("environment", "GHS09", "keep from drains, not into drains, environment", _DIAMOND, _WATER),
    _sign("electricity", "W012", "electric, live, mains, voltage, capacitor", _TRIANGLE, _BOLT),
    _sign("hot surface", "W017", "hot", _TRIANGLE, _HOT),
    _sign("sharp", "W022", "sharp, blade, knife edge, burr, swarf", _TRIANGLE, _SHARP),
    _sign("crushing", "W024", "crush, pinch, nip", _TRIANGLE, _CRUSH),
    _sign("heavy", "", "more than one person, two people, two persons, two-person, heavy", _SQUARE, _WEIGHT),
    _sign("fragile", "ISO 780", "fragile, brittle, glass", _SQUARE, _GLASS),
    _sign("this way up", "", "this way up, keep upright, stand upright", _SQUARE, _UP),
    _sign("keep dry", "", "keep dry, do not wet", _SQUARE, _DRY),
    _sign("warning", "W001", "", _TRIANGLE, _MARK),
)  # fmt: skip
