"""Where it can stand: every place is looked at by shapely, and 'none' by trying a fine grid of places."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.ops import unary_union

from shopbins.cli.fits.scene import answer_scene
from shopbins.geometry.shapes import Box, FloorProblem, Pose, placed, rectangle
from shopbins.kernel.benchtop import stand_upright
from shopbins.kernel.places import reason_of
from shopbins.kernel.stand import stand

QUARTERS = (0, 90, 180, 270)


def box(x0, y0, x1, y1):
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def crowd(rng, count, size):
    return [
        (
            f"crate {k}",
            placed(
                rectangle(rng.uniform(200, 900), rng.uniform(200, 600)),
                Pose(rng.uniform(0, size[0]), rng.uniform(0, size[1]), rng.uniform(0, 360)),
            ),
        )
        for k in range(count)
    ]


def prepared(shapes):
    """Return what shapes cover together, ready to be asked many times."""
    whole = unary_union(shapes)
    shapely.prepare(whole)
    return whole


def on_a_grid(across, up):
    """Return x and y of every crossing."""
    x, y = np.meshgrid(across, up)
    return x.ravel(), y.ravel()


def looked_at(floor, never, marked, body, place):
    """Check a place by areas: no more than 0.001 mm over the floor's edge or over a thing."""
    shape = affinity.translate(
        affinity.rotate(Polygon(body), place.pose.turn_deg, (0, 0)), place.pose.x_mm, place.pose.y_mm
    )
    smaller = shape.buffer(-0.0011, join_style="mitre")
    assert floor.contains(smaller)
    assert not any(Polygon(o).intersects(smaller) for _, o in never)
    touched = {name for name, o in marked if Polygon(o).intersection(smaller).area > 0}
    assert touched <= set(place.marked)


def test_places_in_crowded_rooms_are_free_and_cheapest_first():
    rng = random.Random(1)
    found = 0
    for k in range(25):
        size = (6000.0, 4000.0)
        never = crowd(rng, 5 + k, size)
        marked = [("main way", box(0, 1500, 6000, 2400))]
        body = rectangle(rng.uniform(300, 1500), rng.uniform(200, 800))
        near = (rng.uniform(0, 6000), rng.uniform(0, 4000)) if k % 2 else None
        told = stand(box(0, 0, *size), never, marked, body, range(0, 360, 30), near=near)
        for place in told.places:
            looked_at(Polygon(box(0, 0, *size)), never, marked, body, place)
        clear = [not p.marked for p in told.places]
        assert clear == sorted(clear, reverse=True)
        for group in (True, False):
            costs = [p.cost for p in told.places if bool(p.marked) == group]
            assert costs == sorted(costs)
        found += len(told.places)
    assert found > 100


def test_none_means_that_a_fine_grid_of_places_has_none_either():
    rng = random.Random(2)
    answers = {True: 0, False: 0}
    for _ in range(30):
        never = crowd(rng, 10, (2400.0, 1800.0))
        length, width = rng.uniform(500, 1300), rng.uniform(300, 900)
        told = stand(box(0, 0, 2400, 1800), never, [], rectangle(length, width), QUARTERS)
        taken = prepared([Polygon(o) for _, o in never])
        tried = False
        for a, b in ((length, width), (width, length)):
            x, y = on_a_grid(np.arange(0, 2400 - a, 25), np.arange(0, 1800 - b, 25))
            tried = tried or not shapely.intersects(taken, shapely.box(x, y, x + a, y + b)).all()
        assert told.places or not tried
        assert told.none_for_certain == (not told.places)
        answers[bool(told.places)] += 1
    assert min(answers.values()) > 3


def test_the_nearest_place_is_nearer_than_any_on_a_grid():
    rng = random.Random(3)
    for _ in range(12):
        never = crowd(rng, 8, (4000.0, 3000.0))
        near = (rng.uniform(500, 3500), rng.uniform(500, 2500))

        def far(pose, outline, near=near):
            return math.dist((pose.x_mm, pose.y_mm), near)

        told = stand(box(0, 0, 4000, 3000), never, [], rectangle(700, 500), (0,), near=near, most=1, cost=far)
        taken = prepared([Polygon(o) for _, o in never])
        x, y = on_a_grid(np.arange(350, 3651, 30), np.arange(250, 2751, 30))
        free = ~shapely.intersects(taken, shapely.box(x - 350, y - 250, x + 350, y + 250))
        if free.any():
            assert told.places[0].cost <= np.hypot(x - near[0], y - near[1])[free].min() + 0.02
            looked_at(Polygon(box(0, 0, 4000, 3000)), never, [], rectangle(700, 500), told.places[0])


