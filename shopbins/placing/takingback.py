"""Taking back is judged too: what returns to its old place must not get round a stop there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused
from shopbins.placing.judging import judge
from shopbins.placing.recording import Reasons, let_through, open_stop
from shopbins.records.acts import docs_after
from shopbins.rules.finding import Finding
from shopbins.scene.scene import build

if TYPE_CHECKING:
    from shopbins.ledger.events import Draft
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop


class WouldStop(Refused):
    """Taking back would bring stops back that nobody accepted; `stops` are they."""

    def __init__(self, stops: tuple[Finding, ...]) -> None:
        more = f" and {len(stops) - 1} more" if len(stops) > 1 else ""
        super().__init__(f"cannot be taken back: {stops[0].text}{more}")
        self.stops = stops


def check_on(
    shop: Shop, by: str, override: Reasons = None, day: date | None = None
) -> Callable[[State, Draft], Draft]:
    """Return the check `Ledger.undo` and `redo` run on the fresh state.

    A stop that would come back raises WouldStop unless `override` accepts it; then the taking back is
    recorded with the acceptance.
    """

    def check(state: State, draft: Draft) -> Draft:
        after = state.copy()
        after.apply(draft.after, state.seq + 1)
        scene = build(shop, after)
        stops: dict[str, Finding] = {}
        for group_id in _laid_by(after, draft):
            where = after.group(group_id).where
            if not isinstance(where, InZone) or scene.zone(where.zone) is None:
                continue
            for found in judge(scene, group_id, where, thorough=True):
                if open_stop(found):
                    stops[found.id] = found
        given = let_through(shop, stops.values(), override, by, day or date.today())
        left = tuple(found for key, found in stops.items() if key not in given)
        if left:
            raise WouldStop(left)
        return draft._replace(after={**draft.after, **docs_after({k: doc for k, (_, doc) in given.items()})})

    return check


def _laid_by(after: State, draft: Draft) -> list[str]:
    """Return the ids of the groups a draft puts somewhere."""
    moved = []
    for subject, fields in draft.after.items():
        table, _, key = subject.partition(":")
        if table == "group" and fields and fields.get("where") and after.has_group(key):
            moved.append(key)
    return moved
