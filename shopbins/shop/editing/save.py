"""Putting a shop file on the disk: whole and durable, and only over what had been read.

What is not kept: hard links, access control lists, and what another program saves in the microseconds between
the last look and the replacing.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
from pathlib import Path

from shopbins.outputs import sync_folder

MOST_KEPT = 20


class ChangedMeanwhile(Exception):  # noqa: N818 - it is an answer
    """The file is not as it was read; nothing has been written."""


def load(path: Path) -> str:
    """Return a file's text, every character of it; raises OSError, UnicodeDecodeError."""
    return path.read_bytes().decode("utf-8")


def save(path: Path, text: str, seen: str | None) -> None:
    """Write a text over a file that holds `seen` (None: that is not there yet); a link goes on pointing.

    Raises ChangedMeanwhile and OSError, and then the file is as it was.
    """
    target = path.resolve()
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with beside.open("xb") as file:
            if seen is not None and hasattr(os, "fchmod"):
                os.fchmod(file.fileno(), stat.S_IMODE(target.stat().st_mode))
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        if (load(target) if target.exists() else None) != seen:  # the last look
            raise ChangedMeanwhile(f"{path} was changed by somebody else")
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
    sync_folder(target.parent)


def tidy(path: Path) -> None:
    """Remove what killed processes left beside the file."""
    target = path.resolve()
    for left in target.parent.glob(f".{target.name}.*.part"):
        found = re.search(r"\.(\d+)\.part$", left.name)
        if found and not _lives(int(found.group(1))):
            with contextlib.suppress(OSError):
                left.unlink()


def keep_copy(path: Path, folder: Path, stamp: str) -> None:
    """Keep the file as it is now in a folder, under a stamp; the oldest of more than 20 goes."""
    folder.mkdir(parents=True, exist_ok=True)
    copy = folder / f"{stamp}.yaml"
    copy.write_bytes(path.read_bytes())
    for old in sorted(folder.glob("*.yaml"))[:-MOST_KEPT]:
        with contextlib.suppress(OSError):
            old.unlink()


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
