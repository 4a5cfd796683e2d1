"""The relaxed maps of squares and bands of turns, against the library's own predicates."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from bench.floor_scenes import strewn

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.kernel.goes_check import core, edges_of
from shopbins.kernel.goes_search import Stop
from shopbins.kernel.ground import convex_pieces
from shopbins.kernel.planner import Planner
from shopbins.kernel.shift_graph import Relaxed
from shopbins.kernel.shift_maps import Field, Map, Mistaken, Squares, Strips, Worth, layer, relaxed

ROOM = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 4000.0), (0.0, 4000.0))
BODY = minkowski.corners_of(rectangle(900, 600))
ENDS = ((0.0, (800.0, 2000.0)), (0.0, (5200.0, 2000.0)))
ALL = Worth(np.ones(12), math.inf)
TALL_L = ((0.0, 0.0), (900.0, 0.0), (900.0, 250.0), (200.0, 250.0), (200.0, 1100.0), (0.0, 1100.0))


def strewn_things() -> list[Outline]:
    rng = random.Random(4)
    return [
        placed(
            TALL_L if i % 4 == 0 else rectangle(rng.uniform(200, 900), rng.uniform(150, 600)),
            Pose(rng.uniform(0, 6000), rng.uniform(0, 4000), rng.uniform(0, 180)),
        )
        for i in range(12)
    ]


def field_of(things: list[Outline]) -> Field:
    return Field([convex_pieces(t) for t in things], edges_of([ROOM]), [BODY])


def squares_of(squares: Squares, strips: Strips) -> list[tuple[int, shapely.Polygon]]:
    """Return the squares of strips, each with the place of its strip."""
    made = []
    for k, (first, end) in enumerate(zip(strips.first.tolist(), strips.end.tolist(), strict=True)):
        for place in range(first, end):
            row, column = divmod(place, squares.columns)
            x, y = squares.x_mm + column * squares.step_mm, squares.y_mm + row * squares.step_mm
            made.append((k, shapely.box(x, y, x + squares.step_mm, y + squares.step_mm)))
    return made


def nodes_of(found: Map, band: int) -> list[tuple[int, shapely.Polygon]]:
    """Return the squares kept of one band, each with its node."""
    nodes = found.node_of[found.offsets[band] : found.offsets[band + 1]].tolist()
    return [(nodes[k], square) for k, square in squares_of(found.squares, found.strips[band])]


def test_a_square_is_covered_by_what_the_body_meets_everywhere_in_it() -> None:
    """And by all whose grown pieces hold the square, which shapely is asked for."""
    things, band = strewn_things(), (30.0, 45.0)
    field = field_of(things)
    squares = field.squares(80.0)
    names = np.array([1 << i for i in range(12)], dtype=np.uint64)
    found = layer(field, squares, band, ALL, None, names)
    shape = core(BODY, *band)
    assert shape is not None
    grown = [[g for p in convex_pieces(t) for g in minkowski.grown([p], shape)] for t in things]
    rng, covered = random.Random(1), 0
    for k, square in rng.sample(squares_of(squares, found.strips), 400):
        x, y, _, _ = square.bounds
        covers = {i for i in range(12) if int(found.cover[k]) >> i & 1}
        inner = {
            i for i in range(12) if any(shapely.contains(shapely.buffer(g, -0.01), square) for g in grown[i])
        }
        assert inner <= covers
        covered += len(covers)
        for i in covers:
            at = Pose(rng.uniform(x, x + 80), rng.uniform(y, y + 80), rng.uniform(*band))
            body = shapely.Polygon(minkowski.turn(BODY, at.turn_deg) + np.array((at.x_mm, at.y_mm)))
            assert shapely.intersects(body, shapely.Polygon(things[i]))
    assert covered > 200


def test_no_square_the_body_can_stand_in_is_left_out() -> None:
    """A pose off the walls lies in a kept square, whose node's cover is no more than what the body meets."""
    things = strewn_things()
    bands = [(15.0 * k, 15.0 * k + 15.0) for k in range(12)]
    found = relaxed(field_of(things), bands, ENDS, 180.0, ALL, Stop(60.0), step_mm=80.0)
    rng, stood, masks = random.Random(5), 0, found.masks
    nodes = {k: nodes_of(found, k) for k in (0, 3, 7)}
    for _ in range(300):
        k = rng.choice((0, 3, 7))
        at = shapely.Point(rng.uniform(0, 6000), rng.uniform(0, 4000))
        turned = minkowski.turn(BODY, rng.uniform(*bands[k]))
        body = shapely.Polygon(turned + np.array((at.x, at.y)))
        if not shapely.contains_properly(shapely.Polygon(ROOM), body):
            continue
        stood += 1
        mine = [n for n, square in nodes[k] if shapely.intersects(square, at)]
        assert mine and min(mine) >= 0
        meets = {i for i, t in enumerate(things) if shapely.intersects(body, shapely.Polygon(t))}
        for n in mine:
            assert {i for i in range(12) if masks[n] >> i & 1} <= meets
    assert stood > 100


