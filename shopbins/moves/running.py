"""Forces on each leg, up and down; slopes; what runs away and what holds it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from shopbins.answer import Part, Verdict
from shopbins.geometry.segments import segment_gap
from shopbins.geometry.shapes import Outline, Point, Pose, cos_sin, placed, turn_between
from shopbins.moves.finding import Ask, Check, row_of
from shopbins.moves.fitted import HOISTS, JACKED, along
from shopbins.moves.floorline import Stretch, stretches, together_at
from shopbins.moves.force import (
    G_M_S2,
    ONE_MAN_KEEP_N,
    ONE_MAN_N,
    ROLLING,
    SOURCE,
    Push,
    downhill_n,
    in_line,
    men_for,
    newtons,
    push,
    rolling_n,
    step_share,
    towards_words,
    who_pushes,
)
from shopbins.moves.grounding import Bend, Rise, eased, gears_low, must_lift_mm, worst_rise
from shopbins.moves.hands import short_of
from shopbins.moves.heights import lift_said
from shopbins.moves.legs import Leg
from shopbins.moves.lines import (
    HAIR_MM,
    JOIN_MM,
    Line,
    Pull,
    barred_words,
    best_line,
    far_off,
    floor_of,
    highest_pull_mm,
    in_the_line,
    seen_at,
    too_steep,
)
from shopbins.moves.load import Load
from shopbins.moves.margin import Margin
from shopbins.moves.plates import AT_PLATE, Edge, Laid, Ramps
from shopbins.moves.ramps import (
    NEVER_ON_SLOPES,
    abreast_square,
    bends_over,
    climbs,
    half_track_mm,
    leaning,
    meeting,
    on_floor,
    pad_long_mm,
    rests_on_mm,
    run_for,
    sides_crossed,
    slope_on,
    too_short,
)
from shopbins.moves.route import ASKEW_DEG, open_holes
from shopbins.moves.shares import one_bears
from shopbins.moves.situation import Situation
from shopbins.moves.spans import Span, bridge
from shopbins.moves.standing import (
    ask_cg,
    ask_mass,
    delicate,
    highest_lift_mm,
    reserve_of,
    tilt_in,
    tips_at,
    too_little,
)
from shopbins.moves.steered import turned_where_told
from shopbins.moves.trucks import PLATE_MM
from shopbins.rules.covers import may_not_bear
from shopbins.rules.say import listed
from shopbins.rules.slopes import SLOPING, is_steep
from shopbins.shop.model import Door, Gear, Room
from shopbins.units import show_angle, show_force, show_length, show_mass, show_point, show_slope

PUSH = Check(
    "move-push",
    "Pushing and holding back",
    f"{SOURCE}; starting it taken at 10 % on any floor for winch, point and block: our own choice",
    "published",
    "winch, tackle or tug; better wheels",
)
PULL = Check("move-pull-height", "Pulled over", "statics: W d >= F z", "derived", "make the line fast low")
RUNS = Check(
    "runs-downhill",
    "Runs away",
    "mass x g x sin(slope), no rolling resistance taken off it; what a line far aside drags sideways, "
    "F x tan(a), against 2 to 10 % of the weight (HSE L23)",
    "derived",
    "gear whose brake comes on by itself; a line to a named point above it and chocks, before it is let go",
)
SLOPE_GEAR = Check(
    "move-gear-on-slope",
    "Gear that is not for slopes",
    "the gear's handbook (`steepest`); EN ISO 3691-5 1 h) sets no "
    "requirements off smooth level floor; 1 in 50 is "
    "where 2 % rolls by itself (derived); which kinds: common practice, no source",
    "derived",
    "other gear, a way without the slope, a winch with skates",
)
OUTDOORS = Check(
    "move-outdoors",
    "Floors outdoors",
    "common practice, no source",
    "common practice, no source",
    "level boards or plates; another day",
)
LEVEL = Check(
    "move-floor-level",
    "Floors taken as level",
    "nothing told of how the floor falls; how much tilt is left is our own figure",
    "own",
    "lay a level on it, and tell the shop file: slope: none",
)
EVEN = Check(
    "move-floor-even",
    "Floors taken as even and clean",
    SOURCE,
    "published",
    "sweep it; plates over joints; tell the shop file: even: yes",
)
TURNS = Check(
    "move-turns-on-slope",
    "Turned, lifted or parked on a slope",
    "makers' handbooks; the angle is our own figure",
    "published",
    "turn it where the floor is level",
)
ROUND = Check(
    "move-set-round",
    "Straight gear set round on the way",
    "what only rolls straight on turns where it is jacked or barred round: common practice, no source",
    "common practice, no source",
    "gear that is steered, or a way without the turn",
)
HANDLE = Check(
    "move-handle-uphill",
    "Who steers stands downhill of it",
    "makers' handbooks: operator above the load; the angle is our own figure",
    "published",
    "enter from the other side; turn it on the level before the slope",
)
SILL = Check(
    "door-sill",
    "Wheels against a sill or the edge of a plate",
    "statics of a wheel against a step: push = load x sqrt(h(2r - h)) / (r - h); ramp 1 in 12: ADA 405.2; "
    "nothing hung over a bare edge: common practice, no source",
    "derived",
    "a ramp on both sides, held from creeping",
)
GROUNDS = Check(
    "move-grounds",
    "Grounds at a crest or at the foot of a slope",
    "geometry: over a crest (b/2) tan(t/2) between the wheels, at a foot o tan(t) beyond them; under the "
    "gear's own belly, and under the load's feet and underside as they are carried",
    "derived",
    "raise it, or boards that ease the change of slope",
)


# --- pushing and holding back -------------------------------------------------------------------------------


def force_on(load: Load, gear: Gear, leg: Leg) -> Push | None:
    """Return the forces on a leg; None where it goes nowhere, nothing was weighed, or it is carried.

    What was not weighed is said to be 'at least'; the most that may roll counts.
    """
    kg = load.mass_kg if load.most_kg is None else load.most_kg
    if kg is None or leg.heading_deg is None or leg.length_mm < 1.0 or gear.kind == "by hand":
        return None
    unweighed = load.most_kg is None or gear.mass_kg is None
    whole = kg + (gear.mass_kg or 0.0)
    return push(whole, leg.fall, rolling=_rolling_on(leg.room), at_least=unweighed)


def _rolling_on(room: Room) -> tuple[float, float]:
    """Return the best and the worst rolling resistance of a floor, as it is told to be even or not."""
    good, uneven = ROLLING
    return ROLLING if room.even is None else (good, good) if room.even else (uneven, uneven)


def pushes(it: Situation) -> list[tuple[Leg, Push]]:
    """Return the forces of every leg that goes somewhere."""
    every = ((leg, force_on(it.load, it.gear.gear, leg)) for leg in it.legs)
    return [(leg, found) for leg, found in every if found is not None]


def forces(it: Situation) -> Iterator[Part]:
    """Say for each way (down, level, up) what pushes and what holds back, each on its worst leg; a winch
    beyond two. How high a line may pull is one condition, by the pull that leaves least of it.
    """
    every, apart = pushes(it), delicate(it)
    pulls = [(_pull_n(part), 0.0, "line") for part in sills(it)]
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


def winch_n(it: Situation, leg: Leg, apart: bool) -> float:
    """Return what a winch has to pull or to hold on a leg; 0: people do, unless they stay `apart`."""
    found = force_on(it.load, it.gear.gear, leg)
    if found is None:
        return 0.0
    n = men_for(found.steady_n)
    if apart and found.by_one:
        return 0.0
    if not apart and (n <= it.own["pushers"] or (leg.way == "level" and n <= it.own["men before winch"])):
        return 0.0
    return found.hold_back if leg.fall > SLOPING else max(found.hold_back, found.start_n)


def pulled_up(it: Situation, legs: Sequence[Leg]) -> tuple[float, Line | None] | None:
    """Return what pulls it up the slope of some legs and by which line (None: to no point told of); None
    where people do.
    """
    apart = delicate(it)
    up = [leg for leg in legs if leg.fall < 0 and winch_n(it, leg, apart) > 0]
    if not up:
        return None
    pulls = max(winch_n(it, leg, apart) for leg in up)
    return pulls, pulling_line(it, up, pulls)


def _pulls_too_n(it: Situation, line: Line, legs: Sequence[Leg]) -> float:
    """Return what is in the line that holds it on the legs of one slope while it pulls it up them; 0 where
    another line or people do that.
    """
    found = pulled_up(it, legs)
    by = None if found is None else found[1]
    return by.pull_n if by is not None and by.anchors == line.anchors else 0.0


def _in_it_n(it: Situation, line: Line, legs: Sequence[Leg]) -> float:
    """Return the most that is in a line that holds it on the legs of one slope, or also pulls it up."""
    return max(line.pull_n, _pulls_too_n(it, line, legs))


def _pulls_by_what_holds(it: Situation, room: Room, legs: Sequence[Leg], force_n: float) -> bool:
    """Tell whether one line pulls it up a slope and holds it there."""
    holds, pulls = _held_in(it, room), pulling_line(it, legs, force_n)
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
    line = _held_in(it, leg.room)
    return "" if line is None else f", on the line to {line.named}"


def _tackle_words(start_n: float, keep_n: float, by: str) -> str:
    """Say what a winch or tackle has to do, each force by its name: to start and to pull it."""
    if start_n > keep_n:
        return f"{by}: {newtons(start_n)} to start, {newtons(keep_n)} to pull"
    return f"{by} for {newtons(start_n)}"


def pulls_n(winch: Gear) -> float | None:
    """Return what a winch pulls in N, by its plate and by its line; None where neither is told."""
    by = [winch.capacity_kg * G_M_S2] if winch.capacity_kg is not None else []
    by += [winch.line_kn * 1000] if winch.line_kn is not None else []
    return min(by, default=None)


def winches_told(it: Situation) -> list[Gear]:
    """Return the winches told of."""
    return [g for g in it.scene.shop.gear.values() if g.kind == "winch"]


def _weakest(it: Situation, force_n: float, but: Gear | None = None) -> Gear | None:
    """Return the weakest winch told to pull so much, besides one; None where none is."""
    told = (g for g in winches_told(it) if g is not but)
    enough = [(n, g.key, g) for g in told if (n := pulls_n(g)) is not None and n >= force_n]
    return min(enough, key=lambda each: each[:2])[2] if enough else None


def _holder(it: Situation) -> Gear | None:
    """Return the winch told of whose line holds it on slopes; None where no line does, or none is strong
    enough.
    """
    if it.kind == "by hand":
        return None
    rooms = dict.fromkeys(leg.room.key for leg in it.legs if let_go_n(it, leg) > 0)
    there = [[leg for leg in it.legs if leg.room.key == key] for key in rooms]
    lines = [(line, legs) for legs in there if (line := holding_line(it, legs)) is not None]
    return _weakest(it, max(_in_it_n(it, line, legs) for line, legs in lines)) if lines else None


def puller(it: Situation, force_n: float, *, holds: bool = False) -> tuple[str, str]:
    """Name the weakest winch told of that pulls so much, and say what it pulls; ('', '') with none told of.

    The one that holds it on slopes pulls nothing else, where another does. Where those told of are too weak a
    stronger one is named so; of what none is told it is said to be asked.
    """
    holder = _holder(it)
    enough = (
        _weakest(it, force_n, holder)
        if not holds
        else holder
        if holder and _can_pull(holder, force_n)
        else None
    )
    enough = enough or _weakest(it, force_n)
    if enough is not None:
        return enough.name, f", which pulls {newtons(pulls_n(enough) or 0.0)}"
    told = winches_told(it)
    known = [(n, g) for g in told if (n := pulls_n(g)) is not None]
    unknown = next((g for g in told if pulls_n(g) is None), None)
    if unknown is not None:
        return unknown.name, ", if its plate and line say so: what it pulls is not told"
    if known:
        n, g = max(known, key=lambda each: (each[0], each[1].key))
        return f"stronger winch than {g.name}", f"; {g.name} pulls {newtons(n)}"
    return "", ""


def _can_pull(winch: Gear, force_n: float) -> bool:
    """Tell whether a winch is told to pull so much."""
    return (pulls_n(winch) or 0.0) >= force_n


def rolls_as_taken(it: Situation) -> Iterator[Part]:
    """Make an even and clean floor a condition of each room where people push and could not on an uneven
    one; it is told or accepted once, for all moves.

    What tips soon is moved by one person or none.
    """

    most = 1 if delicate(it) else it.own["pushers"]

    def few(force: float) -> bool:
        return men_for(force) <= most

    hang = [leg.room for leg, found in pushes(it) if few(found.steady_n) and not few(found.greatest_n)]
    yield from (even_floor(room) for room in dict.fromkeys(hang))


def even_floor(room: Room) -> Part:
    """Return the condition that a floor is even and clean: of the room alone, whatever is moved over it."""
    text = (
        f"whether the floor of {room.name} is even and clean is not told: 2 % of the weight keeps a load "
        f"going where it is, up to 10 % where it is not; rooms: {room.key}: {{even: yes}} tells it"
    )
    words = f"even and clean: {room.name}"
    return EVEN.only((f"room:{room.key}",), words, text, judged=False, room=room.key)


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


# --- running away -------------------------------------------------------------------------------------------


def let_go_n(it: Situation, leg: Leg) -> float:
    """Return the force that holds it straight uphill; 0: it stays.

    Resistance counts for nothing here: the 2 % of HSE L23 is for how hard to push, no least of any wheel.
    """
    slope, whole = leg.slope, it.whole_kg or it.load.mass_kg
    return 0.0 if slope is None or whole is None else downhill_n(whole, slope.fall)


def held_by_hand(it: Situation, legs: Sequence[Leg]) -> bool:
    """Tell whether people hold it on the legs of one slope: no steeper than it rolls by itself on, few enough
    of them, no line from above and no brake told of that would.
    """
    return _few_hold(it, legs[0]) and not _braked(it) and holding_line(it, legs) is None


def _braked(it: Situation) -> bool:
    """Tell whether it has a brake that holds it where it stands, whoever puts that on."""
    return bool(it.gear.gear.brake or it.gear.gear.brakes_itself)


def _brake_stops(it: Situation) -> bool:
    """Tell whether its brake stops it on the way, too: by itself, or by who steers a truck at its handle."""
    return bool(it.gear.gear.brakes_itself) or (_braked(it) and it.kind == "pallet truck")


def _few_hold(it: Situation, leg: Leg) -> bool:
    return not is_steep(leg.slope) and _few_keep(it, let_go_n(it, leg))


def _few_keep(it: Situation, force_n: float) -> bool:
    """Tell whether few enough people keep hold of it against a force."""
    return force_n <= it.own["pushers"] * ONE_MAN_KEEP_N


def runs_away(it: Situation) -> Iterator[Part]:
    """Judge what happens when it is let go: a brake that holds it, or a line from above to a named point.

    People alone never hold it, and nobody may accept that nothing does.
    """
    if it.kind == "by hand":
        return
    every = [leg for leg in it.legs or _standing(it) if leg.slope is not None and leg.slope.fall > 0]
    for key in dict.fromkeys(leg.room.key for leg in every):
        legs = [leg for leg in every if leg.room.key == key]
        room, slope = legs[0].room, legs[0].slope
        held = None if it.load.mass_kg is None or slope is None else _runs_in(it, legs)
        if held is not None and (it.whole_kg is not None or held.verdict is Verdict.NO):
            yield held
        elif slope is not None:
            text = f"{it.name} let go on {show_slope(slope.fall)} in {room.name}: {HOW_MUCH}"
            yield RUNS.open((*it.subjects, f"room:{key}"), text, ask_mass(it), room=key)


HOW_MUCH = "with how much it runs is not known"


def holding_line(it: Situation, legs: Sequence[Leg]) -> Line | None:
    """Return the line from above that holds it on the legs of one slope, from before its first wheel is on it
    until its last is off; None where none does, or where a brake holds it better.
    """
    stays = _stays(it, legs)
    line = best_line(it, _uphill(it, legs), let_go_n(it, legs[0]), stays.surely_deg)
    poor = line is None or line.holds is not True or far_off(it, line) or line.aside_deg > stays.most_deg
    return None if poor and _braked(it) else line


def _held_in(it: Situation, room: Room) -> Line | None:
    """Return the line from above that holds it on the slope of a room; None where none does."""
    legs = [leg for leg in it.legs if leg.room.key == room.key]
    return holding_line(it, legs) if legs else None


class _Stays(NamedTuple):
    """How far aside a line may lie that holds it, in deg, before its wheels roll sideways and it swings: on
    good wheels, at the most; and what the wheels resist there at the most, in N.
    """

    surely_deg: float
    most_deg: float
    most_n: float


def _stays(it: Situation, legs: Sequence[Leg]) -> _Stays:
    """Return how far aside a line may lie that holds it on the legs of one slope.

    F tan a drags it across the slope. What turns freely resists that by rolling alone; what only rolls
    straight on does so along its axis, and across it by friction, which is no figure here.
    """
    slope = legs[0].slope
    share = 1.0
    if slope is not None and it.gear.steering == "axis":
        turned = (p.turn_deg + it.gear.axis_deg - slope.towards_deg for leg in legs for p in leg.poses)
        share = max((abs(math.sin(math.radians(t))) for t in turned), default=0.0)
    return _stays_by(it, legs[0].room, let_go_n(it, legs[0]), 0.0 if slope is None else slope.fall, share)


def _stays_by(it: Situation, room: Room, force_n: float, fall: float, share: float = 1.0) -> _Stays:
    """Return how far aside a line may lie that holds so much, of whose drag a share is along its wheels."""
    whole = it.whole_kg or it.load.mass_kg or 0.0
    resists = [rolling_n(whole, mu, fall) for mu in (ROLLING[0], _rolling_on(room)[1])]
    least, most = (math.degrees(math.atan2(n, force_n * share)) for n in resists)
    return _Stays(least, most, resists[1])


def _uphill(it: Situation, legs: Sequence[Leg]) -> list[Pull]:
    """Return where a line holds it on the legs of one slope: straight uphill, from its first wheel on it."""
    slope = legs[0].slope
    if slope is None:
        return []
    up = math.radians(slope.towards_deg + 180.0)
    every = (*(p for leg in legs for p in leg.poses), *_partly_on(it, legs[0].room))
    return [Pull(p, up, slope=slope) for p in every]


def _partly_on(it: Situation, room: Room) -> list[Pose]:
    """Return the poses of the way with its middle off the floor of a room and a wheel or foot on it."""
    return it.on(room, (pose for leg in it.legs if leg.room.key != room.key for pose in leg.poses))


def _runs_in(it: Situation, legs: Sequence[Leg]) -> Part:
    """Judge what happens when it is let go on the legs of one slope."""
    room, gear, slope = legs[0].room, it.gear.gear, legs[0].slope
    assert slope is not None
    force = let_go_n(it, legs[0])
    subjects = (*it.subjects, f"room:{room.key}")
    runs = (
        f"{it.name} let go on {show_slope(slope.fall)} in {room.name} runs "
        f"{towards_words(slope.towards_deg)} with {newtons(force)}"
    )
    more: dict[str, Any] = {"measured": force, "limit": 0.0, "unit": "N", "room": room.key}
    line = holding_line(it, legs)
    if line is None and _braked(it):
        return _brake_holds(it, room, force, runs, subjects, more)
    if line is not None:
        text = f"{runs}: a line to {line.placed}, {newtons(line.pull_n)}, {_aside(line)} uphill, and chocks"
        text += _drags(force, line, "; ")
        by = puller(it, _in_it_n(it, line, legs), holds=True)[0]
        text += f"; {by or 'a winch or tackle'} keeps it tight: let out as "
        text += "it goes down, taken in as it comes up"
        if len(line.anchors) > 1:
            text += "; chocked while the line is changed"
        stays = _stays(it, legs)
        text += _swings(it, line, stays)
        against = _against_line(it, line, subjects, text, more)
        pulls = _pulls_too_n(it, line, legs)
        return against or _line_holds(it, line, stays, subjects, text, more, pulls)
    if _few_hold(it, legs[0]):
        by = "a line or tackle from above, nobody beside it" if delicate(it) else "hand"
        text = f"{runs}: held by {by}, chocked both ways at every halt"
        how = "line holds it" if delicate(it) else "held"
        few = "" if delicate(it) else short_of(it.scene, men_for(force))
        words = f"{how} in {room.name} ({newtons(force)}){few}, chocks at every halt"
        return RUNS.only(subjects, words, text, **more)
    told = any(each.anchors for each in it.scene.shop.rooms.values())
    seen = f"named in {room.name}" if not told else f"in sight of it all along its way in {room.name}"
    hidden = in_the_line(it, _uphill(it, legs), force)
    why = f"no anchor above it is {seen}{barred_words(hidden)}, and {gear.name} is not told to have a brake"
    ask = next((sight.ask for sight in hidden if sight.ask is not None), None)
    if ask is not None:
        return RUNS.open(subjects, f"{runs}: {why}", ask, **more)
    low = legs[-1].poses[-1] if legs[-1].fall >= 0 else legs[0].poses[0]
    spot = _spot_ahead(it, (low.x_mm, low.y_mm), math.radians(slope.towards_deg + 180.0))
    would = None if spot is None else _would(it, _uphill(it, legs), force, spot, it.own["line aside"])
    above = f"a line to a named point above it {(would and would.where) or f'in {room.name}'}"
    named = ((" and ".join(t.name for t in s.in_it), s.anchor.key) for s in hidden)
    cleared = [f"{things} out of the line to {key}" for things, key in named if things]
    ends = (*cleared, f"{above}, {newtons(force)}", "gear whose brake comes on by itself")
    return RUNS.no(subjects, f"{runs}: {why}", ends, **more)


def _brake_holds(
    it: Situation, room: Room, force_n: float, runs: str, subjects: tuple[str, ...], more: dict[str, Any]
) -> Part:
    """Return the condition that a brake holds it; one that somebody has to put on does so at halts, and is no
    second line where one may part.
    """
    gear = it.gear.gear.name
    text = f"{runs}: the brake of {gear} holds it, chocks at every halt"
    if _brake_stops(it):
        text += ", by itself when it is let go" if it.gear.gear.brakes_itself else ", by who steers it"
        return RUNS.only(subjects, f"brake of {gear} tried first, chocks", text, **more)
    key = it.gear.gear.key
    text += f"; on the way somebody has to put it on (gear: {key}: {{brakes itself: yes}} tells otherwise)"
    if _few_keep(it, force_n):
        words = f"brake of {gear} tried first, somebody at it, chocks"
        return RUNS.only(subjects, words, text, **more)
    seconds = math.sqrt(2.0 * (it.whole_kg or it.load.mass_kg or 0.0) / force_n)
    text += f"; where its line parts it is 1 m on in {seconds:.2g} s: a second line to a named point above it"
    return RUNS.only(subjects, f"second line in {room.name}: brake of {gear} for halts only", text, **more)


def _aside(line: Line) -> str:
    """Say how a line lies, of which what it is straight towards is said next."""
    straight = line.aside_deg < STRAIGHT_DEG
    return "straight" if straight else f"{line.aside_deg:.0f} deg aside of straight"


STRAIGHT_DEG = 1.0
"""A line nearer to the way than this is said to lie straight."""


class _MadeFast(NamedTuple):
    """What pulls at the most in a line that drives it (N), how far aside of the way it lies (deg), where that
    is made fast, in a few words how, or what is lacking for it; `below`: that it is not worked from there is
    all that is; `spots`: where a point is lacking.
    """

    most_n: float
    aside_deg: float
    said: str
    few: str
    below: bool = False
    spots: tuple[Point, ...] = ()


def _made_fast(it: Situation, legs: Sequence[Leg], force_n: float) -> _MadeFast:
    """Return how a line is made fast that drives it along legs.

    A point has to lie ahead at every pose: of one that serves only part of the way it is said how far.
    """
    pulled = [leg for leg in legs if _ahead_of(it, leg)]
    if not pulled:
        return _MadeFast(force_n, 0.0, "", "")
    line, without = serves_until(it, pulled, force_n)
    if line is not None and without is None:
        return _fast_to(it, line, force_n)
    assert without is not None
    served = pulled.index(without)
    none = none_along(it, without, force_n)
    if line is None:
        return _MadeFast(force_n, 0.0, none.said, none.few, none.below, none.spots)
    far = show_length(sum(leg.length_mm for leg in pulled[:served]))
    said = f"; made fast to {line.placed} for the first {far} only, {_aside(line)} ahead at the most"
    said += f"{_holds_words(line)}{_drags(force_n, line)}"
    few, below = f"{_too_weak(line)}{none.few}", none.below and line.holds is True
    return _MadeFast(line.pull_n, line.aside_deg, f"{said}{none.said}", few, below, none.spots)


def serves_until(it: Situation, legs: Sequence[Leg], force_n: float) -> tuple[Line | None, Leg | None]:
    """Return the line that pulls it along legs with a force, and the first that it does not serve (None: it
    serves them all).
    """
    pulled = [leg for leg in legs if _ahead_of(it, leg)]
    line = pulling_line(it, pulled, force_n)
    if line is not None or not pulled:
        return line, None
    line, served = _serves(it, [(leg, force_n) for leg in pulled[:-1]])
    return line, pulled[served]


def _fast_to(it: Situation, line: Line, force_n: float) -> _MadeFast:
    """Return how a line is made fast that pulls it with a force all along."""
    said, few = _fast_words(it, line, force_n), _fast_few(it, line)
    return _MadeFast(line.pull_n, line.aside_deg, said, few)


def _serves(it: Situation, legs: Sequence[tuple[Leg, float]]) -> tuple[Line | None, int]:
    """Return the line that pulls it along as many as can be of some legs in a row, each with the force along
    it, from the first on, and how many those are.
    """
    line, served, force = None, 0, 0.0
    for n, (_, needs) in enumerate(legs, 1):
        force = max(force, needs)
        found = pulling_line(it, [leg for leg, _ in legs[:n]], force)
        if found is None:
            break
        line, served = found, n
    return line, served


def none_along(it: Situation, leg: Leg, force_n: float) -> _NoPoint:
    """Say that no point told of pulls it along a leg, and where one would."""
    last = leg.poses[-1]
    spot = _spot_ahead(it, (last.x_mm, last.y_mm), math.radians(leg.heading_deg or 0.0))
    return _no_point(it, leg, _ahead_of(it, leg), force_n, spot, f"along the {_piece(leg)}")


class Hitch(NamedTuple):
    """What pulls it from the leg at a place of the way on, with how much at the most (N): in a few words, its
    line (None: to no point told of), the points where one is lacking.

    `lacks` says in a few words what is lacking, in full `said`: '' where a point told of holds it.
    """

    at: int
    words: str
    force_n: float
    line: Line | None = None
    spots: tuple[Point, ...] = ()
    lacks: str = ""
    said: str = ""


def pulled_along(it: Situation, legs: Sequence[tuple[int, Leg, float]]) -> Iterator[Hitch]:
    """Say which line pulls it along each straight of some legs, from which of them on.

    Each leg comes with its place on the way and the force along it; one line serves as many as it can, and so
    does a spot where a point would, one named before it if that serves.
    """
    spots: list[Point] = []
    left = [each for each in legs if _ahead_of(it, each[1])]
    said = ""
    while left:
        at, leg, force = left[0]
        legs_left = [(each, needs) for _, each, needs in left]
        line, served = _serves(it, legs_left)
        named: tuple[Point, ...] = ()
        if line is not None:
            words = f"line to {line.called} ({newtons(line.pull_n)} there)"
            lacks, full = f"{_looked_at(it, line, it.own['pull aside'])}{_too_weak(line)}", ""
        else:
            none = none_along(it, leg, force)
            few, named, full = none.few, none.spots, none.said
            if named:
                spots += [spot for spot in named if spot not in spots]
                every = ((_spot_serves(it, legs_left, spot), spot) for spot in spots)
                most, best = max(every, key=lambda each: each[0])
                served = max(1, most)
                few, named = f", point near {show_point(*best)}", (best,)
                force = max(needs for _, needs in legs_left[:served])
            words = f"{puller(it, force)[0] or 'winch or tackle'} for {newtons(force)}{few}"
            lacks = "" if none.block else few
        if words != said:
            needs_n = force if line is None else line.pull_n
            yield Hitch(at, words, needs_n, line, named, lacks.removeprefix(", "), full.removeprefix("; "))
        said, left = words, left[max(1, served) :]


def _spot_serves(it: Situation, legs: Sequence[tuple[Leg, float]], spot: Point) -> int:
    """Return how many of some legs in a row, each with the force along it, a point at a spot would serve,
    until one is told of that does.
    """
    pulls: list[Pull] = []
    force = 0.0
    for n, (leg, needs) in enumerate(legs):
        force = max(force, needs)
        pulls += _ahead_of(it, leg)
        told = n > 0 and pulling_line(it, [leg], needs) is not None
        if told or _downhill(it, leg, spot):
            return n
        if not _would(it, pulls, force, spot, it.own["pull aside"]).spots:
            return n
    return len(legs)


def pulling_line(it: Situation, legs: Sequence[Leg], force_n: float) -> Line | None:
    """Return the line to points ahead that drives it along all of some legs; None where none told of does."""
    line = best_line(it, [pull for leg in legs for pull in _ahead_of(it, leg)], force_n)
    return line if line is not None and _pulls(it, line) else None


def _pulls(it: Situation, line: Line) -> bool:
    """Tell whether a line lies straight enough to pull it, to points told high enough to know how steep."""
    return line.aside_deg <= it.own["pull aside"] and line.high is None


def _looked_at(it: Situation, line: Line, most_deg: float, *, swings: bool = False) -> str:
    """Say in a few words that a line farther aside than so many degrees, or too steep, is looked at first.

    How far aside is no matter where it `swings` round its point, and has a line on either side.
    """
    aside = f", {line.aside_deg:.0f} deg aside" if line.aside_deg > most_deg and not swings else ""
    rise = f", {abs(line.rise_deg):.0f} deg {'up' if line.rise_deg > 0 else 'down'}"
    rise = rise if too_steep(it, line) else ""
    return f"{aside}{rise}{', looked at first' if aside or rise else ''}"


def _fast_few(it: Situation, line: Line) -> str:
    """Say in a few words how high on the thing a line that pulls it is made fast, and what speaks against."""
    return f"{line.up}{_looked_at(it, line, it.own['pull aside'])}{_too_weak(line)}"


def _fast_words(it: Situation, line: Line, force_n: float) -> str:
    """Say where a line that pulls it is made fast, how far aside of the way at worst, and what is in it."""
    said = f"; made fast to {line.placed}{_holds_words(line)}, {_aside(line)} ahead at the most"
    said += f": {newtons(line.pull_n)} in the line{_drags(force_n, line)}"
    winch, load = _weakest(it, line.pull_n), line.load_kn
    pulls = None if winch is None else pulls_n(winch)
    if winch is not None and pulls is not None and load is not None and line.pull_n <= load * 1000 < pulls:
        said += f"; {winch.name} pulls {newtons(pulls)}, more than {line.named} holds: stop where it sticks"
    return said


def _holds_words(line: Line) -> str:
    """Say what the points of a line hold, and that it is too little; '' where that is not told of each."""
    if line.load_kn is None:
        return ""
    return f", which holds {newtons(line.load_kn * 1000)}{' (too little)' if line.holds is False else ''}"


def _too_weak(line: Line) -> str:
    """Say in a few words that a point holds less than pulls at it, or that nobody told what; '' where it does
    hold it.
    """
    if line.holds is None:
        return f", what {line.named} holds looked at first"
    if line.holds:
        return ""
    load = f" ({newtons(line.load_kn * 1000)})" if line.load_kn is not None else ""
    return f", a stronger point than {line.named}{load}"


class _NoPoint(NamedTuple):
    """That no point told of pulls it: in full, and what is lacking in a few words; `below`: that a line is
    not worked from where it runs to if it is let go; `spots`: where one would, as the few words say; `block`:
    that one told of turns the line that does.
    """

    said: str
    few: str
    below: bool = False
    spots: tuple[Point, ...] = ()
    block: bool = False


def _no_point(
    it: Situation, leg: Leg, pulls: Sequence[Pull], force_n: float, spot: Point | None, where: str
) -> _NoPoint:
    """Say that no point told of pulls it, what stands in the lines, and where one would."""
    if any(pull.barred for pull in pulls) if spot is None else _downhill(it, leg, spot):
        return _by_block(it, pulls, force_n, spot, where)
    barred = barred_words(in_the_line(it, pulls, force_n))
    none = f"; no point told of (anchors) pulls it {where}{barred}"
    if spot is None:
        return _NoPoint(f"{none}: none on the wall ahead, a block on the way", ", no wall ahead")
    would = _would(it, pulls, force_n, spot, it.own["pull aside"])
    return _NoPoint(f"{none}: one ahead of it{would.full}", f", {would.few}", spots=would.spots)


class _Would(NamedTuple):
    """Whether a point at a spot would do: in a few words, where it has to be, and in full; `spots`: the spot,
    where the few words name it.
    """

    few: str
    where: str
    full: str
    spots: tuple[Point, ...] = ()


def _would(it: Situation, pulls: Sequence[Pull], force_n: float, spot: Point, most_deg: float) -> _Would:
    """Say whether a point at a spot would do: it is tried against what stands there as a told one is."""
    seen, near = seen_at(it, pulls, force_n, spot), f"near {show_point(*spot)}"
    if names := " and ".join(thing.name for thing in seen.in_it):
        them = "it" if len(seen.in_it) == 1 else "them"
        full = f" {near} would with {names} out of the line, or a block beside {them}"
        return _Would("no clear point", f"{near}, {names} out of the line", full)
    if any(lies is None or lies.aside_deg > most_deg for lies in seen.lies) or any(seen.tips):
        return _Would("point ahead", "", " would, none at the wall is in line: a block on the way")
    high = seen.anchor.height_mm or 0.0
    up = f", {high:.0f} mm up," if seen.fast.raised or high > seen.fast.at_mm else ""
    return _Would(f"point {near}", near, f" {near}{up} would, or a block there", (spot,))


NOT_BELOW = ", not from below"
"""What is lacking where a line would have to be worked from where it runs to if it is let go."""


def _by_block(
    it: Situation, pulls: Sequence[Pull], force_n: float, spot: Point | None, where: str
) -> _NoPoint:
    """Say what pulls it before a slope that it goes down: its winch stands behind it.

    A block at a point below turns the line round: twice the pull is on the point at the most (statics of a
    pulley), and nobody has to be there.
    """
    why = f"; {where} it goes downhill later: nobody works a winch where it would run to"
    line = best_line(it, [pull._replace(barred=frozenset()) for pull in pulls], force_n)
    if line is not None and _pulls(it, line) and len(line.anchors) == 1:
        bears = 2 * line.pull_n
        if line.load_kn is not None and line.load_kn * 1000 >= bears:
            said = f"its line goes by a block at {line.placed}, which bears {newtons(bears)}, nobody there"
            return _NoPoint(
                f"{why}; {said}; the winch stands on the side it comes from",
                f"{_fast_few(it, line)} by a block at {line.named}",
                block=True,
            )
    if spot is None:
        return _NoPoint(f"{why}, and no block turns its line there", NOT_BELOW, below=True)
    would = _would(it, pulls, force_n, spot, it.own["pull aside"])
    block = f"a block that holds {newtons(2 * force_n)}{would.full}"
    said = f"{why}; to turn its line, the winch on the side it comes from: {block}"
    return _NoPoint(said, NOT_BELOW, below=True)


def _drags(force_n: float, line: Line, after: str = ", ") -> str:
    """Say how hard a line that lies aside drags sideways, and one that rises lifts; '' of one that does
    neither.
    """
    said = []
    if line.aside_deg >= STRAIGHT_DEG:
        said.append(f"drags sideways with {newtons(in_line(force_n, line.aside_deg).aside_n)}")
    if line.rise_deg >= STRAIGHT_DEG:
        said.append(f"takes {newtons(line.up_n)} off the front wheels")
    return f"{after}it {' and '.join(said)}" if said else ""


def _piece(leg: Leg) -> str:
    """Say which stretch a leg is: '1200 mm from 3000,5200 in nave'."""
    first = leg.poses[0]
    where = show_point(round(first.x_mm), round(first.y_mm))
    return f"{show_length(leg.length_mm)} from {where} in {leg.room.name}"


def _ahead_of(it: Situation, leg: Leg) -> list[Pull]:
    """Return where a line pulls it on a leg, at both ends of each piece of it, and which way that goes.

    Where it turns about its own wheels it is turned by its handle or by bar, by no line. Before a slope that
    it goes down no line pulls it from below: who works the winch there stands where it comes if it is let go.
    """
    found: list[Pull] = []
    barred = _below(it, leg)
    for a, b in itertools.pairwise(leg.poses):
        far = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        if far >= 1.0 and far > ROUND_ITSELF_MM * math.radians(abs(b.turn_deg - a.turn_deg)):
            way = math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)
            found += [Pull(a, way, barred, leg.slope), Pull(b, way, barred, leg.slope)]
    return found


def _below(it: Situation, leg: Leg) -> frozenset[str]:
    """Return the anchors that lie downhill of a slope that it goes down on this leg or later."""
    every = [a for room in it.scene.shop.rooms.values() for a in room.anchors]
    return frozenset(a.key for a in every if _downhill(it, leg, a.at_mm))


def _downhill(it: Situation, leg: Leg, point: Point) -> bool:
    """Tell whether a point lies downhill of a slope that it goes down on this leg or later."""
    at = next((i for i, each in enumerate(it.legs) if each is leg), 0)
    for later in it.legs[at:]:
        if later.slope is None or later.fall <= 0:
            continue
        down = math.radians(later.slope.towards_deg)
        for pose in (later.poses[0], later.poses[-1]):
            dx, dy = point[0] - pose.x_mm, point[1] - pose.y_mm
            run, across = dx * math.cos(down) + dy * math.sin(down), dy * math.cos(down) - dx * math.sin(down)
            if run > 0 and abs(across) <= run * math.tan(math.radians(it.own["handle aside"])):
                return True
    return False


ROUND_ITSELF_MM = 1000.0
"""What goes round closer than this turns about its own wheels: own figure."""


def _spot_ahead(it: Situation, here: Point, way: float) -> Point | None:
    """Return where a way on from here (rad, shop frame) meets a wall; None where it is there already, and
    where it leaves by a doorway: nothing is made fast in that.
    """
    import shapely

    far = (here[0] + FAR_MM * math.cos(way), here[1] + FAR_MM * math.sin(way))
    ray = shapely.LineString([here, far]).intersection(floor_of(it))
    parts = [p for p in shapely.get_parts(ray) if p.geom_type == "LineString" and not p.is_empty]
    if not parts:
        return None
    first = min(parts, key=lambda p: p.distance(shapely.Point(here)))
    x, y = max(first.coords, key=lambda p: math.dist(p, here))
    passages = (door.passage for door in it.scene.shop.doors.values() if door.passage)
    if any(shapely.Polygon(each).distance(shapely.Point(x, y)) <= JOIN_MM + HAIR_MM for each in passages):
        return None
    return (round(x - JOIN_MM * math.cos(way)), round(y - JOIN_MM * math.sin(way)))


FAR_MM = 1e6
"""Longer than any room."""


def _line_holds(
    it: Situation,
    line: Line,
    stays: _Stays,
    subjects: tuple[str, ...],
    text: str,
    more: dict[str, Any],
    pulls_n: float,
) -> Part:
    """Return the condition that a line holds it, and pulls it up with `pulls_n` if so; one far aside of
    straight is looked at first, and has one on the other side where it swings round it.
    """
    sized, said = _sized(it, line, pulls_n)
    other, first = _besides(it, line, stays)
    chocks = "" if first else ", chocks"
    return RUNS.only(subjects, f"line to {line.called}{other}{first}{sized}{chocks}", f"{text}{said}", **more)


def _besides(it: Situation, line: Line, stays: _Stays) -> tuple[str, str]:
    """Say in a few words what a line that holds it needs besides: one on the other side, a look at it."""
    swings = line.aside_deg > stays.most_deg
    first = _looked_at(it, line, min(stays.surely_deg, it.own["line aside"]), swings=swings)
    sized = newtons(_dragged_n(line) * it.own["line allowance"])
    return f" and one on the other side ({sized})" if swings else "", first


def _dragged_n(line: Line) -> float:
    """Return how hard a line that holds it drags it sideways at the most, in N."""
    aside, rise = math.radians(line.aside_deg), math.radians(line.rise_deg)
    return line.pull_n * math.cos(rise) * math.sin(aside)


def other_side_n(it: Situation, line: Line, legs: Sequence[Leg]) -> float:
    """Return what a line on the other side of one that holds it on a slope has to take; 0 where none has to
    be, as its wheels resist so much.
    """
    return _dragged_n(line) if line.aside_deg > _stays(it, legs).most_deg else 0.0


def _swings(it: Situation, line: Line, stays: _Stays) -> str:
    """Say that it swings round the point of a line that drags it sideways harder than its wheels resist; ''
    where they do for certain.
    """
    if line.aside_deg <= stays.surely_deg:
        return ""
    named, gear, most = line.named, it.gear.gear.name, newtons(stays.most_n)
    if line.aside_deg <= stays.most_deg:
        return f"; on good wheels it swings round {named}, {gear} resists {most} sideways at the most"
    return (
        f"; {gear} resists {most} sideways at the most, so it swings round {named}: a second line on the "
        f"other side that takes {newtons(_dragged_n(line))}, or a point within {stays.surely_deg:.0f} deg of "
        "straight"
    )


def _against_line(
    it: Situation, line: Line, subjects: tuple[str, ...], text: str, more: dict[str, Any]
) -> Part | None:
    """Return what speaks against a line: a point that holds less than it pulls, or one nobody told of."""
    if line.holds is None:
        return RUNS.open(subjects, text, line.high or _ask_load(it, line), **more)
    if not line.holds:
        load = line.load_kn or 0.0
        text += f"; {line.named} holds {newtons(load * 1000)}"
        return RUNS.no(subjects, text, ("a stronger anchor",), **more)
    return None


def _sized(it: Situation, line: Line, pulls_n: float = 0.0) -> tuple[str, str]:
    """Return what the line is to be sized for and why: it holds, and may have to catch what moves; one that
    also pulls it up, with so much in it, for the greater of both, that first.
    """
    times = it.own["line allowance"]
    size, load = line.pull_n * times, line.load_kn
    said = f"{times:g} times that, {newtons(size)}, as it may have to catch it moving (own figure)"
    taut = load is not None and load * 1000 < size
    slack = ", never slack" if taut else ""
    if taut:
        said += f": {line.named} holds it, no more, so the line is never slack"
    if not pulls_n:
        return f", for {newtons(size)}{slack}", f"; sized for {said}"
    each = [(pulls_n, f"pulls {newtons(pulls_n)}"), (size, f"catches {newtons(size)}{slack}")]
    words = ", ".join(word for _, word in sorted(each, reverse=True))
    pulls = f"; the same line pulls it up, {newtons(pulls_n)} in it, to {line.named}"
    pulls += _holds_words(replace(line, holds=load is None or load * 1000 >= pulls_n))
    return f": {words}", f"{pulls}; sized for {newtons(max(size, pulls_n))}, the greater of that and {said}"


def _ask_load(it: Situation, line: Line) -> Ask:
    anchor = next(a for a in line.anchors if a.load_kn is None)
    room = next(room.key for room in it.scene.shop.rooms.values() if anchor in room.anchors)
    set_by = f"rooms: {room}: {{anchors: {{{anchor.key}: {{load: 10 kN}}}}}}"
    return Ask(f"what does {anchor.key} hold?", set_by, 2)


def _standing(it: Situation) -> tuple[Leg, ...]:
    """Return where it stands now as a leg of its own: a slope there holds it back before any way is known."""
    pose, key = it.body.pose, it.body.room
    return () if pose is None or key is None else (Leg(it.scene.shop.rooms[key], None, (pose,)),)


def slopes_told(it: Situation) -> Iterator[Part]:
    """Ask how a yard falls, and for a dry even floor there; indoors a floor not told of is taken as level."""
    for room in it.rooms:
        if not room.outdoor:
            continue
        subjects = (*it.subjects, f"room:{room.key}")
        if room.slope is None:
            text = f"how {room.name} falls is not told, and outdoors nothing is taken as level"
            ask = Ask(
                f"how does {room.name} fall? ({{fall: 1 in 50, towards: 270}}, or none)",
                f"rooms: {room.key}: {{slope: none}}",
                1,
            )
            yield OUTDOORS.open(subjects, text, ask, room=room.key)
        words = f"{room.name} dry, swept, free of ice"
        yield OUTDOORS.only((*subjects, "dry"), words, f"{words}; looked at first", room=room.key)


def taken_as_level(it: Situation) -> Iterator[Part]:
    """Name the floors indoors whose fall nobody told; looked at first where little tilt is left."""
    rooms = [room for room in it.rooms if room.slope is None and not room.outdoor]
    if not rooms or it.kind == "by hand":
        return
    least, _ = reserve_of(it, 0.0, None, raised=True)
    named = ", ".join(room.name for room in rooms)
    subjects = (*it.subjects, *(f"room:{room.key}" for room in rooms))
    text = f"taken as level: {named}; how the floor falls is not told"
    if least is not None and least.deg < it.own["tip notice"]:
        text += f", and {least.deg:.1f} deg of tilt are left" if least.deg > 0 else ", and it tips even so"
        yield LEVEL.only(subjects, f"level: {named}", text, measured=least.deg, unit="deg")
    else:
        yield LEVEL.note(subjects, text)


def steepest_room(it: Situation) -> Room | None:
    """Return the steepest room it rolls over that is steeper than 1 in 50; without a way, of those it has to
    pass and both its ends.
    """
    rooms = [leg.room for leg in it.legs] or [*it.rooms, it.scene.shop.rooms[it.goal.room]]
    steep = [r for r in rooms if is_steep(r.slope)]
    return max(steep, key=lambda r: r.slope.fall if r.slope is not None else 0.0, default=None)


def slope_gear(it: Situation) -> Iterator[Part]:
    """Judge whether the gear may be used on the slope at all."""
    room = steepest_room(it)
    if room is None or room.slope is None:
        return
    gear, fall = it.gear.gear, room.slope.fall
    subjects = it.subjects
    more: dict[str, Any] = {"measured": fall, "limit": SLOPING, "unit": "slope", "room": room.key}
    where = f"{room.name} falls {show_slope(fall)}"
    if it.kind in NEVER_ON_SLOPES:
        text = f"{where}: a loaded {it.kind} is never moved on more than 1 in 50"
        yield SLOPE_GEAR.no(subjects, text, ("other gear on the slope",), **more)
    elif it.kind == "by hand":
        yield SLOPE_GEAR.only(
            subjects, "assessed on the spot: carried on a slope", f"{where}: no figure for teams", **more
        )
    elif gear.steepest is None:
        text = f"{where}; what slope the handbook of {gear.name} allows is not told"
        ask = Ask(
            f"what slope does the handbook of {gear.name} allow?",
            f"gear: {gear.key}: {{steepest: 1 in 25}}",
            1,
        )
        yield SLOPE_GEAR.open(subjects, text, ask, **more)
    elif fall > gear.steepest * (1 + 1e-9):
        text = f"{where}; the handbook of {gear.name} allows {show_slope(gear.steepest)}"
        yield SLOPE_GEAR.no(subjects, text, ("other gear on the slope",), **{**more, "limit": gear.steepest})
    else:
        text = (
            f"{where}, within {show_slope(gear.steepest)} of the "
            f"handbook of {gear.name}; outside EN ISO 3691-5"
        )
        yield SLOPE_GEAR.note(subjects, text, **{**more, "limit": gear.steepest})


def turns_on_slope(it: Situation) -> Iterator[Part]:
    """Judge turning, lifting and standing on a slope."""
    if it.kind == "by hand":
        return
    if it.kind in JACKED or it.gear.steering == "axis":
        yield from _off_its_wheels(it)
    steep = it.steep()
    if not steep:
        return
    if it.gear.steering != "axis":
        yield from _turned(it, steep)
    both = (("at the start", it.legs[0]), ("at the goal", it.legs[-1]))
    ends = [(where, leg.room) for where, leg in both if leg in steep]
    if ends:
        which, room = " and ".join(where for where, _ in ends), ends[0][1]
        subjects = (*it.subjects, f"room:{room.key}", "stands")
        text = f"{it.name} stands on the slope of {room.name} {which}: chocked both ways on two wheels"
        yield TURNS.only(subjects, f"chocked both ways {which}", text, room=room.key)


def _off_its_wheels(it: Situation) -> Iterator[Part]:
    """Judge each place where it is jacked, or straight gear set round: wedged and held on a slope, and on one
    steeper than it rolls by itself on none is turned.
    """
    gear, least = it.gear.gear.name, it.own["jack on slope"]
    for room in it.scene.shop.rooms.values():
        fall = 0.0 if room.slope is None else room.slope.fall
        if fall <= least:
            continue
        there = [place for place in places_off_wheels(it) if it.on(room, place.poses)]
        jacked = [place for place in there if place.end != "way" or not is_steep(room.slope)]
        for end in dict.fromkeys(place.end for place in jacked if it.kind in JACKED):
            yield _wedged(it, room, [place for place in jacked if place.end == end])
        for place in (each for each in there if each not in jacked):
            far = max(_over_mm(it, pose, room) for pose in place.poses)
            by = abs(place.poses[-1].turn_deg - place.poses[0].turn_deg)
            # That none was found proves none: it forbids nothing, and nobody may take it for a way.
            text = (
                f"{it.name} turns {by:.0f} deg on the slope of {room.name}, {place.where}, "
                f"{show_length(far)} of what it stands on over the slope of {room.name}: no "
                "way was found that turns it on the level alone, nor that there is none, and "
                f"{gear} is turned by bar or jack, which holds nothing"
            )
            more: dict[str, Any] = {"limit": 0.0, "unit": "mm", "room": room.key}
            yield TURNS.open((*it.subjects, f"room:{room.key}"), text, measured=far, **more)


def _wedged(it: Situation, room: Room, there: Sequence[_Place]) -> Part:
    """Return the condition that it is wedged and held where it is jacked on a fall: where it starts, where it
    ends, or at each place on its way; about what stands `over` a slope another spot may end it.
    """
    assert room.slope is not None
    fall, end = show_slope(room.slope.fall), there[0].end
    text = (
        f"{it.name} is jacked on {fall} in {room.name}, {'; '.join(p.where for p in there)}: wedges both "
        "ways, what holds it on, packing under both ends, all before a jack lifts"
    )
    if is_steep(room.slope):
        text += f"; steeper than {show_slope(SLOPING)} each jack stands on level packing, looked at first"
    holds, which = "held" if _held_in(it, room) is None else "line on", AT_END[end]
    level = ", jacks on level packing" if is_steep(room.slope) else ""
    words = f"jacked on {fall.partition(' (')[0]}, {which}: wedges{level}, {holds}"
    figures: dict[str, Any] = {
        "measured": room.slope.fall,
        "limit": it.own["jack on slope"],
        "unit": "slope",
        "room": room.key,
    }
    over = ("over",) if is_steep(room.slope) and any(p.room != room.key for p in there) else ()
    return TURNS.only((*it.subjects, f"room:{room.key}", "jacked", end, *over), words, text, **figures)


AT_END = {"start": "start", "goal": "goal", "way": "turns"}
"""Where it is jacked, in one word."""


class _Place(NamedTuple):
    """Where it is off its wheels: which (start, goal, way), in words, its poses, its room."""

    end: str
    where: str
    poses: tuple[Pose, ...]
    room: str | None


def places_off_wheels(it: Situation) -> Iterator[_Place]:
    """Go through the places where it is jacked, and where straight gear is set round."""
    if it.body.pose is not None and not it.begins_on_gear:
        yield _Place("start", "where it stands", (it.body.pose,), it.body.room)
    if it.goal_pose is not None:
        yield _Place("goal", f"in {it.goal.name}", (it.goal_pose,), it.goal.room)
    for turn in it.set_round:
        at = show_point(round(turn.pose.x_mm), round(turn.pose.y_mm))
        yield _Place("way", f"at {at}", turn.poses, it.legs[turn.at].room.key)


def _over_mm(it: Situation, pose: Pose, room: Room) -> float:
    """Return how far what touches the floor reaches over the slope of a room, along its fall."""
    import shapely

    assert room.slope is not None
    on_it = shapely.Polygon(placed(it.gear.touching, pose)).intersection(shapely.Polygon(room.outline))
    far = [along((x, y), room.slope.towards_deg) for x, y in shapely.get_coordinates(on_it)]
    return max(far) - min(far) if far else 0.0


def _turned(it: Situation, steep: Sequence[Leg]) -> Iterator[Part]:
    """Judge how far gear that is steered turns on slopes, the worst of them."""
    limit = it.own["turn on slope"]
    by, turned = 0.0, steep[0]
    for leg in steep:
        turns = [t for each in steep if each.room is leg.room for t in each.turned_deg]
        if max(turns) - min(turns) > by:
            by, turned = max(turns) - min(turns), leg
    if by > limit:
        subjects = (*it.subjects, f"room:{turned.room.key}")
        text = f"{it.name} turns {by:.0f} deg on the slope of {turned.room.name}"
        sought = turned_where_told(it.gear)
        text += ", no way was found that turns it on the level alone" if sought else NOT_SOUGHT
        more: dict[str, Any] = {"measured": by, "limit": limit, "unit": "deg", "room": turned.room.key}
        if it.kind in NEVER_ON_SLOPES:
            # That none was found proves none: it forbids nothing, and nobody may take it for a way.
            text += ", nor that there is none" if sought else ""
            text += f": {it.gear.gear.name} is turned by bar or jack, which holds nothing"
            yield TURNS.open(subjects, text, **more)
        else:
            yield TURNS.only(subjects, "held by line or chock while it turns", text, **more)


NOT_SOUGHT = "; a way that turns it on the level alone was not looked for"


def set_round(it: Situation) -> Iterator[Part]:
    """Name each turn of gear that only rolls straight on: it stands there, and the gear is set round."""
    turns = it.set_round
    if not turns:
        return
    places = ", ".join(f"{t.pose.x_mm:.0f},{t.pose.y_mm:.0f} by {abs(t.by_deg):.0f} deg" for t in turns)
    how = "jacked" if it.kind in JACKED[:2] else "barred"
    often = "once" if len(turns) == 1 else f"{len(turns)} times"
    text = f"{it.gear.gear.name} only rolls straight on: {it.name} is {how} and set round at {places}"
    words = f"{how} and set round {often} on the way"
    spots = [(t.pose.x_mm, t.pose.y_mm) for t in turns]
    yield ROUND.only(it.subjects, words, text, spots=spots, measured=float(len(turns)), unit="count")


def handle_uphill(it: Situation) -> Iterator[Part]:
    """Judge where who steers stands on each slope: never downhill of the load, nobody below it there or where
    it would run to.
    """
    steep = [leg for leg in it.legs or _standing(it) if is_steep(leg.slope)]
    if it.kind == "by hand":
        return
    for room in dict.fromkeys(leg.room for leg in steep):
        assert room.slope is not None
        legs = [leg for leg in steep if leg.room is room]
        handles = (pose.turn_deg + it.gear.axis_deg + 180.0 for leg in legs for pose in leg.poses)
        worst = min(abs(turn_between(handle, room.slope.towards_deg)) for handle in handles)
        subjects = (*it.subjects, f"room:{room.key}")
        limit = it.own["handle aside"]
        more: dict[str, Any] = {"measured": worst, "limit": limit, "unit": "deg", "room": room.key}
        if it.kind == "pallet truck" and worst < limit:
            text = (
                f"the handle of {it.gear.gear.name} points downhill in {room.name}: who steers is below the "
            )
            text += "load"
            yield HANDLE.no(
                subjects, text, ("forks from the other side", "turned on the level first"), **more
            )
            continue
        far, below = _runs_out_mm(room, legs), _rooms_below(it, room, legs)
        text = (
            f"nobody stands below {it.name} in {room.name}, from it down to the wall or where it would stop"
        )
        text += f"; let go at the top it runs {show_length(far)} beyond its foot where 2 % slows it, farther "
        text += "where less does"
        named = [room.name, *(each.name for each in below)]
        text += f"; next below, straight down from it: {listed(named[1:], 3)}" if below else ""
        about = (*subjects, *(f"below:{each.key}" for each in below))
        yield HANDLE.only(about, f"nobody below it in {' or '.join(named)}", text, **more)


def _rooms_below(it: Situation, room: Room, legs: Sequence[Leg]) -> list[Room]:
    """Return the rooms that it comes to straight down a slope, let go anywhere on its way there: through a
    doorway at its foot, or below an open pit or hatch that it comes over.
    """
    import shapely

    assert room.slope is not None
    c, s = cos_sin(room.slope.towards_deg)
    foot = max(along(corner, room.slope.towards_deg) for corner in room.outline)
    far = foot + _runs_out_mm(room, legs)
    start, swept = shapely.Polygon(room.outline), []
    for pose in (pose for leg in legs for pose in leg.poses):
        stands = shapely.get_coordinates(start.intersection(shapely.Polygon(placed(it.hull, pose)))).tolist()
        out = max((far - along((x, y), room.slope.towards_deg) for x, y in stands), default=0.0)
        swept.append(shapely.MultiPoint([*stands, *((x + out * c, y + out * s) for x, y in stands)]))
    reached = shapely.intersection(shapely.convex_hull(swept), floor_of(it))
    runs = [part for part in shapely.get_parts(reached) if part.intersects(start)]
    every = (other for other in it.scene.shop.rooms.values() if other is not room)
    found = [
        other
        for other in every
        if any(part.intersection(shapely.Polygon(other.outline)).area > NEXT_MM**2 for part in runs)
    ]
    holes = open_holes(it.scene.shop, [each.outline for each in (room, *found)])
    over = [hole for hole in holes if any(part.intersects(shapely.Polygon(hole.outline)) for part in runs)]
    rooms = it.scene.shop.rooms
    deeper = [rooms[hole.to] for hole in over if hole.to is not None and hole.to in rooms]
    return list(dict.fromkeys([*found, *deeper]))


NEXT_MM = 50.0
"""So far into a room, and so wide, it comes to it: own figure."""


def _runs_out_mm(room: Room, steep: Sequence[Leg]) -> float:
    """Return how far it runs on the level beyond the foot of a slope, let go at the top of its way on it: the
    height it comes down over 2 % of rolling resistance.
    """
    assert room.slope is not None
    poses = [pose for leg in steep if leg.room is room for pose in leg.poses]
    top = min(along((pose.x_mm, pose.y_mm), room.slope.towards_deg) for pose in poses)
    foot = max(along(corner, room.slope.towards_deg) for corner in room.outline)
    return (foot - top) * room.slope.fall / SLOPING


# --- sills
# ----------------------------------------------------------------------------------------------------


def sills(it: Situation) -> Iterator[Part]:
    """Judge every wheel that meets a sill together against what pulls; a ramp where that is too much.

    A sill nobody told is not taken to be none: indoors that there is none is a condition, at a yard it is
    asked. The edge of plates over a cover is one, as high as they are thick.
    """
    for door in it.doors:
        if door.threshold_mm is None:
            yield _sill_not_told(it, door)
    if it.kind == "by hand":
        yield from _carried_over(it)
        return
    for edge in it.edges:
        yield from _sill(it, edge)
        yield from _askew(it, edge)
    for laid in it.laid:
        if laid.gear.height_mm is None:
            yield _thickness_not_told(it, laid)


def _carried_over(it: Situation) -> Iterator[Part]:
    """Say of each sill that a team carries it over that no figure for teams holds there."""
    for edge in it.edges:
        text = f"{it.name} is carried over {edge.named} ({show_length(edge.height_mm)}): no figure for teams"
        words = f"assessed on the spot: carried over {edge.named}, {show_length(edge.height_mm)}"
        more: dict[str, Any] = {"measured": edge.height_mm, "limit": 0.0, "unit": "mm", "room": edge.room}
        yield SILL.only((*it.subjects, *edge.subjects), words, text, **more)


def _askew(it: Situation, edge: Edge) -> Iterator[Part]:
    """Say of an edge that the way found does not meet square that it is squared up before it: else the wheels
    of an axle go over one after the other. What is laid there lies under the tracks as found, not under those
    of a way squared up: neither is judged then.
    """
    angle = min((side.angle_deg for side in sides_crossed(it, edge.outline, 0.0)), default=90.0)
    square = 90.0 - it.own["sill aside"]
    if angle >= square:
        return
    text = (
        f"{it.name} meets {edge.named} at {angle:.0f} deg on the way found, where the wheels of an axle go "
        "over one after the other; that no way meets it square is not proved"
    )
    subjects = (*it.subjects, *edge.subjects, "askew")
    more: dict[str, Any] = {"measured": angle, "limit": square, "unit": "deg", "room": edge.room}
    if it.ramps_at(edge) is not None or not edge.is_sill:
        text += "; what is laid there lies for that way, for one squared up it was not looked at"
        yield SILL.open(subjects, text, **more)
    else:
        yield SILL.only(subjects, f"squared up before {edge.name}, {angle:.0f} deg as found", text, **more)


def _thickness_not_told(it: Situation, laid: Laid) -> Part:
    gear = laid.gear
    text = f"how thick {gear.name} is is not told: wheels up its edge over {laid.name} are not checked"
    subjects = (*it.subjects, *laid.covers, f"gear:{gear.key}", AT_PLATE)
    return SILL.open(subjects, text, _ask_thickness(gear), room=laid.room)


def _sill_not_told(it: Situation, door: Door) -> Part:
    subjects = (*it.subjects, f"door:{door.key}", "not told")
    text = f"whether {door.name} has a sill or step is not told: wheels over it are not checked"
    ask = Ask(f"how high is the sill of {door.name}?", f"doors: {door.key}: {{threshold: 0}}", 1)
    rooms = it.scene.shop.rooms
    if any(key in rooms and rooms[key].outdoor for key in (door.room, door.to)):
        return SILL.open(subjects, text, ask, room=door.room)
    words = f"no sill at {door.name}, looked at first"
    return SILL.only(subjects, words, f"{text}; {ask.set} tells it", judged=False, room=door.room)


def ramps(it: Situation) -> tuple[Ramps, ...]:
    """Return what is laid at the edges of the way: of ramps and plates told of what lacks least there.

    Those that meet it come before none at all, and of that and plates that lean on it what pulls least. Where
    there are too few of one kind to lie at every edge at once, another is laid where nothing forbids it.
    """
    if it.kind == "by hand":
        return ()
    found = (by_lack(it, edge)[0][1] for edge in it.edges)
    return tuple(each for each in found if each is not None)


def by_lack(it: Situation, edge: Edge) -> list[tuple[Verdict, Ramps | None]]:
    """Return what may be laid at an edge, None for nothing, what lacks least first, with the worst of what is
    judged of it.
    """
    meets = meeting(it, edge)
    every: list[Ramps | None] = [*meets, None, *(_sagging(it, each) for each in leaning(it, edge))]

    def lacks(laid: Ramps | None) -> tuple[Verdict, bool, float]:
        at = replace(it, ramps=() if laid is None else (laid,))
        parts = [*_sill(at, edge), *tips_at(at, edge)]
        worst = max((p.verdict for p in parts), default=Verdict.YES)
        bare = laid is None and worst > Verdict.ASKED  # what a plate lacks says more
        return worst, bare, -1.0 if laid in meets else max(map(_pull_n, parts), default=0.0)

    found = sorted(((lacks(laid), n) for n, laid in enumerate(every)))
    return [(worst, every[n]) for (worst, *_), n in found]


def _pull_n(part: Part) -> float:
    """Return what a condition pulls over an edge, in N; 0 where it is about something else."""
    found = row_of(part).finding
    pulls = part.verdict is Verdict.ASKED and found.rule in (SILL.key, PUSH.key) and found.unit == "N"
    return found.measured or 0.0 if pulls else 0.0


def _sill(it: Situation, edge: Edge) -> Iterator[Part]:
    laid = it.ramps_at(edge)
    yield from _bare(it, edge) if laid is None else _ramped(it, laid)


def _bare(it: Situation, edge: Edge) -> Iterator[Part]:
    """Judge wheels that go over an edge with nothing laid at it."""
    yield from _clears(it, edge)
    subjects, step = (*it.subjects, *edge.subjects), edge.height_mm
    short = too_short(it, edge)
    times = run_for(it)
    ends = (f"a ramp of {show_length(times * step)} (1 in {times:.3g}) on each side of {edge.name}",)
    more: dict[str, Any] = {"room": edge.room}
    wheel = _wheel_mm(it)
    if it.kind in HOISTS:
        empty = "set it down before the edge, take the gear over empty, lift it again"
        figures = {**more, "measured": step, "limit": 0.0, "unit": "mm"}
        yield SILL.no(subjects, _swings_over(it, edge), (*ends, empty), **figures)
        return
    if wheel is None:
        yield _wheel_not_told(it, edge.named, step, subjects, edge.room)
        return
    if step_share(wheel, step) is None:
        text = f"wheels of {show_length(wheel)} cannot climb {edge.named} ({show_length(step)})"
        more |= {"measured": step, "limit": wheel / 2, "unit": "mm"}
        yield SILL.no(subjects, f"{text}; {short}" if short else text, ends, **more)
        return
    climb, _ = climbs(it, edge, wheel)
    found = _over_step(it, edge.named, step, climb)
    if found is None:
        return
    need, gives = found.need_n, it.own["pushers"] * ONE_MAN_N
    more |= {"measured": need, "limit": gives, "unit": "N"}
    text = f"{found.text}; {newtons(gives)} by hand"
    if found.lifts and need > gives:
        text += ": more than lifting it over"
        yield SILL.no(subjects, f"{text}; {short}" if short else text, ends, **more)
    elif need > gives:
        fast = _pulled_over(it, edge, need)
        by, said = puller(it, fast.most_n)
        over = edge.named.removeprefix("the ")
        words = f"{by or 'winch'} for {newtons(fast.most_n)} over {over}{fast.few}, or ramp"
        text += f": {by or 'a winch'}{said}{fast.said}; or {ends[0]}"
        yield SILL.only(subjects, words, text, spots=fast.spots, **more)
    else:
        yield SILL.note(subjects, text, **more)


def _swings_over(it: Situation, edge: Edge) -> str:
    """Say that what hangs from a hoist goes over no bare edge, and how far that would swing it."""
    wheel, step = _wheel_mm(it), edge.height_mm
    found = None if wheel is None else _over_step(it, edge.named, step, climbs(it, edge, wheel)[0])
    text = f"{it.name} hangs from {it.gear.gear.name}: no hung load goes over {edge.named}"
    text += f" ({show_length(step)}) bare"
    if found is None or not it.whole_kg:
        return text
    swing = math.degrees(math.atan(found.need_n / (it.whole_kg * G_M_S2)))
    return f"{text}; {found.text}, and as it lets go that swings {swing:.0f} deg"


@dataclass(frozen=True, slots=True)
class _Step:
    """What it takes to get wheels up a step, in N and in words; `lifts`: no less than lifting them."""

    need_n: float
    text: str
    lifts: bool


def _over_step(it: Situation, named: str, step_mm: float, climb: float) -> _Step | None:
    """Return what it takes to get the wheels that meet a step together up it, on a floor that climbs so much:
    there the slope pulls on all of it besides. None where no wheel gets up it, or nothing was weighed.
    """
    wheel, load = _wheel_mm(it), together_kg(it)
    share = None if wheel is None else step_share(wheel, step_mm)
    if wheel is None or share is None or load is None:
        return None
    slope_n = downhill_n(it.whole_kg or load, climb)
    need = rolling_n(load, share, climb) + slope_n
    text = (
        f"wheels of {show_length(wheel)} with {show_mass(load)} on them need {newtons(need)} over {named} "
        f"({show_length(step_mm)}), {share:.3f} of their load"
    )
    text += f" and {newtons(slope_n)} for a climb of {show_slope(climb)}" if slope_n > 0 else ""
    return _Step(need, text, share >= 1.0)


def _wheel_mm(it: Situation) -> float | None:
    gear = it.gear.gear
    return gear.height_mm if gear.kind == "rollers and bar" else gear.wheel_mm


def _wheel_not_told(it: Situation, named: str, step_mm: float, subjects: tuple[str, ...], room: str) -> Part:
    gear = it.gear.gear
    text = f"whether wheels of {gear.name} go over {named} ({show_length(step_mm)}) is not known"
    key = "height" if gear.kind == "rollers and bar" else "wheel"
    ask = Ask(f"how big is the smallest wheel of {gear.name}?", f"gear: {gear.key}: {{{key}: 80}}", 1)
    return SILL.open(subjects, text, ask, room=room)


def _clears(it: Situation, edge: Edge) -> Iterator[Part]:
    """Compare what is free under gear and thing with an edge that goes by under them, all of it at once."""
    step, lift, gear = edge.height_mm, it.gear.up_mm, it.gear.gear
    if it.kind in HOISTS:
        return
    subjects = (*it.subjects, *edge.subjects, "under it")
    more: dict[str, Any] = {"room": edge.room, "measured": step, "unit": "mm"}
    at = f"{edge.named} is {show_length(step)} high"
    for low in gears_low(it)[:1]:
        if low.high_mm is None:
            text = f"{at}: what is free under {gear.name} is not told"
            yield GROUNDS.open((*subjects, "gear"), text, _ask_clearance(gear))
        elif step >= low.high_mm:
            text = f"{at}, {show_length(low.high_mm)} is free under {gear.name}"
            ends = ("a ramp on each side",)
            yield GROUNDS.no((*subjects, "gear"), text, ends, limit=low.high_mm, **more)
    if lift is None:
        return
    need = step + it.own["carry clear"]  # what it stands on hangs lowest
    if lift[1] <= step:
        text = f"{at}, {show_length(lift[1])} is free under {it.name} at most"
        yield GROUNDS.no(subjects, text, ("gear that lifts it higher",), limit=lift[1], **more)
    elif lift[0] < min(need, lift[1]):
        ends = (f"ramps on each side of {edge.name}",)
        yield _lifted(
            it, edge, subjects, _Lift(min(need, lift[1]), edge.rooms, f"over {edge.name}", at, ends), more
        )


def _ask_clearance(gear: Gear) -> Ask:
    return Ask(f"how much is free under {gear.name}?", f"gear: {gear.key}: {{clearance: 30}}", 1)


def _ramped(it: Situation, laid: Ramps) -> Iterator[Part]:
    """Judge ramps up and down an edge as the short slopes they are: what they hold, how wide, how steep."""
    gear, edge, ramp = it.gear.gear, laid.edge, laid.gear
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}")
    step = edge.height_mm
    at = f"{ramp.name} over {edge.named} ({show_length(step)})"
    more: dict[str, Any] = {"room": edge.room}
    yield from _enough(it, laid, at, subjects)
    yield from _ramp_holds(it, laid, at, subjects)
    yield from _leaning_bends(it, laid, at, subjects)
    climb = max(climbs(it, edge, laid.run_mm))
    fall, steep = on_floor(laid.steepest, climb), slope_on(laid.steepest, climb)
    figures = {**more, "measured": fall, "limit": gear.steepest or SLOPING, "unit": "slope"}
    if fall > SLOPING and it.kind in NEVER_ON_SLOPES:
        yield SLOPE_GEAR.no(subjects, f"{at}: a loaded {it.kind} never goes over a ramp", **figures)
    elif gear.steepest is not None and fall > gear.steepest * (1 + 1e-9):
        text = f"{at} is {steep}; the handbook of {gear.name} allows {show_slope(gear.steepest)}"
        yield SLOPE_GEAR.no(subjects, text, ("longer ramps",), **figures)
    elif gear.steepest is None and fall > SLOPING:
        words = f"handbook of {gear.name} allows {show_slope(fall)}"
        yield SLOPE_GEAR.only(subjects, words, f"{at} is {steep}", **figures)
    yield from _over_ramp(it, laid)


def _enough(it: Situation, laid: Ramps, at: str, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Judge whether there are as many as lie there, and every wheel's track on the way lies whole on one."""
    ramp, edge, width = laid.gear, laid.edge, laid.width_mm
    more: dict[str, Any] = {"room": edge.room}
    if width is None:
        wide = f", {laid.wide_mm:.0f} wide" if laid.wide_mm else ""
        words = f"{ramp.name} at least {laid.run_mm:.0f} mm long{wide}"
        yield SILL.only((*subjects, "size"), words, f"{at}: its size is not told", **more)
        return
    told = ramp.count is None or ramp.count >= laid.count
    if laid.abreast and told:
        return
    square = abreast_square(it, width)
    if laid.abreast:
        beside = f", {laid.abreast} side by side on each" if laid.abreast > 1 else ""
        text, lacks = f"{at}: an edge has two sides{beside}; {ramp.count} told of", "count"
        figures: dict[str, Any] = {"measured": ramp.count, "limit": laid.count, "unit": "count"}
        ends = f"{laid.count} of {ramp.name}"
    else:
        text = f"{at}: {show_length(width)} wide, the wheels take {show_length(laid.wide_mm)}"
        figures, lacks, ends = (
            {"measured": width, "limit": laid.wide_mm, "unit": "mm"},
            "size",
            "a wider ramp",
        )
    if laid.angle_deg < 90.0 - ASKEW_DEG:
        text += f", crossed as found at {laid.angle_deg:.0f} deg to the edge"
    if square and it.legs and (ramp.count is None or ramp.count >= 2 * square):
        # That none was found proves none: it forbids nothing, and nobody may take it for a way.
        sought = turned_where_told(it.gear)
        text += "; no way was found that crosses it square" if sought else NOT_SOUGHT_SQUARE
        text += f", where {2 * square} would do"
        yield SILL.open((*subjects, lacks), text, **more, **figures)
    else:
        yield SILL.no((*subjects, lacks), text, (ends,), **more, **figures)


