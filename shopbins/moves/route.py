"""Ways by doors: rooms joined to one floor for the kernel, what stands fixed there, what may be shifted.

A hinged leaf stands open as far as it opens, with its thickness; `leaves_off` are doors whose leaf is taken
off its hinges. What meets no height of the thing is left out, a height not known counts as to the ceiling.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace

from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import (
    Outline,
    Point,
    Pose,
    bounds,
    contains,
    counter_clockwise,
    placed,
    turned,
)
from shopbins.rules.covers import is_cover
from shopbins.rules.slopes import is_steep
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches
from shopbins.scene.thinwalls import thin_walls
from shopbins.shop.model import OUTSIDE, Door, Gear, Opening, Room, Shop
from shopbins.shop.passage import OVERLAP_MM, hung

MOST_ROUTES = 24


@dataclass(frozen=True, slots=True)
class Route:
    """Rooms passed, in order, and the doors between them; `length_mm` straight from door to door."""

    rooms: tuple[str, ...]
    doors: tuple[str, ...]
    length_mm: float


def routes(
    shop: Shop, start: str, goal: str, at_mm: Point, to_mm: Point, stands: Outline = ()
) -> list[Route]:
    """Return every way by doors that passes no room twice, shortest first (at most 24). A doorway that it
    `stands` in is of each, from the room on its other side.
    """
    found: list[Route] = []
    _go(shop, start, goal, at_mm, to_mm, (start,), (), 0.0, found)
    ways = sorted(found, key=lambda r: (r.length_mm, r.doors))[:MOST_ROUTES]
    return [_out_of_doorway(shop, way, stands) for way in ways] if stands else ways


def _out_of_doorway(shop: Shop, way: Route, stands: Outline) -> Route:
    """Return a way begun in the room beyond the doorway that a thing stands in, if that is not on it."""
    for door in shop.doors.values():
        if way.rooms[0] not in (door.room, door.to) or not overlap(door.passage, stands):
            continue
        other = door.beyond(way.rooms[0])
        if other != OUTSIDE and other not in way.rooms:
            return Route((other, *way.rooms), (door.key, *way.doors), way.length_mm)
    return way


def _go(
    shop: Shop,
    here: str,
    goal: str,
    at: Point,
    to: Point,
    rooms: tuple[str, ...],
    doors: tuple[str, ...],
    length: float,
    found: list[Route],
) -> None:
    if here == goal:
        found.append(Route(rooms, doors, length + math.dist(at, to)))
        return
    if len(found) >= 4 * MOST_ROUTES:
        return
    for door in shop.doors.values():
        if here not in (door.room, door.to):
            continue
        other = door.beyond(here)
        if other == OUTSIDE or other in rooms:
            continue
        middle = middle_of(door)
        on = length + math.dist(at, middle)
        _go(shop, other, goal, middle, to, (*rooms, other), (*doors, door.key), on, found)


def is_level(shop: Shop, route: Route) -> bool:
    """Tell whether a way by doors has no slope and no sill that is told of."""
    steep = any(is_steep(shop.rooms[key].slope) for key in route.rooms)
    return not steep and not any(shop.doors[key].threshold_mm for key in route.doors)


def level_between(shop: Shop, one: str, other: str) -> bool:
    """Tell whether any way by doors from one room to another is level, without sills."""
    return any(is_level(shop, route) for route in routes(shop, one, other, (0.0, 0.0), (0.0, 0.0)))


def middle_of(door: Door) -> Point:
    """Return the middle of a door's passage."""
    return bounds(door.passage).middle


@dataclass(frozen=True, slots=True)
class Step:
    """Floor (convex) where wheels are not turned: a slope; or at a sill, out to where ramps at it end, which
    wheels go over square: along `along_deg`, either way.
    """

    outline: Outline
    along_deg: float | None = None

    def square(self, heading_deg: float) -> bool:
        """Tell whether a heading may be taken with a wheel on it."""
        if self.along_deg is None:
            return True
        return abs((heading_deg - self.along_deg + 90.0) % 180.0 - 90.0) <= ASKEW_DEG


ASKEW_DEG = 0.5
"""What is not square to an edge by no more than this is square."""


