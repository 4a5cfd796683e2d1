"""Does it go even at the worst of the measuring? The kernel asked about a body made larger and smaller.

Where every size may be off by m, body and obstacles each come m nearer on their side: a body 2m larger all
round, among things as drawn, stands for the worst there can be. Goes that one: 'goes even at the worst'. Goes
only the one as measured: 'goes, measure again'. Goes not even one 2m smaller: it does not go.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from shopbins.geometry.shapes import FloorProblem, NoRoomAt, Outline, Point, Pose, WayEnd, centroid
from shopbins.geometry.simple import simple
from shopbins.moves.route import Ground
from shopbins.moves.setround import SetRound

Verdict = Literal["goes", "does not go", "not decided"]
WIDER_MM = (40.0,)
STEPS, FEW_STEPS = 30_000, 500
"""So many steps of the kernel are spent on a question, and on one that only shows a better way."""

NO_WAY = "no way exists for it, whichever way it turns"


def grown(outline: Outline, by_mm: float) -> Outline:
    """Return a convex outline with every edge moved out (in, below 0); FloorProblem where nothing is left."""
    if by_mm == 0:
        return outline
    from shopbins.geometry import minkowski

    cx, cy = centroid(outline)
    try:
        corners = minkowski.offset(minkowski.corners_of(outline) - (cx, cy), by_mm)
    except ValueError:
        raise FloorProblem("the body is too thin to check") from None
    return tuple((float(x) + cx, float(y) + cy) for x, y in corners)


@dataclass(frozen=True, slots=True)
class Found:
    """What the kernel answered for one size of the body: its way, how near, and what is nearest.

    `no_room` is set where the body cannot stand at that end; `reason` is for people only.
    """

    answer: Verdict
    grown_mm: float = 0.0
    path: tuple[Pose, ...] = ()
    clearance_mm: float | None = None
    tightest: Pose | None = None
    near: str = ""
    points: tuple[Point, Point] | None = None
    reason: str = ""
    no_room: NoRoomAt | None = None


def refused(problem: FloorProblem, grown_mm: float) -> Found:
    """Return the answer for what the kernel refuses to look at: an end with no room, a body too thin."""
    at_end = problem if isinstance(problem, NoRoomAt) else None
    return Found("does not go", grown_mm, reason=str(problem), no_room=at_end)


@dataclass(slots=True)
class Asker:
    """What the kernel is asked of one body on one floor, by how much it is grown; and how long is left.

    `turned` is what the body takes where it turns, () for no more.

    `kept` holds planners and what was decided, by all it rests on, for every asker of one search.
    """

    ground: Ground
    hull: Outline
    start: Pose
    goal: Pose
    until: float
    cancelled: Callable[[], bool] = lambda: False
    kept: dict[Any, Any] = field(default_factory=dict)
    turned: Outline = ()

    def left_s(self) -> float:
        """Return how long may still be thought."""
        return max(0.0, self.until - time.perf_counter())

    def planner(self, grown_mm: float = 0.0) -> Any:
        """Return the kernel's planner for the body so much larger."""
        from shopbins.kernel.planner import Planner

        key = ("planner", self.ground.outlines, self.ground.holes, self.hull, grown_mm)
        found = self.kept.get(key)
        if found is None:
            hull = grown(self.hull, grown_mm)
            found = self.kept[key] = Planner(self.ground.outlines, self.ground.holes, hull)
        return found

    def as_large(self, grown_mm: float) -> tuple[Outline, Outline]:
        """Return the body so much larger, as it rolls and as it takes where it turns."""
        return grown(self.hull, grown_mm), grown(self.turned, grown_mm) if self.turned else ()

    @property
    def floor(self) -> tuple[Any, ...]:
        """The floor and the body asked about, with where wheels are not turned."""
        it = self.ground
        return it.outlines, it.holes, it.slopes, it.steps, self.hull, self.turned

    def asked(self, things: Sequence[Outline], grown_mm: float) -> tuple[Any, ...]:
        """Return all that an answer rests on."""
        return *self.floor, tuple(things), self.start, self.goal, grown_mm

    def once(self, key: tuple[Any, ...], ask: Callable[[], Found]) -> Found:
        """Return what was said before to the same question, unless time cut it off; else ask."""
        found: Found | None = self.kept.get(key)
        if found is None:
            found = ask()
            if found.answer == "not decided" and (self.cancelled() or self.left_s() <= 0):
                return replace(found, reason="time was up")
            self.kept[key] = found
        return found

    def goes(self, things: Sequence[Outline], grown_mm: float = 0.0, most_steps: int = STEPS) -> Found:
        """Ask whether the body so much larger goes among these things."""
        key = ("goes", *self.asked(things, grown_mm), most_steps)
        return self.once(key, lambda: self._goes(things, grown_mm, most_steps))

    def goes_at_all(self, things: Sequence[Outline], smaller_mm: float) -> Found:
        """Ask the same of a body that hardly goes: one so much smaller is asked about first, as what that is
        proved not to do a larger one does not do either.
        """
        from shopbins.kernel.ground import Crowd

        crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
        try:
            self.planner(-smaller_mm)
            self.planner().check_end(crowd, self.start, WayEnd.START)
            self.planner().check_end(crowd, self.goal, WayEnd.GOAL)
        except FloorProblem:  # what lacks is said of the body itself
            return self.goes(things)
        if self.goes(things, -smaller_mm).answer == "does not go":
            return Found("does not go", reason=NO_WAY)
        return self.goes(things)

    def _goes(self, things: Sequence[Outline], grown_mm: float, most_steps: int) -> Found:
        limit = self.left_s()
        try:
            planner = self.planner(grown_mm)
            answer = planner.goes(
                things,
                self.start,
                self.goal,
                time_limit_s=limit,
                cancelled=self.cancelled,
                most_steps=most_steps,
            )
            if answer.answer == "too close to call":
                answer = self._off_the_wall(planner, things, limit) or answer
        except FloorProblem as problem:
            return refused(problem, grown_mm)
        if answer.answer == "goes":
            return self.measured(answer.path, things, grown_mm)
        if answer.answer == "does not go":
            return Found("does not go", grown_mm, reason=NO_WAY)
        if answer.answer == "too close to call":
            return Found("does not go", grown_mm, reason="it would touch all along: nothing is to spare")
        return Found("not decided", grown_mm, reason="no way was found, nor that there is none")

    def _off_the_wall(self, planner: Any, things: Sequence[Outline], limit_s: float) -> Any:
        """Return the answer for a thing that touches where it stands or is to stand, and nowhere else."""
        from shopbins.kernel.goes_ends import goes_from_touching

        return goes_from_touching(
            planner, things, self.start, self.goal, time_limit_s=limit_s, cancelled=self.cancelled
        )

    def measured(self, path: Sequence[Pose], things: Sequence[Outline], grown_mm: float = 0.0) -> Found:
        """Return a checked way with its clearance and what is nearest, for the body as measured."""
        from shopbins.geometry.minkowski import corners_of
        from shopbins.kernel.goes_path import tightest
        from shopbins.kernel.ground import Crowd
        from shopbins.kernel.sweep import Sweep

        planner = self.planner()
        crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
        sweep = planner.sweep(crowd)
        if self.turned:
            sweep = SetRound(sweep, Sweep(corners_of(self.turned), sweep.edges))
        clearance, pose, moving = tightest(sweep, list(path))
        near = moving.nearest(pose)
        name = planner.name_of(near.edge, crowd)
        return Found("goes", grown_mm, tuple(path), clearance, pose, name, (near.on_body, near.on_obstacle))


