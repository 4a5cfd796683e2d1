"""Ask for one line; what cannot be read is told under it and nothing is lost."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.suggester import SuggestFromList
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.tui.dialogs.base import Dialog, TypedLine, refusal
from shopbins.tui.widgets.lines import Words

Wrong = Callable[[str], str | None]


class Ask(Dialog[str]):
    """Gives the line typed; `wrong` says in a line what cannot be read in it.

    `save` records it; where that raises ValueError or DeskError the line stays and says why.
    """

    def __init__(
        self,
        title: str,
        value: str = "",
        *,
        example: str = "",
        wrong: Wrong | None = None,
        offers: Sequence[str] = (),
        save: Callable[[str], None] | None = None,
    ) -> None:
        super().__init__()
        self._save = save
        self._title, self._value, self._example = title, value, example
        self._wrong = wrong
        self._offers = offers

    def compose(self) -> ComposeResult:
        """Lay title, line and what is wrong with it under each other."""
        with Vertical(classes="box"):
            yield Static(self._title, classes="title", markup=False)
            line = TypedLine(self._value, placeholder=self._example, id="typed")
            if self._offers:
                line.suggester = SuggestFromList(self._offers, case_sensitive=False)
            yield line
            yield Words(classes="wrong", id="wrong")
            complete = " · → completes" if self._offers else ""
            yield Static(f"enter saves{complete} · esc cancels", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Let typing begin at the end of what is there."""
        line = self.query_one(TypedLine)
        line.focus()
        line.cursor_position = len(self._value)

    def on_input_changed(self) -> None:
        """Forget what was wrong as soon as something else is typed."""
        self.query_one("#wrong", Static).update("")

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Give the line, if it can be read."""
        event.stop()
        value = event.value.strip()
        problem = self._wrong(value) if self._wrong is not None else None
        if not problem and value and self._save is not None:
            try:
                self._save(value)
            except (ValueError, DeskError) as refused:
                problem = refusal(refused)
        if problem:
            self.query_one("#wrong", Static).update(f"! {problem}")
            self.app.bell()
        else:
            self.dismiss(value)
