"""The refit list: what goes back, in order, where it lies, what it waits for, what to heed at it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from shopbins.lists.listing import Column, List
from shopbins.strip.count import count
from shopbins.strip.refit import Entry

if TYPE_CHECKING:
    from shopbins.ledger.state import State


class Back(NamedTuple):
    """One line of the refit list: its number, the entry, where it lies in words, what to heed."""

    number: int
    entry: Entry
    place: str
    hints: Sequence[str]


def _name(back: Back) -> str:
    entry = back.entry
    return f"{entry.name} x{entry.pieces}" if entry.pieces > 1 else entry.name


def _code(back: Back) -> str:
    return "lacking" if back.entry.group is None else back.entry.group.code


def _waits(back: Back) -> list[str]:
    return [wait.text for wait in back.entry.waits]


def _cautions(back: Back) -> list[str]:
    return [] if back.entry.group is None else list(back.entry.group.cautions)


def _more(back: Back) -> list[str]:
    return back.entry.heeded(back.hints)


def _line(back: Back) -> str:
    mark = ">" if back.entry.ready else " "
    head = f"{mark} {_code(back)}  {_name(back)}" + (f" · {back.place}" if back.place else "")
    below = [*(wait.said for wait in back.entry.waits), *_more(back)]
    return "\n     ".join((head, *below))


def none_left(state: State, machine: str | None, today: date) -> str:
    """Say that nothing is left to put back, and what of it the count still finds wrong."""
    found = count(state, machine, today)
    return REFIT.empty if found.is_right else f"nothing is left to put back; {found.headline}"


REFIT: List[Back] = List(
    "Refit list",
    "everything is back on",
    "In refit order, by what was recorded and said to come off first. Torques, clearances and "
    "sequences are those of the maker's manual.",
    (
        Column("", "order", lambda back: back.number),
        Column("code", "code", lambda back: None if back.entry.group is None else back.entry.group.code,
               "code", paper=1.2, text=_code),
        Column("name", "name", lambda back: back.entry.name, "part", paper=2.6, text=_name),
        Column("", "pieces", lambda back: back.entry.pieces),
        Column("place", "place", lambda back: back.place, "lies", paper=1.8),
        Column("", "can go back", lambda back: back.entry.ready),
        Column("waits_for", "waits for", _waits, "waits for", paper=3.4,
               text=lambda back: "; ".join(_waits(back)) or "can go back now"),
        Column("", "cautions", _cautions),
    ),
    _line,
    _more,
    boxed=True,
)  # fmt: skip
