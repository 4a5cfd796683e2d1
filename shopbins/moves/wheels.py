"""Gear that a thing is set on: skates, trolleys, rollers and bar; and carrying by hand."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, Point, Pose, bounds, contains, placed, rectangle
from shopbins.moves.fitted import Fitted, boxed, plus, steering_of
from shopbins.moves.forks import Foot
from shopbins.moves.hands import team_limit_kg
from shopbins.moves.load import Judged, Load, holds
from shopbins.moves.setround import any_way
from shopbins.moves.stances import TRAIL, WHEEL_PLACES, Stance, Usual, both_ends, castors, pads, rollers_at
from shopbins.rules.handling import FILTER, MAC, SHARES, TEAM, filter_kg
from shopbins.rules.say import masses_apart
from shopbins.rules.supports import Stand, Support, stand
from shopbins.shop.figures import OWN, Moving
from shopbins.shop.model import Gear
from shopbins.units import show_length

SET_DOWN = "jack it evenly, a little at each end, on packing that follows it up (common practice, no source)"


# --- skates -----------------------------------------------------------------------------------------------


ACROSS_DEG = 90.0
"""Which way gear rolls that is set across, in the thing's frame."""


def fit_skates(gear: Gear, load: Load, *, across: bool = False) -> Fitted:
    """Put skates under the feet, else under the jacking points; of too few, under the best three."""
    feet = load.feet or load.jacking
    under, why = _skate_points(gear, load, feet)
    how = stand(
        [Support(f.x_mm, f.y_mm, f.name) for f in under],
        load.cg_mm,
        cg_height_mm=load.cg_height_mm,
        outline=load.outline,
    )
    rise = padded_mm(gear)
    if rise is not None and not load.feet and load.under_mm is not None:
        rise = max(0.0, rise - load.under_mm)
    height = plus(load.height_mm, rise)
    unknown = [] if gear.height_mm is not None else [f"height of {gear.name} is not known"]
    if gear.size_mm is None:
        unknown.append(f"size of one of {gear.name}: those that stick out are not checked")
    stops = []
    kindest_mm = math.hypot(load.cg_within_mm, load.cg_within_mm)  # within that `tips` says what to measure
    if len(under) >= 3 and how.stands is False and (how.edge_mm or 0.0) + kindest_mm <= 0:
        stops.append((f"{load.name} on {gear.name}: {how.why}", how.edge_mm, 0.0, "mm"))
    return Fitted(
        gear=gear,
        load=load,
        goes_under=why,
        holds=_skates_hold(gear, load, how, len(under)),
        parts=(load.outline, *_pads(gear, under, ACROSS_DEG * across)),
        height_mm=height,
        least_height_mm=height,
        cautions=(
            SET_DOWN,
            f"over a step or a joint a skate stops and the thing goes on: plates over both ({gear.name})",
        ),
        unknown=tuple(unknown),
        stops=tuple(stops),
        stand=how if len(under) >= 3 else None,
        axis_deg=ACROSS_DEG * across,
        stances=(pads([f.point for f in under], [f.name for f in under]),) if len(under) >= 3 else (),
        up_mm=None if rise is None else (rise, rise),
        set_round=_pads_set_round(gear, load, under),
    )


def padded_mm(gear: Gear) -> float | None:
    """Return how high gear carries a thing, with the pads told of between both; None: not told."""
    return plus(gear.height_mm, gear.pads_mm or 0.0)


def _skate_points(gear: Gear, load: Load, feet: Sequence[Foot]) -> tuple[tuple[Foot, ...], Judged]:
    if not feet:
        return (), Judged("not known", f"where the feet or jacking points of {load.name} are is not known")
    if len(feet) < 3:
        return tuple(feet), Judged(
            "not known", f"{len(feet)} feet of {load.name} are known, three are needed"
        )
    if gear.count is None:
        return tuple(feet), Judged("not known", f"how many {gear.name} there are is not known", unit="count")
    if gear.count < 3:
        words = f"{gear.count} of {gear.name}: three at least are needed to stand on"
        return tuple(feet), Judged("no", words, gear.count, 3, "count")
    chosen = tuple(feet) if gear.count >= len(feet) else _best_three(load, feet)
    high = (
        "" if gear.height_mm is None else f"; it has to be jacked {show_length(padded_mm(gear) or 0.0)} first"
    )
    where = "feet" if load.feet else "jacking points"
    words = f"{len(chosen)} of {gear.name} under {len(chosen)} of the {len(feet)} {where}{high}"
    return chosen, Judged("yes", words, gear.count, len(chosen), "count")


