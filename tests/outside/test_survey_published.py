"""Walls walked round, triangles and areas against published worked examples of surveying.

Compass rule: "Sample Traverse Computations" (document 279716815 on scribd.com), six courses in feet. Transit
rule on the same courses: document 564718393. Five courses by the transit rule: ques10.com 31405 (its
departures have a slip of sign, so only latitudes are compared). Law of cosines: EN0591, figure 4-21. Triangle
by its sides: document 36166000 on scribd.com.
"""

from __future__ import annotations

import itertools
import math

import pytest

from shopbins.shop.survey import (
    NoShape,
    Wall,
    _spread,
    allowed_miss,
    area,
    by_diagonals,
    by_two_walls,
    corner_angle,
    diagonal_at,
    hung_on,
    off_at,
    opening,
    sharp_or_flat,
    spread,
    suspects,
    third_corner,
    walked,
)

# length, bearing (from, degrees, minutes, towards), latitude, departure, their corrections
COURSES = [
    (495.85, "N", 5, 30, "E", 493.5672, 47.5251, -1.6677, -1.7923),
    (850.62, "N", 46, 2, "E", 590.5342, 612.2285, -2.8609, -3.0747),
    (855.45, "S", 67, 38, "E", -325.5265, 791.0924, -2.8772, -3.0922),
    (1020.87, "S", 12, 25, "E", -996.9916, 219.5069, -3.4335, -3.6901),
    (1117.26, "S", 83, 44, "W", -121.9557, -1110.5840, -3.7577, -4.0385),
    (660.08, "N", 55, 9, "W", 377.1895, -541.6952, -2.2201, -2.3860),
]


def courses() -> list[Wall]:
    out = []
    for length, ns, degrees, minutes, ew, *_ in COURSES:
        bearing = math.radians(degrees + minutes / 60)
        dx, dy = math.sin(bearing) * (1 if ew == "E" else -1), math.cos(bearing) * (1 if ns == "N" else -1)
        out.append((length, math.degrees(math.atan2(dy, dx))))
    return out


def test_closing_error() -> None:
    _, miss = walked(courses())
    assert miss == pytest.approx((18.0737, 16.8171), abs=2e-3)
    assert math.hypot(*miss) == pytest.approx(24.6876, abs=2e-3)
    assert round(sum(length for length, _ in courses()) / math.hypot(*miss), -1) == 200


def test_compass_rule_and_area() -> None:
    corners = spread(courses())
    for (*_, lat, dep, lat_by, dep_by), (x0, y0), (x1, y1) in zip(
        COURSES, corners, [*corners[1:], (0.0, 0.0)], strict=True
    ):
        assert (x1 - x0, y1 - y0) == pytest.approx((dep + dep_by, lat + lat_by), abs=3e-3)
    assert area(corners) == pytest.approx(1_715_250.0494, abs=25)


def test_transit_rule() -> None:
    lat, dep = [-173.20, -314.50, 86.60, 250, 154.90], [100, 128.40, 50, 0, -280]
    steps = list(zip(dep, lat, strict=True))
    corners = [*_spread(steps, [math.hypot(*s) for s in steps], transit=True), (0.0, 0.0)]
    got = [b[1] - a[1] for a, b in itertools.pairwise(corners)]
    assert got == pytest.approx([-173.87, -315.7204, 86.264, 249.0299, 154.2989], abs=5e-3)


def test_transit_rule_on_the_courses_above() -> None:
    steps = [(n * math.cos(math.radians(a)), n * math.sin(math.radians(a))) for n, a in courses()]
    corners = [*_spread(steps, [n for n, _ in courses()], transit=True), (0.0, 0.0)]
    assert COURSES[0][5] - (corners[1][1] - corners[0][1]) == pytest.approx(2.86, abs=0.01)


def test_a_square_room_stays_square() -> None:
    walls = [
        (6000.0, 0.0),
        (4010.0, 90.0),
        (2500.0, 180.0),
        (1000.0, 270.0),
        (3495.0, 180.0),
        (3000.0, 270.0),
    ]
    assert walked(walls)[1] == pytest.approx((5, 10))
    corners = spread(walls)
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        assert min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1e-9
    assert allowed_miss(walls, 5.0) == pytest.approx((10 * math.sqrt(3), 10 * math.sqrt(3)))


def test_one_wrong_length_is_found_along_itself() -> None:
    walls = [(6000.0, 0.0), (4000.0, 90.0), (5900.0, 180.0), (4000.0, 270.0)]
    assert suspects(walls, walked(walls)[1]) == [0, 2]


def test_law_of_cosines() -> None:
    angle = 73 + 19 / 60 + 27 / 3600
    assert corner_angle(97.85, 106.66, math.sqrt(14961.35)) == pytest.approx(angle, abs=2e-3)
    assert diagonal_at(97.85, 106.66, angle) ** 2 == pytest.approx(14961.35, abs=0.5)
    x, y = third_corner((0, 0), (106.66, 0), 97.85, math.sqrt(14961.35))
    assert math.degrees(math.atan2(y, x)) == pytest.approx(angle, abs=2e-3)


def test_area_of_a_triangle_by_its_sides() -> None:
    """20, 30, 38.58 m: 296.279 m2 (the source's second triangle has a slip of its own)."""
    corners = [(0.0, 0.0), (20.0, 0.0), third_corner((0, 0), (20, 0), 38.58, 30)]
    assert area(corners) == pytest.approx(296.279, abs=0.02)


def four_sided(*sides: float, across: float) -> list[tuple[float, float]]:
    return by_diagonals(list(zip(sides, (0.0, 90.0, 180.0, 270.0), strict=True)), {(0, 2): across})


