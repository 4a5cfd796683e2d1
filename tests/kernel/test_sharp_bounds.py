"""Bounds that certainty rests on, at the motions where they are all but exact: a term less would show.

Each motion is one whose curve bows as far as the bound allows to second order (the bow of an arc, the
parabola of a point passed while turning); so half of any term claims more distance than there is.
"""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from kernel import certificate_checker

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel import goes_check
from shopbins.kernel.goes_path import LEAPS, shortened, tightest
from shopbins.kernel.goes_steered import CHORD_DEG, _Hunt, chords
from shopbins.kernel.steering import Bit, after
from shopbins.kernel.sweep import Sweep
from shopbins.kernel.swept import met, swept

GAP = 1.0


def least(body, edges, a: Pose, b: Pose, steps: int = 2000) -> float:
    """Return the least distance on the way, by the library's own measure at many poses."""
    obstacles = shapely.multilinestrings([[tuple(p), tuple(q)] for p, q in edges])
    shapely.prepare(obstacles)
    found = math.inf
    for k in range(steps + 1):
        t = k / steps
        pose = Pose(
            a.x_mm + (b.x_mm - a.x_mm) * t,
            a.y_mm + (b.y_mm - a.y_mm) * t,
            a.turn_deg + (b.turn_deg - a.turn_deg) * t,
        )
        found = min(found, shapely.distance(obstacles, shapely.Polygon(placed(body, pose))))
    return found


def bound(body, edges, a: Pose, b: Pose) -> float:
    sweep = Sweep(np.asarray(body, float), np.asarray(edges, float))
    return sweep.bound(a, b, np.arange(len(edges)))


def tip_past_a_wall(turn_deg: float):
    """A tip 1000 from the turning point bows out against a wall across the middle of its arc."""
    body = ((0.0, -5.0), (1000.0, 0.0), (0.0, 5.0))
    edges = [((1000.0 + GAP, -900.0), (1000.0 + GAP, 900.0))]
    return body, edges, Pose(0.0, 0.0, -turn_deg / 2), Pose(0.0, 0.0, turn_deg / 2)


def side_past_a_corner(turn_deg: float):
    """A far corner, seen from the turning body, bows towards a long side of it."""
    body = ((1000.0 + GAP, -900.0), (1100.0, -900.0), (1100.0, 900.0), (1000.0 + GAP, 900.0))
    edges = [((1000.0, 0.0), (999.0, 0.0))]
    return body, edges, Pose(0.0, 0.0, -turn_deg / 2), Pose(0.0, 0.0, turn_deg / 2)


def slide_past_a_corner(turn_deg: float):
    """A corner passed on the way while turning: seen from the body a parabola turn.shift/4 deep."""
    body = ((-900.0, -GAP - 50.0), (900.0, -GAP - 50.0), (900.0, -GAP), (-900.0, -GAP))
    edges = [((0.0, 0.0), (0.0, 1.0))]
    return body, edges, Pose(-500.0, 0.0, -turn_deg / 2), Pose(500.0, 0.0, turn_deg / 2)


@pytest.mark.parametrize("turn_deg", [2.0, -2.0, 6.0])
@pytest.mark.parametrize("motion", [tip_past_a_wall, side_past_a_corner, slide_past_a_corner])
def test_a_motion_never_comes_nearer_than_its_bound(motion, turn_deg: float) -> None:
    body, edges, a, b = motion(turn_deg)
    told, true = bound(body, edges, a, b), least(body, edges, a, b)
    assert told <= true + 1e-9
    bow = {tip_past_a_wall: 1.0, side_past_a_corner: 1.0, slide_past_a_corner: 2.0}[motion]
    bow *= 1000.0 * math.radians(abs(turn_deg)) ** (2 if motion is not slide_past_a_corner else 1) / 8
    assert told > true - 0.3 * bow - 1e-9 or (motion is slide_past_a_corner and told > true - bow)


