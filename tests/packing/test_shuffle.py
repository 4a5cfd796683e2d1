"""Shuffling rectangles: layouts are checked piece by piece, proofs against trying every cell."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from bench.bench_shuffle import cut_up

from shopbins.geometry.shapes import FloorProblem
from shopbins.packing import no_fit_proof as dual
from shopbins.packing import perfect_fit as depth
from shopbins.packing import skyline
from shopbins.packing.rearrange import rearrange
from shopbins.packing.shuffle import Piece, Spot, Surface, apart, shuffle


def lies_well(surface, pieces, spots, gap_mm=0.0):
    """Check a layout without any code of the kernel's search."""
    assert sorted(s.piece for s in spots) == list(range(len(pieces)))
    boxes = []
    for s in spots:
        piece = pieces[s.piece]
        assert piece.may_turn or not s.turned
        a, b = piece.length_mm, piece.width_mm
        if s.turned:
            a, b = b, a
        box = (s.x_mm, s.y_mm, s.x_mm + a, s.y_mm + b)
        assert box[0] >= -1e-3 and box[1] >= -1e-3
        assert box[2] <= surface.length_mm + 1e-3 and box[3] <= surface.width_mm + 1e-3
        boxes.append(box)
    for p, q in itertools.combinations(boxes, 2):
        assert distance(p, q) >= gap_mm - 2e-3 and not meet(p, q)
    for p, q in itertools.product(boxes, surface.blocked):
        assert distance(p, q) >= gap_mm - 2e-3 and not meet(p, q)


def meet(p, q):
    return p[0] < q[2] - 2e-3 and q[0] < p[2] - 2e-3 and p[1] < q[3] - 2e-3 and q[1] < p[3] - 2e-3


def distance(p, q):
    return max(p[0] - q[2], q[0] - p[2], p[1] - q[3], q[1] - p[3], 0.0)


def mixed_cuts(rng, length, width, count, **least):
    """The pieces of a full rectangle, in no order."""
    pieces = cut_up(rng, length, width, count, **least)
    rng.shuffle(pieces)
    return pieces


def possible_on_cells(width, height, blocked, sides):
    """Try every cell for every piece in turn: slow, simple, complete for whole numbers."""
    taken = [
        [any(u0 <= x < u1 and v0 <= y < v1 for u0, v0, u1, v1 in blocked) for x in range(width)]
        for y in range(height)
    ]

    def lay(k):
        if k == len(sides):
            return True
        for a, b in {sides[k], sides[k][::-1]}:
            for y, x in itertools.product(range(height - b + 1), range(width - a + 1)):
                cells = [(v, u) for v in range(y, y + b) for u in range(x, x + a)]
                if any(taken[v][u] for v, u in cells):
                    continue
                for v, u in cells:
                    taken[v][u] = True
                if lay(k + 1):
                    return True
                for v, u in cells:
                    taken[v][u] = False
        return False

    return lay(0)


@pytest.mark.parametrize("count", [10, 20])
def test_pieces_cut_from_a_bench_are_laid_back(count):
    rng = random.Random(count)
    for _ in range(6):
        while True:
            pieces = mixed_cuts(rng, 2000, 700, count + 2)
            pieces = pieces[: count - 1]
            if sum(a * b for a, b in pieces) <= 0.95 * 2000 * 700:
                break
        surface = Surface(2000.0, 700.0)
        items = [Piece(float(a), float(b)) for a, b in pieces]
        found = shuffle(surface, items, seconds=20)
        assert found.answer == "fits"
        lies_well(surface, items, found.spots)
        assert found.fill == pytest.approx(sum(a * b for a, b in pieces) / 1.4e6)


