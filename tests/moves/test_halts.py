"""Whether whoever works at a halt, or takes a part off, finds a place: a body of 500 mm (ISO 13854)."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from shopbins.geometry.shapes import Pose, rectangle
from shopbins.moves import halts
from shopbins.moves.body import Projection
from shopbins.moves.finding import row_of
from shopbins.moves.route import Ground, Route
from shopbins.shop.figures import OWN

CAB = ((-2000.0, 350.0), (2000.0, 350.0), (2000.0, 2000.0), (-2000.0, 2000.0))
CAB_TOO = tuple((x, -y) for x, y in reversed(CAB))


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
