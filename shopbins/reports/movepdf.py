"""The sheet for the floor: what moves, on what, which way, in which order, and what is kept to meanwhile.

A4, to be read at arm's length: on the first page the answer, the plan, the legs and the steps as far as they
find room; then why each condition is one, and what to watch. It says what the answer says, all of it.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.answer import Part, Verdict
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.segments import edges
from shopbins.geometry.shapes import Box, Outline, Point, Pose, between, bounds, cos_sin, placed
from shopbins.ledger.state import State
from shopbins.moves.beside import handle_reach, who_steers
from shopbins.moves.finding import checked_against, row_of
from shopbins.moves.force import men_for, who_pushes
from shopbins.moves.legs import Leg
from shopbins.moves.load import Load
from shopbins.moves.plan import SHOWN_ASKS, Plan, pose_words
from shopbins.moves.plates import Laid, Ramps
from shopbins.moves.pressing import covers_of
from shopbins.moves.restson import asked_anew
from shopbins.moves.route import open_holes
from shopbins.moves.running import RUNS, force_on
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.situation import Situation
from shopbins.moves.stages import lines_on
from shopbins.moves.standing import TIPS
from shopbins.moves.steps import Step, keep_words, shift_numbers, situation, steps_of
from shopbins.moves.taped import Mark, axes_said, origin_near, taped
from shopbins.reports.movesheet import (
    SHORT_MM,
    gear_words,
    moving_legs,
    route_words,
    shift_words,
    tightest_words,
)
from shopbins.reports.pdf import write
from shopbins.reports.plain import counted, plain
from shopbins.rules.slopes import is_steep
from shopbins.scene.frames import to_shop
from shopbins.scene.scene import Scene
from shopbins.shop.model import Anchor, Door
from shopbins.tags.fonts import BOLD, PLAIN, printable, width
from shopbins.units import show_length, show_mass, show_point

PAGE_MM = (210.0, 297.0)
MARGIN_MM = 11.0
PLAN_MM = (PAGE_MM[0] - 2 * MARGIN_MM, 96.0)
PLAN_GAP_MM = 5.0
PLAN_TOP_MM = 3.0
HEAD_MM, BIG_MM, SMALL_MM = 4.4, 3.5, 3.1
WATCH_MM, FINE_MM, KEY_MM, NAME_MM = 2.8, 2.3, 2.2, 1.7
MARK_MM = 2.8
SIZES_MM = (3.5, 3.3, 3.1)
SCALES = (10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
GHOST_MM = 900.0
CAUTIONS = (
    "Nobody under it, below it on the slope, or between it and what is fixed. Hands off packing and rollers.",
    "One person commands; anybody stops it. Nobody beside a line under tension. No jack is a support.",
    "Hold points: weight just off the ground, look, then go; before each slope; before each beam.",
    "Stop if anything is not as drawn. If it starts to go: let go and get away.",
)


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    bold: bool = False
    box: bool = False
    indent: bool = False
    gap: float = 0.0
    size: float | None = None


def sheet_pdf(scene: Scene, plan: Plan, on: date | None = None) -> bytes:
    """Return the sheet as the bytes of a PDF; `on` is the day it is of, today if not given."""
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(PAGE_MM[0] * mm, PAGE_MM[1] * mm), invariant=1)
    canvas.setTitle(printable(f"Move {plan.name} to {plan.to}").text)
    canvas.scale(mm, mm)
    day = on or date.today()
    steps = steps_of(scene, plan) if plan.planned else []
    spots = _spots(plan, steps)
    y = _set(canvas, list(_head(scene, plan, day, spots)), PAGE_MM[1] - MARGIN_MM, BIG_MM)
    foot = list(_foot(day))
    drawn = plan.attempt is not None and plan.attempt.ground is not None and bool(plan.path)
    sketch = _Sketch.of(scene, plan, spots) if drawn else None
    points = [] if sketch is None else list(sketch.points())
    first, second = [*points, *_legs(scene, plan)], [*_steps(scene, plan, steps, spots), *_end(plan)]
    more = list(_why_and_watch(plan, scene.state, steps, spots))
    floor = MARGIN_MM + _height(foot, SMALL_MM)
    under = y - (0.0 if sketch is None else sketch.high_mm(PLAN_MM[1]) + PLAN_GAP_MM + PLAN_TOP_MM) - 1.5
    every = [*first, *second, *more]
    size = next((s for s in SIZES_MM if _height(every, s) <= under - floor), None)
    high = PLAN_MM[1]
    if size is None:  # two pages: the plan as large as the first has room for
        high = max(high, y - floor - _height(first, BIG_MM) - PLAN_GAP_MM - PLAN_TOP_MM - 2.0)
    if sketch is not None:
        y = _draw_plan(canvas, sketch, y - PLAN_TOP_MM, high)
    if size is not None:
        _set(canvas, every, y - 1.5, size)
    else:
        over: list[_Line] = []
        while first and (_height(first, SMALL_MM) > y - 1.5 - floor or first[-1].bold):
            over.insert(0, first.pop())
        fits = _height(first, BIG_MM) <= y - 1.5 - floor
        y = _set(canvas, first, y - 1.5, BIG_MM if fits else SMALL_MM)
        here, left = _split([*over, *second, *more], y - floor, BIG_MM)
        _set(canvas, here, y, BIG_MM)
        _set(canvas, foot, floor, SMALL_MM)
        name = f"{plan.name} ({plan.code}) to {_place(scene, plan)}"
        _more_pages(canvas, name, left, foot, floor)
    _set(canvas, foot, floor, SMALL_MM)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


# --- text -------------------------------------------------------------------------------------------------


def _place(scene: Scene, plan: Plan) -> str:
    zone = scene.zone(plan.place)
    return plan.to if zone is None or plan.onto is not None else zone.name


def _head(scene: Scene, plan: Plan, day: date, spots: Mapping[Point, str]) -> Iterator[_Line]:
    """Say what, how heavy, from where to where, the answer with all that holds it back, who."""
    load, room = plan.body.load, plan.body.room
    start = "" if room is None else f" from {scene.shop.rooms[room].name}"
    yield _head_line(f"{plan.name} ({plan.code}), {_mass_words(load)},{start} to {_place(scene, plan)}")
    yield from _answer(plan)
    if plan.would_go:
        yield _Line(f"What would end it: {'; '.join(plan.would_go)}")
    left = sum(p.accepted is None for p in plan.conditions)
    said = f"{left} of {len(plan.conditions)} conditions are not accepted yet. " if left else ""
    yield _Line(f"{said}{scene.shop.name}, as of event {plan.seq}, {day.isoformat()}")
    yield _Line("Planned by ____________  Led by ____________")
    yield _Line(_load_words(plan), gap=0.8)
    yield _Line(_gear_words(plan))
    for part in plan.answer.parts:
        if row_of(part).finding.rule == TIPS.key and part.verdict is not Verdict.NO:
            yield _Line(row_of(part).finding.text)
    if plan.path:
        to = ""
        if plan.goal is not None:
            letter = _on_plan(spots, [(plan.goal.x_mm, plan.goal.y_mm)])
            to = f", its middle to {pose_words(plan.goal)}{letter}"
        yield _Line(f"By {route_words(plan, scene)}{to}. Tightest: {tightest_words(plan)}")


def _answer(plan: Plan) -> Iterator[_Line]:
    """Say the answer once: what forbids and what is asked a line each, few conditions in one with who
    accepted them.
    """
    asks, stops, undecided = plan.asks, plan.stops, plan.undecided
    if stops:
        more = f", {counted(len(asks), 'question')} open" if asks else ""
        yield _head_line(f"Does not go{more}:")
        yield from (_head_line(row_of(part).finding.text) for part in stops)
    elif asks or undecided:
        yield _head_line("Not decided. Find out first:" if asks else "Not decided:")
        yield from (_head_line(row_of(part).finding.text) for part in undecided)
        for part in asks[:SHOWN_ASKS]:
            ask = row_of(part).ask
            words = part.text if ask is None else f"{part.text}  {ask.set}"
            yield _head_line(words, box=True)
        if len(asks) > SHOWN_ASKS:
            yield _head_line(f"and {counted(len(asks) - SHOWN_ASKS, 'more question')} after that")
    elif plan.verdict is Verdict.AGAIN or not plan.conditions:
        yield _head_line(f"{plan.answer.headline[:1].upper()}{plan.answer.headline[1:]}")
    else:
        many = len(plan.conditions)
        if many > HEADED:
            lines = len(plan.to_accept)
            several = f", accepted in {lines}" if lines < many else ""
            yield _head_line(f"Goes only with {many} conditions{several}, each said below")
        else:
            yield _head_line(f"Goes only with: {'; '.join(map(_condition, plan.conditions))}")


def _condition(part: Part) -> str:
    """Say a condition in few words, and who accepted it."""
    return f"{part.text} (accepted {part.accepted.said})" if part.accepted else part.text


HEADED = 6
"""So many conditions stand in the headline itself; of more it says how many."""


def _head_line(text: str, *, box: bool = False) -> _Line:
    return _Line(text, bold=True, box=box, size=HEAD_MM)


def _mass_words(load: Load) -> str:
    """Say its mass, and between what it may be where it was guessed."""
    if load.mass_kg is None or load.least_kg is None or load.most_kg is None:
        return load.mass_words()
    if load.most_kg - load.least_kg < 1.0:
        return load.mass_words()
    return f"{load.mass_words()}, {show_mass(load.least_kg)} to {show_mass(load.most_kg)}"


def _load_words(plan: Plan) -> str:
    """Say its size as moved, how high on its gear, its centre of gravity from two named faces."""
    load = plan.body.load
    x0, y0, x1, y1 = bounds(load.outline)
    said = [f"Load {show_length(x1 - x0)} by {show_length(y1 - y0)}"]
    if load.height_mm is not None and plan.gear.up_mm is not None:
        said.append(f"{show_length(load.height_mm + plan.gear.up_mm[0])} high carried low on its gear")
    if load.cg_mm is not None:
        x, y = load.cg_mm
        centre = (
            f"centre of gravity {show_length(x - x0)} from its left "
            f"and {show_length(y - y0)} from its lower face"
        )
        if load.cg_height_mm is not None:
            centre += f", {show_length(load.cg_height_mm)} up"
        said.append(f"{centre} (cross on the plan)")
    else:
        said.append("centre of gravity not known")
    borne = len(load.jacking) or len(load.feet)
    if borne:
        said.append(f"borne at {borne} told {'jacking points' if load.jacking else 'feet'}")
    return ", ".join(said)


def _gear_words(plan: Plan) -> str:
    """Say on what, how much of its plate that is, the worst wheel and what the floor takes there."""
    gear, load = plan.gear.gear, plan.body.load
    said = [f"On {plan.gear.shown}"]
    if gear.capacity_kg is not None and load.mass_kg is not None and gear.kind != "skates":
        said.append(f"plate {show_mass(gear.capacity_kg)}, {load.mass_kg / gear.capacity_kg:.0%} of it used")
    wheels = [
        f for p in plan.answer.parts if (f := row_of(p).finding).rule == "move-point-load" and f.measured
    ]
    if wheels:
        said.append(max(wheels, key=lambda f: (f.measured or 0) / (f.limit or 1e9)).text)
    return ", ".join(said)


def _legs(scene: Scene, plan: Plan) -> Iterator[_Line]:
    """Say each leg: room, length, slope, push or hold, and by what; over them what is kept on all."""
    every = moving_legs(plan)
    if not every:
        return
    kept = [p.text for p in plan.conditions if row_of(p).finding.rule in ("move-height", "move-speed")]
    kept += [] if plan.margin_mm is None else [f"{show_length(plan.margin_mm)} to spare at the tightest"]
    yield _Line(f"Legs: {'; '.join(kept)}", bold=True)
    for n, legs in enumerate(every, 1):
        length = show_length(sum(leg.length_mm for leg in legs))
        steepest = max(legs, key=lambda leg: (leg.length_mm >= SHORT_MM, abs(leg.fall)))
        by = _force_words(scene, plan, steepest)
        yield _Line(f"{n}  {steepest.room.name}, {length}, {steepest.words}{by}")


def _force_words(scene: Scene, plan: Plan, leg: Leg) -> str:
    """Say what a leg takes, and who does it, no surer than it was judged."""
    found = force_on(plan.body.load, plan.gear.gear, leg)
    if found is None:
        return ""
    n, figures = men_for(found.steady_n), scene.shop.limits.moving
    by = "by winch or tackle"
    if n <= figures["pushers"]:
        by = who_pushes(found, leg.room.even)
    elif not leg.fall and n <= figures["men before winch"]:
        by = f"{who_pushes(found, leg.room.even)}; or winch or tackle"
    runs = any(row_of(p).finding.rule == RUNS.key for p in plan.conditions)
    if found.hold_back > 0 and runs:
        by += ", held as said above"
    return f": {found.words}; {by}"


def _steps(scene: Scene, plan: Plan, steps: Sequence[Step], spots: Mapping[Point, str]) -> Iterator[_Line]:
    if plan.measure_again:
        yield _Line("Measure before the start", bold=True, gap=1.0)
        for each in plan.measure_again:
            yield _Line(f"{each}  now: ____________", box=True)
    if steps:
        yield _Line(f"Steps, in this order ({shift_words(plan, scene)})", bold=True, gap=1.0)
    for n, step in enumerate(steps, 1):
        yield _Line(f"{n}  {step['title']}{_on_plan(spots, step.get('spots', ()))}", box=True)
        if step.get("keep"):
            yield _Line(keep_words(step), indent=True, size=SMALL_MM)


def _end(plan: Plan) -> Iterator[_Line]:
    shut = [p.text for p in plan.conditions if row_of(p).finding.rule == "move-exit-shut"]
    if shut:
        yield _Line(f"Shut meanwhile: {'; '.join(shut)}", bold=True, gap=1.0)
        yield _Line("Watch kept by ____________", bold=True)
    yield _Line("", gap=0.5)
    for each in CAUTIONS:
        yield _Line(each)


def _by_step(plan: Plan, steps: Sequence[Step]) -> list[tuple[int, Part]]:
    """Return the conditions, each with the step before which it is accepted, in order; 0: there are none."""
    due = {key: n for n, step in enumerate(steps, 1) for key in step.get("needs", ())}
    every = [(due.get(row_of(part).finding.id, 0), part) for part in plan.conditions]
    return sorted(every, key=lambda each: each[0])


def _why_and_watch(
    plan: Plan, state: State, steps: Sequence[Step], spots: Mapping[Point, str]
) -> Iterator[_Line]:
    """Say why each condition is one, what else to watch, what was not checked: as screen and text do."""
    in_head = {row_of(p).finding.text for p in plan.answer.parts if row_of(p).finding.rule == TIPS.key}
    if plan.conditions:
        by = ", each with the step before which it is accepted" if steps else ""
        yield _Line(f"Conditions, and why{by}", bold=True, gap=1.0)
    for n, part in _by_step(plan, steps):
        why, anew = row_of(part).finding.text, asked_anew(state, row_of(part), plan.name)
        why = f"{'tilt as said above' if why in in_head else why}{_on_plan(spots, row_of(part).spots)}"
        yield _Line(f"{f'{n}  ' if n else ''}{_condition(part)}: {why}", box=True, size=WATCH_MM)
        if anew:
            yield _Line(anew, size=WATCH_MM)
    yield _Line("Watch", bold=True, gap=1.0)
    cautions = plan.cautions[:-1]
    yield from (_Line(f"- {each}", size=WATCH_MM) for each in cautions if each not in in_head)
    others = list(gear_words(plan, other=True))
    if others:
        yield _Line("Other gear", bold=True, gap=1.0)
    yield from (_Line(f"- {each}", size=FINE_MM) for each in others)
    yield _Line(_sources(plan), size=FINE_MM, gap=0.8)


def _sources(plan: Plan) -> str:
    """Say what was published of what it was checked against, the rest by kind: screen and text have all."""
    from shopbins.moves.criteria import CRITERIA

    marks = {check.key: check.mark for each in CRITERIA for check in each.checks}
    found = (row_of(part).finding for part in plan.answer.parts)
    named = dict.fromkeys(f.source for f in found if marks.get(f.rule) in ("published", "from memory"))
    rest = "else statics and geometry, common practice with no source, and our own figures (docs/moves.md)"
    return f"{checked_against([*named, rest])}; the maker's handbook goes before this"


def _foot(day: date) -> Iterator[_Line]:
    yield _Line(
        f"Worked out from the sizes given on {day.isoformat()}. It knows "
        "nothing of the floor's true strength, hidden "
        "voids, worn gear or how fit people are. Local rules, the "
        "maker's handbook and a competent rigger decide. "
        "Checked against statics, HSE INDG143 and L23, ISO 13854, "
        "29 CFR 1910.244, EN ISO 3691-5 (docs/moves.md)."
    )


def _more_pages(canvas: Any, name: str, lines: list[_Line], foot: Sequence[_Line], floor: float) -> None:
    """Set the lines left on one page in the largest letters that hold them all, else on as many as needed."""
    from reportlab.lib.units import mm

    top, page = PAGE_MM[1] - MARGIN_MM, 2
    while lines:
        canvas.showPage()
        canvas.scale(mm, mm)
        head = _Line(f"{name}, page {page}", bold=True)
        fits = (s for s in (HEAD_MM, 4.0, *SIZES_MM) if _height([head, *lines], s) <= top - floor)
        size = next(fits, SMALL_MM)
        here, lines = _split(lines, top - floor - _height([head], size), size)
        _set(canvas, [head, *here], top, size)
        page += 1
        if lines:
            _set(canvas, foot, floor, SMALL_MM)


def _split(lines: Sequence[_Line], room: float, size: float) -> tuple[list[_Line], list[_Line]]:
    """Return the lines that find room in a height, and the others; a heading stays with what is below it, a
    step with what is kept meanwhile.
    """
    here: list[_Line] = []
    left = list(lines)
    while left and _height([*here, left[0]], size) <= room:
        here.append(left.pop(0))
    while left and len(here) > 1 and (here[-1].bold or left[0].indent):
        left.insert(0, here.pop())
    return here, left


def _height(lines: Iterable[_Line], size: float) -> float:
    return sum(
        len(_broken(line, line.size or size)) * (line.size or size) * 1.32 + line.gap for line in lines
    )


def _broken(line: _Line, size: float) -> list[str]:
    """Break a line at its spaces to the width of the page."""
    room = PAGE_MM[0] - 2 * MARGIN_MM - _indent(line, size)
    font = BOLD if line.bold else PLAIN
    found: list[str] = []
    now = ""
    for word in _clean(line.text).split(" "):
        longer = f"{now} {word}" if now else word
        if now and width(longer, font, size) > room:
            found.append(now)
            now = word
        else:
            now = longer
    return [*found, now]


def _indent(line: _Line, size: float) -> float:
    """Return how far in a line is set: beside its box, or below a line that has one."""
    return size * (3.2 if line.indent else 1.8 if line.box else 0.0)


def _clean(text: str) -> str:
    return printable(plain(text)).text


def _set(canvas: Any, lines: Sequence[_Line], top: float, size: float) -> float:
    """Set lines from a height downwards, return where they end."""
    y = top
    usual = size
    for line in lines:
        size = line.size or usual
        y -= line.gap
        left = MARGIN_MM + _indent(line, size)
        for n, text in enumerate(_broken(line, size)):
            y -= size * 1.32
            if line.box and n == 0:
                canvas.setLineWidth(0.25)
                canvas.rect(MARGIN_MM, y - size * 0.1, size, size)
            write(canvas, left, y, text, BOLD if line.bold else PLAIN, size)
    return y


# --- the plan ---------------------------------------------------------------------------------------------


def _spots(plan: Plan, steps: Sequence[Step]) -> dict[Point, str]:
    """Give a capital letter to each point that steps and conditions name, and to where it is set down, to the
    millimetre, in order.
    """
    named = [*(tuple(spot) for step in steps for spot in step.get("spots", ()))]
    named += [(plan.goal.x_mm, plan.goal.y_mm)] if plan.path and plan.goal is not None else []
    named += [spot for part in plan.conditions for spot in row_of(part).spots]
    every = dict.fromkeys(_whole(spot) for spot in named)
    return {spot: _letter("A", n) for n, spot in enumerate(every)}


def _letter(first: str, n: int) -> str:
    """Return the n-th letter from a first one on, with a number from the 27th on."""
    return f"{chr(ord(first) + n % 26)}{n // 26 or ''}"


def _whole(spot: Sequence[float]) -> Point:
    return float(round(spot[0])), float(round(spot[1]))


def _on_plan(spots: Mapping[Point, str], named: Iterable[Sequence[float]]) -> str:
    """Say which letters on the plan are the points that something names; '' where it names none."""
    letters = dict.fromkeys(spots[_whole(spot)] for spot in named)
    return f" (on the plan: {', '.join(letters)})" if letters else ""


@dataclass(frozen=True, slots=True)
class _Sketch:
    """What the plan shows: the lines that hold and pull it, each from an anchor to the poses that it reaches,
    and the points named, each with its letter; `box` is what has to be on it.
    """

    scene: Scene
    plan: Plan
    it: Situation | None
    spots: Mapping[Point, str]
    lines: tuple[tuple[Anchor, tuple[Pose, ...]], ...]
    box: Box

    @classmethod
    def of(cls, scene: Scene, plan: Plan, spots: Mapping[Point, str]) -> _Sketch:
        """Return the sketch of a plan with a way."""
        assert plan.attempt is not None and plan.attempt.ground is not None
        it = situation(scene, plan)
        lines = () if it is None else tuple(_each_line(it))
        corners = [p for outline in plan.attempt.ground.outlines for p in outline]
        anchors = [anchor.at_mm for anchor, _ in lines]
        return cls(scene, plan, it, spots, lines, bounds([*corners, *anchors, *spots]))

    def scale(self, high: float) -> float:
        """Return the scale at which it fits so high."""
        x0, y0, x1, y1 = self.box
        fits = (s for s in SCALES if (x1 - x0) / s <= PLAN_MM[0] and (y1 - y0) / s <= high)
        return next(fits, SCALES[-1])

    def high_mm(self, high: float) -> float:
        """Return how high it is on the page, with what its letters are below it."""
        scale = self.scale(high)
        lettered = _height(self.key(_letters(self.plan, scale)), KEY_MM)
        return (self.box.top - self.box.bottom) / scale + lettered

    def key(self, letters: Mapping[str, str]) -> list[_Line]:
        """Return what says where points are counted from and what the letters on the plan are."""
        said = "; ".join(f"{letter} {name}" for name, letter in letters.items())
        names = [_Line(f"On the plan: {said}")] if said else []
        return [_Line(axes_said(self.origin), size=MARK_MM), *names]

    @property
    def origin(self) -> Mark:
        """The corner that says where points are counted from."""
        assert self.plan.attempt is not None and self.plan.attempt.ground is not None
        return origin_near(self.scene.shop, self.plan.attempt.ground.route.rooms)

    def points(self) -> Iterator[_Line]:
        """Say where each point is, from what a tape is held to."""
        for spot, letter in self.spots.items():
            where = ", ".join(filter(None, (show_point(*spot), taped(self.scene.shop, spot))))
            yield _Line(f"{letter}  {where}", size=MARK_MM)


def _each_line(it: Situation) -> Iterator[tuple[Anchor, tuple[Pose, ...]]]:
    """Go through the lines to single points, with the first and the last pose of it that each reaches."""
    for line, legs in lines_on(it):
        ends = legs[0].poses[0], legs[-1].poses[-1]
        if len(line.anchors) == 1:
            yield line.anchors[0], ends
        else:  # in the order of the way: to the first of them where it begins, to the last where it ends
            yield line.anchors[0], ends[:1]
            yield line.anchors[-1], ends[1:]


@dataclass(frozen=True, slots=True)
class _Frame:
    """From the shop's millimetres to the page's."""

    scale: float
    x_mm: float
    y_mm: float
    left: float
    bottom: float
    letters: Mapping[str, str]
    """Of each name that has no room in its outline the letter that stands there instead."""

    def at(self, p: Point) -> Point:
        """Return where a point of the shop is on the page."""
        return self.left + (p[0] - self.x_mm) / self.scale, self.bottom + (p[1] - self.y_mm) / self.scale


def _letters(plan: Plan, scale: float) -> dict[str, str]:
    """Give a letter to each name that has no room in its outline at a scale."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    ground = plan.attempt.ground
    named = [(body.name, body.outline) for body in (*ground.fixed, *ground.things)]
    lacking = dict.fromkeys(name for name, at in (*named, *ground.avoided) if not _has_room(name, at, scale))
    return {name: _letter("a", n) for n, name in enumerate(lacking)}


