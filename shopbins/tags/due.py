"""Which tags are still to be printed, or say something that is no longer so, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shopbins.strip.printed import changed

if TYPE_CHECKING:
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop

UNTAGGED = "untagged"


@dataclass(frozen=True, slots=True)
class Due:
    """A tag to print: its code, what it is of, and what changed since it was printed (or 'untagged')."""

    code: str
    shown: str
    why: tuple[str, ...]

    @property
    def untagged(self) -> bool:
        """Tell whether it was never printed."""
        return self.why == (UNTAGGED,)


def due_tags(state: State, shop: Shop, *, untagged: bool = True, stale: bool = True) -> list[Due]:
    """Return the tags to print, in no order.

    Zones and levels count once any of theirs was printed: a shop that works without them is left in peace.
    What a blank tag says in somebody's hand is not known, so it is never stale.
    """
    found = [*_groups(state), *_places(state, shop)]
    return [each for each in found if (untagged if each.untagged else stale)]


def _groups(state: State) -> Iterator[Due]:
    for group in state.groups():
        if not group.tagged:
            yield Due(group.code, group.shown, (UNTAGGED,))
        elif why := changed(state, group):
            yield Due(group.code, group.shown, why)


def _places(state: State, shop: Shop) -> Iterator[Due]:
    from shopbins.tags.labels import digest_of, place_label, place_of, places

    docs = state.docs("place")
    if not any(doc.get("tagged") for doc in docs.values()):
        return
    for place in places(shop):
        doc = docs.get(place, {})
        code = doc.get("code", "")
        found = place_of(shop, place)
        if not doc.get("tagged") or found is None:
            yield Due(code, place, (UNTAGGED,))
        elif doc.get("printed") and doc["printed"] != digest_of(place_label(code, *found, shop)):
            yield Due(code, place, ("what the shop file says of it",))
