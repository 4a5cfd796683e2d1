"""Time and closeness of `least_shift` as the shop fills, beside a search on a grid; no pass or fail.

    python tests/bench/bench_shift.py [SECONDS] [THINGS ...]     time limit a scene, 5 by default

The limit is of CPU seconds, so that what else runs on the machine tells in the first column only.
The peer is a shortest way over a grid of places and six turns (what a quick search does), then checked:
whether its set goes at all, and how much dearer it is than what is certified.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))
from floor_scenes import Scene, strewn
from grid_guess import guessed

import shopbins.kernel.goes_search
import shopbins.kernel.shift_cover
from shopbins.geometry.shapes import FloorProblem
from shopbins.geometry.simple import simple
from shopbins.kernel.goes_answer import GOES
from shopbins.kernel.ground import Crowd
from shopbins.kernel.planner import HAIR_MM, Planner
from shopbins.kernel.shift import Shift, least_shift

CLOCKED: tuple[Any, ...] = (shopbins.kernel.goes_search, shopbins.kernel.shift_cover)


def greedy(scene: Scene) -> tuple[float | None, float, bool]:
    """Return the cost of the grid's set, its seconds, and whether it really goes."""
    began = time.perf_counter()
    planner = Planner(scene.floor, [], scene.body)
    crowd = Crowd([simple(t) for t in scene.things])
    first, last = ((p.turn_deg, (p.x_mm, p.y_mm)) for p in (scene.start, scene.goal))
    found = guessed(planner.slicer(HAIR_MM), crowd, scene.masses_kg, (first, last), 180.0)
    took = time.perf_counter() - began
    if found is None:
        return None, took, False
    left = [t for i, t in enumerate(scene.things) if i not in set(found)]
    try:
        truly = planner.goes(left, scene.start, scene.goal).answer == GOES
    except FloorProblem:
        truly = False
    return sum(scene.masses_kg[i] for i in found), took, truly


def told(found: Shift) -> str:
    if found.cost is None:
        return f"{found.answer}: at least {found.cost_at_least:.1f} kg"
    if found.optimal:
        return f"{found.cost:8.1f} kg, certified"
    if found.cost_at_least <= 0:
        return f"{found.cost:8.1f} kg, nothing proved"
    more = 100 * (found.cost / found.cost_at_least - 1)
    return f"{found.cost_at_least:8.1f} .. {found.cost:.1f} kg, at most {more:.0f} % too much"


def line(scene: Scene, limit_s: float) -> str:
    """Return one line of the table."""
    s = scene
    began, cpu = time.perf_counter(), time.process_time()
    for module in CLOCKED:
        module.time = SimpleNamespace(perf_counter=time.process_time)
    found = least_shift(s.floor, [], s.things, s.body, s.start, s.goal, s.masses_kg, time_limit_s=limit_s)
    took, cpu = time.perf_counter() - began, time.process_time() - cpu
    cost, quick_s, truly = greedy(s)
    other = "none" if cost is None else f"{cost:.1f} kg, {'goes' if truly else 'does not go'}"
    return f"{s.name:36} {took:6.2f} {cpu:6.2f}  {told(found):46} {other} in {quick_s:.2f} s"


def main() -> None:
    limit_s = float(sys.argv[1]) if len(sys.argv) > 1 else 5.0
    counts = [int(c) for c in sys.argv[2:]] or [20, 100, 200, 500]
    print(f"{'scene':36} {'s':>6} {'CPU s':>6}  ours, limit {limit_s:g} s" + " " * 26 + "grid")
    for rooms in (2, 4):
        for count in counts:
            for aisle_mm in (600.0, 0.0):
                for seed in (1, 2, 3):
                    print(line(strewn(rooms, count, seed, aisle_mm), limit_s), flush=True)
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
