"""The narrowest pinch: the widest disc that can travel between two places, and what pinches it. Exact.

A disc of width w cannot get from start to goal just when obstacles grown by w/2 part the two. Grown convex
features overlap just when the gap between them is at most w, and any chain of overlaps can be drawn as a
line through the features and across the gaps. Such a closed line parts start and goal when it crosses the
straight line from start to goal an odd number of times. So gaps are closed from the narrowest on, and the
first that closes an odd ring is the pinch: its width is a distance between two features, exact to rounding
(no sampling, no tolerance). Plain Python; only `route` loads numpy and scipy.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.exact import point_gap
from shopbins.geometry.features import Feature, Gaps, Link, thing_features, wall_features
from shopbins.geometry.shapes import FloorProblem, Outline, Point, bounds, contains

FIRST_LOOK_MM = 400.0


@dataclass(frozen=True, slots=True)
class Pinch:
    """The widest disc's diameter, the two named features that hold it, and their nearest points.

    0 mm: the way is closed where `points` lie. Where the room about the start or the goal itself is less
    than any gap on the way, the second name is `start` or `goal`. `goal` is the place in the list of goals.
    """

    width_mm: float
    between: tuple[str, str]
    points: tuple[Point, Point]
    goal: int = 0


class Floor:
    """Walls and things on a floor; gaps once worked out serve every later question."""

    def __init__(self, features: Sequence[Feature]) -> None:
        """Take the features of `features.wall_features` and `features.thing_features`."""
        self.gaps = Gaps(features)

    @classmethod
    def of(
        cls, floor: Sequence[Outline], holes: Sequence[Outline] = (), things: Sequence[Outline] = ()
    ) -> Floor:
        """Name walls `wall`, holes `hole 0` and so on, things `thing 0` and so on."""
        named = [(f"thing {k}", outline) for k, outline in enumerate(things)]
        return cls(wall_features(floor, holes) + thing_features(named))

    def pinch(self, start: Point, goal: Point) -> Pinch:
        """Return the pinch between two places. Raises FloorProblem where one lies in or at a feature."""
        return self.best(start, [goal])

    def best(self, start: Point, goals: Sequence[Point]) -> Pinch:
        """Return the pinch to that one of several goals to which the widest disc can travel."""
        if not goals:
            raise FloorProblem("goal: none given")
        found = [self._to(start, goal, k) for k, goal in enumerate(goals)]
        return max(found, key=lambda p: (p.width_mm, -p.goal))

    def roomiest(self, room: Outline, within_mm: float = 20.0) -> Point | None:
        """Return a place in a room where all but the widest disc can stand; None where nothing is free.

        The disc's radius is less than the greatest there is by `within_mm` at most.
        """
        box = bounds(room)
        near = Gaps([f for f in self.gaps.features if box.gap_mm(f.box) <= 0.0])
        span = max(box.wide_mm, box.deep_mm)
        best, place = 0.0, None
        waiting: list[tuple[float, float, float, float]] = [(-math.inf, *box.middle, span / 2)]
        while waiting and -waiting[0][0] > best + within_mm:
            _, x, y, half = heapq.heappop(waiting)
            for cx, cy in itertools.product((x - half / 2, x + half / 2), (y - half / 2, y + half / 2)):
                p = (cx, cy)
                clear = near.clearance(p)[0] if contains(room, p) else -point_gap(room, p).distance_mm
                if clear > best:
                    best, place = clear, p
                # No place in the square is clearer than its middle by more than its half diagonal.
                reach = (clear or -near.depth(p)) + half * math.sqrt(0.5)
                if reach > best + within_mm and half > within_mm / 4:
                    heapq.heappush(waiting, (-reach, cx, cy, half / 2))
        return place

    def _to(self, start: Point, goal: Point, number: int) -> Pinch:
        near_start, near_goal = self._held(start, "start"), self._held(goal, "goal")
        tightest = min(near_start, near_goal, key=lambda p: p.width_mm)
        if start != goal:
            reach = min(FIRST_LOOK_MM, tightest.width_mm)
            ring = _first_odd_ring(self.gaps, start, goal, reach)
            while ring is None and reach < tightest.width_mm:
                reach = min(2 * reach, tightest.width_mm)
                ring = _first_odd_ring(self.gaps, start, goal, reach)
            if ring is not None:
                feats = self.gaps.features
                names = (feats[ring.first].name, feats[ring.second].name)
                return Pinch(ring.width_mm, names, (ring.point_a, ring.point_b), number)
        return Pinch(tightest.width_mm, tightest.between, tightest.points, number)

    def _held(self, p: Point, name: str) -> Pinch:
        """Return how wide a disc can stand at a place."""
        if not (math.isfinite(p[0]) and math.isfinite(p[1])):
            raise FloorProblem(f"{name}: a coordinate is not a finite number")
        distance, k, at = self.gaps.clearance(p)
        if distance <= 0.0:
            raise FloorProblem(f"{name}: it lies in or at {self.gaps.features[k].name}")
        nearest = self.gaps.features[k].name if k >= 0 else name
        return Pinch(2 * distance, (nearest, name), (at, p))


def _first_odd_ring(gaps: Gaps, start: Point, goal: Point, upto_mm: float) -> Link | None:
    """Return the narrowest gap whose closing parts start and goal, among those up to a width.

    Gaps wait in a heap from the time their boxes are near enough. Most need never be worked out: those
    between features already joined, which with both features keep clear of the line start-goal, close an
    even ring.
    """
    sides = _Sides(gaps.features, start, goal)
    clusters = _Clusters(len(gaps.features))
    waiting: list[Link] = []
    side = sides.sides
    for lower, i, j in gaps.pairs(upto_mm):
        if lower > upto_mm:
            break
        while waiting and waiting[0].width_mm <= lower:
            link = heapq.heappop(waiting)
            if clusters.close(link.first, link.second, sides.crossed(link)):
                return link
        if side[i] & side[j] and clusters.even(i, j):
            continue
        link = gaps.link(i, j)
        if link.width_mm <= upto_mm:
            heapq.heappush(waiting, link)
    while waiting:
        link = heapq.heappop(waiting)
        if clusters.close(link.first, link.second, sides.crossed(link)):
            return link
    return None


class _Clusters:
    """Features joined by closed gaps; each knows whether the line to its parent crosses oddly."""

    def __init__(self, count: int) -> None:
        self.parent = list(range(count))
        self.odd = [False] * count

    def close(self, i: int, j: int, crossed: bool) -> bool:
        """Join two features across a gap; True when that closes an odd ring."""
        root_i, odd_i = _root(self.parent, self.odd, i)
        root_j, odd_j = _root(self.parent, self.odd, j)
        crossed = odd_i ^ odd_j ^ crossed
        if root_i == root_j:
            return crossed
        self.parent[root_j], self.odd[root_j] = root_i, crossed
        return False

    def even(self, i: int, j: int) -> bool:
        """Tell whether two features are joined already by a line that crosses evenly."""
        root_i, odd_i = _root(self.parent, self.odd, i)
        root_j, odd_j = _root(self.parent, self.odd, j)
        return root_i == root_j and odd_i == odd_j


def _root(parent: list[int], odd: list[bool], k: int) -> tuple[int, bool]:
    """Return the root of a feature's cluster and the oddness of the line to it; halve the way there."""
    total = False
    while parent[k] != k:
        up = parent[k]
        if parent[up] != up:
            parent[k], odd[k] = parent[up], odd[k] ^ odd[up]
        total ^= odd[k]
        k = parent[k]
    return k, total


