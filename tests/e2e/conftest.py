"""The real program as somebody meets it: its commands as processes, its screen in a pseudo-terminal."""

from __future__ import annotations

import json
import os
import re
import select
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyte
import pytest
from ptyprocess import PtyProcess

import shopbins

from .forked import PATIENCE_S, forked, forked_terminal

PROGRAM = (sys.executable, "-m", "shopbins")
QUIET_S = 0.06  # a frame is drawn when nothing has come for so long

KEYS = {
    "enter": "\r",
    "tab": "\t",
    "backspace": "\x7f",
    "escape": "\x1b",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "shift+left": "\x1b[1;2D",
    "shift+right": "\x1b[1;2C",
    "pageup": "\x1b[5~",
    "pagedown": "\x1b[6~",
    "delete": "\x1b[3~",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "f7": "\x1b[18~",
    "f8": "\x1b[19~",
    "f9": "\x1b[20~",
}


FRAMES = str.maketrans(dict.fromkeys("│┃╭╮╰╯─━▃▅▂▄▆▇█▁", " "))


def clean_environment(home: Path, **more: str) -> dict[str, str]:
    """Return an environment with nothing of ours in it but the home folder given."""
    ours = {
        "PATH": os.environ["PATH"],
        "PYTHONPATH": str(Path(shopbins.__file__).parents[1]),
        "HOME": str(home),
        "USER": "tester",
        "LOGNAME": "tester",
        "LANG": "C.UTF-8",
        "TERM": "xterm-256color",
    }
    return {**ours, **more}


def _flat(lines: Iterable[str]) -> str:
    return " ".join(" ".join(lines).translate(FRAMES).split())


COLOURS = re.compile(rb"\x1b\[[0-9;]*m")
CUT_OFF = re.compile(rb"\x1b(?:\[[0-9;]*)?\Z")  # where what has come ends within a sequence


class Glyphs(dict[str, pyte.screens.Char]):
    """What is on the screen where a character of one cell was drawn."""

    def __missing__(self, character: str) -> pyte.screens.Char:
        if pyte.screens.wcwidth(character) != 1:
            raise KeyError(character)
        return self.setdefault(character, pyte.screens.Char(character))


class PlainScreen(pyte.Screen):
    """A screen that keeps characters only, and draws those of one cell, nearly all, in one go."""

    glyphs = Glyphs()

    def draw(self, data: str) -> None:
        """Draw a text at the cursor."""
        x = self.cursor.x
        try:
            drawn = [self.glyphs[character] for character in data]
        except KeyError:
            drawn = []
        if not drawn or x + len(drawn) > self.columns:
            super().draw(data)
            return
        self.buffer[self.cursor.y].update(zip(range(x, x + len(drawn)), drawn, strict=True))
        self.cursor.x = x + len(drawn)


