"""Whether whoever works at a halt, with jacks, or takes a part off, finds a place: 500 mm (ISO 13854)."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.moves import halts
from shopbins.moves.body import Projection, body
from shopbins.moves.finding import row_of
from shopbins.moves.gear import judge_gear
from shopbins.moves.lifting import LIFT_TIPS, jacking
from shopbins.moves.room import room_to_lift
from shopbins.moves.route import Ground, Route, ground
from shopbins.moves.situation import Situation
from shopbins.shop.figures import OWN
from tests.moves.weir import FOUR, OUTLINE, SKATES, shop, shop_text

CAB = ((-2000.0, 350.0), (2000.0, 350.0), (2000.0, 2000.0), (-2000.0, 2000.0))
CAB_TOO = tuple((x, -y) for x, y in reversed(CAB))


JACKS = {
    "skates": SKATES,
    "jack": "{kind: toe jack, count: 2, capacity: 5 t, toe: 3 t, lowered: 20, raised: 300, size: [400, 150]}",
}


def _jacked(folder: Path, y: float, *known: str, cab: bool = True) -> Situation:
    """A press of 1000 x 700 on feet 100 and 50 in, a cabinet 700 off its left end, the wall below y - 350."""
    more = "fixtures: {cab: {room: a, at: [100, 100], size: [500, 3800], height: 1800}}" if cab else ""
    text = shop_text(mid="height: 2.2 m, threshold: 0", gear=JACKS, more=more)
    known = (OUTLINE, "height=1500mm", "under=110mm", "cg height=700mm", *FOUR, *known)
    desk = shop(folder, text, known, at=(1800.0, y, 0.0))
    scene = desk.scene()
    thing = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    gear = judge_gear(scene.shop.gear["skates"], thing.load)
    walls = ground(scene, Route(("a",), (), 0.0), f"group:{thing.group.id}", 1500.0)
    assert thing.pose is not None
    attempt: Any = SimpleNamespace(
        ground=walls, then=None, found=SimpleNamespace(path=(thing.pose,)), goal=None
    )
    return Situation(scene, thing, gear, scene.shop.zones["far"], "", None, attempt)


@pytest.mark.parametrize(
    ("y", "cab", "cg", "says"),
    [
        (2000.0, True, "0,0", None),  # from both long sides
        (450.0, False, "0,0", None),  # from its ends
        (450.0, True, "0,0", (Verdict.NO, "toe jacks at both points and who works them take, each, 900 mm")),
        (450.0, True, "0,150", (Verdict.ASKED, "on one jack at an end: 7.3 deg left")),
    ],
)
def test_jacks_stand_at_both_points_of_an_end_or_one_leaves_enough_tilt(
    tmp_path: Path, y: float, cab: bool, cg: str, says: tuple[Verdict, str] | None
) -> None:
    """A jack of 400 and who works it take 900: 700 are at the left end, 100 along the wall. On one jack at
    -400,300, the feet at 400 left down, the edge from 400,-300 runs through 0,0; 0,150 is 120 inside it, less
    7 for 5 +- on both: atan(113 / 705) - asin(25 / 800) = 7.3 deg (statics of three points).
    """
    found = list(room_to_lift(_jacked(tmp_path, y, f"cg={cg}", cab=cab)))
    assert [(p.verdict, p.text[: len(says[1])]) for p in found if says] == ([says] if says else [])
    assert says or not found


@pytest.mark.parametrize(
    ("jacks", "far"), [("-400,-300; 400,-300; 400,300; -400,300", 0), ("-450,0; 450,0", 350)]
)
def test_a_toe_that_has_to_reach_far_in_is_looked_at(tmp_path: Path, jacks: str, far: int) -> None:
    """Only the long sides have room: 50 in to the corners, half of 700 to the middle; own figure 150."""
    found = list(room_to_lift(_jacked(tmp_path, 2000.0, "cg=0,0", f"jack={jacks}")))
    assert [p.text for p in found] == ([f"toe reaches {far} mm in: looked at"] if far else [])


def _it(ahead: float, *cabinets: Any) -> Any:
    """A thing of 1000 x 700 with its front so far from a wall, 2 m of floor behind it."""
    front = 500.0 + ahead
    floor = ((-2500.0, -2000.0), (front, -2000.0), (front, 2000.0), (-2500.0, 2000.0))
    ground = Ground(Route((), ("a",), 0.0), (floor,), (), tuple(("cab", each) for each in cabinets), ())
    return SimpleNamespace(
        attempt=SimpleNamespace(ground=ground, then=None, lifts={}, resting={}),
        path=(Pose(0.0, 0.0),),
        own=OWN,
        hull=rectangle(1000.0, 700.0),
        gear=SimpleNamespace(axis_deg=0.0),
        load=SimpleNamespace(own=None, outline=rectangle(1000.0, 700.0)),
        name="press",
        subjects=("group:1",),
        body=SimpleNamespace(off=(), pose=Pose(0.0, 0.0)),
        goal_pose=None,
        goal=SimpleNamespace(name="far"),
    )


@pytest.mark.parametrize(
    ("ahead", "cabinets", "asked"),
    [(502.0, (CAB, CAB_TOO), 0), (498.0, (CAB, CAB_TOO), 1), (498.0, (CAB,), 0)],
)
def test_chocks_and_line_take_a_place_at_both_ends_of_it(
    monkeypatch: pytest.MonkeyPatch, ahead: float, cabinets: Any, asked: int
) -> None:
    """A square of 500 ahead of it, or beside its front; 2 m behind it are free."""
    monkeypatch.setattr(halts, "halts", lambda it: [(Pose(0.0, 0.0), halts.CHANGES)])
    found = list(halts.rooms_to_work(_it(ahead, *cabinets)))
    assert len(found) == asked
    for part in found:
        assert part.text == "room at 0,0 to chock it and change its line looked at"
        assert "at its end ahead no 500 mm square" in row_of(part).finding.text


@pytest.mark.parametrize(
    ("ahead", "cabinets", "places"),
    [(499.0, (CAB, CAB_TOO), 0), (502.0, (CAB, CAB_TOO), 1), (502.0, (CAB,), 4), (502.0, (), 6)],
)
def test_who_takes_a_part_off_stands_where_it_is_in_reach(ahead: float, cabinets: Any, places: int) -> None:
    """300 x 300 at x 150 to 450, y -150 to 150: 50 from the right end, 200 from both sides, 650 from the left
    end, out of reach of a body of 500. Level with it and next to that are 1300: two before the end, two along
    each side; where cabinets leave 700 before the end, one.
    """
    box = ((150.0, -150.0), (450.0, -150.0), (450.0, 150.0), (150.0, 150.0))
    head = Projection("head", "", "", box, 1000.0, 1300.0, None, 20.0)
    it = _it(ahead, *cabinets)
    free = halts.floor_free(it.attempt.ground)
    assert isinstance(free, shapely.Geometry)
    assert halts._places(it, head, Pose(0.0, 0.0), free) == places


@pytest.mark.parametrize(
    ("cg", "verdict"), [("200,60 +- 60 mm", Verdict.AGAIN), ("200,160 +- 10 mm", Verdict.NO)]
)
def test_it_tips_on_its_jacks_only_where_it_does_at_the_kindest(
    tmp_path: Path, cg: str, verdict: Verdict
) -> None:
    """Jacks at -400,-300 and -400,300, the one foot at 400,0 left down: between them 300 (400 - x) / 800
    to both sides, 97 at x 140 and 52 at 260. From y 0 on it stands at the kindest: 97 cos(atan(3/8)) = 91 in,
    atan(91 / 695) less asin(25 / 800) is 5.7 deg; from 150 on it does not.
    """
    it = _jacked(tmp_path, 2000.0, f"cg={cg}", "foot=-400,-300; 400,0; -400,300")
    (tips,) = (p for p in jacking(it) if row_of(p).finding.rule == LIFT_TIPS.key)
    assert tips.verdict is verdict
    assert ("5.7 deg at the kindest" in row_of(tips).finding.text) is (verdict is Verdict.AGAIN)
    assert any("on one toe of jack" in row_of(p).finding.text for p in jacking(it))
