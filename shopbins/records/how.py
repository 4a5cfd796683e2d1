"""How a position came off, and how long putting it back takes."""

from __future__ import annotations

from typing import Any

from shopbins.ledger.events import Draft
from shopbins.ledger.state import State
from shopbins.records import kinds
from shopbins.records.position import known_position
from shopbins.records.record import Act, Field
from shopbins.strip.how import checked_how


def tell(state: State, position: str, **details: Any) -> Draft:
    """Record how a position came off (see strip/how.py); a detail given as None or empty is taken back."""
    known_position(state, position)
    old = state.docs("part").get(position, {}).get("how", {})
    how = {name: value for name, value in {**old, **checked_how(details)}.items() if value}
    return Draft("how it came off", {f"part:{position}": {"how": how or None}}, (f"group:{position}",))


def set_days(state: State, position: str, days: tuple[float, float] | None) -> Draft:
    """Say how many days putting a position back takes, least and most (None: unknown again)."""
    known_position(state, position)
    kept = None if days is None else kinds.SPAN.check(days, "the days")
    return Draft("set days", {f"part:{position}": {"days": kept}}, (f"group:{position}",))


HOW = Act("how it came off", "noted how it came off:", tell, "part", thing=kinds.POSITION)
DAYS = Act(
    "set days", "noted the days for", set_days, "part",
    (Field("days", kinds.SPAN, "how many days putting it back takes", "--days"),), kinds.POSITION,
)  # fmt: skip