NOT_SOUGHT_SQUARE = "; a way that crosses it square was not looked for"


def _ramp_holds(it: Situation, laid: Ramps, at: str, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Compare what is on ramps at once with what one holds."""
    ramp, on_it = laid.gear, together_kg(it)
    more: dict[str, Any] = {"room": laid.edge.room}
    if ramp.capacity_kg is None:
        ask = Ask(f"what does {ramp.name} hold?", f"gear: {ramp.key}: {{capacity: 1 t}}", 1)
        yield SILL.open((*subjects, "holds"), f"what {ramp.name} holds is not told", ask)
    elif on_it is not None and on_it > ramp.capacity_kg * (1 + 1e-9):
        text = f"{at}: {show_mass(on_it)} on the wheels that are on it at once"
        more |= {"measured": on_it, "limit": ramp.capacity_kg, "unit": "kg"}
        yield from _one_ramp_holds(it, laid, text, on_it, (*subjects, "holds"), more)


def _one_ramp_holds(
    it: Situation, laid: Ramps, text: str, on_it: float, subjects: tuple[str, ...], more: dict[str, Any]
) -> Iterator[Part]:
    """Compare what one of ramps side by side bears with what it holds: by the share of the skate on it."""
    ramp, holds = laid.gear, laid.gear.capacity_kg or 0.0
    one, ends = one_bears(it), ("a stronger ramp",)
    each = f"each holds {show_mass(holds)}"
    if one is None or laid.abreast < 2 or on_it / laid.abreast > holds * (1 + 1e-9):
        yield SILL.no(subjects, f"{text}, {each}", ends, **more)
        return
    text += f", one wheel ({one.which}) may bear {show_mass(one.most_kg)}, {each}"
    more |= {"measured": one.most_kg}
    if one.least_kg > holds * (1 + 1e-9):
        yield SILL.no(subjects, text, ends, **more)
    elif one.most_kg > holds * (1 + 1e-9) and it.load.cg_told:
        yield SILL.again(subjects, text, (f"mass and centre of gravity of {it.name}",), **more)
    elif one.most_kg > holds * (1 + 1e-9):
        yield SILL.open(subjects, text, ask_cg(it), **more)
    elif one.of > 2 * laid.abreast:  # two wheels of one end may be on one of them
        words = f"no {ramp.name} carries over {show_mass(holds)}, looked at first"
        yield SILL.only(subjects, words, text, **more)
    else:
        yield SILL.note(subjects, text, **more)


def _leaning_bends(it: Situation, laid: Ramps, at: str, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Judge how a plate that lies hollow between the floor and an edge bends, as one over a cover."""
    ramp, edge, width, one = laid.gear, laid.edge, laid.width_mm, one_bears(it)
    if ramp.kind != "plate" or width is None:
        return
    span = _hollow(it, laid, width)
    least = 0.0 if one is None or any(stance.assumed for stance in it.gear.stances) else one.least_kg
    found = bridge(ramp, span, _on_one_kg(it, laid), least, 0.0, laid.count)
    more: dict[str, Any] = {"room": edge.room}
    if isinstance(found, str):
        text = f"{at} lies hollow between floor and edge: {found}"
        yield SILL.no((*subjects, "bends"), text, ("thicker or shorter plates, or ramps",), **more)
    elif found.words:
        text = f"{at} lies hollow between floor and edge{found.said and ': '}{found.said}"
        yield SILL.only((*subjects, "bends"), f"{ramp.name} at {edge.name}{found.words}", text, **more)


def _hollow(it: Situation, laid: Ramps, width_mm: float) -> Span:
    """Return what a plate that leans bridges, between the floor and its edge."""
    return Span(laid.run_mm, min(width_mm, laid.run_mm + 2 * half_track_mm(it)), pad_long_mm(it))


def _sagging(it: Situation, laid: Ramps) -> Ramps:
    """Return a plate that leans with how far it sags if of steel, no lower than the floor below it; as it
    is where that is not known.
    """
    kg, width, thick = _on_one_kg(it, laid), laid.width_mm, laid.gear.height_mm
    if kg is None or not width or not thick:
        return laid
    return replace(laid, sag_mm=min(_hollow(it, laid, width).sag_mm(kg, thick), laid.edge.height_mm / 2))


def _on_one_kg(it: Situation, laid: Ramps) -> float | None:
    """Return the most in mid-span, in kg, that bends one of plates at an edge as what is on it does: the
    wheel on it, where those of an end have one each, else all of an end; and the other end behind it.

    Two like loads P, b apart on a span L, make P (L - b/2)^2 / 2 L at the most, one alone P L / 4 (statics).
    """
    end, one = together_kg(it), one_bears(it)
    if end is None:
        return None
    if one is not None and laid.abreast > 1 and one.of <= 2 * laid.abreast:
        end = min(end, one.most_kg)
    places = [along(p, it.gear.axis_deg) for p in it.gear.wheels] or [0.0]
    apart = min(1.0, (max(places) - min(places)) / laid.run_mm)
    return min(it.whole_kg or end, end * max(1.0, 2 * (1 - apart / 2) ** 2))


def _over_ramp(it: Situation, laid: Ramps) -> Iterator[Part]:
    """Say what a ramp takes: push up it and over its edges, held down it, carried high enough over it."""
    edge, ramp = laid.edge, laid.gear
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}")
    more: dict[str, Any] = {"room": edge.room}
    climb, drop = climbs(it, edge, laid.run_mm)
    rolling = _rolling_on(it.scene.shop.rooms[edge.room])
    whole, least = it.whole_kg, it.load.mass_kg
    up = push(whole or 0.0, -on_floor(laid.steepest, climb), rolling=rolling)
    rises = ramp.kind == "ramp" and ramp.rise_mm is None
    each = f"{laid.count // 2} on each side of {edge.name}"
    rests, wanted = f", {laid.rests_mm:.0f} mm on the sill", rests_on_mm(it, edge)
    rests += f" ({wanted:.0f} wanted)" if laid.rests_mm < wanted - 0.5 else ""
    rests = f"{rests}{laid.packing}" if laid.rests_mm else ""
    text = f"{laid.count} of {ramp.name}, {each}{rests}, {show_slope(laid.fall)}"
    if laid.sag_mm:
        text += f", {show_slope(laid.steepest)} under a wheel where it sags, {laid.sag_mm:.1f} mm"
    text += f", which rises {show_length(edge.height_mm)}" if rises else ""
    takes = "how much it takes up it is not known" if whole is None else f"{up.words} up"
    text += f", held from creeping: {takes}"
    yield SILL.only(subjects, f"{laid.words}{rests}, held from creeping", text, **more)
    steps = list(_ramp_edges(it, laid, climb))
    yield from (part for part in steps if isinstance(part, Part))
    worst = max((step for step in steps if isinstance(step, _Step)), key=lambda s: s.need_n, default=None)
    drive = up.start_n if men_for(up.steady_n) > it.own["pushers"] else 0.0
    stepped = 0.0 if worst is None or worst.need_n <= it.own["pushers"] * ONE_MAN_N else worst.need_n
    if worst is not None:
        text += f"; {worst.text}"
    if need := max(drive, stepped):
        fast = _pulled_over(it, edge, need)
        by, said = puller(it, fast.most_n)
        words = f"{by or 'winch or tackle'} for {newtons(fast.most_n)} at {ramp.name}{fast.few}"
        starts = " to start it there" if drive > stepped else ""
        text += f": {by or 'winch or tackle'} with {newtons(fast.most_n)}{starts}{said}{fast.said}"
        yield PUSH.only((*subjects, "up"), words, text, spots=fast.spots, **more, measured=need, unit="N")
    held = None if least is None else _held_on_ramp(it, laid, drop, least if whole is None else whole)
    if held is not None and (whole is not None or held.verdict is Verdict.NO):
        yield held
    else:
        down, steep = (*subjects, "down"), slope_on(laid.steepest, drop)
        text = f"{it.name} down {ramp.name} at {edge.name}, {steep}: {HOW_MUCH}"
        yield RUNS.open(down, text, ask_mass(it), **more)
        words = f"nobody ahead down {ramp.name}"
        yield RUNS.only((*down, "ahead"), words, text, at=edge.subjects, **more)
    if it.gear.stances and it.kind not in HOISTS and together_at(it, edge) is None:
        yield from _grounds(it, bends_over(laid), subjects, edge)


