"""A form of rows under a quick line: what is typed there fills the rows; each can be changed by itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.tui.dialogs.base import Dialog, TypedLine, refusal
from shopbins.tui.text import plain
from shopbins.tui.widgets.lines import Words


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its key, what it is called, what it holds, an example, and what says what is wrong with it."""

    key: str
    label: str
    value: str = ""
    example: str = ""
    wrong: Callable[[str], str | None] = lambda _text: None


@dataclass(frozen=True, slots=True)
class Guess:
    """What the quick line gives a row; `sure` False where it was guessed and is to be looked at."""

    text: str
    sure: bool = True


Quick = Callable[[str], Mapping[str, Guess]]
Whole = Callable[[Mapping[str, str]], str | None]
"""Says what the rows lack together, None where nothing."""
Told = Callable[[Mapping[str, str]], str]
"""Says while they are typed what the rows come to, '' where nothing."""
Save = Callable[[Mapping[str, str]], str]
"""Records the rows and returns what is said of it; where it raises ValueError or DeskError the rows stay."""

KEPT_LINES = 4


class RowFault(ValueError):  # noqa: N818  (it is about a row, not the program)
    """What is wrong with one row; it is told under it."""

    def __init__(self, key: str, problem: str) -> None:
        super().__init__(problem)
        self.key = key


