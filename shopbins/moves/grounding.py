"""Where the floor comes up: under what hangs lowest, as a way goes over a crest or the foot of a slope.

Two floors that meet in a bend of change T = tan(t): over a crest the floor comes up between the wheels,
beyond them it falls away; at a foot it comes up beyond them, between them it falls away. Both in closed form.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Point, turn_between
from shopbins.moves.fitted import HOISTS, along
from shopbins.moves.forks import Foot
from shopbins.moves.legs import Leg
from shopbins.moves.situation import Situation
from shopbins.shop.model import Room
from shopbins.units import show_length, show_point, show_slope


def crest_mm(behind_mm: float, ahead_mm: float, change: float) -> float:
    """Return how far a crest comes up under a point between wheels so far behind and ahead of it.

    The angles at both wheels add up to t: (b/2) tan(t/2) in their middle, 0 at a wheel. `change` is tan(t).
    """
    if behind_mm <= 0 or ahead_mm <= 0 or change <= 0:
        return 0.0
    b = behind_mm + ahead_mm
    return (math.sqrt(b * b + 4 * change * change * behind_mm * ahead_mm) - b) / (2 * change)


def foot_mm(overhang_mm: float, change: float) -> float:
    """Return how far the foot of a slope comes up under what is so far out beyond the wheels: o tan(t)."""
    return max(0.0, overhang_mm) * change


@dataclass(frozen=True, slots=True)
class Bend:
    """Where floors meet: `change` of slope as tan(t), over it as a crest, a foot, or (not known) both.

    `across_deg` are the directions it is crossed in, in the thing's own frame; the floor comes up
    `most_mm` at the most, as high as a ramp is; `edge_mm` stands over it there, as thick as a plate is.
    """

    where: str
    change: float
    crest: bool
    foot: bool
    across_deg: tuple[float, ...]
    rooms: tuple[str, str] = ("", "")
    most_mm: float = math.inf
    edge_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Low:
    """What hangs low: points of the thing's frame, and how high they are over where it is lifted to (of a
    load) or over the floor (of gear); None: not told.
    """

    name: str
    points: tuple[Point, ...]
    high_mm: float | None


@dataclass(frozen=True, slots=True)
class Rise:
    """How far the floor comes up under one low thing, and how far out beyond the wheels (0: between them)."""

    low: Low
    mm: float
    out_mm: float
    base_mm: float
    bend: Bend


def loads_low(it: Situation) -> tuple[Low, ...]:
    """Return the load's own lowest points: what it stands on, and its underside, over its lift."""
    load = it.load
    outline = load.own or load.outline
    if len(load.feet) < 3:
        return (Low(f"what {it.name} stands on", outline, 0.0),)
    under = Low(f"the underside of {it.name}", outline, load.under_mm or 0.0)
    return (
        *(Low(f"the foot of {it.name} at {show_point(*f.point)}", _pad(f), 0.0) for f in load.feet),
        under,
    )


def _pad(foot: Foot) -> tuple[Point, ...]:
    dx, dy = foot.pad_mm or (0.0, 0.0)
    ends = itertools.product((-1, 1), repeat=2)
    return tuple((foot.x_mm + a * dx / 2, foot.y_mm + b * dy / 2) for a, b in ends)


def gears_low(it: Situation) -> tuple[Low, ...]:
    """Return the gear's own belly; rollers have none, and of skates each is one, judged where it is told."""
    gear = it.gear.gear
    if it.kind == "rollers and bar" or (it.kind == "skates" and gear.clearance_mm is None):
        return ()
    parts = it.gear.parts[1:]
    if it.kind == "skates":
        return tuple(Low(gear.name, part, gear.clearance_mm) for part in parts)
    return (Low(gear.name, (*(p for part in parts for p in part), *it.gear.wheels), gear.clearance_mm),)


def rise_under(low: Low, stance: Sequence[Point], bend: Bend) -> Rise:
    """Return the most the floor comes up under something low, over every direction the bend is crossed in."""
    worst = Rise(low, 0.0, 0.0, 0.0, bend)
    for deg in bend.across_deg:
        wheels, places = [along(p, deg) for p in stance], [along(p, deg) for p in low.points]
        rear, front = min(wheels), max(wheels)
        found = []
        if bend.foot:
            out = max(rear - min(places), max(places) - front, 0.0)
            found.append((foot_mm(out, bend.change) + (bend.edge_mm if out else 0.0), out))
        if bend.crest:
            at = min(max((rear + front) / 2, min(places)), max(places))
            found.append((crest_mm(at - rear, front - at, bend.change) + bend.edge_mm, 0.0))
        for mm, out in found:
            if mm > worst.mm:
                worst = Rise(low, min(mm, bend.most_mm), out, front - rear, bend)
    return worst


