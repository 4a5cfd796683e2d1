"""The two lists of the Refit in refit order, and what all its lists have in common (the others: `lists.py`).

Each lists its rows when asked, sets a row when it is drawn, and says of a row what stands below the list.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, ClassVar, Generic, TypeVar

from shopbins.lists.refit import none_left
from shopbins.scene.fetching import in_front, on_top
from shopbins.strip.order import Order
from shopbins.strip.refit import Entry, chain, entry, next_back
from shopbins.strip.told import introduce
from shopbins.strip.waits import to_inspect
from shopbins.tui.refit.working import add_shortage
from shopbins.tui.widgets.linelist import Cell, Column
from shopbins.tui.words import where_short

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group
    from shopbins.tui.host import Host

R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Only:
    """What the lists are narrowed to: one machine, the chain in front of a milestone, or a condition.

    A condition is one of the documents of a table ('mass > 20 kg' of parts): it narrows the lists of those.
    """

    machine: str | None = None
    milestone: str | None = None
    condition: str = ""
    table: str = ""


class View(ABC, Generic[R]):
    """One list of the Refit."""

    title: ClassVar[str] = ""
    columns: ClassVar[tuple[Column, ...]] = ()
    empty: str = ""
    table: ClassVar[str] = "group"
    example: ClassVar[str] = "mass > 20 kg"
    """Of which table's documents its rows are, and a condition of one."""
    heeds: ClassVar[tuple[str, ...]] = ()
    """What of `Only` it is narrowed by, besides a condition."""

    def __init__(self, desk: Desk, today: date) -> None:
        self.desk, self.today = desk, today
        self.rows: list[R] = []
        self.not_compared: list[str] = []
        self._alike: set[str] = set()

    def narrow(self, only: Only) -> None:
        """List the rows anew, and keep those that meet the condition; DeskError where it cannot be read."""
        self.load(only)
        self.not_compared = []
        if only.condition and only.table == self.table:
            found = self.desk.search(self.table, [only.condition])
            self.not_compared = found.not_compared
            meeting = {str(doc.doc_id) for doc in found.docs}
            self.rows = [row for row in self.rows if self._document(row) in meeting]
        machines: dict[str, set[str]] = {}
        for row in self.rows:
            name, machine = self.named(row)
            machines.setdefault(name, set()).add(machine)
        self._alike = {name for name, of in machines.items() if len(of) > 1}

    def named(self, row: R) -> tuple[str, str]:  # noqa: ARG002
        """Return the name of a row's part, and its machine; '' for what is no part."""
        return "", ""

    def called(self, row: R) -> str:
        """Return the name of a row's part, its machine before it where another's is called so too."""
        name, machine = self.named(row)
        return f"{machine}: {name}" if machine and name in self._alike else name

    def _document(self, row: R) -> str | None:
        return self.group(row) if self.table == "group" else self.key(row)

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

    def ask(self, app: Host, row: R, chain: Callable[[str], None]) -> bool:  # noqa: ARG002
        """Ask what there is to say of a row; False: nothing, its place is shown.

        `chain` shows everything in front of a milestone.
        """
        return False

    def ask_facts(self, app: Host, row: R) -> bool:  # noqa: ARG002
        """Ask for what is not known of a row; False: it has nothing but what its part has."""
        return False

    def add(self, app: Host) -> None:
        """Ask for one more of what is listed; what has no list of its own to add to: a shortage."""
        add_shortage(app)

    def note(self) -> str:
        """Return what stands in the head line."""
        return str(len(self.rows))

    def summary(self) -> list[str]:
        """Return the lines that stand above what is said of a row."""
        return []


def heed(group: Group) -> str:
    """Return cautions in few words."""
    return ", ".join(group.cautions)


def shown(group: Group | None, name: str, pieces: int) -> str:
    """Return a name with its pieces."""
    mark = "" if group is not None else "lacking: "
    return f"{mark}{name}" + (f" x{pieces}" if pieces > 1 else "")


def told(desk: Desk, row: Entry) -> list[str]:
    """Say of an entry what it is, what it waits for, what to shift first, what to heed."""
    if row.group is None:
        lines = [f"{shown(None, row.name, row.pieces)} · nothing in the shop is meant to go there"]
    else:
        lines = [f"{introduce(desk.state, row.group.id)} · {row.group.code}"]
        lines += first_to_shift(desk, row.group.id)
    waits = [f"usually after {wait.text}" if wait in row.usual else wait.said for wait in row.waits]
    lines += [" · ".join(waits)] if waits else ["Ready to go back: r fits it"]
    if row.group is not None and (of := to_inspect(row.group)) is not None:
        lines.append(f"to inspect{f': {of}' if of else ''} · m types the value in")
    return lines + ([] if row.group is None else row.heeded(desk.hints(row.group)))


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


