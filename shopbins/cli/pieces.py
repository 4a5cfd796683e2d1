"""Commands that correct what pieces there are: lost, found, given, swapped, bound, lent; and concessions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import add_options, typed, values
from shopbins.records import care, corrections, inspection, pieces
from shopbins.records.kinds import COUNT, ORIGIN
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.records.record import Wanted


def _done(context: Context, desk: Desk, wanted: Wanted, line: str) -> int:
    seq = desk.do(wanted).seq
    context.answer({"seq": seq}, [line])
    return 0


def _correct_arguments(parser: Parser) -> None:
    parser.add_argument(
        "what",
        metavar="WHAT",
        help="a part, by its code or name; a hose's mark; a matched set, a care, a photograph by its name; "
        "a machine",
    )
    add_options(parser, pieces.CORRECT)
    parser.add_argument("--listed", metavar="N", help="how many its parts list should say")
    add_options(parser, corrections.FIX)
    add_options(parser, care.CARE)
    parser.add_argument(
        "--of", dest="of", metavar="VALUE", help="of which inspected value: 'journal 2', 'len 40 mm'"
    )


def _correct(context: Context, args: Arguments) -> int:
    if not (args.reason or "").strip():
        raise UsageError("shopbins correct: say why (--reason WHY)")
    fields = {**values(args, corrections.FIX), **values(args, care.CARE)}
    del fields["reason"]
    given = [args.qty is not None, args.listed is not None, bool(fields)]
    if sum(given) != 1:
        raise UsageError("shopbins correct: say what is to be corrected (see shopbins correct --help)")
    desk = context.desk()
    if args.listed is not None:
        wanted = pieces.CORRECT_LIST(args.what, qty=typed(COUNT, args.listed, "--listed"), reason=args.reason)
    elif args.qty is not None:
        wanted = pieces.CORRECT(args.what, **values(args, pieces.CORRECT))
    else:
        named = {each.name: each for each in (*corrections.FIX.fields, *care.CARE.fields)}
        fields = {name: named[name].read(value, desk.names, desk.today) for name, value in fields.items()}
        subject = _meant(desk, args.what, fields, args.of)
        wanted = corrections.FIX(subject, fields=fields, reason=args.reason)
    return _done(context, desk, wanted, f"{args.what}: corrected, {args.reason.strip()}")


def _meant(desk: Desk, what: str, fields: Mapping[str, Any], of: str | None) -> str:
    """Return the subject a correction is about, by the fields it gives."""
    from shopbins.desk import BadInput, NotDone

    table = corrections.table_of(fields)
    if not table:
        raise BadInput(f"{', '.join(fields)} are not of one thing: correct one after the other")
    if table == "inspection":
        return f"inspection:{_inspection(desk, what, of)}"
    thing = {"part": "position", "hours": "machine"}.get(table, table)
    try:
        return f"{table}:{desk.names.called(thing, what)[0]}"
    except NotDone as problem:
        if table != "care":
            raise
        options = ", ".join(f"{care.CARE.field(name).option} is" for name in fields)
        raise NotDone(f"{options} of recurring care: {problem} (of a part: shopbins set)") from None


def _inspection(desk: Desk, what: str, of: str | None) -> str:
    """Return the inspection of a part that is corrected, of the characteristic or value named ('len 40 mm').

    Of several pieces with values that differ the value is named: which of them was meant nobody could say.
    """
    from shopbins.desk import BadInput, NotDone
    from shopbins.strip.release import Tests, characteristics

    group = desk.names.group(what)
    found = [(k, d) for k, d in desk.state.follower(Tests).of("inspection", group.id)]
    if of is not None:
        wanted = " ".join(of.casefold().split())
        named = [(k, d) for k, d in found if d["what"].casefold() == wanted]
        found = named or [(k, d) for k, d in found if _close(f"{d['what']} {d['measured']}") == _close(of)]
    if not found:
        raise NotDone(f"{group.shown} has no inspection{f' of {of}' if of else ''}")
    if len({d["what"].casefold() for _, d in found}) > 1:
        raise BadInput(f"say of which value: --of one of {', '.join(sorted({d['what'] for _, d in found}))}")
    of_each = desk.state.follower(Tests).counting(group.id).values()
    there = {key for those in of_each for key, _ in those}
    said = list(dict.fromkeys(f"{d['what']} {d['measured']}" for k, d in found if k in there))
    if len({_close(each) for each in said}) > 1:
        raise BadInput(f"say which value: --of one of {', '.join(repr(each) for each in said)}")
    counts = {each.key for each in characteristics(desk.state, group.id, desk.today)}
    return next((k for k, _ in reversed(found) if k in counts), found[-1][0])


def _close(text: str) -> str:
    return "".join(text.casefold().split())


def _concede_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the rejected part")
    parser.add_argument("reason", metavar="REASON", help=inspection.CONCESSION.field("reason").says)
    add_options(parser, inspection.CONCEDE)
    parser.add_argument("--back", action="store_true", help="take its concessions back")


def _concede(context: Context, args: Arguments) -> int:
    from shopbins.strip.release import release, terms

    desk = context.desk()
    group = desk.names.group(args.group)
    if args.back:
        wanted = inspection.WITHDRAW(group.id, reason=args.reason)
        return _done(context, desk, wanted, f"{group.code}  {group.shown}: concession taken back")
    wanted = inspection.CONCEDE(group.id, reason=args.reason, **values(args, inspection.CONCEDE))
    seq = desk.do(wanted).seq
    let = release(desk.state, group.id, desk.today)
    given = dict.fromkeys(terms(each.concession) for each in let.conceded if each.concession)
    said = (f"{group.code}  {group.shown}: conceded by {desk.by}", *given)
    line = "; ".join(filter(None, (", ".join(said), let.still)))
    context.answer({"seq": seq, "release": let.state, "why": let.why}, [line])
    return 0


def _lost_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what is not to be found")
    add_options(parser, pieces.LOSE)


def _lost(context: Context, args: Arguments) -> int:
    desk = context.desk()
    group = desk.names.group(args.group)
    wanted = pieces.LOSE(group.id, **values(args, pieces.LOSE))
    return _done(context, desk, wanted, f"{group.code}  {group.shown}: lost")


def _found_arguments(parser: Parser) -> None:
    parser.add_argument("what", metavar="CODE|NAME", help="what was lost and is there again")
    add_options(parser, pieces.FIND)


def _found(context: Context, args: Arguments) -> int:
    desk = context.desk()
    event = desk.do(pieces.FIND(what=args.what, **values(args, pieces.FIND)))
    ids = [each.partition(":")[2] for each in event.after if each.startswith("group:")]
    groups = [desk.state.group(each) for each in ids]
    context.answer(
        {"seq": event.seq, "code": groups[0].code, "codes": [each.code for each in groups]},
        [f"{each.code}  {introduce(desk.state, each.id)}" for each in groups],
    )
    return 0


def _give_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what goes to another machine")
    parser.add_argument(
        "to", metavar="PLACE", help='where on that machine: "machine > assembly", or a part that lacks it'
    )
    add_options(parser, pieces.GIVE)


def _give(context: Context, args: Arguments) -> int:
    if not (args.reason or "").strip():
        raise UsageError("shopbins give: say why (--reason WHY)")
    desk = context.desk()
    group = desk.names.group(args.group)
    to: Any = place_on_machine(desk, args.to)
    wanted = pieces.GIVE(group.id, to=to, **values(args, pieces.GIVE))
    return _done(context, desk, wanted, f"{group.code}  {group.shown}: given to {args.to}")


def place_on_machine(desk: Desk, text: str) -> tuple[str, ...] | str:
    """Return a listed part's position where that is named, else an origin."""
    from shopbins.desk.problems import NotDone

    known = {each[0] for each in desk.origins()} | set(desk.shop.machines) | set(desk.state.machines())
    if ">" not in text and text.strip() not in known:
        try:
            return desk.names.one("position", text)
        except NotDone:
            pass
    elif ">" in text:
        path = typed(ORIGIN, text, "where")
        from shopbins.strip.tree import listed

        for key, doc in listed(desk.state).items():
            if (*doc.get("origin", ()), doc.get("name", "")) == path:
                return key
    return desk.known_origin(typed(ORIGIN, text, "where"))


