"""The move sheet as one A4 page: the answer, a plan to scale, boxes to tick, what to watch."""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.geometry.shapes import Outline, Point, Pose, bounds, placed
from shopbins.moves.meanwhile import between
from shopbins.moves.plan import Plan
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.steps import steps_of
from shopbins.reports.movesheet import answer_line, route_words, shift_words, tightest_words
from shopbins.reports.plain import plain
from shopbins.rules.finding import GRADES
from shopbins.scene.scene import Scene
from shopbins.tags.fonts import BOLD, PLAIN, printable, runs, width

PAGE_MM = (210.0, 297.0)
MARGIN_MM = 12.0
PLAN_MM = (PAGE_MM[0] - 2 * MARGIN_MM, 92.0)
SIZES_MM = (3.1, 2.8, 2.5, 2.25, 2.0)
SCALES = (10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
GHOST_MM = 900.0
SIGNS = {"stop": "STOP", "correct": "CORRECT", "note": "note"}


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    bold: bool = False
    box: bool = False
    gap: float = 0.0


def sheet_pdf(scene: Scene, plan: Plan) -> bytes:
    """Return the sheet as the bytes of a PDF of one page; what finds no room is counted at its foot."""
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(PAGE_MM[0] * mm, PAGE_MM[1] * mm), invariant=1)
    canvas.setTitle(printable(f"Move {plan.name} to {plan.place}").text)
    canvas.scale(mm, mm)
    y = PAGE_MM[1] - MARGIN_MM
    y = _set(canvas, _head(scene, plan), y, 3.3)
    if plan.attempt is not None and plan.attempt.ground is not None:
        y = _draw_plan(canvas, scene, plan, y - 1.0)
    _fill(canvas, _body(scene, plan), y - 1.5)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


# --- text -------------------------------------------------------------------------------------------------


def _head(scene: Scene, plan: Plan) -> list[_Line]:
    lines = [
        _Line(f"{plan.name} ({plan.code}) to {plan.place}", bold=True),
        _Line(answer_line(plan, scene.shop.measured_mm), bold=True),
    ]
    if plan.path:
        lines.append(_Line(f"on {plan.gear.gear.name}; {route_words(plan, scene)}"))
        lines.append(_Line(f"tightest: {tightest_words(plan)}"))
    lines.append(_Line(f"{scene.shop.name}, as of event {plan.seq}; {plan.body.load.mass_words()}"))
    return lines


def _body(scene: Scene, plan: Plan) -> list[_Line]:
    lines: list[_Line] = []
    if plan.planned:
        lines.append(_Line(f"In this order: {shift_words(plan, scene)}", bold=True))
        lines += [_Line(f"{n}  {step['title']}", box=True) for n, step in enumerate(steps_of(scene, plan), 1)]
    if plan.measure_again:
        lines.append(_Line("Measure again: " + "; ".join(plan.measure_again), bold=True, gap=1.0))
    worst = [f for f in sorted(plan.findings, key=lambda f: GRADES.index(f.grade)) if f.grade != "note"]
    if worst:
        lines.append(_Line("Found", bold=True, gap=1.0))
        lines += [_Line(f"{SIGNS[f.grade]}: {f.text}. Do: {f.remedy}") for f in worst]
    lines.append(_Line("Watch", bold=True, gap=1.0))
    lines += [_Line(f"- {each}") for each in plan.cautions]
    notes = [f for f in plan.findings if f.grade == "note"]
    lines += [_Line(f"- {f.text}") for f in notes]
    lines.append(_Line("Other gear", bold=True, gap=1.0))
    lines += [
        _Line(f"- {t.name}: {t.answer}{', ' + t.reason if t.reason else ''}")
        for t in plan.tried
        if t.gear != plan.gear.gear.key
    ]
    return lines


def _fill(canvas: Any, lines: Sequence[_Line], top: float) -> None:
    """Set lines in the room left, in the largest letters that hold them all; else count what is left out."""
    for size in SIZES_MM:
        if _height(lines, size) <= top - MARGIN_MM:
            _set(canvas, lines, top, size)
            return
    size, kept = SIZES_MM[-1], list(lines)
    while kept and _height([*kept, _Line("x")], size) > top - MARGIN_MM:
        kept.pop()
    words = f"{len(lines) - len(kept)} lines more found no room here: see the text sheet (-o SHEET.txt)"
    _set(canvas, [*kept, _Line(words, bold=True)], top, size)


def _height(lines: Iterable[_Line], size: float) -> float:
    return sum(len(_broken(line, size)) * size * 1.32 + line.gap for line in lines)


def _broken(line: _Line, size: float) -> list[str]:
    """Break a line at its spaces to the width of the page."""
    room = PAGE_MM[0] - 2 * MARGIN_MM - (size * 1.8 if line.box else 0.0)
    font = BOLD if line.bold else PLAIN
    found: list[str] = []
    now = ""
    for word in printable(plain(line.text)).text.split(" "):
        longer = f"{now} {word}" if now else word
        if now and width(longer, font, size) > room:
            found.append(now)
            now = word
        else:
            now = longer
    return [*found, now]


