"""Mass, centre of gravity and tipping: at the start, at every pose of the way, over every step.

Every reckoning is made at the worst corner of what is not exactly known: where the gear's wheels may be,
where the centre of gravity may be, how high it is carried. What fails only at the unkind end hangs on a
figure, which is asked for; what fails at the kind end forbids.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.shapes import Outline, bounds, turn_between
from shopbins.moves.body import Projection, came_off, in_one_place
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fitted import HOISTS, JACKED, along
from shopbins.moves.floorline import floor_bends
from shopbins.moves.force import G_M_S2, towards_words
from shopbins.moves.grounding import must_lift_mm
from shopbins.moves.heights import ask_lift
from shopbins.moves.legs import Leg
from shopbins.moves.plates import Edge, Ramps
from shopbins.moves.ramps import climbs, on_floor
from shopbins.moves.situation import Situation
from shopbins.moves.stances import WHEEL_PLACES, Usual
from shopbins.moves.tipping import (
    Ahead,
    Arc,
    Centre,
    Dip,
    Reserve,
    ahead,
    falls_across,
    fastest_m_s,
    hung,
    span_mm,
    step_deg,
    worst,
)
from shopbins.records.moving import moving_of
from shopbins.rules.say import listed
from shopbins.shop.model import Gear, Room
from shopbins.units import counted, show_angle, show_length, show_mass, show_slope

MASS = Check(
    "move-mass",
    "What it weighs",
    "sum of everything on it, as weighed",
    "derived",
    "weigh the unweighed parts",
)
UNEVEN = Check(
    "move-uneven",
    "A dip in the floor that tips it",
    "statics: span x tan(tilt left); how deep a dip a floor has that is not even: own figure",
    "own",
    "boards or plates all along; gear with a wider stand; tell how even it is (`even`)",
)
CENTRE = Check(
    "move-centre",
    "Where its centre of gravity is",
    "sum(m r) / sum(m) over the thing and every part on it; by weighing under each support",
    "derived",
    "weigh it under each support; raise one end and weigh again for the height",
)
RUNS_IN = Check(
    "move-loose-inside",
    "What runs or slides in it",
    "common practice, no source",
    "common practice, no source",
    "drain it, or make it fast, before it is lifted",
)
RESIZED = Check(
    "move-told-before",
    "Told before its size was changed",
    "on its side a thing has its feet and its centre of gravity elsewhere: common practice, no source",
    "common practice, no source",
    "look at each, tell it again",
)
TIPS = Check(
    "move-tips",
    "Tips on the way",
    "statics: atan(d / H) - atan(fall x cos b) over each edge of what it stands on",
    "derived",
    "a lower carry, wider gear, parts off, another heading on the slope",
)
SILL_TIPS = Check(
    "move-tips-at-step",
    "Tips with one wheel up a step",
    "statics: the reserve less atan(step / track)",
    "derived",
    "ramp the step on its whole width; cross it straight",
)
SPEED = Check(
    "move-speed",
    "Goes over when it stops dead",
    "energy of a point mass that is stopped at its foot; half of it is our own figure",
    "derived",
    "slower",
)
ZONE = Check(
    "move-fall-zone",
    "Where it would fall",
    "own figure, no source: its height all round it",
    "own",
    "barrier, or somebody who keeps the others away",
)
LASH = Check(
    "move-lashing",
    "Slides on its gear",
    "common practice, no source",
    "common practice, no source",
    "lash it to the gear; wood or rubber between steel and steel",
)


def ask_mass(it: Situation) -> Ask:
    """Return the question what the thing weighs."""
    return Ask(f"what does {it.name} weigh?", f"shopbins set {it.body.group.code} --mass 1200kg", 2)


def weighed_by(it: Situation, part: Projection) -> str:
    """Return how the mass of a part on it is told: of its own label, else with all that is told of it."""
    if part.group:
        return f"shopbins set {it.scene.group(part.group).code} --mass 40kg"
    x0, y0, x1, y1 = bounds(part.outline)
    to = "" if part.to_mm is None else f"; {part.from_mm:.0f} to {part.to_mm:.0f}"
    where = f"{(x0 + x1) / 2:.0f},{(y0 + y1) / 2:.0f} {x1 - x0:.0f}x{y1 - y0:.0f}mm{to}"
    return f"shopbins set {it.body.group.code} --moving 'comes off={part.name}; {where}; 40kg'"


def mass(it: Situation) -> Iterator[Part]:
    """Say what is not weighed: it may refuse a gear, it cannot let one through."""
    load, code = it.load, it.body.group.code
    if load.mass_kg is None:
        text = f"{it.name} is not weighed: nothing that carries it is checked"
        yield MASS.open(it.load.subjects, text, ask_mass(it))
    elif load.not_weighed:
        own = f"shopbins set {code} --mass 240kg"  # where only of what came off it is not weighed
        unweighed = [(p.name, weighed_by(it, p)) for p in it.body.parts if p.mass is None]
        along = (it.scene.group(i) for i in it.body.along)
        unweighed += [(g.shown, f"shopbins set {g.code} --mass 40kg") for g in along if g.mass is None]
        for named, how in unweighed or [(f"{load.not_weighed} things on it", own)]:
            ask = Ask(f"what does {named} weigh?", how, 2)
            subjects = (*it.load.subjects, named)
            yield MASS.open(subjects, f"{it.name} is {load.mass_words()}: {named} is not weighed", ask)
    elif load.about:
        about = f"weigh {it.name}: {show_mass(load.least_kg)} to {show_mass(load.most_kg)} taken"
        yield MASS.only(it.load.subjects, f"{it.name} weighed first", about, measured=load.mass_kg, unit="kg")
    for a, b in in_one_place((*it.body.parts, *it.body.off)):
        text = f"{a.name} and {b.name} are told in one place: one part told twice counts twice in its mass"
        subjects = (*it.load.subjects, f"part:{a.called}", f"part:{b.called}")
        yield MASS.only(subjects, f"{a.name} and {b.name} are two parts: looked at", text, judged=False)


def fall_zone(it: Situation) -> Iterator[Part]:
    """Keep everybody else as far off as it is high while it is jacked, hung or near to tipping; of what hangs
    as its hoist is high.
    """
    height, up = it.load.height_mm, it.gear.up_mm
    if it.kind == "by hand" or height is None:
        return
    why = "hung" if it.kind in HOISTS else "jacked" if it.kind in JACKED else "moved" if delicate(it) else ""
    if not why:
        return
    far, of, stands = height + (0.0 if up is None else up[1]), it.name, " on its gear"
    if why == "hung" and (high := high_mm(it.gear.gear)) > far:
        far, of, stands = high, it.gear.gear.name, ""
    text = f"{of} is {show_length(far)} high{stands}: while it is {why} all others stay that far off it"
    words = f"all others {far:.0f} mm off while {why}"
    if why == "moved":
        steers = it.kind == "pallet truck"
        text += ", who works the winch among them"
        text += f"; who steers {it.gear.gear.name} stays at the end of its handle" if steers else ""
        words = f"{'only who steers' if steers else 'nobody'} within {far:.0f} mm while {why}"
    yield ZONE.only(it.subjects, words, text, measured=far, unit="mm")


def high_mm(hoist: Gear) -> float:
    """Return how high a hoist is, as far as that is told: its own height, its boom tip, at least its hook."""
    return max(hoist.height_mm or 0.0, hoist.boom_tip_mm or 0.0, hoist.hook_mm or 0.0)


def loose_inside(it: Situation) -> Iterator[Part]:
    """Name what runs or slides in it."""
    drain = moving_of(it.body.group).drain
    if drain:
        text = f"{drain} in {it.name} is drained or made fast before it is lifted"
        yield RUNS_IN.only(it.load.subjects, f"{drain} drained or made fast", text)


def told_before(it: Situation) -> Iterator[Part]:
    """Ask anew for what was told before its size or outline was changed: figures stand on it as it was."""
    for keys, said in moving_of(it.body.group).in_doubt:
        again = " ".join(f"--moving '{key}=...'" for key in keys)
        text = f"{listed(keys, len(keys))} of {it.name} {said} told again: "
        text += f"shopbins set {it.body.group.code} {again}"
        words = f"still so at its size now: {listed(keys, 3)}"
        yield RESIZED.only((*it.load.subjects, *keys), words, text)


# --- tipping ----------------------------------------------------------------------------------------------


def centres(it: Situation) -> tuple[Centre, ...]:
    """Return every corner of where the centre of gravity that counts may be, over where the thing stands."""
    if it.kind not in HOISTS:
        return it.load.centres()
    gear = it.gear.gear
    high = [gear.boom_tip_mm] if gear.boom_tip_mm is not None else []
    if not high and gear.hook_mm is not None:
        tip_mm = gear.hook_mm + it.own["hook below tip"]
        if it.kind == "gantry crane" and gear.height_mm is not None:  # what it hangs from is no higher
            tip_mm = max(gear.hook_mm, min(tip_mm, gear.height_mm))
        high = [gear.hook_mm, tip_mm]
    load_kg, crane = it.load.most_kg, gear.cg_mm
    found = []
    for c in it.load.centres():
        for z in high:
            tip = Centre(c.x_mm, c.y_mm, z)
            if load_kg is not None and crane is not None and gear.mass_kg is not None:
                tip = hung(load_kg, tip, gear.mass_kg, Centre(*_crane_at(it, crane), crane[2]))
            found.append(tip)
    return tuple(dict.fromkeys(found))


def _crane_at(it: Situation, cg: tuple[float, float, float]) -> tuple[float, float]:
    from shopbins.moves.stances import placed

    points = it.gear.stances[0].polygon
    mx = math.fsum(x for x, _ in points) / len(points)
    my = math.fsum(y for _, y in points) / len(points)
    at = placed((mx, my), it.gear.axis_deg, [("", cg[0], -cg[1])])[0]
    return at.x_mm, at.y_mm


def reserve_of(
    it: Situation,
    fall: float,
    downhill: Arc | None,
    *,
    raised: bool = False,
    lift_mm: float | None = None,
    dip_mm: float = 0.0,
) -> tuple[Reserve | None, Reserve | None]:
    """Return the least and greatest reserve, of it carried as high as the gear goes, or as low as it may,
    one side of it down a dip so deep.

    Where it stands on the gear with its own feet or runners, the worse of going over those and of the gear.
    """
    up = _up_mm(it)
    if up is None:
        return None, None
    lift = lift_mm if lift_mm is not None else up[1] if raised else up[0]
    cgs = centres(it)
    dip = Dip(dip_mm, _on_floor(it)) if dip_mm else None
    least, most = worst(_on_floor(it), cgs, lift, fall, downhill, dip)
    on_it = tuple(s.on_it for s in it.gear.stances if s.on_it)
    low, high = worst(on_it, cgs, 0.0, fall, downhill, dip)
    if least is None or most is None or low is None or high is None:
        return least, most
    return min(least, low, key=_deg_of), min(most, high, key=_deg_of)


def _on_floor(it: Situation) -> tuple[Outline, ...]:
    """Return every way it may stand on the floor."""
    return tuple(s.polygon for s in it.gear.stances)


def _up_mm(it: Situation) -> tuple[float, float] | None:
    """Return how high gear carries what may tip, at least and most; what hangs counts at its boom tip."""
    return (0.0, 0.0) if it.kind in HOISTS else it.gear.up_mm


def _deg_of(r: Reserve) -> float:
    return r.deg


def least_tilt(it: Situation, lift_mm: float) -> float | None:
    """Return the least reserve on every leg, lifted so high, in degrees; None where it is not known."""
    left = tilt_in(it, lift_mm)
    return None if left is None else left[0]


def tilt_in(it: Situation, lift_mm: float, rooms: Collection[str] = ()) -> tuple[float, float] | None:
    """Return the least and the greatest reserve lifted so high, in degrees, on the legs in some rooms, or on
    every leg where none is in those; None where it is not known.
    """
    every = list(_floors(it))
    there = [each for each in every if each[0] is not None and each[0].room.key in rooms]
    floors = dict.fromkeys((fall, arc if fall else None, dip) for _, fall, arc, dip in there or every)
    found = [reserve_of(it, fall, arc, lift_mm=lift_mm, dip_mm=dip) for fall, arc, dip in floors]
    least = min((low.deg for low, _ in found if low is not None), default=None)
    most = max((high.deg for _, high in found if high is not None), default=None)
    return None if least is None or most is None else (least, most)


def delicate(it: Situation) -> bool:
    """Tell whether so little tilt is left somewhere on the way that nobody pushes it or is beside it: so it
    is on boards over a floor that would tip it.
    """
    up = _up_mm(it)
    least = None if it.kind == "by hand" or up is None else least_tilt(it, up[0])
    return least is not None and (least < it.own["tip reserve"] or bool(_boarded(it)))


def highest_lift_mm(it: Situation, least_deg: float) -> float:
    """Return how high it may be carried with so much reserve left on every leg, to 5 mm downwards."""
    up = it.gear.up_mm
    assert up is not None
    low, high = up
    least = least_tilt(it, high)
    if least is None or least >= least_deg:
        return high
    for _ in range(12):
        middle = (low + high) / 2
        least = least_tilt(it, middle)
        if least is None or least >= least_deg:
            low = middle
        else:
            high = middle
    return max(up[0], 5.0 * int(low / 5.0))


def tips(it: Situation) -> Iterator[Part]:
    """Judge tipping at every pose: each leg over the whole arc it turns through, at the steepest floor."""
    if it.kind == "by hand":
        return
    lacking = _lacking(it)
    if lacking is not None:
        yield lacking
        return
    worst_low: tuple[Reserve, Reserve, Leg | None, float] | None = None
    worst_high: tuple[Reserve, Leg | None] | None = None
    for leg, fall, arc, dip in _floors(it):
        low = reserve_of(it, fall, arc, raised=False, dip_mm=dip)
        high = reserve_of(it, fall, arc, raised=True, dip_mm=dip)
        if low[0] is None or low[1] is None or high[0] is None:
            continue
        if worst_low is None or low[0].deg < worst_low[0].deg:
            worst_low = low[0], low[1], leg, dip
        if worst_high is None or high[0].deg < worst_high[0].deg:
            worst_high = high[0], leg
    if worst_low is None or worst_high is None:
        text = f"what {it.gear.gear.name} stands on is one line: not checked"
        yield TIPS.open(it.subjects, text, _ask_wheels(it))
        return
    least, most, leg, dip = worst_low
    yield _tipping(it, least, most, leg, dip)
    yield from _within_bound(it, least)
    yield from _as_it_is_now(it)
    assumed = _assumed(it)
    if assumed and least.deg > 0:
        words = f"measure {it.gear.gear.name}: {assumed[0].what} taken"
        usual = ", ".join(each.what for each in assumed)
        text = f"{usual}: only what is usual, {_deg(least)} of tilt left at the unkind end"
        yield TIPS.only((*it.subjects, "measure:wheels"), words, text, measured=least.deg, unit="deg")
    low_class, high_class = _class(it, least.deg), _class(it, worst_high[0].deg)
    up = it.gear.up_mm
    if high_class > max(low_class, 1) and up is not None and least.deg > 0:
        raised, where = worst_high
        text = (
            f"raised {show_length(up[1])} {it.name} has {_deg(raised)} "
            f"before it tips{_at(where)}, carried low "
            f"{_deg(least)}"
        )
        kept = it.own["tip reserve"] if low_class < 2 else 1e-9
        low_mm = highest_lift_mm(it, kept)
        words = f"carried no more than {low_mm:.0f} mm high{_but_lifted(it, low_mm)}"
        yield TIPS.only((*it.subjects, "carry:low"), words, text, measured=raised.deg, limit=0.0, unit="deg")


def _but_lifted(it: Situation, most_mm: float) -> str:
    """Say where the floor comes up so far that it is lifted higher than it is carried else; '' where not."""
    need, rise = must_lift_mm(it, floor_bends(it))
    return (
        f", higher {rise.bend.where}" if rise is not None and need + it.own["carry clear"] > most_mm else ""
    )


def _within_bound(it: Situation, least: Reserve) -> Iterator[Part]:
    """Make it a condition where the centre of gravity of a low load is taken to be, if that leaves enough."""
    aside = it.load.cg_aside_mm
    if aside is None or least.deg < it.own["tip least"] or it.kind in HOISTS:
        return
    words = f"centre of gravity within {aside[0]:.0f} x {aside[1]:.0f} mm of middle"
    text = (
        f"where the centre of gravity of {it.name} is nobody told: so far off its middle at the most, along "
        f"and across, and at any height, {_deg(least)} of tilt is left; lift a little and look"
    )
    yield CENTRE.only(it.load.subjects, words, text, measured=max(aside), unit="mm")


def _as_it_is_now(it: Situation) -> Iterator[Part]:
    """Make it a condition that the centre of gravity told of what is left of a machine is without what came
    off it, where that may have been anywhere on it and shifts it by more than it is known.
    """
    told, left, load = moving_of(it.body.group), it.load.mass_kg, it.load
    off = came_off(it.scene, it.body.group, told)
    kg = math.fsum(g.mass.kg for g in off if g.mass is not None)
    if told.cg_mm is None or not off or left is None:
        return
    unknown = sum(g.mass is None for g in off)
    box = bounds(load.outline)
    shift = kg / left * max(box.wide_mm, box.deep_mm) / 2
    if not unknown and shift <= load.cg_within_mm:
        return
    parts = counted(len(off), "part")
    what = f"{parts}, {show_mass(kg)}" if kg else parts
    text = (
        f"{what}{f', {unknown} of them not weighed' if unknown else ''}, came off {told.machine}: where the "
    )
    text += f"centre of gravity of {it.name} is may have been told with them; "
    text += f"from the end of it they shift it by {show_length(shift)}" if kg else "they shift it"
    words = f"centre of gravity as it is now, {parts} off"
    yield CENTRE.only(
        (*load.subjects, "off"), words, text, measured=shift, limit=load.cg_within_mm, unit="mm"
    )


def _floors(it: Situation) -> Iterator[tuple[Leg | None, float, Arc | None, float]]:
    """Go through the floors it is on: each leg with its fall, its arc and how deep the floor dips under it;
    without a way the level.
    """
    if it.legs:
        boarded = _boarded(it)
        for leg in it.legs:
            bare = leg.room.even is False and leg.room.key not in boarded
            dip = it.own["dip on uneven"] if bare else 0.0
            yield leg, 0.0 if leg.slope is None else leg.slope.fall, leg.downhill, dip
        return
    yield None, 0.0, None, 0.0


def _boarded(it: Situation) -> frozenset[str]:
    """Return the rooms told to be uneven that it has to go through on boards, as a dip there leaves too
    little tilt.
    """
    rooms = dict.fromkeys(leg.room for leg in it.legs if leg.room.even is False)
    found = ((room.key, _in_a_dip(it, room)) for room in rooms)
    return frozenset(key for key, left in found if left is not None and left.deg < it.own["tip least"])


def _in_a_dip(it: Situation, room: Room) -> Reserve | None:
    """Return the least reserve in a room with one side of it down a dip as deep as a floor has that is not
    even; None where it is not known, or where it tips on the flat.
    """
    slopes = dict.fromkeys((leg.slope, leg.downhill) for leg in it.legs if leg.room is room)
    falls = [(0.0 if slope is None else slope.fall, arc) for slope, arc in slopes]
    deep = it.own["dip on uneven"]
    flat = [reserve_of(it, fall, arc)[0] for fall, arc in falls]
    if any(each is None or each.deg <= 0 for each in flat):
        return None
    found = [reserve_of(it, fall, arc, dip_mm=deep)[0] for fall, arc in falls]
    return min((each for each in found if each is not None), key=_deg_of, default=None)


def _class(it: Situation, deg: float) -> int:
    """Return how grave a reserve is: 0 nothing to tell, 1 a note, 2 a condition, 3 it tips."""
    return 3 if deg <= 0 else 2 if deg < it.own["tip reserve"] else 1 if deg < it.own["tip notice"] else 0


def _lacking(it: Situation) -> Part | None:
    """Return the question where nothing can be reckoned at all."""
    load, gear = it.load, it.gear.gear
    if not it.gear.stances:
        text = f"what {gear.name} stands on is not known: tipping not checked"
        if it.kind == "pallet truck" and it.gear.heel is None:
            text = f"where the forks of {gear.name} go in under {it.name} is not known: tipping not checked"
            return TIPS.open(it.subjects, text, ask_lift(it))
        told = it.kind == "pallet truck" and gear.steering_axle_mm is not None
        return TIPS.open(it.subjects, text, None if told else _ask_wheels(it))  # `goes_under` asks
    if not load.centres():
        text = f"neither the height of {it.name} nor that of its centre of gravity is known"
        code = it.body.group.code
        return CENTRE.open(
            load.subjects,
            text,
            Ask(f"how high is {it.name}?", f"shopbins set {code} --moving height=1700mm", 1),
        )
    if it.kind in HOISTS:
        if not centres(it):
            text = f"how high the boom tip of {gear.name} is is not known"
            return TIPS.open(it.subjects, text, Ask(text, f"gear: {gear.key}: {{boom tip: 2.3 m}}", 2))
        return None
    if it.kind in ("trolley", "rollers and bar") and not all(s.on_it for s in it.gear.stances):
        least, most = reserve_of(it, 0.0, None, raised=False)
        if least is None or most is None or most.deg > 0:
            return TIPS.open(it.subjects, *_where_it_stands(it))
    if it.gear.up_mm is None:
        text = f"how high {gear.name} carries {it.name} is not known"
        return TIPS.open(it.subjects, text, ask_lift(it))
    return None


def _where_it_stands(it: Situation) -> tuple[str, Ask]:
    """Return the question for the feet or runners that it stands on its gear with."""
    code, gear = it.body.group.code, it.gear.gear.name
    if it.kind == "trolley":
        text = f"where the feet of {it.name} stand on {gear} is not told: it may go over them first"
        return text, Ask(
            f"where are the feet of {it.name}?",
            f"shopbins set {code} --moving 'foot=-400,300; -400,-300; 400,-300; 400,300'",
            1,
        )
    text = f"how far apart the runners of {it.name} are on {gear} is not told: it may go over them first"
    ask = f"how wide over all do the runners of {it.name} stand?"
    return text, Ask(ask, f"shopbins set {code} --moving runners=500mm", 1)


def _ask_wheels(it: Situation) -> Ask:
    key = it.gear.gear.key
    if it.kind == "skates":
        code = it.body.group.code
        return Ask(
            f"where are the feet or jacking points of {it.name}?",
            f"shopbins set {code} --moving 'jack=-400,300; -400,-300; 400,0'",
            2,
        )
    return Ask(
        f"where are the wheels of {it.gear.gear.name}?",
        f"gear: {key}: {{{WHEEL_PLACES}}}",
        2,
    )


def _assumed(it: Situation) -> tuple[Usual, ...]:
    """Return what of the gear's stance was not told, so that both ends of what is usual were tried."""
    found = tuple(dict.fromkeys(a for s in it.gear.stances for a in s.assumed))
    gear = it.gear.gear
    if it.kind in HOISTS and (gear.cg_mm is None or not gear.mass_kg):
        found = (*found, Usual("its own mass and centre of gravity", "mass: 90 kg, cg: [-200, 0, 500]"))
    return found


