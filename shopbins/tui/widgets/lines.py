"""One-line widgets: the head with the places, the keys of this place, the state of the shop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from rich.cells import cell_len, set_cell_size
from rich.style import Style
from rich.text import Text
from textual import events
from textual.geometry import Size
from textual.visual import VisualType
from textual.widget import Widget
from textual.widgets import Static

from shopbins.tui.keys.actions import BY_ID, Action, shown_keys
from shopbins.tui.text import fit, plain, shortened, wrapped

TABS = (
    ("show_plan", "1", "Plan"),
    ("show_parts", "2", "Parts"),
    ("show_audit", "3", "Audit"),
    ("show_move", "4", "Move"),
    ("show_refit", "5", "Refit"),
    ("show_draw", "6", "Draw"),
)


LEAST_NAME, WIDE_TABS = 10, 80
PRESSES = "presses"
"""The name under which a piece of a line keeps the key that a click on it presses."""
CALLS = "calls"
"""The same of the app's method that it calls."""


class Line(Widget, can_focus=False):
    """A text on its one line (or as many as it is made high), cut to the width."""

    DEFAULT_CSS = "Line { height: 1; width: 100%; }"

    def __init__(self, text: Text | str = "", *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._text = Text(text) if isinstance(text, str) else text

    def say(self, text: Text | str) -> None:
        """Show another text."""
        new = Text(plain(text, 2000)) if isinstance(text, str) else text
        if new != self._text:
            self._text = new
            self.refresh()

    @property
    def text(self) -> str:
        """The plain text shown."""
        return self._text.plain

    def on_click(self, event: events.Click) -> None:
        """Do what stands where the mouse clicked, if something does: press a key, or call a method."""
        at = len(set_cell_size(self._text.plain, event.x + 1)) - 1
        for start, end, style in self._text.spans:
            if start <= at < end and isinstance(style, Style) and PRESSES in style.meta:
                self.app.simulate_key(style.meta[PRESSES])
                return
            if start <= at < end and isinstance(style, Style) and CALLS in style.meta:
                self.app.call_later(getattr(self.app, style.meta[CALLS]))
                return

    def render(self) -> Text:
        """Cut the text to the width, on its last line."""
        if self.size.height > 1:
            width, last = max(10, self.size.width), self.size.height - 1
            rows = wrapped(self._text.plain, width)
            rows[last:] = [shortened(" ".join(rows[last:]), width)] if rows[last:] else []
            return Text("\n".join(rows), self._text.style, no_wrap=True, overflow="ellipsis")
        line = self._text.copy()
        line.truncate(self.size.width, overflow="ellipsis")
        line.no_wrap = True
        return line


class Said(Widget, can_focus=False):
    """What was last said, laid for a while over what stands above the keys, on as many lines as it takes."""

    DEFAULT_CSS = "Said { width: 100%; height: auto; max-height: 3; }"

    def __init__(self, text: Text) -> None:
        super().__init__()
        self.text = text

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """Take the lines it needs."""
        return len(self._lines(width))

    def _lines(self, width: int) -> list[str]:
        return wrapped(self.text.plain, max(10, width))

    def render(self) -> Text:
        """Draw it."""
        return Text(
            "\n".join(self._lines(self.size.width)), self.text.style, no_wrap=True, overflow="ellipsis"
        )


class Words(Static):
    """Words on as many lines as they take; all is laid out anew only where others take more or fewer."""

    def __init__(self, words: Text | str = "", *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(words, id=id, classes=classes, markup=False)

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        """Show others."""
        if content == self.content and isinstance(content, str):
            return
        before = self._lines_taken()
        super().update(content, layout=False)
        if layout and (not before or self._lines_taken() != before):
            self.refresh(layout=True)

    def _lines_taken(self) -> int:
        """Return how many lines the words take at this width, 0 where there is none yet."""
        width = self.content_size.width
        return width and self.visual.get_height(self.styles, width)  # type: ignore[arg-type]  # as Textual does


class HeadLine(Line):
    """The shop's name and the places to be, the present one marked by brackets.

    Where it is narrow the last parts of what stands at the right are left out, then the name is cut.
    """

    def fill(self, shop: str, here: str, keys: Mapping[str, str], right: str = "") -> None:
        """Show where one is."""
        text = Text()
        for name, key, title in TABS:
            if title == here:
                text.append(f"[{key} {title}]", "bold reverse")
            else:
                shown = f" {title}" if self.size.width >= WIDE_TABS or not self.size.width else ""
                action = f"everywhere.{name}"
                text.append(f" {keys.get(action, key)}{shown} ", _pressing(BY_ID[action], keys))
        name, width = plain(shop, 60), self.size.width
        if width:
            spare = width - cell_len(text.plain) - 3
            name = name if cell_len(name) <= spare else fit(name, max(LEAST_NAME, spare))
            right = whole_parts(right, spare - cell_len(name) - 2)
        text.append(f"  {right}")
        self.say(Text.assemble(f" {name}  ", text))


def key_hints(actions: Iterable[Action], keymap: Mapping[str, str], width: int) -> Text:
    """Return 'c carry  p put ...' as far as it fits, '? help' always last; what has no key is left out."""
    text = Text(" ")
    last = ""
    for action in actions:
        keys = shown_keys(action, keymap)
        if not keys:
            continue
        hint = f"{keys} {action.label}"
        if action.id == "everywhere.help":
            last = hint
            continue
        if cell_len(text.plain) + cell_len(hint) + 2 + 8 > width:
            continue
        key, _, label = hint.partition(" ") if not hint.startswith("page ") else (hint[:9].strip(), "", "")
        press = _pressing(action, keymap)
        text.append(key, Style(bold=True) + press)
        text.append(f" {label}  ", press)
    if last:
        key, _, label = last.partition(" ")
        press = _pressing(BY_ID["everywhere.help"], keymap)
        text.append(key, Style(bold=True) + press)
        text.append(f" {label}", press)
    return text


def _pressing(action: Action, keymap: Mapping[str, str]) -> Style:
    """Return a style that looks like nothing and keeps an action's first key."""
    return _presses(keymap.get(action.id, action.keys).partition(",")[0].strip())


@cache
def _presses(key: str) -> Style:
    return Style(meta={PRESSES: key}) if key else Style()


def whole_parts(text: str, width: int) -> str:
    """Return as many parts of 'a · b, c' as fit whole, '' where the first does not."""
    while text and cell_len(text) > width:
        text = text[: max(text.rfind(" · "), text.rfind(", "), 0)]
    return text
