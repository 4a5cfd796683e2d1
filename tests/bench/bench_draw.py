"""Editing a shop file in place, and drawing it on paper.

Run: python tests/bench/bench_draw.py [zones ...]. An edit is spliced, parsed again and compared; its peer is
one reading of the same file by our own reader. Prints medians and ratios of one run.
"""

from __future__ import annotations

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

ROUNDS = 7


def median_s(do: Callable[[], object]) -> float:
    """Return the median of some rounds, after one that warms up."""
    do()
    taken = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        do()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def edits(zones: int) -> None:
    text = shop_text(zones)
    one = median_s(lambda: edit(text, [Put(("zones", "rack 5", "at", 0), "77")]))
    many = [Put(("zones", f"rack {n}", "load"), "500 kg") for n in range(zones)]
    all_s = median_s(lambda: edit(text, many))
    reading = median_s(lambda: parse(text))
    print(
        f"{zones} zones, {len(text) / 1000:.0f} kB: one edit {one * 1000:.0f} ms, {zones} in one step "
        f"{all_s * 1000:.0f} ms, reading {reading * 1000:.0f} ms: an edit costs {one / reading:.2f} readings"
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
    step = median_s(lambda: edit(sample, [Put(("zones", "bench 1", "at", 0), "77")]))
    print(f"the sample, {len(sample) / 1000:.0f} kB: one edit {step * 1000:.1f} ms")
    for zones in map(int, sys.argv[1:] or ("100", "1000")):
        edits(zones)
    papers()
