"""Clearance of a moving body, bounded from below to second order in the turn.

Between two poses the body moves straight while turning evenly. A body corner then runs on a curve that stays
within r.dtheta^2/8 of its chord, and an obstacle's corner, seen from the body, within max|q''|/8 of its own:
with q = R(-theta)(o - p), |q''| <= dtheta^2.|o - p| + 2.dtheta.|dp|. Two polygons are nearest at a corner of
one of them, so the least distance of those chords from the other's edges, less these amounts, bounds the
clearance of the whole motion; halving a motion makes the amounts four times smaller.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Point, Pose, cos_sin

ENOUGH_MM = 1e-4

Complex = npt.NDArray[np.complex128]
"""Points of the floor as complex numbers, x + iy."""
MANY, SEEN_FIRST = 12, 4
"""So many motions are asked about at once; first every fourth pose is looked at."""


@dataclass(frozen=True, slots=True)
class Near:
    """The nearest points of body and obstacles at one pose."""

    distance_mm: float
    edge: int
    on_body: Point
    on_obstacle: Point


class Sweep:
    """A body among obstacle edges; answers how near it comes while moving."""

    def __init__(self, body: Array, edges: Array, pieces: Sequence[Array] = ()) -> None:
        """Take the body about its own reference point and all obstacle edges (n, 2, 2).

        A body that is not convex comes with its convex `pieces`.
        """
        self.body = body
        self.pieces = list(pieces) or [body]
        self.edges = edges
        self.low = edges.min(axis=1) if len(edges) else np.empty((0, 2))
        self.high = edges.max(axis=1) if len(edges) else np.empty((0, 2))
        self.radii = np.hypot(body[:, 0], body[:, 1])
        self.reach_mm = float(self.radii.max())
        corners = _complex(body)
        self._corners = corners
        self._sides = np.stack((corners, np.roll(corners, -1)))
        self._ends = np.stack((_complex(edges[:, 0]), _complex(edges[:, 1])))

    def on(self, _a: Pose, _b: Pose) -> Sweep:
        """Return the checker of the motion from a to b: the body is the same on every one."""
        return self

    def near(self, a: Pose, b: Pose, within_mm: float) -> Any:
        """Return the places of edges that the body may come within a distance of."""
        low = min(a.x_mm, b.x_mm), min(a.y_mm, b.y_mm)
        return self._near(low, (max(a.x_mm, b.x_mm), max(a.y_mm, b.y_mm)), within_mm)

    def _near(self, low: Point, high: Point, within_mm: float) -> Any:
        r = self.reach_mm + within_mm
        hit = (self.low[:, 0] <= high[0] + r) & (self.high[:, 0] >= low[0] - r)
        hit &= (self.low[:, 1] <= high[1] + r) & (self.high[:, 1] >= low[1] - r)
        return np.flatnonzero(hit)

    def bound(self, a: Pose, b: Pose, at: Any) -> float:
        """Return a distance that the body never comes nearer to the given edges than, moving from a to b.

        At most zero says nothing. Both poses must be free of overlap for a positive value to mean anything.
        """
        if len(at) == 0:
            return math.inf
        ends = self._ends[:, at]
        if a is b:
            return self._standing(a, ends)
        turn = math.radians(b.turn_deg - a.turn_deg)
        shift = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        (from_mm, faces), (to_mm, looks) = _frame(a), _frame(b)
        chords = np.array((self._corners * faces + from_mm, self._corners * looks + to_mm))
        mine = least_distances(chords, ends) - self.radii * turn * turn / 8
        points = ends.ravel()
        seen = np.array(((points - from_mm) * faces.conjugate(), (points - to_mm) * looks.conjugate()))
        bend = (turn * turn * np.abs(seen).max(axis=0) + 2 * abs(turn) * shift) / 8
        theirs = least_distances(seen, self._sides) - bend
        return float(min(mine.min(), theirs.min()))

    def _standing(self, pose: Pose, ends: Complex) -> float:
        """Return the least distance of corners, of the body and of the edges, from the other's sides."""
        at_mm, faces = _frame(pose)
        mine = point_squares(self._corners * faces + at_mm, ends)
        theirs = point_squares((ends.ravel() - at_mm) * faces.conjugate(), self._sides)
        return math.sqrt(min(mine.min(), theirs.min()))

    def clear(self, a: Pose, b: Pose, need_mm: float = ENOUGH_MM, depth: int = 5) -> bool:
        """Tell whether the motion surely keeps more than a distance; False may also mean unsure.

        Straight on the bound is the distance itself; of a turn its ends are looked at before it is halved.
        """
        at = self.near(a, b, need_mm)
        if self.bound(a, b, at) > need_mm:
            return True
        if depth == 0 or a.turn_deg == b.turn_deg or min(self.bound(p, p, at) for p in (a, b)) <= need_mm:
            return False
        return self._halves_clear(a, b, at, need_mm, depth - 1)

    def all_clear(self, poses: Sequence[Pose], need_mm: float, depth: int) -> bool:
        """Tell whether every motion from pose to pose is clear, as `clear` does, asked many at once."""
        track = np.array([(p.x_mm, p.y_mm, p.turn_deg) for p in poses])
        if self._meets(track[::-SEEN_FIRST], need_mm):
            return False
        for first in range(0, len(poses) - 1, MANY):
            sure = self._bounds(track[first : first + MANY + 1], need_mm) > need_mm
            for i in (np.flatnonzero(~sure) + first).tolist():
                if not self.clear(poses[i], poses[i + 1], need_mm, depth):
                    return False
        return True

    def meets(self, poses: Sequence[Pose], need_mm: float) -> bool:
        """Tell whether a distance is not kept at one of some poses."""
        return self._meets(np.array([(p.x_mm, p.y_mm, p.turn_deg) for p in poses]), need_mm)

    def _meets(self, track: Array, need_mm: float) -> bool:
        for first in range(0, len(track), MANY):
            some = track[first : first + MANY]
            at = self._near_track(some, need_mm)
            if len(at) == 0:
                continue
            places, faces = _frames(some)
            sides = (self._sides[:, None] * faces + places).reshape(2, -1)
            if least_distances(sides, self._ends[:, at]).min() <= need_mm:
                return True
        return False

    def _bounds(self, track: Array, need_mm: float) -> Array:
        """Return what `bound` does, for each motion from pose to pose, with all edges near any of them."""
        count = len(track) - 1
        at = self._near_track(track, need_mm)
        if len(at) == 0:
            return np.full(count, np.inf)
        ends, (places, faces) = self._ends[:, at], _frames(track)
        turn = np.radians(np.diff(track[:, 2]))
        shift = np.abs(np.diff(places[:, 0]))
        corners = self._corners * faces + places
        chords = np.stack((corners[:-1].ravel(), corners[1:].ravel()))
        mine = least_distances(chords, ends).reshape(count, -1) - self.radii * (turn * turn / 8)[:, None]
        points = (ends.ravel() - places) * faces.conj()
        away = np.abs(points)
        away = np.maximum(away[:-1], away[1:])
        bend = ((turn * turn)[:, None] * away + (2 * np.abs(turn) * shift)[:, None]) / 8
        seen = np.stack((points[:-1].ravel(), points[1:].ravel()))
        theirs = least_distances(seen, self._sides).reshape(count, -1) - bend
        found: Array = np.minimum(mine.min(axis=1), theirs.min(axis=1))
        return found

    def _near_track(self, track: Array, need_mm: float) -> Any:
        low, high = track[:, :2].min(axis=0), track[:, :2].max(axis=0)
        return self._near((low[0], low[1]), (high[0], high[1]), need_mm)

    def _halves_clear(self, a: Pose, b: Pose, at: Any, need_mm: float, depth: int) -> bool:
        """Tell the same of both halves of a motion, whose ends are clear."""
        m = middle(a, b)
        if self.bound(m, m, at) <= need_mm:
            return False
        return all(
            self.bound(p, q, at) > need_mm or (depth > 0 and self._halves_clear(p, q, at, need_mm, depth - 1))
            for p, q in ((a, m), (m, b))
        )

    def overlapped(self, pose: Pose) -> int | None:
        """Return an obstacle edge that enters the body at a pose, the deepest, or None."""
        at = self.near(pose, pose, 0.0)
        if len(at) == 0:
            return None
        seen = _seen(self.edges[at].reshape(-1, 2), pose).reshape(-1, 2, 2)
        deep = np.max([depth_inside(seen, piece) for piece in self.pieces], axis=0)
        most = int(deep.argmax())
        return int(at[most]) if deep[most] > 1e-9 else None

    def nearest(self, pose: Pose) -> Near:
        """Return the nearest points of body and obstacles at a pose without overlap."""
        within = self.reach_mm
        at = self.near(pose, pose, within)
        while True:
            found = self._nearest(pose, at) if len(at) else None
            if found is not None and (found.distance_mm <= within or len(at) == len(self.edges)):
                return found
            if len(at) == len(self.edges):
                return Near(math.inf, -1, (pose.x_mm, pose.y_mm), (pose.x_mm, pose.y_mm))
            within *= 4
            at = self.near(pose, pose, within)

    def _nearest(self, pose: Pose, at: Any) -> Near:
        edges, corners = self.edges[at], self.corners(pose)
        sides = np.stack((corners, np.roll(corners, -1, axis=0)), axis=1)
        points = edges.reshape(-1, 2)
        mine = np.sqrt(point_squares(_complex(corners), self._ends[:, at]))
        theirs = np.sqrt(point_squares(_complex(points), _complex(sides).T))
        i, j = np.unravel_index(int(mine.argmin()), mine.shape)
        k, m = np.unravel_index(int(theirs.argmin()), theirs.shape)
        if mine[i, j] <= theirs[k, m]:
            body, other, edge = corners[i], _foot(corners[i], edges[j]), int(at[j])
        else:
            body, other, edge = _foot(points[k], sides[m]), points[k], int(at[int(k) // 2])
        distance = float(min(mine[i, j], theirs[k, m]))
        return Near(distance, edge, (float(body[0]), float(body[1])), (float(other[0]), float(other[1])))

    def corners(self, pose: Pose) -> Array:
        """Return the corners of the body at a pose."""
        corners: Array = minkowski.turn(self.body, pose.turn_deg) + np.array((pose.x_mm, pose.y_mm))
        return corners


def middle(a: Pose, b: Pose) -> Pose:
    """Return the pose half way."""
    return Pose((a.x_mm + b.x_mm) / 2, (a.y_mm + b.y_mm) / 2, (a.turn_deg + b.turn_deg) / 2)


def _seen(points: Array, pose: Pose) -> Array:
    """Return points as seen from the body."""
    return minkowski.turn(points - (pose.x_mm, pose.y_mm), -pose.turn_deg)


def _foot(point: Array, segment: Array) -> Array:
    d = segment[1] - segment[0]
    t = float(np.clip(np.dot(point - segment[0], d) / max(float(np.dot(d, d)), 1e-300), 0, 1))
    foot: Array = segment[0] + t * d
    return foot


def _complex(points: Array) -> Complex:
    """Return points (..., 2) as complex numbers: one operation for both directions."""
    found: Complex = np.ascontiguousarray(points, dtype=np.float64).view(np.complex128)[..., 0]
    return found


def _frame(pose: Pose) -> tuple[complex, complex]:
    """Return where a pose is, and which way it faces."""
    return complex(pose.x_mm, pose.y_mm), complex(*cos_sin(pose.turn_deg))


def _frames(track: Array) -> tuple[Complex, Complex]:
    """Return places and facings of poses (x, y, turn), a column each."""
    a = np.radians(track[:, 2])
    return (track[:, 0] + 1j * track[:, 1])[:, None], (np.cos(a) + 1j * np.sin(a))[:, None]


def point_squares(points: Complex, segments: Complex) -> Array:
    """Return the square of the distance of each point (n) from each segment (both ends, m), as (n, m)."""
    way = segments[1] - segments[0]
    return _squares(points[:, None] - segments[0], way, _square(way))[0]


def _square(of: Complex) -> Array:
    found: Array = of.real * of.real + of.imag * of.imag
    return np.maximum(found, 1e-300)


def _squares(off: Complex, way: Complex, square: Array) -> tuple[Array, Complex]:
    """Return the squares of distances from segments of points that lie so far off their first ends.

    With them each point as the segment sees it: along it, and how far to its left.
    """
    seen = off * way.conj()
    t = seen.real / square
    np.maximum(t, 0.0, out=t)
    np.minimum(t, 1.0, out=t)
    foot = off - t * way
    found: Array = foot.real * foot.real + foot.imag * foot.imag
    return found, seen


def least_distances(first: Complex, second: Complex) -> Array:
    """Return of each first segment (both ends, n) how far the nearest of the second is (2, m)."""
    way, other = first[1] - first[0], second[1] - second[0]
    off = np.empty((2, 2, len(way), len(other)), dtype=np.complex128)
    np.subtract(first[:, :, None], second[0], out=off[0])
    np.subtract(second[:, None, :], first[0][:, None], out=off[1])
    ways = np.empty((2, 1, len(way), len(other)), dtype=np.complex128)
    ways[0, 0], ways[1, 0] = other, way[:, None]
    square = np.empty((2, 1, len(way), len(other)))
    square[0, 0], square[1, 0] = _square(other), _square(way)[:, None]
    squares, seen = _squares(off, ways, square)
    away: Array = np.sqrt(squares.min(axis=(0, 1, 3)))
    left = seen.imag > 0
    crossing = (left[0, 0] != left[0, 1]) & (left[1, 0] != left[1, 1])
    away[crossing.any(axis=1)] = 0.0
    return away


def depth_inside(segments: Array, body: Array) -> Array:
    """Return how far (mm, at most zero when outside) each segment (m, 2, 2) enters a convex body.

    The part of a segment within each half plane is cut along it; what is left is measured at its middle.
    """
    normals, heights = minkowski.half_planes(body)
    a, b = segments[:, 0], segments[:, 1]
    fa, fb = heights - a @ normals.T, heights - b @ normals.T
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.where(fa != fb, fa / (fa - fb), 0.0)
    enters = np.where((fa < 0) & (fb > fa), t, 0.0).max(axis=1)
    leaves = np.where((fb < 0) & (fa > fb), t, 1.0).min(axis=1)
    shut = np.any((fa < 0) & (fb < 0), axis=1)
    at = np.clip((enters + leaves) / 2, 0, 1)
    inside = (fa + at[:, None] * (fb - fa)).min(axis=1)
    depth: Array = np.where(shut | (enters > leaves), np.minimum(inside, 0.0), inside)
    return depth
