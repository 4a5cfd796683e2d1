"""Matched sets: what was worn in or machined together stays together, each piece in its own seat."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.ledger.model import Group
from shopbins.ledger.state import State


@dataclass(frozen=True, slots=True)
class MatchedSet:
    """A matched set: the positions its pieces belong to, each with its seat where that was given."""

    key: str
    name: str
    positions: tuple[str, ...]
    seats: tuple[str, ...] = ()


def matched_sets(state: State) -> list[MatchedSet]:
    """Return every matched set."""
    return [
        MatchedSet(key, doc["name"], tuple(doc["positions"]), tuple(doc.get("seats", ())))
        for key, doc in state.docs("set").items()
    ]


def sets_of(state: State, group: Group) -> list[MatchedSet]:
    """Return the matched sets a group has pieces of."""
    own = set(group.positions)
    return [each for each in matched_sets(state) if own & set(each.positions)]


def seat_of(matched: MatchedSet, group: Group) -> str:
    """Return the seat of a group in a matched set, '' where none was given."""
    for position, seat in zip(matched.positions, matched.seats, strict=False):
        if position in group.positions:
            return seat
    return ""


def warn_split(state: State, group: Group) -> list[str]:
    """Say what splitting a group would part."""
    return [
        f"{group.shown} is of the matched set '{each.name}': keep it together"
        for each in sets_of(state, group)
    ]


def warn_gone(state: State, group: Group) -> list[str]:
    """Say what loses its mate if a group is scrapped, renewed or given away."""
    return [
        f"{group.shown} is of the matched set '{each.name}' with {_others(state, each, group)}: "
        "what was matched is renewed together"
        for each in sets_of(state, group)
    ]


def parted(state: State, groups: list[Group]) -> list[str]:
    """Say which matched sets putting groups together would part: their pieces could not be told any more."""
    found = []
    for each in matched_sets(state):
        within = [group for group in groups if set(group.positions) & set(each.positions)]
        if within and len(groups) > 1 and (each.seats or len(within) < len(groups)):
            names = " and ".join(group.shown for group in within)
            found.append(f"{names}: of the matched set '{each.name}', whose pieces stay apart")
    return found


def warn_seat(state: State, group: Group, origin: tuple[str, ...]) -> list[str]:
    """Say what changes its seat if a group's origin becomes another."""
    if origin == group.origin:
        return []
    return [
        f"{group.shown} is of the matched set '{each.name}': it would change its seat"
        + (f" ({seat})" if (seat := seat_of(each, group)) else "")
        for each in sets_of(state, group)
    ]


def at_refit(state: State, group: Group) -> list[str]:
    """Say with what, and into which seat, a group goes back."""
    found = []
    for each in sets_of(state, group):
        seat = seat_of(each, group)
        found.append(f"matched set '{each.name}'" + (f": seat {seat}" if seat else ""))
    return found


def unmatched(state: State, group: Group) -> list[str]:
    """Say with what a group bought for a matched seat, or swapped into it, is still to be matched."""
    own, found = set(group.positions), []
    for each in sets_of(state, group):
        doc = state.docs("set")[each.key]
        new = group.brought and group.id not in doc.get("matched", ())
        if new or own & set(doc.get("parted", ())):
            what = "new" if new else "not the one that was there"
            found.append(
                f"{what}, to be matched with {_others(state, each, group)} (matched set '{each.name}')"
            )
    return found


def _others(state: State, matched: MatchedSet, group: Group) -> str:
    own = set(group.positions)
    names = [
        other.shown
        for other in state.groups()
        if other.id != group.id and set(other.positions) & set(matched.positions) - own
    ]
    return ", ".join(names) or "its other pieces"
