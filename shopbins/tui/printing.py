"""Printing tags: which, on what labels, from which on, to a printer or into a file; drawn behind a notice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.rules.say import listed
from shopbins.tags.due import due_tags
from shopbins.tags.settings import Last, all_layouts, last, remember
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.draw.printing import PLAN, SHEET, print_into_file
from shopbins.tui.draw.printing import choices as plan_choices
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.desk.tagging import To, Which
    from shopbins.tags.draw import Rendered
    from shopbins.tags.layout import Layout
    from shopbins.tui.host import Host

MOST_BLANKS = 2000
SHEET_OF_BLANKS = "21"


@dataclass(slots=True)
class Order:
    """What is to be printed."""

    codes: Which = "all"
    blank: int = 0
    sheet: str = "a4-3x7"
    start: int = 1
    path: str = ""
    to: To = "pdf"


class Printing(Dialog[None]):
    """Says that tags are being drawn; keys wait until they are."""

    BINDINGS = []  # noqa: RUF012  (nothing closes it but the printing)

    def compose(self) -> ComposeResult:
        """Say so."""
        with Vertical(classes="box"):
            yield Static("drawing the labels ...", markup=False)

    def action_close(self) -> None:
        """Stay open: the printing closes it."""


def ask_print(app: Host) -> None:
    """Ask what to print where the screen has more than labels: its sheet or lists first."""
    from shopbins.tui.place import Place

    place = app.screen
    own = place.to_print() if isinstance(place, Place) else []
    if not own:
        ask_tags(app)
        return

    def chosen(name: str | None) -> None:
        if name == "labels":
            ask_tags(app)
        elif name is not None:
            app.call_later(app.run_action, name, place)

    choices = [Choice(name, says) for name, says in own]
    app.push_screen(Pick("Print what?", [*choices, Choice("labels", "labels")], digits=True), chosen)


def print_place(app: Host, zone: str) -> None:
    """Print the labels of one place and its levels."""
    _ask_sheet(app, Order(codes=[zone]))


def ask_tags(app: Host) -> None:
    """Ask which labels."""
    if app.only_here("printing"):
        return
    state = app.desk.state
    marked = [state.group(each).code for each in app.marked if state.has_group(each)]
    due = due_tags(app.desk.state, app.desk.shop)
    bare = sum(each.untagged for each in due)
    place = getattr(app.screen, "labelled_group", None) or getattr(app.screen, "current_group", None)
    at_hand = place() if callable(place) else None
    named = "the part at hand" if at_hand is None else state.group(at_hand).shown
    nobody = "no part at hand" if at_hand is None else ""
    choices = [  # in an order that does not hang on the cursor: a digit learnt stays right
        Choice("one", f"only {named}", nobody),
        Choice(
            "due",
            f"no label ({bare}), or an old one ({len(due) - bare})",
            "in walking order",
        ),
        Choice("all", f"every part ({len(state.group_ids())})"),
        Choice("zones", "every place and level"),
        Choice("blank", "blank labels", "given to parts later, by scanning"),
        Choice("look", "look at its label", nobody or "nothing is printed"),
        Choice(
            "marked",
            f"the {len(marked)} marked" if marked else "the marked",
            "" if marked else "nothing is marked",
        ),
    ]
    if state.docs("connection"):
        choices.append(Choice("flags", "flags for wires, hoses and pipes", "a pair each"))
    choices += plan_choices(app)

    def chosen(which: str | None) -> None:
        if which in (PLAN, SHEET):
            print_into_file(app, which)
        elif which == "blank":
            _ask_blank(app, Order())
        elif which in ("one", "look") and at_hand is None:
            app.tell("no part at hand: move to one first", bad=True)
        elif which == "marked" and not marked:
            app.tell("nothing is marked: space marks a part", bad=True)
        elif which == "look" and at_hand is not None:
            look_at(app, state.group(at_hand).code)
        elif which is not None:
            one = [] if at_hand is None else [state.group(at_hand).code]
            if which == "due" and not due:
                app.tell("every label is printed and up to date")
            else:
                _ask_sheet(app, Order(codes={"marked": marked, "one": one}.get(which, which)))

    app.push_screen(Pick("Print labels: which?", choices, digits=True), chosen)


def look_at(app: Host, code: str) -> None:
    """Show a tag as it would be printed."""
    from shopbins.tags.layouts import DEFAULT
    from shopbins.tui.dialogs.tagview import TagView

    sheet = last().sheet or DEFAULT
    try:
        drawn = app.desk.preview_tag(code, sheet)
    except DeskError as problem:
        app.tell(*problem.lines, bad=True)
        return
    app.push_screen(TagView(drawn, sheet))


def _ask_blank(app: Host, order: Order) -> None:
    def wrong(text: str) -> str | None:
        if not text.isascii() or not text.isdigit() or not 0 < int(text[:9]) <= MOST_BLANKS:
            return f"a whole number from 1 to {MOST_BLANKS}"
        return None

    def given(text: str | None) -> None:
        if text:
            order.blank, order.codes = int(text), []
            _ask_sheet(app, order)

    app.push_screen(Ask("How many blank labels?", SHEET_OF_BLANKS, wrong=wrong), given)


def _sheet_words(sheet: Layout) -> str:
    """Say what a layout is, the size of its labels first: a narrow screen cuts the end off."""
    size = " x ".join(f"{each:.4g}" for each in sheet.label_mm)
    return f"{size} mm, {sheet.per_page} a page, {sheet.form}, {sheet.source}"


def _ask_sheet(app: Host, order: Order) -> None:
    known, problems = all_layouts(app.desk.shop_path)
    kept = last().sheet
    choices = [
        Choice(name, name, _sheet_words(each))
        for name, each in sorted(
            known.items(), key=lambda item: (item[0] != kept, order_of(order, item[1].form))
        )
    ]

    def chosen(sheet: str | None) -> None:
        if sheet is not None:
            order.sheet = sheet
            if known[sheet].per_page > 1:
                _ask_start(app, order)
            else:
                _ask_where(app, order)

    lacking = [] if order.blank else app.desk.not_printable(order.codes)
    says = (
        [f"! no font here prints all of {listed(lacking)}: ◊ stands for what is lacking"] if lacking else []
    )
    app.push_screen(Pick("On what labels?", choices, says=[*says, *problems[:2]]), chosen)


def order_of(order: Order, form: str) -> int:
    """Return where a form of label comes in the list: flags first for flags, strips and markers for zones."""
    wanted = {"flags": ("flag",), "zones": ("strip", "marker")}.get(str(order.codes), ())
    return 0 if form in wanted else 1 if form == "label" else 2


def _ask_start(app: Host, order: Order) -> None:
    def wrong(text: str) -> str | None:
        return (
            None
            if text.isascii() and text.isdigit() and 0 < int(text[:6]) < 1000
            else "a whole number from 1 on"
        )

    def given(text: str | None) -> None:
        if text:
            order.start = int(text)
            _ask_where(app, order)

    app.push_screen(Ask("Which is the first free label on the sheet?", "1", wrong=wrong), given)


def _ask_where(app: Host, order: Order) -> None:
    """Ask for the printer or the file; only for the file where there is no printer."""
    from shopbins.tags.spool import print_command, printers

    if print_command() is None:
        _ask_path(app, order)
        return
    names, problem = printers()
    kept = last().printer
    names.sort(key=lambda name: name != kept)
    choices = [Choice(f"to {name}", name, "used last" if name == kept else "printer") for name in names]
    if not names:
        choices.append(Choice("to ", "the usual printer", "the system's own choice"))
    choices += [Choice("pdf", "a PDF file"), Choice("png", "one picture a label", "PNG files in a folder")]

    def chosen(where: str | None) -> None:
        if where is None:
            return
        if where.startswith("to "):
            order.to, order.path = "printer", where[3:]
            _print(app, order)
        else:
            order.to = "png" if where == "png" else "pdf"
            _ask_path(app, order)

    app.push_screen(Pick("Print where?", choices, says=[problem] if problem else (), digits=True), chosen)


def _ask_path(app: Host, order: Order) -> None:
    first = _unused(app.desk.shop_path.parent)
    if order.to == "png":
        first = first.with_suffix("")

    def given(text: str | None) -> None:
        if text:
            order.path = text
            _print(app, order)

    if order.to == "png":
        app.push_screen(Ask("Into which folder?", str(first)), given)
    else:
        app.push_screen(Ask("Into which PDF file?", str(first), wrong=_wrong_path), given)


def _unused(folder: Path) -> Path:
    """Return a name for today's tags that no file has yet."""
    today = date.today().isoformat()
    names = (f"tags-{today}{'' if i == 1 else f'-{i}'}.pdf" for i in range(1, 1000))
    return next(path for path in (folder / name for name in names) if not path.exists())


def _wrong_path(text: str) -> str | None:
    path = Path(text).expanduser()
    if not text:
        return "a file's name, as labels.pdf"
    if path.is_dir():
        return f"{text} is a folder"
    return None if path.parent.is_dir() else f"there is no folder {path.parent}"


def _print(app: Host, order: Order) -> None:
    notice = Printing()
    app.push_screen(notice)
    app.busy = True

    def work() -> None:
        rendered: Rendered | None = None
        problem: DeskError | None = None
        try:
            rendered = app.desk.print_tags(
                order.path if order.to == "printer" else Path(order.path).expanduser(),
                order.codes,
                to=order.to,
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
            remember(Last(order.path if order.to == "printer" else last().printer, order.sheet))
            where = order.path or "the usual printer"
            said = f"{counted(rendered.labels, 'label')} on {counted(rendered.pages, 'page')}: {where}"
            app.tell(said, *rendered.problems)

    app.run_worker(work, thread=True, group="print", exclusive=True, exit_on_error=False)
