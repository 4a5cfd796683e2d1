"""A body about a centre inside it: its outline, and the convex pieces it is made of.

Sums, cores and separating axes want convex shapes, so a body that is not convex (an L-shaped frame, a machine
with its tail) is taken as the pieces it is cut into. They are made a hair larger than they are where the body
is made smaller, so that nothing fits between two of them.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.convex import convex_parts
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Outline, centroid, cleaned, is_convex

JOIN_MM, CHECKED_JOIN_MM = 1e-5, 4e-5
"""How far pieces reach over their cuts: farther where a search is checked, so as to block no less."""
MOST_JOINS = 5.0
FINE_MM = 0.1


class Body:
    """One body; lengths in mm about its centre, which lies at `centre` from its reference point."""

    def __init__(self, outline: Outline) -> None:
        """Take its outline about its reference point. Raises FloorProblem."""
        self.told = cleaned(outline, "body")
        self.convex = is_convex(self.told)
        x, y = centroid(self.told) if self.convex else _middle(self.told)
        if abs(x) + abs(y) < 1e-9:
            x = y = 0.0
        self.centre = (x, y)
        parts = [self.told] if self.convex else convex_parts(self.told)
        kept = self.told if self.convex else [p for p in self.told if any(p in part for part in parts)]
        self.ring: Array = minkowski.corners_of(kept) - self.centre
        place = {p: i for i, p in enumerate(kept)}
        self.parts = [[place[p] for p in part] for part in parts]
        self.thin_mm = min(_thin(self.ring[part]) for part in self.parts)
        self.period_deg = minkowski.symmetry_deg(self.ring) if self.centre == (0.0, 0.0) else 360.0

    def outline(self, outset_mm: float) -> Array:
        """Return the outline (n, 2) with every side moved out by that much."""
        return (
            minkowski.offset(self.ring, outset_mm) if self.convex else minkowski.mitred(self.ring, outset_mm)
        )

    def pieces(self, outset_mm: float) -> list[Array]:
        """Return convex outlines that make up the body with every side moved out by that much.

        Made larger, a body that is not convex is made a little too large at the ends of its cuts. Raises
        ValueError where nothing is left of it.
        """
        if self.convex:
            return [minkowski.offset(self.ring, outset_mm)]
        if outset_mm > 0.0:
            return [minkowski.mitred(self.ring[part], outset_mm) for part in self.parts]
        if -outset_mm >= self.thin_mm:
            raise ValueError("nothing is left of the body")
        return self._joined(outset_mm, JOIN_MM)

    def _joined(self, outset_mm: float, join_mm: float) -> list[Array]:
        smaller = minkowski.mitred(self.ring, outset_mm - join_mm)
        return [minkowski.mitred(smaller[part], join_mm, MOST_JOINS * join_mm) for part in self.parts]

    def plainly(self, outset_mm: float) -> list[Array]:
        """Return the same pieces by plain arithmetic, no library asked: to check what was found with them."""
        if not self.convex:
            return self._joined(outset_mm, CHECKED_JOIN_MM)
        moved = minkowski.mitred(self.ring, outset_mm)
        was, now = (np.roll(r, -1, axis=0) - r for r in (self.ring, moved))
        if np.einsum("ij,ij->i", was, now).min() <= 0:  # a side too short to be moved like that
            return self.pieces(outset_mm)
        return [moved]


def _middle(outline: Outline) -> tuple[float, float]:
    """Return the middle of the largest circle inside an outline, to a tenth of a mm."""
    line: Any = shapely.maximum_inscribed_circle(shapely.Polygon(outline), FINE_MM)
    x, y = shapely.get_coordinates(line)[0]
    return float(round(x, 3)), float(round(y, 3))


def _thin(piece: Array) -> float:
    """Return how far the sides of a convex piece lie from the middle of its corners at least."""
    return float(minkowski.half_planes(piece - piece.mean(axis=0))[1].min())
