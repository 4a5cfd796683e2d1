"""Each point that a line of the way hangs on is a condition; each figure accepted is the worst of its legs.

No way is looked for here: the legs are told, as a search would find them.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from shopbins.geometry.shapes import Pose
from shopbins.ledger.model import Mass
from shopbins.moves.body import body
from shopbins.moves.finding import row_of
from shopbins.moves.gear import judge_gear
from shopbins.moves.legs import Leg, legs_of
from shopbins.moves.pushing import forces
from shopbins.moves.running import runs_away
from shopbins.moves.situation import Situation
from shopbins.moves.stages import hitches, lacking, points_lacking, stages
from tests.moves.weir import TRUCK, B, shop, shop_text

DRUM = "{kind: winch, capacity: 1 t}"
HEAVY = Mass(2200)
RIGHT = "anchors: {ring: {at: [4900, 800], height: 300, load: 30 kN}}"


def on_a_way(
    folder: Path, path: tuple[Pose, ...], *, a: str = B, gear: dict[str, str] | None = None, mid: str = ""
) -> Situation:
    """A press of 2.2 t on a truck of 70 kg in a room of 5 m by 4 m, on a way told."""
    told = gear or {"narrow truck": TRUCK, "drum": DRUM}
    desk = shop(folder, shop_text(a=a, mid=mid or "height: 2.2 m, threshold: 0", gear=told), mass=HEAVY)
    scene = desk.scene()
    it = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    truck = judge_gear(scene.shop.gear["narrow truck"], it.load)
    return Situation(scene, it, truck, scene.shop.zones["far"], "", None, None, legs_of(scene, path, ("a",)))


DOWN, LEFT, UP = (
    (Pose(4000, 3500, 270), Pose(4000, 800, 270)),
    (Pose(4000, 800, 180), Pose(1000, 800, 180)),
    (Pose(1000, 800, 90), Pose(1000, 3000, 90)),
)


def test_each_point_that_nobody_told_of_is_a_condition_of_its_own_by_the_step_that_needs_it(
    tmp_path: Path,
) -> None:
    """Down the plan, to the left, up: three walls ahead, at 4000,0, 0,800 and 1000,4000, and 2270 kg at the
    10 % of an uneven floor (HSE L23) from standing: 2.23 kN to each of them.
    """
    it = on_a_way(tmp_path, (*DOWN, *LEFT, *UP))
    pushing = [spot for part in forces(it) for spot in row_of(part).spots]
    found = list(points_lacking(it))
    assert [p.text for p in found] == ["point near 0,800 for 2.23 kN", "point near 1000,4000 for 2.23 kN"]
    assert pushing == [(4000, 0)]
    assert row_of(found[0]).finding.measured == pytest.approx(2270 * 9.81 * 0.10)
    for pull in (pull for stage in stages(it) for pull in hitches(it, stage)):
        accepted = [p for p in found if lacking(it, pull) in p.subjects]
        assert bool(accepted) is (pull.spots[0] not in pushing)


def test_what_a_point_holds_is_looked_at_where_no_other_condition_says_so(tmp_path: Path) -> None:
    """A ring in the wall on the left, of which nobody told what it holds, serves the second stretch alone."""
    ring = f"{B}, anchors: {{ring: {{at: [100, 800], height: 85}}}}"
    it = on_a_way(tmp_path, (*DOWN, *LEFT), a=ring)
    (held,) = points_lacking(it)
    assert held.text.startswith("line to ring for 2.2") and held.text.endswith(
        "what ring holds looked at first"
    )
    assert 2270 * 9.81 * 0.10 <= (row_of(held).finding.measured or 0.0) <= 2270 * 9.81 * 0.10 / math.cos(0.25)
    assert "anchor:ring" in held.subjects
    (tmp_path / "told").mkdir()
    assert not list(
        points_lacking(on_a_way(tmp_path / "told", (*DOWN, *LEFT), a=ring.replace("85", "85, load: 9 kN")))
    )


def test_no_point_is_offered_in_a_doorway(tmp_path: Path) -> None:
    """Room b ends at x 10400: from 9000,800 the way on leaves it by the door `out` (200 to 1400), from
    9000,2500 it meets the wall.
    """
    it = on_a_way(tmp_path, DOWN)
    (through,), (wall,) = (
        forces(replace(it, legs=legs_of(it.scene, (Pose(7000, y, 0), Pose(9000, y, 0)), ("b",))))
        for y in (800, 2500)
    )
    assert wall.text.endswith(", point near 10400,2500") and row_of(wall).spots == ((10400, 2500),)
    assert through.text.endswith(", no wall ahead") and not row_of(through).spots
    assert "none on the wall ahead, a block on the way" in row_of(through).finding.text


SLOPE = f"{B}, even: yes, slope: {{fall: 1 in 60, towards: 0}}"
POST = "anchors: {post: {at: [100, 2000], height: 300, load: 30 kN}}"


def test_what_holds_most_and_what_pushes_most_are_the_worst_of_all_legs(tmp_path: Path) -> None:
    """2270 kg on 1 in 60: straight down m g sin t = 371 N hold it back; nearly along the slope, 1 in 600, 2 %
    of it less m g sin t = 445 - 37 = 408 N keep it going, 10 %, 2190 N, start it.
    """
    it = on_a_way(tmp_path, (Pose(1000, 2000, 0), Pose(3000, 2000, 0)), a=f"{SLOPE}, {POST}")
    whole = 2270 * 9.81
    steep, flat = (Leg(it.legs[0].room, deg, it.legs[0].poses) for deg in (0.0, 84.26))
    assert steep.fall == pytest.approx(1 / 60) and flat.fall == pytest.approx(1 / 600, rel=0.01)
    (down,) = forces(replace(it, legs=(flat, steep)))
    assert down.text.startswith("drum: 371 N to hold it, on the line to post; ")
    assert whole * math.sin(math.atan(1 / 60)) == pytest.approx(371, abs=0.5)
    said = row_of(down).finding.text
    assert f"{steep.words} in a: hold back 371 N" in said
    assert f"{flat.words} in a: " in said and "push 408 N" in said
    assert down.text.endswith("drum: 2.19 kN to start, 408 N to pull")


@pytest.mark.parametrize("count", [1, 2])
def test_two_lines_have_a_winch_each(tmp_path: Path, count: int) -> None:
    """Held from above by one and pulled on the level by another: of two told both are named, each once."""
    drums = {"narrow truck": TRUCK, **{f"drum {n}": DRUM for n in range(1, count + 1)}}
    slope = f"{B}, even: yes, slope: {{fall: 1 in 20, towards: 0}}, {POST}"
    it = on_a_way(tmp_path, DOWN, a=slope, gear=drums)
    it = replace(it, legs=legs_of(it.scene, (Pose(1000, 2000, 0), Pose(9000, 2000, 0)), ("a", "b")))
    down, pulled = (
        next(p.text for p in forces(it) if f"leg:{way}" in p.subjects) for way in ("down", "level")
    )
    assert down.startswith("drum 1: ") and pulled.startswith(f"drum {count} for ")
    (runs,) = runs_away(it)
    assert "drum 1 keeps it tight" in row_of(runs).finding.text
