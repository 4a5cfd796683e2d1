"""Plates laid over a cover: how many it takes, how wide they have to be, and the edge that wheels go up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.segments import edges
from shopbins.geometry.shapes import TOUCHING_MM, Outline, Point, bounds, turned
from shopbins.moves.spans import Bridged, Span, bridge
from shopbins.rules.covers import Cover
from shopbins.shop.model import Gear
from shopbins.units import show_length, show_point


@dataclass(frozen=True, slots=True)
class Piece:
    """One plate or ramp where it lies: its outline in the shop frame, and how far its two sides are (mm) from
    a point on the line it lies along, a corner or a jamb.
    """

    outline: Outline
    corner: Point
    near_mm: float
    far_mm: float


def piece_beside(
    line: tuple[Point, Point], outline: Outline, from_mm: float, to_mm: float, length_mm: float | None = None
) -> Piece:
    """Return a piece that lies from one place to another along a line, told from the nearer end of that;
    `length_mm` is how far apart its ends are that way, where they do not lie on it.
    """
    length = math.dist(*line) if length_mm is None else length_mm
    if from_mm + to_mm <= length:
        return Piece(outline, line[0], from_mm, to_mm)
    return Piece(outline, line[1], length - to_mm, length - from_mm)


def sides_words(pieces: Sequence[Piece], at: str) -> str:
    """Say where pieces lie: '150 to 650, 900 to 1400 mm from the jamb at 5000,1500'; `at` is 'the jamb'. The
    point is shown to 5 mm: which it is, not where.
    """
    alike: dict[str, list[str]] = {}
    for corner in dict.fromkeys(each.corner for each in pieces):
        here = sorted((each.near_mm, each.far_mm) for each in pieces if each.corner == corner)
        sides = ", ".join(
            f"{f'{-near:.0f} outside' if near < 0 else f'{near:.0f}'} to {far:.0f}" for near, far in here
        )
        alike.setdefault(sides, []).append(show_point(*to_5_mm(corner)))
    return "; ".join(f"{sides} mm from {at} at {' and '.join(points)}" for sides, points in alike.items())


def to_5_mm(point: Point) -> Point:
    """Return a corner or jamb as it is shown."""
    return 5.0 * round(point[0] / 5), 5.0 * round(point[1] / 5)


@dataclass(frozen=True, slots=True)
class Laid:
    """Plates of one kind over a cover on the way: the cover by subject, name and room, how many plates, how
    far they rest beside it, the floor within which they lie, how they bridge it; how long each is across the
    cover, where each lies, and the most that one carries (None: not weighed). `over_open`: what they lie over
    is an open pit, with no cover of its own; `also` more covers, by subject, that one run of them lies over.
    """

    gear: Gear
    cover: str
    name: str
    room: str
    count: int
    rests_mm: float
    outline: Outline
    bridged: Bridged
    long_mm: float
    pieces: tuple[Piece, ...]
    one_kg: float | None
    over_open: bool = False
    also: tuple[str, ...] = ()

    @property
    def covers(self) -> tuple[str, ...]:
        """All that they lie over, by subject."""
        return (self.cover, *self.also)

    @property
    def high_mm(self) -> float | None:
        """How high its top is over the floor, on its packing; None where it is not told how thick it is."""
        return None if self.gear.height_mm is None else self.gear.height_mm + (self.bridged.packing_mm or 0.0)

    @property
    def words(self) -> str:
        """What is laid where: '2 of plate over pit'."""
        return f"{'' if self.count == 1 else f'{self.count} of '}{self.gear.name} over {self.name}"

    @property
    def where(self) -> str:
        """Which way round they lie, and where along the cover."""
        lies = f"its {show_length(self.long_mm)} across {self.name}"
        over_all = any(each.near_mm < 0 for each in self.pieces)
        sides = "over all of it" if over_all else sides_words(self.pieces, f"the corner of {self.name}")
        return f"{lies}, {sides}"


@dataclass(frozen=True, slots=True)
class Tracks:
    """Where wheels stand on a cover, anywhere on the way (None: not told), and half of how wide each is.

    `runs` are the ways that each wheel takes there, a point every 25 mm or so, from beyond where plates end.
    `least_kg` is what surely stands on it at once, `pad_mm` how long a skate is, 0 of other wheels; `kg_on`
    tells the most that stands at once on the part of it within an outline (None: not known).
    """

    points: tuple[Point, ...] | None
    half_mm: float
    least_kg: float = 0.0
    pad_mm: float = 0.0
    kg_on: Callable[[Outline], float | None] = lambda _: None
    runs: tuple[tuple[Point, ...], ...] = ()


def lay_over(
    gear: Gear, cover: Cover, tracks: Tracks, kg: float | None, rests_mm: float, room: Outline = ()
) -> Laid | str:
    """Return plates of a kind laid over a cover so that every wheel that comes onto it is on one of them.

    `kg` is the most that stands on it at once, `rests_mm` how far a plate has to rest on the floor on both
    sides of it, `room` within whose walls they lie where they can. One lies over all of it, or they bridge it
    side by side, each as wide as the tracks it carries: each bears what comes onto it by those. So that
    nothing is known to be lacking, if they lie so. Else why they do not do.
    """
    if gear.size_mm is None:
        return f"the size of {gear.name} is not told"
    ways = sorted(_ways(gear.size_mm, cover.outline, tracks, rests_mm, room), key=_Way.order)
    every = [_bridging(gear, cover, tracks, kg, way) for way in ways]
    lie = [each for each in every if isinstance(each, Laid)]
    if lie:
        return min(lie, key=lambda each: bool(each.bridged.words))
    return next(
        (why for why in every if isinstance(why, str)),
        _why_not(gear, gear.size_mm, cover.outline, tracks, rests_mm),
    )


def _bridging(gear: Gear, cover: Cover, tracks: Tracks, kg: float | None, way: _Way) -> Laid | str:
    """Lay plates one way, or say why they do not do so: too few, or they bend."""
    count = len(way.pieces)
    if gear.count is not None and count > gear.count:
        return f"{count} of {gear.name} needed, {gear.count} told of"
    span = Span(way.span_mm, min(way.wide_mm, way.span_mm + 2 * tracks.half_mm), tracks.pad_mm)
    one_kg = _on_one(way, tracks, kg)
    found = bridge(gear, span, one_kg, tracks.least_kg / count, cover.proud_mm, count)
    if isinstance(found, str):
        return found
    told = cover.subject, cover.name, cover.room
    return Laid(
        gear, *told, count, way.rests_mm, way.floor, found, way.long_mm, way.pieces, one_kg, cover.is_open
    )


def _on_one(way: _Way, tracks: Tracks, kg: float | None) -> float | None:
    """Return the most that one of plates carries, in kg: of those side by side what its own tracks bring."""
    if kg is None or len(way.under) < 2:
        return kg
    return min(kg, max(kg if (one := tracks.kg_on(strip)) is None else one for strip in way.under))


@dataclass(frozen=True, slots=True)
class _Way:
    """How plates lie: one over all of it or side by side across it, how far they rest, within which floor,
    what they bridge, how wide each is across that and how long over it, where each lies, and the strip of the
    cover under each of those side by side, with wheels that only come near it.
    """

    over_all: bool
    rests_mm: float
    floor: Outline
    span_mm: float
    wide_mm: float
    long_mm: float
    pieces: tuple[Piece, ...]
    under: tuple[Outline, ...] = ()

    def order(self) -> tuple[bool, int, float]:
        """Return what it is sorted by: over all of it first, then the fewest, then the longest rest."""
        return not self.over_all, len(self.pieces), -self.rests_mm


def _ways(
    size_mm: tuple[float, float], cover: Outline, tracks: Tracks, rests_mm: float, room: Outline
) -> Iterator[_Way]:
    """Go through how plates may lie."""
    for turn_deg in _lies(cover):
        flat, points = turned(cover, -turn_deg), turned(tracks.points or (), -turn_deg)
        box, runs = bounds(flat), [turned(run, -turn_deg) for run in tracks.runs]
        low, high = (box[0], box[1]), (box[2], box[3])
        for along, (length, width) in itertools.product((0, 1), (size_mm, size_mm[::-1])):
            across = 1 - along
            rests = (length - (high[along] - low[along])) / 2
            beside = (width - (high[across] - low[across])) / 2
            half = tracks.half_mm
            ends = low[along] - rests, high[along] + rests
            sides = low[across] - beside, high[across] + beside
            whole = min(rests, beside) >= rests_mm - TOUCHING_MM
            if whole and _stays_on(runs, (low, high), along, (ends, sides), half):
                floor = turned(_floor(along, ends, sides), turn_deg)
                span, line = high[along] - low[along], _corners(flat, along, turn_deg)
                piece = piece_beside(line, floor, -beside, width - beside, high[across] - low[across])
                yield _Way(True, min(rests, beside), floor, span, width, length, (piece,))
                continue
            walls = [p[across] for p in turned(room, -turn_deg)]
            taken = [(p[across] - half, p[across] + half) for p in points]
            taken += _drifts([r for r in runs if _goes(r) == along], (low, high), along, ends, half)
            found = strips(taken, width, (min(walls), max(walls)) if walls else None) if points else None
            over = [_over(flat, along, start, start + width) for start in found or ()]
            rests = min(((length - (b - a)) / 2 for a, b in over), default=0.0)
            if found is None or rests < rests_mm - TOUCHING_MM:
                continue
            middles = [(a + b) / 2 for a, b in over]
            ends = min(middles) - length / 2, max(middles) + length / 2
            floor = _floor(along, ends, (found[0], found[-1] + width))
            line, pieces = _corners(flat, along, turn_deg), []
            for start, middle in zip(found, middles, strict=True):
                lies = (middle - length / 2, middle + length / 2), (start, start + width)
                at = start - low[across]
                where = turned(_floor(along, *lies), turn_deg)
                pieces.append(piece_beside(line, where, at, at + width, high[across] - low[across]))
            span = max(b - a for a, b in over)
            under = tuple(
                turned(_floor(along, (a - half, b + half), (start, start + width)), turn_deg)
                for (a, b), start in zip(over, found, strict=True)
            )
            yield _Way(False, rests, turned(floor, turn_deg), span, width, length, tuple(pieces), under)


def _drifts(
    runs: Sequence[Sequence[Point]], box: Box, along: int, ends: tuple[float, float], half: float
) -> list[tuple[float, float]]:
    """Return what wheels that come onto a cover take across plates, from end to end of those."""
    low, high, across, found = *box, 1 - along, []
    for run in runs:
        for _, some in itertools.groupby(run, lambda p: ends[0] <= p[along] <= ends[1]):
            part = list(some)
            if any(all(low[k] - half <= p[k] <= high[k] + half for k in (0, 1)) for p in part):
                found.append((min(p[across] for p in part) - half, max(p[across] for p in part) + half))
    return found


def _stays_on(
    runs: Sequence[Sequence[Point]],
    box: Box,
    along: int,
    plate: tuple[tuple[float, float], tuple[float, float]],
    half: float,
) -> bool:
    """Tell whether every wheel that comes onto a cover stays on one plate over all of it until it is off its
    ends, or off its sides if that is how it goes; `plate` is from where to where it lies, along and across.
    """
    for run in runs:
        way = _goes(run)
        ends, sides = plate if way == along else plate[::-1]
        taken = _drifts([run], box, way, ends, half)
        if any(a < sides[0] - TOUCHING_MM or b > sides[1] + TOUCHING_MM for a, b in taken):
            return False
    return True


def _goes(run: Sequence[Point]) -> int:
    """Return along which axis a wheel goes."""
    x, y = (abs(run[-1][k] - run[0][k]) for k in (0, 1))
    return 0 if x >= y else 1


Box = tuple[Point, Point]
"""The lowest and the highest corner of a cover as it is turned back."""


def _lies(cover: Outline) -> list[float]:
    """Return how plates may lie turned, in deg: square to a side of the cover, the longest first."""
    sides = sorted(edges(cover), key=lambda side: -math.dist(*side))
    every = (math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 90.0 for a, b in sides)
    return list(dict.fromkeys(round(deg, 3) % 90.0 for deg in every))[:MOST_LIES]


MOST_LIES = 6
"""So many sides of a cover are tried: own figure."""


def _over(cover: Outline, along: int, low: float, high: float) -> tuple[float, float]:
    """Return from where to where a cover reaches along one axis, within a strip across it."""
    found = []
    for p, q in edges(cover):
        (a, s), (b, t) = ((e[along], e[1 - along]) for e in (p, q))
        cuts = [u for u in (low, high) if min(s, t) <= u <= max(s, t) and s != t]
        found += [a + (b - a) * (u - s) / (t - s) for u in cuts]
        found += [e for e, u in ((a, s), (b, t)) if low <= u <= high]
    middle = bounds(cover).middle[along]
    return min(found, default=middle), max(found, default=middle)


def _floor(along: int, ends: tuple[float, float], sides: tuple[float, float]) -> Outline:
    (x0, x1), (y0, y1) = (ends, sides) if along == 0 else (sides, ends)
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _corners(flat: Outline, along: int, turn_deg: float) -> tuple[Point, Point]:
    """Return the corners of a cover, as it is turned back, that are farthest to both sides of plates across
    it: its own, as those of its box may lie in a wall.
    """
    across = 1 - along
    low = min(flat, key=lambda p: (p[across], p[along]))
    high = min(flat, key=lambda p: (-p[across], p[along]))
    one, other = turned((low, high), turn_deg)
    return one, other


def _joined(tracks: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return tracks side by side, those that meet as one."""
    found: list[tuple[float, float]] = []
    for a, b in sorted(tracks):
        if found and a <= found[-1][1]:
            found[-1] = found[-1][0], max(b, found[-1][1])
        else:
            found.append((a, b))
    return found


