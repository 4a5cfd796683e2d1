"""A line that leaves a pallet truck where its steering wheels, its handle and who steers are."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.geometry.shapes import Pose
from shopbins.moves import stages
from shopbins.shop.model import Anchor


@pytest.mark.parametrize(("kind", "at", "turn", "said"), [
    ("pallet truck", (0.0, 2000.0), 0.0, True),  # straight behind the handle
    ("pallet truck", (2000.0, 2000.0 + 2900.0), 0.0, True),  # 44 deg aside of it
    ("pallet truck", (2000.0, 2000.0 + 3100.0), 0.0, False),  # 46 deg
    ("pallet truck", (9000.0, 2000.0), 0.0, False), ("pallet truck", (9000.0, 2000.0), 180.0, True),
    ("skates", (0.0, 2000.0), 0.0, False),
])  # fmt: skip
def test_a_line_over_the_handle_is_on_two_legs(
    kind: str, at: tuple[float, float], turn: float, said: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 5000,2000, the forks to the right of the plan; within 45 deg of straight out of it (own figure)."""
    line = SimpleNamespace(named="post", anchors=(Anchor("post", at),))
    legs = (SimpleNamespace(poses=(Pose(5000, 2000, turn), Pose(5000, 2000, turn))),)
    monkeypatch.setattr(stages, "lines_on", lambda _it: iter(((line, legs), (line, legs))))
    it: Any = SimpleNamespace(
        kind=kind, own={"handle aside": 45.0}, name="planer", subjects=("group:X",),
        gear=SimpleNamespace(axis_deg=0.0, gear=SimpleNamespace(name="truck")),
    )  # fmt: skip
    found = [part.text for part in stages.past_the_handle(it)]
    assert found == (["line to post: two legs past handle"] if said else [])
