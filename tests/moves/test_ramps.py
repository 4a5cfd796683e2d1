"""Ramps and plates at a sill: which meet it, how many side by side, a plate's edge, the slope besides."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import pytest

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Pose
from shopbins.moves.finding import row_of
from shopbins.moves.force import newtons
from shopbins.moves.legs import Leg
from shopbins.moves.overedges import by_lack, ramps, sills, together_kg
from shopbins.moves.plan import Plan
from shopbins.moves.plates import Ramps
from shopbins.moves.ramps import climbs, leaning, meeting, sides_crossed, too_short
from shopbins.moves.situation import Situation
from shopbins.scene.scene import build
from shopbins.shop.model import Gear, Slope
from shopbins.units import show_length, show_slope
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, move, of, shop, shop_text, worst

WIDE = TRUCK.replace("over forks: 400, between forks: 120", "over forks: 540, between forks: 220")
"""Forks 160 wide: load rollers at 190 to both sides (see TW of the cases), the steering wheels between."""


def _at(folder: Path, at_deg: float, *told: Gear, sill: float = 20, gear: str = WIDE) -> Situation:
    """A truck that goes straight through the door, so many deg to its sill."""
    text = shop_text(gear={"truck": gear}, mid=f"height: 2.2 m, threshold: {sill:g}")
    plan = move(desk := shop(folder, text, tuple(each.replace("420", "600") for each in PLAIN)))
    scene = build(replace(desk.scene().shop, gear={g.key: g for g in told}), desk.state)
    way = 90.0 - at_deg
    c, s = math.cos(math.radians(way)), math.sin(math.radians(way))
    poses = tuple(Pose(5200.0 + far * c, 2075.0 + far * s, way) for far in range(-2000, 2001, 100))
    legs = (Leg(scene.shop.rooms["a"], way, poses[:21]), Leg(scene.shop.rooms["b"], way, poses[20:]))
    assert plan.attempt is not None
    zone = scene.shop.zones["far"]
    return Situation(scene, plan.body, plan.gear, zone, "", plan.attempt.route, plan.attempt, legs)


def _wedge(width: float, count: int | None = None, rise: float | None = 20.0) -> Gear:
    size = (200.0, width)
    return Gear("w", "wedge", "ramp", capacity_kg=3000, count=count, rise_mm=rise, size_mm=size)


def _taken(at_deg: float) -> float:
    """Rollers 380 apart, each 80 wide, over 200 of ramp: so far apart along the sill, and so much drift."""
    a = math.radians(at_deg)
    return 380 / math.sin(a) + 200 / math.tan(a) + 80


@pytest.mark.parametrize(("at_deg", "fits"), [(90, True), (63, False)])
def test_every_track_along_the_way_found_has_to_lie_on_the_ramp(
    tmp_path: Path, at_deg: float, fits: bool
) -> None:
    """570 carry 540 over the forks that meet the sill square; at 63 deg their tracks take 608 mm."""
    it = _at(tmp_path, at_deg, _wedge(570, 2))
    for side in sides_crossed(it, it.edges[0].outline, 200.0):
        low, high = min(a for a, _ in side.tracks), max(b for _, b in side.tracks)
        assert high - low == pytest.approx(_taken(at_deg))
        assert side.angle_deg == pytest.approx(at_deg)
    (laid,) = meeting(it, it.edges[0])
    assert laid.abreast == (1 if fits else 2)
    parts = [p for p in sills(replace(it, ramps=(laid,))) if "count" in p.subjects]
    assert [p.verdict for p in parts] == ([] if fits else [Verdict.OPEN])
    assert fits or "found at 63 deg to the edge" in row_of(parts[0]).finding.text


@pytest.mark.parametrize(("width", "abreast"), [(460, 1), (459, 2), (270, 2), (269, 3), (80, 3), (79, 0)])
def test_ramps_lie_side_by_side_where_each_track_is_whole_on_one(
    tmp_path: Path, width: float, abreast: int
) -> None:
    """Tracks of 80 at -190, 0 and 190: all three take 460, two of them 270."""
    it = _at(tmp_path, 90, _wedge(width))
    assert meeting(it, it.edges[0])[0].abreast == abreast


@pytest.mark.parametrize(("count", "verdict"), [(2, Verdict.NO), (4, Verdict.ASKED), (None, Verdict.ASKED)])
def test_an_edge_has_two_sides_and_ramps_side_by_side_are_counted_on_both(
    tmp_path: Path, count: int | None, verdict: Verdict
) -> None:
    it = _at(tmp_path, 90, _wedge(300, count))
    parts = list(sills(replace(it, ramps=tuple(meeting(it, it.edges[0])[:1]))))
    about = [p for p in parts if "gear:w" in p.subjects and row_of(p).finding.rule == "door-sill"]
    assert max(p.verdict for p in about) is verdict
    assert any("4 of wedge" in p.text for p in about if p.verdict is Verdict.ASKED)


def test_a_ramp_meets_a_sill_of_its_rise_and_runs_12_to_1(tmp_path: Path) -> None:
    """ADA Standards (2010) 405.2: no steeper than 1:12. What it rises may be 5 mm off (own figure)."""
    it = _at(tmp_path, 90, _wedge(900, rise=25.0), sill=20)
    assert [laid.top_mm for laid in meeting(it, it.edges[0])] == [5.0]
    edge = replace(it.edges[0], height_mm=19.9)
    assert not meeting(it, edge)
    (laid,) = meeting(_told(it, Gear("r", "r", "ramp")), it.edges[0])
    assert (laid.run_mm, laid.fall) == (240.0, pytest.approx(1 / 12))


def test_a_ramp_runs_as_gently_as_the_gear_may_go(tmp_path: Path) -> None:
    """1 in 15 by the gear's handbook is gentler than 1 in 12 (ADA 405.2); 1 in 8 is not."""
    it = _told(_at(tmp_path, 90, _wedge(900), sill=20), Gear("r", "r", "ramp"))
    for steepest, run in ((1 / 15, 300.0), (1 / 8, 240.0)):
        gear = replace(it.gear, gear=replace(it.gear.gear, steepest=steepest))
        (laid,) = meeting(replace(it, gear=gear), it.edges[0])
        assert (laid.run_mm, laid.fall) == (pytest.approx(run), pytest.approx(20 / run))


