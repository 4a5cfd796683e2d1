"""The critical path method: earliest and latest times of steps that wait for one another.

As every handbook has it (Kelley and Walker 1959): forward, a step starts when all it waits for is finished;
backward, it must be finished before the first that waits for it must start. Slack is what lies between.
Times are numbers of days from a day 0 of the caller's choosing.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import TypeVar

K = TypeVar("K", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Times:
    """Earliest and latest start and finish of one step, in days."""

    earliest_start: float
    earliest_finish: float
    latest_start: float
    latest_finish: float

    @property
    def slack(self) -> float:
        """How long it may be late before the whole is."""
        return self.latest_start - self.earliest_start


def schedule(
    days: Mapping[K, float],
    waits: Mapping[K, Sequence[K]],
    *,
    ready: Mapping[K, float] | None = None,
    due: Mapping[K, float] | None = None,
) -> dict[K, Times]:
    """Return the times of each step of `days`; `waits` names the steps each waits for (unknown ones do not
    count).

    `ready` is the earliest day a step may start for other reasons (0 where not given), `due` the latest day
    it must be finished. Where no `due` is given at all, the whole is due when it can be finished at the
    earliest; with some given, a step nothing due waits for may finish whenever (infinite). Raises ValueError
    where the steps wait for one another in a circle.
    """
    line = _in_order(days, waits)
    ready = ready or {}
    start: dict[K, float] = {}
    finish: dict[K, float] = {}
    for each in line:
        others = (finish[other] for other in waits.get(each, ()) if other in days)
        start[each] = max(ready.get(each, 0.0), max(others, default=0.0))
        finish[each] = start[each] + days[each]
    end = max(finish.values(), default=0.0)
    latest: dict[K, float] = dict.fromkeys(line, end if due is None else inf)
    for each, day in (due or {}).items():
        if each in latest:
            latest[each] = min(latest[each], day)
    for each in reversed(line):
        begin = latest[each] - days[each]
        for other in waits.get(each, ()):
            if other in days:
                latest[other] = min(latest[other], begin)
    return {each: Times(start[each], finish[each], latest[each] - days[each], latest[each]) for each in line}


def _in_order(days: Mapping[K, float], waits: Mapping[K, Sequence[K]]) -> list[K]:
    left = {each: sum(1 for other in waits.get(each, ()) if other in days) for each in days}
    then: dict[K, list[K]] = {}
    for each in days:
        for other in waits.get(each, ()):
            then.setdefault(other, []).append(each)
    line = [each for each, count in left.items() if count == 0]
    for each in line:
        for other in then.get(each, ()):
            left[other] -= 1
            if left[other] == 0:
                line.append(other)
    if len(line) < len(left):
        raise ValueError("the steps wait for one another in a circle")
    return line
