"""Search over 100,000 groups beside a plain loop, SQLite FTS5 (trigram) and rapidfuzz, in one run.

Run: python tests/bench/bench_search.py [GROUPS]

Words are made of syllables and drawn by Zipf's law from 30,000 different ones, every row has its own
code; queries are typed letter by letter. The loop is the least it can be: rows lower-cased beforehand,
only filtered, not ranked. Times are medians in ms; memory is what the process grew by.
"""

from __future__ import annotations

import gc
import random
import sqlite3
import statistics
import sys
import time
from collections.abc import Callable
from itertools import accumulate
from pathlib import Path

from shopbins.search.search import Index, Indexed

ONSETS = (
    "b",
    "c",
    "d",
    "f",
    "g",
    "h",
    "k",
    "l",
    "m",
    "n",
    "p",
    "r",
    "s",
    "t",
    "v",
    "w",
    "st",
    "tr",
    "pl",
    "sh",
)
SYLLABLES = [a + b for a in ONSETS for b in ("a", "e", "i", "o", "u", "ar", "el", "in", "on", "er")]


def words(rng: random.Random, different: int) -> list[str]:
    made: dict[str, None] = {}
    while len(made) < different:
        made["".join(rng.choices(SYLLABLES, k=rng.choice((2, 2, 3, 3, 4))))] = None
    return list(made)


def groups(count: int, rng: random.Random) -> list[Indexed]:
    vocabulary = words(rng, 30_000)
    weights = list(accumulate(1 / (n + 3) for n in range(len(vocabulary))))
    machines = [" > ".join(rng.choices(vocabulary, cum_weights=weights, k=3)) for _ in range(300)]
    rows = []
    for n in range(count):
        name = " ".join(rng.choices(vocabulary, cum_weights=weights, k=rng.randint(2, 4)))
        note = " ".join(rng.choices(vocabulary, cum_weights=weights, k=rng.choice((0, 0, 3, 6))))
        place = f"rack {rng.choice('abcdefgh')}/{rng.randint(1, 6)}"
        other = f"srw{n:06d}{rng.choice('0123456789kmx')} {rng.choice(machines)} bag {place} undecided {note}"
        rows.append(Indexed(str(n), name, other))
    return rows


def typing(rows: list[Indexed], rng: random.Random, count: int) -> list[str]:
    """Return keystrokes: what stands in the field after each letter of each query."""
    strokes = []
    for row in rng.sample(rows, count):
        kind = rng.random()
        if kind < 0.5:
            query = " ".join(row.name.split()[:2])
        elif kind < 0.7:
            query = rng.choice(row.name.split())
        elif kind < 0.85:
            query = f"{row.name.split()[-1]} {row.other.split()[1]}"
        elif kind < 0.95:
            query = rng.choice(row.name.split())[1:]  # inside a word
        else:
            query = row.other.split()[0]
        strokes += [query[:n] for n in range(1, len(query) + 1) if not query[:n].endswith(" ")]
    return strokes


def misspelt(strokes: list[str], rng: random.Random) -> list[str]:
    out = []
    for text in strokes:
        if len(text) > 4:
            n = rng.randrange(1, len(text) - 1)
            out.append(text[:n] + text[n + 1] + text[n] + text[n + 2 :])
    return out


def rss_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def built(make: Callable[[], object]) -> tuple[object, float, float]:
    gc.collect()
    before, start = rss_mb(), time.perf_counter()
    made = make()
    taken = time.perf_counter() - start
    gc.collect()
    return made, taken, rss_mb() - before


def times_ms(ask: Callable[[str], object], queries: list[str]) -> list[float]:
    taken = []
    for query in queries:
        start = time.perf_counter()
        ask(query)
        taken.append((time.perf_counter() - start) * 1e3)
    return taken


def line(label: str, values: list[float], over: float | None = None) -> None:
    ordered = sorted(values)
    p95 = ordered[int(len(ordered) * 0.95) - 1]
    ratio = "" if over is None else f"   loop / this: {over / statistics.median(values):8.1f}x"
    median = statistics.median(values)
    print(f"  {label:34s} median {median:9.4f}  p95 {p95:8.3f}  worst {ordered[-1]:8.3f}{ratio}")


