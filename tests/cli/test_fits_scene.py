"""Scenes as JSON: all five questions answered, and every malformed scene told in one line."""

from __future__ import annotations

import copy
import json
import math
import random

import pytest

from shopbins.cli.fits.scene import answer_scene, fits

ROOM = [[0, 0], [6000, 0], [6000, 4000], [0, 4000]]
CORNER = [[0, 0], [6000, 0], [6000, 1000], [1000, 1000], [1000, 6000], [0, 6000]]


def box(x0, y0, x1, y1):
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def corner(length):
    """A body 200 wide round a corner of corridors 1000 wide: it goes up to 2 sqrt(2) 1000 - 2 200."""
    return {
        "id": "corner",
        "question": "goes",
        "outline_mm": CORNER,
        "body": {"length_mm": length, "width_mm": 200},
        "start": {"x_mm": 4700, "y_mm": 500, "turn_deg": 0},
        "goal": {"x_mm": 500, "y_mm": 4700, "turn_deg": 90},
    }


PINCH = {
    "id": "two crates",
    "question": "pinch",
    "outline_mm": [[9000, 0], [9000, 4000], [0, 4000], [0, 0]],
    "holes_mm": [],
    "things": [{"outline_mm": box(2000, 0, 4000, 1500)}, {"outline_mm": box(4100, 2100, 6100, 4000)}],
    "start": {"x_mm": 700, "y_mm": 2000},
    "goal": {"x_mm": 8300, "y_mm": 2000},
}
STAND = {
    "id": "engine block",
    "question": "stand",
    "outline_mm": ROOM,
    "things": [{"name": "stove", "outline_mm": box(0, 0, 1000, 1000)}],
    "marked": [{"name": "gangway", "outline_mm": box(0, 1500, 6000, 2500)}],
    "body": {"length_mm": 1200, "width_mm": 800},
    "near": {"x_mm": 1600, "y_mm": 400},
}
SHUFFLE = {
    "id": "bench",
    "question": "shuffle",
    "surface": {"length_mm": 1000, "width_mm": 500},
    "blocked_mm": [[0, 0, 100, 100]],
    "pieces": [{"length_mm": 900, "width_mm": 250}, {"length_mm": 250, "width_mm": 900}],
}
SHIFT = {
    "id": "barred",
    "question": "shift",
    "outline_mm": ROOM,
    "things": [
        {"outline_mm": box(3000, -100, 3300, 2000), "cost": 7},
        {"outline_mm": box(3000, 2000, 3300, 4100), "cost": 5},
    ],
    "body": {"length_mm": 900, "width_mm": 700},
    "start": {"x_mm": 1000, "y_mm": 2000},
    "goal": {"x_mm": 5000, "y_mm": 2000},
}
SOUND = [corner(2300), PINCH, STAND, SHUFFLE, SHIFT]


def test_goes_round_the_corner_and_not_when_longer():
    critical = 2 * math.sqrt(2) * 1000 - 2 * 200
    told = answer_scene(corner(critical - 5))
    assert told["answer"] == "goes"
    assert told["clearance_mm"] > 0
    assert told["path"][0] == {"x_mm": 4700.0, "y_mm": 500.0, "turn_deg": 0.0}
    last = told["path"][-1]
    assert (last["x_mm"], last["y_mm"]) == (500.0, 4700.0)
    assert (last["turn_deg"] - 90) % 180 == pytest.approx(0.0, abs=1e-9)
    assert answer_scene(corner(critical + 5))["answer"] == "does not go"


def test_what_the_gear_allows_is_said_with_the_answer():
    straight = {
        "question": "goes",
        "outline_mm": ROOM,
        "body": {"length_mm": 900, "width_mm": 700},
        "start": {"x_mm": 1000, "y_mm": 2000},
        "goal": {"x_mm": 4000, "y_mm": 2000},
        "at_most_s": 10,
    }
    for steering in ("on the spot", "own axis", {"least_radius_mm": 1500}):
        told = answer_scene(straight | {"steering": steering})
        assert told["answer"] == "goes"
        assert {"on the spot": "spot", "own axis": "own axis"}.get(str(steering), "1500 mm") in told[
            "steering"
        ]


def test_pinch_names_the_two_crates_and_the_route_keeps_between_them():
    told = answer_scene(PINCH | {"route": True})
    assert told["width_mm"] == pytest.approx(math.hypot(100, 600), abs=1e-9)
    assert told["between"] == ["thing 0", "thing 1"]
    assert sorted(told["points"]) == [[4000.0, 1500.0], [4100.0, 2100.0]]
    assert told["route_mm"][0] == [700.0, 2000.0]
    assert told["route_width_mm"] >= 0.97 * told["width_mm"]
    assert "route_mm" not in answer_scene(PINCH)
    two = answer_scene(PINCH | {"goals": [{"x_mm": 8300, "y_mm": 2000}, {"x_mm": 600, "y_mm": 3000}]})
    assert (two["goal"], two["width_mm"]) == (1, pytest.approx(1200.0))


