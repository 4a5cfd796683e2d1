"""Where the floor comes up: under what hangs lowest, as a way goes over a crest or the foot of a slope.

Two floors that meet in a bend of change T = tan(t): over a crest the floor comes up between the wheels,
beyond them it falls away; at a foot it comes up beyond them, between them it falls away. Both in closed form.
Bends that may both lie under it at once, as the tops of ramps on both sides of a sill, are rolled over as the
floor runs there.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

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


Profile = tuple[Point, ...]
"""A floor along the way: places and how high it is there, straight between and straight on beyond; a step is
two heights at one place, the first of them before it.
"""


@lru_cache(maxsize=8192)
def comes_up_mm(floor: Profile, base_mm: float, from_mm: float, to_mm: float) -> float:
    """Return how far a floor comes up over the straight line through two wheels `base_mm` apart, under what
    lies `from_mm` to `to_mm` ahead of the rear one, between them or beyond: the most of every place of both.

    Straight pieces: the most is where what is low or a wheel is at a bend or, with what is low over a bend,
    at the vertex of a parabola. On a step each counts as is worse, what is low as above. Measured upright:
    never less than square to that line.
    """
    bends = sorted({x for x, _ in floor})

    def up(wheel_mm: float, a: float) -> float:
        share = a / base_mm
        rear = high_at(floor, wheel_mm, max if share > 1 else min)
        front = high_at(floor, wheel_mm + base_mm, max if share < 0 else min)
        return high_at(floor, wheel_mm + a, max) - (1 - share) * rear - share * front

    most = max(up(x - at, a) for a in (from_mm, to_mm) for x in bends for at in (0.0, a, base_mm))
    for x in bends:
        meets = {min(max(x - y + b, from_mm), to_mm) for y in bends for b in (0.0, base_mm)}
        places = sorted(meets | {from_mm, to_mm})
        most = max(most, *(up(x - at, at) for at in places))
        for a, b in itertools.pairwise(places):
            middle, step = (a + b) / 2, (b - a) / 4
            low, half, high = (up(x - at, at) for at in (middle - step, middle, middle + step))
            curve = low - 2 * half + high
            if curve < -1e-12:
                vertex = min(max(middle + step * (low - high) / (2 * curve), a), b)
                half = up(x - vertex, vertex)
            most = max(most, half)
    return most


SAME_MM = 1e-6
"""Bends of a floor so near are one."""


def high_at(floor: Profile, x: float, of: Callable[[Sequence[float]], float]) -> float:
    """Return how high a floor is at a place; on a step that of both that `of` picks."""
    first = bisect_left(floor, (x - SAME_MM,))
    end = bisect_left(floor, (x + SAME_MM, math.inf), first)
    if first < end:
        return of([z for _, z in floor[first:end]])
    after = min(max(first, 1), len(floor) - 1)
    (a, low), (b, high) = floor[after - 1], floor[after]
    return low + (high - low) * (x - a) / (b - a)


@dataclass(frozen=True, slots=True)
class Bend:
    """Where floors meet: `change` of slope as tan(t), over it as a crest, a foot, or (not known) both.

    `across_deg` are the directions it is crossed in, in the thing's own frame; the floor comes up
    `most_mm` at the most, as high as a ramp is; `edge_mm` stands over it there, as thick as a plate is.
    Of two crests one behind the other, each of that change, `floor` is the floor over both; of `several`
    others close together, the sharpest of that change, that over all. `over_deg` is the way it goes there,
    square to where floors meet, in the shop frame (None: along that, or not known).
    """

    where: str
    change: float
    crest: bool
    foot: bool
    across_deg: tuple[float, ...]
    rooms: tuple[str, ...] = ()
    most_mm: float = math.inf
    edge_mm: float = 0.0
    floor: Profile = ()
    several: bool = False
    over_deg: float | None = None

    @property
    def apart_mm(self) -> float:
        """How far apart two crests are; 0 of one."""
        tops = [x for x, z in self.floor if z == max(high for _, high in self.floor)]
        return tops[-1] - tops[0] if tops else 0.0

    @property
    def words(self) -> str:
        """Where it is, and how sharp: 'over ramps at mid, two bends of 1 in 15 (3.8 deg) 300 mm apart'."""
        if self.several:
            return f"{self.where}, reckoned together"
        sharp = show_slope(self.change)
        if not self.floor:
            return f"{self.where}, a bend of {sharp}"
        return f"{self.where}, two bends of {sharp} {show_length(self.apart_mm)} apart"

    def over_crest_mm(self, base_mm: float, from_mm: float, to_mm: float) -> float:
        """Return how far it comes up as a crest under what lies so far ahead of the rear wheel: the most."""
        low, high = max(from_mm, 0.0), min(to_mm, base_mm)
        if base_mm <= 0 or low > high:
            return 0.0
        if self.floor:
            return comes_up_mm(self.floor, base_mm, low, high)
        at = min(max(base_mm / 2, low), high)
        return crest_mm(at, base_mm - at, self.change) + self.edge_mm

    def beyond_mm(self, base_mm: float, from_mm: float, to_mm: float) -> float:
        """Return how far it comes up as a foot under what lies so far ahead of the rear wheel, beyond the
        wheels: the most.
        """
        out = max(-from_mm, to_mm - base_mm, 0.0)
        if not self.several or not out or base_mm <= 0:
            return foot_mm(out, self.change) + (self.edge_mm if out else 0.0)
        ends = ((from_mm, min(to_mm, 0.0)), (max(from_mm, base_mm), to_mm))
        return max(comes_up_mm(self.floor, base_mm, a, b) for a, b in ends if a <= b)


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
            up = bend.beyond_mm(front - rear, min(places) - rear, max(places) - rear)
            found.append((up, max(rear - min(places), max(places) - front, 0.0)))
        if bend.crest:
            up = bend.over_crest_mm(front - rear, min(places) - rear, max(places) - rear)
            found.append((up, 0.0))
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
    return tuple(bend for _, bend in met(it))


def met(it: Situation) -> Iterator[tuple[int, Bend]]:
    """Go through where floors of other slopes meet on the way: the leg before it, and the bend."""
    if not it.gear.stances or it.kind in ("by hand", *HOISTS):
        return
    reach = max((math.hypot(*p) for p in it.hull), default=0.0)
    for i, (a, b) in enumerate(itertools.pairwise(it.legs)):
        x, y = (q - p for p, q in zip(_falling(a.room), _falling(b.room), strict=True))
        change = math.hypot(x, y)
        if a.room.key != b.room.key and change >= 1e-9:
            yield i, _bend(it.legs, i, reach, math.degrees(math.atan2(y, x)), change)


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
        over_deg=None if not known else steeper_deg if aside < 90.0 else steeper_deg + 180.0,
    )


def eased(rise: Rise, free_mm: float, hull: Outline) -> Iterator[str]:
    """Say what ends a refusal: bends so small that each is cleared, set far enough apart; other gear."""
    bend, free = rise.bend, max(free_mm, 0.0)
    change = bend.change
    if free <= 0:
        return
    if bend.several:
        yield f"longer ramps, or boards {bend.where} that ease the floor there"
        yield "gear of a shorter wheelbase" if not rise.out_mm else "gear whose wheels stand farther out"
        return
    parts = math.ceil(rise.mm / free + 1e-9)
    far = max(math.dist(p, q) for p, q in itertools.combinations(hull, 2)) if rise.out_mm else rise.base_mm
    yield (
        f"boards {bend.where} that make {parts} bends of it, {show_slope(change / parts)} each, "
        f"{show_length(far)} apart"
    )
    if rise.out_mm:
        yield f"gear whose wheels stand within {show_length(free / change)} of the far end"
    else:
        base = 4 * free / change
        base = max(min(base, bend.apart_mm), base / 2) if bend.floor else base
        yield f"gear of a wheelbase under {show_length(base)}"
