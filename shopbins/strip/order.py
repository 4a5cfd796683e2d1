"""The live order: which positions are off, what each waits for, what can go back now. Kept up by ticks.

    order = state.follower(Order)
    order.now()            # the positions that can go back now, in refit order

The graph is made anew when positions or relations change (a group taken, split, moved in the tree). What
happens more often, putting something back, laying down, a shortage arriving, only touches its neighbours.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from shopbins.ledger.events import Change, Doc
from shopbins.ledger.snapshot import collector_off
from shopbins.ledger.state import State
from shopbins.strip.book import Book, Look, beside
from shopbins.strip.care import machine_of
from shopbins.strip.graph import Graph
from shopbins.strip.release import Tests
from shopbins.strip.tree import positions
from shopbins.strip.waits import Wait, own_waits

_SHAPE = ("parts", "origin", "order", "name", "brought", "counted")
_PART_SHAPE = ("new", "name", "origin", "asked", "after", "qty", "number", "days")


class Order:
    """Follows a state (see `State.follower`)."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._book = state.follower(Book)  # these are made first, so they hear of a change first
        state.follower(Tests)
        self._graph: Graph | None = None
        self._looks: list[Look] = []
        self._held_by: list[int] = []
        self._waits: list[tuple[Wait, ...] | None] = []
        self._day = date.today()
        self._free: set[int] = set()
        self._needs: dict[str, dict[str, Doc]] = {}
        self.lines: dict[str, list[Any]] = {}
        """The lines of the refit list by position, kept by `strip.refit` until something of them changes."""

    # -- following

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        if self._graph is None:
            return
        if any(_is_shape(change) for change in changes):
            self._graph = None
            return
        for change in changes:
            if change.table == "group":
                self._group_changed(change)
            elif change.table == "part":
                self._tick(change.key)
            elif change.table == "posting":
                for doc in (change.old, change.new):
                    for name in ("seat", "to"):
                        if doc is not None and doc.get(name):
                            self._tick(doc[name])
            elif change.table in ("inspection", "concession"):
                for doc in (change.old, change.new):
                    if doc is not None and self._state.has_group(doc["group"]):
                        for each in (doc["group"], *beside(self._state, doc["group"])):
                            for position in self._state.group(each).positions:
                                self._tick(position)
            elif change.table == "shortage":
                self._shortage_changed(change)
            elif change.table == "milestone":
                self._milestone_changed(change.key)
            elif change.table == "care":
                for doc in (change.old, change.new):
                    if doc is not None and doc.get("position"):
                        self._tick(doc["position"])
            elif change.table == "hours":
                for each in self._state.docs("care").values():
                    if each.get("position") and machine_of(self._state, each) == change.key:
                        self._tick(each["position"])

    def _group_changed(self, change: Change) -> None:
        doc = change.new or {}
        for position in {*doc.get("parts", (change.key,)), *(change.old or {}).get("parts", (change.key,))}:
            self._tick(position)
        if change.old is not None and change.old.get("where") is not doc.get("where"):
            for inside in self._state.descendants(change.key):
                for position in self._state.group(inside).positions:
                    self._tick(position)
            if left := ((change.old.get("where") or {}).get("group")):
                self._tick_on(left)

    def _shortage_changed(self, change: Change) -> None:
        touched = set[str]()
        for doc in (change.old, change.new):
            for position in () if doc is None else doc.get("positions", ()):
                touched.add(position)
        for position in touched:
            kept = self._needs.setdefault(position, {})
            if change.new is not None and position in change.new.get("positions", ()):
                kept[change.key] = change.new  # where it was: shortages keep the order they were recorded in
            else:
                kept.pop(change.key, None)
            self._tick(position)

    def _milestone_changed(self, key: str) -> None:
        graph = self.graph
        for each in graph.places.values():
            if key in each.after:
                self._tick(each.id)

    def _tick_on(self, group_id: str) -> None:
        """Look again at what holds something: a group, and all it is in or on."""
        for each in self._state.chain(group_id) if self._state.has_group(group_id) else ():
            for position in self._state.group(each).positions:
                self._tick(position, alone=True)

    def _tick(self, position: str, *, alone: bool = False) -> None:
        """Look at one position again, and tell those before it if it is done now, or no longer.

        What holds its groups is looked at too, unless `alone`: that waits for what they wait for.
        """
        graph = self._graph
        n = None if graph is None else graph.number.get(position)
        if graph is None or n is None:
            return
        was = self._looks[n].done
        self._looks[n] = look = self._book.look(position)
        self._waits[n] = None
        self._forget(n)
        self._sort_in(n)
        for group_id in self._book.groups(position):
            where = self._state.tables["group"].get(group_id, {}).get("where") or {}
            if not alone and "group" in where:
                self._tick_on(where["group"])
        if look.done != was:
            step = -1 if look.done else 1
            for first in graph.pred[n]:
                self._held_by[first] += step
                self._sort_in(first)

    def _forget(self, n: int) -> None:
        """Have the lines of a position, and of those that wait for it, worked out anew."""
        graph = self._graph
        assert graph is not None
        self.lines.pop(graph.ids[n], None)
        for first in graph.pred[n]:
            self.lines.pop(graph.ids[first], None)

    def new_day(self) -> None:
        """Ask again what hangs on the day: a concession may have run out."""
        if self._day != (today := date.today()):
            self._day, self._waits = today, [None] * len(self._waits)
            self.lines.clear()

    def is_held_up(self, position: str) -> bool:
        """Tell whether anything that goes on before a position is not on yet."""
        return self._held_by[self.graph.number[position]] > 0

    def _sort_in(self, n: int) -> None:
        look = self._looks[n]
        if not look.done and look.lying and self._held_by[n] == 0:
            self._free.add(n)
        else:
            self._free.discard(n)

    # -- the graph

    @property
    def graph(self) -> Graph:
        """The positions and what comes off before what."""
        if self._graph is None:
            self._make()
        assert self._graph is not None
        return self._graph

    def _make(self) -> None:
        with collector_off():
            self._make_now()

    def _make_now(self) -> None:
        state = self._state
        graph = Graph(positions(state), state.docs("before").values())
        self._looks = [self._book.look(each) for each in graph.places]
        done = [look.done for look in self._looks]
        self._held_by = [sum(1 for then in succ if not done[then]) for succ in graph.succ]
        self._waits = [None] * len(done)
        self.lines = {}
        self._needs = {}
        for key, doc in state.docs("shortage").items():
            for position in doc.get("positions", ()):
                self._needs.setdefault(position, {})[key] = doc
        self._free = set()
        self._graph = graph
        for n in range(len(done)):
            self._sort_in(n)

    # -- asking

    def look(self, position: str) -> Look:
        """Return what a position's groups come to; KeyError where there is no such position."""
        graph = self.graph
        return self._looks[graph.number[position]]

    @property
    def looks(self) -> list[Look]:
        """Every position's, in the order of the graph's numbers. Not to be changed."""
        assert self.graph
        return self._looks

    def needs(self, position: str) -> dict[str, Doc]:
        """Return the shortages of a position, by id, those here and struck out included."""
        graph = self.graph
        assert position in graph.number
        return dict(self._needs.get(position, {}))

    def waits(self, position: str) -> tuple[Wait, ...]:
        """Return what a position itself waits for: work, shortages, what is away, milestones. Not others."""
        graph = self.graph
        n = graph.number[position]
        found = self._waits[n]
        if found is None:
            needs = self._needs.get(position, {})
            found = own_waits(self._state, graph.places[position], self._looks[n], needs, self._day)
            self._waits[n] = found
        return found

    def waits_of(self, position: str, group_id: str) -> tuple[Wait, ...]:
        """Return what one group of a position waits for, whatever its other groups, or pieces lacking, do."""
        own = f"group:{group_id}"
        return tuple(
            w
            for w in self.waits(position)
            if w.subject == own or (not w.subject.startswith("group:") and w.kind != "unfilled")
        )

    def held_up_by(self, position: str) -> list[str]:
        """Return the positions that go on before this one and are not on yet, in refit order."""
        graph = self.graph
        n = graph.number[position]
        waiting = [then for then in graph.succ[n] if not self._looks[then].done]
        return [graph.ids[then] for then in sorted(waiting, key=graph.refit_key)]

    def now(self) -> list[str]:
        """Return the positions that can go back now, in refit order: nothing is waited for."""
        graph = self.graph
        self.new_day()
        free = sorted(self._free, key=graph.refit_key)
        return [graph.ids[n] for n in free if self._can_go(n)]

    def _can_go(self, n: int) -> bool:
        """Tell whether any group of a position waits for nothing."""
        position = self.graph.ids[n]
        if not self.waits(position):
            return True
        return any(not self.waits_of(position, each) for each in self._looks[n].lying)

    def open(self) -> list[str]:
        """Return the positions not done, in refit order: what goes on first comes first."""
        graph = self.graph
        self.new_day()
        left = [n for n, look in enumerate(self._looks) if not look.done]
        return [graph.ids[n] for n in sorted(left, key=graph.refit_key)]


def _is_shape(change: Change) -> bool:
    """Tell whether a change alters which positions there are, or what comes before what."""
    if change.table in ("before", "list"):
        return True
    names = _SHAPE if change.table == "group" else _PART_SHAPE if change.table == "part" else ()
    if not names:
        return False
    old, new = change.old, change.new
    if change.table == "group" and (old is None or new is None):
        return True
    old, new = old or {}, new or {}
    return any(old.get(name) != new.get(name) for name in names)
