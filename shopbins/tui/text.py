"""Other people's text on a terminal: nothing that steers the screen, cut by the cells it takes."""

from __future__ import annotations

import unicodedata

from rich.cells import cell_len, set_cell_size

_STEERING = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def plain(text: str, most: int = 400) -> str:
    """Return a text on one line with control, direction and other unprintable signs shown as '·'."""
    text = text[:most]
    if text.isascii() and text.isprintable():
        return text
    return "".join("·" if unicodedata.category(c) in _STEERING else c for c in text)


def fit(text: str, width: int) -> str:
    """Return a plain text in exactly `width` cells, cut with '…' where it is longer."""
    text = plain(text, width * 4 + 8)
    if cell_len(text) <= width:
        return set_cell_size(text, width)
    return set_cell_size(text, width - 1) + "…" if width > 1 else set_cell_size(text, width)


def shortened(text: str, width: int) -> str:
    """Return a text of at most `width` cells that ends behind a whole word, with '…' where it is longer."""
    if cell_len(text) <= width:
        return text
    first = wrapped(text, width - 2)[0] if width > 2 else ""
    if not first or not text[len(first) :].startswith(" "):
        return fit(text, width)
    return f"{first.rstrip(' ,;:·')} …"


def wrapped(text: str, width: int) -> list[str]:
    """Break a text into lines of at most `width` cells at its spaces."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in plain(paragraph, 4000).split(" "):
            while cell_len(word) > width > 0:
                if line:
                    lines.append(line)
                    line = ""
                begin = set_cell_size(word, width).rstrip() or word[0]  # a wide sign where one cell is left
                lines.append(begin)
                word = word[len(begin) :]
            if line and cell_len(line) + 1 + cell_len(word) > width:
                lines.append(line)
                line = word
            else:
                line = f"{line} {word}" if line else word
        lines.append(line)
    return lines
