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
from collections.abc import Callable, Iterable, Iterator, Sequence
from threading import RLock
from types import TracebackType
from typing import TYPE_CHECKING

from shopbins.ledger import endmark, takeback
from shopbins.ledger.codes import DEFAULT_PREFIX, prefix_problem
from shopbins.ledger.events import VERSION, Draft, Event, before_of
from shopbins.ledger.files import Files, Saved
from shopbins.ledger.journal import NAME as JOURNAL
from shopbins.ledger.journal import Journal, Moved
from shopbins.ledger.lots import unbalanced
from shopbins.ledger.problems import (
    BadValue,
    Damaged,
    Exchanged,
    LedgerBusy,
    LedgerProblem,
    Refused,
)
from shopbins.ledger.shapes import wrong_to_fold
from shopbins.ledger.state import State
from shopbins.ledger.storage import LedgerStorage
from shopbins.ledger.text import clean_text
from shopbins.ledger.unfinished import in_doubt, kept_in_doubt

if TYPE_CHECKING:
    from shopbins.ledger.tables import LedgerTable

Work = Callable[[State], Draft]
Check = Callable[[State, Draft], Draft]

SNAPSHOT_EVERY_BYTES = 256 * 1024
REPLAY_AT_MOST_BYTES = 4 * 1024 * 1024
NO_MORE = "nothing more is recorded here"
_A_MOMENT_S = 0.05
TRACES = ("snapshot.json", "journal.end", "torn-", "damaged-", "photos", "shop-was-read")
"""How names begin that are found only where there was a journal once."""


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
        self._own: set[int] = set()
        self._storage: LedgerStorage | None = None
        self._nothing = State(prefix=prefix)
        self._lock = self._files.lock(f"{folder}/lock", f"{by} (process {os.getpid()})", timeout_s)
        self._timeout_s = timeout_s
        self._second = (0, "")
        self._begun = False
        self.why_readonly = ""
        self.damage: tuple[str, ...] = ()
        """What is wrong with a ledger of which only what was saved, or read before, is shown, in lines."""
        self.doubts: tuple[str, ...] = ()
        """Unfinished records that were set aside and may have been recorded, a line each (unfinished.py)."""
        self.unfinished = ""
        """The same of one that stands at the end of the journal, where this only reads; '' as a rule."""
        self._saved = False
        self._presence = -1
        self._judged: tuple[int, ...] | None = None
        self.finish: Check = lambda _state, draft: draft
        """What is done to every draft before it is recorded: dating it, say. It may raise Refused."""
        self.exchanged = ""
        """What is wrong with the journal that has taken the place of the one recorded in; '' as a rule.

        Nothing is recorded until the one in its place again holds the last record known.
        """

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
        strict: bool = False,
        files: Files | None = None,
        clock: Callable[[], float] = time.time,
    ) -> Ledger:
        """Open the ledger kept in `folder`, making it first if need be.

        With `readonly` no lock is taken and nothing is written; a ledger that is not there yet is empty, and
        of a damaged one what can be saved is shown, `damage` saying what is wrong (`strict`: it is refused).
        Raises LedgerProblem (unreadable, damaged, network folder, read-only disk), LedgerBusy, BadValue
        (a name or prefix that cannot be recorded).
        """
        wrong = prefix_problem(prefix)
        if wrong is not None:
            raise BadValue(wrong)
        who = clean_text(by or "somebody", "the name of who works", 80)
        ledger = cls(os.path.abspath(folder), who, prefix, files or Files(), clock, timeout_s)  # noqa: PTH100
        if readonly:
            ledger._open_to_look(create, strict)
        else:
            ledger._open_to_write(create, allow_network)
        ledger._presence = ledger._files.be_at(ledger.folder)
        ledger._doubt()
        return ledger

    def _open_to_look(self, create: bool, strict: bool) -> None:
        try:
            self._open_to_read(create)
        except Damaged as problem:
            if strict:
                raise
            self._open_saved(problem)

    def _open_saved(self, problem: Damaged) -> None:
        """Show what could be saved: what a rescue would make of the folder, in memory."""
        from shopbins.ledger.salvage import salvage

        try:
            found = salvage(self.folder, self._files, self.prefix)
        except OSError:
            raise problem from None
        if not found.events and not found.snapshot_seq:
            raise problem
        self._judged = self._stamp()
        saved = Saved(found.journal(found.uuid or "unknown", self.by, self._now()))
        self._storage = LedgerStorage(self.folder, saved, self.prefix, write=False)
        self._saved = True
        gone = f"; not to be saved: {_few(found.gone)}" if found.gone else ""
        self.damage = (
            f"{problem.where}: {problem.what}",
            f"shown is what can be saved{gone}; nothing can be recorded until it is "
            "('shopbins rescue' says how)",
        )

    def _doubt(self) -> None:
        """Look whether an unfinished record may have been recorded, and remark it."""
        if self._storage is None or self._saved:
            return
        journal = self._storage.journal
        if journal.torn and not journal.ends_here():
            self._files.wait(_A_MOMENT_S)  # somebody may be writing it just now
            self._catch_up(locked=False)
            journal = self._storage.journal
            if journal.torn and not journal.ends_here():
                self.unfinished = in_doubt(journal.path, journal.torn)
        self.doubts = kept_in_doubt(self.folder, self._files)
        unread = endmark.beside_problem(self.folder, self._files)
        told = [*self.doubts, *filter(None, [self.unfinished, unread])]
        self.notes += [each for each in told if each not in self.notes]

    def _open_to_read(self, create: bool) -> None:
        if self._there():
            self._storage = self._read()
            self._take_notes()
        elif not create:
            raise LedgerProblem(f"{self.folder}: there is no ledger")

    def _open_to_write(self, create: bool, allow_network: bool) -> None:
        try:
            there = self._there()
            if not there:
                if not create:
                    raise LedgerProblem(f"{self.folder}: there is no ledger")
                self._files.make_folder(self.folder)
            kind = None if allow_network else self._files.network_kind(self.folder)
            if kind is not None:
                raise LedgerProblem(
                    f"{self.folder}: is a network folder ({kind}); locks and flushes do not hold there "
                    "(keep the ledger on a local disk)"
                )
            if there:
                self._lock.beside = f"{self.folder}/{JOURNAL}"
            with self._lock:
                if not there and not self._there():
                    self._begun = Journal.create(self.folder, self._files)
                self._storage = self._read(write=True, hold=True)
                if self._begun:
                    self._storage.mark_end()
                self._storage.journal.let_go()
            self._lock.beside = f"{self.folder}/{JOURNAL}"
        except OSError as error:
            raise LedgerProblem(f"{self.folder}: cannot be opened: {error.strerror or error}") from None
        self.readonly = False
        self._take_notes()
        if self._storage.behind_bytes > max(REPLAY_AT_MOST_BYTES, self._storage.snapshot_size):
            self._storage.save_snapshot()  # a program that was killed did not come to it

    def _read(
        self, *, write: bool = False, hold: bool = False, after: LedgerStorage | None = None
    ) -> LedgerStorage:
        """Read the folder; with `hold`, under the lock, the journal is held from then on."""
        hold_s = self._timeout_s if hold else None
        return LedgerStorage(self.folder, self._files, self.prefix, write=write, hold_s=hold_s, after=after)

    def _there(self) -> bool:
        """Tell whether the folder holds a ledger; one whose journal is missing is a problem.

        So is a file where the folder should be: it is not the same as no ledger yet.
        """
        if self._files.is_no_folder(self.folder):
            raise LedgerProblem(f"{self.folder}: is no folder (a ledger is a folder)")
        if self._files.exists(f"{self.folder}/{JOURNAL}"):
            return True
        if self._files.exists(self.folder):
            traces = [each for each in self._files.listed(self.folder) if each.startswith(TRACES)]
            if traces:
                raise Damaged(f"{self.folder}/{JOURNAL}", f"is missing, though {sorted(traces)[0]} is there")
        if self._files.exists(self.folder + endmark.BESIDE):
            raise Damaged(
                self.folder,
                f"is not there, though {self.folder}{endmark.BESIDE} tells of it: put it back, or begin "
                "a new one by 'shopbins rescue --yes'",
            )
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
    def recorded(self) -> bool:
        """Tell whether anything was recorded through this object."""
        return bool(self._own)

    def is_own(self, seq: int) -> bool:
        """Tell whether an event was recorded through this object."""
        return seq in self._own

    @property
    def uuid(self) -> str:
        """What tells this ledger from another; '' for one not yet there. A copy is a fork with the same."""
        return "" if self._storage is None else self._storage.journal.uuid

    def table(self, name: str) -> LedgerTable:
        """Return a table as TinyDB knows it, to be searched with its queries; what it gives are copies."""
        if self._storage is None:
            raise LedgerProblem(f"{self.folder}: there is no ledger")
        from shopbins.ledger.tables import LedgerDB, LedgerTable, Live

        found = LedgerDB(self._storage, storage=Live).table(name)
        assert isinstance(found, LedgerTable)
        return found

    def poll(self) -> list[Event]:
        """Take in what others wrote and return it; costs a stat and a short read when there is nothing.

        What an act took in under the lock, done or refused, is not returned again: `seq` tells.
        Should the journal have been replaced, the ledger is read anew: `generation` goes up, and the
        events beyond the last one known are returned. Raises LedgerProblem.
        """
        with self._mutex:
            return self._catch_up(locked=False)

    def _catch_up(self, *, locked: bool) -> list[Event]:
        if self._storage is None:
            if not self.readonly or not self._there():
                return []
            self._open_to_read(create=True)
            return self.events()
        if self._saved:
            return self._look_again()
        if self.exchanged and self._stamp() == self._judged:
            raise Exchanged(self.exchanged)
        journal = self._storage.journal
        try:
            if self.exchanged and not journal.go_to(journal.mark):
                raise Moved
            events = self._storage.catch_up(locked=locked)
        except Moved:
            events = self._read_anew(locked=locked)
        except Damaged as problem:
            self.damage = (
                f"{problem.where}: {problem.what}",
                "shown is what was read before; nothing can be recorded until it is mended "
                "('shopbins rescue' says what can be saved)",
            )
            raise
        self.exchanged, self.damage = "", ()
        self._take_notes()
        return events

    def _look_again(self) -> list[Event]:
        """Read a damaged ledger anew once its journal is another: rescued, or put right from a copy."""
        stamp, old = self._stamp(), self._storage
        if stamp == self._judged or old is None:
            return []
        self._judged = stamp
        try:
            if self.why_readonly:
                self._open_to_write(create=False, allow_network=False)
            else:
                self._open_to_read(create=False)
        except LedgerBusy:
            self._judged = None
            return []
        except LedgerProblem:
            return []
        self._saved, self.why_readonly, self.damage = False, "", ()
        self.generation += 1
        return self.events(old.state.seq)

    def look_over(self) -> list[Event]:
        """Look, a stretch at a call, whether what was read is still what the disk holds; raises as `poll`.

        Costs about a millisecond. A program that stays open calls it now and then: bytes changed in place
        are noticed without anybody opening the ledger anew. Returns events as `poll` does.
        """
        with self._mutex:
            if self._storage is None or self.damage or self.exchanged:
                return []
            try:
                self._storage.journal.look_over()
                return []
            except Moved:
                return self._read_anew(locked=False)

    def _read_anew(self, *, locked: bool) -> list[Event]:
        """Open the folder again after the journal was cut back or replaced by another.

        Raises Exchanged where what is there now lacks what was recorded; what was known stays in use.
        """
        old = self._storage
        assert old is not None
        stamp = self._stamp()
        if stamp is None:
            self._judged = None
            self.exchanged = f"{self.folder}: the ledger is gone from its place; put it back ({NO_MORE})"
            raise Exchanged(self.exchanged)
        try:
            if locked:
                old.journal.let_go()
            fresh = self._read(write=not self.readonly, hold=locked, after=old)
        except Damaged as problem:
            self._judged = stamp
            self.exchanged = f"the journal was exchanged or cut: {problem.where}: {problem.what} ({NO_MORE})"
            raise Exchanged(self.exchanged) from None
        return self._go_on_with(fresh)

    def _stamp(self) -> tuple[int, ...] | None:
        """Return what differs once the journal was exchanged or written to, None where there is none."""
        return self._files.stamp(f"{self.folder}/{JOURNAL}")

    @property
    def gone(self) -> bool:
        """Whether there is no journal in the place of the one recorded in."""
        return bool(self.exchanged) and self._judged is None

    @property
    def broken(self) -> str:
        """Why this object records nothing more, whatever is made better meanwhile; '' as a rule."""
        return (self._storage.journal.broken or "") if self._storage is not None else ""

    @property
    def incomplete(self) -> bool:
        """Whether what this shows, being open to read only, may lack something that was recorded."""
        return bool(self.damage or (self.readonly and (self.doubts or self.unfinished)))

    def in_place(self) -> bool:
        """Tell whether the folder of that name is the one this was read from: files may be put in it."""
        return self._storage is not None and self._storage.journal.in_place()

    def take_what_is_there(self) -> list[Event]:
        """Go on with a journal that took the place of the one recorded in; Damaged where it cannot be."""
        with self._mutex:
            return self._go_on_with(self._read(write=not self.readonly))

    def _go_on_with(self, fresh: LedgerStorage) -> list[Event]:
        old = self._storage
        assert old is not None
        self.exchanged, self.damage = "", ()
        if fresh.journal.uuid != old.journal.uuid and fresh.journal.rescued == old.journal.uuid:
            self.notes.append(_rescued(fresh))
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

    def wrong_shape(self) -> str:
        """Name the first record that made a document what it cannot be, '' where there is none."""
        from shopbins.ledger.shapes import wrong_documents, wrong_record

        found = next(wrong_documents(self.state.tables), None)
        if found is None:
            return ""
        subject, what = found
        seq = next((each.seq for each in self.events() if subject in each.after and wrong_record(each)), 0)
        last = [each.seq for each in self.events() if subject in each.after][-1:]
        number = f"record {seq or last[0]}" if seq or last else "the snapshot"
        return f"{self.folder}/{JOURNAL}: {number} is damaged or forged: {what}"

    @property
    def from_snapshot(self) -> bool:
        """Tell whether this was read from the snapshot on."""
        return self._storage is not None and self._storage.snapshot_mark is not None

    def recent(self, count: int) -> list[Event]:
        """Return the last `count` events, oldest first."""
        return self.events(max(self.seq - count, 0))

    def history(self, subject: str) -> list[Event]:
        """Return every event that concerns a subject, like 'group:<id>', oldest first."""
        with self._mutex:
            if self._storage is None:
                return []
            return [e for e in self._storage.journal.find(takeback.needle(subject)) if subject in e.subjects]

    # -- writing

    def transact(self, work: Work) -> Event:
        """Judge and record in one go: run `work` on the fresh state under the lock, write its draft.

        Raises whatever `work` does (Refused; then nothing was written), LedgerProblem, LedgerBusy.
        """

        def judge_and_record() -> Event:
            draft = self.finish(self.state, work(self.state))
            if (at := unbalanced(self.state.tables, draft.after)) is not None:
                raise Refused(f"the count would not balance, so nothing was recorded ({at})")
            return self._record(draft)

        return self._exclusively(judge_and_record)

    def _exclusively(self, do: Callable[[], Event]) -> Event:
        """Run `do` with nobody else writing and the state caught up."""
        if self.readonly:
            why = self.damage[0] if self.damage else self.why_readonly
            raise LedgerProblem(
                f"{self.folder}: the ledger is open for reading only{f': {why}' if why else ''}"
            )
        with self._alone():
            return do()

    @contextlib.contextmanager
    def _alone(self) -> Iterator[None]:
        """Hold the lock and the journal that is in its place, caught up."""
        with self._mutex:
            assert self._storage is not None
            try:
                self._lock.__enter__()
            except LedgerBusy:
                raise
            except LedgerProblem:
                self._catch_up(locked=False)  # says it better where the folder is gone or another
                raise
            try:
                self._storage.journal.hold(self._timeout_s)
                self._catch_up(locked=True)
                yield
            finally:
                self._storage.journal.let_go()
                self._lock.__exit__()

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
        if wrong := wrong_to_fold(event):
            raise BadValue(f"this cannot be recorded: {wrong}")
        try:
            self._storage.commit(event)
        except ValueError as error:
            raise BadValue(f"this cannot be recorded: {error}") from None
        self._own.add(event.seq)
        if self._begun:
            self._begun = False
            self.notes.append(f"a new ledger was begun: {os.path.basename(self.folder)}")  # noqa: PTH119
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
                with contextlib.suppress(LedgerProblem), self._alone():
                    storage = self._storage or storage  # perhaps read anew just now
                    storage.journal.trim()
            storage.close()
            self._lock.close()
            self._files.leave(self._presence)
            self._storage, self._presence = None, -1
            self.readonly = True

    def __enter__(self) -> Ledger:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _rescued(storage: LedgerStorage) -> str:
    """Say that a journal was rescued, by whom, and how much is gone."""
    from shopbins.ledger.salvage import KIND

    last = next((each for each in storage.journal.events_back() if each.kind == KIND), None)
    gone = (
        [] if last is None else [line for doc in last.after.values() if doc for line in doc.get("gone", ())]
    )
    by = "" if last is None else f" by {last.by}"
    lost = f"gone: {_few(gone)}" if gone else "nothing is gone"
    return f"the ledger was rescued{by}; {lost}; this program goes on with what was saved"


def _few(gone: Sequence[object]) -> str:
    """Say the first three, and how many more there are."""
    return "; ".join(map(str, gone[:3])) + (f" and {len(gone) - 3} more" if len(gone) > 3 else "")