def _tipping(it: Situation, least: Reserve, most: Reserve, leg: Leg | None, dip_mm: float) -> Part:
    subjects = it.subjects
    fall = "" if leg is None or leg.slope is None else f" on {show_slope(leg.slope.fall)}"
    left = "of tilt left before it tips" if least.deg > 0 else "too far for what it stands on: it tips"
    shown = (
        f"{it.name} on {it.gear.gear.name}{fall}: {_deg(least)} {left} {_side(it, least)}"
        f"{_dip(it, least, dip_mm)}, centre of gravity {show_length(abs(least.inside_mm))} "
        f"{'inside' if least.inside_mm >= 0 else 'outside'} it and "
        f"{show_length(least.height_mm)} high{_at(leg)}"
    )
    assumed = _assumed(it)
    more: dict[str, Any] = {
        "measured": least.deg,
        "limit": 0.0,
        "unit": "deg",
        "room": None if leg is None else leg.room.key,
    }
    if most.deg <= 0 and assumed:
        usual = ", ".join(each.what for each in assumed)
        shown += f"; so it does at the kindest of what is usual ({usual})"
    if most.deg <= 0 and not assumed:
        return TIPS.no(subjects, shown, WIDER, _top(it), **more)
    if least.deg <= 0:
        if it.load.cg_told and not assumed:
            measure = (
                f"height of the centre of gravity of {it.name}",
                f"where its centre of gravity is ({_far(most)})",
            )
            return TIPS.again(subjects, shown, measure, **more)
        return TIPS.open(subjects, shown, _ask(it, assumed, most.deg), **more)
    if least.deg < it.own["tip least"] and not it.load.cg_told:
        return TIPS.open(subjects, shown, _ask(it, assumed, most.deg), **more)
    if least.deg < it.own["tip least"]:
        measure = (
            f"where the centre of gravity of {it.name} is",
            f"its height, and the wheels of {it.gear.gear.name}",
        )
        return TIPS.again(subjects, shown, measure, **{**more, "limit": it.own["tip least"]})
    if least.deg < it.own["tip reserve"]:
        words = f"dead slow, nobody beside it: {_deg(least)} left"
        return TIPS.only(subjects, words, shown, **{**more, "limit": it.own["tip reserve"]})
    if not it.load.cg_bounded:
        shown += "; wherever its centre of gravity is"
    return TIPS.note(subjects, shown, **more)


