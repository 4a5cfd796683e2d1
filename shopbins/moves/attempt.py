"""One attempt at a move: this thing on this gear, with these parts off, by these doors. Does it go?"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import FloorProblem, Outline, Pose
from shopbins.moves.body import Body
from shopbins.moves.doorway import DoorAnswer, Passing, judge_door
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.goal import goal_poses, goal_turns
from shopbins.moves.route import Ground, Route, ground
from shopbins.moves.shiftlist import ShiftList, costs, shift_list, shifted_scene
from shopbins.moves.steered import Axle, axle_of, steer
from shopbins.moves.tolerance import Asker, Found, grown, lacks_little, widest
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone

Verdict = Literal["goes", "goes, measure again", "does not go", "not decided"]
STEER_S = 20.0
SHIFT_S = 40.0
BESIDE_MM = 60.0
"""How far off the way shifted things are laid, where the way itself has that much room."""
MOST_TRIES = 6
BETTER_S = 15.0
"""How long something better than 'goes, measure again' is looked for."""


@dataclass(slots=True)
class Job:
    """What is asked: the scene, the goal, a turn there if it matters, how well was measured, and the time."""

    scene: Scene
    goal: Zone
    turn_deg: float | None
    slack_mm: float
    known: frozenset[str]
    until: float
    cancelled: Callable[[], bool] = lambda: False
    say: Callable[[str], None] = lambda _text: None

    def settle(self) -> None:
        """Look for something better only a little longer: there is an answer to fall back on."""
        self.until = min(self.until, time.perf_counter() + BETTER_S)

    def stop(self) -> bool:
        """Tell whether time is up or nobody wants to know any more."""
        return self.cancelled() or time.perf_counter() > self.until


@dataclass(frozen=True, slots=True)
class Attempt:
    """What came of one attempt. `found` is the way, for the thing's own reference point; `ground` the floor
    as it is, `then` once all is shifted.
    """

    verdict: Verdict
    body: Body
    gear: GearAnswer
    route: Route | None = None
    ground: Ground | None = None
    doors: tuple[DoorAnswer, ...] = ()
    leaves_off: tuple[str, ...] = ()
    found: Found = field(default_factory=lambda: Found("not decided"))
    start: Pose | None = None
    goal: Pose | None = None
    shift: ShiftList | None = None
    certain_least: bool = True
    reason: str = ""
    flips: bool = False
    then: Ground | None = None

    @property
    def hull(self) -> Outline:
        """The convex outline of thing and gear on the floor."""
        return hull_of(self.body, self.gear)


def hull_of(body: Body, gear: GearAnswer) -> Outline:
    """Return thing and gear as one convex outline."""
    return convex_hull([*gear.outline, *body.outline])


def attempt(job: Job, body: Body, gear: GearAnswer, route: Route) -> Attempt:
    """Try one gear by one route: as the doors stand open, then with the leaves off where that is lacking."""
    doors = door_answers(job, gear, route)
    blocked = next((d for d in doors if "no" in (d.height, d.sill)), None)
    if blocked is not None:
        why = next((f.text for f in blocked.findings if f.grade == "stop"), f"{blocked.door.name} stops it")
        return Attempt("does not go", body, gear, route, doors=doors, reason=why)
    first = _by_leaves(job, body, gear, route, doors, ())
    hinged = tuple(d.door.key for d in doors if d.door.opens == "hinged")
    if first.verdict == "does not go" and hinged:
        again = _by_leaves(job, body, gear, route, doors, hinged)
        if again.verdict in ("goes", "goes, measure again"):
            return again
    return first


def door_answers(job: Job, gear: GearAnswer, route: Route) -> tuple[DoorAnswer, ...]:
    """Judge height and sill of every door of a route; its width is for the kernel."""
    passing = Passing.of(gear)
    shop = job.scene.shop
    return tuple(judge_door(shop.doors[key], passing, measured_mm=shop.measured_mm) for key in route.doors)


def _by_leaves(
    job: Job,
    body: Body,
    gear: GearAnswer,
    route: Route,
    doors: tuple[DoorAnswer, ...],
    leaves_off: tuple[str, ...],
) -> Attempt:
    top = gear.height_mm if gear.height_mm is not None else body.load.height_mm
    floor = ground(
        job.scene, route, f"group:{body.group.id}", top, leaves_off=leaves_off, along=set(body.along)
    )
    base = Attempt("does not go", body, gear, route, floor, doors, leaves_off, start=body.pose)
    hull = hull_of(body, gear)
    if body.pose is None:
        return replace(base, reason=f"where {body.group.shown} stands is not known")
    best: Attempt | None = None
    turns = goal_turns(job.goal, job.turn_deg)
    poses = goal_poses(floor, job.goal, body.outline, hull, turns, job.slack_mm)
    for asked, (goal, _) in enumerate(poses, 1):
        if job.stop():
            return best or replace(base, verdict="not decided", reason="time was up")
        ask = Asker(floor, hull, body.pose, goal, job.until, job.cancelled)
        tried = _to(job, replace(base, goal=goal), ask)
        if tried.verdict == "goes":
            return tried
        if tried.verdict == "goes, measure again":
            job.settle()
        if best is None or _RANK[tried.verdict] < _RANK[best.verdict]:
            best = tried
        if tried.verdict == "does not go" and not tried.flips and asked >= 4:
            break
    return best or replace(
        base,
        reason=f"no place in {job.goal.name} for {body.group.shown} on {gear.gear.name}, whatever is shifted",
    )


_RANK: dict[Verdict, int] = {"goes": 0, "goes, measure again": 1, "not decided": 2, "does not go": 3}


def _to(job: Job, base: Attempt, ask: Asker) -> Attempt:
    """Try one goal: with nothing loose on the floor first, which settles most; then with all there."""
    assert base.ground is not None
    things = base.ground.loose
    empty = ask.goes((), 0.0)
    if empty.answer != "goes":
        flips = empty.answer == "does not go" and lacks_little(ask, (), job.slack_mm)
        verdict: Verdict = "does not go" if empty.answer == "does not go" else "not decided"
        return replace(base, verdict=verdict, found=empty, reason=_why_not(base, empty), flips=flips)
    job.say(f"{base.gear.gear.name}: with everything where it stands")
    found = widest(ask, things, job.slack_mm)
    if found.answer == "goes":
        clear = _finished(job, base, ask, found, things, None)
        if clear.verdict in ("goes", "does not go"):
            return clear
        shifted = _shifting(job, base, ask)
        return shifted if shifted.verdict == "goes" else clear
    return _shifting(job, base, ask)


def _why_not(base: Attempt, found: Found) -> str:
    it = f"{base.body.group.shown} on {base.gear.gear.name}"
    if found.answer == "not decided":
        return f"{it}: {found.reason}"
    if found.reason.startswith("start"):
        return f"{it} has no room where it stands ({found.reason.partition(': ')[2]})"
    if base.route is not None and base.route.doors:
        return f"{it} does not get through, whatever is shifted: {found.reason}"
    return f"{it}: {found.reason}, whatever is shifted"


def _shifting(job: Job, base: Attempt, ask: Asker) -> Attempt:
    """Find the least to shift, for the worst of the measuring first, then as measured."""
    from shopbins.kernel.shift import shift_with

    assert base.ground is not None
    things = base.ground.loose
    paid = costs(job.scene, base.ground.things)
    reason = ""
    for more in (job.slack_mm, 0.0):
        job.say(f"{base.gear.gear.name}: what is the least to shift")
        try:
            least = shift_with(
                ask.planner(more),
                things,
                ask.start,
                ask.goal,
                paid,
                time_limit_s=ask.left_s(SHIFT_S),
                cancelled=job.cancelled,
            )
        except FloorProblem as problem:
            reason = str(problem)
            continue
        if least.shift is None:
            reason = least.reason or least.answer
            continue
        left = [o for i, o in enumerate(things) if i not in least.shift]
        found = widest(ask, left, job.slack_mm if more else 0.0)
        if found.answer != "goes":
            reason = found.reason
            continue
        done = _finished(job, base, ask, found, left, least.shift)
        if done.verdict != "goes" and axle_of(base.gear) is not None:
            done = _more_room(job, base, ask, found, least.shift) or done
        return replace(done, certain_least=least.optimal and axle_of(base.gear) is None)
    verdict: Verdict = "does not go" if reason.startswith(("the way", "start", "goal")) else "not decided"
    return replace(base, verdict=verdict, reason=f"{base.body.group.shown}: {reason}")


def _more_room(job: Job, base: Attempt, ask: Asker, found: Found, shift: Sequence[int]) -> Attempt | None:
    """Shift one thing more, else all, that stand where a steered gear would go on an empty floor.

    None where that does not make it sure. Not certain to be the least.
    """
    axle = axle_of(base.gear)
    assert base.ground is not None and axle is not None
    things = base.ground.loose
    empty = steer(ask, axle, (), job.slack_mm, STEER_S)
    if empty.answer != "goes":
        return None
    planner = ask.planner(job.slack_mm)
    in_way = [i for i, o in enumerate(things) if i not in shift and not planner.misses(o, empty.path)]
    paid = costs(job.scene, base.ground.things)
    in_way.sort(key=lambda i: (paid[i], i))
    tries = [*([i] for i in in_way), in_way] if len(in_way) > 1 else [in_way]
    for more in tries[:MOST_TRIES]:
        if job.stop():
            return None
        every = (*shift, *more)
        left = [o for i, o in enumerate(things) if i not in every]
        done = _finished(job, base, ask, replace(found, grown_mm=job.slack_mm), left, every)
        if done.verdict == "goes":
            return done
    return None


def _finished(
    job: Job,
    base: Attempt,
    ask: Asker,
    found: Found,
    left: Sequence[Outline],
    shift: Sequence[int] | None,
) -> Attempt:
    """Steer the way if the gear needs it, place what is shifted, and say how surely it goes."""
    axle = axle_of(base.gear)
    if axle is not None:
        job.say(f"{base.gear.gear.name}: steered, turning no tighter than it can")
        found = _steered(job, ask, axle, found, left)
        if found.answer != "goes":
            verdict: Verdict = "does not go" if found.answer == "does not go" else "not decided"
            return replace(base, verdict=verdict, found=found, reason=_why_not(base, found))
    shifted = None
    then = base.ground
    if shift:
        job.say(f"{base.gear.gear.name}: where to shift {len(shift)} things")
        shifted = _places(job, base, found, shift)
        if shifted.no_place:
            words = "; ".join(shifted.no_place)
            return replace(
                base, verdict="not decided", found=found, shift=shifted, reason=f"no place found for {words}"
            )
        then, found = _with_shifted(job, base, ask, found, shifted)
    sure = found.clearance_mm is not None and (
        found.grown_mm >= job.slack_mm or found.clearance_mm >= job.slack_mm
    )
    verdict = "goes" if sure else "goes, measure again"
    return replace(base, verdict=verdict, found=found, shift=shifted, then=then)


def _places(job: Job, base: Attempt, found: Found, shift: Sequence[int]) -> ShiftList:
    """Place what is shifted, well off the way if it can be, else just off it."""
    assert base.ground is not None
    roomy = max(job.slack_mm, min(BESIDE_MM, found.clearance_mm or 0.0))
    made = None
    for more in dict.fromkeys((roomy, job.slack_mm)):
        made = shift_list(
            job.scene,
            base.ground,
            grown(base.hull, more),
            found.path,
            shift,
            kept=(job.goal.outline,) if job.goal.kind == "floor" else (),
            known=job.known,
            stop=job.stop,
        )
        if not made.no_place and not any(each.findings for each in made.items):
            break
    assert made is not None
    return made


def _with_shifted(
    job: Job, base: Attempt, ask: Asker, found: Found, shifted: ShiftList
) -> tuple[Ground, Found]:
    """Return the floor once all is shifted, and the way measured again among what then stands there."""
    assert base.route is not None
    top = base.gear.height_mm if base.gear.height_mm is not None else base.body.load.height_mm
    then = ground(
        shifted_scene(job.scene, shifted.items),
        base.route,
        f"group:{base.body.group.id}",
        top,
        leaves_off=base.leaves_off,
        along=set(base.body.along),
    )
    again = ask.measured(found.path, then.loose, found.grown_mm)
    if again.clearance_mm is not None and found.clearance_mm is not None:
        least = min(again.clearance_mm, found.clearance_mm)
        again = replace(again, clearance_mm=least)
    return then, again


def _steered(job: Job, ask: Asker, axle: Axle, free: Found, left: Sequence[Outline]) -> Found:
    """Return the way on a steered gear, of the body grown if there is one."""
    for more in dict.fromkeys((min(free.grown_mm, job.slack_mm), 0.0)):
        found = steer(ask, axle, left, more, STEER_S)
        if found.answer == "goes":
            return found
    return found
