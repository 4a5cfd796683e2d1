"""The planner: one body on one floor, and every question of going from here to there asked of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import (
    FloorProblem,
    NoRoomAt,
    Outline,
    Point,
    Pose,
    WayEnd,
    checked_pose,
    contains,
)
from shopbins.geometry.simple import simple
from shopbins.kernel.body import Body
from shopbins.kernel.goes_answer import (
    DOES_NOT_GO,
    GOES,
    NOT_DECIDED,
    TOO_CLOSE,
    Answer,
    Certificate,
    Probe,
    Reached,
    Tightest,
)
from shopbins.kernel.goes_cells import SAME_TURN_DEG, Piece, Space
from shopbins.kernel.goes_check import Cell, Refused, Shut, check, edges_of, walls_of
from shopbins.kernel.goes_links import place_of
from shopbins.kernel.goes_path import ROOMY_MM, all_clear, assembled, shortened, tightest
from shopbins.kernel.goes_search import End, Search, Stop, Stopped
from shopbins.kernel.ground import Crowd, Slicer, floor_polygon, holes_of, rooms_of
from shopbins.kernel.overlay import GRID_MM, as_parts
from shopbins.kernel.sweep import ENOUGH_MM, Sweep

HAIR_MM = 0.002
DOUBTS_MM = (0.01, 0.025, 0.05)
BASE_STEP_DEG = 15.0
WALL_TURNS = 8
COARSE = 2


class Planner:
    """One floor and one body; keeps slices so that a question after a small change costs little."""

    def __init__(
        self, floor: Any, holes: Sequence[Outline], body: Outline, *, either_way: bool = True
    ) -> None:
        """Take the floor (an outline, or several to unite), its fixed holes and the convex body.

        A body that looks the same turned (a rectangle by 180) may arrive so turned, unless not `either_way`.
        """
        self._fixed = (rooms_of(floor), holes_of(holes))
        self.ground = floor_polygon(*self._fixed)
        self.holes = [shapely.Polygon(h) for h in self._fixed[1]]
        self.body = Body(body)
        self.centre, self.outline = self.body.centre, self.body.told
        self.period_deg, self.thin_mm = self.body.period_deg, self.body.thin_mm
        self.laps = 1 if either_way else max(1, round(360.0 / self.period_deg))
        if self.thin_mm <= HAIR_MM:
            raise FloorProblem("body: it is too thin to judge")
        self.walls = minkowski.segments_of(as_parts(self.ground))
        self._slicers: dict[tuple[float, float], Slicer] = {}

    def slicer(self, outset_mm: float, grid_mm: float = 0.0) -> Slicer:
        """Return the remembered slices of the body made a little larger or smaller."""
        key = (outset_mm, grid_mm)
        found = self._slicers.get(key)
        if found is None:
            found = self._slicers[key] = Slicer(self.ground, self.body, outset_mm, grid_mm)
        return found

    def sweep(self, crowd: Crowd, outset_mm: float = 0.0) -> Sweep:
        """Return the checker of motions of the body's reference point among these things."""
        return self._sweep(np.concatenate((self.walls, crowd.edges[0])), outset_mm)

    def _sweep(self, edges: Array, outset_mm: float) -> Sweep:
        pieces = [p + self.centre for p in self.body.pieces(outset_mm)]
        return Sweep(self.body.outline(outset_mm) + self.centre, edges, pieces)

    def goes(
        self,
        things: Sequence[Outline],
        start: Pose,
        goal: Pose,
        *,
        time_limit_s: float | None = None,
        cancelled: Callable[[], bool] | None = None,
        most_steps: int | None = None,
    ) -> Answer:
        """Answer whether the body goes from start to goal among the things. See `goes` and `Stop`."""
        stop = Stop(time_limit_s, cancelled, most_steps)
        crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
        return self.goes_in(crowd, start, goal, stop)

    def goes_in(self, crowd: Crowd, start: Pose, goal: Pose, stop: Stop) -> Answer:
        """Answer for checked things; `stop` says when time is up."""
        for end, pose in ((WayEnd.START, start), (WayEnd.GOAL, goal)):
            self.check_end(crowd, pose, end)
        try:
            answer = self._answer(crowd, start, goal, stop, 0.0) or self._answer(
                crowd, start, goal, stop, GRID_MM
            )
            answer = answer or Answer(NOT_DECIDED, reason="a negative answer did not stand its check")
        except Stopped:
            answer = Answer(NOT_DECIDED, reason="time was up")
        return replace(answer, seconds=stop.spent_s())

    def _answer(self, crowd: Crowd, start: Pose, goal: Pose, stop: Stop, grid_mm: float) -> Answer | None:
        """Return an answer from overlays on a grid (0: none); None where a `does not go` fails its check."""
        try:
            run = self._run(crowd, start, goal, -HAIR_MM, 0.0, stop, grid_mm)
            return self._certain(run, stop) or self._close(crowd, start, goal, stop, grid_mm)
        except Refused:
            return None

    def probe(
        self,
        crowd: Crowd,
        start: Pose,
        goal: Pose,
        stop: Stop,
        grid_mm: float = 0.0,
        *,
        doubtful: bool = False,
    ) -> Probe:
        """Answer with one search, unpolished and unchecked: for askers that ask often. Raises Stopped.

        Where it is `doubtful` whether it goes, that it does not is looked for first.
        """
        run = self._run(crowd, start, goal, -HAIR_MM, 0.0, stop, grid_mm, doubtful=doubtful)
        poses = self._checked_way(run)
        joined = run.joined if poses is not None or run.joined is False else None
        return Probe(
            joined, poses, run.slice_mm, self._certificate(run).cells if joined is False else (), run
        )

    def told(
        self, crowd: Crowd, poses: list[Pose], *, shorten: bool = True, roomy_mm: float = ROOMY_MM
    ) -> Answer:
        """Return the answer a checked path gives: shortened, its tightest place measured and named."""
        true = self.sweep(crowd)
        if shorten:
            poses = shortened(true, poses, roomy_mm)
        clearance, pose, _ = tightest(true, poses)
        near = true.nearest(pose)
        name = self.name_of(near.edge, crowd)
        place = Tightest(pose, name, (near.on_body, near.on_obstacle))
        return Answer(GOES, path=tuple(poses), clearance_mm=clearance, tightest=place)

    def misses(self, outline: Outline, poses: Sequence[Pose]) -> bool:
        """Tell whether a path surely misses a thing it was not checked against."""
        crowd = Crowd([outline])
        sweep = self._sweep(crowd.edges[0], 0.0)
        if contains(outline, place_of(poses[0], self.centre)) or sweep.overlapped(poses[0]) is not None:
            return False
        return all_clear(sweep, poses)

    def check_end(self, crowd: Crowd, pose: Pose, end: WayEnd) -> None:
        """Raise NoRoomAt when the body cannot stand at an end of its way."""
        checked_pose(pose, end)
        x, y = place_of(pose, self.centre)
        if not shapely.intersects_xy(self.ground, x, y):
            raise NoRoomAt(end, f"the body's centre is not on the free floor (at {x:.0f}, {y:.0f})")
        edge = self.sweep(crowd, -HAIR_MM).overlapped(pose)
        if edge is not None:
            by = self.name_of(edge, crowd)
            raise NoRoomAt(end, f"the body overlaps {by} (it does not fit there)", by)
        for i, outline in enumerate(crowd.outlines):
            if contains(outline, (x, y)):
                raise NoRoomAt(end, f"the body stands inside thing {i}", f"thing {i}")

    def name_of(self, edge: int, crowd: Crowd) -> str:
        """Return the name of what an edge belongs to: wall, hole n or thing n; nothing where it is none."""
        if edge < 0:
            return "nothing"
        if edge >= len(self.walls):
            return f"thing {int(crowd.edges[1][edge - len(self.walls)])}"
        middle = shapely.points(self.walls[edge].mean(axis=0))
        for i, hole in enumerate(self.holes):
            if shapely.distance(hole, middle) < 1e-6:
                return f"hole {i}"
        return "wall"

    def _run(
        self,
        crowd: Crowd,
        start: Pose,
        goal: Pose,
        slice_mm: float,
        body_mm: float,
        stop: Stop,
        grid_mm: float = 0.0,
        *,
        doubtful: bool = False,
    ) -> _Run:
        """Search with slices of the body `slice_mm` larger and motions of the body `body_mm` larger."""
        slicer = self.slicer(slice_mm, grid_mm)
        turns, (start_at, start_lap), (goal_at, goal_lap) = self._turns(start.turn_deg, goal.turn_deg)
        space = Space(slicer, crowd, turns, self.period_deg)
        sweep = self.sweep(crowd, body_mm)
        begin, end = place_of(start, self.centre), place_of(goal, self.centre)
        a = _piece_holding(space.pieces_at(start_at), begin)
        b = _piece_holding(space.pieces_at(goal_at), end)
        if a is None or b is None:
            return _Run(None, None, sweep, crowd, start, goal, begin, end, slice_mm)
        ends = End(a, start_lap, begin), End(b, goal_lap, end)
        first = {start_at, goal_at, *(turns.index(t) for t in self.wall_turns[:COARSE] if t in turns)}
        coarse = sorted(first)
        search = Search(space, sweep, self.centre, ends, self.laps, coarse, stop)
        joined = search.run(doubtful=doubtful)
        return _Run(joined, search, sweep, crowd, start, goal, begin, end, slice_mm)

    def _certain(self, run: _Run, stop: Stop) -> Answer | None:
        """Return a certain answer from a search, if it gives one."""
        if run.search is not None and run.joined is False and run.slice_mm < 0:
            return Answer(DOES_NOT_GO, certificate=self.checked(run, stop))
        poses = self._checked_way(run)
        if poses is None:
            return None
        answer = self.told(run.crowd, poses)
        return answer if answer.clearance_mm is not None and answer.clearance_mm > ENOUGH_MM / 2 else None

    def _checked_way(self, run: _Run) -> list[Pose] | None:
        """Return the poses a search found, if every leg between them surely keeps a distance."""
        if run.search is None or not run.joined:
            return None
        poses = assembled(run.search.motions_on_way(), run.start, run.begin, run.end, self.centre)
        poses = _ending(poses, run.goal, self.whole_turn_deg)
        return poses if all_clear(self.sweep(run.crowd), poses, ENOUGH_MM) else None

    def _close(self, crowd: Crowd, start: Pose, goal: Pose, stop: Stop, grid_mm: float) -> Answer:
        """Decide what the first search left open by asking about a slightly larger and a smaller body."""
        for doubt in DOUBTS_MM:
            larger = self._run(crowd, start, goal, doubt, doubt, stop, grid_mm)
            answer = self._certain(larger, stop)
            if answer is not None and answer.answer == GOES:
                return answer
            if doubt >= self.thin_mm:
                break
            smaller = self._run(crowd, start, goal, -doubt, -doubt, stop, grid_mm)
            if smaller.joined is False:
                return Answer(DOES_NOT_GO, certificate=self.checked(smaller, stop))
            if smaller.joined and self._surely_not(larger, stop):
                return Answer(
                    TOO_CLOSE, within_mm=2 * doubt, reason=f"{2 * doubt:g} mm narrower goes, wider does not"
                )
        return Answer(NOT_DECIDED, reason="no closer answer was found")

    def _surely_not(self, run: _Run, stop: Stop) -> bool:
        """Tell whether the body of a search surely does not go: it cannot stand at an end, or is shut in."""
        if not self.body.convex:
            return False  # made larger it is made too large
        if run.search is None:
            sweep = self.sweep(run.crowd, run.slice_mm)
            return any(sweep.overlapped(p) is not None for p in (run.start, run.goal))
        if run.joined is not False:
            return False
        self.checked(run, stop)
        return True

    def checked(self, run: _Run, stop: Stop, standing: Sequence[Outline] | None = None) -> Certificate:
        """Return the certificate, checked by other means than those that found it.

        `standing` are the things it is to rest on (all of them where left out). Raises Refused and Stopped.
        """
        certificate = self._certificate(run)
        things = run.crowd.outlines if standing is None else standing
        self.prove(self.claim(run, certificate.regions()), things, stop)
        return certificate

    def prove(self, claim: Shut, standing: Sequence[Outline], stop: Stop) -> None:
        """Check what is claimed with some things standing. Raises Refused, and Stopped before it is done."""
        if not check(self.lines(standing), claim, stop):
            raise Stopped

    def claimed(self, run: _Run) -> Shut:
        """Return what a search that found no way claims, to be checked later: of the end that has less room.

        What does not leave the goal's cells does not come into them either.
        """
        assert run.search is not None
        there = self.claim(run, self._certificate(run).regions())
        back = self.claim(run, self._certificate(run, run.search.reached_from_goal()).regions())
        back = replace(back, start=there.goal, goal=there.start)
        return min(there, back, key=lambda claim: sum(len(r) for c in claim.cells for r in c.rings))

    def claim(self, run: _Run, regions: Sequence[Reached]) -> Shut:
        """Return what regions claim: the body, a hair larger than the search took it, does not leave them."""
        cells = [Cell(r.from_deg, r.to_deg, (r.outline, *r.holes)) for r in regions]
        ends = ((run.start.turn_deg, run.begin), (run.goal.turn_deg, run.end))
        pieces = self.body.plainly(run.slice_mm + HAIR_MM / 2, run.slice_mm)
        return Shut(pieces, self.whole_turn_deg, cells, *ends)

    def lines(self, things: Sequence[Outline]) -> Array:
        """Return every line that can block, found without an overlay."""
        return np.concatenate((self._fixed_lines, edges_of(things)))

    @property
    def whole_turn_deg(self) -> float:
        """Return the turn after which the body is where it was: 360, or less where either way will do."""
        return self.period_deg if self.laps == 1 else 360.0

    @cached_property
    def _fixed_lines(self) -> Array:
        rooms, holes = self._fixed
        return np.concatenate((walls_of(rooms), edges_of(holes)))

    def _certificate(self, run: _Run, reached: Sequence[tuple[Any, int]] | None = None) -> Certificate:
        """Return a certificate of the cells reached, those from the start where none are told."""
        if run.search is None:
            raise AssertionError("no search to certify")
        cells = tuple(
            (cell.from_deg + lap * self.period_deg, cell.to_deg + lap * self.period_deg, cell.polygon)
            for cell, lap in (run.search.reached if reached is None else reached)
        )
        pieces: tuple[Outline, ...] = ()
        if not self.body.convex:
            half = self.body.plainly(run.slice_mm / 2, run.slice_mm)
            pieces = tuple(tuple((float(x), float(y)) for x, y in p + self.centre) for p in half)
        return Certificate(self.centre, -run.slice_mm, self.whole_turn_deg, pieces, cells)

    def _turns(
        self, start_deg: float, goal_deg: float
    ) -> tuple[list[float], tuple[int, int], tuple[int, int]]:
        """Return the base turns and the place and lap of start and goal among them."""
        period = self.period_deg
        kept: list[float] = []
        ends = []
        for turn_deg in (start_deg, goal_deg):
            lap, rest = divmod(turn_deg, period)
            if period - rest < SAME_TURN_DEG:
                lap, rest = lap + 1, 0.0
            near = [t for t in kept if abs(t - rest) < SAME_TURN_DEG]
            if near:
                rest = near[0]
            else:
                kept.append(rest)
            ends.append((rest, int(lap) % self.laps))
        for turn_deg in (*self.wall_turns, *np.arange(0.0, period, BASE_STEP_DEG).tolist()):
            if all(min(abs(turn_deg - t), period - abs(turn_deg - t)) > 0.01 for t in kept):
                kept.append(turn_deg)
        kept.sort()
        (s, s_lap), (g, g_lap) = ends
        return kept, (kept.index(s), s_lap), (kept.index(g), g_lap)

    @cached_property
    def wall_turns(self) -> list[float]:
        """Return the turns that lay a side of the body along the longest wall directions, longest first."""
        d = self.walls[:, 1] - self.walls[:, 0]
        length = np.hypot(d[:, 0], d[:, 1])
        walls = np.degrees(np.arctan2(d[:, 1], d[:, 0]))
        normals, _ = minkowski.half_planes(self.body.ring)
        sides = np.degrees(np.arctan2(normals[:, 1], normals[:, 0]))
        weight: dict[float, float] = {}
        for w, mm in zip(walls, length, strict=True):
            for s in sides:
                turn_deg = round((w - 90.0 - s) % 180.0 % self.period_deg, 9) % self.period_deg
                weight[turn_deg] = weight.get(turn_deg, 0.0) + mm
        return sorted(weight, key=lambda t: -weight[t])[:WALL_TURNS]


