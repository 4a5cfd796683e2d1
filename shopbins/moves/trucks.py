"""Pallet trucks: forks into an opening, lowered under the base and raised against it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from shopbins.geometry.shapes import Outline, Point, cos_sin
from shopbins.moves.fitted import (
    Fitted,
    across_box,
    along,
    boxed,
)
from shopbins.moves.forks import PALLETS, SET_MM, Opening, Way, enter
from shopbins.moves.load import Answer, Judged, Load, holds
from shopbins.moves.stances import Stance, Usual, both_ends, truck
from shopbins.shop.figures import OWN, Moving
from shopbins.shop.model import Gear
from shopbins.units import show_length, show_lengths

_RANK: dict[Answer, int] = {"yes": 0, "not known": 1, "no": 2}


@dataclass(frozen=True, slots=True)
class _Side:
    """One opening judged: the answer, how the forks lie, and how far they then lift."""

    judged: Judged
    opening: Opening | None = None
    way: Way | None = None


def fit(
    gear: Gear,
    load: Load,
    opening: Opening | None,
    measured_mm: float,
    own: Moving = OWN,
    *,
    centred: bool = False,
) -> Fitted:
    """Fit a pallet truck to a thing: the best side it enters by, or the one given.

    Its forks are set under the centre of gravity where that is told, as far as what stands beside them
    there lets them; `centred`: in the middle of what is clear.
    """
    openings = (opening,) if opening is not None else load.met_by_forks()
    sides = [_side(gear, load, each, measured_mm, centred=centred) for each in openings]
    best = min(sides, key=_best, default=_Side(_no_opening(load)))
    lift = _lift(gear, best.opening)
    parts, unknown = _shape(gear, load, best)
    return Fitted(
        gear=gear,
        load=load,
        goes_under=best.judged,
        holds=holds(load, gear.capacity_kg, gear.name),
        parts=(load.outline, *parts),
        height_mm=None if load.height_mm is None or lift is None else load.height_mm + lift,
        least_height_mm=load.height_mm,
        opening=best.opening.name if best.opening is not None else "",
        cautions=_cautions(gear, load, best),
        unknown=unknown,
        axis_deg=best.opening.towards_deg if best.opening is not None else 0.0,
        stops=_balance(gear, load, best),
        stances=tuple(_stances(gear, load, best, own)),
        up_mm=None if lift is None else (min(own["carry clear"], lift), lift),
        heel=_heel(load, best),
        forks_set=_set_words(load, best),
    )


def _beside_mm(load: Load, towards_deg: float) -> float | None:
    """Return how far right of the thing's middle its centre of gravity is, seen along the forks: the middle
    of where it may be; None where nobody told it.
    """
    if load.cg_mm is None:
        return None
    points = [(c.x_mm, c.y_mm) for c in load.centres()] or [load.cg_mm]
    every = [along(point, towards_deg - 90.0) for point in points]
    return (min(every) + max(every)) / 2


def _set_words(load: Load, side: _Side) -> str:
    """Say how forks are set aside of the middle: '150 mm left of the middle ...'; '' where they are not."""
    way, opening = side.way, side.opening
    if way is None or opening is None or not way.aside_mm:
        return ""
    hand, off = ("right", way.aside_mm) if way.aside_mm > 0 else ("left", -way.aside_mm)
    middle = "the middle of the openings" if way.astride else "the middle of the opening"
    said = f"{show_length(off)} {hand} of {middle}, seen from the handle"
    if not way.astride:
        said += f" ({show_length(way.play_mm / 2 - off)} clear to their {hand})"
    cg = _beside_mm(load, opening.towards_deg)
    short = 0.0 if cg is None else (cg - way.shift_mm) * math.copysign(1.0, way.aside_mm)
    if short <= SET_MM / 2:
        return f"{said}, under its centre of gravity"
    return f"{said}, as near as they go to its centre of gravity, {show_length(short)} farther {hand}"


def _heel(load: Load, side: _Side) -> Point | None:
    """Return where the forks begin: before the side they enter, in the middle between both."""
    if side.opening is None:
        return None
    towards = side.opening.towards_deg
    near, _, _, _ = across_box(load, towards)
    shift = side.way.shift_mm if side.way is not None else 0.0
    c, s = cos_sin(towards)
    return near * c + shift * s, near * s - shift * c


ASSUMED = {"steering axle": "100", "load rollers": "175"}
"""What is usual where it is not told, each with an example."""


def _stances(gear: Gear, load: Load, side: _Side, own: Moving) -> Iterator[Stance]:
    """Go through what the truck may stand on: one way where its wheels are told, else both ends of each."""
    heel, over, width = _heel(load, side), gear.over_forks_mm, gear.fork_width_mm
    if heel is None or side.opening is None or over is None or gear.fork_length_mm is None:
        return
    told = (gear.steering_axle_mm, gear.load_rollers_mm)
    usual = [(own[f"{name} least"], own[f"{name} most"]) for name in ASSUMED]
    assumed = tuple(
        Usual(f"{name} {a:.0f} to {b:.0f} mm", f"{name}: {ASSUMED[name]}")
        for name, value, (a, b) in zip(ASSUMED, told, usual, strict=True)
        if value is None
    )
    axles, rollers = (both_ends(value, ends) for value, ends in zip(told, usual, strict=True))
    for axle, out in itertools.product(axles, rollers):
        yield truck(
            heel,
            side.opening.towards_deg,
            over_forks_mm=over,
            fork_width_mm=over / 3 if width is None else width,
            fork_length_mm=gear.fork_length_mm,
            steering_axle_mm=axle,
            load_rollers_mm=out,
            steering_track_mm=gear.steering_track_mm,
            assumed=assumed,
        )


def _best(side: _Side) -> tuple[int, bool, float]:
    play = side.way.play_mm if side.way is not None else 0.0
    crosses = side.opening is not None and side.opening.crosses_boards
    return _RANK[side.judged.answer], crosses, -play


def _no_opening(load: Load) -> Judged:
    if load.pallet in PALLETS:
        return Judged("not known", f"openings of a {load.pallet} pallet vary by maker: measure them")
    return Judged("not known", f"the clear opening between the feet of {load.name} is not measured")


def _side(gear: Gear, load: Load, opening: Opening, measured_mm: float, *, centred: bool = False) -> _Side:
    """Judge one side: across first, then the heights; the first 'no' ends it."""
    over = gear.over_forks_mm
    if over is None:
        return _Side(Judged("not known", f"the width of {gear.name} over its forks is not known"), opening)
    at = None if centred else _beside_mm(load, opening.towards_deg)
    way = enter(opening.free, over, gear.between_forks_mm, at, _within(opening, measured_mm))
    if way is None:
        return _Side(Judged("no", f"{opening.name or load.name} has no opening for forks"), opening)
    wide = _width(gear, opening, way, over, measured_mm)
    if wide.answer != "yes":
        return _Side(wide, opening, way)
    high = _heights(gear, load, opening, measured_mm)
    if high is not None and (high.answer != "yes" or high.again):
        again = tuple(dict.fromkeys((*wide.again, *high.again)))
        return _Side(Judged(high.answer, high.why, high.measured, high.limit, high.unit, again), opening, way)
    found = _Side(wide, opening, way)
    aside = _set_words(load, found)
    return replace(found, judged=replace(wide, why=f"{wide.why}; forks {aside}")) if aside else found


def _width(gear: Gear, opening: Opening, way: Way, over: float, measured_mm: float) -> Judged:
    near = abs(way.play_mm) <= _within(opening, measured_mm)
    again = (f"{opening.name or 'the opening'}", f"{gear.name} over its forks") if near else ()
    clear, room = show_lengths(over + way.play_mm, over)
    one = len(opening.free) == 1 or not way.astride
    if way.play_mm < -1e-9:
        if one and gear.between_forks_mm is None and len(opening.free) > 1:
            words = (
                f"whether each fork of {gear.name} goes into its own opening: how wide one is is not known"
            )
            return Judged("not known", words, over + way.play_mm, over)
        where = f"a clear opening of {clear}" if one else f"{opening.name}, its openings {clear} over all,"
        words = (
            f"{where} does not take {gear.name}, {room} over its forks: {show_length(-way.play_mm)} lacking"
        )
        return Judged("no", words, over + way.play_mm, over, "mm", again)
    between = "with what stands between the forks, " if way.astride else ""
    words = (
        f"{gear.name}, {room} over its forks, goes in: {between}{show_length(way.play_mm)} to spare in all"
    )
    return Judged("yes", words, over + way.play_mm, over, "mm", again)


PLATE_MM = 5.0
"""How far off the sizes on a truck's plate may be: own figure."""