@pytest.mark.parametrize("sketch", [False, True])
def test_of_a_choice_of_squares_the_covers_are_those_of_all_squares(sketch: bool) -> None:
    """What covers none of the choice is left out, and nothing else: short strips here and there."""
    pieces = [convex_pieces(t) for t in strewn_things()]
    field, band = Field(pieces, edges_of([ROOM]), [BODY], sketch=sketch), (30.0, 45.0)
    squares = field.squares(80.0)
    names = np.array([1 << i for i in range(12)], dtype=np.uint64)

    def covers(within: Strips | None) -> dict[int, int]:
        found = layer(field, squares, band, ALL, within, names)
        strips = zip(
            found.strips.first.tolist(), found.strips.end.tolist(), found.cover.tolist(), strict=True
        )
        return {place: cover for first, end, cover in strips for place in range(first, end)}

    every, rng = covers(None), np.random.default_rng(3)
    assert len(set(every.values())) > 20
    for chance in (0.5, 0.05, 0.003):
        chosen = np.flatnonzero(rng.random(squares.rows * squares.columns) < chance)
        begins = np.append(True, np.diff(chosen) != 1)
        within = Strips(chosen[begins], chosen[np.append(begins[1:], True)] + 1)
        wanted = set(chosen.tolist())
        assert covers(within) == {place: cover for place, cover in every.items() if place in wanted}
        known, fewer = field.runs(squares, band), field.runs(squares, band, within)
        assert len(fewer.first) < len(known.first)


def test_a_thing_of_several_pieces_is_paid_for_once() -> None:
    field = field_of([placed(TALL_L, Pose(2500.0, 1500.0, 0.0))])
    worth = Worth(np.array([10.0]), 10.5)
    found = relaxed(field, [(0.0, 90.0), (90.0, 180.0)], ENDS, 180.0, worth, Stop(60.0), step_mm=40.0)
    assert 1 in found.masks and found.covers.nnz == sum(m == 1 for m in found.masks)
    cheaper = found.pruned(Worth(np.array([10.0]), 10.0))
    assert cheaper.count < found.count and 1 not in cheaper.masks


def test_covers_of_the_same_number_are_not_mistaken_for_one() -> None:
    """Numbers that are no help (all things have the same one): the exact comparison says so."""
    field = field_of(strewn_things())
    squares, bands = field.squares(80.0), [(30.0 * k, 30.0 * k + 30.0) for k in range(6)]
    drawn = np.random.default_rng(1).integers(2**64, size=12, dtype=np.uint64)
    for names in (np.ones(12, dtype=np.uint64), np.where(np.arange(12) < 6, drawn, drawn[6])):
        layers = [layer(field, squares, band, ALL, None, names) for band in bands]
        with pytest.raises(Mistaken):
            Map(squares, bands, layers, ENDS, 180.0, exactly=True)
    layers = [layer(field, squares, band, ALL, None, drawn) for band in bands]
    found = Map(squares, bands, layers, ENDS, 180.0, exactly=True)
    masks = found.masks
    for band in range(6):  # each strip's number is the sum of those of its node's cover
        for k, node in enumerate(found.node_of[found.offsets[band] : found.offsets[band + 1]].tolist()):
            if k % 7 == 0:
                held = [int(drawn[i]) for i in range(12) if masks[node] >> i & 1]
                assert int(layers[band].cover[k]) == sum(held) % 2**64


@pytest.mark.parametrize("halved", [True, False])
def test_a_finer_map_in_what_a_coarser_one_kept_opens_for_the_same_sets(halved: bool) -> None:
    s = strewn(2, 60, 2)
    things = [[minkowski.corners_of(t)] for t in s.things]
    field = Field(
        things, Planner(s.floor, [], s.body).lines(()), [minkowski.corners_of(rectangle(1400, 800))]
    )
    ends = ((0.0, (1500.0, 1500.0)), (0.0, (10500.0, 8500.0)))
    worth = Worth(np.array(s.masses_kg), 150.0)
    stop = Stop(60.0)
    eight = [(22.5 * k, 22.5 * k + 22.5) for k in range(8)]
    coarse = relaxed(
        field, [(45.0 * k, 45.0 * k + 45.0) for k in range(4)], ends, 180.0, worth, stop, step_mm=80.0
    )
    alone = relaxed(field, eight, ends, 180.0, worth, stop, step_mm=40.0 if halved else 80.0)
    within = relaxed(field, eight, ends, 180.0, worth, stop, step_mm=1.0, coarser=coarse, halved=halved)
    assert within.squares.step_mm == pytest.approx(alone.squares.step_mm)
    rng = random.Random(3)
    opened = 0
    for _ in range(200):
        gone = sum(1 << i for i in rng.sample(range(60), rng.randint(5, 40)))
        opens = [m.graph.cut(gone, []) is None for m in (coarse, alone, within)]
        assert opens[1] == opens[2]
        assert opens[0] or not opens[1]
        opened += opens[1]
    assert 10 < opened < 190, opened


def test_a_cut_meets_the_ways_a_graph_was_taught() -> None:
    """Start and goal with thing 0 between: a way past it that meets things 1 and 2 makes the cut larger."""
    graph = Relaxed([0, 1, 0], np.array([(0, 1), (1, 2)]), {0}, {2})
    assert graph.cut(0, []) == 0b001 and graph.cut(0b001, []) is None
    graph.join([0, 0b110, 0], [set(), {0}, {2}, set()])
    assert graph.cut(0, []) == 0b111 and graph.cut(0b110, []) is None
    graph.join([0, 0], [set(), {1}, set()])  # past it with nothing met, from the middle of what it covers
    assert graph.cut(0, []) is None


def test_a_square_is_held_by_the_strip_that_begins_at_or_before_it_and_ends_after() -> None:
    strips = Strips(np.array([0, 7, 9]), np.array([3, 9, 12]))
    held = [strips.holding(square) for square in range(13)]
    assert held == [0, 0, 0, None, None, None, None, 1, 1, 2, 2, 2, None]
    assert Strips(np.array([4]), np.array([6])).holding(3) is None