def test_every_answer_on_small_boards_agrees_with_trying_every_cell():
    """Whole-number boards with blocked parts: 'fits' and 'does not fit' are both certain."""
    rng = random.Random(4)
    answers = {"fits": 0, "does not fit": 0}
    for _ in range(100):
        width, height = rng.randrange(4, 8), rng.randrange(3, 7)
        blocked = []
        for _ in range(rng.randrange(3)):
            x, y = rng.randrange(width), rng.randrange(height)
            blocked.append((x, y, min(width, x + rng.randrange(1, 3)), min(height, y + rng.randrange(1, 3))))
        sides = []
        room = width * height - len(
            {(x, y) for u0, v0, u1, v1 in blocked for x in range(u0, u1) for y in range(v0, v1)}
        )
        while len(sides) < 5 and room > 2:
            sides.append((rng.randrange(1, 5), rng.randrange(1, 4)))
            room -= math.prod(sides[-1])
        surface = Surface(float(width), float(height), [tuple(map(float, b)) for b in blocked])
        items = [Piece(float(a), float(b)) for a, b in sides]
        found = shuffle(surface, items, seconds=20)
        assert found.answer == (
            "fits" if possible_on_cells(width, height, blocked, sides) else "does not fit"
        )
        if found.answer == "fits":
            lies_well(surface, items, found.spots)
        answers[found.answer] += 1
    assert min(answers.values()) > 20


def test_trying_all_ways_misses_no_layout_and_invents_none():
    """The exhaustive search alone, without bounds or guesses before it."""
    rng = random.Random(5)
    seen = {True: 0, False: 0}
    for _ in range(500):
        width, height = rng.randrange(3, 6), rng.randrange(3, 6)
        blocked = apart([(1, 1, rng.randrange(2, 4), rng.randrange(2, 3))] * rng.randrange(2), width, height)
        sides = [(rng.randrange(1, 5), rng.randrange(1, 4)) for _ in range(rng.randrange(2, 6))]
        ways = tuple(((a, b), (b, a)) if a != b else ((a, b),) for a, b in sides)
        task = skyline.Task(width, height, tuple(blocked), ways)
        expected = possible_on_cells(width, height, blocked, sides)
        if task.spare < 0:
            assert not expected
            continue
        assert (depth.try_all(task, lambda: False) is not None) == expected
        seen[expected] += 1
    assert min(seen.values()) > 15


def test_every_function_is_dual_feasible():
    """No lengths adding up to the capacity or less may have values above the capacity's: by knapsack."""
    for capacity in range(2, 24):
        lengths = list(range(1, capacity + 1))
        for name, f in dual.functions(capacity, lengths):
            most = [0] * (capacity + 1)
            for room in range(1, capacity + 1):
                most[room] = max(most[room - x] + f(x) for x in range(1, room + 1))
            assert most[capacity] <= f(capacity), name


def test_bounds_refute_what_area_alone_would_allow():
    """Five pieces just over half each way cannot lie on a surface with room for their area four times."""
    surface = Surface(1000.0, 1000.0)
    found = shuffle(surface, [Piece(510.0, 340.0)] * 5, seconds=5)
    assert found.answer == "does not fit"
    found = shuffle(surface, [Piece(600.0, 100.0, may_turn=False)] * 11, seconds=5)
    assert found.answer == "does not fit"
    assert found.why.startswith("bound")
    assert shuffle(surface, [Piece(600.0, 100.0, may_turn=False)] * 10, seconds=5).answer == "fits"


def test_reasons_for_no():
    surface = Surface(1000.0, 500.0, [(0.0, 0.0, 100.0, 100.0)])
    assert "too long" in shuffle(surface, [Piece(1001.0, 10.0, name="shaft")]).why
    assert shuffle(surface, [Piece(10.0, 501.0, may_turn=False)]).answer == "does not fit"
    assert shuffle(surface, [Piece(10.0, 501.0)]).answer == "fits"
    found = shuffle(surface, [Piece(490.1, 500.0), Piece(490.0, 500.0)])
    assert (found.answer, found.why) == ("does not fit", "area: 50 mm2 short")
    assert shuffle(surface, []).answer == "fits"


def test_not_found_says_how_full_it_got():
    rng = random.Random(8)
    pieces = [Piece(float(a), float(b)) for a, b in mixed_cuts(rng, 2000, 700, 60, least=37)]
    found = shuffle(Surface(2000.0, 700.0), pieces, seconds=0.0)
    assert found.answer == "not found"
    assert 0.5 < found.fill < 1.0
    assert "not found in 0 s" in found.why
    assert f"{len(found.spots)} of 60 lie" in found.why


