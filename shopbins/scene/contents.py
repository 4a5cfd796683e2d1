"""What lies on a surface and what it adds up to; unknown sizes and masses are counted, never zero."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from shopbins.geometry.shapes import signed_area_mm2
from shopbins.ledger.model import Group
from shopbins.scene.standing import footprint


@dataclass(frozen=True, slots=True)
class Share:
    """What one group brings to the surface it lies on, with all that is in and on it.

    `mass_kg` is of what was weighed; `height_mm` None where a height in the stack is not known.
    """

    mass_kg: float = 0.0
    unweighed: int = 0
    about: bool = False
    nested: int = 0
    height_mm: float | None = None


ROUNDING_KG = 1e-9


@dataclass(frozen=True, slots=True)
class Contents:
    """What lies on one level of a zone, or (`level` None) in the whole zone.

    `groups` lie there directly; `nested` more are in or on them. `load_kg` is at least so much, with
    `unweighed` groups not in it; `area_mm2` is taken by the groups whose size is known, `unsized` are not.
    `limit_kg` and `surface_mm2` are the level's own (None: the file does not say).
    """

    zone: str
    level: str | None
    groups: tuple[str, ...] = ()
    nested: int = 0
    load_kg: float = 0.0
    unweighed: int = 0
    about: bool = False
    unsized: int = 0
    area_mm2: float = 0.0
    limit_kg: float | None = None
    surface_mm2: float = 0.0

    def too_heavy(self, more_kg: float = 0.0) -> bool:
        """Tell whether what was weighed here, and so much more, is beyond the limit (none where not known).

        A sum that is the limit but for rounding is not beyond it.
        """
        return self.limit_kg is not None and self.load_kg + more_kg > self.limit_kg + ROUNDING_KG

    @property
    def free_mm2(self) -> float:
        """The surface not taken by what is measured, at least 0."""
        return max(0.0, self.surface_mm2 - self.area_mm2)

    @property
    def fill(self) -> float:
        """The share of the surface that is taken, from 0 (more than 1 where things lie on each other)."""
        return self.area_mm2 / self.surface_mm2 if self.surface_mm2 > 0 else 0.0


def area_of(group: Group) -> float | None:
    """Return the area of a group's footprint, or None if its size is not known."""
    outline = footprint(group)
    return None if outline is None else abs(signed_area_mm2(outline))


def total(
    zone: str,
    level: str | None,
    groups: Iterable[tuple[Group, Share]],
    limit_kg: float | None,
    surface_mm2: float,
) -> Contents:
    """Add up what lies directly on a surface."""
    listed = list(groups)
    areas = [area_of(group) for group, _ in listed]
    return Contents(
        zone=zone,
        level=level,
        groups=tuple(group.id for group, _ in listed),
        nested=sum(share.nested for _, share in listed),
        load_kg=math.fsum(share.mass_kg for _, share in listed),
        unweighed=sum(share.unweighed for _, share in listed),
        about=any(share.about for _, share in listed),
        unsized=sum(1 for area in areas if area is None),
        area_mm2=math.fsum(area for area in areas if area is not None),
        limit_kg=limit_kg,
        surface_mm2=surface_mm2,
    )
