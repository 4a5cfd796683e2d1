"""Chosen places are free and none is missed; rankings and reasons; true fit on surfaces."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from building import Pile, box, elsewhere, shop, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.exact import gap, inside
from shopbins.geometry.shapes import Pose, bounds, placed, rectangle
from shopbins.ledger.model import InZone, ThingPlace
from shopbins.placing.judging import judge, judge_standing, judge_thing, judged, placement
from shopbins.placing.places import (
    best_places,
    hard_to_lift,
    least_side_mm,
    turns_tried,
    widest_ways,
)
from shopbins.rules import poses
from shopbins.rules.surfaces import rectangle_in_rectangle
from shopbins.scene.scene import Scene, build
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Room, Walkway, Zone

DOOR = Door(
    key="yard door",
    name="the yard door",
    room="hall",
    to="outside",
    jambs=((10_000, 3000), (10_000, 3900)),
    clear_width_mm=900,
    height_mm=2000,
    opens="hinged",
    passage=box(9999, 3000, 10_201, 3900),
    swing=box(9100, 3000, 10_000, 3900),
)
WAY = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 1000, least_mm=700, rooms=("hall",))
BOARD = KeepClear("board", "the switchboard", "hall", box(4000, 7000, 6000, 8000), "switchgear")


def crowded(seed: int, count: int, pose: Pose) -> Scene:
    pick = random.Random(seed)
    pile = Pile(pose)
    for i in range(count):
        at = pile.at(pick.uniform(0, 10_000), pick.uniform(0, 8_000), pick.uniform(0, 180))
        pile.add(f"g{i}", at, size=(pick.uniform(300, 2500), pick.uniform(300, 1200), 500))
    pile.add("new", None, size=(pick.uniform(500, 2500), pick.uniform(300, 1500), 500))
    there = shop(walkways=[WAY], doors=[DOOR], keep_clear=[BOARD])
    return build(elsewhere(there, pose), pile.state())


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 60), st.floats(0, 360))
def test_a_chosen_place_makes_no_finding_and_no_free_place_is_missed(
    seed: int, count: int, turn: float
) -> None:
    """Against a lattice of 100 mm at the same turns, tried one by one with the exact predicates."""
    scene = crowded(seed, count, Pose(500, -700, turn))
    group, hall = scene.group("new"), scene.zone("hall")
    assert hall is not None and group.size is not None
    where = poses.choose(scene, group, hall, hall.levels[0], thorough=True)
    if where is not None:
        assert [f for f in judge(scene, "new", where) if f.grade != "note"] == []
        body = scene.with_group_at("new", where).body("new")
        assert body is not None and inside(body.outline, hall.outline)
        others = [b.outline for b in scene.standing("hall")]
        assert all(gap(body.outline, other).distance_mm > 4.999 for other in others)
        return
    site = poses.site(scene, hall, hall.levels[0], group)
    outline = rectangle(group.size.length_mm, group.size.width_mm)
    x0, y0, x1, y1 = bounds(hall.outline)
    for angle in poses.turns(hall):
        for i in range(int((x1 - x0) / 100)):
            for k in range(int((y1 - y0) / 100)):
                stands = placed(outline, Pose(x0 + 100 * i, y0 + 100 * k, angle))
                free = inside(stands, hall.outline) and not site.blocked(stands, bounds(stands))
                assert not free, f"missed {stands}"


def test_what_is_kept_free_is_told_by_room_and_by_height() -> None:
    hall, yard = (Room(key, key, box(x, 0, x + 10_000, 8000)) for key, x in (("hall", 0), ("yard", 10_200)))
    loose = Walkway("loose", "a way of no room", ((500, 500), (500, 900)), 700)
    table = KeepClear("vice", "the vice", "hall", box(0, 0, 500, 500), "working room", height_mm=900)
    there = shop(
        rooms=[hall, yard],
        doors=[replace(DOOR, to="yard")],
        walkways=[WAY, loose],
        keep_clear=[BOARD, table],
    )

    def told(*rooms: str, above_mm: float = 0.0) -> set[str]:
        return {name for name, _ in poses.kept_free(there, rooms, above_mm)}

    assert told("hall") == {WAY.name, loose.name, DOOR.name, BOARD.name, table.name}
    assert told("hall", above_mm=900) == told("hall") - {table.name}
    assert told("hall", above_mm=899) == told("hall")
    assert told("yard") == {loose.name, DOOR.name}
    assert told("loft") == {loose.name}
    at_the_door = [outline for name, outline in poses.kept_free(there, ["yard"]) if name == DOOR.name]
    assert DOOR.passage in at_the_door and DOOR.swing in at_the_door and len(at_the_door) == 4


def test_a_niche_as_wide_as_the_thing_is_found() -> None:
    """800 mm of free floor between two walls of things, 5 mm left on both sides: 790 goes, 791 does not."""
    for width, goes in ((790.0, True), (790.9, False)):
        pile = Pile()
        pile.add("left", pile.at(1500, 2000), size=(3000, 4000, 500))
        pile.add("right", pile.at(6900, 2000), size=(6200, 4000, 500))
        pile.add("new", None, size=(3000, width, 500))
        scene = pile.scene(shop(zones=[zone("strip", (0, 0), (10_000, 3500))]))
        strip = scene.zone("strip")
        assert strip is not None
        where = poses.choose(scene, scene.group("new"), strip, strip.levels[0], thorough=True)
        assert (where is not None) is goes


def workshop() -> tuple[list, Pile]:
    rack = zone(
        "rack",
        (0, 0),
        (1800, 500),
        kind="shelf",
        levels=[Level("1", 150, load_kg=100), Level("2", 800, load_kg=80), Level("3", 1700, load_kg=30)],
    )
    bench = zone("bench", (3000, 0), (2000, 700), kind="bench", load_kg=60)
    spot = zone("spot", (6000, 200), (2000, 1500))
    return [rack, bench, spot], Pile()


def test_best_places_are_ranked_have_reasons_and_are_no_stops() -> None:
    zones, pile = workshop()
    pile.add("old", InZone("rack", "2"), kg=50)
    pile.add("crate", pile.at(5600, 500), size=(400, 600, 500))
    pile.add("pump", None, kg=41, size=(400, 300, 200), origin=("engine", "pump", "body"))
    scene = pile.scene(shop(zones=zones))
    found = best_places(scene, "pump")
    assert {(s.zone, s.level) for s in found} == {("rack", "1"), ("bench", ""), ("spot", ""), ("hall", "")}
    assert found == sorted(found, key=lambda s: s.rank)
    assert (found[0].zone, found[0].level) in (("spot", ""), ("rack", "1")), "heavy goes low"
    reasons = {s.zone: s.reason for s in found}
    assert "41 kg of 60 kg" in reasons["bench"] and "lift to 900 mm" in reasons["bench"]
    assert "200 mm clear beside it" in reasons["spot"] and "on the floor" in reasons["spot"]
    assert not any(f.grade == "stop" for s in found for f in s.findings)


def test_light_things_go_to_elbow_height_beside_their_kin() -> None:
    zones, pile = workshop()
    pile.add("bag", None, kg=2, container="bag", size=None, origin=("engine", "pump", "studs"))
    scene = pile.scene(shop(zones=zones))
    assert (best_places(scene, "bag")[0].zone, best_places(scene, "bag")[0].level) in (
        ("bench", ""),
        ("rack", "2"),
    )
    pile.add("kin", InZone("rack", "1"), origin=("engine", "pump", "body"))
    found = best_places(pile.scene(shop(zones=zones)), "bag")
    assert found[0].zone == "rack"
    assert found[0].reason.startswith("1 other pump part there")


def test_a_crate_of_53_kg_goes_on_the_floor_before_a_bench_at_900() -> None:
    # Both are beyond one person's lift; the lower one spares the lift to the bench.
    pile = Pile()
    pile.add("crate", size=(500, 400, 300), kg=53, container="box")
    there = shop(
        zones=[
            zone("bench", (0, 0), (2000, 700), kind="bench", levels=[Level("", 900)]),
            zone("spot", (4000, 0), (1500, 1200)),
        ]
    )
    first, *others = best_places(pile.scene(there), "crate")
    assert first.where.zone in ("spot", "hall")
    assert "bench" in {each.where.zone for each in others}


def test_a_light_box_beyond_the_limit_high_up_goes_lower() -> None:
    # 16 kg: within one person's limit at 750 mm (16.4 kg), not at 1600 (10.7 kg)
    pile = Pile()
    pile.add("box", size=(400, 300, 200), kg=16, container="box")
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("mid", 750), Level("high", 1600)])
    first, *_ = best_places(pile.scene(shop(zones=[rack])), "box")
    assert (first.where.zone, first.where.level) == ("rack", "mid")


def test_a_stated_zone_answers_even_with_stops_only() -> None:
    zones, pile = workshop()
    pile.add("iron", None, kg=500)
    scene = pile.scene(shop(zones=zones))
    assert "rack" not in {s.zone for s in best_places(scene, "iron")}
    found = best_places(scene, "iron", zone="rack")
    assert {s.level for s in found} == {"1", "2", "3"}
    with pytest.raises(KeyError):
        best_places(scene, "iron", zone="nowhere")


# --- true fit on a surface --------------------------------------------------------------------------------

MORON = (18, 15, 7, 8, 14, 4, 10, 1, 9)
"""Z. Moron's 33 x 32 rectangle of nine different squares (1925); from memory, the areas verified below."""


