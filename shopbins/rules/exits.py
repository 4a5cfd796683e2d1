"""Published least widths and heights of exit routes and exits, and what their doors are."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from shopbins.geometry.exact import overlap
from shopbins.rules import doors, limits
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.limits import Limit
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import TOLERANCE_MM, mm, mm_pair, slack_mm, unsure
from shopbins.rules.things import exit_doors, exit_routes, people_in
from shopbins.rules.ways import floor_of, in_rooms, past, remedy_for, subjects, who
from shopbins.scene.passing import Pinch, narrowest
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.scene.walkout import exits_beyond
from shopbins.shop.model import Door, Room, Shop, Walkway
from shopbins.units import counted

# --- width ------------------------------------------------------------------------------------------------

Exit = Walkway | Door


def least_width(
    rules: str, people: int | None, exits: int, *, route: bool = False
) -> tuple[Limit, float] | None:
    """Return a set's least clear width of a way out for so many people; None where it has none.

    With two exits or more the largest is left out of the reckoning in 'uk': the others take all. Without
    people the figure of the fewest is returned: less is too narrow for anybody.
    """
    if rules == "uk":
        each = None if people is None else math.ceil(people / max(1, exits - 1))
        found = limits.limit("exit-width", "uk", "people", float(each or 1))
        if found is None:
            found = limits.known("exit-width", "uk", "a person")
            return found, found.figure * (each or 1)
        return found, found.figure
    of = {"us": "", "de": "route" if route else "door"}.get(rules)
    found = None if of is None else limits.limit("exit-width", rules, of, float(people or 1))
    return None if found is None else (found, found.figure)


def _room_of(each: Exit) -> str:
    return each.room if isinstance(each, Door) else each.rooms[0] if each.rooms else ""


def _tag(each: Exit) -> str:
    return f"door:{each.key}" if isinstance(each, Door) else f"walkway:{each.key}"


def _words(each: Exit) -> str:
    return f"{each.name}, on the way out," if isinstance(each, Door) else f"the exit route {each.name}"


def _drawn(each: Exit) -> float:
    return each.clear_width_mm if isinstance(each, Door) else each.width_mm


def exits_of(shop: Shop) -> int:
    """Return how many exits of a kind that may be one there are."""
    return sum(1 for door in shop.doors.values() if door.exit and not no_exit_kind(door, shop))


def _advice(shop: Shop, each: Exit, clear: float) -> list[Advice]:
    people, exits = people_in(shop, _room_of(each)), exits_of(shop)
    found = []
    for rules in limits.advisers(shop, "exit-width"):
        known = least_width(rules, people, exits, route=isinstance(each, Walkway))
        if known is not None:
            unsaid = {"uk": "for up to 60 people", "de": "for up to 5 people"}.get(rules, "")
            note = f"for {counted(people, 'person', 'people')}" if people and rules != "us" else unsaid
            found.append(Advice(known[0], known[1], clear, note=note))
    return found


def _judged_width(
    shop: Shop, each: Exit, clear: float, text: Callable[[str], str], **more: Any
) -> Iterator[Finding]:
    """Judge one clear width by the set in force; only what breaks it."""
    rules = limits.set_for(shop, "exit-width")
    if rules is None:
        return
    known = least_width(
        rules, people_in(shop, _room_of(each)), exits_of(shop), route=isinstance(each, Walkway)
    )
    if known is None or clear >= known[1] - TOLERANCE_MM:
        return
    by, least = known
    if rules == "us" and clear >= limits.figure("exit-width", "us", "as printed in cm") - TOLERANCE_MM:
        yield WIDTH.unjudged(
            more.pop("subjects"),
            f"{_words(each)} is {mm(clear)} clear: between 71.1 cm and 28 in, which the rule prints side "
            f"by side",
            measured=clear, unit="mm", remedy="measure it again", **more,
        )  # fmt: skip
        return
    left, limit = mm_pair(clear, least)
    again = unsure(shop, clear, least, "there")
    yield WIDTH.breaks(
        by, "stop", more.pop("subjects"), f"{text(left)}, {limit} is the published minimum{again}",
        measured=clear, limit=least, **more,
    )  # fmt: skip


def _pinches(scene: Scene, each: Exit) -> Iterator[Pinch]:
    if isinstance(each, Door):
        yield from doors.pinches(scene, each, None)
    else:
        yield from narrowest(floor_of(each), in_rooms(scene, each))


def _pinched(shop: Shop, each: Exit, pinch: Pinch, body: Standing | None) -> Iterator[Finding]:
    where = f"at {each.name}" if isinstance(each, Door) else f"of the exit route {each.name}"
    yield from _judged_width(
        shop, each, pinch.clear_mm,
        lambda left: f"{who(pinch.chain, body)} leaves {left} {where}",
        subjects=subjects(_tag(each), pinch.chain), room=pinch.chain[0].room, at_mm=pinch.at_mm,
        remedy=remedy_for(pinch.chain, body),
    )  # fmt: skip


def _nobody_past(shop: Shop, each: Exit, pinch: Pinch, body: Standing | None) -> Iterator[Finding]:
    """Say that what stands there lets nobody through: an own figure in every set, and a stop."""
    by, clear = limits.known("exit-width", "any", "a body"), pinch.clear_mm
    if clear >= by.figure - TOLERANCE_MM:
        return
    where = f"at {each.name}" if isinstance(each, Door) else f"of the exit route {each.name}"
    left, least = mm_pair(clear, by.figure)
    yield WIDTH.breaks(
        by, "stop", subjects(_tag(each), pinch.chain),
        f"{who(pinch.chain, body)} leaves {left} {where}: nobody gets through less than {least} (own figure)"
        f"{unsure(shop, clear, by.figure, 'there')}",
        measured=clear, room=pinch.chain[0].room, at_mm=pinch.at_mm,
        remedy=remedy_for(pinch.chain, body),
    )  # fmt: skip


def _look_width(scene: Scene, each: Exit) -> Iterator[Finding]:
    shop = scene.shop
    pinches = list(_pinches(scene, each))
    clear, room = _drawn(each), _room_of(each) or None
    at = each.jambs[0] if isinstance(each, Door) else each.line[0]
    rules = limits.set_for(shop, "exit-width")
    if rules is None:
        narrow = min([clear, *(pinch.clear_mm for pinch in pinches)])
        own = shop.limits.exit_mm if shop.rules == "own" else None
        shut: list[Finding] = []
        for pinch in pinches:
            shut += _nobody_past(shop, each, pinch, None)
        yield from shut
        if own is None and not shut:
            name = f"{_words(each)} {mm(narrow)} clear"
            yield WIDTH.no_figure(
                shop, _tag(each), name, _advice(shop, each, narrow), mm, room=room, at_mm=at, unit="mm",
                remedy="make it wider, or dismiss this with a reason",
            )  # fmt: skip
        elif own is not None and clear < own - TOLERANCE_MM and not shut:
            left, wanted = mm_pair(clear, own)
            yield WIDTH.found(
                "stop", (_tag(each),), f"{_words(each)} is {left} clear ({wanted} needed)", room=room,
                at_mm=at, measured=clear, limit=own, unit="mm", source="limits of the shop file",
            )  # fmt: skip
        return
    text = (
        (lambda left: f"{_words(each)} is {left} clear")
        if isinstance(each, Door)
        else (lambda left: f"{_words(each)} is {left} wide")
    )
    broken = list(
        _judged_width(
            shop, each, clear, text, subjects=(_tag(each),), room=room, at_mm=at,
            remedy="a wider one, or another way out",
        )
    )  # fmt: skip
    yield from broken
    for pinch in pinches:
        yield from _pinched(shop, each, pinch, None)
    if not broken and rules in ("uk", "de") and people_in(shop, _room_of(each)) is None:
        most = 1050.0 if rules == "uk" or isinstance(each, Door) else 1200.0
        if clear < most - TOLERANCE_MM:
            yield WIDTH.lacks(
                _tag(each), each.name, "number of people who may have to get out that way",
                "people: 12 at the room or in limits", room=room, at_mm=at,
            )  # fmt: skip


def _stand_width(scene: Scene, body: Standing) -> Iterator[Finding]:
    shop = scene.shop
    for way in exit_routes(shop):
        pinch = past(scene, way, body)
        if pinch is not None:
            yield from _stood(shop, way, pinch, body)
    for door in exit_doors(shop):
        for pinch in doors.pinches(scene, door, body):
            yield from _stood(shop, door, pinch, body)


def _stood(shop: Shop, each: Exit, pinch: Pinch, body: Standing) -> Iterator[Finding]:
    if limits.set_for(shop, "exit-width") is not None:
        yield from _pinched(shop, each, pinch, body)
        return
    shut = list(_nobody_past(shop, each, pinch, body))
    yield from shut
    advice = [] if shut else _advice(shop, each, pinch.clear_mm)
    if shop.limits.exit_mm is None and any(a.beyond > TOLERANCE_MM for a in advice):
        name = f"{who(pinch.chain, body)} leaves {mm(pinch.clear_mm)} of {each.name}"
        yield WIDTH.no_figure(
            shop, subjects(_tag(each), pinch.chain), name, advice, mm, room=body.room, at_mm=pinch.at_mm,
            unit="mm", remedy=remedy_for(pinch.chain, body),
        )  # fmt: skip


WIDTH = Rule(
    key="exit-width",
    everywhere=False,
    title="An exit route narrower than published",
    text="Exit routes, and the doors they go through, are at least as wide at all points as published for "
    "the "
    "people who may have to get out (`people`); things standing there may not reduce it. A stop under its "
    "own "
    "rule set. Under 'own' it is your `limits.exit`; without it the US figure is advice. "
    "In every set a thing that leaves less than 500 mm is a stop: nobody gets through (own figure).",
    limit="28 in (711.2 mm) in 'us'; by people in 'uk' and 'de'; none in 'eu'",
    source="29 CFR 1910.36(g)(2), (4); Approved Document B (England); ASR A2.3",
    mark="published",
    remedy="clear it, or ask those who answer for the building",
    each="exit",
    look=_look_width,
    stand=_stand_width,
)

# --- no narrower than its only access -----------------------------------------------------------------------


def _look_narrower(scene: Scene, door: Door) -> Iterator[Finding]:
    shop = scene.shop
    if not door.exit:
        return
    routes = [
        way
        for way in exit_routes(shop)
        if any(overlap(piece, door.passage) for piece in floor_of(way).pieces)
    ]
    if len(routes) != 1:
        return
    access = routes[0]
    short = door.clear_width_mm < access.width_mm - TOLERANCE_MM
    rules = limits.set_for(shop, "exit-narrower")
    if rules is None:
        by = limits.known("exit-narrower", "us")
        if short and "us" in limits.advisers(shop, "exit-narrower"):
            advice = [Advice(by, access.width_mm, door.clear_width_mm)]
            name = f"{door.name}, {mm(door.clear_width_mm)} clear behind {access.name}"
            yield NARROWER.no_figure(shop, f"door:{door.key}", name, advice, mm, room=door.room, unit="mm")
        return
    by = limits.known("exit-narrower", rules)
    if short:
        clear, wide = mm_pair(door.clear_width_mm, access.width_mm)
        yield NARROWER.breaks(
            by, "correct", (f"door:{door.key}", f"walkway:{access.key}"),
            f"{door.name} is {clear} clear, narrower than {access.name} that leads to it ({wide} needed)",
            room=door.room, at_mm=door.jambs[0], measured=door.clear_width_mm,
            limit=access.width_mm,
            remedy=f"a door of {wide}, or draw {access.name} as narrow as it may be",
        )  # fmt: skip


NARROWER = Rule(
    key="exit-narrower",
    title="An exit narrower than the way to it",
    text="Where one exit access leads to an exit, the exit is at least as wide as that access as drawn; "
    "things "
    "standing in the access do not lower what the door must be. To fix in 'us'.",
    limit="the width of the one access that leads to it",
    source="29 CFR 1910.36(g)(2), second sentence",
    mark="published",
    remedy="a wider door",
    each="exit door",
    look=_look_narrower,
)

# --- height -----------------------------------------------------------------------------------------------


def _low(
    scene: Scene, each: Exit | Room, name: str, tag: str, of: str, high: float, path: str
) -> Iterator[Finding]:
    """Judge one height over a way out: a ceiling, a projection, a door."""
    shop, room = scene.shop, each.key if isinstance(each, Room) else _room_of(each) or None
    own, rules = shop.limits.headroom_mm, limits.set_for(shop, "exit-height")
    if rules is None:
        if own is not None and shop.rules == "own":
            if high < own - TOLERANCE_MM:
                yield _too_low(shop, name, tag, high, own, None, room, path)
            return
        advice = [
            Advice(by, by.figure, high)
            for other in limits.advisers(shop, "exit-height")
            if (by := limits.limit("exit-height", other, of)) is not None
        ]
        what = f"{name.rstrip(',')}, {mm(high)} high"
        yield HEIGHT.no_figure(shop, tag, what, advice, mm, room=room, unit="mm")
        return
    by = limits.limit("exit-height", rules, of)
    if by is not None and high < by.figure - TOLERANCE_MM:
        yield _too_low(shop, name, tag, high, by.figure, by, room, path)


def _too_low(
    shop: Shop, name: str, tag: str, high: float, least: float, by: Limit | None, room: str | None, path: str
) -> Finding:
    measured, limit = mm_pair(high, least)
    whose = "your own" if by is None else "the published"
    doubt = "" if by is None else by.doubt
    text = f"{name} is {measured} high, {limit} is {whose} least{doubt}"
    text += unsure(shop, high, least, "the height", slack_mm(shop, path))
    source = "limits of the shop file" if by is None else by.source
    return HEIGHT.found(
        "correct", (tag,), text, room=room, measured=high, limit=least, unit="mm", source=source
    )


def _look_height(scene: Scene, each: Exit | Room) -> Iterator[Finding]:
    shop = scene.shop
    rules, own = limits.set_for(shop, "exit-height"), shop.limits.headroom_mm
    wanted = rules is not None or (own is not None and shop.rules == "own")
    if isinstance(each, Room):
        if not each.outdoor:
            yield from _ceiling(scene, each, wanted)
        return
    if isinstance(each, Door):
        heights = [high for high in (each.height_mm, each.hang_mm) if high is not None]
        if not heights and not wanted and not each.exit:
            yield HEIGHT.no_figure(shop, f"door:{each.key}", each.name, [], mm, room=each.room)
            return
        if not heights:
            yield HEIGHT.lacks(f"door:{each.key}", each.name, "height", "height: 2 m", room=each.room)
            return
        name = f"{each.name}, on the way out,"
        path = f"doors/{each.key}/{'hang' if each.hang_mm == min(heights) else 'height'}"
        yield from _low(scene, each, name, f"door:{each.key}", "door", min(heights), path)
        return
    for key in each.rooms:
        room = shop.rooms[key]
        if not room.outdoor:  # nothing is over a yard but what the file puts there, looked at below
            yield from _ceiling(scene, room, True)
    floor = floor_of(each)
    for key in each.rooms:
        for body in scene.near(key, floor.box):
            if (
                body.kind == "fixture"
                and body.base_mm > 0
                and any(overlap(p, body.outline) for p in floor.pieces)
            ):
                name = f"{body.name}, over the exit route {each.name},"
                path = f"fixtures/{body.key}/base"
                yield from _low(scene, each, name, body.tag, "projection", body.base_mm, path)


def _ceiling(scene: Scene, room: Room, wanted: bool) -> Iterator[Finding]:
    """Judge the ceiling of a room that a way out leads through."""
    tag = f"room:{room.key}"
    if room.headroom_mm is not None:
        name, path = f"{room.name}, on the way out,", f"rooms/{room.key}/headroom"
        yield from _low(scene, room, name, tag, "ceiling", room.headroom_mm, path)
    elif wanted:
        yield HEIGHT.lacks(tag, f"the room {room.name}", "headroom", "headroom: 3 m", room=room.key)
    else:
        yield HEIGHT.no_figure(scene.shop, tag, f"the ceiling of {room.name}", [], mm, room=room.key)


HEIGHT = Rule(
    key="exit-height",
    title="An exit route lower than published",
    text="The ceiling over an exit route, and any door, open up-and-over leaf or fixture over it, is as "
    "high as "
    "published; so are the ceiling of every room and every door that a way out leads through, drawn as an "
    "exit route or not. To fix; under 'own' against `limits.headroom`.",
    limit="ceiling 2286, projections and doors 2032 mm in 'us'; 2000 mm in 'uk' and 'de', doors 1950 in 'de'",
    source="29 CFR 1910.36(g)(1); OSHA letter of 8 December 1975; Approved Document B 3.17; ASR A2.3",
    mark="published",
    remedy="lead the way out elsewhere, or mark and pad it; ask those who answer for the building",
    each="thing on the way out",
    look=_look_height,
)

# --- doors ------------------------------------------------------------------------------------------------


def _slides(door: Door) -> bool:
    return door.opens in ("sliding", "up-and-over")


def _inward(door: Door, room: str) -> bool:
    """Tell whether the leaf swings against those who leave a room."""
    return door.opens == "hinged" and door.swings_into == room


def no_exit_kind(door: Door, shop: Shop) -> bool:
    """Tell whether the shop's own set does not take a door of this kind for an exit."""
    if not _slides(door):
        return False
    of = "emergency" if shop.rules == "uk" else "kind"
    return limits.limit("exit-door", shop.rules, of) is not None and (shop.rules != "uk" or door.emergency)