def _has_room(name: str, outline: Outline, scale: float) -> bool:
    x0, y0, x1, y1 = (side / scale for side in bounds(outline))
    return width(_clean(name), PLAIN, NAME_MM) <= x1 - x0 - 0.4 and y1 - y0 > NAME_MM


def _draw_plan(canvas: Any, sketch: _Sketch, top: float, high: float) -> float:
    """Draw the rooms passed, what stands there, the way and its tightest place, lines and points; return its
    lower edge.
    """
    scene, plan = sketch.scene, sketch.plan
    assert plan.attempt is not None and plan.attempt.ground is not None
    ground = plan.attempt.ground
    scale, (x0, y0, x1, y1) = sketch.scale(high), sketch.box
    wide = PLAN_MM[0]
    letters = _letters(plan, scale)
    left, bottom = MARGIN_MM + (wide - (x1 - x0) / scale) / 2, top - (y1 - y0) / scale
    frame = _Frame(scale, x0, y0, left, bottom, letters)
    for outline in ground.outlines:
        _shape(canvas, frame, outline, line=0.4, grey=0.0, fill=1.0)
    for door in ground.route.doors:
        _shape(canvas, frame, scene.shop.doors[door].passage, line=0.1, grey=0.6, fill=1.0)
    for body in ground.fixed:
        _shape(canvas, frame, body.outline, line=0.15, grey=0.3, fill=0.8)
        _label(canvas, frame, body.outline, body.name)
    for _, leaf in ground.leaves:
        _shape(canvas, frame, leaf, line=0.3, grey=0.0, fill=0.6)
    _draw_covers(canvas, frame, scene, plan)
    _draw_laid(canvas, frame, sketch.it)
    moved = {each.subject for each in plan.shift}
    for body in ground.things:
        dashed = body.subject in moved
        _shape(canvas, frame, body.outline, line=0.2, grey=0.2, fill=1.0 if dashed else 0.9, dash=dashed)
        _label(canvas, frame, body.outline, body.name)
    for name, hole in ground.avoided:
        _shape(canvas, frame, hole, line=0.3, grey=0.0, fill=0.7)
        _label(canvas, frame, hole, name)
    empty = list(_draw_empty(canvas, frame, plan))
    _draw_shifts(canvas, frame, scene, plan)
    _draw_parts(canvas, frame, scene, plan)
    for lift in plan.lifts.values():
        for outline, words in ((lift.stands, lift.gear.name), (lift.waits, f"{lift.gear.name} waits")):
            _shape(canvas, frame, outline, line=0.25, grey=0.2, fill=None, dash=True)
            _label(canvas, frame, outline, words, 2.2)
    _draw_way(canvas, frame, scene, plan)
    _draw_lines(canvas, frame, sketch)
    for key in ground.route.doors:
        _name_door(canvas, frame, scene, key)
    rooms = set(ground.route.rooms)
    for other in scene.shop.doors.values():
        if other.key not in ground.route.doors and rooms & {other.room, other.to}:
            _draw_gap(canvas, frame, other)
    for key in ground.route.rooms:
        _draw_room(canvas, frame, scene, key)
    passed = (anchor for key in ground.route.rooms for anchor in scene.shop.rooms[key].anchors)
    for anchor in dict.fromkeys((*passed, *(anchor for anchor, _ in sketch.lines))):
        _draw_anchor(canvas, frame, anchor)
    _draw_axes(canvas, frame, sketch.origin.at)
    _draw_spots(canvas, {letter: frame.at(spot) for spot, letter in sketch.spots.items()})
    for x, y in empty:
        _word(canvas, x - width("nobody here", BOLD, 2.6) / 2, y, "nobody here", 2.6)
    lower = frame.bottom - 4.0
    write(canvas, MARGIN_MM, lower, f"1 : {scale}", BOLD, 2.6)
    _bar(canvas, scale, lower)
    return _set(canvas, sketch.key(letters), lower, KEY_MM)


