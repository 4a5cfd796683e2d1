"""Commands about what is known of parts: how they came off, work, inspection, sets, connections, care."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.answer import Answer, Part, Verdict, Words
from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import add_options, typed, values
from shopbins.records import care, connection, how, inspection, matched, position, work
from shopbins.records.kinds import ORIGIN
from shopbins.rules.partcautions import lines_before
from shopbins.strip.care import care as care_due

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk


def _how_arguments(parser: Parser) -> None:
    parser.add_argument("part", metavar="PART", help="what came off")
    add_options(parser, how.HOW)
    add_options(parser, how.DAYS)


def _how(context: Context, args: Arguments) -> int:
    from shopbins.strip.how import how_lines
    from shopbins.strip.release import correction_lines

    told, days = values(args, how.HOW), values(args, how.DAYS)
    wanted = [act(args.part, **each) for act, each in ((how.HOW, told), (how.DAYS, days)) if each]
    desk = context.desk(readonly=not wanted)
    key = desk.names.one("position", args.part)
    if wanted:
        desk.do(*wanted)
    known = desk.state.docs("part").get(key, {}).get("how", {})
    lines = [f"{desk.position(key).name}:", *how_lines(known)]
    lines += correction_lines(desk.state, "part", key)
    context.answer({"how": known, "seq": desk.seq}, lines)
    return 0


def _work_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what is worked on")
    parser.add_argument("--list", metavar="A,B,C", help="its short list of work, in order")
    parser.add_argument("--as", metavar="KIND", dest="kind", help="a short list to begin with: see below")
    parser.add_argument(
        "--done", metavar="POINT", action="append", help="this point is done (may be repeated)"
    )
    parser.add_argument(
        "--again", metavar="POINT", action="append", help="this point is to do again (may be repeated)"
    )
    parser.add_argument(
        "--reason", metavar="WHY", default="", help="why an open point is dropped; it is kept"
    )


def _work(context: Context, args: Arguments) -> int:
    from shopbins.desk import BadInput
    from shopbins.strip.waits import open_work
    from shopbins.strip.work import LISTS, inspections

    listed = [] if args.list is None else work.WORK.read(args.list, date.today())["points"]
    if args.kind is not None and args.kind not in LISTS:
        raise BadInput(f"--as '{args.kind}' is no short list (one of: {', '.join(LISTS)})")
    changing = any(getattr(args, name) is not None for name in ("list", "kind", "done", "again"))
    desk = context.desk(readonly=not changing)
    group = desk.names.group(args.group)
    context.before(lines_before(group, desk.shop))
    points = [*LISTS.get(args.kind or "", ()), *listed]
    if points and not args.reason.strip() and (gone := work.dropped(group, points)):
        raise UsageError(f"shopbins work: {work.drop_said(group, gone)} (--reason WHY)")
    wanted = [work.LIST(group.id, points=points, reason=args.reason)] if points else []
    wanted += [work.DONE(group.id, what=point, on=desk.on) for point in args.done or ()]
    wanted += [work.AGAIN(group.id, what=point) for point in args.again or ()]
    if wanted:
        desk.do(*wanted)
    group = desk.state.group(group.id)
    measured = [each.told for each in inspections(desk.state, group)]
    left = open_work(group)
    lines = [f"{group.code}  {group.shown}"]
    lines += [f"   done {each.done}: {each.what}" for each in group.work if each.done]
    lines += [f"   to do: {each}" for each in left]
    lines += [f"   measured: {each}" for each in measured]
    done = {each.what: each.done for each in group.work if each.done}
    context.answer(
        {"code": group.code, "to_do": left, "done": done, "measured": measured, "seq": desk.seq}, lines
    )
    return 0


def _inspect_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what is inspected")
    for name, metavar in (("what", "WHAT"), ("measured", "VALUE")):
        parser.add_argument(name, metavar=metavar, help=inspection.INSPECTION.field(name).says)
    add_options(parser, inspection.INSPECT)
    parser.add_argument("--is", metavar="THREAD", dest="min", help="the thread it must have")
    parser.add_argument(
        "--reason", metavar="WHY", default="", help="why it is recorded for a day (--day) before a later act"
    )


def _inspect(context: Context, args: Arguments) -> int:
    from shopbins.records.measured import bad_pieces
    from shopbins.strip.book import beside
    from shopbins.strip.release import VERIFY, rejected, release, state_said
    from shopbins.strip.work import judge

    desk = context.desk()
    group = desk.names.group(args.group)
    given = values(args, inspection.INSPECT)
    event = desk.do(inspection.INSPECT(group.id, what=args.what, measured=args.measured, **given))
    doc = next(doc for subject, doc in event.after.items() if subject.startswith("inspection:")) or {}
    found = judge(args.measured, doc.get("low", ""), doc.get("high", ""))
    let = release(desk.state, group.id, desk.today)
    lines = [f"{group.code}  {group.shown}, {args.what}: {found.text}", f"   now {state_said(let.state)}"]
    if group.qty > 1:
        one = found.verdict == "beyond" or f"{VERIFY}{args.what.lower()}"[:80] in let.asked
        lines.append(f"   {'is of one of' if one else 'counts for all'} {group.qty} pieces")
    if found.verdict == "within" and f"{VERIFY}{args.what.lower()}"[:80] in let.asked:
        lines.append("   one value more is wanted: of another piece, or by another person")
    for each in beside(desk.state, group.id):
        if why := rejected(desk.state, each, desk.today):
            other = desk.state.group(each)
            lines.append(f"   {other.code}  {other.shown}, of the same place, is {why}")
    data = {
        "code": group.code, "verdict": found.verdict, "margin_mm": found.margin_mm, "text": found.text,
        "release": state_said(let.state), "why": let.why, "pieces": group.qty, "seq": desk.seq,
    }  # fmt: skip
    context.answer(data, lines)
    if let.nobody:
        some = bad_pieces(desk.state, group)[0] < group.qty
        first = "split off what is beyond (split --beyond)" if some else "measure again"
        context.problem(
            f"{group.shown} is {let.why}: {first}, rework it (set --disposition repair or remachine), "
            "renew it, or concede it"
        )
    return _inspected(found.verdict).status


def _inspected(verdict: str) -> Answer:
    """Return an inspection as every question is answered."""
    judged = {"within": Verdict.YES, "beyond": Verdict.NO}.get(verdict, Verdict.OPEN)
    return Answer(Words("within limits", "beyond its limit"), (Part(judged, verdict),))


def _match_arguments(parser: Parser) -> None:
    parser.add_argument("name", metavar="NAME", help="what the set is: 'main bearing 3 and its cap'")
    parser.add_argument("groups", metavar="CODE|NAME", nargs="+", help="what belongs together")
    add_options(parser, matched.MATCH)


def _match(context: Context, args: Arguments) -> int:
    desk = context.desk()
    groups = [desk.names.group(each) for each in args.groups]
    seats = values(args, matched.MATCH)
    seq = desk.do(matched.MATCH(name=args.name, groups=[each.id for each in groups], **seats)).seq
    context.answer({"seq": seq}, [f"{args.name}: {', '.join(each.shown for each in groups)} stay together"])
    return 0


def _connect_arguments(parser: Parser) -> None:
    parser.add_argument(
        "mark", metavar="MARK|KIND", nargs="?", help="wire, hose or pipe for a new one; H3 for one known"
    )
    parser.add_argument("ends", metavar="END", nargs="*", help="where end A and end B go")
    add_options(parser, connection.CONNECT)
    parser.add_argument(
        "--joined", metavar="END", nargs="?", const="", help="end A, B or both is joined again"
    )
    parser.add_argument("--apart", metavar="END", nargs="?", const="", help="it is apart after all")


def _connect(context: Context, args: Arguments) -> int:
    from shopbins.strip.connections import KINDS

    if args.mark is None:
        return _connections(context)
    desk = context.desk()
    if args.mark.lower() in KINDS:
        if len(args.ends) != 2 or args.joined is not None or args.apart is not None:
            raise UsageError("shopbins connect: give where both ends go (see shopbins connect --help)")
        end_a, end_b = args.ends
        said = values(args, connection.CONNECT)
        wanted = connection.CONNECT(kind=args.mark.lower(), a=end_a, b=end_b, **said)
    else:
        if args.ends or (args.joined is None) == (args.apart is None):
            raise UsageError(
                "shopbins connect: give --joined or --apart with a mark (see shopbins connect --help)"
            )
        end = (args.joined if args.joined is not None else args.apart) or args.mark[-1:]
        ends = {"a": "a", "b": "b", "both": "ab"}.get(end.strip().lower())
        if ends is None:
            raise UsageError("shopbins connect: which end, A, B or both? As --joined A")
        day = desk.on if args.joined is not None else None
        wanted = connection.SET(args.mark, ends=dict.fromkeys(ends, day))
    return _told_connection(context, desk.do(wanted).subjects[0].partition(":")[2])


def _told_connection(context: Context, key: str) -> int:
    from shopbins.lists import show
    from shopbins.lists.connections import CONNECTIONS
    from shopbins.strip.connections import connections, flags
    from shopbins.strip.release import correction_lines

    desk = context.desk(readonly=True)
    found = next(each for each in connections(desk.state) if each.key == key)
    lines = show.text(CONNECTIONS, [found])
    lines += [f"   flag {flag.mark}: {flag.here} (other end: {flag.there})" for flag in flags(found)]
    lines += [f"   {each}" for each in correction_lines(desk.state, "connection", key)]
    context.answer({**show.json(CONNECTIONS, [found])[0], "seq": desk.seq}, lines)
    return 0


def _connections(context: Context) -> int:
    from shopbins.lists.connections import CONNECTIONS
    from shopbins.strip.connections import connections

    return context.listed(CONNECTIONS, connections(context.desk(readonly=True).state))


def _care_arguments(parser: Parser) -> None:
    parser.add_argument(
        "name", metavar="NAME", nargs="?", help="what is to be done; without it all is listed"
    )
    add_options(parser, care.CARE)
    add_options(parser, care.HOURS)


def _care(context: Context, args: Arguments) -> int:
    fields, hours = values(args, care.CARE), values(args, care.HOURS)
    if "hours" in hours and args.machine is None:
        raise UsageError("shopbins care: --hours needs --machine")
    if args.name is None and "hours" not in hours:
        if fields:
            raise UsageError("shopbins care: NAME is missing (see shopbins care --help)")
        return _care_list(context)
    desk = context.desk()
    wanted = [care.HOURS(**hours, on=desk.on)] if "hours" in hours else []
    if args.name is not None:
        same = [key for key, doc in desk.state.docs("care").items() if _same(doc["name"], args.name)]
        wanted.append(care.SET(same[0], **fields) if same else care.ADD(name=args.name, **fields))
    desk.do(*wanted)
    context.answer(
        {"seq": desk.seq},
        [each.sentence for each in care_due(desk.state, date.today()) if args.name in (None, each.name)],
    )
    return 0


def _same(name: str, other: str) -> bool:
    return name.casefold() == other.strip().casefold()


def _care_list(context: Context) -> int:
    from shopbins.lists.care import CARE

    return context.listed(CARE, care_due(context.desk(readonly=True).state, date.today()))


def _assembly_arguments(parser: Parser) -> None:
    parser.add_argument(
        "path", metavar='"M > A"', nargs="?", help="an assembly; without it the tree is shown"
    )
    parser.add_argument("--to", metavar='"M > B"', help="rename it or move it there, with everything in it")


def _assembly(context: Context, args: Arguments) -> int:
    if args.path is None:
        from shopbins.reports.strip import tree_json, tree_text

        if args.to is not None:
            raise UsageError("shopbins assembly: say which assembly goes there")
        desk = context.desk(readonly=True)
        context.answer(tree_json(desk.state), tree_text(desk.state))
        return 0
    desk = context.desk()
    path = typed(ORIGIN, args.path, "where")
    to = None if args.to is None else typed(ORIGIN, args.to, "where")
    wanted = position.ADD_ASSEMBLY(path=path) if to is None else position.RENAME(path=path, to=to)
    seq = desk.do(wanted).seq
    context.answer({"seq": seq}, [" > ".join(path if to is None else to)])
    return 0


def _import_arguments(parser: Parser) -> None:
    parser.add_argument(
        "file", metavar="FILE", help="a parts list, or what export wrote: CSV, or XLSX with the extra 'xlsx'"
    )
    parser.add_argument(
        "--machine", metavar="KEY", default="", help="the machine it is of, where no column says so"
    )
    parser.add_argument(
        "--column",
        metavar="WHAT=HEADING",
        action="append",
        help="which column is what (may be repeated; remembered)",
    )
    parser.add_argument("--skip-bad", action="store_true", help="import the rest where rows cannot be read")
    parser.add_argument(
        "--reason", metavar="WHY", default="", help="why another number of what came off is right; it is kept"
    )
    parser.add_argument("--dry-run", action="store_true", help="only say what it would do")


def _import(context: Context, args: Arguments) -> int:
    from pathlib import Path

    from shopbins.reports.amended import is_export
    from shopbins.strip.importing import header_of, news, read_list

    desk = context.desk(readonly=args.dry_run)
    with context.about(args.file):
        data = read_list(args.file)
        if not args.column and is_export(header_of(data)):
            return _amend(context, args, desk, data)
        columns = _columns(data, args.column)
        sheet = desk.read_parts(data, columns, args.machine)
    context.problem(*(f"{args.file}:{line}: {text}" for line, text in sheet.problems))
    found = news(desk.state, sheet)
    said = f"{len(found.new)} new, {len(found.changed)} changed, {found.same} known already"
    if sheet.problems and not args.skip_bad:
        context.problem(
            f"nothing was imported: {len(sheet.problems)} rows cannot be read (--skip-bad imports the rest)"
        )
        return 65
    changed = bool(found.new or found.changed)
    if changed and not args.dry_run:
        desk.import_parts(sheet, Path(args.file).name, skip_bad=args.skip_bad, reason=args.reason)
    taken = {name: sheet.header[column] for name, column in sheet.columns.items()}
    data_out = {
        "new": len(found.new), "changed": len(found.changed), "same": found.same,
        "bad": [{"line": line, "problem": text} for line, text in sheet.problems],
        "columns": taken, "seq": desk.seq,
    }  # fmt: skip
    context.answer(
        data_out, [f"{args.file}: {said}", f"   columns: {', '.join(f'{k} = {v}' for k, v in taken.items())}"]
    )
    return 0


def _amend(context: Context, args: Arguments, desk: Desk, data: bytes) -> int:
    """Take in what an export says anew of the parts it has."""
    from shopbins.records.group import GROUP
    from shopbins.reports.amended import TAKEN

    def said(name: str, value: Any) -> str:
        if value is None:
            return f"{name} unknown"
        return f"note '{value}'" if name == "note" else GROUP.field(name).kind.show(value)

    found = desk.read_amended(data)
    context.problem(*(f"{args.file}:{line}: {text}" for line, text in found.problems))
    for name, left in found.left.items():
        more = f" and {len(left) - 5} more" if len(left) > 5 else ""
        where = ", ".join(map(str, left[:5]))
        context.problem(f"{args.file}: {name} is another on line {where}{more}: left as recorded")
    if found.problems and not args.skip_bad:
        context.problem(
            f"nothing was changed: {len(found.problems)} rows cannot be taken (--skip-bad takes the rest)"
        )
        return 65
    if found.changes and not args.dry_run:
        desk.amend(found)
    data_out = {
        "changed": [
            {"line": each.line, "code": each.group.code, "fields": sorted(each.fields)}
            for each in found.changes
        ],
        "same": found.same,
        "bad": [{"line": line, "problem": text} for line, text in found.problems],
        "left": {name: list(lines) for name, lines in found.left.items()},
        "taken": list(TAKEN), "seq": desk.seq,
    }  # fmt: skip
    lines = [
        f"{each.group.code}  {each.group.name}: {', '.join(said(*pair) for pair in each.fields.items())}"
        for each in found.changes
    ]
    context.answer(
        data_out,
        [
            f"{args.file}: what export wrote: {len(found.changes)} parts changed, {found.same} the same",
            *(f"   {line}" for line in lines),
            f"   columns taken: {', '.join(TAKEN)}",
        ],
    )
    return 0


def _columns(data: bytes, given: list[str] | None) -> dict[str, int] | None:
    """Return what --column says, over what is guessed."""
    from shopbins.desk import BadInput
    from shopbins.strip.importing import guess, header_of

    if not given:
        return None
    header = header_of(data)
    known = [each.casefold() for each in header]
    chosen = guess(header)
    for text in given:
        what, equals, heading = text.partition("=")
        if not equals or heading.strip().casefold() not in known:
            raise BadInput(f"--column '{text}': the heading has {', '.join(header)[:200]}")
        column = known.index(heading.strip().casefold())
        chosen = {name: n for name, n in chosen.items() if n != column}
        chosen[what.strip().lower()] = column
    return chosen


COMMANDS = (
    Command(
        "how",
        (
            'shopbins how "crankcase door nuts" --left-hand --breakaway 220 --tools "46 mm ring"',
            'shopbins how "main bearing caps" --shim 2,0.05mm,front --way "arrow to the flywheel"',
            'shopbins how "timing gear cover" --screw "1,45mm,M8" --screw "2,60mm,M8"',
        ),
        _how_arguments,
        _how,
    ),
    Command(
        "work",
        (
            'shopbins work "oil pump" --list "clean, inspect, new seals, test"',
            'shopbins work "oil pump" --done clean',
            'shopbins work "engine block" --as casting',
        ),
        _work_arguments,
        _work,
        "Short lists to begin with: casting, bearing, valve, fasteners, electrical, pump.",
    ),
    Command(
        "inspect",
        (
            'shopbins inspect crankshaft "journal 2" 59.94mm --min 59.96mm',
            'shopbins inspect "liner 1" "bore, top" 1.5thou --max "0.002 in"',
            'shopbins inspect "sump bolts" thread "3/8-16 UNC" --is "3/8-16 UNC"',
        ),
        _inspect_arguments,
        _inspect,
        "Exit status: 0 within the limit, 1 beyond it or not checked. The limit itself is within.\n"
        "It says what was checked against what; whoever is answerable for the machine decides.",
    ),
    Command(
        "match",
        ('shopbins match "bearing caps" ZRW02101 "engine block" --seat cap --seat block',),
        _match_arguments,
        _match,
    ),
    Command(
        "connect",
        (
            'shopbins connect hose "lift pump outlet" "filter inlet" --name "fuel feed"',
            "shopbins connect H1 --joined A",
            "shopbins connect",
        ),
        _connect_arguments,
        _connect,
    ),
    Command(
        "care",
        (
            'shopbins care "raw water hoses" --machine engine --every 1825d --done 2026-10-01',
            "shopbins care --machine engine --hours 4210",
            'shopbins care "rocker oil" --every 365d --gone "SAE 20" --instead "SAE 30"',
            "shopbins care",
        ),
        _care_arguments,
        _care,
    ),
    Command(
        "assembly",
        (
            "shopbins assembly",
            'shopbins assembly "engine > fuel > return"',
            'shopbins assembly "engine > fuel" --to "engine > fuel system"',
        ),
        _assembly_arguments,
        _assembly,
    ),
    Command(
        "import",
        (
            "shopbins import parts.csv --machine engine",
            'shopbins import parts.csv --machine engine --column "name=Benennung" --column "qty=Stk"',
            "shopbins import parts.csv --machine engine --skip-bad",
            "shopbins import exported.csv --dry-run",
        ),
        _import_arguments,
        _import,
        "Rows that cannot be read are listed with their line; then nothing is imported, unless\n"
        "--skip-bad says to leave them out. Importing a list again doubles nothing.\n"
        "What export wrote as CSV is known by its codes: masses, sizes, dispositions and notes changed\n"
        "in a spreadsheet are taken, as one event that undo takes back. An empty cell leaves what is\n"
        "known, 'unknown' takes a mass or size back; nothing new is made.",
    ),
)
