"""A shop that cannot be recorded in is open to look; a journal exchanged under the app is asked about."""

from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick


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
        await pilot.press("1")
        await settled(pilot)
        assert app.attempt(lambda: bench.desk.take("lost")) is None
        assert files_of(bench.desk.ledger.folder) == older
        app._trouble = ()
        await pilot.press("escape")
        app.poll()
        await settled(pilot)
        await pilot.press("2")
        await settled(pilot)
        assert not app.desk.only_looking
        assert "one more" not in {group.name for group in bench.desk.state.groups()}
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