AXIS_MM = 7.0


def _draw_axes(canvas: Any, frame: _Frame, corner: Point) -> None:
    """Draw which way x and y run at a corner, with what it is counted as: on the page so long, in mm."""
    x, y = frame.at(corner)
    for name, end in (("x", (x + AXIS_MM, y)), ("y", (x, y + AXIS_MM))):
        _arrow(canvas, (x, y), end)
        _word(canvas, end[0] + 0.6, end[1] + 0.6, name, 2.2)
    _word(canvas, x + 0.6, y + 0.6, show_point(*corner), 2.2)


def _shape(
    canvas: Any,
    frame: _Frame,
    outline: Outline,
    *,
    line: float,
    grey: float,
    fill: float | None,
    dash: bool = False,
) -> None:
    path = canvas.beginPath()
    first, *others = [frame.at(p) for p in outline]
    path.moveTo(*first)
    for p in others:
        path.lineTo(*p)
    path.close()
    canvas.saveState()
    canvas.setLineWidth(line)
    canvas.setStrokeGray(grey)
    if fill is not None:
        canvas.setFillGray(fill)
    if dash:
        canvas.setDash(0.8, 0.6)
    canvas.drawPath(path, stroke=1, fill=0 if fill is None else 1)
    canvas.restoreState()