def _ramp_edges(it: Situation, laid: Ramps, climb: float) -> Iterator[Part | _Step]:
    """Judge wheels up the edge of what is laid: at its foot from the floor, at its top from its own slope."""
    edge, ramp = laid.edge, laid.gear
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}", "edge")
    if laid.foot_mm is None or laid.top_mm is None:
        text = f"how thick {ramp.name} is is not told: wheels up its edge at {edge.name} are not checked"
        yield SILL.open(subjects, text, _ask_thickness(ramp), room=edge.room)
        return
    wheel, gives = _wheel_mm(it), it.own["pushers"] * ONE_MAN_N
    top = "the edge of" if laid.top_mm == laid.foot_mm else "the step on top of"
    for named, step, slope in (
        (f"the edge of {ramp.name}", laid.foot_mm, climb),
        (f"{top} {ramp.name}", laid.top_mm, on_floor(laid.fall, climb)),
    ):
        if step <= 0:
            continue
        if wheel is None:
            yield _wheel_not_told(it, named, step, subjects, edge.room)
            return
        found = _over_step(it, f"{named} at {edge.name}", step, slope)
        more: dict[str, Any] = {"room": edge.room, "measured": step, "limit": wheel / 2, "unit": "mm"}
        ends = (f"a ramp that ends thin, or a thinner one, at {edge.name}",)
        if step_share(wheel, step) is None:
            text = f"wheels of {show_length(wheel)} cannot climb {named} at {edge.name} ({show_length(step)})"
            yield SILL.no(subjects, text, ends, **more)
            return
        if found is not None and found.lifts and found.need_n > gives:
            more |= {"measured": found.need_n, "limit": gives, "unit": "N"}
            yield SILL.no(subjects, f"{found.text}: more than lifting it over", ends, **more)
            return
        if found is not None:
            yield found


