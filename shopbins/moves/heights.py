"""How high it may be carried on each leg: over floor, sills and covers, under doors, beams and ceilings."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Outline, Pose, between, bounds, contains, cos_sin, placed
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fitted import HOISTS, along
from shopbins.moves.floorline import floor_bends, together_at
from shopbins.moves.grounding import must_lift_mm
from shopbins.moves.legs import STEP_MM
from shopbins.moves.margin import Margin
from shopbins.moves.plates import Edge, Laid, edge_of
from shopbins.moves.ramps import bends_over
from shopbins.moves.situation import Situation
from shopbins.scene.standing import Standing
from shopbins.shop.model import Door, Fixture, Room
from shopbins.units import show_length

BAND = Check(
    "move-height",
    "How high it is carried",
    "sizes of the thing, the gear and the shop file; the least lift is our own figure",
    "derived",
    "carry it lower, other gear, parts off from the top, another way",
)
HEAD = Check(
    "move-head-height",
    "Low for whoever walks with it",
    "how high a person is, is our own figure; 300 mm for the head where it may be crushed: ISO 13854",
    "own",
    "heads down, a padded edge, somebody who calls it",
)
TILTED = Check(
    "move-height-on-slope",
    "Higher on a slope",
    "geometry: H cos t + L sin t over its lowest contact",
    "derived",
    "carry it lower, another way",
)


@dataclass(frozen=True, slots=True)
class Over:
    """What is passed under: its underside over the floor; how far its wheels are up there on a `sill`.

    `clear_mm` is what comes up between its wheels there, `edge` what they go over: a sill or plates.
    `between` are the rooms on both sides of a door.
    """

    name: str
    subject: str
    room: str
    underside_mm: float | None
    sill_mm: float = 0.0
    sill: str = "the sill"
    between: frozenset[str] = frozenset()
    clear_mm: float = 0.0
    edge: Edge | None = None


@dataclass(frozen=True, slots=True)
class Band:
    """How high a thing may be carried at one place: `lowest_mm` just clears what it passes over."""

    lowest_mm: float
    highest_mm: float
    inputs: tuple[tuple[str, float], ...]

    @property
    def spare_mm(self) -> float:
        """What is left between both."""
        return self.highest_mm - self.lowest_mm

    @property
    def uncertain_mm(self) -> float:
        """How far off that may be: the +- of all that enters it, in full."""
        return Margin(0.0, self.inputs).within


def band(
    underside_mm: float,
    height_mm: float,
    sill_mm: float = 0.0,
    within_mm: float = 5.0,
    *,
    under: str = "what is above it",
    thing: str = "it",
    sill: str = "",
) -> Band:
    """Return the band under something: the underside less the thing's height, over a sill on the floor there.

    Both ends carry their own +-: underside, thing, and the sill where there is one.
    """
    inputs = [(f"height of {under}", within_mm), (f"height of {thing}", within_mm)]
    if sill_mm:
        inputs.append((sill or f"sill of {under}", within_mm))
    return Band(sill_mm, underside_mm - height_mm, tuple(inputs))


def tilted_mm(height_mm: float, length_mm: float, fall: float) -> float:
    """Return how high the top corner is over the lowest contact on a slope: H cos t + L sin t."""
    t = math.atan(fall)
    return height_mm * math.cos(t) + length_mm * math.sin(t)


def clear_height_mm(door: Door) -> float | None:
    """Return a door's clear height: its opening, under an up-and-over leaf no more than where that hangs."""
    if door.opens != "up-and-over":
        return door.height_mm
    known = [h for h in (door.height_mm, door.hang_mm) if h is not None]
    return None if door.height_mm is None or door.hang_mm is None else min(known)


def under_doors(doors: Iterable[Door]) -> Iterator[Over]:
    """Go through doors as what is passed under."""
    for door in doors:
        height, sill, between = (
            clear_height_mm(door),
            door.threshold_mm or 0.0,
            frozenset((door.room, door.to)),
        )
        yield Over(door.name, f"door:{door.key}", door.room, height, sill, between=between)


