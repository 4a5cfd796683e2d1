"""Fill a surface with rectangles from a priority list, lowest gap first: the quick guess behind a shuffle.

Whole numbers only. The skyline is two lists: `xs` where each level stretch begins (and the right end), `ys`
its heights between two walls. A `lid` is a blocked part that hangs above the skyline until that reaches it.
The gap filled next is the lowest; the piece chosen is the first in the list that fits it best: exactly as
wide, then all but as wide (wasting a small share of what may be wasted), then level with a neighbour,
then any that leaves room for another.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

Rect = tuple[int, int, int, int]
Spot = tuple[int, int, int, int, int]
WALL = 1 << 60
NEARLY = (0.05, 0.1, 0.05, 0.02, 0.0)
FIRST_PATIENCE, PATIENCE = 38, 60


@dataclass(slots=True)
class Task:
    """Pieces (each with the ways it may lie) for one surface of whole-number size with blocked parts."""

    width: int
    height: int
    blocked: tuple[Rect, ...]
    ways: tuple[tuple[tuple[int, int], ...], ...]
    spare: int = 0
    by_width: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    least_side: int = 0

    def __post_init__(self) -> None:
        """Work out the area that may stay empty and which pieces are how wide."""
        taken = sum((u1 - u0) * (v1 - v0) for u0, v0, u1, v1 in self.blocked)
        self.spare = self.width * self.height - taken - sum(w[0][0] * w[0][1] for w in self.ways)
        self.least_side = min((min(w[0]) for w in self.ways), default=0)
        for k, ways in enumerate(self.ways):
            for a, b in ways:
                self.by_width.setdefault(a, []).append((k, b))


def build(task: Task, order: Sequence[int], split: bool, spare: int, nearly: float) -> tuple[int, list[Spot]]:
    """Lay pieces down by priority until all lie or more than `spare` is wasted; return area laid and spots.

    `split` tells whether gaps under a lid are taken apart at its edges; a piece that leaves no more than the
    area `nearly` beside it is taken as filling its gap.
    """
    n, height = len(order), task.height
    xs, ys, lids = _ground(task)
    used = [False] * n
    rank = [0] * n
    for r, k in enumerate(order):
        rank[k] = r
    left, dead, laid, wasted = list(order), 0, 0, 0
    spots: list[Spot] = []
    while len(spots) < n:
        y = min(ys)
        if y >= height:
            break
        i = ys.index(y) - 1
        w, room = xs[i + 1] - xs[i], height - y
        if lids:
            under = _under(xs, ys, i, lids, split)
            if under < 0:
                continue
            room = min(room, under)
        rise_left, rise_right = ys[i] - y, ys[i + 2] - y
        best = _exact(task, w, room, rise_left, rise_right, used, rank)
        best = best or _closest(task, nearly, w, room, rise_left, rise_right, left, used)
        if best is None:
            up = min([h for h in (rise_left, rise_right) if h > 0] + [room])
            wasted += up * w
            if wasted > spare:
                break
            _raise(xs, ys, i, y + up)
            continue
        k, a, b = best
        used[k], dead, laid = True, dead + 1, laid + a * b
        if dead > 8:
            left, dead = [q for q in left if not used[q]], 0
        spots.append((k, _lay(xs, ys, i, a, b, rise_left, rise_right), y, a, b))
    return laid, spots


def _ground(task: Task) -> tuple[list[int], list[int], list[Rect]]:
    """Return the empty skyline and the blocked parts above it."""
    return [0, task.width], [WALL, 0, WALL], sorted(task.blocked, key=lambda r: r[1])


def _exact(
    task: Task, w: int, room: int, rise_left: int, rise_right: int, used: list[bool], rank: list[int]
) -> tuple[int, int, int] | None:
    """Return the best piece exactly as wide as the gap."""
    best, score, place = None, -1, 0
    for k, b in task.by_width.get(w, ()):
        if b <= room and not used[k]:
            s = (b == rise_left) + (b == rise_right)
            if s > score or (s == score and rank[k] < place):
                best, score, place = (k, w, b), s, rank[k]
    return best


def _closest(
    task: Task,
    nearly: float,
    w: int,
    room: int,
    rise_left: int,
    rise_right: int,
    left: list[int],
    used: list[bool],
) -> tuple[int, int, int] | None:
    """Return the first piece in the list that fits a gap nearly, else level, else with room beside it."""
    least = task.least_side
    best, score = None, -2
    for k in left:
        if used[k]:
            continue
        for a, b in task.ways[k]:
            if a > w or b > room:
                continue
            rest = w - a
            if rest * b <= nearly:
                return k, a, b
            s = -1 if rest < least else 1 if b in (rise_left, rise_right) else 0
            if s > score:
                best, score = (k, a, b), s
    return best


def _under(xs: list[int], ys: list[int], i: int, lids: list[Rect], split: bool) -> int:
    """Return the room under the lids above a stretch; -1 where the skyline was cut and must be read again."""
    x0, x1, y, room = xs[i], xs[i + 1], ys[i + 1], WALL
    for u0, v0, u1, v1 in lids:
        if u0 >= x1 or u1 <= x0 or v1 <= y:
            continue
        a, b = max(u0, x0), min(u1, x1)
        if v0 <= y or (split and (a, b) != (x0, x1)):
            xs[i : i + 2] = list(dict.fromkeys((x0, a, b, x1)))
            ys[i + 1 : i + 2] = [y] * (a > x0) + [v1 if v0 <= y else y] + [y] * (x1 > b)
            return -1
        room = min(room, v0 - y)
    return room


def _raise(xs: list[int], ys: list[int], i: int, y: int) -> None:
    """Lift a stretch to a height and join it with neighbours as high."""
    ys[i + 1] = y
    if ys[i + 2] == y:
        del ys[i + 2], xs[i + 1]
    if ys[i] == y:
        del ys[i], xs[i]


def _lay(xs: list[int], ys: list[int], i: int, a: int, b: int, rise_left: int, rise_right: int) -> int:
    """Put a piece in a stretch, at the side it is more level with or the higher one; return its x."""
    x, w, y = xs[i], xs[i + 1] - xs[i], ys[i + 1] + b
    if a == w:
        _raise(xs, ys, i, y)
        return x
    off_left, off_right = abs(b - rise_left), abs(b - rise_right)
    level = off_left * 10 < rise_left or off_right * 10 < rise_right
    if off_left <= off_right if level else rise_left >= rise_right:
        if ys[i] == y:
            xs[i] = x + a
        else:
            xs.insert(i + 1, x + a)
            ys.insert(i + 1, y)
        return x
    if ys[i + 2] == y:
        xs[i + 1] = x + w - a
    else:
        xs.insert(i + 1, x + w - a)
        ys.insert(i + 2, y)
    return x + w - a


# --- searching over priority lists --------------------------------------------------------------------------


def seen_from(task: Task, side: int) -> Task:
    """Return the same task turned and mirrored in one of eight ways (bits: swap axes, mirror x, mirror y)."""
    blocked = tuple(_flip(r, side, task.width, task.height) for r in task.blocked)
    if not side & 1:
        return Task(task.width, task.height, blocked, task.ways)
    ways = tuple(tuple((b, a) for a, b in w) for w in task.ways)
    return Task(task.height, task.width, blocked, ways)


def _flip(r: Rect, side: int, width: int, height: int) -> Rect:
    u0, v0, u1, v1 = r
    if side & 2:
        u0, u1 = width - u1, width - u0
    if side & 4:
        v0, v1 = height - v1, height - v0
    return (v0, u0, v1, u1) if side & 1 else (u0, v0, u1, v1)


def seen_back(spots: Sequence[Spot], side: int, task: Task) -> list[Spot]:
    """Return spots found on `seen_from(task, side)` as they lie on the task itself."""
    found = []
    for k, x, y, a, b in spots:
        u0, v0, u1, v1 = (y, x, y + b, x + a) if side & 1 else (x, y, x + a, y + b)
        u0, v0, u1, v1 = _flip((u0, v0, u1, v1), side & 6, task.width, task.height)
        found.append((k, u0, v0, u1 - u0, v1 - v0))
    return found


def search(task: Task, stop: Callable[[], bool], rng: random.Random) -> tuple[bool, list[Spot]]:
    """Look for a layout of all pieces until told to stop; return whether all lie, and the fullest found.

    Priority lists start sorted by size and are changed two swaps or moves at a time, keeping what lays at
    least as much; after 60 changes without gain it starts anew, seen from another side.
    """
    views = _views(task)
    most, fullest = -1, list[Spot]()
    area = [w[0][0] * w[0][1] for w in task.ways]
    start = 0
    while True:
        side = views[0] if start < 4 else views[start % len(views)]
        view = seen_from(task, side)
        order, split = _first_order(view, area, start, rng), start % 2 == 0
        nearly = view.spare * NEARLY[start % len(NEARLY)]
        best, spots = build(view, order, split, view.spare, nearly)
        idle, patience = 0, FIRST_PATIENCE if start < 4 else PATIENCE
        while len(spots) < len(area) and idle < patience and not stop():
            tried = _changed(order, rng)
            laid, found = build(view, tried, split, view.spare, nearly)
            idle = 0 if laid > best else idle + 1
            if laid >= best:
                order, best, spots = tried, laid, found
        start += 1
        if len(spots) == len(area):
            return True, seen_back(spots, side, task)
        laid, found = build(view, order, split, WALL, nearly)
        if laid > most:
            most, fullest = laid, seen_back(found, side, task)
        if stop():
            return False, fullest


def _views(task: Task) -> list[int]:
    """Return the sides to look from: across the short side, blocked parts at the bottom, first."""
    short_first = 0 if task.width <= task.height else 1
    if not task.blocked:
        return [short_first, short_first, short_first ^ 1]

    def hanging(side: int) -> int:
        view = [_flip(r, side, task.width, task.height) for r in task.blocked]
        return sum((u1 - u0) for u0, v0, u1, _ in view if v0 > 0)

    order = sorted(range(8), key=lambda side: (hanging(side), (side & 1) != short_first))
    return [order[0], order[1], order[0], order[2], order[3]]


def _first_order(task: Task, area: Sequence[int], start: int, rng: random.Random) -> list[int]:
    sides = [w[0] for w in task.ways]
    sizes = (area, [max(s) for s in sides], [min(s) for s in sides], [sum(s) for s in sides])[start % 4]
    jitter = 0.0 if start < 4 else 0.15 * (1 + start % 3)
    return sorted(range(len(area)), key=lambda k: -sizes[k] * (1 + rng.uniform(-jitter, jitter)))


def _changed(order: Sequence[int], rng: random.Random) -> list[int]:
    tried, n = list(order), len(order)
    for _ in range(2 if rng.random() < 0.7 else 5):
        i, j = rng.randrange(n), rng.randrange(n)
        if rng.random() < 0.5:
            tried[i], tried[j] = tried[j], tried[i]
        else:
            tried.insert(j, tried.pop(i))
    return tried
