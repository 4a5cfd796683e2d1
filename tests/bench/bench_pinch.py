"""The narrowest pinch beside two other ways to get it, in one run; prints, judges nothing.

Peers: a raster's distance transform with bisection (10 mm cells), and shrinking the free floor by half the
width with bisection to 0.1 mm. Run: python -m tests.bench.bench_pinch
"""

from __future__ import annotations

import math
import time

import numpy as np
import shapely
from scipy import ndimage
from shapely.geometry import Point, Polygon

from shopbins.geometry.features import thing_features, wall_features
from shopbins.kernel.pinch import Floor
from shopbins.kernel.route import route
from tests.bench.floor_scenes import strewn


def timed(work):
    began = time.perf_counter()
    return work(), time.perf_counter() - began


def free_floor(scene):
    return shapely.union_all([Polygon(o) for o in scene.floor]).difference(
        shapely.union_all([Polygon(o) for o in scene.things])
    )


def by_raster(scene, start, goal, cell=10.0):
    x0, y0, x1, y1 = shapely.union_all([Polygon(o) for o in scene.floor]).bounds
    xs, ys = np.arange(x0 - cell, x1 + 2 * cell, cell), np.arange(y0 - cell, y1 + 2 * cell, cell)
    gx, gy = np.meshgrid(xs, ys)
    free = shapely.contains_xy(free_floor(scene), gx.ravel(), gy.ravel()).reshape(gx.shape)
    clear = ndimage.distance_transform_edt(free) * cell
    a, b = ((round((p[1] - ys[0]) / cell), round((p[0] - xs[0]) / cell)) for p in (start, goal))
    low, high = 0.0, float(min(clear[a], clear[b]))
    while high - low > 0.5:
        middle = (low + high) / 2
        marks, _ = ndimage.label(clear >= middle, structure=np.ones((3, 3)))
        low, high = (middle, high) if marks[a] == marks[b] > 0 else (low, middle)
    return 2 * low


def by_shrinking(scene, start, goal):
    free = free_floor(scene)
    low, high = 0.0, 2 * min(free.boundary.distance(Point(p)) for p in (start, goal))
    while high - low > 0.1:
        middle = (low + high) / 2
        parts = shapely.get_parts(free.buffer(-middle / 2, quad_segs=16))
        joined = any(p.intersects(Point(start)) and p.intersects(Point(goal)) for p in parts)
        low, high = (middle, high) if joined else (low, middle)
    return low


def one(scene):
    start, goal = (scene.start.x_mm, scene.start.y_mm), (scene.goal.x_mm, scene.goal.y_mm)
    things = [(f"thing {k}", o) for k, o in enumerate(scene.things)]

    def fresh():
        floor = Floor(wall_features(scene.floor) + thing_features(things))
        return floor, floor.pinch(start, goal)

    (floor, found), ours = min((timed(fresh) for _ in range(3)), key=lambda t: t[1])
    _, again = timed(lambda: floor.pinch(goal, start))
    way, drawn = timed(lambda: route(floor.gaps, start, goal, found.width_mm))
    raster, t_raster = timed(lambda: by_raster(scene, start, goal))
    shrunk, t_shrunk = timed(lambda: by_shrinking(scene, start, goal))
    print(
        f"{scene.name}: {found.width_mm:.3f} mm between {' and '.join(found.between)} in {ours:.4f} s"
        f" (asked again {again:.4f} s, drawing the way {drawn:.2f} s, {len(way.points) if way else 0} points)"
        f"; raster {raster - found.width_mm:+.1f} mm in {t_raster:.2f} s, shrinking"
        f" {shrunk - found.width_mm:+.2f} mm in {t_shrunk:.2f} s; ours/raster {ours / t_raster:.3f},"
        f" ours/shrinking {ours / t_shrunk:.3f}",
        flush=True,
    )


def growth():
    print("growth: 30 rooms' worth of floor, the pinch from each of 30 places to the nearest of 5 exits")
    before = None
    for count in (500, 1000, 2000, 4000):
        scene = strewn(4, count, 7)
        k = math.sqrt(count / 500)
        things = [tuple((x * k, y * k) for x, y in o) for o in scene.things]
        floor = [tuple((x * k, y * k) for x, y in o) for o in scene.floor]
        places = [(x * 20000 * k / 7 + 500, y * 15000 * k / 6 + 500) for x in range(6) for y in range(5)]

        def audit(floor=floor, things=things, places=places):
            ground = Floor(wall_features(floor) + thing_features((str(i), o) for i, o in enumerate(things)))
            free = [p for p in places if ground.gaps.clearance(p)[0] > 1]
            return [ground.best(p, free[:5]) for p in free[5:]]

        found, spent = timed(audit)
        ratio = f", x{spent / before:.2f} for twice as many" if before else ""
        print(f"  {count} things: {len(found)} places in {spent:.3f} s{ratio}", flush=True)
        before = spent


if __name__ == "__main__":
    for rooms in (2, 4):
        for count in (20, 100, 500):
            one(strewn(rooms, count, 1, aisle_mm=0.0 if count < 500 else 1000.0))
    growth()
