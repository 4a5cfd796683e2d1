"""The kernel's small parts by themselves: laps of a turn, slides put to a path, what a search tries next."""

from __future__ import annotations

import itertools
import math
import random
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely

from shopbins.geometry.shapes import Pose
from shopbins.kernel import shift
from shopbins.kernel.goes_cells import Piece, Space, deep_points, triangles_of
from shopbins.kernel.goes_ends import from_end_to_end
from shopbins.kernel.goes_links import _doors, _near_pairs, _triangle_at, within
from shopbins.kernel.goes_path import _without_repeats
from shopbins.kernel.goes_search import DETOURS, Search, Step
from shopbins.kernel.planner import BASE_STEP_DEG, Planner, _ending
from shopbins.kernel.route import MOST_SAMPLES, _samples
from shopbins.kernel.shift import STRETCH_DEG, STRETCH_MM, Shift, _Quest, _stretches
from shopbins.kernel.shift_chains import Chains
from shopbins.kernel.shift_graph import Relaxed
from shopbins.kernel.shift_maps import _merged
from shopbins.kernel.steering import _centre, _turn, _word, after


def piece(number: int, turn_deg: float, size: float = 10.0) -> Any:
    return SimpleNamespace(number=number, turn_deg=turn_deg, polygon=shapely.box(0, 0, size, size))


# --- laps -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("turns", "period", "place", "band"), [
    ([0.0, 90.0], 180.0, 0, (0, 90, 1, 0)), ([0.0, 90.0], 180.0, 1, (90, 180, 0, 1)),
    ([30.0], 360.0, 0, (30, 390, 0, 1)), ([0.0, 100.0, 200.0], 360.0, 2, (200, 360, 0, 1)),
])  # fmt: skip
def test_the_last_band_ends_at_the_first_slice_a_lap_on(
    turns: list[float], period: float, place: int, band: tuple[float, float, int, int]
) -> None:
    space: Any = SimpleNamespace(turns_deg=turns, period_deg=period)
    assert Space.band(space, place) == band


@pytest.mark.parametrize(("at", "count", "steps"), [
    (0, 4, [(1, 0), (3, -1)]), (1, 4, [(2, 0), (0, 0)]), (3, 4, [(0, 1), (2, 0)]), (0, 1, [(0, 1), (0, -1)]),
    (0, 2, [(1, 0), (1, -1)]),
])  # fmt: skip
def test_a_search_goes_to_the_slices_on_either_side_a_lap_on_where_they_are_round_the_turn(
    at: int, count: int, steps: list[tuple[int, int]]
) -> None:
    far = SimpleNamespace(number=99, polygon=shapely.box(500, 500, 600, 600))
    search: Any = SimpleNamespace(space=SimpleNamespace(pieces_at=lambda place: [piece(place, place), far]))
    found = list(Search._beside(search, piece(50, at), at, range(count)))
    assert [(other.number, lap) for other, lap in found] == steps


def test_no_piece_is_beside_itself_and_where_nothing_is_free_nothing_is() -> None:
    own = piece(7, 0.0)
    search: Any = SimpleNamespace(space=SimpleNamespace(pieces_at=lambda place: [own] if place else []))
    assert list(Search._beside(search, own, 0, range(2))) == []


@pytest.mark.parametrize("opens", [True, False])
def test_two_pieces_of_one_end_of_a_band_are_joined_by_the_largest_of_its_other_end(opens: bool) -> None:
    """The band from 170 to 180 degrees of a body that is the same half a turn on: 180 is 0, a lap on."""
    a, b, same = piece(1, 0.0), piece(2, 0.0), piece(3, 0.0, 900.0)
    others = [piece(10 + n, 170.0, 100.0 + n) for n in range(DETOURS + 1)]
    members = [(a, 1), (b, 1), (same, 1), *((each, 0) for each in others)]
    tried: list[tuple[int, int, int]] = []

    def join(one: Any, other: Any, lap: int, briefly: bool = False) -> bool:
        tried.append((one.number, other.number, lap))
        return opens and other is b

    search: Any = SimpleNamespace(known={1: a, 2: b}, space=SimpleNamespace(period_deg=180.0), _join=join)
    cell: Any = SimpleNamespace(members=members)
    assert Search._try(search, Step((1, 0), (2, 0), 0, cell)) is False
    largest = [each.number for each in reversed(others)][:DETOURS]
    assert tried == [(1, number, -1) for number in largest], "there is no way back where there is none there"
    tried.clear()
    search._join = lambda one, other, lap, briefly=False: join(one, other, lap) or other is not b or opens
    assert Search._try(search, Step((1, 0), (2, 0), 0, cell)) is opens
    assert tried[:2] == [(1, largest[0], -1), (largest[0], 2, 1)]


