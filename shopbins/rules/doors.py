"""Doors: the passage, the floor the leaf sweeps, and the floor in front of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from shopbins.geometry.corridor import Corridor, corridor
from shopbins.geometry.shapes import Outline, Point, contains
from shopbins.rules import limits
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.overlap import Touch, touching
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM, about_size, mm, mm_pair, unsure
from shopbins.rules.ways import SHUT_MM, remedy_for, subjects, who
from shopbins.scene.passing import Pinch, left_beside, narrowest
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches
from shopbins.shop.model import Door, Shop

FRONT_MM = 900.0
"""How far in front of a door its clear width is looked at (its own width if less): own figure."""

HEAD_MM = 2100.0
"""How high a door without a stated height counts: own figure."""


def sides(door: Door, shop: Shop) -> tuple[str, ...]:
    """Return the rooms of the shop a door joins."""
    return tuple(room for room in (door.room, door.to) if room in shop.rooms)


def height_mm(door: Door) -> float:
    """Return the height of a door's opening."""
    return HEAD_MM if door.height_mm is None else door.height_mm


# --- the passage and the swing ----------------------------------------------------------------------------


def _touches(scene: Scene, door: Door, outline: Outline, body: Standing | None) -> Iterator[Touch]:
    if outline:
        for room in sides(door, scene.shop):
            if body is None or body.room == room:
                yield from touching(scene, room, outline, 0.0, height_mm(door), body)


def _passage(scene: Scene, body: Standing | None, only: Door | None = None) -> Iterator[Finding]:
    for door in scene.shop.doors.values() if only is None else (only,):
        for touch in _touches(scene, door, door.passage, body):
            exits = "the exit " if door.exit else ""
            yield touch.finding(
                PASSAGE,
                "stop",
                f"door:{door.key}",
                f"{touch.body.name} stands in the passage of {exits}{door.name} by {mm(touch.deep_mm)}"
                f"{about_size((touch.body,))}",
            )


def _swing(scene: Scene, body: Standing | None, only: Door | None = None) -> Iterator[Finding]:
    for door in scene.shop.doors.values() if only is None else (only,):
        for touch in _touches(scene, door, door.swing, body):
            yield touch.finding(
                SWING,
                "stop",
                f"door:{door.key}",
                f"{touch.body.name} stands where the leaf of {door.name} swings, by {mm(touch.deep_mm)}"
                f"{about_size((touch.body,))}"
                f"{unsure(scene.shop, touch.deep_mm, 0.0, f'{touch.body.name} and the swing')}",
            )


PASSAGE = Rule(
    key="door-passage",
    title="A door's passage blocked",
    text="Nothing lower than the opening stands in the gap through the wall. A stop.",
    limit="0 mm",
    source="shop file; exit routes unobstructed: 29 CFR 1910.37(a)(3)",
    mark="own",
    remedy="shift it out of the passage",
    look=lambda scene, door: _passage(scene, None, door),
    stand=_passage,
    each="door",
)


SWING = Rule(
    key="door-swing",
    title="A door cannot open",
    text="Nothing lower than the door stands on the floor its leaf sweeps. A stop.",
    limit="0 mm",
    source="shop file; exit routes unobstructed: 29 CFR 1910.37(a)(3)",
    mark="own",
    remedy="shift it out of the swing",
    look=lambda scene, door: _swing(scene, None, door),
    stand=_swing,
    each="door",
)


# --- the floor in front -----------------------------------------------------------------------------------


@lru_cache(maxsize=1024)
def fronts(door: Door, room_outline: Outline) -> tuple[Corridor, Corridor]:
    """Return the floor in front of a door: in its room, and beyond the passage."""
    (ax, ay), (bx, by) = door.jambs
    middle = (ax + bx) / 2, (ay + by) / 2
    length = math.dist(*door.jambs)
    n = (ay - by) / length, (bx - ax) / length
    if not contains(room_outline, _on(middle, n, 1.0)):
        n = -n[0], -n[1]
    deep = min(FRONT_MM, door.clear_width_mm)
    through = max((-((x - middle[0]) * n[0] + (y - middle[1]) * n[1]) for x, y in door.passage), default=1.0)
    wall = max(0.0, through - 1.0)
    inner = corridor((middle, _on(middle, n, deep)), door.clear_width_mm)
    outer = corridor((_on(middle, n, -wall), _on(middle, n, -wall - deep)), door.clear_width_mm)
    return inner, outer


