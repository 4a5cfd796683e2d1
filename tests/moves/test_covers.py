"""What stands on a cover at once, and the plate that carries it there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from building import box

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Pose
from shopbins.moves import pressing
from shopbins.moves.attempt import Attempt
from shopbins.moves.body import body
from shopbins.moves.finding import Ask, row_of
from shopbins.moves.gear import judge_gear
from shopbins.moves.gearsearch import _or_around
from shopbins.moves.layouts import with_laid
from shopbins.moves.legs import legs_of
from shopbins.moves.onslopes import SLOPE_GEAR
from shopbins.moves.option import Option, Worked
from shopbins.moves.overbends import GROUNDS
from shopbins.moves.overedges import SILL
from shopbins.moves.pressing import COVER, Cover, _most_on, covers, over_open_pits, together
from shopbins.moves.route import Route
from shopbins.moves.situation import Situation
from shopbins.moves.stances import castors
from shopbins.moves.tolerance import Found
from shopbins.moves.ways_out import WAY
from shopbins.rules.auditing import audit
from shopbins.shop.model import Gear
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


@pytest.mark.parametrize(("on", "kg"), [
    ({0, 1}, 850 * 620 / 1100 + 40), ({2, 3}, 850 * 560 / 1100 + 40), ({0, 1, 2, 3}, 930.0),
])  # fmt: skip
def test_two_castors_of_an_axle_carry_what_moments_give_them_turned_the_worst_way(
    on: set[int], kg: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By hand: stems 550 off the middle, trail 40, the centre of gravity 30 off it: front at 510, the
    rear at -590, (30 + 590) / 1100; the rear ones at -510, the front at 590, (590 - 30) / 1100; half of the
    trolley's 80 kg each. Never twice what one of them may bear, which on an uneven floor the other does not.
    """
    four = castors(((550, 380), (550, -380), (-550, 380), (-550, -380)), 40.0)
    trolley = SimpleNamespace(stances=(four,), gear=Gear("t", "t", "trolley", mass_kg=80.0))
    it: Any = SimpleNamespace(gear=trolley, load=SimpleNamespace(most_kg=850.0), kind="trolley")
    monkeypatch.setattr("shopbins.moves.pressing.centres", lambda _it: [SimpleNamespace(x_mm=30.0, y_mm=0.0)])
    assert _most_on(it, [{frozenset(on)}]) == pytest.approx(kg)


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


OPEN_PIT = "openings: {pit: {room: b, kind: pit, at: [5600, 0], size: [600, 4000], covered: no, depth: 1 m}}"
SHEETS = "{kind: plate, count: 2, size: [1200, 300], height: 20, mass: 56.5 kg, span: 600, capacity: "


def _over_pit(folder: Path, sheets: str, there: str | None = None) -> Situation:
    """The press on skates straight over an open pit 600 wide, or what else is there, right across room b."""
    more = OPEN_PIT if there is None else there
    text = shop_text(gear={"skates": SKATES, "sheet": sheets}, mid="height: 2.2 m, threshold: 0", more=more)
    desk = shop(folder, text, (*PLAIN, *FOUR))
    scene = desk.scene()
    press = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    gear = judge_gear(scene.shop.gear["skates"], press.load)
    route, path = Route(("a", "b"), ("mid",), 6200.0), (Pose(1800, 2000, 0), Pose(8000, 2000, 0))
    found = Attempt(Verdict.YES, press, gear, route, found=Found("goes", path=path), over=("pit",))
    legs = legs_of(scene, path, ("a", "b"))
    return with_laid(Situation(scene, press, gear, scene.shop.zones["far"], "", route, found, legs))


@pytest.mark.parametrize(
    ("sheets", "lies"),
    [
        (SHEETS + "610 kg}", ""),
        (SHEETS + "609 kg}", "sheet holds 609 kg over 600 mm, 610 kg comes onto one of 2"),
        (SHEETS.replace("count: 2", "count: 1") + "2 t}", "2 of sheet needed, 1 told of"),
        (SHEETS.replace("size: [1200, 300], ", "") + "2 t}", "the size of sheet is not told"),
    ],
)
def test_an_open_pit_is_gone_over_on_plates_as_a_cover_of_nothing(
    tmp_path: Path, sheets: str, lies: str
) -> None:
    """A plate lies under each track. Skates 800 mm apart on pads 230 wide reach a pit of 600 mm at once:
    305 / 600 of 1200 kg (measured to 5), 610 kg, on those of one side. Where none does, what each lacks is
    said, and it is not decided: wheels on either side of the pit are not looked at.
    """
    it = _over_pit(tmp_path, sheets)
    on, off = list(covers(it)), list(over_open_pits(it))
    if not lies:
        assert [p.verdict for p in on] == [Verdict.ASKED] and not off
        assert (
            on[0].text
            == "2 of sheet over pit, rests 300 mm each side on 1 mm packing, boards where anybody walks"
        )
    else:
        assert not on and [p.verdict for p in off] == [Verdict.OPEN]
        assert off[0].text.endswith(f"is not looked at, and no plate carries it there: {lies}")


