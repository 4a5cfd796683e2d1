"""TinyDB over the ledger, for reading: its tables are the fold of the events.

A search gives copies of the live documents. Writing through TinyDB is refused, as no rule would have judged
it: the inner method touched is `Table._update_table`, which every change goes by.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NoReturn

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document, Table

from shopbins.ledger.events import Tables
from shopbins.ledger.problems import LedgerProblem
from shopbins.ledger.storage import LedgerStorage


class Live(Storage):
    """The documents of a ledger as they are now."""

    def __init__(self, ledger: LedgerStorage) -> None:
        super().__init__()
        self._ledger = ledger

    def read(self) -> Tables:
        """Return the live documents."""
        return self._ledger.state.tables

    def write(self, data: Mapping[str, Any]) -> None:  # noqa: ARG002
        """Refuse: a ledger is changed by events, never as a whole."""
        raise LedgerProblem("a ledger is changed by events only, never rewritten as a whole")


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

    def __init__(self, storage: Live, name: str, **options: Any) -> None:
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
