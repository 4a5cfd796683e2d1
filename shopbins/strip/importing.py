"""A parts list from a spreadsheet (CSV): columns mapped and remembered, every bad row named by its line.

    sheet = read(data, columns=None, machine="engine")     # nothing is written
    sheet.problems                                         # (line, what is wrong)
    ledger.transact(lambda state: import_parts(state, sheet))

A row has an id that follows from what it says (machine, assembly, name, number), so importing twice doubles
nothing, whatever the rows' order; a row the list has twice counts as two.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, NamedTuple
from zipfile import ZipFile

from shopbins.ledger import values
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.lots import held, share_fields
from shopbins.ledger.model import Doc
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import NAME_LIMIT, clean_text
from shopbins.strip.book import Book
from shopbins.strip.tree import list_doc, listed

Columns = Mapping[str, int]

FIELDS: Mapping[str, tuple[str, ...]] = {
    "name": ("name", "description", "part", "part name", "designation", "item", "title"),
    "assembly": ("assembly", "group", "section", "from", "origin", "where", "location on machine"),
    "subassembly": ("sub-assembly", "subassembly", "sub assembly", "subgroup", "sub-group"),
    "qty": ("qty", "quantity", "no. off", "number off", "pieces", "pcs", "count", "off"),
    "number": ("number", "part no", "part no.", "part number", "drawing", "drawing no", "ref", "no.", "id"),
    "spec": ("spec", "specification", "size", "material", "note", "remarks", "thread"),
    "machine": ("machine", "engine", "vehicle"),
}
"""What a column may be, with the headings by which it is known (lower case)."""


class ListedPart(NamedTuple):
    """One row of a parts list; `key` is the id of its position, which follows from what the row says."""

    line: int
    key: str
    name: str
    origin: tuple[str, ...]
    qty: int | None = None
    number: str = ""
    spec: str = ""

    def doc(self) -> dict[str, Any]:
        """Return the position's document."""
        doc: dict[str, Any] = {"name": self.name, "origin": list(self.origin)}
        if self.qty is not None:
            doc["qty"] = self.qty
        if self.number:
            doc["number"] = self.number
        if self.spec:
            doc["spec"] = self.spec
        return doc


@dataclass(frozen=True, slots=True)
class Sheet:
    """A parts list as read: its heading, what each column was taken for, good rows, and what is wrong."""

    header: tuple[str, ...]
    columns: Columns
    rows: tuple[ListedPart, ...]
    problems: tuple[tuple[int, str], ...] = field(default=())

    @property
    def signature(self) -> str:
        """What a heading is remembered by."""
        return signature(self.header)


def signature(header: Sequence[str]) -> str:
    """Return what a heading is remembered by: its words, whatever their case."""
    return "|".join(each.strip().casefold() for each in header)


def part_key(said: str, nth: int = 0) -> str:
    """Return the id of a position: a digest of what a row says of it; `nth` tells equal rows apart."""
    text = f"{said}\x1f{nth}" if nth else said
    return blake2b(text.encode(), digest_size=10, person=b"shopbins part").hexdigest()


def said_of(origin: Sequence[str], name: str, number: str) -> str:
    """Return what tells a row from others, as one text."""
    return "\x1f".join((*origin, name, number))


