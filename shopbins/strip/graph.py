"""What came, or has to come, off before what: the positions of all machines as one graph without circles.

Three sorts of edges X -> Y, read 'X comes off before Y' (and, going back, 'Y goes on before X'):

`told`   a relation somebody recorded ("what had to come off first?"). Holds.
`nested` Y came out of the assembly X, or of one in it, after X was off: X is complete only with Y. Holds.
`usual`  nobody was asked about Y, so within one assembly the recorded order is taken: every group of the
         assembly that came off before it. It is said to be only that, and gives way to any answer about Y,
         also 'nothing'. Between assemblies the recorded order says nothing.

All edges follow one order, `rank`: the recorded one, corrected where relations say otherwise (least recorded
number first among what is free; Kahn 1962). So the three sorts together can make no circle. Relations that
make one among themselves are refused when recorded; should two terminals' undoing ever leave one, the
positions in it are `circles`, and edges against the rank are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from heapq import heapify, heappop, heappush
from typing import Literal

from shopbins.ledger.model import Doc
from shopbins.strip.tree import Path, Position, assemblies

Sort = Literal["told", "nested", "usual"]
FAR = 1 << 60


class Graph:
    """Positions by number, with their edges as lists of numbers; made at once, never changed."""

    __slots__ = (
        *("_certain", "_hosts", "assembly", "circles", "held", "ids", "number", "places", "pred", "rank"),
        "succ",
    )

    def __init__(self, places: Mapping[str, Position], relations: Iterable[Doc]) -> None:
        self.places = places
        self.ids = list(places)
        self.number = {key: n for n, key in enumerate(self.ids)}
        size = len(self.ids)
        self.held: dict[tuple[int, int], Sort] = {}
        self.succ: list[list[int]] = [[] for _ in range(size)]
        self.pred: list[list[int]] = [[] for _ in range(size)]
        self._certain: tuple[list[list[int]], list[list[int]]] | None = None
        get, held, succ, pred = self.number.get, self.held, self.succ, self.pred
        for doc in relations:  # as `_add`, thirty thousand times
            first, then = get(doc["a"]), get(doc["b"])
            if first is not None and then is not None and first != then and (first, then) not in held:
                held[first, then] = "told"
                succ[first].append(then)
                pred[then].append(first)
        told = [bool(each) for each in self.pred]
        self.circles: list[str] = []
        self.rank = self._ranked()
        self._drop_against_rank()
        self.assembly = assemblies(places)
        line = self._off_in_order()
        self._nest(line, told)
        self._follow_order(line, told)

    # -- making it

    def _add(self, first: int, then: int, sort: Sort) -> None:
        pair = (first, then)
        if pair not in self.held and first != then:
            self.held[pair] = sort
            self.succ[first].append(then)
            self.pred[then].append(first)

    def _ranked(self) -> list[int]:
        """Return the place of each position in the corrected order of removal."""
        keys = [("~", FAR) if each.order is None else (each.day, each.order) for each in self.places.values()]
        by_record = sorted(range(len(keys)), key=keys.__getitem__)
        recorded = [0] * len(keys)
        for place, n in enumerate(by_record):
            recorded[n] = place
        if all(recorded[first] < recorded[then] for first, then in self.held):
            self.circles = []
            return recorded  # the least recorded number is always free
        waiting = [len(each) for each in self.pred]
        free = [recorded[n] for n, count in enumerate(waiting) if count == 0]
        heapify(free)
        rank, place = [-1] * len(keys), 0
        while free:
            n = by_record[heappop(free)]
            rank[n] = place
            place += 1
            for then in self.succ[n]:
                waiting[then] -= 1
                if waiting[then] == 0:
                    heappush(free, recorded[then])
        left = [n for n in by_record if rank[n] < 0]
        for n in left:
            rank[n] = place
            place += 1
        self.circles = [self.ids[n] for n in left]
        return rank

    def _drop_against_rank(self) -> None:
        if not self.circles:
            return
        rank = self.rank
        for first, then in [pair for pair in self.held if rank[pair[0]] > rank[pair[1]]]:
            del self.held[(first, then)]
            self.succ[first].remove(then)
            self.pred[then].remove(first)

    def _off_in_order(self) -> list[int]:
        """Return the positions that came off in a known order, by rank."""
        off = [n for n, each in enumerate(self.places.values()) if each.groups and each.order is not None]
        return sorted(off, key=self.rank.__getitem__)

    def _nest(self, line: list[int], told: list[bool]) -> None:
        """Add what follows from an assembly that came off as one: what came out of it goes in first."""
        self._hosts = {each.path: n for n, each in enumerate(self.places.values()) if each.groups}
        rank, ids = self.rank, self.ids
        for n in line:
            host = self._host(n)
            if host is None or self.places[ids[host]].order is None:
                continue
            if rank[host] < rank[n]:
                self._add(host, n, "nested")
            elif not told[host]:
                self._add(n, host, "usual")

    def _follow_order(self, line: list[int], told: list[bool]) -> None:
        """Add the recorded order within each assembly, where nobody answered what had to come off first."""
        inside: dict[Path, list[int]] = {}
        ids, assembly, places = self.ids, self.assembly, self.places
        for n in line:
            inside.setdefault(assembly[ids[n]], []).append(n)
        for those in inside.values():
            since: list[int] = []
            for n in those:
                if told[n] or places[ids[n]].asked:
                    since.append(n)
                    continue
                for first in since:
                    self._add(first, n, "usual")
                since = [n]

    # -- asking it

    @property
    def certain(self) -> tuple[list[list[int]], list[list[int]]]:
        """The ways on and back without those only the recorded order gives: as `succ` and `pred`."""
        if self._certain is None:
            on: list[list[int]] = [[] for _ in self.ids]
            back: list[list[int]] = [[] for _ in self.ids]
            for (first, then), sort in self.held.items():
                if sort != "usual":
                    on[first].append(then)
                    back[then].append(first)
            self._certain = on, back
        return self._certain

    def host(self, position: str) -> str | None:
        """Return the position whose group is the nearest assembly this one is in, if one came off as such."""
        found = self._host(self.number[position])
        return None if found is None else self.ids[found]

    def _host(self, n: int) -> int | None:
        path, get = self.assembly[self.ids[n]], self._hosts.get
        while path:
            found = get(path)
            if found is not None and found != n:
                return found
            path = path[:-1]
        return None

    def before(self, position: str, *, usual: bool = True) -> list[str]:
        """Return everything that comes off before a position, in order of removal."""
        return self._named(self.before_numbers(self.number[position], usual=usual))

    def before_numbers(self, n: int, *, usual: bool = True) -> list[int]:
        """Return what `before` does, by number."""
        return self._closure([n], self.pred if usual else self.certain[1])

    def after(self, start: Iterable[str], *, usual: bool = True) -> list[str]:
        """Return everything that goes on before any of these positions, in order of putting back."""
        numbers = [self.number[each] for each in start if each in self.number]
        return self._named(self._closure(numbers, self.succ if usual else self.certain[0]))[::-1]

    def _named(self, numbers: Iterable[int]) -> list[str]:
        return list(map(self.ids.__getitem__, numbers))

    def _closure(self, start: list[int], ways: list[list[int]]) -> list[int]:
        """Return everything reached from `start`, without it, by rank."""
        todo, own = list(start), set(start)
        seen = set(own)
        while todo:
            for other in ways[todo.pop()]:
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        return sorted(seen - own, key=self.rank.__getitem__)

    def refit_key(self, n: int) -> tuple[bool, int]:
        """Return what positions are sorted by to go back: against the rank; what nothing is known of last."""
        unknown = self.places[self.ids[n]].order is None and not self.pred[n] and not self.succ[n]
        return unknown, -self.rank[n]

    def sort_of(self, first: str, then: str) -> Sort:
        """Return why the first comes off before the other; KeyError if it need not."""
        return self.held[(self.number[first], self.number[then])]


def told_way(relations: Iterable[Doc], start: str, end: str) -> list[str] | None:
    """Return a shortest way start, ..., end along recorded relations, None where there is none."""
    then: dict[str, list[str]] = {}
    for doc in relations:
        then.setdefault(doc["a"], []).append(doc["b"])
    came: dict[str, str | None] = {start: None}
    line = [start]
    for each in line:
        if each == end:
            break
        for other in then.get(each, ()):
            if other not in came:
                came[other] = each
                line.append(other)
    if end not in came:
        return None
    way: list[str] = []
    at: str | None = end
    while at is not None:
        way.append(at)
        at = came[at]
    return way[::-1]
