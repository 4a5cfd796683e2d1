"""The four lists of a strip and refit as files: strip record, refit list, shortages, missing and left over.

A file's ending says what sort it is: .pdf, .csv or .txt; all three say the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.lists import show
from shopbins.lists.listing import List
from shopbins.lists.refit import REFIT, Back
from shopbins.lists.shortages import SHORTAGES
from shopbins.lists.strip import STRIP, came_off
from shopbins.reports import strip
from shopbins.reports.pdf import Listing, Row, listing_pdf
from shopbins.strip.count import Count, Oddity, count
from shopbins.strip.refit import refit
from shopbins.strip.shortages import shortages

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State

KINDS: Mapping[str, str] = {
    "strip": "strip record: what came off, in order, and how",
    "refit": "refit list: what goes back, in order, and what it waits for",
    "shortages": "shortages: what is lacking, and by when it is to be asked for",
    "left-overs": "the count: what is missing and what is left over",
}
"""The reports, and what each is called."""

TYPES = ("pdf", "csv", "txt")


@dataclass(frozen=True, slots=True)
class About:
    """What a report is of: the state, where things are (in words), what to heed, one machine or all."""

    state: State
    place_of: Callable[[Group], str]
    hints: Callable[[Group], Sequence[str]]
    shop: str
    today: date
    machine: str | None = None


def report(kind: str, sort: str, about: About) -> bytes:
    """Return a report as the bytes of a file; `kind` one of KINDS, `sort` one of TYPES."""
    return {"strip": _strip, "refit": _refit, "shortages": _shortages, "left-overs": _count}[kind](
        sort, about
    )


def _text(lines: Sequence[str]) -> bytes:
    return ("\n".join(lines) + "\n").encode()


def _foot(about: About) -> str:
    return f"{about.shop}, as of event {about.state.seq}, {about.today.isoformat()}"


def _title(what: str, about: About) -> str:
    return f"{what}: {about.machine}" if about.machine else what


def _listed(sort: str, about: About, listed: List[Any], rows: Sequence[Any]) -> bytes:
    if sort == "csv":
        return show.csv(listed, rows)
    if sort == "txt":
        return _text(show.text(listed, rows) or [listed.empty])
    return show.pdf(listed, rows, about.machine or "", _foot(about))


def _strip(sort: str, about: About) -> bytes:
    return _listed(sort, about, STRIP, came_off(about.state, about.place_of, about.machine))


def _refit(sort: str, about: About) -> bytes:
    rows = [
        Back(n, each, "" if each.group is None else about.place_of(each.group),
             () if each.group is None else about.hints(each.group))
        for n, each in enumerate(refit(about.state, about.machine), 1)
    ]  # fmt: skip
    return _listed(sort, about, REFIT, rows)


def _shortages(sort: str, about: About) -> bytes:
    return _listed(sort, replace(about, machine=None), SHORTAGES, shortages(about.state, about.today))


def _count(sort: str, about: About) -> bytes:
    found = count(about.state, about.machine)
    if sort == "csv":
        return strip.count_csv(about.state, found, about.place_of)
    if sort == "txt":
        return _text(strip.count_text(about.state, found, about.place_of))
    rows = [*_odd_rows("Missing", found.missing, about), *_odd_rows("Left over", found.left_over, about)]
    listing = Listing(
        _title("Count", about),
        (_sum(found),),
        (("code", 1.2), ("part group", 2.6), ("pieces", 1.0), ("lies", 1.8), ("why", 3.0)),
        rows,
        _foot(about),
        "nothing is missing, nothing is left over",
    )
    return listing_pdf(listing)


def _sum(found: Count) -> str:
    brought = f" and {found.brought} brought in" if found.brought else ""
    return (
        f"{found.off} pieces off{brought} = {found.on} on + {found.disposed} decided otherwise + "
        f"{found.lying} off still"
    )


def _odd_rows(head: str, odd: Sequence[Oddity], about: About) -> list[Row]:
    rows = [Row((head,), bold=True)] if odd else []
    for each in odd:
        table, _, key = each.subject.partition(":")
        group = about.state.group(key) if table == "group" and about.state.has_group(key) else None
        pieces = "not counted" if each.pieces is None else str(each.pieces)
        place = "" if group is None else about.place_of(group)
        rows.append(Row((each.code or "", each.name, pieces, place, each.why), box=True))
    return rows
