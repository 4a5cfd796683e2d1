"""A way in stages, each with what holds or pulls it there: where it is chocked and a line is changed."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, Point, placed, turn_between
from shopbins.moves.crossings import places
from shopbins.moves.finding import Check
from shopbins.moves.force import newtons
from shopbins.moves.legs import Leg
from shopbins.moves.lines import Line
from shopbins.moves.overedges import DRIVEN_MM, PUSH
from shopbins.moves.running import (
    Hitch,
    force_on,
    held_by_hand,
    holding_line,
    let_go_n,
    none_along,
    other_side_n,
    pulled_along,
    pulled_up,
    pulling_line,
    pulls_n,
    serves_until,
    winch_n,
    winches_told,
)
from shopbins.moves.situation import Situation, worked_once
from shopbins.moves.standing import delicate
from shopbins.shop.model import Anchor
from shopbins.units import show_point

LINES = Check(
    "move-lines",
    "Lines that are on at once",
    "common practice, no source: what holds it is on before what pulled it comes off",
    "common practice, no source",
    "a second winch or tackle; gear with a brake that holds it",
)


PAST = Check(
    "move-line-past-handle",
    "A line where who steers stands",
    "nobody over or beside a line under tension: common practice, no source",
    "common practice, no source",
    "two legs, one on each side of the handle; forks from another side",
)


@dataclass(frozen=True, slots=True)
class Stage:
    """Legs in a row. `held`: let go it runs there, and `line` holds it (None: a brake does).

    `at` are the places of its first and last leg on the way; `winch_n` is what a winch has to pull, from
    standing still, or to hold there, 0 where people do.
    """

    legs: tuple[Leg, ...]
    at: tuple[int, int]
    held: bool
    line: Line | None
    winch_n: float

    @property
    def down(self) -> bool:
        """Whether it comes down there."""
        return sum(leg.fall * leg.length_mm for leg in self.legs) > 0


def stages(it: Situation) -> tuple[Stage, ...]:
    """Return the stages of the way, in order; what only turns on the level belongs to none."""
    return worked_once(it, "stages", lambda: _stages(it))


def _stages(it: Situation) -> tuple[Stage, ...]:
    if it.kind == "by hand":
        return ()

    runs = [leg for leg in it.legs if let_go_n(it, leg) > 0]
    apart = delicate(it)
    keys = dict.fromkeys(leg.room.key for leg in runs)
    by_hand = {key for key in keys if held_by_hand(it, [leg for leg in runs if leg.room.key == key])}

    def held(leg: Leg) -> bool:
        return leg.room.key in keys and leg.room.key not in by_hand

    def kind(each: tuple[int, Leg]) -> tuple[str, bool]:
        leg = each[1]
        return (leg.room.key, False) if held(leg) else ("", winch_n(it, leg, apart) > 0)

    going = (
        (at, leg)
        for at, leg in enumerate(it.legs)
        if held(leg) or (leg.heading_deg is not None and leg.length_mm >= DRIVEN_MM)
    )
    return tuple(
        _stage(it, list(some), bool(room), apart) for (room, _), some in itertools.groupby(going, kind)
    )


def _stage(it: Situation, some: Sequence[tuple[int, Leg]], held: bool, apart: bool) -> Stage:
    legs, at = tuple(leg for _, leg in some), (some[0][0], some[-1][0])
    line = holding_line(it, legs) if held else None
    return Stage(legs, at, held, line, max(winch_n(it, leg, apart) for leg in legs))


def halt_between(it: Situation, before: Stage, then: Stage | None) -> int | None:
    """Return the place where it halts between two stages (None: after the last) for what holds it to be put
    on, changed or taken off: every wheel off a slope it was held on, none on one yet. None where neither
    holds it, or it never is off that.
    """
    past = before.held and (then is None or not then.held)
    if not past and (then is None or not then.held):
        return None
    poses = [pose for _, pose in it.poses()]
    stage = before if past or then is None else then
    leg = before.at[1] + 1 if past else stage.at[0]
    if leg >= len(it.legs):
        return None
    here = places(it).index((leg, 0))
    some = range(here, len(poses)) if past else range(here, -1, -1)
    return next((n for n in some if not it.on(stage.legs[0].room, [poses[n]])), here)


def under_lines(it: Situation) -> tuple[Outline, ...]:
    """Return the floor that the lines to each point go over, from the thing at every pose that they serve."""
    found = []
    for stage in stages(it):
        going = [leg for leg in stage.legs if leg.fall <= 0]
        pulls = pulling_line(it, going, stage.winch_n) if stage.winch_n else None
        for line in (stage.line, pulls):
            for anchor in () if line is None else line.anchors:
                at = [p for leg in stage.legs for pose in leg.poses for p in placed(it.hull, pose)]
                found.append(convex_hull([anchor.at_mm, *at]))
    return tuple(found)


def hitches(it: Situation, stage: Stage) -> tuple[Hitch, ...]:
    """Return what pulls it in a stage, in order."""
    return worked_once(it, ("hitches", stage.at), lambda: _hitches(it, stage))


def _hitches(it: Situation, stage: Stage) -> tuple[Hitch, ...]:
    apart = delicate(it)
    every = ((at, leg) for at, leg in enumerate(it.legs) if leg in stage.legs and leg.way != "down")
    return tuple(pulled_along(it, [(at, leg, n) for at, leg in every if (n := winch_n(it, leg, apart))]))


def points_lacking(it: Situation) -> Iterator[Part]:
    """Make each point that a line of the way hangs on, and that nobody told of, or told to hold it, a
    condition, but what the conditions of pushing and pulling name.
    """
    apart = delicate(it)
    pulled = [(leg, n) for leg in it.legs if leg.way != "down" and (n := winch_n(it, leg, apart))]
    lines: list[tuple[Anchor, ...]] = []
    first: list[Leg] = []
    named: list[tuple[Point, ...]] = []
    for way in ("level", "up"):
        alike = [
            leg for leg in it.legs if leg.way == way and force_on(it.load, it.gear.gear, leg) is not None
        ]
        most = max((n for leg, n in pulled if leg.way == way), default=0.0)
        line, without = serves_until(it, alike, most) if most else (None, None)
        if line is not None:
            lines.append(line.anchors)
        if without is not None:
            first.append(without)
            named.append(none_along(it, without, most).spots)
    found: dict[str, list[Hitch]] = {}
    for pull in itertools.chain.from_iterable(hitches(it, stage) for stage in stages(it)):
        if pull.line is not None:
            told = pull.line.anchors in lines
        else:
            told = pull.spots in named if pull.spots else it.legs[pull.at] in first
        if pull.lacks and not told:
            found.setdefault(lacking(it, pull), []).append(pull)
    for subject, some in found.items():
        pull, force = some[0], max(each.force_n for each in some)
        leg = it.legs[pull.at]
        start = show_point(round(leg.poses[0].x_mm), round(leg.poses[0].y_mm))
        words = f"line from {start}, {newtons(force)}: {pull.lacks}"
        if pull.line is not None:
            words = f"line to {pull.line.named} for {newtons(force)}: {pull.lacks}"
        elif pull.spots:
            words = f"{pull.lacks} for {newtons(force)}"
        text = f"{it.name} is pulled from {start} in {leg.room.name} with {newtons(force)}"
        text += f": {pull.said or pull.lacks}"
        more: dict[str, Any] = {"room": leg.room.key, "measured": force, "unit": "N"}
        yield PUSH.only((*it.subjects, subject), words, text, spots=pull.spots, **more)


def lacking(it: Situation, pull: Hitch) -> str:
    """Return what a condition about what a line lacks is about: a point told of, a spot, or where it pulls
    from.
    """
    if pull.line is not None:
        return f"anchor:{pull.line.named}"
    first = it.legs[pull.at].poses[0]
    x, y = pull.spots[0] if pull.spots else (first.x_mm, first.y_mm)
    return f"{'point' if pull.spots else 'from'}:{x:.0f},{y:.0f}"


def lines_on(it: Situation) -> Iterator[tuple[Line, Sequence[Leg]]]:
    """Go through the lines that hold or pull it, each with the legs that it serves."""
    for stage in stages(it):
        if stage.line is not None:
            yield stage.line, stage.legs
        pulls = hitches(it, stage)
        ends = [*(pull.at for pull in pulls[1:]), stage.at[1] + 1]
        for pull, end in zip(pulls, ends, strict=False):
            if pull.line is not None:
                yield pull.line, it.legs[pull.at : end]


def past_the_handle(it: Situation) -> Iterator[Part]:
    """Say where a line leaves a pallet truck over its steering wheels and handle, where who steers stands."""
    if it.kind != "pallet truck":
        return
    over = f"over the steering wheels and handle of {it.gear.gear.name}, where who steers stands"
    for named in dict.fromkeys(line.named for line, legs in lines_on(it) if _by_its_handle(it, line, legs)):
        text = f"the line to {named} leaves {it.name} {over}: on two legs from {it.name} itself, one on each "
        text += "side of the handle, clear of the wheels; tight once the forks are in"
        subjects = (*it.subjects, f"line:{named}")
        yield PAST.only(subjects, f"line to {named}: two legs past handle", text)


def _by_its_handle(it: Situation, line: Line, legs: Sequence[Leg]) -> bool:
    """Tell whether a line to any of its points lies nearer to straight out over the handle than our own
    figure for that, anywhere on some legs.
    """
    for pose, anchor in itertools.product((pose for leg in legs for pose in leg.poses), line.anchors):
        x, y = anchor.at_mm
        bearing = math.degrees(math.atan2(y - pose.y_mm, x - pose.x_mm))
        handle = pose.turn_deg + it.gear.axis_deg + 180.0
        if abs(turn_between(bearing, handle)) < it.own["handle aside"]:
            return True
    return False


def at_once(it: Situation) -> Iterator[Part]:
    """Count the winches where two lines are on at once: up a slope, and where one comes off for another."""
    units = sorted((math.inf if (n := pulls_n(g)) is None else n for g in winches_told(it)), reverse=True)
    every = stages(it)
    for stage in every:
        yield from _while_it_is_held(it, stage, units)
    for before, then in itertools.pairwise(every):
        if not before.winch_n or not then.winch_n or then.line is None or not is_another(before, then):
            continue
        room = then.legs[0].room
        holds = max(then.line.pull_n, then.winch_n)
        wants = sorted((before.winch_n, holds), reverse=True)
        subjects = (*it.subjects, f"room:{room.key}", "lines")
        text = (
            f"before a wheel of {it.name} comes to {room.name} the line to {then.line.named} is on and tight "
            f"({newtons(holds)}), what pulls it there still on ({newtons(before.winch_n)}): {_told(units)}"
        )
        more: dict[str, Any] = {"room": room.key, "measured": holds, "unit": "N"}
        if _enough(units, wants):
            yield LINES.note(subjects, text, **more)
            continue
        words = f"2 winches or tackles at once before {room.name}"
        yield LINES.only(subjects, words, text, **more)


def winches_of(it: Situation, stage: Stage) -> int:
    """Return how many winches or tackles are worked at once in a stage."""
    if stage.line is None:
        return int(stage.winch_n > 0)
    return sum(n > 0 for n in (stage.line.pull_n, _pulls_besides(it, stage), _other_side(it, stage)))


def _pulls_besides(it: Situation, stage: Stage) -> float:
    """Return what another line than the one that holds it pulls meanwhile, up a slope or across it, in N."""
    line, up = stage.line, pulled_up(it, stage.legs)
    assert line is not None
    pulls = [] if up is None else [up]
    pulls += [(each.force_n, each.line) for each in hitches(it, stage) if it.legs[each.at].way != "up"]
    return max((n for n, by in pulls if by is None or by.anchors != line.anchors), default=0.0)


def _other_side(it: Situation, stage: Stage) -> float:
    return 0.0 if stage.line is None else other_side_n(it, stage.line, stage.legs)


def _while_it_is_held(it: Situation, stage: Stage, units: Sequence[float]) -> Iterator[Part]:
    """Count the winches on a slope: one that holds it, one more where another line pulls it up or across
    there, and where the one that holds it lies so far aside that it swings, one on the other side.
    """
    line = stage.line
    if line is None:
        return
    up, room = pulled_up(it, stage.legs), stage.legs[0].room
    pulls, other = _pulls_besides(it, stage), _other_side(it, stage)
    subjects = (*it.subjects, f"room:{room.key}", "lines", *(("up",) if up else ()))
    more: dict[str, Any] = {"room": room.key, "measured": line.pull_n, "unit": "N"}
    if not pulls and not other:
        if up is not None:
            text = f"one line, to {line.named}, pulls {it.name} up {room.name} and holds it there"
            yield LINES.note(subjects, text, **more)
        return
    where = "up" if up else "in"
    text = f"{where} {room.name} "
    text += f"one line pulls {it.name} ({newtons(pulls)}) while that " if pulls else "the line "
    text += f"to {line.named} {'is taken in and ' if up else ''}holds it ({newtons(line.pull_n)})"
    text += f" and one on the other side keeps it from swinging ({newtons(other)})" if other else ""
    wants = sorted((n for n in (pulls, line.pull_n, other) if n), reverse=True)
    if _enough(units, wants):
        yield LINES.note(subjects, f"{text}: {_told(units)}", **more)
    else:
        words = f"{len(wants)} winches or tackles at once {where} {room.name}"
        yield LINES.only(subjects, words, f"{text}: {_told(units)}", **more)


def _told(units: Sequence[float]) -> str:
    """Say how many winches are told of, of what each pulls."""
    if not units:
        return "no winch is told of"
    return "1 winch is told of" if len(units) == 1 else f"{len(units)} winches are told of"


def _enough(units: Sequence[float], wants: Sequence[float]) -> bool:
    """Tell whether each force has a winch of its own that pulls it; the strongest first in both."""
    return len(units) >= len(wants) and all(u >= w for u, w in zip(units, wants, strict=False))


def is_another(before: Stage, then: Stage) -> bool:
    """Tell whether another line holds it then than before: one that pulls it uphill goes on."""
    if before.held:
        return before.line is not None and then.line is not None and before.line.anchors != then.line.anchors
    return then.down
