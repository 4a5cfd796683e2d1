"""Pieces of the pinch and of standing places: what is refused, rings of closed gaps, what is nearest."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from building import box

from shopbins.geometry.shapes import Box, FloorProblem, Pose
from shopbins.kernel.pinch import Floor, _Clusters, as_outlines, pinch
from shopbins.kernel.stand import _alike, _feet, _Named

ROOM = box(0, 0, 6000, 4000)


@pytest.mark.parametrize(("start", "goal", "why"), [
    ((-1.0, 50.0), (500.0, 500.0), "start: it lies off the floor"),
    ((500.0, 500.0), (7000.0, 500.0), "goal: it lies off the floor"),
    ((1000.0, 1000.0), (500.0, 500.0), "start: it lies in hole 0"),
    ((500.0, 500.0), (2100.0, 2100.0), "goal: it lies in or at thing 0"),
    ((500.0, 500.0), (2000.0, 2100.0), "goal: it lies in or at thing 0"),
])  # fmt: skip
def test_places_where_nobody_can_stand_are_refused(start: tuple, goal: tuple, why: str) -> None:
    with pytest.raises(FloorProblem) as refused:
        pinch(ROOM, [box(900, 900, 1100, 1100)], [box(2000, 2000, 2500, 2500)], start, goal)
    assert str(refused.value) == why


def test_a_place_without_a_number_is_refused() -> None:
    for bad in ((math.nan, 1.0), (1.0, math.inf)):
        with pytest.raises(FloorProblem, match="finite"):
            Floor.of([ROOM]).pinch((500.0, 500.0), bad)


def test_one_outline_or_several() -> None:
    assert as_outlines(ROOM) == [ROOM]
    assert as_outlines([ROOM, ROOM]) == [ROOM, ROOM]


def test_clusters_find_the_first_odd_ring_as_counting_crossings_does() -> None:
    """Against plain sums of crossings along a tree, kept for every pair by hand."""
    luck = random.Random(3)
    for _ in range(200):
        count = luck.randint(2, 7)
        clusters, side = _Clusters(count), [luck.random() < 0.5 for _ in range(count)]
        group = list(range(count))
        for _ in range(10):
            i, j = luck.sample(range(count), 2)
            even = luck.random() < 0.8
            crossed = (side[i] ^ side[j]) if even else not (side[i] ^ side[j])
            if group[i] == group[j]:
                assert clusters.close(i, j, crossed) is (crossed != (side[i] ^ side[j]))
                assert clusters.even(i, j) is (side[i] == side[j])
                continue
            assert clusters.close(i, j, crossed) is False and clusters.even(i, j) is not crossed
            old = group[j]
            for k in range(count):
                if group[k] == old:
                    group[k] = group[i]
                    side[k] ^= not even
        for i in range(count):
            for j in range(count):
                assert clusters.even(i, j) is (group[i] == group[j] and side[i] == side[j])


# --- standing places -------------------------------------------------------------------------------------


def test_the_foot_on_each_edge_is_shapelys_nearest_point() -> None:
    edges = np.random.default_rng(4).uniform(-900, 900, (50, 2, 2))
    edges[0, 1] = edges[0, 0]
    wanted = np.array((100.0, -50.0))
    feet = _feet(edges, wanted)
    lines, spot = shapely.linestrings(edges), shapely.Point(wanted)
    assert np.hypot(*(feet - wanted).T) == pytest.approx(shapely.distance(lines, spot))
    assert shapely.distance(lines, shapely.points(feet)).max() < 1e-9


@pytest.mark.parametrize(("x", "turn", "alike"), [
    (99.9, 0.0, True), (100.0, 0.0, False), (0.0, 29.9, True), (0.0, 30.0, False), (0.0, 150.0, False),
    (0.0, 150.1, True), (0.0, 180.0, True), (0.0, -29.9, True), (0.0, 90.0, False), (0.0, 389.0, True),
])  # fmt: skip
def test_places_are_alike_within_half_a_body_and_thirty_degrees(x: float, turn: float, alike: bool) -> None:
    assert _alike(Pose(10.0, 20.0, 0.0), 10.0 + x, 20.0, turn, 100.0, 180.0) is alike


def test_what_is_named_is_found_by_how_near_it_comes() -> None:
    luck = random.Random(5)
    named = []
    for n in range(40):
        x, y = luck.uniform(0, 6000), luck.uniform(0, 4000)
        named.append((f"n{n}", box(x, y, x + luck.uniform(20, 400), y + luck.uniform(20, 400))))
    named.append(("outside", box(9000, 9000, 9100, 9100)))
    them = _Named(named, Box(0, 0, 6000, 4000))
    assert [name for name, _ in them.named] == [name for name, _ in named[:-1]]
    for _ in range(40):
        x, y = luck.uniform(0, 5500), luck.uniform(0, 3500)
        outline = box(x, y, x + 500, y + 300)
        gaps = {
            name: shapely.distance(shapely.Polygon(outline), shapely.Polygon(o)) for name, o in named[:-1]
        }
        for reach in (0.0, 200.0):
            assert {name for name, _ in them.within(outline, reach)} == {
                n for n, g in gaps.items() if g <= reach
            }
        for beside in (0, 3):
            found = {name for name, _ in them.nearest(outline, beside)}
            assert set(sorted(gaps, key=lambda n: gaps[n])[: 1 + beside]) <= found
    assert _Named([], Box(0, 0, 1, 1)).nearest(ROOM) == []


@pytest.mark.parametrize("within_mm", [5.0, 20.0, 200.0])
def test_the_roomiest_place_is_as_roomy_as_the_largest_inscribed_circle(within_mm: float) -> None:
    """Against shapely's largest inscribed circle of the floor that is free, by as much as was asked for."""
    luck = random.Random(5)
    for count in (0, 1, 3, 6):
        things = []
        for _ in range(count):
            x, y = luck.uniform(200, 5000), luck.uniform(200, 3000)
            things.append(box(x, y, x + luck.uniform(50, 900), y + luck.uniform(50, 900)))
        free = shapely.Polygon(ROOM).difference(shapely.union_all([shapely.Polygon(t) for t in things]))
        most = shapely.maximum_inscribed_circle(free, tolerance=0.5).length
        at = Floor.of([ROOM], [], things).roomiest(ROOM, within_mm)
        assert at is not None and free.contains(shapely.Point(at))
        clear = shapely.Point(at).distance(free.boundary)
        assert most - within_mm <= clear <= most + 0.5


def test_where_all_is_taken_there_is_no_roomiest_place_and_beyond_the_room_none_is_looked_for() -> None:
    assert Floor.of([ROOM], [], [box(-100, -100, 6100, 4100)]).roomiest(ROOM) is None
    part = box(0, 0, 1000, 1000)  # of a larger floor
    at = Floor.of([ROOM]).roomiest(part, 5.0)
    assert at is not None and 990 <= min(at) <= max(at) <= 1000