def under_ceilings(rooms: Iterable[Room]) -> Iterator[Over]:
    """Go through the ceilings of rooms as what is passed under; outdoors there is none."""
    for room in rooms:
        if not room.outdoor:
            yield Over(room.name, f"room:{room.key}", room.key, room.headroom_mm)


def passed_under(it: Situation) -> Iterator[Over]:
    """Go through doors, ceilings and what hangs over the way."""
    sills = {edge.subjects[0]: edge for edge in it.edges if edge.is_sill}
    for door, plain in zip(it.doors, under_doors(it.doors), strict=True):
        over = _on_edge(it, plain, sills[plain.subject]) if plain.subject in sills else plain
        plate = _plate_under(it, door.passage)
        lower = plate is None or (plate.high_mm or 0.0) <= over.sill_mm
        yield _leaning(it, over if lower else _on_plate(it, over, plate), door.passage)
    for over in under_ceilings(it.rooms):
        area = it.scene.shop.rooms[over.room].outline
        yield _leaning(it, _on_plate(it, over, _plate_under(it, area)), area)
    yield from _beams(it)


def _leaning(it: Situation, over: Over, area: Outline) -> Over:
    """Return what is passed under with what the lean takes of it, one end up an edge as it reaches there."""
    if not it.edges or it.kind in HOISTS or over.underside_mm is None or not area:
        return over
    lost, edge = max(((leans_mm(it, edge, area), edge) for edge in it.edges), key=lambda each: each[0])
    if lost <= over.sill_mm:
        return over
    on_it = over if over.edge is not None else _on_edge(it, replace(over, sill=edge.named), edge)
    return replace(on_it, sill_mm=lost)


def leans_mm(it: Situation, edge: Edge, area: Outline) -> float:
    """Return how far the top of a thing comes up within an area while a wheel is on an edge: as high as that,
    and with others still on the floor as much more as it reaches beyond that wheel, over the wheelbase or, of
    longer ramps, their run. 0 where no part of it is there then.
    """
    import shapely

    wheels, axis, laid = it.gear.wheels, it.gear.axis_deg, it.ramps_at(edge)
    places = [along(p, axis) for p in wheels]
    if not places:
        return 0.0
    high = edge.height_mm + (0.0 if laid is None else laid.over_mm)
    base = max(max(places) - min(places), 0.0 if laid is None else laid.run_mm, 1.0)
    where, outline, most = shapely.Polygon(area), it.load.own or it.load.outline, 0.0
    for pose in _on_it(it, edge):
        there = where.intersection(shapely.Polygon(placed(outline, pose)))
        if there.is_empty:
            continue
        up = [u for u, p in zip(places, it.at(pose, wheels), strict=True) if contains(edge.outline, p)]
        c, s = cos_sin(pose.turn_deg + axis)
        reach = [(x - pose.x_mm) * c + (y - pose.y_mm) * s for x, y in shapely.get_coordinates(there)]
        beyond = [max(reach) - max(up)] if min(places) < min(up) - 1.0 else []
        beyond += [min(up) - min(reach)] if max(places) > max(up) + 1.0 else []
        most = max(most, high * (1 + max(beyond, default=0.0) / base))
    return float(most)


def _on_it(it: Situation, edge: Edge) -> Iterator[Pose]:
    """Go through the poses of the way with a wheel on an edge, those at which one comes onto it or leaves it
    among them.
    """
    wheels = it.gear.wheels
    box = bounds(edge.outline).grown(max(math.hypot(*p) for p in wheels) + STEP_MM)
    near = [p for _, p in it.poses() if box.left <= p.x_mm <= box.right and box.bottom <= p.y_mm <= box.top]

    def on(pose: Pose) -> frozenset[int]:
        return frozenset(n for n, p in enumerate(it.at(pose, wheels)) if contains(edge.outline, p))

    for a, b in itertools.pairwise(near):
        if on(a):
            yield a
        if on(a) != on(b) and math.dist(a[:2], b[:2]) <= 2 * STEP_MM:
            off, at = (a, b) if len(on(b)) > len(on(a)) else (b, a)
            for _ in range(10):
                middle = between(off, at, 0.5)
                off, at = (off, middle) if on(middle) == on(at) else (middle, at)
            yield at


