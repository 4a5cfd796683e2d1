"""The Refit: what can go back next, what everything waits for, what is lacking, the count."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.desk.scan import ScanState
from shopbins.tui.dialogs.act import Item
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.dialogs.reach import show_reach
from shopbins.tui.keys.acting import position_items
from shopbins.tui.keys.actions import Action, bindings
from shopbins.tui.keys.groupactions import GroupActions
from shopbins.tui.place import ListPlace
from shopbins.tui.refit.lists import VIEWS
from shopbins.tui.refit.papers import ask_report, show_fetching
from shopbins.tui.refit.putting import pick_part
from shopbins.tui.refit.stripactions import StripActions
from shopbins.tui.refit.views import All, Only, View
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import Cell, LineList
from shopbins.tui.widgets.lines import Line, Words

MANY = 2_000
"""From so many parts on a list is worked out behind a first frame that says so."""

WORKING = "working it out ..."


class RefitScreen(StripActions, GroupActions, ListPlace):
    """The Refit."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("refit", "strip", "group")]
    shown: ClassVar[str] = "Refit"
    scopes: ClassVar[tuple[str, ...]] = ("refit", "strip", "group")
    DEFAULT_CSS = """
    RefitScreen #all { height: 100%; width: 1fr; }
    RefitScreen #lists { height: 1; color: $hint; }
    RefitScreen #detail { height: 7; width: 100%; padding: 0 1; background: $panel; }
    RefitScreen.-low #detail { display: none; }
    RefitScreen.-two #detail { height: 9; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._views: dict[int, View[Any]] = {}
        self._at = 0
        self._only = Only()
        self._begun: set[int] = set()

    def body(self) -> Iterator[Widget]:
        """Put the names of the lists, one list, and the detail of a row under each other."""
        with Vertical(id="all"):
            yield Line(id="lists")
            yield LineList(VIEWS[0].columns, empty=VIEWS[0].empty, id="rows")
            yield Words(id="detail")

    @property
    def lines(self) -> LineList:
        """The list."""
        return self.query_one("#rows", LineList)

    @property
    def view(self) -> View[Any]:
        """The list shown."""
        found = self._views.get(self._at)
        if found is None:
            found = self._views[self._at] = VIEWS[self._at](self.desk, self.shopbins.today())
        return found

    def on_mount(self) -> None:
        """Begin with the keys on the list."""
        self.lines.focus()

    def on_screen_resume(self) -> None:
        """Go to what was scanned meanwhile."""
        super().on_screen_resume()
        held = self.shopbins.scanned.held
        if held is not None and self.go_to_group(held):
            self.shopbins.scanned = ScanState()
            self.fill_lines()

    # --- what is shown ------------------------------------------------------------------------------------

    def state_changed(self) -> None:
        """List anew, the cursor staying on its row."""
        self.stale = False
        before = self.current()
        self._list(None if before is None else self.view.key(before))
        super().state_changed()

    def _list(self, key: str | None = None) -> None:
        view, lines = self.view, self.lines
        if self._at not in self._begun and len(self.desk.state.docs("group")) >= MANY:
            self._begun.add(self._at)  # from now on it is kept up, and there at once
            lines.empty = WORKING
            lines.show(0, self._row)
            self._name_lists()
            self.call_after_refresh(self._list_anew)
            return
        if self._only.milestone is not None and self._only.milestone not in self.desk.state.docs("milestone"):
            self._only = Only(self._only.machine)
        try:
            view.narrow(self._only)
        except DeskError as problem:
            self.shopbins.tell(*problem.lines, bad=True)
            self._only = Only(self._only.machine, self._only.milestone)
            view.narrow(self._only)
        lines.empty = "nothing meets that" if self._condition() else view.empty
        keys = [view.key(row) for row in view.rows] if key is not None else []
        at = keys.index(key) if key in keys else lines.cursor if key is not None else 0
        if lines.columns != view.columns:
            lines.set_columns(view.columns)
        lines.show(len(view.rows), self._row, at)
        self._name_lists()
        self._detail()

    def _list_anew(self) -> None:
        self._list()
        self.fill_lines()

    def _row(self, number: int) -> list[Cell]:
        row: list[Cell] = self.view.row(self.view.rows[number])
        return row

    def _name_lists(self) -> None:
        text = Text(" ")
        for n, each in enumerate(VIEWS):
            if n == self._at:
                text.append(f"[{each.title}]", "bold reverse")
            else:
                text.append(f" {each.title} ")
            text.append(" ")
        self.query_one("#lists", Line).say(text)

    def current(self) -> Any:
        """Return the row under the cursor, None where there is none."""
        row, rows = self.lines.cursor, self.view.rows
        return rows[row] if 0 <= row < len(rows) else None

    def current_group(self) -> str | None:
        """Return the row's group."""
        row = self.current()
        found = None if row is None else self.view.group(row)
        return found if found is not None and self.desk.state.has_group(found) else None

    def current_position(self) -> str | None:
        """Return the row's position."""
        row = self.current()
        return None if row is None else self.view.position(row)

    def act_menu(self) -> tuple[str, list[Item], list[str]]:
        """Return the menu of the part at hand, or of the empty place on the machine."""
        title, items, says = super().act_menu()
        position = self.current_position()
        if items or position is None:
            return title, items, says
        return self.desk.position(position).name, position_items(self), []

    def go_to_group(self, group_id: str) -> bool:
        """Put the cursor on a group, in this list or in the refit order; tell whether it is there."""
        for n in dict.fromkeys((self._at, VIEWS.index(All))):
            before, self._at = self._at, n
            if n != before:
                self.view.narrow(self._only)
            at = next((i for i, row in enumerate(self.view.rows) if self.view.group(row) == group_id), None)
            if at is not None:
                if n != before:
                    self._list()
                self.lines.cursor = at
                return True
            self._at = before
        return False

    def _detail(self) -> None:
        row = self.current()
        lines = [each for each in (self._narrowed(), *self.view.summary()) if each]
        lines += [] if row is None else self.view.detail(row)
        text = Text()
        for n, line in enumerate(lines):
            text.append(("\n" if n else "") + plain(line, 600), "bold" if n == 0 else "")
        self.query_one("#detail", Static).update(text)

    def _condition(self) -> str:
        """Say by what condition the list shown is narrowed, and what could not be compared; '' by none."""
        if not self._only.condition or self._only.table != self.view.table:
            return ""
        return " · ".join((f"only {self._only.condition}", *self.view.not_compared))

    def _narrowed(self) -> str:
        """Say to what the list shown is narrowed, of what it heeds; '' to nothing."""
        only, heeds = self._only, self.view.heeds
        name = self.desk.state.docs("milestone").get(only.milestone or "", {}).get("name", "")
        machine = f"only {only.machine}" if only.machine and "machine" in heeds else ""
        before = f"only for {name}" if name and "milestone" in heeds else ""
        return " · ".join(filter(None, (machine, before, self._condition())))

    def head_note(self) -> str:
        """Say to what the list is narrowed, and how it stands: where it is narrow, the first is kept."""
        note = str(len(self.view.rows)) if self._condition() else self.view.note()
        return " · ".join(filter(None, (self._narrowed(), note)))

    def offers(self, action: Action) -> bool:
        """Tell whether an action makes sense for the row."""
        if action.scope == "strip":
            return self.current_position() is not None
        return super().offers(action)

    def foot_actions(self) -> Iterator[Action]:
        """Name what puts the part at hand back on before the keys of the lists; not what carries it away."""
        enter, act, trouble, *others = super().foot_actions()
        yield from (enter, act, trouble, *(each for each in others if each.id == "strip.fit"))
        yield from (each for each in others if each.id not in ("strip.fit", "group.carry"))

    def to_print(self) -> list[tuple[str, str]]:
        """Print reports as well as labels."""
        return [("reports", "a list: strip record, refit list, shortages, left-overs")]

    # --- keys ---------------------------------------------------------------------------------------------

    def action_show(self) -> None:
        """Show where it lies, or do with the row what there is to do."""
        row, app = self.current(), self.shopbins
        if row is None or self.view.ask(app, row, self._show_chain):
            return
        if (group_id := self.current_group()) is not None:
            app.show_group(group_id)
        elif (position := self.current_position()) is not None:
            show_reach(app, position)

    def action_mass(self) -> None:
        """Type in the figure the row lacks: of a shortage its days, of a part to be inspected its value."""
        from shopbins.strip.waits import to_inspect
        from shopbins.tui.refit.working import ask_inspection

        group_id = self.current_group()
        row = self.current()
        if row is not None and self.view.ask_facts(self.shopbins, row):
            return
        if group_id is not None and (waits := to_inspect(self.desk.state.group(group_id))) is not None:
            ask_inspection(self.shopbins, self.desk.state.group(group_id), waits)
        else:
            super().action_mass()

    def _show_chain(self, milestone: str) -> None:
        self._only = Only(milestone=milestone)
        self._go(VIEWS.index(All))

    def _go(self, n: int) -> None:
        self._at = n % len(VIEWS)
        self._list_anew()

    def action_next_list(self) -> None:
        """Show the next list."""
        self._go(self._at + 1)

    def action_list_before(self) -> None:
        """Show the list before."""
        self._go(self._at - 1)

    def action_narrow(self) -> None:
        """Show only one machine's, the chain in front of a milestone, or what meets a condition."""
        from shopbins.strip.tree import paths

        machines = list(dict.fromkeys(path[0] for path in paths(self.desk.state)))
        milestones = self.desk.state.docs("milestone")
        choices = [Choice("", "everything")]
        choices += [Choice(f"machine\t{key}", key, "a machine") for key in machines]
        choices += [
            Choice(f"milestone\t{k}", str(d["name"]), "all in front of it") for k, d in milestones.items()
        ]

        def chosen(answer: str | None) -> None:
            if answer is None:
                return
            if answer.startswith("="):
                self._only = replace(self._only, condition=answer[1:], table=self.view.table)
            else:
                what, _, key = answer.partition("\t")
                self._only = Only(**{what: key}) if what else Only()
            self._list_anew()

        free = bool(self.view.table)
        example = f"a few letters, or a condition: {self.view.example}" if free else "type a few letters"
        self.shopbins.push_screen(Pick("Show only which?", choices, free=free, placeholder=example), chosen)

    def action_clear(self) -> None:
        """Show everything again."""
        self._only = Only()
        self.shopbins.marked.clear()
        self._list_anew()

    def action_add(self) -> None:
        """Add to the list shown: a shortage, a milestone, a wire, hose or pipe."""
        self.view.add(self.shopbins)

    def action_fetch(self) -> None:
        """Show in which order to fetch what can go back now."""
        show_fetching(self.shopbins, self._only)

    def action_get_at(self) -> None:
        """Ask of any part what must come off to get at it."""
        app = self.shopbins
        pick_part(app, "Get at which part?", lambda position: show_reach(app, position))

    def action_reports(self) -> None:
        """Write a report into a file."""
        if not self.shopbins.only_here("writing files"):
            ask_report(self.shopbins, self._only.machine)

    def action_import_list(self) -> None:
        """Read a parts list from a spreadsheet."""
        from shopbins.tui.dialogs.importing import ask_list

        if not self.shopbins.only_here("reading files"):
            ask_list(self.shopbins)

    def action_import_photos(self) -> None:
        """Import a folder of photographs."""
        from shopbins.tui.dialogs.picture import ask_folder

        if not self.shopbins.only_here("reading files"):
            ask_folder(self.shopbins)
