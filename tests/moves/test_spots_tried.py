"""Which spots of a goal a way is looked for to, once one was found."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose
from shopbins.moves.attempt import MOST_SPOTS, Attempt, Job, Lacks, more_work, never_better
from shopbins.moves.tolerance import Found
from shopbins.moves.trying import attempt
from shopbins.shop.model import Limits

NONE: Any = None


def a_job(**how: bool) -> Job:
    return Job(SimpleNamespace(shop=NONE), NONE, None, 5.0, frozenset(), math.inf, **how)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("stands", "verdict", "better", "tried"),
    [
        (False, Verdict.OPEN, True, 9),  # not decided: another spot may be
        (True, Verdict.OPEN, True, MOST_SPOTS),  # gear that takes more work: so many spots and no more
        (False, Verdict.YES, True, MOST_SPOTS),
        (False, Verdict.YES, False, 1),  # none can turn it less on a slope
    ],
)
def test_how_many_spots_are_tried(
    stands: bool, verdict: Verdict, better: bool, tried: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four spots, of nine there are, are looked at where they are decided (own figure)."""
    asked: list[Pose] = []
    spots = [Pose(1000.0 * n, 0, 0) for n in range(9)]

    def to_goal(_job: Job, base: Attempt, _ask: object) -> Attempt:
        assert base.goal is not None
        asked.append(base.goal)
        return Attempt(verdict, base.body, base.gear, goal=base.goal)

    this = {
        "ground": lambda *_a, **_k: NONE, "low_top_mm": lambda *_a: NONE, "forks_shut_in": lambda *_a: "",
        "with_pits": lambda *_a: NONE, "spots": lambda *_a: iter(spots), "to_goal": to_goal,
        "unlike_wanted": lambda *_a: (90.0, False, 0), "by_parts": lambda _job, best, _refused: best,
        "more_work": lambda _job, _tried, lacks: lacks, "never_better": lambda *_a: not better,
        "begins_on": lambda *_a: False,
    }  # fmt: skip
    for name, instead in this.items():
        monkeypatch.setattr(f"shopbins.moves.trying.{name}", instead)
    monkeypatch.setattr(Attempt, "moving", ())
    monkeypatch.setattr(Attempt, "turned", ())
    body: Any = SimpleNamespace(group=SimpleNamespace(id="x", shown="press"), along=(), pose=Pose(0, 0, 0))
    gear: Any = SimpleNamespace(gear=SimpleNamespace(name="truck"))
    job, way = a_job(stands=stands), SimpleNamespace(doors=())
    job.goal = SimpleNamespace(name="end", outline=())  # type: ignore[assignment]
    found = attempt(job, body, gear, way)  # type: ignore[arg-type]
    assert asked == spots[:tried] and found.goal == spots[0]


@pytest.mark.parametrize(
    ("steering", "empty", "lacks", "never"),
    [
        ("axis", (90.0, False, 0), (90.0, False, 0), True),
        ("axis", (45.0, False, 0), (90.0, False, 0), True),  # on the slope, if less of it
        ("axis", (90.0, False, 0), (45.0, True, 0), False),  # square over the sill
        ("axis", (0.0, False, 0), (90.0, False, 0), False),
        ("axis", (90.0, False, 0), (0.0, False, 0), False),  # as wanted: not asked
        ("axis", (0.0, False, 1), (0.0, False, 1), True),
        ("axis", (0.0, False, 0), (0.0, False, 1), False),  # turned so it is not set round
        (
            "on the spot",
            (90.0, False, 0),
            (90.0, False, 0),
            False,
        ),  # turns as it likes, not as little
    ],
)
def test_a_spot_is_passed_whose_way_lacks_as_much_with_nothing_on_the_floor(
    steering: str,
    empty: Lacks,
    lacks: Lacks,
    never: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What stands about opens no way (definition)."""
    way = Found("goes", path=(Pose(0, 0, 0), Pose(1000, 0, 0)))
    monkeypatch.setattr("shopbins.moves.attempt.steer", lambda *_a, **_k: way)
    monkeypatch.setattr("shopbins.moves.attempt.unlike_wanted", lambda *_a: empty)
    gear: Any = SimpleNamespace(
        steering=steering, axis_deg=0.0, touching=(), rolls_on=(), gear=SimpleNamespace(kind="skates")
    )
    assert never_better(a_job(), Attempt(Verdict.NO, NONE, gear), NONE, lacks) is never


@pytest.mark.parametrize(("kind", "often", "kg", "minutes"), [
    ("skates", 1, None, 80.0), ("skates", 2, None, 160.0), ("crane", 2, None, 0.0), ("skates", 0, 20.0, 6.0),
    ("skates", 1, 20.0, 86.0),
])  # fmt: skip
def test_a_spot_is_chosen_by_the_work_of_its_way(
    kind: str, often: int, kg: float | None, minutes: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Own figures: set round both ends go down and up again twice, 8 lifts of 10 min; castors turn with it.
    A shift is 5 min and 1 min for each 20 kg.
    """
    monkeypatch.setattr(Attempt, "shifted", () if kg is None else (SimpleNamespace(mass_kg=kg),))
    gear: Any = SimpleNamespace(gear=SimpleNamespace(kind=kind))
    job = a_job()
    job.scene = SimpleNamespace(shop=SimpleNamespace(limits=Limits()))  # type: ignore[assignment]
    assert more_work(job, Attempt(Verdict.YES, NONE, gear), (45.0, True, often)) == (45.0, True, minutes)
