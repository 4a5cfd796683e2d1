"""A monkey at the keys: random keys, clicks and sizes on the real app, the ledger verified after each burst.

    python tests/bench/monkey.py --seconds 1200 --seed 1
    python tests/bench/monkey.py --keys 10000 --seed 2        (one evening; is the memory flat?)

It works on the demo in a folder of its own, presses every key the app knows, types and scans, resizes down to
5x2 cells, and starts a new evening when it has quit. After each burst the ledger is verified in full and its
documents are held beside those the app shows. Prints the figures as JSON; what went wrong with seed, evening
and the last keys, and then exits with 1.
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import json
import os
import random
import shutil
import sys
import tempfile
import time
import traceback
from dataclasses import dataclass, field
from pathlib import Path

from shopbins.demo import write_demo
from shopbins.desk import Desk
from shopbins.ledger import rescue
from shopbins.ledger.ledger import Ledger
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.keys.actions import ACTIONS
from shopbins.tui.keys.config import Config

BURST = 40
SIZES = ((80, 24), (80, 24), (120, 40), (200, 60), (40, 12), (20, 5), (5, 2), (1, 1))
TYPED = "abcdefghijklmnopqrstuvwxyz0123456789 .,;:/-+*=?!@#%()'é½弁"
STEERING = (
    "enter",
    "escape",
    "escape",
    "tab",
    "up",
    "down",
    "left",
    "right",
    "backspace",
    "space",
    "pagedown",
)
LEAVING = frozenset(("ctrl+q", "q"))


@dataclass
class Figures:
    """What it came to."""

    seed: int
    keys: int = 0
    bursts: int = 0
    evenings: int = 0
    records: int = 0
    faults: int = 0
    unsound: int = 0
    wrong_states: int = 0
    memory_mb: list[float] = field(default_factory=list)
    told: list[str] = field(default_factory=list)


def keys_known() -> list[str]:
    """Return every key an action has."""
    return sorted({key for action in ACTIONS for key in action.keys.split(",") if key})


def burst(luck: random.Random, known: list[str], desk: Desk, stay: bool) -> list[str]:
    """Return some keys: the app's own, steering, typing, names and codes."""
    keys: list[str] = []
    while len(keys) < BURST:
        kind = luck.random()
        if kind < 0.5:
            keys.append(luck.choice(known))
        elif kind < 0.75:
            keys.append(luck.choice(STEERING))
        elif kind < 0.9:
            keys += luck.choices(TYPED, k=luck.randint(1, 6))
        else:
            groups = list(desk.state.groups())
            if groups:
                group = luck.choice(groups)
                keys += [*luck.choice((group.code, group.name)), "enter"]
    return [key for key in keys if not (stay and key in LEAVING)]


def rss_mb() -> float:
    """Return how much memory this process has, after everything that can go is gone."""
    gc.collect()
    with Path("/proc/self/statm").open() as file:
        return round(int(file.read().split()[1]) * os.sysconf("SC_PAGESIZE") / 1e6, 1)


def check(desk: Desk, found: Figures, where: str) -> None:
    """Verify the ledger in full, and hold what the app shows beside what is recorded."""
    folder = desk.ledger.folder
    wrong = rescue.verify(folder, desk.shop.prefix)
    if wrong:
        found.unsound += 1
        found.told.append(f"{where}: {wrong[0]}")
        return
    with Ledger.open(folder, prefix=desk.shop.prefix, readonly=True, strict=True) as fresh:
        found.records = fresh.seq
        kept = {name: docs for name, docs in fresh.state.tables.items() if docs}
        if kept != {name: docs for name, docs in desk.state.tables.items() if docs}:
            found.wrong_states += 1
            found.told.append(f"{where}: the app shows other documents than are recorded")


async def evening(
    shop: Path, found: Figures, luck: random.Random, until: float, most: int, stay: bool
) -> None:
    """Open the app and press keys until it was left, the time is over or so many were pressed."""
    last: list[str] = []
    with Desk.open(shop, by="monkey", look=True) as desk:
        app = ShopbinsApp(desk, config=Config(shop.with_name("keys.toml")), plain_start=True)
        known = keys_known()
        try:
            async with app.run_test(size=luck.choice(SIZES)) as pilot:
                while app.is_running and time.monotonic() < until and found.keys < most:
                    last = burst(luck, known, desk, stay)
                    for key in last:
                        if not app.is_running or app._exit:
                            break
                        await pilot.press(key)
                        found.keys += 1
                        if found.keys % 1000 == 0:
                            found.memory_mb.append(rss_mb())
                    if app._exit:
                        break
                    if luck.random() < 0.2:
                        await pilot.resize_terminal(*luck.choice(SIZES))
                    if luck.random() < 0.3:
                        size = app.size
                        at = (luck.randrange(max(size.width, 1)), luck.randrange(max(size.height, 1)))
                        await pilot.click(offset=at)
                    await pilot.pause()
                    found.bursts += 1
                    check(desk, found, f"evening {found.evenings}, burst {found.bursts}")
        except Exception as problem:
            found.faults += 1
            told = "".join(traceback.format_exception(problem)[-3:])
            found.told.append(f"evening {found.evenings}, key {found.keys}, {' '.join(last)}: {told}")
        check(desk, found, f"the end of evening {found.evenings}")


def main() -> int:
    """Let it play in a folder of its own; 1 where anything went wrong."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=1e9)
    parser.add_argument("--keys", type=int, default=10**9)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    home = Path(tempfile.mkdtemp(prefix="monkey-"))
    for name in ("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"):
        os.environ[name] = str(home)
    os.environ["EDITOR"] = os.environ["VISUAL"] = "true"
    found = Figures(args.seed)
    luck = random.Random(args.seed)
    until = time.monotonic() + args.seconds
    stay = args.keys < 10**9
    try:
        shop = write_demo(home / "demo")
        os.chdir(home)
        while time.monotonic() < until and found.keys < args.keys and found.faults < 20:
            found.evenings += 1
            asyncio.run(evening(shop, found, luck, until, args.keys, stay))
        print(json.dumps(vars(found), ensure_ascii=False, indent=1))
    finally:
        shutil.rmtree(home, ignore_errors=True)
    return 1 if found.faults or found.unsound or found.wrong_states else 0


if __name__ == "__main__":
    sys.exit(main())