def test_a_gap_is_kept_between_all_things():
    surface = Surface(1000.0, 500.0, [(400.0, 200.0, 500.0, 300.0)], gap_mm=20.0)
    pieces = [Piece(380.0, 240.0)] * 2 + [Piece(230.0, 100.0)] * 4
    found = shuffle(surface, pieces, seconds=10)
    assert found.answer == "fits"
    lies_well(surface, pieces, found.spots, gap_mm=20.0)
    tight = [Piece(490.0, 500.0)] * 2
    assert shuffle(Surface(1000.0, 500.0, gap_mm=20.0), tight).answer == "fits"
    assert shuffle(Surface(1000.0, 500.0, gap_mm=20.1), tight).answer == "does not fit"


def test_blocked_parts_that_hang_in_the_middle_are_used_around():
    rng = random.Random(9)
    for _ in range(10):
        blocked = [(700.0, 300.0, 900.0, 420.0), (1500.0, 500.0, 1600.0, 700.0)]
        surface = Surface(2000.0, 700.0, blocked)
        pieces = [Piece(float(rng.randrange(80, 320)), float(rng.randrange(80, 260))) for _ in range(60)]
        kept = []
        for p in pieces:
            if sum(q.length_mm * q.width_mm for q in [*kept, p]) < 0.82 * surface.open_mm2:
                kept.append(p)
        found = shuffle(surface, kept, seconds=20)
        assert found.answer == "fits"
        lies_well(surface, kept, found.spots)


def test_overlapping_blocked_parts_count_once():
    assert Surface(
        100.0, 100.0, [(0, 0, 50, 50), (25, 25, 75, 75), (-9, -9, 10, 10)]
    ).open_mm2 == pytest.approx(10000 - 2500 - 2500 + 625)


@pytest.mark.parametrize("size", [math.nan, math.inf, 0.0, -5.0, 1e9])
def test_sizes_that_are_none_are_refused_in_one_line(size):
    with pytest.raises(FloorProblem, match="is no size"):
        shuffle(Surface(1000.0, 500.0), [Piece(size, 10.0)])
    with pytest.raises(FloorProblem, match="is no size"):
        Surface(size, 500.0)
    with pytest.raises(FloorProblem, match="no rectangle"):
        Surface(1000.0, 500.0, [(5.0, 5.0, 5.0, 9.0)])


# --- few moves ----------------------------------------------------------------------------------------------


def played(surface, pieces, present, told):
    """Play the moves one by one: each must go to a place that is free at that moment."""
    lying = {s.piece: s for s in present}
    for shift in told.shifts:
        assert lying.get(shift.piece) == shift.before
        lying.pop(shift.piece, None)
        if shift.after is not None:
            box = shift.after.box(pieces[shift.piece])
            assert not any(meet(box, s.box(pieces[k])) for k, s in lying.items())
            lying[shift.piece] = shift.after
    lies_well(surface, pieces, list(lying.values()))
    assert sorted(lying.values(), key=lambda s: s.piece) == list(told.spots)


def test_nothing_is_moved_where_there_is_room():
    pieces = [Piece(400.0, 300.0), Piece(400.0, 300.0)]
    told = rearrange(Surface(1000.0, 500.0), pieces, [Spot(0, 100.0, 100.0)])
    assert (told.answer, told.moved, told.fewest) == ("fits", 0, True)
    played(Surface(1000.0, 500.0), pieces, [Spot(0, 100.0, 100.0)], told)


def test_one_thing_in_the_middle_is_moved_and_the_rest_stays():
    surface = Surface(1000.0, 500.0)
    pieces = [Piece(200.0, 500.0), Piece(200.0, 500.0), Piece(550.0, 400.0, name="cover")]
    present = [Spot(0, 0.0, 0.0), Spot(1, 400.0, 0.0)]
    told = rearrange(surface, pieces, present)
    assert (told.answer, told.moved, told.fewest) == ("fits", 1, True)
    assert told.spots[0] == present[0]
    played(surface, pieces, present, told)


def test_two_things_that_change_places_need_one_set_aside():
    """The rail fits only above the lower of two things, which stand end to end the wrong way round."""
    surface = Surface(1000.0, 300.0, [(460.0, 260.0, 1000.0, 300.0)])
    pieces = [Piece(450.0, 250.0), Piece(550.0, 260.0), Piece(450.0, 50.0, name="rail")]
    present = [Spot(0, 550.0, 0.0), Spot(1, 0.0, 0.0)]
    told = rearrange(surface, pieces, present)
    assert (told.answer, told.moved, told.fewest) == ("fits", 2, True)
    assert [s.after is None for s in told.shifts].count(True) == 1
    assert len(told.shifts) == 4
    played(surface, pieces, present, told)


