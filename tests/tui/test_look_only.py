"""A shop that cannot be recorded in is open to look; a journal exchanged under the app is asked about."""

import asyncio
import errno
import os
import shutil
from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.ledger import rescue
from shopbins.ledger.ledger import Ledger
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.plan.screen import PlanScreen
from shopbins.tui.stateline import state_line
from tests.ledger.test_forged import forged


def files_of(folder: str) -> dict[Path, bytes]:
    return {each: each.read_bytes() for each in Path(folder).iterdir()}


@pytest.mark.parametrize("how", ["damaged", "read-only folder"])
async def test_what_cannot_be_recorded_in_is_open_to_look(bench, settled, how, monkeypatch):
    folder = Path(bench.desk.ledger.folder)
    bench.desk.close()
    if how == "damaged":
        data = bytearray((folder / "journal.log").read_bytes())
        data[len(data) // 2] ^= 1
        (folder / "journal.log").write_bytes(bytes(data))
    else:

        def refused(*_: object) -> None:
            raise OSError(30, "Read-only file system")

        monkeypatch.setattr("shopbins.ledger.locking._opened", refused)
    before = files_of(str(folder))
    with Desk.open(bench.path, by="Ida", look=True) as desk:
        assert desk.only_looking
        app = ShopbinsApp(desk, config=bench.config, plain_start=True)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            assert isinstance(app.screen, Page)
            await pilot.press("escape", "u")
            await settled(pilot)
            assert len(desk.state.group_ids()) >= 5
            assert "reading only" in str(app.said_line())
    assert files_of(str(folder)) == before


async def test_an_exchanged_journal_is_asked_about_and_nothing_is_recorded_until_answered(bench, settled):
    older = files_of(bench.desk.ledger.folder)
    bench.desk.take("one more")
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        for path, data in older.items():
            path.write_bytes(data)
        app.poll()
        await settled(pilot)
        assert isinstance(app.screen, Pick)
        assert "1 record shorter" in app.desk.only_looking[0]
        await pilot.press("2", "2", "space", "m", "m", "enter")  # typed before anybody has read the question
        await settled(pilot)
        assert isinstance(app.screen, Pick)
        await pilot.press("escape")
        await settled(pilot)
        assert app.attempt(lambda: bench.desk.take("lost")) is None
        assert files_of(bench.desk.ledger.folder) == older
        app._trouble = ()  # asked anew: with no pause before the look, or the app's own look comes first
        app.poll()
        await settled(pilot)
        assert isinstance(app.screen, Pick)
        await pilot.press("down", "enter")
        await settled(pilot)
        assert not app.desk.only_looking
        assert "one more" not in {group.name for group in bench.desk.state.groups()}
        assert bench.desk.take("goes on").id


def names_of(folder: Path) -> set[str]:
    with Ledger.open(folder, readonly=True, strict=True) as ledger:
        return {group.name for group in ledger.state.groups()}


@pytest.mark.parametrize("how", ["another journal", "another folder"])
async def test_once_to_look_only_every_act_is_refused_until_the_right_journal_is_back(
    bench, settled, said, frame, how, tmp_path
):
    folder, earlier, aside = Path(bench.desk.ledger.folder), tmp_path / "earlier", tmp_path / "aside"
    shutil.copytree(folder, earlier)
    bench.desk.take("one more")
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        if how == "another journal":
            shutil.copytree(folder, aside, copy_function=os.link)
            shutil.copy(earlier / "journal.log", tmp_path / "j")
            (tmp_path / "j").rename(folder / "journal.log")
        else:
            folder.rename(aside)
            shutil.copytree(earlier, folder)
        await asyncio.sleep(0.15)
        before = {path: data for path, data in files_of(str(folder)).items() if path.name != "lock"}
        app.poll()
        await settled(pilot)
        assert isinstance(app.screen, Pick)
        await pilot.press("escape")
        await settled(pilot)
        for _ in range(2):
            await pilot.press("e", *"lost", "enter")
            await settled(pilot)
            assert app.attempt(lambda: bench.desk.take("lost"), "done") is None
            while not isinstance(app.screen, PlanScreen):
                await pilot.press("escape")
                await settled(pilot)
            await pilot.press("u")
            await settled(pilot)
            while not isinstance(app.screen, PlanScreen):
                await pilot.press("escape")
                await settled(pilot)
            assert "to look only" in state_line(app, 120).plain
            app.poll()
        now = {path: data for path, data in files_of(str(folder)).items() if path.name != "lock"}
        assert now == before
        assert "lost" not in names_of(aside) if how == "another folder" else True
        if how == "another journal":
            (aside / "journal.log").rename(folder / "journal.log")
        else:
            folder.rename(tmp_path / "wrong")
            aside.rename(folder)
        await asyncio.sleep(0.15)
        app.poll()
        await settled(pilot)
        assert "to look only" not in state_line(app, 120).plain
        assert "to look only" not in frame(app)
        assert "recording goes on" in said(app)
        bench.desk.take("goes on")
    bench.desk.close()
    assert {"one more", "goes on"} <= names_of(folder)
    assert "lost" not in names_of(folder)


async def test_the_question_goes_away_by_itself_once_the_right_files_are_back(bench, settled, tmp_path):
    folder, aside = Path(bench.desk.ledger.folder), tmp_path / "aside"
    older = tmp_path / "older"
    shutil.copytree(folder, older)
    bench.desk.take("one more")
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        folder.rename(aside)
        shutil.copytree(older, folder)
        app.poll()
        await settled(pilot)
        assert isinstance(app.screen, Pick)
        shutil.rmtree(folder)
        aside.rename(folder)
        app.poll()
        await settled(pilot)
        assert isinstance(app.screen, PlanScreen)
        assert not app.desk.only_looking


async def test_a_ledger_that_is_gone_is_said_to_be_gone_in_the_bottom_line(bench, settled, tmp_path):
    folder = Path(bench.desk.ledger.folder)
    app = bench.app()
    async with app.run_test(size=(200, 60)) as pilot:
        await settled(pilot)
        folder.rename(tmp_path / "away")
        app.poll()
        await settled(pilot)
        assert "gone from its place; put it back" in state_line(app, 200).plain
        assert not isinstance(app.screen, Pick)
        assert app.attempt(lambda: bench.desk.take("lost"), "done") is None
        assert not folder.exists()
        (tmp_path / "away").rename(folder)
        app.poll()
        await settled(pilot)
        assert "gone" not in state_line(app, 200).plain


@pytest.mark.parametrize("fails", ["write", "sync"])
async def test_after_a_full_disk_it_goes_on_by_itself_and_after_a_failed_flush_it_says_it_does_not(
    bench, settled, fails, monkeypatch
):
    app = bench.app()
    files = bench.desk.ledger._files

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    async with app.run_test(size=(200, 60)) as pilot:
        await settled(pilot)
        told: list[str] = []
        monkeypatch.setattr(app, "tell", lambda *lines, **_: told.extend(lines))
        with monkeypatch.context() as during:
            during.setattr(files, fails, full)
            for _ in range(2):
                assert app.attempt(lambda: bench.desk.take("lost"), "done") is None
        first = told[0]
        state = state_line(app, 200).plain
        done = app.attempt(lambda: bench.desk.take("goes on"), "done")
        if fails == "write":
            assert "not recorded; make room and do it again" in first
            assert "look only" not in state
            assert done is not None
        else:
            assert "may be recorded: look first" in first and "opened again" in first
            assert "to look only" in state
            assert done is None


async def test_damage_met_while_open_is_said_and_what_was_read_is_shown_until_it_is_mended(bench, settled):
    journal = Path(bench.desk.ledger.folder) / "journal.log"
    good = journal.read_bytes()
    count = len(bench.desk.state.group_ids())
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        journal.write_bytes(good.rstrip(b"\0"))
        forged(journal.parent, {"group:x": {"name": "forged", "mass": [-4]}})
        before = journal.read_bytes()
        app.poll()
        await settled(pilot)
        assert isinstance(app.screen, Page)
        await pilot.press("escape")
        assert "to look only" in state_line(app, 120).plain
        for _ in range(2):
            assert app.attempt(lambda: bench.desk.take("lost"), "done") is None
            await pilot.press("escape")
            app.poll()
            await settled(pilot)
            assert isinstance(app.screen, PlanScreen)
        assert len(bench.desk.state.group_ids()) == count
        assert journal.read_bytes() == before
        journal.write_bytes(good)
        app.poll()
        await settled(pilot)
        assert "to look only" not in state_line(app, 120).plain
        assert bench.desk.take("goes on").id


async def test_a_torn_record_that_may_have_been_recorded_is_said_when_the_app_opens(bench, settled):
    folder = Path(bench.desk.ledger.folder)
    bench.desk.take("one more")
    bench.desk.close()
    (folder / "journal.end").unlink()
    data = (folder / "journal.log").read_bytes().rstrip(b"\0")
    (folder / "journal.log").write_bytes(data[:-8])
    for _ in range(2):
        with Desk.open(bench.path, by="Ida", look=True) as desk:
            app = ShopbinsApp(desk, config=bench.config, plain_start=True)
            async with app.run_test(size=(120, 40)) as pilot:
                await settled(pilot)
                assert isinstance(app.screen, Page)
                assert "may have been recorded" in " ".join(app.screen._lines)


async def test_a_rescue_beside_the_open_app_is_said_there(bench, settled):
    folder = Path(bench.desk.ledger.folder)
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        journal = folder / "journal.log"
        journal.write_bytes(journal.read_bytes().replace(b'"name":"tub of studs"', b'"name":"tub of stuff"'))
        assert rescue.rescue(str(folder), "mia", "Q").open_elsewhere
        app.poll()
        await settled(pilot)
        assert "rescued by mia" in app.said_line().plain
        assert bench.desk.take("goes on").id


async def test_help_leaves_nothing_behind_however_often_it_is_opened(bench, settled):
    import gc

    from textual._styles_cache import StylesCache

    def drawn() -> int:
        gc.collect()
        return sum(isinstance(each, StylesCache) for each in gc.get_objects())

    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        counts = []
        for _ in range(4):
            for _ in range(3):
                await pilot.press("question_mark")
                await settled(pilot)
                await pilot.press("escape")
                await settled(pilot)
            counts.append(drawn())
        assert counts[-1] <= counts[0], counts
