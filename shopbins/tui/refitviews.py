"""The two lists of the Refit in refit order, and what all its lists have in common (the others: refitlists).

Each lists its rows when asked, sets a row when it is drawn, and says of a row what stands below the list.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from shopbins.layout.fetching import in_front, on_top
from shopbins.parts.strip.refit import Entry, chain
from shopbins.tui.widgets.linelist import Cell, Column
from shopbins.tui.words import where_short

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.parts.model import Group

R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Only:
    """What the lists are narrowed to: one machine, or the chain in front of a milestone."""

    machine: str | None = None
    milestone: str | None = None


class View(ABC, Generic[R]):
    """One list of the Refit."""

    title: ClassVar[str] = ""
    columns: ClassVar[tuple[Column, ...]] = ()
    empty: ClassVar[str] = ""

    def __init__(self, desk: Desk, today: date) -> None:
        self.desk, self.today = desk, today
        self.rows: list[R] = []

    @abstractmethod
    def load(self, only: Only) -> None:
        """List the rows anew."""

    @abstractmethod
    def row(self, row: R) -> list[Cell]:
        """Set one row."""

    @abstractmethod
    def detail(self, row: R) -> list[str]:
        """Say what there is to say of a row."""

    def key(self, row: R) -> str:  # noqa: ARG002
        """Return what a row is known by, that the cursor may stay on it."""
        return ""

    def group(self, row: R) -> str | None:  # noqa: ARG002
        """Return the id of the row's group, if it is one."""
        return None

    def position(self, row: R) -> str | None:
        """Return the row's position, if it has one."""
        group_id = self.group(row)
        return None if group_id is None else self.desk.state.group(group_id).positions[0]

    def note(self) -> str:
        """Return what stands in the head line."""
        return str(len(self.rows))

    def summary(self) -> str:
        """Return a line that stands above what is said of a row."""
        return ""


def heed(group: Group) -> str:
    """Return cautions in few words."""
    return ", ".join(group.cautions)


def shown(group: Group | None, name: str, pieces: int) -> str:
    """Return a name with its pieces."""
    mark = "" if group is not None else "lacking: "
    return f"{mark}{name}" + (f" x{pieces}" if pieces > 1 else "")


class Entries(View[Entry]):
    """What the two lists of the refit order share."""

    def key(self, row: Entry) -> str:
        """Return group or position."""
        return row.group.id if row.group is not None else row.position

    def group(self, row: Entry) -> str | None:
        """Return the row's group."""
        return None if row.group is None else row.group.id

    def position(self, row: Entry) -> str | None:
        """Return the row's position."""
        return row.position

    def detail(self, row: Entry) -> list[str]:
        """Say what it is, what it waits for, what to shift first, what to heed."""
        desk = self.desk
        if row.group is None:
            lines = [f"{shown(None, row.name, row.pieces)} · nothing in the shop is meant to go there"]
        else:
            lines = [f"{desk.introduce(row.group.id)} · {row.group.code}"]
            lines += first_to_shift(desk, row.group.id)
        waits = [("usually after " if wait in row.usual else "waits for ") + wait.text for wait in row.waits]
        lines += [" · ".join(waits)] if waits else ["nothing is waited for: o puts it back on"]
        return lines + ([] if row.group is None else desk.hints(row.group))


def first_to_shift(desk: Desk, group_id: str) -> list[str]:
    """Say what lies on a group, and what stands in front of it."""
    scene = desk.scene()
    names = [scene.group(each).shown for each in on_top(scene, group_id)]
    lines = [f"on top of it: {', '.join(names)}"] if names else []
    front = in_front(scene, group_id)
    if front:
        lines.append(f"in front of it: {', '.join(scene.group(each).shown for each in front)}")
    return lines


def shift_words(desk: Desk, group_id: str) -> str:
    """Say in few words what is to be shifted before a group can be fetched."""
    scene = desk.scene()
    top, front = on_top(scene, group_id), in_front(scene, group_id)
    said = [f"{len(top)} on it"] if top else []
    said += [f"{len(front)} in front"] if front else []
    return ", ".join(said)


class Next(Entries):
    """What can go back now."""

    title = "next"
    empty = "nothing can go back now: v shows what everything waits for"
    columns = (
        Column("can go back now", 26, 1.2),
        Column("lies", 20, 1.0),
        Column("to shift first", 15),
        Column("heed", 14, 0.6),
        Column("from", 16, 0.8),
        Column("code", 12),
    )

    def load(self, only: Only) -> None:
        """List what waits for nothing."""
        self.rows = self.desk.next_back(only.machine)
        if only.milestone is not None:
            wanted = set(chain(self.desk.state, only.milestone))
            self.rows = [each for each in self.rows if each.position in wanted]

    def row(self, row: Entry) -> list[Cell]:
        """Set a row."""
        group = row.group
        if group is None:
            return [shown(None, row.name, row.pieces)]
        return [
            shown(group, row.name, row.pieces),
            where_short(self.desk.scene(), group),
            (shift_words(self.desk, group.id), "correct"),
            (heed(group), "correct"),
            (" > ".join(group.origin[1:]), "dim"),
            (group.code, "dim"),
        ]

    def note(self) -> str:
        """Say how many."""
        return f"{len(self.rows)} can go back now"


class All(Entries):
    """Everything still to go back, in refit order."""

    title = "refit order"
    empty = "nothing is left to go back"
    columns = (
        Column("", 2),
        Column("to go back, in order", 28, 1.0),
        Column("waits for", 40, 1.6),
        Column("lies", 18, 0.8),
        Column("code", 12),
    )

    def load(self, only: Only) -> None:
        """List everything off or lacking."""
        self.rows = self.desk.refit(only.machine, only.milestone)

    def row(self, row: Entry) -> list[Cell]:
        """Set a row."""
        more = f" and {len(row.waits) - 1} more" if len(row.waits) > 1 else ""
        waits = row.waits[0].text + more if row.waits else ""
        where = "" if row.group is None else where_short(self.desk.scene(), row.group)
        return [
            "►" if row.ready else "",
            (shown(row.group, row.name, row.pieces), "" if row.group is not None else "correct"),
            (waits, "" if row.waits else "dim"),
            (where, "dim"),
            ("" if row.group is None else row.group.code, "dim"),
        ]

    def note(self) -> str:
        """Say how many, and how many of them now."""
        ready = sum(1 for each in self.rows if each.ready)
        return f"{len(self.rows)} to go back, {ready} now"
