"""Bends of the floor close together: what they come up together, by hand and against wheels rolled over them.

Geometry of a straight line over a floor (derived): crests of T each, d apart, under wheels b apart come up
2 T (b/2 - d/4)^2 / b, highest over the first of them; a crest of T and a foot of T, d apart, d up to b/2,
T d (b - d) / b; two feet of T each under what is o out T o (2 - d/b).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose
from shopbins.moves.finding import row_of
from shopbins.moves.floorline import added, stretches, together_at
from shopbins.moves.grounding import Low, Profile, comes_up_mm, rise_under
from shopbins.moves.heights import passed_under
from shopbins.moves.legs import legs_of
from shopbins.moves.overbends import grounds
from shopbins.moves.overedges import sills
from shopbins.moves.ramps import bends_over, meeting
from shopbins.moves.situation import Situation
from shopbins.scene.scene import build
from shopbins.shop.model import Gear, Slope
from tests.moves.weir import PLAIN, B, move, shop, shop_text

T, BASE = 1 / 15, 1075.0


def _bend(at: float, change: float) -> Profile:
    """A floor that falls so much more from there on."""
    return (at - 1.0, 0.0), (at, 0.0), (at + 1.0, -change)


@pytest.mark.parametrize("apart", [0.0, 300.0, 500.0])
def test_two_crests_close_together_come_up_more_than_either(apart: float) -> None:
    floor = added([_bend(0.0, T), _bend(apart, T)])
    both = 2 * T * (BASE / 2 - apart / 4) ** 2 / BASE
    assert both > T * BASE / 4  # what each comes up by itself
    assert comes_up_mm(floor, BASE, 0.0, BASE) == pytest.approx(both)


@pytest.mark.parametrize("apart", [100.0, 300.0, BASE / 2])
def test_a_foot_soon_after_a_crest_lets_it_come_up_less(apart: float) -> None:
    floor = added([_bend(0.0, T), _bend(apart, -T)])
    assert comes_up_mm(floor, BASE, 0.0, BASE) == pytest.approx(T * apart * (BASE - apart) / BASE)


@pytest.mark.parametrize("apart", [0.0, 300.0])
def test_two_feet_come_up_together_beyond_the_wheels(apart: float) -> None:
    floor = added([_bend(0.0, -T), _bend(apart, -T)])
    both = T * 500 * (2 - apart / BASE)
    assert both > T * 500  # what each comes up by itself
    assert comes_up_mm(floor, BASE, BASE, BASE + 500) == pytest.approx(both)


def test_bends_that_meet_but_for_the_last_digits_are_one_place() -> None:
    """A step of 20 and a bend at 1000 / 3, a billionth of a mm apart: nothing steep between."""
    at = 1000.0 / 3
    step: Profile = ((at - 1, 0.0), (at, 0.0), (at, 20.0), (at + 1, 20.0))
    floor = added([step, _bend(at + 1e-9, T)])
    assert [x for x, _ in floor] == pytest.approx([at - 1, at, at, at + 1], abs=1e-6)
    one = comes_up_mm(added([step, _bend(at, T)]), BASE, 0.0, BASE)
    assert comes_up_mm(floor, BASE, 0.0, BASE) == pytest.approx(one)


def test_a_step_by_a_wheel_counts_as_is_worse_for_what_is_beyond() -> None:
    """Off a step of 20 with its front wheels, wheels 1075 apart: 500 beyond them the line is 20 x 500 / 1075
    lower than the floor; behind, what is low still is on the step as the rear wheels leave it.
    """
    down: Profile = ((-1.0, 20.0), (0.0, 20.0), (0.0, 0.0), (1.0, 0.0))
    assert comes_up_mm(down, BASE, BASE + 500, BASE + 500) == pytest.approx(20 * 500 / BASE)
    assert comes_up_mm(down, BASE, -500.0, -500.0) == pytest.approx(20.0)


Up = Callable[..., Situation]


@pytest.fixture(scope="module")
def up(tmp_path_factory: pytest.TempPathFactory) -> Up:
    """A press on a truck, wheels 1075 apart, up 1 in 15 from a through the door (5000 to 5400), over a sill,
    onto level b; a slope that falls so far aside of the way.
    """
    text = shop_text(a=f"{B}, slope: none", b=f"{B}, slope: none", mid="height: 3 m, threshold: 0")
    plan = move(desk := shop(tmp_path_factory.mktemp("up"), text, PLAIN))
    was, attempt = desk.scene().shop, plan.attempt
    assert attempt is not None
    gear = replace(plan.gear, up_mm=(10.0, 90.0), axis_deg=0.0)

    def situation(
        sill: float, fall: float = T, aside_deg: float = 0.0, told: tuple[Gear, ...] = ()
    ) -> Situation:
        rooms = {**was.rooms, "a": replace(was.rooms["a"], slope=Slope(fall, 180.0 + aside_deg))}
        doors = {**was.doors, "mid": replace(was.doors["mid"], threshold_mm=sill)}
        now = replace(was, rooms=rooms, doors=doors, gear={**was.gear, **{g.key: g for g in told}})
        scene = build(now, desk.state)
        legs = legs_of(scene, (Pose(2500, 2075, 0), Pose(8000, 2075, 0)), ("a", "b"))
        return Situation(scene, plan.body, gear, now.zones["far"], "", attempt.route, attempt, legs)

    return situation


def test_a_crest_at_a_sill_with_ramps_is_reckoned_with_them(up: Up) -> None:
    """Ramps of 1 in 15 up the sill and down it, 402 mm apart (the doorway and a mm to each side), where the
    slope ends, too: a crest of T, then two of T in one place. From the rear wheel a mm before those
    T (1 - a/b) (3 a - d), most at a = b/2 + d/6: 41.2 mm by hand; of the ramps by themselves 24.
    """
    wedge = Gear("w", "wedge", "ramp", capacity_kg=3000, rise_mm=40, size_mm=(600.0, 900.0))
    it = up(40, told=(wedge,))
    (laid,) = meeting(it, it.edges[0])
    it = replace(it, ramps=(laid,))
    (stretch,) = stretches(it)
    assert (stretch.count, stretch.askew) == (2, False)
    (bend,) = stretch.bends
    assert bend.words == "over wedge at mid and where a meets b, 200 mm apart, reckoned together"
    low = Low("", tuple((x, 0.0) for x in (-100.0, 975.0)), 0.0)
    found = rise_under(low, ((-100.0, 0.0), (975.0, 0.0)), bend).mm
    a = BASE / 2 + 402 / 6
    assert found == pytest.approx(T * (1 - a / BASE) * (3 * a - 402), abs=0.1)
    assert found > 1.5 * max(rise_under(low, ((-100.0, 0.0), (975.0, 0.0)), b).mm for b in bends_over(laid))
    told = [p for p in grounds(it) if "together" in p.subjects]
    assert told and all("reckoned together" in row_of(p).finding.text for p in told)
    (edge,) = it.edges
    assert together_at(it, edge) is stretch
    assert not [p for p in sills(it) if row_of(p).finding.rule == "move-grounds"]  # said once
    overs = [
        each for each in passed_under(it) if each.edge is not None
    ]  # the doorway and what it leans under
    assert overs and all(over.clear_mm > 17.9 for over in overs)


@pytest.mark.parametrize(("fall", "count"), [(T, 2), (0.0, 1)])
def test_a_level_floor_is_no_second_bend(up: Up, fall: float, count: int) -> None:
    assert [s.count for s in stretches(up(20, fall))] == [count]


def test_bends_askew_to_each_other_are_looked_at(up: Up) -> None:
    """1 in 15 that falls 30 deg aside meets the level across that, the sill lies across the way."""
    it = up(20, T, 30.0)
    (stretch,) = stretches(it)
    assert stretch.askew and together_at(it, it.edges[0]) is None
    (told,) = [p for p in grounds(it) if "together" in p.subjects]
    assert told.verdict is Verdict.ASKED and told.text.startswith("floor looked at with a straightedge")
