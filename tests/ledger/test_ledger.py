"""One ledger, several terminals: judging under the lock, following, taking back, TinyDB's own calls."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tinydb import where

from shopbins.ledger.events import Draft
from shopbins.ledger.files import Files, network_kind_in
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.locking import KernelLock
from shopbins.ledger.model import InZone, Mass
from shopbins.ledger.problems import (
    BadValue,
    Conflict,
    Damaged,
    Exchanged,
    LedgerBusy,
    LedgerProblem,
    Refused,
)
from shopbins.records import acts
from shopbins.records.accepted import Acceptable, accept


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "deep" / "shop.ledger"


def take(ledger: Ledger, name: str, **fields) -> str:
    """Take a group off, return its id."""
    return ledger.transact(lambda s: acts.take(s, name, **fields)).subjects[0].removeprefix("group:")


def test_what_was_recorded_is_there_after_reopening(folder: Path) -> None:
    with Ledger.open(folder, by="jan", prefix="RW") as ledger:
        head = take(ledger, "head", mass=Mass(41))
        uuid, seq = ledger.uuid, ledger.seq
    for readonly in (False, True):
        with Ledger.open(folder, by="jan", prefix="RW", readonly=readonly) as again:
            assert (again.uuid, again.seq, again.state.group(head).mass) == (uuid, seq, Mass(41))
            assert again.notes == []


def test_a_refusal_writes_nothing(folder: Path) -> None:
    with Ledger.open(folder) as ledger:
        take(ledger, "head")
        size = (folder / "journal.log").stat().st_size

        def work(state):
            raise Refused("too heavy")

        with pytest.raises(Refused, match="too heavy"):
            ledger.transact(work)
        with pytest.raises(BadValue, match="cannot be recorded"):
            ledger.transact(lambda s: Draft("x", {"group:a": {"mass": [float("nan")]}}))
        with pytest.raises(BadValue, match="cannot be recorded"):
            ledger.transact(lambda s: Draft("x", {"group:a": {"name": "\ud800"}}))
        assert (folder / "journal.log").stat().st_size == size
        assert ledger.seq == 1
        take(ledger, "goes on")


def test_terminals_follow_each_other(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as one, Ledger.open(folder, by="mia") as two:
        head = take(one, "head")
        assert [event.by for event in two.poll()] == ["jan"]
        assert two.poll() == []
        two.transact(lambda s: acts.lay(s, head, InZone("bench 2")))
        assert [event.kind for event in one.poll()] == ["lay"]
        take(one, "bag")
        take(two, "tub")
        assert [event.seq for event in one.poll()] == [4]


def test_a_change_is_judged_on_what_is_there_by_then(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as one, Ledger.open(folder, by="mia") as two:
        ids = [take(one, "head"), take(one, "block")]

        def only_one(state, group_id):
            if state.in_zone("bench 2"):
                raise Refused("bench 2 is full")
            return acts.lay(state, group_id, InZone("bench 2"))

        one.transact(lambda s: only_one(s, ids[0]))
        with pytest.raises(Refused, match="full"):
            two.transact(lambda s: only_one(s, ids[1]))
        two.poll()
        assert two.state.group(ids[1]).where is None


def test_undo_goes_back_step_by_step_and_across_openings(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as ledger:
        head = take(ledger, "head")
        for zone in ("bench 1", "bench 2"):
            ledger.transact(lambda s, z=zone: acts.lay(s, head, InZone(z)))
    with Ledger.open(folder, by="jan") as ledger:
        event, undone = ledger.undo()
        assert (event.kind, event.undoes, undone.seq) == ("undo", undone.id, 3)
    with Ledger.open(folder, by="jan") as ledger:
        assert ledger.undo()[1].seq == 2
        assert ledger.redo()[1].kind == "undo"
        assert ledger.state.group(head).where == InZone("bench 1")
        ledger.redo()
        assert ledger.state.group(head).where == InZone("bench 2")
        with pytest.raises(Refused, match="no undo"):
            ledger.redo()
        for _ in range(3):
            ledger.undo()
        with pytest.raises(Refused, match="nothing of jan's"):
            ledger.undo()
        take(ledger, "new work")
        with pytest.raises(Refused, match="no undo"):
            ledger.redo()


def test_undo_is_refused_where_somebody_else_went_on(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as one, Ledger.open(folder, by="mia") as two:
        tub, head = take(one, "tub"), take(one, "head")
        two.transact(lambda s: acts.change(s, head, note="cracked"))
        with pytest.raises(Conflict, match="mia recorded 'change'") as conflict:
            one.undo()
        assert conflict.value.event.seq == 3
        two.undo()
        assert one.undo()[1].seq == 2
        bag = take(two, "bag")
        two.transact(lambda s: acts.put_into(s, bag, tub))
        with pytest.raises(Conflict, match="mia recorded 'put in'"):
            one.undo()
        assert two.undo()[1].kind == "put in"
        assert one.undo()[1].seq == 1


def test_undo_leaves_nothing_hanging(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as one, Ledger.open(folder, by="mia") as two:
        tub, bag = take(one, "tub"), take(two, "bag")
        one.transact(lambda s: acts.put_into(s, bag, tub))
        two.transact(lambda s: acts.lift_off(s, bag))
        two.transact(lambda s: acts.put_into(s, tub, bag))
        with pytest.raises(Refused):
            one.undo()
        assert not one.state.circles()


def test_undo_is_judged(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as ledger:
        take(ledger, "head")

        def check(state, draft):
            raise Refused("bench 2 would be overloaded")

        with pytest.raises(Refused, match="overloaded"):
            ledger.undo(check)
        assert ledger.seq == 1


def test_history_of_one_group(folder: Path) -> None:
    with Ledger.open(folder, by="Jörg") as ledger:
        tub, bag = take(ledger, "tub"), take(ledger, "bag")
        ledger.transact(lambda s: acts.put_into(s, bag, tub))
        assert [event.kind for event in ledger.history(f"group:{tub}")] == ["take", "put in"]
        what = Acceptable('load/zone:"rack ä"', "stop")
        ledger.transact(lambda s: accept(s, what, "for now", by="Jörg", day=date(2026, 3, 1)))
        assert [e.kind for e in ledger.history('accepted:load/zone:"rack ä"')] == ["accept"]
        assert [event.seq for event in ledger.recent(2)] == [3, 4]
        assert [event.seq for event in ledger.events(3)] == [4]
        assert ledger.history("group:none") == []
        assert ledger.undo()[1].seq == 4


def test_tinydb_reads_and_gives_copies(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as ledger:
        ids = [take(ledger, name, container="bag", origin=("engine",)) for name in ("studs", "shims")]
        table = ledger.table("group")
        found = table.search(where("container") == "bag")
        assert [doc["name"] for doc in found] == ["studs", "shims"]
        assert [doc.doc_id for doc in found] == ids
        assert table.get(doc_id=ids[0])["name"] == "studs"
        found[0]["origin"].append("by hand")
        next(iter(table))["name"] = "by hand"
        assert ledger.state.group(ids[0]).origin == ("engine",) and ledger.state.group(ids[0]).name == "studs"
        take(ledger, "nuts", container="bag")
        assert len(table.search(where("container") == "bag")) == 3, "nothing is answered from a cache"


@pytest.mark.parametrize(
    "write",
    [
        lambda table: table.insert({"name": "by hand"}),
        lambda table: table.update({"note": "oily"}),
        lambda table: table.update(lambda doc: doc.pop("name")),
        lambda table: table.upsert({"name": "by hand"}, where("name") == "studs"),
        lambda table: table.remove(where("name") == "studs"),
        lambda table: table.truncate(),
        lambda table: table.storage.write({}),
    ],
)
def test_nothing_is_written_through_tinydb(folder: Path, write: Callable[[Any], object]) -> None:
    with Ledger.open(folder, by="jan") as ledger:
        take(ledger, "studs")
        before = {name: dict(docs) for name, docs in ledger.state.tables.items()}
        with pytest.raises(LedgerProblem):
            write(ledger.table("group"))
        assert (ledger.seq, ledger.state.tables) == (1, before)


def test_reading_only(folder: Path) -> None:
    reader = Ledger.open(folder, readonly=True)
    assert (reader.seq, reader.uuid, reader.poll(), reader.events()) == (0, "", [], [])
    assert reader.history("group:x") == []
    assert not folder.exists()
    with Ledger.open(folder) as writer:
        head = take(writer, "head")
        assert [event.seq for event in reader.poll()] == [1]
        assert reader.state.group(head).name == "head"
        with pytest.raises(LedgerProblem, match="reading only"):
            take(reader, "no")
        with pytest.raises(LedgerProblem, match="reading only"):
            reader.undo()
    with pytest.raises(LedgerProblem, match="no ledger"):
        Ledger.open(folder.with_name("none"), create=False)
    with pytest.raises(LedgerProblem, match="no ledger"):
        Ledger.open(folder.with_name("none"), create=False, readonly=True)


def test_a_closed_ledger_writes_nothing(folder: Path) -> None:
    ledger = Ledger.open(folder)
    ledger.close()
    ledger.close()
    with pytest.raises(LedgerProblem):
        take(ledger, "no")


def test_snapshot_is_used_and_may_be_thrown_away(folder: Path) -> None:
    with Ledger.open(folder, prefix="RW") as ledger:
        ids = [take(ledger, f"part {n}") for n in range(5)]
        ledger.undo()
        assert ledger.snapshot()
        take(ledger, "later")
        last = ledger.state.last_serial
    for _ in range(2):
        with Ledger.open(folder, prefix="RW", readonly=True) as again:
            assert again.seq == 7
            assert again.state.last_serial == last
            assert not again.state.has_group(ids[4])
        (folder / "snapshot.json").unlink(missing_ok=True)


def test_closing_writes_a_snapshot_only_after_much_work(folder: Path) -> None:
    with Ledger.open(folder) as ledger:
        take(ledger, "little")
    assert not (folder / "snapshot.json").exists()
    with Ledger.open(folder) as ledger:
        ledger.transact(lambda s: acts.issue_blanks(s, 8000))
    assert (folder / "snapshot.json").exists()


def test_opening_after_a_long_replay_writes_the_snapshot_a_killed_program_did_not(folder: Path) -> None:
    with Ledger.open(folder) as ledger:
        for _ in range(8):
            ledger.transact(lambda s: acts.issue_blanks(s, 10_000))
        assert ledger.snapshot()
    (folder / "snapshot.json").unlink()
    Ledger.open(folder, readonly=True).close()
    assert not (folder / "snapshot.json").exists()
    with Ledger.open(folder) as ledger:
        assert (folder / "snapshot.json").exists()
        assert ledger.seq == 8


def test_a_journal_that_took_another_place_is_read_anew(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as one, Ledger.open(folder, by="mia") as two:
        first, copy = take(one, "head"), folder.parent / "copy.log"
        two.poll()
        copy.write_bytes((folder / "journal.log").read_bytes())
        copy.replace(folder / "journal.log")
        assert two.poll() == []
        assert two.generation == 1
        second = take(one, "bag")
        assert [event.seq for event in two.poll()] == [2]
        assert set(two.state.group_ids()) == {first, second}


def test_a_journal_put_back_from_an_older_copy_stops_the_recording(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as one, Ledger.open(folder, by="mia") as two:
        take(one, "head")
        copy = {each: each.read_bytes() for each in folder.iterdir()}
        for name in ("bag", "tub"):
            take(one, name)
        two.poll()
        whole = {each: each.read_bytes() for each in folder.iterdir()}
        for each, data in copy.items():
            each.write_bytes(data)
        for ledger in (one, two):
            with pytest.raises(Exchanged, match="2 records shorter"):
                ledger.poll()
            with pytest.raises(Exchanged, match="2 records shorter"):
                take(ledger, "nothing")
            assert len(ledger.state.group_ids()) == 3, "what was known is still shown"
        assert (folder / "journal.log").read_bytes() == copy[folder / "journal.log"]
        for each, data in whole.items():
            each.write_bytes(data)
        assert [one.poll(), two.poll()] == [[], []]
        take(one, "goes on")


def test_another_shops_journal_is_not_written_to(folder: Path, tmp_path: Path) -> None:
    with Ledger.open(tmp_path / "other.ledger") as other, Ledger.open(folder) as ledger:
        take(other, "not ours")
        take(ledger, "ours")
        theirs = (tmp_path / "other.ledger/journal.log").read_bytes()
        (folder / "journal.log").write_bytes(theirs)
        with pytest.raises(Exchanged, match="another shop's"):
            take(ledger, "more")
        assert (folder / "journal.log").read_bytes() == theirs
    with pytest.raises(Damaged, match="another shop's"):
        Ledger.open(folder)


def test_an_unfinished_line_of_a_terminal_that_died_is_set_aside_by_the_next_to_write(folder: Path) -> None:
    with Ledger.open(folder, by="jan") as ledger:
        take(ledger, "head")
        with (folder / "journal.log").open("ab") as journal:
            journal.write(b"0123 torn")
        assert ledger.poll() == []
        take(ledger, "bag")
        assert "set aside" in ledger.notes[-1]  # and not in doubt: nobody was told it is recorded
        assert [path.read_bytes() for path in folder.glob("torn-*")] == [b"0123 torn"]
    with Ledger.open(folder, readonly=True) as again:
        assert again.seq == 2


def test_a_held_lock_says_who_holds_it(folder: Path) -> None:
    with Ledger.open(folder, by="jan", timeout_s=0.05) as ledger:
        with KernelLock(str(folder / "lock"), "mia (process 7)", 1.0):
            with pytest.raises(LedgerBusy, match=r"mia \(process 7\)"):
                take(ledger, "head")
            with pytest.raises(LedgerBusy, match="mia"):
                Ledger.open(folder, by="jan", timeout_s=0.05)
        take(ledger, "head")


def test_threads_of_one_program_take_turns(folder: Path) -> None:
    with Ledger.open(folder) as ledger:
        threads = [
            threading.Thread(target=lambda n=n: [take(ledger, f"{n} {i}") for i in range(25)])
            for n in range(4)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert ledger.seq == 100
        assert len({group.code for group in ledger.state.groups()}) == 100
        assert [event.seq for event in ledger.events()] == list(range(1, 101))


def test_times_are_utc_and_order_is_the_number_not_the_clock(folder: Path) -> None:
    ticks = iter([2_000_000_000.25, 1_000_000_000.0])
    with Ledger.open(folder, clock=lambda: next(ticks)) as ledger:
        take(ledger, "a")
        take(ledger, "b")
        # 2033-05-18T03:33:20Z is 2,000,000,000 s after the epoch; 2001-09-09T01:46:40Z is 1,000,000,000 s.
        assert [event.at for event in ledger.events()] == [
            "2033-05-18T03:33:20.250Z",
            "2001-09-09T01:46:40.000Z",
        ]


@pytest.mark.parametrize("by", ["\x1b[2J", "x" * 81, "a\u202eb"])
def test_a_name_of_who_works_that_cannot_be_shown_is_refused(folder: Path, by: str) -> None:
    with pytest.raises(BadValue):
        Ledger.open(folder, by=by)
    with pytest.raises(BadValue, match="prefix"):
        Ledger.open(folder, prefix="R2")


def test_a_folder_that_cannot_be_a_ledger(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "odd" / "journal.log").mkdir(parents=True)
    (tmp_path / "lost").mkdir()
    (tmp_path / "lost" / "snapshot.json").write_text("{}")
    for name in ("file", "file/below", "odd", "lost"):
        for readonly in (False, True):
            if name.startswith("file") and readonly:
                continue
            with pytest.raises(LedgerProblem) as problem:
                Ledger.open(tmp_path / name, readonly=readonly)
            assert problem.value.exit == 74
            assert "\n" not in str(problem.value)


@pytest.mark.skipif(os.name == "nt", reason="folders have no such permission there")
def test_a_read_only_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "shop.ledger"
    with Ledger.open(folder) as ledger:
        take(ledger, "head")
    if os.geteuid() == 0:  # root may write anywhere: let the system call say what it would say to others

        def refuse(self, path, *, write):
            if write:
                raise PermissionError(13, "Permission denied")
            return os.open(path, os.O_RDONLY)

        monkeypatch.setattr(Files, "open", refuse)
    else:
        (folder / "journal.log").chmod(0o444)
    with pytest.raises(LedgerProblem, match=r"journal\.log: Permission denied"):
        Ledger.open(folder)
    with Ledger.open(folder, readonly=True) as reader:
        assert reader.seq == 1


def test_network_folders_are_refused_for_writing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Files, "network_kind", lambda self, path: "nfs4")
    with pytest.raises(LedgerProblem, match=r"network folder \(nfs4\)"):
        Ledger.open(folder)
    Ledger.open(folder, allow_network=True).close()
    Ledger.open(folder, readonly=True).close()


def test_which_folders_are_on_a_network() -> None:
    mounts = """/dev/vda / ext4 rw 0 0
