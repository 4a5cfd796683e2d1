"""What a thing stands on its gear with, how it is jacked, what one wheel bears: statics in closed form.

Every length is within 5 mm where nobody said better, so 5 comes off each distance and onto each height.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.ledger.model import Mass
from shopbins.moves.finding import row_of
from shopbins.moves.plan import Plan

from .weir import OUTLINE, PLAIN, SKATES, TRUCK, B, move, of, shop, shop_text, worst

MID = "height: 2.2 m, threshold: 0"
ROLLERS = "{kind: rollers and bar, count: 6, height: 48, capacity: 3 t, roller length: 900}"
DOLLY = (
    "{kind: trolley, size: [1000, 700], height: 120, capacity: 2 t, mass: 60 kg, steering: on the spot, "
    "wheel: 100, trail: 0, wheel places: [[450, 300], [450, -300], [-450, 300], [-450, -300]]}"
)
NARROW = ("foot=-400,-100", "foot=400,-100", "foot=400,100", "foot=-400,100")
ASIDE = (OUTLINE, "height=1700mm", "cg=0,60", "cg height=1000mm", *NARROW, "runners=yes")


def asked(folder: Path, gear: str, moving: tuple[str, ...], mass: float = 1200) -> Plan:
    text = shop_text(gear={"it": gear}, mid=MID, a="headroom: 3 m, void: no, slope: none",
                     b="headroom: 3 m, void: no, slope: none")  # fmt: skip
    return move(shop(folder, text, moving, Mass(mass)), at_most_s=30.0)


@pytest.mark.parametrize("gear", [ROLLERS, DOLLY])
def test_it_tips_over_its_own_feet_where_they_stand_closer_than_the_gear(tmp_path: Path, gear: str) -> None:
    """Feet at +-100, centre 60 aside and 1000 up: atan(35 / 1005) = 1.99 deg, whatever it stands on."""
    plan = asked(tmp_path, gear, ASIDE)
    (part,) = (p for p in of(plan, "move-tips") if p.verdict is not Verdict.OPEN)
    assert part.verdict is Verdict.ASKED
    assert row_of(part).finding.measured == pytest.approx(math.degrees(math.atan(35 / 1005)), abs=0.01)


def test_on_a_wide_base_the_gear_is_the_worse(tmp_path: Path) -> None:
    """Feet at +-300 on castors at +-200 and 120 high: atan(195 / 1125) = 9.83 deg, not atan(295 / 1005)."""
    wide = tuple(f.replace("100", "300") for f in NARROW)
    known = (OUTLINE, "height=1700mm", "cg=0,0", "cg height=1000mm", *wide)
    plan = asked(tmp_path, DOLLY.replace("300]", "200]"), known)
    found = [row_of(p).finding.measured for p in of(plan, "move-tips")]
    assert min(m for m in found if m is not None) == pytest.approx(
        math.degrees(math.atan(195 / 1125)), abs=0.01
    )


@pytest.mark.parametrize(("gear", "asks"), [(ROLLERS, "runners"), (DOLLY, "feet")])
def test_where_it_stands_on_the_gear_is_asked(tmp_path: Path, gear: str, asks: str) -> None:
    plan = asked(tmp_path, gear, (*ASIDE[:4], "runners=yes"))
    assert worst(plan, "move-tips") is Verdict.OPEN and any(asks in a.text for a in plan.asks)


def test_runners_are_told_by_how_wide_they_stand(tmp_path: Path) -> None:
    """Runners 300 wide over all, centre in the middle and 1000 up: atan(145 / 1005) = 8.21 deg."""
    plan = asked(tmp_path, ROLLERS, (OUTLINE, "height=1700mm", "cg=0,0", "cg height=1000mm", "runners=300mm"))
    found = [row_of(p).finding.measured for p in of(plan, "move-tips")]
    assert min(m for m in found if m is not None) == pytest.approx(
        math.degrees(math.atan(145 / 1005)), abs=0.01
    )


def test_rollers_do_not_run_under_a_base_on_feet(tmp_path: Path) -> None:
    plan = asked(tmp_path, ROLLERS, (*ASIDE, "under=180mm"))
    assert worst(plan, "gear-under") is Verdict.OPEN


# --- jacked -------------------------------------------------------------------------------------------------

JACK = "{kind: toe jack, count: %d, capacity: 2 t, toe: 1 t, lowered: 15, raised: 200, size: [260, 220]}"


def jacked(folder: Path, count: int, cg: str, feet: tuple[str, ...] = NARROW) -> Plan:
    gear = {"skates": SKATES, "jack": JACK % count} if count else {"skates": SKATES}
    room = "headroom: 3 m, void: no, slope: none"
    text = shop_text(gear=gear, mid=MID, a=room, b=room)
    known = (OUTLINE, "height=1700mm", cg, "cg height=1000mm", *feet)
    return move(shop(folder, text, known, Mass(1200)))


def test_hardly_any_reserve_while_jacked_is_no_condition(tmp_path: Path) -> None:
    """Feet at +-100, 40 aside: atan(55 / 1005) = 3.13 deg less asin(25 / 800) = 1.79: 1.34, below 1.5."""
    plan = jacked(tmp_path, 2, "cg=0,40")
    (part,) = of(plan, "move-tips-jacked")
    assert part.verdict is Verdict.AGAIN and plan.word == "depends"
    expected = math.degrees(math.atan(55 / 1005)) - math.degrees(math.asin(25 / 800))
    assert row_of(part).finding.measured == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("count", [0, 1])
def test_one_jack_is_no_more_than_none(tmp_path: Path, count: int) -> None:
    """One jack at a foot of +-300: the triangle's edge passes through the middle, nothing is left."""
    wide = tuple(f.replace("100", "300") for f in NARROW)
    plan = jacked(tmp_path, count, "cg=0,0", wide)
    assert [p.text for p in of(plan, "move-tips-jacked")] == ["two jacks under the end, wide apart"]


