"""The real program with a libc that fails: whatever fails, nothing acknowledged is lost, exit 0 is true.

The classes are those SQLite says it is tested by (sqlite.org/testing.html: out of memory, I/O error, crash,
boundary values): here I/O errors at each call in turn, once and from then on, and short writes. Crashes are
in tests/parts/test_crash.py and test_processes.py, bounds in test_bounds.py. Long: trial_ledger.py faults.
Where no compiler is there, the same calls fail inside Python, in the same program.
"""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from shopbins.ledger.ledger import Ledger
from shopbins.records import acts

CALLS = ("write", "fdatasync", "ftruncate", "flock", "rename", "link")
ERRORS = (errno.EIO, errno.ENOSPC)

# Without a compiler: the same functions of `os` fail, in the real program, before it is imported.
IN_PYTHON = """
import errno, os, sys
calls = 0
def failing(name, real, in_ledger):
    def call(*args, **more):
        global calls
        if os.environ.get("FAIL_CALL") == name and in_ledger(args):
            calls += 1
            first = int(os.environ["FAIL_AT"])
            if calls == first or (os.environ.get("FAIL_ON") and calls > first):
                if os.environ.get("SHORT"):
                    return real(args[0], args[1][: len(args[1]) // 2 + 1], *args[2:])
                number = int(os.environ["FAIL_ERRNO"])
                raise OSError(number, os.strerror(number))
        return real(*args, **more)
    return call
def by_handle(args):
    try:
        return os.readlink(f"/proc/self/fd/{args[0]}").startswith(os.environ["FAIL_IN"])
    except OSError:
        return False
by_name = lambda args: str(args[1]).startswith(os.environ["FAIL_IN"])
os.pwrite = failing("write", os.pwrite, by_handle)
os.fdatasync = failing("fdatasync", os.fdatasync, by_handle)
os.ftruncate = failing("ftruncate", os.ftruncate, by_handle)
os.replace = failing("rename", os.replace, by_name)
os.link = failing("link", os.link, by_name)
import fcntl
fcntl.flock = failing("flock", fcntl.flock, by_handle)
from shopbins.cli import main
sys.exit(main())
"""


def library(folder: Path) -> Path | None:
    """Compile the failing libc, None where there is no compiler."""
    gcc = shutil.which("gcc") or shutil.which("cc")
    if gcc is None or not sys.platform.startswith("linux"):
        return None
    built = folder / "failing.so"
    source = Path(__file__).with_name("failing.c")
    done = subprocess.run(
        [gcc, "-shared", "-fPIC", "-o", built, source, "-ldl"], capture_output=True, check=False
    )
    return built if done.returncode == 0 else None


SYSTEM_CALLS = {
    "write": "pwrite64",
    "fdatasync": "fdatasync",
    "ftruncate": "ftruncate",
    "flock": "flock",
    "rename": "rename",
    "link": "link",
}
FILES = ("", "/journal.log", "/journal.end", "/lock")


def traced(folder: Path, call: str, error: int, at: int, on: bool) -> list[str]:
    """Return how strace makes a system call on the ledger's files fail."""
    paths = [word for name in FILES for word in ("-P", f"{folder}{name}")]
    when = f"when={at}{'+' if on else ''}"
    inject = f"inject={SYSTEM_CALLS[call]}:error={errno.errorcode[error]}:{when}"
    return [
        "strace",
        "-f",
        "-qq",
        "-o",
        os.devnull,
        *paths,
        "-e",
        f"trace={SYSTEM_CALLS[call]}",
        "-e",
        inject,
    ]


def injected(home: Path, calls: tuple[str, ...], most: int = 12, by: str = "libc") -> dict[str, int]:
    """Run `take` with each use of each call failing in turn; return what it came to.

    `by` what makes it fail: 'libc', one that is preloaded; 'strace', the system's call itself; 'python'.
    """
    built = library(home) if by == "libc" else None
    found = {"faults": 0, "lost": 0, "said wrongly": 0, "unreadable": 0, "not 0 or 74": 0}
    known = 0
    for call in calls:
        for error, more in [(e, {}) for e in ERRORS] + [
            (errno.EIO, {"FAIL_ON": "1"}),
            (errno.EIO, {"SHORT": "1"}),
        ]:
            if "SHORT" in more and (call != "write" or by == "strace"):
                continue
            for at in range(1, most + 1):
                shop = home / "shop.yaml"
                if not shop.exists():
                    shop.write_text(SHOP)
                folder = home / "shop.ledger"
                env = {
                    **os.environ,
                    **more,
                    "FAIL_CALL": call,
                    "FAIL_AT": str(at),
                    "FAIL_ERRNO": str(error),
                    "FAIL_IN": str(folder),
                }
                if built is not None:
                    env["LD_PRELOAD"] = str(built)
                before: list[str] = []
                if by == "strace":
                    before = traced(folder, call, error, at, "FAIL_ON" in more)
                real = built is not None or by == "strace"
                command = ["-m", "shopbins"] if real else ["-c", IN_PYTHON]
                name = f"{call} {error} {at} {len(more)}"
                ran = subprocess.run(
                    [*before, sys.executable, *command, "-s", shop, "take", name],
                    env=env,
                    capture_output=True,
                    text=True,
                    timeout=60,
                    check=False,
                )
                found["faults"] += 1
                found["not 0 or 74"] += ran.returncode not in (0, 74)
                try:
                    with Ledger.open(folder, prefix="S", readonly=True, strict=True) as ledger:
                        names = [group.name for group in ledger.state.groups()]
                except Exception:
                    found["unreadable"] += 1
                    continue
                found["lost"] += len(names) < known + (ran.returncode == 0)
                maybe = "may be recorded" in ran.stderr
                found["said wrongly"] += ran.returncode != 0 and name in names and not maybe
                known = len(names)
                if ran.returncode == 0 and "SHORT" not in more and at > 2:
                    break  # there are no more such calls
    return found


SHOP = """shop: Shed
prefix: S
rooms:
  hall:
    outline: [[0, 0], [5000, 0], [5000, 4000], [0, 4000]]
"""


@pytest.mark.parametrize("by", ["libc", "python", "strace"])
def test_whatever_call_fails_nothing_acknowledged_is_lost(tmp_path: Path, by: str) -> None:
    if by == "strace" and shutil.which("strace") is None:
        pytest.skip("strace is not there")
    found = injected(tmp_path, ("fdatasync",) if by == "strace" else ("write", "fdatasync"), most=2, by=by)
    assert found["faults"] >= (6 if by == "strace" else 10)
    assert {name: count for name, count in found.items() if name != "faults"} == {
        "lost": 0,
        "said wrongly": 0,
        "unreadable": 0,
        "not 0 or 74": 0,
    }


@pytest.mark.skipif(os.name == "nt", reason="there the locks are others")
def test_an_unlock_that_fails_after_recording_is_no_failure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import fcntl

    real = fcntl.flock

    def failing(handle: int, how: int) -> None:
        if how == fcntl.LOCK_UN:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        real(handle, how)

    with Ledger.open(tmp_path / "shop.ledger", prefix="RW") as ledger:
        with monkeypatch.context() as during:
            during.setattr(fcntl, "flock", failing)
            ledger.transact(lambda s: acts.take(s, "head"))
        ledger.transact(lambda s: acts.take(s, "valves"))
    with Ledger.open(tmp_path / "shop.ledger", prefix="RW", timeout_s=0.1) as other:
        assert other.seq == 2
