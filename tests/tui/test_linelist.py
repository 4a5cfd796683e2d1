"""The list drawn line by line."""

from hypothesis import given
from hypothesis import strategies as st
from textual.app import App

from shopbins.tui.widgets.linelist import Column, LineList, share_out

COLUMNS = (Column("name", 10, 1.0), Column("place", 8), Column("mass", 6))


class Shown(App):
    def compose(self):
        yield LineList(COLUMNS, empty="nothing", id="list")


async def test_only_what_is_seen_is_asked_for():
    """10,000 rows, a window of 24: no more rows are built than fit a few windows."""
    asked = []

    def rows(number):
        asked.append(number)
        return [f"part {number}", "rack", "2 kg"]

    app = Shown()
    async with app.run_test(size=(60, 24)) as pilot:
        lines = app.query_one(LineList)
        lines.show(10_000, rows)
        await pilot.pause()
        assert len(set(asked)) <= 24
        lines.focus()
        await pilot.press("end")
        assert lines.cursor == 9_999
        assert len(set(asked)) <= 72
        await pilot.press("pageup")
        assert lines.cursor == 9_999 - 23
        await pilot.press("home", "up")
        assert lines.cursor == 0


async def test_keys_and_mouse_choose():
    chosen = []

    class Choosing(Shown):
        def on_line_list_chosen(self, event):
            chosen.append(event.row)

    app = Choosing()
    async with app.run_test(size=(60, 12)) as pilot:
        lines = app.query_one(LineList)
        lines.show(30, lambda i: [f"row {i}", "", ""])
        lines.focus()
        await pilot.press("down", "down", "enter")
        await pilot.click(LineList, offset=(3, 6))
        await pilot.pause()
        assert lines.cursor == 5
        await pilot.click(LineList, offset=(3, 6), times=2)
        await pilot.pause()
    assert chosen[0] == 2 and chosen[-1] == 5


async def test_an_empty_list_says_so():
    app = Shown()
    async with app.run_test(size=(60, 12)) as pilot:
        lines = app.query_one(LineList)
        lines.show(0, lambda i: [])
        await pilot.press("down", "up", "enter", "pagedown", "end")
        assert "nothing" in "".join(lines.render_line(y).text for y in range(12))


@given(st.lists(st.tuples(st.integers(1, 40), st.floats(0, 3)), min_size=1, max_size=7), st.integers(1, 220))
def test_columns_never_take_more_than_there_is(columns, width):
    widths = share_out([Column("", w, s) for w, s in columns], width)
    assert len(widths) == len(columns)
    assert sum(widths) <= width
    assert widths[0] > 0


def test_columns_that_do_not_fit_go_from_the_right():
    assert share_out(COLUMNS, 19)[2] == 0
    assert share_out(COLUMNS, 24) == (10, 8, 6)


def test_what_is_easily_spared_goes_first_and_the_rest_keeps_its_order():
    columns = (Column("name", 20, 1.0), Column("from", 15, 1.0, spared=2), Column("code", 9, spared=1))
    assert share_out(columns, 50) == (23, 18, 9)
    assert share_out(columns, 40) == (31, 0, 9)
    assert share_out(columns, 25) == (25, 0, 0)
