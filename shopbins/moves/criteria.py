"""Everything a move is judged by: this list is the registry, and docs/moves.md says each of it.

A criterion is a pure function over a `Situation` that gives parts of the answer. `when` says from when on
it can be judged: with the gear alone, or along a way. What does not apply gives nothing; what cannot be
judged says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from shopbins.answer import Part
from shopbins.moves import (
    bedding,
    crests,
    fits,
    halts,
    hangs,
    heads,
    heights,
    inuse,
    laying,
    lifting,
    lying,
    onslopes,
    onto,
    overbends,
    overedges,
    pressing,
    pushing,
    room,
    running,
    stages,
    standing,
    stilloff,
    ways_out,
)
from shopbins.moves.finding import Check
from shopbins.moves.fitted import BALANCE, HOLDS, SCOPE, UNDER
from shopbins.moves.situation import Situation

When = Literal["gear", "way"]


@dataclass(frozen=True, slots=True)
class Criterion:
    """One criterion: its checks, what it needs to be told, and from when on it can be judged."""

    checks: tuple[Check, ...]
    needs: str
    when: When
    judge: Callable[[Situation], Iterable[Part]]


CRITERIA: tuple[Criterion, ...] = (
    Criterion((standing.MASS,), "the mass of everything on it", "gear", standing.mass),
    Criterion((UNDER, BALANCE), "sizes of thing and gear", "gear", fits.goes_under),
    Criterion((HOLDS, fits.TIED, fits.SWINGS), "the gear's plate", "gear", fits.holds),
    Criterion((inuse.IN_USE,), "which steps of planned moves are ticked", "gear", inuse.in_use),
    Criterion((inuse.HALTED,), "which steps of planned moves are ticked", "way", inuse.past_halted),
    Criterion((fits.SIZES,), "the gear's outline", "gear", fits.sizes),
    Criterion((SCOPE,), "the truck's plate", "gear", fits.scope),
    Criterion((lying.LIES,), "mass and height of what lies on it", "gear", lying.lies_on),
    Criterion((standing.RUNS_IN,), "`drain`", "gear", standing.loose_inside),
    Criterion((standing.RESIZED,), "all told of it anew", "gear", standing.told_before),
    Criterion(
        (standing.TIPS, standing.CENTRE),
        "centre of gravity, wheels, height of the gear",
        "gear",
        standing.tips,
    ),
    Criterion((standing.SPEED,), "centre of gravity", "gear", standing.speed),
    Criterion((onslopes.SLOPE_GEAR,), "`steepest`", "gear", onslopes.slope_gear),
    Criterion((pressing.WHEELS,), "`wheel rating`, `wheels`", "gear", pressing.ratings),
    Criterion((standing.ZONE,), "height of the thing", "gear", standing.fall_zone),
    Criterion((lifting.BASE,), "`base`", "gear", lifting.base_off),
    Criterion((lifting.JACK, lifting.LIFT_TIPS), "feet, `toe jack`", "gear", lifting.jacking),
    Criterion((heads.JACKS,), "`people`", "gear", heads.at_jacks),
    Criterion((lifting.ON_PACKING,), "which steps of planned moves are ticked", "gear", lifting.on_packing),
    Criterion((lifting.SLINGS,), "`sling`, `sling height`, `hook`", "gear", lifting.slings),
    Criterion((hangs.HANGS,), "`cg`, `cg height`, `sling`, `sling height`", "gear", hangs.hangs),
    Criterion((hangs.HANGS,), "`sling`, `sling height`, `hook`, outline", "gear", lifting.legs_clear),
    Criterion((ways_out.WAY,), "outlines of all that stands there", "way", ways_out.way),
    Criterion((standing.SILL_TIPS,), "`threshold`, `height` of plates", "way", standing.tips_at_sills),
    Criterion((standing.UNEVEN,), "`even`, centre of gravity", "way", standing.uneven),
    Criterion((overedges.LOOSE,), "`even`, `height` of rollers", "way", overedges.loose_rollers),
    Criterion((overedges.SILL,), "`threshold`, `wheel`, `height` of plates", "way", overedges.sills),
    Criterion((heights.BAND,), "heights of thing, gear, doors, rooms, beams", "way", heights.heights),
    Criterion((heights.HEAD,), "heights of doors, rooms, beams", "way", heights.heads),
    Criterion((heights.TILTED,), "`slope`, `headroom`", "way", heights.on_slopes),
    Criterion((pressing.AREA, pressing.POINT), "`floor load`, `point load`, `void`", "way", pressing.floors),
    Criterion((pressing.COVER,), "`load` or `class` of covers", "way", pressing.covers),
    Criterion((pressing.COVER,), "`openings`, `size` of plates", "way", pressing.over_open_pits),
    Criterion(
        (pressing.COVER,), "feet, `jack`, `load` or `class` of covers", "way", pressing.stands_on_covers
    ),
    Criterion(
        (bedding.LIES_ON, bedding.CLEAR),
        "`load` of covers, feet, `size` of plates and ramps",
        "way",
        bedding.bedded,
    ),
    Criterion((laying.LAYS,), "`mass` of plates and ramps, `people`", "way", laying.laying),
    Criterion((laying.UNDER_LEAF,), "doors, `height` of plates", "way", laying.under_leaves),
    Criterion((laying.AT_ONCE,), "`count` of plates and ramps", "way", laying.at_once),
    Criterion((pressing.EDGE,), "`openings`", "way", pressing.edges),
    Criterion((pressing.PIT,), "`openings`, `guarded`", "way", pressing.beside_pits),
    Criterion((onslopes.OUTDOORS,), "`slope` of a yard", "way", onslopes.slopes_told),
    Criterion((onslopes.LEVEL,), "`slope`", "way", onslopes.taken_as_level),
    Criterion((running.EVEN,), "`even`", "way", running.rolls_as_taken),
    Criterion((running.RUNS,), "`brake`, `anchors`", "gear", running.runs_away),
    Criterion((onslopes.TURNS,), "`slope`", "way", onslopes.turns_on_slope),
    Criterion((onslopes.ROUND,), "`steering`", "way", onslopes.set_round),
    Criterion((onslopes.HANDLE,), "`slope`", "gear", onslopes.handle_uphill),
    Criterion((standing.LASH,), "`strap`", "way", standing.lashing),
    Criterion((overedges.PUSH, pushing.PULL), "mass, `slope`", "way", pushing.forces),
    Criterion((overedges.PUSH,), "`anchors`", "way", stages.points_lacking),
    Criterion((stages.LINES,), "`winch`, `anchors`", "way", stages.at_once),
    Criterion((fits.ROLLERS,), "`rollers and bar`", "way", fits.rollers_laid),
    Criterion((stages.PAST,), "`anchors`", "way", stages.past_the_handle),
    Criterion((heads.HEADS,), "`people`, `winch`, `steering`", "way", heads.on_the_way),
    Criterion((crests.CREST,), "`slope`, `threshold`, `anchors`", "way", crests.over_crests),
    Criterion((overbends.GROUNDS,), "`clearance`, `foot`, `under`", "way", overbends.grounds),
    Criterion((room.FORKS,), "`fork length`, `body`", "way", room.forks),
    Criterion(
        (room.FORKS, room.JACK_ROOM), "`fork length`, `body`, `size` of jack and crane", "way", room.comes_off
    ),
    Criterion((room.JACK_ROOM,), "`size` of jack and crane", "way", room.room_to_lift),
    Criterion((room.PERSON, room.SHUT_IN), "`handle`", "way", room.person),
    Criterion((room.OUT,), "doors, `over forks`, outlines", "way", room.comes_out),
    Criterion((room.PUSHERS,), "mass, outlines", "way", room.room_to_push),
    Criterion((halts.HALT,), "outlines, mass of parts", "way", halts.rooms_to_work),
    Criterion((room.GAPS, room.STEERING), "outlines", "way", room.gaps),
    Criterion((lifting.PART, lifting.PLACE), "mass and height of parts", "way", lifting.parts_off),
    Criterion((stilloff.LAID,), "which steps of planned moves are ticked", "gear", stilloff.lies_still),
    Criterion((stilloff.BACK,), "which steps of planned moves are ticked", "way", stilloff.goes_back),
    Criterion((lifting.SHIFT,), "mass of what is shifted", "way", lifting.shifts),
    Criterion((onto.ONTO,), "height of the thing, `hook`, `reach`", "way", onto.lift_onto),
    Criterion((ways_out.LEAF,), "doors", "way", ways_out.leaves),
    Criterion((ways_out.EXIT,), "ways out", "way", ways_out.shut),
    Criterion((pressing.STANDS,), "feet, centre of gravity", "way", pressing.stood),
    Criterion((ways_out.GOAL,), "the whole shop", "way", ways_out.at_goal),
)
"""In the order they are told."""


def judged(it: Situation, when: When) -> Iterator[Part]:
    """Go through the parts of every criterion of one kind."""
    for criterion in CRITERIA:
        if criterion.when == when:
            yield from criterion.judge(it)
