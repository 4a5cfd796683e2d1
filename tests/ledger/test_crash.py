"""Nothing acknowledged is lost: the power fails at each step, each call to the disk fails or is shortened."""

from __future__ import annotations

import errno
import os
import random
from collections.abc import Callable
from pathlib import Path

import pytest

from shopbins.ledger.events import Event, fold
from shopbins.ledger.files import Files
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import LedgerProblem
from shopbins.records import acts

Acknowledged = list[Event]


def an_evening(files: Files, folder: str, acknowledged: Acknowledged) -> None:
    """Work for a while, noting each event when `transact` returned."""
    for _ in range(2):
        with Ledger.open(folder, by="jan", prefix="RW", files=files) as ledger:
            head = ledger.transact(lambda s: acts.take(s, "head"))
            acknowledged.append(head)
            group = head.subjects[0].removeprefix("group:")
            acknowledged.append(ledger.transact(lambda s, g=group: acts.lay(s, g, InZone("bench 2"))))
            ledger.snapshot()
            acknowledged.append(ledger.undo()[0])
            for _ in range(7):
                acknowledged.append(ledger.transact(lambda s: acts.issue_blanks(s, 2)))
            ledger.snapshot()


def assert_nothing_lost(files: Files, folder: str, acknowledged: Acknowledged) -> None:
    """Reopen, find every acknowledged event, at most one more (under way), and the state they make."""
    with Ledger.open(folder, by="jan", prefix="RW", files=files) as ledger:
        events = ledger.events()
        assert [event.id for event in events[: len(acknowledged)]] == [event.id for event in acknowledged]
        assert len(events) <= len(acknowledged) + 1
        tables: dict = {}
        for event in events:
            fold(tables, event.after)
        assert {n: d for n, d in ledger.state.tables.items() if d} == {n: d for n, d in tables.items() if d}
        after = ledger.transact(lambda s: acts.take(s, "next evening"))
        assert after.seq == len(events) + 1


@pytest.mark.parametrize("kind", ["least", "most", "some", "zeros", "holes"])
def test_power_failure_at_every_step(memory_disk, crash, kind: str) -> None:
    rounds = 0
    for step in range(1, 1000):
        disk, acknowledged = memory_disk(step), []
        try:
            an_evening(disk, "/shop.ledger", acknowledged)
        except crash:
            luck = random.Random(step)
            for _ in range(3 if kind in ("some", "holes") else 1):
                found = disk.after_crash(luck, kind)
                assert_nothing_lost(found, "/shop.ledger", acknowledged)
                rounds += 1
        else:
            assert len(acknowledged) == 20
            break
    assert rounds > 40


def test_power_failure_while_an_unfinished_record_is_set_aside(memory_disk, crash) -> None:
    whole, acknowledged = memory_disk(), []
    an_evening(whole, "/shop.ledger", acknowledged)
    for step in range(1, 20):
        disk = memory_disk(step)
        for name in whole.names:
            disk.put(name, whole.get(name) + (b"0123 torn" if name.endswith("journal.log") else b""))
        try:
            Ledger.open("/shop.ledger", by="jan", files=disk).close()
        except crash:
            for kind in ("least", "most", "some", "zeros", "holes"):
                assert_nothing_lost(disk.after_crash(random.Random(step), kind), "/shop.ledger", acknowledged)
        else:
            assert step > 4
            break


