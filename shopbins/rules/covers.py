"""Covers in a floor, over a pit, a duct, a drain: what each takes, and how much of a thing stands on it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.exact import overlap, point_gap
from shopbins.geometry.shapes import Outline, Point, contains
from shopbins.rules import limits
from shopbins.rules.supports import Support, ways_to_stand
from shopbins.shop.model import Fixture, Opening, Shop
from shopbins.units import GRAVITY_M_S2

TESTED_KN = {"B125": 125.0, "C250": 250.0, "D400": 400.0, "E600": 600.0, "F900": 900.0}
"""Test loads of EN 124-1:2015 by class; A15 is for people on foot and cycles."""


@dataclass(frozen=True, slots=True)
class Cover:
    """A cover in a floor: what findings call it, what it takes (kg, EN 124 class; as far as told), and how
    high it stands over the floor. `is_open`: it is none, but an open pit that takes nothing.
    """

    subject: str
    name: str
    room: str
    outline: Outline
    load_kg: float | None
    klass: str
    proud_mm: float = 0.0
    is_open: bool = False

    @property
    def for_people(self) -> bool:
        """Whether it is of class A15."""
        return self.klass.upper().replace(" ", "") == "A15"

    @property
    def tested_kn(self) -> float | None:
        """The test load of its class; None where no load for wheels or machines goes with it."""
        return TESTED_KN.get(self.klass.upper().replace(" ", ""))

    @property
    def asked(self) -> str:
        """What to write in the shop file where nobody told what it takes."""
        sort, _, key = self.subject.partition(":")
        return f"{sort}s: {key}: {{load: 10 kN}}"


def is_cover(it: Fixture | Opening) -> bool:
    """Tell whether something in a floor is gone over: a flat fixture, or an opening that is covered."""
    if isinstance(it, Fixture):
        return it.is_cover
    return it.covered is True or (it.covered is None and it.kind in ("grating", "drain"))


def covers_in(shop: Shop) -> Iterator[Cover]:
    """Go through the covers in the floors of a shop."""
    every: list[Fixture | Opening] = [*shop.fixtures.values(), *shop.openings.values()]
    for each in every:
        if each.outline and is_cover(each):
            sort = "fixture" if isinstance(each, Fixture) else "opening"
            subject, high = f"{sort}:{each.key}", each.top_mm or 0.0 if isinstance(each, Fixture) else 0.0
            yield Cover(subject, each.name, each.room, each.outline, each.load_kg, each.load_class, high)


def bears_kn(cover: Cover, of_test: float, g_m_s2: float = GRAVITY_M_S2) -> tuple[float, float] | None:
    """Return what may stand on a cover, and what surely may not, in kN; None where nobody told.

    A load is told as a mass: `g_m_s2` is what it is compared by. Of a class counts a share of its test load
    (`of_test`); one for people on foot takes what floors take wherever it stands.
    """
    if cover.for_people:
        people = limits.figure("floor-load", "any", "light")
        return people, people
    if cover.load_kg is not None:
        kn = cover.load_kg * g_m_s2 / 1000.0
        return kn, kn
    return None if cover.tested_kn is None else (cover.tested_kn * of_test, cover.tested_kn)


def may_not_bear(
    shop: Shop, kn: float, of_test: float, g_m_s2: float = GRAVITY_M_S2
) -> Iterator[tuple[Cover, tuple[float, float] | None]]:
    """Go through the covers that do not surely bear so much, each with what `bears_kn` says of it."""
    for cover in covers_in(shop):
        takes = bears_kn(cover, of_test, g_m_s2)
        if takes is None or takes[0] < kn:
            yield cover, takes


@dataclass(frozen=True, slots=True)
class OnCover:
    """How much of a thing's weight stands on a cover, surely and perhaps (shares), and what of it does."""

    cover: Cover
    least: float
    most: float
    what: str


def stood_on(
    covers: Sequence[Cover], outline: Outline, feet: Sequence[tuple[Point, float]], cg: Point | None
) -> Iterator[OnCover]:
    """Go through the covers that a thing stands on, by statics of a stiff body on feet that only push.

    `feet` are points with how far their pads reach, fewer than three where they are not told: then it may
    stand on any of its outline, and all of it on a cover that it only touches. All in one frame.
    """
    for cover in covers:
        if len(feet) < 3:
            if overlap(outline, cover.outline, 1.0):
                inside = all(contains(cover.outline, p) for p in outline)
                yield OnCover(cover, 1.0 if inside else 0.0, 1.0, "all of it" if inside else "some of it")
            continue
        on = {i for i, (p, pad) in enumerate(feet) if _reaches(cover.outline, p, pad)}
        if not on:
            continue
        ways = [] if cg is None else ways_to_stand([Support(x, y) for (x, y), _ in feet], cg)
        shares = [math.fsum(way[i] for i in on) for way in ways]
        sure = {i for i in on if contains(cover.outline, feet[i][0])}
        what = "all of its feet" if len(sure) == len(feet) else f"{len(sure)} of its {len(feet)} feet"
        what += f" and {len(on - sure)} at its rim" if on - sure else ""
        least = min((math.fsum(way[i] for i in sure) for way in ways), default=0.0)
        least = 1.0 if len(sure) == len(feet) else least
        yield OnCover(cover, least, max(shares, default=1.0), what)


def _reaches(outline: Outline, p: Point, pad: float) -> bool:
    return contains(outline, p) or (pad > 0 and abs(point_gap(outline, p).distance_mm) < pad)
