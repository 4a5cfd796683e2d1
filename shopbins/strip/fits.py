"""Trial fits: what is on only to be tried."""

from __future__ import annotations

from shopbins.ledger.model import Fitted, Group, InGroup
from shopbins.ledger.state import State


def on_trial(state: State) -> list[Group]:
    """Return the groups that are on only to be tried, by themselves (not what was tried with them)."""
    found = []
    for group in state.groups():
        where = group.where
        if (isinstance(where, Fitted) and where.trial) or (
            isinstance(where, InGroup) and where.how == "tried"
        ):
            found.append(group)
    return found
