"""What the keys do that are heard everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from shopbins.desk.problems import DeskError, WhyWanted
from shopbins.tui.clipboard import Outward
from shopbins.tui.keys.typeahead import TypeAhead
from shopbins.tui.place import Place

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

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

    def action_next_trouble(self) -> None:
        """Go to the next trouble, worst first, at its spot on the Plan."""
        app = self._app
        if len(app.screen_stack) == 1 and not cast("Place", app.screen).next_trouble_here():
            self._on_plan(lambda plan: plan.next_trouble())

    def action_act(self) -> None:
        """Open the menu of what is at hand."""
        from shopbins.tui.keys.acting import open_menu

        place = self._app.screen
        if not isinstance(place, Place) or place.act_here():  # chosen in the palette over a dialog
            return
        title, items, says = place.act_menu()
        if items:
            open_menu(self._app, title, items, says)
        else:
            self._app.tell("nothing at hand here: move to a part, a place or a finding first", bad=True)

    def action_menu(self) -> None:
        """Open the menu of the screen."""
        from shopbins.tui.keys.acting import open_menu, screen_items

        place = self._app.screen
        if isinstance(place, Place):
            open_menu(self._app, f"{place.shown}: everything that can be done here", screen_items(place))

    def call_roll(self, zone: str) -> None:
        """Check a place by scanning all that lies in it."""
        from shopbins.desk.scan import ScanState
        from shopbins.tui.dialogs.rollcall import RollCallLine

        app = self._app
        found = app.desk.scene().zone(zone)
        if found is not None:
            app.scanned = ScanState(here=(zone, found.levels[0].key))
            app.push_screen(RollCallLine())

    def print_place(self, zone: str) -> None:
        """Print the labels of a place and its levels."""
        from shopbins.tui.printing import print_place

        print_place(self._app, zone)

    def action_undo(self) -> None:
        """Take back the last own change."""
        self._take_back(self._app.desk.undo, "undone", "undo_here")

    def action_redo(self) -> None:
        """Do again what was taken back."""
        self._take_back(self._app.desk.redo, "redone", "redo_here")

    def action_day(self) -> None:
        """Record what is done from now on for another day, or for today again."""
        from datetime import date

        from shopbins.ledger.text import reason_text
        from shopbins.records.kinds import PAST
        from shopbins.tui.asking import wrong
        from shopbins.tui.dialogs.ask import Ask

        app = self._app

        def read(text: str) -> tuple[date, bool]:
            typed, _, why = text.partition(",")
            return date.fromisoformat(PAST.read(typed, app.today())), bool(reason_text(why))

        def given(text: str | None) -> None:
            if text is None:
                return
            day, app.desk.day_anyway = read(text)
            app.desk.day = None if day == app.today() else day
            app.fill_lines()
            app.tell(f"recorded for {'today' if app.desk.day is None else day.isoformat()} from now on")

        now = "" if app.desk.day is None else app.desk.day.isoformat()
        title = "For which day is what you do now? Behind a comma: why it is before a later act"
        example = "yesterday, forgot to write it down"
        app.push_screen(Ask(title, now, example=example, wrong=wrong(read)), given)

    def _take_back(self, take_back: Callable[..., tuple[object, str]], said: str, here: str) -> None:
        """Undo or redo; a screen with a `here` of its own does it itself.

        A stop that it would bring back asks, and is then recorded with its acceptance.
        """
        from shopbins.placing.takingback import WouldStop
        from shopbins.tui.asking import ask_reason
        from shopbins.tui.plan.laying import ask_reasons

        app = self._app
        if (own := getattr(app.screen, here, None)) is not None:
            own()
            return

        def attempt(reasons: Mapping[str, str] | None, reason: str = "") -> None:
            try:
                _, deed = take_back(override=reasons, **({"reason": reason} if reason else {}))
            except WhyWanted as problem:
                ask_reason(app, problem, lambda why: attempt(reasons, why))
                return
            except DeskError as problem:
                cause = problem.__context__
                if not isinstance(cause, WouldStop):
                    app.tell(*problem.lines, bad=True)
                    return
                ask_reasons(app, "STOP: it would be so again", cause.stops, chosen)
                return
            app.changed()
            app.tell(f"{said}: {deed}")

        def chosen(given: Mapping[str, str] | None) -> None:
            if given is not None:
                attempt(given)
            else:
                app.tell("nothing changed: fix or accept the stop first", bad=True)

        attempt(None)

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
        """Ask what to print: labels, and what the screen has to print."""
        from shopbins.tui.printing import ask_print

        ask_print(self._app)

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

    def show_waiting(self) -> None:
        """List on the Plan what is waiting, to carry one of them."""
        self._on_plan(lambda plan: plan.action_unplaced())

    async def show_away(self) -> None:
        """Show the Parts, only those away."""
        from shopbins.tui.parts.screen import AWAY, PartsScreen

        app = self._app
        if (opening := self._go("parts")) is not None:
            await opening
        if isinstance(app.screen, PartsScreen):
            app.screen.show_only(AWAY)

    def show_finding(self, finding: Finding, group_id: str | None) -> None:
        """Show the spot of a finding on the Plan, its group at hand."""
        self._on_plan(lambda plan: plan.go_to_finding(finding, group_id))

    def carry_group(self, group_id: str, *, best: bool = False) -> None:
        """Pick a group up and carry it on the Plan."""
        self._on_plan(lambda plan: plan.pick_up(group_id, best=best))

    def carry_thing(self, key: str) -> None:
        """Pick a movable thing up and carry it on the Plan."""

        def take(plan: PlanScreen) -> None:
            plan.take_thing(key)

        self._on_plan(take)

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
