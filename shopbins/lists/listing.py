"""What a list is: its title, its columns, the line of text of a row. `show.py` sets one in every form."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Generic, NamedTuple, TypeVar

R = TypeVar("R")


class Column(NamedTuple, Generic[R]):
    """One thing said of each row: its value as data, and where and how it is shown.

    `key` is its name in JSON and `head` its heading in a spreadsheet ('' leaves it out there). `shown` is its
    heading on the screen, where it is `cells` wide, takes `share` of what is left over and goes the sooner
    where there is no room the more it is `spared`; and on paper, where it has `paper` of the width; 0 leaves
    it out. `text` is how people read it (else the value), `grade` its look.
    """

    key: str
    head: str
    value: Callable[[R], Any]
    shown: str = ""
    cells: int = 0
    share: float = 0.0
    paper: float = 0.0
    text: Callable[[R], str] | None = None
    grade: Callable[[R], str] | None = None
    spared: int = 0

    def read(self, row: R) -> str:
        """Return what people read of a row."""
        found = self.text(row) if self.text else self.value(row)
        return "" if found is None else str(found)


class List(NamedTuple, Generic[R]):
    """One list. `line` sets a row as text, one line or more (None: its columns side by side); `more` is told
    below a row on paper.

    `boxed` rows have a box to tick there.
    """

    title: str
    empty: str
    under: str
    columns: tuple[Column[R], ...]
    line: Callable[[R], str] | None
    more: Callable[[R], Sequence[str]] = lambda _row: ()
    boxed: bool = False
