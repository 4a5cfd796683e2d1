"""What becomes of a group: its disposition, and what goes with it (shortage, project, warning)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.ledger.model import DISPOSITIONS, OUT
from shopbins.tui.asking import with_reason
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from collections.abc import Callable

    from shopbins.ledger.model import Group
    from shopbins.tui.host import Host


def ask_disposition(app: Host, group: Group) -> None:
    """Ask what becomes of a group; to renew it raises a shortage, to reuse it elsewhere asks where."""
    desk = app.desk
    choices = [
        Choice(word, word, "as it is now" if word == group.disposition else "") for word in DISPOSITIONS
    ]

    def chosen(word: str | None) -> None:
        from shopbins.records.group import CHANGE

        if word == "renew" and group.disposition != "renew":
            from shopbins.tui.refit.working import renew

            renew(app, group)
        elif word == "reuse elsewhere":
            _ask_project(app, group)
        elif word is not None:
            lost = desk.set_warnings([group.id], "gone") if word in OUT else []
            said = " · ".join((f"{group.shown}: {word}", *lost))
            with_reason(app, lambda why: desk.do(CHANGE(group.id, disposition=word, reason=why)), said)

    app.push_screen(Pick(f"What happens to {group.shown}?", choices, digits=True), chosen)


def _ask_project(app: Host, group: Group) -> None:
    desk = app.desk

    def given(project: str | None) -> None:
        from shopbins.records.group import CHANGE

        if project:
            lost = desk.set_warnings([group.id], "gone")
            said = " · ".join((f"{group.shown}: reused on {project}", *lost))
            app.attempt(
                lambda: desk.do(CHANGE(group.id, disposition="reuse elsewhere", elsewhere=project)), said
            )

    app.push_screen(
        Ask(f"On which other project is {group.shown} reused?", group.elsewhere, example="the yard crane"),
        given,
    )


def unless_warned(app: Host, title: str, warnings: list[str], do: Callable[[], None]) -> None:
    """Do something, after asking where it would part a matched set."""
    if not warnings:
        do()
        return
    choices = [Choice("no", "leave it together"), Choice("yes", "do it anyway")]
    app.bell()
    app.push_screen(
        Pick(title, choices, says=warnings, digits=True), lambda answer: do() if answer == "yes" else None
    )
