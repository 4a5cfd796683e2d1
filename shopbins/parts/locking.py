"""A lock between processes that the kernel frees when its holder dies.

On POSIX this is flock(2) itself: 1 microsecond, where the filelock package takes 125 and 50 ms to import,
as much as a durable change. Elsewhere filelock does it.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator

from shopbins.parts.problems import LedgerBusy

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

_WIDTH = 200


@contextlib.contextmanager
def kernel_lock(path: str, holder: str, timeout_s: float) -> Iterator[None]:
    """Hold the lock file at `path`; `holder` is what others are told who must wait too long.

    Raises LedgerBusy after `timeout_s`, OSError where the file cannot be made.
    """
    if fcntl is None:
        with _filelock(path, timeout_s):
            yield
        return
    # Opened anew each time: a child forked meanwhile must not keep the lock alive after its parent died.
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        _wait(handle, timeout_s)
        _say_who(handle, holder.encode()[:_WIDTH].ljust(_WIDTH))
        yield
    finally:
        os.close(handle)


def _say_who(handle: int, who: bytes) -> None:
    """Leave the holder's name in the lock file; only when it changes, as a write slows the next flush."""
    if os.pread(handle, _WIDTH, 0) != who:
        os.pwrite(handle, who, 0)


def _wait(handle: int, timeout_s: float) -> None:
    """Take the lock, looking again every few milliseconds."""
    deadline = None
    pause_s = 0.001
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            now = time.monotonic()
            deadline = now + timeout_s if deadline is None else deadline
            if now >= deadline:
                who = os.pread(handle, _WIDTH, 0).decode(errors="replace").strip() or "somebody"
                raise LedgerBusy(f"the ledger is being written by {who} (try again in a moment)") from None
            time.sleep(pause_s)
            pause_s = min(pause_s * 1.5, 0.02)


@contextlib.contextmanager
def _filelock(path: str, timeout_s: float) -> Iterator[None]:
    """Hold the lock by the filelock package, its kernel lock for this system."""
    import filelock

    try:
        with filelock.FileLock(path, timeout=timeout_s):
            yield
    except filelock.Timeout:
        raise LedgerBusy("the ledger is being written by somebody else (try again in a moment)") from None
