"""A truck, a hoist or helping hands put into the shop file by two questions: what it is, what it holds."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from shopbins import units
from shopbins.desk.drawing import ShopDrawing
from shopbins.desk.problems import DeskError
from shopbins.shop.editing import steps
from shopbins.shop.editing.steps import CannotDraw
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from shopbins.tui.host import Host

KINDS = (
    ("pallet truck", "lifts a pallet or a base on its forks", "2 t"),
    ("engine crane", "a boom on wheeled legs", "1 t"),
    ("gantry crane", "a beam on two wheeled frames", "2 t"),
    ("skates", "one under each corner, rolled", "1 t"),
    ("trolley", "a platform on wheels", "500 kg"),
    ("rollers and bar", "round bars under it, pushed along", "1 t"),
    ("by hand", "people who lift and carry", "2"),
)
"""What carries something big, with what is said of it and what its plate may read."""


def ask_new_gear(app: Host, file: ShopDrawing, then: Callable[[str], None]) -> None:
    """Ask for one piece of gear and put it into the shop file; `then` hears its name."""
    choices = [Choice(kind, kind, says) for kind, says, _ in KINDS]

    def chosen(kind: str | None) -> None:
        if kind is not None:
            _ask_plate(app, file, kind, then)

    app.push_screen(Pick("Add your truck or hoist: what is it?", choices, digits=True), chosen)


def _ask_plate(app: Host, file: ShopDrawing, kind: str, then: Callable[[str], None]) -> None:
    what, key = ("how many people", "people") if kind == "by hand" else ("what its plate allows", "capacity")

    def wrong(line: str) -> str | None:
        name, _, amount = (part.strip() for part in line.partition(","))
        if not name or "/" in name:
            return "a short name without '/'"
        try:
            if amount and key == "people":
                return None if amount.isdigit() and 1 <= int(amount) <= 99 else "a whole number of people"
            if amount:
                units.parse_mass(amount)
        except units.UnitError as problem:
            return str(problem)
        return None

    def given(line: str | None) -> None:
        if not line:
            return
        name, _, amount = (part.strip() for part in line.partition(","))
        values = {"kind": kind, **({key: amount} if amount else {})}
        try:
            file.step(steps.added(file.shop, "gear", name, values))
        except (DeskError, CannotDraw) as problem:
            app.tell(*(problem.lines if isinstance(problem, DeskError) else (str(problem),)), bad=True)
            return
        if file.problems:
            said = f"not in the file yet: {file.problems[0].what}"
            app.tell(said, bad=True)
            return
        app.changed()
        app.tell(f"{name} is in the shop file; what else is known of it: see gear in docs/shop-file.md")
        then(name)

    example = next(plate for each, _, plate in KINDS if each == kind)
    title = f"New {kind}: its name, then {what}, as '{kind}, {example}' (unknown: leave it out)"
    app.push_screen(Ask(title, wrong=wrong), given)
