"""Lifting by a guide other than NIOSH's: HSE's lifting filter for one person, and teams of two or three.

The filter is a first look, not a limit in law. Its figure between knuckles and elbow close to the body was
read in a page quoting it; the others are from memory and marked so: confirm them before relying on them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shopbins.rules import limits
from shopbins.rules.finding import Basis

Who = Literal["men", "women"]
FILTER = "HSE INDG143, lifting filter"
TEAM = "HSE L23, guidance on team handling"
MAC = "HSE MAC, team handling"


@dataclass(frozen=True, slots=True)
class Zone:
    """A height zone of the filter: up to `to_mm` above the floor, what men and women lift close and far."""

    name: str
    to_mm: float
    men_kg: tuple[float, float]
    women_kg: tuple[float, float]
    close_mark: Basis = "from memory"


# Heights: knuckle and elbow of most workers, about 720 and 1090 mm (read); the others are half-way marks of a
# standing person, from memory.
ZONES = (
    Zone("below mid lower leg", 300.0, (10.0, 5.0), (7.0, 3.0)),
    Zone("lower leg to knuckles", 720.0, (20.0, 10.0), (13.0, 7.0)),
    Zone("knuckles to elbow", 1090.0, (25.0, 15.0), (16.0, 10.0), "published"),
    Zone("elbow to shoulder", 1400.0, (20.0, 10.0), (13.0, 7.0)),
    Zone("above the shoulder", 2000.0, (10.0, 5.0), (7.0, 3.0)),
)
SHOULDER_MM = ZONES[-2].to_mm
FAR_MM = 350.0
"""From here on hands count as far from the body: own reading of the filter's picture, no source."""


@dataclass(frozen=True, slots=True)
class Single:
    """What the filter gives one person, why, and how well that figure is known."""

    kg: float
    zone: str
    mark: Basis
    source: str = FILTER


def filter_kg(height_mm: float, *, who: Who = "men", far: bool = False) -> Single | None:
    """Return what the filter gives one person at a height of the hands; None above it.

    It holds without a twist, up to 30 times an hour.
    """
    zone = next((each for each in ZONES if height_mm <= each.to_mm), None)
    if zone is None or height_mm < 0:
        return None
    figures = zone.men_kg if who == "men" else zone.women_kg
    return Single(figures[1 if far else 0], zone.name, "from memory" if far else zone.close_mark)


SHARES = {2: 2 / 3, 3: 1 / 2}
"""Of the sum of what its members lift singly: two people two thirds, three half (L23)."""


def team_kg(singles_kg: Sequence[float]) -> float | None:
    """Return what a team lifts, from what each of its members lifts alone; None of teams not published."""
    share = SHARES.get(len(singles_kg))
    return None if share is None else share * sum(singles_kg)


def passing_kg(from_mm: float, to_mm: float, *, who: Who = "men") -> Single | None:
    """Return the smallest figure of the zones the hands pass through; None where they go above the filter."""
    low, high = min(from_mm, to_mm), max(from_mm, to_mm)
    if high > ZONES[-1].to_mm or low < 0:
        return None
    below, passed = 0.0, []
    for zone in ZONES:
        if (low <= zone.to_mm and high > below) or low == high == below == 0.0:
            passed.append(filter_kg(zone.to_mm, who=who))
        below = zone.to_mm
        if high <= zone.to_mm:
            break
    found = [each for each in passed if each is not None]
    return min(found, key=lambda each: each.kg, default=None)


PURPLE_KG = {
    2: limits.figure("team", "uk", "purple for two"),
    3: limits.figure("team", "uk", "purple for three"),
}
"""Above this a team of so many is purple in HSE's MAC: very high risk, a hoist."""


Band = Literal["green", "amber", "red", "purple"]
_BANDS_KG: dict[Band, dict[int, float]] = {
    "green": {
        2: limits.figure("team", "uk", "green for two"),
        3: limits.figure("team", "uk", "green for three"),
    },
    "amber": {
        2: limits.figure("team", "uk", "amber for two"),
        3: limits.figure("team", "uk", "amber for three"),
    },
    "red": PURPLE_KG,
}
GREEN_KG = _BANDS_KG["green"]
"""To this the weight is green for a team of so many: low risk."""
MOST_KG = PURPLE_KG[3]
"""Beyond this no team of a published figure lifts: a hoist."""


def mac_band(mass_kg: float, people: int) -> Band:
    """Return the colour of a mass for a team of two or three in HSE's MAC: purple is very high risk."""
    return next((c for c, most in _BANDS_KG.items() if mass_kg <= most[people] * (1 + 1e-9)), "purple")


def mac_team(mass_kg: float) -> tuple[int, Band]:
    """Return the team of two or three of the best colour for a mass, the smaller of two alike; from red on
    three, as each then bears least.
    """
    teams = [(n, mac_band(mass_kg, n)) for n in (2, 3)]
    order = [*_BANDS_KG, "purple"]
    best = min((band for _, band in teams), key=order.index)
    fit = [n for n, band in teams if band == best]
    return (fit[-1] if best in ("red", "purple") else fit[0], best)
