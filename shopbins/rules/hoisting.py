"""Lifting a thing up onto a bench or shelf by a hoist of the shop: what it takes there, and why none does.

A hoist stands before the place: its legs go under it where they are low enough, else they end before it, and
the reach that takes counts. Lengths in mm, masses in kg, as the hoist's plate has them in the shop file.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, cos_sin
from shopbins.rules.slopes import is_steep
from shopbins.scene.standing import of_zone
from shopbins.shop.model import Gear, Level, Shop, Zone
from shopbins.units import show_length, show_mass

HOISTS = ("engine crane", "gantry crane")
"""Gear that a thing hangs from."""
HOOK_OVER_MM = 300.0
"""What hook, shackle and slings take over a thing at least: own figure."""


def capacity_at(gear: Gear, needed_mm: float) -> tuple[float, float] | None:
    """Return (reach, capacity) of the nearest stated reach that is far enough; None beyond them all.

    Never more than the crane's own plate, where that is told, too.
    """
    plate = math.inf if gear.capacity_kg is None else gear.capacity_kg
    return next(((far, min(kg, plate)) for far, kg in gear.reach if far >= needed_mm - 1e-9), None)


def hook_at(gear: Gear, reach_mm: float) -> float | None:
    """Return how high a hook surely goes at a reach: as told there, between two told the lower one's; None
    beyond them, or where no height is told. One height told for the whole crane counts at every reach.
    """
    told = gear.hook_at
    if not told or gear.kind != "engine crane":
        return gear.hook_mm
    within = told[0][0] - 1e-9 <= reach_mm <= told[-1][0] + 1e-9
    nearer = max((each for each in told if each[0] <= reach_mm + 1e-9), default=None)
    farther = min((each for each in told if each[0] >= reach_mm - 1e-9), default=None)
    return min(each[1] for each in (nearer, farther) if each is not None) if within else None


def hook_unsure(gear: Gear, reach_mm: float) -> str:
    """Say that a hook's height is told once for a boom of several reaches, as it holds at one of them; ''
    where it is told for each, or there is but one.
    """
    told = gear.kind == "engine crane" and gear.hook_mm is not None and not gear.hook_at
    if not told or len(gear.reach) < 2:
        return ""
    high, out = show_length(gear.hook_mm or 0.0), show_length(reach_mm)
    return f" (its {high} is told for no reach: try it {out} out)"


def hole_at(gear: Gear, needed_mm: float, mass_kg: float, over_mm: float) -> tuple[float, float] | None:
    """Return (reach, capacity) of the nearest told reach that is far enough, holds a mass and has its hook
    high enough; None where none does.
    """
    for far, _ in gear.reach:
        at, high = capacity_at(gear, far), hook_at(gear, far)
        enough = at is not None and at[1] >= mass_kg and high is not None and high >= over_mm
        if far >= needed_mm - 1e-9 and enough:
            return at
    return None


def falls_short(
    gear: Gear, mass_kg: float, needed_mm: float, over_mm: float, legs: str = "", over: str = ""
) -> str:
    """Say what a crane lacks at the reach it takes: what it lifts there, else how high its hook goes; `legs`
    says why it is so far, `over` what the hook has to be over.
    """
    far = capacity_at(gear, needed_mm)
    if far is None or far[1] < mass_kg:
        return lifts_at(needed_mm, far, legs)
    return f"at a reach of {show_length(far[0])}{legs} {hook_short(over_mm, hook_at(gear, far[0]), over)}"


def lifts_at(reach_mm: float, far: tuple[float, float] | None, legs: str = "") -> str:
    """Say what little a crane lifts at a reach, by what `capacity_at` has of it, and why it is so far."""
    lifts = "nothing" if far is None else f"{show_mass(far[1])} at most"
    return f"at a reach of {show_length(reach_mm)}{legs} it lifts {lifts}"


def most_kg(gear: Gear) -> float | None:
    """Return the most a gear holds, at its nearest reach and by its plate; None where neither is told."""
    told = [max((kg for _, kg in gear.reach), default=None), gear.capacity_kg]
    return min((kg for kg in told if kg is not None), default=None)


@dataclass(frozen=True, slots=True)
class Lifted:
    """How a hoist lifts a thing up onto a place: which (None: none does), said in full; else what would."""

    gear: Gear | None
    said: str
    ends: str = ""


def lifted_onto(
    shop: Shop,
    zone: Zone,
    level: Level,
    mass_kg: float,
    short_mm: float,
    height_mm: float,
    barred: Callable[[Gear], str] = lambda _gear: "",
) -> Lifted:
    """Return the first hoist of the shop that lifts a thing of that mass, shorter side and height onto a
    level, and that nothing bars: `barred` says why one does not come there, '' where it may.
    """
    over = level.height_mm + height_mm + HOOK_OVER_MM
    needs = (
        f"a hoist of at least {show_mass(mass_kg)} reaching {show_length(short_mm / 2)} over {zone.name}, "
    )
    needs += f"its hook {show_length(over)} up"
    room = shop.rooms.get(zone.room)
    if room is not None and is_steep(room.slope):
        return Lifted(None, f"no hoist lifts on the slope of {room.name}", "a place on a level floor")
    free = level.headroom_mm
    if free is not None and free < height_mm + HOOK_OVER_MM:
        said = f"{show_length(free)} over it, {show_length(height_mm + HOOK_OVER_MM)} with hook and slings"
        return Lifted(None, f"no hook comes over {zone.name}: {said}", "a place with more over it")
    against: list[str] = []
    for gear in (g for g in shop.gear.values() if g.kind in HOISTS):
        why = _against(shop, gear, zone, level, mass_kg, short_mm / 2, over)
        if not isinstance(why, str):
            why = barred(gear) or why
        if not isinstance(why, str):
            out = "" if gear.kind == "gantry crane" else f" at {show_length(why[0])}"
            return Lifted(
                gear,
                f"{gear.name}, {show_mass(why[1])}{out}, "
                f"{hook_short(over, hook_at(gear, why[0]))}{hook_unsure(gear, why[0])}",
            )
        against.append(f"{gear.name}: {why}")
    return Lifted(None, "; ".join(against) or "the shop file has no hoist", needs)


def hook_short(over_mm: float, high_mm: float | None, over: str = "") -> str:
    """Say how high a hook goes and how high it has to; `over` says over what."""
    goes = "how high its hook goes there is not told"
    if high_mm is not None:
        goes = f"its hook goes to {show_length(high_mm)}"
    return f"{goes}, {show_length(over_mm)} is needed{over}"


def _against(
    shop: Shop, gear: Gear, zone: Zone, level: Level, mass_kg: float, half_mm: float, over_mm: float
) -> str | tuple[float, float]:
    """Return the reach and what it holds there, or why a hoist does not lift it there."""
    if gear.hook_mm is None:
        return "how high its hook goes is not told"
    if gear.hook_mm < over_mm:
        return hook_short(over_mm, gear.hook_mm)
    if gear.kind == "gantry crane":
        holds, above = gear.capacity_kg, [each for each in zone.levels if each.height_mm > level.height_mm]
        if holds is None or holds < mass_kg:
            return f"it holds {show_mass(holds or 0.0)}"
        if above:
            return f"its hook hangs straight down, and {zone.name}/{above[0].key} is over it"
        return (half_mm, holds) if _finds_room(shop, gear, zone, half_mm) else _no_room(zone)
    body = of_zone(zone)
    under = body is not None and gear.legs_mm is not None and gear.legs_mm < body.base_mm
    if not under and gear.size_mm is None:
        return "how far its legs stand out is not told (size)"
    reach = half_mm if under or gear.size_mm is None else gear.size_mm[0] + half_mm
    if hole_at(gear, reach, mass_kg, over_mm) is None:
        return falls_short(
            gear, mass_kg, reach, over_mm, "" if under else f", its legs ending before {zone.name},"
        )
    every = (hole_at(gear, far, mass_kg, over_mm) for far, _ in gear.reach if far >= reach - 1e-9)
    holes = dict.fromkeys(each for each in every if each is not None)
    fits = (each for each in holes if _finds_room(shop, gear, zone, half_mm, each[0], under=under))
    return next(fits, _no_room(zone))


def _no_room(zone: Zone) -> str:
    return f"its legs find no room at {zone.name} with its hook over it"


def _finds_room(
    shop: Shop, gear: Gear, zone: Zone, half_mm: float, reach_mm: float = 0.0, *, under: bool = False
) -> bool:
    """Tell whether a hoist finds room for its legs among the walls with its hook over a thing on a place, so
    far in from the edge of that, were nothing else there; a gantry astride of it, legs of a crane `under` it
    or before it. What has no size or width inside told is taken to.
    """
    import shapely
    import shapely.affinity

    from shopbins.kernel.slices import free_slice

    room = shop.rooms.get(zone.room)
    if room is None or gear.size_mm is None or (gear.kind == "gantry crane" and gear.inside_mm is None):
        return True
    long, wide = gear.size_mm
    beside: list[tuple[Outline, bool]]  # in the frame of its hook, and whether the place may be over it
    if gear.kind == "gantry crane":
        inside = gear.inside_mm or 0.0
        run = max(0.0, inside / 2 - half_mm)
        legs = [(inside / 2, wide / 2), (-wide / 2, -inside / 2)]
        beside = [(_box(-long / 2, low, long / 2, high), False) for low, high in legs]
    else:
        run, back = 0.0, gear.body_mm or 0.0
        beside = [(_box(-reach_mm, -wide / 2, long - reach_mm, wide / 2), under)]
        beside.append((_box(-reach_mm - back, -wide / 2, -reach_mm, wide / 2), False))
    floor, place = shapely.Polygon(room.outline), shapely.Polygon(zone.outline)
    inset = place.buffer(-half_mm, join_style="mitre")
    over = place.centroid if inset.is_empty else inset
    for quarter in range(4):
        turn = zone.frame.turn_deg + 90.0 * quarter
        parts = [
            free_slice(floor, () if hidden else (zone.outline,), part, turn, -NEXT_TO_MM)
            for part, hidden in beside
            if part[2][0] - part[0][0] > 2 * NEXT_TO_MM and part[2][1] - part[0][1] > 2 * NEXT_TO_MM
        ]
        free = shapely.intersection_all(parts) if parts else floor
        c, s = cos_sin(turn)
        steps = [run * k / RUN_STEPS for k in range(-RUN_STEPS, RUN_STEPS + 1)] if run else [0.0]
        if any(shapely.affinity.translate(free, -s * at, c * at).intersects(over) for at in steps):
            return True
    return False


def _box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


NEXT_TO_MM = 1.0
"""Legs that just touch a wall or the place stand beside it."""
RUN_STEPS = 40
"""The hook of a gantry is tried at so many places on each side of the middle of its beam."""
