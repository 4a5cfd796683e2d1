"""Where can this stand? All free places of a convex footprint at given turns, and the best of them.

Per turn the free places are a region (`slices`): the floor less every wall and thing grown by the mirrored
body. What must never be stood on is taken off; marked areas (walkways, doors, keep-clears) are taken off as
well for the first choice and allowed, with their names, for the second. Places are taken where the body
touches things (corners of the region), nearest to where it is wanted, and along walls. numpy and shapely load
with this module, so import it lazily; `benchtop` answers for upright rectangles without them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.exact import gap, inside, overlap, point_gap
from shopbins.geometry.shapes import (
    TOUCHING_MM,
    Box,
    FloorProblem,
    Outline,
    Point,
    Pose,
    bounds,
    checked_pose,
    placed,
)
from shopbins.geometry.simple import simple
from shopbins.kernel.body import Body
from shopbins.kernel.goes_check import edges_of, nowhere, off_floor, walls_of
from shopbins.kernel.ground import Crowd, Slicer, floor_polygon, rooms_of
from shopbins.kernel.overlay import as_parts, less
from shopbins.kernel.places import FreePlaces, Named, Place, reason_of

Array = npt.NDArray[np.float64]
Cost = Callable[[Pose, Outline], float]

SHRUNK_MM = 0.0005
ALONG_MM = 5.0
BESIDE_WORTH_MM = 500.0
BATCH = 300
MOST_LOOKED_AT = 3000


def stand(
    floor: Any,
    never: Sequence[Named],
    marked: Sequence[Named],
    body: Outline,
    turns: Iterable[float],
    *,
    near: Point | None = None,
    most: int = 12,
    cost: Cost | None = None,
    prove: bool = True,
) -> FreePlaces:
    """Return the best free places of a convex body, cheapest first; or, with `prove`, that there is
    certainly none.

    `floor` is one outline or several to unite; `never` and `marked` are (name, outline) pairs; `body` is
    given about its reference point. Touching is free, and said as 0 mm; a place may cut 0.001 mm into what it
    touches, no more, and an empty answer means that the body does not fit even 0.0005 mm smaller all round.
    Cost, unless a function of pose and outline is given: the distance from `near` in mm, plus 500 for a body
    that stands free, less the more of its edge runs along a wall or a thing (nothing when all does). Places
    touching a marked area come after all others, and only where `most` is not reached without them.
    Raises FloorProblem.
    """
    question = _Question(floor, never, marked, body, turns, near, cost)
    places = question.best(most)
    return FreePlaces(tuple(places), prove and not places and question.surely_none())


class _Question:
    """One body among named obstacles: its slices, and candidate poses weighed."""

    def __init__(
        self,
        floor: Any,
        never: Sequence[Named],
        marked: Sequence[Named],
        body: Outline,
        turns: Iterable[float],
        near: Point | None,
        cost: Cost | None,
    ) -> None:
        self.body = simple(body, "body")
        self.rooms = tuple(rooms_of(floor))
        self.slicer, self.centre, self.period_deg = _slicer(self.rooms, self.body)
        self.room = self.slicer.ground
        self.outer = _only_ring(self.room)
        self.corners: Array = shapely.get_coordinates(self.room)
        self.never = _Named(never, Box(*self.room.bounds))
        self.marked = _Named(marked, Box(*self.room.bounds))
        if near is not None:
            checked_pose(Pose(near[0], near[1]), "near")
        self.near, self.cost = near, cost
        self.crowd = Crowd(self.never.outlines)
        self.turns = self._distinct(turns)
        self.sides = shapely.STRtree(self._sides())

    def _distinct(self, turns: Iterable[float]) -> list[float]:
        """Return the turns at which the body looks different, first ones first."""
        seen: dict[float, float] = {}
        for turn in turns:
            if not math.isfinite(turn):
                raise FloorProblem(f"turn: {turn} is no number")
            seen.setdefault(round(turn % self.period_deg, 9) % self.period_deg, float(turn))
        return list(seen.values())

    def _sides(self) -> list[Any]:
        """Return the edges of walls and things, which a body can stand along."""
        edges: Any = np.concatenate((self.slicer.walls, self.crowd.edges[0]))
        found: Any = shapely.linestrings(edges)
        return list(found)

    def best(self, most: int) -> list[Place]:
        """Return the cheapest places, those clear of marked areas first."""
        if most < 1 or not self.turns:
            return []
        free = self._slices()
        clear = [self._less_marked(turn, f) for turn, f in zip(self.turns, free, strict=True)]
        places = self._cheapest(clear, most, [], may_touch=False)
        if len(places) < most and self.marked.outlines:
            places = self._cheapest(free, most, places, may_touch=True)
            places.sort(key=lambda place: (bool(place.marked), place.cost))
        return places

    def surely_none(self) -> bool:
        """Tell whether the body can stand nowhere at these turns: no slice says so, plain numbers must."""
        lines = np.concatenate((walls_of(self.rooms), edges_of(self.never.outlines)))
        taken = off_floor(self.rooms, self.never.outlines)
        pieces = Body(self.body).plainly(-SHRUNK_MM / 2, -SHRUNK_MM)
        return all(nowhere(lines, pieces, t, SHRUNK_MM / 2, taken) for t in self.turns)

    def _slices(self) -> list[Any]:
        def one(turn: float) -> Any:
            return self.slicer.free(turn, turn, self.crowd)

        if len(self.turns) < 3:
            return [one(t) for t in self.turns]
        with ThreadPoolExecutor(2) as pool:  # shapely frees the interpreter while it works
            return list(pool.map(one, self.turns))

    def _less_marked(self, turn: float, free: Any) -> Any:
        if not self.marked.outlines or free.is_empty:
            return free
        grown = self.slicer.grow(self.marked.outlines, self.slicer.shapes(turn, turn))
        return less(free, grown)

    def _cheapest(
        self, regions: Sequence[Any], most: int, places: list[Place], *, may_touch: bool
    ) -> list[Place]:
        """Add the cheapest places of regions (one a turn), well apart, until there are `most`."""
        poses = self._candidates(regions)
        if len(poses) == 0:
            return places
        least = np.zeros(len(poses)) if self.near is None else np.hypot(*(poses[:, :2] - self.near).T)
        order = np.argsort(least, kind="stable")
        if self.near is None and len(order) > MOST_LOOKED_AT:
            order = order[:: len(order) // MOST_LOOKED_AT + 1]
        weighed: list[tuple[float, int]] = []
        found = places
        for at in range(0, len(order), BATCH):
            batch = order[at : at + BATCH]
            weighed += zip(self._weigh(poses[batch], least[batch]), batch.tolist(), strict=True)
            weighed.sort()
            following = least[order[at + BATCH]] if at + BATCH < len(order) else math.inf
            if self.cost is None and self.near is not None and following < math.inf:
                settled = [w for w in weighed if w[0] <= following]
            else:
                settled = weighed if following == math.inf or at + BATCH >= MOST_LOOKED_AT else []
            if settled:
                found = self._apart(settled, poses, most, places, may_touch)
                if len(found) >= most:
                    break
        return found

    def _apart(
        self,
        weighed: list[tuple[float, int]],
        poses: Array,
        most: int,
        before: list[Place],
        may_touch: bool,
    ) -> list[Place]:
        """Keep the cheapest, leaving out what stands all but where another does; look at each exactly."""
        found = list(before)
        x0, y0, x1, y1 = bounds(self.body)
        step = min(x1 - x0, y1 - y0) / 2
        for price, k in weighed:
            if len(found) >= most:
                break
            x, y, turn = (float(v) for v in poses[k])
            if any(_alike(p.pose, x, y, turn, step, self.period_deg) for p in found):
                continue
            place = self._checked(x, y, turn, price, may_touch)
            if place is not None:
                found.append(place)
        return found

    def _candidates(self, regions: Sequence[Any]) -> Array:
        """Return poses (n, 3): corners of the regions, and their points nearest to where it is wanted."""
        found = [np.empty((0, 3))]
        for turn, region in zip(self.turns, regions, strict=True):
            if region.is_empty:
                continue
            back = minkowski.turn(np.asarray(self.centre)[None], turn)[0]
            xy = shapely.get_coordinates(region)
            points = [xy]
            if self.near is not None:
                wanted = np.asarray(self.near) + back
                points.append(_feet(minkowski.segments_of(as_parts(region)), wanted))
                if shapely.intersects_xy(region, *wanted):
                    points.append(wanted[None])
            xy = np.unique(np.round(np.concatenate(points) - back, 6), axis=0)
            found.append(np.column_stack((xy, np.full(len(xy), turn))))
        return np.concatenate(found)

    def _weigh(self, poses: Array, least: Array) -> list[float]:
        """Return the costs of poses."""
        if self.cost is not None:
            return [float(self.cost(p, placed(self.body, p))) for p in (Pose(*map(float, q)) for q in poses)]
        beside = self._beside(poses)
        return [float(c) for c in least + BESIDE_WORTH_MM * (1 - beside)]

    def _beside(self, poses: Array) -> Array:
        """Return the share of the body's edge that runs along a wall or thing: 4 samples an edge."""
        corners = minkowski.corners_of(self.body)
        following = np.roll(corners, -1, axis=0)
        t = (np.arange(4) + 0.5)[:, None, None] / 4
        samples = (corners * (1 - t) + following * t).reshape(-1, 2)
        lengths = np.tile(np.hypot(*(following - corners).T), 4)
        turned = {turn: minkowski.turn(samples, turn) for turn in np.unique(poses[:, 2]).tolist()}
        points = np.concatenate([turned[p[2]] + p[:2] for p in poses])
        hit = np.zeros(len(points), dtype=bool)
        if len(self.sides):
            pairs = self.sides.query(shapely.points(points), predicate="dwithin", distance=ALONG_MM)
            hit[pairs[0]] = True
        return np.asarray(hit.reshape(len(poses), -1) @ lengths / lengths.sum())

    def _checked(self, x: float, y: float, turn: float, price: float, may_touch: bool) -> Place | None:
        """Snap a pose to hundredths of a mm where that is free, and look at it with the exact predicates."""
        sx, sy = round(x, 2), round(y, 2)
        for px, py in ((sx, sy), (sx, y), (x, sy), (x, y)):
            pose = Pose(px, py, turn)
            outline = placed(self.body, pose)
            touched = tuple(name for name, o in self.marked.within(outline, 0.0) if overlap(outline, o))
            if (may_touch or not touched) and self._is_free(outline):
                return Place(pose, price, self._reason(outline, touched), touched)
        return None

    def _is_free(self, outline: Outline) -> bool:
        """Judge a place without the slices: within the floor, over no thing."""
        if any(overlap(outline, o) for _, o in self.never.within(outline, 0.0)) or self._pricked(outline):
            return False
        if self.outer is not None:
            return inside(outline, self.outer)
        shrunk = shapely.buffer(shapely.Polygon(outline), -TOUCHING_MM, join_style="mitre")
        return bool(shapely.contains(self.room, shrunk))

    def _pricked(self, outline: Outline) -> bool:
        """Tell whether a corner of a wall is deep in an outline, however slim the wall is there."""
        x0, y0, x1, y1 = bounds(outline)
        x, y = self.corners.T
        within = self.corners[(x > x0) & (x < x1) & (y > y0) & (y < y1)].tolist()
        return any(point_gap(outline, (px, py)).distance_mm < -TOUCHING_MM for px, py in within)

    def _reason(self, outline: Outline, touched: tuple[str, ...]) -> str:
        wall = float(shapely.distance(shapely.Polygon(outline), self.room.boundary))
        things = [(name, gap(outline, o).distance_mm) for name, o in self.never.nearest(outline)]
        ways = [
            (name, gap(outline, o).distance_mm)
            for name, o in self.marked.nearest(outline, len(touched))
            if name not in touched
        ]
        return reason_of(wall, things, ways, touched)


