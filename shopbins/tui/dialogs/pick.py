"""Pick one of a list: by digit where it is short, by typing a few letters where it is long."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog, TypedLine
from shopbins.tui.widgets.linelist import Cell, Column, LineList

Typed = str

MOST_ROWS = 14


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice: what it gives, what it is called, and what is said beside it."""

    value: str
    text: str
    beside: str = ""


Source = Callable[[str], Sequence[Choice]]


def narrowed(choices: Iterable[Choice]) -> Source:
    """Return a source of the choices that have every typed word somewhere.

    First the one called so, then those beginning with it.
    """
    kept = tuple(choices)

    def source(typed: str) -> Sequence[Choice]:
        words = typed.casefold().split()
        if not words:
            return kept
        hits = [c for c in kept if all(w in f"{c.text} {c.beside}".casefold() for w in words)]
        name = " ".join(words)

        def far(choice: Choice) -> tuple[bool, bool]:
            text = choice.text.casefold()
            return text != name, not text.startswith(words[0])

        return sorted(hits, key=far)

    return source


class Pick(Dialog[str]):
    """Gives the value of the choice picked; with `free`, also what was typed ('=' before it).

    With `deliberate`, enter takes a row only after the cursor was moved: a key pressed twice decides nothing.
    One that comes up `by_itself` takes no digit either: it may be meant for what was on the screen before.
    """

    DEFAULT_CSS = """
    Pick LineList { height: auto; max-height: 14; }
    """

    def __init__(
        self,
        title: str,
        source: Source | Sequence[Choice],
        *,
        says: Sequence[str] = (),
        digits: bool = False,
        hint: str = "",
        free: bool = False,
        deliberate: bool = False,
        by_itself: bool = False,
        placeholder: str = "type a few letters",
        empty: str = "nothing of that name",
    ) -> None:
        super().__init__()
        self._unmoved = deliberate or by_itself
        self._by_itself = by_itself
        self._title, self._says, self._hint = title, list(says), hint
        self._source: Source = source if callable(source) else narrowed(source)
        self._digits = digits
        self._placeholder, self._empty = placeholder, empty
        self._free = free
        self._choices: Sequence[Choice] = ()

    def compose(self) -> ComposeResult:
        """Lay title, line and list under each other."""
        with Vertical(classes="box"):
            yield Static(self._title, classes="title", markup=False)
            for line in self._says:
                yield Static(line, classes="says", markup=False)
            if not self._digits:
                yield TypedLine(placeholder=self._placeholder, id="typed")
            yield LineList(self._columns(), head=False, empty=self._empty, id="choices")
            hint = "press a digit" if self._digits and not self._by_itself else "↑ ↓ move"
            yield Static(self._hint or f"{hint} · enter chooses · esc cancels", classes="hint", markup=False)

    def _columns(self) -> tuple[Column, ...]:
        beside = any(choice.beside for choice in self._source(""))
        text = (Column("", 22, 1.0), Column("", 20, 1.3)) if beside else (Column("", 40, 1.0),)
        return (Column("", 4), *text) if self._digits else text

    def on_mount(self) -> None:
        """Show every choice."""
        self._narrow("")
        (self.query_one(LineList) if self._digits else self.query_one(TypedLine)).focus()

    def _narrow(self, typed: str) -> None:
        self._choices = self._source(typed)
        lines = self.query_one(LineList)
        lines.styles.height = max(1, min(MOST_ROWS, len(self._choices), max(1, self.app.size.height - 8)))
        lines.show(len(self._choices), self._row)

    def _row(self, number: int) -> list[Cell]:
        choice = self._choices[number]
        cells: list[Cell] = [choice.text, (choice.beside, "dim")]
        number_shown = number < 9 and not self._by_itself
        return [f" {number + 1}" if number_shown else " ", *cells] if self._digits else cells

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Narrow as one types."""
        self._narrow(event.value)

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Take the choice under the cursor."""
        event.stop()
        self._take(self.query_one(LineList).cursor, event.value)

    def on_line_list_chosen(self, event: LineList.Chosen) -> None:
        """Take the row chosen."""
        if self._unmoved:
            self.app.bell()
        else:
            self._take(event.row, "")

    def on_key(self, event: events.Key) -> None:
        """Take a choice by its digit; move in the list while typing."""
        if self._digits and event.key.isdigit() and 0 < int(event.key) <= len(self._choices):
            event.stop()
            if self._by_itself:
                self.app.bell()
            else:
                self._take(int(event.key) - 1, "")
        elif self._digits:
            self._unmoved = self._unmoved and event.key not in ("up", "down", "home", "end")
        elif event.key in ("up", "down", "pageup", "pagedown"):
            event.stop()
            name = {"up": "cursor_up", "down": "cursor_down", "pageup": "page_up", "pagedown": "page_down"}[
                event.key
            ]
            getattr(self.query_one(LineList), f"action_{name}")()

    def _take(self, row: int, typed: str) -> None:
        if 0 <= row < len(self._choices):
            self.dismiss(self._choices[row].value)
        elif self._free and typed.strip():
            self.dismiss(f"={typed.strip()}")
