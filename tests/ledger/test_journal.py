"""A damaged journal or snapshot is never taken for a good one: every cut, every flipped byte, garbage."""

from __future__ import annotations

import random
import re

import pytest

from shopbins.ledger.events import fold
from shopbins.ledger.journal import digits
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone, Mass
from shopbins.ledger.problems import LedgerProblem
from shopbins.records import acts

FOLDER = "/shop.ledger"
JOURNAL, SNAPSHOT = f"{FOLDER}/journal.log", f"{FOLDER}/snapshot.json"


@pytest.fixture(scope="module")
def small(memory_disk):
    """A small journal, its snapshot (made one event before the end) and the state after each event."""
    disk = memory_disk()
    ledger = Ledger.open(FOLDER, by="jan", prefix="RW", files=disk)
    head = ledger.transact(lambda s: acts.take(s, "head", mass=Mass(41))).subjects[0].removeprefix("group:")
    ledger.transact(lambda s: acts.lay(s, head, InZone("bench 2")))
    ledger.transact(lambda s: acts.take(s, "Ventilfeder ½ 弁"))
    ledger.snapshot()
    ledger.transact(lambda s: acts.change(s, head, note="x"))
    tables: dict = {}
    states = [{}]
    for event in ledger.events():
        fold(tables, event.after)
        states.append({name: dict(docs) for name, docs in tables.items()})
    return disk.get(JOURNAL), disk.get(SNAPSHOT), states


def opened(memory_disk, journal: bytes, snapshot: bytes | None, readonly: bool = False):
    """Open a ledger with these bytes; returns it with its disk, None if it was refused in one line."""
    disk = memory_disk()
    disk.put(JOURNAL, journal)
    if snapshot is not None:
        disk.put(SNAPSHOT, snapshot)
    try:
        return Ledger.open(FOLDER, by="jan", files=disk, readonly=readonly), disk
    except LedgerProblem as problem:
        assert re.match(r"/shop\.ledger/journal\.log:\d+: \S.+", str(problem))
        assert str(problem).isprintable()
        assert disk.get(JOURNAL) == journal, "nothing may be written to a damaged journal"
        return None


@pytest.mark.parametrize("with_snapshot", [False, True])
def test_cut_at_every_byte(memory_disk, small, with_snapshot: bool) -> None:
    journal, snapshot, states = small
    opens = 0
    for size in range(len(journal)):
        found = opened(memory_disk, journal[:size], snapshot if with_snapshot else None)
        if found is None:
            continue
        ledger, disk = found
        opens += 1
        assert ledger.state.tables == states[ledger.seq]
        whole = journal[: journal.rfind(b"\n", 0, size) + 1]
        assert disk.get(JOURNAL) == whole
        aside = b"".join(disk.get(name) for name in disk.names if "/torn-" in name)
        assert whole + aside == journal[:size], "the torn tail is kept"
        assert len(ledger.notes) == bool(aside)
        ledger.transact(lambda s: acts.take(s, "next"))
        assert Ledger.open(FOLDER, readonly=True, files=disk).seq == ledger.seq
    assert opens > 100


@pytest.mark.parametrize("with_snapshot", [False, True])
def test_flip_in_every_byte(memory_disk, small, with_snapshot: bool) -> None:
    journal, snapshot, states = small
    luck = random.Random(7)
    last = journal.rfind(b"\n", 0, -1) + 1
    taken_for_torn = 0
    for place in range(len(journal)):
        for bit in luck.sample(range(8), 2):
            flipped = bytearray(journal)
            flipped[place] ^= 1 << bit
            found = opened(memory_disk, bytes(flipped), snapshot if with_snapshot else None)
            if found is not None:
                ledger, disk = found
                # All that can pass is a last record whose end looks cut off; it is set aside, not lost.
                assert place >= last
                taken_for_torn += 1
                assert ledger.state.tables == states[-2]
                assert bytes(flipped[last:]) in [disk.get(name) for name in disk.names]
    assert taken_for_torn <= 6


def test_flip_or_cut_in_every_byte_of_the_snapshot_is_noticed(memory_disk, small) -> None:
    journal, snapshot, states = small
    for place in range(len(snapshot)):
        flipped = bytearray(snapshot)
        flipped[place] ^= 1 << (place % 8)
        for bad in (bytes(flipped), snapshot[:place]):
            found = opened(memory_disk, journal, bad, readonly=True)
            assert found is not None
            assert found[0].state.tables == states[-1]


