"""Which thing a typed name means, by the kind of thing (`records/kinds.py`): keys, never objects."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from shopbins.desk import positions, resolve
from shopbins.desk.problems import BadInput, NotDone
from shopbins.ledger.model import Group
from shopbins.records.kinds import Key

if TYPE_CHECKING:
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop

Find = Callable[["State", "Shop", str], Sequence[Key]]


def called(state: State, shop: Shop, thing: str, text: str) -> list[Key]:
    """Return the keys of the things a text means; a key means itself.

    BadInput lists candidates where several may be meant; NotDone: there is none.
    """
    table = _TABLES.get(thing, thing)
    if text in state.docs(table):
        return [text]
    return list(_FIND[thing](state, shop, text))


def _group(state: State, shop: Shop, text: str) -> list[str]:
    found = resolve.group_called(state, shop, text)
    assert isinstance(found, Group)
    return [found.id]


def _named(table: str, noun: str) -> Find:
    """Return what finds a document by its name, or by the beginning of it."""

    def find(state: State, _shop: Shop, text: str) -> list[str]:
        wanted = text.strip().casefold()
        names = {key: str(doc.get("name", "")) for key, doc in state.docs(table).items()}
        found = [key for key, name in names.items() if name.casefold() == wanted]
        found = found or [key for key, name in names.items() if wanted and name.casefold().startswith(wanted)]
        if not found:
            raise NotDone(f"no {noun} is called '{text.strip()}'{resolve.meant(text, list(names.values()))}")
        if len(found) > 1:
            raise BadInput(
                f"'{text.strip()}' may be any of {len(found)}; give the whole name or the id:",
                *(f"  {key}  {names[key]}" for key in found[: resolve.CANDIDATES_SHOWN]),
            )
        return found

    return find


_TABLES = {"positions": "part", "position": "part", "needed": "part"}
_FIND: Mapping[str, Find] = {
    "group": _group,
    "position": lambda state, shop, text: [positions.position_called(state, shop, text)],
    "positions": positions.positions_called,
    "needed": positions.needed_called,
    "milestone": lambda state, _shop, text: [positions.milestone_called(state, text)],
    "machine": lambda state, shop, text: [positions.machine_called(state, shop, text)],
    "shortage": lambda state, _shop, text: [positions.shortage_called(state, text)],
    "connection": lambda state, _shop, text: [positions.connection_called(state, text)],
    "care": _named("care", "recurring care"),
    "set": _named("set", "matched set"),
    "photo": _named("photo", "photograph"),
}
