"""How the audit and a step while carrying grow: run with `python tests/bench/bench_audit.py`.

Prints, in one run: an audit of 500, 1,000, 2,000, 4,000 things on the floor of 30 rooms beside n log n from
the first, each with a way to an exit of its own, and again with the rooms joined by doors to one exit at the
end (where everything is worked out anew, and where one thing has moved since); a step while carrying one
thing among 500 (in one room, and in 30), and laying it down, ways out included; judging from a scene built
afresh, as the command line does; and the best places for one thing over a shop of 120 groups. Times are of
the processor, so that what else runs on the machine does not count.
"""

from __future__ import annotations

import gc
import math
import random
import statistics
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from building import Pile, box, shop, zone

from shopbins.ledger.docs import where_doc
from shopbins.ledger.model import InZone
from shopbins.ledger.state import State
from shopbins.placing.judging import judge
from shopbins.placing.places import best_places
from shopbins.rules.auditing import audit
from shopbins.rules.auditor import Auditor
from shopbins.rules.finding import Finding
from shopbins.scene.scene import Scene, build
from shopbins.scene.waysout import kept_for
from shopbins.shop.model import Door, KeepClear, Level, Room, Shop, Walkway

TODAY = date(2026, 3, 1)
SIDE = 20_000.0


def big_shop(rooms: int, joined: bool = False) -> Shop:
    """Rooms of 20 x 20 m in a row, each with a way along it, a door with a swing, racks and keep-clears.

    `joined`: each door leads to the next room, only the last to outside.
    """
    made: dict[str, list] = {"rooms": [], "doors": [], "walkways": [], "zones": [], "keep_clear": []}
    for i in range(rooms):
        x, key = i * (SIDE + 200), f"room {i}"
        made["rooms"].append(Room(key, key, box(x, 0, x + SIDE, SIDE), headroom_mm=4000, floor_load_kn_m2=10))
        line = ((x, 10_000), (x + SIDE, 10_000))
        made["walkways"].append(Walkway(f"way {i}", f"way {i}", line, 1200, least_mm=800, rooms=(key,)))
        jambs = ((x + SIDE, 9500), (x + SIDE, 10_500))
        gap = box(x + SIDE - 1, 9500, x + SIDE + 201, 10_500)
        swing = box(x + SIDE - 1000, 9500, x + SIDE, 10_500)
        last = not joined or i == rooms - 1
        to = "outside" if last else f"room {i + 1}"
        door = Door(f"d{i}", f"d{i}", key, to, jambs, 1000, 2000, "hinged", gap, swing, exit=last)
        made["doors"].append(door)
        levels = [Level(str(k), 100 + 500 * k, load_kg=200) for k in range(4)]
        made["zones"].append(zone(f"rack {i}", (x, 0), (4000, 600), kind="shelf", levels=levels, room=key))
        board = KeepClear(f"k{i}", f"board {i}", key, box(x + 500, 19_000, x + 1500, SIDE), "switchgear")
        made["keep_clear"].append(board)
    return shop(**made)


def crowd(count: int, rooms: int, seed: int = 7) -> Pile:
    """Things strewn at random over the rooms' floors, at random turns; some will overlap."""
    pick = random.Random(seed)
    pile = Pile()
    for i in range(count):
        room = i % rooms
        x, y = room * (SIDE + 200) + pick.uniform(400, SIDE - 400), pick.uniform(400, SIDE - 400)
        where = InZone(f"room {room}", "", x, y, pick.uniform(0, 360), measured=True)
        size = (pick.uniform(200, 700), pick.uniform(200, 500), pick.uniform(100, 900))
        pile.add(f"g{i}", where, size=size, kg=pick.uniform(1, 200) if i % 5 else None)
    return pile


