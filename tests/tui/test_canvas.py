"""The grid of cells: lines join, outlines are true, runs are merged."""

import math
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len
from shapely.geometry import LineString, Point, Polygon

from shopbins.tui.canvas.cells import HEAVY, LIGHT, Canvas


def box(canvas, c0, r0, c1, r1, heavy=False):
    for start, end in (
        ((c0, r0), (c1, r0)),
        ((c1, r0), (c1, r1)),
        ((c0, r1), (c1, r1)),
        ((c0, r0), (c0, r1)),
    ):
        canvas.line(start, end, 1, heavy)


def test_a_box_has_corners():
    canvas = Canvas(5, 3)
    box(canvas, 0, 0, 4, 2)
    assert canvas.text() == "┌───┐\n│   │\n└───┘"


def test_boxes_that_share_a_line_join():
    canvas = Canvas(7, 5)
    box(canvas, 0, 0, 6, 2)
    box(canvas, 0, 2, 3, 4)
    assert canvas.text() == "┌─────┐\n│     │\n├──┬──┘\n│  │\n└──┘"


def test_heavy_lines_lie_over_light_ones():
    canvas = Canvas(5, 3)
    box(canvas, 0, 0, 4, 2)
    canvas.line((0, 0), (4, 0), 2, heavy=True)
    assert canvas.text().splitlines()[0] == "╺━━━╸"


def test_every_joint_is_one_cell_wide():
    assert all(cell_len(glyph) == 1 for glyph in LIGHT + HEAVY)
    assert len(LIGHT) == len(HEAVY) == len(set(LIGHT)) == 16


def test_both_halves_of_a_wide_letter_hide_the_floor():
    canvas = Canvas(6, 1)
    canvas.word(1, 0, "機", 0)
    assert [canvas.is_open(col, 0, 1) for col in range(6)] == [True, False, False, True, True, True]
    canvas.word(4, 0, "·", 0)
    assert canvas.is_open(3, 0, 3)
    assert not canvas.is_open(2, 0, 3)


def test_lines_off_the_grid_are_cut():
    canvas = Canvas(4, 3)
    canvas.line((-1000000, 1), (1000000, 1), 1)
    canvas.line((2, -1000000), (2, 1000000), 1)
    assert canvas.text() == "  │\n──┼─\n  │"


def outlines():
    """Turned rectangles about the middle of the grid."""
    sizes = st.floats(1, 30)
    return st.builds(
        lambda a, b, turn, x, y: tuple(
            (x + u * math.cos(turn) - v * math.sin(turn), y + u * math.sin(turn) + v * math.cos(turn))
            for u, v in ((-a, -b), (a, -b), (a, b), (-a, b))
        ),
        sizes, sizes, st.floats(0, 6.3), st.floats(-10, 70), st.floats(-10, 40),
    )  # fmt: skip


@settings(max_examples=60)
@given(outlines())
def test_fill_is_the_cells_whose_middle_is_inside(outline):
    """Against shapely's point in polygon, cell by cell, edges apart."""
    canvas = Canvas(60, 30)
    canvas.fill(outline, "x", 1)
    area = Polygon(outline)
    for row, line in enumerate(canvas.text().split("\n")):
        for col in range(60):
            middle = Point(col + 0.5, row + 0.5)
            if area.exterior.distance(middle) > 1e-6:
                assert (line[col : col + 1] == "x") == area.contains(middle)


@settings(max_examples=60)
@given(outlines())
def test_an_outline_of_dots_is_true_to_a_dot(outline):
    """No dot is further from the line than its own size, none of the line's way is left out."""
    canvas = Canvas(30, 8)
    canvas.outline(outline, 1)
    line = LineString([*outline, outline[0]])
    dots = lit(canvas)
    assert all(line.distance(Point(x + 0.5, y + 0.5)) <= 1.3 for x, y in dots)
    for k in range(200):
        at = line.interpolate(k / 200, normalized=True)
        if 1 < at.x < 58 and 1 < at.y < 30:
            assert any(abs(x + 0.5 - at.x) <= 1.3 and abs(y + 0.5 - at.y) <= 1.3 for x, y in dots)


BITS = {
    (0, 0): 0x01,
    (0, 1): 0x02,
    (0, 2): 0x04,
    (1, 0): 0x08,
    (1, 1): 0x10,
    (1, 2): 0x20,
    (0, 3): 0x40,
    (1, 3): 0x80,
}


def lit(canvas):
    """The dots that are set, read from the glyphs by the Unicode standard's table of braille patterns."""
    found = set()
    for row in range(canvas.rows):
        for col in range(canvas.cols):
            code = ord(canvas.look(col, row)[0])
            if 0x2800 <= code <= 0x28FF:
                found |= {(col * 2 + x, row * 4 + y) for (x, y), bit in BITS.items() if code - 0x2800 & bit}
    return found


@given(
    st.lists(st.tuples(st.integers(0, 19), st.integers(0, 4), st.sampled_from("ab·░作業"), st.integers(0, 5)))
)
def test_runs_are_whole_rows_with_one_look_each(words):
    canvas = Canvas(20, 5)
    for col, row, glyph, ink in words:
        canvas.word(col, row, glyph, ink)
        canvas.ground[row * 20 + col] = ink % 3
    for row in range(5):
        runs = canvas.runs(row)
        text = "".join(text for text, _, _ in runs)
        assert cell_len(text) == 20, "a letter of two columns, whole or written over, takes its cells"
        assert text.rstrip() == canvas.text().split("\n")[row]
        assert all(a[1:] != b[1:] for a, b in pairwise(runs))


def test_a_letter_of_two_columns_is_never_half_written():
    """Wide by Unicode Standard Annex 11: 作 and 業 are W."""
    canvas = Canvas(6, 1)
    canvas.word(0, 0, "作業ab", 1)
    assert canvas.text() == "作業ab"
    canvas.word(1, 0, "x", 1)
    assert canvas.text() == " x業ab"
    canvas.word(2, 0, "y", 1)
    assert canvas.text() == " xy ab"
    canvas.word(5, 0, "業", 1)
    assert canvas.text() == " xy ab", "half of it would stand beside the plan"


def test_a_copy_is_drawn_over_without_changing_what_was_copied():
    canvas = Canvas(4, 1)
    canvas.word(0, 0, "ab", 1)
    other = canvas.copy()
    other.word(0, 0, "xy", 2)
    other.ground[3] = 1
    assert canvas.text() == "ab"
    assert not canvas.ground[3]
