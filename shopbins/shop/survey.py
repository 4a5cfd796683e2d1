"""Rooms from what a tape gives: walls walked round, sides with diagonals, places by distance from walls.

A room is walked with the wall on the right hand, so its corners go counter-clockwise. Wall 1 runs from the
first corner, at 0, 0, along x. Lengths in mm, angles in degrees. Spreading: the compass rule (Bowditch) by
length, the transit rule by the part of each wall that runs along x or y (NPTEL 105107122, lecture 29; worked
examples in tests/outside/test_survey_published.py).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopbins.geometry.shapes import Point, turn_between, turned

Wall = tuple[float, float]
"""Length, and direction (0 along x, counter-clockwise)."""
ALONG_DEG = 10.0
FLATTEST_DEG, WIDEST_DEG = 30.0, 120.0


class NoShape(ValueError):  # noqa: N818 - it is an answer
    """Lengths that cannot belong together."""


@dataclass(frozen=True, slots=True)
class Opening:
    """Two jambs on a wall, in its direction, and the unit vector out of the room."""

    jambs: tuple[Point, Point]
    outward: Point


def walked(walls: Sequence[Wall]) -> tuple[list[Point], Point]:
    """Return the corners from 0, 0 on, and by how much the last wall misses the first corner."""
    x = y = 0.0
    corners = [(x, y)]
    for length, towards in walls:
        x += length * math.cos(math.radians(towards))
        y += length * math.sin(math.radians(towards))
        corners.append((x, y))
    return corners[:-1], corners[-1]


def is_square(walls: Sequence[Wall]) -> bool:
    """Tell whether every wall runs along x or y."""
    return all(abs(towards % 90.0) < 1e-9 for _, towards in walls)


def allowed_miss(walls: Sequence[Wall], measured_mm: float) -> Point:
    """Return what may be missed along and across: twice the error of the walls that run that way.

    Error propagation of independent lengths, from memory.
    """
    along = sum(abs(math.cos(math.radians(towards))) > 0.5 for _, towards in walls)
    across = sum(abs(math.sin(math.radians(towards))) > 0.5 for _, towards in walls)
    return 2 * measured_mm * math.sqrt(max(along, 1)), 2 * measured_mm * math.sqrt(max(across, 1))


def spread(walls: Sequence[Wall]) -> list[Point]:
    """Return the corners with the closing error spread.

    In a room of square corners by the transit rule, so that walls stay square; else by the compass rule.
    """
    steps = [(n * math.cos(math.radians(a)), n * math.sin(math.radians(a))) for n, a in walls]
    return _spread(steps, [n for n, _ in walls], transit=is_square(walls))


def _spread(steps: Sequence[Point], lengths: Sequence[float], *, transit: bool) -> list[Point]:
    miss = (sum(step[0] for step in steps), sum(step[1] for step in steps))
    way = sum(lengths)
    along = [sum(abs(step[i]) for step in steps) or 1.0 for i in (0, 1)]
    corners, x, y = [], 0.0, 0.0
    for length, (dx, dy) in zip(lengths, steps, strict=True):
        corners.append((x, y))
        share = (abs(dx) / along[0], abs(dy) / along[1]) if transit else (length / way, length / way)
        x, y = x + dx - miss[0] * share[0], y + dy - miss[1] * share[1]
    return corners


def suspects(walls: Sequence[Wall], miss: Point) -> list[int]:
    """Return the walls that alone could have caused the miss: it lies along them, within 10 degrees."""
    bearing = math.degrees(math.atan2(miss[1], miss[0]))
    off = [abs((bearing - towards + 90) % 180 - 90) for _, towards in walls]
    return [n for n, each in enumerate(off) if each <= ALONG_DEG]


def third_corner(a: Point, b: Point, from_a: float, from_b: float) -> Point:
    """Return the corner left of a-b at two taped distances, by the law of cosines; raises NoShape."""
    base = math.dist(a, b)
    along = (from_a**2 + base**2 - from_b**2) / (2 * base)
    high = from_a**2 - along**2
    if high <= 0:
        raise NoShape(f"{from_a:g}, {from_b:g} and {base:.0f} mm make no triangle")
    ux, uy = (b[0] - a[0]) / base, (b[1] - a[1]) / base
    up = math.sqrt(high)
    return a[0] + ux * along - uy * up, a[1] + uy * along + ux * up


def by_diagonals(walls: Sequence[Wall], diagonals: Mapping[tuple[int, int], float]) -> list[Point]:
    """Return the corners of a room from its sides and enough diagonals between corners (counted from 0).

    Of the two places a corner can have, the one nearer to where the walk put it is taken. Raises NoShape.
    """
    guess = walked(walls)[0]
    count = len(walls)
    known = {frozenset((n, (n + 1) % count)): length for n, (length, _) in enumerate(walls)}
    known |= {frozenset(ends): length for ends, length in diagonals.items()}
    placed: dict[int, Point] = {0: (0.0, 0.0), 1: (walls[0][0], 0.0)}
    while len(placed) < count:
        corner = _next_corner(placed, known, count)
        if corner is None:
            lacking = [n + 1 for n in range(count) if n not in placed]
            raise NoShape(f"one more diagonal is needed, to corner {lacking[0]}")
        n, (a, b) = corner
        lengths = known[frozenset((a, n))], known[frozenset((b, n))]
        left = third_corner(placed[a], placed[b], *lengths)
        right = third_corner(placed[b], placed[a], lengths[1], lengths[0])
        placed[n] = min((left, right), key=lambda point: math.dist(point, guess[n]))
    return [placed[n] for n in range(count)]


def _next_corner(
    placed: Mapping[int, Point], known: Mapping[frozenset[int], float], count: int
) -> tuple[int, tuple[int, int]] | None:
    """Return a corner with known distances to two placed ones, and those two: the pair furthest apart."""
    for n in range(count):
        if n in placed:
            continue
        near = [each for each in placed if frozenset((each, n)) in known]
        pairs = [p for p in itertools.combinations(near, 2) if math.dist(placed[p[0]], placed[p[1]]) > 1.0]
        if pairs:
            return n, max(pairs, key=lambda p: math.dist(placed[p[0]], placed[p[1]]))
    return None


def corner_angle(arm_a: float, arm_b: float, across: float) -> float:
    """Return the angle at a corner from a length along each wall and the one across; NoShape."""
    cosine = (arm_a**2 + arm_b**2 - across**2) / (2 * arm_a * arm_b)
    if not -1 < cosine < 1:
        raise NoShape(f"{arm_a:g}, {arm_b:g} and {across:g} mm make no triangle")
    return math.degrees(math.acos(cosine))


def diagonal_at(before: float, after: float, angle_deg: float) -> float:
    """Return the distance between the far ends of two walls that meet at an angle."""
    return math.sqrt(before**2 + after**2 - 2 * before * after * math.cos(math.radians(angle_deg)))


def off_at(arm_mm: float, away_mm: float) -> float:
    """Return how far a wall's end is off for 1 mm of error across the corner: 1 m arms, 4 m away: 5.7 mm."""
    return away_mm * math.sqrt(2) / arm_mm


