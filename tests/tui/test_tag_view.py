"""A tag looked at in the terminal: its QR code is read off the screen, at every size and without colours."""

import pytest

from shopbins.tui.dialogs.tagview import TagView

CELL = 8, 16  # pixels of a usual terminal's character


def picture(app):
    """Draw the screen as a terminal does, from characters and colours: blocks exactly, letters as a bar."""
    from PIL import Image, ImageDraw

    strips = app.screen._compositor.render_strips()
    wide, high = CELL
    image = Image.new("RGB", (app.size.width * wide, app.size.height * high))
    pen = ImageDraw.Draw(image)
    for row, strip in enumerate(strips):
        column = 0
        for segment in strip:
            style = segment.style
            front = colour(style, "color", (230, 230, 230))
            back = colour(style, "bgcolor", (0, 0, 0))
            for char in segment.text:
                x, y = column * wide, row * high
                pen.rectangle((x, y, x + wide - 1, y + high - 1), fill=back)
                top, bottom = {"█": (0, high), "▀": (0, high // 2), "▄": (high // 2, high), " ": (0, 0)}.get(
                    char, (high // 3, 2 * high // 3)
                )
                if bottom > top:
                    pen.rectangle((x, y + top, x + wide - 1, y + bottom - 1), fill=front)
                column += 1
    return image


def colour(style, name, usual):
    found = getattr(style, name, None) if style is not None else None
    return usual if found is None or found.is_default else tuple(found.get_truecolor())


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=lambda s: f"{s[0]}x{s[1]}")
@pytest.mark.parametrize("no_color", [False, True], ids=["colours", "no colours"])
async def test_the_code_is_read_off_the_screen(bench, settled, monkeypatch, size, no_color):
    import zxingcpp

    if no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    code = bench.code("valves")
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        app.push_screen(TagView(bench.desk.preview_tag(code), "a4-3x7"))
        await settled(pilot)
        found = zxingcpp.read_barcodes(picture(app).convert("L"), formats=zxingcpp.BarcodeFormat.QRCode)
        assert [each.text for each in found] == [code]
        # A phone reads from about ten times a symbol's side: 29 cells of about 2 mm are 6 cm, so from 60 cm.
        left, right = found[0].position.top_left.x, found[0].position.top_right.x
        assert right - left >= 20 * CELL[0]
        words = str(app.screen.query_one("#words").render())
        assert "inlet valves" in words and "12 off" in words and "code read from" in words


async def test_it_is_reached_from_the_tags_key_and_records_nothing(bench, settled):
    app = bench.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("2")
        await settled(pilot)
        seq = bench.desk.seq
        await pilot.press("l")
        await settled(pilot)
        choices = app.screen._choices
        at = next(n for n, each in enumerate(choices) if each.value == "look")
        await pilot.press(str(at + 1))
        await settled(pilot)
        assert isinstance(app.screen, TagView)
        await pilot.press("escape")
        await settled(pilot)
        assert bench.desk.seq == seq and not isinstance(app.screen, TagView)
