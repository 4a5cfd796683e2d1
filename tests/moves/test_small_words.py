"""Small words of a move: from where forks go in, between what a force lies, what hangs from a gantry."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.geometry.shapes import Pose
from shopbins.moves.pressing import _span_said
from shopbins.moves.standing import centres
from shopbins.moves.steps import _lifted_onto
from shopbins.moves.tipping import Centre


@pytest.mark.parametrize(
    ("heel", "turn_deg", "side"),
    [((600, 0), 0, "right"), ((-600, 0), 0, "left"), ((600, 0), 90, "top"), ((600, 0), 260, "bottom")],
)
def test_forks_go_in_from_a_side_of_the_plan(heel: tuple[float, float], turn_deg: float, side: str) -> None:
    """The heels are where the truck stands; turned counter-clockwise, y up the plan (definition)."""
    gear = SimpleNamespace(
        gear=SimpleNamespace(name="truck", kind="pallet truck"),
        heel=heel, opening="between the feet, from behind", forks_set="",
    )  # fmt: skip
    plan: Any = SimpleNamespace(
        gear=gear, path=(Pose(2000, 2000, turn_deg),), body=SimpleNamespace(base=True), conditions=()
    )
    (step,) = _lifted_onto(plan, (), 0.0)
    assert step["title"].startswith(
        f"truck in (between the feet, from the {side} of the plan) up to the heels"
    )


def test_a_force_that_prints_alike_at_both_ends_is_said_once() -> None:
    assert _span_said(12.31, 12.34) == "12.3 kN"
    assert _span_said(12.3, 13.4) == "12.3 kN to 13.4 kN"


@pytest.mark.parametrize(("kind", "top"), [("gantry crane", 2550.0), ("engine crane", 2700.0)])
def test_a_load_hangs_from_no_higher_than_its_gantry_is(kind: str, top: float) -> None:
    """A hook at 2400 and 300 below what it hangs from (own figure), on a gantry of 2550 in all."""
    gear = SimpleNamespace(boom_tip_mm=None, hook_mm=2400.0, height_mm=2550.0, cg_mm=None, mass_kg=None)
    load = SimpleNamespace(centres=lambda: (Centre(0.0, 0.0, 500.0),), most_kg=None)
    it: Any = SimpleNamespace(
        kind=kind, load=load, gear=SimpleNamespace(gear=gear), own={"hook below tip": 300.0}
    )
    assert max(c.z_mm for c in centres(it)) == top
