"""What a question about standing answers: places with their cost, reason and marked areas. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Pose

Named = tuple[str, Outline]
TOUCHES_MM = 0.01


@dataclass(frozen=True, slots=True)
class Place:
    """A free place: pose, cost in mm (less is better), why, and the marked areas it stands in."""

    pose: Pose
    cost: float
    reason: str
    marked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FreePlaces:
    """Places, best first. `none_for_certain`: there is no free place at the turns asked for."""

    places: tuple[Place, ...]
    none_for_certain: bool


def reason_of(
    wall_mm: float | None,
    things: Sequence[tuple[str, float]],
    ways: Sequence[tuple[str, float]],
    touched: Sequence[str],
) -> str:
    """Say in a line what a place touches or is nearest to, and what it leaves to marked areas."""
    said = []
    at_wall = wall_mm is not None and wall_mm <= TOUCHES_MM
    beside = sorted(name for name, d in things if d <= TOUCHES_MM)
    if at_wall or beside:
        said.append("against " + " and ".join((["the wall"] if at_wall else []) + beside[:2]))
    else:
        nearest = [("the wall", wall_mm)] if wall_mm is not None else []
        near = min([*nearest, *things], key=lambda t: t[1], default=None)
        if near is not None:
            said.append(f"{near[1]:.0f} mm from {near[0]}")
    way = min(ways, key=lambda t: t[1], default=None)
    if way is not None:
        said.append(f"leaves {max(way[1], 0.0):.0f} mm to {way[0]}")
    said += [f"stands in {name}" for name in touched]
    return ", ".join(said) or "free on all sides"
