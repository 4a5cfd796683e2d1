"""What goes out and comes back: the clipboard, an editor on the shop file, where one was."""

import json
import sys
from pathlib import Path

import pytest

from shopbins.tui.app import ShopbinsApp
from shopbins.tui.clipboard import editor_command
from shopbins.tui.dialogs.page import Page
from shopbins.tui.session import MOST_KEPT, keep_session, numbers, read_session, session_path


@pytest.fixture
async def app(bench, opened):
    async with opened(bench) as pilot:
        yield pilot


# --- copying ----------------------------------------------------------------------------------------------


async def test_y_copies_the_code_and_again_the_whole_line(app):
    code = app.bench.code("block")
    app.app.screen.go_to_group(app.bench.ids["block"])
    await app.press("f10", "c")
    assert app.app.clipboard == code
    assert "if it did not arrive: export" in app.app.said_line().plain
    await app.press("f10", "c")
    assert app.app.clipboard.startswith(f"{code} engine block")
    await app.press("f10", "c")
    assert app.app.clipboard == code


async def test_it_goes_to_the_terminal_as_osc_52(app, monkeypatch):
    """OSC 52 ; c ; base64 (xterm control sequences, 'Manipulate Selection Data')."""
    sent = []
    monkeypatch.setattr(app.app._driver, "write", sent.append)
    app.app.screen.go_to_group(app.bench.ids["block"])
    await app.press("f10", "c")
    assert any(each.startswith("\x1b]52;c;") for each in sent)


async def test_on_the_plan_what_is_under_the_cursor_is_copied(app):
    app.app.screen.go_to_zone("bay")
    await app.settled()
    await app.press("f10", "c")
    assert app.app.clipboard


async def test_a_finding_is_copied_with_its_words(app):
    app.bench.desk.put(app.bench.ids["block"], "hall", x_mm=4600, y_mm=2700, override="for now")
    app.app.changed()
    await app.press("3")
    await app.settled()
    await app.press("f10", "c")
    finding = app.app.screen.current()
    assert finding.grade == "correct"
    assert app.app.clipboard == f"to fix: {finding.text}"


# --- the editor -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "command"),
    [
        ({"EDITOR": "vi"}, ["vi", "+7", "s.yaml"]),
        ({"EDITOR": "nano -w"}, ["nano", "-w", "+7", "s.yaml"]),
        ({"VISUAL": "hx", "EDITOR": "vi"}, ["hx", "s.yaml:7"]),
        ({"EDITOR": "/opt/code"}, ["/opt/code", "--wait", "--goto", "s.yaml:7"]),
        ({"EDITOR": "odd 'quote"}, ["odd", "'quote", "+7", "s.yaml"]),
    ],
)
def test_the_editor_opens_at_the_line(given, command):
    assert editor_command(Path("s.yaml"), 7, given) == command


def test_no_editor_at_all(monkeypatch):
    monkeypatch.setenv("PATH", "/nowhere")
    assert editor_command(Path("s.yaml"), 7, {}) is None


@pytest.fixture
def editor(app, monkeypatch, tmp_path):
    """An editor that notes how it was called and replaces a text in the file it is given."""

    def of(old: str, new: str, status: int = 0):
        script, note = tmp_path / "ed.py", tmp_path / "called"
        script.write_text(
            "import sys, pathlib\n"
            f"pathlib.Path({str(note)!r}).write_text(' '.join(sys.argv[1:]))\n"
            "path = pathlib.Path(sys.argv[-1])\n"
            f"path.write_text(path.read_text().replace({old!r}, {new!r}))\n"
            f"sys.exit({status})\n"
        )
        monkeypatch.setenv("VISUAL", f"{sys.executable} {script}")
        monkeypatch.setattr(type(app.app._driver), "can_suspend", property(lambda _: True))
        return note

    return of


async def test_the_shop_file_is_edited_at_what_is_at_hand_and_read_again(app, editor):
    note = editor("load: 300 kg", "load: 350 kg")
    app.app.screen.go_to_zone("bench 1")
    await app.settled()
    lines = app.bench.path.read_text().splitlines()
    line = next(n for n, text in enumerate(lines, 1) if text.startswith("  bench 1:"))
    await app.press("ctrl+e")
    await app.settled()
    assert note.read_text() == f"+{line} {app.bench.path}"
    assert app.bench.desk.shop.zones["bench 1"].levels[0].load_kg == 350
    assert "as it now reads" in app.app.said_line().plain