def test_random_motions_never_come_nearer_than_their_bound() -> None:
    rng = random.Random(11)
    for _ in range(150):
        body = rectangle(rng.uniform(100, 1500), rng.uniform(50, 800))
        at = (rng.uniform(-900, 900), rng.uniform(-900, 900))
        edges = [(at, (at[0] + rng.uniform(-500, 500), at[1] + rng.uniform(-500, 500))) for _ in range(2)]
        a = Pose(rng.uniform(-2e3, 2e3), rng.uniform(-2e3, 2e3), rng.uniform(0, 360))
        b = Pose(
            a.x_mm + rng.uniform(-400, 400), a.y_mm + rng.uniform(-400, 400), a.turn_deg + rng.gauss(0, 20)
        )
        told = bound(body, edges, a, b)
        if told > 0:
            true = least(body, edges, a, b, 400)
            assert told <= true + 1e-9
            sweep = Sweep(np.asarray(body, float), np.asarray(edges, float))
            for halvings in (1, 4, 4000):  # also where the search for the narrowest place ends early
                assert tightest(sweep, [a, b], halvings)[0] <= true + 1e-9


@pytest.mark.parametrize("band_deg", [1.0, 5.0, 30.0])
def test_a_core_loses_no_more_than_the_chord_of_its_arcs_and_no_less(band_deg: float) -> None:
    """In the middle of a band a side's tangents meet h/cos out; the chord takes them back to h.cos."""
    body = minkowski.corners_of(rectangle(1400, 500))
    for found in (minkowski.core(body, 0.0, band_deg), goes_check.core(body, 0.0, band_deg)):
        core = shapely.Polygon(found)
        for k in range(41):
            turned = shapely.Polygon(minkowski.turn(body, band_deg * k / 40))
            assert shapely.difference(core, turned).area < 1e-6
        middle = minkowski.turn(found, -band_deg / 2)
        assert middle[:, 1].max() == pytest.approx(250 * math.cos(math.radians(band_deg / 2)), abs=1e-6)


@pytest.mark.parametrize("off_mm", [0.4, 0.0, -0.4])
def test_a_core_about_a_point_close_to_a_side_is_inside_at_every_turn(off_mm: float) -> None:
    """Half way round the tangents to a side 0.4 off meet 0.4 (1 / cos 22.5 - 1) = 0.03 outside of it."""
    body = minkowski.corners_of([(x, y + 250.0 - off_mm) for x, y in rectangle(1400, 500)])
    cores = [minkowski.core, goes_check.core] if off_mm > 0 else [goes_check.core]
    for made in cores:
        core = shapely.Polygon(made(body, 0.0, 45.0))
        assert core.area > 1e5
        for k in range(19):
            turned = shapely.Polygon(minkowski.turn(body, 2.5 * k))
            assert shapely.difference(core, turned.buffer(1e-6)).area < 1e-9


@pytest.mark.parametrize("turn_deg", [3.0, 41.0, -90.0])
def test_what_is_swept_holds_the_body_all_the_way(turn_deg: float) -> None:
    body = rectangle(2000.0, 10.0)
    path = [Pose(0.0, 0.0, 0.0), Pose(30.0, -20.0, turn_deg)]
    area = swept(body, path)
    for k in range(401):
        t = k / 400
        at = Pose(30.0 * t, -20.0 * t, turn_deg * t)
        assert shapely.difference(shapely.Polygon(placed(body, at)), area).area < 1e-6


def test_what_a_body_meets_is_what_lies_in_the_area_it_sweeps() -> None:
    """Against shapely's own union of it."""
    luck, seen = random.Random(2), 0
    for _ in range(40):
        body = rectangle(luck.uniform(200, 2000), luck.uniform(200, 1500))
        ends = [Pose(luck.uniform(0, 9e3), luck.uniform(0, 9e3), luck.uniform(0, 90)) for _ in range(3)]
        path = [ends[0], Pose(*ends[0][:2], 40.0), *ends[1:]]
        at = [Pose(luck.uniform(0, 9e3), luck.uniform(0, 9e3), 20.0) for _ in range(15)]
        shapes = [shapely.Polygon(placed(rectangle(700, 300), pose)) for pose in at]
        in_it = np.flatnonzero(shapely.intersects(swept(body, path), shapes)).tolist()
        assert met(body, path, shapes) == in_it, path
        seen += len(in_it)
    assert 100 < seen < 500
    assert met(body, path, []) == []


