"""What a command says on stderr: lines for people, or with --json one object where it was not done."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterable
from typing import Any

from shopbins.reports.plain import ascii_only, plain

_HINTED = r"(.*\S)\s+\(([^()]*(?:\([^()]*\)[^()]*)*)\)"


class Saying:
    """Says problems as they come; with `as_json` they are held until it is known how the command ends."""

    def __init__(self, as_json: bool) -> None:
        self._json = as_json
        self._held: list[str] = []

    def problem(self, *lines: str) -> None:
        """Say what is wrong, or worth knowing, one a line."""
        if self._json:
            self._held += lines
        else:
            write(sys.stderr, lines)

    def end(self, status: int, *lines: str) -> None:
        """Say the last of it: with JSON and a status that is not 0, everything said as one object."""
        said = [*lines, *self._held]
        self._held = []
        if self._json and status and said:
            sys.stderr.write(json.dumps({"error": error(status, said)}) + "\n")
        else:
            write(sys.stderr, said)
        sys.stderr.flush()


def error(status: int, lines: list[str]) -> dict[str, object]:
    """Return an error as JSON has it; the hint is what stands in brackets at its end, and further lines."""
    first, *more = lines
    hinted = re.fullmatch(_HINTED, first, re.S)
    text, hint = (hinted[1], hinted[2]) if hinted else (first, "")
    return {"status": status, "text": text, "hint": "\n".join(filter(None, (hint, *more)))}


def write(stream: Any, lines: Iterable[str]) -> None:
    """Write lines that can do a terminal no harm."""
    encoding = (getattr(stream, "encoding", None) or "ascii").lower().replace("-", "")
    for line in lines:
        text = plain(line)
        stream.write((text if encoding == "utf8" else ascii_only(text)) + "\n")
