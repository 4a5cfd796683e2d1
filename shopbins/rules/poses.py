"""A place on the floor for a thing: along the walls and beside what stands there, in plain Python.

Candidates are the places where the thing touches (but for a small gap) a wall or another thing on two
sides, at the turns of the walls. Every candidate is checked by the outlines themselves. Where none is free,
or the best are wanted, the floor kernel looks at all there are.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.exact import gap, inside, overlap
from shopbins.geometry.shapes import Box, Outline, Point, Pose, bounds, cos_sin, placed, turned
from shopbins.kernel.places import Named, Place
from shopbins.ledger.model import Group, InZone
from shopbins.rules import doors
from shopbins.rules.ways import floor_of
from shopbins.scene.frames import to_zone
from shopbins.scene.grid import Grid
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, footprint, heights_meet
from shopbins.shop.model import Level, Shop, Zone

MOST_TURNS = 6
CUT_CORNERS = 1.1
HAIR_MM = 0.003


@dataclass(frozen=True, slots=True)
class Taken:
    """A named outline that is taken: by a body (`spare_mm` is left beside it) or kept free."""

    outline: Outline
    box: Box
    spare_mm: float
    name: str = ""


class Site:
    """Where a thing may be put: the zone's outline, what stands in the way, and floor to keep free."""

    def __init__(self, zone: Zone, bodies: Iterable[Named], free: Iterable[Named], spare_mm: float) -> None:
        self.zone = zone
        self.spare_mm = spare_mm
        self.taken = [Taken(o, bounds(o), spare_mm, name) for name, o in bodies]
        self.taken += [Taken(o, bounds(o), 0.0, name) for name, o in free]
        self._grid = Grid(self.taken)

    def blocked(self, outline: Outline, box: Box) -> bool:
        """Tell whether an outline would stand too near a body, or on floor to keep free."""
        for each in self._grid.near(box.grown(self.spare_mm)):
            if each.spare_mm > 0.0:
                if gap(outline, each.outline).distance_mm < each.spare_mm - 1e-6:
                    return True
            elif overlap(outline, each.outline):
                return True
        return False


def site(scene: Scene, zone: Zone, level: Level, group: Group, *, keep_ways: bool = True) -> Site:
    """Gather what a group would meet on a level of a zone (other bodies at its heights, ways, doors)."""
    share = scene.share(group.id)
    probe = Standing(
        subject=f"group:{group.id}",
        tag="",
        name="",
        code="",
        room=zone.room,
        outline=zone.outline,
        base_mm=level.height_mm,
        top_mm=None if share.height_mm is None else level.height_mm + share.height_mm,
        zone=zone.key,
    )
    bodies = [b for b in scene.near(zone.room, bounds(zone.outline).grown(1.0)) if _in_the_way(b, probe)]
    open_floor = zone.kind in ("floor", "room")
    free = kept_free(scene.shop, (zone.room,), level.height_mm) if keep_ways and open_floor else ()
    return Site(zone, ((b.name, b.outline) for b in bodies), free, scene.shop.measured_mm)


def _in_the_way(body: Standing, probe: Standing) -> bool:
    if body.subject == probe.subject or (body.kind == "zone" and body.zone == probe.zone):
        return False
    return heights_meet(body, probe) is not False


def kept_free(shop: Shop, rooms: Collection[str], above_mm: float = 0.0) -> Iterator[Named]:
    """Go through the floor of some rooms that nothing may be put on, by the name of what keeps it free: ways,
    doors with their leaves and the floor before them, keep-clears that reach higher than `above_mm`.
    """
    for way in shop.walkways.values():
        if not way.rooms or any(room in rooms for room in way.rooms):
            yield from ((way.name, piece) for piece in floor_of(way).pieces)
    for door in shop.doors.values():
        if door.room not in rooms and door.to not in rooms:
            continue
        yield door.name, door.passage
        if door.swing:
            yield door.name, door.swing
        if door.room in shop.rooms:
            for front in doors.fronts(door, shop.rooms[door.room].outline):
                yield from ((door.name, piece) for piece in front.pieces)
    for clear in shop.keep_clear.values():
        if clear.room in rooms and (clear.height_mm is None or clear.height_mm > above_mm):
            yield clear.name, clear.outline


