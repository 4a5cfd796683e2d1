"""Bytes changed under an open program, unfinished records, damage met while open: said, not gone on from."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from shopbins.cli import main
from shopbins.ledger import rescue, unfinished
from shopbins.ledger.files import Files
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import Damaged, Exchanged, LedgerBusy, LedgerProblem
from shopbins.records import acts
from tests.ledger.test_faults import SHOP
from tests.ledger.test_forged import forged


def took(ledger: Ledger, name: str) -> None:
    ledger.transact(lambda s: acts.take(s, name))


def names(ledger: Ledger) -> set[str]:
    return {group.name for group in ledger.state.groups()}


def begun(folder: Path, *parts: str) -> Path:
    with Ledger.open(folder, by="jan", prefix="RW") as ledger:
        for name in parts or ("head", "valves", "studs"):
            took(ledger, name)
    return folder


def rewritten(folder: Path, old: bytes, new: bytes) -> None:
    """Put other bytes in place: the file, its length and its folder stay as they are."""
    assert len(old) == len(new)
    with (folder / "journal.log").open("r+b") as file:
        data = file.read()
        assert data.count(old) == 1
        file.seek(data.index(old))
        file.write(new)


def test_bytes_exchanged_in_the_last_record_are_noticed_before_the_next_is_written(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "flywheel")
        time.sleep(0.15)  # by then the folder's time is trusted
        ledger.poll()
        rewritten(folder, b'"name":"flywheel"', b'"name":"flywhale"')
        before = (folder / "journal.log").read_bytes()
        for _ in range(2):
            with pytest.raises(Exchanged):
                took(ledger, "lost")
            with pytest.raises(Exchanged):
                ledger.poll()
        assert ledger.exchanged
        assert (folder / "journal.log").read_bytes() == before
        rewritten(folder, b'"name":"flywhale"', b'"name":"flywheel"')
        took(ledger, "goes on")
        assert not ledger.exchanged
    assert rescue.verify(str(folder), "RW") == []


def test_bytes_exchanged_earlier_are_noticed_by_looking_over_what_was_read(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "flywheel")
        for _ in range(3):
            ledger.look_over()
        rewritten(folder, b'"name":"valves"', b'"name":"valvas"')
        with pytest.raises(Exchanged, match=r"journal\.log:3"):
            ledger.look_over()
        for _ in range(2):
            with pytest.raises(Exchanged):
                took(ledger, "lost")
            with pytest.raises(Exchanged):
                ledger.poll()
        rewritten(folder, b'"name":"valvas"', b'"name":"valves"')
        took(ledger, "goes on")
    assert rescue.verify(str(folder), "RW") == []


def test_looking_over_goes_through_a_journal_of_many_stretches_while_it_grows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shopbins.ledger.journal._STRETCH", 100)
    folder = begun(tmp_path / "shop.ledger")
    with Ledger.open(folder, prefix="RW") as ledger:
        for number in range(30):
            took(ledger, f"part {number}")
            for _ in range(number):
                assert ledger.look_over() == []
        rewritten(folder, b'"name":"head"', b'"name":"haed"')
        with pytest.raises(Exchanged):
            for _ in range(1000):
                ledger.look_over()


def torn(folder: Path) -> bytes:
    """Leave the last record half written, as a crash does; returns the half."""
    data = (folder / "journal.log").read_bytes()
    start = data.rfind(b"\n", 0, -1) + 1
    half = data[start:-8]
    (folder / "journal.log").write_bytes(data[:start] + half)
    return half


def test_a_torn_record_nobody_can_tell_about_is_said_until_it_was_dealt_with(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    half = torn(folder)
    (folder / "journal.end").unlink()
    with Ledger.open(folder, prefix="RW", readonly=True) as looking:
        assert looking.incomplete
        assert "'studs'" in looking.notes[-1] and "may have been recorded" in looking.notes[-1]
    assert rescue.verify(str(folder), "RW")
    for number in range(3):  # one more act, and another: it is said all the same
        with Ledger.open(folder, by="mia", prefix="RW") as ledger:
            assert any("'studs'" in line for line in ledger.notes)
            took(ledger, f"more {number}")
        (told,) = rescue.verify(str(folder), "RW")
        assert "'studs'" in told
        with Ledger.open(folder, prefix="RW", readonly=True) as looking:
            assert looking.incomplete and len(looking.doubts) == 1
    assert rescue.losses(str(folder), "RW") == [told]
    assert rescue.record_losses(str(folder), "mia", "RW") == [told]
    assert rescue.verify(str(folder), "RW") == []
    with Ledger.open(folder, prefix="RW", readonly=True) as looking:
        assert not looking.incomplete and looking.notes == []
        (gone,) = (line for doc in looking.state.docs("rescue").values() for line in doc["gone"])
        assert "'studs'" in gone
    assert [each.read_bytes() for each in folder.glob("damaged-torn-*")] == [half]


@pytest.mark.parametrize("how", ["goes on", "stops"])
def test_a_record_somebody_is_writing_just_now_is_waited_for_a_moment(tmp_path: Path, how: str) -> None:
    folder = begun(tmp_path / "shop.ledger")
    whole = (folder / "journal.log").read_bytes()
    half = torn(folder)
    (folder / "journal.end").unlink()

    class WhileOthersGoOn(Files):
        def wait(self, seconds: float) -> None:
            if how == "goes on":
                (folder / "journal.log").write_bytes(whole)

    with Ledger.open(folder, prefix="RW", readonly=True, files=WhileOthersGoOn()) as looking:
        assert ("studs" in names(looking)) is (not looking.unfinished) is (how == "goes on")
        assert any("'studs'" in note for note in looking.notes) is (how == "stops") and half in whole


def test_a_torn_record_that_was_never_acknowledged_is_kept_and_is_no_damage(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    with (folder / "journal.log").open("ab") as file:
        file.write(b"0123 torn")
    for readonly in (True, False):
        with Ledger.open(folder, prefix="RW", readonly=readonly) as ledger:
            assert not ledger.doubts and not ledger.unfinished
    assert rescue.verify(str(folder), "RW") == []
    (name,) = unfinished.set_aside(str(folder), Files(), unsaid=True)
    assert (folder / name).read_bytes() == b"0123 torn"


def test_a_ledger_that_was_just_begun_knows_that_nothing_was_acknowledged(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger", "head")
    lines = (folder / "journal.log").read_bytes().splitlines(keepends=True)
    shutil.rmtree(folder)
    (tmp_path / "shop.ledger.labels").unlink()
    with Ledger.open(folder, prefix="RW"):
        pass
    with (folder / "journal.log").open("ab") as file:
        file.write(lines[1][:50])
    with Ledger.open(folder, prefix="RW") as ledger:
        assert not ledger.doubts
    assert rescue.verify(str(folder), "RW") == []


def test_damage_met_while_open_leaves_what_was_read_to_look_at_until_it_is_mended(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    good = (folder / "journal.log").read_bytes()
    with Ledger.open(folder, prefix="RW") as ledger:
        forged(folder, {"group:x": {"name": "forged", "qty": -5}})
        before = (folder / "journal.log").read_bytes()
        for _ in range(3):
            with pytest.raises(Damaged, match="record 4"):
                took(ledger, "lost")
            with pytest.raises(Damaged, match="record 4"):
                ledger.poll()
        assert "journal.log:5" in ledger.damage[0]
        assert names(ledger) == {"head", "valves", "studs"}
        assert (folder / "journal.log").read_bytes() == before
        (folder / "journal.log").write_bytes(good)
        ledger.poll()
        assert ledger.damage == ()
        took(ledger, "goes on")
    assert rescue.verify(str(folder), "RW") == []


HOLDER = """
import sys, time
from shopbins.ledger.ledger import Ledger
with Ledger.open(sys.argv[1], by="jan", prefix="RW") as ledger:
    print("open", flush=True)
    if sys.argv[2] == "writing":
        with ledger._alone():
            print("writing", flush=True)
            time.sleep(60)
    time.sleep(60)
