"""Conditions on documents as people type them: 'mass > 20 kg', 'container = tub', 'mass = unknown'.

A condition becomes a TinyDB query. What is not known never matches a comparison: it is counted, so that
nobody takes a list for whole that is not. 'unknown' is asked for by name.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from shopbins.ledger.model import Doc
from shopbins.ledger.problems import BadValue
from shopbins.records.kinds import Names
from shopbins.records.tables import TableColumn, column_called

if TYPE_CHECKING:
    from tinydb.queries import QueryInstance
    from tinydb.table import Document, Table

UNKNOWN = ("unknown", "?")

_TERM = re.compile(r"\s*([A-Za-z][A-Za-z_ ]*?)\s*(<=|>=|!=|=|<|>|~)\s*(.*\S)\s*")
QUOTE = '"'
_VALUE = r'"[^"]+"|\d[\d.,/]*\s?(?:kg|g|t|lbs?|oz|mm|cm|m|in|ft|days?|weeks?)?(?!\S)|[^\s<>=!~]+'
_ORDERED: Mapping[str, Callable[[Any, Any], bool]] = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Term:
    """One condition: a column, what it is compared by, and with what (None: whether it is known)."""

    column: TableColumn
    by: str
    value: Any

    def verdict(self, doc: Doc) -> bool | None:
        """Tell whether a document meets it; None where that is not known."""
        found = self.column.value(doc)
        if self.value is None:
            return (found is None) == (self.by == "=")
        if found is None:
            return None
        if self.by in _ORDERED:
            rank = self.column.kind.rank
            return _ORDERED[self.by](rank(found), rank(self.value))
        same = self._same(found)
        return not same if self.by == "!=" else same

    def _same(self, found: Any) -> bool:
        """Tell whether a value, or any of several, is the one meant; with '~' has it in it."""
        several = found if isinstance(found, (list, tuple)) else [found]
        wanted = self.value if isinstance(self.value, tuple) else (self.value,)
        if not isinstance(self.value, (str, tuple)):
            return bool(self.column.kind.rank(found) == self.column.kind.rank(self.value))
        texts = [str(each).casefold() for each in several]
        if self.by == "~":
            return any(str(each).casefold() in text for each in wanted for text in texts)
        return any(str(each).casefold() == text for each in wanted for text in texts)


class Matches(NamedTuple):
    """The documents that meet every condition, and how many could not be compared, in words."""

    docs: list[Document]
    not_compared: list[str]


def split(text: str, known: Iterable[str]) -> tuple[list[str], str]:
    """Return the conditions in a line, and the other words: 'mass > 20 kg gasket' are one and 'gasket'.

    A condition begins with a column's name and an operator; one that is still being typed is neither.
    """
    names = "|".join(sorted((re.escape(each) for each in known), key=len, reverse=True))
    shape = re.compile(rf"(?<!\S)((?:{names})\s*(?:<=|>=|!=|=|<|>|~))\s*({_VALUE})?", re.I)
    terms = [f"{each[1]} {each[2].strip(QUOTE)}" for each in shape.finditer(text) if each[2]]
    return terms, " ".join(shape.sub(" ", text).split())


def read_term(text: str, known: Mapping[str, TableColumn], names: Names, today: date) -> Term:
    """Read one condition; BadValue says what cannot be read, `names` raises what it does."""
    found = _TERM.fullmatch(text)
    if found is None:
        raise BadValue(f"'{text.strip()[:40]}' is no condition, as 'mass > 20 kg' or 'container = tub'")
    column, by, typed = column_called(known, found[1]), found[2], found[3]
    kind = column.kind
    if typed.lower() in UNKNOWN:
        if by not in ("=", "!="):
            raise BadValue(f"'{text.strip()[:40]}': unknown goes with = or != only")
        return Term(column, by, None)
    if by in _ORDERED and not kind.ordered:
        raise BadValue(f"'{text.strip()[:40]}': {column.name} goes with =, != or ~ only")
    if by == "~":
        return Term(column, by, typed)
    if kind.thing:
        return Term(column, by, tuple(names.called(kind.thing, typed)))
    return Term(column, by, kind.read(typed, today))


def query(terms: Sequence[Term]) -> QueryInstance:
    """Return the TinyDB query for documents that meet every term."""
    return _query(lambda doc: all(term.verdict(doc) is True for term in terms))


def search(table: Table, terms: Sequence[Term]) -> Matches:
    """Search a table; every document where there are no terms."""
    open_ones = table.search(_query(lambda doc: _open(terms, doc)))
    return Matches(table.search(query(terms)), _counted(terms, open_ones))


def search_docs(docs: Sequence[Doc], terms: Sequence[Term]) -> Matches:
    """Search documents that are in no table, as the places of the shop file."""
    from tinydb.table import Document

    numbered = [Document(doc, number) for number, doc in enumerate(docs, 1)]
    meets = query(terms)
    open_ones = [each for each in numbered if _open(terms, each)]
    return Matches([each for each in numbered if meets(each)], _counted(terms, open_ones))


def _query(test: Callable[[Doc], bool]) -> QueryInstance:
    from tinydb.queries import QueryInstance

    return QueryInstance(test, None)


def _open(terms: Iterable[Term], doc: Doc) -> bool:
    """Tell whether a document would meet the terms if what is not known of it were as wanted."""
    verdicts = [term.verdict(doc) for term in terms]
    return None in verdicts and False not in verdicts


def _counted(terms: Iterable[Term], docs: Sequence[Doc]) -> list[str]:
    """Say of how many nothing could be compared, a line for each column."""
    said = []
    for column in {term.column.name: term.column for term in terms}.values():
        count = sum(1 for doc in docs if column.value(doc) is None)
        if count:
            said.append(f"{count} {column.unknown or f'with {column.name} not known'}, so not compared")
    return said


def sorted_by(docs: Iterable[Document], column: TableColumn, *, falling: bool = False) -> list[Document]:
    """Return documents in the order of a column; those where it is not known come last."""
    known: list[Document] = []
    unknown: list[Document] = []
    for doc in docs:
        (unknown if column.value(doc) is None else known).append(doc)

    def rank(doc: Doc) -> Any:
        value = column.value(doc)
        if isinstance(value, (list, tuple)) and not column.kind.ordered:
            return [str(each).casefold() for each in value]
        return value.casefold() if isinstance(value, str) else column.kind.rank(value)

    return [*sorted(known, key=rank, reverse=falling), *unknown]
