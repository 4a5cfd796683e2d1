"""Ways by doors, open leaves, the worst of the measuring, and gear that turns about its wheels."""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import networkx
import pytest
import shapely
from building import box, shop
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.shapes import Outline, Pose, between, placed
from shopbins.ledger.state import State
from shopbins.moves.lattice import Slope, lattice
from shopbins.moves.pivot import finished, pivoted
from shopbins.moves.route import Ground, Route, Step, ground, open_leaf, routes
from shopbins.moves.shiftlist import SHIFTING, said_so_far
from shopbins.moves.tolerance import Asker, grown, lacks_little, widest
from shopbins.scene.scene import build
from shopbins.shop.model import Door, Gear, Room
from shopbins.shop.model import Slope as ShopSlope
from shopbins.shop.passage import clear_width_mm, hung


def opening(key: str, room: str, to: str, **more: object) -> Door:
    return Door(
        key, key, room, to, ((0.0, 0.0), (900.0, 0.0)), 900.0, 2000.0, "open",
        box(0, -1, 900, 101), **more,  # type: ignore[arg-type]
    )  # fmt: skip


# --- routes -----------------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(st.sets(st.tuples(st.integers(0, 4), st.integers(0, 4)).filter(lambda e: e[0] < e[1]), max_size=6))
def test_every_way_without_a_room_twice_is_found(edges: set[tuple[int, int]]) -> None:
    """Against networkx's simple paths of the graph of rooms."""
    rooms = [Room(f"r{i}", f"r{i}", box(0, 0, 1000, 1000)) for i in range(5)]
    doors = [opening(f"d{a}{b}", f"r{a}", f"r{b}") for a, b in sorted(edges)]
    whole = shop(rooms=rooms, doors=doors)
    graph = networkx.Graph()
    graph.add_nodes_from(r.key for r in rooms)
    graph.add_edges_from((d.room, d.to) for d in doors)
    expected = {tuple(path) for path in networkx.all_simple_paths(graph, "r0", "r4")}
    found = routes(whole, "r0", "r4", (0, 0), (0, 0))
    assert {r.rooms for r in found} == expected
    assert all(len(r.doors) == len(r.rooms) - 1 for r in found)
    lengths = [r.length_mm for r in found]
    assert lengths == sorted(lengths)


def test_two_doors_between_the_same_rooms_are_two_ways_and_outside_is_none() -> None:
    rooms = [Room(k, k, box(0, 0, 1000, 1000)) for k in ("a", "b")]
    doors = [opening("x", "a", "b"), opening("y", "b", "a"), opening("z", "a", "outside")]
    assert {r.doors for r in routes(shop(rooms=rooms, doors=doors), "a", "b", (0, 0), (0, 0))} == {
        ("x",),
        ("y",),
    }


@pytest.mark.parametrize(("x0", "x1", "rooms"), [
    (2500, 3500, ("a", "b")),  # in the doorway: out of it, from the room behind
    (3200, 4000, ("b",)), (3000, 4000, ("b",)),  # beyond it, or at its end
])  # fmt: skip
def test_a_way_from_a_doorway_has_that_and_the_room_behind_it(
    x0: float, x1: float, rooms: tuple[str, ...]
) -> None:
    """What stands in a doorway, where its move halted, stands on floor (definition)."""
    a, b = Room("a", "a", box(0, 0, 2800, 2000)), Room("b", "b", box(3000, 0, 6000, 2000))
    sides = {"opens": "open", "height_mm": 2000.0, "clear_width_mm": 1200.0}
    mid = Door(
        "mid", "mid", "a", "b", ((2800, 400), (2800, 1600)), passage=box(2800, 400, 3000, 1600), **sides
    )  # type: ignore[arg-type]
    out = Door(
        "out", "out", "b", "outside", ((6000, 0), (6000, 900)), passage=box(6000, 0, 6200, 900), **sides
    )  # type: ignore[arg-type]
    (way,) = routes(shop(rooms=[a, b], doors=[out, mid]), "b", "b", (0, 0), (0, 0), box(x0, 500, x1, 1500))
    assert (way.rooms, way.doors) == (rooms, ("mid",) * (len(rooms) - 1))


