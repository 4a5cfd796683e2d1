"""Placing at its smallest: what speaks for a place, what is dropped from record, what is judged with a bench.

Figures are worked by hand from the shop that is told; 25 kg and 720 to 1090 mm: HSE INDG143.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from building import Pile, box, shop, zone

from shopbins.geometry.shapes import Pose
from shopbins.ledger.events import Draft
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InGroup, InZone, Mass, ThingPlace
from shopbins.ledger.state import State
from shopbins.placing import judging, places
from shopbins.placing.laying import lay_new
from shopbins.placing.recording import Laid, _without_gone
from shopbins.placing.shifting import shift_thing
from shopbins.records import acts
from shopbins.rules.finding import Finding
from shopbins.scene.contents import Contents
from shopbins.shop.model import Door, Fixture, Level, Room, Walkway

RACK = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", 100), Level("2", 500, load_kg=50)])
BENCH = zone("bench", (4000, 1000), (1500, 700), kind="bench", movable=True)
WAY = Walkway("way", "the way", ((0, 4000), (10_000, 4000)), 1000, least_mm=700, rooms=("hall",))


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with Ledger.open(tmp_path / "x.ledger", by="jan", prefix="T") as opened:
        yield opened


# --- what is on record of a place -------------------------------------------------------------------------


@pytest.mark.parametrize(("key", "doc", "dropped"), [
    ("walkway/walkway:w+group:A", {}, True),
    ("way-out/group:A", {"kind": "stop"}, True),
    ("overlap/group:A+group:B", {}, False),  # still found
    ("walkway/walkway:w+group:B", {}, False),  # of another thing
    ("walkway/walkway:w+group:A", {"kind": "note"}, False),
    ("walkway/walkway:w+group:A", {"kind": "condition"}, False),
])  # fmt: skip
@pytest.mark.parametrize("table", ["accepted", "override"])
def test_what_was_accepted_of_a_thing_goes_off_record_where_it_is_found_no_more(
    table: str, key: str, doc: dict[str, str], dropped: bool
) -> None:
    state = State({table: {key: {"by": "jan", **doc}}})
    found = Finding("overlap", "stop", ("group:A", "group:B"), "")
    draft = _without_gone(state, Draft("lay", {"group:x": {"code": "A"}}), "group:A", [found])
    assert draft.after == {"group:x": {"code": "A"}, **({f"{table}:{key}": None} if dropped else {})}


@pytest.mark.parametrize(("where", "pose"), [
    (InZone("hall", "", 1.0, 2.0, 90.0), {"x_mm": 1.0, "y_mm": 2.0, "turn_deg": 90.0}),
    (InZone("hall"), None), (None, None),
])  # fmt: skip
def test_only_what_lies_at_a_stated_place_has_a_pose(where: InZone | None, pose: Any) -> None:
    assert Laid(True, where, (), 1).pose == pose


def test_a_new_part_goes_to_the_level_that_is_best_for_it(ledger: Ledger) -> None:
    # 60 kg are too much for level 2
    laid = lay_new(ledger, shop(zones=[RACK]), lambda s: acts.take(s, "pump", mass=Mass(60)), InZone("rack"))
    assert laid.done and laid.group is not None
    assert ledger.state.group(laid.group).where == laid.where == InZone("rack", "1")


@pytest.mark.parametrize(("said", "level"), [("", "top"), ("top", "top"), ("upper", "top")])
def test_a_level_is_recorded_by_its_own_key(ledger: Ledger, said: str, level: str) -> None:
    shelf = zone("shelf", (0, 0), (1800, 500), kind="shelf", levels=[Level("top", 900, was=("upper",))])
    laid = lay_new(ledger, shop(zones=[shelf]), lambda s: acts.take(s, "pump"), InZone("shelf", said))
    assert laid.done and laid.where == InZone("shelf", level)


# --- shifting a bench -------------------------------------------------------------------------------------


def test_what_was_accepted_of_a_bench_holds_while_it_stays_in_the_way(ledger: Ledger) -> None:
    there = shop(zones=[BENCH], walkways=[WAY])
    assert not shift_thing(ledger, there, "bench", (4000, 3500)).done
    assert shift_thing(ledger, there, "bench", (4000, 3500), override="tonight").done
    assert shift_thing(ledger, there, "bench", (4000, 3500)).done, "it stands there, accepted"
    assert shift_thing(ledger, there, "bench", (4000, 3450)).done, "less in the way"
    assert shift_thing(ledger, there, "bench", (4000, 2000)).done
    assert not shift_thing(ledger, there, "bench", (4000, 3500)).done, "asked anew"


def test_a_way_out_shut_by_a_bench_and_accepted_stays_accepted(ledger: Ledger) -> None:
    room = Room("hall", "the hall", box(0, 0, 6000, 3000), headroom_mm=3000)
    door = Door("out", "out", "hall", "outside", ((0, 1000), (0, 2000)), 1000, 2100, "open",
                box(-200, 1000, 1, 2000), exit=True)  # fmt: skip
    bar = zone("bar", (2500, 100), (600, 2800), kind="bench", movable=True)
    there = shop(rooms=[room], zones=[bar], doors=[door])
    stopped = shift_thing(ledger, there, "bar", (2000, 1500))
    assert {f.rule for f in stopped.stops} == {"way-out"}
    assert shift_thing(ledger, there, "bar", (2000, 1500), override="nobody behind it").done
    assert shift_thing(ledger, there, "bar", (2000, 1500)).done


def test_a_bench_is_judged_with_what_lies_on_it_and_with_nothing_else() -> None:
    saw = Fixture("saw", "saw", "hall", box(5200, 1000, 6000, 2000), top_mm=1000)
    pile = Pile()
    pile.add("vice", InZone("bench", "", 1300, 350, 0, measured=True), size=(400, 300, 200))
    pile.add("crate", pile.at(9900, 7000), size=(600, 500, 500))  # through the wall: another's trouble
    there = shop(zones=[BENCH], fixtures=[saw])
    scene = pile.scene(there)
    found = {f.subjects for f in judging.judge_standing(scene, "bench", "hall") if f.grade == "stop"}
    assert found == {("fixture:saw", "zone:bench"), ("fixture:saw", "group:VICE")}
    moved = judging.judge_thing(scene, ThingPlace("bench", 4000, 5000, 0.0, "hall"))
    assert not [f for f in moved if f.grade == "stop"]


# --- what speaks for a place ------------------------------------------------------------------------------


@pytest.mark.parametrize(("height", "kg", "hopeless"), [
    (400, 10, False), (401, 10, True), (400, 50, False), (400, 50.1, True), (None, 10, False),
])  # fmt: skip
def test_sums_alone_say_that_a_level_cannot_take_it(height: float | None, kg: float, hopeless: bool) -> None:
    levels = [Level("1", 100, load_kg=50), Level("2", 500)]
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=levels)
    pile = Pile()
    pile.add("box", size=None if height is None else (300, 200, height), kg=kg)
    scene = pile.scene(shop(zones=[rack]))
    assert places._hopeless(scene, scene.group("box"), rack, levels[0]) is hopeless
    assert ("1" in {s.level for s in places.suggestions(scene, "box")}) is not hopeless


def test_what_lies_there_already_is_not_counted_twice() -> None:
    pile = Pile()
    pile.add("box", InZone("rack", "2"), kg=40)
    scene = pile.scene(shop(zones=[RACK]))
    assert not places._hopeless(scene, scene.group("box"), RACK, RACK.levels[1])


def test_a_floor_without_a_free_place_is_told_only_where_it_was_asked_for() -> None:
    pile = Pile()
    pile.add("block", pile.at(500, 500), size=(950, 950, 500))
    pile.add("slab", size=(900, 900, 100))
    scene = pile.scene(shop(rooms=[Room("hall", "the hall", box(0, 0, 1000, 1000), headroom_mm=3000)]))
    assert list(places.suggestions(scene, "slab")) == []
    (none,) = places.suggestions(scene, "slab", zone="hall")
    assert none.reason == "no free place at the turns tried: 0 and 90 deg"


def test_turns_tried_are_said_to_a_tenth_of_a_degree_in_the_places_own_frame() -> None:
    # a side of 1 up in 3 along: atan(1/3) = 18.435 deg; one a quarter turn from it adds nothing
    turned = zone("spot", (0, 0), (3000, 3000), turn=30)
    turned = replace(turned, outline=((0, 0), (3000, 1000), (2000, 4000)))
    assert (
        places.turns_tried(replace(turned, frame=Pose(0, 0, 0))) == "0, 18.4, 63.4, 90, 108.4 and 153.4 deg"
    )


@pytest.mark.parametrize(("spare", "said"), [
    (-500, ["leaves 500 mm of the way"]), (0, ["leaves all 1000 mm of the way"]),
    (300, ["leaves all 1000 mm of the way"]), (300.5, []),
])  # fmt: skip
def test_what_stands_right_beside_a_way_is_said_to_leave_it(spare: float, said: list[str]) -> None:
    pile = Pile()
    pile.add("crate", pile.at(5000, 4500 + spare + 250), size=(800, 500, 500))
    scene = pile.scene(shop(walkways=[WAY, replace(WAY, key="far", rooms=("yard",))]))
    body = scene.body("crate")
    assert body is not None
    assert list(places._ways(scene, body)) == said


def test_room_on_a_bench_is_beside_what_lies_there_as_it_is_turned() -> None:
    pile = Pile()
    pile.add("rail", InZone("bench", "", 150, 350, 90, measured=True), size=(700, 300, 100))
    pile.add("box", size=(600, 300, 200))
    scene = pile.scene(shop(zones=[BENCH]))
    level = BENCH.levels[0]
    box_ = scene.group("box")
    assert places._room_left(scene, box_, BENCH, level).startswith("room at 600,150 as things lie")
    pile.add("bar", InZone("bench", "", 900, 350, 0, measured=True), size=(1200, 120, 100))
    assert places._room_left(pile.scene(shop(zones=[BENCH])), box_, BENCH, level) == (
        "no room at quarter turns as things lie"
    )  # 1200 mm by 290 mm are left on either side of the bar
    pile.add("bar", InZone("bench", "", 900, 350, 10, measured=True), size=(1200, 120, 100))
    assert places._room_left(pile.scene(shop(zones=[BENCH])), box_, BENCH, level) == ""
    assert places._room_left(Pile().scene(shop(zones=[BENCH])), box_, BENCH, level) == ""


def test_what_stands_beside_a_part_is_not_the_bench_it_lies_on() -> None:
    pile = Pile()
    pile.add("vice", InZone("bench", "", 200, 350, 0, measured=True), size=(400, 300, 200))
    rack = zone("rack", (3000, 1000), (500, 700), kind="shelf", levels=[Level("1", 100), Level("2", 1500)])
    scene = pile.scene(shop(zones=[BENCH, rack]))
    body = scene.body("vice")
    assert body is not None
    assert places._beside(scene, body) == (pytest.approx(500), "rack")
    alone = pile.scene(shop(zones=[BENCH])).body("vice")
    assert alone is not None
    assert places._beside(pile.scene(shop(zones=[BENCH])), alone) == (2000, "")


@pytest.mark.parametrize(("high", "kg", "beside", "kin", "load", "rank"), [
    (900, 10, None, 0, 20, (0, 0, 0, 0.0, 0, 0, 0.2)),
    (900, 25, (300.0, "saw"), 2, 20, (0, 0, 2, 0.0, -2, 0, 0.7)),  # half of 600 mm beside it
    (900, 24.9, (900.0, ""), 5, 0, (0, 0, 0, 0.0, -3, 0, 0.0)),
    (1800, 10, None, 0, 0, (0, 0, 0, 0.0, 0, 1, 0.0)),  # 710 mm above the elbow
    (100, 10, None, 0, 0, (0, 0, 0, 0.0, 0, 1, 0.0)),  # 620 mm below the knuckles
    (1340, 10, None, 0, 0, (0, 0, 0, 0.0, 0, 0, 0.0)),
])  # fmt: skip
def test_how_a_place_ranks(
    high: float, kg: float, beside: Any, kin: int, load: float, rank: tuple[float, ...]
) -> None:
    pile = Pile()
    pile.add("box", kg=kg)
    scene = pile.scene(shop(zones=[RACK]))
    inside = Contents("rack", "1", limit_kg=100.0, load_kg=load)
    level, group = Level("1", high), scene.group("box")
    assert places._rank(scene, group, RACK, level, inside, beside, kin, ()) == pytest.approx(rank)


def test_what_ranks_first_is_what_stops_then_what_is_to_fix_or_too_heavy() -> None:
    pile = Pile()
    pile.add("box", kg=1)
    scene = pile.scene(shop())
    floor = scene.zones_in("hall")[-1]
    told = [Finding("overlap", "stop", ("a",), ""), Finding("walkway", "correct", ("b",), ""),
            Finding("lift", "note", ("c",), ""), Finding("full", "note", ("d",), "")]  # fmt: skip
    half = Contents("hall", "", area_mm2=50.0, surface_mm2=100.0)
    ranked = places._rank(scene, scene.group("box"), floor, Level("", 0), half, None, 0, tuple(told))
    assert ranked == (1, 2, 0, 1.0, 0, 1, 0.5)


def test_company_is_what_came_off_the_same_assembly_and_lies_in_a_place() -> None:
    pile = Pile()
    pile.add("pump", origin=("lathe", "coolant", "pump"))
    for name, where, origin in (
        ("hose", InZone("rack", "1"), ("lathe", "coolant", "hose")),
        ("tank", InZone("rack", "2"), ("lathe", "coolant", "tank", "lid")),
        ("bed", InZone("rack", "2"), ("lathe", "bed")),
        ("tap", InGroup("hose", "in"), ("lathe", "coolant", "tap")),
    ):
        pile.add(name, where, origin=origin)
    scene = pile.scene(shop(zones=[RACK]))
    assert places._kin(scene, scene.group("pump")) == {"rack": 2}


@pytest.mark.parametrize(("high", "beside", "kin", "limit", "said"), [
    (100, None, 0, None, "0.81 m2 still free, lift to 100 mm"),
    (0, None, 1, None, "1 other coolant part there, 0.81 m2 still free, on the floor"),
    (100, (250.0, "saw"), 2, 80.0, "2 other coolant parts there, 250 mm clear beside it, 20 kg of 80 kg, "
     "lift to 100 mm"),
    (301, (2000.0, ""), 0, None, "nothing within 2 m, lift to 301 mm, 199 mm over it"),
    (300, (2000.0, ""), 0, None, "nothing within 2 m, lift to 300 mm"),
])  # fmt: skip
def test_what_speaks_for_a_place(high: float, beside: Any, kin: int, limit: float | None, said: str) -> None:
    levels = (Level("1", high), Level("2", 800))
    rack = replace(RACK, levels=levels)
    pile = Pile()
    pile.add("pump", size=(400, 300, 300), origin=("lathe", "coolant", "pump"))
    scene = pile.scene(shop(zones=[rack]))
    inside = Contents("rack", "1", area_mm2=90_000, surface_mm2=900_000, limit_kg=limit, load_kg=20)
    assert places._reason(scene, scene.group("pump"), rack, levels[0], inside, beside, kin) == said


@pytest.mark.parametrize(("rule", "measured", "limit", "judged", "hard"), [
    ("lift", 25.1, 25.0, True, True), ("team", 26.0, 25.0, True, True), ("one-person", 26, 25, True, True),
    ("lift", 25.0, 25.0, True, False), ("lift", 26.0, 25.0, False, False), ("push", 26.0, 25.0, True, False),
    ("lift", None, 25.0, True, False), ("lift", 26.0, None, True, False),
])  # fmt: skip
def test_hard_to_lift_is_what_is_beyond_the_figure_of_those_on_hand(
    rule: str, measured: float | None, limit: float | None, judged: bool, hard: bool
) -> None:
    found = Finding(rule, "note", ("a",), "", measured=measured, limit=limit, judged=judged)
    assert places.hard_to_lift([Finding("full", "note", ("b",), ""), found]) is hard


@pytest.mark.parametrize(("x", "y", "turn", "size", "room"), [
    (150, 350, 90, (700, 300), "600,150"), (1350, 350, 90, (700, 300), "300,150"),
    (700, 550, 0, (1400, 300), "300,150"), (700, 150, 0, (1400, 300), "300,450"),
])  # fmt: skip
def test_what_lies_on_a_bench_takes_its_own_sides_about_its_middle(
    x: float, y: float, turn: float, size: tuple[float, float], room: str
) -> None:
    pile = Pile()
    pile.add("rail", InZone("bench", "", x, y, turn, measured=True), size=(*size, 100))
    pile.add("box", size=(600, 300, 200))
    scene = pile.scene(shop(zones=[BENCH]))
    said = places._room_left(scene, scene.group("box"), BENCH, BENCH.levels[0])
    assert said.startswith(f"room at {room} as things lie")


@pytest.mark.parametrize(("rule", "grade", "unasked", "asked"), [
    ("walkway", "correct", False, True), ("walkway", "note", True, True), ("full", "correct", True, True),
    ("full", "stop", False, True),
])  # fmt: skip
def test_a_place_in_the_way_is_offered_only_where_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch, rule: str, grade: Any, unasked: bool, asked: bool
) -> None:
    found = Finding(rule, grade, ("a",), "")
    one = places.Suggestion("rack", "1", InZone("rack", "1"), "", (found,), (1.0,))
    best = replace(one, level="2", findings=(), rank=(0.0,))
    monkeypatch.setattr(places, "suggestions", lambda *of, **how: [one, best])
    scene = Pile().scene(shop(zones=[RACK]))
    for zone_, there in ((None, unasked), ("rack", asked)):
        assert places.best_places(scene, "box", zone=zone_) == [best, *([one] if there else [])]
    assert places.best_places(scene, "box", zone="rack", most=1) == [best]
