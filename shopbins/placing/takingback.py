"""Taking back is judged too: what returns to its old place must not get round a stop there."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused
from shopbins.placing.judging import judge
from shopbins.placing.recording import open_stop
from shopbins.scene.scene import build

if TYPE_CHECKING:
    from shopbins.ledger.events import Draft
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop


def check_on(shop: Shop) -> Callable[[State, Draft], None]:
    """Return the check `Ledger.undo` and `redo` run on the fresh state; it raises Refused."""

    def check(state: State, draft: Draft) -> None:
        after = state.copy()
        after.apply(draft.after, state.seq + 1)
        scene = build(shop, after)
        for group_id in _laid_by(after, draft):
            where = after.group(group_id).where
            if not isinstance(where, InZone) or scene.zone(where.zone) is None:
                continue
            for found in judge(scene, group_id, where, thorough=True):
                if open_stop(found):
                    raise Refused(f"cannot be taken back: {found.text}")

    return check


def _laid_by(after: State, draft: Draft) -> list[str]:
    """Return the ids of the groups a draft puts somewhere."""
    moved = []
    for subject, fields in draft.after.items():
        table, _, key = subject.partition(":")
        if table == "group" and fields and fields.get("where") and after.has_group(key):
            moved.append(key)
    return moved
