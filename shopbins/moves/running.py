"""What pulls or holds a load on its legs, what runs away, and how a line to a point holds it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Point, Pose
from shopbins.moves.finding import Ask, Check
from shopbins.moves.force import (
    G_M_S2,
    ONE_MAN_KEEP_N,
    ROLLING,
    SOURCE,
    Push,
    downhill_n,
    in_line,
    men_for,
    newtons,
    push,
    rolling_n,
    towards_words,
)
from shopbins.moves.hands import short_of
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
    in_the_line,
    seen_at,
    too_steep,
)
from shopbins.moves.load import Load
from shopbins.moves.situation import Situation
from shopbins.moves.standing import (
    ask_mass,
    delicate,
)
from shopbins.rules.slopes import SLOPING, is_steep
from shopbins.shop.model import Gear, Room
from shopbins.units import show_length, show_point, show_slope

RUNS = Check(
    "runs-downhill",
    "Runs away",
    "mass x g x sin(slope), no rolling resistance taken off it; what a line far aside drags sideways, "
    "F x tan(a), against 2 to 10 % of the weight (HSE L23)",
    "derived",
    "gear whose brake comes on by itself; a line to a named point above it and chocks, before it is let go",
)


EVEN = Check(
    "move-floor-even",
    "Floors taken as even and clean",
    SOURCE,
    "published",
    "sweep it; plates over joints; tell the shop file: even: yes",
)


def force_on(load: Load, gear: Gear, leg: Leg) -> Push | None:
    """Return the forces on a leg; None where it goes nowhere, nothing was weighed, or it is carried.

    What was not weighed is said to be 'at least'; the most that may roll counts.
    """
    kg = load.mass_kg if load.most_kg is None else load.most_kg
    if kg is None or leg.heading_deg is None or leg.length_mm < 1.0 or gear.kind == "by hand":
        return None
    unweighed = load.most_kg is None or gear.mass_kg is None
    whole = kg + (gear.mass_kg or 0.0)
    return push(whole, leg.fall, rolling=rolling_on(leg.room), at_least=unweighed)


def rolling_on(room: Room) -> tuple[float, float]:
    """Return the best and the worst rolling resistance of a floor, as it is told to be even or not."""
    good, uneven = ROLLING
    return ROLLING if room.even is None else (good, good) if room.even else (uneven, uneven)


def pushes(it: Situation) -> list[tuple[Leg, Push]]:
    """Return the forces of every leg that goes somewhere."""
    every = ((leg, force_on(it.load, it.gear.gear, leg)) for leg in it.legs)
    return [(leg, found) for leg, found in every if found is not None]


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

    most = hands_on(it, apart=delicate(it))

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
    return _few_hold(it, legs[0]) and not is_braked(it) and holding_line(it, legs) is None


def is_braked(it: Situation) -> bool:
    """Tell whether it has a brake that holds it where it stands, whoever puts that on."""
    return bool(it.gear.gear.brake or it.gear.gear.brakes_itself)


def brake_stops(it: Situation) -> bool:
    """Tell whether its brake stops it on the way, too: by itself, or by who steers a truck at its handle."""
    return bool(it.gear.gear.brakes_itself) or (is_braked(it) and it.kind == "pallet truck")


def _braked_on_the_way(it: Situation, force_n: float) -> bool:
    """Tell whether its brake holds it on the way too: it stops it, or few enough people keep hold of it until
    one of them has put it on.
    """
    return brake_stops(it) or (is_braked(it) and few_keep(it, force_n) and not delicate(it))


def _few_hold(it: Situation, leg: Leg) -> bool:
    return not is_steep(leg.slope) and few_keep(it, let_go_n(it, leg))


def hands_on(it: Situation, *, apart: bool) -> int:
    """Return how many people push or hold it by hand: where they stay apart from it one, by the handle of a
    truck, else on a line.
    """
    return 1 if apart else int(it.own["pushers"])


def few_keep(it: Situation, force_n: float) -> bool:
    """Tell whether few enough people keep hold of it against a force."""
    return force_n <= it.own["pushers"] * ONE_MAN_KEEP_N


def runs_away(it: Situation) -> Iterator[Part]:
    """Judge what happens when it is let go: a brake that holds it, or a line from above to a named point.

    People alone never hold it, and nobody may accept that nothing does.
    """
    if it.kind == "by hand":
        return
    every = [leg for leg in it.legs or standing_leg(it) if leg.slope is not None and leg.slope.fall > 0]
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
    until its last is off; None where none does, or where a brake that stops it on the way, or at which few
    enough people hold it, does so better.
    """
    stays = _stays(it, legs)
    line = best_line(it, _uphill(it, legs), let_go_n(it, legs[0]), stays.surely_deg)
    poor = line is None or line.holds is not True or far_off(it, line) or line.aside_deg > stays.most_deg
    return None if poor and _braked_on_the_way(it, let_go_n(it, legs[0])) else line


def held_in(it: Situation, room: Room) -> Line | None:
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
    return stays_by(it, legs[0].room, let_go_n(it, legs[0]), 0.0 if slope is None else slope.fall, share)


