"""Roll-call of a place: scan all that lies there; what is not as recorded is put right by a key each."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.desk.rollcall import REMEDY, Called, Outcome, RollCall, expected, put_right, read, rows
from shopbins.ledger.whereabouts import place_said
from shopbins.tui.bells import ring
from shopbins.tui.bigword import big_word
from shopbins.tui.dialogs.codeline import CodeLine
from shopbins.tui.dialogs.stopbox import by_digit, reason_of
from shopbins.tui.keys.actions import bindings
from shopbins.tui.plan.laying import accept_by_digit
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.tui.words import told

if TYPE_CHECKING:
    from shopbins.placing.recording import Reasons
    from shopbins.rules.finding import Finding

MOST_ROWS = 9
GLYPH = {"missing": "–", "misplaced": "→", "unexpected": "+", "present": "✓"}
LOOK = {"missing": "stop", "misplaced": "correct", "unexpected": "note", "present": "dim"}


class RollCallLine(CodeLine):
    """One read after the other; + in the empty line puts the row under the cursor right."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("rollcall")]
    DEFAULT_CSS = """
    RollCallLine #big { height: 3; width: 100%; padding: 0 1; text-style: bold; }
    RollCallLine #said { height: 2; width: 100%; padding: 0 1; }
    RollCallLine #code { height: 1; width: 100%; }
    RollCallLine LineList { height: auto; max-height: 9; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._call: RollCall | None = None
        self._rows: list[Outcome] = []
        self._stopped: Outcome | None = None
        self._stops: list[Finding] = []

    def compose(self) -> ComposeResult:
        """Lay the last result, the count, the code being read and the rows under each other."""
        with Vertical(classes="box"):
            yield Static("", id="place", classes="title", markup=False)
            yield Static(big_word("CALL"), id="big", markup=False)
            yield Static("", id="said", markup=False)
            yield LineList((Column("", 12), Column("", 26, 1.0), Column("", 20, 1.0)), head=False, id="rows")
            yield Static("", id="code", markup=False)
            yield Static("", id="hint", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Begin with the place set as 'here', if one is."""
        self.query_one(LineList).can_focus = False
        here = self.shopbins.scanned.here
        if here is not None:
            self._call = RollCall(*here)
        self._show()

    # --- typed and scanned --------------------------------------------------------------------------------

    def first_key(self, event: events.Key, *, quiet: bool) -> bool:
        """Put the row right by +; let a stop stand for the reason of a digit."""
        if event.character == "+":
            self.action_right()
        elif self._stopped and quiet and (reason := reason_of(self._stops[0], event.key)):
            row, self._stopped = self._stopped, None
            accept_by_digit(self.shopbins, self._stops, reason, lambda given: self._right(row, given))
        else:
            return False
        return True

    def entered(self, code: str) -> None:
        """Read a code against what is on record here."""
        if not code:
            self._tell("NOTHING", "nothing was read: scan a label, or + puts the row right", ok=False)
            return
        self._stopped = None
        call = self._call if self._call is not None else RollCall("")
        after, said = read(self.desk, call, code)
        if self._call is None and not after.zone:
            after, said = call, Called("PLACE", "scan the label of the place first", False)
        self._call = after if after.zone else None
        self._tell(said.word, said.text, ok=said.ok)
        self._show()

    # --- putting right ------------------------------------------------------------------------------------

    def action_right(self) -> None:
        """Put right the row under the cursor."""
        cursor = self.query_one(LineList).cursor
        if 0 <= cursor < len(self._rows) and self._rows[cursor].kind != "present":
            self._right(self._rows[cursor], None)

    def _right(self, row: Outcome, reason: Reasons) -> None:
        assert self._call is not None
        self._stopped = None
        try:
            self._call, laid = put_right(self.desk, self._call, row, override=reason)
        except DeskError as problem:
            self._tell("REFUSED", str(problem), ok=False)
            return
        if laid is not None and not laid.done:
            self._stopped, self._stops = row, list(laid.stops)
            stops = [told(each) for each in self._stops][:2]
            self._tell("STOP", f"{row.shown}: {' · '.join(stops)}", ok=False)
        else:
            done = "taken off the record, waiting" if laid is None else "put down here"
            self._tell("DONE", f"{row.shown}: {done}", ok=True)
            self.shopbins.changed()
        self._show()

    # --- shown --------------------------------------------------------------------------------------------

    def _tell(self, word: str, text: str, *, ok: bool) -> None:
        self.query_one("#big", Static).update(big_word(word))
        self.query_one("#said", Static).update(plain(text, 300))
        ring(self.shopbins, ok=ok)

    def _show(self) -> None:
        call = self._call
        if call is None:
            self.query_one("#place", Static).update("Roll-call: scan the label of the place first")
            self.show_code()
            return
        self._rows = rows(self.desk, call)
        faults = sum(1 for row in self._rows if row.kind != "present")
        awaited = len(expected(self.desk, call))
        place = place_said(call.zone, call.level)
        told_now = f"{len(call.read)} read, {awaited} on record"
        told_now += f", {faults} to put right" if call.read else ", none read yet"
        self.query_one("#place", Static).update(plain(f"Roll-call of {place}: {told_now}", 200))
        lines = self.query_one(LineList)
        lines.styles.height = max(1, min(MOST_ROWS, len(self._rows), self.app.size.height - 11))
        lines.show(len(self._rows), self._row, lines.cursor)
        self.show_code()

    def _row(self, number: int) -> list[Cell]:
        row = self._rows[number]
        where = row.where if row.kind == "misplaced" else ""
        assert self._call is not None
        if row.kind == "missing" and not self._call.read:
            return [("· not read", "dim"), plain(row.shown, 100), ""]
        return [(f"{GLYPH[row.kind]} {row.kind}", LOOK[row.kind]), plain(row.shown, 100), plain(where, 100)]

    def show_code(self) -> None:
        """Show the code as far as it is typed, and what can be done."""
        if not self.is_attached:
            return
        self.query_one("#code", Static).update(f"> {plain(self._typed)}▏")
        hint = "scan all that lies here · ↑ ↓ moves · esc ends"
        cursor = self.query_one(LineList).cursor
        if self._stopped is not None:
            hint = f"{by_digit(self._stops[0])}   esc ends"
        elif 0 <= cursor < len(self._rows) and (remedy := REMEDY[self._rows[cursor].kind]):
            hint = f"+ {remedy} · ↑ ↓ moves · esc ends"
        self.query_one("#hint", Static).update(hint)

    def action_up(self) -> None:
        """Go a row up."""
        self.query_one(LineList).action_cursor_up()
        self.show_code()

    def action_down(self) -> None:
        """Go a row down."""
        self.query_one(LineList).action_cursor_down()
        self.show_code()

    def action_close(self) -> None:
        """End the roll-call."""
        self.dismiss(None)
