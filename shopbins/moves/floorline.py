"""The floor along the way: where slopes meet, and edges with what is laid at them, so close together that
wheels and what hangs low are over several at once: reckoned together, as the floor runs there.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shopbins.geometry.segments import segment_gap
from shopbins.geometry.shapes import Point, Pose, contains, turn_between
from shopbins.moves.fitted import HOISTS, along
from shopbins.moves.grounding import SAME_MM, Bend, Profile, high_at, met
from shopbins.moves.legs import Leg
from shopbins.moves.plates import Edge
from shopbins.moves.ramps import across_mm, bends_over, sides_crossed
from shopbins.moves.situation import Situation, worked_once
from shopbins.units import show_length

SAME_DEG = 10.0
"""Bends whose directions differ by no more are crossed as one: own figure."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where the floor bends at `count` places less far apart than what rolls is long, with the edges there.

    `bends` are those of each, or the one that they make together; `askew`: of several that do not lie across
    one direction each stands by itself.
    """

    where: str
    count: int
    bends: tuple[Bend, ...]
    edges: tuple[Edge, ...]
    askew: bool = False


class _Place(NamedTuple):
    """One place where the floor bends: its bends by itself, and the floor from `point` on along `over_deg`
    in the shop frame, the way it goes (None: along it, or not known). `at_mm` is how far along the way.
    """

    where: str
    bends: tuple[Bend, ...]
    edge: Edge | None
    floor: Profile
    point: Point
    over_deg: float | None
    at_mm: float


def stretches(it: Situation) -> tuple[Stretch, ...]:
    """Return where the floor bends on the way, in its order; () where it is not known what stands on it."""
    if not it.gear.stances or not it.legs or it.kind in ("by hand", *HOISTS):
        return ()
    return worked_once(it, ("stretches", it.laid, it.ramps), lambda: tuple(_stretches(it)))


def floor_bends(it: Situation) -> tuple[Bend, ...]:
    """Return where floors of other slopes meet on the way, and where the floor bends at several places close
    together.
    """
    return tuple(bend for each in stretches(it) for bend in each.bends if bend.rooms)


def together_at(it: Situation, edge: Edge) -> Stretch | None:
    """Return the stretch on which the floor at an edge is reckoned with others; None where by itself."""
    together = (each for each in stretches(it) if each.count > 1 and not each.askew)
    return next((s for s in together if any(e.subjects == edge.subjects for e in s.edges)), None)


def _stretches(it: Situation) -> Iterator[Stretch]:
    some: list[_Place] = []
    for place in sorted((*_slopes_met(it), *_at_edges(it)), key=lambda each: each.at_mm):
        if some and place.at_mm + place.floor[0][0] - _far_mm(some) >= _long_mm(it, place):
            yield _stretch(it, some)
            some = []
        some.append(place)
    if some:
        yield _stretch(it, some)


def _far_mm(some: Sequence[_Place]) -> float:
    """Return how far along the way the last of some ends."""
    return max(each.at_mm + each.floor[-1][0] for each in some)


def _long_mm(it: Situation, place: _Place) -> float:
    """Return how long thing and gear are along the way at a place."""
    leg, pose = _nearest(it, place.point)
    deg = (leg.heading_deg or 0.0) - pose.turn_deg
    at = [along(p, deg) for p in it.hull]
    return max(at) - min(at)


def _stretch(it: Situation, some: Sequence[_Place]) -> Stretch:
    bends = tuple(bend for each in some for bend in each.bends)
    edges = tuple(each.edge for each in some if each.edge is not None)
    where = " and ".join(dict.fromkeys(each.where for each in some))
    over = some[0].over_deg
    if len(some) == 1 or not bends:
        return Stretch(where, 1, bends, edges)
    if over is None or any(
        each.over_deg is None or abs(turn_between(each.over_deg, over)) > SAME_DEG for each in some
    ):
        return Stretch(where, len(some), bends, edges, True)
    (x, y), c, s = some[0].point, math.cos(math.radians(over)), math.sin(math.radians(over))
    lies = [(each.point[0] - x) * c + (each.point[1] - y) * s for each in some]
    floor = added([tuple((at + d, z) for d, z in each.floor) for each, at in zip(some, lies, strict=True)])
    reach = max(math.hypot(*p) for p in it.hull)
    near = [p for _, p in it.poses() if any(math.dist(p[:2], each.point) <= reach for each in some)]
    turns = {round(p.turn_deg, 0) for p in near or [_nearest(it, some[0].point)[1]]}
    across = tuple(sorted({(over - turn) % 360.0 for turn in turns}))
    rooms = tuple(dict.fromkeys((*(r for b in bends for r in b.rooms), *(r for e in edges for r in e.rooms))))
    change = max(bend.change for bend in bends)
    at = f"{where}, {show_length(round(max(lies) - min(lies)))} apart"
    one = Bend(at, change, True, True, across, rooms, floor=floor, several=True)
    return Stretch(where, len(some), (one,), edges)


def added(floors: Sequence[Profile]) -> Profile:
    """Return the floor that some make together: each adds how high it is."""
    found: list[Point] = []
    for x in sorted({x for floor in floors for x, _ in floor}):
        if found and x - found[-1][0] <= SAME_MM:
            continue
        before = sum(high_at(floor, x, lambda zs: zs[0]) for floor in floors)
        behind = sum(high_at(floor, x, lambda zs: zs[-1]) for floor in floors)
        found += [(x, z) for z in dict.fromkeys((before, behind))]
    return tuple(found)


def _slopes_met(it: Situation) -> Iterator[_Place]:
    for i, bend in met(it):
        point = _where_met(it.legs[i], it.legs[i + 1])
        change = bend.change if bend.crest else -bend.change
        floor = (-1.0, 0.0), (0.0, 0.0), (1.0, -change)
        yield _Place(bend.where, (bend,), None, floor, point, bend.over_deg, _gone_mm(it, point))


def _where_met(a: Leg, b: Leg) -> Point:
    """Return where the way comes onto the floor of the second of two legs: between the middles of its pieces
    on both, as they were told apart by those.
    """
    p, q = (
        tuple((u + v) / 2 for u, v in zip(one[:2], other[:2], strict=True))
        for one, other in (a.poses[-2:], b.poses[:2])
    )
    for _ in range(20):
        middle = (p[0] + q[0]) / 2, (p[1] + q[1]) / 2
        p, q = (p, middle) if contains(b.room.outline, middle) else (middle, q)
    return q[0], q[1]


def _at_edges(it: Situation) -> Iterator[_Place]:
    """Go through the edges of the way: with ramps the floor over both of them, else up and down the edge."""
    for edge in it.edges:
        laid, over = it.ramps_at(edge), _over_deg(it, edge)
        bends: tuple[Bend, ...] = () if laid is None else bends_over(laid)
        where = f"over {edge.named}" if laid is None else f"over {laid.gear.name} at {edge.name}"
        floor = bends[0].floor if bends else _bare(edge, over or 0.0)
        half = (floor[0][0] + floor[-1][0]) / 2
        centred = tuple((x - half, z) for x, z in floor)
        yield _Place(where, bends, edge, centred, edge.middle, over, _gone_mm(it, edge.middle))


def _bare(edge: Edge, over_deg: float) -> Profile:
    """Return the floor up and down a bare edge."""
    way = math.radians(over_deg)
    deep, high = across_mm(edge.outline, (math.cos(way), math.sin(way))), edge.height_mm
    return (-1.0, 0.0), (0.0, 0.0), (0.0, high), (deep, high), (deep, 0.0), (deep + 1.0, 0.0)


def _over_deg(it: Situation, edge: Edge) -> float | None:
    """Return which way it goes over an edge, square to the sides that wheels cross; None where these do not
    lie in one direction, or no wheel is known to cross one.
    """
    heading = _nearest(it, edge.middle)[0].heading_deg
    sides = [side.ends for side in sides_crossed(it, edge.outline, 0.0)]
    square = [math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) - 90.0 for a, b in sides]
    if heading is None or not square or any(abs(turn_between(2 * d, 2 * square[0])) > 1.0 for d in square):
        return None
    return square[0] if abs(turn_between(square[0], heading)) < 90.0 else square[0] + 180.0


def _nearest(it: Situation, point: Point) -> tuple[Leg, Pose]:
    """Return the pose of the way that is nearest to a point, with its leg: of one it drives on, if any."""
    return min(it.poses(), key=lambda at: (at[0].heading_deg is None, math.dist(at[1][:2], point)))


def _gone_mm(it: Situation, point: Point) -> float:
    """Return how far it has gone along the way where it is nearest to a point."""
    gone, found = 0.0, (math.inf, 0.0)
    for (_, a), (_, b) in itertools.pairwise(it.poses()):
        far, (x, y) = segment_gap(point, a[:2], b[:2])
        found = min(found, (far, gone + math.dist(a[:2], (x, y))))
        gone += math.dist(a[:2], b[:2])
    return found[1]
