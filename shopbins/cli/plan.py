"""Commands about the drawn plan: write it to scale, read one from a table or a drawing."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.shop.editing.splice import Put

FORMS = ("pdf", "svg", "dxf")


def _plan_arguments(parser: Parser) -> None:
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--pdf", action="store_const", const="pdf", dest="form", help="sheets to print")
    form.add_argument("--svg", action="store_const", const="svg", dest="form", help="one drawing")
    form.add_argument("--dxf", action="store_const", const="dxf", dest="form", help="for a drawing program")
    parser.add_argument("-o", "--output", metavar="PATH", required=True, help="the file to write, '-' stdout")
    parser.add_argument("--scale", type=_scale, metavar="N", help="1 to N (else what fits on one sheet)")
    parser.add_argument("--paper", choices=("a4", "a3", "letter"), default="a4", help="else a4")


def _scale(text: str) -> int:
    number = text.removeprefix("1:")
    if not number.isdigit() or not 1 <= int(number) <= 5000:
        raise ValueError(text)
    return int(number)


_scale.__name__ = "scale (a number from 1 to 5000, like 50)"  # argparse tells it


def _plan(context: Context, args: Arguments) -> int:
    from shopbins.outputs import is_stdout
    from shopbins.plans.picture import picture

    form = args.form or Path(args.output).suffix.lower().removeprefix(".")
    if form not in FORMS:
        context.problem("say which: --pdf, --svg or --dxf")
        return 64
    desk = context.desk(readonly=True)
    plan = picture(desk.scene(), desk.audit(), date.today())
    scale, sheets = args.scale or 50, 1
    if form == "pdf":
        from shopbins.plans.pdf import TooManySheets, pdf
        from shopbins.plans.pdf import sheets as cut_for

        try:
            cut = cut_for(plan, args.paper, args.scale)
        except TooManySheets as problem:
            context.problem(str(problem))
            return 64
        scale, sheets = cut.scale, cut.columns * cut.rows
        data = pdf(plan, cut)
    elif form == "svg":
        from shopbins.plans.svg import svg

        data = svg(plan, scale)
    else:
        from shopbins.plans.dxf import dxf

        data, scale = dxf(plan), 1
    context.write_file(args.output, data)
    if not is_stdout(args.output):
        marked = sum(1 for mark in plan.marks if mark.number)
        told = {"path": args.output, "scale": scale, "sheets": sheets, "findings": len(plan.marks)}
        many = f", {sheets} sheets" if sheets > 1 else ""
        listed = (
            f"{len(plan.marks)} findings listed (what is accepted and records too), {marked} of them marked"
        )
        context.answer(told, [f"{args.output}: 1:{scale}{many}, {listed}"])
    return 0


def _import_arguments(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", help="a table (.csv) of places, or a drawing (.dxf)")
    parser.add_argument(
        "--unit", choices=("mm", "cm", "m", "in", "ft"), help="of a drawing that does not say"
    )
    parser.add_argument(
        "--layer",
        metavar="LAYER=WHAT",
        action="append",
        default=[],
        help="what a drawing's layer holds: rooms, bench, shelf, floor, keep clear, fixtures or nothing",
    )
    parser.add_argument("--dry-run", action="store_true", help="say what would be added, and write nothing")


def _import(context: Context, args: Arguments) -> int:
    from shopbins.desk.drawing import ShopDrawing
    from shopbins.plans.csv_in import CannotRead
    from shopbins.shop.editing.splice import edit
    from shopbins.shop.reader import parse

    desk = context.desk(readonly=args.dry_run)
    shop = desk.shop
    try:
        puts, told = _from_file(
            Path(args.file), args, {key: room.outline for key, room in shop.rooms.items()}
        )
    except CannotRead as problem:
        line = f":{problem.line}" if problem.line else ""
        context.problem(f"{args.file}{line}: {problem}")
        return 65
    context.problem(*told)
    if not puts:
        context.problem(f"{args.file}: nothing to add")
        return 1
    for put in puts:
        if put.path[1] in getattr(shop, str(put.path[0]).replace(" ", "_")):
            context.problem(f"{put.path[1]} is in the shop file already: rename it there or in {args.file}")
            return 65
    drawing = ShopDrawing(desk)
    parse(edit(drawing.text, puts), str(desk.shop_path))  # every problem, before anything is written
    if not args.dry_run:
        drawing.step(puts)
    added = [{"section": put.path[0], "key": put.path[1]} for put in puts]
    said = "would be added" if args.dry_run else "added"
    lines = [f"{put.path[0]}: {put.path[1]}" for put in puts]
    context.answer({"added": added, "written": not args.dry_run}, [*lines, f"{len(puts)} {said}"])
    return 0


def _from_file(
    file: Path, args: Arguments, rooms: dict[str, tuple[tuple[float, float], ...]]
) -> tuple[list[Put], list[str]]:
    from shopbins.plans.csv_in import CannotRead, zones
    from shopbins.plans.dxf_in import AS, MOST_BYTES, drawn, rings

    if not file.is_file():
        raise CannotRead("there is no such file")
    if file.suffix.lower() != ".dxf":
        if file.stat().st_size > MOST_BYTES:
            raise CannotRead(f"is larger than {MOST_BYTES // 1_000_000} MB")
        return zones(file.read_bytes()), []
    layers = dict(pair.partition("=")[::2] for pair in args.layer)
    for layer, what in layers.items():
        if what not in AS:
            raise CannotRead(f"--layer '{layer}={what}': one of {', '.join(AS)}")
    found, left = rings(file, args.unit)
    made = drawn(found, rooms, layers)
    return list(made.puts), [*left, *made.told]


COMMANDS = (
    Command(
        "plan",
        ("shopbins plan --pdf -o plan.pdf", "shopbins plan --svg --scale 50 -o plan.svg"),
        _plan_arguments,
        _plan,
        "On paper: sheets that overlap by 10 mm, a scale bar, and a line that must measure 100 mm.",
    ),
    Command(
        "import-plan",
        (
            "shopbins import-plan zones.csv --dry-run",
            "shopbins import-plan hall.dxf --unit mm --layer 'A-WALL=rooms'",
        ),
        _import_arguments,
        _import,
        "A table has the columns key, room, kind, x, y, length, depth, and may have turn, height, load,\n"
        "name, note. A drawing needs the extra 'dxf'. Nothing is written if anything is wrong.",
    ),
)