def _label(canvas: Any, frame: _Frame, outline: Outline, text: str, size: float = NAME_MM) -> None:
    x0, y0, x1, y1 = bounds(frame.at(p) for p in outline)
    if text in frame.letters:
        letter = frame.letters[text]
        x, y = (x0 + x1 - width(letter, PLAIN, KEY_MM)) / 2, (y0 + y1) / 2 - KEY_MM * 0.3
        write(canvas, x, y, letter, PLAIN, KEY_MM)
        return
    shown = _clean(text)
    while shown and width(shown, PLAIN, size) > x1 - x0 - 0.4:
        shown = shown[:-1]
    if len(shown) > 2 and y1 - y0 > size:
        write(canvas, x0 + 0.3, (y0 + y1) / 2 - size * 0.3, shown, PLAIN, size)


def _draw_shifts(canvas: Any, frame: _Frame, scene: Scene, plan: Plan) -> None:
    """Draw where shifted things go, numbered as in the list."""
    ground = None if plan.attempt is None else plan.attempt.ground
    if ground is None or not plan.shift:
        return
    after = shifted_scene(scene, plan.shift)
    before = {t.subject: t for t in ground.things}
    there = {b.subject: b for room in after.shop.rooms for b in after.standing(room)}
    for subject, n in shift_numbers(plan).items():
        here, now = before.get(subject), there.get(subject)
        if here is not None:
            _number(canvas, frame, here.centre, n)
        if now is None:
            continue
        _shape(canvas, frame, now.outline, line=0.5, grey=0.0, fill=0.95)
        _number(canvas, frame, now.centre, n)
        if here is not None:
            _arrow(canvas, frame.at(here.centre), frame.at(now.centre))


