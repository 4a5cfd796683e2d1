"""The list of what is worst, under the numbers that stand on the plan."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len

from shopbins.tui.troubles import Trouble, summary
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.units import counted


class Worst(LineList):
    """Troubles worst first; where not all have room the last row says in a few words what is left out."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__((Column("", 4), Column("", 20, 1.0)), empty="", head=False, id=id)
        self.troubles: tuple[Trouble, ...] = ()
        self._records = ""
        self._told = 0

    def tell(self, troubles: Sequence[Trouble], records: str, empty: str) -> None:
        """Show other troubles; `records` is the one line about paperwork, `empty` what is said with none."""
        self.troubles, self._records, self.empty = tuple(troubles), records, empty
        self._fill()

    def on_resize(self) -> None:
        """Show as many as there now is room for."""
        self._fill()

    def on_focus(self) -> None:
        """Show them all, to be gone through."""
        super().on_focus()
        self._fill()

    def on_blur(self) -> None:
        """Show what there is room for."""
        super().on_blur()
        self._fill()

    def _fill(self) -> None:
        rows = len(self.troubles) + bool(self._records)
        height = max(1, self.size.height)
        if rows <= height or self.has_focus:
            self._told = len(self.troubles)
        else:
            self._told = min(len(self.troubles), height - 1)
            rows = self._told + 1
        self.show(rows, self._row_of, self.cursor)

    def current(self) -> Trouble | None:
        """Return the trouble of the row."""
        return self.troubles[self.cursor] if self.cursor < self._told else None

    def _row_of(self, number: int) -> list[Cell]:
        if number < self._told:
            trouble = self.troubles[number]
            if trouble.accepted:
                for_now = " for now" if trouble.for_now else ""
                return [(trouble.sign, "stop"), (f"accepted{for_now}: {trouble.text}", "dim")]
            stop = trouble.grade == "stop"
            return [(trouble.sign, f"mark-{trouble.grade}"), (trouble.text, "strong" if stop else "")]
        left = [*summary(self.troubles, self._told), *([self._records] if self._records else [])]
        first, rest = (left[0][:1], left[0][2:]) if left[0][0] in "■▲□" else ("…", left[0])
        text = " · ".join([rest, *(each.removeprefix("▲ ").removeprefix("□ ") for each in left[1:])])
        return [(first, "dim"), (text, "dim")]


def records_words(counts: Sequence[tuple[str, int]], places: int, width: int = 200) -> str:
    """Say what is to be done about the records in one line: 'records to complete at 12 places: weigh 16'."""
    if not places:
        return ""
    said = f"records to complete at {counted(places, 'place')}"
    for number, (word, count) in enumerate(counts):
        longer = f"{said}{', ' if number else ': '}{word} {count}"
        if cell_len(longer) > width:
            break
        said = longer
    return said
