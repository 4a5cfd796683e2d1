"""The way out of every room: how wide it is at its narrowest, and between which two things."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from shopbins.rules import limits
from shopbins.rules.exits import exits_of, least_width, no_exit_kind
from shopbins.rules.finding import GRADES, Finding, Grade
from shopbins.rules.rule import Advice, Placement, Rule
from shopbins.rules.say import TOLERANCE_MM, about_size, mm, mm_pair, unsure
from shopbins.rules.ways import SHUT_MM, needed_height_mm, remedy_for
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.scene.waysout import WayOut, WaysOut, exits_from
from shopbins.shop.model import Room, Shop

WidthLimit = tuple[float, Grade, str, str]
"""A least width, the grade of less, whose it is in words, and its source."""


def _audit(scene: Scene, _today: date) -> Iterator[Finding]:
    if not any(door.exit for door in scene.shop.doors.values()):
        yield from found_in(scene, ())


def _look(scene: Scene, room: Room) -> Iterator[Finding]:
    yield from found_in(scene, (room.key,))


def found_in(scene: Scene, rooms: Iterable[str]) -> Iterator[Finding]:
    """Go through what is found about the ways out of rooms; one note where the shop file names no exit."""
    ways = scene.memo.get("ways out")
    if not isinstance(ways, WaysOut):
        ways = scene.memo["ways out"] = WaysOut(scene, needed_height_mm(scene.shop))
    if not any(door.exit for door in scene.shop.doors.values()):
        yield WAY_OUT.unjudged(
            ("shop",),
            "ways out are not checked: no door in the shop file is marked as an exit",
            remedy="write exit: yes at the doors that are exits",
        )
        return
    for room in rooms:
        yield from _of_room(scene, ways, room)


def _of_room(scene: Scene, ways: WaysOut, room: str) -> Iterator[Finding]:
    shop = scene.shop
    name = shop.rooms[room].name
    exits = exits_from(shop, room)
    if not exits and shop.rooms[room].outdoor:
        yield WAY_OUT.unjudged(
            (f"room:{room}",),
            f"{name} is outdoors: whether one gets away from there is not checked, no gate of it is an exit",
            room=room,
            remedy="draw its gate in the shop file, with exit: yes",
        )
        return
    if not exits:
        yield WAY_OUT.found(
            "stop",
            (f"room:{room}",),
            f"no exit can be reached from {name} through the doors of the shop file",
            room=room,
            remedy="mark the exits in the shop file, and draw the doors that lead to them",
        )
        return
    if ways.spot(room) is None:
        yield WAY_OUT.found(
            "correct",
            (f"room:{room}",),
            f"nothing of the floor of {name} is free: its way out was not checked",
            room=room,
            remedy="take something out of it",
        )
        return
    found = ways.ways(room)
    nearest = next(found)
    limit = _judged(shop, nearest)
    if limit is None:
        yield _enough(shop, name, nearest)
        return
    others = [nearest]
    for each in found:
        if no_exit_kind(each.exit, shop):
            continue  # the rules of the shop do not take it for an exit
        others.append(each)
        if _judged(shop, each) is None:
            break
    yield _narrow(shop, name, nearest, limit, max(others, key=lambda out: out.width_mm))


# --- limits -----------------------------------------------------------------------------------------------


def limits_of(shop: Shop) -> list[tuple[float, str, str]]:
    """Return the least widths of a way out, whose each is and its source: the shop file's own, then the
    published one.
    """
    found = []
    own = shop.limits.exit_mm if shop.limits.exit_mm is not None else shop.limits.walkway_mm
    if own is not None:
        found.append((own, "the least", "limits of the shop file"))
    rules = limits.set_for(shop, "exit-width")
    known = None if rules is None else least_width(rules, shop.limits.people, exits_of(shop))
    if known is not None:
        found.append((known[1], "the published least", known[0].source))
    return found


def _judged(shop: Shop, out: WayOut) -> WidthLimit | None:
    """Return the limit a way out breaks worst; None where it breaks none."""
    stood = any(isinstance(end, Standing) for end in out.ends)
    # Of the building itself, or a spot too small to stand in, the shop's own least makes no stop.
    broken: list[WidthLimit] = [
        (least, "correct" if whose == "the least" and not stood else "stop", whose, source)
        for least, whose, source in limits_of(shop)
        if out.width_mm < least - TOLERANCE_MM
    ]
    body_mm = limits.figure("exit-width", "any", "a body")
    shut = out.width_mm < SHUT_MM
    if out.width_mm < body_mm - TOLERANCE_MM and not any(limit[1] == "stop" for limit in broken):
        least = max((body_mm, *(limit[0] for limit in limits_of(shop))))
        grade: Grade = "stop" if shut or stood else "correct"
        broken.append((least, grade, "the least", "nobody gets through less: own figure"))
    return min(broken, key=lambda limit: (GRADES.index(limit[1]), -limit[0]), default=None)


# --- words ------------------------------------------------------------------------------------------------


def _narrow(shop: Shop, name: str, out: WayOut, limit: WidthLimit, best: WayOut) -> Finding:
    least, grade, whose, source = limit
    left, wanted = mm_pair(out.width_mm, least)
    spare = ""
    if best.exit.key != out.exit.key:
        spare = f"; to {best.exit.name}, further, {mm(best.width_mm)}"
        if _judged(shop, best) is None:
            grade = "correct"
    words = f"{left if out.width_mm >= SHUT_MM else 'shut'} at its narrowest, {_between(shop, out)}"
    again = unsure(shop, out.width_mm, least, "there")
    return _found(name, out, grade, f"{words}, {wanted} is {whose}{spare}{again}", least, source)


def _enough(shop: Shop, name: str, out: WayOut) -> Finding:
    """Say how wide a way is that breaks no limit."""
    known = limits_of(shop)
    if not known:
        words = f"{mm(out.width_mm)} at its narrowest, {_between(shop, out)}"
        advice = []
        for other in limits.advisers(shop, "exit-width"):
            by = least_width(other, shop.limits.people, exits_of(shop))
            advice += [] if by is None else [Advice(by[0], by[1], out.width_mm)]
        told = _found(name, out, "note", words, None, "")
        return WAY_OUT.no_figure(
            shop, told.subjects, told.text, advice, mm, room=told.room, at_mm=told.at_mm, unit="mm",
            measured=told.measured, remedy="write the least width you want: limits: {exit: 800 mm}",
        )  # fmt: skip
    least, whose, source = known[0]
    left, wanted = mm_pair(out.width_mm, least)
    words = f"{left} at its narrowest, {_between(shop, out)}, {wanted} is {whose}"
    words += unsure(shop, out.width_mm, least, "there")
    return _found(name, out, "note", words, least, source, "keep it so")


def _found(
    name: str,
    out: WayOut,
    grade: Grade,
    words: str,
    least: float | None,
    source: str,
    remedy: str = "",
) -> Finding:
    bodies = [end for end in out.ends if isinstance(end, Standing)]
    chain = list({body.subject: body for body in bodies}.values())
    doors = {end for end in out.ends if isinstance(end, str) and end.startswith("door:")}
    (ax, ay), (bx, by) = out.points
    return WAY_OUT.found(
        grade,
        (f"room:{out.room}", *sorted({*doors, *(body.tag for body in chain)})),
        f"the way out of {name} to {out.exit.name} is {words}{about_size(chain)}",
        room=bodies[0].room if bodies else out.room,
        at_mm=((ax + bx) / 2, (ay + by) / 2),
        measured=out.width_mm,
        limit=least,
        unit="mm",
        source=source,
        remedy=remedy or (remedy_for(chain) if chain else "a wider door, another way out, or another spot"),
    )


def _between(shop: Shop, out: WayOut) -> str:
    first, second = (_end(shop, end) for end in out.ends)
    if "spot" in out.ends:
        other = first if out.ends[1] == "spot" else second
        return f"where its largest free spot is, beside {other}"
    if first == second:
        doors = [end for end in out.ends if isinstance(end, str) and end.startswith("door:")]
        return f"which is {first}" if doors else f"within {first}"
    return f"between {first} and {second}"


def _end(shop: Shop, end: Standing | str) -> str:
    if isinstance(end, Standing):
        return end.name
    kind, _, key = end.partition(":")
    if kind == "door":
        return f"the opening of {shop.doors[key].name}"
    return f"the wall of {shop.rooms[key].name}" if kind == "wall" else "the spot"


# --- laying down ------------------------------------------------------------------------------------------


def _judge(p: Placement) -> Iterator[Finding]:
    if p.thorough and p.body is not None:
        for each in caused(p.before.with_group_at(p.group.id, None), p.scene, {p.body.tag}):
            here = each.grade != "note" and p.body.tag in each.subjects
            yield replace(each, remedy=f"put {p.body.name} elsewhere") if here else each


def caused(without: Scene, after: Scene, tags: set[str]) -> Iterator[Finding]:
    """Go through what is found about ways out that names one of these things, or is worse for their sake."""
    if not any(door.exit for door in after.shop.doors.values()):
        return
    rooms = list(after.shop.rooms)
    before: dict[str, Finding] | None = None
    for each in found_in(after, rooms):
        if tags.isdisjoint(each.subjects):
            if each.grade == "note":
                continue
            if before is None:
                before = {f.subjects[0]: f for f in found_in(without, rooms)}
            if not _worse(each, before.get(each.subjects[0])):
                continue
        yield each


def _worse(now: Finding, before: Finding | None) -> bool:
    """Tell whether a finding about a room's way out is worse than the one before."""
    if before is None or GRADES.index(now.grade) < GRADES.index(before.grade):
        return True
    if now.measured is None or before.measured is None:
        return now.measured is None and before.measured is not None
    return now.measured < before.measured - TOLERANCE_MM