def _within(opening: Opening, measured_mm: float) -> float:
    """Return how far off what is clear and what goes into it may be together."""
    return _or(opening.wide_within_mm, measured_mm) + min(measured_mm, PLATE_MM)


def _or(told: float | None, usual: float) -> float:
    return usual if told is None else told


def _heights(gear: Gear, load: Load, opening: Opening, measured_mm: float) -> Judged | None:
    """Compare the free height with the forks lowered and raised; None where both are well."""
    free = opening.height_mm
    if free is None:
        return Judged("not known", f"the height under the base of {load.name} is not measured")
    if gear.lowered_mm is None or gear.raised_mm is None:
        which = "lowered" if gear.lowered_mm is None else "raised"
        return Judged("not known", f"the height of {gear.name} {which} is not known", free, None)
    again = ("the height under the base", "the height of the forks")
    low, under = show_lengths(gear.lowered_mm, free)
    within = _or(opening.high_within_mm, measured_mm) + min(measured_mm, PLATE_MM)
    near_low = abs(free - gear.lowered_mm) <= within
    if free < gear.lowered_mm:
        words = f"lowered, {gear.name} is {low} high, under the base of {load.name} there are {under}"
        return Judged("no", words, free, gear.lowered_mm, "mm", again if near_low else ())
    near_high = abs(gear.raised_mm - free) <= within
    high, under = show_lengths(gear.raised_mm, free)
    if gear.raised_mm <= free:
        words = (
            f"raised, {gear.name} reaches {high}, the base of {load.name} is {under} up: lay bearers on it"
        )
        return Judged("no", words, gear.raised_mm, free, "mm", again if near_high else ())
    if near_low or near_high:
        words = f"{under} under the base, {gear.name} {low} lowered and {high} raised"
        return Judged("yes", words, free, gear.lowered_mm, "mm", again)
    return None


