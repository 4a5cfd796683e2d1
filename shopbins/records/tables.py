"""The tables of the ledger as lists: which columns each has, what stands in one, how it is read and shown.

A column's value is a function of the document alone; None where it is not known. Weights are in kg, lengths
in mm, dates as 2026-12-24.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.ledger.docs import where_from
from shopbins.ledger.model import Doc
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.ledger.whereabouts import whereabouts
from shopbins.records import kinds
from shopbins.records.kinds import Kind
from shopbins.strip.release import release, state_said


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One thing said of each document: its name, its kind, its value; `unit` is joined to its name in JSON.

    `unknown` says of a document without it what it is not: 'not weighed'.
    """

    name: str
    kind: Kind
    value: Callable[[Doc], Any]
    unit: str = ""
    unknown: str = ""

    @property
    def key(self) -> str:
        """Its name in JSON and in a spreadsheet: 'mass_kg'."""
        return f"{self.name}_{self.unit}" if self.unit else self.name

    def shown(self, doc: Doc) -> str:
        """Return what is read of a document, '' where it is not known."""
        from shopbins.units import show_length, show_mass

        value = self.value(doc)
        if value is None:
            return ""
        if isinstance(value, (list, tuple)):
            return ", ".join(str(each) for each in value)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if self.unit == "kg":
            return show_mass(value)
        if self.unit == "mm":
            return show_length(value)
        return f"{value:g}" if isinstance(value, float) else str(value)


def _measure(parse: str) -> kinds.Read:
    """Return what reads an amount with its unit; the readers are loaded when first needed."""

    def read(text: str, _today: date) -> float:
        from shopbins import units

        try:
            return float(getattr(units, parse)(text))
        except units.UnitError as problem:
            raise BadValue(str(problem)) from None

    return read


def _yes(text: str, _today: date) -> bool:
    word = text.strip().lower()
    if word not in ("yes", "no"):
        raise BadValue(f"'{text.strip()[:20]}' is neither yes nor no")
    return word == "yes"


def _kept(value: Any, _what: str) -> Any:
    return value


TEXT = Kind("TEXT", _kept)
NUMBER = Kind("N", _kept, lambda text, _today: kinds.number(text), ordered=True)
MASS = Kind("MASS", _kept, _measure("parse_mass"), ordered=True)
LENGTH = Kind("LENGTH", _kept, _measure("parse_length"), ordered=True)
DATE = Kind("DATE", _kept, kinds.DATE.read, ordered=True)
YES_NO = Kind("yes|no", _kept, _yes)


def _field(name: str, default: Any = None) -> Callable[[Doc], Any]:
    return lambda doc: doc.get(name, default) if doc.get(name, default) not in ("", []) else None


def _inside(name: str, at: Any) -> Callable[[Doc], Any]:
    """Return what reaches inside a stored pair, list or object."""

    def value(doc: Doc) -> Any:
        found = doc.get(name)
        if isinstance(found, Mapping):
            return found.get(at)
        return found[at] if isinstance(found, list) and at < len(found) else None

    return value


def _group_columns(state: State) -> tuple[TableColumn, ...]:
    return (
        TableColumn("code", TEXT, _field("code")),
        TableColumn("name", TEXT, _field("name"), unknown="not named"),
        TableColumn("qty", NUMBER, _field("qty", 1)),
        TableColumn("place", TEXT, lambda doc: whereabouts(state, where_from(doc.get("where")))),
        TableColumn("mass", MASS, _inside("mass", 0), "kg", "not weighed"),
        TableColumn("disposition", TEXT, _field("disposition", "undecided")),
        TableColumn("release", TEXT, lambda doc: _release(state, doc)),
        TableColumn("machine", TEXT, _inside("origin", 0), unknown="of origin not known"),
        TableColumn("origin", TEXT, _field("origin"), unknown="of origin not known"),
        TableColumn("order", NUMBER, _field("order"), unknown="not known when they came off"),
        TableColumn("container", TEXT, _field("container", "bare")),
        TableColumn("length", LENGTH, _inside("size", 0), "mm", "not measured"),
        TableColumn("width", LENGTH, _inside("size", 1), "mm", "not measured"),
        TableColumn("height", LENGTH, _inside("size", 2), "mm", "not measured"),
        TableColumn("zone", TEXT, _inside("where", "zone")),
        TableColumn("level", TEXT, _inside("where", "level")),
        TableColumn("away", TEXT, _inside("where", "to")),
        TableColumn("until", DATE, _inside("where", "until"), unknown="without a date to be back"),
        TableColumn("cautions", TEXT, _field("cautions")),
        TableColumn("tagged", YES_NO, lambda doc: bool(doc.get("tagged"))),
        TableColumn("one_use", YES_NO, lambda doc: bool(doc.get("one_use"))),
        TableColumn("counted", TEXT, _field("counted", "pieces")),
        TableColumn("note", TEXT, _field("note")),
    )


