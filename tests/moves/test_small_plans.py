"""Moves' plane geometry by itself: tilt, walls and runs of a lattice, pieces of a way, plates, pads, lines.

Against the same by another library (shapely), a sum by hand, or every case tried.
"""

from __future__ import annotations

import itertools
import math
import random
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from building import box, zone

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Point, Pose, placed
from shopbins.moves import (
    bedding,
    floorline,
    force,
    goal,
    heights,
    lattice,
    layouts,
    legs,
    lines,
    load,
    meanwhile,
    plates,
    ramps,
    setround,
    tipping,
    where,
)  # fmt: skip
from shopbins.shop.model import Door, Gear, Level


def like(**told: Any) -> Any:
    return SimpleNamespace(**told)


# --- tilt -------------------------------------------------------------------------------------------------

HULL = box(0, 0, 1000, 600)


@pytest.mark.parametrize(("cg", "fall", "downhill", "deg", "inside", "towards", "met"), [
    # 200 mm inside the right edge, 500 high: atan(0.4) = 21.80 deg; 1 in 10 downhill takes 5.71 off
    ((800.0, 300.0), 0.0, None, 21.801, 200, 0, None), ((800.0, 300.0), 0.1, (0.0, 0.0), 16.091, 200, 0, 0),
    ((800.0, 300.0), 0.1, (180.0, 180.0), 27.512, 200, 0, 180),
    ((500.0, 100.0), 0.1, (260.0, 280.0), 5.599, 100, 270, 270),
    ((500.0, 100.0), 0.1, (300.0, 310.0), 6.360, 100, 270, 300),  # atan(0.1 cos 30) = 4.95 off 11.31
    ((500.0, 100.0), 0.1, None, 5.599, 100, 270, 270), ((-50.0, 300.0), 0.0, None, -5.711, -50, 180, None),
])  # fmt: skip
def test_how_far_a_thing_may_tilt_before_it_goes_over_an_edge(
    cg: Point, fall: float, downhill: Any, deg: float, inside: float, towards: float, met: float | None
) -> None:
    found = tipping._reserve(HULL, cg, 500.0, fall, downhill)
    assert found is not None
    assert (found.deg, found.inside_mm) == pytest.approx((deg, inside), abs=0.002)
    assert (found.outward_deg, found.downhill_deg) == (pytest.approx(towards), met and pytest.approx(met))


def test_what_stands_on_two_points_has_no_reserve() -> None:
    assert tipping._reserve(((0.0, 0.0), (900.0, 0.0)), (10.0, 0.0), 500.0, 0.0, None) is None


# --- a lattice --------------------------------------------------------------------------------------------


def test_places_within_walls_are_those_shapely_has_inside() -> None:
    rooms = [((0, 0), (900, 30), (800, 700), (300, 400), (0, 650)), box(1000, 100, 1300, 500)]
    walls = np.array([(a, b) for r in rooms for a, b in zip(r, (*r[1:], r[0]), strict=True)], float)
    xs, ys = np.arange(-45.0, 1400, 37), np.arange(-33.0, 800, 41)
    inside = shapely.contains_xy(
        shapely.MultiPolygon([shapely.Polygon(r) for r in rooms]), *np.meshgrid(xs, ys)
    )
    assert lattice._within(walls, xs, ys).tolist() == inside.ravel().tolist()


def test_runs_of_a_lattice_are_the_places_within_an_outline() -> None:
    luck = np.random.default_rng(7)
    xs, ys = np.arange(0.0, 1000, 23), np.arange(0.0, 1000, 31)
    for _ in range(10):
        hull = shapely.MultiPoint(luck.uniform(50, 950, (9, 2))).convex_hull
        corners = shapely.get_coordinates(shapely.segmentize(hull, 400.0))[:-1]
        first, last = lattice._spans(corners[None], xs, ys)
        for y, a, b in zip(ys, first[0], last[0], strict=True):
            held = shapely.contains_xy(hull, xs, y)
            assert [a <= k < b for k in range(len(xs))] == held.tolist()


def test_cells_of_runs_are_all_from_the_first_to_before_the_last() -> None:
    assert lattice._cells(np.array([3, 10, 20]), np.array([6, 10, 22])).tolist() == [3, 4, 5, 20, 21]
    assert lattice._cells(np.array([[5]]), np.array([[5]])).tolist() == []


# --- pieces of a way --------------------------------------------------------------------------------------


