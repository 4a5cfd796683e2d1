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

from shopbins.geometry import minkowski
from shopbins.geometry.minkowski import Array
from shopbins.geometry.shapes import Point, Pose

ENOUGH_MM = 1e-4


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
        self.sides = np.stack((body, np.roll(body, -1, axis=0)), axis=1)

    def near(self, a: Pose, b: Pose, within_mm: float) -> Any:
        """Return the places of edges that the body may come within a distance of."""
        r = self.reach_mm + within_mm
        low = (min(a.x_mm, b.x_mm) - r, min(a.y_mm, b.y_mm) - r)
        high = (max(a.x_mm, b.x_mm) + r, max(a.y_mm, b.y_mm) + r)
        hit = (self.low[:, 0] <= high[0]) & (self.high[:, 0] >= low[0])
        hit &= (self.low[:, 1] <= high[1]) & (self.high[:, 1] >= low[1])
        return np.flatnonzero(hit)

    def bound(self, a: Pose, b: Pose, at: Any) -> float:
        """Return a distance that the body never comes nearer to the given edges than, moving from a to b.

        At most zero says nothing. Both poses must be free of overlap for a positive value to mean anything.
        """
        if len(at) == 0:
            return math.inf
        edges = self.edges[at]
        if a is b:
            return self._standing(a, edges)
        turn = math.radians(b.turn_deg - a.turn_deg)
        shift = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        chords = np.stack((self.corners(a), self.corners(b)), axis=1)
        mine = segment_distances(chords, edges) - (self.radii * turn * turn / 8)[:, None]
        points = edges.reshape(-1, 2)
        seen = np.stack((_seen(points, a), _seen(points, b)), axis=1)
        away = np.hypot(seen[..., 0], seen[..., 1]).max(axis=1)
        bend = (turn * turn * away + 2 * abs(turn) * shift) / 8
        theirs = segment_distances(seen, self.sides) - bend[:, None]
        return float(min(mine.min(), theirs.min()))

    def _standing(self, pose: Pose, edges: Array) -> float:
        """Return the least distance of corners, of the body and of the edges, from the other's sides."""
        mine = point_distances(self.corners(pose), edges)
        theirs = point_distances(_seen(edges.reshape(-1, 2), pose), self.sides)
        return float(min(mine.min(), theirs.min()))

    def clear(self, a: Pose, b: Pose, need_mm: float = ENOUGH_MM, depth: int = 5) -> bool:
        """Tell whether the motion surely keeps more than a distance; False may also mean unsure."""
        return self._clear(a, b, self.near(a, b, need_mm), need_mm, depth)

    def _clear(self, a: Pose, b: Pose, at: Any, need_mm: float, depth: int) -> bool:
        if self.bound(a, b, at) > need_mm:
            return True
        if depth == 0:
            return False
        m = middle(a, b)
        if self.bound(m, m, at) <= need_mm:
            return False
        return self._clear(a, m, at, need_mm, depth - 1) and self._clear(m, b, at, need_mm, depth - 1)

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
        mine = point_distances(corners, edges)
        points = edges.reshape(-1, 2)
        theirs = point_distances(points, sides)
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


def point_distances(points: Array, segments: Array) -> Array:
    """Return the distance of each point (n, 2) from each segment (m, 2, 2), as (n, m)."""
    d = segments[:, 1] - segments[:, 0]
    square = np.maximum(np.einsum("ij,ij->i", d, d), 1e-300)
    px = points[:, 0, None] - segments[None, :, 0, 0]
    py = points[:, 1, None] - segments[None, :, 0, 1]
    t = np.clip((px * d[:, 0] + py * d[:, 1]) / square, 0.0, 1.0)
    px -= t * d[:, 0]
    py -= t * d[:, 1]
    away: Array = np.sqrt(px * px + py * py)
    return away


def segment_distances(first: Array, second: Array) -> Array:
    """Return the distance of each segment (n, 2, 2) from each other segment (m, 2, 2), as (n, m)."""
    n, m = len(first), len(second)
    ends = point_distances(first.reshape(-1, 2), second).reshape(n, 2, m).min(axis=1)
    other = point_distances(second.reshape(-1, 2), first).reshape(m, 2, n).min(axis=1).T
    distance: Array = np.minimum(ends, other)
    distance[_crossing(first, second)] = 0.0
    return distance


def _crossing(first: Array, second: Array) -> Any:
    """Tell for each pair of segments whether they cross (n, m)."""
    s0, s1 = _sides(first, second)
    t0, t1 = _sides(second, first)
    return ((s0 > 0) != (s1 > 0)) & ((t0 > 0) != (t1 > 0)).T


def _sides(lines: Array, segments: Array) -> tuple[Array, Array]:
    """Return on which side of each line (n) the first and second ends of each segment (m) lie."""
    d = lines[:, 1] - lines[:, 0]
    x = segments[None, :, :, 0] - lines[:, None, None, 0, 0]
    y = segments[None, :, :, 1] - lines[:, None, None, 0, 1]
    side = d[:, None, None, 0] * y - d[:, None, None, 1] * x
    return side[..., 0], side[..., 1]


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
