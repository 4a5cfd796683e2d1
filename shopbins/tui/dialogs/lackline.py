"""The line for what is lacking: enter records it, and it stays open for the next."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.ledger.problems import BadValue
from shopbins.records.shortage import SHORTAGE
from shopbins.tui.dialogs.base import TypedLine
from shopbins.tui.dialogs.typed import FootDialog
from shopbins.tui.text import plain

KEPT_LINES = 5


class LackLine(FootDialog[None]):
    """Records shortages by `record`, one line each; `position` waits unless a line says otherwise."""

    def __init__(self, record: Callable[[str], str], position: str | None = None) -> None:
        super().__init__()
        self._record = record
        self._position = position
        self._log: list[str] = []

    def compose(self) -> ComposeResult:
        """Lay what was recorded, the line and how it is understood under each other."""
        waits = (
            "" if self._position is None else f" before {self.desk.position(self._position).name} can go back"
        )
        with Vertical(classes="box"):
            yield Static(plain(f"What is lacking{waits}?"), classes="title", markup=False)
            yield Static("", id="log", classes="log", markup=False)
            yield TypedLine(placeholder=SHORTAGE.example, id="line")
            yield Static("", id="read", classes="read", markup=False)
            yield Static(
                "name first · for PART, before MILESTONE · enter records · esc closes",
                classes="hint", markup=False,
            )  # fmt: skip

    def on_mount(self) -> None:
        """Begin with the line."""
        self.query_one(TypedLine).focus()

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Say how the line is understood."""
        text = event.value.strip()
        try:
            said = SHORTAGE.understood(SHORTAGE.read_new(text, self.shopbins.today())) if text else ""
        except BadValue as problem:
            said = f"! {problem}"
        self.query_one("#read", Static).update(plain(said, 600))

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Record the line."""
        event.stop()
        text = event.value.strip()
        if not text:
            self.dismiss(None)
            return
        try:
            said = self._record(text)
        except (BadValue, DeskError) as problem:
            self.query_one("#read", Static).update(
                plain(f"! {' · '.join(str(problem).splitlines()[:4])}", 600)
            )
            self.app.bell()
            return
        self.query_one(TypedLine).value = ""
        self.shopbins.changed()
        self._log = [*self._log, plain(f"✓ {said}", 300)][-KEPT_LINES:]
        self.query_one("#log", Static).update("\n".join(self._log))
