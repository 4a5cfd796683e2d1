"""The command that prints tags."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from shopbins.cli.command import Arguments, Command, Parser, UsageError
from shopbins.cli.values import whole

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shopbins.cli.context import Context


def _arguments(parser: Parser) -> None:
    parser.add_argument("codes", metavar="CODE", nargs="*", help="groups, zones or levels, by code or name")
    parser.add_argument("--all", action="store_true", help="every group")
    parser.add_argument("--zones", action="store_true", help="every zone and level")
    parser.add_argument("--blank", metavar="N", help="so many new blank tags, to be bound later")
    parser.add_argument("-o", "--output", metavar="F.pdf", required=True, help="the PDF to write")
    parser.add_argument(
        "--sheet", metavar="SHEET", default="a4-3x7", help="the label sheet, as a4-3x7 or letter-3x10"
    )
    parser.add_argument(
        "--start", metavar="N", default="1", help="the first label to print on, for a begun sheet"
    )


def _tags(context: Context, args: Arguments) -> int:
    ways = [bool(args.codes), args.all, args.zones, args.blank is not None]
    if ways.count(True) != 1:
        raise UsageError(
            "shopbins tags: give one of codes, --all, --zones or --blank N (see shopbins tags --help)"
        )
    from shopbins.desk import BadInput

    blank = 0 if args.blank is None else whole(args.blank, "--blank")
    start = whole(args.start, "--start")
    if args.blank is not None and blank < 1:
        raise BadInput(f"--blank {args.blank}: must be 1 or more")
    codes: Sequence[str] | Literal["all", "zones"] = "zones" if args.zones else args.codes or "all"
    rendered = context.desk().print_tags(args.output, codes, blank=blank, sheet=args.sheet, start=start)
    data = {"labels": rendered.labels, "pages": rendered.pages, "codes": list(rendered.codes)}
    labels = f"{rendered.labels} label{'' if rendered.labels == 1 else 's'}"
    pages = f"{rendered.pages} page{'' if rendered.pages == 1 else 's'}"
    context.answer(data, [f"{args.output}: {labels} on {pages}; print at 100 %, not fitted to the page"])
    context.problem(*rendered.problems)
    return 0


COMMANDS = {
    "tags": Command(
        "tags",
        "print tags on label sheets as a PDF",
        (
            "shopbins tags --all -o tags.pdf",
            "shopbins tags --zones -o zones.pdf --sheet letter-3x10",
            "shopbins tags --blank 21 -o blank.pdf --start 5",
            'shopbins tags ZRW00413 "rack a/3" -o two.pdf',
        ),
        _arguments,
        _tags,
    )
}
