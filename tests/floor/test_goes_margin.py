"""The clearance a body can keep: half of known gaps (arithmetic), and what the path shown keeps."""

from __future__ import annotations

import pytest
from floor_checker import World, path_problem
from floor_random import random_scene

from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.kernel.goes import DOES_NOT_GO, GOES, Planner
from shopbins.kernel.goes_margin import margin


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


@pytest.mark.parametrize("turn_deg", [0.0, 33.0])
@pytest.mark.parametrize("spare_mm", [4.0, 50.0, 130.0])
def test_half_of_what_a_door_leaves(spare_mm: float, turn_deg: float) -> None:
    by = Pose(0, 0, turn_deg)
    rooms = [box(0, 0, 4000, 4000), box(4150, 0, 8150, 4000), box(3999, 1500, 4151, 2400)]
    ends = placed([(1500.0, 2000.0), (6600.0, 2000.0)], by)
    planner = Planner([placed(r, by) for r in rooms], [], rectangle(1400, 900 - spare_mm))
    found = margin(planner, [], Pose(*ends[0], turn_deg), Pose(*ends[1], turn_deg), within_mm=0.5)
    assert (
        found.answer.answer == GOES and found.at_most_mm is not None and found.answer.clearance_mm is not None
    )
    assert found.at_least_mm - 1e-6 <= spare_mm / 2 <= found.at_most_mm + 1e-6
    assert found.at_most_mm - found.at_least_mm <= 0.5
    assert found.answer.clearance_mm >= found.at_least_mm - 0.05 * spare_mm


def test_wide_open_is_said_as_at_least() -> None:
    planner = Planner(box(0, 0, 9000, 9000), [], rectangle(1000, 500))
    found = margin(planner, [], Pose(2000, 2000), Pose(7000, 7000, 90), up_to_mm=300)
    assert found.at_most_mm is None and found.at_least_mm >= 300


def test_what_does_not_go_has_no_margin() -> None:
    planner = Planner([box(0, 0, 900, 900), box(1000, 0, 1900, 900)], [], rectangle(300, 200))
    found = margin(planner, [], Pose(450, 450), Pose(1450, 450))
    assert (found.answer.answer, found.at_least_mm, found.at_most_mm) == (DOES_NOT_GO, 0.0, 0.0)


def test_the_roomiest_path_keeps_what_it_claims() -> None:
    checked = 0
    for seed in range(12000, 12040):
        scene = random_scene(seed)
        if scene is None:
            continue
        room, holes, things, body, start, goal = scene
        found = margin(Planner(room, holes, body), things, start, goal, within_mm=4.0)
        if found.answer.answer != GOES:
            continue
        path = [(p.x_mm, p.y_mm, p.turn_deg) for p in found.answer.path]
        assert (
            found.answer.clearance_mm is not None
            and found.answer.clearance_mm >= found.at_least_mm * 0.97 - 0.01
        )
        assert path_problem(World([room], holes, things, body), path, found.answer.clearance_mm) is None
        checked += 1
    assert checked >= 5
