"""A checker of `does not go` of its own: plain Python, written from docs/floor.md, nothing of the program.

`python tests/kernel/certificate_checker.py SCENES.json` asks the program and checks each certificate.
"""

from __future__ import annotations

import itertools
import json
import math
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

Point = tuple[float, float]
Line = tuple[Point, Point]
Ring = list[Point]

DEEP_MM = 1e-6
OUTSIDE_MM = 1e-5
SAME_DEG = 1e-7


class Wrong(Exception):  # noqa: N818 - an outcome, not a fault
    """The certificate does not show that the body cannot go."""


def check(scene: dict, certificate: dict) -> None:
    """Raise Wrong where a certificate does not prove that a scene's body does not go."""
    centre = tuple(certificate["centre_mm"])
    smaller = certificate["inset_mm"] / 2
    if smaller < 2.5e-4:
        raise Wrong("too little inset for rounding")
    body = [(x - centre[0], y - centre[1]) for x, y in body_of(scene)]
    shapes = [(body, smaller)]
    if certificate["pieces_mm"]:
        shapes = [([(x - centre[0], y - centre[1]) for x, y in p], 0.0) for p in certificate["pieces_mm"]]
        pieces_lie_inside(body, [p for p, _ in shapes])
    period = certificate["period_deg"]
    if period != 360:
        if scene.get("either_way") is False or not looks_alike(body, period):
            raise Wrong("the body does not look the same after a period")
        if abs(360 / period - round(360 / period)) > 1e-9:
            raise Wrong("a period that does not divide a turn")
    lines = list(obstacles(scene))
    cells = [
        (c["from_deg"], c["to_deg"], [[tuple(p) for p in r] for r in (c["outline_mm"], *c["holes_mm"])])
        for c in certificate["cells"]
    ]
    ends(scene, centre, cells, period)
    for a, b, rings in cells:
        if not 0 < b - a <= 90:
            raise Wrong("a band that is empty or too wide")
        blocked = [grown(line, k) for k in cores(shapes, a, b) for line in lines]
        for ring in rings:
            for edge in pairs(ring):
                if list(open_parts(edge, blocked)):
                    raise Wrong(f"wall: open near {edge[0]} at {a} to {b}")
    for turn in sorted({round(t % period, 7) % period for a, b, _ in cells for t in (a, b)}):
        below = [r for _, b, r in cells if same_turn(b, turn, period)]
        above = [r for a, _, r in cells if same_turn(a, turn, period)]
        exact = next(t for a, b, _ in cells for t in (a, b) if same_turn(t, turn, period))
        blocked = [grown(line, k) for k in cores(shapes, exact, exact) for line in lines]
        one_sided = 0.0
        x0, y0, x1, y1 = box([p for r in (*below, *above) for ring in r for p in ring])
        for shape in blocked:
            for edge in pairs(shape):
                u0, v0, u1, v1 = box(edge)
                if u0 > x1 or u1 < x0 or v0 > y1 or v1 < y0:
                    continue
                for t0, t1 in open_parts(edge, blocked):
                    p = along(*edge, (t0 + t1) / 2)
                    if any(within(r, p) for r in below) != any(within(r, p) for r in above):
                        one_sided += (t1 - t0) * math.dist(*edge)
                        if one_sided >= 6 * smaller:
                            raise Wrong(f"gate: {p} at {turn} is in the regions on one side only")


def body_of(scene: dict) -> Ring:
    body = scene["body"]
    if "outline_mm" in body:
        ring = [tuple(map(float, p)) for p in body["outline_mm"]]
        return ring if area(ring) > 0 else ring[::-1]
    a, b = body["length_mm"] / 2, body["width_mm"] / 2
    return [(-a, -b), (a, -b), (a, b), (-a, b)]


