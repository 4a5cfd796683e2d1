"""Checks of planner answers that share nothing with the planner: shapely polygons, sampling, advancement.

A path is proved free by conservative advancement: at each pose the distance d from all obstacles is taken;
and no body point moves faster than |dp| + r.|dtheta|, so the next d / speed of the motion is free as well.
A certificate is tried at its weak places: just outside the regions' edges at many turns of their bands, and
all over the regions where a band ends, a body that is free there must be in another region.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import MultiLineString, Polygon
from shapely.ops import unary_union

Outline = Sequence[tuple[float, float]]


class World:
    """Floor, things and body as shapely sees them."""

    def __init__(
        self, floor: Sequence[Outline], holes: Sequence[Outline], things: Sequence[Outline], body: Outline
    ):
        self.floor = unary_union([Polygon(o) for o in floor])
        if holes:
            self.floor = self.floor.difference(unary_union([Polygon(h) for h in holes]))
        self.things = unary_union([Polygon(t) for t in things]) if things else Polygon()
        self.free = self.floor.difference(self.things)
        lines = [self.floor.boundary] + ([self.things.boundary] if things else [])
        self.edges = unary_union([MultiLineString([g]) if g.geom_type == "LineString" else g for g in lines])
        self.body = list(body)
        self.reach = max(math.hypot(x, y) for x, y in body)
        shapely.prepare(self.free)
        self.pieces = shapely.get_parts(
            shapely.linestrings([list(p) for e in shapely.get_parts(self.edges) for p in _pairs(e)])
        )
        self.tree = shapely.STRtree(self.pieces)

    def at(self, *poses: tuple[float, float, float]) -> np.ndarray:
        """Return the body placed at each pose (x, y, turn)."""
        bodies = []
        for x, y, turn_deg in poses:
            c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
            bodies.append([(x + px * c - py * s, y + px * s + py * c) for px, py in self.body])
        return shapely.polygons(bodies)

    def free_of(self, poses: Sequence[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
        """Return the poses at which the body stands with clearance."""
        if not poses:
            return []
        bodies = self.at(*poses)
        free = shapely.contains(self.free, bodies)
        free[free] = self.distances(bodies[free]) > 1e-9
        return list(itertools.compress(poses, free))

    def distances(self, bodies: np.ndarray) -> np.ndarray:
        """Return how far each placed body is from the nearest edge of anything."""
        if not len(self.pieces) or not len(bodies):
            return np.full(len(bodies), math.inf)
        _, found = self.tree.query_nearest(bodies, return_distance=True, all_matches=False)
        return found


def _pairs(line: shapely.LineString) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    xy = list(line.coords)
    return list(itertools.pairwise(xy))


def path_problem(world: World, path: Sequence[tuple[float, float, float]], claimed_mm: float) -> str | None:
    """Return why a path of (x, y, turn) does not hold its claim, or None when it is proved free."""
    if not world.free.contains(world.at(path[0])[0]):
        return f"the first pose is not free: {path[0]}"
    for a, b in itertools.pairwise(path):
        speed = math.hypot(b[0] - a[0], b[1] - a[1]) + world.reach * abs(math.radians(b[2] - a[2]))
        s, least = 0.0, math.inf
        while s < 1.0:
            pose = tuple(p + (q - p) * s for p, q in zip(a, b, strict=True))
            d = float(world.distances(world.at(pose))[0])
            least = min(least, d)
            if d <= 1e-7:
                return f"touches at {pose} between {a} and {b}"
            s += d / speed if speed > 0 else 1.0
        if least < claimed_mm - 1e-6:
            return f"claims {claimed_mm} mm but has {least} between {a} and {b}"
    return None


def certificate_problem(
    world: World,
    regions: Sequence[tuple[float, float, Outline, Sequence[Outline]]],
    start: tuple[float, float, float],
    goal: tuple[float, float, float],
    period_deg: float,
    samples: int = 60,
    seed: int = 1,
) -> str | None:
    """Return how a body could leave the regions of a certificate, or None when no try gets out."""
    rng = random.Random(seed)
    shapes = [(a, b, Polygon(o, h)) for a, b, o, h in regions]
    if not _inside(shapes, start, period_deg, 1e-3):
        return "the start is in no region"
    if _inside(shapes, goal, period_deg, -1e-3):
        return "the goal is in a region"
    for a, b, shape in shapes:
        for pose in world.free_of(_just_outside(shape, a, b, samples, rng)):
            if not _inside(shapes, pose, period_deg, 1e-3):
                return f"free just outside a region at {pose}"
        x0, y0, x1, y1 = shape.bounds
        tried = [(rng.uniform(x0, x1), rng.uniform(y0, y1), rng.choice([a, b])) for _ in range(samples)]
        within = shapely.contains_xy(shape, [(x, y) for x, y, _ in tried])
        for x, y, turn in world.free_of(list(itertools.compress(tried, within))):
            beyond = turn - 1e-6 if turn == a else turn + 1e-6
            if not _inside(shapes, (x, y, beyond), period_deg, 1e-3):
                return f"free at the end of a band and in no region beyond: {(x, y, turn)}"
    return None


def _just_outside(
    shape: Polygon, from_deg: float, to_deg: float, samples: int, rng: random.Random
) -> list[tuple[float, float, float]]:
    """Return poses a hundredth of a mm off the edges of a region, at turns of its band."""
    rings = [(ring, ring.length) for ring in (shape.exterior, *shape.interiors)]
    lines, along, aside, turns = [], [], [], []
    for _ in range(samples):
        ring, length = rng.choice(rings)
        lines.append(ring)
        along.append(rng.random() * length)
        aside.append(rng.random() * 2 * math.pi)
        turns.append(rng.choice([from_deg, to_deg, (from_deg + to_deg) / 2, rng.uniform(from_deg, to_deg)]))
    on = shapely.get_coordinates(shapely.line_interpolate_point(lines, along))
    return [
        (x + 0.01 * math.cos(angle), y + 0.01 * math.sin(angle), turn)
        for (x, y), angle, turn in zip(on.tolist(), aside, turns, strict=True)
    ]


def _inside(
    shapes: Sequence[tuple[float, float, Polygon]],
    pose: tuple[float, float, float],
    period_deg: float,
    slack: float,
) -> bool:
    """Tell whether a pose is in a region (or within a positive slack, in mm, of it)."""
    point = shapely.Point(pose[0], pose[1])
    for a, b, shape in shapes:
        turn = a + (pose[2] - a) % period_deg
        if turn > b + 1e-9 and turn - period_deg < a - 1e-9:
            continue
        if (shape.distance(point) <= slack) if slack >= 0 else (shape.contains(point)):
            return True
    return False
