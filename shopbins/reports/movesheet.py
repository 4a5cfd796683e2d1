"""The move on one page: what a person takes to the floor, as plain text.

The same as a PDF with a plan to scale is in `movepdf`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.moves.body import introduced
from shopbins.moves.plan import Plan, alternatives
from shopbins.moves.steps import steps_of
from shopbins.reports.audit import finding_text
from shopbins.reports.plain import counted, wrapped
from shopbins.scene.scene import Scene
from shopbins.units import show_length, show_mass

HEAVY_KG = 25.0
"""One person's load where the shop file gives none: HSE INDG143, men, knuckle to elbow height, close."""


def answer_line(plan: Plan, measured_mm: float) -> str:
    """Return the answer in one line, with its margin."""
    spare = "" if plan.margin_mm is None else f", {show_length(plan.margin_mm)} to spare at the tightest"
    if plan.answer == "goes":
        return f"It goes{spare}, even at the worst of the measuring ({show_length(measured_mm)} either way)"
    if plan.answer == "goes, measure again":
        return f"It goes as measured{spare}: measure again before relying on it"
    word = "It does not go" if plan.answer == "does not go" else "Not decided"
    return f"{word}: {plan.reason}" if plan.reason else word


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
    pose, between = plan.told.tightest, plan.told.between
    if pose is None or between is None or plan.margin_mm is None:
        return ""
    where = f"at {pose.x_mm:.0f}, {pose.y_mm:.0f} turned {pose.turn_deg % 360:.0f} deg"
    return f"{show_length(plan.margin_mm)} between {between[0]} and {between[1]}, {where}"


def sheet_text(
    scene: Scene, plan: Plan, width: int = 100, steps: Sequence[dict[str, Any]] | None = None
) -> list[str]:
    """Return the move sheet as lines of text; `steps` as kept in the ledger where they were accepted."""
    return [*_head(scene, plan, width), *_steps(scene, plan, width, steps), *_tail(plan, width)]


def _head(scene: Scene, plan: Plan, width: int) -> Iterator[str]:
    yield from wrapped(f"MOVE  {plan.name} ({plan.code}) to {plan.place}  -  {scene.shop.name}", width)
    yield from wrapped(f"as of event {plan.seq}, {plan.as_}: {introduced(plan.body)}", width)
    yield ""
    yield from wrapped(answer_line(plan, scene.shop.measured_mm), width)
    if not plan.goes:
        yield from _tried(plan, width)
        return
    if plan.gear is not None:
        yield from wrapped(f"on     {plan.gear.gear.name}", width)
    yield from wrapped(f"by     {route_words(plan, scene)}", width)
    tight = tightest_words(plan)
    if tight:
        yield from wrapped(f"tight  {tight}", width)
    yield from _tried(plan, width)


def _tried(plan: Plan, width: int) -> Iterator[str]:
    yield ""
    yield "Gear, in the order of the shop file"
    for line in alternatives(plan.tried):
        yield from _hung("- ", line, width)


def _hung(sign: str, text: str, width: int) -> list[str]:
    first, *more = wrapped(text, width - len(sign)) or [""]
    return [f"{sign}{first}", *(" " * len(sign) + line for line in more)]


def _steps(scene: Scene, plan: Plan, width: int, steps: Sequence[dict[str, Any]] | None) -> Iterator[str]:
    if not plan.goes:
        return
    yield ""
    yield f"In this order: {shift_words(plan, scene)}"
    for n, step in enumerate(steps or steps_of(scene, plan), 1):
        box = "[x]" if step.get("done") else "[ ]"
        yield from _hung(f"{box} {n:2d} ", step["title"], width)


def _tail(plan: Plan, width: int) -> Iterator[str]:
    if plan.told.measure_again:
        yield ""
        yield "Measure again"
        for each in plan.told.measure_again:
            yield from _hung("- ", each, width)
    if plan.findings:
        yield ""
        yield "Found"
        for found in plan.findings:
            yield from finding_text(found, width)
    yield ""
    yield "Watch"
    for each in plan.told.cautions:
        yield from _hung("- ", each, width)