def _plate_under(it: Situation, area: Outline) -> Laid | None:
    """Return the highest plate that it may be up on while some of it is within an area; None: on none.

    It is up on it by one wheel; where its wheels are not told, where any of it is over it.
    """
    import shapely

    told = [laid for laid in it.laid if laid.high_mm is not None]
    if not told:
        return None
    within, wheels = shapely.Polygon(area), it.gear.wheels
    there = [pose for _, pose in it.poses() if within.intersects(shapely.Polygon(placed(it.hull, pose)))]
    stand = [
        shapely.MultiPoint(it.at(pose, wheels)) if wheels else shapely.Polygon(placed(it.hull, pose))
        for pose in there
    ]
    under = [laid for laid in told if any(shapely.Polygon(laid.outline).intersects(on) for on in stand)]
    return max(under, key=lambda laid: laid.high_mm or 0.0, default=None)


def _on_plate(it: Situation, over: Over, plate: Laid | None) -> Over:
    """Return what is passed under with what a plate on the floor there takes of it."""
    edge = None if plate is None else edge_of(plate)
    return over if edge is None else _on_edge(it, replace(over, sill=edge.name), edge)


def _on_edge(it: Situation, over: Over, edge: Edge) -> Over:
    """Return what is passed under with its wheels up on an edge there, and on a plate that leans on it.

    Bare, all of it comes up between the wheels; ramps leave as much as they bend.
    """
    laid, near = it.ramps_at(edge), together_at(it, edge)
    over_it = near.bends if near is not None else () if laid is None else bends_over(laid)
    clear = max(edge.height_mm if laid is None else 0.0, must_lift_mm(it, over_it)[0])
    if laid is not None and laid.over_mm:
        over = replace(over, sill=f"{over.sill} and {laid.gear.name} on it")
    high = edge.height_mm + (0.0 if laid is None else laid.over_mm)
    return replace(over, sill_mm=high, clear_mm=max(clear, over.clear_mm), edge=edge)


def _beams(it: Situation) -> Iterator[Over]:
    """Go through fixtures with a base over the floor that the way passes under."""
    import shapely

    keys = {room.key for room in it.rooms}
    hull = it.hull
    for fixture in it.scene.shop.fixtures.values():
        if fixture.room not in keys or fixture.base_mm <= 0:
            continue
        low, up = it.load.height_mm, it.gear.up_mm
        low = low if low is None or up is None or up[0] < up[1] else low + up[0]
        if low is not None and fixture.base_mm < low - 2 * it.measured_mm:
            continue  # it stands in the way in plan: the floor kernel keeps off it
        area = shapely.Polygon(fixture.outline)
        x0, y0, x1, y1 = bounds(fixture.outline)
        reach = max(math.hypot(x, y) for x, y in hull)
        for _leg, pose in it.poses():
            if not (x0 - reach <= pose.x_mm <= x1 + reach and y0 - reach <= pose.y_mm <= y1 + reach):
                continue
            if shapely.intersects(area, shapely.Polygon(placed(hull, pose))):
                over = _on_plate(it, _under_beam(fixture), _plate_under(it, fixture.outline))
                yield _leaning(it, over, fixture.outline)
                break


def _under_beam(fixture: Fixture) -> Over:
    return Over(fixture.name, f"fixture:{fixture.key}", fixture.room, fixture.base_mm)


def heights(it: Situation) -> Iterator[Part]:
    """Judge the band at everything passed under; the lift must fit into it somewhere."""
    if it.kind == "by hand":
        yield BAND.only(
            it.subjects, "looked at on the way: height carried by hand", "heights are not checked by hand"
        )
        return
    found = _height_and_lift(it)
    if found is None:
        code = it.body.group.code
        ask = Ask(f"how high is {it.name}?", f"shopbins set {code} --moving height=1700mm", 1)
        if it.kind in HOISTS and it.gear.gear.height_mm is None:
            gear = it.gear.gear
            ask = Ask(f"how tall is {gear.name}?", f"gear: {gear.key}: {{height: 1.6 m}}", 1)
        elif it.load.height_mm is not None or it.kind in HOISTS:
            ask = ask_lift(it)
        yield BAND.open(it.subjects, ask.text, ask)
        return
    for over in passed_under(it):
        yield from _under(it, over, *found)


