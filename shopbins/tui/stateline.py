"""The line at the foot that always tells the state of the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual.color import Color

from shopbins.ledger.whereabouts import place_said
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.text import counted, plain

if TYPE_CHECKING:
    from shopbins.tui.host import Host


def state_parts(app: Host) -> list[tuple[str, str]]:
    """Return what is to be told as (text, style), the most urgent first."""
    parts: list[tuple[str, str]] = []
    desk = app.desk
    if desk.shop_problems:
        first = desk.shop_problems[0]
        parts.append(
            (f"! last good shop file in use; in the new one, line {first.line}: {first.what}", "bold reverse")
        )
    if desk.only_looking:
        parts.append((f"! to look only: {desk.only_looking[0]}", "bold reverse"))
    parts.extend(_checked(app))
    if app.scanned.here is not None:
        parts.append((f"here: {place_said(*app.scanned.here)}", "bold"))
    if (into := app.scanned.into) is not None and desk.state.has_group(into):
        parts.append((f"open: {desk.state.group(into).shown}", "bold"))
    if (held := app.scanned.held) is not None:
        what = desk.state.group(held).shown if desk.state.has_group(held) else f"blank label {held}"
        parts.append((f"in hand: {what}", "bold"))
    unplaced = len(desk.state.unplaced())
    parts.append((f"{unplaced} waiting" if unplaced else "nothing waiting", ""))
    if app.others_new:
        parts.append((f"other terminal: {app.others_new} new", "bold"))
    if app.marked:
        parts.append((f"{len(app.marked)} marked", ""))
    away = len(desk.state.away())
    if away:
        parts.append((f"{away} away", ""))
    if app.findings is not None:
        from shopbins.rules.tally import tally

        if records := tally(app.findings).records:
            parts.append((f"{counted(records, 'record')} to complete", ""))
    return parts


def _checked(app: Host) -> list[tuple[str, str]]:
    """Say how many stops, things to fix and accepted there are, each behind its sign."""
    if app.findings is None:
        return [(f"checking the shop{_share(app)} ..." if app.auditing else "not checked", "")]
    from shopbins.rules.tally import tally

    total = tally(app.findings)
    stops, to_fix, *more = total.words()
    told = [
        (f"{GRADE_GLYPH['stop']} {stops}" if total.stops else stops, "stop" if total.stops else ""),
        (f"{GRADE_GLYPH['correct']} {to_fix}" if total.to_fix else to_fix, "correct" if total.to_fix else ""),
    ]
    if total.accepted:
        told.append((f"□ {more[0]}", "stop"))
    if app.auditing:
        told.append((f"(checking again{_share(app)})", ""))
    elif app.findings_seq != app.desk.seq:
        told.append(("(checked before the last change)", ""))
    return told


def _share(app: Host) -> str:
    """Say how far the checking is, once it takes long enough to be told."""
    return f" {app.audited:.0%}".replace("%", " %") if app.audited else ""


def state_line(app: Host, width: int) -> Text:
    """Join the parts that fit, leaving out the last."""
    line = Text(" ")
    inks = {"stop": _bold(app, "error"), "correct": _bold(app, "warning")}
    between = ""
    for i, (text, style) in enumerate(state_parts(app)):
        text = plain(text, 400)
        if i and cell_len(line.plain) + cell_len(between) + cell_len(text) > width:
            break
        line.append(between)
        line.append(text, inks.get(style, style))
        between = "  " if style in inks or text.startswith(("no stops", "0 stops")) else " · "
    return line


def _bold(app: Host, colour: str) -> Style:
    return Style(color=Color.parse(app.theme_variables[colour]).rich_color, bold=True)
