"""How a position came off, and how long putting it back takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records import kinds
from shopbins.records.position import known_position
from shopbins.records.record import Act, Field
from shopbins.strip.how import checked_how, how_lines


def tell(
    state: State,
    position: str,
    *,
    no_shims: Sequence[int] = (),
    reason: str = "",
    by: str = "",
    on: str | None = None,
    **details: Any,
) -> Draft:
    """Record how a position came off (see strip/how.py): shims and screws are added to those there are.

    `no_shims` takes shims back by their number, 1 first; that, and another screw for a hole, want a `reason`,
    which is kept with the old value. What is recorded already is not written over (Refused): it is
    corrected, with a reason.
    """
    why = reason_text(reason)
    undone: list[str] = []
    place = known_position(state, position)
    old = dict(state.docs("part").get(position, {}).get("how", {}))
    new = checked_how(details)
    shims = [list(each) for each in old.get("shims", ())]
    for n in no_shims:
        if not 1 <= n <= len(shims):
            raise Refused(f"{place.name} has no shim {n} on record")
    undone += [_shown("shims", each) for n, each in enumerate(shims, 1) if n in no_shims]
    shims = [each for n, each in enumerate(shims, 1) if n not in no_shims]
    old["shims"] = checked_how({"shims": [*shims, *new.pop("shims", [])]})["shims"]
    screws = [list(each) for each in old.get("screws", ())]
    for screw in new.pop("screws", []):
        for had in [each for each in screws if each[0].casefold() == screw[0].casefold()]:
            screws.remove(had)
            undone += [_shown("screws", had)] if had != list(screw) else []
        screws.append(list(screw))
    old["screws"] = checked_how({"screws": screws})["screws"]
    if undone and not why:
        raise BadValue(f"{place.name} has {', '.join(undone)} on record: say why that was wrong (--reason)")
    for name, value in new.items():
        if old.get(name) and (value or value is None) and value != old[name]:
            raise Refused(
                f"{place.name}: {name.partition('_')[0]} is '{old[name]}' already: correct it, with a reason"
            )
        if value:
            old[name] = value
    how = {name: value for name, value in old.items() if value}
    after: dict[str, Any] = {f"part:{position}": {"how": how or None}}
    if undone:
        doc = {"table": "part", "key": position, "field": "how", "why": why, "by": by or None, "on": on,
               "text": f"{place.name}: {', '.join(undone)} taken back"}  # fmt: skip
        after[f"correction:{new_id()}"] = {name: value for name, value in doc.items() if value}
    return Draft("how it came off", after, (f"group:{position}",))


def _shown(name: str, each: Sequence[Any]) -> str:
    return " ".join(how_lines({name: [list(each)]}))


def set_days(state: State, position: str, days: tuple[float, float] | None) -> Draft:
    """Say how many days putting a position back takes, least and most (None: unknown again)."""
    known_position(state, position)
    kept = None if days is None else kinds.SPAN.check(days, "the days")
    return Draft("set days", {f"part:{position}": {"days": kept}}, (f"group:{position}",))


HOW = Act("how it came off", "noted how it came off:", tell, "part", thing=kinds.POSITION, signed=True)
DAYS = Act(
    "set days", "noted the days for", set_days, "part",
    (Field("days", kinds.SPAN, "how many days putting it back takes", "--days"),), kinds.POSITION,
)  # fmt: skip
