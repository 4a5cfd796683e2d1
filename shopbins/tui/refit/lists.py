"""The other lists of the Refit: shortages, the count, milestones, wires and hoses by their ends, care."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar, Protocol, TypeVar

from shopbins.lists import show
from shopbins.lists.care import CARE
from shopbins.lists.connections import CONNECTIONS
from shopbins.lists.count import COUNT, balance_said, counted_rows, stands_said
from shopbins.lists.listing import List
from shopbins.lists.milestones import MILESTONES, Milestone, milestones
from shopbins.lists.shortages import SHORTAGES, unasked_said
from shopbins.records import care as cares
from shopbins.records import connection, milestone, shortage
from shopbins.strip.care import care
from shopbins.strip.connections import connections
from shopbins.strip.count import KINDS, WORDS, Count, Stands, count, unasked
from shopbins.strip.shortages import hold_up, shortages
from shopbins.strip.told import introduce
from shopbins.tui.asking import ask_about, ask_new
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.keys.groupactions import ask_place
from shopbins.tui.refit.views import All, Next, Only, View
from shopbins.tui.refit.working import ask_shortage_facts
from shopbins.tui.widgets.linelist import Cell, screen_columns
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.ledger.events import Event
    from shopbins.strip.care import Care as CareOf
    from shopbins.strip.connections import Connection
    from shopbins.strip.count import CountLine
    from shopbins.strip.shortages import Lack
    from shopbins.tui.host import Host


class _Keyed(Protocol):
    @property
    def key(self) -> str: ...


K = TypeVar("K", bound=_Keyed)


class Recorded(View[K]):
    """A list of what is recorded in one table, set as the command's list of it is."""

    listed: ClassVar[List[Any]]

    def __init_subclass__(cls) -> None:
        cls.columns = screen_columns(cls.listed)

    def key(self, row: K) -> str:
        """Return its id."""
        return row.key

    def row(self, row: K) -> list[Cell]:
        """Set a row."""
        return list(show.cells(self.listed, row))


class Shortages(Recorded["Lack"]):
    """What is lacking, the most pressing first."""

    table, example = "shortage", "promised < 2026-12-24"
    title = "shortages"
    empty = "no shortages: + adds what is lacking"
    listed = SHORTAGES
    _unasked = ""

    def load(self, only: Only) -> None:  # noqa: ARG002
        """List what is not here yet, and find what is missing and nobody asked for."""
        self.rows = shortages(self.desk.state, self.today)
        self._unasked = unasked_said(unasked(self.desk.state, self.today), 3)

    def position(self, row: Lack) -> str | None:
        """Return the first part that waits for it."""
        return next(iter(row.doc.get("positions", ())), None)

    def ask(self, app: Host, row: Lack, chain: Callable[[str], None]) -> bool:  # noqa: ARG002
        """Ask what there is to say of a shortage; what came as a group is laid down at once."""

        def came(event: Event) -> None:
            table, _, group_id = event.subjects[0].partition(":")
            if event.kind == shortage.ARRIVE.kind and table == "group":
                group = app.desk.state.group(group_id)
                ask_place(app, group, f"{group.shown} is here: where is it put down?")

        def said(key: str) -> str:
            return shortage.sentence(app.desk.state, key, app.today())

        ask_about(app, shortage.SHORTAGE, shortage.QUESTIONS, row.key, said, came)
        return True

    def ask_facts(self, app: Host, row: Lack) -> bool:
        """Ask how long it takes, of whom it is asked, what it costs."""
        ask_shortage_facts(app, row.key)
        return True

    def detail(self, row: Lack) -> list[str]:
        """Say all that is known of it."""
        get = row.doc.get
        days = get("days")
        takes = (
            "how long it takes is not known: m types it in"
            if not days
            else f"takes {days[0]:g} to {days[1]:g} days"
        )
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

    def summary(self) -> list[str]:
        """Name what is missing and nobody asked for."""
        return [f"missing, and no shortage is for it: {self._unasked}"] if self._unasked else []

    def note(self) -> str:
        """Say how many."""
        return f"{len(self.rows)} lacking"