def test_two_pieces_of_the_two_ends_of_a_band_are_joined_straight() -> None:
    a, b = piece(1, 170.0), piece(2, 0.0)
    joined: list[Any] = []
    search: Any = SimpleNamespace(
        known={1: a, 2: b}, space=SimpleNamespace(period_deg=180.0),
        _join=lambda *between, briefly: joined.append((*between, briefly)) or True,
    )  # fmt: skip
    cell: Any = SimpleNamespace(members=[(a, 0), (b, 1)])
    assert Search._try(search, Step((1, 0), (2, 1), 1, cell)) and joined == [(a, b, 1, True)]
    assert not Search._try(search, Step((1, 0), (1, 0), 0, cell)), "it is there"
    assert not Search._try(search, Step((1, 0), (2, 1), 1, None)), "through no band"


# --- ends -------------------------------------------------------------------------------------------------


def test_slides_are_put_to_a_path_only_where_an_end_was_freed() -> None:
    start, goal, off, by = Pose(0, 0), Pose(900, 0), Pose(0, 5), Pose(900, 5)
    path = (Pose(0, 5, 0), Pose(500, 5, 180), Pose(900, 5, 360))
    arrived = Pose(900, 0, 360)
    assert from_end_to_end(path, start, goal, (off, by)) == (start, *path, arrived)
    assert from_end_to_end(path, start, goal, (start, by)) == (*path, arrived)
    assert from_end_to_end(path, start, goal, (off, goal)) == (start, *path)


# --- curves -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "within"), [
    (0.0, 0.0), (1.0, 1.0), (-1.0, 2 * math.pi - 1), (7.0, 7 - 2 * math.pi), (-1e-12, 0.0), (-1e-6, 6.283184),
])  # fmt: skip
def test_an_angle_within_a_whole_turn_and_a_hair_below_it_is_none(angle: float, within: float) -> None:
    assert _turn(angle) == pytest.approx(within, abs=1e-6)


@pytest.mark.parametrize(("turn_deg", "left", "centre"), [
    (0.0, 500.0, (100, 700)), (90.0, 500.0, (-400, 200)), (0.0, -500.0, (100, -300)),
    (180.0, 500.0, (100, -300)),
])  # fmt: skip
def test_a_curve_to_the_left_has_its_centre_there(turn_deg: float, left: float, centre: Any) -> None:
    assert _centre(Pose(100, 200, turn_deg), left) == pytest.approx(centre)


@pytest.mark.parametrize(("start", "goal", "ends"), [
    (0.0, 90.0, ((0, 0), (90, 0))), (370.0, -10.0, ((10, 0), (170, 1))), (180.0, 360.0, ((0, 1), (0, 0))),
    (179.9999999, 0.0, ((0, 1), (0, 0))), (33.0, 33.00000001, ((33, 0), (33, 0))),
])  # fmt: skip
def test_turns_of_start_and_goal_are_among_the_base_turns_with_their_laps(
    start: float, goal: float, ends: Any
) -> None:
    """A body that is the same half a turn on: two laps make a whole turn."""
    planner: Any = SimpleNamespace(period_deg=180.0, laps=2, wall_turns=[12.0])
    turns, first, last = Planner._turns(planner, start, goal)
    assert [(turns[at], lap) for at, lap in (first, last)] == [(pytest.approx(t), lap) for t, lap in ends]
    assert turns == sorted(turns) and turns[0] >= 0 and turns[-1] < 180
    assert all(b - a > 0.01 for a, b in itertools.pairwise(turns))
    assert {12.0, *np.arange(0.0, 180.0, BASE_STEP_DEG)} <= set(turns)


