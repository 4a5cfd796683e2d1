"""The clear width of a way: closed forms, and an independent answer from a raster of distances."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from building import box
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from shopbins.geometry.corridor import Corridor, clipped, corridor
from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.kernel.ways import narrowings
from shopbins.scene.passing import left_beside, narrowest, standing_in
from shopbins.scene.standing import Standing


def body(name: str, outline: Outline) -> Standing:
    return Standing(f"group:{name}", f"group:{name}", name, name, "hall", outline, 0.0, 500.0)


def turned(name: str, x: float, y: float, length: float, width: float, turn: float) -> Standing:
    return body(name, placed(rectangle(length, width), Pose(x, y, turn)))


STRAIGHT = corridor([(0, 0), (6000, 0)], 1000)


def test_a_thing_at_one_edge_leaves_the_rest() -> None:
    crate = body("crate", box(2000, 340, 2800, 900))
    pinch = left_beside(STRAIGHT, crate, [])
    assert pinch is not None
    assert pinch.clear_mm == pytest.approx(840)


def test_touching_the_edge_is_not_in_the_way() -> None:
    assert left_beside(STRAIGHT, body("crate", box(2000, 500, 2800, 900)), []) is None
    assert left_beside(STRAIGHT, body("crate", box(6000, -100, 6500, 100)), []) is None


def test_in_the_middle_the_wider_side_counts() -> None:
    pinch = left_beside(STRAIGHT, body("drum", box(2000, -100, 2600, 50)), [])
    assert pinch is not None
    assert pinch.clear_mm == pytest.approx(450)


def test_two_opposite_pinch_and_two_far_apart_do_not() -> None:
    left, right = body("a", box(2000, 200, 2500, 900)), body("b", box(2000, -900, 2500, -300))
    (pinch,) = narrowest(STRAIGHT, [left, right])
    assert pinch.clear_mm == pytest.approx(500)
    assert {b.name for b in pinch.chain} == {"a", "b"}
    far = body("b", box(4000, -900, 4500, -300))
    apart = narrowest(STRAIGHT, [left, far])
    assert [p.clear_mm for p in apart] == pytest.approx([700, 800])


def test_a_gap_on_the_slant_is_measured_on_the_slant() -> None:
    # Corners (2500, 100) and (2800, -300): 3-4-5, so 500 between them, though 400 across the way.
    left, right = body("a", box(2000, 100, 2500, 900)), body("b", box(2800, -900, 3300, -300))
    (pinch,) = narrowest(STRAIGHT, [left, right])
    assert pinch.clear_mm == pytest.approx(500)
    assert pinch.at_mm == pytest.approx((2650, -100))


def test_right_across_nothing_is_left() -> None:
    (pinch,) = narrowest(STRAIGHT, [body("beam", box(2000, -900, 2100, 900))])
    assert pinch.clear_mm == 0


def test_what_stands_beyond_the_way_does_not_count_where_it_is_outside() -> None:
    """An angle-shaped bench whose other leg runs outside the way narrows it only inside."""
    angle = body("angle", ((0, 600), (3000, 600), (3000, 400), (3200, 400), (3200, 800), (0, 800)))
    (pinch,) = narrowest(STRAIGHT, [angle])
    assert pinch.clear_mm == pytest.approx(900)


def test_the_bend_has_floor_in_its_corner_and_a_box_there_narrows_it() -> None:
    bend = corridor([(0, 0), (3000, 0), (3000, 3000)], 1000)
    outer = body("box", box(3200, -500, 3500, -200))
    assert standing_in(bend, [outer])
    pinch = left_beside(bend, outer, [])
    assert pinch is not None
    # From the box's inner corner (3200, -200) to the inner edge's corner (2500, 500).
    assert pinch.clear_mm == pytest.approx(math.hypot(700, 700))


def test_clipping_keeps_only_what_is_common() -> None:
    cut = clipped(box(0, 0, 100, 100), ((50, 50), (150, 50), (150, 150), (50, 150)))
    assert sorted(cut) == [(50, 50), (50, 100), (100, 50), (100, 100)]
    assert clipped(box(0, 0, 10, 10), box(10, 0, 20, 10)) == ()


THINGS = st.lists(
    st.tuples(
        st.floats(1500, 4500),
        st.floats(-700, 700),
        st.floats(100, 900),
        st.floats(100, 700),
        st.floats(0, 180),
    ),
    min_size=1,
    max_size=6,
)


@settings(max_examples=40, deadline=None)
@given(THINGS)
def test_the_clear_width_agrees_with_a_raster_of_distances(things: list) -> None:
    """Twice the distance transform's best bottleneck from end to end, which shares nothing with ours."""
    step = 10.0
    bodies = [turned(str(i), *each) for i, each in enumerate(things)]
    ours = min([1000.0, *(p.clear_mm for p in narrowest(STRAIGHT, bodies))])
    gx, gy = np.meshgrid(np.arange(0, 6000, step) + step / 2, np.arange(-510, 510, step) + step / 2)
    free = np.abs(gy) < 500
    for each in bodies:
        free &= ~_inside(each.outline, gx, gy)
    far = ndimage.distance_transform_edt(free) * step
    low, high = 0.0, 600.0
    while high - low > 1.0:
        mid = (low + high) / 2
        labels, _ = ndimage.label(far >= mid, structure=np.ones((3, 3)))
        if set(labels[:, 0][labels[:, 0] > 0]) & set(labels[:, -1][labels[:, -1] > 0]):
            low = mid
        else:
            high = mid
    assert abs(2 * low - ours) <= 4 * step, (2 * low, ours)


