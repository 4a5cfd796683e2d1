"""The palette changes the theme, for the next time too, and writes what stands on the screen into a file."""

from xml.etree import ElementTree

import pytest

from shopbins.tui.app import ShopbinsApp
from shopbins.tui.theme import THEMES


@pytest.mark.parametrize("theme", [each.name for each in THEMES])
async def test_a_theme_chosen_in_the_palette_is_there_the_next_time(
    bench, settled, monkeypatch, tmp_path, theme
):
    monkeypatch.setenv("SHOPBINS_STATE", str(tmp_path / "state"))
    before = next(each.name for each in THEMES if each.name != theme)
    app = ShopbinsApp(bench.desk, config=bench.config)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        while len(app.screen_stack) > 1:
            await pilot.press("escape")
            await settled(pilot)
        app.theme = before
        await pilot.press("ctrl+p")
        await settled(pilot)
        await pilot.press(*f"theme: {theme}")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert app.theme == theme and f"theme: {theme}" in app.said_line().plain
        app.exit(0)
    assert ShopbinsApp(bench.desk, config=bench.config).theme == theme


@pytest.mark.parametrize("kind", ["svg", "txt"])
async def test_a_screenshot_is_written_beside_the_shop_file(bench, opened, frame, kind):
    async with opened(bench, "2", size=(80, 24)) as pilot:
        await pilot.press("ctrl+p")
        await pilot.settled()
        await pilot.press(*f"screenshot: {kind}")
        await pilot.settled()
        await pilot.press("enter")
        await pilot.settled()
        (path,) = bench.path.parent.glob(f"*-screen-*.{kind}")
        text = path.read_text(encoding="utf-8")
        assert str(path) in pilot.app.said_line().plain
    if kind == "svg":
        text = "".join(ElementTree.fromstring(text).itertext()).replace("\u00a0", " ")
    else:
        assert len(text.splitlines()) == 24
    assert "Quay Works" in text and "inlet valves" in text


async def test_a_part_asked_for_as_a_place_is_pointed_to_the_search(bench, opened, frame):
    async with opened(bench, size=(80, 24)) as pilot:
        await pilot.press("g", *"inlet valves")
        await pilot.settled()
        assert "/ finds a part" in frame(pilot.app)