def test_turns_worth_trying_lay_a_side_along_the_longest_walls() -> None:
    walls = np.array([[[0, 0], [5000, 0]], [[5000, 0], [5000, 900]], [[0, 0], [300, 300]]], float)
    ring = np.array(((0.0, 0.0), (800.0, 0.0), (800.0, 600.0), (0.0, 600.0)))
    planner: Any = SimpleNamespace(walls=walls, body=SimpleNamespace(ring=ring), period_deg=180.0)
    assert Planner.wall_turns.func(planner)[:4] == pytest.approx([0, 90, 45, 135], abs=1e-6)
    wedge = np.array(((0.0, 0.0), (800.0, 0.0), (0.0, 800.0)))
    planner = SimpleNamespace(walls=walls[:1], body=SimpleNamespace(ring=wedge), period_deg=360.0)
    assert sorted(Planner.wall_turns.func(planner)) == pytest.approx([0, 45, 90])


# --- ways -------------------------------------------------------------------------------------------------


def test_poses_that_repeat_are_left_out_but_the_last_stays_as_it_is() -> None:
    a, b, hair = Pose(0, 0, 0), Pose(1, 0, 0), Pose(1, 1e-10, 0)
    assert _without_repeats([a, a, b, hair]) == [a, hair]
    assert _without_repeats([a, Pose(0, 1, 0), Pose(0, 1, 5), Pose(0, 1, 5)]) == [
        a, Pose(0, 1, 0), Pose(0, 1, 5)
    ]  # fmt: skip
    assert _without_repeats([a, a]) == [a]


@pytest.mark.parametrize(("poses", "goal", "end"), [
    ([Pose(0, 0, 0), Pose(9, 9, 361)], Pose(10, 10, 1), Pose(10, 10, 361)),
    ([Pose(0, 0, 0), Pose(9, 9, -180)], Pose(10, 10, 180), Pose(10, 10, -180)),
    ([Pose(5, 5, 0)], Pose(10, 10, 0), Pose(10, 10, 0)), ([Pose(5, 5, 720)], Pose(5, 5, 720), None),
])  # fmt: skip
def test_a_way_ends_at_the_goal_whole_turns_added(poses: list[Pose], goal: Pose, end: Pose | None) -> None:
    found = _ending(poses, goal, 360.0)
    assert found[0] == poses[0] and found[-1] == (end or poses[0])
    assert len(found) == (1 if end is None else 2)


def test_a_way_is_cut_in_stretches_no_longer_and_turned_no_further_than_told() -> None:
    way = [Pose(0, 0, 0), Pose(2.5 * STRETCH_MM, 0, 0), Pose(2.5 * STRETCH_MM, 0, 1.5 * STRETCH_DEG)]
    found = _stretches(way)
    assert len(found) == 1 + 3 + 2 and [p for p in found if p in way] == way
    for a, b in itertools.pairwise(found):
        assert math.dist(a[:2], b[:2]) <= STRETCH_MM and abs(b.turn_deg - a.turn_deg) <= STRETCH_DEG
    assert _stretches(way[:1]) == way[:1]


@pytest.mark.parametrize(("start", "goal", "bands"), [
    (0.0, 270.0, [(0, 90), (90, 180), (180, 270), (270, 360)]),
    (30.0, 390.0, [(0, 30), (30, 90), (90, 180), (180, 270), (270, 360)]),
    (-45.0, 90.0000001, [(0, 90), (90, 180), (180, 270), (270, 315), (315, 360)]),
])  # fmt: skip
def test_bands_are_as_wide_as_each_other_and_cut_at_the_ends_turns(
    start: float, goal: float, bands: Any
) -> None:
    quest: Any = SimpleNamespace(
        planner=SimpleNamespace(whole_turn_deg=360.0), start=Pose(0, 0, start), goal=Pose(0, 0, goal)
    )
    assert _Quest._bands(quest, 4) == [pytest.approx(each, abs=1e-6) for each in bands]


def test_bands_of_a_sketch_lie_about_the_turn_along_most_lines() -> None:
    quest: Any = SimpleNamespace(planner=SimpleNamespace(whole_turn_deg=180.0), _along_deg=70.0)
    assert _Quest._bands_about(quest, 3) == [(-20, 40), (40, 100), (100, 160)]
    ends = ((0, 500), (300, 300), (-200, -200), (0, 91))
    lines = np.array([((0, 0), end) for end in ends], float)
    quest.planner.lines, quest.crowd = lambda outlines: lines, SimpleNamespace(outlines=())
    assert _Quest._along_deg.func(quest) == 45.0, "591 mm upright, 707 mm aslant"


