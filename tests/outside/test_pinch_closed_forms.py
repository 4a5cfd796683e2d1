"""Pinches whose width is known in closed form, to 0.01 mm: plain geometry, derived here, no publication."""

from __future__ import annotations

import math

import pytest

from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel.pinch import pinch

TURNS = [0.0, 12.5, 45.0, 90.0, 203.0]


def box(x0, y0, x1, y1):
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def width(floor, things, start, goal, turn, holes=()):
    pose = Pose(-1234.0, 777.0, turn)
    s, g = placed((start, goal), pose)
    found = pinch(
        placed(floor, pose), [placed(h, pose) for h in holes], [placed(t, pose) for t in things], s, g
    )
    return found.width_mm


def round_thing(x, y, radius, corners):
    """A regular outline about a circle: its corners lie on it, one of them straight up."""
    step = math.tau / corners
    return tuple((x - radius * math.sin(k * step), y + radius * math.cos(k * step)) for k in range(corners))


@pytest.mark.parametrize("turn", TURNS)
def test_two_round_things_one_above_the_other(turn):
    """Circles of radius r and s, centres d apart, leave d - r - s; here corners face each other exactly."""
    floor = box(0, 0, 8000, 3000)
    low, high = round_thing(4000, 500, 600, 64), round_thing(4000, 2600, 700, 64)
    found = width(floor, [low, high], (1000.0, 1500.0), (7000.0, 1500.0), turn)
    assert found == pytest.approx(2100 - 600 - 700, abs=0.01)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize(("dx", "dy"), [(100, 600), (240, 800), (0, 711), (500, 500)])
def test_corner_to_corner(turn, dx, dy):
    """Two crates on opposite walls, the second dx further on: hypot(dx, dy)."""
    floor = box(0, 0, 9000, 1500 + dy + 1900)
    things = [box(2000, 0, 4000, 1500), box(4000 + dx, 1500 + dy, 6000 + dx, 1500 + dy + 1900)]
    found = width(floor, things, (700.0, 2000.0), (8300.0, 2000.0), turn)
    assert found == pytest.approx(math.hypot(dx, dy), abs=0.01)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("slant", [5.0, 20.0, 37.0])
def test_corner_to_a_slanted_wall(turn, slant):
    """A wall at an angle p through (0, h) and a crate's corner at (x, y): (h + x tan p - y) cos p."""
    t = math.tan(math.radians(slant))
    floor = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 2500.0 + 6000.0 * t), (0.0, 2500.0))
    crate = box(2500, -100, 4500, 1900)
    found = width(floor, [crate], (1000.0, 1200.0), (5500.0, 1200.0), turn)
    corner = (2500 + 2500 * t - 1900) * math.cos(math.radians(slant))
    assert found == pytest.approx(min(corner, 2000.0, 1000.0), abs=0.01)


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("slant", [10.0, 45.0, 71.0])
def test_corner_to_edge_of_a_turned_crate(turn, slant):
    """A square of side a turned by p reaches a/2 (sin p + cos p) down from its centre, above a bench."""
    reach = 500 * (math.sin(math.radians(slant)) + math.cos(math.radians(slant)))
    hung = placed(rectangle(1000, 1000), Pose(4000, 2900, slant))
    floor = box(0, 0, 8000, 3000)
    found = width(floor, [hung, box(3000, 0, 5000, 1400)], (1000.0, 1500.0), (7000.0, 1500.0), turn)
    assert found == pytest.approx(2900 - reach - 1400, abs=0.01)


@pytest.mark.parametrize("turn", TURNS)
def test_of_two_ways_the_wider_counts_and_of_two_pinches_on_it_the_narrower(turn):
    floor, island = box(0, 0, 9000, 3000), box(4000, 800, 5000, 2100)
    ends = (1000.0, 1500.0), (8200.0, 1500.0)
    assert width(floor, [island], *ends, turn) == pytest.approx(900.0, abs=0.01)
    assert width(floor, [], *ends, turn, holes=[island]) == pytest.approx(900.0, abs=0.01)
    assert width(floor, [island, box(6000, 0, 6200, 2200)], *ends, turn) == pytest.approx(800.0, abs=0.01)
    assert width(floor, [island, box(4400, 2700, 4600, 3000)], *ends, turn) == pytest.approx(800.0, abs=0.01)


def test_28_inches_between_crates_and_a_tenth_less():
    """Exit access in 29 CFR 1910.36(g)(2) is 28 in at all points: 711.2 mm, told apart from 27.9 in."""
    floor = box(0, 0, 6000, 2000)
    for inches in (28.0, 27.9):
        gap = inches * 25.4
        things = [box(2000, 0, 3000, 500), box(2500, 500 + gap, 3500, 2000)]
        found = width(floor, things, (900.0, 900.0), (5100.0, 900.0), 33.0)
        assert found == pytest.approx(gap, abs=1e-6)
