"""The end mark: number and digits of the last record, kept beside the journal, so that a lost end is noticed.

It is written after each record without a flush of its own, which costs next to nothing and outlives a
program that is killed. After a power cut it may be older than the journal, never newer: a journal that ends
before its mark, or holds another record at it, has lost its end or is another. With it goes the highest
serial of a code ever given, so that codes on printed labels are not given again even if the records that gave
them are gone.

A second one lies beside the folder, so that an older copy of the folder that is put back does not take that
number with it. It is written with the first record of a program and whenever the number grows.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable
from typing import NamedTuple

from shopbins.ledger.files import Files, write_all

try:
    from _blake2 import blake2b
except ImportError:
    from hashlib import blake2b

NAME = "journal.end"
BESIDE = ".labels"
"""How the name of the second one ends; it begins as the folder's name does."""
_FORM = re.compile(rb"(\S{1,64}) ([0-9]{12}) ([0-9a-f]{32}) ([0-9]{15}) ([0-9a-f]{16})\n")


class End(NamedTuple):
    """What the journal with this UUID last had: the record's number and digits, the highest serial."""

    uuid: str
    seq: int
    chain: str
    serial: int


def _text(end: End) -> bytes:
    text = f"{end.uuid} {end.seq:012d} {end.chain} {end.serial:015d}".encode()
    return b"%b %b\n" % (text, blake2b(text, digest_size=8).hexdigest().encode())


def read(folder: str, files: Files) -> End | None:
    """Read the mark, None where there is none or it is not whole (a cache, once more)."""
    return _read(f"{folder}/{NAME}", files)


def read_beside(folder: str, files: Files) -> End | None:
    """Read the mark beside the folder, None where there is none or it is not whole."""
    return _read(folder + BESIDE, files)


def beside_problem(folder: str, files: Files) -> str:
    """Say that the mark beside the folder cannot be read, '' where it can or there is none."""
    path = folder + BESIDE
    if not files.exists(path) or read_beside(folder, files) is not None:
        return ""
    return (
        f"{path}: cannot be read, so the highest number ever given here is only known from the ledger "
        "(look at your highest label; a new number makes it anew)"
    )


def write(path: str, files: Files, end: End, beside: Callable[[], bool] = lambda: True) -> None:
    """Write a mark once; `beside` as in `EndMark.write`."""
    mark = EndMark(path, files)
    mark.write(end, beside)
    mark.close()


def _read(path: str, files: Files) -> End | None:
    try:
        handle = files.open(path, write=False)
        try:
            data = files.read(handle, 0, 4096)
        finally:
            files.close(handle)
    except OSError:
        return None
    found = _FORM.fullmatch(data)
    if found is None:
        return None
    end = End(found[1].decode(errors="replace"), int(found[2]), found[3].decode(), int(found[4]))
    return end if _text(end) == data else None


class EndMark:
    """The mark of one journal, held open by whoever writes there."""

    def __init__(self, path: str, files: Files) -> None:
        self._path = path
        self._files = files
        self._handle: int | None = None

    def write(self, end: End, beside: Callable[[], bool] = lambda: True) -> None:
        """Put the mark there; a disk that does not take it leaves the older one, which is as true.

        `beside` tells whether the folder of that name is still the one the journal is in: only then the file
        found there is this journal's mark. From then on it is held open, wherever the folder may go.
        """
        data = _text(end)
        with contextlib.suppress(OSError):
            if self._handle is None:
                if not beside():
                    return
                self._handle = self._opened(len(data))
                if not beside():
                    self.close()
                    return
            write_all(self._files, self._handle, data)

    def _opened(self, size: int) -> int:
        with contextlib.suppress(OSError):
            handle = self._files.open(self._path, write=True)
            if self._files.size(handle) == size and self._files.one_name(handle):
                return handle
            self._files.close(handle)
        return self._files.create(self._path)

    def close(self) -> None:
        """Let the file go: it is opened anew at the next mark, should another have its name by then."""
        if self._handle is not None:
            self._files.close(self._handle)
            self._handle = None