def test_a_way_is_looked_at_in_pieces_of_100_mm_or_5_degrees() -> None:
    path = [Pose(0, 0, 0), Pose(250, 0, 0), Pose(250, 0.5, 0.001), Pose(250, 0, 12), Pose(250, 100, 12)]
    found = list(legs._pieces(path))
    assert [heading for *_, heading in found] == [0, 0, 0, None, None, None, 90]
    assert all(math.dist(p[:2], q[:2]) <= 100 and abs(q.turn_deg - p.turn_deg) <= 5 for p, q, _ in found)
    assert (found[0][0], found[2][1], found[-1][1]) == (path[0], path[1], path[-1])
    assert list(legs._pieces([Pose(0, 0, 0), Pose(0.9, 0, 0.009)])) == []


def test_where_a_way_meets_the_next_floor_is_where_it_crosses_into_it() -> None:
    a = like(poses=(Pose(0, 0), Pose(100, 0), Pose(200, 50)))
    b = like(poses=(Pose(200, 50), Pose(300, 100)), room=like(outline=box(183, -500, 900, 500)))
    assert floorline._where_met(a, b) == pytest.approx((183, 41.5), abs=0.01)


@pytest.mark.parametrize(("point", "place"), [
    ((100.0, 50.0), (100, 0)), ((-50.0, 0.0), (0, 0)), ((330.0, 333.0), (300, 325)),
    ((0.0, 900.0), (300, 400)),
])  # fmt: skip
def test_nearest_on_a_path_is_told_to_25_mm(point: Point, place: Point) -> None:
    path = [Pose(0, 0, 0), Pose(300, 0, 0), Pose(300, 400, 90)]
    found = meanwhile.nearest_on(path, point)
    assert math.dist(found[:2], place) <= 12.6
    line = shapely.LineString([p[:2] for p in path])
    assert math.dist(found[:2], point) <= line.distance(shapely.Point(point)) + 12.6
    assert meanwhile.nearest_on(path[:1], point) == path[0]


def test_goal_turns_are_the_one_asked_for_or_along_the_places_sides() -> None:
    spot = zone("spot", (0, 0), (2000, 1000), turn=30)
    assert goal.goal_turns(spot, -90.0) == [270]
    assert goal.goal_turns(spot, None) == [30, 210, 120, 300]
    drawn = like(size_mm=None, frame=Pose(0, 0, 7), outline=((0, 0), (300, 0), (300, 900), (0, 800)))
    assert goal.goal_turns(drawn, None) == [90, 270, 180, 0]


def test_spots_well_apart_come_in_line_first_and_then_from_the_edges_inwards() -> None:
    places = shapely.box(0, 0, 400, 200)
    n = goal.GRID + 1
    plain = list(goal._apart(places, None))
    assert len(plain) == n * n and set(plain[:4]) == {(0, 0), (400, 0), (0, 200), (400, 200)}
    far = [math.dist(p, (200, 100)) for p in plain]
    assert far == sorted(far, reverse=True)
    straight = list(goal._apart(places, (150.0, 60.0)))[: 2 * n]
    assert all(p[0] == 150 or p[1] == 60 for p in straight)
    away = [math.dist(p, (150, 60)) for p in straight]
    assert away == sorted(away)


def test_a_pose_in_a_place_is_told_to_a_tenth_of_a_millimetre_in_its_own_frame() -> None:
    bench = zone("bench", (1000, 500), (2000, 700), kind="bench", turn=90, levels=[Level("top", 900)])
    at = where.where_at(bench, "", Pose(900.04, 700.06, 90.0004))
    assert (at.zone, at.level, at.x_mm, at.y_mm, at.turn_deg) == ("bench", "top", 200.1, 100.0, 0.0)
    assert where.where_at(bench, "low", Pose(0, 0)).level == "low"


# --- edges that wheels cross ------------------------------------------------------------------------------


def test_wheels_that_cross_a_side_take_their_tracks_and_the_sharpest_angle() -> None:
    a, b = (0.0, 0.0), (2000.0, 0.0)
    steps = [
        (
            0.0,
            [((500.0, -100.0), (500.0, 100.0)), ((1000.0, -100.0), (1200.0, 100.0))],
        ),  # square, and at 45 deg
        (
            0.0,
            [((500.0, 100.0), (500.0, 300.0)), ((2500.0, -50.0), (2500.0, 50.0))],
        ),  # off it; beyond its end
    ]
    side = ramps._crossed(a, b, steps, 100.0, 40.0)
    assert side is not None and side.ends == (a, b)
    assert side.angle_deg == pytest.approx(45)
    assert side.tracks == (pytest.approx((460, 540)), pytest.approx((960, 2540)))
    assert ramps._crossed(a, b, steps[1:], 100.0, 40.0) is None
    assert ramps._crossed(a, b, [(0.0, [((2030.0, -9.0), (2030.0, 9.0))])], 9.0, 40.0) is not None


