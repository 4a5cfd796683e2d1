"""Standing beside a raster of places, in one run; prints, judges nothing.

Peer: all places on a 25 mm grid at the same turns, each body tested by shapely against the things.
Run: python -m tests.bench.bench_stand
"""

from __future__ import annotations

import random
import time

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from shopbins.kernel.benchtop import stand_upright
from shopbins.kernel.stand import _slicer, stand
from shopbins.packing.shuffle import Piece, Surface, shuffle
from tests.bench.floor_scenes import strewn


def timed(work):
    began = time.perf_counter()
    return work(), time.perf_counter() - began


def by_grid(scene, turns, cell=25.0):
    """Return how many places of the grid are free."""
    floor = shapely.union_all([Polygon(o) for o in scene.floor])
    taken = shapely.union_all([Polygon(o) for o in scene.things])
    free = floor.difference(taken)
    shapely.prepare(free)
    x0, y0, x1, y1 = floor.bounds
    xs, ys = np.meshgrid(np.arange(x0, x1, cell), np.arange(y0, y1, cell))
    inside = shapely.contains_xy(free, xs.ravel(), ys.ravel())
    places = np.column_stack((xs.ravel()[inside], ys.ravel()[inside]))
    count = 0
    for turn in sorted({t % 180 for t in turns}):
        body = np.asarray(affinity.rotate(Polygon(scene.body), turn, (0, 0)).exterior.coords)
        bodies = shapely.polygons(places[:, None, :] + body[None])
        count += int(shapely.contains(free, bodies).sum())
    return count


def floors():
    for rooms in (2, 4):
        for count in (20, 100, 500):
            scene = strewn(rooms, count, 1, aisle_mm=0.0 if count < 500 else 1000.0)
            never = [(f"thing {k}", o) for k, o in enumerate(scene.things)]
            near = (scene.goal.x_mm, scene.goal.y_mm)
            for turns in (range(0, 360, 90), range(0, 360, 10)):

                def fresh(turns=turns, never=never, scene=scene, near=near):
                    _slicer.cache_clear()
                    return stand(scene.floor, never, [], scene.body, turns, near=near)

                found, ours = min((timed(fresh) for _ in range(3)), key=lambda t: t[1])
                _, again = timed(
                    lambda: stand(scene.floor, never[1:], [], scene.body, turns, near=near)  # noqa: B023
                )
                grid, theirs = timed(lambda: by_grid(scene, turns))  # noqa: B023
                print(
                    f"{scene.name}, {len(turns)} turns: {len(found.places)} places in {ours:.3f} s,"
                    f" one thing gone {again:.3f} s ({again / ours:.2f} of that); grid of 25 mm: {grid}"
                    f" in {theirs:.2f} s; ours/grid {ours / theirs:.3f}",
                    flush=True,
                )


def benches():
    rng = random.Random(1)
    for count in (10, 40, 100):
        pieces = [
            Piece(rng.uniform(40, 300) * 6 / count**0.5, rng.uniform(40, 200) * 6 / count**0.5)
            for _ in range(count)
        ]
        spots = shuffle(Surface(2000.0, 700.0), pieces, seconds=0.5).spots
        boxes = [(f"box {s.piece}", s.box(pieces[s.piece])) for s in spots]
        for near in (None, (1700.0, 200.0)):
            runs = [
                timed(lambda b=boxes, n=near: stand_upright((2000.0, 700.0), b, (120.0, 70.0), near=n))
                for _ in range(5)
            ]
            found, spent = min(runs, key=lambda t: t[1])
            print(
                f"bench, {len(boxes)} boxes, near {near}: {len(found.places)} places in {1000 * spent:.2f} ms"
            )


if __name__ == "__main__":
    floors()
    benches()
