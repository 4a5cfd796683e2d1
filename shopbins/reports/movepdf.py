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

from shopbins.answer import Verdict
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, Point, Pose, between, bounds, cos_sin, placed
from shopbins.ledger.state import State
from shopbins.moves.beside import handle_reach, who_steers
from shopbins.moves.finding import row_of
from shopbins.moves.force import men_for, who_pushes
from shopbins.moves.legs import Leg
from shopbins.moves.load import Load
from shopbins.moves.plan import SHOWN_ASKS, Plan
from shopbins.moves.plates import Laid, Ramps
from shopbins.moves.pressing import covers_of
from shopbins.moves.restson import asked_anew
from shopbins.moves.route import SLOPING
from shopbins.moves.running import RUNS, force_on
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.standing import TIPS
from shopbins.moves.steps import Step, shift_numbers, situation, steps_of, worded
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
from shopbins.scene.frames import to_shop
from shopbins.scene.scene import Scene
from shopbins.tags.fonts import BOLD, PLAIN, printable, width
from shopbins.units import show_length, show_mass

PAGE_MM = (210.0, 297.0)
MARGIN_MM = 11.0
PLAN_MM = (PAGE_MM[0] - 2 * MARGIN_MM, 96.0)
PLAN_GAP_MM = 5.0
HEAD_MM, BIG_MM, SMALL_MM = 4.4, 3.5, 3.1
WATCH_MM, FINE_MM, KEY_MM, NAME_MM = 2.8, 2.3, 2.2, 1.7
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
    y = _set(canvas, list(_head(scene, plan, day)), PAGE_MM[1] - MARGIN_MM, BIG_MM)
    foot = list(_foot(day))
    first, second = list(_legs(scene, plan)), [*_steps(scene, plan, steps), *_end(plan)]
    more = list(_why_and_watch(plan, scene.state))
    floor = MARGIN_MM + _height(foot, SMALL_MM)
    drawn = plan.attempt is not None and plan.attempt.ground is not None and bool(plan.path)
    under = y - (_plan_mm(plan, PLAN_MM[1]) + PLAN_GAP_MM if drawn else 0.0) - 1.5
    every = [*first, *second, *more]
    size = next((s for s in SIZES_MM if _height(every, s) <= under - floor), None)
    high = PLAN_MM[1]
    if size is None:  # two pages: the plan as large as the first has room for
        high = max(high, y - floor - _height(first, BIG_MM) - PLAN_GAP_MM - 3.0)
    if drawn:
        y = _draw_plan(canvas, scene, plan, y - 1.0, high)
    if size is not None:
        _set(canvas, every, y - 1.5, size)
    else:
        over: list[_Line] = []
        while first and _height(first, SMALL_MM) > y - 1.5 - floor:
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


def _head(scene: Scene, plan: Plan, day: date) -> Iterator[_Line]:
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
        yield _Line(f"By {route_words(plan, scene)}. Tightest: {tightest_words(plan)}")


