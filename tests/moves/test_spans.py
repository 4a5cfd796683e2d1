"""Plates over what they bridge, doors as they stand open, and what is held by what: in closed form."""

from __future__ import annotations

import math
import re
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from building import box, shop

from shopbins.geometry.shapes import Point, Pose, placed
from shopbins.moves.floorline import _gone_mm
from shopbins.moves.load import Load, holds
from shopbins.moves.ramps import _walls
from shopbins.moves.route import _narrowed, open_leaf, room_at, room_of_outline
from shopbins.moves.shares import wheel_range_kg
from shopbins.moves.spans import Bridged, Span, bridge, is_steel, steel_kg
from shopbins.moves.stances import castors
from shopbins.shop.model import Door, Gear, Room

# --- a beam on two supports -------------------------------------------------------------------------------


def bent(kg: float, span_mm: float, pad_mm: float, wide_mm: float, thick_mm: float) -> tuple[float, float]:
    """Return stress in MPa and sag in mm of a beam of steel, by integrating its curvature M / (E I) twice."""
    force, n = kg * 9.81, 200_001
    x = np.linspace(0.0, span_mm, n)
    if pad_mm:
        load = np.where(abs(x - span_mm / 2) <= pad_mm / 2, 1.0, 0.0)
        load *= force / np.trapezoid(load, x) if hasattr(np, "trapezoid") else force / np.trapz(load, x)
        shear = force / 2 - np.concatenate(([0.0], np.cumsum((load[1:] + load[:-1]) / 2 * np.diff(x))))
        moment = np.concatenate(([0.0], np.cumsum((shear[1:] + shear[:-1]) / 2 * np.diff(x))))
    else:
        moment = force / 2 * np.minimum(x, span_mm - x)
    inertia = wide_mm * thick_mm**3 / 12
    curve = moment / (210_000 * inertia)
    slope = np.concatenate(([0.0], np.cumsum((curve[1:] + curve[:-1]) / 2 * np.diff(x))))
    down = np.concatenate(([0.0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(x))))
    return float(moment.max() * thick_mm / 2 / inertia), float((x / span_mm * down[-1] - down).max())


@pytest.mark.parametrize(("kg", "span_mm", "wide_mm", "thick_mm"), [
    (500, 300, 1000, 10), (1200, 620, 800, 20), (80, 1500, 300, 12),
])  # fmt: skip
def test_a_plate_bends_as_a_beam_on_two_supports(
    kg: float, span_mm: float, wide_mm: float, thick_mm: float
) -> None:
    span = Span(span_mm, wide_mm, pad_mm=200)
    stress, sag = bent(kg, span_mm, 0.0, wide_mm, thick_mm)
    assert span.stress_mpa(kg, thick_mm) == pytest.approx(stress, rel=1e-3)
    assert span.sag_mm(kg, thick_mm) == pytest.approx(sag, rel=1e-3)
    spread, _ = bent(kg, span_mm, 200, wide_mm, thick_mm)
    assert span.stress_mpa(kg, thick_mm, kind=True) == pytest.approx(spread, rel=1e-3)
    whole, _ = bent(kg, span_mm, span_mm, wide_mm, thick_mm)  # a skate longer than the gap: spread over all
    longer = Span(span_mm, wide_mm, pad_mm=5000).stress_mpa(kg, thick_mm, kind=True)
    assert longer == pytest.approx(whole, rel=1e-3)


def plate(**told: object) -> Gear:
    return Gear("p", "plate", "plate", **{"size_mm": (1000.0, 500.0), "height_mm": 20.0, **told})  # type: ignore[arg-type]


def test_a_plate_is_of_steel_by_what_it_weighs() -> None:
    """Steel is 7850 kg/m3 (EN 1991-1-1, table A.4, from memory); aluminium is a third of it."""
    assert steel_kg(plate()) == pytest.approx(78.5)
    kgs = (27.0, 70.6, 70.7, 78.5, 86.3, 86.4, None)
    assert [is_steel(plate(mass_kg=kg)) for kg in kgs] == [False, False, True, True, True, False, False]
    assert steel_kg(plate(height_mm=None)) is None and not is_steel(plate(size_mm=None, mass_kg=78.5))


@pytest.mark.parametrize(("kg", "over", "told_over", "goes"), [
    (1000.0, 400.0, None, True), (1001.0, 400.0, None, False),  # told over no span: held over any
    (1000.0, 400.0, 500.0, True), (1001.0, 400.0, 500.0, False),  # over less it holds no more than told
    (500.0, 1000.0, 500.0, True), (501.0, 1000.0, 500.0, False),  # over twice the span half makes the moment
])  # fmt: skip
def test_a_plate_holds_what_its_maker_says_and_over_more_what_makes_the_same_moment(
    kg: float, over: float, told_over: float | None, goes: bool
) -> None:
    found = bridge(plate(capacity_kg=1000.0, span_mm=told_over), Span(over, 500), kg, kg, 0.0)
    assert isinstance(found, Bridged) is goes
    if not goes:
        assert isinstance(found, str) and f"{kg:.0f} kg comes onto it" in found, "told apart"


