"""A tag as it would be printed: its QR code, large enough for a phone to read off the screen; its words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.text import plain

if TYPE_CHECKING:
    from shopbins.tags.drawn import Drawn

AROUND_COLS, AROUND_ROWS = 6, 6
LEAST_WORDS_COLS = 30


class TagView(Dialog[None]):
    """Shows one tag until a key is pressed."""

    DEFAULT_CSS = """
    TagView > .box { width: auto; max-width: 100%; }
    TagView #tag { height: auto; width: auto; }
    TagView #qr { width: auto; height: auto; color: ansi_bright_white; background: ansi_black; }
    TagView #words { width: 34; height: auto; padding: 0 0 0 2; }
    """

    def __init__(self, drawn: Drawn, sheet: str) -> None:
        super().__init__()
        self._drawn, self._sheet = drawn, sheet

    def compose(self) -> ComposeResult:
        """Lay the code left of the words."""
        from shopbins.tags.preview import preview, scale_for

        size = self.app.size
        scale = scale_for(size.width - AROUND_COLS - LEAST_WORDS_COLS, size.height - AROUND_ROWS)
        shown = preview(self._drawn, max(1, scale))
        far_m = self._drawn.faces[0][1].read_at_mm / 1000
        about = [
            *(plain(line, 200) for line in shown.words),
            "",
            f"on {self._sheet}, {self._drawn.width_mm:g} mm wide",
            f"code read from {far_m:.1f} m",
            *(f"! {plain(each, 200)}" for each in self._drawn.problems),
        ]
        with Vertical(classes="box"):
            yield Static(f"Tag {self._drawn.label.code}", classes="title", markup=False)
            with Horizontal(id="tag"):
                yield Static("\n".join(shown.qr), id="qr", markup=False)
                yield Static("\n".join(about), id="words", markup=False)
            yield Static("esc closes", classes="hint", markup=False)
