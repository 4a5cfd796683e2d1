"""The program in a process of its own that has it loaded: to load it costs more than most commands.

Its own are the folder, the environment, the streams and the exit status. What loading shows is asked of a
process started anew: the help of every command, the first screen, whatever has limits or a stream of its own.
"""

from __future__ import annotations

import gc
import os
import pkgutil
import pty
import signal
import sys
import tempfile
import termios
import traceback
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import NoReturn

from ptyprocess import PtyProcess

import shopbins
from shopbins import tui
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
            signal.alarm(PATIENCE_S)
            _run(args, folder, environment, (typed.fileno(), out.fileno(), err.fileno()))
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        for stream in (out, err):
            stream.seek(0)
        return status, out.read().decode(), err.read().decode()


def forked_terminal(
    rows: int, cols: int, args: Sequence[str], folder: Path, environment: Mapping[str, str]
) -> PtyProcess:
    """Run the program in a pseudo-terminal of its own."""
    _load()
    _load_screen()
    child, terminal = pty.fork()
    if child == 0:
        termios.tcsetwinsize(0, (rows, cols))
        _run(args, folder, environment, (0, 1, 2))
    return PtyProcess(child, terminal)


@cache
def _load() -> None:
    """Load all that a command may load, but the screen."""
    for module in pkgutil.walk_packages(shopbins.__path__, "shopbins."):
        if not module.name.startswith(("shopbins.tui", "shopbins.serve", "shopbins.__main__")):
            import_module(module.name)
    gc.freeze()


@cache
def _load_screen() -> None:
    for module in pkgutil.walk_packages(tui.__path__, "shopbins.tui."):
        import_module(module.name)
    gc.freeze()


def _run(
    args: Sequence[str], folder: Path, environment: Mapping[str, str], streams: tuple[int, int, int]
) -> NoReturn:
    status = 1
    try:
        os.chdir(folder)
        os.environ.clear()
        os.environ.update(environment)
        for number, stream in enumerate(streams):
            os.dup2(stream, number)
        sys.stdin, sys.stdout, sys.stderr = (
            open(number, mode, encoding="utf-8", closefd=False)  # noqa: SIM115
            for number, mode in enumerate("rww")
        )
        sys.__stdin__, sys.__stdout__, sys.__stderr__ = sys.stdin, sys.stdout, sys.stderr
        status = main(args)
        sys.stdout.flush()
        sys.stderr.flush()
    except BaseException:
        os.write(2, traceback.format_exc().encode())
    finally:
        os._exit(status)