@pytest.mark.parametrize("turn", [0.0, 33.0, 90.0, 161.0])
def test_a_niche_exactly_as_wide_is_found_and_one_a_hundredth_narrower_is_none(turn):
    pose = Pose(777.0, -55.0, turn)
    niche = ((0.0, 0.0), (5000.0, 0.0), (5000.0, 400.0), (2000.0, 400.0), (2000.0, 1200.0), (1200.0, 1200.0),
             (1200.0, 400.0), (0.0, 400.0))  # fmt: skip
    floor = placed(niche, pose)
    told = stand(floor, [], [], rectangle(1200, 800), (turn, turn + 90), most=3)
    (x, y) = placed(((1600.0, 600.0),), pose)[0]
    assert len(told.places) == 1
    assert (told.places[0].pose.x_mm, told.places[0].pose.y_mm) == pytest.approx((x, y), abs=0.002)
    assert "against the wall" in told.places[0].reason
    assert stand(floor, [], [], rectangle(1200, 800.01), (turn, turn + 90)).none_for_certain
    assert stand(floor, [], [], rectangle(1200.01, 800), (turn, turn + 90)).none_for_certain
    assert stand(floor, [], [], rectangle(1200, 800), (turn + 45,)).none_for_certain


def test_marked_areas_are_kept_clear_while_there_is_room_and_named_when_not():
    floor = box(0, 0, 3000, 2000)
    way = ("gangway", box(0, 900, 3000, 2000))
    low, tall = rectangle(1000, 800), rectangle(1000, 950)
    told = stand(floor, [], [way], low, (0,), most=2)
    assert [p.marked for p in told.places] == [(), ()]
    assert "leaves 100 mm to gangway" in told.places[0].reason
    told = stand(floor, [], [way], tall, (0,), most=3)
    assert all(p.marked == ("gangway",) for p in told.places)
    assert "stands in gangway" in told.places[0].reason
    assert not told.none_for_certain
    exact = stand(floor, [], [("gangway", box(0, 950, 3000, 2000))], tall, (0,), most=1).places[0]
    assert exact.marked == ()
    assert "leaves 0 mm to gangway" in exact.reason


def test_places_are_told_the_cheapest_first_those_in_a_marked_area_last():
    """On a grid of ten inches: a marked area opens corners clear of it that are cheaper than others."""
    in_mm = 254.0
    floor = box(0, 0, 4 * in_mm, 4 * in_mm)
    never = [
        ("pillar", box(2 * in_mm, 0, 3 * in_mm, in_mm)),
        ("low", box(in_mm, 2.5 * in_mm, 2 * in_mm, 3 * in_mm)),
        ("tall", box(3 * in_mm, in_mm, 4 * in_mm, 3 * in_mm)),
        ("top", box(3 * in_mm, 3 * in_mm, 4 * in_mm, 4 * in_mm)),
    ]
    marked = [("way", box(in_mm, 0, 2 * in_mm, 4 * in_mm))]
    body, near = rectangle(253.99, 254.0), (3 * in_mm, 4 * in_mm)
    told = stand(floor, never, marked, body, (0, 270, 180, 90), near=near, most=40)
    as_told = [(bool(p.marked), p.cost) for p in told.places]
    assert as_told == sorted(as_told)
    assert {m for m, _ in as_told} == {True, False}


def test_turning_and_mirroring_the_room_changes_no_cost():
    rng = random.Random(4)
    for _ in range(10):
        never = crowd(rng, 8, (4000.0, 3000.0))
        marked = [("way", box(0, 1300, 4000, 1700))]
        near = (rng.uniform(0, 4000), rng.uniform(0, 3000))
        told = stand(box(0, 0, 4000, 3000), never, marked, rectangle(800, 500), QUARTERS, near=near)
        pose = Pose(rng.uniform(-9e3, 9e3), rng.uniform(-9e3, 9e3), rng.choice((0, 90, 37.5)))

        def moved(named, pose=pose):
            return [(name, placed(o, pose)) for name, o in named]

        again = stand(
            placed(box(0, 0, 4000, 3000), pose), moved(never), moved(marked), rectangle(800, 500),
            [t + pose.turn_deg for t in QUARTERS], near=placed((near,), pose)[0],
        )  # fmt: skip
        assert [p.cost for p in again.places[:3]] == pytest.approx([p.cost for p in told.places[:3]], abs=1.0)


