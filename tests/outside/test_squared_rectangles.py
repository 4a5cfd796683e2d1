"""Perfect squared rectangles: squares, all different, that fill a rectangle exactly.

Order 9, 33 x 32: Z. Moroń, Przegląd Matematyczno-Fizyczny 3 (1925), sides from memory, checked here by area.
Order 21, 112 x 112: A. J. W. Duijvestijn, J. Combin. Theory B 25 (1978) 240-243; sides as OEIS A014530.
"""

from __future__ import annotations

import itertools

import pytest

from shopbins.geometry.exact import area_mm2, inside, overlap
from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.packing import perfect_fit as depth
from shopbins.packing import skyline
from shopbins.packing.shuffle import Piece, Surface, shuffle

MORON = (33, 32, (1, 4, 7, 8, 9, 10, 14, 15, 18))
DUIJVESTIJN = (112, 112, (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50))
BOTH = pytest.mark.parametrize("filling", [MORON, DUIJVESTIJN], ids=["order 9", "order 21"])
# Moroń's rows from the top: (18, 15) (7, 8) (14, 4) (10, 1) (9); lower left corners.
MORON_PLACES = {
    18: (0, 14), 15: (18, 17), 7: (18, 10), 8: (25, 9), 14: (0, 0),
    4: (14, 10), 10: (14, 0), 1: (24, 9), 9: (24, 0),
}  # fmt: skip


def fills(surface, sides, spots):
    """Count every whole-number cell of the rectangle once."""
    cells = set()
    for s in spots:
        side, x, y = sides[s.piece], round(s.x_mm), round(s.y_mm)
        assert abs(s.x_mm - x) + abs(s.y_mm - y) < 1e-9
        square = set(itertools.product(range(x, x + side), range(y, y + side)))
        assert not square & cells
        cells |= square
    return cells == set(itertools.product(range(surface[0]), range(surface[1])))


@BOTH
def test_the_exact_filling_is_found(filling):
    length, width, sides = filling
    assert sum(s * s for s in sides) == length * width
    pieces = [Piece(float(s), float(s)) for s in sides]
    found = shuffle(Surface(float(length), float(width)), pieces, seconds=60)
    assert found.answer == "fits"
    assert found.fill == pytest.approx(1.0, abs=1e-12)
    assert fills((length, width), sides, found.spots)


@BOTH
def test_trying_every_way_finds_it_too(filling):
    length, width, sides = filling
    task = skyline.Task(length, width, (), tuple(((s, s),) for s in sides))
    spots = depth.try_all(task, lambda: False)
    assert sorted(s[0] for s in spots) == list(range(len(sides)))
    assert sum(s[3] * s[4] for s in spots) == length * width


@BOTH
def test_one_square_a_millimetre_longer_is_refused_with_a_proof(filling):
    length, width, sides = filling
    for k in range(len(sides)):
        pieces = [Piece(float(s + (i == k)), float(s)) for i, s in enumerate(sides)]
        found = shuffle(Surface(float(length), float(width)), pieces, seconds=60)
        assert found.answer == "does not fit"
        assert "area" in found.why or "too long" in found.why


def test_no_other_rectangle_of_the_same_area_takes_morons_squares():
    """1056 = 44 x 24 = 48 x 22: every way is tried and refused, though the area is right."""
    pieces = [Piece(float(s), float(s)) for s in MORON[2]]
    for length, width in ((44, 24), (48, 22)):
        found = shuffle(Surface(float(length), float(width)), pieces, seconds=60)
        assert (found.answer, length * width) == ("does not fit", 1056)


@pytest.mark.parametrize("turn", [0.0, 23.0, 90.0, 211.5])
def test_outlines_touch_everywhere_without_overlap_and_not_a_millimetre_less(turn):
    """The same filling judged by the outline predicates, in a turned frame."""
    frame = Pose(1234.5, -678.9, turn)
    outlines = {s: placed(_square(s, *MORON_PLACES[s]), frame) for s in MORON_PLACES}
    board = placed(((0, 0), (33, 0), (33, 32), (0, 32)), frame)
    assert sum(map(area_mm2, outlines.values())) == pytest.approx(area_mm2(board))
    assert all(inside(o, board) for o in outlines.values())
    assert not any(overlap(a, b) for a, b in itertools.combinations(outlines.values(), 2))
    for s, (x, y) in MORON_PLACES.items():
        longer = placed(((x, y), (x + s + 1, y), (x + s + 1, y + s), (x, y + s)), frame)
        hits = any(overlap(longer, o) for t, o in outlines.items() if t != s)
        assert hits or not inside(longer, board)


def _square(side, x, y):
    return placed(rectangle(side, side), Pose(x + side / 2, y + side / 2))
