"""What is typed or said lays the screen out anew only where it takes more or fewer lines."""

import pytest
from textual.app import App
from textual.screen import Screen
from textual.widgets import Static

from shopbins.tui.dialogs.base import TypedLine
from shopbins.tui.widgets.lines import Words


@pytest.fixture
def layouts(monkeypatch):
    """Count how often a screen is laid out: a list that grows by one each time."""
    done, lay_out = [], Screen._refresh_layout

    def counted(screen, *args, **more):
        done.append(screen)
        return lay_out(screen, *args, **more)

    monkeypatch.setattr(Screen, "_refresh_layout", counted)
    return done


class Small(App):
    """A line to type in, words, and what stands under them."""

    CSS = "Words { width: 100%; height: auto; }"

    def compose(self):
        yield TypedLine()
        yield Words("first")
        yield Static("below")


async def test_a_letter_typed_lays_nothing_out_and_its_line_goes_along(layouts, frame):
    async with Small().run_test(size=(20, 5)) as pilot:
        await pilot.pause()
        layouts.clear()
        await pilot.press(*"abcdefghijklmnopqrstuvwxyz")
        await pilot.pause()
        assert not layouts
        first = frame(pilot.app).splitlines()[0]
        assert "uvwxyz" in first and "abc" not in first


@pytest.mark.parametrize(
    ("said", "lines", "laid_out"),
    [
        ("first", 1, False),
        ("other", 1, False),
        ("more than fits on one of its lines", 2, True),
        ("", 1, False),
    ],
)
async def test_words_lay_out_only_where_they_take_other_lines(layouts, frame, said, lines, laid_out):
    async with Small().run_test(size=(20, 6)) as pilot:
        await pilot.pause()
        layouts.clear()
        pilot.app.query_one(Words).update(said)
        await pilot.pause()
        assert bool(layouts) == laid_out
        shown = [row.strip() for row in frame(pilot.app).splitlines()]
        assert shown.index("below") == 1 + lines
        assert " ".join(shown[1 : 1 + lines]) == said