@pytest.mark.parametrize(("ends", "places"), [
    ((0, -50, 100, 150), [25, 75]), ((0, 150, 100, -50), [75, 25]), ((0, 20, 100, 20), [0, 0, 100]),
    ((0, -50, 100, -1), []), ((0, 101, 100, 150), []), ((0, 0, 100, 100), [0, 100]),
    ((0, 50, 100, 60), [0, 100]),
])  # fmt: skip
def test_where_a_stretch_lies_before_a_side(ends: Any, places: list[float]) -> None:
    found = list(ramps._within(*map(float, ends), 100.0))
    assert sorted(set(found)) == pytest.approx(sorted(set(places)))


# --- plates -----------------------------------------------------------------------------------------------


def test_a_piece_is_told_from_the_nearer_end_of_its_line() -> None:
    line, outline = ((0.0, 0.0), (1000.0, 0.0)), box(0, 0, 1, 1)

    def told(from_mm: float, to_mm: float, length: float | None = None) -> tuple[Any, ...]:
        piece = plates.piece_beside(line, outline, from_mm, to_mm, length)
        return piece.corner, piece.near_mm, piece.far_mm

    assert told(100, 400) == ((0, 0), 100, 400)
    assert told(250, 750) == ((0, 0), 250, 750)
    assert told(600, 900) == ((1000, 0), 100, 400)
    assert told(600, 900, 2000.0) == ((0, 0), 600, 900)


def test_plates_side_by_side_lie_as_near_the_middle_of_their_tracks_as_there_is_room() -> None:
    """Against trying every millimetre: where any fit, those told fit too, and each carries its tracks."""
    luck = random.Random(2)
    fits = 0
    for _ in range(60):
        width, wall = luck.randint(8, 20), luck.randint(30, 50)
        cut = sorted(luck.sample(range(wall), 4))
        carried = [(cut[0], cut[1]), (cut[2], cut[3])]
        found = plates._side_by_side(carried, width, (0, wall))
        can = [
            (p, q) for p in range(wall - width + 1) for q in range(p + width, wall - width + 1)
            if all(s <= a and b <= s + width for s, (a, b) in zip((p, q), carried, strict=True))
        ]  # fmt: skip
        assert (found is not None) is bool(can) or found is not None
        if found is not None and can:
            fits += 1
            for s, (a, b) in zip(found, carried, strict=True):
                assert s <= a and b <= s + width and 0 <= s <= wall - width
            assert found[1] >= found[0] + width
            middle = [(a + b - width) / 2 for a, b in carried]
            off = sum(abs(s - m) for s, m in zip(found, middle, strict=True))
            assert off <= min(sum(abs(s - m) for s, m in zip(c, middle, strict=True)) for c in can) + 1
    assert fits > 5


def test_which_way_a_wheel_goes_and_how_plates_lie_square_to_a_cover() -> None:
    runs = ([(0, 0), (9, 5)], [(0, 0), (-3, 7)], [(2, 2), (2, 2)])
    assert [plates._goes(run) for run in runs] == [0, 1, 0]
    assert plates._lies(box(0, 0, 900, 500)) == [0]
    assert plates._lies(placed(box(0, 0, 900, 500), Pose(0, 0, 100))) == [10]
    assert plates._lies(((0, 0), (900, 0), (600, 300))) == [0, pytest.approx(26.565), 45]


def test_wheels_take_across_plates_what_they_do_from_end_to_end_of_them() -> None:
    run = [(float(x), 100.0 + x / 10) for x in range(0, 1001, 10)]
    drifts = plates._drifts([run], ((400.0, 0.0), (600.0, 900.0)), 0, (300.0, 700.0), 20.0)
    assert drifts == [(130 - 20, 170 + 20)]
    aside = [(float(x), 950.0) for x in range(0, 1001, 10)]
    assert plates._drifts([aside], ((400.0, 0.0), (600.0, 900.0)), 0, (300.0, 700.0), 20.0) == []
    assert plates._drifts([aside], ((400.0, 0.0), (600.0, 900.0)), 0, (300.0, 700.0), 60.0) != []


