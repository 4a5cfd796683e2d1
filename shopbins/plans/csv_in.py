"""Zones from a table: one a row, its columns by their headings."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence

from shopbins import units
from shopbins.shop.editing.splice import Put, in_braces, word
from shopbins.shop.keys import ZONE_KINDS
from shopbins.shop.problems import nearest, shown
from shopbins.strip.importing import decoded, delimiter

COLUMNS = ("key", "room", "kind", "x", "y", "length", "depth", "turn", "height", "load", "name", "note")
NEEDED = ("key", "room", "kind", "x", "y", "length", "depth")
_MEANT: Mapping[str, str] = {
    "zone": "key",
    "place": "key",
    "label": "key",
    "type": "kind",
    "left": "x",
    "bottom": "y",
    "l": "length",
    "w": "depth",
    "width": "depth",
    "d": "depth",
    "h": "height",
    "angle": "turn",
}
MOST_ROWS = 2000


class CannotRead(ValueError):  # noqa: N818 - it is an answer
    """A file nothing can be taken from, or a row that says nothing clear; `line` counts from 1, 0: none."""

    def __init__(self, what: str, line: int = 0) -> None:
        super().__init__(what)
        self.line = line


def zones(data: bytes) -> list[Put]:
    """Return each row as an edit of the shop file; raises CannotRead."""
    text = decoded(data)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter(text.split("\n", 1)[0]))
    try:
        header = next(rows, [])
        columns = _columns(header)
        return list(_puts(rows, columns))
    except csv.Error as problem:
        raise CannotRead(str(problem), rows.line_num) from None


def _columns(header: Sequence[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for n, cell in enumerate(header):
        said = cell.strip().lower()
        name = said if said in COLUMNS else _MEANT.get(said)
        if name is not None:
            found.setdefault(name, n)
    for name in NEEDED:
        if name not in found:
            near = nearest(name, [cell.strip() for cell in header])
            hint = f": did you mean '{near}'?" if near else f"; the first row is {','.join(COLUMNS)}"
            raise CannotRead(f"no column '{name}'{hint}", 1)
    return found


def _puts(rows: Iterator[list[str]], columns: Mapping[str, int]) -> Iterator[Put]:
    seen: dict[str, int] = {}
    for row in rows:
        line = rows.line_num  # type: ignore[attr-defined]
        cells = {name: row[n].strip() if n < len(row) else "" for name, n in columns.items()}
        if not any(cells.values()):
            continue
        if len(seen) == MOST_ROWS:
            raise CannotRead(f"more than {MOST_ROWS} rows", line)
        key = cells["key"]
        if not key:
            raise CannotRead("a row without a key", line)
        if key in seen:
            raise CannotRead(f"'{shown(key)}' is on line {seen[key]} already", line)
        seen[key] = line
        yield Put(("zones", key), in_braces(_pairs(cells, line)))


def _pairs(cells: Mapping[str, str], line: int) -> dict[str, str]:
    for name in NEEDED:
        if not cells[name]:
            raise CannotRead(f"'{shown(cells['key'])}' has no {name}", line)
    kind = cells["kind"].lower()
    if kind not in ZONE_KINDS:
        raise CannotRead(f"'{shown(kind)}' is not one of {', '.join(ZONE_KINDS)}", line)
    checked = {
        **{name: _checked(cells, name, line, units.parse_coordinate) for name in ("x", "y")},
        **{name: _checked(cells, name, line, units.parse_length) for name in ("length", "depth", "height")},
        "turn": _checked(cells, "turn", line, units.parse_angle),
        "load": _checked(cells, "load", line, units.parse_mass),
    }
    pairs = {
        "room": word(cells["room"]),
        "kind": kind,
        "at": f"[{checked['x']}, {checked['y']}]",
        "size": f"[{checked['length']}, {checked['depth']}]",
    }
    pairs |= {name: checked[name] for name in ("turn", "height", "load") if checked[name]}
    pairs |= {name: word(cells[name]) for name in ("name", "note") if cells.get(name)}
    return pairs


def _checked(cells: Mapping[str, str], name: str, line: int, parse: object) -> str:
    text = cells.get(name, "")
    if text:
        try:
            parse(text)  # type: ignore[operator]
        except units.UnitError as problem:
            raise CannotRead(f"'{shown(cells['key'])}': {problem}", line) from None
    return text
