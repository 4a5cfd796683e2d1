"""The line at the foot that always tells the state of the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.text import Text

from shopbins.rules.finding import counts
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
    parts.extend(_judged(app))
    if app.scanned.here is not None:
        parts.append((f"here: {desk.place_words(*app.scanned.here)}", "bold"))
    if (into := app.scanned.into) is not None and desk.state.has_group(into):
        parts.append((f"open: {desk.state.group(into).shown}", "bold"))
    if (held := app.scanned.held) is not None:
        what = desk.state.group(held).shown if desk.state.has_group(held) else f"blank tag {held}"
        parts.append((f"in hand: {what}", "bold"))
    unplaced = len(desk.state.unplaced())
    parts.append((f"{unplaced} unplaced" if unplaced else "all laid down", ""))
    if app.others_new:
        parts.append((f"other terminal: {app.others_new} new", "bold"))
    if app.marked:
        parts.append((f"{len(app.marked)} marked", ""))
    stood = sum(1 for f in app.findings or () if f.accepted is not None)
    if stood:
        parts.append((f"{stood} let stand", ""))
    away = len(desk.state.away())
    if away:
        parts.append((f"{away} away", ""))
    return parts


def _judged(app: Host) -> list[tuple[str, str]]:
    if app.findings is None:
        return [(f"judging the shop{_share(app)} ..." if app.auditing else "not judged", "")]
    total = counts(f for f in app.findings if f.accepted is None)
    late = f" (judging again{_share(app)})" if app.auditing else ""
    if not late and app.findings_seq != app.desk.seq:
        late = " (before the last change)"
    stops = f"{GRADE_GLYPH['stop']} {counted(total['stop'], 'stop')}" if total["stop"] else "no stop"
    correct = f"{GRADE_GLYPH['correct']} {total['correct']} to correct"
    return [(f"{stops}, {correct}{late}", "bold" if total["stop"] else "")]


def _share(app: Host) -> str:
    """Say how far the judging is, once it takes long enough to be told."""
    return f" {app.audited:.0%}".replace("%", " %") if app.audited else ""


def state_line(app: Host, width: int) -> Text:
    """Join the parts that fit, leaving out the last."""
    line = Text(" ")
    for i, (text, style) in enumerate(state_parts(app)):
        text = plain(text, 400)
        if i and cell_len(line.plain) + 3 + cell_len(text) > width:
            break
        if i:
            line.append(" · ")
        line.append(text, style)
    return line
