"""TinyDB over the ledger, for reading: its tables are the fold of the events.

The storage holds the live documents; a search gives copies of them. Writing through TinyDB is refused, as no
rule would have judged it: the inner method touched is `Table._update_table`, which every change goes by.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from typing import Any, NoReturn

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document, Table

from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.events import Event, Tables
from shopbins.ledger.files import Files
from shopbins.ledger.journal import Journal, Mark, Moved
from shopbins.ledger.problems import LedgerProblem
from shopbins.ledger.state import State


class LedgerStorage(Storage):
    """Journal, snapshot and fold of one folder: what is on the disk and what it comes to."""

    def __init__(self, folder: str, files: Files, prefix: str, *, write: bool, locked: bool) -> None:
        super().__init__()
        self.folder = folder
        self.files = files
        self.write_allowed = write
        self.snapshot_size = 0
        self.snapshot_mark: Mark | None = None
        self.journal = Journal(folder, files, write=write)
        try:
            self.state = self._load(prefix, locked)
        except BaseException:
            self.journal.close()
            raise

    def _load(self, prefix: str, locked: bool) -> State:
        """Fold the journal, from the snapshot on if that was made from this very journal."""
        found = snapshots.load(self.folder, self.files)
        if found is not None and found.uuid == self.journal.uuid:
            if self.journal.holds(found.mark):
                state = State(found.tables, found.mark.seq, prefix, found.serial)
                self.journal.mark = found.mark
                with contextlib.suppress(Moved):  # the record after it is damaged: go through from the start
                    self._replay(state, locked)
                    self.snapshot_mark, self.snapshot_size = found.mark, found.body_size
                    return state
            else:
                self._check_end(found.mark)
            self.journal.mark = self.journal.start
        state = State(prefix=prefix)
        self._replay(state, locked)
        return state

    def _check_end(self, made_at: Mark) -> None:
        """Refuse a journal that is whole but shorter than when the snapshot was made."""
        journal = self.journal
        journal.read_new(locked=False)
        if journal.mark.seq < made_at.seq:
            raise LedgerProblem(
                f"{journal.path}:{journal.mark.lines}: the journal ends here, but had {made_at.seq} records "
                f"when {snapshots.NAME} was made: its end is lost (put the journal back from a copy, or "
                f"delete {snapshots.NAME} to go on with the {journal.mark.seq} records that are there)"
            )

    def _replay(self, state: State, locked: bool) -> None:
        with snapshots.collector_off():
            for event in self.journal.read_new(locked=locked):
                state.apply(event.after, event.seq, event.kind)

    # -- following and writing (the caller holds the lock where it says so)

    def catch_up(self, *, locked: bool) -> list[Event]:
        """Read what others wrote since; raises Moved where the journal must be opened anew."""
        if not self.journal.grown():
            return []
        events = self.journal.read_new(locked=locked)
        for event in events:
            self.state.apply(event.after, event.seq, event.kind)
        return events

    def commit(self, event: Event) -> None:
        """Make an event durable, then fold it in. Under the lock."""
        self.journal.append(event)
        self.state.apply(event.after, event.seq, event.kind)

    def trim(self) -> None:
        """Leave the journal without room ahead, for whoever looks at it or copies it. Under the lock."""
        with contextlib.suppress(Moved):
            self.catch_up(locked=True)
            self.journal.trim()

    def save_snapshot(self) -> bool:
        """Write the snapshot if there is anything new; False where the disk would not take it."""
        mark = self.journal.mark
        if mark == self.snapshot_mark:
            return True
        taken = snapshots.Snapshot(self.journal.uuid, mark, self.state.last_serial, self.state.tables)
        try:
            self.snapshot_size = snapshots.save(self.folder, self.files, taken)
        except OSError:
            return False
        self.snapshot_mark = mark
        return True

    @property
    def behind_bytes(self) -> int:
        """How much of the journal the snapshot does not cover."""
        made_at = self.snapshot_mark.size if self.snapshot_mark is not None else 0
        return self.journal.mark.size - made_at

    # -- as TinyDB sees it

    def read(self) -> Tables:
        """Return the live documents."""
        return self.state.tables

    def write(self, data: Mapping[str, Any]) -> None:  # noqa: ARG002
        """Refuse: a ledger is changed by events, never as a whole."""
        raise LedgerProblem("a ledger is changed by events only, never rewritten as a whole")

    def close(self) -> None:
        """Let the journal go."""
        self.journal.close()


def _copied(value: Any) -> Any:
    """Return a deep copy of a JSON value."""
    if isinstance(value, dict):
        return {name: _copied(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_copied(each) for each in value]
    return value


class Copied(Document):
    """A document as a search gives it: a copy through and through, so nobody changes the ledger by it."""

    def __init__(self, value: Mapping[str, Any], doc_id: Any) -> None:
        super().__init__(_copied(value), doc_id)


class LedgerTable(Table):
    """A table of the ledger to be searched: keyed by text, never written to."""

    document_class = Copied
    document_id_class = str  # type: ignore[assignment]

    def __init__(self, storage: LedgerStorage, name: str, **options: Any) -> None:
        options["cache_size"] = 0  # others' events change the documents beneath any cached query
        super().__init__(storage, name, **options)

    def _update_table(self, updater: Callable[[Any], None]) -> NoReturn:  # noqa: ARG002
        """Refuse, before TinyDB edits what it read: what no act judged is not recorded."""
        raise LedgerProblem("a table is for reading: changes are recorded by acts (docs/scripting.md)")

    def _get_next_id(self) -> NoReturn:
        """Refuse a new document too, as TinyDB numbers it before it writes."""
        self._update_table(lambda _: None)


class LedgerDB(TinyDB):
    """TinyDB with our tables: `db.table('group').search(where('disposition') == 'repair')`."""

    table_class = LedgerTable  # type: ignore[assignment]


__all__ = ["LedgerDB", "LedgerStorage", "LedgerTable", "Moved"]