@pytest.mark.parametrize(
    ("apart", "long", "lies"),
    [
        (100, 600, [("fixture:duct", "fixture:drain")]),  # 100 + 150 + 100 + 150 + 100
        (100, 580, [("fixture:duct",), ("fixture:drain",)]),  # too short for both: they lie on each other
        (500, 600, [("fixture:duct",), ("fixture:drain",)]),  # room for each by itself: 225 + 225 between
    ],
)
def test_one_run_of_plates_lies_over_covers_too_near_for_plates_over_each(
    tmp_path: Path, apart: int, long: int, lies: list[tuple[str, ...]]
) -> None:
    """Each rests 100 mm (own figure) on the floor on both sides of two ducts 150 wide."""
    at = "room: b, size: [150, 4000], height: 1, load: 1 kN"
    ducts = f"fixtures:\n  duct: {{at: [6000, 0], {at}}}\n  drain: {{at: [{6150 + apart}, 0], {at}}}\n"
    sheets = f"{{kind: plate, count: 4, size: [{long}, 300], height: 8, capacity: 2 t}}"
    it = _over_pit(tmp_path, sheets, ducts)
    assert [each.covers for each in it.laid] == lies
    said = [p.text for p in covers(it) if "sheet over" in p.text]
    assert len(said) == len(lies)
    assert len(lies) > 1 or said[0].startswith("2 of sheet over duct and drain, rests 100 mm each side")


def test_a_way_is_found_over_an_open_pit_only_with_plates_told_of(tmp_path: Path) -> None:
    """It is set down beside the pit, on floor."""
    text = shop_text(
        gear={"skates": SKATES, "sheet": SHEETS + "2 t}"}, mid="height: 2.2 m, threshold: 0", more=OPEN_PIT
    )
    plan = move(shop(tmp_path, text, (*PLAIN, *FOUR)))
    assert plan.path and any("2 of sheet over pit" in p.text for p in of(plan, "move-cover"))
    assert plan.goal is not None and plan.goal.x_mm - 500 >= 6200


@pytest.mark.parametrize(("y", "asked"), [(1500, True), (200, False)])
def test_nobody_is_in_the_room_below_a_hatch_that_it_rolls_over(tmp_path: Path, y: int, asked: bool) -> None:
    """A hatch of 400 x 800 at x 3500: the truck goes by mid, its wheels near y 2075."""
    vault = "  vault: {at: [30000, 0], size: [3000, 3000]}\ndoors:"
    hatch = f"{{room: a, kind: hatch, at: [3500, {y}], size: [400, 800], covered: yes, load: 5 t, to: vault}}"
    text = shop_text(mid="height: 2.2 m, threshold: 0", more=f"openings: {{hatch: {hatch}}}")
    plan = move(shop(tmp_path, text.replace("doors:", vault)))
    assert [p.text for p in of(plan, "move-edge")] == (["nobody in vault below hatch"] if asked else [])


@pytest.mark.parametrize(
    ("size", "count", "capacity", "lies"),
    [
        ((1500, 750), 4, 1000.0, "1 of plates"),  # 540 from track to track, 160 each
        ((750, 1500), 1, 1000.0, "plates"),
        ((1500, 400), 4, 1000.0, "2 of plates"),  # -270 to 80 on one, 110 to 270 on the next
        ((1500, 400), 1, 1000.0, ""),
        ((1500, 150), 4, 1000.0, ""),  # narrower than one track
        ((1050, 750), 4, 1000.0, ""),  # 900 and 100 at each end
        ((1500, 750), 4, 500.0, ""),
        ((1500, 750), 4, None, ""),
    ],
)
def test_plates_under_all_wheels_straight_across_leave_a_crooked_way_not_decided(
    monkeypatch: pytest.MonkeyPatch,
    size: tuple[float, float],
    count: int,
    capacity: float | None,
    lies: str,
) -> None:
    """Rollers 190 to both sides, the steering wheel in the middle, 80 to both sides of each; 522 kg."""
    plate = SimpleNamespace(name="plates", kind="plate", size_mm=size, count=count, capacity_kg=capacity)
    monkeypatch.setattr(pressing, "_plates_told", lambda _it: [plate])
    monkeypatch.setattr(pressing, "half_track_mm", lambda _it: 80.0)
    wheels = ((0.0, -100.0), (-190.0, 975.0), (190.0, 975.0))  # its axis is up the plan
    gear = SimpleNamespace(wheels=wheels, axis_deg=90.0)
    it: Any = SimpleNamespace(gear=gear, whole_kg=522.0, own={"plate rests": 100.0})
    cover: Any = SimpleNamespace(outline=box(3500, 0, 4400, 3000))
    assert pressing._lies_square(it, cover) == lies


def test_a_crooked_way_over_a_cover_is_no_proof_that_none_goes_straight(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """316 kg on a hatch for 300 kg: it forbids only where no plate told of would carry it straight across."""
    hatch = Cover("opening:hatch", "hatch", "top", box(3500, 0, 4400, 3000), 300.0, "")
    monkeypatch.setattr(pressing, "_rolled_over", lambda _it, _wheel: [(hatch, 2, False, 316.0)])
    monkeypatch.setattr(pressing, "_surely_on", lambda *_asked: 316.0)
    monkeypatch.setattr(pressing, "wheel_range_kg", lambda _it: None)
    monkeypatch.setattr(pressing, "_plates_do_not", lambda *_asked: "plates is narrower than the tracks")
    it: Any = SimpleNamespace(
        gear=SimpleNamespace(gear=SimpleNamespace(name="truck")), subjects=(), laid=(),
        own={"cover of test": 0.33},
    )  # fmt: skip
    for square, verdict in (("1 of plates", Verdict.OPEN), ("", Verdict.NO)):
        monkeypatch.setattr(pressing, "_lies_square", lambda *_asked, square=square: square)
        (part,) = covers(it)
        assert part.verdict is verdict and "316 kg" not in part.text and "3.1 kN" in part.text
        assert any("ramps up its edges" in end for end in row_of(part).ends) == bool(square)
