"""The desk: one open shop with its ledger, as the screen and the command line both use it.

Every change goes through here once: judged and recorded under the ledger's lock by the layers below.
Problems come out as DeskError with plain lines; nothing else is raised for what a user may do wrong.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar

from shopbins.desk import words
from shopbins.desk.names import Names
from shopbins.desk.papers import PapersDesk
from shopbins.desk.problems import NotDone, translated
from shopbins.desk.shopfile import ShopFile
from shopbins.desk.strip import StripDesk
from shopbins.desk.tagging import TagDesk
from shopbins.desk.taking import TakeDesk
from shopbins.desk.unexplained import newly_unexplained
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Conflict, LedgerBusy, LedgerProblem, Refused
from shopbins.ledger.whereabouts import place_said

if TYPE_CHECKING:
    from tinydb.table import Table

    from shopbins.ledger.events import Draft, Event
    from shopbins.ledger.state import State
    from shopbins.placing.recording import Laid, Reasons
    from shopbins.records.accepted import Acceptable
    from shopbins.records.record import Wanted
    from shopbins.records.tables import TableColumn
    from shopbins.records.where import Matches
    from shopbins.rules.auditing import Heard
    from shopbins.rules.finding import Finding
    from shopbins.rules.keeping import Auditor
    from shopbins.rules.shuffling import Shuffle
    from shopbins.scene.scene import Scene
    from shopbins.search.search import Hit, Index
    from shopbins.shop.model import Shop
    from shopbins.shop.problems import Problem

T = TypeVar("T")


class Desk(StripDesk, TagDesk, PapersDesk, TakeDesk):
    """An open shop. Use `Desk.open`; close it when done (or use it in a `with`)."""

    def __init__(self, file: ShopFile, ledger: Ledger) -> None:
        self._file = file
        self.ledger = ledger
        ledger.finish = self._on_its_day
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
    ) -> Desk:
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

    def __enter__(self) -> Desk:
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

    def put(
        self,
        who: str,
        zone: str,
        level: str = "",
        *,
        x_mm: float | None = None,
        y_mm: float | None = None,
        turn_deg: float = 0.0,
        override: Reasons = None,
        dry_run: bool = False,
    ) -> Laid:
        """Judge and lay down in one go: a group by id, or an unused blank tag by its code.

        Without a place in the zone the program chooses one where one is needed; without a level the best.
        """
        from shopbins.placing.laying import lay_down

        target = _target(zone, level, x_mm, y_mm, turn_deg)
        with translated():
            return lay_down(
                self.ledger, self.shop, who, target, override=override, dry_run=dry_run, day=self.day
            )

    def judge(
        self,
        group_id: str,
        zone: str,
        level: str = "",
        x_mm: float | None = None,
        y_mm: float | None = None,
        turn_deg: float = 0.0,
        *,
        thorough: bool = False,
    ) -> list[Finding]:
        """Return what laying the group there would cause; nothing is written.

        `thorough` looks at ways out and shuffles too, as `put` does: too slow for every step of carrying.
        """
        from shopbins.placing.judging import judge

        target = _target(zone, level, x_mm, y_mm, turn_deg)
        return judge(self.scene(), group_id, target, thorough=thorough)

    def shuffle_for(
        self, group_id: str, zone: str, level: str = "", *, seconds: float = 0.3
    ) -> Shuffle | None:
        """Say whether a group would fit on a surface if what lies there were moved, and which moves.

        None where that cannot be asked: an open floor, a surface or a thing that is no rectangle. NotDone
        where there is no such group or place.
        """
        from shopbins.rules.shuffling import shuffle_for

        scene = self.scene()
        there = scene.zone(zone)
        surface = None if there is None else there.level(level)
        if there is None or surface is None or not self.state.has_group(group_id):
            raise NotDone(f"there is no part {group_id} or no place {place_said(zone, level)}")
        return shuffle_for(scene, scene.group(group_id), there, surface, seconds=seconds)

    def put_into(
        self,
        who: str,
        other: str,
        how: Literal["in", "on"] = "in",
        *,
        override: Reasons = None,
        dry_run: bool = False,
    ) -> Laid:
        """Put one group (by id) into or onto another, judged by what it does to where that lies."""
        from shopbins.placing.nesting import put_into

        with translated():
            return put_into(
                self.ledger, self.shop, who, other, how, override=override, dry_run=dry_run, day=self.day
            )

    def accept(self, what: Acceptable, why: str, *, for_now: bool = False, day: date | None = None) -> int:
        """Put on record that whoever works here lets a finding, a note or a condition of a move through."""
        from shopbins.records.accepted import accept

        day = day or self.today
        return self.record(lambda state: accept(state, what, why, by=self.by, day=day, for_now=for_now)).seq

    def move_thing(
        self,
        key: str,
        x_mm: float,
        y_mm: float,
        turn_deg: float = 0.0,
        *,
        override: Reasons = None,
        dry_run: bool = False,
    ) -> Laid:
        """Shift a movable fixture or bench, judged like a laying-down; what lies on it goes along."""
        from shopbins.placing.shifting import shift_thing

        with translated():
            return shift_thing(
                self.ledger, self.shop, key, (x_mm, y_mm), turn_deg,
                override=override, dry_run=dry_run, day=self.day,
            )  # fmt: skip

    # -- taking back, looking back

    def undo(
        self, *, override: Reasons = None, day: date | None = None, reason: str = ""
    ) -> tuple[Event, str]:
        """Take back my last change; return the new event and a sentence saying what was taken back.

        An inspection that rejects is taken back only with a `reason`, which is kept.

        NotDone where there is nothing, where somebody else built on it, or where what goes back to its old
        place would be a stop there now that `override` does not accept.
        """
        from shopbins.placing.takingback import check_on

        placed = check_on(self.shop, self.by, override, day or self.day)

        def check(state: State, draft: Draft) -> Draft:
            from shopbins.records.inspection import undone

            return undone(state, placed(state, draft), reason, by=self.by, on=self.on)

        with translated(), self._naming_who():
            event, taken = self.ledger.undo(check)
        return event, words.deed(self.state, taken)

    def redo(self, *, override: Reasons = None, day: date | None = None) -> tuple[Event, str]:
        """Take back my last undo; NotDone as for `undo`."""
        from shopbins.placing.takingback import check_on

        with translated(), self._naming_who():
            event, undone = self.ledger.redo(check_on(self.shop, self.by, override, day or self.day))
        return event, words.deed(self.state, undone)

    @contextmanager
    def _naming_who(self) -> Iterator[None]:
        """Say of a conflict first who did what: at the foot of a narrow screen the rest may be cut off."""
        try:
            yield
        except Conflict as problem:
            done = words.deed(self.state, problem.event)
            raise NotDone(f"not taken back: since then {problem.event.by} {done}") from None

    def history(self, group_id: str) -> list[tuple[Event, str]]:
        """Return a group's events, oldest first, each with a sentence."""
        with translated():
            events = self.ledger.history(f"group:{group_id}")
        return [(event, words.deed(self.state, event, about=group_id)) for event in events]

    def last_steps(self, most: int = 5) -> list[tuple[Event, str]]:
        """Return the last events, oldest first, each with a sentence."""
        with translated():
            events = self.ledger.recent(most)
        return [(event, words.deed(self.state, event)) for event in events]

    # -- judging the whole shop

    def audit(self, today: date | None = None, heard: Heard | None = None) -> list[Finding]:
        """Return every rule's findings over the whole shop, worst first; quick after a small change.

        `heard` as `rules.auditing.audit` has it.
        """
        from shopbins.rules.keeping import Auditor

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

    # -- finding

    def index(self) -> Index:
        """Return the search index, kept up with the ledger."""
        from shopbins.search.search import Index

        seq, generation = self.seq, self.ledger.generation
        kept = self._index
        if kept is None or kept[1] != generation:
            index = Index(words.row(self.state, group) for group in self.state.groups())
        elif kept[0] == seq:
            return kept[2]
        else:
            index = kept[2]
            self._reindex(index, self._touched_since(kept[0]))
        self._index = (seq, generation, index)
        return index

    def _touched_since(self, seq: int) -> set[str]:
        """Return the ids of groups changed since, and of all that lie in and on them."""
        ids: set[str] = set()
        for event in self.ledger.events(seq):
            for subject in event.subjects:
                table, _, key = subject.partition(":")
                if table == "group" and key not in ids:
                    ids.add(key)
                    if self.state.has_group(key):
                        ids.update(self.state.descendants(key))
        return ids

    def _reindex(self, index: Index, ids: set[str]) -> None:
        for each in ids:
            if self.state.has_group(each):
                index.put(words.row(self.state, self.state.group(each)))
            else:
                index.drop(each)

    def find(self, query: str, zone: str | None = None, limit: int = 50) -> list[Hit]:
        """Return the groups that match the words, best first; only those in a zone if given."""
        within = None if zone is None else self.ids_in(zone)
        return self.index().search(query, limit=limit, within=within)

    def find_once(
        self, query: str, zone: str | None = None, limit: int = 50, level: str | None = None
    ) -> list[Hit]:
        """Find without building the index: quicker for a single question."""
        from shopbins.search.search import find_once

        state = self.state
        ids = state.group_ids() if zone is None else self.ids_in(zone, level)
        return find_once((words.row(state, state.group(each)) for each in ids), query, limit)

    def ids_in(self, zone: str, level: str | None = None) -> list[str]:
        """Return the ids of all groups in a zone, those in and on other groups included."""
        here = self.state.in_zone(zone, level or None)
        return [*here, *(below for each in here for below in self.state.descendants(each))]

    def origins(self) -> list[tuple[str, ...]]:
        """Return the origins in use, those used last first."""
        known: dict[tuple[str, ...], str] = {}
        for group in self.state.groups():
            if group.origin:
                known[group.origin] = max(known.get(group.origin, ""), group.taken_at or "")
        return sorted(known, key=lambda each: known[each], reverse=True)


def _target(zone: str, level: str, x_mm: float | None, y_mm: float | None, turn_deg: float) -> InZone:
    return InZone(zone, level, x_mm, y_mm, turn_deg, measured=x_mm is not None)


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