# --- leaves -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("into", ["a", "b"])
@pytest.mark.parametrize("opens", [60.0, 90.0, 110.0, 150.0])
def test_an_open_leaf_leaves_the_clear_width_the_file_counts(hand: str, into: str, opens: float) -> None:
    """A hand's breadth from the doorway, what the leaf leaves is the shop file's own clear width."""
    whole = shop(rooms=[Room("a", "a", box(0, -5000, 5000, 0)), Room("b", "b", box(0, 200, 5000, 5000))])
    jambs = ((2000.0, 0.0), (2900.0, 0.0))
    passage = box(2000, -1, 2900, 201)
    door = Door(
        "d", "d", "a", "b", jambs, 900.0, 2000.0, "hinged", passage,
        hand=hand, swings_into=into, opens_deg=opens, leaf_mm=45.0,  # type: ignore[arg-type]
    )  # fmt: skip
    leaf = open_leaf(door, ("a", "b"))
    assert leaf is not None and len(whole.rooms) == 2
    away = (0.0, -1.0) if into == "a" else (0.0, 1.0)
    face = jambs if into == "a" else ((2000.0, 200.0), (2900.0, 200.0))
    own = hung(face, away, hand == "left", 45.0, opens)
    side = shapely.Polygon(leaf)
    assert side.area == pytest.approx(900 * 45)
    assert side.distance(shapely.Point(own.hinge)) < 1e-6  # it hangs at its hinge
    assert side.distance(shapely.Point(own.at(opens, 900.0))) < 1e-6  # and reaches to its tip
    front = box(2000, -900, 2900, 0) if into == "a" else box(2000, 200, 2900, 1100)
    taken = shapely.intersection(side, shapely.box(*shapely.Polygon(front).bounds))
    x0, _, x1, _ = taken.bounds if not taken.is_empty else (2000.0, 0, 2000.0, 0)
    assert 900 - (x1 - x0) == pytest.approx(clear_width_mm(own), abs=1.0)


# --- the worst of the measuring -----------------------------------------------------------------------------


def corridor(width: float) -> Ground:
    """A corridor of a width, walls all round."""
    outline = box(0, 0, 8000, width)
    return Ground(Route(("a",), (), 0.0), (outline,), (), (), ())


@pytest.mark.parametrize(
    ("wide", "sure", "goes"),
    [(830.0, True, True), (815.0, False, True), (801.0, False, True), (799.0, False, False)],
)
def test_a_corridor_decides_at_the_width_of_the_body_and_twice_the_measuring(
    wide: float, sure: bool, goes: bool
) -> None:
    """800 mm through a corridor: as measured from 800 mm, at the worst of 5 mm a side from 820 mm."""
    body = box(-500, -400, 500, 400)
    middle = wide / 2
    ask = Asker(corridor(wide), body, Pose(600, middle, 0), Pose(7000, middle, 0), time.perf_counter() + 60)
    if not goes:
        assert ask.goes(()).answer == "does not go"
        return
    found = widest(ask, (), 10.0)
    assert found.answer == "goes"
    assert (found.grown_mm >= 10.0) is sure
    assert found.clearance_mm == pytest.approx((wide - 800) / 2, rel=0.02)


def test_what_lacks_less_than_the_measuring_is_said_to() -> None:
    body = box(-500, -400, 500, 400)
    # A gap of 790 mm in the middle of a wide room: 5 mm lacking on each side.
    left, right = box(3000, 0, 3200, 605), box(3000, 1395, 3200, 2000)
    floor = Ground(Route(("a",), (), 0.0), (box(0, 0, 8000, 2000),), (), (("x", left), ("y", right)), ())
    ask = Asker(floor, body, Pose(1000, 1000, 0), Pose(6000, 1000, 0), time.perf_counter() + 60)
    assert ask.goes(()).answer == "does not go"
    assert lacks_little(ask, (), 10.0)
    assert not lacks_little(ask, (), 2.0)


def test_what_stands_against_the_wall_goes_off_it() -> None:
    """What only touches where it stands is no way along which it touches all the time."""
    floor = Ground(Route(("a",), (), 0.0), (box(0, 0, 8000, 2000),), (), (), (), ())
    ask = Asker(
        floor, box(-500, -400, 500, 400), Pose(500, 400, 0), Pose(6000, 1000, 0), time.perf_counter() + 60
    )
    assert ask.goes(()).answer == "goes"


