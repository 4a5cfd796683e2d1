"""Whether the way found meets a sill square: an angle between two lines, tan a = rise / run."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from building import box

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.moves.body import body
from shopbins.moves.gear import judge_gear
from shopbins.moves.legs import legs_of
from shopbins.moves.overedges import sills
from shopbins.moves.ramps import meeting
from shopbins.moves.route import Ground, Route, Step
from shopbins.moves.situation import Situation
from shopbins.moves.tolerance import Asker, Found
from shopbins.scene.scene import build
from shopbins.shop.model import Gear
from tests.moves.weir import move, shop, shop_text


@pytest.mark.parametrize(("off", "said"), [(0.0, None), (9.9, None), (10.1, "80"), (30.0, "60")])
def test_a_sill_met_askew_is_squared_up_to(tmp_path: Path, off: float, said: str | None) -> None:
    """The wall of the doorway is upright on the plan: a way that rises `off` deg meets it at 90 less that."""
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 10"))
    plan, scene = move(desk), desk.scene()
    it = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    gear = judge_gear(scene.shop.gear["narrow truck"], it.load)
    rise = 1500.0 * math.tan(math.radians(off))
    path = (Pose(3700, 2075 - rise, off), Pose(6700, 2075 + rise, off))
    assert plan.attempt is not None and plan.attempt.route is not None
    attempt = replace(plan.attempt, found=Found("goes", 0.0, path, 15.0, path[0]), gear=gear)
    legs = legs_of(scene, path, ("a", "b"))
    zone = scene.shop.zones["far"]
    situation = Situation(scene, it, gear, zone, "", plan.attempt.route, attempt, legs)
    found = sills(situation)
    askew = [p.text for p in found if "askew" in p.subjects]
    assert askew == ([] if said is None else [f"squared up before mid, {said} deg as found"])
    ramp = Gear("r", "wedge", "ramp", size_mm=(300.0, 900.0), rise_mm=10.0, capacity_kg=3000.0)
    scene = build(replace(scene.shop, gear={**scene.shop.gear, "r": ramp}), desk.state)
    laid = replace(
        situation, scene=scene, ramps=tuple(meeting(replace(situation, scene=scene), situation.edges[0]))
    )
    (on_them,) = [p for p in sills(laid) if "askew" in p.subjects] or [None]
    assert (on_them is None) is (said is None)
    assert on_them is None or on_them.verdict is Verdict.OPEN  # they lie for the way as found, not squared up


def test_an_answer_is_kept_by_where_wheels_are_not_turned_too() -> None:
    """Else a way over a bare floor would be taken for one that meets a sill on the same floor square."""
    bare = Ground(Route(("a",), (), 0.0), (box(0, 0, 9000, 4000),), (), (), ())
    floors = bare, replace(bare, steps=(Step(box(4900, 1500, 5500, 2650), 0.0),))
    hull, start, goal = rectangle(1000, 600), Pose(1000, 2000), Pose(8000, 2000)
    asked = [Asker(it, hull, start, goal, 0.0).asked((), 0.0) for it in floors]
    assert asked[0] != asked[1]
