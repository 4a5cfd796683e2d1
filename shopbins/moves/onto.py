"""A bench or shelf as the goal of a move: the way ends on the floor before it, and it is lifted onto it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Outline, bounds
from shopbins.moves.empty import barred
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fitted import HOISTS
from shopbins.moves.hands import looked_at, nobody_lifts, people_of, short_of, team_for
from shopbins.moves.hangs import hung
from shopbins.moves.hoisted import Lift
from shopbins.moves.margin import Margin
from shopbins.moves.situation import Onto, Situation
from shopbins.moves.standing import ZONE, high_mm
from shopbins.placing.judging import judge
from shopbins.placing.places import LIFTING
from shopbins.rules.handling import TEAM
from shopbins.rules.headroom import HEADROOM, headroom_of, headroom_within_mm
from shopbins.rules.hoisting import lifted_onto
from shopbins.rules.say import TOLERANCE_MM, mm_pair
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear, Zone
from shopbins.units import show_length, show_mass

ONTO = Check(
    "move-lift-onto",
    "Lifted onto a bench or shelf",
    "HSE INDG143 lifting filter, L23 paragraph 120 for teams of two and three; a hoist's plate and reach as "
    "the shop file has them; what the place takes by the rules of the audit",
    "published",
    "a hoist that reaches, a lower place, parts off first",
)


BESIDE_MM = 300.0
"""How much farther than the thing is long it may stand before a bench: own figure."""


def floor_before(scene: Scene, onto: Onto, thing: Outline) -> Zone | None:
    """Return the floor round a bench or shelf that a thing is brought to, of its room; None where there is
    none.
    """
    room = scene.zone(onto.zone.room)
    if room is None:
        return None
    x0, y0, x1, y1 = bounds(thing)
    far = math.hypot(x1 - x0, y1 - y0) + BESIDE_MM
    near = near_to(room, onto.zone.outline, far)
    return None if near is None else replace(near, name=f"the floor before {onto.zone.name}")


def near_to(floor: Zone, spot: Outline, far_mm: float) -> Zone | None:
    """Return what of a floor is no farther from the box round a spot than that; None where nothing is."""
    import shapely

    x0, y0, x1, y1 = bounds(spot)
    box = shapely.box(x0 - far_mm, y0 - far_mm, x1 + far_mm, y1 + far_mm)
    near = shapely.intersection(shapely.Polygon(floor.outline), box)
    parts = [p for p in shapely.get_parts(near) if p.geom_type == "Polygon" and not p.is_empty]
    if not parts:
        return None
    ring = shapely.orient_polygons(max(parts, key=lambda p: p.area)).exterior.coords
    outline = tuple((float(x), float(y)) for x, y in ring[:-1])
    return replace(floor, outline=outline, size_mm=None)


def lift_onto(it: Situation) -> Iterator[Part]:
    """Judge the lift onto a bench or shelf: by how many people, else by which hoist, and what it takes."""
    onto, load = it.onto, it.load
    if onto is None or load.most_kg is None:
        return  # `mass` asks
    zone, level, kg = onto.zone, onto.level, load.most_kg
    yield from _taken(it, onto)
    subjects = (*it.subjects, "onto")
    if load.height_mm is None:
        ask = Ask(f"how high is {it.name}?", f"shopbins set {it.body.group.code} --moving height=1700mm", 1)
        yield ONTO.open(subjects, f"how high {it.name} is is not told: its lift is not checked", ask)
        return
    low = 0.0 if it.gear.up_mm is None else it.gear.up_mm[0]
    n, limit = team_for(it.scene, kg, low, level.height_mm)
    text = f"{it.name}, {show_mass(kg)}, up onto {onto.name}, {show_length(level.height_mm)} high"
    more: dict[str, Any] = {"measured": kg, "limit": limit, "unit": "kg", "room": zone.room}
    if n:
        people = "one person" if n == 1 else f"{n} people"
        said = f"{text}: {people}, {show_mass(limit)} by {TEAM}, the lowest figure of the heights passed"
        lift = "lifts" if n == 1 else "lift"
        words = f"{people}{short_of(it.scene, n)} {lift} it onto {onto.name}"
        yield ONTO.only(subjects, words, said, **more)
        return
    x0, y0, x1, y1 = bounds(load.outline)
    asked = it.scene.shop, zone, level, kg, min(x1 - x0, y1 - y0), load.height_mm

    def no_way(gear: Gear) -> str:
        start = zone.room if it.body.room is None else it.body.room
        return "" if gear is it.gear.gear else barred(it.scene.shop, gear, start, zone.room)

    def elsewhere(gear: Gear) -> str:
        lifts = {} if it.attempt is None else it.attempt.lifts
        used = any(isinstance(lift, Lift) and lift.gear is gear for lift in lifts.values())
        return no_way(gear) if used else ""

    up = lifted_onto(*asked, no_way)
    if up.gear is None:
        up = lifted_onto(*asked, elsewhere)  # one that stands there already comes by no door
    if up.gear is None:
        heights = f"from {show_length(low)} to {show_length(level.height_mm)}"
        said = f"{text}: by hand {show_mass(limit)} at most {heights}, three people; by no hoist: {up.said}"
        team = looked_at(it.scene, kg, low, level.height_mm)
        if team is None:
            yield ONTO.no(subjects, f"{said}; {nobody_lifts(kg)}", (up.ends,), **more)
        else:
            words = f"{people_of(it.scene, team.people)} lift it onto {onto.name}, {team.beyond(limit)}"
            yield ONTO.only(subjects, words, f"{said}; {team.said}; else {up.ends}", **more)
        return
    hoist, why = up.gear.name, no_way(up.gear)
    room = it.scene.shop.rooms[zone.room].name
    comes = (
        f"that it stands in {room} already, as it comes there by no door ({why})" if why else "its way there"
    )
    said = f"{text}: {up.said}; {comes}, its room before and under {zone.name} and how the thing gets "
    said += "from its gear to over the place are looked at first"
    words = (
        f"{hoist}, in {room} already, lifts it onto {onto.name}"
        if why
        else f"{hoist} lifts it onto {onto.name}"
    )
    yield ONTO.only((*subjects, f"hoist:{up.gear.key}", *(("there",) if why else ())), words, said, **more)
    far = max(high_mm(up.gear), level.height_mm + load.height_mm)
    text = f"{it.name} on {hoist} is lifted up to {show_length(far)}: all others stay that far off it"
    words = f"all others {far:.0f} mm off while lifted"
    yield ZONE.only((*it.subjects, f"hoist:{up.gear.key}", "onto"), words, text, measured=far, unit="mm")
    if it.kind not in HOISTS:  # else it hangs so all the way
        yield from hung(it)


def _taken(it: Situation, onto: Onto) -> Iterator[Part]:
    """Judge what the place takes, as laying it down there does; who lifts it is judged by itself, and its
    height by how well that and what is free there were measured.
    """
    every = judge(it.scene, it.body.group.id, onto.where)
    yield from _under(it, onto, [f.limit for f in every if f.rule == HEADROOM.key and f.limit is not None])
    for each in every:
        if each.rule == HEADROOM.key and each.judged:
            continue
        if each.id in it.known or not each.judged or each.grade == "note" or each.rule in LIFTING:
            continue
        subjects = (*it.subjects, each.rule, *each.subjects)
        more: dict[str, Any] = {"measured": each.measured, "limit": each.limit, "unit": each.unit}
        more |= {"room": each.room, "source": each.source, "remedy": each.remedy}
        if each.grade == "stop":
            yield ONTO.no(subjects, f"on {onto.name}: {each.text}", ("another place",), **more)
        else:
            yield ONTO.only(subjects, f"{each.rule} on {onto.name} looked at first", each.text, **more)


def _under(it: Situation, onto: Onto, under: list[float]) -> Iterator[Part]:
    """Compare how high it is with what is free over its place, `under` by the rule of that: the level's own,
    to the next level, the ceiling or a hanging leaf.
    """
    zone, level = onto.zone, onto.level
    height, (free, _) = it.scene.share(it.body.group.id).height_mm, headroom_of(it.scene, zone, level)
    least = min([*under, *(() if free is None else (free,))], default=None)
    if height is None or least is None:
        return
    inputs = [(f"the height free over {onto.name}", headroom_within_mm(it.scene, zone, level))]
    inputs.append((f"the height of {it.name}", it.measured_mm))
    room = it.scene.shop.rooms.get(zone.room)
    tops = [None if room is None else room.headroom_mm, *(each.height_mm for each in zone.levels)]
    if any(top is not None and abs(top - level.height_mm - least) < TOLERANCE_MM for top in tops):
        inputs.append((f"the height of {onto.name}", it.measured_mm))  # what is free is worked out from it
    margin = Margin(least - height, tuple(inputs))
    tall, over = mm_pair(height, least)
    subjects = (*it.subjects, HEADROOM.key, *onto.subjects)
    text = f"{it.name} is {tall} high, {over} is free over {onto.name}"
    more: dict[str, Any] = {"measured": height, "limit": least, "unit": "mm", "room": zone.room}
    if margin.verdict is Verdict.NO:
        yield ONTO.no(subjects, text, ("another place",), **more)
    elif margin.verdict is Verdict.AGAIN:
        yield ONTO.again(subjects, f"{text}: within the measuring", margin, **more)