@dataclass(frozen=True, slots=True)
class Ground:
    """A route as the floor kernel wants it: outlines to unite, fixed holes, things that may be shifted.

    `fixed` and `things` name the bodies; `leaves` the doors whose open leaf is a hole, after the fixed ones;
    `avoided` holes in the floor and what else is kept off, after those. `slopes` are rooms that slope, with
    the direction downhill, in degrees, `steps` where wheels are not turned. `hidden` lies all on or under
    something else that stands for it.
    """

    route: Route
    outlines: tuple[Outline, ...]
    fixed: tuple[Standing, ...]
    leaves: tuple[tuple[str, Outline], ...]
    things: tuple[Standing, ...]
    unseen: tuple[str, ...] = field(default=())
    avoided: tuple[tuple[str, Outline], ...] = ()
    slopes: tuple[tuple[Outline, float], ...] = ()
    hidden: tuple[Standing, ...] = ()
    steps: tuple[Step, ...] = ()

    @property
    def holes(self) -> tuple[Outline, ...]:
        """Everything on the floor that cannot be shifted."""
        return (
            *(each.outline for each in self.fixed),
            *(outline for _, outline in self.leaves),
            *(outline for _, outline in self.avoided),
        )

    @property
    def loose(self) -> tuple[Outline, ...]:
        """The outlines of what may be shifted."""
        return tuple(each.outline for each in self.things)


def ground(
    scene: Scene,
    route: Route,
    subject: str,
    top_mm: float | None,
    *,
    leaves_off: Collection[str] = (),
    along: Collection[str] = (),
    avoid: Sequence[Outline] = (),
    goal: Outline = (),
    pits: bool = True,
) -> Ground:
    """Return the floor of a route for a thing (by subject) that takes the heights from 0 to `top_mm`.

    `goal` is the outline of the place it goes to. Without `pits` open ones are no hindrance.
    """
    shop = scene.shop
    ends = [outline for outline in (goal, _outline_of(scene, route, subject)) if outline]
    fixed: list[Standing] = []
    things: list[Standing] = []
    for room in route.rooms:
        for stands in scene.standing(room):
            each = stands if on_floors(stands.outline, ends) else from_the_floor(scene, stands)
            if each.subject == subject or each.key in along or reaches(each, 0.0, top_mm) is False:
                continue
            (things if _shiftable(scene, each) else fixed).append(each)
    hidden = [t for t in things if t.kind == "group" and _on_fixed(t, fixed, things)]
    things = [t for t in things if t not in hidden]
    doors = [(shop.doors[key], _narrowed(shop.doors[key])) for key in route.doors]
    leaves = [
        (door.key, leaf)
        for door in _doors_in(shop, route.rooms)
        if door.key not in leaves_off and (leaf := open_leaf(door, route.rooms)) is not None
    ]
    rooms = [shop.rooms[key] for key in route.rooms]
    outlines = (*(room.outline for room in rooms), *(passage for _, passage in doors))
    holes = [(hole.name, hole.outline) for hole in open_holes(shop, outlines)] if pits else []
    holes += thin_walls(rooms, doors)
    holes += [("what is kept off", outline) for outline in avoid]
    return Ground(
        route,
        outlines,
        tuple(fixed),
        tuple(leaves),
        tuple(things),
        _unseen(scene, route),
        tuple(holes),
        tuple((r.outline, r.slope.towards_deg) for r in rooms if is_steep(r.slope)),
        tuple(hidden),
        tuple(_steps(shop, route)),
    )


def _steps(shop: Shop, route: Route) -> Iterator[Step]:
    """Go through the slopes of a route, the doorways beside them, and the floor at its sills."""
    steep = {key for key in route.rooms if is_steep(shop.rooms[key].slope)}
    yield from (Step(shop.rooms[key].outline) for key in sorted(steep))
    for door in (shop.doors[key] for key in route.doors):
        sill_mm = door.threshold_mm or 0.0
        if sill_mm > shop.limits.moving["ramp lip"]:
            yield _at_sill(door, _ramp_run_mm(shop, sill_mm))
        elif steep & {door.room, door.to}:
            yield Step(door.passage)


def _ramp_run_mm(shop: Shop, step_mm: float) -> float:
    """Return how far a ramp at a sill runs: of those told the one whose rise is nearest, else 1 in 12."""
    sizes = (ramp.size_mm for _, ramp in ramps_meeting(shop, step_mm))
    return next((size[0] for size in sizes if size is not None), RAMP_RUN * step_mm)