def _side(it: Situation, least: Reserve) -> str:
    """Say over which side of it it tips, and where that faces on the plan as it stands now."""
    ahead = abs(turn_between(least.outward_deg, it.gear.axis_deg))
    if it.kind == "pallet truck":
        left = (least.outward_deg - it.gear.axis_deg) % 360.0 < 180.0
        beside = f"to the {'left' if left else 'right'}, seen from the handle"
        said = "over the fork tips" if ahead <= 45 else "over the handle" if ahead >= 135 else beside
    else:
        x0, y0, x1, y1 = bounds(it.load.outline)
        along_x = abs((least.outward_deg + 90.0) % 180.0 - 90.0) <= 45
        long = (y1 - y0 > x1 - x0) if along_x else (x1 - x0 > y1 - y0)
        said = f"over its {'long side' if long else 'short end'}"
    pose = it.body.pose
    return said if pose is None else f"{said} (now {towards_words(least.outward_deg + pose.turn_deg)})"


def _dip(it: Situation, least: Reserve, down_mm: float) -> str:
    """Say how far one side may go down, or that it is down a dip so deep."""
    if down_mm:
        return f" with one side down a dip of {show_length(round(down_mm))}"
    dip = dip_mm(it, least)
    return "" if dip is None else f", a dip of {show_length(round(dip))} under one side"


