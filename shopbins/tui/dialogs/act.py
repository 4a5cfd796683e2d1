"""A menu called up by one key: each line behind a letter, greyed with the reason where it cannot be done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.text import plain
from shopbins.tui.widgets.menu import Menu

SIGN_KEYS = {"plus": "+", "minus": "-", "equals_sign": "=", "full_stop": ".", "f4": "F4"}


@dataclass(frozen=True, slots=True)
class Item:
    """A line of a menu: its letter (or 'enter'), what it does, why it cannot be done now ('': it can).

    `more` says it in a sentence, where there is room.
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
            yield Menu([(i.letter, i.says, i.why_not, i.more) for i in self._items], id="lines")
            yield Static("press a letter · arrows and enter · esc cancels", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Hear the arrows in the menu."""
        self.query_one(Menu).focus()

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

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Take the line under the cursor."""
        self._take(self._items[event.number])

    def _take(self, item: Item) -> None:
        if item.why_not:
            self.app.bell()
            self.query_one(".hint", Static).update(f"! {item.says}: {item.why_not}")
        else:
            self.dismiss(item)
