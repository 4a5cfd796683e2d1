"""What is said, and what may be done next, when the disk refuses a write, a flush, or a name."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from shopbins.ledger import files as disk_files
from shopbins.ledger.files import Files, write_all
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import LedgerProblem
from shopbins.records import acts

FOLDER = "/shop.ledger"


class Failing:
    """Makes one kind of call of a disk fail, once it is told to."""

    def __init__(self, disk: Any, call: str) -> None:
        self.code = 0
        real = getattr(disk, call)

        def failing(*given: Any, **more: Any) -> Any:
            if self.code:
                raise OSError(self.code, os.strerror(self.code))
            return real(*given, **more)

        setattr(disk, call, failing)


def names(disk: Any) -> list[str]:
    with Ledger.open(FOLDER, files=disk, readonly=True) as ledger:
        return sorted(group.name for group in ledger.state.groups())


@pytest.mark.parametrize(("code", "advice"), [
    (errno.ENOSPC, True), (errno.EDQUOT, True), (errno.EFBIG, True), (errno.EIO, False),
])  # fmt: skip
def test_after_a_write_that_was_refused_the_next_may_be_tried(
    memory_disk: Any, code: int, advice: bool
) -> None:
    """ENOSPC, EDQUOT and EFBIG are how write(2) says that there is no room (POSIX.1-2017, write)."""
    disk = memory_disk()
    failing = Failing(disk, "write")
    with Ledger.open(FOLDER, by="jan", files=disk) as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
        failing.code = code
        with pytest.raises(LedgerProblem, match="this change was not recorded") as caught:
            ledger.transact(lambda s: acts.take(s, "tub"))
        assert ("make room" in str(caught.value)) is advice
        assert not ledger.broken and ledger.seq == 1
        failing.code = 0
        ledger.transact(lambda s: acts.take(s, "box"))
    assert names(disk) == ["box", "head"]


def test_after_a_flush_that_failed_nothing_more_is_written(memory_disk: Any) -> None:
    """After fsync(2) failed nobody knows what the disk holds (Rebello et al., USENIX ATC 2020)."""
    disk = memory_disk()
    failing = Failing(disk, "sync")
    ledger = Ledger.open(FOLDER, by="jan", files=disk)
    for n in range(10):
        ledger.transact(lambda s, n=n: acts.take(s, f"part {n}"))
    failing.code = errno.EIO
    with pytest.raises(LedgerProblem, match="this change may be recorded: look first"):
        ledger.transact(lambda s: acts.take(s, "tub"))
    failing.code = 0
    assert "nothing more is written until the ledger is opened again" in ledger.broken
    journal = disk.get(f"{FOLDER}/journal.log")
    with pytest.raises(LedgerProblem, match="nothing more is written"):
        ledger.transact(lambda s: acts.take(s, "box"))
    ledger.close()
    assert disk.get(f"{FOLDER}/journal.log") == journal
    assert names(disk)[:10] == [f"part {n}" for n in range(10)]
    with Ledger.open(FOLDER, by="jan", files=disk) as again:
        again.transact(lambda s: acts.take(s, "box"))


def test_a_disk_that_takes_nothing_ends_in_a_refusal_not_in_a_circle() -> None:
    class Full(Files):
        def write(self, handle: int, data: bytes, start: int) -> int:
            return min(len(data), max(0, 3 - start))

    write_all(Full(), 0, b"abc")
    with pytest.raises(OSError, match="takes no more"):
        write_all(Full(), 0, b"abcd")


@pytest.mark.parametrize("code", sorted(disk_files.NO_HARD_LINKS))
def test_where_there_are_no_hard_links_a_new_file_still_never_takes_anothers_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    """link(2) on FAT and the like: EPERM, 'the filesystem does not support the creation of hard links'."""

    def link(source: str, target: str) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "link", link)
    new, other = tmp_path / "new", tmp_path / "journal.log"
    new.write_bytes(b"mine")
    Files().put_new(str(new), str(other))
    assert other.read_bytes() == b"mine" and not new.exists()
    new.write_bytes(b"later")
    with pytest.raises(FileExistsError):
        Files().put_new(str(new), str(other))
    assert other.read_bytes() == b"mine" and new.read_bytes() == b"later"


def test_another_refusal_of_a_name_is_passed_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def link(source: str, target: str) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "link", link)
    (tmp_path / "new").write_bytes(b"mine")
    with pytest.raises(OSError, match=os.strerror(errno.EIO)):
        Files().put_new(str(tmp_path / "new"), str(tmp_path / "journal.log"))
    assert [each.name for each in tmp_path.iterdir()] == ["new"]


def test_without_pread_and_pwrite_the_same_bytes_are_read_and_written(tmp_path: Path) -> None:
    handle = os.open(tmp_path / "a", os.O_RDWR | os.O_CREAT)
    try:
        assert disk_files._seek_and_write(handle, b"0123456789", 0) == 10
        assert disk_files._seek_and_write(handle, b"ab", 4) == 2
        assert disk_files._seek_and_read(handle, 4, 3) == os.pread(handle, 4, 3) == b"3ab6"
    finally:
        os.close(handle)
