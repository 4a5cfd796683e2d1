"""What the Move asks, and how it has it worked out: in a process of its own, so that no key waits."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual import work
from textual.widgets import Static
from textual.worker import get_current_worker

from shopbins.desk import moving
from shopbins.desk.problems import DeskError
from shopbins.moves.finding import Ask as Lacking
from shopbins.moves.finding import row_of
from shopbins.tui.canvas.projection import box_of
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.move.ask import ask_gear, ask_goal, ask_thing, ask_turn
from shopbins.tui.move.picture import MovePlan
from shopbins.tui.move.progress import Asking, Showing
from shopbins.tui.place import Place
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import LineList

if TYPE_CHECKING:
    from subprocess import Popen

    from shopbins.desk.moveworker import Asked
    from shopbins.moves.plan import Plan
    from shopbins.tui.move.rows import Row


class MoveWorking(Place):
    """The asking and the waiting of the Move screen, which draws what comes of it."""

    def __init__(self) -> None:
        super().__init__()
        self.asking = Asking()
        self._plans: dict[tuple[object, ...], Plan] = {}
        self._asked: Asked | None = None
        self._waiting: Popen[bytes] | None = None
        self._busy = ""
        self._reason = ""  # the reason last given, offered for the next condition
        self._reason_rule = ""  # and the check whose condition it was given for
        self._showing: Showing | None = None
        self._rows: list[Row] = []
        self._unfolded: set[str] = set()  # lines of conditions of which each is shown, by their ids

    @property
    def lines(self) -> LineList:
        """The list of steps and gear."""
        return self.query_one("#rows", LineList)

    @property
    def way(self) -> MovePlan:
        """The plan with the way."""
        return self.query_one("#way", MovePlan)

    @property
    def plan(self) -> Plan | None:
        """The plan shown."""
        return None if self._showing is None else self._showing.plan

    def _draw(self) -> None:
        raise NotImplementedError

    def _detail(self) -> None:
        raise NotImplementedError

    def _answer_words(self) -> str:
        raise NotImplementedError

    # --- asking -------------------------------------------------------------------------------------------

    def _make_ready(self) -> None:
        """Start the process that will be asked while somebody still chooses: loading takes it a second."""
        from shopbins.desk.moveworker import AHEAD, started

        if self._waiting is None or self._waiting.poll() is not None:
            with suppress(OSError):
                self._waiting = started(AHEAD)

    def _with(self, what: str) -> Callable[[Any], None]:
        """Return what takes the answer to a question about the move, and asks again."""

        def chosen(got: Any) -> None:
            setattr(self.asking, what, got)
            self._ask_again()

        return chosen

    def action_thing(self) -> None:
        """Ask what is to be moved."""
        self._make_ready()
        ask_thing(self.shopbins, self._with("group"))

    def action_goal(self) -> None:
        """Ask where to."""
        self._make_ready()
        ask_goal(self.shopbins, self._with("zone"))

    def action_gear(self) -> None:
        """Ask on what."""
        self._make_ready()
        ask_gear(self.shopbins, self._with("gear"))

    def action_turn(self) -> None:
        """Ask how it is to stand there."""
        ask_turn(self.shopbins, self.asking.turn_deg, self._with("turn_deg"))

    def action_bare(self) -> None:
        """Ask about it with all on it tonight, or bare."""
        self.asking.as_ = "bare" if self.asking.as_ == "tonight" else "tonight"
        self._ask_again()

    def action_base(self) -> None:
        """Ask about it with or without its pallet or base."""
        self.asking.base = not self.asking.base
        self._ask_again()

    def _ask_again(self) -> None:
        """Show what is known of what is now asked; work it out where nothing is."""
        self._stop()
        kept = self._plans.get(self.asking.key(self.asking.gear))
        if kept is not None and kept.seq == self.desk.seq:
            self._show(kept)
        elif self.asking.whole:
            self._work_out()
        else:
            self._showing = None
            self._draw()
            self.lines.cursor = 0 if self.asking.group is None else 1  # the form's next row

    def on_line_list_chosen(self) -> None:
        """Do what enter does."""
        self.action_work_out()

    def on_line_list_moved(self) -> None:
        """Explain the row."""
        self._detail()
        self.fill_lines()

    def action_work_out(self) -> None:
        """Work it out: on the gear of the row if it is one."""
        row = self._rows[self.lines.cursor] if 0 <= self.lines.cursor < len(self._rows) else None
        ask = None if row is None or row.part is None else row_of(row.part).ask
        if row is not None and row.line is not None:
            self._unfolded ^= {row.line.id}
            self._draw()
        elif row is not None and row.asks:
            getattr(self, f"action_{row.asks}")()
        elif ask is not None and (ask.figures is not None or ask.in_file):
            self._ask_figures(ask)
        elif row is not None and row.gear and self.asking.whole:
            self.asking.gear = row.gear
            self._ask_again()
        elif self._busy and self.plan is None:
            self.shopbins.tell("it is being worked out; esc stops that")
        elif self.asking.whole:
            self._stop()
            self._work_out()
        else:
            self._draw()
            self.shopbins.tell("say what is to be moved (c) and where to (g) first")

    def _ask_figures(self, ask: Lacking) -> None:
        """Ask for each figure that is lacking, right there; record them and work it out again.

        What is told of a thing goes into the ledger, of gear, rooms and doors into the shop file.
        """
        if ask.figures is not None:
            code, wanted = ask.figures
            self._ask_each(ask, wanted, lambda typed: moving.tell(self.desk, code, typed))
            return
        places = {path[-1]: path for path, _ in ask.in_file}
        examples = tuple((path[-1], example) for path, example in ask.in_file)

        def into_file(typed: dict[str, str]) -> None:
            moving.tell_in_file(self.desk, {places[key]: text for key, text in typed.items()})

        if examples and not self.shopbins.only_here("drawing"):
            self._ask_each(ask, examples, into_file)

    def _ask_each(
        self, ask: Lacking, wanted: tuple[tuple[str, str], ...], record: Callable[[dict[str, str]], object]
    ) -> None:
        typed: dict[str, str] = {}

        def then(rest: tuple[tuple[str, str], ...]) -> None:
            if not rest:
                self.shopbins.attempt(lambda: record(typed), f"recorded: {ask.text}")
                self._ask_again()
                return
            key, example = rest[0]

            def got(text: str | None) -> None:
                if text:
                    typed[key] = text
                    then(rest[1:])

            self.app.push_screen(Ask(f"{ask.text}  {key}:", "", example=example), got)

        then(wanted)

    # --- working it out, in a process of its own ----------------------------------------------------------

    def _work_out(self) -> None:
        from shopbins.desk.moveworker import Asked, Question

        asking = self.asking
        assert asking.group is not None and asking.zone is not None
        self._showing = None
        self._busy = "starting"
        question = Question(
            str(self.desk.shop_path),
            self.desk.ledger.folder,
            asking.group,
            asking.zone,
            gear=asking.gear,
            turn_deg=asking.turn_deg,
            as_=asking.as_,
            base=asking.base,
        )
        waiting, self._waiting = self._waiting, None
        try:
            self._asked = Asked(question, waiting)
        except OSError as problem:
            self._busy = ""
            self.shopbins.tell(f"not worked out: {problem.strerror or problem}", bad=True)
            return
        self._wait(self._asked, asking.key(asking.gear))
        self._draw()
        self.lines.cursor = len(self._rows) - 1  # 'does it go?': one more enter asks for nothing anew

    @work(thread=True, group="move")
    def _wait(self, asked: Asked, key: tuple[object, ...]) -> None:
        """Wait for the answer in a thread; the keys go on."""
        worker = get_current_worker()
        app = self.shopbins

        def say(text: str) -> None:
            if not worker.is_cancelled:
                app.call_from_thread(self._progress, asked, text)

        def first(plan: Plan) -> None:
            if not worker.is_cancelled:
                app.call_from_thread(self._so_far, asked, plan)

        try:
            plan = asked.answer(say, first)
        except DeskError as problem:
            app.call_from_thread(self._failed, asked, problem.lines)
            return
        if plan is not None and not worker.is_cancelled:
            app.call_from_thread(self._worked_out, asked, plan, key)

    def _progress(self, asked: Asked, text: str) -> None:
        if asked is self._asked:
            self._busy = text
            self.query_one("#answer", Static).update(Text(plain(self._answer_words(), 600)))

    def _failed(self, asked: Asked, lines: tuple[str, ...]) -> None:
        if asked is self._asked:
            self._asked, self._busy = None, ""
            self._draw()
            self.shopbins.tell(*lines, bad=True)

    def _so_far(self, asked: Asked, plan: Plan) -> None:
        """Show the answer while other gear is still looked at."""
        if asked is self._asked:
            self._show(plan)

    def _worked_out(self, asked: Asked, plan: Plan, key: tuple[object, ...]) -> None:
        self._plans[key] = plan
        if asked is not self._asked:
            return
        self._asked, self._busy = None, ""
        before = self._showing
        if before is None or before.plan.path != plan.path:
            self._show(plan)
        else:  # the way being looked at stays as it is shown
            before.plan = plan
            self.state_changed()

    def _show(self, plan: Plan) -> None:
        if self._showing is None:
            self.lines.cursor = 0
        self._showing = Showing(plan)
        self.state_changed()
        rooms = plan.attempt.route.rooms if plan.attempt is not None and plan.attempt.route else ()
        if rooms:
            self.way.frame(box_of([self.desk.shop.rooms[key].outline for key in rooms]))

    def action_cancel(self) -> None:
        """Stop working it out."""
        if self._busy:
            self._stop()
            self._draw()
            none = "stopped; nothing was decided"
            self.shopbins.tell(none if self._showing is None else "stopped; the answer stands")

    def _stop(self) -> None:
        if self._asked is not None:
            self._asked.stop()
        self._asked, self._busy = None, ""
        if self._showing is not None and self._showing.plan.looking:
            self._showing.plan = self._showing.plan.stopped()

    def on_unmount(self) -> None:
        """Leave no process behind."""
        self._stop()
        if self._waiting is not None:
            self._waiting.kill()
            self._waiting.communicate()