def test_growing_moves_every_edge_out() -> None:
    bigger = grown(box(-500, -400, 500, 400), 10)
    assert shapely.Polygon(bigger).bounds == pytest.approx((-510, -410, 510, 410))


# --- turning about the wheels -------------------------------------------------------------------------------


def way_of(
    floor: Outline,
    things: list[Outline],
    body: Outline,
    start: Pose,
    goal: Pose,
    slopes: Sequence[Slope] = (),
    **more: Any,
) -> list[Pose] | None:
    from shopbins.geometry import minkowski
    from shopbins.kernel.ground import Crowd
    from shopbins.kernel.planner import Planner

    planner = Planner((floor,), (), body)
    sweep = planner.sweep(Crowd(things))
    assert len(minkowski.corners_of(body)) >= 3
    found = pivoted(planner.ground, things, body, sweep, start, goal, 5.0, lambda: False, slopes, **more)
    return None if found is None else finished(found, goal)


@pytest.mark.parametrize("gap_mm", [0, 1400])
def test_no_end_is_looked_for_where_all_is_shut_between(gap_mm: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A body of 1000 by 500 turns in 1118 of width: a wall right across parts the floor, one with a gap of
    1400 does not (sums).
    """
    from shopbins.moves import pivot

    asked: list[Pose] = []

    def ends(_it: object, _sweep: object, goal: Pose, *_more: object) -> list[Any]:
        asked.append(goal)
        return []

    monkeypatch.setattr(pivot, "_ends", ends)
    wall = [box(2900, gap_mm, 3100, 3000)]
    goal = Pose(5000, 700, 0)
    assert way_of(box(0, 0, 6000, 3000), wall, box(-500, -250, 500, 250), Pose(1000, 700, 0), goal) is None
    assert asked == ([goal] if gap_mm else [])


def test_a_way_turns_in_place_or_drives_along_its_axis_and_keeps_clear() -> None:
    """Checked with shapely at many poses, by nothing of the planner's own."""
    floor = box(0, 0, 6000, 4000)
    things = [box(2500, 0, 3000, 2300)]
    body = box(-1200, -400, 300, 400)  # the axle near its front
    start, goal = Pose(1500, 900, 0), Pose(4800, 1800, 90)
    poses = way_of(floor, things, body, start, goal)
    assert poses is not None
    assert poses[0] == start
    assert (poses[-1].x_mm, poses[-1].y_mm) == (goal.x_mm, goal.y_mm)
    assert poses[-1].turn_deg % 360 == pytest.approx(90)
    walls, blocks = shapely.Polygon(floor), shapely.MultiPolygon([shapely.Polygon(t) for t in things])
    for a, b in itertools.pairwise(poses):
        moved = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        turned = abs(b.turn_deg - a.turn_deg)
        assert moved < 1e-6 or turned < 1e-6, "it turned while it drove"
        if moved > 1e-6:
            heading = math.degrees(math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm))
            off = (heading - a.turn_deg + 90) % 180 - 90
            assert abs(off) < 1e-6, "it slid sideways"
        for k in range(21):
            t = k / 20
            x, y = a.x_mm + (b.x_mm - a.x_mm) * t, a.y_mm + (b.y_mm - a.y_mm) * t
            shape = shapely.Polygon(placed(body, Pose(x, y, a.turn_deg + (b.turn_deg - a.turn_deg) * t)))
            assert walls.contains(shape)
            assert shape.distance(blocks) > 4.99


def test_where_it_cannot_turn_nothing_is_found() -> None:
    body = box(-1200, -400, 300, 400)
    floor = box(0, 0, 6000, 1000)  # wide enough to drive along, not to turn round in
    assert way_of(floor, [], body, Pose(1500, 500, 0), Pose(4000, 500, 180)) is None
    assert way_of(floor, [], body, Pose(1500, 500, 0), Pose(4000, 500, 0)) is not None


