"""A menu called up by one key: each line behind a letter, greyed with the reason where it cannot be done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.text import plain, wrapped
from shopbins.tui.widgets.menu import LEAST_KEY_COLS, MOST_IN_ONE, Menu

HINT = "press a letter · arrows and enter · esc cancels"
MORE_ROWS = 2
"""What the sentence about the line under the cursor takes, where a line has no room for its own."""
WIDTH, HINT_AND_BORDER = 74, 3
"""What the box takes beside its lines: how wide its text is, and the rows of hint and border."""

SIGN_KEYS = {"plus": "+", "minus": "-", "equals_sign": "=", "full_stop": ".", "f4": "F4"}


@dataclass(frozen=True, slots=True)
class Item:
    """A line of a menu: its letter (or 'enter'), what it does, why it cannot be done now ('': it can).

    `more` says it in a sentence: beside it where there is room, else at the foot while the cursor is on it.
    """

    letter: str
    says: str
    run: Callable[[], object]
    why_not: str = ""
    more: str = ""


class ActMenu(Dialog[Item]):
    """Gives the line chosen, by its letter or with the arrows and enter."""

    DEFAULT_CSS = """
    ActMenu > .box { width: 78; }
    ActMenu Menu { height: auto; }
    ActMenu #more { height: 2; text-style: italic; }
    """

    def __init__(self, title: str, items: Sequence[Item], *, says: Sequence[str] = ()) -> None:
        super().__init__()
        self._title, self._says = title, list(says)
        self._items = tuple(items)

    def compose(self) -> ComposeResult:
        """Lay title, what is said and the lines under each other."""
        with Vertical(classes="box"):
            yield Static(plain(self._title, 300), classes="title", markup=False)
            for line in self._says:
                yield Static(plain(line, 600), classes="says", markup=False)
            told = sum(len(wrapped(line, WIDTH)) for line in (self._title, *self._says))
            lines = [(i.letter, i.says, i.why_not, i.more) for i in self._items]
            room = WIDTH - LEAST_KEY_COLS - 1
            explains = len(lines) > MOST_IN_ONE or any(len(f"{i.says}: {i.more}") > room for i in self._items)
            yield Menu(lines, beside=told + HINT_AND_BORDER + (MORE_ROWS if explains else 0), id="lines")
            if explains:
                yield Static("", id="more", classes="says", markup=False)
            yield Static(HINT, classes="hint", markup=False)

    def on_mount(self) -> None:
        """Hear the arrows in the menu."""
        self.query_one(Menu).focus()
        self.on_menu_moved()
        self.call_after_refresh(self._say_more)

    def _say_more(self) -> None:
        if self.query_one(Menu).scrolls:
            self.query_one(".hint", Static).update(f"{HINT} · ↓ more")

    def on_key(self, event: events.Key) -> None:
        """Take a line by its letter."""
        typed = SIGN_KEYS.get(event.key, event.key)
        if typed == "enter" and self.query_one(Menu).moved:
            return
        found = next((each for each in self._items if each.letter == typed), None)
        if found is not None:
            event.stop()
            event.prevent_default()
            self._take(found)

    def on_menu_moved(self) -> None:
        """Explain the line under the cursor where the menu has no room to."""
        for foot in self.query("#more").results(Static):
            item = self._items[self.query_one(Menu).cursor]
            why = f"{item.why_not}: not now" if item.why_not else ""
            said = " · ".join(filter(None, (item.more, why)))
            foot.update(plain(f"{item.letter}  {item.says}: {said}" if said else "", 2 * WIDTH))

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Take the line under the cursor."""
        self._take(self._items[event.number])

    def _take(self, item: Item) -> None:
        if item.why_not:
            self.app.bell()
            self.query_one(".hint", Static).update(f"! {item.says}: {item.why_not}")
        else:
            self.dismiss(item)
