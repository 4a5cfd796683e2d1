"""A place for each shifted thing: off the way, clear of all else, reachable one after the other."""

from __future__ import annotations

import itertools

import shapely
from bench.floor_scenes import strewn
from floor_checker import World, path_problem

from shopbins.geometry.shapes import Outline, Pose, centroid, rectangle
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import GOES
from shopbins.kernel.shift import least_shift
from shopbins.kernel.shift_places import place_shifted
from shopbins.kernel.swept import swept


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def test_a_shop_is_cleared_and_the_body_then_goes() -> None:
    for seed in (1, 4):
        s = strewn(2, 30, seed, 0.0)
        found = least_shift(s.floor, [], s.things, s.body, s.start, s.goal, s.masses_kg)
        if not found.shift:
            continue
        places = place_shifted(s.floor, [], s.things, s.body, found.path, found.shift)
        now = list(s.things)
        for move in places.moves:
            others = [t for i, t in enumerate(now) if i != move.thing]
            cx, cy = centroid(now[move.thing])
            own = [(x - cx, y - cy) for x, y in now[move.thing]]
            (body_at_start,) = World(s.floor, [], [], s.body).at(
                (s.start.x_mm, s.start.y_mm, s.start.turn_deg)
            )
            blocked = [*others, list(body_at_start.exterior.coords)[:-1]]
            path = [(p.x_mm, p.y_mm, p.turn_deg) for p in move.path]
            assert path_problem(World(s.floor, [], blocked, own), path, 0.0) is None
            now[move.thing] = move.outline
        if not places.no_place:
            path = [(p.x_mm, p.y_mm, p.turn_deg) for p in found.path]
            assert path_problem(World(s.floor, [], now, s.body), path, 0.0) is None
            assert goes(s.floor, [], now, s.body, s.start, s.goal).answer == GOES


def test_one_thing_in_a_passage_steps_into_a_niche() -> None:
    floor = [box(0, 0, 6000, 1000), box(3000, 999, 3800, 1700)]
    things = [box(2800, 300, 3300, 700)]
    body = rectangle(1200, 800)
    found = least_shift(floor, [], things, body, Pose(800, 500), Pose(5200, 500))
    assert found.shift == (0,)
    places = place_shifted(floor, [], things, body, found.path, found.shift)
    (move,) = places.moves
    assert not places.no_place and min(y for _, y in move.outline) >= 900 + 10
    assert goes(floor, [], [move.outline], body, Pose(800, 500), Pose(5200, 500)).answer == GOES


def test_what_has_no_place_is_named() -> None:
    floor, things, body = box(0, 0, 6000, 1000), [box(2800, 300, 3300, 700)], rectangle(1200, 800)
    found = least_shift(floor, [], things, body, Pose(800, 500), Pose(5200, 500))
    places = place_shifted(floor, [], things, body, found.path, found.shift or ())
    assert places.moves == () or goes(
        floor, [], [places.moves[0].outline], body, Pose(800, 500), Pose(5200, 500)
    )
    niche = [box(0, 0, 6000, 1000), box(3000, 999, 3800, 1700)]
    kept = place_shifted(niche, [], things, body, found.path, (0,), keep_clear=[box(0, 0, 6000, 2000)])
    assert kept.moves == () and kept.no_place == ((0, "no place is big enough"),)


def test_a_thing_behind_another_waits_for_it() -> None:
    # a dead end: the rear thing cannot leave before the front one has
    floor = [box(0, 0, 6000, 1000), box(2400, 999, 3000, 2600), box(0, 2599, 6000, 4000)]
    things = [box(2500, 1300, 2900, 1600), box(2500, 1700, 2900, 2000)]
    body = rectangle(900, 500)
    start, goal = Pose(1000, 500, 90), Pose(2700, 3300, 90)
    found = least_shift(floor, [], things, body, start, goal)
    assert found.shift is not None and set(found.shift) == {0, 1}
    places = place_shifted(floor, [], things, body, found.path, found.shift, turns_deg=(0.0,))
    assert len(places.moves) == 2, places.no_place


def test_the_swept_area_holds_the_body() -> None:
    body = rectangle(1400, 300)
    path = [Pose(0, 0, 0), Pose(500, 200, 75), Pose(900, -100, 20)]
    area = shapely.buffer(swept(body, path), 1e-6)
    world = World([box(-5000, -5000, 5000, 5000)], [], [], body)
    for a, b in itertools.pairwise(path):
        ends = list(zip((a.x_mm, a.y_mm, a.turn_deg), (b.x_mm, b.y_mm, b.turn_deg), strict=True))
        poses = [tuple(p + (q - p) * k / 100 for p, q in ends) for k in range(101)]
        assert shapely.contains(area, world.at(*poses)).all()
