"""Where things lie and where they came from, in a rebuilder's words, the same everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.ledger.model import Away, Fitted, How, InGroup, InZone, Whereabouts

if TYPE_CHECKING:
    from shopbins.ledger.state import State

HOW_WORDS: dict[How, str] = {"in": "in", "on": "on", "fitted": "fitted to", "tried": "on trial on"}


def place_said(zone: str, level: str = "") -> str:
    """Say a place: 'rack a/3', or just the zone where it has one level."""
    return f"{zone}/{level}" if level else zone


def whereabouts(state: State, where: Whereabouts) -> str:
    """Say where something is: 'rack a/3, in tub 7', 'waiting', 'away at the grinder until 2026-12-24'."""
    chain: list[str] = []
    seen: set[str] = set()
    while isinstance(where, InGroup):
        if where.group in seen or not state.has_group(where.group):
            return ", ".join(
                ["nowhere (in itself)" if where.group in seen else "in a part that is gone", *chain]
            )
        seen.add(where.group)
        holder = state.group(where.group)
        chain.insert(0, f"{HOW_WORDS[where.how]} {holder.shown}")
        where = holder.where
    return ", ".join([_end(where), *chain])


def _end(where: InZone | Away | Fitted | None) -> str:
    if where is None:
        return "waiting"
    if isinstance(where, Fitted):
        return "on the machine, on trial" if where.trial else "on the machine"
    if isinstance(where, InZone):
        return place_said(where.zone, where.level)
    until = f" until {where.until}" if where.until else ""
    return f"away at {where.to}{until}"


def ordinal(number: int) -> str:
    """Say 1st, 2nd, 3rd, 11th ..."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"
