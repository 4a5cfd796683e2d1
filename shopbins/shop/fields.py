"""One mapping of the file, asked key by key: answers are typed, mistakes noted, and reading goes on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from shopbins import units
from shopbins.geometry.shapes import Point
from shopbins.shop.model import Spot
from shopbins.shop.nodes import Listing, Node, Scalar, Table
from shopbins.shop.problems import Located, Notes, did_you_mean, listed, nearest, shown
from shopbins.shop.scalars import (
    LONGEST_KEY,
    LONGEST_NAME,
    LONGEST_NOTE,
    as_number_hint,
    is_nothing,
    key_trouble,
    misreading,
    text_trouble,
)

T = TypeVar("T")
MOST_POINTS = 200
EARLIEST, LATEST = 1880, 2100
_FEET = re.compile(r"(ft|in|thou)\b|['\"]", re.IGNORECASE)
_QUOTE_COMMA = "in braces a text with a comma needs quotes"
_NONZERO = frozenset("123456789")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}


@dataclass(slots=True)
class Reading:
    """What is gathered while one file is read."""

    notes: Notes
    measured: dict[str, float] = field(default_factory=dict)
    metric: int = 0
    feet: int = 0

    def spot(self, where: Located) -> Spot:
        """Return a place in the file as the model keeps it."""
        return Spot(self.notes.file, where.line, where.column)


class Fields:
    """The fields of one thing of the file: `called` names it in messages, `path` in `Shop.measured`."""

    def __init__(
        self, table: Table, keys: tuple[str, ...], reading: Reading, called: str, path: str, at: Located
    ) -> None:
        self.table = table
        self.reading = reading
        self.notes = reading.notes
        self.called = called
        self.path = path
        self.at = at
        self._meant: set[str] = set()
        before = ""
        for word, (key, value) in table.pairs.items():
            if word not in keys:
                cut_off = isinstance(value, Scalar) and is_nothing(value)
                self._note_unknown(key, keys, before if cut_off else "")
            before = value.text if isinstance(value, Scalar) else ""

    def _note_unknown(self, key: Scalar, keys: tuple[str, ...], before: str) -> None:
        """Note a key nobody asks for; in braces, the 4 m of '3,4 m' looks like one, without a value."""
        if before:
            number = before.isdigit() and key.text[:1].isdigit()
            hint = f"decimal comma? write {shown(f'{before}.{key.text}')}" if number else _QUOTE_COMMA
            self.notes.add(key, f"a comma before '{shown(key.text)}' in {self.called}", hint)
            return
        near = nearest(key.text, keys)
        hint = f"did you mean '{near}'?" if near else f"known here: {', '.join(keys)}"
        if near:
            self._meant.add(near)
        self.notes.add(key, f"unknown key '{shown(key.text)}' in {self.called}", hint)

    @property
    def spot(self) -> Spot:
        """Where the thing's own key stands."""
        return self.reading.spot(self.at)

    def has(self, key: str) -> bool:
        """Tell whether the key is there at all."""
        return key in self.table.pairs

    def where(self, key: str) -> Located:
        """Return the place of a key's value, or of the thing itself where the key is missing."""
        pair = self.table.pairs.get(key)
        return self.at if pair is None else pair[1]

    def node(self, key: str) -> Node | None:
        """Return a key's value, or None where it is missing or empty (noted)."""
        pair = self.table.pairs.get(key)
        if pair is None:
            return None
        value = pair[1]
        if isinstance(value, Scalar) and is_nothing(value):
            self.notes.add(value, f"'{key}' has no value", "write one, or leave the line out")
            return None
        return value

    def missing(self, key: str, example: str) -> None:
        """Note that a needed key is not there, unless another was probably meant to be it."""
        if not self.has(key) and key not in self._meant:
            self.notes.add(self.at, f"{self.called} has no '{key}'", f"add {key}: {example}")

    def scalar(self, key: str, what: str) -> Scalar | None:
        """Return a key's single word or text."""
        value = self.node(key)
        return None if value is None else self.as_scalar(value, what)

    def as_scalar(self, value: Node, what: str) -> Scalar | None:
        """Return a node as a single word, or note that it is none."""
        if isinstance(value, Scalar):
            return value
        kind = "a list" if isinstance(value, Listing) else "a mapping"
        self.notes.add(value, f"{kind} where {what} is meant")
        return None

    # -- texts ------------------------------------------------------------------------------------------

    def text(self, key: str, default: str = "", longest: int = LONGEST_NAME) -> str:
        """Return a name or other text of one line."""
        value = self.scalar(key, "a text")
        return default if value is None else self._as_text(value, longest) or default

    def note(self, key: str = "note") -> str:
        """Return a text that may run over several lines; they are joined."""
        value = self.scalar(key, "a text")
        if value is None:
            return ""
        joined = Scalar(" ".join(value.text.split()), value.line, value.column, value.quoted)
        return self._as_text(joined, LONGEST_NOTE)

    def _as_text(self, value: Scalar, longest: int) -> str:
        misread = misreading(value)
        if misread is not None:
            self.notes.add(value, misread, f'quote it: "{value.text}"')
            return value.text
        trouble = text_trouble(value.text, longest)
        if trouble is not None:
            self.notes.add(value, *trouble)
            return ""
        return value.text.strip()

    def texts(self, key: str, longest: int = LONGEST_KEY) -> tuple[str, ...]:
        """Return a list of texts; one alone may stand without brackets."""
        value = self.node(key)
        if value is None:
            return ()
        items = value.items if isinstance(value, Listing) else [value]
        words = (self.as_scalar(item, "a text") for item in items)
        return tuple(text for word in words if word is not None and (text := self._as_text(word, longest)))

    def reference(self, key: str, what: str) -> str | None:
        """Return the key of something else in the file (whether it is there is looked at later)."""
        value = self.scalar(key, what)
        if value is None:
            return None
        return self._as_text(value, LONGEST_KEY) or None

    def choice(self, key: str, options: tuple[str, ...]) -> str | None:
        """Return one of a few words."""
        value = self.scalar(key, "a word")
        if value is None:
            return None
        if value.text in options:
            return value.text
        hint = did_you_mean(value.text, options, listed(options))
        self.notes.add(value, f"'{shown(value.text)}' is not one of {listed(options)}", hint)
        return None

    def flag(self, key: str, default: bool = False) -> bool:
        """Return a yes or no."""
        value = self.scalar(key, "yes or no")
        if value is None:
            return default
        known = _FLAGS.get(value.text.lower())
        if known is None:
            meant = {"on": "write yes", "off": "write no"}.get(value.text.lower(), "write yes or no")
            self.notes.add(value, f"'{shown(value.text)}' is neither yes nor no", meant)
            return default
        return known

    def said(self, key: str) -> bool | None:
        """Return a yes or no, None where the file says neither."""
        return self.flag(key) if self.has(key) else None

    def date(self, key: str) -> date | None:
        """Return a day, like 2005-06-01; none before there was electricity."""
        value = self.scalar(key, "a date, like 2005-06-01")
        if value is None:
            return None
        try:
            found = date.fromisoformat(value.text)
        except ValueError:
            self.notes.add(value, f"'{shown(value.text)}' is no date", "year-month-day, like 2005-06-01")
            return None
        if not EARLIEST <= found.year <= LATEST:
            self.notes.add(value, f"{value.text} is before electricity, or far ahead", "like 2005-06-01")
            return None
        return found

    def whole(self, key: str, what: str, example: str, least: int = 1, most: int = 99_999) -> int | None:
        """Return a whole number."""
        value = self.scalar(key, what)
        if value is None:
            return None
        if re.fullmatch(r"[1-9][0-9]{0,6}", value.text, re.ASCII) and least <= int(value.text) <= most:
            return int(value.text)
        self.notes.add(value, f"'{shown(value.text)}' is no {what.removeprefix('a ')}", example)
        return None

    def year(self, key: str) -> int | None:
        """Return a year."""
        return self.whole(key, "a year from 1100 to 2100", "like 1998", 1100, LATEST)

    # -- quantities -------------------------------------------------------------------------------------

    def quantity(self, key: str, parse: Callable[[str], T], what: str) -> T | None:
        """Return a key's quantity as one of the parsers of `units` reads it."""
        value = self.scalar(key, what)
        return None if value is None else self.as_quantity(value, parse, what)

    def as_quantity(self, value: Scalar, parse: Callable[[str], T], what: str) -> T | None:
        """Read a word as a quantity, or note why it is none."""
        misread = misreading(value)
        if misread is not None:
            self.notes.add(value, misread, as_number_hint(value.text) or f"write {what}")
            return None
        try:
            return parse(value.text)
        except units.UnitError as error:
            self.notes.add(value, error.what, error.hint)
            return None

    def length(self, key: str, *, zero: bool = False) -> float | None:
        """Return a length in mm; 'L +- u' is kept in `Reading.measured`."""
        value = self.scalar(key, "a length")
        return None if value is None else self.as_length(value, f"{self.path}/{key}", zero=zero)

    def as_length(
        self, value: Scalar, path: str, *, zero: bool = False, signed: bool = False
    ) -> float | None:
        """Read a word as a length in mm."""
        text = value.text
        if (
            len(text) < 7 and text[:1] in _NONZERO and text.isdigit() and text.isascii()
        ):  # most of a file: as quick as can be
            self.reading.metric += 1
            return float(text)
        found = self.as_quantity(
            value, lambda t: units.parse_measured(t, zero=zero, signed=signed), "a length"
        )
        if found is None:
            return None
        if _FEET.search(text):
            self.reading.feet += 1
        elif found.mm:  # 0 is written alike in both
            self.reading.metric += 1
        if found.within_mm is not None:
            self.reading.measured[path] = max(found.within_mm, self.reading.measured.get(path, 0.0))
        return found.mm

    def volume(self, key: str) -> float | None:
        """Return a volume in litres."""
        return self.quantity(key, units.parse_volume, "a volume")

    def mass(self, key: str) -> float | None:
        """Return a mass in kg."""
        return self.quantity(key, units.parse_mass, "a mass")

    def angle(self, key: str) -> float | None:
        """Return an angle in degrees."""
        return self.quantity(key, units.parse_angle, "an angle")

    # -- points -----------------------------------------------------------------------------------------

    def point(self, key: str) -> Point | None:
        """Return one point, [x, y]."""
        value = self.node(key)
        return None if value is None else self.as_point(value, f"{self.path}/{key}")

    def as_point(self, value: Node, path: str, *, zero: bool = True, signed: bool = True) -> Point | None:
        """Read two lengths in brackets."""
        what = "a point, [x, y]," if signed else "a size, [length, depth],"
        if isinstance(value, Scalar) and not signed:
            return self._size_text(value)
        if not isinstance(value, Listing):
            self.notes.add(value, f"{what.rstrip(',')} is meant here", "like [1200, 300]")
            return None
        if len(value.items) != 2:
            self.notes.add(value, f"{what} has two numbers, this has {len(value.items)}", "like [1200, 300]")
            return None
        pair: list[float | None] = []
        for item in value.items:
            word = self.as_scalar(item, "a length")
            pair.append(None if word is None else self.as_length(word, path, zero=zero, signed=signed))
        x, y = pair
        return None if x is None or y is None else (x, y)

    def size(self, key: str) -> Point | None:
        """Return length and depth: [2000, 700], or '2000x700 mm'."""
        value = self.node(key)
        return None if value is None else self.as_point(value, f"{self.path}/{key}", zero=False, signed=False)

    def _size_text(self, value: Scalar) -> Point | None:
        found = self.as_quantity(value, units.parse_size, "a size")
        if found is None:
            return None
        if _FEET.search(value.text):
            self.reading.feet += 2
        if len(found) != 2:
            self.notes.add(value, "a size has length and depth here", "the height has its own key")
            return None
        return found[0], found[1]

    def points(self, key: str) -> list[tuple[Point, Node]] | None:
        """Return a list of points with where each is written; None if any of it is wrong (noted)."""
        value = self.node(key)
        if value is None:
            return None
        if not isinstance(value, Listing):
            self.notes.add(value, f"'{key}' is a list of points", "like [[0, 0], [4000, 0], [4000, 3000]]")
            return None
        if len(value.items) > MOST_POINTS:
            self.notes.add(value, f"'{key}' has {len(value.items)} points", f"at most {MOST_POINTS}")
            return None
        path = f"{self.path}/{key}"
        read = [(self.as_point(item, f"{path}/{n}"), item) for n, item in enumerate(value.items, 1)]
        good = [(point, item) for point, item in read if point is not None]
        return good if len(good) == len(read) else None

    # -- mappings ---------------------------------------------------------------------------------------

    def sub(self, key: str, keys: tuple[str, ...], example: str) -> Fields | None:
        """Return the fields of a mapping inside this one."""
        value = self.node(key)
        if value is None:
            return None
        if not isinstance(value, Table):
            self.notes.add(value, f"'{key}' is a mapping", f"like {example}")
            return None
        called = f"{key} of {self.called}" if self.path else f"'{key}'"
        return Fields(value, keys, self.reading, called, f"{self.path}/{key}".lstrip("/"), value)

    def each(self, key: str, keys: tuple[str, ...], word: str) -> Iterator[tuple[str, Fields]]:
        """Go through the things of a section: each one's key and its fields."""
        value = self.node(key)
        if value is None:
            return
        if not isinstance(value, Table):
            self.notes.add(value, f"'{key}' is a mapping", f"each {word} under its own key")
            return
        path = f"{self.path}/{key}".lstrip("/")
        for name, (at, thing) in value.pairs.items():
            trouble = key_trouble(at)
            if trouble is not None:
                self.notes.add(at, *trouble)
            if not isinstance(thing, Table):
                self.notes.add(thing, f"{word} '{shown(name)}' is a mapping", "its keys indented below it")
                continue
            if trouble is None or re.search("quote it", trouble[1]):
                called = f"{word} '{shown(name)}'"
                yield name, Fields(thing, keys, self.reading, called, f"{path}/{name}", at)
