"""Cases with known figures, and answers a rigger would not let stand: each figure in closed form, its source
named. A test looks at the row it is about; other conditions may stand beside it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.desk import moving as at_desk
from shopbins.desk.accepting import meant
from shopbins.desk.movewords import told
from shopbins.desk.problems import BadInput, NotDone
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.ledger.model import Group, Mass, Size
from shopbins.moves.attempt import Attempt
from shopbins.moves.body import Projection, contradiction, in_one_place
from shopbins.moves.finding import Ask, row_of
from shopbins.moves.heights import band
from shopbins.moves.margin import Margin
from shopbins.moves.plan import Plan
from shopbins.moves.pressing import G
from shopbins.moves.situation import Situation
from shopbins.moves.stances import truck
from shopbins.records import acts_move
from shopbins.records.group import CHANGE
from shopbins.records.moving import At, Moving, moving_of
from shopbins.rules.floorload import area_load_kn_m2

from .weir import FOUR, OUTLINE, PLAIN, SKATES, TRUCK, B, move, of, shop, shop_text, tick, worst

SILL = "height: 2.2 m, threshold: 18"
NO_SILL = "height: 2.2 m, threshold: 0"
RAMP = "{kind: ramp, rise: 20, capacity: 3 t}"


def measured(plan: Plan, rule: str, verdict: Verdict) -> list[float]:
    found = [row_of(p).finding.measured for p in of(plan, rule) if p.verdict is verdict]
    return [m for m in found if m is not None]


# --- what nobody told ---------------------------------------------------------------------------------------


def test_a_sill_nobody_told_is_not_taken_to_be_none(tmp_path: Path) -> None:
    plan = move(shop(tmp_path, shop_text()))
    (part,) = of(plan, "door-sill")
    assert part.verdict is Verdict.ASKED and not row_of(part).finding.judged
    assert row_of(part).finding.text in plan.as_json()["not_judged"]
    (tmp_path / "told").mkdir()
    assert not of(move(shop(tmp_path / "told", shop_text(mid=NO_SILL))), "door-sill")


def test_a_sill_to_a_yard_is_asked_for(tmp_path: Path) -> None:
    """Sills of doors to outside are usual: unknown is not zero."""
    plan = move(
        shop(tmp_path, shop_text(b="floor load: 50 kN/m2, point load: 40 kN, outdoor: yes, slope: none"))
    )
    assert worst(plan, "door-sill") is Verdict.OPEN and plan.word == "not decided"
    assert any("sill of mid" in p.text for p in plan.asks)


def test_how_the_floor_rolls_is_a_condition_where_people_push(tmp_path: Path) -> None:
    """900 kg and 70 of truck: 190.3 N at 2 %, two men at 100 N; 951.6 N at 10 %, a winch (HSE INDG143)."""
    plan = move(shop(tmp_path, shop_text(mid=NO_SILL), mass=Mass(900)))
    assert [p.text for p in of(plan, "move-floor-even")] == ["even and clean: a", "even and clean: b"]
    assert not any(row_of(p).finding.judged for p in of(plan, "move-floor-even"))
    (pushed,) = of(plan, "move-push")
    assert row_of(pushed).finding.measured == pytest.approx(970 * 9.81 * 0.02, abs=0.1)
    (tmp_path / "told").mkdir()
    told = shop_text(a=f"{B}, even: yes", b=f"{B}, even: no", mid=NO_SILL)
    plan = move(shop(tmp_path / "told", told, mass=Mass(900)))
    assert not of(plan, "move-floor-even")
    assert row_of(of(plan, "move-push")[0]).finding.measured == pytest.approx(970 * 9.81 * 0.10, abs=0.1)
    (tmp_path / "light").mkdir()
    light = move(shop(tmp_path / "light", shop_text(mid=NO_SILL), mass=Mass(120)))
    assert not of(light, "move-floor-even")
    assert worst(light, "move-push") is Verdict.YES  # 186.4 N at 10 %: two men even there


def test_an_even_floor_is_accepted_once_for_every_move_over_it(tmp_path: Path) -> None:
    """By its room alone: another mass and another goal find it accepted; the other room stays open."""
    desk = shop(tmp_path, shop_text(mid=NO_SILL), mass=Mass(900))
    desk.accept(*meant(desk, "move-floor-even/room:a"), "one slab, swept")
    desk.do(CHANGE(next(g.id for g in desk.state.groups() if g.name == "press"), mass=Mass(800)))
    plan = move(desk, zone="b")
    said = {p.text: p.verdict for p in of(plan, "move-floor-even")}
    assert said == {"even and clean: a": Verdict.ACCEPTED, "even and clean: b": Verdict.ASKED}


# --- feet, forks, the centre of gravity ---------------------------------------------------------------------


@pytest.mark.parametrize("foot", ["foot=450,0", "foot=0,-250 100x100mm"])
def test_a_foot_in_the_opening_told_for_forks_is_a_contradiction(tmp_path: Path, foot: str) -> None:
    desk = shop(tmp_path, shop_text(), (*PLAIN, "foot=-400,300", foot))
    with pytest.raises(BadInput, match="stands in the opening of 420 mm"):
        move(desk)


def test_feet_are_told_one_by_one_or_all_at_once() -> None:
    def tell(it: Moving, *texts: str) -> Moving:
        return told(it, texts, str)

    three = (At(450, 0), At(-400, 300), At(-400, -300))
    one_by_one = Moving()
    for text in ("foot=450,0", "foot=-400,300", "foot=-400,-300"):
        one_by_one = tell(one_by_one, text)
    assert one_by_one.feet == three == tell(Moving(), "foot=450,0; -400,300; -400,-300").feet
    assert tell(one_by_one, "foot=450,0 100x80mm front").feet == (*three[1:], At(450, 0, (100, 80), "front"))
    assert tell(one_by_one, "foot=0,0", "foot=1,1").feet == (At(0, 0), At(1, 1))
    assert tell(one_by_one, "foot=none").feet == ()
    parts = tell(tell(Moving(), "comes off=head; 0,0 100x100mm"), "comes off=tray; 9,9 100x100mm")
    assert [p.name for p in parts.comes_off] == ["head", "tray"]
    heavier = tell(parts, "comes off=head; 0,0 100x100mm; 40kg")
    assert [(p.name, p.mass) for p in heavier.comes_off] == [("tray", None), ("head", Mass(40))]


@pytest.mark.parametrize(("more", "same", "close"), [
    ("head2; 0,0 500x600mm; 1700 to 2100; 90kg", True, True),
    ("head2; 2,0 500x600mm; 1700 to 2098; 70kg", True, True),
    ("head2; 3,0 500x600mm; 1700 to 2100; 90kg", False, True),
    ("motor; 0,0 300x300mm; 1901 to 2301; 40kg", False, False),  # 199 of its 400 mm
    ("motor; 0,0 300x300mm; 1899 to 2299; 40kg", False, True),
    ("motor; 500,0 500x600mm; 1700 to 2100; 90kg", False, False),  # beside it
    ("head2; 0,0 500x600mm", False, False),  # nobody told how high
])  # fmt: skip
def test_two_parts_told_in_one_place(more: str, same: bool, close: bool) -> None:
    """Two bodies do not fill one space (geometry)."""
    texts = ["comes off=head; 0,0 500x600mm; 1700 to 2100; 90kg", f"comes off={more}"]
    two = told(Moving(), texts, str)
    press = Group("g", "ZG1", "press", size=Size(1400, 1200, 1700), mass=Mass(1800))
    wrong = contradiction(press, two, rectangle(1400, 1200))
    other = more.partition(";")[0]
    at = f"head and {other} fill the same space, 0,0 and 1700 mm up"
    assert wrong == (at if same else "")
    parts = [Projection(p.name, "", "", p.outline, p.from_mm, p.to_mm, p.mass, 30.0) for p in two.comes_off]
    assert [(a.name, b.name) for a, b in in_one_place(parts)] == [("head", other)] * close


def test_a_pallet_is_entered_from_all_four_sides(tmp_path: Path) -> None:
    """UIC 435-2: a EUR pallet takes forks from both its ends and from both its long sides."""
    from shopbins.moves.body import body

    known = ("outline=-600,-400; 600,-400; 600,400; -600,400", "height=1200mm", "pallet=EUR")
    desk = shop(tmp_path, shop_text(), known)
    key = next(g for g in desk.state.groups() if g.name == "press").id
    sides = [o.towards_deg for o in body(desk.scene(), key).load.met_by_forks()]
    assert sorted(sides) == [0.0, 90.0, 180.0, 270.0]


def test_of_a_thing_on_a_pallet_nobody_told_of_the_pallet_is_asked(tmp_path: Path) -> None:
    """An EUR pallet has the openings of EN 13698-1; those of others vary by maker (common practice)."""
    desk = shop(tmp_path, shop_text(mid=NO_SILL), (OUTLINE, "height=1700mm", "cg=0,0", "cg height=700mm"))
    key = next(g for g in desk.state.groups() if g.name == "press").id
    desk.do(CHANGE(key, container="pallet"))
    asks = [row_of(p).ask for p in move(desk).asks]
    (ask,) = [a for a in asks if a is not None and a.figures is not None and a.figures[1][0][0] == "pallet"]
    assert at_desk.tell(desk, ask.figures[0], dict(ask.figures[1]))
    assert worst(move(desk), "gear-under") in (None, Verdict.YES, Verdict.NO)


def test_how_well_a_centre_of_gravity_is_known_is_read_and_carried(tmp_path: Path) -> None:
    """Half width 500 mm from the heel: 130 x 600 / 1075 = 72.6 mm. 60 aside stands, 60 +- 20 hangs on it."""
    sure = (*(p for p in PLAIN if not p.startswith("cg=")), "cg=0,60")
    gear = {"narrow truck": TRUCK}
    assert worst(move(shop(tmp_path, shop_text(gear=gear), sure)), "move-tips") is not Verdict.NO
    (tmp_path / "again").mkdir()
    spread = (*(p for p in PLAIN if not p.startswith("cg=")), "cg=0,60 +- 20 mm")
    desk = shop(tmp_path / "again", shop_text(gear=gear), spread)
    group = next(g for g in desk.state.groups() if g.name == "press")
    assert moving_of(group).cg_within_mm == 20
    assert worst(move(desk), "move-tips") is Verdict.AGAIN


def test_a_truck_stands_on_rollers_and_steering_wheels_by_moments() -> None:
    """1660 kg on TW, 500 from the heel and 60 aside: 725.4, 201.2 and 733.5 kg (barycentric coordinates)."""
    wide = truck(
        (0.0, 0.0), 0.0, over_forks_mm=540, fork_width_mm=160, fork_length_mm=1150, steering_axle_mm=100,
        load_rollers_mm=175,
    )  # fmt: skip
    kg = sorted(r.most * 1660 for r in wide.bears((500, 60)))
    assert kg == pytest.approx([201.2, 725.4, 733.5], abs=0.1)


# --- floors -------------------------------------------------------------------------------------------------


def test_wheels_not_told_press_with_a_quarter_to_half_and_told_by_moments(tmp_path: Path) -> None:
    """1900 kg on a truck of 70 and a floor of 5 kN: 4.83 to 9.66 kN, so it hangs on where the wheels are.

    Told (TW, the load 500 from the heel): 1900 x 600 / 1075 / 2 = 530.2 kg, 5.202 kN a roller.
    """
    weak = "headroom: 3 m, floor load: 50 kN/m2, point load: 5 kN"
    wide = TRUCK.replace("over forks: 400, between forks: 120", "over forks: 540, between forks: 220")
    known = (*(p for p in PLAIN if not p.startswith("opening")), "opening=560mm")
    untold = wide.replace(", steering axle: 100, load rollers: 175", "")
    plan = move(shop(tmp_path, shop_text(a=weak, b=weak, gear={"truck": untold}), known, Mass(1900)))
    (found,) = {row_of(p).finding for p in of(plan, "move-point-load") if row_of(p).finding.room == "a"}
    assert not found.judged and found.measured == pytest.approx(1970 / 2 * 9.81 / 1000, abs=0.001)
    assert "4.83 kN to 9.66 kN" in found.text
    assert any("wheels of truck" in p.text for p in plan.asks)
    (tmp_path / "told").mkdir()
    desk = shop(tmp_path / "told", shop_text(a=weak, b=weak, gear={"truck": wide}), known, Mass(1900))
    told_of = move(desk)
    assert told_of.word == "does not go" and measured(told_of, "move-point-load", Verdict.NO)
    from shopbins.moves.gear import judge_gear

    on_it = judge_gear(desk.shop.gear["truck"], told_of.body.load).stances[0]
    rollers = [r.most * 1900 * 9.81 / 1000 for r in on_it.bears((0, 0)) if "roller" in r.support.name]
    assert rollers == pytest.approx([5.202, 5.202], abs=0.001)


def test_four_feet_are_shimmed_and_four_skates_refused(tmp_path: Path) -> None:
    """1800 kg on four: alike 4.41 kN each, but any one may bear half, 8.83 kN, on a floor of 5 kN."""
    weak = "headroom: 3 m, floor load: 50 kN/m2, point load: 5 kN"
    four = tuple(f"foot={x},{y}" for x, y in ((-450, 300), (-450, -300), (450, 300), (450, -300)))
    known = (OUTLINE, "height=1700mm", "cg=0,0", "cg height=700mm", *four)
    desk = shop(tmp_path, shop_text(a=weak, b=weak, gear={"skates": SKATES}), known, Mass(1800))
    plan = move(desk)
    assert plan.word == "does not go"
    assert max(measured(plan, "move-point-load", Verdict.NO)) == pytest.approx(8.83, rel=0.02)


@pytest.mark.parametrize(
    ("feet", "grade", "kn", "verdict"),
    [
        ((*((-450, y) for y in (300, -300)), (450, 0)), "stop", 8.83, Verdict.NO),
        (tuple((x, y) for x in (-450, 450) for y in (300, -300)), "note", 8.83, Verdict.ASKED),
        (((450, 200), (450, -200), (-450, 200), (-450, -200), (0, 0)), "note", 17.66, Verdict.ASKED),
    ],
    ids=["three", "four", "five"],
)
def test_the_audit_says_of_its_feet_what_the_move_says(
    tmp_path: Path, feet: tuple[tuple[float, float], ...], grade: str, kn: float, verdict: Verdict
) -> None:
    """1800 kg over a floor of 5 kN a point. Statics of a stiff body: on three feet half on the front one,
    of four half on any one of a pair of diagonals (alike 4.41 kN), of five all of it on the middle one.
    """
    from shopbins.moves.pressing import stood
    from shopbins.rules.auditing import audit

    weak = "headroom: 3 m, floor load: 50 kN/m2, point load: 5 kN"
    known = (
        "outline=-500,-350; 500,-350; 500,350; -500,350", "height=1700mm", "cg=0,0", "cg height=700mm",
        *(f"foot={x},{y}" for x, y in feet),
    )  # fmt: skip
    desk = shop(tmp_path, shop_text(a=weak, b=weak, gear={"truck": TRUCK}), known, Mass(1800))
    (audited,) = (f for f in audit(desk.scene(), date(2026, 1, 5)) if f.rule == "point-load")
    assert (audited.grade, audited.measured) == (grade, pytest.approx(kn, abs=0.01))
    plan = move(desk)
    it = Situation(
        desk.scene(), plan.body, plan.gear, desk.scene().zone("far"), "", attempt=_stood_there(plan)
    )
    (moved,) = (p for p in stood(it) if row_of(p).finding.rule == "move-point-load")
    assert moved.verdict is verdict
    assert row_of(moved).finding.measured == pytest.approx(kn, abs=0.01)


def _stood_there(plan: Plan) -> Attempt:
    return Attempt(Verdict.YES, plan.body, plan.gear, goal=Pose(8400, 2000, 0))


def test_a_plate_has_to_be_so_large_that_the_floor_takes_it_spread() -> None:
    """463.26 kg on 600 x 400 mm are 18.94 kN/m2; on 5 kN/m2 they need 0.909 m2 (force / area)."""
    assert area_load_kn_m2(463.26, 600 * 400) == pytest.approx(18.94, rel=1e-3)
    assert pytest.approx(0.909, abs=0.001) == 463.26 * G / 5


# --- slopes and forces --------------------------------------------------------------------------------------


def test_downhill_the_headline_holds_back_and_one_figure_holds(tmp_path: Path) -> None:
    """1270 kg on 1 in 15: m g sin(t) = 828.7 N, on the sheet, in the line and let go; nothing off for wheels.

    Up again 1270 x 9.81 x (mu cos(t) + sin(t)): 1077.4 to 2071.9 N at 2 and 10 % (HSE L23).
    """
    slope = f"{B}, slope: {{fall: 1 in 15, towards: 0}}"
    anchor = f"{B}, anchors: {{ring: {{at: [200, 2000], height: 300, load: 20 kN}}}}"
    truck = TRUCK.replace("wheel: 74", "wheel: 74, steepest: 1 in 12")
    plan = move(shop(tmp_path, shop_text(a=anchor, b=slope, mid=NO_SILL, gear={"narrow truck": truck})))
    from shopbins.moves.running import force_on

    steepest = max(plan.legs, key=lambda leg: leg.fall)
    found = force_on(plan.body.load, plan.gear.gear, steepest)
    assert found is not None
    t = math.atan(steepest.fall)
    assert found.hold_back == pytest.approx(1270 * 9.81 * math.sin(t), abs=0.1)
    assert found.hold_back <= 828.8
    (runs,) = of(plan, "runs-downhill")
    assert row_of(runs).finding.measured == pytest.approx(828.7, abs=0.1)


# --- heights ------------------------------------------------------------------------------------------------


def test_a_low_beam_that_shuts_the_way_is_named_with_what_it_lacks(tmp_path: Path) -> None:
    """Beam 1600 over the whole room, thing 1700: 100 too high even set down."""
    beam = "fixtures:\n  beam: {room: b, at: [6000, 0], size: [250, 4000], base: 1600, height: 400}"
    plan = move(shop(tmp_path, shop_text(mid=NO_SILL, more=beam)))
    assert plan.word == "does not go" and "beam hangs at 1600 mm" in plan.headline
    (part,) = (p for p in of(plan, "move-height") if p.verdict is Verdict.NO)
    found = row_of(part).finding
    assert (found.measured, found.limit) == (1700, 1600) and "fixture:beam" in found.subjects


def test_round_a_low_beam_is_a_way(tmp_path: Path) -> None:
    beam = "fixtures:\n  beam: {room: b, at: [6000, 0], size: [250, 1500], base: 1600, height: 400}"
    assert move(shop(tmp_path, shop_text(mid=NO_SILL, more=beam))).verdict is Verdict.ASKED


def test_over_a_sill_under_a_beam_each_measure_has_its_share() -> None:
    """Beam 1750, sill 45, thing 1700, each +- 5: 5 to spare of 15 uncertain, and all three are named."""
    found = band(1750, 1700, 45, 5, under="beam", thing="press")
    margin = Margin(found.spare_mm, found.inputs)
    assert margin.verdict is Verdict.AGAIN
    assert {what for what, _ in margin.shares} == {"height of beam", "height of press", "sill of beam"}
    assert [each["share"] for each in margin.as_json()] == pytest.approx([1 / 3] * 3, abs=0.001)


@pytest.mark.parametrize(
    ("body", "door_within", "verdict"),
    [(760, 60, Verdict.AGAIN), (760, 30, Verdict.YES), (870, 60, Verdict.NO)],
)
def test_what_is_left_against_the_sum_of_all_it_may_be_off(
    body: float, door_within: float, verdict: Verdict
) -> None:
    """800 +- 60 for 760 +- 5: 40 of 65. +- 30: 40 of 35. For 870: -70 of 65."""
    margin = Margin(800 - body, (("press", 5.0), ("clear width of mid", door_within)))
    assert margin.verdict is verdict
    assert margin.measure[0].startswith("clear width of mid (+- ")


def test_what_it_depends_on_stands_in_json_with_its_share(tmp_path: Path) -> None:
    """Door 1705 high, thing 1700 each +- 5: 5 to spare of 10."""
    plan = move(shop(tmp_path, shop_text(mid="height: 1705 mm, threshold: 0")))
    assert plan.word == "depends"
    (one,) = (d for d in plan.as_json()["depends"] if d["limit"] == 1705)
    assert [(i["within"], i["share"]) for i in one["inputs"]] == [(5.0, 0.5), (5.0, 0.5)]


# --- on and off, parts, order -------------------------------------------------------------------------------

JACKS = ("jack=-400,-300", "jack=400,-300", "jack=400,300", "jack=-400,300")


@pytest.mark.parametrize(
    ("jack", "verdict"),
    [
        ("capacity: 2.5 t", Verdict.OPEN),  # what it lifts on its toe is less than on its head, and not told
        ("capacity: 2.5 t, toe: 500 kg", Verdict.NO),  # half of 1200 kg and more under one end
        ("capacity: 2.5 t, toe: 1 t", Verdict.ASKED),
        # 40 mm are free under it, the toe at its lowest, each to 5 mm: 30 fits, 50 may just, 51 does not
        ("toe: 1 t, lowered: 29", Verdict.ASKED),
        ("toe: 1 t, lowered: 30", Verdict.AGAIN),
        ("toe: 1 t, lowered: 50", Verdict.AGAIN),
        ("toe: 1 t, lowered: 51", Verdict.NO),
        ("toe: 400 kg, lowered: 45", Verdict.NO),  # the worse of the toe's height and what it lifts
    ],
)
def test_a_toe_jack_by_its_toe(tmp_path: Path, jack: str, verdict: Verdict) -> None:
    known = (OUTLINE, "height=1700mm", "under=40mm", "cg=0,0", "cg height=700mm", *JACKS)
    gear = {"skates": SKATES, "jack": f"{{kind: toe jack, size: [300, 200], {jack}}}"}
    plan = move(shop(tmp_path, shop_text(mid=NO_SILL, gear=gear), known))
    assert worst(plan, "move-jacking") is verdict


@pytest.mark.parametrize(("within", "verdict"), [(8, Verdict.AGAIN), (2, Verdict.NO)])
def test_a_toe_within_what_is_told_of_the_measuring_is_measured_again(
    tmp_path: Path, within: int, verdict: Verdict
) -> None:
    """60 free, a toe of 68 (its plate to 5 mm): 60 + 8 + 5 = 73 goes, 60 + 2 + 5 = 67 does not."""
    known = (OUTLINE, "height=1700mm", f"under=60 +- {within} mm", "cg=0,0", "cg height=700mm", *JACKS)
    gear = {"skates": SKATES, "jack": "{kind: toe jack, size: [300, 200], toe: 1 t, lowered: 68}"}
    plan = move(shop(tmp_path, shop_text(mid=NO_SILL, gear=gear), known))
    assert worst(plan, "move-jacking") is verdict


@pytest.mark.parametrize(("raised", "packed"), [(119, True), (120, False)])
def test_a_toe_that_does_not_go_high_enough_is_set_on_packing(
    tmp_path: Path, raised: int, packed: bool
) -> None:
    """Its base is 40 up and goes to 110, the skate, and 10 of room for it (own figure): the toe to 120."""
    known = (OUTLINE, "height=1700mm", "under=40mm", "cg=0,0", "cg height=700mm", *JACKS)
    gear = {"skates": SKATES, "jack": f"{{kind: toe jack, size: [300, 200], toe: 1 t, raised: {raised}}}"}
    plan = move(shop(tmp_path, shop_text(mid=NO_SILL, gear=gear), known))
    words = [p.text for p in of(plan, "move-jacking")]
    assert ("jack packed up on the way: toe to 120 mm" in words) is packed


def test_a_jack_and_who_works_it_need_room_at_both_ends(tmp_path: Path) -> None:
    """100 mm behind it and 170 beside it: no side leaves 300 + 500 (ISO 13854)."""
    known = (OUTLINE, "height=1700mm", "under=110mm", "cg=0,0", "cg height=700mm", *JACKS)
    jack = "{kind: toe jack, size: [300, 200], toe: 2 t}"
    text = shop_text(mid=NO_SILL, gear={"skates": SKATES, "jack": jack})
    roomy = move(shop(tmp_path, text, known))
    assert not [p for p in of(roomy, "move-room-jack") if p.verdict >= Verdict.AGAIN]
    (tmp_path / "tight").mkdir()
    niche = "fixtures:\n  north: {room: a, at: [0, 2520], size: [3600, 1400], height: 2500}\n"
    niche += "  south: {room: a, at: [0, 0], size: [3600, 1480], height: 2500}\n"
    niche += "  west: {room: a, at: [0, 1480], size: [1200, 1040], height: 2500}"
    tight = move(shop(tmp_path / "tight", text + niche + "\n", known))
    assert worst(tight, "move-room-jack") is Verdict.NO
    assert max(measured(tight, "move-room-jack", Verdict.NO)) < 800


def test_all_others_keep_off_as_far_as_it_is_high(tmp_path: Path) -> None:
    """1700 high on skates of 110 that stand under its 110 mm base: it would reach 1700 mm when it falls."""
    known = (OUTLINE, "height=1700mm", "under=110mm", "cg=0,0", "cg height=700mm", *JACKS)
    plan = move(shop(tmp_path, shop_text(mid=NO_SILL, gear={"skates": SKATES}), known))
    assert measured(plan, "move-fall-zone", Verdict.ASKED) == [1700]
    (tmp_path / "truck").mkdir()
    assert not of(move(shop(tmp_path / "truck", shop_text(mid=NO_SILL))), "move-fall-zone")


def test_a_part_without_a_record_gets_a_place_too(tmp_path: Path) -> None:
    """1180 wide with its tray through a door of 1150; the tray, 20 kg, is one man's (HSE INDG143)."""
    known = (*PLAIN, "comes off=tray; 0,440 300x300mm; 900 to 1000; 20kg; 5 min")
    text = shop_text(mid=NO_SILL).replace("[5000, 2650]", "[5000, 2400]")
    text = text.replace(
        "gear:\n", "  shelf: {room: a, kind: floor, at: [200, 200], size: [900, 900]}\ngear:\n"
    )
    plan = move(shop(tmp_path, text, known))
    assert [p.name for p in plan.off_first] == ["tray"] and plan.verdict is Verdict.ASKED
    assert plan.resting["tray"].zone
    assert not of(plan, "move-part-place")


