"""Room for forks, handle and people: at both ends, and at every pose of the way.

Floor is looked at as what is free of walls, of all that stands there and of the load itself, for somebody who
takes 500 mm (ISO 13854, whole body). Lengths in mm, in the shop frame.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from shopbins.answer import Part, Verdict
from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import (
    Outline,
    Point,
    Pose,
    between,
    bounds,
    cos_sin,
    placed,
    rectangle,
    turn_between,
)
from shopbins.moves.beside import behind_forks, floor_free, free_beyond, handle_reach, who_steers
from shopbins.moves.finding import Ask, Check, lack_of, row_of
from shopbins.moves.fits import MOST_CARRY
from shopbins.moves.fitted import JACKED, across_box, along, boxed
from shopbins.moves.force import G_M_S2, men_for
from shopbins.moves.gear import judge_sides
from shopbins.moves.lifting import SAME_END_MM, end_kg, on_one_jack_deg, owned, toe_jacks
from shopbins.moves.margin import Margin
from shopbins.moves.plates import Laid, Ramps
from shopbins.moves.route import Ground, open_holes
from shopbins.moves.running import pushes
from shopbins.moves.situation import Situation
from shopbins.moves.standing import delicate
from shopbins.records.acts_move import on_gear
from shopbins.rules.covers import may_not_bear
from shopbins.rules.slopes import is_steep
from shopbins.units import show_angle, show_length, show_point

FORKS = Check(
    "move-room-forks",
    "No room for the forks to go in or come out",
    "lengths of forks, body and 500 mm for who steers (ISO 13854, whole body)",
    "derived",
    "forks from another side, set it down farther out, shift what is behind",
)
JACK_ROOM = Check(
    "move-room-jack",
    "No room to set a jack, or for the crane to come and go",
    "lengths of jack or crane as told, and 500 mm for who works it (ISO 13854, whole body)",
    "derived",
    "another spot, shift what is beside it, a shorter jack",
)
PERSON = Check(
    "move-room-person",
    "No room for who steers",
    "ISO 13854: 500 mm for the body; reach of the handle as told",
    "published",
    "push instead of pull, another side, another way",
)
OUT = Check(
    "move-comes-out",
    "Comes out past the load once it is let down",
    "derived from the plan, for a body of 500 mm (ISO 13854) and the width over the forks",
    "derived",
    "another turn or spot of the goal, forks from the other side",
)
SHUT_IN = Check(
    "move-shut-in",
    "Somebody shut in by the load",
    "derived from the plan, for a body of 500 mm (ISO 13854)",
    "derived",
    "enter a dead end with the load first and the handle out",
)
GAPS = Check(
    "move-gaps",
    "Crushed between the load and what is fixed",
    "ISO 13854: body 500, head 300, arm and foot 120, hand 100 mm",
    "published",
    "nobody in that gap; hands off",
)
STEERING = Check(
    "move-steering-room",
    "Little room to steer in",
    "own figure, no source",
    "own",
    "measure it, then dead slow with somebody who guides it",
)
PUSHERS = Check(
    "move-room-to-push",
    "Room for all who push or carry",
    "HSE push-pull page, INDG143: how many; ISO 13854: 500 mm for the body",
    "published",
    "winch or tackle there",
)
ASIDE_DEG = (0.0, 45.0, -45.0)
"""Where the handle may be pulled to: straight, or 45 degrees either way; own figure."""
SQUARE_DEG = (*ASIDE_DEG, 90.0, -90.0)
"""Where it may be pulled at the most: with no place there either, there is none."""
EVERY_MM, EVERY_DEG = 200.0, 10.0


def handled(it: Situation) -> bool:
    """Tell whether somebody steers it by a handle at one end."""
    return it.kind == "pallet truck" and it.gear.heel is not None


# --- forks in and out
# ------------------------------------------------------------------------------------------


def forks(it: Situation) -> Iterator[Part]:
    """Judge whether the truck gets in where it stands and out where it is set down."""
    if not handled(it) or it.attempt is None or it.attempt.ground is None:
        return
    then = it.attempt.then or it.attempt.ground
    if it.body.pose is not None and it.path and not it.begins_on_gear:
        yield from _withdraw(it, then, it.body.pose, "to go in", "start")
    if it.goal_pose is not None and it.path:
        yield from _withdraw(it, then, it.goal_pose, "to come out", "goal")


def forks_in(it: Situation) -> Iterator[Part]:
    """Judge whether forks go in where it stands were all shifted that can be: judged before any way."""
    if not handled(it) or it.begins_on_gear:
        return
    if it.attempt is not None and it.attempt.ground is not None and it.body.pose is not None:
        bare = replace(it.attempt.ground, things=())
        yield from _withdraw(it, bare, it.body.pose, "to go in", "start")


def comes_off(it: Situation) -> Iterator[Part]:
    """Judge whether the gear that it stands on where it halted comes out from under it there, as at a goal,
    where other gear is asked.
    """
    asked, pose = on_gear(it.scene.state, it.body.group.id), it.body.pose
    gear = None if asked is None else it.scene.shop.gear.get(asked["gear"])
    if asked is None or gear is None or it.begins_on_gear or pose is None:
        return
    if it.attempt is None or it.attempt.ground is None or not it.path:
        return
    then = it.attempt.then or it.attempt.ground
    every = judge_sides(gear, it.load, measured_mm=it.measured_mm, own=it.own)
    under = next((each for each in every if abs(turn_between(asked["axis"], each.axis_deg)) < 1.0), None)
    if under is None:
        return
    before = replace(it, gear=under)
    where = "where it halted"
    yield from _withdraw(before, then, pose, "to come out", "start")
    if gear.kind == "engine crane" and gear.size_mm is not None:
        yield from _crane_room(before, floor_free(then), pose, "start", where, gear.size_mm)
    elif gear.kind in JACKED:
        yield from _jack_room(before, floor_free(then), pose, "start", where)


def _withdraw(it: Situation, ground: Ground, pose: Pose, what: str, end: str) -> Iterator[Part]:
    behind = behind_forks(it.gear, it.load, ground, pose, it.own, 4 * it.measured_mm)
    if behind is None:
        return
    (need, free), gear = behind, it.gear.gear
    subjects = (*it.subjects, f"room:{end}", end)
    where = "where it stands" if end == "start" else f"in {it.goal.name}"
    text = (
        f"{gear.name} needs {show_length(need)} straight behind it "
        f"{what} {where} (forks {show_length(gear.fork_length_mm)}, "
        f"body {show_length(gear.body_mm or 0.0)}, who steers {show_length(it.own['person'])}): "
        f"{show_length(free)} is free"
    )
    more: dict[str, Any] = {"measured": free, "limit": need, "unit": "mm"}
    inputs = (
        (f"what is free behind {it.name} {where}", it.measured_mm),
        (f"length of {gear.name}", it.measured_mm),
    )
    margin = Margin(free - need, inputs)
    if margin.verdict is Verdict.NO:
        ends = ("forks from another side", "another spot")
        if end == "start" and it.begins_on_gear:  # let down where it halted, to go on with other gear
            ends = ("what stands behind it shifted", f"on with {gear.name}")
        yield FORKS.no(subjects, f"{text}, {show_length(need - free)} lacking", ends, **more)
    elif margin.verdict is Verdict.AGAIN:
        yield FORKS.again(subjects, text, margin, **more)


# --- jacks, cranes
# --------------------------------------------------------------------------------------------------------


def room_to_lift(it: Situation) -> Iterator[Part]:
    """Judge at both ends, and where straight gear is set round, whether a jack and who works it, or a crane
    come empty, finds room.
    """
    if it.attempt is None or it.attempt.ground is None or not it.path:
        return
    ends = [] if it.begins_on_gear else [("start", "where it stands", it.body.pose)]
    ends.append(("goal", f"in {it.goal.name}", it.goal_pose))
    for turn in it.set_round:  # jacked to set its gear round, and to set it along again
        where = f"where it is set round at {_words(turn.pose)}"
        ends += [("way", where, turn.poses[0]), ("way", where, turn.pose)]
    free = floor_free(it.attempt.then or it.attempt.ground)
    worst: dict[str, Part] = {}
    for place, where, pose in ends:
        if pose is None:
            continue
        if it.kind == "engine crane" and it.gear.gear.size_mm is not None:
            yield from _crane_room(it, free, pose, place, where, it.gear.gear.size_mm)
        for part in _jack_room(it, free, pose, place, where) if it.kind in JACKED else ():
            found = row_of(part).finding
            if not ANYWHERE & set(part.subjects):
                yield part
            elif found.id not in worst or lack_of(part) > lack_of(worst[found.id]):
                worst[found.id] = part
    yield from worst.values()


def _crane_room(
    it: Situation, free: Any, pose: Pose, place: str, where: str, size: tuple[float, float]
) -> Iterator[Part]:
    length, wide = size
    need = length + it.own["person"]
    back = it.gear.axis_deg + 180.0
    found = free_beyond(it.load, free, pose, back, (0.0, 0.0), wide, need + 4 * it.measured_mm)
    name = it.gear.gear.name
    text = (
        f"{name} comes and goes empty {where}: {show_length(need)} before {it.name} (its length and "
        f"{show_length(it.own['person'])} for who pushes it), {show_length(found)} is free"
    )
    inputs = (
        (f"what is free before {it.name} {where}", it.measured_mm),
        (f"length of {name}", it.measured_mm),
    )
    yield from _lifted(it, Margin(found - need, inputs), text, (place, where), found, need)


def _jack_room(it: Situation, free: Any, pose: Pose, place: str, where: str) -> Iterator[Part]:
    """Judge the end of the thing that has less room: from its face, or from the side next to it, at a told
    point; and whether two jacks, or the one told of, get there and reach in.
    """
    points = it.load.jacking or it.load.feet
    if len(points) < 2:
        return  # where a jack is set is asked for
    jacks = toe_jacks(it)
    told = min((max(g.size_mm) for g in jacks if g.size_mm is not None), default=None)
    long = it.own["jack length"] if told is None else told
    person = it.own["person"]
    need = long + person
    level = _off_slopes(it, free)
    xs = [p.x_mm for p in points]
    least = flat = firmly = worst = second = math.inf
    reached: list[_Reached] = []
    soft, wide = (
        _not_firm(it),
        min((min(g.size_mm) for g in jacks if g.size_mm is not None), default=long / 2),
    )
    firm = _less(free, [outline for _, outline in soft])
    for end, face in ((min(xs), 180.0), (max(xs), 0.0)):
        there = [p.point for p in points if abs(p.x_mm - end) < SAME_END_MM]
        rooms, on_level = [], []
        for at in there:
            upper, lower = (_to_edge_mm(it, at, side) for side in (90.0, 270.0))
            far = {90.0: upper > max(lower + 2.0, person), 270.0: lower > max(upper + 2.0, person)}
            sides = [side for side in (face, 90.0, 270.0) if not far.get(side)]  # not across the thing
            far_mm = need + 4 * it.measured_mm
            found = [_beside(it, free, pose, s, at, (person, wide, far_mm)) for s in sides]
            rooms.append(max(found))
            open_to = [side for side, room in zip(sides, found, strict=True) if room >= need]
            if level is not free:
                on_level += [_beside(it, level, pose, s, at, (person, wide, long)) for s in open_to]
            in_mm = [_to_edge_mm(it, at, s) for s in open_to]
            reached += [_Reached(face, at, min(in_mm))] if in_mm else []
            stands = [_stands_mm(it, soft, firm, pose, s, at, (wide, long)) for s in open_to if soft]
            firmly, worst = min(firmly, max(stands, default=math.inf)), min(worst, *stands, math.inf)
        ys = [at[1] for at in there]
        outer = [room for room, y in zip(rooms, ys, strict=True) if y in (min(ys), max(ys))]
        least, flat = min(least, max(rooms)), min(flat, max(on_level, default=math.inf))
        second = min(second, *outer)
    if flat < long:
        yield _on_the_level(it, place, where, flat, long, told is not None)
    if worst < long:
        only = told is None or firmly >= long
        yield _on_firm_floor(it, pose, where, (worst if only else firmly, long), soft, only)
    if least >= need:
        yield from _reaches_in(it, where, reached)
    beside, worse = "a toe jack and who works it take", "one"
    if least >= need > second:
        one = _on_one(it, where, reached, (second, need))
        if one is not None:
            yield one
        else:
            beside, worse, least = "toe jacks at both points and who works them take, each,", "point", second
    text = (
        f"{beside} {show_length(need)} beside each end of {it.name} {where}: "
        f"{show_length(least)} is free at the worse {worse}"
    )
    if told is None:
        if least >= need:
            words = f"toe jack no longer than {long:.0f} mm"
            yield JACK_ROOM.only(it.subjects, words, text, measured=least, limit=need, unit="mm")
            return
        which = jacks[0].key if jacks else "toe jack"
        told_by = "size: [400, 200]" if jacks else "kind: toe jack, size: [400, 200]"
        ask = Ask("how long is the toe jack, with its lever?", f"gear: {which}: {{{told_by}}}", 1)
        yield JACK_ROOM.open((*it.subjects, where), text, ask, measured=least, limit=need, unit="mm")
        return
    inputs = (
        (f"what is free beside {it.name} {where}", it.measured_mm),
        ("length of the jack", it.measured_mm),
    )
    yield from _lifted(it, Margin(least - need, inputs), text, (place, where), least, need)


def _beside(
    it: Situation, free: Any, pose: Pose, side: float, at: Point, mm: tuple[float, float, float]
) -> float:
    """Return how far the floor is free beyond a side level with a point, for a person and a jack so wide, up
    to so far: the jack anywhere in the width of the person.
    """
    (person, wide, far), (c, s) = mm, cos_sin(side)
    spare = max(0.0, person - wide) / 2
    offs = ((at[0] + k * spare * s, at[1] - k * spare * c) for k in (0.0, 1.0, -1.0))
    edge = along(at, side) + _to_edge_mm(it, at, side)
    return max(free_beyond(it.load, free, pose, side, off, person, far, edge) for off in offs)


def _to_edge_mm(it: Situation, at: Point, side: float) -> float:
    """Return how far a point is in from a side of a thing: from the side of its box, in a notch from the side
    of that.
    """
    import shapely

    to_box = across_box(it.load, side)[1] - along(at, side)
    own = shapely.Polygon(it.load.own or it.load.outline)
    if own.convex_hull.area - own.area < 1.0 or to_box <= 0:
        return to_box
    c, s = cos_sin(side)
    out = shapely.LineString([at, (at[0] + to_box * c, at[1] + to_box * s)]).intersection(own.exterior)
    return float(shapely.Point(at).distance(out)) if not out.is_empty else to_box


def _stands_mm(
    it: Situation,
    soft: Sequence[tuple[str, Outline]],
    firm: Any,
    pose: Pose,
    side: float,
    at: Point,
    mm: tuple[float, float],
) -> float:
    """Return how much firm floor a jack so wide has beyond one side of a thing, up to so much, with its toe
    under a point of it: none where its base under the toe, from that point to the side, is on anything soft.
    """
    (wide, long), edge = mm, across_box(it.load, side)[1]
    to, aside = along(at, side), along(at, side - 90.0)
    under = placed(boxed(side, to, edge, aside - wide / 2, aside + wide / 2), pose)
    if edge - to > 1.0 and any(overlap(under, outline, 1.0) for _, outline in soft):
        return 0.0
    return free_beyond(it.load, firm, pose, side, at, wide, long)


class _Reached(NamedTuple):
    """A point that a jack and who works it have room at: of which end (deg), how far in it is from there."""

    end: float
    at: Point
    in_mm: float


def _reaches_in(it: Situation, where: str, reached: Sequence[_Reached]) -> Iterator[Part]:
    """Make it a condition that a toe reaches an outermost point of an end that lies far in."""
    most, far = it.own["toe reach"], 0.0
    for end in (180.0, 0.0):
        ys = [r.at[1] for r in reached if r.end == end]
        outer = [r.in_mm for r in reached if r.end == end and r.at[1] in (min(ys), max(ys))]
        far = max(far, *outer)
    if far <= most:
        return
    text = (
        f"from where a jack has room {where} its point is {show_length(far)} in under {it.name}; looked at "
        f"where that is more than {show_length(most)}"
    )
    words = f"toe reaches {far:.0f} mm in: looked at"
    yield JACK_ROOM.only((*it.subjects, "toe"), words, text, measured=far, limit=most, unit="mm")


ANYWHERE = frozenset({"toe", "one jack"})
"""What conditions are about that are said once, of the worst place where it is jacked."""


def _on_one(it: Situation, where: str, reached: Sequence[_Reached], mm: tuple[float, float]) -> Part | None:
    """Return the condition that each end is lifted on one jack where there is no room for two; None where it
    tips so, or that one does not hold it.
    """
    (found, need), mass = mm, it.load.most_kg
    left = on_one_jack_deg(it, [[r.at for r in reached if r.end == end] for end in (180.0, 0.0)])
    bears = None if mass is None else end_kg(it, mass)
    holds = [jack.toe_kg for jack in toe_jacks(it) if jack.toe_kg is not None]
    if left is None or left < it.own["tip least"] or (bears and holds and max(holds) < bears):
        return None
    text = (
        f"beside one point of an end of {it.name} {where} {show_length(found)} is free, a toe jack and who "
        f"works it take {show_length(need)}: on one jack at the other it has {show_angle(left)} of tilt left"
    )
    words = f"on one jack at an end: {show_angle(left)} left"
    more: dict[str, Any] = {"measured": left, "limit": it.own["tip reserve"], "unit": "deg"}
    return JACK_ROOM.only((*it.subjects, "one jack"), words, text, **more)


def _not_firm(it: Situation) -> list[tuple[str, Outline]]:
    """Return what no jack stands on, by name: covers that do not take what one carries, open pits, sills,
    plates and ramps laid on the way.
    """
    most = it.load.most_kg
    each = None if most is None else end_kg(it, most, min(2, owned(it) or 2))
    kg = each if each is not None else most
    kn = math.inf if kg is None else kg * G_M_S2 / 1000
    weak = [
        (f"the cover of {cover.name}", cover.outline)
        for cover, _ in may_not_bear(it.scene.shop, kn, it.own["cover of test"], G_M_S2)
    ]
    pits = [(f"{hole.name}, open", hole.outline) for hole in open_holes(it.scene.shop, it.floors)]
    sills = [(edge.named, edge.outline) for edge in it.edges if edge.is_sill]
    lies: list[Laid | Ramps] = [*it.laid, *it.ramps]
    return [*weak, *pits, *sills, *((each.words, piece.outline) for each in lies for piece in each.pieces)]


def _less(free: Any, outlines: Sequence[Outline]) -> Any:
    """Return the free floor less some of it."""
    import shapely

    off = shapely.union_all([shapely.Polygon(outline) for outline in outlines])
    return shapely.difference(free, off) if outlines else free


def _on_firm_floor(
    it: Situation,
    pose: Pose,
    where: str,
    mm: tuple[float, float],
    soft: Sequence[tuple[str, Outline]],
    only: bool,
) -> Part:
    """Return that a jack would stand on a weak cover, a plate or a ramp: a condition where it finds other
    floor at each point of an end, or nobody told how long it is.
    """
    import shapely

    (found, long), about = mm, shapely.Polygon(placed(it.load.own or it.load.outline, pose))
    near = (name for name, outline in soft if about.distance(shapely.Polygon(outline)) < long)
    named = " or ".join(dict.fromkeys(near))
    text = (
        f"a toe jack takes {show_length(long)} of firm floor beside each end of {it.name} {where}: "
        f"{show_length(found)} is before {named} at the worst"
    )
    more: dict[str, Any] = {"measured": found, "limit": long, "unit": "mm"}
    subjects = (*it.subjects, where, "firm")
    if only:
        words = f"no jack on {named} {where}"
        return JACK_ROOM.only(subjects, words, text, **more)
    ends = ("another spot", f"plates under the jacks that carry past {named}")
    return JACK_ROOM.open(subjects, text, ends=ends, **more)


def _on_the_level(it: Situation, place: str, where: str, found: float, long: float, told: bool) -> Part:
    """Return that a jack would be on a slope: packed level at the start, elsewhere no other way was found."""
    text = (
        f"a toe jack takes {show_length(long)} on the level beside each end of {it.name} {where}: "
        f"{show_length(found)} is off the slope at the worse one"
    )
    more: dict[str, Any] = {"measured": found, "limit": long, "unit": "mm"}
    packed = place == "start" or (place == "goal" and _all_slopes(it))
    if place == "start" and not told:
        words = f"jacks on the level, none longer than {found:.0f} mm"
        return JACK_ROOM.only((*it.subjects, "start", "level"), words, text, **more)
    if packed:
        text += "; each jack there stands on level packing"
        return JACK_ROOM.only((*it.subjects, place, "level"), f"jacks on level packing {where}", text, **more)
    text += f"; {NO_MORE}"
    return JACK_ROOM.open((*it.subjects, where, "level"), text, **more)


def _all_slopes(it: Situation) -> bool:
    """Tell whether no spot of the goal is off slopes: the whole of it falls."""
    import shapely

    steep = [room.outline for room in it.scene.shop.rooms.values() if is_steep(room.slope)]
    return not _less(shapely.Polygon(it.goal.outline), steep).buffer(-1.0).area


NO_MORE = "no way was found that has more, nor that there is none"
"""Said of room on the way found: a search that gave up proves nothing."""


def _off_slopes(it: Situation, free: Any) -> Any:
    """Return the free floor less what of it falls more than a jack is used on."""
    return _less(free, [r.outline for r in it.scene.shop.rooms.values() if is_steep(r.slope)])


def _lifted(
    it: Situation, margin: Margin, text: str, at: tuple[str, str], found: float, need: float
) -> Iterator[Part]:
    """Judge the room at a place (start, goal, way, and in words): on the way another may have more."""
    more: dict[str, Any] = {"measured": found, "limit": need, "unit": "mm"}
    place, where = at
    subjects = (*it.subjects, *((place,) if place == "start" else ()), where)
    if margin.verdict is Verdict.NO and place == "way":
        yield JACK_ROOM.open(subjects, f"{text}; {NO_MORE}", **more)
    elif margin.verdict is Verdict.NO:
        yield JACK_ROOM.no(subjects, text, ("another spot", "shift what is beside it"), **more)
    elif margin.verdict is Verdict.AGAIN:
        yield JACK_ROOM.again(subjects, text, margin, **more)


# --- who steers, along the way
# ---------------------------------------------------------------------------------


def person(it: Situation) -> Iterator[Part]:
    """Judge at every pose whether who steers has a place, and a way out past the load."""
    if not handled(it) or it.attempt is None or it.attempt.ground is None or not it.path:
        return
    import shapely

    ground = it.attempt.then or it.attempt.ground
    free = floor_free(ground)
    side = it.own["person"]
    reach = handle_reach(it.gear, it.own)
    ways_out = [shapely.Polygon(d.passage) for d in _doors(it)]
    narrow = free.buffer(-(side / 2 - 1.0), quad_segs=2)
    worst: tuple[float, Pose] | None = None
    shut: tuple[float, Pose] | None = None
    squeezed: Pose | None = None
    reaches, hull = (reach,) if it.gear.gear.handle_mm is not None else (reach, 0.0), it.hull
    for pose in _some(it.path):
        load = shapely.Polygon(placed(hull, pose))
        places = _places(it, pose, free, load, ASIDE_DEG, (reach,))
        if not places:
            places = _places(it, pose, free, load, SQUARE_DEG, reaches)
            squeezed = squeezed or (pose if places else None)
        if not places:
            best = max(
                shapely.Polygon(_place(it, pose, a, reach, side)).intersection(free).area for a in ASIDE_DEG
            )
            if worst is None or best < worst[0]:
                worst = best, pose
            continue
        room_left = _joined(narrow, load, places, side, ways_out)
        if room_left is not None and (shut is None or room_left < shut[0]):
            shut = room_left, pose
    if squeezed is not None:
        yield _squeezed(it, squeezed, reach)
    if worst is not None:
        share = math.sqrt(max(worst[0], 0.0))
        text = (
            f"who steers finds no {show_length(side)} square behind the "
            f"handle at {_words(worst[1])}, whichever way it is turned"
        )
        more: dict[str, Any] = {
            "measured": share,
            "limit": side,
            "unit": "mm",
            "at_mm": (worst[1].x_mm, worst[1].y_mm),
        }
        yield PERSON.no(it.subjects, text, ("push instead of pull", "forks from another side"), **more)
    if shut is not None:
        area, pose = shut
        text = (
            f"who steers is shut in behind the load at {_words(pose)}: "
            f"{area / 1e6:.1f} m2 and no door that the "
            f"load leaves free"
        )
        more = {
            "measured": area / 1e6,
            "limit": it.own["open room"],
            "unit": "m2",
            "at_mm": (pose.x_mm, pose.y_mm),
        }
        if area / 1e6 < it.own["open room"]:
            yield SHUT_IN.no(
                it.subjects, text, ("enter with the load first", "forks from the other side"), **more
            )
        else:
            yield SHUT_IN.only(it.subjects, "nobody else in there, load never left", text, **more)


def comes_out(it: Situation) -> Iterator[Part]:
    """Judge at the goal, let down, whether who steers and the truck come out past the load: what stands in
    the only way out stays there for good.
    """
    if not handled(it) or it.attempt is None or it.attempt.ground is None or not it.path:
        return
    free, pose = floor_free(it.attempt.then or it.attempt.ground), it.path[-1]
    gear, spare = it.gear.gear, 4 * it.measured_mm
    side, forks = it.own["person"], gear.over_forks_mm or 0.0
    need = max(side, forks)
    wide = _way_past_mm(it, free, pose, need + spare)
    if wide is None or wide >= need + spare:
        return
    text = (
        f"let down at {_words(pose)}, {it.name} leaves {show_length(wide)} to the doors at the most: who "
        f"steers needs {show_length(side)}"
    )
    text += f", {gear.name} {show_length(forks)} over its forks" if forks else ""
    inputs = ((f"what is free beside {it.name} in {it.goal.name}", it.measured_mm),)
    margin = Margin(wide - need, inputs)
    more: dict[str, Any] = {"measured": wide, "limit": need, "unit": "mm", "at_mm": (pose.x_mm, pose.y_mm)}
    if margin.verdict is Verdict.NO:
        turns = (Pose(pose.x_mm, pose.y_mm, (pose.turn_deg + by) % 360) for by in (90.0, 180.0, 270.0))
        out = [turned for turned in turns if _lets_out(it, free, turned, need)]
        ends = [f"turned {turned.turn_deg:.0f} deg: they come out then" for turned in out]
        yield OUT.no(it.subjects, text, (*ends, "another spot", "forks from another side"), **more)
    elif margin.verdict is Verdict.AGAIN:
        yield OUT.again(it.subjects, text, margin, **more)


def _lets_out(it: Situation, free: Any, pose: Pose, need_mm: float) -> bool:
    """Tell whether the load finds room in the goal at a pose, and the forks, who steers and the truck come
    out there.
    """
    import shapely

    floor = shapely.intersection(free, shapely.Polygon(it.goal.outline))
    if shapely.difference(shapely.Polygon(placed(it.load.outline, pose)), floor).area > 1.0:
        return False
    ground = None if it.attempt is None else it.attempt.then or it.attempt.ground
    behind = None if ground is None else behind_forks(it.gear, it.load, ground, pose, it.own)
    if behind is not None and behind[1] < behind[0]:
        return False
    wide = _way_past_mm(it, free, pose, need_mm)
    return wide is not None and wide >= need_mm


def _way_past_mm(it: Situation, free: Any, pose: Pose, most_mm: float) -> float | None:
    """Return how wide a body comes past the load, let down at a pose, from behind its forks to a door, up to
    `most_mm`; None where nobody has a place there, or none told leads out though the load were away.
    """
    import shapely

    side, reach = it.own["person"], handle_reach(it.gear, it.own)
    load = shapely.Polygon(placed(it.load.outline, pose))
    behind = _places(it, pose, free, load, SQUARE_DEG, (reach,))
    ways_out = [shapely.Polygon(d.passage) for d in _doors(it)]

    def out(wide: float, past: Any) -> bool:
        narrow = free.buffer(-(wide / 2 - 1.0), quad_segs=2)
        return _joined(narrow, past, behind, wide, ways_out) is None

    if not behind or not out(side, shapely.Polygon()):
        return None
    low, high = 0.0, most_mm
    if out(high, load):
        return high
    while high - low > 2.0:
        middle = (low + high) / 2
        low, high = (middle, high) if out(middle, load) else (low, middle)
    return low


def room_to_push(it: Situation) -> Iterator[Part]:
    """Judge where more than one push, hold or carry whether each has a place."""
    if it.kind == "by hand":
        yield from _room_to_carry(it)
        return
    if not handled(it) or it.attempt is None or it.attempt.ground is None or not it.path:
        return
    if delicate(it):  # nobody pushes it
        return
    free = floor_free(it.attempt.then or it.attempt.ground)
    worst: tuple[int, int, Pose] | None = None
    hull, ends = it.hull, _squares_to_push(it)
    for leg, found in pushes(it):
        n = men_for(found.steady_n)
        most = it.own["men before winch" if leg.way == "level" else "pushers"]
        if not 1 < n <= most:  # more: a winch is asked for
            continue
        for pose in _some(leg.poses):
            there = min(n, _places_to_push(ends, hull, pose, free))
            if there < n and (worst is None or n - there > worst[0] - worst[1]):
                worst = n, there, pose
    if worst is not None:
        n, there, pose = worst
        text = f"{n} push {it.name} by the guideline, at {_words(pose)} there is room for {there or 'nobody'}"
        more: dict[str, Any] = {"measured": float(there), "limit": float(n), "unit": "count"}
        words = f"winch where {n} find no room, {_words(pose)}"
        yield PUSHERS.only((*it.subjects, "push"), words, text, at_mm=(pose.x_mm, pose.y_mm), **more)


def _room_to_carry(it: Situation) -> Iterator[Part]:
    """Judge whether who carries has a place at every pose: two across from one another, at its ends or sides,
    of three a side of it that two find hold on.
    """
    if it.attempt is None or it.attempt.ground is None:
        return
    n = min(it.gear.gear.people or 1, MOST_CARRY)
    x0, y0, x1, y1 = bounds(it.load.outline)
    side, size = it.own["person"], f"{show_length(x1 - x0)} by {show_length(y1 - y0)}"
    if n == MOST_CARRY and max(x1 - x0, y1 - y0) < 2 * side:
        text = f"{it.name} is {size}: no side of it is long enough for two of {n}, {show_length(side)} each"
        words = f"{n} people find hold on {it.name}: looked at"
        yield PUSHERS.only((*it.subjects, "hold"), words, text, measured=max(x1 - x0, y1 - y0), unit="mm")
    free, layouts = floor_free(it.attempt.then or it.attempt.ground), _squares_to_carry(it, n)
    tight = [
        pose
        for leg in it.legs
        for pose in _some(leg.poses)
        if not any(_all_free(squares, pose, free) for squares in layouts)
    ]
    each = f"{n} who carry {it.name}, {show_length(side)} each across from one another"
    if not tight:
        yield PUSHERS.note((*it.subjects, "carry"), f"{each}: room at every pose looked at")
        return
    at = _words(tight[0])
    text = f"{each}: no room at {at}" + (f" and {len(tight) - 1} more poses" if len(tight) > 1 else "")
    more: dict[str, Any] = {"at_mm": (tight[0].x_mm, tight[0].y_mm)}
    yield PUSHERS.only((*it.subjects, "carry"), f"room for {n} who carry looked at, {at}", text, **more)


def _squares_to_carry(it: Situation, n: int) -> list[list[Outline]]:
    """Return the ways so many stand round a thing, each a square of a person, in the thing's frame."""
    side = it.own["person"]
    x0, y0, x1, y1 = bounds(it.load.outline)
    half = side / 2 + 1.0
    (x, y), ends, sides = ((x0 + x1) / 2, (y0 + y1) / 2), (x0 - half, x1 + half), (y0 - half, y1 + half)

    def row(at: Point, along_x: bool, people: int) -> list[Outline]:
        spots = [
            Pose(at[0] + k * side, at[1]) if along_x else Pose(at[0], at[1] + k * side)
            for k in SIDE_BY_SIDE[people - 1]
        ]
        return [placed(rectangle(side, side), spot) for spot in spots]

    pairs = ([(end, y) for end in ends], False), ([(x, other) for other in sides], True)
    if n == 1:
        return [row(at, along_x, 1) for spots, along_x in pairs for at in spots]
    counts = ((1, 1),) if n == 2 else ((1, 2), (2, 1))
    return [[*row(a, along_x, p), *row(b, along_x, q)] for (a, b), along_x in pairs for p, q in counts]


