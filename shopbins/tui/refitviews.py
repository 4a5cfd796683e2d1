"""The lists of the Refit: what can go back next, everything off, shortages, the count, milestones, ends.

Each lists its rows when asked, sets a row when it is drawn, and says of a row what stands below the list.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from shopbins.layout.fetching import in_front, on_top
from shopbins.parts.strip.count import Count, Oddity
from shopbins.parts.strip.refit import Entry, chain
from shopbins.tui.text import counted
from shopbins.tui.widgets.linelist import Cell, Column
from shopbins.tui.words import where_short

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.parts.model import Group
    from shopbins.parts.strip.connections import Connection
    from shopbins.parts.strip.shortages import HoldUp, Lack

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


class Shortages(View["Lack"]):
    """What is lacking, the most pressing first."""

    title = "shortages"
    empty = "nothing is lacking: + adds what is"
    columns = (Column("lacking", 24, 0.8), Column("", 9), Column("what to do", 44, 2.0))

    def load(self, only: Only) -> None:  # noqa: ARG002
        """List what is not here yet."""
        self.rows = self.desk.shortages(self.today)

    def key(self, row: Lack) -> str:
        """Return its id."""
        return row.key

    def position(self, row: Lack) -> str | None:
        """Return the first part that waits for it."""
        return next(iter(row.doc.get("positions", ())), None)

    def row(self, row: Lack) -> list[Cell]:
        """Set a row."""
        amount = f" x{row.quantity}" if row.qty > 1 or row.unit else ""
        look = "stop" if "late" in row.sentence or "ago" in row.sentence else ""
        return [f"{row.name}{amount}", (row.state, "dim"), (row.sentence, look)]

    def detail(self, row: Lack) -> list[str]:
        """Say all that is known of it."""
        get = row.doc.get
        days = get("days")
        takes = "how long it takes is not known" if not days else f"takes {days[0]:g} to {days[1]:g} days"
        known = [
            f"specification: {get('spec')}" if get("spec") else "",
            f"of {get('ask_of')}" if get("ask_of") else "",
            f"price {str(get('price')).removeprefix('price ')}" if get("price") else "",
            takes,
            f"asked {get('asked')}" if get("asked") else "",
        ]
        lines = [f"{row.name} x{row.quantity} · {row.state}", row.sentence, " · ".join(filter(None, known))]
        if row.needed_before:
            by = f", by {row.needed_by}" if row.needed_by else ""
            lines.append(f"needed before {row.needed_before}{by}")
        return [
            *lines,
            *([f"note: {get('note')}"] if get("note") else []),
            "enter: asked, promised, here, not needed",
        ]

    def note(self) -> str:
        """Say how many."""
        return f"{len(self.rows)} lacking"


class Counted(View[tuple[str, Oddity]]):
    """The count: what is missing and what is left over, by name."""

    title = "count"
    empty = "nothing is missing, nothing is left over"
    columns = (
        Column("", 10),
        Column("part", 28, 1.0),
        Column("pieces", 12),
        Column("why", 30, 1.2),
        Column("code", 12),
    )

    def __init__(self, desk: Desk, today: date) -> None:
        super().__init__(desk, today)
        self._count: Count | None = None

    def load(self, only: Only) -> None:
        """Count."""
        found = self._count = self.desk.count(only.machine)
        self.rows = [("missing", each) for each in found.missing]
        self.rows += [("left over", each) for each in found.left_over]

    def key(self, row: tuple[str, Oddity]) -> str:
        """Return what it is about."""
        return f"{row[0]} {row[1].subject}"

    def group(self, row: tuple[str, Oddity]) -> str | None:
        """Return its group."""
        table, _, key = row[1].subject.partition(":")
        return key if table == "group" and self.desk.state.has_group(key) else None

    def position(self, row: tuple[str, Oddity]) -> str | None:
        """Return its position."""
        table, _, key = row[1].subject.partition(":")
        return key if table == "part" else super().position(row)

    def row(self, row: tuple[str, Oddity]) -> list[Cell]:
        """Set a row."""
        what, odd = row
        pieces = "not counted" if odd.pieces is None else str(odd.pieces)
        return [
            (what, "correct" if what == "missing" else ""),
            odd.name,
            pieces,
            odd.why,
            (odd.code or "", "dim"),
        ]

    def detail(self, row: tuple[str, Oddity]) -> list[str]:
        """Say where it is."""
        group_id = self.group(row)
        lines = [f"{row[0]}: {row[1].name} · {row[1].why}"]
        return lines + ([self.desk.introduce(group_id)] if group_id is not None else [])

    def note(self) -> str:
        """Say whether it is right."""
        c = self._count
        if c is None:
            return ""
        return "right" if c.is_right else f"{len(c.missing)} missing, {len(c.left_over)} left over"

    def summary(self) -> str:
        """Say the sum."""
        c = self._count
        if c is None:
            return ""
        brought = f" and {c.brought} brought in" if c.brought else ""
        sums = f"{c.on} on, {c.disposed} decided otherwise, {c.lying} off still"
        return f"{c.off} pieces off{brought} = {sums}"


class Milestones(View[tuple[str, str, "HoldUp"]]):
    """What the work is towards, and what holds each up."""

    title = "milestones"
    empty = "no milestone yet: + sets one, as 'engine closed'"
    columns = (Column("milestone", 22, 0.6), Column("to go", 7), Column("what holds it up", 40, 2.0))

    def load(self, only: Only) -> None:  # noqa: ARG002
        """List every milestone, those reached last."""
        table = self.desk.state.docs("milestone")
        keys = sorted(table, key=lambda key: (bool(table[key].get("done")), table[key].get("by") or "9"))
        self.rows = [(key, table[key].get("done") or "", self.desk.hold_up(key, self.today)) for key in keys]

    def key(self, row: tuple[str, str, HoldUp]) -> str:
        """Return its key."""
        return row[0]

    def row(self, row: tuple[str, str, HoldUp]) -> list[Cell]:
        """Set a row."""
        key, done, held = row
        name = str(self.desk.state.docs("milestone")[key]["name"])
        said = f"reached {done}" if done else held.sentence.removeprefix(f"{name}: ")
        left = "" if done else str(len(self.desk.refit(None, key)))
        return [name, left, (said, "stop" if held.late and not done else "")]

    def detail(self, row: tuple[str, str, HoldUp]) -> list[str]:
        """Say the way to it."""
        key, done, held = row
        lines = [f"reached {done}" if done else held.sentence]
        names = [self.desk.position(each).name for each in held.steps]
        lines += [f"the longest way: {', then '.join(names)}"] if names and not done else []
        doc = self.desk.state.docs("milestone")[key]
        lines += ["it is a move of the machine"] if doc.get("move") else []
        return [*lines, "enter: its whole chain, reached, date, what it needs, what goes on after it"]

    def note(self) -> str:
        """Say how many."""
        return counted(len(self.rows), "milestone")


class Ends(View["Connection"]):
    """Wires, hoses and pipes by their two ends."""

    title = "ends"
    empty = "no wire, hose or pipe is recorded: + adds one by its two ends"
    columns = (
        Column("flags", 9),
        Column("what", 22, 0.8),
        Column("end A", 22, 1.0),
        Column("end B", 22, 1.0),
        Column("", 8),
    )

    def load(self, only: Only) -> None:
        """List every connection, those apart first."""
        from shopbins.parts.strip.connections import connections

        found = [each for each in connections(self.desk.state) if only.machine in (None, each.machine)]
        self.rows = sorted(found, key=lambda each: each.joined)

    def key(self, row: Connection) -> str:
        """Return its id."""
        return row.key

    def row(self, row: Connection) -> list[Cell]:
        """Set a row."""
        look = "dim" if row.joined else ""
        flags = f"{row.mark}A {row.mark}B"
        return [(flags, look), (row.name or row.kind, look), (row.a, look), (row.b, look), ("joined" if row.joined else "apart", look)]  # noqa: E501  # fmt: skip

    def detail(self, row: Connection) -> list[str]:
        """Say both ends."""
        lines = [
            f"{row.told}, {'joined' if row.joined else 'apart'}",
            f"flag {row.mark}A on the end at {row.a} · flag {row.mark}B on the end at {row.b}",
        ]
        return [*lines, *([row.note] if row.note else []), "enter: joined, or apart again"]

    def note(self) -> str:
        """Say how many are apart."""
        apart = sum(1 for each in self.rows if not each.joined)
        return f"{apart} apart of {counted(len(self.rows), 'connection')}"


VIEWS: tuple[type[View[object]], ...] = (Next, All, Shortages, Counted, Milestones, Ends)  # type: ignore[assignment]
