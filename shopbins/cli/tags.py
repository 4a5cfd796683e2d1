"""The command that prints tags: as a PDF, as pictures or straight to a printer; lists and shows them too."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import typed
from shopbins.records.kinds import COUNT
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk.tagging import To, Which

LATER = "?"
BLACK_ON_WHITE = "\x1b[97;40m", "\x1b[0m"


def _arguments(parser: Parser) -> None:
    parser.add_argument("codes", metavar="CODE", nargs="*", help="parts, places or levels, by code or name")
    parser.add_argument("--all", action="store_true", help="every part")
    parser.add_argument("--zones", action="store_true", help="every place and level")
    parser.add_argument("--untagged", action="store_true", help="what has no label yet; may go with --stale")
    parser.add_argument("--stale", action="store_true", help="what has a label that is no longer right")
    parser.add_argument(
        "--flags", action="store_true", help="both flags of every recorded wire, hose and pipe"
    )
    parser.add_argument("--blank", metavar="N", help="so many new blank labels, given to parts later")
    parser.add_argument("-o", "--output", metavar="F.pdf", help="the PDF to write")
    parser.add_argument("--png", metavar="DIR", help="write one picture a label into this folder instead")
    parser.add_argument(
        "--print",
        metavar="PRINTER",
        nargs="?",
        const=LATER,
        help="print straight away (else: the last printer)",
    )
    parser.add_argument("--show", action="store_true", help="show the label here, with its QR code")
    parser.add_argument("--sheet", metavar="SHEET", help="the label layout, as a4-3x7 or letter-3x10")
    parser.add_argument(
        "--start", metavar="N", default="1", help="the first label to print on, for a begun sheet"
    )
    parser.add_argument("--dpi", metavar="N", help="dots an inch of the printer, if not the layout's own")
    parser.add_argument("--sheets", action="store_true", help="list the label layouts")
    parser.add_argument("--printers", action="store_true", help="list the printers")


def _tags(context: Context, args: Arguments) -> int:
    if args.sheets:
        return _sheets(context)
    if args.printers:
        return _printers(context)
    which = _which(args)
    outputs = [args.output is not None, args.png is not None, args.print is not None, args.show]
    if outputs.count(True) > 1:
        raise UsageError("shopbins tags: give only one of -o, --png, --print and --show")
    if args.show:
        return _show(context, args)
    if not any(outputs):
        if which in ("untagged", "stale", "due"):
            return _list(context, args)
        raise UsageError(
            "shopbins tags: say where to: -o F.pdf, --png DIR or --print (see shopbins tags --help)"
        )
    return _print(context, args, which)


def _which(args: Arguments) -> Which:
    """Return what is to be printed; exactly one way of saying it may be given."""
    due = args.untagged or args.stale
    ways = [bool(args.codes), args.all, args.zones, args.flags, args.blank is not None, due]
    if ways.count(True) != 1:
        raise UsageError(
            "shopbins tags: give one of codes, --all, --zones, --untagged and --stale, --flags or --blank N "
            "(see shopbins tags --help)"
        )
    if due:
        return "due" if args.untagged and args.stale else "untagged" if args.untagged else "stale"
    if args.zones or args.flags:
        return "zones" if args.zones else "flags"
    return list(args.codes) or "all"


def _print(context: Context, args: Arguments, which: Which) -> int:
    from shopbins.desk import BadInput
    from shopbins.desk.tagging import FLAG_SHEET
    from shopbins.tags.layouts import DEFAULT
    from shopbins.tags.settings import Last, last, remember

    blank = 0 if args.blank is None else typed(COUNT, args.blank, "--blank")
    start = typed(COUNT, args.start, "--start")
    if args.blank is not None and blank < 1:
        raise BadInput(f"--blank {args.blank}: must be 1 or more")
    to: To = "png" if args.png is not None else "printer" if args.print is not None else "pdf"
    kept = last()
    path = args.png or args.output or ""
    if to == "printer":
        path = kept.printer if args.print == LATER else args.print
    usual = FLAG_SHEET if which == "flags" else DEFAULT
    sheet = args.sheet or (kept.sheet if to == "printer" and which != "flags" else "") or usual
    desk = context.desk()
    if not blank and (lacking := desk.not_printable(which)):
        context.problem(f"no font here prints all of {', '.join(lacking)}: ◊ stands for what is lacking")
    rendered = desk.print_tags(
        path, which, blank=blank, sheet=sheet, start=start, to=to,
        dpi=None if args.dpi is None else typed(COUNT, args.dpi, "--dpi"),
    )  # fmt: skip
    if to == "printer" and (problem := remember(Last(printer=path, sheet=sheet))):
        rendered = replace(rendered, problems=(*rendered.problems, problem))
    data = {"labels": rendered.labels, "pages": rendered.pages, "codes": list(rendered.codes)}
    labels = counted(rendered.labels, "label")
    pages = counted(rendered.pages, "page")
    said = {
        "pdf": f"{path}: {labels} on {pages}; print at 100 %, not fitted to the page",
        "png": f"{path}: {labels}, one picture each",
        "printer": f"{path or 'the usual printer'}: {labels} on {pages} of {sheet}",
    }
    context.answer(data, [said[to]])
    context.problem(*rendered.problems)
    return 0


def _list(context: Context, args: Arguments) -> int:
    """List what is untagged or stale, and why."""
    from shopbins.lists import show
    from shopbins.lists.labels import DUE
    from shopbins.tags.due import due_tags

    desk = context.desk(readonly=True)
    due = due_tags(desk.state, desk.shop, untagged=args.untagged, stale=args.stale)
    none = "every label is printed" if args.untagged else "every label is up to date"
    context.answer(show.json(DUE, due), show.text(DUE, due) or [none])
    return 0


def _show(context: Context, args: Arguments) -> int:
    """Show labels in the terminal: the QR code in half blocks, then the words as they are broken."""
    from shopbins.tags.layouts import DEFAULT
    from shopbins.tags.preview import preview

    if not args.codes:
        raise UsageError("shopbins tags: --show goes with codes or names")
    desk = context.desk(readonly=True)
    colours = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    before, after = BLACK_ON_WHITE if colours and not context.json else ("", "")
    data: list[dict[str, Any]] = []
    for code in args.codes:
        drawn = desk.preview_tag(code, args.sheet or DEFAULT)
        shown = preview(drawn)
        data.append({"code": drawn.label.code, "words": list(shown.words), "problems": list(drawn.problems)})
        if not context.json:
            for (
                row
            ) in shown.qr:  # straight: the blocks are ours, and Context.lines would take the colours out
                sys.stdout.write(f"{before}{row}{after}\n")
            context.lines(shown.words)
            context.problem(*drawn.problems)
    if context.json:
        context.data(data)
    return 0


def _sheets(context: Context) -> int:
    """List the layouts, a user's own first."""
    from shopbins.desk import BadInput
    from shopbins.lists import show
    from shopbins.lists.labels import LAYOUTS
    from shopbins.tags.layouts import layouts
    from shopbins.tags.settings import all_layouts

    try:
        known, problems = all_layouts(context.shop_path())
    except BadInput:  # without a shop: ours
        known, problems = dict(layouts()), []
    context.answer(show.json(LAYOUTS, known.values()), show.text(LAYOUTS, known.values()))
    context.problem(*problems)
    return 0


def _printers(context: Context) -> int:
    """List the printers, the usual one first; say which was used last."""
    from shopbins.tags.settings import last
    from shopbins.tags.spool import printers

    names, problem = printers()
    kept = last().printer
    context.answer(
        {"printers": names, "last": kept},
        [f"{name}{' (used last)' if name == kept else ''}" for name in names],
    )
    if problem:
        context.problem(problem)
    return 0 if names else 1


COMMANDS = (
    Command(
        "tags",
        (
            "shopbins tags --untagged --stale -o tags.pdf",
            "shopbins tags --zones -o zones.pdf --sheet letter-3x10",
            "shopbins tags --blank 21 -o blank.pdf --start 5",
            "shopbins tags --blank 20 -o flags.pdf --sheet flag-a4-2x19",
            'shopbins tags ZRW01858 "rack a/3" --print',
            "shopbins tags ZRW01858 --show",
        ),
        _arguments,
        _tags,
        "Without -o, --png or --print, --untagged and --stale list what would be printed, and why.",
    ),
)