def stays_by(it: Situation, room: Room, force_n: float, fall: float, share: float = 1.0) -> _Stays:
    """Return how far aside a line may lie that holds so much, of whose drag a share is along its wheels."""
    whole = it.whole_kg or it.load.mass_kg or 0.0
    resists = [rolling_n(whole, mu, fall) for mu in (ROLLING[0], rolling_on(room)[1])]
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
    room, slope = legs[0].room, legs[0].slope
    assert slope is not None
    force = let_go_n(it, legs[0])
    subjects = (*it.subjects, f"room:{room.key}")
    runs = (
        f"{it.name} let go on {show_slope(slope.fall)} in {room.name} runs "
        f"{towards_words(slope.towards_deg)} with {newtons(force)}"
    )
    more: dict[str, Any] = {"measured": force, "limit": 0.0, "unit": "N", "room": room.key}
    line = holding_line(it, legs)
    if line is None and _braked_on_the_way(it, force):
        return _brake_holds(it, runs, subjects, more)
    if line is not None:
        text = (
            f"{runs}: a line to {line.placed}, {newtons(line.pull_n)}, {said_aside(line)} uphill, and chocks"
        )
        text += said_to_drag(force, line, "; ")
        by = puller(it, _in_it_n(it, line, legs), holds=True)[0]
        text += f"; {by or 'a winch or tackle'} keeps it tight: let out as "
        text += "it goes down, taken in as it comes up"
        if len(line.anchors) > 1:
            text += "; chocked while the line is changed"
        stays = _stays(it, legs)
        text += said_to_swing(it, line, stays)
        against = against_line(it, line, subjects, text, more)
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
    why = f"no anchor above it is {seen}{barred_words(hidden)}, and {for_halts_only(it)}"
    ask = next((sight.ask for sight in hidden if sight.ask is not None), None)
    if ask is not None:
        return RUNS.open(subjects, f"{runs}: {why}", ask, **more)
    low = legs[-1].poses[-1] if legs[-1].fall >= 0 else legs[0].poses[0]
    spot = spot_ahead(it, (low.x_mm, low.y_mm), math.radians(slope.towards_deg + 180.0))
    would = None if spot is None else _would(it, _uphill(it, legs), force, spot, it.own["line aside"])
    above = f"a line to a named point above it {(would and would.where) or f'in {room.name}'}"
    named = ((" and ".join(t.name for t in s.in_it), s.anchor.key) for s in hidden)
    cleared = [f"{things} out of the line to {key}" for things, key in named if things]
    ends = (*cleared, f"{above}, {newtons(force)}", "gear whose brake comes on by itself")
    return RUNS.no(subjects, f"{runs}: {why}", ends, **more)


def _brake_holds(it: Situation, runs: str, subjects: tuple[str, ...], more: dict[str, Any]) -> Part:
    """Return the condition that a brake holds it: one that somebody has to put on with somebody at it."""
    gear, key = it.gear.gear.name, it.gear.gear.key
    text, words = (
        f"{runs}: the brake of {gear} holds it, chocks at every halt",
        f"brake of {gear} tried first",
    )
    if brake_stops(it):
        text += ", by itself when it is let go" if it.gear.gear.brakes_itself else ", by who steers it"
        return RUNS.only(subjects, f"{words}, chocks", text, **more)
    text += f"; on the way somebody has to put it on (gear: {key}: {{brakes itself: yes}} tells otherwise)"
    return RUNS.only(subjects, f"{words}, somebody at it, chocks", text, **more)


def for_halts_only(it: Situation) -> str:
    """Say why no brake holds it while it goes: none is told of, or somebody has to put that on."""
    gear = it.gear.gear
    if is_braked(it):
        return f"the brake of {gear.name} is for halts only: on the way somebody has to put it on"
    return f"{gear.name} is not told to have a brake"


def said_aside(line: Line) -> str:
    """Say how a line lies, of which what it is straight towards is said next."""
    straight = line.aside_deg < STRAIGHT_DEG
    return "straight" if straight else f"{line.aside_deg:.0f} deg aside of straight"


STRAIGHT_DEG = 1.0
"""A line nearer to the way than this is said to lie straight."""


class MadeFast(NamedTuple):
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


def serves_until(it: Situation, legs: Sequence[Leg], force_n: float) -> tuple[Line | None, Leg | None]:
    """Return the line that pulls it along legs with a force, and the first that it does not serve (None: it
    serves them all).
    """
    pulled = [leg for leg in legs if ahead_of(it, leg)]
    line = pulling_line(it, pulled, force_n)
    if line is not None or not pulled:
        return line, None
    line, served = _serves(it, [(leg, force_n) for leg in pulled[:-1]])
    return line, pulled[served]