class Terminal:
    """The program in a pseudo-terminal of its own; `pressed` counts the keys."""

    def __init__(self, rows: int, cols: int, child: PtyProcess) -> None:
        self.size = (rows, cols)
        self.pressed = 0
        self._screen = PlainScreen(cols, rows)
        self._cut_off = b""
        self._stream = pyte.ByteStream(self._screen)
        self._text: str | None = None
        self.raw = bytearray()
        self.child = child

    # -- looking

    def _read(self, wait_s: float) -> bool:
        """Take all that has come, waiting for the first of it; tell whether there was any."""
        got = b""
        while select.select([self.child.fd], [], [], 0.0 if got else wait_s)[0]:
            try:
                got += os.read(self.child.fd, 65536)
            except OSError:  # it has ended
                break
        if not got:
            return False
        self.raw += got
        self._text = None
        plain = COLOURS.sub(b"", self._cut_off + got)
        cut = CUT_OFF.search(plain)
        self._cut_off = cut.group() if cut else b""
        self._stream.feed(plain[: cut.start()] if cut else plain)
        return True

    def screen(self) -> str:
        """Return the screen as text, once it is quiet."""
        while self._read(QUIET_S):
            pass
        return self.now()

    def now(self) -> str:
        """Return the screen as text, as far as it has been read."""
        if self._text is None:
            columns, buffer = range(self._screen.columns), self._screen.buffer
            rows = (buffer[y] for y in range(self._screen.lines))
            self._text = "\n".join("".join([row[x].data for x in columns]).rstrip() for row in rows)
        return self._text

    def flat(self) -> str:
        """Return the screen as one line with single spaces and without frames, for texts that wrap.

        What stands right of the last upright line comes once more at the end: a list beside the plan.
        """
        lines = self.now().splitlines()
        return f"{_flat(lines)} ¦ {_flat(line.rpartition('│')[2] for line in lines if '│' in line)}"

    def wait(self, seen: Callable[[str], bool], what: str, timeout: float = PATIENCE_S) -> str:
        """Read until the screen is as wanted, and quiet; fail showing it."""
        end = time.monotonic() + timeout
        while True:
            if seen(self.flat()):
                while self._read(QUIET_S):
                    pass
                if seen(self.flat()):
                    return self.now()
            if time.monotonic() > end or not (self._read(0.2) or self.child.isalive()):
                raise AssertionError(f"waited for {what}; the screen is\n{self.now()}")

    def wait_for(self, text: str, timeout: float = PATIENCE_S) -> str:
        """Read until a text is on the screen (spaces and line ends are not told apart)."""
        return self.wait(lambda flat: text in flat, f"'{text}'", timeout)

    def wait_gone(self, text: str, timeout: float = PATIENCE_S) -> str:
        """Read until a text is no more on the screen."""
        return self.wait(lambda flat: text not in flat, f"'{text}' to go", timeout)

    # -- doing

    def keys(self, *keys: str) -> None:
        """Press keys by name; what is no name is typed as it stands."""
        for key in keys:
            self.pressed += 1 if key in KEYS else len(key)
            self.child.write(KEYS.get(key, key).encode())

    def resize(self, rows: int, cols: int) -> None:
        """Make the terminal another size."""
        self._screen.resize(rows, cols)
        self._text = None
        self.child.setwinsize(rows, cols)

    def escape(self, gone: str) -> None:
        """Press escape, and wait until a text has gone: what follows at once would be read as alt+key."""
        self.keys("escape")
        self.wait_gone(gone)

    def kill(self) -> None:
        """Kill the program as a power cut would."""
        os.kill(self.child.pid, signal.SIGKILL)
        self.child.wait()

    def quit(self) -> int:
        """Leave by the key; return the exit status."""
        self.keys("q")
        return self.ended()

    def ended(self) -> int:
        """Wait until the program has ended; return its exit status."""
        end = time.monotonic() + PATIENCE_S
        while self.child.isalive():
            self._read(0.1)
            assert time.monotonic() < end, f"still running:\n{self.now()}"
        while self._read(0.05):
            pass
        return int(self.child.exitstatus if self.child.exitstatus is not None else -self.child.signalstatus)

    def close(self) -> None:
        """End the program whatever it does."""
        if self.child.isalive():
            self.child.kill(signal.SIGKILL)
        self.child.close(force=True)


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command gave."""

    status: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """Its stdout, read as JSON."""
        return json.loads(self.out)

    @property
    def problems(self) -> list[str]:
        """The lines on stderr."""
        return self.err.splitlines()


class Place:
    """A folder with a shop file in it, where commands are given."""

    def __init__(self, folder: Path, home: Path) -> None:
        self.folder, self.home = folder, home
        self.opened: list[Terminal] = []

    @property
    def shop(self) -> Path:
        """The shop file."""
        return self.folder / "shop.yaml"

    def run(
        self,
        *args: object,
        stdin: str = "",
        env: Mapping[str, str] | None = None,
        anew: bool = False,
        **popen: Any,
    ) -> Ran:
        """Run a command to its end, the program loaded `anew` or not; a traceback is a failure whatever was
        expected.
        """
        words, environment = [str(a) for a in args], clean_environment(self.home, **(env or {}))
        if anew or popen:
            ended = self._started(words, environment, stdin, **popen)
        else:
            ended = Ran(*forked(words, self.folder, environment, stdin))
        assert "Traceback" not in ended.err, ended.err
        assert "a fault in shopbins" not in ended.err, ended.err
        return ended

    def _started(self, words: Sequence[str], env: Mapping[str, str], stdin: str, **popen: Any) -> Ran:
        done = subprocess.run(
            [*PROGRAM, *words],
            cwd=self.folder,
            env=env,
            input=stdin,
            stdout=popen.pop("stdout", subprocess.PIPE),
            stderr=subprocess.PIPE,
            text=True,
            timeout=PATIENCE_S,
            **popen,
        )
        return Ran(done.returncode, done.stdout or "", done.stderr)

    def start(self, *command: str) -> subprocess.Popen[str]:
        """Start a process here, its stdout to be read as it comes."""
        env = clean_environment(self.home)
        return subprocess.Popen(command, cwd=self.folder, env=env, stdout=subprocess.PIPE, text=True)

    def json(self, *args: object, status: int = 0, **popen: Any) -> Any:
        """Run a command with --json, expect an exit status, and return the data."""
        ran = self.run(*args, "--json", **popen)
        assert ran.status == status, ran
        return ran.data

    def open(self, rows: int = 24, cols: int = 80, *args: object, anew: bool = False, **env: str) -> Terminal:
        """Open the app here in a terminal, the program loaded `anew` or not."""
        words, environment = [str(a) for a in args], clean_environment(self.home, **env)
        if anew:
            child = PtyProcess.spawn([*PROGRAM, *words], self.folder, environment, dimensions=(rows, cols))
        else:
            child = forked_terminal(rows, cols, words, self.folder, environment)
        terminal = Terminal(rows, cols, child)
        self.opened.append(terminal)
        return terminal


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the demo by its command, once."""
    folder = tmp_path_factory.mktemp("demo") / "ropewalk"
    ran = Place(folder.parent, folder.parent).run("demo", "ropewalk", anew=True)
    assert ran.status == 0, ran
    return folder