def _all_free(squares: Sequence[Outline], pose: Pose, free: Any) -> bool:
    import shapely

    return bool(shapely.covers(free, shapely.polygons([placed(square, pose) for square in squares])).all())


def _squares_to_push(it: Situation) -> list[list[list[Outline]]]:
    """Return the squares of a person side by side, one, two and three, behind the handle end and before the
    load, in the thing's frame.
    """
    side, axis = it.own["person"], it.gear.axis_deg
    _, _, right, left = across_box(it.load, axis)
    front = max(along(p, axis) for p in it.hull)  # forks may stick out before it
    steers = who_steers(it.gear, 0.0, handle_reach(it.gear, it.own), side)
    back, handle = (along(bounds(steers).middle, deg) for deg in (axis, axis - 90.0))

    def square(at: float, aside: float) -> Outline:
        return boxed(axis, at - side / 2, at + side / 2, aside - side / 2, aside + side / 2)

    ends = ((back, handle), (front + side / 2 + 1.0, (right + left) / 2))
    return [[[square(at, middle + k * side) for k in row] for row in SIDE_BY_SIDE] for at, middle in ends]


def _places_to_push(ends: Sequence[Sequence[Sequence[Outline]]], hull: Outline, pose: Pose, free: Any) -> int:
    """Return in how many squares side by side there is room at a pose, at both ends together."""
    import shapely

    load = shapely.Polygon(placed(hull, pose))
    every = [placed(square, pose) for rows in ends for row in rows for square in row]
    good = iter(_free_of(shapely.polygons(every), free, load).tolist())
    return sum(max(sum(next(good) for _ in row) for row in rows) for rows in ends)


