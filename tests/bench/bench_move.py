"""Time of whole moves beside the floor kernel's plain `goes`, in one run; prints, judges nothing.

Peer: the same outline of thing, gear and who steers, on the same floor among all that is left there, from the
same start to the same goal, asked only whether it goes, turned and slid anyhow. A move also tries other gear
and spots, drives as the gear does, says what is shifted and to where, and judges every criterion.

    python tests/bench/bench_move.py             the demo's move, an L corner, a goal that is occupied
    python tests/bench/bench_move.py corner      those whose name has it
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from shopbins.demo import write_demo
from shopbins.desk import Desk, moving
from shopbins.desk.moveworker import load_ahead
from shopbins.kernel.planner import Planner
from shopbins.ledger.model import Mass, Size
from shopbins.moves.plan import Plan
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, B, shop, shop_text

JACK = "{kind: toe jack, capacity: 5 t, toe: 2 t, lowered: 25, raised: 200, size: [300, 200]}"
GEAR = {"narrow truck": TRUCK, "skates": SKATES, "jack": JACK}
REPEATS = 3


def corner(folder: Path, wide: int) -> Desk:
    """Return two corridors round a corner, the goal at the end of the second."""
    inner = 6000 - wide
    corners = [[0, 0], [6000, 0], [6000, 6000], [inner, 6000], [inner, wide], [0, wide]]
    lines = [
        *("shop: Lock", "prefix: LK", "measured: 5 mm", "rooms:"),
        f"  a: {{outline: {corners}, {B}}}",
        "doors:",
        "  out: {room: a, to: outside, jambs: [[0, 100], [0, 1100]], height: 2.2 m, opens: open, exit: yes}",
        "zones:",
        f"  far: {{room: a, kind: floor, at: [{inner + 50}, 4200], size: [{wide - 100}, 1750]}}",
        "gear:",
        *(f"  {name}: {text}" for name, text in GEAR.items()),
    ]
    return shop(folder, "\n".join(lines) + "\n", (*PLAIN, *FOUR), at=(1800, wide / 2, 0))


def occupied(folder: Path) -> Desk:
    """Return two rooms and a door, the goal behind it full of crates."""
    desk = shop(folder, shop_text(gear=GEAR), (*PLAIN, *FOUR))
    for n in range(9):
        key = desk.take(f"crate {n}", size=Size(800, 700, 500), mass=Mass(15)).id
        desk.put(key, "far", x_mm=7400 + 950 * (n % 3), y_mm=1000 + 1000 * (n // 3), override="stored there")
    return desk


def of_the_demo(folder: Path) -> Desk:
    """Return the demo, for its engine block."""
    return Desk.open(write_demo(folder / "demo"))


SCENES: dict[str, tuple[Callable[[Path], Desk], str, str]] = {
    "the demo's move": (of_the_demo, "Engine block on its skid", "test bed"),
    "L corner, 1500 wide": (lambda folder: corner(folder, 1500), "press", "far"),
    "L corner, 1700 wide": (lambda folder: corner(folder, 1700), "press", "far"),
    "occupied goal": (occupied, "press", "far"),
}


def measured(desk: Desk, thing: str, place: str) -> tuple[Plan, float, float, float]:
    """Return a move's answer, processor seconds to the first word of whether it fits, to the answer on the
    best gear, and to the last, with gear of more work looked at.
    """
    words, answered = list[float](), list[float]()
    began = time.process_time()

    def say(text: str) -> None:
        if "nothing loose" in text:
            words.append(time.process_time() - began)

    def so_far(_plan: Plan) -> None:
        answered.append(time.process_time() - began)

    group = moving.resolve_thing(desk, thing)
    plan = moving.plan_move(desk, group.id, *desk.names.place(place), say=say, at_most_s=600.0, first=so_far)
    took = time.process_time() - began
    return plan, words[0] if words else took, answered[0] if answered else took, took


def plain(plan: Plan) -> tuple[str, float]:
    """Return the kernel's plain answer on the way of a move, and its processor seconds; NaN where none is."""
    it = plan.attempt
    if it is None or it.ground is None or it.start is None or it.goal is None:
        return "no way to ask about", math.nan
    began, ground = time.process_time(), it.then or it.ground
    planner = Planner(ground.outlines, ground.holes, it.moving)
    answer = planner.goes(ground.loose, it.start, it.goal).answer
    return answer, time.process_time() - began


@contextmanager
def opened(make: Callable[[Path], Desk]) -> Iterator[Desk]:
    with tempfile.TemporaryDirectory() as folder:
        yield make(Path(folder))


def main(wanted: str = "") -> None:
    load_ahead()
    print(f"{'processor seconds, least of ' + str(REPEATS):32} first   best    all  plain goes  ratio")
    for name, (make, thing, place) in SCENES.items():
        if wanted not in name:
            continue
        with opened(make) as desk:
            runs = [measured(desk, thing, place) for _ in range(REPEATS)]
            plan = runs[0][0]
            first, best, took = (min(each) for each in zip(*(run[1:] for run in runs), strict=True))
            kernel = [plain(plan) for _ in range(REPEATS)]
            peer = min(each[1] for each in kernel)
        row = f"{name:32} {first:5.2f} {best:6.2f} {took:6.2f} {peer:11.3f} {best / peer:6.1f}"
        print(f"{row}  {plan.word} on {plan.gear.gear.name}; plain: {kernel[0][0]}", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:2])
