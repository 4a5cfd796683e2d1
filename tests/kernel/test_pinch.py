"""The narrowest pinch against a raster that knows nothing of outlines, and under turning and mirroring."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
from scipy import ndimage
from scipy.spatial.distance import cdist
from shapely import contains_xy, distance, points
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint
from shapely.ops import unary_union

from shopbins.geometry.features import Gaps, thing_features, wall_features
from shopbins.geometry.shapes import FloorProblem, Pose, placed, rectangle
from shopbins.kernel.pinch import Floor, pinch
from shopbins.kernel.route import _Near, _skeleton, _straighter, route

ROOM = ((0.0, 0.0), (9000.0, 0.0), (9000.0, 4000.0), (0.0, 4000.0))


def box(x0, y0, x1, y1):
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def raster_width(floor, things, start, goal, cell=20.0):
    """Widest disc by thresholding a distance transform: errs by a few cells at most."""
    free = Polygon(floor).difference(unary_union([Polygon(t) for t in things]))
    x0, y0, x1, y1 = Polygon(floor).bounds
    xs, ys = np.arange(x0 - cell, x1 + 2 * cell, cell), np.arange(y0 - cell, y1 + 2 * cell, cell)
    gx, gy = np.meshgrid(xs, ys)
    clear = ndimage.distance_transform_edt(contains_xy(free, gx.ravel(), gy.ravel()).reshape(gx.shape)) * cell
    at = [(round((p[1] - ys[0]) / cell), round((p[0] - xs[0]) / cell)) for p in (start, goal)]
    low, high = 0.0, float(min(clear[at[0]], clear[at[1]]))
    for _ in range(20):
        middle = (low + high) / 2
        marks, _ = ndimage.label(clear >= middle, structure=np.ones((3, 3)))
        joined = marks[at[0]] == marks[at[1]] and marks[at[0]] > 0
        low, high = (middle, high) if joined else (low, middle)
    return 2 * low


def crowd(rng, count, size=(7000.0, 5000.0)):
    things = []
    while len(things) < count:
        sides = rng.uniform(200, 1100), rng.uniform(200, 700)
        pose = Pose(rng.uniform(0, size[0]), rng.uniform(0, size[1]), rng.uniform(0, 360))
        thing = placed(rectangle(*sides), pose)
        near = min(
            Polygon(thing).distance(LineString([p, p])) for p in ((500, 500), (size[0] - 500, size[1] - 500))
        )
        if near > 250:
            things.append(thing)
    return things


def test_crowded_rooms_agree_with_a_raster():
    rng = random.Random(1)
    kinds = set()
    for k in range(40):
        things = crowd(rng, 6 + k)
        floor, start, goal = box(0, 0, 7000, 5000), (500.0, 500.0), (6500.0, 4500.0)
        found = pinch(floor, [], things, start, goal)
        assert found.width_mm == pytest.approx(raster_width(floor, things, start, goal), abs=75)
        assert math.dist(*found.points) * (
            2 if found.between[1] in ("start", "goal") else 1
        ) == pytest.approx(found.width_mm, abs=1e-6)
        kinds.add(found.between[1].split()[0])
        kinds.add("closed" if found.width_mm == 0 else "open")
    assert {"thing", "open"} <= kinds
    assert kinds & {"start", "goal"}


def test_turned_shifted_and_mirrored_rooms_give_the_same_width():
    rng = random.Random(2)
    for _ in range(60):
        things = crowd(rng, 12)
        floor, start, goal = box(0, 0, 7000, 5000), (500.0, 500.0), (6500.0, 4500.0)
        width = pinch(floor, [], things, start, goal).width_mm
        assert pinch(floor, [], things, goal, start).width_mm == pytest.approx(width, abs=1e-6)
        pose = Pose(rng.uniform(-9e3, 9e3), rng.uniform(-9e3, 9e3), rng.uniform(0, 360))
        (s, g) = placed((start, goal), pose)
        turned = pinch(placed(floor, pose), [], [placed(t, pose) for t in things], s, g)
        assert turned.width_mm == pytest.approx(width, abs=1e-6)

        def mirrored(outline):
            return tuple((-x, y) for x, y in reversed(outline))

        (s, g) = mirrored((goal, start))
        flipped = pinch(mirrored(floor), [], [mirrored(t) for t in things], s, g)
        assert flipped.width_mm == pytest.approx(width, abs=1e-6)


def test_one_thing_more_never_widens_and_one_less_never_narrows():
    rng = random.Random(3)
    narrowed = 0
    for _ in range(60):
        things = crowd(rng, 14)
        floor, start, goal = box(0, 0, 7000, 5000), (500.0, 500.0), (6500.0, 4500.0)
        widths = [pinch(floor, [], things[:n], start, goal).width_mm for n in range(15)]
        assert all(b <= a + 1e-9 for a, b in itertools.pairwise(widths))
        narrowed += widths[-1] < widths[0]
    assert narrowed > 40


def test_a_thing_that_is_not_convex_holds_the_disc_in_its_mouth():
    cup = ((3000.0, 1000.0), (5000.0, 1000.0), (5000.0, 1200.0), (3200.0, 1200.0), (3200.0, 2800.0),
           (5000.0, 2800.0), (5000.0, 3000.0), (3000.0, 3000.0))  # fmt: skip
    lid = box(4800.0, 1900.0, 5600.0, 2750.0)
    found = pinch(ROOM, [], [cup, lid], (4000.0, 2000.0), (8000.0, 2000.0))
    assert found.width_mm == pytest.approx(700.0, abs=1e-9)
    assert set(found.between) == {"thing 0", "thing 1"}


def test_walls_holes_and_doors_between_overlapping_rooms():
    """Two rooms joined by a passage 820 mm wide that overlaps both by 1 mm; a hole stands in the second."""
    rooms = [box(0, 0, 4000, 4000), box(4150, 0, 9000, 4000), box(3999, 1500, 4151, 2320)]
    found = pinch(rooms, [], [], (1000.0, 2000.0), (7000.0, 2000.0))
    assert found.width_mm == pytest.approx(820.0, abs=1e-9)
    assert found.between == ("wall", "wall")
    hole = box(5000.0, 300.0, 5500.0, 3500.0)
    narrow = pinch(rooms, [hole], [], (1000.0, 2000.0), (7000.0, 2000.0))
    assert narrow.width_mm == pytest.approx(500.0, abs=1e-9)
    assert set(narrow.between) == {"wall", "hole 0"}
    edges = wall_features(rooms)
    length = sum(math.dist(*f.points) for f in edges)
    assert length == pytest.approx(unary_union([Polygon(r) for r in rooms]).length, abs=1e-6)


def test_the_best_exit_is_the_one_with_the_widest_way():
    things = [box(3000, 0, 3200, 3300), box(6000, 650, 6200, 4000)]
    floor = Floor.of([ROOM], [], things)
    start = (4500.0, 2000.0)
    left, right = (500.0, 2000.0), (8500.0, 2000.0)
    assert floor.pinch(start, left).width_mm == pytest.approx(700.0)
    assert floor.pinch(start, right).width_mm == pytest.approx(650.0)
    best = floor.best(start, [right, left])
    assert (best.width_mm, best.goal) == (pytest.approx(700.0), 1)


def test_the_roomiest_place_is_as_clear_as_the_clearest_of_a_raster():
    rng = random.Random(6)
    for _ in range(15):
        things = crowd(rng, 20)
        floor = Floor.of([box(0, 0, 7000, 5000)], [], things)
        place = floor.roomiest(box(0, 0, 7000, 5000))
        free = Polygon(box(0, 0, 7000, 5000)).difference(unary_union([Polygon(t) for t in things]))
        clear = free.boundary.distance(ShapelyPoint(place))
        assert free.contains(ShapelyPoint(place))
        xs, ys = np.meshgrid(np.arange(50, 7000, 100), np.arange(50, 5000, 100))
        dots = points(xs.ravel(), ys.ravel())
        best = max(distance(free.boundary, dots[contains_xy(free, xs.ravel(), ys.ravel())]))
        assert clear >= best - 20.0
    full = Floor.of([ROOM], [], [box(-1, -1, 9001, 4001)])
    assert full.roomiest(ROOM) is None


def test_a_closed_way_is_0_mm_and_says_where():
    found = pinch(ROOM, [], [box(3000, -100, 3200, 4100)], (1000.0, 2000.0), (8000.0, 2000.0))
    assert found.width_mm == 0.0
    assert set(found.between) == {"wall", "thing 0"}


def test_room_about_the_start_may_be_the_least():
    found = pinch(ROOM, [], [], (100.0, 2000.0), (8000.0, 2000.0))
    assert found.width_mm == pytest.approx(200.0)
    assert found.between == ("wall", "start")
    assert pinch(ROOM, [], [], (0.4, 2000.0), (8000.0, 2000.0)).width_mm == pytest.approx(0.8)
    assert pinch(ROOM, [], [], (700.0, 2000.0), (700.0, 2000.0)).width_mm == pytest.approx(1400.0)


@pytest.mark.parametrize(
    ("start", "goal", "said"),
    [
        ((-1.0, 5.0), (5.0, 5.0), "start: it lies off the floor"),
        ((5.0, 5.0), (3100.0, 100.0), "goal: it lies in or at thing 0"),
        ((5.0, 5.0), (7100.0, 100.0), "goal: it lies in hole 0"),
        ((math.nan, 5.0), (5.0, 5.0), "start: it lies off the floor"),
    ],
)
def test_places_that_are_none_are_refused_in_one_line(start, goal, said):
    with pytest.raises(FloorProblem, match=said):
        pinch(ROOM, [box(7000, 0, 7200, 3000)], [box(3000, 0, 3200, 3000)], start, goal)


def test_gaps_are_all_there_and_kept():
    rng = random.Random(4)
    things = crowd(rng, 30)
    gaps = Gaps(thing_features((str(k), t) for k, t in enumerate(things)))
    for upto in (100.0, 700.0, 400.0, 3000.0):
        links = {(m.first, m.second): m.width_mm for m in gaps.upto(upto)}
        for i in range(30):
            for j in range(i + 1, 30):
                apart = Polygon(things[i]).distance(Polygon(things[j]))
                if apart <= upto:
                    assert links[(i, j)] == pytest.approx(apart, abs=1e-6)


def test_the_route_can_be_followed_by_a_disc_of_the_width_it_says():
    rng = random.Random(5)
    drawn = 0
    for _ in range(25):
        things = crowd(rng, 12)
        start, goal = (500.0, 500.0), (6500.0, 4500.0)
        floor = Floor.of([box(0, 0, 7000, 5000)], [], things)
        found = floor.pinch(start, goal)
        way = route(floor.gaps, start, goal, found.width_mm)
        if found.width_mm == 0:
            assert way is None
            continue
        assert way is not None and way.points[0] == start and way.points[-1] == goal
        assert 0.97 * found.width_mm - 1e-6 <= way.width_mm
        free = Polygon(box(0, 0, 7000, 5000)).difference(unary_union([Polygon(t) for t in things]))
        line = LineString(way.points)
        assert line.within(free)
        assert 2 * line.distance(free.boundary) >= min(way.width_mm, found.width_mm) - 1e-6
        drawn += 1
    assert drawn > 10


def test_the_ridges_a_disc_can_follow_are_those_nowhere_nearer_to_a_sample_than_its_radius() -> None:
    samples = np.random.default_rng(3).uniform(0, 1000, (60, 2))
    nodes, every, lengths = _skeleton(samples, 0.0)
    _, kept, _ = _skeleton(samples, 70.0)
    t = np.linspace(0, 1, 101)[:, None]
    clear = [cdist(nodes[a] * (1 - t) + nodes[b] * t, samples).min() for a, b in every]
    fits = {tuple(each) for each, least in zip(every.tolist(), clear, strict=True) if least >= 70.0}
    assert {tuple(each) for each in kept.tolist()} == fits and 10 < len(fits) < len(every) - 10
    assert lengths == pytest.approx(np.hypot(*(nodes[every[:, 0]] - nodes[every[:, 1]]).T))


def test_a_way_is_straight_wherever_the_straight_line_keeps_clear_and_keeps_its_points_elsewhere() -> None:
    """Half a circle of 1000 round a post 600 wide, 200 asked: no chord that comes nearer is taken."""
    post = [(300 * math.cos(k * math.pi / 8), 300 * math.sin(k * math.pi / 8)) for k in range(16)]
    ring = Floor.of([box(-2000, -2000, 2000, 2000)], [], [tuple(post)])
    near = _Near(ring.gaps.features, 200.0, lambda: False)
    round_it = [(-1000 * math.cos(k * math.pi / 40), 1000 * math.sin(k * math.pi / 40)) for k in range(41)]
    way = _straighter(round_it, near)
    assert way[0] == round_it[0] and way[-1] == round_it[-1] and set(way) <= set(round_it)
    lines = [LineString(pair) for pair in itertools.pairwise(way)]
    assert all(line.distance(Polygon(post)) >= 200 - 1e-6 for line in lines)
    # From (-1000, 0) a tangent to the circle of 500 leaves that of 1000 after 120 deg: 26 of 40 steps.
    assert len(way) == 3 and round_it.index(way[1]) in (26, 27)
    for count in (1, 2, 3, 4):
        open_way = [(-1500.0 + 100 * k, -1500.0 + 10 * k * k) for k in range(count)]
        assert _straighter(open_way, near) == tuple(dict.fromkeys((open_way[0], open_way[-1])))
