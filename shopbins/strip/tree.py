"""The machine as a tree: positions on it, each with the groups whose pieces belong there.

A position is where pieces go: 'inlet valve springs, in cylinder head 2'. One known beforehand is a row of a
parts list (table `list`, a document a list) or was listed by itself (table `part`); every other one is a
group's own, with the group's id, and needs no document until something is said about it (how it came off,
struck out). What is said of any of them is in the table `part`, over what its list says. Splitting and
merging groups keeps their positions, so what is said of one holds whatever becomes of the groups.

What a position's document may say: name, origin [machine, assembly, ...], qty, number (drawing
or catalogue), spec, asked, after [milestones], days [least, most], struck (reason), how (see how.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from shopbins.ledger.events import Change
from shopbins.ledger.model import Doc
from shopbins.ledger.state import State

Path = tuple[str, ...]


class Position(NamedTuple):
    """A place on the machine; `groups` hold the pieces that came off it or were brought for it (ids).

    `qty` is how many pieces belong there where a list says so, `order` which came off when (1 first; on
    `day`), `asked` that what had to come off before it was answered, `after` the milestones it goes on after,
    `days` how long putting it on takes (least, most), `struck` why it stays empty.
    """

    id: str
    name: str
    origin: Path = ()
    qty: int | None = None
    groups: tuple[str, ...] = ()
    order: int | None = None
    asked: bool = False
    after: tuple[str, ...] = ()
    struck: str = ""
    number: str = ""
    day: str = ""
    days: tuple[float, float] | None = None

    @property
    def path(self) -> Path:
        """Where it is in the tree, itself included."""
        return path_of(self.origin, self.name)


def path_of(origin: Path, name: str) -> Path:
    """Return where a part is in the tree, itself included: its origin may name it already."""
    return origin if origin[-1:] == (name,) else (*origin, name)


class Listed:
    """Every position's document, rows of parts lists included: follows a state (see `State.follower`)."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._rows: dict[str, dict[str, Any]] | None = None
        self._docs: dict[str, Doc] = {}

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        if self._rows is None:
            return
        for change in changes:
            if change.table == "list":
                self._rows = None
                return
            if change.table == "part":
                row = self._rows.get(change.key)
                if row is None and change.new is None:
                    self._docs.pop(change.key, None)
                else:
                    self._docs[change.key] = {**(row or {}), **(change.new or {})}

    @property
    def rows(self) -> Mapping[str, Doc]:
        """The rows of parts lists by the position's id, as their list has them. Not to be changed."""
        assert self.docs is not None
        return self._rows or {}

    @property
    def docs(self) -> Mapping[str, Doc]:
        """The documents by the position's id. Not to be changed."""
        if self._rows is None:
            rows: dict[str, dict[str, Any]] = {}
            for each in self._state.docs("list").values():
                rows.update(_rows_of(each))
            own = self._state.docs("part")
            self._rows, self._docs = rows, dict(rows)
            for key, doc in own.items():
                self._docs[key] = {**rows[key], **doc} if key in rows else doc
        return self._docs


def list_doc(rows: Iterable[Any]) -> dict[str, Any]:
    """Write rows (key, name, origin, qty, number, spec) as a list's document; each origin once."""
    numbers: dict[Path, int] = {}
    written = [
        [each.key, each.name, numbers.setdefault(each.origin, len(numbers)), each.qty, each.number, each.spec]
        for each in rows
    ]
    return {"origins": [list(origin) for origin in numbers], "rows": written}


def _rows_of(doc: Doc) -> Iterator[tuple[str, dict[str, Any]]]:
    """Read a list's document: each position's id, and its own document."""
    origins = doc["origins"]
    for key, name, origin, qty, number, spec in doc["rows"]:
        row: dict[str, Any] = {"name": name, "origin": origins[origin]}
        if qty is not None:
            row["qty"] = qty
        if number:
            row["number"] = number
        if spec:
            row["spec"] = spec
        yield key, row