WAY_OUT = Rule(
    key="way-out",
    everywhere=False,
    title="The way out of a room narrowed or shut",
    text="From the middle of each room's largest free spot a way leads through rooms and doors to the "
    "nearest exit (a door marked 'exit: yes'; nearest straight from door to door). Its width is that of "
    "the widest disc that gets from there to beyond the exit, between walls, open leaves and everything that "
    "gets lower than a head; the two things at its narrowest place are named. Less than the shop file's "
    "least, and a way that is shut, is a stop; only to fix where another exit, further away, can be "
    "reached by a way wide enough, where the building itself is the narrow place, or where the spot is no "
    "wider. Less than published is a stop under its own rule set, elsewhere advice; less than 500 mm is "
    "a stop in every set (own figure). A door the set does not take for an exit is no other way. A room "
    "that no exit can be reached from is a stop. An exit to a yard (`outdoor: yes`) is a way out of the "
    "building; from the yard the way goes on to its gate, and without one that is not checked. "
    "The narrowest place of a wide enough way is told in a note. "
    "Looked at when a thing is put down and in the audit, not at every step of carrying.",
    limit="limits.exit, else limits.walkway of the shop file; published: 28 in (711.2 mm) in 'us', 750 mm "
    "and "
    "more in 'uk', 800 mm and more in 'de', none in 'eu'",
    source="29 CFR 1910.36(g)(2), (4); Approved Document B (England); widths are distances of the outlines",
    mark="published",
    remedy="shift one of the two things, or ask those who answer for the building",
    audit=_audit,
    judge=_judge,
    look=_look,
    each="room with a way out",
    figures="exit-width",
)

RULES = (WAY_OUT,)
