"""The values of a thing of the shop file are shown as people read them, not as the file has them."""

import pytest

from shopbins.shop.editing.steps import SECTIONS
from shopbins.tui.draw.values import NOT_GIVEN, value_said

KEYS = {section: {key.name: key for key in keys} for section, keys in SECTIONS.items()}


@pytest.mark.parametrize(
    ("section", "name", "written", "said"),
    [
        ("zones", "at", "[650, 3350]", "650 mm across, 3350 mm up"),
        ("zones", "size", "[2200, 600]", "2200 x 600 mm"),
        ("zones", "turn", "90", "90 deg"),
        ("zones", "headroom", "780", "780 mm"),
        ("zones", "headroom", "2.4 m", "2.4 m"),
        ("zones", "load", "150 kg", "150 kg"),
        ("zones", "height", "", NOT_GIVEN),
        ("zones", "outline", "[[0, 0], [10, 0], [10, 10]]", "3 points"),
        ("zones", "levels", "{1: {height: 100}, 2: {height: 700}}", "1, 2"),
        ("zones", "kind", "floor", "floor"),
        ("doors", "exit", "yes", "yes"),
        ("fixtures", "mass", "120", "120 kg"),
        ("zones", "at", "[650, 3350", "[650, 3350"),
    ],
)
def test_a_value_is_said_with_its_unit(section, name, written, said):
    assert value_said(KEYS[section][name], written) == said


async def test_draw_shows_no_brackets_of_the_file(bench, opened, frame):
    async with opened(bench, "6", size=(80, 24)) as pilot:
        await pilot.press("tab", "m")
        await pilot.settled()
        shown = frame(pilot.app)
        assert "which value?" in shown and "[" not in shown.split("which value?")[1]
