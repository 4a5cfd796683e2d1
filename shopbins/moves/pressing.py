"""What presses on the floor: every wheel on the way, the feet at both ends, covers under the tracks."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.exact import area_mm2, gap, overlap, point_gap
from shopbins.geometry.shapes import (
    Outline,
    Point,
    Pose,
    between,
    bounds,
    contains,
    cos_sin,
    placed,
    rectangle,
)
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fitted import JACKED, along
from shopbins.moves.force import G_M_S2
from shopbins.moves.forks import Foot
from shopbins.moves.onslopes import places_off_wheels
from shopbins.moves.plates import Laid, Tracks, lay_over, strips
from shopbins.moves.ramps import half_track_mm, pad_long_mm
from shopbins.moves.route import on_floors, open_holes
from shopbins.moves.shares import bears, gear_bears, wheel_range_kg
from shopbins.moves.situation import Situation
from shopbins.moves.stances import Stance
from shopbins.moves.standing import ask_cg, ask_mass, centres
from shopbins.moves.tipping import Reserve, worst
from shopbins.rules import limits
from shopbins.rules.covers import Cover, OnCover, bears_kn, covers_in, is_cover, stood_on
from shopbins.rules.floorload import area_load_kn_m2
from shopbins.rules.say import forces_apart, listed, masses_apart
from shopbins.rules.supports import Stand, Support, stand, ways_to_stand
from shopbins.shop.model import Gear, Opening, Room, Shop, Slope
from shopbins.units import show_area_load, show_force, show_length, show_mass, show_rating

G = G_M_S2 / 1000.0
"""kN per kg, as the figures forces are checked against are worked out."""

AREA = Check(
    "move-floor-load",
    "More than the floor takes per area, moving over it",
    "shop file; imposed loads as in EN 1991-1-1 6.3 are means over an area",
    "own",
    "another way, or a lighter thing; plates spread it only as far as they are stiff",
)
POINT = Check(
    "move-point-load",
    "More than the floor takes on one point",
    "shop file; concentrated loads are a check of their own, not added (EN 1991-1-1 6.3.1.2)",
    "own",
    "plates told of under the wheels all along, more or wider wheels, or another way",
)
STANDS = Check(
    "stands",
    "As it stands at the start and at the goal",
    "statics of a stiff body on points that push",
    "derived",
    "move a support outwards, under where it is heaviest; shim until every foot carries",
)
WHEELS = Check(
    "move-wheel-rating",
    "More on a wheel than it is rated for",
    "the gear's plate; of castors a third of the whole at least, as their makers say",
    "derived",
    "gear with stronger wheels",
)
COVER = Check(
    "move-cover",
    "Wheels on a cover",
    "the load told of the cover; EN 124-1:2015: class A15 is for "
    "people on foot and cycles, a class is a test load; how much of it counts is our own figure",
    "published",
    "keep the wheels off it, or a plate that carries on both sides of it",
)
EDGE = Check(
    "move-edge",
    "Wheels near an open edge",
    "own figure, no source",
    "own",
    "keep away from the edge; barrier and banksman",
)


PIT = Check(
    "move-open-pit",
    "People beside an open pit",
    "ISO 13854: 500 mm for the body; an open pit is covered or railed: common practice, no source",
    "published",
    "cover or rail it",
)


def floors(it: Situation) -> Iterator[Part]:
    """Compare wheels with the load on a point, and the whole with the load per area, in every room."""
    if it.kind == "by hand":
        return
    wheel = wheel_range_kg(it)
    for room in it.rooms:
        subjects = (*it.subjects, f"room:{room.key}")
        if room.floor_load_kn_m2 is None and room.point_load_kn is None:
            yield from _floor_not_told(it, room, wheel)
            continue
        yield from _area(it, room, subjects)
        if wheel is None:
            yield _wheel_not_known(it, room, subjects)
        else:
            yield from _wheel(it, room, subjects, wheel)


def _wheel_not_known(it: Situation, room: Room, subjects: tuple[str, ...]) -> Part:
    """Say that what one wheel bears is not known: not weighed, or where its wheels are is not told."""
    text = f"what a wheel of {it.gear.gear.name} carries in {room.name} is not known yet"
    if it.load.most_kg is None or not it.gear.stances:  # the mass and the wheels are asked for by their own
        return POINT.note(subjects, text, room=room.key, judged=False)
    return POINT.open(subjects, text, _ask_where(it), room=room.key)


def _floor_not_told(it: Situation, room: Room, wheel: tuple[float, float, str] | None) -> Iterator[Part]:
    subjects = (*it.subjects, f"room:{room.key}")
    kn = "" if wheel is None else f"{show_force(wheel[1] * G)} on {wheel[2]}"
    if room.void is False:
        if wheel is None:
            yield _wheel_not_known(it, room, subjects)
            return
        text = f"what the floor of {room.name} takes is not told; nothing is hollow below; {kn}"
        words = f"{room.name} carries {show_force(wheel[1] * G)} a wheel"
        yield POINT.only(subjects, words, text, room=room.key, measured=wheel[1] * G, unit="kN")
        return
    hollow = room.void is True
    text = (
        f"what the floor of {room.name} takes is not told{', and it is hollow below' if hollow else ''}; {kn}"
    )
    yield POINT.open(subjects, text, _ask_floor(room), room=room.key)


def _ask_floor(room: Room) -> Ask:
    """Ask what a floor takes on a point where it is hollow below, else first whether it is."""
    if room.void:
        text = f"what does the floor of {room.name} take on one point?"
        return Ask(text, f"rooms: {room.key}: {{point load: 10 kN}}", 4)
    text = f"is there a cellar, duct or void below {room.name}?"
    return Ask(text, f"rooms: {room.key}: {{void: no}}", 1)


def _area(it: Situation, room: Room, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Compare the whole over its outline with the load per area: a no, unless plates told of spread it."""
    limit, most, least = room.floor_load_kn_m2, it.whole_kg, it.load.least_kg
    if least is None:
        return
    area = area_mm2(it.gear.outline)
    if limit is None:
        spread = area_load_kn_m2(most or least, area)
        words = f"{room.name} carries {show_area_load(spread)} spread out"
        text = f"{words}: what its floor takes for an area is not told"
        yield AREA.only(subjects, words, text, room=room.key, measured=spread, unit="kN/m2")
        return
    kindest_kg = least + (it.gear.gear.mass_kg or 0.0)
    worst_kg = most if most is not None else kindest_kg
    if worst_kg * G <= (room.point_load_kn or 0.0):
        area = max(
            area, limits.figure("floor-load", "any", "small") * 1e6
        )  # as the audit takes what is small
    worst = area_load_kn_m2(worst_kg, area)
    text = (
        f"{it.name} on its gear presses {show_area_load(worst)} on "
        f"{room.name}, {show_area_load(limit)} allowed"
    )
    more: dict[str, Any] = {"room": room.key, "measured": worst, "limit": limit, "unit": "kN/m2"}
    if worst <= limit * (1 + 1e-9):
        return
    plate = plates_spread(it, room)
    if plate is not None:
        yield AREA.open((*subjects, "spread"), f"{text}; {plate.said}", ends=NO_PLATES, **more)
    elif area_load_kn_m2(kindest_kg, area) > limit * (1 + 1e-9):
        why, ends = _plates_needed(it, room)
        yield AREA.no(subjects, f"{text}{why}", (*ends, "another way"), **more)
    else:
        yield AREA.again(subjects, text, (f"the mass of {it.name}",), **more)


