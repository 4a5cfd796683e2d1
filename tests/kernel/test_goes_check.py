"""The plain numbers behind every `no`, piece by piece against shapely; and each wrong claim is refused."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
import shapely
from building import box

from shopbins.geometry.shapes import Pose, placed
from shopbins.kernel.goes_check import (
    SAME_TURN_DEG,
    Cell,
    Grown,
    Refused,
    Shut,
    _gates,
    check,
    core,
    edges_of,
    hull,
    inside,
    nowhere,
    off_floor,
    walls_of,
)

LEFT, RIGHT, DOOR = box(0, 0, 3000, 2000), box(3100, 0, 6000, 2000), box(2999, 500, 3101, 1400)
PIECE = np.array(box(-300, -200, 300, 200), float)


def total(lines: np.ndarray) -> float:
    return float(np.hypot(*(lines[:, 1] - lines[:, 0]).T).sum())


# --- lines ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rooms", [
    [LEFT], [LEFT[::-1]], [LEFT, RIGHT], [LEFT, DOOR, RIGHT], [RIGHT[::-1], DOOR, LEFT[::-1]],
    [LEFT, box(2990, 500, 4000, 1500)], [LEFT, box(2000, 1000, 4000, 3000), box(-500, -500, 500, 500)],
])  # fmt: skip
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_walls_are_the_edge_of_all_rooms_together(rooms: list, turn: float) -> None:
    laid = [placed(room, Pose(700.0, -300.0, turn)) for room in rooms]
    lines = walls_of(laid)
    whole = shapely.union_all([shapely.Polygon(room) for room in laid])
    assert total(lines) == pytest.approx(whole.length, abs=0.01)
    middles = shapely.points(lines.mean(axis=1))
    assert shapely.distance(whole.boundary, middles).max() < 1e-6


def test_edges_of_outlines_are_all_of_them_but_those_without_length() -> None:
    assert edges_of([]).shape == (0, 2, 2)
    assert total(edges_of([LEFT, RIGHT])) == 10_000 + 9800
    assert len(edges_of([((0, 0), (0, 1e-10), (5, 0), (5, 5))])) == 3


def test_inside_is_as_shapely_has_it_holes_left_out() -> None:
    rings = [np.array(LEFT, float), np.array(box(1000, 500, 2000, 1500), float)]
    points = np.random.default_rng(3).uniform(-500, 3500, (3000, 2))
    floor = shapely.Polygon(LEFT, [box(1000, 500, 2000, 1500)])
    assert (inside(rings, points) == shapely.contains_xy(floor, *points.T)).all()
    taken = off_floor([LEFT, RIGHT], [box(1000, 500, 2000, 1500)])
    both = shapely.union(floor, shapely.Polygon(RIGHT))
    assert (taken(points) == ~shapely.contains_xy(both, *points.T)).all()


# --- the body ---------------------------------------------------------------------------------------------


def test_a_hull_is_shapelys() -> None:
    luck = np.random.default_rng(5)
    for count in (3, 4, 7, 40):
        points = luck.uniform(-500, 500, (count, 2))
        found = hull(points)
        assert found is not None
        ring = shapely.Polygon(found)
        assert ring.symmetric_difference(shapely.convex_hull(shapely.multipoints(points))).area < 1e-3
        assert shapely.is_ccw(shapely.LinearRing(found)) and len(found) <= count
    assert hull(np.array([(0.0, 0.0), (1.0, 1.0)])) is None
    assert hull(np.array([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)])) is None
    assert hull(np.array([(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0)])).tolist() == [
        [0, 0], [10, 0], [10, 10],
    ]  # fmt: skip


@pytest.mark.parametrize("piece", [
    box(-300, -200, 300, 200), box(100, -200, 900, 250), ((-400, -300), (500, -100), (450, 200), (0, 350)),
])  # fmt: skip
@pytest.mark.parametrize(("low", "high"), [(0.0, 0.0), (20.0, 20.0), (0.0, 6.0), (80.0, 110.0)])
def test_a_core_lies_in_its_piece_at_every_turn_and_is_nearly_all_that_does(
    piece: tuple, low: float, high: float
) -> None:
    found = core(np.array(piece, float), low, high)
    assert found is not None
    ring = shapely.Polygon(found)
    turns = [low + (high - low) * n / 200 for n in range(201)]
    every = [shapely.Polygon(placed(piece, Pose(0, 0, turn))) for turn in turns]
    common = shapely.intersection_all(every)
    assert ring.difference(shapely.buffer(common, 1e-6 + 0.002 * (high - low))).area < 1e-6
    # Of an arc the tangents at both ends and the chord between are taken: at 30 degrees little is lost.
    assert ring.area > (1 - 1e-9 if high == low else 0.9) * common.area


def test_over_a_wide_band_nothing_may_be_left() -> None:
    assert core(np.array(box(400, -20, 900, 20), float), 0.0, 60.0) is None


# --- lines grown by a body --------------------------------------------------------------------------------


@pytest.mark.parametrize(("at", "held"), [
    ((500.0, 0.0), True), ((500.0, 199.99), True), ((500.0, 200.01), False), ((500.0, -200.01), False),
    ((-299.99, 0.0), True), ((-300.01, 0.0), False), ((1299.99, 199.99), True), ((1300.01, 0.0), False),
])  # fmt: skip
@pytest.mark.parametrize("turn", [0.0, 71.0])
def test_a_body_stands_on_a_line_within_its_half_width_and_length(at: tuple, held: bool, turn: float) -> None:
    def turned(*points: tuple) -> np.ndarray:
        return np.array(placed(points, Pose(50.0, -20.0, turn)))

    shape = np.array(placed(tuple(map(tuple, PIECE)), Pose(0.0, 0.0, turn)))
    grown = Grown(turned((0.0, 0.0), (1000.0, 0.0))[None], [shape])
    spot = turned(at, at)[None]
    assert grown.holds(spot).tolist() == [held]
    points, lengths = grown.uncovered(spot)
    assert len(points) == (not held) and not lengths.any()


@pytest.mark.parametrize(("start", "end", "bare"), [
    ((-1000, 0), (2000, 0), [(-650, 700), (1650, 700)]), ((0, 0), (1000, 0), []),
    ((0, 500), (1000, 500), [(500, 1000)]), ((0, 0), (0, 1000), [(600, 800)]),
    ((0, -1000), (0, 1000), [(-600, 800), (600, 800)]),
])  # fmt: skip
def test_what_is_uncovered_of_a_line_is_told_part_by_part(start: tuple, end: tuple, bare: list) -> None:
    grown = Grown(np.array([[(0.0, 0.0), (1000.0, 0.0)]]), [PIECE])
    points, lengths = grown.uncovered(np.array([[start, end]], float))
    axis = 0 if start[1] == end[1] else 1
    found = sorted(zip(points[:, axis].tolist(), lengths.tolist(), strict=True))
    assert [p for p, _ in found] == pytest.approx([p for p, _ in bare], abs=1e-3)
    assert [n for _, n in found] == pytest.approx([n for _, n in bare], abs=1e-3)


def test_two_lines_cover_together_and_leave_the_gap_between_them() -> None:
    lines = np.array(
        [[(0.0, 0.0), (500.0, 0.0)], [(900.0, 0.0), (1500.0, 0.0)], [(2200.0, 0.0), (2300.0, 0.0)]]
    )
    points, lengths = Grown(lines, [PIECE]).uncovered(np.array([[(0.0, 50.0), (2300.0, 50.0)]]))
    assert points.tolist() == [[pytest.approx(1850.0), 50.0]] and lengths.tolist() == [pytest.approx(100.0)]


def test_of_very_many_lines_each_is_asked_as_if_it_were_alone() -> None:
    luck = np.random.default_rng(4)
    grown = Grown(np.array([[(0.0, 0.0), (1000.0, 0.0)]]), [PIECE])
    queries = luck.uniform(-1500, 2500, (1300, 2, 2))
    held = grown.holds(queries)
    some = luck.choice(1300, 60, replace=False)
    assert held[some].tolist() == [bool(grown.holds(queries[k : k + 1])[0]) for k in some]
    assert held[-300:].any() and not held[-300:].all()


# --- claims -----------------------------------------------------------------------------------------------


def shut(*bands: tuple[float, float, tuple], start: tuple = (500, 500), goal: tuple = (4500, 1000)) -> Shut:
    """A body of 600 x 400 in the left of two rooms without a door, wherever it turns."""
    told = bands or ((0.0, 90.0, LEFT), (90.0, 180.0, LEFT))
    return Shut(
        [PIECE], 180.0, [Cell(low, high, [ring]) for low, high, ring in told], (0.0, start), (0.0, goal)
    )


WALLS = walls_of([LEFT, RIGHT])
SMALL = box(300, 300, 2700, 1700)
WIDE = box(-10, -10, 3010, 2010)


def test_a_room_without_a_door_is_shut() -> None:
    assert check(WALLS, shut())
    assert check(WALLS, shut((0.0, 45.0, LEFT), (45.0, 90.0, WIDE), (90.0, 180.0, LEFT)))
    assert check(WALLS, shut(start=(2999, 1999))) and check(WALLS, replace(shut(), start=(725.0, (500, 500))))


@pytest.mark.parametrize(("claim", "why"), [
    (shut((0.0, 90.0, LEFT), (90.0, 180.0, SMALL)), "wall"),
    (shut((0.0, 90.0, SMALL), (90.0, 180.0, LEFT)), "wall"),
    (shut((0.0, 90.0, box(0, 0, 2600, 2000)), (90.0, 180.0, LEFT)), "wall"),
    (shut((0.0, 90.0, LEFT)), "gate"), (shut((0.0, 90.0, LEFT), (90.0, 179.0, LEFT)), "gate"),
    (shut((0.0, 89.0, LEFT), (90.0, 180.0, LEFT)), "gate"),
    (shut((1.0, 90.0, LEFT), (90.0, 179.0, LEFT)), "start"),
    (shut((0.0, 90.0, LEFT), (90.0, 90.0, LEFT)), "band"),
    (shut((0.0, 90.1, LEFT), (90.1, 180.0, LEFT)), "band"),
    (shut((90.0, 0.0, LEFT), (90.0, 180.0, LEFT)), "band"), (shut(start=(4500, 500)), "start"),
    (shut(goal=(2500, 1500)), "goal"),
    (shut((0.0, 90.0, LEFT), (90.0, 180.0, LEFT), (0.0, 90.0, RIGHT)), "goal"),
])  # fmt: skip
def test_what_a_claim_gets_wrong_is_refused_by_name(claim: Shut, why: str) -> None:
    with pytest.raises(Refused) as refused:
        check(WALLS, claim)
    assert why in str(refused.value)


def test_with_a_door_the_same_claim_is_refused_where_the_door_is() -> None:
    with pytest.raises(Refused) as refused:
        check(walls_of([LEFT, box(2999, 300, 3101, 1700), RIGHT]), shut())
    assert "wall" in str(refused.value)
    assert check(walls_of([LEFT, box(2999, 800, 3101, 1190), RIGHT]), shut()), (
        "narrower than the body at any turn"
    )


def test_a_check_ends_when_told_to() -> None:
    asked = iter([False, False, True])
    assert check(WALLS, shut(), lambda: next(asked)) is False
    assert check(WALLS, shut(), lambda: True) is False


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 180.0), (3e-10, 180.0), (0.0, 180.0 - 3e-10), (4e-10, 180.0 - 4e-10)]
)
def test_bands_meet_at_their_ends_and_round_the_period(low: float, high: float) -> None:
    cells = [Cell(low, 90.0, [LEFT]), Cell(90.0 + SAME_TURN_DEG / 2, high, [RIGHT])]
    found = _gates(cells, 180.0)
    assert sorted(round(turn % 180.0, 6) % 180.0 for turn, _, _ in found) == [0.0, 90.0]
    for turn, below, above in found:
        first, second = cells if 1 < turn < 179 else cells[::-1]
        assert (below, above) == ([first], [second])


def test_bands_that_do_not_meet_are_gates_of_their_own() -> None:
    cells = [Cell(0.0, 80.0, [LEFT]), Cell(90.0, 170.0, [RIGHT])]
    assert [(turn, len(below), len(above)) for turn, below, above in _gates(cells, 180.0)] == [
        (0.0, 0, 1), (80.0, 1, 0), (90.0, 0, 1), (170.0, 1, 0),
    ]  # fmt: skip
    assert [(turn, len(b), len(a)) for turn, b, a in _gates([Cell(-10.0, 10.0, [LEFT])], 360.0)] == [
        (10.0, 1, 0), (350.0, 0, 1),
    ]  # fmt: skip


@pytest.mark.parametrize(("turn", "held"), [
    (10.0, True), (20.0, True), (15.0, True), (195.0, True), (-170.0, True), (9.999, False),
    (20.001, False), (100.0, False),
])  # fmt: skip
def test_a_region_holds_a_place_at_the_turns_of_its_band(turn: float, held: bool) -> None:
    cell = Cell(10.0, 20.0, [LEFT])
    assert cell.holds((500, 500), turn, 180.0) is held
    assert not cell.holds((3500, 500), turn, 180.0)


# --- nowhere to stand -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("size", "turn", "none"), [
    ((3000.0, 2000.0), 0.0, False), ((3001.0, 1000.0), 0.0, True), ((1000.0, 2001.0), 0.0, True),
    ((2001.0, 100.0), 90.0, True), ((1999.0, 100.0), 90.0, False), ((3001.0, 10.0), 30.0, False),
])  # fmt: skip
def test_nowhere_is_shown_where_nothing_is_left(size: tuple[float, float], turn: float, none: bool) -> None:
    """By arithmetic: a rectangle in a room of 3000 x 2000, upright or a quarter turned."""
    piece = np.array(box(-size[0] / 2 + 0.1, -size[1] / 2 + 0.1, size[0] / 2 - 0.1, size[1] / 2 - 0.1))
    assert nowhere(walls_of([LEFT]), [piece], turn, 0.1, off_floor([LEFT], [])) is none
    blocked = [box(-10, -10, 3010, 2010)]
    lines = np.concatenate((walls_of([LEFT]), edges_of(blocked)))
    assert nowhere(lines, [piece], turn, 0.1, off_floor([LEFT], blocked))


def test_a_body_of_which_nothing_is_left_is_shown_nowhere() -> None:
    thin = np.array([(0.0, 0.0), (100.0, 0.0), (200.0, 0.0)])
    assert not nowhere(walls_of([LEFT]), [thin], 0.0, 0.1, off_floor([LEFT], []))


def test_lines_and_bodies_at_random_are_held_as_shapely_has_it() -> None:
    luck = random.Random(11)
    for _ in range(40):
        line = np.array([[(luck.uniform(0, 900), luck.uniform(0, 900)) for _ in range(2)]])
        turn = luck.uniform(0, 360)
        shape = np.array(placed(box(-150, -80, 250, 120), Pose(0, 0, turn)))
        spots = np.array([(luck.uniform(-300, 1200), luck.uniform(-300, 1200)) for _ in range(30)])
        there = [
            shapely.Polygon(shape + spot).intersection(shapely.LineString(line[0])).length > 1e-3
            for spot in spots
        ]
        assert Grown(line, [shape]).holds(np.stack((spots, spots), axis=1)).tolist() == there