def _release(state: State, doc: Doc) -> str:
    """Return whether a group may go back on: 'rejected', 'within limits', 'under concession'."""
    group = state.by_code(doc["code"])
    return state_said(release(state, group, date.today()).state) if group is not None else ""


FIRST = {"group": ("code", "name", "qty", "place", "mass")}
"""What is shown of a table where nothing else is asked; of others, all that is known of any document."""

NAMES = (
    "group", "machine", "part", "before", "milestone", "shortage", "inspection", "set", "connection", "care",
    "hours", "place", "tag", "thing", "list", "plan", "photo", "accepted", "posting", "concession",
    "correction",
)  # fmt: skip
"""Tables that there may be, whether or not anything is in them yet."""


CALLED = {"part": "group", "position": "part"}
"""What people call a table: the parts they have, and the positions on the machine."""


PLACE_COLUMNS = {
    each.name: each
    for each in (
        TableColumn("name", TEXT, _field("name")),
        TableColumn("kind", TEXT, _field("kind")),
        TableColumn("room", TEXT, _field("room")),
        TableColumn("parts", NUMBER, _field("parts")),
        TableColumn("carries", MASS, _field("carries"), "kg", "with nothing on them weighed"),
        TableColumn("not_weighed", NUMBER, _field("not_weighed"), unknown="with all on them weighed"),
        TableColumn("limit", MASS, _field("limit"), "kg", "of unknown limit"),
        TableColumn("code", TEXT, _field("code"), unknown="without a label"),
    )
}
"""What is listed of a place: `carries` is at least so much where some parts on it are not weighed."""


def table_called(state: State, text: str) -> str:
    """Return the table that is meant, also by its plural; BadValue where there is none."""
    wanted = text.strip().lower().replace(" ", "_")
    wanted = CALLED.get(wanted.removesuffix("s"), wanted)
    known = dict.fromkeys((*NAMES, *state.tables))
    for each in (wanted, wanted.removesuffix("s"), f"{wanted[:-3]}y" if wanted.endswith("ies") else wanted):
        if each in known:
            return each
    called = {table: word for word, table in CALLED.items()}
    words = ", ".join(called.get(each, each) for each in known)
    raise BadValue(f"there is no table '{text.strip()[:40]}' (one of: {words})")


def columns(state: State, table: str) -> dict[str, TableColumn]:
    """Return the columns of a table by their names, in the order they are shown.

    What the table's record says comes first; then whatever else its documents hold.
    """
    from shopbins.records.registry import FIELDS

    if table == "group":
        found = {each.name: each for each in _group_columns(state)}
    else:
        found = {
            each.name: TableColumn(each.name, each.kind, _field(each.name)) for each in FIELDS.get(table, ())
        }
    for name, value in _others(state.docs(table).values(), found):
        found[name] = TableColumn(name, _guessed(value), _field(name))
    return found


def _others(docs: Iterable[Doc], known: Mapping[str, TableColumn]) -> Iterable[tuple[str, Any]]:
    seen: dict[str, Any] = {}
    for doc in docs:
        for name, value in doc.items():
            if name not in known and name != "size" and not isinstance(value, Mapping) and value is not None:
                seen.setdefault(name, value)  # a size is listed as length, width and height
    return list(seen.items())


def _guessed(value: Any) -> Kind:
    if isinstance(value, bool):
        return YES_NO
    if isinstance(value, (int, float)):
        return NUMBER
    if isinstance(value, str) and len(value) == 10 and value[:4].isdigit() and value.count("-") == 2:
        return DATE
    return TEXT


def column_called(known: Mapping[str, TableColumn], text: str) -> TableColumn:
    """Return the column meant by its name or its key ('mass', 'mass_kg'); BadValue says what there is."""
    from difflib import get_close_matches

    wanted = text.strip().lower().replace(" ", "_")
    for each in known.values():
        if wanted in (each.name, each.key):
            return each
    meant = get_close_matches(wanted, known, n=1, cutoff=0.6)
    hint = f"did you mean '{meant[0]}'?" if meant else f"one of: {', '.join(known)}"
    raise BadValue(f"there is no column '{text.strip()[:40]}' ({hint})")
