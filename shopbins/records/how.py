"""How a position came off, and how long putting it back takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.ledger.events import Draft
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.records import kinds
from shopbins.records.position import known_position
from shopbins.records.record import Act, Field
from shopbins.strip.how import checked_how


def tell(state: State, position: str, *, no_shims: Sequence[int] = (), **details: Any) -> Draft:
    """Record how a position came off (see strip/how.py): shims and screws are added to those there are.

    `no_shims` takes shims back by their number, 1 first. What is recorded already is not written over
    (Refused): it is corrected, with a reason.
    """
    place = known_position(state, position)
    old = dict(state.docs("part").get(position, {}).get("how", {}))
    new = checked_how(details)
    shims = [list(each) for each in old.get("shims", ())]
    for n in no_shims:
        if not 1 <= n <= len(shims):
            raise Refused(f"{place.name} has no shim {n} on record")
    shims = [each for n, each in enumerate(shims, 1) if n not in no_shims]
    for name in ("shims", "screws"):
        had = shims if name == "shims" else [list(each) for each in old.get("screws", ())]
        added = [each for each in new.pop(name, []) if each not in had]
        if added or name == "shims":
            old[name] = checked_how({name: [*had, *added]})[name]
    for name, value in new.items():
        if old.get(name) and (value or value is None) and value != old[name]:
            raise Refused(
                f"{place.name}: {name.partition('_')[0]} is '{old[name]}' already: correct it, with a reason"
            )
        if value:
            old[name] = value
    how = {name: value for name, value in old.items() if value}
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