def test_a_plate_is_a_ramp_where_it_is_told_to_rise_or_leans_no_steeper_than_1_in_12(tmp_path: Path) -> None:
    """On a sill of 20 one 342 long, 100 of it on the sill (own figure), runs sqrt(242^2 - 20^2) = 241.2 of
    240; its end is 100 x 20 / 242 = 8.26 higher than where it leans: packed. One of 300 has
    300 - 20 sqrt(145) = 59.2 left to rest, which our own figure does not forbid; one of 240 has none.
    """
    plate = Gear("p", "sheet", "plate", size_mm=(342.0, 900.0), height_mm=8.0)
    it = _at(tmp_path, 90, plate)
    laid, across = leaning(it, it.edges[0])
    assert (across.run_mm, across.abreast) == (pytest.approx(math.sqrt(800**2 - 20**2)), 2)
    assert laid.fall == pytest.approx(20 / math.sqrt(242**2 - 20**2)) and laid.abreast == 1
    assert (laid.foot_mm, laid.top_mm, laid.over_mm) == pytest.approx((8.0, 8.0, 16.26), abs=0.01)
    assert laid.packing == ", 8 mm packed before its end"
    assert laid.rests_mm == 100 and laid.where.startswith("its 341 mm along the way, 100 of it on the sill")
    assert all(math.dist(*piece.outline[:2]) == pytest.approx(341.2, abs=0.1) for piece in laid.pieces)
    it = _told(it, replace(plate, size_mm=(300.0, 900.0)))
    laid = leaning(it, it.edges[0])[0]
    assert (laid.rests_mm, laid.fall) == pytest.approx((300 - 20 * math.sqrt(145), 1 / 12))
    said = [p.text for p in sills(replace(it, ramps=(laid,))) if "on the sill" in p.text]
    assert said[0].endswith("59 mm on the sill (100 wanted), 5 mm packed before its end, held from creeping")
    it = _told(it, replace(plate, size_mm=(240.0, 239.0)))
    short = "240 mm long, none of it on the sill, would lie at 1 in 12"
    assert not leaning(it, it.edges[0]) and short in too_short(it, it.edges[0])
    it = _told(it, replace(plate, rise_mm=20.0))
    assert not leaning(it, it.edges[0]) and meeting(it, it.edges[0])[0].foot_mm == 8.0