def _swap_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="one part")
    parser.add_argument("other", metavar="CODE|NAME", help="the other, of the same machine")
    add_options(parser, pieces.SWAP)


def _swap(context: Context, args: Arguments) -> int:
    desk = context.desk()
    one, other = desk.names.group(args.group), desk.names.group(args.other)
    wanted = pieces.SWAP(one.id, other_id=other.id, **values(args, pieces.SWAP))
    return _done(context, desk, wanted, f"{one.shown} and {other.shown}: each goes back in the other's place")


def _bind_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what came off")
    parser.add_argument("part", metavar="PART", help="which listed part it is")
    add_options(parser, pieces.BIND)


def _bind(context: Context, args: Arguments) -> int:
    desk = context.desk()
    group = desk.names.group(args.group)
    seat = place_on_machine(desk, args.part)
    if not isinstance(seat, str):
        seat = desk.names.one("position", args.part)
    wanted = pieces.BIND(group.id, seat=seat, **values(args, pieces.BIND))
    return _done(context, desk, wanted, f"{group.code}  {group.shown} is {desk.position(seat).name}")


def _lend_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part, by its code or name")
    parser.add_argument("to", metavar="TO WHOM", help="who has it meanwhile")
    add_options(parser, pieces.LEND)


def _lend(context: Context, args: Arguments) -> int:
    desk = context.desk()
    group = desk.names.group(args.group)
    context.lines(f"   {each}" for each in (() if context.json else desk.hints(group)))
    return _done(
        context,
        desk,
        pieces.LEND(group.id, to=args.to, **values(args, pieces.LEND)),
        f"{group.shown}: lent to {args.to}",
    )


