"""What every dialog has in common: a box in the middle, escape closes it, a message where it does not fit."""

from __future__ import annotations

from typing import ClassVar, Generic, TypeVar

from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.reactive import Reactive
from textual.screen import ModalScreen
from textual.widgets import Input

from shopbins.tui.host import Styled
from shopbins.tui.text import shortened
from shopbins.tui.theme import LEAST_COLS, LEAST_ROWS

R = TypeVar("R")


def refusal(problem: Exception) -> str:
    """Say in a line why something was refused."""
    return " · ".join(str(problem).splitlines()[:4])


class TypedLine(Input):
    """A line to type in; the keys that move in a list go to the dialog."""

    BINDINGS: ClassVar[list[BindingType]] = []
    virtual_size = Reactive(Size(0, 0))  # of the line typed: to lay out all anew for each letter takes long

    def __init__(self, value: str = "", *, placeholder: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(value, placeholder=placeholder, id=id, select_on_focus=False, compact=True)
        self.cursor_blink = False
        self.example = placeholder

    @property
    def is_cut(self) -> bool:
        """Whether its example has no room in it."""
        return self.placeholder != self.example

    def show_example(self, example: str) -> None:
        """Show another example while nothing is typed."""
        self.example = example
        self.on_resize()

    def on_resize(self) -> None:
        """Show of the example what has room, no word cut."""
        self.placeholder = shortened(self.example, max(1, self.content_size.width - 1))


class Dialog(ModalScreen[R], Styled[R], Generic[R]):
    """A dialog whose result goes to the callback it was pushed with; escape gives None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "close", "close", show=False)]
    HORIZONTAL_BREAKPOINTS = [(0, "-thin"), (LEAST_COLS, "-one")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (LEAST_ROWS, "-high")]  # noqa: RUF012
    DEFAULT_CSS = """
    Dialog { align: center middle; }
    Dialog > .box { width: 76; max-width: 100%; height: auto; max-height: 100%; }
    Dialog.-thin > .box, Dialog.-low > .box { display: none; }
    Dialog .title { text-style: bold; height: auto; width: 100%; }
    Dialog .says { height: auto; width: 100%; }
    Dialog .hint { color: $hint; height: auto; max-height: 2; width: 100%; }
    Dialog .wrong { color: $error; text-style: bold; height: auto; width: 100%; }
    """

    def action_close(self) -> None:
        """Close without a result."""
        self.dismiss(None)