def _set(canvas: Any, lines: Sequence[_Line], top: float, size: float) -> float:
    """Set lines from a height downwards, return where they end."""
    y = top
    for line in lines:
        y -= line.gap
        left = MARGIN_MM + (size * 1.8 if line.box else 0.0)
        for n, text in enumerate(_broken(line, size)):
            y -= size * 1.32
            if line.box and n == 0:
                canvas.setLineWidth(0.25)
                canvas.rect(MARGIN_MM, y - size * 0.1, size, size)
            _write(canvas, left, y, text, size, BOLD if line.bold else PLAIN)
    return y


def _write(canvas: Any, x: float, y: float, text: str, size: float, font: str = PLAIN) -> None:
    for face, piece in runs(text, font):
        canvas.setFont(face.name, size)
        canvas.drawString(x, y, piece)
        x += width(piece, font, size)


# --- the plan ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Frame:
    """From the shop's millimetres to the page's."""

    scale: float
    x_mm: float
    y_mm: float
    left: float
    bottom: float

    def at(self, p: Point) -> Point:
        """Return where a point of the shop is on the page."""
        return self.left + (p[0] - self.x_mm) / self.scale, self.bottom + (p[1] - self.y_mm) / self.scale


def _draw_plan(canvas: Any, scene: Scene, plan: Plan, top: float) -> float:
    """Draw the rooms passed, what stands there, the way and its tightest place; return its lower edge."""
    assert plan.attempt is not None and plan.attempt.ground is not None
    ground = plan.attempt.ground
    x0, y0, x1, y1 = bounds(p for outline in ground.outlines for p in outline)
    wide, high = PLAN_MM
    scale = next((s for s in SCALES if (x1 - x0) / s <= wide and (y1 - y0) / s <= high), SCALES[-1])
    frame = _Frame(scale, x0, y0, MARGIN_MM + (wide - (x1 - x0) / scale) / 2, top - (y1 - y0) / scale)
    for outline in ground.outlines:
        _shape(canvas, frame, outline, line=0.4, grey=0.0, fill=1.0)
    for door in ground.route.doors:
        _shape(canvas, frame, scene.shop.doors[door].passage, line=0.1, grey=0.6, fill=1.0)
    for body in ground.fixed:
        _shape(canvas, frame, body.outline, line=0.15, grey=0.3, fill=0.8)
        _label(canvas, frame, body.outline, body.name)
    for _, leaf in ground.leaves:
        _shape(canvas, frame, leaf, line=0.3, grey=0.0, fill=0.6)
    moved = {each.subject for each in plan.shift}
    for body in ground.things:
        dashed = body.subject in moved
        _shape(canvas, frame, body.outline, line=0.2, grey=0.2, fill=1.0 if dashed else 0.9, dash=dashed)
        _label(canvas, frame, body.outline, body.name)
    _draw_shifts(canvas, frame, scene, plan)
    _draw_way(canvas, frame, plan)
    lower = frame.bottom - 4.0
    _write(canvas, MARGIN_MM, lower, f"1 : {scale}", 2.6, BOLD)
    _bar(canvas, scale, lower)
    return lower


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


def _label(canvas: Any, frame: _Frame, outline: Outline, text: str, size: float = 1.7) -> None:
    x0, y0, x1, y1 = bounds(frame.at(p) for p in outline)
    shown = printable(plain(text)).text
    while shown and width(shown, PLAIN, size) > x1 - x0 - 0.4:
        shown = shown[:-1]
    if len(shown) > 2 and y1 - y0 > size:
        _write(canvas, x0 + 0.3, (y0 + y1) / 2 - size * 0.3, shown, size)


def _draw_shifts(canvas: Any, frame: _Frame, scene: Scene, plan: Plan) -> None:
    """Draw where shifted things go, numbered as in the list."""
    ground = None if plan.attempt is None else plan.attempt.ground
    if ground is None or not plan.shift:
        return
    after = shifted_scene(scene, plan.shift)
    before = {t.subject: t for t in ground.things}
    there = {b.subject: b for room in after.shop.rooms for b in after.standing(room)}
    for n, each in enumerate(plan.shift, len(plan.off_first) + 1):
        here, now = before.get(each.subject), there.get(each.subject)
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
    _write(canvas, x + 0.8, y + 0.5, str(n), 2.6, BOLD)


def _arrow(canvas: Any, a: Point, b: Point) -> None:
    if math.dist(a, b) < 0.5:
        return
    canvas.setLineWidth(0.3)
    canvas.line(*a, *b)
    angle = math.atan2(b[1] - a[1], b[0] - a[0])
    for side in (2.6, -2.6):
        canvas.line(*b, b[0] + 1.3 * math.cos(angle + side), b[1] + 1.3 * math.sin(angle + side))


def _draw_way(canvas: Any, frame: _Frame, plan: Plan) -> None:
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
    canvas.restoreState()
    for pose in (plan.path[0], plan.path[-1]):
        _shape(canvas, frame, placed(hull, pose), line=0.2, grey=0.0, fill=None)
        _shape(canvas, frame, placed(thing, pose), line=0.6, grey=0.0, fill=None)
    if plan.tightest is not None:
        _shape(canvas, frame, placed(hull, plan.tightest), line=0.5, grey=0.0, fill=None, dash=True)
        points_there = plan.attempt.found.points
        if points_there is not None:
            x, y = frame.at(points_there[1])
            canvas.setLineWidth(0.5)
            canvas.circle(x, y, 1.8)
            _write(canvas, x + 2.2, y - 0.8, "tightest", 2.2, BOLD)


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
    _write(canvas, x + length / scale + 1.5, y, words, 2.2)
