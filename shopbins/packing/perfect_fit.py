"""Try every way to lay a few rectangles down: finds perfect fillings, and proves that there is no layout.

Any layout can be pushed down and left until every piece rests on something and leans on something; its
pieces, sorted by lower edge and then from the left, can then be laid one by one on the lowest stretch of
the skyline, each at an x that is the left wall or a blocked part's right side plus widths of other pieces.
So trying all pieces at all such x on the lowest stretch, and leaving the rest of it empty, misses nothing.
Where nothing may stay empty, a piece must lie at the left end of the stretch, which leaves few ways.
"""

from __future__ import annotations

from collections.abc import Callable

from shopbins.packing.skyline import WALL, Rect, Spot, Task

MOST_SUMS = 4096
LOOK_EVERY = 256


class Stopped(Exception):  # noqa: N818 - it is no error
    """The time is over before every way was tried."""


def try_all(task: Task, stop: Callable[[], bool]) -> list[Spot] | None:
    """Return a layout of all pieces, or None when every way was tried and there is none.

    Raises Stopped when told to stop first.
    """
    return _Trial(task, stop).run()


class _Trial:
    """The skyline and the pieces left, changed on the way down and put back on the way up."""

    def __init__(self, task: Task, stop: Callable[[], bool]) -> None:
        self.task, self.stop, self.nodes = task, stop, 0
        self.lids = sorted(task.blocked, key=lambda r: r[1])
        kinds: dict[tuple[tuple[int, int], ...], list[int]] = {}
        for k, ways in enumerate(task.ways):
            kinds.setdefault(tuple(sorted(ways)), []).append(k)
        self.kinds = sorted(kinds.items(), key=lambda item: -item[0][0][0] * item[0][0][1])
        self.left = [len(ids) for _, ids in self.kinds]
        self.ways = [ways for ways, _ in self.kinds]
        self.tight = task.spare == 0
        self.places = [] if self.tight else self._normal_places()
        self.spots: list[Spot] = []

    def _normal_places(self) -> list[int]:
        """Return every x at which a piece pushed to the left can begin."""
        reached = {0} | {r[2] for r in self.task.blocked}
        for k in range(len(self.task.ways)):
            sides = {a for a, _ in self.task.ways[k]}
            reached |= {x + a for x in reached for a in sides if x + a < self.task.width}
        return sorted(reached)

    def run(self) -> list[Spot] | None:
        if not self._down([0, self.task.width], [WALL, 0, WALL], self.task.spare):
            return None
        turn = [list(ids) for _, ids in self.kinds]
        return [(turn[kind].pop(), x, y, a, b) for kind, x, y, a, b in self.spots]

    def _down(self, xs: list[int], ys: list[int], spare: int) -> bool:
        """Lay one more piece on the lowest stretch in every way; True when all lie."""
        if not any(self.left):
            return True
        self.nodes += 1
        if self.nodes % LOOK_EVERY == 0 and self.stop():
            raise Stopped
        y = min(ys)
        if y >= self.task.height:
            return False
        i = ys.index(y) - 1
        lids = self._over(xs, ys, i)
        if lids is None:
            return self._down(xs, ys, spare)
        x, right = xs[i], xs[i + 1]
        starts = [x]
        if not self.tight:
            starts += [p for p in self.places if x < p < right]
        elif not self._fills(right - x):
            return False
        for start in starts:
            for kind, (a, b) in self._candidates(right - start, self.task.height - y):
                if _clear(lids, start, y, a, b) and self._lay(xs, ys, i, kind, start, a, b, lids, spare):
                    return True
        up = min(ys[i], ys[i + 2], min((r[1] for r in lids), default=WALL), self.task.height)
        spare -= (up - y) * (right - x)
        return spare >= 0 and self._down(*_raised(xs, ys, i, up), spare)

    def _candidates(self, width: int, room: int) -> list[tuple[int, tuple[int, int]]]:
        return [
            (kind, way)
            for kind, count in enumerate(self.left)
            if count
            for way in self.ways[kind]
            if way[0] <= width and way[1] <= room
        ]

    def _fills(self, width: int) -> bool:
        """Tell whether sides of the pieces left can add up to a gap that must be filled."""
        if width > MOST_SUMS:
            return True
        mask, keep = 1, (1 << (width + 1)) - 1
        for kind, count in enumerate(self.left):
            for _ in range(count):
                before = mask
                for a, _ in self.ways[kind]:
                    mask |= before << a
                mask &= keep
        return bool(mask >> width & 1)

    def _lay(
        self,
        xs: list[int],
        ys: list[int],
        i: int,
        kind: int,
        x: int,
        a: int,
        b: int,
        lids: list[Rect],
        spare: int,
    ) -> bool:
        """Lay a piece, leave what is to its left on the stretch empty, and go on."""
        y, gap = ys[i + 1], x - xs[i]
        new_xs, new_ys = list(xs), list(ys)
        cut = [xs[i], x, x + a, xs[i + 1]]
        heights = [y, y + b, y]
        if gap:
            up = min(ys[i], y + b, min((r[1] for r in lids if r[0] < x), default=WALL))
            spare -= (up - y) * gap
            if spare < 0:
                return False
            heights[0] = up
        kept = [j for j in range(3) if cut[j + 1] > cut[j]]
        new_xs[i : i + 2] = [cut[j] for j in kept] + [cut[3]]
        new_ys[i + 1 : i + 2] = [heights[j] for j in kept]
        _join(new_xs, new_ys)
        self.left[kind] -= 1
        self.spots.append((kind, x, y, a, b))
        if self._down(new_xs, new_ys, spare):
            return True
        self.spots.pop()
        self.left[kind] += 1
        return False

    def _over(self, xs: list[int], ys: list[int], i: int) -> list[Rect] | None:
        """Return the blocked parts above a stretch; None where the skyline rose over one that began here."""
        x0, x1, y = xs[i], xs[i + 1], ys[i + 1]
        above = [r for r in self.lids if r[0] < x1 and r[2] > x0 and r[3] > y]
        for u0, v0, u1, v1 in above:
            if v0 <= y:
                a, b = max(u0, x0), min(u1, x1)
                xs[i : i + 2] = list(dict.fromkeys((x0, a, b, x1)))
                ys[i + 1 : i + 2] = [y] * (a > x0) + [v1] + [y] * (x1 > b)
                _join(xs, ys)
                return None
        return above


def _clear(lids: list[Rect], x: int, y: int, a: int, b: int) -> bool:
    return all(x >= u1 or x + a <= u0 or y + b <= v0 or y >= v1 for u0, v0, u1, v1 in lids)


def _raised(xs: list[int], ys: list[int], i: int, up: int) -> tuple[list[int], list[int]]:
    new_xs, new_ys = list(xs), list(ys)
    new_ys[i + 1] = up
    _join(new_xs, new_ys)
    return new_xs, new_ys


def _join(xs: list[int], ys: list[int]) -> None:
    """Join neighbouring stretches of one height; the walls stay."""
    for j in range(len(ys) - 2, 1, -1):
        if ys[j] == ys[j - 1]:
            del ys[j], xs[j - 1]