def _free_of(squares: Any, free: Any, load: Any) -> Any:
    """Tell of each square whether it is free of the load and all that stands there."""
    import shapely

    return shapely.covers(free, squares) & (shapely.area(shapely.intersection(squares, load)) < 1.0)


SIDE_BY_SIDE = ((0.0,), (-0.5, 0.5), (-1.0, 0.0, 1.0))
"""How one, two and three people stand across a load, in widths of a person."""


def _squeezed(it: Situation, pose: Pose, reach: float) -> Part:
    """Say where who steers has a place only with the handle turned square, or no longer than is known."""
    gear, subjects = it.gear.gear, (*it.subjects, "handle")
    text = f"at {_words(pose)} who steers has a place only with the handle turned farther than 45 deg aside"
    words = "handle turned square where it is tight"
    if gear.handle_mm is None:
        text += f", or if it reaches out less than the {reach:.0f} mm taken"
        words = f"handle of {gear.name} measured: {reach:.0f} mm taken"
    return PERSON.only(subjects, words, text, at_mm=(pose.x_mm, pose.y_mm))


def _doors(it: Situation) -> list[Any]:
    keys = {room.key for room in it.rooms}
    return [d for d in it.scene.shop.doors.values() if d.room in keys or d.to in keys]


def _place(it: Situation, pose: Pose, aside_deg: float, reach: float, side: float) -> Outline:
    return placed(who_steers(it.gear, aside_deg, reach, side), pose)


