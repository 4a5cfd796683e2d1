"""Cold start of the commands beside `python -c pass`, in one run, turn by turn, in processor time.

Run: python tests/bench/bench_startup.py [ROUNDS]

The demo is written into a temporary folder, the package is compiled beforehand (as an installed one is).
'reading' is what reading the shop file and opening the ledger take once everything is loaded; the aim for
`find` is 8 x pass + reading.
"""

from __future__ import annotations

import compileall
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
COMMANDS = {
    "--version": ["--version"],
    "find": ["find", "valve"],
    "find, shop file not known": ["find", "valve"],
    "show": ["show", "flywheel"],
    "list": ["list", "group"],
    "check": ["check", "shop.yaml"],
    "put --dry-run": ["put", "flywheel", "slip hall", "--dry-run"],
    "audit": ["audit"],
}


def run_ms(args: list[str], folder: Path, env: dict[str, str]) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, *args], cwd=folder, env=env, capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime) * 1e3


def reading_ms(folder: Path) -> float:
    from shopbins.ledger.ledger import Ledger
    from shopbins.shop.reader import read

    taken = []
    for _ in range(9):
        start = time.process_time()
        shop = read(folder / "shop.yaml")
        Ledger.open(folder / "shop.ledger", prefix=shop.prefix, readonly=True).close()
        taken.append((time.process_time() - start) * 1e3)
    return statistics.median(taken)


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        package = home / "lib"
        shutil.copytree(ROOT / "shopbins", package / "shopbins", ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "sample_shop.yaml", package)
        compileall.compile_dir(package, quiet=1)
        sys.path.insert(0, str(package))
        from shopbins.demo import write_demo

        folder = write_demo(home / "shed").parent
        hour_ago = time.time() - 3600
        os.utime(folder / "shop.yaml", (hour_ago, hour_ago))
        env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | {
            "PYTHONPATH": str(package)
        }
        note = folder / "shop.ledger" / "shop-was-read"
        taken: dict[str, list[float]] = {name: [] for name in ("pass", *COMMANDS)}
        for _ in range(rounds):
            taken["pass"].append(run_ms(["-c", "pass"], folder, env))
            for label, args in COMMANDS.items():
                if "not known" in label:
                    note.unlink(missing_ok=True)
                taken[label].append(run_ms(["-m", "shopbins", *args], folder, env))
        reading = reading_ms(folder)
    base = statistics.median(taken["pass"])
    print(f"reading shop file and ledger: {reading:.1f} ms")
    for label, values in taken.items():
        middle = statistics.median(values)
        print(
            f"{label:28s} median {middle:7.1f} ms  best {min(values):7.1f}  "
            f"{middle / base:5.1f} x pass   without reading {(middle - reading) / base:5.1f} x"
        )


if __name__ == "__main__":
    main()
