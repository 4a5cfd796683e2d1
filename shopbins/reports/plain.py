"""Text for people: nothing that steers a terminal, columns in line, lines not too long."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

_HARMFUL = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_JOINERS = "\u200c\u200d"  # between letters of Persian and Indic scripts, and in emoji
_ASCII = str.maketrans(
    {"·": "-", "–": "-", "—": "-", "×": "x", "…": "...", "→": "->", "≥": ">=", "≤": "<=", "±": "+-"}
)


def plain(text: str) -> str:
    """Return the text on one line; control, direction and other invisible characters as their code."""
    if text.isprintable():
        return text
    return "".join(
        _escape(c) if unicodedata.category(c) in _HARMFUL and c not in _JOINERS else c for c in text
    )


def plain_lines(text: str) -> list[str]:
    """Return a text that may have several lines, each plain."""
    return [plain(line) for line in text.split("\n")]


def ascii_only(text: str) -> str:
    """Return the text for a terminal that shows nothing but ASCII."""
    return text.translate(_ASCII).encode("ascii", "backslashreplace").decode()


def cells(text: str) -> int:
    """Return how many character cells a text takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(_width(c) for c in text)


def padded(text: str, width: int) -> str:
    """Fill a text up with spaces to a number of cells."""
    return text + " " * max(0, width - cells(text))


def columns(rows: Iterable[Sequence[str]], gap: str = "  ") -> list[str]:
    """Set rows of texts in columns; the last one is not filled up."""
    kept = [[plain(text) for text in row] for row in rows]
    if not kept:
        return []
    widths = [max(cells(row[n]) for row in kept) for n in range(len(kept[0]) - 1)]
    return [
        gap.join([*(padded(text, w) for text, w in zip(row, widths, strict=False)), row[-1]]).rstrip()
        for row in kept
    ]


def wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """Break a text into indented lines of at most `width` cells at its spaces."""
    lines: list[str] = []
    line = ""
    for word in plain(text).split(" "):
        if line and cells(indent) + cells(line) + 1 + cells(word) > width:
            lines.append(indent + line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, indent + line] if line else lines


def counted(number: int, one: str, many: str | None = None) -> str:
    """Say a number of things: '1 stop', '3 stops', 'no stops'."""
    return f"{number or 'no'} {one if number == 1 else many or one + 's'}"


def _escape(char: str) -> str:
    code = ord(char)
    if char == "\t":
        return " "
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _width(char: str) -> int:
    if unicodedata.combining(char) or char in _JOINERS:
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1
