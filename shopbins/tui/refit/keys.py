"""What the Refit's own keys ask and do: shortages on their way, milestones, ends, fetching, reports."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.records import care, milestone, shortage
from shopbins.records import connection as connections
from shopbins.scene.fetching import fetch_order
from shopbins.strip.refit import next_back, not_met, refit
from shopbins.strip.shortages import hold_up
from shopbins.tui.asking import ask_about, ask_new
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.parts.entryline import Unreadable
from shopbins.tui.places import place_choices, split_place
from shopbins.tui.refit.entryline import read_date
from shopbins.tui.refit.lists import Care, Ends, Milestones
from shopbins.tui.refit.views import Only, View
from shopbins.tui.refit.workactions import add_shortage

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.ledger.model import Group
    from shopbins.records.record import Wanted
    from shopbins.strip.connections import Connection
    from shopbins.tui.host import Host

# -- shortages


def ask_shortage(app: Host, key: str) -> None:
    """Ask what there is to say of a shortage; what came as a group is laid down at once."""

    def came(event: Event) -> None:
        table, _, group_id = event.subjects[0].partition(":")
        if event.kind == shortage.ARRIVE.kind and table == "group":
            ask_place(app, app.desk.state.group(group_id))

    ask_about(app, shortage.SHORTAGE, shortage.QUESTIONS, key, lambda each: _said(app, each), came)


def _said(app: Host, key: str) -> str:
    return shortage.sentence(app.desk.state, key, app.today())


def wrong_date(app: Host) -> Callable[[str], str | None]:
    """Return what says why a text is no date."""

    def wrong(text: str) -> str | None:
        try:
            read_date(text, app.today())
        except Unreadable as problem:
            return str(problem)
        return None

    return wrong


def ask_place(app: Host, group: Group) -> None:
    """Ask where something is laid down; a place's tag may be scanned."""
    from shopbins.desk.problems import DeskError
    from shopbins.tui.keys.groupactions import put_by_name

    def chosen(key: str | None) -> None:
        if key is None:
            return
        zone, level = split_place(key)
        if key.startswith("="):
            try:
                zone, level = app.desk.resolve_place(key[1:])
            except DeskError as problem:
                app.tell(*problem.lines, bad=True)
                return
        put_by_name(app, group, zone, level)

    places = list(place_choices(app.desk.scene()))
    app.push_screen(Pick(f"{group.shown} is here: where is it put down?", places, free=True), chosen)


# -- care


def ask_care(app: Host, key: str) -> None:
    """Ask what there is to say of care: done, or something of its procedure no longer to be had."""
    ask_about(app, care.CARE, care.QUESTIONS, key, lambda each: care.sentence(app.desk.state, each, app.today()))  # noqa: E501  # fmt: skip


# -- milestones


def ask_milestone(app: Host, key: str, show_chain: Callable[[], None]) -> None:
    """Ask what is to be done about a milestone."""
    doc = app.desk.state.docs("milestone")[key]
    name = str(doc["name"])
    choices = [
        Choice("chain", "everything in front of it", "in refit order"),
        Choice("done", "not reached after all" if doc.get("done") else "it is reached"),
        Choice("by", "give it a date", str(doc.get("by") or "")),
        Choice("needs", "say what it needs", "parts or assemblies"),
        Choice("after", "say what goes on only after it", "feet and guards after a move"),
        Choice("move", "it is a move of the machine" if not doc.get("move") else "it is no move after all"),
        Choice("drop", "forget it"),
    ]
    desk = app.desk

    def chosen(answer: str | None) -> None:
        if answer == "chain":
            show_chain()
        elif answer == "done":
            day = None if doc.get("done") else app.today().isoformat()
            left = not_met(desk.state, key, app.today()) if day else []
            why = f"{name} needs {', '.join(left[:3])}: why is it reached anyway?" if left else ""
            _with_reason(
                app, why, lambda reason: milestone.REACHED(name, on=day, reason=reason),
                f"{name}: {'' if day else 'not '}reached",
            )  # fmt: skip
        elif answer == "by":
            _ask_by(app, name, str(doc.get("by") or ""))
        elif answer == "needs":
            _ask_parts(app, f"What does {name} need back on?", lambda texts: desk.do(milestone.SET(name=name, needs=texts)))  # noqa: E501  # fmt: skip
        elif answer == "after":
            _ask_parts(app, f"What goes on only after {name}?", lambda texts: _goes_after(app, name, texts))
        elif answer == "move":
            app.attempt(lambda: desk.do(milestone.SET(name=name, move=not doc.get("move"))), name)
        elif answer == "drop":
            why = f"{name} was due {doc['by']}: why is it forgotten?" if _is_overdue(app, doc) else ""
            _with_reason(app, why, lambda reason: milestone.DROP(name, reason=reason), f"{name}: forgotten")

    app.push_screen(Pick(name, choices, says=[_held_up(app, key)], digits=True), chosen)