def _ask_thickness(gear: Gear) -> Ask:
    return Ask(f"how thick is {gear.name}?", f"gear: {gear.key}: {{height: 20}}", 1)


def _held_on_ramp(it: Situation, laid: Ramps, drop: float, whole: float) -> Part:
    """Judge what holds it down a ramp: a brake, a line from behind to a named point, or hands.

    What a low sill lets loose spends itself soon: where the level floor ahead is long enough for that, what
    holds it is a condition without a named point.

    On a ramp shorter than its wheelbase only the wheels that are on it pull so; what is on a floor that drops
    pulls as that does.
    """
    edge, ramp, run = laid.edge, laid.gear, laid.run_mm
    fall = on_floor(laid.steepest, drop)
    places = [along(p, it.gear.axis_deg) for p in it.gear.wheels]
    short = bool(places) and run < max(places) - min(places)
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}", "down")
    steep = slope_on(laid.steepest, drop)
    on_it = (together_kg(it) or whole) if short else whole
    force = downhill_n(on_it, fall) + downhill_n(whole - on_it, drop)
    text = f"{it.name} down {ramp.name} at {edge.name}, {steep}, runs with {newtons(force)}"
    more: dict[str, Any] = {"room": edge.room, "measured": force, "limit": 0.0, "unit": "N"}
    if _brake_stops(it):
        words = f"brake of {it.gear.gear.name} tried before {ramp.name}"
        return RUNS.only(subjects, words, f"{text}: its brake holds it", **more)
    if _few_keep(it, force):
        words = f"held by hand down {ramp.name} ({newtons(force)}){short_of(it.scene, men_for(force))}"
        return RUNS.only(subjects, words, text, **more)
    stays = _stays_by(it, it.scene.shop.rooms[edge.room], force, fall, float(it.gear.steering != "axis"))
    line = best_line(it, _from_behind(it, edge), force, stays.surely_deg)
    out_mm = laid.fall * run / (SLOPING - drop) if drop < SLOPING else math.inf
    if line is None and _braked(it):
        words = f"line down {ramp.name}: brake of {it.gear.gear.name} for halts only"
        return RUNS.only(subjects, words, f"{text}: somebody has to put its brake on", **more)
    near, every = out_mm <= it.own["runs out"], _ends_ahead(it, edge, run)
    ahead = next((end for end in every if end.surely), None)
    goes_down = ahead is not None and bool(ahead.at) and out_mm > ahead.mm
    perhaps = next(
        (e for e in every if not e.surely and e.mm < min(out_mm, ahead.mm if ahead else 0.0)), None
    )
    if line is None and not goes_down and (near or (ahead is not None and out_mm <= ahead.mm)):
        if perhaps is not None:
            text += (
                f"; let go it rolls {show_length(out_mm)} on, {perhaps.at} is {show_length(perhaps.mm)} on"
            )
            if perhaps.takes is None:
                return RUNS.open(subjects, f"{text}: what it takes is not known", perhaps.ask, **more)
            text += f" and takes {show_force(perhaps.takes[0])} (own figure)"
        n = men_for(force)
        words = f"line or {n} men{short_of(it.scene, n)} hold it down {ramp.name}, nobody "
        words += "ahead" if near else f"within {show_length(out_mm)} ahead"
        far = f"let go it comes to rest {show_length(out_mm)} on, at 2 % on the level"
        if not near and ahead is not None:
            far += (
                f", {show_length(ahead.mm)} of level floor ahead: nothing stands there, it is looked at first"
            )
        return RUNS.only(subjects, words, f"{text}; {far}", at=edge.subjects, **more)
    if line is None:
        where = f"on the side of {edge.name} that it comes from"
        ends = (f"a line to a named point {where}, {newtons(force)}", "gear whose brake comes on by itself")
        barred = barred_words(in_the_line(it, _from_behind(it, edge), force))
        why = f"no anchor {where} is named{barred}, and {it.gear.gear.name} is not told to have a brake"
        if goes_down and ahead is not None:
            why = f"let go it rolls {show_length(out_mm)} on, {ahead.at} is {show_length(ahead.mm)} on; {why}"
        return RUNS.no(subjects, f"{text}: {why}", ends, **more)
    text += f": a line to {line.placed}, {newtons(line.pull_n)}, {_aside(line)} behind it"
    against = _against_line(it, line, subjects, text, more)
    if against is not None:
        return against
    text += f"{_drags(force, line, '; ')}{_swings(it, line, stays)}"
    sized, said = _sized(it, line)
    other, first = _besides(it, line, stays)
    words = f"line to {line.called}{other}{sized} down {ramp.name}{first}"
    return RUNS.only(subjects, words, f"{text}{said}", **more)


