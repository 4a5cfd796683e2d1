"""How much of a way is left beside the bodies in it: `kernel.ways` told with bodies instead of outlines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.corridor import Corridor
from shopbins.geometry.shapes import Point
from shopbins.kernel.ways import Narrowing, narrowings, past, reaching
from shopbins.scene.standing import Standing


@dataclass(frozen=True, slots=True)
class Pinch:
    """What is left of a way at one place: how wide, where, and the things of the chain that narrows it."""

    clear_mm: float
    at_mm: Point
    chain: tuple[Standing, ...]


def standing_in(way: Corridor, bodies: Sequence[Standing]) -> list[Standing]:
    """Return the bodies that reach into a way by more than rounding."""
    return [bodies[k] for k in reaching(way, [b.outline for b in bodies])]


def narrowest(way: Corridor, bodies: Sequence[Standing]) -> list[Pinch]:
    """Return one pinch for each chain of things that narrows the way, narrowest first."""
    return [_told(each, bodies) for each in narrowings(way, [b.outline for b in bodies])]


def left_beside(way: Corridor, body: Standing, others: Sequence[Standing]) -> Pinch | None:
    """Return what is left of the way past one thing, with the others there; None if it is not in the way."""
    bodies = [body, *others]
    found = past(way, [b.outline for b in bodies])
    return None if found is None else _told(found, bodies)


def _told(found: Narrowing, bodies: Sequence[Standing]) -> Pinch:
    return Pinch(found.clear_mm, found.at_mm, tuple(bodies[k] for k in found.chain))