@dataclass(frozen=True, slots=True)
class _Run:
    """One search with its inputs; no search where an end does not fit."""

    joined: bool | None
    search: Search | None
    sweep: Sweep
    crowd: Crowd
    start: Pose
    goal: Pose
    begin: Point
    end: Point
    slice_mm: float


def _ending(poses: list[Pose], goal: Pose, period_deg: float) -> list[Pose]:
    """Return the poses with the goal's own place and turn at the end, whole periods added to it."""
    last = poses[-1]
    whole = round((last.turn_deg - goal.turn_deg) / period_deg) * period_deg
    if len(poses) == 1:
        return poses if _same(last, goal) else [*poses, Pose(goal.x_mm, goal.y_mm, goal.turn_deg + whole)]
    return [*poses[:-1], Pose(goal.x_mm, goal.y_mm, goal.turn_deg + whole)]


def _same(a: Pose, b: Pose) -> bool:
    return abs(a.x_mm - b.x_mm) + abs(a.y_mm - b.y_mm) + abs(a.turn_deg - b.turn_deg) < 1e-12


def _piece_holding(pieces: Sequence[Piece], place: Point) -> Piece | None:
    """Return the piece a place lies in, allowing for rounding at its edge."""
    point = shapely.points(place)
    found = [(float(shapely.distance(p.polygon, point)), i) for i, p in enumerate(pieces)]
    if not found or min(found)[0] > 1e-6:
        return None
    return pieces[min(found)[1]]