class FailingDisk(Files):
    """The real disk, whose changing call number `at` fails, and with `on` every later one too.

    With `short`, a write that fails has written some of its bytes first; with `shorten` alone a write only
    takes a part, as the system may at any time, and nothing fails.
    """

    def __init__(self, at: int, *, on: bool = False, short: bool = False, shorten: bool = False) -> None:
        self.at, self.on, self.short, self.shorten = at, on, short, shorten
        self.calls = 0
        self.reached = False

    def _turn(self) -> bool:
        self.calls += 1
        self.reached = self.reached or self.calls == self.at
        return self.calls == self.at or (self.on and self.calls > self.at)

    def _fail(self) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def write(self, handle: int, data: bytes, start: int) -> int:
        if not self._turn():
            return super().write(handle, data, start)
        if self.short or self.shorten:
            written = super().write(handle, data[: max(1, len(data) // 2)], start)
            if self.shorten:
                return written
        self._fail()
        return 0

    def _else(self, call: Callable[[], object]) -> None:
        if self._turn() and not self.shorten:
            self._fail()
        call()

    def truncate(self, handle: int, size: int) -> None:
        self._else(lambda: super(FailingDisk, self).truncate(handle, size))

    def sync(self, handle: int) -> None:
        self._else(lambda: super(FailingDisk, self).sync(handle))

    def replace(self, source: str, target: str) -> None:
        self._else(lambda: super(FailingDisk, self).replace(source, target))

    def sync_folder(self, path: str) -> None:
        self._else(lambda: super(FailingDisk, self).sync_folder(path))

    def create(self, path: str) -> int:
        if self._turn() and not self.shorten:
            self._fail()
        return super().create(path)


MODES = {
    "once": {},
    "from then on": {"on": True},
    "half written": {"short": True},
    "half written, from then on": {"short": True, "on": True},
    "shortened": {"shorten": True},
}


@pytest.mark.parametrize("mode", MODES.values(), ids=MODES)
def test_each_write_flush_and_rename_fails_in_turn(tmp_path: Path, mode: dict) -> None:
    for at in range(1, 1000):
        disk, acknowledged = FailingDisk(at, **mode), []
        folder = str(tmp_path / f"{at}.ledger")
        try:
            an_evening(disk, folder, acknowledged)
        except LedgerProblem as problem:
            assert problem.exit == 74
            assert "No space left on device" in str(problem)
            assert "\n" not in str(problem)
        else:
            assert len(acknowledged) == 20
        assert_nothing_lost(Files(), folder, acknowledged)
        if not disk.reached:
            break
    assert at > 20


def test_after_a_failed_flush_nothing_more_is_written_until_reopened(tmp_path: Path) -> None:
    folder = str(tmp_path / "shop.ledger")
    disk = FailingDisk(10**9)
    with Ledger.open(folder, by="jan", files=disk) as ledger:
        acknowledged = [ledger.transact(lambda s: acts.take(s, "head"))]
        disk.at = disk.calls + 2  # the write passes, its flush fails
        for _ in range(3):
            with pytest.raises(LedgerProblem, match=r"No space left|opened again"):
                ledger.transact(lambda s: acts.take(s, "bag"))
        assert ledger.seq == 1
        assert len(ledger.state.group_ids()) == 1
        assert [event.seq for event in ledger.events()] == [1]
    assert_nothing_lost(Files(), folder, acknowledged)


def test_another_terminal_that_saw_a_record_whose_flush_failed_forgets_it(tmp_path: Path) -> None:
    folder = str(tmp_path / "shop.ledger")
    disk = FailingDisk(10**9)
    with Ledger.open(folder, by="jan", files=disk) as ledger, Ledger.open(folder, by="mia") as other:
        ledger.transact(lambda s: acts.take(s, "head"))
        other.poll()

        def sync_seen_by_the_other(handle: int) -> None:
            seen.extend(other.poll())
            raise OSError(errno.EIO, os.strerror(errno.EIO))

        seen: list[Event] = []
        disk.sync = sync_seen_by_the_other  # type: ignore[method-assign]
        with pytest.raises(LedgerProblem, match="Input/output error"):
            ledger.transact(lambda s: acts.take(s, "ghost"))
        assert [event.seq for event in seen] == [2]
        other.poll()
        assert other.generation == 1
        assert [group.name for group in other.state.groups()] == ["head"]
        other.transact(lambda s: acts.take(s, "bag"))
    with Ledger.open(folder, readonly=True) as again:
        assert [group.name for group in again.state.groups()] == ["head", "bag"]


def test_what_a_failed_write_left_is_cut_off_and_the_cut_is_flushed(tmp_path: Path) -> None:
    """Else a power failure brings half a record back that the screen said was not recorded."""
    calls: list[str] = []

    class Full(Files):
        full = False

        def write(self, handle: int, data: bytes, start: int) -> int:
            if self.full:
                super().write(handle, data[:9], start)
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return super().write(handle, data, start)

        def truncate(self, handle: int, size: int) -> None:
            calls.append("cut")
            super().truncate(handle, size)

        def sync(self, handle: int) -> None:
            calls.append("flush")
            super().sync(handle)

    disk = Full()
    with Ledger.open(str(tmp_path / "shop.ledger"), by="jan", files=disk) as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
        calls.clear()
        disk.full = True
        with pytest.raises(LedgerProblem, match="not recorded"):
            ledger.transact(lambda s: acts.take(s, "bag"))
        disk.full = False
        assert calls == ["cut", "flush"]
