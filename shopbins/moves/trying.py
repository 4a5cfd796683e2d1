"""Try one gear by one route: as the doors stand open or with leaves off, as one outline and by its parts."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Outline, Pose
from shopbins.moves.attempt import (
    AS_WANTED,
    MOST_SPOTS,
    Attempt,
    Job,
    Lacks,
    forks_shut_in,
    low_top_mm,
    more_work,
    never_better,
    spots,
    to_goal,
    unlike_wanted,
)
from shopbins.moves.banded import by_parts
from shopbins.moves.body import Body
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.goal import larger_by_mm
from shopbins.moves.route import Route, ground, open_holes, with_pits
from shopbins.moves.situation import begins_on
from shopbins.moves.tolerance import Asker
from shopbins.rules.say import listed
from shopbins.units import show_length


def attempt(
    job: Job,
    body: Body,
    gear: GearAnswer,
    route: Route,
    avoid: Sequence[Outline] = (),
    steers: Outline = (),
    refused: Collection[Pose] = (),
) -> Attempt:
    """Try one gear by one route: as the doors stand open, then with the leaves off where that is lacking.

    `avoid` is floor that is kept off, besides what stands there; `steers` the outline of who steers, kept
    free; `refused` are spots of the goal that something else spoke against. Where only open pits stand
    against it, it goes over them as far as plates told of carry it there, else it is not decided: its gear
    might straddle them.
    """
    first = _by_leaves(job, body, gear, route, avoid, steers, (), refused)
    hinged = tuple(key for key in route.doors if job.scene.shop.doors[key].opens == "hinged")
    if first.verdict in (Verdict.NO, Verdict.OPEN) and hinged and not job.stop():
        again = _by_leaves(job, body, gear, route, avoid, steers, hinged, refused)
        if again.found.path:
            return again
    return first


def _by_leaves(
    job: Job,
    body: Body,
    gear: GearAnswer,
    route: Route,
    avoid: Sequence[Outline],
    steers: Outline,
    leaves_off: tuple[str, ...],
    refused: Collection[Pose],
    *,
    pits: bool = True,
) -> Attempt:
    floor = ground(
        job.scene,
        route,
        f"group:{body.group.id}",
        low_top_mm(body, gear, job.slack_mm),
        leaves_off=leaves_off,
        along=set(body.along),
        avoid=avoid,
        goal=job.goal.outline,
        pits=pits,
    )
    base = Attempt(Verdict.NO, body, gear, route, floor, leaves_off, start=body.pose, steers=steers)
    hull = base.moving
    if body.pose is None:
        return replace(base, reason=f"where {body.group.shown} stands is not known")
    shut = "" if begins_on(job.scene, body, gear) else forks_shut_in(job, base, body.pose)
    if shut:
        name = f"{body.group.shown} on {gear.gear.name}"
        return replace(base, reason=f"{name}: to go in where it stands the forks need {shut}")
    best: Attempt | None = None
    best_lacks = AS_WANTED
    no_spot: list[str] = []
    for asked, goal in enumerate(spots(job, base, with_pits(job.scene.shop, floor), hull, refused), 1):
        if isinstance(goal, str):
            no_spot.append(goal)
            continue
        if job.out_of_time(f"{gear.gear.name}: more spots in {job.goal.name}"):
            return best or replace(base, verdict=Verdict.OPEN, reason="time was up")
        ask = Asker(floor, hull, body.pose, goal, job.until, job.cancelled, job.kept, base.turned)
        if best is not None and best.verdict is Verdict.YES and never_better(job, base, ask, best_lacks):
            tried, lacks = best, best_lacks
        else:
            tried = to_goal(job, replace(base, goal=goal, passed_over=tuple(no_spot)), ask)
            lacks = unlike_wanted(job.scene, base, tried.found.path)
        if best is None or _before(job, (tried, lacks), (best, best_lacks)):
            best, best_lacks = tried, lacks
        if tried.verdict is Verdict.YES and (job.proves or lacks == AS_WANTED):
            break
        if asked >= MOST_SPOTS and (job.stands or tried.verdict in (Verdict.NO, Verdict.YES)):
            break
    nowhere = f"no place in {job.goal.name} for {body.group.shown} on {gear.gear.name}"
    if best is None:
        over = larger_by_mm(job.goal, body.outline, job.turn_deg)
        why = f"larger than {job.goal.name} by {show_length(over)}" if over >= 1.0 else "whatever is shifted"
        best = replace(base, reason=f"{nowhere}: {no_spot[0] if no_spot else why}")
    found = best if job.bare or job.proves or job.shifts else by_parts(job, best, refused)
    if found.verdict is not Verdict.NO or not pits or job.shifts or job.stop():
        return found
    open_pits = tuple(hole.name for hole in open_holes(job.scene.shop, floor.outlines))
    if not open_pits:
        return found
    if not job.bare:
        proves = replace(job, proves=True)
        straddled = _by_leaves(proves, body, gear, route, avoid, steers, leaves_off, refused, pits=False)
        if straddled.verdict is Verdict.NO:
            return found
    if any(each.kind == "plate" for each in job.scene.shop.gear.values()):
        across = _by_leaves(job, body, gear, route, avoid, steers, leaves_off, refused, pits=False)
        if across.found.path:
            return replace(across, over=open_pits)
    named = listed(open_pits, len(open_pits))
    why = (
        f"{body.group.shown} on {gear.gear.name}: no way leads round {named}, open; over it, with wheels on "
    )
    why += "either side, is not looked at"
    return replace(found, verdict=Verdict.OPEN, reason=why, over=open_pits)


def _before(job: Job, one: tuple[Attempt, Lacks], other: tuple[Attempt, Lacks]) -> bool:
    """Tell whether an attempt, with what its way lacks, comes before another."""
    (a, lacks_a), (b, lacks_b) = one, other
    return (a.verdict, more_work(job, a, lacks_a)) < (b.verdict, more_work(job, b, lacks_b))