def fast_to(it: Situation, line: Line, force_n: float) -> MadeFast:
    """Return how a line is made fast that pulls it with a force all along."""
    said, few = _fast_words(it, line, force_n), _fast_few(it, line)
    return MadeFast(line.pull_n, line.aside_deg, said, few)


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
    spot = spot_ahead(it, (last.x_mm, last.y_mm), math.radians(leg.heading_deg or 0.0))
    return no_point(it, leg, ahead_of(it, leg), force_n, spot, f"along the {_piece(leg)}")


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
    left = [each for each in legs if ahead_of(it, each[1])]
    said = ""
    while left:
        at, leg, force = left[0]
        legs_left = [(each, needs) for _, each, needs in left]
        line, served = _serves(it, legs_left)
        named: tuple[Point, ...] = ()
        if line is not None:
            words = f"line to {line.called} ({newtons(line.pull_n)} there)"
            lacks, full = f"{_looked_at(it, line, it.own['pull aside'])}{too_weak(line)}", ""
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
        pulls += ahead_of(it, leg)
        told = n > 0 and pulling_line(it, [leg], needs) is not None
        if told or _downhill(it, leg, spot):
            return n
        if not _would(it, pulls, force, spot, it.own["pull aside"]).spots:
            return n
    return len(legs)


def pulling_line(it: Situation, legs: Sequence[Leg], force_n: float) -> Line | None:
    """Return the line to points ahead that drives it along all of some legs; None where none told of does."""
    line = best_line(it, [pull for leg in legs for pull in ahead_of(it, leg)], force_n)
    return line if line is not None and lies_to_pull(it, line) else None


def lies_to_pull(it: Situation, line: Line) -> bool:
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
    return f"{line.up}{_looked_at(it, line, it.own['pull aside'])}{too_weak(line)}"


def _fast_words(it: Situation, line: Line, force_n: float) -> str:
    """Say where a line that pulls it is made fast, how far aside of the way at worst, and what is in it."""
    said = f"; made fast to {line.placed}{holds_words(line)}, {said_aside(line)} ahead at the most"
    said += f": {newtons(line.pull_n)} in the line{said_to_drag(force_n, line)}"
    winch, load = _weakest(it, line.pull_n), line.load_kn
    pulls = None if winch is None else pulls_n(winch)
    if winch is not None and pulls is not None and load is not None and line.pull_n <= load * 1000 < pulls:
        said += f"; {winch.name} pulls {newtons(pulls)}, more than {line.named} holds: stop where it sticks"
    return said


def holds_words(line: Line) -> str:
    """Say what the points of a line hold, and that it is too little; '' where that is not told of each."""
    if line.load_kn is None:
        return ""
    return f", which holds {newtons(line.load_kn * 1000)}{' (too little)' if line.holds is False else ''}"


def too_weak(line: Line) -> str:
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


def no_point(
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
    if line is not None and lies_to_pull(it, line) and len(line.anchors) == 1:
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


def said_to_drag(force_n: float, line: Line, after: str = ", ") -> str:
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


def ahead_of(it: Situation, leg: Leg) -> list[Pull]:
    """Return where a line pulls it on a leg, at both ends of each piece of it, and which way that goes.

    Where it turns about its own wheels it is turned by its handle or by bar, by no line. Before a slope that
    it goes down no line pulls it from below: who works the winch there stands where it comes if it is let go.
    """
    found: list[Pull] = []
    barred = anchors_below(it, leg)
    for a, b in itertools.pairwise(leg.poses):
        far = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        if far >= 1.0 and far > ROUND_ITSELF_MM * math.radians(abs(b.turn_deg - a.turn_deg)):
            way = math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)
            found += [Pull(a, way, barred, leg.slope), Pull(b, way, barred, leg.slope)]
    return found


def anchors_below(it: Situation, leg: Leg) -> frozenset[str]:
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


def spot_ahead(it: Situation, here: Point, way: float) -> Point | None:
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
    sized, said = sized_for(it, line, pulls_n)
    other, first = also_needed(it, line, stays)
    chocks = "" if first else ", chocks"
    return RUNS.only(subjects, f"line to {line.called}{other}{first}{sized}{chocks}", f"{text}{said}", **more)


def also_needed(it: Situation, line: Line, stays: _Stays) -> tuple[str, str]:
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


def said_to_swing(it: Situation, line: Line, stays: _Stays) -> str:
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


def against_line(
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


def sized_for(it: Situation, line: Line, pulls_n: float = 0.0) -> tuple[str, str]:
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
    pulls += holds_words(replace(line, holds=load is None or load * 1000 >= pulls_n))
    return f": {words}", f"{pulls}; sized for {newtons(max(size, pulls_n))}, the greater of that and {said}"


def _ask_load(it: Situation, line: Line) -> Ask:
    anchor = next(a for a in line.anchors if a.load_kn is None)
    room = next(room.key for room in it.scene.shop.rooms.values() if anchor in room.anchors)
    set_by = f"rooms: {room}: {{anchors: {{{anchor.key}: {{load: 10 kN}}}}}}"
    return Ask(f"what does {anchor.key} hold?", set_by, 2)


def standing_leg(it: Situation) -> tuple[Leg, ...]:
    """Return where it stands now as a leg of its own: a slope there holds it back before any way is known."""
    pose, key = it.body.pose, it.body.room
    return () if pose is None or key is None else (Leg(it.scene.shop.rooms[key], None, (pose,)),)