def _place(folder: Path, home: Path) -> Iterator[Place]:
    home.mkdir()
    place = Place(folder, home)
    try:
        yield place
    finally:
        for terminal in place.opened:
            terminal.close()


@pytest.fixture
def demo(demo_once: Path, tmp_path: Path) -> Iterator[Place]:
    """Give a fresh copy of the demo."""
    shutil.copytree(demo_once, tmp_path / "ropewalk")
    yield from _place(tmp_path / "ropewalk", tmp_path / "home")


SHED = """\
shop: My shed
prefix: MS
rooms:
  shed:
    at: [0, 0]
    size: [6000, 4000]
    headroom: 2.4 m
doors:
  front door: {room: shed, to: outside, jambs: [[0, 1500], [0, 2400]], height: 2 m, opens: sliding, exit: yes}
walkways:
  middle: {line: [[0, 1950], [5500, 1950]], width: 800 mm, least: 700 mm, exit route: yes}
zones:
  bench: {room: shed, kind: bench, at: [2000, 3300], size: [2000, 700], height: 900, load: 300 kg}
  rack:
    room: shed
    kind: shelf
    at: [4000, 0]
    size: [1800, 500]
    levels:
      1: {height: 100, headroom: 500, load: 150 kg}
      2: {height: 650, headroom: 500, load: 100 kg}
"""


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Place]:
    """Give a small shop written by hand, and nothing in it."""
    folder = tmp_path / "shed"
    folder.mkdir()
    (folder / "shop.yaml").write_text(SHED)
    yield from _place(folder, tmp_path / "home")
