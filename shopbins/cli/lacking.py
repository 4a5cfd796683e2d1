"""Commands about what is lacking, what is missing, and the count."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopbins.cli.command import Arguments, Command, Parser, UsageError
from shopbins.cli.values import days, whole

if TYPE_CHECKING:
    from shopbins.cli.context import Context


def _shortages_arguments(parser: Parser) -> None:
    parser.add_argument("--all", action="store_true", help="what is here or struck out too")
    parser.add_argument("--csv", metavar="PATH", help="write the list to a file for a spreadsheet")


def _shortages(context: Context, args: Arguments) -> int:
    from shopbins.reports.strip import shortage_json, shortages_csv, shortages_text

    desk = context.desk(readonly=True)
    found = desk.shortages(all_of_them=args.all)
    if args.csv is not None:
        context.write_file(args.csv, shortages_csv(found))
    context.answer([shortage_json(each) for each in found], shortages_text(found))
    if not found:
        context.problem("nothing is lacking")
    return 0 if found else 1


def _shortage_arguments(parser: Parser) -> None:
    parser.add_argument(
        "doing", choices=("add", "set", "here"), help="add one, set what is known, or it is here"
    )
    parser.add_argument("name", metavar="NAME", help="what is lacking")
    parser.add_argument("place", metavar="PLACE", nargs="?", help="with 'here': where it is laid down")
    parser.add_argument(
        "--for", metavar="PART", dest="parts", action="append", help="a part that waits for it"
    )
    parser.add_argument("--milestone", metavar="NAME", help="the milestone that waits for it")
    parser.add_argument("--qty", metavar="N", help="how many")
    parser.add_argument("--unit", metavar="TEXT", help="of what: m, litres, sheets")
    parser.add_argument("--spec", metavar="TEXT", help="what exactly: size, material, part number")
    parser.add_argument("--of", metavar="WHOM", dest="ask_of", help="whom it is asked of")
    parser.add_argument("--price", metavar="TEXT", help="what it costs")
    parser.add_argument("--days", metavar="N[-M]", help="how long it takes to come, as 10 or 10-20")
    parser.add_argument("--asked", metavar="DATE", help="asked for on this day")
    parser.add_argument("--promised", metavar="DATE", help="promised for this day")
    parser.add_argument("--note", metavar="TEXT", help="anything else worth knowing")
    parser.add_argument("--container", metavar="KIND", default="bare", help="with 'here': what it is kept in")


def _shortage_fields(args: Arguments) -> dict[str, Any]:
    names = ("unit", "spec", "ask_of", "price", "asked", "promised", "note")
    fields: dict[str, Any] = {name: getattr(args, name) for name in names if getattr(args, name) is not None}
    if args.qty is not None:
        fields["qty"] = whole(args.qty, "--qty")
    if args.days is not None:
        fields["days"] = days(args.days, "--days")
    return fields


def _shortage(context: Context, args: Arguments) -> int:
    if args.place is not None and args.doing != "here":
        raise UsageError("shopbins shortage: a PLACE goes with 'here' only (see shopbins shortage --help)")
    fields = _shortage_fields(args)
    desk = context.desk()
    if args.parts:
        fields["positions"] = [each for text in args.parts for each in desk.resolve_positions(text)]
    if args.milestone is not None:
        fields["milestone"] = args.milestone
    if args.doing == "here":
        return _here(context, args, fields)
    if args.doing == "add":
        key = desk.add_shortage(args.name, **fields)
    else:
        if not fields:
            raise UsageError("shopbins shortage set: nothing to set was given")
        key = desk.resolve_shortage(args.name)
        desk.set_shortage(key, **fields)
    told = next(each for each in desk.shortages(all_of_them=True) if each.key == key)
    context.answer({"id": key, "seq": desk.seq}, [f"{told.name}: {told.sentence}"])
    return 0


def _here(context: Context, args: Arguments, fields: dict[str, Any]) -> int:
    if fields:
        raise UsageError("shopbins shortage here: only PLACE and --container go with it")
    desk = context.desk()
    place = None if args.place is None else desk.resolve_place(args.place)
    key = desk.resolve_shortage(args.name)
    group = desk.arrive(key, container=args.container)
    lines = [f"{desk.state.docs('shortage')[key]['name']}: here"]
    if group is not None and place is not None:
        laid = desk.put(group.id, *place)
        for stop in laid.stops:
            context.problem(f"not laid down: {stop.text}")
    if group is not None:
        lines = [f"{group.code}  {desk.introduce(group.id)}"]
    elif place is not None:
        context.problem(
            "no place on the machine lacks it, so it is not kept as a group (take and put do that)"
        )
    context.answer({"id": key, "code": None if group is None else group.code, "seq": desk.seq}, lines)
    return 0


def _renew_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what is not to go back")
    parser.add_argument(
        "name", metavar="NEW", nargs="?", default="", help="what takes its place, if called otherwise"
    )
    parser.add_argument("--spec", metavar="TEXT", help="what exactly: size, material, part number")
    parser.add_argument("--days", metavar="N[-M]", help="how long it takes to come, as 10 or 10-20")
    parser.add_argument("--of", metavar="WHOM", dest="ask_of", help="whom it is to be asked of")


def _renew(context: Context, args: Arguments) -> int:
    fields: dict[str, Any] = {
        name: getattr(args, name) for name in ("spec", "ask_of") if getattr(args, name) is not None
    }
    if args.days is not None:
        fields["days"] = days(args.days, "--days")
    desk = context.desk()
    group = desk.resolve_group(args.group)
    context.problem(*desk.set_warnings([group.id], "gone"))
    seq = desk.renew(group.id, args.name, **fields)
    context.answer(
        {"code": group.code, "seq": seq}, [f"{group.code}  {group.shown}: to be renewed, shortage added"]
    )
    return 0


def _count_arguments(parser: Parser) -> None:
    parser.add_argument("--machine", metavar="KEY", help="only of this machine")
    parser.add_argument("--csv", metavar="PATH", help="write what is missing and left over for a spreadsheet")


def _count(context: Context, args: Arguments) -> int:
    from shopbins.reports.strip import count_csv, count_json, count_text

    desk = context.desk(readonly=True)
    machine = None if args.machine is None else desk.resolve_machine(args.machine)
    found = desk.count(machine)
    if args.csv is not None:
        context.write_file(args.csv, count_csv(desk.state, found, desk.where_words))
    context.answer(
        count_json(desk.state, found, desk.where_words), count_text(desk.state, found, desk.where_words)
    )
    return 0 if found.is_right else 1


def _missing_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what cannot be found")


def _missing(context: Context, args: Arguments) -> int:
    from shopbins.reports.strip import missing_json, missing_text

    desk = context.desk(readonly=True)
    group = desk.resolve_group(args.group)
    found = desk.last_seen(group.id)
    where = desk.whereabouts_words(found.where)
    context.answer(
        missing_json(desk.state, found, where, desk.whereabouts_words),
        missing_text(desk.state, group, found, where, desk.whereabouts_words),
    )
    return 0 if found.event is not None else 1


COMMANDS = {
    each.name: each
    for each in (
        Command(
            "shortages",
            "list what is still to be bought, made or borrowed, and by when to ask for it",
            ("shopbins shortages", "shopbins shortages --csv ask.csv"),
            _shortages_arguments,
            _shortages,
            "Exit status: 0 where something is lacking, else 1. Dates come from milestones with a date\n"
            "(shopbins milestone) and from how long things take, as far as that is known.",
        ),
        Command(
            "shortage",
            "add something lacking, say more about it, or have it here",
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
            "let a group not go back: a shortage takes its place",
            (
                'shopbins renew "tab washers, big end" --days 3-5',
                'shopbins renew ZRW00413 "head gasket, new"',
            ),
            _renew_arguments,
            _renew,
        ),
        Command(
            "count",
            "count every piece: off, on again, decided about; what is missing and what is left over",
            ("shopbins count", "shopbins count --machine engine --json"),
            _count_arguments,
            _count,
            "Exit status: 0 where nothing is missing and nothing left over, else 1.",
        ),
        Command(
            "missing",
            "say where a group was last seen, by which event, and what was moved from there afterwards",
            ('shopbins missing "oil pump key"',),
            _missing_arguments,
            _missing,
        ),
    )
}