def _best_three(load: Load, feet: Sequence[Foot]) -> tuple[Foot, ...]:
    """Return the three feet on which the centre of gravity is farthest from an edge."""
    cg = load.cg_mm or bounds(load.outline).middle

    def inside(three: Sequence[Foot]) -> float:
        found = stand([Support(f.x_mm, f.y_mm) for f in three], cg)
        return -1e12 if found.edge_mm is None else found.edge_mm

    return max(itertools.combinations(feet, 3), key=inside)


def _skates_hold(gear: Gear, load: Load, how: Stand, count: int) -> Judged:
    """Compare what the most loaded skate may bear with what one holds."""
    each, mass = gear.capacity_kg, load.mass_kg
    if mass is None or each is None:
        return holds(load, each, f"each of {gear.name}")
    if count < 3:
        whole = each * (gear.count or 1)
        weighs, most_kg = load.mass_words(beside=whole), masses_apart(mass, whole)[1]
        words = f"{load.name} is {weighs}; {gear.name}: {most_kg} at most, all together"
        if gear.count is not None and mass > whole * (1 + 1e-9):
            return Judged("no", words, mass, whole, "kg")
        return Judged("not known", f"{words}; how they share it is not known", mass, whole, "kg")
    most = how.most()
    share = 1.0 if most is None else most.most
    known = load.cg_mm is not None and most is not None
    at_least = "at least " if load.not_weighed else ""
    words = (
        f"{load.name} is {load.mass_words()}; on {count} of {gear.name} one may bear {at_least}"
        f"{', '.join(masses_apart(share * mass, each))} each"
    )
    if mass / count > each * (1 + 1e-9):
        return Judged("no", f"{words}: too much even if shared evenly", mass / count, each, "kg")
    if share * mass <= each * (1 + 1e-9):
        if load.not_weighed:
            return Judged("not known", f"{words}: weigh the rest", share * mass, each, "kg", ("the mass",))
        return Judged("yes", words, share * mass, each, "kg", ("the mass",) if load.about else ())
    if not known:
        return Judged("not known", f"{words}: its centre of gravity is not known", share * mass, each, "kg")
    words += "" if how.exact else " (more than three: which of them carry is not determined)"
    return Judged("no", words, share * mass, each, "kg")


def _pads(gear: Gear, feet: Sequence[Foot], axis_deg: float) -> tuple[Outline, ...]:
    """Return the outlines of the skates: along the axis where they only roll straight on, else as they may
    turn, squares of their longer side.
    """
    if gear.size_mm is None:
        return ()
    straight = steering_of(gear) == "axis"
    long, wide = gear.size_mm if straight else (max(gear.size_mm), max(gear.size_mm))
    return tuple(placed(rectangle(long, wide), Pose(f.x_mm, f.y_mm, axis_deg)) for f in feet)


def _pads_set_round(gear: Gear, load: Load, feet: Sequence[Foot]) -> tuple[Outline, ...]:
    """Return what straight skates take where they are set round, any way; () where they stay under the
    thing.
    """
    if gear.size_mm is None or steering_of(gear) != "axis":
        return ()
    pads = tuple(any_way(gear.size_mm, f.point) for f in feet)
    bare = convex_hull(load.outline)
    return pads if convex_hull([*bare, *(p for pad in pads for p in pad)]) != bare else ()


# --- trolley ----------------------------------------------------------------------------------------------


