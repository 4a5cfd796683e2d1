"""Labels drawn as a PDF at exact millimetres: all worked out first, then put on pages, then written whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from shopbins.outputs import write_output
from shopbins.tags import NotWritten
from shopbins.tags.drawn import Drawn, check
from shopbins.tags.fit import Text
from shopbins.tags.fonts import advances, runs, unit_width
from shopbins.tags.labels import Label
from shopbins.tags.layout import MM_PER_INCH, Layout
from shopbins.tags.place import Placed, placed

POINTS_PER_MM = 72 / MM_PER_INCH
LINE_MM = 0.2


@dataclass(frozen=True, slots=True)
class Rendered:
    """What was printed: labels and pages counted, codes in order (each once), what had to be shortened."""

    labels: int
    pages: int
    codes: tuple[str, ...]
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """A page: its size in mm, and its labels with the left and top edge of each."""

    size_mm: tuple[float, float]
    labels: tuple[tuple[Drawn, float, float], ...]


def render(
    labels: Sequence[Label], layout: Layout, path: Path, start: int = 1, outlines: bool = False
) -> Rendered:
    """Print labels to a PDF from place `start` of the first sheet on; `outlines` draws their edges too.

    TagError where a label cannot be printed or the file not be written; then no file is left or changed.
    """
    drawn, problems = check(labels, layout, start)
    data, pages = pdf(drawn, layout, start, outlines)
    put_file(path, data)
    return rendered(drawn, pages, problems)


def rendered(drawn: Sequence[Drawn], pages: int, problems: Sequence[str]) -> Rendered:
    """Return what was printed, counted."""
    codes = tuple(dict.fromkeys(each.label.code for each in drawn))
    return Rendered(len(drawn), pages, codes, tuple(problems))


def pages_of(drawn: Sequence[Drawn], layout: Layout, start: int = 1) -> Iterator[Page]:
    """Put labels on pages, from place `start` of the first page on; an endless strip is a page of its own."""
    if layout.endless:
        for each in drawn:
            yield Page((each.width_mm, layout.sheet_mm[1]), ((each, 0.0, 0.0),))
        return
    now: list[tuple[Drawn, float, float]] = []
    for number, each in enumerate(drawn, start=start - 1):
        position = number % layout.per_page
        if position == 0 and now:
            yield Page(layout.sheet_mm, tuple(now))
            now = []
        now.append((each, *layout.corner_mm(position)))
    yield Page(layout.sheet_mm, tuple(now))


def pdf(drawn: Sequence[Drawn], layout: Layout, start: int = 1, outlines: bool = False) -> tuple[bytes, int]:
    """Return the PDF's bytes and its number of pages."""
    from reportlab.pdfgen.canvas import Canvas

    advances()  # the fonts must be known to the PDF library
    out = BytesIO()
    canvas: Any = Canvas(out, pagesize=(100, 100), invariant=1)
    canvas.setTitle("labels")
    pages = 0
    for page in pages_of(drawn, layout, start):
        if pages:
            canvas.showPage()
        width, height = page.size_mm
        canvas.setPageSize((width * POINTS_PER_MM, height * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        canvas.setLineWidth(LINE_MM)
        pages += 1
        for each, left, top in page.labels:
            _put(canvas, placed(each, layout, left, top, height))
            if outlines:
                bottom = height - top - layout.label_mm[1]
                canvas.rect(left, bottom, each.width_mm, layout.label_mm[1], stroke=1, fill=0)
    canvas.save()
    return out.getvalue(), pages


def _put(canvas: Any, each: Placed) -> None:
    """Draw one label. Rectangles go in as one path in the PDF's own words: much quicker than one by one."""
    if each.rects:
        canvas.addLiteral(" ".join(["%.4f %.4f %.4f %.4f re" % rect for rect in each.rects]) + " f")  # noqa: UP031
    for black, shape in each.shapes:
        points = " l ".join([f"{x:.3f} {y:.3f}" for x, y in shape[1:]])
        canvas.addLiteral(f"{0 if black else 1} g {shape[0][0]:.3f} {shape[0][1]:.3f} m {points} l h f")
    if each.shapes:
        canvas.addLiteral("0 g")
    for text, turn in each.texts:
        _write(canvas, text, turn)
    for line in each.lines:
        canvas.line(*line)
    for x, y, across in each.holes:
        canvas.circle(x, y, across / 2, stroke=1, fill=0)


def _write(canvas: Any, text: Text, turn: int) -> None:
    """Write a line of text, piece by piece where its letters come from several fonts."""
    if turn:
        canvas.saveState()
        canvas.translate(text.x_mm, text.y_mm)
        canvas.rotate(turn)
        _write(canvas, Text(0.0, 0.0, text.font, text.size_mm, text.text), 0)
        canvas.restoreState()
        return
    x = text.x_mm
    for face, piece in runs(text.text, text.font):
        canvas.setFont(face.name, text.size_mm)
        canvas.drawString(x, text.y_mm, piece)
        x += unit_width(piece, text.font) * text.size_mm


def put_file(path: Path, data: bytes) -> None:
    """Write a file; NotWritten where it cannot be."""
    try:
        write_output(path, data)
    except OSError as error:
        raise NotWritten(f"{path}: not written: {error.strerror or error}") from None
