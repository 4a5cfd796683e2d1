"""How gear that does not turn on the spot goes along a way: a hand pallet truck, a trolley of one fixed axle.

A truck of a stated turning radius is a body whose reference is the middle of its fixed axle; how tightly that
point turns follows from the outermost corner's radius. What turns tighter than `PIVOTS_MM` turns about its
axle's middle where it stands (a hand pallet truck with its handle square); else the kernel's arcs are asked.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopbins.geometry.shapes import FloorProblem, Outline, Point, Pose, between, bounds, cos_sin, turned
from shopbins.geometry.simple import simple
from shopbins.moves.fitted import JACKED, GearAnswer, across_box
from shopbins.moves.setround import checker
from shopbins.moves.tolerance import Asker, Found, grown, refused

PIVOTS_MM = 50.0
"""A least radius of the axle's middle below this counts as turning about it: own figure."""
FINE_DEG = 1.5
ROLLERS_IN_MM = 175.0
"""How far the load rollers of a pallet truck are from its fork tips, where not told: own figure."""


@dataclass(frozen=True, slots=True)
class Axle:
    """Where a gear turns about, in the thing's frame: the middle of its fixed axle, and where it points.

    `handled`: who steers walks behind it at a handle. `straight`: it only rolls straight on, and is set round
    to be turned; `stands` is then what touches the floor there. `across`: it may as well run across as it is.
    `wheels` is the convex outline of what it rolls on.
    """

    at: Point
    towards_deg: float
    radius_mm: float
    handled: bool = False
    straight: bool = False
    across: bool = False
    stands: Outline = ()
    wheels: Outline = ()

    @property
    def turn_mm(self) -> float:
        """What a turn of 60 deg counts for on a way: of straight gear, jacked and set round for it, much."""
        from shopbins.moves.lattice import SET_ROUND_MM, TURN_PRICE_MM

        return SET_ROUND_MM if self.straight else TURN_PRICE_MM

    @property
    def ways(self) -> tuple[Axle, ...]:
        """The ways it may run."""
        crosswise = replace(self, towards_deg=self.towards_deg + 90.0)
        return (self, crosswise) if self.across else (self,)


def axle_of(gear: GearAnswer) -> Axle | None:
    """Return how a gear is steered; None where it turns on the spot.

    Straight gear (`axis`) runs straight on, and is turned about the thing's middle: jacked, set round. What a
    thing is set on runs along its axis alone, a crane on castors as well across.
    Without a turning radius one of twice its length is taken: the worse of what is usual, own assumption.
    """
    if gear.steering == "axis":
        return Axle(
            (0.0, 0.0), gear.axis_deg, 0.0, straight=True, across=gear.gear.kind not in JACKED,
            stands=gear.touching, wheels=gear.rolls_on,
        )  # fmt: skip
    if gear.steering != "radius":
        return None
    it = gear.gear
    towards = gear.axis_deg
    near, far, _, _ = across_box(gear.load, towards)
    c, s = cos_sin(towards)
    x, y = gear.heel or (near * c, near * s)
    if it.kind == "pallet truck":
        length = far - near if it.fork_length_mm is None else it.fork_length_mm
        rollers = ROLLERS_IN_MM if it.load_rollers_mm is None else it.load_rollers_mm
        at = (x + (length - rollers) * c, y + (length - rollers) * s)
        back = length - rollers + (it.body_mm or 0.0)
        half = (it.over_forks_mm or 0.0) / 2
    else:
        at, back = (far * c, far * s), far - near
        box = bounds(gear.outline)
        half = min(box.wide_mm, box.deep_mm) / 2
    outer = it.turning_radius_mm if it.turning_radius_mm is not None else 2 * back
    radius = math.sqrt(max(0.0, outer * outer - back * back)) - half
    least = radius if radius > PIVOTS_MM else 0.0
    return Axle(at, towards, least, handled=it.kind == "pallet truck", wheels=gear.rolls_on)


