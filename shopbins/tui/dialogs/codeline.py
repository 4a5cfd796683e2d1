"""A line that takes a code, letter by letter or pasted.

It hears keys itself instead of through an input, so that nothing a scanner types between opening and first
drawing is lost.
"""

from __future__ import annotations

from textual import events

from shopbins.tui.dialogs import stopbox
from shopbins.tui.dialogs.typed import FootDialog
from shopbins.tui.text import plain

LONGEST_CODE = 40


class CodeLine(FootDialog[None]):
    """Reads one code after the other; enter, or a pasted line break, ends each."""

    takes_letters = True

    def __init__(self, typed: str = "") -> None:
        super().__init__()
        self._typed = typed
        self._last_key_s = 0.0

    def entered(self, code: str) -> None:
        """Act on a whole code; '' where nothing was typed."""
        raise NotImplementedError

    def first_key(self, event: events.Key, *, quiet: bool) -> bool:
        """Act on a key that means more than a letter where a code begins; tell whether it did.

        `quiet`: none came within `stopbox.QUIET_S` before it, so it does not begin the next code scanned.
        """
        raise NotImplementedError

    def show_code(self) -> None:
        """Show what is typed and what can be done."""
        raise NotImplementedError

    def on_key(self, event: events.Key) -> None:
        """Take the code letter by letter."""
        since_s, self._last_key_s = event.time - self._last_key_s, event.time
        if event.key == "enter":
            event.stop()
            self._ended()
        elif event.key == "backspace":
            event.stop()
            self._typed = self._typed[:-1]
        elif not self._typed and self.first_key(event, quiet=since_s >= stopbox.QUIET_S):
            event.stop()
        elif event.character is not None and event.character.isprintable():
            event.stop()
            self._typed = (self._typed + event.character)[:LONGEST_CODE]
        if not self.shopbins.keys_wait:  # in the middle of a scanner's burst nobody reads it
            self.show_code()

    def on_paste(self, event: events.Paste) -> None:
        """Take a pasted code; a line break ends it."""
        event.stop()
        code, ended, _ = event.text.partition("\n")
        self._typed = (self._typed + plain(code.strip()))[:LONGEST_CODE]
        if ended:
            self._ended()
        self.show_code()

    def _ended(self) -> None:
        code, self._typed = self._typed.strip(), ""
        self.entered(code)