# --- pads and lines ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("turn_deg", [0.0, 7.0, 45.0, 100.0])
def test_a_pad_turned_any_way_stays_within_what_it_may_take(turn_deg: float) -> None:
    taken = shapely.Polygon(setround.any_way((300.0, 200.0), (50.0, -70.0)))
    pad = shapely.Polygon(placed(box(-150, -100, 150, 100), Pose(50.0, -70.0, turn_deg)))
    assert taken.buffer(1e-6).covers(pad)
    round_it = shapely.Point(50, -70).buffer(math.hypot(300, 200) / 2, 64)
    assert taken.buffer(0.2).covers(round_it) and taken.area < 1.1 * round_it.area


@pytest.mark.parametrize(("x", "deep"), [(-300, 0), (-100, 150), (400, 650), (900, 1150)])
@pytest.mark.parametrize("turn_deg", [0.0, 140.0])
def test_how_far_up_a_ramp_a_pad_stands(x: float, deep: float, turn_deg: float) -> None:
    """The ramp's top is at its first corner, 1000 mm up from its foot."""
    pose = Pose(70.0, 20.0, turn_deg)
    ramp = placed(((1000.0, 0.0), (0.0, 0.0), (0.0, -500.0), (1000.0, -500.0)), pose)
    pad = placed(box(x - 250, -300, x + 250, -200), pose)
    assert bedding._in_mm(pad, ramp) == pytest.approx(deep)


@pytest.mark.parametrize(("at", "deg"), [
    ((1000.0, 0.0), 0), ((1000.0, 1000.0), 45), ((1000.0, -577.35), 30), ((0.9, 500.0), None),
    ((-10.0, 0.0), None),
])  # fmt: skip
@pytest.mark.parametrize("way_deg", [0.0, 90.0, 200.0])
def test_how_far_aside_of_the_way_a_point_lies(at: Point, deg: float | None, way_deg: float) -> None:
    (point,) = placed((at,), Pose(300.0, 400.0, way_deg))
    pull: Any = (Pose(300.0, 400.0, 0.0), math.radians(way_deg), set(), None)
    anchor: Any = like(key="ring", at_mm=point)
    found = lines._aside_deg(anchor, pull)
    assert found is None if deg is None else found == pytest.approx(deg, abs=0.01)
    assert lines._aside_deg(anchor, (pull[0], pull[1], {"ring"}, None)) is None


@pytest.mark.parametrize(("at", "point", "share", "z"), [
    (500.0, 1000.0, 0.0, 500), (500.0, 1000.0, 0.25, 1000 / 3), (1000.0, 0.0, 0.5, 2000),
    (500.0, 400.0, 1.0, math.inf), (500.0, 500.0, 1.0, -math.inf),
])  # fmt: skip
def test_how_high_a_line_is_made_fast_that_is_so_high_on_its_way(
    at: float, point: float, share: float, z: float
) -> None:
    """z (1 - u) + h u = the height there."""
    found = lines._from_mm(at, point, share)
    assert found == pytest.approx(z)
    if share < 1:
        assert found * (1 - share) + point * share == pytest.approx(at)


@pytest.mark.parametrize(("opens", "height", "hang", "clear"), [
    ("hinged", 2000.0, 1800.0, 2000), ("up-and-over", 2000.0, 1800.0, 1800),
    ("up-and-over", 1700.0, 1800.0, 1700), ("up-and-over", 2000.0, None, None),
    ("up-and-over", None, 1800.0, None), ("open", None, None, None),
])  # fmt: skip
def test_how_high_a_door_is_clear(
    opens: Any, height: float | None, hang: float | None, clear: float | None
) -> None:
    door = Door("d", "d", "a", "b", ((0, 0), (900, 0)), 900, height, opens, (), hang_mm=hang)
    assert heights.clear_height_mm(door) == clear


# --- centres of gravity -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("told", "found"), [
    ({}, []),
    ({"cg_mm": (10.0, 20.0), "cg_height_mm": 300.0}, [(10, 20, 300)]),
    ({"cg_mm": (10.0, 20.0), "height_mm": 900.0}, [(10, 20, 0), (10, 20, 900)]),
    ({"cg_mm": (10.0, 20.0), "cg_height_mm": 5.0, "cg_height_within_mm": 9.0}, [(10, 20, 0), (10, 20, 14)]),
    ({"cg_mm": (10.0, 20.0), "cg_height_mm": 300.0, "cg_within_mm": 2.0},
     [(8, 18, 300), (8, 22, 300), (12, 18, 300), (12, 22, 300)]),
    ({"cg_aside_mm": (5.0, 0.0), "cg_height_mm": 300.0}, [(195, 150, 300), (205, 150, 300)]),
])  # fmt: skip
def test_where_a_centre_of_gravity_may_be(told: dict[str, Any], found: Any) -> None:
    it = load.Load("bed", box(0, 0, 400, 300), **told)
    assert sorted((c.x_mm, c.y_mm, c.z_mm) for c in it.centres()) == found


