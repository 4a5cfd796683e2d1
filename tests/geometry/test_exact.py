"""Overlap, gaps and containment against integer arithmetic, shapely and point sampling."""

from __future__ import annotations

import math
import random
from fractions import Fraction

import pytest
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint

from shopbins.geometry.convex import HAIR, convex_hull, convex_parts, is_convex, turn_sign
from shopbins.geometry.exact import (
    area_mm2,
    gap,
    inside,
    line_gap,
    nearest,
    overhang_mm,
    overlap,
    point_gap,
)
from shopbins.geometry.shapes import (
    FloorProblem,
    Pose,
    bounds,
    contains,
    counter_clockwise,
    placed,
    rectangle,
    turn_between,
    turned,
)
from shopbins.geometry.simple import simple, simple_problem

SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0))
ELL = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 1000.0), (1000.0, 1000.0), (1000.0, 3000.0), (0.0, 3000.0))


def shifted(outline, dx, dy):
    return tuple((x + dx, y + dy) for x, y in outline)


def star(rng, points, least=300.0, most=1500.0, at=(0.0, 0.0)):
    """A simple outline, seldom convex: rays of random length at growing angles."""
    turns = sorted(rng.uniform(0, math.tau) for _ in range(points))
    rays = [rng.uniform(least, most) for _ in turns]
    outline = tuple(
        (at[0] + r * math.cos(t), at[1] + r * math.sin(t)) for r, t in zip(rays, turns, strict=True)
    )
    return counter_clockwise(outline) if Polygon(outline).is_valid else star(rng, points, least, most, at)


def clipped_area(a, b):
    """Exact area that two convex outlines with whole-number points share: half planes in fractions."""
    pts = [(Fraction(x), Fraction(y)) for x, y in a]
    for (x0, y0), (x1, y1) in zip(b, b[1:] + b[:1], strict=True):
        side = [(x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) for x, y in pts]
        kept = []
        for i, p in enumerate(pts):
            q, s, t = pts[i - 1], side[i], side[i - 1]
            if s * t < 0:
                k = t / (t - s)
                kept.append((q[0] + k * (p[0] - q[0]), q[1] + k * (p[1] - q[1])))
            if s >= 0:
                kept.append(p)
        pts = kept
        if not pts:
            return Fraction(0)
    return abs(sum(pts[i - 1][0] * pts[i][1] - pts[i][0] * pts[i - 1][1] for i in range(len(pts)))) / 2


def whole_convex(rng, span=24):
    while True:
        hull = convex_hull((rng.randrange(span), rng.randrange(span)) for _ in range(7))
        if len(hull) >= 3:
            return tuple((int(x), int(y)) for x, y in hull)


def test_overlap_agrees_with_exact_clipping_of_whole_number_outlines():
    rng = random.Random(1)
    met = 0
    for _ in range(700):
        a, b = whole_convex(rng), shifted(whole_convex(rng), rng.randrange(-20, 20), rng.randrange(-20, 20))
        shared = clipped_area(a, b)
        assert overlap(a, b) == (shared > 0)
        assert (gap(a, b).distance_mm < 0) == (shared > 0)
        met += shared > 0
    assert 140 < met < 560


def test_whole_number_outlines_that_only_touch_do_not_overlap():
    rng = random.Random(2)
    touching = 0
    for _ in range(1500):
        a, b = whole_convex(rng, 8), shifted(whole_convex(rng, 8), rng.randrange(-8, 8), rng.randrange(-8, 8))
        if clipped_area(a, b) == 0 and Polygon(a).intersects(Polygon(b)):
            touching += 1
            assert not overlap(a, b)
            assert gap(a, b).distance_mm == 0.0
    assert touching > 20


@pytest.mark.parametrize("turn", [0, 17, 30, 45, 61.3, 90, 133, 200, 271])
def test_a_millimetre_either_way_at_any_turn(turn):
    pose = Pose(4321.0, -987.0, turn)
    a = placed(SQUARE, pose)
    for slip in (-400.0, 0.0, 333.3):
        for by, expected in ((1.0, False), (0.0, False), (-0.0009, False), (-0.0011, True), (-1.0, True)):
            b = placed(shifted(SQUARE, 1000.0 + by, slip), pose)
            assert overlap(a, b) is expected
            assert gap(a, b).distance_mm == pytest.approx(by, abs=1e-6)


