"""A place on the floor for a thing: along the walls and beside what stands there, in plain Python.

Candidates are the places where the thing touches (but for a small gap) a wall or another thing on two
sides, at the turns of the walls. Every candidate is checked by the outlines themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.floor.exact import gap, inside, overlap
from shopbins.floor.shapes import Box, Outline, Point, Pose, bounds, cos_sin, placed
from shopbins.layout.frames import to_zone
from shopbins.layout.grid import boxes_touch, grown
from shopbins.layout.scene import Scene
from shopbins.layout.standing import Standing, footprint
from shopbins.parts.model import Group, InZone
from shopbins.rules import doors
from shopbins.rules.ways import floor_of
from shopbins.shop.model import Level, Zone

MOST_TURNS = 6


@dataclass(frozen=True, slots=True)
class Ground:
    """Where a thing may be put: the zone's outline, what stands in the way, and floor to keep free."""

    zone: Zone
    bodies: tuple[Outline, ...]
    free: tuple[Outline, ...]
    spare_mm: float

    def blocked(self, outline: Outline, box: Box) -> bool:
        """Tell whether an outline would stand on something or, if that is kept free, on a way."""
        around = grown(box, self.spare_mm)
        for other in self.bodies:
            if boxes_touch(bounds(other), around) and gap(outline, other).distance_mm < self.spare_mm - 1e-6:
                return True
        return any(boxes_touch(bounds(each), box) and overlap(outline, each) for each in self.free)


def ground(scene: Scene, zone: Zone, level: Level, group: Group, *, keep_ways: bool = True) -> Ground:
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
    bodies = [b for b in scene.near(zone.room, grown(bounds(zone.outline), 1.0)) if _in_the_way(b, probe)]
    free = list(_kept_free(scene, zone, probe)) if keep_ways else []
    return Ground(zone, tuple(b.outline for b in bodies), tuple(free), scene.shop.measured_mm)


def _in_the_way(body: Standing, probe: Standing) -> bool:
    from shopbins.layout.standing import heights_meet

    if body.subject == probe.subject or (body.kind == "zone" and body.zone == probe.zone):
        return False
    return heights_meet(body, probe) is not False


def _kept_free(scene: Scene, zone: Zone, probe: Standing) -> Iterator[Outline]:
    if zone.kind not in ("floor", "room"):
        return
    shop = scene.shop
    for way in shop.walkways.values():
        yield from floor_of(way).pieces
    for door in shop.doors.values():
        if zone.room not in (door.room, door.to):
            continue
        yield door.passage
        if door.swing:
            yield door.swing
        if door.room in shop.rooms:
            for front in doors.fronts(door, shop.rooms[door.room].outline):
                yield from front.pieces
    for clear in shop.keep_clear.values():
        if clear.room == zone.room and (clear.height_mm is None or clear.height_mm > probe.base_mm):
            yield clear.outline


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


def free_poses(on: Ground, outline: Outline, angles: Sequence[float]) -> Iterator[Pose]:
    """Go through free poses (shop frame), those nearest a wall first, turn by turn."""
    tried: list[tuple[float, Pose]] = []
    for angle in angles:
        tried += ((_from_edge(on, p), p) for p in _candidates(on, outline, angle))
    for _, pose in sorted(tried, key=lambda each: (round(each[0], 1), each[1].x_mm, each[1].y_mm)):
        stands = placed(outline, pose)
        box = bounds(stands)
        if inside(stands, on.zone.outline) and not on.blocked(stands, box):
            yield pose


def _from_edge(on: Ground, pose: Pose) -> float:
    from shopbins.floor.exact import point_gap

    return abs(point_gap(on.zone.outline, (pose.x_mm, pose.y_mm)).distance_mm)


def _candidates(on: Ground, outline: Outline, angle: float) -> Iterator[Pose]:
    """Go through places in the frame turned by `angle`, beside walls and things."""
    c, s = cos_sin(-angle)

    def local(points: Outline) -> Box:
        return bounds((x * c - y * s, x * s + y * c) for x, y in points)

    zone = local(on.zone.outline)
    x0, y0, x1, y1 = bounds(outline)
    half_x, half_y = max(-x0, x1), max(-y0, y1)
    spare = on.spare_mm
    others = [local(o) for o in (*on.bodies, *on.free)]
    xs = [zone[0] + half_x, zone[2] - half_x, (zone[0] + zone[2]) / 2]
    ys = [zone[1] + half_y, zone[3] - half_y, (zone[1] + zone[3]) / 2]
    found: dict[tuple[float, float], None] = {(x, y): None for x in xs for y in ys}
    for u0, v0, u1, v1 in others:
        beside_x = (u0 - half_x - spare, u1 + half_x + spare)
        beside_y = (v0 - half_y - spare, v1 + half_y + spare)
        found.update(((x, y), None) for x in beside_x for y in (v0 + half_y, v1 - half_y, *ys[:2]))
        found.update(((x, y), None) for y in beside_y for x in (u0 + half_x, u1 - half_x, *xs[:2]))
    for x, y in corners(on.zone.outline, c, s, half_x, half_y):
        found[(x, y)] = None
    back_c, back_s = cos_sin(angle)
    for x, y in found:
        across = zone[0] - 0.001 <= x - half_x and x + half_x <= zone[2] + 0.001
        if across and zone[1] - 0.001 <= y - half_y and y + half_y <= zone[3] + 0.001:
            yield Pose(x * back_c - y * back_s, x * back_s + y * back_c, angle % 360.0)


def corners(outline: Outline, c: float, s: float, half_x: float, half_y: float) -> Iterator[Point]:
    """Go through the places with a corner of the thing in a corner of the zone."""
    for x, y in outline:
        u, v = x * c - y * s, x * s + y * c
        for du in (-half_x, half_x):
            for dv in (-half_y, half_y):
                yield u + du, v + dv


def choose(scene: Scene, group: Group, zone: Zone, level: Level, *, keep_ways: bool = True) -> InZone | None:
    """Choose a free place for a group in a zone, in the zone's frame; None if its size is not known or no
    candidate is free.
    """
    outline = footprint(group)
    if outline is None:
        return None
    on = ground(scene, zone, level, group, keep_ways=keep_ways)
    for pose in free_poses(on, outline, turns(zone)):
        return in_zone(zone, level, pose)
    return None


def in_zone(zone: Zone, level: Level, pose: Pose) -> InZone:
    """Return a pose of the shop frame as a place chosen by the program."""
    there = to_zone(zone, pose.x_mm, pose.y_mm, pose.turn_deg)
    return InZone(
        zone.key, level.key, round(there.x_mm, 3), round(there.y_mm, 3), round(there.turn_deg, 6) % 360.0
    )
