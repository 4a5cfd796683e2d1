"""Events: what was done to which subject, as written in the journal; documents are their fold.

A subject is `table:key`: 'group:<uuid>', 'machine:<key>', 'place:<zone>' or 'place:<zone>/<level>' (its tag's
code), 'tag:<code>' (a blank tag), 'thing:<key>' (where a movable fixture stands), 'accepted:<id>' (what
somebody let through; in older ledgers 'override:<finding id>'), 'rests:<word>' (the figures a condition of a
move was accepted on), 'plan:<group id>' (a planned move),
and those of strip and refit: 'part:<position>', 'list:<id>' (a parts list), 'before:<position>|<position>',
'milestone:<key>', 'shortage:<id>', 'inspection:<id>', 'set:<id>', 'connection:<id>', 'care:<id>',
'hours:<machine>', 'columns:<heading>', 'posting:<id>', 'concession:<id>', 'accepted:<id>', 'correction:<id>'
(see strip/ and lots.py).
`before` and `after` give the changed fields of each changed subject: {subject: {field: value} | null}.
Folding merges `after` into the documents; a null field is absent, a null subject is no document. `subjects`
may name more than was changed (the tub a bag went into), so that its history shows it.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from typing import Any, NamedTuple, NoReturn

VERSION = 1

Doc = Mapping[str, Any]
Changes = Mapping[str, Mapping[str, Any] | None]
Tables = dict[str, dict[str, dict[str, Any]]]

_encode = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, check_circular=False, separators=(",", ":")
).encode


def _not_json(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number")


_read_json = json.JSONDecoder(parse_constant=_not_json).decode


class Event(NamedTuple):
    """One recorded change; `at` is UTC (ISO, ends in Z), `undoes` the id of the event it takes back.

    `day` is the day it was done on, where that is not the one it was recorded on.
    """

    v: int
    seq: int
    id: str
    at: str
    by: str
    kind: str
    subjects: tuple[str, ...]
    before: Changes
    after: Changes
    undoes: str | None = None
    day: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the event as written in the journal and in exports."""
        doc: dict[str, Any] = {
            "v": self.v,
            "seq": self.seq,
            "id": self.id,
            "at": self.at,
            "by": self.by,
            "kind": self.kind,
            "subjects": list(self.subjects),
            "before": self.before,
            "after": self.after,
        }
        if self.undoes is not None:
            doc["undoes"] = self.undoes
        if self.day is not None:
            doc["day"] = self.day
        return doc


class Draft(NamedTuple):
    """A change that was judged and may be recorded: the fields to set, and subjects it also concerns."""

    kind: str
    after: Changes
    also: tuple[str, ...] = ()
    undoes: str | None = None
    day: str | None = None

    @property
    def subjects(self) -> tuple[str, ...]:
        """Everything the change concerns, the changed ones first."""
        return tuple(dict.fromkeys((*self.after, *self.also)))


class Change(NamedTuple):
    """What folding one event did to one document: None before it was made and after it is gone."""

    table: str
    key: str
    old: dict[str, Any] | None
    new: dict[str, Any] | None


def new_id() -> str:
    """Return a random UUID (version 4, RFC 9562); the standard module is slow to import."""
    raw = bytearray(os.urandom(16))
    raw[6] = raw[6] & 0x0F | 0x40
    raw[8] = raw[8] & 0x3F | 0x80
    text = raw.hex()
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"


def split_subject(subject: str) -> tuple[str, str]:
    """Return the table and the key of a subject."""
    table, _, key = subject.partition(":")
    return table, key


def encode(event: Event) -> bytes:
    """Write an event as compact JSON; raises ValueError for what JSON in UTF-8 cannot hold."""
    try:
        return _encode(event.as_json()).encode()
    except (TypeError, RecursionError) as error:
        raise ValueError(str(error)) from None


def decode(payload: bytes) -> Event:
    """Read an event; raises ValueError if it is not one, or of a later version."""
    try:
        doc = _read_json(payload.decode())
    except RecursionError:
        raise ValueError("nested too deeply") from None
    if not isinstance(doc, dict):
        raise ValueError("not an event")
    if not isinstance(doc.get("v"), int) or doc["v"] > VERSION:
        raise ValueError(f"written by a later shopbins (event version {doc.get('v')!r})")
    try:
        _check_frame(doc)
        return Event(
            doc["v"],
            doc["seq"],
            doc["id"],
            doc["at"],
            doc["by"],
            doc["kind"],
            tuple(doc["subjects"]),
            doc["before"],
            doc["after"],
            doc.get("undoes"),
            doc.get("day"),
        )
    except KeyError as missing:
        raise ValueError(f"an event without {missing}") from None


def _check_frame(doc: dict[str, Any]) -> None:
    """Raise ValueError for a record whose own fields are of another kind, KeyError for one missing."""
    for name in ("id", "at", "by", "kind"):
        if not isinstance(doc[name], str):
            raise ValueError(f"its {name} is no text")
    if type(doc["seq"]) is not int or not isinstance(doc["subjects"], list):
        raise ValueError("its number or its subjects are not such")
    for name in ("before", "after"):
        changes = doc[name]
        if not isinstance(changes, dict):
            raise ValueError(f"its {name} is no set of changes")
        for subject, fields in changes.items():
            if fields is not None and not isinstance(fields, dict):
                raise ValueError(f"{subject} is not a document")


def before_of(tables: Mapping[str, Mapping[str, Doc]], after: Changes) -> dict[str, Any]:
    """Return the fields `after` is about to change as they are now: what undoing would set again."""
    before: dict[str, Any] = {}
    for subject, fields in after.items():
        table, key = split_subject(subject)
        doc = tables.get(table, {}).get(key)
        if doc is None:
            before[subject] = None
        elif fields is None:
            before[subject] = dict(doc)
        else:
            before[subject] = {name: doc.get(name) for name in fields}
    return before


def fold(tables: Tables, after: Changes) -> list[Change]:
    """Merge `after` into `tables`, return each document's change; documents are replaced, not mutated."""
    changes = []
    for subject, fields in after.items():
        table_name, key = split_subject(subject)
        table = tables.setdefault(table_name, {})
        old = table.get(key)
        new: dict[str, Any] | None = None
        if fields is not None:
            new = {**old, **fields} if old is not None else dict(fields)
            if None in fields.values():
                new = {name: value for name, value in new.items() if value is not None}
            table[key] = new
        elif old is not None:
            del table[key]
        if old is not new:
            changes.append(Change(table_name, key, old, new))
    return changes


def inverse(event: Event) -> Changes:
    """Return the change that takes an event back."""
    return event.before
