"""The letters labels are printed with, and what cannot be printed with them.

Two fonts come with the PDF library. Letters they lack (Greek, Cyrillic, Chinese and so on) are taken from a
font of this computer where it has one of the known names; there is no such font, no letter: then a visible
substitute is printed and reported. Arabic letters are joined and lines set from right to left (`scripts`);
scripts whose letters are put together otherwise are not set here.
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from shopbins.tags.scripts import in_order, joined

PLAIN, BOLD = "TagPlain", "TagBold"
FILES = {PLAIN: "Vera.ttf", BOLD: "VeraBd.ttf"}
# Height of capitals and depth below the line over the letter size; measured on the two fonts.
CAP, DEPTH = 0.73, 0.24
SUBSTITUTE = "◊"
# Signs of the trade the font lacks, said with signs it has; nothing is lost, so nothing is reported.
SAME = {"⌀": "Ø", "μ": "µ", "→": ">", "←": "<", "⁄": "/", "\t": " ", "\n": " ", "\r": " ", "‐": "-", "‑": "-"}

# Fonts with letters of many scripts that systems come with: each adds what those before it lack.
WIDE = (
    "DejaVuSans.ttf", "NotoSans-Regular.ttf", "LiberationSans-Regular.ttf", "FreeSans.ttf", "Arial.ttf",
    "segoeui.ttf", "Arial Unicode.ttf", "ARIALUNI.TTF", "DroidSansFallbackFull.ttf",
    "DroidSansFallback.ttf", "wqy-microhei.ttc", "wqy-zenhei.ttc", "simsun.ttc", "msgothic.ttc",
    "unifont.ttf",
)  # fmt: skip
FOLDERS = (
    "/usr/share/fonts",
    "/usr/local/share/fonts",
    "~/.local/share/fonts",
    "~/.fonts",
    "/Library/Fonts",
    "~/Library/Fonts",
    "/System/Library/Fonts",
    "C:/Windows/Fonts",
)
FOLDERS_VARIABLE = "SHOPBINS_FONTS"
"""Where set, only the folders it names (separated as in PATH) are looked through."""

# Beginnings of the Unicode names of letters that stand one after the other, each as it is or in its form.
SETTABLE = (
    "LATIN", "GREEK", "CYRILLIC", "ARMENIAN", "GEORGIAN", "CJK", "HIRAGANA", "KATAKANA", "HANGUL SYLLABLE",
    "IDEOGRAPHIC", "FULLWIDTH", "BOPOMOFO", "ARABIC", "HEBREW",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shown:
    """A text as it can be printed, and the characters it had to give up."""

    text: str
    lost: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A font as registered with the PDF library: its name there, its file and its number in that file."""

    name: str
    path: Path
    number: int
    widths: Mapping[str, float]


@lru_cache(maxsize=1)
def _ours() -> Mapping[str, Face]:
    """Register the two fonts that come with the PDF library."""
    import reportlab

    folder = Path(reportlab.__file__).parent / "fonts"
    return {name: _registered(name, folder / file, 0) for name, file in FILES.items()}


def _registered(name: str, path: Path, number: int) -> Face:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font: Any = TTFont(name, str(path), subfontIndex=number)
    pdfmetrics.registerFont(font)
    every = font.face.charWidths.items()
    return Face(name, path, number, {chr(code): width / 1000 for code, width in every if code >= 32})


@lru_cache(maxsize=1)
def wide_faces() -> tuple[Face, ...]:
    """Return the fonts of this computer used for what ours lack; found at the first letter they lack."""
    found = {path.name: path for folder in _folders() for path in _files(folder)}
    faces: list[Face] = []
    for at, file in enumerate(WIDE):
        if file in found:
            try:
                faces.append(_registered(f"TagWide{at}", found[file], 0))
            except Exception:  # whatever is wrong with somebody's font: it is left out
                continue
    return tuple(faces)


def _folders() -> Iterator[Path]:
    given = os.environ.get(FOLDERS_VARIABLE)
    for each in FOLDERS if given is None else given.split(os.pathsep):
        if each:
            yield Path(each).expanduser()


def _files(folder: Path) -> Iterator[Path]:
    """Go through the font files we know by name, folders inside folders too."""
    wanted = set(WIDE)
    for here, _, names in os.walk(folder):
        for name in wanted.intersection(names):
            yield Path(here) / name


@lru_cache(maxsize=1)
def advances() -> Mapping[str, Mapping[str, float]]:
    """Return each character's width over the letter size, of the two fonts that come along."""
    return {name: face.widths for name, face in _ours().items()}


@lru_cache(maxsize=4096)
def advance(char: str, font: str) -> float:
    """Return a printable character's width over the letter size."""
    known = advances()[font].get(char)
    if known is not None:
        return known
    face = _wide(char)
    return advances()[font][SUBSTITUTE] if face is None else face.widths[char]


def _wide(char: str) -> Face | None:
    """Return the font of this computer that has a letter, if it may be set at all."""
    if not unicodedata.name(char, "").startswith(SETTABLE):
        return None
    return next((face for face in wide_faces() if char in face.widths), None)


@lru_cache(maxsize=16384)
def unit_width(text: str, font: str) -> float:
    """Return how long `text` (already `printable`) is over its letter size."""
    known = advances()[font]
    try:
        return sum([known[each] for each in text])
    except KeyError:
        return sum([advance(each, font) for each in text])


def width(text: str, font: str, size: float) -> float:
    """Return how long `text` (already `printable`) is at a letter size, in the size's unit."""
    return size * unit_width(text, font)


def runs(text: str, font: str) -> list[tuple[Face, str]]:
    """Return `text` (already `printable`) as it stands on paper, in pieces with the font that has them."""
    own = _ours()[font]
    if text.isascii():
        return [(own, text)]
    pieces: list[tuple[Face, str]] = []
    for char in in_order(text):
        face = own if char in own.widths else _wide(char) or own
        if pieces and pieces[-1][0] is face:
            pieces[-1] = (face, pieces[-1][1] + char)
        else:
            pieces.append((face, char))
    return pieces


@lru_cache(maxsize=8192)
def printable(text: str) -> Shown:
    """Return `text` with letters there is a font for.

    A letter with a mark no font has loses the mark; one there is none for becomes a visible substitute. Both
    are reported in `lost`. Control and direction characters are always substituted.
    """
    known = advances()[PLAIN]
    if all(each in known for each in text) and text.isprintable():
        return Shown(text)
    parts: list[str] = []
    lost: list[str] = []
    for each in joined(unicodedata.normalize("NFC", text), lambda form: _wide(form) is not None):
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
    if each.isprintable() and _wide(each) is not None:
        return each, True
    plain = "".join(SAME.get(c, c) for c in unicodedata.normalize("NFKD", each))
    if plain != each and all(c in known and c.isprintable() for c in plain):
        return plain, True
    base = "".join(c for c in plain if not unicodedata.combining(c))
    if base and base != each and all(c in known and c.isprintable() for c in base):
        return base, False
    return SUBSTITUTE, False
