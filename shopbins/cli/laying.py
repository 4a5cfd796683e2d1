"""Commands about where a group is: laid down, away, back; and taking back what was done."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import add_options, values
from shopbins.ledger.whereabouts import place_said, whereabouts
from shopbins.records.group import AWAY, BACK
from shopbins.rules.partcautions import lines_before
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group
    from shopbins.placing.recording import Laid


def _put_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part, or the code of an unused blank label")
    parser.add_argument(
        "place", metavar="PLACE[/LEVEL]", nargs="?", help="the place, and its level if it has several"
    )
    parser.add_argument(
        "--at",
        metavar="X,Y",
        help="where its middle comes: in a room as in the shop file, from the shop's 0, 0; in a place with a "
        "corner and a size (at, size) from that corner, along its length, then its depth",
    )
    parser.add_argument("--turn", metavar="D", help="how it is turned, in degrees counter-clockwise")
    parser.add_argument(
        "--in", metavar="PART", dest="inside", help="put it into this part instead of a place"
    )
    parser.add_argument("--on", metavar="PART", dest="onto", help="put it onto this part instead of a place")
    parser.add_argument("--dry-run", action="store_true", help="only say what it would cause")
    parser.add_argument(
        "--override", metavar="REASON", help="put it down in spite of a stop, with this reason on record"
    )


def _put(context: Context, args: Arguments) -> int:
    if [args.place, args.inside, args.onto].count(None) != 2:
        raise UsageError("shopbins put: give one of PLACE, --in and --on (see shopbins put --help)")
    if args.place is None:
        return _put_into(context, args)
    x, y, turn = _pose(args)
    desk = context.desk(readonly=args.dry_run)
    who = desk.names.who(args.group)
    zone, level = desk.names.place(args.place)
    if desk.state.has_group(who):
        context.before(lines_before(desk.state.group(who), desk.shop))
    laid = desk.put(
        who, zone, level, x_mm=x, y_mm=y, turn_deg=turn, override=args.override, dry_run=args.dry_run
    )
    return _told(context, desk, laid, who, dry_run=args.dry_run)


def _pose(args: Arguments) -> tuple[float | None, float | None, float]:
    from shopbins.units import parse_angle, parse_point

    x, y = (None, None) if args.at is None else parse_point(args.at)
    return x, y, 0.0 if args.turn is None else parse_angle(args.turn) % 360.0


def _put_into(context: Context, args: Arguments) -> int:
    if args.at is not None or args.turn is not None:
        raise UsageError("shopbins put: --at and --turn go with a PLACE")
    desk = context.desk(readonly=args.dry_run)
    who, holder = desk.names.group(args.group), desk.names.group(args.inside or args.onto)
    how: Literal["in", "on"] = "in" if args.inside is not None else "on"
    laid = desk.put_into(who.id, holder.id, how, override=args.override, dry_run=args.dry_run)
    return _told(context, desk, laid, who.id, dry_run=args.dry_run)


def _told(context: Context, desk: Desk, laid: Laid, who: str, *, dry_run: bool = False) -> int:
    """Print what came of laying down; 1 where a stop stood in the way. Open stops go to stderr."""
    from shopbins.reports.audit import finding_text

    data = {
        "done": laid.done and not dry_run,
        "pose": laid.pose,
        "findings": [each.as_json() for each in laid.findings],
        "seq": laid.seq,
    }
    lines = []
    if laid.done:
        lines.append(f"{_name(desk, laid, who)}{_at(desk, laid)}" if dry_run else _laid(desk, laid, who))
    if desk.state.has_group(who):
        lines = [*(f"   {each}" for each in desk.hints(desk.state.group(who))), *lines]
    for each in laid.findings:
        if each not in laid.stops:
            lines += finding_text(each, context.width)
    context.answer(data, lines)
    for stop in laid.stops:
        remedy = f" ({stop.remedy})" if stop.remedy else ""
        context.problem(f"not put down: {stop.text}{remedy}")
    if laid.stops and not dry_run:
        context.problem("nothing was changed; --override REASON puts it down anyway")
    return 1 if laid.stops else 0


def _laid(desk: Desk, laid: Laid, who: str) -> str:
    code = who if laid.group is None else desk.state.group(laid.group).code
    return f"{code}  {who if laid.group is None else introduce(desk.state, laid.group)}"


def _name(desk: Desk, laid: Laid, who: str) -> str:
    name = desk.state.group(who).shown if desk.state.has_group(who) else who
    place = "" if laid.where is None else f" on {place_said(laid.where.zone, laid.where.level)}"
    return f"{name} could be put down{place}"


def _at(desk: Desk, laid: Laid) -> str:
    """Say where it could be put down, as `--at` takes it, and what that is measured from."""
    from shopbins.geometry.shapes import Pose
    from shopbins.units import show_point

    pose, zone = laid.pose, None if laid.where is None else desk.scene().zone(laid.where.zone)
    if pose is None or zone is None:
        return ""
    of = "the shop's 0, 0" if zone.frame == Pose(0.0, 0.0) else f"the corner of {zone.name}"
    return f" at {show_point(pose['x_mm'], pose['y_mm'])} mm from {of}, turned {pose['turn_deg']:g} deg"


def _away_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part, by its code or name")
    parser.add_argument("to", metavar='"TO WHOM"', help="who has it")
    add_options(parser, AWAY)


def _away(context: Context, args: Arguments) -> int:
    if args.until is None:
        raise UsageError("shopbins away: --until is missing (see shopbins away --help)")
    desk = context.desk()
    group = desk.names.group(args.group)
    context.before(lines_before(group, desk.shop))
    seq = desk.do(AWAY(group.id, to=args.to, **values(args, AWAY))).seq
    return _where_now(context, desk, group, seq)


def _where_now(context: Context, desk: Desk, group: Group, seq: int) -> int:
    """Say where a group is now, and what to heed of it."""
    hints = [f"   {each}" for each in desk.hints(group)]
    context.answer({"seq": seq}, [*hints, f"{group.code}  {introduce(desk.state, group.id)}"])
    return 0


def _back_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part, by its code or name")
    parser.add_argument("place", metavar="PLACE", nargs="?", help="where it is put down; without it: not yet")
    parser.add_argument(
        "--override", metavar="REASON", help="put it down in spite of a stop, with this reason on record"
    )


def _back(context: Context, args: Arguments) -> int:
    from shopbins.desk import NotDone
    from shopbins.ledger.model import Away

    desk = context.desk()
    group = desk.names.group(args.group)
    if not isinstance(group.where, Away):
        raise NotDone(f"{group.shown} is not away: {whereabouts(desk.state, group.where)}")
    context.before(lines_before(group, desk.shop))
    if args.place is not None:
        laid = desk.put(group.id, *desk.names.place(args.place), override=args.override)
        if not context.json:
            return _told(context, desk, laid, group.id)
        context.answer({"seq": laid.seq}, [])
        context.problem(*(f"{each.grade}: {each.text}" for each in laid.findings))
        return 1 if laid.stops else 0
    seq = desk.do(BACK(group.id)).seq
    return _where_now(context, desk, group, seq)


def _undo_arguments(parser: Parser) -> None:
    parser.add_argument("--override", metavar="REASON", help="accept, for this reason, a stop it brings back")


def _undo_only_arguments(parser: Parser) -> None:
    _undo_arguments(parser)
    parser.add_argument(
        "--reason", metavar="WHY", default="", help="why a rejection, an order or a point of work is undone"
    )


def _undo(context: Context, args: Arguments) -> int:
    return _take_back(context, redo=False, override=args.override, reason=args.reason)


def _redo(context: Context, args: Arguments) -> int:
    return _take_back(context, redo=True, override=args.override)


def _take_back(context: Context, *, redo: bool, override: str | None, reason: str = "") -> int:
    from shopbins.desk.words import deed

    desk = context.desk()
    event, said = desk.redo(override=override) if redo else desk.undo(override=override, reason=reason)
    about = desk.ledger.history(event.subjects[0]) if event.subjects else []
    known = {each.id: each for each in about}
    undone = known.get(event.undoes or "", event)
    if redo:  # what the undo had taken back is done again
        undone = known.get(undone.undoes or "", undone)
        said = deed(desk.state, undone)
    data = {"redone" if redo else "undone": undone.seq, "seq": event.seq}
    context.answer(data, [f"{'did again' if redo else 'undid'} event {undone.seq}: {said}"])
    return 0


COMMANDS = (
    Command(
        "put",
        (
            'shopbins put "cylinder head 2" "bench 2"',
            'shopbins put ZRW01858 "rack a/3" --dry-run',
            'shopbins put flywheel "slip hall" --at 2400,1800 --turn 90',
            'shopbins put "valve springs, inlet" --in "tub of bags from the bottom end"',
            'shopbins put ZRW0140Y "pallet bay" --override "for now"',
        ),
        _put_arguments,
        _put,
        "A stop (too heavy, does not fit, a way blocked) is not put down without --override.\n"
        "The code of an unused blank label makes an unnamed part there, to be named later.\n"
        "Loads and ways are checked against the shop file and the rules it chose; whoever knows the\n"
        "rack, the floor and the local code has the last word.",
    ),
    Command(
        "away",
        ('shopbins away "cylinder head 2" "Moss Grinding" --until 2026-12-24 --for skimming',),
        _away_arguments,
        _away,
    ),
    Command(
        "back",
        ('shopbins back "cylinder head 3" "bench 2"', "shopbins back injectors"),
        _back_arguments,
        _back,
    ),
    Command(
        "undo",
        ("shopbins undo",),
        _undo_only_arguments,
        _undo,
        "Repeated, it goes further back. Refused where somebody else has touched the same since, and\n"
        "where it would bring back a stop that --override does not accept.",
    ),
    Command("redo", ("shopbins redo",), _undo_arguments, _redo),
)
