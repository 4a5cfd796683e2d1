"""How far it is to the nearest exit, walked round what stands there, and how many exits there are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from shopbins.geometry.exact import gap
from shopbins.geometry.shapes import bounds
from shopbins.rules import hazards, limits
from shopbins.rules.exits import no_exit_kind
from shopbins.rules.finding import Finding
from shopbins.rules.hazards import Hazard
from shopbins.rules.limits import Limit
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import TOLERANCE_MM, mm, mm_pair
from shopbins.rules.things import outline_of, people_in, warned
from shopbins.rules.ways import floor_of, walks_of
from shopbins.scene.scene import Scene
from shopbins.scene.walkout import Far, Walks, exits_beyond, ways_from
from shopbins.scene.waysout import exits_from
from shopbins.shop.model import Door, Room, Walkway
from shopbins.units import counted

HAIR = 1e-6


def _hazard(room: Room) -> str:
    return room.fire_hazard or "normal"


def _apart_deg() -> float:
    return limits.figure("way-length", "uk", "two ways lie apart by")


def _uk(room: Room, walks: Walks, far: Far, *, everywhere: bool) -> list[tuple[Limit, float, str]]:
    """Return the figures of 'uk' and what is measured against each: all of the way, and what is one way."""
    one_way = walks.one_way(room.key, _apart_deg(), everywhere=everywhere)
    alone = limits.known("way-length", "uk", f"one way, {_hazard(room)}")
    whole = limits.known("way-length", "uk", f"two ways, {_hazard(room)}")
    if one_way is None:
        return []
    if one_way >= far.length_mm - HAIR:
        several = len(exits_from(walks.scene.shop, room.key)) > 1
        return [
            (alone, far.length_mm, "in one direction (no two exits lie 45 degrees apart)" if several else "")
        ]
    return [(whole, far.length_mm, ""), (alone, one_way, "in one direction only")]


def _de(room: Room, far: Far) -> list[tuple[Limit, float, float, str]]:
    straight = limits.known("way-length", "de", "straight, high" if _hazard(room) == "high" else "straight")
    walked = straight.figure * limits.figure("way-length", "de", "walked")
    return [
        (straight, straight.figure, far.straight_mm, "straight"),
        (straight, walked, far.length_mm, "walked"),
    ]


def _look_length(scene: Scene, room: Room) -> Iterator[Finding]:
    shop, tag = scene.shop, f"room:{room.key}"
    walks = walks_of(scene)
    if not exits_from(shop, room.key):
        return  # that no exit can be reached is a stop of the way out itself
    far = walks.farthest(room.key)
    if far is None:
        yield LENGTH.unjudged(
            (tag,), f"how far it is out of {room.name} is not checked: no way was found", room=room.key,
            remedy="clear a way",
        )  # fmt: skip
        return
    rules = limits.set_for(shop, "way-length")
    hazard = "" if room.fire_hazard else ", taken as a normal fire hazard (fire hazard: low, normal, high)"
    if rules == "uk":
        for by, measured, words in _uk(room, walks, far, everywhere=True):
            yield from _too_far(room, by, by.figure, measured, words or "walked", hazard)
    elif rules == "de":
        for by, most, measured, words in _de(room, far):
            yield from _too_far(room, by, most, measured, words, hazard)
    else:
        advice = []
        for other in limits.advisers(shop, "way-length"):
            if other == "uk":
                known = _uk(room, walks, far, everywhere=False)[:1]
                advice += [Advice(by, by.figure, measured, most=True) for by, measured, _ in known]
            else:
                advice += [
                    Advice(by, most, measured, most=True, note=words)
                    for by, most, measured, words in _de(room, far)[:1]
                ]
        name = f"the way out of {room.name}, {mm(far.length_mm)} from its farthest corner{hazard}"
        yield LENGTH.no_figure(
            shop, tag, name, advice, mm, room=room.key, unit="mm", measured=far.length_mm,
            remedy="another way out, or what stands in the way elsewhere",
        )  # fmt: skip


def _too_far(
    room: Room, by: Limit, most: float, measured: float, words: str, hazard: str
) -> Iterator[Finding]:
    if measured <= most + HAIR + 0.5:
        return
    far, limit = mm_pair(measured, most)
    yield LENGTH.breaks(
        by, "correct", (f"room:{room.key}",),
        f"it is {far} {words} from the farthest corner of {room.name} to an exit, {limit} at most{hazard}",
        room=room.key, measured=measured, limit=most,
        remedy="another way out, or move what has to be walked round",
    )  # fmt: skip


LENGTH = Rule(
    key="way-length",
    title="How far it is to an exit",
    text="From the farthest corner of free floor the walk to the nearest exit, round what stands there "
    "and from "
    "door to door, is no longer than published for the fire hazard (`fire hazard`, taken as normal where not "
    "said) and for one way out or more. Two ways are two from where the straight lines to two doors, which "
    "lead to two exits, lie 45 degrees apart; up to there it is one way. "
    "In 'de' the straight distance counts, and the walk at most 1.5 "
    "times that. "
    "To fix in 'uk' and 'de', elsewhere advice.",
    limit="12, 18, 25 m one way, 25, 45, 60 m where there are two ('uk'); 35 or 25 m straight ('de')",
    source="Fire safety guide, factories and warehouses (England); 45 degrees: Approved Document B volume 2, "
    "from memory; ASR A2.3",
    mark="published",
    remedy="another way out",
    each="indoor room with a way out",
    look=_look_length,
)


def _look_exits(scene: Scene, room: Room) -> Iterator[Finding]:
    shop, tag = scene.shop, f"room:{room.key}"
    walks = walks_of(scene)
    every = exits_from(shop, room.key)
    if not every:
        return
    exits = [way.door for way in every if not no_exit_kind(way.door, shop)]
    people = people_in(shop, room.key)
    if shop.rules == "uk":
        ways = _ways_out(scene, room, exits)
        if people is None:
            if ways < 3:
                yield EXITS.lacks(tag, room.name, "number of people", "people: 12", room=room.key)
            return
        by = limits.known("two-exits", "uk", "exits", float(people))
        if ways < by.figure:
            yield EXITS.breaks(
                by, "note", (tag,),
                f"{room.name} has {counted(ways, 'way')} out for {people} people, {by.figure:g} wanted"
                f"{_why_fewer(scene, room, exits, ways)}",
                room=room.key, measured=ways,
            )  # fmt: skip
        return
    law = limits.law(shop, "two-exits")
    if shop.rules == "us" and len(exits) > 1 and law is not None:
        yield _how_far_apart(scene, room, exits, law)
        return
    if len(exits) > 1:
        return
    far = walks.farthest(room.key)
    length = "" if far is None else f", {mm(far.length_mm)} from its farthest corner"
    if shop.rules == "us" and law is not None:
        told = "an unknown number of" if people is None else str(people)
        yield EXITS.found(
            "note", (tag,),
            f"{room.name} has one exit, for {told} people{length}: two are wanted, as far apart as "
            f"practical, "
            "unless few people and the layout let all out",
            room=room.key, measured=1, unit="exits", source=law.source,
        )  # fmt: skip
        return
    yield EXITS.no_figure(shop, tag, f"the one exit of {room.name}{length}", [], mm, room=room.key)


def _ways_out(scene: Scene, room: Room, exits: list[Door]) -> int:
    """Count the ways out of a room: its doors that lead out, its exits; two that are one too long are one."""
    keys = {door.key for door in exits}
    doors = [d for d in ways_from(scene.shop, room.key) if keys & exits_beyond(scene.shop, room.key, d)]
    ways = min(len(exits), len(doors))
    alone = walks_of(scene).one_way(room.key, _apart_deg(), everywhere=False)
    most = limits.figure("way-length", "uk", f"one way, {_hazard(room)}")
    return 1 if ways == 2 and alone is not None and alone > most + HAIR else ways


def _why_fewer(scene: Scene, room: Room, exits: list[Door], ways: int) -> str:
    if ways == len(exits):
        return ""
    doors = len(ways_from(scene.shop, room.key))
    if doors == ways:
        return f" (its own {counted(doors, 'door')} to {counted(len(exits), 'exit')})"
    return f" ({len(exits)} exits, in one direction for too long)"


def _how_far_apart(scene: Scene, room: Room, exits: list[Door], law: Limit) -> Finding:
    """Say how far apart a room's exits are: 'as far apart as practical' has no figure."""
    tag, doors = f"room:{room.key}", ways_from(scene.shop, room.key)
    if len(doors) < 2:
        return EXITS.unjudged(
            (tag,), f"{room.name} has one door to {len(exits)} exits: whether that will do for the people "
            "in it is not checked", room=room.key, gap="keeps", source=law.source,
        )  # fmt: skip
    x0, y0, x1, y1 = bounds(room.outline)
    across = math.hypot(x1 - x0, y1 - y0)
    apart = max(math.dist(a.jambs[0], b.jambs[0]) for a, b in itertools.combinations(doors, 2))
    half = limits.known("two-exits", "us", "advice")
    short = apart < half.figure * across - TOLERANCE_MM
    return EXITS.unjudged(
        (tag,), f"the ways out of {room.name} are {mm(apart)} apart in {mm(across)} from corner to corner: "
        "whether that is as far apart as practical is not checked. Advice: half of it "
        f"({half.source}, from memory)", room=room.key, gap="breaks" if short else "keeps", source=law.source,
        measured=apart, unit="mm",
    )  # fmt: skip


