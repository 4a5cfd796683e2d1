"""The line for what has just come off: enter records it, durably, and it stays open for the next."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.names import looks_like_code
from shopbins.desk.problems import DeskError
from shopbins.ledger.model import Group
from shopbins.ledger.whereabouts import place_said
from shopbins.strip.told import introduce
from shopbins.tui.dialogs.base import TypedLine
from shopbins.tui.keys.actions import bindings
from shopbins.tui.parts.entryline import (
    Came,
    Unreadable,
    asked,
    completed,
    is_new,
    is_origin,
    offers,
    read_line,
    staying,
    taken,
    understood,
)
from shopbins.tui.parts.entryrows import EntryRows, RowedLine, rows_of
from shopbins.tui.places import every_place, place_named
from shopbins.tui.plan.laying import lay
from shopbins.tui.text import plain
from shopbins.tui.widgets.lines import Words

if TYPE_CHECKING:
    from shopbins.placing.recording import Laid, Reasons

KEPT_LINES = 3
EXAMPLE = "inlet valves, cylinder head 2, bag, 2 kg, 4 off, @rack a/3"


class EntryField(TypedLine):
    """The line itself; tab takes the word offered."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("entry")]

    def action_complete(self) -> None:
        """Take the word offered, else move right."""
        if self.cursor_position < len(self.value) or not self._entry.take_offer():
            self.action_cursor_right()

    def action_before(self) -> None:
        """Go to the rows; with nothing typed ask what had to come off before what was just recorded."""
        if self.value.strip():
            self._entry.query_one(EntryRows).begin()
        else:
            self._entry.ask_first()

    def action_close(self) -> None:
        """Clear the line, first of it a new path that was asked about; with nothing typed close it."""
        if self._entry.clear_asked():
            return
        if self.value:
            self.value = ""
        else:
            self._entry.dismiss(None)

    @property
    def _entry(self) -> EntryLine:
        assert isinstance(self.screen, EntryLine)
        return self.screen


