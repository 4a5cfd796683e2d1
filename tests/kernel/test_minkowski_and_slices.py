"""Sums, cores and free slices against slow plain definitions."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from floor_checker import World

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import FloorProblem, Outline, Pose, placed, rectangle
from shopbins.kernel.body import Body
from shopbins.kernel.goes_check import Grown
from shopbins.kernel.ground import Crowd, Slicer
from shopbins.kernel.slices import free_slice


def random_convex(rng: random.Random, corners: int, whole: bool) -> np.ndarray:
    """Return a convex outline, with whole hundreds (level and upright edges, ties) where asked."""
    while True:
        points = [(rng.gauss(50, 500), rng.gauss(-80, 500)) for _ in range(corners)]
        if whole:
            points = [(round(x, -2), round(y, -2)) for x, y in points]
        hull = shapely.convex_hull(shapely.MultiPoint(points))
        if hull.geom_type == "Polygon":
            return shapely.get_coordinates(shapely.orient_polygons(hull))[:-1]


def test_a_sum_is_the_hull_of_all_differences() -> None:
    rng = random.Random(1)
    for k in range(400):
        body = random_convex(rng, rng.randint(3, 7), k % 2 == 0)
        outline = random_convex(rng, rng.randint(3, 8), k % 3 == 0)
        if k % 5 == 0:
            outline = outline[:2]
        found = minkowski.grown([outline], body)[0]
        hull = shapely.convex_hull(shapely.MultiPoint((outline[:, None] - body[None]).reshape(-1, 2)))
        assert shapely.hausdorff_distance(found, hull) < 1e-9
        assert found.is_valid


def test_a_batch_keeps_its_order() -> None:
    rng = random.Random(2)
    outlines = [random_convex(rng, n, False) for n in (3, 8, 4, 3, 6)]
    body = minkowski.corners_of(rectangle(300, 200))
    for one, shape in zip(outlines, minkowski.grown(outlines, body), strict=True):
        assert shape.equals(minkowski.grown([one], body)[0])


@pytest.mark.parametrize(("low", "high"), [(0, 5), (-12, 18), (88, 92), (10, 10.001), (0, 100), (30, 180)])
def test_a_core_lies_inside_at_every_turn(low: float, high: float) -> None:
    for outline in (
        rectangle(1400, 800),
        rectangle(2000, 90),
        ((-300.0, -250.0), (500.0, -200.0), (0.0, 400.0)),
    ):
        body = minkowski.corners_of(outline)
        core = shapely.Polygon(minkowski.core(body, low, high))
        assert core.is_valid and core.area > 0
        for k in range(41):
            at = shapely.Polygon(minkowski.turn(body, low + (high - low) * k / 40))
            assert core.difference(at).area < 1e-6
            if high - low <= 6:
                assert core.area > 0.8 * at.area * (1 - 1e-9) or outline != rectangle(1400, 800)


def test_a_core_keeps_the_full_width_at_the_ends_of_its_band() -> None:
    core = minkowski.core(minkowski.corners_of(rectangle(1400, 800)), 0, 5)
    assert core[:, 1].max() == pytest.approx(400, abs=1e-9) and core[:, 1].min() == pytest.approx(
        -400, abs=1e-9
    )


def test_a_side_cut_in_two_is_one_side_whatever_rounding_does() -> None:
    """A fuzz found a T-shaped body whose piece has two sides on one line: its half planes did not close."""
    for k in range(200):
        x, low, high = 140.0 + k / 7, -157.4 + k / 13, 344.8 - k / 17
        piece = np.array([(-210.6, low), (x, low), (x, -70.0), (x, high), (-210.6, high)])
        found = minkowski.core_of(minkowski.turn(piece, 0.37 * k), 15.0 + k / 9, 30.0 + k / 9)
        whole = minkowski.core_of(minkowski.turn(piece[[0, 1, 3, 4]], 0.37 * k), 15.0 + k / 9, 30.0 + k / 9)
        assert shapely.symmetric_difference(shapely.Polygon(found), shapely.Polygon(whole)).area < 1e-3


def test_offsets_and_symmetry() -> None:
    body = minkowski.corners_of(rectangle(1000, 600))
    grown = shapely.Polygon(minkowski.offset(body, 10))
    assert grown.area == pytest.approx(1020 * 620) and grown.bounds == pytest.approx((-510, -310, 510, 310))
    with pytest.raises(ValueError, match="inside"):
        minkowski.offset(body, -300)
    hexagon = np.array([(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(6)]) * 100
    for shape, expected in ((rectangle(9, 5), 180), (rectangle(7, 7), 90), (hexagon, 60), (hexagon[:5], 360)):
        assert minkowski.symmetry_deg(minkowski.corners_of(shape)) == pytest.approx(expected)


@pytest.mark.parametrize("turn_deg", [0.0, 30.0, 90.0, 137.5])
def test_a_slice_against_standing_the_body_everywhere(turn_deg: float) -> None:
    rng = random.Random(int(turn_deg))
    floor: list[Outline] = [
        ((0, 0), (4000, 0), (4000, 1500), (2500, 1500), (2500, 3000), (0, 3000)),
        ((2400, 2000), (5000, 2000), (5000, 3000), (2400, 3000)),
    ]
    things = []
    for _ in range(5):
        at_random = Pose(rng.uniform(0, 5000), rng.uniform(0, 3000), 33)
        things.append(placed(rectangle(rng.uniform(100, 500), rng.uniform(100, 400)), at_random))
    star: Outline = (
        (600, 400), (1000, 600), (1400, 400), (1200, 800), (1400, 1200), (1000, 1000), (600, 1200),
    )  # fmt: skip
    things.append(star)
    for body in (rectangle(500, 300), ((100.0, 50.0), (700.0, 80.0), (400.0, 500.0)), rectangle(90, 20)):
        ground = shapely.union_all([shapely.Polygon(o) for o in floor])
        free = free_slice(ground, things, body, turn_deg)
        assert free.is_valid
        world = World(floor, [], things, body)
        edge = free.boundary
        for _ in range(400):
            x, y = rng.uniform(-500, 5500), rng.uniform(-500, 3500)
            at = shapely.Point(x, y)
            if edge.distance(at) > 1e-3:
                assert free.contains(at) == bool(world.free_of([(x, y, turn_deg)])), (x, y, body)


def test_exact_fits_need_a_hair_less() -> None:
    room = shapely.box(0, 0, 4000, 800)
    assert free_slice(room, [], rectangle(1400, 800), 0).is_empty
    strip = free_slice(room, [], rectangle(1400, 800), 0, -0.001)
    assert strip.bounds == pytest.approx((700, 400, 3300, 400), abs=0.01)
    clear = free_slice(shapely.box(0, 0, 4000, 1000), [], rectangle(1400, 800), 0, 25)
    assert clear.bounds == pytest.approx((725, 425, 3275, 575), abs=1e-6)


@pytest.mark.parametrize("outset_mm", [-200.0, -1e9])
def test_nothing_left_of_the_body(outset_mm: float) -> None:
    with pytest.raises(FloorProblem, match="nothing is left"):
        free_slice(shapely.box(0, 0, 4000, 4000), [], rectangle(900, 400), 0, outset_mm)


def test_remembered_slices_change_as_fresh_ones_would() -> None:
    rng = random.Random(8)
    ground = shapely.box(0, 0, 6000, 5000)
    body = Body(rectangle(900, 500))

    def thing() -> Outline:
        at = Pose(rng.uniform(0, 6000), rng.uniform(0, 5000), rng.uniform(0, 90))
        return placed(rectangle(rng.uniform(100, 900), rng.uniform(100, 600)), at)

    things = [thing() for _ in range(25)]
    kept = Slicer(ground, body, -0.002)
    for _ in range(25):
        for _ in range(rng.randint(1, 3)):
            if rng.random() < 0.5 and things:
                things.pop(rng.randrange(len(things)))
            else:
                things.append(thing())
        for band in ((20.0, 20.0), (20.0, 31.0)):
            fresh = Slicer(ground, body, -0.002).free(*band, Crowd(things))
            again = kept.free(*band, Crowd(things))
            assert again.symmetric_difference(fresh).area < 1e-3
            assert len(shapely.get_parts(again)) == len(shapely.get_parts(fresh))


def test_pieces_to_check_with_hold_those_searched_with_and_lie_in_the_body() -> None:
    """A fuzz found T-shaped bodies of which no 'does not go' stood its check: a cut had moved too far."""
    rng = random.Random(8)
    for _ in range(60):
        a, b = rng.uniform(500, 1200), rng.uniform(600, 1000)
        t, u = rng.uniform(120, 350), rng.uniform(120, 350)
        ell = [(0, 0), (a, 0), (a, t), (u, t), (u, b), (0, b)]
        low = rng.uniform(20, b - t - 20)
        tee = [(0, 0), (u, 0), (u, low), (a, low), (a, low + t), (u, low + t), (u, b), (0, b)]
        for outline in (ell, tee):
            body = Body(placed([(x - u / 2, y - t / 2) for x, y in outline], Pose(0, 0, rng.uniform(0, 90))))
            whole = shapely.Polygon(body.ring)
            for taken_mm in (m for m in (-0.002, -0.01, -0.05) if -m < body.thin_mm):
                pieces = body.plainly(taken_mm / 2, taken_mm)
                for searched, checked in zip(body.pieces(taken_mm), pieces, strict=True):
                    outer = shapely.Polygon(checked)
                    assert shapely.contains(whole, outer)
                    assert shapely.contains(outer, shapely.buffer(shapely.Polygon(searched), 1e-5))


def test_lines_grown_by_shapes_cover_what_shapely_says() -> None:
    """The checker's own grown lines: what of a line they leave uncovered is shapely's difference."""
    luck = np.random.default_rng(7)
    for corners in (3, 4, 6):
        turns = 2 * np.pi * (np.arange(corners) + luck.uniform(0, 0.4, corners)) / corners
        shape = 120 * np.stack((np.cos(turns), np.sin(turns)), axis=1) + luck.uniform(-50, 50, 2)
        lines, queries = luck.uniform(0, 1500, (6, 2, 2)), luck.uniform(-100, 1600, (60, 2, 2))
        shapes = [shape, np.array(((0.0, 0.0), (60.0, 0.0), (0.0, 90.0)))]
        sums = [(each[:, None] - own).reshape(-1, 2) for each in lines for own in shapes]
        whole = shapely.union_all([shapely.MultiPoint(each).convex_hull for each in sums])
        asked = shapely.linestrings(queries)
        grown = Grown(lines, shapes)
        points, lengths = grown.uncovered(queries)
        open_mm = shapely.length(shapely.difference(asked, whole))
        assert lengths.sum() == pytest.approx(open_mm.sum(), abs=1e-3) and open_mm.sum() > 0
        assert not shapely.contains_xy(shapely.buffer(whole, -1e-4), points).any()
        held = shapely.length(asked) - open_mm
        assert (grown.holds(queries) == (held > 1e-3)).all() and 5 < (held > 1e-3).sum() < 60
        within = shapely.box(200, 200, 900, 800)
        edges = shapely.union_all(shapely.linestrings(grown.edges(np.array((200.0, 200.0, 900.0, 800.0)))))
        for each in sums:
            rim = shapely.boundary(shapely.MultiPoint(each).convex_hull) & within
            assert shapely.is_empty(rim) or shapely.length(rim - shapely.buffer(edges, 1e-4)) < 1e-3


@pytest.mark.parametrize("outset_mm", [-60.0, -20.0, -1.0, 3.0])
def test_a_body_made_smaller_by_plain_arithmetic_is_the_same_where_short_sides_go(outset_mm: float) -> None:
    chamfered = ((10, 0), (890, 0), (900, 10), (900, 480), (880, 500), (0, 500), (0, 10))
    blunt = ((0, 0), (900, 240), (900, 245), (0, 500))
    for outline in (chamfered, blunt):
        body = Body(outline)
        (plain,), (found,) = body.plainly(outset_mm, 0.0), body.pieces(outset_mm)
        one, other = shapely.Polygon(plain), shapely.Polygon(found)
        assert one.is_valid and shapely.symmetric_difference(one, other).area < 1e-3
        assert one.exterior.is_ccw and outset_mm * (one.area - shapely.Polygon(outline).area) > 0


@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 135.0])
@pytest.mark.parametrize(("base", "tip"), [(800.0, (400.0, 1000.0)), (1000.0, (480.0, 880.0))])
def test_a_triangle_turns_about_where_its_narrow_widths_meet(
    base: float, tip: tuple[float, float], turn_deg: float
) -> None:
    """A width between a side and the corner across lies on an altitude, and altitudes meet in one point: with
    the base's ends at 0 and b and the tip at (p, h), at (p, p (b - p) / h).
    """
    pose = Pose(3000.0, -700.0, turn_deg)
    body = Body(placed(((0.0, 0.0), (base, 0.0), tip), pose))
    meet = (tip[0], tip[0] * (base - tip[0]) / tip[1])
    assert body.centre == pytest.approx(placed((meet,), pose)[0], abs=0.001)


@pytest.mark.parametrize("turn_deg", [0.0, 20.0])
def test_a_wedge_turns_about_a_point_across_from_its_middle_corner(turn_deg: float) -> None:
    """Only the height over its longest side is narrow; along that the point is where the corner is."""
    pose = Pose(0.0, 0.0, turn_deg)
    x, _ = placed((Body(placed(((0, 0), (1000, 0), (300, 200)), pose)).centre,), Pose(0.0, 0.0, -turn_deg))[0]
    assert x == pytest.approx(300.0, abs=0.001)
