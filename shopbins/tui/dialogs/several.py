"""Pick one or several: enter takes the row and what was added with tab; what is typed or scanned narrows."""

from __future__ import annotations

from collections.abc import Sequence

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog, TypedLine
from shopbins.tui.dialogs.pick import MOST_ROWS, Choice, narrowed
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.tui.widgets.lines import Words

NOTHING = "\nnothing"


class Several(Dialog[tuple[str, ...]]):
    """Gives the values picked, in the order they were; `nothing` is a row that gives none of them.

    With `free`, what is typed can be picked as well.
    """

    DEFAULT_CSS = """
    Several LineList { height: auto; max-height: 14; }
    """

    def __init__(
        self,
        title: str,
        choices: Sequence[Choice],
        *,
        nothing: str = "",
        says: Sequence[str] = (),
        free: bool = False,
    ) -> None:
        super().__init__()
        self._free = free
        self._title, self._says = title, list(says)
        self._source = narrowed(choices)
        self._nothing = Choice(NOTHING, nothing) if nothing else None
        self._added: dict[str, str] = {}
        self._choices: list[Choice] = []

    def compose(self) -> ComposeResult:
        """Lay title, what was added, line and list under each other."""
        with Vertical(classes="box"):
            yield Static(plain(self._title), classes="title", markup=False)
            for line in self._says:
                yield Static(plain(line), classes="says", markup=False)
            yield Words(id="added", classes="says")
            yield TypedLine(placeholder="type a few letters, or scan a label", id="typed")
            yield LineList((Column("", 22, 1.0), Column("", 20, 1.3)), head=False, empty="nothing of that name", id="choices")  # noqa: E501  # fmt: skip
            yield Static(
                "enter chooses · tab adds it and asks for more · esc cancels", classes="hint", markup=False
            )

    def on_mount(self) -> None:
        """Show every choice, the cursor on the likeliest."""
        self._narrow("")
        self.query_one(TypedLine).focus()

    def _narrow(self, typed: str) -> None:
        found = [each for each in self._source(typed) if each.value not in self._added]
        if self._free and typed.strip() and not any(each.text == typed.strip() for each in found):
            found.append(Choice(typed.strip(), typed.strip(), "as typed"))
        first = self._nothing if not self._added else Choice(NOTHING, "that is all")
        extra = [first] if first is not None and not typed.strip() else []
        self._choices = [*extra, *found]
        lines = self.query_one(LineList)
        lines.styles.height = max(1, min(MOST_ROWS, len(self._choices), max(1, self.app.size.height - 9)))
        likeliest = 1 if extra and found and not self._added else 0
        lines.show(len(self._choices), self._row, likeliest)
        names = " and ".join(self._added.values())
        self.query_one("#added", Static).update(plain(f"◆ {names}") if names else "")

    def _row(self, number: int) -> list[Cell]:
        choice = self._choices[number]
        return [choice.text, (choice.beside, "dim")]

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Narrow as one types."""
        self._narrow(event.value)

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Give the row under the cursor and what was added."""
        event.stop()
        self._give(self.query_one(LineList).cursor)

    def on_line_list_chosen(self, event: LineList.Chosen) -> None:
        """Give the row chosen and what was added."""
        self._give(event.row)

    def _give(self, row: int) -> None:
        if not 0 <= row < len(self._choices):
            self.app.bell()
            return
        chosen = self._choices[row].value
        self.dismiss((*self._added, *(() if chosen == NOTHING else (chosen,))))

    def on_key(self, event: events.Key) -> None:
        """Move in the list while typing; tab adds the row."""
        lines = self.query_one(LineList)
        moves = {"up": "cursor_up", "down": "cursor_down", "pageup": "page_up", "pagedown": "page_down"}
        if event.key in moves:
            event.stop()
            getattr(lines, f"action_{moves[event.key]}")()
        elif event.key == "tab":
            event.stop()
            event.prevent_default()
            if 0 <= lines.cursor < len(self._choices):
                choice = self._choices[lines.cursor]
                if choice.value != NOTHING:
                    self._added[choice.value] = choice.text
                self.query_one(TypedLine).value = ""
                self._narrow("")
