"""Is it too high for its place: levels, ceilings, and the open leaf of an up-and-over door."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline, contains
from shopbins.ledger.model import Group
from shopbins.rules import limits
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Advice, Placement, Rule
from shopbins.rules.say import TOLERANCE_MM, listed, mm, mm_pair, place, slack_mm, unsure, zone_subject
from shopbins.rules.things import outdoors
from shopbins.scene.scene import Scene
from shopbins.shop.model import Door, Level, Room, Zone

# --- headroom ---------------------------------------------------------------------------------------------


def _look_headroom(scene: Scene, zone: Zone) -> Iterator[Finding]:
    unsized, open_end = [], []
    for level in zone.levels:
        limit, _ = headroom_of(scene, zone, level)
        for group_id in scene.ids_in(zone, level.key):
            group = scene.group(group_id)
            yield from (f for f in _headroom(scene, group, zone, level) if f.grade != "note")
            if scene.share(group_id).height_mm is None:
                unsized.append(group)
            elif limit is None and not outdoors(scene, zone):
                open_end.append(group)
    if open_end:
        write = f"write headroom: 2.4 m at {zone.room}"
        yield HEADROOM.left_out(
            zone, [*unsized, *open_end], "with no headroom told over it", "headroom", remedy=write
        )
    elif unsized and not outdoors(scene, zone):
        yield HEADROOM.left_out(zone, unsized, "of unknown height", "headroom")


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


def headroom_within_mm(scene: Scene, zone: Zone, level: Level) -> float:
    """Return how well the height free above a level was measured."""
    path = f"zones/{zone.key}"
    paths = (f"{path}/headroom", f"{path}/levels/{level.key}/headroom", f"rooms/{zone.room}/headroom")
    return slack_mm(scene.shop, *paths)


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
    slack = headroom_within_mm(scene, zone, level)
    if height <= limit - slack:
        return
    tall, free = mm_pair(height, limit)
    over = height > limit + TOLERANCE_MM
    about = " (about)" if group.known_size is not None and group.known_size.about else ""
    body = scene.body(group.id)
    what = f"{group.shown} and the height over {place(zone, level)}"
    yield HEADROOM.found(
        "stop" if over else "note",
        (f"group:{group.code}", zone_subject(zone, level.key)),
        f"{group.shown} is {tall} high{about} and {words} {free}"
        f"{unsure(scene.shop, height, limit, what, slack)}",
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
    from shopbins.geometry.shapes import counter_clockwise

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
    remedy="put it on a lower level or in a higher place",
    look=_look_headroom,
    per="zone",
    judge=_judge_headroom,
    each="group",
)

# --- under sprinklers -------------------------------------------------------------------------------------


def _tops(scene: Scene, zone: Zone, level: Level) -> Iterator[tuple[Group, float | None]]:
    """Go through what lies on a level and how high above the floor its top is; None: not known."""
    for group_id in scene.ids_in(zone, level.key):
        height = scene.share(group_id).height_mm
        yield scene.group(group_id), None if height is None else level.height_mm + height


def _look_under(scene: Scene, room: Room) -> Iterator[Finding]:
    tops = [
        (zone, group, top) for zone in scene.zones_in(room.key) for level in zone.levels
        for group, top in _tops(scene, zone, level)
    ]  # fmt: skip
    found = [each for zone, group, top in tops if top is not None
             for each in _under(scene, room, zone, group, top)]  # fmt: skip
    yield from found
    unknown = [group for _, group, top in tops if top is None]
    if unknown:
        yield SPRINKLER.unjudged(
            (f"room:{room.key}",),
            f"{listed(g.shown for g in unknown)}: how far below the sprinklers of {room.name} is "
            "not checked, height not known",
            room=room.key, gap="keeps", remedy=f"shopbins set {unknown[0].code} --size 300x200x150mm",
        )  # fmt: skip
    elif tops and not found and limits.set_for(scene.shop, "sprinkler") is None:
        name = f"what lies under the sprinklers of {room.name}"
        yield SPRINKLER.no_figure(scene.shop, f"room:{room.key}", name, [], mm, room=room.key, unit="mm")


def _judge_under(p: Placement) -> Iterator[Finding]:
    room = p.shop.rooms.get(p.zone.room)
    height = p.scene.share(p.group.id).height_mm
    if room is not None and room.sprinklers_mm is not None and p.level is not None and height is not None:
        yield from _under(p.scene, room, p.zone, p.group, p.level.height_mm + height)


def _under(scene: Scene, room: Room, zone: Zone, group: Group, top: float) -> Iterator[Finding]:
    by, shop = limits.known("sprinkler", "us"), scene.shop
    if room.sprinklers_mm is None:
        return
    clear = room.sprinklers_mm - top
    if clear >= by.figure - TOLERANCE_MM:
        return
    is_clear, least = mm_pair(abs(clear), by.figure)
    where = f"{is_clear} {'below' if clear >= 0 else 'above'} the sprinklers of {room.name}"
    what = f"{group.shown} on {zone.name}" if zone.kind != "room" else group.shown
    subjects, more = (f"group:{group.code}", f"room:{room.key}"), {"room": room.key, "unit": "mm"}
    if limits.set_for(shop, "sprinkler") is None:
        text = f"{what}, {where}"
        advice = [Advice(by, by.figure, clear)] if limits.advisers(shop, "sprinkler") else []
        yield SPRINKLER.no_figure(shop, subjects, text, advice, mm, **more)
        return
    slack = slack_mm(shop, f"rooms/{room.key}/sprinklers")
    yield SPRINKLER.breaks(
        by, "correct", subjects,
        f"{what} is {where} ({least} below needed)"
        f"{unsure(shop, clear, by.figure, 'there', slack)}",
        room=room.key, measured=clear,
    )  # fmt: skip


SPRINKLER = Rule(
    key="sprinkler",
    title="Too near the sprinklers",
    text="In a room with `sprinklers` the top of what lies there is 18 in (457 mm) below the deflectors, so "
    "that the water spreads. To fix in 'us', elsewhere advice. Fixtures are not looked at.",
    limit="18 in (457.2 mm) in 'us'",
    source="29 CFR 1910.159(c)(10)",
    mark="from memory",
    remedy="put it lower, or in another room",
    look=_look_under,
    judge=_judge_under,
    each="room with sprinklers",
)

RULES = (HEADROOM, SPRINKLER)
