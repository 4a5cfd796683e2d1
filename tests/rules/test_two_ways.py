"""Two ways out that are two, the height of the way walked, and the doors of rooms on it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from building import Pile, box, gaps, grades, of, row, shop

from shopbins.geometry.shapes import Point
from shopbins.rules.ways import walks_of
from shopbins.scene.walkout import _two_ways
from shopbins.shop.model import Door, Fixture, Limits, Room, Shop


def door(key: str, room: str, to: str, x: float, y: float, **more: Any) -> Door:
    """A doorway 1 m wide in a wall along y, from (x, y)."""
    fields = {"height_mm": 2100.0, "opens": "open", "passage": box(x - 200, y, x + 200, y + 1000), **more}
    return Door(key, key, room, to, ((x, y), (x, y + 1000)), 1000, **fields)


def long_hall(length: float, far_exit: bool = False, **more: Any) -> Shop:
    """A hall with two exits 300 mm apart in its left wall, and a den behind a door in its right wall."""
    hall = Room("hall", "the hall", box(0, 0, length, 5000), headroom_mm=3000, fire_hazard="normal")
    den = Room("den", "the den", box(length + 200, 0, length + 3200, 5000), headroom_mm=3000, people=100)
    doors = [
        door("w1", "hall", "outside", 0, 1000, exit=True),
        door("w2", "hall", "outside", 0, 2300, exit=True),
        door("den door", "hall", "den", length, 1000),
    ]
    if far_exit:
        doors.append(door("e", "hall", "outside", length, 3500, exit=True))
    return shop(**{"rules": "uk", "rooms": [hall, den], "doors": doors, "limits": Limits(people=12), **more})


def test_two_exits_side_by_side_are_one_way() -> None:
    # Approved Document B volume 2: 45 degrees (from memory); 18 m one way, 45 m two: the guide for factories
    found = {f.subjects: f for f in of(long_hall(38_000), "way-length") if f.judged}
    assert {key: f.limit for key, f in found.items()} == {("room:den",): 18_000, ("room:hall",): 18_000}
    assert all((f.measured or 0) > 30_000 for f in found.values())


def test_one_way_ends_where_two_doors_lie_45_degrees_apart() -> None:
    # the angle by the law of cosines, looked for along the way in steps of 0.4 mm
    hall = Room("hall", "the hall", box(0, 0, 40_000, 10_000), headroom_mm=3000)
    doors = [
        door("a", "hall", "outside", 0, 500, exit=True),
        door("b", "hall", "outside", 0, 8500, exit=True),
    ]
    there = shop(rules="uk", rooms=[hall], doors=doors)
    walks = walks_of(Pile().scene(there))
    alone = walks.one_way("hall", 45, everywhere=True)
    assert alone is not None
    # from the corner (40000, 0) straight to a: the angle of a and b seen from there grows as one walks
    lengths = (40_000 * n / 100_000 for n in range(100_000))
    expected = next(
        far for far in lengths if _angle(_on((40_000, 0), (0, 1000), far), (0, 1000), (0, 9000)) >= 45
    )
    assert alone == pytest.approx(expected, abs=2)


def test_the_worst_spot_for_one_direction_need_not_be_the_farthest() -> None:
    # by the pillar in the middle there are two ways at once; from the corner they lie under 30 degrees apart
    hall = Room("hall", "the hall", box(0, 0, 60_000, 5000), headroom_mm=3000)
    pillar = Fixture("pillar", "pillar", "hall", box(34_800, 2300, 35_200, 2700), top_mm=3000)
    side = Door("side", "side", "hall", "outside", ((10_000, 0), (11_000, 0)), 1000, height_mm=2100,
                opens="open", passage=box(10_000, -200, 11_000, 1), exit=True)  # fmt: skip
    there = shop(rooms=[hall], doors=[side, door("end", "hall", "outside", 60_000, 2000, exit=True)],
                 fixtures=[pillar])  # fmt: skip
    walks = walks_of(Pile().scene(there))
    assert walks.one_way("hall", 45, everywhere=False) == 0.0
    assert walks.one_way("hall", 45, everywhere=True) == pytest.approx(math.hypot(10_500, 5000), abs=5)


def _on(p: tuple[float, float], q: tuple[float, float], far: float) -> tuple[float, float]:
    share = far / math.dist(p, q)
    return p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share


def _angle(spot: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """The angle at a spot, by the law of cosines."""
    x, y, z = math.dist(spot, a), math.dist(spot, b), math.dist(a, b)
    return math.degrees(math.acos((x * x + y * y - z * z) / (2 * x * y)))


@pytest.mark.parametrize(("length", "found"), [(17_000, 0), (44_000, 0)])
def test_two_exits_at_the_ends_are_two_ways(length: float, found: int) -> None:
    # 45 m where there are two ways: the guide for factories
    there = long_hall(length, far_exit=True)
    assert grades(there, "way-length") == ["correct"] * found


@pytest.mark.parametrize(("people", "found"), [(60, []), (61, ["note"])])
def test_a_rooms_own_single_door(people: int, found: list[str]) -> None:
    # Approved Document B, number of exits (from memory): one to 60 people
    there = long_hall(10_000, far_exit=True)
    rooms = {**there.rooms, "den": replace(there.rooms["den"], people=people)}
    told = of(replace(there, rooms=rooms), "two-exits")
    told = [f for f in told if f.judged and f.subjects == ("room:den",)]
    assert [f.grade for f in told] == found
    assert all(" (its own 1 door to 3 exits) " in f.text for f in told)


def test_exits_side_by_side_count_as_one() -> None:
    # Approved Document B volume 2: 45 degrees (from memory)
    there = long_hall(38_000, limits=Limits(people=100))
    (found,) = (f for f in of(there, "two-exits") if f.subjects == ("room:hall",))
    assert found.measured == 1 and " (2 exits, in one direction for too long) " in found.text


@pytest.mark.parametrize(("far", "gap"), [(False, "breaks"), (True, "keeps")])
def test_us_says_how_far_apart_two_exits_are(far: bool, gap: str) -> None:
    # 29 CFR 1910.36(b)(1): as far apart as practical; half the diagonal: IBC 1007.1.1, from memory
    there = long_hall(20_000, far_exit=far, rules="us")
    found = {f.subjects: f for f in of(there, "two-exits")}
    assert found["room:hall",].gap == gap and "1910.36(b)" in found["room:hall",].source
    assert found["room:den",].gap == "keeps"
    assert row(there, "two-exits").state == "not judged"


# --- heights ----------------------------------------------------------------------------------------------


def with_store(ceiling: float | None, high: float | None, rules: str, **more: Any) -> Shop:
    """A hall with an exit, and a store whose only way out is through a door into it; no route is drawn."""
    hall = Room("hall", "the hall", box(0, 0, 8000, 5000), headroom_mm=3000)
    store = Room("store", "the store", box(8200, 0, 12_000, 5000), headroom_mm=ceiling)
    doors = [
        door("w", "hall", "outside", 0, 1000, exit=True),
        door("inner", "hall", "store", 8000, 1000, height_mm=high),
    ]
    return shop(**{"rules": rules, "rooms": [hall, store], "doors": doors, **more})


@pytest.mark.parametrize(("rules", "ceiling", "high", "found"), [
    ("us", 2286, 2032, []), ("us", 2285, 2032, ["room:store"]), ("us", 2286, 2031, ["door:inner"]),
    ("uk", 2000, 1900, []), ("uk", 1999, 2032, ["room:store"]),
    ("own", 2000, 2000, []), ("own", 1999, 1999, ["door:inner", "room:store"]),
])  # fmt: skip
def test_the_way_walked_is_high_enough(rules: str, ceiling: float, high: float, found: list[str]) -> None:
    # 29 CFR 1910.36(g)(1), OSHA letter of 8 December 1975; Approved Document B 3.17 exempts door frames
    there = with_store(ceiling, high, rules, limits=Limits(headroom_mm=2000 if rules == "own" else None))
    assert sorted(f.subjects[0] for f in of(there, "exit-height") if f.judged) == found


def test_heights_not_told_are_asked_for_where_they_count() -> None:
    assert gaps(with_store(None, None, "us"), "exit-height") == ["missing", "missing"]
    assert set(gaps(with_store(None, None, "own"), "exit-height")) <= {"keeps", "breaks"}


# --- doors of rooms ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("opens", "into", "people", "hazard", "found"), [
    ("sliding", None, 60, None, 1), ("sliding", None, 3, "high", 1), ("hinged", "den", 51, None, 1),
    ("hinged", "den", 50, None, 0), ("hinged", "hall", 60, "high", 0), ("hinged", "den", 3, "high", 1),
    ("open", None, 60, "high", 0), ("sliding", None, 50, None, 0),
])  # fmt: skip
def test_us_door_of_a_crowded_or_hazardous_room(
    opens: str, into: str | None, people: int, hazard: str | None, found: int
) -> None:
    # 29 CFR 1910.36(e)(1), (2)
    there = long_hall(10_000, rules="us")
    rooms = {**there.rooms, "den": replace(there.rooms["den"], people=people, fire_hazard=hazard)}  # type: ignore[arg-type]
    hand = "left" if opens == "hinged" else None
    inner = replace(there.doors["den door"], opens=opens, hand=hand, swings_into=into)  # type: ignore[arg-type]
    there = replace(there, rooms=rooms, doors={**there.doors, "den door": inner})
    assert [f.grade for f in of(there, "exit-door") if f.judged] == ["correct"] * found
    if opens == "sliding" and not found:
        assert gaps(there, "exit-door") == ["keeps"]


def test_nobody_leaves_the_hall_by_the_door_of_a_dead_end() -> None:
    there = long_hall(10_000, rules="us")
    rooms = {**there.rooms, "hall": replace(there.rooms["hall"], people=90, fire_hazard="high")}
    inner = replace(there.doors["den door"], opens="hinged", hand="left", swings_into="hall")
    there = replace(there, rooms=rooms, doors={**there.doors, "den door": inner})
    assert grades(there, "exit-door") == []


@pytest.mark.parametrize(
    ("spot", "apart"),
    [
        ((1500.0, 1500 * math.tan(math.radians(45))), 90.0),  # Thales: half a circle over both doors
        ((1500.0, 1500 * math.sqrt(3)), 60.0),  # an equilateral triangle
        ((0.0, 3000.0), 45.0),
        ((1500.0, 0.0), 180.0),
        ((-500.0, 0.0), 0.0),
    ],
)
def test_two_doors_are_two_ways_from_where_they_are_seen_so_far_apart(spot: Point, apart: float) -> None:
    pairs = [((0.0, 0.0), (3000.0, 0.0))]
    assert _two_ways(spot, pairs, apart - 0.01)
    assert not _two_ways(spot, pairs, apart + 0.01)
    assert not _two_ways((0.5, 0.0), pairs, 0.0), "at one of them there is no direction to it"
