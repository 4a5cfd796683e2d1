"""Small terminals, no colour, hostile names, other terminals, a shop file edited meanwhile, a broken disk."""

import os
from datetime import date

import pytest

from shopbins.desk import Desk
from shopbins.desk.problems import NotDone, StorageFailed
from shopbins.ledger.model import Size
from shopbins.records.accepted import TAKE_BACK
from shopbins.records.fitting import FIT
from shopbins.records.group import CHANGE, MERGE
from shopbins.records.inspection import INSPECT

KEYS = ("tab", "plus", "2", "slash", "escape", "3", "question_mark", "escape", "e", "escape", "k", "escape",
        "1", "w", "escape", "t", "escape", "Z", "escape", "c", "escape", "y", "escape", "colon", "escape",
        )  # fmt: skip


@pytest.mark.parametrize("size", [(20, 5), (1, 1), (39, 30), (100, 11), (40, 12), (300, 100)])
async def test_no_size_of_terminal_crashes(bench, settled, frame, size):
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        text = frame(app)
        if size[0] < 40 or size[1] < 12:
            assert "needs" in text or size == (1, 1)
        else:
            assert "Quay Works" in text
        for key in KEYS:
            await pilot.press(key)
        await settled(pilot)
        assert app.is_running


async def test_growing_again_shows_the_plan_again(bench, settled, frame):
    app = bench.app()
    async with app.run_test(size=(20, 5)) as pilot:
        await settled(pilot)
        await pilot.resize_terminal(100, 30)
        await settled(pilot)
        assert "pillar drill" in frame(app)
        await pilot.resize_terminal(60, 20)
        await settled(pilot)
        assert "Quay Works" in frame(app)


