"""One finding to be fixed or accepted: what, how to fix it, and a reason or a name to let it through."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.dialogs.base import Dialog, TypedLine
from shopbins.tui.text import plain
from shopbins.tui.words import grade_word, measured_words

if TYPE_CHECKING:
    from shopbins.rules.finding import Finding

REASONS = (
    ("for now", "you are asked again when you quit"),
    ("only while we work here", "somebody stands by it"),
    ("I measured it: it fits", "the shop file is wrong here"),
    ("everyone here knows and agrees", ""),
    ("no other place tonight", "will be moved first thing tomorrow"),
)
"""Reasons to accept something, by digit; the first is asked again."""

FOR_NOW = REASONS[0][0]


LEAST_LETTERS = 2
"""A name has so many letters: a digit typed as for another box is none."""


class StopBox(Dialog[str]):
    """Gives the reason for which one finding is accepted, 'best' for the best place instead, else None.

    Where only 'for now' is allowed no digit accepts it: a name is typed.
    """

    DEFAULT_CSS = """
    StopBox #source { display: none; }
    StopBox.-sources #source { display: block; }
    """

    def __init__(
        self, title: str, finding: Finding, *, name_needed: bool = False, best: bool = False, of: str = ""
    ) -> None:
        super().__init__()
        self._title, self._finding, self._of = title, finding, of
        self._name_needed, self._best = name_needed, best

    def compose(self) -> ComposeResult:
        """Lay what, fix, source, reasons and hint under each other."""
        found = self._finding
        with Vertical(classes="box"):
            yield Static(
                f"{self._title}{f' · {self._of}' if self._of else ''}", classes="title", markup=False
            )
            yield Static(plain(f"{GRADE_GLYPH[found.grade]} {found.text}", 600), classes="says", markup=False)
            if found.remedy:
                yield Static(plain(f"Fix: {found.remedy}", 400), classes="says", markup=False)
            more = " · ".join(t for t in (measured_words(found), found.source) if t)
            yield Static(plain(f"Source: {more}", 600), id="source", classes="says", markup=False)
            if self._name_needed:
                yield Static(
                    "This one can be accepted only for now: type your name to accept it.",
                    id="wanted",
                    classes="says",
                    markup=False,
                )
                yield TypedLine(placeholder="your name", id="name")
            else:
                for number, (reason, why) in enumerate(REASONS, 1):
                    yield Static(f" {number}  {reason:<32} {why}", classes="says", markup=False)
            yield Static(self._hint(), classes="hint", markup=False)

    def _hint(self) -> str:
        best = "b best place · " if self._best and not self._name_needed else ""
        if self._name_needed:
            return "enter accepts it for now · F2 source · esc cancels"
        verb = "dismiss this note" if self._finding.grade == "note" else "accept this one"
        return f"{best}choose a reason to {verb} · v source · esc cancels"

    def on_mount(self) -> None:
        """Have the name typed at once."""
        if self._name_needed:
            self.query_one(TypedLine).focus()

    def on_key(self, event: events.Key) -> None:
        """Take a reason by its digit, show the source, go for the best place."""
        if event.key == "f2" or (event.key == "v" and not self._name_needed):
            event.stop()
            self.toggle_class("-sources")
        elif self._name_needed:
            return
        elif event.key == "b" and self._best:
            event.stop()
            self.dismiss("best")
        elif event.key.isdigit() and 0 < int(event.key) <= len(REASONS):
            event.stop()
            self.dismiss(f"={REASONS[int(event.key) - 1][0]}")

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Accept it for now by the name typed."""
        event.stop()
        name = " ".join(event.value.split())
        if sum(each.isalpha() for each in name) >= LEAST_LETTERS:
            self.dismiss(f"={FOR_NOW}: {name}")
            return
        self.query_one("#wanted", Static).update(f"'{plain(name, 40)}' is no name: type who accepts it.")
        self.app.bell()


def box_title(finding: Finding) -> str:
    """Return what a finding is accepted as: 'Accept this stop?'."""
    return "Dismiss this note?" if finding.grade == "note" else f"Accept this {grade_word(finding)}?"
