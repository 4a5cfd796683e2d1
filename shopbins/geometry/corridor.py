"""The floor of a walkway: a strip about a line, flat at its ends and mitred at its bends. Plain Python."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.shapes import Box, Outline, Point, bounds, counter_clockwise

TOLERANCE_MM = 0.001
_LEFT, _RIGHT = -1, -2

Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Corridor:
    """A way's floor as convex pieces, and the pieces of its two long edges."""

    line: tuple[Point, ...]
    width_mm: float
    pieces: tuple[Outline, ...]
    left: tuple[Segment, ...]
    right: tuple[Segment, ...]
    box: Box


def corridor(line: Sequence[Point], width_mm: float) -> Corridor:
    """Return the floor of a way: flat at its ends, mitred at its bends.

    Each stretch is a rectangle, each bend has a wedge on its outer side; of their edges what lies inside
    another piece is no edge of the way, so short stretches in a bend do no harm.
    """
    pts = tuple(p for i, p in enumerate(line) if i == 0 or math.dist(p, line[i - 1]) > TOLERANCE_MM)
    half = width_mm / 2
    pieces: list[Outline] = []
    edges: dict[int, list[Segment]] = {_LEFT: [], _RIGHT: []}
    for a, b in itertools.pairwise(pts):
        left, right = (
            (_beside(a, b, a, half), _beside(a, b, b, half)),
            (_beside(a, b, a, -half), _beside(a, b, b, -half)),
        )
        pieces.append((right[0], right[1], left[1], left[0]))
        edges[_LEFT].append(left)
        edges[_RIGHT].append(right)
    for a, b, c in zip(pts, pts[1:], pts[2:], strict=False):
        side, wedge = _wedge(a, b, c, half)
        if len(wedge) >= 3:
            pieces.append(counter_clockwise(wedge))
            edges[side] += list(itertools.pairwise(wedge[1:]))
    kept = {side: tuple(_outside(each, pieces)) for side, each in edges.items()}
    box = bounds(p for piece in pieces for p in piece)
    return Corridor(pts, width_mm, tuple(pieces), kept[_LEFT], kept[_RIGHT], box)


def _beside(a: Point, b: Point, at: Point, off: float) -> Point:
    """Return the point `off` to the left of the stretch a-b, beside a point of it."""
    length = math.dist(a, b)
    return at[0] + off * (a[1] - b[1]) / length, at[1] + off * (b[0] - a[0]) / length


def _wedge(a: Point, b: Point, c: Point, half: float) -> tuple[int, Outline]:
    """Return the outer side of a bend and the floor there: the bend, and the edge from stretch to stretch.

    A bend of more than 120 degrees is cut straight across instead of running to a point.
    """
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    side, off = (_RIGHT, -half) if cross > 0 else (_LEFT, half)
    p, q = _beside(a, b, b, off), _beside(b, c, b, off)
    if math.dist(p, q) <= TOLERANCE_MM:
        return side, ()
    mx, my = p[0] + q[0] - 2 * b[0], p[1] + q[1] - 2 * b[1]
    square = mx * mx + my * my
    if square < half * half:
        return side, (b, p, q)
    scale = 2 * half * half / square
    return side, (b, p, (b[0] + mx * scale, b[1] + my * scale), q)


def _outside(segments: Sequence[Segment], pieces: Sequence[Outline]) -> Iterator[Segment]:
    """Go through the parts of edges that lie in no piece."""
    for a, b in segments:
        spans = [(0.0, 1.0)]
        for piece in pieces:
            low, high = within(a, b, piece)
            if high - low > 1e-9:
                cut = (span for u, v in spans for span in ((u, min(v, low)), (max(u, high), v)))
                spans = [(u, v) for u, v in cut if v - u > 1e-9]
        for u, v in spans:
            yield (
                (a[0] + u * (b[0] - a[0]), a[1] + u * (b[1] - a[1])),
                (a[0] + v * (b[0] - a[0]), a[1] + v * (b[1] - a[1])),
            )


def within(a: Point, b: Point, convex: Outline) -> tuple[float, float]:
    """Return from where to where, between 0 and 1, a-b runs inside a convex outline by more than rounding."""
    low, high = 0.0, 1.0
    for (ux, uy), (vx, vy) in zip(convex, (*convex[1:], convex[0]), strict=True):
        length = math.hypot(vx - ux, vy - uy)
        da = ((vx - ux) * (a[1] - uy) - (vy - uy) * (a[0] - ux)) / length - TOLERANCE_MM
        db = ((vx - ux) * (b[1] - uy) - (vy - uy) * (b[0] - ux)) / length - TOLERANCE_MM
        if da <= 0.0 and db <= 0.0:
            return 0.0, 0.0
        if da <= 0.0:
            low = max(low, da / (da - db))
        elif db <= 0.0:
            high = min(high, da / (da - db))
    return low, high


def clipped(convex: Outline, by: Outline) -> Outline:
    """Return the part of one convex outline that lies in another (Sutherland and Hodgman, 1974)."""
    pts = list(convex)
    ax, ay = by[-1]
    for bx, by_ in by:
        if not pts:
            break
        kept: list[Point] = []
        sides = [(bx - ax) * (p[1] - ay) - (by_ - ay) * (p[0] - ax) for p in pts]
        for i, p in enumerate(pts):
            q, side, before = pts[i - 1], sides[i], sides[i - 1]
            if (side > 0) != (before > 0) and side != before:
                t = before / (before - side)
                kept.append((q[0] + t * (p[0] - q[0]), q[1] + t * (p[1] - q[1])))
            if side > 0:
                kept.append(p)
        pts = kept
        ax, ay = bx, by_
    return tuple(pts)
