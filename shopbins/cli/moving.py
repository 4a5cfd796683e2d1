"""Moves: does a big thing go there, on what, which way, what comes off and is shifted first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.moves.plan import Plan


def _arguments(parser: Parser) -> None:
    parser.add_argument("thing", metavar="THING", help="the part by code or name, or a machine")
    parser.add_argument(
        "place", metavar="PLACE", help="the floor place, room, bench or shelf (rack/2) it is to go to"
    )
    parser.add_argument(
        "--gear", metavar="NAME", help="only on this gear of the shop file (else each in turn)"
    )
    parser.add_argument("--turn", metavar="D", help="how it is to stand there, in degrees counter-clockwise")
    parser.add_argument(
        "--as", dest="as_", metavar="STATE", default="tonight", help="tonight (with all on it), or bare"
    )
    parser.add_argument("--no-base", action="store_true", help="without its pallet or skid")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="SHEET.pdf",
        help="write the move sheet: a PDF, or text where it ends in .txt",
    )
    parser.add_argument(
        "--at-most", metavar="S", default=None, help="how many seconds may be thought (else 60)"
    )
    parser.add_argument(
        "--plan",
        "--accept",
        dest="plan",
        action="store_true",
        help="put the steps on record to tick off; it accepts nothing",
    )


def _move(context: Context, args: Arguments) -> int:
    from shopbins.desk import moving
    from shopbins.lists import show
    from shopbins.lists.moves import STEPS
    from shopbins.moves.restson import asked_anew
    from shopbins.moves.steps import steps_of
    from shopbins.reports.movesheet import sheet_text
    from shopbins.units import parse_angle

    if args.as_ not in ("tonight", "bare"):
        raise UsageError(f"shopbins move: --as is tonight or bare, not '{args.as_}'")
    seconds = None if args.at_most is None else _seconds(args.at_most)
    turn = None if args.turn is None else parse_angle(args.turn) % 360.0
    if args.output:
        moving.check_sheet(args.output)
    desk = context.desk(readonly=not args.plan)
    thing = moving.resolve_thing(desk, args.thing)
    zone, level = desk.names.place(args.place)
    plan = moving.plan_move(
        desk, thing.id, zone, level,
        gear=args.gear, turn_deg=turn, as_=args.as_, base=not args.no_base, at_most_s=seconds,
    )  # fmt: skip
    steps = steps_of(desk.scene(), plan) if plan.planned else []
    doc = {
        **plan.as_json(lambda row: asked_anew(desk.state, row, plan.name)),
        "steps": show.json(STEPS, steps),
    }
    said: list[str] = []
    if args.plan:
        left = _recorded(desk, plan)
        doc["on_record"] = None if left is None else {"steps": len(steps), "open": left}
        said = ["", _record_words(plan, len(steps), left)]
    context.answer(doc, [*sheet_text(desk.scene(), plan, context.width), *said])
    if args.output:
        moving.write_sheet(desk, plan, args.output)
        if not context.json:
            context.lines([f"{args.output}: written"])
    return 0 if doc.get("on_record") else plan.answer.status


def _recorded(desk: Desk, plan: Plan) -> int | None:
    """Put a plan on record and return how many of its conditions are open; None where it is not planned."""
    from shopbins.desk import moving

    if not plan.planned:
        return None
    moving.put_on_record(desk, plan)
    return len(moving.still_open(desk, plan.group))


def _record_words(plan: Plan, steps: int, left: int | None) -> str:
    """Say that a plan is on record and how many of its conditions are open, or that it is not."""
    from shopbins.units import counted

    if left is None:
        return f"not put on record: {plan.word}"
    many = "no condition" if not left else counted(left, "condition")
    return f"on record: {counted(steps, 'step')} to tick off; {many} open"


def _seconds(text: str) -> float:
    from shopbins.desk import BadInput

    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 < value <= 3600:
        raise BadInput(f"--at-most '{text}' is no number of seconds from 1 to 3600")
    return value


COMMANDS = (
    Command(
        "move",
        (
            'shopbins move "Engine block on its skid" "test bed"',
            'shopbins move ZRW0239C "test bed" --gear "narrow pallet truck" -o move.pdf',
            'shopbins move ZRW0239C "test bed" --as bare --turn 90 --json',
        ),
        _arguments,
        _move,
        "Exit status 0 where it goes, and where it goes only with conditions of which each was accepted\n"
        "(shopbins accept ID REASON); else 1. With --plan 0 once its steps are on record: it says\n"
        "how many conditions are open. Nothing else is changed. Every answer says what was checked\n"
        "against what; local rules, the maker's handbook and a competent rigger decide.",
    ),
)
