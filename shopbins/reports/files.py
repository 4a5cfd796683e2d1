"""Reports as files: whole or not at all."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside its place, make it durable, then put it there; raises OSError.

    What is no ordinary file (a pipe, /dev/stdout) is written to as it is.
    """
    asked = path = Path(path)
    if path.exists() and not path.is_file():
        with path.open("wb") as file:
            file.write(data)
        return
    path = path.resolve()  # a link goes on pointing at the file it points at
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        # The name that was asked for, not that of the file beside it.
        raise OSError(error.errno, error.strerror, str(asked)) from error