def _told(it: Situation, gear: Gear) -> Situation:
    return replace(it, scene=build(replace(it.scene.shop, gear={gear.key: gear}), it.scene.state))


def _climbing(it: Situation, fall: float) -> Situation:
    """The same where the floor before the door climbs along the way."""
    shop = it.scene.shop
    room = replace(shop.rooms["a"], slope=Slope(abs(fall), 180.0 if fall > 0 else 0.0))
    scene = build(replace(shop, rooms={**shop.rooms, "a": room}), it.scene.state)
    return replace(it, scene=scene, legs=(replace(it.legs[0], room=room), *it.legs[1:]))


def _need(it: Situation, rule: str, *subjects: str) -> float:
    every = [row_of(p).finding for p in sills(it)]
    (found,) = [f for f in every if f.rule == rule and set(subjects) <= set(f.subjects) and f.unit == "N"]
    assert found.measured is not None
    return found.measured


def test_where_a_wheel_meets_a_sill_on_a_slope_the_slope_pulls_besides(tmp_path: Path) -> None:
    """Moments about the edge, square to the floor and along it: W1 sqrt(h(2r - h)) / (r - h) cos t, and
    W sin t of all that rolls: 1270 kg on 1 in 100, wheels 200, 5 up (share 0.328).
    """
    it = _at(tmp_path, 90, sill=5, gear=WIDE.replace("wheel: 74", "wheel: 200"))
    level, slope = _need(it, "door-sill"), _need(_climbing(it, 0.01), "door-sill")
    t = math.atan(0.01)
    assert slope == pytest.approx(level * math.cos(t) + 1270 * 9.81 * math.sin(t))
    assert climbs(_climbing(it, -0.01), it.edges[0], 200.0) == (0.0, pytest.approx(0.01))


def test_up_a_ramp_on_a_floor_that_climbs_both_slopes_count(tmp_path: Path) -> None:
    """1270 kg up 1 in 10 on 1 in 50: W (0.1 cos t + sin t), t the sum of both angles."""
    it = _at(tmp_path, 90, _wedge(900))
    for floor in (0.0, 0.02):
        at = _climbing(it, floor)
        laid = meeting(at, at.edges[0])[0]
        t = math.atan(0.1) + math.atan(floor)
        need = 1270 * 9.81 * (0.1 * math.cos(t) + math.sin(t))
        assert _need(replace(at, ramps=(laid,)), "move-push", "up") == pytest.approx(need)