def worst_rise(it: Situation, lows: Iterable[Low], bends: Iterable[Bend]) -> Rise | None:
    """Return where least is left under what hangs low; None where the floor comes up under none of it."""
    found = [
        rise_under(low, stance.polygon, bend)
        for low, bend, stance in itertools.product(lows, bends, it.gear.stances)
    ]
    return max((r for r in found if r.mm > 0), key=lambda r: r.mm - (r.low.high_mm or 0.0), default=None)


def must_lift_mm(it: Situation, bends: Iterable[Bend]) -> tuple[float, Rise | None]:
    """Return how high a load has to be lifted to clear the floor at bends: 0 where it does anyhow."""
    rise = worst_rise(it, loads_low(it), bends)
    return (0.0, None) if rise is None else (max(0.0, rise.mm - (rise.low.high_mm or 0.0)), rise)


def bends(it: Situation) -> tuple[Bend, ...]:
    """Return where floors of other slopes meet on the way, as they are crossed there."""
    if not it.gear.stances or it.kind in ("by hand", *HOISTS):
        return ()
    reach = max((math.hypot(*p) for p in it.hull), default=0.0)
    found = []
    for i, (a, b) in enumerate(itertools.pairwise(it.legs)):
        x, y = (q - p for p, q in zip(_falling(a.room), _falling(b.room), strict=True))
        change = math.hypot(x, y)
        if a.room.key == b.room.key or change < 1e-9:
            continue
        found.append(_bend(it.legs, i, reach, math.degrees(math.atan2(y, x)), change))
    return tuple(found)


def _falling(room: Room) -> Point:
    """Return how a floor falls along x and y; 0 where it is level or not told (told of elsewhere)."""
    if room.slope is None:
        return 0.0, 0.0
    towards = math.radians(room.slope.towards_deg)
    return room.slope.fall * math.cos(towards), room.slope.fall * math.sin(towards)


def _bend(legs: Sequence[Leg], i: int, reach: float, steeper_deg: float, change: float) -> Bend:
    """Return the bend after leg `i`, looked at in every turn the thing has while it lies across it.

    Floors that meet meet across the way they fall apart; where it goes along that line, as both.
    """
    a, b = legs[i], legs[i + 1]
    at = b.poses[0]
    poses = [p for leg in legs for p in leg.poses if math.hypot(p.x_mm - at.x_mm, p.y_mm - at.y_mm) <= reach]
    first = next(p for p in a.poses if p in poses or p is a.poses[-1])
    last = next(p for p in reversed(b.poses) if p in poses or p is at)
    gone = math.degrees(math.atan2(last.y_mm - first.y_mm, last.x_mm - first.x_mm))
    aside = abs(turn_between(gone, steeper_deg))
    known = math.hypot(last.x_mm - first.x_mm, last.y_mm - first.y_mm) > 1.0 and abs(aside - 90.0) > 30.0
    over = steeper_deg if known else gone
    turns = {round(p.turn_deg, 0) for p in poses} | {at.turn_deg}
    return Bend(
        f"where {a.room.name} meets {b.room.name}",
        change,
        not known or aside < 90.0,
        not known or aside > 90.0,
        tuple(sorted({(over - t) % 180.0 for t in turns})),
        (a.room.key, b.room.key),
    )


def eased(rise: Rise, free_mm: float, hull: Outline) -> Iterator[str]:
    """Say what ends a refusal: bends so small that each is cleared, set far enough apart; other gear."""
    change, free = rise.bend.change, max(free_mm, 0.0)
    if free <= 0:
        return
    parts = math.ceil(rise.mm / free + 1e-9)
    far = max(math.dist(p, q) for p, q in itertools.combinations(hull, 2))
    yield (
        f"boards {rise.bend.where} that make {parts} bends of it, {show_slope(change / parts)} each, "
        f"{show_length(far)} apart"
    )
    if rise.out_mm:
        yield f"gear whose wheels stand within {show_length(free / change)} of the far end"
    else:
        yield f"gear of a wheelbase under {show_length(4 * free / change)}"