def anyhow(gear: GearAnswer) -> Axle:
    """Return how gear that turns and slides anyhow is driven to turn seldom: along itself, or across."""
    return Axle((0.0, 0.0), gear.axis_deg, 0.0, straight=True, across=True, wheels=gear.rolls_on)


def turned_where_told(gear: GearAnswer) -> bool:
    """Tell whether ways of gear are looked for that turn it only where it may: not of arcs, nor by hand."""
    axle = axle_of(gear)
    return axle.radius_mm == 0.0 if axle is not None else gear.gear.kind != "by hand"


def steer(
    ask: Asker, axle: Axle, things: Sequence[Outline], grown_mm: float, *, quick: bool = False
) -> Found:
    """Look for a way on a steered gear; `not decided` if none was found.

    `quick` looks at the coarser lattice alone, where what turns about its axle has two.
    """
    asked = ask.asked(things, grown_mm)
    if axle.radius_mm > 0.0:
        return ask.once(("steered", axle, *asked), lambda: _steer(ask, axle, things, grown_mm))
    from shopbins.moves.lattice import GRIDS_MM

    found = Found("not decided")
    for grid_mm in GRIDS_MM[:1] if quick else GRIDS_MM:
        if grid_mm != GRIDS_MM[0] and grown_mm > 0.0:  # what finds none as measured finds none so much larger
            as_measured = steer(ask, axle, things, 0.0)
            if as_measured.answer != "goes":
                return replace(as_measured, grown_mm=grown_mm)
        for way in axle.ways:
            key = ("steered", way, *asked, grid_mm)
            found = ask.once(key, lambda: _pivot(ask, way, things, grown_mm, grid_mm))  # noqa: B023
            if found.answer == "goes":
                return found
    return found


def _steer(ask: Asker, axle: Axle, things: Sequence[Outline], grown_mm: float) -> Found:
    from shopbins.kernel.goes import goes
    from shopbins.kernel.steering import Steering

    try:
        hull = about(axle, grown(ask.hull, grown_mm))
        answer = goes(
            ask.ground.outlines,
            ask.ground.holes,
            things,
            hull,
            to_axle(axle, ask.start),
            to_axle(axle, ask.goal),
            steering=Steering(axle.radius_mm),
            time_limit_s=ask.left_s(),
            cancelled=ask.cancelled,
        )
    except FloorProblem as problem:
        return refused(problem, grown_mm)
    if answer.answer == "goes":
        path = [from_axle(axle, pose) for pose in answer.path]
        return ask.measured(path, things, grown_mm)
    if answer.answer == "does not go":
        return Found("does not go", grown_mm, reason=answer.reason)
    return Found(
        "not decided",
        grown_mm,
        reason="turned on the spot it goes; on this gear no way was found",
    )


def least_driven(
    ask: Asker, axle: Axle, things: Sequence[Outline], grown_mm: float, costs: Sequence[float]
) -> tuple[int, ...] | None:
    """Return the places of the things of least cost that bar every way of gear that turns about its axle.

    They are the least of all ways over a lattice; None where none was found whatever is shifted.
    """
    from shopbins.moves.lattice import GRIDS_MM
    from shopbins.moves.pivot import least_shifted

    def paid(shift: Sequence[int]) -> float:
        return math.fsum(costs[i] for i in shift)

    best: tuple[int, ...] | None = None
    for grid_mm in GRIDS_MM:
        for way in axle.ways:
            asked = _Asked(ask, way, (), grown_mm)
            found = least_shifted(*asked.way, grid_mm, apart=things, costs=costs, **asked.driven)
            if found is not None and (best is None or paid(found) < paid(best)):
                best = found
        if best is not None:
            break
    return best


