"""The move as plain text: the answer with its conditions or stops, the steps, the legs, what to watch.

The sheet for the floor, with a plan to scale, is in `movepdf`.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.answer import Part, Verdict
from shopbins.moves.body import introduced
from shopbins.moves.finding import row_of
from shopbins.moves.legs import Leg
from shopbins.moves.plan import SHOWN_ASKS, Plan, pose_words
from shopbins.moves.restson import asked_anew
from shopbins.moves.steps import keep_words, steps_of
from shopbins.moves.taped import axes_said, origin_near
from shopbins.reports.plain import counted, wrapped
from shopbins.scene.scene import Scene
from shopbins.units import show_length, show_mass

HEAVY_KG = 25.0
"""One person's load where the shop file gives none: HSE INDG143, men, knuckle to elbow height, close."""


def answer_line(plan: Plan, measured_mm: float, *, brief: bool = False) -> str:
    """Return the answer in one line, never more than its worst part, with its margin where there is a way.

    `brief` names two parts of it and counts the others, for where they stand in a list below.
    """
    spare = ""
    if plan.margin_mm is not None and plan.verdict <= Verdict.ASKED:
        spare = f". {show_length(plan.margin_mm)} to spare at the tightest"
        if plan.attempt is not None and plan.attempt.verdict is Verdict.YES:
            spare += f", even if every size is {show_length(measured_mm)} off"
    elif brief and plan.would_go:
        spare = f". What would end it: {'; '.join(plan.would_go[:2])}"
    return f"{plan.brief if brief else plan.headline}{spare}"


def one_person_kg(scene: Scene) -> float:
    """Return what one person lifts here: as the shop file says, else by the published guide."""
    return scene.shop.limits.one_person_kg or HEAVY_KG


def shift_words(plan: Plan, scene: Scene) -> str:
    """Say what is shifted in all: how many, the mass, how many lifts exceed one person."""
    if not plan.shift:
        return "nothing has to be shifted"
    each = one_person_kg(scene)
    known = [s.mass_kg for s in plan.shift if s.mass_kg is not None]
    unknown = sum(s.not_weighed for s in plan.shift)
    heavy = sum(1 for kg in known if kg > each)
    mass = show_mass(sum(known)) if known else "not weighed"
    if known and unknown:
        mass = f"at least {mass}, {unknown} not weighed"
    more = f"; {heavy} of them beyond the {show_mass(each)} of one person" if heavy else ""
    return f"{counted(len(plan.shift), 'thing')} to shift, {mass} in all{more}"


def route_words(plan: Plan, scene: Scene) -> str:
    """Say the way: 'slip hall > gallery door > rope gallery'."""
    if plan.attempt is None or plan.attempt.route is None:
        return "no way found"
    route, shop = plan.attempt.route, scene.shop
    said = [shop.rooms[route.rooms[0]].name]
    for door, room in zip(route.doors, route.rooms[1:], strict=True):
        said += [shop.doors[door].name, shop.rooms[room].name]
    return " > ".join(said)


def tightest_words(plan: Plan) -> str:
    """Say where it is tightest and what is nearest there."""
    pose, between = plan.tightest, plan.between
    if pose is None or between is None or plan.margin_mm is None:
        return ""
    return f"{show_length(plan.margin_mm)} between {between[0]} and {between[1]}, at {pose_words(pose)}"


def sheet_text(
    scene: Scene, plan: Plan, width: int = 100, steps: Sequence[dict[str, Any]] | None = None
) -> list[str]:
    """Return the move as lines of text; `steps` as kept in the ledger where they were put on record."""
    return [
        *_head(scene, plan, width),
        *_holds_back(scene, plan, width),
        *_tried(plan, width),
        *_steps(scene, plan, width, steps),
        *_legs(plan, width),
        *_tail(plan, width),
    ]


def _head(scene: Scene, plan: Plan, width: int) -> Iterator[str]:
    yield from wrapped(f"MOVE  {plan.name} ({plan.code}) to {plan.to}  -  {scene.shop.name}", width)
    yield from wrapped(f"as of event {plan.seq}, {plan.as_}: {introduced(plan.body)}", width)
    yield ""
    yield from wrapped(answer_line(plan, scene.shop.measured_mm), width)
    if plan.path:
        yield from wrapped(f"on     {plan.gear.shown}, {plan.minutes:.0f} min of work", width)
        yield from wrapped(f"by     {route_words(plan, scene)}", width)
        if plan.goal is not None:
            yield from wrapped(f"to     its middle at {pose_words(plan.goal)}", width)
        tight = tightest_words(plan)
        if tight:
            yield from wrapped(f"tight  {tight}", width)
        if plan.attempt is not None and plan.attempt.route is not None:
            said = axes_said(origin_near(scene.shop, plan.attempt.route.rooms))
            yield from wrapped(f"x,y    {said}", width)
    elif plan.stops and len(plan.tried) > 1:
        yield from wrapped(f"nearest to going: {plan.gear.shown}", width)


