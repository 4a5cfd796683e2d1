"""Commands about the drawn plan: write it to scale, read one from a table or a drawing."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser

if TYPE_CHECKING:
    from shopbins.cli.context import Context

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
    if args.output != "-":
        marked = sum(1 for mark in plan.marks if mark.number)
        told = {"path": args.output, "scale": scale, "sheets": sheets, "findings": len(plan.marks)}
        many = f", {sheets} sheets" if sheets > 1 else ""
        listed = f"{len(plan.marks)} findings listed, {marked} of them marked"
        context.answer(told, [f"{args.output}: 1:{scale}{many}, {listed}"])
    return 0


COMMANDS = {
    each.name: each
    for each in (
        Command(
            "plan",
            "draw the shop to scale, with what stands in it and what is against a rule",
            ("shopbins plan --pdf -o plan.pdf", "shopbins plan --svg --scale 50 -o plan.svg"),
            _plan_arguments,
            _plan,
            "On paper: sheets that overlap by 10 mm, a scale bar, and a line that must measure 100 mm.",
        ),
    )
}
