"""Does it fit where it lies: overlap, sticking out, headroom, a surface that is full."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import date

from shopbins.floor.exact import gap, overhang_mm, overlap
from shopbins.floor.shapes import Outline, bounds, contains, placed
from shopbins.layout.contents import Contents
from shopbins.layout.frames import to_shop
from shopbins.layout.scene import Scene
from shopbins.layout.standing import Standing, footprint, heights_meet
from shopbins.parts.model import Group, InZone
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import (
    TOLERANCE_MM,
    about_size,
    mm,
    mm_pair,
    place,
    plural,
    unsure,
    zone_subject,
)
from shopbins.shop.model import Door, Level, Zone

HEAPED = ("bag",)
"""Containers that may lie on each other without harm: they count by area only."""


# --- overlap ----------------------------------------------------------------------------------------------


def _audit_overlap(scene: Scene, _today: date) -> Iterator[Finding]:
    moved = {f"{kind}:{key}" for key in scene.shifted for kind in ("zone", "fixture")}
    for room in scene.shop.rooms:
        for body in scene.standing(room):
            if body.kind != "group" and body.subject not in moved:
                continue
            for found in _overlaps(scene, body):
                other_moves = found[0].kind == "group" or found[0].subject in moved
                if not other_moves or body.subject < found[0].subject:
                    yield _say_overlap(body, *found)


def _stand_overlap(scene: Scene, body: Standing) -> Iterator[Finding]:
    for found in _overlaps(scene, body):
        yield _say_overlap(body, *found)


def _overlaps(scene: Scene, body: Standing) -> Iterator[tuple[Standing, bool]]:
    """Go through what a body overlaps, with whether the heights are known to meet."""
    for other in scene.near(body.room, body.box):
        if other.subject == body.subject or _carries(body, other) or _carries(other, body):
            continue
        meet = heights_meet(body, other)
        if meet is not False and overlap(body.outline, other.outline, TOLERANCE_MM):
            yield other, meet is True


def _carries(under: Standing, over: Standing) -> bool:
    return under.kind == "zone" and over.kind == "group" and over.zone == under.key


def _say_overlap(body: Standing, other: Standing, sure: bool) -> Finding:
    between = gap(body.outline, other.outline)
    deep = max(0.0, -between.distance_mm)
    subjects = sorted((body.tag, other.tag))
    if not sure:
        unknown = body if body.top_mm is None and not body.top_known else other
        return OVERLAP.found(
            "note",
            subjects,
            f"{body.name} and {other.name} share {mm(deep)} of floor; not judged, "
            f"as the height of {unknown.name} is not known",
            room=body.room,
            at_mm=between.point_b,
            remedy=f"measure the height of {unknown.name}",
        )
    return OVERLAP.found(
        "stop",
        subjects,
        f"{body.name} overlaps {other.name} by {mm(deep)}{about_size((body, other))}",
        room=body.room,
        at_mm=between.point_b,
        measured=round(deep, 3),
        limit=0.0,
        unit="mm",
    )


OVERLAP = Rule(
    key="overlap",
    title="Two things in one place",
    text="No two bodies whose heights meet may overlap by more than 0.001 mm; touching is allowed. "
    "A stop; a note where an unmeasured height decides.",
    limit="0 mm",
    source="geometry of the outlines",
    mark="derived",
    remedy="shift or turn one of them, or correct its place or size",
    audit=_audit_overlap,
    stand=_stand_overlap,
)


# --- sticking out -----------------------------------------------------------------------------------------


def _audit_outside(scene: Scene, _today: date) -> Iterator[Finding]:
    for room in scene.shop.rooms:
        for body in scene.standing(room):
            if body.kind == "group" or body.key in scene.shifted:
                yield from _outside(scene, body)


def _outside(scene: Scene, body: Standing) -> Iterator[Finding]:
    zone = scene.zone(body.zone) if body.kind == "group" and body.zone is not None else None
    outline = scene.room_outline(body.room) if zone is None else zone.outline
    far = overhang_mm(body.outline, outline)
    if far <= TOLERANCE_MM:
        return
    where = scene.shop.rooms[body.room].name if zone is None else zone.name
    key = f"room:{body.room}" if zone is None or zone.kind == "room" else f"zone:{zone.key}"
    verb = (
        "hangs over the edge of" if zone is not None and zone.kind in ("bench", "shelf") else "sticks out of"
    )
    yield OUTSIDE.found(
        "stop",
        (body.tag, key),
        f"{body.name} {verb} {where} by {mm(far)}{about_size((body,))}"
        f"{unsure(scene.shop, far, 0.0, f'{body.name} and {where}')}",
        room=body.room,
        at_mm=_furthest(body.outline, outline),
        measured=round(far, 3),
        limit=0.0,
        unit="mm",
    )


def _furthest(inner: Outline, outer: Outline) -> tuple[float, float]:
    """Return the corner that is furthest out, or any corner where only an edge is out."""
    from shopbins.floor.exact import point_gap

    out = [c for c in inner if not contains(outer, c)]
    return max(out or inner, key=lambda c: point_gap(outer, c).distance_mm)


OUTSIDE = Rule(
    key="outside",
    title="Sticks out of its room or zone",
    text="A posed thing lies wholly on the outline of its zone, and what stands on the open floor wholly in "
    "its room, to 0.001 mm. A stop.",
    limit="0 mm",
    source="geometry of the outlines",
    mark="derived",
    remedy="shift or turn it, or lay it in a larger place",
    audit=_audit_outside,
    stand=_outside,
)


# --- headroom ---------------------------------------------------------------------------------------------


def _audit_headroom(scene: Scene, _today: date) -> Iterator[Finding]:
    for zone in scene.zones():
        for level in zone.levels:
            for group_id in scene.ids_in(zone, level.key):
                group = scene.group(group_id)
                yield from (f for f in _headroom(scene, group, zone, level) if f.grade != "note")


def _judge_headroom(p: Placement) -> Iterator[Finding]:
    if p.level is not None:
        yield from _headroom(p.scene, p.group, p.zone, p.level)


def headroom_of(scene: Scene, zone: Zone, level: Level) -> tuple[float | None, str]:
    """Return the height free above a level, None if the file does not say, and what ends it."""
    if level.headroom_mm is not None:
        return level.headroom_mm, f"{place(zone, level)} has"
    above = [each for each in zone.levels if each.height_mm > level.height_mm]
    if above:
        following = min(above, key=lambda each: each.height_mm)
        return following.height_mm - level.height_mm, f"up to {place(zone, following)} there are"
    room = scene.shop.rooms.get(zone.room)
    if room is None or room.headroom_mm is None:
        return None, ""
    return room.headroom_mm - level.height_mm, f"up to the ceiling of {room.name} there are"


def _headroom(scene: Scene, group: Group, zone: Zone, level: Level) -> Iterator[Finding]:
    height = scene.share(group.id).height_mm
    body = scene.body(group.id)
    if height is None:
        return
    limit, words = headroom_of(scene, zone, level)
    if limit is not None:
        yield from _over(scene, group, zone, level, height, limit, words)
    if body is None:
        return
    for door in scene.shop.doors.values():
        hang = hanging_leaf(scene, door) if door.room == zone.room else None
        if hang is not None and overlap(body.outline, hang[0], TOLERANCE_MM):
            under = hang[1] - level.height_mm
            yield from _over(
                scene, group, zone, level, height, under, f"under the open leaf of {door.name} there are"
            )


def _over(
    scene: Scene, group: Group, zone: Zone, level: Level, height: float, limit: float, words: str
) -> Iterator[Finding]:
    if height <= limit - scene.shop.measured_mm:
        return
    tall, free = mm_pair(height, limit)
    over = height > limit + TOLERANCE_MM
    about = " (about)" if group.known_size is not None and group.known_size.about else ""
    body = scene.body(group.id)
    yield HEADROOM.found(
        "stop" if over else "note",
        (f"group:{group.code}", zone_subject(zone, level.key)),
        f"{group.shown} is {tall} high{about} and {words} {free}"
        f"{unsure(scene.shop, height, limit, f'{group.shown} and the height over {place(zone, level)}')}",
        room=zone.room,
        at_mm=None if body is None else body.centre,
        measured=height,
        limit=limit,
        unit="mm",
    )


def hanging_leaf(scene: Scene, door: Door) -> tuple[Outline, float] | None:
    """Return where an open up-and-over leaf hangs in the door's room, and how high over the floor."""
    if door.opens != "up-and-over" or door.hang_mm is None:
        return None
    room = scene.shop.rooms.get(door.room)
    if room is None:
        return None
    (ax, ay), (bx, by) = door.jambs
    length = math.hypot(bx - ax, by - ay)
    deep = door.height_mm if door.height_mm is not None else length
    nx, ny = (ay - by) / length, (bx - ax) / length
    if not contains(room.outline, ((ax + bx) / 2 + nx, (ay + by) / 2 + ny)):
        nx, ny = -nx, -ny
    corners = ((ax, ay), (bx, by), (bx + nx * deep, by + ny * deep), (ax + nx * deep, ay + ny * deep))
    from shopbins.floor.shapes import counter_clockwise

    return counter_clockwise(corners), door.hang_mm


