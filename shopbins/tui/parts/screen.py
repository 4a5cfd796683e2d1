"""The Parts: every group, narrowed as one types."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, ClassVar, NamedTuple

from textual import events
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widget import Widget

from shopbins.desk.problems import DeskError
from shopbins.desk.scan import ScanState
from shopbins.ledger.model import Away, Group, InZone
from shopbins.lists.listing import Column, List
from shopbins.lists.show import cells
from shopbins.records.where import split
from shopbins.strip.release import rejected
from shopbins.strip.told import REJECTED, introduce
from shopbins.tui.dialogs.base import TypedLine
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.keys.actions import Action, bindings, of_scope
from shopbins.tui.keys.groupactions import GroupActions
from shopbins.tui.keys.scanner import Burst
from shopbins.tui.place import ListPlace
from shopbins.tui.places import place_choices, split_place
from shopbins.tui.refit.stripactions import StripActions
from shopbins.tui.theme import SIDE_BY_SIDE_COLS
from shopbins.tui.widgets.linelist import Cell, LineList, screen_columns
from shopbins.tui.widgets.lines import Line
from shopbins.tui.words import mass_words, where_short
from shopbins.units import counted

MOST_HITS = 1000
ORDERS = ("last off first", "by place", "by name", "by machine")
BY_COLUMN = {"code": 0, "lies": 1, "part": 2, "from": 3}
"""The order that a click on a heading gives."""
UNPLACED, AWAY = "\nunplaced", "\naway"


class Part(NamedTuple):
    """A row: a part, where it lies in a few words, and whether it is marked."""

    group: Group
    place: str
    marked: bool
    rejected: bool


def _name(part: Part) -> str:
    pieces = f" x{part.group.qty}" if part.group.qty > 1 else ""
    rejected_first = f"{REJECTED} " if part.rejected else ""
    return f"{'◆ ' if part.marked else ''}{rejected_first}{part.group.shown}{pieces}"


def _dim(_part: Part) -> str:
    return "dim"


PARTS: List[Part] = List(
    "Parts", "no part yet: e records what has just come off", "",
    (
        Column("", "", _name, "part", 28, 1.0,
               grade=lambda each: "stop" if each.rejected else ""),
        Column("", "", lambda each: each.place, "lies", 29, 1.0,
               grade=lambda each: "correct" if isinstance(each.group.where, Away | None) else ""),
        Column("", "", lambda each: " > ".join(each.group.origin), "from", 18, 1.0, grade=_dim, spared=2),
        Column("", "", lambda each: each.group.disposition, "becomes", 11, spared=1,
               grade=lambda each: "dim" if each.group.disposition == "undecided" else ""),
        Column("", "", lambda each: mass_words(each.group.mass), "mass", 12,
               grade=lambda each: "" if each.group.mass else "dim"),
        Column("", "", lambda each: each.group.code, "code", 9, grade=_dim),
    ),
    None,
)  # fmt: skip


class SearchLine(TypedLine):
    """The line that narrows the list; down leaves it. A scanned code in it acts as a scan."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("search")]

    def __init__(self, *, placeholder: str, id: str) -> None:  # noqa: A002
        super().__init__(placeholder=placeholder, id=id)
        self._burst = Burst()

    def on_key(self, event: events.Key) -> None:
        """Hear a scanner: a code typed without a pause and ended by enter is taken out and scanned."""
        if event.key != "enter":
            self._burst.hear(event.character, event.time)
            return
        place = self.screen
        assert isinstance(place, PartsScreen)
        code = self._burst.code(place.desk.shop.prefix, event.time)
        if code is not None and self.value.upper().endswith(code):
            event.stop()
            event.prevent_default()
            self.value = self.value[: -len(code)]
            place.shopbins.scan_code(code)

    def action_leave(self) -> None:
        """Give the keys to the list."""
        self.screen.query_one("#groups").focus()

    def action_clear(self) -> None:
        """Clear what was typed; when there is nothing, back to the list."""
        if self.value:
            self.value = ""
        else:
            self.action_leave()