def _holds_back(scene: Scene, plan: Plan, width: int) -> Iterator[str]:
    """Say what forbids and what ends it, what is not decided, what is asked, what to measure again, each
    condition with its id.
    """
    if plan.stops:
        yield ""
        yield "Against it"
        for part in plan.stops:
            found = row_of(part).finding
            yield from _hung("!! ", found.text, width)
            yield from _hung("   ", f"({found.source})", width)
    if plan.undecided:
        yield ""
        yield "Not decided, and no figure that is lacking would decide it"
        for part in plan.undecided:
            yield from _hung("?  ", row_of(part).finding.text, width)
    if plan.would_go:
        yield from _hung("-> ", f"what would end it: {'; '.join(plan.would_go)}", width)
    if plan.asks:
        yield ""
        yield "Asked"
        for part in plan.asks[:SHOWN_ASKS]:
            ask = row_of(part).ask
            yield from _hung("?  ", part.text, width)
            if ask is not None:
                yield from _hung("   ", ask.set, width)
        if len(plan.asks) > SHOWN_ASKS:
            yield f"   and {len(plan.asks) - SHOWN_ASKS} more (--json has them all)"
    if plan.measure_again:
        yield ""
        yield "Measure again: the answer turns on it"
        for each in plan.measure_again:
            yield from _hung("[ ] ", each, width)
    if plan.conditions:
        yield ""
        yield "Conditions, what one person sees to at one time together, by name (shopbins accept ID REASON)"
        for line in plan.to_accept:
            several = len(line.parts) > 1
            if several:
                yield ""
                yield f"{line.called}, {len(line.parts)} together"
                yield from _hung("    ", _quoted(line.id), width)
            for part in line.parts:
                yield from _condition(scene, plan, part, width)
            if not several:
                yield from _hung("    ", _quoted(line.id), width)


def _condition(scene: Scene, plan: Plan, part: Part, width: int) -> Iterator[str]:
    mark = "[ ] " if part.accepted is None else "[x] "
    said = "" if part.accepted is None else f", accepted {part.accepted.said}"
    yield from _hung(mark, f"{part.text}{said}", width)
    anew = asked_anew(scene.state, row_of(part), plan.name)
    if anew:
        yield from _hung("    ", anew, width)
    yield from _hung("    ", row_of(part).finding.text, width)


def _quoted(key: str) -> str:
    return shlex.quote(key) if " " in key else key


def gear_words(plan: Plan, *, other: bool = False) -> Iterator[str]:
    """Say how each gear does, and which was not looked at; `other` leaves out the one chosen and
    says what was not looked at in one line.
    """
    for each in plan.tried:
        if other and each.gear == plan.gear.gear.key:
            continue
        why = f"with {each.reason}" if each.verdict is Verdict.ASKED and each.reason else each.reason
        yield ", ".join(filter(None, (f"{each.name}: {each.answer}", *each.figures, why)))
    missed = ["; ".join(plan.not_looked)] if other and plan.not_looked else plan.not_looked
    yield from (f"not looked at: {names}" for names in missed)


def _tried(plan: Plan, width: int) -> Iterator[str]:
    yield ""
    yield "Gear, side by side"
    for each in gear_words(plan):
        yield from _hung("- ", each, width)


def _hung(sign: str, text: str, width: int) -> list[str]:
    first, *more = wrapped(text, width - len(sign)) or [""]
    return [f"{sign}{first}", *(" " * len(sign) + line for line in more)]


def _steps(scene: Scene, plan: Plan, width: int, steps: Sequence[dict[str, Any]] | None) -> Iterator[str]:
    if not plan.planned:
        return
    yield ""
    yield f"In this order: {shift_words(plan, scene)}"
    for n, step in enumerate(steps or steps_of(scene, plan), 1):
        box = "[x]" if step.get("done") else "[ ]"
        yield from _hung(f"{box} {n:2d} ", step["title"], width)
        if step.get("keep"):
            yield from _hung("       ", keep_words(step), width)


SHORT_MM = 300.0
"""A leg shorter than this is told with the one before it."""


def moving_legs(plan: Plan) -> list[list[Leg]]:
    """Return the legs that go somewhere, what goes up, down or level in one room taken together."""
    found: list[list[Leg]] = []
    for leg in plan.legs:
        if leg.length_mm < 1.0:
            continue
        alike = bool(found) and found[-1][-1].room is leg.room
        if alike and (leg.length_mm < SHORT_MM or _way(found[-1][0]) == _way(leg)):
            found[-1].append(leg)
        else:
            found.append([leg])
    return found


def _way(leg: Leg) -> int:
    return (leg.fall > 1e-6) - (leg.fall < -1e-6)


def _legs(plan: Plan, width: int) -> Iterator[str]:
    """List the legs, alike ones together, with how far it turns on them."""
    every = moving_legs(plan)
    if not every:
        return
    yield ""
    yield "Legs"
    for n, legs in enumerate(every, 1):
        length = show_length(sum(leg.length_mm for leg in legs))
        steepest = max(legs, key=lambda leg: (leg.length_mm >= SHORT_MM, abs(leg.fall)))
        turns = [deg for leg in legs for deg in leg.turned_deg]
        turned = f", turns {max(turns) - min(turns):.0f} deg" if max(turns) - min(turns) >= 1.0 else ""
        yield from _hung(f"{n:2d} ", f"{steepest.room.name}, {length}, {steepest.words}{turned}", width)


def _tail(plan: Plan, width: int) -> Iterator[str]:
    yield ""
    yield "Watch"
    for each in plan.cautions:
        yield from _hung("- ", each, width)
