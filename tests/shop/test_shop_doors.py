"""Doorways against plain constructions of a wall, a leaf and a way through, at any turn of the building."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.shapes import Point
from shopbins.shop import ShopProblems, parse
from shopbins.shop.model import Door

# Two rooms side by side with a wall of 250 mm between, written before turning and shifting.
HALL = ((0, 0), (6000, 0), (6000, 4000), (0, 4000))
STORE = ((6250, 0), (9250, 0), (9250, 4000), (6250, 4000))


def moved(points: tuple[Point, ...], turn_deg: float, dx: float, dy: float) -> list[list[float]]:
    """Turn points about the origin and shift them."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return [[x * c - y * s + dx, x * s + y * c + dy] for x, y in points]


def written(points: list[list[float]]) -> str:
    """Write points as the file has them."""
    return "[" + ", ".join(f"[{x:.6f}, {y:.6f}]" for x, y in points) + "]"


def door(rest: str, turn_deg: float = 0.0, dx: float = 0.0, dy: float = 0.0, jambs: str = "") -> Door:
    """Read the door between hall and store, 900 wide from y = 1000, with what `rest` says of it."""
    hall, store = (written(moved(room, turn_deg, dx, dy)) for room in (HALL, STORE))
    jambs = jambs or written(moved(((6000, 1000), (6000, 1900)), turn_deg, dx, dy))
    text = f"shop: s\nrooms:\n  hall: {{outline: {hall}}}\n  store: {{outline: {store}}}\n"
    return parse(text + f"doors:\n  d: {{room: hall, to: store, jambs: {jambs}, {rest}}}\n").doors["d"]


def back(point: Point, turn_deg: float, dx: float, dy: float) -> Point:
    """Undo `moved` for one point."""
    ((x, y),) = moved(((point[0] - dx, point[1] - dy),), -turn_deg, 0, 0)
    return x, y


def inside(outline: tuple[Point, ...], point: Point, slack: float = 1e-6) -> bool:
    """Tell whether a point is in a convex counter-clockwise outline, by the side of each edge."""
    for (ax, ay), (bx, by) in zip(outline, outline[1:] + outline[:1], strict=True):
        length = math.hypot(bx - ax, by - ay)
        if ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / length < -slack:
            return False
    return True


@pytest.mark.parametrize(
    ("into", "hand", "hinge", "tip"),
    [
        # Standing in the hall (x below 6000) and facing the door (towards +x), left is up (+y).
        ("hall", "left", (6000, 1900), (5100, 1900)),
        ("hall", "right", (6000, 1000), (5100, 1000)),
        # Standing in the store and facing the door (towards -x), left is down (-y).
        ("store", "left", (6250, 1000), (7150, 1000)),
        ("store", "right", (6250, 1900), (7150, 1900)),
    ],
)
def test_hand_is_seen_from_the_room_the_leaf_swings_into(
    into: str, hand: str, hinge: Point, tip: Point
) -> None:
    found = door(f"opens: hinged, hand: {hand}, swings into: {into}, opens to: 90, leaf: 0")
    assert any(math.dist(hinge, p) < 1e-6 for p in found.swing)
    assert any(math.dist(tip, p) < 1e-6 for p in found.swing)
    xs = [x for x, _ in found.swing]
    assert (max(xs) <= 6000.001) if into == "hall" else (min(xs) >= 6249.999)


def leaf_points(hand_up: bool, into_store: bool, angle_deg: float, leaf_mm: float) -> list[Point]:
    """Return points all over a 900 mm leaf at an angle, built on its own: shut it lies inside the opening."""
    face_x, way = (6250.0, 1.0) if into_store else (6000.0, -1.0)
    hinge_y, along = (1900.0, -1.0) if hand_up else (1000.0, 1.0)
    a = math.radians(angle_deg)
    points = []
    for i in range(11):
        for j in range(5):
            run, thick = 900 * i / 10, -leaf_mm * j / 4  # along the leaf; into the wall while shut
            u = run * math.cos(a) - thick * math.sin(a)
            v = run * math.sin(a) + thick * math.cos(a)
            points.append((face_x + way * v, hinge_y + along * u))
    return points