def _from_behind(it: Situation, edge: Edge) -> list[Pull]:
    """Return where a line holds it that drives out of a doorway; [] where it drives through none."""
    way = _through(it, edge)
    return [] if way is None else [Pull(Pose(*edge.middle, 0.0), way + math.pi)]


def _through(it: Situation, edge: Edge) -> float | None:
    """Return which way it drives through a doorway, in rad in the shop frame; None where it does not."""
    if not (drive := _driven(it, edge)):
        return None
    a, b = drive
    return math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)


def _driven(it: Situation, edge: Edge) -> tuple[Pose, ...]:
    """Return from where to where it is driven through a doorway in one piece; () where it does not."""
    drives = [
        (a, b)
        for a, b in itertools.pairwise(it.path)
        if math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) > DRIVEN_MM
    ]
    return min(drives, key=lambda d: segment_gap(edge.middle, d[0][:2], d[1][:2])[0], default=())


def _tracks_through(it: Situation, edge: Edge, way: float) -> list[tuple[float, float]]:
    """Return what wheels take across the way through a doorway, from its middle to the left: each track of
    gear that only rolls straight on, else all between; where the wheels are not told, all of it.
    """
    pose, (x, y) = _driven(it, edge)[0], edge.middle
    points = it.at(pose, it.gear.wheels or it.hull)
    every = [(py - y) * math.cos(way) - (px - x) * math.sin(way) for px, py in points]
    half = half_track_mm(it) + it.measured_mm
    if it.gear.steering == "axis" and it.gear.wheels:
        return [(at - half, at + half) for at in every]
    return [(min(every) - half, max(every) + half)]


