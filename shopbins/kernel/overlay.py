"""The libraries' overlays, all in one place: what areas have in common, together, or less others.

What is left of an area, and several together, in whole numbers first (Clipper), for they are quick. Where no
proper area comes of that, and wherever a caller asks for it, once more on a grid by another library (GEOS):
there every crossing is a grid point, so lines meet only where they share a point. In floats that one has been
seen to fill a hole of 84 000 mm2 without a word where corners agree to 1e-12 mm: so only what two areas have
in common is found in floats, and nothing certain rests on an overlay alone (see `goes_check`).
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pyclipper
import shapely

GRID_MM = 1e-6
SPECK_MM2 = 1e-6
PER_MM = 2.0**24
"""How many whole numbers of Clipper's make up a mm."""


def union(shapes: Any, grid_mm: float = 0.0) -> Any:
    """Return all the given shapes as one, overlaid on a grid (0: in whole numbers where that works)."""
    found = None if grid_mm else _whole(pyclipper.CT_UNION, shapes, ())
    return shapely.union_all(shapes, grid_size=grid_mm or GRID_MM) if found is None else found


def less(region: Any, blocked: Iterable[Any], grid_mm: float = 0.0) -> Any:
    """Return a region less all the given shapes, as areas only."""
    shapes = np.asarray(blocked, dtype=object)
    if len(shapes) == 0:
        return region
    found = None if grid_mm else _whole(pyclipper.CT_DIFFERENCE, [region], shapes)
    if found is None:
        grid_mm = grid_mm or GRID_MM
        found = polygonal(shapely.difference(region, union(shapes, grid_mm), grid_size=grid_mm))
    return found


def _whole(kind: int, subject: Any, others: Any) -> Any:
    """Return an overlay in whole numbers, as areas; None where that gives none that is proper."""
    clipper = pyclipper.Pyclipper()
    clipper.StrictlySimple = True
    try:
        clipper.AddPaths(_paths(subject), pyclipper.PT_SUBJECT, True)
        if len(others):
            clipper.AddPaths(_paths(others), pyclipper.PT_CLIP, True)
        tree = clipper.Execute2(kind, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    except pyclipper.ClipperException:
        return None
    return _areas(tree)


def _paths(shapes: Any) -> list[list[list[int]]]:
    """Return the edges of areas in whole numbers, outer ones one way round, holes the other."""
    turned = shapely.orient_polygons(shapes)
    rings = shapely.get_exterior_ring(turned)
    if shapely.is_missing(rings).any() or shapely.get_num_interior_rings(turned).any():
        rings = shapely.get_rings(shapely.get_parts(turned))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    whole = np.rint(corners * PER_MM).astype(np.int64).tolist()
    ends = np.flatnonzero(np.diff(ring, prepend=-1, append=-1)).tolist()
    return [whole[a : b - 1] for a, b in itertools.pairwise(ends)]


def _areas(tree: Any) -> Any:
    """Return the areas of a tree of contours, each with the holes in it; None where one is not proper."""
    rings: list[list[list[int]]] = []
    area_of: list[int] = []
    outer = list(tree.Childs)
    count = 0
    while outer:
        node = outer.pop()
        for ring in (node, *node.Childs):
            rings.append(ring.Contour)
            area_of.append(count)
        count += 1
        outer += [inner for hole in node.Childs for inner in hole.Childs]
    if not count:
        return shapely.Polygon()
    corners = np.array([p for ring in rings for p in ring]) / PER_MM
    lines = shapely.linearrings(corners, indices=np.repeat(np.arange(len(rings)), [len(r) for r in rings]))
    areas: Any = shapely.polygons(np.asarray(lines), indices=np.array(area_of))
    whole = areas[0] if count == 1 else shapely.multipolygons(areas)
    return whole if whole.is_valid else None


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