def test_a_platform_as_long_as_the_packing_needs_beams(tmp_path: Path) -> None:
    """How thick they are is asked; told, they count in how high it stands."""
    for each in "ab":
        (tmp_path / each).mkdir()
    part = next(p for p in of(asked(tmp_path / "a", DOLLY, ASIDE), "move-jacking") if "beams" in p.subjects)
    assert (part.verdict, part.text) == (Verdict.OPEN, "how thick are the beams on it?")
    plan = asked(tmp_path / "b", DOLLY.replace("}", ", beams: 110}"), ASIDE)
    part = next(p for p in of(plan, "move-jacking") if "beams" in p.subjects)
    assert part.verdict is Verdict.ASKED and part.text == "beams under it, packing clear of it, 110 mm thick"
    assert plan.gear.up_mm == (230.0, 230.0)


# --- what one wheel bears -----------------------------------------------------------------------------------


def test_a_truck_stands_on_its_wheels_too(tmp_path: Path) -> None:
    """1200 kg, 495 from the heel: 1200 x 480 / 1075 = 536 kg at the steering end, and the truck's 70."""
    plan = asked(tmp_path, TRUCK, PLAIN)
    steering = 1200 * 480 / 1075 + 70
    rollers = 1200 * 605 / 1075 / 2 + 70 * 0.25
    most = max(steering, rollers) * 9.81 / 1000
    found = [row_of(p).finding.measured for p in of(plan, "move-point-load")]
    assert found == pytest.approx([most] * len(found), abs=0.001) and found


def test_no_wheel_bears_more_than_the_whole(tmp_path: Path) -> None:
    plan = asked(tmp_path, TRUCK, tuple(p for p in PLAIN if not p.startswith("cg")))
    found = [row_of(p).finding for p in of(plan, "move-point-load")]
    assert found and all(f.measured == pytest.approx(1270 * 9.81 / 1000, abs=0.001) for f in found)
    assert all("tipped" in f.text for f in found)


