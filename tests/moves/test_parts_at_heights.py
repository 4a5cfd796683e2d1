"""What overhangs meets only what shares a height with it: a table at 1000 to 1300 passes over a bench of 800.

Every way found is checked again by a reckoning of its own: each part at each pose as a prism, at each lift,
against every fixture as a prism.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.ledger.model import Mass, Size
from shopbins.moves.attempt import Job
from shopbins.moves.banded import Heights, Piece, _way, heights_of
from shopbins.moves.finding import row_of
from shopbins.moves.forks import Foot
from shopbins.moves.gear import judge_gear
from shopbins.moves.load import Load
from shopbins.moves.plan import Plan
from shopbins.moves.tolerance import Found
from shopbins.scene.standing import Standing
from shopbins.shop.model import Gear

from .weir import OUTLINE, SKATES, TRUCK, move, of, shop, shop_text

TABLE = "comes off=table; 0,500 600x300mm; 1000 to 1300; 126kg; 30 min"
LOW = (OUTLINE, "height=900mm", "opening=420mm", "under=110mm", "cg=0,0", "cg height=450mm", TABLE)
FEET = tuple(f"foot={x},{y}" for x in (-450, 450) for y in (-300, 300))
OUTLINE_MM = rectangle(1000, 700)
WIDE = ((0.0, 0.0), (900.0, 0.0), (900.0, 900.0), (0.0, 900.0))
MID = "height: 2.2 m, threshold: 0"
WALL = "{room: b, at: [5600, 0], size: [1200, 1500], height: 2400}"


def fixtures(**each: str) -> str:
    return "fixtures:\n" + "".join(f"  {key}: {text}\n" for key, text in each.items())


def bench(height: float, *, y: float = 2450, base: float = 0) -> str:
    under = f", base: {base:g}" if base else ""
    return f"{{room: b, at: [5600, {y:g}], size: [1200, {4000 - y:g}], height: {height:g}{under}}}"


def between(path: tuple[Pose, ...]) -> Iterator[Pose]:
    for a, b in itertools.pairwise(path):
        far = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) / 20 + abs(b.turn_deg - a.turn_deg) / 1.0
        steps = max(1, math.ceil(far))
        for k in range(steps + 1):
            ends = zip((a.x_mm, a.y_mm, a.turn_deg), (b.x_mm, b.y_mm, b.turn_deg), strict=True)
            yield Pose(*(p + (q - p) * k / steps for p, q in ends))


def met(plan: Plan) -> list[str]:
    """Every fixture that a part meets somewhere on the way, at some lift from set down to all the way up."""
    up = plan.gear.up_mm
    assert up is not None and plan.attempt is not None
    load, body = plan.body.load, plan.body
    shapes = [(load.own, 0.0, (load.own_height_mm or 0.0) + up[1])]
    shapes += [(p.outline, p.from_mm, (p.to_mm or math.inf) + up[1]) for p in body.parts]
    shapes += [(shape, 0.0, 150.0) for shape in plan.gear.parts[1:]]
    ground = plan.attempt.then or plan.attempt.ground
    assert ground is not None
    poses, found = list(between(plan.path)), set()
    for outline, low, high in shapes:
        here = shapely.polygons([placed(outline, pose) for pose in poses])
        for it in (*ground.fixed, *ground.things):
            top = math.inf if it.top_mm is None else it.top_mm
            if low < top and high > it.base_mm:
                shared = shapely.area(shapely.intersection(here, shapely.Polygon(it.outline)))
                if (shared > 1).any():
                    found.add(it.name)
    return sorted(found)


def asked(folder: Path, more: str, moving: tuple[str, ...] = LOW, gear: str = TRUCK) -> Plan:
    return move(shop(folder, shop_text(mid=MID, more=more, gear={"it": gear}), moving, Mass(2200)))


def test_in_its_parts_too_straight_gear_is_turned_with_all_it_stands_on_off_slopes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As one shape: skates set across run along y; feet at +-450, +-300 touch the floor as it is set round,
    and what turns anyhow goes over sills with its wheels square. From an axle along y, x is y and y is -x.
    """
    feet = tuple(Foot(x, y) for x in (-450.0, 450.0) for y in (-300.0, 300.0))
    load = Load("it", OUTLINE_MM, 900.0, mass_kg=500.0, cg_mm=(0.0, 0.0), feet=feet, own=OUTLINE_MM)
    asked: list[tuple[Outline, Outline]] = []

    def pivoted(*_: Any, stands: Outline, wheels: Outline, **__: Any) -> None:
        asked.append((stands, wheels))

    monkeypatch.setattr("shopbins.moves.pivot.pivoted", pivoted)
    monkeypatch.setattr("shopbins.moves.banded.Asker", lambda *_: SimpleNamespace(goes=lambda *_: Found("")))
    floor = SimpleNamespace(slopes=(), steps=())
    piece = SimpleNamespace(outline=OUTLINE_MM, turned=())
    bands: Any = SimpleNamespace(
        sweeps=lambda *_: (None, ()), stands=lambda *_: True, pieces=(piece,), things=lambda *_: [],
        floor=floor, planner=lambda _: SimpleNamespace(ground=None), met=[floor], shape=OUTLINE_MM,
    )  # fmt: skip
    job: Any = SimpleNamespace(stop=None, until=0.0, cancelled=None, kept={})
    here = Pose(0.0, 0.0, 0.0)
    corners = {(y, -x) for x in (-450.0, 450.0) for y in (-300.0, 300.0)}
    gear = Gear("s", "s", "skates", count=4, height_mm=100.0, steering="axis")
    across = judge_gear(gear, load, across=True)
    anyhow = judge_gear(replace(gear, steering="on the spot"), load)
    for answer in (across, anyhow):
        base: Any = SimpleNamespace(gear=answer, body=SimpleNamespace(load=load))
        assert _way(job, base, bands, (), here, here, 10.0, {}) is None

    def rounded(outline: Outline) -> set[tuple[float, float]]:
        return {(round(x, 3), round(y, 3)) for x, y in outline}

    assert rounded(asked[0][0]) == corners == rounded(asked[0][1])
    assert not asked[-1][0] and rounded(asked[-1][1]) == corners