@settings(max_examples=60, deadline=None)
@given(THINGS, st.floats(-60, 60))
def test_closing_gaps_from_the_narrowest_on_gives_the_same_clear_width(things: list, bend: float) -> None:
    """An independent way: shapely's pieces and distances, gaps closed until left and right are joined."""
    away = math.radians(bend)
    line = [(0, 0), (3000, 0), (3000 + 3000 * math.cos(away), 3000 * math.sin(away))]
    way = corridor(line, 1000)
    bodies = [turned(str(i), *each) for i, each in enumerate(things)]
    ours = min([1000.0, *(p.clear_mm for p in narrowest(way, bodies))])
    assert ours == pytest.approx(_closed(way, [b.outline for b in bodies]), abs=0.01)
    assert ours == min([1000.0, *(n.clear_mm for n in narrowings(way, [b.outline for b in bodies]))])


def _closed(way: Corridor, outlines: list[Outline]) -> float:
    floor = shapely.union_all([shapely.Polygon(p) for p in way.pieces])
    cut = [shapely.intersection(shapely.Polygon(o), floor) for o in outlines]
    sides = [shapely.MultiLineString([list(e) for e in edge]) for edge in (way.left, way.right)]
    nodes = [*sides, *(c for c in cut if c.area > 1e-3)]
    gaps = sorted(
        (shapely.distance(nodes[i], nodes[k]), i, k) for k in range(2, len(nodes)) for i in range(k)
    )
    joined = list(range(len(nodes)))
    for gap_mm, i, k in gaps:
        one, other = joined[i], joined[k]
        joined = [one if each == other else each for each in joined]
        if joined[0] == joined[1]:
            return min(gap_mm, 1000.0)
    return 1000.0


ROUND = [(0, 0), (2500, 0), (2750, 100), (2900, 350), (2950, 700), (3000, 3500)]
"""A way round a corner drawn in stretches much shorter than it is wide."""

NEAR_THE_BEND = st.tuples(
    st.floats(1500, 3500), st.floats(-500, 2000), st.floats(100, 700), st.floats(100, 500), st.floats(0, 180)
)


@settings(max_examples=15, deadline=None)
@given(st.lists(NEAR_THE_BEND, min_size=1, max_size=5))
def test_short_stretches_in_a_bend_agree_with_the_raster(things: list) -> None:
    step, width = 12.5, 1000.0
    way = corridor(ROUND, width)
    bodies = [turned(str(i), *each) for i, each in enumerate(things)]
    ours = min([width, *(p.clear_mm for p in narrowest(way, bodies))])
    gx, gy = np.meshgrid(np.arange(-700, 3700, step), np.arange(-700, 4200, step))
    # The flat ends are no walls: the floor goes on there while distances are taken.
    floor = ((gx < 0) & (np.abs(gy) < 500)) | ((gy > 3490) & (np.abs(gx - 3000) < 500))
    for piece in way.pieces:
        floor |= _inside(piece, gx, gy)
    for each in bodies:
        floor &= ~_inside(each.outline, gx, gy)
    far = ndimage.distance_transform_edt(floor) * step
    start, goal = floor & (gx < 100) & (gx > 0), floor & (gy > 3350) & (gy < 3500)
    low, high = 0.0, 600.0
    while high - low > 1.0:
        mid = (low + high) / 2
        labels, _ = ndimage.label(far >= mid, structure=np.ones((3, 3)))
        if set(labels[start & (labels > 0)]) & set(labels[goal & (labels > 0)]):
            low = mid
        else:
            high = mid
    assert abs(2 * low - ours) <= 4 * step, (2 * low, ours)


def _inside(convex: Outline, gx: np.ndarray, gy: np.ndarray) -> np.ndarray:
    inside = np.ones(gx.shape, bool)
    for (ax, ay), (bx, by) in zip(convex, (*convex[1:], convex[0]), strict=True):
        inside &= (bx - ax) * (gy - ay) - (by - ay) * (gx - ax) >= 0
    return inside


def test_a_way_that_turns_back_on_itself_is_answered() -> None:
    way = corridor([(0, 0), (3000, 0), (0, 0)], 1000)
    assert narrowest(way, [body("crate", box(1000, 300, 1500, 900))])
