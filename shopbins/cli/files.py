"""Commands about files: check a shop file, answer floor scenes, export, write the demo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser
from shopbins.cli.listing import add_where

if TYPE_CHECKING:
    from shopbins.cli.context import Context


def _check_arguments(parser: Parser) -> None:
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("file", metavar="FILE", nargs="?", help="the shop file")
    what.add_argument(
        "--schema", action="store_true", help="print a JSON Schema of the shop file, for an editor"
    )


def _check(context: Context, args: Arguments) -> int:
    if args.schema:
        from shopbins.shop.schema import schema

        context.data(schema())
        return 0
    from shopbins.shop.reader import check

    problems = check(args.file)
    if context.json:
        context.data([each.as_json() for each in problems])
    elif not problems:
        context.lines([f"{args.file}: no problems"])
    if not context.json:
        context.problem(*(str(each) for each in problems))
    return 1 if problems else 0


def _fits_arguments(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", help="a JSON file with one floor scene or a list of them")


def _fits(context: Context, args: Arguments) -> int:
    from shopbins.cli.fits.scene import fits

    answers, status = fits(args.file)
    if context.json:
        context.data(answers)
    else:
        context.lines(_answer_line(each) for each in answers if "problem" not in each)
    context.problem(*(f"{each['id']}: {each['problem']}" for each in answers if "problem" in each))
    return status


def _answer_line(answer: dict[str, Any]) -> str:
    shown = {
        "answer": "{}",
        "clearance_mm": "{:.1f} mm clear",
        "within_mm": "too close by {:.3f} mm",
        "width_mm": "{:.1f} mm wide",
        "between": "between {}",
        "cost": "cost {}",
        "cost_at_least": "at least {}",
        "shift": "shift {}",
        "places": "{} places",
        "reason": "{}",
    }
    said = []
    for key, form in shown.items():
        value = answer.get(key)
        if value is None:
            continue
        if key == "places":
            value = len(value)
        elif isinstance(value, list):
            value = " and ".join(str(each) for each in value) or "nothing"
        said.append(form.format(value))
    return f"{answer['id']}: {', '.join(said)} ({answer['seconds']:.3f} s)"


def _export_arguments(parser: Parser) -> None:
    parser.add_argument(
        "--format", choices=("json", "csv"), required=True, help="json for programs, csv for a spreadsheet"
    )
    parser.add_argument("-o", "--output", metavar="PATH", required=True, help="the file to write")
    add_where(parser)


def _export(context: Context, args: Arguments) -> int:
    from shopbins.desk.problems import translated
    from shopbins.outputs import is_stdout
    from shopbins.reports.export import export_csv, export_json

    desk = context.desk(readonly=True)
    found = desk.search("group", args.where)
    context.problem(*found.not_compared)
    groups = [desk.state.group(str(doc.doc_id)) for doc in found.docs]
    if args.format == "json":
        with translated():
            events = desk.ledger.events()
        about = {f"group:{group.id}" for group in groups}
        kept = [each for each in events if not args.where or about.intersection(each.subjects)]
        data = export_json(desk.state, groups, kept)
    else:
        data = export_csv(desk.state, groups)
    context.write_file(args.output, data)
    if is_stdout(args.output):
        return 0
    count = len(groups)
    context.answer({"path": args.output, "groups": count, "seq": desk.seq}, [f"{args.output}: {count} parts"])
    return 0


def _demo_arguments(parser: Parser) -> None:
    parser.add_argument("folder", metavar="DIR", help="the folder to write it into, made if need be")
    parser.add_argument(
        "--open", action="store_true", help="open the app on it, also where it is there already"
    )


def _demo(context: Context, args: Arguments) -> int:
    from shopbins.demo import DemoProblem, write_demo

    try:
        path = write_demo(args.folder)
    except DemoProblem as problem:
        if not (problem.there and args.open):
            context.problem(str(problem))
            return 1 if problem.there else 74
        path = Path(args.folder) / "shop.yaml"
    if args.open:
        from shopbins.cli import open_app

        args.shop, args.ledger = str(path), None
        return open_app(context, args)
    ledger = path.with_name(f"{path.stem}.ledger")
    context.answer(
        {"shop": str(path), "ledger": str(ledger)}, [f"{path}: written; open it with: shopbins {path}"]
    )
    return 0


COMMANDS = (
    Command(
        "check",
        (
            "shopbins check shop.yaml",
            "shopbins check shop.yaml --json",
            "shopbins check --schema",
        ),
        _check_arguments,
        _check,
        "Exit status: 0 no problems, 1 problems.",
    ),
    Command(
        "fits",
        ("shopbins fits scenes.json --json",),
        _fits_arguments,
        _fits,
        "Exit status: 0 every scene was answered, 1 any had a problem. The format is in docs/floor.md.",
    ),
    Command(
        "export",
        ("shopbins export --format csv -o parts.csv", "shopbins export --format json -o parts.json"),
        _export_arguments,
        _export,
        "PATH '-' writes to stdout. With --where only those parts, and their events.",
    ),
    Command(
        "demo",
        ("shopbins demo ropewalk --open", "shopbins demo ropewalk"),
        _demo_arguments,
        _demo,
    ),
)