@pytest.mark.parametrize(("grown", "stop"), [(None, False), (0, True), (7, True)])
def test_a_perfect_filling_is_found_and_one_side_1_mm_longer_refused(grown: int | None, stop: bool) -> None:
    assert sum(side * side for side in MORON) == 33 * 32
    pile = Pile()
    for i, side in enumerate(MORON):
        length = side * 10.0 + (1.0 if i == grown else 0.0)
        pile.add(f"s{i}", InZone("bench"), size=(length, side * 10.0, 50), kg=1)
    scene = pile.scene(shop(zones=[zone("bench", (0, 0), (330, 320), kind="bench")]))
    where = scene.group("s0").where
    assert isinstance(where, InZone)
    found = judged(placement(scene, "s0", where, patience_s=5.0))
    assert any(f.grade == "stop" and f.rule in ("no-layout", "full") for f in found) is stop
    assert not any(f.rule == "no-layout" for f in found) or stop


def test_area_alone_accepts_what_cannot_lie_side_by_side() -> None:
    """Two squares of 600 take 72 % of 1000 x 1000 and cannot lie there together."""
    pile = Pile()
    pile.add("a", InZone("bench"), size=(600, 600, 50))
    pile.add("b", None, size=(600, 600, 50))
    scene = pile.scene(shop(zones=[zone("bench", (0, 0), (1000, 1000), kind="bench")]))
    found = judge(scene, "b", InZone("bench"))
    assert [(f.rule, f.grade) for f in found if f.grade != "note"] == [("no-layout", "stop")]
    pile.add("b", None, size=(600, 400, 50))
    there = shop(zones=[zone("bench", (0, 0), (1000, 1000), kind="bench")])
    assert [f for f in judge(pile.scene(there), "b", InZone("bench")) if f.grade != "note"] == []


