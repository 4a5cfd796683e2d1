"""Shuffle against rectpack, CP-SAT and hyperpack, side by side in one run; prints, judges nothing.

Run: python -m tests.bench.bench_shuffle [squares|cuts|strips] [seconds a height]. Needs the `bench` extra.
Strips are Hopper and Turton's C1-C7 (2001), read from inside the package hyperpack.
"""

from __future__ import annotations

import itertools
import math
import random
import sys
import time

from shopbins.packing import perfect_fit as depth
from shopbins.packing import skyline
from shopbins.packing.shuffle import Piece, Surface, shuffle

MORON = (33, 32, (1, 4, 7, 8, 9, 10, 14, 15, 18))
DUIJVESTIJN = (112, 112, (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50))


def checked(width, height, sides, spots):
    """Stop the run at a wrong layout."""
    boxes = []
    for s in spots:
        a, b = sides[s.piece][::-1] if s.turned else sides[s.piece]
        boxes.append((s.x_mm, s.y_mm, s.x_mm + a, s.y_mm + b))
    assert len(boxes) == len(sides)
    assert all(b[0] > -1e-6 and b[1] > -1e-6 and b[2] < width + 1e-6 and b[3] < height + 1e-6 for b in boxes)
    for p, q in itertools.combinations(boxes, 2):
        apart = p[2] < q[0] + 1e-6 or q[2] < p[0] + 1e-6 or p[3] < q[1] + 1e-6 or q[3] < p[1] + 1e-6
        assert apart, "wrong layout"


def ours(width, height, sides, seconds):
    began = time.perf_counter()
    pieces = [Piece(float(a), float(b)) for a, b in sides]
    found = shuffle(Surface(float(width), float(height)), pieces, seconds=seconds)
    spent = time.perf_counter() - began
    if found.answer == "fits":
        checked(width, height, sides, found.spots)
    return found.answer == "fits", spent


def cp_sat(width, height, sides, seconds):
    from ortools.sat.python import cp_model

    began = time.perf_counter()
    model = cp_model.CpModel()
    along, across, heights, widths = [], [], [], []
    for i, (a, b) in enumerate(sides):
        x, y = model.new_int_var(0, width, f"x{i}"), model.new_int_var(0, height, f"y{i}")
        turns = [(a, b)] if a == b else [(a, b), (b, a)]
        lies = [model.new_bool_var(f"t{i}{k}") for k in range(len(turns))]
        model.add_exactly_one(lies)
        for (p, q), t in zip(turns, lies, strict=True):
            model.add(x + p <= width).only_enforce_if(t)
            model.add(y + q <= height).only_enforce_if(t)
            along.append(model.new_optional_fixed_size_interval_var(x, p, t, f"i{i}{p}"))
            across.append(model.new_optional_fixed_size_interval_var(y, q, t, f"j{i}{q}"))
            heights.append(q)
            widths.append(p)
    model.add_no_overlap_2d(along, across)
    # What a careful modeller adds: at no x do pieces stand higher together than the surface, and so on.
    model.add_cumulative(along, heights, height)
    model.add_cumulative(across, widths, width)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    return status in (cp_model.OPTIMAL, cp_model.FEASIBLE), time.perf_counter() - began


def rectpack_all(width, height, sides, seconds):
    """Try all of rectpack's offline algorithms and orders; it has no search to spend seconds on."""
    import rectpack

    began = time.perf_counter()
    algorithms = [
        getattr(rectpack, n) for n in dir(rectpack) if n.startswith(("MaxRects", "Skyline", "Guillotine"))
    ]
    orders = [getattr(rectpack, n) for n in dir(rectpack) if n.startswith("SORT_")]
    for algorithm, order in itertools.product(algorithms, orders):
        if time.perf_counter() - began > max(seconds, 1.0):
            break
        try:
            packer = rectpack.newPacker(pack_algo=algorithm, sort_algo=order, rotation=True)
            packer.add_bin(width, height)
            for a, b in sides:
                packer.add_rect(a, b)
            packer.pack()
        except TypeError:
            continue
        if len(packer.rect_list()) == len(sides):
            return True, time.perf_counter() - began
    return False, time.perf_counter() - began


