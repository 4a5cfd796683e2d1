"""Lines that pull or hold a thing: to which named points, how far aside, and what stands in them.

A line goes straight from the thing to its point, by walls and by all that stands or hangs there: it has to
pass over or under each at every pose, made fast at one height on the thing. How steeply it rises to its point
from there counts as how far aside it lies does. A height that nobody told counts in full. Points in the shop
frame, in mm; forces in N; angles in degrees.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.segments import edges
from shopbins.geometry.shapes import Outline, Point, Pose, contains
from shopbins.moves.finding import Ask
from shopbins.moves.force import G_M_S2, InLine, in_line
from shopbins.moves.route import from_the_floor
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.situation import Situation, worked_once
from shopbins.moves.standing import ahead_of, centres
from shopbins.moves.tipping import highest_line_mm
from shopbins.scene.thinwalls import thin_walls
from shopbins.shop.model import Anchor, Door, Room, Slope
from shopbins.units import show_point


class Pull(NamedTuple):
    """Where a line pulls it, which way it is to pull (rad, shop frame), from which anchors not, how the
    floor falls there.
    """

    pose: Pose
    way: float
    barred: frozenset[str] = frozenset()
    slope: Slope | None = None


class Lies(NamedTuple):
    """How a line lies at a pose: how far aside of the way, and how steep to its point (below 0: falling)."""

    aside_deg: float
    rise_deg: float

    def of(self, force_n: float) -> InLine:
        """Return what is in it for a force along the way."""
        return in_line(force_n, self.aside_deg, self.rise_deg)


class Fast(NamedTuple):
    """How high on a thing a line is made fast, over which things, below `most_mm` under which (None: none),
    and how steep it is to its point at worst. `raised`: as low as it goes does not do.
    """

    at_mm: float = 0.0
    raised: bool = False
    over: tuple[str, ...] = ()
    most_mm: float | None = None
    under: str = ""
    rise_deg: float = 0.0

    @property
    def few(self) -> str:
        """In a few words: '278 mm up'; '' where it may be made fast as low as it goes."""
        return f"{math.ceil(self.at_mm)} mm up" if self.raised else ""

    @property
    def words(self) -> str:
        """In full: '278 mm up on it, over cabinet, rising 12 deg at the most'."""
        said = []
        steep = abs(self.rise_deg) >= LEVEL_DEG
        if self.raised or steep:
            over = f", over {' and '.join(self.over)}" if self.over else ""
            said.append(f"{math.ceil(self.at_mm)} mm up on it{over}")
        if steep:
            said.append(
                f"{'rising' if self.rise_deg > 0 else 'falling'} {abs(self.rise_deg):.0f} deg at the most"
            )
        if self.most_mm is not None:
            said.append(f"no higher than {math.floor(self.most_mm)} mm on it, under {self.under}")
        return ", ".join(said)


LEVEL_DEG = 1.0
"""A line that rises or falls less than this is said to lie level."""


@dataclass(frozen=True, slots=True)
class Line:
    """Lines that pull or hold a thing, one after the other: to which points, how far aside and how steep at
    worst, what is in them at the worst pose (N), and whether the points hold that (None: not told of one).

    `fast` says how high on the thing each is made fast; `high` asks how high a point is that it hangs on.
    """

    anchors: tuple[Anchor, ...]
    aside_deg: float
    rise_deg: float
    pull_n: float
    up_n: float
    holds: bool | None
    fast: tuple[Fast, ...] = ()
    high: Ask | None = None

    @property
    def load_kn(self) -> float | None:
        """What the weakest holds; None where one of them is not told."""
        loads = [a.load_kn for a in self.anchors]
        return None if None in loads else min(load for load in loads if load is not None)

    @property
    def named(self) -> str:
        """The points by name."""
        return " then ".join(a.key for a in self.anchors)

    @property
    def called(self) -> str:
        """The points by name, and how high on the thing a line to them is made fast where that counts."""
        return f"{self.named}{self.up}"

    @property
    def up(self) -> str:
        """How high on the thing they are made fast, in a few words; '' where as low as it goes does."""
        return "".join(f" {each.few}" for each in self.fast if each.few)

    @property
    def placed(self) -> str:
        """The points by name and where they are, and how high on the thing a line to them is made fast."""
        where = " then ".join(f"{a.key} at {show_point(*a.at_mm)}" for a in self.anchors)
        fast = "; ".join(each.words for each in self.fast if each.words)
        return f"{where}{fast and f' ({fast})'}"


class Thing(NamedTuple):
    """What may stand in a line: its name, from which height to which (infinite: to the ceiling, or not told)
    and how its height is told where nobody did; `carries` where a point may be fast in it.
    """

    name: str
    outline: Outline
    base_mm: float
    top_mm: float
    ask: Ask | None
    carries: bool


@dataclass(frozen=True, slots=True)
class Sight:
    """A point as seen from each pose in turn: how a line to it lies there, None behind it or past a wall.

    `barred` are the things that stand in the line at each pose, made fast so high on the thing that the
    fewest do; at those that `tips` marks it tips the thing even so; `fast` as of a `Line`; `high` asks how
    high the point is, where nobody told, and `unsure` tells that what it does hangs on that.
    """

    anchor: Anchor
    lies: tuple[Lies | None, ...]
    barred: tuple[tuple[Thing, ...], ...]
    tips: tuple[bool, ...]
    fast: Fast
    high: Ask | None = None
    unsure: bool = False

    @property
    def clear(self) -> tuple[Lies | None, ...]:
        """How it lies at each pose where nothing stands in the line and it tips nothing."""
        every = zip(self.lies, self.barred, self.tips, strict=True)
        return tuple(None if by or tips else lies for lies, by, tips in every)

    @property
    def in_it(self) -> tuple[Thing, ...]:
        """What stands in the line to a point that would do at every pose without that; () where it does."""
        if None in self.lies:
            return ()
        return tuple({thing.name: thing for by in self.barred for thing in by}.values())

    @property
    def why_not(self) -> str:
        """Why no line goes to a point that is ahead at every pose: what stands in it, that it tips it, or
        that nobody told how high the point is; '' where one goes, or it is not ahead.
        """
        if None in self.lies:
            return ""
        if names := [thing.name for thing in self.in_it]:
            stand = "stands" if len(names) == 1 else "stand"
            return f"{' and '.join(names)} {stand} in the line to {self.anchor.key}"
        if any(self.tips):
            return f"the line to {self.anchor.key} is so steep that it tips it"
        return f"how high {self.anchor.key} is is not told" if self.unsure else ""

    @property
    def ask(self) -> Ask | None:
        """What is not told, where that alone may be against it: its own height, or that of a thing."""
        things = self.in_it
        if (things or self.unsure) and self.high is not None:
            return self.high
        return next((t.ask for t in things), None) if all(t.ask for t in things) else None


def best_line(
    it: Situation, pulls: Sequence[Pull], force_n: float, most_deg: float = math.inf
) -> Line | None:
    """Return the anchors that lines pull it best by at every pose, with `force_n` along the way there, none
    farther aside than `most_deg` if that can be; None where at one pose no anchor is ahead that a line gets
    to. Worked out once for the same way.
    """
    key = "best line", tuple(pulls), force_n, most_deg
    return worked_once(it, key, lambda: _best(it, pulls, force_n, most_deg))


def _best(it: Situation, pulls: Sequence[Pull], force_n: float, most_deg: float) -> Line | None:
    """Choose among the anchors that a line gets to.

    Those told to hold what is in the line come first, then those of which it is not told; among them one
    anchor for all, then the least in the line. Only statics rule an anchor out: F / (cos a cos r) is in it.
    """
    seen = sights(it, pulls, force_n)
    every = [(sight, sight.clear) for sight in seen]
    at = [[(s, w) for s, clear in every if (w := clear[i]) is not None] for i in range(len(pulls))]
    for enough in (True, None, False):
        can = [[(s, w) for s, w in here if _can(s, w, force_n) in (True, enough)] for here in at]
        if enough is False:
            can = at
        if not can or not all(can):
            continue
        alone = [s for s, _ in can[0] if all(any(b is s for b, _ in here) for here in can)]
        lines = [_along(can, [s], force_n) for s in alone]
        lines.append(_along(can, seen, force_n))
        near = [line for line in lines if line.aside_deg <= most_deg and not far_off(it, line)]
        return min(near or lines, key=lambda line: (len(line.anchors) > 1 and bool(near), line.pull_n))
    return None


def far_off(it: Situation, line: Line) -> bool:
    """Tell whether a line lies so far aside of straight, or so steep, that it is looked at first."""
    return line.aside_deg > it.own["line aside"] or too_steep(it, line)


def too_steep(it: Situation, line: Line) -> bool:
    """Tell whether a line rises or falls so steeply that it is looked at first."""
    return abs(line.rise_deg) > it.own["line rise"] + 1e-6


def in_the_line(it: Situation, pulls: Sequence[Pull], force_n: float) -> list[Sight]:
    """Return the points ahead at every pose that no line goes to."""
    return [sight for sight in sights(it, pulls, force_n) if sight.why_not]


def barred_words(sights: Sequence[Sight]) -> str:
    """Say why no line goes to which points: ' (cabinet stands in the line to ring)'; '' with no points."""
    return f" ({'; '.join(sight.why_not for sight in sights)})" if sights else ""


def sights(it: Situation, pulls: Sequence[Pull], force_n: float) -> list[Sight]:
    """Return every point as it is seen from where lines pull, with what stands in each line."""
    anchors = [(a, room) for room in it.scene.shop.rooms.values() for a in room.anchors]
    if not anchors or not pulls:
        return []
    floor, things, stands = floor_of(it), _things(it), _Stands(it)
    found = []
    for anchor, room in anchors:
        known = anchor.height_mm
        highs = [0.0, room.headroom_mm or math.inf] if known is None else [known]
        sight = _sight(it, anchor, highs, pulls, force_n, floor, things, stands)
        if known is None:
            set_by = f"rooms: {room.key}: {{anchors: {{{anchor.key}: {{height: 300}}}}}}"
            sight = replace(sight, high=Ask(f"how high is {anchor.key}?", set_by, 1))
        found.append(sight)
    return found


def seen_at(it: Situation, pulls: Sequence[Pull], force_n: float, spot: Point) -> Sight:
    """Return how a point would be seen at a spot where none is told of, low or high on the wall."""
    floor, things, stands = floor_of(it), _things(it), _Stands(it)
    highs = dict.fromkeys(_fast_between(it, force_n, 0.0))
    every = [
        _sight(it, Anchor("it", spot, high), [high], pulls, force_n, floor, things, stands) for high in highs
    ]
    return min(every, key=lambda sight: (None in sight.lies, len(sight.in_it), any(sight.tips)))


def _sight(
    it: Situation,
    anchor: Anchor,
    highs: Sequence[float],
    pulls: Sequence[Pull],
    force_n: float,
    floor: Any,
    things: _Tree,
    stands: _Stands,
) -> Sight:
    """Look from each pose to a point, which is at one of some heights (infinite: nobody knows how high).

    The last `anchor in wall` of a line may lie in the wall it is in. A line is made fast as low as it goes
    where nothing stands in it so, it tips nothing, its point holds what is in it and it is not too steep; in
    this order.
    """
    import shapely

    asides = [_aside_deg(anchor, pull) for pull in pulls]
    ends = [(anchor.at_mm[0] - p.pose.x_mm, anchor.at_mm[1] - p.pose.y_mm) for p in pulls]
    deep = it.own["anchor in wall"]
    lines = shapely.linestrings(
        [
            ((p.pose.x_mm, p.pose.y_mm), (p.pose.x_mm + (1 - out) * dx, p.pose.y_mm + (1 - out) * dy))
            for p, (dx, dy) in zip(pulls, ends, strict=True)
            for out in (min(1.0, deep / (math.hypot(dx, dy) or 1.0)),)
        ]
    )
    ahead = [i for i, ok in enumerate(shapely.covers(floor, lines)) if ok and asides[i] is not None]
    ways = _Ways.of(it.load.outline, pulls, anchor, [(i, asides[i] or 0.0) for i in ahead])
    if not len(ways.at):
        return Sight(anchor, (None,) * len(pulls), ((),) * len(pulls), (False,) * len(pulls), Fast())
    whole = shapely.linestrings(
        [((pulls[i].pose.x_mm, pulls[i].pose.y_mm), anchor.at_mm) for i in ways.at.tolist()]
    )
    ks, ns = things.tree.query(whole, predicate="intersects")
    lengths, outs = (ways.out_mm + ways.far_mm).tolist(), ways.out_mm.tolist()
    met = [
        (int(ways.at[k]), things.things[n], blocks)
        for k, n, first, last in zip(ks, ns, *_stretches(whole[ks], things.grown[ns]), strict=True)
        if (blocks := _blocks(anchor, things.things[n], lengths[k], outs[k], first, last))
    ]
    low, most = _fast_between(it, force_n, float(ways.aside_deg.max()))
    least, greatest = stands.between(pulls, anchor, ways, highs, force_n)
    strong = _strong(anchor, ways, highs, force_n)
    flat = ways.level_with(math.tan(math.radians(min(it.own["line rise"], 89.9))), highs)
    stops = [blocks for _, _, blocks in met]
    tried = {low, most, float(least.max()), strong[0], flat[0], *(over for _, over in stops)}
    high = min(
        (z for z in tried if low <= z <= most),
        key=lambda z: (
            sum(a < z < b for a, b in stops),
            int(((z < least - HAIR_MM) | (z > greatest + HAIR_MM)).sum()),
            _beyond(z, strong),
            _beyond(z, flat),
            z,
        ),
    )
    lies: list[Lies | None] = [None] * len(pulls)
    for i, aside, far in zip(ways.at.tolist(), ways.aside_deg.tolist(), ways.far_mm.tolist(), strict=True):
        rises = [math.degrees(math.atan2(h - high, far)) for h in highs]
        lies[i] = Lies(aside, max(rises, key=abs))
    barred: list[list[Thing]] = [[] for _ in pulls]
    for i, thing, (a, b) in met:
        if a < high < b:
            barred[i].append(thing)
    over = set(ways.at[(high < least - HAIR_MM) | (high > greatest + HAIR_MM)].tolist())
    steep = max((each.rise_deg for each in lies if each is not None), key=abs)
    return Sight(
        anchor,
        tuple(lies),
        tuple(map(tuple, barred)),
        tuple(i in over for i in range(len(pulls))),
        _fast(high, low, most, met, steep),
        unsure=len(highs) > 1 and max(_beyond(high, strong), _beyond(high, flat)) > 0,
    )


class _Ways(NamedTuple):
    """The lines from each pose from which a point is ahead of the thing: the place of that pose in a row, how
    far aside the line lies, how far it goes under the thing and from there on to its point, on the floor.
    """

    at: Any
    aside_deg: Any
    out_mm: Any
    far_mm: Any

    @classmethod
    def of(
        cls, outline: Outline, pulls: Sequence[Pull], anchor: Anchor, ahead: Sequence[tuple[int, float]]
    ) -> _Ways:
        """Look along the line from each of some poses, by how far aside its point lies there."""
        import numpy as np

        at = np.array([i for i, _ in ahead], dtype=int)
        to, length = _towards(pulls, anchor, at)
        sides = [
            (b[1] - a[1], a[0] - b[0], a[0] * b[1] - a[1] * b[0]) for a, b in edges(convex_hull(outline))
        ]
        nx, ny, off = np.array(sides, dtype=float).T[:, :, None]
        leaves = nx * np.cos(to) + ny * np.sin(to)
        out = np.divide(off, leaves, out=np.full(leaves.shape, math.inf), where=leaves > 1e-9).min(axis=0)
        out = np.clip(out, 0.0, None)
        past = length - out >= 1.0
        aside = np.array([a for _, a in ahead], dtype=float)
        return cls(at[past], aside[past], out[past], (length - out)[past])

    def level_with(self, tangents: Any, highs: Sequence[float]) -> tuple[float, float]:
        """Return between which heights on the thing no line is steeper than a tangent, or each its own."""
        off = float((self.far_mm * tangents).min())
        return max(h - off for h in highs), min(h + off for h in highs)


def _towards(pulls: Sequence[Pull], anchor: Anchor, at: Any) -> tuple[Any, Any]:
    """Return which way a point lies from each of some poses, in the thing's frame (rad), and how far."""
    import numpy as np

    poses = [pulls[i].pose for i in at.tolist()]
    x, y, turn = np.array([(p.x_mm, p.y_mm, p.turn_deg) for p in poses], dtype=float).reshape(-1, 3).T
    dx, dy = anchor.at_mm[0] - x, anchor.at_mm[1] - y
    return np.arctan2(dy, dx) - np.radians(turn), np.hypot(dx, dy)


