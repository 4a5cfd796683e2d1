"""Printing from Plan and Draw: the plan to scale, and the measuring sheet, into a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.desk.problems import translated
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice

if TYPE_CHECKING:
    from shopbins.tui.host import Host

PLAN, SHEET = "plan", "sheet"
FORMS = (".pdf", ".svg", ".dxf")


def choices(app: Host) -> list[Choice]:
    """Return what else can be printed where the shop is shown: nothing on other screens."""
    if getattr(app.screen, "shown", "") not in ("Plan", "Draw"):
        return []
    return [
        Choice(PLAN, "the plan to scale", "with what is against a rule: .pdf, .svg or .dxf"),
        Choice(SHEET, "a measuring sheet", "two pages a room, to fill in with the tape"),
    ]


def print_into_file(app: Host, which: str) -> None:
    """Ask for a file and write the plan or the measuring sheet into it."""
    name = f"{'plan' if which == PLAN else 'measure'}-{app.today().isoformat()}.pdf"

    def given(text: str | None) -> None:
        if text:
            path = Path(text).expanduser()
            app.attempt(lambda: _write(app, which, path), f"written: {path}")

    def wrong(text: str) -> str | None:
        ending = Path(text).suffix.lower()
        known = FORMS if which == PLAN else (".pdf",)
        return None if ending in known else f"a name that ends in {' or '.join(known)}"

    app.push_screen(Ask("Into which file?", str(app.desk.shop_path.parent / name), wrong=wrong), given)


def _write(app: Host, which: str, path: Path) -> bool:
    from shopbins.outputs import write_output

    with translated():
        write_output(path, _bytes(app, which, path.suffix.lower()))
    return True


def _bytes(app: Host, which: str, form: str) -> bytes:
    if which == SHEET:
        from shopbins.plans.sheet import sheet

        return sheet("a4")
    from shopbins.plans.picture import picture

    plan = picture(app.desk.scene(), app.desk.audit(app.today()), app.today())
    if form == ".svg":
        from shopbins.plans.svg import svg

        return svg(plan, 50)
    if form == ".dxf":
        from shopbins.plans.dxf import dxf

        return dxf(plan)
    from shopbins.plans.pdf import pdf, sheets

    return pdf(plan, sheets(plan, "a4", None))
