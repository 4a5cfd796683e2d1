"""Editing a shop file in place, drawing in it on the screen, and drawing it on paper.

Run: python tests/bench/bench_draw.py [zones ...]. An edit is spliced, parsed again and compared; its peer is
one reading of the same file by our own reader. On the screen: a step while carrying, drawn, and putting down.
Prints medians of processor time and ratios of one run.
"""

from __future__ import annotations

import asyncio
import itertools
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from bench_shop_read import shop_text

from shopbins.demo import write_demo
from shopbins.desk import Desk
from shopbins.plans.dxf import dxf
from shopbins.plans.pdf import pdf, sheets
from shopbins.plans.picture import picture
from shopbins.plans.svg import svg
from shopbins.shop import parse
from shopbins.shop.editing.splice import Put, edit
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.draw.things import stops

ROUNDS = 7


def median_s(do: Callable[[], object]) -> float:
    """Return the median of some rounds, after one that warms up."""
    do()
    taken = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        do()
        taken.append(time.process_time() - begun)
    return statistics.median(taken)


def edits(zones: int) -> None:
    text = shop_text(zones)
    there = itertools.count(101)
    one = median_s(lambda: edit(text, [Put(("zones", "rack 5", "at", 1), str(next(there)))]))
    many = [Put(("zones", f"rack {n}", "load"), "500 kg") for n in range(zones)]
    all_s = median_s(lambda: edit(f"{text}# {next(there)}\n", many))
    reading = median_s(lambda: parse(f"{text}# {next(there)}\n"))
    print(
        f"{zones} zones, {len(text) / 1000:.0f} kB: one edit {one * 1000:.0f} ms, {zones} in one step "
        f"{all_s * 1000:.0f} ms, reading {reading * 1000:.0f} ms: an edit costs {one / reading:.2f} readings"
    )


async def on_screen(zones: int) -> None:
    """Carry a rack on Draw: each step until it is drawn; then put it down until the file has it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.yaml"
        path.write_text(shop_text(zones))
        with Desk.open(path, by="Ida") as desk:
            app = ShopbinsApp(desk, plain_start=True)
            async with app.run_test(size=(120, 40)) as pilot:
                await pilot.press("6")
                await pilot.pause()
                screen = app.screen
                where = next(each for each in stops(desk.shop) if each.thing.key == "rack 5")
                screen._stop_at(where)
                await pilot.press("enter")
                steps, cursor = [], []
                for way in ("up", "down") * 10:
                    begun = time.process_time()
                    await pilot.press(way)
                    steps.append(time.process_time() - begun)
                await pilot.press("up")
                begun = time.process_time()
                await pilot.press("enter")
                await app.workers.wait_for_complete()
                await pilot.pause()
                put = time.process_time() - begun
                for way in ("left", "right") * 5:
                    begun = time.process_time()
                    await pilot.press(way)
                    cursor.append(time.process_time() - begun)
                step, over = statistics.median(steps) * 1000, statistics.median(cursor) * 1000
                print(
                    f"{zones} zones on the screen: a step {step:.0f} ms, put down {put * 1000:.0f} ms, "
                    f"the cursor moved {over:.0f} ms"
                )


def papers() -> None:
    with (
        tempfile.TemporaryDirectory() as folder,
        Desk.open(write_demo(Path(folder) / "d"), readonly=True) as desk,
    ):
        scene, findings = desk.scene(), desk.audit()
        gathered = median_s(lambda: picture(scene, findings, date(2026, 1, 1)))
        plan = picture(scene, findings, date(2026, 1, 1))
        made = {
            "pdf 1:50": lambda: pdf(plan, sheets(plan, "a4", 50)),
            "svg": lambda: svg(plan, 50),
            "dxf": lambda: dxf(plan),
        }
        print(f"the demo gathered in {gathered * 1000:.1f} ms")
        for name, make in made.items():
            print(f"{name}: {median_s(make) * 1000:.1f} ms, {len(make()) / 1000:.0f} kB")


if __name__ == "__main__":
    sample = (Path(__file__).parents[2] / "sample_shop.yaml").read_text(encoding="utf-8")
    there = itertools.count(101)
    step = median_s(lambda: edit(sample, [Put(("zones", "bench 1", "at", 0), str(next(there)))]))
    print(f"the sample, {len(sample) / 1000:.0f} kB: one edit {step * 1000:.1f} ms")
    for zones in map(int, sys.argv[1:] or ("100", "1000")):
        edits(zones)
        asyncio.run(on_screen(zones))
    papers()
