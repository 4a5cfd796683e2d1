"""Sums of convex outlines, many at once, and bodies made a little larger, smaller or turn-proof.

Arrays are float64 of shape (corners, 2), in mm, counter-clockwise; a batch is (outlines, corners, 2).
A segment is an outline of two corners. numpy and shapely load with this module, so import it lazily.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from shopbins.geometry.shapes import Point, cos_sin

SAME = 1e-11

Array = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]


def corners_of(outline: Sequence[Point]) -> Array:
    """Return an outline as an array of its corners."""
    return np.asarray(outline, dtype=np.float64)


def turn(corners: Array, turn_deg: float) -> Array:
    """Turn corners about the origin; quarter turns are exact."""
    c, s = cos_sin(turn_deg)
    x, y = corners[..., 0], corners[..., 1]
    return np.stack((x * c - y * s, x * s + y * c), axis=-1)


def minus_body(batch: Array, body: Array) -> Array:
    """Return each convex outline of a batch plus the mirrored body: where the body would touch it.

    The sum of two convex outlines runs through the edges of both in order of direction. It is laid by its
    least x and y, which are the sums of theirs: which corner it begins at does not matter, so neither does
    an edge that rounding turned a hair the wrong way.
    """
    mirrored = -body[None]
    edges = np.concatenate(
        (_edges(batch), np.broadcast_to(_edges(mirrored), (len(batch), len(body), 2))), axis=1
    )
    heading = np.arctan2(edges[..., 1], edges[..., 0])
    heading[heading < 0] += 2 * math.pi
    order = np.argsort(heading, axis=1, kind="stable")
    steps = np.take_along_axis(edges, order[..., None], axis=1)
    corners = np.cumsum(steps, axis=1)
    least = batch.min(axis=1) + mirrored.min(axis=1)
    laid: Array = corners + (least - corners.min(axis=1))[:, None]
    return laid


def _edges(batch: Array) -> Array:
    return np.concatenate((batch[:, 1:], batch[:, :1]), axis=1) - batch


def grown(outlines: Sequence[Array], body: Array) -> Shapes:
    """Return, in the order given, the polygon each convex outline (or segment) becomes for a point body."""
    out = np.empty(len(outlines), dtype=object)
    for count in {len(o) for o in outlines}:
        places = [i for i, o in enumerate(outlines) if len(o) == count]
        out[places] = grown_batch(np.stack([outlines[i] for i in places]), body)
    return out


def grown_batch(batch: Array, body: Array) -> Shapes:
    """Return the polygons of `minus_body` for outlines of equally many corners."""
    sums = minus_body(batch, body)
    closed = np.concatenate((sums, sums[:, :1]), axis=1)
    return np.asarray(shapely.polygons(closed), dtype=object)


def offset(body: Array, outset_mm: float) -> Array:
    """Return the convex body with every edge moved out by a distance (in where negative).

    Raises ValueError where nothing is left of it.
    """
    if outset_mm == 0.0:
        return body
    normals, heights = half_planes(body)
    return meet(normals, heights + outset_mm)


def mitred(ring: Array, outset_mm: float, most_mm: float = math.inf) -> Array:
    """Return a simple outline with every side moved out by a distance, corner by corner, hollow ones too.

    For distances that are small beside its sides. A corner moves no further than `most_mm`.
    """
    e = np.roll(ring, -1, axis=0) - ring
    n = np.stack((e[:, 1], -e[:, 0]), axis=1) / np.hypot(e[:, 0], e[:, 1])[:, None]
    before = np.roll(n, 1, axis=0)
    both = n + before
    by = outset_mm * both / np.maximum(1 + np.einsum("ij,ij->i", n, before), 1e-9)[:, None]
    far = np.maximum(np.hypot(by[:, 0], by[:, 1]), 1e-300)
    moved: Array = ring + by * np.minimum(1.0, most_mm / far)[:, None]
    return moved


def half_planes(body: Array) -> tuple[Array, Array]:
    """Return outward unit normals (n, 2) and their distances from the origin (n,) of a convex outline."""
    e = np.concatenate((body[1:], body[:1])) - body
    length = np.hypot(e[:, 0], e[:, 1])
    e, b = e[length > 0], body[length > 0]
    normals = np.stack((e[:, 1], -e[:, 0]), axis=1) / length[length > 0][:, None]
    return normals, np.einsum("ij,ij->i", normals, b)


def meet(normals: Array, heights: Array) -> Array:
    """Return the corners of the intersection of half planes n.x <= h that all hold the origin inside.

    Half planes are the corners of the dual's hull, so one convex hull does it. Raises ValueError when a
    height is not positive (the origin is not inside) or the half planes leave it unbounded.
    """
    if heights.min() <= 0:
        raise ValueError("the reference point is not inside the body")
    hull: Any = shapely.convex_hull(shapely.multipoints(normals / heights[:, None]))
    dual = shapely.get_coordinates(shapely.orient_polygons(hull) if hull.geom_type == "Polygon" else hull)[
        :-1
    ]
    apart = np.abs(dual - np.roll(dual, 1, axis=0)).max(axis=1) > SAME * np.abs(dual).max(axis=1)
    dual = dual[apart]  # one side cut in two is two half planes that are one but for rounding
    if len(dual) < 3:
        raise ValueError("the half planes do not close")
    following = np.concatenate((dual[1:], dual[:1]))
    det = dual[:, 0] * following[:, 1] - dual[:, 1] * following[:, 0]
    if det.min() <= 0:
        raise ValueError("the half planes do not close")
    x = (following[:, 1] - dual[:, 1]) / det
    y = (dual[:, 0] - following[:, 0]) / det
    corners: Array = np.stack((x, y), axis=1)
    return corners


def core(body: Array, from_deg: float, to_deg: float) -> Array:
    """Return a convex polygon inside the body at every turn from `from_deg` to `to_deg`.

    The origin must lie inside the body. An edge at distance h sweeps, over the band, two tangents and the
    arc of radius h between them; a chord of that arc stands for it, at h.cos(half the band), so the full
    width is kept at the band's ends and lost by h.(1 - cos) only in its middle.
    """
    half_deg = (to_deg - from_deg) / 2
    normals, heights = half_planes(turn(body, (from_deg + to_deg) / 2))
    if half_deg >= 60.0:
        return _disc(float(heights.min()))
    shorter = math.cos(math.radians(half_deg))
    turned = (turn(normals, -half_deg), normals, turn(normals, half_deg))
    return meet(np.concatenate(turned), np.concatenate((heights, heights * shorter, heights)))


def core_of(piece: Array, from_deg: float, to_deg: float) -> Array | None:
    """Return a `core` of a convex piece that need not hold the origin, None where nothing is left.

    A side whose line has the origin beyond it is farthest in at an end of the band: no chord is needed.
    """
    _, heights = half_planes(piece)
    if heights.min() > 0.0:
        return core(piece, from_deg, to_deg)
    if to_deg - from_deg >= 90.0:
        return None
    normals, heights = half_planes(turn(piece, from_deg))
    wide = to_deg - from_deg
    shorter = math.cos(math.radians(wide / 2))
    found = turn(piece, from_deg)
    for n, h in zip(turn(normals, wide), heights, strict=True):
        found = _cut(found, n, h)
    for n, h in zip(turn(normals, wide / 2), heights, strict=True):
        if h > 0:
            found = _cut(found, n, h * shorter)
    return found if len(found) > 2 else None


def _cut(corners: Array, normal: Array, height: float) -> Array:
    """Return the part of a convex outline within a half plane."""
    kept: list[Array] = []
    away = corners @ normal - height
    for i in range(len(corners)):
        j = (i + 1) % len(corners)
        if away[i] <= 0:
            kept.append(corners[i])
        if (away[i] < 0) != (away[j] < 0) and away[i] != away[j] and away[i] != 0 and away[j] != 0:
            kept.append(corners[i] + (corners[j] - corners[i]) * (away[i] / (away[i] - away[j])))
    found = [p for k, p in enumerate(kept) if np.hypot(*(p - kept[k - 1])) > 1e-9]
    return np.array(found).reshape(-1, 2)


def _disc(radius_mm: float, corners: int = 24) -> Array:
    """Return a polygon inscribed in a circle about the origin."""
    a = np.arange(corners) * (2 * math.pi / corners)
    return radius_mm * np.stack((np.cos(a), np.sin(a)), axis=1)


def symmetry_deg(body: Array, tolerance_mm: float = 1e-7) -> float:
    """Return the least turn (360, 180, 120, 90 ...) about the origin that lays the body on itself."""
    n = len(body)
    for fold in range(n, 1, -1):
        if n % fold == 0:
            step = n // fold
            if np.abs(turn(body, 360.0 / fold) - np.roll(body, -step, axis=0)).max() <= tolerance_mm:
                return 360.0 / fold
    return 360.0


def segments_of(polygons: Iterable[Any]) -> Array:
    """Return the boundary edges of polygons, holes included, as an array (n, 2, 2)."""
    found: list[Array] = []
    for polygon in polygons:
        for ring in (polygon.exterior, *polygon.interiors):
            xy = shapely.get_coordinates(ring)
            found.append(np.stack((xy[:-1], xy[1:]), axis=1))
    if not found:
        return np.empty((0, 2, 2))
    edges = np.concatenate(found)
    return edges[np.any(edges[:, 0] != edges[:, 1], axis=1)]
