"""How much room to spare a body has on its way: the clearance it can keep all along, and its roomiest path.

A body grown by a margin goes where the body goes with that clearance, so the best clearance is found by
asking about larger and larger bodies: each `goes` proves a bound from below, each `does not go` from above.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from shopbins.geometry.shapes import Outline, Pose, cleaned
from shopbins.kernel.goes import GOES, Answer, Planner
from shopbins.kernel.goes_search import Stop, Stopped
from shopbins.kernel.ground import Crowd


@dataclass(frozen=True, slots=True)
class Margin:
    """The answer with its roomiest path, and the best clearance any path keeps: at least and at most.

    `at_most_mm` is None where no bound was proved (then at least `at_least_mm`, perhaps more).
    """

    answer: Answer
    at_least_mm: float
    at_most_mm: float | None


def margin(
    planner: Planner,
    things: Sequence[Outline],
    start: Pose,
    goal: Pose,
    *,
    up_to_mm: float = 100.0,
    within_mm: float = 1.0,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Margin:
    """Return how much clearance the body can keep from start to goal, standing there included.

    Looks no further than `up_to_mm` and stops when the bounds are `within_mm` of each other. For an answer
    other than `goes` both bounds are 0. Raises FloorProblem.
    """
    stop = Stop(time_limit_s, cancelled)
    crowd = Crowd([cleaned(t, f"thing {i}") for i, t in enumerate(things)])
    answer = planner.goes_in(crowd, start, goal, stop)
    if answer.answer != GOES or answer.clearance_mm is None:
        return Margin(answer, 0.0, 0.0)
    low, high, proved = answer.clearance_mm, up_to_mm, False
    mid = up_to_mm
    while high - low > within_mm:
        try:
            joined, poses = planner.goes_larger(crowd, start, goal, mid, stop)
        except Stopped:
            break
        if poses is not None:
            told = planner.told(crowd, poses, roomy_mm=mid)
            answer, low = told, max(mid, told.clearance_mm or 0.0)
        elif joined is False:
            high, proved = mid, True
        else:
            break
        mid = (low + high) / 2
    answer = replace(answer, seconds=stop.spent_s())
    return Margin(answer, low, high if proved else None)
