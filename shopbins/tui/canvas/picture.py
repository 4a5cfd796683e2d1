"""What is to be drawn of a scene, gathered once a state."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import Fixture, Shop, Zone
from shopbins.tui.canvas.fullness import Fullness, fullness

ON_THE_FLOOR_MM = 300.0
"""What stands lower than this stands on the floor; the rest is on a bench or shelf."""


class Picture(NamedTuple):
    """What to draw: the shop, the bodies in it, the benches where they now stand, how full each is."""

    shop: Shop
    bodies: tuple[Standing, ...]
    zones: tuple[Zone, ...]
    fixtures: tuple[Fixture, ...]
    fullness: Mapping[str, Fullness | None]


def picture_of(scene: Scene, without: str | None = None) -> Picture:
    """Gather what is drawn of a scene, one group left out if it is being carried."""
    shop = scene.shop
    bodies = [body for room in shop.rooms for body in scene.standing(room)]
    groups = [b for b in bodies if b.kind == "group" and b.key != without]
    groups.sort(key=lambda b: (b.base_mm, -_area(b)))
    zones = tuple(zone for zone in scene.zones() if zone.kind != "room")
    fixtures = tuple(f for f in (scene.fixture(key) for key in shop.fixtures) if f is not None)
    return Picture(shop, tuple(groups), zones, fixtures, {z.key: fullness(scene, z) for z in zones})


def _area(body: Standing) -> float:
    x0, y0, x1, y1 = body.box
    return (x1 - x0) * (y1 - y0)
