"""What people do to a ledger's files while programs write there: nothing acknowledged is lost unsaid."""

from __future__ import annotations

import os
import shutil
import stat
import time
from pathlib import Path

import pytest
from ledger_trials import exchanging, killing, restoring

from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import Damaged, Exchanged, LedgerProblem
from shopbins.records import acts

pytestmark = pytest.mark.skipif(os.name == "nt", reason="files that are open cannot be exchanged there")


@pytest.mark.parametrize("writers", [1, 2, 8])
def test_lock_and_folder_exchanged_under_programs_that_write_and_are_killed(
    tmp_path: Path, writers: int
) -> None:
    found = exchanging(tmp_path, writers=writers, exchanges=16, seed=writers)
    assert sum(found.exchanges.values()) == 16
    assert found.acknowledged > 16
    assert (found.lost, found.unreadable, found.wrong_states, found.faults) == (0, 0, 0, [])


def test_an_older_copy_put_back_is_told_to_each_program_that_had_recorded_more(tmp_path: Path) -> None:
    found = restoring(tmp_path, writers=2, rounds=3, seed=5)
    assert found.told > 3
    assert (found.lost, found.unreadable, found.wrong_states, found.faults) == (0, 0, 0, [])


def test_eight_writers_killed_in_turn_lose_nothing(tmp_path: Path) -> None:
    found = killing(tmp_path, writers=8, changes=400, seed=3)
    assert found.acknowledged >= 400
    assert (found.lost, found.unreadable, found.wrong_states, found.faults) == (0, 0, 0, [])


def recorded(folder: Path, count: int = 6) -> list[bytes]:
    """Make a ledger of so many records, return its journal's lines."""
    with Ledger.open(folder, prefix="RW") as ledger:
        for number in range(count):
            ledger.transact(lambda s, n=number: acts.take(s, f"part {n}"))
    return (folder / "journal.log").read_bytes().splitlines(keepends=True)


@pytest.mark.parametrize("readonly", [False, True])
def test_an_end_that_was_cut_off_is_noticed_without_a_snapshot(tmp_path: Path, readonly: bool) -> None:
    folder = tmp_path / "shop.ledger"
    lines = recorded(folder)
    for keep in range(1, len(lines)):
        cut = b"".join(lines[:keep])
        for end in (b"", lines[keep][:40], bytes(len(b"".join(lines[keep:])))):
            (folder / "journal.log").write_bytes(cut + end)
            with pytest.raises(Damaged, match=f"{len(lines) - keep} records? lost at its end"):
                Ledger.open(folder, readonly=readonly, strict=True)
            assert (folder / "journal.log").read_bytes() == cut + end


def test_more_zeros_than_room_are_damage_even_without_an_end_mark(tmp_path: Path) -> None:
    folder = tmp_path / "shop.ledger"
    lines = recorded(folder)
    (folder / "journal.end").unlink()
    (folder / "journal.log").write_bytes(b"".join(lines) + bytes(200_000))
    with pytest.raises(Damaged, match="zeros"):
        Ledger.open(folder)


@pytest.mark.parametrize("left", ["snapshot.json", "journal.end", "torn-x", "photos", "shop-was-read"])
def test_a_missing_journal_is_no_new_ledger_where_the_folder_shows_traces(tmp_path: Path, left: str) -> None:
    folder = tmp_path / "shop.ledger"
    folder.mkdir()
    (folder / left).write_bytes(b"x")
    for readonly in (False, True):
        with pytest.raises(Damaged, match=r"journal\.log: is missing"):
            Ledger.open(folder, readonly=readonly)
    (folder / left).unlink()
    with Ledger.open(folder) as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
        assert "a new ledger was begun" in ledger.notes[0]