def dip_mm(it: Situation, left: Reserve) -> float | None:
    """Return the dip under its wheels on one side that takes the tilt left: span x tan(tilt left); None where
    none is left, or where it stands is not known.
    """
    span = span_mm(_on_floor(it), left.outward_deg)
    return span * math.tan(math.radians(left.deg)) if left.deg > 0 and span > 0 else None


def uneven(it: Situation) -> Iterator[Part]:
    """Take a dip as deep as a floor has that is told to be uneven, or of which nobody told that it is even,
    off the tilt left: in each room by itself.
    """
    if it.kind == "by hand":
        return
    deep, least = it.own["dip on uneven"], it.own["tip least"]
    for room in dict.fromkeys(leg.room for leg in it.legs if not leg.room.even):
        left = _in_a_dip(it, room)
        if left is None or left.deg >= least:
            continue
        lean = Dip(deep, _on_floor(it)).lean_deg(left.outward_deg)
        flat_deg = left.deg + lean
        tips_mm = deep * math.tan(math.radians(flat_deg)) / math.tan(math.radians(lean))
        said = f"{show_length(round(tips_mm))} dip tips"
        if left.deg > 0:
            said = f"{show_length(round(deep))} dip leaves {show_angle(left.deg)}"
        told = f"{room.name} is {'told to be uneven' if room.even is False else 'not told to be even'}"
        text = f"{told}: a dip of {show_length(round(tips_mm))} under one side tips {it.name}, "
        text += f"{flat_deg:.1f} deg left on the flat"
        if left.deg > 0:
            text += f"; one of {show_length(round(deep))} leaves {show_angle(left.deg)}"
        words = f"boards all along {room.name}, nobody beside it: {said}"
        if room.even is None:
            words = f"looked at: no {show_length(round(min(tips_mm, deep)))} dip in {room.name}"
        more: dict[str, Any] = {"measured": tips_mm, "limit": deep, "unit": "mm", "room": room.key}
        yield UNEVEN.only((*it.subjects, f"room:{room.key}"), words, text, **more)


