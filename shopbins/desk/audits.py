"""What audits found on which day, kept beside the ledger: so `--since` can say what is new, gone and closed.

The first and the last audit of a day are kept, as the ids of what was found, with how far the ledger was at
the first. The file is a memory, no record: where it is missing or wrong, or something was recorded between it
and the morning asked for, the ledger is folded up to the day and judged with the shop file as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.ledger.files import read_plain, write_cache

if TYPE_CHECKING:
    from shopbins.desk.desk import Desk
    from shopbins.rules.finding import Finding

NAME = "audits.json"
MOST_DAYS = 400
MOST_BYTES = 100_000_000
UNJUDGED = "not-judged/"


@dataclass(frozen=True, slots=True)
class Since:
    """What has changed: ids now found, no longer found, and notes whose missing figure has come."""

    new: tuple[str, ...]
    gone: tuple[str, ...]
    closed: tuple[str, ...]
    day: str

    def as_json(self) -> dict[str, list[str]]:
        """Return it as `audit --json` adds it."""
        return {"new": list(self.new), "gone": list(self.gone), "closed": list(self.closed)}


def remember(folder: Path, findings: Iterable[Finding], day: date, seq: int) -> None:
    """Keep what was found today, as of event `seq`, where the folder takes it."""
    ids, key = sorted({each.id for each in findings}), day.isoformat()
    kept = _kept(folder)
    if kept.get(key, {}).get("last") == ids:
        return
    kept[key] = {"first": ids, "seq": seq, **kept.get(key, {}), "last": ids}
    for old in sorted(kept)[:-MOST_DAYS]:
        del kept[old]
    write_cache(str(folder / NAME), json.dumps(kept).encode())


def _kept(folder: Path) -> dict[str, Any]:
    try:
        found = json.loads(read_plain(folder / NAME, MOST_BYTES))
    except (OSError, ValueError, RecursionError):
        return {}
    good = isinstance(found, dict) and all(
        isinstance(each, dict) and isinstance(each.get("first"), list) and isinstance(each.get("last"), list)
        for each in found.values()
    )
    return found if good else {}


def since(desk: Desk, findings: Iterable[Finding], day: date) -> Since:
    """Compare what is found now with how it was when the day began."""
    now = {each.id for each in findings}
    before, told = _before(desk, day)
    gone = {each for each in before - now if not any(_same(each, other) for other in now - before)}
    closed = {each for each in gone if each.startswith(UNJUDGED)}
    return Since(tuple(sorted(now - before)), tuple(sorted(gone - closed)), tuple(sorted(closed)), told)


def _same(before: str, now: str) -> bool:
    """Tell whether two ids are of one finding about several things that has got or lost some of them."""
    rule, _, things = before.rpartition("/")
    other, _, others = now.rpartition("/")
    return rule == other and not set(things.split("+")).isdisjoint(others.split("+"))


def _before(desk: Desk, day: date) -> tuple[set[str], str]:
    kept = _kept(Path(desk.ledger.folder))
    earlier = [key for key in sorted(kept) if key < day.isoformat()]
    if earlier and not _recorded_between(desk, earlier[-1], day):
        return set(kept[earlier[-1]]["last"]), earlier[-1]
    that = kept.get(day.isoformat(), {})
    seq, morning = that.get("seq"), _morning(day)
    if isinstance(seq, int) and not any(
        each.seq <= seq and each.at >= morning for each in desk.ledger.events(0)
    ):
        return set(that["first"]), day.isoformat()
    # what the shop file lacked at the first audit of the day is no matter of the ledger
    lacked = {each for each in that.get("first", ()) if each.startswith(UNJUDGED) and "group:" not in each}
    return _folded(desk, day) | lacked, f"{day.isoformat()}, with the shop file as it is now"


def _recorded_between(desk: Desk, kept: str, day: date) -> bool:
    """Tell whether anything was recorded after the audit of a kept day and before the day asked for."""
    morning = _morning(day)
    evening = _morning(date.fromisoformat(kept) + timedelta(days=1))
    return any(evening <= event.at < morning for event in desk.ledger.events(0))


def _morning(day: date) -> str:
    """Return when a day begins (local time), as events write it."""
    return datetime(day.year, day.month, day.day).astimezone(UTC).isoformat().replace("+00:00", "Z")


def _folded(desk: Desk, day: date) -> set[str]:
    """Judge the ledger as it was when the day began (local time)."""
    from shopbins.ledger.state import State
    from shopbins.rules.auditing import audit
    from shopbins.scene.scene import build

    until = _morning(day)
    state = State(prefix=desk.shop.prefix)
    for event in desk.ledger.events(0):
        if event.at >= until:
            break
        state.apply(event.after, event.seq)
    return {each.id for each in audit(build(desk.shop, state), day)}
