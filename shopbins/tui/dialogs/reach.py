"""What must come off to get at a part: the steps in order, and taking the next one off from there."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import NotDone
from shopbins.records.fitting import OFF
from shopbins.strip.reach import reach
from shopbins.strip.told import introduce
from shopbins.strip.tree import is_fitted, is_tried
from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.refit.before import ask_before
from shopbins.tui.text import plain
from shopbins.tui.widgets.linelist import Cell, Column, LineList
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.strip.reach import Step
    from shopbins.tui.host import Host

MOST_ROWS = 16


class Reach(Dialog[None]):
    """The steps; enter takes the one under the cursor off, b asks what came off before it."""

    DEFAULT_CSS = """
    Reach > .box { width: 100; }
    Reach LineList { height: auto; }
    """

    def __init__(self, position: str) -> None:
        super().__init__()
        self._position = position
        self._steps: list[Step] = []

    def compose(self) -> ComposeResult:
        """Lay the question, the steps and what the cursor stands on under each other."""
        with Vertical(classes="box"):
            yield Static("", id="title", classes="title", markup=False)
            yield LineList(
                (Column("", 4), Column("", 12), Column("", 26, 1.0), Column("", 14), Column("", 15, 0.5)),
                empty="nothing is recorded that has to come off before it",
                head=False,
                id="steps",
            )  # fmt: skip
            yield Static("", id="about", classes="says", markup=False)
            yield Static(
                "enter chooses off · esc closes · b on a part says what really came first",
                classes="hint", markup=False,
            )  # fmt: skip

    def on_mount(self) -> None:
        """Show the steps, the cursor on the first still to come off."""
        self.query_one(LineList).focus()
        self._list()

    def _list(self) -> None:
        self._steps = reach(self.desk.state, self._position)
        left = [n for n, each in enumerate(self._steps) if not each.already_off]
        name = self.desk.position(self._position).name
        off = len(self._steps) - len(left)
        said = f"{counted(len(left), 'thing')} still to come off" if left else "nothing is in the way"
        self.query_one("#title", Static).update(
            plain(f"To get at {name}: {said}" + (f", {off} off already" if off else ""))
        )
        lines = self.query_one(LineList)
        lines.styles.height = max(1, min(MOST_ROWS, len(self._steps) or 1, max(1, self.app.size.height - 8)))
        lines.show(len(self._steps), self._row, left[0] if left else 0)

    def _row(self, number: int) -> list[Cell]:
        step = self._steps[number]
        look = "dim" if step.already_off else ""
        return [
            (f"{number + 1:3d}", look),
            ("off already" if step.already_off else "take off", look),
            (step.name, look),
            (" ".join(step.groups) or "on machine", look),
            ("" if step.told else "as it came off", "dim"),
        ]

    def on_line_list_moved(self) -> None:
        """Say what to heed with the step: cautions, how it came off."""
        row = self.query_one(LineList).cursor
        lines: list[str] = []
        if 0 <= row < len(self._steps):
            lines += self.desk.hints_at(self._steps[row].position)
        self.query_one("#about", Static).update(plain(" · ".join(dict.fromkeys(lines)), 300))

    def on_line_list_chosen(self, event: LineList.Chosen) -> None:
        """Take the step off: what was fitted or tried comes off again, what never came off is recorded."""
        step = self._steps[event.row]
        if step.already_off:
            self.shopbins.tell(f"{step.name} is off already", bad=True)
            return
        take_off(self, step.position)
        self._list()

    def on_key(self, event: events.Key) -> None:
        """Ask of the step's part what came off first."""
        if event.key == "b" and self._steps:
            event.stop()
            ask_before(self.shopbins, self._steps[self.query_one(LineList).cursor].position, self._again)

    def _again(self) -> None:
        if self.is_mounted:
            self._list()


def show_reach(app: Host, position: str) -> None:
    """Show what must come off to get at a position."""
    try:
        reach(app.desk.state, position)
    except KeyError:
        raise NotDone("that part is gone") from None
    app.push_screen(Reach(position))


def take_off(dialog: Reach, position: str) -> None:
    """Take a position's groups off the machine again, or record that it came off where it never did."""
    app, desk = dialog.shopbins, dialog.desk
    place = desk.position(position)
    on = [g for g in place.groups if _is_on(desk.state.docs("group")[g].get("where"))]
    if on:
        for group_id in on:
            name = desk.state.group(group_id).shown
            app.attempt(partial(desk.do, OFF(group_id)), f"off again: {name}, not put down yet")
    else:
        app.attempt(
            lambda: desk.take_listed(position),
            lambda group: f"off: {introduce(desk.state, group.id)}",
        )


def _is_on(where: object) -> bool:
    return is_fitted(where) or is_tried(where)
