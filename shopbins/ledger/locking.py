"""A lock between processes that the kernel frees when its holder dies.

On POSIX this is flock(2) itself: 1 microsecond, where the filelock package takes 125 and 50 ms to import,
as much as a durable change. Elsewhere filelock does it.
"""

from __future__ import annotations

import os
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
    made at the first use, which raises LedgerProblem where it cannot be.
    """

    def __init__(self, path: str, holder: str, timeout_s: float) -> None:
        self.path = path
        self.timeout_s = timeout_s
        self._who = holder.encode()[:_WIDTH].ljust(_WIDTH)
        self._handle = -1
        self._other: Any = None
        _all.add(self)

    def __enter__(self) -> None:
        if fcntl is None:
            self._enter_filelock()
            return
        if self._handle < 0:
            try:
                self._handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o666)
            except OSError as error:
                raise LedgerProblem(f"{self.path}: {error.strerror or error}") from None
        try:
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            self._wait()
        # Only when it changes: a write here would slow the flush of the journal that follows.
        if os.pread(self._handle, _WIDTH, 0) != self._who:
            os.pwrite(self._handle, self._who, 0)

    def __exit__(self, *_: object) -> None:
        if self._other is not None:
            self._other.release()
        elif self._handle >= 0:
            fcntl.flock(self._handle, fcntl.LOCK_UN)

    def _wait(self) -> None:
        """Look again every few milliseconds, up to the time limit."""
        deadline = time.monotonic() + self.timeout_s
        pause_s = _FIRST_PAUSE_S
        while time.monotonic() < deadline:
            time.sleep(pause_s)
            pause_s = min(pause_s * 1.5, _LONGEST_PAUSE_S)
            try:
                fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                return
            except BlockingIOError:
                continue
        who = os.pread(self._handle, _WIDTH, 0).decode(errors="replace").strip() or "somebody"
        raise LedgerBusy(f"the ledger is being written by {who} (try again in a moment)")

    def _enter_filelock(self) -> None:
        """Hold the lock by the filelock package, its kernel lock for this system."""
        import filelock

        if self._other is None:
            self._other = filelock.FileLock(self.path, timeout=self.timeout_s)
        try:
            self._other.acquire()
        except filelock.Timeout:
            raise LedgerBusy("the ledger is being written by somebody else (try again in a moment)") from None

    def close(self) -> None:
        """Let the file go."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


_all: weakref.WeakSet[KernelLock] = weakref.WeakSet()


def _after_fork() -> None:
    """Close the locks in a forked child: it would keep one alive after its parent died holding it."""
    for lock in list(_all):
        lock.close()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_after_fork)
