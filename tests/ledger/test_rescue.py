"""A damaged ledger is refused, shown as far as it is good, and saved: all that verifies, nothing else."""

from __future__ import annotations

import random
import shutil
from pathlib import Path
from types import SimpleNamespace

import pytest

from shopbins.ledger import rescue, salvage
from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.files import Files
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.ledger import _rescued as rescued_said
from shopbins.ledger.model import InZone, Mass
from shopbins.ledger.problems import Damaged, LedgerProblem
from shopbins.ledger.salvage import KIND
from shopbins.records import acts
from tests.ledger import naive

NAMES = ["head", "bag of shims", "Ventilfeder ½ 弁", "tub", "flywheel"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A ledger of 12 records: 5 parts taken, each laid down, blank tags, one undone."""
    where = tmp_path / "shop.ledger"
    with Ledger.open(where, by="jan", prefix="RW") as ledger:
        for name in NAMES:
            taken = ledger.transact(lambda s, n=name: acts.take(s, n, mass=Mass(4)))
            group = taken.subjects[0].removeprefix("group:")
            ledger.transact(lambda s, g=group: acts.lay(s, g, InZone("bench 2")))
        ledger.transact(lambda s: acts.issue_blanks(s, 3))
        ledger.undo()
    return where


def lines_of(folder: Path) -> list[bytes]:
    return (folder / "journal.log").read_bytes().splitlines(keepends=True)


def put(folder: Path, data: bytes) -> None:
    (folder / "journal.log").write_bytes(data)


def names(ledger: Ledger) -> set[str]:
    return {group.name for group in ledger.state.groups()}


def test_one_wrong_byte_costs_one_record_and_no_part(folder: Path) -> None:
    lines = lines_of(folder)
    with Ledger.open(folder, prefix="RW", readonly=True) as ledger:
        serial = ledger.state.last_serial
    for number in range(1, len(lines)):
        bad = bytearray(lines[number])
        bad[60] ^= 1
        damaged = b"".join([*lines[:number], bytes(bad), *lines[number + 1 :]])
        put(folder, damaged)
        with pytest.raises(Damaged):
            Ledger.open(folder, prefix="RW")
        found = rescue.look(str(folder), "RW")
        assert [each.seq for each in found.events] == [n for n in range(1, len(lines)) if n != number]
        assert [(each.first, each.last) for each in found.gone] == [(number, number)]
        assert found.serial >= serial
        with Ledger.open(folder, prefix="RW", readonly=True) as shown:
            assert shown.damage
            assert len(names(shown) - {""}) >= 4
        assert (folder / "journal.log").read_bytes() == damaged


def test_a_rescue_keeps_the_original_says_what_is_gone_and_gives_no_number_again(folder: Path) -> None:
    lines = lines_of(folder)
    with Ledger.open(folder, prefix="RW", readonly=True) as ledger:
        serial, codes = ledger.state.last_serial, {group.code for group in ledger.state.groups()}
    lines[3] = lines[3].replace(b"bag of shims", b"bag of shimz")
    damaged = b"".join(lines)
    put(folder, damaged)
    saved, kept, _ = rescue.rescue(str(folder), "mia", "RW")
    assert (folder / kept).read_bytes() == damaged
    assert "shimz" in str(saved.gone[0])
    with Ledger.open(folder, by="mia", prefix="RW") as ledger:
        assert ledger.damage == ()
        last = ledger.events()[-1]
        assert (last.kind, last.by) == ("rescue", "mia")
        assert names(ledger) >= set(NAMES) - {"bag of shims"}
        fresh = ledger.transact(lambda s: acts.take(s, "new part")).after
        code = next(iter(fresh.values()))["code"]
        assert code not in codes
        assert int(code[3:-1]) > serial
    assert rescue.verify(str(folder), "RW") == []


def test_with_a_snapshot_nothing_it_knew_is_lost(folder: Path) -> None:
    with Ledger.open(folder, by="jan", prefix="RW") as ledger:
        ledger.snapshot()
        ledger.transact(lambda s: acts.take(s, "after the snapshot"))
        whole = {name: dict(docs) for name, docs in ledger.state.tables.items() if docs}
    lines = lines_of(folder)
    put(folder, b"".join([*lines[:2], b"\0" * 700, *lines[5:]]))
    found = rescue.look(str(folder), "RW")
    assert {name: docs for name, docs in found.tables.items() if docs} == whole
    rescue.rescue(str(folder), "mia", "RW")
    with Ledger.open(folder, prefix="RW") as ledger:
        kept = {name: docs for name, docs in ledger.state.tables.items() if docs and name != "rescue"}
        assert kept == whole


def test_damaged_digits_are_proved_by_the_record_after_them(folder: Path) -> None:
    lines = lines_of(folder)
    lines[4] = b"0" * 32 + lines[4][32:]
    put(folder, b"".join(lines))
    found = rescue.look(str(folder), "RW")
    assert [each.seq for each in found.events] == list(range(1, len(lines)))
    assert found.gone == ()


def test_numbers_a_lost_record_may_have_given_are_passed_over_and_no_more_than_it_had_room_for(
    folder: Path,
) -> None:
    """With neither mark left nobody knows what it gave; a code takes eight characters."""
    with Ledger.open(folder, prefix="RW", readonly=True) as ledger:
        given = ledger.state.last_serial
    lines = lines_of(folder)
    put(folder, b"".join([*lines[:-2], b"?" * len(lines[-2]) + b"\n", lines[-1]]))
    (folder / "journal.end").unlink()
    (folder.parent / f"{folder.name}.labels").unlink()
    found = rescue.look(str(folder), "RW")
    assert given <= found.serial <= given + sum(map(len, lines[-2:])) // 8


def test_a_damaged_line_end_costs_nothing(folder: Path) -> None:
    lines = lines_of(folder)
    lines[4] = lines[4][:-1] + b"\x0b"
    put(folder, b"".join(lines))
    found = rescue.look(str(folder), "RW")
    assert [each.seq for each in found.events] == list(range(1, len(lines)))


def test_an_end_that_is_lost_is_named_by_its_numbers(folder: Path) -> None:
    lines = lines_of(folder)
    put(folder, b"".join(lines[:-3]))
    saved, *_ = rescue.rescue(str(folder), "mia", "RW")
    assert [(each.first, each.last) for each in saved.gone] == [(10, 12)]
    with Ledger.open(folder, prefix="RW") as ledger:
        assert ledger.seq == 10  # 9 and the rescue


def test_a_snapshot_that_is_not_what_the_journal_comes_to_is_found(folder: Path) -> None:
    with Ledger.open(folder, by="jan", prefix="RW") as ledger:
        ledger.snapshot()
    assert rescue.verify(str(folder), "RW") == []
    kept = snapshots.load(str(folder), Files())
    assert kept is not None
    key = next(iter(kept.tables["group"]))
    kept.tables["group"][key]["name"] = "another"  # type: ignore[index]
    snapshots.save(str(folder), Files(), kept)
    (said,) = rescue.verify(str(folder), "RW")
    assert said.endswith("snapshot.json: is not what the journal comes to (remove it)")
    (folder / "snapshot.json").unlink()
    assert rescue.verify(str(folder), "RW") == []


def test_a_missing_journal_is_saved_from_the_snapshot(folder: Path) -> None:
    with Ledger.open(folder, prefix="RW") as ledger:
        ledger.snapshot()
    (folder / "journal.log").unlink()
    with Ledger.open(folder, prefix="RW", readonly=True) as shown:
        assert names(shown) == set(NAMES)
        assert "is missing" in shown.damage[0]
    rescue.rescue(str(folder), "mia", "RW")
    with Ledger.open(folder, prefix="RW") as ledger:
        assert names(ledger) == set(NAMES)


def test_another_shops_journal_is_not_made_ours(folder: Path, tmp_path: Path) -> None:
    with Ledger.open(tmp_path / "other.ledger") as other:
        other.transact(lambda s: acts.take(s, "not ours"))
    put(folder, (tmp_path / "other.ledger/journal.log").read_bytes())
    with pytest.raises(LedgerProblem, match="another shop's"):
        rescue.rescue(str(folder), "mia", "RW")


def damages(data: bytes, luck: random.Random) -> bytes:
    """Do to a journal what disks and people do."""
    bad = bytearray(data)
    for _ in range(luck.choice([1, 1, 1, 2, 4])):
        at = luck.randrange(len(bad))
        length = luck.choice([1, 1, 3, 40, 400])
        kind = luck.randrange(7)
        if kind == 0:
            bad[at] ^= 1 << luck.randrange(8)
        elif kind == 1:
            bad[at : at + length] = bytes(len(bad[at : at + length]))
        elif kind == 2:
            del bad[at : at + length]
        elif kind == 3:
            bad[at:at] = luck.randbytes(length)
        elif kind == 4:
            bad[at:at] = bad[at : at + length]
        elif kind == 5:
            del bad[at:]
        else:
            lines = bytes(bad).splitlines(keepends=True)
            luck.shuffle(lines)
            bad = bytearray(b"".join(lines))
        if not bad:
            return b""
    return bytes(bad)


def test_real_and_naive_reader_agree_and_a_rescue_takes_only_true_records(folder: Path) -> None:
    """Differential fuzz: 1,500 damaged journals (long runs: tests/bench/trial_ledger.py fuzz)."""
    assert fuzz(folder, rounds=1500, seed=11) == {"wrong": 0, "false": 0, "lost": 0}


def fuzz(folder: Path, rounds: int, seed: int) -> dict[str, int]:
    """Damage a journal in many ways; count where the two readers differ and what a rescue takes wrongly."""
    luck = random.Random(seed)
    whole = (folder / "journal.log").read_bytes()
    true, _ = naive.read(whole)
    by_id = {record["id"]: record for record in true}
    (folder / "journal.end").unlink(missing_ok=True)
    (folder / "snapshot.json").unlink(missing_ok=True)
    found = {"wrong": 0, "false": 0, "lost": 0}
    for _ in range(rounds):
        data = damages(whole, luck)
        put(folder, data)
        try:
            records, end = naive.read(data)
        except (ValueError, KeyError, TypeError):
            records, end = [], "damaged"
        try:
            with Ledger.open(folder, prefix="RW", readonly=True, strict=True) as ledger:
                same = [event.as_json() for event in ledger.events()] == records
                kept = {name: docs for name, docs in ledger.state.tables.items() if docs}
                found["wrong"] += end == "damaged" or not same or kept != naive.documents(records)
        except LedgerProblem:
            found["wrong"] += end != "damaged"
        taken = [event.as_json() for event in salvage.sift(data, None, None, "RW").events]
        found["false"] += sum(each != by_id.get(each["id"]) for each in taken)
        ids = {each["id"] for each in taken}
        found["lost"] += any(record["id"] not in ids for record in records)
    return found


def test_a_journal_of_another_past_loses_what_was_recorded_here(folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.ledger"
    shutil.copytree(folder, other)
    for home, name in (
        (folder, "here"),
        (other, "gone"),
    ):
        with Ledger.open(home, by="mia", prefix="RW") as ledger:
            ledger.transact(lambda s, n=name: acts.take(s, n))
            last = ledger.seq
    put(folder, (other / "journal.log").read_bytes())
    with pytest.raises(Damaged):
        Ledger.open(folder, prefix="RW")
    (gone,) = rescue.look(str(folder), "RW").gone
    assert (gone.first, gone.last) == (last, last) and "another stands in its place" in str(gone)


@pytest.mark.parametrize(("lines", "said"), [
    (0, "nothing is gone;"), (3, "gone: line 0; line 1; line 2;"),
    (5, "gone: line 0; line 1; line 2 and 2 more;"),
])  # fmt: skip
def test_three_of_what_is_gone_are_named_and_the_others_counted(lines: int, said: str) -> None:
    gone = [f"line {n}" for n in range(lines)]
    event = SimpleNamespace(kind=KIND, by="jan", after={"rescue:1": {"gone": gone}})
    storage = SimpleNamespace(journal=SimpleNamespace(events_back=lambda: iter([event])))
    text = rescued_said(storage)  # type: ignore[arg-type]
    assert text == f"the ledger was rescued by jan; {said} this program goes on with what was saved"