def test_rooms_joined_by_a_passage_and_a_body_about_one_of_its_corners():
    rooms = [box(0, 0, 2000, 2000), box(2200, 0, 4200, 2000), box(1999, 600, 2201, 1500)]
    body = box(0, 0, 1100, 700)
    told = stand(rooms, [], [], body, (0, 90), near=(2000.0, 900.0), most=4)
    floor = unary_union([Polygon(r) for r in rooms])
    assert len(told.places) == 4
    for place in told.places:
        looked_at(floor, [], [], body, place)
    middle = stand(rooms, [], [], rectangle(1100, 700), (0, 90), near=(2100.0, 1050.0), most=1).places[0]
    assert (middle.pose.x_mm, middle.pose.y_mm) == (2100.0, 1050.0)  # it stands in the passage


def test_stepping_shows_places_that_differ():
    told = stand(box(0, 0, 6000, 4000), [], [], rectangle(800, 600), QUARTERS, near=(3000.0, 2000.0))
    assert len(told.places) == 12
    for p, q in itertools.combinations(told.places, 2):
        apart = math.dist((p.pose.x_mm, p.pose.y_mm), (q.pose.x_mm, q.pose.y_mm))
        assert apart >= 300 or p.pose.turn_deg != q.pose.turn_deg


@pytest.mark.parametrize(
    ("body", "turns", "said"),
    [
        (((0, 0), (math.nan, 0), (1, 1)), (0,), "body"),
        (((0, 0), (100, 100), (100, 0), (0, 100)), (0,), "cross"),
        (rectangle(100, 100), (math.inf,), "turn"),
    ],
)
def test_bodies_and_turns_that_are_none_are_refused(body, turns, said):
    with pytest.raises(FloorProblem, match=said):
        stand(box(0, 0, 3000, 2000), [], [], body, turns)


# --- benches ------------------------------------------------------------------------------------------------


def free_on_bench(surface, boxes, length, width, x, y):
    inside = x >= -1e-6 and y >= -1e-6 and x + length <= surface[0] + 1e-6 and y + width <= surface[1] + 1e-6
    return inside and all(
        x >= u1 - 2e-6 or x + length <= u0 + 2e-6 or y >= v1 - 2e-6 or y + width <= v0 + 2e-6
        for _, (u0, v0, u1, v1) in boxes
    )


def test_benches_agree_with_trying_every_whole_millimetre():
    rng = random.Random(5)
    answers = {True: 0, False: 0}
    for _ in range(400):
        surface = (rng.randrange(8, 16), rng.randrange(6, 12))
        boxes = []
        for k in range(rng.randrange(7)):
            x, y = rng.randrange(surface[0]), rng.randrange(surface[1])
            boxes.append((f"box {k}", Box(x, y, x + rng.randrange(1, 6), y + rng.randrange(1, 5))))
        length, width = rng.randrange(2, 10), rng.randrange(2, 8)
        told = stand_upright(surface, boxes, (length, width))
        possible = any(
            free_on_bench(surface, boxes, a, b, x, y)
            for a, b in ((length, width), (width, length))
            for x in range(surface[0])
            for y in range(surface[1])
        )
        assert bool(told.places) == possible
        assert told.none_for_certain == (not possible)
        for place in told.places:
            a, b = (length, width) if place.pose.turn_deg == 0 else (width, length)
            assert free_on_bench(surface, boxes, a, b, place.pose.x_mm - a / 2, place.pose.y_mm - b / 2)
        for one, other in itertools.combinations([place.pose for place in told.places], 2):
            apart = math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm))
            assert one.turn_deg != other.turn_deg or apart >= min(length, width) / 2, "told twice"
        answers[possible] += 1
    assert min(answers.values()) > 80