def strips(
    tracks: Sequence[tuple[float, float]], width: float, within: tuple[float, float] | None = None
) -> list[float] | None:
    """Return where plates of a width begin that carry all tracks, each whole on one and none on another; None
    where none do.

    Their tracks are in the middle of each, or as near to it as they lie side by side, `within` two walls if
    there is room for that.
    """
    found: list[float] = []
    carried: list[tuple[float, float]] = []
    left = _joined(tracks)
    while left:
        first = left[0][0]
        last = max((b for _, b in left if b <= first + width), default=None)
        if last is None:
            return None
        start = max(last - width, found[-1] + width if found else -float("inf"))
        if start > first:
            return None
        found.append(start)
        carried.append((first, last))
        left = [t for t in left if t[1] > last]
    walls = within or (-math.inf, math.inf)
    return _side_by_side(carried, width, walls) or _side_by_side(carried, width, (-math.inf, math.inf))


def _side_by_side(
    carried: Sequence[tuple[float, float]], width: float, walls: tuple[float, float]
) -> list[float] | None:
    """Return where plates begin that each carry one stretch of tracks, side by side between two walls: each
    in the middle of its stretch, or as near to it as the others leave room; None where they have none.
    """
    latest: list[float] = []
    for first, _ in reversed(carried):
        latest.insert(0, min(first, walls[1] - width, *(at - width for at in latest[:1])))
    starts: list[float] = []
    for (first, last), late in zip(carried, latest, strict=True):
        early = max(last - width, walls[0], *(at + width for at in starts[-1:]))
        if early > late + TOUCHING_MM:
            return None
        starts.append(max(early, min((first + last - width) / 2, late)))
    return starts