def _number(canvas: Any, frame: _Frame, at: Point, n: int) -> None:
    x, y = frame.at(at)
    write(canvas, x + 0.8, y + 0.5, str(n), BOLD, 2.6)


def _arrow(canvas: Any, a: Point, b: Point) -> None:
    if math.dist(a, b) < 0.5:
        return
    canvas.setLineWidth(0.3)
    canvas.line(*a, *b)
    angle = math.atan2(b[1] - a[1], b[0] - a[0])
    for side in (2.6, -2.6):
        canvas.line(*b, b[0] + 1.3 * math.cos(angle + side), b[1] + 1.3 * math.sin(angle + side))


def _draw_empty(canvas: Any, frame: _Frame, plan: Plan) -> Iterator[Point]:
    """Draw the floor that stays empty, downhill of the way where it slopes; go through a spot of each."""
    import shapely

    from shopbins.kernel.swept import swept

    if plan.attempt is None:
        return
    for room, legs in itertools.groupby((g for g in plan.legs if g.slope is not None), lambda g: g.room):
        if not is_steep(room.slope):
            continue
        way = swept(plan.attempt.hull, [pose for leg in legs for pose in leg.poses])
        c, s = cos_sin(room.slope.towards_deg)
        x0, y0, x1, y1 = bounds(room.outline)
        far = math.hypot(x1 - x0, y1 - y0)
        rings = [p.exterior.coords for p in shapely.get_parts(way)]
        runs = [convex_hull([*ring, *((x + far * c, y + far * s) for x, y in ring)]) for ring in rings]
        below = shapely.union_all([shapely.Polygon(run) for run in runs])
        empty = below.intersection(shapely.Polygon(room.outline)).difference(way)
        parts = [p for p in shapely.get_parts(empty) if p.geom_type == "Polygon" and p.area > EMPTY_MM2]
        for part in parts:
            _shape(
                canvas, frame, tuple(part.exterior.coords)[:-1], line=0.25, grey=0.35, fill=None, dash=True
            )
        if parts:
            yield frame.at(max(parts, key=lambda p: p.area).representative_point().coords[0])