def test_rearranging_benches_never_ends_in_a_wrong_layout():
    rng = random.Random(10)
    moved = 0
    for _ in range(12):
        surface = Surface(1200.0, 600.0)
        pieces = [Piece(float(a), float(b)) for a, b in mixed_cuts(rng, 1200, 600, 9)]
        pieces = sorted(pieces, key=lambda p: p.length_mm * p.width_mm)[:-1]
        assert shuffle(surface, pieces, seconds=10).answer == "fits"
        k = rng.randrange(len(pieces))
        others = [i for i in range(len(pieces)) if i != k]
        before = shuffle(surface, [pieces[i] for i in others], seconds=10, seed=rng.randrange(99))
        kept = [Spot(others[s.piece], s.x_mm, s.y_mm, s.turned) for s in before.spots]
        told = rearrange(surface, pieces, kept, seconds=5)
        assert told.answer == "fits"
        played(surface, pieces, kept, told)
        moved += told.moved
    assert moved > 0


def test_a_present_layout_that_is_none_is_refused():
    pieces = [Piece(400.0, 300.0, name="head"), Piece(400.0, 300.0, name="sump")]
    with pytest.raises(FloorProblem, match="head and sump overlap"):
        rearrange(Surface(1000.0, 500.0), pieces, [Spot(0, 0.0, 0.0), Spot(1, 399.0, 0.0)])
    with pytest.raises(FloorProblem, match="over the edge"):
        rearrange(Surface(1000.0, 500.0), pieces, [Spot(0, 601.0, 0.0)])
    with pytest.raises(FloorProblem, match="lies on a blocked part"):
        rearrange(Surface(1000.0, 500.0, [(90.0, 0.0, 95.0, 9.0)]), pieces, [Spot(0, 0.0, 0.0)])
    with pytest.raises(FloorProblem, match="two places"):
        rearrange(Surface(1000.0, 500.0), pieces, [Spot(0, 0.0, 0.0), Spot(0, 500.0, 0.0)])


def test_no_room_at_all_is_proven_before_anything_is_moved():
    pieces = [Piece(600.0, 500.0), Piece(600.0, 500.0)]
    told = rearrange(Surface(1000.0, 500.0), pieces, [Spot(0, 0.0, 0.0)])
    assert (told.answer, told.shifts) == ("does not fit", ())


@pytest.mark.parametrize(
    ("count", "each_mm", "across_mm", "answer"),
    [
        (16, 25.4 / 16, 25.4, "fits"),
        (3, 25.4 / 3, 25.4, "fits"),
        (64, 25.4 / 64, 25.4, "fits"),
        (10, 0.1, 1.0, "fits"),
        (7, 1000 / 7, 1000.0, "fits"),
        (20, 50.0, 1000.0, "fits"),
        (20, 50.0004, 1000.0, "does not fit"),
        (16, 1.5876, 25.4, "does not fit"),
        (3, 33.333334, 100.0, "does not fit"),
        (3, 33.333333, 100.0, "fits"),
        (2, 0.1 + 0.2, 0.6, "fits"),
        (2, math.pi, 2 * math.pi, "fits"),
    ],
)
def test_exactly_full_is_full_and_a_hair_more_is_too_much(count, each_mm, across_mm, answer):
    """Sums of fractions, done by hand: 16/16 in = 1 in; 20 x 50.0004 = 1000.008."""
    surface = Surface(across_mm, 100.0)
    pieces = [Piece(each_mm, 100.0, may_turn=False)] * count
    assert shuffle(surface, pieces).answer == answer


def test_lengths_of_many_kinds_together_stay_exact():
    surface = Surface(25.4 + 1000 / 7 + 0.123456, 25.4 / 3)
    pieces = [Piece(25.4, 25.4 / 3), Piece(1000 / 7, 25.4 / 3), Piece(0.123456, 25.4 / 3)]
    assert shuffle(surface, pieces).answer == "fits"
    longer = Surface(25.4 + 1000 / 7 + 0.123455, 25.4 / 3)
    assert shuffle(longer, pieces).answer == "does not fit"
    assert surface.open_mm2 == pytest.approx(surface.length_mm * surface.width_mm)