def test_turned_scenes_agree_with_an_independent_library():
    rng = random.Random(3)
    for _ in range(500):
        a = star(rng, rng.randrange(3, 9))
        b = placed(
            star(rng, rng.randrange(3, 9)),
            Pose(rng.uniform(-2500, 2500), rng.uniform(-2500, 2500), rng.uniform(0, 360)),
        )
        pa, pb = Polygon(a), Polygon(b)
        shared = pa.intersection(pb).area
        found = gap(a, b)
        if shared > 100:
            assert overlap(a, b)
            assert found.distance_mm < 0
        elif shared == 0:
            assert not overlap(a, b)
            assert found.distance_mm == pytest.approx(pa.distance(pb), abs=1e-6)
            assert math.dist(found.point_a, found.point_b) == pytest.approx(found.distance_mm, abs=1e-6)
            assert ShapelyPoint(found.point_a).distance(pa.exterior) < 1e-6
            assert ShapelyPoint(found.point_b).distance(pb.exterior) < 1e-6


def test_the_push_named_for_convex_outlines_parts_them_and_nothing_shorter_does():
    rng = random.Random(4)
    pushed = 0
    for _ in range(200):
        a = placed(rectangle(rng.uniform(200, 900), rng.uniform(200, 900)), Pose(0, 0, rng.uniform(0, 360)))
        b = placed(rectangle(800, 500), Pose(rng.uniform(-500, 500), rng.uniform(-500, 500), 20))
        found = gap(a, b)
        if found.distance_mm >= 0:
            continue
        pushed += 1
        depth = -found.distance_mm
        px, py = found.point_a[0] - found.point_b[0], found.point_a[1] - found.point_b[1]
        assert math.hypot(px, py) == pytest.approx(depth, abs=1e-6)
        assert Polygon(a).intersection(Polygon(shifted(b, px, py))).area < 1e-3
        for k in range(36):
            t = math.radians(10 * k)
            push = shifted(b, 0.995 * depth * math.cos(t), 0.995 * depth * math.sin(t))
            assert Polygon(a).intersection(Polygon(push)).area > 0
    assert pushed > 100


def test_points_of_an_overlap_are_found_by_sampling_and_none_where_there_is_no_overlap():
    rng = random.Random(5)
    for _ in range(60):
        a = star(rng, 7)
        b = star(rng, 6, at=(rng.uniform(-2600, 2600), rng.uniform(-2600, 2600)))
        x0, y0, x1, y1 = bounds(a)
        both = 0
        for _ in range(400):
            p = rng.uniform(x0, x1), rng.uniform(y0, y1)
            both += contains(a, p) and contains(b, p)
        if not overlap(a, b):
            assert both == 0
        elif Polygon(a).intersection(Polygon(b)).area > 0.05 * (x1 - x0) * (y1 - y0):
            assert both > 0


def test_nearest_is_the_nearest_of_all():
    rng = random.Random(6)
    for _ in range(50):
        others = [
            placed(rectangle(300, 200), Pose(rng.uniform(-5000, 5000), rng.uniform(-5000, 5000), 10 * k))
            for k in range(20)
        ]
        i, found = nearest(SQUARE, others)
        assert found.distance_mm == min(gap(SQUARE, other).distance_mm for other in others)
        assert gap(SQUARE, others[i]).distance_mm == found.distance_mm
    assert nearest(SQUARE, []) is None


def test_convex_parts_cover_the_outline_and_are_convex():
    rng = random.Random(7)
    for k in range(300):
        outline = star(rng, 3 + k % 25, least=50.0)
        parts = convex_parts(outline)
        assert all(is_convex(p) for p in parts)
        assert sum(area_mm2(p) for p in parts) == pytest.approx(area_mm2(outline), rel=1e-9)
        assert Polygon(outline).buffer(1e-3).contains(Polygon(parts[0]))
    assert len(convex_parts(ELL)) == 2
    assert convex_parts(SQUARE[::-1]) == (counter_clockwise(SQUARE[::-1]),)


def test_the_hull_holds_every_point_and_only_corners():
    rng = random.Random(8)
    for _ in range(100):
        pts = [(rng.randrange(30), rng.randrange(30)) for _ in range(25)]
        hull = convex_hull(pts)
        assert (
            Polygon(hull).equals(Polygon(pts).convex_hull)
            or len(hull) < 3
            or (
                Polygon(hull).area
                == pytest.approx(ShapelyPoint(pts[0]).union(LineString(pts)).convex_hull.area)
            )
        )
        n = len(hull)
        assert all(turn_sign(hull[i - 2], hull[i - 1], hull[i]) > 0 for i in range(n))


def test_the_turn_sign_is_exact_where_floats_round():
    """Points 2**-53 off a line: float determinants answer 0 or the wrong sign here."""
    a, b = (0.5, 0.5), (12.0, 12.0)
    for k in range(1, 60):
        c = (24.0, 24.0 + k * 2.0**-48)
        assert turn_sign(a, b, c) == 1
        assert turn_sign(a, b, (c[1], c[0])) == -1
    assert turn_sign((0.1, 0.1), (0.2, 0.2), (0.3, 0.3)) == 0