def _wheel(
    it: Situation, room: Room, subjects: tuple[str, ...], wheel: tuple[float, float, str]
) -> Iterator[Part]:
    least, most, which = wheel
    limit = room.point_load_kn
    if limit is None:
        text = f"what {room.name} takes on one point is not told; {which} carries {show_force(most * G)}"
        if room.void is False:
            words = f"{room.name} carries {show_force(most * G)} a wheel"
            yield POINT.only(subjects, words, text, room=room.key, measured=most * G, unit="kN")
        else:
            yield POINT.open(subjects, text, _ask_floor(room), room=room.key)
        return
    far, allowed = forces_apart(most * G if least * G <= limit else least * G, limit)
    shown = _span_said(least * G, most * G)
    shown = far if shown == allowed else shown
    text = f"{which} carries {shown} in {room.name}, {allowed} allowed on one point"
    more: dict[str, Any] = {"room": room.key, "measured": most * G, "limit": limit, "unit": "kN"}
    if most * G > limit * (1 + 1e-9) and (plate := plates_spread(it, room)) is not None:
        yield POINT.open((*subjects, "spread"), f"{text}; {plate.said}", ends=NO_PLATES, **more)
    elif least * G > limit * (1 + 1e-9):
        why, ends = _plates_needed(it, room)
        more["measured"] = least * G
        yield POINT.no(subjects, f"{text}{why}", ("more or wider wheels", *ends), **more)
    elif most * G > limit * (1 + 1e-9):
        if it.load.cg_told and not any(s.assumed for s in it.gear.stances):
            if _alone(it):
                why, ends = _plates_needed(it, room)
                yield POINT.no(subjects, f"{text}{why}", ("three-point skates", *ends), **more)
            else:
                yield POINT.again(subjects, text, (f"mass and centre of gravity of {it.name}",), **more)
        else:
            yield POINT.open(subjects, text, _ask_where(it), ("more or wider wheels",), **more)
    else:
        yield POINT.note(subjects, text, **more)


def _alone(it: Situation) -> bool:
    """Tell whether one of more than three supports may bear the most of every way to stand."""
    return any(len(s.supports) > 3 for s in it.gear.stances)


def _ask_where(it: Situation) -> Ask | None:
    """Return what tells better which wheel bears how much; None where nobody could tell more than is told."""
    gear = it.gear.gear
    if it.kind == "pallet truck" and gear.steering_axle_mm is None:
        return Ask(
            f"where are the wheels of {gear.name}?",
            f"gear: {gear.key}: {{steering axle: 100, load rollers: 175}}",
            1,
        )
    return None if it.load.cg_told else ask_cg(it)


def ratings(it: Situation) -> Iterator[Part]:
    """Compare each wheel with what it is rated for; of a skate, two of its wheels bear all at worst."""
    gear = it.gear.gear
    rating = gear.wheel_rating_kg
    wheel = None if rating is None else wheel_range_kg(it)
    if rating is None or wheel is None:
        return
    least, most, which = wheel
    more: dict[str, Any] = {"measured": most, "limit": rating, "unit": "kg"}
    if it.kind == "skates" and most > rating * (1 + 1e-9):
        wheels = _wheels_of_one(gear)
        if wheels is None:
            bears, rated = masses_apart(most, rating)
            text = f"{which} carries {bears}, one wheel is rated for {rated}"
            yield WHEELS.open(it.subjects, text, _ask_wheels(gear), **more)
            return
        least, most, which = least / wheels, most / 2, f"a wheel of {which}, on two of {wheels:g}"
        more["measured"] = most
    bears, rated = masses_apart(most, rating)
    text = f"{which} carries {bears}, it is rated for {rated}"
    if least > rating * (1 + 1e-9):
        yield WHEELS.no(it.subjects, text, **more)
    elif most > rating * (1 + 1e-9):
        may = f"{which} may carry {bears}, it is rated for {rated}"
        ends = (f"gear with wheels rated for {show_rating(most)}",)
        yield WHEELS.open(it.subjects, may, _ask_where(it), ends, **more)


def _wheels_of_one(skates: Gear) -> float | None:
    """Return how many wheels one skate has; None where not told, or where it is fewer than it can stand on,
    as where those of one were told.
    """
    each = (skates.wheels or 0) / (skates.count or 1)
    return each if each >= 2 and skates.count else None


def _ask_wheels(skates: Gear) -> Ask:
    count = skates.count or 4
    told = f"{{count: {count}, wheels: {4 * count}}}"
    return Ask(f"how many wheels have {skates.name}, all together?", f"gear: {skates.key}: {told}", 1)