# --- over and under -----------------------------------------------------------------------------------------


def test_a_table_passes_over_a_bench(tmp_path: Path) -> None:
    """950 mm between wall and bench, the press 700 wide and 1000 with its table: only over the bench."""
    plan = asked(tmp_path, fixtures(wall=WALL, bench=bench(800)))
    assert plan.word == "goes only with" and not plan.off_first
    assert met(plan) == []
    (over,) = (p for p in of(plan, "move-way") if p.verdict is Verdict.ASKED)
    assert over.text == "nothing lies on bench under table"
    assert row_of(over).finding.measured == pytest.approx(1000 - 800)
    assert plan.margin_mm is not None and 0 < plan.margin_mm <= (950 - 700) / 2


@pytest.mark.parametrize(("high", "word"), [(989, "goes only with"), (1300, "does not go")])
def test_what_surely_passes_goes_and_what_surely_meets_does_not(
    tmp_path: Path, high: float, word: str
) -> None:
    """The table is 1000 over the floor set down, bench and table are each within 5 mm: to 990 it passes."""
    plan = asked(tmp_path, fixtures(wall=WALL, bench=bench(high)))
    assert plan.word == word and plan.gear.up_mm == (10.0, 90.0)
    if plan.path and plan.body.parts:
        assert met(plan) == []


@pytest.mark.parametrize(
    ("high", "may", "must"),
    [(990, False, False), (990.1, True, False), (1100, True, False), (1100.1, True, True)],
)
def test_within_measuring_and_lift_it_may_meet_and_need_not(high: float, may: bool, must: bool) -> None:
    """A table at 1000 set down and at 1090 carried highest (the truck lifts 200 - 110 mm), each within 5 mm:
    to 990 it surely passes, over 1100 it surely does not.
    """
    how, table = Heights((10.0, 90.0), 10.0), Piece("table", WIDE, 1000.0, 1300.0)
    it = Standing("fixture:b", "fixture:b", "bench", "b", "b", WIDE, 0.0, high)
    assert (how.may_meet(table, it), how.must_meet(table, it)) == (may, must)


def test_what_stands_on_the_bench_is_met(tmp_path: Path) -> None:
    vice = "{room: b, at: [5900, 2480], size: [300, 300], base: 800, height: %d}"
    low = asked(tmp_path, fixtures(wall=WALL, bench=bench(800), vice=vice % 100))
    assert low.word == "goes only with"
    (tmp_path / "high").mkdir()
    high = asked(tmp_path / "high", fixtures(wall=WALL, bench=bench(800), vice=vice % 500))
    assert high.word == "does not go"


def test_a_low_part_passes_under_what_hangs(tmp_path: Path) -> None:
    """A shelf hung at 700: a step at 200 to 400 passes below it, carried as high as it goes (490 and 10)."""
    step = (*LOW[:-1], "comes off=step; 0,500 600x300mm; 200 to 400; 126kg; 30 min")
    plan = asked(tmp_path, fixtures(wall=WALL, shelf=bench(300, base=700)), step)
    assert plan.word == "goes only with" and not plan.off_first and met(plan) == []
    assert any("step passes under shelf" in row_of(p).finding.text for p in of(plan, "move-way"))
    (tmp_path / "low").mkdir()
    low = asked(tmp_path / "low", fixtures(wall=WALL, shelf=bench(300, base=450)), step)
    assert low.word == "not decided"


def test_who_steers_does_not_walk_below_what_is_lower_than_a_man() -> None:
    """A duct at 1200: a thing of 900 goes below it, who steers it and the handle do not."""
    duct = Standing("fixture:d", "fixture:d", "duct", "d", "b", WIDE, 1200.0, 1500.0)
    lamp = Standing("fixture:l", "fixture:l", "lamp", "l", "b", WIDE, 1950.0, None)
    how = Heights((0.0, 90.0), 10.0)
    man, thing = Piece("who steers", WIDE, 0.0, 1900.0, 1.0), Piece("press", WIDE, 0.0, 900.0)
    assert how.may_meet(man, duct) and not how.may_meet(thing, duct)
    assert not how.may_meet(replace(man, to_mm=1840.0), lamp)
    assert not how.must_meet(man, duct), "a height of our own proves no 'does not go'"


