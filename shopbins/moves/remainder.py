"""What is left standing there once parts are off: its outline and size, and where its middle then is."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Point, Pose, bounds, cos_sin
from shopbins.ledger.model import Group, InZone, Size
from shopbins.moves.body import Body
from shopbins.scene.frames import to_shop, to_zone
from shopbins.scene.scene import Scene


@dataclass(frozen=True, slots=True)
class Left:
    """A group once its parts are off: size and outline about the middle of its new box.

    `middle_mm` is that middle in the frame the group had before; (0, 0) where both are the same.
    """

    size: Size | None
    outline: Outline | None
    middle_mm: Point


def left_of(it: Body) -> Left:
    """Return what is left of a thing without the parts that are off in this body; as it is if none are."""
    group = it.group
    if not it.off:
        return Left(group.size, group.outline, (0.0, 0.0))
    x0, y0, x1, y1 = whole = bounds(it.load.outline)
    mx, my = whole.middle
    about = tuple((x - mx, y - my) for x, y in it.load.outline)
    box = len(about) == 4 and all(
        abs(abs(x) - (x1 - x0) / 2) < 0.01 and abs(abs(y) - (y1 - y0) / 2) < 0.01 for x, y in about
    )
    before = group.known_size
    height = before.height_mm if before is not None else it.load.height_mm
    size = None
    if height is not None:
        high = min(height, it.load.height_mm) if it.load.height_mm is not None and not it.along else height
        size = Size(x1 - x0, y1 - y0, high, before is not None and before.about)
    return Left(size, None if box and size is not None else about, (mx, my))


def moved_reference(pose: Pose, middle_mm: Point) -> Pose:
    """Return the pose of a group's new middle, given that of its old one."""
    c, s = cos_sin(pose.turn_deg)
    x, y = middle_mm
    return Pose(pose.x_mm + x * c - y * s, pose.y_mm + x * s + y * c, pose.turn_deg)


def where_left(scene: Scene, group: Group, left: Left) -> InZone | None:
    """Return where the new middle lies while the thing stays where it is; None where nothing changes."""
    where = group.where
    if left.middle_mm == (0.0, 0.0) or not isinstance(where, InZone):
        return None
    zone = scene.zone(where.zone)
    if zone is None or where.x_mm is None or where.y_mm is None:
        return None
    at = moved_reference(to_shop(zone, where.x_mm, where.y_mm, where.turn_deg), left.middle_mm)
    there = to_zone(zone, at.x_mm, at.y_mm, at.turn_deg)
    return where._replace(x_mm=there.x_mm, y_mm=there.y_mm, turn_deg=there.turn_deg)


def with_left(scene: Scene, it: Body) -> Scene:
    """Return the scene with a thing's parts off; those with tags lie nowhere yet."""
    if not it.off:
        return scene
    left = left_of(it)
    group = scene.group(it.group.id)
    where = where_left(scene, group, left) or group.where
    scene = scene.with_group(group._replace(size=left.size, outline=left.outline, where=where))
    for part in it.off:
        if part.group:
            scene = scene.with_group_at(part.group, None)
    return scene