def sharp_or_flat(corners: Sequence[Point], ends: Sequence[tuple[int, int]]) -> list[int]:
    """Return the corners whose triangles are badly shaped: an angle under 30 or over 120 degrees."""
    bad = set()
    for a, b in ends:
        for n in range(len(corners)):
            if not _joined(n, a, b, len(corners)):
                continue
            for p, q, r in ((n, a, b), (a, n, b), (b, n, a)):
                angle = _angle(corners[p], corners[q], corners[r])
                if not FLATTEST_DEG <= angle <= WIDEST_DEG:
                    bad.add(p)
    return sorted(bad)


def _joined(n: int, a: int, b: int, count: int) -> bool:
    return all((n - other) % count in (1, count - 1) for other in (a, b))


def _angle(at: Point, a: Point, b: Point) -> float:
    first, second = (math.atan2(p[1] - at[1], p[0] - at[0]) for p in (a, b))
    return abs(turn_between(math.degrees(first), math.degrees(second)))


def area(corners: Sequence[Point]) -> float:
    """Return the area inside, in mm2."""
    around = zip(corners, [*corners[1:], corners[0]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in around)) / 2


# -- on and by walls


def wall_of(corners: Sequence[Point], wall: int) -> tuple[Point, Point]:
    """Return the ends of a wall, counted from 0."""
    return corners[wall], corners[(wall + 1) % len(corners)]