def _beyond(z: float, band: tuple[float, float]) -> float:
    """Return how far a height lies outside a band, 0 within it or by no more than a hair."""
    off = max(band[0] - z, z - band[1])
    return off if off > HAIR_MM else 0.0


HAIR_MM = 1e-6
"""Heights nearer than this are one."""


def _strong(anchor: Anchor, ways: _Ways, highs: Sequence[float], force_n: float) -> tuple[float, float]:
    """Return between which heights on the thing a point holds what is in every line: F / cos a / cos r."""
    import numpy as np

    flat = force_n / np.cos(np.radians(ways.aside_deg))
    if anchor.load_kn is None or force_n <= 0 or flat.max() >= anchor.load_kn * 1000:
        return -math.inf, math.inf  # not told, or it does not hold it however level
    return ways.level_with(np.sqrt((anchor.load_kn * 1000 / flat) ** 2 - 1), highs)


class _Stands:
    """What a thing goes over where a line pulls it: every edge of all it may stand on, with every centre."""

    def __init__(self, it: Situation) -> None:
        """Look at what it stands on in a situation."""
        import numpy as np

        lift, self._kg = _up_mm(it), it.load.least_kg
        rows = []
        for stance, c in itertools.product(it.gear.stances, centres(it)):
            for a, b in edges(convex_hull(stance.polygon)):
                if wide := math.dist(a, b):
                    n = (b[1] - a[1]) / wide, (a[0] - b[0]) / wide
                    off = a[0] * n[0] + a[1] * n[1]
                    rows.append((*n, off, off - c.x_mm * n[0] - c.y_mm * n[1], c.z_mm + lift))
        self._rows = np.unique(np.array(rows, dtype=float).reshape(-1, 5), axis=0)

    def between(
        self, pulls: Sequence[Pull], anchor: Anchor, ways: _Ways, highs: Sequence[float], force_n: float
    ) -> tuple[Any, Any]:
        """Return between which heights on the thing the line from each pose tips it over none of its edges.

        A force acts anywhere along its line. Moments about an edge, the line made fast p beyond it, on a
        floor that falls by t: F (z cos b - p tan r) <= W (d cos t - H sin t cos f); b and f are the angles
        of line and fall to the edge's outward normal.
        """
        import numpy as np

        least, most = np.full(len(ways.at), -math.inf), np.full(len(ways.at), math.inf)
        if self._kg is None or force_n <= 0 or not len(self._rows) or math.inf in highs:
            return least, most
        nx, ny, off, inside, high = self._rows.T[:, :, None]
        to, _ = _towards(pulls, anchor, ways.at)
        falls = [
            (0.0, 0.0) if s is None else (math.atan(s.fall), math.radians(s.towards_deg - p.turn_deg))
            for p, s in ((pulls[i].pose, pulls[i].slope) for i in ways.at.tolist())
        ]
        t, down = np.array(falls, dtype=float).T
        keeps = inside * np.cos(t) - high * np.sin(t) * (nx * np.cos(down) + ny * np.sin(down))
        cos_b = nx * np.cos(to) + ny * np.sin(to)
        far, beyond = ways.far_mm, ways.out_mm * cos_b - off
        weight = self._kg * G_M_S2 * keeps * np.cos(np.radians(ways.aside_deg)) / force_n
        by = cos_b + beyond / far
        for h in highs:
            at = np.divide(weight + beyond * h / far, by, out=np.zeros_like(by), where=by != 0)
            most = np.minimum(most, np.where((keeps > 0) & (by > 1e-9), at, math.inf).min(axis=0))
            least = np.maximum(least, np.where((keeps > 0) & (by < -1e-9), at, -math.inf).max(axis=0))
        return least, most


