"""An output is written as a whole or not at all, and never over the shop file or into a ledger."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from shopbins import outputs
from shopbins.ledger.ledger import Ledger
from shopbins.outputs import keep_off, write_output
from shopbins.records import acts


def test_a_file_is_replaced_as_a_whole(tmp_path: Path) -> None:
    target = tmp_path / "parts.csv"
    target.write_bytes(b"old" * 1000)
    write_output(target, b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_is_replaced_not_followed(tmp_path: Path) -> None:
    real, link = tmp_path / "real.csv", tmp_path / "link.csv"
    real.write_bytes(b"old")
    link.symlink_to(real)
    write_output(link, b"new")
    assert (link.read_bytes(), real.read_bytes()) == (b"new", b"old")


def test_a_failing_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "parts.csv"
    target.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(outputs.os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_output(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_what_is_no_file_is_written_to_as_it_is(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    write_output(pipe, b"rows")
    assert os.read(reader, 10) == b"rows"
    os.close(reader)
    assert pipe.is_fifo()


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop file with its ledger, and a folder with other names for them."""
    file, folder = tmp_path / "shop.yaml", tmp_path / "shop.ledger"
    file.write_text("shop: Shed\n")
    with Ledger.open(folder) as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
    names = tmp_path / "names"
    names.mkdir()
    (names / "to-shop.pdf").symlink_to(file)
    (names / "to-journal.csv").symlink_to(folder / "journal.log")
    (names / "to-folder").symlink_to(folder)
    (names / "chain.csv").symlink_to(names / "to-journal.csv")
    (names / "dangling.csv").symlink_to(folder / "new.csv")
    os.link(file, names / "hard-shop.csv")
    os.link(folder / "journal.log", names / "hard-journal.csv")
    return tmp_path


OTHER_NAMES = [
    "shop.yaml",
    "names/../shop.yaml",
    "./shop.ledger/../shop.yaml",
    "shop.ledger/journal.log",
    "shop.ledger/new.csv",
    "shop.ledger/photos/../x.pdf",
    "names/../shop.ledger/journal.end",
    "names/to-shop.pdf",
    "names/to-journal.csv",
    "names/to-folder/out.csv",
    "names/chain.csv",
    "names/dangling.csv",
    "names/hard-shop.csv",
    "names/hard-journal.csv",
    "shop.ledger",
]


@pytest.mark.parametrize("name", ["half \ud800", "a\x00b"])
def test_a_name_no_file_can_have_keeps_nothing_from_being_written(tmp_path: Path, name: str) -> None:
    keep_off(tmp_path / name)
    write_output(tmp_path / "rows.csv", b"rows")
    assert (tmp_path / "rows.csv").read_bytes() == b"rows"


@pytest.mark.parametrize("name", OTHER_NAMES)
def test_an_output_never_lands_on_shop_or_ledger_by_whatever_name(
    shop: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (shop / "shop.ledger/photos").mkdir()
    keep_off(shop / "shop.yaml", shop / "shop.ledger")
    before = {each: each.read_bytes() for each in shop.rglob("*") if each.is_file()}
    monkeypatch.chdir(shop)
    for asked in (Path(name), shop / name):
        with pytest.raises(OSError, match=r"choose another|is a folder"):
            write_output(asked, b"rows")
    assert {each: each.read_bytes() for each in shop.rglob("*") if each.is_file()} == before


def test_a_ledger_this_program_never_opened_is_known_by_its_journal(shop: Path) -> None:
    other = shop / "other.ledger"
    Ledger.open(other).close()
    with pytest.raises(OSError, match="is in a ledger"):
        write_output(other / "parts.csv", b"rows")


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o444])
def test_permissions_stay_as_they_were_and_are_not_widened(tmp_path: Path, mode: int) -> None:
    target = tmp_path / "parts.csv"
    target.write_bytes(b"old")
    target.chmod(mode)
    write_output(target, b"new")
    assert stat.S_IMODE(target.stat().st_mode) == mode
    old = os.umask(0o077)
    try:
        write_output(tmp_path / "fresh.csv", b"new")
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "fresh.csv").stat().st_mode) == 0o600


def test_what_a_killed_program_left_is_cleared_and_what_one_is_writing_is_not(tmp_path: Path) -> None:
    import fcntl

    dead, alive = tmp_path / ".parts.csv.0123456789ab.part", tmp_path / ".parts.csv.ba9876543210.part"
    other = tmp_path / ".other.csv.0123456789ab.part"
    for each in (dead, alive, other):
        each.write_bytes(b"half")
    with alive.open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        write_output(tmp_path / "parts.csv", b"rows")
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted([alive.name, other.name, "parts.csv"])