# --- triangles --------------------------------------------------------------------------------------------


def test_deep_points_are_the_middles_of_inscribed_circles_the_roomiest_first() -> None:
    luck = np.random.default_rng(4)
    triangles = luck.uniform(0, 1000, (30, 3, 2))
    centres, radii = deep_points(triangles, 7)
    circles = [shapely.maximum_inscribed_circle(shapely.Polygon(t), tolerance=0.001) for t in triangles]
    best = sorted(circles, key=lambda c: -c.length)[:7]
    assert radii == pytest.approx([c.length for c in best], abs=0.01)
    for centre, circle in zip(centres, best, strict=True):
        assert centre == pytest.approx(circle.coords[0], abs=0.5)


def test_triangles_make_up_a_polygon_with_its_holes() -> None:
    polygon = shapely.box(0, 0, 900, 600).difference(shapely.box(300, 200, 500, 400))
    triangles = triangles_of(polygon)
    made = [shapely.Polygon(t) for t in triangles]
    assert sum(t.area for t in made) == pytest.approx(polygon.area)
    assert shapely.union_all(made).equals_exact(polygon.normalize(), 1e-6) or shapely.union_all(
        made
    ).symmetric_difference(polygon).area == pytest.approx(0, abs=1e-6)


def test_the_nearest_pairs_of_deep_points_come_first() -> None:
    luck = np.random.default_rng(6)
    a, b = (SimpleNamespace(deep=(luck.uniform(0, 100, (n, 2)), None)) for n in (12, 5))
    found = list(_near_pairs(a, b, 6))
    every = [(tuple(p), tuple(q)) for p in a.deep[0][:8] for q in b.deep[0][:8]]
    assert found == sorted(every, key=lambda pair: math.dist(*pair))[:6]


# --- cuts -------------------------------------------------------------------------------------------------


def test_a_cut_bars_the_way_and_little_of_it_is_needless() -> None:
    """Against going through the graph plainly: with all but the cut gone the goal is not reached, and with
    one more gone it is, but for few.
    """
    luck = random.Random(8)
    barred = needless = 0
    for _ in range(150):
        count, things = luck.randint(4, 14), 6
        masks = [luck.getrandbits(things) & luck.getrandbits(things) for _ in range(count)]
        edges = np.array([luck.sample(range(count), 2) for _ in range(2 * count)])
        starts, goals = {0, 1}, {count - 1}
        graph = Relaxed(masks, edges, starts, goals)

        def reached(gone: int, masks: Any = masks, edges: Any = edges, goals: Any = goals) -> bool:
            open_ = {n for n, mask in enumerate(masks) if not mask & ~gone}
            seen = open_ & {0, 1}
            while more := {
                b for pair in edges.tolist() for a, b in (pair, pair[::-1]) if a in seen and b in open_ - seen
            }:
                seen |= more
            return bool(seen & goals)

        gone, every = luck.getrandbits(things), (1 << things) - 1
        cut = graph.cut(gone, luck.sample(range(things), things))
        assert (cut is None) is reached(gone)
        if cut:
            barred += 1
            assert not cut & gone and not reached(every & ~cut)
            needless += sum(not reached(every & ~cut | 1 << t) for t in range(things) if cut >> t & 1)
    assert barred > 40 and needless < barred / 5, "what was met only after it was tried may stay"


# --- ways inside a piece ----------------------------------------------------------------------------------

PIECE = shapely.box(0, 0, 3000, 2000).difference(
    shapely.union_all([shapely.box(500, 0, 700, 1500), shapely.box(1500, 400, 1600, 2000)])
)


def test_triangles_are_joined_by_the_sides_they_share() -> None:
    triangles = triangles_of(PIECE)
    doors = _doors(triangles)
    made = [shapely.Polygon(t) for t in triangles]
    for i, j in itertools.combinations(range(len(made)), 2):
        shared = made[i].intersection(made[j])
        met = [(point, width) for other, point, width in doors.get(i, ()) if other == j]
        assert len(met) == (shared.length > 1e-6)
        for point, width in met:
            assert width == pytest.approx(shared.length)
            assert point == pytest.approx(shared.interpolate(0.5, normalized=True).coords[0])
        assert [(p, w) for other, p, w in doors.get(j, ()) if other == i] == met


