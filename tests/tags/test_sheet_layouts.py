"""Layouts are data: read with every mistake named, and placed where they say."""

import re

import pytest

from shopbins.tags import TagError
from shopbins.tags.layout import FORMS
from shopbins.tags.layoutfile import read_layouts
from shopbins.tags.layouts import DEFAULT, OURS, layout, layouts

GOOD = """
a4-3x7:
  sheet: [210, 297]
  grid: [3, 7]
  label: [63.5, 38.1]
  first: [7.2, 15.15]
  pitch: [66, 38.1]
"""


def test_ours_are_read_and_named_by_size():
    found = layouts()
    assert DEFAULT in found and "letter-3x10" in found
    for each in found.values():
        assert each.source
        assert re.search(r"[0-9]", each.name) and each.form in FORMS


def test_no_layout_is_given_twice():
    # YAML keeps the last of two equal keys without a word.
    written = re.findall(r"^([a-z0-9-]+):", OURS.read_text(encoding="utf-8"), re.MULTILINE)
    assert sorted(written) == sorted(layouts())


def test_last_label_of_three_by_seven_ends_where_the_sheet_says():
    # 7.2 + 2 x 66 + 63.5 = 202.7 and 15.15 + 7 x 38.1 = 281.85 (dimensions of the usual A4 sheet of 21).
    sheet = layout("a4-3x7")
    left, top = sheet.corner_mm(20)
    assert left + sheet.label_mm[0] == pytest.approx(202.7, abs=0.01)
    assert top + sheet.label_mm[1] == pytest.approx(281.85, abs=0.01)


def test_places_run_along_the_rows():
    sheet = layout("a4-3x7")
    assert sheet.corner_mm(1) == pytest.approx((73.2, 15.15))
    assert sheet.corner_mm(3) == pytest.approx((7.2, 53.25))
    assert sheet.per_page == 21


def test_inches_are_converted():
    sheet = layout("letter-3x10")
    assert sheet.sheet_mm == pytest.approx((215.9, 279.4))
    assert sheet.label_mm == pytest.approx((66.675, 25.4))


def test_an_unknown_sheet_names_the_likely_one():
    with pytest.raises(TagError, match=r"no sheet called 'a4-3x9' \(did you mean a4-3x"):
        layout("a4-3x9")
    with pytest.raises(TagError, match="there are a4-3x7"):
        layout("zzzz")


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        (("pitch: [66, 38.1]", "pitch: [60, 38.1]"), "labels overlap across"),
        (("first: [7.2, 15.15]", "first: [7.2, 60]"), "leave the sheet down"),
        (("grid: [3, 7]", "grid: [0, 7]"), "at least 1 x 1"),
        (("grid: [3, 7]", "gird: [3, 7]"), r"unknown key 'gird' \(did you mean grid\?\)"),
        (("  first: [7.2, 15.15]\n", ""), "first missing"),
        (("label: [63.5, 38.1]", "label: 63.5"), "two numbers"),
        (("label: [63.5, 38.1]", "label: [.nan, 38.1]"), "should be a number"),
        (("label: [63.5, 38.1]", "label: [-63.5, 38.1]"), "more than nothing"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  unit: cm"), "unit 'cm'"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  inset: 30"), "inset less than half"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  dpi: 7"), "dpi 7"),
        (("sheet: [210, 297]", "sheet: [210, yes]"), "should be a number"),
        (("grid: [3, 7]", "grid: [3.5, 7]"), "whole number"),
        (("grid: [3, 7]", "grid: [3, 7]\n  grid: [3, 6]"), "grid is given twice"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  symbols: [bars, aztec]"), "symbols 'aztec'"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  form: poster"), "form 'poster'"),
        (
            ("sheet: [210, 297]", "sheet: [210, 297]\n  faces: [{at: [0, 0], size: [70, 30]}]"),
            "leaves its label",
        ),
        (
            ("sheet: [210, 297]", "sheet: [210, 297]\n  faces: [{at: [0, 0], size: [30, 30], turn: 45}]"),
            "turn 45",
        ),
        (
            (
                "sheet: [210, 297]",
                "sheet: [210, 297]\n  faces: [{at: [0, 0], size: [30, 30]}]\n  holes: [[20, 20, 5]]",
            ),
            "reaches into a face",
        ),
        (
            (
                "sheet: [210, 297]",
                "sheet: [210, 297]\n  faces: [{at: [0, 0], size: [9, 9]}, {at: [8, 8], size: [9, 9]}]",
            ),
            "two faces lie over each other",
        ),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  fold x: [64]"), "a fold lies off the label"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  endless: yes"), "strips only"),
        (("sheet: [210, 297]", "sheet: [210, 297]\n  cut: perhaps"), "cut 'perhaps'"),
    ],
)
def test_each_mistake_in_a_layout_file_is_named(tmp_path, change, problem):
    file = tmp_path / "my.yaml"
    file.write_text(GOOD)
    assert read_layouts(file)["a4-3x7"].columns == 3
    file.write_text(GOOD.replace(*change))
    with pytest.raises(TagError, match=problem) as caught:
        read_layouts(file)
    (line,) = caught.value.problems
    assert re.match(rf"{re.escape(str(file))}:\d+:\d+: a4-3x7: ", line) and "\n" not in line


@pytest.mark.parametrize(
    "text", ["[1, 2]", "a: [", "\x00", "a4: 7", "a4: &x [*x]", "? [a]\n: {}", "- [" * 3000]
)
def test_a_file_that_is_no_layouts_is_one_clear_line(tmp_path, text):
    file = tmp_path / "my.yaml"
    file.write_text(text)
    with pytest.raises(TagError) as caught:
        read_layouts(file)
    assert len(caught.value.problems) == 1 and "\n" not in str(caught.value)


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(TagError, match="No such file"):
        read_layouts(tmp_path / "none.yaml")