HEADROOM = Rule(
    key="headroom",
    title="Too high for its place",
    text="A thing, with what stands on it, is no higher than the free height of its level: the file's own, "
    "else up to the next level, else up to the ceiling, and under the open leaf of an up-and-over door. "
    "A stop; a note within the measuring uncertainty.",
    limit="headroom of the level, the room or the hanging leaf in the shop file",
    source="shop file",
    mark="own",
    remedy="lay it on a lower level or in a higher place",
    audit=_audit_headroom,
    judge=_judge_headroom,
)


# --- full surfaces ----------------------------------------------------------------------------------------


def _audit_full(scene: Scene, _today: date) -> Iterator[Finding]:
    for zone in scene.zones():
        if zone.kind == "room":
            continue
        for level in zone.levels:
            contents = scene.contents(zone.key, level.key)
            yield from _full(scene, zone, level, contents)


def _judge_full(p: Placement) -> Iterator[Finding]:
    if p.level is None or p.zone.kind == "room":
        return
    yield from _full(p.scene, p.zone, p.level, p.scene.contents(p.zone.key, p.level.key))


def _full(scene: Scene, zone: Zone, level: Level, contents: Contents) -> Iterator[Finding]:
    most = scene.shop.limits.fill
    if contents.fill <= most + 1e-9 or not contents.groups:
        return
    flat = [g for g in map(scene.group, contents.groups) if g.container not in HEAPED]
    flat_mm2 = sum(_area(g) for g in flat)
    over = flat_mm2 > contents.surface_mm2 * (1 + 1e-9)
    percent, least = contents.fill * 100, most * 100
    also = f", {plural(contents.unsized, 'thing')} of unknown size not counted" if contents.unsized else ""
    yield FULL.found(
        "stop" if over else "correct",
        (zone_subject(zone, level.key),),
        f"{place(zone, level)} is {percent:.0f} % full, {least:.0f} % wanted{also}"
        + ("; what lies there without heaping needs more than the whole surface" if over else ""),
        room=zone.room,
        at_mm=_middle(zone),
        measured=round(percent, 1),
        limit=round(least, 1),
        unit="%",
    )


