"""Where a body at one turn can be: the floor less every wall and thing grown by the mirrored body.

numpy and shapely load with this module, so import it lazily.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.convex import HAIR, is_convex
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import FloorProblem, Outline, centroid
from shopbins.geometry.simple import simple
from shopbins.kernel.overlay import as_parts, less


def free_slice(
    floor_polygon: Any,
    obstacles: Sequence[Outline],
    body_outline: Outline,
    turn_deg: float,
    outset_mm: float = 0.0,
) -> Any:
    """Return all places, in mm, where a convex body's reference point may stand at one turn.

    `floor_polygon` is a shapely polygon (or several) with the walls as its boundary; `obstacles` are outlines
    on it, overlapping as they like; `body_outline` is given about its reference point, which may lie outside
    it. The answer is a valid shapely polygonal geometry, the closure of the open set of places with
    clearance, so it is closed: its boundary are the places that touch (0 mm). Places that can only touch, as
    a body exactly as wide as a niche, have no area and drop out; a small negative `outset_mm` (-0.001) keeps
    them. A positive outset moves each edge of the body out, so every place found then has at least that much
    clearance. Coordinates are good to about 1e-9 of the floor's size.
    Raises FloorProblem when the body is not convex or nothing is left of it.
    """
    body, centre = centred_body(body_outline)
    try:
        body = minkowski.offset(body, outset_mm)
    except ValueError:
        raise FloorProblem(f"body: nothing is left of it {-outset_mm:g} mm smaller") from None
    shape = minkowski.turn(body, turn_deg)
    walls = minkowski.segments_of(as_parts(floor_polygon))
    blocked = list(minkowski.grown_batch(walls, shape)) if len(walls) else []
    free = less(floor_polygon, blocked + _grown(obstacles, shape))
    return _of_reference(free, centre, turn_deg)


def _of_reference(places: Any, centre: tuple[float, float], turn_deg: float) -> Any:
    """Return places of a body's centre as those of its reference point."""
    back = minkowski.turn(-np.asarray(centre)[None], turn_deg)[0]
    return shapely.transform(places, lambda xy: xy + back) if np.any(back) else places


def _grown(obstacles: Sequence[Outline], shape: Array) -> list[Any]:
    convex, hollow = split_convex(obstacles)
    blocked = list(minkowski.grown(convex, shape))
    for polygon in hollow:
        blocked.append(polygon)
        blocked += list(minkowski.grown_batch(minkowski.segments_of([polygon]), shape))
    return blocked


def centred_body(outline: Outline) -> tuple[Array, tuple[float, float]]:
    """Return the body about its centre of area, and where that centre lies from the reference point."""
    pts = simple(outline, "body")
    if not is_convex(pts, HAIR):
        raise FloorProblem("body: the outline is not convex (give its convex hull)")
    cx, cy = centroid(pts)
    if abs(cx) + abs(cy) < 1e-9:
        cx = cy = 0.0
    return minkowski.corners_of(pts) - (cx, cy), (cx, cy)


def split_convex(outlines: Iterable[Outline]) -> tuple[list[Array], list[Any]]:
    """Return convex outlines as arrays, the others as polygons."""
    convex: list[Array] = []
    hollow: list[Any] = []
    for outline in outlines:
        if is_convex(outline, HAIR):
            convex.append(minkowski.corners_of(outline))
        else:
            hollow.append(shapely.Polygon(outline))
    return convex, hollow
