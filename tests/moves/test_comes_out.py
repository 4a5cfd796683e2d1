"""Once the load is let down for good, who steers and the truck have to come out of the room past it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose
from shopbins.moves.finding import row_of
from shopbins.moves.gear import judge_sides
from shopbins.moves.room import comes_out
from shopbins.moves.route import Ground, Route
from shopbins.shop.figures import OWN
from tests.moves.test_gear import TRUCK, block


def box(x0: float, y0: float, x1: float, y1: float) -> Any:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


DOOR = SimpleNamespace(room="cell", to="hall", passage=box(150, -300, 1750, 0))


def said(wide: float, turn: float, *doors: Any) -> list[Any]:
    """What is said of a block 800 wide in the middle of a cell 5200 long, its one door at the near end; the
    truck came in from its x- side, which faces that door at 90 and the far end at 270.
    """
    cell = box(0, 0, wide, 5200)
    load = block()
    (gear, *_) = judge_sides(TRUCK, load, measured_mm=1.0, own=OWN)
    ground = Ground(Route((), ("cell",), 0.0), (cell, DOOR.passage), (), (), ())
    it: Any = SimpleNamespace(
        kind="pallet truck", gear=gear, own=OWN, measured_mm=1.0, load=load, name="mill",
        subjects=("group:1",),
        path=(Pose(wide / 2, 2600.0, turn),), goal=SimpleNamespace(name="stand", outline=cell),
        rooms=(SimpleNamespace(key="cell"),),
        scene=SimpleNamespace(shop=SimpleNamespace(doors=dict(enumerate(doors)))),
        attempt=SimpleNamespace(then=None, ground=ground),
    )  # fmt: skip
    return list(comes_out(it))


@pytest.mark.parametrize(("wide", "shut"), [(1870.0, True), (1890.0, False)])
def test_the_wider_of_man_and_truck_has_to_pass(wide: float, shut: bool) -> None:
    """1870 less 800 is 535 on each side, 1890 leaves 545: the truck is 540 over its forks, a man 500."""
    found = said(wide, 270, DOOR)
    assert bool(found) is shut
    if shut:
        (part,) = found
        assert part.verdict is Verdict.NO and row_of(part).finding.measured == pytest.approx(535, abs=3)
        assert row_of(part).finding.limit == 540
        assert row_of(part).ends[0] == "turned 90 deg: they come out then"


def test_behind_the_side_of_the_door_or_with_no_door_told_nobody_is_shut_in() -> None:
    back = SimpleNamespace(room="cell", to="yard", passage=box(150, 5200, 1750, 5500))
    assert not said(1870, 90, DOOR) and not said(1870, 270), "the door on their side; none told"
    assert not said(1870, 270, DOOR, back), "another door on the far side"
