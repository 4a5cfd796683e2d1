"""Bodies: what takes up floor or surface, from which height to which."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Literal

from shopbins.geometry.shapes import Box, Outline, bounds, counter_clockwise, placed, rectangle
from shopbins.geometry.simple import simple_problem
from shopbins.ledger.model import Group, InZone
from shopbins.scene.frames import to_shop
from shopbins.shop.model import Fixture, Level, Zone, lies_flat

SLAB_MM = 50.0
"""How far below its surface a bench or shelf level reaches where nobody said: own figure, no source."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A body in the shop frame.

    `subject` is 'group:<id>', 'fixture:<key>' or 'zone:<key>'; `tag` is what findings call it (groups by
    code). It takes the heights from `base_mm` to `top_mm`; None with `top_known` is 'to the ceiling',
    without it nobody measured the height. `assumed`: the pose was chosen by the program.
    """

    subject: str
    tag: str
    name: str
    code: str
    room: str
    outline: Outline
    base_mm: float
    top_mm: float | None
    top_known: bool = True
    mass_kg: float | None = None
    movable: bool = True
    zone: str | None = None
    level: str = ""
    assumed: bool = False
    size_about: bool = False
    box: Box = field(init=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "box", bounds(self.outline))

    @property
    def kind(self) -> Literal["group", "fixture", "zone"]:
        """What sort of thing it is."""
        return self.subject.partition(":")[0]  # type: ignore[return-value]

    @property
    def key(self) -> str:
        """The group's id, or the key of the fixture or zone."""
        return self.subject.partition(":")[2]

    @property
    def in_floor(self) -> bool:
        """Whether it is a cover that lies flat in the floor: that is walked and stood on as the floor is."""
        return self.kind == "fixture" and lies_flat(self.base_mm, self.top_mm)

    @property
    def centre(self) -> tuple[float, float]:
        """The centre of its box, to look at."""
        return self.box.middle


def heights_meet(a: Standing, b: Standing) -> bool | None:
    """Tell whether two bodies share a height, a cover in the floor none; None where an unmeasured height
    decides.
    """
    if a.in_floor or b.in_floor:
        return False
    under, over = (a, b) if a.base_mm <= b.base_mm else (b, a)
    if under.base_mm == over.base_mm:
        return True
    if under.top_mm is None:
        return True if under.top_known else None
    return under.top_mm > over.base_mm + 0.001


def reaches(body: Standing, from_mm: float, to_mm: float | None) -> bool | None:
    """Tell whether a body takes any height between two (None: to the ceiling), a cover in the floor none;
    None if not known.
    """
    if body.in_floor or (to_mm is not None and body.base_mm >= to_mm - 0.001):
        return False
    if body.top_mm is not None:
        return body.top_mm > from_mm + 0.001
    return True if body.top_known or body.base_mm >= from_mm else None


def footprint(group: Group) -> Outline | None:
    """Return a group's outline at turn 0 about its reference point, the centre of its bounding box.

    Where none is recorded, the one told of it for moving it counts, if nothing comes off it. None where
    neither outline nor size is known; an outline that crosses itself is no outline.
    """
    outline = group.outline if group.outline is not None else _told(group)
    if outline is not None:
        own = _about_centre(outline)
        if own is not None:
            return own
    size = group.known_size
    return None if size is None else _upright(size.length_mm, size.width_mm)


def _told(group: Group) -> Outline | None:
    """Return the whole outline told of a thing for moving it, counted from the middle of its box."""
    if not group.extra:
        return None
    from shopbins.records.moving import FIELD, moving_of

    if FIELD not in group.extra:
        return None
    told = moving_of(group)
    if told.outline is None or told.comes_off or math.hypot(*bounds(told.outline).middle) > MIDDLE_MM:
        return None
    return told.outline


MIDDLE_MM = 1.0
"""An outline told about a point farther from its middle is not the whole thing's: rounding."""

_upright = lru_cache(maxsize=4096)(rectangle)
"""Boxes of one size have one outline."""


@lru_cache(maxsize=4096)
def _about_centre(outline: Outline) -> Outline | None:
    if simple_problem(outline) is not None:
        return None
    x, y = bounds(outline).middle
    return counter_clockwise(tuple((px - x, py - y) for px, py in outline))


def of_group(
    group: Group, zone: Zone, level: Level, where: InZone, mass_kg: float | None, height_mm: float | None
) -> Standing | None:
    """Return the body of a group posed in a zone; None where it has no pose or no known size."""
    outline = footprint(group)
    if outline is None or where.x_mm is None or where.y_mm is None:
        return None
    size = group.known_size
    return Standing(
        subject=f"group:{group.id}",
        tag=f"group:{group.code}",
        name=group.shown,
        code=group.code,
        room=zone.room,
        outline=placed(outline, to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)),
        base_mm=level.height_mm,
        top_mm=None if height_mm is None else level.height_mm + height_mm,
        top_known=height_mm is not None,
        mass_kg=mass_kg,
        zone=zone.key,
        level=level.key,
        assumed=not where.measured,
        size_about=size is not None and size.about,
    )


def with_gear(body: Standing, gear: str, outlines: Sequence[Outline]) -> Standing:
    """Return the body of a thing with the gear that it is on: that takes room, too, where it stands out."""
    import shapely

    union = shapely.union_all([shapely.Polygon(each) for each in (body.outline, *outlines)])
    ring = shapely.get_exterior_ring(union if union.geom_type == "Polygon" else union.convex_hull)
    around = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(ring)[:-1])
    return replace(body, outline=counter_clockwise(around), name=f"{body.name} on {gear}")


def of_fixture(fixture: Fixture, *, roofed: bool = True) -> Standing:
    """Return the body of a fixture where it now stands; without a roof nothing reaches a ceiling."""
    return Standing(
        subject=f"fixture:{fixture.key}",
        tag=f"fixture:{fixture.key}",
        name=fixture.name,
        code=fixture.key,
        room=fixture.room,
        outline=fixture.outline,
        base_mm=fixture.base_mm,
        top_mm=fixture.top_mm,
        top_known=roofed or fixture.top_mm is not None,
        mass_kg=fixture.mass_kg,
        movable=fixture.movable,
    )


def of_zone(zone: Zone) -> Standing | None:
    """Return the body of a bench or shelf: from under its lowest level to its highest; None of a floor."""
    if zone.kind not in ("bench", "shelf") or not zone.levels:
        return None
    heights = [level.height_mm for level in zone.levels]
    return Standing(
        subject=f"zone:{zone.key}",
        tag=f"zone:{zone.key}",
        name=zone.name,
        code=zone.key,
        room=zone.room,
        outline=zone.outline,
        base_mm=max(0.0, min(heights) - SLAB_MM),
        top_mm=max(heights),
        mass_kg=zone.mass_kg,
        movable=zone.movable,
        zone=zone.key,
    )
