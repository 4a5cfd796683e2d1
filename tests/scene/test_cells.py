"""A cell's places to reach at its doors, by hand; which exits a room has; what a floor's doors lead to."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from building import Pile, box, shop

from shopbins.geometry.shapes import Outline, Point, Pose, placed
from shopbins.scene.doorway import Doorway, doorway
from shopbins.scene.outcell import Cell, port
from shopbins.scene.standing import Standing
from shopbins.scene.walking import Walkable, _inner_corners
from shopbins.scene.walkout import exits_beyond, ways_from
from shopbins.scene.waysout import WaysOut, exits_from
from shopbins.shop.model import Door, Fixture, Room, Shop

HALL, STORE = box(0, 0, 8000, 6000), box(8300, 0, 13_000, 6000)


def door(key: str, room: str, to: str, a: Point, b: Point, passage: Outline, **more: object) -> Door:
    return Door(key, key, room, to, (a, b), math.dist(a, b), 2000, "open", passage, **more)  # type: ignore[arg-type]


EXIT = door("exit", "hall", "outside", (0, 2000), (0, 2900), box(-250, 2000, 1, 2900), exit=True)
INNER = door("inner", "hall", "store", (8000, 1000), (8000, 1950), box(7999, 1000, 8301, 1950))


def way_of(it: Door, **rooms: Outline) -> Doorway:
    found = doorway(it, shop(rooms=[Room(key, key, each) for key, each in rooms.items()], doors=[it]))
    assert found is not None
    return found


def body(outline: Outline) -> Standing:
    return Standing("group:bar", "group:bar", "bar", "BAR", "hall", outline, 0.0, 500.0)


# --- where a door is come to ------------------------------------------------------------------------------


def test_an_inner_door_is_come_to_in_the_middle_of_its_wall_from_both_sides() -> None:
    way = way_of(INNER, hall=HALL, store=STORE)
    here, there = Cell({"hall": HALL}, [], [(way, True)], []), Cell({"store": STORE}, [], [(way, False)], [])
    assert here.ports == {"inner/in": (8150, 1475)} and there.ports == {"inner/out": (8150, 1475)}
    assert (port(way, "hall"), port(way, "store")) == ("inner/in", "inner/out")
    # From the hall's middle a disc as wide as the doorway gets there, between its jambs.
    for cell, room, start in ((here, "hall", (4000.0, 3000.0)), (there, "store", (10_650.0, 3000.0))):
        pinch = cell.pinch(start, next(iter(cell.ports.values())))
        assert pinch.width_mm == pytest.approx(950)
        assert cell.middle(room) is not None


# 250 mm of wall and half a doorway more than 450 mm: 701 mm out; or as far beyond what sticks out of it.
@pytest.mark.parametrize(("stands", "out"), [
    (None, 701.0), (box(-200, 2000, 400, 2300), 701.0), (box(-1000, 2000, 400, 2300), 1451.0),
    (box(-1000, 2890, -900, 3300), 1451.0), (box(-1000, 1600, -900, 1700), 1451.0),
    (box(-1000, 1500, -900, 1548), 701.0), (box(-1000, 3352, -900, 3400), 701.0),
    (box(-2600, 2000, -2240, 2300), 3051.0), (box(-2600, 2000, -2260, 2300), 701.0),
])  # fmt: skip
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_an_exit_is_left_when_what_sticks_out_of_it_is_passed(
    stands: Outline | None, out: float, turn: float
) -> None:
    pose = Pose(700.0, -400.0, turn)
    hall, ((ax, ay), (bx, by)) = placed(HALL, pose), placed(EXIT.jambs, pose)
    it = replace(EXIT, jambs=((ax, ay), (bx, by)), passage=placed(EXIT.passage, pose))
    there = [] if stands is None else [body(placed(stands, pose))]
    cell = Cell({"hall": hall}, [], [(way_of(it, hall=hall), True)], there)
    assert cell.ports["exit/in"] == pytest.approx(placed(((-out, 2450.0),), pose)[0])


U = ((0, 0), (6000, 0), (6000, 4000), (3700, 4000), (3700, 1000), (3000, 1000), (3000, 4000), (0, 4000))
"""Two wings of a building with a yard of 700 mm between them."""
INTO_YARD = door(
    "exit", "hall", "outside", (3000, 2000), (3000, 2900), box(2999, 2000, 3100, 2900), exit=True
)


@pytest.mark.parametrize(("room", "at"), [
    (U, 3400.0),  # half way from the outer face of the wall to the other wing
    # The other wing is across only beside the middle: half as far as a disc as wide as the door is long.
    (((0, 0), (6000, 0), (6000, 2300), (3700, 2300), (3700, 1000), (3000, 1000), (3000, 4000),
    (0, 4000)), 3551.0),
    (((0, 0), (9000, 0), (9000, 4000), (5200, 4000), (5200, 1000), (3000, 1000), (3000, 4000),
    (0, 4000)), 3551.0),
])  # fmt: skip
def test_before_another_wing_an_exit_is_left_half_way(room: Outline, at: float) -> None:
    cell = Cell({"hall": room}, [], [(way_of(INTO_YARD, hall=room), True)], [])
    assert cell.ports["exit/in"] == pytest.approx((at, 2450))


def test_seen_from_outdoors_an_exit_is_left_inwards() -> None:
    """A yard told as a room, whose gate is marked an exit: from the hall one leaves into the yard."""
    gate = door("gate", "yard", "hall", (3000, 2000), (3000, 2900), box(2999, 2000, 3200, 2900), exit=True)
    way = way_of(gate, yard=box(0, 0, 3000, 5000), hall=box(3200, 0, 9000, 5000))
    cell = Cell({"hall": box(3200, 0, 9000, 5000)}, [], [(way, False)], [])
    assert cell.ports["gate/out"] == pytest.approx((3000 - 1 - 451, 2450))


# --- which exits ------------------------------------------------------------------------------------------

ROOMS = [
    Room("hall", "hall", HALL),
    Room("store", "store", STORE),
    Room("shed", "shed", box(20_000, 0, 23_000, 3000)),
]
BACK = door(
    "back", "store", "outside", (13_000, 4000), (13_000, 5000), box(12_999, 4000, 13_200, 5000), exit=True
)
SHED = door(
    "shed", "shed", "outside", (20_000, 500), (20_000, 1500), box(19_800, 500, 20_001, 1500), exit=True
)
SIDE = door("side", "hall", "outside", (2000, 0), (3000, 0), box(2000, -200, 3000, 1))


def there(*doors: Door) -> Shop:
    return shop(rooms=ROOMS, doors=list(doors))


def test_a_building_of_its_own_has_its_own_exits() -> None:
    whole = there(EXIT, INNER, BACK, SHED, SIDE)
    exits = {room: [way.door.key for way in exits_from(whole, room)] for room in whole.rooms}
    assert exits == {"hall": ["exit", "back"], "store": ["exit", "back"], "shed": ["shed"]}
    assert exits_from(there(EXIT, INNER), "shed") == []


def test_the_nearest_exit_comes_first_by_doors() -> None:
    # From (11500, 3000) or so in the store: back is near, exit is 3.4 m and 8.2 m off through the inner door.
    ways = WaysOut(Pile().scene(there(EXIT, INNER, BACK)), 2000.0)
    found = {room: [(out.exit.key, out.far_mm) for out in ways.ways(room)] for room in ("hall", "store")}
    for room in found:
        spot = ways.spot(room)
        assert spot is not None
        inner, back, out = (8150.0, 1475.0), (13_099.5, 4500.0), (-124.5, 2450.0)
        own, other = (("exit", out), ("back", back)) if room == "hall" else (("back", back), ("exit", out))
        far = {own[0]: math.dist(spot, own[1]), other[0]: math.dist(spot, inner) + math.dist(inner, other[1])}
        told = dict(found[room])
        assert list(told) == sorted(far, key=lambda key: far[key])
        assert told == pytest.approx(far, abs=1.0)


def test_what_a_door_leads_to_without_coming_back() -> None:
    whole = there(EXIT, INNER, BACK, SIDE)
    beyond = {(room, it.key): set(exits_beyond(whole, room, it)) for room in ("hall", "store") for it in
              whole.doors.values() if room in (it.room, it.to)}  # fmt: skip
    assert beyond == {
        ("hall", "exit"): {"exit"}, ("hall", "inner"): {"back"}, ("store", "inner"): {"exit"},
        ("store", "back"): {"back"}, ("hall", "side"): set(),
    }  # fmt: skip
    assert [it.key for it in ways_from(whole, "hall")] == ["exit", "inner"]
    assert [it.key for it in ways_from(there(INNER, BACK, SIDE), "store")] == ["back"]


@pytest.mark.parametrize(("outdoor", "base", "width"), [
    (False, 2000.0, 900), (False, 1999.0, 500), (True, 2000.0, 900), (True, 1999.0, 500),
])  # fmt: skip
def test_what_hangs_lower_than_a_head_is_in_the_way_indoors_and_out(
    outdoor: bool, base: float, width: float
) -> None:
    bar = Fixture("bar", "the bar", "hall", box(2000, 0, 2200, 5500), base_mm=base)
    rooms = [replace(ROOMS[0], outdoor=outdoor, headroom_mm=3000)]
    (out,) = WaysOut(Pile().scene(shop(rooms=rooms, doors=[EXIT], fixtures=[bar])), 2000.0).ways("hall")
    assert out.width_mm == pytest.approx(width)


# --- floors to walk on ------------------------------------------------------------------------------------


def test_the_corners_that_stand_out_into_a_room() -> None:
    assert _inner_corners(HALL) == []
    assert _inner_corners(((0, 0), (50, 0), (100, 0), (100, 100), (0, 100))) == []
    assert sorted(_inner_corners(U)) == [(3000, 1000), (3700, 1000)]


def test_what_stands_over_a_point_and_what_holds_an_end() -> None:
    floor = Walkable(box(0, 0, 4000, 4000), [box(1000, 1000, 2000, 3000)])
    over = [(1000.0, 1000.0), (2000.0, 3000.0), (1500.0, 1000.0), (1000.0, 2000.0), (1500.0, 2000.0)]
    assert [floor.free(p) for p in over] == [False] * 5
    assert [
        floor.free(p) for p in ((999.0, 2000.0), (2001.0, 2000.0), (1500.0, 999.0), (1500.0, 3001.0))
    ] == [True] * 4
    round_it = floor.walk((500.0, 2000.0), (2500.0, 2000.0))
    assert round_it is not None and round_it.round == (0,)
    assert round_it.length_mm == pytest.approx(
        2 * math.hypot(500, 1000) + 1000, abs=1
    )  # 500 x 1000 to a corner
    out_of_it = floor.walk((1500.0, 2000.0), (2500.0, 2000.0))
    assert out_of_it is not None and (out_of_it.length_mm, out_of_it.round) == (1000.0, ())
    assert len(floor.corners(own=True)) == 4 and len(floor.corners(own=False)) == 8
    assert Walkable(box(0, 0, 4000, 4000), [box(1000, -10, 2000, 4010)]).walk((500, 5), (2500, 5)) is None
