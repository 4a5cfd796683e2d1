"""The shop while the thing stands in a doorway: is anybody's way out blocked meanwhile?"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date

from shopbins.geometry.shapes import Point, Pose, between
from shopbins.ledger.model import InZone
from shopbins.moves.route import middle_of
from shopbins.rules import doors, electrical, exits, keepclear, ways
from shopbins.rules.auditing import found_by
from shopbins.rules.finding import GRADES, Finding, once
from shopbins.scene.frames import to_zone
from shopbins.scene.scene import Scene
from shopbins.shop.model import open_floor

RULES = (*ways.RULES, *doors.RULES, *exits.RULES, *keepclear.RULES, *electrical.RULES)
STEP_MM = 25.0


def nearest_on(path: Sequence[Pose], point: Point) -> Pose:
    """Return the pose of a path (about every 25 mm) whose place is nearest to a point."""
    best, least = path[0], math.inf
    for a, b in zip(path, path[1:] or path, strict=False):
        steps = max(1, math.ceil(math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm) / STEP_MM))
        for k in range(steps + 1):
            t = k / steps
            pose = between(a, b, t)
            far = math.dist((pose.x_mm, pose.y_mm), point)
            if far < least:
                best, least = pose, far
    return best


def standing_at(scene: Scene, group_id: str, room: str, pose: Pose) -> Scene:
    """Return the scene with a group standing on a room's floor at a pose of the shop frame."""
    there = to_zone(open_floor(scene.shop.rooms[room]), pose.x_mm, pose.y_mm, pose.turn_deg)
    return scene.with_group_at(
        group_id, InZone(room, "", there.x_mm, there.y_mm, there.turn_deg, measured=True)
    )


def in_doorways(
    scene: Scene,
    group_id: str,
    doors_passed: Sequence[str],
    path: Sequence[Pose],
    known: Collection[str],
    today: date,
) -> list[tuple[Finding, tuple[str, ...]]]:
    """Return what is newly found of ways, doors and keep-clears while it stands in each doorway passed, with
    the doorways in which it is so.
    """
    found: list[tuple[Finding, str]] = []
    remedy = "tell everybody in the shop first, keep another way out open, do not stop there"
    for key in doors_passed:
        door = scene.shop.doors[key]
        pose = nearest_on(path, middle_of(door))
        for room in (door.room, door.to):
            if room not in scene.shop.rooms:
                continue
            there = standing_at(scene, group_id, room, pose)
            every = once(f for rule in RULES for f in found_by(rule, there, today))
            own = {f"door:{key}"}
            found += [
                (
                    replace(f, text=f"while it stands in {door.name}: {f.text}", remedy=remedy),
                    key,
                )
                for f in every
                if f.id not in known and f.grade != "note" and not own & set(f.subjects)
            ]
    return _worst_of_each_way(found)


def _worst_of_each_way(found: Sequence[tuple[Finding, str]]) -> list[tuple[Finding, tuple[str, ...]]]:
    """Keep one finding for each way, door or area: the worst, with every doorway."""
    ways: dict[tuple[str, ...], list[tuple[Finding, str]]] = {}
    for each in found:
        key = tuple(s for s in each[0].subjects if s.partition(":")[0] not in ("group", "fixture"))
        ways.setdefault(key, []).append(each)
    worst = {
        min((f for f, _ in some), key=_rank): tuple(dict.fromkeys(d for _, d in some))
        for some in ways.values()
    }
    return [(f, worst[f]) for f in once(worst)]


def _rank(found: Finding) -> tuple[int, float]:
    return GRADES.index(found.grade), 0.0 if found.measured is None else found.measured
