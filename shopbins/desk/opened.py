"""An open shop with its ledger: what is there, recording, the audit. The parts of the desk build on it."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, Self

from shopbins.desk import words
from shopbins.desk.names import Names
from shopbins.desk.problems import translated
from shopbins.desk.shopfile import ShopFile
from shopbins.desk.unexplained import newly_unexplained
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import LedgerBusy, LedgerProblem, Refused

if TYPE_CHECKING:
    from tinydb.table import Table

    from shopbins.ledger.events import Draft, Event
    from shopbins.ledger.state import State
    from shopbins.records.record import Wanted
    from shopbins.records.tables import TableColumn
    from shopbins.records.where import Matches
    from shopbins.rules.auditing import Heard
    from shopbins.rules.auditor import Auditor
    from shopbins.rules.finding import Finding
    from shopbins.scene.scene import Scene
    from shopbins.search.search import Index
    from shopbins.shop.model import Shop
    from shopbins.shop.problems import Problem


class Version(NamedTuple):
    """Which state of ledger and shop file is in use: what was drawn from one is old once another is."""

    generation: int
    seq: int
    readings: int


class OpenDesk:
    """Shop file and ledger, open; every part of the desk builds on it."""

    def __init__(self, file: ShopFile, ledger: Ledger) -> None:
        self._file = file
        self.ledger = ledger
        ledger.finish = self._finished
        self.day: date | None = None
        self.day_anyway = False
        self._scene: tuple[Shop, State, int, Scene] | None = None
        self._index: tuple[int, int, Index] | None = None
        self._auditor: tuple[Auditor, tuple[int, int] | None] | None = None

    @classmethod
    def open(
        cls,
        shop_path: str | os.PathLike[str],
        ledger_dir: str | os.PathLike[str] | None = None,
        *,
        by: str | None = None,
        readonly: bool = False,
        look: bool = False,
    ) -> Self:
        """Open a shop file and its ledger (`<stem>.ledger` beside it unless given).

        With `look` one that cannot be written to (damaged, in a read-only folder) is opened to look only, and
        `only_looking` says why; a shop file that is wrong but can be drawn is opened, to be put right on
        Draw. Raises ShopProblems when the file is wrong, BadInput, StorageFailed.
        """
        path = Path(shop_path)
        folder = Path(ledger_dir) if ledger_dir is not None else path.with_name(path.stem + ".ledger")
        file = ShopFile(path, folder, mend=look)
        with translated():
            who = by or whoever()
            try:
                ledger = Ledger.open(folder, by=who, prefix=file.prefix, readonly=readonly)
            except LedgerBusy:
                raise
            except LedgerProblem as problem:
                if not look:
                    raise
                ledger = Ledger.open(folder, by=who, prefix=file.prefix, readonly=True)
                ledger.why_readonly = str(problem)
            if look and (wrong := ledger.wrong_shape()):
                ledger.close()
                raise LedgerProblem(f"{wrong} ('shopbins rescue' says what can be saved)")
        file.remember(folder)
        ledger.notes += newly_unexplained(ledger.state, folder)
        return cls(file, ledger)

    @property
    def only_looking(self) -> tuple[str, ...]:
        """Why nothing can be recorded, a line each; empty where it can."""
        if why := self.ledger.exchanged or (self.ledger.broken if not self.ledger.damage else ""):
            return (why,)
        return self.ledger.damage or ((self.ledger.why_readonly,) if self.ledger.why_readonly else ())

    def take_what_is_there(self) -> None:
        """Go on with the journal that has taken the place of the one recorded in."""
        with translated():
            self.ledger.take_what_is_there()

    def remarks(self) -> list[str]:
        """Take what the ledger has to remark: a line each, said once."""
        told = list(dict.fromkeys(self.ledger.notes))
        self.ledger.notes.clear()
        return told

    def close(self) -> None:
        """Let go of the ledger."""
        with translated():
            self.ledger.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # -- what is there

    @property
    def shop(self) -> Shop:
        """The shop as last read without a problem."""
        return self._file.shop

    @property
    def shop_path(self) -> Path:
        """Where the shop file is."""
        return self._file.path

    @property
    def shop_mending(self) -> bool:
        """Whether the shop is the file as it is, wrong, as it was never read without a problem."""
        return self._file.mending

    @property
    def shop_problems(self) -> tuple[Problem, ...]:
        """What is wrong with the shop file as it is now; the last good reading stays in use."""
        return self._file.problems

    @property
    def state(self) -> State:
        """The ledger's documents, live: a worker thread takes a `copy()`."""
        return self.ledger.state

    @property
    def seq(self) -> int:
        """The number of the last event."""
        return self.ledger.seq

    @property
    def version(self) -> Version:
        """Which state this is, whoever read it: a refused act, too, takes in what others recorded."""
        return Version(self.ledger.generation, self.seq, self._file.readings)

    def others_since(self, version: Version) -> int:
        """Return how many of the events since a version were not recorded through this desk."""
        return sum(not self.ledger.is_own(seq) for seq in range(version.seq + 1, self.seq + 1))

    @property
    def today(self) -> date:
        """The day things are done on: today, unless what is recorded was done on another (`day`)."""
        return self.day or date.today()

    @property
    def on(self) -> str:
        """The same, as documents have it."""
        return self.today.isoformat()

    @property
    def by(self) -> str:
        """Who works here."""
        return self.ledger.by

    def refresh(self) -> list[Event] | None:
        """Take in what other terminals recorded and an edited shop file; None when nothing is new."""
        with translated():
            events = [*self.ledger.look_over(), *self.ledger.poll()]
        return events if self._file.look_again() or events else None

    def scene(self) -> Scene:
        """Return shop and ledger joined; the same object until one of them changes."""
        from shopbins.scene.scene import build

        shop, state = self.shop, self.state
        kept = self._scene
        if kept is None or kept[0] is not shop or kept[1] is not state or kept[2] != state.seq:
            kept = self._scene = (shop, state, state.seq, build(shop, state.copy()))
        return kept[3]

    @property
    def names(self) -> Names:
        """Who and where is meant by what was typed or scanned."""
        return Names(self.state, self.shop, self.by)

    def table(self, name: str) -> Table:
        """Return a table of the ledger as TinyDB knows it, to be searched; what it gives are copies."""
        from tinydb import TinyDB
        from tinydb.storages import MemoryStorage

        if not self.ledger.uuid:  # opened to look, where nothing was recorded yet
            return TinyDB(storage=MemoryStorage).table(name)
        with translated():
            return self.ledger.table(name)

    def columns(self, table: str) -> dict[str, TableColumn]:
        """Return the columns of a table by name, as `shopbins list` shows them."""
        from shopbins.records.tables import PLACE_COLUMNS, columns

        return PLACE_COLUMNS if table == "place" else columns(self.state, table)

    def search(self, table: str, conditions: Sequence[str]) -> Matches:
        """Return the documents of a table that meet conditions, as 'mass > 20 kg'; BadInput, NotDone."""
        from shopbins.desk.placelist import places
        from shopbins.records.where import read_term, search, search_docs

        known = self.columns(table)
        with translated():
            terms = [read_term(text, known, self.names, date.today()) for text in conditions]
        return (
            search_docs(places(self.scene()), terms) if table == "place" else search(self.table(table), terms)
        )

    # -- changing

    def do(self, *wanted: Wanted) -> Event:
        """Do one act, or several as one event: all names are understood, then all is judged under the lock.

        Nothing is written where any of them cannot be: NotDone, BadInput or StorageFailed say why.
        """
        from shopbins.records.record import together

        with translated():
            works = [each.meant(self.names, self.today) for each in wanted]
        return self.record(lambda state: together(state, works))

    def record(self, work: Callable[[State], Draft]) -> Event:
        """Record what judges under the lock; NotDone, BadInput or StorageFailed say why not.

        Done on another day (`day`) it is refused before the day of a later act on the same.
        """
        with translated():
            return self.ledger.transact(work)

    def _finished(self, state: State, draft: Draft) -> Draft:
        """See to what the shop file asks of parts, and date what is recorded."""
        if (asked := self.shop.asked).anything:
            from shopbins.records.asked import as_asked

            draft = as_asked(state, draft, asked)
        return self._on_its_day(state, draft)

    def _on_its_day(self, state: State, draft: Draft) -> Draft:
        """Date what is recorded; refused where a later act on the same is known, unless somebody said why."""
        if self.day is None:
            return draft
        for subject in draft.subjects:
            if not subject.startswith(("group:", "connection:", "milestone:")):
                continue
            later = [e for e in self.ledger.history(subject) if (e.day or words.day_of(e.at)) > self.on]
            if later and not self.day_anyway:
                raise Refused(
                    f"on {self.on} is before {later[-1].by} {words.deed(state, later[-1])} "
                    f"({later[-1].day or words.day_of(later[-1].at)}): "
                    "say so with a reason (--reason, or --anyway) if it was so"
                )
        return draft._replace(day=self.on)

    # -- judging the whole shop

    def audit(self, today: date | None = None, heard: Heard | None = None) -> list[Finding]:
        """Return every rule's findings over the whole shop, worst first; quick after a small change.

        `heard` as `rules.auditing.audit` has it.
        """
        from shopbins.rules.auditor import Auditor

        scene = self.scene()
        auditor, seq = self._auditor or (Auditor(), None)
        self._auditor = None  # whoever stops it begins anew
        subjects: set[str] | None = None
        if seq is not None and seq[1] == self.ledger.generation:
            with translated():
                subjects = {each for event in self.ledger.events(seq[0]) for each in event.subjects}
        found = auditor.audit(scene, today or date.today(), subjects, heard)
        self._auditor = (auditor, (scene.state.seq, self.ledger.generation))
        return found

    def forget_audit(self) -> None:
        """Let the next audit look at everything again."""
        self._auditor = None


def whoever() -> str:
    """Return who works here: $SHOPBINS_BY, else the login; where there is neither, nobody."""
    given = os.environ.get("SHOPBINS_BY", "").strip()
    if given:
        return given
    for name in ("LOGNAME", "USER", "LNAME", "USERNAME"):
        if os.environ.get(name):
            return os.environ[name]
    with contextlib.suppress(ImportError, KeyError, OSError):
        import pwd

        if name := pwd.getpwuid(os.getuid()).pw_name:
            return name
    from shopbins.records.accepted import NOBODY

    return NOBODY