def ask_cg(it: Situation) -> Ask:
    """Ask where its centre of gravity is; where that was told, and is lost for what lies on it, where that
    lies.
    """
    told, along = moving_of(it.body.group), [it.scene.group(i) for i in it.body.along]
    if it.load.cg_mm is None and told.cg_mm is not None and along:
        first = max(along, key=lambda g: 0.0 if g.mass is None else g.mass.kg)
        what = f"where on it does {first.shown} lie?"
        at = f"comes off={first.shown}; 0,0 600x400mm; 300 to 700; tag {first.code}"
        return Ask(what, f"shopbins set {it.body.group.code} --moving '{at}'", 3)
    how = f"shopbins set {it.body.group.code} --moving cg=20,0 --moving 'cg height=820 +- 30 mm'"
    what = "how high is" if it.load.cg_mm is not None else "where is"
    return Ask(f"{what} the centre of gravity of {it.name}? (weigh under each support)", how, 3)


def _ask(it: Situation, assumed: tuple[Usual, ...], kindest_deg: float) -> Ask:
    """Return what is asked where it may tip: its centre of gravity, else its wheels; these first, and with it
    that it tips, where it does at the kindest of what is usual.
    """
    key, gear = it.gear.gear.key, it.gear.gear.name
    if not assumed or (not it.load.cg_told and kindest_deg > 0):
        return ask_cg(it)
    tell = ", ".join(each.tell for each in assumed)
    tips = f"it tips at the kindest of what is usual: measure {gear}, {assumed[0].what} taken"
    text = tips if kindest_deg <= 0 else f"measure {gear}: {assumed[0].what} is only what is usual"
    return Ask(text, f"gear: {key}: {{{tell}}}", 1)