def _aside_deg(anchor: Anchor, pull: Pull) -> float | None:
    """Return how far aside of the way a point ahead lies; None of one that is not ahead, or is barred."""
    pose, way, barred, _ = pull
    dx, dy = anchor.at_mm[0] - pose.x_mm, anchor.at_mm[1] - pose.y_mm
    ahead, across = dx * math.cos(way) + dy * math.sin(way), dy * math.cos(way) - dx * math.sin(way)
    if anchor.key in barred or ahead <= 1.0:
        return None
    return abs(math.degrees(math.atan2(across, ahead)))


def _fast_between(it: Situation, force_n: float, aside_deg: float) -> tuple[float, float]:
    """Return how low and how high on the thing a line may be made fast: from where there is something to tie
    to up to where the pull tips it, or to its top.
    """
    up, low = _up_mm(it), lowest_tie_mm(it)
    mass, height = it.load.least_kg, it.load.height_mm
    most = low if height is None else up + height
    if mass is not None and aside_deg < 90.0:
        most = min(most, highest_pull_mm(it, mass, in_line(force_n, aside_deg).pull_n, aside_deg))
    return low, max(low, most)


def lowest_tie_mm(it: Situation) -> float:
    """Return how high over the floor the lowest place is that a line is tied to: the thing's underside, or
    the belly of its gear, if that is lower. Loose skates and rollers are pulled out from under it: none is
    tied to them (common practice, no source).
    """
    load, belly = it.load, it.gear.gear.clearance_mm
    under = _up_mm(it) + (load.under_mm or 0.0 if len(load.feet) >= 3 else 0.0)
    return under if belly is None or it.kind in LOOSE else min(under, belly)