class _Named:
    """Named outlines on the floor with their boxes, to look only at those near a place."""

    def __init__(self, named: Sequence[Named], floor_box: Box) -> None:
        kept = [(name, _kept(tuple(map(tuple, o)), name)) for name, o in named]
        self.named = [(name, o) for name, o in kept if floor_box.gap_mm(bounds(o)) <= 0.0]
        self.outlines = [o for _, o in self.named]
        self.boxes = np.array([bounds(o) for o in self.outlines]).reshape(-1, 4)

    def _far(self, outline: Outline) -> Array:
        """Return the distances from the outline's box to every box."""
        x0, y0, x1, y1 = bounds(outline)
        dx = np.maximum(np.maximum(self.boxes[:, 0] - x1, x0 - self.boxes[:, 2]), 0.0)
        dy = np.maximum(np.maximum(self.boxes[:, 1] - y1, y0 - self.boxes[:, 3]), 0.0)
        return np.hypot(dx, dy)

    def within(self, outline: Outline, reach_mm: float) -> list[Named]:
        """Return those whose boxes come as near as that."""
        return [self.named[int(k)] for k in np.flatnonzero(self._far(outline) <= reach_mm)]

    def nearest(self, outline: Outline, beside: int = 0) -> list[Named]:
        """Return enough of those nearest by their boxes to hold the nearest of all but `beside`."""
        far = self._far(outline)
        order = np.argsort(far, kind="stable")[: 8 + beside]
        if len(order) == 0:
            return []
        gaps = sorted(gap(outline, self.outlines[int(k)]).distance_mm for k in order[: 1 + beside])
        reach = max(gaps[-1], 0.0) + ALONG_MM
        return [self.named[int(k)] for k in np.flatnonzero(far <= reach)]


