"""The plan itself: a window on the shop, drawn to scale, with a cursor."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.color import Color
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from shopbins.geometry.shapes import Box, Outline, Point
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.inks import GROUND_LOOKS, INK_LOOKS, Ink
from shopbins.tui.canvas.overview import BLOCKS_FROM_MM, fit_shop, overview, write_key
from shopbins.tui.canvas.paint import paint, paint_carried, paint_lit, paint_marks
from shopbins.tui.canvas.picture import Picture
from shopbins.tui.canvas.projection import STEPS_MM, Projection, fit
from shopbins.tui.troubles import Trouble, marked
from shopbins.tui.widgets.colours import theme_style, wants_textures


class InHand(NamedTuple):
    """What is carried: its outline in the shop (None: no known size), where, and whether a stop holds it."""

    outline: Outline | None
    at: Point
    name: str
    stop: bool = False


KEPT_WINDOWS = 8
"""So many windows on one state are kept as painted."""


@dataclass(frozen=True, slots=True)
class Painted:
    """A window as painted: its canvas, the cells of the marks, what draws it with parts at hand."""

    canvas: Canvas
    marks: Mapping[int, tuple[int, int]]
    lit: Callable[[Collection[str]], Canvas]
    strips: dict[int, Strip] = field(default_factory=dict)
    """Its rows as they are shown; only a row drawn over is made anew."""


Window = tuple[Projection, Box | None]
"""A view, and the box it was fitted to, if it was."""


class FloorPlan(Widget, can_focus=True):
    """Draws a `Picture`; the picture is painted once a state and window, the rest over a copy of it."""

    DEFAULT_CSS = "FloorPlan { width: 1fr; height: 1fr; }"

    @dataclass(eq=False, repr=False)
    class Pointed(Message):
        """The cursor stands elsewhere."""

        at: Point

    class Scaled(Message):
        """The plan is shown at another scale."""

    @dataclass(eq=False, repr=False)
    class Clicked(Message):
        """The mouse pressed a spot twice."""

        at: Point

    @dataclass(eq=False, repr=False)
    class MarkClicked(Message):
        """The mouse pressed the mark of a trouble."""

        trouble: Trouble

    @dataclass(eq=False, repr=False)
    class Dragged(Message):
        """The mouse is dragged over the plan with its button down: from where, and the cell it is in now."""

        start: Point
        cell: tuple[int, int]

        def can_replace(self, message: Message) -> bool:
            """Only where the mouse is now matters, not every spot on its way."""
            return isinstance(message, FloorPlan.Dragged) and message.start == self.start

    class Dropped(Message):
        """The mouse's button was let go after dragging."""

    @dataclass(eq=False, repr=False)
    class Wheeled(Message):
        """The wheel was turned while something is carried."""

        up: bool

    class Refused(Message):
        """The other button was pressed while something is carried."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.picture: Picture | None = None
        self.view = Projection(0, 0, 100, 1, 1)
        self.at: Point = (0.0, 0.0)
        self.carried: InHand | None = None
        self.marks: tuple[tuple[Point, str], ...] = ()
        self._whole = Box(0.0, 0.0, 1000.0, 1000.0)
        self._scale_told = 0.0
        self._begun: Point | None = None
        self._begun_close = False
        self._pressed: tuple[int, int, Point] | None = None
        self._dragging = False
        self._wanted: Box | None = None
        self.troubles: tuple[Trouble, ...] = ()
        self.lit: frozenset[str] = frozenset()
        self.mark_cells: Mapping[int, tuple[int, int]] = {}
        self._base: Painted | None = None
        self._seen: dict[tuple[Projection, bool, bool], Painted] = {}
        self._drawn_from: tuple[object, ...] = ()
        self._top: Canvas | None = None
        self._styles: dict[tuple[int, int], Style] = {}
        self._cursor_style: Style | None = None
        self._behind: Color | None = None

    # --- what is shown ------------------------------------------------------------------------------------

    def show(
        self, picture: Picture, whole: Box, troubles: Iterable[Trouble] = (), lit: Collection[str] = ()
    ) -> None:
        """Show a picture, its troubles and the parts at hand; the window stays unless this is the first."""
        first = self.picture is None
        same = self.picture is picture and self._whole == whole and self.troubles == tuple(troubles)
        self.picture, self._whole, self.troubles = picture, whole, tuple(troubles)
        others, self.lit = self.lit != frozenset(lit), frozenset(lit)
        if first:
            self.at = self._begun or whole.middle
            if not self._begun_close:
                self.frame(whole)
        if not same:
            self._changed()
        elif others:
            self._lit_changed()

    def frame(self, box: Box) -> None:
        """Show a box as large as it fits, now and until the window is moved."""
        self._wanted = box
        self._fill_size()
        self._changed()

    def whole(self) -> None:
        """Show the whole shop."""
        self.frame(self._whole)

    @property
    def shows_whole(self) -> bool:
        """Whether the whole shop is shown as large as it fits."""
        return self._wanted is not None and self._wanted == self._whole

    def point(self, at: Point, *, centre: bool = False) -> None:
        """Put the cursor on a point, moving the window if it must."""
        before = self.view.cell(self.at)
        self.at = at
        view = self.view.centred(at) if centre else self.view
        if not centre and not (self.shows_whole and self.view.shows(at)):
            view = self.view.reached(at)
        self._look(view, before)
        self.post_message(self.Pointed(at))

    def step(self, cols: int, rows: int) -> None:
        """Move the cursor by cells."""
        col, row = self.view.cell(self.at)
        self.point(self.view.middle(col + cols, row + rows))

    def zoom(self, closer: bool) -> None:
        """Zoom about the cursor."""
        self._look(self.view.zoomed(closer, self.at), None)

    def show_close(self, at: Point, mm_per_col: float) -> None:
        """Bring a point to the middle, no wider than so many mm a column."""
        if self.view.mm_per_col > mm_per_col:
            self.view = self.view.scaled(mm_per_col, at)
        self._wanted = None
        self.view = self.view.centred(at)
        self._changed()

    @property
    def window(self) -> Window:
        """What is shown of the shop, to come back to."""
        return self.view, self._wanted

    def back_to(self, window: Window, at: Point) -> None:
        """Show what was shown before, moved if it must be to show a point."""
        self.view, self._wanted = window
        self._fill_size()
        if not self.view.shows(at):
            self.view, self._wanted = self.view.reached(at), None
        self._changed()

    def begin_at(self, at: Point, middle: Sequence[float] | None, mm_per_col: float) -> None:
        """Begin with the cursor on a point; with a middle and a scale in that window, else on the whole."""
        self._begun = at
        if middle is not None and STEPS_MM[0] / 2 <= mm_per_col <= STEPS_MM[-1]:
            self.view = Projection(middle[0], middle[1], mm_per_col, 1, 1).centred((middle[0], middle[1]))
            self._begun_close = True

    def carry(self, thing: InHand | None, marks: Iterable[tuple[Point, str]] = ()) -> None:
        """Show a thing in hand (None: nothing) and the marks of its findings."""
        self.carried, self.marks = thing, tuple(marks)
        if thing is not None:
            self.at = thing.at
            self.view = self.view.reached(thing.at)
        self._changed()

    def _look(self, view: Projection, before: tuple[int, int] | None) -> None:
        if view != self.view:
            self.view = view
            self._wanted = None
            self._changed()
            return
        for cell in (before, self.view.cell(self.at)):
            if cell is not None and 0 <= cell[1] < self.size.height:
                self.refresh(Region(0, cell[1], self.size.width, 1))

    def _lit_changed(self) -> None:
        """Draw anew the rows in which another part is now at hand, no others."""
        shown, self._top = self._top, None
        now = self._canvas() if self.size else None
        if shown is None or now is None or (shown.cols, shown.rows) != (now.cols, now.rows):
            self.refresh()
            return
        for row in range(now.rows):
            if not now.same_row(shown, row):
                self.refresh(Region(0, row, self.size.width, 1))

    def _changed(self) -> None:
        self._top = None
        self.refresh()
        if self.view.mm_per_col != self._scale_told:
            self._scale_told = self.view.mm_per_col
            self.post_message(self.Scaled())

    def on_resize(self) -> None:
        """Draw at the new size, unless that was drawn already."""
        before = self.view
        self._fill_size()
        if self.view != before:
            self._changed()

    def _fill_size(self) -> None:
        """Fit again what was fitted, else keep the middle; nothing while it is hidden."""
        if not self.size:
            return
        cols, rows = max(1, self.size.width), max(1, self.size.height)
        if self.shows_whole and self.picture is not None:
            self.view = fit_shop(self.picture.shop, self._whole, cols, rows)
        elif self._wanted:
            self.view = fit(self._wanted, cols, rows)
        else:
            self.view = self.view.sized(cols, rows).reached(self.at)

    def notify_style_update(self) -> None:
        """Fetch the styles anew after a change of theme."""
        super().notify_style_update()
        self._styles.clear()
        self._cursor_style = self._behind = None
        for painted in self._seen.values():
            painted.strips.clear()

    # --- drawing ------------------------------------------------------------------------------------------

    def _canvas(self) -> Canvas | None:
        if self.picture is None:
            return None
        if (self.view.cols, self.view.rows) != self.size:  # drawn before it hears of its size
            self._fill_size()
        drawn_from = (id(self.picture), self.troubles, self.carried is None)
        if self._drawn_from != drawn_from or len(self._seen) > KEPT_WINDOWS:
            self._drawn_from = drawn_from
            self._seen.clear()
        window = self.view, self.shows_whole, wants_textures(self)
        if (painted := self._seen.get(window)) is None:
            painted = self._seen[window] = self._painted(self.picture)
        if self._base is not painted:
            self._base, self._top = painted, None
            self.mark_cells = painted.marks
        if self._top is None:
            lit = self.lit if self.carried is None else ()
            self._top = painted.lit(lit) if lit else painted.canvas
            if self.carried is not None or self.marks:
                self._top = self._top if lit else self._top.copy()
                self._draw_over(self._top)
        return self._top

    def _painted(self, picture: Picture) -> Painted:
        """Draw what changes only with state, window and troubles: blocks, nearer true outlines."""
        troubles, view = self.troubles if self.carried is None else (), self.view
        if view.mm_per_col < BLOCKS_FROM_MM:
            canvas = paint(picture, view, troubles)

            def lit(keys: Collection[str]) -> Canvas:
                over = canvas.copy()
                paint_lit(over, view, picture, keys)
                return over

            return Painted(canvas, {id(t): view.cell(t.at_mm) for t in marked(troubles) if t.at_mm}, lit)
        drawn = overview(picture, view, troubles, texture=wants_textures(self))
        write_key(drawn, texture=wants_textures(self), signs=self.shows_whole)
        return Painted(drawn.canvas, drawn.marks, drawn.lit)

    def _draw_over(self, canvas: Canvas) -> None:
        hand = self.carried
        if hand is not None and hand.outline is not None:
            paint_carried(canvas, self.view, hand.outline, hand.stop, hand.name)
        elif hand is not None:
            canvas.word(*self.view.cell(hand.at), "✛", Ink.CARRIED)
        paint_marks(canvas, self.view, self.marks)

    def render_line(self, y: int) -> Strip:
        """Draw one row of cells."""
        canvas = self._canvas()
        width = self.size.width
        if canvas is None or y >= canvas.rows:
            return Strip.blank(width, self.rich_style)
        strip = self._strip(canvas, y)
        col, row = self.view.cell(self.at)
        if row == y and 0 <= col < canvas.cols and self.carried is None:
            strip = self._with_cursor(strip, col, canvas.look(col, y)[0])
        return strip if canvas.cols == width else strip.adjust_cell_length(width, self.rich_style)

    def _strip(self, canvas: Canvas, y: int) -> Strip:
        """Return a row without the cursor."""
        painted = self._base
        assert painted is not None
        kept = painted.strips if canvas is painted.canvas or canvas.same_row(painted.canvas, y) else {}
        if y not in kept:
            segments = [Segment(text, self._style(ink, ground)) for text, ink, ground in canvas.runs(y)]
            kept[y] = Strip(segments, canvas.cols)
        return kept[y]

    def _with_cursor(self, strip: Strip, col: int, glyph: str) -> Strip:
        if self._cursor_style is None:
            self._cursor_style = self.rich_style + Style(reverse=True, bold=True)
        shown = "┼" if glyph in " ·" or cell_len(glyph) != 1 else glyph
        middle = Strip([Segment(shown, self._cursor_style)], 1)
        return Strip.join([strip.crop(0, col), middle, strip.crop(col + 1, strip.cell_length)])

    def _style(self, ink: int, ground: int) -> Style:
        style = self._styles.get((ink, ground))
        if style is None:
            style = self._styles[(ink, ground)] = self._made(ink, ground)
        return style

    def _made(self, ink: int, ground: int) -> Style:
        """Make the style of an ink on a ground from the theme's colours."""
        name, share, bold = INK_LOOKS.get(ink, ("foreground", 1.0, False))
        behind, behind_share = GROUND_LOOKS.get(ground, ("", 0.0))
        loud = ink == Ink.MARK_STOP
        if self._behind is None:
            self._behind = self.background_colors[1]
        style = theme_style(self, name, share, behind, behind_share, self._behind)
        return style + Style(bold=bold, reverse=loud)

    # --- mouse --------------------------------------------------------------------------------------------

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Remember where dragging may begin; the other button puts back what is carried."""
        self._dragging = False
        self._pressed = (event.x, event.y, self.view.middle(event.x, event.y)) if event.button == 1 else None
        if event.button != 1 and self.carried is not None:
            self.post_message(self.Refused())

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Drag what was under the mouse when its button went down."""
        if self._pressed is None or (not self._dragging and (event.x, event.y) == self._pressed[:2]):
            return
        if not self._dragging:
            self._dragging = True
            self.capture_mouse()
        self.post_message(self.Dragged(self._pressed[2], (event.x, event.y)))

    def on_mouse_up(self) -> None:
        """Let go."""
        if self._pressed is not None and self._dragging:
            self.release_mouse()
            self.post_message(self.Dropped())
        self._pressed = None

    def on_click(self, event: events.Click) -> None:
        """Point where the mouse does, or bring what is carried there; twice is as enter."""
        if self._dragging or event.button != 1:
            return
        at = self.view.middle(event.x, event.y)
        trouble = self._mark_at(event.x, event.y)
        if self.carried is not None:
            self.post_message(self.Dragged(self.carried.at, (event.x, event.y)))
        elif trouble is not None:
            self.post_message(self.MarkClicked(trouble))
            return
        else:
            self.point(at)
        if event.chain >= 2:
            self.post_message(self.Clicked(at))

    def _mark_at(self, x: int, y: int) -> Trouble | None:
        """Return the trouble whose mark stands in a cell."""
        for trouble in self.troubles:
            col, row = self.mark_cells.get(id(trouble), (-9, -9))
            if row == y and col <= x < col + cell_len(trouble.sign):
                return trouble
        return None

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Zoom in where the mouse is; lift what is carried."""
        self._wheel(True, event)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Zoom out where the mouse is; lower what is carried."""
        self._wheel(False, event)

    def _wheel(self, up: bool, event: events.MouseEvent) -> None:
        if self.carried is not None:
            self.post_message(self.Wheeled(up))
        else:
            self._look(self.view.zoomed(up, self.view.middle(event.x, event.y)), None)

    def pan(self, point: Point, cell: tuple[int, int]) -> None:
        """Move the window so that a point is shown in a cell."""
        col, row = self.view.cell(point)
        if (col, row) != cell:
            self._look(self.view.panned(col - cell[0], row - cell[1]), None)