def along(corners: Sequence[Point], wall: int) -> Point:
    """Return the unit vector along a wall; the room is on its left."""
    (ax, ay), (bx, by) = wall_of(corners, wall)
    length = math.dist((ax, ay), (bx, by))
    return (bx - ax) / length, (by - ay) / length


def opening(corners: Sequence[Point], wall: int, near: float, far: float, *, from_end: bool) -> Opening:
    """Return the jambs of a door by the distance of its edges from one end of a wall; NoShape if beyond."""
    start, end = wall_of(corners, wall)
    length = math.dist(start, end)
    if near < 0 or far > length + 0.5:
        raise NoShape(f"wall {wall + 1} is {length:.0f} mm long, the far edge at {far:g} mm")
    first, second = (length - far, length - near) if from_end else (near, far)
    ux, uy = along(corners, wall)
    jambs = tuple((start[0] + ux * each, start[1] + uy * each) for each in (first, second))
    return Opening((jambs[0], jambs[1]), (uy, -ux))


def hung_on(corners: Sequence[Point], door: Opening, wall_mm: float, to_edge_mm: float) -> list[Point]:
    """Return a room's corners where they lie if its wall 1 holds the far side of a door.

    `to_edge_mm` is from the room's first corner to the door's first edge.
    """
    (ax, ay), (bx, by) = door.jambs
    width = math.dist((ax, ay), (bx, by))
    ux, uy = (bx - ax) / width, (by - ay) / width
    x = bx + door.outward[0] * wall_mm + ux * to_edge_mm
    y = by + door.outward[1] * wall_mm + uy * to_edge_mm
    turn = math.degrees(math.atan2(-uy, -ux))
    return [(x + px, y + py) for px, py in turned(corners, turn)]


def by_two_walls(
    corners: Sequence[Point], first: tuple[int, float], second: tuple[int, float], size: Point
) -> tuple[Point, float]:
    """Return first corner and turn of a rectangle of a size, its length along the first wall.

    Its nearest corner lies at given distances from two walls (counted from 0). Raises NoShape.
    """
    (u, p), (v, q) = ((along(corners, wall), wall_of(corners, wall)[0]) for wall, _ in (first, second))
    cross = u[0] * v[1] - u[1] * v[0]
    if abs(cross) < 0.1:
        raise NoShape(f"walls {first[0] + 1} and {second[0] + 1} run the same way: name two that meet")
    # Points at a distance d from a wall: (point - p) . normal = d, the normal to the left, into the room.
    c1 = first[1] + p[0] * -u[1] + p[1] * u[0]
    c2 = second[1] + q[0] * -v[1] + q[1] * v[0]
    x, y = _solved(u, v, c1, c2)
    if u[0] * -v[1] + u[1] * v[0] < 0:  # the second wall is ahead: the thing lies before it
        x, y = x - u[0] * size[0], y - u[1] * size[0]
    return (x, y), math.degrees(math.atan2(u[1], u[0]))


def _solved(u: Point, v: Point, c1: float, c2: float) -> Point:
    """Return the point whose products with the two left normals are c1 and c2."""
    a, b, c, d = -u[1], u[0], -v[1], v[0]
    determinant = a * d - b * c
    return (c1 * d - b * c2) / determinant, (a * c2 - c1 * c) / determinant