def test_a_bench_place_to_the_millimetre_and_its_reason():
    boxes = [("vice", Box(0.0, 0.0, 700.0, 500.0)), ("head", Box(900.0, 0.0, 1500.0, 500.0))]
    told = stand_upright((1500.0, 500.0), boxes, (500.0, 200.0))
    assert [(p.pose.x_mm, p.pose.y_mm, p.pose.turn_deg) for p in told.places] == [(800.0, 250.0, 90.0)]
    assert told.places[0].cost == 0.0
    assert told.places[0].reason == "against the edge and head and vice"
    assert stand_upright((1500.0, 500.0), boxes, (500.0, 200.1)).none_for_certain


def test_the_last_gap_on_a_bench_takes_just_what_fills_it_in_any_unit():
    """Sixteenths and thirds of an inch, tenths of a mm, side by side: the sums by hand, as whole numbers."""
    rng = random.Random(5)
    for _ in range(600):
        unit = rng.choice((25.4 / 16, 25.4 / 64, 25.4 / 3, 0.1))
        cells = [rng.randrange(1, 40) for _ in range(rng.randrange(2, 9))]
        gap = rng.randrange(len(cells))
        boxes = []
        for k, cell in enumerate(cells):
            if k != gap:
                left = sum(cells[:k]) * unit
                boxes.append((f"box {k}", Box(left, 0.0, left + cell * unit, 100.0)))
        surface, last = (sum(cells) * unit, 100.0), cells[gap] * unit
        assert not stand_upright(surface, boxes, (last, 100.0)).none_for_certain
        assert stand_upright(surface, boxes, (last + 1e-5, 100.0)).none_for_certain


def test_sizes_that_are_none_are_refused_on_benches():
    for piece in ((0.0, 5.0), (math.nan, 5.0), (-1.0, 5.0)):
        with pytest.raises(FloorProblem, match="no size"):
            stand_upright((1500.0, 500.0), [], piece)


def test_what_stand_offers_goes_can_leave_and_reach():
    """Places that touch, or cut as deep as touching allows, among turned crates; 35 in 100 were undecided."""
    rng = random.Random(3)
    answers = set()
    for _ in range(8):
        things = [
            placed(rectangle(rng.uniform(200, 1200), rng.uniform(200, 900)), Pose(x, y, rng.uniform(0, 180)))
            for x, y in [(rng.uniform(0, 6000), rng.uniform(0, 4000)) for _ in range(rng.randint(1, 4))]
        ]
        scene = {
            "outline_mm": [[0, 0], [6000, 0], [6000, 4000], [0, 4000]],
            "things": [{"outline_mm": [list(p) for p in t]} for t in things],
            "body": {"length_mm": 1200, "width_mm": 800},
        }
        near = {"x_mm": rng.uniform(0, 6000), "y_mm": rng.uniform(0, 4000)}
        told = answer_scene(scene | {"question": "stand", "near": near, "most": 4, "turns_deg": [0, 90, 31]})
        places = told["places"]
        for place in places[1:]:
            way = answer_scene(scene | {"question": "goes", "start": places[0], "goal": place})
            answers.add(way["answer"])
            assert way["answer"] in ("goes", "does not go"), (scene, places[0], place, way)
    assert "goes" in answers


@pytest.mark.parametrize("deep_mm", [0.0, 0.0005, 0.001])
def test_a_body_slides_out_of_a_niche_as_wide_as_itself(deep_mm):
    """It touches on both sides all along; cut deeper than touching it is refused."""
    niche = [
        [0, 0],
        [3000, 0],
        [3000, 1500],
        [4500, 1500],
        [4500, 2300],
        [3000, 2300],
        [3000, 4000],
        [0, 4000],
    ]
    scene = {
        "question": "goes",
        "outline_mm": niche,
        "body": {"length_mm": 1200, "width_mm": 800},
        "start": {"x_mm": 3900 + deep_mm, "y_mm": 1900},
        "goal": {"x_mm": 1000, "y_mm": 1000, "turn_deg": 90},
    }
    assert answer_scene(scene)["answer"] == "goes"
    assert "problem" in answer_scene(scene | {"start": {"x_mm": 3900.01, "y_mm": 1900}})
    wider = answer_scene(scene | {"body": {"length_mm": 1200, "width_mm": 801}})
    assert "problem" in wider


