"""Fetching: what lies on top, what stands in front, and a short way round."""

from __future__ import annotations

import random
from itertools import combinations, pairwise, permutations
from math import dist

import pytest
import shapely
from building import Pile, box, shop, zone

from shopbins.geometry.shapes import Outline
from shopbins.ledger.model import Fitted, InGroup, InZone
from shopbins.scene.fetching import _nearest, fetch_order, in_front, on_top
from shopbins.shop.model import Door, Level, Room, Walkway


def test_what_lies_on_it_or_on_what_it_is_in_comes_first() -> None:
    pile = Pile()
    pile.add("tub", InZone("hall"))
    pile.add("bag", InGroup("tub", "in"))
    pile.add("lid", InGroup("tub", "on"))
    pile.add("shim", InGroup("bag", "in"))
    pile.add("board", InZone("hall"))
    pile.add("left", InGroup("board", "on"))
    pile.add("right", InGroup("board", "on"))
    pile.add("top", InGroup("left", "on"))
    pile.add("valve", InGroup("left", "fitted"))
    scene = pile.scene(shop())
    assert on_top(scene, "shim") == on_top(scene, "bag") == ("lid",)
    assert on_top(scene, "left") == ("top",)  # right lies beside it, the valve is part of it
    assert on_top(scene, "right") == () and set(on_top(scene, "board")) == {"left", "right"}


@pytest.mark.parametrize("turn", [0.0, 37.0])
def test_what_stands_between_the_way_and_a_thing(turn: float) -> None:
    from shopbins.geometry.shapes import Pose

    pile = Pile(Pose(500.0, -300.0, turn))
    pile.add("wanted", pile.at(8000, 4000))
    pile.add("before it", pile.at(6000, 4100))
    pile.add("beside it", pile.at(6000, 6000))
    pile.add("behind it", pile.at(9500, 4000))
    pile.add("unmeasured", InZone("hall"))
    way = Walkway("way", "way", ((4000.0, 0.0), (4000.0, 8000.0)), 800.0, rooms=("hall",))
    scene = pile.scene(shop(walkways=[way]))
    assert in_front(scene, "wanted") == ("before it",)
    assert in_front(scene, "before it") == ()
    assert in_front(scene, "unmeasured") is None


def test_things_on_a_shelf_are_in_the_way_only_on_their_level_or_from_the_floor() -> None:
    pile = Pile()
    rack = zone(
        "rack", (8000, 3000), (1500, 600), kind="shelf", levels=[Level("1", 100.0), Level("2", 900.0)]
    )
    pile.add("wanted", InZone("rack", "2", 1300.0, 300.0), size=(200, 200, 200))
    pile.add("same level", InZone("rack", "2", 700.0, 300.0), size=(200, 200, 200))
    pile.add("crate", pile.at(6500, 3300))
    jambs = ((0.0, 2800.0), (0.0, 3800.0))
    door = Door("gate", "gate", "hall", "outside", jambs, 1000.0, 2000.0, "open", ())
    scene = pile.scene(shop(zones=[rack], doors=[door]))
    assert set(in_front(scene, "wanted") or ()) == {"same level", "crate"}
    assert in_front(scene, "crate") == ()


@pytest.mark.parametrize("begin", [[(0.0, 0.0)], []], ids=["from a corner", "from anywhere"])
def test_the_way_round_is_the_shortest_of_all_for_few_stops(begin: list[tuple[float, float]]) -> None:
    spots = {
        "a": (500.0, 500.0),
        "b": (9000.0, 700.0),
        "c": (800.0, 7000.0),
        "d": (9300.0, 7400.0),
        "e": (5000.0, 900.0),
    }
    pile = Pile()
    for name, spot in spots.items():
        pile.add(name, pile.at(*spot))
    found = fetch_order(pile.scene(shop()), list(spots), *begin)
    line = [*begin, *(spots[each.group] for each in found)]
    legs = [dist(p, q) for p, q in pairwise(line)]
    best = min(
        sum(dist(p, q) for p, q in pairwise((*begin, *order))) for order in permutations(spots.values())
    )
    assert sum(legs) == pytest.approx(best)
    known = [each.metres for each in found if each.metres is not None]
    assert known == pytest.approx([each / 1000.0 for each in legs])
    assert begin or found[0].metres is None


def test_no_part_of_the_way_round_turned_about_makes_it_shorter() -> None:
    """The definition of a 2-optimal tour (Croes 1958), of open ones with a free end."""
    luck = random.Random(7)
    for _ in range(5):
        spots = [(luck.uniform(500, 9500), luck.uniform(500, 7500)) for _ in range(20)]
        pile = Pile()
        for n, spot in enumerate(spots):
            pile.add(f"g{n}", pile.at(*spot))
        order = fetch_order(pile.scene(shop()), list(pile.groups), (0.0, 0.0))
        line = [(0.0, 0.0), *(spots[int(each.group[1:])] for each in order)]
        whole = sum(dist(p, q) for p, q in pairwise(line))
        for i, j in combinations(range(1, 22), 2):
            turned = [*line[:i], *line[i:j][::-1], *line[j:]]
            assert sum(dist(p, q) for p, q in pairwise(turned)) > whole - 1e-3


@pytest.mark.parametrize(
    "line",
    [
        ((0.0, 0.0), (900.0, 0.0)),
        ((0.0, 0.0), (900.0, 300.0), (900.0, 300.0), (200.0, 800.0)),
        ((50.0, 60.0), (50.0, 60.0)),
    ],
)
def test_the_nearest_point_of_a_line_is_shapelys(line: Outline) -> None:
    for to in ((-50.0, 70.0), (400.0, 500.0), (1200.0, 350.0), (100.0, -900.0)):
        near = shapely.LineString(line).distance(shapely.Point(to))
        assert dist(_nearest(line, to), to) == pytest.approx(near)
        assert shapely.LineString(line).distance(shapely.Point(_nearest(line, to))) < 1e-9