def _height_and_lift(it: Situation) -> tuple[float, tuple[float, float]] | None:
    """Return how high it is set down and how far it is lifted over what it rolls on; None: not told."""
    height, up = it.load.height_mm, it.gear.up_mm
    if it.kind in HOISTS:
        height, up = it.gear.height_mm, (0.0, _boom_over_mm(it))
    if height is None or up is None:
        return None
    if it.kind == "engine crane":
        low = max(height, _boom_low_mm(it))
        height, up = low, (0.0, max(0.0, up[1] - (low - height)))
    return height, up


def lift_said(it: Situation, edge: Edge) -> bool:
    """Tell whether how high it is carried over an edge is a condition of what it passes under there."""
    found = _height_and_lift(it)
    if found is None or it.kind in HOISTS:
        return False
    there = (
        over for over in passed_under(it) if over.edge is not None and over.edge.subjects == edge.subjects
    )
    parts = (part for over in there for part in _under(it, over, *found))
    return any(part.verdict is Verdict.ASKED and "pads" not in part.subjects for part in parts)


def heads(it: Situation) -> Iterator[Part]:
    """Name doors, ceilings and beams too low for whoever steers it or walks beside it."""
    tall = it.own["person high"]
    for over in (*under_doors(it.doors), *under_ceilings(it.rooms), *map(_under_beam, _over_heads(it, tall))):
        name, under_mm = over.name, over.underside_mm
        if under_mm is None or under_mm >= tall:
            continue
        text = f"{show_length(under_mm)} under {name}: whoever walks with it may be {show_length(tall)} tall"
        more: dict[str, Any] = {"room": over.room, "measured": under_mm, "limit": tall, "unit": "mm"}
        words = f"heads down at {name}: {under_mm:.0f} mm"
        yield HEAD.only((*it.subjects, over.subject), words, text, **more)


def _over_heads(it: Situation, tall: float) -> Iterator[Fixture]:
    """Go through what hangs lower than a person over the way, or within a person's room beside it."""
    import shapely

    from shopbins.kernel.swept import swept

    keys = {room.key for room in it.rooms}
    hanging = [f for f in it.scene.shop.fixtures.values() if f.room in keys and 0 < f.base_mm < tall]
    if not hanging:
        return
    outline = it.hull if it.attempt is None else it.attempt.moving
    way = swept(outline, it.path).buffer(it.own["person"], quad_segs=2)
    shapely.prepare(way)
    yield from (f for f in hanging if shapely.intersects(way, shapely.Polygon(f.outline)))


def ask_lift(it: Situation) -> Ask:
    """Return the question how high gear carries a thing: of a truck its lift, else what is free under it."""
    gear, code = it.gear.gear, it.body.group.code
    text = f"how high does {gear.name} carry {it.name}?"
    if it.kind != "pallet truck":
        return Ask(text, f"gear: {gear.key}: {{height: 110}}", 1)
    if gear.raised_mm is None or gear.lowered_mm is None:
        return Ask(text, f"gear: {gear.key}: {{lowered: 85, raised: 200}}", 1)
    if it.gear.heel is None:
        return Ask(it.gear.goes_under.why, tell_opening(it), 1)
    return Ask(f"how much is free under {it.name}?", f"shopbins set {code} --moving under=110mm", 1)


def tell_opening(it: Situation) -> str:
    """Return how to tell what forks meet: what of it is not told yet."""
    lacks = [] if it.gear.heel is not None else ["--moving opening=500mm"]
    lacks += ["--moving under=110mm"] if it.load.under_mm is None or not lacks else []
    return f"shopbins set {it.body.group.code} {' '.join(lacks)}"


def _boom_over_mm(it: Situation) -> float:
    """Return how far a boom at its highest stands over the mast and what hangs from it; a gantry has none."""
    if it.kind == "gantry crane":
        return 0.0
    gear, top = it.gear.gear, it.gear.height_mm or 0.0
    high = gear.boom_tip_mm
    if high is None and gear.hook_mm is not None:
        high = gear.hook_mm + it.own["hook below tip"]
    return max(0.0, (high or 0.0) - top)