"""


@pytest.mark.skipif(os.name == "nt", reason="there the locks are others")
@pytest.mark.parametrize("what", ["open", "writing"])
def test_a_rescue_beside_another_program_waits_for_a_writer_and_says_that_one_is_open(
    tmp_path: Path, what: str
) -> None:
    folder = begun(tmp_path / "shop.ledger")
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, folder, what], stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout is not None
        try:
            while other.stdout.readline().strip() != what:
                pass
            rewritten(folder, b'"name":"valves"', b'"name":"valvas"')
            if what == "writing":
                (folder / "lock").unlink()  # as somebody does who finds a program 'locked'
                with pytest.raises(LedgerBusy):
                    rescue.rescue(str(folder), "mia", "RW", timeout_s=0.1)
            else:
                assert rescue.rescue(str(folder), "mia", "RW").open_elsewhere
        finally:
            other.kill()
    if what == "open":
        rewritten(folder, b'"name":"studs"', b'"name":"stads"')
        assert not rescue.rescue(str(folder), "mia", "RW").open_elsewhere


@pytest.mark.parametrize("readonly", [False, True])
def test_an_open_program_notices_a_rescue_and_says_what_is_gone(tmp_path: Path, readonly: bool) -> None:
    folder = begun(tmp_path / "shop.ledger")
    with Ledger.open(folder, prefix="RW", readonly=readonly) as ledger:
        rewritten(folder, b'"name":"valves"', b'"name":"valvas"')
        rescue.rescue(str(folder), "mia", "RW")
        ledger.poll()
        (told,) = ledger.notes
        assert "rescued by mia" in told and "valvas" in told
        assert names(ledger) == {"head", "studs"}
        if not readonly:
            took(ledger, "goes on")


def test_who_looks_at_a_damaged_ledger_records_again_once_it_was_rescued(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    rewritten(folder, b'"name":"valves"', b'"name":"valvas"')
    looking = Ledger.open(folder, prefix="RW", readonly=True)
    writing = Ledger.open(folder, prefix="RW", readonly=True)
    writing.why_readonly = "it is damaged"  # so the desk marks one that was to be written to
    with looking, writing:
        assert looking.poll() == writing.poll() == []
        rescue.rescue(str(folder), "mia", "RW")
        looking.poll()
        writing.poll()
        assert looking.damage == writing.damage == ()
        took(writing, "goes on")
        looking.poll()
        assert "goes on" in names(looking)
        with pytest.raises(LedgerProblem, match="reading only"):
            took(looking, "not")


def test_an_older_copy_put_back_is_said_to_be_one_and_gives_no_number_again(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    shutil.copytree(folder, tmp_path / "copy")
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "flywheel")
        took(ledger, "pump")
        given = {group.code for group in ledger.state.groups()}
    folder.rename(tmp_path / "before")
    shutil.copytree(tmp_path / "copy", folder)
    assert rescue.verify(str(folder), "RW") == []
    for readonly in (True, False):
        with Ledger.open(folder, prefix="RW", readonly=readonly) as ledger:
            assert "lacks at least 2 records made here since" in ledger.notes[0]
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "new")
        (new,) = (group.code for group in ledger.state.groups() if group.name == "new")
        assert new not in given
    with Ledger.open(folder, prefix="RW") as ledger:
        assert ledger.notes == []
    shutil.rmtree(folder)  # and so in one that is begun anew in its place
    rescue.rescue(str(folder), "jan", "RW")
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "newer")
        assert {group.code for group in ledger.state.groups()}.isdisjoint({*given, new})


def test_no_output_lands_on_the_mark_beside_the_ledger(tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    shop.write_text(SHOP)
    assert main(["take", "head", "-s", str(shop)]) == 0
    mark = tmp_path / "shop.ledger.labels"
    before = mark.read_bytes()
    assert main(["export", "--format", "json", "-o", str(mark), "-s", str(shop)]) == 74
    assert mark.read_bytes() == before


def test_a_whole_journal_is_looked_over_again_and_again_from_its_beginning(tmp_path: Path) -> None:
    folder = begun(tmp_path / "shop.ledger")
    with Ledger.open(folder, prefix="RW") as ledger:
        assert ledger._storage is not None
        for _ in range(4):
            ledger._storage.journal.look_over()  # raises Moved where it is not what was read
