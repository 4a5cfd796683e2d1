"""QR code symbols (ISO/IEC 18004) of tags' codes, by segno, as rows of modules.

A code has at most 20 letters and digits, so it is always the smallest symbol (version 1, 21 modules) with
error correction M or better.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from shopbins.tags import TagError

SIZE = 21
QUIET_MODULES = 4  # ISO/IEC 18004: quiet zone of four modules all round
ALL_MODULES = SIZE + 2 * QUIET_MODULES
ERROR_LEVEL = "m"  # at least; segno raises it where the symbol has room (to H up to 10 characters)
FITS = re.compile(r"[0-9A-Z $%*+\-./:]{1,20}")  # version 1 at level M, alphanumeric mode


@dataclass(frozen=True, slots=True)
class Symbol:
    """A QR symbol without its quiet zone: a string of '1' (dark) and '0' a row."""

    rows: tuple[str, ...]

    def runs(self) -> list[tuple[int, int, int]]:
        """Return the dark modules as (row from the top, first column, modules)."""
        found: list[tuple[int, int, int]] = []
        for row, line in enumerate(self.rows):
            at = line.find("1")
            while at >= 0:
                end = line.find("0", at)
                end = SIZE if end < 0 else end
                found.append((row, at, end - at))
                at = line.find("1", end)
        return found


@lru_cache(maxsize=4096)
def symbol(text: str) -> Symbol:
    """Return the QR symbol of `text`; TagError if it is no code of at most 20 letters and digits."""
    import segno

    if FITS.fullmatch(text) is None:
        raise TagError(f"{text!r} cannot be a QR code: 1 to 20 capital letters and digits")
    made = segno.make(text, error=ERROR_LEVEL, mode="alphanumeric", micro=False, version=1)
    return Symbol(tuple("".join(map(str, row)) for row in made.matrix))