def test_it_turns_on_the_level_before_or_after_a_slope_where_there_is_more_room_on_it() -> None:
    """The level ends are 1.5 m wide, the slope between them 4 m; half a turn takes 1.44 m for this body."""
    lower = ((0, 0), (2500, 0), (2500, -1250), (5500, -1250), (5500, 0), (8000, 0))
    floor = (*lower, *((x, 1500 - y) for x, y in lower[::-1]))
    body = box(-600, -400, 600, 400)
    start, goal = Pose(1000, 750, 0), Pose(7000, 750, 180)
    slope = shapely.box(2400, -1250, 5600, 2750)

    def turned_on_it(poses: list[Pose] | None) -> float:
        assert poses is not None
        inside = [p for p in poses if shapely.intersects_xy(slope, p.x_mm, p.y_mm)]
        return max((p.turn_deg for p in inside), default=0) - min((p.turn_deg for p in inside), default=0)

    assert turned_on_it(way_of(floor, [], body, start, goal)) > 90
    assert turned_on_it(way_of(floor, [], body, start, goal, [(slope, 90.0)])) < 1


def test_wheels_go_over_a_sill_square_and_turn_off_it_where_there_is_room_to() -> None:
    """Slantwise through the doorway is the shortest (a straight line); with ramps 1 m to both sides of its
    sill the wheels, 1000 x 400, are on none of it while they turn, and go along x over it.
    """
    floor, body, wheels = box(0, 0, 12000, 4000), box(-600, -300, 600, 300), box(-500, -200, 500, 200)
    step = Step(box(5000, 0, 7300, 4000), 0.0)
    start, goal = Pose(1000, 1000, 0), Pose(11000, 3000, 0)

    def askew(poses: list[Pose] | None) -> list[float]:
        assert poses is not None
        on_it = shapely.Polygon(step.outline)
        every = [between(a, b, k / 20) for a, b in itertools.pairwise(poses) for k in range(21)]
        return [p.turn_deg for p in every if on_it.intersects(shapely.Polygon(placed(wheels, p)))]

    assert max(askew(way_of(floor, [], body, start, goal))) > 5
    assert max(askew(way_of(floor, [], body, start, goal, steps=[step], wheels=wheels))) == 0
    wall = [box(7400, 0, 7500, 1700), box(4800, 2300, 4900, 4000)]  # no room to: found nevertheless
    assert max(askew(way_of(floor, wall, body, start, goal, steps=[step], wheels=wheels))) > 5


def test_the_very_edge_of_a_slope_is_on_it() -> None:
    """The rim of a closed set belongs to it (definition): at x = 2000 it is turned on the slope."""
    floor, body = box(0, 0, 4000, 1000), box(-300, -300, 300, 300)
    walls = shapely.Polygon(floor)
    places = lattice(
        walls, (), body, Pose(1000, 500, 0), 5.0, 100.0, [(shapely.box(2000, 0, 4000, 1000), 0.0)]
    )
    sloping = {round(places.at(int(cell))[0]) for cell in places.sloping.nonzero()[1]}
    assert min(sloping) == 2000


def test_what_is_jacked_to_be_turned_has_all_it_stands_on_off_the_slope() -> None:
    """Skates 1000 x 400 apart: turned, their corners go round at hypot(500, 200) = 539 mm; along the way they
    reach 500. The slope begins at 2000: turned about its middle alone it might stand at 1990.
    """
    floor, body = box(0, 0, 4000, 3000), box(-600, -300, 600, 300)
    slope, stands = shapely.box(2000, 0, 4000, 3000), box(-500, -200, 500, 200)
    walls, start = shapely.Polygon(floor), Pose(1000, 1500, 0)
    places = lattice(walls, (), body, start, 5.0, 100.0, [(slope, 0.0)], turn_mm=8000.0, stands=stands)
    along = {round(places.at(int(cell))[0]) for cell in places.sloping[0].nonzero()[0]}
    assert min(along) == 1500  # 1500 + 500 is its very edge
    assert places.level(Pose(1450, 1500, 0), 180.0) and not places.level(Pose(1480, 1500, 0), 180.0)


# --- the floor of a route ---------------------------------------------------------------------------------


