"""The rows under the line for what came off: the line fills them, and what is typed in one goes back to it.

The line stays the one thing that is read, so that line and rows cannot say two different things.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Static

from shopbins.ledger.model import CONTAINERS
from shopbins.ledger.problems import BadValue
from shopbins.tui.dialogs.base import TypedLine
from shopbins.tui.dialogs.form import Guess
from shopbins.tui.dialogs.typed import FootDialog
from shopbins.tui.parts.entryline import Came, Unreadable, counted_as, read_figure
from shopbins.tui.text import plain
from shopbins.units import pointed

ROWS = (
    ("name", "name", "what it is"),
    ("origin", "from", "not known"),
    ("container", "in", "bare"),
    ("qty", "pieces", "1"),
    ("mass", "mass", "not weighed"),
    ("size", "size", "as usual, or not known"),
    ("place", "place", ""),
    ("more", "more", "one-use, caution hot, counted later"),
)
"""Each row: its key, what it is called, what holds while it is empty or an example."""

NO_ORIGIN = next(example for key, _, example in ROWS if key == "origin")


def rows_of(came: Came, last: tuple[str, ...] = (), *, written: bool = True) -> dict[str, Guess]:
    """Return what a line that was read puts into each row; `written`: its path was typed in full.

    A path that stays from before, or was found by its last word, is a guess.
    """
    origin = came.origin if came.origin is not None else last
    size = came.size
    more = [
        *(["one-use"] if came.one_use else []),
        *([counted_as(came.counted)] if came.counted else []),
        *(f"caution {each}" for each in came.cautions),
        *([came.tag] if came.tag else []),
    ]
    return {
        "name": Guess(came.name),
        "origin": Guess(" > ".join(origin), sure=not origin or (came.origin is not None and written)),
        "container": Guess("" if came.container == "bare" else came.container),
        "qty": Guess(str(came.qty) if came.qty_given else ""),
        "mass": Guess(came.mass.said if came.mass else ""),
        "size": Guess(size.said if size else ""),
        "place": Guess(came.place),
        "more": Guess(", ".join(more)),
    }


def line_of(rows: Mapping[str, str]) -> str:
    """Return the line that says what rows say; raises Unreadable with the row that cannot be read."""
    text = {key: " ".join(value.split()) for key, value in rows.items()}
    if not text["name"]:
        raise Unreadable("name: say what it is")
    checks: tuple[tuple[str, Callable[[str], object]], ...] = (
        ("in", _container),
        ("pieces", _pieces),
        ("mass", partial(read_figure, "mass")),
        ("size", partial(read_figure, "size")),
    )
    keys = {label: key for key, label, _ in ROWS}
    for label, read in checks:
        if text[keys[label]]:
            try:
                read(text[keys[label]])
            except (BadValue, Unreadable) as problem:
                raise Unreadable(f"{label}: {problem}") from None
    parts = [
        text["name"].replace(",", " "),
        text["origin"].replace(",", " "),
        text["container"],
        f"x {text['qty']}" if text["qty"] else "",
        pointed(text["mass"]),
        pointed(text["size"]),
        f"@{text['place'].lstrip('@ ')}" if text["place"] else "",
        text["more"],
    ]
    return ", ".join(filter(None, parts))


def _container(text: str) -> None:
    if text.casefold() not in CONTAINERS:
        raise Unreadable(f"'{text}' is none of: {', '.join(CONTAINERS)}")


def _pieces(text: str) -> None:
    if not text.isdecimal() or not 0 < len(text) <= 6:
        raise Unreadable(f"'{text}' is no number of pieces")


class EntryRows(Vertical):
    """The rows, two beside each other. Arrows, tab and enter go on to the next; the last one records."""

    DEFAULT_CSS = """
    EntryRows { height: 4; width: 100%; }
    EntryRows Horizontal { height: 1; width: 100%; }
    EntryRows .label { width: 7; color: $hint; }
    EntryRows .mark { width: 2; color: $warning; text-style: bold; }
    EntryRows TypedLine { width: 1fr; }
    """

    @dataclass
    class Typed(Message):
        """A row was typed in: the line that says the same, or what is wrong."""

        line: str
        problem: str = ""

    class Recorded(Message):
        """Enter was pressed in the last row."""

    class Left(Message):
        """The rows were left for the line above them."""

    def __init__(self, place: str) -> None:
        """Begin; `place` says where it lies while none is given."""
        super().__init__()
        self._place = place
        self._holds = ""

    def compose(self) -> ComposeResult:
        """Lay the rows two by two."""
        for pair in zip(ROWS[::2], ROWS[1::2], strict=True):
            with Horizontal():
                for key, label, example in pair:
                    yield Static(label, classes="label", markup=False)
                    yield Static("", id=f"mark-{key}", classes="mark", markup=False)
                    yield TypedLine(placeholder=example or self._place, id=f"row-{key}")

    def _fields(self) -> Iterator[tuple[str, TypedLine]]:
        for key, _, _ in ROWS:
            yield key, self.query_one(f"#row-{key}", TypedLine)

    def hold_origin(self, origin: tuple[str, ...]) -> None:
        """Show the path that is written while none is typed; it is marked as a guess."""
        self._holds = " > ".join(origin)
        self.query_one("#row-origin", TypedLine).show_example(self._holds or NO_ORIGIN)

    def fill(self, guesses: Mapping[str, Guess]) -> None:
        """Show what the line says; a guess is marked, what holds while nothing is typed too."""
        for key, field in self._fields():
            guess = guesses.get(key, Guess(""))
            if field.value != guess.text:
                field.value = guess.text
            held = key == "origin" and self._holds and not guess.text
            self.query_one(f"#mark-{key}", Static).update("?" if held or not guess.sure else "")

    def begin(self) -> None:
        """Have the first row hear the keys."""
        self.query_one(f"#row-{ROWS[0][0]}").focus()

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Say in the line what the rows now say."""
        event.stop()
        if not event.input.has_focus:
            return
        self.query_one(f"#mark-{(event.input.id or '').removeprefix('row-')}", Static).update("")
        try:
            self.post_message(self.Typed(line_of({key: field.value for key, field in self._fields()})))
        except Unreadable as problem:
            self.post_message(self.Typed("", str(problem)))

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Go on to the next row; the last one records."""
        event.stop()
        if event.input.id == f"row-{ROWS[-1][0]}":
            self.post_message(self.Recorded())
        else:
            self.screen.focus_next()

    def on_key(self, event: events.Key) -> None:
        """Go from row to row with the arrows; escape goes back to the line."""
        if event.key in ("down", "up", "escape"):
            event.stop()
            event.prevent_default()
            first = self.query_one(f"#row-{ROWS[0][0]}")
            if event.key == "escape" or (event.key == "up" and first.has_focus):
                self.post_message(self.Left())
            elif event.key == "down":
                self.screen.focus_next()
            else:
                self.screen.focus_previous()


class RowedLine(FootDialog[None]):
    """A dialog with a line ('line'), the rows under it, and how it is understood ('read')."""

    def __init__(self) -> None:
        super().__init__()
        self._row_problem = ""

    @property
    def _line(self) -> TypedLine:
        return self.query_one("#line", TypedLine)

    def _read(self, text: str, *, fill: bool = True) -> None:
        """Say how the line is understood; with `fill` show in the rows what it says."""
        raise NotImplementedError

    def _submit(self, text: str) -> None:
        """Record the line."""
        raise NotImplementedError

    def _nothing_typed(self) -> None:
        """Do what enter does in an empty line."""
        raise NotImplementedError

    def _fill(self, guesses: Mapping[str, Guess]) -> None:
        self._row_problem = ""
        self.query_one(EntryRows).fill(guesses)

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Say how the line is understood so far."""
        self._read(event.value, fill=event.input.has_focus)

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Record the line."""
        event.stop()
        if text := event.value.strip():
            self._submit(text)
        else:
            self._nothing_typed()

    def on_entry_rows_typed(self, event: EntryRows.Typed) -> None:
        """Have the line say what the rows now say."""
        self._row_problem = event.problem
        if event.problem:
            self._wrong(Unreadable(event.problem), bell=False)
        else:
            self._line.value = event.line
            self._read(event.line, fill=False)

    def on_entry_rows_recorded(self) -> None:
        """Record what the rows say."""
        if self._row_problem:
            self._wrong(Unreadable(self._row_problem))
        else:
            self._submit(self._line.value.strip())

    def on_entry_rows_left(self) -> None:
        """Back to the line."""
        self._line.focus()

    def _wrong(self, problem: Exception, *, bell: bool = True) -> None:
        """Say what is wrong; what was typed stays."""
        self.query_one("#read", Static).update(plain(f"! {str(problem).splitlines()[0]}", 600))
        if bell:
            self.app.bell()

    def _empty(self) -> None:
        """Be ready for the next."""
        self._line.value = ""
        self._line.focus()
        self._fill({})
