"""Figures of the revised NIOSH lifting equation, DHHS (NIOSH) Publication 94-110 (2021 printing).

Two sets of constants, metric and US: they are not conversions of each other (51 lb are 23.13 kg, not 23), so
one of them is chosen for a computation and the inputs are converted. The frequency column up to one hour was
read in a copy of the source, the other two are from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from shopbins.units import KG_PER_LB, MM_PER_IN

SystemName = Literal["metric", "us"]
Duration = Literal["to 1 h", "to 2 h", "to 8 h"]
Coupling = Literal["good", "fair", "poor"]

SOURCE = "revised NIOSH lifting equation, DHHS (NIOSH) 94-110"


@dataclass(frozen=True, slots=True)
class System:
    """One set of constants; lengths in `unit_mm` (cm or in), the load constant in kg."""

    name: SystemName
    unit_mm: float
    load_constant_kg: float
    h_least: float
    h_most: float
    v_level: float
    v_slope: float
    v_most: float
    d_share: float
    d_least: float
    d_most: float


METRIC = System("metric", 10.0, 23.0, 25.0, 63.0, 75.0, 0.003, 175.0, 4.5, 25.0, 175.0)
US = System("us", MM_PER_IN, 51.0 * KG_PER_LB, 10.0, 25.0, 30.0, 0.0075, 70.0, 1.8, 10.0, 70.0)
SYSTEMS: Mapping[SystemName, System] = {"metric": METRIC, "us": US}

A_SLOPE = 0.0032
A_MOST_DEG = 135.0

DURATIONS: tuple[Duration, ...] = ("to 1 h", "to 2 h", "to 8 h")

FREQUENCY: tuple[tuple[float, tuple[float, float, float]], ...] = (
    (0.2, (1.00, 0.95, 0.85)),
    (0.5, (0.97, 0.92, 0.81)),
    (1.0, (0.94, 0.88, 0.75)),
    (2.0, (0.91, 0.84, 0.65)),
    (3.0, (0.88, 0.79, 0.55)),
    (4.0, (0.84, 0.72, 0.45)),
    (5.0, (0.80, 0.60, 0.35)),
    (6.0, (0.75, 0.50, 0.27)),
    (7.0, (0.70, 0.42, 0.22)),
    (8.0, (0.60, 0.35, 0.18)),
    (9.0, (0.52, 0.30, 0.15)),
    (10.0, (0.45, 0.26, 0.13)),
    (11.0, (0.41, 0.23, 0.00)),
    (12.0, (0.37, 0.21, 0.00)),
    (13.0, (0.34, 0.00, 0.00)),
    (14.0, (0.31, 0.00, 0.00)),
    (15.0, (0.28, 0.00, 0.00)),
)
"""Lifts a minute, and the multiplier by `DURATIONS`, hands at the origin at 75 cm (30 in) or higher."""

LOW_ZERO_FROM = (13.0, 11.0, 9.0)
"""Hands lower than that at the origin: from here on 0, by `DURATIONS`; before, as above."""

COUPLING: Mapping[Coupling, tuple[float, float]] = {
    "good": (1.0, 1.0),
    "fair": (0.95, 1.0),
    "poor": (0.9, 0.9),
}
"""Multiplier below 75 cm (30 in), and from there on."""

CONDITIONS: Mapping[str, str] = {
    "one hand": "lifting with one hand",
    "over 8 h": "lifting for more than 8 hours",
    "seated": "lifting seated",
    "kneeling": "lifting kneeling",
    "restricted": "lifting in a restricted space",
    "unstable": "an unstable load",
    "carrying": "carrying",
    "pushing": "pushing or pulling",
    "fast": "fast or jerky lifting",
    "footing": "poor footing",
    "climate": "a hot or cold place",
    "team": "lifting by more than one person",
}
"""What the equation does not cover: with any of these it gives no answer."""