def _places(
    it: Situation, pose: Pose, free: Any, load: Any, asides: Sequence[float], reaches: Sequence[float]
) -> list[Any]:
    """Return the squares of who steers that are free of the load and all that stands there."""
    import shapely

    side = it.own["person"]
    every = shapely.polygons([_place(it, pose, a, r, side) for a in asides for r in reaches])
    return list(every[_free_of(every, free, load)])


def _joined(
    narrow: Any, load: Any, places: Sequence[Any], side: float, ways_out: Sequence[Any]
) -> float | None:
    """Return the floor (mm2) somebody is left with who cannot get out; None where one place joins a way out.

    `narrow` is the free floor for the middle of a body of that side.
    """
    import shapely

    from shopbins.kernel.overlay import as_parts

    left = shapely.difference(narrow, load.buffer(side / 2 - 1.0, quad_segs=2))
    best: float | None = None
    open_ways = [w for w in ways_out if not w.intersects(load)]
    for part in as_parts(left) if not left.is_empty else ():
        if not any(part.intersects(p) for p in places):
            continue
        if any(part.distance(w) <= side / 2 + 1.0 for w in open_ways):
            return None
        area = part.buffer(side / 2, quad_segs=2).area
        best = area if best is None else max(best, area)
    return 0.0 if best is None else best


