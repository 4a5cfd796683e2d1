"""TinyDB over the ledger: its tables are the fold of the events, and a change to one becomes an event.

The only file that touches TinyDB's inner methods (`Table._update_table`, `Table._get_next_id`; version
pinned). TinyDB's own way, rewriting every document at each change, is replaced: the storage holds the live
documents, and an update is recorded as one event by whoever opened the storage.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping, MutableMapping
from typing import Any

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Table

from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.events import Changes, Event, Tables, new_id
from shopbins.ledger.files import Files
from shopbins.ledger.journal import Journal, Mark, Moved
from shopbins.ledger.problems import LedgerProblem
from shopbins.ledger.state import State

Edit = Callable[["Overlay"], None]
Record = Callable[[str, Edit], None]


class LedgerStorage(Storage):
    """Journal, snapshot and fold of one folder: what is on the disk and what it comes to."""

    def __init__(self, folder: str, files: Files, prefix: str, *, write: bool, locked: bool) -> None:
        super().__init__()
        self.folder = folder
        self.files = files
        self.write_allowed = write
        self.record: Record | None = None
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


class Overlay(MutableMapping[str, dict[str, Any]]):
    """A table to be edited: documents are copied when touched, and `after` says what came of it."""

    def __init__(self, docs: Mapping[str, dict[str, Any]]) -> None:
        self._docs = docs
        self._touched: dict[str, dict[str, Any] | None] = {}

    def __getitem__(self, key: str) -> dict[str, Any]:
        if key not in self._touched:
            self._touched[key] = _copied(self._docs[key])
        found = self._touched[key]
        if found is None:
            raise KeyError(key)
        return found

    def __contains__(self, key: object) -> bool:
        return self._touched[key] is not None if key in self._touched else key in self._docs

    def __setitem__(self, key: str, doc: dict[str, Any]) -> None:
        self._touched[key] = dict(doc)

    def __delitem__(self, key: str) -> None:
        if key not in self:
            raise KeyError(key)
        self._touched[key] = None

    def __iter__(self) -> Iterator[str]:
        yield from (key for key in self._docs if self._touched.get(key, True) is not None)
        yield from (key for key, doc in self._touched.items() if doc is not None and key not in self._docs)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def after(self, table: str) -> Changes:
        """Return the changed fields of the changed documents."""
        changes: dict[str, dict[str, Any] | None] = {}
        for key, new in self._touched.items():
            old = self._docs.get(key)
            if new is None:
                if old is not None:
                    changes[f"{table}:{key}"] = None
            elif old is None:
                changes[f"{table}:{key}"] = new
            elif old != new:
                fields = {name: value for name, value in new.items() if old.get(name) != value}
                gone = {name: None for name in old if name not in new}
                changes[f"{table}:{key}"] = {**fields, **gone}
        return changes


def _copied(value: Any) -> Any:
    """Return a deep copy of a JSON value."""
    if isinstance(value, dict):
        return {name: _copied(each) for name, each in value.items()}
    if isinstance(value, list):
        return [_copied(each) for each in value]
    return value


class LedgerTable(Table):
    """A table whose documents are keyed by text and whose updates are recorded as events."""

    document_id_class = str  # type: ignore[assignment]

    def __init__(self, storage: LedgerStorage, name: str, **options: Any) -> None:
        options["cache_size"] = 0  # others' events change the documents beneath any cached query
        super().__init__(storage, name, **options)

    def _update_table(self, updater: Callable[[Any], None]) -> None:
        """Have the change recorded instead of rewriting the whole store."""
        storage = self._storage
        if not isinstance(storage, LedgerStorage) or storage.record is None:
            raise LedgerProblem("this ledger is open for reading only")
        storage.record(self.name, updater)

    def _get_next_id(self) -> str:
        """Give a new document a UUID; numbers would clash between terminals."""
        return new_id()


class LedgerDB(TinyDB):
    """TinyDB with our tables: `db.table('group').search(where('disposition') == 'repair')`."""

    table_class = LedgerTable  # type: ignore[assignment]


__all__ = ["LedgerDB", "LedgerStorage", "LedgerTable", "Moved", "Overlay"]
