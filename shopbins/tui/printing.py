"""Tags to a PDF: which, on what sheet, from which label on, into which file; then drawn behind a notice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.text import counted

if TYPE_CHECKING:
    from shopbins.tags.draw import Rendered
    from shopbins.tui.app import ShopbinsApp

MOST_BLANKS = 2000
SHEET_OF_BLANKS = "21"


@dataclass(slots=True)
class Order:
    """What is to be printed."""

    codes: Sequence[str] | str = "all"
    blank: int = 0
    sheet: str = "a4-3x7"
    start: int = 1
    path: str = ""


class Printing(Dialog[None]):
    """Says that tags are being drawn; keys wait until they are."""

    BINDINGS = []  # noqa: RUF012  (nothing closes it but the printing)

    def compose(self) -> ComposeResult:
        """Say so."""
        with Vertical(classes="box"):
            yield Static("drawing the tags ...", markup=False)

    def action_close(self) -> None:
        """Stay open: the printing closes it."""


def ask_tags(app: ShopbinsApp) -> None:
    """Ask which tags."""
    state = app.desk.state
    marked = [state.group(each).code for each in app.marked if state.has_group(each)]
    bare = [g.code for g in state.groups() if not g.tagged]
    place = getattr(app.screen, "current_group", None)
    at_hand = place() if callable(place) else None
    choices = []
    if marked:
        choices.append(Choice("marked", f"the {len(marked)} marked"))
    if at_hand is not None:
        choices.append(Choice("one", f"only {state.group(at_hand).shown}"))
    choices += [
        Choice("new", f"those without a tag ({len(bare)})"),
        Choice("all", f"every group ({len(state.group_ids())})"),
        Choice("zones", "every zone and level"),
        Choice("blank", "blank tags", "bound later, by scanning them"),
    ]

    def chosen(which: str | None) -> None:
        if which == "blank":
            _ask_blank(app, Order())
        elif which is not None:
            one = [] if at_hand is None else [state.group(at_hand).code]
            codes = {"marked": marked, "one": one, "new": bare}.get(which, which)
            if codes:
                _ask_sheet(app, Order(codes=codes))
            else:
                app.tell("every group has its tag")

    app.push_screen(Pick("Print tags: which?", choices, digits=True), chosen)


def _ask_blank(app: ShopbinsApp, order: Order) -> None:
    def wrong(text: str) -> str | None:
        if not text.isascii() or not text.isdigit() or not 0 < int(text[:9]) <= MOST_BLANKS:
            return f"a whole number from 1 to {MOST_BLANKS}"
        return None

    def given(text: str | None) -> None:
        if text:
            order.blank, order.codes = int(text), []
            _ask_sheet(app, order)

    app.push_screen(Ask("How many blank tags?", SHEET_OF_BLANKS, wrong=wrong), given)


def _ask_sheet(app: ShopbinsApp, order: Order) -> None:
    from shopbins.tags.layouts import layouts

    choices = [
        Choice(name, name, f"{counted(each.columns * each.rows, 'label')} a page, {each.source}")
        for name, each in layouts().items()
    ]

    def chosen(sheet: str | None) -> None:
        if sheet is not None:
            order.sheet = sheet
            _ask_start(app, order)

    app.push_screen(Pick("On what labels?", choices), chosen)


def _ask_start(app: ShopbinsApp, order: Order) -> None:
    def wrong(text: str) -> str | None:
        return (
            None
            if text.isascii() and text.isdigit() and 0 < int(text[:6]) < 1000
            else "a whole number from 1 on"
        )

    def given(text: str | None) -> None:
        if text:
            order.start = int(text)
            _ask_path(app, order)

    app.push_screen(Ask("Which is the first free label on the sheet?", "1", wrong=wrong), given)


def _ask_path(app: ShopbinsApp, order: Order) -> None:
    first = _unused(app.desk.shop_path.parent)

    def given(text: str | None) -> None:
        if text:
            order.path = text
            _print(app, order)

    app.push_screen(Ask("Into which PDF file?", str(first), wrong=_wrong_path), given)


def _unused(folder: Path) -> Path:
    """Return a name for today's tags that no file has yet."""
    today = date.today().isoformat()
    names = (f"tags-{today}{'' if i == 1 else f'-{i}'}.pdf" for i in range(1, 1000))
    return next(path for path in (folder / name for name in names) if not path.exists())


def _wrong_path(text: str) -> str | None:
    path = Path(text).expanduser()
    if not text:
        return "a file's name, as tags.pdf"
    if path.is_dir():
        return f"{text} is a folder"
    return None if path.parent.is_dir() else f"there is no folder {path.parent}"


def _print(app: ShopbinsApp, order: Order) -> None:
    notice = Printing()
    app.push_screen(notice)
    app.busy = True

    def work() -> None:
        rendered: Rendered | None = None
        problem: DeskError | None = None
        try:
            rendered = app.desk.print_tags(
                Path(order.path).expanduser(),
                order.codes,
                blank=order.blank,
                sheet=order.sheet,
                start=order.start,
            )
        except DeskError as trouble:
            problem = trouble
        app.call_from_thread(done, rendered, problem)

    def done(rendered: Rendered | None, problem: DeskError | None) -> None:
        app.busy = False
        notice.dismiss(None)
        if problem is not None:
            app.tell(*problem.lines, bad=True)
        elif rendered is not None:
            app.changed()
            said = f"{counted(rendered.labels, 'tag')} on {counted(rendered.pages, 'page')}: {order.path}"
            app.tell(said, *rendered.problems)

    app.run_worker(work, thread=True, group="print", exclusive=True, exit_on_error=False)