def test_no_floor_is_asked_to_carry_nothing(tmp_path: Path) -> None:
    plan = asked(tmp_path, TRUCK, tuple(p for p in PLAIN if not p.startswith(("opening", "under"))))
    parts = of(plan, "move-point-load")
    assert plan.verdict is Verdict.OPEN
    assert all(not row_of(p).finding.judged and row_of(p).finding.measured is None for p in parts)


# --- over a sill --------------------------------------------------------------------------------------------


def test_a_sill_that_a_winch_pulls_it_over_is_a_condition(tmp_path: Path) -> None:
    """Wheel 74 over 6: sqrt(6 x 68) / 31 = 0.6516 of 1200 x 605 / 1075 + 35 kg: less than lifting."""
    plan = move(shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 6")))
    (part,) = of(plan, "door-sill")
    assert part.verdict is Verdict.ASKED and "winch" in part.text
    expected = math.sqrt(6 * 68) / 31 * (1200 * 605 / 1075 + 35) * 9.81
    assert row_of(part).finding.measured == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("winch", "named"),
    [
        ("capacity: 800 kg", "drum winch for"),
        ("capacity: 800 kg, line: 3 kN", "stronger winch than drum winch for"),
        ("capacity: 300 kg", "stronger winch than drum winch for"),
        ("mass: 20 kg", "drum winch for"),
    ],
)
def test_a_winch_told_of_is_named_by_what_it_pulls(tmp_path: Path, winch: str, named: str) -> None:
    """The sill above takes 4.55 kN and the level 1.25 kN at 10 %: 800 kg of pull are 7.85 kN, m g."""
    gear = {"truck": TRUCK, "drum winch": f"{{kind: winch, {winch}}}"}
    plan = move(shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 6", gear=gear)))
    (sill,) = of(plan, "door-sill")
    assert sill.text.startswith(named)
    assert ("7.85 kN" in row_of(sill).finding.text) is (winch == "capacity: 800 kg")
    (level,) = (p for p in of(plan, "move-push") if p.verdict is Verdict.ASKED)
    assert "drum winch" in level.text


# --- hung ---------------------------------------------------------------------------------------------------

SLUNG = "sling=-600,0; 600,0"
CRANE = (
    "{kind: engine crane, size: [1550, 1000], body: 250, height: 1.55 m, inside: 1100, legs: 160, "
    "hook: 2.6 m, mass: 88 kg, reach: {900 mm: 2 t, 1200 mm: 1 t}, turning radius: 1600, wheel: 90, "
    "clearance: 20, "
    "boom tip: 2.7 m}"
)


def test_slings_are_judged_as_high_as_it_is_lifted(tmp_path: Path) -> None:
    """1200 apart, hook 2600 over 2000, lifted 100; its centre within 5 of the middle: atan(500 / 605) = 39.6
    deg, and of 1200 kg the nearer leg bears 605 / 1200: 9.23 kN along it (statics).
    """
    known = (OUTLINE, "height=2000mm", "cg=0,0", "cg height=900mm", "sling height=2000mm", SLUNG)
    plan = asked(tmp_path, CRANE, known)
    (part,) = of(plan, "move-slings")
    assert row_of(part).finding.measured == pytest.approx(math.degrees(math.atan2(500, 605)), abs=0.01)
    pull = 1200 * 9.81 / 1000 * 605 / 1200 * math.hypot(595, 500) / 500
    assert pull == pytest.approx(9.226, abs=0.001) and f"{pull:.3g} kN" in part.text


def test_of_a_crane_nobody_measured_its_own_figure_is_asked(tmp_path: Path) -> None:
    """What the text names is what enter asks for: the clear width of the crane, no figure of the load."""
    known = (OUTLINE, "height=1000mm", "cg=0,0", "cg height=500mm")
    plan = asked(tmp_path, "{kind: engine crane, capacity: 2 t}", known)
    (part,) = of(plan, "gear-under")
    ask = row_of(part).ask
    assert "clear width between the legs" in part.text and ask is not None
    assert ask.figures is None
    assert [path[-1] for path, _ in ask.in_file] == ["inside"]


def test_what_is_larger_than_the_place_says_by_how_much(tmp_path: Path) -> None:
    """1400 by 1400 on 1200 by 1000: 400 over; 1100 by 900 along its sides fits, turned by 45 deg not."""
    from shopbins.moves.goal import larger_by_mm

    text = shop_text().replace("size: [2800, 2800]", "size: [1200, 1000]")
    zone = shop(tmp_path, text).shop.zone("far")
    square, fits = (((0.0, 0.0), (w, 0.0), (w, d), (0.0, d)) for w, d in ((1400.0, 1400.0), (1100.0, 900.0)))
    assert zone is not None
    assert larger_by_mm(zone, square, None) == pytest.approx(400)
    assert larger_by_mm(zone, fits, None) == 0
    assert larger_by_mm(zone, fits, 45.0) == pytest.approx(2000 / math.sqrt(2) - 1000)


def test_a_hung_load_travels_only_by_its_plate_low_and_tied(tmp_path: Path) -> None:
    known = (*PLAIN[:2], *PLAIN[4:], "sling height=1500mm", *NARROW)
    room = "headroom: 4 m, void: no, slope: none"
    gear = {"crane": CRANE, "skates": SKATES}
    text = shop_text(gear=gear, mid="height: 3.2 m, threshold: 0", a=room, b=room)
    plan = move(shop(tmp_path, text, known))
    assert plan.gear.gear.kind == "skates"
    crane = move(shop_again(tmp_path, text, known), gear="crane", at_most_s=1.0)
    words = " ".join(p.text for p in (*of(crane, "gear-holds"), *of(crane, "move-swings")))
    assert "allows travel loaded" in words and "tied" in words


def shop_again(folder: Path, text: str, known: tuple[str, ...]):
    (folder / "again").mkdir()
    return shop(folder / "again", text, known)


# --- stopped dead, and held on slopes -----------------------------------------------------------------------


def test_what_drives_straight_goes_over_the_edge_ahead() -> None:
    """Front 425 mm on, 1000 high: (r0 / H) sqrt(2 g (r0 - H)) with r0 = 1086.6: 1.42 m/s; aside 107: 0.36."""
    from shopbins.moves.tipping import ahead, fastest_m_s

    box = ((-400.0, -107.0), (425.0, -107.0), (425.0, 107.0), (-400.0, 107.0))
    along = [fastest_m_s(e.inside_mm, e.height_mm) / e.across for e in ahead(box, (0.0, 0.0), 1000.0, 0.0)]
    anyway = [fastest_m_s(e.inside_mm, e.height_mm) / e.across for e in ahead(box, (0.0, 0.0), 1000.0, None)]
    r0 = math.hypot(400, 1000)
    assert min(along) == pytest.approx(r0 / 1000 * math.sqrt(2 * 9.81 * (r0 - 1000) / 1000))
    assert min(anyway) < 0.4


def test_a_tackle_is_told_what_starts_it_and_what_pulls_it() -> None:
    """1272 kg on the level: W x 0.10 = 1.25 kN starts it, W x 0.02 = 250 N keeps it going (HSE L23)."""
    from shopbins.moves.force import push
    from shopbins.moves.pushing import _tackle_words

    level, even = push(1272, 0.0), push(1272, 0.0, rolling=(0.02, 0.02))
    assert level.push is not None and even.push is not None
    assert _tackle_words(level.start_n, level.push.most_n, "winch") == "winch for 1.25 kN"
    said = _tackle_words(even.start_n, even.push.most_n, "winch")
    assert said == "winch: 1.25 kN to start, 250 N to pull"


def test_a_floor_that_falls_across_the_way_is_not_level(tmp_path: Path) -> None:
    from shopbins.geometry.shapes import Pose
    from shopbins.moves.legs import Leg

    room = shop(tmp_path, shop_text(b=f"{B}, slope: {{fall: 1 in 25, towards: 90}}")).scene().shop.rooms["b"]
    assert Leg(room, 0.0, (Pose(0, 0, 0), Pose(900, 0, 0))).words == "across 1 in 25 (2.3 deg)"


# --- a needless no, a needless question ---------------------------------------------------------------------


def test_more_people_than_needed_carry_and_a_team_beyond_the_filter_is_looked_at(tmp_path: Path) -> None:
    """L23: two of 25 kg each 33.3 kg, a first look; HSE MAC: purple for two above 85 kg."""
    known = (OUTLINE, "height=300mm")
    six = asked(tmp_path, "{kind: by hand, people: 6}", known, 20)
    assert worst(six, "gear-holds") is Verdict.YES
    for kg, verdict in ((45, Verdict.ASKED), (86, Verdict.NO)):
        (tmp_path / str(kg)).mkdir()
        two = asked(tmp_path / str(kg), "{kind: by hand, people: 2}", known, kg)
        assert worst(two, "gear-holds") is verdict


def test_the_class_of_a_cover_is_a_test_load_and_only_ever_a_condition(tmp_path: Path) -> None:
    """EN 124-1:2015: B125 is tested at 125 kN; a third counts (own figure), and somebody has to accept it."""
    lid = "fixtures:\n  lid: {room: b, at: [5500, 200], size: [3000, 3600], height: 1, class: %s}"
    for klass, verdict in (("B125", Verdict.ASKED), ("A15", Verdict.NO), ("X9", Verdict.OPEN)):
        (tmp_path / klass).mkdir()
        plan = move(shop(tmp_path / klass, shop_text(more=lid % klass)))
        assert worst(plan, "move-cover") is verdict


def test_every_key_asked_for_is_one_the_shop_file_takes_of_that_gear(tmp_path: Path) -> None:
    from shopbins.moves.gear import CARRIES
    from shopbins.shop import parse

    yard = "outdoor: yes, slope: {fall: 1 in 25, towards: 0}"
    for n, kind in enumerate(CARRIES):
        (tmp_path / str(n)).mkdir()
        gear = {"it": f"{{kind: {kind}}}"}
        desk = shop(
            tmp_path / str(n), shop_text(mid="height: 2.2 m, threshold: 18", b=yard, gear=gear), PLAIN
        )
        plan = move(desk, at_most_s=0.5)
        rows = [row_of(p).ask for p in plan.answer.parts]
        for path, example in (pair for ask in rows if ask is not None for pair in ask.in_file):
            if path[:2] == ("gear", "it"):
                told = shop_text(gear={"it": f"{{kind: {kind}, {path[2]}: {example}}}"})
                parse(told)  # raises where the key is none of this kind's


def test_men_on_a_good_floor_are_named_before_a_winch(tmp_path: Path) -> None:
    """1350 + 72 kg at 2 %: 279 N, three men at 100 N each (HSE INDG143); 1.39 kN at 10 %."""
    plan = asked(tmp_path, TRUCK.replace("mass: 70 kg", "mass: 72 kg"), PLAIN, 1350)
    (words,) = {p.text for p in of(plan, "move-push") if p.verdict is Verdict.ASKED}
    assert words == "3 men, good floor; or winch 1.39 kN"


@pytest.mark.parametrize(
    ("kg", "place", "asked"), [(240, 5, True), (10, 5, False), (240, 120, False), (None, 5, True)]
)
def test_a_centre_told_of_a_machine_is_as_it_is_now(
    tmp_path: Path, kg: int | None, place: int, asked: bool
) -> None:
    """1440 kg whole, 240 off: 1200 left, which that shifts by up to 240 / 1200 x 500 = 100 mm; 10 kg by 3.5
    mm, less than the 5 it is known to.
    """
    known = (*PLAIN[:-2], f"cg=0,0 +- {place} mm", "cg height=700mm", "machine=old", "whole=1440kg")
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0", more="machines: {old: {}}"), known)
    desk.take("motor", origin=("old", "drive"), mass=None if kg is None else Mass(kg))
    found = [p.text for p in of(move(desk), "move-centre")]
    assert found == (["centre of gravity as it is now, 1 part off"] if asked else [])
