"""Doors in three dimensions: headroom over what is carried, the sill under the wheels, the leaf in the gap.

A door's height counts from the floor beside it, so over a sill the thing stands the sill higher (where the
file's height was measured from the sill, that is up to the sill too careful). Whether it goes through in
plan is for the floor kernel; here the clear width is only compared straight on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from shopbins.moves.finding import DECIDE, Check
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.force import step_share
from shopbins.moves.load import Answer
from shopbins.rules.finding import Finding, Grade
from shopbins.shop.model import Door
from shopbins.units import show_length, show_lengths


@dataclass(frozen=True, slots=True)
class Passing:
    """What goes through a door: heights from the floor in mm, None where unknown.

    `height_mm` is with the gear raised all the way, `least_height_mm` just off the floor; `clearance_mm` is
    free under it, `wheel_mm` the diameter of the smallest wheel; `width_mm` how wide it is straight on.
    `on_floor` where nothing rolls (carried by hand): the sill is only a step.
    """

    name: str
    subjects: tuple[str, ...]
    height_mm: float | None
    least_height_mm: float | None = None
    clearance_mm: float | None = None
    wheel_mm: float | None = None
    width_mm: float | None = None
    carried: bool = False

    @classmethod
    def of(cls, answer: GearAnswer, width_mm: float | None = None) -> Passing:
        """Return what a thing on its gear is to a door."""
        return cls(
            name=f"{answer.load.name} on {answer.gear.name}",
            subjects=answer.load.subjects,
            height_mm=answer.height_mm,
            least_height_mm=answer.least_height_mm,
            clearance_mm=answer.clearance_mm,
            wheel_mm=answer.gear.wheel_mm,
            width_mm=width_mm,
            carried=answer.gear.kind == "by hand",
        )


@dataclass(frozen=True, slots=True)
class DoorAnswer:
    """One door for one thing: each of height, sill and width yes, no or not known, and what must be done.

    `clear_height_mm` is what the door leaves; `height_margin_mm` what is left over the thing (raised if that
    goes, else just off the floor). `leaf_gain_mm` is what taking the leaf off its hinges would give.
    `most_lift_mm` is how far it may be raised in the doorway, None where all the way or unknown.
    """

    door: Door
    height: Answer
    sill: Answer
    width: Answer
    clear_height_mm: float | None
    height_margin_mm: float | None
    width_margin_mm: float | None
    leaf_gain_mm: float
    most_lift_mm: float | None
    must: tuple[str, ...]
    again: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def answer(self) -> Answer:
        """The worst of the three."""
        three = (self.height, self.sill, self.width)
        return "no" if "no" in three else "not known" if "not known" in three else "yes"


DOOR = Check(
    "door-size",
    "Too high, too low or too wide for a door",
    "sizes of door, thing and gear",
    "derived",
    "lower it, other gear, take the leaf off, or another door",
)
SILL = Check(
    "door-sill",
    "The sill stops it",
    "statics of a wheel against a step: push = load x sqrt(h(2r - h)) / (r - h)",
    "derived",
    "ramp plates or packing on both sides of the sill",
)


def judge_door(door: Door, passing: Passing, *, measured_mm: float = 5.0) -> DoorAnswer:
    """Judge one door for one thing: clear height, sill, and width straight on."""
    found: list[Finding] = []
    again: list[str] = []
    work = _Work(door, passing, measured_mm, found, again)
    high = _height(work)
    sill = _sill(work)
    wide, gain = _width(work)
    return DoorAnswer(
        door=door,
        height=high.answer,
        sill=sill,
        width=wide.answer,
        clear_height_mm=clear_height_mm(door),
        height_margin_mm=high.margin_mm,
        width_margin_mm=wide.margin_mm,
        leaf_gain_mm=gain,
        most_lift_mm=high.most_lift_mm,
        must=_must(door, gain, wide),
        again=tuple(dict.fromkeys(again)),
        findings=tuple(found),
    )


@dataclass(frozen=True, slots=True)
class _Work:
    door: Door
    passing: Passing
    measured_mm: float
    found: list[Finding] = field(default_factory=list)
    again: list[str] = field(default_factory=list)

    @property
    def subjects(self) -> tuple[str, ...]:
        return (*self.passing.subjects, f"door:{self.door.key}")

    def flips(self, difference_mm: float) -> bool:
        """Tell whether an answer flips within how well both sizes were measured."""
        return abs(difference_mm) <= 2 * self.measured_mm


@dataclass(frozen=True, slots=True)
class _Part:
    answer: Answer
    margin_mm: float | None = None
    most_lift_mm: float | None = None


def clear_height_mm(door: Door) -> float | None:
    """Return a door's clear height: its opening, under an up-and-over leaf no more than where that hangs."""
    if door.opens != "up-and-over":
        return door.height_mm
    known = [h for h in (door.height_mm, door.hang_mm) if h is not None]
    return None if door.height_mm is None or door.hang_mm is None else min(known)