def test_what_is_longer_than_a_drawn_place_is_too_large_for_it() -> None:
    drawn = replace(zone("corner", (3000, 1000), (1000, 400), kind="bench"), size_mm=None)
    pile = Pile()
    pile.add("rod", None, size=(1200, 100, 50))
    (found,) = [
        f for f in judge(pile.scene(shop(zones=[drawn])), "rod", InZone("corner")) if f.rule == "too-large"
    ]
    assert (found.grade, found.measured, found.limit) == ("stop", 1200, 1000)
    assert "1200 mm by 100 mm" in found.text and "1000 mm by 400 mm" in found.text


def test_bags_may_lie_on_each_other() -> None:
    pile = Pile()
    for i in range(3):
        pile.add(f"b{i}", InZone("bench"), size=(600, 600, 50), container="bag", kg=1)
    scene = pile.scene(shop(zones=[zone("bench", (0, 0), (1000, 1000), kind="bench")]))
    found = judge(scene, "b0", InZone("bench"))
    assert [(f.rule, f.grade) for f in found if f.grade != "note"] == [("full", "correct")]


@pytest.mark.parametrize(("wide", "fits"), [(3945.0, True), (3943.5, False)])
def test_a_bar_lies_aslant_where_carver_says(wide: float, fits: bool) -> None:
    """5 x 1 m on 4.5 m: (2pqa + (p2 - q2) sqrt(p2 + q2 - a2)) / (p2 + q2) = 3944.23 mm wide at least.

    W. B. Carver, American Mathematical Monthly 64 (1957) 114-116 (from memory).
    """
    assert rectangle_in_rectangle((5000.0, 1000.0), (4500.0, wide)) is fits
    assert rectangle_in_rectangle((1000.0, 5000.0), (wide, 4500.0)) is fits