def fit_trolley(gear: Gear, load: Load, own: Moving = OWN, *, across: bool = False) -> Fitted:
    """Set the thing on a platform, its middle over the platform's, whichever way it fits better; `across`
    the other way.
    """
    x0, y0, x1, y1 = box = bounds(load.outline)
    middle, along_x = load.cg_mm or box.middle, (x1 - x0 >= y1 - y0) != across
    parts: tuple[Outline, ...] = (load.outline,)
    under = Judged("not known", f"the size of the platform of {gear.name} is not known")
    cautions = [f"it has to be lifted onto {gear.name}: by crane or hoist, not by hand where it is heavy"]
    if gear.size_mm is not None:
        a, b = max(gear.size_mm), min(gear.size_mm)
        half_x, half_y = (a / 2, b / 2) if along_x else (b / 2, a / 2)
        mx, my = middle
        parts = (load.outline, boxed(0.0, mx - half_x, mx + half_x, -my - half_y, -my + half_y))
        under = _on_platform(gear, load, middle, (half_x, half_y))
    high = padded_mm(gear)
    if high is not None and len(parts) > 1 and beams_for(load, parts[1]):
        high += gear.beams_mm or 0.0  # not told, it is asked
    height = plus(load.height_mm, high)
    unknown = [] if high is not None else [f"height of the platform of {gear.name} is not known"]
    if load.cg_mm is None:
        cautions.append("the centre of gravity is not known: taken over the middle of the platform")
    return Fitted(
        gear=gear,
        load=load,
        goes_under=under,
        holds=holds(load, gear.capacity_kg, gear.name),
        parts=parts,
        height_mm=height,
        least_height_mm=height,
        cautions=tuple(cautions),
        unknown=tuple(unknown),
        axis_deg=ACROSS_DEG * across,
        stances=tuple(_platform(gear, middle, along_x, load.stands_at, own)),
        up_mm=None if high is None else (high, high),
    )


def beams_for(load: Load, platform: Outline) -> str:
    """Say what a thing on a trolley takes beams for: 'feet' beyond its platform, 'packing' that it would
    stand on where the platform has to go; '' for none.
    """
    points = load.jacking or load.feet
    if not points:
        return ""
    if any(not contains(platform, p) for p in load.stands_at):
        return "feet"
    clear = [Support(p.x_mm, p.y_mm) for p in points if not contains(platform, p.point)]
    return "" if stand(clear, load.cg_mm or (0.0, 0.0)).stands else "packing"


def _platform(
    gear: Gear, middle: Point, along_x: bool, on_it: tuple[Point, ...], own: Moving
) -> Iterator[Stance]:
    """Go through what a trolley's wheels may be: as told, else in from its corners, turned inwards or not."""
    mx, my = middle
    assumed: tuple[Usual, ...] = ()
    if gear.wheel_places_mm:
        wheels = [gear.wheel_places_mm]
    elif gear.size_mm is None:
        return
    else:
        a, b = max(gear.size_mm) / 2, min(gear.size_mm) / 2
        inset = min(own["stems in"], a / 2, b / 2)
        wheels = [((-a + d, -b + d), (a - d, -b + d), (a - d, b - d), (-a + d, b - d)) for d in (0.0, inset)]
        assumed += (Usual(f"castors up to {inset:.0f} mm in from the edge", WHEEL_PLACES),)
    if gear.trail_mm is None:
        ends = f"{own['trail least']:.0f} to {own['trail most']:.0f} mm"
        assumed += (Usual(f"trail of a castor {ends}", TRAIL),)
    for places, trail in itertools.product(
        wheels, both_ends(gear.trail_mm, (own["trail least"], own["trail most"]))
    ):
        at = [(mx + x, my + y) if along_x else (mx + y, my + x) for x, y in places]
        yield replace(castors(at, trail, assumed), on_it=on_it)


def _on_platform(gear: Gear, load: Load, middle: tuple[float, float], half: tuple[float, float]) -> Judged:
    """Compare the feet, else the whole outline, with the platform they are to stand on."""
    points = [f.point for f in load.feet] or list(load.outline)
    what = "feet" if load.feet else "outline"
    over = max(max(abs(x - middle[0]) - half[0], abs(y - middle[1]) - half[1]) for x, y in points)
    size = f"{show_length(2 * max(half))} by {show_length(2 * min(half))}"
    if over <= 1e-9:
        words = f"{load.name} stands with its {what} on the platform of {gear.name}, {size}"
        return Judged("yes", words, -over, 0.0)
    reach = "feet reach" if load.feet else "outline reaches"
    words = f"{load.name}: its {reach} {show_length(over)} beyond the platform of {gear.name}, {size}"
    if load.feet:
        return Judged("yes", f"{words}: on beams", -over, 0.0)
    return Judged("not known", f"{words}; where its feet are is not known", -over, 0.0)


