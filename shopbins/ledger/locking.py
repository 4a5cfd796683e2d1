"""A lock between processes that the kernel frees when its holder dies.

On POSIX this is flock(2) itself: 1 microsecond, where the filelock package takes 125 and 50 ms to import,
as much as a durable change. Elsewhere filelock does it.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import time
import weakref
from typing import Any

from shopbins.ledger.problems import LedgerBusy, LedgerProblem

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

_WIDTH = 200
_FIRST_PAUSE_S, _LONGEST_PAUSE_S = 0.001, 0.02


class KernelLock:
    """A lock file, held within `with`; not for two threads at once.

    `holder` is what others are told who must wait longer than `timeout_s`: they get LedgerBusy. The file is
    made at the first use, which raises LedgerProblem where it cannot be. Who holds a file that has meanwhile
    been removed or exchanged holds nothing: the one that has its name is taken instead. With `beside` set it
    is made only where that file is: not in a folder somebody is just copying back.
    """

    def __init__(self, path: str, holder: str, timeout_s: float) -> None:
        self.path = path
        self.timeout_s = timeout_s
        self.beside = ""
        self._who = holder.encode()[:_WIDTH].ljust(_WIDTH)
        self._handle = -1
        self._other: Any = None
        _all.add(self)

    def __enter__(self) -> None:
        if fcntl is None:
            self._enter_filelock()
            return
        deadline = time.monotonic() + self.timeout_s
        try:
            while True:
                if self._handle < 0:
                    self._handle = _opened(self.path, self.beside)
                    self._file = os.fstat(self._handle)
                if not hold(self._handle, deadline - time.monotonic()):
                    raise busy(self._holder())
                if self._has_its_name():
                    break
                self.close()
        except OSError as error:
            self.close()
            link = error.errno == errno.ELOOP
            why = "is a link, not the file itself (take it away)" if link else error.strerror or error
            raise LedgerProblem(f"{self.path}: cannot be locked: {why}") from None
        # Only when it changes: a write here would slow the flush of the journal that follows.
        with contextlib.suppress(OSError):  # a full disk: others are not told who it is, no more
            there = os.pread(self._handle, _WIDTH + 1, 0)
            if there != self._who and len(there) in (0, _WIDTH):  # else somebody's file was put in its place
                os.pwrite(self._handle, self._who, 0)

    def __exit__(self, *_: object) -> None:
        if self._other is not None:
            self._other.release()
        elif self._handle >= 0:
            try:
                let_go(self._handle)
            except OSError:  # what was done under it is done; closing lets go too
                self.close()

    def _has_its_name(self) -> bool:
        """Tell whether the file that is held is still the one others will find."""
        try:
            return os.path.samestat(self._file, os.lstat(self.path))
        except FileNotFoundError:
            return False

    def _holder(self) -> str:
        there = os.pread(self._handle, _WIDTH + 1, 0)
        return there.decode(errors="replace").strip() if len(there) == _WIDTH else "somebody"

    def _enter_filelock(self) -> None:
        """Hold the lock by the filelock package, its kernel lock for this system."""
        import filelock

        if self._other is None:
            self._other = filelock.FileLock(self.path, timeout=self.timeout_s)
        try:
            self._other.acquire()
        except filelock.Timeout:
            raise busy("somebody else") from None

    def close(self) -> None:
        """Let the file go."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


_all: weakref.WeakSet[KernelLock] = weakref.WeakSet()


def busy(who: str) -> LedgerBusy:
    """Say that somebody else holds the ledger."""
    return LedgerBusy(f"the ledger is being written by {who} (try again in a moment)")


def _opened(path: str, beside: str) -> int:
    """Open a lock file, making it readable and writable as its folder is; what is no file is refused.

    One that is another file too (a hard link) gives way to a new one: that other file is not written into.
    """
    flags = os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        handle = os.open(path, flags)
    except FileNotFoundError:
        if beside:
            os.stat(beside)  # noqa: PTH116
        return _made(path, flags)
    found = os.fstat(handle)
    if stat.S_ISREG(found.st_mode) and found.st_nlink <= 1:
        return handle
    os.close(handle)
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "is no ordinary file")
    with contextlib.suppress(FileNotFoundError):
        os.unlink(path)  # noqa: PTH108
    return _made(path, flags)


def _made(path: str, flags: int) -> int:
    handle = os.open(path, flags | os.O_CREAT, 0o600)
    with contextlib.suppress(OSError):
        os.fchmod(handle, mode_in(os.path.dirname(path)))  # noqa: PTH120
    return handle


def mode_in(folder: str) -> int:
    """Return how a file in a folder may be used: by its owner, by its group as the folder, by nobody else."""
    return 0o600 | os.stat(folder or ".").st_mode & 0o060  # noqa: PTH116


def hold(handle: int, timeout_s: float) -> bool:
    """Hold an open file for this program alone, looking again every few milliseconds; False: not in time."""
    if fcntl is None:
        return True
    deadline = time.monotonic() + timeout_s
    pause_s = _FIRST_PAUSE_S
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= deadline:
                return False
            time.sleep(pause_s)
            pause_s = min(pause_s * 1.5, _LONGEST_PAUSE_S)
        else:
            return True


def share(handle: int) -> None:
    """Hold an open file together with others who share it, if that can be had at once."""
    if fcntl is not None:
        with contextlib.suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)


def let_go(handle: int) -> None:
    """Let others hold an open file."""
    if fcntl is not None:
        fcntl.flock(handle, fcntl.LOCK_UN)


def _after_fork() -> None:
    """Close the locks in a forked child: it would keep one alive after its parent died holding it."""
    for lock in list(_all):
        lock.close()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_after_fork)
