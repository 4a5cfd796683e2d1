"""Export the pictures of docs/screens from the real app on the demo: python docs/make_pictures.py."""

from __future__ import annotations

import asyncio
import os
import tempfile
from collections.abc import Awaitable, Callable
from datetime import date
from pathlib import Path
from typing import Any

from shopbins.demo.write import write_demo
from shopbins.desk import Desk
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.dialogs.catchup import CatchUp
from shopbins.tui.keys.config import Config

FOLDER = Path(__file__).with_name("screens")
DAY = date(2026, 3, 2)
SIZE = (120, 36)

Steps = Callable[[Any, ShopbinsApp], Awaitable[None]]


async def still(pilot: Any) -> None:
    """Wait until no worker runs and the audit is of the present state."""
    for _ in range(400):
        await pilot.pause()
        if not pilot.app.auditing and all(w.is_finished for w in pilot.app.workers):
            return
        await asyncio.sleep(0.02)


async def keys(pilot: Any, *pressed: str) -> None:
    """Press keys one after the other, each settled."""
    for key in pressed:
        await pilot.press(key)
        await still(pilot)


def to(app: ShopbinsApp, name: str) -> str:
    """Return the id of the demo's group of this name."""
    return app.desk.names.group(name).id


async def plan(_pilot: Any, _app: ShopbinsApp) -> None:
    """The whole shop."""


async def plan_thing(pilot: Any, app: ShopbinsApp) -> None:
    """A room close up, a thing under the cursor."""
    await keys(pilot, "o")
    app.show_group(to(app, "Gearbox"))


async def find(pilot: Any, _app: ShopbinsApp) -> None:
    """Found in spite of a typing error."""
    await keys(pilot, "slash", *"cylnder")


async def parts(pilot: Any, _app: ShopbinsApp) -> None:
    """Every part."""
    await keys(pilot, "2")


async def came_off(pilot: Any, _app: ShopbinsApp) -> None:
    """What has just come off."""
    await keys(pilot, "2", "e")
    await pilot.press(*"oil cooler, engine > cooling, 14 kg", "enter", *"cooler bolts, bag, 8")


async def best_place(_pilot: Any, app: ShopbinsApp) -> None:
    """The best places for a thing in hand, one by one."""
    app.carry_group(to(app, "Oil filter housing"), best=True)


async def carry(pilot: Any, app: ShopbinsApp) -> None:
    """A crate in hand, and what it leaves of the way."""
    await keys(pilot, "o", "o")
    app.carry_group(to(app, "Crate of cooling pipes"))
    await still(pilot)
    await keys(pilot, "up", "comma", "comma", "comma")


async def stop(pilot: Any, app: ShopbinsApp) -> None:
    """A stop, and the reasons to accept it."""
    await carry(pilot, app)
    await keys(pilot, "down", "down", "enter")


async def audit(pilot: Any, _app: ShopbinsApp) -> None:
    """The clutter audit."""
    await keys(pilot, "3")


async def finding(pilot: Any, _app: ShopbinsApp) -> None:
    """From a finding to its spot."""
    await keys(pilot, "3", "enter", "enter")


async def scan(pilot: Any, app: ShopbinsApp) -> None:
    """Scanning a rack, then a part."""
    place = app.desk.state.place_code("yard rack/2") or ""
    part = app.desk.state.group(to(app, "Dipstick and tube")).code
    await pilot.press(*place, "enter", *part, "enter")


async def catch_up(pilot: Any, _app: ShopbinsApp) -> None:
    """What already lies there."""
    await keys(pilot, "k")
    await pilot.press(*"tub of hose clips, tub, 3 kg", "enter")


async def help_page(pilot: Any, _app: ShopbinsApp) -> None:
    """Where one is."""
    await keys(pilot, "question_mark")


async def move(pilot: Any, _app: ShopbinsApp) -> None:
    """Whether the engine block gets to the test bed, and where it is tightest."""
    await keys(pilot, "4", "c", *"engine block", "enter", "g", *"test bed", "enter")
    for _ in range(2400):
        await pilot.pause()
        if pilot.app.screen.plan is not None:
            break
        await asyncio.sleep(0.05)
    await keys(pilot, "n")


async def refit(pilot: Any, _app: ShopbinsApp) -> None:
    """What can go back now."""
    await keys(pilot, "5")


PICTURES: tuple[Steps, ...] = (
    plan,
    plan_thing,
    find,
    parts,
    came_off,
    best_place,
    carry,
    stop,
    audit,
    finding,
    scan,
    catch_up,
    help_page,
    move,
    refit,
)


async def export(steps: Steps, folder: Path) -> None:
    """Take one picture on a demo of its own."""
    CatchUp.left_at = 0
    shop = write_demo(folder / steps.__name__, today=DAY)
    with Desk.open(shop, by="you") as desk:
        app = ShopbinsApp(desk, config=Config(Path("keys.toml")), plain_start=True, today=lambda: DAY)
        async with app.run_test(size=SIZE) as pilot:
            await still(pilot)
            await steps(pilot, app)
            await still(pilot)
            path = FOLDER / f"{steps.__name__.replace('_', '-')}.svg"
            path.write_text(app.export_screenshot(title="shopbins"), encoding="utf-8")


async def every() -> None:
    """Take all pictures."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        for steps in PICTURES:
            await export(steps, Path(name))


if __name__ == "__main__":
    os.environ.pop("NO_COLOR", None)
    os.environ["COLORTERM"] = "truecolor"  # pictures do not hang on the terminal they are made in
    asyncio.run(every())
