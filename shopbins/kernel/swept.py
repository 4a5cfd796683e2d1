"""The area a body sweeps along a path of poses, from without."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import Outline, Pose, between, placed
from shopbins.kernel.overlay import union

SWEEP_STEP_DEG = 3.0


def swept(body: Outline, path: Sequence[Pose]) -> Any:
    """Return a shapely area that holds everything the body covers along a path."""
    return union(_pieces(body, path))


def met(body: Outline, path: Sequence[Pose], shapes: Sequence[Any]) -> list[int]:
    """Return the places of shapely shapes that the body does not surely miss along a path."""
    if not len(shapes):
        return []
    hit = shapely.STRtree(_pieces(body, path)).query(shapes, predicate="intersects")[0]
    places: list[int] = np.unique(hit).tolist()
    return places


def _pieces(body: Outline, path: Sequence[Pose]) -> Any:
    """Return areas that together hold everything the body covers along a path.

    Each leg is cut into small turns; the hull of the body at both ends, grown by how far a corner bows out
    between them, r.(1 - cos(half the turn)), holds the body in between.
    """
    corners = minkowski.corners_of(body)
    reach = float(np.hypot(*corners.T).max())
    points, bows = list[Outline](), list[float]()
    for a, b in zip(path, path[1:] if len(path) > 1 else path, strict=False):
        steps = max(1, math.ceil(abs(b.turn_deg - a.turn_deg) / SWEEP_STEP_DEG))
        stands = [placed(body, between(a, b, k / steps)) for k in range(steps + 1)]
        bow = reach * (1 - math.cos(math.radians(abs(b.turn_deg - a.turn_deg) / steps / 2)))
        points += [(*p, *q) for p, q in itertools.pairwise(stands)]
        bows += [bow] * steps
    hulls: Any = shapely.convex_hull(shapely.multipoints(np.array(points)))
    bowed = np.array(bows) > 0
    hulls[bowed] = shapely.buffer(hulls[bowed], np.array(bows)[bowed], join_style="mitre")
    return hulls