# --- rollers and bar ---------------------------------------------------------------------------------------


def fit_rollers(gear: Gear, load: Load, *, across: bool = False) -> Fitted:
    """Run a thing on loose rollers, turned by setting them askew and by the bar."""
    if load.flat_base is None:
        under = Judged("not known", f"whether {load.name} stands on runners or a plate is not known")
    elif not load.flat_base:
        under = Judged(
            "no", f"{load.name} stands on feet: rollers run out from under them, put bearers under"
        )
    elif load.runners_mm is None and len(load.feet) >= 3 and (load.under_mm or 0.0) > 0:
        under = Judged(
            "not known",
            f"the base of {load.name} is {show_length(load.under_mm or 0.0)} up on feet, and it is told to "
            "stand on runners: rollers run under what touches the floor, how wide do its runners stand?",
        )
    else:
        high = "" if gear.height_mm is None else f", {show_length(gear.height_mm)} thick"
        under = Judged("yes", f"rollers{high} run under the base of {load.name}", unit="")
    height = plus(load.height_mm, gear.height_mm)
    return Fitted(
        gear=gear,
        load=load,
        goes_under=under,
        holds=holds(load, gear.capacity_kg, gear.name),
        parts=(load.outline,),
        height_mm=height,
        least_height_mm=height,
        cautions=(
            "hands never between roller and base, nobody before or behind it; four rollers under it at any "
            "time (NAVEDTRA 14251: four to six)",
        ),
        unknown=() if gear.height_mm is not None else (f"thickness of {gear.name} is not known",),
        axis_deg=ACROSS_DEG * across,
        stances=(_rolling(gear, load, across=across),),
        up_mm=None if gear.height_mm is None else (gear.height_mm, gear.height_mm),
    )


def _rolling(gear: Gear, load: Load, *, across: bool) -> Stance:
    """Return what it stands on: the rollers under it, the last ones half a pitch in from its ends."""
    box = bounds(load.own or load.outline)
    (near, far), wide = (
        ((box.bottom, box.top), box.wide_mm) if across else ((box.left, box.right), box.deep_mm)
    )
    pitch = (far - near) / max(LEAST_ROLLERS, min(gear.count or LEAST_ROLLERS, 8))
    half = wide / 2 if gear.roller_length_mm is None else min(wide, gear.roller_length_mm) / 2
    as_wide = Usual("rollers as long as it is wide", "roller length: 900")
    assumed = () if gear.roller_length_mm is not None else (as_wide,)
    found = rollers_at(far - pitch, near + pitch, half, across=across)
    return Stance(found.supports, assumed, on_it=load.stands_at)


LEAST_ROLLERS = 4
"""Rollers under the load at any time, at least: NAVEDTRA 14251, four to six."""


# --- by hand ----------------------------------------------------------------------------------------------


def fit_hands(gear: Gear, load: Load) -> Fitted:
    """Carry by hand: one person by the lifting filter, two or three by the guide for teams."""
    people = min(gear.people or 1, max(SHARES))  # of more, three carry it
    single = filter_kg(CARRY_MM)
    alone = 0.0 if single is None else single.kg
    limit = alone if people == 1 else team_limit_kg(alone, people, CARRY_MM)
    who = "one person" if people == 1 else f"{people} people"
    if (gear.people or 1) > people:
        who = f"{people} of the {gear.people} people (no figure for more is published, use a hoist)"
    source = FILTER if people == 1 else f"{TEAM}, and green by {MAC}"
    judged = holds(load, limit, f"{who}, close to the body, by {source}")
    return Fitted(
        gear=gear,
        load=load,
        goes_under=Judged("yes", "lifted by hand; where it is gripped is not checked", unit=""),
        holds=judged,
        parts=(load.outline,),
        height_mm=None,
        least_height_mm=None,
        cautions=("carrying is outside the revised NIOSH equation; the filter is a first look, not a limit",),
        unknown=("the height it is carried at",),
        held_by=source,
    )


CARRY_MM = 900.0
"""Height of the hands while carrying: between knuckles and elbow, about 720-1090 mm of most workers."""
