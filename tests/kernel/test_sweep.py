"""How near a moving body comes, against shapely: distances, what is looked at, and when a motion is clear."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from building import box

from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel.sweep import (
    ENOUGH_MM,
    MANY,
    Sweep,
    depth_inside,
    least_distances,
    middle,
    point_squares,
)

BODY = rectangle(600, 400)
FAR = ((9000.0, 9000.0), (9100.0, 9000.0))


def sweep(*edges: tuple, body: tuple = BODY) -> Sweep:
    return Sweep(np.asarray(body, float), np.asarray(edges, float).reshape(-1, 2, 2))


def complexes(points: np.ndarray) -> np.ndarray:
    return np.asarray(points[..., 0] + 1j * points[..., 1])


def test_distances_of_segments_and_points_are_shapelys() -> None:
    luck = np.random.default_rng(2)
    first, second = luck.uniform(-500, 500, (60, 2, 2)), luck.uniform(-500, 500, (4, 2, 2))
    second[3, 1] = second[3, 0]  # one without length
    lines = shapely.linestrings(second)
    ends = complexes(second).T
    told = least_distances(complexes(first).T, ends)
    every = shapely.distance(shapely.linestrings(first)[:, None], lines)
    assert told == pytest.approx(every.min(axis=1), abs=1e-9) and (told == 0).any()
    squares = point_squares(complexes(first[:, 0]), ends)
    assert np.sqrt(squares) == pytest.approx(
        shapely.distance(shapely.points(first[:, 0])[:, None], lines), abs=1e-9
    )


def test_segments_enter_a_body_as_deep_as_their_middle_within_it() -> None:
    # Of one outside only the sign counts.
    body = np.array(box(0, 0, 100, 60), float)
    for segment, deep in [
        (((-50, 30), (150, 30)), 30.0), (((20, 10), (40, 10)), 10.0), (((-50, 80), (150, 80)), -20.0),
        (((-50, 60), (150, 60)), 0.0), (((-30, 30), (20, 30)), 10.0), (((-40, 10), (-10, 10)), -10.0),
        (((-20, 40), (20, 80)), -0.0), (((50, -10), (50, 20)), 10.0),
    ]:  # fmt: skip
        assert depth_inside(np.array([segment], float), body)[0] == pytest.approx(deep, abs=1e-9), segment


def test_what_is_nearest_is_told_with_its_points_and_edge() -> None:
    luck = random.Random(6)
    for _ in range(60):
        edges = [
            tuple((luck.uniform(-4000, 4000), luck.uniform(-4000, 4000)) for _ in range(2)) for _ in range(5)
        ]
        pose = Pose(luck.uniform(-500, 500), luck.uniform(-500, 500), luck.uniform(0, 360))
        ring = shapely.Polygon(placed(BODY, pose))
        gaps = [shapely.distance(ring.exterior, shapely.LineString(each)) for each in edges]
        if min(gaps) == 0.0:
            continue
        found = sweep(*edges).nearest(pose)
        assert found.distance_mm == pytest.approx(min(gaps))
        assert found.edge == gaps.index(min(gaps))
        assert math.dist(found.on_body, found.on_obstacle) == pytest.approx(found.distance_mm)
        assert shapely.distance(ring.exterior, shapely.Point(found.on_body)) < 1e-6
        assert (
            shapely.distance(shapely.LineString(edges[found.edge]), shapely.Point(found.on_obstacle)) < 1e-6
        )


def test_where_nothing_stands_nothing_is_near() -> None:
    none = sweep()
    found = none.nearest(Pose(5.0, 6.0))
    assert (found.distance_mm, found.edge, found.on_body) == (math.inf, -1, (5.0, 6.0))
    assert none.clear(Pose(0, 0), Pose(1000, 0, 90)) and none.all_clear([Pose(0, 0), Pose(9, 0)], 1.0, 3)
    assert none.overlapped(Pose(0, 0)) is None and not none.meets([Pose(0, 0)], 1e9)
    assert sweep(FAR).nearest(Pose(0, 0)).distance_mm == pytest.approx(math.dist((300, 200), FAR[0]))


@pytest.mark.parametrize(("y", "edge"), [(199.0, 1), (200.0, None), (201.0, None), (0.0, 1), (-199.0, 1)])
def test_the_edge_that_enters_a_body_deepest_is_told(y: float, edge: int | None) -> None:
    there = sweep(((-500.0, 199.999), (500.0, 199.999)) if edge else FAR, ((-500.0, y), (500.0, y)), FAR)
    assert there.overlapped(Pose(0, 0)) == edge
    turned = sweep(FAR, *(((-y, -500.0), (-y, 500.0)),))
    assert turned.overlapped(Pose(0, 0, 90)) == edge
    there = sweep(FAR, placed(((250.0, y), (500.0, y)), Pose(70.0, -20.0, 30.0)))
    assert there.overlapped(Pose(70.0, -20.0, 30.0)) == edge


def test_a_body_that_is_not_convex_is_entered_by_its_pieces() -> None:
    ell = ((0, 0), (600, 0), (600, 200), (200, 200), (200, 600), (0, 600))
    pieces = [np.array(box(0, 0, 600, 200), float), np.array(box(0, 0, 200, 600), float)]
    notch = np.array([[(300.0, 300.0), (500.0, 500.0)]])
    assert Sweep(np.array(ell, float), notch, pieces).overlapped(Pose(0, 0)) is None
    assert Sweep(np.array(ell, float), notch - 250.0, pieces).overlapped(Pose(0, 0)) == 0


# A wall 210 mm off the middle of a body of 600 x 400: 10 mm are left beside it. Turning a half about its
# middle it needs hypot(300, 200) = 360.6 mm.
@pytest.mark.parametrize(("wall", "a", "b", "need", "clear"), [
    (210.0, Pose(-900, 0), Pose(900, 0), 9.99, True), (210.0, Pose(-900, 0), Pose(900, 0), 10.01, False),
    (361.0, Pose(0, 0), Pose(0, 0, 180), 0.1, True), (360.5, Pose(0, 0), Pose(0, 0, 180), ENOUGH_MM, False),
    (361.0, Pose(0, 0), Pose(0, 0, 180), 0.5, False), (300.0, Pose(0, 0), Pose(0, 0, 10), 0.1, True),
    (210.0, Pose(0, 0), Pose(0, 30), 0.1, False), (210.0, Pose(0, 0), Pose(0, 0), 9.99, True),
    (210.0, Pose(0, 0), Pose(0, 0), 10.01, False),
])  # fmt: skip
def test_a_motion_is_clear_by_what_is_left_beside_it(
    wall: float, a: Pose, b: Pose, need: float, clear: bool
) -> None:
    there = sweep(((-5000.0, wall), (5000.0, wall)), FAR)
    assert there.clear(a, b, need, 8) is clear
    assert there.all_clear([a, b], need, 8) is clear
    assert there.clear(a, a, need) is not there.meets([a], need)


@pytest.mark.parametrize("bad", [None, 0, 1, MANY - 1, MANY, MANY + 1, 3 * MANY - 1])
def test_of_many_motions_each_has_to_be_clear(bad: int | None) -> None:
    poses = [Pose(100.0 * n, 0.0, 1.0 * (n % 2)) for n in range(3 * MANY)]
    post = 1e6 if bad is None else poses[bad].x_mm
    there = sweep(((post, 215.0), (post, 290.0)), FAR)
    close = 16.0  # 215 less 200, and a degree of turn brings corners 2.6 mm nearer
    assert there.all_clear(poses, close, 6) is (bad is None)
    assert there.all_clear(poses, 8.0, 6)
    assert there.meets(poses, close) is (bad is not None)


def test_a_part_of_a_motion_between_clear_ends_is_looked_at() -> None:
    post = ((0.0, 250.0), (0.0, 350.0))
    a, b = Pose(-900, 0), Pose(900, 0)
    assert sweep(post).clear(a, b) and not sweep(post).clear(a, b, 51.0)
    assert not sweep(post).clear(Pose(-900, 60, -1), Pose(900, 60, 1))
    assert not sweep(post).all_clear([Pose(-900, 60, -1), Pose(900, 60, 1)], ENOUGH_MM, 6)
    assert sweep(post).clear(Pose(-900, 30, -1), Pose(900, 30, 1), ENOUGH_MM, 8)


def test_what_lies_beyond_reach_is_not_looked_at_and_what_may_be_met_is() -> None:
    reach = math.hypot(300, 200)
    a, b = Pose(0, 0), Pose(1000, 500)
    for far, seen in ((9.9, [0, 1, 2, 3]), (10.1, [])):
        around = [
            ((-reach - far, 0.0), (-reach - far, 9.0)),
            ((1000 + reach + far, 0.0), (1000 + reach + far, 9.0)),
            ((0.0, -reach - far), (9.0, -reach - far)),
            ((0.0, 500 + reach + far), (9.0, 500 + reach + far)),
        ]  # fmt: skip
        for way in ((a, b), (b, a)):
            assert sweep(*around).near(*way, 10.0).tolist() == seen


def test_half_way_is_half_of_all_three() -> None:
    assert middle(Pose(0, 10, 20), Pose(100, 30, 60)) == Pose(50, 20, 40)
