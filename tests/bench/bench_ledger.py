"""The ledger beside its peers, in one run: one durable change, opening a large ledger, a cold start.

    python tests/bench/bench_ledger.py [GROUPS_FOR_CHANGES] [GROUPS_TO_OPEN]

Prints medians and ratios; nothing here passes or fails.
"""

from __future__ import annotations

import contextlib
import gc
import json
import random
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tinydb import TinyDB

from shopbins.ledger.codes import make_code
from shopbins.ledger.docs import group_doc
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.files import Files
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InGroup, InZone, Mass, Size
from shopbins.records import acts

WORDS = ("valve", "spring", "inlet", "outlet", "liner", "piston", "rod", "bearing", "shim", "stud", "gasket")


BLOCK, SETTLING = 60, 10


class Unflushed(Files):
    """The real disk without flushing, to fill a ledger quickly."""

    def sync(self, handle: int) -> None:
        """Leave it to the system."""


def documents(count: int) -> dict[str, dict]:
    """Return invented groups, about as full as real ones."""
    luck = random.Random(1)
    docs: dict[str, dict] = {}
    tubs: list[str] = []
    for number in range(1, count + 1):
        where = InZone(f"rack {luck.choice('abcdef')}", str(luck.randint(1, 5)), luck.uniform(0, 2000), 200.0)
        inside = bool(tubs) and luck.random() < 0.4
        group_id = new_id()
        fields = {
            "code": make_code("RW", number),
            "name": f"{' '.join(luck.choices(WORDS, k=3))} {number}",
            "origin": ("diesel", luck.choice(WORDS), luck.choice(WORDS)),
            "container": luck.choice(["bag", "box", "tub", "bare"]),
            "size": Size(luck.randint(50, 900), luck.randint(50, 400), luck.randint(20, 300)),
            "mass": Mass(round(luck.uniform(0.1, 40), 1), about=True) if luck.random() < 0.8 else None,
            "qty": luck.randint(1, 12),
            "note": "cleaned, threads chased" if luck.random() < 0.3 else "",
            "where": InGroup(luck.choice(tubs)) if inside else where,
            "order": number,
            "tagged": True,
        }
        docs[group_id] = group_doc(fields)
        if fields["container"] == "tub" and len(tubs) < 500:
            tubs.append(group_id)
    return docs


def filled(folder: Path, docs: dict[str, dict]) -> None:
    """Make a ledger of these groups, one event each, with its snapshot."""
    with Ledger.open(folder, by="bench", prefix="RW", files=Unflushed()) as ledger:
        for group_id, doc in docs.items():
            ledger.transact(lambda s, g=group_id, d=doc: Draft("take", {f"group:{g}": d}))
        ledger.snapshot()


def timed(work: Callable[[], object]) -> float:
    """Return how many ms some work takes."""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1e3


