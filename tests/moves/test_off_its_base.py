"""Off its pallet or skid: how it is lifted off, and that on record it then weighs less and is lower."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.desk import moving as at_desk
from shopbins.ledger.model import Mass, Size
from shopbins.moves.body import body
from shopbins.moves.inuse import borne
from shopbins.moves.situation import begins_on
from shopbins.moves.steps import _onto
from shopbins.records import acts_move
from shopbins.records.moving import At, Base, ComesOff, Moving, moving_of, without_base
from tests.moves.weir import FOUR, OUTLINE, SKATES, move, of, shop, shop_text, tick

ON_SKID = (
    OUTLINE, "height=1670mm", "cg=0,0", "cg height=700mm", "base=skid; 170mm; 48kg",
    "jack=-400,-300", "jack=400,-300", "jack=400,300", "jack=-400,300", "sling=-300,0", "sling=300,0",
    "sling height=1200mm", *FOUR, "under=100mm", "opening=420mm",
)  # fmt: skip
CRANE = (
    "{kind: gantry crane, size: [2200, 1600], height: 3.2 m, inside: 1500, hook: 2.9 m, capacity: 2 t, "
    "mass: 200 kg, wheels: 4, wheel: 150, steepest: 1 in 50}"
)

ROOM = "headroom: 3.6 m, void: no, slope: none, even: yes, floor load: 50 kN/m2, point load: 40 kN"
ENGINE_CRANE = (
    "{kind: engine crane, size: [1550, 1100], body: 250, height: 1.9 m, inside: 900, legs: 160, hook: 2.3 m, "
    "boom tip: 2.6 m, mass: 120 kg, reach: {900 mm: 2 t, 1200 mm: 1.7 t, 1500 mm: 1400 kg}, wheel: 90, "
    "clearance: 20, steering: on the spot, wheels: 4, trail: 40, steepest: 1 in 50, cg: [-500, 0, 700], "
    "wheel places: [[725, 500], [725, -500], [-725, 400], [-725, -400]]}"
)


def test_once_it_is_off_heights_count_from_the_thing_itself_and_its_feet_are_not_those_of_the_base() -> None:
    alone = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    told = Moving(
        height_mm=1670, cg_mm=(5, 6), cg_height_mm=700, sling_height_mm=1200, without_base=alone,
        feet=(At(1, 1),), jacking=(At(2, 2),), under_mm=100, opening_mm=500, pallet="EUR", runners_mm=400,
        flat_base=True, base=Base("skid", 170, Mass(48)), comes_off=(ComesOff("head", alone, 1165, 1365),),
        told_at=(("foot", Size(1, 1, 1)), ("cg", Size(1, 1, 1))),
    )  # fmt: skip
    off = without_base(told)
    assert (off.height_mm, off.cg_height_mm, off.sling_height_mm) == (1500, 530, 1030)
    assert (off.comes_off[0].from_mm, off.comes_off[0].to_mm) == (995, 1195)
    assert off.outline == alone and off.jacking == told.jacking and off.cg_mm == (5, 6)
    gone = off.feet, off.under_mm, off.opening_mm, off.pallet, off.runners_mm, off.flat_base, off.base
    assert gone == ((), None, None, "", None, None, None) and off.told_at == (("cg", Size(1, 1, 1)),)
    assert without_base(off) == off


def test_ticked_off_it_stands_on_record_without_it_and_asked_anew_it_is_the_same_thing(
    tmp_path: Path,
) -> None:
    """1200 kg less 48; 1700 high less 170; packing of 180, over the skid."""
    text = shop_text(mid="height: 1640 mm", gear={"skates": SKATES})
    desk = shop(tmp_path, text, ON_SKID)
    press = next(g for g in desk.state.groups() if g.name == "press").id
    plan = move(desk)
    assert plan.verdict is Verdict.ASKED and not plan.body.base
    at_desk.put_on_record(desk, plan)
    steps = at_desk.steps(desk, press)
    off = next(n for n, step in enumerate(steps) if step.get("base") == "off")
    assert steps[off - 1]["packing"] == 180 and "packing 180 mm" in " ".join(steps[off - 1]["keep"])
    assert steps[off - 1]["keep"] == steps[off]["keep"]
    before = plan.body.load
    for n in range(off + 1):
        tick(desk, press, n)
    group = desk.state.group(press)
    assert group.mass == Mass(1152) and group.size == Size(1000, 700, 1530)
    assert acts_move.on_packing(desk.state, press) == 180 and moving_of(group).base is None
    (skid,) = [g for g in desk.state.groups() if g.name == "skid"]
    assert (skid.mass, skid.where) == (Mass(48), None) and skid.size == Size(1000, 700, 170, True)
    now = body(desk.scene(), press).load
    assert (now.mass_kg, now.height_mm, now.cg_height_mm) == (before.mass_kg, before.height_mm, 530)
    assert at_desk.changed(desk, press) == []  # the step's own doing is no change
    again = move(desk)
    assert again.verdict is Verdict.ASKED and not of(again, "move-base-off")
    assert not any(step.get("base") for step in at_desk.steps(desk, press)[off + 1 :])
    for n in range(off + 1, len(steps)):
        tick(desk, press, n, override="as planned")
    assert desk.state.group(press).mass == Mass(1152) and acts_move.on_packing(desk.state, press) == 0


def test_a_hoist_lifts_it_off_and_no_jack_is_named(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text(mid="height: 3.4 m", gear={"gantry": CRANE}), ON_SKID)
    plan = move(desk, base=False, gear="gantry")
    (base,) = of(plan, "move-base-off")
    assert base.text == "skid off while it hangs: drawn out by a hook"
    from shopbins.moves.steps import steps_of

    steps = steps_of(desk.scene(), plan)
    titles = [step["title"] for step in steps]
    at = next(n for n, title in enumerate(titles) if "unbolt" in title)
    assert "180 mm over the floor, look whether it hangs level" in titles[at]  # 170 of skid and 10 clear
    assert titles[at + 1 : at + 3] == [
        "skid out, nobody under it", "let it down a hand's breadth (100 mm) off the floor",
    ]  # fmt: skip
    assert steps[at]["keep"] == steps[at + 1]["keep"] == steps[at + 2]["keep"]  # tried with all that is kept
    assert not any("jack" in title for title in titles)


def test_it_hangs_on_record_from_the_step_that_slings_it_and_its_hoist_is_in_use(tmp_path: Path) -> None:
    text = shop_text(mid="height: 3.4 m, threshold: 0", a=ROOM, b=ROOM, gear={"crane": ENGINE_CRANE})
    desk = shop(tmp_path, text, ON_SKID)
    press = next(g for g in desk.state.groups() if g.name == "press").id
    plan = move(desk, base=False, gear="crane")
    at_desk.put_on_record(desk, plan)
    slung = next(n for n, step in enumerate(at_desk.steps(desk, press)) if "unbolt" in step["title"])
    for n in range(slung + 1):
        tick(desk, press, n)
    assert borne(desk.scene(), plan.gear.gear) == "press"
    here = replace(plan, body=body(desk.scene(), press, base=False))
    over_it = [step["title"] for step in _onto(desk.scene(), here)]
    assert over_it[:2] == ["it hangs from crane where it halted: looked at", "skid out, nobody under it"]
    back = [step["title"] for step in _onto(desk.scene(), replace(here, body=body(desk.scene(), press)))]
    assert back[0] == "off crane first, down onto skid, bolted on again"
    tick(desk, press, slung + 1)
    assert borne(desk.scene(), plan.gear.gear) == "press" and begins_on(
        desk.scene(), body(desk.scene(), press), plan.gear
    )


def test_a_truck_lifts_nothing_off_its_skid_and_that_is_not_decided(tmp_path: Path) -> None:
    plan = move(shop(tmp_path, shop_text(), ON_SKID), base=False)
    (base,) = of(plan, "move-base-off")
    assert base.verdict is Verdict.OPEN and plan.verdict >= Verdict.OPEN
    assert any("hoist" in each for each in plan.would_go)


def test_what_is_on_no_base_has_none_to_take_off(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    press = next(g for g in desk.state.groups() if g.name == "press").id
    with pytest.raises(Exception, match="on no base"):
        acts_move.base_off(desk.state, press, None)