def test_a_point_is_in_the_triangle_that_shapely_has_it_in_or_that_is_nearest() -> None:
    triangles = triangles_of(PIECE)
    for reverse in (False, True):
        turned = triangles[:, ::-1] if reverse else triangles
        for x, y in np.random.default_rng(3).uniform(0, 2000, (40, 2)):
            inside = [k for k, t in enumerate(turned) if shapely.Polygon(t).contains(shapely.Point(x, y))]
            if inside:
                assert _triangle_at(turned, (x, y)) == inside[0]
    assert (
        shapely.Polygon(triangles[_triangle_at(triangles, (-1.0, 900.0))]).distance(shapely.Point(0, 900)) < 1
    )


@pytest.mark.parametrize(("start", "goal"), [
    ((100.0, 100.0), (2900.0, 1900.0)), ((1400.0, 1900.0), (1700.0, 1900.0)), ((100.0, 50.0), (150.0, 60.0)),
])  # fmt: skip
def test_a_way_inside_a_piece_stays_inside_and_begins_and_ends_where_told(start: Any, goal: Any) -> None:
    way = within(Piece(0, 0.0, PIECE), start, goal)
    assert (way[0], way[-1]) == (start, goal)
    assert PIECE.buffer(1e-6).covers(shapely.LineString(way))
    assert shapely.LineString(way).length < 3 * 4000


# --- runs of squares --------------------------------------------------------------------------------------


def test_runs_of_one_thing_that_overlap_or_touch_are_one() -> None:
    """Against plain sets of squares; runs of other things stay apart."""
    luck = np.random.default_rng(9)
    for count in (0, 1, 5, 40):
        owner, first = luck.integers(0, 4, count), luck.integers(0, 60, count)
        end = first + luck.integers(1, 8, count)
        held = {(o, k) for o, a, b in zip(owner, first, end, strict=True) for k in range(a, b)}
        runs = _merged(owner, first, end)
        found = list(zip(runs.owner.tolist(), runs.first.tolist(), runs.end.tolist(), strict=True))
        assert {(o, k) for o, a, b in found for k in range(a, b)} == held
        starts = sum((o, k - 1) not in held for o, k in held)
        assert len(found) == starts and found == sorted(found)


# --- the quick way of a search ----------------------------------------------------------------------------


@pytest.mark.parametrize(("goal", "lap", "laps", "joined"), [
    (6, 0, 1, [(0, 1, 0), (0, 7, -1), (7, 6, 0)]),  # back round the turn is nearer
    (2, 0, 1, [(0, 1, 0), (0, 7, -1), (1, 2, 0)]), (0, 0, 1, []),
    (6, 1, 2, [(0, 1, 0), (0, 7, -1), (7, 6, 0)]),  # a lap on is a lap back, of two
    (1, 1, 2, [(0, 1, 0), (0, 7, -1), *((n, n - 1, 0) for n in range(7, 1, -1))]),
])  # fmt: skip
def test_a_search_goes_on_from_the_slice_whose_turn_is_nearest_to_the_goals(
    goal: int, lap: int, laps: int, joined: list[tuple[int, int, int]]
) -> None:
    pieces = [piece(n, 45.0 * n) for n in range(8)]
    made: list[tuple[int, int, int]] = []

    def join(a: Any, b: Any, step: int) -> bool:
        made.append((a.number, b.number, step))
        return True

    space = SimpleNamespace(turns_deg=[p.turn_deg for p in pieces], pieces_at=lambda place: [pieces[place]])
    search: Any = SimpleNamespace(
        space=space, laps=laps, _know=lambda each: None, _check_time=lambda: None, _join=join,
        start=SimpleNamespace(piece=pieces[0], lap=0), goal=SimpleNamespace(piece=pieces[goal], lap=lap),
    )  # fmt: skip
    search._beside = lambda *of: Search._beside(search, *of)
    assert Search._quick(search, range(8)) is True
    assert made[: len(joined)] == joined and len(made) <= 2 * len(joined)
    search._join = lambda *of: False
    assert Search._quick(search, range(8)) is (goal == lap == 0)