def _up_mm(it: Situation) -> float:
    """Return how much higher a thing is on its gear at its lowest than where it stands now."""
    return 0.0 if it.gear.up_mm is None else it.gear.up_mm[0]


LOOSE = ("skates", "rollers and bar")
"""Gear that is not one body."""


def _stretches(lines: Any, areas: Any) -> tuple[list[float], list[float]]:
    """Return how far along each line it first and last meets its area: infinite, minus infinite: nowhere."""
    import numpy as np
    import shapely

    points, of = shapely.get_coordinates(shapely.intersection(lines, areas), return_index=True)
    along = shapely.line_locate_point(lines[of], shapely.points(points))
    first, last = np.full(len(lines), math.inf), np.full(len(lines), -math.inf)
    np.minimum.at(first, of, along)
    np.maximum.at(last, of, along)
    return first.tolist(), last.tolist()


def _blocks(
    anchor: Anchor, thing: Thing, length: float, out: float, first: float, last: float
) -> tuple[float, float] | None:
    """Return between which heights on the thing a line meets what stands in it from `first` to `last`; None:
    at none. It comes `out` of the thing's outline so far along it.

    At a share u of the way to its point a line made fast at z is z (1 - u) + h u high.
    """
    near, far = max(out, first), last
    if far <= out or (thing.carries and (length - near <= FAST_MM or contains(thing.outline, anchor.at_mm))):
        return None
    if anchor.height_mm is None:
        return -math.inf, math.inf
    shares = [(s - out) / (length - out) for s in (near, far)]
    over = max(_from_mm(thing.top_mm, anchor.height_mm, u) for u in shares)
    under = min(_from_mm(thing.base_mm, anchor.height_mm, u) for u in shares)
    return None if under >= over else (under, over)