def test_down_a_short_ramp_on_a_floor_that_drops_each_pulls_as_it_lies(tmp_path: Path) -> None:
    """On 200 of ramp 1 in 10 only the wheels of one end (moments), on the sum of both slopes; the rest of
    1270 kg is on 1 in 100.
    """
    it = _climbing(_at(tmp_path, 90, _wedge(900)), -0.01)
    laid = meeting(it, it.edges[0])[0]
    load, t = together_kg(it), math.atan(0.1) + math.atan(0.01)
    assert load is not None
    pull = load * 9.81 * math.sin(t) + (1270 - load) * 9.81 * math.sin(math.atan(0.01))
    assert _need(replace(it, ramps=(laid,)), "runs-downhill", "down") == pytest.approx(pull)
    told = [row_of(p).finding.text for p in sills(replace(it, ramps=(laid,)))]
    # (0.1 + 0.01) / (1 - 0.1 x 0.01), of tangents: what the ramp is, what the floor, and what both make
    said = ", 1 in 10 (5.7 deg) on a floor of 1 in 100 (0.6 deg), 1 in 9.08 (6.3 deg) together, "
    assert any(said in text for text in told), told


def test_nothing_hung_goes_over_a_bare_edge_and_how_it_would_swing_is_said(tmp_path: Path) -> None:
    """Common practice, no source. Statics: a wheel up a step needs sqrt(h (2r - h)) / (r - h) of what is on
    it, and what hangs swings by atan(pull / weight) as the wheel lets go.
    """
    it = _at(tmp_path, 90, _wedge(900))
    gear = replace(it.gear, gear=replace(it.gear.gear, kind="gantry crane", wheel_mm=300.0))
    it, h, r = replace(it, gear=gear, ramps=()), it.edges[0].height_mm, 150.0
    on_it, whole = together_kg(it), it.whole_kg
    assert on_it is not None and whole is not None
    (part,) = (p for p in sills(it) if p.verdict is Verdict.NO)
    swing = math.degrees(math.atan(math.sqrt(h * (2 * r - h)) / (r - h) * on_it / whole))
    assert row_of(part).finding.text.endswith(f"as it lets go that swings {swing:.0f} deg")
    ramp, down = row_of(part).ends
    assert ramp.startswith(f"a ramp of {show_length(50 * h)} (1 in 50)")
    assert down == "set it down before the edge, take the gear over empty, lift it again"


def test_up_a_ramp_on_a_floor_told_to_be_even_2_per_cent_keep_it_going(tmp_path: Path) -> None:
    """HSE L23: 2 % of the weight on an even floor, 10 % on an uneven one, which a winch has to start it by on
    any (our own choice); 1270 kg up 1 in 10.
    """
    it = _at(tmp_path, 90, _wedge(900))
    shop = it.scene.shop
    rooms = {**shop.rooms, "a": replace(shop.rooms["a"], even=True)}
    it = replace(it, scene=build(replace(shop, rooms=rooms), it.scene.state))
    laid, t = meeting(it, it.edges[0])[0], math.atan(0.1)
    keep, start = (1270 * 9.81 * (mu * math.cos(t) + math.sin(t)) for mu in (0.02, 0.10))
    at = replace(it, ramps=(laid,))
    assert _need(at, "move-push", "up") == pytest.approx(start)
    assert any(f"push {newtons(keep)} (" in row_of(part).finding.text for part in sills(at))


def test_on_top_of_a_plate_that_leans_its_edge_and_its_slope_count_together(tmp_path: Path) -> None:
    """Wheels 200 up 8 of plate, 0.428 of the load on them, while all of it is on 20 in 1000 of plate; its
    end, 100 on the sill, is 2 higher: packed.
    """
    plate = Gear("p", "sheet", "plate", size_mm=(1100.0, 900.0), height_mm=8.0, capacity_kg=3000)
    it = _at(tmp_path, 90, plate, gear=WIDE.replace("wheel: 74", "wheel: 200"))
    laid = next(each for each in leaning(it, it.edges[0]))
    assert isinstance(laid, Ramps)
    load, t = together_kg(it), math.asin(20 / 1000)
    assert load is not None
    share = math.sqrt(8 * (200 - 8)) / (100 - 8)
    need = load * 9.81 * share * math.cos(t) + 1270 * 9.81 * math.sin(t)
    it = replace(it, ramps=(laid,))
    assert _need(it, "move-push", "up") == pytest.approx(need, rel=1e-6)
    words = "2 of sheet at mid, 100 mm on the sill, 2 mm packed before its end, held from creeping"
    assert words in [part.text for part in sills(it)]


