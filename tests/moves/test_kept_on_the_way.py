"""What is kept to on the way: over which side it tips, how fast it turns, the order of line and chocks."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.geometry.shapes import bounds
from shopbins.ledger.model import Mass
from shopbins.moves.attempt import low_top_mm
from shopbins.moves.body import body
from shopbins.moves.finding import row_of
from shopbins.moves.force import push
from shopbins.moves.gear import judge_gear
from shopbins.moves.load import Load
from shopbins.moves.wheels import fit_trolley
from shopbins.shop.model import Gear
from tests.moves.weir import FOUR, OUTLINE, PLAIN, TRUCK, move, of, shop, shop_text

HIGH = (OUTLINE, "height=1700mm", "opening=420mm", "under=110mm", "cg=0,0", "cg height=900mm")
LEVEL = "height: 2.2 m, threshold: 0"


def test_it_says_over_which_side_it_tips_and_as_what_dip_and_how_fast_it_turns(tmp_path: Path) -> None:
    """Truck of 130 mm half track, 500 of 1075 mm in: d = 72 over H = 910, atan 4.5 deg; v^2 = R g d / H."""
    plan = move(shop(tmp_path, shop_text(mid=LEVEL), HIGH), turn_deg=90.0)
    (tips,) = [p for p in of(plan, "move-tips") if "tilt left" in row_of(p).finding.text]
    text, deg = row_of(tips).finding.text, row_of(tips).finding.measured
    assert "seen from the handle (now " in text
    across = 260.0 * math.cos(math.atan2(130.0, 1075.0))  # a roller from the edge on the other side
    assert deg is not None
    assert f"a dip of {across * math.tan(math.radians(deg)):.0f} mm" in text
    turns = [p for p in of(plan, "move-speed") if "turns" in p.text]
    assert turns and turns[0].verdict is Verdict.ASKED
    inside = 910.0 * math.tan(math.radians(deg))
    thrown = math.sqrt(1.35 * 9.81 * inside / 910.0)
    assert row_of(turns[0]).finding.measured == pytest.approx(thrown, rel=0.03)


def test_nobody_pushes_what_tips_soon_and_it_is_said_who_stays_near(tmp_path: Path) -> None:
    """4.5 deg left, less than 5 (own figure): 249 N would be three men (HSE INDG143), within its height."""
    plan = move(shop(tmp_path, shop_text(mid=LEVEL), HIGH))
    push, *points = [p for p in of(plan, "move-push") if p.verdict is Verdict.ASKED]
    assert push.text.startswith("winch or tackle for") and "men" not in push.text
    assert points and all(p.text.startswith(("point near ", "line from ")) for p in points)
    assert "nobody pushes or holds it by hand" in row_of(push).finding.text
    (zone,) = of(plan, "move-fall-zone")
    assert zone.text.startswith("only who steers within 1") and not of(plan, "move-room-to-push")


def test_what_one_person_keeps_going_asks_for_no_winch(tmp_path: Path) -> None:
    """155 kg on a truck of 70 kg: 2 % of 225 x 9.81 N are 44.1 N: one man of 100 N on a good floor, on an
    uneven one 221 N, three (HSE INDG143); the floor even is a condition, as where people push.
    """
    plan = move(shop(tmp_path, shop_text(mid=LEVEL), HIGH, Mass(155)))
    (pull,) = [p for p in of(plan, "move-push") if p.verdict is Verdict.ASKED]
    assert pull.text == "one pulls it by its handle, 44.1 N"
    assert "nobody is beside it" in row_of(pull).finding.text
    assert "winch" not in plan.headline and not of(plan, "move-lines")
    assert {p.text for p in of(plan, "move-floor-even")} == {"even and clean: a", "even and clean: b"}


@pytest.mark.parametrize(("kg", "one"), [(509.6, True), (509.8, False)])
def test_what_one_person_keeps_going_is_100_n(kg: float, one: bool) -> None:
    """100 N / (2 % of 9.81 N/kg) = 509.7 kg (HSE INDG143 and L23)."""
    assert push(kg).by_one is one and not push(kg, 1 / 10).by_one


def test_forks_that_end_before_the_far_feet_are_a_condition(tmp_path: Path) -> None:
    short = {"narrow truck": TRUCK.replace("fork length: 1150", "fork length: 850")}
    plan = move(shop(tmp_path, shop_text(mid=LEVEL, gear=short), (*PLAIN, *FOUR)))
    assert any("rests on the forks" in p.text for p in plan.conditions)
    (tmp_path / "long").mkdir()
    plan = move(shop(tmp_path / "long", shop_text(mid=LEVEL), (*PLAIN, *FOUR)))
    assert not any("rests on the forks" in p.text for p in plan.conditions)


@pytest.mark.parametrize(("rise", "offered"), [("18", True), ("60", False)])
def test_a_ramp_is_offered_at_a_sill_that_it_meets(tmp_path: Path, rise: str, offered: bool) -> None:
    ramp = f"{{kind: ramp, rise: {rise}, size: [600, 1200], capacity: 3 t}}"
    gear = {"narrow truck": TRUCK, "wedge": ramp}
    plan = move(shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 18", gear=gear)))
    texts = [row_of(p).finding.text for p in of(plan, "door-sill")]
    assert any("wedge" in text for text in texts) is offered


@pytest.mark.parametrize(("cg", "verdict"), [(0.0, Verdict.ASKED), (-440.0, Verdict.AGAIN)])
def test_with_ramps_laid_it_leans_on_them_and_meets_no_bare_sill(
    tmp_path: Path, cg: float, verdict: Verdict
) -> None:
    """Ramps of 216 mm are shorter than the wheelbase of 1075: it leans atan(18 / 1075) along the truck.

    A bare sill would leave atan(67 / 910) - atan(18 / 260) = 0.2 deg of the first. Lifted 28 mm over
    the crest H is 900 + 5 + 28 mm; 30 mm from the rollers that leaves 0.9 deg, under the least (own figure).
    """
    ramp = "{kind: ramp, rise: 18, size: [216, 600], capacity: 3 t, count: 2}"
    gear = {"narrow truck": TRUCK, "wedge": ramp}
    known = (*HIGH[:-2], f"cg={cg:g},0", HIGH[-1])
    text = shop_text(mid="height: 2.2 m, threshold: 18", gear=gear)
    plan = move(shop(tmp_path, text, known, at=(1800, 2200, 0)))
    (lean,) = of(plan, "move-tips-at-step")
    inside, square = 30.0, 1.0
    if cg == 0.0:  # over the edge from the steering wheels at 600 to a roller at -475, 130
        square = math.sin(math.atan2(130.0, 1075.0))
        inside = (600.0 - 5.0) * square - 5.0 * math.cos(math.atan2(130.0, 1075.0))
    left = math.degrees(math.atan(inside / 933.0) - math.atan(18 / 1075 * square))
    assert row_of(lean).finding.measured == pytest.approx(left, abs=0.01)
    assert lean.verdict is verdict


def test_a_beam_within_what_it_clears_the_floor_is_not_for_the_kernel_to_refuse(tmp_path: Path) -> None:
    """How far it is carried clear is our own figure: what only that takes is judged by height."""
    desk = shop(tmp_path, shop_text())
    scene = desk.scene()
    it = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    truck = judge_gear(scene.shop.gear["narrow truck"], it.load)
    assert low_top_mm(it, truck) == 1700 and low_top_mm(it, truck, 10.0) == 1690
    skates = Gear("s", "skates", "skates", 2000.0, count=4, height_mm=110.0)
    assert low_top_mm(it, judge_gear(skates, it.load)) in (1700, 1810)  # less what is free under it


def test_a_platform_lies_under_the_centre_of_gravity_wherever_that_is() -> None:
    """1000 x 600 with its middle at (100, 50): from -400 to 600 along x, from -250 to 350 along y."""
    plan = ((-600.0, -400.0), (600.0, -400.0), (600.0, 400.0), (-600.0, 400.0))
    load = Load("pump", plan, 900.0, 600.0, cg_mm=(100.0, 50.0), cg_height_mm=400.0)
    gear = Gear("d", "dolly", "trolley", 1000.0, size_mm=(1000.0, 600.0), height_mm=120.0)
    box = bounds(fit_trolley(gear, load).parts[1])
    assert tuple(box) == pytest.approx((-400.0, -250.0, 600.0, 350.0))
