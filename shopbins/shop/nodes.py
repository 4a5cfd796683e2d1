"""From text to a tree whose every piece knows its line and column.

Built from PyYAML's events rather than from its nodes: no recursion (deep nesting cannot overflow a stack),
half the time of `compose`, and limits are kept while reading. Scalars keep the text as written, so a `no`
or a `010` that YAML 1.1 would turn into something else is still seen as what it is.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from shopbins.shop.problems import Notes, shown
from shopbins.shop.source import clean, tabbed_lines

if TYPE_CHECKING:
    import yaml

MOST_DEPTH = 20
MOST_NODES = 200_000


# These three are not frozen, as thousands are made at each reading; nobody changes one that was read.
@dataclass(slots=True)
class Scalar:
    """One word or text of the file, as written; `quoted` unless it stands plain.

    `start` and `end` count the characters of the text before it (a byte order mark aside); -1: of no text.
    """

    text: str
    line: int
    column: int
    quoted: bool
    start: int = -1
    end: int = -1


@dataclass(slots=True)
class Listing:
    """A list of the file; `flow` if it stands in brackets."""

    items: list[Node]
    line: int
    column: int
    start: int = -1
    end: int = -1
    flow: bool = False


@dataclass(slots=True)
class Table:
    """Keys and values of the file, in file order, each key once; `flow` if it stands in braces."""

    pairs: dict[str, tuple[Scalar, Node]]
    line: int
    column: int
    start: int = -1
    end: int = -1
    flow: bool = False


Node = Scalar | Listing | Table


LEAST_KEPT = 2000
"""A text of fewer characters is parsed in no time, and shall not drive out a shop."""


class _StopReadingError(Exception):
    """Reading cannot go on; the reason has been noted."""


@dataclass(slots=True)
class _Open:
    """A list or mapping not yet closed; `key` waits for its value."""

    node: Table | Listing
    key: Scalar | None = None
    dropped: bool = False


def tree(text: str, notes: Notes) -> Node | None:
    """Return the root of a YAML text, or None where it is empty or cannot be parsed (noted).

    Nobody changes a tree: the last two texts without a problem give the same tree again, so that a drawing
    step, which needs the text before and after it several times, parses once.
    """
    kept = _faultless(text) if len(text) >= LEAST_KEPT else None
    return kept or _parsed(text, notes)


@lru_cache(maxsize=2)
def _faultless(text: str) -> Node | None:
    notes = Notes("")
    root = _parsed(text, notes)
    return None if len(notes) else root


def _parsed(text: str, notes: Notes) -> Node | None:
    import yaml  # 16 ms: only once a file is read

    loader_class: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    text = clean(text, notes)
    try:
        return _Builder(notes).build(loader_class(text))
    except yaml.YAMLError as error:
        _note_syntax(error, text, notes)
    except _StopReadingError:
        pass
    return None


class _Builder:
    """Makes the tree from the parser's events."""

    def __init__(self, notes: Notes) -> None:
        self.notes = notes
        self.open: list[_Open] = []
        self.root: Node | None = None
        self.count = 0
        self.documents = 0

    def build(self, loader: Any) -> Node | None:
        """Take every event and return the root."""
        import yaml

        handlers = {
            yaml.ScalarEvent: self._scalar,
            yaml.MappingStartEvent: self._start,
            yaml.SequenceStartEvent: self._start,
            yaml.MappingEndEvent: self._end,
            yaml.SequenceEndEvent: self._end,
            yaml.AliasEvent: self._alias,
            yaml.DocumentStartEvent: self._document,
        }
        self._mapping = yaml.MappingStartEvent
        event, end = None, yaml.StreamEndEvent
        while event.__class__ is not end:
            event = loader.get_event()
            handler = handlers.get(event.__class__)
            if handler is not None:
                handler(event)
        return self.root

    def _document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            mark = event.start_mark
            self.notes.add_at(
                mark.line + 1, mark.column + 1, "a second document begins", "one file, one shop"
            )
            raise _StopReadingError

    def _alias(self, event: Any) -> None:
        node = Scalar("", event.start_mark.line + 1, event.start_mark.column + 1, True)
        self.notes.add(node, f"'*{shown(event.anchor)}' refers to something else", "write it out")
        self.notes.settle(node)
        self._put(node)

    def _scalar(self, event: Any) -> None:
        mark = event.start_mark
        text = event.value
        if not text.isascii():
            text = unicodedata.normalize("NFC", text)
        node = Scalar(
            text, mark.line + 1, mark.column + 1, bool(event.style), mark.index, event.end_mark.index
        )
        if event.tag is not None:
            self._tag(event.tag, node)
        self._put(node)

    def _start(self, event: Any) -> None:
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        node: Table | Listing
        node = Table({}, line, column) if event.__class__ is self._mapping else Listing([], line, column)
        node.start, node.flow = event.start_mark.index, bool(event.flow_style)
        if len(self.open) >= MOST_DEPTH:
            self.notes.add(node, f"nested more than {MOST_DEPTH} deep", "a shop file needs six")
            raise _StopReadingError
        if event.tag is not None:
            self._tag(event.tag, node)
        self._put(node)
        self.open.append(_Open(node))

    def _end(self, event: Any) -> None:
        self.open.pop().node.end = event.end_mark.index

    def _tag(self, tag: str, node: Node) -> None:
        self.notes.add(node, f"tag '{shown(tag)}' has no meaning here", "leave it out")

    def _put(self, node: Node) -> None:
        """Hang a node where it belongs."""
        self.count += 1
        if self.count > MOST_NODES:
            self.notes.add(node, f"more than {MOST_NODES} values", "is this a shop file?")
            raise _StopReadingError
        if not self.open:
            self.root = node
            return
        parent = self.open[-1]
        if isinstance(parent.node, Listing):
            parent.node.items.append(node)
        elif parent.key is not None:
            self._pair(parent, parent.key, node)
        elif isinstance(node, Scalar):
            parent.key = node
        else:
            self.notes.add(node, "a list or mapping cannot be a key", "write one word or text and a colon")
            parent.key = Scalar("", node.line, node.column, True)
            parent.dropped = True

    def _pair(self, parent: _Open, key: Scalar, node: Node) -> None:
        assert isinstance(parent.node, Table)
        pairs = parent.node.pairs
        parent.key = None
        if parent.dropped:
            parent.dropped = False
            return
        first = pairs.get(key.text)
        if first is not None:
            what = f"'{shown(key.text)}' is written twice"
            self.notes.add(key, what, f"first on line {first[0].line}; keep one")
            return
        pairs[key.text] = (key, node)


