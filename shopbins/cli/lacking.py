"""Commands about what is lacking, what is missing, and the count."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import add_options, typed, values
from shopbins.records import shortage
from shopbins.records.kinds import ORIGIN
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.cli.context import Context


def _shortages_arguments(parser: Parser) -> None:
    parser.add_argument("--all", action="store_true", help="what is here or struck out too")
    parser.add_argument("--csv", metavar="PATH", help="write the list to a file for a spreadsheet")


def _shortages(context: Context, args: Arguments) -> int:
    from shopbins.lists.shortages import SHORTAGES
    from shopbins.strip.count import unasked
    from shopbins.strip.shortages import shortages

    desk = context.desk(readonly=True)
    status = context.listed(SHORTAGES, shortages(desk.state, date.today(), all_of_them=args.all), args.csv)
    missing = unasked(desk.state, date.today())
    for each in missing:
        them = "it" if each.pieces == 1 else "them"
        context.problem(
            f"{each.name}: {each.pieces} missing, and no shortage is for {them} (shopbins shortage add)"
        )
    return 0 if missing else status


def _shortage_arguments(parser: Parser) -> None:
    parser.add_argument(
        "doing", choices=("add", "set", "here"), help="add one, set what is known, or it is here"
    )
    parser.add_argument("name", metavar="NAME", help="what is lacking")
    parser.add_argument("place", metavar="PLACE", nargs="?", help="with 'here': where it is put down")
    add_options(parser, shortage.SHORTAGE)
    parser.add_argument("--container", metavar="KIND", default="bare", help="with 'here': what it is kept in")
    parser.add_argument(
        "--new", metavar='"M > A"', help="with 'here': it is for a place there that had none before"
    )


def _shortage(context: Context, args: Arguments) -> int:
    if args.place is not None and args.doing != "here":
        raise UsageError("shopbins shortage: a PLACE goes with 'here' only (see shopbins shortage --help)")
    fields = values(args, shortage.SHORTAGE)
    if args.doing == "here":
        return _here(context, args, fields)
    if args.doing == "set" and not fields:
        raise UsageError("shopbins shortage set: nothing to set was given")
    desk = context.desk()
    if args.doing == "add":
        event = desk.do(shortage.ADD(name=args.name, **fields))
    else:
        event = desk.do(shortage.SET(args.name, **fields))
    key = event.subjects[0].partition(":")[2]
    context.answer({"id": key, "seq": event.seq}, [shortage.sentence(desk.state, key, date.today())])
    return 0


def _here(context: Context, args: Arguments, fields: dict[str, Any]) -> int:
    if fields.keys() - {"qty"}:
        raise UsageError("shopbins shortage here: only PLACE, --qty, --container and --new go with it")
    desk = context.desk()
    place = None if args.place is None else desk.names.place(args.place)
    key = desk.names.one("shortage", args.name)
    wanted = shortage.ARRIVE(
        key, on=desk.on, container=args.container, qty=fields.get("qty"),
        new=() if args.new is None else typed(ORIGIN, args.new, "where"),
    )  # fmt: skip
    if place is not None and (args.new is not None or shortage.takes_a_place(desk.state, key)):
        laid = desk.do_and_put(wanted, *place)
        if laid.stops:
            context.problem(*(f"not put down: {stop.text}" for stop in laid.stops))
            context.problem("nothing was recorded (without PLACE it is here, and not put down yet)")
            return 1
        group = None if laid.group is None else desk.state.group(laid.group)
    else:
        table, _, came = desk.do(wanted).subjects[0].partition(":")
        group = desk.state.group(came) if table == "group" else None
    if group is not None and group.cautions:
        context.problem(f"as on the old one: {', '.join(group.cautions)} - does this still hold?")
    lines = [f"{desk.state.docs('shortage')[key]['name']}: here"]
    if group is not None:
        lines = [f"{group.code}  {introduce(desk.state, group.id)}"]
    elif place is not None:
        context.problem(
            "it is for no place on the machine, so it is not kept as a part (take and put do that)"
        )
    context.answer({"id": key, "code": None if group is None else group.code, "seq": desk.seq}, lines)
    return 0


def _renew_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what is not to go back")
    parser.add_argument(
        "name", metavar="NEW", nargs="?", default="", help="what takes its place, if called otherwise"
    )
    add_options(parser, shortage.SHORTAGE, "spec", "days", "ask_of", "qty")


def _renew(context: Context, args: Arguments) -> int:
    desk = context.desk()
    group = desk.names.group(args.group)
    wanted = shortage.RENEW(group.id, name=args.name, **values(args, shortage.SHORTAGE))
    context.problem(*desk.set_warnings([group.id], "gone"))
    seq = desk.do(wanted).seq
    context.answer(
        {"code": group.code, "seq": seq}, [f"{group.code}  {group.shown}: to be renewed, shortage added"]
    )
    return 0


def _count_arguments(parser: Parser) -> None:
    parser.add_argument("--machine", metavar="KEY", help="only of this machine")
    parser.add_argument("--all", action="store_true", help="every part still to go back by its name")
    parser.add_argument("--csv", metavar="PATH", help="write every line to a file for a spreadsheet")


def _count(context: Context, args: Arguments) -> int:
    from shopbins.lists.count import count_csv, count_json, count_text
    from shopbins.strip.count import count

    desk = context.desk(readonly=True)
    machine = None if args.machine is None else desk.names.one("machine", args.machine)
    found = count(desk.state, machine, date.today(), desk.shop.machines)
    if args.csv is not None:
        context.write_file(args.csv, count_csv(desk.state, found))
    if context.json:
        context.data(count_json(desk.state, found))
    else:
        context.lines(count_text(desk.state, found, all_of_them=args.all))
    return found.answer.status


def _missing_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what cannot be found")


def _missing(context: Context, args: Arguments) -> int:
    from shopbins.desk.names import lost_said
    from shopbins.ledger.lots import lost_ones
    from shopbins.reports.strip import missing_json, missing_text

    desk = context.desk(readonly=True)
    lost = lost_ones(desk.state.docs("posting"), args.group)
    if lost:
        doc = desk.state.docs("posting")[lost[0]]
        key, name = doc.get("of", doc["group"]), doc.get("name", args.group)
    else:
        group = desk.names.group(args.group)
        key, name = group.id, group.shown
    found = desk.last_seen(key)
    context.answer(
        missing_json(desk.state, found),
        [*lost_said(desk.state, args.group), *missing_text(desk.state, name, found)],
    )
    if lost:
        return 0
    return 0 if found.event is not None else 1


COMMANDS = (
    Command(
        "shortages",
        ("shopbins shortages", "shopbins shortages --csv ask.csv"),
        _shortages_arguments,
        _shortages,
        "Exit status: 0 where something is lacking, else 1; what the count misses and nobody asked for\n"
        "is named too. Dates come from milestones with a date\n"
        "(shopbins milestone) and from how long things take, as far as that is known.",
    ),
    Command(
        "shortage",
        (
            'shopbins shortage add "head gasket 2" --for "cylinder head 2" --days 10-20',
            'shopbins shortage set "head gasket 2" --asked 2026-11-25 --promised 2026-12-10',
            'shopbins shortage here "head gasket 2" "rack a/3"',
        ),
        _shortage_arguments,
        _shortage,
    ),
    Command(
        "renew",
        (
            'shopbins renew "flywheel bolts" --days 3-5',
            'shopbins renew ZRW01141 "V-belts, new"',
        ),
        _renew_arguments,
        _renew,
    ),
    Command(
        "count",
        ("shopbins count", "shopbins count --all", "shopbins count --machine engine --json"),
        _count_arguments,
        _count,
        "Exit status: 0 where every list is empty and something is recorded, else 1. The rest is told.",
    ),
    Command(
        "missing",
        ('shopbins missing "oil pump"',),
        _missing_arguments,
        _missing,
    ),
)
