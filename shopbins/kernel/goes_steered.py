"""Does it go on gear that cannot turn on the spot? Certain where it can be, else `not decided`.

What does not go turning on the spot does not go on any gear. On fixed wheels alone there is one line to roll
along, so the answer is exact. With a smallest turning radius a search over arcs and straights, forwards and
back, looks for a way; each bit is laid out as short chords, checked with room for how far the true arc leaves
them (r.(1 - cos(half the turn)) at the reference point), so that both the poses given and the arcs are clear.
A search that finds nothing proves nothing.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from shopbins.geometry.shapes import Outline, Pose, cos_sin
from shopbins.geometry.simple import simple
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, NOT_DECIDED, TOO_CLOSE, Answer
from shopbins.kernel.goes_search import Stop, Stopped
from shopbins.kernel.ground import Crowd
from shopbins.kernel.planner import HAIR_MM, Planner
from shopbins.kernel.steering import Bit, Steering, after, dubins, dubins_back, parts_of
from shopbins.kernel.sweep import ENOUGH_MM, Sweep

CHORD_DEG = 2.0
STEP_MM = 300.0
CELL_MM = 120.0
CELL_DEG = 7.5
BACK_PRICE = 1.2
CUSP_MM = 400.0
MOST_NODES = 1500
SHOT_EVERY = 6
SPARSE = 12
NARROW_DEG = 1.0
ON_LINE_MM = 1e-6


def goes_steered(
    planner: Planner,
    things: Sequence[Outline],
    start: Pose,
    goal: Pose,
    steering: Steering,
    *,
    time_limit_s: float | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Answer:
    """Answer `goes` for a gear; the body's x axis at turn 0 is the axis it rolls along. See `goes`."""
    stop = Stop(time_limit_s, cancelled)
    free = planner.goes(things, start, goal, time_limit_s=time_limit_s, cancelled=cancelled)
    if steering.least_radius_mm == 0:
        return free
    crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
    if free.answer != GOES:
        reason = free.reason or "not even turning on the spot"
        answer = replace(free, reason=reason)
    elif math.isinf(steering.least_radius_mm):
        answer = _along(planner, crowd, start, goal)
    else:
        answer = _curved(planner, crowd, free, steering.least_radius_mm, goal, stop)
    return replace(answer, steering=str(steering), seconds=stop.spent_s())


def _along(planner: Planner, crowd: Crowd, start: Pose, goal: Pose) -> Answer:
    """Answer for fixed wheels: one straight line, no turn."""
    period = planner.period_deg if planner.laps == 1 else 360.0
    turns = (goal.turn_deg - start.turn_deg) / period
    if abs(turns - round(turns)) * period > 1e-9:
        return Answer(DOES_NOT_GO, reason="it would have to turn, and cannot")
    c, s = cos_sin(start.turn_deg)
    dx, dy = goal.x_mm - start.x_mm, goal.y_mm - start.y_mm
    if abs(dy * c - dx * s) > ON_LINE_MM:
        return Answer(DOES_NOT_GO, reason="the goal is not on its own axis")
    end = Pose(goal.x_mm, goal.y_mm, start.turn_deg)
    if planner.sweep(crowd).clear(start, end):
        return planner.told(crowd, [start, end])
    if not planner.sweep(crowd, -HAIR_MM).clear(start, end, 0.0):
        return Answer(DOES_NOT_GO, reason="something stands on its one line")
    return Answer(TOO_CLOSE, within_mm=2 * HAIR_MM)


def _curved(planner: Planner, crowd: Crowd, free: Answer, radius_mm: float, goal: Pose, stop: Stop) -> Answer:
    """Search a way of arcs and straights near the way found for turning on the spot."""
    period = planner.period_deg if planner.laps == 1 else 360.0
    hunt = _Hunt(planner.sweep(crowd), free.path, radius_mm, goal, period, stop)
    try:
        bits = hunt.run()
    except Stopped:
        return Answer(NOT_DECIDED, reason="time was up; turning on the spot it goes")
    if bits is None:
        return Answer(NOT_DECIDED, reason="no way on this gear was found; turning on the spot it goes")
    poses = chords(free.path[0], bits)
    turned = poses[-1].turn_deg - goal.turn_deg
    poses[-1] = goal._replace(turn_deg=goal.turn_deg + round(turned / period) * period)
    answer = planner.told(crowd, poses, shorten=False)
    assert answer.clearance_mm is not None
    return answer


def chords(start: Pose, bits: Sequence[Bit]) -> list[Pose]:
    """Return the poses of a steered way, a small turn apart."""
    poses = [start]
    for bit in bits:
        count = max(1, math.ceil(abs(bit.turn_deg) / CHORD_DEG))
        poses += parts_of(poses[-1], bit, count)
    return poses


