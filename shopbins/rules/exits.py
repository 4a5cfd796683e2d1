"""Published least widths and heights of exit routes and exits, and of ramps."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

from shopbins.geometry.exact import overlap
from shopbins.rules import doors, published
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM, mm_pair, slack_mm, unsure
from shopbins.rules.ways import floor_of, in_rooms, past, remedy_for, subjects, who
from shopbins.scene.passing import Pinch, narrowest
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import Door, Room, Shop, Walkway
from shopbins.units import show_slope

# --- width ------------------------------------------------------------------------------------------------


def on_exit_routes(shop: Shop) -> list[Walkway]:
    """Return the walkways that are exit routes."""
    return [way for way in shop.walkways.values() if way.exit_route]


def exit_doors(shop: Shop) -> list[Door]:
    """Return exits, and the doors an exit route goes through."""
    found = []
    for door in shop.doors.values():
        if door.exit or any(_through(way, door) for way in on_exit_routes(shop)):
            found.append(door)
    return found


def _through(way: Walkway, door: Door) -> bool:
    return any(overlap(piece, door.passage) for piece in floor_of(way).pieces)


def _width(
    shop: Shop, subject: tuple[str, ...], clear: float, words: Callable[[str], str], **more: Any
) -> Iterator[Finding]:
    known = published.exit_width(shop.rules, shop.limits.people)
    if known is None:
        return
    least, source, of = known
    grade = published.grade_in(shop.rules, of)
    if grade is None or clear >= least - TOLERANCE_MM:
        return
    left, limit = mm_pair(clear, least)
    yield WIDTH.found(
        grade,
        subject,
        f"{words(left)}, {limit} is the published least{unsure(shop, clear, least, 'there')}",
        measured=round(clear, 3),
        limit=least,
        unit="mm",
        source=source,
        **more,
    )


def _pinched(shop: Shop, key: str, name: str, pinch: Pinch, body: Standing | None) -> Iterator[Finding]:
    yield from _width(
        shop,
        subjects(key, pinch.chain),
        pinch.clear_mm,
        lambda left: f"{who(pinch.chain, body)} leaves {left} {name}",
        room=pinch.chain[0].room,
        at_mm=pinch.at_mm,
        remedy=remedy_for(pinch.chain),
    )


def _audit_width(scene: Scene, _today: date) -> Iterator[Finding]:
    shop = scene.shop
    for way in on_exit_routes(shop):
        yield from _drawn_width(shop, way)
        for pinch in narrowest(floor_of(way), in_rooms(scene, way)):
            yield from _pinched(shop, f"walkway:{way.key}", f"of the exit route {way.name}", pinch, None)
    for door in exit_doors(shop):
        yield from _door_width(shop, door)
        for pinch in doors.pinches(scene, door, None):
            yield from _pinched(shop, f"door:{door.key}", f"at {door.name}", pinch, None)


def _drawn_width(shop: Shop, way: Walkway) -> Iterator[Finding]:
    def words(left: str) -> str:
        return f"the exit route {way.name} is {left} wide"

    subject = (f"walkway:{way.key}",)
    yield from _width(shop, subject, way.width_mm, words, room=_room(way), at_mm=way.line[0])


def _door_width(shop: Shop, door: Door) -> Iterator[Finding]:
    def words(left: str) -> str:
        return f"{door.name}, on the way out, is {left} clear"

    remedy = "a wider door, or another way out"
    more = {"room": door.room, "at_mm": door.jambs[0], "remedy": remedy}
    yield from _width(shop, (f"door:{door.key}",), door.clear_width_mm, words, **more)


def _room(way: Walkway) -> str | None:
    return way.rooms[0] if way.rooms else None


def _stand_width(scene: Scene, body: Standing) -> Iterator[Finding]:
    shop = scene.shop
    for way in on_exit_routes(shop):
        pinch = past(scene, way, body)
        if pinch is not None:
            yield from _pinched(shop, f"walkway:{way.key}", f"of the exit route {way.name}", pinch, body)
    for door in exit_doors(shop):
        for pinch in doors.pinches(scene, door, body):
            yield from _pinched(shop, f"door:{door.key}", f"at {door.name}", pinch, body)


WIDTH = Rule(
    key="exit-width",
    title="An exit route narrower than published",
    text="Exit routes, and the doors they go through, are at least as wide at all points as published: in "
    "'us' 28 in (711.2 mm), in 'uk' 750 mm to 60 people, 850 mm to 110, 1050 mm to 220, 5 mm a person above "
    "(`limits.people`); things standing there may not reduce it. A stop under its own rule set; under 'own' "
    "the US figure is advice.",
    limit="28 in (711.2 mm) in 'us' and, as advice, in 'own'; 750 mm and more in 'uk'; none in 'eu'",
    source="29 CFR 1910.36(g)(2), (4); Approved Document B (England)",
    mark="published",
    remedy="clear it, or ask those who answer for the building",
    audit=_audit_width,
    stand=_stand_width,
)

# --- height -----------------------------------------------------------------------------------------------


def _audit_height(scene: Scene, _today: date) -> Iterator[Finding]:
    shop = scene.shop
    grade = published.grade_in(shop.rules, "us")
    if grade is None:
        return
    rooms = dict.fromkeys(room for way in on_exit_routes(shop) for room in way.rooms)
    for key in rooms:
        room = shop.rooms.get(key)
        if room is not None and room.headroom_mm is not None:
            yield from _low(shop, f"room:{key}", room.name, room.headroom_mm, published.US_CEILING_MM, room)
    yield from _low_over_ways(scene)
    for door in exit_doors(shop):
        heights = [high for high in (door.height_mm, door.hang_mm) if high is not None]
        if heights:
            low = published.US_PROJECTION_MM
            room = shop.rooms.get(door.room)
            yield from _low(shop, f"door:{door.key}", door.name, min(heights), low, room)


def _low_over_ways(scene: Scene) -> Iterator[Finding]:
    """Go through the fixtures that hang over an exit route: once each, however wide the rest is."""
    shop, seen = scene.shop, set[str]()
    for way in on_exit_routes(shop):
        floor = floor_of(way)
        for room in way.rooms:
            for body in scene.near(room, floor.box):
                if body.kind != "fixture" or body.base_mm <= 0 or body.tag in seen:
                    continue
                if any(overlap(piece, body.outline) for piece in floor.pieces):
                    seen.add(body.tag)
                    over = f"{body.name}, over the exit route {way.name}"
                    low = published.US_PROJECTION_MM
                    yield from _low(shop, body.tag, over, body.base_mm, low, shop.rooms.get(room))


def _low(
    shop: Shop, subject: str, name: str, high: float, least: float, room: Room | None
) -> Iterator[Finding]:
    grade = published.grade_in(shop.rules, "us", "correct")
    if grade is None or high >= least - TOLERANCE_MM:
        return
    measured, limit = mm_pair(high, least)
    kind, _, key = subject.partition(":")
    slack = slack_mm(shop, *(f"{kind}s/{key}/{what}" for what in ("headroom", "height", "hang", "base")))
    on_it = "" if kind == "fixture" else ", on the way out,"
    is_high = "begins {} up" if kind == "fixture" else "is {} high"
    yield HEIGHT.found(
        grade,
        (subject,),
        f"{name}{on_it} {is_high.format(measured)}, {limit} is the published least"
        f"{unsure(shop, high, least, 'the height', slack)}",
        room=None if room is None else room.key,
        measured=high,
        limit=least,
        unit="mm",
    )


HEIGHT = Rule(
    key="exit-height",
    title="An exit route lower than published",
    text="The ceiling over an exit route is at least 7 ft 6 in (2286 mm), and no door, open up-and-over leaf "
    "or fixture over it lower than 6 ft 8 in (2032 mm). To correct under 'us', advice under 'own'.",
    limit="2286 mm; 2032 mm for projections",
    source="29 CFR 1910.36(g)(1)",
    mark="published",
    remedy="lead the way out elsewhere, or mark and pad it; ask those who answer for the building",
    audit=_audit_height,
)

# --- ramps ------------------------------------------------------------------------------------------------


def _audit_ramp(scene: Scene, _today: date) -> Iterator[Finding]:
    grade = published.grade_in(scene.shop.rules, "us", "correct")
    if grade is None:
        return
    for room in scene.shop.rooms.values():
        if room.slope is not None and room.slope.fall > published.US_RAMP * (1 + 1e-9):
            yield RAMP.found(
                grade,
                (f"room:{room.key}",),
                f"the floor of {room.name} falls {show_slope(room.slope.fall)}, 1 in 12 is the "
                "published most for a ramp",
                room=room.key,
                measured=round(room.slope.fall, 5),
                limit=round(published.US_RAMP, 5),
                unit="mm/mm",
            )


RAMP = Rule(
    key="ramp",
    title="A floor steeper than a ramp may be",
    text="A floor that falls more than 1 in 12 is steeper than a ramp may be. To correct under 'us', advice "
    "under 'own'.",
    limit="1 in 12",
    source="ADA Standards 405.2",
    mark="published",
    remedy="keep loads on wheels off it, or hold them by winch or tackle",
    audit=_audit_ramp,
)

RULES = (WIDTH, HEIGHT, RAMP)
