"""Before quitting: what was accepted only for now is asked about again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.words import told

if TYPE_CHECKING:
    from shopbins.rules.finding import Finding

MOST = 8


def for_now(findings: Iterable[Finding]) -> list[Finding]:
    """Return what was accepted only for now."""
    return [f for f in findings if f.accepted is not None and f.accepted.for_now]


class Leaving(Dialog[bool]):
    """Gives True to quit anyway, False to go to the Audit, None to stay."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,q,ctrl+q", "leave", "leave", show=False),
        Binding("3", "audit", "audit", show=False),
    ]

    def __init__(self, left: Sequence[Finding]) -> None:
        super().__init__()
        self._left = left

    def compose(self) -> ComposeResult:
        """List them."""
        with Vertical(classes="box"):
            yield Static("Accepted for now, and still open:", classes="title", markup=False)
            for finding in self._left[:MOST]:
                yield Static(told(finding), classes="says", markup=False)
            if len(self._left) > MOST:
                yield Static(f"and {len(self._left) - MOST} more", classes="says", markup=False)
            yield Static("enter quits anyway · 3 the audit · esc stays", classes="hint", markup=False)

    def action_leave(self) -> None:
        """Leave."""
        self.dismiss(True)

    def action_audit(self) -> None:
        """Go to the Audit instead."""
        self.dismiss(False)
