"""Commands about what comes off before what, and about putting back."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import add_options, values
from shopbins.ledger.whereabouts import whereabouts
from shopbins.records import milestone as records
from shopbins.records import position as position_of
from shopbins.records import relation, shortage
from shopbins.records.fitting import FIT, OFF, TRY
from shopbins.strip.refit import passed_over
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group
    from shopbins.records.record import Act
    from shopbins.strip.refit import Entry


def _reach_arguments(parser: Parser) -> None:
    parser.add_argument("part", metavar="PART", help="the part to get at: a code, a part's or a listed name")


def _reach(context: Context, args: Arguments) -> int:
    from shopbins.reports.strip import reach_json, reach_text
    from shopbins.strip.reach import reach

    desk = context.desk(readonly=True)
    position = desk.names.one("position", args.part)
    steps = reach(desk.state, position)
    name = desk.position(position).name
    heed = {each.position: desk.hints_at(each.position) for each in steps}
    own = [] if context.json else desk.hints_at(position)
    context.answer(
        [reach_json(each, heed[each.position]) for each in steps],
        [*reach_text(name, steps, heed), *([f"{name}:"] if own else []), *(f"   {each}" for each in own)],
    )
    return 0


def _before_arguments(parser: Parser) -> None:
    parser.add_argument(
        "parts",
        metavar="PART",
        nargs="+",
        help="what came off first (one or more), then what it came off before",
    )
    parser.add_argument(
        "--nothing", action="store_true", help="nothing has to come off before the one PART given"
    )
    add_options(parser, relation.BEFORE)
    parser.add_argument("--not", action="store_true", dest="undone", help="take the relation back")


def _before(context: Context, args: Arguments) -> int:
    if args.nothing != (len(args.parts) == 1) or (args.nothing and args.undone):
        raise UsageError("shopbins before: give FIRST... THEN, or --nothing and one PART (see --help)")
    desk = context.desk()
    *firsts, then = args.parts
    after = desk.names.one("position", then)
    before = [str(each) for text in firsts for each in desk.names.called("positions", text)]
    if args.undone:
        seq = desk.do(*(relation.NOT_BEFORE(after, first=each, why=args.why) for each in before)).seq
    else:
        seq = desk.do(relation.BEFORE(after, firsts=before, **values(args, relation.BEFORE))).seq
    names = " and ".join(desk.position(each).name for each in before) or "nothing"
    said = "no longer has to come" if args.undone else "comes"
    context.answer({"seq": seq}, [f"{names} {said} off before {desk.position(after).name}"])
    return 0


def _refit_arguments(parser: Parser) -> None:
    parser.add_argument("--next", action="store_true", help="only what can go back now")
    parser.add_argument(
        "--for", metavar="MILESTONE", dest="milestone", help="only what is in front of this milestone"
    )
    parser.add_argument("--machine", metavar="KEY", help="only of this machine")
    parser.add_argument("--csv", metavar="PATH", help="write the list to a file for a spreadsheet")
    parser.add_argument(
        "--fetch",
        action="store_true",
        help="in an order of fetching with few steps, with what lies on it or in front",
    )


def _refit(context: Context, args: Arguments) -> int:
    from shopbins.lists.refit import REFIT, Back, none_left
    from shopbins.strip.refit import refit
    from shopbins.strip.shortages import hold_up

    desk = context.desk(readonly=True)
    machine = None if args.machine is None else desk.names.one("machine", args.machine)
    milestone = None if args.milestone is None else desk.names.one("milestone", args.milestone)
    entries = refit(desk.state, machine, milestone)
    left = bool(entries)
    if args.next:
        entries = [each for each in entries if each.ready]
    if args.fetch:
        return _fetch(context, desk, entries, args.csv)
    rows = [
        Back(n, each, "" if each.group is None else whereabouts(desk.state, each.group.where),
             () if each.group is None or context.json else desk.hints(each.group))
        for n, each in enumerate(entries, 1)
    ]  # fmt: skip
    if milestone is not None:
        context.problem(hold_up(desk.state, milestone, date.today()).sentence)
    none = "nothing can go back now" if left else REFIT.empty
    if not left and milestone is None:
        none = none_left(desk.state, machine, date.today())
    return context.listed(REFIT._replace(empty=none), rows, args.csv)


def _fetch(context: Context, desk: Desk, entries: list[Entry], csv: str | None) -> int:
    from shopbins.lists.fetch import FETCH, stops

    ids = [each.group.id for each in entries if each.group is not None]
    return context.listed(FETCH, stops(desk.scene(), ids), csv)


def _fit_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="what goes back on")
    add_options(parser, FIT)


def _heed(context: Context, desk: Desk, group: Group) -> None:
    """Say what to heed, before the act."""
    if not context.json:
        context.lines(f"   {each}" for each in desk.hints(group))


def _done(context: Context, args: Arguments, act: Act, desk: Desk, group: Group) -> int:
    """Do what is done with a group on the machine, and say where it is then."""
    if act is not OFF and args.to is not None and args.machine:
        raise UsageError("give one of --to and --machine")
    _heed(context, desk, group)
    seq = desk.do(act(group.id, **values(args, act))).seq
    order = "" if act is OFF else passed_over(desk.state, group)
    lines = [f"{group.code}  {introduce(desk.state, group.id)}", *([f"   {order}"] if order else [])]
    context.answer({"code": group.code, "seq": seq}, lines)
    return 0


def _fit(context: Context, args: Arguments) -> int:
    desk = context.desk()
    return _done(context, args, FIT, desk, desk.names.group_to_fit(args.group))


def _trial_arguments(parser: Parser) -> None:
    parser.add_argument(
        "group", metavar="CODE|NAME", nargs="?", help="what is tried; without it: what is on trial"
    )
    parser.add_argument("--off", action="store_true", help="take it off again")
    add_options(parser, TRY)


def _trial(context: Context, args: Arguments) -> int:
    if args.group is None:
        return _trials(context)
    desk = context.desk()
    if args.off:
        return _done(context, args, OFF, desk, desk.names.group(args.group))
    return _done(context, args, TRY, desk, desk.names.group_to_fit(args.group))


def _trials(context: Context) -> int:
    from shopbins.lists.groups import ON_TRIAL, found
    from shopbins.strip.fitting import on_trial

    desk = context.desk(readonly=True)
    return context.listed(ON_TRIAL, [found(desk.state, each.id) for each in on_trial(desk.state)])


def _off_arguments(parser: Parser) -> None:
    parser.add_argument(
        "group", metavar="CODE|NAME", help="what comes off again, after it was put back or tried"
    )
    add_options(parser, OFF)


def _off(context: Context, args: Arguments) -> int:
    desk = context.desk()
    return _done(context, args, OFF, desk, desk.names.group(args.group))


def _strip_arguments(parser: Parser) -> None:
    parser.add_argument("--machine", metavar="KEY", help="only of this machine")
    parser.add_argument("--csv", metavar="PATH", help="write the record to a file for a spreadsheet")


def _strip(context: Context, args: Arguments) -> int:
    from shopbins.lists.strip import STRIP, came_off

    desk = context.desk(readonly=True)
    machine = None if args.machine is None else desk.names.one("machine", args.machine)
    return context.listed(STRIP, came_off(desk.state, machine), args.csv)


def _strike_arguments(parser: Parser) -> None:
    parser.add_argument(
        "part", metavar="PART", help="the part whose place stays empty, or a shortage (--shortage)"
    )
    parser.add_argument("reason", metavar="REASON", nargs="?", help="why")
    parser.add_argument(
        "--shortage", action="store_true", help="PART is a shortage that is not needed after all"
    )
    parser.add_argument(
        "--back", action="store_true", help="take it back: the place is to be filled after all"
    )


def _strike(context: Context, args: Arguments) -> int:
    if (args.reason is None) != args.back or (args.shortage and args.back):
        raise UsageError("shopbins strike: give a REASON, or --back (see shopbins strike --help)")
    from shopbins.strip.book import Book

    desk = context.desk()
    if args.shortage:
        key = desk.names.one("shortage", args.part)
        seq = desk.do(shortage.STRIKE(key, reason=args.reason)).seq
        context.answer({"seq": seq}, [f"{desk.state.docs('shortage')[key]['name']}: not needed"])
        return 0
    position = desk.names.one("position", args.part)
    wanted = position_of.UNSTRIKE(position) if args.back else position_of.STRIKE(position, reason=args.reason)
    seq = desk.do(wanted).seq
    look = desk.state.follower(Book).look(position)
    said = "is to be filled after all"
    if not args.back:
        said = f"stays empty ({look.left_empty} of {look.need}): {args.reason.strip()}"
    context.answer({"seq": seq}, [f"{desk.position(position).name} {said}"])
    return 0


def _milestone_arguments(parser: Parser) -> None:
    parser.add_argument("name", metavar="NAME", nargs="?", help="the milestone; without it all are listed")
    add_options(parser, records.SET)
    add_options(parser, records.AFTER)
    parser.add_argument("--done", action="store_true", help="it is reached")
    parser.add_argument("--not-done", action="store_true", help="it is not reached after all")
    parser.add_argument("--drop", action="store_true", help="forget it")


def _milestone(context: Context, args: Arguments) -> int:
    if args.name is None:
        return _milestones(context)
    if args.drop and (args.needs or args.due or args.move or args.then or args.done or args.not_done):
        raise UsageError("shopbins milestone: nothing else goes with --drop (see shopbins milestone --help)")
    fields, after = values(args, records.SET), values(args, records.AFTER)
    reason = fields.pop("reason", None)
    wanted = []
    if args.drop:
        wanted.append(records.DROP(args.name, reason=reason))
    elif fields:
        wanted.append(records.SET(name=args.name, reason=reason, **fields))
    wanted += [records.AFTER(args.name, **after)] if after else []
    ticks = args.done or args.not_done
    desk = context.desk(readonly=not wanted and not ticks)
    if ticks:
        wanted.append(records.REACHED(args.name, on=desk.on if args.done else None, reason=reason))
    seq = desk.do(*wanted).seq if wanted else desk.seq
    if args.drop:
        context.answer({"seq": seq}, [f"{args.name}: forgotten"])
        return 0
    key = desk.names.one("milestone", args.name)
    from shopbins.strip.shortages import hold_up

    context.answer({"milestone": key, "seq": seq}, [hold_up(desk.state, key, date.today()).sentence])
    return 0


def _milestones(context: Context) -> int:
    from shopbins.lists.milestones import MILESTONES, milestones

    return context.listed(MILESTONES, milestones(context.desk(readonly=True).state, date.today()))


COMMANDS = (
    Command(
        "reach",
        ('shopbins reach "oil pump"', "shopbins reach ZRW01858"),
        _reach_arguments,
        _reach,
        "The least set: what 'before' recorded, what came out of an assembly taken off as one and,\n"
        "where nobody was asked, the order in which the parts of the same assembly came off.",
    ),
    Command(
        "before",
        (
            'shopbins before "rocker cover 2" "cylinder head 2"',
            'shopbins before sump "oil pump" "main bearing caps" --why "they hide the cap bolts"',
            'shopbins before --nothing "belt guard"',
        ),
        _before_arguments,
        _before,
        "An answer replaces the order it came off in, for that part. A circle is refused, and named.",
    ),
    Command(
        "refit",
        (
            "shopbins refit --next",
            "shopbins refit --machine winch",
            "shopbins refit --next --fetch",
        ),
        _refit_arguments,
        _refit,
        "Exit status: 0 where there is something to list, else 1.",
    ),
    Command(
        "fit",
        (
            'shopbins fit "sump bolts"',
            'shopbins fit "rear seal housing" --to "engine block" --anyway "bolted to it"',
        ),
        _fit_arguments,
        _fit,
        "Where its assembly is off as well it is fitted to that. Refused while it waits for something.",
    ),
    Command(
        "trial",
        ('shopbins trial "front pulley"', "shopbins trial", 'shopbins trial "front pulley" --off'),
        _trial_arguments,
        _trial,
    ),
    Command(
        "off",
        ('shopbins off "front pulley"',),
        _off_arguments,
        _off,
    ),
    Command(
        "strip",
        ("shopbins strip", "shopbins strip --machine engine --csv strip.csv"),
        _strip_arguments,
        _strip,
    ),
    Command(
        "strike",
        (
            'shopbins strike "leak-off pipe" "this engine does without"',
            'shopbins strike "leak-off pipe" --back',
            'shopbins strike "gasket paper" "found a sheet" --shortage',
        ),
        _strike_arguments,
        _strike,
    ),
    Command(
        "milestone",
        (
            'shopbins milestone "engine closed" --needs "cylinder head 2" --due 2027-03-20',
            'shopbins milestone "to the test bed" --move --then "mounting beam"',
            'shopbins milestone "to the test bed" --done',
            "shopbins milestone",
        ),
        _milestone_arguments,
        _milestone,
    ),
)
