"""What the Refit's own keys ask and do: shortages on their way, milestones, ends, fetching, reports."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.records import care, connection, milestone, shortage
from shopbins.strip.connections import connections
from shopbins.strip.refit import next_back, refit
from shopbins.strip.shortages import hold_up
from shopbins.tui.asking import ask_about, ask_new
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.keys.groupactions import ask_place

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.strip.connections import Connection
    from shopbins.tui.host import Host
    from shopbins.tui.refit.views import Only

# -- shortages


def ask_shortage(app: Host, key: str) -> None:
    """Ask what there is to say of a shortage; what came as a group is laid down at once."""

    def came(event: Event) -> None:
        table, _, group_id = event.subjects[0].partition(":")
        if event.kind == shortage.ARRIVE.kind and table == "group":
            group = app.desk.state.group(group_id)
            ask_place(app, group, f"{group.shown} is here: where is it put down?")

    ask_about(app, shortage.SHORTAGE, shortage.QUESTIONS, key, lambda each: _said(app, each), came)


def _said(app: Host, key: str) -> str:
    return shortage.sentence(app.desk.state, key, app.today())


# -- care


def ask_care(app: Host, key: str) -> None:
    """Ask what there is to say of care: done, or something of its procedure no longer to be had."""
    ask_about(app, care.CARE, care.QUESTIONS, key, lambda each: _comes_round(app, each))


def add_care(app: Host) -> None:
    """Ask for care that comes round again."""
    title = "What comes round again, and how often?"
    ask_new(app, care.CARE, care.ADD, title, lambda key, _: _comes_round(app, key))


def _comes_round(app: Host, key: str) -> str:
    return care.sentence(app.desk.state, key, app.today())


# -- milestones


def ask_milestone(app: Host, key: str, show_chain: Callable[[], None]) -> None:
    """Ask what is to be done about a milestone."""
    chain = Choice("", "everything in front of it", "in refit order")
    ask_about(app, milestone.MILESTONE, milestone.QUESTIONS, key, lambda each: _held_up(app, each), first=[(chain, show_chain)])  # noqa: E501  # fmt: skip


def add_milestone(app: Host) -> None:
    """Ask for a milestone."""
    title = "What is the milestone, by when, what does it need back on?"
    ask_new(app, milestone.MILESTONE, milestone.SET, title, lambda key, _: _held_up(app, key))


def _held_up(app: Host, key: str) -> str:
    return hold_up(app.desk.state, key, app.today()).sentence


# -- wires, hoses and pipes


def join(app: Host, it: Connection) -> None:
    """Note an end of a connection as joined, or as apart again: which, is asked."""
    names = {"a": f"end A ({it.a})", "b": f"end B ({it.b})"}
    choices = [
        Choice(end, f"{name} is {'apart after all' if it.is_joined(end) else 'joined'}")
        for end, name in names.items()
    ]
    both = "apart after all" if it.joined else "joined"
    choices.append(Choice("ab", f"both ends are {both}"))

    def chosen(ends: str | None) -> None:
        if ends is None:
            return
        apart = it.joined if ends == "ab" else it.is_joined(ends)
        day = None if apart else app.day().isoformat()
        said = "both ends" if ends == "ab" else names[ends]
        app.attempt(
            lambda: app.desk.do(connection.SET(it.key, ends=dict.fromkeys(ends, day))),
            f"{it.told}: {said} {'apart' if apart else 'joined'}",
        )

    app.push_screen(Pick(it.told, choices, digits=True), chosen)


def add_connection(app: Host) -> None:
    """Ask for a wire, hose or pipe."""
    title = "Which wire, hose or pipe, from where to where?"
    ask_new(app, connection.CONNECTION, connection.CONNECT, title, lambda key, _: _told(app, key))


def _told(app: Host, key: str) -> str:
    return next(each.told for each in connections(app.desk.state) if each.key == key)


# -- fetching, reports


def show_fetching(app: Host, only: Only) -> None:
    """Show what can go back now in an order of fetching with few steps."""
    from shopbins.lists import show
    from shopbins.lists.fetch import FETCH, stops

    desk = app.desk
    entries = next_back(desk.state, only.machine)
    if only.milestone is not None:
        wanted = {each.position for each in refit(desk.state, None, only.milestone)}
        entries = [each for each in entries if each.position in wanted]
    ids = [each.group.id for each in entries if each.group is not None]
    if not ids:
        app.tell("nothing can go back now", bad=True)
        return
    app.open_page(FETCH.title, show.text(FETCH, stops(desk.scene(), ids)))


def ask_report(app: Host, machine: str | None) -> None:
    """Ask which report, and into which file; the file's ending says what sort."""
    from shopbins.lists.papers import KINDS

    choices = [Choice(name, title) for name, title in KINDS.items()]

    def chosen(what: str | None) -> None:
        if what is None:
            return
        first = app.desk.shop_path.parent / f"{what}-{app.today().isoformat()}.pdf"

        def given(text: str | None) -> None:
            if text:
                path = Path(text).expanduser()
                app.attempt(
                    lambda: app.desk.write_report(what, path, machine, app.today()) or True,
                    f"written: {path}",
                )

        app.push_screen(Ask("Into which file (.pdf, .csv or .txt)?", str(first), wrong=_wrong_file), given)

    app.push_screen(Pick("Which report?", choices, digits=True), chosen)


def _wrong_file(text: str) -> str | None:
    path = Path(text).expanduser()
    if path.suffix.lower() not in (".pdf", ".csv", ".txt"):
        return "a file that ends in .pdf, .csv or .txt"
    if path.is_dir():
        return f"{text} is a folder"
    return None if path.parent.is_dir() else f"there is no folder {path.parent}"
