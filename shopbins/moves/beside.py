"""What a truck needs beside its load: floor straight behind its forks, and a square for who steers.

Lengths in mm, in the shop frame unless said.
"""

from __future__ import annotations

import functools
import math
from typing import Any

from shopbins.geometry.shapes import Outline, Point, Pose, cos_sin, placed
from shopbins.moves.fitted import GearAnswer, across_box, boxed
from shopbins.moves.load import Load
from shopbins.moves.route import Ground
from shopbins.shop.figures import Moving


def behind_forks(
    gear: GearAnswer, load: Load, ground: Ground, pose: Pose, own: Moving, spare_mm: float = 0.0
) -> tuple[float, float] | None:
    """Return what forks need straight behind their heels to go in or come out, and what is free there.

    That is looked at so far and `spare_mm` more. None where it is no truck, or its forks are not told.
    """
    truck = gear.gear
    if truck.kind != "pallet truck" or gear.heel is None:
        return None
    if not truck.fork_length_mm or not truck.over_forks_mm:
        return None
    need = truck.fork_length_mm + (truck.body_mm or 0.0) + own["person"]
    back, wide = gear.axis_deg + 180.0, truck.over_forks_mm
    return need, free_beyond(load, floor_free(ground), pose, back, gear.heel, wide, need + spare_mm)


def free_beyond(
    load: Load,
    free: Any,
    pose: Pose,
    towards_deg: float,
    beside: Point,
    wide: float,
    far: float,
    edge_mm: float | None = None,
) -> float:
    """Return how far the floor is free beyond a thing's box in a direction, up to `far`.

    `free` is the floor as `floor_free` has it, `towards_deg` in the thing's own frame, `beside` a point of
    it that the strip of that width lies level with, `edge_mm` how far along that direction it begins, if not
    at the side of the box.
    """
    import shapely

    edge = across_box(load, towards_deg)[1] if edge_mm is None else edge_mm
    c, s = cos_sin(towards_deg)
    aside = beside[0] * s - beside[1] * c
    strip = placed(boxed(towards_deg, edge, edge + far, aside - wide / 2, aside + wide / 2), pose)
    blocked = shapely.difference(shapely.Polygon(strip), free)
    if blocked.is_empty or blocked.area < 1.0:
        return far
    cc, ss = cos_sin(pose.turn_deg + towards_deg)
    ex, ey = placed(((edge * c, edge * s),), pose)[0]
    nearest = min((x - ex) * cc + (y - ey) * ss for x, y in shapely.get_coordinates(blocked))
    return max(0.0, float(nearest))


def floor_free(ground: Ground) -> Any:
    """Return the floor of a route that nothing stands on."""
    return _floor_less(ground.outlines, (*ground.holes, *ground.loose))


@functools.lru_cache(maxsize=32)
def _floor_less(outlines: tuple[Outline, ...], solids: tuple[Outline, ...]) -> Any:
    import shapely

    from shopbins.kernel.ground import floor_polygon

    floor = floor_polygon(list(outlines))
    free = shapely.difference(floor, shapely.union_all([shapely.Polygon(o) for o in solids]))
    shapely.prepare(free)
    return free


def handle_reach(gear: GearAnswer, own: Moving) -> float:
    """Return how far behind the forks the handle is held when it is pulled."""
    return own["handle reach"] if gear.gear.handle_mm is None else gear.gear.handle_mm


def who_steers(gear: GearAnswer, aside_deg: float, reach: float, side: float) -> Outline:
    """Return the square of who steers, behind the truck, with the handle straight or turned aside."""
    towards = gear.axis_deg
    near, _, _, _ = across_box(gear.load, towards)
    heel = gear.heel or (0.0, 0.0)
    c, s = cos_sin(towards)
    aside = heel[0] * s - heel[1] * c
    turn = math.radians(aside_deg)
    back = near - max(gear.gear.body_mm or 0.0, reach * math.cos(turn)) - side / 2
    across = aside + reach * math.sin(turn)
    return boxed(towards, back - side / 2, back + side / 2, across - side / 2, across + side / 2)