class Next(View[Entry]):
    """What can go back now."""

    title = "next"
    heeds = ("machine", "milestone")
    empty = "nothing can go back now: v shows what everything waits for"
    columns = (
        Column("can go back now", 26, 1.2),
        Column("lies", 20, 1.0),
        Column("move first", 15),
        Column("heed", 14, 0.6),
        Column("from", 16, 0.8),
        Column("code", 12),
    )

    def load(self, only: Only) -> None:
        """List what waits for nothing."""
        self.rows = next_back(self.desk.state, only.machine)
        if only.milestone is not None:
            wanted = set(chain(self.desk.state, only.milestone))
            self.rows = [each for each in self.rows if each.position in wanted]

    def key(self, row: Entry) -> str:
        """Return group or position."""
        return row.group.id if row.group is not None else row.position

    def group(self, row: Entry) -> str | None:
        """Return the row's group."""
        return None if row.group is None else row.group.id

    def position(self, row: Entry) -> str | None:
        """Return the row's position."""
        return row.position

    def named(self, row: Entry) -> tuple[str, str]:
        """Return its name and machine."""
        return row.name, "".join(self.desk.state.follower(Order).graph.places[row.position].origin[:1])

    def detail(self, row: Entry) -> list[str]:
        """Say all there is to say."""
        return told(self.desk, row)

    def row(self, row: Entry) -> list[Cell]:
        """Set a row."""
        group = row.group
        if group is None:
            return [shown(None, self.called(row), row.pieces)]
        return [
            shown(group, self.called(row), row.pieces),
            where_short(self.desk.scene(), group),
            (shift_words(self.desk, group.id), "correct"),
            (heed(group), "correct"),
            (" > ".join(group.origin[1:]), "dim"),
            (group.code, "dim"),
        ]

    def note(self) -> str:
        """Say how many."""
        return f"{len(self.rows)} can go back now"


Slot = tuple[str, str | None]
"""A position and one of its groups to go back; None: the pieces that are lacking."""


class All(View[Slot]):
    """Everything still to go back, in refit order; what a row waits for is worked out when it is drawn."""

    title = "refit order"
    heeds = ("machine", "milestone")
    empty = "everything is back on"
    columns = (
        Column("", 2),
        Column("to go back, in order", 28, 1.0),
        Column("waits for", 40, 1.6),
        Column("lies", 18, 0.8),
        Column("code", 12),
    )
    _ready = 0

    def load(self, only: Only) -> None:
        """List everything off or lacking."""
        order = self.desk.state.follower(Order)
        wanted = None if only.milestone is None else set(chain(self.desk.state, only.milestone))
        places = order.graph.places
        self.rows = []
        for each in order.open():
            of = "".join(places[each].origin[:1])
            if (wanted is None or each in wanted) and only.machine in (None, of):
                look = order.look(each)
                self.rows += [(each, group_id) for group_id in look.lying]
                self.rows += [(each, None)] if look.lacking else []
        if not self.rows and wanted is None:
            self.empty = none_left(self.desk.state, only.machine, date.today())
        self._ready = len(order.now()) if wanted is None else sum(1 for each in order.now() if each in wanted)

    def named(self, row: Slot) -> tuple[str, str]:
        """Return its name and machine."""
        place = self.desk.state.follower(Order).graph.places[row[0]]
        name = place.name if row[1] is None else self.desk.state.group(row[1]).shown
        return name, "".join(place.origin[:1])

    def entry(self, row: Slot) -> Entry:
        """Return what there is to say of a row."""
        position, group_id = row
        found = entry(self.desk.state, position)
        return next(each for each in found if (None if each.group is None else each.group.id) == group_id)

    def key(self, row: Slot) -> str:
        """Return group or position."""
        return row[1] or row[0]

    def group(self, row: Slot) -> str | None:
        """Return the row's group."""
        return row[1]

    def position(self, row: Slot) -> str | None:
        """Return the row's position."""
        return row[0]

    def detail(self, row: Slot) -> list[str]:
        """Say all there is to say."""
        return told(self.desk, self.entry(row))

    def row(self, row: Slot) -> list[Cell]:
        """Set a row."""
        of = self.entry(row)
        more = f" and {len(of.waits) - 1} more" if len(of.waits) > 1 else ""
        waits = of.waits[0].text + more if of.waits else ""
        where = "" if of.group is None else where_short(self.desk.scene(), of.group)
        return [
            "►" if of.ready else "",
            (shown(of.group, self.called(row), of.pieces), "" if of.group is not None else "correct"),
            (waits, "" if of.waits else "dim"),
            (where, "dim"),
            ("" if of.group is None else of.group.code, "dim"),
        ]

    def note(self) -> str:
        """Say how many, and how many of them now."""
        return f"{len(self.rows)} to go back, {self._ready} now"
