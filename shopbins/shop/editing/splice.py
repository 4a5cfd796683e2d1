"""Change single things in the text of a shop file; every other character stays what and where it was.

Places are the marks of the parser. After each step the new text is parsed again and must hold just what was
asked for, so a splice is right or refused, never silently wrong. A step is refused at once where the text has
a problem of form (an alias, a tag, a key written twice).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.shop.nodes import Listing, Node, Scalar, Table, tree
from shopbins.shop.problems import Notes, Problem

WIDEST_LINE = 110
_BOM = "\ufeff"
_ODD = re.compile(r"[-+.\d][\d_.,:eExXoO+-]*$|~|(null|true|false|yes|no|on|off|y|n)$", re.IGNORECASE)
_BREAK = re.compile(r"\r\n|\n|\r|$")
_GAP = re.compile(r"(?:\s+(?:#[^\n\r]*)?)*,")  # blanks and remarks up to the comma
_BLANKS = re.compile(" *")

Path = tuple[str | int, ...]
"""Keys of tables and numbers of list items, from the top of the file."""
Splice = tuple[int, int, str]


@dataclass(frozen=True, slots=True)
class Put:
    """Write a value (as YAML) at a path, in place of what is there or as something new."""

    path: Path
    value: str


@dataclass(frozen=True, slots=True)
class Drop:
    """Take a pair out, with the remark on its own lines; one above it stays."""

    path: Path


@dataclass(frozen=True, slots=True)
class Rename:
    """Give the key at the end of a path another word."""

    path: Path
    key: str


@dataclass(frozen=True, slots=True)
class Append:
    """Write a value (as YAML) behind the last item of the list at a path."""

    path: Path
    value: str


Edit = Put | Drop | Rename | Append


class SpliceRefused(Exception):  # noqa: N818 - it is an answer
    """It cannot be done without touching something else; `line` is where. An editor can do it."""

    def __init__(self, what: str, line: int = 0) -> None:
        super().__init__(f"line {line}: {what}" if line else what)
        self.line = line


def edit(text: str, edits: Sequence[Edit]) -> str:
    """Return the text with all edits done as one step; every path is meant as the text stood before.

    Raises SpliceRefused, and then nothing has been done.
    """
    mark, text = (_BOM, text[1:]) if text.startswith(_BOM) else ("", text)
    root = parse(text)
    now, later = _in_turn(root, edits)
    want = _data(root)
    splices: list[Splice] = []
    for each in sorted(now, key=lambda each: isinstance(each, Rename)):  # renames last
        splices += _SPLICES[type(each)](text, root, each)
        _expect(want, each)
    done = _joined(text, splices)
    if _data(parse(done)) != want:
        raise SpliceRefused("something else would have changed", _line(root, edits))
    return mark + (edit(done, later) if later else done)


def _in_turn(root: Node, edits: Sequence[Edit]) -> tuple[list[Edit], list[Edit]]:
    """Return the edits for one pass, and those that add to a table which another of them begins."""
    now: list[Edit] = []
    later: list[Edit] = []
    begun: set[Path] = set()
    for each in edits:
        node, rest = find(root, each.path)
        above = each.path[: len(each.path) - len(rest)]
        begins = (
            above + rest[:-1]
            if rest and (len(rest) > 1 or not (isinstance(node, Table) and node.pairs))
            else None
        )
        if (
            isinstance(each, Put)
            and begins is not None
            and (begins in begun or begins[: len(above) + 1] in begun)
        ):
            later.append(each)
            continue
        if begins is not None:
            begun |= {begins, begins[: len(above) + 1]}
        now.append(each)
    return now, later


def parse(text: str) -> Node:
    """Return the tree of a text; SpliceRefused where it has a problem of form."""
    notes = Notes("")
    root = tree(text, notes)
    if len(notes):
        first: Problem = notes.in_order()[0]
        raise SpliceRefused(f"{first.what} ({first.hint})" if first.hint else first.what, first.line)
    if root is None:
        raise SpliceRefused("the file is empty")
    return root


def word(text: str) -> str:
    """Return a text as one YAML word: plain where every reader takes it for this text, else quoted."""
    import yaml

    if re.fullmatch(r"[1-9]\d{0,8}", text):
        return text  # the level of a rack: a number to YAML, the same text to the reader
    try:
        if not _ODD.match(text) and yaml.safe_load(f"{{{text}: [{text}]}}") == {text: [text]}:
            return text
    except (yaml.YAMLError, TypeError, ValueError):
        pass
    return json.dumps(text, ensure_ascii=False)


def in_braces(pairs: dict[str, str]) -> str:
    """Return keys and values (as YAML) in braces."""
    return "{" + ", ".join(f"{word(key)}: {value}" for key, value in pairs.items()) + "}"


def find(root: Node, path: Path) -> tuple[Node, Path]:
    """Return the deepest node there is on a path, and what is left of the path."""
    for n, step in enumerate(path):
        if isinstance(step, int) and isinstance(root, Listing) and step < len(root.items):
            root = root.items[step]
        elif isinstance(root, Table) and step in root.pairs:
            root = root.pairs[str(step)][1]
        else:
            return root, path[n:]
    return root, ()


# -- what must be there afterwards


def _data(node: Node) -> Any:
    """Return what must not change unasked: words, each with whether it is quoted; lists; tables."""
    if isinstance(node, Scalar):
        return node.text, node.quoted
    if isinstance(node, Listing):
        return [_data(each) for each in node.items]
    return {key: _data(value) for key, (_, value) in node.pairs.items()}


def _expect(want: Any, each: Edit) -> None:
    """Do an edit on plain data too."""
    if isinstance(each, Append):
        for step in each.path:
            want = want[step]
        want.append(_data(_fragment(each.value)))
        return
    for step in each.path[:-1]:
        if isinstance(want, dict) and want.get(step, ("", False)) == ("", False):
            want[step] = {}
        want = want[step]
    last = each.path[-1]
    if isinstance(each, Put):
        want[last] = _data(_fragment(each.value))
    elif isinstance(each, Drop):
        del want[last]
    else:
        renamed = _fragment(each.key)
        assert isinstance(renamed, Scalar)
        want[renamed.text] = want.pop(last)


def _fragment(value: str) -> Node:
    listing = parse(f"[{value}]")
    if not isinstance(listing, Listing) or len(listing.items) != 1:
        raise SpliceRefused(f"'{value}' is not one value")
    return listing.items[0]


def _line(root: Node, edits: Sequence[Edit]) -> int:
    return find(root, edits[0].path)[0].line if edits else 0


def _joined(text: str, splices: list[Splice]) -> str:
    parts, at = [], 0
    for start, end, new in sorted(splices, key=lambda splice: splice[:2]):
        if start < at:
            raise SpliceRefused("two changes of one place")
        parts += [text[at:start], new]
        at = end
    return "".join([*parts, text[at:]])


# -- the three edits as splices


def tail(node: Node) -> int:
    """Return where the last thing in a node ends (a block's own end lies behind the remarks below it)."""
    if isinstance(node, Scalar) or node.flow:
        return node.end
    if isinstance(node, Table):
        return tail(list(node.pairs.values())[-1][1]) if node.pairs else node.end
    return tail(node.items[-1]) if node.items else node.end


def _put(text: str, root: Node, each: Put) -> list[Splice]:
    node, rest = find(root, each.path)
    if not rest:
        return _replaced(text, node, each.value)
    if any(isinstance(step, int) for step in rest):
        raise SpliceRefused("there is no such item", node.line)
    keys = [str(step) for step in rest]
    step = _indent_of(root)
    deep = 2 if node is root and not _is_flow(root) else 1  # a new section is a block
    value = each.value
    for key in keys[: deep - 1 : -1]:
        value = f"{{{word(key)}: {value}}}"
    if isinstance(node, Table) and node.pairs:
        pairs = list(node.pairs.values())
        first_key, at = pairs[0][0], tail(pairs[-1][1])
        if node.flow:
            return [(at, at, f", {word(keys[0])}: {value}")]
        return [
            _below(text, at, first_key.column - 1, _lines(keys[:deep], value, first_key.column - 1, step))
        ]
    above = find(root, each.path[: len(each.path) - len(rest) - 1])[0]
    return _into_empty(text, node, above, _pair(keys, value), (keys[:deep], value, step))


def _pair(keys: list[str], value: str) -> str:
    return f"{word(keys[0])}: {value}"


def _into_empty(
    text: str, node: Node, above: Node, pair: str, lines: tuple[list[str], str, int]
) -> list[Splice]:
    """Put the first pair into 'zones:', 'zones: {}' or '{}'."""
    if isinstance(node, Listing) or (isinstance(node, Scalar) and node.end > node.start):
        raise SpliceRefused("there is a word or a list already", node.line)
    if _is_flow(above) or _BREAK.search(text, node.start, node.end).start() < node.end:  # type: ignore[union-attr]
        if node.end == node.start:
            return [(node.start, node.end, f" {{{pair}}}")]
        return [(node.start + 1, node.start + 1, pair)]
    assert isinstance(above, Table)
    keys, value, step = lines
    indent = next(iter(above.pairs.values()))[0].column - 1 + step
    line = _below(text, node.end, indent, _lines(keys, value, indent, step))
    return [(len(text[: node.start].rstrip(" ")), node.end, ""), line]


def _replaced(text: str, node: Node, value: str) -> list[Splice]:
    if isinstance(node, Scalar) or node.flow:
        kept = len(text[node.start : node.end].rstrip())  # a block text ends behind its line break
        return [(node.start, node.start + kept, value if node.end > node.start else f" {value}")]
    begin, colon = _begin(text, node.start), text.rindex(":", 0, node.start)
    if text[begin : node.start].strip() or begin <= colon:
        raise SpliceRefused("a block that does not begin on a line of its own", node.line)
    return [(colon + 1, colon + 1, f" {value}"), (begin, _end(text, tail(node))[1], "")]


def _drop(text: str, root: Node, each: Drop) -> list[Splice]:
    table = find(root, each.path[:-1])[0]
    key = str(each.path[-1])
    if not isinstance(table, Table) or key not in table.pairs:
        raise SpliceRefused(f"there is no '{key}'", table.line)
    values = list(table.pairs.values())
    n = list(table.pairs).index(key)
    start, stop = values[n][0].start, tail(values[n][1])
    if not table.flow:
        if text[_begin(text, start) : start].strip():
            raise SpliceRefused("something else on its line", values[n][0].line)
        if len(table.pairs) == 1:
            if table is root:
                raise SpliceRefused("the only thing in the file", values[n][0].line)
            return _put(text, root, Put(each.path[:-1], "{}"))
        return [(_begin(text, start), _end(text, stop)[1], "")]
    after = _GAP.match(text, stop)
    if after is not None:
        blanks = _BLANKS.match(text, after.end())
        return [(start, after.end() if blanks is None else blanks.end(), "")]
    comma = _GAP.match(text, tail(values[n - 1][1])) if n else None
    if comma is None:
        return [(start, stop, "")]
    if not text[comma.end() : start].strip(" "):
        return [(comma.end() - 1, stop, "")]
    return [(comma.end() - 1, comma.end(), ""), (start, stop, "")]


def _rename(text: str, root: Node, each: Rename) -> list[Splice]:
    del text
    table = find(root, each.path[:-1])[0]
    pair = table.pairs.get(str(each.path[-1])) if isinstance(table, Table) else None
    if pair is None:
        raise SpliceRefused(f"there is no '{each.path[-1]}'", table.line)
    return [(pair[0].start, pair[0].end, each.key)]


def _append(text: str, root: Node, each: Append) -> list[Splice]:
    node, rest = find(root, each.path)
    if rest or not isinstance(node, Listing) or not node.items:
        raise SpliceRefused("there is no list to add to", node.line)
    at = tail(node.items[-1])
    if node.flow:
        return [(at, at, f", {each.value}")]
    return [_below(text, at, node.column - 1, [f"- {each.value}"])]


_SPLICES: dict[type, Callable[[str, Node, Any], list[Splice]]] = {
    Put: _put,
    Drop: _drop,
    Rename: _rename,
    Append: _append,
}


# -- lines


def _is_flow(node: Node) -> bool:
    return not isinstance(node, Scalar) and node.flow


def _indent_of(root: Node) -> int:
    """Return by how much the file indents what belongs to something."""
    for _, value in root.pairs.values() if isinstance(root, Table) else ():
        if isinstance(value, Table) and value.pairs and not value.flow:
            return next(iter(value.pairs.values()))[0].column - 1
    return 2


def _lines(keys: list[str], value: str, indent: int, step: int) -> list[str]:
    """Return the lines of a new pair, in braces on one line unless that is too long."""
    lines = [" " * step * n + f"{word(key)}:" for n, key in enumerate(keys)]
    one = f"{lines[-1]} {value}"
    if len(one) + indent <= WIDEST_LINE or not value.startswith("{"):
        return [*lines[:-1], one]
    inside = _fragment(value)
    assert isinstance(inside, Table)
    deeper = step * len(keys)
    for key, node in inside.pairs.values():
        name, written = (
            key.text,
            value[node.start - 1 : tail(node) - 1],
        )  # the fragment was parsed in brackets
        lines += [" " * deeper + line for line in _lines([name], written, indent + deeper, step)]
    return lines


def _begin(text: str, at: int) -> int:
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def _end(text: str, at: int) -> tuple[int, int]:
    """Return where the line ends and where the next begins."""
    if at and text[at - 1] in "\r\n":
        return at, at
    found = _BREAK.search(text, at)
    assert found is not None
    return found.span()


def _below(text: str, at: int, indent: int, lines: list[str]) -> Splice:
    """Write lines below the one where `at` is."""
    stop, after = _end(text, at)
    found = _BREAK.search(text)
    line_end = (found.group() if found else "") or "\n"
    block = line_end.join(" " * indent + line for line in lines)
    if after > stop or (at and text[at - 1] in "\r\n"):
        return after, after, block + line_end
    return stop, stop, line_end + block