def _from_mm(at_mm: float, point_mm: float, share: float) -> float:
    """Return how high on the thing a line is made fast that is so high at a share of the way to its point."""
    if share >= 1.0 - 1e-9:
        return math.inf if at_mm > point_mm else -math.inf
    return (at_mm - point_mm * share) / (1.0 - share)


def _fast(
    high: float,
    low: float,
    most: float,
    met: Sequence[tuple[int, Thing, tuple[float, float]]],
    rise_deg: float,
) -> Fast:
    """Return how high on the thing a line is made fast, what it goes over and under so, and how steep."""
    over = tuple(dict.fromkeys(t.name for _, t, (a, b) in met if a < low < b <= high))
    hangs = [(a, t.name) for _, t, (a, _) in met if high <= a < most]
    at, name = min(hangs, default=(None, ""))
    return Fast(high, high > low, over, at, name, rise_deg)


FAST_MM = 20.0
"""What a line first meets nearer than this to its point is taken as what the point is fast in: own figure."""


def highest_pull_mm(it: Situation, mass_kg: float, pull_n: float, aside_deg: float) -> float:
    """Return how high a line may pull, so far aside of the way, before it tips the thing over any edge.

    Over each edge works what of the pull is square to it, the way along the gear's axis and to either side:
    W d >= F z. What goes any way is pulled over every edge with all of it.
    """
    axis, aside = it.gear.axis_deg, math.radians(aside_deg)
    steered = it.gear.steering == "radius"
    every = [*ahead_of(it, axis), *ahead_of(it, axis + 90.0)] if steered else ahead_of(it)
    found = []
    for edge in every:
        b = math.radians(edge.outward_deg - axis)
        share = math.cos(aside) * abs(math.cos(b)) + math.sin(aside) * abs(math.sin(b)) if steered else 1.0
        found.append(highest_line_mm(mass_kg, edge.inside_mm, pull_n * share))
    return min(found, default=math.inf)