def _wrong_door(door: Door, by: Limit, text: str, grade: Grade, remedy: str, **more: Any) -> Finding:
    tag = (f"door:{door.key}",)
    return DOOR.breaks(
        by, grade, tag, f"{door.name} {text}", room=door.room, at_mm=door.jambs[0], remedy=remedy,
        measured=more.get("measured"), limit=more.get("limit"), unit=more.get("unit", ""),
    )  # fmt: skip


def _look_door(scene: Scene, door: Door) -> Iterator[Finding]:
    shop = scene.shop
    if not door.exit:
        if shop.rules == "us":
            yield from _room_door(scene, door)
        return
    slides, inward = _slides(door), _inward(door, door.room)
    room = shop.rooms.get(door.room)
    high = room is not None and room.fire_hazard == "high"
    people = people_in(shop, door.room)
    out = "let it open the way people leave"
    rules = shop.rules
    if rules == "eu":
        kind, swing = (limits.known("exit-door", "eu", of) for of in ("kind", "swing"))
        if slides:
            yield _wrong_door(
                door, kind, f"is {door.opens}: an emergency door is not", "correct", "a hinged door"
            )
        elif inward:
            yield _wrong_door(
                door, swing, "swings into the room: an emergency door opens outwards", "correct", out
            )
        return
    if rules == "us":
        kind = limits.known("exit-door", "us", "kind")
        if slides:
            yield _wrong_door(
                door,
                kind,
                f"is {door.opens}, a side-hinged door is required",
                "correct",
                "a hinged door",
            )
            return
    emergency = limits.known("exit-door", "uk", "emergency")
    if rules == "uk" and door.emergency:
        if slides or inward:
            what = f"is {door.opens}" if slides else "swings against those who leave"
            yield _wrong_door(door, emergency, f"is for emergencies and {what}", "correct", out)
        return
    by = limits.limit("exit-door", rules, "people")
    if by is None:
        yield DOOR.no_figure(shop, f"door:{door.key}", door.name, [], mm, room=door.room)
        return
    if not inward:
        return
    if high:
        yield _wrong_door(door, by, "swings into a room with a high fire hazard", "correct", out)
    elif people is None:
        yield DOOR.lacks(
            f"door:{door.key}", f"the room of {door.name}", "number of people", "people: 12", room=door.room,
            at_mm=door.jambs[0],
        )  # fmt: skip
    elif people > by.figure:
        yield _wrong_door(
            door, by, f"swings into a room for {people} people, to {by.figure:g} it may", "correct", out,
            measured=people, limit=by.figure, unit="people",
        )  # fmt: skip


