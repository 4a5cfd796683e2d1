"""A report is written as a whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from shopbins.reports import files


def test_a_file_is_replaced_as_a_whole(tmp_path: Path) -> None:
    target = tmp_path / "parts.csv"
    target.write_bytes(b"old" * 1000)
    files.write_whole(target, b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_goes_on_pointing(tmp_path: Path) -> None:
    real, link = tmp_path / "real.csv", tmp_path / "link.csv"
    real.write_bytes(b"old")
    link.symlink_to(real)
    files.write_whole(link, b"new")
    assert link.is_symlink() and real.read_bytes() == b"new"


def test_a_failing_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "parts.csv"
    target.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_what_is_no_file_is_written_to_as_it_is(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    files.write_whole(pipe, b"rows")
    assert os.read(reader, 10) == b"rows"
    os.close(reader)
    assert pipe.is_fifo()
