"""What is known of a group: its name, origin, size, mass, pieces, what becomes of it, how it is moved."""

from __future__ import annotations

from typing import Any

from shopbins.ledger.events import Draft
from shopbins.ledger.state import State
from shopbins.records import acts, acts_move, acts_refit, kinds, shortage
from shopbins.records.record import Act


def change(state: State, group_id: str, **fields: Any) -> Draft:
    """Change what is known of a group; what becomes of it is judged (what is on is not scrapped)."""
    if fields.get("disposition") == "renew":
        more = {name: value for name, value in fields.items() if name != "disposition"}
        return shortage.renew(state, group_id, also=more)
    if "disposition" in fields:
        return acts_refit.dispose(state, group_id, **fields)
    return acts.change(state, group_id, **fields)


CHANGE = Act("change", "changed", change, "group", thing=kinds.GROUP)
DESCRIBE = Act("describe", "said how to move", acts_move.describe, "group", thing=kinds.GROUP)
