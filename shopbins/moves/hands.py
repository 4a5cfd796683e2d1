"""How many people lift a part, by the published filter and shares of a team."""

from __future__ import annotations

from shopbins.rules.handling import Band, Who, mac_team, passing_kg, team_kg
from shopbins.scene.scene import Scene


def told_of(scene: Scene) -> int | None:
    """Return how many people the shop file tells of (the most of its gear 'by hand'); None where none."""
    told = [g.people for g in scene.shop.gear.values() if g.kind == "by hand" and g.people is not None]
    return max(told, default=None)


def short_of(scene: Scene, n: int) -> str:
    """Say that more people are needed than are told of: ' (2 told)'; '' where they are or nobody told."""
    told = told_of(scene)
    return f" ({told} told)" if told is not None and n > told else ""


def single_kg(scene: Scene, *heights_mm: float, who: Who = "men") -> float:
    """Return what one person lifts from one height to another by the filter, or by the shop's own figure if
    that is less: the least of every zone that the hands pass through counts.
    """
    alone, own = passing_kg(min(heights_mm), max(heights_mm), who=who), scene.shop.limits.one_person_kg
    return 0.0 if alone is None else alone.kg if own is None else min(alone.kg, own)


def team_for(scene: Scene, kg: float, *heights_mm: float) -> tuple[int, float]:
    """Return how many people lift so much from one height to another, and what they lift; 0 beyond three:
    none published.
    """
    one = single_kg(scene, *heights_mm)
    limits = [(1, one), (2, team_kg([one] * 2) or 0.0), (3, team_kg([one] * 3) or 0.0)]
    return next(((n, limit) for n, limit in limits if kg <= limit + 1e-9), (0, limits[-1][1]))


def off_the_floor(scene: Scene, kg: float) -> tuple[int, Band]:
    """Return how many people lift so much off the floor, and its colour for them: one by the filter, as the
    shop says who lifts, else two or three by HSE's MAC.
    """
    who: Who = "men" if scene.shop.limits.who_lifts == "men" else "women"
    return (1, "green") if kg <= single_kg(scene, 0.0, who=who) + 1e-9 else mac_team(kg)
