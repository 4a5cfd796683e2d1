"""Does it fit where it lies: two things in one place, sticking out of a room or zone."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.geometry.exact import gap, overhang_mm, overlap
from shopbins.geometry.shapes import Outline, contains
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import (
    TOLERANCE_MM,
    about_size,
    mm,
    unsure,
)
from shopbins.rules.things import IN_ZONES
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, footprint, heights_meet
from shopbins.shop.model import Room

# --- overlap ----------------------------------------------------------------------------------------------


def _look_overlap(scene: Scene, room: Room) -> Iterator[Finding]:
    moved = {f"{kind}:{key}" for key in scene.shifted for kind in ("zone", "fixture")}
    for body in scene.standing(room.key):
        if body.kind != "group" and body.subject not in moved:
            continue
        for found in _overlaps(scene, body):
            other_moves = found[0].kind == "group" or found[0].subject in moved
            if not other_moves or body.subject < found[0].subject:
                yield _say_overlap(body, *found)
    yield from _without_body(OVERLAP, scene, room, "overlap")


def _without_body(rule: Rule, scene: Scene, room: Room, what: str) -> Iterator[Finding]:
    """Say what of a room is not looked at, as its size or its spot is not known."""
    for zone in scene.zones_in(room.key):
        there = [group for _, (_, group) in IN_ZONES["part on the plan"](scene, zone)]
        unsized = [group for group in there if footprint(group) is None]
        nowhere = [g for g in there if footprint(g) is not None and scene.body(g.id) is None]
        if unsized or nowhere:
            lacks = "not measured" if not nowhere else "without size or exact spot"
            remedy = (
                "" if unsized else f"put it where it stands: shopbins put {nowhere[0].code} PLACE --at X,Y"
            )
            yield rule.left_out(zone, [*unsized, *nowhere], lacks, what, remedy=remedy)


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
            f"{body.name} and {other.name} share {mm(deep)} of floor; not checked, "
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
        measured=deep,
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
    look=_look_overlap,
    per="room",
    stand=_stand_overlap,
    each="part on the plan",
)


# --- sticking out -----------------------------------------------------------------------------------------


def _look_outside(scene: Scene, room: Room) -> Iterator[Finding]:
    for body in scene.standing(room.key):
        if body.kind == "group" or body.key in scene.shifted:
            yield from _outside(scene, body)
    yield from _without_body(OUTSIDE, scene, room, "sticking out")


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
        measured=far,
        limit=0.0,
        unit="mm",
    )


def _furthest(inner: Outline, outer: Outline) -> tuple[float, float]:
    """Return the corner that is furthest out, or any corner where only an edge is out."""
    from shopbins.geometry.exact import point_gap

    out = [c for c in inner if not contains(outer, c)]
    return max(out or inner, key=lambda c: point_gap(outer, c).distance_mm)


OUTSIDE = Rule(
    key="outside",
    title="Sticks out of its room or place",
    text="A posed thing lies wholly on the outline of its place, and what stands on the open floor wholly in "
    "its room, to 0.001 mm. A stop.",
    limit="0 mm",
    source="geometry of the outlines",
    mark="derived",
    remedy="shift or turn it, or put it in a larger place",
    look=_look_outside,
    per="room",
    stand=_outside,
    each="part on the plan",
)


RULES = (OVERLAP, OUTSIDE)
