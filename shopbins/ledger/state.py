"""The ledger's documents as they are now, with what is where and which code means what."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, Literal, Protocol, TypeVar, cast

from shopbins.ledger.codes import DEFAULT_PREFIX, Code, next_code, serial_of
from shopbins.ledger.docs import group_from, machine_from, thing_from
from shopbins.ledger.events import Change, Changes, Doc, Tables, fold
from shopbins.ledger.lots import complete
from shopbins.ledger.model import Group, InGroup, Machine, ThingPlace, Whereabouts

CodeKind = Literal["group", "place", "tag"]
Resolved = tuple[CodeKind, str]
Ids = dict[str, None]  # a set that keeps an order

_CODED: tuple[CodeKind, ...] = ("group", "place", "tag")


class Follower(Protocol):
    """Something worked out from a state's documents that is kept up with them (see `State.follower`)."""

    def __init__(self, state: State) -> None: ...

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over; the state and its indexes have them already."""
        ...


F = TypeVar("F", bound=Follower)


class State:
    """A live fold with indexes; changed only by `apply`. `copy()` gives one that stays as it is.

    Indexes are built at the first question and kept up from then on. Not for two threads at once.
    """

    def __init__(
        self, tables: Tables | None = None, seq: int = 0, prefix: str = DEFAULT_PREFIX, serial: int = 0
    ) -> None:
        self.tables: Tables = {} if tables is None else tables
        self.seq = seq
        self.prefix = prefix
        self.last_serial = serial
        self._groups: dict[str, Group] = {}
        self._index: _Index | None = None
        self._followers: dict[type[Follower], Follower] = {}

    def follower(self, kind: type[F]) -> F:
        """Return what follows this state, made at the first question and told of every change since."""
        found = self._followers.get(kind)
        if found is None:
            found = self._followers[kind] = kind(self)
        return cast(F, found)

    def copy(self) -> State:
        """Return a state that later events do not change, for another thread; costs no deep copy."""
        tables = {name: dict(docs) for name, docs in self.tables.items()}
        copied = State(tables, self.seq, self.prefix, self.last_serial)
        copied._groups = dict(self._groups)
        copied._index = None if self._index is None else self._index.copy()
        return copied

    def apply(self, after: Changes, seq: int, kind: str = "") -> list[Change]:
        """Fold one event's `after` in, complete what an old event left out, and keep the indexes true."""
        changes = fold(self.tables, after)
        complete(self.tables, changes, kind)
        self.seq = seq
        for change in changes:
            self._note_serial(change)
            if change.table == "group":
                self._groups.pop(change.key, None)
            if self._index is not None:
                self._index.update(change)
        for follower in self._followers.values():
            follower.update(changes)
        return changes

    def _note_serial(self, change: Change) -> None:
        """Keep the highest serial ever given: a code whose event was undone may be printed on a tag."""
        old, new = change.old, change.new
        if change.table == "rescue" and new is not None:
            self.last_serial = max(self.last_serial, new.get("serial", 0))
        if new is None or change.table not in _CODED:
            return
        if old is None or old.get("code") is not new.get("code"):
            code = change.key if change.table == "tag" else new.get("code", "")
            self.last_serial = max(self.last_serial, serial_of(code))

    # -- documents

    def docs(self, table: str) -> Mapping[str, Doc]:
        """Return a table's documents by key, read-only."""
        return MappingProxyType(self.tables.get(table, {}))

    def group(self, group_id: str) -> Group:
        """Return a group; raises KeyError where there is none."""
        found = self._groups.get(group_id)
        if found is None:
            found = self._groups[group_id] = group_from(group_id, self.tables.get("group", {})[group_id])
        return found

    def groups(self) -> Iterator[Group]:
        """Go through every group."""
        return (self.group(group_id) for group_id in list(self.tables.get("group", ())))

    def group_ids(self) -> list[str]:
        """Return every group's id."""
        return list(self.tables.get("group", ()))

    def has_group(self, group_id: str) -> bool:
        """Tell whether there is such a group."""
        return group_id in self.tables.get("group", ())

    def machines(self) -> dict[str, Machine]:
        """Return the machines by key."""
        return {key: machine_from(key, doc) for key, doc in self.docs("machine").items()}

    def things(self) -> dict[str, ThingPlace]:
        """Return where the shop's movable things stand, for those that were ever moved."""
        return {key: thing_from(key, doc) for key, doc in self.docs("thing").items()}

    # -- codes

    def by_code(self, code: str) -> str | None:
        """Return the id of the group with this code, or merged from one with it."""
        found = self.resolve_code(code)
        return found[1] if found is not None and found[0] == "group" else None

    def resolve_code(self, code: str) -> Resolved | None:
        """Tell what a (canonical) code is on: ('group', id), ('place', zone or zone/level), ('tag', code)."""
        return self.index.codes.get(code)

    def place_code(self, place: str) -> str | None:
        """Return the code of a zone's or level's tag, None where none was given."""
        doc = self.docs("place").get(place)
        return None if doc is None else doc.get("code")

    def next_code(self, after_serial: int | None = None) -> Code:
        """Return the next free code, or the one after `after_serial`."""
        return next_code(self.prefix, self.last_serial if after_serial is None else after_serial)

    # -- whereabouts, groups by their codes: the same however they came to be there

    def _code_of(self, group_id: str) -> tuple[str, str]:
        return str(self.tables["group"][group_id].get("code", "")), group_id

    def _by_code(self, ids: Iterable[str]) -> list[str]:
        found = list(ids)
        if len(found) > 1:
            found.sort(key=self._code_of)
        return found

    @property
    def index(self) -> _Index:
        """The indexes, built when first asked for."""
        if self._index is None:
            self._index = _Index(self.tables)
        return self._index

    def in_zone(self, zone: str, level: str | None = None) -> list[str]:
        """Return the groups lying directly in a zone, at one level or (None) at any."""
        levels = self.index.places.get(zone, {})
        there = levels.values() if level is None else (levels.get(level, {}),)
        return self._by_code(group_id for ids in there for group_id in ids)

    def places(self) -> list[tuple[str, str]]:
        """Return every (zone, level) in which something lies, known to the shop file or not."""
        return sorted((zone, level) for zone, levels in self.index.places.items() for level in levels)

    def children(self, group_id: str) -> list[str]:
        """Return the groups directly in or on a group."""
        there = self.index.children.get(group_id)
        return self._by_code(there) if there else []

    def descendants(self, group_id: str) -> list[str]:
        """Return all groups in or on a group at any depth, each once, even where they lie in a circle."""
        seen: Ids = {}
        waiting = self.children(group_id)
        while waiting:
            each = waiting.pop()
            if each not in seen and each != group_id:
                seen[each] = None
                waiting.extend(self.children(each))
        return list(seen)

    def unplaced(self) -> list[str]:
        """Return the groups not laid down anywhere."""
        return self._by_code(self.index.unplaced)

    def away(self) -> list[str]:
        """Return the groups out of the shop by themselves (not those that went inside another)."""
        return self._by_code(self.index.away)

    def fitted(self) -> list[str]:
        """Return the groups back on their machine by themselves, tried ones included."""
        return self._by_code(self.index.fitted)

    def chain(self, group_id: str) -> list[str]:
        """Return the group and what it lies in or on, outwards; ends before anything would come twice."""
        path: Ids = {}
        current: str | None = group_id
        while current is not None and current not in path and self.has_group(current):
            path[current] = None
            where = self.group(current).where
            current = where.group if isinstance(where, InGroup) else None
        return list(path)

    def top_of(self, group_id: str) -> tuple[str, Whereabouts]:
        """Return the outermost group that holds this one and where that is: InZone, Away, Fitted or None.

        None too where the way out ends in a circle or in a group that is no longer there.
        """
        top = self.chain(group_id)[-1]
        where = self.group(top).where
        return top, None if isinstance(where, InGroup) else where

    def circles(self) -> list[tuple[str, ...]]:
        """Return each ring of groups that lie in or on themselves, once, from its lowest code on."""
        done: set[str] = set()
        rings: list[tuple[str, ...]] = []
        for start in self.index.inside:
            path: Ids = {}
            current = start
            while current in self.index.inside and current not in path and current not in done:
                path[current] = None
                current = self.index.inside[current]
            if current in path:
                walk = list(path)
                ring = walk[walk.index(current) :]
                first = ring.index(self._by_code(ring)[0])
                rings.append((*ring[first:], *ring[:first]))
            done.update(path)
        return sorted(rings, key=lambda ring: self._code_of(ring[0]))

    def adrift(self) -> list[str]:
        """Return the groups whose in/on names a group that is no longer there."""
        inside = self.index.inside.items()
        return self._by_code(child for child, parent in inside if not self.has_group(parent))

    # -- order of removal

    def last_order(self, machine: str) -> int:
        """Return the highest order of removal recorded for a machine ('' for groups without origin)."""
        return self.index.last_order(machine)


