"""Labels drawn as a PDF at exact millimetres: all designed first, then put on pages, then written whole."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from shopbins.tags import NotWritten
from shopbins.tags.design import Design, check
from shopbins.tags.fonts import advances
from shopbins.tags.labels import Label
from shopbins.tags.layouts import MM_PER_INCH, Layout

POINTS_PER_MM = 72 / MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Rendered:
    """What was printed: labels and pages counted, the codes in order, and what had to be shortened."""

    labels: int
    pages: int
    codes: tuple[str, ...]
    problems: tuple[str, ...] = ()


def render(
    labels: Sequence[Label], layout: Layout, path: Path, start: int = 1, outlines: bool = False
) -> Rendered:
    """Print labels to a PDF from place `start` of the first sheet on; `outlines` draws their edges too.

    TagError where a label cannot be printed or the file not be written; then no file is left or changed.
    """
    designs, problems = check(labels, layout, start)
    data, pages = pdf(designs, layout, start, outlines)
    write_whole(path, data)
    return Rendered(len(designs), pages, tuple(label.code for label in labels), tuple(problems))


def pdf(
    designs: Sequence[Design], layout: Layout, start: int = 1, outlines: bool = False
) -> tuple[bytes, int]:
    """Return the PDF's bytes and its number of pages."""
    from reportlab.pdfgen.canvas import Canvas

    advances()  # the fonts must be known to the PDF library
    out = BytesIO()
    page_mm = layout.sheet_mm
    canvas: Any = Canvas(out, pagesize=(page_mm[0] * POINTS_PER_MM, page_mm[1] * POINTS_PER_MM), invariant=1)
    canvas.setTitle("labels")
    pages = 0
    for number, each in enumerate(designs, start=start - 1):
        position = number % layout.per_page
        if position == 0 and pages:
            canvas.showPage()
        if position == 0 or not pages:
            canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
            canvas.setLineWidth(0.2)
            pages += 1
        left, top = layout.corner_mm(position)
        _put(canvas, each, layout, left, page_mm[1] - top - layout.label_mm[1], outlines)
    canvas.save()
    return out.getvalue(), pages


def _put(canvas: Any, each: Design, layout: Layout, left: float, bottom: float, outlines: bool) -> None:
    """Draw one design with its label's left and bottom edge there, bars beginning on a whole dot."""
    dot = MM_PER_INCH / layout.dpi
    x = round((left + each.bars_left_mm) / dot) * dot
    canvas.addLiteral(_bars(each, x, bottom + each.bars_bottom_mm))
    for text in each.texts:
        canvas.setFont(text.font, text.size_mm)
        canvas.drawString(left + text.x_mm, bottom + text.y_mm, text.text)
    for begin, end, height_mm in each.rules:
        canvas.line(left + begin, bottom + height_mm, left + end, bottom + height_mm)
    if outlines:
        canvas.rect(left, bottom, *layout.label_mm, stroke=1, fill=0)


def _bars(each: Design, x: float, y: float) -> str:
    """Return the bars as one filled path in the PDF's own words: much quicker than rectangle by rectangle."""
    module, rest = each.module_mm, f"{y:.4f} %.4f {each.bars_height_mm:.4f} re"
    return (
        " ".join([f"{x + first * module:.4f} {rest % (count * module)}" for first, count in each.bars]) + " f"
    )


def write_whole(path: Path, data: bytes) -> None:
    """Write a file as a whole or not at all: beside it first, made durable, then renamed."""
    path = Path(path)
    if not path.name:
        raise NotWritten(f"{path}: not written: a folder, not a file")
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise NotWritten(f"{path}: not written: {error.strerror or error}") from None
