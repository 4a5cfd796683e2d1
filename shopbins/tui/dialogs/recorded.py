"""Asked before a second record of one name is made: this one, which then moves, or another?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from shopbins.ledger.model import Group
from shopbins.ledger.whereabouts import whereabouts
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from shopbins.tui.host import Host

ANOTHER = ""
"""What is chosen where it is another thing of the same name."""


def ask_recorded(app: Host, known: Sequence[Group], place: str, chosen: Callable[[str], None]) -> None:
    """Ask which of the `known` is meant, to move to `place` ('' where it stays); hears an id, or ANOTHER.

    Nothing is heard where the question is closed: nothing is recorded then.
    """
    desk = app.desk
    moves = f"moves it to {place}" if place else "records nothing new"
    choices = [
        Choice(g.id, f"this one, {whereabouts(desk.state, g.where)}", f"{g.code} · {moves}")
        for g in known[:8]
    ]
    choices.append(Choice(ANOTHER, "another of that name", "records a new part"))
    first = known[0]
    where = whereabouts(desk.state, first.where) if len(known) == 1 else f"{len(known)} times"

    def heard(which: str | None) -> None:
        if which is not None:
            chosen(which)

    app.bell()
    app.push_screen(Pick(f"{first.shown} is recorded: {where}. Which is this?", choices, digits=True), heard)