def test_a_lump_in_the_way_is_weighed_first_or_gone_round(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text(mid=NO_SILL))
    lump = desk.take("lump", size=Size(900, 900, 700)).id
    desk.put(lump, "b", x_mm=6000, y_mm=2075, override="x")  # right before the door: no way round it
    plan = move(desk)
    assert plan.shift and plan.word == "not decided"
    assert any("lump" in p.text for p in plan.asks)
    desk.do(CHANGE(lump, mass=Mass(20)))
    again = move(desk)
    assert again.verdict is Verdict.ASKED
    from shopbins.moves.steps import steps_of

    titles = [step["title"] for step in steps_of(desk.scene(), again)]
    assert titles[0].startswith("shift lump (20 kg) to b")


# --- ramps --------------------------------------------------------------------------------------------------


def test_a_load_down_a_ramp_is_held_by_something_named(tmp_path: Path) -> None:
    """710.3 kg on the rollers (half the truck with them), on a ramp shorter than 1075: 579 N down 1 in 12."""
    gear = {"narrow truck": TRUCK.replace("wheel: 74", "wheel: 74, steepest: 1 in 10"), "ramp": RAMP}
    plan = move(shop(tmp_path, shop_text(mid=SILL, gear=gear)))
    (runs,) = of(plan, "runs-downhill")
    assert runs.verdict is Verdict.ASKED and "6 men" in runs.text and "nobody ahead" in runs.text
    force = 710.3 * 9.81 * math.sin(math.atan(1 / 12))
    assert row_of(runs).finding.measured == pytest.approx(force, rel=0.02)
    (tmp_path / "anchor").mkdir()
    ring = f"{B}, anchors: {{ring: {{at: [200, 2075], height: 300, load: 20 kN}}}}"
    held = move(shop(tmp_path / "anchor", shop_text(a=ring, mid=SILL, gear=gear)))
    (runs,) = of(held, "runs-downhill")
    assert runs.verdict is Verdict.ASKED and "line to ring" in runs.text