def test_of_a_plate_and_nothing_what_pulls_least_is_laid(tmp_path: Path) -> None:
    """Wheels 200 up 10 of sill take 0.484 of their load. A plate 2 thick and 1000 long takes 0.203 of it and
    10 in 1000 of all; one 12 thick takes 0.540 and as much of all, more than the bare sill.
    """
    for thick, laid in ((2.0, True), (12.0, False)):
        plate = Gear("p", "sheet", "plate", size_mm=(1000.0, 990.0), height_mm=thick, capacity_kg=3000)
        (tmp_path / f"{thick:g}").mkdir()
        it = _at(tmp_path / f"{thick:g}", 90, plate, sill=10, gear=WIDE.replace("wheel: 74", "wheel: 200"))
        assert bool(ramps(it)) is laid


def _bends(it: Situation, **told: float) -> list[Part]:
    """What is said of how one plate bends that leans so long on a sill of 20, 100 of it on that."""
    size = (told.pop("long", 1000.0) + 100.0, 990.0)
    it = _told(it, replace(Gear("p", "sheet", "plate", size_mm=size, capacity_kg=3000), **told))
    laid = max(leaning(it, it.edges[0]), key=lambda each: each.run_mm)
    return [p for p in sills(replace(it, ramps=(laid,))) if "bends" in p.subjects]


def test_a_plate_that_leans_on_a_sill_bends_as_over_a_cover(tmp_path: Path) -> None:
    """Hollow over sqrt(1000^2 - 20^2) = 999.8: told over 500 it holds half as much there. With no span told
    it is a beam with an end in its middle, M = F L / 4, Z = 990 h^2 / 6. Steel: 7850 kg/m3, 235 MPa (S235).
    """
    it = _at(tmp_path, 90)
    end = together_kg(it)
    assert end is not None and max(x for x, _ in it.gear.wheels) - min(x for x, _ in it.gear.wheels) > 586
    holds = end * 999.8 / 500
    assert not _bends(it, capacity_kg=holds * 1.0001, span_mm=500.0, height_mm=5.0)
    (part,) = _bends(it, capacity_kg=holds * 0.999, span_mm=500.0, height_mm=5.0)
    assert part.verdict is Verdict.NO
    (part,) = _bends(it, height_mm=6.0, mass_kg=46.6)
    mpa = end * 9.81 * 999.8 / 4 / (990 * 36 / 6)
    assert part.verdict is Verdict.ASKED and f"up to {mpa:.0f} MPa in it" in row_of(part).finding.text
    assert part.text == f"sheet at mid, each holds {newtons(end * 9.81)} over 1000 mm"
    (part,) = _bends(it, height_mm=3.0, mass_kg=23.3)
    assert part.verdict is Verdict.NO and "sheet folds" in part.text
    assert not _bends(it, height_mm=15.0, mass_kg=116.5)
    near = end * 2 * (1 - 1075 / 2 / 2999.9) ** 2  # both ends on it, 1075 apart
    assert not _bends(it, long=3000.0, capacity_kg=near * 1.001, span_mm=2999.9, height_mm=5.0)
    assert _bends(it, long=3000.0, capacity_kg=near * 0.999, span_mm=2999.9, height_mm=5.0)


