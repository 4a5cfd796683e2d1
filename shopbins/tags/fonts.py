"""The letters labels are printed with: a font that comes with the PDF library, and what it lacks."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

PLAIN, BOLD = "TagPlain", "TagBold"
FILES = {PLAIN: "Vera.ttf", BOLD: "VeraBd.ttf"}
# Height of capitals and depth below the line over the letter size; measured on the two fonts.
CAP, DEPTH = 0.73, 0.24
SUBSTITUTE = "◊"
# Signs of the trade the font lacks, said with signs it has; nothing is lost, so nothing is reported.
SAME = {"⌀": "Ø", "μ": "µ", "→": ">", "←": "<", "⁄": "/", "\t": " ", "\n": " ", "\r": " ", "‐": "-", "‑": "-"}


@dataclass(frozen=True, slots=True)
class Shown:
    """A text as it can be printed, and the characters it had to give up."""

    text: str
    lost: str = ""


@lru_cache(maxsize=1)
def advances() -> Mapping[str, Mapping[str, float]]:
    """Register the fonts with the PDF library and return each character's width over the letter size."""
    from pathlib import Path

    import reportlab
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(reportlab.__file__).parent / "fonts"
    widths: dict[str, Mapping[str, float]] = {}
    for name, file in FILES.items():
        font: Any = TTFont(name, str(folder / file))
        pdfmetrics.registerFont(font)
        every = font.face.charWidths.items()
        widths[name] = {chr(code): width / 1000 for code, width in every if code >= 32}
    return widths


@lru_cache(maxsize=16384)
def unit_width(text: str, font: str) -> float:
    """Return how long `text` (already `printable`) is over its letter size."""
    known = advances()[font]
    return sum([known[each] for each in text])


def width(text: str, font: str, size: float) -> float:
    """Return how long `text` (already `printable`) is at a letter size, in the size's unit."""
    return size * unit_width(text, font)


@lru_cache(maxsize=8192)
def printable(text: str) -> Shown:
    """Return `text` with letters the font has.

    A letter with a mark the font lacks loses the mark; one it lacks altogether becomes a visible
    substitute. Both are reported in `lost`. Control and direction characters are always substituted.
    """
    known = advances()[PLAIN]
    if all(each in known for each in text) and text.isprintable():
        return Shown(text)
    parts: list[str] = []
    lost: list[str] = []
    for each in unicodedata.normalize("NFC", text):
        shown, whole = _printable(each, known)
        parts.append(shown)
        if not whole and each not in lost:
            lost.append(each)
    return Shown("".join(parts), "".join(lost))


def _printable(each: str, known: Mapping[str, float]) -> tuple[str, bool]:
    """Return what to print for one character, and whether it says the same."""
    each = SAME.get(each, each)
    if each in known and each.isprintable():
        return each, True
    plain = "".join(SAME.get(c, c) for c in unicodedata.normalize("NFKD", each))
    if plain != each and all(c in known and c.isprintable() for c in plain):
        return plain, True
    base = "".join(c for c in plain if not unicodedata.combining(c))
    if base and base != each and all(c in known and c.isprintable() for c in base):
        return base, False
    return SUBSTITUTE, False
