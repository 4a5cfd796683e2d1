"""Standing on supports against moments, numpy's least squares and a linear programme of scipy.

Derived: reactions are the mass times the barycentric coordinates of the centre of gravity, the tip angle of
an edge is atan(distance / height). The tables of two stands were worked out by moments.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from shopbins.rules.supports import Support, _along, stand
from shopbins.shop.model import Slope

FIRST = [Support(0, 0), Support(1200, 0), Support(600, 900)]
SECOND = [Support(0, 0), Support(1000, 0), Support(500, 800)]


@pytest.mark.parametrize(
    ("supports", "cg", "mass", "height", "expected", "tip"),
    [
        (FIRST, (600, 300), 3000, 800, [1000, 1000, 1000], 20.556),
        (SECOND, (450, 200), 2000, 600, [850, 650, 500], 18.435),
    ],
)
def test_three_supports(supports, cg, mass, height, expected, tip) -> None:
    found = stand(supports, cg, cg_height_mm=height)
    assert found.exact and found.stands
    assert [r.kg(mass)[0] for r in found.reactions] == pytest.approx(expected, abs=1e-6)
    assert [r.kg(mass)[1] for r in found.reactions] == pytest.approx(expected, abs=1e-6)
    assert found.tip_deg == pytest.approx(tip, abs=1e-3)


def test_four_alike_carry_a_quarter_and_their_part_of_the_moment() -> None:
    """Four springs alike: 1/4 (1 + x cx / a2 + y cy / b2), as of a pile group (Navier's straight line)."""
    four = [Support(x, y) for x in (-600, 600) for y in (-400, 400)]
    found = stand(four, (150, -100))
    wanted = [0.25 * (1 + x * 150 / 600 - y * 100 / 400) for x in (-1, 1) for y in (-1, 1)]
    assert [each.alike for each in found.reactions] == pytest.approx(wanted)


def moments(supports, cg) -> tuple[np.ndarray, np.ndarray]:
    rows = [[1.0] * len(supports), [s.x_mm / 1000 for s in supports], [s.y_mm / 1000 for s in supports]]
    return np.array(rows), np.array([1.0, cg[0] / 1000, cg[1] / 1000])


coords = st.integers(-1500, 1500)
points = st.tuples(coords, coords)


def spread_out(supports) -> bool:
    a, _ = moments(supports, (0, 0))
    return bool(np.linalg.svd(a, compute_uv=False)[-1] > 0.15)


@settings(max_examples=80, deadline=None)
@given(st.lists(points, min_size=3, max_size=3, unique=True), st.tuples(*[st.floats(0.05, 1)] * 3))
def test_three_agree_with_least_squares(at, weights) -> None:
    supports = [Support(x, y) for x, y in at]
    if not spread_out(supports):
        return
    total = sum(weights)
    cg = tuple(sum(w * p[i] for w, p in zip(weights, at, strict=True)) / total for i in (0, 1))
    found = stand(supports, cg)
    solved, *_ = np.linalg.lstsq(*moments(supports, cg), rcond=None)
    assert [r.least for r in found.reactions] == pytest.approx(list(solved), abs=1e-7)
    assert found.edge_mm is not None and found.edge_mm > 0


@settings(max_examples=40, deadline=None)
@given(st.lists(points, min_size=4, max_size=7, unique=True), st.data())
def test_more_agree_with_a_linear_programme_and_hold_the_least_squares(at, data) -> None:
    supports = [Support(x, y) for x, y in at]
    if not spread_out(supports):
        return
    weights = [data.draw(st.floats(0.05, 1)) for _ in at]
    total = sum(weights)
    cg = tuple(sum(w * p[i] for w, p in zip(weights, at, strict=True)) / total for i in (0, 1))
    found = stand(supports, cg)
    assert found.stands and not found.exact
    assert "statics alone gives a range" in found.why
    a, b = moments(supports, cg)
    for i, reaction in enumerate(found.reactions):
        cost = np.zeros(len(at))
        cost[i] = 1.0
        least = linprog(cost, A_eq=a, b_eq=b, bounds=(0, None))
        most = linprog(-cost, A_eq=a, b_eq=b, bounds=(0, None))
        assert reaction.least == pytest.approx(least.fun, abs=1e-6)
        assert reaction.most == pytest.approx(-most.fun, abs=1e-6)
    alike, *_ = np.linalg.lstsq(a, b, rcond=None)
    given_alike = [r.alike for r in found.reactions]
    if min(alike) > 1e-9:
        assert given_alike == pytest.approx(list(alike), abs=1e-7)
    if min(alike) < -1e-9:
        assert given_alike == [None] * len(at)


def test_four_feet_with_the_weight_in_the_middle() -> None:
    # By moments: two across can carry it all while the others touch; a quarter each if all give alike.
    square = [Support(0, 0), Support(1000, 0), Support(1000, 800), Support(0, 800)]
    found = stand(square, (500, 400), cg_height_mm=600)
    assert [(r.least, r.most, r.alike) for r in found.reactions] == [(0.0, 0.5, pytest.approx(0.25))] * 4
    assert found.tip_deg == pytest.approx(math.degrees(math.atan(400 / 600)))


@settings(max_examples=40, deadline=None)
@given(
    fall=st.floats(0.001, 0.3),
    towards=st.floats(0, 360),
    height=st.floats(100, 2000),
    x=st.integers(180, 900),
)
def test_on_a_slope_it_tips_where_the_weight_leaves_the_supports(fall, towards, height, x) -> None:
    """Rotate weight and supports in space: at the angle found the plumb line goes through the edge."""
    cg = (x, 250.0)
    slope = Slope(fall, towards)
    found = stand(FIRST, cg, cg_height_mm=height, slope=slope)
    assert found.slope_edge is not None and found.tip_on_slope_deg is not None
    u = np.array([math.cos(math.radians(towards)), math.sin(math.radians(towards)), 0.0])
    angle = math.atan(fall)
    gravity = math.sin(angle) * u - np.array([0.0, 0.0, math.cos(angle)])
    (ax, ay), (bx, by) = found.slope_edge
    a, along = np.array([ax, ay, 0.0]), np.array([bx - ax, by - ay, 0.0])
    along /= np.linalg.norm(along)
    turn = math.radians(found.tip_on_slope_deg)
    # Tilting the thing outwards by `turn` about the edge is turning gravity the other way in its frame.
    turned = (
        gravity * math.cos(turn) - np.cross(along, gravity) * math.sin(turn)
        + along * np.dot(along, gravity) * (1 - math.cos(turn))
    )  # fmt: skip
    moment = np.dot(along, np.cross(np.array([*cg, height]) - a, turned))
    assert moment / height == pytest.approx(0.0, abs=1e-6)
    assert found.stands == (found.tip_on_slope_deg > 0)


@settings(max_examples=40, deadline=None)
@given(fall=st.floats(0, 0.2), towards=st.floats(0, 360), height=st.floats(50, 900))
def test_on_a_slope_moments_in_space_balance(fall, towards, height) -> None:
    """Forces square to the floor at the supports and along it (no arm there) hold the weight in balance."""
    cg = (600.0, 350.0)
    found = stand(FIRST, cg, cg_height_mm=height, slope=Slope(fall, towards))
    angle, down = math.atan(fall), math.radians(towards)
    weight = 1000 * np.array(
        [math.sin(angle) * math.cos(down), math.sin(angle) * math.sin(down), -math.cos(angle)]
    )
    moment = np.cross(np.array([*cg, height]), weight)
    for r in found.reactions:
        square = r.least * 1000 * math.cos(angle)
        moment += np.cross(np.array([r.support.x_mm, r.support.y_mm, 0.0]), np.array([0.0, 0.0, square]))
    assert moment[:2] == pytest.approx([0.0, 0.0], abs=1e-4)
    assert found.stands == (min(r.least for r in found.reactions) > 0)


def test_outside_its_supports_it_tips() -> None:
    found = stand(FIRST, (600, -1))
    assert found.stands is False
    assert found.edge_mm == pytest.approx(-1)
    assert min(r.least for r in found.reactions) < 0
    assert stand(FIRST[:2], (600, 0)).stands is False
    assert stand([Support(0, 0), Support(1, 1), Support(2, 2)], (1, 1)).stands is False


def test_without_a_centre_of_gravity_it_is_a_range_or_not_judged() -> None:
    inner = ((400, 200), (800, 200), (800, 400), (400, 400))
    found = stand(FIRST, None, outline=inner)
    assert found.stands is True and not found.exact
    for r in found.reactions:  # shares are linear: their extremes are at corners
        at = [stand(FIRST, p).reactions[FIRST.index(r.support)].least for p in inner]
        assert (r.least, r.most) == pytest.approx((min(at), max(at)))
    wide = ((0, 0), (1200, 0), (1200, 900), (0, 900))
    found = stand(FIRST, None, outline=wide)
    assert found.stands is None and "not checked" in found.why
    assert stand(FIRST, None).stands is None
    four = [Support(x, y) for x, y in wide]
    found = stand(four, None, outline=inner)  # of four feet one may carry nothing, or all of it
    assert found.stands is True and [(r.least, r.most) for r in found.reactions] == [(0.0, 1.0)] * 4


# Three points in one line carry nothing across it (statics), be they off it by a rounding.
@pytest.mark.parametrize("off", [0.0, 2.3e-16, 1e-12])
@pytest.mark.parametrize("cg", [None, (0.4, 0.0)])
def test_three_supports_in_line_but_for_rounding_hold_nothing(
    off: float, cg: tuple[float, float] | None
) -> None:
    at = [Support(0.0, 0.0), Support(0.0, off), Support(1.0, 0.0)]
    found = stand(at, cg, outline=((0.0, -1.0), (1.0, -1.0), (1.0, 1.0), (0.0, 1.0)))
    assert found.stands is False and found.reactions == ()
    assert "in one line" in found.why


@pytest.mark.parametrize("share", [-0.1, 0.0, 0.3, 0.5, 1.0, 1.1])
@pytest.mark.parametrize("beside_mm", [0.0, 0.001, 5.0])
def test_how_far_along_a_line_of_two_supports_a_point_is(share: float, beside_mm: float) -> None:
    """Against a point made of the two by numpy, the second line part turned a quarter."""
    a, b = np.array((400.0, 700.0)), np.array((1300.0, -500.0))
    across = np.array((-(b - a)[1], (b - a)[0])) / np.linalg.norm(b - a)
    at = a + share * (b - a) + beside_mm * across
    ends = [Support(*map(float, end)) for end in (a, b)]
    found = _along(*ends, (float(at[0]), float(at[1])))
    assert found == (pytest.approx(share) if not beside_mm and 0 <= share <= 1 else None)


def test_two_supports_in_one_place_are_no_line() -> None:
    here = Support(400.0, 700.0)
    assert _along(here, here, (400.0, 700.0)) is None
    assert _along(here, Support(400.5, 700.5), (400.25, 700.25)) == pytest.approx(0.5)