def _area(group: Group) -> float:
    from shopbins.layout.contents import area_of

    return area_of(group) or 0.0


def _middle(zone: Zone) -> tuple[float, float]:
    x0, y0, x1, y1 = bounds(zone.outline)
    return (x0 + x1) / 2, (y0 + y1) / 2


FULL = Rule(
    key="full",
    title="A surface fuller than wanted",
    text="The footprints on a bench, shelf level or floor spot take no more than the fill factor of its "
    "surface: to correct. A stop where what cannot be heaped takes more than the whole surface. An area sum "
    "may refuse, it never accepts: whether a thing finds a place is looked at by its outline.",
    limit="limits.fill in the shop file, 85 % unless set",
    source="fill factor: own figure",
    mark="own",
    remedy="take something off, or put small things into a tub",
    audit=_audit_full,
    judge=_judge_full,
)


# --- too large for the surface ----------------------------------------------------------------------------


def _judge_large(p: Placement) -> Iterator[Finding]:
    if p.body is None and p.level is not None and p.zone.kind != "room":
        yield from _too_large(p.group, p.zone, p.level)


def _audit_large(scene: Scene, _today: date) -> Iterator[Finding]:
    for zone in scene.zones():
        if zone.kind == "room":
            continue
        for level in zone.levels:
            for group_id in scene.ids_in(zone, level.key):
                group = scene.group(group_id)
                if isinstance(group.where, InZone) and not group.where.posed:
                    yield from _too_large(group, zone, level)