WIDER = ("wider or lower gear",)
"""What would end a tip-over besides parts off from the top."""


def _top(it: Situation) -> list[str]:
    """Return the parts above its centre of gravity: off, that is lower."""
    middle = it.load.cg_height_mm
    return [p.called for p in it.body.parts if p.to_mm is not None and middle and p.from_mm > middle]


def _deg(r: Reserve) -> str:
    return show_angle(abs(r.deg))


def _far(r: Reserve) -> str:
    return f"{show_angle(r.deg)} at best"


def _at(leg: Leg | None) -> str:
    return "" if leg is None else f" in {leg.room.name}, {leg.words}"


# --- steps, pulls, speed, lashing -------------------------------------------------------------------------


def track_mm(it: Situation) -> float | None:
    """Return how far apart the two supports are that stand side by side, the least of every stance."""
    found = []
    for stance in it.gear.stances:
        points = stance.polygon
        found += [math.dist(a, b) for i, a in enumerate(points) for b in points[i + 1 :]]
    return min(found, default=None)


def tips_at_sills(it: Situation) -> Iterator[Part]:
    """Judge one wheel up and the other down at each bare sill, and the lean on the ramps laid at one."""
    if it.kind == "by hand":
        return
    for edge in it.edges:  # of what is not told `overedges.sills` asks
        yield from tips_at(it, edge)