def fts(rows: list[Indexed]) -> sqlite3.Connection:
    db = sqlite3.connect(":memory:")
    db.execute("create virtual table t using fts5(name, other, tokenize='trigram')")
    db.executemany("insert into t values (?, ?)", ((row.name, row.other) for row in rows))
    db.execute("insert into t(t) values ('optimize')")
    return db


def ask_fts(db: sqlite3.Connection, query: str) -> list[object]:
    match = " ".join(f'"{word}"' for word in query.split() if len(word) >= 3)
    return db.execute("select rowid from t where t match ? limit 50", (match,)).fetchall() if match else []


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    rng = random.Random(7)
    rows = groups(count, rng)
    lowered, loop_s, loop_mb = built(lambda: [f"{row.name} {row.other}" for row in rows])
    assert isinstance(lowered, list)
    index, index_s, index_mb = built(lambda: Index(rows))
    assert isinstance(index, Index)
    db, db_s, db_mb = built(lambda: fts(rows))
    assert isinstance(db, sqlite3.Connection)
    print(f"{count} groups, {sum(map(len, lowered)) / 1e6:.1f} MB of text")
    print(f"  built in s: loop {loop_s:.2f} index {index_s:.2f} FTS5 {db_s:.2f}")
    print(f"  memory MB:  loop {loop_mb:.0f} index {index_mb:.0f} FTS5 {db_mb:.0f}")

    def loop(query: str) -> list[int]:
        parts = query.split()
        if len(parts) == 1:
            part = parts[0]
            return [n for n, text in enumerate(lowered) if part in text]
        return [n for n, text in enumerate(lowered) if all(part in text for part in parts)]

    strokes = typing(rows, rng, 150)
    loop_hits = times_ms(loop, strokes[::8])
    over = statistics.median(loop_hits)
    print(f"hits, {len(strokes)} keystrokes")
    line("plain loop, filter only", loop_hits)
    line("index, first 50 ranked", times_ms(lambda q: index.search(q, 50), strokes), over)
    line(
        "index, first 50 and how many",
        times_ms(lambda q: (index.search(q, 50), index.count(q)), strokes),
        over,
    )
    line("FTS5 trigram (drops short words)", times_ms(lambda q: ask_fts(db, q), strokes), over)
    same = sum(sorted(int(h.id) for h in index.search(q, count)) == loop(q) for q in strokes[::40])
    print(f"  same rows as the loop: {same} of {len(strokes[::40])}")

    misses = ["".join(rng.choices("qxzjy", k=rng.randint(5, 9))) for _ in range(60)]
    misses += [word[:5] + "qzx" for word in strokes if len(word) > 6 and " " not in word][:60]
    loop_misses = times_ms(loop, misses)
    over = statistics.median(loop_misses)
    print("full misses")
    line("plain loop", loop_misses)
    line("index, nothing forgiven", times_ms(lambda q: index.search(q, 50, forgive=False), misses), over)
    line("FTS5 trigram", times_ms(lambda q: ask_fts(db, q), misses), over)

    from rapidfuzz import fuzz, process

    wrong = misspelt(strokes, rng)
    print(f"typing errors, {len(wrong)} keystrokes")
    line("index, forgiven", times_ms(lambda q: (index.search(q, 50), index.count(q)), wrong + misses))
    line(
        "rapidfuzz partial_ratio, all rows",
        times_ms(
            lambda q: process.extract(
                q, lowered, scorer=fuzz.partial_ratio, processor=None, score_cutoff=80, limit=50
            ),
            wrong[:20],
        ),
    )

    changes = []
    for n in range(200):
        start = time.perf_counter()
        index.put(Indexed(str(n * 7), "changed name", rows[n].other))
        changes.append((time.perf_counter() - start) * 1e3)
    print("one changed row")
    line("index.put", changes)
    after = []
    for n in range(50):
        index.put(Indexed(str(n * 11), f"changed{n} name", rows[n].other))
        after += times_ms(lambda q: index.search(q, 50), ["chan", "name"])
    line("first search after it", after)


if __name__ == "__main__":
    main()
