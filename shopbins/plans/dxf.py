"""The plan as DXF R12: full size in mm, a layer for each kind; letters beyond ASCII as \\U+XXXX."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.geometry.shapes import Point
from shopbins.plans.picture import Picture, name_spot
from shopbins.reports.plain import plain

LETTER_MM = 100.0
MARK_MM = 120.0
MILLIMETRES = "4"


def dxf(plan: Picture) -> bytes:
    """Return the plan as the bytes of a DXF file; the same plan gives the same bytes."""
    pairs = [
        *(("0", "SECTION"), ("2", "HEADER"), ("9", "$ACADVER"), ("1", "AC1009")),
        *(("9", "$INSUNITS"), ("70", MILLIMETRES), ("0", "ENDSEC")),
        *(("0", "SECTION"), ("2", "ENTITIES")),
        *_entities(plan),
        *(("0", "ENDSEC"), ("0", "EOF")),
    ]
    return "".join(f"{code}\r\n{value}\r\n" for code, value in pairs).encode("ascii")


def _entities(plan: Picture) -> Iterator[tuple[str, str]]:
    for shape in plan.shapes:
        layer = shape.layer.upper()
        yield from (("0", "POLYLINE"), ("8", layer), ("66", "1"), ("70", "0" if shape.open else "1"))
        yield from (("10", "0.0"), ("20", "0.0"), ("30", "0.0"))
        for x, y in shape.points:
            yield from (("0", "VERTEX"), ("8", layer), ("10", f"{x:.3f}"), ("20", f"{y:.3f}"), ("30", "0.0"))
        yield from (("0", "SEQEND"), ("8", layer))
        if shape.name:
            yield from _text(f"{layer}-NAMES", name_spot(shape), shape.name)
    for mark in plan.marks:
        if mark.at_mm is not None:
            x, y = mark.at_mm
            yield from (("0", "CIRCLE"), ("8", "FINDINGS"), ("10", f"{x:.3f}"), ("20", f"{y:.3f}"))
            yield from (("30", "0.0"), ("40", f"{MARK_MM:.1f}"))
            yield from _text("FINDINGS", (x + 1.5 * MARK_MM, y), str(mark.number))
    left, bottom = plan.box[0], plan.box[1]
    for n, line in enumerate([plan.title, *(mark.line for mark in plan.marks), *plan.words], 3):
        yield from _text("WORDS", (left, bottom - n * 2 * LETTER_MM), line)


def _text(layer: str, at: Point, text: str) -> Iterator[tuple[str, str]]:
    said = "".join(c if " " <= c <= "~" else f"\\U+{ord(c):04X}" for c in plain(text) if ord(c) < 0x10000)
    yield from (("0", "TEXT"), ("8", layer), ("10", f"{at[0]:.3f}"), ("20", f"{at[1]:.3f}"), ("30", "0.0"))
    yield from (("40", f"{LETTER_MM:.1f}"), ("1", said[:250]))
