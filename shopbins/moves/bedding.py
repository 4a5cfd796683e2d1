"""What plates and ramps lie on: floor that bears them, and nothing else that lies or stands there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.exact import overlap
from shopbins.geometry.segments import segment_gap
from shopbins.geometry.shapes import Outline, Point, Pose, placed, rectangle
from shopbins.moves.crossings import crossings, rounds
from shopbins.moves.finding import Ask, Check
from shopbins.moves.force import G_M_S2
from shopbins.moves.overedges import together_kg
from shopbins.moves.plates import Laid, Ramps
from shopbins.moves.ramps import half_track_mm, pad_long_mm
from shopbins.moves.route import open_holes
from shopbins.moves.shares import one_bears
from shopbins.moves.situation import Situation
from shopbins.rules.covers import Cover, bears_kn, covers_in
from shopbins.scene.standing import reaches
from shopbins.shop.model import Shop
from shopbins.units import show_force, show_point

LIES_ON = Check(
    "move-plates-bed",
    "What plates and ramps lie on",
    "geometry: each plate and ramp on floor, against covers, pits, sills, walls and all else that lies or "
    "stands there; a cover takes what the shop file tells, as under wheels",
    "derived",
    "shorter or narrower ones, one run of plates over both, a way over fewer",
)
CLEAR = Check(
    "move-plates-clear",
    "Plates and ramps where it stands",
    "geometry: its feet and the wheels of its gear where it is set down, against each plate and ramp; laid "
    "before it is jacked: common practice, no source",
    "derived",
    "it stands farther off",
)


def bedded(it: Situation) -> Iterator[Part]:
    """Judge what each plate and ramp on the way lies on, and whether two that lie at once overlap."""
    lies: list[Laid | Ramps] = [*it.laid, *it.ramps]
    for each in lies:
        yield from beds(it, each)
    yield from (part for each in it.ramps for part in _wheels_beside(it, each))
    every = rounds(crossings(it)) if len(lies) > 1 else ()
    for one, other in (pair for some in every for pair in itertools.combinations(some, 2)):
        pairs = itertools.product(one.lies, other.lies)
        for a, b in itertools.islice((pair for pair in pairs if on_each_other(*pair)), 1):
            text = f"{a.words} and {b.words} would lie on each other"
            subjects = (*it.subjects, *_about(a), *_about(b))
            ends = ("one run of plates over both", "shorter ones")
            yield LIES_ON.open(subjects, text, ends=ends, room=_room(a))


def _wheels_beside(it: Situation, lies: Ramps) -> Iterator[Part]:
    """Say where a wheel that does not go up a ramp comes onto its side, or two of them lie on each other."""
    half, ends = half_track_mm(it) - DEEP_MM, ("narrower ones", "another way past it")
    subjects = (*it.subjects, *_about(lies))
    pairs = itertools.combinations(lies.pieces, 2)
    if any(overlap(a.outline, b.outline, DEEP_MM) for a, b in pairs):
        text = f"{lies.words} would lie on each other"
        yield LIES_ON.open((*subjects, "abreast"), text, ends=ends[:1], room=_room(lies))
    sides = [(o[k], o[k + 1]) for o in (piece.outline for piece in lies.pieces) for k in (0, 2)]
    for p in (p for _, pose in it.poses() for p in placed(it.gear.wheels, pose)):
        if any(segment_gap(p, *side)[0] < half and _level(p, *side) for side in sides):
            near = show_point(round(p[0]), round(p[1]))
            text = f"a wheel that does not go up {lies.words} comes onto its side near {near}"
            yield LIES_ON.open((*subjects, "beside"), text, ends=ends, room=_room(lies))
            return


def _level(p: Point, a: Point, b: Point) -> bool:
    """Tell whether a point is level with a line, neither before nor beyond it."""
    along = (p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])
    return 0.0 < along < math.dist(a, b) ** 2


def on_each_other(a: Laid | Ramps, b: Laid | Ramps) -> bool:
    """Tell whether any plate or ramp of one place would lie on one of another."""
    return any(overlap(p.outline, q.outline, 1.0) for p in a.pieces for q in b.pieces)


def beds(it: Situation, lies: Laid | Ramps) -> Iterator[Part]:
    """Judge what the plates or ramps of one place lie on."""
    yield from _on_floor(it, lies)
    yield from _on_covers(it, lies)
    yield from _where_it_stands(it, lies)


def _about(lies: Laid | Ramps) -> tuple[str, ...]:
    subjects = lies.covers if isinstance(lies, Laid) else lies.edge.subjects
    return (*subjects, f"gear:{lies.gear.key}")


def _room(lies: Laid | Ramps) -> str:
    return lies.room if isinstance(lies, Laid) else lies.edge.room


def _beside(lies: Laid | Ramps, own: Outline) -> Iterator[Any]:
    """Go through what of each plate or ramp lies on what is beside its own cover or edge."""
    import shapely

    for piece in lies.pieces:
        yield shapely.Polygon(piece.outline).difference(shapely.Polygon(own).buffer(DEEP_MM))


DEEP_MM = 1.0
"""What overlaps no deeper than this touches, as passages overlap the rooms beside them: own figure."""


def _deep(area: Any, other: Any) -> bool:
    return bool(area.intersection(other).buffer(-DEEP_MM / 2).area > 0.0)


def _on_floor(it: Situation, lies: Laid | Ramps) -> Iterator[Part]:
    """Say where a plate or ramp would lie on no floor: in a wall, on a sill, over an open pit, or on what
    stands there.
    """
    import shapely

    shop = it.scene.shop
    areas = list(_beside(lies, _own(it, lies)))
    walls = any(area.difference(_floor(shop)).buffer(-DEEP_MM / 2).area > 0.0 for area in areas)
    under = [("a wall", "")] if walls else []
    under += [
        (name, subject)
        for name, subject, outline in _stands(it, lies)
        if any(_deep(area, shapely.Polygon(outline)) for area in areas)
    ]
    for name, subject in under:
        text = f"{lies.words} would lie in part on {name}"
        subjects = (*it.subjects, *_about(lies), subject or "wall")
        yield LIES_ON.open(subjects, text, ends=(f"ones that lie clear of {name}",), room=_room(lies))


def _own(it: Situation, lies: Laid | Ramps) -> Outline:
    """Return what plates bridge or ramps lie at."""
    if isinstance(lies, Ramps):
        return lies.edge.outline
    shop, over = it.scene.shop, list[Outline]()
    for sort, _, key in (subject.partition(":") for subject in lies.covers):
        over.append((shop.fixtures if sort == "fixture" else shop.openings)[key].outline)
    return over[0] if len(over) == 1 else convex_hull([p for outline in over for p in outline])


@lru_cache(maxsize=16)
def _united(outlines: tuple[Outline, ...]) -> Any:
    import shapely

    return shapely.union_all([shapely.Polygon(outline) for outline in outlines if outline])


def _floor(shop: Shop) -> Any:
    """Return all floor that a shop is told to have, doorways among it."""
    rooms = (room.outline for room in shop.rooms.values())
    return _united((*rooms, *(door.passage for door in shop.doors.values() if door.passage)))


def _stands(it: Situation, lies: Laid | Ramps) -> Iterator[tuple[str, str, Outline]]:
    """Go through what nothing is laid on: name, subject and outline of sills, open pits, and what stands
    there once all is shifted that is.
    """
    shop, own = it.scene.shop, _about(lies)
    for door in shop.doors.values():
        if door.threshold_mm and door.passage and f"door:{door.key}" not in own:
            yield f"the sill of {door.name}", f"door:{door.key}", door.passage
    for pit in open_holes(shop, it.floors):
        if f"opening:{pit.key}" not in own or isinstance(lies, Ramps):
            yield f"{pit.name}, open", f"opening:{pit.key}", pit.outline
    ground = None if it.attempt is None else it.attempt.then or it.attempt.ground
    if ground is None:
        return
    for each in (*ground.fixed, *ground.things):
        if reaches(each, 0.0, lies.high_mm or DEEP_MM) is not False:
            yield each.name, each.subject, each.outline


def _on_covers(it: Situation, lies: Laid | Ramps) -> Iterator[Part]:
    """Compare what comes onto a plate or ramp with what a cover that it lies on takes."""
    import shapely

    own = _about(lies)
    areas = list(_beside(lies, _own(it, lies)))
    kg = _on_one_kg(it, lies)
    for cover in covers_in(it.scene.shop):
        if cover.subject in own and isinstance(lies, Laid):
            continue
        if any(_deep(area, shapely.Polygon(cover.outline)) for area in areas):
            yield from _on_cover(it, lies, cover, kg)


def _on_one_kg(it: Situation, lies: Laid | Ramps) -> float | None:
    """Return the most that may come onto one plate or ramp, all of it at the end that lies there."""
    if isinstance(lies, Laid):
        return lies.one_kg
    end, one = together_kg(it), one_bears(it)
    if end is None or one is None or lies.abreast < 2 or one.of > 2 * lies.abreast:
        return end
    return min(end, one.most_kg)


def _on_cover(it: Situation, lies: Laid | Ramps, cover: Cover, kg: float | None) -> Iterator[Part]:
    takes = bears_kn(cover, it.own["cover of test"], G_M_S2)
    subjects = (*it.subjects, *_about(lies), cover.subject)
    text = f"{lies.words} would lie in part on {cover.name}"
    more: dict[str, Any] = {"room": cover.room, "unit": "kN"}
    if takes is None:
        ask = Ask(f"what does {cover.name} take?", cover.asked, 2)
        yield LIES_ON.open(subjects, f"{text}: what it takes is not told", ask, room=cover.room)
        return
    counts, limit = takes
    ends = (f"ones that lie clear of {cover.name}", f"plates over {cover.name}, too")
    if kg is None:
        yield LIES_ON.open(subjects, f"{text}: what comes onto it is not known", ends=ends, room=cover.room)
        return
    kn = kg * G_M_S2 / 1000.0
    text += f", up to {show_force(kn)} on one of them; it takes {show_force(counts)}"
    more |= {"measured": kn, "limit": counts}
    if kn > limit * (1 + 1e-9):
        yield LIES_ON.open(subjects, text, ends=ends, **more)
    elif kn > counts * (1 + 1e-9):
        words = f"{cover.name} takes {show_force(kn)}, its maker asked"
        yield LIES_ON.only(subjects, words, text, **more)
    else:
        yield LIES_ON.note(subjects, text, **more)


# --- where it stands --------------------------------------------------------------------------------------


def _where_it_stands(it: Situation, lies: Laid | Ramps) -> Iterator[Part]:
    """Say where its feet, or the wheels of its gear as it is set down on them, would be on ramps, where it
    stands at the start and at the goal.
    """
    if isinstance(lies, Laid) or it.kind == "by hand":
        return
    for pose, end, when in ((it.body.pose, "start", "stands"), (it.goal_pose, "goal", "is set down")):
        if pose is None:
            continue
        pads = _pads(it, pose)
        far = max((_in_mm(pad, piece.outline) for pad in pads for piece in lies.pieces), default=0.0)
        subjects = (*it.subjects, *_about(lies), end)
        if far > 0:
            need = 5.0 * math.ceil((far + it.measured_mm) / 5.0 - 1e-9)
            text = f"{it.name} {when} where {lies.words} would lie: its feet or wheels {need:.0f} mm too near"
            ends = (f"{it.name} {need:.0f} mm farther from {lies.edge.name} at its {end}",)
            more: dict[str, Any] = {"measured": -need, "limit": 0.0, "unit": "mm", "room": _room(lies)}
            yield CLEAR.no(subjects, text, ends, **more)
        elif len(it.load.feet) < 3 and _over(it, pose, lies):
            text = f"{it.name} {when} over where {lies.words} would lie; where its feet are is not told"
            yield CLEAR.only(subjects, f"its feet clear of {lies.words}", text, room=_room(lies))


def _pads(it: Situation, pose: Pose) -> list[Outline]:
    """Return the outlines, at a pose, of its feet and of each wheel or skate."""
    half, axis = half_track_mm(it), it.gear.axis_deg
    wheel = rectangle(max(pad_long_mm(it), 2 * half), 2 * half)
    local = [placed(wheel, Pose(x, y, axis)) for x, y in dict.fromkeys(it.gear.wheels)]
    feet = it.load.feet if len(it.load.feet) >= 3 else it.load.jacking
    local += [
        placed(rectangle(*(max(side, DEEP_MM) for side in f.pad_mm or (0.0, 0.0))), Pose(f.x_mm, f.y_mm, 0.0))
        for f in feet
    ]
    return [placed(outline, pose) for outline in local]


def _in_mm(pad: Outline, ramp: Outline) -> float:
    """Return how far beyond the foot of a ramp, up it, what stands on it reaches; 0 where it does not."""
    if not overlap(pad, ramp, DEEP_MM):
        return 0.0
    (ax, ay), (bx, by) = ramp[:2]
    run = math.dist(ramp[0], ramp[1])
    u = ((ax - bx) / run, (ay - by) / run)
    return max((x - bx) * u[0] + (y - by) * u[1] for x, y in pad)


def _over(it: Situation, pose: Pose, lies: Ramps) -> bool:
    outline = placed(it.load.own or it.load.outline, pose)
    return any(overlap(outline, piece.outline, DEEP_MM) for piece in lies.pieces)