def _alike(pose: Pose, x: float, y: float, turn: float, step: float, period: float) -> bool:
    off = abs(pose.turn_deg - turn) % period
    return math.hypot(pose.x_mm - x, pose.y_mm - y) < step and min(off, period - off) < 30.0


def _feet(edges: Array, wanted: Array) -> Array:
    """Return the point of each edge (n, 2, 2) nearest to a place."""
    a, d = edges[:, 0], edges[:, 1] - edges[:, 0]
    square = np.maximum(np.sum(d * d, axis=1), 1e-12)
    t = np.clip(np.sum((wanted - a) * d, axis=1) / square, 0.0, 1.0)
    return np.asarray(a + t[:, None] * d)


def _only_ring(room: Any) -> Outline | None:
    """Return the outline of a floor that is one piece without holes."""
    rings = shapely.get_parts(room)
    if len(rings) != 1 or len(rings[0].interiors) > 0:
        return None
    return tuple((float(x), float(y)) for x, y in shapely.normalize(rings[0]).exterior.coords[:-1][::-1])


_kept = lru_cache(maxsize=8192)(simple)
"""What stands on a floor is asked about again and again."""


@lru_cache(maxsize=8)
def _slicer(rooms: tuple[Outline, ...], body: Outline) -> tuple[Slicer, Point, float]:
    """Return the remembered slices of a body on a floor: after one thing moved, little is done anew."""
    shape = Body(body)
    try:
        slicer = Slicer(floor_polygon(rooms), shape, -SHRUNK_MM)
    except ValueError:
        raise FloorProblem("body: it is too thin to be judged") from None
    return slicer, shape.centre, shape.period_deg
