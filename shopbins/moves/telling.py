"""What an attempt is told with: findings of doors, floors, forces and the shop meanwhile; cautions; what to
measure again; what is nearest at the tightest place.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.geometry.exact import area_mm2
from shopbins.geometry.shapes import Pose
from shopbins.ledger.model import InZone
from shopbins.moves.attempt import Attempt
from shopbins.moves.finding import DECIDE, checked_against
from shopbins.moves.floorload import POINT, blocks, floor_findings, wheels
from shopbins.moves.force import Push, force_findings, on_floor
from shopbins.moves.headroom import low_ceilings
from shopbins.moves.meanwhile import between, in_doorways
from shopbins.moves.remainder import left_of, moved_reference, with_left
from shopbins.moves.route import room_at
from shopbins.moves.shiftlist import shifted_scene
from shopbins.moves.supports import Support, stand, stand_findings
from shopbins.placing.judging import judge
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding, once, worst_first
from shopbins.scene.frames import to_zone
from shopbins.scene.scene import Scene
from shopbins.shop.model import Room, Slope, Zone
from shopbins.units import show_mass

PERSON = "room for whoever pulls, and for a handle held out, is not in the outline"
STEP_MM = 100.0
NEAR_DOOR_MM = 60.0


@dataclass(frozen=True, slots=True)
class Told:
    """Everything said about an attempt besides whether it goes.

    `forbids` is why it may not go although there is a way: a floor or place that does not take it.
    """

    findings: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()
    measure_again: tuple[str, ...] = ()
    tightest: Pose | None = None
    between: tuple[str, str] | None = None
    forbids: str = ""

    @property
    def tightest_json(self) -> dict[str, Any] | None:
        """Return the tightest place as `shopbins move --json` prints it."""
        if self.tightest is None or self.between is None:
            return None
        p = self.tightest
        pose = {"x_mm": round(p.x_mm, 1), "y_mm": round(p.y_mm, 1), "turn_deg": round(p.turn_deg % 360, 2)}
        return {"pose": pose, "between": list(self.between)}


def told_of(
    scene: Scene,
    it: Attempt,
    goal: Zone,
    level: str,
    known: frozenset[str],
    today: date,
    measured_mm: float,
) -> Told:
    """Return what there is to say about an attempt."""
    goes = it.verdict in ("goes", "goes, measure again")
    findings = [*it.gear.findings, *(f for d in it.doors for f in d.findings)]
    rooms = [] if it.route is None else [scene.shop.rooms[key] for key in it.route.rooms]
    forbids = ""
    if goes:
        findings += low_ceilings(it.gear, rooms)
        findings += _set_down(it, goal, scene)
        floors = _floors(it, rooms)
        after = _after(scene, it, goal, level, known, today)
        forbids = next((f.text for f in (*floors, *after[0]) if f.grade == "stop"), "")
        findings += [*floors, *after[0], *after[1], *_forces(scene, it, rooms)]
    pair = _between(scene, it) if it.found.near else None
    again = _again(it, pair, measured_mm) if goes or it.flips else ()
    return Told(
        tuple(worst_first(once(findings))),
        tuple(_cautions(scene, it, findings)),
        again,
        it.found.tightest,
        pair,
        forbids,
    )


def _set_down(it: Attempt, goal: Zone, scene: Scene) -> list[Finding]:
    """Return how it stands where it is set down: on packing under its jacking points, else on its feet."""
    load = it.body.load
    points, what = (load.jacking, "packing") if len(load.jacking) >= 3 else (load.feet, "its feet")
    if len(points) < 3 or it.goal is None:
        return []
    room = scene.shop.rooms[goal.room]
    slope = room.slope
    if slope is not None:
        slope = Slope(slope.fall, slope.towards_deg - it.goal.turn_deg)
    supports = [
        Support(
            p.x_mm, p.y_mm, p.name or f"{what} {n}", None if p.pad_mm is None else p.pad_mm[0] * p.pad_mm[1]
        )
        for n, p in enumerate(points, 1)
    ]
    how = stand(supports, load.cg_mm, cg_height_mm=load.cg_height_mm, slope=slope, outline=load.outline)
    found = list(stand_findings(how, f"{load.name} on {what}", load.subjects, load.mass_kg))
    if load.mass_kg is not None and how.reactions:
        found += [
            f
            for f in floor_findings(load, [room], blocks(how, load.mass_kg))
            if f.grade != "note" and f.rule == POINT.key
        ]
    return found


def _floors(it: Attempt, rooms: list[Room]) -> list[Finding]:
    hull = area_mm2(it.gear.outline)
    mass = it.gear.gear.mass_kg or 0.0
    return list(floor_findings(it.body.load, rooms, wheels(it.gear), outline_mm2=hull, gear_kg=mass))


def _after(
    scene: Scene, it: Attempt, goal: Zone, level: str, known: frozenset[str], today: date
) -> tuple[list[Finding], list[Finding]]:
    """Return what is newly found where it ends, and while it stands in doorways, all shifted by then."""
    shifted = scene if it.shift is None else shifted_scene(scene, it.shift.items)
    if it.goal is None:
        return [], []
    shifted = with_left(shifted, it.body)
    middle = left_of(it.body).middle_mm
    where = where_at(goal, level, moved_reference(it.goal, middle))
    path = [moved_reference(pose, middle) for pose in it.found.path]
    there = [f for f in judge(shifted, it.body.group.id, where) if f.id not in known and f.grade != "note"]
    then = shifted.with_group_at(it.body.group.id, where)
    there += [f for f in audit(then, today) if f.id not in known and f.grade != "note"]
    doors = () if it.route is None else it.route.doors
    meanwhile = in_doorways(shifted, it.body.group.id, doors, path, known, today)
    return once(there), meanwhile


def where_at(goal: Zone, level: str, pose: Pose) -> InZone:
    """Return a pose of the shop frame as a place in a zone."""
    there = to_zone(goal, pose.x_mm, pose.y_mm, pose.turn_deg)
    return InZone(
        goal.key,
        level or (goal.levels[0].key if goal.levels else ""),
        round(there.x_mm, 1),
        round(there.y_mm, 1),
        round(there.turn_deg, 3) % 360.0,
        measured=True,
    )


# --- forces -----------------------------------------------------------------------------------------------


def legs(path: tuple[Pose, ...]) -> Iterator[tuple[Pose, float]]:
    """Go through points of a path about every 100 mm, with the direction it goes there in degrees."""
    for a, b in itertools.pairwise(path):
        far = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        if far < 1.0:
            continue
        heading = math.degrees(math.atan2(b.y_mm - a.y_mm, b.x_mm - a.x_mm))
        steps = max(1, math.ceil(far / STEP_MM))
        for k in range(steps):
            yield between(a, b, (k + 0.5) / steps), heading


def _forces(scene: Scene, it: Attempt, rooms: list[Room]) -> list[Finding]:
    """Return the hardest push of each room on the way, and where it runs downhill."""
    if it.gear.gear.kind == "by hand":
        return []
    keys = [room.key for room in rooms]
    hardest: dict[str, Push] = {}
    runs: dict[str, Push] = {}
    gear_kg = it.gear.gear.mass_kg or 0.0
    for pose, heading in legs(it.found.path):
        room = room_at(scene.shop, (pose.x_mm, pose.y_mm), keys)
        if room is None:
            continue
        found = on_floor(it.body.load, room.slope, heading, gear_kg=gear_kg)
        if found is None:
            return list(force_findings(None, it.body.load))
        kept = hardest.get(room.key)
        if kept is None or found.greatest_n > kept.greatest_n:
            hardest[room.key] = found
        runs.setdefault(room.key, found)
    said: list[Finding] = []
    for key, found in hardest.items():
        about = (*it.body.load.subjects, f"room:{key}")
        said += force_findings(found, it.body.load, key, about)
    return said


# --- the tightest place, and what to measure again --------------------------------------------------------


def _between(scene: Scene, it: Attempt) -> tuple[str, str] | None:
    """Name the two that are nearest at the tightest place."""
    ground = it.then or it.ground
    if ground is None:
        return None
    mine = f"{it.body.group.shown} on {it.gear.gear.name}"
    kind, _, number = it.found.near.partition(" ")
    at = it.found.points
    if kind == "thing" and number.isdigit():
        i = int(number)
        return mine, ground.things[i].name if i < len(ground.things) else "a thing"
    if kind == "hole" and number.isdigit():
        i = int(number)
        if i < len(ground.fixed):
            return mine, ground.fixed[i].name
        key = ground.leaves[i - len(ground.fixed)][0]
        return mine, f"the leaf of {scene.shop.doors[key].name}"
    if kind == "wall" and at is not None and it.route is not None:
        for key in it.route.doors:
            door = scene.shop.doors[key]
            xs, ys = zip(*door.passage, strict=True)
            x, y = at[1]
            if (
                min(xs) - NEAR_DOOR_MM <= x <= max(xs) + NEAR_DOOR_MM
                and min(ys) - NEAR_DOOR_MM <= y <= max(ys) + NEAR_DOOR_MM
            ):
                return mine, f"a jamb of {door.name}"
        near = min(it.route.rooms, key=lambda r: _wall_mm(scene.shop.rooms[r], at[1]))
        return mine, f"a wall of {scene.shop.rooms[near].name}"
    return mine, it.found.near or "nothing"


def _wall_mm(room: Room, point: tuple[float, float]) -> float:
    from shopbins.geometry.exact import point_gap

    return abs(point_gap(room.outline, point).distance_mm)


def _again(it: Attempt, pair: tuple[str, str] | None, measured_mm: float) -> tuple[str, ...]:
    """Name what to measure again: where the answer flips within how well it was measured."""
    found = [*it.gear.again, *(what for d in it.doors for what in d.again)]
    clear = it.found.clearance_mm
    near = clear is not None and clear < 2 * measured_mm
    if (
        it.verdict == "goes, measure again"
        and near
        and pair is not None
        and it.found.grown_mm < 2 * measured_mm
    ):
        found += [f"the width of {pair[0]}", f"the way past {pair[1]}"]
    if it.flips:
        found += [f"the width of {it.body.group.shown}", *(f"clear width of {d.door.name}" for d in it.doors)]
    if it.body.group.known_size is not None and it.body.group.known_size.about:
        found.append(f"the size of {it.body.group.shown}")
    return tuple(dict.fromkeys(found))


# --- cautions ---------------------------------------------------------------------------------------------


def _cautions(scene: Scene, it: Attempt, findings: list[Finding]) -> Iterator[str]:
    said: list[str] = [*it.gear.cautions]
    said += [f"not judged: {what}" for what in it.gear.unknown]
    said += [must for d in it.doors for must in d.must]
    said += [f"take the leaf of {scene.shop.doors[key].name} off its hinges" for key in it.leaves_off]
    if it.gear.gear.kind != "by hand":
        said.append(PERSON)
    if it.gear.steering == "axis" and it.found.path:
        said.append(
            f"{it.gear.gear.name} only rolls straight on: at each change of direction it is turned by bar or "
            "jack"
        )
    said += it.body.notes
    if it.ground is not None and it.ground.unseen:
        said.append(f"not seen on the floor: {'; '.join(it.ground.unseen)}")
    if it.shift is not None:
        unknown = it.shift.not_weighed
        if unknown:
            said.append(f"{unknown} of what is shifted not weighed: at least {show_mass(it.shift.total_kg)}")
    if it.body.off:
        off = ", ".join(p.name for p in it.body.off)
        said.append(f"goes back on after the move: {off}")
    said.append(f"{checked_against([f.source for f in findings])}")
    yield from dict.fromkeys(said)


__all__ = ["DECIDE", "Told", "told_of", "where_at"]