def test_a_route_on_a_wide_floor_is_drawn_within_the_time_or_left_out_and_said():
    wide = PINCH | {"outline_mm": [[0, 0], [600_000, 0], [9000, 4000], [0, 4000]], "route": True}
    drawn = answer_scene(wide | {"at_most_s": 60})
    assert drawn["route_width_mm"] >= 0.97 * drawn["width_mm"]
    short = answer_scene(wide | {"at_most_s": 0})
    assert short["width_mm"] == drawn["width_mm"] == pytest.approx(math.hypot(100, 600))
    assert short["reason"] == "no route is drawn: the time was up"
    assert "route_mm" not in short


def test_stand_beside_the_stove():
    told = answer_scene(STAND)
    best = told["places"][0]
    assert (best["x_mm"], best["y_mm"]) == (1600.0, 400.0)
    assert best["reason"] == "against the wall and stove, leaves 700 mm to gangway"
    assert len(told["places"]) == 12
    assert len(answer_scene(STAND | {"most": 3})["places"]) == 3
    none = answer_scene(STAND | {"body": {"length_mm": 6001, "width_mm": 10}})
    assert (none["places"], none["none_for_certain"]) == ([], True)
    diagonal = answer_scene(STAND | {"body": {"length_mm": 6001, "width_mm": 10}, "turns_deg": [20]})
    assert diagonal["places"]


def test_shuffle_with_positions_and_moves():
    told = answer_scene(SHUFFLE)
    assert told["answer"] == "fits"
    assert len(told["positions"]) == 2
    assert answer_scene(SHUFFLE | {"blocked_mm": [[0, 0, 101, 100]]})["answer"] == "does not fit"
    present = [{"piece": 0, "x_mm": 100, "y_mm": 125}]
    moved = answer_scene(SHUFFLE | {"present": present})
    assert (moved["answer"], moved["moved"], moved["fewest"]) == ("fits", 1, True)
    assert moved["moves"][0]["from"] == {"x_mm": 100.0, "y_mm": 125.0, "turn_deg": 0.0}
    assert moved["moves"][-1]["from"] is None


def test_the_cheaper_thing_is_shifted():
    told = answer_scene(SHIFT)
    assert (told["cost"], told["cost_at_least"], told["shift"]) == (5.0, 5.0, [1])
    assert told["path"][-1]["x_mm"] == 5000.0


def test_two_rooms_joined_by_a_passage_are_one_floor():
    rooms = [box(0, 0, 3000, 3000), box(3200, 0, 6000, 3000), box(2999, 1000, 3201, 1900)]
    told = answer_scene(
        {
            "question": "pinch",
            "outline_mm": rooms,
            "start": {"x_mm": 1000, "y_mm": 1500},
            "goal": {"x_mm": 5000, "y_mm": 1500},
        }
    )
    assert told["width_mm"] == pytest.approx(900.0)
    assert told["id"] == 0


BOWTIE = [[0, 0], [100, 100], [100, 0], [0, 100]]


