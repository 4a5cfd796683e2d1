"""Tipping: how much further a thing may be tilted before it goes over, at every direction of the slope it
meets.

Angles in degrees, counter-clockwise, in the thing's own frame; lengths in mm. A support polygon is the convex
outline of what touches the floor, corners counter-clockwise. The reserve over one edge is atan(d / H) less
atan(fall x cos b): d how far the centre of gravity lies inside the edge, H its height over the floor, b
the angle between straight downhill and the edge's outward normal. Tilting about an edge leaves the part of
the weight along that edge alone, so the angles across it add up exactly (statics of a stiff body).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.segments import inside_mm
from shopbins.geometry.shapes import Outline, Point, turn_between
from shopbins.moves.force import G_M_S2

Arc = tuple[float, float]
"""Directions from the first to the second, counter-clockwise; the second may be beyond 360."""


@dataclass(frozen=True, slots=True)
class Centre:
    """A centre of gravity: where it is, and how high over what the thing stands on."""

    x_mm: float
    y_mm: float
    z_mm: float


@dataclass(frozen=True, slots=True)
class Reserve:
    """The further tilt at which something tips, least over its edges; 0 or below: it tips.

    `inside_mm` is how far the centre of gravity lies inside the edge it would tip over, `outward_deg`
    where that edge faces, `downhill_deg` the direction of the slope at which this is met (None on the level).
    """

    deg: float
    inside_mm: float
    edge: tuple[Point, Point]
    outward_deg: float
    downhill_deg: float | None
    height_mm: float


def edges(polygon: Outline) -> list[tuple[Point, Point]]:
    """Return the edges of a polygon, in its order."""
    return list(zip(polygon, (*polygon[1:], polygon[0]), strict=True))


@dataclass(frozen=True, slots=True)
class Dip:
    """How deep a floor dips under whatever stands at one side, and on what each way to stand it is met."""

    deep_mm: float
    on: tuple[Outline, ...]

    def lean_deg(self, outward_deg: float) -> float:
        """Return how far it leans in a direction with that side down the dip: atan(dip / span)."""
        return step_deg(self.deep_mm, span_mm(self.on, outward_deg))


def span_mm(ways: Iterable[Outline], outward_deg: float) -> float:
    """Return how far apart, in a direction, the supports of a thing are: the least of every way to stand."""
    out = math.radians(outward_deg)
    across = ([x * math.cos(out) + y * math.sin(out) for x, y in points] for points in ways)
    return min((max(at) - min(at) for at in across), default=0.0)


def reserve(
    polygon: Sequence[Point], cg: Point, height_mm: float, fall: float = 0.0, downhill: Arc | None = None
) -> Reserve | None:
    """Return the least reserve on a floor that falls `fall` mm per mm run; None where nothing is stood on.

    `downhill` is the arc of directions, in the thing's frame, that downhill takes as the thing goes and
    turns; without it any direction is met. On points in one line nothing stands.
    """
    return _reserve(convex_hull(polygon), cg, height_mm, fall, downhill)


def _reserve(
    hull: Outline, cg: Point, height_mm: float, fall: float, downhill: Arc | None, dip: Dip | None = None
) -> Reserve | None:
    if len(hull) < 3:
        return None
    best: Reserve | None = None
    for a, b in edges(hull):
        outward = math.degrees(math.atan2(a[0] - b[0], b[1] - a[1]))
        met, apart = (outward, 0.0) if downhill is None else _nearest(outward, downhill)
        d = inside_mm(a, b, cg)
        tilt = math.degrees(
            math.atan2(d, height_mm) - math.atan(max(0.0, fall) * math.cos(math.radians(apart)))
        )
        tilt -= 0.0 if dip is None else dip.lean_deg(outward)
        if best is None or tilt < best.deg:
            best = Reserve(tilt, d, (a, b), outward % 360.0, met % 360.0 if fall > 0 else None, height_mm)
    return best


def _nearest(deg: float, arc: Arc) -> tuple[float, float]:
    """Return the direction of an arc nearest to one given, and how far apart they are (0 to 180)."""
    first, last = arc
    if last - first >= 360.0 or (deg - first) % 360.0 <= last - first:
        return deg, 0.0
    return min(((end, abs(turn_between(deg, end))) for end in arc), key=lambda each: each[1])


@lru_cache(maxsize=2048)
def worst(
    polygons: tuple[Outline, ...],
    centres: tuple[Centre, ...],
    raised_mm: float,
    fall: float = 0.0,
    downhill: Arc | None = None,
    dip: Dip | None = None,
) -> tuple[Reserve | None, Reserve | None]:
    """Return the least and the greatest reserve of every way it may stand.

    `polygons` are what it may stand on, `centres` where its centre of gravity may be, `raised_mm` how high
    it is carried over the floor, `dip` what a side of it may go down in. (None, None) where nothing is stood
    on.
    """
    found = [
        each
        for hull, centre in itertools.product(map(convex_hull, polygons), centres)
        if (each := _reserve(hull, (centre.x_mm, centre.y_mm), centre.z_mm + raised_mm, fall, downhill, dip))
    ]
    if not found:
        return None, None
    return min(found, key=lambda r: r.deg), max(found, key=lambda r: r.deg)


@dataclass(frozen=True, slots=True)
class Ahead:
    """An edge that a thing goes over when it is stopped or pulled.

    `inside_mm` is how far its centre of gravity lies inside that edge, `across` what share of a speed or pull
    along the way acts square to it; its outward normal is in the frame of the points.
    """

    inside_mm: float
    height_mm: float
    across: float
    outward_deg: float


@lru_cache(maxsize=2048)
def ahead(polygon: Outline, cg: Point, height_mm: float, axis_deg: float | None) -> tuple[Ahead, ...]:
    """Return the edges that may be ahead: all of them square to the way, or those met driving along an axis.

    Of a speed v along the axis, v cos b turns it over an edge whose outward normal stands b to the way.
    """
    found = []
    for a, b in edges(convex_hull(polygon)):
        across, outward = 1.0, math.atan2(a[0] - b[0], b[1] - a[1])
        if axis_deg is not None:
            across = abs(math.cos(outward - math.radians(axis_deg)))
        if across > ALONG:
            found.append(Ahead(inside_mm(a, b, cg), height_mm, across, math.degrees(outward)))
    return tuple(found)


ALONG = 0.01
"""An edge so nearly along the way is not met by driving."""


def step_deg(step_mm: float, track_mm: float) -> float:
    """Return how far a thing leans with one wheel up a step and the other down."""
    return math.degrees(math.atan2(step_mm, track_mm))


def highest_line_mm(mass_kg: float, inside_mm: float, force_n: float) -> float:
    """Return how high a line may pull before it tips the thing over its leading edge: W d >= F z."""
    return math.inf if force_n <= 0 else mass_kg * G_M_S2 * inside_mm / force_n


def falls_across(fall: float, downhill: Arc | None, outward_deg: float) -> float:
    """Return how much a floor falls square to an edge at the most, over all directions downhill may take."""
    if downhill is None or fall <= 0:
        return 0.0
    return fall * math.cos(math.radians(_nearest(outward_deg, downhill)[1]))


def fastest_m_s(inside_mm: float, height_mm: float, fall: float = 0.0) -> float:
    """Return the speed above which a thing that stops dead goes over: a point mass, so never too high.

    (r0 / H) sqrt(2 g r0 (1 - cos r)) with r0 = hypot(d, H) and r what is left of atan(d / H) on a floor that
    falls so much over that edge: what is lost at the blow and then has to be lifted. On the level r0 - H.
    """
    r0 = math.hypot(inside_mm, height_mm)
    left = math.atan2(inside_mm, height_mm) - math.atan(fall)
    return r0 / height_mm * math.sqrt(2 * G_M_S2 * r0 * (1 - math.cos(max(0.0, left))) / 1000.0)


def hung(load_kg: float, tip: Centre, crane_kg: float, crane: Centre) -> Centre:
    """Return the centre of gravity that counts of a crane with a load: the load acts where it hangs from."""
    whole = load_kg + crane_kg
    return Centre(
        (load_kg * tip.x_mm + crane_kg * crane.x_mm) / whole,
        (load_kg * tip.y_mm + crane_kg * crane.y_mm) / whole,
        (load_kg * tip.z_mm + crane_kg * crane.z_mm) / whole,
    )


def centre_of(masses: Iterable[tuple[float, Centre]]) -> tuple[float, Centre]:
    """Return the mass and centre of gravity of several together: sum(m r) / sum(m)."""
    every = list(masses)
    whole = math.fsum(m for m, _ in every)
    return whole, Centre(
        math.fsum(m * c.x_mm for m, c in every) / whole,
        math.fsum(m * c.y_mm for m, c in every) / whole,
        math.fsum(m * c.z_mm for m, c in every) / whole,
    )