class _Asked:
    """What a lattice is asked of a gear among some things: the `way`, and how it is `driven`."""

    def __init__(self, ask: Asker, axle: Axle, things: Sequence[Outline], grown_mm: float) -> None:
        import numpy as np
        import shapely

        from shopbins.geometry import minkowski
        from shopbins.kernel.ground import Crowd
        from shopbins.kernel.sweep import ENOUGH_MM
        from shopbins.moves.lattice import LATEST

        def stop() -> bool:
            return ask.cancelled() or ask.left_s() <= 0

        self.crowd = Crowd([simple(t, f"thing {i}") for i, t in enumerate(things)])
        hull, turned = about(axle, ask.hull), about(axle, ask.turned)
        walls = np.concatenate((ask.planner().walls, self.crowd.edges[0]))
        self.sweep = checker(minkowski.corners_of(hull), turned, walls)
        self.goal = to_axle(axle, ask.goal)
        lattices = ask.kept.setdefault("lattices", {})
        mine = *ask.floor, axle, ask.start
        for each in (kept for key, kept in lattices.items() if key != mine):
            each.pop(LATEST, None)  # it is large
        off = math.hypot(*axle.at)  # a room's slope counts from where the thing's own reference is
        self.way = (
            ask.planner().ground,
            things,
            hull,
            self.sweep,
            to_axle(axle, ask.start),
            self.goal,
            max(grown_mm, 2 * ENOUGH_MM),
            stop,
            [(shapely.Polygon(o).buffer(off), towards) for o, towards in ask.ground.slopes],
            lattices.setdefault(mine, {}),
        )
        self.driven: dict[str, Any] = {
            "turned": turned,
            "handled": axle.handled,
            "turn_mm": axle.turn_mm,
            "stands": about(axle, axle.stands),
            "steps": ask.ground.steps,
            "wheels": about(axle, axle.wheels),
        }


def _pivot(ask: Asker, axle: Axle, things: Sequence[Outline], grown_mm: float, grid_mm: float) -> Found:
    """Look for a way of turns about the axle and drives along it."""
    from shopbins.kernel.goes_path import tightest
    from shopbins.moves.pivot import finished, pivoted

    asked = _Asked(ask, axle, things, grown_mm)
    poses = pivoted(*asked.way, grid_mm, **asked.driven)
    if poses is None:
        straight = (
            "on straight legs, turned where it stands," if axle.straight else "turning about its wheels"
        )
        why = f"turned and slid anyhow it goes; {straight} no way was found"
        return Found("not decided", grown_mm, reason=why)
    poses = finished(poses, asked.goal)
    clear, where, moving = tightest(asked.sweep, poses)
    near = moving.nearest(where)
    return Found(
        "goes",
        grown_mm,
        tuple(from_axle(axle, p) for p in fine(poses)),
        clear,
        from_axle(axle, where),
        ask.planner().name_of(near.edge, asked.crowd),
        (near.on_body, near.on_obstacle),
    )


def fine(poses: Sequence[Pose]) -> list[Pose]:
    """Return the poses with turns cut to a degree or so: between two of them the thing's own reference point
    is taken to move straight, while it goes round the axle.
    """
    found = [poses[0]]
    for a, b in itertools.pairwise(poses):
        steps = max(1, math.ceil(abs(b.turn_deg - a.turn_deg) / FINE_DEG))
        found += [between(a, b, k / steps) for k in range(1, steps + 1)]
    return found


def about(axle: Axle, hull: Outline) -> Outline:
    """Return an outline of the thing's frame as seen from an axle."""
    x, y = axle.at
    return turned(tuple((px - x, py - y) for px, py in hull), -axle.towards_deg)


def to_axle(axle: Axle, pose: Pose) -> Pose:
    """Return the pose of an axle, of the thing's own."""
    c, s = cos_sin(pose.turn_deg)
    x, y = axle.at
    return Pose(pose.x_mm + x * c - y * s, pose.y_mm + x * s + y * c, pose.turn_deg + axle.towards_deg)


def from_axle(axle: Axle, pose: Pose) -> Pose:
    """Return the thing's own pose, of its axle's."""
    turn = pose.turn_deg - axle.towards_deg
    c, s = cos_sin(turn)
    x, y = axle.at
    return Pose(pose.x_mm - x * c + y * s, pose.y_mm - x * s - y * c, turn)