@pytest.mark.parametrize(
    ("scene", "said"),
    [
        (7, "scene 0: 7 is no object"),
        ({}, "question: missing"),
        (PINCH | {"question": "where"}, "question: 'where' is none of goes, pinch"),
        (PINCH | {"question": ["goes"]}, "is none of"),
        (PINCH | {"outline_mm": None}, "outline_mm: missing"),
        (PINCH | {"outline_mm": []}, "outline_mm: an outline needs three points, this has 0"),
        (PINCH | {"outline_mm": BOWTIE}, "outline_mm: edges 1 and 3 cross or touch at (50, 50)"),
        (PINCH | {"outline_mm": [*ROOM, [0, 0]]}, "points 5 and 1 are the same: (0, 0) (leave the last"),
        (PINCH | {"outline_mm": [[0, 0], [math.nan, 0], [5, 5]]}, "outline_mm point 2: nan is not finite"),
        (PINCH | {"outline_mm": [[0, 0], [10**400, 0], [5, 5]]}, "is not finite"),
        (PINCH | {"outline_mm": [[0, 0], [True, 0], [5, 5]]}, "True is no number"),
        (PINCH | {"outline_mm": [[0, 0], [9, 0, 1], [5, 5]]}, "is no pair of numbers"),
        (PINCH | {"outline_mm": [[0, 0], [9e99, 0], [5, 5]]}, "is not between"),
        (PINCH | {"outline_mm": [[0, 0], [900, 0], [400, 0]]}, "outline_mm: the outline has no area"),
        (PINCH | {"holes_mm": [BOWTIE]}, "holes_mm[0]: edges 1 and 3"),
        (PINCH | {"things": [{"outline_mm": BOWTIE}]}, "things[0].outline_mm: edges 1 and 3"),
        (PINCH | {"things": [{}]}, "things[0].outline_mm: missing"),
        (PINCH | {"things": {"a": 1}}, "is no list"),
        (PINCH | {"start": {"x_mm": 700}}, "start.y_mm: missing"),
        (PINCH | {"start": {"x_mm": -700, "y_mm": 5}}, "start: it lies off the floor"),
        (PINCH | {"start": {"x_mm": 2500, "y_mm": 500}}, "start: it lies in things[0]"),
        (PINCH | {"goal": {"x_mm": 4500, "y_mm": 3000}}, "goal: it lies in things[1]"),
        (PINCH | {"start": "here"}, "start: 'here' is no object"),
        (corner(0), "body.length_mm: 0 mm is no size"),
        (corner(-5), "body.length_mm: -5 mm is no size"),
        (corner(math.inf), "body.length_mm: inf is not finite"),
        (corner("long"), "body.length_mm: 'long' is no number"),
        (corner(9000), "start: the body overlaps wall"),
        (corner(900) | {"body": None}, "body: missing"),
        (corner(1100) | {"goal": {"x_mm": 500, "y_mm": 4700}}, "goal: the body overlaps wall"),
        (corner(900) | {"things": [{"outline_mm": box(4000, 400, 4300, 500)}]}, "start: the body stands"),
        (corner(900) | {"things": [{"outline_mm": box(400, 4600, 460, 4700)}]}, "goal: the body stands"),
        (corner(900) | {"steering": "by horse"}, "steering: 'by horse' is none of"),
        (corner(900) | {"steering": {"least_radius_mm": -1}}, "steering.least_radius_mm: -1 is not between"),
        (SHIFT | {"steering": "own axis"}, "steering: the least to shift is found for turning on the spot"),
        (SHIFT | {"things": [{"outline_mm": box(1, 1, 2, 2), "cost": -1}]}, "things[0].cost: -1 is"),
        (STAND | {"turns_deg": []}, "turns_deg: no turn is allowed"),
        (STAND | {"turns_deg": [0, None]}, "turns_deg[1]: None is no number"),
        (STAND | {"most": 0}, "most: 0 is not between"),
        (SHUFFLE | {"surface": {"length_mm": 1000}}, "surface.width_mm: missing"),
        (SHUFFLE | {"pieces": None}, "pieces: missing"),
        (SHUFFLE | {"pieces": [{"length_mm": 3, "width_mm": math.nan}]}, "pieces[0].width_mm: nan"),
        (SHUFFLE | {"blocked_mm": [[0, 0, 5]]}, "blocked_mm[0]: four numbers are needed"),
        (SHUFFLE | {"blocked_mm": [[5, 0, 5, 9]]}, "leave no area"),
        (SHUFFLE | {"present": [{"piece": 2, "x_mm": 0, "y_mm": 0}]}, "there is no piece 2"),
        (SHUFFLE | {"present": [{"piece": 0, "x_mm": 0, "y_mm": 200, "turn_deg": 9}]}, "is no quarter turn"),
        (SHUFFLE | {"present": [{"piece": 0, "x_mm": 0, "y_mm": 0}]}, "lies on a blocked part"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_scene_is_said_in_one_line(scene, said):
    told = answer_scene(scene)
    assert set(told) == {"id", "seconds", "problem"}
    assert said in told["problem"]
    assert "\n" not in told["problem"]
    assert "program failed" not in told["problem"]


JUNK = [
    None,
    True,
    -1,
    0,
    1e300,
    math.nan,
    math.inf,
    "x",
    "",
    [],
    {},
    [[]],
    [[0, 0]],
    {"x_mm": 1},
    10**30,
    [None],
]


def spoiled(rng, value):
    """Replace one value somewhere within by junk, or take it out."""
    value = copy.deepcopy(value)
    place, key = value, rng.choice(list(value))
    while isinstance(place[key], (list, dict)) and place[key] and rng.random() < 0.7:
        place = place[key]
        key = rng.choice(list(place)) if isinstance(place, dict) else rng.randrange(len(place))
    if rng.random() < 0.2:
        del place[key]
    else:
        place[key] = rng.choice(JUNK)
    return value


def test_spoiled_scenes_never_end_in_anything_but_an_answer_or_a_problem():
    rng = random.Random(1)
    problems = 0
    for k in range(400):
        scene = spoiled(rng, SOUND[k % len(SOUND)]) | {"at_most_s": 2}
        told = answer_scene(scene)
        json.dumps(told, allow_nan=False)
        assert "program failed" not in told.get("problem", ""), (scene, told)
        problems += "problem" in told
    assert 200 < problems < 400


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "no JSON"),
        (b"{", "scenes.json:1:2: no JSON"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"[" * 100_000, "nested too deeply"),
        (b"[" + b"9" * 5000 + b"]", "a number too long"),
    ],
)
def test_files_that_are_no_scenes_are_told_in_one_line(tmp_path, data, said):
    file = tmp_path / "scenes.json"
    file.write_bytes(data)
    answers, status = fits(file)
    assert (len(answers), status) == (1, 1)
    assert said in answers[0]["problem"]


