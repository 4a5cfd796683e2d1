"""The shop file as one desk has it: read once, looked at again when it changes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.shop.problems import ShopProblems
from shopbins.shop.reader import read

if TYPE_CHECKING:
    from shopbins.shop.model import Shop
    from shopbins.shop.problems import Problem

Stamp = tuple[int, int, int] | None


class ShopFile:
    """A shop file that may be edited meanwhile; a wrong edit leaves the last good reading in use."""

    def __init__(self, path: Path) -> None:
        """Read the file; raises ShopProblems."""
        self.path = path
        self._stamp = _stamp(path)
        self.shop: Shop = read(path)
        self.problems: tuple[Problem, ...] = ()

    def look_again(self) -> bool:
        """Read the file anew if it has changed; True if there is news, good or bad."""
        stamp = _stamp(self.path)
        if stamp == self._stamp:
            return False
        self._stamp = stamp
        try:
            self.shop = read(self.path)
            self.problems = ()
        except ShopProblems as wrong:
            self.problems = wrong.problems
        return True


def _stamp(path: Path) -> Stamp:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