EXITS = Rule(
    key="two-exits",
    title="How many exits a room has",
    text="In 'uk' one exit will do to 60 people and within the distance of one way, two to 600, three "
    "above; in "
    "'us' two are wanted unless few people and the layout let all out; how far apart they are is told. A "
    "room's own doors count, and two that lie in one direction for longer than one way may be "
    "are one. A note with people and distance.",
    limit="1 exit to 60 people, 2 to 600, 3 above ('uk')",
    source="29 CFR 1910.36(b); Approved Document B",
    mark="from memory",
    remedy="ask those who answer for the building",
    each="indoor room with a way out",
    look=_look_exits,
)

# --- what may catch fire beside the only way out ------------------------------------------------------------


def _look_free(scene: Scene, each: Walkway | Door) -> Iterator[Finding]:
    by = limits.known("exit-free", "any", "what burns, from the only way out")
    way = each.passage if isinstance(each, Door) else None
    pieces = floor_of(each).pieces if isinstance(each, Walkway) else (way,) if way else ()
    tag = f"{'door' if isinstance(each, Door) else 'walkway'}:{each.key}"
    for room in each.rooms if isinstance(each, Walkway) else (each.room,):
        if room not in scene.shop.rooms or len(exits_from(scene.shop, room)) != 1:
            continue
        for zone in scene.zones_in(room):
            for _, top, group in warned(scene, zone):
                word = next(
                    (h.word for h in hazards.of(group.cautions, scene.shop.rules == "us") if _fuel(h)), ""
                )
                if not word:
                    continue
                body, outline = scene.body(top.id), outline_of(scene, zone, top)
                far = min((gap(outline, piece).apart_mm for piece in pieces), default=math.inf)
                if far < by.figure - TOLERANCE_MM:
                    is_far, wanted = mm_pair(far, by.figure)
                    yield FREE.breaks(
                        by, "note", (tag, f"group:{group.code}"),
                        f"{group.shown}, marked '{word}', is {is_far} from {each.name}, the only way out of "
                        f"{scene.shop.rooms[room].name} ({wanted} preferred)",
                        room=room, at_mm=None if body is None else body.centre, measured=far,
                    )  # fmt: skip


def _fuel(hazard: Hazard) -> bool:
    """Tell whether it burns of itself or feeds a fire; wood and cardboard do not count."""
    return (hazard.burns and hazard.kind != "combustible") or hazard.kind == "oxidiser"


FREE = Rule(
    key="exit-free",
    title="What may catch fire beside the only way out",
    text="Nothing is put into a way out, not even for a moment: that is checked as a walkway, a door and its "
    "width. Beside the only exit of a room and the way to it, what its cautions mark as burning or feeding a "
    "fire is 3 m off: a note (own figure).",
    limit="3 m (own figure)",
    source="exit routes not towards high hazards: 29 CFR 1910.37(a)(2), from memory; the metres are an "
    "own figure",
    mark="own",
    remedy="keep it elsewhere, or in a closed cabinet away from the way out",
    each="exit",
    look=_look_free,
)

RULES = (EXITS, LENGTH, FREE)
