"""Doors, ways out and the goal: leaves, who is cut off and for how long, what is new at the end."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Pose, bounds, placed
from shopbins.moves.attempt import Passes
from shopbins.moves.finding import Check
from shopbins.moves.fitted import JACKED
from shopbins.moves.hands import people_of, short_of
from shopbins.moves.meanwhile import in_doorways
from shopbins.moves.remainder import left_of, moved_reference, with_left
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.situation import Situation
from shopbins.moves.where import where_at
from shopbins.placing.judging import judge
from shopbins.placing.places import LIFTING
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding, once
from shopbins.rules.handling import MAC, mac_team
from shopbins.rules.registry import rule
from shopbins.rules.say import listed
from shopbins.scene.scene import Scene
from shopbins.shop.model import OUTSIDE, Door, Shop
from shopbins.units import show_length, show_mass, show_point, show_rating

WAY = Check(
    "move-way",
    "The way",
    "floor kernel: a way is checked at every pose, a 'no' is proved",
    "derived",
    "parts off, another gear, another spot, shift what is in the way",
)
LEAF = Check(
    "move-door-leaf",
    "Doors on the way",
    "common practice, no source",
    "common practice, no source",
    "two people for the leaf, a place for it",
)
EXIT = Check(
    "move-exit-shut",
    "Ways out shut meanwhile",
    "29 CFR 1910.37(a)(3): exit routes free and unobstructed; how long: own figure",
    "published",
    "tell everybody first, keep another way out open, do not stop there",
)
GOAL = Check(
    "move-at-goal",
    "New trouble where it ends",
    "the audit of the shop with it there",
    "derived",
    "another spot of the goal",
)


def way(it: Situation) -> Iterator[Part]:
    """Say what the floor kernel proved of the way."""
    from shopbins.answer import Verdict

    attempt = it.attempt
    if attempt is None:
        return
    more: dict[str, Any] = {}
    clear = attempt.found.clearance_mm
    if clear is not None:
        more = {"measured": clear, "limit": 2 * it.measured_mm, "unit": "mm"}
    if attempt.verdict is Verdict.NO:
        yield WAY.no(it.subjects, attempt.reason, **more)
    elif attempt.verdict is Verdict.OPEN:
        yield WAY.open(it.subjects, attempt.reason, ends=_covered(it, attempt.over), **more)
    elif attempt.verdict is Verdict.AGAIN:
        yield WAY.again(
            it.subjects, attempt.reason or "within the measuring", attempt.measure(it.scene), **more
        )
    else:
        yield WAY.note(it.subjects, "a way was found and checked at every pose", **more)
    yield from _passed(it)
    unseen = attempt.ground.unseen if it.path and attempt.ground is not None else ()
    if unseen:
        text = f"not looked at, and it may lie in the way: {listed(unseen, len(unseen))}"
        yield WAY.only(it.subjects, f"kept off the way: {listed(unseen, 2)}", text)


def _covered(it: Situation, pits: Sequence[str]) -> tuple[str, ...]:
    """Say what would end it that open pits alone stand against it: covers or plates that carry it."""
    carry = "it" if it.whole_kg is None else show_mass(it.whole_kg)
    return tuple(f"a cover on {pit}, or plates across it, that carry {carry}" for pit in pits)


def _passed(it: Situation) -> Iterator[Part]:
    """Say what a part goes over or under: that nothing lies on what it goes over is a condition."""
    by: dict[str, Passes] = {}
    for each in () if it.attempt is None else it.attempt.passes:
        key = f"{each.over} {each.subject}"
        if key not in by or each.free_mm < by[key].free_mm:
            by[key] = each
    for each in by.values():
        subjects = (*it.subjects, each.subject, "over" if each.over else "under")
        more: dict[str, Any] = {"measured": each.free_mm, "unit": "mm", "room": each.room}
        goes = f"{each.part} passes {'over' if each.over else 'under'} {each.name}"
        text = f"{goes} ({show_length(each.at_mm)}) with {show_length(each.free_mm)} between"
        if each.over:
            words = f"nothing lies on {each.name} under {each.part}"
            yield WAY.only(subjects, words, text, **more)
        else:
            yield WAY.note(subjects, text, **more)


def leaves(it: Situation) -> Iterator[Part]:
    """Say which leaf comes off, and which is held open."""
    off = () if it.attempt is None else it.attempt.leaves_off
    for door in it.doors:
        subjects = (*it.subjects, f"door:{door.key}")
        if door.key in off:
            yield _leaf_off(it.scene, door, subjects)
        elif door.opens == "hinged":
            yield LEAF.note(subjects, f"{door.name} hooked or wedged open to {door.opens_deg:.0f} deg")
        elif door.opens == "up-and-over":
            text = f"the leaf of {door.name} is propped: it must not come down on anybody"
            yield LEAF.only(subjects, f"leaf of {door.name} propped up", text)
        elif door.opens == "sliding":
            yield LEAF.note(subjects, f"{door.name} slid all the way and kept there")


def leaf_team(scene: Scene, door: Door) -> str:
    """Say how many people take a leaf off, and the colour of its weight for them by MAC where not green."""
    if door.leaf_kg is None:
        return f"{people_of(scene, LEAST_AT_LEAF)} or more, by its weight"
    people, colour = mac_team(door.leaf_kg)
    said = people_of(scene, people)
    return said if colour == "green" else f"{said}, {colour} by {MAC}"


LEAST_AT_LEAF = 2
"""Who take a leaf off its hinges, one at each edge: common practice, no source."""


def _leaf_off(scene: Scene, door: Door, subjects: Sequence[str]) -> Part:
    """Judge who takes a leaf off: it is asked for its mass, and what is purple for three is for a hoist."""
    wide, kg = math.dist(*door.jambs), door.leaf_kg
    gain = max(0.0, wide - door.clear_width_mm)
    size = (
        show_length(wide)
        if door.height_mm is None
        else f"{show_length(wide)} by {show_length(door.height_mm)}"
    )
    mass = "not weighed" if kg is None else show_mass(kg)
    team = leaf_team(scene, door)
    text = (
        f"the leaf of {door.name} ({mass}) off its hinges first ({gain:.0f} mm), {team}, "
        f"and back on after; where it ({size}) lies, off the way and the ways out, is looked at"
    )
    if kg is not None and mac_team(kg)[1] == "purple":
        return LEAF.no(
            subjects, text, (f"a hoist of at least {show_rating(kg)} at it",), measured=kg, unit="kg"
        )
    few = short_of(scene, LEAST_AT_LEAF if kg is None else mac_team(kg)[0])
    if kg is None:
        words = f"leaf of {door.name} weighed, then off{few and f': 2 people{few}'}"
        return LEAF.only(subjects, words, text, measured=gain, unit="mm")
    words = f"leaf of {door.name} off, {team}"
    return LEAF.only(subjects, words, text, measured=kg, unit="kg")


def minutes_in(it: Situation, some: Sequence[Door], through_mm: float = 500.0) -> float:
    """Return how long it stands in one of some doorways at the most, in minutes: its length and the wall at
    our own speed, and what it is jacked there for, set round, lifted on or let down.
    """
    x0, y0, x1, y1 = bounds(it.hull)
    through = (max(x1 - x0, y1 - y0) + through_mm) / 1000.0 / it.own["moving speed"] / 60.0
    jacked = [(turn.pose, 8) for turn in it.set_round]
    jacked += [] if it.begins_on_gear else [(it.path[0], 2)]
    jacked += [(it.path[-1], 2)]

    def lifts(door: Door) -> int:
        return sum(n for pose, n in jacked if overlap(placed(it.hull, pose), door.passage))

    worst = max(map(lifts, some), default=0) if it.kind in JACKED else 0
    return through + worst * it.own["minutes lift"]


def shut(it: Situation) -> Iterator[Part]:
    """Say which ways out are shut or too narrow while it is in a doorway, and for how long."""
    if not it.path or it.attempt is None or it.attempt.goal is None:
        return
    shifted = it.scene if it.attempt.shift is None else shifted_scene(it.scene, it.attempt.shift.items)
    shifted = with_left(shifted, it.body)
    middle = left_of(it.body).middle_mm
    path = [moved_reference(pose, middle) for pose in it.path]
    doors, told = [door.key for door in it.doors], it.scene.shop.doors
    for found, at in in_doorways(shifted, it.body.group.id, doors, path, it.known, it.today):
        minutes = math.ceil(minutes_in(it, [told[key] for key in at]))
        what = _what(it, found)
        words = f"{what} shut {minutes} min: tell everybody"
        yield EXIT.only(
            (*it.subjects, *_ways(found)),
            words,
            f"{found.text}; about {minutes} min",
            at=[f"door:{key}" for key in at],
            room=found.room,
            measured=found.measured,
            limit=found.limit,
            unit=found.unit,
        )
    shut_by: dict[str, list[Door]] = {}
    for door in it.doors:
        for room in _cut_off(it, door.key):
            shut_by.setdefault(room, []).append(door)
    for room, doors_shut in shut_by.items():
        name, each = it.scene.shop.rooms[room].name, " or ".join(door.name for door in doors_shut)
        minutes = math.ceil(minutes_in(it, doors_shut))
        text = f"no way out of {name} while {each} is shut, for about {minutes} min"
        nobody = "nobody"
        if any(room in _worked_in(it, door) for door in doors_shut):
            nobody, text = "nobody else", f"{text}, for who holds, pulls or steers it there, too"
        more = [f"door:{door.key}" for door in doors_shut[1:]]  # what was accepted of one is not of both
        words = f"{nobody} in {name} while {each} is shut"
        there = [f"door:{door.key}" for door in doors_shut]
        yield EXIT.only((*it.subjects, f"room:{room}", *more), words, text, at=there, room=room)
    yards = _yards_cut_off(it)
    if yards:
        text = (
            f"whether one gets away from {listed(yards, 3)} meanwhile is not checked: no exit of it is told"
        )
        yield EXIT.note((*it.subjects, "yards"), f"{text}; draw its gate, with exit: yes", judged=False)


def _ways(found: Finding) -> tuple[str, ...]:
    return tuple(s for s in found.subjects if s.partition(":")[0] not in ("group", "fixture"))


def _what(it: Situation, found: Finding) -> str:
    shop = it.scene.shop
    for subject in found.subjects:
        kind, _, key = subject.partition(":")
        table: Any = {"walkway": shop.walkways, "door": shop.doors, "keep clear": shop.keep_clear}.get(kind)
        if table is not None and key in table:
            return str(table[key].name)
    return found.subjects[-1].partition(":")[2] if found.subjects else "a way"


def _cut_off(it: Situation, shut_door: str) -> list[str]:
    """Return the rooms from which no exit is reached while a door is shut, and one was before, that it comes
    out of, too; no yards.
    """
    rooms = it.scene.shop.rooms
    before, after = (rooms_with_a_way_out(it.scene.shop, without) for without in ("", shut_door))
    return [key for key in rooms if key in before - after and not rooms[key].outdoor]


def rooms_with_a_way_out(shop: Shop, without: str = "") -> set[str]:
    """Return the rooms whose doors lead to an exit or outside, but for one door, as the audit takes exits.

    An exit into a yard is a way out of the building; how one gets away from the yard is its own gate's.
    """
    doors = [door for door in shop.doors.values() if door.key != without]
    free = {
        room
        for door in doors
        for room in (door.room, door.to)
        if room in shop.rooms and (OUTSIDE in (door.room, door.to) or shop.leads_out(door, room))
    }
    inner = [(door.room, door.to) for door in doors if not door.exit and OUTSIDE not in (door.room, door.to)]
    return _grown(free, inner)


def _grown(some: Collection[str], joined: Sequence[tuple[str, str]]) -> set[str]:
    """Return all that hangs together with some rooms by doors."""
    found, grown = set(some), True
    while grown:
        more = {room for pair in joined if len(found & set(pair)) == 1 for room in pair}
        grown = not more <= found
        found |= more
    return found


def _worked_in(it: Situation, door: Door) -> set[str]:
    """Return the rooms where who moves it has to be with it in a doorway: behind it, before it where it is
    pulled, and at the points that lines are made fast to.
    """
    rooms = [room.key for room in it.rooms]
    at = [door.room, door.to]
    behind = min(at, key=lambda key: rooms.index(key) if key in rooms else len(rooms))
    return {behind, *(at if it.kind == "pallet truck" else ()), *(r.key for r in it.rooms if r.anchors)}


def _yards_cut_off(it: Situation) -> list[str]:
    """Return the yards without an exit of their own that no doors at all lead out of while one is shut."""
    shop = it.scene.shop

    def joined(without: str) -> set[str]:
        doors = (door for door in shop.doors.values() if door.key != without)
        return _grown({OUTSIDE}, [(door.room, door.to) for door in doors])

    cut = {room for door in it.doors for room in joined("") - joined(door.key)}
    out = {key for door in shop.doors.values() for key in shop.rooms if shop.leads_out(door, key)}
    return [room.name for room in shop.rooms.values() if room.outdoor and room.key in cut - out]


PAPER = frozenset({"loose", "lost", "for-now", "tags", "unprinted"})
"""Rules about tags and records: nothing for whoever moves it."""


def at_goal(it: Situation) -> Iterator[Part]:
    """Say what is newly found with it where it ends, all shifted by then."""
    if it.attempt is None or it.attempt.goal is None or not it.path:
        return
    shifted = it.scene if it.attempt.shift is None else shifted_scene(it.scene, it.attempt.shift.items)
    shifted = with_left(shifted, it.body)
    where = where_at(it.goal, it.level, moved_reference(it.attempt.goal, left_of(it.body).middle_mm))
    found = [f for f in judge(shifted, it.body.group.id, where) if f.id not in it.known]
    then = shifted.with_group_at(it.body.group.id, where)
    found += [f for f in audit(then, it.today) if f.id not in it.known]
    left_out = PAPER | LIFTING  # who lifts it is judged by its gear, not as one person alone
    new = [f for f in once(found) if f.judged and f.rule not in left_out and f.grade != "note"]
    if it.goal.kind == "room":
        yield _which_spot(it, it.attempt.goal, it.attempt.passed_over, bool(new))
    for each in new:
        subjects = (*it.subjects, each.rule, *each.subjects)
        more: dict[str, Any] = {
            "room": each.room,
            "measured": each.measured,
            "limit": each.limit,
            "unit": each.unit,
        }
        more |= {"source": each.source, "remedy": each.remedy}
        if each.grade == "stop":
            yield GOAL.no(subjects, f"in {it.goal.name}: {each.text}", ("another spot of the goal",), **more)
        else:
            yield GOAL.only(subjects, _short(each), f"in {it.goal.name}: {each.text}", **more)


def _which_spot(it: Situation, spot: Pose, passed_over: Sequence[str], troubled: bool) -> Part:
    """Say which spot of a room was chosen, and why that one."""
    text = f"{it.name} ends at {show_point(round(spot.x_mm), round(spot.y_mm))} in {it.goal.name}"
    text += f", turned {spot.turn_deg % 360:.0f} deg"
    if troubled:
        text += ": no spot looked at leaves nothing to fix"
    elif passed_over:
        text += f": roomier spots were passed over ({passed_over[0]})"
    else:
        text += ": the roomiest, and nothing new is found with it there"
    return GOAL.note((*it.subjects, "spot"), text, room=it.goal.room)


def _short(found: Finding) -> str:
    """Return what is found in a few whole words: its first clause, else the title of its rule."""
    clause = re.split(r"[,;:(]", found.text)[0].strip()
    if CLAUSE[0] <= len(clause.split()) <= CLAUSE[1]:
        return clause
    return rule(found.rule).title


CLAUSE = (4, 10)
"""So many words are said as they are: own figures."""
