"""A page of lines to read, with scrolling."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.text import plain


class Page(Dialog[None]):
    """Lines to read; lines ending in ':' stand out. Any of escape, enter, q, ? closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q,question_mark,f1", "close", "close", show=False),
        Binding("down,j", "scroll(1)", show=False),
        Binding("up,k", "scroll(-1)", show=False),
        Binding("pagedown,space", "page(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("home", "ends(0)", show=False),
        Binding("end", "ends(1)", show=False),
    ]
    DEFAULT_CSS = """
    Page > .box { width: 84; height: auto; max-height: 100%; }
    Page VerticalScroll { height: auto; max-height: 100%; scrollbar-size-vertical: 1; }
    """

    def __init__(self, title: str, lines: Sequence[str]) -> None:
        super().__init__()
        self._title = title
        self._lines = [plain(line, 2000) for line in lines]

    def compose(self) -> ComposeResult:
        """Lay title and lines under each other."""
        with Vertical(classes="box"):
            yield Static(self._title, classes="title", markup=False)
            with VerticalScroll(can_focus=False):
                yield Static("\n".join(self._lines), markup=False)
            yield Static("↑ ↓ page up, page down scroll · esc closes", classes="hint", markup=False)

    def on_resize(self) -> None:
        """Leave room for title and hint."""
        self.query_one(VerticalScroll).styles.max_height = max(1, self.app.size.height - 4)

    def action_scroll(self, way: int) -> None:
        """Scroll by a line."""
        self.query_one(VerticalScroll).scroll_relative(y=way, animate=False)

    def action_page(self, way: int) -> None:
        """Scroll by a page."""
        lines = self.query_one(VerticalScroll)
        lines.scroll_relative(y=way * max(1, lines.size.height - 1), animate=False)

    def action_ends(self, last: int) -> None:
        """Scroll to the first or the last line."""
        lines = self.query_one(VerticalScroll)
        lines.scroll_to(y=lines.max_scroll_y if last else 0, animate=False)
