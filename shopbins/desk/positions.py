"""Positions, shortages, milestones and machines as a person names them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.desk import resolve
from shopbins.desk.problems import BadInput, NotDone

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop
    from shopbins.strip.tree import Position


def _places(state: State) -> dict[str, Position]:
    from shopbins.strip.order import Order

    return dict(state.follower(Order).graph.places)


def position_called(state: State, shop: Shop, text: str) -> str:
    """Return the position meant; BadInput lists candidates, NotDone: there is none."""
    found = _called(state, shop, text)
    if not found:
        names = [each.name for each in _places(state).values()]
        raise NotDone(f"no part is called '{text.strip()}'{resolve.meant(text, names)}")
    return _only(state, text, found)


def positions_called(state: State, shop: Shop, text: str) -> list[str]:
    """Return one position, or all of an assembly that is named so."""
    found = _called(state, shop, text, exact=True)
    if not found:
        wanted = _parts(text)
        inside = [
            key
            for key, each in _places(state).items()
            if any(_ends(each.origin[:n], wanted) for n in range(1, len(each.origin) + 1))
        ]
        if inside:
            return inside
    return [_only(state, text, found) if found else position_called(state, shop, text)]


def _parts(text: str) -> tuple[str, ...]:
    return tuple(part.strip().casefold() for part in text.split(">"))


def _ends(path: tuple[str, ...], wanted: tuple[str, ...]) -> bool:
    return tuple(each.casefold() for each in path)[-len(wanted) :] == wanted


def _called(state: State, shop: Shop, text: str, *, exact: bool = False) -> list[str]:
    """Return the positions a text may mean."""
    wanted = text.strip()
    if not wanted:
        raise BadInput("say which part")
    places = _places(state)
    if wanted in places:
        return [wanted]
    if resolve.looks_like_code(wanted, shop.prefix):
        named = _named(state, places, wanted, exact=True)
        if named:
            return named
        found = resolve.group_called(state, shop, wanted)
        assert not isinstance(found, str)
        return list(found.positions)
    return _named(state, places, wanted, exact=exact)


def _named(state: State, places: dict[str, Position], text: str, *, exact: bool) -> list[str]:
    """Return the positions that have this name, or a group with it, or (not exact) it as a part of theirs."""
    wanted = text.casefold()
    if ">" in text:
        path = _parts(text)
        return [key for key, each in places.items() if _ends(each.path, path)]
    names = {
        key: {each.name.casefold(), *(state.group(g).name.casefold() for g in each.groups)}
        for key, each in places.items()
    }
    same = [key for key, each in names.items() if wanted in each]
    if same or exact:
        return same
    return [key for key, each in names.items() if any(wanted in name for name in each)]


def _only(state: State, text: str, found: list[str]) -> str:
    if len(found) == 1:
        return found[0]
    places = _places(state)
    lines = [f"'{text.strip()}' may be any of {len(found)} parts; give the code, or assembly > name:"]
    for key in found[: resolve.CANDIDATES_SHOWN]:
        place = places[key]
        codes = " ".join(state.group(each).code for each in place.groups)
        lines.append(f"  {codes or '(on the machine)'}  {' > '.join(place.path)}")
    if len(found) > resolve.CANDIDATES_SHOWN:
        lines.append(f"  and {len(found) - resolve.CANDIDATES_SHOWN} more")
    raise BadInput(*lines)


def group_to_fit(state: State, shop: Shop, text: str) -> Group:
    """Return the group meant: where several have the name, the one that can still go back."""
    from shopbins.ledger.model import OUT
    from shopbins.strip.tree import is_fitted

    table = state.docs("group")
    wanted = text.strip().casefold()
    named = [group for group in state.groups() if group.name.casefold() == wanted]
    free = [
        group
        for group in named
        if group.disposition not in OUT and not is_fitted(table[group.id].get("where"))
    ]
    if len(free) == 1 < len(named):
        return free[0]
    found = resolve.group_called(state, shop, text)
    assert not isinstance(found, str)
    return found


def shortage_called(state: State, text: str) -> str:
    """Return the shortage meant: by name, those still to come before those here."""
    wanted = text.strip().casefold()
    table = state.docs("shortage")
    if text.strip() in table:
        return text.strip()
    open_ones = {k: d for k, d in table.items() if d.get("state", "to ask") not in ("here", "struck")}
    for docs in (open_ones, table):
        same = [key for key, doc in docs.items() if doc["name"].casefold() == wanted]
        found = same or [key for key, doc in docs.items() if wanted and wanted in doc["name"].casefold()]
        if len(found) == 1:
            return found[0]
        if found:
            raise BadInput(
                f"'{text.strip()}' may be any of {len(found)} shortages; give the whole name or the id:",
                *(f"  {key}  {docs[key]['name']}" for key in found[: resolve.CANDIDATES_SHOWN]),
            )
    names = [doc["name"] for doc in table.values()]
    raise NotDone(f"no shortage is called '{text.strip()}'{resolve.meant(text, names)}")


def milestone_called(state: State, text: str) -> str:
    """Return the key of the milestone meant."""
    key = text.strip().casefold()
    if key in state.docs("milestone"):
        return key
    names = [doc["name"] for doc in state.docs("milestone").values()]
    raise NotDone(f"no milestone is called '{text.strip()}'{resolve.meant(text, names)}")


def machines(state: State, shop: Shop) -> list[str]:
    """Return the keys of all machines: those of the shop file, of the ledger, and of any origin."""
    from shopbins.strip.tree import paths

    return list(dict.fromkeys((*shop.machines, *state.machines(), *(path[0] for path in paths(state)))))


def machine_called(state: State, shop: Shop, text: str) -> str:
    """Return the key of the machine meant."""
    known = machines(state, shop)
    wanted = text.strip().casefold()
    if text.strip() in known:  # an older ledger may have two that differ in capitals only
        return text.strip()
    names = {key: {key.casefold()} for key in known}
    for key, machine in state.machines().items():
        names[key].add(machine.name.casefold())
    found = [key for key, each in names.items() if wanted in each]
    if len(found) == 1:
        return found[0]
    raise NotDone(f"no machine is called '{text.strip()}'{resolve.meant(text, list(names))}")


def connection_called(state: State, text: str) -> str:
    """Return the connection with this mark, or with this flag tag."""
    from shopbins.strip.connections import connections

    wanted = text.strip().upper()
    for each in connections(state):
        if wanted in (each.mark, f"{each.mark}A", f"{each.mark}B"):
            return each.key
    raise NotDone(f"no wire, hose or pipe has the mark '{text.strip()}'")


def needed_called(state: State, shop: Shop, text: str) -> list[str | tuple[str, ...]]:
    """Return a part where one is called so, else the path of the assembly that is."""
    from shopbins.strip.tree import paths

    called = _called(state, shop, text, exact=True)
    inside = [path for path in paths(state) if _ends(path, _parts(text))]
    if called or not inside:
        return [_only(state, text, called) if called else position_called(state, shop, text)]
    if len(inside) > 1:
        lines = (f"  {' > '.join(path)}" for path in inside[: resolve.CANDIDATES_SHOWN])
        raise BadInput(f"'{text.strip()}' may be any of {len(inside)} assemblies; give the path:", *lines)
    return [inside[0]]