def test_a_snapshot_of_another_ledger_or_another_past_is_not_used(memory_disk, small) -> None:
    journal, _, states = small
    disk = memory_disk()
    other = Ledger.open(FOLDER, by="mia", files=disk)
    for name in ("a", "b", "c"):
        other.transact(lambda s, n=name: acts.take(s, n))
    other.snapshot()
    found = opened(memory_disk, journal, disk.get(SNAPSHOT))
    assert found is not None
    assert found[0].state.tables == states[-1]


def test_a_journal_that_lost_whole_records_the_snapshot_has_is_refused(memory_disk, small) -> None:
    journal, snapshot, _ = small
    lines = journal.splitlines(keepends=True)
    assert opened(memory_disk, b"".join(lines[:3]), snapshot) is None
    assert opened(memory_disk, b"".join(lines[:3]), None) is not None


def test_records_swapped_left_out_or_twice_are_refused(memory_disk, small) -> None:
    head, *lines = small[0].splitlines(keepends=True)
    for wrong in (lines[::-1], lines[1:], lines[:1] + lines[2:], lines + lines[-1:], [lines[0], *lines]):
        assert opened(memory_disk, head + b"".join(wrong), None) is None


@pytest.mark.parametrize(
    "garbage",
    [b"", b"\n", b"\0" * 5000, b"hello\n", b"{}\n", b"\xff\xfe" * 9000, b"x" * 3_000_000, b"[" * 100_000],
    ids=["empty", "newline", "zeros", "text", "json", "binary", "huge line", "nested"],
)
def test_garbage_is_no_ledger(memory_disk, small, garbage: bytes) -> None:
    assert opened(memory_disk, garbage, None) is None
    assert opened(memory_disk, garbage, small[1]) is None
    assert opened(memory_disk, small[0], garbage, readonly=True) is not None, "the snapshot is only a cache"


@pytest.mark.parametrize(
    "payload",
    [
        b"[" * 200_000,
        b'{"v":99}',
        b'{"v":1}',
        b"7",
        b"\xff",
        b'{"v":1,"seq":5}',
        b'{"v":1,"seq":5,"id":"x","at":"","by":"","kind":"","subjects":[],"before":{},"after":[]}',
        b'{"v":1,"seq":5,"id":"x","at":"","by":"","kind":"","subjects":[],"before":{},"after":{"group:a":[]}}',
        b'{"v":1,"seq":5,"id":"x","at":"","by":7,"kind":"","subjects":[],"before":{},"after":{}}',
        b'{"v":1,"seq":5,"id":"x","at":"","by":"","kind":"","subjects":[],"before":{},"after":{"a:b":{"x":NaN}}}',
        b'{"v":1,"seq":9,"id":"x","at":"","by":"","kind":"","subjects":[],"before":{},"after":{}}',
    ],
    ids=[
        "nested",
        "later version",
        "empty",
        "number",
        "not text",
        "partial",
        "list",
        "no document",
        "by",
        "NaN",
        "wrong number",
    ],
)
def test_a_well_summed_record_that_is_no_event_is_refused(memory_disk, small, payload: bytes) -> None:
    journal = small[0]
    chain = journal.splitlines()[-1][:32]
    line = digits(chain, payload) + b" " + payload + b"\n"
    assert opened(memory_disk, journal + line, None) is None


def test_a_reader_leaves_an_unfinished_line_to_the_writer(memory_disk, small) -> None:
    journal, _, states = small
    found = opened(memory_disk, journal + b"0123456789abcdef", None, readonly=True)
    assert found is not None
    assert found[0].state.tables == states[-1]
    assert found[1].get(JOURNAL) == journal + b"0123456789abcdef"


def test_damage_behind_the_snapshot_is_found_when_looking_back(memory_disk, small) -> None:
    journal, _, _ = small
    disk = memory_disk()
    disk.put(JOURNAL, journal)
    ledger = Ledger.open(FOLDER, by="jan", files=disk)
    place = journal.index(b"head")
    disk.names[JOURNAL].data[place] ^= 1
    subject = ledger.state.group_ids()[0]
    with pytest.raises(LedgerProblem, match=r"journal\.log:2: "):
        ledger.history(f"group:{subject}")
    with pytest.raises(LedgerProblem, match=r"journal\.log:2: "):
        ledger.events()


def test_looking_back_through_records_larger_than_a_block(memory_disk) -> None:
    ledger = Ledger.open(FOLDER, by="jan", files=memory_disk())
    for count in (1, 3000, 1, 5000, 2):
        ledger.transact(lambda s, n=count: acts.issue_blanks(s, n))
    assert [event.seq for event in ledger.events()] == [1, 2, 3, 4, 5]
    assert [len(event.after) for event in ledger.events(1)] == [3000, 1, 5000, 2]
