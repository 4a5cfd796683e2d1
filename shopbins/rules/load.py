"""Does it bear: levels, zones, the floor per area and on one point."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.ledger.model import Group, InZone
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import kg, load, load_and_limit, place, told_apart, zone_subject
from shopbins.scene.contents import Contents, area_of
from shopbins.scene.scene import Scene
from shopbins.shop.model import Level, Zone
from shopbins.units import GRAVITY_M_S2, show_area_load, show_force, show_mass

ON_POINTS = ("bare", "own wheels")
"""Containers whose weight comes down on a few points; the others spread it (own judgement)."""

MOST_SUPPORTS = 4
"""The heaviest of n supports bears at least an n-th of the weight; more than four rarely share it."""


MOST_OFF = 3
"""So many things to take off are named."""

# --- levels and whole zones -------------------------------------------------------------------------------


def _look_level(scene: Scene, zone: Zone) -> Iterator[Finding]:
    for level in zone.levels:
        contents = scene.contents(zone.key, level.key)
        yield from _over_level(scene, zone, level, contents)


def _judge_level(p: Placement) -> Iterator[Finding]:
    if p.level is not None and p.zone.kind != "room":
        contents = p.scene.contents(p.zone.key, p.level.key)
        yield from _over_level(p.scene, p.zone, p.level, contents, p.group.id)
        yield from _not_weighed(p, LEVEL, contents, place(p.zone, p.level), zone_subject(p.zone, p.level.key))


def _over_level(
    scene: Scene, zone: Zone, level: Level, contents: Contents, laying: str = ""
) -> Iterator[Finding]:
    if contents.limit_kg is None or contents.load_kg <= contents.limit_kg + 1e-9:
        return
    yield LEVEL.found(
        "stop",
        (zone_subject(zone, level.key),),
        f"{place(zone, level)} carries {load_and_limit(contents, contents.limit_kg)}",
        room=zone.room,
        at_mm=_middle(scene, zone),
        measured=round(contents.load_kg, 3),
        limit=contents.limit_kg,
        unit="kg",
        remedy=_take_off(scene, contents, laying),
    )


def _look_zone(scene: Scene, zone: Zone) -> Iterator[Finding]:
    yield from _over_zone(scene, zone)


def _judge_zone(p: Placement) -> Iterator[Finding]:
    if p.zone.kind != "room":
        yield from _over_zone(p.scene, p.zone, p.group.id)
        if p.zone.load_kg is not None and len(p.zone.levels) > 1:
            yield from _not_weighed(p, ZONE, p.scene.contents(p.zone.key), p.zone.name, f"zone:{p.zone.key}")


def _over_zone(scene: Scene, zone: Zone, laying: str = "") -> Iterator[Finding]:
    if zone.load_kg is None or len(zone.levels) == 1:
        return
    contents = scene.contents(zone.key)
    if contents.load_kg <= zone.load_kg + 1e-9:
        return
    bears, allowed = told_apart(contents.load_kg, zone.load_kg, kg, "kg")
    yield ZONE.found(
        "stop",
        (f"zone:{zone.key}",),
        f"{zone.name} carries {load(contents, bears)} on all its levels together (limit {allowed})",
        room=zone.room,
        at_mm=_middle(scene, zone),
        measured=round(contents.load_kg, 3),
        limit=zone.load_kg,
        unit="kg",
        remedy=_take_off(scene, contents, laying),
    )


def _not_weighed(p: Placement, rule: Rule, contents: Contents, words: str, subject: str) -> Iterator[Finding]:
    """Say that a load within its limit counts only what was weighed."""
    if contents.limit_kg is None or not contents.unweighed or contents.load_kg > contents.limit_kg + 1e-9:
        return
    yield rule.found(
        "note",
        (subject,),
        f"load of {words} not checked: {load(contents)}, {kg(contents.limit_kg)} allowed",
        room=p.zone.room,
        measured=round(contents.load_kg, 3),
        limit=contents.limit_kg,
        unit="kg",
        remedy="weigh the unweighed parts, largest first",
    )


def _take_off(scene: Scene, contents: Contents, laying: str) -> str:
    """Say what to take off: the lightest that does, else the heaviest and so on; never the thing in hand."""
    over = contents.load_kg - (contents.limit_kg or 0.0)
    others = [each for each in contents.groups if each != laying]
    left = sorted(others, key=lambda g: -scene.share(g).mass_kg)
    if laying and over > sum(scene.share(each).mass_kg for each in others) + 1e-9:
        return "put it elsewhere: it is too heavy by itself"
    off: list[str] = []
    while left and over > 1e-9 and len(off) < MOST_OFF:
        enough = [each for each in left if scene.share(each).mass_kg >= over - 1e-9]
        group_id = enough[-1] if enough else left[0]
        left.remove(group_id)
        over -= scene.share(group_id).mass_kg
        off.append(f"{scene.group(group_id).shown} ({show_mass(scene.share(group_id).mass_kg)})")
    elsewhere = f", or put {scene.group(laying).shown} elsewhere" if laying else ""
    return "take off " + ", ".join(off) + (" and more" if over > 1e-9 else "") + elsewhere


def _middle(scene: Scene, zone: Zone) -> tuple[float, float]:
    standing = scene.zone(zone.key) or zone
    xs = [p[0] for p in standing.outline]
    ys = [p[1] for p in standing.outline]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


LEVEL = Rule(
    key="level-load",
    title="A level overloaded",
    text="The masses of all that lies on a level, with all in and on it, stay within its load. A stop as "
    "soon as what is weighed alone is too much; 'not checked' while something is not weighed.",
    limit="load of the level in the shop file (of the zone where it has one level)",
    source="shop file: the maker's plate or the builder's word",
    mark="own",
    remedy="take something off",
    look=_look_level,
    per="zone",
    judge=_judge_level,
    each="level",
)

ZONE = Rule(
    key="zone-load",
    title="A whole rack overloaded",
    text="The masses on all levels of a zone together stay within the zone's load. A stop.",
    limit="load of the zone in the shop file",
    source="shop file: the maker's plate or the builder's word",
    mark="own",
    remedy="take something off",
    look=_look_zone,
    per="zone",
    judge=_judge_zone,
    each="rack",
)


# --- the floor --------------------------------------------------------------------------------------------


def _look_floor(scene: Scene, thing: tuple[Zone, Group]) -> Iterator[Finding]:
    yield from _floor(scene, thing[1], thing[0])


def _judge_floor(p: Placement) -> Iterator[Finding]:
    if p.zone.kind in ("floor", "room"):
        yield from _floor(p.scene, p.group, p.zone)


def area_load_kn_m2(mass_kg: float, area_mm2: float) -> float:
    """Return the mean load under a footprint (standard gravity 9.80665 m/s2)."""
    return mass_kg * GRAVITY_M_S2 / 1000.0 / (area_mm2 / 1e6)


def _floor(scene: Scene, group: Group, zone: Zone) -> Iterator[Finding]:
    room = scene.shop.rooms.get(zone.room)
    limit = None if room is None else room.floor_load_kn_m2
    area = area_of(group)
    if room is None or limit is None or not area:
        return
    share = scene.share(group.id)
    measured = area_load_kn_m2(share.mass_kg, area)
    if measured <= limit * (1 + 1e-9):
        return
    more = f", {share.unweighed} in or on it not weighed" if share.unweighed else ""
    presses, allowed = told_apart(measured, limit, show_area_load, "kN/m2")
    spread = share.mass_kg * GRAVITY_M_S2 / 1000.0 / limit
    yield FLOOR.found(
        "stop",
        (f"group:{group.code}", f"room:{room.key}"),
        f"{group.shown}, {kg(share.mass_kg)}{more}, presses {presses} on the floor of {room.name} under "
        f"its outline, {allowed} allowed",
        room=zone.room,
        at_mm=_at(scene, group),
        measured=round(measured, 4),
        limit=limit,
        unit="kN/m2",
        remedy=f"spread it over at least {spread:.2f} m2 with bearers or plates, or stand it elsewhere",
    )


def _at(scene: Scene, group: Group) -> tuple[float, float] | None:
    body = scene.body(group.id)
    return None if body is None else body.centre


FLOOR = Rule(
    key="floor-load",
    title="More than the floor takes per area",
    text="The weight of a thing on the floor, with all in and on it, over its outline stays within the "
    "room's floor load. A stop. The mean load is compared, not the concentrated one, which is its own rule.",
    limit="floor load of the room in the shop file",
    source="shop file; imposed loads as in EN 1991-1-1 6.3 are means over an area",
    mark="own",
    remedy="spread it with bearers or plates, or stand it elsewhere",
    look=_look_floor,
    judge=_judge_floor,
    each="group on a floor",
)


def _look_point(scene: Scene, thing: tuple[Zone, Group]) -> Iterator[Finding]:
    yield from _point(scene, thing[1], thing[0])


def _judge_point(p: Placement) -> Iterator[Finding]:
    if p.zone.kind in ("floor", "room"):
        yield from _point(p.scene, p.group, p.zone)


def _point(scene: Scene, group: Group, zone: Zone) -> Iterator[Finding]:
    room = scene.shop.rooms.get(zone.room)
    limit = None if room is None else room.point_load_kn
    if room is None or limit is None or group.container not in ON_POINTS:
        return
    weight = scene.share(group.id).mass_kg * GRAVITY_M_S2 / 1000.0
    if weight <= limit * (1 + 1e-9):
        return
    least = weight / MOST_SUPPORTS
    over = least > limit * (1 + 1e-9)
    told, allowed = told_apart(least if over else weight, limit, show_force, "kN")
    if over:
        words = f"even on {MOST_SUPPORTS} supports one of them carries at least {told}"
    else:
        words = "on a single support all of it"
    yield POINT.found(
        "stop" if over else "note",
        (f"group:{group.code}", f"room:{room.key}"),
        f"{group.shown} weighs {show_force(weight) if over else told}, {words}; the floor of {room.name} "
        f"takes {allowed} on one point",
        room=zone.room,
        at_mm=_at(scene, group),
        measured=round(least if over else weight, 4),
        limit=limit,
        unit="kN",
    )


POINT = Rule(
    key="point-load",
    title="More than the floor takes on one point",
    text="Of what stands bare or on its own wheels, the heaviest of four supports carries at least a quarter "
    "of the weight: a stop where that is more than the room's point load, a note where the whole weight is.",
    limit="point load of the room in the shop file",
    source="shop file; concentrated loads are a check of their own, not added (as in EN 1991-1-1 6.3)",
    mark="own",
    remedy="put plates or bearers under the supports, or stand it elsewhere",
    look=_look_point,
    judge=_judge_point,
    each="group on a floor",
)

RULES = (LEVEL, ZONE, FLOOR, POINT)


def posed(group: Group) -> bool:
    """Tell whether a group lies in a zone at a known place."""
    return isinstance(group.where, InZone) and group.where.posed
