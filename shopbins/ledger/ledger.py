"""The ledger: what was recorded, made durable one event at a time, followed across terminals.

    with Ledger.open("shop.ledger", by="jan", prefix="RW") as ledger:
        event = ledger.transact(lambda state: acts.take(state, "cylinder head 2"))

Judging and recording is one call under the lock: `transact` runs `work` on the state as it is then; `work`
judges and returns a draft, or raises Refused and nothing is written.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Iterable
from threading import RLock
from types import TracebackType

from shopbins.ledger import takeback
from shopbins.ledger.codes import DEFAULT_PREFIX, prefix_problem
from shopbins.ledger.events import VERSION, Draft, Event, before_of
from shopbins.ledger.files import Files
from shopbins.ledger.journal import NAME as JOURNAL
from shopbins.ledger.journal import Journal, Moved
from shopbins.ledger.lots import unbalanced
from shopbins.ledger.problems import BadValue, Conflict, LedgerProblem, Refused
from shopbins.ledger.snapshot import NAME as SNAPSHOT
from shopbins.ledger.state import State
from shopbins.ledger.storage import LedgerDB, LedgerStorage, LedgerTable
from shopbins.ledger.text import clean_text

Work = Callable[[State], Draft]
Check = Callable[[State, Draft], Draft]
Heard = Callable[[list[Event]], None]

SNAPSHOT_EVERY_BYTES = 256 * 1024
REPLAY_AT_MOST_BYTES = 4 * 1024 * 1024


class Ledger:
    """An open ledger. Thread-safe; state is read by one thread, others take `state.copy()`."""

    def __init__(
        self, folder: str, by: str, prefix: str, files: Files, clock: Callable[[], float], timeout_s: float
    ) -> None:
        """Prepare only; use `Ledger.open`."""
        self.folder = folder
        self.by = by
        self.prefix = prefix
        self.readonly = True
        self.generation = 0
        self.notes: list[str] = []
        self._files = files
        self._clock = clock
        self._mutex = RLock()
        self._heard: list[Heard] = []
        self._own: set[int] = set()
        self._storage: LedgerStorage | None = None
        self._nothing = State(prefix=prefix)
        self._lock = self._files.lock(f"{folder}/lock", f"{by} (process {os.getpid()})", timeout_s)
        self._second = (0, "")

    @classmethod
    def open(
        cls,
        folder: str | os.PathLike[str],
        *,
        by: str = "",
        prefix: str = DEFAULT_PREFIX,
        create: bool = True,
        readonly: bool = False,
        timeout_s: float = 10.0,
        allow_network: bool = False,
        files: Files | None = None,
        clock: Callable[[], float] = time.time,
    ) -> Ledger:
        """Open the ledger kept in `folder`, making it first if need be.

        With `readonly` no lock is taken and nothing is written; a ledger that is not there yet is empty.
        Raises LedgerProblem (unreadable, damaged, network folder, read-only disk), LedgerBusy, BadValue
        (a name or prefix that cannot be recorded).
        """
        wrong = prefix_problem(prefix)
        if wrong is not None:
            raise BadValue(wrong)
        who = clean_text(by or "somebody", "the name of who works", 80)
        ledger = cls(os.path.abspath(folder), who, prefix, files or Files(), clock, timeout_s)  # noqa: PTH100
        if readonly:
            ledger._open_to_read(create)
        else:
            ledger._open_to_write(create, allow_network)
        return ledger

    def _open_to_read(self, create: bool) -> None:
        if self._there():
            self._storage = LedgerStorage(self.folder, self._files, self.prefix, write=False, locked=False)
        elif not create:
            raise LedgerProblem(f"{self.folder}: there is no ledger")

    def _open_to_write(self, create: bool, allow_network: bool) -> None:
        try:
            if not self._there() and not create:
                raise LedgerProblem(f"{self.folder}: there is no ledger")
            self._files.make_folder(self.folder)
            kind = None if allow_network else self._files.network_kind(self.folder)
            if kind is not None:
                raise LedgerProblem(
                    f"{self.folder}: is a network folder ({kind}); locks and flushes do not hold there "
                    "(keep the ledger on a local disk)"
                )
            with self._lock:
                if not self._there():
                    Journal.create(self.folder, self._files)
                self._storage = LedgerStorage(self.folder, self._files, self.prefix, write=True, locked=True)
        except OSError as error:
            raise LedgerProblem(f"{self.folder}: cannot be opened: {error.strerror or error}") from None
        self.readonly = False
        self._take_notes()
        if self._storage.behind_bytes > max(REPLAY_AT_MOST_BYTES, self._storage.snapshot_size):
            self._storage.save_snapshot()  # a program that was killed did not come to it

    def _there(self) -> bool:
        """Tell whether the folder holds a ledger; a snapshot without its journal is a problem.

        So is a file where the folder should be: it is not the same as no ledger yet.
        """
        if self._files.is_no_folder(self.folder):
            raise LedgerProblem(f"{self.folder}: is no folder (a ledger is a folder)")
        if self._files.exists(f"{self.folder}/{JOURNAL}"):
            return True
        if self._files.exists(f"{self.folder}/{SNAPSHOT}"):
            raise LedgerProblem(f"{self.folder}/{JOURNAL}: is missing (put it back from a copy)")
        return False

    def _take_notes(self) -> None:
        if self._storage is not None:
            self.notes += self._storage.journal.notes
            self._storage.journal.notes.clear()

    # -- reading

    @property
    def state(self) -> State:
        """The documents as they are now; another object after the ledger had to be read anew."""
        return self._nothing if self._storage is None else self._storage.state

    @property
    def seq(self) -> int:
        """The number of the last event."""
        return self.state.seq

    @property
    def uuid(self) -> str:
        """What tells this ledger from another; '' for one not yet there. A copy is a fork with the same."""
        return "" if self._storage is None else self._storage.journal.uuid

    def table(self, name: str) -> LedgerTable:
        """Return a table as TinyDB knows it, to be searched with its queries; what it gives are copies."""
        if self._storage is None:
            raise LedgerProblem(f"{self.folder}: there is no ledger")
        storage = self._storage
        found = LedgerDB(storage=lambda: storage).table(name)
        assert isinstance(found, LedgerTable)
        return found

    def poll(self) -> list[Event]:
        """Return what others wrote since last asked; costs a stat and a short read when there is nothing.

        Should the journal have been replaced, the ledger is read anew: `generation` goes up, and the
        events beyond the last one known are returned. Raises LedgerProblem.
        """
        with self._mutex:
            events = self._catch_up(locked=False)
        self._tell(events)
        return events

    def _catch_up(self, *, locked: bool) -> list[Event]:
        if self._storage is None:
            if not self.readonly or not self._there():
                return []
            self._open_to_read(create=True)
            return self.events()
        try:
            events = self._storage.catch_up(locked=locked)
        except Moved:
            events = self._read_anew(locked=locked)
        self._take_notes()
        return events

    def _read_anew(self, *, locked: bool) -> list[Event]:
        """Open the folder again after the journal was cut back or replaced by another."""
        old = self._storage
        assert old is not None
        fresh = LedgerStorage(self.folder, self._files, self.prefix, write=not self.readonly, locked=locked)
        known = old.state.seq
        old.close()
        self._storage = fresh
        self.generation += 1
        return self.events(known)

    def events(self, since_seq: int = 0) -> list[Event]:
        """Return the events after number `since_seq`, oldest first."""
        with self._mutex:
            if self._storage is None:
                return []
            events = []
            for event in self._storage.journal.events_back():
                if event.seq <= since_seq:
                    break
                events.append(event)
        return events[::-1]

    def recent(self, count: int) -> list[Event]:
        """Return the last `count` events, oldest first."""
        return self.events(max(self.seq - count, 0))

    def history(self, subject: str) -> list[Event]:
        """Return every event that concerns a subject, like 'group:<id>', oldest first."""
        with self._mutex:
            if self._storage is None:
                return []
            return [e for e in self._storage.journal.find(takeback.needle(subject)) if subject in e.subjects]

    def subscribe(self, heard: Heard) -> Callable[[], None]:
        """Have `heard` called with each batch of new events, own and others'; returns how to stop it."""
        self._heard.append(heard)
        return lambda: self._heard.remove(heard)

    def _tell(self, events: list[Event]) -> None:
        if events:
            for heard in list(self._heard):
                heard(events)

    # -- writing

    def transact(self, work: Work, expected_seq: int | None = None) -> Event:
        """Judge and record in one go: run `work` on the fresh state under the lock, write its draft.

        With `expected_seq`, what `work`'s caller had seen: if somebody else has since changed what the draft
        changes, Conflict is raised with their event. Raises whatever `work` does (Refused; then nothing was
        written), LedgerProblem, LedgerBusy.
        """

        def judge_and_record() -> Event:
            draft = work(self.state)
            if (at := unbalanced(self.state.tables, draft.after)) is not None:
                raise Refused(f"the count would not balance, so nothing was recorded ({at})")
            if expected_seq is not None and expected_seq < self.seq:
                self._check_unseen(draft, expected_seq)
            return self._record(draft)

        return self._exclusively(judge_and_record)

    def _exclusively(self, do: Callable[[], Event]) -> Event:
        """Run `do` with nobody else writing and the state caught up; tell of what was new."""
        if self.readonly:
            raise LedgerProblem(f"{self.folder}: the ledger is open for reading only")
        told: list[Event] = []
        try:
            with self._mutex, self._lock:
                told += self._catch_up(locked=True)
                event = do()
                told.append(event)
                return event
        finally:
            self._tell(told)

    def _check_unseen(self, draft: Draft, expected_seq: int) -> None:
        for event in self.events(expected_seq):
            if event.seq not in self._own and draft.after.keys() & set(event.subjects):
                raise Conflict(
                    f"meanwhile {takeback.told(event)}; look again and repeat if it still holds", event
                )

    def _record(self, draft: Draft) -> Event:
        assert self._storage is not None
        state = self.state
        event = Event(
            VERSION,
            state.seq + 1,
            os.urandom(16).hex(),
            self._now(),
            self.by,
            draft.kind,
            draft.subjects,
            before_of(state.tables, draft.after),
            draft.after,
            draft.undoes,
            draft.day,
        )
        try:
            self._storage.commit(event)
        except ValueError as error:
            raise BadValue(f"this cannot be recorded: {error}") from None
        self._own.add(event.seq)
        return event

    def _now(self) -> str:
        """Return the time in UTC, to the millisecond."""
        now = self._clock()
        second = int(now // 1)
        if second != self._second[0]:
            self._second = second, time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime(second))
        return f"{self._second[1]}.{int(now % 1 * 1000):03d}Z"

    # -- taking back

    def undo(self, check: Check | None = None) -> tuple[Event, Event]:
        """Take back my last event that still stands; returns the new event and the one it takes back.

        Repeated, it goes further back. Raises Refused where there is nothing of mine, or where what
        was recorded since would be left hanging; Conflict where somebody else has since touched the same
        subjects. `check` judges the draft on the fresh state: it returns what to record, or raises Refused.
        """
        return self._take_back(takeback.last_standing, "undo", check)

    def redo(self, check: Check | None = None) -> tuple[Event, Event]:
        """Take back my last undo, if nothing else of mine came after it; raises as `undo` does."""
        return self._take_back(takeback.last_undo, "redo", check)

    def _take_back(
        self, choose: Callable[[Iterable[Event], str], takeback.Choice], kind: str, check: Check | None
    ) -> tuple[Event, Event]:
        taken: list[Event] = []

        def choose_and_record() -> Event:
            assert self._storage is not None
            choice = choose(self._storage.journal.events_back(), self.by)
            draft = takeback.draft(self.state, choice, kind)
            if check is not None:
                draft = check(self.state, draft)
            taken.append(choice.event)
            return self._record(draft)

        return self._exclusively(choose_and_record), taken[0]

    # -- closing

    def snapshot(self) -> bool:
        """Write the snapshot now, for the next opening; False where that was not possible."""
        with self._mutex:
            return self._storage is not None and not self.readonly and self._storage.save_snapshot()

    def close(self) -> None:
        """Let the ledger go; a snapshot is written when enough has come since the last."""
        with self._mutex:
            storage = self._storage
            if storage is None:
                return
            if not self.readonly and storage.behind_bytes > max(
                SNAPSHOT_EVERY_BYTES, storage.snapshot_size // 2
            ):
                storage.save_snapshot()
            if storage.journal.made_room:
                with contextlib.suppress(LedgerProblem), self._lock:
                    storage.trim()
            storage.close()
            self._lock.close()
            self._storage = None
            self.readonly = True

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
