"""A form keeps what was typed: what is wrong stands under its row, an example is never cut inside a word."""

import pytest
from rich.cells import cell_len

from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.form import Form
from shopbins.tui.text import shortened

UNKNOWN = {
    "shortage": (2, "clutch plate, for nosuchpart", "positions"),
    "milestone": (4, "engine closed, nosuchpart", "needs"),
    "wire": (5, "hose fuel feed, pump, filter, nosuchmachine", "machine"),
    "care": (6, "renew hoses, every 365 days, for nosuchpart", "position"),
}
"""The list of the Refit it is added to, a line with a name nothing has, and the row that name is in."""


@pytest.mark.parametrize("what", UNKNOWN)
async def test_a_form_with_an_unknown_name_stays_with_the_fault_under_its_row(bench, opened, what):
    number, line, key = UNKNOWN[what]
    async with opened(bench, "5", size=(80, 24)) as pilot:
        for _ in range(number):
            await pilot.press("v")
        await pilot.press("plus")
        await pilot.pause()
        form = pilot.app.screen
        assert isinstance(form, Form)
        seq = bench.desk.seq
        await pilot.press(*line, "enter")
        await pilot.settled()
        assert pilot.app.screen is form and bench.desk.seq == seq
        fault = form.query_one(f"#fault-{key}")
        assert fault.display and "nosuch" in str(fault.render())
        row = form.query_one(f"#row-{key}")
        assert row.has_focus and row.value.startswith("nosuch"), "what was typed is there to be put right"
        assert fault.region.y == row.region.y + 1
        assert fault.region.bottom <= 24 and form.query_one(".box").region.bottom <= 24
        await pilot.press("backspace")
        await pilot.pause()
        assert not fault.display, "it is being put right"


async def test_no_example_is_cut_inside_a_word_and_the_row_one_is_in_shows_it_whole(bench, opened):
    async with opened(bench, "2", size=(80, 24)) as pilot:
        pilot.app.screen.lines.cursor = pilot.app.screen._ids.index(bench.ids["valves"])
        await pilot.pause()
        await pilot.press("a", "q", "down", "down", "down")
        await pilot.settled()
        form = pilot.app.screen
        field = form.query_one("#row-became")
        assert field.has_focus and field.is_cut
        kept, end = field.placeholder[:-2], field.placeholder[-2:]
        assert end == " …" and field.example.startswith(kept) and field.example[len(kept)] in " ,;"
        assert str(form.query_one("#wrong").render()) == field.example
        await pilot.press("down")
        await pilot.pause()
        assert str(form.query_one("#wrong").render()) == "", "the next one has room in its row"


@pytest.mark.parametrize("width", range(3, 40))
def test_shortened_ends_behind_a_whole_word(width):
    """Of words that each have room, a cut text is whole words and '…', and never wider than asked."""
    text = "of a bag, by 漢字 or in mm"
    cut = shortened(text, width)
    assert cell_len(cut) <= width
    words = [word.strip(",") for word in text.split()]
    if cut != text and width >= 4:
        *whole, end = cut.split()
        assert end == "…" and [word.strip(",") for word in whole] == words[: len(whole)]


async def test_a_machine_nobody_knows_is_told_before_a_reason_is_asked_and_the_line_stays(bench, opened):
    """Valves of the engine are said to be of 'nosuch': told where it is typed, no reason typed in vain."""
    async with opened(bench, "2", size=(80, 24)) as pilot:
        pilot.app.screen.lines.cursor = pilot.app.screen._ids.index(bench.ids["valves"])
        await pilot.pause()
        await pilot.press("a", "f", "ctrl+u", *"nosuch > head", "enter")
        await pilot.settled()
        ask = pilot.app.screen
        assert isinstance(ask, Ask)
        assert "nosuch" in str(ask.query_one("#wrong").render())
        assert (
            ask.query_one("#typed").value == "nosuch > head" and bench.group("valves").origin[0] == "engine"
        )


async def test_away_and_a_name_say_how_to_undo(bench, opened):
    async with opened(bench, "2", size=(80, 24)) as pilot:
        pilot.app.screen.lines.cursor = pilot.app.screen._ids.index(bench.ids["valves"])
        await pilot.pause()
        await pilot.press("a", "e", *" big", "enter")
        await pilot.settled()
        assert bench.group("valves").name == "inlet valves big"
        assert "inlet valves big" in pilot.app.said_line().plain and "u undoes" in pilot.app.said_line().plain
        await pilot.press("u", "a", "a", *"Anna until 2027-01-31", "enter")
        await pilot.settled()
        assert bench.group("valves").name == "inlet valves" and bench.group("valves").where.to == "Anna"
        assert "u undoes" in pilot.app.said_line().plain
