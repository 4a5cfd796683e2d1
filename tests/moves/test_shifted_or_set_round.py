"""What stands in the way of straight gear: shifted or set round, whichever is less work; how far off."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel.swept import swept
from shopbins.ledger.model import Mass, Size
from shopbins.moves.gear import judge_gear
from shopbins.moves.legs import turns_of
from shopbins.moves.load import Load
from shopbins.moves.plan import Plan
from shopbins.moves.steps import _lifted_onto, steps_of
from shopbins.reports.movesheet import sheet_text
from shopbins.shop.model import Gear
from tests.moves.weir import FOUR, PLAIN, SKATES, move, shop, shop_text

NO_SILL = "height: 2.2 m, threshold: 0"


def _asked(folder: Path, more: str = "") -> Plan:
    """A crate of 20 kg stands at the edge of the row the press goes straight along; it could go round it."""
    text = shop_text(mid=NO_SILL, gear={"skates": SKATES}) + more
    desk = shop(folder, text, (*PLAIN, *FOUR), at=(1800, 2000, 0))
    crate = desk.take("crate", size=Size(400, 400, 300), mass=Mass(20)).id
    desk.put(crate, "a", x_mm=3000, y_mm=1500, override="x")
    return move(desk, turn_deg=0.0)


def test_a_light_thing_is_shifted_rather_than_the_load_set_round(tmp_path: Path) -> None:
    """By our own figures: a shift of 20 kg is 5 + 20 / 20 = 6 min, a turn set round 8 lifts of 10 min."""
    plan = _asked(tmp_path)
    assert [each.name for each in plan.shift] == ["crate"] and not turns_of(plan.legs)
    assert plan.minutes < 80 and not plan.not_looked


def test_where_shifting_is_more_work_it_is_set_round(tmp_path: Path) -> None:
    plan = _asked(tmp_path, "limits: {moving: {minutes shift: 600}}\n")
    assert not plan.shift and turns_of(plan.legs)
    assert plan.not_looked == ("skates: set across on the way, or askew, to go sideways unturned",)


def test_straight_skates_are_laid_across_from_the_first_lift_where_that_spares_a_turn(tmp_path: Path) -> None:
    """1000 mm long, turned 90 deg and to go 2 m to the right as it stands: along, jacked and set round twice,
    2 x 8 lifts of 10 min (own figures); across, not once. A lift onto skates and off, 4 x 10, and 2 m at
    0.1 m/s: 40 min.
    """
    rooms, _ = shop_text(gear={"skates": SKATES}).replace("[5000, 4000]", "[3600, 1600]").split("doors:")
    near = "zones: {near: {room: a, kind: floor, at: [2100, 100], size: [1400, 1400]}}\n"
    desk = shop(tmp_path, f"{rooms}{near}gear: {{skates: {SKATES}}}\n", (*PLAIN, *FOUR), at=(800, 800, 90))
    plan = move(desk, zone="near", turn_deg=90.0)
    assert plan.path and not turns_of(plan.legs) and plan.minutes == pytest.approx(40, abs=1)
    assert {round(p.turn_deg) for p in plan.path} == {90} and not plan.not_looked
    assert plan.as_json()["set_across"] and [t.name for t in plan.tried] == ["skates set across"]
    titles = [step["title"] for step in steps_of(desk.scene(), plan)]
    under = "skates set across, to roll long side first: under its points, let down onto them, tied together"
    assert under in titles and any(t.startswith("move press on skates set across to near") for t in titles)
    sheet = sheet_text(desk.scene(), plan)
    assert "on     skates set across, 40 min of work" in sheet


@pytest.mark.parametrize(
    ("across", "size", "said"),
    [
        (False, (1200, 800), "rollers under its runners, let down"),
        (True, (1200, 800), "rollers set across, to roll long side first: under its plate, let down"),
        (True, (800, 1200), "rollers set across, to roll short end first: under its plate, let down"),
    ],
)
def test_the_step_that_sets_it_on_its_gear_says_which_way_that_rolls(
    across: bool, size: tuple[float, float], said: str
) -> None:
    load = Load("it", rectangle(*size), 900.0, mass_kg=500.0, flat_base=True)
    rollers = Gear("r", "rollers", "rollers and bar", height_mm=48.0, count=6)
    gear = judge_gear(rollers, load, across=across)
    plan: Any = SimpleNamespace(
        gear=gear, body=SimpleNamespace(base=True, outline=load.outline), conditions=()
    )
    assert [step["title"] for step in _lifted_onto(plan, (), 0.0) if step["title"].startswith(said)]


def test_what_is_shifted_leaves_a_person_room_beside_the_way(tmp_path: Path) -> None:
    """500 mm for a person (own figure, ISO 13854: body), there being room."""
    plan = _asked(tmp_path)
    (crate,) = plan.shift
    assert crate.pose is not None and plan.attempt is not None
    at = Pose(crate.pose["x_mm"], crate.pose["y_mm"], crate.pose["turn_deg"])
    box = placed(((-200, -200), (200, -200), (200, 200), (-200, 200)), at)
    off = shapely.distance(shapely.Polygon(box), swept(plan.attempt.hull, plan.path))
    assert off >= 500.0
