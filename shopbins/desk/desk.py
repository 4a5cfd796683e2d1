"""The desk: one open shop with its ledger, as the screen and the command line both use it.

Every change goes through here once: judged and recorded under the ledger's lock by the layers below.
Problems come out as DeskError with plain lines; nothing else is raised for what a user may do wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING, Literal

from shopbins.desk import words
from shopbins.desk.papers import PapersDesk
from shopbins.desk.problems import NotDone, translated
from shopbins.desk.tagging import TagDesk
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Conflict

if TYPE_CHECKING:
    from shopbins.ledger.events import Draft, Event
    from shopbins.ledger.state import State
    from shopbins.placing.recording import Around, Laid, Reasons
    from shopbins.records.accepted import Acceptable
    from shopbins.rules.finding import Finding
    from shopbins.search.search import Hit, Index


class Desk(PapersDesk, TagDesk):
    """An open shop. Use `Desk.open`; close it when done (or use it in a `with`)."""

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
        around: Around | None = None,
    ) -> Laid:
        """Judge and lay down in one go: a group by id, or an unused blank tag by its code.

        Without a place in the zone the program chooses one where one is needed; without a level the best.
        `around` may record more in the same event.
        """
        from shopbins.placing.laying import lay_down
        from shopbins.placing.recording import alone

        target = _target(zone, level, x_mm, y_mm, turn_deg)
        with translated():
            return lay_down(
                self.ledger, self.shop, who, target,
                override=override, dry_run=dry_run, day=self.day, around=around or alone,
            )  # fmt: skip

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
        return self.accept_each([what], why, for_now=for_now, day=day)

    def accept_each(
        self, every: Sequence[Acceptable], why: str, *, for_now: bool = False, day: date | None = None
    ) -> int:
        """Put on record that several are let through for one reason: each by itself, all in one event."""
        from shopbins.records.accepted import accept_each

        day = day or self.today
        return self.record(
            lambda state: accept_each(state, every, why, by=self.by, day=day, for_now=for_now)
        ).seq

    def move_thing(
        self,
        key: str,
        x_mm: float,
        y_mm: float,
        turn_deg: float = 0.0,
        *,
        override: Reasons = None,
        dry_run: bool = False,
        around: Around | None = None,
    ) -> Laid:
        """Shift a movable fixture or bench, judged like a laying-down; what lies on it goes along."""
        from shopbins.placing.recording import alone
        from shopbins.placing.shifting import shift_thing

        with translated():
            return shift_thing(
                self.ledger, self.shop, key, (x_mm, y_mm), turn_deg,
                override=override, dry_run=dry_run, day=self.day, around=around or alone,
            )  # fmt: skip

    # -- taking back, looking back

    def undo(
        self, *, override: Reasons = None, day: date | None = None, reason: str = ""
    ) -> tuple[Event, str]:
        """Take back my last change; return the new event and a sentence saying what was taken back.

        What rejects, an order of work, what goes for good and an open point of work are taken back only with
        a `reason`, which is kept.

        NotDone where there is nothing, where somebody else built on it, or where what goes back to its old
        place would be a stop there now that `override` does not accept.
        """
        from shopbins.placing.takingback import check_on

        placed = check_on(self.shop, self.by, override, day or self.day)

        def check(state: State, draft: Draft) -> Draft:
            from shopbins.records.undoing import undone

            return undone(state, placed(state, draft), reason, by=self.by, on=self.on)

        with translated(), self._naming_who():
            event, taken = self.ledger.undo(check)
        return event, words.deed(self.state, taken)

    def redo(self, *, override: Reasons = None, day: date | None = None) -> tuple[Event, str]:
        """Take back my last undo; NotDone as for `undo`."""
        from shopbins.placing.takingback import check_on

        placed = check_on(self.shop, self.by, override, day or self.day)

        def check(state: State, draft: Draft) -> Draft:
            from shopbins.records.undoing import redone

            return redone(state, placed(state, draft), self.today)

        with translated(), self._naming_who():
            event, undone = self.ledger.redo(check)
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
                known[group.origin] = max(known.pop(group.origin, ""), group.taken_at or "")
        return sorted(known, key=known.__getitem__)[::-1]


def _target(zone: str, level: str, x_mm: float | None, y_mm: float | None, turn_deg: float) -> InZone:
    return InZone(zone, level, x_mm, y_mm, turn_deg, measured=x_mm is not None)