def _boom_low_mm(it: Situation) -> float:
    """Return how high the boom's tip is with its hook at the thing's slinging points."""
    gear = it.gear.gear
    slung = it.load.sling_height_mm or it.load.height_mm or 0.0
    tip_over_hook = (
        0.0 if gear.boom_tip_mm is None or gear.hook_mm is None else gear.boom_tip_mm - gear.hook_mm
    )
    return slung + max(0.0, tip_over_hook)


def _under(it: Situation, over: Over, height: float, up: tuple[float, float]) -> Iterator[Part]:
    subjects = (*it.subjects, over.subject)
    section = over.subject.partition(":")[0]
    if over.underside_mm is None and section == "room" and height + up[1] <= it.own["room height"]:
        need = show_length(height + up[1])
        text = f"how high {over.name} is is not told: more than the {need} needed is usual"
        yield BAND.note(subjects, text, room=over.room)
        return
    if over.underside_mm is None:
        text = f"how high {over.name} is is not known"
        key = over.subject.partition(":")[2]
        field = {"door": "height: 2 m", "room": "headroom: 2.4 m"}.get(section, "base: 2 m")
        ask = Ask(f"how high is {over.name}?", f"{section}s: {key}: {{{field}}}", 1)
        yield BAND.open(subjects, text, ask, room=over.room)
        return
    within = it.measured_mm
    sill = "" if over.sill == "the sill" else f"thickness of {over.sill}"
    found = band(over.underside_mm, height, over.sill_mm, within, under=over.name, thing=it.name, sill=sill)
    fixed = up[0] == up[1]
    over_bend = 0.0 if fixed else _lifted_at(it, over)
    lowest = (up[0] if fixed else over_bend) + over.sill_mm
    spare = found.highest_mm - lowest
    between = 0.0 if fixed or it.kind in HOISTS else max(over.clear_mm, over_bend)
    one = spare - max(0.0, between - over_bend)  # what one lift leaves that clears what comes up there
    at = f"under {over.name} ({show_length(over.underside_mm)})"
    sill = f", {show_length(over.sill_mm)} of it lost over {over.sill}" if over.sill_mm else ""
    text = f"{it.name} is {show_length(height)} high, {at}{sill}: "
    more: dict[str, Any] = {
        "room": over.room,
        "measured": height + lowest,
        "limit": over.underside_mm,
        "unit": "mm",
    }
    margin, margin_left = Margin(spare, found.inputs), spare - found.uncertain_mm
    if margin.verdict is Verdict.NO:
        just = " as the floor comes up there" if over_bend else " even just off the floor"
        text += f"{show_length(-spare)} too high{'' if fixed else just}"
        yield BAND.no(subjects, text, _ends(it, -spare), _top(it), **more)
    elif Margin(one, found.inputs).verdict is Verdict.NO:
        text += f"lifted {show_length(between)} over what comes up between its wheels it is "
        text += f"{show_length(-one)} too high with its wheels up on that: no one lift does"
        yield BAND.no(subjects, text, ("longer ramps, a lower crest", *_ends(it, -one)), **more)
    elif margin.verdict is Verdict.AGAIN:
        text += f"{show_length(abs(spare))} {'to spare' if spare >= 0 else 'too high'}, "
        text += f"{show_length(found.uncertain_mm)} uncertain"
        yield BAND.again(subjects, text, margin, **more)
    elif not fixed and found.highest_mm - over.sill_mm - found.uncertain_mm < up[1]:
        high = found.highest_mm - over.sill_mm - found.uncertain_mm
        if it.kind in HOISTS:
            text = f"{it.gear.gear.name} with its boom up is higher than {show_length(height + high)} {at}"
            words = f"boom tip no higher than {height + high:.0f} mm under {over.name}"
            yield BAND.only(subjects, words, text, **more)
            return
        low = between + min(it.own["carry clear"], up[1])
        text += f"what comes up between its wheels is {between:.0f} mm high, " if between else ""
        if high < low:
            text += f"{one:.0f} mm to carry it in, {low - between:.0f} mm clear "
            text += f"and {found.uncertain_mm:.0f} mm uncertain taken off"
            yield BAND.again(subjects, text, Margin(one, found.inputs), **more)
            return
        off = f"{low:.0f} to {high:.0f} mm off {'what it rolls on' if over.sill_mm else 'the floor'}"
        yield BAND.only(subjects, f"carry {off} under {over.name}", f"{text}carried {off} there", **more)
    elif it.kind in PADDED and it.gear.gear.pads_mm is None and margin_left < it.own["pads"]:
        gear = it.gear.gear
        text += f"{show_length(spare)} to spare, {show_length(found.uncertain_mm)} uncertain; how thick pads "
        text += f"between {gear.name} and {it.name} are is not told: gear: {gear.key}: {{pads: 15}} tells it"
        words = f"pads at most {math.floor(margin_left)} mm under {over.name}"
        yield BAND.only((*subjects, "pads"), words, text, **more)
    elif spare < 100:
        yield BAND.note(subjects, f"{text}{show_length(spare)} to spare", **more)


