"""How the last evening ended: its final steps, what waits to be laid down, what is back or overdue."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from shopbins.ledger.model import Away
from shopbins.reports.group import local_time
from shopbins.strip.refit import next_back
from shopbins.strip.shortages import shortages
from shopbins.tui.words import mass_words
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.rules.finding import Finding

STEPS = 5
MOST = 8
DUE_AFTER = timedelta(hours=8)


def last_at(desk: Desk) -> datetime | None:
    """Return when the last change was recorded."""
    steps = desk.last_steps(1)
    if not steps:
        return None
    try:
        moment = datetime.fromisoformat(steps[-1][0].at.replace("Z", "+00:00"))
    except ValueError:
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def is_due(desk: Desk, now: datetime | None = None) -> bool:
    """Tell whether the last change is long enough ago to be told of."""
    last = last_at(desk)
    return last is not None and (now or datetime.now(UTC)) - last >= DUE_AFTER


def ago(last: datetime, now: datetime) -> str:
    """Say how long ago something was: '3 hours', '5 weeks'."""
    hours = (now - last).total_seconds() / 3600
    for size, word in ((24 * 7, "week"), (24, "day"), (1, "hour")):
        if hours >= 2 * size:
            return f"{counted(int(hours / size), word)} ago"
    return "just now" if hours < 1 else "an hour ago"


def evening_lines(
    desk: Desk, findings: Sequence[Finding] | None, now: datetime | None = None, today: date | None = None
) -> list[str]:
    """Return the lines of the panel."""
    now, today = now or datetime.now(UTC), today or date.today()
    last = last_at(desk)
    lines = ["nothing has been recorded yet" if last is None else f"{ago(last, now)}, the last steps were:"]
    lines += [
        f"  {local_time(event.at)}  {event.by}: {text}" for event, text in reversed(desk.last_steps(STEPS))
    ]
    lines += _unplaced(desk)
    lines += _away(desk, today)
    lines += _to_go_back(desk, today)
    left = [f for f in findings or () if f.accepted is not None and f.accepted.for_now]
    if left:
        lines += ["", f"Accepted for now ({len(left)}), to be looked at again:"]
        lines += [f"  {f.text}" for f in left[:MOST]]
    lines += ["", "Next: w: parts waiting · 3 the audit · 5 the refit · e what comes off"]
    return lines


def _unplaced(desk: Desk) -> list[str]:
    groups = [desk.state.group(each) for each in desk.state.unplaced()]
    if not groups:
        return ["", "Nothing is waiting."]
    lines = ["", f"Waiting: taken off, no place yet ({len(groups)}):"]
    lines += [f"  {g.shown} · {mass_words(g.mass)}" for g in groups[-MOST:]]
    return lines + ([f"  and {len(groups) - MOST} more"] if len(groups) > MOST else [])


def _to_go_back(desk: Desk, today: date) -> list[str]:
    """Say what can go back next and what presses most, once something is planned to go back."""
    if not desk.state.docs("milestone") and not desk.state.docs("shortage"):
        return []
    names = [each.name for each in next_back(desk.state)]
    lines = ["", f"Can go back next ({len(names)}):"] if names else []
    lines += [f"  {name}" for name in names[:STEPS]]
    lines += [f"  and {len(names) - STEPS} more"] if len(names) > STEPS else []
    pressing = [
        each for each in shortages(desk.state, today) if each.ask_by is not None or each.needed_by is not None
    ]
    return (
        lines
        + (["", "Lacking:"] if pressing else [])
        + [f"  {p.name}: {p.sentence}" for p in pressing[:STEPS]]
    )


def _away(desk: Desk, today: date) -> list[str]:
    lines: list[str] = []
    for each in desk.state.away():
        group = desk.state.group(each)
        if not isinstance(group.where, Away):
            continue
        until = group.where.until
        late = (
            f"OVERDUE since {until}"
            if until and until < today.isoformat()
            else f"until {until}"
            if until
            else ""
        )
        lines.append(f"  {group.shown} · {group.where.to} {late}".rstrip())
    lines.sort(key=lambda line: "OVERDUE" not in line)
    return ["", f"Away ({len(lines)}):", *lines[:MOST]] if lines else []