def _too_large(group: Group, zone: Zone, level: Level) -> Iterator[Finding]:
    outline = footprint(group)
    if outline is None or fits_at_all(outline, zone):
        return
    x0, y0, x1, y1 = bounds(outline)
    along, across = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    a, b = _extent(zone)
    yield LARGE.found(
        "stop",
        (f"group:{group.code}", zone_subject(zone, level.key)),
        f"{group.shown}, {mm(along)} by {mm(across)}, does not fit on {place(zone, level)}, "
        f"{mm(a)} by {mm(b)}, at any turn",
        room=zone.room,
        at_mm=_middle(zone),
        measured=round(across if across > b else along, 3),
        limit=round(b if across > b else a, 3),
        unit="mm",
    )


def _extent(zone: Zone) -> tuple[float, float]:
    if zone.size_mm is not None:
        return max(zone.size_mm), min(zone.size_mm)
    x0, y0, x1, y1 = bounds(zone.outline)
    return max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)


def fits_at_all(outline: Outline, zone: Zone) -> bool:
    """Tell whether an outline may lie on an empty surface at some turn; False is certain.

    Of rectangles it is exact (W. B. Carver's condition, American Mathematical Monthly 64, 1957, 114-116;
    from memory). Else the longest distance in the thing is compared with the longest in the zone.
    """
    if zone.size_mm is not None and _is_rectangle(outline):
        x0, y0, x1, y1 = bounds(outline)
        return rectangle_in_rectangle((x1 - x0, y1 - y0), zone.size_mm)
    return _longest(outline) <= _longest(zone.outline) + TOLERANCE_MM


def rectangle_in_rectangle(inner: tuple[float, float], outer: tuple[float, float]) -> bool:
    """Tell whether a rectangle fits into another at any turn."""
    p, q = max(inner), min(inner)
    a, b = max(outer), min(outer)
    if q > b + TOLERANCE_MM:
        return False
    if p <= a + TOLERANCE_MM:
        return True
    p, q = p - TOLERANCE_MM, max(0.0, q - TOLERANCE_MM)
    return p > q and ((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2 >= 2.0


def _is_rectangle(outline: Outline) -> bool:
    x0, y0, x1, y1 = bounds(outline)
    return len(outline) == 4 and all(x in (x0, x1) and y in (y0, y1) for x, y in outline)


def _longest(outline: Outline) -> float:
    return max(math.dist(p, q) for p in outline for q in outline)


def turned_in_zone(outline: Outline, zone: Zone, where: InZone) -> Outline:
    """Return an outline as it lies at a pose of the zone, in the shop frame."""
    return placed(outline, to_shop(zone, where.x_mm or 0.0, where.y_mm or 0.0, where.turn_deg))


LARGE = Rule(
    key="too-large",
    title="Larger than the surface",
    text="What lies on a surface without a stated place must fit on the empty surface at some turn. A stop.",
    limit="the surface's own size",
    source="rectangle in rectangle: W. B. Carver, American Mathematical Monthly 64 (1957) 114-116",
    mark="from memory",
    remedy="lay it on a larger surface or on the floor",
    audit=_audit_large,
    judge=_judge_large,
)


# --- what could not be judged -----------------------------------------------------------------------------


def _judge_unknown(p: Placement) -> Iterable[Finding]:
    if footprint(p.group) is None:
        yield UNKNOWN.found(
            "note",
            (f"group:{p.group.code}",),
            f"fit of {p.group.shown} not judged: its size is not known",
            room=p.zone.room,
        )
    elif p.body is None and p.zone.kind in ("floor", "room"):
        yield UNKNOWN.found(
            "note",
            (f"group:{p.group.code}",),
            f"ways and doors not judged: where {p.group.shown} stands in {p.zone.name} is not known",
            room=p.zone.room,
            remedy="give its place on the plan",
        )
    elif p.scene.share(p.group.id).height_mm is None:
        yield UNKNOWN.found(
            "note",
            (f"group:{p.group.code}",),
            f"headroom of {p.group.shown} not judged: its height is not known",
            room=p.zone.room,
        )


UNKNOWN = Rule(
    key="not-judged",
    title="Not judged",
    text="Says what could not be looked at because a size, a height or a place is not known. A note.",
    limit="none",
    source="own",
    mark="own",
    remedy="measure it: three numbers are enough",
    judge=_judge_unknown,
)

RULES = (OVERLAP, OUTSIDE, HEADROOM, LARGE, FULL, UNKNOWN)
