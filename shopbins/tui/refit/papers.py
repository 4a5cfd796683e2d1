"""What the Refit shows on a page or writes into a file: an order of fetching, reports."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.strip.refit import next_back, refit
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from shopbins.tui.host import Host
    from shopbins.tui.refit.views import Only


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