class PartsScreen(StripActions, GroupActions, ListPlace):
    """The Parts."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("parts", "strip", "group")]
    shown: ClassVar[str] = "Parts"
    scopes: ClassVar[tuple[str, ...]] = ("parts", "group", "strip")
    DEFAULT_CSS = """
    PartsScreen #all { height: 100%; width: 100%; }
    PartsScreen #about { height: 2; padding: 0 1; color: $hint; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._ids: list[str] = []
        self._zone: str | None = None
        self._order = 0
        self._recalled: str | None = None
        self._said = ""

    def body(self) -> Iterator[Widget]:
        """Put search line, list and what is said of the row under each other."""
        with Vertical(id="all"):
            yield SearchLine(placeholder="/ find: name, place, machine, code; typos are fine", id="search")
            yield LineList(screen_columns(PARTS), empty=PARTS.empty, id="groups")
            yield Line(id="about")

    @property
    def lines(self) -> LineList:
        """The list."""
        return self.query_one("#groups", LineList)

    @property
    def search(self) -> SearchLine:
        """The search line."""
        return self.query_one("#search", SearchLine)

    def on_mount(self) -> None:
        """Begin with the keys on the list."""
        self.lines.focus()

    def focus_search(self) -> None:
        """Begin a new search."""
        self.search.value = ""
        self.search.focus()

    def on_screen_resume(self) -> None:
        """Go to what was scanned meanwhile."""
        super().on_screen_resume()
        held = self.shopbins.scanned.held
        if held in self._ids:
            self.lines.cursor = self._ids.index(held)
            self.shopbins.scanned = ScanState()
            self.fill_lines()

    def remember(self) -> dict[str, Any]:
        """Keep what is listed, in what order, and the row."""
        return {"zone": self._zone, "order": self._order, "group": self.current_group()}

    def recall(self, kept: Mapping[str, Any]) -> None:
        """List again what was listed, the cursor on its group."""
        zone, order, group = kept.get("zone"), kept.get("order"), kept.get("group")
        if zone in (UNPLACED, AWAY) or (isinstance(zone, str) and self.desk.shop.zone(zone) is not None):
            self._zone = zone
        if isinstance(order, int) and 0 <= order < len(ORDERS):
            self._order = order
        self._recalled = group if isinstance(group, str) else None

    # --- what is shown ------------------------------------------------------------------------------------

    def state_changed(self) -> None:
        """List the groups as they now are, the cursor staying on its group."""
        self.stale = False
        self._list(keep=True)
        super().state_changed()

    def _list(self, *, keep: bool = False) -> None:
        before, self._recalled = self._recalled or (self.current_group() if keep else None), None
        line = self.search.value.strip()
        known = self.desk.columns("group") if any(each in line for each in "<>=~") else {}
        conditions, typed = split(line, known) if known else ([], line)
        self._ids = self._found(typed) if typed else self._ordered(self._narrowed())
        self._said = ""
        if conditions:
            try:
                found = self.desk.search("group", conditions)
            except DeskError as problem:
                self._said = f"! {problem.lines[0]}"
            else:
                meeting = {str(doc.doc_id) for doc in found.docs}
                self._ids = [each for each in self._ids if each in meeting]
                self._said = " · ".join(found.not_compared)
        self.lines.empty = "nothing found" if line or self._zone else PARTS.empty
        at = self._ids.index(before) if before in self._ids else min(self.lines.cursor, len(self._ids) - 1)
        self.lines.show(len(self._ids), self._row, at if keep else 0)
        self._detail()

    def _found(self, typed: str) -> list[str]:
        zone = self._zone if self._zone not in (UNPLACED, AWAY) else None
        hits = [hit.id for hit in self.desk.find(typed, zone=zone, limit=MOST_HITS)]
        if self._zone in (UNPLACED, AWAY):
            within = set(self._narrowed())
            hits = [each for each in hits if each in within]
        return hits

    def _narrowed(self) -> list[str]:
        state = self.desk.state
        if self._zone == UNPLACED:
            return state.unplaced()
        if self._zone == AWAY:
            return state.away()
        return state.group_ids() if self._zone is None else self.desk.ids_in(self._zone)

    def _ordered(self, ids: list[str]) -> list[str]:
        state, scene = self.desk.state, self.desk.scene()
        if self._order == 0:
            return ids[::-1]
        groups = [state.group(each) for each in ids]
        if self._order == 1:
            groups.sort(key=lambda g: (not isinstance(g.where, InZone), where_short(scene, g).casefold()))
        elif self._order == 2:
            groups.sort(key=lambda g: g.shown.casefold())
        else:
            groups.sort(key=lambda g: (not g.origin, g.origin, g.order or 0))
        return [g.id for g in groups]

    def _row(self, number: int) -> list[Cell]:
        scene = self.desk.scene()
        group = scene.group(self._ids[number])
        is_marked, why = group.id in self.shopbins.marked, rejected(self.desk.state, group.id, date.today())
        return list(cells(PARTS, Part(group, where_short(scene, group), is_marked, bool(why))))

    def _detail(self) -> None:
        found = self.current_group()
        line = ""
        if found is not None and self.desk.state.has_group(found):
            line = introduce(self.desk.state, found)
            group = self.desk.state.group(found)
            line += "".join(f" · caution: {each}" for each in group.cautions)
            line += f" · note: {group.note}" if group.note else ""
        self.query_one("#about", Line).say(line)

    def head_note(self) -> str:
        """Say how many are listed, of which place, in what order."""
        many = (
            f"first {MOST_HITS}" if len(self._ids) == MOST_HITS and self.search.value else str(len(self._ids))
        )
        text = counted(len(self._ids), "part") if many.isdigit() else f"{many} parts"
        if self.app.size.width < SIDE_BY_SIDE_COLS and not self.search.value.strip():
            text = many  # the order is told as well
        if self._zone is not None:
            text += f" · only {self._zone.strip()}"
        if self._said:
            return f"{text} · {self._said}"
        return text if self.search.value.strip() else f"{text} · {ORDERS[self._order]}"

    def current_group(self) -> str | None:
        """Return the row's group."""
        row = self.lines.cursor
        return self._ids[row] if 0 <= row < len(self._ids) else None

    def foot_actions(self) -> Iterator[Action]:
        """Show the search line's keys while it is typed in."""
        if self.focused is self.search:
            yield Action("search.show", "enter", "show on the plan", "")
            yield from (a for a in of_scope("search") if a.foot)
            return
        yield from super().foot_actions()

    # --- keys ---------------------------------------------------------------------------------------------

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Narrow as one types."""
        if event.input is self.search:
            self._list()
            self.fill_lines()

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Show the best hit on the Plan."""
        event.stop()
        self.action_show()

    def on_descendant_focus(self) -> None:
        """Show the keys that fit what has the focus."""
        self.fill_lines()

    def action_show(self) -> None:
        """Show where the group lies; the list hears the keys when it is come back to."""
        self.lines.focus()
        found = self.current_group()
        if found is not None:
            self.shopbins.show_group(found)

    def action_narrow(self) -> None:
        """Show only one zone's groups, the unplaced, or those away."""
        state = self.desk.state
        choices = [
            Choice("", "everything", counted(len(state.group_ids()), "part")),
            Choice(UNPLACED, "waiting", counted(len(state.unplaced()), "part")),
            Choice(AWAY, "away", counted(len(state.away()), "part")),
            *place_choices(self.desk.scene(), levels=False),
        ]

        def chosen(key: str | None) -> None:
            if key is not None:
                self.show_only(key)

        self.shopbins.push_screen(Pick("Show only which?", choices), chosen)

    def show_only(self, key: str) -> None:
        """Show only what lies in a place, waits (UNPLACED) or is away (AWAY); '' shows everything."""
        self._zone = key if key in (UNPLACED, AWAY) else split_place(key)[0] or None
        self._list()
        self.fill_lines()

    def on_line_list_head_clicked(self, event: LineList.HeadClicked) -> None:
        """Order by the column whose heading was clicked, where the list has such an order."""
        if event.title in BY_COLUMN:
            self._order = BY_COLUMN[event.title]
            self._list(keep=True)
            self.fill_lines()

    def action_order(self) -> None:
        """Order the list another way."""
        self._order = (self._order + 1) % len(ORDERS)
        self._list(keep=True)
        self.fill_lines()

    def action_clear(self) -> None:
        """Clear search, zone and marks."""
        self.search.value = ""
        self._zone = None
        self.shopbins.marked.clear()
        self._list(keep=True)
        self.fill_lines()
