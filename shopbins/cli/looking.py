"""Commands that look: find, show, audit. None of them locks or changes the ledger."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser
from shopbins.desk.problems import BadInput
from shopbins.ledger.model import Group
from shopbins.ledger.whereabouts import place_said

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk


def _find_arguments(parser: Parser) -> None:
    parser.add_argument(
        "words", metavar="WORDS", nargs="+", help="parts of name, code, origin, place, note, in any order"
    )
    parser.add_argument("--zone", metavar="Z", help="only what lies in this place or level")
    parser.add_argument("--limit", metavar="N", default="50", help="at most so many, the best first (50)")


def _find(context: Context, args: Arguments) -> int:
    limit = int(args.limit) if args.limit.isascii() and args.limit.isdigit() else 0
    if limit < 1:
        raise BadInput(f"--limit '{args.limit}' is not at least 1")
    from shopbins.desk.names import lost_said
    from shopbins.lists import show
    from shopbins.lists.groups import FOUND, found

    desk = context.desk(readonly=True)
    place = None if args.zone is None else desk.names.place(args.zone)
    zone, level = place or (None, None)
    query = " ".join(args.words)
    hits = desk.find_once(query, zone=zone, level=level, limit=limit)
    rows = [found(desk.state, hit.id, hit.score) for hit in hits]
    context.answer(show.json(FOUND, rows), show.text(FOUND, rows))
    context.problem(*lost_said(desk.state, query))
    if not hits:
        context.problem(f"nothing matches '{query}'" + (f" in {args.zone}" if args.zone else ""))
    elif len(hits) == limit:
        context.problem(f"only the best {limit} are shown (--limit N shows more)")
    return 0 if hits else 1


def _show_arguments(parser: Parser) -> None:
    parser.add_argument("what", metavar="CODE|NAME|PLACE", help="a part, a place or a level")


def _show(context: Context, args: Arguments) -> int:
    desk = context.desk(readonly=True)
    found = _meant(desk, args.what)
    if isinstance(found, str):
        context.answer({"code": found, "blank": True}, [f"{found}: a blank label, not yet on a part"])
    elif isinstance(found, Group):
        _show_group(context, desk, found)
    else:
        _show_place(context, desk, *found)
    return 0


def _meant(desk: Desk, text: str) -> Group | tuple[str, str] | str:
    """Return the group, the (zone, level) or the blank tag that is meant; a zone's name goes first."""
    from shopbins.desk import BadInput, NotDone
    from shopbins.desk.names import hint, looks_like_code

    if looks_like_code(text, desk.shop.prefix) and desk.shop.zone(text) is None:
        try:
            kind, subject = desk.names.code(text)
        except (BadInput, NotDone):
            return desk.names.group(text)
        if kind == "group":
            return desk.state.group(subject)
        return desk.names.place(text) if kind == "place" else subject
    try:
        return desk.names.place(text)
    except NotDone as no_place:
        from shopbins.desk.names import lost_said

        try:
            return desk.names.group(text)
        except NotDone:
            head = text.rpartition("/")[0]
            if head and (desk.shop.zone(head.strip()) is not None):
                raise no_place from None
            if lost_said(desk.state, text):
                raise
            known = [
                *(z.key for z in desk.shop.all_zones()),
                *(g.name for g in desk.state.groups() if g.name),
            ]
            raise NotDone(f"no part and no place is called '{text}'{hint(text, known)}") from None


def _record(desk: Desk, group_id: str) -> list[str]:
    from shopbins.desk.movewords import said
    from shopbins.records.acts_move import on_gear, on_packing
    from shopbins.records.moving import moving_of
    from shopbins.strip.release import record_lines, release, state_said
    from shopbins.strip.sets import at_refit
    from shopbins.units import show_length

    lines = [*at_refit(desk.state, desk.state.group(group_id)), *record_lines(desk.state, group_id)]
    let = release(desk.state, group_id, desk.today)
    if packing := on_packing(desk.state, group_id):
        lines.append(f"on {show_length(packing)} of packing, left so by its planned move")
    if (asked := on_gear(desk.state, group_id)) is not None:
        lines.append(f"on {asked['gear']}, where its planned move halted")
    moving = moving_of(desk.state.group(group_id))
    told = said(moving)
    if told:
        lines.append(f"for moving: {', '.join(told)}")
    lines += [f"{', '.join(keys)} {asked}" for keys, asked in moving.in_doubt]
    return [*lines, f"release: {state_said(let.state)}"] if lines or let.why else []