@pytest.mark.parametrize(("sill", "verdict"), [(20, Verdict.ASKED), (58, Verdict.ASKED), (60, Verdict.NO)])
def test_what_a_low_sill_lets_loose_is_spent_before_it_runs_away(
    tmp_path: Path, sill: int, verdict: Verdict
) -> None:
    """Energy: m g h = 0.02 m g s, so that it rolls 50 times the sill on the level (2 %: HSE L23).

    Room b is 5 m deep. With its last wheels at the foot of a ramp of 1 in 12 the load takes 1376 mm ahead of
    that: of a sill of 58 mm 2928 mm of floor are left, where 2900 are rolled; of 60 mm 2904 for 3000.
    """
    gear = {
        "narrow truck": TRUCK.replace("wheel: 74", "wheel: 110, steepest: 1 in 8"),
        "ramp": RAMP.replace("20", str(sill)),
    }
    plan = move(shop(tmp_path, shop_text(mid=SILL.replace("18", str(sill)), gear=gear)))
    (runs,) = of(plan, "runs-downhill")
    assert runs.verdict is verdict
    assert f"{50 * sill} mm on" in row_of(runs).finding.text or verdict is Verdict.NO


# --- a needless no ------------------------------------------------------------------------------------------


def test_where_forks_cannot_come_out_it_is_turned_before_it_is_refused(tmp_path: Path) -> None:
    """A goal against the far wall: nose in leaves the whole room to withdraw, 2050 mm, nose out nothing."""
    text = shop_text(mid=NO_SILL).replace(
        "at: [7000, 600], size: [2800, 2800]", "at: [9000, 600], size: [1300, 2800]"
    )
    plan = move(shop(tmp_path, text))
    assert plan.verdict is Verdict.ASKED, plan.headline