RAMP_RUN = 12.0
"""A ramp runs twelve times its rise: ADA 405.2."""


def ramps_meeting(shop: Shop, step_mm: float) -> list[tuple[float, Gear]]:
    """Return ramps, and plates told with a rise, that meet a step, with how far off it each ends, the nearest
    first. What a ramp rises that is not told is taken to meet it.
    """
    told = [
        (0.0 if g.rise_mm is None else abs(g.rise_mm - step_mm), g)
        for g in shop.gear.values()
        if g.kind == "ramp" or (g.kind == "plate" and g.rise_mm is not None)
    ]
    near = (each for each in told if each[0] <= shop.limits.moving["ramp lip"])
    return sorted(near, key=lambda each: each[0])


def _at_sill(door: Door, run_mm: float) -> Step:
    """Return the floor at a sill: its passage and so far out of both its faces."""
    (ax, ay), (bx, by) = door.jambs
    wall = Pose(ax, ay, math.degrees(math.atan2(by - ay, bx - ax)))
    x0, y0, x1, y1 = bounds(turned([(x - ax, y - ay) for x, y in door.passage], -wall.turn_deg))
    near, far = y0 - run_mm, y1 + run_mm
    return Step(placed(((x0, near), (x1, near), (x1, far), (x0, far)), wall), wall.turn_deg + 90.0)


def from_the_floor(scene: Scene, it: Standing) -> Standing:
    """Return a bench or shelf as it stands in a way: down to the floor, unless people walk upright under it.

    Its legs are not told of; what is under its board is free for what is kept there, not to go through.
    """
    if it.kind != "zone" or it.base_mm >= scene.shop.limits.moving["person high"]:
        return it
    return replace(it, base_mm=0.0)


def _outline_of(scene: Scene, route: Route, subject: str) -> Outline:
    return next((b.outline for r in route.rooms for b in scene.standing(r) if b.subject == subject), ())


def on_floors(outline: Outline, floors: Sequence[Outline]) -> bool:
    """Tell whether what is in a floor lies at least in part on some floors, whatever room it is told in."""
    from shopbins.geometry.exact import overlap

    return any(overlap(outline, floor, 1.0) for floor in floors)


def open_holes(shop: Shop, floors: Sequence[Outline]) -> list[Opening]:
    """Return the pits and hatches without a cover in some floors."""
    holes = (hole for hole in shop.openings.values() if hole.outline and not is_cover(hole))
    return [hole for hole in holes if on_floors(hole.outline, floors)]


def with_pits(shop: Shop, it: Ground) -> Ground:
    """Return a floor with its open pits as holes in it, where they were left out."""
    pits = tuple((hole.name, hole.outline) for hole in open_holes(shop, it.outlines))
    return replace(it, avoided=(*(pit for pit in pits if pit not in it.avoided), *it.avoided))


def _shiftable(scene: Scene, it: Standing) -> bool:
    """Tell whether something may be shifted: a group on a floor, or what the shop file calls movable."""
    if it.kind != "group":
        return it.movable
    zone = None if it.zone is None else scene.zone(it.zone)
    return zone is not None and (zone.kind in ("floor", "room") or zone.movable)


def _on_fixed(it: Standing, fixed: Sequence[Standing], things: Sequence[Standing]) -> bool:
    """Tell whether a thing stands all on or under something else on the list, which then stands for it."""
    for other in (*fixed, *things):
        if other is not it and other.kind == "zone" and all(contains(other.outline, p) for p in it.outline):
            return True
    return False


def _unseen(scene: Scene, route: Route) -> tuple[str, ...]:
    """Name what lies on the floors passed at no known place, so that the kernel cannot see it."""
    found = []
    for zone in scene.zones():
        if zone.room not in route.rooms or zone.kind not in ("floor", "room"):
            continue
        for group_id in scene.ids_in(zone, None):
            if scene.body(group_id) is None:
                group = scene.group(group_id)
                why = "no size" if group.known_size is None else "no exact spot"
                found.append(f"{group.shown} on {zone.name} ({why})")
    return tuple(dict.fromkeys(found))


def _doors_in(shop: Shop, rooms: Collection[str]) -> Iterator[Door]:
    yield from (d for d in shop.doors.values() if d.room in rooms or d.to in rooms)