def obstacles(scene: dict) -> Iterator[Line]:
    """Yield every line that can block: walls, and edges of holes and things."""
    told = scene["outline_mm"]
    rooms = [[tuple(map(float, p)) for p in r] for r in (told if isinstance(told[0][0], list) else [told])]
    for i, room in enumerate(rooms):
        others = rooms[:i] + rooms[i + 1 :]
        for a, b in pairs(room if area(room) > 0 else room[::-1]):
            yield from walls(a, b, others)
    for ring in (*scene.get("holes_mm", ()), *(t["outline_mm"] for t in scene.get("things", ()))):
        yield from pairs([tuple(map(float, p)) for p in ring])


def walls(a: Point, b: Point, others: Sequence[Ring]) -> Iterator[Line]:
    """Yield the parts of a room's edge just outside of which no other room is."""
    length = math.dist(a, b)
    nx, ny = (b[1] - a[1]) / length * OUTSIDE_MM, -(b[0] - a[0]) / length * OUTSIDE_MM
    p, q = (a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny)
    marks = {0.0, 1.0}
    for other in others:
        for u, v in pairs(other):
            s, t = side(u, v, p), side(u, v, q)
            if (s > 0) != (t > 0):
                marks.add(s / (s - t))
    at = sorted(m for m in marks if 0.0 <= m <= 1.0)
    for t0, t1 in itertools.pairwise(at):
        if not any(within([other], along(p, q, (t0 + t1) / 2)) for other in others):
            yield along(a, b, t0), along(a, b, t1)


def pieces_lie_inside(body: Ring, pieces: Sequence[Ring]) -> None:
    """Raise Wrong unless every piece is convex, turns left and crosses no side of the body."""
    for piece in pieces:
        ring = [*piece, *piece[:2]]
        if any(side(*ring[i : i + 3]) < 0 for i in range(len(piece))) or not within([body], piece[0]):
            raise Wrong("a piece that is not convex or not inside the body")
        for p, q in pairs(piece):
            for u, v in pairs(body):
                if (side(u, v, p) > 0) != (side(u, v, q) > 0) and (side(p, q, u) > 0) != (side(p, q, v) > 0):
                    raise Wrong("a piece that leaves the body")


def cores(shapes: Sequence[tuple[Ring, float]], a: float, b: float) -> list[Ring]:
    """Return the cores of all pieces that have one."""
    return [k for k in (core(shape, a, b, smaller) for shape, smaller in shapes) if len(k) > 2]


def core(body: Ring, a: float, b: float, smaller: float) -> Ring:
    """Return a convex shape inside a convex one, so much smaller, at every turn from a to b (or nothing)."""
    reach = 4 * max(math.hypot(*p) for p in body) + 1
    shape = [(-reach, -reach), (reach, -reach), (reach, reach), (-reach, reach)]
    half = (b - a) / 2
    for (x0, y0), (x1, y1) in pairs(body):
        length = math.dist((x0, y0), (x1, y1))
        nx, ny = (y1 - y0) / length, (x0 - x1) / length
        h = nx * x0 + ny * y0 - smaller
        # beyond a side's line the innermost place over the band is at one of its ends: no chord
        chord = ((a + b) / 2, h * math.cos(math.radians(half)))
        for turn, far in ((a, h), *((chord,) if h > 0 else ()), (b, h)):
            shape = cut(shape, turned((nx, ny), turn), far)
    return shape


def cut(shape: Ring, n: Point, far: float) -> Ring:
    """Return the part of a convex shape within a half plane."""
    kept = []
    for p, q in pairs(shape):
        u, v = n[0] * p[0] + n[1] * p[1] - far, n[0] * q[0] + n[1] * q[1] - far
        if u <= 0:
            kept.append(p)
        if (u < 0 < v) or (v < 0 < u):
            kept.append(along(p, q, u / (u - v)))
    return [p for i, p in enumerate(kept) if math.dist(p, kept[i - 1]) > 1e-9]