def _lift(gear: Gear, opening: Opening | None) -> float | None:
    """Return how far the thing comes off the floor with the forks raised all the way."""
    if opening is None or opening.height_mm is None or gear.raised_mm is None:
        return None
    return max(0.0, gear.raised_mm - opening.height_mm)


def _shape(gear: Gear, load: Load, side: _Side) -> tuple[tuple[Outline, ...], tuple[str, ...]]:
    """Return the truck's outline under and behind the thing, and what of it is not known."""
    unknown = []
    if gear.fork_length_mm is None:
        unknown.append(f"how long the forks of {gear.name} are: taken to end under the thing")
    if gear.body_mm is None:
        unknown.append(f"how far {gear.name} stands out behind its forks: its outline is at least this")
    if side.opening is None or gear.over_forks_mm is None:
        return (), tuple(unknown)
    towards = side.opening.towards_deg
    near, far, _, _ = across_box(load, towards)
    tip = far if gear.fork_length_mm is None else near + gear.fork_length_mm
    middle = side.way.shift_mm if side.way is not None else 0.0
    half = gear.over_forks_mm / 2
    truck = boxed(towards, near - (gear.body_mm or 0.0), tip, middle - half, middle + half)
    return (truck,), tuple(unknown)


def _balance(gear: Gear, load: Load, side: _Side) -> tuple[tuple[str, float | None, float | None, str], ...]:
    """Return a stop where the weight falls beyond the fork tips or beside both forks."""
    if side.opening is None or load.cg_mm is None:
        return ()
    towards, found = side.opening.towards_deg, []
    near, _, _, _ = across_box(load, towards)
    into = along(load.cg_mm, towards) - near
    if gear.fork_length_mm is not None and into >= gear.fork_length_mm:
        text = (
            f"the centre of gravity of {load.name} is {show_length(into)} along the forks, "
            f"{gear.name} has forks of {show_length(gear.fork_length_mm)}: it tips off them"
        )
        found.append((text, into, gear.fork_length_mm, "mm"))
    if gear.over_forks_mm is not None and side.way is not None:
        off = abs(along(load.cg_mm, towards - 90.0) - side.way.shift_mm)
        if off >= gear.over_forks_mm / 2:
            text = (
                f"the centre of gravity of {load.name} is {show_length(off)} beside the middle of the forks"
            )
            found.append((text, off, gear.over_forks_mm / 2, "mm"))
    return tuple(found)


def _cautions(gear: Gear, load: Load, side: _Side) -> tuple[str, ...]:
    found = []
    if side.opening is not None and side.opening.crosses_boards:
        found.append(
            f"from {side.opening.name} the rollers cross boards on the floor, and must not lift standing on "
            "one (common practice, no source)"
        )
    if side.opening is not None and gear.fork_length_mm is not None:
        near, far, _, _ = across_box(load, side.opening.towards_deg)
        if gear.fork_length_mm < far - near:
            found.append(
                f"the forks end {show_length(far - near - gear.fork_length_mm)} short of the far side: see "
                "that they carry under the far feet or beyond the centre of gravity"
            )
        if load.cg_mm is None:
            found.append("the centre of gravity is not known: lift a little and look before moving")
    return tuple(found)
