"""Plates over a cover: how many and how wide, and their edge as the step it is for wheels."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Outline, bounds, contains, signed_area_mm2, turned
from shopbins.moves.finding import row_of
from shopbins.moves.plates import Laid, Tracks, lay_over, strips
from shopbins.moves.pressing import together
from shopbins.moves.spans import Bridged, Span, bridge
from shopbins.rules.covers import Cover
from shopbins.shop.model import Gear
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, move, of, shop, shop_text, worst

PIT = Cover(
    "opening:pit", "pit", "hall", ((0.0, 0.0), (900.0, 0.0), (900.0, 4200.0), (0.0, 4200.0)), None, ""
)
PAIRS = Tracks(tuple((x, y) for x in (0.0, 450.0, 900.0) for y in (1700.0, 1800.0, 2200.0, 2300.0)), 115.0)
"""Two wheels 230 wide at 1700 and 1800, two at 2200 and 2300: tracks from 1585 to 1915 and 2085 to 2415."""


def _lay(size: tuple[float, float], count: int | None = None) -> Laid | str:
    return lay_over(Gear("p", "plate", "plate", count=count, size_mm=size), PIT, PAIRS, 1800.0, 100.0)


@pytest.mark.parametrize(
    ("size", "count"),
    [((1500, 329), None), ((1500, 330), 2), ((1500, 829), 2), ((1500, 830), 1), ((1099, 900), None)],
)
def test_each_track_is_whole_on_one_plate_that_rests_on_both_sides(
    size: tuple[float, float], count: int | None
) -> None:
    """330 for each pair, 830 over both (lengths); 900 across and 100 of rest on each side is 1100."""
    laid = _lay(size)
    assert (laid.count if isinstance(laid, Laid) else None) == count
    if isinstance(laid, Laid):
        assert laid.rests_mm == pytest.approx(300)
        assert isinstance(_lay(size, count), Laid)
        assert isinstance(_lay(size, laid.count - 1), str)


@pytest.mark.parametrize(
    ("within", "starts"),
    [(None, [-50.0, 650.0]), ((0.0, 1200.0), [0.0, 600.0]), ((0.0, 1190.0), [-50.0, 650.0])],
)
def test_plates_lie_within_the_walls_where_they_can(
    within: tuple[float, float] | None, starts: list[float]
) -> None:
    """Tracks from 135 to 365 and 835 to 1065, each in the middle of 600: -50 and 650. Two of them fill 1200
    of a lane, and there is no room for both in 1190.
    """
    assert strips([(135.0, 365.0), (835.0, 1065.0)], 600.0, within) == starts


@pytest.mark.parametrize(
    ("wide", "within", "starts"),
    [
        (300.0, (0.0, 900.0), [0.0, 300.0, 600.0]),  # each against the next, and against both walls
        (300.0, (-200.0, 900.0), [-110.0, 190.0, 490.0]),  # each with its track in its middle
        (310.0, (0.0, 930.0), [0.0, 310.0, 620.0]),  # the last track begins at 600: not on it
    ],
)
def test_three_lie_abreast_between_walls_where_they_only_just_do(
    wide: float, within: tuple[float, float], starts: list[float]
) -> None:
    """Tracks 80 wide from 0, 300 and 600: three of 300 fill a lane of 900, of 310 one of 930 would leave the
    last track off its plate: no wall is kept to then.
    """
    found = strips([(0.0, 80.0), (300.0, 380.0), (600.0, 680.0)], wide, within)
    assert found is not None and (found == starts) is (wide == 300.0)
    assert all(b - a >= wide for a, b in itertools.pairwise(found))
    assert all(at <= 300.0 * n and at + wide >= 300.0 * n + 80.0 for n, at in enumerate(found))


SKATED = ((-500.0, -400.0), (500.0, -400.0), (500.0, 400.0), (-500.0, 400.0))


@pytest.mark.parametrize(
    ("told", "why"),
    [
        ({"capacity_kg": 1050.0}, ""),
        ({"capacity_kg": 1049.0}, "plate holds 1049 kg, 1050 kg comes onto one of 2"),
        (
            {"capacity_kg": 1050.0, "span_mm": 899.0},
            "plate holds 1049 kg over 900 mm, 1050 kg comes onto one of 2",
        ),
        ({"size_mm": (1500.0, 1200.0)}, "plate holds 1.9 t, 2 t comes onto it"),
    ],
)
def test_plates_side_by_side_carry_what_their_own_tracks_bring(told: dict[str, object], why: str) -> None:
    """2 t on skates 800 apart, 20 off the middle: 420 / 800 of it, 1050 kg, on those of one side, however it
    rocks; all of it on one plate under both. Over 900 mm M = 1050 x 9.81 x 225 = 2318 kNmm; 500 wide and 20
    thick, Z = 33333 mm3: 70 MPa. A mass and what holds it look unlike.
    """

    def kg_on(strip: Outline) -> float | None:
        under = {i for i, (_, y) in enumerate(SKATED) if contains(strip, (450.0, 2000.0 + y))}
        share = together(SKATED, (0.0, 20.0), under)
        return None if share is None else 2000 * share

    points = tuple((x, 2000.0 + y) for x in (0.0, 450.0, 900.0) for _, y in SKATED)
    plate = replace(
        Gear("p", "plate", "plate", capacity_kg=1900.0, size_mm=(1500.0, 500.0), height_mm=20.0), **told
    )
    laid = lay_over(plate, PIT, Tracks(points, 115.0, kg_on=kg_on), 2000.0, 100.0)
    if isinstance(laid, str):
        assert laid == why
    else:
        assert (laid.count, laid.one_kg) == (2, pytest.approx(1050.0)) and not why
        assert laid.bridged.said.startswith("up to 70 MPa")


def test_plates_lie_square_to_a_cover_and_bridge_no_more_of_it_than_there_is_under_them() -> None:
    """A pit of 600 x 2000 at 30 deg is as its sides say, not as its box. Of one that narrows from 1200 to 400
    over 4000 the strip from 3000 on is at most 1200 - 800 x 3 / 4 = 600 long.
    """
    pit = turned(((-300.0, -1000.0), (300.0, -1000.0), (300.0, 1000.0), (-300.0, 1000.0)), 30.0)
    told = Cover("opening:pit", "pit", "hall", pit, None, "")
    for length, lies in ((800.0, True), (799.0, False)):
        plate = Gear("p", "plate", "plate", size_mm=(length, 2200.0))
        laid = lay_over(plate, told, Tracks(None, 40.0), None, 100.0)
        assert isinstance(laid, Laid) is lies
        if isinstance(laid, Laid):
            assert all(contains(laid.outline, corner) for corner in pit)
            assert abs(signed_area_mm2(laid.outline)) == pytest.approx(800 * 2200)
    sides = ((0.0, 0.0), (1200.0, 0.0), (400.0, 4000.0), (0.0, 4000.0))
    narrows = Cover("opening:pit", "pit", "hall", sides, None, "")
    tracks = Tracks(((300.0, 3040.0), (300.0, 3460.0)), 40.0)
    for length, lies in ((800.0, True), (799.0, False)):
        plate = Gear("p", "plate", "plate", size_mm=(length, 500.0))
        assert isinstance(lay_over(plate, narrows, tracks, None, 100.0), Laid) is lies


def _drifting(y: float, ends: tuple[float, float], by: float = 0.1) -> tuple[tuple[float, float], ...]:
    """The way of a wheel along x, 10 mm a point, that drifts so much a mm from `y` at the first end on."""
    low, high = ends
    return tuple((low + 10.0 * n, y + by * 10.0 * n) for n in range(round((high - low) / 10.0) + 1))


@pytest.mark.parametrize(
    ("wide", "by", "lies"), [(229.0, 0.1, False), (230.0, 0.1, True), (170.0, 0.0, True)]
)
def test_a_track_stays_on_its_plate_to_the_ends_of_that(wide: float, by: float, lies: bool) -> None:
    """Over a pit of 900 a drift of 1 in 10 is 90, over the plate of 1500 it is 150: with a wheel 80 wide 230,
    not 170; straight on 80. The way goes on beyond the plate.
    """
    run = _drifting(1950.0, (-800.0, 1700.0), by)
    on = tuple(p for p in run if 0.0 <= p[0] <= 900.0)
    plate = Gear("p", "plate", "plate", size_mm=(1500.0, wide))
    laid = lay_over(plate, PIT, Tracks(on, 40.0, runs=(run,)), None, 100.0)
    assert isinstance(laid, Laid) is lies
    assert lies or "narrower than the wheels' tracks over it and beside it" in str(laid)


@pytest.mark.parametrize("by", [0.1, 0.0])
def test_a_plate_over_all_of_a_cover_lies_otherwise_where_a_wheel_rolls_off_its_side(by: float) -> None:
    """480 wide in the middle of a cover of 250 it ends at y 365; a wheel 80 wide that drifts from 200 to 350
    over its 1500 takes 160 to 390: not whole on it. It is laid so that each place of the wheel on it is.
    """
    sides = ((0.0, 0.0), (300.0, 0.0), (300.0, 250.0), (0.0, 250.0))
    small = Cover("opening:pit", "pit", "hall", sides, None, "")
    plate = Gear("p", "plate", "plate", size_mm=(1500.0, 480.0))
    run = _drifting(200.0, (-600.0, 900.0), by)
    on = tuple(p for p in run if 0.0 <= p[0] <= 300.0)
    laid = lay_over(plate, small, Tracks(on, 40.0, runs=(run,)), None, 100.0)
    assert isinstance(laid, Laid)
    (piece,) = laid.pieces
    box = bounds(piece.outline)
    assert all(box.bottom <= y - 40.0 and y + 40.0 <= box.top for x, y in run if box.left <= x <= box.right)
    assert (box.bottom, box.top) == (-115.0, 365.0) or by


def test_plates_are_told_from_a_corner_of_the_cover_itself() -> None:
    """A cover along a slanting wall: its box has corners in the wall. Square to its longest side,
    which falls by 800 on 4000, a wheel at 1000,3550 is (200 x 800 + 450 x 4000) / 4079 = 480 from 1200,4000.
    """
    sides = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 4000.0), (800.0, 4000.0))
    slants = Cover("opening:pit", "pit", "hall", sides, None, "")
    tracks = Tracks(((1000.0, 3540.0), (1000.0, 3560.0)), 240.0)
    laid = lay_over(Gear("p", "plate", "plate", size_mm=(900.0, 500.0)), slants, tracks, None, 100.0)
    assert isinstance(laid, Laid)
    assert laid.where.endswith("230 to 730 mm from the corner of pit at 1200,4000")  # 480 in its middle


def test_where_wheels_are_not_told_only_a_plate_over_all_of_it_does() -> None:
    plate = Gear("p", "plate", "plate", size_mm=(1100.0, 4400.0))
    assert isinstance(lay_over(plate, PIT, Tracks(None, 40.0), None, 100.0), Laid)
    short = Gear("p", "plate", "plate", size_mm=(1100.0, 4399.0))
    assert isinstance(lay_over(short, PIT, Tracks(None, 40.0), None, 100.0), str)


DUCT = "fixtures: {duct: {room: b, at: [5500, 0], size: [400, 4000], height: 1, load: 300 kg}"
BEAM = "beam: {room: b, at: [5600, 0], size: [200, 4000], base: 1812, height: 300}"


def _over(folder: Path, plate: str, *, gear: str = SKATES, cg: str = "700", more: str = "}"):  # type: ignore[no-untyped-def]
    told = {"carrier": gear, "sheet": f"{{kind: plate, size: [1000, 1000], {plate}}}"}
    text = shop_text(gear=told, mid="height: 2.2 m, threshold: 0", more=DUCT + more)
    return move(shop(folder, text, (*PLAIN, f"cg height={cg}mm", *FOUR)))


def test_the_edge_of_a_plate_takes_the_push_of_a_sill_of_its_thickness(tmp_path: Path) -> None:
    """405 / 800 of 1200 kg on an end (measured to 5), wheels 85, 20 of plate and 2 of packing up (the duct
    stands 1 high, it sags 0.1): sqrt(22 x 63) / 20.5 of it.
    """
    plan = _over(tmp_path, "height: 20")
    (edge,) = of(plan, "door-sill")
    assert edge.verdict is Verdict.NO
    need = math.sqrt(22 * (85 - 22)) / (42.5 - 22) * 607.5 * 9.81
    assert row_of(edge).finding.measured == pytest.approx(need, rel=1e-3)


def test_a_plate_nobody_told_the_thickness_of_is_asked_for(tmp_path: Path) -> None:
    plan = _over(tmp_path, "count: 1")
    assert worst(plan, "door-sill") is Verdict.OPEN
    assert any(p.text == "how thick is sheet?" for p in plan.asks)


def test_one_wheel_up_a_plate_leans_by_its_thickness(tmp_path: Path) -> None:
    """atan(295 / 1815) level, measured to 5, less atan(62 / 600), 2 of it packing: two skates 600 apart."""
    (lean,) = of(_over(tmp_path, "height: 60", cg="1700"), "move-tips-at-step")
    left = math.degrees(math.atan(295 / 1815) - math.atan(62 / 600))
    assert row_of(lean).finding.measured == pytest.approx(left, abs=0.01)
    assert lean.verdict is Verdict.ASKED


def test_a_plate_takes_its_thickness_of_the_height_under_a_beam(tmp_path: Path) -> None:
    """1700 on 110 of skate, 20 of plate and 2 of packing, and 22 x 100 / 800 for an end 100 beyond
    skates 800 apart, the others on the floor, is 1834.75, under 1812: 22.8 too high; the +- of all is 15.
    """
    plan = _over(tmp_path, "height: 20", more=f", {BEAM}}}")
    under = [p for p in of(plan, "move-height") if "22.8 mm too high" in row_of(p).finding.text]
    assert [p.verdict for p in under] == [Verdict.NO]


def test_what_hangs_on_forks_is_lifted_over_a_plate(tmp_path: Path) -> None:
    """8 of plate, 4 of packing (the duct stands 1 high, it sags 2.6) and 10 clear (own figure): 22."""
    plan = _over(tmp_path, "height: 8", gear=TRUCK)
    assert [p.text for p in of(plan, "move-grounds")] == ["lifted 22 mm over sheet over duct"]


def test_wedges_of_its_rise_lie_at_both_edges_of_a_plate(tmp_path: Path) -> None:
    wedges = "{kind: ramp, count: 2, rise: 20, size: [400, 1000], capacity: 3 t}"
    plan = _over(tmp_path, f"height: 20}}\n  wedges: {wedges[:-1]}")
    assert worst(plan, "door-sill") is Verdict.ASKED
    assert any("wedges at sheet over duct" in p.text for p in of(plan, "door-sill"))


@pytest.mark.parametrize(
    ("pads", "base", "verdict", "words"),
    [
        ("", 1830, Verdict.ASKED, "pads at most 10 mm under beam"),
        (", pads: 15", 1809, Verdict.NO, ""),
        (", pads: 0", 1830, Verdict.YES, ""),
    ],
)
def test_pads_between_steel_count_under_a_beam(
    tmp_path: Path, pads: str, base: int, verdict: Verdict, words: str
) -> None:
    """1700 on 110 of skate: 20 under 1830, 10 of it uncertain; 15 of pads are 16 too high under 1809."""
    more = f"fixtures: {{{BEAM.replace('1812', str(base))}}}"
    gear = {"skates": SKATES[:-1] + pads + "}"}
    text = shop_text(gear=gear, mid="height: 2.2 m, threshold: 0", more=more)
    plan = move(shop(tmp_path, text, (*PLAIN, *FOUR)))
    (under,) = [p for p in of(plan, "move-height") if "fixture:beam" in p.subjects]
    assert under.verdict is verdict
    assert words in under.text


def test_pads_raise_what_tips_and_what_is_jacked(tmp_path: Path) -> None:
    """Packing is 110 of skate, 15 of pads and 10 over."""
    gear = {"skates": SKATES[:-1] + ", pads: 15}"}
    plan = move(shop(tmp_path, shop_text(gear=gear, mid="height: 2.2 m, threshold: 0"), (*PLAIN, *FOUR)))
    assert plan.gear.up_mm == (125.0, 125.0)
    assert any(p.text.startswith("packing 135 mm") for p in of(plan, "move-jacking"))


def test_a_gantry_is_as_high_as_it_is_told(tmp_path: Path) -> None:
    """2950 under 3000 leaves 50; a hook told at 2800 makes no boom that goes over it."""
    gantry = (
        "{kind: gantry crane, capacity: 2 t, size: [1500, 2200], inside: 2000, hook: 2.8 m, height: 2.95 m}"
    )
    plan = move(shop(tmp_path, shop_text(gear={"gantry": gantry}), (*PLAIN, *FOUR)), zone="a")
    (under,) = [p for p in of(plan, "move-height") if "room:a" in p.subjects]
    assert under.verdict is Verdict.YES
    assert row_of(under).finding.measured == pytest.approx(2950)


def test_a_plate_bends_as_a_beam_with_its_load_in_mid_span() -> None:
    """Z = 300 x 6^2 / 6 = 1800 mm3, I = 300 x 6^3 / 12 = 5400 mm4. 5.5 kN over 400: M = 550 kNmm, 306 MPa,
    5500 x 400^3 / (48 x 210000 x 5400) = 6.47 mm; over 980: M = 1348 kNmm, 749 MPa, 95 mm. A skate 270 long
    takes 5500 x 270 / 8 = 186 kNmm off the first: 202 MPa.
    """
    kg = 5500 / 9.81
    for mm, stress, sag in ((400.0, 305.6, 6.47), (980.0, 748.6, 95.1)):
        assert Span(mm, 300.0).stress_mpa(kg, 6.0) == pytest.approx(stress, rel=1e-3)
        assert Span(mm, 300.0).sag_mm(kg, 6.0) == pytest.approx(sag, rel=1e-3)
    assert Span(400.0, 300.0, 270.0).stress_mpa(kg, 6.0, kind=True) == pytest.approx(202.4, rel=1e-3)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"mass_kg": 141.0}, ""),
        ({}, ", of steel"),
        ({"height_mm": 6.0}, ", holds 10.8 kN over 400 mm"),
        ({"height_mm": 6.0, "mass_kg": 71.0}, "folds: 314 MPa"),
        ({"height_mm": 6.0, "mass_kg": 71.0, "span_mm": 400.0, "capacity_kg": 1100.0}, ""),
        ({"height_mm": 6.0, "mass_kg": 71.0, "span_mm": 300.0, "capacity_kg": 1100.0}, "holds 825 kg over"),
        ({"height_mm": None, "capacity_kg": 3000.0}, ", holds 10.8 kN over 400 mm"),
    ],
)
def test_a_capacity_is_one_over_a_span(told: dict[str, float | None], words: str) -> None:
    """1100 kg in the middle of 400: M = 1079 kNmm; a plate 500 wide and 12 thick, Z = 12000, 90 MPa; 6 thick
    four times that, beyond 235 (EN 10025-2), where at least 960 kg of it is there: 314. 3000 x 500 x 12 of
    steel is 141 kg, of 6 71 (7850 kg/m3). 1100 kg over 300 is 825 over 400.
    """
    plate = replace(Gear("p", "plate", "plate", size_mm=(3000.0, 500.0), height_mm=12.0), **told)
    found = bridge(plate, Span(400.0, 500.0), 1100.0, 960.0, 0.0)
    assert isinstance(found, str) is (bool(words) and not words.startswith(","))
    assert words in found if isinstance(found, str) else found.words == words


def test_a_plate_lies_on_packing_so_high_that_it_never_bears_on_the_cover() -> None:
    """1100 kg over 400, 500 x 12: I = 72000, 10791 x 400^3 / (48 x 210000 x 72000) = 0.95 mm; over a cover 5
    high 6 of packing.
    """
    plate = Gear("p", "plate", "plate", size_mm=(3000.0, 500.0), height_mm=12.0, mass_kg=141.0)
    found = bridge(plate, Span(400.0, 500.0), 1100.0, 960.0, 5.0)
    assert isinstance(found, Bridged) and found.packing_mm == 6
    assert "90 MPa" in found.said
