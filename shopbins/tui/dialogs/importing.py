"""A parts list from a spreadsheet: what each column is, which rows cannot be read, then the rest or none."""

from __future__ import annotations

import csv
import io
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import BadInput, DeskError
from shopbins.ledger.problems import BadValue
from shopbins.reports.amended import is_export
from shopbins.strip.importing import (
    FIELDS,
    decoded,
    delimiter,
    guess,
    header_of,
    news,
    read_list,
    remembered,
)
from shopbins.tui.asking import with_reason
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.strip.importing import Sheet, news
    from shopbins.tui.host import Host

MOST_ROWS = 12
TOLD = {
    "name": "the part's name",
    "assembly": "the assembly it is of",
    "subassembly": "the sub-assembly",
    "qty": "how many",
    "number": "drawing or part number",
    "spec": "specification",
    "machine": "the machine",
}
"""What a column may be, as it is said."""


def ask_list(app: Host) -> None:
    """Ask for a file, then what its columns are."""

    def wrong(text: str) -> str | None:
        path = Path(text).expanduser()
        return None if path.is_file() else f"there is no file {text}"

    def given(text: str | None) -> None:
        if text:
            _open(app, Path(text).expanduser())

    app.push_screen(Ask("Which parts list (CSV, or XLSX)?", example="parts.csv", wrong=wrong), given)


def _open(app: Host, path: Path) -> None:
    try:
        data = read_list(path)
        if is_export(header_of(data)):
            app.tell(f"{path.name} is an export of this program: shopbins import takes it in", bad=True)
            return
    except OSError as problem:
        app.tell(f"{path}: {problem.strerror or problem}", bad=True)
        return
    except BadValue as problem:
        app.tell(f"{path.name}: {problem}", bad=True)
        return
    app.push_screen(Columns(path.name, data))


