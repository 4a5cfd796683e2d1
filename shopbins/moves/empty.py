"""What bars the way of an empty hoist by doors: their heights and widths, and the ceilings of rooms."""

from __future__ import annotations

import math

from shopbins.moves.heights import under_ceilings, under_doors
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
    for over in (*under_doors(doors), *under_ceilings(shop.rooms[key] for key in route.rooms)):
        free = None if over.underside_mm is None else over.underside_mm - over.sill_mm
        if tall is not None and free is not None and tall - free > within:
            return f"{show_length(tall)} high, {show_length(free)} under {over.name}"
    wide = None if gear.size_mm is None else min(gear.size_mm)
    for door in doors:
        if wide is not None and wide - math.dist(*door.jambs) > within:
            return f"{show_length(wide)} wide, {show_length(math.dist(*door.jambs))} at {door.name}"
    return ""
