"""What the keys do that are heard everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from shopbins.desk.problems import DeskError
from shopbins.tui.clipboard import Outward
from shopbins.tui.keys.typeahead import TypeAhead

if TYPE_CHECKING:
    from textual.widget import AwaitMount

    from shopbins.rules.finding import Finding
    from shopbins.tui.host import Host
    from shopbins.tui.plan.screen import PlanScreen


class Anywhere(Outward, TypeAhead):
    """The actions of scope 'everywhere', mixed into the app."""

    @property
    def _app(self) -> Host:
        return cast("Host", self)

    def action_show_plan(self) -> None:
        """Go to the Plan."""
        self._go("plan")

    def action_show_parts(self) -> None:
        """Go to the Parts."""
        self._go("parts")

    def action_show_audit(self) -> None:
        """Go to the Audit."""
        self._go("audit")

    def action_show_move(self) -> None:
        """Go to the Move."""
        self._go("move")

    def action_show_refit(self) -> None:
        """Go to the Refit."""
        self._go("refit")

    def action_show_draw(self) -> None:
        """Go to Draw."""
        self._go("draw")

    def _go(self, mode: str) -> AwaitMount | None:
        app = self._app
        if app.current_mode == mode or len(app.screen_stack) > 1:
            return None
        may_leave = getattr(app.screen, "may_leave", None)
        if may_leave is not None and not may_leave(lambda: self._go(mode)):
            return None
        app.hush()
        app.others_new = 0
        return app.switch_mode(mode)

    async def action_find(self) -> None:
        """Go to the search line of the Parts."""
        from shopbins.tui.parts.screen import PartsScreen

        app = self._app
        if (opening := self._go("parts")) is not None:
            await opening  # until it is there to type into
        if isinstance(app.screen, PartsScreen):
            app.screen.focus_search()

    def action_undo(self) -> None:
        """Take back the last own change."""
        app = self._app
        if (here := getattr(app.screen, "undo_here", None)) is not None:
            here()
            return
        app.attempt(app.desk.undo, lambda u: f"taken back: {u[1]}")

    def action_redo(self) -> None:
        """Do again what was taken back."""
        app = self._app
        if (here := getattr(app.screen, "redo_here", None)) is not None:
            here()
            return
        app.attempt(app.desk.redo, lambda u: f"done again: {u[1]}")

    def action_enter_part(self) -> None:
        """Open the line for what has just come off."""
        from shopbins.tui.dialogs.entry import EntryLine

        self._app.push_screen(EntryLine())

    def action_catch_up(self) -> None:
        """Walk the shop zone by zone."""
        from shopbins.tui.dialogs.catchup import CatchUp

        self._app.push_screen(CatchUp())

    def action_scan(self) -> None:
        """Open the scan line with the letter that opened it."""
        from shopbins.tui.dialogs.scanline import ScanLine

        self._app.push_screen(ScanLine("Z"))

    def action_roll_call(self) -> None:
        """Call the roll of the place set as 'here', or of the one scanned first."""
        from shopbins.tui.dialogs.rollcall import RollCallLine

        self._app.push_screen(RollCallLine())

    def scan_code(self, code: str) -> None:
        """Open the scan line with a whole code and act on it."""
        from shopbins.tui.dialogs.scanline import ScanLine

        self._app.push_screen(ScanLine(code, read=True))

    def action_tags(self) -> None:
        """Ask what tags to print, and where to."""
        from shopbins.tui.printing import ask_tags

        ask_tags(self._app)

    def action_help(self) -> None:
        """Explain where one is."""
        from shopbins.tui.dialogs.help import help_lines

        self.open_page("Help", help_lines(self._app))

    def action_palette(self) -> None:
        """Open the command palette."""
        self._app.action_command_palette()

    def action_last_evening(self) -> None:
        """Show how the last evening ended."""
        self.open_last_evening()

    def open_last_evening(self, *, only_if_due: bool = False) -> None:
        """Show the last evening's end; `only_if_due` when it is some time ago."""
        from shopbins.tui.dialogs.evening import evening_lines, is_due

        app = self._app
        try:
            if only_if_due and not is_due(app.desk):
                return
            lines = evening_lines(app.desk, app.findings)
        except DeskError as problem:
            app.tell(*problem.lines, bad=True)
            return
        self.open_page("The last evening", lines)

    def open_page(self, title: str, lines: list[str]) -> None:
        """Show some lines over the place."""
        from shopbins.tui.dialogs.page import Page

        self._app.push_screen(Page(title, lines))

    def action_leave(self) -> None:
        """Leave; first ask again about what was let stand only for now."""
        from shopbins.tui.dialogs.leaving import Leaving, for_now

        app = self._app
        may_leave = getattr(app.screen, "may_leave", None)
        if may_leave is not None and not may_leave(self.action_leave):
            return
        if left := for_now(app.findings or []):
            app.push_screen(Leaving(left), self._left)
        else:
            app.exit(0)

    def _left(self, leave: bool | None) -> None:
        if leave:
            self._app.exit(0)
        elif leave is False:
            self._app.call_after_refresh(self.action_show_audit)

    # --- from anything to its place -----------------------------------------------------------------------

    def show_group(self, group_id: str) -> None:
        """Show where a group lies on the Plan."""
        self._on_plan(lambda plan: plan.go_to_group(group_id))

    def show_zone(self, key: str) -> None:
        """Show a zone or room on the Plan."""
        self._on_plan(lambda plan: plan.go_to_zone(key))

    def show_finding(self, finding: Finding, group_id: str | None) -> None:
        """Show the spot of a finding on the Plan, its group at hand."""
        self._on_plan(lambda plan: plan.go_to_finding(finding, group_id))

    def carry_group(self, group_id: str, *, best: bool = False) -> None:
        """Pick a group up and carry it on the Plan."""
        self._on_plan(lambda plan: plan.pick_up(group_id, best=best))

    def _on_plan(self, do: PlanDo) -> None:
        app = self._app
        if app.current_mode != "plan":
            app.switch_mode("plan")
        app.call_after_refresh(self._if_on_plan, do)

    def _if_on_plan(self, do: PlanDo) -> None:
        if self._app.current_mode == "plan":
            do(cast("PlanScreen", self._app.screen_stack[0]))


if TYPE_CHECKING:
    from collections.abc import Callable

    PlanDo = Callable[[PlanScreen], None]
