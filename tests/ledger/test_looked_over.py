"""A journal between two records: looked over in stretches, in place or not, written a bit at a time."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from shopbins.ledger import journal
from shopbins.ledger.files import Files
from shopbins.ledger.ledger import Ledger
from shopbins.records import acts


def filled(folder: Path, number: int, files: Files | None = None) -> None:
    with Ledger.open(folder, by="jan", prefix="RW", files=files or Files()) as ledger:
        for each in range(number):
            ledger.transact(lambda s, each=each: acts.take(s, f"part {each}"))


def names(folder: Path) -> list[str]:
    with Ledger.open(folder, prefix="RW", readonly=True) as ledger:
        assert not ledger.notes
        return sorted(group.name for group in ledger.state.groups())


def test_it_is_looked_over_in_stretches_to_its_end_and_no_farther(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(journal, "_STRETCH", 700)
    folder = tmp_path / "shop.ledger"
    filled(folder, 4)
    with Ledger.open(folder, by="jan", prefix="RW") as ledger:
        path = folder / "journal.log"
        size = path.stat().st_size
        with path.open("ab") as file:
            file.write(bytes(5000))  # room, as a terminal beside it leaves
        looked = ledger._storage.journal
        for _ in range(2 * (size // 700 + 1)):  # all of it, twice
            looked.look_over()
            assert looked._looked_over[0] < size
        with path.open("r+b") as file:
            file.seek(size - 200)
            file.write(b"?")
        with pytest.raises(journal.Moved):
            for _ in range(size // 700 + 1):
                looked.look_over()


def test_a_journal_exchanged_long_ago_is_out_of_place_whenever_it_is_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "shop.ledger"
    filled(folder, 2)
    with Ledger.open(folder, by="mia", prefix="RW") as ledger:
        held = ledger._storage.journal
        path = folder / "journal.log"
        (folder / "copy").write_bytes(path.read_bytes())
        (folder / "copy").replace(path)
        now = time.time_ns()
        monkeypatch.setattr(journal, "time_ns", lambda: now + 60_000_000_000)
        assert [held.in_place() for _ in range(3)] == [False] * 3


def test_a_change_of_this_moment_is_asked_about_again_and_an_older_one_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "shop.ledger"
    filled(folder, 1)
    with Ledger.open(folder, by="mia", prefix="RW") as ledger:
        held = ledger._storage.journal
        changed = folder.stat().st_ctime_ns
        asked = []
        for later_ns in (1_000, 2_000, 60_000_000_000, 60_000_000_000):
            monkeypatch.setattr(journal, "time_ns", lambda later=later_ns: changed + later)
            before = held.looks
            assert held.in_place()
            asked.append(held.looks - before)
        assert asked == [1, 1, 1, 0]


def test_a_disk_that_takes_a_few_bytes_at_a_time_loses_none(tmp_path: Path) -> None:
    class Slow(Files):
        def write(self, handle: int, data: bytes, start: int) -> int:
            return super().write(handle, data[:97], start)

    filled(tmp_path / "shop.ledger", 14, Slow())  # the later ones with room behind them
    assert names(tmp_path / "shop.ledger") == sorted(f"part {each}" for each in range(14))
