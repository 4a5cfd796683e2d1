"""Where the shifted things may go: clear of the body's way and reachable, one after the other.

Each thing is moved as a body of its own, from where it stands, past everything that stands at that moment,
and laid down where the swept way of the big body, the keep-clear areas and all things leave it room.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from shopbins.geometry.shapes import FloorProblem, Outline, Pose, centroid, placed
from shopbins.geometry.simple import simple
from shopbins.kernel.goes_answer import GOES
from shopbins.kernel.ground import floor_polygon, holes_of, rooms_of
from shopbins.kernel.overlay import as_parts, less, union
from shopbins.kernel.planner import Planner
from shopbins.kernel.slices import free_slice
from shopbins.kernel.swept import swept

GAP_MM = 10.0
SMOOTH_MM = 1.0
TURNS_DEG = (0.0, 90.0, 45.0, 135.0)
TRIES = 8


@dataclass(frozen=True, slots=True)
class Placed:
    """One shifted thing: its place in `things`, its new outline, and its path (poses of its centre, turn 0
    being how it stood)."""

    thing: int
    outline: Outline
    path: tuple[Pose, ...]
    distance_mm: float


@dataclass(frozen=True, slots=True)
class Places:
    """The moves in the order to make them, and for each thing left over why it has no place."""

    moves: tuple[Placed, ...]
    no_place: tuple[tuple[int, str], ...]


def place_shifted(
    floor: Any,
    holes: Sequence[Outline],
    things: Sequence[Outline],
    body: Outline,
    path: Sequence[Pose],
    shift: Sequence[int],
    *,
    keep_clear: Sequence[Outline] = (),
    turns_deg: Sequence[float] = TURNS_DEG,
    gap_mm: float = GAP_MM,
    stop: Callable[[], bool] = lambda: False,
    way: Any = None,
    standing: Outline | None = None,
) -> Places:
    """Return a place for each shifted thing, nearest first, and the order to move them in.

    `path` is the body's checked way with those things gone; it stands at its first pose meanwhile. A place is
    at least `gap_mm` from everything, off the swept way and off `keep_clear`, at one of the turns (from how
    the thing stands). Things are tried in the order given, again as long as one moved makes room for another;
    this finds an order where one exists without moving a thing twice, but does not try other places for
    things already laid down. `way` is what `swept_about` gives for this body and path, where it is known.
    `standing` is what stands at the first pose meanwhile (the body where left out: a thing on its gear stands
    there without it). Raises FloorProblem.
    """
    way = swept_about(body, path) if way is None else way
    closed = union([way, *(shapely.Polygon(simple(k, "keep-clear area")) for k in keep_clear)])
    room = less(floor_polygon(rooms_of(floor), holes_of(holes)), [closed])
    now = [simple(t, f"thing {i}") for i, t in enumerate(things)]
    stood = placed(body if standing is None else standing, path[0])
    left, moves = list(shift), []
    why: dict[int, str] = {}
    progress = True
    while left and progress and not stop():
        progress = False
        for thing in list(left):
            others = [o for i, o in enumerate(now) if i != thing]
            places = _places(room, others, now[thing], turns_deg, gap_mm)
            found = _moved(floor, holes, now[thing], [*others, stood], places)
            if isinstance(found, str):
                why[thing] = found
                continue
            outline, moved, distance = found
            moves.append(Placed(thing, outline, moved, distance))
            now[thing] = outline
            left.remove(thing)
            progress = True
    return Places(tuple(moves), tuple((i, why.get(i, "time was up")) for i in left))


def swept_about(body: Outline, path: Sequence[Pose]) -> Any:
    """Return an area of few corners that holds all a body sweeps along a path, and hardly more."""
    wider = shapely.buffer(swept(simple(body, "body"), path), SMOOTH_MM, join_style="mitre")
    return shapely.simplify(wider, SMOOTH_MM)


def _moved(
    floor: Any,
    holes: Sequence[Outline],
    thing: Outline,
    others: Sequence[Outline],
    places: Sequence[tuple[float, Pose]],
) -> tuple[Outline, tuple[Pose, ...], float] | str:
    """Return a thing's new outline, path and distance, or why there is none."""
    if not places:
        return "no place is big enough"
    cx, cy = centroid(thing)
    planner = Planner(floor, holes, _hull_about_centre(thing))
    for distance, goal in places[:TRIES]:
        try:
            answer = planner.goes(others, Pose(cx, cy, 0.0), goal)
        except FloorProblem as problem:
            return f"it cannot be moved from where it stands ({problem})"
        if answer.answer == GOES:
            own = tuple((x - cx, y - cy) for x, y in thing)
            return placed(own, answer.path[-1]), answer.path, distance
    return "places are big enough but it does not get there"


def _hull_about_centre(thing: Outline) -> Outline:
    cx, cy = centroid(thing)
    hull = shapely.orient_polygons(shapely.convex_hull(shapely.Polygon(thing)))
    return tuple((float(x) - cx, float(y) - cy) for x, y in shapely.get_coordinates(hull)[:-1])


def _places(
    room: Any, others: Sequence[Outline], thing: Outline, turns_deg: Sequence[float], gap_mm: float
) -> list[tuple[float, Pose]]:
    """Return for each connected free region at each turn the place nearest to where the thing stands."""
    at, own = centroid(thing), _hull_about_centre(thing)
    here = shapely.Point(at)
    found = []
    for turn_deg in turns_deg:
        for part in as_parts(free_slice(room, others, own, turn_deg, gap_mm)):
            near = shapely.shortest_line(part, here).coords[0]
            found.append((math.hypot(near[0] - at[0], near[1] - at[1]), Pose(near[0], near[1], turn_deg)))
    return sorted(found, key=lambda f: (f[0], f[1].turn_deg))
