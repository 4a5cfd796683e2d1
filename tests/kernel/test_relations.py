"""Relations that hold whatever the answer is, and a few scenes of every kind the fuzz knows.

One scene turned, shifted, mirrored, its ends swapped, all lengths scaled; one thing more or less; the body
larger or smaller: no two certain answers may disagree. `tests/bench/fuzz_floor.py` runs the same for hours.
"""

from __future__ import annotations

import random

import pytest
from bench import fuzz_floor
from bench.fuzz_floor import KINDS, Laid, ask, crowded, pinch
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopbins.cli.fits.scene import answer_scene

FEW = {
    "wedge": 1,
    "crowd": 2,
    "same": 1,
    "shift": 4,
    "hollow": 4,
    "lanes": 3,
    "door": 3,
    "bend": 3,
    "turning": 4,
    "corner": 5,
}
slow = settings(max_examples=5, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@pytest.mark.parametrize("kind", list(KINDS))
def test_a_few_scenes_of_every_kind(kind: str) -> None:
    for seed in range(FEW.get(kind, 12)):
        _, outcome, _, _ = fuzz_floor.one((kind, 5_000 + seed))
        assert not outcome.startswith("WRONG"), (kind, seed, outcome)


@pytest.mark.parametrize("kind", ["corner", "turning", "pinch", "pack", "stand", "lanes"])
def test_the_fuzz_would_notice(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """An answer turned round is called wrong: it cannot pass by never looking."""
    opposite = {"goes": "does not go", "does not go": "goes", "fits": "does not fit", "does not fit": "fits"}

    def lying(scene, **_):
        told = answer_scene(scene)
        if "answer" in told:
            told["answer"] = opposite.get(told["answer"], told["answer"])
        if "width_mm" in told:
            told["width_mm"] += 0.01
        if "places" in told:
            told |= {"places": [] if told["places"] else [{}], "none_for_certain": bool(told["places"])}
        if "cost_at_least" in told:
            told["cost_at_least"] += 1e-3 * (told["cost"] or 1.0)
        if told.get("answer") == "goes" and "path" not in told:
            told |= {"path": [], "clearance_mm": 0.0}
        return told

    monkeypatch.setattr(fuzz_floor, "answer_scene", lying)
    outcomes = []
    for seed in range(8):
        try:
            outcomes.append(fuzz_floor.one((kind, 6_000 + seed))[1])
        except KeyError:  # a lie without its evidence
            outcomes.append("WRONG")
    assert sum(o.startswith("WRONG") for o in outcomes) >= 4, outcomes


def certain(answer: dict) -> str | None:
    return answer["answer"] if answer.get("answer") in ("goes", "does not go") else None


@slow
@given(
    seed=st.integers(0, 10**6),
    turn=st.floats(0, 360),
    x=st.floats(-1e5, 1e5),
    y=st.floats(-1e5, 1e5),
    mirror=st.booleans(),
    times=st.sampled_from([0.1, 0.5, 1.0, 2.0, 10.0]),
)
def test_laid_elsewhere_it_is_the_same_question(seed, turn, x, y, mirror, times) -> None:
    scene, _ = crowded(random.Random(seed), 4)
    other = Laid(turn, (x, y), mirror, times).scene(scene)
    swapped = scene | {"start": scene["goal"], "goal": scene["start"]}
    told = {certain(ask(s)) for s in (scene, other, swapped)} - {None}
    assert len(told) <= 1, told


@slow
@given(seed=st.integers(0, 10**6), drop=st.integers(0, 4), less=st.floats(0.01, 60))
def test_less_in_the_way_never_shuts_and_more_never_opens(seed, drop, less) -> None:
    scene, _ = crowded(random.Random(seed), 5)
    told = certain(ask(scene))
    fewer = [t for i, t in enumerate(scene["things"]) if i != drop % max(1, len(scene["things"]))]
    easier = [scene | {"things": fewer}]
    if "length_mm" in scene["body"]:
        easier.append(scene | {"body": {k: max(1.0, v - less) for k, v in scene["body"].items()}})
    for other in easier:
        if told == "goes":
            assert certain(ask(other)) != "does not go"


@slow
@given(seed=st.integers(0, 10**6), turn=st.floats(0, 360), times=st.sampled_from([0.5, 2.0, 8.0]))
def test_a_pinch_scales_and_one_thing_more_never_widens_it(seed, turn, times) -> None:
    scene, outcome = pinch(random.Random(seed))
    assert outcome == "right"
    width = answer_scene(scene)["width_mm"]
    laid = answer_scene(Laid(turn, (40.0, -7.0), True, times).scene(scene))["width_mm"]
    assert laid == pytest.approx(width * times, rel=1e-9, abs=1e-6)
    fewer = answer_scene(scene | {"things": scene["things"][1:]})
    assert fewer["width_mm"] >= width - 1e-9
    back = answer_scene(scene | {"start": scene["goal"], "goal": scene["start"]})
    assert back["width_mm"] == pytest.approx(width, rel=1e-12, abs=1e-9)
