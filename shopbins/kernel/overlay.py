"""The library's overlays, all in one place: what areas have in common, together, or less others.

Floats first, for they are quick. Where the library raises, and wherever a caller asks for it, once more on a
grid: there every crossing is a grid point, so lines meet only where they share a point. Floats have been seen
to fill a hole of 84 000 mm2 without a word where corners agree to 1e-12 mm, so nothing certain rests on an
overlay alone (see `goes_check`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import shapely

GRID_MM = 1e-6
SPECK_MM2 = 1e-6


def union(shapes: Any, grid_mm: float = 0.0) -> Any:
    """Return all the given shapes as one, overlaid on a grid (0: in floats where that works)."""
    if not grid_mm:
        try:
            return shapely.union_all(shapes)
        except shapely.errors.GEOSException:
            grid_mm = GRID_MM
    return shapely.union_all(shapes, grid_size=grid_mm)


def less(region: Any, blocked: Iterable[Any], grid_mm: float = 0.0) -> Any:
    """Return a region less all the given shapes, as areas only."""
    shapes = np.asarray(blocked, dtype=object)
    if len(shapes) == 0:
        return region
    whole = union(shapes, grid_mm)
    return polygonal(_done(shapely.difference, region, whole, grid_mm))


def common(one: Any, other: Any, grid_mm: float = 0.0) -> Any:
    """Return what two geometries have in common; arrays give an array."""
    return _done(shapely.intersection, one, other, grid_mm)


def beyond(shapes: Any, region: Any) -> Any:
    """Return what lies of each of the given shapes outside a region, as an array."""
    return _done(shapely.difference, shapes, region, 0.0)


def _done(overlay: Callable[..., Any], one: Any, other: Any, grid_mm: float) -> Any:
    if not grid_mm:
        try:
            return overlay(one, other)
        except shapely.errors.GEOSException:
            grid_mm = GRID_MM
    return overlay(one, other, grid_size=grid_mm)


def polygonal(geometry: Any) -> Any:
    """Return only the areas of a geometry, as a polygon or multipolygon."""
    if geometry.geom_type in ("Polygon", "MultiPolygon"):
        return geometry
    return shapely.MultiPolygon(as_parts(geometry))  # the array call refuses an empty list


def parts(geometry: Any) -> list[Any]:
    """Return the polygons of a geometry that are more than a speck of rounding."""
    return [p for p in as_parts(geometry) if p.area > SPECK_MM2]


def as_parts(geometry: Any) -> list[Any]:
    """Return the polygons of a polygonal geometry as a list."""
    return [g for g in shapely.get_parts(geometry) if g.geom_type == "Polygon" and not g.is_empty]
