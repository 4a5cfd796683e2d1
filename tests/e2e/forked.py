"""A command in a process of its own that has the program loaded: to load it costs more than most commands.

Its own are the folder, the environment, the streams and the exit status. What loading shows is asked of a
process started anew: the help of every command, the screen, and whatever has a limit or a stream of its own.
"""

from __future__ import annotations

import gc
import os
import pkgutil
import signal
import sys
import tempfile
import traceback
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import NoReturn

import shopbins
from shopbins.cli import main

PATIENCE_S = 300  # how long a slow machine may take; never waited out when all is well


def forked(
    args: Sequence[str], folder: Path, environment: Mapping[str, str], stdin: str
) -> tuple[int, str, str]:
    """Run a command; return its exit status, what is on stdout and what on stderr."""
    _load()
    with tempfile.TemporaryFile() as typed, tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        typed.write(stdin.encode())
        typed.seek(0)
        child = os.fork()
        if child == 0:
            _run(args, folder, environment, (typed.fileno(), out.fileno(), err.fileno()))
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        for stream in (out, err):
            stream.seek(0)
        return status, out.read().decode(), err.read().decode()


@cache
def _load() -> None:
    """Load all that a command may load, but the screen."""
    for module in pkgutil.walk_packages(shopbins.__path__, "shopbins."):
        if not module.name.startswith(("shopbins.tui", "shopbins.serve", "shopbins.__main__")):
            import_module(module.name)
    gc.freeze()


def _run(
    args: Sequence[str], folder: Path, environment: Mapping[str, str], streams: tuple[int, int, int]
) -> NoReturn:
    status = 1
    try:
        signal.alarm(PATIENCE_S)
        os.chdir(folder)
        os.environ.clear()
        os.environ.update(environment)
        for number, stream in enumerate(streams):
            os.dup2(stream, number)
        sys.stdin, sys.stdout, sys.stderr = (
            open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115
            for number, mode in enumerate("rww")
        )
        status = main(args)
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        os.write(2, traceback.format_exc().encode())
    finally:
        os._exit(status)
