"""Ways out against one undivided floor, against a raster of distances, and in closed form."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
from building import HERE, Pile, box, elsewhere, shop
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from shopbins.geometry.shapes import FloorProblem, Outline, Point, Pose, contains
from shopbins.kernel.pinch import Floor
from shopbins.scene.doorway import doorway
from shopbins.scene.outcell import Cell
from shopbins.scene.scene import Scene, build
from shopbins.scene.standing import Standing
from shopbins.scene.walking import _crosses, _grown
from shopbins.scene.waysout import WaysOut
from shopbins.shop.model import Door, Fixture, Room

HIGH = 2000.0
ROOMS = [
    Room("hall", "the hall", box(0, 0, 8000, 6000)),
    Room("store", "the store", box(8300, 0, 13_000, 6000)),
    Room("loft", "the loft", box(0, 6200, 8000, 10_000)),
]


def door(key: str, room: str, to: str, a: Point, b: Point, passage: Outline, **more: object) -> Door:
    return Door(
        key, key, room, to, (a, b), clear_width_mm=math.dist(a, b), height_mm=2000, opens="open",
        passage=passage, **more,
    )  # fmt: skip


EXIT = door("exit", "hall", "outside", (0, 2000), (0, 2900), box(-250, 2000, 1, 2900), exit=True)
BACK = door(
    "back", "store", "outside", (13_000, 4000), (13_000, 5000), box(12_999, 4000, 13_200, 5000), exit=True
)
INNER = door("inner", "hall", "store", (8000, 1000), (8000, 1950), box(7999, 1000, 8301, 1950))
STAIR = door("stair", "hall", "loft", (3000, 6000), (3800, 6000), box(3000, 5999, 3800, 6201))


def strewn(seed: int, count: int, doors: list[Door], pose: Pose = HERE) -> Scene:
    """Things anywhere in three rooms, doorways included."""
    pick = random.Random(seed)
    pile = Pile(pose)
    for i in range(count):
        room = pick.choice(ROOMS)
        xs, ys = [p[0] for p in room.outline], [p[1] for p in room.outline]
        if i % 5 == 0:  # near a door, where rooms are hard to tell apart
            near = pick.choice(doors)
            (x, y), _ = near.jambs
            inward = {"exit": (-300, 900), "back": (-900, 300)}.get(near.key, (-900, 900))
            x, y = x + pick.uniform(*inward), y + pick.uniform(-900, 900)
            here = [r for r in ROOMS if contains(r.outline, (x, y))]
            room = here[0] if here else next(r for r in ROOMS if r.key == near.room)
        else:
            x, y = pick.uniform(min(xs), max(xs)), pick.uniform(min(ys), max(ys))
        size = (pick.uniform(150, 1600), pick.uniform(150, 700), pick.choice((300.0, 900.0)))
        pile.add(f"g{i}", pile.at(x, y, pick.uniform(0, 180), room.key), size=size)
    return build(elsewhere(shop(rooms=ROOMS, doors=doors), pose), pile.state())


def undivided(scene: Scene, start: Point, out: Door) -> float:
    """The pinch on one floor of all rooms and passages, to a goal in a yard as wide as the exit."""
    outlines = [room.outline for room in scene.shop.rooms.values()]
    outlines += [each.passage for each in scene.shop.doors.values() if not each.exit]
    exits = [way for each in scene.shop.doors.values() if each.exit and (way := doorway(each, scene.shop))]
    far = {way.door.key: way.through_mm + 4000 for way in exits}
    outlines += [way.floor(-1.0, far[way.door.key]) for way in exits]
    way = next(each for each in exits if each.door.key == out.key)
    things = [b.outline for room in scene.shop.rooms for b in scene.standing(room)]
    goal = way.middle(far[out.key] - 1000)
    try:
        return Floor.of(outlines, things=things).pinch(start, goal).width_mm
    except FloorProblem:
        return 0.0


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 45), st.floats(0, 360))
def test_cell_by_cell_is_as_exact_as_one_undivided_floor(seed: int, count: int, turn: float) -> None:
    scene = strewn(seed, count, [EXIT, BACK, INNER, STAIR], Pose(300, -800, turn))
    ways = WaysOut(scene, HIGH)
    for room in scene.shop.rooms:
        spot = ways.spot(room)
        if spot is None:
            continue
        found = list(ways.ways(room))
        assert [out.exit.key for out in found] in (["exit", "back"], ["back", "exit"])
        for out in found:
            assert out.width_mm == pytest.approx(undivided(scene, spot, out.exit), abs=1e-6)
            if not any(isinstance(end, str) for end in out.ends) and out.width_mm > 0:
                outlines = [shapely.Polygon(end.outline) for end in out.ends if isinstance(end, Standing)]
                assert shapely.distance(*outlines) <= out.width_mm + 1e-6
            assert math.dist(*out.points) == pytest.approx(out.width_mm, abs=1e-6) or "spot" in out.ends


def rastered(scene: Scene, step: float) -> Callable[[Point, Point], float]:
    """The widest disc between two places, on a raster: distances by scipy, cells joined by labels."""
    floor = shapely.union_all(
        [shapely.Polygon(r.outline) for r in scene.shop.rooms.values()]
        + [shapely.Polygon(d.passage) for d in scene.shop.doors.values() if not d.exit]
        + [shapely.Polygon(way.floor(-1, way.through_mm + 4000)) for d in scene.shop.doors.values()
           if d.exit and (way := doorway(d, scene.shop))]
    )  # fmt: skip
    things = [shapely.Polygon(b.outline) for room in scene.shop.rooms for b in scene.standing(room)]
    free = shapely.difference(floor, shapely.union_all(things))
    shapely.prepare(free)
    x0, y0, x1, y1 = free.bounds
    gx, gy = np.meshgrid(np.arange(x0 - step, x1 + step, step), np.arange(y0 - step, y1 + step, step))
    inside = shapely.contains_xy(free, gx.ravel(), gy.ravel()).reshape(gx.shape)
    clear = ndimage.distance_transform_edt(inside) * step

    def cell(p: Point) -> tuple[int, int]:
        return round((p[1] - gy[0, 0]) / step), round((p[0] - gx[0, 0]) / step)

    def widest(start: Point, goal: Point) -> float:
        low, high = 0.0, 600.0
        while high - low > 1.0:
            mid = (low + high) / 2
            marks, _ = ndimage.label(clear >= mid, structure=np.ones((3, 3)))
            joined = marks[cell(start)] and marks[cell(start)] == marks[cell(goal)]
            low, high = (mid, high) if joined else (low, mid)
        return 2 * low

    return widest


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 10**6), st.integers(5, 40), st.floats(0, 360))
def test_ways_out_agree_with_a_raster_of_distances(seed: int, count: int, turn: float) -> None:
    scene = strewn(seed, count, [EXIT, INNER, STAIR], Pose(0, 0, turn))
    ways = WaysOut(scene, HIGH)
    step = 20.0
    widest = rastered(scene, step)
    way = doorway(scene.shop.doors["exit"], scene.shop)
    assert way is not None
    for room in scene.shop.rooms:
        spot = ways.spot(room)
        if spot is None:
            continue
        (out,) = ways.ways(room)
        theirs = widest(spot, way.middle(way.through_mm + 3000))
        assert abs(out.width_mm - theirs) <= 4 * step, (out, theirs)


def empty(**more: object) -> Scene:
    return build(shop(rooms=ROOMS, **more), Pile().state())


def test_an_empty_shop_is_as_wide_as_its_narrowest_door() -> None:
    ways = WaysOut(empty(doors=[EXIT, INNER, STAIR]), HIGH)
    widths = {room: [round(out.width_mm, 6) for out in ways.ways(room)] for room in ("hall", "store", "loft")}
    assert widths == {"hall": [900], "store": [900], "loft": [800]}
    (loft,) = ways.ways("loft")
    assert loft.ends == ("door:stair", "door:stair")


@pytest.mark.parametrize(("hand", "low"), [("left", 40), ("right", 0)])
@pytest.mark.parametrize("side", [0, 1])
def test_a_leaf_in_an_upright_or_a_level_wall_hangs_at_the_same_jamb(
    side: int, hand: str, low: float
) -> None:
    """Facing it, left is the lower jamb in the left wall, the one farther right in the lower wall."""
    jambs, gap = [((0, 2000), (0, 2900)), ((2900, 0), (2000, 0))], box(-250, 2000, 1, 2900)
    passage = [gap, tuple((y, x) for x, y in reversed(gap))][side]
    leaf = Door(
        "exit", "exit", "hall", "outside", jambs[side], 860, 2000, "hinged", passage, hand=hand,
        swings_into="hall",
    )  # fmt: skip
    way = doorway(leaf, shop(rooms=ROOMS, doors=[leaf]))
    assert way is not None and (way.low_mm, way.high_mm) == pytest.approx((low, low + 860))


@pytest.mark.parametrize(("hand", "low"), [("left", 2040), ("right", 2000)])
def test_an_open_leaf_takes_its_thickness_on_the_hinges_side(hand: str, low: float) -> None:
    """Seen from the hall into which it swings, facing the door in the left wall: left is the lower jamb."""
    leaf = Door(
        "exit", "exit", "hall", "outside", ((0, 2000), (0, 2900)), 860, 2000, "hinged",
        box(-250, 2000, 1, 2900), hand=hand, swings_into="hall", exit=True,
    )  # fmt: skip
    way = doorway(leaf, shop(rooms=ROOMS, doors=[leaf]))
    assert way is not None and way.width_mm == pytest.approx(860)
    assert min(y for _, y in way.floor(0, 10)) == pytest.approx(low)
    (out,) = WaysOut(empty(doors=[leaf]), HIGH).ways("hall")
    assert (round(out.width_mm, 6), out.ends) == (860, ("door:exit", "door:exit"))


def test_what_hangs_over_heads_is_not_in_the_way_and_what_lies_lower_is() -> None:
    def out(base: float) -> float:
        bar = Fixture("bar", "the bar", "hall", box(2000, 0, 2200, 5500), base_mm=base, top_mm=3000)
        (found,) = WaysOut(empty(doors=[EXIT], fixtures=[bar]), HIGH).ways("hall")
        return found.width_mm

    assert out(HIGH) == pytest.approx(900)
    assert out(HIGH - 1) == pytest.approx(500)


def test_a_building_round_a_narrow_yard() -> None:
    """Between the outer face of the exit's wall and the building's other wing 600 are left: that counts."""
    u = ((0, 0), (6000, 0), (6000, 4000), (3700, 4000), (3700, 1000), (3000, 1000), (3000, 4000), (0, 4000))
    way_out = door(
        "exit", "hall", "outside", (3000, 2000), (3000, 2900), box(2999, 2000, 3100, 2900), exit=True
    )
    there = shop(rooms=[Room("hall", "the hall", u)], doors=[way_out])
    (found,) = WaysOut(build(there, Pile().state()), HIGH).ways("hall")
    assert found.width_mm == pytest.approx(600)


def test_a_thing_sticking_out_of_the_exit_narrows_it() -> None:
    pile = Pile()
    pile.add("bar", pile.at(-200, 2150), size=(1500, 300, 500))
    scene = pile.scene(shop(rooms=ROOMS, doors=[EXIT]))
    (out,) = WaysOut(scene, HIGH).ways("hall")
    assert out.width_mm == pytest.approx(600)
    pile.add("bar", pile.at(-200, 2450), size=(1500, 1300, 500))
    (out,) = WaysOut(pile.scene(shop(rooms=ROOMS, doors=[EXIT])), HIGH).ways("hall")
    assert out.width_mm == 0


def test_what_has_not_changed_is_kept_from_one_scene_to_the_next() -> None:
    there = shop(rooms=ROOMS, doors=[EXIT, INNER, STAIR])
    pile = Pile()
    pile.add("crate", pile.at(10_500, 5000, room="store"), size=(600, 600, 500))
    before = WaysOut(pile.scene(there), HIGH)
    cells = {room: before.cell(room) for room in there.rooms}
    pile.add("crate", pile.at(11_500, 5000, room="store"), size=(600, 600, 500))
    after = WaysOut(pile.scene(there), HIGH)
    assert after.cell("hall") is cells["hall"] and after.cell("loft") is cells["loft"]
    assert after.cell("store") is not cells["store"]


def test_a_place_in_a_thing_is_0_mm_wide_and_beside_it_as_wide_as_is_left() -> None:
    pile = Pile()
    pile.add("chest", pile.at(2000, 3000), size=(800, 1000, 500))
    bodies = pile.scene(shop()).standing("hall")
    cell = Cell({"hall": box(0, 0, 4000, 6000)}, [], [], bodies)
    inside = cell.pinch((2000.0, 3000.0), (500.0, 5500.0))
    assert (inside.width_mm, inside.between) == (0.0, ("group:chest", "group:chest"))
    past = cell.pinch((900.0, 900.0), (900.0, 5100.0))  # the chest stands 1600 from either wall
    back = cell.pinch((900.0, 5100.0), (900.0, 900.0))
    assert past.width_mm == back.width_mm == pytest.approx(1600.0)


def test_a_line_crosses_an_outline_where_shapely_says_so() -> None:
    luck = random.Random(4)
    found = []
    for _ in range(200):
        turns = sorted(luck.uniform(0, 2 * math.pi) for _ in range(luck.randint(3, 7)))
        outline = tuple((300 * math.cos(t), 300 * math.sin(t)) for t in turns)
        p, q = ((luck.uniform(-400, 400), luck.uniform(-400, 400)) for _ in range(2))
        found.append(_crosses(p, q, outline))
        assert found[-1] is bool(shapely.LineString((p, q)).intersects(shapely.LinearRing(outline)))
    assert 50 < sum(found) < 150


@pytest.mark.parametrize(("line", "crosses"), [
    (((-5, 5), (5, -5)), True), (((-5, 4), (4, -5)), False),  # through a corner only, and past it
    (((20, 0), (30, 0)), False), (((0, -9), (0, -1)), False),  # on a side made longer, not on the side
    (((5, 5), (8, 8)), False), (((5, 5), (10, 5)), True),
])  # fmt: skip
def test_a_line_that_only_touches_an_outline_crosses_it(line: Any, crosses: bool) -> None:
    square = box(0, 0, 10, 10)
    assert shapely.LineString(line).intersects(shapely.LinearRing(square)) == crosses
    assert _crosses(*line, square) is _crosses(*line[::-1], square) is crosses


def test_an_outline_grown_is_shapelys_buffer_with_mitred_corners() -> None:
    luck = random.Random(5)
    for corners in (3, 4, 5, 7):
        turns = [2 * math.pi * (k + luck.uniform(0, 0.4)) / corners for k in range(corners)]
        outline = tuple((300 * math.cos(t), 200 * math.sin(t)) for t in turns)
        grown = shapely.Polygon(_grown(outline, 40.0))
        wanted = shapely.Polygon(outline).buffer(40.0, join_style="mitre", mitre_limit=100)
        assert grown.symmetric_difference(wanted).area < 1e-6 * wanted.area
