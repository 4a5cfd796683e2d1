"""The mouse on the Plan: a thing dragged is carried, let go it is laid down, as by keys."""

from __future__ import annotations

from shopbins.geometry.shapes import Point
from shopbins.tui.plan.going import PlanGoing
from shopbins.tui.widgets.floorplan import FloorPlan
from shopbins.tui.words import under


class PlanMouse(PlanGoing):
    """The Plan with the mouse; what is carried is the hand's, as by keys."""

    def __init__(self) -> None:
        super().__init__()
        self._dragged_from: tuple[Point, Point] | None = None

    def pick_up(self, group_id: str, *, best: bool = False, close: bool = True) -> None:
        """Take a group in hand."""
        raise NotImplementedError

    def take_thing(self, key: str, *, close: bool = True) -> bool:
        """Take a movable fixture or bench in hand; False where it cannot be moved."""
        raise NotImplementedError

    def on_floor_plan_dragged(self, event: FloorPlan.Dragged) -> None:
        """Carry what the mouse drags; where there is nothing to carry, the window moves."""
        if self._dragged_from is None or self._dragged_from[0] != event.start:
            if self.hand.hand is None:
                self._take_at(event.start)
            held = self.hand.hand
            self._dragged_from = (event.start, event.start if held is None else held.at)
        held = self.hand.hand
        if held is None:
            self.plan.pan(event.start, event.cell)
            return
        start, was = self._dragged_from
        at = self.plan.view.middle(*event.cell)
        x, y = was[0] + at[0] - start[0], was[1] + at[1] - start[1]
        self.hand.hold(held.moved(self.desk.scene(), x - held.x_mm, y - held.y_mm))

    def _take_at(self, at: Point) -> None:
        """Take the uppermost thing at a point; no closer, as the mouse would then be elsewhere."""
        for each in under(self.desk.scene(), at, self._within()):
            if each.kind == "group":
                self.pick_up(each.key, close=False)
                return
            if each.kind in ("fixture", "zone") and self.take_thing(each.key, close=False):
                return

    def on_floor_plan_dropped(self) -> None:
        """Lay down what was dragged, as enter does."""
        self._dragged_from = None
        if self.hand.hand is not None:
            self.hand.action_lay()

    def on_floor_plan_wheeled(self, event: FloorPlan.Wheeled) -> None:
        """Lift or lower what is carried: floor, bench, each level of a shelf."""
        if event.up:
            self.hand.action_higher()
        else:
            self.hand.action_lower()

    def on_floor_plan_refused(self) -> None:
        """Put back what is carried."""
        self._dragged_from = None
        self.hand.action_back()