# --- plates under the wheels
# ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Plates:
    """Plates that spread it enough, and what is said of them."""

    said: str


NO_PLATES = ("more or wider wheels", "another way")
"""What ends it that plates all along are not looked at."""


def plates_spread(it: Situation, room: Room) -> Plates | None:
    """Return the plates told of that lie under the wheels all along and spread them over floor enough.

    A load per area is a mean over the floor that the plates cover, so a plate has to be stiff. Who lays each
    before a wheel comes to it, how wheels get up its edge and turn on it is not looked at: not decided. None
    where none is told of, they are too small or too few, or the floor's load is not told.
    """
    every = (_spread_by(it, room, gear) for gear in _plates_told(it))
    return next((plates for plates in every if isinstance(plates, Plates)), None)


def _spread_by(it: Situation, room: Room, gear: Gear) -> Plates | str:
    """Return plates of one kind under all wheels that spread them over floor enough, or why they do not."""
    q, every = room.floor_load_kn_m2, list(bears(it))
    if q is None or not every:
        return ""
    if gear.size_mm is None:
        return f"the size of {gear.name} is not told"
    wheel, wheels = _under_wheels(every)
    needed = _plates_along(it, room, max(gear.size_mm))
    if gear.count is not None and gear.count < needed:
        ahead = " and ahead of them" if needed > wheels else ""
        return f"{needed} of {gear.name} needed under its wheels{ahead}, {gear.count} told of"
    if gear.capacity_kg is not None and wheel > gear.capacity_kg:
        comes, holds = masses_apart(wheel, gear.capacity_kg)
        return f"{gear.name} holds {holds}, {comes} comes onto one"
    pressed = max(_under_plates(it, stance, kg, gear.size_mm) for stance, kg in every)
    if pressed > q * (1 + 1e-9):
        return f"{wheels} of {gear.name} under its wheels press {show_area_load(pressed)}"
    holds = "" if gear.capacity_kg is not None else f", each holds {show_force(wheel * G)}"
    said = (
        f"{needed} of {gear.name} all along, each wheel on one, press {show_area_load(pressed)}, stiff enough"
    )
    said += f"{holds}; how they are laid before each wheel, their edges and turns on them are not looked at"
    return Plates(said)


def _plates_along(it: Situation, room: Room, long_mm: float) -> int:
    """Return how many plates so long it takes at least to roll it over a room, end to end: one under each
    wheel, and on each track one more that is laid ahead, were not all of it laid.
    """
    stance = max(it.gear.stances, key=lambda each: len(each.supports))
    tracks: dict[int, list[float]] = {}
    for at in stance.supports:
        place = at.x_mm, at.y_mm
        tracks.setdefault(round(along(place, it.gear.axis_deg + 90.0) / 10.0), []).append(
            along(place, it.gear.axis_deg)
        )
    poses = [leg.poses for leg in it.legs if leg.room.key == room.key]
    rolls = sum(
        math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) for some in poses for a, b in itertools.pairwise(some)
    )
    needed = 0
    for places in tracks.values():
        over = max(places) - min(places) + pad_long_mm(it)
        needed += min(
            len(places) + 1, math.ceil(over / long_mm) + 1, max(1, math.ceil((over + rolls) / long_mm))
        )
    return max(needed, len(stance.supports))


def _under_wheels(every: Sequence[tuple[Stance, Sequence[float]]]) -> tuple[float, int]:
    """Return what the most loaded wheel bears in kg, and how many wheels there are."""
    return max(max(kg) for _, kg in every), max(len(kg) for _, kg in every)


def _plates_needed(it: Situation, room: Room) -> tuple[str, tuple[str, ...]]:
    """Say why each kind of plates told of does not spread it over floor enough, and which would: square ones
    under all wheels, to 50 mm.
    """
    told = (_spread_by(it, room, gear) for gear in _plates_told(it))
    said = "; ".join(why for why in told if isinstance(why, str) and why)
    why = f" ({said})" if said else ""
    q, every = room.floor_load_kn_m2, list(bears(it))
    if q is None or not every:
        return "", ("plates all along",)
    wheel, _ = _under_wheels(every)
    for side in range(50, LARGEST_PLATE_MM + 1, 50):
        if all(_under_plates(it, stance, kg, (side, side)) <= q * (1 + 1e-9) for stance, kg in every):
            needed = _plates_along(it, room, side)
            size = f"{needed} stiff plates of {side} x {side} mm under its wheels all along"
            return why, (f"{size}, each for {show_force(wheel * G)}",)
    return why, ()


LARGEST_PLATE_MM = 3000
"""No larger plates are named as what would end it: own figure."""


def _under_plates(it: Situation, stance: Stance, kg: Sequence[float], size_mm: tuple[float, float]) -> float:
    """Return what presses on the floor most, in kN/m2: under each plate, or under plates that would overlap.

    Those count as one sheet of the floor that they cover together.
    """
    import shapely

    plates = [
        shapely.Polygon(placed(rectangle(*size_mm), Pose(s.x_mm, s.y_mm, it.gear.axis_deg)))
        for s in stance.supports
    ]
    sheets: list[set[int]] = []
    for i, plate in enumerate(plates):
        joined = [sheet for sheet in sheets if any(plate.intersection(plates[k]).area > 1.0 for k in sheet)]
        sheets = [sheet for sheet in sheets if sheet not in joined] + [{i}.union(*joined)]
    whole = it.whole_kg or math.inf
    return max(
        min(whole, sum(kg[i] for i in sheet)) * G * 1e6 / shapely.union_all([plates[i] for i in sheet]).area
        for sheet in sheets
    )


# --- as it stands at both ends
# -------------------------------------------------------------------------------


