"""The scan line: takes a code from a scanner, from any place, and says in one word what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Static

from shopbins.desk.scan import RECORDED, Scanned, ScanState, scan
from shopbins.ledger.whereabouts import place_said
from shopbins.strip.told import introduce
from shopbins.tui.bells import ring
from shopbins.tui.bigword import big_word
from shopbins.tui.dialogs.codeline import CodeLine
from shopbins.tui.dialogs.stopbox import by_digit, reason_of
from shopbins.tui.keys.actions import bindings
from shopbins.tui.plan.laying import accept_by_digit
from shopbins.tui.text import plain
from shopbins.tui.words import told

if TYPE_CHECKING:
    from shopbins.placing.recording import Reasons
    from shopbins.rules.finding import Finding

KEPT_LINES = 3
DRAW_AFTER_S = 1.5
"""How long after the last scan the place behind is drawn anew: a next scan must not wait for that."""
GLYPH = {"STOP": "■", "UNKNOWN": "?", "MISREAD": "?", "OTHER SHOP": "?", "WHICH": "?", "REFUSED": "!"}


class ScanLine(CodeLine):
    """One scan after the other until escape; 'here' stays set."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("scan")]
    DEFAULT_CSS = """
    ScanLine .log { height: 3; }
    ScanLine #big { height: 3; width: 100%; padding: 0 1; text-style: bold; }
    ScanLine #result { height: 2; }
    ScanLine #word { width: 14; }
    ScanLine #said { width: 1fr; padding: 0 1; height: 2; }
    ScanLine #code { height: 1; width: 100%; }
    ScanLine #findings { height: 2; }
    """

    def __init__(self, typed: str = "", *, read: bool = False) -> None:
        """Open with what is typed already; `read`: that is a whole code to be acted on."""
        super().__init__(typed)
        self._read_at_once = read
        self._log: list[str] = []
        self._stopped: tuple[ScanState, str] | None = None
        self._stops: list[Finding] = []
        self._drawing: Timer | None = None
        self._fits = ""

    def compose(self) -> ComposeResult:
        """Lay the result, the code being read and the earlier ones under each other."""
        with Vertical(classes="box"):
            yield Static("", id="log", classes="log", markup=False)
            yield Static(big_word("SCAN"), id="big", markup=False)
            with Horizontal(id="result"):
                yield Static("SCAN", id="word", classes="big", markup=False)
                yield Static("", id="said", markup=False)
            yield Static("", id="code", markup=False)
            yield Static("", id="findings", classes="says", markup=False)
            yield Static("", id="hint", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Show what is set from before."""
        self.query_one("#said", Static).update(self._awaited())
        if self._read_at_once:
            self._ended()
        self.show_code()

    def _awaited(self) -> str:
        """Say what may be scanned now."""
        here, into = self.shopbins.scanned.here, self.shopbins.scanned.into
        if into is not None and self.desk.state.has_group(into):
            return f"{self.desk.state.group(into).shown} is open: scan what goes into it"
        return f"here is {place_said(*here)}: scan what lies there" if here else "a place's or part's label"

    def _write(self, name: str, text: str) -> None:
        """Write one of the lines. None changes its height, so that the screen is not laid out anew."""
        self.query_one(f"#{name}", Static).update(text, layout=False)

    def show_code(self) -> None:
        """Show the code as far as it is typed, and what can be done."""
        if not self.is_mounted:
            return
        self._write("code", f"> {plain(self._typed)}▏")
        here, into = self.shopbins.scanned.here, self.shopbins.scanned.into
        set_now = f"here: {place_said(*here)} · del forgets it · " if here else ""
        if into is not None:
            set_now = "scan it again to close it · del forgets it · "
        held = "tab puts it back on · " if self.shopbins.scanned.held and not here else ""
        hint = f"{held}{set_now}esc closes"
        if self._stopped is not None:
            hint = f"{by_digit(self._stops[0])}   esc cancels"
        self._write("hint", hint)

    def first_key(self, event: events.Key, *, quiet: bool) -> bool:
        """Let a stop stand for the reason of a digit."""
        if self._stopped is None or not quiet or not (reason := reason_of(self._stops[0], event.key)):
            return False
        self._again(reason)
        return True

    def only_types(self, event: events.Event) -> bool:
        """Tell whether an event is but one more letter of a code: right behind a stop a digit accepts it."""
        return isinstance(event, events.Key) and event.is_printable and self._stopped is None

    def entered(self, code: str) -> None:
        """Act on a code; an empty line closes."""
        if not code:
            self.dismiss(None)
            return
        self._stopped, self._fits = None, ""
        before = self.shopbins.scanned
        self._take(before, code, None)

    def _again(self, reason: str) -> None:
        """Accept the stop by its digit; several, and those that need a name, ask each in a box of its own."""
        assert self._stopped is not None
        before, code = self._stopped
        self._stopped = None
        accept_by_digit(self.shopbins, self._stops, reason, lambda given: self._take(before, code, given))

    def _take(self, before: ScanState, code: str, override: Reasons) -> None:
        after, result = scan(self.desk, before, code, override=override)
        self.shopbins.scanned = after
        if result.word == "STOP":
            self._stopped = (before, code)
            self._stops = [f for f in result.findings if f.grade == "stop" and f.accepted is None]
        self._tell(result)
        if result.ok and result.word in RECORDED:
            self._draw_soon()
        self.shopbins.fill_lines()

    def _draw_soon(self) -> None:
        """Draw the places once no scan has come for a while, or when the line is closed."""
        if self._drawing is not None:
            self._drawing.stop()
        self._drawing = self.set_timer(DRAW_AFTER_S, self._draw_now)

    def _draw_now(self) -> None:
        if self._drawing is not None:
            self._drawing.stop()
            self._drawing = None
            self.shopbins.changed()

    def on_unmount(self) -> None:
        """Draw what has not been drawn yet."""
        self._draw_now()

    def _tell(self, result: Scanned) -> None:
        glyph = GLYPH.get(result.word, "✓")
        self._write("word", f"{glyph} {result.word}")
        self._write("big", big_word(result.word))
        self._write("said", plain(result.text, 300))
        self._log = [*self._log, plain(f"{result.word:<8} {result.text}", 200)][-KEPT_LINES - 1 :]
        self._write("log", "\n".join(self._log[:-1]))
        worst = [told(f) for f in result.findings if f.grade != "note"][:3]
        said = [*worst, self._heed(result.group)]
        self._write("findings", plain(" · ".join(filter(None, said)), 500))
        ring(self.shopbins, ok=result.ok)

    def action_close(self) -> None:
        """Close; 'here' stays set."""
        self.dismiss(None)

    def action_fit(self) -> None:
        """Put what is in hand back on its machine: asked first, as tab completes or goes on elsewhere."""
        from shopbins.tui.refit.putting import put_on

        held = self.shopbins.scanned.held
        if held is None or not self.desk.state.has_group(held):
            self._write("said", "scan a part's label first, with no place set")
            self.app.bell()
            return
        if self._fits != held:
            self._fits = held
            self._write(
                "said", plain(f"tab again puts {self.desk.state.group(held).shown} back on for good", 300)
            )
            return
        self._fits = ""
        put_on(self.shopbins, self.desk.state.group(held), then=self._on)

    def _on(self) -> None:
        """Say that what was in hand is on."""
        held = self.shopbins.scanned.held
        self.shopbins.scanned = ScanState(self.shopbins.scanned.here, None)
        if held is not None and self.is_mounted:
            said = introduce(self.desk.state, held)
            self._write("word", "✓ ON")
            self._write("big", big_word("ON"))
            self._write("said", plain(said, 300))
            self._write("findings", plain(self._heed(held), 500))
            self._log = [*self._log, plain(f"{'ON':<8} {said}", 200)][-KEPT_LINES - 1 :]
            self._write("log", "\n".join(self._log[:-1]))
            self.show_code()

    def _heed(self, group_id: str | None) -> str:
        """Say what to heed when a group is handled."""
        if group_id is None or not self.desk.state.has_group(group_id):
            return ""
        return " · ".join(self.desk.hints(self.desk.state.group(group_id)))

    def action_leave_here(self) -> None:
        """Forget 'here' and what is in hand."""
        self.shopbins.scanned = ScanState()
        self._stopped = None
        self._write("word", "SCAN")
        self._write("big", big_word("SCAN"))
        self._write("said", self._awaited())
        self.shopbins.fill_lines()
        self.show_code()
