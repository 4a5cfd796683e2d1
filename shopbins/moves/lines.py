"""Lines that pull or hold a thing: to which named points, how far aside, and what stands in them.

A line goes straight from the thing to its point, by walls and by all that stands or hangs there: it has to
pass over or under each at every pose, made fast at one height on the thing. A height that nobody told counts
in full. Points in the shop frame, in mm; forces in N; angles in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, NamedTuple

from shopbins.geometry.shapes import Outline, Pose, contains, placed
from shopbins.moves.finding import Ask
from shopbins.moves.force import pull_n
from shopbins.moves.route import from_the_floor
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.situation import Situation
from shopbins.moves.standing import ahead_of
from shopbins.moves.tipping import highest_line_mm
from shopbins.rules.covers import is_cover
from shopbins.shop.model import Anchor
from shopbins.units import show_point


class Pull(NamedTuple):
    """Where a line pulls it, which way it is to pull (rad, in the shop frame), and from which anchors not."""

    pose: Pose
    way: float
    barred: frozenset[str] = frozenset()


class Fast(NamedTuple):
    """How high on a thing a line has to be made fast: from `least_mm` up over some things, below `most_mm`
    under one (None: as low, as high as it may be).
    """

    least_mm: float | None = None
    over: tuple[str, ...] = ()
    most_mm: float | None = None
    under: str = ""

    @property
    def few(self) -> str:
        """In a few words: '278 mm up'; '' where it may be made fast as low as it goes."""
        return "" if self.least_mm is None else f"{math.ceil(self.least_mm)} mm up"

    @property
    def words(self) -> str:
        """In full: '278 mm up on it, over cabinet'."""
        said = []
        if self.least_mm is not None:
            said.append(f"{math.ceil(self.least_mm)} mm up on it, over {' and '.join(self.over)}")
        if self.most_mm is not None:
            said.append(f"no higher than {math.floor(self.most_mm)} mm on it, under {self.under}")
        return ", ".join(said)


@dataclass(frozen=True, slots=True)
class Line:
    """Lines that pull or hold a thing, one after the other: to which points, how far aside at worst, what is
    in them then (N), and whether the points hold that (None: not told of one).

    `fast` says how high on the thing each has to be made fast to clear what stands there.
    """

    anchors: tuple[Anchor, ...]
    aside_deg: float
    pull_n: float
    holds: bool | None
    fast: tuple[Fast, ...] = ()

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
    """A point as seen from each pose in turn: how far aside it lies there, None behind it or past a wall.

    `barred` are the things that stand in the line at each pose, made fast so high on the thing (`high_mm`)
    that the fewest do; `fast` as of a `Line`; `high` asks how high the point is, where nobody told.
    """

    anchor: Anchor
    aside_deg: tuple[float | None, ...]
    barred: tuple[tuple[Thing, ...], ...]
    fast: Fast
    high: Ask | None = None

    @property
    def clear_deg(self) -> tuple[float | None, ...]:
        """How far aside it lies at each pose where nothing stands in the line."""
        return tuple(None if by else aside for aside, by in zip(self.aside_deg, self.barred, strict=True))

    @property
    def in_it(self) -> tuple[Thing, ...]:
        """What stands in the line to a point that would do at every pose without that; () where it does."""
        if None in self.aside_deg:
            return ()
        return tuple({thing.name: thing for by in self.barred for thing in by}.values())

    @property
    def ask(self) -> Ask | None:
        """What is not told, where that alone may stand in it: its own height, or that of a thing."""
        things = self.in_it
        if things and self.high is not None:
            return self.high
        return next((t.ask for t in things), None) if all(t.ask for t in things) else None


def best_line(
    it: Situation, pulls: Sequence[Pull], force_n: float, most_deg: float = math.inf
) -> Line | None:
    """Return the anchors that lines pull it best by at every pose, with `force_n` along the way there, none
    farther aside than `most_deg` if that can be; None where at one pose no anchor is ahead that a line gets
    to. Worked out once for the same way.
    """
    known = it.scene.memo.setdefault("best lines", {})
    key, about = (tuple(pulls), force_n, most_deg), (it.attempt, it.gear, it.body)
    found = known.get(key)
    if found is None or any(a is not b for a, b in zip(found[0], about, strict=True)):
        found = known[key] = about, _best(it, pulls, force_n, most_deg)
    line: Line | None = found[1]
    return line


def _best(it: Situation, pulls: Sequence[Pull], force_n: float, most_deg: float) -> Line | None:
    """Choose among the anchors that a line gets to.

    Those told to hold what is in the line come first, then those of which it is not told; among them one
    anchor for all, then the least aside. Only statics rule an anchor out: F / cos(a) is in the line.
    """
    seen = sights(it, pulls, force_n)
    every = [(sight, sight.clear_deg) for sight in seen]
    at = [[(s, w) for s, clear in every if (w := clear[i]) is not None] for i in range(len(pulls))]
    for enough in (True, None, False):
        can = [[(s, w) for s, w in here if _can(s.anchor, w, force_n) in (True, enough)] for here in at]
        if enough is False:
            can = at
        if not can or not all(can):
            continue
        alone = [s for s, _ in can[0] if all(any(b is s for b, _ in here) for here in can)]
        lines = [_along(can, [s], force_n) for s in alone]
        lines.append(_along(can, seen, force_n))
        near = [line for line in lines if line.aside_deg <= min(most_deg, it.own["line aside"])]
        return min(near or lines, key=lambda line: (len(line.anchors) > 1 and bool(near), line.aside_deg))
    return None


def in_the_line(it: Situation, pulls: Sequence[Pull], force_n: float) -> list[Sight]:
    """Return the points that would do at every pose but for what stands in the line to them."""
    return [sight for sight in sights(it, pulls, force_n) if sight.in_it]


def barred_words(sights: Sequence[Sight]) -> str:
    """Say what stands in the lines to which points: 'cabinet stands in the line to ring'."""
    said = []
    for sight in sights:
        names = [thing.name for thing in sight.in_it]
        stand = "stands" if len(names) == 1 else "stand"
        said.append(f"{' and '.join(names)} {stand} in the line to {sight.anchor.key}")
    return "; ".join(said)


def sights(it: Situation, pulls: Sequence[Pull], force_n: float) -> list[Sight]:
    """Return every point as it is seen from where lines pull, with what stands in each line."""
    anchors = [(a, room.key) for room in it.scene.shop.rooms.values() for a in room.anchors]
    if not anchors or not pulls:
        return []
    floor, things = floor_of(it), _things(it)
    found = []
    for anchor, room in anchors:
        set_by = f"rooms: {room}: {{anchors: {{{anchor.key}: {{height: 300}}}}}}"
        high = Ask(f"how high is {anchor.key}?", set_by, 1) if anchor.height_mm is None else None
        found.append(replace(_sight(it, anchor, pulls, force_n, floor, things), high=high))
    return found


def _sight(
    it: Situation, anchor: Anchor, pulls: Sequence[Pull], force_n: float, floor: Any, things: _Tree
) -> Sight:
    """Look from each pose to a point; the last `anchor in wall` of a line may lie in the wall it is in."""
    import shapely

    aside = [_aside_deg(anchor, pull) for pull in pulls]
    ends = [(anchor.at_mm[0] - p.pose.x_mm, anchor.at_mm[1] - p.pose.y_mm) for p in pulls]
    deep = it.own["anchor in wall"]
    lines = shapely.linestrings(
        [
            ((p.pose.x_mm, p.pose.y_mm), (p.pose.x_mm + (1 - out) * dx, p.pose.y_mm + (1 - out) * dy))
            for p, (dx, dy) in zip(pulls, ends, strict=True)
            for out in (min(1.0, deep / (math.hypot(dx, dy) or 1.0)),)
        ]
    )
    open_floor = shapely.covers(floor, lines)
    seen = [a if ok else None for a, ok in zip(aside, open_floor, strict=True)]
    none: tuple[tuple[Thing, ...], ...] = ((),) * len(pulls)
    at = [i for i, a in enumerate(seen) if a is not None]
    if not at or not things.things:
        return Sight(anchor, tuple(seen), none, Fast())
    whole = shapely.linestrings([((p.pose.x_mm, p.pose.y_mm), anchor.at_mm) for p in (pulls[i] for i in at)])
    ks, ns = things.tree.query(whole, predicate="intersects")
    crossed = list(dict.fromkeys(ks.tolist()))
    here = [shapely.Polygon(placed(it.load.outline, pulls[at[k]].pose)) for k in crossed]
    outs = dict(zip(crossed, _stretches(whole[crossed], here)[1], strict=True)) if crossed else {}
    met = [
        (at[k], things.things[n], blocks)
        for k, n, first, last in zip(ks, ns, *_stretches(whole[ks], things.grown[ns]), strict=True)
        if (blocks := _blocks(anchor, things.things[n], whole[k].length, max(0.0, outs[k]), first, last))
    ]
    low, most = _fast_between(it, force_n, max(a for a in seen if a is not None))
    stops = [blocks for _, _, blocks in met]
    heights = [low, *sorted(over for _, over in stops if low < over <= most)]
    high = min(heights, key=lambda z: (sum(a < z < b for a, b in stops), z))
    barred: list[list[Thing]] = [[] for _ in pulls]
    for i, thing, (a, b) in met:
        if a < high < b:
            barred[i].append(thing)
    return Sight(anchor, tuple(seen), tuple(map(tuple, barred)), _fast(high, low, most, met))


def _aside_deg(anchor: Anchor, pull: Pull) -> float | None:
    """Return how far aside of the way a point ahead lies; None of one that is not ahead, or is barred."""
    pose, way, barred = pull
    dx, dy = anchor.at_mm[0] - pose.x_mm, anchor.at_mm[1] - pose.y_mm
    ahead, across = dx * math.cos(way) + dy * math.sin(way), dy * math.cos(way) - dx * math.sin(way)
    if anchor.key in barred or ahead <= 1.0:
        return None
    return abs(math.degrees(math.atan2(across, ahead)))


def _fast_between(it: Situation, force_n: float, aside_deg: float) -> tuple[float, float]:
    """Return how low and how high on the thing a line may be made fast: from what it stands on up to where
    the pull tips it, or to its top.
    """
    low = 0.0 if it.gear.up_mm is None else it.gear.up_mm[0]
    mass, height = it.load.least_kg, it.load.height_mm
    most = low if height is None else low + height
    if mass is not None and aside_deg < 90.0:
        most = min(most, highest_pull_mm(it, mass, pull_n(force_n, aside_deg)[0], aside_deg))
    return low, max(low, most)


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
    if length - out < 1.0:
        return None
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
    high: float, low: float, most: float, met: Sequence[tuple[int, Thing, tuple[float, float]]]
) -> Fast:
    """Return how high on the thing a line has to be made fast for what it goes over and under."""
    over = tuple(dict.fromkeys(t.name for _, t, (a, b) in met if a < low < b <= high))
    hangs = [(a, t.name) for _, t, (a, _) in met if high <= a < most]
    at, name = min(hangs, default=(None, ""))
    return Fast(high if over else None, over, at, name)


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
            if body.subject == own or body.key in it.body.along:
                continue
            if body.kind == "fixture" and is_cover(scene.shop.fixtures[body.key]):
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
    passages = (door.passage for door in shop.doors.values() if door.passage)
    return _joined((*(room.outline for room in shop.rooms.values()), *passages))


@lru_cache(maxsize=4)
def _joined(outlines: tuple[Outline, ...]) -> Any:
    """Join outlines to one floor: each line that is looked for asks for the same again."""
    import shapely

    from shopbins.kernel.ground import floor_polygon

    floor = floor_polygon(outlines).buffer(JOIN_MM)
    shapely.prepare(floor)
    return floor


JOIN_MM = 1.0
"""So much wider the floors of rooms and doorways join to one."""


# --- which line does ----------------------------------------------------------------------------------------


def _can(anchor: Anchor, aside_deg: float, force_n: float) -> bool | None:
    """Tell whether an anchor holds what is in the line; None where that is not told."""
    return None if anchor.load_kn is None else anchor.load_kn * 1000 >= pull_n(force_n, aside_deg)[0]


def _along(can: Sequence[Sequence[tuple[Sight, float]]], among: Sequence[Sight], force_n: float) -> Line:
    """Return the line that goes at each pose to the anchor least aside."""
    used: dict[str, Sight] = {}
    told: list[bool | None] = []
    worst = 0.0
    for at in can:
        sight, aside = min(((s, w) for s, w in at if any(s is a for a in among)), key=lambda e: e[1])
        used[sight.anchor.key] = sight
        worst = max(worst, aside)
        told.append(_can(sight.anchor, aside, force_n))
    holds = False if False in told else None if None in told else True
    fast = tuple(sight.fast for sight in used.values())
    return Line(tuple(s.anchor for s in used.values()), worst, pull_n(force_n, worst)[0], holds, fast)