@settings(max_examples=60, deadline=None)
@given(st.floats(100, 1000), st.floats(50, 1000), st.floats(100, 1000), st.floats(50, 1000))
def test_a_rectangle_in_a_rectangle_at_every_turn(p: float, q: float, a: float, b: float) -> None:
    """The turned rectangle's box against the surface, every hundredth of a degree (own brute force)."""
    spare = min(
        max(
            p * abs(math.cos(t)) + q * abs(math.sin(t)) - a,
            p * abs(math.sin(t)) + q * abs(math.cos(t)) - b,
        )
        for t in (math.radians(i / 100) for i in range(9001))
    )
    if abs(spare) > 0.2:
        assert rectangle_in_rectangle((p, q), (a, b)) is (spare < 0)


# --- exact places of a stated zone ------------------------------------------------------------------------


@pytest.mark.parametrize(("each_kg", "limit_kg"), [(0.1, 0.3), (20.1, 60.3), (7.7, 23.1), (25.0, 75.0)])
def test_a_level_that_becomes_just_full_is_offered_and_a_hair_more_is_not(
    each_kg: float, limit_kg: float
) -> None:
    """Three of a kind on what carries three of them: a sum of doubles may be a hair more (arithmetic)."""
    for more_kg, offered in ((0.0, True), (0.01, False)):
        pile = Pile()
        bench = zone("bench", (3000, 0), (2000, 700), kind="bench", load_kg=limit_kg)
        for name in ("one", "two"):
            pile.add(name, InZone("bench", ""), kg=each_kg, size=(100, 100, 100))
        pile.add("new", None, kg=each_kg + more_kg, size=(100, 100, 100))
        scene = pile.scene(shop(zones=[bench]))
        assert any(each.zone == "bench" for each in best_places(scene, "new")) is offered
        stops = [f for f in judge(scene, "new", InZone("bench", "")) if f.grade == "stop"]
        assert (not stops) is offered


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 40), st.floats(0, 360))
def test_the_places_of_a_stated_zone_are_free_apart_and_say_what_ways_keep(
    seed: int, count: int, turn: float
) -> None:
    scene = crowded(seed, count, Pose(500, -700, turn))
    found = best_places(scene, "new", zone="hall", most=5)
    assert 1 <= len(found) <= 5
    none = poses.choose(scene, scene.group("new"), *floor_of_hall(scene), thorough=True) is None
    for each in found:
        clean = not [f for f in each.findings if f.grade != "note"]
        assert not (none and clean and each.pose is not None)
        if each.pose is None:
            assert none and "no free place at the turns tried" in each.reason
    if not none:
        assert not [f for f in found[0].findings if f.grade != "note"], found[0]
        at = [(e.pose.x_mm, e.pose.y_mm) for e in found if e.pose is not None]
        assert len(set(at)) == len(at)


def floor_of_hall(scene: Scene) -> tuple[Zone, Level]:
    hall = scene.zone("hall")
    assert hall is not None
    return hall, hall.levels[0]


def test_a_reason_tells_what_a_way_keeps_and_what_a_thing_in_it_leaves() -> None:
    pile = Pile()
    pile.add("crate", pile.at(5000, 3150), size=(800, 600, 500))
    scene = pile.scene(shop(walkways=[WAY], zones=[zone("strip", (0, 2500), (10_000, 1000))]))
    assert any(
        "leaves all 1000 mm of the long way" in s.reason for s in best_places(scene, "crate", zone="strip")
    )
    for off_mm, said in ((299, True), (301, False)):  # from the edge of the way: beside it, or not any more
        strip = zone("strip", (0, 3500 - off_mm - 620), (10_000, 620))
        first = best_places(pile.scene(shop(walkways=[WAY], zones=[strip])), "crate", zone="strip")[0]
        assert first.pose is not None and ("leaves all" in first.reason) is said
    full = [zone("strip", (0, 3600), (10_000, 800))]
    found = best_places(pile.scene(shop(walkways=[WAY], zones=full)), "crate", zone="strip", most=2)
    assert all("stands in the long way" in s.reason and "of the long way" in s.reason for s in found)
    assert all(any(f.rule == "walkway" for f in s.findings) for s in found)


