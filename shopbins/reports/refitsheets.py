"""The four lists of a strip and refit as files: strip record, refit list, shortages, missing and left over.

A file's ending says what sort it is: .pdf, .csv or .txt; all three say the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from shopbins.reports import strip
from shopbins.reports.count import balance_said, count_csv, count_rows, count_text, line_place
from shopbins.reports.pdf import Listing, Row, listing_pdf
from shopbins.strip.count import WORDS, Line, Stands, count
from shopbins.strip.refit import Entry, refit
from shopbins.strip.shortages import Lack, shortages

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


def _strip(sort: str, about: About) -> bytes:
    if sort == "csv":
        return strip.strip_csv(about.state, about.place_of, about.machine)
    if sort == "txt":
        return _text(strip.strip_record(about.state, about.place_of, about.machine))
    rows = [
        Row(
            (
                "?" if group.order is None else str(group.order),
                group.code,
                group.shown + (f" x{group.qty}" if group.qty > 1 else ""),
                " > ".join(group.origin),
                about.place_of(group),
            ),
            (*(f"caution: {each}" for each in group.cautions), *below),
        )
        for group, below in strip.strip_rows(about.state, about.machine)
    ]
    columns = (("off", 0.5), ("code", 1.3), ("part group", 3.0), ("from", 2.6), ("lies", 2.0))
    listing = Listing(
        _title("Strip record", about),
        ("In the order things came off. ?: the order is not known.",),
        columns,
        rows,
        _foot(about),
        "nothing came off",
    )
    return listing_pdf(listing)


def _refit(sort: str, about: About) -> bytes:
    entries = refit(about.state, about.machine)
    if sort == "csv":
        return strip.refit_csv([(each, _place(each, about)) for each in entries])
    if sort == "txt":
        return _text(strip.refit_text([(each, _place(each, about), _hints(each, about)) for each in entries]))
    rows = [
        Row(
            (
                "lacking" if each.group is None else each.group.code,
                each.name + (f" x{each.pieces}" if each.pieces > 1 else ""),
                _place(each, about),
                "; ".join(wait.text for wait in each.waits) or "can go back now",
            ),
            tuple(_hints(each, about)),
            box=True,
        )
        for each in entries
    ]
    listing = Listing(
        _title("Refit list", about),
        (
            "In refit order, by what was recorded and said to come off first. Torques, clearances and "
            "sequences are those of the maker's manual.",
        ),
        (("code", 1.2), ("part group", 2.6), ("lies", 1.8), ("waits for", 3.4)),
        rows,
        _foot(about),
        "nothing is left to go back",
    )
    return listing_pdf(listing)


def _place(entry: Entry, about: About) -> str:
    return "" if entry.group is None else about.place_of(entry.group)


def _hints(entry: Entry, about: About) -> Sequence[str]:
    return () if entry.group is None else about.hints(entry.group)


def _shortages(sort: str, about: About) -> bytes:
    found = shortages(about.state, about.today)
    if sort == "csv":
        return strip.shortages_csv(found)
    if sort == "txt":
        return _text(strip.shortages_text(found) or ["nothing is lacking"])
    rows = [
        Row((each.name, each.quantity, each.state, each.sentence), _more(each), box=True) for each in found
    ]
    columns = (("lacking", 2.2), ("how much", 0.9), ("", 0.9), ("what to do", 4.0))
    under = ("The most pressing first. Dates err on the early side: the longest times known are taken.",)
    return listing_pdf(Listing("Shortages", under, columns, rows, _foot(about), "nothing is lacking"))


def _more(lack: Lack) -> tuple[str, ...]:
    get = lack.doc.get
    known = [
        str(get("spec") or ""),
        f"of {get('ask_of')}" if get("ask_of") else "",
        str(get("price") or ""),
        str(get("note") or ""),
    ]
    said = ", ".join(each for each in known if each)
    return (said,) if said else ()


def _count(sort: str, about: About) -> bytes:
    found = count(about.state, about.machine, about.today)
    if sort == "csv":
        return count_csv(about.state, found, about.place_of)
    if sort == "txt":
        return _text(count_text(about.state, found, about.place_of, all_of_them=True))
    rows: list[Row] = []
    for head, lines in count_rows(found):
        rows.append(Row((head,), bold=True))
        rows += [_line(each, about) for each in lines]
    listing = Listing(
        _title("Count", about),
        (balance_said(found.balance), found.headline, *(_stands(each) for each in found.stands)),
        (("code", 1.2), ("part", 2.6), ("pieces", 1.0), ("lies", 1.8), ("why", 3.0)),
        rows,
        _foot(about),
        WORDS.yes,
    )
    return listing_pdf(listing)


def _stands(each: Stands) -> str:
    return f"{each.kind}: {each.text}" + (f" ({each.accepted.said})" if each.accepted is not None else "")


def _line(line: Line, about: About) -> Row:
    pieces = "not counted" if line.pieces is None else str(line.pieces)
    place = line_place(about.state, line, about.place_of)
    return Row((line.code or "", line.name, pieces, place, line.why), box=True)
