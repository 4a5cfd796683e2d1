"""Does it bear: levels, zones, the floor per area and on one point."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.geometry.shapes import Point, bounds
from shopbins.rules import limits
from shopbins.rules.finding import Finding, Gap
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import kg, load, load_and_limit, place, told_apart, zone_subject
from shopbins.scene.contents import Contents
from shopbins.scene.scene import Scene
from shopbins.shop.model import Level, Zone
from shopbins.units import counted, show_mass

MOST_OFF = 3
"""So many things to take off are named."""

# --- levels and whole zones -------------------------------------------------------------------------------


def _look_level(scene: Scene, zone: Zone) -> Iterator[Finding]:
    for level in zone.levels:
        contents = scene.contents(zone.key, level.key)
        yield from _over_level(scene, zone, level, contents)
        subject = zone_subject(zone, level.key)
        yield from _not_weighed(zone, LEVEL, contents, place(zone, level), subject, "keeps")
        if contents.groups and contents.limit_kg is None and zone.kind in ("bench", "shelf"):
            asked = contents.load_kg >= limits.figure("level-load", "any", "asked from")
            yield _no_load(
                zone, LEVEL, contents, place(zone, level), subject, "missing" if asked else "keeps"
            )


def _no_load(zone: Zone, rule: Rule, contents: Contents, words: str, subject: str, gap: Gap) -> Finding:
    """Say that the shop file does not tell what a surface bears."""
    there = load(contents) if contents.load_kg else f"{counted(contents.unweighed, 'part')} not weighed"
    return rule.unjudged(
        (subject,), f"{words} has no load in the shop file, so what lies there, {there}, is not checked",
        room=zone.room, gap=gap, remedy=f"write load: 150 kg at {words}, from its plate or who built it",
    )  # fmt: skip


def _judge_level(p: Placement) -> Iterator[Finding]:
    if p.level is not None and p.zone.kind != "room":
        contents = p.scene.contents(p.zone.key, p.level.key)
        yield from _over_level(p.scene, p.zone, p.level, contents, p.group.id)
        subject = zone_subject(p.zone, p.level.key)
        yield from _not_weighed(p.zone, LEVEL, contents, place(p.zone, p.level), subject)


def _over_level(
    scene: Scene, zone: Zone, level: Level, contents: Contents, laying: str = ""
) -> Iterator[Finding]:
    if contents.limit_kg is None or not contents.too_heavy():
        return
    remedy, off = _take_off(scene, contents, laying)
    yield LEVEL.found(
        "stop",
        (zone_subject(zone, level.key),),
        f"{place(zone, level)} carries {load_and_limit(contents, contents.limit_kg)}",
        room=zone.room,
        at_mm=_middle(scene, zone),
        measured=contents.load_kg,
        limit=contents.limit_kg,
        unit="kg",
        remedy=remedy,
        moves=off,
    )


def _look_zone(scene: Scene, zone: Zone) -> Iterator[Finding]:
    yield from _over_zone(scene, zone)
    if zone.kind != "room" and zone.load_kg is not None and len(zone.levels) > 1:
        contents = scene.contents(zone.key)
        yield from _not_weighed(zone, ZONE, contents, zone.name, f"zone:{zone.key}", "keeps")
    elif zone.kind != "room" and len(zone.levels) > 1 and scene.contents(zone.key).groups:
        words = f"{zone.name}, all its levels together,"
        yield _no_load(zone, ZONE, scene.contents(zone.key), words, f"zone:{zone.key}", "keeps")


def _judge_zone(p: Placement) -> Iterator[Finding]:
    if p.zone.kind != "room":
        yield from _over_zone(p.scene, p.zone, p.group.id)
        if p.zone.load_kg is not None and len(p.zone.levels) > 1:
            contents = p.scene.contents(p.zone.key)
            yield from _not_weighed(p.zone, ZONE, contents, p.zone.name, f"zone:{p.zone.key}")


def _over_zone(scene: Scene, zone: Zone, laying: str = "") -> Iterator[Finding]:
    if zone.load_kg is None or len(zone.levels) == 1:
        return
    contents = scene.contents(zone.key)
    if contents.load_kg <= zone.load_kg + 1e-9:
        return
    bears, allowed = told_apart(contents.load_kg, zone.load_kg, kg, "kg")
    remedy, off = _take_off(scene, contents, laying)
    yield ZONE.found(
        "stop",
        (f"zone:{zone.key}",),
        f"{zone.name} carries {load(contents, bears)} on all its levels together (limit {allowed})",
        room=zone.room,
        at_mm=_middle(scene, zone),
        measured=contents.load_kg,
        limit=zone.load_kg,
        unit="kg",
        remedy=remedy,
        moves=off,
    )


def _not_weighed(
    zone: Zone, rule: Rule, contents: Contents, words: str, subject: str, gap: Gap = "missing"
) -> Iterator[Finding]:
    """Say that a load within its limit counts only what was weighed (`keeps`: what the records ask for)."""
    if contents.limit_kg is None or not contents.unweighed or contents.too_heavy():
        return
    yield rule.unjudged(
        (subject,),
        f"load of {words} not checked: {load(contents)}, {kg(contents.limit_kg)} allowed",
        room=zone.room,
        measured=contents.load_kg,
        limit=contents.limit_kg,
        unit="kg",
        gap=gap,
        remedy="weigh the unweighed parts, largest first",
    )


def _take_off(scene: Scene, contents: Contents, laying: str) -> tuple[str, list[str]]:
    """Say what to take off: the lightest that does, else the heaviest and so on; never the thing in hand.

    With it the parts named, as the subjects of a finding.
    """
    over = contents.load_kg - (contents.limit_kg or 0.0)
    others = [each for each in contents.groups if each != laying]
    left = sorted(others, key=lambda g: -scene.share(g).mass_kg)
    if laying and over > sum(scene.share(each).mass_kg for each in others) + 1e-9:
        return "put it elsewhere: it is too heavy by itself", []
    off: list[str] = []
    moves: list[str] = []
    while left and over > 1e-9 and len(off) < MOST_OFF:
        enough = [each for each in left if scene.share(each).mass_kg >= over - 1e-9]
        group_id = enough[-1] if enough else left[0]
        left.remove(group_id)
        over -= scene.share(group_id).mass_kg
        off.append(f"{scene.group(group_id).shown} ({show_mass(scene.share(group_id).mass_kg)})")
        moves.append(f"group:{scene.group(group_id).code}")
    elsewhere = f", or put {scene.group(laying).shown} elsewhere" if laying else ""
    return "take off " + ", ".join(off) + (" and more" if over > 1e-9 else "") + elsewhere, moves


def _middle(scene: Scene, zone: Zone) -> Point:
    return bounds((scene.zone(zone.key) or zone).outline).middle


LEVEL = Rule(
    key="level-load",
    title="A level overloaded",
    text="The masses of all that lies on a level, with all in and on it, stay within its load. A stop as "
    "soon as what is weighed alone is too much; 'not checked' while something is not weighed.",
    limit="load of the level in the shop file (of the place where it has one level)",
    source="shop file: the maker's plate or the builder's word",
    mark="own",
    remedy="take something off",
    look=_look_level,
    per="zone",
    judge=_judge_level,
    each="bearing level",
)

ZONE = Rule(
    key="zone-load",
    title="A whole rack overloaded",
    text="The masses on all levels of a place together stay within its load. A stop.",
    limit="load of the place in the shop file",
    source="shop file: the maker's plate or the builder's word",
    mark="own",
    remedy="take something off",
    look=_look_zone,
    per="zone",
    judge=_judge_zone,
    each="rack",
)

RULES = (LEVEL, ZONE)
