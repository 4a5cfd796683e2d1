"""The count: pieces that came off are on again, or something was decided about them; exceptions by name."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.ledger.model import Away, Fitted, Group, InGroup
from shopbins.ledger.state import State
from shopbins.strip.connections import connections
from shopbins.strip.order import Order
from shopbins.strip.tree import OUT
from shopbins.strip.waits import shortage_state


@dataclass(frozen=True, slots=True)
class Oddity:
    """Something that is not as it should be at the end: `pieces` None where they were not counted."""

    name: str
    why: str
    pieces: int | None = None
    code: str | None = None
    subject: str = ""


@dataclass(frozen=True, slots=True)
class Count:
    """Pieces: `off` came off, `brought` were bought or made for it; each of them is `on` the machine, or
    `disposed` of, or `lying` (in the shop, away, on trial, or on something that is itself off).

    off + brought == on + disposed + lying, always. `missing` is lacking on the machine with nothing in the
    shop to fill it; `left_over` is neither on nor disposed of.
    """

    off: int
    brought: int
    on: int
    disposed: int
    lying: int
    missing: tuple[Oddity, ...]
    left_over: tuple[Oddity, ...]

    @property
    def is_right(self) -> bool:
        """Tell whether nothing is missing and nothing left over."""
        return not self.missing and not self.left_over


def on_machine(state: State, group_id: str) -> bool:
    """Tell whether a group is on its machine for good: by itself, or fitted to something that is."""
    for each in state.chain(group_id):
        where = state.group(each).where
        if isinstance(where, Fitted):
            return not where.trial
        if not isinstance(where, InGroup) or where.how != "fitted":
            return False
    return False


def count(state: State, machine: str | None = None) -> Count:
    """Count every piece, of one machine or of all; not what is no part of any (counted 'never')."""
    off = brought = on = disposed = lying = 0
    left: list[Oddity] = []
    missing: list[Oddity] = []
    order = state.follower(Order)
    for group in state.groups():
        if group.counted == "never" or (machine is not None and group.origin[:1] != (machine,)):
            continue
        if group.brought:
            brought += group.qty
        else:
            off += group.qty
        if on_machine(state, group.id):
            on += group.qty
        elif group.disposition in OUT:
            disposed += group.qty
        else:
            lying += group.qty
            left.append(_left(state, order, group))
            if group.counted == "later":
                missing.append(_exception(group, "not counted yet", None))
            continue
        if group.counted == "later" and group.disposition not in OUT:
            missing.append(_exception(group, "on, but not counted yet", None))
    missing += _lacking(state, order, machine)
    missing += _unjoined(state, machine)
    return Count(off, brought, on, disposed, lying, tuple(missing), tuple(left))


def _exception(group: Group, why: str, pieces: int | None) -> Oddity:
    return Oddity(group.shown, why, pieces, group.code, f"group:{group.id}")


def _left(state: State, order: Order, group: Group) -> Oddity:
    top, where = state.top_of(group.id)
    holder = state.group(top).shown
    looks = [order.look(each) for each in group.positions]
    if any(look.struck for look in looks):
        why = "its place was struck out"
    elif all(look.on >= look.needed for look in looks) and not _is_fitted_to(group):
        why = "its place is filled"
    elif isinstance(where, Fitted) and top != group.id:
        firm = not where.trial and all(_is_fitted_to(state.group(g)) for g in state.chain(group.id)[:-1])
        why = f"with {holder}, which is on" if firm else f"not fitted: lies in, or is tried on, {holder}"
    elif isinstance(where, Fitted) or (isinstance(group.where, InGroup) and group.where.how == "tried"):
        why = "on trial"
    elif _is_fitted_to(group):
        why = f"fitted to {holder}, which is not on"
    elif isinstance(where, Away):
        why = f"away at {where.to}"
    elif where is None:
        why = "not laid down anywhere"
    else:
        why = "still to go back"
    return _exception(group, why, group.qty)


def _is_fitted_to(group: Group) -> bool:
    return isinstance(group.where, InGroup) and group.where.how == "fitted"


def _lacking(state: State, order: Order, machine: str | None) -> list[Oddity]:
    """Return the positions that lack pieces nothing in the shop is meant for."""
    found = []
    graph = order.graph
    for position, place in graph.places.items():
        if machine is not None and place.origin[:1] != (machine,):
            continue
        look = order.look(position)
        codes = [state.group(each).code for each in place.groups]
        code = codes[0] if codes else None
        if look.lacking:
            coming = [
                f"{doc['name']}: {shortage_state(doc)}"
                for doc in order.needs(position).values()
                if doc.get("state") not in ("here", "struck")
            ]
            why = f"waits for {'; '.join(coming)}" if coming else "nothing takes its place"
            found.append(Oddity(place.name, why, look.lacking, code, f"part:{position}"))
        listed = place.qty or 0
        if place.groups and listed > look.needed > 0 and not look.struck:
            why = f"{listed} belong there, {look.needed} came off"
            found.append(Oddity(place.name, why, listed - look.needed, code, f"part:{position}"))
    return found


def _unjoined(state: State, machine: str | None) -> list[Oddity]:
    return [
        Oddity(each.told, "not joined again", None, None, f"connection:{each.key}")
        for each in connections(state)
        if not each.joined and machine in (None, each.machine)
    ]
