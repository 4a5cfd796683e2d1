"""Catch-up: walk the shop zone by zone and record what already lies there, a line or a scan each."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.names import looks_like_code
from shopbins.desk.problems import DeskError
from shopbins.ledger.whereabouts import place_said
from shopbins.strip.told import introduce
from shopbins.tui.dialogs.base import TypedLine
from shopbins.tui.keys.actions import bindings
from shopbins.tui.parts.entryline import Came, Unreadable, asked, is_new, read_line, taken
from shopbins.tui.parts.entryrows import EntryRows, RowedLine, rows_of
from shopbins.tui.places import every_place, place_named
from shopbins.tui.text import plain
from shopbins.tui.widgets.lines import Words
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.placing.recording import Laid

KEPT_LINES = 3
LAY_THERE = "was there already"


class CatchUpField(TypedLine):
    """The line; tab goes on to the next zone."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("catchup")]

    @property
    def walk(self) -> CatchUp:
        """The dialog it is in."""
        assert isinstance(self.screen, CatchUp)
        return self.screen

    def action_next_zone(self) -> None:
        """Go on to the next zone."""
        self.walk.go(1)

    def action_previous_zone(self) -> None:
        """Go back to the zone before."""
        self.walk.go(-1)

    def action_close(self) -> None:
        """Clear the line; with nothing typed stop here."""
        if self.value:
            self.value = ""
        else:
            self.walk.dismiss(None)


class CatchUp(RowedLine):
    """Records what lies in one place after the other. It goes on where it was left."""

    left_at: ClassVar[int] = 0

    def __init__(self) -> None:
        super().__init__()
        self._places: list[tuple[str, str]] = []
        self._log: list[str] = []
        self._done = 0
        self._asked = ""
        self._known: list[tuple[str, ...]] = []

    def compose(self) -> ComposeResult:
        """Lay place, what was recorded and the line under each other."""
        with Vertical(classes="box"):
            yield Static("", id="place", classes="title", markup=False)
            yield Static("", id="lies", classes="says", markup=False)
            yield Static("", id="log", classes="log", markup=False)
            yield CatchUpField(
                placeholder="a name or a code each, as: tub of studs, tub, 12 kg, @rack a", id="line"
            )
            yield EntryRows("here")
            yield Words(id="read", classes="read")
            yield Static(
                "enter records · ↓ rows · tab or an empty line: next place · esc stops",
                classes="hint", markup=False,
            )  # fmt: skip

    def on_mount(self) -> None:
        """Begin where it was left."""
        self._places = every_place(self.desk.shop)
        self._known = self.desk.origins()
        CatchUp.left_at %= max(1, len(self._places))
        self._line.focus()
        self.go(0)

    @property
    def here(self) -> tuple[str, str]:
        """The place being walked."""
        return self._places[CatchUp.left_at]

    def go(self, by: int) -> None:
        """Go on by some places."""
        CatchUp.left_at = (CatchUp.left_at + by) % len(self._places)
        self._log, self._done = [], 0
        self._show()

    def _show(self) -> None:
        zone, level = self.here
        words = place_said(zone, level)
        self.query_one("#place", Static).update(
            plain(f"What lies in {words}?   (place {CatchUp.left_at + 1} of {len(self._places)})")
        )
        lies = [self.desk.state.group(each).shown for each in self.desk.state.in_zone(zone, level)]
        known = ", ".join(lies[-8:]) if lies else "nothing yet"
        self.query_one("#lies", Static).update(
            plain(f"{counted(len(lies), 'part')} recorded here: {known}", 300)
        )
        self.query_one("#log", Static).update("\n".join(self._log[-KEPT_LINES:]))

    def _read(self, text: str, *, fill: bool = True) -> None:
        """Forget what was wrong; show in the rows what the line says."""
        self.query_one("#read", Static).update("")
        if fill:
            guesses = {}
            with suppress(Unreadable):
                guesses = rows_of(read_line(text, self._known), written=">" in text)
            self._fill(guesses)

    def on_key(self, event: events.Key) -> None:
        """Go down into the rows."""
        if event.key == "down" and isinstance(self.focused, CatchUpField):
            event.stop()
            self.query_one(EntryRows).begin()

    def _nothing_typed(self) -> None:
        self.go(1)

    def _submit(self, text: str) -> None:
        try:
            self._record(text)
        except (Unreadable, DeskError) as problem:
            self._wrong(problem)

    def _recorded(self, said: str) -> None:
        self._done += 1
        self._log.append(plain(f"✓ {said}", 300))
        self._empty()
        self.shopbins.hush()  # what was said before is no longer what u undoes
        self.shopbins.changed()
        self._show()

    def _record(self, text: str) -> None:
        """Record a code's group, a blank tag, or a new group by name; it lies here, whatever a rule says."""
        desk = self.desk
        if looks_like_code(text, desk.shop.prefix):
            kind, who = desk.names.code(text)
            if kind == "place":
                self._go_to(text, text)
            else:
                self._put(who, self.here, text)
            return
        if self._asked != text and (place := place_named(desk.shop, text)):
            self._go_to(place, text, " · the same again records a part so called")
            return
        came = read_line(text, desk.origins())
        if is_new(came.origin, desk.origins()) and self._asked != text:
            self._asked = text
            raise Unreadable(asked(came.origin or ()))
        where = desk.names.place(came.place) if came.place else self.here
        if not (known := desk.recorded_as(came.name, came.origin or ())):
            self._take(came, where)
            return
        from shopbins.tui.dialogs.recorded import ANOTHER, ask_recorded

        def chosen(which: str) -> None:
            try:
                if which == ANOTHER:
                    self._take(came, where)
                else:
                    self._put(which, where, text)
            except DeskError as problem:
                self._wrong(problem)

        ask_recorded(self.shopbins, known, place_said(*where), chosen)

    def _take(self, came: Came, where: tuple[str, str]) -> None:
        zone, level = where
        laid = self.desk.take_and_put(
            zone=zone, level=level, ordered=False, override=LAY_THERE, **taken(came, ())
        )
        self._told(laid, came.name)

    def _put(self, who: str, where: tuple[str, str], text: str) -> None:
        self._told(self.desk.put(who, *where, override=LAY_THERE), text)

    def _told(self, laid: Laid, text: str) -> None:
        stop = next((f.text for f in laid.findings if f.grade == "stop"), "")
        name = introduce(self.desk.state, laid.group) if laid.group else text
        self._recorded(f"{name} · ■ {stop}" if stop else name)

    def _go_to(self, place: str, text: str, said: str = "") -> None:
        """Go to the place whose label or whole name was typed."""
        zone, level = self.desk.names.place(place)
        self._places = every_place(self.desk.shop)
        there = (each for each in self._places if each[0] == zone and level in ("", each[1]))
        CatchUp.left_at = self._places.index(next(there, (zone, "")))
        self.go(0)
        self._asked = text
        self._log.append(plain(f"now at {place_said(*self.here)}{said}", 300))
        self._empty()
        self._show()
