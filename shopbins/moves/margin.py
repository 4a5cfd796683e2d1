"""What is left against how well it was measured: it passes, fails, or depends on measuring again."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shopbins.answer import Verdict


@dataclass(frozen=True, slots=True)
class Margin:
    """What is left, and each input with how far off it may be, in the same unit (mm unless said).

    The +- of all inputs add in full: more left than that passes, more lacking fails, else it depends.
    """

    left: float
    inputs: tuple[tuple[str, float], ...]
    unit: str = "mm"

    @property
    def within(self) -> float:
        """How far off what is left may be."""
        return math.fsum(within for _, within in self.inputs)

    @property
    def verdict(self) -> Verdict:
        """YES, NO, or AGAIN where it depends on the measuring."""
        if self.left > self.within:
            return Verdict.YES
        return Verdict.NO if self.left < -self.within else Verdict.AGAIN

    @property
    def measure(self) -> tuple[str, ...]:
        """What to measure again, the largest share first: 'clear width of mid (+- 60 of 65 mm)'."""
        if len(self.inputs) == 1:
            return (self.inputs[0][0],)
        whole = f"{self.within:.3g} {self.unit}"
        return tuple(f"{what} (+- {within:.3g} of {whole})" for what, within in self.shares)

    @property
    def shares(self) -> tuple[tuple[str, float], ...]:
        """The inputs, the largest share first."""
        return tuple(sorted(self.inputs, key=lambda each: -each[1]))

    def as_json(self) -> list[dict[str, object]]:
        """Return each input with its +- and which share of the whole that is."""
        whole = self.within or 1.0
        return [
            {"what": what, "within": round(within, 3), "unit": self.unit, "share": round(within / whole, 3)}
            for what, within in self.shares
        ]
