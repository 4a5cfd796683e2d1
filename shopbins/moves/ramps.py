"""Ramps at the edges that wheels go up, and plates that lean on a sill as ramps: which meet it, how many lie
side by side, and the steps that stay at their foot and top.

A sill is taken to be as deep as the wall is thick: ramps lie before both faces of it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.segments import edges
from shopbins.geometry.shapes import Outline, Point, bounds, contains
from shopbins.moves.fitted import HOISTS, along
from shopbins.moves.grounding import Bend, Profile
from shopbins.moves.plates import Edge, Piece, Ramps, piece_beside, strips
from shopbins.moves.route import RAMP_RUN, ramps_meeting
from shopbins.moves.situation import Situation
from shopbins.rules.slopes import SLOPING
from shopbins.shop.model import Gear
from shopbins.units import show_length, show_slope

NEVER_ON_SLOPES = (*HOISTS, "rollers and bar")
"""Gear that is never moved loaded on more than 1 in 50."""


def run_for(it: Situation) -> float:
    """Return how many times its rise a ramp has to run: by ADA 405.2, and as gently as the gear may go."""
    if it.kind in NEVER_ON_SLOPES:
        return 1 / SLOPING
    steepest = it.gear.gear.steepest
    return RAMP_RUN if not steepest else max(RAMP_RUN, 1 / steepest)


def half_track_mm(it: Situation) -> float:
    """Return half of how wide the track of one wheel is: of a skate half its pad, else our own figure."""
    half, pad = it.own["wheel half width"], it.gear.gear.size_mm
    return max(half, pad[1] / 2) if it.kind == "skates" and pad is not None else half


def pad_long_mm(it: Situation) -> float:
    """Return how far along the way one wheel bears: of a skate how long its pad is, else 0."""
    pad = it.gear.gear.size_mm
    return pad[0] if it.kind == "skates" and pad is not None else 0.0


# --- where wheels go over an edge -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Side:
    """A side of an edge that wheels cross, from corner to corner: their tracks along it, out to where ramps
    at it end, and the least angle of the way to it, in deg. `down_deg` are the directions in the thing's own
    frame that point square away from it, at every pose with a wheel so near.
    """

    ends: tuple[Point, Point]
    tracks: tuple[tuple[float, float], ...]
    angle_deg: float
    down_deg: tuple[float, ...]

    def piece(self, start: float, width: float, run: float, rests: float = 0.0) -> Piece:
        """Return a ramp that lies from `start` along it, so wide, and runs so far out to the right of it; a
        plate that leans on it rests so far in to the left.
        """
        (x, y), b = self.ends
        length = math.dist(self.ends[0], b)
        ux, uy = (b[0] - x) / length, (b[1] - y) / length
        outline = tuple(
            (x + s * ux + d * uy, y + s * uy - d * ux)
            for s, d in ((start, -rests), (start, run), (start + width, run), (start + width, -rests))
        )
        return piece_beside(self.ends, outline, start, start + width)


def sides_crossed(it: Situation, outline: Outline, out_mm: float) -> list[Side]:
    """Return the sides of an outline that wheels cross on the way, each with the tracks they take out to
    `out_mm` from it. Between two poses next to each other a wheel goes straight.
    """
    wheels = list(dict.fromkeys(it.gear.wheels))
    if not wheels:
        return []
    half = half_track_mm(it)
    box = bounds(outline).grown(max(math.hypot(*p) for p in wheels) + out_mm + half)
    steps = [
        (p.turn_deg, list(zip(it.at(p, wheels), it.at(q, wheels), strict=True)))
        for p, q in itertools.pairwise([pose for _, pose in it.poses()])
        if any(box.left <= e.x_mm <= box.right and box.bottom <= e.y_mm <= box.top for e in (p, q))
    ]
    found = (_crossed(a, b, steps, out_mm, half) for a, b in edges(outline))
    return [side for side in found if side is not None]


def _crossed(a: Point, b: Point, steps: Sequence[_Step], out_mm: float, half: float) -> Side | None:
    """Return where wheels cross one side, a to b with the outline on its left; None where none does."""
    length = math.dist(a, b)
    u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    away = math.degrees(math.atan2(u[1], u[0])) - 90.0
    tracks: dict[int, list[float]] = {}
    crosses: set[int] = set()
    down: set[float] = set()
    angle = 90.0
    for turn_deg, step in steps:
        for wheel, (p, q) in enumerate(step):
            (s0, d0), (s1, d1) = (_beside(a, u, e) for e in (p, q))
            if (d0 > 0) != (d1 > 0) and -half <= s0 + (s1 - s0) * d0 / (d0 - d1) <= length + half:
                crosses.add(wheel)
                angle = min(angle, math.degrees(math.atan2(abs(d1 - d0), abs(s1 - s0))))
            within = list(_within(s0, d0, s1, d1, out_mm))
            tracks.setdefault(wheel, []).extend(within)
            if any(-half <= s <= length + half for s in within):
                down.add(round((away - turn_deg) % 360.0, 1))
    if not crosses:
        return None
    taken = (tracks[wheel] for wheel in sorted(crosses))
    return Side((a, b), tuple((min(s) - half, max(s) + half) for s in taken if s), angle, tuple(sorted(down)))


_Step = tuple[float, list[tuple[Point, Point]]]
"""How it is turned, and where each wheel goes from and to."""


def _beside(a: Point, u: Point, p: Point) -> Point:
    """Return how far along a line from `a` and how far out to the right of it a point is."""
    x, y = p[0] - a[0], p[1] - a[1]
    return x * u[0] + y * u[1], x * u[1] - y * u[0]


def _within(s0: float, d0: float, s1: float, d1: float, out_mm: float) -> Iterator[float]:
    """Go through where along a line a stretch begins and ends that lies 0 to `out_mm` out from it."""
    low, high = min(d0, d1), max(d0, d1)
    if high < 0 or low > out_mm:
        return
    for d in (max(low, 0.0), min(high, out_mm)):
        yield s0 if high - low < 1e-9 else s0 + (s1 - s0) * (d - d0) / (d1 - d0)
    if high - low < 1e-9:
        yield s1


def climbs(it: Situation, edge: Edge, out_mm: float) -> tuple[float, float]:
    """Return how steeply the floor climbs, and how steeply it falls, along the way under any wheel while one
    is so near an edge; (0, 0) where the floors there are level.
    """
    rooms = [room for room in it.rooms if room.slope is not None and room.slope.fall > 0]
    wheels = it.gear.wheels
    up = down = 0.0
    if not rooms or not wheels:
        return up, down
    box = bounds(edge.outline).grown(out_mm)
    for leg, pose in it.poses():
        if leg.heading_deg is None:
            continue
        at = it.at(pose, wheels)
        if not any(box.left <= x <= box.right and box.bottom <= y <= box.top for x, y in at):
            continue
        for room in rooms:
            if room.slope is not None and any(contains(room.outline, p) for p in at):
                fall = room.slope.fall * math.cos(math.radians(room.slope.towards_deg - leg.heading_deg))
                up, down = max(up, -fall), max(down, fall)
    return up, down


def on_floor(fall: float, floor: float) -> float:
    """Return the slope of what falls so much over a floor that falls itself: the tangent of both angles."""
    return math.tan(math.atan(fall) + math.atan(floor))


def slope_on(fall: float, floor: float) -> str:
    """Say how steep a ramp is: '1 in 12'; on a floor that falls itself, each by itself and both together."""
    if not floor:
        return show_slope(fall)
    both = show_slope(on_floor(fall, floor))
    return f"{show_slope(fall)} on a floor of {show_slope(floor)}, {both} together"


# --- what lies there --------------------------------------------------------------------------------------


def meeting(it: Situation, edge: Edge) -> list[Ramps]:
    """Return ramps, and plates told with a rise, that meet an edge, those of the nearest rise first.

    What a ramp rises that is not told is taken to meet it, which is then part of the condition.
    """
    step, found = edge.height_mm, []
    for off, gear in ramps_meeting(it.scene.shop, step):
        run = max(run_for(it) * step if gear.size_mm is None else gear.size_mm[0], step)
        foot = gear.height_mm if gear.kind == "plate" else 0.0
        width = None if gear.size_mm is None else gear.size_mm[1]
        over = max(0.0, (gear.rise_mm or step) - step)
        found.append(_laid(it, edge, gear, run, step / run, width, (foot, off, over)))
    return found


def leaning(it: Situation, edge: Edge) -> list[Ramps]:
    """Return plates told of that lean on a sill as a ramp no steeper than 1 in 12 nor than the gear may go,
    their ends resting on it, beyond its edge: less far than our own figure where they lie too steep so.

    At its foot wheels go up the plate's edge, and at the top its end, packed before it by as much as it
    rises there: the step stays as thick as it is.
    """
    step, found = edge.height_mm, []
    for gear in _plates(it) if edge.is_sill else ():
        thick = gear.height_mm
        sizes = () if gear.size_mm is None else dict.fromkeys((gear.size_mm, gear.size_mm[::-1]))
        lies: list[tuple[float | None, float | None, float]] = []
        for length, across in sizes:
            on_it = _rests_mm(it, edge, length)
            lies.append((_run_mm(it, length - on_it, step), across, on_it))
        if not sizes:
            lies.append((run_for(it) * step, None, rests_on_mm(it, edge)))
        for run, width, rests in lies:
            if run is not None:
                fall = step / run
                ends = thick, thick, (thick or 0.0) + rests * math.sin(math.atan(fall))
                found.append(_laid(it, edge, gear, run, fall, width, ends, rests))
    return found


def rests_on_mm(it: Situation, edge: Edge) -> float:
    """Return how far a plate that leans on a sill rests on it: half of how deep that is at the most, as one
    from the other side does.
    """
    deep = min(across_mm(edge.outline, (b[1] - a[1], a[0] - b[0])) for a, b in edges(edge.outline))
    return min(it.own["plate rests"], deep / 2)


def _rests_mm(it: Situation, edge: Edge, length_mm: float) -> float:
    """Return how far a plate so long rests on a sill: as far as wanted where it then lies no steeper than it
    may, with the floor before it, else as far as that leaves; 0 where it is too steep with none on it.
    """
    step, flat, steepest = edge.height_mm, 1 / run_for(it), it.gear.gear.steepest
    floor = max(climbs(it, edge, length_mm))
    with_floor = flat if steepest is None else math.tan(math.atan(steepest) - math.atan(floor))
    falls = (min(flat, with_floor), flat)
    left = (length_mm - step * math.hypot(1.0, 1 / fall) for fall in falls if fall > 0)
    return min(rests_on_mm(it, edge), next((mm for mm in left if mm > 0), 0.0))


def too_short(it: Situation, edge: Edge) -> str:
    """Say of plates told of that they are too short to lean on a sill as a ramp; '' where none is."""
    step, said = edge.height_mm, []
    for gear in _plates(it) if edge.is_sill else ():
        length = 0.0 if gear.size_mm is None else max(gear.size_mm)
        if length > step and _run_mm(it, length, step) is None:
            fall = show_slope(step / math.sqrt(length**2 - step**2))
            at = f"{gear.name}, {show_length(length)} long, none of it on the sill"
            said.append(f"{at}, would lie at {fall}: no ramp")
    return "; ".join(said)


def _plates(it: Situation) -> Iterator[Gear]:
    """Go through the plates told of without a rise: flat ones."""
    yield from (g for g in it.scene.shop.gear.values() if g.kind == "plate" and g.rise_mm is None)


def _run_mm(it: Situation, length_mm: float, step_mm: float) -> float | None:
    """Return how far a plate runs that leans on a step; None where that is too steep for a ramp."""
    run = math.sqrt(max(0.0, max(0.0, length_mm) ** 2 - step_mm**2))
    return run if run >= run_for(it) * step_mm * (1 - 1e-9) else None


def _laid(
    it: Situation,
    edge: Edge,
    gear: Gear,
    run: float,
    fall: float,
    width: float | None,
    ends: tuple[float | None, float | None, float],
    rests: float = 0.0,
) -> Ramps:
    """Lay ramps of a width at an edge so that every wheel's track on the way found is whole on one.

    `ends` are the steps at foot and top and how far they lift wheels over the edge. Where no way is known it
    is crossed square, where no wheel is, one on each side is as wide as the gear.
    """
    sides = sides_crossed(it, edge.outline, run)
    wide = max((_wide(side.tracks) for side in sides), default=over_all_mm(it))
    angle = min((side.angle_deg for side in sides), default=90.0)
    abreast, pieces = 1, []
    if width is not None and sides:
        lies = [strips(side.tracks, width, _walls(it, side, bool(rests))) for side in sides]
        abreast = 0 if None in lies else max(len(starts or ()) for starts in lies)
        for side, starts in zip(sides, lies, strict=True):
            pieces += [side.piece(start, width, run, rests) for start in starts or ()]
    elif width is not None:
        abreast = abreast_square(it, width) if it.gear.stances else int(width >= wide)
    foot, top, over = ends
    down = tuple(dict.fromkeys(deg for side in sides for deg in side.down_deg))
    down = down or (it.gear.axis_deg, it.gear.axis_deg + 180.0)
    told = gear, edge, abreast, width, wide, angle, down, run, fall, foot, top, over
    return Ramps(*told, tuple(pieces), rests)


def _walls(it: Situation, side: Side, leans: bool) -> tuple[float, float] | None:
    """Return from where to where along a side what is laid there has room: in the room before it, and between
    its ends where it `leans` on it; None where no room is before it.
    """
    (x, y), b = side.ends
    length = math.dist(*side.ends)
    ux, uy = (b[0] - x) / length, (b[1] - y) / length
    before = (x + b[0]) / 2 + BEFORE_MM * uy, (y + b[1]) / 2 - BEFORE_MM * ux
    room = next((r for r in it.scene.shop.rooms.values() if contains(r.outline, before)), None)
    if room is None:
        return None
    along_it = [(px - x) * ux + (py - y) * uy for px, py in room.outline]
    low, high = min(along_it), max(along_it)
    return (max(low, 0.0), min(high, length)) if leans else (low, high)


BEFORE_MM = 20.0
"""So far before a side is the room before it: less than a doorway overlaps that; own figure."""


def _wide(tracks: Sequence[tuple[float, float]]) -> float:
    return max(b for _, b in tracks) - min(a for a, _ in tracks)


def abreast_square(it: Situation, width_mm: float) -> int:
    """Return how many ramps so wide, side by side, carry every track of wheels that cross an edge square: 0
    where none do, 1 where the wheels are not known.
    """
    half = half_track_mm(it)
    places = [along(p, it.gear.axis_deg + 90.0) for p in it.gear.wheels]
    found = strips([(y - half, y + half) for y in places], width_mm) if places else [0.0]
    return 0 if found is None else len(found)


def over_all_mm(it: Situation) -> float:
    """Return how wide the wheels of gear stand, over all; 0 where that is not known."""
    if it.gear.gear.over_forks_mm is not None:
        return it.gear.gear.over_forks_mm
    across = [along(p, it.gear.axis_deg + 90.0) for p in it.gear.wheels]
    return max(across) - min(across) + 2 * half_track_mm(it) if across else 0.0


def bends_over(laid: Ramps) -> tuple[Bend, Bend]:
    """Return the crests and the foot that ramps at an edge make, as they are crossed there."""
    edge, at = laid.edge, f"{laid.gear.name} at {laid.edge.name}"
    across = tuple(sorted({deg % 180.0 for deg in laid.down_deg}))
    foot, over = laid.foot_mm or 0.0, laid.over_mm
    high = edge.height_mm + over
    rests = laid.rests_mm
    floor = floor_over(edge.height_mm, _deep_mm(laid) - 2 * rests, laid.run_mm + rests, foot, over)
    return (
        Bend(f"over {at}", laid.fall, True, False, across, most_mm=high, floor=floor),
        Bend(f"at the foot of {at}", laid.fall, False, True, across, most_mm=high, edge_mm=foot),
    )


def floor_over(step_mm: float, deep_mm: float, run_mm: float, foot_mm: float, over_mm: float) -> Profile:
    """Return the floor up a ramp, over an edge so high and deep, and down another: each ramp begins `foot_mm`
    over the floor and ends `over_mm` over the edge.
    """
    up = ((-1.0, 0.0), (0.0, 0.0), (0.0, foot_mm), (run_mm, step_mm + over_mm), (run_mm, step_mm))
    far = 2 * run_mm + deep_mm
    return (*up, *((far - x, z) for x, z in reversed(up)))


def _deep_mm(laid: Ramps) -> float:
    """Return how deep an edge is between the ramps on both sides of it: 0 where they lie at a corner, the
    least way across where it is not known where they lie.
    """
    outline = laid.edge.outline
    lines = [piece.outline[:2] for piece in laid.pieces]
    if not lines:
        return min(across_mm(outline, (b[1] - a[1], a[0] - b[0])) for a, b in edges(outline))
    away = [((b[0] - a[0]) / math.dist(a, b), (b[1] - a[1]) / math.dist(a, b)) for a, b in lines]
    (x, y) = away[0]
    if any(abs(x * v - y * u) > 0.1 for u, v in away):
        return 0.0
    return min(across_mm(outline, each) for each in away)


def across_mm(outline: Outline, away: Point) -> float:
    """Return how wide an outline is along a direction, where it is narrowest."""
    far = math.hypot(*away)
    at = [(x * away[0] + y * away[1]) / far for x, y in outline]
    middle = (min(at) + max(at)) / 2
    return min(a for a in at if a >= middle) - max(a for a in at if a <= middle)
