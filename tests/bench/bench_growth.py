"""How time and memory grow with the things on a floor, 20 to 1,000, for every question; no pass or fail.

    python tests/bench/bench_growth.py [QUESTION ...] [--limit SECONDS]

Each line is a process of its own, so its peak memory is that of one question. Growth is the time over that of
the line before; things grow by about 2.2 from line to line, so 2.2 is linear.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).resolve().parent))
from floor_scenes import strewn

from shopbins.cli.fits.scene import answer_scene

COUNTS = (20, 45, 100, 220, 470, 1000)
QUESTIONS = ("pinch", "stand", "goes", "shift", "shuffle")


def scene(question: str, count: int, limit_s: float) -> dict:
    """Return a strewn shop of four rooms as a scene, for a shuffle its things as rectangles on a table."""
    s = strewn(4, count, 1, 600.0 if question == "goes" else 0.0)
    things = [
        {"outline_mm": [list(p) for p in t], "cost": m} for t, m in zip(s.things, s.masses_kg, strict=True)
    ]
    if question == "shuffle":
        sides = [(round(abs(t[1][0] - t[0][0]) + 60), round(abs(t[2][1] - t[1][1]) + 60)) for t in s.things]
        area = sum(a * b for a, b in sides)
        side = round((area / 0.85) ** 0.5)
        pieces = [{"length_mm": a, "width_mm": b} for a, b in sides]
        return {"question": question, "surface": {"length_mm": side, "width_mm": side}, "pieces": pieces,
                "at_most_s": limit_s}  # fmt: skip
    told = {"question": question, "outline_mm": [[list(p) for p in o] for o in s.floor], "things": things}
    ends = {k: {"x_mm": p.x_mm, "y_mm": p.y_mm} for k, p in (("start", s.start), ("goal", s.goal))}
    if question == "pinch":
        return told | ends
    body = {"body": {"length_mm": 1400, "width_mm": 800}}
    if question == "stand":
        return told | body | {"near": ends["goal"], "most": 12}
    return told | body | ends | {"at_most_s": limit_s}


def one(question: str, count: int, limit_s: float) -> None:
    """Ask one question and print seconds, CPU seconds, peak memory and the answer's gist."""
    asked = scene(question, count, limit_s)
    warm = scene(question, 20, 0.01 if question == "shift" else 1.0)
    answer_scene(warm)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    began, cpu = time.perf_counter(), time.process_time()
    told = answer_scene(asked)
    took, cpu = time.perf_counter() - began, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    keys = ("problem", "answer", "width_mm", "cost", "cost_at_least", "fill")
    gist = ", ".join(
        f"{k} {told[k]:.5g}" if isinstance(told[k], float) else str(told[k]) for k in keys if k in told
    )
    print(f"{took} {cpu} {before} {peak} {gist or len(told.get('places', ()))}")


def main() -> None:
    """Print the table, a process a line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("questions", nargs="*", default=list(QUESTIONS))
    parser.add_argument("--limit", type=float, default=10.0)
    parser.add_argument("--one", nargs=2)
    given = parser.parse_args()
    if given.one:
        one(given.one[0], int(given.one[1]), given.limit)
        return
    print(f"{'question':10}{'things':>7}{'s':>8}{'CPU s':>8}{'growth':>8}{'MB':>6}{'MB loaded':>11}  answer")
    for question in given.questions:
        last = None
        for count in COUNTS:
            command = [sys.executable, __file__, "--one", question, str(count), "--limit", str(given.limit)]
            out = subprocess.run(command, capture_output=True, text=True, check=True).stdout
            took, cpu, before, peak, gist = out.split(" ", 4)
            growth = f"{float(cpu) / last:.1f}" if last else ""
            last = float(cpu) or None
            print(
                f"{question:10}{count:>7}{float(took):>8.2f}{float(cpu):>8.2f}{growth:>8}"
                f"{float(peak):>6.0f}{float(before):>11.0f}  {gist.strip()}",
                flush=True,
            )


if __name__ == "__main__":
    main()
