"""Telling a keyboard scanner from fingers: it types a whole code without a pause. No screen."""

from __future__ import annotations

from shopbins.ledger.codes import CodeProblem, parse_code

LONGEST_PAUSE_S = 0.06
"""Between two characters of a scanner; fingers seldom keep under a tenth of a second for eight of them
(common practice, no source)."""


class Burst:
    """The characters typed last, each right behind the one before."""

    def __init__(self) -> None:
        self.text = ""
        self._last_s = float("-inf")

    def hear(self, character: str | None, at_s: float) -> None:
        """Take in a key; one that is no character, or comes after a pause, begins anew."""
        if character is None or not character.isprintable():
            self.text = ""
        elif at_s - self._last_s > LONGEST_PAUSE_S:
            self.text = character
        else:
            self.text += character
        self._last_s = at_s

    def code(self, prefix: str, at_s: float) -> str | None:
        """Return the code of this shop typed just now without a pause, if its check character holds."""
        if at_s - self._last_s > LONGEST_PAUSE_S:
            return None
        for start in range(len(self.text)):
            try:
                return parse_code(self.text[start:], prefix).text
            except CodeProblem:
                continue
        return None
