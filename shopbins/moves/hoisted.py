"""How a hoist takes a part off, or why none does."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Pose
from shopbins.moves.finding import Ask
from shopbins.shop.model import Gear


@dataclass(frozen=True, slots=True)
class Lift:
    """How a hoist takes a part off: at which reach (mm), what it then holds, where it stands and waits.

    `stands` and `waits` are outlines of it on the floor in the shop frame, `waits_in` the name of that room.
    `before` is its own middle pulled straight back from there, its boom along the turn; `back` tells that it
    finds room at the goal, too.
    """

    gear: Gear
    reach_mm: float
    holds_kg: float
    stands: Outline
    waits: Outline
    waits_in: str
    before: Pose
    back: bool = False


@dataclass(frozen=True, slots=True)
class No:
    """Why no hoist takes a part off, what has to be told to know more, and what would let one of the shop."""

    why: str
    ask: Ask | None = None
    ends: str = ""