def test_a_bench_where_all_has_its_place_tells_whether_there_is_room_as_things_lie() -> None:
    pile = Pile()
    pile.add("left", InZone("bench", "", 350, 300, measured=True), size=(200, 300, 100))
    pile.add("right", InZone("bench", "", 650, 300, 90.0, measured=True), size=(300, 200, 100))
    pile.add("plate", None, size=(600, 500, 50))
    pile.add("bar", None, size=(900, 140, 50))
    there = shop(zones=[zone("bench", (0, 0), (1000, 600), kind="bench")])
    scene = pile.scene(there)
    (plate,) = best_places(scene, "plate", zone="bench")
    assert "no room at quarter turns as things lie" in plate.reason
    (bar,) = best_places(scene, "bar", zone="bench")
    assert "as things lie, against the edge" in bar.reason


def two_rooms(clear_width_mm: float) -> tuple[Pile, dict[str, object]]:
    """A hall with a bed of 1600 x 900 x 1000 in it and a store behind one door."""
    hall, store = (Room(key, key, box(x, 0, x + 8_000, 8000)) for key, x in (("hall", 0), ("store", 8_200)))
    door = replace(DOOR, to="store", exit=False, clear_width_mm=clear_width_mm)
    zones = [zone("spot", (1000, 1000), (3000, 3000)), zone("bay", (9000, 500), (4000, 2500), room="store")]
    pile = Pile()
    pile.add("bed", InZone("spot", "", 1500, 1500), kg=300, size=(1600, 900, 1000))
    return pile, {"rooms": [hall, store], "doors": [door], "zones": zones}


@pytest.mark.parametrize(("clear_width_mm", "offered"), [(900.0, True), (899.0, False)])
def test_a_room_whose_door_is_narrower_than_the_least_side_is_not_offered(
    clear_width_mm: float, offered: bool
) -> None:
    """A convex thing goes through a door exactly as wide as it is and through none narrower (Strang 1982)."""
    pile, parts = two_rooms(clear_width_mm)
    scene = pile.scene(shop(**parts))
    assert ("bay" in {each.zone for each in best_places(scene, "bed")}) is offered
    asked = best_places(scene, "bed", zone="bay")
    assert asked and asked[0].reason.startswith("no way in: least side 900 mm") is not offered


def test_the_widest_way_goes_round_by_other_doors_and_over_outside() -> None:
    pile, parts = two_rooms(800.0)
    gates = [
        replace(DOOR, key=f"gate {room}", room=room, clear_width_mm=width)
        for room, width in (("hall", 2000.0), ("store", 1500.0))
    ]
    scene = pile.scene(shop(**{**parts, "doors": [*parts["doors"], *gates]}))
    assert widest_ways(scene, "bed") == {"hall": math.inf, "outside": 2000.0, "store": 1500.0}
    pile.add("waiting", None, size=(1600, 900, 1000))
    assert widest_ways(pile.scene(shop(**parts)), "waiting") == {}


def test_the_least_side_is_the_height_of_what_lies_flat_and_of_an_angle_the_wider_leg() -> None:
    pile = Pile()
    pile.add("plate", None, size=(1600, 900, 40))
    pile.add(
        "angle", None, size=None, outline=((0, 0), (1000, 0), (1000, 200), (300, 200), (300, 900), (0, 900))
    )
    scene = pile.scene(shop())
    assert least_side_mm(scene.group("plate")) == 40
    assert least_side_mm(scene.group("angle")) == pytest.approx(300)


def bench(key: str, x: float, **more: Any) -> Zone:
    return zone(key, (x, 0), (1000, 700), kind="bench", **more)


def ranked(pile: Pile, name: str, *zones: Zone) -> list[str]:
    """The zones and levels offered, best first."""
    offered = best_places(pile.scene(shop(zones=zones)), name, most=20)
    return [" ".join(filter(None, (each.zone, each.level))) for each in offered]


def test_what_else_is_alike_one_thing_decides_which_place_is_better() -> None:
    pile = Pile()
    pile.add("cap", None, kg=2, size=(200, 200, 100), origin=("engine", "pump", "cap"))
    pair = bench("near", 0, load_kg=100), bench("far", 3000, load_kg=100)
    assert ranked(pile, "cap", *pair) == ["near", "far", "hall"], "as in the file; open floor last"
    pile.add("tool", InZone("near"), kg=40, size=(100, 100, 100))
    assert ranked(pile, "cap", *pair)[0] == "far", "the emptier"
    pile.add("body", InZone("near"), kg=1, size=(100, 100, 100), origin=("engine", "pump", "body"))
    assert ranked(pile, "cap", *pair)[0] == "near", "company before fullness"
    for n in range(2):
        pile.add(f"stud {n}", InZone("far"), kg=1, size=(50, 50, 50), origin=("engine", "pump", "stud"))
    pile.add("other", InZone("near"), kg=1, size=(50, 50, 50), origin=("engine", "head", "body"))
    assert ranked(pile, "cap", *pair)[0] == "far", "more company"
    (near,) = best_places(pile.scene(shop(zones=pair)), "cap", zone="near")
    (far,) = best_places(pile.scene(shop(zones=pair)), "cap", zone="far")
    assert near.reason.startswith("1 other pump part there, ") and "42 kg of 100 kg" not in near.reason
    assert far.reason.startswith("2 other pump parts there, ") and "lift to 900 mm" in far.reason
    pile.add("bag", None, kg=2, size=None)
    (unmeasured,) = best_places(pile.scene(shop(zones=pair)), "bag", zone="far")
    assert "still free" in far.reason and "free" not in unmeasured.reason


