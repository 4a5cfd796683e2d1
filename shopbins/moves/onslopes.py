"""A slope under a load: what may stand and turn on one, where it is jacked on one, who stands where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from shopbins.answer import Part
from shopbins.geometry.shapes import Pose, cos_sin, placed, turn_between
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fitted import JACKED, along
from shopbins.moves.force import downhill_n, newtons
from shopbins.moves.legs import Leg
from shopbins.moves.lines import (
    floor_of,
)
from shopbins.moves.ramps import (
    NEVER_ON_SLOPES,
)
from shopbins.moves.route import open_holes
from shopbins.moves.running import held_in, standing_leg
from shopbins.moves.situation import Situation
from shopbins.moves.standing import (
    reserve_of,
)
from shopbins.moves.steered import turned_where_told
from shopbins.rules.say import listed
from shopbins.rules.slopes import SLOPING, is_steep
from shopbins.shop.model import Door, Opening, Room
from shopbins.units import show_length, show_point, show_slope

SLOPE_GEAR = Check(
    "move-gear-on-slope",
    "Gear that is not for slopes",
    "the gear's handbook (`steepest`); EN ISO 3691-5 1 h) sets no "
    "requirements off smooth level floor; 1 in 50 is "
    "where 2 % rolls by itself (derived); which kinds: common practice, no source",
    "derived",
    "other gear, a way without the slope, a winch with skates",
)


OUTDOORS = Check(
    "move-outdoors",
    "Floors outdoors",
    "common practice, no source",
    "common practice, no source",
    "level boards or plates; another day",
)


LEVEL = Check(
    "move-floor-level",
    "Floors taken as level",
    "nothing told of how the floor falls; how much tilt is left is our own figure",
    "own",
    "lay a level on it, and tell the shop file: slope: none",
)


TURNS = Check(
    "move-turns-on-slope",
    "Turned, lifted or parked on a slope",
    "makers' handbooks; the angle is our own figure",
    "published",
    "turn it where the floor is level",
)


ROUND = Check(
    "move-set-round",
    "Straight gear set round on the way",
    "what only rolls straight on turns where it is jacked or barred round: common practice, no source",
    "common practice, no source",
    "gear that is steered, or a way without the turn",
)


HANDLE = Check(
    "move-handle-uphill",
    "Who steers stands downhill of it",
    "makers' handbooks: operator above the load; the angle is our own figure",
    "published",
    "enter from the other side; turn it on the level before the slope",
)


def slopes_told(it: Situation) -> Iterator[Part]:
    """Ask how a yard falls, and for a dry even floor there; indoors a floor not told of is taken as level."""
    for room in it.rooms:
        if not room.outdoor:
            continue
        subjects = (*it.subjects, f"room:{room.key}")
        if room.slope is None:
            text = f"how {room.name} falls is not told, and outdoors nothing is taken as level"
            ask = Ask(
                f"how does {room.name} fall? ({{fall: 1 in 50, towards: 270}}, or none)",
                f"rooms: {room.key}: {{slope: none}}",
                1,
            )
            yield OUTDOORS.open(subjects, text, ask, room=room.key)
        words = f"{room.name} dry, swept, free of ice"
        yield OUTDOORS.only((*subjects, "dry"), words, f"{words}; looked at first", room=room.key)


def taken_as_level(it: Situation) -> Iterator[Part]:
    """Name the floors indoors whose fall nobody told; looked at first where little tilt is left."""
    rooms = [room for room in it.rooms if room.slope is None and not room.outdoor]
    if not rooms or it.kind == "by hand":
        return
    least, _ = reserve_of(it, 0.0, None, raised=True)
    named = ", ".join(room.name for room in rooms)
    subjects = (*it.subjects, *(f"room:{room.key}" for room in rooms))
    text = f"taken as level: {named}; how the floor falls is not told"
    if least is not None and least.deg < it.own["tip notice"]:
        text += f", and {least.deg:.1f} deg of tilt are left" if least.deg > 0 else ", and it tips even so"
        yield LEVEL.only(subjects, f"level: {named}", text, measured=least.deg, unit="deg")
    else:
        yield LEVEL.note(subjects, text)


def steepest_room(it: Situation) -> Room | None:
    """Return the steepest room it rolls over that is steeper than 1 in 50; without a way, of those it has to
    pass and both its ends.
    """
    rooms = [leg.room for leg in it.legs] or [*it.rooms, it.scene.shop.rooms[it.goal.room]]
    steep = [r for r in rooms if is_steep(r.slope)]
    return max(steep, key=lambda r: r.slope.fall if r.slope is not None else 0.0, default=None)


def slope_gear(it: Situation) -> Iterator[Part]:
    """Judge whether the gear may be used on the slope at all."""
    room = steepest_room(it)
    if room is None or room.slope is None:
        return
    gear, fall = it.gear.gear, room.slope.fall
    subjects = it.subjects
    more: dict[str, Any] = {"measured": fall, "limit": SLOPING, "unit": "slope", "room": room.key}
    where = f"{room.name} falls {show_slope(fall)}"
    if it.kind in NEVER_ON_SLOPES:
        text = f"{where}: a loaded {it.kind} is never moved on more than 1 in 50"
        yield SLOPE_GEAR.no(subjects, text, ("other gear on the slope",), **more)
    elif it.kind == "by hand":
        yield SLOPE_GEAR.only(
            subjects, "assessed on the spot: carried on a slope", f"{where}: no figure for teams", **more
        )
    elif gear.steepest is None:
        text = f"{where}; what slope the handbook of {gear.name} allows is not told"
        ask = Ask(
            f"what slope does the handbook of {gear.name} allow?",
            f"gear: {gear.key}: {{steepest: 1 in 25}}",
            1,
        )
        yield SLOPE_GEAR.open(subjects, text, ask, **more)
    elif fall > gear.steepest * (1 + 1e-9):
        text = f"{where}; the handbook of {gear.name} allows {show_slope(gear.steepest)}"
        yield SLOPE_GEAR.no(subjects, text, ("other gear on the slope",), **{**more, "limit": gear.steepest})
    else:
        text = (
            f"{where}, within {show_slope(gear.steepest)} of the "
            f"handbook of {gear.name}; outside EN ISO 3691-5"
        )
        yield SLOPE_GEAR.note(subjects, text, **{**more, "limit": gear.steepest})


def turns_on_slope(it: Situation) -> Iterator[Part]:
    """Judge turning, lifting and standing on a slope."""
    if it.kind == "by hand":
        return
    if it.kind in JACKED or it.gear.steering == "axis":
        yield from _off_its_wheels(it)
    steep = it.steep()
    if not steep:
        return
    if it.gear.steering != "axis":
        yield from _turned(it, steep)
    both = (("at the start", it.legs[0]), ("at the goal", it.legs[-1]))
    ends = [(where, leg.room) for where, leg in both if leg in steep]
    if ends:
        which, room = " and ".join(where for where, _ in ends), ends[0][1]
        subjects = (*it.subjects, f"room:{room.key}", "stands")
        text = f"{it.name} stands on the slope of {room.name} {which}: chocked both ways on two wheels"
        yield TURNS.only(subjects, f"chocked both ways {which}", text, room=room.key)


def _off_its_wheels(it: Situation) -> Iterator[Part]:
    """Judge each place where it is jacked, or straight gear set round: wedged and held on a slope, and on one
    steeper than it rolls by itself on none is turned.
    """
    gear, least = it.gear.gear.name, it.own["jack on slope"]
    for room in it.scene.shop.rooms.values():
        fall = 0.0 if room.slope is None else room.slope.fall
        if fall <= least:
            continue
        there = [place for place in places_off_wheels(it) if it.on(room, place.poses)]
        jacked = [place for place in there if place.end != "way" or not is_steep(room.slope)]
        for end in dict.fromkeys(place.end for place in jacked if it.kind in JACKED):
            yield _wedged(it, room, [place for place in jacked if place.end == end])
        for place in (each for each in there if each not in jacked):
            far = max(_over_mm(it, pose, room) for pose in place.poses)
            by = abs(place.poses[-1].turn_deg - place.poses[0].turn_deg)
            # That none was found proves none: it forbids nothing, and nobody may take it for a way.
            text = (
                f"{it.name} turns {by:.0f} deg on the slope of {room.name}, {place.where}, "
                f"{show_length(far)} of what it stands on over the slope of {room.name}: no "
                "way was found that turns it on the level alone, nor that there is none, and "
                f"{gear} is turned by bar or jack, which holds nothing"
            )
            more: dict[str, Any] = {"limit": 0.0, "unit": "mm", "room": room.key}
            yield TURNS.open((*it.subjects, f"room:{room.key}"), text, measured=far, **more)


def _wedged(it: Situation, room: Room, there: Sequence[_Place]) -> Part:
    """Return the condition that it is wedged and held where it is jacked on a fall: where it starts, where it
    ends, or at each place on its way; about what stands `over` a slope another spot may end it.
    """
    assert room.slope is not None
    fall, end = show_slope(room.slope.fall), there[0].end
    text = (
        f"{it.name} is jacked on {fall} in {room.name}, {'; '.join(p.where for p in there)}: wedges both "
        "ways, what holds it on, packing under both ends, all before a jack lifts"
    )
    if is_steep(room.slope):
        text += f"; steeper than {show_slope(SLOPING)} each jack stands on level packing, looked at first"
    kg = it.load.most_kg or it.load.mass_kg
    pulls = "" if kg is None else f", {newtons(downhill_n(kg, room.slope.fall))},"
    by = "what holds it" if held_in(it, room) is None else "the line"
    gear = it.gear.gear.name
    text += (
        f"; {by}{pulls} is made fast to {it.name} itself, low, while it is off {gear}: before the lashing is "
        f"off, until it is on; {gear} is held too as it goes in or out; how it lies from there is looked at"
    )
    holds = f"{it.name} itself held" if held_in(it, room) is None else f"line on {it.name} itself"
    which = AT_END[end]
    level = ", jacks on level packing" if is_steep(room.slope) else ""
    words = f"jacked on {fall.partition(' (')[0]}, {which}: wedges{level}, {holds}"
    figures: dict[str, Any] = {
        "measured": room.slope.fall,
        "limit": it.own["jack on slope"],
        "unit": "slope",
        "room": room.key,
    }
    over = ("over",) if is_steep(room.slope) and any(p.room != room.key for p in there) else ()
    return TURNS.only((*it.subjects, f"room:{room.key}", "jacked", end, *over), words, text, **figures)


AT_END = {"start": "start", "goal": "goal", "way": "turns"}
"""Where it is jacked, in one word."""


class _Place(NamedTuple):
    """Where it is off its wheels: which (start, goal, way), in words, its poses, its room."""

    end: str
    where: str
    poses: tuple[Pose, ...]
    room: str | None


def places_off_wheels(it: Situation) -> Iterator[_Place]:
    """Go through the places where it is jacked, and where straight gear is set round."""
    if it.body.pose is not None and not it.begins_on_gear:
        yield _Place("start", "where it stands", (it.body.pose,), it.body.room)
    if it.goal_pose is not None:
        yield _Place("goal", f"in {it.goal.name}", (it.goal_pose,), it.goal.room)
    for turn in it.set_round:
        at = show_point(round(turn.pose.x_mm), round(turn.pose.y_mm))
        yield _Place("way", f"at {at}", turn.poses, it.legs[turn.at].room.key)


def _over_mm(it: Situation, pose: Pose, room: Room) -> float:
    """Return how far what touches the floor reaches over the slope of a room, along its fall."""
    import shapely

    assert room.slope is not None
    on_it = shapely.Polygon(placed(it.gear.touching, pose)).intersection(shapely.Polygon(room.outline))
    far = [along((x, y), room.slope.towards_deg) for x, y in shapely.get_coordinates(on_it)]
    return max(far) - min(far) if far else 0.0


def _turned(it: Situation, steep: Sequence[Leg]) -> Iterator[Part]:
    """Judge how far gear that is steered turns on slopes, the worst of them."""
    limit = it.own["turn on slope"]
    by, turned = 0.0, steep[0]
    for leg in steep:
        turns = [t for each in steep if each.room is leg.room for t in each.turned_deg]
        if max(turns) - min(turns) > by:
            by, turned = max(turns) - min(turns), leg
    if by > limit:
        subjects = (*it.subjects, f"room:{turned.room.key}")
        text = f"{it.name} turns {by:.0f} deg on the slope of {turned.room.name}"
        sought = turned_where_told(it.gear)
        text += ", no way was found that turns it on the level alone" if sought else NOT_SOUGHT
        more: dict[str, Any] = {"measured": by, "limit": limit, "unit": "deg", "room": turned.room.key}
        if it.kind in NEVER_ON_SLOPES:
            # That none was found proves none: it forbids nothing, and nobody may take it for a way.
            text += ", nor that there is none" if sought else ""
            text += f": {it.gear.gear.name} is turned by bar or jack, which holds nothing"
            yield TURNS.open(subjects, text, **more)
        else:
            yield TURNS.only(subjects, "held by line or chock while it turns", text, **more)


NOT_SOUGHT = "; a way that turns it on the level alone was not looked for"


def set_round(it: Situation) -> Iterator[Part]:
    """Name each turn of gear that only rolls straight on: it stands there, and the gear is set round."""
    turns = it.set_round
    if not turns:
        return
    places = ", ".join(f"{t.pose.x_mm:.0f},{t.pose.y_mm:.0f} by {abs(t.by_deg):.0f} deg" for t in turns)
    how = "jacked" if it.kind in JACKED[:2] else "barred"
    often = "once" if len(turns) == 1 else f"{len(turns)} times"
    text = f"{it.gear.gear.name} only rolls straight on: {it.name} is {how} and set round at {places}"
    words = f"{how} and set round {often} on the way"
    spots = [(t.pose.x_mm, t.pose.y_mm) for t in turns]
    yield ROUND.only(it.subjects, words, text, spots=spots, measured=float(len(turns)), unit="count")


def handle_uphill(it: Situation) -> Iterator[Part]:
    """Judge where who steers stands on each slope: never downhill of the load, nobody below it there or where
    it would run to.
    """
    falling = [leg for leg in it.legs or standing_leg(it) if leg.slope is not None and leg.slope.fall > 0]
    if it.kind == "by hand":
        return
    for room in dict.fromkeys(leg.room for leg in falling):
        assert room.slope is not None
        legs = [leg for leg in falling if leg.room is room]
        handles = (pose.turn_deg + it.gear.axis_deg + 180.0 for leg in legs for pose in leg.poses)
        worst = min(abs(turn_between(handle, room.slope.towards_deg)) for handle in handles)
        subjects = (*it.subjects, f"room:{room.key}")
        limit = it.own["handle aside"]
        more: dict[str, Any] = {"measured": worst, "limit": limit, "unit": "deg", "room": room.key}
        if it.kind == "pallet truck" and worst < limit and is_steep(room.slope):
            text = (
                f"the handle of {it.gear.gear.name} points downhill in {room.name}: who steers is below the "
            )
            text += "load"
            yield HANDLE.no(
                subjects, text, ("forks from the other side", "turned on the level first"), **more
            )
            continue
        far, (below, doors, holes) = _runs_out_mm(room, legs), _comes_to(it, room, legs)
        down_to = ", ".join([*(hole.name for hole in holes), "the wall or where it would stop"])
        text = f"nobody stands below {it.name} in {room.name}, from it down to {down_to}"
        runs = f"it runs {show_length(far)} beyond its foot where 2 % slows it, farther where less does"
        text += f"; let go at the top {runs if is_steep(room.slope) else 'good wheels roll at less than 2 %'}"
        named = [room.name, *(each.name for each in below)]
        text += f"; next below, straight down from it: {listed(named[1:], 3)}" if below else ""
        text += "".join(
            f"; {each.name} leads outside straight down from it: watched or barred" for each in doors
        )
        about = (*subjects, *(f"below:{key}" for key in [*(r.key for r in below), *(d.key for d in doors)]))
        words = f"nobody below it in {' or '.join(named)}"
        words += f", nor outside {' and '.join(each.name for each in doors)}" if doors else ""
        yield HANDLE.only(about, words, text, **more)
        yield from _open_below(it, room, holes, subjects)


def _open_below(it: Situation, room: Room, holes: Sequence[Opening], about: Sequence[str]) -> Iterator[Part]:
    """Make it a condition that an open pit or hatch straight below it is covered or railed, but where a line
    to a named point holds it: let go it comes there before it stops, and so does who steps out of its way.
    """
    line = held_in(it, room)
    for hole in holes:
        if hole.guarded or line is not None:
            continue
        deep = "" if hole.depth_mm is None else f" ({show_length(hole.depth_mm)} deep)"
        text = f"{hole.name}, open{deep}, no rail told, lies straight downhill of {it.name} in {room.name}: "
        text += (
            "let go it comes there before it stops; covered or railed, or a line to a named point holds it"
        )
        words = f"{hole.name} covered or railed: straight below it"
        yield HANDLE.only((*about, f"opening:{hole.key}"), words, text, room=room.key)


def _comes_to(it: Situation, room: Room, legs: Sequence[Leg]) -> tuple[list[Room], list[Door], list[Opening]]:
    """Return the rooms that it comes to straight down a slope, let go anywhere on its way there (through a
    doorway at its foot, or below an open pit or hatch that it comes over), the doors it comes to there that
    lead outside the plan, and those pits and hatches.
    """
    import shapely

    assert room.slope is not None
    c, s = cos_sin(room.slope.towards_deg)
    foot = max(along(corner, room.slope.towards_deg) for corner in room.outline)
    far = foot + _runs_out_mm(room, legs)
    start, swept = shapely.Polygon(room.outline), []
    for pose in (pose for leg in legs for pose in leg.poses):
        stands = shapely.get_coordinates(start.intersection(shapely.Polygon(placed(it.hull, pose)))).tolist()
        out = max((far - along((x, y), room.slope.towards_deg) for x, y in stands), default=0.0)
        swept.append(shapely.MultiPoint([*stands, *((x + out * c, y + out * s) for x, y in stands)]))
    reached = shapely.intersection(shapely.convex_hull(swept), floor_of(it))
    runs = [part for part in shapely.get_parts(reached) if part.intersects(start)]
    every = (other for other in it.scene.shop.rooms.values() if other is not room)
    found = [
        other
        for other in every
        if any(part.intersection(shapely.Polygon(other.outline)).area > NEXT_MM**2 for part in runs)
    ]
    holes = open_holes(it.scene.shop, [each.outline for each in (room, *found)])
    over = [hole for hole in holes if any(part.intersects(shapely.Polygon(hole.outline)) for part in runs)]
    rooms = it.scene.shop.rooms
    deeper = [rooms[hole.to] for hole in over if hole.to is not None and hole.to in rooms]
    outer = [
        door
        for door in it.scene.shop.doors.values()
        if door.to not in rooms and {door.room} & {room.key, *(each.key for each in found)} and door.passage
        and any(part.intersection(shapely.Polygon(door.passage)).area > NEXT_MM**2 for part in runs)
    ]  # fmt: skip
    return list(dict.fromkeys([*found, *deeper])), outer, over


NEXT_MM = 50.0
"""So far into a room, and so wide, it comes to it: own figure."""


def _runs_out_mm(room: Room, steep: Sequence[Leg]) -> float:
    """Return how far it runs on the level beyond the foot of a slope, let go at the top of its way on it: the
    height it comes down over 2 % of rolling resistance.
    """
    assert room.slope is not None
    poses = [pose for leg in steep if leg.room is room for pose in leg.poses]
    top = min(along((pose.x_mm, pose.y_mm), room.slope.towards_deg) for pose in poses)
    foot = max(along(corner, room.slope.towards_deg) for corner in room.outline)
    return (foot - top) * room.slope.fall / SLOPING