server:/home /home nfs4 rw 0 0
/dev/vdb /home/jan ext4 rw 0 0
//nas/shop /mnt/our\\040shop cifs rw 0 0
odd
"""
    assert network_kind_in(mounts, "/home/mia/shop.ledger") == "nfs4"
    assert network_kind_in(mounts, "/home/jan/shop.ledger") is None
    assert network_kind_in(mounts, "/homestead") is None
    assert network_kind_in(mounts, "/mnt/our shop/shop.ledger") == "cifs"
    assert network_kind_in("", "/x") is None


def test_importing_the_ledger_is_light() -> None:
    heavy = ["hashlib", "uuid", "datetime", "filelock", "numpy", "shapely", "yaml", "textual", "rapidfuzz"]
    code = "import sys, shopbins.ledger.ledger, shopbins.records.acts; "
    code += f"print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_polling_reads_next_to_nothing_when_nothing_happened(folder: Path) -> None:
    class Counting(Files):
        bytes_read = 0

        def read(self, handle: int, start: int, length: int) -> bytes:
            found = super().read(handle, start, length)
            self.bytes_read += len(found)
            return found

    files = Counting()
    with Ledger.open(folder, files=files) as ledger:
        for act in (lambda s: acts.issue_blanks(s, 5000), lambda s: acts.take(s, "head")):
            ledger.transact(act)
            files.bytes_read = 0
            for _ in range(10):
                assert ledger.poll() == []
            assert files.bytes_read < 10 * 1000


def test_room_made_ahead_is_cut_off_when_the_program_ends(folder: Path) -> None:
    journal = folder / "journal.log"
    with Ledger.open(folder, by="jan") as ledger, Ledger.open(folder, by="mia") as other:
        for number in range(12):
            take(ledger, f"part {number}")
            assert len(other.poll()) == 1
        assert journal.read_bytes().endswith(b"\0" * 1000)
        for number in range(12):
            take(other, f"bag {number}")
            assert len(ledger.poll()) == 1
        with Ledger.open(folder, readonly=True) as reader:
            assert reader.seq == 24
            take(ledger, "tub")
            assert len(reader.poll()) == 1
            assert reader.poll() == []
        other.close()
        assert take(ledger, "box") in ledger.state.docs("group")
        assert len(Ledger.open(folder, readonly=True).events()) == 26
    assert journal.read_bytes().endswith(b"}\n")
    assert not list(folder.glob("torn-*"))
