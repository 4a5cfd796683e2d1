"""The Plan: the shop to scale, what is under the cursor explained, things carried and laid down."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType

from shopbins.ledger.model import Away
from shopbins.strip.told import introduce
from shopbins.tui.keys.actions import bindings
from shopbins.tui.places import place_choices, split_place
from shopbins.tui.plan.laying import lay
from shopbins.tui.plan.mouse import PlanMouse
from shopbins.tui.widgets.floorplan import FloorPlan, InHand, Window
from shopbins.tui.widgets.hand import HandPanel, marks_of
from shopbins.tui.widgets.linelist import LineList
from shopbins.tui.words import mass_words
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.placing.recording import Laid, Reasons
    from shopbins.tui.plan.carry import Hand


class PlanScreen(PlanMouse):
    """The Plan."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("plan", "group")]
    shown: ClassVar[str] = "Plan"
    scopes: ClassVar[tuple[str, ...]] = ("plan", "group")
    DEFAULT_CSS = """
    PlanScreen.-under #main { layout: vertical; }
    PlanScreen #lists { width: 1fr; height: 1fr; }
    PlanScreen #worst-head { color: $hint; padding: 0 0 0 1; }
    PlanScreen #told { height: auto; max-height: 60%; }
    PlanScreen.-beside #side { border-left: solid $panel; }
    PlanScreen.-under #side { layout: horizontal; }
    PlanScreen.-under #told { width: 44; height: 100%; max-height: 100%; border-left: solid $panel; }
    PlanScreen.-few #side { layout: vertical; }
    PlanScreen.-few #told { width: 100%; height: 1; border: none; }
    PlanScreen.-few #worst-head, PlanScreen.-few.-finding #lists { display: none; }
    PlanScreen.-few.-finding #told { height: 100%; }
    PlanScreen #lying, PlanScreen #hand { display: none; }
    PlanScreen.-listing #lying { display: block; }
    PlanScreen.-listing #worst, PlanScreen.-listing #worst-head { display: none; }
    PlanScreen.-few.-listing #plan, PlanScreen.-few.-listing #told { display: none; }
    PlanScreen.-few.-listing #lists { display: block; }
    PlanScreen.-carrying #told, PlanScreen.-carrying #lists { display: none; }
    PlanScreen.-carrying #hand { display: block; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._before_close: Window | None = None

    def state_changed(self) -> None:
        """Draw the scene as it now is."""
        self.stale = False
        hand = self.hand.hand
        if hand is not None and hand.kind == "group" and not self.desk.state.has_group(hand.key):
            self._end()
            self.shopbins.tell(f"{hand.name} is no longer a part of its own", bad=True)
            return
        self._draw()
        if hand is not None:
            self.hand.again()
        self._explain()

    def on_floor_plan_clicked(self) -> None:
        """Take a double click as enter."""
        if self.hand.hand is not None:
            self.hand.action_lay()
        else:
            self.action_here()

    def on_floor_plan_mark_clicked(self, event: FloorPlan.MarkClicked) -> None:
        """Go to the trouble whose mark was clicked, as `n` does."""
        self.at_trouble(event.trouble)

    def on_line_list_chosen(self, event: LineList.Chosen) -> None:
        """Pick the row's thing up; of the troubles, go to the row's."""
        if event.lines is self.lying:
            self.pick_up(self._lying[event.row])
        elif (trouble := self.worst.current()) is not None:
            self.at_trouble(trouble)
        else:
            self.app.call_later(self.shopbins.action_show_audit)

    # --- carrying -----------------------------------------------------------------------------------------

    def action_here(self) -> None:
        """Pick up the thing here, else list what lies here; at a trouble open what can be done."""
        if self._finding is not None:
            self.app.call_later(self.app.run_action, "app.act")
            return
        found = self.current_group()
        if found is not None:
            self.pick_up(found)
            return
        top = self._under[0] if self._under else None
        if top is not None and self._lying:
            self.action_list()
            self.shopbins.tell("what lies here: enter picks it up · esc goes back to the plan")
        else:
            self.shopbins.tell("nothing to pick up here")

    def action_carry(self) -> None:
        """Pick up the group here, or a movable bench or tool."""
        if self.current_group() is not None:
            super().action_carry()
            return
        for each in self._under:
            if each.kind in ("fixture", "zone") and self.take_thing(each.key):
                return
        if self._lying:
            self.action_list()
            self.shopbins.tell("which of these? enter picks it up")
        else:
            self.shopbins.tell("nothing here that can be carried: tab jumps to the next thing", bad=True)

    def action_best(self) -> None:
        """Carry the part at hand to its best place."""
        if (group := self._group()) is not None:
            self.pick_up(group.id, best=True)

    def action_unplaced(self) -> None:
        """List what is unplaced and carry one."""
        from shopbins.tui.dialogs.pick import Choice, Pick

        scene = self.desk.scene()
        groups = [scene.group(each) for each in self.desk.state.unplaced()]
        if not groups:
            self.shopbins.tell("everything is put down")
            return
        choices = [Choice(g.id, g.shown, f"{mass_words(g.mass)} · {g.container}") for g in reversed(groups)]

        def chosen(group_id: str | None) -> None:
            if group_id is not None:
                self.pick_up(group_id)

        title = f"{counted(len(groups), 'part')} waiting: which one?"
        self.shopbins.push_screen(Pick(title, choices, hint="enter carries it (then b: best places)"), chosen)

    def take_thing(self, key: str, *, close: bool = True) -> bool:
        """Take a movable fixture or bench in hand; False where it cannot be moved."""
        taken = self.hand.take_thing(key)
        if taken:
            self._begin(close)
        return taken

    def pick_up(self, group_id: str, *, best: bool = False, close: bool = True) -> None:
        """Take a group in hand; `close`: come so close that a step shows."""
        if not self.desk.state.has_group(group_id):
            return
        group = self.desk.state.group(group_id)
        if isinstance(group.where, Away):
            self.shopbins.tell(f"{group.shown} is away: a a says that it is back", bad=True)
            return
        self._leave_at_hand()
        self.hand.take_group(group_id, self.plan.at)
        self._begin(close)
        if best:
            self.hand.action_best()

    def _begin(self, close: bool = True) -> None:
        self.shopbins.hush()
        self._before_close = None
        if close:
            self._come_close()
        self.remove_class("-listing")
        self.add_class("-carrying")
        self._arrange()
        self._draw()
        self.hand.focus()
        self.fill_lines()

    def _come_close(self) -> None:
        """Come so close that a step of the thing in hand is at least a column; laid down, go back."""
        hand = self.hand.hand
        if hand is not None and self.plan.view.mm_per_col > hand.step_mm:
            self._before_close = self.plan.window
            self.plan.show_close(hand.at, hand.step_mm)

    def _end(self) -> None:
        if self._before_close is not None:
            self.plan.back_to(self._before_close, self.plan.at)
            self._before_close = None
        self.hand.drop()
        self.remove_class("-carrying")
        self._arrange()
        self.plan.carry(None)
        self._draw()
        self.plan.focus()
        self._explain()

    def on_hand_panel_moved(self, event: HandPanel.Moved) -> None:
        """Draw the thing where it is now held, with what is in its way."""
        if self.hand.hand is not event.hand:
            return
        scene = self.desk.scene()
        stop = any(f.grade == "stop" for f in event.findings)
        shown = InHand(event.hand.outline(scene), event.hand.at, event.hand.name, stop)
        self.plan.carry(shown, marks_of(event.findings))

    def on_hand_panel_back(self, event: HandPanel.Back) -> None:
        """Put it back where it was."""
        self._end()
        self.shopbins.tell(f"{event.hand.name} is back where it was")

    def on_hand_panel_ask_place(self, event: HandPanel.AskPlace) -> None:
        """Choose a zone for the thing in hand."""
        from shopbins.tui.dialogs.pick import Pick

        choices = list(place_choices(self.desk.scene()))

        def chosen(key: str | None) -> None:
            if key is None or self.hand.hand is None:
                return
            zone_key, level = split_place(key)
            zone = self.desk.scene().zone(zone_key)
            if zone is not None:
                self.hand.hold(self.hand.hand.put_in(zone, level or zone.levels[0].key))

        self.shopbins.push_screen(Pick(f"Where to with {event.hand.name}?", choices), chosen)

    def on_hand_panel_lay(self, event: HandPanel.Lay) -> None:
        """Lay it down; a stop asks for a reason and, without one, leaves it in hand."""
        hand = event.hand

        def then(done: bool) -> None:
            if done:
                at = self.plan.at
                self._end()
                self._stand_at(at, hand.key if hand.kind == "group" else None)

        put = partial(self._put, hand)
        part = hand.key if hand.kind == "group" else None
        lay(self.shopbins, put, lambda _: self._said(hand), then, self.hand.action_best, part)

    def _put(self, hand: Hand, reason: Reasons) -> Laid:
        if hand.kind == "thing":
            return self.desk.move_thing(hand.key, hand.x_mm, hand.y_mm, hand.turn_deg, override=reason)
        target = hand.target(self.desk.scene())
        assert target is not None
        return self.desk.put(
            hand.key, target.zone, target.level, x_mm=target.x_mm, y_mm=target.y_mm,
            turn_deg=target.turn_deg, override=reason,
        )  # fmt: skip

    def _said(self, hand: Hand) -> str:
        if hand.kind == "thing":
            return f"{hand.name} moved"
        return f"{introduce(self.desk.state, hand.key)}: put down"
