"""What gear goes over on a way, in its order: sills, and plates over covers with the ramps at them; what of
that lies at once, and what is taken up behind it and laid again before the next.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline, Point, bounds, placed
from shopbins.moves.beside import floor_free
from shopbins.moves.plates import Edge, Laid, Ramps, edge_of
from shopbins.moves.route import Ground
from shopbins.moves.situation import Situation
from shopbins.shop.model import Gear


@dataclass(frozen=True, slots=True)
class Crossing:
    """A sill, or plates over a cover: what is laid there, plates before ramps, and the first and the last
    place on the way, counted over all its poses, at which a wheel is on any of it, or that is between wheels;
    `halt` is the last place before it with every wheel on a floor that falls too little for it to run away
    while people lay plates below it, and with room beside it to bring them past; -1 where there is none.
    """

    name: str
    edge: Edge | None
    lies: tuple[Laid | Ramps, ...]
    first: int
    last: int
    halt: int

    def pieces_of(self, gear: Gear) -> int:
        """Return how many plates or ramps of a kind lie there."""
        return sum(each.count for each in self.lies if each.gear is gear)


Together = tuple[Crossing, ...]
"""Crossings in the order of the way."""


def places(it: Situation) -> list[tuple[int, int]]:
    """Return every place on the way: the leg, and the pose on it."""
    return [(n, k) for n, leg in enumerate(it.legs) for k in range(len(leg.poses))]


def crossings(it: Situation) -> Together:
    """Return what the gear goes over, in the order of the way."""
    found = [crossing(it, edge, None, it.ramps_at(edge)) for edge in it.edges if edge.is_sill]
    for laid in it.laid:
        edge = edge_of(laid)
        found.append(crossing(it, edge, laid, None if edge is None else it.ramps_at(edge)))
    return in_order(found)


def is_at(each: Crossing, about: Collection[str]) -> bool:
    """Tell whether what something is about is the edge of a crossing."""
    return each.edge is not None and set(each.edge.subjects) <= set(about)


def in_order(every: Iterable[Crossing]) -> Together:
    """Return crossings in the order of the way."""
    return tuple(sorted(every, key=lambda each: each.first))


def crossing(it: Situation, edge: Edge | None, laid: Laid | None, ramps: Ramps | None) -> Crossing:
    """Return one place that the gear goes over, an edge with plates, ramps, both or neither."""
    lies = tuple(each for each in (laid, ramps) if each is not None)
    outlines = [edge.outline] if edge is not None else [] if laid is None else [laid.outline]
    if ramps is not None:
        x0, y0, x1, y1 = bounds(ramps.edge.outline).grown(ramps.run_mm)
        run = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        outlines += [piece.outline for piece in ramps.pieces] or [run]
    first, last = _over(it, outlines)
    name = edge.name if edge is not None else "" if laid is None else laid.words
    return Crossing(name, edge, lies, first, last, _halt(it, first))


def _halt(it: Situation, first: int) -> int:
    """Return the last place before one with no wheel on a floor that falls too much for that, where people
    get past it with plates; -1 where there is none.
    """
    every = [pose for _, pose in it.poses()]
    poses = every[:first]
    slopes = [
        room for room in it.rooms if room.slope is not None and room.slope.fall > it.own["jack on slope"]
    ]
    level = (n for n in reversed(range(first)) if not any(it.on(room, [poses[n]]) for room in slopes))
    if it.attempt is None or it.attempt.ground is None:
        return next(level, -1)
    way = tuple((pose.x_mm, pose.y_mm) for pose in every)
    walked = walked_on(it.attempt.then or it.attempt.ground, it.own["person"])
    return next((n for n in level if passed_by(walked, placed(it.hull, every[n]), way, n)), -1)


@lru_cache(maxsize=8)
def walked_on(ground: Ground, wide_mm: float) -> Any:
    """Return where the middle of somebody so wide finds room on the free floor of a route, and that width."""
    return floor_free(ground).buffer(-wide_mm / 2), wide_mm


@lru_cache(maxsize=4096)
def passed_by(walked: tuple[Any, float], thing: Outline, way: tuple[Point, ...], at: int) -> bool:
    """Tell whether one gets past a thing where it stands at one place of its way: from floor it has gone over
    to floor that it has still to go over; so it is where it stands on all of either.
    """
    import shapely

    floor, wide = walked
    stands = shapely.Polygon(thing).buffer(wide / 2, quad_segs=4)
    behind, ahead = (
        [each for each in shapely.points(some) if not stands.covers(each)]
        for some in (way[:at], way[at + 1 :])
    )
    if not behind or not ahead:
        return True
    parts = shapely.get_parts(shapely.difference(floor, stands))
    return any(
        shapely.intersects(part, behind).any() and shapely.intersects(part, ahead).any() for part in parts
    )


def _over(it: Situation, outlines: Sequence[Outline]) -> tuple[int, int]:
    """Return the first and last place at which a wheel is on any outline, or that is between wheels; the end
    where there is none.
    """
    wheels = _wheels(it)
    there = [
        n
        for n, (_, pose) in enumerate(it.poses())
        if any(overlap(placed(wheels, pose), outline) for outline in outlines)
    ]
    end = max(0, sum(len(leg.poses) for leg in it.legs) - 1)
    return (there[0], there[-1]) if there else (end, end)


def _wheels(it: Situation) -> Outline:
    """Return the convex outline of its wheels, of skates that of their pads; of all it stands on where they
    are not told.
    """
    rolls_on = () if it.kind == "skates" else it.gear.rolls_on
    return rolls_on or it.gear.touching


def rest_before(it: Situation, every: Together, some: Together) -> int:
    """Return the place where it halts before some crossings while they are laid: midway from the last it is
    past, where no wheel is on a slope there, else where that is so nearest before.
    """
    past = max((each.last for each in every if each.last < some[0].first), default=-1)
    level = _halt(it, (past + some[0].first) // 2 + 1)
    return level if level > past else some[0].halt


def short_of_it(it: Situation, every: Together, some: Together) -> int:
    """Return the place where it halts short of some crossings, by 100 mm (own figure) where there is room."""
    poses = [pose for _, pose in it.poses()]
    past = max((each.last for each in every if each.last < some[0].first), default=-1)
    at = max(some[0].first - 1, 0)
    far = math.dist(poses[at][:2], poses[some[0].first][:2])
    while far < SHORT_MM and at - 1 > past:
        far += math.dist(poses[at][:2], poses[at - 1][:2])
        at -= 1
    return at


def changed_at(it: Situation, every: Together, leg: int) -> tuple[int, bool]:
    """Return the place where it halts for the line that pulls it from a leg on, and whether that is short of
    what it is about to go over there: what pulls it over an edge is on before that.
    """
    here = places(it).index((leg, 0))
    under = next((some for some in between_halts(every) if some[0].first <= here <= some[-1].last), None)
    if under is None or not under[0].first or here - under[0].first > under[-1].last - here:
        return here, False
    return short_of_it(it, every, under), True


SHORT_MM = 100.0
"""So far short of what is laid it halts for a line to be changed: own figure."""


def between_halts(every: Together) -> list[Together]:
    """Return crossings in groups with room to halt between them: every wheel past the one before and
    none at the next yet, at some pose of the way.
    """
    return _apart(every, lambda each: each.first - 1)


def laid_apart(every: Together) -> list[Together]:
    """Return the same with room to halt between them where plates are laid again: where it runs away from
    nobody.
    """
    return _apart(every, lambda each: each.halt)


def _apart(every: Together, halt: Callable[[Crossing], int]) -> list[Together]:
    found: list[list[Crossing]] = []
    for each in every:
        if found and halt(each) <= max(before.last for before in found[-1]):
            found[-1].append(each)
        else:
            found.append([each])
    return [tuple(some) for some in found]


def rounds(every: Together) -> list[Together]:
    """Return what lies at once: all of it, where there are enough plates and ramps; else, each time they do
    not do for the next, what lies is taken up behind it at a halt on the level and they are laid again.
    """
    found: list[Together] = []
    for some in laid_apart(every):
        if found and not short(_lying((*found[-1], *some))):
            found[-1] = (*found[-1], *some)
        else:
            found.append(some)
    return found


def lacking(every: Together) -> Iterator[tuple[Gear, int, Together]]:
    """Go through the plates and ramps of which more are needed at once than there are, with no room to halt
    between: how many, and where they lie. What lacks at one place by itself is told there.
    """
    for some in laid_apart(every):
        for gear in short(_lying(some)):
            there = tuple(each for each in some if each.pieces_of(gear))
            alone = max(each.pieces_of(gear) for each in there)
            if gear.count is not None and alone <= gear.count:
                yield gear, sum(each.pieces_of(gear) for each in there), there


def enough(every: Iterable[Crossing]) -> bool:
    """Tell whether there are enough plates and ramps for some crossings, laid again where it may halt."""
    return not any(lacking(in_order(every)))


def _lying(every: Together) -> list[Laid | Ramps]:
    return [lies for each in every for lies in each.lies]


def short(every: Sequence[Laid | Ramps]) -> list[Gear]:
    """Return the kinds of plates and ramps of which too few are told to lie at all of some places at once."""
    kinds = dict.fromkeys(lies.gear for lies in every)
    return [g for g in kinds if g.count is not None and sum(e.count for e in every if e.gear is g) > g.count]


def again(every: Together) -> Iterator[tuple[Gear, Together, Crossing]]:
    """Go through what there is too few of to lie all the way: what is then taken up behind it, and before
    which crossing it is laid again.
    """
    for before, then in itertools.pairwise(rounds(every)):
        yield from ((gear, before, then[0]) for gear in short(_lying((*before, *then))))