def _why_not(
    gear: Gear, size_mm: tuple[float, float], cover: Outline, tracks: Tracks, rests_mm: float
) -> str:
    boxes = [bounds(turned(cover, -deg)) for deg in _lies(cover)]
    need = min(min(box.wide_mm, box.deep_mm) for box in boxes) + 2 * rests_mm
    if max(size_mm) < need:
        return f"{gear.name} is {show_length(max(size_mm))} long, {show_length(need)} needed"
    if tracks.points is None:
        return f"{gear.name} does not lie over all of it, and where the wheels are is not told"
    return (
        f"{gear.name} is narrower than the wheels' tracks over it and beside it ({show_length(min(size_mm))})"
    )


# --- edges that wheels go up and down ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Edge:
    """What wheels go up and down again: the sill of a doorway, or the edge of plates over a cover.

    `name` is the doorway or the plates, `named` the edge; `outline` the floor within which it stands,
    `to` the room on the other side of a sill.
    """

    name: str
    named: str
    subjects: tuple[str, ...]
    room: str
    height_mm: float
    outline: Outline
    to: str = ""

    @property
    def rooms(self) -> tuple[str, ...]:
        """The rooms on both sides of it."""
        return (self.room, self.to) if self.to else (self.room,)

    @property
    def middle(self) -> Point:
        """The middle of what stands there."""
        return bounds(self.outline).middle

    @property
    def is_sill(self) -> bool:
        """Whether it is the sill of a doorway."""
        return AT_PLATE not in self.subjects


