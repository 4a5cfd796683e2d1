"""Input that makes no sense is one clear line, and what is odd but sound is answered."""

from __future__ import annotations

import math

import pytest

from shopbins.geometry.shapes import FloorProblem, Outline, Pose, rectangle
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, NOT_DECIDED, TOO_CLOSE
from shopbins.kernel.planner import Planner


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


ROOM, BODY, A, B = box(0, 0, 6000, 3000), rectangle(1000, 600), Pose(1000, 1500), Pose(5000, 1500)
NAN = math.nan

PROBLEMS = [
    ("edges 1 and 3 cross", {"floor": ((0, 0), (6000, 3000), (6000, 0), (0, 3000))}),
    ("needs three points, this has 2", {"floor": ((0, 0), (6000, 0), (6000, 0), (0, 0))}),
    ("no area", {"floor": ((0, 0), (3000, 0), (6000, 0))}),
    ("point 2 is not finite", {"floor": ((0, 0), (NAN, 0), (6000, 3000))}),
    ("not a pair", {"floor": ((0, 0), (6000,), (6000, 3000))}),
    ("10 km", {"floor": ((0, 0), (6e9, 0), (6e9, 3e9))}),
    ("none given", {"floor": ()}),
    ("leave no floor", {"holes": [box(-1, -1, 7000, 4000)]}),
    ("hole 0.*cross", {"holes": [((0, 0), (600, 300), (600, 0), (0, 300))]}),
    ("thing 0.*no area", {"things": [((1, 1), (2, 2), (3, 3))]}),
    ("thing 1.*not finite", {"things": [box(2000, 0, 2100, 100), ((0, 0), (math.inf, 0), (0, 9))]}),
    ("body.*no area", {"body": ((0, 0), (900, 0), (1800, 0))}),
    ("body.*too thin", {"body": rectangle(7000, 0.003)}),
    ("start.*overlaps wall", {"body": rectangle(7000, 600)}),
    ("start.*overlaps wall", {"start": Pose(300, 1500)}),
    ("start.*not on the free floor", {"start": Pose(-3000, 1500)}),
    ("goal.*not on the free floor", {"holes": [box(4900, 1400, 5100, 1600)]}),
    ("start.*inside thing 0", {"things": [box(-100, 100, 2500, 2900)]}),
    ("start.*overlaps thing 1", {"things": [box(3000, 0, 3100, 100), box(1400, 1700, 1800, 2000)]}),
    ("start.*overlaps thing 0", {"things": [box(990, 1490, 1010, 1510)]}),
    ("goal.*overlaps hole 0", {"holes": [box(5400, 1700, 5800, 2000)]}),
    ("start.*not finite", {"start": Pose(NAN, 1500)}),
    ("goal.*not finite", {"goal": Pose(5000, 1500, math.inf)}),
]


@pytest.mark.parametrize(("says", "changed"), PROBLEMS)
def test_one_clear_line(says: str, changed: dict[str, object]) -> None:
    scene = {"floor": ROOM, "holes": [], "things": [], "body": BODY, "start": A, "goal": B} | changed
    with pytest.raises(FloorProblem, match=says) as caught:
        goes(**scene)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value) and len(str(caught.value)) < 120


def test_odd_but_sound_input_is_answered() -> None:
    repeated = ((0, 0), (0, 0), (6000, 0), (6000, 1e-7), (6000, 3000), (0, 3000), (0, 0))
    assert goes(repeated, [], [], BODY, A, B).answer == GOES
    clockwise = tuple(reversed(ROOM))
    assert goes(clockwise, [], [tuple(reversed(box(2900, 0, 3000, 1000)))], BODY[::-1], A, B).answer == GOES
    overlapping = [box(2900, 0, 3000, 2000), box(2950, 1500, 3100, 3000), box(2900, 0, 3000, 2000)]
    assert goes(ROOM, [], overlapping, BODY, A, B).answer == DOES_NOT_GO
    outside = [box(8000, 0, 9000, 900), box(-500, -500, 100, 100)]
    assert goes(ROOM, [], outside, BODY, A, B).answer == GOES
    hollow: Outline = (
        (2000, 500), (4000, 500), (4000, 2500), (2000, 2500),
        (2000, 2300), (3800, 2300), (3800, 700), (2000, 700),
    )  # fmt: skip
    inside = goes(ROOM, [], [hollow], rectangle(400, 300), A, Pose(3000, 1500))
    assert inside.answer == GOES
    assert goes(ROOM, [], [hollow], rectangle(400, 300), B, Pose(3000, 1500)).answer == GOES
    assert goes(ROOM, [], [hollow], BODY, A, Pose(5200, 1500)).answer == DOES_NOT_GO


def test_a_reference_point_off_the_body() -> None:
    off = tuple((x + 2000, y - 300) for x, y in BODY)
    start, goal = Pose(-1000, 1800, 0), Pose(5300, 3500, 90.0)
    answer = goes(ROOM, [], [box(2900, 0, 3000, 1500)], off, start, Pose(3000, 1800, 0))
    assert answer.answer == GOES and answer.path[0] == start
    with pytest.raises(FloorProblem, match="goal"):
        goes(ROOM, [], [], off, start, goal)


def test_staying_is_going() -> None:
    answer = goes(ROOM, [], [], BODY, A, A)
    assert answer.answer == GOES and answer.clearance_mm == pytest.approx(500) and answer.path[0] == A


def test_touching_is_never_certain() -> None:
    against_the_wall = Pose(500, 1500)
    answer = goes(ROOM, [], [], BODY, against_the_wall, B)
    assert answer.answer == TOO_CLOSE and answer.within_mm is not None and answer.within_mm <= 0.1
    exact = goes(box(0, 0, 6000, 600), [], [], BODY, Pose(1000, 300), Pose(5000, 300))
    assert exact.answer == TOO_CLOSE
    walled = [box(3000, -1, 3100, 3001)]
    assert goes(ROOM, [], walled, BODY, against_the_wall, B).answer == DOES_NOT_GO


def test_time_and_giving_up() -> None:
    assert goes(ROOM, [], [], BODY, A, Pose(5000, 1500, 77), time_limit_s=0).answer == NOT_DECIDED
    assert goes(ROOM, [], [], BODY, A, Pose(5000, 1500, 77), cancelled=lambda: True).answer == NOT_DECIDED


def test_arriving_turned_about_can_be_told_apart() -> None:
    # a passage too narrow to turn in: end for end is another pose only where it matters
    passage, body = box(0, 0, 6000, 1000), rectangle(1500, 800)
    assert goes(passage, [], [], body, Pose(1000, 500), Pose(5000, 500, 180)).answer == GOES
    answer = goes(passage, [], [], body, Pose(1000, 500), Pose(5000, 500, 180), either_way=False)
    assert answer.answer == DOES_NOT_GO
    assert goes(ROOM, [], [], body, Pose(1000, 1500), Pose(5000, 1500, 180), either_way=False).answer == GOES


def test_the_tightest_place_is_named() -> None:
    planner = Planner(ROOM, [box(2900, 0, 3000, 900)], BODY)
    answer = planner.goes([box(2900, 1600, 3000, 3000)], A, B)
    assert answer.answer == GOES and answer.tightest is not None and answer.clearance_mm is not None
    assert answer.tightest.name in ("hole 0", "thing 0")
    on_body, on_other = answer.tightest.points
    assert math.dist(on_body, on_other) == pytest.approx(answer.clearance_mm, rel=0.02, abs=0.01)
