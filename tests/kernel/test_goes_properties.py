"""What must hold whatever the scene: moved or mirrored it is the same; more in the way never helps."""

from __future__ import annotations

import random

import pytest
from floor_random import Scene, random_scene

from shopbins.geometry.shapes import FloorProblem, Outline, Pose, placed, rectangle, turned
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES
from shopbins.kernel.planner import Planner

CERTAIN = (GOES, DOES_NOT_GO)


def laid(scene: Scene, by: Pose) -> Scene:
    """Return the whole scene turned and shifted."""
    room, holes, things, body, start, goal = scene
    ends = []
    for p in (start, goal):
        ((x, y),) = turned([(p.x_mm, p.y_mm)], by.turn_deg)
        ends.append(Pose(x + by.x_mm, y + by.y_mm, p.turn_deg + by.turn_deg))
    put = [[placed(o, by) for o in outlines] for outlines in (holes, things)]
    return placed(room, by), put[0], put[1], body, ends[0], ends[1]


def mirrored(scene: Scene) -> Scene:
    """Return the scene seen in a mirror along y: outlines run the other way, turns change sign."""
    room, holes, things, body, start, goal = scene

    def flip(outline: Outline) -> Outline:
        return tuple((-x, y) for x, y in outline)[::-1]

    # the body's own x axis is kept pointing along its mirrored self
    other = tuple((x, -y) for x, y in body)[::-1]
    ends = [Pose(-p.x_mm, p.y_mm, 180.0 - p.turn_deg) for p in (start, goal)]
    return flip(room), [flip(h) for h in holes], [flip(t) for t in things], other, ends[0], ends[1]


def scenes(first: int, count: int) -> list[Scene]:
    return [s for s in (random_scene(seed) for seed in range(first, first + count)) if s is not None]


@pytest.mark.parametrize("block", range(4))
def test_turned_shifted_and_mirrored_it_is_the_same(block: int) -> None:
    rng = random.Random(block)
    for scene in scenes(5000 + 30 * block, 30):
        plain = goes(*scene).answer
        by = Pose(rng.uniform(-2e4, 2e4), rng.uniform(-2e4, 2e4), rng.uniform(0, 360))
        answers = {plain, goes(*laid(scene, by)).answer, goes(*mirrored(scene)).answer}
        assert len(answers) == 1 or not answers <= set(CERTAIN), (scene, answers)
        assert len(answers & set(CERTAIN)) <= 1, (scene, answers)


@pytest.mark.parametrize("block", range(4))
def test_one_thing_more_never_opens_and_one_less_never_shuts(block: int) -> None:
    rng = random.Random(100 + block)
    for scene in scenes(6000 + 30 * block, 30):
        room, holes, things, body, start, goal = scene
        planner = Planner(room, holes, body)
        plain = planner.goes(things, start, goal).answer
        at = Pose(rng.uniform(1500, 3500), rng.uniform(0, 3600), rng.uniform(0, 180))
        extra = placed(rectangle(rng.uniform(100, 700), rng.uniform(100, 500)), at)
        try:
            more = planner.goes([*things, extra], start, goal).answer
        except FloorProblem:
            more = DOES_NOT_GO
        assert not (plain == DOES_NOT_GO and more == GOES)
        less = planner.goes(things[1:], start, goal).answer
        assert not (plain == GOES and less == DOES_NOT_GO)


def test_a_planner_that_remembers_answers_as_a_fresh_one() -> None:
    rng = random.Random(9)
    for scene in scenes(7000, 20):
        room, holes, things, body, start, goal = scene
        planner = Planner(room, holes, body)
        for _ in range(3):
            if things and rng.random() < 0.8:
                i = rng.randrange(len(things))
                dx, dy = rng.uniform(-200, 200), rng.uniform(-200, 200)
                things = [*things[:i], tuple((x + dx, y + dy) for x, y in things[i]), *things[i + 1 :]]
            try:
                kept = planner.goes(things, start, goal).answer
            except FloorProblem:
                continue
            assert kept == goes(room, holes, things, body, start, goal).answer


def test_a_smaller_body_goes_where_a_larger_one_does() -> None:
    for scene in scenes(8000, 30):
        room, holes, things, body, start, goal = scene
        if goes(*scene).answer == GOES:
            small = tuple((0.9 * x, 0.9 * y) for x, y in body)
            assert goes(room, holes, things, small, start, goal).answer == GOES


def test_there_and_back_again() -> None:
    for scene in scenes(9000, 30):
        room, holes, things, body, start, goal = scene
        there, back = goes(*scene).answer, goes(room, holes, things, body, goal, start).answer
        assert there == back or not {there, back} <= set(CERTAIN)