def test_a_plate_of_steel_beyond_yield_does_not_do_and_of_what_nobody_knows_it_is_a_condition() -> None:
    """S235 yields at 235 MPa (EN 10025-2, from memory)."""
    span = Span(600, 500)
    folds_kg = 235.0 * (500 * 20**2 / 6) * 4 / 600 / 9.81
    steel, unknown = plate(mass_kg=78.5), plate()
    found = bridge(steel, span, folds_kg * 1.01, folds_kg * 1.01, 5.0)
    assert isinstance(found, str) and "folds" in found
    assert isinstance(bridge(unknown, span, folds_kg * 1.01, folds_kg * 1.01, 5.0), Bridged)
    under = bridge(steel, span, folds_kg * 0.99, folds_kg * 0.99, 5.0)
    assert isinstance(under, Bridged) and "holds" in under.words  # beyond 160 MPa: only if that is told
    light = bridge(steel, span, folds_kg / 2, folds_kg / 2, 5.0)
    assert isinstance(light, Bridged) and light.words == ""
    assert light.packing_mm == math.ceil(5.0 + span.sag_mm(folds_kg / 2, 20.0))
    other = bridge(unknown, span, folds_kg / 2, folds_kg / 2, 5.0)
    assert isinstance(other, Bridged) and other.words == ", of steel"
    assert bridge(unknown, span, None, 0.0, 5.0) == Bridged("", "", None)


# --- what holds what --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("kg", "about", "more", "holds_kg", "answer", "again"), [
    (1000.0, False, 0, 1000.0, "yes", ()), (1000.1, False, 0, 1000.0, "no", ()),
    (1000.1, True, 0, 1000.0, "no", ("the mass",)), (801.0, True, 0, 1000.0, "yes", ("the mass",)),
    (800.0, True, 0, 1000.0, "yes", ()), (500.0, False, 1, 1000.0, "not known", ("the mass",)),
    (1001.0, False, 1, 1000.0, "no", ()), (None, False, 0, 1000.0, "not known", ()),
    (500.0, False, 0, None, "not known", ()),
])  # fmt: skip
def test_unknown_stays_unknown_and_at_least_may_refuse(
    kg: float | None, about: bool, more: int, holds_kg: float | None, answer: str, again: tuple[str, ...]
) -> None:
    load = Load("it", box(0, 0, 100, 100), 100.0, kg, about, more)
    found = holds(load, holds_kg, "the floor")
    assert (found.answer, found.again) == (answer, again)
    if answer == "no":
        assert len(set(re.findall(r"[0-9.]+ k?[gt]", found.why))) == 2, "the two figures look different"


def test_a_centre_of_gravity_told_is_anywhere_within_how_well_it_was_measured() -> None:
    load = Load("it", box(-500, -300, 500, 300), 900.0, 100.0, cg_mm=(20.0, 0.0), cg_height_mm=400.0,
                cg_within_mm=5.0, cg_height_within_mm=10.0)  # fmt: skip
    found = {(c.x_mm, c.y_mm, c.z_mm) for c in load.centres()}
    assert found == {(x, y, z) for x in (15, 25) for y in (-5, 5) for z in (390, 410)}


@pytest.mark.parametrize("away", [(0.0, 0.0), (1200.0, 0.0), (-300.0, 700.0)])
def test_castors_turn_inwards_wherever_the_things_own_origin_is(away: Point) -> None:
    stems = [(x + away[0], y + away[1]) for x in (-400.0, 400.0) for y in (-250.0, 250.0)]
    found = {(s.x_mm - away[0], s.y_mm - away[1]) for s in castors(stems, 40).supports}
    assert found == {(x, y) for x in (-360.0, 360.0) for y in (-210.0, 210.0)}
    assert {(s.x_mm, s.y_mm) for s in castors(stems, 40, fixed=True).supports} == set(stems)
    near = castors(stems, 300).supports  # no farther in than the middle
    assert {s.y_mm - away[1] for s in near} == {0.0} and {s.x_mm - away[0] for s in near} == {-100.0, 100.0}


@pytest.mark.parametrize(("gear", "whole", "range_kg"), [
    (Gear("t", "truck", "pallet truck"), 1000.0, (250.0, 500.0)),
    (Gear("t", "truck", "pallet truck", steering_axle_mm=100.0), 1000.0, (250.0, 500.0)),
    (Gear("t", "truck", "pallet truck"), None, None),
])  # fmt: skip
def test_a_truck_whose_wheels_nobody_told_has_a_quarter_to_half_of_it_all_on_one(
    gear: Gear, whole: float | None, range_kg: tuple[float, float] | None
) -> None:
    it: Any = SimpleNamespace(whole_kg=whole, kind="pallet truck", gear=SimpleNamespace(gear=gear))
    found = wheel_range_kg(it)
    assert (found and found[:2]) == range_kg


# --- doors ------------------------------------------------------------------------------------------------

