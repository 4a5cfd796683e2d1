"""A list in each of its forms: text, JSON, a spreadsheet's file, a page, a row of the screen."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

from shopbins.reports.plain import columns

if TYPE_CHECKING:
    from shopbins.lists.listing import List
    from shopbins.reports.pdf import PageRow

R = TypeVar("R")


def text(listed: List[R], rows: Iterable[R]) -> list[str]:
    """Return a list as lines."""
    if listed.line is None:
        return columns([each.read(row) for each in listed.columns if each.head] for row in rows)
    return [line for row in rows for line in listed.line(row).split("\n")]


def json(listed: List[R], rows: Iterable[R]) -> list[dict[str, Any]]:
    """Return a list as data."""
    return [{each.key: _plain(each.value(row)) for each in listed.columns if each.key} for row in rows]


def csv(listed: List[R], rows: Iterable[R]) -> bytes:
    """Return a list as a file a spreadsheet reads."""
    from shopbins.reports.export import csv_table

    kept = [each for each in listed.columns if each.head]
    return csv_table([each.head for each in kept], ([_plain(c.value(row)) for c in kept] for row in rows))


def pdf(listed: List[R], rows: Iterable[R], of: str = "", foot: str = "") -> bytes:
    """Return a list as a PDF; `of` is what it is narrowed to, `foot` stands below every page."""
    from shopbins.reports.pdf import Listing, listing_pdf

    title = f"{listed.title}: {of}" if of else listed.title
    on_paper = [page_row(listed, row) for row in rows]
    return listing_pdf(Listing(title, (listed.under,), page_columns(listed), on_paper, foot, listed.empty))


def page_columns(listed: List[R]) -> tuple[tuple[str, float], ...]:
    """Return the columns of a list on paper: heading and share of the width."""
    return tuple((each.shown, each.paper) for each in listed.columns if each.paper)


def page_row(listed: List[R], row: R) -> PageRow:
    """Return a row as it stands on paper."""
    from shopbins.reports.pdf import PageRow

    shown = tuple(each.read(row) for each in listed.columns if each.paper)
    return PageRow(shown, tuple(listed.more(row)), box=listed.boxed)


def cells(listed: List[R], row: R) -> list[tuple[str, str]]:
    """Return a row as the screen shows it: of each cell its text and its look."""
    kept = [each for each in listed.columns if each.cells]
    return [(each.read(row), each.grade(row) if each.grade else "") for each in kept]


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value
