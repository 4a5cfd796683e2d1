"""Sills and ramps: what a load rolls over from floor to floor, and what it takes to hold it there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from shopbins.answer import Part, Verdict
from shopbins.geometry.segments import segment_gap
from shopbins.geometry.shapes import Outline, Pose
from shopbins.moves.finding import Ask, Check, row_of
from shopbins.moves.fitted import HOISTS, along
from shopbins.moves.floorline import together_at
from shopbins.moves.force import (
    G_M_S2,
    ONE_MAN_N,
    SOURCE,
    downhill_n,
    men_for,
    newtons,
    push,
    roller_share,
    rolling_n,
    step_share,
)
from shopbins.moves.grounding import gears_low
from shopbins.moves.hands import short_of
from shopbins.moves.lines import (
    Pull,
    barred_words,
    best_line,
    in_the_line,
)
from shopbins.moves.onslopes import SLOPE_GEAR
from shopbins.moves.overbends import GROUNDS, Lift, ask_clearance, grounds_at, lifted_there
from shopbins.moves.plates import AT_PLATE, Edge, Laid, Ramps
from shopbins.moves.ramps import (
    NEVER_ON_SLOPES,
    abreast_square,
    bends_over,
    climbs,
    half_track_mm,
    leaning,
    meeting,
    on_floor,
    pad_long_mm,
    rests_on_mm,
    run_for,
    sides_crossed,
    slope_on,
    too_short,
)
from shopbins.moves.route import ASKEW_DEG, open_holes
from shopbins.moves.running import (
    FAR_MM,
    HOW_MUCH,
    RUNS,
    MadeFast,
    against_line,
    also_needed,
    anchors_below,
    brake_stops,
    fast_to,
    few_keep,
    for_halts_only,
    hands_on,
    lies_to_pull,
    no_point,
    puller,
    rolling_on,
    said_aside,
    said_to_drag,
    said_to_swing,
    sized_for,
    spot_ahead,
    stays_by,
)
from shopbins.moves.shares import one_bears
from shopbins.moves.situation import Situation
from shopbins.moves.spans import Span, bridge
from shopbins.moves.standing import (
    ask_cg,
    ask_mass,
    delicate,
    delicate_on,
    tips_at,
)
from shopbins.moves.steered import turned_where_told
from shopbins.rules.covers import may_not_bear
from shopbins.rules.slopes import SLOPING
from shopbins.shop.model import Door, Gear
from shopbins.units import show_force, show_length, show_mass, show_slope

PUSH = Check(
    "move-push",
    "Pushing and holding back",
    f"{SOURCE}; starting it taken at 10 % on any floor for winch, point and block: our own choice",
    "published",
    "winch, tackle or tug; better wheels",
)


LOOSE = Check(
    "move-rollers-uneven",
    "Loose rollers on a floor that is not even",
    "statics of a roller without an axle against a step; what it grips and how deep a dip such a floor has: "
    "own figures",
    "own",
    "boards or plates all along; gear with wheels; tell how even it is (`even`)",
)


SILL = Check(
    "door-sill",
    "Wheels against a sill or the edge of a plate",
    "statics of a wheel against a step: push = load x sqrt(h(2r - h)) / (r - h); ramp 1 in 12: ADA 405.2; "
    "nothing hung over a bare edge: common practice, no source",
    "derived",
    "a ramp on both sides, held from creeping",
)


def sills(it: Situation) -> Iterator[Part]:
    """Judge every wheel that meets a sill together against what pulls; a ramp where that is too much.

    A sill nobody told is not taken to be none: indoors that there is none is a condition, at a yard it is
    asked. The edge of plates over a cover is one, as high as they are thick.
    """
    for door in it.doors:
        if door.threshold_mm is None:
            yield _sill_not_told(it, door)
    if it.kind == "by hand":
        yield from _carried_over(it)
        return
    for edge in it.edges:
        yield from _sill(it, edge)
        yield from _askew(it, edge)
    for laid in it.laid:
        if laid.gear.height_mm is None:
            yield _thickness_not_told(it, laid)


def _carried_over(it: Situation) -> Iterator[Part]:
    """Say of each sill that a team carries it over that no figure for teams holds there."""
    for edge in it.edges:
        text = f"{it.name} is carried over {edge.named} ({show_length(edge.height_mm)}): no figure for teams"
        words = f"assessed on the spot: carried over {edge.named}, {show_length(edge.height_mm)}"
        more: dict[str, Any] = {"measured": edge.height_mm, "limit": 0.0, "unit": "mm", "room": edge.room}
        yield SILL.only((*it.subjects, *edge.subjects), words, text, **more)


def _askew(it: Situation, edge: Edge) -> Iterator[Part]:
    """Say of an edge that the way found does not meet square that it is squared up before it: else the wheels
    of an axle go over one after the other. What is laid there lies under the tracks as found, not under those
    of a way squared up: neither is judged then.
    """
    angle = min((side.angle_deg for side in sides_crossed(it, edge.outline, 0.0)), default=90.0)
    square = 90.0 - it.own["sill aside"]
    if angle >= square:
        return
    text = (
        f"{it.name} meets {edge.named} at {angle:.0f} deg on the way found, where the wheels of an axle go "
        "over one after the other; that no way meets it square is not proved"
    )
    subjects = (*it.subjects, *edge.subjects, "askew")
    more: dict[str, Any] = {"measured": angle, "limit": square, "unit": "deg", "room": edge.room}
    if it.ramps_at(edge) is not None or not edge.is_sill:
        text += "; what is laid there lies for that way, for one squared up it was not looked at"
        yield SILL.open(subjects, text, **more)
    else:
        yield SILL.only(subjects, f"squared up before {edge.name}, {angle:.0f} deg as found", text, **more)


def _thickness_not_told(it: Situation, laid: Laid) -> Part:
    gear = laid.gear
    text = f"how thick {gear.name} is is not told: wheels up its edge over {laid.name} are not checked"
    subjects = (*it.subjects, *laid.covers, f"gear:{gear.key}", AT_PLATE)
    return SILL.open(subjects, text, _ask_thickness(gear), room=laid.room)


def _sill_not_told(it: Situation, door: Door) -> Part:
    subjects = (*it.subjects, f"door:{door.key}", "not told")
    text = f"whether {door.name} has a sill or step is not told: wheels over it are not checked"
    ask = Ask(f"how high is the sill of {door.name}?", f"doors: {door.key}: {{threshold: 0}}", 1)
    rooms = it.scene.shop.rooms
    if any(key in rooms and rooms[key].outdoor for key in (door.room, door.to)):
        return SILL.open(subjects, text, ask, room=door.room)
    words = f"no sill at {door.name}, looked at first"
    return SILL.only(subjects, words, f"{text}; {ask.set} tells it", judged=False, room=door.room)


def ramps(it: Situation) -> tuple[Ramps, ...]:
    """Return what is laid at the edges of the way: of ramps and plates told of what lacks least there.

    Those that meet it come before none at all, and of that and plates that lean on it what pulls least. Where
    there are too few of one kind to lie at every edge at once, another is laid where nothing forbids it.
    """
    if it.kind == "by hand":
        return ()
    found = (by_lack(it, edge)[0][1] for edge in it.edges)
    return tuple(each for each in found if each is not None)


def by_lack(it: Situation, edge: Edge) -> list[tuple[Verdict, Ramps | None]]:
    """Return what may be laid at an edge, None for nothing, what lacks least first, with the worst of what is
    judged of it.
    """
    meets = meeting(it, edge)
    every: list[Ramps | None] = [*meets, None, *(_sagging(it, each) for each in leaning(it, edge))]

    def lacks(laid: Ramps | None) -> tuple[Verdict, bool, float]:
        at = replace(it, ramps=() if laid is None else (laid,))
        parts = [*_sill(at, edge), *tips_at(at, edge)]
        worst = max((p.verdict for p in parts), default=Verdict.YES)
        bare = laid is None and worst > Verdict.ASKED  # what a plate lacks says more
        return worst, bare, -1.0 if laid in meets else max(map(pull_n, parts), default=0.0)

    found = sorted(((lacks(laid), n) for n, laid in enumerate(every)))
    return [(worst, every[n]) for (worst, *_), n in found]


def pull_n(part: Part) -> float:
    """Return what a condition pulls over an edge, in N; 0 where it is about something else."""
    found = row_of(part).finding
    pulls = part.verdict is Verdict.ASKED and found.rule in (SILL.key, PUSH.key) and found.unit == "N"
    return found.measured or 0.0 if pulls else 0.0


def _sill(it: Situation, edge: Edge) -> Iterator[Part]:
    laid = it.ramps_at(edge)
    yield from _bare(it, edge) if laid is None else _ramped(it, laid)


def _bare(it: Situation, edge: Edge) -> Iterator[Part]:
    """Judge wheels that go over an edge with nothing laid at it."""
    yield from _clears(it, edge)
    subjects, step = (*it.subjects, *edge.subjects), edge.height_mm
    short = too_short(it, edge)
    times = run_for(it)
    ends = (f"a ramp of {show_length(times * step)} (1 in {times:.3g}) on each side of {edge.name}",)
    more: dict[str, Any] = {"room": edge.room}
    wheel = _wheel_mm(it)
    if it.kind in HOISTS:
        empty = "set it down before the edge, take the gear over empty, lift it again"
        figures = {**more, "measured": step, "limit": 0.0, "unit": "mm"}
        yield SILL.no(subjects, _swings_over(it, edge), (*ends, empty), **figures)
        return
    if wheel is None:
        yield _wheel_not_told(it, edge.named, step, subjects, edge.room)
        return
    if step_share(wheel, step) is None:
        text = f"{_wheels(it)} of {show_length(wheel)} cannot climb {edge.named} ({show_length(step)})"
        more |= {"measured": step, "limit": wheel / 2, "unit": "mm"}
        yield SILL.no(subjects, f"{text}; {short}" if short else text, ends, **more)
        return
    climb, _ = climbs(it, edge, wheel)
    found = _over_step(it, edge.named, step, climb)
    if found is None:
        return
    over = edge.named.removeprefix("the ")
    if (stops_over := _rollers_stop_mm(it, step)) is not None:
        figures = {**more, "measured": step, "limit": stops_over, "unit": "mm"}
        edge_mm = show_length(math.floor(10 * stops_over) / 10)
        text = f"{found.text}, {STOPS}; ramps over it that end thin, or boards all along from where it is "
        text += f"jacked: the edge of a board is a step too, no more than {edge_mm}"
        words = f"thin-ended ramps for rollers over {over}: no edge over {edge_mm}"
        yield SILL.only(subjects, words, text, **figures)
        return
    need, gives = found.need_n, hands_on(it, apart=delicate(it)) * ONE_MAN_N
    more |= {"measured": need, "limit": gives, "unit": "N"}
    text = f"{found.text}; {newtons(gives)} by hand"
    if found.lifts and need > gives:
        text += ": more than lifting it over"
        yield SILL.no(subjects, f"{text}; {short}" if short else text, ends, **more)
    elif need > gives:
        fast = _pulled_over(it, edge, need)
        by, said = puller(it, fast.most_n)
        words = f"{by or 'winch'} for {newtons(fast.most_n)} over {over}{fast.few}, or ramp"
        text += f": {by or 'a winch'}{said}{fast.said}; or {ends[0]}"
        yield SILL.only(subjects, words, text, spots=fast.spots, **more)
    else:
        yield SILL.note(subjects, text, **more)


def _swings_over(it: Situation, edge: Edge) -> str:
    """Say that what hangs from a hoist goes over no bare edge, and how far that would swing it."""
    wheel, step = _wheel_mm(it), edge.height_mm
    found = None if wheel is None else _over_step(it, edge.named, step, climbs(it, edge, wheel)[0])
    text = f"{it.name} hangs from {it.gear.gear.name}: no hung load goes over {edge.named}"
    text += f" ({show_length(step)}) bare"
    if found is None or not it.whole_kg:
        return text
    swing = math.degrees(math.atan(found.need_n / (it.whole_kg * G_M_S2)))
    return f"{text}; {found.text}, and as it lets go that swings {swing:.0f} deg"


@dataclass(frozen=True, slots=True)
class _Step:
    """What it takes to get wheels up a step, in N and in words; `lifts`: no less than lifting them."""

    need_n: float
    text: str
    lifts: bool


def _over_step(it: Situation, named: str, step_mm: float, climb: float) -> _Step | None:
    """Return what it takes to get the wheels that meet a step together up it, on a floor that climbs so much:
    there the slope pulls on all of it besides. None where no wheel gets up it, or nothing was weighed.
    """
    wheel, load = _wheel_mm(it), together_kg(it)
    share = None if wheel is None else _share_over(it, wheel, step_mm)
    if wheel is None or share is None or load is None:
        return None
    slope_n = downhill_n(it.whole_kg or load, climb)
    need = rolling_n(load, share, climb) + slope_n
    text = (
        f"{_wheels(it)} of {show_length(wheel)} with {show_mass(load)} on them need {newtons(need)} over "
        f"{named} ({show_length(step_mm)}), {share:.3f} of their load"
    )
    text += f" and {newtons(slope_n)} for a climb of {show_slope(climb)}" if slope_n > 0 else ""
    return _Step(need, text, share >= 1.0)


def _share_over(it: Situation, wheel_mm: float, step_mm: float) -> float | None:
    """Return what pushes wheels over a step, as a share of the load on them; None where they cannot."""
    return (roller_share if it.kind == "rollers and bar" else step_share)(wheel_mm, step_mm)


def _rollers_stop_mm(it: Situation, step_mm: float) -> float | None:
    """Return the highest step that loose rollers surely grip, where this is higher; None where it is not, or
    they are none. Of a diameter D and a grip g it is D g^2 / (1 + g^2).
    """
    roller, grip = _wheel_mm(it), it.own["roller grip"]
    if it.kind != "rollers and bar" or roller is None:
        return None
    most = roller * grip**2 / (1 + grip**2)
    return most if step_mm > most else None


STOPS = "by grip alone at runner and edge: it may stop there, and what is pulled on slides off it"


def loose_rollers(it: Situation) -> Iterator[Part]:
    """Make boards all along a condition where loose rollers would stop in a dip of a floor that is told to be
    uneven, or that one has looked where nobody told that it is even: in each room by itself.
    """
    deep = it.own["dip on uneven"]
    stops = _rollers_stop_mm(it, deep)
    if stops is None:
        return
    for room in dict.fromkeys(leg.room for leg in it.legs if not leg.room.even):
        least, told = show_length(stops), "told to be uneven" if room.even is False else "not told to be even"
        words = f"boards all along {room.name} for rollers: {least} stops them"
        if room.even is None:
            words = f"looked at for rollers: no edge over {least} in {room.name}"
        text = f"{room.name} is {told}: an edge over {least} stops loose rollers of "
        text += f"{show_length(_wheel_mm(it) or 0.0)}, {STOPS}; such a floor may have {show_length(deep)}"
        more: dict[str, Any] = {"measured": deep, "limit": stops, "unit": "mm", "room": room.key}
        yield LOOSE.only((*it.subjects, f"room:{room.key}"), words, text, **more)


def _wheels(it: Situation) -> str:
    return "rollers" if it.kind == "rollers and bar" else "wheels"


def _wheel_mm(it: Situation) -> float | None:
    gear = it.gear.gear
    return gear.height_mm if gear.kind == "rollers and bar" else gear.wheel_mm


def _wheel_not_told(it: Situation, named: str, step_mm: float, subjects: tuple[str, ...], room: str) -> Part:
    gear = it.gear.gear
    text = f"whether wheels of {gear.name} go over {named} ({show_length(step_mm)}) is not known"
    key = "height" if gear.kind == "rollers and bar" else "wheel"
    ask = Ask(f"how big is the smallest wheel of {gear.name}?", f"gear: {gear.key}: {{{key}: 80}}", 1)
    return SILL.open(subjects, text, ask, room=room)


def _clears(it: Situation, edge: Edge) -> Iterator[Part]:
    """Compare what is free under gear and thing with an edge that goes by under them, all of it at once."""
    step, lift, gear = edge.height_mm, it.gear.up_mm, it.gear.gear
    if it.kind in HOISTS:
        return
    subjects = (*it.subjects, *edge.subjects, "under it")
    more: dict[str, Any] = {"room": edge.room, "measured": step, "unit": "mm"}
    at = f"{edge.named} is {show_length(step)} high"
    for low in gears_low(it)[:1]:
        if low.high_mm is None:
            text = f"{at}: what is free under {gear.name} is not told"
            yield GROUNDS.open((*subjects, "gear"), text, ask_clearance(gear))
        elif step >= low.high_mm:
            text = f"{at}, {show_length(low.high_mm)} is free under {gear.name}"
            ends = ("a ramp on each side",)
            yield GROUNDS.no((*subjects, "gear"), text, ends, limit=low.high_mm, **more)
    if lift is None:
        return
    need = step + it.own["carry clear"]  # what it stands on hangs lowest
    if lift[1] <= step:
        text = f"{at}, {show_length(lift[1])} is free under {it.name} at most"
        yield GROUNDS.no(subjects, text, ("gear that lifts it higher",), limit=lift[1], **more)
    elif lift[0] < min(need, lift[1]):
        ends = (f"ramps on each side of {edge.name}",)
        yield lifted_there(
            it, edge, subjects, Lift(min(need, lift[1]), edge.rooms, f"over {edge.name}", at, ends), more
        )


def _ramped(it: Situation, laid: Ramps) -> Iterator[Part]:
    """Judge ramps up and down an edge as the short slopes they are: what they hold, how wide, how steep."""
    gear, edge, ramp = it.gear.gear, laid.edge, laid.gear
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}")
    step = edge.height_mm
    at = f"{ramp.name} over {edge.named} ({show_length(step)})"
    more: dict[str, Any] = {"room": edge.room}
    yield from _enough(it, laid, at, subjects)
    yield from _ramp_holds(it, laid, at, subjects)
    yield from _leaning_bends(it, laid, at, subjects)
    climb = max(climbs(it, edge, laid.run_mm))
    fall, steep = on_floor(laid.steepest, climb), slope_on(laid.steepest, climb)
    figures = {**more, "measured": fall, "limit": gear.steepest or SLOPING, "unit": "slope"}
    if fall > SLOPING and it.kind in NEVER_ON_SLOPES:
        yield SLOPE_GEAR.no(subjects, f"{at}: a loaded {it.kind} never goes over a ramp", **figures)
    elif gear.steepest is not None and fall > gear.steepest * (1 + 1e-9):
        text = f"{at} is {steep}; the handbook of {gear.name} allows {show_slope(gear.steepest)}"
        yield SLOPE_GEAR.no(subjects, text, ("longer ramps",), **figures)
    elif gear.steepest is None and fall > SLOPING:
        words = f"handbook of {gear.name} allows {show_slope(fall)}"
        yield SLOPE_GEAR.only(subjects, words, f"{at} is {steep}", **figures)
    yield from _over_ramp(it, laid)


def _enough(it: Situation, laid: Ramps, at: str, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Judge whether there are as many as lie there, and every wheel's track on the way lies whole on one."""
    ramp, edge, width = laid.gear, laid.edge, laid.width_mm
    more: dict[str, Any] = {"room": edge.room}
    if width is None:
        wide = f", {laid.wide_mm:.0f} wide" if laid.wide_mm else ""
        words = f"{ramp.name} at least {laid.run_mm:.0f} mm long{wide}"
        yield SILL.only((*subjects, "size"), words, f"{at}: its size is not told", **more)
        return
    told = ramp.count is None or ramp.count >= laid.count
    if laid.abreast and told:
        return
    square = abreast_square(it, width)
    if laid.abreast:
        beside = f", {laid.abreast} side by side on each" if laid.abreast > 1 else ""
        text, lacks = f"{at}: an edge has two sides{beside}; {ramp.count} told of", "count"
        figures: dict[str, Any] = {"measured": ramp.count, "limit": laid.count, "unit": "count"}
        ends = f"{laid.count} of {ramp.name}"
    else:
        text = f"{at}: {show_length(width)} wide, the wheels take {show_length(laid.wide_mm)}"
        figures, lacks, ends = (
            {"measured": width, "limit": laid.wide_mm, "unit": "mm"},
            "size",
            "a wider ramp",
        )
    if laid.angle_deg < 90.0 - ASKEW_DEG:
        text += f", crossed as found at {laid.angle_deg:.0f} deg to the edge"
    if square and it.legs and (ramp.count is None or ramp.count >= 2 * square):
        # That none was found proves none: it forbids nothing, and nobody may take it for a way.
        sought = turned_where_told(it.gear)
        text += "; no way was found that crosses it square" if sought else NOT_SOUGHT_SQUARE
        text += f", where {2 * square} would do"
        yield SILL.open((*subjects, lacks), text, **more, **figures)
    else:
        yield SILL.no((*subjects, lacks), text, (ends,), **more, **figures)