def test_a_plate_that_sags_is_as_steep_as_it_lies_under_a_wheel(tmp_path: Path) -> None:
    """A load F at a, L - a from the ends of a beam sinks F a^2 (L - a)^2 / (3 E I L) (handbook, statics): the
    path of the wheel is steepest by differences where that changes most, beside the slope of 20 in 999.8.
    """
    it = _at(tmp_path, 90)
    told = _told(it, Gear("p", "sheet", "plate", size_mm=(1100.0, 990.0), capacity_kg=3000, height_mm=12.0))
    leans = [each for _, each in by_lack(told, told.edges[0]) if each is not None]
    laid = max(leans, key=lambda each: each.run_mm)
    long, force, stiff = laid.run_mm, (together_kg(it) or 0.0) * 9.81, 210_000 * 990 * 12.0**3 / 12
    path = [
        force * (a * (long - a)) ** 2 / (3 * stiff * long) for a in (long * n / 10_000 for n in range(10_001))
    ]
    assert laid.sag_mm == pytest.approx(max(path), rel=1e-3)
    dips = max(b - a for a, b in itertools.pairwise(path)) / (long / 10_000)
    assert laid.steepest == pytest.approx(20 / long + dips, rel=1e-3)
    (slope,) = (row_of(p).finding for p in sills(replace(told, ramps=(laid,))) if p.subjects[-1] == "down")
    assert slope.text.startswith(f"press down sheet at mid, {show_slope(laid.steepest)}, runs with ")


# --- whole moves -------------------------------------------------------------------------------------------


def _over_sill(folder: Path, plate: str, *, sill: int = 20, gear: str = SKATES) -> Plan:
    told = {"carrier": gear, "sheet": f"{{kind: plate, {plate}}}"}
    return move(shop(folder, shop_text(gear=told, mid=f"height: 2.2 m, threshold: {sill}"), (*PLAIN, *FOUR)))


ROLLS = SKATES.replace("wheel: 85", "wheel: 200, steepest: 1 in 10")


@pytest.mark.parametrize(
    ("thick", "verdict", "words"),
    [
        (15, Verdict.ASKED, "sheet"),
        (60, Verdict.NO, "more than lifting it over"),
        (100, Verdict.NO, "wheels of 200 mm cannot climb the edge of sheet at mid (100 mm)"),
    ],
)
def test_a_plate_at_a_sill_is_as_thick_as_it_is(
    tmp_path: Path, thick: int, verdict: Verdict, words: str
) -> None:
    """Wheels 200: up 15 of plate 0.62 of the load on them, up 60 it is 2.29 of it, up 100 never. The sill of
    150 alone is never climbed.
    """
    plan = _over_sill(tmp_path, f"size: [2000, 1500], capacity: 3 t, height: {thick}", sill=150, gear=ROLLS)
    assert worst(plan, "door-sill") is verdict
    said = " ".join(row_of(p).finding.text for p in of(plan, "door-sill"))
    assert words in said


def test_a_plate_at_a_sill_whose_thickness_nobody_told_is_asked_for(tmp_path: Path) -> None:
    plan = _over_sill(tmp_path, "size: [2000, 1500], capacity: 3 t", sill=150, gear=ROLLS)
    assert worst(plan, "door-sill") is Verdict.OPEN
    assert any(p.text == "how thick is sheet?" for p in plan.asks)


def test_a_plate_too_short_to_lean_at_1_in_12_is_no_ramp(tmp_path: Path) -> None:
    plan = _over_sill(tmp_path, "size: [1000, 1000], capacity: 3 t, height: 5", sill=150, gear=ROLLS)
    (sill,) = [p for p in of(plan, "door-sill") if p.verdict is Verdict.NO]
    assert "sheet, 1000 mm long, none of it on the sill, would lie at 1 in 6.59" in row_of(sill).finding.text


# --- how high it is carried there ---------------------------------------------------------------------------


def _carried(folder: Path, head: int, ramp: str = "") -> tuple[list[str], list[Verdict]]:
    """A press of 1700 on forks over a sill of 20, wheels 200, under a door so high."""
    gear = {"truck": TRUCK.replace("wheel: 74", "wheel: 200, steepest: 1 in 10, brake: yes")}
    gear |= {"wedge": ramp} if ramp else {}
    plan = move(shop(folder, shop_text(gear=gear, mid=f"height: {head} mm, threshold: 20")))
    every = of(plan, "move-height") + of(plan, "move-grounds")
    door = [p for p in every if "door:mid" in p.subjects and p.verdict is not Verdict.YES]
    return [p.text for p in door], [p.verdict for p in door]


