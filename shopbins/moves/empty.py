"""What bars the way of an empty hoist by doors: their heights and widths, and the ceilings of rooms."""

from __future__ import annotations

import math

from shopbins.moves.heights import clear_height_mm
from shopbins.moves.route import Route, routes
from shopbins.shop.model import Gear, Shop
from shopbins.units import show_length


def barred(shop: Shop, gear: Gear, start: str, goal: str) -> str:
    """Say why an empty hoist surely comes by no doors from room to room; '' where that is not sure."""
    if start == goal:
        return ""
    said = []
    for route in routes(shop, start, goal, (0.0, 0.0), (0.0, 0.0)):
        why = too_tall_or_wide(shop, gear, route)
        if not why:
            return ""
        said.append(why)
    return said[0] if said else f"no door leads to {shop.rooms[goal].name} by rooms the shop file draws"


def too_tall_or_wide(shop: Shop, gear: Gear, route: Route) -> str:
    """Say which door or ceiling a hoist, empty and its boom down, surely does not pass; '' for none."""
    within, tall = 2 * shop.measured_mm, gear.height_mm
    doors = [shop.doors[key] for key in route.doors]
    over = [(d.name, h - (d.threshold_mm or 0.0)) for d in doors if (h := clear_height_mm(d)) is not None]
    rooms = [shop.rooms[key] for key in route.rooms]
    over += [(r.name, r.headroom_mm) for r in rooms if not r.outdoor and r.headroom_mm is not None]
    for name, free in over:
        if tall is not None and tall - free > within:
            return f"{show_length(tall)} high, {show_length(free)} under {name}"
    wide = None if gear.size_mm is None else min(gear.size_mm)
    for door in doors:
        if wide is not None and wide - math.dist(*door.jambs) > within:
            return f"{show_length(wide)} wide, {show_length(math.dist(*door.jambs))} at {door.name}"
    return ""
