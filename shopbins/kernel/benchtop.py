"""Free places for an upright rectangle on a rectangular surface among upright boxes: exact, plain Python.

If there is a free place, pushing it down and left ends where its left side touches the surface's edge or a
box's right side, at the bottom of a free stretch; so looking at those (and their mirror images, which lie
against the other edges) misses nothing. Quick enough to ask at every key.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from shopbins.geometry.shapes import Box, FloorProblem, Point, Pose
from shopbins.kernel.places import FreePlaces, Place, reason_of

NamedBox = tuple[str, Box]
BESIDE_WORTH_MM = 500.0
SLACK_MM = 1e-6


def stand_upright(
    surface: tuple[float, float],
    boxes: Sequence[NamedBox],
    piece: tuple[float, float],
    *,
    most: int = 12,
) -> FreePlaces:
    """Return the best free places of a piece (length, width) on a surface (length, width) from (0, 0).

    Poses are of the piece's centre, at 0 or 90 degrees. Cost as in `stand`: 500 mm less the share of its edge
    that touches. Raises FloorProblem for sizes that are none.
    """
    for what, size in (("surface", surface), ("piece", piece)):
        if not all(math.isfinite(s) and s > 0 for s in size):
            raise FloorProblem(f"{what}: {size[0]:g} x {size[1]:g} mm is no size")
    a, b = piece
    turns = [(0.0, a, b)] + ([(90.0, b, a)] if a != b else [])
    found = []
    for turn, length, width in turns:
        for x, y in _corners(surface, boxes, length, width):
            pose = Pose(x + length / 2, y + width / 2, turn)
            box = Box(x, y, x + length, y + width)
            cost = BESIDE_WORTH_MM * (1 - _beside(surface, boxes, box))
            found.append((cost, pose.y_mm, pose.x_mm, pose, box))
    kept: list[Place] = []
    for cost, _, _, pose, box in sorted(found, key=lambda f: f[:3]):
        if len(kept) >= most:
            break
        if not any(_alike(p.pose, pose, min(piece) / 2) for p in kept):
            kept.append(Place(pose, cost, _reason(surface, boxes, box)))
    return FreePlaces(tuple(kept), not found)


def _corners(
    surface: tuple[float, float], boxes: Sequence[NamedBox], length: float, width: float
) -> set[Point]:
    """Return lower left corners of free places that touch something along x and along y."""
    right, top = surface[0] - length, surface[1] - width
    if right < -SLACK_MM or top < -SLACK_MM:
        return set()
    right, top = max(right, 0.0), max(top, 0.0)
    rects = [r for _, r in boxes]
    xs = _touching(right, [(r.left - length, r.right, r.bottom, r.top) for r in rects])
    ys = _touching(top, [(r.bottom - width, r.top, r.left, r.right) for r in rects])
    found: set[Point] = set()
    for x, x_spans in xs.items():
        shut = [
            (r.bottom - width, r.top)
            for r in rects
            if r.left < x + length - SLACK_MM and x < r.right - SLACK_MM
        ]
        for y, y_spans in ys.items():
            if any(lo + SLACK_MM < y < hi - SLACK_MM for lo, hi in shut):
                continue
            if _meets(x_spans, y, y + width) and _meets(y_spans, x, x + length):
                found.add((x, y))
    return found


def _touching(
    most: float, contacts: Iterable[tuple[float, float, float, float]]
) -> dict[float, list[tuple[float, float]]]:
    """Return the places along one axis that touch something, and where across that is."""
    always = (-math.inf, math.inf)
    found = {0.0: [always], most: [always]}
    for before, after, low, high in contacts:
        for at in (before, after):
            if -SLACK_MM <= at <= most + SLACK_MM:
                found.setdefault(at, []).append((low, high))
    return found


def _meets(spans: Iterable[tuple[float, float]], low: float, high: float) -> bool:
    return any(a < high + 1 and low < b + 1 for a, b in spans)


def _beside(surface: tuple[float, float], boxes: Sequence[NamedBox], box: Box) -> float:
    """Return the share of a box's edge that touches the surface's edges or other boxes."""
    x0, y0, x1, y1 = box
    length, width = x1 - x0, y1 - y0
    sides = [0.0 if x0 > 1 else width, 0.0 if surface[0] - x1 > 1 else width]
    sides += [0.0 if y0 > 1 else length, 0.0 if surface[1] - y1 > 1 else length]
    for _, (u0, v0, u1, v1) in boxes:
        high, wide = min(y1, v1) - max(y0, v0), min(x1, u1) - max(x0, u0)
        if high > 0:
            sides[0] += high if abs(x0 - u1) < 1 else 0.0
            sides[1] += high if abs(u0 - x1) < 1 else 0.0
        if wide > 0:
            sides[2] += wide if abs(y0 - v1) < 1 else 0.0
            sides[3] += wide if abs(v0 - y1) < 1 else 0.0
    whole = (width, width, length, length)
    return sum(min(s, w) for s, w in zip(sides, whole, strict=True)) / sum(whole)


def _reason(surface: tuple[float, float], boxes: Sequence[NamedBox], box: Box) -> str:
    x0, y0, x1, y1 = box
    edge = min(x0, y0, surface[0] - x1, surface[1] - y1)
    things = [
        (name, math.hypot(max(u0 - x1, x0 - u1, 0.0), max(v0 - y1, y0 - v1, 0.0)))
        for name, (u0, v0, u1, v1) in boxes
    ]
    return reason_of(max(edge, 0.0), things, (), ()).replace("the wall", "the edge")


def _alike(one: Pose, other: Pose, step: float) -> bool:
    near = math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm) < step
    return near and one.turn_deg == other.turn_deg