def _room_door(scene: Scene, door: Door) -> Iterator[Finding]:
    """Look at a door that is no exit, for each room that is left by it (us)."""
    shop, by = scene.shop, limits.known("exit-door", "us", "room")
    most = limits.figure("exit-door", "us", "people")
    for key in (door.room, door.to):
        room = shop.rooms.get(key)
        if room is None or not exits_beyond(shop, key, door):
            continue
        slides, inward = _slides(door), _inward(door, key)
        high, people = room.fire_hazard == "high", room.people or 0
        crowded = people > most
        what = "a high fire hazard" if high else f"{people} people"
        subjects_of = (f"door:{door.key}", f"room:{key}")
        if (high or crowded) and (slides or inward):
            how = f"is {door.opens}" if slides else "swings into the room"
            yield DOOR.breaks(
                by, "correct", subjects_of, f"{door.name} {how}: out of {room.name}, with {what}, a "
                "side-hinged door opens the way people leave", room=key, at_mm=door.jambs[0], unit="",
                limit=None, remedy="hang a side-hinged door that opens the way people leave",
            )  # fmt: skip
        elif slides:
            yield DOOR.unjudged(
                subjects_of, f"{door.name} is {door.opens}: whether it connects {room.name} to an exit "
                "route, for which a side-hinged door is required, is not checked", room=key, gap="keeps",
                source=by.source,
            )  # fmt: skip
        elif inward and not crowded and room.people is None and (shop.limits.people or 0) > most:
            yield DOOR.lacks(
                f"door:{door.key}", f"the room {room.name}", "number of people", "people: 12", room=key,
                at_mm=door.jambs[0],
            )  # fmt: skip


DOOR = Rule(
    key="exit-door",
    title="The kind and the swing of an exit door",
    text="In 'us' an exit door is side-hinged, and swings outward where more than 50 people or a high "
    "fire hazard "
    "(`fire hazard: high`) are behind it, and so does every door on the way out of such a "
    "room; in 'uk' where more than 60 are, and one for emergencies (`exit: "
    "emergency`) always opens the way people leave; in 'eu' exit doors open outwards and do not slide. An "
    "up-and-over leaf counts as sliding. To fix.",
    limit="50 people in 'us', 60 in 'uk'",
    source="29 CFR 1910.36(e); Approved Document B 5.14; Fire Safety Order 2005 art. 14(2); 89/654/EEC "
    "Annex I 4.4",
    mark="published",
    remedy="hang it to open outwards; ask those who answer for the building",
    each="door on the way out",
    look=_look_door,
)

RULES = (WIDTH, NARROWER, HEIGHT, DOOR)