def test_links_and_pipes_in_the_folder_of_somebody_else_are_not_followed(tmp_path: Path) -> None:
    target = tmp_path / "mine.txt"
    target.write_bytes(b"mine")
    for name in ("lock", "journal.log", "journal.end", "snapshot.json.new"):
        folder = tmp_path / f"{name}.ledger"
        folder.mkdir()
        (folder / name).symlink_to(target)
        try:
            with Ledger.open(folder) as ledger:
                ledger.transact(lambda s: acts.take(s, "head"))
                ledger.snapshot()
        except LedgerProblem as problem:
            assert "\n" not in str(problem)
        assert target.read_bytes() == b"mine"
    for name in ("lock", "journal.log"):
        folder = tmp_path / f"pipe-{name}.ledger"
        folder.mkdir()
        os.mkfifo(folder / name)
        with pytest.raises(LedgerProblem, match="no ordinary file"):
            Ledger.open(folder)


@pytest.mark.parametrize(("umask", "folder_mode"), [(0, 0o770), (0o022, 0o750), (0o077, 0o700)])
def test_a_ledger_is_readable_by_the_group_as_its_folder_is_and_by_nobody_else(
    tmp_path: Path, umask: int, folder_mode: int
) -> None:
    old = os.umask(umask)
    try:
        folder = tmp_path / "shop.ledger"
        recorded(folder)
        with Ledger.open(folder) as ledger:
            ledger.snapshot()
    finally:
        os.umask(old)
    assert stat.S_IMODE(folder.stat().st_mode) == folder_mode
    for each in folder.iterdir():
        assert stat.S_IMODE(each.stat().st_mode) == folder_mode & 0o660 | 0o600, each.name


@pytest.mark.parametrize("how", ["another journal", "another folder", "another shop's"])
def test_nothing_is_acknowledged_however_often_one_tries_until_the_journal_is_back(
    tmp_path: Path, how: str
) -> None:
    folder, earlier = tmp_path / "shop.ledger", tmp_path / "earlier"
    recorded(folder, 3)
    shutil.copytree(folder, earlier)
    if how == "another shop's":
        shutil.rmtree(earlier)
        recorded(earlier, 9)
    ledger = Ledger.open(folder, prefix="RW")
    ledger.transact(lambda s: acts.take(s, "one more"))
    aside = tmp_path / "aside"
    if how == "another journal":
        shutil.copy(earlier / "journal.log", tmp_path / "j")
        shutil.copytree(folder, aside, copy_function=os.link)
        (tmp_path / "j").rename(folder / "journal.log")
    else:
        folder.rename(aside)
        shutil.copytree(earlier, folder)
    time.sleep(0.15)  # by then the folder's time is trusted
    before = {each: each.read_bytes() for each in folder.iterdir() if each.name != "lock"}
    for _ in range(3):
        with pytest.raises(Exchanged):
            ledger.poll()
        with pytest.raises(Exchanged):
            ledger.transact(lambda s: acts.take(s, "lost"))
        with pytest.raises(Exchanged):
            ledger.undo()
    assert ledger.exchanged
    assert not ledger.snapshot()
    assert {each: each.read_bytes() for each in folder.iterdir() if each.name != "lock"} == before
    if how == "another journal":
        (aside / "journal.log").rename(folder / "journal.log")
    else:
        folder.rename(tmp_path / "wrong")
        aside.rename(folder)
    time.sleep(0.15)
    ledger.poll()
    assert not ledger.exchanged
    ledger.transact(lambda s: acts.take(s, "goes on"))
    ledger.close()
    with Ledger.open(folder, readonly=True, strict=True) as again:
        assert {group.name for group in again.state.groups()} >= {"one more", "goes on"}
        assert "lost" not in {group.name for group in again.state.groups()}


def test_a_folder_that_is_gone_is_said_to_be_gone_and_recording_goes_on_when_it_is_back(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "shop.ledger"
    recorded(folder, 3)
    with Ledger.open(folder, prefix="RW") as ledger:
        folder.rename(tmp_path / "away")
        with pytest.raises(Exchanged, match="gone from its place"):
            ledger.transact(lambda s: acts.take(s, "lost"))
        with pytest.raises(Exchanged, match="gone from its place"):
            ledger.poll()
        assert ledger.gone
        assert not folder.exists()
        (tmp_path / "away").rename(folder)
        ledger.transact(lambda s: acts.take(s, "goes on"))
        assert not ledger.exchanged
