"""Where the floor comes up over a crest and at a foot: against wheels rolled over the bend, step by step.

Geometry: a chord over a corner of angle t comes up (b/2) tan(t/2) in its middle, a straight line o tan(t) at
its end; both checked against a floor and two wheels put down on it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from shopbins.answer import Answer, Verdict
from shopbins.geometry.shapes import Point, Pose
from shopbins.moves.body import body
from shopbins.moves.finding import MOVE, row_of
from shopbins.moves.forks import Foot
from shopbins.moves.gear import judge_gear
from shopbins.moves.grounding import Bend, Low, bends, comes_up_mm, eased, loads_low, rise_under, worst_rise
from shopbins.moves.legs import legs_of
from shopbins.moves.overbends import grounds
from shopbins.moves.ramps import floor_over
from shopbins.moves.situation import Situation
from shopbins.moves.stances import Usual
from shopbins.moves.standing import tips
from shopbins.shop.model import Slope
from tests.moves.weir import B, move, shop, shop_text

CHANGE = 1 / 15
ROLLERS = Usual("load rollers 120 to 220 mm", "load rollers: 175")
WHEELS = ((-100.0, 0.0), (975.0, 0.0))


def rolled(at_mm: float, change: float) -> float:
    """Put two wheels on a floor that bends at 0 (`change` > 0: a foot), everywhere over it; return how far
    the floor comes up over their chord at one place of the gear, at the most.
    """
    rear, front = WHEELS[0][0], WHEELS[1][0]

    def floor(x: float) -> float:
        return x * change if x > 0 else 0.0

    most = 0.0
    for k in range(-3000, 3001):
        x = k * 1.0
        a, b = (x + rear, floor(x + rear)), (x + front, floor(x + front))
        slope = (b[1] - a[1]) / (b[0] - a[0])
        here = x + at_mm
        above = floor(here) - (a[1] + (here - a[0]) * slope)
        most = max(most, above * math.cos(math.atan(slope)))
    return most


@pytest.mark.parametrize("at_mm", [-400.0, -100.0, 100.0, 437.5, 900.0, 975.0, 1150.0, 1950.0])
@pytest.mark.parametrize("crest", [True, False])
def test_the_floor_comes_up_as_far_as_when_it_is_rolled_over(at_mm: float, crest: bool) -> None:
    bend = Bend("", CHANGE, crest, not crest, (0.0,))
    found = rise_under(Low("", ((at_mm, 0.0),), 0.0), WHEELS, bend).mm
    assert found == pytest.approx(rolled(at_mm, -CHANGE if crest else CHANGE), rel=0.004, abs=0.05)


def rolled_over(floor: tuple[Point, ...], base_mm: float) -> float:
    """Put two wheels down on a floor every 2.5 mm along it; return how far it comes up between them, at most,
    read off straight between its points (numpy.interp).
    """
    xs, zs = zip(*floor, strict=True)
    ahead = np.arange(0.0, base_mm + 1.0, 2.5)
    most = 0.0
    for rear in np.arange(-base_mm - 100, xs[-1] + 100, 2.5):
        low, high = np.interp([rear, rear + base_mm], xs, zs)
        above = np.interp(rear + ahead, xs, zs) - low - (high - low) * ahead / base_mm
        most = max(most, float(above.max()))
    return most


@pytest.mark.parametrize(
    ("deep_mm", "hand_mm"),
    [
        (1000.0, 1075 / 4 / 15),  # one top in the middle of the wheels: 537.5 x 537.5 / 1075 x 1/15 = 17.9
        (300.0, 26.53),  # even, 387.5 mm down each ramp, 25.8; a top 450 ahead of the rear wheel, 26.5
        (0.0, 2 * 1075 / 4 / 15),  # both tops in one place
    ],
)
def test_two_tops_come_up_together_only_as_far_as_both_lie_between_the_wheels(
    deep_mm: float, hand_mm: float
) -> None:
    """Ramps 600 x 40 at both faces of a wall, wheels 1075 mm apart."""
    floor = floor_over(40.0, deep_mm, 600.0, 0.0, 0.0)
    found = comes_up_mm(floor, 1075.0, 0.0, 1075.0)
    assert found == pytest.approx(hand_mm, abs=0.02)
    assert found == pytest.approx(rolled_over(floor[2:4] + floor[6:8], 1075.0), abs=0.01)


def test_what_is_low_near_a_wheel_meets_less_and_a_step_counts_in_full() -> None:
    """100 ahead of the rear wheel, over a top, the front one 975 down 1 in 30: 100 x 975 / 1075 / 30 = 3.02.
    Ends 10 mm over the sill: a wheel that just left one is as much lower.
    """
    assert comes_up_mm(floor_over(40.0, 2000.0, 1200.0, 0.0, 0.0), 1075.0, 100.0, 100.0) == pytest.approx(
        100 * 975 / 1075 / 30, abs=0.01
    )
    stepped = comes_up_mm(floor_over(40.0, 2000.0, 1200.0, 0.0, 10.0), 1075.0, 0.0, 1075.0)
    assert stepped > 1075 / 4 / 30 + 5.0


@pytest.mark.parametrize(("apart_mm", "base_mm"), [(1000.0, 1000.0), (300.0, 900.0)])
def test_what_ends_it_at_two_tops_is_no_more_than_it_takes(apart_mm: float, base_mm: float) -> None:
    """30 mm free over bends of 1 in 15: one takes a wheelbase of 4 x 30 x 15 = 1800, both at once 900."""
    floor = floor_over(40.0, apart_mm, 600.0, 0.0, 0.0)
    bend = Bend("over ramps", CHANGE, True, False, (0.0,), floor=floor)
    rise = rise_under(Low("belly", ((0.0, 0.0), (1200.0, 0.0)), 30.0), ((0.0, 0.0), (1200.0, 0.0)), bend)
    boards, gear = eased(rise, 30.0, ((0.0, 0.0), (2000.0, 0.0), (2000.0, 900.0)))
    assert boards.endswith("1200 mm apart") and gear.endswith(f"{base_mm:.0f} mm")
    assert (
        rise_under(Low("", ((0.0, 0.0), (base_mm, 0.0)), 30.0), ((0.0, 0.0), (base_mm, 0.0)), bend).mm <= 30
    )


def test_of_two_low_things_the_one_with_least_left_under_it_counts() -> None:
    """Wheels 1075 mm apart over a crest of 1 in 15: 17.9 mm in their middle, 8.0 an eighth of the way in."""
    high, low = (Low(str(mm), ((at, 0.0),), mm) for at, mm in ((437.5, 20.0), (34.4, 5.0)))
    it: Any = SimpleNamespace(gear=SimpleNamespace(stances=[SimpleNamespace(polygon=WHEELS)]))
    crest = Bend("", CHANGE, True, False, (0.0,))
    for lows in ((high, low), (low, high)):
        worst = worst_rise(it, lows, [crest])
        assert worst is not None and worst.low is low
    untold = worst_rise(it, [replace(low, high_mm=None), replace(low, high_mm=0.5)], [crest])
    assert untold is not None and untold.low.high_mm is None
    near = worst_rise(it, [Low("beside a wheel", ((-90.0, 0.0),), 0.0)], [crest])
    assert near is not None and 0 < near.mm < 1
    assert worst_rise(it, [Low("under a wheel", (WHEELS[0],), 0.0)], [crest]) is None


def _over(tmp_path: Path, fall: Slope, reach_mm: float, lift_mm: float = 90.0) -> Situation:
    """A press whose far foot stands so far along its forks, rolled from a (sloping) straight on into b."""
    desk = shop(
        tmp_path, shop_text(a=f"{B}, slope: none", b=f"{B}, slope: none", mid="height: 3 m, threshold: 0")
    )
    plan, scene = move(desk), desk.scene()
    it = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    feet = tuple(Foot(x, y, (0.0, 0.0)) for x in (-400.0, reach_mm - 500.0) for y in (-300.0, 300.0))
    it = replace(it, load=replace(it.load, feet=feet))
    gear = judge_gear(scene.shop.gear["narrow truck"], it.load)
    gear = replace(gear, up_mm=(10.0, lift_mm), axis_deg=0.0)
    legs = legs_of(scene, (Pose(2500, 2000, 0), Pose(8000, 2000, 0)), ("a", "b"))
    rooms = {"a": replace(scene.shop.rooms["a"], slope=fall)}
    legs = tuple(replace(leg, room=rooms.get(leg.room.key, leg.room)) for leg in legs)
    assert plan.attempt is not None
    return Situation(scene, it, gear, scene.shop.zones["far"], "", plan.attempt.route, plan.attempt, legs)


def test_far_feet_are_judged_at_the_foot_of_a_slope_and_only_there(tmp_path: Path) -> None:
    """The rollers stand 975 mm in, the far feet 1950: 975 / 15 = 65 mm come up going down, none up."""
    down = _over(tmp_path, Slope(CHANGE, 0.0), 1950.0)
    (bend,) = bends(down)
    assert (bend.crest, bend.foot) == (False, True)
    lows = {low.points[0][0]: low for low in loads_low(down)}
    assert rise_under(lows[1450.0], down.gear.stances[0].polygon, bend).mm == pytest.approx(65.0)
    (told,) = [p for p in grounds(down) if p.verdict is Verdict.ASKED]
    assert told.text == "lifted 75 mm where a meets b"
    up = replace(down, legs=tuple(_turned(down)))
    (crest,) = bends(up)
    assert (crest.crest, crest.foot) == (True, False)
    assert rise_under(lows[1450.0], up.gear.stances[0].polygon, crest).mm == 0.0


def _turned(it: Situation):
    for leg in it.legs:
        steep = leg.room.key == "a"
        yield replace(leg, room=replace(leg.room, slope=Slope(CHANGE, 180.0) if steep else None))


def test_how_high_it_is_carried_and_how_high_it_is_lifted_there_are_no_two_words(tmp_path: Path) -> None:
    it = _over(tmp_path, Slope(CHANGE, 0.0), 1950.0)
    high = replace(it.body, load=replace(it.load, cg_height_mm=700.0))
    (low,) = [p for p in tips(replace(it, body=high)) if "no more than" in p.text]
    assert low.text.endswith(" mm high, higher where a meets b")


@pytest.mark.parametrize(
    ("aside_mm", "verdict"), [(0.0, Verdict.ASKED), (55.0, Verdict.AGAIN), (100.0, Verdict.NO)]
)
def test_a_lift_at_which_it_tips_is_no_condition(tmp_path: Path, aside_mm: float, verdict: Verdict) -> None:
    """Abreast of its centre the wheels stand 130 x 600 / 1075 = 72.6 mm to each side: 55 aside leaves 17.6
    less 5 to each side of measuring, 700 and 75 high under 1.5 deg on 1 in 15; 100 aside lies outside.
    """
    it = _over(tmp_path, Slope(CHANGE, 0.0), 1950.0)
    it = replace(it, body=replace(it.body, load=replace(it.load, cg_mm=(0.0, aside_mm))))
    (lift,) = [p for p in grounds(it) if "lift" in p.subjects]
    said = row_of(lift).finding
    assert lift.verdict is verdict
    assert ("it tips" in said.text) is (verdict is Verdict.NO)
    assert "dead slow" not in said.text or verdict is Verdict.ASKED


@pytest.mark.parametrize(("aside_mm", "kindest"), [(0.0, False), (100.0, True)])
def test_what_tips_on_all_that_is_usual_says_so(tmp_path: Path, aside_mm: float, kindest: bool) -> None:
    """72.6 mm to each side abreast of its centre, as above: 100 aside lies outside by 5 or not."""
    it = _over(tmp_path, Slope(CHANGE, 0.0), 1950.0)
    gear = replace(it.gear, stances=tuple(replace(s, assumed=(ROLLERS,)) for s in it.gear.stances))
    load = replace(it.load, cg_mm=(0.0, aside_mm))
    told = next(iter(tips(replace(it, gear=gear, body=replace(it.body, load=load)))))
    assert ("at the kindest of what is usual (load rollers" in row_of(told).finding.text) is kindest
    assert (told.verdict is Verdict.OPEN) is kindest
    if kindest:  # our own figures: never a no (contract), and never a condition
        headline = Answer(MOVE, (told,)).headline
        assert headline.startswith("not decided: it tips at the kindest of what is usual: measure ")
        ask = row_of(told).ask
        assert ask is not None and [path[2] for path, _ in ask.in_file] == ["load rollers"]


def test_what_cannot_be_lifted_so_high_does_not_go_and_says_what_would_end_it(tmp_path: Path) -> None:
    """65 mm come up, 60 is all the truck lifts: two bends of 1 in 30 bring 32.5 mm each."""
    it = _over(tmp_path, Slope(CHANGE, 0.0), 1950.0, lift_mm=60.0)
    (told,) = [p for p in grounds(it) if p.verdict is Verdict.NO]
    row = row_of(told)
    assert row.finding.measured == pytest.approx(65.0) and row.finding.limit == pytest.approx(60.0)
    assert any("2 bends of it, 1 in 30" in end for end in row.ends)
    assert any("within 900 mm of the far end" in end for end in row.ends)
