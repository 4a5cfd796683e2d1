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
from shopbins.geometry.convex import HAIR, convex_hull, convex_parts, is_convex
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Outline, Point, centroid
from shopbins.geometry.simple import simple

JOIN_MM, CHECKED_JOIN_MM, HELD_MM = 1e-5, 4e-5, 1e-4
"""How far pieces reach over their cuts: farther where a search is checked, so as to block no less."""
MOST_JOINS = 5.0
NARROW, DEEP = 1.05, 0.2
FINE_MM = 0.1


class Body:
    """One body; lengths in mm about its centre, which lies at `centre` from its reference point."""

    def __init__(self, outline: Outline) -> None:
        """Take its outline about its reference point. Raises FloorProblem."""
        self.told = simple(outline, "body")
        self.convex = is_convex(self.told, HAIR)
        x, y = _still(self.told) if self.convex else _middle(self.told)
        if abs(x) + abs(y) < 1e-9:
            x = y = 0.0
        self.centre = (x, y)
        parts = [self.told] if self.convex else convex_parts(self.told)
        kept = self.told if self.convex else [p for p in self.told if any(p in part for part in parts)]
        self.ring: Array = minkowski.corners_of(kept) - self.centre
        place = {p: i for i, p in enumerate(kept)}
        self.parts = [[place[p] for p in part] for part in parts]
        self.thin_mm = (
            _least_height(self.ring) if self.convex else min(_thin(self.ring[p]) for p in self.parts)
        )
        self.period_deg = minkowski.symmetry_deg(self.ring) if self.centre == (0.0, 0.0) else 360.0

    def outline(self, outset_mm: float) -> Array:
        """Return the outline (n, 2) with every side moved out by that much."""
        return (
            minkowski.offset(self.ring, outset_mm) if self.convex else minkowski.mitred(self.ring, outset_mm)
        )

    def pieces(self, outset_mm: float) -> list[Array]:
        """Return convex outlines that make up the body with every side moved out by that much.

        Made larger, a body that is not convex is made a little too large at the ends of its cuts. Raises
        ValueError where it is made smaller by `thin_mm` or more: nothing is left of it about its centre.
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

    def plainly(self, outset_mm: float, taken_mm: float) -> list[Array]:
        """Return the same pieces by plain arithmetic, no library asked: to check what was found with them.

        It was found with the body made `taken_mm` larger, less than this. Each piece holds that one's, whose
        cuts may lie farther out.
        """
        if not self.convex:
            both = zip(self._joined(outset_mm, CHECKED_JOIN_MM), self._joined(taken_mm, HELD_MM), strict=True)
            return [
                minkowski.corners_of(convex_hull([(float(x), float(y)) for x, y in (*p, *q)]))
                for p, q in both
            ]
        moved = minkowski.mitred(self.ring, outset_mm)
        was, now = (np.roll(r, -1, axis=0) - r for r in (self.ring, moved))
        if np.einsum("ij,ij->i", was, now).min() <= 0:  # a side too short to be moved like that
            return self.pieces(outset_mm)
        return [moved]


def _still(outline: Outline) -> Point:
    """Return the point of a convex body about which its narrow widths change least while it turns.

    A narrow width lies between a side and the corner across. That the side turns away takes off it in the
    second order only; that the corner turns away takes off in the first, unless the point lies straight
    between the two. So bands of turns can be wide where a tapered body is at a narrow door. A body that looks
    the same turned has its widths about its centroid.
    """
    x, y = centroid(outline)
    middle = np.array((x, y))
    ring = minkowski.corners_of(outline) - middle
    if minkowski.symmetry_deg(ring) < 360.0:
        return x, y
    normals, heights = minkowski.half_planes(ring)
    across = ring @ normals.T
    widths = heights - across.min(axis=0)
    narrow = widths <= NARROW * widths.min()
    along = np.stack((-normals[narrow, 1], normals[narrow, 0]), axis=1)
    off = np.einsum("ij,ij->i", along, ring[across.argmin(axis=0)[narrow]])
    i, j = np.triu_indices(len(along), 1)
    det = along[i, 0] * along[j, 1] - along[i, 1] * along[j, 0]
    i, j, det = i[np.abs(det) > 1e-3], j[np.abs(det) > 1e-3], det[np.abs(det) > 1e-3]
    tried = np.stack(
        (off[i] * along[j, 1] - off[j] * along[i, 1], off[j] * along[i, 0] - off[i] * along[j, 0]), axis=1
    )
    points = np.concatenate((np.zeros((1, 2)), off[:, None] * along, tried / det[:, None]))
    out = points @ normals.T / (heights - DEEP * heights.min())  # back into the body, well off its sides
    points /= np.maximum(1.0, out.max(axis=1))[:, None]
    worst = np.abs(points @ along.T - off).max(axis=1)
    found = middle + points[int(worst.argmin())]
    return float(round(found[0], 3)), float(round(found[1], 3))


def _middle(outline: Outline) -> tuple[float, float]:
    """Return the middle of the largest circle inside an outline, to a tenth of a mm."""
    line: Any = shapely.maximum_inscribed_circle(shapely.Polygon(outline), FINE_MM)
    x, y = shapely.get_coordinates(line)[0]
    return float(round(x, 3)), float(round(y, 3))


def _thin(piece: Array) -> float:
    """Return how far the sides of a convex piece lie from the middle of its corners at least."""
    return _least_height(piece - piece.mean(axis=0))


def _least_height(ring: Array) -> float:
    """Return how far the sides of a convex outline lie from the origin at least."""
    return float(minkowski.half_planes(ring)[1].min())
