"""What it takes to push or pull a load along its way, by whom, and how high it may be pulled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.shapes import Point
from shopbins.moves.finding import Check
from shopbins.moves.force import (
    ONE_MAN_KEEP_N,
    Push,
    in_line,
    men_for,
    newtons,
    who_pushes,
)
from shopbins.moves.hands import short_of
from shopbins.moves.legs import Leg
from shopbins.moves.lines import (
    highest_pull_mm,
)
from shopbins.moves.overedges import PUSH, pull_n, sills
from shopbins.moves.running import (
    MadeFast,
    ahead_of,
    fast_to,
    held_in,
    holds_words,
    none_along,
    puller,
    pulling_line,
    pushes,
    said_aside,
    said_to_drag,
    serves_until,
    too_weak,
)
from shopbins.moves.situation import Situation
from shopbins.moves.standing import (
    delicate,
    reserve_of,
)
from shopbins.rules.slopes import SLOPING
from shopbins.shop.model import Room
from shopbins.units import show_length

PULL = Check("move-pull-height", "Pulled over", "statics: W d >= F z", "derived", "make the line fast low")


def forces(it: Situation) -> Iterator[Part]:
    """Say for each way (down, level, up) what pushes and what holds back, each on its worst leg; a winch
    beyond two. How high a line may pull is one condition, by the pull that leaves least of it.
    """
    every, apart = pushes(it), delicate(it)
    pulls = [(pull_n(part), 0.0, "line") for part in sills(it)]
    for leg, found, said_of in _worst_of_each(every):
        n = men_for(found.steady_n)
        text = f"{it.name} {said_of}; {who_pushes(found, leg.room.even)}"
        more: dict[str, Any] = {
            "measured": found.steady_n,
            "limit": ONE_MAN_KEEP_N,
            "unit": "N",
            "room": leg.room.key,
        }
        subjects = (*it.subjects, f"leg:{leg.way}")
        few = short_of(it.scene, n)
        if n <= it.own["pushers"] and not (n and apart) and few:
            words = f"{n}{few} to push or hold it, {leg.words} in {leg.room.name}"
            yield PUSH.only(subjects, words, text, **more)
            continue
        if n <= it.own["pushers"] and not (n and apart):
            yield PUSH.note(subjects, text, **more)
            continue
        if apart and found.by_one:
            yield _by_one(it, found, subjects, text, more)
            start = max(found.start_n, found.hold_back)
            pulls.append((start, 0.0, "handle pulled" if it.kind == "pallet truck" else "line"))
            continue
        text += "; with so little tilt left nobody pushes or holds it by hand" if apart else ""
        drives = starts = 0.0 if found.push is None else found.push.most_n
        fast, lacks, below, aside, flat = "", "", False, 0.0, max(found.hold_back, drives)
        spots: tuple[Point, ...] = ()
        alike = [each for each in every if each[0].way == leg.way]
        if leg.way == "down":
            sticks = max((n.push.most_n for at, n in alike if at.fall > SLOPING and n.push), default=0.0)
            eased = [n for at, n in alike if at.fall <= SLOPING]
            drives = max((n.push.most_n for n in eased if n.push), default=0.0)
            starts = max((n.start_n for n in eased), default=0.0)
            if sticks > 0:
                fast = f"; where it sticks it is pushed from above ({newtons(sticks)})"
                fast += ", no line pulls it from below"
        elif drives > 0:
            starts, aside, fast, lacks, below, spots = _made_fast(
                it, [each for each, _ in alike], found.start_n
            )
            drives *= starts / found.start_n
            flat = in_line(found.start_n, aside).pull_n
        pull = max(found.hold_back, starts)
        holds, held = puller(it, found.hold_back, holds=True) if found.hold_back > 0 else ("", "")
        one = leg.way == "up" and _pulls_by_what_holds(it, leg.room, [each for each, _ in alike], starts)
        by, said = puller(it, starts, holds=one) if starts > 0 else (holds, held)
        every_words = [
            f"{holds or 'winch or tackle'}: {newtons(found.hold_back)} to hold it{_on_line(it, leg)}"
        ]
        words = "; ".join(
            [
                *(every_words if found.hold_back > 0 else ()),
                *([f"{_tackle_words(starts, drives, by or 'winch or tackle')}{lacks}"] if starts > 0 else ()),
            ]
        )
        if leg.way == "level" and n <= it.own["men before winch"] and not apart:
            floor = ", good floor" if leg.room.even is None else ""
            winch = "" if below else f"; or {by or 'winch'} {newtons(pull)}"
            words, spots = f"{n} men{few}{floor}{winch}", ()
        else:
            more["measured"] = max(pull, found.steady_n)
        keeps = f" to start it, {newtons(drives)} to keep it going" if starts > drives else ""
        if found.hold_back > 0:
            text += f": {holds or 'winch, tackle or tug'} with {newtons(found.hold_back)} to hold it{held}"
        if starts > 0:
            text += f": {by or 'winch, tackle or tug'} with {newtons(starts)}{keeps}{said}"
        text += fast
        yield PUSH.only(subjects, words, text, spots=spots, **more)
        pulls.append((flat, aside, "line"))
    yield from _pulled_low(it, pulls)


def _pulls_by_what_holds(it: Situation, room: Room, legs: Sequence[Leg], force_n: float) -> bool:
    """Tell whether one line pulls it up a slope and holds it there."""
    holds, pulls = held_in(it, room), pulling_line(it, legs, force_n)
    return holds is not None and pulls is not None and holds.anchors == pulls.anchors


def _by_one(it: Situation, found: Push, subjects: tuple[str, ...], text: str, more: dict[str, Any]) -> Part:
    """Say how one person moves what tips soon: from as far off as it is high, or by the handle of a truck."""
    handle = it.kind == "pallet truck"
    how = "pulls it by its handle" if handle else "pulls it on a line longer than it is high"
    text += f"; with so little tilt left nobody is beside it: one person {how}"
    return PUSH.only(subjects, f"one {how}, {newtons(found.steady_n)}", text, **more)


def _pulled_low(it: Situation, pulls: Sequence[tuple[float, float, str]]) -> Iterator[Part]:
    """Make it a condition how high any of some forces (N, how far aside in deg, by what) may pull before it
    tips the thing, where that is below its top.
    """
    least, _ = reserve_of(it, 0.0, None, raised=False)
    mass, some = it.load.least_kg, [pull for pull in pulls if pull[0] > 0]
    if least is None or mass is None or least.deg <= 0 or not some:
        return
    z, force_n, what = min((highest_pull_mm(it, mass, n, aside), n, by) for n, aside, by in some)
    if z < (it.load.height_mm or 2 * least.height_mm):
        text = f"a line that pulls {newtons(force_n)} higher than {show_length(z)} tips {it.name}"
        yield PULL.only(it.subjects, f"{what} no higher than {z:.0f} mm", text, measured=z, unit="mm")


def _on_line(it: Situation, leg: Leg) -> str:
    """Say by which line a slope is held on a leg of it, so that it is not taken for one more."""
    line = held_in(it, leg.room)
    return "" if line is None else f", on the line to {line.named}"


def _tackle_words(start_n: float, keep_n: float, by: str) -> str:
    """Say what a winch or tackle has to do, each force by its name: to start and to pull it."""
    if start_n > keep_n:
        return f"{by}: {newtons(start_n)} to start, {newtons(keep_n)} to pull"
    return f"{by} for {newtons(start_n)}"


def _worst_of_each(every: list[tuple[Leg, Push]]) -> list[tuple[Leg, Push, str]]:
    """Return of all legs down, level and up, so far as there are any, the one that takes most, what they take
    at the most, and that in words: what holds back and what pushes may each be of another leg.
    """
    found = []
    for way in ("down", "level", "up"):
        alike = [each for each in every if each[0].way == way]
        if not alike:
            continue
        worst = max(alike, key=lambda each: each[1].steady_n)
        holds = max(alike, key=lambda each: (each[1].hold_back, each is worst))
        drives = max(
            (e for e in alike if e[1].push), key=lambda e: (_most_n(e[1]), e is worst), default=worst
        )
        most = replace(
            worst[1],
            push=drives[1].push,
            hold_back=holds[1].hold_back,
            start_n=max(push.start_n for _, push in alike),
        )
        each = [holds] if drives is holds or not holds[1].hold_back else [holds, drives]
        each = each if holds[1].hold_back else [drives]
        words = "; ".join(f"{leg.words} in {leg.room.name}: {push.words}" for leg, push in each)
        found.append((worst[0], most, words))
    return found


def _most_n(found: Push) -> float:
    return 0.0 if found.push is None else found.push.most_n


def _made_fast(it: Situation, legs: Sequence[Leg], force_n: float) -> MadeFast:
    """Return how a line is made fast that drives it along legs.

    A point has to lie ahead at every pose: of one that serves only part of the way it is said how far.
    """
    pulled = [leg for leg in legs if ahead_of(it, leg)]
    if not pulled:
        return MadeFast(force_n, 0.0, "", "")
    line, without = serves_until(it, pulled, force_n)
    if line is not None and without is None:
        return fast_to(it, line, force_n)
    assert without is not None
    served = pulled.index(without)
    none = none_along(it, without, force_n)
    if line is None:
        return MadeFast(force_n, 0.0, none.said, none.few, none.below, none.spots)
    far = show_length(sum(leg.length_mm for leg in pulled[:served]))
    said = f"; made fast to {line.placed} for the first {far} only, {said_aside(line)} ahead at the most"
    said += f"{holds_words(line)}{said_to_drag(force_n, line)}"
    few, below = f"{too_weak(line)}{none.few}", none.below and line.holds is True
    return MadeFast(line.pull_n, line.aside_deg, f"{said}{none.said}", few, below, none.spots)
