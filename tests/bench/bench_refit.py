"""Strip and refit on a large machine: a tick, reach, count; importing beside csv and sqlite3, in one run.

    python tests/bench/bench_refit.py [PARTS] [RELATIONS] [ROWS]

Prints medians and the worst of each, and ratios for the import; nothing passes or fails. Times are of the
processor, those of the import by the clock. The aims: what can go back now after one tick within 2 ms, the
count then within 20 ms, the first page of the refit list within 50 ms, importing 10,000 rows within 2 times
reading the CSV and writing it to sqlite3.
"""

from __future__ import annotations

import csv
import gc
import io
import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from shopbins.ledger.ledger import Ledger
from shopbins.ledger.state import State
from shopbins.records import fitting
from shopbins.strip.count import count
from shopbins.strip.importing import import_parts, read
from shopbins.strip.order import Order
from shopbins.strip.reach import reach
from shopbins.strip.refit import entry, next_back, refit

WORDS = ("valve", "spring", "inlet", "outlet", "liner", "piston", "rod", "bearing", "shim", "stud", "gasket")


def machine(parts: int, relations: int, spread: float) -> State:
    """A stripped machine; each relation's two parts came off about `spread` apart."""
    luck = random.Random(1)
    docs = {
        f"g{n}": {
            "code": f"Z{n}",
            "name": f"{' '.join(luck.choices(WORDS, k=3))} {n}",
            "origin": ["engine", f"assembly {luck.randrange(max(1, parts // 30))}"],
            "order": n + 1,
            "where": {"zone": f"rack {luck.randrange(40)}"},
        }
        for n in range(parts)
    }
    told: dict[str, dict[str, str]] = {}
    while len(told) < relations:
        a = luck.randrange(parts)
        b = a + 1 + int(luck.expovariate(1 / spread))
        if b < parts:
            told[f"g{a}|g{b}"] = {"a": f"g{a}", "b": f"g{b}"}
    return State({"group": docs, "before": told}, seq=1)


def timed(do: Callable[[], object], clock: Callable[[], float] = time.process_time) -> float:
    start = clock()
    do()
    return (clock() - start) * 1e3


def shown(label: str, times: list[float], note: str = "") -> None:
    print(f"{label:52s} {statistics.median(times):8.2f} ms  worst {max(times):8.2f} ms  {note}")


def first_page(state: State) -> None:
    """List everything to go back, and set a screen of its rows."""
    for position in state.follower(Order).open()[:40]:
        entry(state, position)


def ticks(state: State, number: int) -> tuple[list[float], list[float]]:
    """Put back what can go back, one by one, each time asking what can go back now, and counting."""
    times: list[float] = []
    counts: list[float] = []
    ready = next_back(state)
    for _ in range(number):
        if not ready:
            break
        group = ready[0].group
        assert group is not None
        draft = fitting.fit(state, group.id)
        start = time.process_time()
        state.apply(draft.after, state.seq + 1)
        ready = next_back(state)
        times.append((time.process_time() - start) * 1e3)
        counts.append(timed(lambda: count(state)))
    return times, counts


def order_times(parts: int, relations: int) -> None:
    for spread in (20.0, 200.0):
        state = machine(parts, relations, spread)
        print(f"\n{parts} parts, {relations} relations, {spread:g} apart")
        shown("making the graph", [timed(lambda s=state: s.follower(Order).graph)])
        shown("what can go back now, the first time", [timed(lambda s=state: next_back(s))])
        shown("the first page of the refit list", [timed(lambda s=state: first_page(s))])
        fresh = machine(parts, relations, spread)
        shown("the first count, of a ledger just read", [timed(lambda s=fresh: count(s))])
        shown("the first count, the lists shown before", [timed(lambda s=state: count(s))])
        times, counts = ticks(state, 300)
        shown("what can go back now, after a tick", times, f"{len(next_back(state))} can")
        shown("the count, after a tick", counts)
        luck = random.Random(2)
        wanted = [f"g{luck.randrange(parts)}" for _ in range(100)]
        sizes = [len(reach(state, each)) for each in wanted]
        times = [timed(lambda w=each, s=state: reach(s, w)) for each in wanted]
        shown("what must come off", times, f"median {statistics.median(sizes):g} parts, most {max(sizes)}")
        shown("the whole refit list", [timed(lambda s=state: refit(s)) for _ in range(3)])


def parts_list(rows: int) -> bytes:
    luck = random.Random(3)
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["Part No", "Description", "Assembly", "Qty", "Remarks"])
    for n in range(rows):
        name = " ".join(luck.choices(WORDS, k=3))
        writer.writerow(
            [f"{n:06d}", name, f"assembly {luck.randrange(300)}", luck.randint(1, 24), "as drawn"]
        )
    return out.getvalue().encode()


def into_ledger(data: bytes, folder: Path) -> None:
    with Ledger.open(folder, by="bench", prefix="RW") as ledger:
        sheet = read(data, None, "engine")
        assert not sheet.problems
        ledger.transact(lambda state: import_parts(state, sheet))


def into_sqlite(data: bytes, folder: Path) -> None:
    folder.mkdir()
    base = sqlite3.connect(folder / "parts.db")
    base.execute("pragma journal_mode = wal")
    base.execute("pragma synchronous = full")
    base.execute("create table part (number text, name text, assembly text, qty integer, note text)")
    rows = csv.reader(io.StringIO(data.decode()))
    next(rows)
    with base:
        base.executemany("insert into part values (?, ?, ?, ?, ?)", rows)
    base.close()


def import_times(rows: int) -> None:
    data = parts_list(rows)
    ours, theirs = [], []
    with tempfile.TemporaryDirectory() as name:
        for n in range(7):
            gc.collect()
            ours.append(timed(lambda n=n: into_ledger(data, Path(name) / f"ours{n}"), time.perf_counter))
            gc.collect()
            theirs.append(timed(lambda n=n: into_sqlite(data, Path(name) / f"theirs{n}"), time.perf_counter))
    print(f"\nimporting {rows} rows, durable")
    shown("into the ledger (checked, one event)", ours)
    shown("csv and sqlite3 (WAL, synchronous full)", theirs)
    print(f"ratio {statistics.median(ours) / statistics.median(theirs):.2f}")


def main() -> None:
    given = [int(each) for each in sys.argv[1:]]
    parts, relations, rows = given + [10_000, 30_000, 10_000][len(given) :]
    order_times(parts, relations)
    import_times(rows)


if __name__ == "__main__":
    main()