def listed(state: State) -> Mapping[str, Doc]:
    """Return every position's document that has one, rows of parts lists included."""
    return state.follower(Listed).docs


NOT_STRUCK: Doc = dict.fromkeys(("struck", "left_empty", "struck_by", "struck_on"))
"""The fields of a position's document that say it is left empty, taken back."""


def is_fitted(where: Any) -> bool:
    """Tell whether whereabouts (as in a document) say: put back for good."""
    return bool(where) and (("fitted" in where and not where.get("trial")) or where.get("how") == "fitted")


def is_tried(where: Any) -> bool:
    """Tell whether whereabouts (as in a document) say: on trial."""
    return bool(where) and (("fitted" in where and bool(where.get("trial"))) or where.get("how") == "tried")


def members(state: State) -> dict[str, list[str]]:
    """Return the ids of the groups of each position that has any: what came off before what was brought."""
    found: dict[str, list[str]] = {}
    brought: list[tuple[str, str]] = []
    for group_id, doc in state.tables.get("group", {}).items():
        if doc.get("counted") == "never":
            continue
        for position in doc.get("parts", (group_id,)):
            if doc.get("brought"):
                brought.append((position, group_id))
            else:
                found.setdefault(position, []).append(group_id)
    for position, group_id in brought:
        found.setdefault(position, []).append(group_id)
    return found


_NOTHING: Doc = {}


def read_position(position_id: str, doc: Doc, groups: Iterable[str], table: Mapping[str, Doc]) -> Position:
    """Return a position from its document, its groups (of this table), or both."""
    ids = tuple(groups)
    own: Doc = table.get(position_id) or (table[ids[0]] if ids else _NOTHING)
    day, order = "", None
    for each in ids:
        off = table[each]
        at = off.get("order")
        if at is not None:
            on = (off.get("taken_at") or "")[:10]
            if order is None or (on, at) < (day, order):
                day, order = on, at
    if not doc:  # as most are
        name = own.get("name") or (f"unnamed {own['code']}" if "code" in own else "unnamed")
        return Position(position_id, name, tuple(own.get("origin", ())), None, ids, order, day=day)
    if position_id not in ids and doc.get("order") is not None:  # what lay there came off with others' number
        order, day = doc["order"], doc.get("day", day)
    days = doc.get("days")
    return Position(
        position_id,
        doc.get("name") or own.get("name") or (f"unnamed {own['code']}" if "code" in own else "unnamed"),
        tuple(doc.get("origin") or own.get("origin", ())),
        doc.get("qty"),
        ids,
        order,
        doc.get("asked", False),
        tuple(doc.get("after", ())),
        doc.get("struck", ""),
        doc.get("number", ""),
        day,
        None if days is None else (days[0], days[1]),
    )


def positions(state: State) -> dict[str, Position]:
    """Return every position: those of lists, those of groups, then those nothing is left of.

    What else is told of one, in a document of its own, changes nothing in their order.
    """
    of = members(state)
    known, rows = listed(state), state.follower(Listed).rows
    table = state.tables.get("group", {})
    found = {key: read_position(key, known[key], of.get(key, ()), table) for key in rows}
    for key, groups in of.items():
        if key not in found:
            found[key] = read_position(key, known.get(key, _NOTHING), groups, table)
    for key, doc in known.items():
        if key not in found and doc.get("name"):
            found[key] = read_position(key, doc, (), table)
    return found


def position_of(state: State, position_id: str) -> Position | None:
    """Return one position, None where there is none; goes through all groups once."""
    ids = [
        group_id
        for group_id, doc in state.docs("group").items()
        if position_id in doc.get("parts", (group_id,)) and doc.get("counted") != "never"
    ]
    doc = listed(state).get(position_id, _NOTHING)
    return read_position(position_id, doc, ids, state.docs("group")) if ids or doc.get("name") else None