def timed(work: Callable[[], object], times: int = 5) -> float:
    """Return the median seconds of a few runs."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def audits(joined: bool) -> None:
    """Print how the audit grows with the things on the floor."""
    there = big_shop(30, joined)
    first = 0.0
    words = "joined to one exit" if joined else "with an exit each"
    for count in (500, 1000, 2000, 4000):
        state = crowd(count, 30).state()
        assert state.index  # as the app has it

        def afresh(state: State = state) -> list[Finding]:
            kept_for(there).clear()
            return audit(build(there, state), TODAY)

        seconds = timed(afresh, 3)
        first = first or seconds
        n_log_n = (count * math.log(count)) / (500 * math.log(500))
        found = len(afresh())
        auditor = Auditor()
        auditor.audit(build(there, state.copy()), TODAY, None)
        where = where_doc(InZone("room 0", "", 5000.0, 5000.0, 12.0, measured=True))
        state.apply({"group:g0": {"where": where}}, 1)
        moved = build(there, state.copy())
        again = timed(lambda m=moved, a=auditor: a.audit(m, TODAY, {"group:g0"}), 1)  # type: ignore[misc]
        print(
            f"audit of {count:5} floor things in 30 rooms {words}: {seconds * 1000:7.1f} ms, "
            f"{found} findings, {seconds / first:5.2f}x the first (n log n: {n_log_n:.2f}x); "
            f"after one has moved {again * 1000:.1f} ms"
        )


def steps(scene: Scene, who: str, words: str) -> None:
    """Print what one step while carrying costs: the scene with the thing moved on, judged."""
    where = scene.group(who).where
    assert isinstance(where, InZone) and where.x_mm is not None and where.y_mm is not None
    judge(scene, who, where)
    taken = []
    for i in range(300):
        x, y = 1000 + (i * 53) % 17_000, 1000 + (i * 37) % 17_000
        start = time.process_time()
        judge(scene, who, InZone(where.zone, "", float(x), float(y), float(i), measured=True))
        taken.append((time.process_time() - start) * 1000)
    taken.sort()
    print(f"{words}: median {statistics.median(taken):.2f} ms, worst {taken[-1]:.2f} ms (a frame: 16 ms)")
    laid = []
    for i in range(15):
        x, y = 1000 + (i * 5300) % 17_000, 1000 + (i * 3700) % 17_000
        place = InZone(where.zone, "", float(x), float(y), float(i), measured=True)
        start = time.process_time()
        judge(scene, who, place, thorough=True)
        laid.append((time.process_time() - start) * 1000)
    print(f"  laid there, ways out too: median {statistics.median(laid[1:]):.1f} ms, first {laid[0]:.1f} ms")


def main() -> None:
    """Run all of it, garbage looked for as seldom as the commands do."""
    gc.set_threshold(50_000, 20, 20)
    audits(joined=False)
    audits(joined=True)
    many = crowd(2000, 100)
    for i in range(18_000):
        many.add(f"r{i}", InZone(f"rack {i % 100}", str(i % 4)), size=(200, 150, 100), kg=1.0)
    wide, full = big_shop(100), many.state()
    print(f"audit of 20000 groups in 100 rooms: {timed(lambda: audit(build(wide, full), TODAY), 1):.2f} s")
    for rooms in (1, 30):
        scene = build(big_shop(rooms), crowd(500, rooms).state())
        steps(scene, "g0", f"a step while carrying among 500 things in {rooms} room(s)")
    there, state = big_shop(30), crowd(500, 30).state()
    where = InZone("room 0", "", 5000.0, 5000.0, 12.0, measured=True)
    afresh = timed(lambda: judge(build(there, state), "g0", where)) * 1000
    print(f"judged from a scene built afresh: {afresh:.1f} ms")
    small, few = big_shop(6), crowd(120, 6).state()
    best = timed(lambda: best_places(build(small, few), "g1")) * 1000
    print(f"best places, 120 groups, 6 rooms: {best:.1f} ms")
    packed = build(big_shop(1), crowd(500, 1).state())
    print(f"best places, 500 things in one room: {timed(lambda: best_places(packed, 'g1')) * 1000:.1f} ms")
    exact = timed(lambda: best_places(packed, "g1", zone="room 0")) * 1000
    print(f"the 8 best of all free places there, 500 things in one room: {exact:.1f} ms")


if __name__ == "__main__":
    main()