def test_four_sides_and_a_diagonal() -> None:
    """3, 4, 5 is a right angle (Euclid I.48)."""
    corners = four_sided(4000, 3000, 4000, 3000, across=5000)
    for got, want in zip(corners, [(0, 0), (4000, 0), (4000, 3000), (0, 3000)], strict=True):
        assert got == pytest.approx(want, abs=1e-6)
    corners = four_sided(6000, 4000, 6000, 4000, across=7190)
    assert math.dist(corners[1], corners[3]) == pytest.approx(7232, abs=1)
    assert math.dist(corners[0], corners[2]) == pytest.approx(7190)


def test_five_corners_need_two_diagonals() -> None:
    true = [(0.0, 0.0), (5000.0, 0.0), (5200.0, 3000.0), (2500.0, 4500.0), (-300.0, 2900.0)]
    sides = [math.dist(a, b) for a, b in zip(true, [*true[1:], true[0]], strict=True)]
    walls = list(zip(sides, (0.0, 85.0, 150.0, 210.0, 275.0), strict=True))
    with pytest.raises(NoShape, match="one more diagonal is needed, to corner 4"):
        by_diagonals(walls, {(0, 2): math.dist(true[0], true[2])})
    ends = {(0, 2): math.dist(true[0], true[2]), (0, 3): math.dist(true[0], true[3])}
    for got, want in zip(by_diagonals(walls, ends), true, strict=True):
        assert got == pytest.approx(want, abs=1e-6)


def test_sides_that_cannot_meet() -> None:
    with pytest.raises(NoShape, match="make no triangle"):
        four_sided(1000, 1000, 1000, 1000, across=2500)


def test_a_corner_by_one_metre_along_both_walls() -> None:
    """1414 across is square; a millimetre there is 5.7 mm at 4 m (derived: sqrt 2 x 4)."""
    assert corner_angle(1000, 1000, 1000 * math.sqrt(2)) == pytest.approx(90)
    assert off_at(1000, 4000) == pytest.approx(5.66, abs=0.01)
    by_angle = math.radians(corner_angle(1000, 1000, 1415.2) - corner_angle(1000, 1000, 1414.2))
    assert by_angle * 4000 == pytest.approx(off_at(1000, 4000), rel=0.02)


def test_triangles_too_sharp_or_too_flat() -> None:
    """30 and 120 degrees: civilsnapshot.com, chain survey."""
    assert sharp_or_flat([(0, 0), (6000, 0), (6000, 4000), (0, 4000)], [(0, 2)]) == []
    assert sharp_or_flat([(0, 0), (9000, 0), (9000, 2000), (0, 2000)], [(0, 2)]) == [0, 2]


HALL = [(0.0, 0.0), (6000.0, 0.0), (6000.0, 4000.0), (0.0, 4000.0)]


@pytest.mark.parametrize(
    ("wall", "from_end", "jambs"),
    [
        (0, False, ((1000, 0), (1900, 0))),
        (0, True, ((4100, 0), (5000, 0))),
        (1, False, ((6000, 1000), (6000, 1900))),
        (3, False, ((0, 3000), (0, 2100))),
    ],
)
def test_a_door_from_a_corner(wall: int, from_end: bool, jambs: tuple[tuple[float, float], ...]) -> None:
    found = opening(HALL, wall, 1000, 1900, from_end=from_end)
    for got, want in zip(found.jambs, jambs, strict=True):
        assert got == pytest.approx(want)


def test_a_door_beyond_its_wall() -> None:
    with pytest.raises(NoShape, match="wall 2 is 4000 mm long"):
        opening(HALL, 1, 3500, 4400, from_end=False)


@pytest.mark.parametrize("wall", range(4))
def test_the_next_room_hangs_on_the_door(wall: int) -> None:
    """By construction: its wall 1 is a wall's thickness off, the door edge where it was taped."""
    door = opening(HALL, wall, 1000, 1900, from_end=False)
    room = hung_on([(0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0)], door, 240, 700)
    edge = (door.jambs[1][0] + door.outward[0] * 240, door.jambs[1][1] + door.outward[1] * 240)
    assert math.dist(room[0], edge) == pytest.approx(700)
    assert math.dist(room[1], edge) == pytest.approx(2300)
    assert area(room) == pytest.approx(6e6)
    inside = ((room[2][0] - room[1][0]) / 2000, (room[2][1] - room[1][1]) / 2000)
    assert inside == pytest.approx(door.outward)


@pytest.mark.parametrize(
    ("first", "second", "at", "turn"),
    [
        ((0, 300.0), (3, 400.0), (400, 300), 0),  # beside the first corner, along wall 1
        ((0, 300.0), (1, 400.0), (6000 - 400 - 2000, 300), 0),  # at the other end of wall 1
        ((1, 100.0), (0, 200.0), (5900, 200), 90),
        ((2, 100.0), (1, 200.0), (5800, 3900), 180),
        ((3, 0.0), (2, 0.0), (0, 4000), -90),
    ],
)
def test_a_bench_by_two_walls(
    first: tuple[int, float], second: tuple[int, float], at: tuple[float, float], turn: float
) -> None:
    corner, turned = by_two_walls(HALL, first, second, (2000, 700))
    assert corner == pytest.approx(at, abs=1e-6)
    assert turned == pytest.approx(turn)


def test_two_walls_that_never_meet() -> None:
    with pytest.raises(NoShape, match="run the same way"):
        by_two_walls(HALL, (0, 100), (2, 100), (2000, 700))
