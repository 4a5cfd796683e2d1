"""What is left round a thing in hand: nearest thing, nearest wall, the ways beside it. No screen."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.geometry.exact import gap, line_gap, point_gap
from shopbins.geometry.shapes import contains
from shopbins.rules import ways
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, heights_meet
from shopbins.tui.plan.carry import Hand
from shopbins.units import show_length

LOOK_MM = 1500.0


def clear_lines(scene: Scene, hand: Hand) -> list[str]:
    """Return one line each for the nearest thing, the nearest wall and every way close by."""
    body = body_of(scene, hand)
    if body is None or body.room not in scene.shop.rooms:
        return []
    return [line for line in (_nearest(scene, body), _wall(scene, body), *_ways(scene, body)) if line]


def body_of(scene: Scene, hand: Hand) -> Standing | None:
    """Return the body as it would stand; None where it has no exact place or no known size."""
    if hand.kind == "thing":
        after = scene.with_thing_at(hand.thing_place(scene))
        room = hand.thing_place(scene).room
        return next((b for b in after.standing(room) if b.key == hand.key), None) if room else None
    target = hand.target(scene)
    if target is None or not target.posed:
        return None
    return scene.with_group_at(hand.key, target).body(hand.key)


def _nearest(scene: Scene, body: Standing) -> str:
    best: tuple[float, str] | None = None
    for other in scene.near(body.room, body.box.grown(LOOK_MM)):
        if other.subject == body.subject or other.subject == f"zone:{body.zone}":
            continue
        if heights_meet(body, other) is False:
            continue
        distance = gap(body.outline, other.outline).distance_mm
        if best is None or distance < best[0]:
            best = (distance, other.name)
    if best is None:
        return ""
    distance, name = best
    return f"{_mm(distance)} to {name}" if distance >= 0 else f"{_mm(-distance)} into {name}"


def _wall(scene: Scene, body: Standing) -> str:
    room = scene.room_outline(body.room)
    if not all(contains(room, p) for p in body.outline):
        return ""
    near = min(
        min(-point_gap(room, p).distance_mm for p in body.outline),
        min(point_gap(body.outline, p).distance_mm for p in room),
    )
    return f"{_mm(max(near, 0.0))} to the wall" if near <= LOOK_MM else ""


def _ways(scene: Scene, body: Standing) -> Iterator[str]:
    for way in scene.shop.walkways.values():
        if way.rooms and body.room not in way.rooms:
            continue
        beside = line_gap(body.outline, way.line).distance_mm - way.width_mm / 2
        if beside > LOOK_MM:
            continue
        pinch = ways.past(scene, way, body)
        if pinch is not None:
            yield f"{way.name}: {_mm(pinch.clear_mm)} of {_mm(way.width_mm)} clear"
        elif beside >= 0:
            yield f"{way.name}: all {_mm(way.width_mm)} clear, {_mm(beside)} beside it"


def _mm(value: float) -> str:
    return show_length(round(value))
