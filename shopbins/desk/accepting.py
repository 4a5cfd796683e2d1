"""Finding what a person means to accept: an open finding or note, or a condition of a move, by its id."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from shopbins.desk.moving import Worked, condition, in_a_move, in_a_plan, of_a_line
from shopbins.desk.problems import BadInput, NotDone
from shopbins.records.accepted import Acceptable, Acceptance, acceptances
from shopbins.rules.accepting import acceptable

if TYPE_CHECKING:
    from shopbins.desk.desk import Desk

Finder = Callable[["Desk", str, Worked], Iterable[Acceptable]]
"""Gives what may be accepted whose id has a text in it; `key` is that text."""


def in_the_audit(desk: Desk, key: str, _worked: Worked) -> Iterable[Acceptable]:
    """Go through the findings that now stand."""
    return (acceptable(desk.shop, found) for found in desk.audit() if key in found.id)


def of_a_room(desk: Desk, key: str, _worked: Worked) -> Iterable[Acceptable]:
    """Go through what is accepted of a floor once, for all moves over it."""
    from shopbins.moves.finding import row_of
    from shopbins.moves.running import even_floor

    every = (row_of(even_floor(room)) for room in desk.shop.rooms.values() if room.even is None)
    return (condition(row) for row in every if key in row.finding.id)


FINDERS: tuple[Finder, ...] = (in_the_audit, of_a_room, in_a_plan, in_a_move)
"""Where to look, in this order: the first that knows the id has it."""


def meant(desk: Desk, *keys: str) -> list[Acceptable]:
    """Return what is meant by each id, by the beginning of one, or by a part of one that only one has; of a
    line of conditions that go together, each that is open.
    """
    worked: Worked = {}
    return [each for key in keys for each in of_a_line(desk, key, worked) or [_meant(desk, key, worked)]]


def _meant(desk: Desk, key: str, worked: Worked) -> Acceptable:
    for finder in FINDERS:
        there = list(finder(desk, key, worked))
        begin = [each for each in there if each.id.startswith(key)]
        for some in ([each for each in there if each.id == key], begin, there):
            if len(some) == 1:
                return some[0]
        if there:
            raise BadInput(f"'{key}' is in {len(there)} ids:", *(f"  {each.id}" for each in there[:8]))
    raise NotDone(
        f"nothing is found under '{key}' (shopbins audit --json and shopbins move --json give the ids)"
    )


def on_record(desk: Desk, key: str) -> Acceptance:
    """Return the acceptance meant by an id, or by a part of one."""
    known = acceptances(desk.state)
    there = [known[key]] if key in known else [each for each in known.values() if key in each.id]
    if not there:
        raise NotDone(f"nothing is accepted under '{key}'")
    if len(there) > 1:
        raise BadInput(f"'{key}' is in {len(there)} ids:", *(f"  {each.id}" for each in there[:8]))
    return there[0]
