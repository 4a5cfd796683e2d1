"""A list as a PDF of A4 pages: a heading, columns, boxes to tick, lines below a row; a heading on each."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from shopbins.reports.plain import plain
from shopbins.tags.fonts import BOLD, PLAIN, printable, runs, width

PAGE_MM = (210.0, 297.0)
MARGIN_MM = 14.0
TEXT_MM = 2.9
HEAD_MM = 4.2
STEP = 1.35
"""From line to line, in letter sizes."""
GUTTER_MM = 2.0
BOX_MM = 4.5
INDENT_MM = 6.0
FOOT_MM = 8.0


@dataclass(frozen=True, slots=True)
class PageRow:
    """One row: a text for each column, lines below it, a box to tick, or (`bold`, one cell) a heading."""

    cells: tuple[str, ...]
    below: tuple[str, ...] = ()
    box: bool = False
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """What is to be set: a title, lines under it, columns with their share of the width, rows."""

    title: str
    under: tuple[str, ...]
    columns: tuple[tuple[str, float], ...]
    rows: Sequence[PageRow]
    foot: str = ""
    empty: str = "nothing"


@dataclass(slots=True)
class _Pen:
    """Where the next line goes."""

    canvas: Any
    y: float = 0.0
    page: int = 0
    lefts: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)


def listing_pdf(listing: Listing) -> bytes:
    """Return a listing as the bytes of a PDF; the same listing gives the same bytes."""
    from reportlab.lib.units import mm
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(PAGE_MM[0] * mm, PAGE_MM[1] * mm), invariant=1)
    canvas.setTitle(printable(listing.title).text)
    pen = _Pen(canvas)
    pen.lefts, pen.widths = _columns(listing)
    _begin(pen, listing, mm)
    if not listing.rows:
        _line(pen, MARGIN_MM, listing.empty, PLAIN)
    for row in listing.rows:
        block = _block(pen, row)
        if pen.y - _height(block) < MARGIN_MM + FOOT_MM:
            _end(pen, listing)
            _begin(pen, listing, mm)
        _set(pen, row, block)
    _end(pen, listing)
    canvas.save()
    return out.getvalue()


def _columns(listing: Listing) -> tuple[list[float], list[float]]:
    """Return where each column begins, and how wide it is."""
    box = BOX_MM if any(row.box for row in listing.rows) else 0.0
    room = PAGE_MM[0] - 2 * MARGIN_MM - box - GUTTER_MM * (len(listing.columns) - 1)
    total = sum(share for _, share in listing.columns)
    widths = [room * share / total for _, share in listing.columns]
    lefts = [MARGIN_MM + box + sum(widths[:n]) + GUTTER_MM * n for n in range(len(widths))]
    return lefts, widths


def _begin(pen: _Pen, listing: Listing, mm: float) -> None:
    canvas = pen.canvas
    canvas.scale(mm, mm)
    pen.page += 1
    pen.y = PAGE_MM[1] - MARGIN_MM
    if pen.page == 1:
        for text in broken(listing.title, BOLD, HEAD_MM, PAGE_MM[0] - 2 * MARGIN_MM):
            _line(pen, MARGIN_MM, text, BOLD, HEAD_MM)
        for line in listing.under:
            for text in broken(line, PLAIN, TEXT_MM, PAGE_MM[0] - 2 * MARGIN_MM):
                _line(pen, MARGIN_MM, text, PLAIN)
        pen.y -= TEXT_MM
    titles = [(broken(title, BOLD, TEXT_MM, w), BOLD) for (title, _), w in zip(listing.columns, pen.widths, strict=True)]  # noqa: E501  # fmt: skip
    _side_by_side(pen, titles)
    canvas.setLineWidth(0.25)
    canvas.line(MARGIN_MM, pen.y - 0.8, PAGE_MM[0] - MARGIN_MM, pen.y - 0.8)
    pen.y -= 1.6


def _end(pen: _Pen, listing: Listing) -> None:
    """Write the foot and finish the page."""
    write(pen.canvas, MARGIN_MM, MARGIN_MM, listing.foot, PLAIN, TEXT_MM * 0.85)
    said = f"page {pen.page}"
    write(pen.canvas, PAGE_MM[0] - MARGIN_MM - width(said, PLAIN, TEXT_MM), MARGIN_MM, said, PLAIN, TEXT_MM)
    pen.canvas.showPage()


Cells = list[tuple[list[str], str]]
Block = tuple[Cells, list[str]]


def _block(pen: _Pen, row: PageRow) -> Block:
    """Return a row's cells, each broken to its column, and the lines below."""
    font = BOLD if row.bold else PLAIN
    whole = PAGE_MM[0] - 2 * MARGIN_MM
    widths = [whole] if len(row.cells) == 1 else pen.widths
    cells = [(broken(text, font, TEXT_MM, w), font) for text, w in zip(row.cells, widths, strict=False)]
    room = PAGE_MM[0] - MARGIN_MM - pen.lefts[0] - INDENT_MM
    return cells, [line for text in row.below for line in broken(text, PLAIN, TEXT_MM, room)]


def _height(block: Block) -> float:
    cells, below = block
    return (max((len(lines) for lines, _ in cells), default=1) + len(below)) * TEXT_MM * STEP + 1.2


def _set(pen: _Pen, row: PageRow, block: Block) -> None:
    cells, below = block
    if row.bold:
        pen.y -= TEXT_MM * 0.6
    if row.box:
        pen.canvas.setLineWidth(0.25)
        pen.canvas.rect(MARGIN_MM, pen.y - TEXT_MM * 1.35, TEXT_MM, TEXT_MM)
    _side_by_side(pen, cells)
    for text in below:
        _line(pen, pen.lefts[0] + INDENT_MM, text, PLAIN)
    pen.y -= 1.2


def _side_by_side(pen: _Pen, cells: Cells) -> None:
    top = pen.y
    lowest = top
    for left, (lines, font) in zip(pen.lefts, cells, strict=False):
        pen.y = top
        for text in lines:
            _line(pen, left, text, font)
        lowest = min(lowest, pen.y)
    pen.y = lowest


def _line(pen: _Pen, left: float, text: str, font: str, size: float = TEXT_MM) -> None:
    pen.y -= size * STEP
    write(pen.canvas, left, pen.y, text, font, size)


def write(canvas: Any, x: float, y: float, text: str, font: str, size: float) -> None:
    """Write a line of `printable` text from a point on, in whichever fonts have its letters."""
    for face, piece in runs(text, font):
        canvas.setFont(face.name, size)
        canvas.drawString(x, y, piece)
        x += width(piece, font, size)


def broken(text: str, font: str, size: float, room: float) -> list[str]:
    """Break a text at its spaces to a width; a word too long for it is cut."""
    found: list[str] = []
    now = ""
    for word in printable(plain(text)).text.split(" "):
        for piece in _cut(word, font, size, room):
            longer = f"{now} {piece}" if now else piece
            if now and _wide(longer, font, size) > room:
                found.append(now)
                now = piece
            else:
                now = longer
    return [*found, now] if now or not found else found


def _cut(word: str, font: str, size: float, room: float) -> Iterator[str]:
    while word and _wide(word, font, size) > room:
        n = len(word) - 1
        while n > 1 and _wide(word[:n], font, size) > room:
            n -= 1
        yield word[:n]
        word = word[n:]
    yield word


_wide = lru_cache(maxsize=20_000)(width)