def test_a_crate_below_the_table_is_not_shifted(tmp_path: Path) -> None:
    """A crate 300 high beside the way: the table passes 700 over it, and nothing has to be shifted."""
    desk = shop(tmp_path, shop_text(mid=MID, more=fixtures(wall=WALL)), LOW, Mass(1200))
    crate = desk.take("crate", size=Size(1000, 300, 300), mass=Mass(80)).id
    desk.put(crate, "b", x_mm=6200 - 5400, y_mm=2700, turn_deg=0, override="x")
    plan = move(desk)
    assert plan.word == "goes only with" and plan.shift == ()
    assert met(plan) == []


# --- tilted -------------------------------------------------------------------------------------------------


def test_one_end_on_a_jack_the_table_dips(tmp_path: Path) -> None:
    """Skates: one end goes up 25 mm at a time on supports 600 apart; the farthest corner of the table is
    1,000 mm and more from the far support, so it may dip by 25 / 600 of that: a bench of 985 is too near.
    """
    known = tuple(p for p in LOW if not p.startswith(("opening", "under"))) + FEET
    text = shop_text(mid=MID, more=fixtures(wall=WALL, bench=bench(800)), gear={"it": SKATES})
    desk = shop(tmp_path, text, known, Mass(2200))
    low, scene = move(desk), desk.scene()
    assert low.attempt is not None and low.attempt.verdict is Verdict.YES and low.attempt.passes
    assert met(low) == []
    how = heights_of(Job(scene, scene.shop.zones["far"], None, 10.0, frozenset(), math.inf), low.attempt)
    assert how is not None and how.dips >= 25 / 600 * 1000
    table = Piece("table", WIDE, 1000.0, 1300.0)
    over = [Standing("fixture:b", "fixture:b", "bench", "b", "b", WIDE, 0.0, high) for high in (800.0, 985.0)]
    assert [how.may_meet(table, it) for it in over] == [False, True]


# --- whatever stands there ----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [1, 2, 3, 6])
def test_whatever_stands_there_a_way_found_meets_nothing(tmp_path: Path, seed: int) -> None:
    plan = asked(tmp_path, *anywhere(seed))
    assert plan.path and plan.attempt is not None and plan.attempt.verdict is not Verdict.NO
    assert met(plan) == []


def anywhere(seed: int) -> tuple[str, tuple[str, ...]]:
    """Five fixtures of any size, place and height in the room behind the door, and an arm at any height."""
    chance = random.Random(seed)
    low, along, across = (chance.choice(range(150, 1200, 50)), chance.choice((-200, 0, 200)),
                          chance.choice((500, -500)))  # fmt: skip
    known = (*LOW[:-1], f"comes off=arm; {along},{across} 600x300mm; {low} to {low + 200}; 40kg; 30 min")
    each = {}
    for k in range(5):
        base, high = chance.choice((0, 0, 300, 700, 1000)), chance.randrange(100, 900, 50)
        x, y = chance.randrange(5500, 9000, 100), chance.choice((0, chance.randrange(0, 3200, 100)))
        size = f"[{chance.randrange(200, 1000, 100)}, {chance.randrange(200, 1200, 100)}]"
        under = f", base: {base}" if base else ""
        each[f"f{k}"] = f"{{room: b, at: [{x}, {y}], size: {size}, height: {high}{under}}}"
    return fixtures(**each), known


L_FRAME = "outline=-1000,-800; 1000,-800; 1000,-300; -500,-300; -500,800; -1000,800"
POST = "fixtures: {post: {room: a, at: [3900, 1700], size: [200, 200]}}"


FILLED = "outline=-1000,-800; 1000,-800; 1000,800; -1000,800"


@pytest.mark.parametrize(("outline", "goes"), [(L_FRAME, True), (FILLED, False)])
def test_a_post_stands_in_the_notch_of_an_l_shaped_frame(tmp_path: Path, outline: str, goes: bool) -> None:
    """Its convex hull would cover the post at any spot of the goal; checked with shapely at every pose."""
    text = shop_text(gear={"skates": SKATES.replace("axis", "on the spot")}, more=POST)
    text = text.replace(
        "zones:", "zones:\n  aim: {room: a, kind: floor, at: [2800, 600], size: [2100, 1700]}"
    )
    feet = ("foot=-800,-600", "foot=800,-600", "foot=-800,600")
    known = (outline, "height=1000mm", "cg=-200,-200", "cg height=400mm", *feet)
    plan = move(shop(tmp_path, text, known, Mass(600), (1300, 1500, 0)), zone="aim")
    assert (plan.verdict <= Verdict.ASKED) is goes
    post = shapely.box(3900, 1700, 4100, 1900)
    frame = tuple((float(x), float(y)) for x, y in (p.split(",") for p in L_FRAME[8:].split(";")))
    assert all(shapely.Polygon(placed(frame, pose)).distance(post) > 5 for pose in plan.path)
    assert bool(plan.path) is goes
