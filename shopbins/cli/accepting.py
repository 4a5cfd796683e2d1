"""Accepting: what is against a rule and may be let through by a person, with name and reason."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.records.accepted import TAKE_BACK

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.records.accepted import Acceptance


def _accept_arguments(parser: Parser) -> None:
    parser.add_argument(
        "id",
        metavar="ID",
        nargs="?",
        help="id of a finding, a note or a condition, or a part of it; none: list",
    )
    parser.add_argument("reason", metavar="REASON", nargs="?", help="why it is accepted")
    parser.add_argument("--for-now", action="store_true", help="you are asked again when you quit the app")
    parser.add_argument("--back", action="store_true", help="take it back: it counts again")


def _accept(context: Context, args: Arguments) -> int:
    from shopbins.desk.accepting import meant, on_record
    from shopbins.records.accepted import FOR_NOW, acceptances

    if args.id is None:
        if args.back or args.for_now:
            raise UsageError("shopbins accept: say which: ID")
        known = list(acceptances(context.desk(readonly=True).state).values())
        context.answer(
            [each.as_json() for each in known],
            [line for each in known for line in _said(each)] or ["nothing is accepted"],
        )
        return 0
    if args.back:
        if args.reason is not None or args.for_now:
            raise UsageError("shopbins accept: --back takes no reason and no --for-now")
        desk = context.desk()
        there = on_record(desk, args.id)
        seq = desk.do(TAKE_BACK(there.id)).seq
        context.answer({"seq": seq}, [f"counts again: {there.text or there.id}"])
        return 0
    if args.reason is None and not args.for_now:
        raise UsageError("shopbins accept: give a reason, or --for-now")
    desk = context.desk()
    what = meant(desk, args.id)
    seq = desk.accept(what, args.reason or FOR_NOW, for_now=args.for_now)
    only = " (only for now: you are asked again when you quit the app)" if what.only_for_now else ""
    done = "dismissed" if what.kind == "note" else "accepted"
    context.answer({"seq": seq}, [f"{done}{only}: {what.text or what.id}"])
    return 0


def _said(each: Acceptance) -> list[str]:
    since = each.accepted.since
    done = "dismissed" if each.kind == "note" else "accepted"
    day = "" if since is None else f", {since.isoformat()}"
    return [f"{done} {each.accepted.said}{day}: {each.text or each.id}", f"   {each.id}"]


COMMANDS = {
    "accept": Command(
        "accept",
        (
            "shopbins accept",
            "shopbins accept level-load --for-now",
            "shopbins accept full/zone:trolley 'emptied this week'",
            "shopbins accept level-load --back",
        ),
        _accept_arguments,
        _accept,
        "It is recorded with your name (--by) and the day, and said wherever the thing is judged.\n"
        "Too much for a floor, a way out shut or too narrow, and what stands before switchgear or an\n"
        "extinguisher are only ever accepted for now. An accepted stop still gives the audit's status 2.",
    )
}