class _Ahead(NamedTuple):
    """How far a thing let go on a ramp may run on from its foot, and what ends the level floor there: '' a
    wall, which it comes to with its front, else what its wheels would go down in. Not `surely`: a cover that
    may hold them, with what it takes (kN, as `bears_kn`; None: not told), and what is asked then.
    """

    mm: float
    at: str
    surely: bool = True
    takes: tuple[float, float] | None = None
    ask: Ask | None = None


def _ends_ahead(it: Situation, edge: Edge, run_mm: float) -> list[_Ahead]:
    """Return what ends the level floor ahead of a thing that drives out over an edge, the nearest first, from
    where its last wheels leave a ramp so long; [] where it drives over none. What it has come over, as a
    cover under its plates, is behind it.
    """
    import shapely

    way, (x, y) = _through(it, edge), edge.middle
    if way is None:
        return []
    c, s = math.cos(way), math.sin(way)
    rooms = it.scene.shop.rooms
    ray = shapely.LineString([(x, y), (x + FAR_MM * c, y + FAR_MM * s)])
    floor = shapely.union_all([shapely.Polygon(rooms[key].outline) for key in edge.rooms])
    first = min(
        (p for p in shapely.get_parts(ray.intersection(floor)) if p.length > 0),
        key=lambda p: p.distance(shapely.Point(x, y)),
        default=None,
    )
    past = max((px - x) * c + (py - y) * s for px, py in edge.outline)
    over = past + run_mm
    wheels, hull = ([along(p, it.gear.axis_deg) for p in some] or [0.0] for some in (it.gear.wheels, it.hull))
    long = max(max(hull) - min(wheels), max(wheels) - min(hull))
    wall = 0.0 if first is None else max(math.dist((x, y), p) for p in first.coords)
    found = [_Ahead(max(0.0, wall - over - long), "")]
    far = past, max(wall, past + 1.0)
    strips = [
        [
            (x + f * c - at * s, y + f * s + at * c)
            for f, at in zip((*far, *far[::-1]), (a, a, b, b), strict=True)
        ]
        for a, b in _tracks_through(it, edge, way)
    ]
    strip = shapely.union_all([shapely.Polygon(each) for each in strips])
    for outline, end in _falls_away(it, way):
        there = shapely.get_coordinates(strip.intersection(shapely.Polygon(outline)))
        if len(there):
            near = min((px - x) * c + (py - y) * s for px, py in there)
            found.append(end._replace(mm=max(0.0, near - over - (max(wheels) - min(wheels)))))
    return sorted(found, key=lambda end: (end.mm, end.at))