class Counted(View["CountLine | Stands"]):
    """The count: every line that keeps it from being clean, by gravity and name; what stands beside it."""

    table = ""  # it is of every piece: not narrowed by a condition
    title = "count"
    heeds = ("machine",)
    empty = WORDS.yes
    columns = screen_columns(COUNT)

    def __init__(self, desk: Desk, today: date) -> None:
        super().__init__(desk, today)
        self._count: Count | None = None

    def load(self, only: Only) -> None:
        """Count."""
        self._count = count(self.desk.state, only.machine, self.today, self.desk.shop.machines)
        self.rows = [*self._count.lines, *self._count.stands]

    def key(self, row: CountLine | Stands) -> str:
        """Return what it is about."""
        return f"{row.kind} {row.subject}"

    def group(self, row: CountLine | Stands) -> str | None:
        """Return its group."""
        table, _, key = row.subject.partition(":")
        return key if table == "group" and self.desk.state.has_group(key) else None

    def position(self, row: CountLine | Stands) -> str | None:
        """Return its position."""
        table, _, key = row.subject.partition(":")
        return key if table == "part" else super().position(row)

    def row(self, row: CountLine | Stands) -> list[Cell]:
        """Set a row."""
        (said,) = counted_rows(self.desk.state, [row])
        return list(show.cells(COUNT, said._replace(name=self.called(row))))

    def named(self, row: CountLine | Stands) -> tuple[str, str]:
        """Return its name and machine; what stands names itself."""
        return (
            (row.text, "") if isinstance(row, Stands) else (row.name, ", ".join(filter(None, row.machines)))
        )

    def detail(self, row: CountLine | Stands) -> list[str]:
        """Say where it is, and what closes it; all that is kept of what stands."""
        group_id = self.group(row)
        if isinstance(row, Stands):
            lines = [stands_said(row)]
        else:
            lines = [f"{KINDS[row.kind]}: {row.name} · {row.why}", f"next: {row.act}"]
        if group_id is not None:
            lines.append(f"{introduce(self.desk.state, group_id)} · {self.desk.state.group(group_id).code}")
        return lines

    def note(self) -> str:
        """Say whether it is clean."""
        return (
            ""
            if self._count is None
            else "clean"
            if self._count.is_right
            else f"not clean, {counted(len(self._count.lines), 'line')}"
        )

    def summary(self) -> list[str]:
        """Say how it came out, as the command does, and the sum."""
        if self._count is None:
            return []
        more = [each for each in self._count.stands if each.kind not in ("conceded", "accepted")]
        beside = f", {len(more)} more told below" if more else ""
        return [f"{self._count.headline}{beside}", balance_said(self._count.balance)]


class Milestones(Recorded[Milestone]):
    """What the work is towards, and what holds each up."""

    table, example = "milestone", "by < 2026-12-24"
    title = "milestones"
    empty = "no milestone yet: + sets one, as 'engine closed'"
    listed = MILESTONES

    def load(self, only: Only) -> None:  # noqa: ARG002
        """List every milestone, those reached last."""
        self.rows = milestones(self.desk.state, self.today)

    def ask(self, app: Host, row: Milestone, chain: Callable[[str], None]) -> bool:
        """Ask what is to be done about a milestone."""
        first = [(Choice("", "everything in front of it", "in refit order"), partial(chain, row.key))]
        said = partial(_held_up, app)
        ask_about(app, milestone.MILESTONE, milestone.QUESTIONS, row.key, said, first=first)
        return True

    def add(self, app: Host) -> None:
        """Ask for a milestone."""
        title = "What is the milestone, by when, what does it need back on?"
        ask_new(app, milestone.MILESTONE, milestone.SET, title, lambda key, _: _held_up(app, key))

    def detail(self, row: Milestone) -> list[str]:
        """Say the way to it."""
        names = [self.desk.position(each).name for each in row.held.steps]
        lines = [row.held.sentence]
        lines += [f"the longest way: {', then '.join(names)}"] if names and not row.doc.get("done") else []
        lines += ["it is a move of the machine"] if row.doc.get("move") else []
        return [*lines, "enter: its whole chain, reached, date, what it needs, what goes on after it"]

    def note(self) -> str:
        """Say how many."""
        return counted(len(self.rows), "milestone")


def _held_up(app: Host, key: str) -> str:
    return hold_up(app.desk.state, key, app.today()).sentence


