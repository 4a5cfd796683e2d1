"""Forks and what they meet: stretches that are free across a side, and pallets by their openings.

A side is looked at along the forks as they enter: stretches run across, in mm from the middle of the thing,
the right hand positive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shopbins.geometry.shapes import Point, cos_sin

Stretch = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Opening:
    """What forks meet that enter a thing pointing `towards_deg` (in the thing's own frame).

    `free` are the free stretches across, `height_mm` how high they are (None: not measured), `name` which
    side it is. `crosses_boards`: a truck's rollers would have to cross boards on the floor. How well it is
    measured is in `wide_within_mm` and `high_within_mm`; None: as the shop measures.
    """

    free: tuple[Stretch, ...]
    height_mm: float | None = None
    towards_deg: float = 0.0
    name: str = ""
    crosses_boards: bool = False
    wide_within_mm: float | None = None
    high_within_mm: float | None = None

    @property
    def clear_mm(self) -> float:
        """The widest free stretch."""
        return max((b - a for a, b in self.free), default=0.0)


@dataclass(frozen=True, slots=True)
class Way:
    """How forks go into an opening: `play_mm` is left between both sides together, below 0 it is lacking.

    `shift_mm` is where the forks' middle then is, from the thing's middle, and `aside_mm` from where they
    have the same play on both sides; `astride` where something stands in the gap between the forks.
    """

    play_mm: float
    shift_mm: float
    astride: bool
    aside_mm: float = 0.0

    def aimed(self, at_mm: float, keep_mm: float) -> Way:
        """Return the way with the forks' middle set to a place, no nearer to what stands beside them than
        `keep_mm`; the same where that is no better than the middle.
        """
        most = max(0.0, self.play_mm / 2 - keep_mm)
        middle = self.shift_mm - self.aside_mm
        aside = min(most, max(-most, SET_MM * round((at_mm - middle) / SET_MM)))
        return self if abs(aside) < SET_MM else replace(self, shift_mm=middle + aside, aside_mm=aside)


SET_MM = 10.0
"""Forks are set by tape and eye: no finer than this: own figure."""


def between_feet(width_mm: float, height_mm: float | None, towards_deg: float = 0.0) -> Opening:
    """Return the opening between two feet `width_mm` apart, in the middle of the thing."""
    half = width_mm / 2
    return Opening(((-half, half),), height_mm, towards_deg, "between the feet")


def enter(
    free: Sequence[Stretch],
    over_mm: float,
    between_mm: float | None,
    at_mm: float | None = None,
    keep_mm: float = 0.0,
) -> Way | None:
    """Return the way two forks go into free stretches with most play, or lack least.

    With `at_mm` told they are set with their middle there as near as they go, `keep_mm` off what stands
    beside them: of ways they go in the one that comes nearest, of those as near the one with most play.
    `between_mm` None: how wide one fork is is not known; then both must go into one stretch. None where
    nothing is free.
    """
    every = list(_ways(free, over_mm, between_mm))
    if at_mm is not None:
        every = [way.aimed(at_mm, keep_mm) for way in every]

    def off(way: Way) -> float:
        """Return how far from there they are."""
        if at_mm is None or way.play_mm < 0:
            return math.inf
        return SET_MM * round(abs(way.shift_mm - at_mm) / SET_MM)

    return min(every, key=lambda way: (off(way), -way.play_mm), default=None)


def _ways(free: Sequence[Stretch], over_mm: float, between_mm: float | None) -> Iterator[Way]:
    """Go through the ways two forks go into one stretch or two, with the same play on both sides."""
    fork = None if between_mm is None else (over_mm - between_mm) / 2
    for i, (a, b) in enumerate(free):
        for j, (c, d) in enumerate(free):
            if i != j and (fork is None or c < b):
                continue
            least, most = a, d - over_mm
            if i != j and fork is not None:
                least, most = max(a, c - over_mm + fork), min(b - fork, d - over_mm)
            play = most - least
            if not math.isinf(play):
                yield Way(play, (least + most) / 2 + over_mm / 2, i != j)


@dataclass(frozen=True, slots=True)
class Foot:
    """A foot, jacking or slinging point: its middle in the thing's frame, and its pad (along x, along y)."""

    x_mm: float
    y_mm: float
    pad_mm: tuple[float, float] | None = None
    name: str = ""

    @property
    def point(self) -> Point:
        """Where its middle is."""
        return self.x_mm, self.y_mm


def openings_between(
    feet: Iterable[Foot], outline: Sequence[Point], height_mm: float | None
) -> tuple[Opening, ...]:
    """Return what forks meet along x and along y between feet, under a thing's outline.

    () where a pad is not told: how wide a foot is is then not known, and what is free is not either.
    """
    stand = list(feet)
    if len(stand) < 2 or any(foot.pad_mm is None for foot in stand):
        return ()
    found = []
    for towards in (0.0, 90.0):
        c, s = cos_sin(towards)
        across = [_across(point, c, s) for point in outline]
        taken = []
        for foot in stand:
            along_x, along_y = foot.pad_mm or (0.0, 0.0)
            half = (along_y if towards == 0.0 else along_x) / 2
            middle = _across(foot.point, c, s)
            taken.append((middle - half, middle + half))
        free = _free(taken, min(across), max(across))
        found.append(
            Opening(free, height_mm, towards, f"forks along its {'length' if towards == 0 else 'width'}")
        )
    return tuple(found)


def _across(point: Point, c: float, s: float) -> float:
    """Return how far right of the middle a point is, seen along the forks."""
    return point[0] * s - point[1] * c


def _free(taken: Iterable[Stretch], low: float, high: float) -> tuple[Stretch, ...]:
    """Return what is left of a stretch."""
    found, at = [], low
    for a, b in sorted(taken):
        if a > at:
            found.append((at, min(a, high)))
        at = max(at, b)
    if at < high:
        found.append((at, high))
    return tuple(found)


# --- pallets ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Pallet:
    """A pallet: its plan, height, and openings along both sides (None: not known, measure them)."""

    key: str
    size_mm: tuple[float, float]
    height_mm: float | None
    openings: tuple[Opening, ...]
    source: str


def _two_openings(each_mm: float, block_mm: float) -> tuple[Stretch, ...]:
    half = block_mm / 2
    return ((-half - each_mm, -half), (half, half + each_mm))


EUR_BLOCK_MM = 145.0
EUR_FREE_MM = 100.0

EUR = Pallet(
    "EUR",
    (1200.0, 800.0),
    144.0,
    (
        Opening(_two_openings(227.5, EUR_BLOCK_MM), EUR_FREE_MM, 0.0, "the 800 mm side"),
        Opening(_two_openings(382.5, EUR_BLOCK_MM), EUR_FREE_MM, 90.0, "the 1200 mm side", True),
    ),
    "UIC 435-2, EN 13698-1 (openings derived and from memory)",
)

ISO_PLANS_MM = (
    (1200.0, 1000.0),
    (1200.0, 800.0),
    (1219.0, 1016.0),
    (1140.0, 1140.0),
    (1100.0, 1100.0),
    (1067.0, 1067.0),
)
"""Plans of ISO 6780 (read in part). The openings of these vary by maker: measure them."""


def _plan(size: tuple[float, float]) -> Pallet:
    key = f"{size[0]:g}x{size[1]:g}"
    return Pallet(key, size, None, (), "ISO 6780: the plan only")


PALLETS: Mapping[str, Pallet] = {"EUR": EUR, **{p.key: p for p in map(_plan, ISO_PLANS_MM)}}