class EntryLine(RowedLine):
    """Records what comes off, one line each."""

    def __init__(self) -> None:
        super().__init__()
        self._log: list[str] = []
        self._offers: list[str] = []
        self._known: list[tuple[str, ...]] = []
        self._last: tuple[str, ...] = ()
        self._places: list[str] = []
        self._just: Group | None = None
        self._asked = self._place_asked = ""

    def compose(self) -> ComposeResult:
        """Lay what was recorded, the line and how it is understood under each other."""
        with Vertical(classes="box"):
            yield Static("What has just come off?", classes="title", markup=False)
            yield Static("", id="log", classes="log", markup=False)
            yield EntryField(placeholder=EXAMPLE, id="line")
            yield EntryRows("waiting")
            yield Words(id="read", classes="read")
            yield Words(id="offers", classes="hint")
            yield Static(
                "enter records · tab completes · ↓ rows or off first · esc clears, closes",
                classes="hint", markup=False,
            )  # fmt: skip

    def on_mount(self) -> None:
        """Begin with the origin given last."""
        desk = self.desk
        self._known = desk.origins()
        self._last = staying(self._known[0]) if self._known else ()
        self._places = [place_said(*each) for each in every_place(desk.shop)]
        self._line.focus()
        self._read("")

    def _read(self, text: str, *, fill: bool = True) -> None:
        self._offers = offers(text, self._known, self._places)
        self.query_one(EntryRows).hold_origin(self._last)
        said = f"from {' > '.join(self._last)} unless another is given" if self._last else ""
        if text.strip():
            try:
                came = read_line(text, self._known, self._last)
                origin = self._origin_of(came.name)
                how = "stays" if origin == self._last else "as listed"
                said = understood(came, origin, came.place, how)
                if fill:
                    self._fill(rows_of(came, origin, written=">" in text))
            except Unreadable as problem:
                said = f"! {problem}"
        elif fill:
            self._fill({})
        self.query_one("#read", Static).update(plain(said, 600))
        self.query_one("#offers", Static).update(
            plain("tab: " + "   ".join(self._offers), 300) if self._offers else ""
        )

    def clear_asked(self) -> bool:
        """Take the new path that was asked about out of the line; False where none was."""
        field = self._line
        if not self._asked or field.value.strip() != self._asked:
            return False
        came = read_line(self._asked, self._known, self._last)
        field.value = ", ".join(
            part.strip()
            for part in self._asked.split(",")
            if not is_origin(part.strip(), came.origin, self._known, self._last)
        )
        self._asked = ""
        return True

    def take_offer(self) -> bool:
        """Complete the part being typed; False where nothing is offered."""
        if not self._offers:
            return False
        field = self._line
        field.value = completed(field.value, self._offers[0])
        field.cursor_position = len(field.value)
        return True

    def _nothing_typed(self) -> None:
        self.query_one("#read", Static).update("nothing typed: say what came off · esc closes")
        self.app.bell()

    def _submit(self, text: str) -> None:
        try:
            self._check_name(text)
            came = read_line(text, self._known, self._last)
            if came.origin is not None and is_new(came.origin, self._known) and self._asked != text:
                self._asked = text
                self.query_one("#read", Static).update(plain(f"? {asked(came.origin)}", 400))
                self.app.bell()
                return
            place = self.desk.names.place(came.place) if came.place else None
            fields = self._fields(came)
            if known := self.desk.recorded_as(fields["name"], fields["origin"]):
                self._ask_known(came, fields, place, known)
            else:
                self._record(came, fields, place)
        except (Unreadable, DeskError) as problem:
            self._wrong(problem)

    def _check_name(self, text: str) -> None:
        """Refuse what is the label of a place or a part, ask about what is called as a place is."""
        if looks_like_code(text, self.desk.shop.prefix):
            with suppress(DeskError):
                kind, subject = self.desk.names.code(text)
                if kind != "blank":
                    zone, _, level = subject.partition("/")
                    whose = (
                        place_said(zone, level) if kind == "place" else self.desk.state.group(subject).shown
                    )
                    raise Unreadable(f"{text} is the label of {whose}: say first what came off")
        elif self._place_asked != text and (place := place_named(self.desk.shop, text)):
            self._place_asked = text
            raise Unreadable(
                f"'{place}' is a place: 'NAME @{place}' puts a part there · enter: a part so called"
            )

    def _record(self, came: Came, fields: dict[str, Any], place: tuple[str, str] | None) -> None:
        """Record it, with its place where one was given."""
        if place is not None:
            self._take_and_lay(came, fields, place)
            return
        try:
            self._took(came, self.desk.take(**fields))
        except DeskError as problem:
            self._wrong(problem)
        else:
            self.shopbins.hush()  # what was said before is no longer what u undoes

    def _ask_known(
        self, came: Came, fields: dict[str, Any], place: tuple[str, str] | None, known: list[Group]
    ) -> None:
        """Ask whether it is one that is recorded: that one is put where it now is."""
        from shopbins.tui.dialogs.recorded import ANOTHER, ask_recorded

        def chosen(which: str) -> None:
            def moved_to(done: bool) -> None:
                if done:
                    self._line.value = ""
                    self._say(f"✓ {introduce(self.desk.state, which)}")

            if which == ANOTHER:
                self._record(came, fields, place)
            elif place is None:
                self._line.value = ""
                self._say(f"= {introduce(self.desk.state, which)}: nothing new recorded")
            else:
                lay(
                    self.shopbins,
                    lambda reason: self.desk.put(which, *place, override=reason),
                    lambda _: introduce(self.desk.state, which),
                    moved_to,
                )

        where = place_said(*place) if place is not None else ""
        ask_recorded(self.shopbins, known, where, chosen)

    def _fields(self, came: Came) -> dict[str, Any]:
        """Return what the desk is to take, a blank tag's code told from a name."""
        with suppress(DeskError):
            if self.desk.names.code(came.name)[0] == "blank":
                came = replace(came, name="", tag=came.name)
        return taken(came, self._origin_of(came.name))

    def _origin_of(self, name: str) -> tuple[str, ...]:
        """Return where something comes from where nobody typed it: as a list has it, else as the last did."""
        return self.desk.listed_origin(name) or self._last

    def _take_and_lay(self, came: Came, fields: dict[str, Any], place: tuple[str, str]) -> None:
        """Record it with its place in one event; where a stop holds it, it is recorded without one."""
        made: list[Laid] = []

        def put(reason: Reasons) -> Laid:
            made.append(self.desk.take_and_put(zone=place[0], level=place[1], override=reason, **fields))
            return made[-1]

        def then(done: bool) -> None:
            try:
                new = made[-1].group if done else self.desk.take(**fields).id
            except DeskError as problem:
                self._wrong(problem)
                return
            assert new is not None
            self._took(came, self.desk.state.group(new), "✓" if done else "!")

        lay(self.shopbins, put, lambda laid: introduce(self.desk.state, laid.group or ""), then)

    def _took(self, came: Came, group: Group, mark: str = "✓") -> None:
        """Say what was recorded and be ready for the next."""
        if came.origin is not None:
            self._last = staying(came.origin)
        self._just = group
        if given := came.origin:
            self._known = [given, *(o for o in self._known if o != given)]
        self._empty()
        self.shopbins.changed()
        self._say(f"{mark} {introduce(self.desk.state, group.id)}")

    def ask_first(self) -> None:
        """Ask what had to come off before what was just recorded; the line stays open."""
        from shopbins.tui.refit.before import ask_before

        if self._just is None or not self.desk.state.has_group(self._just.id):
            self.query_one("#read", Static).update(
                "! record what came off first, then ↓ asks what came off before it"
            )
            self.app.bell()
            return
        ask_before(self.shopbins, self._just.positions[0], self._told_first)

    def _told_first(self) -> None:
        said = self.shopbins.said_line()
        if said is not None:
            self._say(said.plain.strip())

    def _say(self, line: str) -> None:
        self._log = [*self._log, plain(line, 300)][-KEPT_LINES:]
        self.query_one("#log", Static).update("\n".join(self._log))
