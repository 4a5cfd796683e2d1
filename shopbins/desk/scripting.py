"""A shop opened by a script: its tables searched, its acts done. Told with examples in docs/scripting.md."""

from __future__ import annotations

import os
import warnings
from collections.abc import Mapping
from typing import TYPE_CHECKING

from shopbins.desk.desk import Desk

if TYPE_CHECKING:
    from tinydb.table import Document, Table

    from shopbins.ledger.events import Event
    from shopbins.records.record import Wanted
    from shopbins.records.tables import TableColumn


class Incomplete(UserWarning):
    """What a script is shown may lack something that was recorded: damage, or an unfinished record."""


class OpenShop:
    """An open shop. Close it, or use it in a `with`; warns of what makes it `incomplete`.

    Raises ShopProblems where the shop file is wrong, BadInput, NotDone and StorageFailed (all with `lines`).
    """

    def __init__(
        self,
        shop: str | os.PathLike[str],
        ledger: str | os.PathLike[str] | None = None,
        *,
        by: str | None = None,
        readonly: bool = False,
    ) -> None:
        self.desk = Desk.open(shop, ledger, by=by, readonly=readonly)
        self.not_compared: list[str] = []
        if self.incomplete:
            warnings.warn("; ".join(self.incomplete), Incomplete, stacklevel=3)

    def __enter__(self) -> OpenShop:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def incomplete(self) -> tuple[str, ...]:
        """Why something that was recorded may be missing here, a line each, as the commands say it."""
        ledger = self.desk.ledger
        return (*ledger.damage, *ledger.doubts, *filter(None, [ledger.unfinished]))

    def close(self) -> None:
        """Let go of the ledger."""
        self.desk.close()

    def table(self, name: str) -> Table:
        """Return a table to be searched with TinyDB's queries: documents as the ledger has them, copied.

        What others recorded since it was opened is taken in first. Writing to it is refused: that is `do`.
        """
        self.desk.refresh()
        return self.desk.table(name)

    def columns(self, table: str) -> Mapping[str, TableColumn]:
        """Return what `shopbins list` shows of a table, by name; `column.value(document)` is one."""
        return self.desk.columns(table)

    def search(self, table: str, *conditions: str) -> list[Document]:
        """Return the documents that meet conditions as `shopbins list --where` takes them.

        What is not known meets no comparison; `not_compared` then says, in words, how many that were.
        """
        self.desk.refresh()
        found = self.desk.search(table, conditions)
        self.not_compared = found.not_compared
        return found.docs

    def do(self, *acts: Wanted) -> Event:
        """Do one act, or several as one event, judged as everywhere; a refusal leaves nothing recorded."""
        return self.desk.do(*acts)