def test_of_a_thing_nobody_told_of_it_is_anywhere_over_its_outline() -> None:
    it = load.Load("bed", ((0, 0), (400, 0), (0, 300)), cg_height_mm=100.0)
    places = {(c.x_mm, c.y_mm) for c in it.centres()}
    grid = set(itertools.product((100, 200, 300), (75, 150, 225)))
    inside = {p for p in grid if shapely.Polygon(it.outline).contains(shapely.Point(p))}
    assert {(0, 0), (400, 0), (0, 300)} <= places and inside <= places <= inside | set(it.outline) | grid


@pytest.mark.parametrize(("deg", "said"), [
    (0.0, "to the right of the plan (0 deg)"), (91.0, "up the plan (91 deg)"),
    (270.0, "down the plan (270 deg)"),
    (-170.0, "to the left of the plan (190 deg)"), (350.0, "to the right of the plan (350 deg)"),
])  # fmt: skip
def test_a_direction_is_said_by_the_plan(deg: float, said: str) -> None:
    assert force.towards_words(deg) == said


# --- plates in one run ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("alone", "run", "laid"), [
    (Verdict.NO, Verdict.YES, ["far", "run"]),  # one run over both, and the far one by itself as before
    (Verdict.NO, Verdict.NO, ["far", "run"]), (Verdict.NO, Verdict.OPEN, ["far", "run"]),
    (Verdict.ASKED, Verdict.YES, ["one", "two", "far"]), (Verdict.YES, Verdict.YES, ["one", "two", "far"]),
])  # fmt: skip
def test_plates_lie_in_one_run_only_where_that_lacks_less(
    monkeypatch: pytest.MonkeyPatch, alone: Verdict, run: Verdict, laid: list[str]
) -> None:
    def best(it: Any, parts: Any) -> Any:
        found = [name for each in parts for name in each]
        return found, run if "run" in found else alone

    monkeypatch.setattr(layouts, "bridges", lambda it: ["one", "two", "", "far"])
    monkeypatch.setattr(layouts, "_over_cover", lambda it, name: [name])
    monkeypatch.setattr(layouts, "runs_over", lambda it: [({"one", "two"}, "run")])
    monkeypatch.setattr(layouts, "_lain_over", lambda names: names)
    monkeypatch.setattr(layouts, "_best", best)
    assert layouts._of_all(like(edges=())) == laid
    monkeypatch.setattr(layouts, "runs_over", lambda it: [])
    assert layouts._of_all(like(edges=())) == ("one", "two", "far"), "nothing to choose"


def test_a_cover_that_lies_bare_is_laid_over_in_a_run_whatever_that_lacks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(layouts, "bridges", lambda it: ["one"])
    monkeypatch.setattr(layouts, "_over_cover", lambda it, name: [name])
    monkeypatch.setattr(layouts, "runs_over", lambda it: [({"one", "two"}, "run")])
    monkeypatch.setattr(layouts, "_lain_over", lambda names: names)
    monkeypatch.setattr(layouts, "_best", lambda it, parts: ([n for p in parts for n in p], Verdict.YES))
    assert layouts._of_all(like(edges=())) == ["run"]


@pytest.mark.parametrize(("long", "at"), [
    (29.0, ""), (30.0, ""), (200.0, "1 in 6.59 (8.6 deg)"), (361.0, "1 in 12 (4.8 deg)"), (362.0, ""),
])  # fmt: skip
def test_a_plate_too_short_to_lean_on_a_sill_as_a_ramp_is_said(long: float, at: str) -> None:
    # ADA Standards 405.2: not steeper than 1 in 12; 30 mm of sill need sqrt(360^2 + 30^2) = 361.2 mm
    plate: Any = Gear("plate", "plate", "plate", size_mm=(long, 20.0))
    wedge: Any = Gear("ramp", "ramp", "plate", size_mm=(200.0, 20.0), rise_mm=30.0)
    shop = like(gear={"plate": plate, "ramp": wedge})
    it = like(scene=like(shop=shop), kind="pallet truck", gear=like(gear=like(steepest=None)))
    said = f"plate, {long:g} mm long, none of it on the sill, would lie at {at}: no ramp"
    assert ramps.too_short(it, like(is_sill=True, height_mm=30.0)) == (said if at else "")
    assert ramps.too_short(it, like(is_sill=False, height_mm=30.0)) == ""