def test_another_spot_is_looked_for_where_one_is_turned_down(tmp_path: Path, monkeypatch) -> None:
    """What a way shows only once it is found (here: no room for who steers) refuses that spot alone."""
    from shopbins.moves.gearsearch import Search

    plan = move(desk := shop(tmp_path, shop_text(mid=NO_SILL)))
    first = plan.goal
    judged = Search._judged

    def refused(self, option, route, tried):
        from shopbins.moves.room import PERSON

        found = judged(self, option, route, tried)
        if tried.goal == first and found.legs:
            no = PERSON.no(("gear:narrow truck",), "no place behind the handle")
            found = replace(found, parts=(*found.parts, no))
        return found

    monkeypatch.setattr(Search, "_judged", refused)
    again = move(desk)
    assert again.verdict is Verdict.ASKED and again.goal != first


# --- figures typed in where they are asked ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("told_by", "places"),
    [
        ("gear: jack: {toe: 1 t}", [(("gear", "jack", "toe"), "1 t")]),
        (
            "gear: truck: {lowered: 85, raised: 200}",
            [(("gear", "truck", "lowered"), "85"), (("gear", "truck", "raised"), "200")],
        ),
        (
            "rooms: a: {anchors: {ring: {load: 10 kN}}}",
            [(("rooms", "a", "anchors", "ring", "load"), "10 kN")],
        ),
        (
            "gear: truck: {wheel places: [[500, 300], ...]}",
            [(("gear", "truck", "wheel places"), "[[500, 300], ...]")],
        ),
        ("shopbins set X --mass 3kg", []),
    ],
)
def test_a_question_knows_its_place_in_the_shop_file(
    told_by: str, places: list[tuple[tuple[str, ...], str]]
) -> None:
    assert list(Ask("?", told_by).in_file) == places


