"""What must come off to get at a part: the least set still to remove, and what of it is off already."""

from __future__ import annotations

from typing import NamedTuple

from shopbins.ledger.state import State
from shopbins.strip.graph import Sort
from shopbins.strip.order import Order


class Step(NamedTuple):
    """One position that comes off before the part asked for.

    `groups` are the codes of its groups (empty for a position nothing came off yet); `told` is False where
    only the recorded order of the assembly says so.
    """

    position: str
    name: str
    groups: tuple[str, ...]
    already_off: bool
    told: bool


def reach(state: State, position: str) -> list[Step]:
    """Return what comes off before a position, in order; KeyError where there is no such position.

    The set is the least one: everything a relation, an assembly or (only where nobody was asked) the recorded
    order puts before it, directly or through others, and nothing else.
    """
    order = state.follower(Order)
    graph = order.graph
    if position not in graph.number:
        raise KeyError(position)
    n = graph.number[position]
    certain = set(graph.before_numbers(n, usual=False))
    places, looks = list(graph.places.values()), order.looks
    docs = state.tables.get("group", {})
    steps = []
    for each in graph.before_numbers(n):
        place, look = places[each], looks[each]
        codes = tuple([docs[group]["code"] for group in place.groups])
        off = look.touched and look.on + look.joined + look.tried == 0
        steps.append(Step(place.id, place.name, codes, off, each in certain))
    return steps


def why(state: State, first: str, then: str) -> Sort | None:
    """Return why one position comes off directly before another, None if it need not."""
    graph = state.follower(Order).graph
    try:
        return graph.sort_of(first, then)
    except KeyError:
        return None
