"""Where it halts, and where parts come off: whether whoever works there has a place.

Points and poses in the shop frame, lengths in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.shapes import Outline, Pose, bounds, placed
from shopbins.moves.beside import floor_free
from shopbins.moves.body import Projection
from shopbins.moves.crossings import changed_at, crossings
from shopbins.moves.finding import Check
from shopbins.moves.fitted import JACKED, along, boxed
from shopbins.moves.hands import looked_at
from shopbins.moves.hoisted import Lift
from shopbins.moves.partsoff import taken_kg, team_of
from shopbins.moves.situation import Situation
from shopbins.moves.stages import halt_between, hitches, stages
from shopbins.units import counted, show_length, show_point

HALT = Check(
    "move-room-halt",
    "Room where it halts and where parts come off",
    "ISO 13854: 500 mm for the body; that chocks and lines are set at both its ends, and that two take a "
    "part off from where they reach it: common practice, no source",
    "published",
    "shift what is beside it; chocks and line set before it stands there",
)


def rooms_to_work(it: Situation) -> Iterator[Part]:
    """Judge where it halts for a line to be changed or is barred round, and where a part comes off by hand,
    whether who does that has a place of a person beside it.
    """
    if it.attempt is None or it.attempt.ground is None or not it.path:
        return
    import shapely

    free = floor_free(it.attempt.then or it.attempt.ground)
    side = it.own["person"]
    squares = _at_ends(it, side)
    for pose, what in halts(it):
        lacks = [
            end
            for end, some in zip(("behind", "ahead"), squares, strict=True)
            if not shapely.covers(free, shapely.polygons([placed(s, pose) for s in some])).any()
        ]
        if lacks:
            at, ends = show_point(round(pose.x_mm), round(pose.y_mm)), " and ".join(lacks)
            text = (
                f"{it.name} halts at {at} to {what}: at its end {ends} no {show_length(side)} square is free"
            )
            more: dict[str, Any] = {"at_mm": (pose.x_mm, pose.y_mm), "limit": side, "unit": "mm"}
            subjects = (*it.subjects, f"halt:{at}")
            words = f"room at {at} to {what} looked at"
            yield HALT.only(subjects, words, text, spots=[pose[:2]], **more)
    yield from _round_parts(it, free)


def _round_parts(it: Situation, free: Any) -> Iterator[Part]:
    """Judge whether who takes a part off, and puts it on again, finds a place beside the thing."""
    side = it.own["person"]
    ends = (("where it stands", it.body.pose, "take off"), (f"in {it.goal.name}", it.goal_pose, "put on"))
    for part, (where, pose, what) in itertools.product(it.body.off, ends):
        n = _hands(it, part)
        there = n if pose is None else _places(it, part, pose, free)
        if there >= n:
            continue
        people = counted(n, "person", "people")
        text = f"{people} to {what} {part.name} {where}, {show_length(side)} each beside it and no farther "
        text += f"from that: room for {there or 'nobody'}"
        words = f"room for {people} to {what} {part.name}: looked at"
        more: dict[str, Any] = {"measured": float(there), "limit": float(n), "unit": "count"}
        back = ("back",) if what == "put on" else ()
        yield HALT.only((*it.subjects, f"part:{part.called}", *back), words, text, **more)


def halts(it: Situation) -> Iterator[tuple[Pose, str]]:
    """Go through where it halts for a line to be put on, changed or taken off, or is barred round, with what
    is done there. Where plates are laid again people get past it; a jack has a check of its own.
    """
    every, over_all = stages(it), crossings(it)
    poses = [pose for _, pose in it.poses()]
    for stage in every:
        yield from ((poses[changed_at(it, over_all, pull.at)[0]], CHANGES) for pull in hitches(it, stage)[1:])
    for before, stage in itertools.pairwise(every):
        at = halt_between(it, before, stage)
        if at is not None:
            yield poses[at], CHANGES
    if it.kind not in JACKED[:2]:
        yield from ((turn.pose, "bar it round") for turn in it.set_round)


CHANGES = "chock it and change its line"


def _at_ends(it: Situation, side: float) -> tuple[list[Outline], list[Outline]]:
    """Return the squares of a person at its rear end and at its front, before it and on both sides there, in
    the thing's frame.
    """
    axis = it.gear.axis_deg
    rear, front = (of(along(p, axis) for p in it.hull) for of in (min, max))
    right, left = (of(along(p, axis + 90.0) for p in it.hull) for of in (min, max))
    across = (left - side, (left + right - side) / 2, right)

    def square(at: float, aside: float) -> Outline:
        return boxed(axis, at, at + side, aside, aside + side)

    beside = left + 1.0, right - side - 1.0
    behind = [square(rear - side - 1.0, a) for a in across] + [square(rear, a) for a in beside]
    before = [square(front + 1.0, a) for a in across] + [square(front - side, a) for a in beside]
    return behind, before


def _hands(it: Situation, part: Projection) -> int:
    """Return how many people take a part off by hand; 0 where a hoist does, or nobody weighed it."""
    kg, lift = taken_kg(part), {} if it.attempt is None else it.attempt.lifts
    resting = None if it.attempt is None else (it.attempt.resting or {}).get(part.called)
    team = team_of(it.scene, part, resting)
    if kg is None or team is None or isinstance(lift.get(part.called), Lift):
        return 0
    if team.people:
        return team.people
    looked = looked_at(it.scene, kg, *team.between_mm)
    return 0 if looked is None else looked.people


def _places(it: Situation, part: Projection, pose: Pose, free: Any) -> int:
    """Return how many people find a square of their own beside a thing, no farther from a part than that is
    deep, and level with it or next to that.
    """
    import shapely

    side, box = it.own["person"], bounds(part.outline)
    x0, y0, x1, y1 = bounds((*(it.load.own or it.load.outline), *part.outline))
    upright = ((x0 - side - 1.0, box.left - x0), (x1 + 1.0, x1 - box.right))
    level = ((y0 - side - 1.0, box.bottom - y0), (y1 + 1.0, y1 - box.top))
    rows = [[(x, box.bottom + k) for k in _steps(side, box.deep_mm)] for x, far in upright if far <= side]
    rows += [[(box.left + k, y) for k in _steps(side, box.wide_mm)] for y, far in level if far <= side]
    found = 0
    for row in rows:
        squares = [placed(((x, y), (x + side, y), (x + side, y + side), (x, y + side)), pose) for x, y in row]
        stood = -math.inf
        for n, ok in enumerate(shapely.covers(free, shapely.polygons(squares)).tolist()):
            if ok and n * STEP_MM >= stood + side:
                found, stood = found + 1, n * STEP_MM
    return found


def _steps(side: float, long: float) -> list[float]:
    """Return where along a side so long a person's square may begin: from next to it to next to it."""
    return [-side + k * STEP_MM for k in range(int((long + side) // STEP_MM) + 1)]


STEP_MM = 50.0
