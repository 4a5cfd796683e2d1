"""Put the plan of the demo, as the real app shows it at 80x24, into README.md: python docs/make_readme.py."""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from pathlib import Path

from make_pictures import DAY, still

from shopbins.demo.write import write_demo
from shopbins.desk import Desk
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.keys.config import Config

README = Path(__file__).parents[1] / "README.md"


async def first_view() -> str:
    """Return what stands on the screen once the last evening's end is closed."""
    with tempfile.TemporaryDirectory() as name:
        shop = write_demo(Path(name) / "ropewalk", today=DAY)
        with Desk.open(shop, by="you") as desk:
            app = ShopbinsApp(desk, config=Config(Path("keys.toml")), plain_start=True, today=lambda: DAY)
            async with app.run_test(size=(80, 24)) as pilot:
                await still(pilot)
                strips = app.screen._compositor.render_strips()
                return "\n".join(strip.text.rstrip() for strip in strips)


def main() -> None:
    """Put it into the one block that begins with the demo's name."""
    text = README.read_text(encoding="utf-8")
    seen = asyncio.run(first_view())
    text, times = re.subn(r"(?s)(?<=```\n) Ropewalk Shed .*?(?=\n```)", lambda _: seen, text)
    assert times == 1
    README.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    os.environ["NO_COLOR"] = "1"  # as the page has none: blocks are told apart by their texture
    main()
