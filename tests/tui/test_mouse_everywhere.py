"""A click on a tab, a hint at the foot, a heading or a trouble's mark does what its key does."""

import pytest
from rich.cells import cell_len
from textual.widgets import Input

from shopbins.records.group import AWAY
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.widgets.linelist import LineList
from shopbins.tui.widgets.lines import HeadLine, Line


@pytest.fixture
async def pilot(bench, opened):
    async with opened(bench) as pilot:
        yield pilot


async def click(pilot, widget, text):
    """Click on a word of a line."""
    before, found, _ = widget.text.partition(text)
    assert found, widget.text
    await pilot.click(widget, offset=(cell_len(before), 0))
    await pilot.settled()


async def test_a_tab_clicked_is_gone_to(pilot):
    for name in ("Parts", "Audit", "Refit", "Plan"):
        await click(pilot, pilot.app.screen.query_one("#head", HeadLine), name)
        assert pilot.app.screen.shown == name


async def test_a_hint_clicked_does_what_its_key_does(pilot):
    await click(pilot, pilot.app.screen.query_one("#keys", Line), "find")
    assert pilot.app.screen.shown == "Parts"
    assert isinstance(pilot.app.focused, Input)


async def test_a_click_beside_every_hint_does_nothing(pilot):
    here = pilot.app.screen
    state = here.query_one("#state", Line)
    await pilot.click(state, offset=(cell_len(state.text) + 5, 0))
    await pilot.settled()
    assert pilot.app.screen is here


async def test_what_the_state_line_tells_is_shown_by_a_click_on_it(pilot):
    """Stops and what is to fix on the Audit, what is away on the Parts, what waits to be carried."""
    pilot.bench.desk.do(AWAY(pilot.bench.ids["valves"], to="Anna", until="2027-01-31"))
    pilot.app.changed()
    await pilot.settled()
    await click(pilot, pilot.app.screen.query_one("#state", Line), "stop")
    assert pilot.app.screen.shown == "Audit"
    await click(pilot, pilot.app.screen.query_one("#state", Line), "1 away")
    assert pilot.app.screen.shown == "Parts" and pilot.app.screen._ids == [pilot.bench.ids["valves"]]
    await click(pilot, pilot.app.screen.query_one("#state", Line), "waiting")
    assert isinstance(pilot.app.screen, Pick)
    await pilot.press("enter")
    await pilot.settled()
    assert pilot.app.screen.hand.hand.key == pilot.bench.ids["pump"]


async def test_a_heading_clicked_orders_the_list(pilot):
    await pilot.press("2")
    await pilot.settled()
    lines = pilot.app.screen.lines
    assert lines.count > 1
    assert isinstance(lines, LineList)
    heading = lines.render_line(0).text
    for title, order in (("part", "by name"), ("lies", "by place"), ("code", "last off first")):
        await pilot.click(lines, offset=(heading.index(title), 0))
        await pilot.settled()
        assert order in pilot.app.screen.head_note()


async def test_a_mark_clicked_is_its_trouble_(pilot):
    await pilot.press("3")
    await pilot.settled()
    await pilot.press("1")
    await pilot.settled()
    screen = pilot.app.screen
    plan = screen.plan
    cells = {t.worst.id: plan.mark_cells[id(t)] for t in plan.troubles if id(t) in plan.mark_cells}
    assert cells, "the bench shop has a trouble with a mark"
    for finding, cell in cells.items():
        await pilot.click(plan, offset=cell)
        await pilot.settled()
        assert screen._trouble == finding