def stood(it: Situation) -> Iterator[Part]:
    """Judge how it stands where it is set down: on its feet, or on packing under its jacking points."""
    load = it.load
    points, what = (load.feet, "its feet") if len(load.feet) >= 3 else (load.jacking, "packing")
    if len(points) < 3 or it.goal_pose is None:
        return
    room = it.scene.shop.rooms[it.goal.room]
    slope = room.slope if room.slope is not None and room.slope.fall > 0 else None
    if slope is not None:
        slope = Slope(slope.fall, slope.towards_deg - it.goal_pose.turn_deg)
    supports = [Support(p.x_mm, p.y_mm, p.name or f"{what} {n}") for n, p in enumerate(points, 1)]
    cg = bounds(load.outline).middle if load.cg_mm is None and load.cg_bounded else load.cg_mm
    how = stand(supports, cg, cg_height_mm=load.cg_height_mm, slope=slope, outline=load.outline)
    subjects = (*load.subjects, f"zone:{it.goal.key}")
    least, most = _reserve_standing(it, supports, slope)
    if how.stands is False and (most is None or most.deg <= 0):
        text = f"{it.name} does not stand on {what}: {how.why}"
        yield STANDS.no(subjects, text, measured=how.edge_mm, limit=0.0, unit="mm")
    elif how.stands is None:
        text = f"how {it.name} stands on {what} is not known: {how.why}"
        yield STANDS.open(subjects, text, _ask_where(it))
    elif least is not None and least.deg <= 0:
        text = f"{it.name} on {what} tips or not within how well its centre of gravity is known"
        again = (f"where the centre of gravity of {it.name} is",)
        yield STANDS.again(subjects, text, again, measured=least.deg, limit=0.0, unit="deg")
    yield from _feet(it, room, how, subjects)


def _reserve_standing(
    it: Situation, supports: Sequence[Support], slope: Slope | None
) -> tuple[Reserve | None, Reserve | None]:
    """Return the least and the greatest reserve of it as it stands: at the worst corner of its centre of
    gravity, and at the kindest.
    """
    if not it.load.cg_bounded:
        return None, None
    polygon = tuple((s.x_mm, s.y_mm) for s in supports)
    downhill = None if slope is None else (slope.towards_deg, slope.towards_deg)
    fall = 0.0 if slope is None else slope.fall
    return worst((polygon,), it.load.centres(), 0.0, fall, downhill)


