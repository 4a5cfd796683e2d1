"""How a plate bends over what it bridges: simply supported on both sides, a load in mid-span."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shopbins.moves.force import G_M_S2
from shopbins.rules.say import told_apart
from shopbins.shop.model import Gear
from shopbins.units import show_force, show_length, show_mass

YIELD_MPA = 235.0
"""Of S235, the weakest usual structural steel, to 16 mm thick: EN 10025-2 (from memory)."""
ALLOWED_MPA = 160.0
"""What a plate told of may be stressed to without a word from its maker: own figure."""
STEEL_MPA = 210_000.0
"""Modulus of elasticity of steel: EN 1993-1-1 3.2.6 (from memory)."""
STEEL_KG_M3 = 7850.0
"""Of steel, EN 1991-1-1 table A.4: 77.0 to 78.5 kN/m3 (from memory)."""
LIKE_STEEL = 0.1
"""What weighs so near to what it would of steel is of steel: own figure."""


def steel_kg(gear: Gear) -> float | None:
    """Return what a plate would weigh of steel; None where not all of its sizes are told."""
    if gear.kind != "plate" or gear.size_mm is None or gear.height_mm is None:
        return None
    return gear.size_mm[0] * gear.size_mm[1] * gear.height_mm / 1e9 * STEEL_KG_M3


def is_steel(gear: Gear) -> bool:
    """Tell whether a plate is of steel by what it weighs for its size."""
    steel = steel_kg(gear)
    return steel is not None and gear.mass_kg is not None and abs(gear.mass_kg / steel - 1) <= LIKE_STEEL


@dataclass(frozen=True, slots=True)
class Span:
    """What a plate bridges: over `mm`, so wide across that; `pad_mm` is how long a skate on it is, else 0."""

    mm: float
    wide_mm: float
    pad_mm: float = 0.0

    def stress_mpa(self, kg: float, thick_mm: float, *, kind: bool = False) -> float:
        """Return the greatest stress of a load in mid-span: M = F L / 4, Z = b h^2 / 6.

        Where `kind` a skate spreads it over its length c: M = F (L / 4 - c / 8).
        """
        pad = min(self.pad_mm, self.mm) if kind else 0.0
        moment = kg * G_M_S2 * (self.mm / 4 - pad / 8)
        return moment / (self.wide_mm * thick_mm**2 / 6)

    def sag_mm(self, kg: float, thick_mm: float) -> float:
        """Return how far a steel plate sags in mid-span: F L^3 / (48 E I), I = b h^3 / 12."""
        return kg * G_M_S2 * self.mm**3 / (48 * STEEL_MPA * self.wide_mm * thick_mm**3 / 12)


@dataclass(frozen=True, slots=True)
class Bridged:
    """How a plate bridges a span: what has to be so for that, as words of a condition, what is said of it,
    and how thick the packing under its ends is (None: not known) so that it never bears on the cover.
    """

    words: str
    said: str
    packing_mm: float | None


def bridge(
    gear: Gear, span: Span, kg: float | None, least_kg: float, proud_mm: float, count: int = 1
) -> Bridged | str:
    """Return how each of some plates bridges a span with up to `kg` on it, `least_kg` at the least; else why
    not.

    Where it is told over what span it holds its capacity, it holds over more of it what makes the same
    moment. Where not, it is reckoned as steel: beyond yield, even shared out and spread, it does not do where
    it is of steel by what it weighs; beyond what is allowed what it holds is part of the condition.
    `proud_mm` is how high the cover stands over the floor.
    """
    over = f"over {show_length(round(span.mm))}"
    one = "each " if count > 1 else ""
    holds = "" if kg is None else f", {one}holds {show_force(kg * G_M_S2 / 1000)} {over}"
    told = gear.capacity_kg is not None and gear.span_mm is not None
    if gear.capacity_kg is not None and kg is not None:
        most = gear.capacity_kg * (1.0 if gear.span_mm is None else min(1.0, gear.span_mm / span.mm))
        if kg > most * (1 + 1e-9):
            comes, may = told_apart(kg, most, show_mass, "kg")
            which = f"one of {count}" if count > 1 else "it"
            return f"{gear.name} holds {may}{f' {over}' if told else ''}, {comes} comes onto {which}"
    thick = gear.height_mm
    if kg is None or thick is None:
        return Bridged("" if told else holds, "", None)
    sag = span.sag_mm(kg, thick)
    packing = math.ceil(proud_mm + sag - 1e-9)
    said = f"it sags up to {sag:.1f} mm {over} if of steel"
    if told:
        return Bridged("", said, packing)
    least, most_mpa = span.stress_mpa(least_kg, thick, kind=True), span.stress_mpa(kg, thick)
    steel = is_steel(gear)
    if steel and least > YIELD_MPA:
        return (
            f"{gear.name} folds: {least:.0f} MPa at the least {over}, S235 yields at {YIELD_MPA:.0f} "
            "(of other steel its maker's span tells it)"
        )
    said = f"up to {most_mpa:.0f} MPa in it {over}, {ALLOWED_MPA:.0f} taken (own figure); {said}"
    if most_mpa > ALLOWED_MPA:
        return Bridged(holds, said, packing)
    return Bridged("" if steel else ", of steel", said, packing)
