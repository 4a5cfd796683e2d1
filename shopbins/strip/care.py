"""Care that comes round again (hoses by age, filters by hours), and cautions for handling a part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from shopbins.ledger.events import Change
from shopbins.ledger.model import Doc
from shopbins.ledger.state import State
from shopbins.strip.book import Book

CAUTIONS = (
    "lapped face",
    "soft face",
    "magnetic",
    "under spring load",
    "contaminated",
    "heavy on one end",
    "sharp",
)
"""Cautions offered by one key; any other text is as good. They are shown wherever the group is handled."""


@dataclass(frozen=True, slots=True)
class Care:
    """Care that comes round again, and when it is next due: a date, a reading of the hours, or both.

    `left_days` and `left_hours` are what is left until then (negative: overdue), None where not known: never
    done, or the machine's hours not recorded.
    """

    key: str
    name: str
    machine: str
    position: str | None
    every_days: float | None
    every_hours: float | None
    done: date | None
    done_hours: float | None
    due: date | None
    due_hours: float | None
    left_days: int | None
    left_hours: float | None
    note: str = ""
    gone: str = ""
    instead: str = ""
    why: str = ""

    @property
    def overdue(self) -> bool:
        """Tell whether a date or a reading has passed."""
        return (self.left_days is not None and self.left_days < 0) or (
            self.left_hours is not None and self.left_hours < 0
        )

    @property
    def sentence(self) -> str:
        """Say when it is due."""
        said = []
        if self.every_days is not None:
            said.append(_by_date(self.due, self.left_days))
        if self.every_hours is not None:
            said.append(_by_hours(self.due_hours, self.left_hours))
        text = f"{self.name}: {' and '.join(said)}"
        if self.gone:
            text += f"; {self.gone} is no longer to be had, use {self.instead or 'nothing known yet'}"
            text += f" ({self.why})" if self.why else ""
        return text


def _by_date(due: date | None, left: int | None) -> str:
    if due is None or left is None:
        return "not checked by age (no date it was last done)"
    if left < 0:
        return f"overdue since {due.isoformat()}"
    return f"due {due.isoformat()}"


def _by_hours(due: float | None, left: float | None) -> str:
    if due is None:
        return "not checked by hours (no reading when it was last done)"
    if left is None:
        return f"due at {due:g} h (the machine's hours are not recorded)"
    return f"overdue by {-left:g} h" if left < 0 else f"due at {due:g} h, {left:g} h from now"


def care(state: State, today: date) -> list[Care]:
    """Return all recurring care, most pressing first."""
    found = [_care(state, key, today) for key in state.docs("care")]
    return sorted(found, key=_pressing)


def overdue(state: State, position: str, today: date) -> list[Care]:
    """Return the recurring care of a position that is overdue, by age or by hours."""
    keys = state.follower(Cared).of.get(position, ())
    return [found for key in keys if (found := _care(state, key, today)).overdue]


class Cared:
    """The care of each position: follows a state."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._of: dict[str, list[str]] | None = None

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        if any(change.table == "care" for change in changes):
            self._of = None

    @property
    def of(self) -> Mapping[str, list[str]]:
        """The ids of its care by position. Not to be changed."""
        if self._of is None:
            self._of = {}
            for key, doc in self._state.docs("care").items():
                if doc.get("position"):
                    self._of.setdefault(doc["position"], []).append(key)
        return self._of


def machine_of(state: State, doc: Doc) -> str:
    """Return the machine whose hours count for care: the one said, else its part's; '' for neither."""
    if doc.get("machine") or not doc.get("position"):
        return str(doc.get("machine", ""))
    return state.follower(Book).home(doc["position"])


def _pressing(each: Care) -> tuple[bool, float, str]:
    left = [n for n in (each.left_days, each.left_hours) if n is not None]
    return (not each.overdue, min(left, default=float("inf")), each.name)


def _care(state: State, key: str, today: date) -> Care:
    doc = state.docs("care")[key]
    get = doc.get
    done = date.fromisoformat(doc["done"]) if doc.get("done") else None
    due = None
    if doc.get("every_days") and done is not None:
        due = done + timedelta(days=min(doc["every_days"], (date.max - done).days))
    due_hours = None
    if doc.get("every_hours") and doc.get("done_hours") is not None:
        due_hours = doc["done_hours"] + doc["every_hours"]
    machine = machine_of(state, doc)
    now = state.docs("hours").get(machine, {}).get("hours")
    return Care(
        key, doc["name"], machine, get("position"), get("every_days"), get("every_hours"), done,
        get("done_hours"), due, due_hours,
        None if due is None else (due - today).days,
        None if due_hours is None or now is None else due_hours - now,
        get("note", ""), get("gone", ""), get("instead", ""), get("why", ""),
    )  # fmt: skip