async def test_what_is_wrong_afterwards_is_shown_and_the_next_edit_begins_there(app, editor, frame):
    note = editor("load: 300 kg", "load: heavy")
    await app.press("ctrl+e")
    await app.settled()
    assert isinstance(app.app.screen, Page)
    assert "heavy" in frame(app.app)
    assert app.bench.desk.shop.zones["bench 1"].levels[0].load_kg == 300, "the last good one stays in use"
    problem = app.bench.desk.shop_problems[0]
    await app.press("escape")
    await app.settled()
    editor("load: heavy", "load: 300 kg")
    await app.press("ctrl+e")
    await app.settled()
    assert note.read_text().startswith(f"+{problem.line} ")
    assert not app.bench.desk.shop_problems


async def test_an_editor_that_cannot_be_run_is_told(app, editor, monkeypatch):
    editor("a", "a")
    monkeypatch.setenv("VISUAL", "/nowhere/ed")
    await app.press("ctrl+e")
    await app.settled()
    assert "/nowhere/ed: cannot be run" in app.app.said_line().plain


async def test_where_nothing_else_can_be_shown_the_line_is_told(app, monkeypatch):
    monkeypatch.setenv("VISUAL", "vi")
    await app.press("ctrl+e")
    await app.settled()
    assert f"open {app.bench.path} at line" in app.app.said_line().plain


# --- where one was ----------------------------------------------------------------------------------------


@pytest.fixture
def state(tmp_path, monkeypatch):
    monkeypatch.setenv("SHOPBINS_STATE", str(tmp_path / "state"))
    return tmp_path / "state"


async def test_place_cursor_scale_and_filter_come_back(bench, settled, state):
    app = ShopbinsApp(bench.desk, config=bench.config)
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.go_to_group(bench.ids["block"])
        await pilot.press("plus", "plus")
        await settled(pilot)
        at, scale = app.screen.plan.at, app.screen.plan.view.mm_per_col
        await pilot.press("2", "v")
        app.screen._zone = "rack a"
        app.screen.state_changed()
        await settled(pilot)
        listed = list(app.screen._ids)
        app.exit(0)
    assert [each.name for each in state.iterdir()] == [session_path(bench.path).name]
    app = ShopbinsApp(bench.desk, config=bench.config)
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        assert app.current_mode == "parts"
        assert app.screen._ids == listed and "only rack a · by place" in app.screen.head_note()
        await pilot.press("1")
        await settled(pilot)
        assert app.screen.plan.at == pytest.approx(at)
        assert app.screen.plan.view.mm_per_col == scale
        assert app.screen.current_group() == bench.ids["block"]


@pytest.mark.parametrize(
    "kept",
    [
        "",
        "[]",
        "{",
        '{"form": 2, "place": "parts"}',
        '{"form": 1, "place": "nowhere", "Plan": 5}',
        '{"form": 1, "place": 7, "Plan": {"at": [1, "x"], "middle": {}, "mm_per_col": 1e300}}',
        '{"form": 1, "Plan": {"at": [1e400, 2], "group": ["a"]}, "Parts": {"zone": ["x"], "order": 99}}',
        '{"form": 1, "place": "parts", "Parts": {"zone": "gone", "order": true, "group": {}}}',
        '{"form": 1, "place": "audit", "Audit": {"which": "all"}}',
    ],
)
async def test_a_session_of_any_form_opens(bench, settled, state, kept):
    path = session_path(bench.path)
    path.parent.mkdir(parents=True)
    path.write_text(kept)
    app = ShopbinsApp(bench.desk, config=bench.config)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        if isinstance(app.screen, Page):  # told once that some keys have changed
            await pilot.press("escape")
        await pilot.press("2", "3", "1")
        await settled(pilot)
        assert app.current_mode == "plan"


def test_it_is_kept_whole_for_each_shop_and_only_the_last_ones(tmp_path, monkeypatch):
    monkeypatch.setenv("SHOPBINS_STATE", str(tmp_path))
    for number in range(MOST_KEPT + 5):
        keep_session(session_path(Path(f"/shops/{number}.yaml")), {"place": "parts"})
    assert len(list(tmp_path.iterdir())) == MOST_KEPT
    path = session_path(Path("/shops/54.yaml"))
    assert read_session(path) == {"form": 1, "place": "parts"}
    assert json.loads(path.read_text())["place"] == "parts"
    keep_session(Path("/proc/none/x.json"), {"place": "parts"})


def test_only_finite_numbers_are_taken():
    assert numbers([1, 2.5], 2) == (1.0, 2.5)
    for bad in (None, [1], [1, "2"], [float("inf"), 0], [float("nan"), 0], {"a": 1}):
        assert numbers(bad, 2) is None
