"""From a path to text that may be parsed: size, encoding, and characters nobody can see."""

from __future__ import annotations

import re
import stat
from pathlib import Path

from shopbins.shop.problems import Notes

MOST_BYTES = 4_000_000
_MOST_CHARACTER_NOTES = 20

# Control characters, invisible line breaks, marks that turn the direction of writing, zero-width and
# private characters, lone surrogates: none can be seen, and some steer a terminal.
HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\ud800-\udfff\ue000-\uf8ff\ufeff\ufff0-\uffff\U000e0000-\U0010ffff]"
)


def load(path: Path, notes: Notes) -> str | None:
    """Return the text of a file, or None after noting why it cannot be had."""
    data = _bytes(path, notes)
    if data is None:
        return None
    return _decoded(data, notes)


def _bytes(path: Path, notes: Notes) -> bytes | None:
    """Read a plain file of a bearable size."""
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            notes.add_at(1, 1, "is a folder", "name the shop file in it")
            return None
        if not stat.S_ISREG(mode):
            notes.add_at(1, 1, "is not a plain file")
            return None
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        notes.add_at(1, 1, "there is no such file", "check the name and the folder")
    except PermissionError:
        notes.add_at(1, 1, "may not be read", "change its permissions")
    except (OSError, ValueError) as error:
        notes.add_at(1, 1, f"cannot be read: {getattr(error, 'strerror', None) or error}")
    else:
        if len(data) > MOST_BYTES:
            notes.add_at(1, 1, f"is larger than {MOST_BYTES // 1_000_000} MB", "is this a shop file?")
            return None
        return data
    return None


def _decoded(data: bytes, notes: Notes) -> str | None:
    """Decode UTF-8, or say what it looks like instead and where."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        notes.add_at(1, 1, "is written in UTF-16", "save it as UTF-8")
        return None
    if b"\x00" in data:
        start = data[: data.index(b"\x00")].decode("utf-8-sig", "replace")
        notes.add_at(*_place(start), "looks like a binary file, not text")
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8-sig", "replace")
        wrong = data[error.start]
        notes.add_at(*_place(before), f"byte {wrong:#04x} is not UTF-8", "save the file as UTF-8")
        return None


def clean(text: str, notes: Notes) -> str:
    """Note every hidden character and return the text with each replaced, so that reading can go on.

    Columns stay as they are. A byte order mark at the very beginning is dropped.
    """
    text = text.removeprefix("\ufeff")
    if text.isascii() and text.isprintable():
        return text
    for count, found in enumerate(HIDDEN.finditer(text)):
        line, column = _place(text[: found.start()])
        if count == _MOST_CHARACTER_NOTES:
            notes.add_at(line, column, "and more hidden characters from here on", "take them out")
            break
        notes.add_at(line, column, f"hidden character {code_point(found.group())}", "take it out")
    return HIDDEN.sub("?", text)


def code_point(character: str) -> str:
    """Return a character as U+XXXX."""
    return f"U+{ord(character):04X}"


def tabbed_lines(text: str) -> list[int]:
    """Return the numbers of the lines that have a tab in their indentation."""
    return [n for n, line in enumerate(text.split("\n"), 1) if "\t" in line[: len(line) - len(line.lstrip())]]


def _place(before: str) -> tuple[int, int]:
    """Return line and column of what comes after a text."""
    lines = re.split("\r\n|\r|\n", before)
    return len(lines), len(lines[-1]) + 1