EMPTY_MM2 = 250_000.0
"""Less floor than a person takes (500 mm square) needs no mark."""
HEADED_MM = 9.0
"""So long on the page a piece of the way gets an arrow."""


def _draw_covers(canvas: Any, frame: _Frame, scene: Scene, plan: Plan) -> None:
    """Draw the covers in the floors passed, each with what it takes, and the open pits that it goes over."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    floors = plan.attempt.ground.outlines
    for pit in open_holes(scene.shop, floors):  # those that are in the way are drawn with what is kept off
        if (pit.name, pit.outline) not in plan.attempt.ground.avoided:
            _shape(canvas, frame, pit.outline, line=0.3, grey=0.0, fill=0.7)
            x0, y0, _, _ = bounds(frame.at(p) for p in pit.outline)
            write(canvas, x0, y0 - 2.4, _clean(f"{pit.name}, open"), PLAIN, 2.0)
    for cover in covers_of(scene.shop, floors):
        _shape(canvas, frame, cover.outline, line=0.3, grey=0.0, fill=None, dash=True)
        takes = cover.klass if cover.load_kg is None else show_mass(cover.load_kg)
        x0, y0, _, _ = bounds(frame.at(p) for p in cover.outline)
        write(canvas, x0, y0 - 2.4, _clean(f"{cover.name}, {takes or 'load ?'}"), PLAIN, 2.0)


def _draw_lines(canvas: Any, frame: _Frame, sketch: _Sketch) -> None:
    """Draw each line from its anchor to the thing where it first and last holds or pulls it."""
    for anchor, poses in sketch.lines:
        at = frame.at(anchor.at_mm)
        canvas.saveState()
        canvas.setLineWidth(0.45)
        canvas.setDash([2.4, 0.7, 0.5, 0.7])
        for pose in poses:
            canvas.line(*at, *frame.at((pose.x_mm, pose.y_mm)))
        canvas.restoreState()


def _draw_anchor(canvas: Any, frame: _Frame, anchor: Anchor) -> None:
    """Draw what a line may be made fast to, by its name."""
    x, y = frame.at(anchor.at_mm)
    canvas.setLineWidth(0.6)
    canvas.circle(x, y, 1.1)
    _word(canvas, x + 1.6, y - 0.7, anchor.key, MARK_MM)


def _draw_spots(canvas: Any, spots: Mapping[str, Point]) -> None:
    """Draw points that are named, each with its letter white on black beside it, none over another."""
    taken: list[Box] = []
    for letter, (x, y) in spots.items():
        wide = max(width(letter, BOLD, MARK_MM) + 1.2, LETTER_MM)
        beside = [Box(x + dx, y + dy, x + dx + wide, y + dy + LETTER_MM) for dx, dy in BESIDE_MM]
        box = next((b for b in beside if not any(b.touches(other) for other in taken)), beside[0])
        taken.append(box)
        canvas.saveState()
        canvas.setFillGray(0.0)
        canvas.circle(x, y, 0.6, stroke=0, fill=1)
        canvas.rect(box.left, box.bottom, wide, LETTER_MM, stroke=0, fill=1)
        canvas.setFillGray(1.0)
        left = box.left + (wide - width(letter, BOLD, MARK_MM)) / 2
        write(canvas, left, box.bottom + 0.7, letter, BOLD, MARK_MM)
        canvas.restoreState()


LETTER_MM = 3.4
"""How high the black square of a letter is."""
BESIDE_MM = [
    (dx, dy) for far in (0.9, 4.7, 8.5) for dx in (far, -far - LETTER_MM) for dy in (0.5, -0.5 - LETTER_MM)
]
"""Where a letter finds room beside its point, the nearest first."""


def _word(canvas: Any, x: float, y: float, text: str, size: float) -> None:
    """Write a word in bold on white, over what is drawn there."""
    canvas.saveState()
    canvas.setFillGray(1.0)
    canvas.rect(x - 0.2, y - 0.3 * size, width(text, BOLD, size) + 0.4, 1.2 * size, stroke=0, fill=1)
    canvas.restoreState()
    write(canvas, x, y, text, BOLD, size)


def _draw_laid(canvas: Any, frame: _Frame, it: Situation | None) -> None:
    """Draw each plate and ramp where it lies, one of each kind by name."""
    every: list[Laid | Ramps] = [] if it is None else [*it.laid, *it.ramps]
    for laid in every:
        for piece in laid.pieces:
            _shape(canvas, frame, piece.outline, line=0.35, grey=0.0, fill=None)
        for piece in laid.pieces[:1]:
            x, _, _, y = bounds(frame.at(p) for p in piece.outline)
            _word(canvas, x + 0.3, y - MARK_MM, _clean(laid.gear.name), MARK_MM)


def _draw_parts(canvas: Any, frame: _Frame, scene: Scene, plan: Plan) -> None:
    """Mark the middle of each part that waits in a room passed."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    for part in plan.off_first:
        place = plan.resting.get(part.called)
        zone = None if place is None else scene.zone(place.zone)
        if place is None or zone is None or place.x_mm is None or place.y_mm is None:
            continue
        at = to_shop(zone, place.x_mm, place.y_mm, place.turn_deg)
        if zone.room in plan.attempt.ground.route.rooms:
            x, y = frame.at((at.x_mm, at.y_mm))
            canvas.setLineWidth(0.35)
            canvas.line(x - 0.9, y - 0.9, x + 0.9, y + 0.9)
            canvas.line(x - 0.9, y + 0.9, x + 0.9, y - 0.9)
            write(canvas, x + 1.3, y - 0.7, _clean(f"{part.name} waits"), PLAIN, 2.0)