def test_through_the_door_and_what_is_not_in_the_shop_comes_last() -> None:
    rooms = [Room("hall", "hall", box(0, 0, 5000, 4000)), Room("store", "store", box(5000, 0, 9000, 4000))]
    door = Door(
        "gap", "gap", "hall", "store", ((5000.0, 3000.0), (5000.0, 4000.0)), 1000.0, 2000.0, "open", ()
    )
    pile = Pile()
    pile.add("on", Fitted())
    pile.add("near", pile.at(4500, 500))
    pile.add("far", pile.at(5500, 500, room="store"))
    found = fetch_order(pile.scene(shop(rooms=rooms, doors=[door])), ["on", "near", "far"], (4500.0, 500.0))
    assert [each.group for each in found] == ["near", "far", "on"]
    through = dist((4500, 500), (5000, 3500)) + dist((5000, 3500), (5500, 500))
    assert found[1].metres == pytest.approx(through / 1000.0)
    assert found[2].place is None and found[2].metres is None
    assert fetch_order(pile.scene(shop(rooms=rooms)), []) == []
    pile.add("somewhere", InZone("bay"))  # then from the middle of its zone
    (unposed,) = fetch_order(
        pile.scene(shop(rooms=rooms, zones=[zone("bay", (0, 0), (600, 800), room="hall")])),
        ["somewhere"],
        (0, 0),
    )
    assert unposed.metres == pytest.approx(0.5) and unposed.in_front is None


# A way 600 mm wide from the walkway at x = 4000: what stands 300 mm beside its middle is not in it.
@pytest.mark.parametrize(("beside_mm", "before"), [(449.0, ("crate",)), (451.0, ()), (-449.0, ("crate",))])
@pytest.mark.parametrize("turn", [0.0, 90.0])
def test_somebody_needs_a_way_of_600_mm(beside_mm: float, before: tuple[str, ...], turn: float) -> None:
    pile = Pile()  # 600 mm: own figure
    across = (6000.0, 4000.0 + beside_mm) if not turn else (8000.0 - beside_mm, 6000.0)
    pile.add("wanted", pile.at(8000, 4000))
    pile.add("crate", pile.at(*across), size=(300, 300, 200))
    line = ((4000.0, 0.0), (4000.0, 8000.0)) if not turn else ((0.0, 7900.0), (9999.0, 7900.0))
    ways = [
        Walkway("way", "way", line, 800.0, rooms=("hall",)),
        Walkway("far", "far", ((0.0, 0.0), (0.0, 0.0), (1.0, 0.0)), 800.0, rooms=("hall",)),
        Walkway("yard", "yard", ((8000.0, 4000.0), (8000.0, 4001.0)), 800.0, rooms=("yard",)),
    ]
    assert in_front(pile.scene(shop(walkways=ways)), "wanted") == before


@pytest.mark.parametrize(("base", "before"), [(499.0, {"low"}), (500.0, set())])
def test_what_stands_low_is_reached_over_and_what_stands_high_is_not_in_the_way(
    base: float, before: set[str]
) -> None:
    pile = Pile()  # 500 mm: own figure
    rack = zone(
        "rack", (5500, 3700), (1000, 600), kind="shelf", levels=[Level("1", base), Level("2", 1500.0)]
    )
    pile.add("wanted", pile.at(8000, 4000))
    pile.add("low", InZone("rack", "1", 500.0, 300.0))
    pile.add("high", InZone("rack", "2", 500.0, 300.0))
    way = Walkway("way", "way", ((4000.0, 0.0), (4000.0, 8000.0)), 800.0, rooms=("hall",))
    assert set(in_front(pile.scene(shop(zones=[rack], walkways=[way])), "wanted") or ()) == before


def test_from_door_to_door_the_shorter_of_two_ways_counts_and_none_where_none_leads() -> None:
    names = ("hall", "store", "den", "loft")
    rooms = [Room(key, key, box(5000 * n, 0, 5000 * n + 5000, 4000)) for n, key in enumerate(names)]

    def gap(key: str, room: str, to: str, x: float, y: float) -> Door:
        return Door(key, key, room, to, ((x, y - 500), (x, y + 500)), 1000.0, 2000.0, "open", ())

    doors = [
        gap("a", "hall", "store", 5000, 3000), gap("b", "store", "den", 10_000, 3000),
        gap("c", "den", "hall", 5000, 600), gap("out", "hall", "outside", 0, 1000),
        gap("in", "outside", "loft", 20_000, 1000),
    ]  # fmt: skip
    pile = Pile()
    pile.add("deep", pile.at(12_000, 3000, room="den"))
    pile.add("lost", pile.at(18_000, 3000, room="loft"))
    found = fetch_order(pile.scene(shop(rooms=rooms, doors=doors)), ["lost", "deep"], (4000.0, 3000.0))
    assert [(each.group, each.metres) for each in found] == [("deep", pytest.approx(8.0)), ("lost", None)]
    doors[1:3] = gap("b", "store", "den", 10_000, 600), gap("c", "den", "hall", 5000, 2500)
    found = fetch_order(pile.scene(shop(rooms=rooms, doors=doors)), ["deep"], (4000.0, 3000.0))
    short = dist((4000, 3000), (5000, 2500)) + dist((5000, 2500), (12_000, 3000))
    assert found[0].metres == pytest.approx(short / 1000)
