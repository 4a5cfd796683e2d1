"""The thing to be moved, as gear, forces and supports see it; and answers that may be 'not known'."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from shopbins.geometry.shapes import Outline, Point, bounds, contains
from shopbins.moves.forks import PALLETS, Foot, Opening, openings_between
from shopbins.moves.tipping import Centre
from shopbins.rules.say import told_apart
from shopbins.units import show_mass

Answer = Literal["yes", "no", "not known"]


@dataclass(frozen=True, slots=True)
class Load:
    """A thing as it stands: everything in its own frame at turn 0, heights from the floor. None: unknown.

    `outline` and `height_mm` are with what it stands on. `mass_kg` is what was weighed together, `about`
    where guessed, `not_weighed` how many more things are on it. `under_mm` is clear under its base between
    the feet, `under_within_mm` how well that was measured (None: as all else); `openings` what forks meet
    where that was measured (else it follows from `pallet`, a key of `PALLETS`, its length along x, or from
    the feet's pads). `flat_base`: it stands on runners or a plate that
    rollers can run under, `runners_mm` wide over all. `corners` is where else its centre of gravity may be,
    as masses are only about right or something lies loose on it; how well it was measured is in
    `cg_within_mm` and `cg_height_within_mm`. `cg_aside_mm` is how far along x and y it is taken to be off the
    middle of a low load where nobody told it; None of any other. `own` and `own_height_mm` are without the
    parts that project (`own` empty: as the whole); `own` may have notches, `outline` is convex. `subject` is
    what findings call it, like 'group:RW1042'.
    """

    name: str
    outline: Outline
    height_mm: float | None = None
    mass_kg: float | None = None
    about: bool = False
    not_weighed: int = 0
    cg_mm: Point | None = None
    cg_height_mm: float | None = None
    cg_within_mm: float = 0.0
    cg_height_within_mm: float = 0.0
    cg_aside_mm: Point | None = None
    corners: tuple[Centre, ...] = ()
    feet: tuple[Foot, ...] = ()
    jacking: tuple[Foot, ...] = ()
    slinging: tuple[Foot, ...] = ()
    sling_height_mm: float | None = None
    under_mm: float | None = None
    under_within_mm: float | None = None
    openings: tuple[Opening, ...] = ()
    pallet: str | None = None
    flat_base: bool | None = None
    runners_mm: float | None = None
    subject: str = ""
    own: Outline = ()
    own_height_mm: float | None = None

    @property
    def least_kg(self) -> float | None:
        """The least it weighs; None where nothing was weighed."""
        return None if self.mass_kg is None else self.mass_kg * (2 - ABOUT if self.about else 1.0)

    @property
    def most_kg(self) -> float | None:
        """The most it weighs; None where something on it was not weighed."""
        if self.mass_kg is None or self.not_weighed:
            return None
        return self.mass_kg * (ABOUT if self.about else 1.0)

    @property
    def cg_told(self) -> bool:
        """Tell whether its centre of gravity is known in plan and height."""
        return self.cg_mm is not None and self.cg_height_mm is not None

    @property
    def cg_bounded(self) -> bool:
        """Tell whether its centre of gravity is known, or taken within a bound as of a low load."""
        return self.cg_told or bool(self.cg_aside_mm and self.centres())

    @property
    def centre(self) -> Centre | None:
        """Its centre of gravity, as told and with the parts that are on it."""
        if self.cg_mm is None or self.cg_height_mm is None:
            return None
        return Centre(*self.cg_mm, self.cg_height_mm)

    def centres(self) -> tuple[Centre, ...]:
        """Return every corner of where its centre of gravity may be; () where its height is not known.

        Not told in plan it is somewhere over the outline, of a low load so far off its middle at the most;
        not told in height somewhere from 0 to the top.
        """
        return _centres(self)

    @property
    def stands_at(self) -> tuple[Point, ...]:
        """Where it touches what it stands on: its feet, else the ends of its runners; () where not told."""
        if len(self.feet) >= 3:
            return tuple(f.point for f in self.feet)
        if self.runners_mm is None:
            return ()
        x0, y0, x1, y1 = bounds(self.own or self.outline)
        middle, half = (y0 + y1) / 2, min(self.runners_mm, y1 - y0) / 2
        return (x0, middle - half), (x1, middle - half), (x1, middle + half), (x0, middle + half)

    @property
    def subjects(self) -> tuple[str, ...]:
        """What findings about it are about."""
        return (self.subject or f"thing:{self.name}",)

    def mass_words(self, beside: float | None = None) -> str:
        """Say its mass: '1.2 t', 'at least about 640 kg, 3 not weighed', 'not weighed'.

        In other figures than one told `beside` it in kg, where it is not the same.
        """
        if self.mass_kg is None:
            return "not weighed"
        kg = self.mass_kg
        said = show_mass(kg) if beside is None else told_apart(kg, beside, show_mass, "kg")[0]
        said = f"about {said}" if self.about else said
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


@lru_cache(maxsize=256)
def _centres(load: Load) -> tuple[Centre, ...]:
    if load.height_mm is None and load.cg_height_mm is None:
        return ()
    heights = (0.0, load.height_mm or 0.0) if load.cg_height_mm is None else (load.cg_height_mm,)
    points: tuple[Point, ...] = (*load.outline, *_inside(load.outline))
    if load.cg_mm is not None:
        points = (load.cg_mm,)
    elif load.cg_aside_mm is not None:
        (x, y), (a, b) = bounds(load.outline).middle, load.cg_aside_mm
        points = tuple((x + dx, y + dy) for dx, dy in itertools.product(_both(a), _both(b)))
    found = [Centre(x, y, z) for x, y in points for z in heights]
    if load.cg_told:
        found += load.corners
    return tuple(dict.fromkeys(_within(load, found)))


def _within(load: Load, found: list[Centre]) -> Iterator[Centre]:
    a = load.cg_within_mm if load.cg_mm is not None else 0.0
    h = load.cg_height_within_mm if load.cg_height_mm is not None else 0.0
    for c in found:
        for dx, dy, dz in itertools.product(_both(a), _both(a), _both(h)):
            yield Centre(c.x_mm + dx, c.y_mm + dy, max(0.0, c.z_mm + dz))


def _inside(outline: Outline) -> Iterator[Point]:
    """Go through points inside an outline: where a centre of gravity nobody told may be at its kindest."""
    x0, y0, x1, y1 = bounds(outline)
    for i, j in itertools.product((1, 2, 3), repeat=2):
        point = x0 + (x1 - x0) * i / 4, y0 + (y1 - y0) * j / 4
        if contains(outline, point):
            yield point


def _both(of: float) -> tuple[float, ...]:
    return (0.0,) if not of else (-of, of)


def holds(load: Load, capacity_kg: float | None, what: str) -> Judged:
    """Compare a thing's mass with what something holds; unknown stays unknown, 'at least' may refuse."""
    mass = load.mass_kg
    if mass is None:
        return Judged("not known", f"{load.name} is not weighed", None, capacity_kg, "kg")
    if capacity_kg is None:
        return Judged("not known", f"what {what} holds is not known", mass, None, "kg")
    most = told_apart(mass, capacity_kg, show_mass, "kg")[1]
    words = f"{load.name} is {load.mass_words(beside=capacity_kg)}; {what}: {most} at most"
    if mass > capacity_kg * (1 + 1e-9):
        return Judged("no", words, mass, capacity_kg, "kg", ("the mass",) if load.about else ())
    if load.not_weighed:
        return Judged("not known", f"{words}: weigh the rest", mass, capacity_kg, "kg", ("the mass",))
    near = load.about and mass > capacity_kg / ABOUT
    return Judged("yes", words, mass, capacity_kg, "kg", ("the mass",) if near else ())


ABOUT = 1.25
"""A guessed mass may be a quarter wrong: own figure, no source."""