def test_one_lift_clears_a_sill_and_goes_under_its_door_with_wheels_on_it(tmp_path: Path) -> None:
    """Over what it rolls on: 20 of sill and 10 clear (own figure) are 30. Up on the sill 1800 less 1700 and
    20 leaves 80, less 5 of door, thing and sill each: 65. It is lifted to 90.
    """
    assert _carried(tmp_path, 1800) == (["carry 30 to 65 mm off what it rolls on under mid"], [Verdict.ASKED])


@pytest.mark.parametrize(("head", "verdict"), [(1755, Verdict.AGAIN), (1724, Verdict.NO), (1700, Verdict.NO)])
def test_where_no_one_lift_does_a_sill_it_is_measured_again_or_refused(
    tmp_path: Path, head: int, verdict: Verdict
) -> None:
    """20 at least to clear it, 1755 - 1720 = 35 at most: 15 left, 15 uncertain. Of 1724 16 lack."""
    assert verdict in _carried(tmp_path, head)[1]


def test_over_ramps_only_what_bends_comes_up_between_the_wheels(tmp_path: Path) -> None:
    """Ramps of 600 up 20 at both faces of a wall of 400, wheels 1075 apart: 11.25 come up with both
    337.5 down a ramp, 11.9 a little on from there; 10 clear.
    """
    said, found = _carried(
        tmp_path, 1800, "{kind: ramp, count: 2, rise: 20, size: [600, 1000], capacity: 3 t}"
    )
    assert said == ["carry 22 to 65 mm off what it rolls on under mid"] and found == [Verdict.ASKED]


@pytest.mark.parametrize(("kg", "verdict"), [(590, Verdict.NO), (650, Verdict.ASKED)])
def test_of_two_ramps_under_an_end_one_bears_what_the_skate_on_it_may(
    tmp_path: Path, kg: int, verdict: Verdict
) -> None:
    """1200 kg in the middle of four skates: two corner to corner may bear it all, 600 each (statics of a
    stiff body on four points), twice the even share of an end; its 5 mm of doubt make that 615 at the most.
    """
    ramp = f"{{kind: ramp, count: 4, rise: 20, size: [480, 500], capacity: {kg} kg, mass: 9 kg}}"
    text = shop_text(gear={"skates": SKATES, "wedge": ramp}, mid="height: 2.2 m, threshold: 20")
    plan = move(shop(tmp_path, text, (*PLAIN, *FOUR)))
    holds = [p for p in of(plan, "door-sill") if "holds" in p.subjects]
    assert worst(plan, "door-sill") is verdict
    assert [p.verdict for p in holds] == ([Verdict.NO] if verdict is Verdict.NO else [])


@pytest.mark.parametrize("fall", [1 / 15, -1 / 15])
@pytest.mark.parametrize(("steepest", "stops"), [(1 / 8, True), (1 / 5, False)])
def test_the_handbook_counts_for_a_ramp_with_the_floor_it_lies_on_up_and_down(
    tmp_path: Path, fall: float, steepest: float, stops: bool
) -> None:
    """1 in 10 on a floor of 1 in 15: tan(5.71 + 3.81 deg) = 1 in 5.96, up it or down it."""
    it = _climbing(_at(tmp_path, 90, _wedge(900)), fall)
    it = replace(it, gear=replace(it.gear, gear=replace(it.gear.gear, steepest=steepest)))
    parts = list(sills(replace(it, ramps=tuple(meeting(it, it.edges[0])[:1]))))
    found = [p for p in parts if row_of(p).finding.rule == "move-gear-on-slope" and p.verdict is Verdict.NO]
    assert bool(found) is stops
    assert all("1 in 5.96" in row_of(p).finding.text for p in found)
