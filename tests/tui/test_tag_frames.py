"""How a roll-call and a tag looked at stand on the screen, at three sizes: the dialog alone, to the letter.

SHOPBINS_FRAMES=write keeps them anew.
"""

import os
from pathlib import Path

import pytest

SIZES = [(80, 24), (120, 40), (200, 60)]
FRAMES = Path(__file__).parent / "frames"


def same_box(app, name):
    """Compare the dialog, without what shows around it, with the frame kept under this name."""
    region = app.screen.query_one(".box").region
    strips = app.screen._compositor.render_strips()[region.y : region.bottom]
    found = "\n".join(strip.crop(region.x, region.right).text.rstrip() for strip in strips) + "\n"
    path = FRAMES / f"{name}-{app.size.width}x{app.size.height}.txt"
    if os.environ.get("SHOPBINS_FRAMES") == "write":
        path.write_text(found, encoding="utf-8")
    assert path.exists(), f"no frame {path.name} is kept: look at it, then SHOPBINS_FRAMES=write"
    assert found == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
async def test_roll_call(bench, settled, tmp_path, size):
    """Rack a/1 half called: one thing of another level was read, one on record here was not."""
    bench.desk.print_tags(tmp_path / "zones.pdf", "zones")
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await pilot.press("f10", "k", *bench.desk.state.place_code("rack a/1"), "enter")
        await pilot.press(*bench.code("valves"), "enter")
        await settled(pilot)
        same_box(app, "roll-call")


@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
async def test_tag_looked_at(bench, settled, size):
    """The QR code as large as it fits, and the words as they are broken on the label."""
    from shopbins.tui.dialogs.tagview import TagView

    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        app.push_screen(TagView(bench.desk.preview_tag(bench.code("head")), "a4-3x7"))
        await settled(pilot)
        same_box(app, "tag")