def test_inside_with_edges_touching_and_a_millimetre_out():
    for turn in (0, 13, 90, 77.7):
        pose = Pose(100, 200, turn)
        room, box = placed(ELL, pose), ((0.0, 2200.0), (1000.0, 2200.0), (1000.0, 3000.0), (0.0, 3000.0))
        assert inside(placed(box, pose), room)
        assert overhang_mm(placed(box, pose), room) == 0.0
        assert not inside(placed(shifted(box, 1.0, 0.0), pose), room)
        assert overhang_mm(placed(shifted(box, 1.0, 0.0), pose), room) == pytest.approx(1.0, abs=1e-3)
        assert inside(placed(shifted(box, 0.0009, 0.0), pose), room)


def test_inside_sees_an_edge_that_leaves_a_room_between_two_points_within_it():
    notched = (
        (0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (2200.0, 2000.0),
        (2200.0, 1500.0), (1800.0, 1500.0), (1800.0, 2000.0), (0.0, 2000.0),
    )  # fmt: skip
    across = ((500.0, 1000.0), (3500.0, 1000.0), (3500.0, 1700.0), (500.0, 1700.0))
    assert not inside(across, notched)
    assert overhang_mm(across, notched) == pytest.approx(200.0, abs=1e-3)
    assert inside(shifted(across, 0.0, -200.0), notched)
    assert overhang_mm(shifted(across, 0.0, -199.0), notched) == pytest.approx(1.0, abs=1e-3)


def test_overhang_agrees_with_dense_sampling_of_the_edge():
    rng = random.Random(9)
    out = 0
    for _ in range(150):
        outer = star(rng, 9, least=700.0)
        inner = placed(rectangle(900, 500), Pose(rng.uniform(-900, 900), rng.uniform(-900, 900), 33))
        room = Polygon(outer)
        ring = LineString((*inner, inner[0]))
        sampled = max(
            room.distance(ring.interpolate(k, normalized=True)) for k in [i / 700 for i in range(701)]
        )
        found = overhang_mm(inner, outer)
        assert sampled - 1e-3 <= found <= sampled + 2.1  # samples are 4 mm apart
        assert inside(inner, outer) == room.buffer(1e-3).contains(Polygon(inner))
        out += found > 0
    assert 30 < out < 150


def test_line_gap_is_the_distance_to_the_walkway_line():
    line = ((-500.0, 1400.0), (2500.0, 1400.0), (2500.0, -2000.0))
    found = line_gap(SQUARE, line)
    assert found.distance_mm == 400.0
    assert found.point_a[1] == 1000.0
    assert line_gap(SQUARE, ((-500.0, 500.0), (2500.0, 500.0))).distance_mm == 0.0
    assert line_gap(SQUARE, ((300.0, 300.0), (400.0, 400.0))).distance_mm == 0.0
    assert line_gap(SQUARE, ((1000.0, 1000.0), (2000.0, 3000.0))).distance_mm == 0.0
    rng = random.Random(10)
    for _ in range(200):
        a = star(rng, 6)
        way = [(rng.uniform(-4000, 4000), rng.uniform(-4000, 4000)) for _ in range(3)]
        found = line_gap(a, way)
        assert found.distance_mm == pytest.approx(Polygon(a).distance(LineString(way)), abs=1e-6)


def test_point_gap_is_negative_within():
    assert point_gap(SQUARE, (500.0, 1250.0)).distance_mm == 250.0
    assert point_gap(SQUARE, (500.0, 900.0)).distance_mm == -100.0
    assert point_gap(SQUARE, (1000.0, 900.0)).distance_mm == 0.0


def test_box_gap_never_exceeds_the_gap():
    rng = random.Random(11)
    for _ in range(200):
        a, b = star(rng, 5), star(rng, 5, at=(rng.uniform(-5000, 5000), 2600))
        assert bounds(a).gap_mm(bounds(b)) <= max(gap(a, b).distance_mm, 0.0) + 1e-9


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        ([(0, 0), (1, 1)], "needs three points"),
        ([(0, 0), (math.nan, 0), (5, 5)], "point 2 is not finite"),
        ([(0, 0), (math.inf, 0), (5, 5)], "point 2 is not finite"),
        ([(0, 0), (100, 0), (100.001, 0), (50, 80)], "points 2 and 3 are the same"),
        ([(0, 0), (100, 0), (50, 80), (0, 0)], "points 4 and 1 are the same"),
        ([(0, 0), (100, 0), (200, 0)], "has no area"),
        ([(0, 0), (100, 100), (100, 0), (0, 100)], "edges 1 and 3 cross or touch at (50, 50)"),
        ([(0, 0), (200, 0), (200, 100), (100, 0), (0, 100)], "cross or touch at (100, 0)"),
        ([(0, 0), (200, 0), (200, 100), (100, 0.001), (0, 100)], "all but touch"),
        ([(0, 0), (100, 0), (100, 100), (100, 50), (60, 50), (60, 60)], "cross or touch at (100, 50)"),
    ],
)
def test_what_is_wrong_with_an_outline_is_said(outline, said):
    assert said in simple_problem(outline)


