"""Crests and feet of slopes: whether a load grounds or lifts a wheel there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from shopbins.answer import Part, Verdict
from shopbins.moves.finding import Ask, Check
from shopbins.moves.floorline import Stretch, stretches
from shopbins.moves.grounding import Bend, Rise, eased, gears_low, must_lift_mm, worst_rise
from shopbins.moves.heights import lift_said
from shopbins.moves.margin import Margin
from shopbins.moves.plates import Edge
from shopbins.moves.situation import Situation
from shopbins.moves.standing import (
    highest_lift_mm,
    tilt_in,
    too_little,
)
from shopbins.moves.trucks import PLATE_MM
from shopbins.shop.model import Gear
from shopbins.units import show_angle, show_length

GROUNDS = Check(
    "move-grounds",
    "Grounds at a crest or at the foot of a slope",
    "geometry: over a crest (b/2) tan(t/2) between the wheels, at a foot o tan(t) beyond them; under the "
    "gear's own belly, and under the load's feet and underside as they are carried",
    "derived",
    "raise it, or boards that ease the change of slope",
)


def ask_clearance(gear: Gear) -> Ask:
    """Return the question how much is free under gear, in mm."""
    return Ask(f"how much is free under {gear.name}?", f"gear: {gear.key}: {{clearance: 30}}", 1)


def grounds(it: Situation) -> Iterator[Part]:
    """Judge what hangs lowest, of load and of gear, over crests and at feet of slopes, and where the floor
    bends at several places close together.
    """
    every = stretches(it)
    close = [each for each in every if each.count > 1]
    by_itself = [each for each in every if each.count == 1 or each.askew]
    yield from grounds_at(it, [b for each in by_itself for b in each.bends if b.rooms], it.subjects)
    for each in close:
        at = (*it.subjects, *dict.fromkeys(s for edge in each.edges for s in edge.subjects), "together")
        if each.askew:
            yield _askew_bends(it, each, at)
        else:
            yield from grounds_at(it, each.bends, at, each.edges[0] if each.edges else None)


def _askew_bends(it: Situation, close: Stretch, subjects: tuple[str, ...]) -> Part:
    """Say of bends close together that do not lie across one direction that each is reckoned by itself."""
    text = (
        f"the floor bends {close.where}, less far apart than {it.name} on {it.gear.gear.name} is long, and "
    )
    text += "not across one direction: each is reckoned by itself, not both together"
    words = f"floor looked at with a straightedge {close.where}"
    return GROUNDS.only(subjects, words, text, judged=False)


def grounds_at(
    it: Situation, over: Sequence[Bend], subjects: tuple[str, ...], edge: Edge | None = None
) -> Iterator[Part]:
    """Judge what of load and gear grounds over one bend of the floor, or where it is lifted there."""
    gear = worst_rise(it, gears_low(it), over)
    if gear is not None:
        yield _gear_grounds(it, gear, (*subjects, "gear"))
    need, load = must_lift_mm(it, over)
    lift = it.gear.up_mm
    if load is None or lift is None:
        return
    rises = _comes_up(load, load.low.name)
    more: dict[str, Any] = {"measured": load.mm, "unit": "mm"}
    high = load.low.high_mm or 0.0
    if lift[0] >= lift[1]:
        margin = Margin(lift[1] + high - load.mm, ((f"what is free under {it.name}", it.measured_mm),))
        text = f"{rises}, {show_length(lift[1] + high)} is free"
        more["limit"] = lift[1] + high
        if margin.verdict is Verdict.NO:
            yield GROUNDS.no(subjects, text, eased(load, lift[1] + high, it.hull), **more)
        elif margin.verdict is Verdict.AGAIN:
            yield GROUNDS.again(subjects, text, margin, **more)
        else:
            yield GROUNDS.note(subjects, text, **more)
        return
    clear, floors = need + it.own["carry clear"], load.bend.rooms if edge is None else edge.rooms
    if lift[1] <= need:
        free = lift[1] + high
        text = f"{rises}: {show_length(free)} is free as high as it can be lifted"
        yield GROUNDS.no(subjects, text, eased(load, free, it.hull), **{**more, "limit": free})
    elif clear > lift[0]:
        most = highest_lift_mm(it, it.own["tip least"])
        at = math.ceil(min(clear, max(most, need), lift[1]))
        lifted = Lift(at, floors, load.bend.where, rises, tuple(eased(load, lift[0] + high, it.hull)))
        yield lifted_there(it, edge, (*subjects, "lift"), lifted, more)
    else:
        yield GROUNDS.note(subjects, rises, **more)


class Lift(NamedTuple):
    """How high it is lifted, in which rooms, where in words, why, and what ends it where it tips so."""

    mm: float
    rooms: tuple[str, ...]
    where: str
    why: str
    ends: tuple[str, ...]


def lifted_there(
    it: Situation, at: Edge | None, subjects: tuple[str, ...], lift: Lift, more: dict[str, Any]
) -> Part:
    """Return how high it has to be lifted there: a condition, unless its band over the edge says it, or it
    tips lifted so high.
    """
    text, left = f"{lift.why}: lifted {lift.mm:.0f} mm there", tilt_in(it, lift.mm, lift.rooms)
    if left is not None and left[0] < it.own["tip notice"]:
        text += f", {show_angle(abs(left[0]))} {'of tilt left' if left[0] > 0 else 'too far: it tips'}"
        tilt = {**more, "measured": left[0], "unit": "deg"}
        against = too_little(it, GROUNDS, subjects, left, text, "what it is lifted", lift.ends, tilt)
        if against is not None:
            return against
        text += ", dead slow and nobody beside it" if left[0] < it.own["tip reserve"] else ""
    if at is not None and lift_said(it, at):
        return GROUNDS.note(subjects, text, **more)
    rooms = () if at is not None else (f"room:{room}" for room in lift.rooms)
    return GROUNDS.only(subjects, f"lifted {lift.mm:.0f} mm {lift.where}", text, at=rooms, **more)


def _comes_up(rise: Rise, under: str) -> str:
    where = f", {show_length(rise.out_mm)} out beyond the wheels"
    if not rise.out_mm:
        where = f" between wheels {show_length(rise.base_mm)} apart"
    return f"{rise.bend.words}, the floor comes up {show_length(rise.mm)} under {under}{where}"


def _gear_grounds(it: Situation, rise: Rise, subjects: tuple[str, ...]) -> Part:
    gear, clear = it.gear.gear, rise.low.high_mm
    text = _comes_up(rise, f"{gear.name} itself")
    more: dict[str, Any] = {"measured": rise.mm, "unit": "mm"}
    if clear is None:
        return GROUNDS.open(subjects, text, ask_clearance(gear), **more)
    text += f", {show_length(clear)} is free"
    more["limit"] = clear
    margin = Margin(clear - rise.mm, ((f"what is free under {gear.name}", min(it.measured_mm, PLATE_MM)),))
    if margin.verdict is Verdict.NO:
        return GROUNDS.no(subjects, text, eased(rise, clear, it.hull), **more)
    if margin.verdict is Verdict.AGAIN:
        return GROUNDS.again(subjects, text, margin, **more)
    return GROUNDS.note(subjects, text, **more)
