"""Gear that one thing stands on, where its move halted, is not free for another."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.desk import moving as at_desk
from shopbins.desk.movewords import told
from shopbins.desk.problems import NotDone
from shopbins.ledger.model import Mass, Size
from shopbins.moves.body import body
from shopbins.moves.finding import row_of
from shopbins.moves.gear import judge_gear
from shopbins.moves.inuse import past_halted
from shopbins.moves.situation import Situation
from shopbins.records import acts_move
from shopbins.records.moving import Moving
from tests.moves.test_lines import PRESS, slope_text
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, move, of, shop, shop_text, tick


def with_lathe(desk: Desk) -> str:
    key = desk.take("lathe", size=Size(1000, 700, 1700), mass=Mass(600)).id
    desk.put(key, "a", x_mm=1800, y_mm=3200, override="x")
    known = told(Moving(), PLAIN, lambda code: code)
    desk.record(lambda state: acts_move.describe(state, key, known))
    return key


def lifted_on(desk: Desk, gear: str | None = None) -> str:
    """Plan the press and tick it onto its gear."""
    plan = move(desk, gear=gear)
    at_desk.put_on_record(desk, plan)
    steps = at_desk.steps(desk, plan.group)
    onto = next(n for n, step in enumerate(steps) if step.get("gear") == "on")
    for n in range(onto + 1):
        tick(desk, plan.group, n)
    return plan.group


def test_a_truck_under_one_thing_is_not_given_to_another(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    lathe = with_lathe(desk)
    assert not of(at_desk.plan_move(desk, lathe, "far", at_most_s=0.5), "gear-in-use")
    press = lifted_on(desk)
    (part,) = of(at_desk.plan_move(desk, lathe, "far", at_most_s=0.5), "gear-in-use")
    assert part.verdict is Verdict.NO and "press is on it where it halted" in part.text
    assert not of(move(desk, at_most_s=0.5), "gear-in-use")  # its own
    desk.put(press, "a", x_mm=1900, y_mm=2000, override="x")  # by hand: on the floor
    assert not of(at_desk.plan_move(desk, lathe, "far", at_most_s=0.5), "gear-in-use")


def test_what_was_planned_on_it_before_is_not_ticked(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    lathe = with_lathe(desk)
    at_desk.put_on_record(desk, at_desk.plan_move(desk, lathe, "far"))
    lifted_on(desk)
    with pytest.raises(NotDone, match="narrow truck: what is on it not told, now press"):
        tick(desk, lathe, 0)


def test_planned_anew_on_other_gear_it_is_on_the_first_until_it_is_off_that(tmp_path: Path) -> None:
    both = {"narrow truck": TRUCK, "skates": SKATES.replace("count: 4", "count: 8")}
    desk = shop(tmp_path, shop_text(gear=both), (*PLAIN, *FOUR))
    lathe = with_lathe(desk)
    press = lifted_on(desk, "narrow truck")
    at_desk.put_on_record(desk, move(desk, gear="skates"))
    on = acts_move.on_gear(desk.state, press)
    assert on is not None and on["gear"] == "narrow truck"
    off = next(n for n, s in enumerate(at_desk.steps(desk, press)) if s.get("gear") == "off")
    for n in range(off + 1):
        tick(desk, press, n)
    assert acts_move.on_gear(desk.state, press) is None
    onto = next(n for n, s in enumerate(at_desk.steps(desk, press)) if s.get("gear") == "on")
    for n in range(off + 1, onto + 1):
        tick(desk, press, n)
    plan = at_desk.plan_move(desk, lathe, "far", gear="skates", at_most_s=0.5)
    (part,) = of(plan, "gear-in-use")  # eight are told of: there may be four left
    assert part.verdict is Verdict.ASKED and "8" in row_of(part).finding.text


def test_the_truck_under_a_halted_thing_takes_room_and_has_to_find_room_to_come_out(tmp_path: Path) -> None:
    """The press ends at 3000, the truck's body of 400 at 3400; forks of 1150, body and 500 for who steers
    (ISO 13854) need 2050 behind its heels, and 450 are free.
    """
    both = {"narrow truck": TRUCK, "skates": SKATES}
    near = "zones:\n  near: {room: a, kind: floor, at: [100, 1200], size: [1600, 1600]}\n"
    text = shop_text(gear=both).replace("zones:\n", near)
    desk = shop(tmp_path, text, (*PLAIN, *FOUR), at=(2500, 2000, 0))
    crate = desk.take("crate", size=Size(600, 600, 600), mass=Mass(20)).id
    assert desk.put(crate, "a", x_mm=3650, y_mm=2000, dry_run=True).done
    press = lifted_on(desk, "narrow truck")
    laid = desk.put(crate, "a", x_mm=3650, y_mm=2000, dry_run=True)
    assert not laid.done and any("press on narrow truck" in f.text for f in laid.findings)
    assert desk.put(crate, "a", x_mm=3750, y_mm=2000, override="x").done
    (part,) = of(move(desk, zone="near", gear="skates"), "move-room-forks")
    found = row_of(part).finding
    assert part.verdict is Verdict.NO and (found.measured, found.limit) == pytest.approx((450, 2050))
    desk.put(press, "a", x_mm=2490, y_mm=2000, override="x")  # by hand: on its feet
    assert desk.put(crate, "a", x_mm=3650, y_mm=2000, dry_run=True).done


def test_what_another_move_has_halted_before_a_slope_is_moved_on_first_or_kept_clear_of(
    tmp_path: Path,
) -> None:
    """Common practice, no source: nobody goes below what a line holds, nor along that. The press stands in a
    on its skates, its line tight, to go down b (1 in 15) next.
    """
    desk = shop(tmp_path, slope_text(), PRESS)
    lathe = with_lathe(desk)
    press = lifted_on(desk)

    def told_in(*rooms: str) -> list[tuple[Verdict, str]]:
        scene, thing = desk.scene(), body(desk.scene(), lathe)
        gear = judge_gear(scene.shop.gear["skates"], thing.load)
        way: Any = SimpleNamespace(rooms=rooms)
        it = Situation(scene, thing, gear, scene.shop.zones["far"], "", way)
        return [(part.verdict, part.text) for part in past_halted(it)]

    assert told_in("a", "b") == []  # on the level, no line on yet
    steps = at_desk.steps(desk, press)
    line = next(n for n, step in enumerate(steps) if "line on and tight" in step["title"])
    for n in range(line + 1):
        if not steps[n].get("done"):
            tick(desk, press, n)
    kept = (Verdict.ASKED, "press on skates moved on first, or kept clear of")
    assert told_in("a") == told_in("b") == told_in("b", "c") == [kept]
    assert not list(past_halted(_of_itself(desk, press)))
    desk.put(press, "a", x_mm=1900, y_mm=2000, override="x")  # by hand: on the floor
    assert told_in("a", "b") == []


def _of_itself(desk: Desk, press: str) -> Situation:
    scene = desk.scene()
    thing = body(scene, press)
    gear = judge_gear(scene.shop.gear["skates"], thing.load)
    return Situation(scene, thing, gear, scene.shop.zones["far"], "")
