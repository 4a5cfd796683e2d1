"""What lies on the thing: asked bare it is off first, else it is off or made fast before it is lifted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shopbins.answer import Part
from shopbins.ledger.model import InGroup
from shopbins.moves.body import Body, Projection
from shopbins.moves.finding import Check
from shopbins.moves.hands import looked_at
from shopbins.moves.partsoff import (
    able_hoist,
    by_one,
    hook_over_mm,
    lying_on,
    taken_kg,
    team_of,
    who_takes_off,
)
from shopbins.moves.situation import Situation
from shopbins.rules.say import listed
from shopbins.scene.scene import Scene
from shopbins.units import show_length, show_mass, show_rating

LIES = Check(
    "move-lies-on",
    "What lies on it",
    "off or made fast before it is lifted: common practice, no source; who lifts it off: HSE INDG143, L23 "
    "paragraph 120",
    "common practice, no source",
    "take it off, or make it fast",
)


def lies_on(it: Situation) -> Iterator[Part]:
    """Say who takes off what lies on it where it is asked bare, and where that goes; of what goes along loose
    on top that it is off first, or made fast.
    """
    if it.body.left_here:
        yield from _off_first(it, lying_on(it.scene, it.body))
    else:
        yield from _made_fast(it, [p for p in lying_on(it.scene, it.body) if _loose(it.scene, p)])


def _loose(scene: Scene, part: Projection) -> bool:
    where = scene.group(part.group).where
    return isinstance(where, InGroup) and where.how == "on"


def _made_fast(it: Situation, loose: Sequence[Projection]) -> Iterator[Part]:
    if not loose:
        return
    named, kg = listed(p.name for p in loose), _together(loose)
    team = [f"{p.name} {by}" for p in loose if (by := who_takes_off(it.scene, p))]
    mass = "not all weighed" if kg is None else show_mass(kg)
    text = f"loose on {it.name}: {named} ({mass}): off, or made fast on it, before it is lifted or rolled"
    text += f"; to take off: {'; '.join(team)}" if team else ""
    which = listed((p.name for p in loose), 2)
    yield LIES.only((*it.load.subjects, "loose"), f"{which} off, or made fast", text, measured=kg, unit="kg")


def _off_first(it: Situation, on: Sequence[Projection]) -> Iterator[Part]:
    """Judge what lies on a thing asked bare: what one person lifts together, each other by itself."""
    few = [p for p in on if by_one(it.scene, p)]
    for part in on:
        if part not in few:
            yield from _lifted_off(it, part)
    if few:
        text = f"on record as on {it.name}, reckoned without: {', '.join(p.name for p in few)}: off first"
        kg, subjects = _together(few), (*it.load.subjects, "bare")
        words = f"{listed((p.name for p in few), 2)} off first"
        yield LIES.only(subjects, words, text, measured=kg, unit="kg")


def _lifted_off(it: Situation, part: Projection) -> Iterator[Part]:
    subjects = (*it.load.subjects, f"part:{part.called}", "bare")
    kg, team = taken_kg(part), team_of(it.scene, part, None)
    who = who_takes_off(it.scene, part)
    mass = "not weighed" if kg is None else show_mass(kg)
    text = f"on record as on {it.name}, reckoned without: {part.name} ({mass}): off first, {who}"
    if kg is None or team is None:
        yield LIES.only(subjects, f"{part.name} weighed, then off first", text, judged=False)
    elif not team.people and (hoist := able_hoist(it.scene, part)) is not None:
        text = f"{text}: whether it does is not looked at"
        words = f"{part.name} off first, by {hoist.name}"
        yield LIES.only(subjects, words, text, measured=kg, unit="kg")
    elif team.people or looked_at(it.scene, kg, *team.between_mm) is not None:
        yield LIES.only(subjects, f"{part.name} off first, {who}", text, measured=kg, unit="kg")
    else:
        needs = f"a hoist of at least {show_rating(kg)}, its hook {show_length(hook_over_mm(part))} up"
        yield LIES.no(subjects, text, (needs,), measured=kg, unit="kg")


def _together(parts: Sequence[Projection]) -> float | None:
    """Return what parts weigh together; None where one is not weighed."""
    every = [p.mass.kg for p in parts if p.mass is not None]
    return math.fsum(every) if len(every) == len(parts) else None


def still_on(scene: Scene, it: Body) -> list[str]:
    """Return the names of what is on record as on a thing that is reckoned bare."""
    return [p.name for p in lying_on(scene, it)] if it.left_here else []
