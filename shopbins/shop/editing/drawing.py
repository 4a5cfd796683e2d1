"""A shop file being drawn: what is on the screen, what is on the disk, and the steps between."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from shopbins.shop.editing.merge import merged
from shopbins.shop.editing.save import load, save, tidy
from shopbins.shop.editing.splice import Edit, edit
from shopbins.shop.model import Shop
from shopbins.shop.problems import Problem, ShopProblems

MOST_STEPS = 100


class Drawing:
    """`text` is on the screen, `seen` on the disk as last read or written."""

    def __init__(self, path: Path) -> None:
        """Read the file; raises OSError, UnicodeDecodeError."""
        tidy(path)
        self.path = path
        self.text = self.seen = load(path)
        self._done: list[tuple[str, str]] = []
        self._undone: list[tuple[str, str]] = []
        self._saved_at = 0

    @property
    def unsaved(self) -> bool:
        """Whether the screen is ahead of the disk."""
        return self.text != self.seen

    @property
    def waiting(self) -> int:
        """How many steps the screen is ahead of the disk, or behind it."""
        return max(1, abs(len(self._done) - self._saved_at)) if self.unsaved else 0

    @property
    def can_take_back(self) -> bool:
        """Whether a step is left to undo."""
        return bool(self._done)

    @property
    def can_do_again(self) -> bool:
        """Whether a step is left to redo."""
        return bool(self._undone)

    def do(self, edits: Sequence[Edit]) -> None:
        """Do one step, which one undo takes back; raises SpliceRefused and then has changed nothing."""
        after = edit(self.text, edits)
        self._done = [*self._done[1 - MOST_STEPS :], (self.text, after)]
        self._undone.clear()
        self.text = after

    def take_back(self) -> None:
        """Undo byte for byte; what others changed elsewhere since stays. Raises IndexError, BothChanged."""
        before, after = self._done[-1]
        self.text = merged(after, before, self.text)
        self._undone.append(self._done.pop())

    def do_again(self) -> None:
        """Redo what was taken back; raises IndexError, BothChanged."""
        before, after = self._undone[-1]
        self.text = merged(before, after, self.text)
        self._done.append(self._undone.pop())

    def look_again(self) -> bool:
        """Take in what others wrote, our unsaved steps on top; raises BothChanged, then nothing changed."""
        now = load(self.path)
        if now == self.seen:
            return False
        self.text, self.seen = merged(self.seen, self.text, now), now
        return True

    def save(self) -> None:
        """Put the text on the disk; raises ChangedMeanwhile, OSError, and then the file is as it was."""
        save(self.path, self.text, self.seen)
        self.saved(self.text)

    def saved(self, text: str) -> None:
        """Know that a text is now on the disk."""
        self.seen, self._saved_at = text, len(self._done)

    def read(self) -> tuple[Shop | None, tuple[Problem, ...]]:
        """Return the shop as drawn (None where not all of it could be read), and every problem it has."""
        from shopbins.shop.reader import read_text

        try:
            return read_text(self.text.removeprefix("\ufeff"), self.path), ()
        except ShopProblems as problems:
            return problems.shop, problems.problems
