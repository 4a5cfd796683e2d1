"""A list of rows drawn line by line: only what is seen is ever asked for, so 10,000 rows cost as 10 do."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from shopbins.tui.keys.actions import bindings
from shopbins.tui.text import fit, shortened
from shopbins.tui.widgets.colours import theme_style

if TYPE_CHECKING:
    from shopbins.lists.listing import List

KEPT_STRIPS = 400


class Column(NamedTuple):
    """A column: its title, the cells it needs, its share of what is left over, how easily it is spared."""

    title: str
    width: int
    share: float = 0.0
    spared: int = 0


def screen_columns(listed: List[Any]) -> tuple[Column, ...]:
    """Return the columns of a list on the screen."""
    kept = [each for each in listed.columns if each.cells]
    return tuple(Column(each.shown, each.cells, each.share, each.spared) for each in kept)


Cell = str | tuple[str, str]
"""A text, or a text and the look it is drawn in, one of LOOKS."""

LOOKS: Mapping[str, tuple[str, float, Style]] = {
    "mark-stop": ("stop-ink", 1.0, Style(bold=True)),
    "mark-correct": ("fix-ink", 1.0, Style(bold=True)),
    "": ("foreground", 1.0, Style()),
    "head": ("foreground", 0.7, Style(underline=True)),
    "dim": ("foreground", 0.7, Style()),
    "strong": ("foreground", 1.0, Style(bold=True)),
    "stop": ("error", 1.0, Style(bold=True)),
    "correct": ("warning", 1.0, Style()),
    "note": ("accent", 1.0, Style()),
    "cursor": ("foreground", 1.0, Style(bold=True, reverse=True)),
    "cursor-far": ("foreground", 1.0, Style(bold=True, underline=True)),
}
"""Each look: a colour of the theme, its share over the background, and what else."""

GROUNDS: Mapping[str, str] = {"mark-stop": "stop-ground", "mark-correct": "fix-ground"}
"""Looks that have a ground of their own, which covers their text and nothing beside it."""

Row = Sequence[Cell]


class LineList(ScrollView, can_focus=True):
    """Rows with a cursor. `rows(number)` gives a row's cells when it is drawn, and never before."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("list")]
    DEFAULT_CSS = "LineList { height: 1fr; scrollbar-size-vertical: 1; overflow-x: hidden; }"

    cursor: reactive[int] = reactive(0, repaint=False)

    @dataclass(eq=False, repr=False)
    class Moved(Message):
        """The cursor stands on another row."""

        lines: LineList
        row: int

    @dataclass(eq=False, repr=False)
    class Chosen(Message):
        """A row was chosen with enter or a double click."""

        lines: LineList
        row: int

    @dataclass(eq=False, repr=False)
    class HeadClicked(Message):
        """The mouse pressed a column's heading."""

        lines: LineList
        title: str

    def __init__(
        self,
        columns: Sequence[Column],
        *,
        empty: str = "",
        head: bool = True,
        id: str | None = None,  # noqa: A002
    ) -> None:
        super().__init__(id=id)
        self.columns = tuple(columns)
        self.empty = empty
        self._head = 1 if head else 0
        self._count = 0
        self._rows: Callable[[int], Row] = lambda _: ()
        self._strips: dict[tuple[int, int, int], Strip] = {}
        self._styles: dict[str, Style] = {}
        self._widths: tuple[int, tuple[int, ...]] = (-1, ())

    @property
    def count(self) -> int:
        """How many rows there are."""
        return self._count

    def set_columns(self, columns: Sequence[Column]) -> None:
        """Show other columns; `show` gives the rows that go with them."""
        self.columns = tuple(columns)
        self._widths = (-1, ())

    def show(self, count: int, rows: Callable[[int], Row], cursor: int = 0) -> None:
        """Show other rows, the cursor on one of them."""
        self._count, self._rows = count, rows
        self._strips.clear()
        self.virtual_size = Size(0, count + self._head)  # without a width, so that a new one is no new layout
        self.set_reactive(LineList.cursor, max(0, min(cursor, count - 1)))
        self._reach()
        self.refresh()
        self.post_message(self.Moved(self, self.cursor))

    def redraw(self) -> None:
        """Draw the same rows again: what they show has changed."""
        self._strips.clear()
        self.refresh()

    def watch_cursor(self, before: int, after: int) -> None:
        """Redraw the two rows the cursor left and reached."""
        self._reach()
        for row in (before, after):
            self._refresh_row(row)
        self.post_message(self.Moved(self, after))

    def validate_cursor(self, row: int) -> int:
        """Keep the cursor on a row there is."""
        return max(0, min(row, self._count - 1))

    def _refresh_row(self, row: int) -> None:
        y = row + self._head - self.scroll_offset.y
        if self._head <= y < self.size.height:
            self.refresh(Region(0, y, self.size.width, 1))

    def _page(self) -> int:
        return max(1, self.size.height - self._head)

    def _reach(self) -> None:
        """Scroll just far enough to show the cursor."""
        top, page = self.scroll_offset.y, self._page()
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False, immediate=True)
        elif self.cursor >= top + page:
            self.scroll_to(y=self.cursor - page + 1, animate=False, immediate=True)
        self.vertical_scrollbar.position = self.scroll_y  # textual moves no bar that was hidden meanwhile

    def on_resize(self) -> None:
        """Draw anew at the new width."""
        self._strips.clear()
        self.call_after_refresh(self._reach)

    def on_focus(self) -> None:
        """Draw the cursor as the one that hears the keys."""
        self._refresh_row(self.cursor)

    def on_blur(self) -> None:
        """Draw the cursor as one that does not."""
        self._refresh_row(self.cursor)

    def notify_style_update(self) -> None:
        """Fetch the styles anew after a change of theme."""
        super().notify_style_update()
        self._styles.clear()
        self._strips.clear()

    # --- drawing ------------------------------------------------------------------------------------------

    def render_line(self, y: int) -> Strip:
        """Draw one line of what is seen."""
        width = self.size.width
        if self._head and y == 0:
            return self._strip([(c.title, "head") for c in self.columns], width, "head")
        row = y - self._head + self.scroll_offset.y
        if row >= self._count:
            text = self.empty if self._count == 0 and y == 2 * self._head else ""
            return Strip([Segment(fit("  " + text, width), self._style("dim"))], width)
        state = 0 if row != self.cursor else 2 if self.has_focus else 1
        key = (row, state, width)
        strip = self._strips.get(key)
        if strip is None:
            if len(self._strips) > KEPT_STRIPS:
                self._strips.clear()
            look = ("", "cursor-far", "cursor")[state]
            strip = self._strips[key] = self._strip(self._rows(row), width, look)
        return strip

    def _strip(self, cells: Row, width: int, look: str) -> Strip:
        segments: list[Segment] = []
        text, before = "", None
        for cell, wide in zip(cells, self._fitted(width), strict=False):
            if wide <= 0:
                continue
            said, own = (cell, "") if isinstance(cell, str) else cell
            if own in GROUNDS and not look:
                segments.extend(self._marked(said, own, wide, text, before))
                text, before = "", None
                continue
            style = self._style(look or own)
            if style is not before and before is not None:
                segments.append(Segment(text, before))
                text = ""
            text, before = f"{text}{fit(shortened(said, wide - 1), wide - 1)} ", style
        if text:
            segments.append(Segment(text, before or self._style(look)))
        return Strip(segments).adjust_cell_length(width, self._style(look))

    def _marked(self, said: str, own: str, wide: int, text: str, before: Style | None) -> list[Segment]:
        """Return what was gathered, then a mark on its own ground and the blank cells behind it."""
        mark = fit(said, min(wide - 1, cell_len(said)))
        segments = [Segment(text, before)] if text else []
        return [
            *segments,
            Segment(mark, self._style(own)),
            Segment(" " * (wide - cell_len(mark)), self._style("")),
        ]

    def _style(self, name: str) -> Style:
        style = self._styles.get(name)
        if style is None:
            colour, share, more = LOOKS[name]
            style = theme_style(self, colour, share, GROUNDS.get(name, ""), 1.0) + more
            self._styles[name] = style
        return style

    def _fitted(self, width: int) -> tuple[int, ...]:
        """Share the width out over the columns; those that no longer fit get none."""
        if self._widths[0] != width:
            self._widths = (width, share_out(self.columns, width))
        return self._widths[1]

    # --- keys and mouse -----------------------------------------------------------------------------------

    def action_cursor_up(self) -> None:
        """Go a row up."""
        self.cursor -= 1

    def action_cursor_down(self) -> None:
        """Go a row down."""
        self.cursor += 1

    def action_page_up(self) -> None:
        """Go a page up."""
        self.cursor -= self._page()

    def action_page_down(self) -> None:
        """Go a page down."""
        self.cursor += self._page()

    def action_first(self) -> None:
        """Go to the first row."""
        self.cursor = 0

    def action_last(self) -> None:
        """Go to the last row."""
        self.cursor = self._count - 1

    def action_choose(self) -> None:
        """Choose the row under the cursor."""
        if self._count:
            self.post_message(self.Chosen(self, self.cursor))

    def on_click(self, event: events.Click) -> None:
        """Go to the row clicked; a second click chooses it. A heading clicked is told."""
        if event.y < self._head:
            ends = accumulate(share_out(self.columns, self.size.width))
            for column, end in zip(self.columns, ends, strict=True):
                if event.x < end:
                    self.post_message(self.HeadClicked(self, column.title))
                    return
        row = event.y - self._head + self.scroll_offset.y
        if event.y >= self._head and 0 <= row < self._count:
            self.cursor = row
            if event.chain >= 2:
                self.action_choose()


def share_out(columns: Sequence[Column], width: int) -> tuple[int, ...]:
    """Return the cells each column gets of a width; of those that do not fit the most easily spared get 0.

    Of equally spared ones the last goes first; the first column stays whatever happens.
    """
    shown = list(range(len(columns)))
    while len(shown) > 1 and sum(columns[i].width for i in shown) > width:
        shown.remove(max(shown[1:], key=lambda i: (columns[i].spared, i)))
    widths = [columns[i].width if i in shown else 0 for i in range(len(columns))]
    over = width - sum(widths)
    shares = sum(columns[i].share for i in shown)
    if len(shown) == 1 or over < 0:
        widths[0] = width
    elif shares:
        for i in shown:
            widths[i] += int(over * columns[i].share / shares)
    return tuple(widths)
