"""Does it go? A convex body among walls and things, from pose to pose, sliding and turning.

The answer is certain or says that it is not: `goes` carries a path whose every leg was checked by bounds on
the exact motion, `does not go` the bands of turns and the regions the body cannot leave, and what lies within
a hair of touching is `too close to call`. See `goes_cells` and `goes_search` for how.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from shopbins.geometry.shapes import Outline, Pose
from shopbins.kernel.goes_answer import Answer
from shopbins.kernel.planner import Planner
from shopbins.kernel.steering import ON_THE_SPOT, Steering


def goes(
    floor: Any,
    holes: Sequence[Outline],
    things: Sequence[Outline],
    body: Outline,
    start: Pose,
    goal: Pose,
    *,
    steering: Steering = ON_THE_SPOT,
    either_way: bool = True,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Answer:
    """Answer whether a convex body goes from start to goal, sliding and turning as its gear allows.

    `floor` is one outline, or several to unite (rooms and door passages overlapping by a millimetre); `holes`
    are fixed, `things` may overlap. The body is given about its reference point; poses are of that point.
    Between two poses of the path the point moves straight while the body turns evenly; the last pose is the
    goal up to whole turns (half turns for a rectangle, and so on, unless `either_way` is False).
    `clearance_mm` is a bound the whole path keeps, within 1 % or 5 um of its least.
    On gear (see `steering`) `does not go` is inherited from turning on the spot, and `not decided` is common.
    `within_mm`: the body made that much narrower goes, that much wider does not. Touching (a clearance
    of exactly zero) is never certain here; `goes_ends` answers for a body that touches only at its
    ends. Raises FloorProblem for input that makes no sense.
    """
    planner = Planner(floor, holes, body, either_way=either_way)
    if steering != ON_THE_SPOT:
        from shopbins.kernel.goes_steered import goes_steered

        return goes_steered(
            planner, things, start, goal, steering, time_limit_s=time_limit_s, cancelled=cancelled
        )
    return planner.goes(things, start, goal, time_limit_s=time_limit_s, cancelled=cancelled)