def _machine_of(doc: Doc) -> str:
    """Return the machine a group's document says it came off, '' if none."""
    origin = doc.get("origin")
    return str(origin[0]) if origin else ""


def _same_places(old: Callable[[str], Any], new: Callable[[str], Any]) -> bool:
    """Tell whether two documents hold the very same values in all that is indexed."""
    return (
        old("where") is new("where")
        and old("code") is new("code")
        and old("order") is new("order")
        and old("origin") is new("origin")
        and old("also_codes") is new("also_codes")
    )


class _Index:
    """What follows from the documents: codes, places, containers. Updated change by change."""

    def copy(self) -> _Index:
        """Return one that later changes of this do not change."""
        copied = _Index({})
        copied.codes, copied.inside, copied._last = dict(self.codes), dict(self.inside), dict(self._last)
        copied.unplaced, copied.away, copied.fitted = dict(self.unplaced), dict(self.away), dict(self.fitted)
        copied.places = {zone: {k: dict(ids) for k, ids in at.items()} for zone, at in self.places.items()}
        copied.children = {key: dict(ids) for key, ids in self.children.items()}
        copied.orders = {key: dict(orders) for key, orders in self.orders.items()}
        return copied

    def __init__(self, tables: Tables) -> None:
        self.codes: dict[str, Resolved] = {}
        self.places: dict[str, dict[str, Ids]] = {}
        self.children: dict[str, Ids] = {}
        self.inside: dict[str, str] = {}
        self.unplaced: Ids = {}
        self.away: Ids = {}
        self.fitted: Ids = {}
        self.orders: dict[str, dict[str, int]] = {}
        self._last: dict[str, int] = {}
        for table in _CODED:
            for key, doc in tables.get(table, {}).items():
                self._add(table, key, doc)

    def update(self, change: Change) -> None:
        """Take one document's change over."""
        if change.table not in _CODED:
            return
        old, new = change.old, change.new
        # Folding keeps the very values it does not change, so most changes are seen to concern no index.
        if old is not None and new is not None and _same_places(old.get, new.get):
            return
        if change.old is not None:
            self._drop(change.table, change.key, change.old)
        if change.new is not None:
            self._add(change.table, change.key, change.new)

    def _codes_of(self, table: str, key: str, doc: Doc) -> tuple[str, ...]:
        if table == "tag":
            return (key,)
        own = (doc["code"],) if "code" in doc else ()
        return (*own, *doc["also_codes"]) if "also_codes" in doc else own

    def _add(self, table: Any, key: str, doc: Doc) -> None:
        for code in self._codes_of(table, key, doc):
            self.codes[code] = (table, key)
        if table != "group":
            return
        where = doc.get("where")
        if not where:
            self.unplaced[key] = None
        elif "zone" in where:
            levels = self.places.setdefault(where["zone"], {})
            levels.setdefault(where.get("level", ""), {})[key] = None
        elif "group" in where:
            self.children.setdefault(where["group"], {})[key] = None
            self.inside[key] = where["group"]
        elif "fitted" in where:
            self.fitted[key] = None
        else:
            self.away[key] = None
        if "order" in doc:
            machine = _machine_of(doc)
            self.orders.setdefault(machine, {})[key] = doc["order"]
            if machine in self._last:
                self._last[machine] = max(self._last[machine], doc["order"])

    def last_order(self, machine: str) -> int:
        """Return the highest order of removal on a machine; looked for anew only after it was taken away."""
        if machine not in self._last:
            self._last[machine] = max(self.orders.get(machine, {}).values(), default=0)
        return self._last[machine]

    def _drop(self, table: Any, key: str, doc: Doc) -> None:
        for code in self._codes_of(table, key, doc):
            if self.codes.get(code) == (table, key):
                del self.codes[code]
        if table != "group":
            return
        if "order" in doc:
            machine = _machine_of(doc)
            self.orders[machine].pop(key, None)
            if doc["order"] == self._last.get(machine):
                del self._last[machine]
        where = doc.get("where")
        if not where:
            self.unplaced.pop(key, None)
        elif "zone" in where:
            levels = self.places.get(where["zone"], {})
            ids = levels.get(where.get("level", ""), {})
            ids.pop(key, None)
            if not ids:
                levels.pop(where.get("level", ""), None)
            if not levels:
                self.places.pop(where["zone"], None)
        elif "group" in where:
            ids = self.children.get(where["group"], {})
            ids.pop(key, None)
            if not ids:
                self.children.pop(where["group"], None)
            self.inside.pop(key, None)
        elif "fitted" in where:
            self.fitted.pop(key, None)
        else:
            self.away.pop(key, None)