def tips_at(it: Situation, edge: Edge) -> Iterator[Part]:
    """Judge one wheel up at one edge: of ramps laid at it the lean on them, and one wheel up a plate."""
    track, (least, kind) = track_mm(it), reserve_of(it, 0.0, None, raised=False)
    if track is None or least is None or kind is None:
        return
    laid = it.ramps_at(edge)
    named, step = edge.named, edge.height_mm
    if laid is not None:
        yield from _tips_on_ramp(it, laid)
        named, step = f"the edge of {laid.gear.name}", laid.foot_mm or 0.0
    if step <= 0:
        return
    lean = step_deg(step, track)
    left = least.deg - lean
    text = (
        f"one wheel up {named} ({show_length(step)}) leaves "
        f"{show_angle(abs(left))}{' too little' if left < 0 else ''} of {_deg(least)}"
    )
    words = f"ramp across {edge.name}, or straight: {show_angle(left)} left"
    if laid is not None:
        words = f"straight up {laid.gear.name} at {edge.name}: {show_angle(left)} left"
    yield from _at_step(it, edge, (left, kind.deg - lean), text, words, f"a ramp at {edge.name}")


def _tips_on_ramp(it: Situation, laid: Ramps) -> Iterator[Part]:
    """Judge the lean on ramps."""
    edge, ramp = laid.edge, laid.gear
    least, most, fall = left_on_ramp(it, laid)
    if least is None:
        return
    how = "left" if least.deg > 0 else "too far: it tips"
    text = (
        f"{it.name} leans {show_slope(fall)} on {ramp.name} at {edge.name}: {_deg(least)} {how} "
        f"{_side(it, least)}"
    )
    words = f"dead slow over {ramp.name}, nobody beside it: {_deg(least)} left"
    yield from _at_step(it, edge, (least.deg, most), text, words, "longer ramps")


def delicate_on(it: Situation, laid: Ramps) -> bool:
    """Tell whether so little tilt is left on the way, or on ramps, that nobody pushes it or is beside it."""
    least, _, _ = left_on_ramp(it, laid)
    return delicate(it) or (least is not None and least.deg < it.own["tip reserve"])


def left_on_ramp(it: Situation, laid: Ramps) -> tuple[Reserve | None, float, float]:
    """Return the least reserve on ramps, the greatest in deg, and their fall: as steep as they are, or as one
    end up the sill where they are shorter than the wheelbase; what is steered goes up and down them as the
    way found crosses them.
    """
    axis, edge = it.gear.axis_deg, laid.edge
    step = edge.height_mm + laid.over_mm
    spans = [[along(p, axis) for p in s.polygon] for s in it.gear.stances]
    base = max(1.0, min((max(span) - min(span) for span in spans), default=1.0))
    fall = on_floor(min(laid.fall, step / base), max(climbs(it, edge, laid.run_mm)))
    steered = it.gear.steering == "radius"
    ways = [(deg, deg) for deg in laid.down_deg] if steered else [None]
    up = it.gear.up_mm
    lift = None if up is None else min(max(up[0], step + it.own["carry clear"]), up[1])
    both = [reserve_of(it, fall, way, lift_mm=lift) for way in ways]
    least = min((r for r, _ in both if r is not None), key=_deg_of, default=None)
    return least, min((r.deg for _, r in both if r is not None), default=0.0), fall


def _at_step(
    it: Situation, edge: Edge, left: tuple[float, float], text: str, words: str, ends: str
) -> Iterator[Part]:
    """Grade the least and the greatest reserve that a step leaves, in deg."""
    subjects = (*it.subjects, *edge.subjects)
    more: dict[str, Any] = {"measured": left[0], "unit": "deg", "room": edge.room}
    against = too_little(it, SILL_TIPS, subjects, left, text, edge.named.removeprefix("the "), (ends,), more)
    if against is not None:
        yield against
    elif left[0] < it.own["tip reserve"]:
        yield SILL_TIPS.only(subjects, words, text, **{**more, "limit": it.own["tip reserve"]})