class Columns(Dialog[None]):
    """What each column is: left and right change it, m says the machine, enter imports."""

    DEFAULT_CSS = """
    Columns > .box { width: 96; }
    Columns LineList { height: auto; }
    """

    def __init__(self, file: str, data: bytes) -> None:
        super().__init__()
        self._file, self._data = file, data
        self._header = header_of(data)
        self._rows = first_rows(data, 3)
        self._is: dict[int, str] = {}
        self._machine = ""
        self._sheet: Sheet | None = None

    def compose(self) -> ComposeResult:
        """Lay the columns and what would come of them under each other."""
        with Vertical(classes="box"):
            yield Static(plain(f"What are the columns of {self._file}?"), classes="title", markup=False)
            yield LineList(
                (Column("column", 20, 0.8), Column("is", 26), Column("first rows", 24, 1.2)), id="columns"
            )
            yield Static("", id="machine", classes="says", markup=False)
            yield Static("", id="read", classes="says", markup=False)
            yield Static("", id="wrong", classes="wrong", markup=False)
            yield Static("← → what a column is · m the machine · enter imports · esc cancels", classes="hint", markup=False)  # noqa: E501  # fmt: skip

    def on_mount(self) -> None:
        """Begin with the columns as remembered for this heading, else as guessed."""
        state = self.desk.state
        known = remembered(state, self._header)
        self._is = {column: name for name, column in (known or guess(self._header)).items()}
        machines = list(dict.fromkeys(path[0] for path in self.desk.origins() if path)) or [
            *self.desk.shop.machines
        ]
        self._machine = machines[0] if machines else ""
        lines = self.query_one(LineList)
        lines.styles.height = 1 + min(MOST_ROWS, len(self._header), max(2, self.app.size.height - 10))
        lines.show(len(self._header), self._row)
        lines.focus()
        self._read()

    def _row(self, number: int) -> list[Cell]:
        name = self._is.get(number)
        shown = " | ".join(row[number] for row in self._rows if number < len(row) and row[number])
        return [
            self._header[number] or f"(column {number + 1})",
            f"◂ {TOLD[name] if name else '-'} ▸",
            (shown, "dim"),
        ]

    def _read(self) -> None:
        """Read the list with the columns as they are, and say what importing it would do."""
        columns = {name: column for column, name in self._is.items()}
        said, wrong = "", ""
        self._sheet = None
        try:
            if not columns:
                raise BadInput("say which column is the part's name")
            sheet = self._sheet = self.desk.read_parts(self._data, columns, self._machine)
        except DeskError as problem:
            wrong = f"! {problem}"
        else:
            found = news(self.desk.state, sheet)
            said = f"{counted(len(sheet.rows), 'row')} can be read: {len(found.new)} new, "
            said += f"{len(found.changed)} changed, {found.same} known as they are"
            wrong = _bad(sheet)
        where = "" if "machine" in columns else f"the machine: {self._machine or 'not said (m)'}"
        self.query_one("#machine", Static).update(plain(where))
        self.query_one("#read", Static).update(plain(said))
        self.query_one("#wrong", Static).update(plain(wrong, 500))

    def on_key(self, event: events.Key) -> None:
        """Change what the column under the cursor is, or the machine."""
        if event.key in ("left", "right"):
            event.stop()
            self._turn(1 if event.key == "right" else -1)
        elif event.key == "m":
            event.stop()
            self._ask_machine()

    def _turn(self, way: int) -> None:
        lines = self.query_one(LineList)
        column = lines.cursor
        taken = {name for other, name in self._is.items() if other != column}
        free = ["", *(name for name in FIELDS if name not in taken)]
        now = free.index(self._is.get(column, ""))
        name = free[(now + way) % len(free)]
        if name:
            self._is[column] = name
        else:
            self._is.pop(column, None)
        lines.redraw()
        self._read()

    def _ask_machine(self) -> None:
        def given(text: str | None) -> None:
            if text:
                self._machine = text
                self._read()

        offers = list(dict.fromkeys(path[0] for path in self.desk.origins() if path))
        self.shopbins.push_screen(
            Ask("Of which machine is the list?", self._machine, example="engine", offers=offers), given
        )

    def on_line_list_chosen(self) -> None:
        """Import: where rows cannot be read, ask whether the rest is wanted."""
        sheet = self._sheet
        if sheet is None:
            self.app.bell()
        elif not sheet.problems:
            self._import(sheet, skip_bad=False)
        else:
            self._ask_rest(sheet)

    def _ask_rest(self, sheet: Sheet) -> None:
        choices = [
            Choice("rest", f"import the {counted(len(sheet.rows), 'row')} that can be read"),
            Choice("nothing", "import nothing"),
            Choice("all", f"list all {len(sheet.problems)}"),
        ]
        says = [f"line {line}: {text}" for line, text in sheet.problems[:8]]
        says += [f"and {len(sheet.problems) - 8} more"] if len(sheet.problems) > 8 else []

        def chosen(answer: str | None) -> None:
            if answer == "rest":
                self._import(sheet, skip_bad=True)
            elif answer == "all":
                self.shopbins.open_page(
                    f"Rows of {self._file} that cannot be read",
                    [f"line {n}: {text}" for n, text in sheet.problems],
                )
            elif answer == "nothing":
                self.dismiss(None)
                self.shopbins.tell("nothing was imported")

        title = f"{counted(len(sheet.problems), 'row')} of {self._file} cannot be read"
        self.shopbins.push_screen(Pick(title, choices, says=says, digits=True), chosen)

    def _import(self, sheet: Sheet, *, skip_bad: bool) -> None:
        found = news(self.desk.state, sheet)
        app, desk = self.shopbins, self.desk
        self.dismiss(None)
        app.call_later(  # this dialog is gone when the reason is given
            with_reason,
            app,
            lambda reason: desk.import_parts(sheet, self._file, skip_bad=skip_bad, reason=reason),
            f"{self._file}: {len(found.new)} parts listed, {len(found.changed)} changed, {found.same} known",
        )


def first_rows(data: bytes, most: int) -> list[list[str]]:
    """Return the first rows under the heading, as far as they are CSV."""
    text = decoded(data)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter(text.split("\n", 1)[0]))
    try:
        return list(islice(rows, 1, most + 1))
    except csv.Error:
        return []


def _bad(sheet: Sheet) -> str:
    """Name the first rows that cannot be read."""
    if not sheet.problems:
        return ""
    first = "; ".join(f"line {line} {text}" for line, text in sheet.problems[:2])
    more = f"; and {len(sheet.problems) - 2} more" if len(sheet.problems) > 2 else ""
    return f"{counted(len(sheet.problems), 'row')} cannot be read: {first}{more}"
