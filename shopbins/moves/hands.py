"""How many people lift a part, by the published filter and shares of a team."""

from __future__ import annotations

from shopbins.rules.handling import filter_kg, passing_kg, team_kg
from shopbins.scene.scene import Scene


def single_kg(scene: Scene, height_mm: float) -> float:
    """Return what one person lifts at a height by the filter, or by the shop's own figure if that is less."""
    alone, own = filter_kg(height_mm), scene.shop.limits.one_person_kg
    return 0.0 if alone is None else alone.kg if own is None else min(alone.kg, own)


def team_up(scene: Scene, kg: float, from_mm: float, to_mm: float) -> tuple[int, float]:
    """Return how many people lift so much from one height to another, and what they lift, by the lowest
    figure of the zones the hands pass; 0 beyond three.
    """
    one, own = passing_kg(from_mm, to_mm), scene.shop.limits.one_person_kg
    alone = 0.0 if one is None else one.kg if own is None else min(one.kg, own)
    limits = [(n, alone if n == 1 else team_kg([alone] * n) or 0.0) for n in (1, 2, 3)]
    return next(((n, limit) for n, limit in limits if kg <= limit + 1e-9), (0, limits[-1][1]))


def team_for(scene: Scene, kg: float, height_mm: float) -> tuple[int, float]:
    """Return how many people lift so much at a height, and what they lift; 0 beyond three: none published."""
    one = single_kg(scene, height_mm)
    limits = [(1, one), (2, team_kg([one] * 2) or 0.0), (3, team_kg([one] * 3) or 0.0)]
    return next(((n, limit) for n, limit in limits if kg <= limit + 1e-9), (0, limits[-1][1]))
