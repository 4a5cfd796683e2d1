"""The shop file as one desk has it: read when first needed, looked at again when it changes.

That a file was read without a problem is remembered in a note beside the ledger, with the file's stamp; as
long as the file has not been touched, a command that only looks for a part need not read it again. The note
is a cache: without it, or with another stamp, the file is read at once.
"""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.ledger.endmark import BESIDE
from shopbins.ledger.files import read_plain, write_cache
from shopbins.outputs import keep_off
from shopbins.shop.problems import ShopProblems
from shopbins.version import VERSION

if TYPE_CHECKING:
    from shopbins.shop.model import Shop
    from shopbins.shop.problems import Problem

Stamp = tuple[int, int, int] | None

NOTE = "shop-was-read"
MOST_NOTED = 10_000
SETTLED_NS = 2_000_000_000  # a file touched within the clock's grain might change unseen


class ShopFile:
    """A shop file that may be edited meanwhile; a wrong edit leaves the last good reading in use."""

    def __init__(self, path: Path, ledger: Path | None = None, *, mend: bool = False) -> None:
        """Read the file, unless a note in the `ledger` folder says it is as it was; raises ShopProblems.

        With `mend` a file that is wrong but can be drawn is taken as it is, to be put right on Draw.
        """
        self.path = path
        self._mend = mend
        self.mending = False
        keep_off(path, *([] if ledger is None else [ledger, Path(f"{ledger}{BESIDE}")]))
        self.problems: tuple[Problem, ...] = ()
        self.readings = 0
        self._stamp = _stamp(path)
        self._shop: Shop | None = None
        prefix = None if ledger is None else _noted(ledger / NOTE, path, self._stamp)
        self.prefix: str = self.shop.prefix if prefix is None else prefix

    @property
    def shop(self) -> Shop:
        """The shop as last read without a problem, else to be put right; else raises ShopProblems."""
        if self._shop is None:
            try:
                self._shop = _read(self.path)
            except ShopProblems as wrong:
                if not self._mend or wrong.shop is None:
                    raise
                self._shop, self.problems, self.mending = wrong.shop, wrong.problems, True
        return self._shop

    def remember(self, ledger: Path) -> None:
        """Leave the note that the file is good, where the ledger's folder takes one."""
        stamp = self._stamp
        if self._shop is None or self.problems or stamp is None or time.time_ns() - stamp[0] < SETTLED_NS:
            return
        text = _note(self.path, stamp, self.prefix)
        write_cache(str(ledger / NOTE), text.encode())

    def look_again(self) -> bool:
        """Read the file anew if it has changed; True if there is news, good or bad."""
        stamp = _stamp(self.path)
        if stamp == self._stamp:
            return False
        self._stamp = stamp
        self.readings += 1
        try:
            self._shop = _read(self.path)
            self.problems, self.mending = (), False
        except ShopProblems as wrong:
            self.problems = wrong.problems
            if self.mending and wrong.shop is not None:
                self._shop = wrong.shop
        return True


def _read(path: Path) -> Shop:
    from shopbins.shop.reader import read
    from shopbins.units import show_in

    shop = read(path)
    show_in(shop.units)
    return shop


def _noted(note: Path, path: Path, stamp: Stamp) -> str | None:
    """Return the shop's prefix from the note, None where it is not about this file as it is now."""
    try:
        text = read_plain(note, MOST_NOTED).decode()
    except (OSError, ValueError):
        return None
    prefix = text.rstrip("\n").rpartition("\n")[2]
    return prefix if stamp is not None and text == _note(path, stamp, prefix) else None


def _note(path: Path, stamp: Stamp, prefix: str) -> str:
    return f"{VERSION}\n{os.fspath(path.absolute())!a}\n{stamp}\n{prefix}\n"


def _stamp(path: Path) -> Stamp:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