def _is_overdue(app: Host, doc: Mapping[str, Any]) -> bool:
    return not doc.get("done") and (doc.get("by") or "9") < app.today().isoformat()


def _with_reason(app: Host, title: str, wanted: Callable[[str], Wanted], done: str) -> None:
    """Do it; where a title says why a reason is wanted, ask for that first."""
    if not title:
        app.attempt(lambda: app.desk.do(wanted("")), done)
        return

    def given(text: str | None) -> None:
        if text and text.strip():
            app.attempt(lambda: app.desk.do(wanted(text)), done)

    app.push_screen(Ask(title), given)


def _goes_after(app: Host, name: str, texts: list[str]) -> None:
    positions = [each for text in texts for each in app.desk.resolve_positions(text)]
    app.desk.do(*(milestone.AFTER(each, milestone=name) for each in positions))


def _ask_by(app: Host, name: str, value: str) -> None:
    def given(text: str | None) -> None:
        if text:
            day = read_date(text, app.today())
            doc = app.desk.state.docs("milestone")[name.casefold()]
            later = _is_overdue(app, doc) and str(day) > str(doc["by"])
            why = f"{name} was due {doc['by']}: why is it {day} now?" if later else ""
            _with_reason(
                app, why, lambda reason: milestone.SET(name=name, by=day, reason=reason), f"{name}: by {day}"
            )

    app.push_screen(
        Ask(f"By when is {name} to be reached?", value, example="2027-03-20", wrong=wrong_date(app)), given
    )


def _ask_parts(app: Host, title: str, do: Callable[[list[str]], object]) -> None:
    def given(text: str | None) -> None:
        texts = [part.strip() for part in (text or "").split(",") if part.strip()]
        if texts:
            app.attempt(lambda: do(texts) or True, ", ".join(texts))

    app.push_screen(Ask(title, example="crankshaft, cylinder head 2, engine > cooling"), given)


# -- wires, hoses and pipes


def join(app: Host, connection: Connection) -> None:
    """Note a connection as made again, or apart again."""
    joined = not connection.joined
    app.attempt(
        lambda: app.desk.do(connections.SET(connection.key, joined=joined)),
        f"{connection.told}: {'joined' if joined else 'apart'}",
    )


def _ask_connection(app: Host) -> None:
    from shopbins.strip.connections import KINDS

    def wrong(text: str) -> str | None:
        parts = [part.strip() for part in text.split(",")]
        if len(parts) not in (3, 4) or parts[0].split(" ")[0].lower() not in KINDS:
            return (
                "wire, hose or pipe first, then both ends: 'hose fuel feed, lift pump outlet, filter inlet'"
            )
        return None

    def given(text: str | None) -> None:
        if not text:
            return
        what, end_a, end_b, *machine = [part.strip() for part in text.split(",")]
        kind, _, name = what.partition(" ")
        wanted = connections.CONNECT(
            name=name, kind=kind.lower(), end_a=end_a, end_b=end_b, machine="".join(machine[:1])
        )
        app.attempt(lambda: app.desk.do(wanted), f"{what}: {end_a} to {end_b}")

    app.push_screen(
        Ask("Which wire, hose or pipe, from where to where?",
            example="hose fuel feed, lift pump outlet, filter inlet", wrong=wrong),
        given,
    )  # fmt: skip


def _held_up(app: Host, key: str) -> str:
    return hold_up(app.desk.state, key, app.today()).sentence


# -- the lists


def add(app: Host, view: View[Any]) -> None:
    """Add to the list shown."""
    if isinstance(view, Milestones):
        title = "What is the milestone, by when, what does it need back on?"
        ask_new(app, milestone.MILESTONE, milestone.SET, title, lambda key: _held_up(app, key))
    elif isinstance(view, Ends):
        _ask_connection(app)
    elif isinstance(view, Care):
        ask_new(app, care.CARE, care.ADD, "What comes round again, and how often?", lambda key: care.sentence(app.desk.state, key, app.today()))  # noqa: E501  # fmt: skip
    else:
        add_shortage(app)


def show_fetching(app: Host, only: Only) -> None:
    """Show what can go back now in an order of fetching with few steps."""
    from shopbins.reports.strip import fetch_text

    desk = app.desk
    entries = next_back(desk.state, only.machine)
    if only.milestone is not None:
        wanted = {each.position for each in refit(desk.state, None, only.milestone)}
        entries = [each for each in entries if each.position in wanted]
    ids = list(dict.fromkeys(each.group.id for each in entries if each.group is not None))
    if not ids:
        app.tell("nothing can go back now", bad=True)
        return
    places = {each: desk.where_words(desk.state.group(each)) for each in ids}
    app.open_page("Fetch, with few steps", fetch_text(desk.state, fetch_order(desk.scene(), ids), places))


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
