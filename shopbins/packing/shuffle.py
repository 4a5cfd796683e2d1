"""Would it fit after a shuffle? Rectangles with quarter turns on a rectangular surface with blocked parts.

The answer is a layout; or a proof that there is none (a side too long, area, dual feasible functions, or
every way tried); or 'not found' in the time given, with how full it got. Lengths are taken as the fractions
they were meant as (`lengths`), so layouts and proofs are exact: full is full, a hair more is too much.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from shopbins.geometry.lengths import Steps
from shopbins.geometry.shapes import Box, FloorProblem
from shopbins.packing import no_fit_proof as dual
from shopbins.packing import perfect_fit as depth
from shopbins.packing import skyline
from shopbins.packing.skyline import Rect, Task

STEP_MM = 0.001
"""As near as this is the same place, and as small as this a length may be."""
TRY_ALL_UP_TO = 7
TRY_ALL_TIGHT_UP_TO = 30
FEW = 3
GUESS_S = 0.01
LONGEST_MM = 1e6

Verdict = Literal["fits", "does not fit", "not found"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A rectangle to lay down: its length along x as given, its width along y, and whether it may turn."""

    length_mm: float
    width_mm: float
    may_turn: bool = True
    name: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a piece lies: its lower left corner, and whether its length runs along y."""

    piece: int
    x_mm: float
    y_mm: float
    turned: bool = False

    def box(self, piece: Piece, around_mm: float = 0.0) -> Box:
        """Return the upright box the piece takes, with a margin around."""
        a, b = (piece.width_mm, piece.length_mm) if self.turned else (piece.length_mm, piece.width_mm)
        m = around_mm
        return Box(self.x_mm - m, self.y_mm - m, self.x_mm + a + m, self.y_mm + b + m)


@dataclass(frozen=True, slots=True)
class Shuffled:
    """The answer: a spot for every piece when it fits, else the fullest partial layout found.

    `fill` is the share of the open surface that `spots` cover; `why` is the proof or the state of the search.
    """

    answer: Verdict
    spots: tuple[Spot, ...]
    why: str
    fill: float
    seconds: float


@dataclass(slots=True)
class Surface:
    """A rectangular surface from (0, 0), parts of it blocked, and the gap to keep between all things."""

    length_mm: float
    width_mm: float
    blocked: Sequence[Box] = ()
    gap_mm: float = 0.0
    open_mm2: float = field(init=False)

    def __post_init__(self) -> None:
        """Refuse sizes that are no sizes and work out the open area."""
        _size("surface length", self.length_mm)
        _size("surface width", self.width_mm)
        if not 0 <= self.gap_mm < LONGEST_MM:
            raise FloorProblem(f"gap: {self.gap_mm:g} mm is no distance")
        for i, box in enumerate(self.blocked):
            if not all(map(math.isfinite, box)) or box[0] >= box[2] or box[1] >= box[3]:
                raise FloorProblem(f"blocked {i}: no rectangle (least x, least y, greatest x, greatest y)")
        steps = _steps(self, ())
        width, height = steps.at_least(self.length_mm), steps.at_least(self.width_mm)
        whole = apart([_rect(b, steps) for b in self.blocked], width, height)
        taken = sum((u1 - u0) * (v1 - v0) for u0, v0, u1, v1 in whole)
        self.open_mm2 = (width * height - taken) / steps.per_mm**2


def shuffle(
    surface: Surface,
    pieces: Sequence[Piece],
    *,
    seconds: float = 1.0,
    seed: int = 0,
) -> Shuffled:
    """Say whether all pieces can lie on a surface together, and where.

    Raises FloorProblem for sizes that are no sizes.
    """
    began = time.perf_counter()
    for i, piece in enumerate(pieces):
        _size(f"piece {piece.name or i} length", piece.length_mm)
        _size(f"piece {piece.name or i} width", piece.width_mm)

    def over(share: float = 1.0) -> bool:
        return time.perf_counter() - began >= seconds * share

    task, unit_mm = _task(surface, pieces)
    why = _no_way(task, pieces, unit_mm)
    if why:
        return Shuffled("does not fit", (), why, 0.0, time.perf_counter() - began)
    verdict, spots, why = _look(task, over, random.Random(seed), seconds)
    lying = tuple(_spot(s, pieces, unit_mm) for s in sorted(spots))
    covered = sum(pieces[s.piece].length_mm * pieces[s.piece].width_mm for s in lying)
    fill = covered / surface.open_mm2 if surface.open_mm2 > 0 else 0.0
    return Shuffled(verdict, lying, why, fill, time.perf_counter() - began)


def _look(
    task: Task, over: Callable[[float], bool], rng: random.Random, seconds: float
) -> tuple[Verdict, Sequence[skyline.Spot], str]:
    """Guess for a while, try every way where that is feasible, guess again for the rest of the time."""
    if not task.ways:
        return "fits", [], ""
    few = len(task.ways) <= (TRY_ALL_TIGHT_UP_TO if task.spare == 0 else TRY_ALL_UP_TO)
    first = 1.0 if not few else min(0.2, GUESS_S * (len(task.ways) - FEW) / seconds)
    found, spots = skyline.search(task, lambda: over(first), rng)
    if not found and few:
        try:
            every = depth.try_all(task, lambda: over(0.7))
        except depth.Stopped:
            again, other = skyline.search(task, lambda: over(1.0), rng)
            found, spots = again, other if again or len(other) > len(spots) else spots
        else:
            if every is None:
                return "does not fit", [], "every way to put them down was tried"
            found, spots = True, every
    if found:
        return "fits", spots, ""
    return "not found", spots, f"not found in {seconds:g} s; {len(spots)} of {len(task.ways)} lie"


def _no_way(task: Task, pieces: Sequence[Piece], unit_mm: Fraction) -> str:
    """Return a proof that there is no layout, or an empty string."""
    for piece, ways in zip(pieces, task.ways, strict=True):
        if all(a > task.width or b > task.height for a, b in ways):
            name = f"{piece.name}: " if piece.name else ""
            return f"{name}{piece.length_mm:g} x {piece.width_mm:g} mm is too long for the surface"
    if task.spare < 0:
        short = float(-task.spare * unit_mm * unit_mm)
        return f"area: {short:.6g} mm2 short"
    if len(task.ways) <= FEW:
        return ""  # trying every way is quicker than a bound
    fixed = [(u1 - u0, v1 - v0) for u0, v0, u1, v1 in task.blocked]
    turns = [len(ways) == 2 for ways in task.ways]
    proof = dual.proof((task.width, task.height), [w[0] for w in task.ways], turns, fixed)
    return f"bound ({proof})" if proof else ""


def _task(surface: Surface, pieces: Sequence[Piece]) -> tuple[Task, Fraction]:
    """Return the task in whole numbers of the longest step all lengths are whole numbers of, and that step.

    A gap is kept by making every piece, the surface and the blocked parts longer by it to the right and up.
    """
    steps = _steps(surface, pieces)
    gap = steps.at_most(surface.gap_mm)
    width, height = steps.at_least(surface.length_mm) + gap, steps.at_least(surface.width_mm) + gap
    boxes = [_rect(b, steps) for b in surface.blocked]
    blocked = apart([(u0, v0, u1 + gap, v1 + gap) for u0, v0, u1, v1 in boxes], width, height)
    sides = [(steps.at_most(p.length_mm) + gap, steps.at_most(p.width_mm) + gap) for p in pieces]
    unit = (
        math.gcd(width, height, *(s for pair in sides for s in pair), *(v for r in blocked for v in r)) or 1
    )
    ways = tuple(
        ((a // unit, b // unit), (b // unit, a // unit))
        if p.may_turn and a != b
        else ((a // unit, b // unit),)
        for (a, b), p in zip(sides, pieces, strict=True)
    )
    rects = tuple((u0 // unit, v0 // unit, u1 // unit, v1 // unit) for u0, v0, u1, v1 in blocked)
    return Task(width // unit, height // unit, rects, ways), Fraction(unit, steps.per_mm)


def _steps(surface: Surface, pieces: Sequence[Piece]) -> Steps:
    lengths = [surface.length_mm, surface.width_mm, surface.gap_mm, *(v for b in surface.blocked for v in b)]
    return Steps([*lengths, *(v for p in pieces for v in (p.length_mm, p.width_mm))])


def _rect(box: Box, steps: Steps) -> Rect:
    """Return a blocked part, no larger than it is."""
    return steps.at_least(box[0]), steps.at_least(box[1]), steps.at_most(box[2]), steps.at_most(box[3])


def _spot(found: skyline.Spot, pieces: Sequence[Piece], unit_mm: Fraction) -> Spot:
    k, x, y, a, b = found
    piece = pieces[k]
    longer_along_x = a >= b
    turned = piece.may_turn and longer_along_x != (piece.length_mm >= piece.width_mm)
    return Spot(k, float(x * unit_mm), float(y * unit_mm), turned)


def _size(what: str, length_mm: float) -> None:
    if not (math.isfinite(length_mm) and STEP_MM <= length_mm <= LONGEST_MM):
        raise FloorProblem(f"{what}: {length_mm:g} mm is no size")


def apart(boxes: Iterable[Rect], width: int, height: int) -> list[Rect]:
    """Return rectangles that cover the same part of the surface as the boxes, without overlapping."""
    done: list[Rect] = []
    for u0, v0, u1, v1 in boxes:
        fresh = [(max(u0, 0), max(v0, 0), min(u1, width), min(v1, height))]
        for old in done:
            fresh = [piece for r in fresh for piece in _less(r, old)]
        done += [r for r in fresh if r[0] < r[2] and r[1] < r[3]]
    return done


def _less(r: Rect, cut: Rect) -> list[Rect]:
    """Return what is left of a rectangle outside another, as up to four."""
    u0, v0, u1, v1 = r
    a0, b0, a1, b1 = max(u0, cut[0]), max(v0, cut[1]), min(u1, cut[2]), min(v1, cut[3])
    if a0 >= a1 or b0 >= b1:
        return [r]
    bands = [(u0, v0, u1, b0), (u0, b1, u1, v1), (u0, b0, a0, b1), (a1, b0, u1, b1)]
    return [q for q in bands if q[0] < q[2] and q[1] < q[3]]