def assemblies(places: Mapping[str, Position]) -> dict[str, Path]:
    """Return the assembly each position belongs to.

    That is its origin; but an origin nothing else shares and nothing lies below is the position itself, and
    its assembly is one up ('machine > assembly > position'). What came off as an assembly of that path makes
    the origin one, however few things belong to it.
    """
    count: dict[Path, int] = {}
    below: set[Path] = set()
    for each in places.values():
        count[each.origin] = count.get(each.origin, 0) + 1
    for path in list(count):
        below.update(path[:n] for n in range(1, len(path)))
    below.update(each.path for each in places.values() if each.path != each.origin)
    return {
        key: each.origin[:-1]
        if len(each.origin) > 1
        and (each.origin[-1] == each.name or (count[each.origin] == 1 and each.origin not in below))
        else each.origin
        for key, each in places.items()
    }


def paths(state: State) -> list[Path]:
    """Return every assembly there is: of origins, of parts lists, and those of the machines' own trees."""
    found: dict[Path, None] = {}
    for docs in (state.docs("group"), listed(state)):
        for doc in docs.values():
            origin = tuple(doc.get("origin", ()))
            found.update((origin[:n], None) for n in range(1, len(origin) + 1))
    for key, machine in state.machines().items():
        found.update(((key, *path), None) for path in _walk(machine.tree))
    return sorted(found)


class Spelled:
    """How every machine and assembly is written, whatever capitals it is typed with: follows a state."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._of: dict[Path, Path] | None = None

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over: what is new is added, anything else is looked up anew."""
        for change in changes:
            if change.table in ("list", "machine"):
                self._of = None
            elif change.table in ("group", "part"):
                old, new = ((doc or {}).get("origin") for doc in (change.old, change.new))
                if old and old != new:
                    self._of = None
                elif new and self._of is not None:
                    self._enter(tuple(new))

    def _enter(self, path: Path) -> None:
        assert self._of is not None
        for n in range(1, len(path) + 1):
            self._of.setdefault(_folded(path[:n]), path[:n])

    def known(self, path: Path) -> Path:
        """Return a path with each of its names written as it is already, as far as it is known."""
        if self._of is None:
            self._of = {}
            for each in paths(self._state):
                self._enter(each)
        done: Path = ()
        for name in path:
            at = (*done, name)
            done = (*done, self._of.get(_folded(at), at)[-1])
        return done


def _folded(path: Path) -> Path:
    return tuple(each.casefold() for each in path)


def as_known(state: State, path: Iterable[str]) -> Path:
    """Return a path a person named as it is written already: capitals make no other machine or assembly."""
    named = tuple(path)
    return state.follower(Spelled).known(named) if named else named


def _walk(tree: Any) -> Iterator[Path]:
    yield ()
    for name, below in tree:
        for path in _walk(below):
            yield (name, *path)


def below(state: State, path: Path) -> list[tuple[str, str]]:
    """Return (table, key) of every group and listed part whose origin is this path or below it."""
    size = len(path)
    return [
        (table, key)
        for table, docs in (("group", state.docs("group")), ("part", listed(state)))
        for key, doc in docs.items()
        if tuple(doc.get("origin", ()))[:size] == path
    ]


def match(state: State, name: str, origin: Path) -> str | None:
    """Return the listed part a group with this name and origin is, where there is exactly one not yet off.

    Without an origin the name alone decides, if only one part has it.
    """
    wanted, taken = name.strip().casefold(), set[str]()
    found = []
    for key, doc in listed(state).items():
        if doc.get("name", "").casefold() != wanted or "origin" not in doc:
            continue
        there = tuple(doc["origin"])
        if not origin or origin in (there, (*there, doc["name"])):
            found.append(key)
    if len(found) > 1:
        taken = {each for doc in state.docs("group").values() for each in doc.get("parts", ())}
        found = [each for each in found if each not in taken]
    return found[0] if len(found) == 1 else None
