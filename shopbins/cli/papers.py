"""Commands about papers and pictures: lists as files, photographs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.listing import add_where

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.records.photos import PhotosFound


def _report_arguments(parser: Parser) -> None:
    parser.add_argument("kind", metavar="KIND", help="strip, refit, shortages, left-overs, audit")
    parser.add_argument("-o", "--output", metavar="FILE", required=True, help="the file: .pdf, .csv or .txt")
    parser.add_argument("--machine", metavar="KEY", help="only of this machine")
    add_where(parser)


def _report(context: Context, args: Arguments) -> int:
    from shopbins.lists.papers import KINDS

    if args.kind not in KINDS:
        raise UsageError(f"shopbins report: no report '{args.kind}' (one of: {', '.join(KINDS)})")
    desk = context.desk(readonly=True)
    machine = None if args.machine is None else desk.names.one("machine", args.machine)
    path, not_compared = desk.write_report(args.kind, Path(args.output), machine, where=args.where)
    context.problem(*not_compared)
    context.answer({"path": str(path), "seq": desk.seq}, [f"{path}: {KINDS[args.kind]}"])
    return 0


def _photos_arguments(parser: Parser) -> None:
    parser.add_argument("folder", metavar="FOLDER", help="a folder of photographs, as a phone leaves them")
    parser.add_argument("--dry-run", action="store_true", help="say what would be kept, keep nothing")


def _photos(context: Context, args: Arguments) -> int:
    desk = context.desk(readonly=args.dry_run)
    found = desk.read_photos(Path(args.folder))
    context.problem(*(f"{path}: {why}" for path, why in found.unread))
    if found.untagged:
        first = found.untagged[0].name
        context.problem(f"{len(found.untagged)} before the first label, from {first} on: not kept")
    if not found.runs:
        context.problem("no picture shows a label of this shop")
        return 1
    kept = 0 if args.dry_run else desk.import_photos(found)
    context.answer(_photos_json(desk, found, kept), _photos_lines(desk, found, kept))
    return 0


def _photos_json(desk: Desk, found: PhotosFound, kept: int) -> dict[str, Any]:
    runs = [
        {"codes": list(run.codes), "pictures": [each.path.name for each in run.pictures]}
        for run in found.runs
    ]
    return {
        "kept": kept,
        "known": found.known,
        "runs": runs,
        "before_any_tag": [path.name for path in found.untagged],
        "unread": [{"file": path.name, "problem": why} for path, why in found.unread],
        "seq": desk.seq,
    }


def _photos_lines(desk: Desk, found: PhotosFound, kept: int) -> list[str]:
    lines = []
    for run in found.runs:
        group_ids = [desk.state.by_code(code) for code in run.codes]
        names = [
            code if group_id is None else f"{code} {desk.state.group(group_id).shown}"
            for code, group_id in zip(run.codes, group_ids, strict=True)
        ]
        names_of = ", ".join(each.path.name for each in run.pictures)
        lines.append(f"{' and '.join(names)}: {len(run.pictures)} ({names_of})")
    return [*lines, f"{kept} kept, {found.known} known already"]


COMMANDS = (
    Command(
        "report",
        ("shopbins report refit -o refit.pdf", "shopbins report shortages -o shortages.csv"),
        _report_arguments,
        _report,
        "strip: what came off, in order, and how. refit: what goes back, and what it waits for.\n"
        "shortages: what is lacking. left-overs: the count, with what is missing and left over.\n"
        "audit: what the checks found, worst first.",
    ),
    Command(
        "photos",
        ("shopbins photos ~/phone/2026-05-12", "shopbins photos ~/phone/2026-05-12 --dry-run"),
        _photos_arguments,
        _photos,
        "Every later picture belongs to that part, until the next that shows a label. The order is the\n"
        "camera's time, else the name. Pictures are copied into the ledger's folder; importing twice\n"
        "doubles nothing. Needs the extra 'photos': pip install 'shopbins[photos]'.",
    ),
)
