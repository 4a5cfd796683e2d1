"""One finding to be fixed or accepted: what, how to fix it, and a reason or a name to let it through."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Static

from shopbins.desk.names import looks_like_code
from shopbins.desk.problems import DeskError
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.dialogs.base import Dialog, TypedLine
from shopbins.tui.places import place_named
from shopbins.tui.text import plain
from shopbins.tui.words import grade_word, measured_words

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.rules.finding import Finding
    from shopbins.tui.dialogs.form import Row

FOR_NOW = "for now"
Reasons = tuple[tuple[str, str], ...]


def is_load(finding: Finding) -> bool:
    """Tell whether a finding is about a load, in kg, kN or kN/m2, and not about a size."""
    return finding.unit.startswith("k")


def reasons(finding: Finding) -> Reasons:
    """Return the reasons to accept something, by digit, each with what it means; the first is asked again.

    A load is not measured with a tape: the third says what was checked of it.
    """
    checked = ("I measured it: it fits", "the shop file is wrong here")
    if is_load(finding):
        checked = ("I weighed it: it carries less", "a mass on record is wrong")
    return (
        (FOR_NOW, "you are asked again when you quit"),
        ("only while we work here", "somebody stands by it"),
        checked,
        ("everyone here knows and agrees", ""),
        ("no other place tonight", "will be moved first thing tomorrow"),
    )


def by_digit(finding: Finding) -> str:
    """Return the reasons with their digits in a line."""
    return "   ".join(f"{n} {reason}" for n, (reason, _) in enumerate(reasons(finding), 1))


def reason_of(finding: Finding, key: str) -> str | None:
    """Return the reason of a digit, None of any other key."""
    return {str(n): reason for n, (reason, _) in enumerate(reasons(finding), 1)}.get(key)


@dataclass(frozen=True, slots=True)
class Figures:
    """What can be typed in instead: the rows, what records them by key, and what is done then."""

    rows: Sequence[Row]
    record: Callable[[Mapping[str, str]], None]
    then: Callable[[], None]


LEAST_LETTERS = 2
"""A name has so many letters: a digit typed as for another box is none."""

QUIET_S = 0.5
"""The box listens once no key came for so long: what is typed on, eyes on the part, accepts nothing (own
figure)."""

TYPED_ON = "typed on, so not taken: pause, then answer this box"


def no_name(desk: Desk, text: str) -> str:
    """Say why a text is not the name of somebody who accepts something, '' where it may be one."""
    if sum(each.isalpha() for each in text) < LEAST_LETTERS:
        return "is no name"
    if any(each.isdecimal() for each in text) or looks_like_code(text, desk.shop.prefix):
        return "is no name: it reads as a code"
    if place_named(desk.shop, text):
        return "is a place"
    folded = text.casefold()
    if any(folded == group.shown.casefold() for group in desk.state.groups()):
        return "is a part"
    return ""


class StopBox(Dialog[str]):
    """Gives the reason for which one finding is accepted, else None.

    Instead 'best' for the best place, 'figures' where what lacked was typed in. Where only 'for now' is
    allowed no digit accepts it: a name is typed. It listens once the keys have been quiet for `QUIET_S`.
    """

    AUTO_FOCUS = ""  # a digit is a reason until a row is gone to
    DEFAULT_CSS = """
    StopBox .row { height: 1; width: 100%; }
    StopBox .label { width: 40; }
    StopBox .row TypedLine { width: 1fr; }
    StopBox #source { display: none; }
    StopBox.-sources #source { display: block; }
    """

    def __init__(
        self, title: str, finding: Finding, *, name_needed: bool = False, best: bool = False, of: str = "",
        figures: Figures | None = None,
    ) -> None:  # fmt: skip
        super().__init__()
        self._figures = figures
        self._title, self._finding, self._of = title, finding, of
        self._name_needed, self._best = name_needed, best
        self._last_key_s = 0.0
        self._quiet: Timer | None = None
        self._heard = False

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
                for number, (reason, why) in enumerate(reasons(found), 1):
                    yield Static(f" {number}  {reason:<32} {why}", classes="says", markup=False)
            for row in self._figures.rows if self._figures is not None else ():
                with Horizontal(classes="row"):
                    missing = "not weighed" if row.key == "mass" else "not measured"
                    yield Static(f"{missing}: {row.label}", classes="label", markup=False)
                    yield TypedLine(placeholder=row.example, id=f"row-{row.key}")
            yield Static("", id="wrong", classes="wrong", markup=False)
            yield Static(self._hint(), classes="hint", markup=False)

    def _hint(self) -> str:
        figures = "tab the figure · " if self._figures is not None else ""
        if self._name_needed:
            return f"enter accepts it for now · {figures}F2 source · esc cancels"
        best = "b best place · " if self._best else ""
        figures = "m the figure · " if self._figures is not None else ""
        verb = "dismisses it" if self._finding.grade == "note" else "accepts it"
        return f"1-5 {verb} · {best}{figures}v source · esc cancels"

    def on_mount(self, event: events.Mount) -> None:
        """Wait for the keys to be quiet."""
        self._last_key_s = event.time
        if QUIET_S > 0:
            self._quiet = self.set_timer(QUIET_S, self._listen)
        else:
            self._listen()

    def _listen(self) -> None:
        """Have the name typed, if one is needed."""
        self.query_one("#wrong", Static).update("")
        if self._name_needed:
            self.query_one("#name", TypedLine).focus()

    def _typed_on(self, event: events.Key) -> bool:
        """Tell whether a key belongs to what was being typed before the box came up: it is dropped."""
        since_s, self._last_key_s = event.time - self._last_key_s, event.time
        self._heard = self._heard or since_s >= QUIET_S
        if self._heard or not (event.is_printable or event.key == "enter"):
            return False
        if self._quiet is not None:
            self._quiet.reset()
        self._say(TYPED_ON)
        return True

    def on_key(self, event: events.Key) -> None:
        """Take a reason by its digit, show the source, go for the best place."""
        if self._typed_on(event):
            event.stop()
            event.prevent_default()
        elif isinstance(self.focused, TypedLine) and self.focused.id != "name":
            self._figure_key(event)
        elif event.key == "f2" or (event.key == "v" and not self._name_needed):
            event.stop()
            self.toggle_class("-sources")
        elif self._name_needed:
            return
        elif event.key == "m" and self._figures is not None:
            event.stop()
            self.query_one(f"#row-{self._figures.rows[0].key}", TypedLine).focus()
        elif event.key == "b" and self._best:
            event.stop()
            self.dismiss("best")
        elif reason := reason_of(self._finding, event.key):
            event.stop()
            self.dismiss(f"={reason}")

    def _figure_key(self, event: events.Key) -> None:
        """Go from figure to figure with the arrows; the first up goes back to the reasons."""
        if event.key == "down":
            event.stop()
            self.focus_next()
        elif event.key == "up":
            event.stop()
            assert self._figures is not None
            first = self.query_one(f"#row-{self._figures.rows[0].key}")
            if self.focused is first and not self._name_needed:
                self.set_focus(None)
            else:
                self.focus_previous()

    def _type_in(self) -> None:
        """Record the figures typed in and have it judged again; what cannot be read stays."""
        assert self._figures is not None
        typed = {
            row.key: self.query_one(f"#row-{row.key}", TypedLine).value.strip() for row in self._figures.rows
        }
        for row in self._figures.rows:
            if typed[row.key] and (problem := row.wrong(typed[row.key])) is not None:
                self._say(f"{row.label}: {problem}")
                self.query_one(f"#row-{row.key}", TypedLine).focus()
                return
        if not any(typed.values()):
            self._say("type a figure first, or esc")
            return
        try:
            self._figures.record(typed)
        except DeskError as refused:
            self._say(refused.lines[0])
            return
        self.dismiss("figures")

    def _say(self, problem: str) -> None:
        self.query_one("#wrong", Static).update(plain(f"! {problem}", 300))
        self.app.bell()

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Accept it for now by the name typed; in a row go on, and from the last have it judged again."""
        event.stop()
        if event.input.id != "name":
            assert self._figures is not None
            if event.input.id == f"row-{self._figures.rows[-1].key}":
                self._type_in()
            else:
                self.focus_next()
            return
        name = " ".join(event.value.split())
        if not (problem := no_name(self.desk, name)):
            self.dismiss(f"={FOR_NOW}: {name}")
            return
        event.input.value = ""
        self.query_one("#wanted", Static).update(f"'{plain(name, 40)}' {problem}. Type who accepts it.")
        self.app.bell()


def box_title(finding: Finding) -> str:
    """Return what a finding is accepted as: 'Accept this stop?'."""
    return "Dismiss this note?" if finding.grade == "note" else f"Accept this {grade_word(finding)}?"
