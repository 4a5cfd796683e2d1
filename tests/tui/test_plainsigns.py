"""ASCII signs: every sign the app draws has one of its own width, and nothing else is left."""

from __future__ import annotations

from dataclasses import replace

from rich.cells import cell_len

from shopbins.tui.canvas.overview import LOOKS
from shopbins.tui.keys.config import read_config
from shopbins.tui.plainsigns import ASCII, in_ascii, wanted


def test_one_cell_becomes_one_cell():
    """UAX 11: neither a sign nor what stands for it is wide."""
    for code, plain in ASCII.items():
        assert cell_len(chr(code)) == cell_len(plain) == 1 and plain.isascii()


def test_every_sign_in_the_frames_has_one(request):
    """The frames hold what the app draws at three sizes: translated, only letters of names are left."""
    frames = (request.path.parent / "frames").glob("*.txt")
    text = in_ascii("".join(path.read_text(encoding="utf-8") for path in frames))
    assert {c for c in text if not c.isascii() and not c.isalpha()} == set()


def test_blocks_stay_told_apart():
    textures = [look.texture for kind, look in LOOKS.items() if kind in ("place", "fixture", "part", "keep")]
    assert len({in_ascii(each) for each in textures}) == len(textures)
    assert [in_ascii(each) for each in ("■1", "▲4", "□", "●")] == ["#1", "!4", "o", "*"]


async def test_the_app_in_ascii(bench, settled, frame):
    bench.config = replace(bench.config, glyphs="ascii")
    async with bench.app().run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        strips = pilot.app.screen._compositor.render_strips()
        shown = [pilot.app._filters[-1].apply(list(strip), None) for strip in strips]
        text = "".join(segment.text for line in shown for segment in line)
        assert text.isascii() and "EXIT" in text


def test_when_it_is_wanted(tmp_path):
    assert wanted("ascii", {}) and wanted("", {"TERM": "linux"}) and wanted("", {"TERM": "dumb"})
    assert not wanted("", {"TERM": "xterm-256color"}) and not wanted("all", {"TERM": "linux"})
    path = tmp_path / "keys.toml"
    path.write_text('[look]\nglyphs = "ascii"\n')
    assert read_config(path).glyphs == "ascii"
    path.write_text('[look]\nglyphs = "asci"\n')
    assert "no set of signs" in read_config(path).problems[0]