ROOMS = [Room("hall", "hall", box(0, 0, 5000, 4000)), Room("store", "store", box(5200, 0, 9000, 4000))]
JAMBS = ((5000.0, 1000.0), (5000.0, 2000.0))


def door(clear: float, opens: str = "open", at: Pose = Pose(0, 0), **more: object) -> Door:  # noqa: B008
    passage, jambs = placed(box(4999, 1000, 5201, 2000), at), placed(JAMBS, at)
    return Door("d", "d", "hall", "store", jambs, clear, height_mm=2000, opens=opens, passage=passage, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 200.0])
@pytest.mark.parametrize("clear", [800.0, 960.0])
def test_a_passage_is_as_wide_as_is_clear_about_its_middle(clear: float, turn: float) -> None:
    there = Pose(300.0, -700.0, turn)
    found = shapely.Polygon(_narrowed(door(clear, at=there)))
    low, high = 1500 - clear / 2, 1500 + clear / 2
    wanted = shapely.Polygon(placed(box(4999, low, 5201, high), there))
    assert found.symmetric_difference(wanted).area < 1.0
    whole = door(1000.0, at=there)
    assert _narrowed(whole) == whole.passage
    assert _narrowed(door(clear, "hinged", there)) == whole.passage, "there its leaf accounts for it"


@pytest.mark.parametrize("turn", [0.0, 90.0, 215.0])
@pytest.mark.parametrize(("hand", "hinge"), [("left", 2000.0), ("right", 1000.0)])
def test_a_leaf_open_at_right_angles_stands_in_the_room_it_swings_into(
    hand: str, hinge: float, turn: float
) -> None:
    """Left is where the hinges are for whoever pulls the door towards them (EN 12519, from memory)."""
    leaf = door(900.0, "hinged", Pose(-7000, -9000, turn), hand=hand, leaf_mm=40.0, opens_deg=90.0)
    stands = open_leaf(leaf, ["hall"])
    assert stands is not None
    found = placed(tuple((x + 7000, y + 9000) for x, y in stands), Pose(0, 0, -turn))
    xs, ys = [x for x, _ in found], [y for _, y in found]
    assert (max(xs), min(abs(y - hinge) for y in ys)) == pytest.approx((5000, 0), abs=1)
    assert min(xs) < 4200 and max(abs(y - hinge) for y in ys) == pytest.approx(40, abs=1)
    inward = 1 if hinge == 1000.0 else -1
    assert all((y - hinge) * inward >= -1 for y in ys), "its thickness is on the side of the opening"
    assert open_leaf(leaf, ["store"]) is None, "nobody passes it there"
    other = open_leaf(door(900.0, "hinged", hand=hand, leaf_mm=40.0, opens_deg=90.0, swings_into="store"),
                      ["store"])  # fmt: skip
    assert other is not None and min(x for x, _ in other) == pytest.approx(5200, abs=2)
    assert open_leaf(door(900.0), ["hall"]) is None


@pytest.mark.parametrize(("point", "key"), [
    ((1.0, 1.0), "hall"), ((8999.0, 1.0), "store"), ((5100.0, 1.0), None), ((9001.0, 1.0), None),
])  # fmt: skip
def test_what_room_a_point_is_in(point: Point, key: str | None) -> None:
    there = shop(rooms=ROOMS)
    found = room_at(there, point, ["hall", "store"])
    assert (found.key if found else None) == key
    assert room_at(there, point, []) is None
    assert room_of_outline(there, box(100, 100, 4900, 3900), ["hall", "store"]) == "hall"
    assert room_of_outline(there, box(4000, 100, 6000, 900), ["hall", "store"]) is None


# --- along a way, and along a side ------------------------------------------------------------------------


@pytest.mark.parametrize("point", [(-50.0, 40.0), (400.0, 30.0), (990.0, 500.0), (1400.0, 2100.0)])
def test_how_far_it_has_gone_is_measured_along_the_way_to_where_it_is_nearest(point: Point) -> None:
    way = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 900.0), (1000.0, 900.0), (1600.0, 1700.0)]
    it: Any = SimpleNamespace(poses=lambda: [(None, Pose(x, y)) for x, y in way])
    assert _gone_mm(it, point) == pytest.approx(shapely.LineString(way).project(shapely.Point(point)))


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 250.0])
def test_what_is_laid_along_a_side_has_room_as_far_as_the_room_before_it(turn: float) -> None:
    there = Pose(500.0, 800.0, turn)
    room = Room("hall", "hall", placed(box(0, 0, 5000, 4000), there))
    it: Any = SimpleNamespace(scene=SimpleNamespace(shop=shop(rooms=[room])))
    side: Any = SimpleNamespace(ends=placed(((2000.0, 0.0), (1000.0, 0.0)), there))
    assert _walls(it, side, leans=False) == pytest.approx((-3000.0, 2000.0))
    assert _walls(it, side, leans=True) == pytest.approx((0.0, 1000.0))
    beyond: Any = SimpleNamespace(ends=side.ends[::-1])
    assert _walls(it, beyond, leans=False) is None, "no room is on that side of it"
