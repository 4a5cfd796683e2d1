"""The revised NIOSH lifting equation: recommended weight limit, lifting index, composite index.

For one person who lifts with both hands. RWL = LC x HM x VM x DM x AM x FM x CM, at the origin and, where
the load is set down with care, at the destination; the lower counts. Inputs in mm, kg and degrees; they are
converted to the one set of constants chosen.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from shopbins.rules.niosh_tables import (
    A_MOST_DEG,
    A_SLOPE,
    CONDITIONS,
    COUPLING,
    DURATIONS,
    FREQUENCY,
    LOW_ZERO_FROM,
    SYSTEMS,
    Coupling,
    Duration,
    System,
    SystemName,
)

_HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Hands:
    """Where the hands are: out from the middle of the ankles, above the floor, and turned to the side."""

    h_mm: float
    v_mm: float
    asymmetry_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class WeightLimit:
    """The recommended weight limit at one end of a lift, with its multipliers; `zero` says which are 0."""

    at: Literal["origin", "destination"]
    rwl_kg: float
    hm: float
    vm: float
    dm: float
    am: float
    fm: float
    cm: float
    zero: tuple[str, ...] = ()

    def index(self, load_kg: float) -> float | None:
        """Return the lifting index of a load; None (undefined) where the limit is 0."""
        return None if self.rwl_kg <= 0 else load_kg / self.rwl_kg


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift judged. `refused` says why the equation gives no answer; then nothing else is known.

    `rwl_kg` is the lower of origin and destination; `index` is None where the load is not known or the
    limit is 0 (`undefined` then says so).
    """

    system: SystemName
    origin: WeightLimit | None
    destination: WeightLimit | None
    rwl_kg: float | None
    load_kg: float | None
    index: float | None
    undefined: str = ""
    refused: tuple[str, ...] = ()


def lift(
    load_kg: float | None,
    origin: Hands,
    destination: Hands | None = None,
    *,
    per_minute: float = 0.2,
    duration: Duration = "to 1 h",
    coupling: Coupling = "fair",
    careful: bool = True,
    system: SystemName = "metric",
    conditions: Collection[str] = (),
) -> Lift:
    """Judge one lift by one person.

    Without a `destination` the hands are taken to go nowhere farther than the least distance. `careful`:
    the load is set down with control, so the destination counts too. `conditions` are keys of `CONDITIONS`:
    any of them is outside the method. Raises ValueError of a negative or endless figure, or a condition that
    is not one.
    """
    _check(origin, destination, per_minute, load_kg, conditions)
    if conditions:
        why = tuple(f"the method does not cover {CONDITIONS[c]}" for c in dict.fromkeys(conditions))
        return Lift(system, None, None, None, load_kg, None, refused=why)
    constants = SYSTEMS[system]
    travel = 0.0 if destination is None else abs(destination.v_mm - origin.v_mm)
    often = frequency(constants, per_minute, duration, origin.v_mm)
    first = _limit("origin", constants, origin, travel, often, coupling)
    last = None
    if destination is not None and careful:
        last = _limit("destination", constants, destination, travel, often, coupling)
    lower = first if last is None or first.rwl_kg <= last.rwl_kg else last
    undefined = ""
    if lower.rwl_kg <= 0:
        undefined = f"lifting index undefined: the recommended limit is 0 ({', '.join(lower.zero)})"
    index = None if load_kg is None else lower.index(load_kg)
    return Lift(system, first, last, lower.rwl_kg, load_kg, index, undefined)


def _check(
    origin: Hands,
    destination: Hands | None,
    per_minute: float,
    load_kg: float | None,
    conditions: Collection[str],
) -> None:
    hands = [origin] if destination is None else [origin, destination]
    figures = [v for h in hands for v in (h.h_mm, h.v_mm, h.asymmetry_deg)]
    figures += [per_minute, 0.0 if load_kg is None else load_kg]
    if not all(math.isfinite(v) and v >= 0 for v in figures):
        raise ValueError("a lift's figures are finite and not below 0")
    for each in conditions:
        if each not in CONDITIONS:
            raise ValueError(f"condition {each!r} is none of {', '.join(CONDITIONS)}")


