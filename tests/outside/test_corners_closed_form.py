"""Bodies round corners against closed forms.

Ladder: (a^(2/3) + b^(2/3))^(3/2), a classic of the calculus books. Rectangle of width w, corridors a and b,
turning: L <= min over t of (a sin t + b cos t - w) / (sin t cos t); published setting C. Moretti, "Moving a
couch around a corner", College Mathematics Journal 33 (2002) 196-200. For a = b the least is at 45 degrees,
2 sqrt(2) a - 2 w (derived).
"""

from __future__ import annotations

import math
from functools import cache

import pytest
from floor_checker import World, certificate_problem, path_problem

from shopbins.geometry.shapes import Outline, Pose, placed, rectangle, turned
from shopbins.kernel.goes import goes
from shopbins.kernel.goes_answer import DOES_NOT_GO, GOES, Answer


def critical_length(a: float, b: float, w: float) -> float:
    """Return the least of the turning bound, by golden section (it has one valley)."""

    def bound(t: float) -> float:
        return (a * math.sin(t) + b * math.cos(t) - w) / (math.sin(t) * math.cos(t))

    low, high, g = 1e-4, math.pi / 2 - 1e-4, (math.sqrt(5) - 1) / 2
    for _ in range(200):
        x, y = high - g * (high - low), low + g * (high - low)
        low, high = (low, y) if bound(x) < bound(y) else (x, high)
    return bound((low + high) / 2)


def corner(a: float, b: float, length: float) -> Outline:
    """Return a corridor b wide running along x that meets one a wide running along y."""
    far = length + 2 * max(a, b) + 500
    return ((0.0, 0.0), (far, 0.0), (far, b), (a, b), (a, far), (0.0, far))


@cache
def round_corner(
    a: float, b: float, w: float, length: float, by: Pose | None = None, mirror: bool = False
) -> Answer:
    """Ask whether a rectangle goes round a corner, the whole scene laid at a pose, perhaps mirrored."""
    floor = corner(a, b, length)
    far = floor[1][0]
    start, goal = Pose(far - length / 2 - 50, b / 2, 0.0), Pose(a / 2, far - length / 2 - 50, 90.0)
    by = by or Pose(0.0, 0.0, 0.0)
    if mirror:
        floor = tuple((-x, y) for x, y in floor)[::-1]
        start, goal = Pose(-start.x_mm, start.y_mm, 180.0), Pose(-goal.x_mm, goal.y_mm, 90.0)
    ends = []
    for p in (start, goal):
        ((x, y),) = turned([(p.x_mm, p.y_mm)], by.turn_deg)
        ends.append(Pose(x + by.x_mm, y + by.y_mm, p.turn_deg + by.turn_deg))
    return goes(placed(floor, by), [], [], rectangle(length, w), ends[0], ends[1])


TRIPLES = [
    (1000, 1000, 200), (900, 1200, 600), (1200, 1500, 800), (1500, 1500, 800), (800, 800, 50),
    (2000, 1000, 400), (1000, 2000, 700), (1800, 1400, 900), (3000, 1200, 500), (1100, 1300, 100),
    (950, 1050, 300), (2500, 2500, 1000), (1250, 1750, 650), (700, 900, 150), (1600, 1100, 450),
    (4000, 3000, 1200), (1320, 980, 333), (1010, 1490, 512), (2222, 1111, 99), (1777, 1999, 888),
    (900, 3000, 250), (1400, 1450, 760),
]  # fmt: skip


def test_the_bound_matches_what_is_published() -> None:
    # Moretti's setting in units: corridors 8 and 3, couch 1 wide, at 31 degrees
    t = math.radians(31)
    # the wider corridor stands with the cosine there
    assert (3 * math.sin(t) + 8 * math.cos(t) - 1) / (math.sin(t) * math.cos(t)) == pytest.approx(
        16.7666, abs=1e-3
    )
    assert (8 * math.sin(t) + 3 * math.cos(t) - 1) / (math.sin(t) * math.cos(t)) == pytest.approx(
        12.8927, abs=1e-4
    )
    for a, w in ((1000, 200), (1500, 800), (2500, 1000)):
        assert critical_length(a, a, w) == pytest.approx(2 * math.sqrt(2) * a - 2 * w, abs=1e-6)
    for a, b in ((3, 4), (1, 1)):
        assert critical_length(a, b, 0) == pytest.approx((a ** (2 / 3) + b ** (2 / 3)) ** 1.5, abs=1e-6)


@pytest.mark.parametrize(("a", "b", "w"), TRIPLES)
def test_a_rectangle_round_a_corner(a: int, b: int, w: int) -> None:
    critical = critical_length(a, b, w)
    assert critical > max(a, b), "else it could slide round without turning"
    for spare, expected in ((0.2, GOES), (-0.2, DOES_NOT_GO)):
        assert round_corner(a, b, w, critical - spare).answer == expected, spare