# --- what a line goes by ------------------------------------------------------------------------------------


class _Tree(NamedTuple):
    """All that may stand in a line, each as much larger as it may be off, in a tree."""

    things: tuple[Thing, ...]
    grown: Any
    tree: Any


def _things(it: Situation) -> _Tree:
    """Return what stands and hangs in every room once all is shifted, and the leaves and heads of doors."""
    every = () if it.attempt is None else it.attempt.shifted
    shifted = tuple((each.subject, each.where, each.place) for each in every)
    off = () if it.attempt is None else it.attempt.leaves_off
    rests = () if it.attempt is None else tuple((it.attempt.resting or {}).items())
    key = ("in a line", it.body.group.id, it.body.along, shifted, off, rests, it.route)
    found: _Tree | None = it.scene.memo.get(key)
    if found is None:
        found = it.scene.memo[key] = _tree(tuple(_standing(it)), it.measured_mm)
    return found


def _tree(things: tuple[Thing, ...], measured_mm: float) -> _Tree:
    import numpy as np
    import shapely

    grown = [shapely.Polygon(t.outline).buffer(measured_mm, join_style="mitre") for t in things]
    return _Tree(things, np.array(grown, dtype=object), shapely.STRtree(grown))


def _standing(it: Situation) -> list[Thing]:
    scene, own, slack = it.scene, f"group:{it.body.group.id}", it.measured_mm
    found: list[Thing] = []
    if it.attempt is not None:
        scene = shifted_scene(scene, it.attempt.shifted)
        for part in it.body.off:
            where = (it.attempt.resting or {}).get(part.called)
            if part.group and where is not None:
                scene = scene.with_group_at(part.group, where)
        leaves = () if it.attempt.ground is None else it.attempt.ground.leaves
        doors = scene.shop.doors
        found += [Thing(f"the leaf of {doors[k].name}", o, 0.0, math.inf, None, False) for k, o in leaves]
    for room in scene.shop.rooms:
        for stands in scene.standing(room):
            body = from_the_floor(scene, stands)
            if body.subject == own or body.key in it.body.along or body.in_floor:
                continue
            ask = None
            if body.kind == "group" and body.top_mm is None and not body.top_known:
                ask = Ask(f"how high is {body.name}?", f"shopbins set {body.code} --size 600x400x800mm", 1)
            top = math.inf if body.top_mm is None else body.top_mm + slack
            fixed = body.kind == "fixture" and not body.movable
            base = body.base_mm - slack if body.base_mm > slack else -math.inf
            found.append(Thing(body.name, body.outline, base, top, ask, fixed))
    for door in scene.shop.doors.values():
        if door.passage and door.height_mm is not None:
            head = f"the head of {door.name}"
            found.append(Thing(head, door.passage, door.height_mm - slack, math.inf, None, False))
    return found


