"""Accepting: what is against a rule and may be let through by a person, with name and reason."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.records.accepted import TAKE_BACK

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.records.accepted import Acceptable, Acceptance


def _accept_arguments(parser: Parser) -> None:
    parser.add_argument(
        "words",
        metavar="ID REASON",
        nargs="*",
        help="one id or several of findings, notes or conditions, or parts of them, then why; none: list",
    )
    parser.add_argument("--for-now", action="store_true", help="you are asked again when you quit the app")
    parser.add_argument("--back", action="store_true", help="take it back: it counts again")


def _accept(context: Context, args: Arguments) -> int:
    from shopbins.desk.accepting import meant, on_record
    from shopbins.records.accepted import FOR_NOW, acceptances

    if not args.words:
        if args.back or args.for_now:
            raise UsageError("shopbins accept: say which: ID")
        known = list(acceptances(context.desk(readonly=True).state).values())
        context.answer(
            [each.as_json() for each in known],
            [line for each in known for line in _said(each)] or ["nothing is accepted"],
        )
        return 0
    if args.back:
        if len(args.words) > 1 or args.for_now:
            raise UsageError("shopbins accept: --back takes one ID, no reason and no --for-now")
        desk = context.desk()
        there = on_record(desk, args.words[0])
        seq = desk.do(TAKE_BACK(there.id)).seq
        context.answer({"seq": seq}, [f"counts again: {there.text or there.id}"])
        return 0
    ids, reason = (args.words[:-1], args.words[-1]) if len(args.words) > 1 else (args.words, FOR_NOW)
    if len(args.words) == 1 and not args.for_now:
        raise UsageError("shopbins accept: give a reason, or --for-now")
    if AN_ID.match(reason):
        raise UsageError(f"shopbins accept: '{reason}' is an id: the reason comes after the ids")
    desk = context.desk()
    every = meant(desk, *ids)  # each is understood before any is recorded
    seq = desk.accept_each(every, reason, for_now=args.for_now)
    context.answer({"seq": seq}, [_done(what) for what in every])
    return 0


AN_ID = re.compile(r"[a-z-]+/[a-z ]+:\S")
"""How the id of a finding begins; no reason does."""


def _done(what: Acceptable) -> str:
    only = " (only for now: you are asked again when you quit the app)" if what.only_for_now else ""
    return f"{'dismissed' if what.kind == 'note' else 'accepted'}{only}: {what.text or what.id}"


def _said(each: Acceptance) -> list[str]:
    since = each.accepted.since
    done = "dismissed" if each.kind == "note" else "accepted"
    day = "" if since is None else f", {since.isoformat()}"
    return [f"{done} {each.accepted.said}{day}: {each.text or each.id}", f"   {each.id}"]


COMMANDS = (
    Command(
        "accept",
        (
            "shopbins accept",
            "shopbins accept level-load --for-now",
            "shopbins accept full/zone:trolley 'emptied this week'",
            "shopbins accept 'move-floor-even/room:slip hall' 'move-floor-even/room:rope gallery' 'swept'",
            "shopbins accept level-load --back",
        ),
        _accept_arguments,
        _accept,
        "Of several ids before one reason, and of the conditions of a move that go together under one id,\n"
        "each is recorded and said by itself; undo takes all of them back. It is recorded with your\n"
        "name (--by) and the day, and said wherever the thing is judged.\n"
        "Too much for a floor, a way out shut or too narrow, and what stands before switchgear or an\n"
        "extinguisher are only ever accepted for now. An accepted stop still gives the audit's status 2.",
    ),
)