def squares():
    print("perfect squared rectangles (s, median of 5; CP-SAT once)")
    for length, width, sides in (MORON, DUIJVESTIJN):
        pairs = [(s, s) for s in sides]
        mine = sorted(ours(length, width, pairs, 60)[1] for _ in range(5))[2]
        task = skyline.Task(length, width, (), tuple(((s, s),) for s in sides))
        began = time.perf_counter()
        assert depth.try_all(task, lambda: False)
        deep = time.perf_counter() - began
        ok, theirs = cp_sat(length, width, pairs, 60)
        print(
            f"  order {len(sides):2d}: shuffle {mine:.4f}, every way {deep:.4f}, CP-SAT {theirs:.3f} ({ok});"
            f" shuffle / CP-SAT {mine / theirs:.4f}, every way / CP-SAT {deep / theirs:.3f}"
        )


def cut_up(rng, length, width, count, least=60):
    """Guillotine cuts of a full rectangle: large pieces are cut first, mostly across their longer side."""
    pieces = [(length, width)]
    while len(pieces) < count:
        a, b = pieces.pop(max(range(len(pieces)), key=lambda i: math.prod(pieces[i]) * rng.uniform(0.2, 1)))
        across = rng.random() < a / (a + b)
        side = a if across else b
        if side < 2 * least:
            pieces.append((a, b))
            continue
        c = rng.randrange(least, side - least + 1)
        pieces += [(c, b), (a - c, b)] if across else [(a, c), (a, b - c)]
    return pieces


def instance(rng, kind, count, fill):
    """Cut a full 2000 x 700 surface and bring it to the fill asked for, in one of three ways."""
    if kind == "shrunk":
        k = math.sqrt(fill)
        return [(int(a * k), int(b * k)) for a, b in cut_up(rng, 2000, 700, count)]
    if kind == "shorter":
        return cut_up(rng, int(2000 * fill), 700, count)
    while True:
        pieces = cut_up(rng, 2000, 700, count + rng.randrange(1, 4))
        while len(pieces) > count:
            pieces.pop(rng.randrange(len(pieces)))
        if abs(sum(a * b for a, b in pieces) / 1.4e6 - fill) < 0.006:
            return pieces


def cuts(seconds):
    print(f"pieces cut from 2000 x 700: found of 8 in {seconds} s, slowest; CP-SAT 1 s, 3 of them")
    for count, kind, fill in itertools.product((10, 20, 40), ("dropped", "shrunk", "shorter"), (0.90, 0.95)):
        found, slowest, pack, sat = 0, 0.0, 0, 0
        for seed in range(8):
            rng = random.Random(1000 * count + seed)
            sides = instance(rng, kind, count, fill)
            rng.shuffle(sides)
            ok, spent = ours(2000, 700, sides, seconds)
            found, slowest = found + ok, max(slowest, spent)
            pack += rectpack_all(2000, 700, sides, 1.0)[0]
            sat += cp_sat(2000, 700, sides, 1.0)[0] if seed < 3 else 0
        print(
            f"  {count:2d} {kind:8s} {fill:.0%}: ours {found}/8 ({slowest:.3f} s), rectpack {pack}/8,"
            f" CP-SAT {sat}/3",
            flush=True,
        )


def strips(seconds):
    from hyperpack.benchmarks.datasets import hopper_and_turton_2000 as data

    print(f"Hopper and Turton C1-C7, {seconds} s a height: gap to the optimum height in %")
    gaps: dict[str, list[float]] = {"ours": [], "rectpack": []}
    for number, letter in itertools.product(range(1, 8), "abc"):
        module = getattr(data, f"C{number}")
        width, best = module.containers["container_0"]["W"], module.containers["container_0"]["L"]
        sides = [(v["w"], v["l"]) for v in getattr(module, f"items_{letter}").values()]
        row = []
        for name, method in (("ours", ours), ("rectpack", rectpack_all)):
            height, began = best, time.perf_counter()
            while not method(width, height, sides, seconds)[0]:
                height += 1
            gaps[name].append(100 * (height - best) / best)
            row.append(f"{name} {height} ({gaps[name][-1]:.2f} %, {time.perf_counter() - began:.2f} s)")
        print(f"  C{number}{letter} n={len(sides)} best {best}: {', '.join(row)}", flush=True)
    for name, found in gaps.items():
        print(f"  mean {name}: {sum(found) / len(found):.3f} %")


if __name__ == "__main__":
    what = sys.argv[1] if len(sys.argv) > 1 else "squares"
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else (3.0 if what == "strips" else 0.3)
    {"squares": squares, "cuts": lambda: cuts(limit), "strips": lambda: strips(limit)}[what]()