COMMANDS = (
    Command(
        "correct",
        (
            'shopbins correct "sump bolts" --qty 29 --as lost --reason "rolled under the lathe"',
            'shopbins correct "head studs" --qty 23 --as "never there" --reason "one hole was empty"',
            'shopbins correct "winch main shaft" --of "journal 2" --measured 59.97mm --reason "misread"',
            'shopbins correct "flywheel" --trick "heat it first" --reason "that was the other one"',
            'shopbins correct "anodes, stern" --listed 22 --reason "the list is of a later model"',
            'shopbins correct "flywheel" --after "starter motor" --reason "the starter held it"',
        ),
        _correct_arguments,
        _correct,
        "A number has an account: say with --as what became of the pieces, or where they came from.",
    ),
    Command(
        "concede",
        ('shopbins concede "winch main shaft" "good for one season" --limits "journal 2 >= 59.9mm"',),
        _concede_arguments,
        _concede,
        "Whoever is answerable for the machine decides; local codes and licensed practice come first.",
    ),
    Command(
        "lost",
        ('shopbins lost "sump bolts" --qty 1 --reason "rolled under the lathe"',),
        _lost_arguments,
        _lost,
    ),
    Command(
        "found",
        ('shopbins found "sump bolts"',),
        _found_arguments,
        _found,
    ),
    Command(
        "give",
        ('shopbins give "alternator" "winch > motor" --reason "the winch runs first"',),
        _give_arguments,
        _give,
    ),
    Command(
        "swap",
        ('shopbins swap "piston 1" "piston 2" --reason "wear evened out"',),
        _swap_arguments,
        _swap,
    ),
    Command(
        "bind",
        ('shopbins bind ZRW0253G "relief valve"',),
        _bind_arguments,
        _bind,
    ),
    Command(
        "lend",
        ('shopbins lend "battery cables" "boat club" --until 2027-01-15',),
        _lend_arguments,
        _lend,
    ),
)
