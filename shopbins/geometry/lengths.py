"""Lengths as whole numbers of one step, so that sums are exact: 16 x 1/16 in on 1 in is just full.

A length is meant as a decimal of at most six places of a millimetre, or as a fraction with a denominator up
to 10,000 (a third of an inch is 127/15 mm) that is all but the number given. What is neither counts to a
millionth of a millimetre, rounded towards fitting, so that 'does not fit' stays certain.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

PLACES = 10**6
MOST_PARTS = 10_000
SAME_MM = 1e-11
MOST_STEPS = 1 << 58


@lru_cache(maxsize=4096)
def meant(length_mm: float) -> Fraction | None:
    """Return the fraction a length was meant as, or None where it is no simple one."""
    decimal = Fraction(repr(float(length_mm)))
    if PLACES % decimal.denominator == 0:
        return decimal
    simple = decimal.limit_denominator(MOST_PARTS)
    return simple if abs(float(simple - decimal)) <= SAME_MM else None


class Steps:
    """The step that all of some lengths are whole numbers of."""

    def __init__(self, lengths_mm: Iterable[float]) -> None:
        """Take every length that will be asked for."""
        lengths = list(lengths_mm)
        found = [meant(x) for x in lengths]
        parts = {f.denominator for f in found if f is not None}
        if None in found:
            parts.add(PLACES)
        self.per_mm = math.lcm(*parts) if parts else 1
        if self.per_mm * max((abs(x) for x in lengths), default=0.0) > MOST_STEPS:
            self.per_mm = PLACES

    def at_most(self, length_mm: float) -> int:
        """Return a length in steps, rounded down where it is no whole number of them."""
        return math.floor(self._exactly(length_mm))

    def at_least(self, length_mm: float) -> int:
        """Return a length in steps, rounded up where it is no whole number of them."""
        return math.ceil(self._exactly(length_mm))

    def _exactly(self, length_mm: float) -> Fraction:
        simple = meant(length_mm)
        return (Fraction(length_mm) if simple is None else simple) * self.per_mm