async def test_without_colour_everything_still_has_a_word_or_shape(bench, settled, frame, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    bench.desk.put(bench.ids["block"], "hall", x_mm=4600, y_mm=2500, override="for now")
    bench.desk.do(TAKE_BACK(next(iter(bench.desk.state.docs("accepted")))))
    app = bench.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        assert "■ " in frame(app) and "stop" in frame(app)
        strips = app.screen._compositor.render_strips()
        colours = {s.style.color for strip in strips for s in strip if s.style and s.style.color}
        assert all(c.triplet is None or len(set(c.triplet)) == 1 for c in colours), "only shades of grey"


HOSTILE = ["\x1b[31mred\x1b[0m", "a\u202eb", "[bold]x[/]", "機関ブロック", "n" * 400, "e\u0301", "🛠 tool"]


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
async def test_names_cannot_steer_the_screen(bench, settled, frame, name):
    """Names come from other people's files too; whatever the ledger let in is shown harmlessly."""
    where = {"zone": "hall", "x_mm": 2000, "y_mm": 1500}
    doc = {"code": "ZQW999", "name": name, "size": [500, 400, 300], "where": where}
    bench.desk.state.apply({"group:odd": doc}, bench.desk.seq)
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.go_to_group("odd")
        await pilot.press("2", "h", "escape", "3", "1", "c", "escape")
        await settled(pilot)
        text = frame(app)
        assert not any(ord(c) < 32 and c != "\n" for c in text)
        assert "\u202e" not in text and "\x1b" not in text


async def test_others_changes_are_seen_and_counted(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("2")
        with Desk.open(bench.path, by="Otto") as other:
            other.take("gear lever", size=Size(300, 40, 40))
            other.do(CHANGE(bench.ids["pump"], note="seized"))
        app.poll()
        await settled(pilot)
        assert "other terminal: 2 new" in app.screen.query_one("#state").text
        assert app.screen.lines.count == 7
        await pilot.press("1")
        await settled(pilot)
        assert "other terminal" not in app.screen.query_one("#state").text


@pytest.mark.parametrize("how", ["key", "behind the app"])
async def test_what_a_refused_act_took_in_is_shown(bench, opened, rows, how):
    """Another rejects a part; what is refused here meanwhile reads that, and the lists are drawn from it."""
    async with opened(bench, "5", today=lambda: date(2026, 5, 4)) as pilot:
        app = pilot.app
        assert [row[0].strip() for row in rows(app.screen.lines)] == ["sea water pump"]
        with Desk.open(bench.path, by="Otto") as other:
            other.do(INSPECT(bench.ids["pump"], what="bore", measured="9.8mm", low="9.9mm"))
        if how == "key":
            await pilot.press("r")
        else:
            with pytest.raises(NotDone):
                bench.desk.do(FIT(bench.ids["pump"]))
            app.poll()
        await pilot.settled()
        assert rows(app.screen.lines) == []
        assert "other terminal: 1 new" in app.screen.query_one("#state").text
        app.poll()
        assert app.others_new == 1, "once"


async def test_what_another_moved_while_i_carried_it(bench, settled):
    """The thing in hand is judged against the new state; laying it down still goes through the one path."""
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["head"])
        with Desk.open(bench.path, by="Otto") as other:
            other.put(bench.ids["head"], "rack a", "2")
        app.poll()
        await settled(pilot)
        assert app.screen.hand.hand is not None
        await pilot.press("enter")
        await settled(pilot)
        assert bench.group("head").where.zone == "bench 1"


async def test_a_thing_merged_away_while_carried_is_let_go(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["pump"])
        with Desk.open(bench.path, by="Otto") as other:
            other.do(MERGE(group_ids=[bench.ids["head"], bench.ids["pump"]]))
        app.poll()
        await settled(pilot)
        await pilot.press("right", "enter", "escape")
        await settled(pilot)
        assert app.is_running


async def test_an_edited_shop_file_is_read_again(bench, settled, frame):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        text = bench.path.read_text()
        bench.path.write_text(text.replace("bay: {", "engine corner: {"))
        app.poll()
        await settled(pilot)
        assert bench.desk.shop.zone("engine corner") is not None
        bench.path.write_text(text.replace("kind: floor", "kind: flor"))
        os.utime(bench.path, (1, 1))
        app.poll()
        await settled(pilot)
        state = app.screen.query_one("#state").text
        assert "shop file" in state and "line 40" in state and "flor" in state
        assert bench.desk.shop.zone("engine corner") is not None, "the last good one stays"
        bench.path.write_text(text)
        app.poll()
        await settled(pilot)
        assert "shop file" not in app.screen.query_one("#state").text


async def test_a_full_disk_is_told_in_a_line_and_nothing_is_said_to_be_done(
    bench, settled, said, monkeypatch
):
    def fails(*args, **more):
        raise StorageFailed("/the/ledger: No space left on device")

    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("2")
        monkeypatch.setattr(bench.desk, "do", fails)
        await pilot.press("d")
        await pilot.pause()
        await pilot.press("2")
        await settled(pilot)
        assert "! /the/ledger: No space left on device" in said(app)
        monkeypatch.setattr(bench.desk, "take", fails)
        await pilot.press("e", *"bolt", "enter")
        await settled(pilot)
        assert "No space left" in str(app.screen.query_one("#read").render())
        assert app.screen.query_one("#line").value == "bolt", "what was typed is still there"


async def test_an_empty_ledger_opens(tmp_path, settled, frame):
    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.keys.config import Config

    path = tmp_path / "shop.yaml"
    path.write_text("shop: Bare\nprefix: BA\nrooms:\n  shed: {at: [0, 0], size: [3000, 2000]}\n")
    with Desk.open(path, by="Ida") as desk:
        app = ShopbinsApp(desk, config=Config(tmp_path / "k.toml"))
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await pilot.press(*"wcbvh2cM3o", "tab", "enter", "escape")
            await settled(pilot)
            assert "Bare" in frame(app)
            assert "no stop" in app.screen.query_one("#state").text


async def test_a_fault_of_our_own_is_one_line_and_kept_in_a_file(
    bench, settled, monkeypatch, tmp_path, capsys
):
    """Whatever goes wrong, nobody in a workshop is shown a trace."""
    import platformdirs

    monkeypatch.setattr(platformdirs, "user_log_path", lambda name: tmp_path / name)

    def broken():
        raise RuntimeError("a broken screw")

    app = bench.app()
    with pytest.raises(RuntimeError):
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            monkeypatch.setattr(app.screen, "action_whole", broken)
            await pilot.press("0")
            await settled(pilot)
    out = "".join(capsys.readouterr())
    assert "RuntimeError: a broken screw" in out and "Traceback" not in out
    assert out.count("\n") < 4
    assert "a broken screw" in (tmp_path / "shopbins" / "fault.txt").read_text()
    assert app.return_code == 1
