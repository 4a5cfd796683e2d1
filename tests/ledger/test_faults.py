"""The real program with a libc that fails: whatever fails, nothing acknowledged is lost, exit 0 is true.

The classes are those SQLite says it is tested by (sqlite.org/testing.html: out of memory, I/O error, crash,
boundary values): here I/O errors at each call in turn, once and from then on, and short writes. Crashes are
in test_crash.py and test_processes.py, bounds in test_bounds.py. Long: trial_ledger.py faults.
Where no compiler is there, the same calls fail inside Python, in the same program.
"""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
from itertools import product
from pathlib import Path

import pytest

from shopbins.ledger import rescue
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import LedgerProblem
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
                open(os.environ["FAIL_SAID"], "w").close()
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
    "rename": "rename,renameat,renameat2",
    "link": "link,linkat",
}

SCENES = ("begun", "goes on", "torn", "damaged")
"""What the program comes upon: no ledger, a sound one, one with an unfinished record, one to be rescued."""


def traced(said: Path, call: str, error: int, at: int, on: bool) -> list[str]:
    """Return how strace makes a system call of the program fail, noting those in a file."""
    when = f"when={at}{'+' if on else ''}"
    names = SYSTEM_CALLS[call]
    inject = f"inject={names}:error={errno.errorcode[error]}:{when}"
    return ["strace", "-f", "-qq", "-o", str(said), "-e", f"trace={names}", "-e", inject]


def scene(home: Path, kind: str) -> tuple[Path, set[str]]:
    """Make a shop in which the program comes upon `kind`; return it and the names that must stay."""
    shop, folder = home / "shop.yaml", home / "shop.ledger"
    shop.write_text(SHOP)
    shutil.rmtree(folder, ignore_errors=True)
    (home / "shop.ledger.labels").unlink(missing_ok=True)
    if kind == "begun":
        return shop, set()
    with Ledger.open(folder, prefix="S") as ledger:
        for name in ("head", "valves", "studs"):
            ledger.transact(lambda s, n=name: acts.take(s, n))
        ledger.snapshot()
        ledger.transact(lambda s: acts.take(s, "pump"))
    journal = folder / "journal.log"
    data = journal.read_bytes()
    if kind == "torn":
        journal.write_bytes(data + data[-150:-20])
    if kind == "damaged":
        journal.write_bytes(data.replace(b'"name":"pump"', b'"name":"pumq"'))
        return shop, {"head", "valves", "studs"}
    return shop, {"head", "valves", "studs", "pump"}


def names_in(folder: Path) -> set[str]:
    """Return the names in a sound ledger; raises where it is none."""
    with Ledger.open(folder, prefix="S", readonly=True, strict=True) as ledger:
        return {group.name for group in ledger.state.groups()}


def injected(
    home: Path, calls: tuple[str, ...], by: str = "libc", scenes: tuple[str, ...] = SCENES, most: int = 1000
) -> dict[str, int]:
    """Run the program with each use of each call failing in turn, until no more is met; return the figures.

    `by` what makes it fail: 'libc', one that is preloaded; 'strace', the system's call itself; 'python'.
    """
    built = library(home) if by == "libc" else None
    found = {"faults": 0, "lost": 0, "said wrongly": 0, "unreadable": 0, "not 0 or 74": 0}
    ways: list[tuple[int, dict[str, str]]] = [
        *((error, {}) for error in ERRORS),
        (errno.EIO, {"FAIL_ON": "1"}),
        (errno.EIO, {"SHORT": "1"}),
    ]
    for kind, call, (error, more) in product(scenes, calls, ways):
        if "SHORT" in more and (call != "write" or by == "strace"):
            continue
        for at in range(1, most + 1):
            if not _run(home, kind, call, error, more, at, by, built, found):
                break  # there are no more such calls
    return found


def _run(
    home: Path,
    kind: str,
    call: str,
    error: int,
    more: dict[str, str],
    at: int,
    by: str,
    built: Path | None,
    found: dict[str, int],
) -> bool:
    """Run it once, count what it came to, and tell whether it met the fault."""
    shop, known = scene(home, kind)
    folder, said = home / "shop.ledger", home / "said"
    said.unlink(missing_ok=True)
    env = {
        **os.environ,
        **more,
        "FAIL_CALL": call,
        "FAIL_AT": str(at),
        "FAIL_ERRNO": str(error),
        "FAIL_IN": str(folder),
        "FAIL_SAID": str(said),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    if built is not None:
        env["LD_PRELOAD"] = str(built)
    before = traced(said, call, error, at, "FAIL_ON" in more) if by == "strace" else []
    real = built is not None or by == "strace"
    command = ["-m", "shopbins"] if real else ["-c", IN_PYTHON]
    name = "new one"
    words = ["rescue", "--yes"] if kind == "damaged" else ["take", name]
    ran = subprocess.run(
        [*before, sys.executable, *command, "-s", shop, *words],
        env=env,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    met = said.exists() and (by != "strace" or "INJECTED" in said.read_text())
    found["faults"] += met
    found["not 0 or 74"] += ran.returncode not in (0, 74)
    try:
        if kind == "damaged" and ran.returncode and rescue.damage(str(folder), "S"):
            rescue.rescue(str(folder), "jan", "S")
        names = names_in(folder)
    except LedgerProblem:
        found["unreadable"] += 1
        return met
    if kind == "damaged":
        found["lost"] += not known <= names
        return met
    found["lost"] += not known <= names or (ran.returncode == 0 and name not in names)
    maybe = "may be recorded" in ran.stderr
    found["said wrongly"] += ran.returncode != 0 and name in names and not maybe
    return met


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
    calls = ("fdatasync",) if by == "strace" else ("write", "fdatasync")
    found = injected(tmp_path, calls, by, ("goes on",), most=2)
    assert found["faults"] >= (3 if by == "strace" else 10)
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
