"""The way out of a room: 1 mm in and out of its limits, turned and shifted; judge and audit agree."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from building import HERE, Pile, box, elsewhere, shop
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.shapes import Pose
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone, Mass, Size, ThingPlace
from shopbins.placing.judging import judge, judge_thing
from shopbins.placing.laying import lay_down
from shopbins.placing.shifting import shift_thing
from shopbins.records import acts
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding
from shopbins.scene.scene import Scene, build
from shopbins.shop.model import Door, Fixture, Limits, Room, Shop

TODAY = date(2026, 3, 1)
US_MM = 711.2
"""28 in, 29 CFR 1910.36(g)(2)."""

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000))
STORE = Room("store", "the store", box(10_200, 0, 14_000, 5000))


def door(
    key: str, room: str, to: str, x: float, low: float, width: float, wall: float, **more: object
) -> Door:
    """An opening in a wall that runs up, at the right of its room."""
    return Door(
        key, f"the {key}", room, to, ((x, low), (x, low + width)), width, 2000, "open",
        box(x - 1, low, x + wall + (1 if to != "outside" else 0), low + width), **more,
    )  # fmt: skip


EXIT = door("exit", "hall", "outside", 10_000, 6000, 1200, 250, exit=True)
INNER = door("inner", "hall", "store", 10_000, 1000, 1000, 200)
FIELDS = Door.__dataclass_fields__


def barred(pile: Pile, gap: float, name: str = "crate") -> None:
    """A bar across the hall near its right end but for a gap to what else stands there."""
    pile.add("other", pile.at(7500, 2000), size=(400, 4000, 500))
    pile.add(name, pile.at(7500, 4000 + gap + (4000 - gap) / 2), size=(400, 4000 - gap, 500))


def by_shop_limit(pile: Pile, over: float) -> Shop:
    barred(pile, 800 - over)
    return shop(rooms=[HALL], doors=[EXIT], limits=Limits(exit_mm=800, walkway_mm=600))


def by_walkway_limit(pile: Pile, over: float) -> Shop:
    barred(pile, 600 - over)
    return shop(rooms=[HALL], doors=[EXIT], limits=Limits(walkway_mm=600), rules="eu")


def published_us(pile: Pile, over: float) -> Shop:
    barred(pile, US_MM - over)
    return shop(rooms=[HALL], doors=[EXIT], rules="us")


def published_uk(pile: Pile, over: float) -> Shop:
    barred(pile, 750 - over)
    return shop(rooms=[HALL], doors=[EXIT], rules="uk")


CASES: dict[str, tuple[Callable[[Pile, float], Shop], float]] = {
    "limits.exit": (by_shop_limit, 800),
    "limits.walkway": (by_walkway_limit, 600),
    "28 in under us": (published_us, US_MM),
    "750 mm under uk": (published_uk, 750),
}
poses = st.builds(Pose, st.floats(-30_000, 30_000), st.floats(-30_000, 30_000), st.floats(0, 360))


def judged(scene: Scene, who: str) -> list[Finding]:
    where = scene.group(who).where
    assert isinstance(where, InZone)
    return [f for f in judge(scene, who, where, thorough=True) if f.rule == "way-out"]


def audited(scene: Scene, tag: str = "") -> list[Finding]:
    return [f for f in audit(scene, TODAY) if f.rule == "way-out" and (not tag or tag in f.subjects)]


@pytest.mark.parametrize("name", CASES)
@settings(max_examples=6, deadline=None)
@given(pose=poses)
def test_1_mm_under_is_a_stop_and_the_limit_itself_is_not(name: str, pose: Pose) -> None:
    case, limit = CASES[name]
    for here in (HERE, pose):
        for over in (-1.0, 0.0, 1.0):
            pile = Pile(here)
            scene = build(elsewhere(case(pile, over), here), pile.state())
            (seen,) = judged(scene, "crate")
            assert [advised_elsewhere(seen)] == [advised_elsewhere(each) for each in audited(scene)]
            assert seen.grade == "note" or seen.remedy == "put crate elsewhere", "it is in the hand"
            assert seen.grade == ("stop" if over > 0 else "note"), (over, seen)
            assert seen.measured == pytest.approx(limit - over, abs=0.001)
            assert seen.limit == pytest.approx(limit)
            assert seen.subjects == ("room:hall", "group:CRATE", "group:OTHER")
            assert "crate" in seen.text and "other" in seen.text and seen.remedy and seen.source
            assert not [f for f in judge(scene, "crate", scene.group("crate").where) if f.rule == "way-out"]  # type: ignore[arg-type]


def test_under_own_the_published_width_is_advice() -> None:
    pile = Pile()
    barred(pile, US_MM - 1)
    (seen,) = audited(pile.scene(shop(rooms=[HALL], doors=[EXIT])))
    assert (seen.grade, seen.judged, seen.limit, seen.source) == ("note", False, None, "")
    assert "1910.36" in seen.text and seen.gap == "breaks"


def test_from_a_room_behind_the_narrow_place_is_named_where_it_is() -> None:
    pile = Pile()
    pile.add("crate", pile.at(9500, 500), size=(400, 1000, 500))  # 300 left of the wall before the inner door
    there = shop(rooms=[HALL, STORE], doors=[EXIT, INNER], limits=Limits(exit_mm=800))
    found = {f.subjects[0]: f for f in audited(pile.scene(there))}
    assert found["room:hall"].grade == "note" and found["room:hall"].measured == pytest.approx(1200)
    assert found["room:store"].measured == pytest.approx(1000) and found["room:store"].grade == "note"
    pile.add("crate", pile.at(9500, 1200), size=(400, 2400, 500))
    (seen,) = audited(pile.scene(there), "group:CRATE")
    assert seen.subjects[0] == "room:store" and seen.grade == "stop"
    assert seen.measured == pytest.approx(300) and seen.room == "hall"
    assert "the way out of the store to the exit is 300 mm at its narrowest" in seen.text


def test_another_exit_further_away_makes_it_only_to_correct() -> None:
    back = Door(
        "back", "the back door", "hall", "outside", ((0, 1000), (0, 2000)), 1000, 2000, "open",
        box(-250, 1000, 1, 2000), exit=True,
    )  # fmt: skip
    far = Door(**{**{name: getattr(back, name) for name in FIELDS}, "jambs": ((0, 7000), (0, 7900)),
                  "passage": box(-250, 7000, 1, 7900), "clear_width_mm": 900.0})  # fmt: skip
    pile = Pile()
    barred(pile, 0.0)  # the hall is cut in two, the larger part has the back door
    both = shop(rooms=[HALL], doors=[EXIT, back], limits=Limits(exit_mm=800))
    (seen,) = audited(pile.scene(both))
    assert seen.grade == "note" and "the back door" in seen.text
    pile.add("chest", pile.at(200, 1500), size=(400, 1000, 500))
    (seen,) = audited(pile.scene(both))
    assert seen.grade == "stop" and seen.measured == pytest.approx(0), "neither exit can be got to"
    pile = Pile()
    pile.add("bar", pile.at(9400, 3875), size=(400, 7750, 500))
    pile.add("chest", pile.at(1500, 3000), size=(3000, 6000, 500))
    (seen,) = audited(pile.scene(shop(rooms=[HALL], doors=[EXIT, far], limits=Limits(exit_mm=800))))
    assert seen.grade == "correct" and "further, 900 mm" in seen.text and seen.measured == pytest.approx(250)


def test_shut_ways_rooms_without_exits_and_full_rooms() -> None:
    pile = Pile()
    barred(pile, 0.0)
    (seen,) = audited(pile.scene(shop(rooms=[HALL], doors=[EXIT], rules="eu")))
    assert seen.grade == "stop" and seen.measured == 0 and "shut" in seen.text
    lone = shop(rooms=[HALL, STORE], doors=[EXIT], limits=Limits(exit_mm=800))
    found = {f.subjects: f for f in audited(Pile().scene(lone))}
    assert found[("room:store",)].grade == "stop" and "no exit can be reached" in found[("room:store",)].text
    (seen,) = audited(Pile().scene(shop(rooms=[HALL, STORE], doors=[INNER])))
    assert (seen.grade, seen.subjects) == ("note", ("shop",))
    assert seen.remedy.startswith("write exit: yes") and not seen.judged
    pile = Pile()
    pile.add("block", pile.at(12_100, 2500, room="store"), size=(3800, 5000, 500))
    both = shop(rooms=[HALL, STORE], doors=[EXIT, INNER], limits=Limits(exit_mm=800))
    found = {f.subjects: f for f in audited(pile.scene(both))}
    assert found[("room:store",)].grade == "correct"


def test_the_building_itself_is_to_correct_and_a_small_spot_too() -> None:
    narrow = door("inner", "hall", "store", 10_000, 1000, 650, 200)
    there = shop(rooms=[HALL, STORE], doors=[EXIT, narrow], limits=Limits(exit_mm=800))
    found = {f.subjects[0]: f for f in audited(Pile().scene(there))}
    seen = found["room:store"]
    assert (seen.grade, seen.measured) == ("correct", pytest.approx(650))
    assert seen.subjects == ("room:store", "door:inner") and "opening of the inner" in seen.text
    pile = Pile()
    pile.add("rows", pile.at(12_100, 2800, room="store"), size=(3800, 4400, 500))
    roomy = shop(rooms=[HALL, STORE], doors=[EXIT, INNER], limits=Limits(exit_mm=800))
    seen = {f.subjects[0]: f for f in audited(pile.scene(roomy))}["room:store"]
    assert seen.grade in ("correct", "stop") and seen.measured is not None and seen.measured <= 601


# --- audit and judge --------------------------------------------------------------------------------------


def strewn(seed: int, count: int, pose: Pose) -> Scene:
    pick = random.Random(seed)
    pile = Pile(pose)
    for i in range(count):
        room = pick.choice((HALL, STORE))
        xs, ys = [p[0] for p in room.outline], [p[1] for p in room.outline]
        at = pile.at(pick.uniform(xs[0], max(xs)), pick.uniform(0, max(ys)), pick.uniform(0, 180), room.key)
        pile.add(f"g{i}", at, size=(pick.uniform(300, 2500), pick.uniform(200, 900), pick.uniform(200, 900)))
    there = shop(rooms=[HALL, STORE], doors=[EXIT, INNER], limits=Limits(exit_mm=800))
    return build(elsewhere(there, pose), pile.state())


def advised_elsewhere(finding: Finding) -> Finding:
    """What is in the hand is put elsewhere, what stands there is shifted: the rest of both is one."""
    return replace(finding, remedy="")


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 40), st.floats(0, 360))
def test_audit_and_judge_find_the_same_of_a_thing(seed: int, count: int, turn: float) -> None:
    scene = strewn(seed, count, Pose(40, -90, turn))
    every = [advised_elsewhere(f) for f in audited(scene)]
    named = {tag for f in every for tag in f.subjects if tag.startswith("group:")}
    for i in range(min(count, 12)):
        mine = [advised_elsewhere(f) for f in judged(scene, f"g{i}")]
        assert all(f in every for f in mine)
        assert [f for f in every if f"group:G{i}" in f.subjects] == [
            f for f in mine if f"group:G{i}" in f.subjects
        ]
    for tag in named:
        held = [advised_elsewhere(f) for f in judged(scene, tag.partition(":")[2].lower())]
        assert [f for f in held if tag in f.subjects] == [f for f in every if tag in f.subjects]


def test_a_thing_that_only_shuts_the_wider_way_past_is_told_though_another_pair_is_narrower() -> None:
    """Between 'left' and 'right' 700 are left, past 'right' 1200 to the wall, until the crate fills those."""
    pile = Pile()
    pile.add("left", pile.at(7500, 2000), size=(400, 4000, 500))
    pile.add("right", pile.at(7500, 5750), size=(400, 2100, 500))
    there = shop(rooms=[HALL], doors=[EXIT], limits=Limits(exit_mm=800))
    (before,) = audited(pile.scene(there))
    assert before.grade == "note" and before.measured == pytest.approx(1200)
    pile.add("crate", pile.at(7500, 7400), size=(400, 1100, 500))
    scene = pile.scene(there)
    (seen,) = judged(scene, "crate")
    assert [advised_elsewhere(seen)] == [advised_elsewhere(each) for each in audited(scene)]
    assert seen.grade == "stop" and seen.measured == pytest.approx(700)
    assert seen.subjects == ("room:hall", "group:LEFT", "group:RIGHT")


# --- recorded ---------------------------------------------------------------------------------------------


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with Ledger.open(tmp_path / "x.ledger", by="jan", prefix="T") as opened:
        yield opened


def test_laying_down_and_shifting_refuse_what_narrows_the_way_out(ledger: Ledger) -> None:
    saw = Fixture("saw", "the saw", "hall", box(7300, 0, 7700, 4000), movable=True, top_mm=900)
    there = shop(rooms=[HALL], doors=[EXIT], fixtures=[saw], limits=Limits(exit_mm=800))
    event = ledger.transact(lambda s: acts.take(s, "beam", size=Size(400, 3100, 500), mass=Mass(10)))
    beam = event.subjects[0].partition(":")[2]
    refused = lay_down(ledger, there, beam, InZone("hall", "", 7500, 6250, measured=True))
    assert not refused.done and [f.rule for f in refused.stops] == ["way-out"]
    assert refused.stops[0].measured == pytest.approx(700)
    laid = lay_down(ledger, there, beam, InZone("hall", "", 7500, 6450, measured=True))
    assert not laid.stops, laid.stops
    assert {f.rule for f in laid.findings} >= {"outside"} or laid.done
    assert lay_down(
        ledger, there, beam, InZone("hall", "", 7500, 6350, measured=True), override="tonight"
    ).done
    nearer = shift_thing(ledger, there, "saw", (7500, 2100), 0.0)
    assert not nearer.done and [f.rule for f in nearer.stops] == ["way-out"]
    assert nearer.stops[0].measured == pytest.approx(700)
    scene = build(there, ledger.state)
    assert not judge_thing(scene, ThingPlace("saw", 7500, 2100, 0.0, "hall"))


def test_the_place_chosen_keeps_the_way_out_open_where_one_does(tmp_path: Path) -> None:
    press = Fixture("press", "press", "hall", box(3500, 1400, 4500, 2350))
    exit_door = door("exit", "hall", "outside", 6000, 1200, 1100, 200, exit=True)
    small = shop(
        rooms=[Room("hall", "the hall", box(0, 0, 6000, 2350))],
        doors=[exit_door],
        fixtures=[press],
        limits=Limits(exit_mm=900, walkway_mm=700),
    )
    with Ledger.open(tmp_path / "l", by="t", prefix="T") as ledger:
        for number in range(6):
            size = Size(800.0, 600.0, 500.0)
            event = ledger.transact(
                lambda state, n=number, s=size: acts.take(state, f"crate {n}", size=s, mass=Mass(30.0))
            )
            laid = lay_down(ledger, small, event.subjects[0].partition(":")[2], InZone("hall"))
            assert laid.done, [f.text for f in laid.findings]


@pytest.mark.parametrize(("top", "stops"), [(10.0, 0), (10.1, 1)])
def test_a_cover_that_lies_flat_in_the_floor_is_walked_on(top: float, stops: int) -> None:
    """A channel right across the hall before its exit: up to 10 mm high (own figure) one walks over it, as
    over a covered drain; higher it shuts the way.
    """
    channel = Fixture("channel", "the channel", "hall", box(8000, 0, 8400, 8000), top_mm=top, load_kg=400)
    it = shop(rooms=[HALL], doors=[EXIT], fixtures=[channel], limits=Limits(exit_mm=800, walkway_mm=600))
    found = audited(build(it, Pile(HERE).state()))
    assert [f.grade for f in found if f.grade != "note"] == ["stop"] * stops