@settings(max_examples=60, deadline=None)
@given(
    hand=st.sampled_from(["left", "right"]),
    into=st.sampled_from(["hall", "store"]),
    opens=st.floats(1, 175),
    leaf=st.floats(0, 120),
    turn=st.floats(-180, 180),
    dx=st.floats(-20_000, 20_000),
)
def test_a_swing_covers_every_point_of_the_leaf_on_its_way(
    hand: str, into: str, opens: float, leaf: float, turn: float, dx: float
) -> None:
    found = door(
        f"opens: hinged, hand: {hand}, swings into: {into}, opens to: {opens:.9f}, leaf: {leaf:.9f}",
        turn,
        dx,
        77,
    )
    swing = tuple(back(p, turn, dx, 77) for p in found.swing)
    hand_up = (hand == "left") == (into == "hall")
    hinge = (6250 if into == "store" else 6000, 1900 if hand_up else 1000)
    for k in range(13):
        for x, y in leaf_points(hand_up, into == "store", opens * k / 12, leaf):
            on_floor = x >= 6250 if into == "store" else x <= 6000
            assert not on_floor or fan_holds(swing, hinge, (x, y)), (k, x, y)
    radius = math.hypot(900, leaf)
    sector = math.radians(opens) / 2 * radius**2
    assert sector <= area(swing) * (1 + 1e-9)
    assert area(swing) <= sector * 1.001  # tan(2.5 deg) / 2.5 deg is 1.0006


def fan_holds(swing: tuple[Point, ...], hinge: Point, point: Point) -> bool:
    """Tell whether a point is in one of the triangles between a swing's hinge and its rim."""
    k = min(range(len(swing)), key=lambda i: math.dist(swing[i], hinge))
    assert math.dist(swing[k], hinge) < 1e-3
    rim = swing[k + 1 :] + swing[:k]
    return any(inside((hinge, a, b), point, 1e-3) for a, b in itertools.pairwise(rim))


def area(outline: tuple[Point, ...]) -> float:
    """Return the area, by the shoelace formula."""
    pairs = zip(outline, outline[1:] + outline[:1], strict=True)
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs) / 2


@pytest.mark.parametrize("opens", [30, 60, 89, 90, 91, 120, 175, 180])
@pytest.mark.parametrize("leaf", [0, 40, 100])
def test_clear_width_is_what_an_open_leaf_leaves(opens: int, leaf: int) -> None:
    """Against points all over the leaf: how far any of them reaches over the opening from the hinge."""
    found = door(f"opens: hinged, hand: right, swings into: store, opens to: {opens}, leaf: {leaf}")
    reach = max(1900 - y for _, y in leaf_points(True, True, opens, leaf))
    assert found.clear_width_mm == pytest.approx(max(0.0, 900 - max(0.0, reach)), abs=1e-6)


def test_a_usual_door_loses_its_leaf() -> None:
    """A leaf of 40 mm at 90 degrees leaves 860 of 900: common practice, no source."""
    assert door("opens: hinged, hand: left").clear_width_mm == 860
    assert door("opens: hinged, hand: left, clear: 840").clear_width_mm == 840
    assert door("opens: sliding").clear_width_mm == 900
    assert door("opens: hinged, hand: left, leaf mass: 60 kg").leaf_kg == 60
    assert door("opens: hinged, hand: left").leaf_kg is None


@settings(max_examples=60, deadline=None)
@given(turn=st.floats(-180, 180), dx=st.floats(-20_000, 20_000), dy=st.floats(-20_000, 20_000))
def test_a_passage_turns_and_shifts_with_the_building(turn: float, dx: float, dy: float) -> None:
    found = door("opens: open", turn, dx, dy)
    corners = sorted(back(p, turn, dx, dy) for p in found.passage)
    wanted = [(5999, 1000), (5999, 1900), (6251, 1000), (6251, 1900)]
    for got in corners:
        assert min(math.dist(got, want) for want in wanted) < 0.01
    assert area(found.passage) == pytest.approx(252 * 900, rel=1e-6)


def test_jambs_off_by_less_than_the_measuring_are_laid_onto_the_wall() -> None:
    found = door("opens: open", jambs="[[5996, 1000], [6003, 1900]]")
    assert found.jambs == ((6000, 1000), (6000, 1900))
    with pytest.raises(ShopProblems, match="6 mm from any wall"):
        door("opens: open", jambs="[[5994, 1000], [6000, 1900]]")


def test_a_wall_cut_by_a_point_on_it_is_one_wall() -> None:
    text = (
        "shop: s\nrooms: {a: {outline: [[0, 0], [4000, 0], [4000, 1500], [4000, 3000], [0, 3000]]}}\n"
        "doors: {d: {room: a, to: outside, jambs: [[4000, 1000], [4000, 2000]], opens: open}}\n"
    )
    assert parse(text).doors["d"].clear_width_mm == 1000


