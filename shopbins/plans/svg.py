"""The plan as SVG: one drawing to scale, in mm of paper, what is found listed below it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from xml.sax.saxutils import escape

from shopbins.geometry.shapes import Point
from shopbins.plans.names import labels
from shopbins.plans.picture import Picture
from shopbins.reports.plain import plain

MARGIN_MM = 10.0
HEAD_MM = 8.0
FOOT_MM = 16.0
LINE_MM = 4.0
LETTER_MM = 2.4
LETTER_WIDTH = 0.56
"""Of a letter size, what a letter of a plain face takes on the whole: whoever shows it chooses the face."""
LEAST_WIDTH_MM = 130.0
STYLE = """
polygon,polyline{fill:none;stroke:#000;stroke-width:.18}
.walls{stroke-width:.6}.zones{fill:#dce9f5}.fixtures{fill:#ddd}.parts{fill:#fff;stroke-width:.3}
.keep-clear{fill:#fbe3e0;stroke:#a11;stroke-dasharray:1 .6}.ways{stroke:#276b2c;stroke-dasharray:2 1}
.swings{stroke-dasharray:.6 .6}.openings{stroke-dasharray:.3 .5}.doors{fill:#fff}
line{stroke:#000;stroke-width:.3}
text{font-family:sans-serif;fill:#000}.mark{font-weight:bold;fill:#fff}
.stop{fill:#b3261e}.fix{fill:#7a4b00}.accepted{fill:#555}
"""


def svg(plan: Picture, scale: int) -> bytes:
    """Return the plan as the bytes of an SVG file, 1 to `scale`; the same plan gives the same bytes."""
    wide, high = plan.size_mm
    width = max(wide / scale, LEAST_WIDTH_MM) + 2 * MARGIN_MM
    names, key = labels(plan, scale, lambda text, size: LETTER_WIDTH * size * len(text))
    lines = list(_list(plan, key, int((width - 2 * MARGIN_MM) / (LETTER_MM * 0.52))))
    below = MARGIN_MM + HEAD_MM + high / scale
    height = below + FOOT_MM + len(lines) * LINE_MM + MARGIN_MM

    def spot(point: Point) -> Point:
        return (point[0] - plan.box[0]) / scale + MARGIN_MM, below - (point[1] - plan.box[1]) / scale

    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.2f}mm" height="{height:.2f}mm" '
        f'viewBox="0 0 {width:.2f} {height:.2f}">',
        f"<title>{_safe(plan.title)}</title><style>{STYLE}</style>",
        _text(MARGIN_MM, MARGIN_MM + 3, f"{plan.title}   1:{scale}", 4.0),
    ]
    for shape in plan.shapes:
        corners = " ".join(f"{x:.3f},{y:.3f}" for x, y in map(spot, shape.points))
        tag = "polyline" if shape.open else "polygon"
        title = f"<title>{_safe(shape.name)}</title>" if shape.name else ""
        out.append(f'<{tag} class="{shape.layer}" points="{corners}">{title}</{tag}>')
    out += [
        _text(MARGIN_MM + label.x, below - label.y + label.size * 0.36, label.text, label.size, "middle")
        for label in names
    ]
    for mark in plan.marks:
        if mark.at_mm is not None:
            x, y = spot(mark.at_mm)
            out.append(
                f'<g class="finding"><circle class="{_grade(mark.sign)}" cx="{x:.3f}" cy="{y:.3f}" r="2.4"/>'
                f'<text class="mark" x="{x:.3f}" y="{y + 1:.3f}" font-size="2.8" text-anchor="middle">'
                f"{mark.number}</text></g>"
            )
    out += _foot(plan, scale, below + 6, width)
    out += [
        _text(MARGIN_MM, below + FOOT_MM + 2 + n * LINE_MM, line, LETTER_MM) for n, line in enumerate(lines)
    ]
    return "\n".join([*out, "</svg>", ""]).encode("utf-8")


def _foot(plan: Picture, scale: int, y: float, width: float) -> Iterator[str]:
    """Draw the scale bar and the line to lay a ruler on."""
    step, unit = (3048.0, "10 ft") if plan.us else (1000.0, "m")
    count = 2 if plan.us else 5
    end = MARGIN_MM + count * step / scale
    yield _line("bar", MARGIN_MM, y, end, y)
    for n in range(count + 1):
        x = MARGIN_MM + n * step / scale
        yield _line("tick", x, y - 1, x, y)
    shown = f"{count * 10} ft" if plan.us else f"{count} {unit}"
    yield _text(end, y + 3, shown, 2.2, "middle")
    x = width - MARGIN_MM
    yield _line("ruler", x - 100, y, x, y)
    yield _text(x, y + 3, "if this line is not 100 mm, the scale is wrong", 2.2, "end")


def _line(name: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{name}" x1="{x1:.3f}" y1="{y1:.3f}" x2="{x2:.3f}" y2="{y2:.3f}"/>'


def _list(plan: Picture, key: list[str], letters: int) -> Iterator[str]:
    """Yield the findings, the words, and what the signs mean."""
    for mark in plan.marks:
        tail = f" Fix: {mark.remedy}" if mark.remedy else ""
        tail += f" {mark.accepted}" if mark.accepted else ""
        yield from textwrap.wrap(mark.line + tail, max(letters, 40))
    yield "walls thick · ways dashed, green · keep clear dashed, red · places blue · fixed grey · parts white"
    for line in [*([f"Letters: {'; '.join(key)}"] if key else []), *plan.words]:
        yield from textwrap.wrap(line, max(letters, 40))


def _grade(sign: str) -> str:
    return "fix" if sign == "to fix" else sign


def _text(x: float, y: float, text: str, size: float, anchor: str = "start") -> str:
    return f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size:.2f}" text-anchor="{anchor}">{_safe(text)}</text>'


def _safe(text: str) -> str:
    return escape(plain(text))