def test_what_meets_no_height_of_the_thing_is_not_in_its_way() -> None:
    from shopbins.shop.model import Fixture

    high = Fixture("beam", "beam", "hall", box(0, 0, 500, 500), base_mm=2000, top_mm=2500)
    low = Fixture("step", "step", "hall", box(900, 0, 1500, 500), top_mm=300)
    loose = Fixture("drum", "drum", "hall", box(2000, 0, 2600, 600), top_mm=900, movable=True)
    whole = shop(fixtures=[high, low, loose])
    there = build(whole, State({}))
    floor = ground(there, Route(("hall",), (), 0.0), "group:x", 1500.0)
    assert [f.code for f in floor.fixed] == ["step"]
    assert [t.code for t in floor.things] == ["drum"]
    tall = ground(there, Route(("hall",), (), 0.0), "group:x", None)
    assert {f.code for f in tall.fixed} == {"step", "beam"}
    assert replace(floor, things=()).loose == ()


@pytest.mark.parametrize(
    ("sill", "ramp", "left", "right"), [(30.0, 1000.0, 4000.0, 6300.0), (30.0, None, 4640.0, 5660.0)]
)
def test_wheels_are_at_a_sill_out_to_where_ramps_at_it_end(
    sill: float, ramp: float | None, left: float, right: float
) -> None:
    """A ramp told runs its own length, else 12 times its rise (ADA 405.2); before both faces of the wall."""
    it = Gear("ramps", "ramps", "ramp", size_mm=(ramp or 0.0, 400.0), rise_mm=30.0)
    told = {} if ramp is None else {"ramps": it}
    door = Door(
        "mid", "mid", "a", "b", ((5000.0, 1000.0), (5000.0, 2000.0)), 1000.0, 2000.0, "open",
        box(5000, 1000, 5300, 2000), threshold_mm=30.0,
    )  # fmt: skip
    rooms = [Room("a", "a", box(0, 0, 5000, 4000)), Room("b", "b", box(5300, 0, 9000, 4000))]
    there = build(shop(rooms=rooms, doors=[door], gear=told), State({}))
    (step,) = ground(there, Route(("a", "b"), ("mid",), 0.0), "group:x", None).steps
    assert shapely.Polygon(step.outline).bounds == pytest.approx((left, 1000, right, 2000))
    assert step.square(0) and step.square(180) and not step.square(5) and not step.square(90)


def test_wheels_are_not_turned_in_a_doorway_beside_a_slope() -> None:
    """A sill of a carpet strip is none; a slope beyond 1 in 50 is one from its room's wall on (own)."""
    door = Door(
        "mid", "mid", "a", "b", ((5000.0, 1000.0), (5000.0, 2000.0)), 1000.0, 2000.0, "open",
        box(5000, 1000, 5300, 2000), threshold_mm=5.0,
    )  # fmt: skip
    a = Room("a", "a", box(0, 0, 5000, 4000))
    for fall, outlines in ((1 / 40, [box(5300, 0, 9000, 4000), door.passage]), (1 / 60, [])):
        b = Room("b", "b", box(5300, 0, 9000, 4000), slope=ShopSlope(fall, 0.0))
        floor = ground(
            build(shop(rooms=[a, b], doors=[door]), State({})),
            Route(("a", "b"), ("mid",), 0.0),
            "group:x",
            None,
        )
        assert [step.outline for step in floor.steps] == outlines
        assert all(step.square(30) for step in floor.steps)


# --- how far a search for the least to shift has come ------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1, 40), min_size=1, max_size=7), st.data())
def test_no_fewer_things_than_said_come_to_the_cost_proved(paid: list[int], data: st.DataObject) -> None:
    """Against every set of them."""
    least = data.draw(st.integers(0, sum(paid)))
    sets = [s for n in range(len(paid) + 1) for s in itertools.combinations(paid, n)]
    fewest = min(len(s) for s in sets if sum(s) >= least)
    if fewest == 0:
        assert said_so_far(paid, least, None) == SHIFTING
        assert said_so_far(paid, least, (1, 4)) == "2 to shift would do, perhaps fewer"
        return
    assert said_so_far(paid, least, None) == f"at least {fewest} to shift"
    more = range(fewest + 1)
    assert said_so_far(paid, least, more) == f"at least {fewest} to shift, {fewest + 1} would do"
    assert said_so_far(paid, least, range(fewest)) == f"{fewest} to shift, or lighter ones"
