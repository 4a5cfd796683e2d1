"""The plan with a move on it: what lies on the floor, the way as dots, where it ends, the thing at a pose."""

from __future__ import annotations

from itertools import pairwise

from shopbins.geometry.shapes import Outline, Point, Pose, placed
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.inks import Ink
from shopbins.tui.canvas.labels import word_inside
from shopbins.tui.move.progress import Lying
from shopbins.tui.widgets.floorplan import FloorPlan, InHand

PIT = "▒"
"""What fills an open pit."""


class MovePlan(FloorPlan):
    """A FloorPlan that shows a way; `show_pose` puts the thing somewhere along it."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._way: tuple[Point, ...] = ()
        self._goal: Outline | None = None
        self._targets: tuple[tuple[Outline, str], ...] = ()
        self._lying: tuple[Lying, ...] = ()

    def show_way(
        self,
        path: tuple[Pose, ...],
        hull: Outline,
        targets: tuple[tuple[Outline, str], ...] = (),
        lying: tuple[Lying, ...] = (),
    ) -> None:
        """Show a way of the thing's reference point, where shifted things go, by number, what lies there."""
        self._way = tuple((p.x_mm, p.y_mm) for p in path)
        self._goal = placed(hull, path[-1]) if path else None
        self._targets, self._lying = targets, lying
        self._changed()

    def show_pose(
        self, hull: Outline, pose: Pose, name: str, marks: tuple[tuple[Point, str], ...], tight: bool
    ) -> None:
        """Show the thing on its gear at a pose; `tight` where it is the tightest."""
        self.carry(InHand(placed(hull, pose), (pose.x_mm, pose.y_mm), name, tight), marks)

    def show_nothing(self) -> None:
        """Take the way and the thing away."""
        self._way, self._goal, self._targets, self._lying = (), None, (), ()
        self.carry(None)

    def _draw_over(self, canvas: Canvas) -> None:
        view = self.view
        for each in self._lying:
            ink = Ink.DOOR if each.is_laid else Ink.FIXTURE
            if each.is_open:
                canvas.fill([view.cells(p) for p in each.outline], PIT, ink)
            canvas.outline([view.dots(p) for p in each.outline], ink, every=1 if each.is_laid else 2)
            word_inside(canvas, view, each.outline, each.name, ink)
        for a, b in pairwise(self._way):
            canvas.dotted(view.dots(a), view.dots(b), Ink.MARK_NOTE, 2)
        if self._goal is not None:
            canvas.outline([view.dots(p) for p in self._goal], Ink.MARK_NOTE, every=2)
        for outline, word in self._targets:
            canvas.outline([view.dots(p) for p in outline], Ink.MARK_CORRECT)
            word_inside(canvas, view, outline, word, Ink.MARK_CORRECT)
        super()._draw_over(canvas)