def test_the_arcs_of_a_steered_way_keep_to_the_room_asked_beside_their_chords() -> None:
    sweep = Sweep(np.asarray(rectangle(100, 50)), np.array([[[9e3, 9e3], [9e3, 8e3]]]))
    for radius in (800.0, 3000.0):
        hunt = _Hunt(sweep, [Pose(0, 0), Pose(1000, 0)], radius, Pose(1000, 0), 360.0, lambda: False)
        turn = 40.0
        bit = Bit(radius * math.radians(turn), turn)
        line = shapely.LineString([(p.x_mm, p.y_mm) for p in chords(Pose(0, 0), (bit,))])
        far = 0.0
        for k in range(801):
            p = after(Pose(0, 0), Bit(bit.along_mm * k / 800, turn * k / 800))
            far = max(far, shapely.distance(line, shapely.Point(p.x_mm, p.y_mm)))
        assert far > 0.99 * radius * (1 - math.cos(math.radians(CHORD_DEG / 2)))
        assert hunt.need_mm >= far


def test_a_hull_keeps_its_corners_whatever_rounding_does_to_their_order() -> None:
    """Corners one above the other, their x astray by rounding: a fuzz found one of them dropped."""
    rng = random.Random(2)
    for _ in range(500):
        a, b, x = rng.uniform(50, 900), rng.uniform(50, 900), rng.uniform(-9000, 9000)
        corners = [(x + u, v) for u in (-a, a) for v in (-b, b, 0.0, 0.3 * b)]
        astray = np.array([(u + rng.uniform(-2e-12, 2e-12), v) for u, v in corners])
        found = goes_check.hull(astray)
        assert found is not None
        assert shapely.Polygon(found).area == pytest.approx(4 * a * b, rel=1e-9)


def test_a_hull_keeps_the_last_of_corners_all_but_in_line() -> None:
    """A fuzz found the lowest corner of a side that leans by 2e-9 mm dropped for one above it."""
    rng = random.Random(3)
    for _ in range(500):
        a, b, lean = rng.uniform(50, 900), rng.uniform(50, 900), rng.uniform(-5e-9, 5e-9)
        along = [-b, b, *(rng.uniform(-b, b) for _ in range(4))]
        leaning = np.array(
            [(s * a + lean * v / b + rng.uniform(-1e-9, 1e-9), v) for s in (-1, 1) for v in along]
        )
        for points in (leaning, leaning[:, ::-1]):
            found = goes_check.hull(points)
            assert found is not None
            assert shapely.Polygon(found).area == pytest.approx(4 * a * b, rel=1e-9)
            as_line = [tuple(p) for p in points.tolist()]
            grown = certificate_checker.grown(((0.0, 0.0), (0.0, 0.0)), as_line)
            assert shapely.Polygon(grown).area == pytest.approx(4 * a * b, rel=1e-9)


class Longest:
    """A sweep that is clear on legs up to a length, and roomy everywhere."""

    def __init__(self, most_mm: float) -> None:
        self.most_mm, self.asked = most_mm, 0

    def near(self, *_: object) -> None:
        return None

    def bound(self, *_: object) -> float:
        return math.inf

    def clear(self, a: Pose, b: Pose, *_: object) -> bool:
        self.asked += 1
        return b.x_mm - a.x_mm <= self.most_mm


@pytest.mark.parametrize(("number", "most_mm", "ends"), [
    (50, math.inf, [0, 49]), (3, math.inf, [0, 2]), (2, math.inf, [0, 1]), (1, math.inf, [0]),
    (18, 4, [0, 4, 8, 12, 16, 17]), (7, 5, [0, 4, 6]), (4, 1, [0, 1, 2, 3]),
])  # fmt: skip
def test_a_path_is_shortened_by_leaps_that_double_until_one_is_not_clear(
    number: int, most_mm: float, ends: list[int]
) -> None:
    sweep = Longest(most_mm)
    found = shortened(sweep, [Pose(float(n), 0.0, 0.0) for n in range(number)])  # type: ignore[arg-type]
    assert [pose.x_mm for pose in found] == ends
    assert sweep.asked <= LEAPS


def test_with_all_leaps_taken_a_path_is_left_as_it_is() -> None:
    sweep = Longest(1.0)  # each leap is asked in vain
    found = shortened(sweep, [Pose(float(n), 0.0, 0.0) for n in range(3 * LEAPS)])  # type: ignore[arg-type]
    assert (len(found), sweep.asked) == (3 * LEAPS, LEAPS)
