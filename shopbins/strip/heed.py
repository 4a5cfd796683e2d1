"""What the hands must be told before they touch a part: said before the act, whole, wherever it is handled.

Some of it belongs to the part itself (asbestos, spring under load, one use, a concession), some to its place
on the machine (left-hand thread, trick, shims, torque): what replaces a part inherits both.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from shopbins.ledger.model import Group
from shopbins.ledger.state import State
from shopbins.strip.how import how_lines
from shopbins.strip.order import Order
from shopbins.strip.release import release, terms
from shopbins.strip.sets import at_refit, unmatched
from shopbins.strip.tree import listed


def heed(state: State, group: Group, today: date | None = None) -> list[str]:
    """Return what to heed when a group is handled, the gravest first."""
    lines = [f"caution: {each}" for each in group.cautions]
    for position in group.positions:
        lines += seat_lines(state, position)
    lines += at_refit(state, group)
    lines += unmatched(state, group)
    if group.one_use:
        lines.append("one use: renewed whenever it comes off")
    let = release(state, group.id, today or date.today())
    for each in let.conceded:
        lines.append(f"under concession: {each.said}, {terms(each.concession or {})}")
    if let.nobody:
        lines.append(let.why)
    return list(dict.fromkeys(lines))


def heed_position(state: State, position: str, today: date | None = None) -> list[str]:
    """Return what to heed at a position: of its groups, or of the place alone where nothing came off yet."""
    places = state.follower(Order).graph.places
    groups: Iterable[str] = places[position].groups if position in places else ()
    lines = [line for each in groups for line in heed(state, state.group(each), today)]
    return list(dict.fromkeys((*lines, *seat_lines(state, position))))


def seat_lines(state: State, position: str) -> list[str]:
    """Return what is known of a place on the machine itself."""
    doc = listed(state).get(position, {})
    return [*(f"caution: {each}" for each in doc.get("cautions", ())), *how_lines(doc.get("how", {}))]
