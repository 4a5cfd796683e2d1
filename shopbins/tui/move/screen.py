"""The Move: one thing, one goal, one gear; does it go, by how much, what comes first, ticked off as done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from rich.text import Text
from textual.binding import BindingType
from textual.containers import Container, Vertical
from textual.widget import Widget
from textual.widgets import Static

from shopbins.answer import Part, Verdict
from shopbins.desk import moving
from shopbins.moves.finding import row_of
from shopbins.records.accepted import TAKE_BACK
from shopbins.tui.canvas.picture import picture_of
from shopbins.tui.canvas.projection import box_of
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.keys.acting import scope_items
from shopbins.tui.keys.actions import Action, bindings
from shopbins.tui.move.ask import ask_sheet
from shopbins.tui.move.picture import MovePlan
from shopbins.tui.move.progress import LONG, Asking, lying_on, targets_of
from shopbins.tui.move.rows import Row, detail_words, form_of, rows_of, told_in_full
from shopbins.tui.move.worker import MoveWorking
from shopbins.tui.plan.laying import lay
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.tui.widgets.lines import Line
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.moves.plan import Plan
    from shopbins.placing.recording import Reasons
    from shopbins.scene.scene import Scene
    from shopbins.tui.dialogs.act import Item


ACCEPTABLE = (Verdict.ASKED, Verdict.ACCEPTED)
SHORT_DETAIL = 2
"""So many lines about a row stand under the list beside what is told for a while; of more the plan gives up
its room."""
MOST_SIGNS = 1200


class Since(NamedTuple):
    """What is another since the plan shown was worked out, and since the planned move was planned or ticked.

    `of` is what was compared: the shop as it is, the plan shown, the group whose move is planned.
    """

    of: tuple[Scene, Plan | None, str | None]
    shown: list[str]
    planned: list[str]


class MoveScreen(MoveWorking):
    """The Move."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("move")]
    shown: ClassVar[str] = "Move"
    scopes: ClassVar[tuple[str, ...]] = ("move",)
    DEFAULT_CSS = """
    MoveScreen #all { height: 100%; width: 1fr; }
    MoveScreen #asked { height: 1; color: $hint; }
    MoveScreen #answer { height: auto; max-height: 4; width: 100%; padding: 0 1; text-style: bold; }
    MoveScreen #both { height: 1fr; layout: vertical; }
    MoveScreen #side { height: 1fr; width: 100%; }
    MoveScreen MovePlan { height: 9; width: 100%; }
    MoveScreen #detail { height: 3; width: 100%; padding: 0 1; background: $panel; }
    MoveScreen.-wordy #detail { height: auto; max-height: 9; padding: 0 1 1 1; }
    MoveScreen.-wordy MovePlan { height: 4; }
    MoveScreen.-low #detail { display: none; }
    MoveScreen.-two #both { layout: horizontal; }
    MoveScreen.-two MovePlan { height: 100%; width: 1fr; }
    MoveScreen.-two #side { width: 45%; height: 100%; }
    MoveScreen.-two #detail { height: 10; }
    MoveScreen.-two.-wordy #detail { height: auto; min-height: 10; max-height: 20; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._compared: Since | None = None

    def body(self) -> Iterator[Widget]:
        """Put what is asked and the answer over the plan and the steps."""
        with Vertical(id="all"):
            yield Line(id="asked")
            yield Static("", id="answer", markup=False)
            with Container(id="both"):
                yield MovePlan(id="way")
                with Vertical(id="side"):
                    yield LineList(
                        (Column("", 4), Column("", 24, 1.0)),
                        head=False,
                        empty="c: what is to be moved   g: where to",
                        id="rows",
                    )
                    yield Static("", id="detail", markup=False)

    def on_mount(self) -> None:
        """Begin with the keys on the list, and with a move planned before if there is one."""
        planned = moving.planned(self.desk)
        if planned and self.asking.group is None:
            self.asking.group = planned[0][0]
            asked = moving.asked_before(self.desk, self.asking.group)
            if asked and not asked["level"]:
                self.asking = Asking(
                    self.asking.group, asked["place"], asked["gear"], as_=asked["as"], base=asked["base"]
                )
        self.lines.focus()

    # --- what is shown ------------------------------------------------------------------------------------

    def state_changed(self) -> None:
        """Draw the shop anew, with all that is accepted by now, here or in another terminal; what was worked
        out for another state is said to be old.
        """
        self.stale = False
        scene = self.desk.scene()
        if self._showing is not None:
            self._showing.plan = self._showing.plan.accepted_by(moving.accepts(self.desk))
        if self.asking.group is not None and not self.desk.state.has_group(self.asking.group):
            self.asking = Asking()
            self._showing = None
        self._forget_what_is_gone()
        without = None if self.plan is None else self.plan.group
        picture = picture_of(scene, without=without)
        self.way.show(picture, box_of([room.outline for room in scene.shop.rooms.values()]))
        self._draw()

    def _forget_what_is_gone(self) -> None:
        """Ask no longer about a goal or gear that has left the shop file."""
        asking, shop = self.asking, self.desk.shop
        gone = []
        if asking.zone is not None and shop.zone(asking.zone) is None:
            gone.append(asking.zone)
            asking.zone = None
        if asking.gear is not None and asking.gear not in shop.gear:
            gone.append(asking.gear)
            asking.gear = None
        if gone:
            self._stop()
            self._showing = None
            self.shopbins.tell(f"no longer in the shop file: {', '.join(gone)}", bad=True)

    def _draw(self) -> None:
        """Write everything from what is asked and what was worked out."""
        if not self.is_attached:
            return
        asked = self._asked_words()
        self.query_one("#asked", Line).say(asked)
        self.query_one("#asked", Line).display = bool(asked)
        self.query_one("#answer", Static).update(Text(plain(self._answer_words(), 600)))
        anew = bool(self._changed()) and self.plan is not None and not self._late()
        planned = None if anew else self.asking.group
        self._rows = rows_of(self.desk, planned, self.plan, self._unfolded) or form_of(self.desk, self.asking)
        self.lines.show(len(self._rows), self._cells, self.lines.cursor)
        self._draw_pose()
        self._detail()
        self.fill_lines()

    def _cells(self, number: int) -> list[Cell]:
        row = self._rows[number]
        return [(row.mark, row.look), (row.text, row.look)]

    def _asked_words(self) -> Text:
        """Say what is asked once it is: what, where to, on what; before that the form says it."""
        asking, desk, plan = self.asking, self.desk, self.plan
        zone = None if asking.zone is None else desk.shop.zone(asking.zone)
        if asking.group is None or zone is None or not (plan is not None or self._busy):
            return Text()
        if plan is not None and plan.path:
            gear = plan.gear.shown
        else:
            gear = "any gear there is" if asking.gear is None else desk.shop.gear[asking.gear].name
        more = ["bare"] if asking.as_ == "bare" else []
        more += [] if asking.base else ["its base off"]
        more += [] if asking.turn_deg is None else [f"turned {asking.turn_deg:g} deg"]
        how = f" ({', '.join(more)})" if more else ""
        return Text(plain(f" {desk.state.group(asking.group).shown}{how} → {zone.name}, on {gear}", 400))

    def _answer_words(self) -> str:
        from shopbins.reports.movesheet import answer_line

        plan = self.plan
        if self._busy and plan is None:
            return f"working it out: {self._busy} (esc stops it)"
        if plan is None:
            step = moving.next_step(self.desk, self.asking.group) if self.asking.group else None
            anew = "enter asks it anew" if self.asking.whole else "g asks it anew"
            if step is not None:
                changed = self._changed()
                return (
                    f"changed since it was planned: {'; '.join(changed)}: {anew}"
                    if changed
                    else f"a move is planned: tick its steps off with space; {anew}"
                )
            return (
                "enter works it out"
                if self.asking.whole
                else "what is to be moved, and where to? enter on a row fills it in"
            )
        line = answer_line(plan, self.desk.shop.measured_mm, brief=True)
        busy = f" · {self._busy} (esc stops that)" if self._busy else ""
        return f"{self._old_words()}{line}{busy}"

    def _old_words(self) -> str:
        """Say that the plan shown is of before, and what has changed that it rests on: '' where it is not."""
        assert self.plan is not None
        changed = self._since().shown if not self._steps() else self._changed()
        if changed and self._steps() and not self._late():
            return f"changed since it was planned: {'; '.join(changed)}; a + plans it as below · "
        if changed:
            return f"of before {'; '.join(changed)}: enter works it out anew · "
        return "worked out before the last change: enter works it out anew · " if self._late() else ""

    def _changed(self) -> list[str]:
        """Say what the planned move rests on that is now another."""
        return self._since().planned

    def _since(self) -> Since:
        """Say what is another by now; compared once, until the shop, the plan shown or what is asked is."""
        of = self.desk.scene(), self.plan, self.asking.group
        if self._compared is None or any(a is not b for a, b in zip(self._compared.of, of, strict=True)):
            _, plan, group = of
            shown = [] if plan is None else moving.outdated(self.desk, plan)
            self._compared = Since(of, shown, [] if group is None else moving.changed(self.desk, group))
        return self._compared

    def _late(self) -> bool:
        """Tell whether the shop has changed since the plan shown, by more than its own steps."""
        return self._is_old() and (not self._steps() or bool(self._changed()))

    def _draw_pose(self) -> None:
        showing = self._showing
        if showing is None or showing.plan.attempt is None or showing.pose is None:
            self.way.show_nothing()
            return
        plan = showing.plan
        hull = showing.plan.attempt.hull
        if showing.lying is None and not self._is_old():
            showing.lying = lying_on(self.desk.scene(), plan)
        self.way.show_way(plan.path, hull, targets_of(self.desk.scene(), plan), showing.lying or ())
        points = plan.attempt.found.points if plan.attempt is not None else None
        marks = ((points[1], "correct"),) if points is not None and showing.tight else ()
        self.way.show_pose(hull, showing.pose, plan.name, marks, showing.tight and bool(plan.stops))

    def _detail(self) -> None:
        row = self._rows[self.lines.cursor] if 0 <= self.lines.cursor < len(self._rows) else None
        lines = [plain(line, MOST_SIGNS) for line in detail_words(row, self._showing)]
        detail = self.query_one("#detail", Static)
        width = detail.content_size.width or self.app.size.width
        long = sum(len(wrap(line, width)) for line in lines) > SHORT_DETAIL
        told = row is not None and (row.part is not None or row.line is not None)
        self.set_class(long and told, "-wordy")
        detail.update(Text("\n".join(lines)))

    def head_note(self) -> str:
        """Say how far along the way is shown, and how much was found."""
        if self._showing is None:
            return ""
        stops = sum(f.grade == "stop" for f in self._showing.plan.findings)
        said = [self._showing.words(), counted(stops, "stop") if stops else ""]
        return " · ".join(part for part in said if part)

    def offers(self, action: Action) -> bool:
        """Leave out what makes no sense now."""
        if action.id in ("move.forward", "move.backward", "move.tightest"):
            return self._showing is not None and bool(self._showing.frames)
        if action.id == "move.accept_condition":
            row = self._row()
            if row is not None and row.line is not None:
                return bool(row.line.open)
            if row is not None and row.part is not None:
                return row.part.verdict in ACCEPTABLE
            return self._first_condition() is not None
        if action.id == "move.accept_same":
            row = self._row()
            return bool(self._reason) and row is not None and bool(row.open_parts) and self._is_alike(row)
        if action.id == "move.accept":
            anew = not self._steps() or bool(self._changed())
            return self.plan is not None and self.plan.planned and anew
        if action.id == "move.tick":
            return bool(self._steps())
        if action.id == "move.work_out":  # makes room at the foot once the answer is there
            return self.plan is None or self._late()
        if action.id == "move.cancel":
            return bool(self._busy)
        if action.id in ("move.sheet", "move.found"):
            return self.plan is not None
        return super().offers(action)

    def current_group(self) -> str | None:
        """Return the thing asked about, so that its history can be shown from elsewhere."""
        return self.asking.group

    def to_print(self) -> list[tuple[str, str]]:
        """Print the move sheet as well as labels."""
        return [("sheet", "the move sheet")] if self.plan is not None else []

    def next_trouble_here(self) -> bool:
        """Show where the move worked out is tightest."""
        if self._showing is None:
            return False
        self.action_tightest()
        return True

    def why_not(self, action: Action) -> str:
        """Say why something cannot be done now: what forbids a move is nobody's to accept."""
        row = self._row()
        if action.id == "move.accept_condition" and row is not None and row.part is not None:
            return "nobody may accept this" if row.part.verdict is Verdict.NO else super().why_not(action)
        return super().why_not(action)

    def act_menu(self) -> tuple[str, list[Item], list[str]]:
        """Return what can be done with the move asked about, or with the condition or step of the row."""
        return "The move", scope_items(self, "move"), []

    def _steps(self) -> Any:
        return () if self.asking.group is None else moving.steps(self.desk, self.asking.group)

    # --- played -------------------------------------------------------------------------------------------

    def _step(self, by: int) -> None:
        if self._showing is not None:
            self._showing.step(by)
            self._draw_pose()
            self._detail()
            self.fill_lines()

    def action_forward(self) -> None:
        """A step on along the way."""
        self._step(1)

    def action_backward(self) -> None:
        """A step back along the way."""
        self._step(-1)

    def action_far_forward(self) -> None:
        """Several steps on."""
        self._step(LONG)

    def action_far_backward(self) -> None:
        """Several steps back."""
        self._step(-LONG)

    def action_tightest(self) -> None:
        """Show the tightest pose, and what is nearest there."""
        if self._showing is not None and self._showing.to_tightest():
            self._draw_pose()
            self._detail()
            self.fill_lines()
            self.shopbins.tell(self._tightest())

    def _tightest(self) -> str:
        from shopbins.reports.movesheet import tightest_words

        return "" if self.plan is None else tightest_words(self.plan)

    # --- planned moves ------------------------------------------------------------------------------------

    def _row(self) -> Row | None:
        return self._rows[self.lines.cursor] if 0 <= self.lines.cursor < len(self._rows) else None

    def _first_condition(self) -> int | None:
        """Return the row of the first condition that nobody has accepted."""
        return next((n for n, row in enumerate(self._rows) if row.open_parts), None)

    def _is_alike(self, row: Row) -> bool:
        """Tell whether a single condition is of the same check as the one the last reason was given for."""
        return row.part is not None and row_of(row.part).finding.rule == self._reason_rule

    def action_accept_condition(self) -> None:
        """Accept what stands on the row, by name; of a row with no condition, the first that is open."""
        row = self._row()
        if self._is_old():
            self.shopbins.tell("the shop has changed since: enter works it out anew", bad=True)
        elif row is not None and row.line is not None:
            self._ask_why(row.line.open, row.line.called)
        elif row is not None and row.part is not None:
            self._accept_condition(row.part)
        elif (first := self._first_condition()) is not None:
            self.lines.cursor = first
            self.action_accept_condition()
        else:
            self.shopbins.tell("no condition is open here", bad=True)

    def action_accept_same(self) -> None:
        """Accept the condition of the row for the reason just given for one of its check, else ask for one.

        The cursor goes to the next.
        """
        row = self._row()
        if self._is_old():
            self.shopbins.tell("the shop has changed since: enter works it out anew", bad=True)
        elif row is None or not row.open_parts:
            self.shopbins.tell("no open condition here: move to one first", bad=True)
        elif not self._reason:
            self.shopbins.tell("no reason was given yet: a a asks for one", bad=True)
        elif self._is_alike(row):
            self._accept_for(row.open_parts, self._reason)
        else:
            self.action_accept_condition()

    def _is_old(self) -> bool:
        """Tell whether the shop has changed since the plan was worked out, but for acceptances."""
        plan = self.plan
        if plan is None:
            return False
        return (plan.seq != self.desk.seq and not self._only_accepted(plan)) or bool(self._since().shown)

    def action_accept(self) -> None:
        """Put the steps on record as planned."""
        plan = self.plan
        if self._is_old():
            self.shopbins.tell("the shop has changed since: enter works it out anew", bad=True)
        elif plan is None or not plan.planned:
            self.shopbins.tell("nothing can be planned: something forbids it, or is not known", bad=True)
        else:
            self.shopbins.attempt(
                lambda: moving.put_on_record(self.desk, plan),
                lambda _seq: f"{counted(len(self._steps()), 'step')} planned; space ticks them off",
            )
            self._first_open()

    def _only_accepted(self, plan: Plan) -> bool:
        """Tell whether nothing but acceptances was recorded since a plan was worked out."""
        events = self.desk.ledger.events(plan.seq)
        return all(event.kind in ("accept", "no longer accept") for event in events)

    def _accept_condition(self, part: Part) -> None:
        """Ask for a reason and accept one condition; accepted already, it counts again."""
        found = row_of(part).finding
        if part.verdict is Verdict.NO:
            self.shopbins.tell(f"nobody may accept this: {part.text}", bad=True)
            return
        if part.verdict not in (Verdict.ASKED, Verdict.ACCEPTED):
            self.shopbins.tell("this is no condition: it has to be measured or told", bad=True)
            return
        if part.accepted is not None:
            self.shopbins.attempt(lambda: self.desk.do(TAKE_BACK(found.id)), "it counts again")
            return

        self._ask_why([part], told_in_full(part))

    def _ask_why(self, parts: Sequence[Part], called: str) -> None:
        """Ask for the reason that some conditions are accepted for, all of them named."""
        if not parts:
            self.shopbins.tell(f"{called}: accepted already; enter says each, a a on one takes it back")
            return

        def chosen(reason: str | None) -> None:
            if reason:
                self._accept_for(parts, reason)

        every = "" if len(parts) == 1 else f", {len(parts)} together: {'; '.join(p.text for p in parts)}"
        title = f"Accept: {called}{every}. Why may it be so? Your name is kept with it"
        offers = [self._reason] if self._reason else []
        self.app.push_screen(Ask(title, "", example="the reason", offers=offers), chosen)

    def _accept_for(self, parts: Sequence[Part], reason: str) -> None:
        """Accept conditions for a reason, by name; the cursor goes to the next row with one that is open."""
        every = [moving.condition(row_of(part)) for part in parts]
        said = "; ".join(part.text for part in parts)
        if self.shopbins.attempt(
            lambda: self.desk.accept_each(every, reason), f"accepted: {said} ({reason})"
        ):
            self._reason, self._reason_rule = reason, row_of(parts[0]).finding.rule
        at = self.lines.cursor
        left = [n for n, row in enumerate(self._rows) if row.open_parts]
        if left:
            self.lines.cursor = next((n for n in left if n > at), left[0])

    def _first_open(self) -> None:
        n = moving.next_step(self.desk, self.asking.group) if self.asking.group else None
        if n is not None:
            at = next((i for i, row in enumerate(self._rows) if row.step == n), 0)
            self.lines.cursor = at

    def action_tick(self) -> None:
        """Tick the row's step off, else the first that is open."""
        group = self.asking.group
        if group is None or not self._steps():
            self.shopbins.tell("nothing is planned: a + puts the steps on record")
            return
        row = self._row()
        number = row.step if row is not None else None
        if number is None or self._steps()[number].get("done"):
            number = moving.next_step(self.desk, group)
        if number is None:
            self.shopbins.tell("every step is done")
            return
        changed = self._changed()
        if changed:
            said = f"changed since it was planned: {'; '.join(changed)}"
            self.shopbins.tell(f"{said}. Enter works it out anew", bad=True)
            return
        self._accepted_then_ticked(group, number)

    def _accepted_then_ticked(self, group: str, number: int) -> None:
        """Ask why the conditions due by a step may be so, what goes together at once; then tick it off."""
        left = moving.due_together(self.desk, group, number)
        if not left:
            self._tick(group, number)
            return
        said, every = left[0]

        def chosen(why: str | None) -> None:
            if why and self.shopbins.attempt(
                lambda: self.desk.accept_each(every, why), f"accepted: {said} ({why})"
            ):
                self._accepted_then_ticked(group, number)

        due = f"Accept first ({sum(len(each) for _, each in left)} due by this step)"
        title = f"{due}: {said}. Why may it be so? Your name is kept with it"
        self.app.push_screen(Ask(title, "", example="the reason"), chosen)

    def _tick(self, group: str, number: int) -> None:
        """Tick a step off."""
        title = self._steps()[number]["title"]
        if not moving.lays_down(self._steps()[number]):
            self.shopbins.attempt(lambda: moving.tick(self.desk, group, number), f"done: {title}")
            self._first_open()
            return

        def put(reason: Reasons) -> Any:
            return moving.tick(self.desk, group, number, override=reason)

        lay(self.shopbins, put, lambda _laid: f"done: {title}", lambda _done: self._first_open())

    def action_drop(self) -> None:
        """Take the planned move off the list; what was ticked off stays done."""
        group = self.asking.group
        if group is not None and self._steps():
            self.shopbins.attempt(lambda: moving.drop(self.desk, group), "no longer planned")

    # --- papers -------------------------------------------------------------------------------------------

    def action_found(self) -> None:
        """Show what was found, what to measure again, and what to watch."""
        from shopbins.reports.movesheet import sheet_text

        if self.plan is not None:
            width = max(40, min(100, self.app.size.width - 8))
            self.shopbins.open_page("The move", sheet_text(self.desk.scene(), self.plan, width))

    def action_sheet(self) -> None:
        """Write the move sheet."""
        if self.shopbins.only_here("writing files"):
            return
        plan = self.plan
        if plan is None:
            return

        def chosen(path: str) -> None:
            target = Path(path).expanduser()
            self.shopbins.attempt(lambda: moving.write_sheet(self.desk, plan, target), f"{target}: written")

        ask_sheet(self.shopbins, chosen)