def test_a_passage_reaches_a_slanted_wall_on_both_sides() -> None:
    text = (
        "shop: s\nrooms:\n  a: {at: [0, 0], size: [3000, 3000]}\n"
        "  b: {outline: [[3200, 0], [6000, 0], [6000, 3000], [3500, 3000]]}\n"
        "doors: {d: {room: a, to: b, jambs: [[3000, 1000], [3000, 2000]], opens: open}}\n"
    )
    xs = sorted(x for x, _ in parse(text).doors["d"].passage)
    assert xs[:2] == [2999, 2999]
    assert xs[2:] == pytest.approx([3301, 3401], abs=0.2)


@pytest.mark.parametrize(("away", "good"), [(0, True), (1, True), (1500, True), (1501, False)])
def test_walls_may_be_up_to_a_metre_and_a_half(away: int, good: bool) -> None:
    text = (
        "shop: s\nrooms:\n  a: {at: [0, 0], size: [3000, 3000]}\n"
        f"  b: {{at: [{3000 + away}, 0], size: [3000, 3000]}}\n"
        "doors: {d: {room: a, to: b, jambs: [[3000, 1000], [3000, 2000]], opens: open}}\n"
    )
    if good:
        assert area(parse(text).doors["d"].passage) == pytest.approx(1000 * (away + 2))
    else:
        with pytest.raises(ShopProblems, match="does not reach 'b': it is 1501 mm away"):
            parse(text)


def test_a_wall_to_outside_is_200_mm_unless_said() -> None:
    text = (
        "shop: s\nrooms: {a: {at: [0, 0], size: [3000, 3000]}}\n"
        "doors: {d: {room: a, to: outside, jambs: [[0, 900], [0, 1800]], opens: open%s}}\n"
    )
    assert min(x for x, _ in parse(text % "").doors["d"].passage) == -200
    assert min(x for x, _ in parse(text % ", wall: 1 ft").doors["d"].passage) == pytest.approx(-304.8)


def test_zones_may_touch_and_stray_a_millimetre_but_not_more() -> None:
    """Whole millimetres on turned walls: 1 mm is rounding, 2 mm is a mistake. On turned shops too."""
    random.seed(7)
    for _ in range(20):
        turn = random.uniform(-180, 180)
        room = written(moved(HALL, turn, 500, -900))
        for over, good in ((0, True), (0.9, True), (1.1, False), (50, False)):
            spot = written(moved(((-over, 10), (800, 10), (800, 500), (-over, 500)), turn, 500, -900))
            text = f"shop: s\nrooms: {{a: {{outline: {room}}}}}\n"
            text += f"zones: {{z: {{room: a, kind: floor, outline: {spot}}}}}\n"
            if good:
                parse(text)
            else:
                with pytest.raises(ShopProblems, match="outside its room"):
                    parse(text)


def test_zones_over_each_other_need_heights_that_do_not_meet() -> None:
    text = (
        "shop: s\nrooms: {{a: {{at: [0, 0], size: [3000, 3000]}}}}\nzones:\n"
        "  tub: {{room: a, kind: floor, at: [0, 0], size: [600, 600], headroom: {}}}\n"
        "  bench: {{room: a, kind: bench, at: [0, 0], size: [1500, 700], height: 900, headroom: 600}}\n"
        "  shelf: {{room: a, kind: shelf, at: [0, 400], size: [1500, 300], height: 1500}}\n"
    )
    parse(text.format(900))
    with pytest.raises(ShopProblems, match="from 900 mm to 901 mm"):
        parse(text.format(901))


def test_a_walkway_may_go_through_doors_and_end_outside_beyond_one() -> None:
    text = (
        "shop: s\nrooms:\n  a: {at: [0, 0], size: [3000, 3000]}\n  b: {at: [3300, 0], size: [3000, 3000]}\n"
        "doors:\n  d: {room: a, to: b, jambs: [[3000, 1000], [3000, 2000]], opens: open}\n"
        "  e: {room: b, to: outside, jambs: [[6300, 1000], [6300, 2000]], opens: open}\n"
        "walkways: {w: {line: [[500, 1500], [LAST, 1500]], width: 800}}\n"
    )
    assert parse(text.replace("LAST", "8000")).walkways["w"].rooms == ("a", "b")
    for wrong in (text.replace("[500, 1500]", "[-500, 1500]"), text.replace("LAST, 1500", "8000, 2500")):
        with pytest.raises(ShopProblems, match="leaves the rooms near"):
            parse(wrong.replace("LAST", "8000"))
