"""What stands on a cover at once, and the plate that carries it there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from shopbins.answer import Part, Verdict
from shopbins.moves.finding import Ask, row_of
from shopbins.moves.plan import Option, Worked, _or_around
from shopbins.moves.pressing import COVER, together
from shopbins.moves.running import GROUNDS, SILL, SLOPE_GEAR
from shopbins.moves.tolerance import Found
from shopbins.moves.ways_out import WAY
from shopbins.rules.auditing import audit
from shopbins.shop.problems import ShopProblems
from tests.moves.weir import FOUR, OUTLINE, PLAIN, SKATES, TRUCK, move, of, shop, shop_text, worst

FOUR_POINTS = ((-600.0, -400.0), (600.0, -400.0), (600.0, 400.0), (-600.0, 400.0))
STRIP = "fixtures: {duct: {room: b, at: [5500, 0], size: [400, 4000], height: 1, load: 700 kg}}"
"""A strip right across room b: what goes to far goes over it, two wheels at once."""


def test_two_wheels_of_an_end_carry_together_what_moments_give_them() -> None:
    """(600 + 10) / 1200 of the whole on one end, whichever diagonal bears; on one of them alone as much."""
    end = together(FOUR_POINTS, (10.0, 0.0), {1, 2})
    assert end == pytest.approx(610 / 1200)
    assert together(FOUR_POINTS, (10.0, 0.0), {2}) == pytest.approx(0.5 + 10 / 1200, abs=0.01)
    assert together(FOUR_POINTS, (10.0, 0.0), {0, 1, 2, 3}) == pytest.approx(1.0)
    assert together(FOUR_POINTS, (700.0, 0.0), {1, 2}) is None  # it has gone over


def test_skates_put_no_more_on_a_cover_than_stands_on_it_at_once(tmp_path: Path) -> None:
    """1200 kg in the middle of four skates: half on an end, 5.89 kN; twice the worst single one is all."""
    text = shop_text(gear={"skates": SKATES}, mid="height: 2.2 m, threshold: 0", more=STRIP)
    plan = move(shop(tmp_path, text, (*PLAIN, *FOUR)))
    (cover,) = of(plan, "move-cover")
    assert cover.verdict is Verdict.YES
    assert row_of(cover).finding.measured == pytest.approx(1200 * 0.5 * 9.81e-3, rel=0.05)


WEAK = STRIP.replace("700 kg", "300 kg")


@pytest.mark.parametrize(
    ("plate", "verdict"),
    [
        ("", Verdict.NO),
        ("{kind: plate, size: [1000, 4300], height: 8, capacity: 3 t}", Verdict.ASKED),
        ("{kind: plate, size: [1000, 4300], height: 8, capacity: 300 kg}", Verdict.NO),
        ("{kind: plate, size: [500, 500], height: 8, capacity: 3 t}", Verdict.NO),
    ],
)
def test_a_plate_told_of_that_rests_beside_a_cover_makes_it_a_condition(
    tmp_path: Path, plate: str, verdict: Verdict
) -> None:
    gear = {"narrow truck": TRUCK, **({"plate": plate} if plate else {})}
    plan = move(shop(tmp_path, shop_text(gear=gear, mid="height: 2.2 m, threshold: 0", more=WEAK)))
    assert worst(plan, "move-cover") is verdict
    if verdict is Verdict.ASKED:
        (cover,) = of(plan, "move-cover")
        assert "plate over duct" in cover.text and "rests 150 mm" in cover.text


def test_a_cover_off_the_way_is_no_matter_where_the_feet_are_not_told(tmp_path: Path) -> None:
    more = "fixtures: {duct: {room: b, at: [9900, 3500], size: [400, 400], height: 1, load: 100 kg}}"
    plan = move(shop(tmp_path, shop_text(gear={"skates": SKATES}, more=more)))
    assert not of(plan, "move-cover")
    over = move(shop(tmp_path, shop_text(gear={"skates": SKATES}, more=WEAK)))
    assert of(over, "move-cover")


def test_what_is_asked_of_the_feet_is_asked_once(tmp_path: Path) -> None:
    plan = move(shop(tmp_path, shop_text(gear={"skates": SKATES})))
    assert plan.verdict is Verdict.OPEN
    assert not [p for p in plan.asks if "what a wheel of" in p.text]
    assert any("not known yet" in row_of(p).finding.text for p in of(plan, "move-point-load"))


DUCT = "openings: {{duct: {{room: {}, kind: grating, at: {}, size: {}, covered: yes, load: 100 kg}}}}"


@pytest.mark.parametrize("room", ["a", "b"])
def test_a_cover_in_a_doorway_is_judged_whichever_room_it_is_told_in(tmp_path: Path, room: str) -> None:
    """It lies across the 400 mm of the passage; both load rollers roll over it."""
    more = DUCT.format(room, "[4900, 1600]", "[700, 950]")
    plan = move(shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0", more=more)))
    assert worst(plan, "move-cover") is Verdict.NO
    (cover,) = of(plan, "move-cover")
    assert row_of(cover).finding.limit == pytest.approx(100 * 9.81e-3)


@pytest.mark.parametrize(("at", "size"), [("[4900, 1000]", "[700, 950]"), ("[4000, 100]", "[300, 300]")])
def test_what_is_in_the_floor_reaches_through_doorways_only(tmp_path: Path, at: str, size: str) -> None:
    with pytest.raises(ShopProblems, match="outside its room"):
        shop(tmp_path, shop_text(more=DUCT.format("b", at, size)))


def test_a_way_looked_for_off_a_cover_hides_nothing_else(tmp_path: Path) -> None:
    """Off a cover no way was found: what the way over its plate lacks is asked, and what forbids that for
    another reason forbids it. What only the cover forbids is not decided.
    """
    plan = move(shop(tmp_path, shop_text()))
    assert plan.attempt is not None and plan.legs
    option = Option(plan.gear.gear, plan.body, plan.gear, 0.0, ())

    def over(*parts: Part) -> Worked:
        return Worked(option, plan.attempt, parts, 3.0, plan.legs)

    slope = Ask("what slope does its handbook allow?", "gear: truck: {steepest: 1 in 25}", 1)
    asked = over(SLOPE_GEAR.open((), "b falls 1 in 12", slope), SILL.open((), "a sill", slope))
    lost = replace(plan.attempt, found=Found("not decided"))
    around = Worked(option, lost, (WAY.open((), "no way was found"),), 0.0)
    assert min(around, asked, key=lambda w: w.rank) is asked is _or_around(asked, around)
    grounds, weak = GROUNDS.no((), "20 mm is free"), COVER.no((), "the lid does not hold it")
    assert _or_around(over(grounds, weak), around).parts == (grounds, weak)
    assert _or_around(over(weak), around) is around


LID = (
    "openings: {{pit: {{room: a, kind: pit, at: {}, size: [600, 2000], covered: yes, load: {} kg, "
    "depth: 1 m}}}}"
)


@pytest.mark.parametrize(
    ("kg", "feet", "cg", "grade"),
    [
        (674, FOUR, "cg=50,0", ["stop"]),
        (676, FOUR, "cg=50,0", []),
        (674, FOUR, "", ["correct"]),
        (1199, (), "", ["correct"]),
        (1201, (), "", []),
    ],
)
def test_what_stands_on_a_cover_is_what_statics_puts_on_it(
    tmp_path: Path, kg: int, feet: tuple[str, ...], cg: str, grade: list[str]
) -> None:
    """Two of four feet 800 apart stand on it, the weight 50 towards them: 450 / 800 of 1200 kg is 675 kg."""
    known = (OUTLINE, *feet, *((cg,) if cg else ()))
    desk = shop(tmp_path, shop_text(more=LID.format("[2100, 1000]", kg)), known)
    found = [f for f in audit(desk.scene(), date(2026, 1, 5)) if "opening:pit" in f.subjects and f.judged]
    assert [f.grade for f in found] == grade


def test_it_is_not_put_down_on_a_cover_that_does_not_take_it(tmp_path: Path) -> None:
    """Two of four feet on it, the weight in the middle: 600 of 1200 kg."""
    text, known = shop_text(more=LID.format("[2100, 1000]", 599)), (OUTLINE, *FOUR, "cg=0,0")
    desk = shop(tmp_path, text, known, at=(1200, 2000, 0))
    key = next(g for g in desk.state.groups() if g.name == "press").id
    laid = desk.put(key, "a", x_mm=2200, y_mm=2000, turn_deg=0)
    assert any("stands on pit with 2 of its 4 feet" in stop.text for stop in laid.stops)


def test_it_is_not_jacked_on_a_cover_nor_a_plate_laid_where_it_stands(tmp_path: Path) -> None:
    """All four feet stand on 600 kg of lid: 11.8 kN; no plate goes under it there."""
    lid = LID.format("[1300, 1000]", 600).replace("[600, 2000]", "[1000, 2000]")
    gear = {"skates": SKATES, "plate": "{kind: plate, size: [2200, 2600], height: 5, capacity: 3 t}"}
    plan = move(
        shop(tmp_path, shop_text(gear=gear, mid="height: 2.2 m, threshold: 0", more=lid), (*PLAIN, *FOUR))
    )
    jacked = [p for p in of(plan, "move-cover") if "jacked" in p.subjects]
    assert [p.verdict for p in jacked] == [Verdict.NO]
    assert row_of(jacked[0]).finding.measured == pytest.approx(1200 * 9.81e-3, rel=1e-3)
    assert any("stands where plate would lie" in row_of(p).finding.text for p in of(plan, "move-cover"))


def test_feet_on_a_cover_that_takes_just_so_much_are_on_it_by_one_g(tmp_path: Path) -> None:
    """1200 kg on a lid that takes 1200 kg: a mass against a mass, whatever g is."""
    lid = LID.format("[1300, 1000]", 1200).replace("[600, 2000]", "[1000, 2000]")
    text = shop_text(gear={"skates": SKATES}, mid="height: 2.2 m, threshold: 0", more=lid)
    plan = move(shop(tmp_path, text, (*PLAIN, *FOUR)))
    (jacked,) = [p for p in of(plan, "move-cover") if "start" in p.subjects]
    assert jacked.verdict is Verdict.YES
