"""A copy of a ledger holds all of it; what is missing or damaged there is named, each in a line."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pytest

from shopbins.ledger import endmark, rescue, unfinished
from shopbins.ledger.events import Draft, Event
from shopbins.ledger.files import Files, read_plain
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.locking import KernelLock
from shopbins.ledger.photofile import FOLDER
from shopbins.ledger.problems import LedgerProblem
from shopbins.records import acts


def pictured(folder: Path, *pictures: bytes) -> list[Path]:
    """Fill a ledger with two parts and pictures; return the files of the pictures."""
    files = []
    with Ledger.open(folder, by="jan", prefix="RW") as ledger:
        for name in ("head", "tub"):
            ledger.transact(lambda s, name=name: acts.take(s, name))
        for n, data in enumerate(pictures):
            key = sha256(data).hexdigest()
            doc = {"name": f"side {n}", "file": f"{key[:2]}/{key}.jpg", "codes": []}
            ledger.transact(lambda _, key=key, doc=doc: Draft("add photos", {f"photo:{key}": doc}))
            files.append(folder / FOLDER / doc["file"])
            files[-1].parent.mkdir(parents=True, exist_ok=True)
            files[-1].write_bytes(data)
    return files


def test_a_copy_holds_every_record_every_picture_and_the_highest_number_given(tmp_path: Path) -> None:
    folder, target = tmp_path / "shop.ledger", tmp_path / "copy.ledger"
    pictures = pictured(folder, b"front", b"back")
    assert rescue.backup(str(folder), str(target), "RW") == rescue.Copied(4, ())
    assert rescue.verify(str(target), "RW") == []
    assert (target / "journal.log").read_bytes() == (folder / "journal.log").read_bytes()
    assert [(target / each.relative_to(folder)).read_bytes() for each in pictures] == [b"front", b"back"]
    marks = [endmark.read(str(each), Files()) for each in (folder, target)]
    assert marks[0] is not None and marks[0] == marks[1]
    with pytest.raises(LedgerProblem, match="is there already"):
        rescue.backup(str(folder), str(target), "RW")


def test_each_picture_that_is_missing_or_another_is_named_once_and_the_rest_is_copied(tmp_path: Path) -> None:
    folder, target = tmp_path / "shop.ledger", tmp_path / "copy.ledger"
    front, back, top = pictured(folder, b"front", b"back", b"top")
    front.unlink()
    back.write_bytes(b"something else")
    lost = rescue.losses(str(folder), "RW")
    assert lost == rescue.verify(str(folder), "RW")
    assert lost == [
        f"photograph 'side 0' is missing: {front}",
        f"photograph 'side 1' is damaged (not the bytes that were kept): {back}",
    ]
    assert rescue.backup(str(folder), str(target), "RW") == rescue.Copied(5, tuple(lost))
    assert (target / top.relative_to(folder)).read_bytes() == b"top"
    assert not (target / back.relative_to(folder)).exists()


def test_a_loss_on_record_is_no_longer_told_and_its_file_stays(tmp_path: Path) -> None:
    folder = tmp_path / "shop.ledger"
    front, back = pictured(folder, b"front", b"back")
    front.write_bytes(b"something else")
    lost = rescue.losses(str(folder), "RW")
    assert rescue.record_losses(str(folder), "mia", "RW") == lost
    assert rescue.verify(str(folder), "RW") == rescue.losses(str(folder), "RW") == []
    assert (front.read_bytes(), back.read_bytes()) == (b"something else", b"back")
    with Ledger.open(folder, prefix="RW", readonly=True) as ledger:
        seq = ledger.seq
        assert [doc["name"] for doc in ledger.state.docs("photo").values()] == ["side 1"]
        assert [doc["gone"] for doc in ledger.state.docs("rescue").values()] == [lost]
    assert rescue.record_losses(str(folder), "mia", "RW") == []
    with Ledger.open(folder, prefix="RW", readonly=True) as ledger:
        assert ledger.seq == seq, "nothing lost, nothing recorded"


def test_where_there_is_no_ledger_none_is_begun_by_looking_for_losses(tmp_path: Path) -> None:
    for asked in (rescue.losses, lambda folder, prefix: rescue.record_losses(folder, "mia", prefix)):
        with pytest.raises(LedgerProblem, match="there is no ledger"):
            asked(str(tmp_path / "none.ledger"), "RW")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(("before", "after", "said"), [
    ({"group:a": None}, {"group:a": {"name": "x"}}, "makes group:a, which is there"),
    ({"group:b": {"name": "x"}}, {"group:b": {"name": "y"}}, "changes group:b, which is not there"),
    ({"group:b": {"name": "x"}}, {"group:b": None}, "changes group:b, which is not there"),
    ({"group:a": {"name": "nut"}}, {"group:a": {"name": "y"}},
     "changes name of group:a from nut, which is bolt"),
    ({"group:a": {"name": "bolt", "note": None}}, {"group:a": {"name": "y", "note": "z"}}, ""),
    ({"group:b": None}, {"group:b": {"name": "y"}}, ""),
])  # fmt: skip
def test_a_record_that_changes_what_was_not_so_is_named_with_what_it_took_it_for(
    before: dict, after: dict, said: str
) -> None:
    event = Event(1, 7, "0" * 32, "2026-05-01T10:00:00.000Z", "jan", "change", tuple(after), before, after)
    found = rescue._unfitting({"group": {"a": {"name": "bolt"}}}, event)
    assert found == (said and f"record 7 is damaged or forged: it {said}")


def test_an_unfinished_record_is_said_by_what_can_be_read_of_it_else_by_its_length(tmp_path: Path) -> None:
    for name, data in (
        ("torn-1", b'0 {"v":1,"kind":"take","after":{"name":"studs"'),
        ("torn-2", b"\xff\xff\xff"),
        ("torn-unsaid-3", b"nobody was told"),
    ):
        (tmp_path / name).write_bytes(data)
    (tmp_path / "torn-4").mkdir()
    read, length, folder = unfinished.kept_in_doubt(str(tmp_path), Files())
    assert "torn-1: an unfinished record that may have been recorded: take 'studs' (" in read
    assert "torn-2: an unfinished record that may have been recorded: unreadable (3 bytes) (" in length
    assert folder.startswith(f"{tmp_path}/torn-4: cannot be read: ")


def test_what_cannot_be_saved_is_named_where_the_rest_is_shown(tmp_path: Path) -> None:
    folder = tmp_path / "shop.ledger"
    pictured(folder)
    journal = folder / "journal.log"
    whole = journal.read_bytes()
    for lost, kept in ((b"head", False), (whole.splitlines()[1][:32], True)):
        journal.write_bytes(whole.replace(lost, b"0" * len(lost), 1))
        with Ledger.open(folder, prefix="RW", readonly=True) as shown:
            assert ("head" in {each.name for each in shown.state.groups()}) is kept
            assert ("not to be saved: record 1: " in shown.damage[1]) is not kept


def test_a_lock_file_that_was_taken_away_is_not_what_is_held(tmp_path: Path) -> None:
    """Whoever comes next finds the file of that name, so that one must be held."""
    path = tmp_path / "lock"
    lock = KernelLock(str(path), "jan (process 1)", 5.0)
    with lock:
        pass
    path.unlink()
    with lock, pytest.raises(LedgerProblem, match=r"jan \(process 1\)"), KernelLock(str(path), "mia", 0.0):
        pass
    lock.close()


@pytest.mark.parametrize(("records", "asked"), [(1, 0), (8, 0), (9, 1)])
def test_a_program_that_made_no_room_ends_without_waiting_for_the_others(
    tmp_path: Path, records: int, asked: int
) -> None:
    class Counting(Files):
        held = 0

        def hold(self, handle: int, timeout_s: float) -> bool:
            self.held += 1
            return super().hold(handle, timeout_s)

    files = Counting()
    ledger = Ledger.open(tmp_path / "shop.ledger", by="jan", prefix="RW", files=files)
    for n in range(records):
        ledger.transact(lambda s, n=n: acts.take(s, f"part {n}"))
    before = files.held
    ledger.close()
    assert files.held - before == asked


def test_a_plain_file_is_read_up_to_its_limit_and_not_beyond(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"12345")
    assert read_plain(path, 5) == b"12345"
    with pytest.raises(OSError, match="larger than 4 bytes"):
        read_plain(path, 4)