def test_light_things_come_within_reach_and_heavy_ones_low() -> None:
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf",
                levels=[Level("low", 200), Level("waist", 900), Level("top", 1800)])  # fmt: skip
    pile = Pile()
    pile.add("light", None, kg=2, size=(200, 200, 100))
    pile.add("heavy", None, kg=60, size=(200, 200, 100))
    assert ranked(pile, "light", rack)[0] == "rack waist"
    assert ranked(pile, "heavy", rack)[0] == "rack low"
    pallets = [
        zone(key, (x, 5000), (800, 600), kind="shelf", levels=[Level("", high)])
        for key, x, high in (("a", 0, 100), ("b", 3000, 200), ("c", 6000, 300))
    ]
    pile.add("heavy", None, kg=60, size=(200, 200, 100), origin=("engine", "pump", "body"))
    for kin in ("b", "c"):
        pile.add(kin, InZone(kin), kg=1, size=(50, 50, 50), origin=("engine", "pump", kin))
    assert ranked(pile, "heavy", *pallets) == ["b", "a", "hall", "c"], (
        "company first, but not half a step higher"
    )


@pytest.mark.parametrize(("high", "said"), [(401.0, True), (400.0, False), (590.0, True)])
def test_how_much_is_left_over_it_is_said_where_it_is_little(high: float, said: bool) -> None:
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", 300), Level("2", 900)])
    pile = Pile()
    pile.add("box", None, kg=2, size=(200, 200, high))
    level = next(
        each for each in best_places(pile.scene(shop(zones=[rack])), "box", zone="rack") if each.level == "1"
    )
    assert (f"{600 - high:g} mm over it" in level.reason) is said


def test_a_lift_is_hard_beyond_any_figure_of_the_people_on_hand() -> None:
    def lift(measured: float | None, limit: float | None, rule: str = "lift", judged: bool = True) -> Any:
        return SimpleNamespace(rule=rule, judged=judged, measured=measured, limit=limit)

    others = [lift(90.0, 25.0, "load"), lift(90.0, 25.0, judged=False), lift(None, 25.0), lift(90.0, None)]
    assert not hard_to_lift([*others, lift(25.0, 25.0), lift(20.0, 25.0, "team")])
    for hard in (lift(25.1, 25.0), lift(50.0, 40.0, "team"), lift(3.0, 0.0, "one-person")):
        assert hard_to_lift([*others, hard])


@pytest.mark.parametrize("turn", [0.0, 33.0, 350.0])
def test_the_turns_tried_are_told_in_the_places_own_frame(turn: float) -> None:
    assert turns_tried(zone("spot", (500, 500), (2000, 1500), turn=turn)) == "0 and 90 deg"


def test_what_a_thing_of_the_shop_causes_is_told_of_it_and_of_what_lies_on_it() -> None:
    lathe = Fixture("lathe", "the lathe", "hall", box(1000, 1000, 3000, 1800), top_mm=1300)
    saw = Fixture("saw", "the saw", "hall", box(6000, 1000, 6600, 1400), top_mm=1300, movable=True)
    scene = Pile().scene(shop(fixtures=[lathe, saw]))

    def told(x_mm: float) -> set[tuple[str, ...]]:
        moved = ThingPlace("saw", x_mm, 1400.0, 0.0, "hall")
        return {f.subjects for f in judge_thing(scene, moved) if f.rule == "overlap"}

    assert told(2900.0) == {("fixture:lathe", "fixture:saw")} and told(3301.0) == set()
    assert judge_standing(scene, "saw", "hall") == judge_standing(scene, "lathe", "hall") == []