def turns(zone: Zone, first: float = 0.0) -> list[float]:
    """Return turns in the shop frame worth trying: the zone's own, then along its walls, by quarters."""
    angles: list[float] = []
    edges = zip(zone.outline, (*zone.outline[1:], zone.outline[0]), strict=True)
    by_length = sorted(edges, key=lambda e: -math.dist(*e))
    for a in (
        zone.frame.turn_deg + first,
        *(math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) for p, q in by_length),
    ):
        a %= 90.0
        if all(min(abs(a - b), 90 - abs(a - b)) > 0.01 for b in angles):
            angles.append(a)
    return [a + quarter for a in angles[: MOST_TURNS // 2] for quarter in (0.0, 90.0)]


def free_poses(on: Site, outline: Outline, angles: Sequence[float]) -> Iterator[Pose]:
    """Go through free poses (shop frame): on a spot row by row from its corner, in a room along the walls."""
    tried = [each for angle in angles for each in _candidates(on, outline, angle)]
    room = on.zone.kind == "room"
    for *_, pose in sorted(tried, key=lambda each: (round(each[0], -1) if room else 0.0, *each[1:3])):
        stands = placed(outline, pose)
        if inside(stands, on.zone.outline) and not on.blocked(stands, bounds(stands)):
            yield pose


def _candidates(on: Site, outline: Outline, angle: float) -> Iterator[tuple[float, float, float, Pose]]:
    """Go through places beside walls and things in the frame turned by `angle`: the distance from the
    zone's box, then from its far and its left side in the zone's own frame, and the pose.
    """
    c, s = cos_sin(-angle)

    def local(points: Outline) -> Box:
        return bounds((x * c - y * s, x * s + y * c) for x, y in points)

    zone = local(on.zone.outline)
    x0, y0, x1, y1 = bounds(outline)
    half_x, half_y = max(-x0, x1), max(-y0, y1)
    spare = on.spare_mm
    others = [local(each.outline) for each in on.taken]
    xs = [zone.left + half_x, zone.right - half_x, zone.middle[0]]
    ys = [zone.bottom + half_y, zone.top - half_y, zone.middle[1]]
    found: dict[tuple[float, float], None] = {(x, y): None for x in xs for y in ys}
    for u0, v0, u1, v1 in others:
        beside_x = (u0 - half_x - spare, u1 + half_x + spare)
        beside_y = (v0 - half_y - spare, v1 + half_y + spare)
        found.update(((x, y), None) for x in beside_x for y in (v0 + half_y, v1 - half_y, *ys[:2]))
        found.update(((x, y), None) for y in beside_y for x in (u0 + half_x, u1 - half_x, *xs[:2]))
    for x, y in corners(on.zone.outline, c, s, half_x, half_y):
        found[(x, y)] = None
    back_c, back_s = cos_sin(angle)
    frame = on.zone.frame
    own_c, own_s = cos_sin(frame.turn_deg)
    left, low, _, _ = bounds(turned(outline, angle - frame.turn_deg))
    for x, y in found:
        far = min(
            x - half_x - zone.left, zone.right - x - half_x, y - half_y - zone.bottom, zone.top - y - half_y
        )
        if far >= -0.001:
            pose = Pose(x * back_c - y * back_s, x * back_s + y * back_c, angle % 360.0)
            dx, dy = pose.x_mm - frame.x_mm, pose.y_mm - frame.y_mm
            yield far, round(dy * own_c - dx * own_s + low, 3), round(dx * own_c + dy * own_s + left, 3), pose


def corners(outline: Outline, c: float, s: float, half_x: float, half_y: float) -> Iterator[Point]:
    """Go through the places with a corner of the thing in a corner of the zone."""
    for x, y in outline:
        u, v = x * c - y * s, x * s + y * c
        for du in (-half_x, half_x):
            for dv in (-half_y, half_y):
                yield u + du, v + dv


def choose(
    scene: Scene, group: Group, zone: Zone, level: Level, *, keep_ways: bool = True, thorough: bool = False
) -> InZone | None:
    """Choose a free place for a group in a zone, in the zone's frame; None if its size is not known or no
    candidate is free. `thorough` looks at all free places there are, where no candidate is.
    """
    outline = footprint(group)
    if outline is None:
        return None
    on = site(scene, zone, level, group, keep_ways=keep_ways)
    pose = next(free_poses(on, outline, turns(zone)), None)
    if pose is None and thorough:
        pose = next((each.pose for each in best_free(on, outline, 1) if not each.marked), None)
    return None if pose is None else in_zone(zone, level, pose)


def several(scene: Scene, group: Group, zone: Zone, level: Level, most: int) -> list[tuple[InZone, str]]:
    """Return the best places in a zone, well apart, each with what it stands against: nearest to where the
    group is if that is in the zone's room, along walls and things first, those in ways last.

    Empty only where there is none for certain at the turns of the walls, or the group's size is not known.
    Loads shapely.
    """
    outline = footprint(group)
    if outline is None:
        return []
    on = site(scene, zone, level, group)
    body = scene.body(group.id)
    near = None if body is None or body.room != zone.room else body.centre
    places = [(in_zone(zone, level, e.pose), e.reason) for e in best_free(on, outline, most, near)]
    if places:
        return places
    for keep_ways in (True, False):  # a thing that is not convex may stand where its hull has no room
        where = choose(scene, group, zone, level, keep_ways=keep_ways)
        if where is not None:
            return [(where, "" if keep_ways else "free only in ways, doors or keep-clears")]
    return []


def best_free(on: Site, outline: Outline, most: int, near: Point | None = None) -> tuple[Place, ...]:
    """Return the best free places of an outline's hull, those on floor to keep free last; loads shapely.

    First those that stay free when their pose is rounded, else those with nothing to spare.
    """
    from shopbins.kernel.stand import stand

    never = [(t.name, _widened(t.outline, on.spare_mm)) for t in on.taken if t.spare_mm > 0.0]
    marked = [(t.name, t.outline) for t in on.taken if t.spare_mm <= 0.0]
    hull = convex_hull(outline)
    for body in (_widened(hull, HAIR_MM), hull):
        found = stand(on.zone.outline, never, marked, body, turns(on.zone), near=near, most=most, prove=False)
        if found.places:
            break
    return found.places


def _widened(outline: Outline, by_mm: float) -> Outline:
    """Move every side of an outline out; what sticks out far at a corner is cut off, never too near."""
    import shapely

    around = shapely.buffer(shapely.Polygon(outline), by_mm, join_style="mitre", mitre_limit=CUT_CORNERS)
    return tuple((float(x), float(y)) for x, y in around.exterior.coords[:-1])[::-1]


def in_zone(zone: Zone, level: Level, pose: Pose) -> InZone:
    """Return a pose of the shop frame as a place chosen by the program."""
    there = to_zone(zone, pose.x_mm, pose.y_mm, pose.turn_deg)
    return InZone(
        zone.key, level.key, round(there.x_mm, 3), round(there.y_mm, 3), round(there.turn_deg, 6) % 360.0
    )
