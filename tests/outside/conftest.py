"""Running the command line on a copy of a real place, in this process."""

from __future__ import annotations

import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopbins.cli import main

Run = Callable[..., tuple[int, Any, str]]


@pytest.fixture
def run(
    request: pytest.FixtureRequest,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Run:
    """Return a function that runs one command on a fresh copy of the file's SHOP: status, JSON, stderr."""
    shutil.copy(request.module.SHOP, tmp_path / "shop.yaml")
    monkeypatch.setenv("SHOPBINS_SHOP", str(tmp_path / "shop.yaml"))
    monkeypatch.setenv("SHOPBINS_BY", "tester")
    monkeypatch.setattr("sys.stdin", io.StringIO())
    monkeypatch.chdir(tmp_path)

    def command(*args: str) -> tuple[int, Any, str]:
        capsys.readouterr()
        status = main([*args, "--json"])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return status, json.loads(out) if out.strip() else None, err

    return command
