"""Time of `goes` beside OMPL's RRTConnect (SE2, validity by shapely, untuned), in one run; no pass or fail.

    python tests/bench/bench_goes.py            corners, doors and shops
    python tests/bench/bench_goes.py --alone    without the peer

The peer stops at its first path or after 5 s; of a scene that cannot go it can say nothing.
"""

from __future__ import annotations

import math
import resource
import sys
import time
from pathlib import Path
from statistics import median

import shapely

sys.path.insert(0, str(Path(__file__).resolve().parent))
from floor_scenes import Scene, box, strewn

from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel.goes import goes
from shopbins.kernel.planner import Planner

PEER_S = 5.0
REPEATS = 3


def corner(spare_mm: float) -> Scene:
    """Return a rectangle 600 wide round a corner of 900 and 1200, that much shorter than critical."""
    length = 1747.4126044 - spare_mm
    floor = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 900.0), (1200.0, 900.0), (1200.0, 6000.0), (0.0, 6000.0))
    start, goal = Pose(5000.0, 450.0, 0.0), Pose(600.0, 5000.0, 90.0)
    return Scene(f"corner, {spare_mm:g} mm to spare", (floor,), (), (), start, goal, rectangle(length, 600.0))


def door(spare_mm: float) -> Scene:
    """Return a rectangle 1400 long through a door 900 wide in a wall 150 thick, turned by 30 degrees."""
    by = Pose(0.0, 0.0, 30.0)
    rooms = [box(0, 0, 4000, 4000), box(4150, 0, 8150, 4000), box(3999, 1500, 4151, 2400)]
    floor = tuple(placed(r, by) for r in rooms)
    ends = [placed([(1500.0, 2000.0), (6600.0, 2000.0)], by)[i] for i in (0, 1)]
    start, goal = Pose(*ends[0], 30.0), Pose(*ends[1], 120.0)
    return Scene(
        f"door, {spare_mm:g} mm to spare", floor, (), (), start, goal, rectangle(1400.0, 900.0 - spare_mm)
    )


def shops() -> list[Scene]:
    return [strewn(r, n, 1, a) for r in (2, 4) for n in (20, 100, 500) for a in (1700.0, 780.0, 0.0)]


def ours(scene: Scene) -> tuple[str, float, float]:
    """Return our answer, seconds fresh, and seconds again after one thing moved."""
    took, again, answer = [], [], ""
    for _ in range(REPEATS):
        began = time.perf_counter()
        planner = Planner(scene.floor, [], scene.body)
        answer = planner.goes(scene.things, scene.start, scene.goal).answer
        took.append(time.perf_counter() - began)
        if scene.things:
            moved = [tuple((x + 60, y + 40) for x, y in scene.things[-1]), *scene.things[:-1]]
            began = time.perf_counter()
            planner.goes(moved, scene.start, scene.goal)
            again.append(time.perf_counter() - began)
    return answer, median(took), median(again) if again else math.nan


def peers(scene: Scene) -> tuple[int, float]:
    """Return of how many runs the peer found a path, and its median seconds."""
    from ompl import base, geometric, util

    util.setLogLevel(util.LogLevel.LOG_ERROR if hasattr(util, "LogLevel") else util.LOG_ERROR)
    free = shapely.union_all([shapely.Polygon(o) for o in scene.floor])
    if scene.things:
        free = shapely.difference(free, shapely.union_all([shapely.Polygon(t) for t in scene.things]))
    shapely.prepare(free)
    x0, y0, x1, y1 = free.bounds

    def valid(state: object) -> bool:
        pose = Pose(state.getX(), state.getY(), math.degrees(state.getYaw()))  # type: ignore[attr-defined]
        return bool(shapely.contains(free, shapely.Polygon(placed(scene.body, pose))))

    found, took = 0, []
    for _ in range(REPEATS):
        space = base.SE2StateSpace()
        bounds = base.RealVectorBounds(2)
        bounds.setLow(0, x0)
        bounds.setLow(1, y0)
        bounds.setHigh(0, x1)
        bounds.setHigh(1, y1)
        space.setBounds(bounds)
        setup = geometric.SimpleSetup(space)
        setup.setStateValidityChecker(valid)
        ends = []
        for pose in (scene.start, scene.goal):
            state = space.allocState()
            state.setX(pose.x_mm)
            state.setY(pose.y_mm)
            state.setYaw((math.radians(pose.turn_deg) + math.pi) % (2 * math.pi) - math.pi)
            ends.append(state)
        setup.setStartAndGoalStates(ends[0], ends[1])
        setup.setPlanner(geometric.RRTConnect(setup.getSpaceInformation()))
        began = time.perf_counter()
        setup.solve(PEER_S)
        took.append(time.perf_counter() - began)
        found += bool(setup.haveExactSolutionPath())
    return found, median(took)


def main() -> None:
    alone = "--alone" in sys.argv
    scenes = (
        [corner(s) for s in (200, 50, 20, 5, 1, -1)] + [door(s) for s in (200, 50, 20, 5, 1, -1)] + shops()
    )
    goes(box(0, 0, 3000, 3000), [], [], rectangle(500, 500), Pose(500, 500), Pose(2000, 2000, 45.0))
    print(f"{'scene':42} {'ours':12} {'s':>7} {'again':>7}   RRTConnect")
    for scene in scenes:
        answer, fresh, again = ours(scene)
        line = f"{scene.name:42} {answer:12} {fresh:7.3f} {again:7.3f}"
        if not alone:
            found, took = peers(scene)
            told = f"{found} of {REPEATS} in {took:.2f} s, {took / fresh:.0f} x ours" if found else "none"
            line += f"   {told}"
        print(line, flush=True)
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
