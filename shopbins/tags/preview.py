"""A label shown in a terminal: its QR code in half blocks, large enough for a phone, and its words."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.tags import qr
from shopbins.tags.drawn import Drawn

# Two modules above each other are one cell: light above and below, light above, light below, neither.
CELLS = {("0", "0"): "█", ("0", "1"): "▀", ("1", "0"): "▄", ("1", "1"): " "}


@dataclass(frozen=True, slots=True)
class Preview:
    """What is shown of a label: the rows of its QR code and the lines of its words.

    The rows are drawn light on dark: blocks are the light modules. A terminal shows them right where the
    text is white and the ground is black.
    """

    qr: tuple[str, ...]
    words: tuple[str, ...]


def preview(drawn: Drawn, scale: int = 1) -> Preview:
    """Return what to show of a label; `scale` 2 draws each module twice as large."""
    return Preview(qr_rows(drawn.label.code, scale), words_of(drawn))


def qr_rows(code: str, scale: int = 1) -> tuple[str, ...]:
    """Return a code's QR symbol with its quiet zone, one character for two modules above each other."""
    quiet = "0" * qr.QUIET_MODULES
    white = "0" * qr.ALL_MODULES
    rows = [f"{quiet}{row}{quiet}" for row in qr.symbol(code).rows]
    rows = [white] * qr.QUIET_MODULES + rows + [white] * qr.QUIET_MODULES
    grown = ["".join(each * scale for each in row) for row in rows for _ in range(scale)]
    if len(grown) % 2:
        grown.append("0" * len(grown[0]))
    return tuple(
        "".join(CELLS[pair] for pair in zip(above, below, strict=True))
        for above, below in zip(grown[0::2], grown[1::2], strict=True)
    )


def scale_for(columns: int, rows: int) -> int:
    """Return how large the modules may be in a terminal of so many cells, 0 where there is no room at all."""
    return max(0, min(4, columns // qr.ALL_MODULES, 2 * rows // (qr.ALL_MODULES + 1)))


def words_of(drawn: Drawn) -> tuple[str, ...]:
    """Return the lines of a label's first face as they are broken there, cautions with their sign's name."""
    _, design = drawn.faces[0]
    signs = [(mark.y_mm, mark.y_mm + mark.side_mm, mark.name) for mark in design.marks]
    lines: list[str] = []
    told: set[str] = set()
    for text in design.texts:
        sign = next((name for low, high, name in signs if low - 0.5 <= text.y_mm <= high), "")
        lines.append(f"[{sign}] {text.text}" if sign and sign not in told else text.text)
        told.add(sign)
    return tuple(lines)
