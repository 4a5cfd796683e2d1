"""What is heard everywhere: places, help, palette, undo, tags, the last evening, leaving."""

from datetime import UTC, date, datetime, timedelta

import pytest
from textual.command import CommandList, CommandPalette

from shopbins.records.group import AWAY, CHANGE
from shopbins.tui.dialogs.evening import ago, evening_lines, is_due
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick


@pytest.fixture
async def app(bench, opened):
    async with opened(bench) as pilot:
        yield pilot


async def test_one_two_three(app):
    for key, mode in (("2", "parts"), ("3", "audit"), ("1", "plan")):
        await app.press(key)
        await app.settled()
        assert app.app.current_mode == mode


@pytest.mark.parametrize("place", ["1", "2", "3"])
@pytest.mark.parametrize("key", ["question_mark", "f1"])
async def test_help_from_every_place(app, place, key):
    await app.press(place, key)
    await app.settled()
    assert isinstance(app.app.screen, Page)
    await app.press("question_mark")
    await app.pause()
    assert not isinstance(app.app.screen, Page)


@pytest.mark.parametrize("key", ["colon", "ctrl+p"])
async def test_the_palette_does_anything_by_its_name(app, key):
    await app.press(key)
    await app.settled()
    assert isinstance(app.app.screen, CommandPalette)
    await app.press(*"go to rack")
    await app.settled()
    await app.press("enter", "enter")
    await app.settled()
    assert app.app.screen.plan.at == (6200, 5600)


@pytest.mark.parametrize("key", ["pagedown", "pageup"])
async def test_paging_in_the_palette_before_its_lines_have_room_does_nothing(app, key):
    await app.press("ctrl+p")
    await app.settled()
    lines = app.app.screen.query_one(CommandList)
    lines.styles.display = "none"
    await app.press(*"go to")
    await app.settled()
    assert lines.option_count and not lines.scrollable_content_region
    at = lines.highlighted = 0
    await app.press(key)
    await app.settled()
    assert isinstance(app.app.screen, CommandPalette) and lines.highlighted == at


async def test_undo_and_redo_from_any_place(app):
    app.bench.desk.do(CHANGE(app.bench.ids["pump"], name="raw water pump"))
    app.app.changed()
    await app.press("2", "ctrl+z")
    await app.settled()
    assert app.bench.group("pump").name == "sea water pump"
    await app.press("3", "ctrl+y")
    await app.settled()
    assert app.bench.group("pump").name == "raw water pump"


async def test_nothing_to_redo_is_said_in_a_line(app):
    await app.press("y")
    await app.settled()
    assert app.app.said_line().plain.startswith(" !")


async def test_what_was_said_stands_above_the_keys_and_goes_away_by_itself(app, said, frame):
    app.app.tell("something")
    await app.pause()
    assert "something" in said(app.app)
    lines = frame(app.app).splitlines()
    at = next(i for i, line in enumerate(lines) if "something" in line)
    assert "? help" in lines[at + 1], "the keys stay in sight"
    app.app.tell("else")
    await app.pause()
    assert said(app.app).strip(" ✓") == "else", "one thing at a time"
    app.app.hush()
    await app.pause()
    assert said(app.app) == ""


async def test_what_was_said_is_told_where_one_goes(app, said):
    await app.press("2")
    app.app.tell("something")
    await app.pause()
    assert "something" in said(app.app)
    await app.press("1")
    await app.settled()
    assert said(app.app) == "", "going elsewhere takes it away"


async def test_tags_of_the_marked_on_a_sheet_from_a_label_on(app, tmp_path):
    app.app.marked = {app.bench.ids["pump"]: None, app.bench.ids["head"]: None}
    await app.press("l")
    await app.pause()
    assert isinstance(app.app.screen, Pick)
    await app.press("7", "enter")
    await app.pause()
    await app.press("ctrl+u", *"3", "enter")
    await app.pause()
    await app.press("ctrl+u", *str(tmp_path / "t.pdf"), "enter")
    await app.settled()
    assert (tmp_path / "t.pdf").read_bytes().startswith(b"%PDF")
    assert "2 labels on 1 page" in app.app.said_line().plain
    assert app.bench.group("pump").tagged and not app.bench.group("block").tagged


async def test_blank_tags(app, tmp_path):
    await app.press("l")
    await app.pause()
    await app.press("5", "ctrl+u", *"0", "enter")
    await app.pause()
    assert "from 1 to" in str(app.app.screen.query_one("#wrong").render())
    await app.press("ctrl+u", *"5", "enter")
    await app.pause()
    await app.press(*"a4", "enter", "enter")
    await app.pause()
    await app.press("enter")
    await app.settled()
    assert len(app.bench.desk.state.docs("tag")) == 5
    assert list(app.bench.path.parent.glob("tags-*.pdf"))


async def test_a_folder_that_is_not_there_is_told_before_anything_is_drawn(app):
    await app.press("l")
    await app.pause()
    await app.press("2", "enter", "enter")
    await app.pause()
    await app.press("ctrl+u", *"/nowhere/at/all/t.pdf", "enter")
    await app.pause()
    assert "there is no folder" in str(app.app.screen.query_one("#wrong").render())


async def test_last_evening_by_key(app):
    await app.press("f9")
    await app.settled()
    text = "\n".join(app.app.screen._lines)
    assert "Ida: put down cylinder head 1" in text
    assert "Waiting: taken off, no place yet (1):" in text and "sea water pump" in text


async def test_quit_leaves_with_status_0(app):
    await app.press("q")
    await app.pause()
    assert app.app.return_code == 0


def test_due_only_after_a_night(bench):
    now = datetime.now(UTC)
    assert not is_due(bench.desk, now)
    assert is_due(bench.desk, now + timedelta(weeks=5))
    text = "\n".join(evening_lines(bench.desk, None, now + timedelta(weeks=5)))
    assert "5 weeks ago, the last steps were:" in text


def test_away_with_the_overdue_first(bench):
    bench.desk.do(AWAY(bench.ids["pump"], to="Anna", until="2026-03-01"))
    bench.desk.do(AWAY(bench.ids["head"], to="the grinder", until="2025-12-24"))
    text = "\n".join(evening_lines(bench.desk, None, today=date(2026, 1, 10)))
    assert "Away (2):" in text
    assert text.index("grinder OVERDUE since 2025-12-24") < text.index("pump · Anna until 2026-03-01")


@pytest.mark.parametrize(
    ("hours", "says"),
    [
        (0.2, "just now"),
        (1.5, "an hour ago"),
        (5, "5 hours ago"),
        (49, "2 days ago"),
        (840, "5 weeks ago"),
    ],
)
def test_ago(hours, says):
    now = datetime(2026, 5, 1, tzinfo=UTC)
    assert ago(now - timedelta(hours=hours), now) == says


async def test_the_panel_opens_by_itself_after_weeks(bench, settled, monkeypatch):
    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.dialogs import evening

    monkeypatch.setattr(evening, "DUE_AFTER", timedelta(0))
    app = ShopbinsApp(bench.desk, config=bench.config)
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        assert isinstance(app.screen, Page)
        await pilot.press("escape")
