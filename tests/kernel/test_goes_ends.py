"""From and to where a body touches: judged by moving the outlines here, not by the program's own checker."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
import shapely
from shapely import affinity

from shopbins.cli.fits.scene import answer_scene as answer

HALL = [[0, 0], [6000, 0], [6000, 3000], [0, 3000]]


def scene(**more: Any) -> dict[str, Any]:
    return {
        "question": "goes",
        "outline_mm": HALL,
        "holes_mm": [],
        "body": {"length_mm": 800, "width_mm": 600},
        "start": pose(400, 300),
        "goal": pose(5000, 1500),
        **more,
    }


def pose(x: float, y: float, turn: float = 0.0) -> dict[str, float]:
    return {"x_mm": x, "y_mm": y, "turn_deg": turn}


def turned(point: list[float], by_deg: float, mirror: bool) -> list[float]:
    x, y = -point[0] if mirror else point[0], point[1]
    c, s = math.cos(math.radians(by_deg)), math.sin(math.radians(by_deg))
    return [c * x - s * y + 700, s * x + c * y - 300]


def deepest_mm2(it: dict[str, Any], path: list[dict[str, float]]) -> float:
    """The largest area of the body off the free floor anywhere on a path, looked at every few millimetres."""
    floor = shapely.Polygon(it["outline_mm"], it["holes_mm"])
    floor = floor.difference(
        shapely.unary_union([shapely.Polygon(t["outline_mm"]) for t in it.get("things", [])])
    )
    length, width = it["body"]["length_mm"], it["body"]["width_mm"]
    body = shapely.box(-length / 2, -width / 2, length / 2, width / 2)
    worst = 0.0
    for a, b in itertools.pairwise(path):
        far = math.hypot(b["x_mm"] - a["x_mm"], b["y_mm"] - a["y_mm"]) + 10 * abs(
            b["turn_deg"] - a["turn_deg"]
        )
        steps = max(2, int(far / 5))
        for k in range(steps + 1):
            at = {key: a[key] + (b[key] - a[key]) * k / steps for key in a}
            there = affinity.translate(affinity.rotate(body, at["turn_deg"], (0, 0)), at["x_mm"], at["y_mm"])
            worst = max(worst, there.difference(floor).area)
    return worst


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 17.3])
@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize(
    "ends",
    [
        {},
        {"goal": pose(5600, 2700)},
        {"start": pose(300, 1500, 90)},
        {"start": pose(1000, 300), "things": [{"outline_mm": [[400, 0], [600, 0], [600, 900], [400, 900]]}]},
    ],
)
def test_a_body_that_stands_at_a_wall_leaves_it(ends: dict[str, Any], mirror: bool, turn_deg: float) -> None:
    it = scene(**ends)
    it["outline_mm"] = [turned(p, turn_deg, mirror) for p in HALL]
    for thing in it.get("things", []):
        thing = thing["outline_mm"]
    if "things" in it:
        it["things"] = [
            {"outline_mm": [turned(p, turn_deg, mirror) for p in t["outline_mm"]]} for t in it["things"]
        ]
    for end in ("start", "goal"):
        was = it[end]
        x, y = turned([was["x_mm"], was["y_mm"]], turn_deg, mirror)
        it[end] = pose(x, y, turn_deg + (-was["turn_deg"] if mirror else was["turn_deg"]))
    told = answer(it)
    assert told["answer"] == "goes"
    assert told["clearance_mm"] == 0.0
    path = told["path"]
    assert (path[0]["x_mm"], path[0]["y_mm"]) == (it["start"]["x_mm"], it["start"]["y_mm"])
    assert (path[-1]["x_mm"], path[-1]["y_mm"]) == (it["goal"]["x_mm"], it["goal"]["y_mm"])
    assert (path[-1]["turn_deg"] - it["goal"]["turn_deg"]) % 180 == pytest.approx(0, abs=1e-6)
    assert deepest_mm2(it, path) < 1e-3


# Between the wall and a thing 800 mm from it stands a body 800 mm long: it touches all along its way out.
def test_touching_all_along_is_still_not_certain() -> None:
    thing = {"outline_mm": [[800, 0], [1000, 0], [1000, 600], [800, 600]]}
    assert answer(scene(things=[thing]))["answer"] == "too close to call"


# A wall shuts the hall off but for a gap of 599 mm, at the side where the body stands against it.
def test_a_wall_that_is_touched_is_not_gone_through() -> None:
    shut = [[800, 0], [900, 0], [900, 2401], [800, 2401]]
    assert answer(scene(things=[{"outline_mm": shut}]))["answer"] == "does not go"


# Half a millimetre into the wall is no touching.
def test_what_stands_in_a_wall_is_a_problem() -> None:
    assert "overlaps" in answer(scene(start=pose(399.5, 300)))["problem"]


# Two crates shut the hall, one above the other: the cheaper is the least to shift, from a corner too.
def test_the_least_to_shift_from_where_it_touches() -> None:
    crates = [
        {"outline_mm": [[2900, 0], [3100, 0], [3100, 1500], [2900, 1500]], "cost": 5},
        {"outline_mm": [[2900, 1500], [3100, 1500], [3100, 3000], [2900, 3000]], "cost": 3},
    ]
    it = scene(question="shift", things=crates, goal=pose(5600, 2700))
    told = answer(it)
    assert (told["cost"], told["cost_at_least"], told["shift"]) == (3, 3, [1])
    assert (told["path"][0]["x_mm"], told["path"][0]["y_mm"]) == (400, 300)
    assert (told["path"][-1]["x_mm"], told["path"][-1]["y_mm"]) == (5600, 2700)
    assert deepest_mm2({**it, "things": crates[:1]}, told["path"]) < 1e-3


# Nothing to shift and nothing certain: no warning of the number crunching reaches anybody.
@pytest.mark.filterwarnings("error")
def test_nothing_to_shift_where_it_touches_all_along() -> None:
    it = scene(question="shift", things=[])
    it["holes_mm"] = [[[800, 0], [1000, 0], [1000, 600], [800, 600]]]
    assert answer(it)["answer"] == "not decided"
