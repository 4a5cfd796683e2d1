"""Random scenes with answers known otherwise: find one wrong certain answer.

`python tests/bench/fuzz_floor.py --seconds 600 --seed 1 [--processes 2] [--scenes 100000] [--save DIR]`

Fourteen kinds. What is known of each: a closed form (corner, turning, doors: published or derived, named at
each kind), an exhaustive count (stand, pack), every set of things tried (shift), a bottleneck over plain
distances (pinch), a sum over walls (lanes), or a check of the evidence by code that shares nothing with the
program (crowd: path, certificate). `same` asks one scene turned, shifted, mirrored, swapped, scaled, with a
thing less, the body smaller. Any certain answer that is not so is a contradiction: it is saved and counted as
wrong. Exit status 1 where there was one. An answer without a verdict is no contradiction: `close` is too
close to call, `open` not decided.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import multiprocessing
import os
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # the processes share the cores already
sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "kernel")]

import certificate_checker as checker  # noqa: E402
from floor_checker import World, path_problem  # noqa: E402

from shopbins.cli.fits.scene import answer_scene  # noqa: E402

Scene = dict[str, Any]
Point = tuple[float, float]
Outcome = str  # right, close, open, WRONG: why

LIMIT_S = 20.0
CLOSE_MM = 0.11


# -- laying scenes down anywhere -----------------------------------------------------------------------


class Laid:
    """A way to lay a whole scene down: mirrored, scaled, turned, shifted."""

    def __init__(
        self, turn_deg: float = 0.0, by: Point = (0.0, 0.0), mirror: bool = False, times: float = 1.0
    ):
        self.turn_deg, self.by, self.mirror, self.times = turn_deg, by, mirror, times

    def point(self, p: Iterable[float]) -> list[float]:
        x, y = (v * self.times for v in p)
        x = -x if self.mirror else x
        c, s = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        if self.turn_deg % 90 == 0:
            c, s = round(c), round(s)
        return [x * c - y * s + self.by[0], x * s + y * c + self.by[1]]

    def ring(self, ring: Iterable[Iterable[float]]) -> list[list[float]]:
        points = [self.point(p) for p in ring]
        return points[::-1] if self.mirror else points

    def pose(self, p: dict[str, float]) -> dict[str, float]:
        x, y = self.point((p["x_mm"], p["y_mm"]))
        turn = p.get("turn_deg", 0.0)
        return {"x_mm": x, "y_mm": y, "turn_deg": (-turn if self.mirror else turn) + self.turn_deg}

    def scene(self, scene: Scene) -> Scene:
        told = dict(scene)
        several = isinstance(scene["outline_mm"][0][0], (list, tuple))
        told["outline_mm"] = (
            [self.ring(o) for o in scene["outline_mm"]] if several else self.ring(scene["outline_mm"])
        )
        told["holes_mm"] = [self.ring(h) for h in scene.get("holes_mm", ())]
        told["things"] = [t | {"outline_mm": self.ring(t["outline_mm"])} for t in scene.get("things", ())]
        for key in ("start", "goal"):
            if key in scene:
                told[key] = self.pose(scene[key])
        if "body" in scene:
            flat = Laid(mirror=self.mirror, times=self.times)
            body = scene["body"]
            told["body"] = (
                {"outline_mm": flat.ring(body["outline_mm"])}
                if "outline_mm" in body
                else {k: v * self.times for k, v in body.items()}
            )
        return told


def anywhere(rng: random.Random) -> Laid:
    """Return a random way to lay a scene down, the plain one now and then."""
    if rng.random() < 0.2:
        return Laid()
    turn = rng.choice((0.0, 90.0, 180.0, rng.uniform(0, 360), rng.uniform(0, 360)))
    return Laid(turn, (rng.uniform(-9e3, 9e3), rng.uniform(-9e3, 9e3)), rng.random() < 0.5)


def spare_mm(rng: random.Random) -> float:
    """Return how much to spare: 0.02 to 200 mm either way."""
    return rng.choice((-1, 1)) * 10 ** rng.uniform(-1.7, 2.3)


def box(x0: float, y0: float, x1: float, y1: float) -> list[list[float]]:
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def pose(x: float, y: float, turn: float = 0.0) -> dict[str, float]:
    return {"x_mm": x, "y_mm": y, "turn_deg": turn}


# -- judging -------------------------------------------------------------------------------------------


def ask(scene: Scene) -> dict[str, Any]:
    return answer_scene(scene | {"at_most_s": LIMIT_S})


def judged(scene: Scene, spare: float | None, answer: dict[str, Any] | None = None) -> Outcome:
    """Hold a `goes` against what is known (mm to spare, None where that is not) and check its evidence."""
    answer = ask(scene) if answer is None else answer
    if "problem" in answer:
        return f"WRONG: {answer['problem']}"
    told = answer["answer"]
    if told == "not decided":
        return "open"
    if told == "too close to call":
        far = spare is not None and abs(spare) > CLOSE_MM + answer["within_mm"]
        return "WRONG: called close" if far else "close"
    if told == "goes":
        if spare is not None and spare < 0:
            return f"WRONG: goes, {-spare:g} mm too long or narrow"
        why = lies_about_path(scene, answer)
        return f"WRONG: {why}" if why else "right"
    if spare is not None and spare > 0:
        return f"WRONG: does not go, with {spare:g} mm to spare"
    try:
        checker.check(scene, answer["certificate"])
    except checker.Wrong as why:
        return f"WRONG: certificate: {why}"
    return "right"


def lies_about_path(scene: Scene, answer: dict[str, Any]) -> str | None:
    """Return what is wrong with a path; an end that touches is left to the rest of the way."""
    if answer["clearance_mm"] <= 0:
        return None
    several = isinstance(scene["outline_mm"][0][0], (list, tuple))
    rooms = scene["outline_mm"] if several else [scene["outline_mm"]]
    world = World(
        rooms,
        scene.get("holes_mm", ()),
        [t["outline_mm"] for t in scene.get("things", ())],
        checker.body_of(scene),
    )
    return path_problem(
        world, [(p["x_mm"], p["y_mm"], p["turn_deg"]) for p in answer["path"]], answer["clearance_mm"]
    )


# -- kinds: closed forms -------------------------------------------------------------------------------


def corner(rng: random.Random) -> tuple[Scene, Outcome]:
    """C. Moretti, "Moving a couch around a corner", College Mathematics Journal 33; thin: the ladder."""
    a, b = rng.uniform(700, 2000), rng.uniform(700, 2000)
    w = rng.choice((rng.uniform(5, 60), rng.uniform(60, 0.9 * min(a, b))))
    best = min_of(lambda t: (a * math.sin(t) + b * math.cos(t) - w) / (math.sin(t) * math.cos(t)))
    spare = spare_mm(rng)
    length = best - spare
    if length <= max(a, b, w) * 1.02:
        return corner(rng)
    far = length + 2 * max(a, b) + 500
    scene = {
        "question": "goes",
        "outline_mm": [[0, 0], [far, 0], [far, b], [a, b], [a, far], [0, far]],
        "body": {"length_mm": length, "width_mm": w},
        "start": pose(far - length / 2 - 50, b / 2),
        "goal": pose(a / 2, far - length / 2 - 50, 90.0),
    }
    return finished(rng, scene, spare)


def min_of(f: Callable[[float], float]) -> float:
    """Return the least value of a function with one valley between 0 and a right angle."""
    low, high, g = 1e-4, math.pi / 2 - 1e-4, (math.sqrt(5) - 1) / 2
    for _ in range(120):
        x, y = high - g * (high - low), low + g * (high - low)
        low, high = (low, y) if f(x) < f(y) else (x, high)
    return f((low + high) / 2)


def turning(rng: random.Random) -> tuple[Scene, Outcome]:
    """A rectangle turns round in a corridor just when its diagonal is no longer than its width."""
    length, w = rng.uniform(600, 2000), rng.uniform(100, 900)
    spare = spare_mm(rng)
    wide = math.hypot(length, w) + spare
    if wide <= max(length, w) + 1:
        return turning(rng)
    if rng.random() < 0.5:
        goal, either = pose(3 * length, wide / 2, 180.0), False
    else:
        goal, either = pose(3 * length, wide / 2, 90.0), True
    scene = {
        "question": "goes",
        "outline_mm": box(0, 0, 5 * length, wide),
        "body": {"length_mm": length, "width_mm": w},
        "start": pose(length, wide / 2),
        "goal": goal,
        "either_way": either,
    }
    return finished(rng, scene, spare)


def door(rng: random.Random) -> tuple[Scene, Outcome]:
    """A convex body passes a door just when its least width does: G. Strang, "The width of a chair", 1982."""
    w = rng.uniform(400, 1000)
    length = w + rng.uniform(20, 700)
    return doorway(rng, {"length_mm": length, "width_mm": w}, w, length)


def wedge(rng: random.Random) -> tuple[Scene, Outcome]:
    """The same for any convex outline, tapered ones and long tails among them."""
    if rng.random() < 0.4:
        long, high, tip = rng.uniform(600, 1200), rng.uniform(120, 400), rng.uniform(4, 100)
        body = [
            [-0.3 * long, -high / 2],
            [0.7 * long, -tip / 2],
            [0.7 * long, tip / 2],
            [-0.3 * long, high / 2],
        ]
    else:
        ring = [(rng.uniform(-700, 700), rng.uniform(-400, 400)) for _ in range(rng.randint(5, 9))]
        body = [list(p) for p in checker.grown(((0.0, 0.0), (0.0, 0.0)), ring)] if len(ring) > 2 else []
        if len(body) < 3:
            return wedge(rng)
        cx, cy = (sum(p[k] for p in body) / len(body) for k in (0, 1))
        body = [[x - cx, y - cy] for x, y in body]
    if abs(checker.area(body)) < 30_000:
        return wedge(rng)
    width = min(max(checker.side(p, q, r) for r in body) / math.dist(p, q) for p, q in checker.pairs(body))
    reach = 2 * max(math.hypot(*p) for p in body)
    return doorway(rng, {"outline_mm": body}, width, reach)


def doorway(rng: random.Random, body: dict, width: float, reach: float) -> tuple[Scene, Outcome]:
    spare = spare_mm(rng)
    clear, thick = width + spare, rng.choice((20.0, 120.0, rng.uniform(10, 400)))
    if clear < 5:
        return doorway(rng, body, width, reach)
    deep, high = reach * rng.uniform(1.5, 2.2), max(reach, clear) * rng.uniform(1.5, 2.2)
    low = rng.uniform(1, high - clear - 1)
    rooms = [
        box(-deep, 0, 0, high),
        box(thick, 0, thick + deep, high),
        box(-1, low, thick + 1, low + clear),
    ]
    scene = {
        "question": "goes",
        "outline_mm": rooms,
        "body": body,
        "start": pose(-deep / 2, high / 2, rng.choice((0.0, rng.uniform(0, 360)))),
        "goal": pose(thick + deep / 2, high / 2, rng.choice((0.0, rng.uniform(0, 360)))),
    }
    return finished(rng, scene, spare)


def bend(rng: random.Random) -> tuple[Scene, Outcome]:
    """Two corners one after the other, far enough apart to be independent (the first formula twice)."""
    a, w = rng.uniform(800, 1500), rng.uniform(100, 600)
    best = 2 * math.sqrt(2) * a - 2 * w
    spare = spare_mm(rng)
    length = best - spare
    if w > 0.8 * a or length < a:
        return bend(rng)
    run = length + 3 * a
    up = run + 2 * a
    scene = {
        "question": "goes",
        "outline_mm": [
            [0, 0], [run + a, 0], [run + a, up], [2 * run, up],
            [2 * run, up + a], [run, up + a], [run, a], [0, a],
        ],
        "body": {"length_mm": length, "width_mm": w},
        "start": pose(length / 2 + 20, a / 2),
        "goal": pose(2 * run - length / 2 - 20, up + a / 2),
    }  # fmt: skip
    return finished(rng, scene, spare)


def finished(rng: random.Random, scene: Scene, spare: float) -> tuple[Scene, Outcome]:
    laid = anywhere(rng).scene(scene)
    return laid, judged(laid, spare)


# -- kinds: decided another way ------------------------------------------------------------------------


def pinch(rng: random.Random) -> tuple[Scene, Outcome]:
    """The widest disc is the bottleneck of plain distances from one wall of a corridor to the other."""
    import shapely

    wide = rng.uniform(2500, 5000)
    things = [blob(rng, (rng.uniform(3500, 6500), rng.uniform(0, wide))) for _ in range(rng.randint(1, 7))]
    scene = {
        "question": "pinch",
        "outline_mm": box(0, 0, 10000, wide),
        "things": [{"outline_mm": t} for t in things],
        "start": pose(1500, wide / 2),
        "goal": pose(8500, wide / 2),
    }
    shapes = [shapely.LineString([(0, 0), (10000, 0)]), shapely.LineString([(0, wide), (10000, wide)])]
    shapes += [shapely.Polygon(t) for t in things]
    gaps = sorted((a.distance(b), i, j) for (i, a), (j, b) in itertools.combinations(enumerate(shapes), 2))
    group = list(range(len(shapes)))
    known = wide
    for gap, i, j in gaps:
        old, new = group[i], group[j]
        group = [new if g == old else g for g in group]
        if group[0] == group[1]:
            known = gap
            break
    ends = min(
        wide, 3000.0, *(2 * s.distance(shapely.Point(x, wide / 2)) for s in shapes for x in (1500, 8500))
    )
    laid = anywhere(rng).scene(scene)
    answer = answer_scene(laid)
    if "problem" in answer:
        return laid, f"WRONG: {answer['problem']}"
    known = min(known, ends)
    if abs(answer["width_mm"] - known) > 1e-6:
        return laid, f"WRONG: pinch {answer['width_mm']}, known {known}"
    return laid, "right"


def blob(rng: random.Random, at: Point) -> list[list[float]]:
    """Return a convex outline about a place."""
    while True:
        ring = [
            (at[0] + rng.uniform(-500, 500), at[1] + rng.uniform(-500, 500)) for _ in range(rng.randint(4, 8))
        ]
        found = checker.grown(((0.0, 0.0), (0.0, 0.0)), [(-x, -y) for x, y in ring])
        if len(found) >= 3 and abs(checker.area(found)) > 20_000:
            return [list(p) for p in found]


def pack(rng: random.Random) -> tuple[Scene, Outcome]:
    """A surface cut up by straight cuts fits itself; a hair more in all is too much."""
    unit = rng.choice((1.0, 0.1, 1.5875, 25.4 / 64, 25.4 / 3, 0.25))
    wide, deep = rng.randint(8, 40), rng.randint(8, 40)
    parts = [(wide, deep)]
    for _ in range(rng.randint(0, 6)):
        k = max(range(len(parts)), key=lambda i: parts[i][0] * parts[i][1] * rng.uniform(0.5, 1))
        a, b = parts.pop(k)
        if rng.random() < 0.5 and a > 1:
            c = rng.randint(1, a - 1)
            parts += [(c, b), (a - c, b)]
        elif b > 1:
            c = rng.randint(1, b - 1)
            parts += [(a, c), (a, b - c)]
        else:
            parts.append((a, b))
    pieces = [
        {"length_mm": (a if k else b) * unit, "width_mm": (b if k else a) * unit}
        for a, b in parts
        for k in (rng.randint(0, 1),)
    ]
    known, over = "fits", rng.random() < 0.5
    if over:
        known = "does not fit"
        pieces[rng.randrange(len(pieces))]["length_mm"] += 10 ** rng.uniform(-4, 0)
    scene = {
        "question": "shuffle",
        "surface": {"length_mm": wide * unit, "width_mm": deep * unit},
        "pieces": pieces,
        "at_most_s": 2.0,
    }
    answer = answer_scene(scene)
    if "problem" in answer:
        return scene, f"WRONG: {answer['problem']}"
    if answer["answer"] == "not found":
        return scene, "open"
    return scene, "right" if answer["answer"] == known else f"WRONG: {answer['answer']}, known: {known}"


def few(rng: random.Random) -> tuple[Scene, Outcome]:
    """Three or four small pieces in whole steps: every place tried."""
    wide, deep = rng.randint(3, 7), rng.randint(3, 7)
    pieces = [(rng.randint(1, 5), rng.randint(1, 5)) for _ in range(rng.randint(3, 4))]
    known = "fits" if lies_somehow(wide, deep, pieces, ()) else "does not fit"
    times = rng.choice((1.0, 10.0, 0.1, 12.7))
    scene = {
        "question": "shuffle",
        "surface": {"length_mm": wide * times, "width_mm": deep * times},
        "pieces": [{"length_mm": a * times, "width_mm": b * times} for a, b in pieces],
    }
    answer = answer_scene(scene)
    if "problem" in answer:
        return scene, f"WRONG: {answer['problem']}"
    told = answer["answer"]
    return scene, "open" if told == "not found" else "right" if told == known else f"WRONG: {told}: {known}"


def lies_somehow(wide: int, deep: int, left: list[tuple[int, int]], taken: tuple) -> bool:
    if not left:
        return True
    (a, b), rest = left[0], left[1:]
    for u, v in {(a, b), (b, a)}:
        for x in range(wide - u + 1):
            for y in range(deep - v + 1):
                if all(
                    x >= r[2] or x + u <= r[0] or y >= r[3] or y + v <= r[1] for r in taken
                ) and lies_somehow(wide, deep, rest, (*taken, (x, y, x + u, y + v))):
                    return True
    return False


def stand(rng: random.Random) -> tuple[Scene, Outcome]:
    """Upright crates in whole mm: a place exists just where one does that touches below and on the left."""
    wide, deep = rng.randint(1500, 4000), rng.randint(1500, 4000)
    crates = []
    for _ in range(rng.randint(2, 9)):
        a, b = rng.randint(200, 1500), rng.randint(200, 1500)
        x, y = rng.randint(-200, wide), rng.randint(-200, deep)
        crates.append((x, y, x + a, y + b))
    a, b = rng.randint(200, 1400), rng.randint(200, 1400)
    if rng.random() < 0.5:  # just as wide as some gap, or a hair more or less
        gap = rng.choice([r[0] for r in crates] + [wide - r[2] for r in crates] + [wide])
        a = gap if 100 < gap <= wide else a
    by = rng.choice((0, 0, 1, -1, 1000)) / 1000 * rng.choice((1, 10))
    sides = [(a + by, b), (b, a + by)]
    known = any(
        free(wide, deep, crates, x, y, u, v)
        for u, v in sides
        for x in {0, *(r[2] for r in crates)}
        for y in {0, *(r[3] for r in crates)}
    )
    scene = {
        "question": "stand",
        "outline_mm": box(0, 0, wide, deep),
        "things": [{"outline_mm": box(*r)} for r in crates],
        "body": {"length_mm": a + by, "width_mm": b},
        "most": 2,
    }
    answer = answer_scene(scene)
    if "problem" in answer:
        return scene, f"WRONG: {answer['problem']}"
    hair = any(
        free(wide, deep, crates, x, y, u - 0.002, v - 0.002)
        for u, v in sides
        for x in {0, *(r[2] for r in crates)}
        for y in {0, *(r[3] for r in crates)}
    )
    if answer["places"] and not hair:
        return scene, "WRONG: a place where there is none"
    if answer["none_for_certain"] and known:
        return scene, "WRONG: none, and there is one"
    if not answer["places"] and not answer["none_for_certain"]:
        return scene, "open"
    return scene, "right" if bool(answer["places"]) == known else "close"


def free(wide: float, deep: float, crates: list, x: float, y: float, u: float, v: float) -> bool:
    if x < 0 or y < 0 or x + u > wide or y + v > deep:
        return False
    return all(x >= r[2] or x + u <= r[0] or y >= r[3] or y + v <= r[1] for r in crates)


def lanes(rng: random.Random) -> tuple[Scene, Outcome]:
    """Walls one after the other, each with gates shut by things: the least is the sum over the cheapest."""
    walls, scale = rng.randint(1, 3), 10 ** rng.choice((0, 0, -9, 6, rng.uniform(-9, 9)))
    holes, things, known = [], [], 0.0
    for k in range(walls):
        x, y = 2500.0 * (k + 1), 0.0
        best = math.inf
        for _ in range(rng.randint(1, 3)):
            wall = rng.uniform(300, 900)
            holes.append(box(x, y - (1 if y == 0 else 0), x + 150, y + wall))
            y += wall
            gate = rng.uniform(850, 1100)
            bars = rng.randint(0, 2) if rng.random() < 0.3 else rng.randint(1, 2)
            total = 0.0
            for n in range(bars):
                cost = rng.randint(1, 60) * scale
                total += cost
                across = x + 30 + 70 * n + rng.uniform(-5, 5)
                bar = box(across, y + rng.uniform(5, 60), across + 30, y + gate - rng.uniform(5, 60))
                things.append({"outline_mm": bar, "cost": cost})
            y += gate
            best = min(best, total)
        holes.append(box(x, y, x + 150, 9000))
        known += best
    scene = {
        "question": "shift",
        "outline_mm": box(0, 0, 2500.0 * (walls + 1) + 150, 9000),
        "holes_mm": holes,
        "things": things,
        "body": {"length_mm": 900, "width_mm": 800},
        "start": pose(1200, 4500),
        "goal": pose(2500.0 * walls + 1400, 4500),
    }
    laid = anywhere(rng).scene(scene)
    answer = ask(laid)
    if "problem" in answer:
        return laid, f"WRONG: {answer['problem']}"
    if answer["cost_at_least"] > known * (1 + 1e-9):
        return laid, f"WRONG: at least {answer['cost_at_least']}, known {known}"
    if answer["cost"] is None:
        return laid, "open"
    if answer["cost"] < known * (1 - 1e-9):
        return laid, f"WRONG: cost {answer['cost']}, known {known}"
    return laid, "right" if answer["optimal"] else "open"


def crowd(rng: random.Random) -> tuple[Scene, Outcome]:
    """A room full of things, nothing known: every path and every certificate is checked by other code."""
    return crowded(rng, rng.randint(2, 9))


def full_room(rng: random.Random, count: int) -> Scene:
    """Return a room in two halves with a gap between, things strewn over it, and a way to ask for."""
    gap, x = rng.uniform(400, 900), rng.uniform(2000, 2600)
    low = rng.uniform(100, 3600 - gap - 100)
    things = [blob(rng, (rng.uniform(0, 5000), rng.uniform(0, 3600))) for _ in range(count)]
    body: dict[str, Any] = {"length_mm": rng.uniform(500, 1300), "width_mm": rng.uniform(300, 800)}
    if rng.random() < 0.3:
        body = {"outline_mm": [[x - 0, y] for x, y in ((-300, -250), (500, -200), (350, 300), (-250, 260))]}
    return {
        "question": "goes",
        "outline_mm": box(0, 0, 5000, 3600),
        "holes_mm": [box(x, -1, x + 120, low), box(x, low + gap, x + 120, 3601)],
        "things": [{"outline_mm": t} for t in things],
        "body": body,
        "start": pose(rng.uniform(600, 1500), rng.uniform(600, 3000), rng.uniform(0, 360)),
        "goal": pose(rng.uniform(3300, 4400), rng.uniform(600, 3000), rng.uniform(0, 360)),
    }


def crowded(rng: random.Random, count: int) -> tuple[Scene, Outcome]:
    scene = full_room(rng, count)
    laid = anywhere(rng).scene(scene)
    answer = ask(laid)
    if "problem" in answer and ("stands" in answer["problem"] or "not on the free floor" in answer["problem"]
                                or "overlaps" in answer["problem"]):  # fmt: skip
        scene["things"] = scene["things"][: count - 1]
        return crowded(rng, count - 1) if count > 1 else (laid, "right")
    return laid, judged(laid, None, answer)


def shift(rng: random.Random) -> tuple[Scene, Outcome]:
    """Each set cheaper than the answer, the largest first: what lies within one that does not go does not."""
    scene, scale = full_room(rng, 14), 10 ** rng.choice((0, 0, -9, 9))
    ends = [(scene[end]["x_mm"], scene[end]["y_mm"]) for end in ("start", "goal")]

    def clear(ring: list[Point]) -> bool:
        return all(math.dist(end, corner) > 800 for end in ends for corner in ring)

    scene["things"] = [t for t in scene["things"] if clear(t["outline_mm"])][: rng.randint(5, 8)]
    same = rng.random() < 0.2
    for thing in scene["things"]:
        thing["cost"] = (1 if same else rng.randint(0, 30)) * scale
    laid = anywhere(rng).scene(scene | {"question": "shift"})
    answer = ask(laid)
    if "problem" in answer:
        at_end = any(word in answer["problem"] for word in ("stands", "overlaps", "not on the free floor"))
        return laid, "right" if at_end else f"WRONG: {answer['problem']}"
    things, cost = laid["things"], answer["cost"]
    least = math.inf if answer["answer"] == "does not go" else answer["cost_at_least"]

    def told(gone: Iterable[int]) -> str:
        left = [t for i, t in enumerate(things) if i not in gone]
        return str(ask(laid | {"question": "goes", "things": left}).get("answer", "does not go"))

    shut: list[frozenset[int]] = []
    close = not answer["optimal"]
    for many in range(len(things), -1, -1):
        for gone in map(frozenset, itertools.combinations(range(len(things)), many)):
            paid = math.fsum(things[i]["cost"] for i in gone)
            if (cost is not None and paid >= cost * (1 - 1e-9)) or any(gone <= other for other in shut):
                continue
            goes = told(gone)
            if goes == "goes" and (answer["optimal"] or paid < least * (1 - 1e-9)):
                return laid, f"WRONG: at least {least}, but with {sorted(gone)} gone, {paid}, it goes"
            if goes == "does not go":
                shut.append(gone)
            close |= goes not in ("goes", "does not go")
    if answer["shift"] is not None and told(answer["shift"]) == "does not go":
        return laid, f"WRONG: {answer['shift']} do not open the way"
    return laid, "open" if close else "right"


def hollow(rng: random.Random) -> tuple[Scene, Outcome]:
    """An L or a tail: it goes where its hull goes, not where its largest piece does not; evidence checked."""
    a, b, t, u = rng.uniform(500, 1200), rng.uniform(400, 1000), rng.uniform(120, 350), rng.uniform(120, 350)
    body = [[0, 0], [a, 0], [a, t], [u, t], [u, b], [0, b]]
    if rng.random() < 0.4:
        low = rng.uniform(0, b - t)
        body = [
            [0, 0],
            [u + 200, 0],
            [u + 200, low],
            [a, low],
            [a, low + t],
            [u + 200, low + t],
            [u + 200, b],
            [0, b],
        ]
        if low < 20 or low + t > b - 20 or a < u + 260:
            return hollow(rng)
    scene, _ = crowded(rng, rng.randint(0, 4))
    scene["body"] = {"outline_mm": [[x - u / 2, y - t / 2] for x, y in body]}
    told = ask(scene)
    if "problem" in told:
        overlaps = any(word in told["problem"] for word in ("stands", "overlaps", "not on the free floor"))
        return scene, "right" if overlaps else f"WRONG: {told['problem']}"
    ring = [(x, y) for x, y in scene["body"]["outline_mm"]]
    hull = checker.grown(((0.0, 0.0), (0.0, 0.0)), [(-x, -y) for x, y in ring])
    arm = [[-u / 2, -t / 2], [u / 2, -t / 2], [u / 2, b - t / 2], [-u / 2, b - t / 2]]
    if (
        told["answer"] == "does not go"
        and ask(scene | {"body": {"outline_mm": hull}}).get("answer") == "goes"
    ):
        return scene, "WRONG: does not go, but its hull goes"
    if told["answer"] == "goes" and ask(scene | {"body": {"outline_mm": arm}}).get("answer") == "does not go":
        return scene, "WRONG: goes, but a part of it does not"
    return scene, judged(scene, None, told)


def same(rng: random.Random) -> tuple[Scene, Outcome]:
    """One scene asked in many ways: no two certain answers may disagree."""
    scene, first = crowded(rng, rng.randint(1, 6))
    if first.startswith("WRONG"):
        return scene, first
    told = ask(scene).get("answer")
    by = Laid(rng.uniform(0, 360), (rng.uniform(-5e3, 5e3), rng.uniform(-5e3, 5e3)), rng.random() < 0.5,
              rng.choice((1.0, 0.5, 2.0, 1.3)))  # fmt: skip
    equal = [by.scene(scene), scene | {"start": scene["goal"], "goal": scene["start"]}]
    easier = [scene | {"things": scene["things"][1:]}]
    if "length_mm" in scene["body"]:
        body = scene["body"]
        easier.append(scene | {"body": {k: v - rng.uniform(0.01, 50) for k, v in body.items()}})
    for other in equal:
        answer = ask(other).get("answer")
        if {told, answer} == {"goes", "does not go"}:
            return other, f"WRONG: {answer}, but the same scene {told}"
    for other in easier:
        answer = ask(other).get("answer")
        if told == "goes" and answer == "does not go":
            return other, "WRONG: does not go, but with more in the way it goes"
    return scene, "right" if told in ("goes", "does not go") else "close"


KINDS: dict[str, tuple[Callable[[random.Random], tuple[Scene, Outcome]], int]] = {
    "corner": (corner, 16),
    "turning": (turning, 12),
    "door": (door, 6),
    "wedge": (wedge, 2),
    "bend": (bend, 6),
    "pinch": (pinch, 60),
    "pack": (pack, 40),
    "few": (few, 20),
    "stand": (stand, 40),
    "lanes": (lanes, 3),
    "crowd": (crowd, 3),
    "shift": (shift, 1),
    "hollow": (hollow, 1),
    "same": (same, 1),
}


# -- running -------------------------------------------------------------------------------------------


def one(job: tuple[str, int]) -> tuple[str, str, float, Scene | None]:
    """Make, ask and judge one scene; the scene comes back where it is wrong."""
    kind, seed = job
    began = time.process_time()
    scene, outcome = KINDS[kind][0](random.Random(f"{kind} {seed}"))
    spent = time.process_time() - began
    return kind, outcome, spent, scene | {"id": f"{kind} {seed}"} if outcome.startswith("WRONG") else None


def jobs(seed: int, names: list[str]) -> Iterable[tuple[str, int]]:
    """Yield kinds by their weights, for ever, each scene with a number of its own."""
    turn = [name for name in names for _ in range(KINDS[name][1])]
    random.Random(seed).shuffle(turn)
    for k in itertools.count():
        yield turn[k % len(turn)], seed * 10_000_000 + k


def main() -> int:
    """Run until time or scenes are used up; print counts by kind."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--scenes", type=int, default=10**9)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--kinds", nargs="*", default=list(KINDS))
    parser.add_argument("--save", type=Path, default=Path("fuzz-contradictions"))
    given = parser.parse_args()
    counts: dict[str, Counter[str]] = {k: Counter() for k in given.kinds}
    spent: dict[str, float] = dict.fromkeys(given.kinds, 0.0)
    began = time.monotonic()

    def tell() -> None:
        head = f"{'kind':10}{'scenes':>9}{'right':>9}{'close':>8}{'open':>7}{'wrong':>7}{'CPU ms':>9}"
        print(f"seed {given.seed}, {time.monotonic() - began:.0f} s\n{head}")
        whole: Counter[str] = Counter()
        for kind, found in counts.items():
            whole += found
            row(kind, found, spent[kind])
        row("all", whole, sum(spent.values()))
        sys.stdout.flush()

    def row(name: str, found: Counter[str], seconds: float) -> None:
        n = found.total()
        cells = "".join(
            f"{found[w]:>{s}}" for w, s in (("right", 9), ("close", 8), ("open", 7), ("wrong", 7))
        )
        print(f"{name:10}{n:>9}{cells}{1000 * seconds / max(1, n):>9.1f}")

    pool = multiprocessing.Pool(given.processes, maxtasksperchild=2000)
    every = 0
    with pool:
        work = itertools.takewhile(
            lambda _: time.monotonic() - began < given.seconds,
            itertools.islice(jobs(given.seed, given.kinds), given.scenes),
        )
        while batch := list(itertools.islice(work, 200)):
            for kind, outcome, seconds, scene in pool.imap_unordered(one, batch, chunksize=5):
                counts[kind]["wrong" if scene else outcome] += 1
                spent[kind] += seconds
                if scene:
                    given.save.mkdir(parents=True, exist_ok=True)
                    name = str(scene["id"]).replace(" ", "-")
                    (given.save / f"{name}.json").write_text(json.dumps(scene | {"found": outcome}, indent=1))
                    print(f"{scene['id']}: {outcome}", flush=True)
            every += len(batch)
            if every % 5000 == 0:
                tell()
    tell()
    return int(any(c["wrong"] for c in counts.values()))


if __name__ == "__main__":
    sys.exit(main())
