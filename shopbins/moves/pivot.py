"""A way for gear that turns about its own axle and drives straight on: what a hand pallet truck does.

The cheapest way over a lattice of places and headings is checked exactly, drive by drive and turn by turn;
what does not hold is struck out and the way sought again. A search that finds nothing proves nothing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from shopbins.geometry.shapes import Outline, Pose, turn_between
from shopbins.kernel.bits import bits
from shopbins.moves.drivenshift import least, regions
from shopbins.moves.lattice import (
    GRIDS_MM,
    HEADINGS,
    STEPS,
    SWING_DEG,
    TURN_PRICE_MM,
    Lattice,
    Slope,
    lattice,
)
from shopbins.moves.setround import met_on
from shopbins.moves.tolerance import grown

MOST_PLACES = 90_000
"""A lattice of more places than this is not looked at finer."""
TIGHT_PRICE = 3.0
DEPTH = 7
MOST_ROUNDS = 12
NEAR_GOAL_MM = 1500.0
MOST_SHOTS = 400

AT_STEP_MM = 10_000.0
"""What each piece of a way counts for beside its length where it turns with a wheel at a sill or still on a
slope, or goes over a sill askew: own figure.
"""


@dataclass(slots=True)
class _Edges:
    """The lattice as a graph: nodes heading * cells + cell. `above`: nobody is below it on a slope; `level`:
    nor does it turn on one; `hanging`: it turns with a wheel still on one.
    """

    a: Any
    b: Any
    price: Any
    above: Any
    level: Any
    hanging: Any

    def only(self, which: Any) -> _Edges:
        """Return some of them."""
        every = self.a, self.b, self.price, self.above, self.level, self.hanging
        return _Edges(*(each[which] for each in every))


def _edges(it: Lattice) -> _Edges:
    """Return the edges of a lattice: found once."""
    if it.edges is None:
        it.edges = _found_edges(it)
    edges: _Edges = it.edges
    return edges


def _found_edges(it: Lattice) -> _Edges:
    ny, nx = it.shape
    cells = ny * nx
    index = np.arange(cells).reshape(ny, nx)
    first, second, price, above, level, hanging = [], [], [], [], [], []
    for h, (i, j) in enumerate(STEPS):
        rows, cols = slice(max(0, -j), ny - max(0, j)), slice(max(0, -i), nx - max(0, i))
        a = index[rows, cols].ravel()
        b = a + j * nx + i
        ok = it.free[h][a] & it.free[h][b]
        a, b = a[ok], b[ok]
        roomy = it.roomy[h][a] & it.roomy[h][b]
        first.append(h * cells + a)
        second.append(h * cells + b)
        dear = np.maximum(it.dear[h][a], it.dear[h][b])
        length = dear * np.where(roomy, 1.0, TIGHT_PRICE) * it.grid_mm * math.hypot(i, j)
        askew = it.askew[h][a] | it.askew[h][b]
        above.append(dear == 1.0)
        level.append(dear == 1.0)
        hanging.append(np.zeros(len(a), dtype=bool))
        price.append(length + AT_STEP_MM * askew)
        after = (h + 1) % len(STEPS)
        both = np.flatnonzero(it.free[h] & it.free[after] & it.free_turned[h] & it.free_turned[after])
        roomy = it.roomy[h][both] & it.roomy[after][both]
        first.append(h * cells + both)
        second.append(after * cells + both)
        dear = np.maximum(it.dear[h][both], it.dear[after][both])
        length = dear * np.where(roomy, 1.0, TIGHT_PRICE) * it.turn_mm * 0.25
        above.append(dear == 1.0)
        level.append((dear == 1.0) & ~it.sloping[h][both] & ~it.sloping[after][both])
        hanging.append(it.on_slope[h][both] | it.on_slope[after][both])
        price.append(length + AT_STEP_MM * (it.at_step[h][both] | it.at_step[after][both]))
    return _Edges(*(np.concatenate(each) for each in (first, second, price, above, level, hanging)))


def pivoted(
    floor: Any,
    obstacles: Sequence[Outline],
    body: Outline,
    sweep: Any,
    start: Pose,
    goal: Pose,
    need_mm: float,
    stop: Callable[[], bool],
    slopes: Sequence[Slope] = (),
    kept: dict[Any, Any] | None = None,
    grid_mm: float = GRIDS_MM[0],
    **more: Any,
) -> list[Pose] | None:
    """Return poses of a way that only turns in place and drives along its own axis, or None.

    `body` is about its axle; `sweep` checks the same body exactly. The way keeps more than `need_mm`; `more`
    is as of `lattice`. Where there is another way it turns on no slope and, `handled`, has its handle end
    away from downhill there; where there is one, it goes over `steps` square and turns with its `wheels` off
    them. With `stands` none of that is on a slope while it is turned. Raises FloorProblem.
    """
    x0, y0, x1, y1 = floor.bounds
    if stop() or (grid_mm < GRIDS_MM[0] and (x1 - x0) * (y1 - y0) > MOST_PLACES * grid_mm**2):
        return None
    it = lattice(floor, obstacles, body, start, need_mm, grid_mm, slopes, kept, **more)
    return _over(it, sweep, start, goal, need_mm, stop)


def least_shifted(
    floor: Any,
    obstacles: Sequence[Outline],
    body: Outline,
    sweep: Any,
    start: Pose,
    goal: Pose,
    need_mm: float,
    stop: Callable[[], bool],
    slopes: Sequence[Slope],
    kept: dict[Any, Any],
    grid_mm: float,
    *,
    apart: Sequence[Outline],
    costs: Sequence[float],
    **more: Any,
) -> tuple[int, ...] | None:
    """Return the places of the things `apart` of least cost without which there is a way over the lattice;
    None where there is none even so.

    The rest is as of `pivoted`, among `obstacles` that stay. Where there is any way that turns on the level
    alone, it is of those, else of those with nobody below it on a slope, if there are.
    """
    it = lattice(floor, obstacles, body, start, need_mm, grid_mm, slopes, kept, apart=apart, **more)
    cells = it.shape[0] * it.shape[1]
    begin, ends = _beginnings(it, sweep, start, need_mm), _ends(it, sweep, goal, need_mm, cells, stop)
    edges, on = _edges(it), _Met(body, more.get("turned", ()), need_mm, apart)
    first = {e.node: on.way([start, Pose(start.x_mm, start.y_mm, e.heading)]) for e in begin}
    last = {e: on.way(_last_leg(it, e, goal, cells)) for e in ends}

    def found(edges: _Edges, begin: Sequence[_End], ends: Sequence[_End]) -> tuple[int, ...] | None:
        legs = [(e.node, first[e.node]) for e in begin], [(e.node, last[e]) for e in ends]
        return least(regions(*_by_turns(it, edges), *legs), costs, stop)

    if it.sloping.any():
        slight = [e for e in ends if _on_the_level(it, e, goal)]
        straight = [e for e in begin if _on_the_level(it, e, start)]
        level = found(edges.only(edges.level), straight, slight)
        if level is not None:
            return level
        above = found(edges.only(edges.above), begin, ends)
        if above is not None:
            return above
    return found(edges, begin, ends)


def _by_turns(it: Lattice, edges: _Edges) -> tuple[Any, Any, Any, Sequence[Any]]:
    """Return the free nodes, edges from and to, and the nodes at which each thing apart is met; where it
    takes more as it is turned, each turn is a node of its own, beyond those of the lattice.
    """
    if not it.met_turned:
        return it.free, edges.a, edges.b, it.met
    size, cells = it.free.size, it.shape[0] * it.shape[1]
    turns = edges.a // cells != edges.b // cells
    drives, middle = ~turns, size + edges.a[turns]
    free = np.concatenate((it.free.ravel(), np.zeros(size, dtype=bool)))
    free[middle] = True
    met = [
        np.concatenate((rolls, size + round_it, size + (round_it - cells) % size))
        for rolls, round_it in zip(it.met, it.met_turned, strict=True)
    ]
    a = np.concatenate((edges.a[drives], edges.a[turns], middle))
    return free, a, np.concatenate((edges.b[drives], middle, edges.b[turns])), met


class _Met:
    """Which of some things a body does not surely miss on its way."""

    def __init__(self, body: Outline, turned: Outline, need_mm: float, things: Sequence[Outline]) -> None:
        self._body = grown(body, need_mm)
        self._turned = grown(turned, need_mm) if turned else ()
        self._things = [shapely.Polygon(each) for each in things]

    def way(self, poses: Sequence[Pose]) -> int:
        """Return them as bits."""
        return bits(met_on(self._body, self._turned, poses, self._things))


def _last_leg(it: Lattice, end: _End, goal: Pose, cells: int) -> list[Pose]:
    """Return a last turn, drive and turn to the goal."""
    here = _pose(it, end.node, cells)
    return [
        Pose(here.x_mm, here.y_mm, near(end.heading, here.turn_deg)),
        Pose(here.x_mm, here.y_mm, end.heading),
        Pose(goal.x_mm, goal.y_mm, end.heading),
        Pose(goal.x_mm, goal.y_mm, near(end.heading, goal.turn_deg)),
    ]


def _over(
    it: Lattice, sweep: Any, start: Pose, goal: Pose, need_mm: float, stop: Callable[[], bool]
) -> list[Pose] | None:
    """Return a way over one lattice: one that turns on the level alone where there is one, else any."""
    cells = it.shape[0] * it.shape[1]
    edges = _edges(it)
    begin = [_priced(it, e, start) for e in _beginnings(it, sweep, start, need_mm)]
    if not _hangs_together(it, begin, goal):
        return None
    ends = [_priced(it, e, goal) for e in _ends(it, sweep, goal, need_mm, cells, stop)]
    if it.sloping.any():
        slight = [e for e in ends if _on_the_level(it, e, goal)]
        straight = [e for e in begin if _on_the_level(it, e, start)]
        level = edges.only(edges.level)
        level = replace(level, price=level.price + AT_STEP_MM * level.hanging)
        found = _cheapest(it, sweep, start, level, straight, slight, need_mm, stop)
        if found is not None:
            return found
    return _cheapest(it, sweep, start, edges, begin, ends, need_mm, stop)


def _hangs_together(it: Lattice, begin: Sequence[_End], goal: Pose) -> bool:
    """Tell whether any place near a goal hangs together with a beginning: else no way over the lattice is."""
    if it.parts is None:
        it.parts = _parts(it)
    near_goal = [cell for _, cell in _near_goal(it, goal)]
    ends = it.parts.reshape(len(HEADINGS), -1)[:, near_goal]
    return bool(np.isin(ends, it.parts[[each.node for each in begin]]).any())


def _joined(
    it: Lattice, begin: Sequence[_End], ends: Sequence[_End]
) -> tuple[Sequence[_End], Sequence[_End]]:
    """Return the beginnings and the ends that hang together."""
    part = [int(it.parts.flat[each.node]) for each in begin], [int(it.parts.flat[each.node]) for each in ends]
    return (
        [each for each, its in zip(begin, part[0], strict=True) if its in part[1]],
        [each for each, its in zip(ends, part[1], strict=True) if its in part[0]],
    )


def _parts(it: Lattice) -> Any:
    """Return of each node of a lattice the number of the part that hangs together; -1 of one not free."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    edges, there = _edges(it), np.flatnonzero(it.free)
    number = np.full(it.free.size, -1)
    number[there] = np.arange(len(there))
    joined = np.ones(len(edges.a), dtype=np.int8), (number[edges.a], number[edges.b])
    graph = coo_matrix(joined, shape=(len(there), len(there))).tocsr()
    number[there] = connected_components(graph, directed=False)[1]
    return number