def grown(line: Line, shape: Ring) -> Ring:
    """Return the places at which a convex shape meets a line: the hull of both ends less the shape."""
    # rounded, so that points above each other come in that order
    points = sorted({(round(e[0] - x, 9), round(e[1] - y, 9)) for e in line for x, y in shape})
    ring: Ring = []
    for run in (points, points[::-1]):
        chain: Ring = []
        for p in run:
            while len(chain) > 1 and side(chain[-2], chain[-1], p) <= 0:
                chain.pop()
            chain.append(p)
        ring += chain[:-1]
    kept: Ring = []
    for i, p in enumerate(ring):
        q, r = kept[-1] if kept else ring[-1], ring[(i + 1) % len(ring)]
        if side(q, p, r) > 1e-7 * math.dist(q, r):
            kept.append(p)
    return kept


def open_parts(edge: Line, blocked: Sequence[Ring]) -> Iterator[tuple[float, float]]:
    """Yield from where to where, 0 to 1, an edge runs through no grown line more than a hair deep."""
    spans = sorted(s for s in (span(edge, shape) for shape in blocked) if s is not None)
    reach = 0.0
    for t0, t1 in spans:
        if t0 > reach:
            yield reach, t0
        reach = max(reach, t1)
    if reach < 1.0:
        yield reach, 1.0


def span(edge: Line, shape: Ring) -> tuple[float, float] | None:
    """Return from where to where an edge runs within a convex shape, a hair deep."""
    (ax, ay), (bx, by) = edge
    t0, t1 = 0.0, 1.0
    for p, q in pairs(shape):
        length = math.dist(p, q)
        u = side(p, q, (ax, ay)) / length - DEEP_MM
        v = side(p, q, (bx, by)) / length - DEEP_MM
        if u < 0 and v < 0:
            return None
        if u < 0:
            t0 = max(t0, u / (u - v))
        elif v < 0:
            t1 = min(t1, u / (u - v))
    return (t0, t1) if t0 < t1 else None


def ends(scene: dict, centre: Point, cells: Sequence[tuple[float, float, list[Ring]]], period: float) -> None:
    def held(pose: dict) -> bool:
        turn = pose.get("turn_deg", 0.0)
        cx, cy = turned(centre, turn)
        place = (pose["x_mm"] + cx, pose["y_mm"] + cy)
        return any(
            (turn - a + SAME_DEG) % period <= b - a + 2 * SAME_DEG and within(rings, place)
            for a, b, rings in cells
        )

    if not held(scene["start"]):
        raise Wrong("the start is in no region")
    if held(scene["goal"]):
        raise Wrong("the goal is in a region")


def within(rings: Sequence[Ring], p: Point) -> bool:
    odd = False
    for ring in rings:
        for (ax, ay), (bx, by) in pairs(ring):
            if (ay > p[1]) != (by > p[1]) and p[0] < ax + (p[1] - ay) * (bx - ax) / (by - ay):
                odd = not odd
    return odd


def looks_alike(body: Ring, turn: float) -> bool:
    moved = [turned(p, turn) for p in body]
    return all(min(math.dist(p, q) for q in body) < 1e-6 for p in moved)


def same_turn(a: float, b: float, period: float) -> bool:
    off = (a - b) % period
    return min(off, period - off) < SAME_DEG


def turned(p: Point, deg: float) -> Point:
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return p[0] * c - p[1] * s, p[0] * s + p[1] * c


def pairs(ring: Sequence[Point]) -> list[Line]:
    return [(ring[i], ring[(i + 1) % len(ring)]) for i in range(len(ring))]


def side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def along(a: Point, b: Point, t: float) -> Point:
    return a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])


def area(ring: Ring) -> float:
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in pairs(ring)) / 2


def box(points: Sequence[Point]) -> tuple[float, float, float, float]:
    if not points:
        return math.inf, math.inf, -math.inf, -math.inf
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def main() -> int:
    told = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    scenes = told if isinstance(told, list) else [told]
    run = subprocess.run(["shopbins", "fits", sys.argv[1], "--json"], capture_output=True, check=False)
    bad = 0
    for scene, answer in zip(scenes, json.loads(run.stdout), strict=True):
        if "certificate" not in answer:
            continue
        try:
            check(scene, answer["certificate"])
            print(f"{answer['id']}: holds")
        except Wrong as wrong:
            bad += 1
            print(f"{answer['id']}: {wrong}")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