def _feet(it: Situation, room: Room, how: Stand, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Compare the support that bears most where it stands with the load on a point: what it bears at the
    kindest forbids, what hangs on where the centre of gravity is is asked, or measured again.
    """
    mass, limit = it.load.most_kg, room.point_load_kn
    heaviest, which = how.heaviest, how.most()
    if mass is None or limit is None or heaviest is None or which is None:
        return
    alike, most = heaviest
    kn, known = most * mass * G, any(r.alike is not None for r in how.reactions)
    supports = [r.support for r in how.reactions]
    kindest = 1.0 / len(supports)
    if known:
        every = (stand(supports, (c.x_mm, c.y_mm)).heaviest for c in it.load.centres())
        kindest = min([alike, *(each[0] for each in every if each is not None)])
    bears, on_point = forces_apart(kn, limit)
    text = f"{which.support.name} of {it.name} may bear {bears} in {room.name}, {on_point} on a point"
    more: dict[str, Any] = {"room": room.key, "measured": kn, "limit": limit, "unit": "kN"}
    ends = ("plates under the feet",)
    if kindest * (it.load.least_kg or mass) * G > limit * (1 + 1e-9):
        yield POINT.no((*subjects, "stands"), text, ends, **more)
    elif kn > limit * (1 + 1e-9) and not known:
        yield POINT.open((*subjects, "stands"), text, ask_cg(it), ends, **more)
    elif alike * mass * G > limit * (1 + 1e-9):
        again = (f"mass and centre of gravity of {it.name}",)
        yield POINT.again((*subjects, "stands"), text, again, **more)
    elif kn > limit * (1 + 1e-9):
        yield POINT.only((*subjects, "stands"), "shimmed until every foot carries", text, **more)


# --- covers and edges
# ------------------------------------------------------------------------------------------


def covers_of(shop: Shop, floors: Sequence[Outline]) -> list[Cover]:
    """Return the covers in some floors, whatever room they are told in."""
    return [cover for cover in covers_in(shop) if on_floors(cover.outline, floors)]


def _covers_on(it: Situation) -> list[Cover]:
    """Return the covers in the floors of the way, and the open pits that it goes over, as covers of 0 kg."""
    over = it.attempt is not None and it.attempt.over and it.path
    pits = open_holes(it.scene.shop, it.floors) if over else []
    none = (
        Cover(f"opening:{pit.key}", pit.name, pit.room, pit.outline, 0.0, "", is_open=True) for pit in pits
    )
    return [*covers_of(it.scene.shop, it.floors), *none]


def _span_said(least: float, most: float) -> str:
    """Say between what a force in kN lies; where both ends print alike, once."""
    return " to ".join(dict.fromkeys((show_force(least), show_force(most))))


def over_open_pits(it: Situation) -> Iterator[Part]:
    """Say that a way goes over an open pit on no plates told of: why each does not do."""
    laid = {subject for each in it.laid for subject in each.covers}
    bare = [pit for pit in _covers_on(it) if pit.is_open and pit.subject not in laid]
    pits = [pit for pit in bare if _anywhere(it, pit.outline, 0.0)[0]]
    most = {c.subject: kg for c, _, _, kg in _rolled_over(it, wheel_range_kg(it))} if pits else {}
    for pit in pits:
        named = f"{it.name} on {it.gear.gear.name}"
        text = f"{named}: no way leads round {pit.name}, open; over it, with wheels on either side, is not "
        text += "looked at"
        why = _plates_do_not(it, pit, most[pit.subject]) if pit.subject in most else ""
        text += f", and no plate carries it there: {why}" if why else ""
        carry = "it" if it.whole_kg is None else show_mass(it.whole_kg)
        ends = (f"a cover on {pit.name}, or plates across it, that carry {carry}",)
        yield COVER.open((*it.subjects, pit.subject), text, ends=ends, room=pit.room)


def covers(it: Situation) -> Iterator[Part]:
    """Compare all wheels that stand on a cover at once with what the cover takes."""
    wheel = wheel_range_kg(it)
    for cover, wheels, all_of_it, kg in _rolled_over(it, wheel):
        least_kg = _surely_on(it, cover, wheel)
        subject, name, room, load_kg = cover.subject, cover.name, cover.room, cover.load_kg
        subjects = (*it.subjects, subject)
        limit_kn = _takes_kn(it, cover)
        up_to, takes = forces_apart((kg or 0.0) * G, limit_kn or 0.0)
        kn = "" if kg is None else f" with up to {up_to}"
        one = "all the weight rolls" if all_of_it else "one wheel rolls"
        which = one if all_of_it or wheels == 1 else f"{wheels} wheels roll at once"
        text = f"on {it.gear.gear.name} {which} over {name}{kn}"
        more: dict[str, Any] = {"room": room, "measured": None if kg is None else kg * G, "unit": "kN"}
        more["limit"] = limit_kn
        over = _too_much(it, cover, kg)
        laid = next((each for each in it.laid if subject in each.covers), None)
        if cover.is_open if laid is None else laid.cover != subject:
            continue  # said elsewhere, or with the first of those that plates lie over in one run
        if laid is None and over and (why := _plates_do_not(it, cover, kg)):
            text += f" ({why})"
        if laid is not None:
            rests = f"{rests_words(laid)}{laid.bridged.words}"
            said = f"{laid.words} {rests.replace('each side', 'on the floor on both sides')}"
            said += f", nothing bearing on {laid.name}, crossed as drawn, held from creeping"
            if laid.count > 1 and laid.one_kg is not None:
                said += f", up to {show_force(laid.one_kg * G)} on one"
            said += f"; {laid.bridged.said}" if laid.bridged.said else ""
            if cover.is_open:
                rests += ", boards where anybody walks"
                said += (
                    f"; {name} is open: boards beside them wherever anybody walks, a barrier round the rest"
                )
            about = (*it.subjects, *laid.covers, BY_PLATE)
            yield COVER.only(about, f"{laid.words}, {rests}", f"{text}; {said}", **more)
        elif over and (least_kg <= 0 or (kg is not None and least_kg * G <= (limit_kn or 0.0) * (1 + 1e-9))):
            words = f"a plate over {name}, edges wedged, or wheels off it"
            text += ": whether so much is on it hangs on our own figures"
            yield COVER.only((*subjects, BY_PLATE), words, text, **more)
        elif over and (square := _lies_square(it, cover)):
            text += (
                f"; {square} over it would lie under all wheels of a way straight across: that no way goes "
            )
            ends = (f"a way straight over {name}, on {square}, with ramps up its edges", "wider plates")
            yield COVER.open(subjects, f"{text}so is not proved", ends=ends, **{**more, "limit": limit_kn})
        elif cover.for_people and over and kg is not None:
            said = f"{text}: class A15 is for people on foot and cycles, {takes} on it"
            yield COVER.no(subjects, said, ("a plate over it",), **more)
        elif cover.for_people and not over:
            yield COVER.note(subjects, f"{text}: class A15 takes {takes}", **more)
        elif kg is not None and load_kg is None and (tested := cover.tested_kn):
            yield _by_class(it, subjects, cover, text, kg * G, tested, more)
        elif load_kg is None and not cover.for_people:
            ask = Ask(f"what does {name} take?", cover.asked, 2)
            yield COVER.open(subjects, f"{text}: what it takes is not told", ask, **more)
        elif kg is None:
            yield COVER.open(subjects, f"{text}: the weight is not known", ask_mass(it), **more)
        elif over:
            plate = ("a plate over it that rests on the floor beside",)
            yield COVER.no(subjects, f"{text}, it takes {takes}", plate, **more)
        else:
            yield COVER.note(subjects, f"{text}, it takes {takes}", **more)


def _lies_square(it: Situation, cover: Cover) -> str:
    """Return the plates told of that would lie over a cover under all wheels of gear that goes straight over
    it, and bear the whole, whatever way was found; '' where none would.
    """
    c, s = cos_sin(it.gear.axis_deg)
    aside = [y * c - x * s for x, y in it.gear.wheels]
    half, box, whole = half_track_mm(it), bounds(cover.outline), it.whole_kg
    long = min(box.wide_mm, box.deep_mm) + 2 * it.own["plate rests"]
    for plate in _plates_told(it):
        if not aside or plate.size_mm is None or whole is None or (plate.capacity_kg or 0.0) < whole:
            continue
        for far, wide in (plate.size_mm, plate.size_mm[::-1]):
            starts = strips([(at - half, at + half) for at in aside], wide)
            if far >= long and starts is not None and len(starts) <= (plate.count or 1):
                return f"{len(starts)} of {plate.name}" if (plate.count or 1) > 1 else plate.name
    return ""


def rests_words(laid: Laid) -> str:
    """Say how far plates rest beside the cover they lie over, and on what."""
    packing = laid.bridged.packing_mm
    return (
        f"rests {laid.rests_mm:.0f} mm each side on {'' if packing is None else f'{packing:.0f} mm '}packing"
    )


BY_PLATE = "plate"
"""Marks what a way round a cover would end, where our own figures alone put the wheels on it."""


def bridges(it: Situation) -> list[list[Laid]]:
    """Return, for each cover on the way that does not take its wheels, how each kind of plates that do lies
    over it.
    """
    if not _plates_told(it):
        return []
    over = [(c, kg) for c, _, _, kg in _rolled_over(it, wheel_range_kg(it)) if _too_much(it, c, kg)]
    return [[each for each in _plates_over(it, c, kg) if isinstance(each, Laid)] for c, kg in over]


def runs_over(it: Situation) -> list[tuple[tuple[str, ...], list[Laid]]]:
    """Return, for covers on the way that do not take its wheels and lie so near one another that plates over
    each by itself would overlap, how each kind of plates that do lies in one run over all of them.
    """
    wheel, far = wheel_range_kg(it), 2 * it.own["plate rests"]
    weak = [c for c, _, _, kg in _rolled_over(it, wheel) if _too_much(it, c, kg)] if _plates_told(it) else []
    found = []
    for some in _near_together(weak, far):
        outline = convex_hull([p for cover in some for p in cover.outline])
        first, names = some[0], listed([cover.name for cover in some], len(some))
        proud = max(cover.proud_mm for cover in some)
        run = replace(
            first, name=names, outline=outline, proud_mm=proud, is_open=any(c.is_open for c in some)
        )
        also = tuple(cover.subject for cover in some[1:])
        every = (p for c, _, _, kg in _rolled_over(it, wheel, [run]) for p in _plates_over(it, c, kg))
        lies = [replace(each, also=also) for each in every if isinstance(each, Laid)]
        found += [((first.subject, *also), lies)] if lies else []
    return found


def _near_together(covers: Sequence[Cover], far_mm: float) -> list[list[Cover]]:
    """Return covers in groups of those of a room that lie nearer to one another, by one or more."""
    groups: list[list[Cover]] = []
    for cover in covers:
        mine = [
            group
            for group in groups
            if any(c.room == cover.room and gap(c.outline, cover.outline).distance_mm < far_mm for c in group)
        ]
        groups = [group for group in groups if group not in mine] + [[*itertools.chain(*mine), cover]]
    return [group for group in groups if len(group) > 1]


def _plates_told(it: Situation) -> list[Gear]:
    return [gear for gear in it.scene.shop.gear.values() if gear.kind == "plate"]


def _plates_over(it: Situation, cover: Cover, kg: float | None) -> list[Laid | str]:
    """Lay each plate told of over a cover, or say why it does not do."""
    half = half_track_mm(it)
    points = it.gear.wheels
    there = _on_it(it, points, cover.outline, half) if points else ()
    on = tuple(p for at in there for _, p in at if _near(p, cover.outline, half))
    least = _surely_on(it, cover, wheel_range_kg(it))
    kg_on = _kg_on(it, cover, half)
    runs = tuple(_runs(it, points, cover.outline)) if points else ()
    tracks = Tracks(on if points else None, half, least, pad_long_mm(it), kg_on, runs)
    room, rests = it.scene.shop.rooms[cover.room].outline, it.own["plate rests"]
    every = (lay_over(gear, cover, tracks, kg, rests, room) for gear in _plates_told(it))
    return [each if isinstance(each, str) else _stands_there(it, each) or each for each in every]


def _runs(it: Situation, points: Sequence[Point], outline: Outline) -> Iterator[tuple[Point, ...]]:
    """Go through the ways that wheels take where plates told of may lie over a cover."""
    far = max((max(gear.size_mm) for gear in _plates_told(it) if gear.size_mm is not None), default=0.0)
    box = bounds(outline).grown(far)
    every = list(zip(*(it.at(pose, points) for pose in _close_together(it)), strict=True))
    for path in every:
        near = itertools.groupby(
            path, lambda p: box.left <= p[0] <= box.right and box.bottom <= p[1] <= box.top
        )
        yield from (tuple(some) for inside, some in near if inside)


def _kg_on(it: Situation, cover: Cover, half: float) -> Callable[[Outline], float | None]:
    """Return what tells the most, in kg, that stands at once on the part of a cover within an outline."""
    wheel, polygons = wheel_range_kg(it), [stance.polygon for stance in it.gear.stances]
    seen = [list(_on_it(it, polygon, cover.outline, half)) for polygon in polygons]

    def most(strip: Outline) -> float | None:
        def on(at: list[tuple[int, Point]]) -> frozenset[int]:
            return frozenset(i for i, p in at if contains(strip, p) and _near(p, cover.outline, half))

        every = [{on(at) for at in there} - {frozenset()} for there in seen]
        return _at_most_kg(it, wheel, every, *_wheels_on(it, every))

    return most


def _stands_there(it: Situation, laid: Laid) -> str:
    """Say that it stands where plates would lie, before it is moved, after, or set round on the way; '' where
    it does not.
    """
    for pose, when in ((it.body.pose, "stands"), (it.goal_pose, "is set down")):
        if pose is not None and any(stood_on([_as_cover(laid)], *_stood(it, pose), None)):
            return f"{it.name} {when} where {laid.gear.name} would lie"
    turns = (pose for turn in it.set_round for pose in (turn.poses[0], turn.pose))
    if any(overlap(placed(it.gear.touching, pose), laid.outline) for pose in turns):
        return f"{it.name} is set round where {laid.gear.name} would lie"
    return ""


def _as_cover(laid: Laid) -> Cover:
    return Cover(laid.cover, laid.name, laid.room, laid.outline, None, "")


def _stood(it: Situation, pose: Pose) -> tuple[Outline, list[tuple[Point, float]]]:
    """Return the outline it stands within at a pose, and its feet or jacking points with their pads."""
    return _stood_by(it, pose, it.load.feet if len(it.load.feet) >= 3 else it.load.jacking)


def _stood_by(it: Situation, pose: Pose, points: Sequence[Foot]) -> tuple[Outline, list[tuple[Point, float]]]:
    pads = [max(p.pad_mm or (0.0, 0.0)) / 2 for p in points]
    at = it.at(pose, [p.point for p in points])
    return placed(it.load.own or it.load.outline, pose), list(zip(at, pads, strict=True))


def stands_on_covers(it: Situation) -> Iterator[Part]:
    """Compare what stands on a cover with what it takes where it is jacked or set round: its feet, jacks
    under the same points, at the start, at the goal, on the way.
    """
    if it.kind not in JACKED or not it.legs:
        return
    every, least_kg, most_kg = _covers_on(it), it.load.least_kg, it.load.most_kg
    for place in places_off_wheels(it) if every else ():
        for pose in dict.fromkeys((place.poses[0], place.poses[-1])):
            cg = None if it.load.cg_mm is None else it.at(pose, [it.load.cg_mm])[0]
            stands = [_stood(it, pose)]
            if len(it.load.jacking) >= 3:
                stands.append(_stood_by(it, pose, it.load.jacking))
            for found in (f for outline, feet in stands for f in stood_on(every, outline, feet, cg)):
                yield from _jacked_on(it, place.end, place.where, found, least_kg or 0.0, most_kg)


def _jacked_on(
    it: Situation, end: str, where: str, found: OnCover, least_kg: float, most_kg: float | None
) -> Iterator[Part]:
    cover, gear = found.cover, it.gear.gear.name
    subjects = (*it.subjects, cover.subject, "jacked", end)
    text = f"{it.name} is jacked onto or off {gear} {where} with {found.what} or the jacks on {cover.name}"
    takes = bears_kn(cover, it.own["cover of test"], G_M_S2)
    if takes is None:
        ask = Ask(f"what does {cover.name} take?", cover.asked, 2)
        yield COVER.open(subjects, f"{text}: what it takes is not told", ask, room=cover.room)
        return
    if most_kg is None:
        yield COVER.open(subjects, f"{text}: what {it.name} weighs is not known", room=cover.room)
        return
    counts, limit = takes
    least, most = found.least * least_kg * G, found.most * most_kg * G
    more: dict[str, Any] = {"room": cover.room, "measured": most, "limit": counts, "unit": "kN"}
    up_to, may = forces_apart(most, counts)
    text += f", up to {up_to}; it takes {may}"
    if least > limit * (1 + 1e-9):
        ends = ("another spot, feet and jacks beside the cover",)
        yield COVER.no(subjects, text, ends, **{**more, "measured": least, "limit": limit})
    elif most > counts * (1 + 1e-9):
        yield COVER.only(subjects, f"feet and jacks seen to stand beside {cover.name}", text, **more)
    else:
        yield COVER.note(subjects, text, **more)


def _plates_do_not(it: Situation, cover: Cover, kg: float | None) -> str:
    """Say of each plate told of why it does not do over a cover; '' where none is told of."""
    return "; ".join(why for why in _plates_over(it, cover, kg) if isinstance(why, str))


def _takes_kn(it: Situation, cover: Cover) -> float | None:
    """Return what surely may not be on a cover beyond, in kN: its load, of class A15 what people weigh, else
    its test load; None: not told.
    """
    takes = bears_kn(cover, it.own["cover of test"], G_M_S2)
    return None if takes is None else takes[1]


def _too_much(it: Situation, cover: Cover, kg: float | None) -> bool:
    limit = _takes_kn(it, cover)
    return limit is not None and (kg is None or kg * G > limit * (1 + 1e-9))


def _rolled_over(
    it: Situation, wheel: tuple[float, float, str] | None, some: Sequence[Cover] | None = None
) -> Iterator[tuple[Cover, int, bool, float | None]]:
    """Go through the covers (all, or some) that wheels come onto: how many at once, whether all, and the most
    they carry.
    """
    if it.kind == "by hand" or not it.legs:
        return
    half = half_track_mm(it)
    for cover in _covers_on(it) if some is None else some:
        on = [_sets_on(it, stance.polygon, cover.outline, half) for stance in it.gear.stances]
        wheels, all_of_it = _wheels_on(it, on) if on else _anywhere(it, cover.outline, half)
        if not wheels:
            continue
        yield cover, wheels, all_of_it, _at_most_kg(it, wheel, on, wheels, all_of_it)


def _at_most_kg(
    it: Situation,
    wheel: tuple[float, float, str] | None,
    on: Sequence[Wheels],
    wheels: int,
    all_of_it: bool,
) -> float | None:
    """Return the most that wheels carry at once, in kg: so many of each stance, or all.

    None where it was not weighed, or what one wheel bears is not known.
    """
    whole = it.whole_kg
    if wheel is None or whole is None:
        return None
    kg, held = whole if all_of_it else min(whole, wheels * wheel[1]), _most_on(it, on)
    return kg if held is None else min(kg, held)


def _on_it(
    it: Situation, wheels: Sequence[Point], outline: Outline, half: float
) -> Iterator[list[tuple[int, Point]]]:
    """Go through the way: which wheels are where within the bounds of an outline, or `half` of their track
    beside them.
    """
    far = max(math.hypot(x, y) for x, y in wheels)
    x0, y0, x1, y1 = bounds(outline).grown(half)
    for pose in _close_together(it):
        if x0 - far <= pose.x_mm <= x1 + far and y0 - far <= pose.y_mm <= y1 + far:
            every = enumerate(it.at(pose, wheels))
            yield [(i, p) for i, p in every if x0 <= p[0] <= x1 and y0 <= p[1] <= y1]


def _most_on(it: Situation, every: Sequence[Wheels]) -> float | None:
    """Return the most that wheels on a cover at once carry together, in kg, over every way to stand.

    `every` are the wheels that are on it at once, of each stance. Never twice what only one of them may bear:
    what one takes is then not on the other; castors turned the worst way, one alone with its makers' third.
    None where not all is known of that.
    """
    mass, worst = it.load.most_kg, 0.0
    if mass is None or not it.gear.stances:
        return None
    for stance, sets in zip(it.gear.stances, every, strict=True):
        own, ways = gear_bears(it, stance, kind=False), (stance.polygon, *stance.or_at)
        for c in centres(it) or ():
            for on in sets:
                shares = [together(points, (c.x_mm, c.y_mm), on) for points in ways]
                if None in shares:
                    return None
                share = max(*(s for s in shares if s is not None), stance.share if len(on) == 1 else 0.0)
                worst = max(worst, share * mass + min(it.gear.gear.mass_kg or 0.0, sum(own[i] for i in on)))
    return worst


def together(points: Sequence[Point], cg: Point, on: Collection[int]) -> float | None:
    """Return the greatest share of the weight that some supports may carry together.

    The greatest is met with three of them bearing, or two, or one. None where it does not stand on them.
    """
    ways = ways_to_stand([Support(x, y) for x, y in points], cg)
    return max((sum(way[i] for i in on) for way in ways), default=None)


Wheels = set[frozenset[int]]
"""Wheels of one stance that stand on something at once, at one place of the way or another."""


def _sets_on(it: Situation, wheels: Sequence[Point], outline: Outline, half: float) -> Wheels:
    """Return which of these wheels stand on an outline at once, anywhere on the way.

    Nearer than `half` of its track counts as on it.
    """
    every = _on_it(it, wheels, outline, half)
    return {frozenset(i for i, p in there if _near(p, outline, half)) for there in every} - {frozenset()}


def _surely_on(it: Situation, cover: Cover, wheel: tuple[float, float, str] | None) -> float:
    """Return what surely stands on a cover at once, in kg: wheels as told, thin as a line, at their least.

    Nothing where it is only usual where the wheels are.
    """
    stances = it.gear.stances
    if wheel is None or not stances or any(stance.assumed for stance in stances):
        return 0.0
    found = [_most_of(_sets_on(it, stance.polygon, cover.outline, 0.0)) for stance in stances]
    wheels = min(found)
    all_of_it = all(n == len(stance.supports) for n, stance in zip(found, stances, strict=True))
    least = (it.load.least_kg or 0.0) + (it.gear.gear.mass_kg or 0.0)
    return least if all_of_it else min(least, wheels * wheel[0])


def _by_class(
    it: Situation,
    subjects: tuple[str, ...],
    cover: Cover,
    text: str,
    kn: float,
    tested_kn: float,
    more: dict[str, Any],
) -> Part:
    """A class is a test load, no working load: more than that is a no, less only with somebody's word."""
    said = f"{text}: class {cover.klass} is tested with {forces_apart(kn, tested_kn)[1]}"
    if kn > tested_kn * (1 + 1e-9):
        ends = ("a plate over it that rests on the floor beside",)
        return COVER.no(subjects, said, ends, **{**more, "limit": tested_kn})
    counts = tested_kn * it.own["cover of test"]
    words = "cover sound, class read off it" if kn <= counts else "its maker asked, or a plate, edges wedged"
    said += f"; {show_force(counts)} of that counts here (own figure)"
    return COVER.only(subjects, words, said, **{**more, "limit": counts})


def _wheels_on(it: Situation, every: Sequence[Wheels]) -> tuple[int, bool]:
    """Return how many wheels are on a cover at once at the most, over every stance, and whether all are."""
    found = [_most_of(sets) for sets in every]
    whole = any(n == len(stance.supports) for n, stance in zip(found, it.gear.stances, strict=True))
    return max(found), whole


def _most_of(sets: Wheels) -> int:
    return max(map(len, sets), default=0)


def _anywhere(it: Situation, outline: Outline, half: float) -> tuple[int, bool]:
    """Return the same of wheels nobody told of: anywhere under the whole, wherever that passes over it."""
    import shapely

    area = shapely.Polygon(outline).buffer(half)
    shapely.prepare(area)
    over = any(area.intersects(shapely.Polygon(placed(it.hull, pose))) for pose in _close_together(it))
    return (4, True) if over else (0, False)


def _close_together(it: Situation) -> Iterator[Pose]:
    """Go through the poses of the way every 25 mm or so: a channel is no wider than that."""
    for leg in it.legs:
        yield leg.poses[0]
        for a, b in itertools.pairwise(leg.poses):
            yield from (between(a, b, k / 4) for k in (1, 2, 3, 4))


def _near(p: Point, outline: Outline, within: float) -> bool:
    return contains(outline, p) or _apart(p, outline) <= within


def _apart(p: Point, outline: Sequence[Point]) -> float:
    return abs(point_gap(tuple(outline), p).distance_mm)


def edges(it: Situation) -> Iterator[Part]:
    """Tell of wheels near the edge of an open pit or hatch."""
    near = it.own["edge distance"]
    wheels = it.gear.wheels
    for hole in open_holes(it.scene.shop, it.floors):
        least = min(
            (_apart(p, hole.outline) for leg in it.legs for pose in leg.poses for p in it.at(pose, wheels)),
            default=math.inf,
        )
        if least < near:
            text = f"a wheel comes {show_length(least)} from the edge of {hole.name}"
            subjects = (*it.subjects, f"opening:{hole.key}")
            below = _below(it, hole)
            text += f": nobody in {below.name} below it" if below else ""
            yield EDGE.only(
                subjects,
                f"banksman at {hole.name}{f', nobody in {below.name}' if below else ''}",
                text,
                room=hole.room,
                measured=least,
                limit=near,
                unit="mm",
            )
    half, shop = half_track_mm(it), it.scene.shop
    for hole in shop.openings.values():
        below = _below(it, hole)
        if below is None or not is_cover(hole) or not on_floors(hole.outline, it.floors):
            continue
        if any(_near(p, hole.outline, half) for leg in it.legs for q in leg.poses for p in it.at(q, wheels)):
            subjects = (*it.subjects, f"opening:{hole.key}", "below")
            text = f"{it.name} rolls over {hole.name}: nobody in {below.name} below it"
            yield EDGE.only(subjects, f"nobody in {below.name} below {hole.name}", text, room=hole.room)


def beside_pits(it: Situation) -> Iterator[Part]:
    """Make it a condition that an open pit is covered or railed where the way leaves whoever walks beside it,
    or steers it, less floor than a body takes; one told as guarded has its rail.
    """
    import shapely

    from shopbins.kernel.swept import swept

    holes = [hole for hole in open_holes(it.scene.shop, it.floors) if not hole.guarded]
    if not holes or it.attempt is None or not it.path:
        return
    all_of_it, person = swept(it.attempt.moving, it.path), it.own["person"]
    for hole in holes:
        free = float(shapely.distance(all_of_it, shapely.Polygon(hole.outline)))
        if free < person:
            deep = "" if hole.depth_mm is None else f" ({show_length(hole.depth_mm)} deep)"
            text = f"{it.name} goes past {hole.name}, open{deep}, no rail told: "
            text += f"{show_length(free)} of floor beside it"
            more: dict[str, Any] = {"measured": free, "limit": person, "unit": "mm", "room": hole.room}
            subjects = (*it.subjects, f"opening:{hole.key}")
            yield PIT.only(subjects, f"{hole.name} covered or railed while it passes", text, **more)


def _below(it: Situation, hole: Opening) -> Room | None:
    """Return the room below a hole in a floor; None where none is told."""
    return it.scene.shop.rooms.get(hole.to or "") if hole.outline else None
