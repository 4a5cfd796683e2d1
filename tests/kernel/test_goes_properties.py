"""What must hold whatever the scene: moved or mirrored it is the same; more in the way never helps.

`tests/bench/fuzz_floor.py` asks the same of as many scenes as one has hours for.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from functools import cache

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


@cache
def answered(seed: int) -> tuple[Scene, str] | None:
    """Return a random scene and what is said of it as it is: each relation is held against that."""
    scene = random_scene(seed)
    return None if scene is None else (scene, goes(*scene).answer)


def answers(blocks: Iterable[int]) -> list[tuple[Scene, str]]:
    seeds = (seed for block in blocks for seed in range(5000 + 10 * block, 5010 + 10 * block))
    return [each for each in map(answered, seeds) if each is not None]


@pytest.mark.parametrize("block", range(4))
def test_turned_shifted_and_mirrored_it_is_the_same(block: int) -> None:
    rng = random.Random(block)
    for scene, plain in answers([block]):
        by = Pose(rng.uniform(-2e4, 2e4), rng.uniform(-2e4, 2e4), rng.uniform(0, 360))
        told = {plain, goes(*laid(scene, by)).answer, goes(*mirrored(scene)).answer}
        assert len(told) == 1 or not told <= set(CERTAIN), (scene, told)
        assert len(told & set(CERTAIN)) <= 1, (scene, told)


@pytest.mark.parametrize("block", range(4))
def test_one_thing_more_never_opens_and_one_less_never_shuts(block: int) -> None:
    rng = random.Random(100 + block)
    for (room, holes, things, body, start, goal), plain in answers([block]):
        planner = Planner(room, holes, body)
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
    for (room, holes, things, body, start, goal), _ in answers([0]):
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
    gone = [scene for scene, plain in answers(range(4)) if plain == GOES]
    assert len(gone) > 5
    for room, holes, things, body, start, goal in gone:
        small = tuple((0.9 * x, 0.9 * y) for x, y in body)
        assert goes(room, holes, things, small, start, goal).answer == GOES


def test_there_and_back_again() -> None:
    for (room, holes, things, body, start, goal), there in answers(range(4)):
        back = goes(room, holes, things, body, goal, start).answer
        assert there == back or not {there, back} <= set(CERTAIN)