def _answer(plan: Plan) -> Iterator[_Line]:
    """Say the answer once: what forbids and what is asked a line each, conditions in one with who accepted
    them.
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
        said = (f"{p.text}{f' (accepted {p.accepted.said})' if p.accepted else ''}" for p in plan.conditions)
        yield _head_line(f"Goes only with: {'; '.join(said)}")


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
    said = [f"On {gear.name}"]
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


def _steps(scene: Scene, plan: Plan, steps: Sequence[Step]) -> Iterator[_Line]:
    if plan.measure_again:
        yield _Line("Measure before the start", bold=True, gap=1.0)
        for each in plan.measure_again:
            yield _Line(f"{each}  now: ____________", box=True)
    if steps:
        yield _Line(f"Steps, in this order ({shift_words(plan, scene)})", bold=True, gap=1.0)
    for n, step in enumerate(steps, 1):
        yield _Line(f"{n}  {worded(step)}", box=True)


def _end(plan: Plan) -> Iterator[_Line]:
    shut = [p.text for p in plan.conditions if row_of(p).finding.rule == "move-exit-shut"]
    if shut:
        yield _Line(f"Shut meanwhile: {'; '.join(shut)}", bold=True, gap=1.0)
        yield _Line("Watch kept by ____________", bold=True)
    yield _Line("", gap=0.5)
    for each in CAUTIONS:
        yield _Line(each)


def _why_and_watch(plan: Plan, state: State) -> Iterator[_Line]:
    """Say why each condition is one, what else to watch, what was not checked: as screen and text do."""
    if plan.conditions:
        yield _Line("Conditions, and why", bold=True, gap=1.0)
    in_head = {row_of(p).finding.text for p in plan.answer.parts if row_of(p).finding.rule == TIPS.key}
    for part in plan.conditions:
        why, anew = row_of(part).finding.text, asked_anew(state, row_of(part), plan.name)
        yield _Line(f"{part.text}: {'tilt as said above' if why in in_head else why}", box=True)
        if anew:
            yield _Line(anew)
    yield _Line("Watch", bold=True, gap=1.0)
    *cautions, sources = plan.cautions
    yield from (_Line(f"- {each}", size=WATCH_MM) for each in cautions if each not in in_head)
    others = list(gear_words(plan, other=True))
    if others:
        yield _Line("Other gear", bold=True, gap=1.0)
    yield from (_Line(f"- {each}", size=FINE_MM) for each in others)
    yield _Line(sources, size=FINE_MM, gap=0.8)


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
    """Return the lines that find room in a height, and the others; a heading stays with what is below it."""
    here: list[_Line] = []
    left = list(lines)
    while left and _height([*here, left[0]], size) <= room:
        here.append(left.pop(0))
    while left and here and here[-1].bold:
        left.insert(0, here.pop())
    return here, left


def _height(lines: Iterable[_Line], size: float) -> float:
    return sum(
        len(_broken(line, line.size or size)) * (line.size or size) * 1.32 + line.gap for line in lines
    )


def _broken(line: _Line, size: float) -> list[str]:
    """Break a line at its spaces to the width of the page."""
    room = PAGE_MM[0] - 2 * MARGIN_MM - (size * 1.8 if line.box else 0.0)
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


def _clean(text: str) -> str:
    return printable(plain(text)).text


def _set(canvas: Any, lines: Sequence[_Line], top: float, size: float) -> float:
    """Set lines from a height downwards, return where they end."""
    y = top
    usual = size
    for line in lines:
        size = line.size or usual
        y -= line.gap
        left = MARGIN_MM + (size * 1.8 if line.box else 0.0)
        for n, text in enumerate(_broken(line, size)):
            y -= size * 1.32
            if line.box and n == 0:
                canvas.setLineWidth(0.25)
                canvas.rect(MARGIN_MM, y - size * 0.1, size, size)
            write(canvas, left, y, text, BOLD if line.bold else PLAIN, size)
    return y


# --- the plan ---------------------------------------------------------------------------------------------


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


def _scale(plan: Plan, high: float) -> tuple[float, tuple[float, float, float, float]]:
    """Return the scale at which the rooms passed fit so high, and their box."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    x0, y0, x1, y1 = box = bounds(p for outline in plan.attempt.ground.outlines for p in outline)
    fits = (s for s in SCALES if (x1 - x0) / s <= PLAN_MM[0] and (y1 - y0) / s <= high)
    return next(fits, SCALES[-1]), box


def _plan_mm(plan: Plan, high: float) -> float:
    """Return how high the plan is on the page, with the names of its letters below it."""
    scale, (_, y0, _, y1) = _scale(plan, high)
    return (y1 - y0) / scale + _height(_key(_letters(plan, scale)), KEY_MM)


