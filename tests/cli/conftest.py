"""A small invented shop, and running the command line on it in this process."""

from __future__ import annotations

import io
import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

import shopbins
from shopbins.cli import main

SHOP = """\
shop: Lock-keeper's barn
prefix: LB
measured: 5 mm
rooms:
  barn:
    outline: [[0, 0], [6000, 0], [6000, 5000], [0, 5000]]
    headroom: 2.8 m
doors:
  barn door:
    {room: barn, to: outside, jambs: [[2000, 0], [4400, 0]], height: 2.3 m, opens: sliding, exit: yes}
walkways:
  middle way: {line: [[3200, 100], [3200, 4900]], width: 800 mm, least: 700 mm, exit route: yes}
zones:
  bench: {room: barn, kind: bench, at: [200, 4200], size: [2000, 700], height: 900 mm, load: 300 kg}
  rack:
    room: barn
    kind: shelf
    at: [4800, 4300]
    size: [1000, 500]
    load: 250 kg
    levels:
      1: {height: 100 mm, headroom: 500 mm, load: 100 kg}
      2: {height: 700 mm, headroom: 500 mm, load: 100 kg}
  corner: {room: barn, kind: floor, at: [200, 200], size: [1500, 1500]}
"""


@dataclass(frozen=True)
class Answer:
    """What a command gave back."""

    status: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """The JSON it printed."""
        return json.loads(self.out)


Run = Callable[..., Answer]


class Steps:
    """Commands done by one person on a fresh ledger, each held to its exit status."""

    REFUSED: tuple[int, ...] = (1,)
    """The exit status of what is refused, where a test names no other."""

    def __init__(self, run: Run, folder: Path) -> None:
        self.run, self.folder = run, folder

    def ok(self, *args: str) -> Answer:
        answer = self.run(*args, "--by", "ann")
        assert answer.status == 0, (args, answer.out, answer.err)
        return answer

    def kept(self) -> str:
        """All that is recorded."""
        return self.run("export", "--format", "json", "-o", "-").out

    def refused(self, *args: str, status: int | None = None) -> str:
        """Refused with something to read, and nothing recorded."""
        before = self.kept()
        answer = self.run(*args, "--by", "ann")
        assert answer.status in (self.REFUSED if status is None else (status,)), (args, answer)
        assert answer.err.strip() and "Traceback" not in answer.err, args
        assert self.kept() == before, args
        return answer.err


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shop file, in the current folder."""
    for name in ("SHOPBINS_SHOP", "SHOPBINS_BY", "SHOPBINS_TRACE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("PYTHONPATH", str(Path(shopbins.__file__).parents[1]))  # for processes of their own
    monkeypatch.setenv("USER", "tester")
    monkeypatch.setenv("LOGNAME", "tester")
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "shop.yaml"
    path.write_text(SHOP, encoding="utf-8")
    return path


@pytest.fixture
def run(shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command line; `stdin` is what is typed or piped."""

    def call(*args: str | os.PathLike[str], stdin: str = "") -> Answer:
        monkeypatch.setattr("sys.stdin", io.StringIO(stdin))
        capsys.readouterr()
        status = main([os.fspath(each) for each in args])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return Answer(status, out, err)

    return call
