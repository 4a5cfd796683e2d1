"""mm to cells and back: nothing moves by looking closer."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins.geometry.shapes import Box
from shopbins.tui.canvas.projection import MARGIN_CELLS, STEPS_MM, Projection, box_of, fit, scale_bar

MM = st.integers(-50_000, 50_000).map(float)
SCALES = st.sampled_from([float(s) for s in STEPS_MM])
SIZES = st.tuples(st.integers(1, 220), st.integers(1, 70))


def windows():
    return st.builds(lambda x, y, s, size: Projection(x, y, s, *size), MM, MM, SCALES, SIZES)


@given(windows(), st.integers(0, 300), st.integers(0, 100))
def test_the_middle_of_a_cell_is_shown_by_that_cell(view, col, row):
    assert view.cell(view.middle(col, row)) == (col, row)


@given(windows(), MM, MM)
def test_a_cell_is_two_dots_wide_and_four_high(view, x, y):
    cells, dots = view.cells((x, y)), view.dots((x, y))
    assert dots == pytest.approx((cells[0] * 2, cells[1] * 4), abs=1e-6)


@given(windows())
def test_dots_are_square_on_the_floor(view):
    """A turned outline keeps its shape because a dot is as wide as high in mm."""
    x0, y0 = view.dots((0, 0))
    assert view.dots((1000, 0))[0] - x0 == pytest.approx(y0 - view.dots((0, 1000))[1])


@given(windows(), MM, MM, st.booleans())
def test_zoom_keeps_the_point_in_its_place(view, x, y, closer):
    at = (x, y)
    zoomed = view.zoomed(closer, at)
    assert zoomed.cells(at) == pytest.approx(view.cells(at), abs=1e-6)


def test_zoom_ends_at_both_ends():
    view = Projection(0, 0, 100, 80, 24)
    for closer, last in ((True, STEPS_MM[0]), (False, STEPS_MM[-1])):
        at = view
        for _ in range(len(STEPS_MM) + 3):
            at = at.zoomed(closer, (0, 0))
        assert at.mm_per_col == last


@given(MM, MM, st.floats(1, 60_000), st.floats(1, 60_000), SIZES)
def test_fit_shows_the_whole_box(x, y, width, height, size):
    view = fit(Box(x, y, x + width, y + height), *size)
    left, top = view.cells((x, y + height))
    right, bottom = view.cells((x + width, y))
    if size[0] > 2 * MARGIN_CELLS and size[1] > MARGIN_CELLS:
        assert left >= -1e-6 and top >= -1e-6
        assert right <= size[0] + 1e-6 and bottom <= size[1] + 1e-6


@given(MM, MM, st.floats(100, 60_000), st.floats(100, 60_000))
def test_fit_is_as_close_as_it_can_be(x, y, width, height):
    """One mm a column closer, the box would no longer fit between the margins."""
    view = fit(Box(x, y, x + width, y + height), 80, 24)
    closer = view.mm_per_col - 1
    if closer >= 1:
        assert width / closer > 80 - 2 * MARGIN_CELLS or height / closer / 2 > 24 - MARGIN_CELLS


@given(windows(), MM, MM)
def test_the_cursor_is_brought_into_sight(view, x, y):
    assert view.reached((x, y)).shows((x, y))


def test_reached_leaves_a_point_in_the_middle_alone():
    view = Projection(0, 0, 100, 80, 24)
    assert view.reached(view.middle(40, 12)) is view


@given(windows(), SIZES)
def test_another_size_keeps_the_middle(view, size):
    assert view.sized(*size).centre == pytest.approx(view.centre, abs=1e-4)


def test_the_box_round_nothing_is_a_metre():
    assert box_of([]) == (0.0, 0.0, 1000.0, 1000.0)
    assert all(math.isfinite(v) for v in box_of([((1, 2), (3, 4))]))


@pytest.mark.parametrize("mm_per_col", [5, 8, 30, 75, 100, 215, 333, 1000, 10_000])
def test_a_scale_bar_is_as_long_as_it_says(mm_per_col):
    bar, said = scale_bar(mm_per_col).split(" ", 1)
    number, unit = said.split()
    length_mm = float(number) * (1000 if unit == "m" else 1)
    assert abs(len(bar) * mm_per_col - length_mm) <= mm_per_col / 2
    assert 4 <= len(bar) <= 12