def test_a_figure_of_the_shop_file_is_told_where_it_is_asked(tmp_path: Path) -> None:
    slope = f"{B}, slope: {{fall: 1 in 30, towards: 0}}"
    anchor = f"{B}, anchors: {{ring: {{at: [200, 2000], height: 300}}}}"
    desk = shop(tmp_path, shop_text(a=anchor, b=slope, mid=NO_SILL))
    plan = move(desk)
    asked = [row_of(p).ask for p in plan.asks]
    every = {path: example for ask in asked if ask is not None for path, example in ask.in_file}
    assert set(every) >= {("gear", "narrow truck", "steepest"), ("rooms", "a", "anchors", "ring", "load")}
    with pytest.raises(BadInput):
        at_desk.tell_in_file(desk, {("gear", "narrow truck", "steepest"): "steep"})
    at_desk.tell_in_file(desk, {**every, ("gear", "narrow truck", "steepest"): "1 in 20"})
    assert desk.shop.gear["narrow truck"].steepest == pytest.approx(1 / 20)
    assert move(desk).verdict is Verdict.ASKED


# --- ticking ------------------------------------------------------------------------------------------------


def test_each_step_wants_accepted_what_is_due_by_it_and_no_more(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    plan = move(desk)
    at_desk.put_on_record(desk, plan)
    steps = at_desk.steps(desk, plan.group)
    needs = [key for step in steps for key in step.get("needs", ())]
    assert sorted(needs) == sorted(row_of(p).finding.id for p in plan.conditions)  # each by one step
    for n, step in enumerate(steps):
        left = at_desk.still_open(desk, plan.group, n)
        assert sorted(each.id for each in left) == sorted(step.get("needs", ()))
        for each in left:
            seq = desk.seq
            with pytest.raises(NotDone) as why:
                at_desk.tick(desk, plan.group, n)
            assert desk.seq == seq and f"not accepted yet: {each.text}" in why.value.lines
            (told,) = (row_of(p).finding.text for p in plan.conditions if row_of(p).finding.id == each.id)
            assert told in each.text  # in full, as on its row
            (same,) = meant(desk, each.id)
            desk.accept(same, f"looked at it for step {n}")
        at_desk.tick(desk, plan.group, n, override="x")
    assert any(step.get("needs") for step in steps[1:])


def test_a_plan_of_an_older_ledger_wants_all_of_them_at_its_first_step(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    plan = move(desk)
    at_desk.put_on_record(desk, plan)
    every = at_desk.still_open(desk, plan.group)
    doc = acts_move.planned(desk.state, plan.group)
    assert doc is not None
    steps = [{key: value for key, value in step.items() if key != "needs"} for step in doc["steps"]]
    steps[0] |= {"open": [every[0].id], "why": "the foreman is away"}  # let pass, as was done then
    desk.record(
        lambda state: acts_move.plan_move(
            state, plan.group, doc["title"], steps, doc["conditions"], doc["asked"], doc["rests"]
        )
    )
    assert at_desk.still_open(desk, plan.group, 0) == every[1:]


def edited(desk: Desk, old: str, new: str) -> None:
    text = desk.shop_path.read_text()
    assert old in text
    desk.shop_path.write_text(text.replace(old, new))
    desk.refresh()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("plate", "narrow truck: capacity 2.3 t, now 1.1 t"),
        ("floor", "a: point load 40 kN, now 4 kN"),
        ("door", "mid: height 2200 mm, now 1600 mm"),
        ("gear gone", "narrow truck: no longer there"),
        ("people", "us: people 3, now 1"),
        ("mass", "press: mass 1.2 t, now 1.9 t"),
        ("spot", "press: stands at"),
        ("in the way", "crate: new there"),
    ],
)
def test_before_every_tick_what_the_plan_rests_on_is_compared(tmp_path: Path, what: str, said: str) -> None:
    """With the plan made, and read again by another session: a step is refused, and it says what changed."""
    gear = {"narrow truck": TRUCK, "us": "{kind: by hand, people: 3}"}
    desk = shop(tmp_path, shop_text(gear=gear), mass=Mass(1200))
    crate = desk.take("crate", size=Size(400, 400, 500), mass=Mass(40)).id
    desk.put(crate, "a", x_mm=200, y_mm=3800, override="x")  # a corner the move does not come near to
    plan = move(desk)
    at_desk.put_on_record(desk, plan)
    tick(desk, plan.group, 0)
    for each in at_desk.still_open(desk, plan.group):
        desk.accept(each, f"looked at: {each.id}")
    assert at_desk.changed(desk, plan.group) == []
    seq = desk.seq
    if what == "mass":
        desk.do(CHANGE(plan.group, mass=Mass(1900)))
    elif what == "spot":
        desk.put(plan.group, "a", x_mm=1850, y_mm=2000, override="x")
    elif what == "in the way":
        desk.put(crate, "b", x_mm=1000, y_mm=2000, override="x")
    else:
        old, new = {
            "plate": ("capacity: 2.3 t", "capacity: 1.1 t"),
            "floor": (f"size: [5000, 4000], {B}}}\n  b", "size: [5000, 4000], headroom: 3 m, "
                      "floor load: 50 kN/m2, point load: 4 kN}\n  b"),
            "door": ("opens: open, height: 2.2 m}", "opens: open, height: 1.6 m}"),
            "gear gone": ("  narrow truck:", "  other truck:"),
            "people": ("people: 3", "people: 1"),
        }[what]  # fmt: skip
        edited(desk, old, new)
    seq = desk.seq
    with Desk.open(desk.shop_path, by="mate") as other:
        with pytest.raises(NotDone) as why:
            at_desk.tick(other, plan.group, 1)
        assert "changed since it was planned" in str(why.value) and said in str(why.value)
        assert other.seq == seq and not at_desk.steps(other, plan.group)[1].get("done")
        with pytest.raises(NotDone, match="changed since it was worked out"):
            at_desk.put_on_record(other, plan)  # an answer of before is not planned either