def _letters(plan: Plan, scale: float) -> dict[str, str]:
    """Give a letter to each name that has no room in its outline at a scale."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    ground = plan.attempt.ground
    named = [(body.name, body.outline) for body in (*ground.fixed, *ground.things)]
    lacking = dict.fromkeys(name for name, at in (*named, *ground.avoided) if not _has_room(name, at, scale))
    return {name: f"{chr(97 + n % 26)}{n // 26 or ''}" for n, name in enumerate(lacking)}


def _has_room(name: str, outline: Outline, scale: float) -> bool:
    x0, y0, x1, y1 = (side / scale for side in bounds(outline))
    return width(_clean(name), PLAIN, NAME_MM) <= x1 - x0 - 0.4 and y1 - y0 > NAME_MM


def _key(letters: Mapping[str, str]) -> list[_Line]:
    """Return what says what the letters on the plan are."""
    said = "; ".join(f"{letter} {name}" for name, letter in letters.items())
    return [_Line(f"On the plan: {said}")] if said else []


def _draw_plan(canvas: Any, scene: Scene, plan: Plan, top: float, high: float) -> float:
    """Draw the rooms passed, what stands there, the way and its tightest place; return its lower edge."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    ground = plan.attempt.ground
    scale, (x0, y0, x1, y1) = _scale(plan, high)
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
    _draw_laid(canvas, frame, scene, plan)
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
    for key in ground.route.doors:
        _name_door(canvas, frame, scene, key)
    for key in ground.route.rooms:
        _draw_room(canvas, frame, scene, key)
    for x, y in empty:
        write(canvas, x - width("nobody here", BOLD, 2.6) / 2, y, "nobody here", BOLD, 2.6)
    lower = frame.bottom - 4.0
    write(canvas, MARGIN_MM, lower, f"1 : {scale}", BOLD, 2.6)
    _bar(canvas, scale, lower)
    return _set(canvas, _key(letters), lower, KEY_MM)


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
        if room.slope is None or room.slope.fall <= SLOPING:
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
    """Draw the covers in the floors passed, each with what it takes."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    for cover in covers_of(scene.shop, plan.attempt.ground.outlines):
        _shape(canvas, frame, cover.outline, line=0.3, grey=0.0, fill=None, dash=True)
        takes = cover.klass if cover.load_kg is None else show_mass(cover.load_kg)
        x0, y0, _, _ = bounds(frame.at(p) for p in cover.outline)
        write(canvas, x0, y0 - 2.4, _clean(f"{cover.name}, {takes or 'load ?'}"), PLAIN, 2.0)


def _draw_laid(canvas: Any, frame: _Frame, scene: Scene, plan: Plan) -> None:
    """Draw each plate and ramp where it lies, one of each kind by name."""
    it = situation(scene, plan)
    every: list[Laid | Ramps] = [] if it is None else [*it.laid, *it.ramps]
    for laid in every:
        for piece in laid.pieces:
            _shape(canvas, frame, piece.outline, line=0.35, grey=0.0, fill=None)
        for piece in laid.pieces[:1]:
            x, _, _, y = bounds(frame.at(p) for p in piece.outline)
            write(canvas, x + 0.3, y - 2.0, _clean(laid.gear.name), PLAIN, 2.0)


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
            write(canvas, x - 2.4 - width("tightest", BOLD, 2.2), y - 0.8, "tightest", BOLD, 2.2)


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
    write(canvas, (x0 + x1 - width(words, BOLD, 2.2)) / 2, y0 - 2.2, words, BOLD, 2.2)


def _draw_room(canvas: Any, frame: _Frame, scene: Scene, key: str) -> None:
    """Draw which way the floor falls, what a line may be made fast to, and beams with their underside."""
    room = scene.shop.rooms[key]
    x0, y0, x1, y1 = bounds(room.outline)
    if room.slope is not None and room.slope.fall > 0:
        a = frame.at((x0 + (x1 - x0) * 0.12, (y0 + y1) / 2))
        c, s = cos_sin(room.slope.towards_deg)
        _arrow(canvas, (a[0] - 5 * c, a[1] - 5 * s), (a[0] + 5 * c, a[1] + 5 * s))
        write(canvas, a[0] + 1.0, a[1] + 1.0, f"falls 1 in {1 / room.slope.fall:.0f}", BOLD, 2.2)
    for anchor in room.anchors:
        x, y = frame.at(anchor.at_mm)
        canvas.setLineWidth(0.6)
        canvas.circle(x, y, 1.1)
        write(canvas, x + 1.6, y - 0.7, anchor.key, BOLD, 2.2)
    for beam in scene.shop.fixtures.values():
        if beam.room == key and beam.base_mm > 0:
            _shape(canvas, frame, beam.outline, line=0.3, grey=0.2, fill=None, dash=True)
            _label(canvas, frame, beam.outline, f"{beam.name} {beam.base_mm:.0f}", 2.0)


def _name_door(canvas: Any, frame: _Frame, scene: Scene, key: str) -> None:
    door = scene.shop.doors[key]
    x, y = frame.at((sum(p[0] for p in door.passage) / 4, max(p[1] for p in door.passage)))
    sill = f", sill {door.threshold_mm:.0f}" if door.threshold_mm else ""
    height = "" if door.height_mm is None else f", {door.height_mm:.0f} high"
    write(canvas, x + 2.0, y + 1.0, f"{door.name}{height}{sill}", BOLD, 2.2)


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
    words = f"{length / 1000:g} m; dashed: stood there before, or the tightest place"
    write(canvas, x + length / scale + 1.5, y, words, PLAIN, 2.2)
