"""The lists that are handed out as files: strip record, refit list, shortages, the count, the audit.

A file's ending says what sort it is: .pdf, .csv or .txt; all three say the same.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.ledger.whereabouts import whereabouts
from shopbins.lists import show
from shopbins.lists.audit import AUDIT
from shopbins.lists.count import COUNT, balance_said, count_csv, count_text, counted_rows, stands_said
from shopbins.lists.listing import List
from shopbins.lists.refit import REFIT, Back, none_left
from shopbins.lists.shortages import SHORTAGES, unasked_said
from shopbins.lists.strip import STRIP, came_off
from shopbins.reports.pdf import Listing, PageRow, listing_pdf
from shopbins.strip.count import KINDS as KINDS_OF_LINES
from shopbins.strip.count import count, unasked
from shopbins.strip.refit import refit
from shopbins.strip.shortages import shortages

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.rules.finding import Finding

KINDS: Mapping[str, str] = {
    "strip": "strip record: what came off, in order, and how",
    "refit": "refit list: what goes back, in order, and what it waits for",
    "shortages": "shortages: what is lacking, and by when it is to be asked for",
    "left-overs": "the count: what is missing and what is left over",
    "audit": "audit: what the checks found, worst first",
}
"""The reports, and what each is called."""

TABLES: Mapping[str, str] = {"strip": "group", "refit": "group", "shortages": "shortage"}
"""Of which table's documents the rows of each are: conditions are of these. The others are of everything."""

TYPES = ("pdf", "csv", "txt")


@dataclass(frozen=True, slots=True)
class About:
    """What a report is of: the state, what to heed, what the checks find, one machine or all.

    `where` are the conditions its rows meet, `only` the keys of the documents that meet them (None: all),
    `named` the machines the shop file names.
    """

    state: State
    hints: Callable[[Group], Sequence[str]]
    audit: Callable[[], Sequence[Finding]]
    shop: str
    today: date
    machine: str | None = None
    where: tuple[str, ...] = ()
    only: frozenset[str] | None = None
    named: Collection[str] = ()

    @property
    def of(self) -> str:
        """Say what it is narrowed to."""
        return ", ".join(filter(None, (self.machine, *self.where)))

    def has(self, key: str | None) -> bool:
        """Tell whether the row of a document is in it."""
        return self.only is None or key in self.only


def report(kind: str, sort: str, about: About) -> bytes:
    """Return a report as the bytes of a file; `kind` one of KINDS, `sort` one of TYPES."""
    work = {"strip": _strip, "refit": _refit, "shortages": _shortages, "left-overs": _count, "audit": _audit}
    return work[kind](sort, about)


def _foot(about: About) -> str:
    return f"{about.shop}, as of event {about.state.seq}, {about.today.isoformat()}"


def _title(what: str, about: About) -> str:
    return f"{what}: {about.of}" if about.of else what


def _text(what: str, about: About, lines: Sequence[str]) -> bytes:
    """Return a text file: of what it is, its lines, and of which shop and day."""
    return "\n".join((_title(what, about), "", *lines, "", _foot(about), "")).encode()


def _listed(sort: str, about: About, listed: List[Any], rows: Sequence[Any]) -> bytes:
    if about.only is not None:  # that nothing meets it says nothing of the rest
        listed = listed._replace(empty=f"nothing meets {' and '.join(about.where)}")
    if sort == "csv":
        return show.csv(listed, rows)
    if sort == "txt":
        return _text(listed.title, about, show.text(listed, rows) or [listed.empty])
    return show.pdf(listed, rows, about.of, _foot(about))


def _strip(sort: str, about: About) -> bytes:
    rows = came_off(about.state, about.machine)
    return _listed(sort, about, STRIP, [each for each in rows if about.has(each.group.id)])


def _refit(sort: str, about: About) -> bytes:
    rows = [
        Back(n, each, "" if each.group is None else whereabouts(about.state, each.group.where),
             () if each.group is None else about.hints(each.group))
        for n, each in enumerate(refit(about.state, about.machine), 1)
        if about.has(None if each.group is None else each.group.id)
    ]  # fmt: skip
    none = none_left(about.state, about.machine, date.today()) if not rows else ""
    return _listed(sort, about, REFIT._replace(empty=none), rows)


def _shortages(sort: str, about: About) -> bytes:
    rows = [each for each in shortages(about.state, about.today) if about.has(each.key)]
    listed = SHORTAGES
    if about.only is None and (missing := unasked(about.state, about.today)):
        too = f"Missing, and no shortage is for it: {unasked_said(missing)}."
        if sort == "txt":
            lines = [*(show.text(listed, rows) or [listed.empty]), too]
            return _text(listed.title, replace(about, machine=None), lines)
        listed = listed._replace(under=f"{listed.under} {too}")
    return _listed(sort, replace(about, machine=None), listed, rows)


def _audit(sort: str, about: About) -> bytes:
    return _listed(sort, replace(about, machine=None), AUDIT, about.audit())


def _count(sort: str, about: About) -> bytes:
    found = count(about.state, about.machine, about.today, about.named)
    if sort == "csv":
        return count_csv(about.state, found)
    if sort == "txt":
        return _text(COUNT.title, about, count_text(about.state, found, all_of_them=True))
    rows: list[PageRow] = []
    for kind, head in KINDS_OF_LINES.items():
        if lines := found.of(kind):
            rows.append(PageRow((head[0].upper() + head[1:],), bold=True))
            rows += [show.page_row(COUNT, each) for each in counted_rows(about.state, lines)]
    listing = Listing(
        _title(COUNT.title, about),
        (balance_said(found.balance), found.headline, *(stands_said(each) for each in found.stands)),
        show.page_columns(COUNT),
        rows,
        _foot(about),
        COUNT.empty,
    )
    return listing_pdf(listing)