def decoded(data: bytes) -> str:
    """Return the text of a CSV file: UTF-8 (with or without mark), UTF-16 with mark, else Windows-1252."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError:
            raise BadValue("the file begins as UTF-16, but is not") from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def delimiter(first_line: str) -> str:
    """Return what parts the columns: of , ; tab and |, the one most in the heading."""
    return max(",;\t|", key=first_line.count)


def guess(header: Sequence[str]) -> dict[str, int]:
    """Return which column is what, by its heading; the first that fits."""
    found: dict[str, int] = {}
    plain = [" ".join(each.strip().casefold().split()) for each in header]
    for name, headings in FIELDS.items():
        for heading in headings:
            if heading in plain and plain.index(heading) not in found.values():
                found[name] = plain.index(heading)
                break
    return found


def header_of(data: bytes) -> tuple[str, ...]:
    """Return the heading of a file; BadValue where it has none."""
    return opened(data)[0]


def opened(data: bytes) -> tuple[tuple[str, ...], Any]:
    """Return the heading of a file, and the CSV reader of what is below it; BadValue where it has none."""
    text = decoded(data)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter(text.split("\n", 1)[0]))
    row = next(reader, [])
    if not any(each.strip() for each in row):
        raise BadValue("1: there is no heading (the first line names the columns)")
    return tuple(each.strip() for each in row), reader


def filled(reader: Any, problems: list[tuple[int, str]]) -> Iterator[tuple[list[str], str]]:
    """Go through the rows that are not empty, each with its text joined; what is no CSV becomes a problem."""
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as problem:
            problems.append((reader.line_num, f"is not CSV: {problem}"))
            continue
        if cells is None:
            return
        whole = "".join(cells)
        if whole and not whole.isspace():
            yield cells, whole


def read(data: bytes, columns: Columns | None = None, machine: str = "") -> Sheet:
    """Read a parts list; `machine` is where a row names none. BadValue where nothing can be made of it.

    `columns` says which column (from 0) is what (see FIELDS); None guesses by the heading.
    """
    header, reader = opened(data)
    chosen = dict(guess(header) if columns is None else columns)
    _check_columns(header, chosen, machine)
    home = clean_text(machine, "the machine")
    rows: list[ListedPart] = []
    problems: list[tuple[int, str]] = []
    _read_rows(reader, chosen, home, rows, problems)
    return Sheet(header, chosen, tuple(rows), tuple(problems))


def _check_columns(header: Sequence[str], chosen: Columns, machine: str) -> None:
    for name, column in chosen.items():
        if name not in FIELDS:
            raise BadValue(f"a column is no {name[:30]!r} (one of: {', '.join(FIELDS)})")
        if not 0 <= column < len(header):
            raise BadValue(f"there is no column {column + 1} (the heading has {len(header)})")
    if "name" not in chosen:
        raise BadValue(f"1: no column is the part's name; the heading has: {', '.join(header)[:200]}")
    if not machine.strip() and "machine" not in chosen:
        raise BadValue("say which machine the list is of")


def _read_rows(
    reader: Any, chosen: Columns, home: str, rows: list[ListedPart], problems: list[tuple[int, str]]
) -> None:
    """Read every row into `rows`, or say in `problems` why not."""
    read_row = _row_reader(chosen, home)
    for cells, whole in filled(reader, problems):
        if len(rows) >= MOST_ROWS:
            problems.append((reader.line_num, f"more than {MOST_ROWS} rows: the rest was not read"))
            return
        try:
            rows.append(read_row(cells, whole, reader.line_num))
        except BadValue as problem:
            problems.append((reader.line_num, str(problem)))


def _row_reader(chosen: Columns, home: str) -> Callable[[list[str], str, int], ListedPart]:
    """Return what reads one row; it remembers origins and how often each row came."""
    get = chosen.get
    widest = 1 + max(chosen.values())
    nowhere = widest  # a column that is not there reads as the empty cell put behind the last
    name_at, number_at, spec_at = get("name", nowhere), get("number", nowhere), get("spec", nowhere)
    qty_at, machine_at = get("qty", nowhere), get("machine", nowhere)
    assembly_at, sub_at = get("assembly", nowhere), get("subassembly", nowhere)
    seen: dict[str, int] = {}
    origins: dict[tuple[str, str, str], tuple[tuple[str, ...], str]] = {}

    def read_row(cells: list[str], whole: str, line: int) -> ListedPart:
        if len(cells) != widest:
            cells = [*cells[:widest], *[""] * (widest - len(cells))]
        cells.append("")
        name, number, spec = cells[name_at].strip(), cells[number_at].strip(), cells[spec_at].strip()
        if len(whole) > NAME_LIMIT or not whole.isascii() or not whole.isprintable():
            name, number = _clean(name, "the name"), _clean(number, "the number")
            spec = _clean(spec, "the specification")
        if not name:
            raise BadValue("has no name")
        where = (cells[machine_at].strip() or home, cells[assembly_at], cells[sub_at])
        known = origins.get(where)
        if known is None:
            origin = _origin(where)
            known = origins[where] = origin, "\x1f".join(origin)
        said = f"{known[1]}\x1f{name}\x1f{number}"
        nth = seen.get(said, 0)
        qty = _qty(cells[qty_at].strip())
        seen[said] = nth + 1
        return ListedPart(line, part_key(said, nth), name, known[0], qty, number, spec)

    return read_row


def _clean(text: str, what: str) -> str:
    return clean_text(" ".join(text.split()), what)


def _origin(said: tuple[str, ...]) -> tuple[str, ...]:
    parts = [part.strip() for text in said for part in text.split(">") if part.strip()]
    if len(parts) > 1 and parts[0].casefold() == parts[1].casefold():
        del parts[1]  # the assembly was written with its machine in front
    origin = values.checked({"origin": parts})["origin"]
    if not said[0].strip():
        raise BadValue("has no machine")
    return tuple(origin)


@lru_cache(maxsize=1024)
def _qty(text: str) -> int | None:
    if not text:
        return None
    plain = text.removesuffix(".0").removesuffix("x").strip()
    if not (plain.isascii() and plain.isdigit() and len(plain) < 9):
        raise BadValue(f"the quantity {text[:20]!r} is not a whole number")
    return values.checked_qty(int(plain))


# -- into the ledger


@dataclass(frozen=True, slots=True)
class News:
    """What importing would do: new rows and changed ones by id, and how many are known as they are."""

    new: Mapping[str, ListedPart]
    changed: Mapping[str, ListedPart]
    same: int


def news(state: State, sheet: Sheet) -> News:
    """Compare a sheet with what is known."""
    known = listed(state)
    new: dict[str, ListedPart] = {}
    changed: dict[str, ListedPart] = {}
    same = 0
    for row in sheet.rows:
        key = row.key
        old = known.get(key)
        if old is None:
            new[key] = row
        elif any(_now(state, key, old, name) != value for name, value in _fields(row).items()):
            changed[key] = row
        else:
            same += 1
    return News(new, changed, same)


def _now(state: State, key: str, old: Doc, name: str) -> Any:
    """Return what is known of a position's field; its number less what the list was wrong by."""
    value = old.get(name)
    return value if name != "qty" or value is None else value - state.follower(Book).look(key).never_listed


