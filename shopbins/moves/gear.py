"""Moving gear judged for one thing: does it go under, does it hold, what shape and height they make, how it
steers, and what to be careful of.

One file a family: `trucks` (forks), `wheels` (skates, trolleys, rollers, hands), `cranes`.
"""

from __future__ import annotations

from shopbins.moves.fitted import GearAnswer, with_findings
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
) -> GearAnswer:
    """Judge one piece of gear for one thing.

    `opening` is the side forks enter by (without it, the best of the thing's); `measured_mm` how well
    lengths were measured; `fall` the steepest floor on the way in mm per mm run (cautions only); `own` our
    own figures.
    """
    from shopbins.moves import cranes, trucks, wheels

    if gear.kind == "pallet truck":
        fitted = trucks.fit(gear, load, opening, measured_mm, own)
    elif gear.kind == "skates":
        fitted = wheels.fit_skates(gear, load)
    elif gear.kind == "trolley":
        fitted = wheels.fit_trolley(gear, load, own)
    elif gear.kind == "rollers and bar":
        fitted = wheels.fit_rollers(gear, load)
    elif gear.kind == "by hand":
        fitted = wheels.fit_hands(gear, load)
    else:
        fitted = cranes.fit(gear, load, measured_mm, own)
    return with_findings(fitted, fall)
