"""Rooms that touch have a wall between them, however thin; its door is open (common practice, no source)."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from shopbins.geometry.features import wall_features
from shopbins.geometry.shapes import Outline, Pose, rectangle
from shopbins.kernel.pinch import Floor
from shopbins.kernel.planner import Planner
from shopbins.ledger.state import State
from shopbins.moves.lines import floor_of
from shopbins.moves.route import Route, ground
from shopbins.scene.scene import build
from shopbins.scene.thinwalls import thin_walls
from shopbins.shop import reader
from shopbins.shop.model import Shop

DOOR_MM = 900.0


def two_rooms(left_mm: float, *, jambs: str | None = None) -> Shop:
    """A room to 9000 and one from `left_mm` on, with a door of 900 in the wall between."""
    jambs = jambs or f"[9000, 100], [9000, {100 + DOOR_MM:g}]"
    return reader.parse(
        "shop: Seam\nprefix: SM\nrooms:\n"
        "  a: {outline: [[0, 0], [9000, 0], [9000, 4000], [0, 4000]]}\n"
        f"  b: {{outline: [[{left_mm}, 0], [12000, 0], [12000, 4000], [{left_mm}, 4000]]}}\n"
        f"doors:\n  mid: {{room: a, to: b, jambs: [{jambs}], height: 2.2 m, opens: open}}\n"
    )


def goes(shop: Shop, wide_mm: float) -> str:
    floor = ground(build(shop, State()), Route(("a", "b"), ("mid",), 0.0), "group:none", 500.0)
    planner = Planner(floor.outlines, floor.holes, rectangle(wide_mm, wide_mm))
    return str(planner.goes((), Pose(3000, 2000), Pose(10500, 2000)).answer)


@pytest.mark.parametrize("left_mm", [9000, 8999, 9000.5, 9120])
def test_between_rooms_only_what_is_no_wider_than_the_door_goes(left_mm: float) -> None:
    shop = two_rooms(left_mm)
    assert goes(shop, DOOR_MM - 2.0) == "goes"
    assert goes(shop, DOOR_MM + 2.0) == "does not go"


@pytest.mark.parametrize("left_mm", [9000, 8999, 9001.5, 9120])
def test_no_line_goes_through_the_wall(left_mm: float) -> None:
    floor = floor_of(_situation(two_rooms(left_mm)))
    assert shapely.contains(floor, shapely.LineString([(8000, 500), (10_000, 500)])), "through the door"
    assert not shapely.contains(floor, shapely.LineString([(8000, 2000), (10_000, 2000)]))


def _situation(shop: Shop) -> Any:
    return SimpleNamespace(scene=SimpleNamespace(shop=shop))


def test_a_wall_is_left_out_where_the_doorway_is_as_wide_as_the_rooms() -> None:
    assert not thin_walls(*_rooms_and_door(two_rooms(9000, jambs="[9000, 0], [9000, 4000]")))
    walls = thin_walls(*_rooms_and_door(two_rooms(9000)))
    assert {name for name, _ in walls} == {"the wall between a and b"}
    long_mm = sum(max(y for _, y in wall) - min(y for _, y in wall) for _, wall in walls)
    assert long_mm == pytest.approx(4000 - DOOR_MM, abs=0.4)


def _rooms_and_door(shop: Shop) -> Any:
    return shop.rooms.values(), [(door, door.passage) for door in shop.doors.values()]


A: Outline = ((0, 0), (9000, 0), (9000, 4000), (0, 4000))
B: Outline = ((9000, 500), (12_000, 500), (12_000, 3000), (9000, 3000))


def test_outlines_of_a_floor_that_share_an_edge_are_open_there_to_every_question() -> None:
    """`goes` unites them, so a disc passes as well: 2500 mm wide, by the shorter side (closed form)."""
    for floor in ((A, B), (A[::-1], B), (B, A)):
        assert Floor.of(floor).pinch((4500, 2000), (10_500, 1750)).width_mm == pytest.approx(2500.0)
    assert Planner((A, B), (), rectangle(2400, 2400)).goes((), Pose(3000, 2000), Pose(10_600, 1750)).path


def test_rooms_told_apart_are_not_open_to_each_other() -> None:
    for other in (B, tuple((x - 0.7, y) for x, y in B)):
        apart = [f.points for f in wall_features((A, other), apart=2)]
        assert ((9000.0, 0.0), (9000, 4000)) in apart