def renumbered(state: State, found: News) -> dict[str, int]:
    """Return the positions pieces came off whose listed number a list would change: that wants a reason."""
    known = listed(state)
    book = state.follower(Book)
    return {
        key: row.doc()["qty"]
        for key, row in found.changed.items()
        if "qty" in row.doc()
        and known[key].get("qty") is not None
        and _now(state, key, known[key], "qty") != row.doc()["qty"]
        and book.look(key).touched
    }


def _fields(row: ListedPart) -> dict[str, Any]:
    """Return what an import may change in a position already known: not where it was moved, or renamed to."""
    doc = row.doc()
    return {name: doc[name] for name in ("qty", "spec") if name in doc}


def import_parts(
    state: State, sheet: Sheet, title: str = "", correct: Callable[[State, str, int], Draft] | None = None
) -> Draft:
    """Record a sheet's good rows, and its columns for the next time; Refused where there is nothing new.

    What already came off and is named alike in the same assembly becomes that position's group. Another
    number for a place pieces came off is a correction: refused unless `correct` (position, number) drafts it.
    """
    found = news(state, sheet)
    numbers = renumbered(state, found)
    if numbers and correct is None:
        known = listed(state)
        names = [
            f"{known[k].get('name', '')} {_now(state, k, known[k], 'qty')} to {n}" for k, n in numbers.items()
        ]
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        raise ReasonWanted(
            f"the list has another number of what came off: {', '.join(names[:3])}{more}",
            "say why: shopbins import ... --reason WHY, or correct PART --listed N --reason WHY",
        )
    after: dict[str, Any] = {}
    for key, number in numbers.items():
        after |= correct(state, key, number).after if correct is not None else {}
    if found.new:
        name = clean_text(title, "the list's name") or "a parts list"
        after[f"list:{new_id()}"] = {"name": name, **list_doc(found.new.values())}
    for key, row in found.changed.items():
        fields = {k: v for k, v in _fields(row).items() if k != "qty" or key not in numbers}
        if fields:
            after[f"part:{key}"] = {**after.get(f"part:{key}", {}), **fields}
    if not after:
        raise Refused("every row of the list is known already")
    after |= _bound(state, found.new)
    if state.docs("columns").get(sheet.signature, {}).get("columns") != dict(sheet.columns):
        after[f"columns:{sheet.signature}"] = {"columns": dict(sheet.columns)}
    return Draft("import", after)


def _bound(state: State, rows: Mapping[str, ListedPart]) -> dict[str, Any]:
    """Return what came off before the list was read, each group with its position, and all of its place."""
    groups: dict[tuple[tuple[str, ...], str], list[str]] = {}
    for group_id, doc in state.docs("group").items():
        if "parts" not in doc and doc.get("origin"):
            key = (tuple(doc["origin"]), doc.get("name", "").casefold())
            groups.setdefault(key, []).append(group_id)
    used = {each for doc in state.docs("before").values() for each in (doc["a"], doc["b"])}
    used.update(state.docs("part"))
    after: dict[str, Any] = {}
    shares: dict[str, dict[str, int]] = {}
    for part, row in rows.items() if groups else ():
        for key in ((row.origin, row.name.casefold()), ((*row.origin, row.name), row.name.casefold())):
            if groups.get(key):
                group_id = groups[key].pop(0)
                own = [group_id] if group_id in used else []  # what was said of it by its id stays true
                n = state.docs("group")[group_id].get("qty", 1)
                after |= _along(state, group_id, part, shares)
                after[f"group:{group_id}"] = {"parts": [part, *own], "shares": [n, 0] if own else None}
                break
    return after


