"""Ways out that nobody passes: an own least in every set, which doors are another way, who lets it be."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from building import Pile, box, grades, of, shop

from shopbins.ledger.problems import BadValue
from shopbins.records.accepted import NOBODY, Acceptable, accepted_doc
from shopbins.rules.accepting import only_for_now
from shopbins.rules.finding import Finding
from shopbins.shop.model import Door, Room, Shop, Walkway

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
STORE = Room("store", "the store", box(10_200, 0, 14_000, 8000), headroom_mm=3000)


def out(width: float = 1000, at: float = 3000, key: str = "out", **more: Any) -> Door:
    """An exit in the left wall of the hall."""
    fields = {"height_mm": 2100.0, "opens": "open", "passage": box(-200, at, 1, at + width), "exit": True}
    jambs = ((0.0, at), (0.0, at + width))
    return Door(key, key, "hall", "outside", jambs, width, **{**fields, **more})


def before_the_door(left: float, **more: Any) -> tuple[Shop, Pile]:
    """A crate before the only exit, 1 m wide, that leaves so much of its floor."""
    pile = Pile()
    pile.add("crate", pile.at(300, 3000 + left + 2000), size=(600, 4000, 900), kg=100.0)
    return shop(doors=[out()], **more), pile


@pytest.mark.parametrize("rules", ["own", "eu", "us", "uk"])
@pytest.mark.parametrize("left", [5.0, 225.0, 499.0])
def test_a_way_nobody_passes_is_a_stop_in_every_set(rules: str, left: float) -> None:
    there, pile = before_the_door(left, rules=rules)
    assert "stop" in grades(there, "door-front", pile)
    assert "stop" in grades(there, "exit-width", pile)
    assert "stop" in grades(there, "way-out", pile)
    for rule in ("door-front", "exit-width", "way-out"):
        stops = [f for f in of(there, rule, pile) if f.grade == "stop"]
        assert all(only_for_now(there, each) for each in stops)
    assert any(f"leaves {left:g} mm at out" in f.text for f in of(there, "exit-width", pile))


@pytest.mark.parametrize("rules", ["own", "eu"])
def test_what_a_body_passes_is_no_stop_without_a_figure(rules: str) -> None:
    there, pile = before_the_door(501.0, rules=rules)
    for rule in ("door-front", "exit-width", "way-out"):
        assert "stop" not in grades(there, rule, pile)


def test_a_building_too_narrow_for_a_body_is_to_fix_and_not_checked_where_the_law_has_no_figure() -> None:
    there = shop(doors=[out(499)], rules="eu")
    assert grades(there, "exit-width") == [] and grades(there, "way-out") == ["correct"]
    assert grades(shop(doors=[out(501)], rules="eu"), "way-out") == []


@pytest.mark.parametrize(("left", "exit_route", "found"), [(500.0, True, "correct"), (499.0, True, "stop"),
                                                           (499.0, False, "correct")])  # fmt: skip
def test_an_exit_route_narrower_than_a_body(left: float, exit_route: bool, found: str) -> None:
    way = Walkway("r", "the route", ((0, 3500), (9000, 3500)), 1000, exit_route=exit_route, rooms=("hall",))
    pile = Pile()
    pile.add("crate", pile.at(4000, 3000 + left + 1000), size=(600, 2000, 900), kg=100.0)
    assert grades(shop(walkways=[way], rules="own"), "walkway", pile) == [found]


@pytest.mark.parametrize(
    ("opens", "found"), [("open", "correct"), ("up-and-over", "stop"), ("sliding", "stop")]
)
def test_a_door_that_is_no_exit_is_no_other_way(opens: str, found: str) -> None:
    # 29 CFR 1910.36(e)(1): an exit door is side-hinged
    there, pile = before_the_door(100.0, rules="us")
    doors = [out(), out(1000, 6800, "other", opens=opens, hang_mm=2100.0)]
    there = shop(doors=doors, rules="us")
    pile = Pile()
    pile.add("crate", pile.at(400, 2900), size=(600, 2000, 900), kg=100.0)
    (seen,) = of(there, "way-out", pile)
    assert seen.grade == found


@pytest.mark.parametrize(("second", "only"), [(False, True), (True, False)])
def test_the_only_door_of_a_room_is_let_shut_only_for_now(second: bool, only: bool) -> None:
    def inner(key: str, y: float) -> Door:
        jambs = ((10_000.0, y), (10_000.0, y + 900))
        return Door(key, key, "hall", "store", jambs, 900, 2000, "open", box(9_999, y, 10_201, y + 900))

    doors = [out(), inner("a", 1000.0)] + ([inner("b", 5000.0)] if second else [])
    there = shop(rooms=[HALL, STORE], doors=doors)
    stop = Finding("door-front", "stop", ("door:a", "group:X"), "it is so")
    assert only_for_now(there, stop) is only
    assert only_for_now(there, replace(stop, grade="correct")) is False


def test_an_open_pit_in_a_walkway_is_let_be_only_for_now() -> None:
    stop = Finding("pit", "stop", ("opening:sump", "walkway:in"), "it is so")
    assert only_for_now(shop(), stop)


@pytest.mark.parametrize(("by", "good"), [("ann", True), ("", False), ("  ", False), (NOBODY, False)])
def test_nobody_accepts_nothing(by: str, good: bool) -> None:
    what, day = Acceptable("a/b", "stop"), date(2026, 3, 1)
    if good:
        assert accepted_doc(what, "it holds", by=by, day=day)["by"] == by
        return
    with pytest.raises(BadValue):
        accepted_doc(what, "it holds", by=by, day=day)
