"""Kinds of value: how one is typed, what a name in it means, and what may be kept of it.

A kind that names a thing says which (`thing`); whoever knows the shop (`Names`) says which one is meant.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Protocol

from shopbins.ledger import values
from shopbins.ledger.model import Mass, Size
from shopbins.ledger.problems import BadValue
from shopbins.ledger.text import NOTE_LIMIT, clean_text
from shopbins.units import UnitError, parse_mass_about, parse_size_about, pointed


class Names(Protocol):
    """Who knows what a typed name means, and who works here."""

    @property
    def by(self) -> str: ...

    def called(self, thing: str, text: str) -> list[Key]:
        """Return the keys of what a text names.

        `thing` is that of a kind: 'positions' gives every position of an assembly that is named, 'needed' a
        position or an assembly's path. Raises where nothing is called so, or several things are.
        """
        ...


Key = str | tuple[str, ...]
"""The key of a document; an assembly, which is none, by its path from the machine on."""

Read = Callable[[str, date], Any]
Check = Callable[[Any, str], Any]


@dataclass(frozen=True, slots=True)
class Kind:
    """How a value is read from text, which thing a name in it means, and how it is checked for its document.

    `check` gets the value and what it is called; it returns what is kept (None: unknown, not kept). Both it
    and `read` raise BadValue. `ordered` kinds can be more or less: by `rank`, of a value as read and as kept.
    `show` says a value so that `read` reads it back.
    """

    metavar: str
    check: Check
    read: Read = lambda text, _today: text.strip()
    thing: str = ""
    ordered: bool = False
    rank: Callable[[Any], Any] = lambda value: value
    show: Callable[[Any], str] = str


def _text(value: Any, what: str) -> str | None:
    return clean_text(value or "", what) or None


def _note(value: Any, what: str) -> str | None:
    return clean_text(value or "", what, NOTE_LIMIT, lines=True) or None


def number(text: str, what: str = "") -> float:
    """Read a plain number, not negative; `what` is a number of what."""
    if not re.fullmatch(r"\d{1,12}(\.\d{1,6})?", text.strip(), re.ASCII):
        raise BadValue(f"{text.strip()[:20]!r} is not a number{f' of {what}' if what else ''}")
    return float(text)


def _whole(text: str, _today: date) -> int:
    plain = text.strip()
    if not re.fullmatch(r"-?\d{1,12}", plain, re.ASCII):
        raise BadValue(f"{plain[:20]!r} is not a whole number")
    return int(plain)


_SPAN = re.compile(r"([\d.]+)(?:\s*(?:-|to)\s*([\d.]+))?\s*(|days?|d|weeks?|w|months?|years?|y)$", re.I)
_DAYS = {"": 1.0, "d": 1.0, "w": 7.0, "m": 30.4375, "y": 365.25}
"""Days in each unit a time is typed in, by its first letter; a month is a twelfth of a Julian year."""


def _span(text: str, _today: date) -> tuple[float, float]:
    found = _SPAN.match(text.strip())
    if found is None:
        raise BadValue(f"{text.strip()[:20]!r} is no number of days, as 10, 10-20 or '2 weeks'")
    by = _DAYS[found[3][:1].lower()]
    low = number(found[1], "days")
    return round(low * by, 1), round(number(found[2], "days") * by if found[2] else low * by, 1)


def _checked_span(value: Any, _what: str) -> list[float]:
    low, high = (values.number(each, "days") for each in value)
    if not 0 <= low <= high <= 3660:
        raise BadValue(f"{low:g} to {high:g} days: must be 0 to 3660, the lesser first")
    return [low, high]


def _show_span(span: tuple[float, float]) -> str:
    low, high = span
    return f"{low:.10g} days" if low == high else f"{low:.10g}-{high:.10g} days"


def _date(text: str, today: date) -> str:
    plain = text.strip()
    if plain.lower() in ("", "today"):
        return today.isoformat()
    if plain.lower() == "yesterday":
        return (today - timedelta(days=1)).isoformat()
    try:
        return date.fromisoformat(plain).isoformat()
    except ValueError:
        raise BadValue(f"'{plain[:20]}' is no date: write year-month-day, as 2026-12-24") from None


def _past(text: str, today: date) -> str:
    """Read the day something was done on: not after today."""
    day = _date(text, today)
    if day > today.isoformat():
        raise BadValue(f"{day} is still to come: what was done is recorded")
    return day


_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip
_DAY = re.compile(
    r"(?:(?P<day>\d{1,2})\.?\s+(?P<month>[a-z]{3,9})|(?P<month2>[a-z]{3,9})\s+(?P<day2>\d{1,2}))\.?"
    r"(?:\s+(?P<year>\d{4}))?",
    re.I,
)


def _due(text: str, today: date) -> str:
    """Read a day to come, also as '15 Dec': without a year the next such day."""
    if not text.strip():
        raise BadValue("no date is given: write year-month-day, as 2026-12-24")
    if found := _DAY.fullmatch(text.strip()):
        word = (found["month"] or found["month2"]).lower()
        months = [n for n, each in enumerate(_MONTHS, 1) if each.startswith(word)]
        for year in (int(found["year"]),) if found["year"] else range(today.year, today.year + 9):
            try:
                day = date(year, months[0], int(found["day"] or found["day2"]))
            except (ValueError, IndexError):
                continue
            if found["year"] or day >= today:
                return day.isoformat()
    return _date(text, today)


def _amount(least: float) -> Check:
    def check(value: Any, what: str) -> float:
        found = values.number(value, what)
        if not least <= found <= 1e6:
            floor = "more than 0" if least else "0 or more"
            raise BadValue(f"{what} is {found:g}: must be {floor} and at most 1000000")
        return found

    return check


def one_of(*words: str) -> Kind:
    """Return the kind of value that is one of a few words."""

    def check(value: Any, what: str) -> str:
        if value not in words:
            raise BadValue(f"{what} is not {str(value)[:20]!r} (one of: {', '.join(words)})")
        return str(value)

    def read(text: str, _today: date) -> str:
        word = text.strip().lower()
        if word not in words:
            raise BadValue(f"'{text.strip()[:20]}' is none of: {', '.join(words)}")
        return word

    return Kind("WORD", check, read)


def _torque(text: str, _today: date) -> float:
    """Read a torque: N.m, Nm, lbf.ft; a bare number is N.m. (1 lbf.ft = 1.355818 N.m: NIST SP 811, B.8.)"""
    found = re.fullmatch(r"(\d{1,6}(?:\.\d{1,4})?)\s*(n\.?m|lbf?[. ]?ft|ft[. ]?lbf?|)", text.strip(), re.I)
    if found is None:
        raise BadValue(f"{text.strip()[:20]!r} is no torque (write it as '65 N.m' or '48 lbf.ft')")
    factor = 1.3558179483 if "ft" in found[2].lower() else 1.0
    return round(float(found[1]) * factor, 3)


def _origin(text: str, _today: date) -> tuple[str, ...]:
    """Read 'machine > assembly > position'; an empty text is no origin."""
    if not text.strip():
        return ()
    parts = tuple(part.strip() for part in text.split(">"))
    if not all(parts):
        raise BadValue(f"'{text}' has an empty part (write it as \"machine > assembly > position\")")
    return parts


UNKNOWN = ("unknown", "?")


def _size(text: str, _today: date) -> Size | None:
    """Read a size; 'unknown' is none. Two lengths are refused: the height decides what fits under a shelf."""
    if text.strip().lower() in UNKNOWN:
        return None
    try:
        amount = parse_size_about(pointed(text))
    except UnitError as problem:
        raise BadValue(str(problem)) from None
    if len(amount.mm) != 3:
        raise BadValue(f"'{text}' has no height (write length x width x height, as 300x200x150mm)")
    return Size(*amount.mm, about=amount.about)


def _mass(text: str, _today: date) -> Mass | None:
    """Read a mass, a decimal comma before its unit too; 'unknown' is none."""
    if text.strip().lower() in UNKNOWN:
        return None
    try:
        amount = parse_mass_about(pointed(text))
    except UnitError as problem:
        raise BadValue(str(problem)) from None
    return Mass(amount.value, amount.about)


def _detail(text: str, _today: date) -> tuple[str, str]:
    """Read 'KEY=VALUE'."""
    name, equals, value = text.partition("=")
    if not equals:
        raise BadValue(f"'{text}' has no '=' (write it as 'volume=20 L')")
    return " ".join(name.lower().split()), value


TORQUE = Kind("TORQUE", _amount(1e-9), _torque, show="{:.10g} N.m".format)
ANGLE = Kind(
    "DEG", _amount(1e-9), lambda text, _today: number(text.lower().removesuffix("deg"), "degrees"),
    show="{:.10g}".format,
)  # fmt: skip
ORIGIN = Kind(
    '"M > A > P"', lambda value, _what: values.checked({"origin": value})["origin"], _origin,
    show=" > ".join,
)  # fmt: skip
SIZE = Kind(
    "LxWxH", lambda value, _what: values.checked_size(value), _size,
    show=lambda it: it.said,
)  # fmt: skip
MASS = Kind(
    "MASS", lambda value, _what: values.checked_mass(value), _mass,
    show=lambda it: it.said,
)  # fmt: skip
DETAIL = Kind("KEY=VALUE", lambda value, _what: value, _detail, show="=".join)
COUNTED = Kind("HOW", _text, lambda text, _today: "" if text.strip() == "pieces" else text.strip())
TEXT = Kind("TEXT", _text)
WORD = Kind("WORD", _text, lambda text, _today: text.strip().lower())
NOTE = Kind("TEXT", _note)
COUNT = Kind("N", lambda value, _what: values.checked_qty(value), _whole, ordered=True)
SPAN = Kind("N[-M]", _checked_span, _span, ordered=True, rank=lambda span: span[1], show=_show_span)
PERIOD = Kind(
    "N", _amount(1e-9), lambda text, today: _span(text, today)[0], ordered=True, show="{:.10g} days".format
)
HOURS = Kind(
    "H", _amount(0.0), lambda text, _today: number(text, "hours"), ordered=True, show="{:.10g}".format
)
EACH_HOURS = Kind("N", _amount(1e-9), HOURS.read, ordered=True, show="{:.10g}".format)
DATE = Kind("DATE", values.checked_date, _date, ordered=True)
PAST = Kind("DATE", values.checked_date, _past, ordered=True)
DUE = Kind("DATE", values.checked_date, _due, ordered=True)


def thing(name: str, metavar: str) -> Kind:
    """Return the kind of value that names a thing of the shop, kept by its key."""
    return Kind(metavar, _text, thing=name)


YES = Kind(
    "", lambda value, _what: bool(value) or None, lambda text, _today: text.strip().lower() not in ("", "no"),
    show=lambda value: "yes" if value else "no",
)  # fmt: skip
GROUP = thing("group", "CODE|NAME")
NEEDED = thing("needed", "PART")
POSITION = thing("position", "PART")
POSITIONS = thing("positions", "PART")
MILESTONE = thing("milestone", "NAME")
MACHINE = thing("machine", "KEY")
SHORTAGE = thing("shortage", "NAME")
CONNECTION = thing("connection", "MARK")
CARE = thing("care", "NAME")
SET = thing("set", "NAME")