class Form(Dialog[dict[str, str]]):
    """Gives the rows by key. Enter in the quick line or the last row saves; escape clears, then closes.

    What is wrong with a row is told under it, what `save` refuses under all, and nothing typed is lost. An
    example too long for its row stands whole under the rows while one is in it. With `stays` the form is
    there for the next one, what was recorded above it. `says` are lines under the title, `told` says what
    the rows come to.
    """

    DEFAULT_CSS = """
    Form .row { height: 1; width: 100%; }
    Form .label { width: 26; }
    Form .mark { width: 2; color: $warning; text-style: bold; }
    Form .row TypedLine { width: 1fr; }
    Form .fault { display: none; padding: 0 0 0 28; height: auto; width: 100%; }
    Form .fault.-told { display: block; }
    Form #wrong.-example { color: $hint; text-style: none; }
    """

    def __init__(
        self, title: str, rows: Sequence[Row], quick: Quick, example: str = "", *, at: str = "",
        whole: Whole = lambda _values: None, save: Save | None = None, stays: bool = False,
        says: Sequence[str] = (), told: Told | None = None,
    ) -> None:  # fmt: skip
        super().__init__()
        self._whole, self._save, self._stays = whole, save, stays
        self._says, self._told = says, told
        self._log: list[str] = []
        self._faulty = self._mending = ""
        self._shown_under = ("", False)
        self._guessed: set[str] = set()
        self._title, self._rows = title, tuple(rows)
        self._quick, self._example, self._at = quick, example, at

    def compose(self) -> ComposeResult:
        """Lay the quick line, the rows and what is wrong under each other."""
        with Vertical(classes="box"):
            yield Static(plain(self._title, 200), classes="title", markup=False)
            for line in self._says:
                yield Static(plain(line, 300), classes="says", markup=False)
            if self._stays:
                yield Static("", id="log", markup=False)
            yield TypedLine(placeholder=f"all in one line: {self._example}", id="quick")
            for row in self._rows:
                with Horizontal(classes="row"):
                    yield Static(row.label, classes="label", markup=False)
                    yield Static("", id=f"mark-{row.key}", classes="mark", markup=False)
                    yield TypedLine(row.value, placeholder=row.example, id=f"row-{row.key}")
                yield Static("", id=f"fault-{row.key}", classes="wrong fault", markup=False)
            if self._told is not None:
                yield Words(id="told", classes="says")
            yield Words(id="wrong", classes="wrong")
            closes = "esc clears, then closes" if self._stays else "esc clears, then cancels"
            yield Static(f"tab next row · enter saves · {closes}", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Begin in the quick line, or in the row asked for."""
        self._field(self._at).focus()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Go on typing behind what a row holds."""
        if isinstance(event.widget, TypedLine):
            event.widget.cursor_position = len(event.widget.value)
            self._show_example(event.widget)

    def _show_example(self, field: TypedLine) -> None:
        """Show whole what a row takes, where its example has no room in it."""
        text, example = self._shown_under
        if example or not text:
            self._under(plain(field.example, 300) if field.is_cut else "", example=True)

    def _field(self, key: str) -> TypedLine:
        return self.query_one(f"#row-{key}" if key else "#quick", TypedLine)

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Fill the rows from the quick line; take the mark from a row that was typed in."""
        if event.input.id == "quick":
            if event.input.has_focus:
                self._fill(event.value)
        elif event.input.has_focus:
            key = (event.input.id or "").removeprefix("row-")
            self._mark(key, sure=True)
            if key == self._faulty:
                self._say("")
        if self._told is not None:
            self.query_one("#told", Static).update(plain(self._told(self._values()), 300))

    def _values(self) -> dict[str, str]:
        return {row.key: self._field(row.key).value.strip() for row in self._rows}

    def _fill(self, text: str) -> None:
        try:
            found = dict(self._quick(text)) if text.strip() else {}
        except ValueError as problem:
            self._say(str(problem))
            return
        self._say("")
        for row in self._rows:
            guess = found.get(row.key, Guess(row.value))
            self._field(row.key).value = guess.text
            self._mark(row.key, sure=guess.sure)

    def _mark(self, key: str, *, sure: bool) -> None:
        """Mark a row that was filled by guess, or take the mark away; a layout is done only for a change."""
        if sure != (key not in self._guessed):
            self._guessed ^= {key}
            self.query_one(f"#mark-{key}", Static).update("" if sure else "?")

    def _say(self, problem: str, key: str = "") -> None:
        """Say what is wrong: under the row with this key, else under all of them."""
        text = plain(f"! {problem}", 400) if problem else ""
        if self._faulty and key != self._faulty:
            self.query_one(f"#fault-{self._faulty}", Static).set_class(False, "-told")
        self._faulty = key
        if key:
            self._mending = key
            fault = self.query_one(f"#fault-{key}", Static)
            fault.update(text)
            fault.set_class(True, "-told")
            self._field(key).focus()
        self._under(text if not key else "", example=False)

    def _under(self, text: str, *, example: bool) -> None:
        """Show something under the rows: what is wrong, or the example of the row one is in."""
        if (text, example) != self._shown_under:
            self._shown_under = (text, example)
            wrong = self.query_one("#wrong", Static)
            wrong.set_class(example, "-example")
            wrong.update(text)

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Record from the quick line, the last row and one that was put right; from another go on."""
        event.stop()
        last = f"row-{self._rows[-1].key}"
        if event.input.id not in ("quick", last, f"row-{self._mending}"):
            self.focus_next()
            return
        if event.input.id == "quick":
            try:
                self._quick(event.value)
            except ValueError as problem:
                self._say(str(problem))
                self.app.bell()
                return
        values = self._values()
        for row in self._rows:
            if (problem_text := row.wrong(values[row.key])) is not None:
                self._say(problem_text, row.key)
                self.app.bell()
                return
        if (lacking := self._whole(values)) is not None:
            self._say(lacking)
            self.app.bell()
            return
        try:
            said = self._save(values) if self._save is not None else ""
        except (ValueError, DeskError) as problem:
            self._say(refusal(problem), problem.key if isinstance(problem, RowFault) else "")
            self.app.bell()
            return
        if self._stays:
            self._next(said)
        else:
            self.dismiss(values)

    def _next(self, said: str) -> None:
        """Say what was recorded and be empty for the next."""
        self._mending = ""
        self._log = [*self._log, plain(f"✓ {said}", 300)][-KEPT_LINES:]
        self.query_one("#log", Static).update("\n".join(self._log))
        for row in self._rows:
            self._field(row.key).value = row.value
            self._mark(row.key, sure=True)
        quick = self._field("")
        quick.value = ""
        quick.focus()

    def on_key(self, event: events.Key) -> None:
        """Go from row to row with the arrows."""
        if event.key in ("down", "up"):
            event.stop()
            (self.focus_next if event.key == "down" else self.focus_previous)()

    def action_close(self) -> None:
        """Clear what was typed; where nothing was, close."""
        field = self.focused
        before = {"quick": "", **{f"row-{row.key}": row.value for row in self._rows}}
        if isinstance(field, TypedLine) and field.value != before.get(field.id or "", ""):
            field.value = before.get(field.id or "", "")
        else:
            self.dismiss(None)