def _on(p: Point, n: Point, far: float) -> Point:
    return p[0] + n[0] * far, p[1] + n[1] * far


def pinches(scene: Scene, door: Door, body: Standing | None) -> Iterator[Pinch]:
    """Go through what narrows the floor in front of a door, on both sides of it."""
    for room, front in zip((door.room, door.to), fronts(door, _room(scene, door)), strict=True):
        if room not in scene.shop.rooms:
            continue
        if body is not None and (body.room != room or not body.box.touches(front.box)):
            continue
        there = [
            b
            for b in scene.near(room, front.box.grown(1.0))
            if reaches(b, 0.0, height_mm(door)) is not False and (body is None or b.subject != body.subject)
        ]
        if body is None:
            yield from narrowest(front, there)
        elif reaches(body, 0.0, height_mm(door)) is not False:
            pinch = left_beside(front, body, there)
            if pinch is not None:
                yield pinch


def _room(scene: Scene, door: Door) -> Outline:
    return scene.shop.rooms[door.room].outline if door.room in scene.shop.rooms else ()


def least_of(shop: Shop, door: Door) -> float | None:
    """Return the least clear width in front of a door: the file's for exits, else for walkways."""
    least = shop.limits.exit_mm if door.exit and shop.limits.exit_mm is not None else shop.limits.walkway_mm
    return None if least is None else min(least, door.clear_width_mm)


def _front(scene: Scene, body: Standing | None, only: Door | None = None) -> Iterator[Finding]:
    for door in scene.shop.doors.values() if only is None else (only,):
        for pinch in pinches(scene, door, body):
            yield from _say_front(scene.shop, door, pinch, body)


def _say_front(shop: Shop, door: Door, pinch: Pinch, body: Standing | None) -> Iterator[Finding]:
    least, clear, full = least_of(shop, door), pinch.clear_mm, door.clear_width_mm
    wanted = full if least is None else least
    shut = clear < SHUT_MM or (least is not None and clear < least - TOLERANCE_MM)
    if least is None and clear < full / 2:
        shut = True
    body_mm = min(limits.figure("exit-width", "any", "a body"), full)
    if door.exit and clear < body_mm - TOLERANCE_MM and not (shut and least is not None and least >= body_mm):
        shut, least, wanted = True, body_mm, body_mm
    grade: Grade = "stop" if shut else "correct"
    left, limit = mm_pair(clear, wanted)
    words = f"{limit} needed" if least is not None else f"the door is {limit} wide"
    if not shut and least is not None:
        words += f", the door is {mm(full)} wide"
    exits = "the exit " if door.exit else ""
    left = left if clear >= SHUT_MM else "nothing"
    yield FRONT.found(
        grade,
        subjects(f"door:{door.key}", pinch.chain),
        f"{who(pinch.chain, body)} leaves {left} in front of {exits}{door.name}, {words}"
        f"{unsure(shop, clear, wanted, f'in front of {door.name}')}",
        room=pinch.chain[0].room,
        at_mm=pinch.at_mm,
        measured=clear,
        limit=wanted if shut else full,
        unit="mm",
        remedy=remedy_for(pinch.chain, body),
    )


FRONT = Rule(
    key="door-front",
    title="The floor in front of a door narrowed",
    text="In front of a door, as wide as its clear width and as deep as that (at most 900 mm), a clear width "
    "is left. Less than the least is a stop, less than the door's own to fix. Where the file gives no "
    "least, half the door's width is taken; before an exit never less than 500 mm (own figure).",
    limit="limits.exit (exits) or limits.walkway of the shop file, no more than the door's own clear width",
    source="shop file; depth and half width: own figures",
    mark="own",
    remedy="shift it away from the door",
    look=lambda scene, door: _front(scene, None, door),
    stand=_front,
    each="door",
)

RULES = (PASSAGE, SWING, FRONT)