def changes(folder: Path, docs: dict[str, dict], rounds: int = 1800) -> None:
    """One durable change among many groups, the peers in turn so that all meet the same noise.

    In blocks, whose first rounds do not count: what one peer leaves dirty the next one's flush has to carry.
    """
    filled(folder / "shop.ledger", docs)
    ledger = Ledger.open(folder / "shop.ledger", by="bench", prefix="RW")
    sql = sqlite3.connect(folder / "groups.sqlite", isolation_level=None)
    sql.execute("pragma journal_mode=wal")
    sql.execute("pragma synchronous=full")
    sql.execute("create table groups (id text primary key, doc text not null)")
    sql.execute("begin")
    sql.executemany("insert into groups values (?, ?)", [(g, json.dumps(d)) for g, d in docs.items()])
    sql.execute("commit")
    stock = TinyDB(folder / "stock.json")
    stock.insert_multiple(docs.values())

    ids = list(docs)
    luck = random.Random(2)
    times: dict[str, list[float]] = {"ours": [], "sqlite": []}

    def ours(group_id: str, note: str) -> None:
        ledger.transact(lambda state: acts.change(state, group_id, note=note))

    def sqlite(group_id: str, note: str) -> None:
        doc = json.dumps({**docs[group_id], "note": note}, ensure_ascii=False)
        sql.execute("update groups set doc = ? where id = ?", (doc, group_id))

    peers = {"ours": ours, "sqlite": sqlite}
    for _ in range(rounds // BLOCK):
        for name, change in peers.items():
            for number in range(BLOCK):
                group_id = luck.choice(ids)
                took = timed(lambda c=change, g=group_id, n=number: c(g, f"seen {n}"))
                if number >= SETTLING:
                    times[name].append(took)
    times["tinydb stock"] = [
        timed(lambda n=n: stock.update({"note": f"seen {n}"}, doc_ids=[luck.randint(1, len(ids))]))
        for n in range(10)
    ]
    base = statistics.median(times["sqlite"])
    print(f"one durable change at {len(docs)} groups (median ms, beside sqlite WAL/FULL)")
    for name, values in times.items():
        middle = statistics.median(values)
        p95 = statistics.quantiles(values, n=20)[-1]
        mean = statistics.fmean(values)
        print(f"  {name:20} {middle:8.3f}  {middle / base:7.2f}x   p95 {p95:.3f}  mean {mean:.3f}")
    ledger.close()
    sql.close()
    stock.close()


def opening(folder: Path, docs: dict[str, dict], rounds: int = 7) -> None:
    """Opening from the snapshot, beside json.loads of the snapshot's bytes; and from the journal alone."""
    where = folder / "large.ledger"
    filled(where, docs)
    data = (where / "snapshot.json").read_bytes().partition(b"\n")[2]

    def loads() -> None:
        json.loads(data)

    def loads_collector_off() -> None:
        gc.disable()
        try:
            json.loads(data)
        finally:
            gc.enable()

    def opened() -> None:
        with Ledger.open(where, by="bench", prefix="RW", readonly=True) as ledger:
            assert ledger.seq == len(docs)

    def opened_and_asked() -> None:
        with Ledger.open(where, by="bench", prefix="RW", readonly=True) as ledger:
            assert ledger.state.in_zone("rack a")

    work = {
        "json.loads": loads,
        "json.loads, gc off": loads_collector_off,
        "open": opened,
        "open and index": opened_and_asked,
    }
    times: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, each in work.items():
            times[name].append(timed(each))
            gc.collect()
    (where / "snapshot.json").unlink()
    times["open, journal only"] = [timed(opened)]
    size = (where / "journal.log").stat().st_size
    base = statistics.median(times["json.loads"])
    print(f"opening {len(docs)} groups (median ms): {len(data) / 1e6:.1f} MB, journal {size / 1e6:.1f} MB")
    for name, values in times.items():
        print(f"  {name:20} {statistics.median(values):8.1f}  {statistics.median(values) / base:7.2f}x")


def cold_start(rounds: int = 15) -> None:
    """Importing the ledger in a fresh interpreter, beside an empty one."""
    times: dict[str, list[float]] = {"pass": [], "import shopbins.ledger.ledger": []}
    for _ in range(rounds):
        for code in times:
            times[code].append(timed(lambda c=code: subprocess.run([sys.executable, "-c", c], check=True)))
    base = statistics.median(times["pass"])
    print("cold start (median ms, beside `python -c pass`)")
    for code, values in times.items():
        print(f"  {code:30} {statistics.median(values):8.1f}  {statistics.median(values) / base:7.2f}x")


def main() -> None:
    """Run everything in a folder beside the work, so that it is on a real disk."""
    few, many = [int(value) for value in sys.argv[1:3]] or [20_000, 100_000]
    folder = Path(tempfile.mkdtemp(prefix="bench-", dir=Path.cwd()))
    with contextlib.ExitStack() as stack:
        stack.callback(shutil.rmtree, folder)
        cold_start()
        changes(folder, documents(few))
        opening(folder, documents(many))


if __name__ == "__main__":
    main()
