"""What a ledger's folder holds: journal, snapshot and end mark, and the documents they fold to."""

from __future__ import annotations

import contextlib
from typing import NamedTuple

from shopbins.ledger import endmark
from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.endmark import End
from shopbins.ledger.events import Event
from shopbins.ledger.files import Files
from shopbins.ledger.journal import Journal, Moved, ReadMark
from shopbins.ledger.problems import Damaged, LedgerProblem
from shopbins.ledger.shapes import STUMBLES, wrong_to_fold
from shopbins.ledger.state import State


def counted(count: int, what: str) -> str:
    """Say how many: '1 record', '12 records'."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


class Known(NamedTuple):
    """Up to which record, by number and digits, a journal is known to be recorded for good."""

    seq: int
    chain: str


class LedgerStorage:
    """Journal, snapshot and fold of one folder: what is on the disk and what it comes to."""

    def __init__(
        self,
        folder: str,
        files: Files,
        prefix: str,
        *,
        write: bool,
        hold_s: float | None = None,
        after: LedgerStorage | None = None,
    ) -> None:
        """Read the folder; with `hold_s` as the only one who may write, as long as the journal is held.

        Raises Damaged, before anything is written, where it does not hold what its end mark tells of or what
        an earlier reading, `after`, knew.
        """
        self.folder = folder
        self.files = files
        self.write_allowed = write
        self.snapshot_size = 0
        self.snapshot_mark: ReadMark | None = None
        end = endmark.read(folder, files)  # before the journal, which only gets longer
        beside = endmark.read_beside(folder, files)
        self._end = endmark.EndMark(f"{folder}/{endmark.NAME}", files)
        self._given = -1
        self._looks = 0
        self.journal = Journal(folder, files, write=write, hold_s=hold_s)
        try:
            self.known = Known(0, self.journal.start.chain)
            self.state = self._load(prefix)
            if end is not None:
                self._check_against(end)
            if after is not None:
                self._check_after(after)
            if hold_s is not None:
                self._replay(self.state, locked=True)
                self._now_known()
                if end is not None and end.seq < self.known.seq:
                    self.mark_end()  # a program was killed before it came to it
            if beside is not None:
                self._look_beside(beside)
        except Moved:
            self.journal.close()
            raise LedgerProblem(f"{self.journal.path}: changed while it was read (try again)") from None
        except BaseException:
            self.journal.close()
            raise

    def _load(self, prefix: str) -> State:
        """Fold the journal, from the snapshot on if that was made from this very journal."""
        found = snapshots.load(self.folder, self.files)
        if found is not None and found.uuid == self.journal.uuid:
            if self.journal.go_to(found.mark):
                state = State(found.tables, found.mark.seq, prefix, found.serial)
                with contextlib.suppress(Moved):  # the record after it is damaged: go through from the start
                    self._replay(state, locked=False)
                    self.snapshot_mark, self.snapshot_size = found.mark, found.body_size
                    return state
            else:
                self._check_end(found.mark)
            self.journal.begin()
        state = State(prefix=prefix)
        self._replay(state, locked=False)
        return state

    def _check_end(self, made_at: ReadMark) -> None:
        """Refuse a journal that is whole but shorter than when the snapshot was made."""
        journal = self.journal
        journal.read_new(locked=False)
        if journal.mark.seq < made_at.seq:
            raise self._shorter(made_at.seq, f"when {snapshots.NAME} was made")

    def _shorter(self, seq: int, when: str) -> Damaged:
        mark = self.journal.mark
        lost = counted(seq - mark.seq, "record")
        return Damaged(
            f"{self.journal.path}:{mark.lines}",
            f"the journal ends here with record {mark.seq}, but had {seq} {when}: {lost} lost at its end",
        )

    def _check_against(self, end: End) -> None:
        """Refuse a journal that lacks what its end mark tells of; take over the serial it knows."""
        journal = self.journal
        if end.uuid != journal.uuid:
            if end.uuid == journal.rescued:
                return
            raise Damaged(
                journal.path, f"is not the journal {endmark.NAME} beside it belongs to: another shop's?"
            )
        found = journal.digits_at(end.seq)
        if found is None:
            raise self._shorter(end.seq, "before")
        if found != end.chain:
            raise Damaged(
                f"{journal.path}:{end.seq + 1}",
                f"record {end.seq} is another than was recorded: of another past",
            )
        self.state.last_serial = max(self.state.last_serial, end.serial)
        self.known = Known(end.seq, end.chain)

    def _look_beside(self, beside: End) -> None:
        """Give no number again that was given here before, and say so if this is an older copy."""
        journal, state = self.journal, self.state
        above = ""
        if beside.serial > state.last_serial:
            state.last_serial = beside.serial
            above = f"labels are numbered from {beside.serial + 1} on, as the ones below were given"
        if beside.uuid != journal.uuid:
            if above and not state.seq:
                journal.notes.append(f"{above} here before")
            return
        found = journal.digits_at(beside.seq)
        if found is None:
            lost = counted(beside.seq - state.seq, "record")
            told = f"this is an older copy of the ledger: it lacks at least {lost} made here since"
        elif found != beside.chain:
            told = f"record {beside.seq} of this ledger is another than was recorded here: of another past"
        else:
            return
        journal.notes.append(f"{self.folder}: {told}{above and f'; {above}'}")

    def _now_known(self) -> None:
        """Hold everything read so far for recorded: nobody else can be in the middle of it."""
        self.known = Known(self.journal.mark.seq, self.journal.mark.chain)

    def _check_after(self, other: LedgerStorage) -> None:
        """Refuse what is not what an earlier reading knew, nor a later state of it."""
        journal, known = self.journal, other.known
        if other.journal.uuid == journal.rescued:
            return
        if other.journal.uuid != journal.uuid:
            raise Damaged(journal.path, "is another shop's")
        found = journal.digits_at(known.seq)
        if found is None:
            lost = counted(known.seq - journal.mark.seq, "record")
            raise Damaged(journal.path, f"is {lost} shorter than what was recorded")
        if found != known.chain:
            raise Damaged(journal.path, "holds other records than were recorded")

    def _replay(self, state: State, *, locked: bool) -> None:
        with snapshots.collector_off():
            for event in self.journal.read_new(locked=locked):
                self._fold(state, event)

    def _fold(self, state: State, event: Event) -> None:
        """Fold a record in; Damaged where what it sets is nothing a document can hold."""
        self._check(event)
        try:
            state.apply(event.after, event.seq, event.kind)
        except STUMBLES as problem:
            raise self._forged(event, f"it cannot be taken up ({type(problem).__name__})") from None

    def _check(self, event: Event) -> None:
        if wrong := wrong_to_fold(event):
            raise self._forged(event, wrong)

    def _forged(self, event: Event, what: str) -> Damaged:
        where = f"{self.journal.path}:{event.seq + 1}"
        return Damaged(where, f"record {event.seq} is damaged or forged: {what}")

    # -- following and writing (the caller holds the lock where it says so)

    def catch_up(self, *, locked: bool) -> list[Event]:
        """Read what others wrote since; raises Moved where the journal must be opened anew.

        Damaged if one of the new records is: then none of them is taken up, now or at the next try.
        """
        events = []
        if self.journal.grown(whole=locked):
            place = self.journal.place
            events = self.journal.read_new(locked=locked)
            try:
                for event in events:
                    self._check(event)
                for event in events:
                    self._fold(self.state, event)
            except Damaged:
                self.journal.back_to(place)
                raise
        if self.journal.looks != self._looks:
            self._ask_beside()
        if self.known.seq < self.journal.mark.seq:
            if locked:
                self._now_known()
            else:
                self._ask_end()
        return events

    def _ask_beside(self) -> None:
        """Take over the highest number from the mark beside, where the folder may have been away."""
        self._looks = self.journal.looks
        beside = endmark.read_beside(self.folder, self.files)
        if beside is not None:
            self.state.last_serial = max(self.state.last_serial, beside.serial)

    def _ask_end(self) -> None:
        """Learn from the end mark whether what was read last is recorded, or may yet be taken back."""
        end = endmark.read(self.folder, self.files)
        if end is not None and end.uuid == self.journal.uuid and end.seq >= self.journal.mark.seq:
            self._now_known()

    def commit(self, event: Event) -> None:
        """Make an event durable, then fold it in. Under the lock."""
        journal = self.journal
        journal.append(event)
        self.state.apply(event.after, event.seq, event.kind)
        if not journal.in_place():
            raise LedgerProblem(
                f"{journal.path}: was taken away while this was being recorded; "
                "this change may be recorded: look first"
            )
        self._now_known()
        end = self.mark_end()
        if end.serial != self._given:
            endmark.write(self.folder + endmark.BESIDE, self.files, end, journal.in_place)
            self._given = end.serial

    def mark_end(self) -> End:
        """Write the end mark: what is known to be recorded is. Under the lock."""
        end = End(self.journal.uuid, *self.known, self.state.last_serial)
        self._end.write(end, self.journal.in_place)
        return end

    def save_snapshot(self) -> bool:
        """Write the snapshot if there is anything new; False where the disk would not take it."""
        mark = self.journal.mark
        if mark == self.snapshot_mark:
            return True
        taken = snapshots.Snapshot(self.journal.uuid, mark, self.state.last_serial, self.state.tables)
        try:
            self.snapshot_size = snapshots.save(self.folder, self.files, taken, self.journal.in_place)
        except (OSError, LedgerProblem):
            return False
        self.snapshot_mark = mark
        return True

    @property
    def behind_bytes(self) -> int:
        """How much of the journal the snapshot does not cover."""
        made_at = self.snapshot_mark.size if self.snapshot_mark is not None else 0
        return self.journal.mark.size - made_at

    def close(self) -> None:
        """Let the journal go."""
        self._end.close()
        self.journal.close()
