"""Onto the gear and off it; parts that come off first, by whom and where to; what is shifted."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Point, bounds
from shopbins.ledger.model import InGroup, InZone
from shopbins.moves.body import Projection
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fits import SWINGS, travels_loaded
from shopbins.moves.fitted import HOISTS, JACKED
from shopbins.moves.force import G_M_S2
from shopbins.moves.forks import Foot
from shopbins.moves.hands import TIMES, looked_at, nobody_lifts, people_of, short_of, team_for
from shopbins.moves.hangs import HANGS
from shopbins.moves.hoisted import Lift, No
from shopbins.moves.load import Load
from shopbins.moves.margin import Margin
from shopbins.moves.offfirst import mixed, top_first
from shopbins.moves.partsoff import hoist_needed, hook_over_mm, hung_back_mm, steps_between, taken_kg, team_of
from shopbins.moves.shiftlist import HANDS_MM, By, Shifted
from shopbins.moves.situation import Situation
from shopbins.moves.stances import jack_bears_kg, sling_deg, sling_share
from shopbins.moves.standing import ZONE, weighed_by
from shopbins.moves.tipping import Centre, reserve
from shopbins.moves.trucks import PLATE_MM
from shopbins.moves.wheels import beams_for
from shopbins.records.acts_move import on_packing as left_on_packing
from shopbins.records.moving import moving_of
from shopbins.rules.handling import FILTER, MOST_KG, PURPLE_KG, TEAM
from shopbins.rules.hoisting import hook_unsure
from shopbins.rules.say import masses_apart
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear
from shopbins.units import show_angle, show_force, show_length, show_mass, show_rating

JACK = Check(
    "move-jacking",
    "Jacked onto its gear",
    "moments about the feet left down; 29 CFR 1910.244(a): rated load, firm base, made fast at once",
    "derived",
    "a stronger or lower jack, or lift it by crane",
)
LIFT_TIPS = Check(
    "move-tips-jacked",
    "Tips while one end is jacked",
    "statics: atan(d / H) over each edge of jacks and the feet left down",
    "derived",
    "two jacks under the end, farther apart; packing that follows",
)
ON_PACKING = Check(
    "move-on-packing",
    "On packing, where it was left",
    "what is on record: the steps ticked of planned moves",
    "derived",
    "look whether it stands firm before anybody is near",
)
PART = Check(
    "move-part-off",
    "Who takes a part off",
    "HSE INDG143 lifting filter, L23 paragraph 120 for teams of two and three; heights but one from memory",
    "published",
    "a hoist that reaches it",
)
PLACE = Check(
    "move-part-place",
    "Where a part goes meanwhile",
    "the shop as it is then, by the rules of the audit",
    "derived",
    "make room for it first",
)
SHIFT = Check(
    "move-shift",
    "What shifts the things in the way",
    "HSE INDG143 and L23 for one to three people",
    "published",
    "weigh it; a truck or hoist for it",
)
BASE = Check(
    "move-base-off",
    "Its pallet or skid off first",
    "common practice, no source",
    "common practice, no source",
    "leave it on where the way allows",
)
SLINGS = Check(
    "move-slings",
    "Slings too flat",
    "printed sling tables: 1.155, 1.414, 2.000 times at 60, 45, 30 deg; never flatter than 30",
    "published",
    "longer slings where the hook allows, a beam",
)

FLATTEST_DEG = 30.0
"""Slings no flatter than this, as their printed tables end there: a leg bears as much as the whole then."""

# --- jacking
# ---------------------------------------------------------------------------------------------------


def jacking(it: Situation) -> Iterator[Part]:
    """Judge lifting one end at a time: what a jack bears, whether its toe goes under, tipping meanwhile."""
    if it.kind not in JACKED:
        return
    yield from under_packing(it)
    up = it.gear.up_mm
    mass = it.load.most_kg
    if up is None or up[1] <= 0 or mass is None:
        return
    jacks = toe_jacks(it)
    bears = end_kg(it, mass)
    if bears is None:
        text = f"what a jack under one end of {it.name} carries is not known: where its feet and centre are"
        yield JACK.only(it.subjects, f"toe jack for {show_rating(mass)}, packing", f"{text}; the whole taken")
        yield from _jacked_tipping(it)
        return
    free = it.load.under_mm
    if not jacks:
        low = "" if free is None else f", its toe under {free:.0f} mm"
        words = f"toe jack for {show_rating(bears)} on its toe{low}"
        text = f"one end of {it.name} carries {show_mass(bears)}; no toe jack is in the shop file"
        yield JACK.only((*it.subjects, "jack"), words, text, measured=bears, unit="kg")
    else:
        tried = [tuple(_with_jack(it, jack, mass)) for jack in jacks]
        yield from min(tried, key=lambda parts: max(part.verdict for part in parts))
    yield from _jacked_tipping(it)
    high = max(up[1], it.body.down_mm) + PACKED_OVER_MM
    yield JACK.only(
        (*it.subjects, "packing"),
        f"packing {high:.0f} mm, {it.own['lift at an end']:.0f} mm a lift",
        f"one end at a time, {it.own['lift at an end']:.0f} mm "
        "each, packing follows at once, nobody under it",
    )


def end_kg(it: Situation, mass_kg: float, jacks: int = 1) -> float | None:
    """Return the most one jack bears under the end that bears more, by moments along and across it.

    One jack stands in the middle of the end; two stand under its outermost points, and the one nearer to the
    centre of gravity bears more. None where feet or centre are not known.
    """
    load = it.load
    points = load.jacking if len(load.jacking) >= 2 else load.feet
    cgs = [(c.x_mm, c.y_mm) for c in load.centres()] if load.cg_bounded else []
    if load.cg_mm is not None and not cgs:
        cgs = [load.cg_mm]
    if len(points) < 2 or not cgs:
        return None
    xs = [p.x_mm for p in points]
    low, high = min(xs), max(xs)
    if high - low < 1.0:
        return None
    most = 0.0
    for jack, pivot in ((high, low), (low, high)):
        ys = [p.y_mm for p in points if abs(p.x_mm - jack) < SAME_END_MM]
        wide = max(ys) - min(ys)
        for x, y in cgs:
            end = jack_bears_kg(mass_kg, x, jack, pivot)
            share = 1.0
            if jacks > 1 and wide >= 1.0:
                share = max(y - min(ys), max(ys) - y) / wide
            most = max(most, end * share)
    return most


SAME_END_MM = 50.0
"""Points this near to one another along the thing are at one end of it: own figure."""


PACKED_OVER_MM = 10.0
"""So much higher than its gear a thing is packed, to let that in: own figure."""


def toe_jacks(it: Situation) -> list[Gear]:
    """Return the toe jacks of the shop file; one entry may be several alike."""
    return [g for g in it.scene.shop.gear.values() if g.kind == "toe jack"]


def owned(it: Situation) -> int:
    """Return how many toe jacks the shop file has."""
    return sum(g.count or 1 for g in toe_jacks(it))


def _with_jack(it: Situation, jack: Gear, mass_kg: float) -> Iterator[Part]:
    """Judge a toe jack: whether its toe goes under, within the measuring, and what it lifts on it."""
    margin = toe_margin(it, jack)
    if margin is not None and margin.verdict is not Verdict.YES:
        text = f"the toe of {jack.name} is {show_length(jack.lowered_mm or 0.0)} at its lowest, "
        text += f"{show_length(it.load.under_mm or 0.0)} is free"
        toe: dict[str, Any] = {"measured": it.load.under_mm, "limit": jack.lowered_mm, "unit": "mm"}
        under = (*it.subjects, f"gear:{jack.key}", "toe")
        if margin.verdict is Verdict.NO:
            yield JACK.no(under, text, ("a lower toe",), **toe)
            return
        yield JACK.again(under, f"{text}: within the measuring", margin, **toe)
    yield _on_toe(it, jack, mass_kg)


def toe_margin(it: Situation, jack: Gear) -> Margin | None:
    """Return what is free over the toe of a jack at its lowest; None where it or the thing was not told."""
    free, low = it.load.under_mm, jack.lowered_mm
    if free is None or low is None:
        return None
    told = it.load.under_within_mm
    under = it.measured_mm if told is None else told
    plate = min(it.measured_mm, PLATE_MM)
    inputs = ((f"what is free under {it.name}", under), (f"lowest height of {jack.name}", plate))
    return Margin(free - low, inputs)


def _on_toe(it: Situation, jack: Gear, mass_kg: float) -> Part:
    free = it.load.under_mm
    each = end_kg(it, mass_kg, min(2, jack.count or 1)) or 0.0
    subjects = (*it.subjects, f"gear:{jack.key}")
    more: dict[str, Any] = {"measured": each, "limit": jack.toe_kg, "unit": "kg"}
    points = it.load.jacking if len(it.load.jacking) >= 2 else it.load.feet
    one = len(points) > 1 and any(len({p.y_mm for p in _at_end(points, x)}) == 1 for x in _ends(points))
    on = "one toe" if one or (jack.count or 1) < 2 else "each toe"
    bears, lifts = masses_apart(each, jack.toe_kg or jack.capacity_kg or 0.0)
    text = f"one end of {it.name} carries {bears} on {on} of {jack.name}"
    if jack.toe_kg is None:
        ask = Ask(f"what does {jack.name} lift on its toe?", f"gear: {jack.key}: {{toe: 1 t}}", 1)
        if jack.capacity_kg is not None and each > jack.capacity_kg:
            return JACK.no(subjects, f"{text}, {lifts} even on its head", **more)
        return JACK.open(subjects, f"{text}; on its toe it lifts less than on its head", ask, **more)
    if each > jack.toe_kg * (1 + 1e-9):
        ends = ("two jacks",) if (jack.count or 1) < 2 else ("stronger jacks",)
        return JACK.no(subjects, f"{text}, it lifts {lifts} there", ends, **more)
    up = it.gear.up_mm
    need = None if up is None or free is None else free + up[1] + PACKED_OVER_MM
    if need is not None and jack.raised_mm is not None and jack.raised_mm < need:
        text += (
            f"; its toe goes to {show_length(jack.raised_mm)}, {show_length(need)} is needed: set on packing"
        )
        words = f"{jack.name} packed up on the way: toe to {need:.0f} mm"
        return JACK.only(subjects, words, text, **more)
    return JACK.only(subjects, f"{jack.name} on firm ground, toe under a point", text, **more)


def _jacked_tipping(it: Situation) -> Iterator[Part]:
    """Judge tipping with one end on two jacks under its outermost points, the other's feet left down.

    Where the shop has one or none, two are a condition, unless the one at its best point leaves enough.
    """
    load = it.load
    points = load.feet if len(load.feet) >= 3 else load.jacking
    if len(points) < 3 or not load.cg_bounded:
        return
    two, one = _jacked(it, points, jacks=2), _jacked(it, points, jacks=1)
    if two is None:
        return
    lift, has = it.own["lift at an end"], owned(it)
    enough = it.own["tip reserve"]
    alone = has == 1 and one is not None and one >= enough
    left_deg, most = (one if alone and one is not None else two), _jacked(it, points, 1 if alone else 2, True)
    on = "one jack under a point of it" if alone else "two jacks under its outermost points"
    if not alone and any(len({p.y_mm for p in _at_end(points, x)}) == 1 for x in _ends(points)):
        on += ", one where it has but one"
    how = "before it tips" if left_deg > 0 else "beyond tipping"
    text = f"one end of {it.name} on {on}, {lift:.0f} mm up: {show_angle(abs(left_deg))} {how}"
    more: dict[str, Any] = {"measured": left_deg, "limit": 0.0, "unit": "deg"}
    ends = ("a crane or gantry to lift it", "jacks set wider under its base")
    if most is not None and most <= 0:
        yield LIFT_TIPS.no(it.subjects, text, ends, **more)
        return
    if left_deg < it.own["tip least"]:
        best = "" if most is None or left_deg > 0 else f"; {show_angle(most)} at the kindest"
        text += best
        measure = (f"where the centre of gravity of {it.name} is", "its height, and where it is jacked")
        yield LIFT_TIPS.again(it.subjects, text, measure, **{**more, "limit": it.own["tip least"]})
    if has < 2 and not alone:
        if has and one is not None:
            text += f"; on the one there is {show_angle(abs(one))} {'left' if one > 0 else 'too far'}"
        yield LIFT_TIPS.only((*it.subjects, "two"), "two jacks under the end, wide apart", text, **more)
    if it.own["tip least"] <= left_deg < enough:
        words = f"nobody beside it while jacked: {show_angle(left_deg)} left"
        yield LIFT_TIPS.only(it.subjects, words, text, **{**more, "limit": enough})


def _ends(points: Sequence[Foot]) -> tuple[float, float]:
    """Return where along it the ends of a thing are that it is jacked at."""
    xs = [p.x_mm for p in points]
    return min(xs), max(xs)


def _at_end(points: Sequence[Foot], x_mm: float) -> list[Foot]:
    """Return the points at one end of a thing."""
    return [p for p in points if abs(p.x_mm - x_mm) < SAME_END_MM]


def _jacked(it: Situation, points: Sequence[Foot], jacks: int, kindest: bool = False) -> float | None:
    """Return the least reserve of either end jacked, in deg, less how far it then leans; at the `kindest`
    place of its centre of gravity, else at the worst.

    Two jacks stand under the outermost points of the end, one under that point of it that leaves most.
    """
    ends: list[list[list[Point]]] = []
    for jack_x in _ends(points):
        ys = [p.y_mm for p in _at_end(points, jack_x)]
        both: list[list[Point]] = [[(jack_x, min(ys)), (jack_x, max(ys))]]
        ends.append(both if jacks == 2 else [[(jack_x, y)] for y in ys])
    if not kindest:
        return _jacked_at(it, points, ends, it.load.centres())
    places = _between_centres(it.load)
    every = [_jacked_at(it, points, ends, [place]) for place in places]
    return max((deg for deg in every if deg is not None), default=None)


def _between_centres(load: Load) -> list[Centre]:
    """Return places all over where a centre of gravity may be, as low as it may be."""
    found = load.centres()
    low, steps = min(c.z_mm for c in found), [k / (PLACES - 1) for k in range(PLACES)]
    (x0, x1), (y0, y1) = ((min(of), max(of)) for of in ([c.x_mm for c in found], [c.y_mm for c in found]))
    every = (Centre(x0 + i * (x1 - x0), y0 + j * (y1 - y0), low) for i in steps for j in steps)
    return list(dict.fromkeys(every))


PLACES = 5
"""So many places along and across are tried for the kindest: own figure."""


def on_one_jack_deg(it: Situation, spots: Sequence[Sequence[Point]]) -> float | None:
    """Return the same with one jack at that of some spots of an end that leaves most, `spots` of the lower
    end along x first. None where its feet or its centre are not known.
    """
    points = it.load.feet if len(it.load.feet) >= 3 else it.load.jacking
    if len(points) < 3 or not it.load.cg_bounded or not all(spots):
        return None
    return _jacked_at(it, points, [[[spot] for spot in some] for some in spots], it.load.centres())


def _jacked_at(
    it: Situation,
    points: Sequence[Foot],
    jacked: Sequence[Sequence[Sequence[Point]]],
    centres: Sequence[Centre],
) -> float | None:
    """Return the least reserve of either end on the set of jacks that leaves most, the feet of the other left
    down, in deg, less how far it then leans, of some places of its centre of gravity.
    """
    xs = sorted(p.x_mm for p in points)
    rooms = [it.scene.shop.rooms[key] for key in (it.body.room, it.goal.room) if key is not None]
    fall = max((room.slope.fall for room in rooms if room.slope is not None), default=0.0)
    ends = []
    for sets, keep in zip(jacked, (xs[-1], xs[0]), strict=True):
        left = [p.point for p in _at_end(points, keep)]
        found = [_least_deg(centres, [*some, *left], fall) for some in sets]
        ends.append(max((deg for deg in found if deg is not None), default=None))
    told = [deg for deg in ends if deg is not None]
    if not told:
        return None
    lean = math.degrees(math.asin(min(1.0, it.own["lift at an end"] / max(1.0, xs[-1] - xs[0]))))
    return min(told) - lean


def _least_deg(centres: Sequence[Centre], polygon: Sequence[Point], fall: float) -> float | None:
    found = [reserve(polygon, (c.x_mm, c.y_mm), c.z_mm, fall) for c in centres]
    return min((each.deg for each in found if each is not None), default=None)


BEAMS = "beams under it, packing clear of"


def on_packing(it: Situation) -> Iterator[Part]:
    """Ask that it be looked at how it stands on the packing on which the steps ticked left it."""
    packed = left_on_packing(it.scene.state, it.body.group.id)
    if packed and not it.begins_on_gear:
        text = (
            f"{it.name} stands on {show_length(packed)} of packing, by the steps ticked of the move planned "
            "before: that it stands firm, and that its jack reaches it there, is looked at"
        )
        words = f"stands on {show_length(packed)} of packing: looked at"
        yield ON_PACKING.only(
            (*it.subjects, "packing"), words, text, measured=packed, unit="mm", judged=False
        )


def under_packing(it: Situation) -> Iterator[Part]:
    """Say where a trolley needs beams: feet reach beyond it, or packing stands where it has to go. How thick
    they are counts in how high it stands.
    """
    if it.kind != "trolley" or len(it.gear.parts) < 2:
        return
    why, gear = beams_for(it.load, it.gear.parts[1]), it.gear.gear
    if not why:
        return
    subjects = (*it.subjects, "beams", *((why,) if why == "feet" else ()))
    text = (
        f"feet of {it.name} reach beyond the platform of {gear.name}: beams on it carry them"
        if why == "feet"
        else f"the packing that {it.name} would stand on is where {gear.name} has to go: beams across under "
        "it, packed outside the platform, or lifted on by crane"
    )
    if gear.beams_mm is None:
        ask = Ask(f"how thick are the beams on {gear.name}?", f"gear: {gear.key}: {{beams: 120}}", 1)
        yield JACK.open(subjects, f"{text}; how thick they are is not told", ask)
        return
    thick = f", {show_length(gear.beams_mm)} thick" if gear.beams_mm else ""
    words = f"beams on {gear.name} under its feet" if why == "feet" else f"{BEAMS} {gear.name}"
    yield JACK.only(subjects, f"{words}{thick}", text, measured=gear.beams_mm, unit="mm")


# --- parts off
# ---------------------------------------------------------------------------------------------------


def parts_off(it: Situation) -> Iterator[Part]:
    """Judge who takes each part off, and where it goes."""
    for part in it.body.off:
        yield from _by_whom(it, part)
    yield from _order(it)
    yield from _hung(it)
    placed = {} if it.attempt is None or it.attempt.resting is None else it.attempt.resting
    if it.attempt is None or it.attempt.resting is None:
        return
    for part in it.body.off:
        subjects = (*it.subjects, f"part:{part.called}")
        if part.called in placed:
            continue
        if part.group or part.to_mm is not None:
            mass = "" if part.mass is None else f" that takes {show_mass(part.mass.kg)}"
            text = f"no place for {part.name} meanwhile that causes no new trouble"
            yield PLACE.no(subjects, text, (f"{_place_words(part)}{mass}, off the way",))
        else:
            text = f"{_place_words(part)} for {part.name} off the way"
            yield PLACE.only(subjects, f"a place for {part.name} off the way", text)


def _order(it: Situation) -> Iterator[Part]:
    """Ask which of two parts comes off first, or whether one does with the other on, where neither is told to
    be over the other though they overlap on plan: in the order of the steps.
    """
    lifts = {} if it.attempt is None else it.attempt.lifts
    steps = top_first(it.body.off, sooner=lambda part: isinstance(lifts.get(part.called), Lift))
    for a, b in mixed((*steps, *it.body.parts), steps):
        both = b in steps
        text = (
            f"{a.name} and {b.name} overlap on plan, and by the heights told neither is over the other: "
            "which comes off first, and whether one carries the other, does not follow; else "
            "tell their heights"
        )
        words = f"{a.name} off {'before' if both else 'with'} {b.name}{'' if both else ' on'}: looked at"
        subjects = (*it.subjects, f"part:{a.called}", f"part:{b.called}", "order")
        yield PART.only(subjects, words, text, judged=False)


def _hung(it: Situation) -> Iterator[Part]:
    """Say what has to be so where a hoist that takes parts off is wheeled with them hung to where they lie:
    the same as of a load hung from one.
    """
    lifts = {} if it.attempt is None else it.attempt.lifts
    by = {lift.gear.key: lift.gear for lift in lifts.values() if isinstance(lift, Lift)}
    for key, gear in by.items():
        parts = [
            part
            for part in it.body.off
            if isinstance(lift := lifts.get(part.called), Lift)
            and lift.gear.key == key
            and _resting(it, part) is not None
        ]
        if not parts:
            continue
        named, subjects = " and ".join(part.name for part in parts), (*it.subjects, f"hoist:{key}")
        yield from travels_loaded(gear, named, subjects, named)
        far = max(hook_over_mm(part) for part in parts)
        text = f"{named} may hang as high as {show_length(far)}: all others stay that far off it meanwhile"
        words = f"all others {far:.0f} mm off while {named} {'hangs' if len(parts) == 1 else 'hang'}"
        yield ZONE.only((*subjects, "hung"), words, text, measured=far, unit="mm")
        for part in parts:
            if isinstance(lift := lifts[part.called], Lift):
                yield from _hung_high(it, part, lift)


def _hung_high(it: Situation, part: Projection, lift: Lift) -> Iterator[Part]:
    """Say how far a part hangs as high as it sat, before it is clear of the thing and let down low; a hand's
    breadth is not told.
    """
    far = hung_back_mm(it.body, part, lift)
    if far <= it.own["hung lift"]:
        return
    text = (
        f"{part.name} is clear of {it.name} once {lift.gear.name} is {show_length(far)} back: so far it "
        f"hangs over {show_length(part.from_mm)}, as on its way on again; the tilt of {lift.gear.name} with "
        "it so high is not checked"
    )
    subjects = (*it.subjects, f"hoist:{lift.gear.key}", f"part:{part.called}", "high")
    words = f"{part.name} hung high {far:.0f} mm: dead slow, level"
    yield SWINGS.only(subjects, words, text, measured=far, unit="mm", judged=False)


def _place_words(part: Projection) -> str:
    x0, y0, x1, y1 = bounds(part.outline)
    return f"a place of {show_length(x1 - x0)} by {show_length(y1 - y0)}"


def _by_whom(it: Situation, part: Projection) -> Iterator[Part]:
    """Judge who takes a part off at its own height, sets it down at that of its place, and brings it back."""
    subjects = (*it.subjects, f"part:{part.called}")
    kg, resting = taken_kg(part), _resting(it, part)
    team = team_of(it.scene, part, resting)
    if kg is None or team is None:
        ask = Ask(f"what does {part.name} weigh?", weighed_by(it, part), 2)
        yield PART.open(subjects, f"{part.name} is not weighed: who lifts it off is not checked", ask)
        return
    high, *down = team.between_mm
    n, text = team.people, f"{part.name}, {show_mass(kg)} at {show_length(high)}"
    if n and down:
        text += f", set down at {show_length(down[0])}"
    more: dict[str, Any] = {"measured": kg, "limit": team.limit_kg, "unit": "kg"}
    if not n:
        yield from _by_hoist(it, part, kg, text, team.limit_kg, team.between_mm)
        return
    if team.by_degrees:
        text += f": more than the {show_mass(team.limit_kg)} of three by {TEAM} at the worse height"
        words = f"{people_of(it.scene, n)}, {part.name} set down{team.words.removeprefix(',')}"
        yield PART.only((*subjects, "down"), words, text, **more)
    elif n == 1:
        yield PART.note(subjects, f"{text}: one person by {FILTER}", **more)
        return
    else:
        words = f"{people_of(it.scene, n)} for {part.name}"
        yield PART.only(subjects, words, f"{text}: {n} people by {TEAM}", **more)
    yield from _carried(it, part, n, resting)


def _resting(it: Situation, part: Projection) -> InZone | None:
    """Return where a part lies meanwhile, as far as that is looked for."""
    return None if it.attempt is None else (it.attempt.resting or {}).get(part.called)


def _carried(it: Situation, part: Projection, n: int, resting: InZone | None) -> Iterator[Part]:
    """Say what a team carries a part over to where it lies meanwhile, and to where it is put on again: no
    figure for teams holds on a slope or over a sill.
    """
    zone = None if resting is None else it.scene.zone(resting.zone)
    if zone is None:
        return
    ways = (("carried", it.body.room, zone.room), ("brought", zone.room, it.goal.room))
    for which, start, to in ways:
        over = " and ".join(steps_between(it.scene, start, to))
        if over:
            room = it.scene.shop.rooms[to].name
            text = f"{n} people carry {part.name} to {room} over {over}: no figure for teams holds there"
            words = f"way of {part.name} to {room} looked at"
            yield PLACE.only((*it.subjects, f"part:{part.called}", which), words, text, judged=False)


def _brought(it: Situation, part: Projection) -> Iterator[Part]:
    """Say that how a part laid in another room comes to where it is put on again is not looked at."""
    resting = _resting(it, part)
    zone = None if resting is None else it.scene.zone(resting.zone)
    if zone is None or zone.room == it.goal.room:
        return
    room = it.scene.shop.rooms[it.goal.room].name
    sills = [f"{d.name} ({show_length(d.threshold_mm)})" for d in it.doors if d.threshold_mm]
    text = f"{part.name} is laid on {zone.name} and put on again in {room}: "
    text += "how it comes there is not looked at"
    text += f"; no loaded hoist goes over the sill of {' and '.join(sills)}" if sills else ""
    subjects = (*it.subjects, f"part:{part.called}", "brought")
    yield PLACE.only(subjects, f"way of {part.name} to {room} looked at", text, judged=False)


def _by_hoist(
    it: Situation, part: Projection, kg: float, text: str, limit: float, heights_mm: Sequence[float]
) -> Iterator[Part]:
    subjects = (*it.subjects, f"part:{part.called}")
    lift = None if it.attempt is None else it.attempt.lifts.get(part.called)
    if isinstance(lift, Lift):
        at = f"{show_mass(lift.holds_kg)} at {show_length(lift.reach_mm)}" if lift.reach_mm else "its plate"
        at += f", hook {show_length(hook_over_mm(part))} up{hook_unsure(lift.gear, lift.reach_mm)}"
        said = (
            f"{text}: {lift.gear.name}, {at}, waits in {lift.waits_in} off the way; how it comes there, and"
        )
        said += " the last reach to where the part is laid, are looked at first"
        more: dict[str, Any] = {"measured": kg, "limit": lift.holds_kg, "unit": "kg"}
        yield PART.only(subjects, f"{lift.gear.name} to lift off {part.name}", said, **more)
        yield from _put_on(it, part, kg, lift)
        return
    no = lift if isinstance(lift, No) else No("no way is known yet")
    if no.ask is not None:
        yield PART.open(subjects, f"{text}: {no.why}", no.ask)
        return
    by_hand = f"by hand three people lift {show_mass(limit)} at most at that height (HSE INDG143)"
    team, needs = looked_at(it.scene, kg, *heights_mm), no.ends or hoist_needed(it.body, part, kg)
    if team is None:
        text += f": {by_hand}, {nobody_lifts(kg)}; by no hoist: {no.why}"
        most = MOST_KG if kg > MOST_KG else TIMES * limit
        yield PART.no(subjects, text, (needs,), measured=kg, limit=most, unit="kg")
        return
    words = f"{people_of(it.scene, team.people)} for {part.name}, {team.beyond(limit)}"
    said = f"{text}: {by_hand}, {team.said}; by no hoist: {no.why}; {needs}"
    yield PART.only(subjects, words, said, measured=kg, limit=limit, unit="kg")
    yield from _carried(it, part, team.people, _resting(it, part))


def _put_on(it: Situation, part: Projection, kg: float, lift: Lift) -> Iterator[Part]:
    """Say which hoist puts a part on again at the goal: one that comes there, or one that is there."""
    room, gear = it.scene.shop.rooms[it.goal.room].name, lift.gear.name
    subjects = (*it.subjects, f"part:{part.called}", "back")
    no_way = f"{gear} takes {part.name} off and does not come to {it.goal.name}: {lift.no_way}"
    nor = f" ({'; '.join(lift.nor)})" if lift.nor else ""
    if not lift.back and lift.no_way:
        ends = f"{hoist_needed(it.body, part, kg)}, in {room}"
        yield PLACE.no(subjects, f"{no_way}; nothing there puts {part.name} on again{nor}", (ends,))
    elif not lift.back:
        words = f"{part.name} stays off in {it.goal.name}"
        text = f"in {it.goal.name} {gear} finds no room to put {part.name} on again{nor}"
        yield PLACE.only(subjects, words, text)
    elif lift.other is not None:
        words = f"{lift.other.name} is in {room} to put {part.name} on"
        why = f"; {no_way}" if lift.no_way else ""
        text = f"{lift.other.name} finds room in {it.goal.name} to put {part.name} on again{why}"
        yield PLACE.only((*subjects, f"hoist:{lift.other.key}"), words, text, judged=False)
        yield from _brought(it, part)
    elif lift.no_way:
        yield PLACE.open(subjects, f"whether {gear} comes to {it.goal.name} for {part.name}: {lift.no_way}")
    else:
        yield from _brought(it, part)


def base_off(it: Situation) -> Iterator[Part]:
    """Say that its pallet or skid comes off first: hung from the hoist it goes on, or jacked. A truck and
    hands do not lift it off.
    """
    base = moving_of(it.body.group).base
    if it.body.base or base is None:
        return
    text = f"{base.name} off first: unbolt, lift {it.name} clear, {base.name} out, set it down"
    if base.mass is None:
        ask = Ask(
            f"what does {base.name} weigh?",
            f"shopbins set {it.body.group.code} --moving 'base={base.name}; 170mm; 48kg'",
            2,
        )
        yield BASE.open(it.subjects, f"{text}; what it weighs is not told", ask)
        return
    if it.kind in HOISTS:
        words = f"{base.name} off while it hangs: drawn out by a hook"
        yield BASE.only(it.subjects, words, text, measured=base.height_mm, unit="mm")
        return
    if it.kind not in JACKED:
        ends = ("a hoist that lifts it off and carries it", "skates or a trolley, jacked onto")
        yield BASE.open(it.subjects, f"{text}: how, is not looked at on {it.gear.gear.name}", ends=ends)
        return
    yield BASE.only(it.subjects, f"{base.name} off", text, measured=base.height_mm, unit="mm")


# --- what is shifted
# ---------------------------------------------------------------------------------------------


def shifts(it: Situation) -> Iterator[Part]:
    """Judge what shifts the things in the way: weighed, and by hand or by gear that takes it."""
    shift = None if it.attempt is None else it.attempt.shift
    if shift is None:
        return
    alike: dict[tuple[str, str, int], list[Shifted]] = {}
    for each in shift.items:
        if each.by is None:
            ask = Ask(f"what does {each.name} weigh?", f"shopbins set {each.code} --mass 100kg", 2)
            subjects = (*it.subjects, each.subject)
            yield SHIFT.open(subjects, f"{each.name} is not weighed, and has to be shifted", ask)
        elif each.by.how in ("own move", "nothing"):
            yield _not_shifted(it, each, each.by)
        elif each.by.how != "hands" or short_of(it.scene, each.by.people):
            alike.setdefault((each.by.how, each.by.gear, each.by.people), []).append(each)
    for items in alike.values():
        yield _shifted_on(it, items)
    under = [(each, loose) for each in shift.items if (loose := loose_on(it.scene, each))]
    if under:
        which = under[0][0].name if len(under) == 1 else f"{len(under)} things shifted"
        said = "; ".join(f"on {each.name}, which is shifted: {', '.join(loose)}" for each, loose in under)
        words = f"what lies on {which} made fast, or off"
        yield SHIFT.only((*it.subjects, "shift", "loose"), words, f"loose {said}: off first, or made fast")


def loose_on(scene: Scene, it: Shifted) -> list[str]:
    """Return the names of what lies loose on a thing that is shifted."""
    kind, _, key = it.subject.partition(":")
    if kind != "group":
        return []
    every = (scene.group(each) for each in scene.children(key))
    return [g.shown for g in every if isinstance(g.where, InGroup) and g.where.how == "on"]


def _not_shifted(it: Situation, each: Shifted, by: By) -> Part:
    """Refuse to shift what no gear takes as it stands; what jacks and skates take is a move of its own."""
    subjects = (*it.subjects, each.subject)
    text = f"{each.name} ({show_mass(each.mass_kg)}) has to be shifted, beyond three people"
    more: dict[str, Any] = {"measured": each.mass_kg, "limit": MOST_KG, "unit": "kg"}
    text += f"; {by.why}" if by.why else "; no truck or hoist is told of"
    if by.how == "own move":
        first = f"{each.name} moved first, a move of its own on {by.gear}"
        return SHIFT.no(subjects, text, (f"{first}: shopbins move {each.code} PLACE",), **more)
    return SHIFT.no(subjects, text, (f"gear that takes {each.name}", "another way round it"), **more)


def _shifted_on(it: Situation, items: Sequence[Shifted]) -> Part:
    """Say what gear, or team, shifts some things."""
    by = items[0].by
    assert by is not None
    named = ", ".join(f"{each.name} ({show_mass(each.mass_kg)})" for each in items)
    which = items[0].name if len(items) == 1 else f"{len(items)} things"
    worst = max(each.mass_kg or 0.0 for each in items)
    if by.how == "hands":
        text = f"{named}: by hand, {TEAM}; more people than are told of"
        words = f"{people_of(it.scene, by.people)} shift {which}"
        return SHIFT.only(
            (*it.subjects, "shift", "hands", f"{by.people} people"), words, text, measured=worst, unit="kg"
        )
    if by.how == "team":
        team = looked_at(it.scene, worst)
        text = f"{named}: {'' if team is None else team.said}"
        colour = "" if team is None else f", {team.coloured}"
        which = items[0].name if len(items) == 1 else f"{len(items)}"
        words = f"{people_of(it.scene, by.people)} shift {which}{colour}"
        more: dict[str, Any] = {"measured": worst, "limit": PURPLE_KG[by.people], "unit": "kg"}
        return SHIFT.only((*it.subjects, "shift", "team", f"{by.people} people"), words, text, **more)
    limit = team_for(it.scene, worst, HANDS_MM)[1]
    text = f"beyond three people, {show_mass(limit)}: {named} on {by.gear}; its way there is looked at first"
    text += "".join(f"; {why}" for why in dict.fromkeys(each.by.why for each in items if each.by) if why)
    words = f"{'look first: ' if by.how == 'looked at' else ''}{by.gear} shifts {which}"
    more = {"measured": worst, "limit": limit, "unit": "kg"}
    first = ("looked at",) if by.how == "looked at" else ()
    return SHIFT.only((*it.subjects, "shift", by.gear, *first), words, text, **more)


# --- slings
# -------------------------------------------------------------------------------------------------------


def _sling_runs(load: Load, apart: float) -> list[tuple[float, float]]:
    """Return how far the two sling points farthest apart are from a centre of gravity between them, in mm,
    for each place it may be at; in the middle, where nobody told.
    """
    if not load.cg_bounded or not apart:
        return [(apart / 2, apart / 2)]
    found = []
    for one, other in itertools.combinations([each.point for each in load.slinging], 2):
        if math.dist(one, other) < apart - 1.0:
            continue
        u = ((other[0] - one[0]) / apart, (other[1] - one[1]) / apart)
        places = ((c.x_mm - one[0]) * u[0] + (c.y_mm - one[1]) * u[1] for c in load.centres())
        found += [(at, apart - at) for at in (min(max(place, 0.0), apart) for place in places)]
    return list(dict.fromkeys(found))


def lifted_over_mm(it: Situation) -> float:
    """Return how far it is lifted at least to hang, to clear sills on its way and to come off its base."""
    sill = max((edge.height_mm for edge in it.edges), default=0.0)
    return max(it.own["hung lift"], sill + it.own["carry clear"], off_its_base_mm(it))


def off_its_base_mm(it: Situation) -> float:
    """Return how high over the floor it comes clear off its base; 0 where that stays or is out."""
    return it.body.down_mm + PACKED_OVER_MM if it.body.down_mm else 0.0


def slings(it: Situation) -> Iterator[Part]:
    """Judge the angle of slings at the height it is lifted to, and say what pulls in each leg.

    The hook goes as high as at the reach it is carried at, over the centre of gravity. Two legs are taken to
    bear, the nearer to that more of it. Where the points are not told, at 45 degrees. Flatter than 30 no
    slings do: a beam, or lifted less.
    """
    if it.kind not in HOISTS:
        return
    hook, load = it.gear.hook_mm, it.load
    if hook is None or load.sling_height_mm is None:
        return
    sill = max((edge.height_mm for edge in it.edges), default=0.0)
    left, lift = hook - load.sling_height_mm, lifted_over_mm(it)
    up = left - lift
    apart = max((math.dist(a.point, b.point) for a in load.slinging for b in load.slinging), default=None)
    runs = _sling_runs(load, apart or 0.0)
    share = 1 / (2 * math.sin(math.radians(45.0)))
    if not apart:
        angle, text = 45.0, f"where {it.name} is slung is not told: two legs at 45 deg or steeper"
    else:
        far, share = max(max(run) for run in runs), sling_share(runs, max(up, 1.0))
        angle = sling_deg(2 * far, max(up, 1.0))
        text = (
            f"slings over {show_length(apart)} with {show_length(max(up, 0.0))} left to the hook, lifted "
            f"{show_length(lift)}, stand at {show_angle(angle)}"
        )
    mass, aside = load.most_kg, len(runs) > 1 or any(abs(a - b) > 1.0 for a, b in runs)
    pull = None if mass is None else show_force(mass * G_M_S2 / 1000 * share)
    if pull is not None:
        worse = "the worse leg, its hook over the centre of gravity" if aside else "each leg"
        text += f", {pull} in {worse}, two bearing"
    more: dict[str, Any] = {"measured": angle, "limit": 45.0, "unit": "deg"}
    legs = "" if pull is None else f"slings for {pull} a leg, "
    if apart and angle < FLATTEST_DEG:
        flat = far * math.tan(math.radians(FLATTEST_DEG))
        most = left - flat
        text += f": flatter than {show_angle(FLATTEST_DEG)}"
        more["limit"] = FLATTEST_DEG
        if most < sill:
            yield SLINGS.no(it.subjects, text, ("a beam between the slings",), **more)
            return
        lifts = None if mass is None else mass * G_M_S2 / 1000 * sling_share(runs, flat)
        if most < off_its_base_mm(it):
            yield SLINGS.only((*it.subjects, "beam"), "a beam between the slings", text, **more)
            return
        at_most = "" if lifts is None else f" with slings for {show_force(lifts)} a leg"
        words = f"a beam between the slings, or lifted {math.floor(most)} mm at most{at_most}"
        yield SLINGS.only((*it.subjects, "beam"), words, text, **more)
    elif apart and angle < 45.0:
        yield SLINGS.only(it.subjects, f"{legs}{show_angle(angle)}, or a beam", text, **more)
    else:
        steep = "45 deg or steeper" if not apart else show_angle(angle)
        yield SLINGS.only(it.subjects, f"{legs}{steep}", text, **more)


def legs_clear(it: Situation) -> Iterator[Part]:
    """Make it a condition that the legs of slings clear the thing above its sling points, where straight to
    the hook they are inside its outline at its top: it may be narrower there, as nobody told.
    """
    load, hook = it.load, it.gear.hook_mm
    points, height = [each.point for each in load.slinging], load.sling_height_mm
    top = load.height_mm if load.own_height_mm is None else load.own_height_mm
    if it.kind not in HOISTS or hook is None or height is None or top is None or len(points) < 2:
        return
    import shapely

    up, over = hook - height - lifted_over_mm(it), top - height
    if over <= 0 or up <= 0:
        return
    share, body = min(1.0, over / up), shapely.Polygon(load.own or load.outline)
    x, y = load.cg_mm or (sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points))
    at_top = [shapely.Point(px + (x - px) * share, py + (y - py) * share) for px, py in points]
    inside = max(body.exterior.distance(at) if body.contains(at) else 0.0 for at in at_top)
    if inside <= it.measured_mm:
        return
    text = (
        f"straight to the hook over the centre of {it.name} the legs of its slings, from "
        f"{show_length(over)} under its top, are {show_length(inside)} inside its outline there: "
        "clear only where it is narrower above its sling points; over its edges they stand flatter and bear "
        "more"
    )
    words = f"legs clear of {it.name} above its slings, or a beam"
    yield HANGS.only((*it.subjects, "legs"), words, text, measured=inside, limit=0.0, unit="mm")