def test_rounding_a_place_pushes_no_slim_wall_deeper_into_it_than_touching():
    """Little of the body lies outside the floor at a spike, yet the tip was 0.002 mm deep in it."""
    tip = (1021.269911, 1220.887028)
    floor = [[4000, 4000], [4000, 0], [1703.6, 0], list(tip), [934.1, 657.875], [0, 657.875]]
    floor.append([0, 4000])
    half = 480.695
    frame = [[-half, -277.291], [half, -277.291], [half, -138.645], [-342.05, -138.645], [-342.05, 138.645]]
    frame += [[half, 138.645], [half, 277.291], [-half, 277.291]]
    scene = {"outline_mm": floor, "body": {"outline_mm": frame}}
    near = {"x_mm": 634.92, "y_mm": 1323.98}
    places = answer_scene(scene | {"question": "stand", "near": near, "most": 5, "turns_deg": [90]})["places"]
    on_the_tip = [p for p in places if abs(p["y_mm"] - half - tip[1]) < 0.01]
    assert on_the_tip
    assert all(p["y_mm"] - half >= tip[1] - 0.001 for p in on_the_tip)
    goal = {"x_mm": 2500, "y_mm": 2500, "turn_deg": 90}
    for place in places:
        way = answer_scene(scene | {"question": "goes", "start": place, "goal": goal, "at_most_s": 10})
        assert way["answer"] == "goes", (place, way)


@pytest.mark.parametrize(("wider", "deeper", "free_mm"), [
    (0.0, 0.0, 0.0), (0.9, 0.9, 0.0), (1.5, 0.0, 100.0), (0.0, 1.5, 200.0), (1.5, 1.5, 300.0),
])  # fmt: skip
@pytest.mark.parametrize("turned", [False, True])
def test_in_a_pocket_on_a_bench_a_piece_touches_on_every_side_to_a_millimetre(wider, deeper, free_mm, turned):
    """Of an edge 600 mm long, what is free costs its share of 500 mm (the cost the docstring gives)."""
    x1, y1 = 400 + 200 + wider, 200 + 100 + deeper
    around = [Box(0, 0, 400, 600), Box(x1, 0, 1000, 600), Box(400, 0, x1, 200), Box(400, y1, x1, 600)]
    surface, piece = (1000.0, 600.0), (200.0, 100.0)
    if turned:
        around = [Box(b, a, d, c) for a, b, c, d in around]
        surface, piece = surface[::-1], piece[::-1]
    boxes = [(f"box {k}", each) for k, each in enumerate(around)]
    found = stand_upright(surface, boxes, piece)
    assert found.places[0].cost == pytest.approx(500.0 * free_mm / 600.0)


@pytest.mark.parametrize(("room", "along"), [
    ((6000, 4000), 2200), ((6000, 800), 3600), ((1400, 800), 4400), ((6000, 810), 2200),
])  # fmt: skip
def test_the_cost_is_500_less_the_share_of_its_edge_along_a_wall(room, along):
    """Of an edge 4400 mm long in a corner 2200 run along a wall, in a lane as wide as it 3600."""
    found = stand(box(0, 0, *room), [], [], rectangle(1400, 800), (0.0,))
    assert found.places[0].cost == pytest.approx(500.0 * (1 - along / 4400.0))


@pytest.mark.parametrize(
    ("wall", "things", "ways", "touched", "said"),
    [
        (0.0, [], [], [], "against the wall"),
        (0.0, [("vice", 0.0)], [], [], "against the wall and vice"),
        (900.0, [("vice", 0.0), ("saw", 0.0), ("lathe", 0.0)], [], [], "against lathe and saw"),
        (None, [("vice", 0.0)], [], [], "against vice"),
        (900.0, [("vice", 80.0), ("saw", 70.0)], [], [], "70 mm from saw"),
        (60.0, [("vice", 80.0)], [], [], "60 mm from the wall"),
        (None, [], [], [], "free on all sides"),
        (None, [], [("gangway", 500.0), ("door", 40.0)], [], "leaves 40 mm to door"),
        (None, [], [("gangway", -5.0)], ["gangway", "bay"],
         "leaves 0 mm to gangway, stands in gangway, stands in bay"),
        (0.0, [], [("gangway", 7.0)], [], "against the wall, leaves 7 mm to gangway"),
    ],
)  # fmt: skip
def test_a_place_is_said_by_what_it_touches_or_is_nearest_to(wall, things, ways, touched, said):
    assert reason_of(wall, things, ways, touched) == said
