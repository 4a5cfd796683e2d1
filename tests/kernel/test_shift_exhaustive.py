"""The least to shift against trying every set, and against scenes whose least is known by arithmetic."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from bench.floor_scenes import strewn
from floor_checker import World, path_problem
from scipy.optimize import Bounds, LinearConstraint, milp

from shopbins.geometry.shapes import FloorProblem, Outline, Pose, placed, rectangle
from shopbins.kernel import shift
from shopbins.kernel.bits import bits, members
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES
from shopbins.kernel.goes_search import Stop
from shopbins.kernel.ground import Crowd
from shopbins.kernel.planner import Planner
from shopbins.kernel.shift import FIRST_TURNS, SKETCHED, SoFar, _Quest, least_shift, shift_with
from shopbins.kernel.shift_cover import Cover, NoCover
from shopbins.kernel.shift_maps import Map, Worth


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


Scene = tuple[list[Outline], list[Outline], list[float], Outline, Pose, Pose]


def cluttered(seed: int) -> Scene:
    """Return two rooms, a door, things in the way (some under the body's ends) with costs, and ends."""
    rng = random.Random(seed)
    door = rng.uniform(900, 1200)
    y = rng.uniform(300, 2500 - door - 300)
    floor = [box(0, 0, 2800, 2500), box(2900, 0, 5200, 2500), box(2799, y, 2901, y + door)]
    things = []
    for _ in range(rng.randint(3, 7)):
        at = Pose(rng.uniform(900, 4300), rng.uniform(100, 2400), rng.choice((0.0, rng.uniform(0, 180))))
        things.append(placed(rectangle(rng.uniform(200, 900), rng.uniform(150, 600)), at))
    costs = [float(rng.choice((1, 2, 3, 5, 8, 13))) for _ in things]
    body = rectangle(rng.uniform(700, 1100), rng.uniform(400, 750))
    return floor, things, costs, body, Pose(700, 1250, 0.0), Pose(4500, 1250, rng.choice((0.0, 90.0)))


def least_by_trying(scene: Scene, told: float | None = math.inf) -> float | None:
    """Return the least cost of all sets with which it goes, or `told` where none is cheaper.

    What is taken away shuts no way: where it does not go with a set shifted, it goes with none of its parts.
    """
    floor, things, costs, body, start, goal = scene
    planner = Planner(floor, [], body)
    least, shut = math.inf if told is None else told, list[frozenset[int]]()
    for count in range(len(things), -1, -1):
        for chosen in map(frozenset, itertools.combinations(range(len(things)), count)):
            cost = sum(costs[i] for i in chosen)
            if cost >= least or any(chosen <= other for other in shut):
                continue
            try:
                left = [t for i, t in enumerate(things) if i not in chosen]
                answer = planner.goes(left, start, goal).answer
            except FloorProblem:
                answer = DOES_NOT_GO
            assert answer in (GOES, DOES_NOT_GO)
            if answer == GOES:
                least = cost
            else:
                shut.append(chosen)
    return None if math.isinf(least) else least


@pytest.mark.parametrize("seed", range(20))
def test_against_trying_every_set(seed: int) -> None:
    scene = cluttered(seed)
    floor, things, costs, body, start, goal = scene
    found = least_shift(floor, [], things, body, start, goal, costs)
    expected = least_by_trying(scene, found.cost)
    assert found.optimal
    assert found.cost == expected
    if found.shift is not None:
        assert found.cost_at_least == found.cost == sum(costs[i] for i in found.shift)
        left = [t for i, t in enumerate(things) if i not in found.shift]
        world = World(floor, [], left, body)
        path = [(p.x_mm, p.y_mm, p.turn_deg) for p in found.path]
        assert found.clearance_mm is not None
        assert path_problem(world, path, found.clearance_mm) is None


def test_the_cheapest_of_three_lanes() -> None:
    # three lanes 1000 wide; what blocks each costs 2 + 3, 4 and 4 + 3: the middle one is least (arithmetic)
    holes = [box(0, 1000, 6000, 1100), box(0, 2100, 6000, 2200)]
    things = [
        box(1000, 350, 1400, 650),
        box(3500, 350, 3900, 650),
        box(1000, 1450, 1400, 1750),
        box(1000, 2550, 1400, 2850),
        box(3500, 2550, 3900, 2850),
    ]
    room, body, start, goal = (
        box(-3000, 0, 9000, 3200),
        rectangle(950, 800),
        Pose(-1500, 1000),
        Pose(7500, 1000),
    )
    found = least_shift(room, holes, things, body, start, goal, [2, 3, 4, 4, 3])
    assert (found.shift, found.cost, found.cost_at_least, found.optimal) == ((2,), 4, 4, True)
    by_count = least_shift(room, holes, things, body, start, goal)
    assert by_count.cost == 1 and by_count.shift == (2,)


def test_where_a_search_that_keeps_one_label_pays_twice() -> None:
    # a bar lies across two lanes that must both be passed; round it in the first costs 2 more (arithmetic)
    outline = (
        (-3000.0, 0.0), (9000.0, 0.0), (9000.0, 3200.0), (-3000.0, 3200.0),
        (-3000.0, 2200.0), (1850.0, 2200.0), (1850.0, 2100.0), (-3000.0, 2100.0),
    )  # fmt: skip
    holes = [box(2150, 2100, 6000, 2200), box(0, 1000, 6000, 1100)]
    things = [box(3000, 300, 3400, 700), box(1900, 1150, 2100, 3150)]
    start, goal = Pose(-1500, 1000), Pose(-1500, 2700)
    found = least_shift(outline, holes, things, rectangle(950, 800), start, goal, [2, 3])
    assert (found.shift, found.cost, found.optimal) == ((1,), 3, True)


def test_what_stands_at_the_goal_must_go_and_nothing_helps_against_walls() -> None:
    room, body = box(0, 0, 4000, 2000), rectangle(800, 600)
    found = least_shift(
        room,
        [],
        [box(3000, 900, 3200, 1100), box(100, 100, 200, 200)],
        body,
        Pose(700, 1000),
        Pose(3100, 1000),
    )
    assert found.shift == (0,) and found.optimal
    apart = [box(0, 0, 2000, 2000), box(2100, 0, 4000, 2000), box(1999, 800, 2101, 1300)]
    shut = least_shift(apart, [], [box(900, 100, 1000, 200)], body, Pose(700, 1000), Pose(3100, 1000))
    assert shut.answer == "does not go" and shut.shift is None and shut.cost is None


def test_where_it_stays_what_stands_there_must_go() -> None:
    here = Pose(700, 1000)
    things = [box(2000, 900, 2200, 1100), box(600, 900, 800, 1100)]
    found = least_shift(box(0, 0, 4000, 2000), [], things, rectangle(800, 600), here, here)
    assert (found.shift, found.cost, found.optimal) == ((1,), 1, True)


def test_time_that_runs_out_leaves_a_true_interval() -> None:
    floor, things, costs, body, start, goal = cluttered(4)
    full = least_shift(floor, [], things, body, start, goal, costs)
    for limit_s in (0.0, 0.02, 0.1, 0.3):
        found = least_shift(floor, [], things, body, start, goal, costs, time_limit_s=limit_s)
        assert full.cost is not None and found.cost_at_least <= full.cost
        if found.cost is not None:
            assert found.cost >= full.cost
            assert found.optimal == (found.cost == found.cost_at_least)


def test_the_same_planner_again_gives_the_same() -> None:
    floor, things, costs, body, start, goal = cluttered(7)
    planner = Planner(floor, [], body)
    first = shift_with(planner, things, start, goal, costs)
    moved = [tuple((x + 40, y - 25) for x, y in things[0]), *things[1:]]
    shift_with(planner, moved, start, goal, costs)
    again = shift_with(planner, things, start, goal, costs)
    assert (first.shift, first.cost) == (again.shift, again.cost)


@pytest.mark.parametrize("costs", [[1.0], [1.0, float("nan")], [1.0, -2.0], [float("inf"), 1.0]])
def test_costs_that_make_no_sense(costs: list[float]) -> None:
    room, body = box(0, 0, 4000, 2000), rectangle(800, 600)
    things = [box(2000, 900, 2200, 1100), box(100, 100, 200, 200)]
    with pytest.raises(FloorProblem, match="costs"):
        least_shift(room, [], things, body, Pose(700, 1000), Pose(3100, 1000), costs)


def test_covers_are_least() -> None:
    rng = random.Random(3)
    for _ in range(40):
        costs = [float(rng.randint(1, 9)) for _ in range(8)]
        cover = Cover(costs)
        wanted = [frozenset(rng.sample(range(8), rng.randint(1, 4))) for _ in range(6)]
        for cut in wanted:
            cover.add(cut)
        sets = [frozenset(s) for n in range(9) for s in itertools.combinations(range(8), n)]
        best = min(sum(costs[i] for i in s) for s in sets if all(s & c for c in wanted))
        x = cover.linear(10.0)
        assert x is not None and cover.bound * cover.scale <= best + 1e-6
        # what is left bounds every set, not only the least
        for s in sets:
            if all(s & c for c in wanted):
                paid = sum(costs[i] for i in s) / cover.scale
                assert cover.packed + sum(cover.left[i] for i in s) <= paid + 1e-6
        least = np.flatnonzero(cover.whole(10.0)).tolist()
        assert all(c & set(least) for c in wanted) and sum(costs[i] for i in least) == best
        assert cover.bound * cover.scale == pytest.approx(best, rel=1e-9)
        cover.best = best / cover.scale
        assert cover.whole(10.0) is None and cover.closed()
    with pytest.raises(NoCover):
        cover.add(())
    assert members(bits([5, 0, 63, 200])) == [0, 5, 63, 200]


@pytest.mark.parametrize("seed", range(6))
def test_a_least_whole_set_is_as_cheap_as_that_of_another_solver(seed: int) -> None:
    """HiGHS (through scipy's milp) branches on its own; here only duals checked by hand are believed."""
    rng = random.Random(seed)
    count = rng.choice((30, 60, 90))
    costs = [round(rng.uniform(0.1, 9.0), rng.choice((0, 1, 9))) for _ in range(count)]
    cover = Cover(costs)
    for _ in range(2 * count):
        cover.add(rng.sample(range(count), rng.randint(2, 5)))
    rows = np.array([[i in row for i in range(count)] for row in cover.rows], dtype=float)
    found = milp(
        np.array(costs),
        constraints=LinearConstraint(rows, lb=1),
        integrality=np.ones(count, dtype=np.int64),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    least = cover.whole(30.0)
    assert (rows @ least >= 1).all()
    assert float(np.dot(costs, least)) == pytest.approx(found.fun, abs=1e-6)
    assert cover.bound * cover.scale == pytest.approx(found.fun, rel=1e-6)
    cover.linear(30.0)
    cover.best = cover.bound + 0.5 * cover.scale  # what stands for good is left out, and the least stays
    again = cover.whole(30.0)
    assert again is not None and float(np.dot(costs, again)) == pytest.approx(found.fun, abs=1e-6)


def test_a_bound_rests_on_its_resting_cuts_alone() -> None:
    """Duality: without the cuts it owes nothing to, a linear programme has the same value."""
    rng = random.Random(4)
    for _ in range(20):
        costs = [float(rng.randint(1, 9)) for _ in range(30)]
        every, alone, shut = Cover(costs), Cover(costs), Cover(costs)
        every.add_all(rng.sample(range(30), rng.randint(2, 5)) for _ in range(40))
        every.linear(10.0)
        rests = every.resting()
        alone.add_all(rests)
        alone.linear(10.0)
        assert len(rests) < len(every.rows) and alone.proved == pytest.approx(every.proved)
        assert sorted(every.rest, reverse=True)[: len(rests)] == [
            every.rest[every.rows.index(c)] for c in rests
        ]
        # what surely stands in every cheaper set bars its way: that cut, too, is one it rests on
        every.best = shut.best = every.packed + 0.5 * float(every.left.max())
        bars = frozenset(np.flatnonzero(every.stands()).tolist()) - set().union(*rests)
        if bars and every.add(bars):
            assert every.linear(10.0) is None and every.closed() and bars in every.resting()
            shut.add_all(every.resting())
            shut.linear(10.0)
            assert shut.linear(10.0) is None and shut.closed()


@pytest.mark.parametrize("seed", [2, 5, 9])
def test_costs_may_be_tiny_or_huge(seed: int) -> None:
    """The same scene, all costs times a factor: the same set, its cost times the factor."""
    floor, things, costs, body, start, goal = cluttered(seed)
    plain = least_shift(floor, [], things, body, start, goal, costs)
    for scale in (1e-9, 1e-4, 1e6, 1e11):
        scaled = least_shift(floor, [], things, body, start, goal, [c * scale for c in costs])
        assert plain.optimal and scaled.optimal
        assert plain.cost is not None
        assert scaled.cost == pytest.approx(plain.cost * scale, rel=1e-9)
        assert scaled.cost_at_least == scaled.cost


def test_costs_that_differ_by_a_hair_are_told_apart() -> None:
    """Two ways, one dearer by a hair: the cheaper, certified (arithmetic)."""
    holes, room = [box(0, 1000, 6000, 1100)], box(-3000, 0, 9000, 2100)
    things = [box(2000, 300, 2400, 700), box(2000, 1400, 2400, 1800)]
    ends = Pose(-1500, 1000), Pose(7500, 1000)
    for costs, which in (([1.0, 1.000001], 0), ([1e6 + 0.01, 1e6], 1), ([1e-7, 1.000001e-7], 0)):
        found = least_shift(room, holes, things, rectangle(950, 800), *ends, costs)
        assert (found.shift, found.cost, found.optimal) == ((which,), costs[which], True)


def test_what_a_whole_bound_leaves_is_not_what_a_linear_one_leaves() -> None:
    """Regression: pruned by the gap to a whole bound, 51.1 kg was 'certified' here, where 49.1 goes."""
    s = strewn(2, 500, 1, 600.0)
    found = least_shift(s.floor, [], s.things, s.body, s.start, s.goal, s.masses_kg, time_limit_s=6.0)
    assert found.cost_at_least <= 49.1 + 1e-9
    assert found.cost is None or found.cost >= 49.1 - 1e-9


def test_it_says_how_far_it_is_and_stops_at_once() -> None:
    s = strewn(4, 200, 1, 0.0)
    heard: list[SoFar] = []
    found = least_shift(
        s.floor, [], s.things, s.body, s.start, s.goal, s.masses_kg,
        told=heard.append, cancelled=lambda: len(heard) >= 6,
    )  # fmt: skip
    assert len(heard) <= 7 and not found.optimal and found.reason == "time was up"
    lows = [each.cost_at_least for each in heard]
    assert lows == sorted(lows) and lows[-1] > 0
    highs = [sum(s.masses_kg[i] for i in each.shift) for each in heard if each.shift is not None]
    assert highs == sorted(highs, reverse=True)


def test_a_room_with_nothing_in_it() -> None:
    room, ends = box(0, 0, 4000, 2000), (Pose(700, 1000), Pose(3100, 1000))
    found = least_shift(room, [], [], rectangle(800, 600), *ends)
    assert (found.shift, found.cost, found.cost_at_least, found.optimal) == ((), 0.0, 0.0, True)
    apart = [box(0, 0, 2000, 2000), box(2100, 0, 4000, 2000), box(1999, 800, 2101, 1300)]
    assert least_shift(apart, [], [], rectangle(800, 600), *ends).answer == "does not go"


def barred(body: Outline, costs: tuple[float, float]) -> Any:
    """Return the answer for a body of some shape in a room that two things bar, one above the other."""
    things = [box(3000, -100, 3300, 2000), box(3000, 2000, 3300, 4100)]
    ends = Pose(1200, 2000, 0.0), Pose(4800, 2000, 0.0)
    return least_shift([box(0, 0, 6000, 4000)], [], things, body, *ends, costs, time_limit_s=20.0)


@pytest.mark.parametrize("narrow_mm", [290, 200, 4, 0])
def test_a_narrow_tapered_body_is_answered_like_a_rectangle(narrow_mm):
    """Its ways are judged about a point near one side, so it cannot be made much smaller about that."""
    tail = ((1000.0, -narrow_mm / 2), (1000.0, narrow_mm / 2)) if narrow_mm else ((1000.0, 0.0),)
    found = barred(((-1000.0, -150.0), *tail, (-1000.0, 150.0)), (70.0, 50.0))
    assert (found.answer, found.cost, found.cost_at_least, found.shift) == (GOES, 50.0, 50.0, (1,))


@pytest.mark.filterwarnings("error")
def test_things_that_all_cost_nothing_are_shifted_without_a_warning():
    found = barred(rectangle(900, 700), (0.0, 0.0))
    assert (found.answer, found.cost, found.cost_at_least) == (GOES, 0.0, 0.0)


def test_where_nothing_is_left_free_even_with_the_thing_gone_it_does_not_go():
    """Overlays of what is free about the one thing gone leave lines and points only: no area at all."""
    floor = ((0.0, 4025.8), (3044.9, 4025.8), (3044.9, 0.0), (798.5, 0.0), (798.5, 296.1), (0.0, 296.1))
    spur = ((1888.7, 954.9), (1833.4, 1224.0), (1862.7, 1317.5), (1813.7, 1321.0), (1688.4, 1373.5))
    spur += ((1515.1, 571.0), (1687.0, 590.4), (1873.1, 848.9))
    corner = ((3301.2, 586.3), (2953.9, 875.4), (2438.2, 275.0), (2552.5, 61.0))
    holes = [spur, corner, box(775.4, 1711.4, 1339.5, 2091.4), box(1650.8, 2217.2, 1814.5, 4035.8)]
    thing = box(1650.8, -10, 1814.5, 1459.8)
    ends = Pose(192.0, 2769.2, 270.7), Pose(2182.1, 1138.9, 90.0)
    found = least_shift([floor], holes, [thing], rectangle(1984, 348), *ends, [5.0], time_limit_s=20.0)
    assert found.answer == DOES_NOT_GO


def quest_of(scene: Scene) -> tuple[_Quest, Map]:
    """Return a search that has only begun, and a sketch for it."""
    floor, things, costs, body, start, goal = scene
    quest = _Quest(Planner(floor, [], body), Crowd(things), start, goal, costs, Stop(60.0), None)
    return quest, quest._sketch(SKETCHED, 0.0)


def test_what_a_sketch_says_bars_the_way_is_believed_only_where_it_does() -> None:
    """Any few things, as a sketch might say: kept as a cut where the planner finds no way past them and
    what stands in every set that would be better."""
    rng, believed = random.Random(2), 0
    for seed in range(6):
        scene = cluttered(seed)
        floor, things, _, body, start, goal = scene
        quest, sketch = quest_of(scene)
        for _ in range(8):
            cut = frozenset(rng.sample(range(len(things)), rng.randint(1, len(things))))
            left = [things[i] for i in cut | set(np.flatnonzero(quest.cover.stands()).tolist())]
            try:
                goes = Planner(floor, [], body).goes(left, start, goal).answer == GOES
            except FloorProblem:
                goes = False
            known = len(quest.cover.rows)
            bars = quest._bars(cut, sketch)
            assert not (bars and goes) and len(quest.cover.rows) == known + bars
            believed += bars
    assert believed > 2, believed


def walled() -> Scene:
    """Return a room that two boxes part, of which one costs 1 and one 5."""
    wall = [box(2000, -100, 2300, 1300), box(2000, 1290, 2300, 2600)]
    ends = Pose(700, 1250, 0.0), Pose(4500, 1250, 0.0)
    return [box(0, 0, 5200, 2500)], wall, [1.0, 5.0], rectangle(900, 600), *ends


def test_one_thing_is_a_cut_with_what_stands_in_every_set_that_would_be_better() -> None:
    quest, sketch = quest_of(walled())
    assert not quest._bars(frozenset({0}), sketch)
    quest.cover.best = quest.cover.cost([1])
    assert quest._bars(frozenset({0}), sketch)


def test_a_sketch_sees_a_narrow_way_along_walls_that_run_aslant() -> None:
    """A body 800 wide in a passage 860 wide lies along it, between two of the turns counted from 0."""
    shop = [box(-4000, -1500, -900, 1500), box(-901, -430, 901, 430), box(900, -1500, 4000, 1500)]
    about = Pose(5000, 5000, 33.75)
    turned = [placed(outline, about) for outline in shop]
    (start,), (goal,) = (placed(((x, 0.0),), about) for x in (-2500, 2500))
    ends = Pose(*start, about.turn_deg), Pose(*goal, about.turn_deg)
    quest, _ = quest_of((turned, [box(0, 0, 10, 10)], [1.0], rectangle(1400, 800), *ends))
    assert quest._sketch(FIRST_TURNS, -20.0).way(np.zeros(1)) is not None


def test_a_cut_whose_check_fails_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """The claim with a region left out: the things bar the way, but it is not shown."""
    scene = walled()
    quest, sketch = quest_of(scene)
    assert quest._bars(frozenset((0, 1)), sketch)
    quest, sketch = quest_of(scene)
    whole = Planner.claimed

    def spoilt(planner: Planner, run: Any) -> Any:
        claim = whole(planner, run)
        return replace(claim, cells=claim.cells[:-1])

    monkeypatch.setattr(Planner, "claimed", spoilt)
    assert not quest._bars(frozenset((0, 1)), sketch) and not quest.cover.rows


@pytest.mark.parametrize("seed", [1, 3, 4])
def test_a_sketch_that_nothing_opens_proves_nothing(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    scene = cluttered(seed)
    _, nothing = quest_of(scene)
    shut = nothing.pruned(Worth(np.ones(len(scene[1])), -1.0))
    monkeypatch.setattr(_Quest, "_sketched", lambda quest, bold: shut)
    monkeypatch.setattr(_Quest, "_first_set", lambda quest: quest._ask(range(len(quest.paid))))
    found = least_shift(scene[0], [], *scene[1:2], *scene[3:], scene[2], time_limit_s=20.0)
    assert found.cost_at_least <= (least_by_trying(scene) or 0.0) <= (found.cost or 0.0)


@pytest.mark.parametrize("seed", [2, 3, 5])
def test_guesses_that_do_not_bar_the_way_raise_no_bound(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Told that each single thing bars the way, it believes so of none that does not."""
    scene, said = cluttered(seed), list[frozenset[int]]()

    def lying(sketch: Map, cover: Cover, x: Any, most: int = 12) -> list[frozenset[int]]:
        cuts = [frozenset((i,)) for i in range(len(x)) if x[i] < 0.5]
        said.extend(cuts)
        return cuts

    monkeypatch.setattr(shift, "_doubted", lying)
    monkeypatch.setattr(_Quest, "_map_cuts", lambda quest: None)
    found = least_shift(scene[0], [], *scene[1:2], *scene[3:], scene[2], time_limit_s=20.0)
    assert said and found.cost_at_least <= (least_by_trying(scene) or 0.0) <= (found.cost or 0.0)
