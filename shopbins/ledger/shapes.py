"""What the fields of documents look like, to tell a forged or broken record from a fault of the program.

Only what would break or mislead a reader is checked, and only in tables whose fields have long been the
same: an unknown field or table is somebody's later one. Each record of others is checked as it is folded;
documents as a whole (a snapshot's too) when a ledger is verified or rescued, before the app opens, and after
a command has stumbled: at every opening that would cost more than reading.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from math import isfinite
from typing import Any

from shopbins.ledger.codes import check_holds, looks_like_code
from shopbins.ledger.events import Event, Tables, split_subject
from shopbins.ledger.model import HOWS
from shopbins.ledger.values import MOST_KG, MOST_MM

STUMBLES = (
    TypeError,
    LookupError,
    AttributeError,
    ArithmeticError,
    AssertionError,
    RecursionError,
    ValueError,
)
"""What a document of a wrong shape may make a reader raise; so may a fault of the program."""

Fits = Callable[[Any], bool]

_WHEN = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])(T([01]\d|2[0-3]):[0-5]\d|$)")
_PHOTO = re.compile(r"[0-9a-f]{2}/[0-9a-f]{64}\.[a-z]{3,4}")


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _number(value: Any) -> bool:
    return (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and abs(value) < 1e12
        and isfinite(value)
    )


_MOST_WHOLE = 10**12


def _whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and abs(value) < _MOST_WHOLE


def _pieces(value: Any) -> bool:
    return _whole(value) and value >= 0


def _code(value: Any) -> bool:
    return isinstance(value, str) and (not value or (looks_like_code(value) and check_holds(value)))


def _codes(value: Any) -> bool:
    return isinstance(value, list) and all(each and _code(each) for each in value)


def _when(value: Any) -> bool:
    """Tell whether this is a day, or a day and a time."""
    return isinstance(value, str) and (not value or _WHEN.match(value) is not None)


def _flag(value: Any) -> bool:
    return isinstance(value, bool)


def _texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(each, str) for each in value)


def _numbers(value: Any) -> bool:
    return isinstance(value, list) and all(map(_whole, value))


def _span(value: Any) -> bool:
    """Tell whether this is from how many to how many days."""
    return isinstance(value, list) and len(value) == 2 and all(map(_number, value))


def _doc(value: Any) -> bool:
    return isinstance(value, dict)


def _lists(value: Any) -> bool:
    return isinstance(value, list) and all(map(_texts, value))


def _rows(value: Any) -> bool:
    """Tell whether these are rows of a parts list: two texts, two numbers, the rest as it may be."""
    if not isinstance(value, list):
        return False
    for row in value:  # ten thousand, as a rule: no call for what is plainly so
        if not (isinstance(row, list) and len(row) >= 4):
            return False
        key, name, origin, qty, *_ = row
        if not (isinstance(key, str) and isinstance(name, str)):
            return False
        for each in (origin, qty):
            if each is not None and not (type(each) is int and -_MOST_WHOLE < each < _MOST_WHOLE):
                return False
    return True


def _size(value: Any) -> bool:
    return _measured(value, 3, MOST_MM)


def _mass(value: Any) -> bool:
    return _measured(value, 1, MOST_KG)


def _measured(value: Any, count: int, most: float) -> bool:
    """Tell whether these are so many values above 0 that may be recorded, and perhaps 'about'."""
    return (
        isinstance(value, list)
        and (len(value) == count or (len(value) == count + 1 and value[count] is True))
        and all(_number(each) and 0 < each <= most for each in value[:count])
    )


def _outline(value: Any) -> bool:
    return isinstance(value, list) and all(
        isinstance(each, list) and len(each) == 2 and all(map(_number, each)) for each in value
    )


def _work(value: Any) -> bool:
    return isinstance(value, list) and all(each and _texts(each) for each in value)


def _tree(value: Any) -> bool:
    return isinstance(value, list) and all(
        isinstance(each, list) and len(each) == 2 and isinstance(each[0], str) and _tree(each[1])
        for each in value
    )


def _where(value: Any) -> bool:
    if not isinstance(value, dict):
        return False
    texts = ("zone", "level", "group", "to", "until", "since", "reason")
    numbers = ("x_mm", "y_mm", "turn_deg")
    return (
        all(_text(value[name]) for name in texts if value.get(name) is not None)
        and all(_number(value[name]) for name in numbers if value.get(name) is not None)
        and value.get("how", "in") in HOWS
    )


def _ends(value: Any) -> bool:
    """Tell whether these are ends of a connection: each the day it was joined, true where nobody knows it."""
    return isinstance(value, dict) and all(
        end in ("a", "b") and (joined is None or _flag(joined) or _when(joined))
        for end, joined in value.items()
    )


def _photo_file(value: Any) -> bool:
    return isinstance(value, str) and _PHOTO.fullmatch(value) is not None


_ACCEPTED: Mapping[str, Fits] = {
    **dict.fromkeys(("reason", "why", "by", "rule", "rests"), _text),
    "measured": _number,
    "for_now": _flag,
}

FIELDS: Mapping[str, Mapping[str, Fits]] = {
    "group": {
        **dict.fromkeys(("name", "container", "disposition", "note", "counted"), _text),
        "code": _code,
        "also_codes": _codes,
        "taken_at": _when,
        **dict.fromkeys(("origin", "cautions", "parts"), _texts),
        "shares": _numbers,
        "details": _doc,
        **dict.fromkeys(("printed", "elsewhere"), _text),
        **dict.fromkeys(("tagged", "one_use", "brought", "used"), _flag),
        "each": _texts,
        "qty": _pieces,
        "order": _whole,
        "size": _size,
        "mass": _mass,
        "outline": _outline,
        "work": _work,
        "where": _where,
    },
    "machine": {**dict.fromkeys(("name", "owner", "job", "note"), _text), "tree": _tree},
    "place": {"code": _code, "tagged": _flag},
    "thing": {**dict.fromkeys(("x_mm", "y_mm", "turn_deg"), _number), "room": _text},
    "part": {
        **dict.fromkeys(("name", "struck", "struck_by"), _text),
        **dict.fromkeys(("origin", "after"), _texts),
        "qty": _pieces,
        "left_empty": _pieces,
        **dict.fromkeys(("struck_on", "day"), _when),
        "days": _span,
        "how": _doc,
    },
    "before": dict.fromkeys(("a", "b", "why"), _text),
    "milestone": {
        "name": _text,
        "positions": _texts,
        **dict.fromkeys(("by", "done"), _when),
        "move": _flag,
    },
    "shortage": {
        **dict.fromkeys(("name", "state", "milestone", "unit", "spec", "ask_of", "price", "note"), _text),
        **dict.fromkeys(("struck", "struck_by", "replaces"), _text),
        "positions": _texts,
        **dict.fromkeys(("qty", "came"), _pieces),
        "days": _span,
        **dict.fromkeys(("asked", "promised", "here", "struck_on"), _when),
    },
    "care": {
        **dict.fromkeys(("name", "machine", "position", "gone", "instead", "why", "note"), _text),
        **dict.fromkeys(("every_days", "every_hours", "done_hours"), _number),
        "done": _when,
    },
    "connection": {
        **dict.fromkeys(("name", "kind", "a", "b", "machine", "note"), _text),
        "number": _pieces,
        "ends": _ends,
        **dict.fromkeys(("joined", "tagged"), _flag),
    },
    "correction": {
        **dict.fromkeys(("table", "key", "field", "group", "text", "why", "by"), _text),
        "on": _when,
    },
    "tag": dict.fromkeys(("blank", "printed"), _flag),
    "hours": {"hours": _number, "on": _when},
    "inspection": {
        **dict.fromkeys(("group", "what", "verdict", "measured", "low", "high", "instrument"), _text),
        **dict.fromkeys(("measured_mm", "low_mm", "high_mm"), _number),
        **dict.fromkeys(("on", "reworked"), _when),
        "among": _pieces,
        "anew": _flag,
        "at": _texts,
    },
    "concession": {
        **dict.fromkeys(("group", "what", "reason", "by", "limits"), _text),
        **dict.fromkeys(("on", "until"), _when),
        "qty": _pieces,
        "against": _doc,
    },
    "posting": {**dict.fromkeys(("kind", "seat", "to", "group", "why", "by", "seen"), _text), "n": _whole},
    "accepted": _ACCEPTED,
    "rests": {"figures": _doc},
    "override": _ACCEPTED,
    "set": {"name": _text, **dict.fromkeys(("positions", "groups", "seats", "matched", "parted"), _texts)},
    "list": {"name": _text, "origins": _lists, "rows": _rows},
    "columns": {"columns": _doc},
    "photo": {"name": _text, "file": _photo_file, "codes": _codes, "taken": _text},
    "rescue": {"serial": _whole, "gone": _texts},
}

NEEDED = {
    "thing": ("x_mm", "y_mm"),
    "photo": ("file", "codes"),
    "connection": ("kind", "number", "a", "b"),
    "correction": ("why",),
}


def wrong_in(subject: str, fields: Any) -> str:
    """Say what is wrong with the fields of one document, '' where nothing is."""
    if fields is None:
        return ""
    if not isinstance(fields, dict):
        return f"{subject} is not a document"
    table, key = split_subject(subject)
    if table == "tag" and not (key and _code(key)):
        return f"{subject[:40]!r} is no code"
    known = FIELDS.get(table, {})
    for name, value in fields.items():
        fits = known.get(name)
        if value is not None and fits is not None and not fits(value):
            return f"{name} of {subject} is {str(value)[:40]!r}"
    return ""


def wrong_documents(tables: Tables) -> Iterator[tuple[str, str]]:
    """Give each document that is not as it should be: its subject, and what is wrong."""
    for table, docs in tables.items():
        for key, doc in docs.items():
            subject = f"{table}:{key}"
            wrong = wrong_in(subject, doc)
            lacking = [name for name in NEEDED.get(table, ()) if isinstance(doc, dict) and name not in doc]
            if wrong or lacking:
                yield subject, wrong or f"{subject} lacks {lacking[0]}"


def wrong_record(event: Event) -> str:
    """Say what is wrong with what a record sets, '' where nothing is."""
    return next(
        (wrong for subject, fields in event.after.items() if (wrong := wrong_in(subject, fields))), ""
    )


def wrong_to_fold(event: Event) -> str:
    """Say the same of a record that is being read; not of photographs: `photofile` keeps them in place."""
    others = ((each, fields) for each, fields in event.after.items() if not each.startswith("photo:"))
    return next((wrong for subject, fields in others if (wrong := wrong_in(subject, fields))), "")