def _priced(it: Lattice, end: _End, other: Pose) -> _End:
    """Return a beginning or end with what it counts for where it turns or goes askew at a step."""
    h, cell = divmod(end.node, it.shape[0] * it.shape[1])
    turned = end.swing > it.slight_deg and (it.at_step[h][cell] or it.at_step[h][it.cell(other)])
    askew = turned or it.askew[h][cell] or it.askew[h][it.cell(other)]
    return replace(end, price=end.price + AT_STEP_MM) if askew else end


def _on_the_level(it: Lattice, end: _End, other: Pose) -> bool:
    """Tell whether a last turn, drive and turn to the goal, or a first turn at the start, is on the level."""
    if end.swing <= it.slight_deg:
        return True
    h, cell = divmod(end.node, it.shape[0] * it.shape[1])
    kinked, swung = near(end.heading, HEADINGS[h]), near(end.heading, other.turn_deg)
    kinks, swings = abs(kinked - end.heading) > it.slight_deg, abs(swung - end.heading) > it.slight_deg
    if kinks and not it.level(Pose(*it.at(cell), end.heading), kinked):
        return False
    return not swings or it.level(Pose(other.x_mm, other.y_mm, end.heading), swung)


def _cheapest(
    it: Lattice,
    sweep: Any,
    start: Pose,
    edges: _Edges,
    begin: Sequence[_End],
    ends: Sequence[_End],
    need_mm: float,
    stop: Callable[[], bool],
) -> list[Pose] | None:
    """Return the cheapest way over some edges that holds exactly; None where there is none."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import dijkstra

    begin, ends = _joined(it, begin, ends)
    if not begin or not ends:
        return None
    cells = it.shape[0] * it.shape[1]
    there = np.flatnonzero(it.free)
    number = np.zeros(it.free.size, dtype=np.int64)
    number[there] = np.arange(len(there))  # of free nodes alone: the others would have to be gone through too
    source = len(there)
    for _ in range(MOST_ROUNDS):
        if stop():
            return None
        a = np.concatenate((number[edges.a], np.full(len(begin), source)))
        b = np.concatenate((number[edges.b], number[[each.node for each in begin]]))
        price = np.concatenate((edges.price, np.array([each.price for each in begin])))
        graph = coo_matrix((price, (a, b)), shape=(source + 1, source + 1)).tocsr()
        far, came = dijkstra(graph, directed=False, indices=source, return_predecessors=True)  # type: ignore[call-overload]
        end = min(ends, key=lambda e: far[number[e.node]] + e.price)
        if not math.isfinite(far[number[end.node]]):
            return None
        nodes: list[int] = there[_back(came, int(number[end.node]), source)].tolist()
        bad = _broken(it, sweep, nodes, cells, need_mm)
        if not bad:
            return _poses(it, start, nodes, cells, end)
        edges = _without(edges, bad, it.free.size)
    return None


def _beginnings(it: Lattice, sweep: Any, start: Pose, need_mm: float) -> list[_End]:
    """Return the nodes reached by turning where the gear stands."""
    cell = it.cell(start)
    found = []
    for h, heading in enumerate(HEADINGS):
        to = near(start.turn_deg, heading)
        if abs(to - start.turn_deg) <= 30.0 and it.free[h][cell] and turns(sweep, start, to, need_mm):
            dear = it.turn_mm / 60.0 if it.turn_mm > TURN_PRICE_MM else 1.0
            swing = abs(to - start.turn_deg)
            found.append(_End(h * it.shape[0] * it.shape[1] + cell, to, 1.0 + dear * swing, swing))
    return found


@dataclass(frozen=True, slots=True)
class _End:
    """A last turn, drive and turn from a node to the goal, or a first turn to a node; how far it turns."""

    node: int
    heading: float
    price: float
    swing: float


def _ends(
    it: Lattice, sweep: Any, goal: Pose, need_mm: float, cells: int, stop: Callable[[], bool]
) -> list[_End]:
    """Return nodes near the goal from which a turn, a drive and a turn lead there, nearest first."""
    close = _near_goal(it, goal)
    found: list[_End] = []
    shots = 0
    swings = Swings(sweep, goal, need_mm)
    if it.turn_mm > TURN_PRICE_MM:  # what is dear to turn comes in without a kink, if from farther off
        cells_near = [cell for _, cell in close]
        kinks = dict(zip(cells_near, _kinks(it, cells_near, goal), strict=True))
        close.sort(key=lambda e: e[0] + kinks[e[1]] * it.turn_mm / 60.0)
    for far, cell in close:
        if shots >= MOST_SHOTS or len(found) >= 24 or stop():
            break
        x, y = it.at(cell)
        facing = math.degrees(math.atan2(goal.y_mm - y, goal.x_mm - x)) if far > 1.0 else goal.turn_deg
        for heading in (facing, facing + 180.0):
            h = int(np.abs((np.array(HEADINGS) - heading + 180.0) % 360.0 - 180.0).argmin())
            if not it.free[h][cell]:
                continue
            shots += 1
            first = Pose(x, y, near(heading, HEADINGS[h]))
            last = Pose(goal.x_mm, goal.y_mm, heading)
            if (
                swings.reaches(heading)
                and sweep.clear(Pose(x, y, heading), last, need_mm, DEPTH)
                and turns(sweep, first, heading, need_mm)
            ):
                swing = abs(near(heading, goal.turn_deg) - heading)
                kink = abs(first.turn_deg - heading)
                counts = swing
                if it.turn_mm > TURN_PRICE_MM:  # set round once, by however much
                    counts = (30.0 if swing > 1.0 else 0.0) + kink
                price = far + counts * it.turn_mm / 60.0
                found.append(_End(h * cells + cell, heading, it.dear[h][cell] * price, swing + kink))
    return found


def _kinks(it: Lattice, cells: Sequence[int], goal: Pose) -> list[float]:
    """Return how far the way from each cell to the goal is off every heading of the lattice, in degrees."""
    every = (it.at(cell) for cell in cells)
    to = np.array([math.degrees(math.atan2(goal.y_mm - y, goal.x_mm - x)) for x, y in every])[:, None]
    off = (np.array(HEADINGS) - to + 180.0) % 360.0 - 180.0
    found: list[float] = np.abs(to + off - to).min(axis=1).tolist()
    return found


def _near_goal(it: Lattice, goal: Pose) -> list[tuple[float, int]]:
    """Return the cells near the goal, the nearest first, with how far they are."""
    ny, nx = it.shape
    xs, ys = it.origin[0] + np.arange(nx) * it.grid_mm, it.origin[1] + np.arange(ny) * it.grid_mm
    far = np.hypot(xs[None, :] - goal.x_mm, ys[:, None] - goal.y_mm).ravel()
    return sorted((float(far[c]), int(c)) for c in np.flatnonzero(far <= NEAR_GOAL_MM))


class Swings:
    """How far a gear surely turns on the spot from one pose, to either side: looked at once, if asked.

    A turn within one that is sure is sure; one that holds all of a turn that is not is not.
    """

    def __init__(self, sweep: Any, at: Pose, need_mm: float) -> None:
        self._sweep, self._at, self._need = sweep, at, need_mm
        self._sure = {1: 0.0, -1: 0.0}
        self._not = {1: math.inf, -1: math.inf}

    def reaches(self, heading: float) -> bool:
        """Tell whether it surely turns to a heading, the shorter way round."""
        swing = near(self._at.turn_deg, heading) - self._at.turn_deg
        side, far = (1 if swing >= 0 else -1), abs(swing)
        while self._sure[side] < far < self._not[side]:
            on = min(far, (self._sure[side] // SWING_DEG + 1) * SWING_DEG)
            known = self._sure if self._clear(side * self._sure[side], side * on) else self._not
            known[side] = on
        return far <= self._sure[side]

    def _clear(self, from_deg: float, to_deg: float) -> bool:
        a, b = self._turned(from_deg), self._turned(to_deg)
        return bool(self._sweep.clear(a, b, self._need, DEPTH))

    def _turned(self, by_deg: float) -> Pose:
        return Pose(self._at.x_mm, self._at.y_mm, self._at.turn_deg + by_deg)


def _back(came: Any, node: int, source: int) -> list[int]:
    found = [node]
    while came[found[-1]] != source:
        found.append(int(came[found[-1]]))
    return found[::-1]


def _pose(it: Lattice, node: int, cells: int) -> Pose:
    h, cell = divmod(node, cells)
    x, y = it.at(cell)
    return Pose(x, y, HEADINGS[h])


def _broken(
    it: Lattice, sweep: Any, nodes: Sequence[int], cells: int, need_mm: float
) -> list[tuple[int, int]]:
    """Return the edges of a way that do not hold exactly."""
    bad = []
    for first, last in _drives(nodes, cells):
        if last > first + 1 and _holds(it, sweep, nodes[first], nodes[last], cells, need_mm):
            continue
        every = itertools.pairwise(nodes[first : last + 1])
        bad += [(a, b) for a, b in every if not _holds(it, sweep, a, b, cells, need_mm)]
    return bad


def _holds(it: Lattice, sweep: Any, a: int, b: int, cells: int, need_mm: float) -> bool:
    p, q = _pose(it, a, cells), _pose(it, b, cells)
    return bool(sweep.clear(p, Pose(q.x_mm, q.y_mm, near(p.turn_deg, q.turn_deg)), need_mm, DEPTH))


def _drives(nodes: Sequence[int], cells: int) -> list[tuple[int, int]]:
    """Cut a way into what is driven straight on in one heading, and single turns: first and last place."""
    found: list[tuple[int, int]] = []
    steps: list[tuple[int, int, int]] = []
    for n, (a, b) in enumerate(itertools.pairwise(nodes)):
        (h, c), (k, d) = divmod(a, cells), divmod(b, cells)
        step = (h, d - c, 0) if h == k else (-1, 0, n)  # no two turns are alike
        if steps and step == steps[-1]:
            found[-1] = found[-1][0], n + 1
        else:
            found.append((n, n + 1))
        steps.append(step)
    return found


def _without(edges: _Edges, bad: Sequence[tuple[int, int]], size: int) -> _Edges:
    keys = np.minimum(edges.a, edges.b) * size + np.maximum(edges.a, edges.b)
    struck = np.array([min(a, b) * size + max(a, b) for a, b in bad])
    keep = ~np.isin(keys, struck)
    return edges.only(keep)


def _poses(it: Lattice, start: Pose, nodes: Sequence[int], cells: int, end: _End) -> list[Pose]:
    """Return the poses of a way: turns unrolled, drives along one heading in one piece."""
    poses = [start]

    def to(x: float, y: float, turn: float) -> None:
        last = poses[-1]
        pose = Pose(x, y, near(last.turn_deg, turn))
        if abs(x - last.x_mm) + abs(y - last.y_mm) + abs(pose.turn_deg - last.turn_deg) < 1e-9:
            return
        before = poses[-2] if len(poses) > 1 else None
        if before is not None and _straight(before, last, pose):
            poses[-1] = pose
        else:
            poses.append(pose)

    for node in nodes:
        pose = _pose(it, node, cells)
        to(pose.x_mm, pose.y_mm, pose.turn_deg)
    last = poses[-1]
    to(last.x_mm, last.y_mm, end.heading)
    return poses


def _straight(a: Pose, b: Pose, c: Pose) -> bool:
    """Tell whether three poses are one drive, the same way on and turned nowhere."""
    if abs(a.turn_deg - b.turn_deg) >= 1e-9 or abs(b.turn_deg - c.turn_deg) >= 1e-9:
        return False
    ux, uy, vx, vy = b.x_mm - a.x_mm, b.y_mm - a.y_mm, c.x_mm - b.x_mm, c.y_mm - b.y_mm
    aside = abs(ux * vy - uy * vx)
    return aside < 1e-6 * math.hypot(ux, uy) * math.hypot(vx, vy) and ux * vx + uy * vy > 0


def near(turn: float, wanted: float) -> float:
    """Return an angle equal to `wanted` up to whole turns, at most half a turn from `turn`."""
    return turn + turn_between(wanted, turn)


def turns(sweep: Any, at: Pose, to_deg: float, need_mm: float) -> bool:
    """Tell whether the gear surely turns where it stands, keeping more than a distance."""
    swing = to_deg - at.turn_deg
    if abs(swing) < 1e-9:
        return True
    steps = max(1, math.ceil(abs(swing) / 15.0))
    poses = [Pose(at.x_mm, at.y_mm, at.turn_deg + swing * k / steps) for k in range(steps + 1)]
    return all(sweep.clear(a, b, need_mm, DEPTH) for a, b in itertools.pairwise(poses))


def finished(poses: Sequence[Pose], goal: Pose) -> list[Pose]:
    """Return the poses with the goal's own place and turn at the end, turns cut to 15 degrees."""
    last = poses[-1]
    there = Pose(goal.x_mm, goal.y_mm, last.turn_deg)
    every = [*poses, there, Pose(goal.x_mm, goal.y_mm, near(there.turn_deg, goal.turn_deg))]
    found = [every[0]]
    for pose in every[1:]:
        before = found[-1]
        steps = max(1, math.ceil(abs(pose.turn_deg - before.turn_deg) / 15.0))
        for k in range(1, steps + 1):
            t = k / steps
            found.append(
                Pose(
                    before.x_mm + (pose.x_mm - before.x_mm) * t,
                    before.y_mm + (pose.y_mm - before.y_mm) * t,
                    before.turn_deg + (pose.turn_deg - before.turn_deg) * t,
                )
            )
    return found
