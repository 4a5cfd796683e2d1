"""Gear that takes more work than the answer: worked out after it, and nothing hangs on waiting for it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Part, Verdict
from shopbins.desk import Desk
from shopbins.geometry.shapes import Pose
from shopbins.moves.attempt import Job
from shopbins.moves.crests import CREST
from shopbins.moves.finding import Ask, row_of
from shopbins.moves.fitted import UNDER
from shopbins.moves.gearsearch import Search
from shopbins.moves.legs import Leg
from shopbins.moves.option import Option, Worked
from shopbins.moves.plan import Plan
from shopbins.moves.planning import _best, _dearer, _left, reasons
from shopbins.moves.room import FORKS, PERSON
from shopbins.moves.standing import TIPS
from shopbins.moves.ways_out import WAY
from shopbins.reports.movesheet import sheet_text
from shopbins.shop.model import Room
from tests.moves.weir import FOUR, OUTLINE, PLAIN, SKATES, TRUCK, B, move, of, shop, shop_text

OPEN = "height: 2.2 m, threshold: 0"
STACK = "comes off=stack; 0,0 200x200mm; 1500 to 1700; 130kg; 30 min"
KNOWN = (OUTLINE, "height=1500mm", "opening=420mm", "under=110mm", "cg=0,0", "cg height=700mm", *FOUR, STACK)


def a_search() -> Search:
    """Return a search of nothing, that never ends for want of time."""
    none: Any = None
    job = Job(none, none, None, 0.0, frozenset(), math.inf)
    return Search(none, "", none, "", "tonight", False, job, none, lambda _row: None)


def two_gears(folder: Path, door: str) -> Desk:
    gear = {"skates": SKATES, "narrow truck": TRUCK}
    return shop(folder, shop_text(mid=f"height: {door}, threshold: 0", gear=gear), KNOWN)


def test_the_answer_comes_first_and_the_dearer_beside_it_later(tmp_path: Path) -> None:
    """1700 with its stack on, 110 of skates under it, a door of 1780: 30 mm too high (sums)."""
    so_far: list[Plan] = []
    plan = move(two_gears(tmp_path, "1780 mm"), first=so_far.append)
    (early,) = so_far
    assert early.looking == ("skates",) and not plan.looking
    assert early.gear.gear.key == plan.gear.gear.key == "narrow truck"
    assert [p.text for p in early.answer.parts] == [p.text for p in plan.answer.parts]
    skates = next(t for t in plan.tried if t.gear == "skates")
    assert skates.answer == "does not go" and "30 mm too high" in skates.reason


def test_what_goes_with_more_work_says_so(tmp_path: Path) -> None:
    plan = move(two_gears(tmp_path, "2200 mm"))
    skates, truck = (next(t for t in plan.tried if t.gear == key) for key in ("skates", "narrow truck"))
    assert skates.answer == truck.answer == "goes only with"
    assert skates.minutes >= 40 > truck.minutes  # both ends jacked up and down, 10 min each
    assert plan.gear.gear.key == "narrow truck"


def test_dearer_gear_that_lacks_figures_is_named_and_not_searched() -> None:
    """For want of a figure it is not decided whatever its way, and no better than what goes (own order)."""
    search = a_search()
    gear: Any = [
        SimpleNamespace(key=key, name=key, kind="skates") for key in ("told", "asked", "shut", "best")
    ]
    told, asked, shut, best = gear

    def option(on: Any, verdict: Verdict) -> Option:
        return Option(on, search.scene, search.scene, 40.0, (Part(verdict, "x"),))  # type: ignore[arg-type]

    left = {
        "told": [option(told, Verdict.ASKED), option(told, Verdict.OPEN)],
        "asked": [option(asked, Verdict.OPEN), option(asked, Verdict.NO)],
        "shut": [option(shut, Verdict.NO)],
        "best": [option(best, Verdict.ASKED)],
    }
    of_gear: Any = {"best": None}
    assert _dearer(search.job, of_gear, left) == {"told": left["told"][:1]}
    assert list(search.job.missed) == ["asked: its way, as figures lack (--gear tells)"]
    side = _left(left["asked"][0], Worked(left["best"][0], None, (), 12.0))
    assert (side.answer, side.reason) == ("not looked at further", "x; at least 40 min of work, 12 as chosen")


def test_who_stops_waiting_keeps_the_answer_and_what_was_not_looked_at_is_named(tmp_path: Path) -> None:
    so_far: list[Plan] = []
    desk = two_gears(tmp_path, "1780 mm")
    plan = move(desk, first=so_far.append, cancelled=lambda: bool(so_far))
    assert [p.text for p in so_far[0].answer.parts] == [p.text for p in plan.answer.parts]
    assert any(each.startswith("skates") for each in plan.as_json()["not_judged"])
    assert any(each.startswith("skates") for each in so_far[0].stopped().as_json()["not_judged"])
    assert not so_far[0].stopped().looking


@pytest.mark.parametrize("turned", [False, True])
def test_of_gear_that_none_goes_on_the_one_that_lacks_least_heads_the_answer(
    tmp_path: Path, turned: bool
) -> None:
    """1200 kg: a truck for 1.1 t lacks 100, a crane for 1 t 200, skates 328 of 608 each, two people 1167."""
    gear = {
        "two of us": "{kind: by hand, people: 2}",
        "crane": "{kind: engine crane, size: [1550, 1000], body: 250, height: 1.55 m, inside: 1200, "
        "legs: 160, hook: 2.3 m, mass: 88 kg, reach: {900 mm: 1 t}, turning radius: 1600, wheel: 90}",
        "small truck": TRUCK.replace("2.3 t", "1.1 t"),
        "skates": SKATES.replace("1.5 t", "280 kg"),
    }
    order = dict(reversed(gear.items())) if turned else gear
    desk = shop(tmp_path, shop_text(gear=order), (*PLAIN, *FOUR))
    plan = move(desk)
    assert plan.word == "does not go" and plan.gear.gear.key == "small truck"
    assert plan.would_go == ("pallet truck for at least 1.2 t",)
    text = "\n".join(sheet_text(desk.scene(), plan))
    assert "nearest to going: small truck" in text


def test_gear_that_its_plate_forbids_is_no_nearer_where_it_has_no_way_either(tmp_path: Path) -> None:
    """700 and 5 of measuring in a doorway of 650: 55 mm lack on the truck; the crane, which lacks a sixth of
    what it would have to hold, is wider still.
    """
    gear = {
        "crane": "{kind: engine crane, size: [1550, 1000], body: 250, height: 1.55 m, inside: 800, "
        "legs: 160, hook: 2.3 m, mass: 88 kg, reach: {900 mm: 1 t}, turning radius: 1600, wheel: 90}",
        "narrow truck": TRUCK,
    }
    text = shop_text(gear=gear).replace("[5000, 2650]", "[5000, 2150]")
    plan = move(shop(tmp_path, text, (*PLAIN, *FOUR)))
    assert plan.gear.gear.key == "narrow truck" and "about 55 mm too wide" in plan.headline
    crane = next(t for t in plan.tried if t.gear == "crane")
    assert "1 t at most" in crane.reason and "does not get through" in crane.reason


def test_the_side_whose_way_meets_least_is_tried_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """None is looked at after one that meets nothing and turns on no slope: least there is (definition)."""
    looked: list[tuple[bool, float]] = []

    def glance(_search: Search, side: tuple[bool, float]) -> tuple[bool, float]:
        looked.append(side)
        return side

    def sides(*meet: float, turned: bool = False) -> list[tuple[bool, float]]:
        return [(turned, each) for each in meet]

    monkeypatch.setattr(Search, "glance", glance)
    search: Any = object.__new__(Search)
    assert search.first_side(sides(math.inf, 300.0, 200.0, 250.0)) == (False, 200.0)
    assert search.first_side(sides(math.inf, math.inf)) == (False, math.inf)
    looked.clear()
    assert search.first_side(sides(300.0, 0.0, 5.0)) == (False, 0.0) and looked == sides(300.0, 0.0)
    assert search.first_side([*sides(0.0, turned=True), *sides(300.0)]) == (False, 300.0)


def test_every_side_is_worked_out_before_a_turn_on_a_slope_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Makers' handbooks: not turned on a slope; so a side that spares it comes first, if it takes longer
    (the order: own).
    """
    truck: Any = SimpleNamespace(key="truck", name="truck", kind="pallet truck")
    body: Any = SimpleNamespace(off=(), base=True)
    answer: Any = SimpleNamespace(spare=False, across=False)
    parts = ((WAY.only((), name, name),) for name in "adbc")
    far, steep, near, last = (Option(truck, body, answer, 0.0, part) for part in parts)
    worked = {
        "a": Worked(far, None, far.parts, 2.0, turned=True),
        "b": Worked(near, None, near.parts, 3.0),
        "c": Worked(last, None, last.parts, 1.0),
    }
    asked: list[str] = []

    def work(_search: Search, side: Option) -> Worked:
        asked.append(side.parts[0].text)
        return worked[side.parts[0].text]

    monkeypatch.setattr(Search, "options", lambda *_: iter((far, steep, near, last)))
    monkeypatch.setattr(Search, "first_side", lambda *_: far)
    monkeypatch.setattr(Search, "work", work)
    monkeypatch.setattr(Search, "never_level", lambda _search, side: side is steep)
    best, _, left = _best(a_search(), [truck])
    assert best is worked["b"] and asked == ["a", "b"]
    assert left == {"truck": [steep, last]}  # once one goes that turns on the level, it settles the gear


