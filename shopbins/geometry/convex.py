"""Convex hulls and convex parts of simple outlines, in plain Python with an exact turn test."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache

from shopbins.geometry.shapes import Outline, Point, counter_clockwise

# A float orientation whose size exceeds this share of its two products has the right sign
# (Shewchuk, "Adaptive Precision Floating-Point Arithmetic", 1997: (3 + 16 eps) eps).
_FILTER = 3.3306690738754716e-16

HAIR = 1e-9
"""The sine of a turn that is none but for rounding."""


def turn_sign(a: Point, b: Point, c: Point) -> int:
    """Tell the turn a -> b -> c exactly: 1 left, -1 right, 0 straight on (in whole numbers: what is below the
    line of a binary fraction is a power of two).
    """
    left = (b[0] - a[0]) * (c[1] - a[1])
    right = (b[1] - a[1]) * (c[0] - a[0])
    det = left - right
    if abs(det) > _FILTER * (abs(left) + abs(right)):
        return 1 if det > 0 else -1
    ratios = [each.as_integer_ratio() for point in (a, b, c) for each in point]
    most = max(below for _, below in ratios)
    ax, ay, bx, by, cx, cy = (above * (most // below) for above, below in ratios)
    exact = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    return (exact > 0) - (exact < 0)


def convex_hull(points: Iterable[Point]) -> Outline:
    """Return the convex hull, counter-clockwise, without points along its edges (may have 1 or 2 points)."""
    pts = sorted({(float(x), float(y)) for x, y in points})
    if len(pts) <= 2:
        return tuple(pts)
    lower = _half_hull(pts)
    upper = _half_hull(pts[::-1])
    return tuple(lower[:-1] + upper[:-1])


def _half_hull(pts: Sequence[Point]) -> list[Point]:
    chain: list[Point] = []
    for p in pts:
        while len(chain) >= 2 and turn_sign(chain[-2], chain[-1], p) <= 0:
            chain.pop()
        chain.append(p)
    return chain


def is_convex(outline: Sequence[Point], hair: float = 0.0) -> bool:
    """Tell whether a counter-clockwise simple outline never turns right, by exact signs.

    `hair` lets turns to the right pass whose sine is no more than that: rounding makes such of straight sides
    that were turned with a body.
    """
    for i in range(len(outline)):
        a, b, c = outline[i - 2], outline[i - 1], outline[i]
        if hair == 0.0:
            if turn_sign(a, b, c) < 0:
                return False
            continue
        ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
        if ux * vy - uy * vx < -hair * math.hypot(ux, uy) * math.hypot(vx, vy):
            return False
    return True


@lru_cache(maxsize=8192)
def convex_parts(outline: Outline) -> tuple[Outline, ...]:
    """Cut a simple outline into few convex counter-clockwise parts that cover it without overlapping.

    Ears are clipped and the cuts that are not needed for convexity taken out again (Hertel and Mehlhorn,
    1983: never more than four times the fewest possible).
    """
    pts = _without_straight_points(counter_clockwise(outline))
    if len(pts) < 3:
        return ()
    if is_convex(pts):
        return (pts,)
    return tuple(tuple(pts[i] for i in part) for part in _merged(pts, triangles(pts)))


def _without_straight_points(outline: Sequence[Point]) -> Outline:
    pts = list(outline)
    i = 0
    while i < len(pts) and len(pts) >= 3:
        if turn_sign(pts[i - 1], pts[i], pts[(i + 1) % len(pts)]) == 0:
            del pts[i]
            i = max(i - 1, 0)
        else:
            i += 1
    return tuple(pts)


def triangles(pts: Sequence[Point]) -> list[tuple[int, int, int]]:
    """Triangulate a simple counter-clockwise outline; return places of the corners in it."""
    n = len(pts)
    after = [(i + 1) % n for i in range(n)]
    before = [(i - 1) % n for i in range(n)]
    reflex = {i for i in range(n) if turn_sign(pts[before[i]], pts[i], pts[after[i]]) < 0}
    found: list[tuple[int, int, int]] = []
    i, left, idle = 0, n, 0
    while left > 3 and idle <= left:
        a, c = before[i], after[i]
        turn = turn_sign(pts[a], pts[i], pts[c])
        if turn > 0 and not _holds_reflex(pts, a, i, c, reflex):
            found.append((a, i, c))
        elif turn != 0:
            i, idle = c, idle + 1
            continue
        after[a], before[c] = c, a
        left, idle = left - 1, 0
        for k in (a, c):
            if k in reflex and turn_sign(pts[before[k]], pts[k], pts[after[k]]) >= 0:
                reflex.discard(k)
        reflex.discard(i)
        i = c
    last = (before[i], i, after[i])
    if turn_sign(pts[last[0]], pts[last[1]], pts[last[2]]) > 0:
        found.append(last)
    return found


def _holds_reflex(pts: Sequence[Point], a: int, b: int, c: int, reflex: set[int]) -> bool:
    pa, pb, pc = pts[a], pts[b], pts[c]
    x0, x1 = min(pa[0], pb[0], pc[0]), max(pa[0], pb[0], pc[0])
    for k in reflex:
        if k in (a, b, c) or not x0 <= pts[k][0] <= x1:
            continue
        p = pts[k]
        if p in (pa, pb, pc):
            continue
        if turn_sign(pa, pb, p) >= 0 and turn_sign(pb, pc, p) >= 0 and turn_sign(pc, pa, p) >= 0:
            return True
    return False


def _merged(pts: Sequence[Point], parts: Iterable[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """Take out every cut whose two sides form a convex part together."""
    pieces: dict[int, tuple[int, ...]] = dict(enumerate(parts))
    owner = {(p[i - 1], p[i]): k for k, p in pieces.items() for i in range(len(p))}
    for u, v in [edge for edge in owner if edge[0] < edge[1] and edge[::-1] in owner]:
        k, m = owner[(u, v)], owner[(v, u)]
        joined = _joined(pieces[k], pieces[m], u, v)
        if k == m or not is_convex([pts[i] for i in joined]):
            continue
        pieces[k] = joined
        del pieces[m]
        owner.update({(joined[i - 1], joined[i]): k for i in range(len(joined))})
    return list(pieces.values())


def _joined(p: tuple[int, ...], q: tuple[int, ...], u: int, v: int) -> tuple[int, ...]:
    """Join p, which runs u -> v, and q, which runs v -> u, over that edge."""
    i, j = p.index(v), q.index(u)
    return p[i:] + p[:i] + (q[j:] + q[:j])[1:-1]