def _limit(
    at: Literal["origin", "destination"],
    system: System,
    hands: Hands,
    travel_mm: float,
    fm: float,
    coupling: Coupling,
) -> WeightLimit:
    hm, vm = horizontal(system, hands.h_mm), vertical(system, hands.v_mm)
    dm, am = distance(system, travel_mm), asymmetry(hands.asymmetry_deg)
    cm = COUPLING[coupling][0 if _low(system, hands.v_mm) else 1]
    named = (
        (hm, "hands too far out"),
        (vm, "hands too high"),
        (dm, "lifted too far"),
        (am, "turned too far"),
        (fm, "too often"),
    )
    zero = tuple(words for value, words in named if value == 0.0)
    rwl = system.load_constant_kg * hm * vm * dm * am * fm * cm
    return WeightLimit(at, rwl, hm, vm, dm, am, fm, cm, zero)


# --- multipliers ------------------------------------------------------------------------------------------


def horizontal(system: System, h_mm: float) -> float:
    """Return HM: 25/H (10/H), 1 nearer than that, 0 beyond 63 cm (25 in)."""
    h = h_mm / system.unit_mm
    if h > system.h_most + _HAIR:
        return 0.0
    return system.h_least / max(h, system.h_least)


def vertical(system: System, v_mm: float) -> float:
    """Return VM: 1 - .003 |V - 75| (1 - .0075 |V - 30|), 0 above 175 cm (70 in)."""
    v = v_mm / system.unit_mm
    return 0.0 if v > system.v_most + _HAIR else 1.0 - system.v_slope * abs(v - system.v_level)


def distance(system: System, d_mm: float) -> float:
    """Return DM: .82 + 4.5/D (.82 + 1.8/D), 1 below 25 cm (10 in), 0 beyond 175 cm (70 in)."""
    d = max(d_mm / system.unit_mm, system.d_least)
    return 0.0 if d > system.d_most + _HAIR else 0.82 + system.d_share / d


def asymmetry(deg: float) -> float:
    """Return AM: 1 - .0032 A, 0 beyond 135 degrees."""
    return 0.0 if deg > A_MOST_DEG + _HAIR else 1.0 - A_SLOPE * deg


def frequency(system: System, per_minute: float, duration: Duration, v_mm: float) -> float:
    """Return FM: from the table, in a straight line between its rows; 0 above its last row.

    `v_mm` is how high the hands are at the origin.
    """
    column = DURATIONS.index(duration)
    low = _low(system, v_mm)
    rows = [(f, 0.0 if low and f >= LOW_ZERO_FROM[column] else values[column]) for f, values in FREQUENCY]
    if per_minute <= rows[0][0]:
        return rows[0][1]
    for (f0, m0), (f1, m1) in pairwise(rows):
        if per_minute <= f1:
            return m0 + (m1 - m0) * (per_minute - f0) / (f1 - f0)
    return 0.0


def _low(system: System, v_mm: float) -> bool:
    """Tell whether hands are below 75 cm (30 in)."""
    return v_mm / system.unit_mm < system.v_level - _HAIR


# --- inputs that follow from others -----------------------------------------------------------------------


def reach_mm(system: System, depth_mm: float, v_mm: float) -> float:
    """Return how far out the hands are on a load of a depth held against the body.

    20 + W/2 cm (8 + W/2 in) with the hands at 25 cm (10 in) or higher, 25 + W/2 (10 + W/2) below.
    """
    low = v_mm / system.unit_mm < system.h_least - _HAIR
    lead = (25.0 if low else 20.0) if system.name == "metric" else (10.0 if low else 8.0)
    return lead * system.unit_mm + depth_mm / 2