def test_a_file_of_scenes_one_scene_and_no_file(tmp_path):
    file = tmp_path / "scenes.json"
    file.write_text(json.dumps([PINCH, SHUFFLE]), encoding="utf-8")
    answers, status = fits(file)
    assert ([a["id"] for a in answers], status) == (["two crates", "bench"], 0)
    file.write_text(json.dumps(PINCH), encoding="utf-8")
    assert fits(file)[0][0]["width_mm"] == pytest.approx(math.hypot(100, 600))
    file.write_text(json.dumps([PINCH, PINCH | {"start": None}]), encoding="utf-8")
    answers, status = fits(file)
    assert ["problem" in a for a in answers] == [False, True]
    assert status == 1
    assert fits(tmp_path / "none.json")[1] == 1
    assert fits(tmp_path)[1] == 1


@pytest.mark.parametrize(
    ("scene", "line"),
    [
        (corner(2300) | {"either_way": "false"}, "either_way: 'false' is neither true nor false"),
        (corner(2300) | {"either_way": 0}, "either_way: 0 is neither true nor false"),
        (SHIFT | {"either_way": "no"}, "either_way: 'no' is neither true nor false"),
        (PINCH | {"route": "true"}, "route: 'true' is neither true nor false"),
        (
            SHUFFLE | {"pieces": [{"length_mm": 9, "width_mm": 9, "may_turn": "false"}]},
            "pieces[0].may_turn: 'false' is neither true nor false",
        ),
        (SHUFFLE | {"pieces": [{"length_mm": 9, "width_mm": 9, "name": 7}]}, "pieces[0].name: 7 is no text"),
        (STAND | {"most": 2.5}, "most: 2.5 is no whole number"),
        (STAND | {"most": "3"}, "most: '3' is no number"),
        (corner(2300) | {"at_most_s": "10"}, "at_most_s: '10' is no number"),
    ],
)
def test_a_word_of_the_wrong_type_is_told_in_one_line(scene, line):
    assert answer_scene(scene).get("problem") == line


@pytest.mark.parametrize(
    ("scene", "said"),
    [
        (corner(900) | {"hole_mm": [box(2000, -1, 2200, 1001)]}, "hole_mm: no such key (holes_mm?)"),
        (corner(900) | {"steer": "own axis"}, "steer: no such key (steering?)"),
        (
            corner(900) | {"steering": {"least_radius": 5}},
            "steering.least_radius: no such key (least_radius_mm?)",
        ),
        (
            corner(900) | {"start": {"x_mm": 4700, "y_mm": 500, "turn": 45}},
            "start.turn: no such key (turn_deg?)",
        ),
        (corner(900) | {"body": {"length": 900}}, "body.length: no such key (length_mm?)"),
        (
            corner(900) | {"body": {"outline_mm": box(0, 0, 9, 9), "width_mm": 9}},
            "body.width_mm: it has an outline",
        ),
        (
            SHIFT | {"things": [{"outline_mm": box(1, 1, 2, 2), "costs": 5}]},
            "things[0].costs: no such key (cost?)",
        ),
        (
            STAND | {"marked": [{"outline_mm": ROOM, "cost": 5}]},
            "marked[0].cost: no such key (name, outline_mm?)",
        ),
        (STAND | {"nearby": {"x_mm": 0, "y_mm": 0}}, "nearby: no such key (near?)"),
        (SHUFFLE | {"surface": {"length_mm": 9, "width_mm": 9, "gap_mm": 5}}, "surface.gap_mm: no such key"),
        (
            SHUFFLE | {"pieces": [{"length_mm": 9, "width_mm": 9, "turn": False}]},
            "pieces[0].turn: no such key",
        ),
        (
            SHUFFLE | {"present": [{"piece": 0, "x_mm": 0, "y_mm": 0, "turned": 1}]},
            "present[0].turned: no such",
        ),
        (PINCH | {"q" * 99: 1}, "no such key (id, question, outline_mm"),
    ],
)
def test_a_key_that_is_none_is_told_with_the_one_that_may_be_meant(scene, said):
    assert said in answer_scene(scene).get("problem", "")
