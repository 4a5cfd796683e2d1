"""The line at the foot that always tells the state of the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual.color import Color

from shopbins.ledger.whereabouts import place_said
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.text import plain
from shopbins.tui.widgets.lines import CALLS
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.rules.tally import Tally
    from shopbins.tui.host import Host


Told = tuple[str, str, str]
"""A part of the line: its text, its style, and the method of the app that a click on it calls ('' none)."""


def state_parts(app: Host) -> list[Told]:
    """Return what is to be told, the most urgent first."""
    parts: list[Told] = []
    desk = app.desk
    if desk.shop_problems:
        first = desk.shop_problems[0]
        used = f"last good shop file in use · line {first.line} of the new one"
        if desk.shop_mending:
            used = f"to put right on Draw, line {first.line} of the shop file"
        parts.append((f"! {used}: {first.what}", "bold reverse", "action_edit"))
    if desk.only_looking:
        parts.append((f"! to look only: {desk.only_looking[0]}", "bold reverse", "say_only_looking"))
    total = _total(app)
    parts.extend(_checked(app, total))
    if app.scanned.here is not None:
        parts.append((f"here: {place_said(*app.scanned.here)}", "bold", "action_scan"))
    if (into := app.scanned.into) is not None and desk.state.has_group(into):
        parts.append((f"open: {desk.state.group(into).shown}", "bold", "action_scan"))
    if (held := app.scanned.held) is not None:
        what = desk.state.group(held).shown if desk.state.has_group(held) else f"blank label {held}"
        parts.append((f"in hand: {what}", "bold", "action_scan"))
    unplaced = len(desk.state.unplaced())
    parts.append((f"{unplaced} waiting" if unplaced else "nothing waiting", "", "show_waiting"))
    if app.others_new:
        parts.append((f"other terminal: {app.others_new} new", "bold", ""))
    if app.marked:
        parts.append((f"{len(app.marked)} marked", "", "action_show_parts"))
    away = len(desk.state.away())
    if away:
        parts.append((f"{away} away", "", "show_away"))
    if total is not None and total.records:
        parts.append((f"{counted(total.records, 'record')} to complete", "", "action_show_audit"))
    return parts


def _total(app: Host) -> Tally | None:
    """Count the findings, None where nothing was checked yet."""
    if app.findings is None:
        return None
    from shopbins.rules.tally import tally

    return tally(app.findings)


def _checked(app: Host, total: Tally | None) -> list[Told]:
    """Say how many stops, things to fix and accepted there are, each behind its sign."""
    audit = "action_show_audit"
    if total is None:
        return [(f"checking the shop{_share(app)} ..." if app.auditing else "not checked", "", audit)]
    stops, to_fix, *more = total.words()
    counts = (("stop", total.stops, stops), ("correct", total.to_fix, to_fix))
    told = [
        (f"{GRADE_GLYPH[grade]} {said}" if number else said, grade if number else "", audit)
        for grade, number, said in counts
    ]
    if total.accepted:
        told.append((f"□ {more[0]}", "stop", audit))
    if app.auditing:
        told.append((f"(checking again{_share(app)})", "", audit))
    elif app.findings_seq != app.desk.seq:
        told.append(("(checked before the last change)", "", audit))
    return told


def _share(app: Host) -> str:
    """Say how far the checking is, once it takes long enough to be told."""
    return f" {app.audited:.0%}".replace("%", " %") if app.audited else ""


def state_line(app: Host, width: int) -> Text:
    """Join the parts that fit, leaving out the last."""
    line = Text(" ")
    inks = {"stop": _bold(app, "error"), "correct": _bold(app, "warning")}
    between = ""
    for i, (text, style, click) in enumerate(state_parts(app)):
        text = plain(text, 400)
        if i and cell_len(line.plain) + cell_len(between) + cell_len(text) > width:
            break
        line.append(between)
        begin = len(line)
        line.append(text, inks.get(style, style))
        if click:
            line.stylize(Style(meta={CALLS: click}), begin)
        between = "  " if style in inks or text.startswith(("no stops", "0 stops")) else " · "
    return line


def _bold(app: Host, colour: str) -> Style:
    return Style(color=Color.parse(app.theme_variables[colour]).rich_color, bold=True)