_INDENT = "indent it like the lines it belongs to"
_SYNTAX = (
    ("mapping values are not allowed", "a colon that does not fit here", "quote a text with ': ' in it"),
    ("cannot start any token", "a sign that cannot begin a value", "quote the text"),
    ("expected ',' or ']'", "a list that is not closed or lacks a comma", "write [a, b]"),
    ("expected ',' or '}'", "braces that are not closed or lack a comma", "write {a: 1, b: 2}"),
    ("could not find expected ':'", "a line without its colon", "write 'key: value'"),
    ("expected key", "a line that does not fit what is above it", _INDENT),
    ("expected <block end>", "a line that does not fit what is above it", _INDENT),
    ("expected the node content", "a value is missing", "write something after the colon or comma"),
    ("expected node content", "a value is missing", "write something after the colon or comma"),
    ("unexpected end of stream", "the file ends inside a quoted text", "close the quote"),
    (
        "block sequence entries are not allowed",
        "a '-' that does not fit here",
        "put the list below",
    ),
    ("nesting depth", f"nested more than {MOST_DEPTH} deep", "a shop file needs six"),
    ("undefined tag handle", "a '!' that begins a tag", "quote the text"),
    ("undefined alias", "a '*' that begins an alias", "quote the text"),
    ("alphabetic or numeric character", "a '*' or '&' that begins an alias", "quote the text"),
    ("unknown escape character", "a backslash that means nothing in double quotes", "use single quotes"),
    ("expected <document start>", "something after the end of the shop", "one file, one shop"),
)


def _note_syntax(error: yaml.YAMLError, text: str, notes: Notes) -> None:
    """Say in our words why the text is no YAML. What stands behind it has not been looked at."""
    tabs = tabbed_lines(text)
    lines = re.split("\r\n|\r|\n", text)
    for number in tabs[:20]:
        notes.add_at(number, lines[number - 1].index("\t") + 1, "a tab in the indentation", "use spaces")
    if tabs:
        return
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    raw = " ".join(
        str(part) for part in (getattr(error, "problem", ""), getattr(error, "reason", "")) if part
    )
    what, hint = raw or "this is not YAML", "the rest of the file was not looked at"
    for sign, words, meant in _SYNTAX:
        if sign in raw:
            what, hint = words, meant
            break
    begun = getattr(error, "context_mark", None)
    if begun is not None and mark is not None and begun.line < mark.line and "expected ','" in raw:
        hint += f"; it begins on line {begun.line + 1}"
    if mark is None:
        notes.add_at(1, 1, what, hint)
        return
    line = min(mark.line + 1, len(lines))
    column = mark.column + 1 if line == mark.line + 1 else len(lines[line - 1]) + 1
    notes.add_at(line, column, what, hint)
