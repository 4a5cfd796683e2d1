"""The long trials of the ledger: kills, exchanges, bytes cut and flipped, fuzz, faults injected.

    python tests/bench/trial_ledger.py kill --changes 100000 --writers 8 --seed 1 --seconds 3600
    python tests/bench/trial_ledger.py exchange --exchanges 1000 --writers 8 --seed 1 --seconds 3600
    python tests/bench/trial_ledger.py restore --exchanges 50 --writers 3 --seed 1
    python tests/bench/trial_ledger.py bytes --seed 1      (each of a small journal, every 97th of the demo's)
    python tests/bench/trial_ledger.py fuzz --rounds 100000 --seed 1
    python tests/bench/trial_ledger.py faults    (the real program, each call failing in turn, in three ways)

Prints the figures as JSON; short ones run in tests/parts/test_exchanged.py and tests/ledger/.
"""

from __future__ import annotations

import argparse
import json
import random
import shutil
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from ledger_trials import exchanging, killing, restoring  # noqa: E402

from shopbins.demo import write_demo  # noqa: E402
from shopbins.ledger.ledger import Ledger  # noqa: E402
from shopbins.ledger.problems import LedgerProblem  # noqa: E402
from shopbins.records import acts  # noqa: E402
from tests.ledger import naive  # noqa: E402
from tests.ledger.test_faults import CALLS, injected  # noqa: E402
from tests.ledger.test_rescue import fuzz  # noqa: E402


def small(folder: Path, count: int = 8) -> Path:
    """Make a ledger of a few records."""
    with Ledger.open(folder, prefix="RW") as ledger:
        for number in range(count):
            ledger.transact(lambda s, n=number: acts.take(s, f"part {n}"))
    return folder


def fresh(folder: Path) -> Path:
    """Make a folder."""
    folder.mkdir()
    return folder


def cut_and_flip(folder: Path, step: int, seed: int) -> dict[str, int]:
    """Cut a journal at every `step`th byte and flip a bit in each; count what was taken for good wrongly."""
    luck = random.Random(seed)
    journal = folder / "journal.log"
    whole = journal.read_bytes()
    true, _ = naive.read(whole)
    found = {"cut": 0, "flipped": 0, "taken wrongly": 0, "lost unsaid": 0}
    for place in range(luck.randrange(step), len(whole), step):
        flipped = bytearray(whole)
        flipped[place] ^= 1 << luck.randrange(8)
        for kind, data in (("cut", whole[:place]), ("flipped", bytes(flipped))):
            found[kind] += 1
            journal.write_bytes(data)
            try:
                with Ledger.open(folder, prefix="RW", readonly=True, strict=True) as ledger:
                    events = [event.as_json() for event in ledger.events()]
                    found["taken wrongly"] += events != true[: len(events)]
                    found["lost unsaid"] += len(events) < len(true)
            except LedgerProblem:
                pass
    journal.write_bytes(whole)
    return found


def main() -> None:
    """Run one trial in a folder of its own beside the work."""
    parser = argparse.ArgumentParser()
    parser.add_argument("trial", choices=("kill", "exchange", "restore", "bytes", "fuzz", "faults"))
    parser.add_argument("--writers", type=int, default=8)
    parser.add_argument("--changes", type=int, default=100_000)
    parser.add_argument("--exchanges", type=int, default=1000)
    parser.add_argument("--rounds", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=3600.0)
    args = parser.parse_args()
    home = Path(tempfile.mkdtemp(prefix="trial-", dir=Path.cwd()))
    start = time.monotonic()
    try:
        if args.trial == "kill":
            told = str(
                killing(
                    home, writers=args.writers, changes=args.changes, seed=args.seed, seconds=args.seconds
                )
            )
        elif args.trial == "exchange":
            told = str(
                exchanging(
                    home, writers=args.writers, exchanges=args.exchanges, seed=args.seed, seconds=args.seconds
                )
            )
        elif args.trial == "restore":
            told = str(restoring(home, writers=args.writers, rounds=args.exchanges, seed=args.seed))
        elif args.trial == "bytes":
            shop = write_demo(home / "demo")
            told = json.dumps(
                {
                    "small": cut_and_flip(small(home / "small.ledger"), 1, args.seed),
                    "demo": cut_and_flip(shop.with_name("shop.ledger"), 97, args.seed),
                }
            )
        elif args.trial == "fuzz":
            told = json.dumps(fuzz(small(home / "small.ledger", 12), args.rounds, args.seed))
        else:
            told = json.dumps(
                {by: injected(fresh(home / by), CALLS, by) for by in ("libc", "strace", "python")}
            )
        print(f"{args.trial}: {told} in {time.monotonic() - start:.0f} s")
    finally:
        shutil.rmtree(home, ignore_errors=True)


if __name__ == "__main__":
    main()