def _falls_away(it: Situation, way: float) -> Iterator[tuple[Outline, _Ahead]]:
    """Go through what wheels that run on one way would go down in, each with where it is, at 0 mm: open pits,
    covers that may not take them, floors on which it runs away.
    """
    shop, kg = it.scene.shop, together_kg(it)
    floors = [room.outline for room in shop.rooms.values()]
    for hole in open_holes(shop, floors):
        yield hole.outline, _Ahead(0.0, hole.name)
    kn = math.inf if kg is None else kg * G_M_S2 / 1000.0
    for cover, takes in may_not_bear(shop, kn, it.own["cover of test"], G_M_S2):
        surely = kg is not None and takes is not None and takes[1] < kn
        ask = Ask(f"what does {cover.name} take?", cover.asked, 2) if takes is None else None
        yield cover.outline, _Ahead(0.0, cover.name, surely, takes, ask)
    for room in shop.rooms.values():
        slope = room.slope
        if slope is not None and slope.fall * math.cos(way - math.radians(slope.towards_deg)) > SLOPING:
            yield room.outline, _Ahead(0.0, f"the slope of {room.name}")


def _pulled_over(it: Situation, edge: Edge, force_n: float) -> _MadeFast:
    """Return how a line is made fast that pulls it through a doorway.

    The point has to lie ahead from when its front is there until its back is.
    """
    way, (x, y) = _through(it, edge), edge.middle
    if way is None or not it.legs:
        return _MadeFast(force_n, 0.0, "", "")
    leg = min(it.legs, key=lambda leg: min(math.dist(edge.middle, (p.x_mm, p.y_mm)) for p in leg.poses))
    barred = _below(it, leg)
    half = max((math.hypot(*p) for p in it.hull), default=0.0)
    c, s = math.cos(way), math.sin(way)
    pulls = [Pull(Pose(x + far * c, y + far * s, 0.0), way, barred) for far in (-half, 0.0, half)]
    line = best_line(it, pulls, force_n)
    if line is not None and _pulls(it, line):
        return _fast_to(it, line, force_n)
    none = _no_point(it, leg, pulls, force_n, _spot_ahead(it, (x, y), way), f"through {edge.name}")
    return _MadeFast(force_n, 0.0, none.said, none.few, none.below, none.spots)