@pytest.mark.parametrize(("a", "b", "w"), TRIPLES[::4])
def test_a_rectangle_much_shorter_or_longer_than_goes_round(a: int, b: int, w: int) -> None:
    for spare, expected in ((25.0, GOES), (-25.0, DOES_NOT_GO)):
        assert round_corner(a, b, w, critical_length(a, b, w) - spare).answer == expected, spare


@pytest.mark.parametrize(("a", "b", "w"), TRIPLES[:6])
def test_what_it_says_of_a_corner_is_true(a: int, b: int, w: int) -> None:
    for spare in (0.2, -0.2):
        length = critical_length(a, b, w) - spare
        answer = round_corner(a, b, w, length)
        world = World([corner(a, b, length)], [], [], rectangle(length, w))
        if spare > 0:
            assert answer.clearance_mm is not None
            path = [(p.x_mm, p.y_mm, p.turn_deg) for p in answer.path]
            assert path_problem(world, path, answer.clearance_mm) is None
        else:
            assert answer.certificate is not None
            regions = [(r.from_deg, r.to_deg, r.outline, r.holes) for r in answer.certificate.regions()]
            far = corner(a, b, length)[1][0]
            start, goal = (far - length / 2 - 50, b / 2, 0.0), (a / 2, far - length / 2 - 50, 90.0)
            assert certificate_problem(world, regions, start, goal, 180.0) is None


@pytest.mark.parametrize(("a", "b"), [(1000, 1000), (1200, 900), (3000, 4000), (1500, 1100)])
def test_a_thin_ladder(a: int, b: int) -> None:
    # a rail 0.02 mm thick shortens the ladder by less than 0.05 mm
    ladder = (a ** (2 / 3) + b ** (2 / 3)) ** 1.5
    assert round_corner(a, b, 0.02, ladder - 0.25).answer == GOES
    assert round_corner(a, b, 0.02, ladder + 0.2).answer == DOES_NOT_GO


@pytest.mark.parametrize("turn_deg", [7.0, 33.3, 90.0, 121.7, 245.0])
@pytest.mark.parametrize("mirror", [False, True])
def test_a_corner_laid_at_any_angle(turn_deg: float, mirror: bool) -> None:
    a, b, w = 900, 1200, 600
    critical = critical_length(a, b, w)
    by = Pose(-3210.5, 7654.25, turn_deg)
    assert round_corner(a, b, w, critical - 0.2, by, mirror).answer == GOES
    assert round_corner(a, b, w, critical + 0.2, by, mirror).answer == DOES_NOT_GO


def test_never_wrong_near_the_critical_length() -> None:
    # 'too close' may be said only within 0.1 mm, and a certain answer is never the wrong one
    for (a, b, w), close in zip(TRIPLES, (0.01, 0.001, 0.0, -0.001, -0.01), strict=False):
        critical = critical_length(a, b, w)
        for spare in (0.1, 0.03, close, -0.03, -0.1):
            answer = round_corner(a, b, w, critical - spare)
            assert answer.answer != (DOES_NOT_GO if spare > 0 else GOES), (a, b, w, spare)
            if answer.answer not in (GOES, DOES_NOT_GO):
                assert answer.answer == "too close to call" and abs(spare) < 0.1
                assert answer.within_mm is not None and answer.within_mm <= 0.1


def test_sliding_round_without_turning() -> None:
    # 950 x 999 in corridors 1000 wide: the turning bound is below 950, yet it slides round
    floor = ((0.0, 0.0), (5000.0, 0.0), (5000.0, 1000.0), (1000.0, 1000.0), (1000.0, 5000.0), (0.0, 5000.0))
    assert critical_length(1000, 1000, 999) < 950
    body = rectangle(950, 999)
    assert goes(floor, [], [], body, Pose(4000, 500, 0), Pose(500, 4000, 0)).answer == GOES
    assert goes(floor, [], [], body, Pose(4000, 500, 0), Pose(500, 4000, 90)).answer == DOES_NOT_GO


@pytest.mark.parametrize("spare", [50.0, 5.0, 1.0, 0.2, -0.2, -1.0, -5.0, -50.0])
def test_two_corners_one_after_the_other(spare: float) -> None:
    # the legs are longer than the body, so each corner is on its own
    a, w = 1000.0, 500.0
    length = 2 * math.sqrt(2) * a - 2 * w - spare
    floor = (
        (0.0, 0.0), (5000.0, 0.0), (5000.0, 5000.0), (9000.0, 5000.0),
        (9000.0, 6000.0), (4000.0, 6000.0), (4000.0, 1000.0), (0.0, 1000.0),
    )  # fmt: skip
    start, goal = Pose(length / 2 + 20, 500, 0), Pose(9000 - length / 2 - 20, 5500, 0)
    expected = GOES if spare > 0 else DOES_NOT_GO
    assert goes(floor, [], [], rectangle(length, w), start, goal).answer == expected