# --- bounds of the least shift ----------------------------------------------------------------------------


@pytest.mark.parametrize("scale", [1e-6, 1.0, 1e6])
def test_a_chain_from_wall_to_wall_costs_its_cheapest_thing(scale: float) -> None:
    """Two things that touch bar the way between two walls: what flows is what the cheaper one costs."""
    whole = lambda *numbers: np.array(numbers, dtype=np.int64)  # noqa: E731
    chains: Any = SimpleNamespace(count=2, costs=np.array([3.0, 5.0]) * scale)
    Chains._arcs(chains, whole(0), whole(1), whole(0), np.array([[0, 0], [1, 1]]))
    chains._matrix = lambda *of: Chains._matrix(chains, *of)
    bound, left = Chains.packed(chains)
    assert bound == pytest.approx(3 * scale, rel=1e-6)
    assert left == pytest.approx([0, 2 * scale], abs=1e-6 * scale)
    Chains._arcs(chains, whole(0), whole(1), whole(1), np.array([[0, 0], [1, 1]]))
    assert Chains.packed(chains)[0] == 0, "crossed evenly they shut nothing"
    chains.costs = np.zeros(2)
    assert Chains.packed(chains)[0] == 0


@pytest.mark.parametrize(("proved", "cost", "at_least", "optimal", "reason"), [
    (1.0, 3.0, 1.0, False, "too close to call in places"), (3.0, 3.0, 3.0, True, ""),
    (4.0, 3.0, 3.0, True, ""),
])  # fmt: skip
def test_asked_again_from_beside_what_was_proved_of_the_whole_way_still_holds(
    monkeypatch: pytest.MonkeyPatch, proved: float, cost: float, at_least: float, optimal: bool, reason: str
) -> None:
    start, goal, beside = Pose(0, 0), Pose(900, 0), Pose(0, 5)
    found = Shift("not decided", None, None, proved, False, reason="too close to call")
    again = Shift("goes", (1,), cost, 0.0, False, path=(beside, goal))
    monkeypatch.setattr(shift, "beside_both", lambda *of: (beside, goal))
    monkeypatch.setattr(shift, "_Quest", lambda *of, unproved: SimpleNamespace(run=lambda: again))
    told: Any = shift._from_touching(None, None, start, goal, [], None, None, found, unproved=False)
    assert (told.cost, told.cost_at_least, told.optimal, told.reason) == (cost, at_least, optimal, reason)
    assert (told.path, told.clearance_mm) == ((start, beside, goal), 0.0)
    monkeypatch.setattr(shift, "beside_both", lambda *of: None)
    assert shift._from_touching(None, None, start, goal, [], None, None, found, unproved=False) is found


def test_two_quarters_with_nothing_straight_between_lead_just_to_the_goal() -> None:
    """Circles of 100 mm that touch: a quarter to the left and a quarter to the right."""
    start, goal = Pose(0, 0, 0), Pose(200, 200, 0)
    bits = _word(start, goal, 100.0, 1.0, -1.0)
    assert bits is not None and bits[1].along_mm == pytest.approx(0, abs=1e-6)
    at = start
    for bit in bits:
        at = after(at, bit)
    assert at == pytest.approx(goal, abs=1e-6)
    assert [bit.turn_deg for bit in bits] == pytest.approx([90, 0, -90])
    assert _word(start, Pose(199, 200, 0), 100.0, 1.0, -1.0) is None, "circles that overlap"


def test_samples_along_edges_are_no_further_apart_than_a_step_or_than_so_many_allow() -> None:
    square, wall = ((0, 0), (100, 0), (100, 100), (0, 100)), ((0, 500), (70, 500))
    features: Any = [SimpleNamespace(points=square), SimpleNamespace(points=wall)]
    found = _samples(features, 25.0)
    assert len(found) == 16 + 4
    assert [x for x, y in found if y == 500] == pytest.approx([0, 70 / 3, 140 / 3, 70])
    assert {(0, 0), (25, 0), (100, 75)} <= {tuple(p) for p in found}
    many = _samples([SimpleNamespace(points=((0, 0), (10.0 * MOST_SAMPLES, 0)))], 1.0)
    assert MOST_SAMPLES / 2 < len(many) <= MOST_SAMPLES + 2
    assert len(_samples([], 1.0)) == 0
