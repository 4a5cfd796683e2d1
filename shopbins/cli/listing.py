"""The command that lists any table of the ledger, narrowed by conditions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser

if TYPE_CHECKING:
    from shopbins.cli.context import Context


def add_where(parser: Parser) -> None:
    """Add the option that narrows a list."""
    parser.add_argument(
        "--where",
        metavar="CONDITION",
        action="append",
        default=[],
        help="only what meets this, as 'mass > 20 kg', 'container=tub', 'mass = unknown' (may be repeated)",
    )


def _arguments(parser: Parser) -> None:
    parser.add_argument("table", metavar="TABLE", nargs="?", default="group", help="else the parts you have")
    add_where(parser)
    parser.add_argument("--columns", metavar="A,B", help="what is shown of each, in this order")
    parser.add_argument("--sort", metavar="COLUMN", help="in the order of this column; -COLUMN: falling")
    parser.add_argument("--csv", metavar="PATH", help="write the list to a file for a spreadsheet")


def _list(context: Context, args: Arguments) -> int:
    from shopbins.records.tables import FIRST, column_called, table_called
    from shopbins.records.where import sorted_by
    from shopbins.reports.plain import columns as aligned

    desk = context.desk(readonly=True)
    with context.readable():
        table = table_called(desk.state, args.table)
        known = desk.columns(table)
        wanted = args.columns.split(",") if args.columns is not None else FIRST.get(table, tuple(known))
        chosen = [column_called(known, each) for each in wanted]
        order = None if args.sort is None else column_called(known, args.sort.removeprefix("-"))
    found = desk.search(table, args.where)
    docs = found.docs
    if order is not None:
        docs = sorted_by(docs, order, falling=args.sort.startswith("-"))
    data: list[dict[str, Any]] = [
        {"id": doc.doc_id, **{each.key: each.value(doc) for each in chosen}} for doc in docs
    ]
    if args.csv is not None:
        from shopbins.reports.export import csv_table

        context.write_file(
            args.csv, csv_table([each.key for each in chosen], [list(row.values())[1:] for row in data])
        )
    rows = [[each.name for each in chosen], *([each.shown(doc) for each in chosen] for doc in docs)]
    context.answer(data, aligned(rows) if docs else [])
    if not docs:
        context.problem("nothing is listed there" if not args.where else "nothing meets that")
    context.problem(*found.not_compared)
    return 0 if docs else 1


COMMANDS = (
    Command(
        "list",
        (
            'shopbins list --where "mass > 1 kg" --where container=tub --sort -mass',
            "shopbins list --where mass=unknown --columns code,name,place",
            'shopbins list --where "until < 2999-01-01" --columns name,away,until --csv away.csv',
        ),
        _arguments,
        _list,
        "A condition is a column, one of = != < <= > >= ~ (has it in it), and a value with its unit.\n"
        "What is not known never meets a comparison: it is counted on stderr, '= unknown' finds it.\n"
        "Exit status: 0 where something is listed, else 1.",
    ),
)