def _lifted_at(it: Situation, over: Over) -> float:
    """Return how high it is lifted under a door where floors meet in a bend; 0 where they do not."""
    if not over.between:
        return 0.0
    return must_lift_mm(it, (b for b in floor_bends(it) if over.between <= set(b.rooms)))[0]


PADDED = ("skates", "trolley")
"""Gear that wood or rubber may lie on under the thing, steel between steel."""


def too_low(it: Situation, beam: Standing, top_mm: float) -> Part:
    """Say of what hangs in the way how far it is too low, carried just off the floor."""
    lacking = top_mm - beam.base_mm
    text = (
        f"{it.name} just off the floor reaches {show_length(top_mm)}, {beam.name} hangs at "
        f"{show_length(beam.base_mm)}: {show_length(lacking)} too high, and there is no way round it"
    )
    more: dict[str, Any] = {"measured": top_mm, "limit": beam.base_mm, "unit": "mm", "room": beam.room}
    return BAND.no((*it.subjects, beam.subject), text, _ends(it, lacking), _top(it), **more)


def _top(it: Situation) -> list[str]:
    """Return the parts at its top: off, it is lower."""
    top = it.load.height_mm
    return [p.called for p in it.body.parts if p.to_mm is not None and top is not None and p.to_mm >= top - 1]


def _ends(it: Situation, lacking_mm: float) -> Iterator[str]:
    from shopbins.records.moving import moving_of

    base = moving_of(it.body.group).base
    if base is not None and it.body.base:
        yield f"{base.name} off (-{base.height_mm:.0f} mm)"
    yield f"gear that carries it {lacking_mm:.0f} mm lower"


def on_slopes(it: Situation) -> Iterator[Part]:
    """Judge the top corner on a slope under the ceiling of the room."""
    height, up = it.load.height_mm, it.gear.up_mm
    if height is None or up is None:
        return
    xs = [x for x, _ in it.hull]
    for room in dict.fromkeys(leg.room for leg in it.steep()):
        if room.slope is None or room.headroom_mm is None:
            continue
        low = up[0] if up[0] == up[1] else 0.0  # how far it clears the floor is our own figure
        top = tilted_mm(height + low, max(xs) - min(xs), room.slope.fall)
        text = (
            f"on the slope of {room.name} {it.name} is {show_length(top)} "
            f"high, {show_length(room.headroom_mm)} there"
        )
        more: dict[str, Any] = {"room": room.key, "measured": top, "limit": room.headroom_mm, "unit": "mm"}
        subjects = (*it.subjects, f"room:{room.key}")
        inputs = ((f"headroom of {room.name}", it.measured_mm), (f"height of {it.name}", it.measured_mm))
        margin = Margin(room.headroom_mm - top, inputs)
        if margin.verdict is Verdict.NO:
            yield TILTED.no(subjects, text, **more)
        elif margin.verdict is Verdict.AGAIN:
            yield TILTED.again(subjects, text, margin, **more)
