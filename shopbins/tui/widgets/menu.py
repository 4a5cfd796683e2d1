"""Lines behind letters, in as many columns as fit side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from shopbins.tui.text import fit, shortened
from shopbins.tui.widgets.colours import theme_style

LEAST_COLS, LEAST_KEY_COLS = 36, 8
MOST_IN_ONE = 12
"""A menu of more lines takes two columns where there is room."""


class Menu(Widget, can_focus=True):
    """Draws (letter, what it does, why it cannot be done, more), with a cursor; its owner hears letters.

    `beside` are the rows of the window that others take; where the lines do not all have room they scroll.
    """

    @dataclass
    class Chosen(Message):
        """A line was chosen with enter or the mouse."""

        number: int

    class Moved(Message):
        """The cursor went to another line."""

    def __init__(
        self, lines: Sequence[tuple[str, str, str, str]], *, beside: int = 0, id: str | None = None  # noqa: A002
    ) -> None:  # fmt: skip
        super().__init__(id=id)
        self._beside, self._top = beside, 0
        self.lines = tuple(lines)
        self.moved = False
        self._key_cols = max(LEAST_KEY_COLS, *(len(letter) + 4 for letter, *_ in self.lines), 0)
        self.cursor = next((n for n, (_, _, why, _) in enumerate(self.lines) if not why), 0)

    def _cols(self, width: int) -> int:
        return 2 if len(self.lines) > MOST_IN_ONE and width >= 2 * LEAST_COLS else 1

    def _rows(self, width: int) -> int:
        return -(-len(self.lines) // self._cols(width))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """Take a row for each line of a column, as many as there is room for."""
        return max(1, min(self._rows(width), viewport.height - self._beside))

    @property
    def scrolls(self) -> bool:
        """Whether there are more rows than have room."""
        return self._rows(self.size.width) > self.size.height

    def render_line(self, y: int) -> Strip:
        """Draw one row: a line of each column."""
        width = self.size.width
        cols, rows = self._cols(width), self._rows(width)
        wide = width // cols
        room = wide - self._key_cols - 1
        segments: list[Segment] = []
        y += self._top
        for column in range(cols):
            number = column * rows + y
            if y >= rows or number >= len(self.lines):
                continue
            letter, says, why, more = self.lines[number]
            here = number == self.cursor
            lit = Style(reverse=True) if here else Style()
            quiet = theme_style(self, "foreground", 0.7 if why else 1.0) + lit
            bold = quiet + Style(bold=not why)
            said = f"{says}: {more}" if more and cols == 1 else says
            said = f"{says} ({why})" if why else said
            segments.append(Segment(fit(f"  {letter}", self._key_cols), bold))
            segments.append(Segment(fit(shortened(said, room), room) + " ", quiet))
        return Strip(segments).adjust_cell_length(width, self.rich_style)

    def _move(self, by: int) -> None:
        if self.lines:
            self.moved = True
            self.cursor = max(0, min(len(self.lines) - 1, self.cursor + by))
            row = self.cursor % self._rows(self.size.width)
            self._top = max(min(self._top, row), row - max(1, self.size.height) + 1)
            self.refresh()
            self.post_message(self.Moved())

    def on_key(self, event: events.Key) -> None:
        """Move with the arrows, choose with enter."""
        rows = self._rows(self.size.width)
        steps = {"up": -1, "down": 1, "left": -rows, "right": rows, "home": -999, "end": 999}
        if event.key in steps:
            event.stop()
            self._move(steps[event.key])
        elif event.key == "enter" and self.lines and self.moved:
            event.stop()
            self.post_message(self.Chosen(self.cursor))

    def on_click(self, event: events.Click) -> None:
        """Choose the line clicked."""
        width = self.size.width
        cols, rows = self._cols(width), self._rows(width)
        row = event.y + self._top
        number = min(cols - 1, event.x // (width // cols)) * rows + row
        if row < rows and number < len(self.lines):
            self.post_message(self.Chosen(number))