class _Hunt:
    """Best-first search over poses in coarse cells, with a direct shot at the goal now and then."""

    def __init__(
        self,
        sweep: Sweep,
        guide: Sequence[Pose],
        radius_mm: float,
        goal: Pose,
        period_deg: float,
        stop: Stop,
    ) -> None:
        self.sweep = sweep
        self.radius_mm = radius_mm
        self.goals = [
            goal._replace(turn_deg=goal.turn_deg + k * period_deg) for k in range(round(360 / period_deg))
        ]
        self.stop = stop
        self.shut: dict[tuple[Pose, bool, bool], bool] = {}
        self.guide = list(guide)
        legs = [math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) for a, b in itertools.pairwise(guide)]
        self.left = [sum(legs[i:]) for i in range(len(self.guide))]
        half = math.radians(CHORD_DEG / 2)
        self.need_mm = ENOUGH_MM + radius_mm * (1 - math.cos(half))
        turn = math.degrees(STEP_MM / radius_mm)
        self.moves = [Bit(d * STEP_MM, d * h * turn) for d in (1, -1) for h in (0, 1, -1)]

    def run(self) -> tuple[Bit, ...] | None:
        """Return the bits of a checked way; None at once where an end has less room than is asked."""
        start = self.guide[0]
        if self.sweep.meets([start, *self.goals], self.need_mm):
            return None
        tie = itertools.count()
        queue: list[tuple[float, int, float, Pose, Any, float]] = [(0.0, next(tie), 0.0, start, None, 1.0)]
        seen: set[tuple[int, int, int]] = set()
        while queue and len(seen) < MOST_NODES:
            if self.stop():
                raise Stopped
            _, _, cost, pose, trail, sense = heapq.heappop(queue)
            cell = _cell(pose)
            if cell in seen or (trail and not self._clear(trail[2], (trail[1],))):
                continue
            if len(seen) % SHOT_EVERY == 0 or self._ahead(pose) < 2 * self.radius_mm:
                for shot in self._shots(pose):
                    if self._stands(pose, shot) and self._clear(pose, shot):
                        return (*_unwound(trail), *shot)
            seen.add(cell)
            for bit in self.moves:
                then = after(pose, bit)
                if _cell(then) in seen:
                    continue
                way = math.copysign(1.0, bit.along_mm)
                price = STEP_MM * (BACK_PRICE if way < 0 else 1.0) + (
                    CUSP_MM if way != sense and trail else 0.0
                )
                total = cost + price
                heapq.heappush(
                    queue,
                    (total + 1.5 * self._ahead(then), next(tie), total, then, (trail, bit, pose), way),
                )
        return None

    def _ahead(self, pose: Pose) -> float:
        """Return a guess of the way left: to the guide and along it."""
        return min(
            math.hypot(g.x_mm - pose.x_mm, g.y_mm - pose.y_mm) + left
            for g, left in zip(self.guide, self.left, strict=True)
        )

    def _shots(self, pose: Pose) -> Iterator[tuple[Bit, ...]]:
        for goal, then in self._aims:
            for ways in (dubins(pose, goal, self.radius_mm), dubins_back(pose, goal, self.radius_mm)):
                for bits in itertools.islice(ways, 2):
                    if then or not self._shut_in(goal, bits[-1]):
                        yield (*bits, *then)

    @cached_property
    def _aims(self) -> list[tuple[Pose, tuple[Bit, ...]]]:
        """The goals; where no arc leads into one, places straight before it with what leads on from there."""
        found: list[tuple[Pose, tuple[Bit, ...]]] = []
        for goal in self.goals:
            arcs = [Bit(d * self.radius_mm, d * h * 90.0) for d in (1, -1) for h in (1, -1)]
            if not all(self._shut_in(goal, arc) for arc in arcs):
                found.append((goal, ()))
                continue
            for far_mm in (-self.radius_mm / 2, self.radius_mm / 2, -self.radius_mm, self.radius_mm):
                before = after(goal, Bit(far_mm, 0.0))
                if self._clear(before, (Bit(-far_mm, 0.0),)):
                    found.append((before, (Bit(-far_mm, 0.0),)))
        return found

    def _shut_in(self, goal: Pose, last: Bit) -> bool:
        """Tell whether the last degree of an arc into the goal surely has no room."""
        if abs(last.turn_deg) < NARROW_DEG:
            return False
        key = goal, last.along_mm > 0, last.turn_deg > 0
        if key not in self.shut:
            share = -NARROW_DEG / abs(last.turn_deg)
            back = Bit(last.along_mm * share, last.turn_deg * share)
            self.shut[key] = self.sweep.meets(parts_of(goal, back, 4), ENOUGH_MM)
        return self.shut[key]

    def _stands(self, pose: Pose, bits: Sequence[Bit]) -> bool:
        """Tell whether there is room here and there on a way, before all of it is looked at."""
        found = []
        for bit in bits:
            count = max(1, math.ceil(abs(bit.turn_deg) / CHORD_DEG), math.ceil(abs(bit.along_mm) / STEP_MM))
            some = parts_of(pose, bit, count, range(count, 0, -SPARSE if bit.turn_deg else -1))
            pose = some[0]
            found += some
        return not self.sweep.meets(found, ENOUGH_MM)

    def _clear(self, pose: Pose, bits: Sequence[Bit]) -> bool:
        return self.sweep.all_clear(chords(pose, bits), self.need_mm, 4)


def _cell(pose: Pose) -> tuple[int, int, int]:
    return (
        math.floor(pose.x_mm / CELL_MM),
        math.floor(pose.y_mm / CELL_MM),
        math.floor(pose.turn_deg % 360.0 / CELL_DEG),
    )


def _unwound(trail: Any) -> list[Bit]:
    bits: list[Bit] = []
    while trail is not None:
        trail, bit, _ = trail
        bits.append(bit)
    return bits[::-1]