_LEFT = ("lost", "consumed", "given", "never")


def _along(state: State, seat: str, to: str, shares: dict[str, dict[str, int]]) -> dict[str, Any]:
    """Return what has all else of a position be of a listed one: split off, brought, found, lost, given.

    `shares` holds those of the groups changed so far, and is added to.
    """
    book, after, n = state.follower(Book), dict[str, Any](), 0
    for key, pieces in book.lots.get(seat, {}).items():
        own = shares.get(key) or held(key, state.docs("group")[key])
        shares[key] = {to if each == seat else each: m for each, m in own.items()}
        after[f"group:{key}"] = share_fields(shares[key], key)
        n += pieces
    for key, doc in book.postings(seat).items():
        if doc["seat"] == seat and (doc["kind"] == "found" or doc["kind"] in _LEFT):
            after[f"posting:{key}"] = {"seat": to}
            n += -doc["n"] if doc["kind"] == "found" else doc["n"]
    if n:
        after[f"posting:{new_id()}"] = {"kind": "bound", "seat": seat, "to": to, "n": n, "group": seat}
    return after


def remembered(state: State, header: Sequence[str]) -> dict[str, int] | None:
    """Return which column was what the last time a file had this heading."""
    found = state.docs("columns").get(signature(header))
    return None if found is None else dict(found["columns"])


MOST_BYTES = 20_000_000
MOST_ROWS, MOST_COLUMNS = 100_000, 200
MOST_UNPACKED = 200_000_000
"""What a parts list may have; more is somebody's mistake, said in one line instead of filling the memory."""


def read_list(path: str | os.PathLike[str]) -> bytes:
    """Return a parts list as CSV: a CSV file as it is, of an XLSX workbook the first sheet.

    Raises OSError, BadValue for what is too large or no list.
    """
    with Path(path).open("rb") as file:
        data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise BadValue(f"is larger than {MOST_BYTES // 1_000_000} MB: no parts list (split it)")
    return xlsx_as_csv(data) if str(path).lower().endswith(".xlsx") else data


def xlsx_as_csv(data: bytes) -> bytes:
    """Return the first sheet of an XLSX workbook as CSV, a line for each row; needs openpyxl (an extra).

    Raises BadValue where it is not installed, the file is no workbook, or holds more than a list may.
    """
    try:
        from openpyxl import load_workbook
    except ImportError:
        raise BadValue(
            "reading XLSX needs openpyxl: pip install 'shopbins[xlsx]', or save the list as CSV"
        ) from None
    out = io.StringIO()
    writer = csv.writer(out)
    try:
        with ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(each.file_size for each in packed.infolist())
        if unpacked > MOST_UNPACKED:
            raise BadValue(f"unpacks to {unpacked // 1_000_000} MB: no parts list (save it as CSV)")
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        if (sheet.max_column or 0) > MOST_COLUMNS:
            raise BadValue(f"has a cell beyond column {MOST_COLUMNS}: take it out, or save the list as CSV")
        if (sheet.max_row or 0) > MOST_ROWS:
            raise BadValue(f"has a cell beyond row {MOST_ROWS}: take it out, or save the list as CSV")
        empty = width = 0
        for number, row in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), 1):
            if number > MOST_ROWS:
                raise BadValue(f"has more than {MOST_ROWS} rows: no parts list (split it)")
            # a line break in a cell would make two lines of a row, and line numbers wrong
            cells = ["" if cell is None else " ".join(str(cell).split()) for cell in row]
            used = max((n for n, cell in enumerate(cells, 1) if cell), default=0)
            if not used:
                empty += 1
                continue
            width = max(width, used)
            for _ in range(empty):
                writer.writerow([""])
            empty = 0
            writer.writerow(cells[:width])
    except BadValue:
        raise
    except Exception as problem:  # whatever a damaged workbook makes the library raise
        raise BadValue(f"is no workbook that can be read: {str(problem)[:100]}") from None
    return out.getvalue().encode()