NOT_SOUGHT_SQUARE = "; a way that crosses it square was not looked for"


def _ramp_holds(it: Situation, laid: Ramps, at: str, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Compare what is on ramps at once with what one holds."""
    ramp, on_it = laid.gear, together_kg(it)
    more: dict[str, Any] = {"room": laid.edge.room}
    if ramp.capacity_kg is None:
        ask = Ask(f"what does {ramp.name} hold?", f"gear: {ramp.key}: {{capacity: 1 t}}", 1)
        yield SILL.open((*subjects, "holds"), f"what {ramp.name} holds is not told", ask)
    elif on_it is not None and on_it > ramp.capacity_kg * (1 + 1e-9):
        text = f"{at}: {show_mass(on_it)} on the wheels that are on it at once"
        more |= {"measured": on_it, "limit": ramp.capacity_kg, "unit": "kg"}
        yield from _one_ramp_holds(it, laid, text, on_it, (*subjects, "holds"), more)


def _one_ramp_holds(
    it: Situation, laid: Ramps, text: str, on_it: float, subjects: tuple[str, ...], more: dict[str, Any]
) -> Iterator[Part]:
    """Compare what one of ramps side by side bears with what it holds: by the share of the skate on it."""
    ramp, holds = laid.gear, laid.gear.capacity_kg or 0.0
    one, ends = one_bears(it), ("a stronger ramp",)
    each = f"each holds {show_mass(holds)}"
    if one is None or laid.abreast < 2 or on_it / laid.abreast > holds * (1 + 1e-9):
        yield SILL.no(subjects, f"{text}, {each}", ends, **more)
        return
    text += f", one wheel ({one.which}) may bear {show_mass(one.most_kg)}, {each}"
    more |= {"measured": one.most_kg}
    if one.least_kg > holds * (1 + 1e-9):
        yield SILL.no(subjects, text, ends, **more)
    elif one.most_kg > holds * (1 + 1e-9) and it.load.cg_told:
        yield SILL.again(subjects, text, (f"mass and centre of gravity of {it.name}",), **more)
    elif one.most_kg > holds * (1 + 1e-9):
        yield SILL.open(subjects, text, ask_cg(it), **more)
    elif one.of > 2 * laid.abreast:  # two wheels of one end may be on one of them
        words = f"no {ramp.name} carries over {show_mass(holds)}, looked at first"
        yield SILL.only(subjects, words, text, **more)
    else:
        yield SILL.note(subjects, text, **more)


def _leaning_bends(it: Situation, laid: Ramps, at: str, subjects: tuple[str, ...]) -> Iterator[Part]:
    """Judge how a plate that lies hollow between the floor and an edge bends, as one over a cover."""
    ramp, edge, width, one = laid.gear, laid.edge, laid.width_mm, one_bears(it)
    if ramp.kind != "plate" or width is None:
        return
    span = _hollow(it, laid, width)
    least = 0.0 if one is None or any(stance.assumed for stance in it.gear.stances) else one.least_kg
    found = bridge(ramp, span, _on_one_kg(it, laid), least, 0.0, laid.count)
    more: dict[str, Any] = {"room": edge.room}
    if isinstance(found, str):
        text = f"{at} lies hollow between floor and edge: {found}"
        yield SILL.no((*subjects, "bends"), text, ("thicker or shorter plates, or ramps",), **more)
    elif found.words:
        text = f"{at} lies hollow between floor and edge{found.said and ': '}{found.said}"
        yield SILL.only((*subjects, "bends"), f"{ramp.name} at {edge.name}{found.words}", text, **more)


def _hollow(it: Situation, laid: Ramps, width_mm: float) -> Span:
    """Return what a plate that leans bridges, between the floor and its edge."""
    return Span(laid.run_mm, min(width_mm, laid.run_mm + 2 * half_track_mm(it)), pad_long_mm(it))


def _sagging(it: Situation, laid: Ramps) -> Ramps:
    """Return a plate that leans with how far it sags if of steel, no lower than the floor below it; as it
    is where that is not known.
    """
    kg, width, thick = _on_one_kg(it, laid), laid.width_mm, laid.gear.height_mm
    if kg is None or not width or not thick:
        return laid
    return replace(laid, sag_mm=min(_hollow(it, laid, width).sag_mm(kg, thick), laid.edge.height_mm / 2))


def _on_one_kg(it: Situation, laid: Ramps) -> float | None:
    """Return the most in mid-span, in kg, that bends one of plates at an edge as what is on it does: the
    wheel on it, where those of an end have one each, else all of an end; and the other end behind it.

    Two like loads P, b apart on a span L, make P (L - b/2)^2 / 2 L at the most, one alone P L / 4 (statics).
    """
    end, one = together_kg(it), one_bears(it)
    if end is None:
        return None
    if one is not None and laid.abreast > 1 and one.of <= 2 * laid.abreast:
        end = min(end, one.most_kg)
    places = [along(p, it.gear.axis_deg) for p in it.gear.wheels] or [0.0]
    apart = min(1.0, (max(places) - min(places)) / laid.run_mm)
    return min(it.whole_kg or end, end * max(1.0, 2 * (1 - apart / 2) ** 2))


def _over_ramp(it: Situation, laid: Ramps) -> Iterator[Part]:
    """Say what a ramp takes: push up it and over its edges, held down it, carried high enough over it."""
    edge, ramp = laid.edge, laid.gear
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}")
    more: dict[str, Any] = {"room": edge.room}
    climb, drop = climbs(it, edge, laid.run_mm)
    rolling = rolling_on(it.scene.shop.rooms[edge.room])
    whole, least = it.whole_kg, it.load.mass_kg
    up = push(whole or 0.0, -on_floor(laid.steepest, climb), rolling=rolling)
    rises = ramp.kind == "ramp" and ramp.rise_mm is None
    each = f"{laid.count // 2} on each side of {edge.name}"
    rests, wanted = f", {laid.rests_mm:.0f} mm on the sill", rests_on_mm(it, edge)
    rests += f" ({wanted:.0f} wanted)" if laid.rests_mm < wanted - 0.5 else ""
    rests = f"{rests}{laid.packing}" if laid.rests_mm else ""
    text = f"{laid.count} of {ramp.name}, {each}{rests}, {show_slope(laid.fall)}"
    if laid.sag_mm:
        text += f", {show_slope(laid.steepest)} under a wheel where it sags, {laid.sag_mm:.1f} mm"
    text += f", which rises {show_length(edge.height_mm)}" if rises else ""
    takes = "how much it takes up it is not known" if whole is None else f"{up.words} up"
    text += f", held from creeping: {takes}"
    yield SILL.only(subjects, f"{laid.words}{rests}, held from creeping", text, **more)
    steps = list(_ramp_edges(it, laid, climb))
    yield from (part for part in steps if isinstance(part, Part))
    worst = max((step for step in steps if isinstance(step, _Step)), key=lambda s: s.need_n, default=None)
    most = hands_on(it, apart=delicate_on(it, laid))
    drive = up.start_n if men_for(up.steady_n) > most else 0.0
    stepped = 0.0 if worst is None or worst.need_n <= most * ONE_MAN_N else worst.need_n
    if worst is not None:
        text += f"; {worst.text}"
    if need := max(drive, stepped):
        fast = _pulled_over(it, edge, need)
        by, said = puller(it, fast.most_n)
        words = f"{by or 'winch or tackle'} for {newtons(fast.most_n)} at {ramp.name}{fast.few}"
        starts = " to start it there" if drive > stepped else ""
        text += f": {by or 'winch or tackle'} with {newtons(fast.most_n)}{starts}{said}{fast.said}"
        yield PUSH.only((*subjects, "up"), words, text, spots=fast.spots, **more, measured=need, unit="N")
    held = None if least is None else _held_on_ramp(it, laid, drop, least if whole is None else whole)
    if held is not None and (whole is not None or held.verdict is Verdict.NO):
        yield held
    else:
        down, steep = (*subjects, "down"), slope_on(laid.steepest, drop)
        text = f"{it.name} down {ramp.name} at {edge.name}, {steep}: {HOW_MUCH}"
        yield RUNS.open(down, text, ask_mass(it), **more)
        words = f"nobody ahead down {ramp.name}"
        yield RUNS.only((*down, "ahead"), words, text, at=edge.subjects, **more)
    if it.gear.stances and it.kind not in HOISTS and together_at(it, edge) is None:
        yield from grounds_at(it, bends_over(laid), subjects, edge)


def _ramp_edges(it: Situation, laid: Ramps, climb: float) -> Iterator[Part | _Step]:
    """Judge wheels up the edge of what is laid: at its foot from the floor, at its top from its own slope."""
    edge, ramp = laid.edge, laid.gear
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}", "edge")
    if laid.foot_mm is None or laid.top_mm is None:
        text = f"how thick {ramp.name} is is not told: wheels up its edge at {edge.name} are not checked"
        yield SILL.open(subjects, text, _ask_thickness(ramp), room=edge.room)
        return
    wheel, gives = _wheel_mm(it), it.own["pushers"] * ONE_MAN_N
    top = "the edge of" if laid.top_mm == laid.foot_mm else "the step on top of"
    for named, step, slope in (
        (f"the edge of {ramp.name}", laid.foot_mm, climb),
        (f"{top} {ramp.name}", laid.top_mm, on_floor(laid.fall, climb)),
    ):
        if step <= 0:
            continue
        if wheel is None:
            yield _wheel_not_told(it, named, step, subjects, edge.room)
            return
        found = _over_step(it, f"{named} at {edge.name}", step, slope)
        more: dict[str, Any] = {"room": edge.room, "measured": step, "limit": wheel / 2, "unit": "mm"}
        if found is not None and (stops_over := _rollers_stop_mm(it, step)) is not None:
            words = f"thin end for rollers up {named.removeprefix('the ')} at {edge.name}"
            yield SILL.only(subjects, words, f"{found.text}, {STOPS}", **{**more, "limit": stops_over})
            continue
        ends = (f"a ramp that ends thin, or a thinner one, at {edge.name}",)
        if step_share(wheel, step) is None:
            text = f"wheels of {show_length(wheel)} cannot climb {named} at {edge.name} ({show_length(step)})"
            yield SILL.no(subjects, text, ends, **more)
            return
        if found is not None and found.lifts and found.need_n > gives:
            more |= {"measured": found.need_n, "limit": gives, "unit": "N"}
            yield SILL.no(subjects, f"{found.text}: more than lifting it over", ends, **more)
            return
        if found is not None:
            yield found


def _ask_thickness(gear: Gear) -> Ask:
    return Ask(f"how thick is {gear.name}?", f"gear: {gear.key}: {{height: 20}}", 1)


def _held_on_ramp(it: Situation, laid: Ramps, drop: float, whole: float) -> Part:
    """Judge what holds it down a ramp: a brake, a line from behind to a named point, or hands.

    What a low sill lets loose spends itself soon: where the level floor ahead is long enough for that, what
    holds it is a condition without a named point.

    On a ramp shorter than its wheelbase only the wheels that are on it pull so; what is on a floor that drops
    pulls as that does.
    """
    edge, ramp, run = laid.edge, laid.gear, laid.run_mm
    fall = on_floor(laid.steepest, drop)
    places = [along(p, it.gear.axis_deg) for p in it.gear.wheels]
    short = bool(places) and run < max(places) - min(places)
    subjects = (*it.subjects, *edge.subjects, f"gear:{ramp.key}", "down")
    steep = slope_on(laid.steepest, drop)
    on_it = (together_kg(it) or whole) if short else whole
    force = downhill_n(on_it, fall) + downhill_n(whole - on_it, drop)
    text = f"{it.name} down {ramp.name} at {edge.name}, {steep}, runs with {newtons(force)}"
    more: dict[str, Any] = {"room": edge.room, "measured": force, "limit": 0.0, "unit": "N"}
    if brake_stops(it):
        words = f"brake of {it.gear.gear.name} tried before {ramp.name}"
        return RUNS.only(subjects, words, f"{text}: its brake holds it", **more)
    apart, few = delicate_on(it, laid), few_keep(it, force)
    if few and not apart:
        words = f"held by hand down {ramp.name} ({newtons(force)}){short_of(it.scene, men_for(force))}"
        return RUNS.only(subjects, words, text, **more)
    text += "; with so little tilt left nobody is beside it" if apart else ""
    if few and men_for(force) == 1:
        how = "by its handle" if it.kind == "pallet truck" else "on a long line"
        words = f"one {how} down {ramp.name}: {newtons(force)}"
        text += f": one person holds it {how}, from as far off as it is high"
        return RUNS.only(subjects, words, text, **more)
    stays = stays_by(it, it.scene.shop.rooms[edge.room], force, fall, float(it.gear.steering != "axis"))
    line = best_line(it, _from_behind(it, edge), force, stays.surely_deg)
    out_mm = laid.fall * run / (SLOPING - drop) if drop < SLOPING else math.inf
    if line is None and few:
        words = f"line holds it down {ramp.name} ({newtons(force)})"
        return RUNS.only(subjects, words, f"{text}: held by a line or tackle from behind", **more)
    near, every = out_mm <= it.own["runs out"], _ends_ahead(it, edge, run)
    ahead = next((end for end in every if end.surely), None)
    goes_down = ahead is not None and bool(ahead.at) and out_mm > ahead.mm
    perhaps = next(
        (e for e in every if not e.surely and e.mm < min(out_mm, ahead.mm if ahead else 0.0)), None
    )
    if line is None and not goes_down and (near or (ahead is not None and out_mm <= ahead.mm)):
        if perhaps is not None:
            text += (
                f"; let go it rolls {show_length(out_mm)} on, {perhaps.at} is {show_length(perhaps.mm)} on"
            )
            if perhaps.takes is None:
                return RUNS.open(subjects, f"{text}: what it takes is not known", perhaps.ask, **more)
            text += f" and takes {show_force(perhaps.takes[0])} (own figure)"
        n = men_for(force)
        by = "line holds" if apart else f"line or {n} men{short_of(it.scene, n)} hold"
        words = f"{by} it down {ramp.name}, nobody "
        words += "ahead" if near else f"within {show_length(out_mm)} ahead"
        far = f"let go it comes to rest {show_length(out_mm)} on, at 2 % on the level"
        if not near and ahead is not None:
            far += (
                f", {show_length(ahead.mm)} of level floor ahead: nothing stands there, it is looked at first"
            )
        return RUNS.only(subjects, words, f"{text}; {far}", at=edge.subjects, **more)
    if line is None:
        where = f"on the side of {edge.name} that it comes from"
        ends = (f"a line to a named point {where}, {newtons(force)}", "gear whose brake comes on by itself")
        barred = barred_words(in_the_line(it, _from_behind(it, edge), force))
        why = f"no anchor {where} is named{barred}, and {for_halts_only(it)}"
        if goes_down and ahead is not None:
            why = f"let go it rolls {show_length(out_mm)} on, {ahead.at} is {show_length(ahead.mm)} on; {why}"
        return RUNS.no(subjects, f"{text}: {why}", ends, **more)
    text += f": a line to {line.placed}, {newtons(line.pull_n)}, {said_aside(line)} behind it"
    against = against_line(it, line, subjects, text, more)
    if against is not None:
        return against
    text += f"{said_to_drag(force, line, '; ')}{said_to_swing(it, line, stays)}"
    sized, said = sized_for(it, line)
    other, first = also_needed(it, line, stays)
    words = f"line to {line.called}{other}{sized} down {ramp.name}{first}"
    return RUNS.only(subjects, words, f"{text}{said}", **more)


def _from_behind(it: Situation, edge: Edge) -> list[Pull]:
    """Return where a line holds it that drives out of a doorway; [] where it drives through none."""
    way = _through(it, edge)
    return [] if way is None else [Pull(Pose(*edge.middle, 0.0), way + math.pi)]


def _through(it: Situation, edge: Edge) -> float | None:
    """Return which way it drives through a doorway, in rad in the shop frame; None where it does not."""
    if not (drive := _driven(it, edge)):
        return None
    a, b = drive
    return math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm)


def _driven(it: Situation, edge: Edge) -> tuple[Pose, ...]:
    """Return from where to where it is driven through a doorway in one piece; () where it does not."""
    drives = [
        (a, b)
        for a, b in itertools.pairwise(it.path)
        if math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) > DRIVEN_MM
    ]
    return min(drives, key=lambda d: segment_gap(edge.middle, d[0][:2], d[1][:2])[0], default=())


def _tracks_through(it: Situation, edge: Edge, way: float) -> list[tuple[float, float]]:
    """Return what wheels take across the way through a doorway, from its middle to the left: each track of
    gear that only rolls straight on, else all between; where the wheels are not told, all of it.
    """
    pose, (x, y) = _driven(it, edge)[0], edge.middle
    points = it.at(pose, it.gear.wheels or it.hull)
    every = [(py - y) * math.cos(way) - (px - x) * math.sin(way) for px, py in points]
    half = half_track_mm(it) + it.measured_mm
    if it.gear.steering == "axis" and it.gear.wheels:
        return [(at - half, at + half) for at in every]
    return [(min(every) - half, max(every) + half)]


class _Ahead(NamedTuple):
    """How far a thing let go on a ramp may run on from its foot, and what ends the level floor there: '' a
    wall, which it comes to with its front, else what its wheels would go down in. Not `surely`: a cover that
    may hold them, with what it takes (kN, as `bears_kn`; None: not told), and what is asked then.
    """

    mm: float
    at: str
    surely: bool = True
    takes: tuple[float, float] | None = None
    ask: Ask | None = None


def _ends_ahead(it: Situation, edge: Edge, run_mm: float) -> list[_Ahead]:
    """Return what ends the level floor ahead of a thing that drives out over an edge, the nearest first, from
    where its last wheels leave a ramp so long; [] where it drives over none. What it has come over, as a
    cover under its plates, is behind it.
    """
    import shapely

    way, (x, y) = _through(it, edge), edge.middle
    if way is None:
        return []
    c, s = math.cos(way), math.sin(way)
    rooms = it.scene.shop.rooms
    ray = shapely.LineString([(x, y), (x + FAR_MM * c, y + FAR_MM * s)])
    floor = shapely.union_all([shapely.Polygon(rooms[key].outline) for key in edge.rooms])
    first = min(
        (p for p in shapely.get_parts(ray.intersection(floor)) if p.length > 0),
        key=lambda p: p.distance(shapely.Point(x, y)),
        default=None,
    )
    past = max((px - x) * c + (py - y) * s for px, py in edge.outline)
    over = past + run_mm
    wheels, hull = ([along(p, it.gear.axis_deg) for p in some] or [0.0] for some in (it.gear.wheels, it.hull))
    long = max(max(hull) - min(wheels), max(wheels) - min(hull))
    wall = 0.0 if first is None else max(math.dist((x, y), p) for p in first.coords)
    found = [_Ahead(max(0.0, wall - over - long), "")]
    far = past, max(wall, past + 1.0)
    strips = [
        [
            (x + f * c - at * s, y + f * s + at * c)
            for f, at in zip((*far, *far[::-1]), (a, a, b, b), strict=True)
        ]
        for a, b in _tracks_through(it, edge, way)
    ]
    strip = shapely.union_all([shapely.Polygon(each) for each in strips])
    for outline, end in _falls_away(it, way):
        there = shapely.get_coordinates(strip.intersection(shapely.Polygon(outline)))
        if len(there):
            near = min((px - x) * c + (py - y) * s for px, py in there)
            found.append(end._replace(mm=max(0.0, near - over - (max(wheels) - min(wheels)))))
    return sorted(found, key=lambda end: (end.mm, end.at))


def _falls_away(it: Situation, way: float) -> Iterator[tuple[Outline, _Ahead]]:
    """Go through what wheels that run on one way would go down in, each with where it is, at 0 mm: open pits,
    covers that may not take them, floors on which it runs away.
    """
    shop, kg = it.scene.shop, together_kg(it)
    floors = [room.outline for room in shop.rooms.values()]
    for hole in open_holes(shop, floors):
        yield hole.outline, _Ahead(0.0, hole.name)
    kn = math.inf if kg is None else kg * G_M_S2 / 1000.0
    for cover, takes in may_not_bear(shop, kn, it.own["cover of test"], G_M_S2):
        surely = kg is not None and takes is not None and takes[1] < kn
        ask = Ask(f"what does {cover.name} take?", cover.asked, 2) if takes is None else None
        yield cover.outline, _Ahead(0.0, cover.name, surely, takes, ask)
    for room in shop.rooms.values():
        slope = room.slope
        if slope is not None and slope.fall * math.cos(way - math.radians(slope.towards_deg)) > SLOPING:
            yield room.outline, _Ahead(0.0, f"the slope of {room.name}")


def _pulled_over(it: Situation, edge: Edge, force_n: float) -> MadeFast:
    """Return how a line is made fast that pulls it through a doorway.

    The point has to lie ahead from when its front is there until its back is.
    """
    way, (x, y) = _through(it, edge), edge.middle
    if way is None or not it.legs:
        return MadeFast(force_n, 0.0, "", "")
    leg = min(it.legs, key=lambda leg: min(math.dist(edge.middle, (p.x_mm, p.y_mm)) for p in leg.poses))
    barred = anchors_below(it, leg)
    half = max((math.hypot(*p) for p in it.hull), default=0.0)
    c, s = math.cos(way), math.sin(way)
    pulls = [Pull(Pose(x + far * c, y + far * s, 0.0), way, barred) for far in (-half, 0.0, half)]
    line = best_line(it, pulls, force_n)
    if line is not None and lies_to_pull(it, line):
        return fast_to(it, line, force_n)
    none = no_point(it, leg, pulls, force_n, spot_ahead(it, (x, y), way), f"through {edge.name}")
    return MadeFast(force_n, 0.0, none.said, none.few, none.below, none.spots)


DRIVEN_MM = 100.0
"""What goes so far in one piece is a drive, less is part of a turn: own figure."""


def together_kg(it: Situation) -> float | None:
    """Return the greatest load of the wheels that meet a step together, by moments along the way.

    Half of the gear's own mass counts with either end.
    """
    whole, load = it.whole_kg, it.load.most_kg
    if whole is None or load is None:
        return None
    worst = 0.0
    for stance in it.gear.stances:
        places = [along(p, it.gear.axis_deg) for p in stance.polygon]
        rear, front = min(places), max(places)
        if front - rear < 1.0:
            continue
        for c in it.load.centres():
            share = (along((c.x_mm, c.y_mm), it.gear.axis_deg) - rear) / (front - rear)
            worst = max(worst, min(1.0, max(share, 1.0 - share)) * load + (whole - load) / 2)
    return worst or whole
