"""The list of what is lacking, the most pressing first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.lists.listing import Column, List
from shopbins.strip.shortages import Lack

if TYPE_CHECKING:
    from shopbins.strip.count import CountLine


def _doc(name: str) -> Callable[[Lack], Any]:
    return lambda lack: lack.doc.get(name)


def _days(n: int) -> Callable[[Lack], Any]:
    return lambda lack: (lack.doc.get("days") or (None, None))[n]


def amount(lack: Lack) -> str:
    """Return how much, where it is more than one: ' x3 tubes'."""
    return f" x{lack.quantity}" if lack.qty > 1 or lack.unit else ""


def unasked_said(missing: Sequence[CountLine], most: int | None = None) -> str:
    """Name what is missing that no shortage is for: 'Anodes x5, Piston 3 x1 and 4 more'."""
    named = ", ".join(f"{each.name} x{each.pieces}" for each in missing[:most])
    more = 0 if most is None else len(missing) - most
    return f"{named} and {more} more" if more > 0 else named


def _line(lack: Lack) -> str:
    spec = f", {lack.doc['spec']}" if lack.doc.get("spec") else ""
    return f"{lack.name}{amount(lack)}{spec}: {lack.sentence}"


def _more(lack: Lack) -> tuple[str, ...]:
    get = lack.doc.get
    known = (get("spec"), f"of {get('ask_of')}" if get("ask_of") else "", get("price"), get("note"))
    said = ", ".join(str(each) for each in known if each)
    return (said,) if said else ()


SHORTAGES: List[Lack] = List(
    "Shortages",
    "no shortages",
    "The most pressing first. Dates err on the early side: the longest times known are taken.",
    (
        Column("name", "name", lambda lack: lack.name, "lacking", 24, 0.8, 2.2,
               text=lambda lack: f"{lack.name}{amount(lack)}"),
        Column("", "specification", _doc("spec")),
        Column("quantity", "quantity", lambda lack: lack.qty),
        Column("", "unit", lambda lack: lack.unit),
        Column("state", "state", lambda lack: lack.state, "", 9, paper=0.9, grade=lambda _lack: "dim"),
        Column("", "asked of", _doc("ask_of")),
        Column("", "price", _doc("price")),
        Column("", "asked", _doc("asked")),
        Column("", "promised", _doc("promised")),
        Column("", "here", _doc("here")),
        Column("", "days least", _days(0)),
        Column("", "days most", _days(1)),
        Column("needed_before", "needed before", lambda lack: lack.needed_before),
        Column("", "needed by", lambda lack: lack.needed_by),
        Column("ask_by", "ask by", lambda lack: lack.ask_by),
        Column("", "what to do", lambda lack: lack.sentence, "what to do", 44, 2.0, 4.9,
               grade=lambda lack: "stop" if lack.late else ""),
        Column("", "note", _doc("note")),
    ),
    _line,
    _more,
    boxed=True,
)  # fmt: skip