def test_no_glance_is_cast_at_sides_that_cannot_be_better(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is not decided whatever its way comes after what goes (the order: own)."""
    search = a_search()
    gears: Any = [SimpleNamespace(key=key, name=key, kind="pallet truck") for key in ("goes", "asks")]
    answer: Any = SimpleNamespace(spare=False, across=False)
    body: Any = SimpleNamespace(off=(), base=True)

    def options(_search: Search, gear: Any) -> list[Option]:
        part = WAY.only((), "x", "x") if gear.key == "goes" else Part(Verdict.OPEN, "x")
        return [Option(gear, body, answer, 0.0, (part,)) for _ in range(2)]

    looked: list[str] = []

    def first_side(_search: Search, sides: list[Option]) -> Option:
        looked.extend(side.gear.key for side in sides)
        return sides[0]

    monkeypatch.setattr(Search, "options", options)
    monkeypatch.setattr(Search, "first_side", first_side)
    monkeypatch.setattr(Search, "work", lambda _search, side: Worked(side, None, side.parts, 5.0))
    best, _, left = _best(search, gears)
    assert best.option.gear.key == "goes" and list(left) == ["goes", "asks"]
    assert looked == ["goes", "goes"]


@pytest.mark.parametrize(
    ("worked", "by_route", "never"),
    [
        (Verdict.NO, (Verdict.NO, Verdict.NO), True),
        (Verdict.NO, (Verdict.NO, Verdict.OPEN), False),  # the other way by doors may do
        (Verdict.OPEN, (Verdict.NO, Verdict.NO), False),  # told more of than that
        (None, (Verdict.NO, Verdict.NO), False),  # what lacks on the way is said of one of its sides
    ],
)
def test_one_side_is_worked_out_of_gear_that_no_way_by_any_door_is_for(
    worked: Verdict | None, by_route: tuple[Verdict, ...], never: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A sill that its gear does not take it takes from no side (definition)."""
    search = a_search()
    truck: Any = SimpleNamespace(key="truck", name="truck", kind="pallet truck")
    body: Any = SimpleNamespace(off=(), base=True)
    answer: Any = SimpleNamespace(across=False)
    side = Option(truck, body, answer, 0.0, ())
    if worked is not None:
        search.worked["truck", frozenset(), True] = Worked(side, None, (Part(worked, "x"),), 0.0)
    monkeypatch.setattr(Search, "routes", lambda *_: list(by_route))
    monkeypatch.setattr(Search, "situation", lambda _search, _body, _answer, route: route)
    monkeypatch.setattr("shopbins.moves.gearsearch._on_any_way", lambda verdict: [Part(verdict, "sill")])
    assert search.no_nearer(side) is never


def test_of_sides_that_do_not_go_one_it_goes_under_comes_first() -> None:
    """30 mm lack between the feet of one end, whose way was not looked for; from a side it finds none."""
    truck: Any = SimpleNamespace(key="truck", name="truck", kind="pallet truck")
    side = Option(truck, None, None, 0.0, ())  # type: ignore[arg-type]
    attempt: Any = SimpleNamespace(found=SimpleNamespace(path=(), clearance_mm=None))
    under = UNDER.no(("group:x",), "too narrow", measured=-30.0, limit=0.0, unit="mm")
    end = Worked(side, None, (under,), 0.0)
    no_way = Worked(side, attempt, (WAY.no(("group:x",), "no way"),), 0.0)
    assert no_way.on_its_gear < end.on_its_gear


def test_what_was_not_looked_at_with_a_part_off_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    search = a_search()
    search.job.missed["truck: so far"] = None
    found: Any = SimpleNamespace(on_its_gear=())

    def work(it: Search, _option: Any) -> Any:
        it.job.missed["truck: more spots in far"] = None
        return found

    monkeypatch.setattr(Search, "_work", work)
    for off in ((), ("table", "head")):
        parts = tuple(SimpleNamespace(name=name, called=name) for name in off)
        gear: Any = SimpleNamespace(key="t")
        body: Any = SimpleNamespace(off=parts, base=True)
        search.work(Option(gear, body, gear, 0.0, ()))
    assert list(search.job.missed) == [
        "truck: so far",
        "truck: more spots in far",
        "truck: more spots in far, with table and head off",
    ]


LEG: Any = Leg(Room("a", "a", ()), None, (Pose(0, 0, 0), Pose(0, 0, 90)))
ROLLS: Any = Leg(Room("a", "a", ()), 0.0, (Pose(0, 0, 0), Pose(900, 0, 0)))


@pytest.mark.parametrize(
    ("verdict", "legs", "pads", "asked"),
    [
        (Verdict.YES, (ROLLS,), (), False),
        (Verdict.YES, (ROLLS, LEG), (), True),  # set round: across it may not be
        (Verdict.AGAIN, (ROLLS, LEG), (), True),
        (Verdict.OPEN, (), (), True),  # no way found along
        (Verdict.NO, (), (), False),  # proved of it turned and slid anyhow: whatever it is set on
        (Verdict.NO, (), ((0.0, 0.0),), True),  # but not of skates that stick out: across they do elsewhere
    ],
)
def test_gear_set_across_is_asked_for_only_where_it_may_spare_something(
    verdict: Verdict,
    legs: tuple[Leg, ...],
    pads: tuple[Any, ...],
    asked: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A way rolled along itself with no turn is as little work as any (own figures)."""
    skates: Any = SimpleNamespace(key="skates", name="skates", kind="skates")
    body: Any = SimpleNamespace(off=(), base=True)
    sides: Any = [SimpleNamespace(spare=False, across=each) for each in (False, True)]
    along, across = (Option(skates, body, side, 40.0, ()) for side in sides)
    gear, found = SimpleNamespace(set_round=pads), SimpleNamespace(path=legs, clearance_mm=1.0)
    attempt: Any = SimpleNamespace(verdict=verdict, gear=gear, found=found)
    parts = (Part(min(verdict, Verdict.AGAIN), "x"),)
    worked = {id(o): Worked(o, attempt, parts, 40.0, legs) for o in (along, across)}
    worked[id(across)] = replace(worked[id(across)], minutes=30.0)
    monkeypatch.setattr(Search, "options", lambda *_: iter((along, across)))
    monkeypatch.setattr(Search, "glance", lambda *_: (False, 0.0))
    monkeypatch.setattr(Search, "_work", lambda _search, side: worked[id(side)])
    best, _, _ = _best(a_search(), [skates])
    assert best.option is (across if asked else along)


@pytest.mark.parametrize(
    ("seen", "sought", "never"),
    [
        ((True, 300.0), True, True),
        ((False, 300.0), True, False),
        ((True, math.inf), True, False),  # another way than that at a glance may be level
        ((True, 300.0), False, False),
    ],
)
def test_a_side_turned_on_a_slope_with_nothing_loose_there_is_spared(
    seen: tuple[bool, float], sought: bool, never: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stands about opens no way (definition), so where all ways were looked for none is level."""
    monkeypatch.setattr(Search, "glance", lambda *_: seen)
    monkeypatch.setattr("shopbins.moves.gearsearch.turned_where_told", lambda _answer: sought)
    search: Any = object.__new__(Search)
    side: Any = SimpleNamespace(answer=None)
    assert search.never_level(side) is never


def test_what_its_plate_forbids_is_not_driven_where_it_gets_through_turned_anyhow(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every way on a turning radius is one turned anyhow, so only what does not go so is proved (theorem)."""
    text = shop_text(gear={"narrow truck": TRUCK.replace("2.3 t", "1 t")})
    desk = shop(tmp_path, text, (*PLAIN, *FOUR))
    monkeypatch.delattr("shopbins.moves.attempt.steer")
    plan = move(desk)
    assert plan.verdict is Verdict.NO and "1 t at most" in plan.headline
    assert not of(plan, "move-way")


def test_hands_are_never_nearest_to_what_is_a_hundred_times_too_heavy(tmp_path: Path) -> None:
    """A truck lacks a line on 1 in 15; two people lift 33.3 kg by HSE L23, paragraph 120, not 1.2 t."""
    slope = f"{B}, slope: {{fall: 1 in 15, towards: 0}}"
    gear = {"narrow truck": TRUCK[:-1] + ", steepest: 1 in 12}", "us": "{kind: by hand, people: 2}"}
    plan = move(shop(tmp_path, shop_text(a=f"{B}, slope: none", b=slope, mid=OPEN, gear=gear)))
    assert plan.verdict is Verdict.NO and plan.gear.gear.key == "narrow truck"


def test_what_lacks_behind_the_forks_is_told_once(tmp_path: Path) -> None:
    """The forks need 1150 + 400 + 500 mm behind them (lengths as told, ISO 13854), 1500 are there."""
    gear = {"narrow truck": TRUCK}
    plan = move(shop(tmp_path, shop_text(mid=OPEN, gear=gear), at=(1800, 2000, 90)))
    assert [row_of(p).finding.text.count("2050 mm straight behind it") for p in plan.stops] == [1]


def test_one_question_open_for_several_checks_is_said_once() -> None:
    ask = Ask("where are its feet?", "feet=", 1)
    parts = [CREST.open(("a",), "one", ask), CREST.open(("b",), "other", ask), CREST.note(("c",), "third")]
    assert reasons(parts, Verdict.OPEN) == "where are its feet?"
    assert reasons(parts, Verdict.NO) == ""


def test_where_little_tilt_is_left_the_side_with_most_of_it_comes_before_one_of_less_work() -> None:
    """Below `tip reserve` every side is looked at; at or over it the first that goes settles it."""
    side: Any = SimpleNamespace(hung=False, gear=SimpleNamespace(kind="pallet truck"))
    goes: Any = SimpleNamespace(found=SimpleNamespace(clearance_mm=9.0, path=(1,)), verdict=Verdict.YES)

    def worked(left_deg: float, minutes: float) -> Worked:
        said = TIPS.only(("group:A",), "dead slow", "little", measured=left_deg, limit=5.0, unit="deg")
        upright = TIPS.note(("group:A",), "enough", measured=left_deg, limit=5.0, unit="deg")
        return Worked(side, goes, (said if left_deg < 5.0 else upright,), minutes)

    little, more, enough = worked(2.7, 1.0), worked(4.5, 2.0), worked(8.0, 3.0)
    assert (little.settles, more.settles, enough.settles) == (False, False, True)
    assert min([little, more], key=lambda w: w.on_its_gear) is more
    assert min([little, more, enough], key=lambda w: w.on_its_gear) is enough
    assert (little.leans_deg, enough.leans_deg) == (pytest.approx(2.3), 0.0)


def test_of_two_sides_whose_forks_do_not_go_in_the_one_that_lacks_least_is_told() -> None:
    """50 mm lacking, its way not looked for, is nearer than 1250 mm with a way that nothing starts on."""
    side: Any = SimpleNamespace(hung=False, gear=SimpleNamespace(kind="pallet truck"))

    def worked(path: tuple[int, ...], free_mm: float, *more: Part) -> Worked:
        said = FORKS.no(("group:A", "start"), "forks", measured=free_mm, limit=2050.0, unit="mm")
        tried: Any = SimpleNamespace(verdict=Verdict.YES, found=SimpleNamespace(path=path, clearance_mm=9.0))
        return Worked(side, tried, (said, *more), 1.0)

    near = worked((), 2000.0)
    nobody = PERSON.no(("group:A",), "who steers", measured=335.0, limit=500.0, unit="mm")
    for far in (worked((1,), 800.0, nobody), worked((), 800.0)):
        assert min([far, near], key=lambda w: w.on_its_gear) is near
