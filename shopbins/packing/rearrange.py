"""Make room by moving as little as can be of what already lies on a surface, and in which order.

First nothing is moved, then each one thing, each two, and so on, the rest staying where it is; after that
the whole surface is laid out anew and whatever then lies as before (seen from any side) is left alone.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.shapes import Box, FloorProblem
from shopbins.packing.shuffle import STEP_MM, Piece, Shuffled, Spot, Surface, Verdict, shuffle

EACH_S = 0.05
PROOF_WORTH_S = 0.2
MOST_AT_ONCE = 3


@dataclass(frozen=True, slots=True)
class Shift:
    """One move: a piece goes from a spot (None: from off the surface) to another (None: set aside)."""

    piece: int
    before: Spot | None
    after: Spot | None


@dataclass(frozen=True, slots=True)
class Rearranged:
    """The moves in order, and the layout after them.

    `moved` counts the pieces that lay there and change place; `fewest` tells whether moving fewer was proven
    impossible. Without an answer `fits`, `why` says how it ended and `spots` is the fullest layout found.
    """

    answer: Verdict
    shifts: tuple[Shift, ...]
    spots: tuple[Spot, ...]
    moved: int
    fewest: bool
    why: str
    seconds: float


def rearrange(
    surface: Surface,
    pieces: Sequence[Piece],
    present: Sequence[Spot],
    *,
    seconds: float = 1.0,
) -> Rearranged:
    """Lay down the pieces that have no spot yet, moving few of those in `present`.

    Raises FloorProblem where the present layout is none (a piece twice, over the edge, two overlapping).
    """
    began = time.perf_counter()
    here = {s.piece: s for s in present}
    _check_present(surface, pieces, present, here)

    def left() -> float:
        return seconds - (time.perf_counter() - began)

    whole = shuffle(surface, pieces, seconds=min(PROOF_WORTH_S, 0.2 * seconds))
    if whole.answer == "does not fit":
        return Rearranged("does not fit", (), (), 0, False, whole.why, time.perf_counter() - began)
    undecided = len(pieces) + 1  # the fewest moved at once for which some choice was not refuted
    for moving in _subsets(pieces, here, most=MOST_AT_ONCE if whole.answer == "fits" else len(here)):
        if left() <= 0.3 * seconds:
            undecided = min(undecided, len(moving))
            break
        found = _with_rest_fixed(surface, pieces, here, moving, min(EACH_S, left()))
        if found.answer == "fits":
            return _told(pieces, here, found.spots, undecided, began)
        if found.answer == "not found":
            undecided = min(undecided, len(moving))
    else:
        undecided = min(undecided, MOST_AT_ONCE + 1)
    if whole.answer != "fits":
        whole = shuffle(surface, pieces, seconds=max(left(), 0.0), seed=1)
    if whole.answer != "fits":
        spent = time.perf_counter() - began
        return Rearranged(whole.answer, (), whole.spots, 0, False, whole.why, spent)
    copies = [_swapped(c, pieces, here) for c in _copies(surface, whole.spots, pieces)]
    return _told(pieces, here, max(copies, key=lambda c: _unmoved(c, here)), undecided, began)


def _check_present(
    surface: Surface, pieces: Sequence[Piece], present: Sequence[Spot], here: dict[int, Spot]
) -> None:
    if len(here) != len(present):
        raise FloorProblem("present layout: a piece lies in two places")
    boxes: list[tuple[int, Box]] = []
    for s in present:
        if not 0 <= s.piece < len(pieces):
            raise FloorProblem(f"present layout: there is no piece {s.piece}")
        box = s.box(pieces[s.piece])
        if box[0] < -STEP_MM or box[1] < -STEP_MM:
            raise FloorProblem(f"present layout: {_name(pieces, s.piece)} lies over the edge")
        if box[2] > surface.length_mm + STEP_MM or box[3] > surface.width_mm + STEP_MM:
            raise FloorProblem(f"present layout: {_name(pieces, s.piece)} lies over the edge")
        if any(_meet(box, part) for part in surface.blocked):
            raise FloorProblem(f"present layout: {_name(pieces, s.piece)} lies on a blocked part")
        for k, other in boxes:
            if _meet(box, other):
                both = f"{_name(pieces, k)} and {_name(pieces, s.piece)}"
                raise FloorProblem(f"present layout: {both} overlap")
        boxes.append((s.piece, box))


def _name(pieces: Sequence[Piece], k: int) -> str:
    return pieces[k].name or f"piece {k}"


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] - STEP_MM and b[0] < a[2] - STEP_MM and a[1] < b[3] - STEP_MM and b[1] < a[3] - STEP_MM


def _subsets(pieces: Sequence[Piece], here: dict[int, Spot], most: int) -> Iterator[tuple[int, ...]]:
    """Yield what might be moved: nothing, then small things first, one, two, three ... at a time."""
    small_first = sorted(here, key=lambda k: pieces[k].length_mm * pieces[k].width_mm)
    for count in range(min(most, len(here)) + 1):
        yield from itertools.combinations(small_first, count)


def _with_rest_fixed(
    surface: Surface,
    pieces: Sequence[Piece],
    here: dict[int, Spot],
    moving: tuple[int, ...],
    seconds: float,
) -> Shuffled:
    """Lay out the new pieces and the moving ones around the rest; spots of the rest are added."""
    rest = [s for k, s in here.items() if k not in moving]
    loose = [k for k in range(len(pieces)) if k not in here or k in moving]
    gap = surface.gap_mm
    # A gap is kept to the right of and above a blocked part by shuffle itself.
    blocked = [*surface.blocked, *(s.box(pieces[s.piece]) for s in rest)]
    free = Surface(surface.length_mm, surface.width_mm, blocked, gap)
    found = shuffle(free, [pieces[k] for k in loose], seconds=seconds)
    spots = [Spot(loose[s.piece], s.x_mm, s.y_mm, s.turned) for s in found.spots]
    return Shuffled(found.answer, tuple(spots + rest), found.why, found.fill, found.seconds)


def _copies(surface: Surface, spots: Sequence[Spot], pieces: Sequence[Piece]) -> Iterator[tuple[Spot, ...]]:
    """Yield the layout and its mirrored copies, as far as blocked parts allow."""
    for mirror_x, mirror_y in itertools.product((False, True), repeat=2):
        if (mirror_x or mirror_y) and surface.blocked:
            return
        copy = []
        for s in spots:
            x0, y0, x1, y1 = s.box(pieces[s.piece])
            x = surface.length_mm - x1 if mirror_x else x0
            y = surface.width_mm - y1 if mirror_y else y0
            copy.append(Spot(s.piece, x, y, s.turned))
        yield tuple(copy)


def _swapped(spots: Sequence[Spot], pieces: Sequence[Piece], here: dict[int, Spot]) -> tuple[Spot, ...]:
    """Give pieces of equal size each other's spots where one then stays where it lies."""
    by_piece = {s.piece: s for s in spots}
    for k, now in here.items():
        for j, s in list(by_piece.items()):
            alike = (pieces[j].length_mm, pieces[j].width_mm) == (pieces[k].length_mm, pieces[k].width_mm)
            settled = j in here and _same(by_piece[j], here[j])
            if j != k and alike and not settled and _same(s, now) and not _same(by_piece[k], now):
                mine = by_piece[k]
                by_piece[k] = Spot(k, s.x_mm, s.y_mm, s.turned)
                by_piece[j] = Spot(j, mine.x_mm, mine.y_mm, mine.turned)
                break
    return tuple(by_piece[k] for k in sorted(by_piece))