def _show_group(context: Context, desk: Desk, group: Group) -> None:
    from shopbins.reports.group import ToldEvent, event_json, group_json, group_text

    history = [ToldEvent(event, text) for event, text in desk.history(group.id)]
    inside = [desk.state.group(each) for each in desk.state.children(group.id)]
    data: dict[str, Any] = {
        **group_json(desk.state, group),
        "contents": [{"id": each.id, "code": each.code, "name": each.name} for each in inside],
        "history": [event_json(each) for each in history],
    }
    names = [f"{each.code}  {each.shown}" for each in inside]
    context.answer(
        data,
        []
        if context.json
        else group_text(desk.state, group, names, history, context.width, _record(desk, group.id)),
    )


def _show_place(context: Context, desk: Desk, zone_key: str, level: str) -> None:
    from shopbins.reports.zone import zone_json, zone_text

    scene = desk.scene()
    zone = scene.zone(zone_key)
    assert zone is not None
    contents = scene.contents(zone_key, level or None)
    groups = [desk.state.group(each) for each in desk.ids_in(zone_key, level or None)]
    key = place_said(zone_key, level)
    context.answer(
        zone_json(desk.state, key, contents, groups),
        zone_text(desk.state, key, zone.name if not level else key, contents, groups),
    )


def _audit_arguments(parser: Parser) -> None:
    parser.add_argument(
        "--since", metavar="DATE", help="say what is new, gone and closed since that day began"
    )
    parser.add_argument("--all", action="store_true", help="every finding by itself, not folded")
    parser.add_argument(
        "--coverage", action="store_true", help="list what was and was not looked at, and why"
    )
    parser.add_argument("--csv", metavar="PATH", help="write every finding to a file for a spreadsheet")


def _audit(context: Context, args: Arguments) -> int:
    from datetime import date
    from pathlib import Path

    from shopbins.desk import audits
    from shopbins.lists import show
    from shopbins.lists.audit import AUDIT
    from shopbins.reports.audit import audit_text, folded_text, since_text
    from shopbins.rules.coverage import LAST_LINE, coverage, lines, one_line
    from shopbins.rules.finding import counts, status

    day = None
    if args.since is not None:
        try:
            day = date.fromisoformat(args.since)
        except ValueError:
            raise BadInput(f"--since '{args.since}' is no date (write it as 2026-12-24)") from None
    desk = context.desk(readonly=True)
    findings = desk.audit()
    if args.csv is not None:
        context.write_file(args.csv, show.csv(AUDIT, findings))
    rows = coverage(desk.scene(), findings)
    data: dict[str, Any] = {
        "seq": desk.seq,
        "counts": counts(findings),
        "findings": show.json(AUDIT, findings),
        "coverage": [row.as_json() for row in rows],
    }
    said: list[str] = []
    if day is not None:
        changed = audits.since(desk, findings, day)
        data |= changed.as_json()
        said = since_text(changed.as_json(), changed.day, context.width)
    if desk.ledger.in_place():
        audits.remember(Path(desk.ledger.folder), findings, date.today(), desk.seq)
    if args.all:
        text = audit_text(findings, desk.seq, context.width)
    else:
        text = folded_text(desk.scene(), findings, desk.seq, context.width)
    looked = (
        lines(rows, desk.shop) if args.coverage else [f"Looked at: {one_line(rows, desk.shop)} (--coverage)."]
    )
    context.answer(data, [*text, *said, "", *looked, LAST_LINE])
    return status(findings)


COMMANDS = (
    Command(
        "find",
        ("shopbins find inlet spring", 'shopbins find bearing --zone "rack a"'),
        _find_arguments,
        _find,
    ),
    Command(
        "show",
        ("shopbins show ZRW01858", 'shopbins show "rack a/3"'),
        _show_arguments,
        _show,
    ),
    Command(
        "audit",
        (
            "shopbins audit",
            "shopbins audit --json",
            "shopbins audit --since 2026-01-01",
            "shopbins audit --coverage",
        ),
        _audit_arguments,
        _audit,
        "Exit status: 0 nothing or notes, 1 something to fix or a record to complete, 2 a stop,\n"
        "accepted or not. What is put right together is one thing to fix; in how many findings is said\n"
        "behind it. With --json 'counts' has the findings ('correct': to fix and records).\n"
        "It says what was checked against what; local codes and whoever is answerable come first.",
    ),
)
