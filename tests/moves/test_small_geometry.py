"""Geometry of a move met exactly: free floor beside it, where gear touches, heights that only just meet."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from building import box, zone

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Outline, Point, Pose, bounds, placed, rectangle
from shopbins.ledger.model import InGroup, Mass, ThingPlace
from shopbins.moves import partsoff, plates, steps, trucks
from shopbins.moves.banded import Heights, Piece, heights_of, notched
from shopbins.moves.beside import floor_free, free_beyond, who_steers
from shopbins.moves.body import _fixed_on, introduced
from shopbins.moves.cranes import _shape, _wheels, middle_of
from shopbins.moves.forks import Way
from shopbins.moves.lattice import _roomy
from shopbins.moves.load import Load
from shopbins.moves.onto import near_to
from shopbins.moves.option import closeness
from shopbins.moves.ramps import over_all_mm
from shopbins.moves.restson import LONG, _leaves
from shopbins.moves.situation import Situation
from shopbins.moves.standing import _dip
from shopbins.moves.wheels import _platform
from shopbins.shop.figures import OWN
from shopbins.shop.model import Gear


def like(**told: Any) -> Any:
    return SimpleNamespace(**told)


# --- free floor beside a thing ----------------------------------------------------------------------------


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 217.0])
@pytest.mark.parametrize(
    ("block", "free"),
    [
        ((), 2000.0),
        (((1100.0, -100.0), (1600.0, 100.0)), 600.0),
        (((1100.0, 199.0), (1600.0, 300.0)), 600.0),  # the strip is 400 wide
        (((1100.0, -300.0), (1600.0, -199.0)), 600.0),
        (((1100.0, 201.0), (1600.0, 300.0)), 2000.0),
        (((1100.0, -300.0), (1600.0, -201.0)), 2000.0),
        (((2499.0, -100.0), (2600.0, 100.0)), 1999.0),
        (((2501.0, -100.0), (2600.0, 100.0)), 2000.0),
        (((400.0, -100.0), (600.0, 100.0)), 0.0),  # over the thing's own edge
    ],
)
def test_floor_is_free_beyond_a_things_edge_as_far_as_the_first_thing_in_a_strip(
    block: tuple[Point, ...], free: float, turn_deg: float
) -> None:
    """A thing of 1000 x 600 at (7000, 9000): its edge is 500 from its middle, the strip
    400 wide and 2000 long.
    """
    pose = Pose(7000.0, 9000.0, turn_deg)
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def at(points: Outline) -> Outline:
        return tuple((7000.0 + x * c - y * s, 9000.0 + x * s + y * c) for x, y in points)

    blocks = [at(box(*block[0], *block[1]))] if block else []
    ground: Any = like(outlines=(box(0, 0, 20_000, 20_000),), holes=blocks, loose=())
    load: Any = like(outline=rectangle(1000, 600))
    found = free_beyond(load, floor_free(ground), pose, 0.0, (0.0, 0.0), 400.0, 2000.0)
    assert found == pytest.approx(free, abs=0.01)


def test_the_strip_lies_level_with_the_point_it_is_told_beside() -> None:
    """100 to the left of the middle line: a strip of 400 reaches from 300 on its left to 100 on its right."""
    load: Any = like(outline=rectangle(1000, 600))
    for y, free in ((299.0, 600.0), (301.0, 2000.0)):
        ground: Any = like(
            outlines=(box(-9000, -9000, 9000, 9000),), holes=(), loose=(box(1100, y, 1200, 900),)
        )
        found = free_beyond(load, floor_free(ground), Pose(0, 0), 0.0, (0.0, 100.0), 400.0, 2000.0)
        assert found == pytest.approx(free, abs=0.01)


@pytest.mark.parametrize(
    ("aside_deg", "body_mm", "middle"),
    [
        (0.0, 0.0, (-500 - 1000 - 300, 100)),
        (0.0, 1400.0, (-500 - 1400 - 300, 100)),  # no nearer than behind the truck
        (60.0, 0.0, (-500 - 500 - 300, 100 - 1000 * math.sin(math.radians(60)))),
        (-90.0, 400.0, (-500 - 400 - 300, 100 + 1000)),
    ],
)
def test_who_steers_stands_at_the_end_of_the_handle(aside_deg: float, body_mm: float, middle: Point) -> None:
    """Forks along x under a thing from x = -500, 100 to its left; a handle of 1000, a square of 600."""
    gear: Any = like(axis_deg=0.0, load=like(outline=rectangle(1000, 600)), heel=(0.0, 100.0),
                     gear=like(body_mm=body_mm))  # fmt: skip
    square = shapely.Polygon(who_steers(gear, aside_deg, 1000.0, 600.0))
    assert square.bounds == pytest.approx(
        (middle[0] - 300, middle[1] - 300, middle[0] + 300, middle[1] + 300)
    )


# --- where gear touches the floor -------------------------------------------------------------------------


def crane(kind: str, **more: Any) -> Gear:
    return Gear("c", "the crane", kind, size_mm=(1500.0, 1000.0), **more)  # type: ignore[arg-type]


def test_castors_of_a_gantry_are_at_its_corners_or_in_from_them_by_the_stems() -> None:
    load: Any = like(cg_mm=(100.0, 50.0), outline=rectangle(800, 600))
    side: Any = like(towards_deg=0.0, reach_mm=0.0, needed_mm=0.0)
    stances = list(_wheels(crane("gantry crane", trail_mm=0.0), load, side, OWN))
    inset = OWN["stems in"]
    corners = [
        {(100.0 + x * (750 - d), 50.0 + y * (500 - d)) for x in (-1, 1) for y in (-1, 1)} for d in (0, inset)
    ]
    assert [set(s.polygon) for s in stances] == corners
    assert all([a.what for a in s.assumed] == ["where its wheels are"] for s in stances)


def test_told_wheels_of_a_crane_are_where_they_are_told_and_a_trail_not_told_is_both() -> None:
    load: Any = like(cg_mm=(0.0, 0.0), outline=rectangle(800, 600))
    side: Any = like(towards_deg=90.0, reach_mm=0.0, needed_mm=0.0)
    told = ((-700.0, -400.0), (700.0, -400.0), (700.0, 400.0), (-700.0, 400.0))
    least, most = _wheels(crane("gantry crane", wheel_places_mm=told), load, side, OWN)
    for stance, trail in ((least, OWN["trail least"]), (most, OWN["trail most"])):
        assert shapely.Polygon(stance.polygon).bounds == pytest.approx(
            (-400 + trail, -700 + trail, 400 - trail, 700 - trail)
        )
        assert [(a.what, a.tell) for a in stance.assumed] == [("trail of its castors", "trail: 40")]


def test_an_engine_crane_is_longer_by_what_is_behind_its_mast_and_its_hook_is_over_the_thing() -> None:
    """Legs 1500 and 300 behind: 1800 in all. With the hook 900 before the mast and over (0, 0), the mast at
    x = -900, the floor it takes is from -1200 to 600: its middle is at -300.
    """
    load: Any = like(cg_mm=(0.0, 0.0), outline=rectangle(800, 600))
    gear = crane("engine crane", trail_mm=0.0, body_mm=300.0)
    assert middle_of(gear, load, 0.0, 900.0) == pytest.approx((-300.0, 0.0))
    assert middle_of(gear, load, 90.0, 900.0) == pytest.approx((0.0, -300.0))
    side: Any = like(towards_deg=0.0, reach_mm=900.0, needed_mm=0.0)
    corners, _ = _wheels(gear, load, side, OWN)
    assert shapely.Polygon(corners.polygon).bounds == pytest.approx((-1200.0, -500.0, 600.0, 500.0))


@pytest.mark.parametrize("along_x", [True, False])
def test_wheels_of_a_trolley_are_at_its_corners_or_in_from_them(along_x: bool) -> None:
    gear = Gear("t", "the trolley", "trolley", size_mm=(700.0, 1200.0), trail_mm=0.0)  # type: ignore[arg-type]
    stances = list(_platform(gear, (10.0, 20.0), along_x, (), OWN))
    for stance, d in zip(stances, (0.0, OWN["stems in"]), strict=True):
        a, b = (600 - d, 350 - d) if along_x else (350 - d, 600 - d)
        assert shapely.Polygon(stance.polygon).bounds == pytest.approx((10 - a, 20 - b, 10 + a, 20 + b))
        (usual,) = stance.assumed
        assert usual.what == f"castors up to {OWN['stems in']:.0f} mm in from the edge"
        assert len(set(stance.polygon)) == 4


# --- heights that only just meet --------------------------------------------------------------------------


def standing(base: float, top: float | None, known: bool = True) -> Any:
    return like(base_mm=base, top_mm=top, top_known=known)


@pytest.mark.parametrize(
    ("base", "top", "may", "must"),
    [
        # A part from 1000 to 1500, lifted 10 to 40, measured to 5, dipping 3 and rising 2: it is anywhere
        # between 992 and 1547, and surely everywhere from 1045 to 1505.
        (0.0, 992.0, False, False),
        (0.0, 992.1, True, False),
        (0.0, 1045.0, True, False),
        (0.0, 1045.1, True, True),
        (1505.0, 3000.0, True, False),
        (1504.9, 3000.0, True, True),
        (1546.9, 3000.0, True, False),
        (1547.0, 3000.0, False, False),
        (0.0, None, True, True),
    ],
)
def test_a_part_may_or_must_meet_what_stands_there(
    base: float, top: float | None, may: bool, must: bool
) -> None:
    heights = Heights((10.0, 40.0), 5.0, 3.0, 2.0)
    part = Piece("the head", rectangle(1, 1), 1000.0, 1500.0)
    assert heights.may_meet(part, standing(base, top)) is may
    assert heights.must_meet(part, standing(base, top)) is must


def test_what_is_on_the_floor_meets_all_that_stands_there() -> None:
    heights, bed = Heights((10.0, 40.0), 5.0), Piece("the bed", rectangle(1, 1), 0.0, 1500.0)
    assert heights.must_meet(bed, standing(0.0, 1.0))
    assert not heights.must_meet(bed, standing(0.0, 0.0))
    assert not heights.must_meet(bed, standing(0.0, 900.0, known=False)), "its top is our own figure"
    assert not heights.must_meet(Piece("who", rectangle(1, 1), 0.0, 2000.0, 1.0), standing(1.0, 900.0))
    assert heights.must_meet(Piece("who", rectangle(1, 1), 0.0, 2000.0, 1.0), standing(0.9, 900.0))


def test_a_thing_is_notched_where_its_outline_is_no_hull() -> None:
    ell = ((0.0, 0.0), (900.0, 0.0), (900.0, 300.0), (300.0, 300.0), (300.0, 900.0), (0.0, 900.0))
    for own, found in ((ell, True), (ell[::-1], True), (rectangle(900, 300), False), (ell[:3], False)):
        body: Any = like(load=like(own=own))
        assert notched(body) is found


# --- small figures ----------------------------------------------------------------------------------------


def test_room_on_a_lattice_ends_so_many_cells_before_the_first_that_is_not_free() -> None:
    """Free is every place no more city-block steps away, and the lattice ends at none of them."""
    luck = np.random.default_rng(5)
    free = luck.random((9, 12)) > 0.03
    for n in (0, 1, 2, 3):
        steps_away = [(i, j) for i in range(-n, n + 1) for j in range(-n, n + 1) if abs(i) + abs(j) <= n]
        kept = [
            [
                all(0 <= y + i < 9 and 0 <= x + j < 12 and free[y + i, x + j] for i, j in steps_away)
                for x in range(12)
            ]
            for y in range(9)
        ]
        assert _roomy(free, n).tolist() == kept


@pytest.mark.parametrize("turn_deg", [0.0, 30.0])
@pytest.mark.parametrize(("along", "ends"), [(0, ((100, 200), (100, 700))), (1, ((100, 200), (900, 200)))])
def test_plates_lie_side_by_side_along_the_side_they_do_not_reach_over(
    along: int, ends: tuple[Point, Point], turn_deg: float
) -> None:
    flat = ((100.0, 200.0), (900.0, 200.0), (900.0, 700.0), (100.0, 700.0))
    found = plates._corners(flat, along, turn_deg)
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    for point, (x, y) in zip(found, ends, strict=True):
        assert point == pytest.approx((x * c - y * s, x * s + y * c))
    floor = plates._floor(along, (1.0, 2.0), (10.0, 20.0))
    assert shapely.Polygon(floor).bounds == ((1, 10, 2, 20) if along == 0 else (10, 1, 20, 2))


def test_floor_near_a_spot_is_the_largest_part_of_it_within_reach() -> None:
    """Of a U round a block, 500 round a spot over its left leg and the tip of its right one."""
    u = ((0, 0), (3000, 0), (3000, 2000), (2000, 2000), (2000, 1000), (1000, 1000), (1000, 2000), (0, 2000))
    floor = zone("f", (0, 0), (3000, 2000))
    floor = replace(floor, outline=tuple((float(x), float(y)) for x, y in u))
    near = near_to(floor, box(300, 1600, 1700, 1900), 400.0)
    assert near is not None and near.size_mm is None
    assert set(near.outline) == {(0.0, 1200.0), (1000.0, 1200.0), (1000.0, 2000.0), (0.0, 2000.0)}
    assert shapely.Polygon(near.outline).exterior.is_ccw
    assert near_to(floor, box(3400, 0, 3500, 100), 400.0) is None, "it only touches"
    assert near_to(floor, box(9000, 9000, 9100, 9100), 400.0) is None, "it lies wholly apart"


@pytest.mark.parametrize(
    ("most", "gear", "whole"), [(None, 90.0, None), (900.0, 90.0, 990.0), (900.0, None, 900.0)]
)
def test_what_rolls_weighs_as_thing_and_gear(
    most: float | None, gear: float | None, whole: float | None
) -> None:
    it: Any = like(load=like(most_kg=most), gear=like(gear=like(mass_kg=gear)))
    assert Situation.whole_kg.fget(it) == whole  # type: ignore[attr-defined]


def test_where_a_thing_of_the_shop_stood_is_its_middle_or_where_it_was_shifted_to() -> None:
    told = ThingPlace("vice", 1.0, 2.0, 3.0, "hall")
    stands = like(code="bin", box=(100.0, 200.0, 500.0, 900.0), room="hall")
    scene: Any = like(shifted={"vice": told}, shop=like(rooms=["hall"]), standing=lambda room: [stands])
    assert steps._stood(scene, ThingPlace("vice", 9.0, 9.0)) == told
    assert steps._stood(scene, ThingPlace("bin", 9.0, 9.0)) == ThingPlace("bin", 300.0, 550.0, 0.0, "hall")
    assert steps._stood(scene, ThingPlace("gone", 9.0, 9.0)) is None


def test_of_options_the_closest_to_going_is_the_better_verdict_then_fewer_noes_then_more_room() -> None:
    def option(verdict: Verdict, noes: int, margin: float | None) -> Any:
        parts = [like(verdict=Verdict.NO)] * noes + [like(verdict=Verdict.YES)]
        return like(verdict=verdict, parts=parts, answer=like(margin_mm=margin))

    order = [
        option(Verdict.YES, 0, 10.0),
        option(Verdict.YES, 0, None),
        option(Verdict.ASKED, 0, 900.0),
        option(Verdict.NO, 1, 20.0),
        option(Verdict.NO, 1, -20.0),
        option(Verdict.NO, 1, None),
        option(Verdict.NO, 2, 900.0),
    ]
    assert sorted(order, key=closeness, reverse=True) == order
    assert len({closeness(each) for each in order}) == len(order)


# --- what a thing needs, said in figures ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at", "reach"), [((300.0, 0.0), "200 mm"), ((0.0, -250.0), "50 mm"), ((0.0, 0.0), "300 mm")]
)
def test_a_hoist_for_a_part_reaches_in_from_the_nearest_side(at: Point, reach: str) -> None:
    """Of a thing of 1000 x 600 about its middle."""
    outline = tuple((at[0] + x, at[1] + y) for x, y in rectangle(40, 40))
    part: Any = like(outline=outline, to_mm=1500.0)
    whole = Load("the press", rectangle(1000, 600))
    it: Any = like(load=whole, off=(), group=like(shown="the press"))
    assert f"reaching {reach} in from" in partsoff.hoist_needed(it, part, 80.0)


def test_a_hoist_is_asked_for_its_hook_first_and_then_for_its_floor() -> None:
    part: Any = like(name="the head", to_mm=1500.0)
    asked = []
    for hook, size in ((None, None), (9000.0, None)):
        gear = Gear("c", "the crane", "engine crane", hook_mm=hook, size_mm=size, capacity_kg=500.0)
        found: Any = partsoff._sides_of(None, None, part, 80.0, gear)  # type: ignore[arg-type]
        asked.append((found.ask.text, found.ask.set))
    assert asked == [
        ("how high does the hook of the crane go?", "gear: c: {hook: 2 m}"),
        ("how much floor does the crane take?", "gear: c: {size: [1500, 1000]}"),
    ]


@pytest.mark.parametrize(("sill", "plate", "step"), [(0, None, 0), (20, None, 20), (20, 6, 26), (0, 6, 0)])
def test_how_far_a_thing_dips_and_rises_while_one_end_is_on_a_sill(
    sill: float, plate: float | None, step: float
) -> None:
    """It tips about its narrow way: what is so far out goes by sill x out / span, and a plate lies on a sill.

    Castors 600 x 400 under a corner 500 x 300 out: the farthest from one is hypot(800, 500), the span is 400.
    """
    stance = like(polygon=rectangle(600, 400))
    gears = {"p": like(kind="plate", height_mm=plate)} if plate else {}
    shop: Any = like(gear=gears, doors={"d": like(threshold_mm=sill)}, limits=like(moving=OWN))
    base: Any = like(
        gear=like(up_mm=(0.0, 100.0), gear=like(kind="pallet truck"), stances=(stance,)),
        route=like(doors=("d",)), ground=None, body=like(load=like(outline=rectangle(1000, 600))), moving=(),
    )  # fmt: skip
    found = heights_of(like(scene=like(shop=shop), slack_mm=5.0), base)
    tilt = step * math.hypot(800, 500) / 400
    assert found is not None and (found.lift, found.within) == ((0.0, 100.0), 5.0)
    assert (found.dips, found.rises) == pytest.approx((tilt, step + tilt if step else 0.0))


@pytest.mark.parametrize(
    ("play", "answer", "clear", "again"),
    [(60.0, "yes", 600.0, False), (10.0, "yes", 550.0, True), (10.1, "yes", 550.1, False),
     (-10.0, "no", 530.0, True), (-11.0, "no", 529.0, False)],
)  # fmt: skip
def test_forks_are_measured_against_what_is_clear(
    play: float, answer: str, clear: float, again: bool
) -> None:
    """540 over the forks; both lengths within 5: to be measured again where no more than 10 is between."""
    gear = Gear("t", "the truck", "pallet truck", over_forks_mm=540.0)
    opening: Any = like(free=((0, 1),), name="the front", wide_within_mm=5.0)
    found = trucks._width(gear, opening, Way(play, 0.0, False), 540.0, 5.0)
    assert (found.answer, found.measured, found.limit) == (answer, pytest.approx(clear), 540.0)
    assert bool(found.again) is again


@pytest.mark.parametrize(("deg", "dip"), [(0.5, "4 mm"), (5.0, "44 mm"), (0.0, ""), (-1.0, "")])
def test_a_dip_is_the_span_by_the_tangent_of_what_is_left(deg: float, dip: str) -> None:
    """500 between the wheels: 500 tan 0.5 is 4.4, 500 tan 5 is 43.7."""
    it: Any = like(gear=like(stances=(like(polygon=rectangle(800, 500)),)))
    for outward_deg in (90.0, -90.0):
        least: Any = like(deg=deg, outward_deg=outward_deg)
        assert _dip(it, least, 0.0) == (f", a dip of {dip} under one side" if dip else "")
        assert _dip(it, least, 30.4) == " with one side down a dip of 30 mm"


def test_figures_told_are_kept_as_they_are_up_to_three_and_else_by_their_mark() -> None:
    told = {"size": (1200, 800.0), "at": (1, 2, 3), "many": (1, 2, 3, 4), "words": ("a", "b"), "none": None,
            "blank": "", "empty": ()}  # fmt: skip
    found = dict(_leaves({"gear": told}))
    assert found["gear size"] == "1200, 800" and found["gear at"] == "1, 2, 3"
    assert found["gear many"].startswith(LONG) and found["gear words"].startswith(LONG)
    assert set(found) == {"gear size", "gear at", "gear many", "gear words"}


def test_only_a_stop_stops_and_only_a_hoist_that_puts_on_goes_out() -> None:
    stop, note = like(grade="stop"), like(grade="note")
    assert steps._stopped([note, stop])
    assert not steps._stopped([note]) and not steps._stopped([])
    head, bed = like(called="head", name="the head"), like(called="bed", name="the bed")
    plan: Any = like(lifts={"head": like(puts_on=like(name="the gantry"))})
    assert [step["title"] for step in steps._hoist_out(plan, head)] == [
        "the gantry out, once the head is bolted on"
    ]
    assert list(steps._hoist_out(plan, bed)) == []


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 37.0])
@pytest.mark.parametrize(("kind", "pad", "wide"), [
    ("trolley", None, 600.0 + 2 * 30.0), ("skates", (200.0, 150.0), 600.0 + 150.0),
    ("skates", (200.0, 40.0), 600.0 + 2 * 30.0),
])  # fmt: skip
def test_wheels_stand_as_wide_over_all_as_their_outer_tracks(
    kind: str, pad: Point | None, wide: float, turn_deg: float
) -> None:
    points = placed(((-400.0, -100.0), (-400.0, 500.0), (900.0, 0.0)), Pose(70.0, 20.0, turn_deg))
    gear = like(over_forks_mm=None, size_mm=pad)
    own = {"wheel half width": 30.0}
    it: Any = like(kind=kind, own=own, gear=like(gear=gear, wheels=points, axis_deg=turn_deg))
    assert over_all_mm(it) == pytest.approx(wide)
    none: Any = like(kind=kind, own=own, gear=like(gear=gear, wheels=(), axis_deg=turn_deg))
    assert over_all_mm(none) == 0.0
    truck: Any = like(kind=kind, own=own, gear=like(gear=like(over_forks_mm=540.0), wheels=points))
    assert over_all_mm(truck) == 540.0


def test_what_lies_on_a_part_that_projects_comes_off_with_it_however_deep() -> None:
    where = {"bolt": InGroup("tray"), "tray": InGroup("arm", "on"), "arm": InGroup("lathe", "fitted"),
             "lathe": None, "a": InGroup("b"), "b": InGroup("a")}  # fmt: skip
    scene: Any = like(group=lambda key: like(where=where[key]))
    assert _fixed_on(scene, "bolt", {"arm"}) and _fixed_on(scene, "tray", {"arm"})
    assert not _fixed_on(scene, "arm", {"arm"}) and not _fixed_on(scene, "bolt", {"tub"})
    assert not _fixed_on(scene, "a", {"arm"}), "what is in itself ends"


def test_a_thing_is_introduced_by_what_it_weighs_without_and_with_what_comes_off() -> None:
    load = Load("lathe", box(0, 0, 1600, 900), 950.0, 400.0)
    arm, tray = like(name="arm", mass=Mass(25.0)), like(name="tray", mass=Mass(5.0))
    unknown = like(name="tray", mass=None)

    def said(*off: Any) -> str:
        return introduced(like(load=load, off=off, along=(), left_here=(), base=True))

    assert said().startswith("400 kg, 1600 mm by 900 mm, 950 mm high")
    assert said(arm).startswith("400 kg without arm, 425 kg with it, ")
    assert said(arm, tray).startswith("400 kg without arm, tray, 430 kg with them, ")
    assert said(arm, unknown).startswith("400 kg without arm, tray, 1600 mm")


@pytest.mark.parametrize(("towards_deg", "wide_x", "wide_y"), [(0.0, 1500, 1000), (90.0, 1000, 1500)])
def test_a_gantry_stands_about_the_hook(towards_deg: float, wide_x: float, wide_y: float) -> None:
    load: Any = like(cg_mm=(100.0, 50.0), outline=rectangle(800, 600))
    side: Any = like(towards_deg=towards_deg, reach_mm=None, needed_mm=700.0)
    (outline,) = _shape(crane("gantry crane"), load, side)
    stands = bounds(outline)
    assert stands.middle == pytest.approx((100, 50))
    assert (stands.wide_mm, stands.deep_mm) == pytest.approx((wide_x, wide_y))
    assert _shape(replace(crane("gantry crane"), size_mm=None), load, side) == ()


@pytest.mark.parametrize("towards_deg", [0.0, 90.0])
def test_an_engine_crane_reaches_from_behind_its_mast_to_its_legs_ends(towards_deg: float) -> None:
    load: Any = like(cg_mm=(0.0, 0.0), outline=rectangle(800, 600))
    side: Any = like(towards_deg=towards_deg, reach_mm=None, needed_mm=900.0)
    (outline,) = _shape(crane("engine crane", body_mm=300.0), load, side)
    wanted = placed(((-1200, -500), (600, -500), (600, 500), (-1200, 500)), Pose(0, 0, towards_deg))
    assert bounds(outline) == pytest.approx(bounds(wanted))