def open_leaf(door: Door, rooms: Collection[str]) -> Outline | None:
    """Return a hinged leaf standing open, where it stands in a room passed or in a gap passed."""
    if door.opens != "hinged" or door.hand is None:
        return None
    into = door.swings_into or door.room
    passed = door.room in rooms and door.to in rooms
    if into not in rooms and not passed:
        return None
    on_own_side = into == door.room
    face = door.jambs if on_own_side else _far_face(door)
    if face is None:
        return None
    inward = _into(door, face, on_own_side)
    leaf = hung(face, inward, door.hand == "left", door.leaf_mm, door.opens_deg)
    # The thickness lies on the opening's side of the hinge line, as its clear width is counted.
    (hx, hy), (ox, oy) = leaf.at(door.opens_deg, 0.0), leaf.at(door.opens_deg, leaf.width_mm)
    length = math.hypot(ox - hx, oy - hy)
    ux, uy = (ox - hx) / length, (oy - hy) / length
    sx, sy = leaf.shut
    nx, ny = (-uy, ux) if -uy * sx + ux * sy >= 0 else (uy, -ux)
    t = door.leaf_mm
    return counter_clockwise(((hx, hy), (ox, oy), (ox + nx * t, oy + ny * t), (hx + nx * t, hy + ny * t)))


def _far_face(door: Door) -> tuple[Point, Point] | None:
    """Return the jambs on the wall's other face: the passage's far corners, less what overlaps the room."""
    far = sorted(door.passage, key=lambda p: -min(math.dist(p, j) for j in door.jambs))[:2]
    if len(far) < 2:
        return None
    over = 0.0 if door.to == OUTSIDE else OVERLAP_MM
    return _back(far[0], door, over), _back(far[1], door, over)


def _back(corner: Point, door: Door, over_mm: float) -> Point:
    """Return a corner moved towards the jamb it is opposite to."""
    jamb = min(door.jambs, key=lambda j: math.dist(j, corner))
    deep = math.dist(jamb, corner)
    share = 0.0 if deep <= over_mm else over_mm / deep
    return corner[0] + (jamb[0] - corner[0]) * share, corner[1] + (jamb[1] - corner[1]) * share


def _into(door: Door, face: tuple[Point, Point], own_side: bool) -> Point:
    """Return the unit vector from a face of the wall into the room on that side."""
    (ax, ay), (bx, by) = face
    length = math.hypot(bx - ax, by - ay)
    nx, ny = -(by - ay) / length, (bx - ax) / length
    mx, my = middle_of(door)
    away = ((ax + bx) / 2 - mx) * nx + ((ay + by) / 2 - my) * ny
    if abs(away) < 1e-9:
        return (nx, ny) if own_side else (-nx, -ny)
    return (nx, ny) if away > 0 else (-nx, -ny)


def _narrowed(door: Door) -> Outline:
    """Return a passage no wider than the door's stated clear width, where no leaf accounts for that."""
    width = math.dist(*door.jambs)
    if door.opens == "hinged" or door.clear_width_mm >= width - 0.5 or len(door.passage) != 4:
        return door.passage
    (ax, ay), (bx, by) = door.jambs
    ux, uy = (bx - ax) / width, (by - ay) / width
    mx, my = (ax + bx) / 2, (ay + by) / 2
    half = door.clear_width_mm / 2

    def pulled(p: Point) -> Point:
        along = (p[0] - mx) * ux + (p[1] - my) * uy
        back = along - math.copysign(half, along)
        return p[0] - back * ux, p[1] - back * uy

    return counter_clockwise(tuple(pulled(p) for p in door.passage))


# --- floors under a path ----------------------------------------------------------------------------------


def room_at(shop: Shop, point: Point, rooms: Sequence[str]) -> Room | None:
    """Return the room of the route that a point of a path lies in; in a doorway the nearer one's."""
    for key in rooms:
        if contains(shop.rooms[key].outline, point):
            return shop.rooms[key]
    return None


def room_of_outline(shop: Shop, outline: Outline, rooms: Sequence[str]) -> str | None:
    """Return the room that holds an outline's corners, None where it lies across a wall."""
    for key in rooms:
        if all(contains(shop.rooms[key].outline, p) for p in outline):
            return key
    return None
