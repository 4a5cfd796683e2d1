"""What settles a question is asked before what takes long: the rest is not asked at all."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from building import box

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose
from shopbins.moves import attempt as attempts
from shopbins.moves.attempt import Attempt, Job, against, to_goal
from shopbins.moves.route import Ground, Route
from shopbins.moves.steered import Axle
from shopbins.moves.tolerance import Asker, Found
from shopbins.shop.model import Zone

GROUP = SimpleNamespace(code="A", id="1", shown="press", size=None, outline=None)
BODY: Any = SimpleNamespace(off=(), base=True, group=GROUP)
TRUCK: Any = SimpleNamespace(gear=SimpleNamespace(name="truck", kind="pallet truck"))


def job(kind: str) -> Job:
    scene: Any = SimpleNamespace()
    goal: Any = Zone("b", "b", "b", kind, box(0, 0, 5000, 4000), levels=())
    return Job(scene, goal, None, 10.0, frozenset(), 0.0)


def test_all_that_is_found_at_a_spot_is_not_asked_for_where_its_first_stop_is_enough(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One stop is enough to refuse a spot (definition)."""
    monkeypatch.setattr(attempts, "_first_stop", lambda *_asked: "in a walkway")
    monkeypatch.setattr(attempts, "new_at", lambda *_asked: pytest.fail("asked in vain"))
    monkeypatch.setattr(attempts, "forks_shut_in", lambda *_asked: "")
    assert against(job("room"), Attempt(Verdict.NO, BODY, TRUCK), Pose(1000, 1000)) == "in a walkway"


def test_what_is_not_driven_on_an_empty_floor_is_not_asked_what_to_shift(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nothing is left to shift there (definition)."""
    looked: list[tuple[int, float]] = []

    def steer(_ask: object, _axle: object, things: Any, grown_mm: float, *, quick: bool = False) -> Found:
        if not quick:
            looked.append((len(things), grown_mm))
        return Found("not decided", grown_mm, reason="no way was found")

    monkeypatch.setattr(attempts, "axle_of", lambda _gear: Axle((0.0, 0.0), 0.0, 0.0))
    monkeypatch.setattr(attempts, "steer", steer)
    monkeypatch.delattr(attempts, "_shifting")
    ground: Any = SimpleNamespace(loose=(box(0, 0, 100, 100),), things=())
    ask: Any = SimpleNamespace(goes_at_all=lambda *_asked: Found("goes"))
    done = to_goal(job("floor"), Attempt(Verdict.NO, BODY, TRUCK, ground=ground), ask)
    assert done.verdict is Verdict.OPEN and done.reason == "press on truck: no way was found"
    assert looked == [(0, 10.0), (0, 0.0)]


@pytest.mark.parametrize(
    ("gap", "answer", "asked"),
    [(570, "does not go", [-10.0]), (590, "does not go", [-10.0, 0.0]), (700, "goes", [-10.0, 0.0])],
)
def test_what_a_smaller_body_is_proved_not_to_do_a_larger_one_is_not_asked(
    gap: float, answer: str, asked: list[float]
) -> None:
    """A body 600 wide, 580 where it is 10 smaller all round, and a gap in a wall (definition)."""
    wall = (box(1900, 0, 2100, 1000), box(1900, 1000 + gap, 2100, 2500))
    kept: dict[Any, Any] = {}
    ground = Ground(
        Route(("a",), (), 0.0), (box(0, 0, 4000, 2500),), (), (), (),
        avoided=tuple(("wall", each) for each in wall),
    )  # fmt: skip
    body = box(-300, -300, 300, 300)
    ask = Asker(ground, body, Pose(700, 1250, 0), Pose(3300, 1250, 0), math.inf, kept=kept)
    assert ask.goes_at_all((), 10.0).answer == answer
    assert [key[-2] for key in kept if key[0] == "goes"] == asked