def test_sound_outlines_have_no_problem_in_either_direction():
    rng = random.Random(12)
    for k in range(200):
        outline = star(rng, 3 + k % 20)
        assert simple_problem(outline) is None
        assert simple_problem(outline[::-1]) is None
    straight = [(0, 0), (50, 0), (100, 0), (100, 100), (0, 100)]
    assert simple_problem(straight) is None


def test_a_crossing_is_found_wherever_the_library_finds_one():
    rng = random.Random(13)
    bad = 0
    for _ in range(400):
        pts = [(rng.randrange(12) * 10, rng.randrange(12) * 10) for _ in range(rng.randrange(3, 8))]
        valid = Polygon(pts).is_valid and Polygon(pts).area > 0
        doubled = any(p == q for p, q in zip(pts, pts[1:] + pts[:1], strict=True))
        assert (simple_problem(pts) is None) == (valid and not doubled)
        bad += not valid
    assert 50 < bad < 390


def test_reading_and_the_floor_agree_on_what_is_simple_wherever_it_lies():
    # Decided on whole numbers by the library, where neither can err; then scaled and moved, so that a corner
    # on an edge lies a hair off it.
    rng = random.Random(14)
    refused = 0
    for _ in range(1200):
        pts = [(rng.randrange(9) * 10, rng.randrange(9) * 7) for _ in range(rng.randrange(4, 10))]
        if any(p == q for p, q in zip(pts, pts[1:] + pts[:1], strict=True)):
            continue
        sound = Polygon(pts).is_valid and Polygon(pts).area > 0
        by, at = rng.choice((1 / 3, 0.7, 100 / 3)), rng.choice((0.0, 1e3 / 7, 1e6 + 0.1))
        drawn = [(at + x * by, at - y * by) for x, y in pts]
        assert (simple_problem(drawn) is None) == sound
        if sound:
            assert set(simple(drawn)) == set(drawn)
        else:
            with pytest.raises(FloorProblem, match="thing 3: "):
                simple(drawn, "thing 3")
        refused += not sound
    assert 200 < refused < 1150


def test_what_was_worked_out_may_have_short_sides_what_is_drawn_may_not():
    short = ((0.0, 0.0), (100.0, 0.0), (100.005, 0.005), (100.0, 80.0))
    assert simple_problem(short) == "points 2 and 3 are the same: (100, 0)"
    assert simple(short) == short
    assert simple((*short, (0.0, 1e-7))) == short


def test_straight_sides_turned_with_a_body_are_straight_but_for_a_hair():
    flat = [(0.0, 0.0), (300.0, 0.0), (700.0, 0.0), (1000.0, 0.0), (1000.0, 400.0), (0.0, 400.0)]
    dents = 0
    for deg in range(360):
        seen = turned(flat, deg + 0.37)
        assert is_convex(seen, HAIR)
        dents += not is_convex(seen)
    assert dents > 30  # exactly, rounding dents some of them
    assert not is_convex([*flat[:2], (700.0, 0.01), *flat[3:]], HAIR)


@pytest.mark.parametrize(("deg", "start", "by"), [(10, 350, 20), (350, 10, -20), (180, 0, -180), (725, 0, 5)])
def test_how_far_one_direction_is_turned_from_another(deg: float, start: float, by: float) -> None:
    assert turn_between(deg, start) == by


@pytest.mark.parametrize(("x", "distance", "apart"), [(1200.0, 200, 200), (1000.0, 0, 0), (900.0, -100, 0)])
def test_two_that_overlap_are_0_apart_and_a_line_never_less(x: float, distance: float, apart: float) -> None:
    square = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0))
    other = tuple((px + x, py) for px, py in square)
    found = gap(square, other)
    assert (found.distance_mm, found.apart_mm) == (pytest.approx(distance), pytest.approx(apart))
    assert line_gap(square, ((x, -500.0), (x, 500.0))).distance_mm == pytest.approx(apart)
