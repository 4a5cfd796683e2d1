"""The lines typed about refit, as they are understood; no screen."""

from datetime import date

import pytest

from shopbins.ledger.problems import BadValue
from shopbins.records.how import CAME_OFF
from shopbins.records.inspection import INSPECTION
from shopbins.tui.parts.entryline import read_line

DAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("journal 2, 59.93 mm, at least 59.96 mm", ("journal 2", "59.93 mm", "59.96 mm", None)),
        ("bore, 95.04 mm, 95 mm to 95.03 mm", ("bore", "95.04 mm", "95 mm", "95.03 mm")),
        ("float, 12 thou, <= 10 thou", ("float", "12 thou", None, "10 thou")),
        ("float, 12 thou, min 4 thou, max 10 thou", ("float", "12 thou", "4 thou", "10 thou")),
        ("plug, M10x1.25, is M10x1.25", ("plug", "M10x1.25", "M10x1.25", None)),
        ("width, 1 3/8 in", ("width", "1 3/8 in", None, None)),
    ],
)
def test_an_inspection(text, read):
    found = INSPECTION.read(text, DAY)
    assert tuple(map(found.get, ("what", "measured", "low", "high"))) == read


@pytest.mark.parametrize("text", ["", "journal", "journal,", "journal, 59 mm, 60 mm"])
def test_an_inspection_that_cannot_be_read(text):
    with pytest.raises(BadValue):
        INSPECTION.read(text, DAY)


def test_how_it_came_off():
    found = CAME_OFF.read(
        "trick heat the boss; left-hand; broke away at 45 N.m; shims 2 x 0.05 mm front; "
        "shim 1 x 2 thou rear; "
        "screw 3 45 mm M8; screw 4 ?; marks two dots, both halves; way oil hole up",
        DAY,
    )
    assert found == {
        "trick": "heat the boss",
        "left_hand": True,
        "breakaway_nm": 45.0,
        "shims": [(2, 0.05, "front"), (1, pytest.approx(0.0508), "rear")],
        "screws": [("3", 45.0, "M8"), ("4", None, "")],
        "marks": "two dots, both halves",
        "way": "oil hole up",
    }


@pytest.mark.parametrize("text", ["", ";", "it was stuck", "torque 220", "broke away at much", "shims thin"])
def test_how_it_came_off_that_cannot_be_read(text):
    with pytest.raises(BadValue):
        CAME_OFF.read(text, DAY)


def test_the_entry_line_knows_cautions_one_use_counting_and_a_tag():
    came = read_line(
        "tab washers, engine, bag, one-use, counted later, sharp, caution greasy, ZQW0001C, 2 kg"
    )
    assert (came.one_use, came.counted, came.cautions) == (True, "later", ("sharp", "greasy"))
    assert (came.tag, came.origin, came.container) == ("ZQW0001C", ("engine",), "bag")
    assert not came.qty_given and read_line("washers, 1 off").qty_given
