"""What each wheel may bear, at the kindest and at the worst: one share for gear, ramps and floors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shopbins.moves.fitted import HOISTS
from shopbins.moves.situation import Situation
from shopbins.moves.stances import Stance
from shopbins.moves.standing import centres


def bears(it: Situation, *, kind: bool = False) -> Iterator[tuple[Stance, list[float]]]:
    """Go through what each support may bear in kg, for every stance and every corner of the centre of
    gravity.

    The gear's own mass is added; how a truck's is shared is our own figure, left out where `kind`. Never more
    than the whole: where statics gives more, it has tipped onto that one.
    """
    mass = it.load.most_kg
    if mass is None:
        return
    whole = mass + (it.gear.gear.mass_kg or 0.0)
    for stance in it.gear.stances:
        own = gear_bears(it, stance, kind)
        for c in centres(it) or ():
            reactions = stance.bears((c.x_mm, c.y_mm))
            if reactions and len(reactions) == len(stance.supports):
                yield (
                    stance,
                    [
                        min(whole, max(0.0, r.most) * mass + more)
                        for r, more in zip(reactions, own, strict=True)
                    ],
                )


def gear_bears(it: Situation, stance: Stance, kind: bool) -> list[float]:
    """Return what of the gear's own mass may stand on each support: a truck's by our own figures."""
    kg, count = it.gear.gear.mass_kg or 0.0, len(stance.supports)
    if kind and it.kind != "trolley":
        return [0.0] * count
    if it.kind == "pallet truck":
        steering, roller = it.own["truck on steering"], it.own["truck on roller"]
        return [kg * (steering if "steer" in s.name else roller) for s in stance.supports]
    return [kg / count] * count


def wheel_range_kg(it: Situation) -> tuple[float, float, str] | None:
    """Return what the most loaded wheel bears, at the kindest and at the worst, and which it is.

    Where a truck's wheels are not told: between a quarter and half of the whole with the gear.
    """
    whole = it.whole_kg
    if whole is None:
        return None
    gear = it.gear.gear
    untold = it.kind == "pallet truck" and (gear.steering_axle_mm is None or gear.load_rollers_mm is None)
    if untold or (it.kind in HOISTS and gear.cg_mm is None):
        return whole / 4, whole / 2, f"one wheel of {gear.name}"

    found = _heaviest(it, kind=False)
    if not found:
        return None
    most_kg, which, _ = max(found, key=lambda each: each[0])
    tipped = " (all of it: it has tipped onto it)" if most_kg >= whole * (1 - 1e-9) else ""
    return min(_heaviest(it, kind=True))[0], most_kg, f"{which}{tipped}"


def _heaviest(it: Situation, *, kind: bool) -> list[tuple[float, str, int]]:
    """Return what the most loaded support may bear in kg, which one that is and of how many, for every stance
    and every corner of the centre of gravity.
    """
    return [
        (max(kg), stance.supports[kg.index(max(kg))].name, len(kg)) for stance, kg in bears(it, kind=kind)
    ]


@dataclass(frozen=True, slots=True)
class OneBears:
    """What the most loaded support may bear in kg, at the least and at the most, which one, of how many."""

    least_kg: float
    most_kg: float
    which: str
    of: int


def one_bears(it: Situation) -> OneBears | None:
    """Return what the most loaded support may bear; None where that is not known."""
    found = _heaviest(it, kind=True)
    if not found:
        return None
    most_kg, which, n = max(found)
    return OneBears(min(found)[0], most_kg, which, n)