def floor_of(it: Situation) -> Any:
    """Return the floor of the whole shop with its doorways."""
    shop = it.scene.shop
    return joined(tuple(shop.rooms.values()), tuple(shop.doors.values()))


@lru_cache(maxsize=4)
def joined(rooms: tuple[Room, ...], doors: tuple[Door, ...]) -> Any:
    """Join rooms and doorways to one floor, walls between them left: each line that is looked for, each point
    that is taped, asks for the same again.
    """
    import shapely

    from shopbins.kernel.ground import floor_polygon

    passages = [(door, door.passage) for door in doors if door.passage]
    outlines = (*(room.outline for room in rooms), *(passage for _, passage in passages))
    walls = [shapely.Polygon(wall) for _, wall in thin_walls(rooms, passages, 2 * JOIN_MM)]
    floor = floor_polygon(outlines).buffer(JOIN_MM).difference(shapely.union_all(walls))
    shapely.prepare(floor)
    return floor


JOIN_MM = 1.0
"""So much wider the floors of rooms and doorways join to one."""


# --- which line does ----------------------------------------------------------------------------------------


def _can(sight: Sight, lies: Lies, force_n: float) -> bool | None:
    """Tell whether an anchor holds what is in the line; None where its load, or a height it hangs on, is not
    told.
    """
    load = sight.anchor.load_kn
    if load is None:
        return None
    if sight.unsure:
        return None if load * 1000 >= in_line(force_n, lies.aside_deg).pull_n else False
    return load * 1000 * (1 + 1e-9) >= lies.of(force_n).pull_n


def _along(can: Sequence[Sequence[tuple[Sight, Lies]]], among: Sequence[Sight], force_n: float) -> Line:
    """Return the line that goes at each pose to the anchor with least in it."""
    used: dict[str, Sight] = {}
    told: list[bool | None] = []
    every: list[Lies] = []
    for at in can:
        sight, lies = min(
            ((s, w) for s, w in at if any(s is a for a in among)), key=lambda e: e[1].of(force_n).pull_n
        )
        used[sight.anchor.key] = sight
        every.append(lies)
        told.append(_can(sight, lies, force_n))
    holds = False if False in told else None if None in told else True
    most = max((lies.of(force_n) for lies in every), key=lambda n: n.pull_n)
    return Line(
        tuple(s.anchor for s in used.values()),
        max(lies.aside_deg for lies in every),
        max((lies.rise_deg for lies in every), key=abs),
        most.pull_n,
        max((lies.of(force_n).up_n for lies in every), key=abs),
        holds,
        tuple(sight.fast for sight in used.values()),
        next((s.high for s in used.values() if s.unsure), None),
    )
