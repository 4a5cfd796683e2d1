"""The thing to be moved, as gear, forces and supports see it; and answers that may be 'not known'."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shopbins.geometry.shapes import Outline, Point
from shopbins.moves.forks import PALLETS, Foot, Opening, openings_between
from shopbins.units import show_mass

Answer = Literal["yes", "no", "not known"]


@dataclass(frozen=True, slots=True)
class Load:
    """A thing as it stands: everything in its own frame at turn 0, heights from the floor. None: unknown.

    `outline` and `height_mm` are with what it stands on. `mass_kg` is what was weighed together, `about`
    where guessed, `not_weighed` how many more things are on it. `under_mm` is clear under its base between
    the feet; `openings` what forks meet where that was measured (else it follows from `pallet`, a key of
    `PALLETS`, its length along x, or from the feet's pads). `flat_base`: it stands on runners or a plate that
    rollers can run under. `subject` is what findings call it, like 'group:RW1042'.
    """

    name: str
    outline: Outline
    height_mm: float | None = None
    mass_kg: float | None = None
    about: bool = False
    not_weighed: int = 0
    cg_mm: Point | None = None
    cg_height_mm: float | None = None
    feet: tuple[Foot, ...] = ()
    jacking: tuple[Foot, ...] = ()
    slinging: tuple[Foot, ...] = ()
    sling_height_mm: float | None = None
    under_mm: float | None = None
    openings: tuple[Opening, ...] = ()
    pallet: str | None = None
    flat_base: bool | None = None
    subject: str = ""

    @property
    def subjects(self) -> tuple[str, ...]:
        """What findings about it are about."""
        return (self.subject or f"thing:{self.name}",)

    def mass_words(self) -> str:
        """Say its mass: '1.2 t', 'at least about 640 kg, 3 not weighed', 'not weighed'."""
        if self.mass_kg is None:
            return "not weighed"
        said = show_mass(self.mass_kg, about=self.about)
        return f"at least {said}, {self.not_weighed} not weighed" if self.not_weighed else said

    def met_by_forks(self) -> tuple[Opening, ...]:
        """Return the openings known of: as measured, else the pallet's, else between the feet."""
        if self.openings:
            return self.openings
        pallet = PALLETS.get(self.pallet or "")
        if pallet is not None:
            return pallet.openings
        return openings_between(self.feet, self.outline, self.under_mm)


@dataclass(frozen=True, slots=True)
class Judged:
    """An answer with its reason; `measured` and `limit` share `unit`, None where there is none to compare.

    `again` names what to measure again where the answer flips within how well it was measured.
    """

    answer: Answer
    why: str
    measured: float | None = None
    limit: float | None = None
    unit: str = "mm"
    again: tuple[str, ...] = ()


def holds(load: Load, capacity_kg: float | None, what: str) -> Judged:
    """Compare a thing's mass with what something holds; unknown stays unknown, 'at least' may refuse."""
    mass = load.mass_kg
    if mass is None:
        return Judged("not known", f"{load.name} is not weighed", None, capacity_kg, "kg")
    if capacity_kg is None:
        return Judged("not known", f"what {what} holds is not known", mass, None, "kg")
    words = f"{load.name} is {load.mass_words()}; {what}: {show_mass(capacity_kg)} at most"
    if mass > capacity_kg * (1 + 1e-9):
        return Judged("no", words, mass, capacity_kg, "kg", ("the mass",) if load.about else ())
    if load.not_weighed:
        return Judged("not known", f"{words}: weigh the rest", mass, capacity_kg, "kg", ("the mass",))
    near = load.about and mass > capacity_kg / ABOUT
    return Judged("yes", words, mass, capacity_kg, "kg", ("the mass",) if near else ())


ABOUT = 1.25
"""A guessed mass may be a quarter wrong: own figure, no source."""
