"""Lines over a crest: where the floor comes up to the straight line from a thing to its point.

Along a line the floor rises and falls as its rooms are told to; doorways count as level, and so does a room
of which nobody told. Points in the shop frame, in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shopbins.answer import Part
from shopbins.geometry.shapes import Outline, Point, Pose, placed
from shopbins.moves.finding import Check
from shopbins.moves.situation import Situation
from shopbins.moves.stages import lines_on
from shopbins.shop.model import Anchor, Slope
from shopbins.units import show_length, show_point

CREST = Check(
    "move-line-crest",
    "Lines over a crest",
    "geometry: the straight line against the floor at each change of slope between; how near it may come is "
    "our own figure",
    "derived",
    "a roller or pad under it there; a higher point",
)


class Crest(NamedTuple):
    """How far over the floor a line is where it comes nearest, below 0 where it lies on it, and where."""

    clear_mm: float
    at: Point


def crest_under(
    floors: Sequence[tuple[Outline, Slope | None]], start: Point, end: Point, high_mm: tuple[float, float]
) -> Crest | None:
    """Return the crest nearest to a line that is so high over the floor at its start and its end; None where
    the floor between falls away nowhere.
    """
    rises = _rises(floors, start, end)
    floor = list(itertools.accumulate((rise * (b - a) for a, b, rise in rises), initial=0.0))
    far = math.dist(start, end)
    climbs = (floor[-1] + high_mm[1] - high_mm[0]) / far
    crests = [
        (high_mm[0] + climbs * at - floor[n], at / far)
        for n, ((_, at, rise), (_, _, then)) in enumerate(itertools.pairwise(rises), 1)
        if rise > then + 1e-9
    ]
    if not crests:
        return None
    clear, share = min(crests)
    return Crest(clear, (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])))


def _rises(
    floors: Sequence[tuple[Outline, Slope | None]], start: Point, end: Point
) -> list[tuple[float, float, float]]:
    """Return the stretches of a line by its floors: from where to where along it, and how that rises."""
    import shapely

    line, heading = shapely.LineString([start, end]), math.atan2(end[1] - start[1], end[0] - start[0])
    sloping: list[tuple[float, float, float]] = []
    for outline, slope in floors:
        if slope is None or slope.fall <= 0:
            continue
        rise = -slope.fall * math.cos(math.radians(slope.towards_deg) - heading)
        for part in shapely.get_parts(line.intersection(shapely.Polygon(outline))):
            if not part.is_empty:
                ends = sorted(math.dist(start, p) for p in part.coords)
                sloping.append((ends[0], ends[-1], rise))
    found: list[tuple[float, float, float]] = []
    at = 0.0
    for a, b, rise in (*sorted(sloping), (line.length, line.length, 0.0)):
        found += [(at, a, 0.0)] if a > at else []
        found += [(a, b, rise)] if b > a else []
        at = b
    return found


class _Nearest(NamedTuple):
    """The crest nearest to any of the lines to a point, how high that is made fast, in which room."""

    crest: Crest
    at_mm: float
    room: str


def over_crests(it: Situation) -> Iterator[Part]:
    """Judge each line that pulls or holds it against the crests of the floor between it and its point."""
    floors = [(room.outline, room.slope) for room in it.scene.shop.rooms.values()]
    if not any(slope is not None and slope.fall > 0 for _, slope in floors):
        return
    near: dict[str, tuple[Anchor, _Nearest]] = {}
    for line, legs in lines_on(it):
        for anchor, fast in zip(line.anchors, line.fast, strict=True):
            for pose in dict.fromkeys(pose for leg in legs for pose in leg.poses):
                crest = _crest(it, floors, pose, anchor, fast.at_mm)
                if crest is not None and (anchor.key not in near or crest < near[anchor.key][1].crest):
                    near[anchor.key] = anchor, _Nearest(crest, fast.at_mm, legs[0].room.key)
    for anchor, (crest, at_mm, room) in near.values():
        least, where = it.own["carry clear"] + it.measured_mm, show_point(*map(round, crest.at))
        text = f"straight from {show_length(at_mm)} up on {it.name} to {anchor.key} a line "
        text += (
            f"lies {show_length(-crest.clear_mm)} deep in"
            if crest.clear_mm < 0
            else (f"is {show_length(crest.clear_mm)} over")
        )
        text += f" the crest of the floor at {where}"
        if anchor.height_mm is None:
            text += f"; how high {anchor.key} is is not told, and counts as on the floor"
        subjects = (*it.subjects, f"room:{room}", f"line:{anchor.key}")
        more = {"measured": crest.clear_mm, "limit": least, "unit": "mm", "room": room}
        if crest.clear_mm > least:
            yield CREST.note(subjects, text, **more)
        else:
            words = f"roller or pad under the line to {anchor.key} at {where}"
            yield CREST.only(subjects, words, text, spots=[crest.at], **more)


def _crest(
    it: Situation,
    floors: Sequence[tuple[Outline, Slope | None]],
    pose: Pose,
    anchor: Anchor,
    at_mm: float,
) -> Crest | None:
    """Return the crest nearest to a line to a point from the edge of the thing at a pose."""
    import shapely

    line = shapely.LineString([(pose.x_mm, pose.y_mm), anchor.at_mm])
    out = line.intersection(shapely.Polygon(placed(it.load.outline, pose))).length
    if line.length - out < 1.0:
        return None
    x, y = line.interpolate(out).coords[0]
    return crest_under(floors, (x, y), anchor.at_mm, (at_mm, anchor.height_mm or 0.0))