def test_what_only_is_written_or_stands_elsewhere_stops_no_tick(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    crate = desk.take("crate", size=Size(400, 400, 500), mass=Mass(40)).id
    plan = move(desk)
    at_desk.put_on_record(desk, plan)
    desk.do(CHANGE(plan.group, note="painted"))
    desk.put(crate, "a", x_mm=200, y_mm=3800, override="x")
    edited(desk, "shop: Weir Loft", "shop: Weir Loft and yard")
    assert at_desk.changed(desk, plan.group) == []
    for n in range(len(at_desk.steps(desk, plan.group))):
        tick(desk, plan.group, n, override="x")


def test_one_undo_takes_back_a_tick_with_all_it_recorded(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text())
    plan = move(desk)
    before = desk.state.group(plan.group).where
    at_desk.put_on_record(desk, plan)
    moved = next(n for n, s in enumerate(at_desk.steps(desk, plan.group)) if s["what"] == "move")
    for n in range(moved + 1):
        tick(desk, plan.group, n, override="x")
    assert desk.state.group(plan.group).where != before
    _, taken = desk.undo(override="x")
    assert "ticked a step of moving press" in taken
    assert desk.state.group(plan.group).where == before
    assert at_desk.next_step(desk, plan.group) == moved and at_desk.changed(desk, plan.group) == []


@pytest.mark.parametrize(("there", "said"), [(1, "2 (1 told) to push or hold it, level in a"), (2, "")])
def test_more_hands_than_are_told_of_are_said_to_lack(tmp_path: Path, there: int, said: str) -> None:
    """800 kg and the truck's 70 on 2 %: 171 N, two at 100 N each to keep it going (HSE L23)."""
    even = f"{B}, even: yes"
    gear = {"narrow truck": TRUCK, "us": f"{{kind: by hand, people: {there}}}"}
    text = shop_text(a=even, b=even, mid="height: 2.2 m, threshold: 0", gear=gear)
    plan = move(shop(tmp_path, text, mass=Mass(800)))
    assert [p.text for p in plan.conditions if "told)" in p.text] == [said] * bool(said)


def test_what_is_told_is_not_asked_again(tmp_path: Path) -> None:
    """Feet without their pads leave the opening open, and nothing else: what is free under it was told."""
    known = (OUTLINE, "height=1700mm", "under=110mm", "cg=0,0", "cg height=700mm", *FOUR)
    plan = move(shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0"), known))
    asks = [ask for p in plan.asks if (ask := row_of(p).ask) is not None]
    assert any("--moving opening=500mm" in ask.set for ask in asks)
    assert not any("under=" in ask.set or "how much is free" in ask.text for ask in asks)
    said = [row_of(p).finding.text for p in of(plan, "move-tips")]
    assert said == ["where the forks of narrow truck go in under press is not known: tipping not checked"]