def _height(work: _Work) -> _Part:
    """Compare clear height with the thing raised, else just off the floor."""
    door, it = work.door, work.passing
    clear = clear_height_mm(door)
    if clear is None:
        known = [h for h in (door.height_mm, door.hang_mm) if h is not None]
        low = it.least_height_mm if it.least_height_mm is not None else it.height_mm
        if known and low is not None and low + door.threshold_mm > min(known):
            clear = min(known)
        else:
            what = "how high its leaf hangs" if door.opens == "up-and-over" and known else "its height"
            work.found.append(
                DOOR.found("note", work.subjects, f"{door.name}: {what} is not known, not judged")
            )
            return _Part("not known")
    raised = it.height_mm
    least = it.least_height_mm if it.least_height_mm is not None else raised
    if least is None:
        text = f"{door.name}: how high {it.name} is is not known, not judged"
        work.found.append(DOOR.found("note", work.subjects, text, remedy="measure its height"))
        return _Part("not known")
    under = "under the open leaf" if door.hang_mm is not None and clear == door.hang_mm else "clear"
    most = clear - door.threshold_mm
    if raised is not None and raised <= most:
        _say_again(work, most - raised, f"height of {door.name}", f"height of {it.name}")
        return _Part("yes", most - raised)
    sill = f", {show_length(door.threshold_mm)} of it lost over the sill" if door.threshold_mm else ""
    if least > most:
        a, b = show_lengths(least, clear)
        text = f"{it.name} is {a} high, {door.name} is {b} {under}{sill}; {DECIDE}"
        work.found.append(
            DOOR.found("stop", work.subjects, text, room=door.room, measured=least, limit=most, unit="mm")
        )
        _say_again(work, most - least, f"height of {door.name}", f"height of {it.name}")
        return _Part("no", most - least)
    a, b = show_lengths(least, clear)
    text = (
        f"{it.name} goes through {door.name} only low: {a} off the floor, {b} {under}{sill}; raise it no "
        f"more than {show_length(most - least)}"
    )
    work.found.append(
        DOOR.found("correct", work.subjects, text, room=door.room, measured=least, limit=most, unit="mm")
    )
    _say_again(work, most - least, f"height of {door.name}", f"height of {it.name}")
    return _Part("yes", most - least, most - least)


def _say_again(work: _Work, difference: float, *what: str) -> None:
    if work.flips(difference):
        work.again.extend(what)


MOST_STEP_SHARE = 0.5
"""Above half the load on a wheel as push a ramp is asked for: own figure, no source."""


def _sill(work: _Work) -> Answer:
    """Compare the sill with what is free under the thing, and with its wheels."""
    door, it = work.door, work.passing
    step = door.threshold_mm
    if step <= 0 or it.carried:
        return "yes"
    free = it.clearance_mm
    if free is not None and free <= step:
        a, b = show_lengths(free, step)
        text = f"{it.name} has {a} under it, the sill of {door.name} is {b} high; {DECIDE}"
        work.found.append(
            SILL.found("stop", work.subjects, text, room=door.room, measured=free, limit=step, unit="mm")
        )
        _say_again(work, free - step, f"sill of {door.name}", f"what is free under {it.name}")
        return "no"
    if free is not None:
        _say_again(work, free - step, f"sill of {door.name}", f"what is free under {it.name}")
    if it.wheel_mm is None:
        text = f"whether wheels of {it.name} go over {show_length(step)} of sill at {door.name} is not judged"
        work.found.append(SILL.found("note", work.subjects, text, room=door.room))
        return "not known"
    share = step_share(it.wheel_mm, step)
    if share is None or share > MOST_STEP_SHARE:
        how = "cannot climb" if share is None else f"need {share:.0%} of their load as push to climb"
        text = f"wheels of {show_length(it.wheel_mm)} {how} {show_length(step)} of sill at {door.name}"
        grade: Grade = "stop" if share is None else "correct"
        work.found.append(
            SILL.found(
                grade,
                work.subjects,
                f"{text}; {DECIDE}",
                room=door.room,
                measured=step,
                limit=it.wheel_mm / 2,
                unit="mm",
            )
        )
        if share is None:
            return "no"
    return "yes" if free is not None else "not known"


def _width(work: _Work) -> tuple[_Part, float]:
    """Compare the clear width straight on; say what taking the leaf off its hinges would give."""
    door, it = work.door, work.passing
    gain = 0.0
    if door.opens == "hinged":
        gain = max(0.0, math.dist(*door.jambs) - door.clear_width_mm)
    if it.width_mm is None:
        return _Part("yes"), gain
    margin = door.clear_width_mm - it.width_mm
    _say_again(work, margin, f"clear width of {door.name}", f"width of {it.name}")
    if margin >= 0:
        return _Part("yes", margin), gain
    a, b = show_lengths(it.width_mm, door.clear_width_mm)
    text = f"{it.name} is {a} wide straight on, {door.name} is {b} clear"
    remedy = ""
    if gain:
        text += f"; its leaf off its hinges gives {show_length(gain)} more"
        if margin + gain >= 0:
            remedy = f"take the leaf of {door.name} off its hinges"
    work.found.append(
        DOOR.found(
            "stop",
            work.subjects,
            f"{text}; {DECIDE}",
            room=door.room,
            measured=it.width_mm,
            limit=door.clear_width_mm,
            unit="mm",
            remedy=remedy,
        )
    )
    return _Part("no", margin), gain


def _must(door: Door, gain: float, wide: _Part) -> tuple[str, ...]:
    """Say what has to be done with the leaf before the move."""
    must: list[str] = []
    if door.opens == "up-and-over":
        hang = "" if door.hang_mm is None else f", {show_length(door.hang_mm)} up"
        must.append(
            f"prop the leaf of {door.name} open{hang}: it must not come down on the thing or on anybody"
        )
    if door.opens == "hinged":
        must.append(f"hook or wedge {door.name} open to {door.opens_deg:.0f} degrees")
        if wide.answer == "no" and wide.margin_mm is not None and wide.margin_mm + gain >= 0:
            must.append(f"take the leaf of {door.name} off: {show_length(gain)} more width")
    if door.opens == "sliding":
        must.append(f"slide {door.name} all the way and keep it there")
    return tuple(must)


def judge_doors(
    doors: Sequence[Door], passing: Passing, *, measured_mm: float = 5.0
) -> tuple[DoorAnswer, ...]:
    """Judge every door of a route for one thing."""
    return tuple(judge_door(door, passing, measured_mm=measured_mm) for door in doors)