def too_little(
    it: Situation,
    check: Check,
    subjects: tuple[str, ...],
    left: tuple[float, float],
    text: str,
    what: str,
    ends: Iterable[str],
    more: dict[str, Any],
) -> Part | None:
    """Return what speaks against a least and a greatest reserve, in deg, that nobody may accept; None where
    enough is left. `what` is measured again besides, `ends` is what would end it.
    """
    assumed = _assumed(it)
    more = {**more, "limit": 0.0}
    if left[1] <= 0 and not assumed:
        return check.no(subjects, f"{it.name} tips: {text}", ends, **more)
    if left[0] <= 0 and (assumed or not it.load.cg_told):
        return check.open(subjects, text, _ask(it, assumed, left[1]), **more)
    if left[0] < it.own["tip least"]:
        measure = what, f"where the centre of gravity of {it.name} is, and how high"
        return check.again(subjects, text, measure, **{**more, "limit": it.own["tip least"]})
    return None


def speed(it: Situation) -> Iterator[Part]:
    """Set a speed where it goes over when it stops dead at less than walking."""
    least, _ = reserve_of(it, 0.0, None, raised=False)
    if least is None or least.deg <= 0 or it.kind == "by hand":
        return
    floors = dict.fromkeys((fall, arc) for _, fall, arc, _ in _floors(it))
    v = min(
        fastest_m_s(e.inside_mm, e.height_mm, falls_across(fall, arc, e.outward_deg)) / e.across
        for e in ahead_of(it)
        for fall, arc in floors
        if e.inside_mm > 0
    )
    if 0 < v < it.own["walking speed"]:
        slow = v * it.own["speed share"]
        text = f"stopped dead at {v:.2g} m/s {it.name} goes over, at the steepest: half of that at most"
        words = f"no faster than {slow:.2g} m/s"
        yield SPEED.only(it.subjects, words, text, measured=v, limit=it.own["walking speed"], unit="m/s")
    yield from _speed_in_turns(it)


def _speed_in_turns(it: Situation) -> Iterator[Part]:
    """Set a speed in turns for what is steered on wheels and goes over sideways there at less than walking.

    v^2 = R g d / H: what a turn of that radius throws outwards against what holds it over that edge.
    """
    turned = [deg for leg in it.legs for deg in leg.turned_deg]
    if it.gear.steering != "radius" or not turned or max(turned) - min(turned) <= it.own["turn on slope"]:
        return
    radius = it.gear.turning_radius_mm or it.own["narrow turn"]
    sides = [e for e in ahead_of(it, it.gear.axis_deg + 90.0) if e.inside_mm > 0]
    thrown = [math.sqrt(radius / 1000 * G_M_S2 * e.inside_mm / e.height_mm / e.across) for e in sides]
    v = min(thrown, default=math.inf)
    if v >= it.own["walking speed"]:
        return
    stopped = min(fastest_m_s(e.inside_mm, e.height_mm) / e.across for e in sides)
    text = (
        f"in a turn of {show_length(radius)} {it.name} goes over at {v:.2g} m/s, where a wheel stops dead "
        f"sideways at {stopped:.2g} m/s"
    )
    words = f"dead slow in turns, {min(v, stopped) * it.own['speed share']:.2g} m/s at most"
    more: dict[str, Any] = {"measured": v, "limit": it.own["walking speed"], "unit": "m/s"}
    yield SPEED.only((*it.subjects, "turns"), words, text, **more)


def ahead_of(it: Situation, axis_deg: float | None = None) -> list[Ahead]:
    """Return the edges it may go over when it stops or is pulled: as it drives, where it drives straight, or
    along a direction of its own frame. Where it may be down a dip it is so much nearer to going over.
    """
    up = _up_mm(it)
    lift = 0.0 if up is None else up[0]
    axis = it.gear.axis_deg if it.gear.steering == "radius" else None
    axis = axis if axis_deg is None else axis_deg
    found: list[Ahead] = []
    for stance, c in itertools.product(it.gear.stances, centres(it)):
        for polygon, z in ((stance.polygon, c.z_mm + lift), (stance.on_it, c.z_mm)):
            if polygon:
                found += ahead(polygon, (c.x_mm, c.y_mm), z, axis)
    deep = max((dip for *_, dip in _floors(it)), default=0.0)
    return [_leaning(each, Dip(deep, _on_floor(it))) for each in found] if deep else found


def _leaning(edge: Ahead, dip: Dip) -> Ahead:
    """Return an edge with that side down a dip: as far inside it as leaves the same tilt on the flat."""
    left = math.atan2(edge.inside_mm, edge.height_mm) - math.radians(dip.lean_deg(edge.outward_deg))
    return replace(edge, inside_mm=edge.height_mm * math.tan(left))


def lashing(it: Situation) -> Iterator[Part]:
    """Ask for lashing on a slope."""
    steep = it.steep()
    if not steep or it.kind in ("by hand", *HOISTS):
        return
    straps = moving_of(it.body.group).straps
    where = f" at {len(straps)} strap points" if straps else ""
    room: Room = steep[0].room
    text, pads = f"{it.name} is lashed to {it.gear.gear.name}{where} before {room.name}", it.gear.gear.pads_mm
    if pads == 0:
        text += ", with nothing between them (pads: 0): the lashing alone keeps it from sliding there"
        yield LASH.only(it.subjects, "lashed to its gear, which alone holds it", text, room=room.key)
        return
    thick = "" if pads is None else f"{pads:.0f} mm "
    text += ", wood between steel and steel"
    yield LASH.only(it.subjects, f"lashed to its gear, {thick}pads between steel", text, room=room.key)