def _draw_way(canvas: Any, frame: _Frame, scene: Scene, plan: Plan) -> None:
    """Draw the thing and its gear along the way, first, last and tightest strongly."""
    if not plan.path or plan.attempt is None:
        return
    hull, thing = plan.attempt.hull, plan.body.outline
    for pose in ghosts(plan.path):
        _shape(canvas, frame, placed(hull, pose), line=0.08, grey=0.55, fill=None)
    points = [frame.at((p.x_mm, p.y_mm)) for p in plan.path]
    canvas.saveState()
    canvas.setLineWidth(0.35)
    for a, b in itertools.pairwise(points):
        canvas.line(*a, *b)
        if math.dist(a, b) > HEADED_MM:
            _arrow(canvas, a, (a[0] + (b[0] - a[0]) * 0.6, a[1] + (b[1] - a[1]) * 0.6))
    canvas.restoreState()
    for pose in (plan.path[0], plan.path[-1]):
        _shape(canvas, frame, placed(hull, pose), line=0.2, grey=0.0, fill=None)
        _shape(canvas, frame, placed(thing, pose), line=0.6, grey=0.0, fill=None)
    for pose in (plan.path[0], plan.path[-1]):
        _handle(canvas, frame, scene, plan, pose)
    cg = plan.body.load.cg_mm
    if cg is not None:
        x, y = frame.at(placed((cg,), plan.path[0])[0])
        canvas.setLineWidth(0.35)
        canvas.line(x - 1.2, y, x + 1.2, y)
        canvas.line(x, y - 1.2, x, y + 1.2)
    for n, legs in enumerate(moving_legs(plan), 1):
        middle = legs[len(legs) // 2].poses
        at = middle[len(middle) // 2]
        x, y = frame.at((at.x_mm, at.y_mm))
        canvas.saveState()
        canvas.setFillGray(1.0)
        canvas.setLineWidth(0.25)
        canvas.circle(x, y, 1.9, stroke=1, fill=1)
        canvas.restoreState()
        write(canvas, x - 0.8, y - 0.95, str(n), BOLD, 2.8)
    if plan.tightest is not None:
        _shape(canvas, frame, placed(hull, plan.tightest), line=0.5, grey=0.0, fill=None, dash=True)
        points_there = plan.attempt.found.points
        if points_there is not None:
            x, y = frame.at(points_there[1])
            canvas.setLineWidth(0.5)
            canvas.circle(x, y, 1.8)
            _word(canvas, x - 2.4 - width("tightest", BOLD, 2.2), y - 0.8, "tightest", 2.2)


def _handle(canvas: Any, frame: _Frame, scene: Scene, plan: Plan, pose: Pose) -> None:
    """Draw who steers at the handle end."""
    gear = plan.gear
    if gear.heel is None:
        return
    own = scene.shop.limits.moving
    square = placed(who_steers(gear, 0.0, handle_reach(gear, own), own["person"]), pose)
    _shape(canvas, frame, square, line=0.25, grey=0.0, fill=None, dash=True)
    x0, y0, x1, _ = bounds(frame.at(p) for p in square)
    words = "who steers"
    _word(canvas, (x0 + x1 - width(words, BOLD, MARK_MM)) / 2, y0 - MARK_MM, words, MARK_MM)


def _draw_room(canvas: Any, frame: _Frame, scene: Scene, key: str) -> None:
    """Draw which way the floor falls, and beams with their underside."""
    room = scene.shop.rooms[key]
    x0, y0, x1, y1 = bounds(room.outline)
    if room.slope is not None and room.slope.fall > 0:
        a = frame.at((x0 + (x1 - x0) * 0.12, y0 + (y1 - y0) * 0.15))
        c, s = cos_sin(room.slope.towards_deg)
        _arrow(canvas, (a[0] - 5 * c, a[1] - 5 * s), (a[0] + 5 * c, a[1] + 5 * s))
        _word(canvas, a[0] - 5.0, a[1] + 1.2, f"falls 1 in {1 / room.slope.fall:.0f}", 2.2)
    for beam in scene.shop.fixtures.values():
        if beam.room == key and beam.base_mm > 0:
            _shape(canvas, frame, beam.outline, line=0.3, grey=0.2, fill=None, dash=True)
            _label(canvas, frame, beam.outline, f"{beam.name} {beam.base_mm:.0f}", 2.0)


def _name_door(canvas: Any, frame: _Frame, scene: Scene, key: str) -> None:
    door = scene.shop.doors[key]
    x, y = frame.at((sum(p[0] for p in door.passage) / 4, max(p[1] for p in door.passage)))
    sill = f", sill {door.threshold_mm:.0f}" if door.threshold_mm else ""
    height = "" if door.height_mm is None else f", {door.height_mm:.0f} high"
    _word(canvas, x + 2.0, y + 1.0, f"{door.name}{height}{sill}", 2.2)


def _draw_gap(canvas: Any, frame: _Frame, door: Door) -> None:
    """Draw a door that the way does not go through: a gap in the walls on both its sides, with its name."""
    (x0, y0), (x1, y1) = frame.at(door.jambs[0]), frame.at(door.jambs[1])
    length = math.dist(*door.jambs)
    along = [door.jambs]
    for a, b in edges(door.passage):
        (ux, uy), (vx, vy) = _apart(*door.jambs), _apart(a, b)
        if abs(ux * vy - uy * vx) < 0.02 * length * length and math.dist(a, b) > length / 2:
            along.append((a, b))
    canvas.saveState()
    for line, grey in ((0.9, 1.0), (0.2, 0.3)):
        canvas.setLineWidth(line)
        canvas.setStrokeGray(grey)
        if grey < 1.0:
            canvas.setDash(0.6, 0.6)
        for a, b in along:
            canvas.line(*frame.at(a), *frame.at(b))
    canvas.restoreState()
    words = f"{door.name}{', way out' if door.exit or door.emergency else ''}"
    half = width(words, BOLD, GAP_MM) / 2
    level = abs(y1 - y0) < abs(x1 - x0)
    right = (x0 + x1) / 2 > MARGIN_MM + PLAN_MM[0] / 2
    left = (x0 + x1) / 2 - (half if level else 2 * half + 0.8 if right else -0.8)
    _word(canvas, left, (y0 + y1) / 2 + (0.6 if level else 0.0), words, GAP_MM)


def _apart(a: Point, b: Point) -> Point:
    return b[0] - a[0], b[1] - a[1]


GAP_MM = 2.0


def ghosts(path: Sequence[Pose]) -> list[Pose]:
    """Return poses about every 900 mm along a way, and at every 45 degrees of turn."""
    found = []
    far = GHOST_MM
    for a, b in itertools.pairwise(path):
        leg = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) + abs(b.turn_deg - a.turn_deg) * GHOST_MM / 45
        at = 0.0
        while leg > 0 and at + (GHOST_MM - far) <= leg:
            at += GHOST_MM - far
            far = 0.0
            found.append(between(a, b, min(1.0, at / leg)))
            if at >= leg:
                break
        far += leg - at
    return found


def _bar(canvas: Any, scale: float, y: float) -> None:
    """Draw a bar of a round length, and say it."""
    length = next((m for m in (5000.0, 2000.0, 1000.0, 500.0, 200.0) if m / scale <= 50.0), 100.0)
    x = MARGIN_MM + 16.0
    canvas.setLineWidth(0.6)
    canvas.line(x, y + 0.8, x + length / scale, y + 0.8)
    for end in (x, x + length / scale):
        canvas.line(end, y, end, y + 1.6)
    words = f"{length / 1000:g} m; dashed: stood there before, or the tightest place; dash and dot: a line"
    write(canvas, x + length / scale + 1.5, y, words, PLAIN, 2.2)
