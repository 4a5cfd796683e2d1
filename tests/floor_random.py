"""Random small floors for tests: a room with a gap in a wall across it, things, and ends."""

from __future__ import annotations

import random

from shopbins.geometry.shapes import FloorProblem, Outline, Pose, placed, rectangle
from shopbins.kernel.planner import Planner

Scene = tuple[Outline, list[Outline], list[Outline], Outline, Pose, Pose]


def random_scene(seed: int) -> Scene | None:
    """Return a room with a gap in a wall across it, things, and ends; None where an end is shut."""
    rng = random.Random(seed)
    room: Outline = ((0.0, 0.0), (5000.0, 0.0), (5000.0, 3600.0), (0.0, 3600.0))
    gap = rng.uniform(380, 800)
    low = rng.uniform(300, 3600 - gap - 300)
    x = rng.uniform(2200, 2700)
    holes: list[Outline] = [
        ((x, 0.0), (x + 120, 0.0), (x + 120, low), (x, low)),
        ((x, low + gap), (x + 120, low + gap), (x + 120, 3600.0), (x, 3600.0)),
    ]
    things = []
    for _ in range(rng.randint(1, 7)):
        shape = rectangle(rng.uniform(150, 800), rng.uniform(100, 500))
        if rng.random() < 0.3:
            shape = tuple(shape[i] for i in range(3))
        at = Pose(rng.uniform(0, 5000), rng.uniform(0, 3600), rng.choice((0.0, 90.0, rng.uniform(0, 180))))
        things.append(placed(shape, at))
    body = rectangle(rng.uniform(500, 1300), rng.uniform(350, 800))
    if rng.random() < 0.25:
        body = ((-300.0, -250.0), (500.0, -200.0), (350.0, 300.0), (-250.0, 260.0))
    start = Pose(rng.uniform(700, 1400), rng.uniform(700, 2900), rng.choice((0.0, 90.0, rng.uniform(0, 360))))
    goal = Pose(rng.uniform(3500, 4300), rng.uniform(700, 2900), rng.choice((0.0, 90.0, rng.uniform(0, 360))))
    try:
        Planner(room, holes, body).goes(things, start, goal, time_limit_s=0)
    except FloorProblem:
        return None
    return room, holes, things, body, start, goal