DRIVEN_MM = 100.0
"""What goes so far in one piece is a drive, less is part of a turn: own figure."""


def together_kg(it: Situation) -> float | None:
    """Return the greatest load of the wheels that meet a step together, by moments along the way.

    Half of the gear's own mass counts with either end.
    """
    whole, load = it.whole_kg, it.load.most_kg
    if whole is None or load is None:
        return None
    worst = 0.0
    for stance in it.gear.stances:
        places = [along(p, it.gear.axis_deg) for p in stance.polygon]
        rear, front = min(places), max(places)
        if front - rear < 1.0:
            continue
        for c in it.load.centres():
            share = (along((c.x_mm, c.y_mm), it.gear.axis_deg) - rear) / (front - rear)
            worst = max(worst, min(1.0, max(share, 1.0 - share)) * load + (whole - load) / 2)
    return worst or whole


# --- crests and feet of slopes
# ---------------------------------------------------------------------------------


def grounds(it: Situation) -> Iterator[Part]:
    """Judge what hangs lowest, of load and of gear, over crests and at feet of slopes, and where the floor
    bends at several places close together.
    """
    every = stretches(it)
    close = [each for each in every if each.count > 1]
    by_itself = [each for each in every if each.count == 1 or each.askew]
    yield from _grounds(it, [b for each in by_itself for b in each.bends if b.rooms], it.subjects)
    for each in close:
        at = (*it.subjects, *dict.fromkeys(s for edge in each.edges for s in edge.subjects), "together")
        if each.askew:
            yield _askew_bends(it, each, at)
        else:
            yield from _grounds(it, each.bends, at, each.edges[0] if each.edges else None)


def _askew_bends(it: Situation, close: Stretch, subjects: tuple[str, ...]) -> Part:
    """Say of bends close together that do not lie across one direction that each is reckoned by itself."""
    text = (
        f"the floor bends {close.where}, less far apart than {it.name} on {it.gear.gear.name} is long, and "
    )
    text += "not across one direction: each is reckoned by itself, not both together"
    words = f"floor looked at with a straightedge {close.where}"
    return GROUNDS.only(subjects, words, text, judged=False)


def _grounds(
    it: Situation, over: Sequence[Bend], subjects: tuple[str, ...], edge: Edge | None = None
) -> Iterator[Part]:
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
        lifted = _Lift(at, floors, load.bend.where, rises, tuple(eased(load, lift[0] + high, it.hull)))
        yield _lifted(it, edge, (*subjects, "lift"), lifted, more)
    else:
        yield GROUNDS.note(subjects, rises, **more)


class _Lift(NamedTuple):
    """How high it is lifted, in which rooms, where in words, why, and what ends it where it tips so."""

    mm: float
    rooms: tuple[str, ...]
    where: str
    why: str
    ends: tuple[str, ...]


def _lifted(
    it: Situation, at: Edge | None, subjects: tuple[str, ...], lift: _Lift, more: dict[str, Any]
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
        return GROUNDS.open(subjects, text, _ask_clearance(gear), **more)
    text += f", {show_length(clear)} is free"
    more["limit"] = clear
    margin = Margin(clear - rise.mm, ((f"what is free under {gear.name}", min(it.measured_mm, PLATE_MM)),))
    if margin.verdict is Verdict.NO:
        return GROUNDS.no(subjects, text, eased(rise, clear, it.hull), **more)
    if margin.verdict is Verdict.AGAIN:
        return GROUNDS.again(subjects, text, margin, **more)
    return GROUNDS.note(subjects, text, **more)
