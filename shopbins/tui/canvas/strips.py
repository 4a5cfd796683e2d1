"""Small geometry of ways and doors for drawing and pointing."""

from __future__ import annotations

from shopbins.geometry.shapes import Outline, Point


def strip_outline(start: Point, end: Point, half: float) -> Outline:
    """Return the rectangle round a stretch of a way, a half width beyond each end."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5
    if length == 0:
        return ()
    ux, uy = dx / length * half, dy / length * half
    (x0, y0), (x1, y1) = start, end
    return (
        (x0 - ux + uy, y0 - uy - ux),
        (x1 + ux + uy, y1 + uy - ux),
        (x1 + ux - uy, y1 + uy + ux),
        (x0 - ux - uy, y0 - uy + ux),
    )


def away(p: Point, a: Point, b: Point) -> Point:
    """Return the part of a - p that is square to the line through a and b, as a vector from the line to p."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length2 = dx * dx + dy * dy or 1.0
    k = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length2
    return p[0] - a[0] - k * dx, p[1] - a[1] - k * dy