def _same(a: Spot, b: Spot) -> bool:
    return abs(a.x_mm - b.x_mm) <= STEP_MM and abs(a.y_mm - b.y_mm) <= STEP_MM and a.turned == b.turned


def _unmoved(spots: Sequence[Spot], here: dict[int, Spot]) -> int:
    return sum(1 for s in spots if s.piece in here and _same(s, here[s.piece]))


def _told(
    pieces: Sequence[Piece],
    here: dict[int, Spot],
    spots: Sequence[Spot],
    undecided: int,
    began: float,
) -> Rearranged:
    kept = [here[s.piece] if s.piece in here and _same(s, here[s.piece]) else s for s in spots]
    goals = {s.piece: s for s in kept if here.get(s.piece) != s}
    moved = sum(1 for k in goals if k in here)
    shifts = _ordered(pieces, here, goals)
    done = tuple(sorted(kept, key=lambda s: s.piece))
    return Rearranged("fits", shifts, done, moved, moved <= undecided, "", time.perf_counter() - began)


def _ordered(pieces: Sequence[Piece], here: dict[int, Spot], goals: dict[int, Spot]) -> tuple[Shift, ...]:
    """Order the moves so that each goes to a free spot; where moves wait for each other, set one aside."""
    lying: dict[int, Spot | None] = dict(here)
    waiting = dict(goals)
    shifts: list[Shift] = []
    while waiting:
        blocks = {k: _in_the_way(pieces, lying, waiting[k], k) for k in waiting}
        ready = [k for k in waiting if not blocks[k]]
        if ready:
            k = min(ready, key=lambda k: (k not in here, k))
            shifts.append(Shift(k, lying.get(k), waiting[k]))
            lying[k] = waiting.pop(k)
            continue
        k = max(
            (k for k in waiting if lying.get(k) is not None),
            key=lambda k: (sum(k in b for b in blocks.values()), -k),
        )
        shifts.append(Shift(k, lying[k], None))
        lying[k] = None
    return tuple(shifts)


def _in_the_way(
    pieces: Sequence[Piece], lying: dict[int, Spot | None], goal: Spot, mover: int
) -> frozenset[int]:
    box = goal.box(pieces[mover])
    return frozenset(
        k for k, s in lying.items() if s is not None and k != mover and _meet(box, s.box(pieces[k]))
    )
