"""How a hoist takes a part off and which puts it on again, or why none does."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Pose
from shopbins.moves.finding import Ask
from shopbins.shop.model import Gear


@dataclass(frozen=True, slots=True)
class Lift:
    """How a hoist takes a part off: at which reach (mm), what it then holds, where it stands and waits.

    `stands` and `waits` are outlines of it on the floor in the shop frame, `waits_in` the name of that room.
    `before` is its own middle pulled straight back from there, its boom along the turn. `back` tells that the
    part is put on again at the goal: by this hoist, or by `other` of the shop, where this one does not come
    there. `no_way` says why no hoist of the shop comes there; with `back`, that it is not decided. `nor` says
    of each other hoist why it does not put it on there.
    """

    gear: Gear
    reach_mm: float
    holds_kg: float
    stands: Outline
    waits: Outline
    waits_in: str
    before: Pose
    back: bool = False
    other: Gear | None = None
    no_way: str = ""
    nor: tuple[str, ...] = ()

    @property
    def puts_on(self) -> Gear:
        """The hoist that puts the part on again."""
        return self.gear if self.other is None else self.other


@dataclass(frozen=True, slots=True)
class No:
    """Why no hoist takes a part off, what has to be told to know more, and what would let one of the shop."""

    why: str
    ask: Ask | None = None
    ends: str = ""