class _Sides:
    """Counts crossings of the line start-goal in a frame where it runs along x from 0."""

    def __init__(self, features: Sequence[Feature], start: Point, goal: Point) -> None:
        self.length = math.dist(start, goal)
        self.origin = start
        self.ux, self.uy = (goal[0] - start[0]) / self.length, (goal[1] - start[1]) / self.length
        self.features = features
        self.first: dict[int, Point] = {}
        # Bits for a feature: left of the line (1), right of it (2), before (4) or past (8) its ends.
        self.sides: list[int] = []
        sx, sy, ux, uy, length = *start, self.ux, self.uy, self.length
        for f in features:
            dx, dy, r = f.middle[0] - sx, f.middle[1] - sy, f.radius_mm + 1e-3
            x, y = dx * ux + dy * uy, dy * ux - dx * uy
            self.sides.append((y > r) | (y < -r) << 1 | (x < -r) << 2 | (x - length > r) << 3)

    def _seen(self, p: Point) -> Point:
        dx, dy = p[0] - self.origin[0], p[1] - self.origin[1]
        return dx * self.ux + dy * self.uy, dy * self.ux - dx * self.uy

    def _first(self, k: int) -> Point:
        """Return a feature's first point in the line's frame."""
        found = self.first.get(k)
        if found is None:
            found = self.first[k] = self._seen(self.features[k].points[0])
        return found

    def crossed(self, link: Link) -> bool:
        """Tell whether a link, drawn from one feature's first point to the other's, crosses oddly."""
        if self.sides[link.first] & self.sides[link.second]:
            return False
        way = (
            self._first(link.first),
            self._seen(link.point_a),
            self._seen(link.point_b),
            self._first(link.second),
        )
        count = False
        (x0, y0) = way[0]
        for x1, y1 in way[1:]:
            if (y0 > 0.0) != (y1 > 0.0) and 0.0 < x0 + (x1 - x0) * y0 / (y0 - y1) < self.length:
                count = not count
            x0, y0 = x1, y1
        return count


def pinch(
    floor: Outline | Sequence[Outline],
    holes: Sequence[Outline],
    things: Sequence[Outline],
    start: Point,
    goal: Point,
) -> Pinch:
    """Return the pinch between two places on a floor (one outline, or several to unite).

    Raises FloorProblem where start or goal is off the floor or in a thing.
    """
    outlines = as_outlines(floor)
    for name, p in (("start", start), ("goal", goal)):
        if not any(contains(o, p) for o in outlines):
            raise FloorProblem(f"{name}: it lies off the floor")
        for k, hole in enumerate(holes):
            if contains(hole, p):
                raise FloorProblem(f"{name}: it lies in hole {k}")
    return Floor.of(outlines, holes, things).pinch(start, goal)


def as_outlines(floor: Outline | Sequence[Outline]) -> list[Outline]:
    """Return one outline or several as a list of outlines."""
    first = floor[0][0]
    return [tuple(floor)] if isinstance(first, (int, float)) else list(floor)  # type: ignore[arg-type]
