"""Clear width along walkways: closed forms, turned and bent strips, and a raster."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from scipy import ndimage
from shapely import contains_xy
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

from shopbins.geometry.corridor import corridor
from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel.ways import Narrowing, at_most_past, narrowings, past
from shopbins.shop import parse
from shopbins.shop.problems import ShopProblems

LINE = ((0.0, 0.0), (5000.0, 0.0))


def narrowest(line, width, obstacles):
    """The narrowest place of a way; its own width where nothing narrows it."""
    found = narrowings(corridor(line, width), obstacles)
    if found and found[0].clear_mm < width:
        return found[0]
    return Narrowing(width, line[0], (), (None, None), (line[0], line[0]))


def box(x0, y0, x1, y1):
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


@pytest.mark.parametrize("turn", [0, 31, 90, 222])
@pytest.mark.parametrize(
    ("obstacles", "width", "between"),
    [
        ([], 1000.0, (None, None)),
        ([box(1000, -800, 1500, -500)], 1000.0, (None, None)),
        ([box(1000, -800, 1500, -499)], 999.0, (None, 0)),
        ([box(1000, -800, 1500, -300)], 800.0, (None, 0)),
        ([box(1000, -100, 1500, 300)], 400.0, (None, 0)),
        ([box(1000, -600, 1500, 600)], 0.0, (None, 0)),
        ([box(9000, -600, 9500, 600), box(1000, -900, 1500, -200), box(1400, 100, 1700, 900)], 300.0, (1, 2)),
        ([box(1000, -900, 1500, -200), box(1700, 100, 1900, 900)], math.hypot(200, 300), (0, 1)),
        ([((1000.0, -900.0), (1100.0, -250.0))], 750.0, (None, 0)),
    ],
)
def test_what_is_left_beside_and_between_things(obstacles, width, between, turn):
    pose = Pose(321.0, -45.0, turn)
    found = narrowest(placed(LINE, pose), 1000.0, [placed(o, pose) for o in obstacles])
    assert found.clear_mm == pytest.approx(width, abs=1e-6)
    assert found.between == between
    if between != (None, None):
        assert math.dist(*found.points) == pytest.approx(width, abs=1e-6)
        assert found.at_mm == pytest.approx([sum(each) / 2 for each in zip(*found.points, strict=True)])


def test_what_is_left_past_one_thing_where_others_stand():
    way, other = corridor(LINE, 1000.0), box(1400, 100, 1700, 900)
    assert past(way, []) is None and past(way, [box(1000, -800, 1500, -500), other]) is None
    low = box(1000, -900, 1500, -200)
    for outlines, left in (([low], 700.0), ([low, box(3000, -900, 3500, 400)], 700.0), ([low, other], 300.0)):
        found = past(way, outlines)
        assert found is not None and found.clear_mm == pytest.approx(left), outlines
    assert past(way, [other, low]).clear_mm == pytest.approx(300.0)


def test_what_corners_alone_show_is_never_less_than_what_is_left():
    """Closed form on a straight strip; else against the exact width, at 300 places of a bent one."""
    way = corridor(LINE, 1000.0)
    assert at_most_past(way, box(1000, -900, 1500, -200)) == pytest.approx(700.0)
    assert at_most_past(way, box(1000, -900, 1500, 900)) == math.inf  # no corner of it is in the way
    bent, chance = corridor(((0.0, 0.0), (4000.0, 0.0), (6000.0, 3000.0)), 1200.0), random.Random(5)
    exact = 0
    for _ in range(300):
        at = Pose(chance.uniform(0, 6500), chance.uniform(-900, 3300), chance.uniform(0, 360))
        outline = placed(rectangle(chance.uniform(100, 900), chance.uniform(100, 900)), at)
        found = past(bent, [outline])
        if found is None:
            assert at_most_past(bent, outline) == math.inf or at_most_past(bent, outline) > 1199.99
            continue
        assert at_most_past(bent, outline) >= found.clear_mm - 1e-6
        exact += at_most_past(bent, outline) < found.clear_mm + 1e-6
    assert exact > 50  # so it shows something


def test_a_bend_is_as_wide_as_its_arms():
    line = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (7000.0, 4000.0))
    assert narrowest(line, 1200.0, []).clear_mm == 1200.0
    inner = narrowest(line, 1200.0, [box(3000.0, 500.0, 3500.0, 900.0)])
    assert inner.clear_mm == pytest.approx(1100.0)
    corner = narrowest(line, 1200.0, [box(4500.0, -700.0, 4700.0, -500.0)])
    assert corner.clear_mm == 1200.0  # past the outer corner the walkway is wider than its arms
    deeper = narrowest(line, 1200.0, [box(4300.0, -600.0, 4700.0, -100.0)])
    assert deeper.clear_mm == pytest.approx(math.hypot(4300 - 3400, 600 + 100))


def test_crowded_walkways_agree_with_a_raster():
    rng = random.Random(1)
    cell, half = 10.0, 600.0
    narrowed = 0
    for _ in range(40):
        things = [
            placed(
                rectangle(rng.uniform(100, 500), rng.uniform(100, 400)),
                Pose(rng.uniform(1000, 5000), rng.uniform(-700, 700), rng.uniform(0, 180)),
            )
            for _ in range(5)
        ]
        found = narrowest(((0.0, 0.0), (6000.0, 0.0)), 2 * half, things)
        # Beside the strip is wall; the ends are open.
        xs, ys = np.arange(0.0, 6000.0 + cell, cell), np.arange(-half - 400, half + 400 + cell, cell)
        gx, gy = np.meshgrid(xs, ys)
        taken = contains_xy(unary_union([Polygon(t) for t in things]), gx.ravel(), gy.ravel()).reshape(
            gx.shape
        )
        clear = ndimage.distance_transform_edt(~(taken | (np.abs(gy) > half))) * cell
        low, high = 0.0, half
        for _ in range(18):
            middle = (low + high) / 2
            marks, _ = ndimage.label(clear >= middle, structure=np.ones((3, 3)))
            ends = set(marks[:, 0]) & set(marks[:, -1])
            low, high = (middle, high) if ends - {0} else (low, middle)
        assert found.clear_mm == pytest.approx(2 * low, abs=45)
        narrowed += found.clear_mm < 2 * half
    assert narrowed > 30


def test_only_what_lies_in_the_strip_counts():
    rng = random.Random(2)
    for _ in range(100):
        line = [(0.0, 0.0), (3000.0, rng.uniform(-500, 500)), (6000.0, 0.0)]
        thing = placed(rectangle(400, 300), Pose(rng.uniform(0, 6000), rng.uniform(-1500, 1500), 25))
        distance = Polygon(thing).distance(LineString(line))
        width = narrowest(line, 1000.0, [thing]).clear_mm
        if distance > 520:
            assert width == 1000.0
        if 5 < distance < 499:
            assert 499 < width < 1000.0


@pytest.mark.parametrize(
    ("line", "width"),
    [
        ("[[0, 0], [0, 0]]", "900"),
        ("[[0, 0]]", "900"),
        ("[[0, 0], [5000, 0]]", "0"),
        ("[[0, 0], [5000, 0]]", ".nan"),
        ("[[0, .inf], [1, 1]]", "900"),
    ],
)
def test_walkways_that_are_none_are_refused_where_they_are_told(line, width):
    text = "shop: x\nprefix: AB\nrooms:\n  a: {at: [0, 0], size: [5000, 4000]}\n"
    parse(f"{text}walkways:\n  w: {{line: [[0, 0], [5000, 0]], width: 900}}\n")
    with pytest.raises(ShopProblems) as said:
        parse(f"{text}walkways:\n  w: {{line: {line}, width: {width}}}\n")
    assert ":6:" in str(said.value)  # the walkway's line
