"""The command that records what already lies in a zone, at the speed of scanning or typing."""

from __future__ import annotations

import contextlib
import re
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import typed
from shopbins.cli.taking import recorded_before
from shopbins.ledger.whereabouts import place_said
from shopbins.records.kinds import COUNT
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group

_PLACED = re.compile(r"(.*[^\s,])\s*,?\s+@\s*(\S.*)")
_PIECES = re.compile(r"(.*\S)\s+[xX×]\s?(\d+)")
FOUND = "found lying there"


def _arguments(parser: Parser) -> None:
    parser.add_argument("zone", metavar="PLACE[/LEVEL]", help="the place you stand in front of")


def _catch_up(context: Context, args: Arguments) -> int:
    from shopbins.desk import DeskError, StorageFailed

    desk = context.desk()
    zone, level = desk.names.place(args.zone)
    place = place_said(zone, level)
    asking = sys.stdin.isatty()
    if asking:
        context.problem(
            f"What lies in {place}? A name or a code a line, 'x 8' for eight pieces; ctrl-D ends."
        )
    codes: list[str] = []
    status = 0
    for number, line in enumerate(_lines(), start=1):
        try:
            group_id, known = _one(desk, line, zone, level)
        except StorageFailed:
            raise
        except DeskError as problem:
            context.problem(*(each if asking else f"line {number}: {each}" for each in problem.lines))
            status = max(status, problem.exit_status)
            continue
        context.problem(*recorded_before(desk, known))
        group = desk.state.group(group_id)
        codes.append(group.code)
        if not context.json:
            context.lines([f"{group.code}  {group.shown}{f' x{group.qty}' if group.qty > 1 else ''}"])
            sys.stdout.flush()
    count = len(codes)
    data = {"zone": zone, "level": level, "recorded": count, "codes": codes, "seq": desk.seq}
    context.answer(data, [f"{place}: {counted(count, 'group')} recorded"])
    return status


def _lines() -> Iterator[str]:
    with contextlib.suppress(AttributeError):
        sys.stdin.reconfigure(errors="surrogateescape")  # type: ignore[union-attr]
    for line in sys.stdin:
        if line.strip():
            yield line.strip()


def _one(desk: Desk, line: str, zone: str, level: str) -> tuple[str, list[Group]]:
    """Record one line; return the id of the group it is about, and those that had its name before.

    What lies there lies there: nothing is refused. A group recorded elsewhere is laid here with every stop
    on record as an override; a new one is left to the audit.
    """
    from shopbins.desk.names import looks_like_code
    from shopbins.ledger.model import InZone
    from shopbins.records import acts

    if placed := _PLACED.fullmatch(line):
        line = placed[1]
        zone, level = desk.names.place(placed[2])
    where = InZone(zone, level)
    if looks_like_code(line, desk.shop.prefix):
        kind, subject = desk.names.code(line)
        if kind == "blank":
            event = desk.record(lambda state: acts.lay_blank(state, subject, where))
            return next(each for each in event.after if each.startswith("group:")).partition(":")[2], []
        if kind == "group":
            _found(desk, subject, where)
            return subject, []
    pieces = _PIECES.fullmatch(line)
    name, qty = (pieces[1], typed(COUNT, pieces[2], "the number of pieces")) if pieces else (line, None)
    known = desk.recorded_as(name)
    return desk.take(name, qty=qty, ordered=False, where=where).id, known


def _found(desk: Desk, group_id: str, where: object) -> None:
    from shopbins.ledger.model import InZone

    assert isinstance(where, InZone)
    now = desk.state.group(group_id).where
    if isinstance(now, InZone) and (now.zone, now.level) == (where.zone, where.level):
        return
    desk.put(group_id, where.zone, where.level, override=FOUND)


COMMANDS = (
    Command(
        "catchup",
        (
            'shopbins catchup "rack a/3"',
            'printf "water pump\\nM12 studs x 14\\nZRW0070U\\n" | shopbins catchup "bench 2"',
        ),
        _arguments,
        _catch_up,
        "Lines come from the keyboard, a scanner, or a pipe: NAME, NAME x QTY, or the code of a blank label\n"
        "or of a part found here; '@ PLACE' behind a line puts that one elsewhere.\n"
        "In which order things came off stays unknown. Each line is kept at once.",
    ),
)
