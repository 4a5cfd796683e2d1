"""Pieces of a move's judgement met exactly: heads under beams, how high gear stands, classes of tilt."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from building import box, shop

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.moves.finding import row_of
from shopbins.moves.fits import tell_under
from shopbins.moves.heights import (
    _boom_low_mm,
    _boom_over_mm,
    _height_and_lift,
    ask_lift,
    heads,
    tell_opening,
)
from shopbins.moves.room import gaps
from shopbins.moves.standing import _class, fall_zone
from shopbins.shop.model import Door, Fixture, Gear, Room

OWN = {
    "person high": 2000.0,
    "person": 600.0,
    "hook below tip": 150.0,
    "tip reserve": 6.0,
    "tip notice": 10.0,
}


def on_a_way(*hanging: Fixture, headroom: float | None = 3000.0, high: float | None = 2100.0) -> Any:
    """A thing of 1000 x 800 from (1000, 1000) to (5000, 1000), people 600 mm beside it."""
    rooms = [
        Room("hall", "the hall", box(0, 0, 9000, 6000), headroom_mm=headroom),
        Room("yard", "the yard", box(0, -9000, 9000, -200), headroom_mm=headroom, outdoor=True),
    ]
    door = Door("d", "the door", "hall", "yard", ((0, 0), (900, 0)), 900, high, "open", ())
    there = shop(rooms=rooms, fixtures=list(hanging), doors=[door])
    return SimpleNamespace(
        scene=SimpleNamespace(shop=there), rooms=rooms, doors=[door], own=OWN, subjects=("group:X",),
        attempt=None, hull=rectangle(1000, 800), path=[Pose(1000, 1000), Pose(5000, 1000)],
    )  # fmt: skip


def told(it: Any) -> list[tuple[str, float | None]]:
    parts = list(heads(it))
    assert all(part.verdict is Verdict.ASKED for part in parts)
    return [(row_of(part).finding.subjects[-1], row_of(part).finding.measured) for part in parts]


@pytest.mark.parametrize(("base", "found"), [(1999.0, True), (2000.0, False), (1.0, True), (0.0, False)])
def test_what_hangs_lower_than_a_person_is_named_and_what_stands_is_not(base: float, found: bool) -> None:
    beam = Fixture("beam", "the beam", "hall", box(2000, 0, 2200, 3000), base_mm=base, top_mm=2500)
    assert told(on_a_way(beam)) == [("fixture:beam", base)] * found


@pytest.mark.parametrize(("y", "found"), [(1999.0, True), (2001.0, False)])
@pytest.mark.parametrize("room", ["hall", "attic"])
def test_a_beam_counts_where_somebody_walks_beside_the_thing(y: float, found: bool, room: str) -> None:
    beam = Fixture("beam", "the beam", room, box(2000, y, 2200, y + 500), base_mm=1900, top_mm=2500)
    assert told(on_a_way(beam)) == [("fixture:beam", 1900)] * (found and room == "hall")


@pytest.mark.parametrize(("headroom", "high", "found"), [
    (2000.0, 2000.0, []), (1999.0, 2000.0, [("room:hall", 1999.0)]), (2000.0, 1999.0, [("door:d", 1999.0)]),
    (None, None, []),
])  # fmt: skip
def test_low_doors_and_ceilings_are_named_and_the_sky_is_not(
    headroom: float | None, high: float | None, found: list[tuple[str, float]]
) -> None:
    assert told(on_a_way(headroom=headroom, high=high)) == found


# --- classes of tilt --------------------------------------------------------------------------------------


@pytest.mark.parametrize(("deg", "grave"), [
    (-1.0, 3), (0.0, 3), (0.01, 2), (5.99, 2), (6.0, 1), (9.99, 1), (10.0, 0), (40.0, 0),
])  # fmt: skip
def test_what_is_left_before_it_tips_falls_into_a_class(deg: float, grave: int) -> None:
    it: Any = SimpleNamespace(own=OWN)
    assert _class(it, deg) == grave


# --- how high gear stands and carries ---------------------------------------------------------------------


def geared(
    kind: str, *, height: float | None = None, sling: float | None = None, up: Any = None, **more: Any
) -> Any:
    gear = Gear("g", "the gear", kind, **more)  # type: ignore[arg-type]
    load = SimpleNamespace(height_mm=height, sling_height_mm=sling, under_mm=None)
    fits = SimpleNamespace(gear=gear, up_mm=up, height_mm=gear.height_mm, heel=None,
                           goes_under=SimpleNamespace(why="how wide is it open?"))  # fmt: skip
    group = SimpleNamespace(code="X7")
    body = SimpleNamespace(group=group)
    return SimpleNamespace(kind=kind, gear=fits, load=load, own=OWN, body=body, name="the press")


def test_what_gear_carries_is_as_high_as_it_is_and_as_it_is_lifted() -> None:
    assert _height_and_lift(geared("pallet truck", height=1700, up=(0.0, 115.0))) == (1700, (0.0, 115.0))
    assert _height_and_lift(geared("pallet truck", up=(0.0, 115.0))) is None
    assert _height_and_lift(geared("skates", height=1700)) is None


def test_a_gantry_stands_as_high_as_it_is_and_a_crane_as_its_boom() -> None:
    assert _height_and_lift(geared("gantry crane", height_mm=2500.0)) == (2500.0, (0.0, 0.0))
    assert _height_and_lift(geared("gantry crane")) is None
    crane = {"height_mm": 1600.0, "hook_mm": 2200.0}
    # With the tip 150 mm over the hook (own figure) the boom stands 2350 mm up, 750 over the mast.
    high = geared("engine crane", sling=1000.0, **crane)
    assert (_boom_over_mm(high), _boom_low_mm(high)) == (750.0, 1000.0)
    assert _height_and_lift(high) == (1600.0, (0.0, 750.0))
    told_tip = geared("engine crane", sling=1700.0, boom_tip_mm=2300.0, **crane)
    assert (_boom_over_mm(told_tip), _boom_low_mm(told_tip)) == (700.0, 1800.0)
    assert _height_and_lift(told_tip) == (1800.0, (0.0, 500.0))
    assert _boom_low_mm(geared("engine crane", height=1200.0)) == 1200.0
    assert _boom_over_mm(geared("engine crane", height_mm=2500.0, hook_mm=2200.0)) == 0.0
    assert _boom_over_mm(geared("gantry crane", **crane)) == 0.0
    assert _boom_over_mm(geared("engine crane")) == 0.0


@pytest.mark.parametrize(("kind", "more", "asked"), [
    ("skates", {}, "gear: g: {height: 110}"), ("pallet truck", {}, "gear: g: {lowered: 85, raised: 200}"),
    ("pallet truck", {"lowered_mm": 85.0}, "gear: g: {lowered: 85, raised: 200}"),
    ("pallet truck", {"lowered_mm": 85.0, "raised_mm": 200.0}, "--moving opening=500mm --moving under=110mm"),
])  # fmt: skip
def test_how_high_gear_carries_is_asked_for_by_what_is_not_told(kind: str, more: Any, asked: str) -> None:
    assert asked in ask_lift(geared(kind, **more)).set


@pytest.mark.parametrize(("kind", "more", "asked"), [
    ("pallet truck", {}, "gear: g: {over forks: 540}"), ("trolley", {}, "gear: g: {size: [900, 600]}"),
    ("engine crane", {}, "gear: g: {inside: 820}"), ("gantry crane", {}, "gear: g: {inside: 820}"),
    ("pallet truck", {"over_forks_mm": 540.0}, "gear: g: {lowered: 85, raised: 200}"),
    ("pallet truck", {"over_forks_mm": 540.0, "lowered_mm": 85.0}, "shopbins set X7 --moving opening=500mm"),
    ("trolley", {"size_mm": (900.0, 600.0)}, "shopbins set X7 --moving 'foot=-400,300; -400,-300"),
    ("rollers and bar", {}, "shopbins set X7 --moving runners=500mm"),
    ("engine crane", {"inside_mm": 820.0}, "shopbins set X7 --moving 'sling height=1400mm'"),
])  # fmt: skip
def test_what_is_lacking_of_the_gear_is_asked_of_the_gear(kind: str, more: Any, asked: str) -> None:
    """What is told of the thing is not asked again, to be written over with an example."""
    it = geared(kind, **more)
    it.load.under_mm = 110.0
    assert tell_under(it).startswith(asked)


def test_only_what_is_not_told_of_the_opening_is_asked() -> None:
    it = geared("pallet truck")
    assert tell_opening(it) == "shopbins set X7 --moving opening=500mm --moving under=110mm"
    it.load.under_mm = 100.0
    assert tell_opening(it) == "shopbins set X7 --moving opening=500mm"
    it.gear.heel = object()
    assert tell_opening(it) == "shopbins set X7 --moving under=110mm"


@pytest.mark.parametrize(("hoist", "high"), [
    ({"height_mm": 3200.0, "hook_mm": 2900.0}, 3200.0), ({"boom_tip_mm": 2400.0, "hook_mm": 2100.0}, 2400.0),
    ({"hook_mm": 2100.0}, 2100.0), ({}, 950.0),
])  # fmt: skip
def test_of_what_hangs_people_stay_off_as_far_as_its_hoist_is_high(
    hoist: dict[str, float], high: float
) -> None:
    """What goes over with it is the hoist; 900 mm hung 50 up, where nobody told how high that is."""
    gantry = Gear("g", "the gantry", "gantry crane", **hoist)  # type: ignore[arg-type]
    it: Any = SimpleNamespace(
        kind="gantry crane", name="head", subjects=(), load=SimpleNamespace(height_mm=900.0),
        gear=SimpleNamespace(gear=gantry, up_mm=(50.0, 50.0)),
    )  # fmt: skip
    (part,) = fall_zone(it)
    assert part.text == f"all others {high:.0f} mm off while hung"


@pytest.mark.parametrize(("clear", "words"), [
    (50.0, []), (49.9, ["guided where it is tight"]), (20.0, ["guided where it is tight"]),
    (19.9, ["guided dead slow where it is tight"]),
])  # fmt: skip
def test_less_room_than_is_steered_in_by_hand_is_guided(clear: float, words: list[str]) -> None:
    """50 mm by hand, 20 mm guided (own figures)."""
    own = {"person": 500.0, "steering by hand": 50.0, "steering guided": 20.0}
    attempt = SimpleNamespace(found=SimpleNamespace(clearance_mm=clear))
    it: Any = SimpleNamespace(
        attempt=attempt, own=own, name="mill", subjects=(), is_tight=clear < own["steering by hand"]
    )
    assert [part.text for part in gaps(it) if part.verdict is Verdict.ASKED] == words
