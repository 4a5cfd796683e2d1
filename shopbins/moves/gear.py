"""Moving gear judged for one thing: does it go under, does it hold, what shape and height they make, how it
steers, and what to be careful of.

One file a family: `trucks` (forks), `wheels` (skates, trolleys, rollers, hands), `cranes`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shopbins.moves.fitted import HOISTS, JACKED, GearAnswer, with_findings
from shopbins.moves.forks import Opening
from shopbins.moves.load import Load
from shopbins.shop.figures import OWN, Moving
from shopbins.shop.model import Gear

CARRIES = (
    *("pallet truck", "skates", "trolley", "engine crane", "gantry crane", "rollers and bar", "by hand"),
)
"""The kinds of gear a thing is moved on; the others (jack, winch, plate, ramp) help."""


def judge_gear(
    gear: Gear,
    load: Load,
    *,
    opening: Opening | None = None,
    measured_mm: float = 5.0,
    fall: float = 0.0,
    own: Moving = OWN,
    centred: bool = False,
    across: bool = False,
) -> GearAnswer:
    """Judge one piece of gear for one thing.

    `opening` is the side forks enter by (without it, the best of the thing's); `measured_mm` how well
    lengths were measured; `fall` the steepest floor on the way in mm per mm run (cautions only); `own` our
    own figures; `centred` sets forks in the middle of what is clear, not under the centre of gravity;
    `across` sets what it is jacked onto to roll across it.
    """
    from shopbins.moves import cranes, trucks, wheels

    if gear.kind == "pallet truck":
        fitted = trucks.fit(gear, load, opening, measured_mm, own, centred=centred)
    elif gear.kind == "skates":
        fitted = wheels.fit_skates(gear, load, across=across)
    elif gear.kind == "trolley":
        fitted = wheels.fit_trolley(gear, load, own, across=across)
    elif gear.kind == "rollers and bar":
        fitted = wheels.fit_rollers(gear, load, across=across)
    elif gear.kind == "by hand":
        fitted = wheels.fit_hands(gear, load)
    else:
        fitted = cranes.fit(gear, load, measured_mm, own)
    return with_findings(fitted, fall)


def judge_sides(gear: Gear, load: Load, *, measured_mm: float, own: Moving) -> Iterator[GearAnswer]:
    """Judge one piece of gear for one thing, forks from every side they go in: under its centre of gravity,
    and spare in the middle of what is clear; what only rolls straight on along it, and set across; a crane
    from every side it gets there from, the best first.

    A thing on runners has fewer than three feet: skates go under its jacking points.
    """
    if gear.kind == "skates" and len(load.feet) < 3 <= len(load.jacking):
        load = replace(load, feet=())
    if gear.kind in HOISTS:
        from shopbins.moves import cranes

        sides = cranes.fit_sides(gear, load, measured_mm, own)
        yield from (with_findings(fitted, 0.0) for fitted in sides)
        return
    openings = load.met_by_forks() if gear.kind == "pallet truck" else ()
    for opening in openings or (None,):
        answer = judge_gear(gear, load, opening=opening, measured_mm=measured_mm, own=own)
        yield answer
        if answer.forks_set:
            centred = judge_gear(gear, load, opening=opening, measured_mm=measured_mm, own=own, centred=True)
            yield replace(centred, spare=True)
        if gear.kind in JACKED and answer.steering == "axis":
            yield judge_gear(gear, load, measured_mm=measured_mm, own=own, across=True)
