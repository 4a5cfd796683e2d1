"""Lines over a crest: where the floor, or what stands on it, comes up to the straight line from a thing to
its point.

Along a line the floor rises and falls as its rooms are told to; doorways count as level, and so does a room
of which nobody told. Sills, plates and ramps stand on it. Points in the shop frame, in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from shopbins.answer import Part
from shopbins.geometry.shapes import Outline, Point, Pose, between, contains, placed
from shopbins.moves.finding import Check
from shopbins.moves.legs import Leg
from shopbins.moves.plates import edge_of
from shopbins.moves.situation import Situation
from shopbins.moves.stages import lines_on
from shopbins.shop.model import Anchor, Room, Slope
from shopbins.units import show_length, show_point

CREST = Check(
    "move-line-crest",
    "Lines over a crest",
    "geometry: the straight line against the floor at each change of slope between, and the sills, plates "
    "and ramps on it; how near it may come is our own figure",
    "derived",
    "a roller or pad under it there; a higher point",
)


class Stands(NamedTuple):
    """What stands on the floor and a line goes over: its name, its outline, how high it is along its first
    side's start and along that side's end (of a ramp: at its top and at its foot).
    """

    name: str
    outline: Outline
    high_mm: float
    foot_mm: float

    def high_at(self, point: Point) -> float:
        """Return how high it is at a point within it."""
        (ax, ay), (bx, by) = self.outline[:2]
        along = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / math.dist(
            *self.outline[:2]
        ) ** 2
        return self.high_mm + (self.foot_mm - self.high_mm) * min(1.0, max(0.0, along))


class Floor(NamedTuple):
    """The floor of a shop as lines see it: its rooms, each with how it falls, and what stands on it."""

    rooms: tuple[tuple[Outline, Slope | None], ...]
    stands: tuple[Stands, ...] = ()

    @property
    def sloping(self) -> list[tuple[Outline, Slope]]:
        """The rooms that slope."""
        return [(outline, slope) for outline, slope in self.rooms if slope is not None and slope.fall > 0]


class Crest(NamedTuple):
    """How far over the floor a line is where it comes nearest, below 0 where it lies on it, where, and over
    what.
    """

    clear_mm: float
    at: Point
    over: str


BEND = "the crest of the floor"


Stretches = list[tuple[float, float]]
"""Stretches of a line within an outline: from where to where along it."""


def crest_under(floor: Floor, start: Point, end: Point, high_mm: tuple[float, float]) -> Crest | None:
    """Return the crest or what stands there nearest to a line that is so high over the floor at its start
    and its end; None where the floor between falls away nowhere and nothing stands on it.
    """
    return _crest_of(floor, start, end, high_mm, _within(floor, [(start, end)])[0])


def _crest_of(
    floor: Floor, start: Point, end: Point, high_mm: tuple[float, float], within: Mapping[Outline, Stretches]
) -> Crest | None:
    """Return what `crest_under` does, of a line whose stretches within each outline are known."""
    rises = _rises(floor, start, end, within)
    far = math.dist(start, end)
    climbs = (_risen(rises, far) + high_mm[1] - high_mm[0]) / far

    def clear(at: float) -> float:
        return high_mm[0] + climbs * at - _risen(rises, at)

    def point(at: float) -> Point:
        return start[0] + at / far * (end[0] - start[0]), start[1] + at / far * (end[1] - start[1])

    crests = [
        Crest(clear(at), point(at), BEND)
        for (_, at, rise), (_, _, then) in itertools.pairwise(rises)
        if rise > then + 1e-9
    ]
    for each in floor.stands:
        for ends in within[each.outline]:
            crests += [Crest(clear(at) - each.high_at(point(at)), point(at), each.name) for at in ends]
    return min(crests, default=None)


def _within(floor: Floor, ends: Sequence[tuple[Point, Point]]) -> list[dict[Outline, Stretches]]:
    """Return the stretches of lines, told by their ends, in each room that slopes and each thing there."""
    import numpy as np
    import shapely

    found: list[dict[Outline, Stretches]] = [{} for _ in ends]
    lines, starts = shapely.linestrings(ends), np.array([start for start, _ in ends])
    for outline in dict.fromkeys((*(o for o, _ in floor.sloping), *(each.outline for each in floor.stands))):
        for each in found:
            each[outline] = []
        parts, line = shapely.get_parts(shapely.intersection(lines, _area(outline)), return_index=True)
        points, part = shapely.get_coordinates(parts, return_index=True)
        far = np.hypot(*(points - starts[line[part]]).T)
        for n in np.unique(part).tolist():
            here = far[part == n]
            found[line[n]][outline].append((float(here.min()), float(here.max())))
    return found


@lru_cache(maxsize=256)
def _area(outline: Outline) -> Any:
    import shapely

    area = shapely.Polygon(outline)
    shapely.prepare(area)
    return area


def _rises(
    floor: Floor, start: Point, end: Point, within: Mapping[Outline, Stretches]
) -> list[tuple[float, float, float]]:
    """Return the stretches of a line by its floors: from where to where along it, and how that rises."""
    length, heading = math.dist(start, end), math.atan2(end[1] - start[1], end[0] - start[0])
    sloping = [
        (a, b, -slope.fall * math.cos(math.radians(slope.towards_deg) - heading))
        for outline, slope in floor.sloping
        for a, b in within[outline]
    ]
    found: list[tuple[float, float, float]] = []
    at = 0.0
    for a, b, rise in (*sorted(sloping), (length, length, 0.0)):
        found += [(at, a, 0.0)] if a > at else []
        found += [(a, b, rise)] if b > a else []
        at = b
    return found


def _risen(rises: Sequence[tuple[float, float, float]], at: float) -> float:
    """Return how far the floor has risen so far along a line."""
    return sum(rise * (min(b, at) - a) for a, b, rise in rises if a < at)


class _Nearest(NamedTuple):
    """The crest nearest to any line to a point, that point, how high the line is made fast, in which room."""

    crest: Crest
    anchor: Anchor
    at_mm: float
    room: str


def over_crests(it: Situation) -> Iterator[Part]:
    """Judge each line that pulls or holds it against the floor between it and its point, and what stands on
    that.
    """
    floor = _floor(it)
    if not floor.stands and not floor.sloping:
        return
    near: dict[str, _Nearest] = {}
    for line, legs in lines_on(it):
        poses = tuple(_while_on(it, legs))
        for anchor, fast in zip(line.anchors, line.fast, strict=True):
            crest = min(_crests(it, floor, poses, anchor, fast.at_mm), default=None)
            if crest is not None and (anchor.key not in near or crest < near[anchor.key].crest):
                near[anchor.key] = _Nearest(crest, anchor, fast.at_mm, legs[0].room.key)
    for crest, anchor, at_mm, room in near.values():
        least, where = it.own["carry clear"] + it.measured_mm, show_point(*map(round, crest.at))
        text = f"straight from {show_length(at_mm)} up on {it.name} to {anchor.key} a line "
        text += (
            f"lies {show_length(-crest.clear_mm)} deep in"
            if crest.clear_mm < 0
            else f"is {show_length(crest.clear_mm)} over"
        )
        text += f" {crest.over} at {where}"
        if anchor.height_mm is None:
            text += f"; how high {anchor.key} is is not told, and counts as on the floor"
        subjects = (*it.subjects, f"room:{room}", f"line:{anchor.key}")
        more: dict[str, Any] = {"measured": crest.clear_mm, "limit": least, "unit": "mm", "room": room}
        if crest.clear_mm > least:
            yield CREST.note(subjects, text, **more)
        else:
            words = f"roller or pad at {where}: line to {anchor.key}"
            yield CREST.only(subjects, words, text, spots=[crest.at], **more)


def _floor(it: Situation) -> Floor:
    """Return the floor of the shop with the sills told of, and the plates and ramps laid on the way."""
    shop, found = it.scene.shop, []
    for door in shop.doors.values():
        if door.threshold_mm and door.passage:
            high = door.threshold_mm
            found.append(Stands(f"the sill of {door.name}", door.passage, high, high))
    for edge in filter(None, map(edge_of, it.laid)):
        found.append(Stands(edge.name, edge.outline, edge.height_mm, edge.height_mm))
    for laid in it.ramps:
        name, top = f"{laid.gear.name} at {laid.edge.name}", laid.edge.height_mm + laid.over_mm
        found += [Stands(name, piece.outline, top, laid.foot_mm or 0.0) for piece in laid.pieces]
    return Floor(tuple((room.outline, room.slope) for room in shop.rooms.values()), tuple(found))


def _while_on(it: Situation, legs: Sequence[Leg]) -> Iterator[Pose]:
    """Go through the poses at which a line is on that serves legs: on a slope from before its first wheel is
    on that until its last is off. Where a wheel comes onto it or off it lies lowest: there to 10 mm.
    """
    every = list(it.poses())
    at = [n for n, (leg, _) in enumerate(every) if any(leg is each for each in legs)]
    first, last = at[0], at[-1]
    while first > 0 and _comes_on(it, legs[0].room, *every[first - 1 : first + 1]):
        first -= 1
    while last + 1 < len(every) and _comes_on(it, legs[-1].room, *every[last : last + 2][::-1]):
        last += 1
    served = list(dict.fromkeys(pose for _, pose in every[first : last + 1]))
    yield from served
    slopes = [leg.room for leg in legs if leg.slope is not None]
    for a, b in itertools.pairwise(served):
        if _wheels_on(it, slopes, a) != _wheels_on(it, slopes, b):
            steps = max(1, math.ceil(math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) / 10.0))
            yield from (between(a, b, k / steps) for k in range(1, steps))


def _comes_on(it: Situation, room: Room, off: tuple[Leg, Pose], on: tuple[Leg, Pose]) -> bool:
    """Tell whether the pose nearer to a slope has something on it, its middle or that before still off."""
    slope = room.slope is not None and room.slope.fall > 0
    return slope and off[0].room is not room and bool(it.on(room, [on[1]]))


def _wheels_on(it: Situation, rooms: Iterable[Room], pose: Pose) -> list[bool]:
    """Tell of each wheel whether it is on the floor of any of some rooms."""
    outlines = [room.outline for room in rooms]
    return [any(contains(outline, p) for outline in outlines) for p in it.at(pose, it.gear.wheels)]


def _crests(
    it: Situation, floor: Floor, poses: Sequence[Pose], anchor: Anchor, at_mm: float
) -> Iterator[Crest]:
    """Go through the crests nearest to the lines to a point from the edge of the thing at each pose."""
    import shapely

    lines = shapely.linestrings([((pose.x_mm, pose.y_mm), anchor.at_mm) for pose in poses])
    things = shapely.polygons([placed(it.load.outline, pose) for pose in poses])
    out, length = shapely.length(shapely.intersection(lines, things)), shapely.length(lines)
    ties = [
        (float(x), float(y)) for x, y in shapely.get_coordinates(shapely.line_interpolate_point(lines, out))
    ]
    beyond = [n for n in range(len(poses)) if length[n] - out[n] >= 1.0]
    every = _within(floor, [(ties[n], anchor.at_mm) for n in beyond]) if beyond else []
    for n, within in zip(beyond, every, strict=True):
        high = at_mm + _stands_up(it, floor, poses[n], ties[n])
        crest = _crest_of(floor, ties[n], anchor.at_mm, (high, anchor.height_mm or 0.0), within)
        if crest is not None:
            yield crest


def _stands_up(it: Situation, floor: Floor, pose: Pose, tie: Point) -> float:
    """Return how much higher than the floor under a point of the thing the plane is that its wheels stand on
    there, the least of every stance: below 0 where it reaches out over a floor that rises before them.
    """
    import numpy as np

    found = []
    for stance in it.gear.stances:
        wheels = it.at(pose, stance.polygon)
        if len(wheels) < 3 or _in_one(floor, [*wheels, tie]):
            continue
        every = _within(Floor(floor.rooms), [(tie, p) for p in wheels])
        high = [
            _risen(_rises(floor, tie, p, within), math.dist(tie, p))
            + max((each.high_at(p) for each in floor.stands if contains(each.outline, p)), default=0.0)
            for p, within in zip(wheels, every, strict=True)
        ]
        flat = np.array([(x - tie[0], y - tie[1], 1.0) for x, y in wheels])
        found.append(float(np.linalg.lstsq(flat, np.array(high), rcond=None)[0][2]))
    return min(found, default=0.0)


def _in_one(floor: Floor, points: Sequence[Point]) -> bool:
    """Tell whether points are all on the floor of one room, none on what stands there."""
    if any(contains(each.outline, p) for each in floor.stands for p in points):
        return False
    return any(all(contains(outline, p) for p in points) for outline, _ in floor.rooms)