class Ends(Recorded["Connection"]):
    """Wires, hoses and pipes by their two ends."""

    table, example = "connection", "machine = engine"
    heeds = ("machine",)
    title = "ends"
    empty = "no wire, hose or pipe is recorded: + adds one by its two ends"
    listed = CONNECTIONS

    def load(self, only: Only) -> None:
        """List every connection, those apart first."""
        found = [each for each in connections(self.desk.state) if only.machine in (None, each.machine)]
        self.rows = sorted(found, key=lambda each: each.joined)

    def ask(self, app: Host, row: Connection, chain: Callable[[str], None]) -> bool:  # noqa: ARG002
        """Ask which end is joined, or apart again."""
        names = {"a": f"end A ({row.a})", "b": f"end B ({row.b})"}
        choices = [
            Choice(end, f"{name} is {'apart after all' if row.is_joined(end) else 'joined'}")
            for end, name in names.items()
        ]
        both = "apart after all" if row.joined else "joined"
        choices.append(Choice("ab", f"both ends are {both}"))

        def chosen(ends: str | None) -> None:
            if ends is None:
                return
            apart = row.joined if ends == "ab" else row.is_joined(ends)
            day = None if apart else app.day().isoformat()
            said = "both ends" if ends == "ab" else names[ends]
            app.attempt(
                lambda: app.desk.do(connection.SET(row.key, ends=dict.fromkeys(ends, day))),
                f"{row.told}: {said} {'apart' if apart else 'joined'}",
            )

        app.push_screen(Pick(row.told, choices, digits=True), chosen)
        return True

    def add(self, app: Host) -> None:
        """Ask for a wire, hose or pipe."""
        title = "Which wire, hose or pipe, from where to where?"

        def said(key: str, _: object) -> str:
            return next(each.told for each in connections(app.desk.state) if each.key == key)

        ask_new(app, connection.CONNECTION, connection.CONNECT, title, said)

    def detail(self, row: Connection) -> list[str]:
        """Say both ends."""
        lines = [
            f"{row.told}, {row.state}",
            f"flag {row.mark}A on the end at {row.a} · flag {row.mark}B on the end at {row.b}",
        ]
        return [*lines, *([row.note] if row.note else []), "enter: joined, or apart again"]

    def note(self) -> str:
        """Say how many are apart."""
        apart = sum(1 for each in self.rows if not each.joined)
        return f"{apart} apart of {counted(len(self.rows), 'connection')}"


class Care(Recorded["CareOf"]):
    """Care that comes round again."""

    table, example = "care", "machine = engine"
    heeds = ("machine",)
    title = "care"
    empty = "no recurring care: + adds one, as 'renew fuel hoses, every 1825 days'"
    listed = CARE

    def load(self, only: Only) -> None:
        """List all, the most pressing first."""
        found = care(self.desk.state, self.today)
        self.rows = [each for each in found if only.machine in (None, each.machine)]

    def position(self, row: CareOf) -> str | None:
        """Return the part it is of."""
        return row.position

    def ask(self, app: Host, row: CareOf, chain: Callable[[str], None]) -> bool:  # noqa: ARG002
        """Ask what there is to say of care."""
        ask_about(app, cares.CARE, cares.QUESTIONS, row.key, partial(_comes_round, app))
        return True

    def add(self, app: Host) -> None:
        """Ask for care that comes round again."""
        title = "What comes round again, and how often?"
        ask_new(app, cares.CARE, cares.ADD, title, lambda key, _: _comes_round(app, key))

    def detail(self, row: CareOf) -> list[str]:
        """Say when it was last done."""
        done = f"last done {row.done}" if row.done else "no date it was last done"
        done += f" at {row.done_hours:g} h" if row.done_hours is not None else ""
        lines = [row.sentence, done, *([row.note] if row.note else [])]
        return [*lines, "enter: done today, or what is no longer to be had and what is used instead"]

    def note(self) -> str:
        """Say how many are overdue."""
        return f"{sum(1 for each in self.rows if each.overdue)} overdue of {len(self.rows)}"


def _comes_round(app: Host, key: str) -> str:
    return cares.sentence(app.desk.state, key, app.today())


VIEWS: tuple[type[View[object]], ...] = (  # type: ignore[assignment]
    Next,
    All,
    Shortages,
    Counted,
    Milestones,
    Ends,
    Care,
)
"""The lists, in the order the key goes through them."""