def _some(path: Sequence[Pose]) -> Iterator[Pose]:
    """Go through poses about every 200 mm or 10 degrees, with both ends."""
    yield path[0]
    since = 0.0
    for a, b in itertools.pairwise(path):
        leg = max(
            math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) / EVERY_MM, abs(b.turn_deg - a.turn_deg) / EVERY_DEG
        )
        at = 1.0 - since
        while at <= leg:
            yield between(a, b, at / leg)
            at += 1.0
        since = (since + leg) % 1.0
    yield path[-1]


def _words(pose: Pose) -> str:
    return show_point(round(pose.x_mm), round(pose.y_mm))


# --- gaps and steering
# -------------------------------------------------------------------------------------------


def gaps(it: Situation) -> Iterator[Part]:
    """Tell how narrow it is beside the load, for whoever walks with it."""
    clear = None if it.attempt is None else it.attempt.found.clearance_mm
    if clear is None:
        return
    more: dict[str, Any] = {"measured": clear, "limit": it.own["person"], "unit": "mm"}
    if clear < it.own["person"]:
        text = f"{show_length(clear)} beside {it.name} at the tightest: nobody between it and what is fixed"
        yield GAPS.note(it.subjects, text, **more)
    alone, guided = it.own["steering by hand"], it.own["steering guided"]
    if it.is_tight:
        slow, least = (" dead slow", guided) if clear < guided else ("", alone)
        little = "little even guided" if slow else "what it is steered in by hand alone"
        text = f"{show_length(clear)} to steer in at the tightest, {show_length(least)} is {little}"
        yield STEERING.only(it.subjects, f"guided{slow} where it is tight", text, **{**more, "limit": least})
