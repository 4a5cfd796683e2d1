"""The scene: frames, contents, nested groups, moved benches, and one group held elsewhere."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from building import Pile, box, shop, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.shapes import Box, Pose
from shopbins.ledger.model import InGroup, InZone
from shopbins.records.moving import FIELD, ComesOff, Moving, moving_doc
from shopbins.scene.contents import Contents
from shopbins.scene.frames import to_shop, to_zone
from shopbins.scene.scene import _level_names, build
from shopbins.scene.standing import Standing, heights_meet, reaches
from shopbins.shop.model import Fixture, Level, Room

angles = st.floats(0, 360, allow_nan=False)
lengths = st.floats(-20_000, 20_000, allow_nan=False)


@settings(max_examples=60, deadline=None)
@given(lengths, lengths, angles, lengths, lengths, angles)
def test_zone_and_shop_poses_are_each_others_inverse(
    cx: float, cy: float, turn: float, x: float, y: float, d: float
) -> None:
    there = zone("z", (cx, cy), (1000, 500), turn=turn)
    pose = to_shop(there, x, y, d)
    back = to_zone(there, pose.x_mm, pose.y_mm, pose.turn_deg)
    assert math.hypot(back.x_mm - x, back.y_mm - y) < 1e-6
    assert abs((back.turn_deg - d + 180) % 360 - 180) < 1e-6


def test_a_pose_on_a_turned_bench_is_counted_from_its_corner() -> None:
    # A bench turned a quarter about (3000, 1000): its length runs up, its depth to the left.
    bench = zone("bench", (3000, 1000), (2000, 700), kind="bench", turn=90)
    pile = Pile()
    pile.add("head", InZone("bench", "", 500, 200, 0, measured=True))
    body = pile.scene(shop(zones=[bench])).body("head")
    assert body is not None
    assert body.box == pytest.approx((3000 - 200 - 150, 1000 + 500 - 200, 3000 - 200 + 150, 1000 + 500 + 200))
    assert (body.base_mm, body.top_mm) == (900, 1100)


def test_what_lies_on_a_moved_bench_goes_along() -> None:
    bench = zone("bench", (3000, 1000), (2000, 700), kind="bench", movable=True)
    pile = Pile()
    pile.add("head", InZone("bench", "", 500, 200, measured=True))
    pile.more["thing"] = {"bench": {"x_mm": 6000.0, "y_mm": 4000.0, "turn_deg": 90.0, "room": "hall"}}
    scene = pile.scene(shop(zones=[bench]))
    body = scene.body("head")
    assert body is not None
    # The head lay 500 mm left of and 150 mm below the bench's middle; turned a quarter that is 150 mm
    # right of and 500 mm below it.
    assert body.centre == pytest.approx((6000 + 150, 4000 - 500))
    moved = next(b for b in scene.standing("hall") if b.subject == "zone:bench")
    assert moved.box == pytest.approx((6000 - 350, 4000 - 1000, 6000 + 350, 4000 + 1000))


def test_an_outline_told_from_its_corner_is_posed_by_its_middle() -> None:
    pile = Pile()
    pile.add("odd", pile.at(1000, 500, 90), size=None, outline=((0, 0), (400, 0), (400, 300), (0, 300)))
    body = pile.scene(shop()).body("odd")
    assert body is not None and body.box == pytest.approx((850, 300, 1150, 700))


def test_what_is_taken_over_from_the_scene_before_is_all_but_the_rooms_that_changed() -> None:
    rooms = [Room("hall", "hall", box(0, 0, 5000, 5000)), Room("yard", "yard", box(6000, 0, 9000, 5000))]
    pile = Pile()
    for name, where in (("a", pile.at(1000, 1000)), ("b", pile.at(7000, 1000, room="yard")), ("c", None)):
        pile.add(name, where)
    before = pile.scene(shop(rooms=rooms))
    kept = {each: before.body(each) for each in "abc"}
    pile.add("a", pile.at(2000, 2000))
    after = pile.scene(shop(rooms=rooms))
    after.take_over(before, {"hall"})
    body = after.body("a")
    assert body is not None and body.centre == (2000, 2000)
    assert after.body("b") is kept["b"] is not None and after.body("c") is kept["c"] is None


def test_a_moved_fixture_stands_in_its_new_room() -> None:
    rooms = [Room("hall", "hall", box(0, 0, 5000, 5000)), Room("yard", "yard", box(6000, 0, 9000, 5000))]
    saw = Fixture("saw", "saw", "hall", box(1000, 1000, 1600, 1400), movable=True)
    pile = Pile()
    pile.more["thing"] = {"saw": {"x_mm": 7000.0, "y_mm": 2000.0, "room": "yard"}}
    scene = pile.scene(shop(rooms=rooms, fixtures=[saw]))
    assert scene.standing("hall") == []
    assert scene.standing("yard")[0].box == (6700, 1800, 7300, 2200)


def test_load_counts_what_is_in_and_on_and_says_what_is_not_weighed() -> None:
    rack = zone(
        "rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", 100), Level("2", 700, load_kg=80)]
    )
    pile = Pile()
    pile.add("tub", InZone("rack", "2"), kg=1.5)
    pile.add("bag", InGroup("tub"), kg=4)
    pile.add("shims", InGroup("bag"), kg=None)
    pile.add("lid", InGroup("tub", "on"), kg=0.5)
    pile.add("pump", InZone("rack", "2"), size=None, kg=20)
    contents = pile.scene(shop(zones=[rack])).contents("rack", "2")
    assert contents.load_kg == 26.0
    assert (contents.unweighed, contents.nested, contents.unsized) == (1, 3, 1)
    assert contents.limit_kg == 80
    assert contents.area_mm2 == 400 * 300
    assert contents.surface_mm2 == 1800 * 500


@pytest.mark.parametrize(("levels", "surface"), [
    ([Level("", 0)], 1), ([Level("1", 100), Level("2", 700)], 2), ([], 1),
])  # fmt: skip
def test_the_surface_of_a_whole_zone_is_that_of_its_levels_together(
    levels: list[Level], surface: int
) -> None:
    there = shop(zones=[zone("rack", (0, 0), (1800, 500), levels=levels, load_kg=90)])
    contents = Pile().scene(there).contents("rack")
    assert (contents.surface_mm2, contents.limit_kg) == (surface * 1800 * 500, 90)


def test_a_stack_is_as_high_as_what_stands_on_it_and_unknown_stays_unknown() -> None:
    pile = Pile()
    pile.add("pallet", InZone("hall", "", 2000, 2000), size=(1200, 800, 144))
    pile.add("block", InGroup("pallet", "on"), size=(800, 600, 700))
    pile.add("bag", InGroup("pallet", "in"), size=(100, 100, 2000))
    scene = pile.scene(shop())
    assert scene.share("pallet").height_mm == 844
    pile.add("thing", InGroup("block", "on"), size=None)
    assert pile.scene(shop()).share("pallet").height_mm is None
    body = pile.scene(shop()).body("pallet")
    assert body is not None and body.top_mm is None and not body.top_known


def test_a_circle_of_groups_ends() -> None:
    pile = Pile()
    pile.add("a", InGroup("b"))
    pile.add("b", InGroup("a"))
    scene = pile.scene(shop())
    assert list(scene.under("a")) == ["b"]
    assert scene.top_of("a") is None
    assert scene.share("a").mass_kg == 20


def test_a_tub_goes_under_a_bench_where_heights_do_not_meet() -> None:
    bench = zone("bench", (0, 0), (2000, 700), kind="bench")
    pile = Pile()
    pile.add("low", pile.at(500, 350), size=(600, 400, 849))
    pile.add("high", pile.at(1500, 350), size=(600, 400, 851))
    pile.add("odd", pile.at(1000, 350), size=(600, 400, 1), container="tub")
    scene = pile.scene(shop(zones=[bench]))
    top = next(b for b in scene.standing("hall") if b.subject == "zone:bench")
    low, high = scene.body("low"), scene.body("high")
    assert low is not None and high is not None
    assert heights_meet(low, top) is False
    assert heights_meet(top, high) is True


def test_what_is_put_on_as_well_counts_against_the_limit() -> None:
    shelf = Contents("rack", "1", load_kg=60.0, limit_kg=100.0)
    assert [shelf.too_heavy(more) for more in (0.0, 40.0, 40.001)] == [False, False, True]
    assert not Contents("rack", "1", load_kg=9e9).too_heavy(1.0), "no limit is told"


def test_a_part_is_on_its_host_while_it_is_directly_in_or_on_it() -> None:
    pile = Pile()
    pile.add("table", InZone("hall"))
    pile.add("vice", InGroup("table", "on"))
    pile.add("jaw", InGroup("vice"))
    scene = pile.scene(shop())
    assert [scene.part_on("vice", host) is not None for host in ("table", "jaw", "hall")] == [
        True,
        False,
        False,
    ]
    assert (
        scene.part_on("jaw", "table")
        is scene.part_on("table", "hall")
        is scene.part_on("no", "table")
        is None
    )


@pytest.mark.parametrize(("base_mm", "top_mm", "top_known", "shared"), [
    (0.0, 500.0, True, False), (0.0, 500.01, True, True), (0.0, None, False, None), (0.0, None, True, True),
    (500.0, None, False, True), (600.0, None, False, True), (899.99, 1000.0, True, True),
    (900.0, 1000.0, True, False), (900.0, None, False, False), (500.0, 500.01, True, True),
])  # fmt: skip
def test_heights_are_shared_or_not_or_nobody_knows(
    base_mm: float, top_mm: float | None, top_known: bool, shared: bool | None
) -> None:
    def body(*heights: Any) -> Standing:
        return Standing("group:x", "", "x", "", "hall", box(0, 0, 1, 1), *heights)

    one, other = body(base_mm, top_mm, top_known), body(500.0, 900.0)
    assert heights_meet(one, other) is heights_meet(other, one) is reaches(one, 500.0, 900.0) is shared
    assert reaches(one, 500.0, None) is (shared if base_mm < 900 else True)


def test_an_old_key_still_finds_its_zone() -> None:
    rack = zone("rack a", (0, 0), (1000, 500), kind="shelf", levels=[Level("1", 100)], was=("rack",))
    pile = Pile()
    pile.add("pump", InZone("rack", "1"))
    there = shop(zones=[rack], renamed={"rack": "rack a"})
    assert pile.scene(there).contents("rack a", "1").groups == ("pump",)


def test_an_only_level_need_not_be_named() -> None:
    rack = zone("rack", (0, 0), (1000, 500), kind="shelf", levels=[Level("top", 100)])
    pile = Pile()
    pile.add("a", InZone("rack", "top"))
    pile.add("b", InZone("rack", ""))
    scene = pile.scene(shop(zones=[rack]))
    assert set(scene.contents("rack", "").groups) == {"a", "b"}
    assert set(scene.contents("rack", "top").groups) == {"a", "b"}
    assert len(scene.contents("rack").groups) == 2


MOVES = st.lists(
    st.tuples(
        st.sampled_from(["a", "b", "c", "d"]),
        st.one_of(
            st.none(),
            st.tuples(st.floats(500, 9000), st.floats(500, 7000)).map(lambda at: InZone("hall", "", *at)),
            st.sampled_from([InZone("rack", "1"), InZone("rack", "2"), InZone("bench", "")]),
            st.sampled_from([InGroup("a"), InGroup("b", "on"), InGroup("c")]),
        ),
    ),
    max_size=4,
)


@settings(max_examples=150, deadline=None)
@given(MOVES, MOVES)
def test_a_scene_with_groups_held_elsewhere_equals_one_built_afresh(before: list, held: list) -> None:
    """The shared parts of a held scene must never show what they were."""
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", 100), Level("2", 700)])
    bench = zone("bench", (3000, 0), (1800, 500), kind="bench")
    there = shop(zones=[rack, bench])
    pile = Pile()
    for i, name in enumerate("abcd"):
        pile.add(name, None, size=(300 + i, 200, 100), kg=None if name == "c" else 1.0 + i)
    old = dict(before)
    for name, where in old.items():
        pile.add(name, where, size=(300 + "abcd".index(name), 200, 100), kg=None if name == "c" else 1.0)
    scene = pile.scene(there)
    _look(scene)  # fill what is shared
    fresh = Pile()
    fresh.groups = dict(pile.groups)
    for name, where in held:
        group = scene.group(name)
        scene = scene.with_group_at(name, where)
        size = group.size
        assert size is not None
        sides = (size.length_mm, size.width_mm, size.height_mm)
        fresh.add(name, where, size=sides, kg=None if group.mass is None else group.mass.kg)
    assert _look(scene) == _look(fresh.scene(there))


def _look(scene) -> list:
    seen: list = []
    for key, level in (("rack", None), ("rack", "1"), ("rack", "2"), ("bench", ""), ("hall", "")):
        c = scene.contents(key, level)
        seen.append((sorted(c.groups), c.nested, round(c.load_kg, 9), c.unweighed, round(c.area_mm2, 6)))
    bodies = [(b.subject, b.outline, b.base_mm, b.top_mm, b.mass_kg) for b in scene.standing("hall")]
    seen.append(sorted(bodies, key=lambda b: b[0]))
    near = scene.near("hall", Box(0, 0, 4000, 3000))
    seen.append(sorted(b.subject for b in near))
    seen.append([(g, sorted(scene.children(g)), scene.share(g).height_mm) for g in "abcd"])
    return seen


def test_a_scene_does_not_change_when_the_state_does() -> None:
    pile = Pile()
    pile.add("a", pile.at(1000, 1000))
    state = pile.state()
    scene = build(shop(), state.copy())
    state.apply({"group:a": {"where": {"zone": "hall", "x_mm": 5000.0, "y_mm": 5000.0}}}, 1)
    body = scene.body("a")
    assert body is not None and body.centre == (1000, 1000)


def test_a_whole_shop_turned_gives_turned_bodies() -> None:
    pile = Pile(Pose(3000, -2000, 37))
    pile.add("a", pile.at(1000, 1000, 10))
    body = pile.scene(shop()).body("a")
    plain = Pile()
    plain.add("a", plain.at(1000, 1000, 10))
    upright = plain.scene(shop()).body("a")
    assert body is not None and upright is not None
    c, s = math.cos(math.radians(37)), math.sin(math.radians(37))
    expected = [(3000 + x * c - y * s, -2000 + x * s + y * c) for x, y in upright.outline]
    assert [p for q in body.outline for p in q] == pytest.approx([p for q in expected for p in q])


@pytest.mark.parametrize(("outdoor", "top", "known"), [
    (False, None, True), (True, None, False), (True, 900.0, True), (False, 900.0, True),
])  # fmt: skip
def test_under_a_roof_what_has_no_top_goes_to_the_ceiling_and_outdoors_nobody_knows(
    outdoor: bool, top: float | None, known: bool
) -> None:
    saw = Fixture("saw", "saw", "hall", box(1000, 1000, 1600, 1400), top_mm=top)
    rooms = [Room("hall", "hall", box(0, 0, 5000, 5000), outdoor=outdoor)]
    (body,) = Pile().scene(shop(rooms=rooms, fixtures=[saw])).standing("hall")
    assert (body.top_mm, body.top_known) == (top, known)


@pytest.mark.parametrize(("off", "known"), [(1.0, True), (1.1, False)])
def test_a_whole_outline_told_for_moving_is_the_footprint_where_it_is_about_its_middle(
    off: float, known: bool
) -> None:
    wedge = ((-300.0 + off, -200.0), (300.0 + off, -200.0), (300.0 + off, 200.0))
    pile = Pile()
    pile.add("bed", pile.at(2000, 2000), size=(600, 400, 200))
    pile.groups["bed"][FIELD] = moving_doc(Moving(outline=wedge))
    body = pile.scene(shop()).body("bed")
    assert body is not None and (len(body.outline) == 3) is known
    pile.groups["bed"][FIELD] = moving_doc(
        Moving(outline=wedge, comes_off=(ComesOff("arm", box(0, 0, 9, 9)),))
    )
    body = pile.scene(shop()).body("bed")
    assert body is not None and len(body.outline) == 4, "it is told without what comes off"


def test_what_is_free_of_a_surface_and_how_full_it_is() -> None:
    shelf = Contents("rack", "1", area_mm2=300.0, surface_mm2=1200.0)
    assert (shelf.free_mm2, shelf.fill) == (900.0, 0.25)
    assert (replace(shelf, area_mm2=1500.0).free_mm2, replace(shelf, area_mm2=1500.0).fill) == (0.0, 1.25)
    assert (Contents("rack", "1").free_mm2, Contents("rack", "1").fill) == (0.0, 0.0)


def test_the_only_level_of_a_place_need_not_be_named_and_one_of_several_must_be() -> None:
    one = zone("rack", (0, 0), (1000, 500), levels=[Level("low", 0.0)])
    two = zone("rack", (0, 0), (1000, 500), levels=[Level("low", 0.0), Level("top", 900.0, was=("high",))])
    assert [_level_names(one, level) for level in ("", "low")] == [("", "low")] * 2
    assert _level_names(one, "top") == ("top",)
    assert [_level_names(two, level) for level in ("", "low")] == [("",), ("low",)]
    assert [_level_names(two, level) for level in ("top", "high")] == [("top", "high")] * 2


def test_things_recorded_on_each_other_in_a_circle_have_masses_and_no_height() -> None:
    pile = Pile()
    for each, on in (("a", "b"), ("b", "c"), ("c", "a"), ("d", "a")):
        pile.add(each, InGroup(on, "on"), kg=10)
    share = pile.scene(shop()).share("a")
    assert (share.mass_kg, share.height_mm) == (40, None)