@dataclass(frozen=True, slots=True)
class Ramps:
    """Ramps of one kind at both sides of an edge, or plates that lean on it as ramps.

    `abreast` is how many lie side by side on each side (0: they are too narrow), each `width_mm` wide (None:
    not told), `pieces` where each lies, as far as that is known; `wide_mm` is what the wheels take there
    along the edge, `angle_deg` the least of the way to it; `down_deg` are the directions down them, in the
    thing's own frame. `run_mm` is how far each runs, `fall` its slope; `foot_mm` the step at its foot and
    `top_mm` at its top (None: a plate, its thickness not told), `over_mm` how far it lifts wheels over the
    edge; a plate that leans rests `rests_mm` on it and sags `sag_mm` under the worst wheel.
    """

    gear: Gear
    edge: Edge
    abreast: int
    width_mm: float | None
    wide_mm: float
    angle_deg: float
    down_deg: tuple[float, ...]
    run_mm: float
    fall: float
    foot_mm: float | None = 0.0
    top_mm: float | None = 0.0
    over_mm: float = 0.0
    pieces: tuple[Piece, ...] = ()
    rests_mm: float = 0.0
    sag_mm: float = 0.0

    @property
    def steepest(self) -> float:
        """Its slope where a wheel has it steepest, how it sags under that wheel included.

        At u of a span L a beam sinks 16 s u^2 (1 - u)^2 under a load that sinks it s in the middle (statics):
        steepest at u = (3 - sqrt 3) / 6, where that is 3.08 s / L.
        """
        return self.fall + STEEPEST_SAG * self.sag_mm / self.run_mm

    @property
    def high_mm(self) -> float | None:
        """How high it is over the floor at the most; None where it is not told how thick it is."""
        return None if self.foot_mm is None else max(self.foot_mm, self.edge.height_mm + self.over_mm)

    @property
    def where(self) -> str:
        """Which way round they lie, and where along the edge."""
        lies = f"its {show_length(round(self.run_mm + self.rests_mm))} along the way"
        if self.rests_mm:
            lies += f", {self.rests_mm:.0f} of it on the sill"
        at = "the jamb" if self.edge.is_sill else "the corner of the plates"
        return f"{lies}, {sides_words(self.pieces, at)}" if self.pieces else lies

    @property
    def count(self) -> int:
        """How many lie there, on both sides."""
        return 2 * max(1, self.abreast)

    @property
    def packed_mm(self) -> float:
        """How high a plate that leans is packed before its end: as much as it rises beyond the edge."""
        return self.rests_mm * math.sin(math.atan(self.fall))

    @property
    def packing(self) -> str:
        """How a plate that leans is packed: ', 6 mm packed before its end'; '' of all else."""
        return f", {self.packed_mm:.0f} mm packed before its end" if self.rests_mm else ""

    @property
    def words(self) -> str:
        """What is laid where: '4 of wedge at mid'."""
        return f"{self.count} of {self.gear.name} at {self.edge.name}"


STEEPEST_SAG = 16 * math.sqrt(3) / 9
"""The greatest of 32 u (1 - u) (1 - 2 u): how steep a plate lies under a wheel, of its sag over its span."""
AT_PLATE = "plate edge"
"""Marks what is about the edge of plates."""


def edge_of(laid: Laid) -> Edge | None:
    """Return the edge of plates laid over a cover; None where nobody told how thick they are."""
    if laid.high_mm is None:
        return None
    subjects = *laid.covers, f"gear:{laid.gear.key}", AT_PLATE
    named = f"the edge of {laid.gear.name} over {laid.name}"
    return Edge(laid.words, named, subjects, laid.room, laid.high_mm, laid.outline)
