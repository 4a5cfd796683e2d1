"""Every answer of `goes` on random floors, held against a checker that shares no code with the planner."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from bench.floor_scenes import strewn
from floor_checker import World, certificate_problem, path_problem
from floor_random import Scene, random_scene

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, Answer
from shopbins.kernel.goes_check import Grown
from shopbins.kernel.planner import Planner


def answer_problem(scene: Scene, answer: Answer) -> str | None:
    """Return what the checker holds against an answer."""
    room, holes, things, body, start, goal = scene
    world = World([room], holes, things, body)
    planner = Planner(room, holes, body)
    if answer.answer == GOES:
        path = [(p.x_mm, p.y_mm, p.turn_deg) for p in answer.path]
        if answer.path[0] != start:
            return "the path does not begin at the start"
        end = answer.path[-1]
        turned = (end.turn_deg - goal.turn_deg) / planner.period_deg
        if (end.x_mm, end.y_mm) != (goal.x_mm, goal.y_mm) or abs(turned - round(turned)) > 1e-9:
            return "the path does not end at the goal"
        assert answer.clearance_mm is not None
        return path_problem(world, path, answer.clearance_mm)
    if answer.answer == DOES_NOT_GO:
        assert answer.certificate is not None
        cx, cy = answer.certificate.centre_mm
        world = World([room], holes, things, [(x - cx, y - cy) for x, y in body])
        regions = [(r.from_deg, r.to_deg, r.outline, r.holes) for r in answer.certificate.regions()]
        ends = [centre(p, cx, cy) for p in (start, goal)]
        return certificate_problem(world, regions, ends[0], ends[1], planner.period_deg)
    return None if answer.answer == "too close to call" else answer.reason


def centre(pose: Pose, cx: float, cy: float) -> tuple[float, float, float]:
    """Return a pose of the body's centre."""
    c, s = math.cos(math.radians(pose.turn_deg)), math.sin(math.radians(pose.turn_deg))
    return pose.x_mm + cx * c - cy * s, pose.y_mm + cx * s + cy * c, pose.turn_deg


@pytest.mark.parametrize("block", range(3))
def test_random_floors_hold_against_the_checker(block: int) -> None:
    answers: dict[str, int] = {}
    for seed in range(block * 40, block * 40 + 40):
        scene = random_scene(seed)
        if scene is None:
            continue
        answer = goes(*scene)
        answers[answer.answer] = answers.get(answer.answer, 0) + 1
        assert answer_problem(scene, answer) is None, (seed, answer.answer, answer_problem(scene, answer))
    assert answers.get(GOES, 0) >= 3 and answers.get(DOES_NOT_GO, 0) >= 3, answers


@pytest.mark.parametrize(
    ("rooms", "count", "aisle_mm"), [(2, 60, 1000.0), (2, 60, 0.0), (4, 120, 900.0), (4, 120, 0.0)]
)
def test_shops_hold_against_the_checker(rooms: int, count: int, aisle_mm: float) -> None:
    for seed in (1, 2):
        s = strewn(rooms, count, seed, aisle_mm)
        answer = Planner(s.floor, [], s.body).goes(s.things, s.start, s.goal)
        world = World(s.floor, [], s.things, s.body)
        if answer.answer == GOES:
            assert answer.clearance_mm is not None
            assert (
                path_problem(world, [(p.x_mm, p.y_mm, p.turn_deg) for p in answer.path], answer.clearance_mm)
                is None
            )
        else:
            assert answer.answer == DOES_NOT_GO and answer.certificate is not None
            regions = [(r.from_deg, r.to_deg, r.outline, r.holes) for r in answer.certificate.regions()]
            ends = [(p.x_mm, p.y_mm, p.turn_deg) for p in (s.start, s.goal)]
            assert certificate_problem(world, regions, ends[0], ends[1], 180.0, 30) is None


def test_the_checker_catches_what_is_wrong() -> None:
    room = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 1000.0), (0.0, 1000.0))
    world = World(
        [room],
        [],
        [((1400.0, 400.0), (1600.0, 400.0), (1600.0, 600.0), (1400.0, 600.0))],
        rectangle(300, 200),
    )
    straight = [(300.0, 500.0, 0.0), (2700.0, 500.0, 0.0)]
    assert path_problem(world, straight, 0.0) is not None
    under = [(300.0, 500.0, 0.0), (300.0, 200.0, 0.0), (2700.0, 200.0, 0.0), (2700.0, 500.0, 0.0)]
    assert path_problem(world, under, 99.9) is None
    assert path_problem(world, under, 100.1) is not None
    half = [(0.0, 180.0, ((150.0, 100.0), (1250.0, 100.0), (1250.0, 900.0), (150.0, 900.0)), [])]
    assert certificate_problem(world, half, (300.0, 500.0, 0.0), (2700.0, 500.0, 0.0), 180.0) is not None


def test_what_is_left_uncovered_of_lines_is_all_of_it() -> None:
    """Length by length against the library's difference with the grown lines."""
    rng = np.random.default_rng(7)
    lines = rng.uniform(0, 4000, (25, 2, 2))
    shape = minkowski.turn(minkowski.corners_of(rectangle(500, 300)), 20.0)
    queries = np.concatenate((rng.uniform(-500, 4500, (200, 2, 2)), lines[:5]))
    points, lengths = Grown(lines, [shape]).uncovered(queries)
    grown = shapely.union_all(
        [shapely.convex_hull(shapely.multipoints((line[:, None] - shape).reshape(-1, 2))) for line in lines]
    )
    assert not shapely.intersects_xy(shapely.buffer(grown, -0.01), *points.T).any()
    bare = sum(shapely.difference(shapely.linestrings(q), grown).length for q in queries)
    assert lengths.sum() == pytest.approx(bare, abs=0.01) and bare > 1e5
