"""Lists of parts: what was found by words, what is on trial; the labels that are due; the machines."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from shopbins.ledger.whereabouts import whereabouts
from shopbins.lists.listing import Column, List
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.shop.model import Shop


class Found(NamedTuple):
    """A part in a list: where it is in words, how it is introduced, and how well it fits what was asked."""

    group: Group
    place: str
    told: str
    score: float


def found(state: State, group_id: str, score: float = 1.0) -> Found:
    """Return a group as the lists of parts have it."""
    group = state.group(group_id)
    return Found(group, whereabouts(state, group.where), introduce(state, group_id), score)


def _line(found: Found) -> str:
    return f"{found.group.code}  {found.told}"


_PART: tuple[Column[Found], ...] = (
    Column("code", "code", lambda found: found.group.code, "code", paper=1.2),
    Column("name", "name", lambda found: found.group.name, "part", paper=2.6),
    Column("place", "place", lambda found: found.place, "lies", paper=2.4),
)
FOUND: List[Found] = List(
    "Found", "nothing matches that", "",
    (
        Column("id", "", lambda found: found.group.id), *_PART,
        Column("score", "", lambda found: found.score),
    ),
    _line,
)  # fmt: skip
ON_TRIAL: List[Found] = List("On trial", "nothing is on trial", "", _PART, _line)


class Machine(NamedTuple):
    """A machine: its key, name, owner and job, and how many groups came off it."""

    key: str
    name: str
    owner: str
    job: str
    groups: int


def machines(state: State, shop: Shop) -> list[Machine]:
    """Return the machines of the shop file and the ledger, and those something came off."""
    known = {key: (each.name, each.owner, each.job) for key, each in shop.machines.items()}
    known |= {key: (each.name, each.owner, each.job) for key, each in state.machines().items()}
    came: dict[str, int] = {}
    for group in state.groups():
        if group.origin:
            came[group.origin[0]] = came.get(group.origin[0], 0) + 1
    every = dict.fromkeys((*known, *came))
    return [Machine(key, *known.get(key, ("", "", "")), came.get(key, 0)) for key in every]


MACHINES: List[Machine] = List(
    "Machines", "no machine is known yet", "",
    (
        Column("key", "key", lambda each: each.key, "key", paper=1.2),
        Column("name", "name", lambda each: each.name, "name", paper=2.0),
        Column("owner", "owner", lambda each: each.owner, "owner", paper=2.0),
        Column("job", "job", lambda each: each.job, "job", paper=1.0),
        Column("groups", "parts off", lambda each: each.groups, text=lambda each: f"{each.groups} off"),
    ),
    None,
)  # fmt: skip