def widest(ask: Asker, things: Sequence[Outline], slack_mm: float) -> Found:
    """Return the way of the largest body that goes: of one `slack_mm` larger first, then larger still.

    `grown_mm` of the answer says how much larger a body was sure to go; 0: only as measured.
    """
    best = ask.goes(things, slack_mm)
    if best.answer != "goes":
        return ask.goes(things)
    for more in WIDER_MM:
        if more <= slack_mm:
            continue
        wider = ask.goes(things, more, FEW_STEPS)
        if wider.answer != "goes":
            break
        best = wider
    return best


def lacks_little(ask: Asker, things: Sequence[Outline], slack_mm: float) -> bool:
    """Tell whether a thing that does not go would, were it as much smaller as the measuring may be off."""
    try:
        return ask.goes(things, -slack_mm).answer == "goes"
    except FloorProblem:
        return False


MOST_LACKING_MM = 160.0
LACKING_STEP_MM = 2.5


def lacking(ask: Asker) -> Found | None:
    """Return the way of the largest body that goes where nothing loose stands, smaller than this one all
    round.

    `grown_mm` below 0 says by how much on each side, to 2.5 mm; None where not even one 160 mm smaller goes.
    """
    low, high = 0.0, MOST_LACKING_MM
    best: Found | None = None
    while high - low > LACKING_STEP_MM:
        middle = MOST_LACKING_MM if best is None else (low + high) / 2
        try:
            found = ask.goes((), -middle, 6 * FEW_STEPS)
        except FloorProblem:
            found = Found("not decided")
        if found.answer == "goes":
            best, high = found, middle
        elif best is None:
            return None
        else:
            low = middle
        if ask.left_s() <= 0 or ask.cancelled():
            break
    return best
